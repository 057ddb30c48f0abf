package plan_test

import (
	"context"
	"encoding/json"
	"fmt"
	"log"
	"strings"

	"fitchet.example/balance/plan"
	"fitchet.example/ration"
	"fitchet.example/safety"
)

// home reads one jill of the rescue, with what stands in her freezer.
func home(stock string) plan.Request {
	household, foods, err := ration.LoadHousehold("home.yaml", strings.NewReader(`
household: Brackenford Ferret Rescue
as-of: 2026-11-25
animals:
  - {id: bramble, sex: jill, weight: 800 g, age: 2 years}
`+stock), nil)
	if err != nil {
		log.Fatal(err)
	}
	return plan.Request{Household: household, Foods: foods, Days: 7}
}

const full = `
stock:
  - {food: chicken wing, mass: 1 kg}
  - {food: rabbit meat, mass: 1 kg}
  - {food: beef heart, mass: 500 g}
  - {food: beef liver, mass: 300 g}
  - {food: lamb kidney, mass: 300 g}
`

// A freezer from which no balanced week can be made: the result names the food that
// is lacking, and how much of it.
func ExampleWeek_lacking() {
	week, err := plan.Week(context.Background(), home(`
stock:
  - {food: chicken wing, mass: 1 kg}
  - {food: rabbit meat, mass: 1 kg}
  - {food: beef heart, mass: 500 g}
  - {food: lamb kidney, mass: 300 g}
`))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(week.Outcome, week.Plan == nil)
	for _, l := range week.Lacking {
		fmt.Println("lacking:", l.Mass, "of", l.What, "such as", l.Food.Name)
	}
	// Output:
	// infeasible true
	// lacking: 21 g of liver such as lamb liver
}

// A result goes to another program as JSON and comes back with its plan and its
// report, which answers what the first one did.
func ExampleResult_MarshalJSON() {
	week, err := plan.Week(context.Background(), home(full))
	if err != nil {
		log.Fatal(err)
	}
	text, err := json.Marshal(week)
	if err != nil {
		log.Fatal(err)
	}
	var back plan.Result
	if err := json.Unmarshal(text, &back); err != nil {
		log.Fatal(err)
	}
	fmt.Println(back.Outcome, len(back.Plan.Days), "days, passed:", back.Report.Passed())
	fmt.Println(back.Report.Find("share-liver")[0].MeasuredText())
	// Output:
	// optimal 7 days, passed: true
	// 4.8 % of the five slots
}

// Who eats together: animals of one group share a bowl.
func ExampleBowl_IDs() {
	q := home(`
  - {id: moss, sex: hob, weight: 1.4 kg, age: 3 years, group: upstairs}
  - {id: tansy, sex: jill, weight: 750 g, age: 3 years, group: upstairs}
` + full)
	week, err := plan.Week(context.Background(), q)
	if err != nil {
		log.Fatal(err)
	}
	for _, b := range week.Bowls {
		fmt.Println(strings.Join(b.IDs(), " and "), b.Meals, "meals a day")
	}
	// Output:
	// bramble 2 meals a day
	// moss and tansy 2 meals a day
}

// The same freezer and shop, fed in four ways, with the work that each makes.
func ExampleCompareStyles() {
	styles, err := plan.CompareStyles(context.Background(), home(full+`
  - {food: mouse, pieces: 80}
offers:
  - {food: beef heart, pack: 500 g, price: 3.20 EUR}
`))
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range styles {
		if s.Result.Plan == nil {
			fmt.Printf("%s: %s\n", s.Style, s.Result.Outcome)
			continue
		}
		fmt.Printf("%s: %s, %d portions to weigh, %d to count\n", s.Style, s.Result.Cost, s.Work.Weigh, s.Work.Count)
	}
	// Output:
	// assembled: 0.00 EUR, 24 portions to weigh, 0 to count
	// complete mix: infeasible
	// whole prey: infeasible
	// mixed: 0.00 EUR, 19 portions to weigh, 6 to count
}

// Which wish is dear?
func ExampleRequirementCosts() {
	_, costs, err := plan.RequirementCosts(context.Background(), home(`
stock:
  - {food: chicken wing, mass: 1 kg}
  - {food: rabbit meat, mass: 1 kg}
offers:
  - {food: beef heart, pack: 500 g, price: 3.20 EUR}
  - {food: beef liver, pack: 250 g, price: 1.90 EUR}
  - {food: lamb kidney, pack: 250 g, price: 2.10 EUR}
`))
	if err != nil {
		log.Fatal(err)
	}
	for _, c := range costs[:3] {
		fmt.Println(c.Saves, "-", c.Words)
	}
	// Output:
	// 3.20 EUR - Heart makes up its share of the week. That is 8 % to 12 %.
	// 2.10 EUR - Other secreting organ makes up its share of the week. That is 4 % to 6 %.
	// 1.90 EUR - Liver makes up its share of the week. That is 4 % to 6 %.
}

// What a week takes in the kitchen.
func ExampleWorkOf() {
	week, err := plan.Week(context.Background(), home(full))
	if err != nil {
		log.Fatal(err)
	}
	care, err := safety.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	w := plan.WorkOf(week.Plan, week.Household, week.Buy, care)
	fmt.Println(w.Meals, "bowls,", w.Weigh, "portions to weigh,", w.Thaw, "batches to thaw")
	// Output:
	// 14 bowls, 24 portions to weigh, 17 batches to thaw
}
