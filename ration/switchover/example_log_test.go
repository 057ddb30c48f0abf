package switchover_test

import (
	"fmt"
	"strings"

	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/ration/switchover"
)

const moss = `
household: Brackenford Ferret Rescue
as-of: 2026-12-06
animals:
  - {id: moss, sex: hob, weight: 1.4 kg, age: 2 years}
stock: [{food: chicken thigh meat, mass: 1 kg}]
`

// Soup since the fourth, weighed and eaten up.
const soup = `
schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-06 20:00
from: 2026-12-04
complete: [2026-12-04 to 2026-12-06]
fed:
  - {at: 2026-12-04 08:00, for: [moss], food: chicken thigh meat, offered: 60 g, left: 0 g, stash: 0 g, stage: soup}
  - {at: 2026-12-04 18:00, for: [moss], food: chicken thigh meat, offered: 60 g, left: 0 g, stash: 0 g, stage: soup}
  - {at: 2026-12-05 08:00, for: [moss], food: chicken thigh meat, offered: 60 g, left: 0 g, stash: 0 g, stage: soup}
  - {at: 2026-12-05 18:00, for: [moss], food: chicken thigh meat, offered: 60 g, left: 6 g, stash: 0 g, stage: soup}
  - {at: 2026-12-06 08:00, for: [moss], food: chicken thigh meat, offered: 60 g, left: 0 g, stash: 0 g, stage: soup}
  - {at: 2026-12-06 18:00, for: [moss], food: chicken thigh meat, offered: 60 g, left: 0 g, stash: 0 g, stage: soup}
weights: [{at: 2026-12-06 08:00, animal: moss, weight: 1.4 kg}]
stools: [{at: 2026-12-06 08:00, animal: moss, class: firm}]
steps: [{at: 2026-12-04 07:00, animal: moss, stage: soup}]
`

// Where an animal stands by its log, and whether it is ready for the next step.
func ExampleWhere() {
	h, foods, err := ration.LoadHousehold("moss.yaml", strings.NewReader(moss), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := log.Load("soup.yaml", strings.NewReader(soup), foods, h)
	if err != nil {
		fmt.Println(err)
		return
	}
	steps, err := switchover.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	state, ok := switchover.Where(l, "moss")
	if !ok {
		fmt.Println("no step was begun")
		return
	}
	step, err := steps.Next(state, &h.Animals[0], l, log.DefaultWeightLimits())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(step.From.Name, "since", state.Since)
	for _, g := range step.Gate {
		fmt.Printf("%t: %s (%s)\n", g.Met, g.What, g.Have)
	}
	fmt.Printf("%s: %s\n", step.Move, step.To.Name)
	// Output:
	// Raw soup alone since 2026-12-04
	// false: at least 3 days (2 days on this step)
	// true: 6, each at least 70 % eaten for certain (6 meals of this step in a row)
	// true: firm stools (nothing against it is written down)
	// true: a weight of the last two days (the last weight is 1400 g (49.4 oz), of 2026-12-06)
	// stay: Raw soup alone
}
