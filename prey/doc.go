// Package prey holds what is fed: cuts, organs, whole prey, eggs, fish, mixes,
// dried raw food, the dry food an animal comes from, oils and powders; their
// parts, nutrients, energy and piece masses; the exact sums of a mixture of
// foods; an embedded catalogue and the reader of a keeper's own foods.
//
// The figures describe food, not animals. Nothing here says what or how much to
// feed, and nothing replaces a veterinarian.
//
// # Parts
//
// A food has parts that sum to its whole mass: muscle (with skin and fat),
// heart, liver, other secreting organ, bone, and rest (coat, gut and blood of
// whole prey, shell, water, oil: what no slot counts). Bone is edible bone
// alone. A bone-in cut is marked BoneIn as well, because some targets say "bone"
// and mean the whole bone-in cut; the two differ by more than two to one and are
// never compared. Where no source gives a cut's share of bone, or a whole
// animal's parts, PartsKnown is false: unknown is not none.
//
// # Cases
//
// A chicken wing is 31 to 46 % bone, and holds 0.9 to 1.7 % calcium in it.
// Every figure is therefore given in three cases, each one coherent scenario:
// LeastBone with the poorest bone minerals, Typical, MostBone with the richest.
// Since the cases go together, a ratio such as calcium to phosphorus takes its
// extremes at all-LeastBone and all-MostBone. Within one case nothing is a range.
//
// # Figures
//
// A Density is billionths of the nutrient's unit per 100 g of food as fed. Tables
// give figures per 100 g of edible portion, without bone; as fed, in case c,
//
//	(1 - bone_c) x edible + bone_c x mineral_c
//
// rounded half up to the billionth, once. Minerals of bone are counted for
// those nutrients that the catalogue has a figure of bone for (calcium,
// phosphorus, ash, water): see Bone. Protein, fat and energy of bone are never counted,
// since how much of them a ferret gets is unknown. Where the food holds bone
// that is not counted, the figure is a floor and says so (Figure.SoftOnly). Whole
// prey, mixes and dry food are given with bone in them and nothing is added.
//
// # Bone
//
// What bone holds depends on whose it is and on what is called bone. A knife
// leaves 38 % of a broiler's wing; 23 % is bone once it is cleaned, and 100 g of
// the first hold little more than half the calcium of 100 g of the second. Each
// share of bone therefore says its basis (refuse or clean) and its kind, and is
// multiplied with figures of that basis alone ([BoneBasis]). Where the calcium of
// a cut as a whole follows from what was read (wing, drumstick, whole broiler,
// dressed rabbit), the figure is of the cut, and the food as sold holds it whatever
// its share of bone is. Factors of dry bone, 17 to 25 g of calcium per 100 g, are
// not used. A food whose bone is of no kind takes that of its animal; fish takes
// none. Turkey, duck and other birds were not read: their figures are choices and
// say so.
//
// Carbohydrate is the difference: 100 g - water - protein - fat - fibre - ash.
// It is unknown when one of these is, except that fibre counts as nothing in
// food of animal origin. A sum of up to 103 g leaves none: each term is
// measured and rounded by itself. Beyond that the row contradicts itself, and
// carbohydrate is unknown.
//
// A figure that no source gives is absent. A mixture reports for each nutrient
// the mass of the foods where it is known, next to the sum over these foods.
//
// # Energy
//
// Three methods, by name, because they differ by up to a sixth:
//
//	FreshCat         4 / 8.5 / 4 kcal per g of protein, fat, carbohydrate; FEDIAF, natural food for cats
//	ModifiedAtwater  3.5 / 8.5 / 3.5 kcal per g; prepared pet food
//	Printed          the density a source prints for whole prey, or a pack for its food
//
// Where composition is not known well enough the first two fall back to the
// printed density, and the reference says so. DefaultEnergy takes
// ModifiedAtwater for dry food and FreshCat for all else; that is a choice.
//
// # The catalogue
//
// [Shipped] returns the embedded foods, [Load] reads others of the same form from
// five CSV files (RFC 4180, UTF-8, first line names the columns, in any order):
//
//	foods.csv      id, name, synonyms, species, contains, kind, cut, slot, anatomy, colour,
//	               bone_in, complete, piece_name, piece_low, piece_typical, piece_high,
//	               piece_ref, hazards, energy, energy_ref, note, ref, and if wanted note_ref
//	parts.csv      food, part, low, typical, high, ref, and for bone: bone, basis
//	nutrients.csv  food, basis, ref, and any <nutrient>_<unit> per 100 g: water_g, selenium_ug, vitamin_a_iu
//	extra.csv      food, nutrient, low, typical, high, unit, basis, ref: figures with a range
//	bone.csv       kind, basis, for, nutrient, low, typical, high, unit, ref: what each
//	               kind of bone holds
//
// A column may only be left out where that is said; a blank field is unknown.
// Lists are separated by ";". bone_in and complete are
// yes, no or blank. energy is kcal per g as fed. Slot is the part of a food of one
// part, or none; with rows in parts.csv it is the part that takes what they leave
// over, by default muscle, and the rest once muscle has a row of its own. Basis
// is edible (bone is to be added) or whole (bone is in it). Every row carries
// evidence in the text form of package cite, and a source that the registry does
// not hold is a fault. All faults are returned at once as strict.Faults,
// path:line:column.
//
// [Catalogue.Find] takes an id, a name or a synonym, in any case, singular or
// plural. A miss is an *[UnknownFoodError] with the nearest names; it never
// guesses.
//
// # Own foods
//
// [LoadFoods] reads YAML (or JSON of the same shape):
//
//	foods:
//	  - id: rabbit-mince          # lower-case words and hyphens
//	    name: Rescue rabbit mince
//	    synonyms: [bunny mince]
//	    kind: mix                 # cut organ egg fish oil supplement whole-prey mix dried dry-food
//	    species: rabbit           # or contains: [rabbit, chicken]
//	    colour: white             # none white red fish: by species
//	    complete: false           # asked of mix, dried, dry-food, whole-prey
//	    ref: "choice: the label of the pack, read 2 November 2026"
//	    parts:                    # or slot: heart, for a food of one part
//	      bone-means: edible      # or bone-in, with bone-of-bone-in: "40 %"
//	      bone-basis: clean       # or refuse: what a knife leaves; may be left out without bone-kind
//	      bone-kind: rabbit       # optional; a kind of bone.csv of that basis, else that of the animal
//	      bone: {low: "8 %", typical: "10 %", high: "12 %"}
//	      liver: "5 %"            # what no row names is muscle
//	    label:
//	      state: wet              # or dry: up to 20 % of water
//	      per: fed                # or dry-matter
//	      moisture: "68 %"        # required: of the pack as it is
//	      protein: "17 %"
//	      calcium: "9000 mg/kg"
//	      vitamin-a: "30000 IU/kg"
//	    energy: "1530 kcal/kg"
//	    piece: {name: patty, mass: "50 g"}
//	    hazards: [taurine-low]    # tags of words/tags.csv
//	    note: Thaw in the fridge.
//
// Animals and hazard tags are words of closed lists ([Words]); any other is a
// fault, with the nearest word. An animal that the list does not hold is declared
// once, at the top of the file, with the animal or group whose hazards it takes;
// foods then name it like any other:
//
//	species:
//	  - {name: muntjac, group: deer}   # deer, or poultry, ruminant, rodent, fish ...
//
// A food that replaces one of the catalogue has override: and the reason. A
// bone-in cut has bone-in: true, and its label says what it is of: edible or
// whole. Refused are a label without moisture, an analysis or parts over 100 %,
// bone without its convention, a wet claim on dry food and the reverse, and a
// mix that names no animal. [Catalogue.With] lays the foods over a catalogue.
//
// # Foods that travel
//
// A [Food] goes through encoding/json with all that was read of it, and is Equal to
// the one that comes back. [Own] says which foods of a value have to travel with it,
// and what the value calls them.
//
// # Errors
//
// Loaders return strict.Faults; Find *UnknownFoodError; a word of no list
// [ErrSpecies] or [ErrTag]; With errors that wrap these or [ErrClash]; a Tally errors that wrap [ErrMass] (negative, or over 9 223 kg in
// all) or [ErrFood]; conversions errors that wrap [ErrConvert]. A figure that is
// not known is never an error: it is reported as false, or as mass that is not
// covered.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
//
// # What the types cannot catch
//
// Foods of a catalogue are pointers that all users share, and Go cannot keep
// anybody from writing to them; copy before changing. A Food made by hand has no
// figures. Averages of samples are not the pack in your freezer: livers of one
// species differ five-fold in vitamin A by origin. A row with a figure that is
// plausible and wrong passes every check here.
package prey
