package eaten_test

import (
	"fmt"
	"strings"

	"fitchet.example/balance/eaten"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
)

// Who is there. The stock is what is in the freezer today.
const home = `
household: Brackenford Ferret Rescue
as-of: 2026-12-06
animals:
  - {id: bramble, sex: jill, weight: 800 g, age: 2 years}
stock:
  - {food: chicken wing, mass: 2 kg}
`

// What a keeper wrote down: what was put out, and what was still there when the
// bowl was lifted. Nobody weighed the last bowl.
const diary = `
schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-06 21:00
from: 2026-12-05
complete: [2026-12-05 to 2026-12-06]
fed:
  - {at: 2026-12-05 07:00, for: [bramble], food: chicken wing, offered: 20 g, left: 4 g, stash: 0 g}
  - {at: 2026-12-05 07:00, for: [bramble], food: chicken thigh meat, offered: 60 g, left: 0 g, stash: 0 g}
  - {at: 2026-12-06 07:00, for: [bramble], food: chicken thigh meat, offered: 50 g, left: 0 g, stash: 0 g}
  - {at: 2026-12-06 19:00, for: [bramble], food: beef liver, offered: 12 g, stash: 0 g}
`

// A log, audited: verdicts at what was typically eaten, and over all that may have
// been eaten. One bowl that nobody weighed leaves the liver open.
func ExampleAudit() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	household, foods, err := ration.LoadHousehold("home.yaml", strings.NewReader(home), foods)
	if err != nil {
		fmt.Println(err)
		return
	}
	written, err := log.Load("log.yaml", strings.NewReader(diary), foods, household)
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := eaten.Audit(eaten.Input{Log: written, Household: household, Days: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	eater := report.Each[0]
	fmt.Println(eater.Animal.ID, "ate", eater.Mass.Low.InGrams(0), "to", eater.Mass.High.InGrams(0))
	for _, f := range eater.Findings {
		switch f.Rule.ID {
		case "share-heart", "share-liver":
			fmt.Printf("%s: %s, over all that may have been eaten: %s\n", f.Rule.ID, f.Verdict, f.Over)
			fmt.Println("  ", f.RangeText())
			if f.Why != "" {
				fmt.Println("  ", f.Why)
			}
		}
	}
	// Output:
	// bramble ate 126 g to 138 g
	// share-heart: missed, over all that may have been eaten: missed
	//    0 % of the five slots
	// share-liver: missed, over all that may have been eaten: open
	//    0 to 8.7 % of the five slots
	//    what was eaten is known only within a range
}
