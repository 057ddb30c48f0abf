package switchover_test

import (
	"fmt"
	"strings"

	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/ration/switchover"
	"fitchet.example/units"
)

func ExamplePlan_Next() {
	steps, err := switchover.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	moss := ration.Animal{ID: "moss", Sex: ration.Hob, Mass: 1400 * units.Gram, Stage: ration.Adult}
	diary := log.Log{AsOf: log.Moment{Date: 20000, Time: 20 * 60}}
	step, err := steps.Next(switchover.State{Animal: "moss", Stage: "soup", Since: 19990}, &moss, &diary, log.DefaultWeightLimits())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %s\n", step.Move, step.Reasons[0])
	// Output: cannot be said: nothing is written down for the last 12 hours: what did it eat?
}

// The shipped steps, in their order.
func ExampleShipped() {
	steps, err := switchover.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range steps.Stages[:3] {
		fmt.Printf("%s: %s, at least %d days\n", s.ID, s.Name, s.Gate.Days)
	}
	// Output:
	// known-food: The food it knows, at least 3 days
	// taste: A taste of raw soup, at least 2 days
	// soup: Raw soup alone, at least 3 days
}

// Steps of one's own, in the form of the shipped file.
func ExampleLoad() {
	steps, err := switchover.Load("own.yaml", strings.NewReader(`
evidence: "practice: from mince to wings"
gates: "choice: slower, for an old animal"
stages:
  - id: mince
    name: Mince
    do: Mince beside the food it knows.
    old-food: Stays.
    boneless: true
    gate: {days: 7, meals: 6, eaten: 80 %}
    back: {meals: 2, hours: 8}
  - id: wings
    name: Wings
    do: A wing a day.
    old-food: Goes.
    boneless: false
    gate: {days: 7, meals: 6, eaten: 80 %}
    back: {meals: 2, hours: 8}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range steps.Stages {
		fmt.Println(s.Name, s.Gate.Eaten, "of", s.Gate.Meals, "meals")
	}
	// Output:
	// Mince 80 % of 6 meals
	// Wings 80 % of 6 meals
}
