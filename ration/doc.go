// Package ration says who is fed, how much and when: animals and their households, daily need by every known method side
// by side, and a week's plan as data.
//
// Nothing here replaces a veterinarian. Amounts are estimates; an animal that is young, pregnant, nursing or ill is for the
// vet first, and Need says so.
//
// # Files
//
// A household file, in YAML or JSON (read by package strict: known keys only, quantities as text with their unit, every
// fault of the file at once with its place):
//
//	household: Brackenford Ferret Rescue
//	as-of: 2026-11-25           # the day this file describes; nothing reads the machine's clock
//	start: 2026-11-30           # optional; the as-of day if absent
//	target: assembled           # optional id of a target of package balance
//	room: 19 °C                 # optional
//	freezer: -18 °C             # optional
//	waking: 06:30-22:30         # optional; when food can be set out and lifted
//	meals-per-day: 2            # optional, 1 to 12
//	people-at-risk: true        # optional; false if absent
//	style: assembled            # optional; any, assembled, whole-prey or mix
//	animals:
//	  - id: bramble             # lower-case letters, digits, hyphens
//	    name: Bramble           # optional
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
