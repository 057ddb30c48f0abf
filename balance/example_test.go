package balance_test

import (
	"fmt"
	"log"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// A day's food for one jill, audited. Programs keep the book and the screen.
func ExampleAudit() {
	foods, err := prey.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	book, err := balance.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	screen, err := safety.NewHazardCheck(nil, foods, safety.Context{})
	if err != nil {
		log.Fatal(err)
	}
	plan, err := ration.LoadPlan("plan.yaml", strings.NewReader(`
schema: fitchet.plan/1
household: Brackenford Ferret Rescue
start: 2026-11-30
days:
  - date: 2026-11-30
    meals:
      - meal: 1
        for: [bramble]
        servings:
          - {food: chicken-thigh-meat, mass: 70 g}
          - {food: beef-heart, mass: 10 g}
          - {food: beef-liver, mass: 5 g}
          - {food: beef-kidney, mass: 5 g}
          - {food: chicken-wing, mass: 10 g}
`), foods, nil)
	if err != nil {
		log.Fatal(err)
	}
	for _, id := range []string{"assembled-edible-bone", "assembled-bone-in-meat"} {
		plan.Target = id
		report, err := balance.Audit(balance.Input{Plan: plan, Book: book, HazardCheck: screen})
		if err != nil {
			log.Fatal(err)
		}
		bone := report.Find("share-bone")[0]
		fmt.Printf("%s: %s\n  %s; limit %s\n", id, bone.Verdict, bone.MeasuredText(), bone.LimitText())
	}
	// Output:
	// assembled-edible-bone: missed
	//   3.8 % of the five slots (3.1 % to 4.6 %); limit 10 % to 15 % of the five slots
	// assembled-bone-in-meat: met
	//   10 % of the five slots; limit 8 % to 15 % of the five slots
}

// A missed rule names the smallest amount of one food that meets it.
func ExampleFinding_Mends() {
	foods, err := prey.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	find := func(id string) *prey.Food {
		f, err := foods.Find(id)
		if err != nil {
			log.Fatal(err)
		}
		return f
	}
	g := func(id string, grams int64) ration.Serving {
		return ration.Serving{Food: find(id), Mass: units.Mass(grams) * units.Gram}
	}
	plan := &ration.Plan{Household: "Brackenford Ferret Rescue", Days: []ration.Day{{Meals: []ration.Meal{{
		Slot: 1, Servings: []ration.Serving{g("chicken-thigh-meat", 80), g("beef-heart", 10), g("beef-liver", 5), g("beef-kidney", 5)},
	}}}}}
	report, err := balance.Audit(balance.Input{Plan: plan, Foods: foods})
	if err != nil {
		log.Fatal(err)
	}
	f := report.Find("calcium-least")[0]
	fmt.Println(f.Verdict, f.MeasuredText())
	for _, c := range f.Mends()[:1] {
		fmt.Println(c.Text())
	}
	// Output:
	// missed 0.07 g per 1000 kcal
	// Add 1 g (0.04 oz) of bone meal.
}

// A rescue lays its own rule over the shipped ones.
func ExampleBook_WithRules() {
	book, err := balance.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	own, err := balance.LoadRules("own.yaml", strings.NewReader(`
schema: fitchet.rules/1
rules:
  - id: eggs-weekly
    override: none of ours gets eggs on the vet's word
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
`), book.Registry())
	if err != nil {
		log.Fatal(err)
	}
	book, err = book.WithRules(own)
	if err != nil {
		log.Fatal(err)
	}
	rule, _ := book.Rule("eggs-weekly")
	fmt.Println(rule.Title, rule.High.Text, rule.High.Ref.Words(book.Registry()))
	// Output:
	// No eggs. 0 our choice: the vet's word for this house
}

// A program that asks one question of a plan takes one rule.
func ExampleBook_Only() {
	book, err := balance.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	calcium, err := book.Only("calcium-least", "calcium-most")
	if err != nil {
		log.Fatal(err)
	}
	for _, r := range calcium.Rules() {
		fmt.Printf("%s (%s): %s\n", r.ID, r.Severity, r.Title)
	}
	_, err = book.Only("calcium-leest")
	fmt.Println(err)
	// Output:
	// calcium-least (mend): Calcium reaches the cat's adult minimum.
	// calcium-most (mend): Calcium stays under the most that adult cats were fed for long without harm.
	// rule "calcium-leest": no rule has this id
}
