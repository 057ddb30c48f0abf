package prose_test

import (
	"fmt"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/prose"
	"fitchet.example/prey"
	"fitchet.example/ration"
)

// A report in plain words: here what it says of one missed rule.
func ExampleWrite() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
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
        servings: [{food: rabbit-meat, mass: 100 g}]
`), foods, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	book, err := balance.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	book, err = book.Only("share-bone")
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := balance.Audit(balance.Input{Plan: plan, Book: book, Foods: foods})
	if err != nil {
		fmt.Println(err)
		return
	}
	var text strings.Builder
	if err := prose.Write(&text, report); err != nil {
		fmt.Println(err)
		return
	}
	_, missed, _ := strings.Cut(text.String(), "  missed: ")
	missed, _, _ = strings.Cut(missed, "\n\n")
	fmt.Println(missed)
	// Output:
	// Bone makes up its share of the week, counted as the target counts it. [share-bone]
	//       measured   0 % of the five slots
	//       limit      10 % to 15 % of the five slots
	//       from       common practice: 10 to 15 %; common practice: 10 to 15 % edible bone
	//       means      Too little bone leaves the food short of calcium; too much gives hard, pale, crumbly stools.
	//       mend       Add 20 g (0.7 oz) of turkey neck, skinned.
}
