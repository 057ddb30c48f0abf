package eaten_test

import (
	"context"
	"fmt"
	"strings"

	"fitchet.example/balance/eaten"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/units"
)

const freezer = `
household: Brackenford Ferret Rescue
as-of: 2026-12-06
start: 2026-12-07
animals:
  - {id: bramble, sex: jill, weight: 800 g, age: 2 years}
stock:
  - {food: chicken wing, mass: 2 kg}
  - {food: rabbit meat, mass: 2 kg}
  - {food: beef heart, mass: 500 g}
  - {food: beef liver, mass: 300 g}
  - {food: lamb kidney, mass: 300 g}
`

// A week without heart.
const week = `
schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-06 21:00
from: 2026-11-30
complete: [2026-11-30 to 2026-12-06]
fed:
  - {at: 2026-11-30 07:00, for: [bramble], food: rabbit meat, offered: 200 g, left: 0 g, stash: 0 g}
  - {at: 2026-12-02 07:00, for: [bramble], food: chicken wing, offered: 200 g, left: 0 g, stash: 0 g}
  - {at: 2026-12-04 07:00, for: [bramble], food: beef liver, offered: 20 g, left: 0 g, stash: 0 g}
  - {at: 2026-12-05 07:00, for: [bramble], food: lamb kidney, offered: 20 g, left: 0 g, stash: 0 g}
`

// Next week made from this week's log: what the log says goes into the request.
func ExampleReport_Extra() {
	household, foods, err := ration.LoadHousehold("freezer.yaml", strings.NewReader(freezer), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	written, err := log.Load("week.yaml", strings.NewReader(week), foods, household)
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := eaten.Audit(eaten.Input{Log: written, Household: household})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range report.Short {
		if s.Carry > 0 {
			fmt.Printf("short of %s by %s; next week makes up for %s of it\n", s.Slot, s.Short.Typical.InGrams(0), s.Carry)
		}
	}
	asked := plan.Request{Household: household, Foods: foods, Extra: report.Extra()}
	next, err := plan.Week(context.Background(), asked)
	if err != nil {
		fmt.Println(err)
		return
	}
	asked.Extra = [shares.NumSlots]units.Mass{}
	plain, err := plan.Week(context.Background(), asked)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, w := range []*plan.Result{plain, next} {
		fmt.Println("heart:", w.Report.Find("share-heart")[0].MeasuredText())
	}
	// Output:
	// short of heart by 35 g; next week makes up for 17 g of it
	// heart: 9.6 % of the five slots
	// heart: 10.8 % of the five slots
}
