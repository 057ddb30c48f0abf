// Package safety says what time, temperature and origin do to food for ferrets:
// how long it may lie out, what grows meanwhile, how long it keeps, what freezing
// does and does not do, what speaks against a food, and what a sheet must warn of.
//
// Nothing here is veterinary or legal advice. Local food and animal rules and a
// veterinarian come first. Every published limit was written for human food; no
// agency figure for a ferret's bowl is known.
//
// # Tables and book
//
// All facts are rows of data files ([Files]), each with its citation in the text
// form of package cite. [Shipped] reads them into a [Book]; [Load] reads a changed
// copy. Reading is strict: a row without a whole citation, with an unknown source,
// an unknown key, class, tag or word is a fault, and all faults of all files come
// back at once as strict.Faults with path, line and column.
//
//	limits.yaml    published limits for time out of the cold; published evidence only
//	practice.csv   what keepers do, by form; practice only, never a limit
//	hazards.yaml   what speaks against a food
//	liver.csv      vitamin A by liver
//	cautions.yaml  what a sheet must show, and when
//	storage.csv    fridge days and freezer months, dataset by dataset
//	analogies.csv  kinds that no chart lists, and the nearest that is
//	keeping.csv    as what kind a food of a catalogue is kept, and where
//	thawing.csv    thawing times
//	holds.csv      freezing figures by agent and host
//	agents.csv     what freezing does to each agent, and in which animals it matters
//	handling.csv   rules for people; bleach.csv dilutions; vet.csv signs
//	notices.yaml   bird-flu notices and recalls; read apart, by [LoadNotices]
//
// The animals with their classes (there called groups) and the tags that a food may
// carry are closed lists of package prey ([prey.Words]), which foods are held to.
//
// A Book never changes after it is made and is safe for concurrent use, as long as
// nobody writes into the source keys of the citations it hands out: those slices
// are shared. The package has no clock, opens no files of its own and writes nothing.
//
// # Time out of the cold
//
// [Book.SetOut] judges a [SetOutQuestion]. Time is counted from when the food left the
// cold until the last piece is found; time already spent thawing outside a fridge,
// preparing, in a bowl or in a stash is added up ([TimeWarm]). Each published limit
// is marked [Applies], [CannotBeSaid] (a condition is not known) or [DoesNotApply].
// The strictest that applies leads. Practice stands beside it with how often it
// goes into the limit; it never leads, and never becomes [Within] by being usual.
// Without a room temperature the two-hour rule alone can lead.
//
// Conditions are judged at the warmest step of the room and of the known clocks. A
// temperature printed in both scales is one bound: a reading within either figure
// is within ([Bound]), so 21 °C and 70 °F give one verdict. Times and temperatures
// are exact integers; no verdict rests on a float, except that [FarOver] may also
// be reached by predicted growth of more than one log10, never left by it.
//
// A room at 4.4 °C (40 °F) or less is a fridge: no hours apply, see [Book.UseBy].
// Dried raw food that stays dry has no figure and no limit; once wet it is judged
// as perishable, which is our choice.
//
// # Keeping
//
// storage.csv and nothing else says how many days a food keeps. [Book.KeepFood]
// finds the kind of a food by the first row of keeping.csv that fits its kind, cut,
// species and form; a food that no row fits, and a state for which a kind has no
// figure, is taken for the shortest of the whole table, and says so. Plan with the
// lower figure of [Keeping.Days].
//
// # Growth
//
// A [Model] predicts the gain of germs already there as [Growth], in log10, with
// no lag. It is an estimate, prints as 'about', and is no chance of illness. The
// set of models is closed: each was checked against a second source. A temperature
// outside a model's range makes the prediction unknown, never zero; above
// [PastModel] it is no prediction. Growth over a changing temperature is summed
// exactly per step. [Model.WarmestFor] is the inverse.
//
// # Hazards
//
// [Book.Hazards] takes an [Item] and a [Context]. Severity is one scale: [Stop], do
// not feed it; [Mend], not as it is; [Watch], know this. Stops take no account of
// hours. A hazard whose standing is [StandOpen] rests on something to be looked up.
// Tags of an item, raw being meant unless cooked is among them:
//
//	cooked wild-caught poultry raw-pork omnivore-or-carnivore cooked-bone
//	microwaved-bone weight-bearing-bone cured smoked seasoned preserved allium
//	xylitol chocolate grape dairy raw-egg-white raw-fish thiaminase
//	thiaminase-unknown oily-fish liver vitamin-a-rich vitamin-d-rich
//	fish-oil-no-vitamin-e thyroid-trim nervous-tissue shot-lead found-dead
//	euthanised euthanasia-residue frozen-rodent-salmonella yolk-sac taurine-low
//	freeze-dried
//
// [Book.Tags] gives their meaning and [Book.AllHazards] every hazard that is
// known, with what makes it match. A tag or species that no rule knows is returned
// as an open stop, so that a misspelling cannot pass for safety ([Book.CheckItem]
// gives the nearest word); a food with no hazard is not thereby safe. Figures made for cats, dogs, mink or foxes say so.
//
// A rule that depends on a notice says when it was last confirmed. The age is
// counted to the later of the file's as-of day and [Context.On]; beyond
// [Notices.StaleAfter] days it stands open. A region that no notice names has none;
// where one is written down, [Notices.CheckRegion] tells a misspelt one. A supplier
// one letter off a recalled one is taken for the same.
//
// # Freezing
//
// [Book.Freeze] answers for one animal, agent by agent, worst first. Rows of a rule
// are alternatives; where there is a rule, shorter results of single studies do not
// stand in for it; of disagreeing advice and studies the longest counts. The mean of
// a regression is never a safe time. A figure measured at the core is not met by a
// time in a freezer's air. Bacteria, bird flu, freeze-proof Trichinella, lead and rat
// poison are never answered by freezing, and each answer names them.
//
// # Errors
//
// Questions with impossible values (a negative period, a form that is none) return
// errors that wrap the package's sentinels. Not errors: a temperature that is not
// given, a species or tag that is not known to Hazards, a kind with no figure. These
// are answered, with what is missing.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
//
// # What the types cannot catch
//
// A room measured in the wrong place. Food that left the fridge earlier than said. A
// food whose tags are left out. A supplier written more than a letter away from the
// recall, a lot by any letter. A
// [Spell] or [TimeWarm] whose temperature is not that of the food: the food is taken to
// be as warm as its surroundings from the first minute.
package safety
