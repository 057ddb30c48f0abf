// Package ration says who is fed, how much and when: animals and their households, daily need by every known method side
// by side, a plan as data, portions, thawing and shopping, and the feeding clock. What was really eaten and weighed is
// package ration/log, the stepwise change from dry food package ration/switchover.
//
// Nothing here replaces a veterinarian. An animal that is young, pregnant, nursing or ill is for the vet first; Need says
// so before it says anything else.
//
// Everything is a function of its arguments. Nothing reads a clock, a network or a file; loaders take an io.Reader. Values
// that were loaded are not changed by any function here, and all functions may be called at the same time.
//
// # Need
//
// Needs puts every method beside the others, each an Estimate with the masses, ages and stages it holds for, whether it
// holds for this animal, and where it comes from. W is the live weight in kg.
//
//	measured-band        105 W^0.75 to 147.8 W^0.734 kcal   polecats in summer; mink. Ferrets of 0.4 to 2.5 kg, over 36 weeks
//	measured-winter      130 W^0.75 kcal                    polecats in winter
//	handbook-kcal-kg     200 to 300 W kcal                  about twice every measured intake; shown, never an error
//	resting-need         70 W^0.75 kcal                     any mammal; a floor. 30 W + 70, for 2 to 45 kg, is not used
//	ounces-by-sex        a jill 1-3 oz, a hob 2-4 oz        common practice; its low ends are below resting need for most
//	grams-adult          80 to 100 g                        common practice
//	percent-body-weight  5 to 7 % of body weight            a rule for dry food, never applied to raw
//	gestation, lactation x 2, x 3 to 4 of the band
//	kit-planning         x 2 to 3 of the band               extrapolated from kittens; kits are fed to appetite
//	cat-maintenance      75 to 100 W^0.67 kcal, and growth factors and a kitten table
//	mink-maintenance     147.8 W^0.734 kcal                 adults; for other stages no published figure is known
//
// The band that is planned by is for ferrets borrowed from polecats and mink and says so. It is rounded outward once to
// tenths of a kcal, so that verdicts compare integers. No figure is ever made up: where none is known, Known is false.
//
// # Bounds between which nobody can choose for you
//
// FeedingClock keeps two bounds together: how long food may lie and how long an animal may wait. Where both cannot hold it
// says so, and lists what each way out costs. Its times are whole five minutes, rounded so that neither bound is exceeded.
//
// # A vet
//
// When a vet is called for an animal that does not eat is said in one place, Animal.WithoutFood.
//
// # Names
//
// Ids tell animals apart, and no two of a household are alike: a household that was built in code is asked with CheckIDs.
// Names need not differ; people read Household.NameOf, which sets the id beside a name that another animal has too. The
// loader takes names, groups, suppliers and lots that show and stand on one line (strict.Name).
//
// # What the types cannot catch
//
// A Serving does not know whether its mass is a day's or a meal's. Weights are trusted within wide bounds (200 g to 5 kg
// for a grown ferret): a slip inside them passes. A Plan may hold anything; package balance judges it. Times of day have no
// zone and no daylight saving: a clock that is put forward shortens one night. An animal's Never list is a wish or a vet's
// word, not a hazard; hazards are package safety's.
//
// # Values that travel
//
// A Household and a Plan go through encoding/json, by value and inside other values, and come back equal: the form is that
// of the files, and foods that the shipped catalogue does not hold travel with them under foods, see prey.Food. What cannot
// come back is not written: the error wraps ErrHousehold or ErrPlan. Only where a value was read (At) is left behind.
//
// WriteHousehold and WritePlan write files, for people and for programs that have the same foods. OpenHousehold keeps a
// household file as it was read, so that HouseholdFile.Write changes in it only what has changed.
//
// # Errors
//
// Loaders return strict.Faults: every fault of the file with path:line:column, wrapping the sentinel of what was wrong
// (units.ErrNoUnit, *prey.UnknownFoodError). Other errors wrap ErrPlan,
// ErrClock, ErrCurrency, ErrUnknownMineral, ErrUnreachable, ErrRatio, or those of units and prey. A past
// best-before day, a short stock, a figure that is not known and an animal that needs a vet are not errors: they are part
// of the answer.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
//
// # Files
//
// A household file, in YAML or JSON (read by package strict: known keys only, quantities as text with their unit, every
// fault of the file at once with its place):
//
//	household: Brackenford Ferret Rescue
//	as-of: 2026-11-25           # the day this file describes; nothing reads the machine's clock
//	start: 2026-11-30           # optional, at most 28 days after the as-of day; that day if absent
//	target: assembled           # optional id of a target of package balance
//	region: Northern Fells      # optional; as notices of bird flu name it, see safety.Context
//	room: 19 °C                 # optional
//	freezer: -18 °C             # optional
//	waking: 06:30-22:30         # optional; when food can be set out and lifted
//	meals-per-day: 2            # optional, 1 to 12
//	people-at-risk: true        # optional; false if absent
//	style: assembled            # optional; any, assembled, whole-prey or mix
//	animals:
//	  - id: bramble             # lower-case letters, digits, hyphens
//	    name: Bramble           # optional, one line of at most 200 bytes that shows
//	    species: ferret         # optional; ferret, cat or mink
//	    sex: jill               # optional; hob or jill, male or female
//	    weight: 780 g
//	    born: 2023-05-01        # optional; or age: 14 weeks
//	    neutered: true          # optional
//	    outdoor: false          # optional
//	    stage: adult            # optional; adult, juvenile, kit, pregnant, lactating or senior
//	    conditions: [obese]     # optional; words of Conditions
//	    longest-gap: 4 h        # optional; set by the keeper or the vet
//	    never: [beef liver, fish] # optional; foods or species this animal must not get
//	    group: upstairs         # optional; animals of one group share bowls
//	stock:                      # what is in the freezer; with offers, one of the two is needed
//	  - {food: chicken wing, mass: 2 kg, best-before: 2027-02-01, frozen: 2026-10-30, cost: 8.40 EUR, supplier: Hill Farm, lot: A7}
//	  - {food: mouse, pieces: 30}   # weighed at the typical piece of the catalogue
//	offers:                     # what can be bought, in whole packs
//	  - {food: beef heart, pack: 1 kg, price: 6.50 EUR, max: 3}
//
// A plan file has the schema key PlanSchema:
//
//	schema: fitchet.plan/1
//	household: Brackenford Ferret Rescue
//	start: 2026-11-30
//	days:
//	  - date: 2026-11-30
//	    meals:
//	      - meal: 1             # 1 for the first of the day
//	        for: [bramble]      # who eats from this bowl
//	        servings: [{food: chicken-wing, mass: 110 g, pieces: 1, form: bone-in}]
package ration
