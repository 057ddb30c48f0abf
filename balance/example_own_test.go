package balance_test

import (
	"encoding/json"
	"fmt"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/ration"
)

// No egg at all: a rule of one house.
const noEgg = `
schema: fitchet.rules/1
rules:
  - id: no-egg
    title: No eggs.
    check: pieces
    of: kind
    kind: egg
    species: [ferret]
    shared: head
    period: week
    gravity: mend
    means: Eggs upset the animals that live here now.
    high: {value: "0", ref: "choice: the vet's word for this house"}
    since: "2026-12"
`

const withEgg = `
schema: fitchet.plan/1
household: Brackenford Ferret Rescue
start: 2026-11-30
days:
  - date: 2026-11-30
    meals: [{meal: 1, for: [bramble], servings: [{food: chicken-egg, mass: 50 g, pieces: 1}]}]
`

const bramble = `
household: Brackenford Ferret Rescue
as-of: 2026-11-30
animals: [{id: bramble, sex: jill, weight: 800 g, age: 3 years}]
stock: [{food: chicken-egg, pieces: 6}]
`

// Rules of one's own do not travel with a report: who reads it gives them.
func ExampleReadReport() {
	shipped, err := balance.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	own, err := balance.LoadRules("own.yaml", strings.NewReader(noEgg), shipped.Registry())
	if err != nil {
		fmt.Println(err)
		return
	}
	book, err := shipped.WithRules(own)
	if err != nil {
		fmt.Println(err)
		return
	}
	household, foods, err := ration.LoadHousehold("home.yaml", strings.NewReader(bramble), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := ration.LoadPlan("plan.yaml", strings.NewReader(withEgg), foods, household)
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := balance.Audit(balance.Input{Plan: plan, Household: household, Book: book})
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(report)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = balance.ReadReport(text, balance.Input{})
	fmt.Println(err)
	back, err := balance.ReadReport(text, balance.Input{Book: book})
	if err != nil {
		fmt.Println(err)
		return
	}
	f := back.Find("no-egg")[0]
	fmt.Println(f.Verdict, f.MeasuredText(), "for", f.Who())
	// Output:
	// reading a report: its Book did not travel with it and Input does not give it: report cannot be read back
	// missed 1 a week for bramble
}
