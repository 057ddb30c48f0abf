package balance_test

import (
	"fmt"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// day is one day of rabbit and heart for nobody in particular.
func day(rabbit, heart *prey.Food, grams int64) *ration.Plan {
	return &ration.Plan{Days: []ration.Day{{Meals: []ration.Meal{{Slot: 1, Servings: []ration.Serving{
		{Food: rabbit, Mass: units.Mass(100-grams) * units.Gram},
		{Food: heart, Mass: units.Mass(grams) * units.Gram},
	}}}}}}
}

// A program that looks at many plans keeps an Auditor. Its Report is good until the
// next call: take out of it what is wanted.
func ExampleAuditor() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	rabbit, err := foods.Find("rabbit meat")
	if err != nil {
		fmt.Println(err)
		return
	}
	heart, err := foods.Find("beef heart")
	if err != nil {
		fmt.Println(err)
		return
	}
	var auditor balance.Auditor
	for grams := int64(6); grams <= 14; grams += 2 {
		report, err := auditor.Audit(balance.Input{Plan: day(rabbit, heart, grams)})
		if err != nil {
			fmt.Println(err)
			return
		}
		f := report.Find("share-heart")[0]
		fmt.Printf("%d g of heart in 100 g: %s\n", grams, f.Verdict)
	}
	// Output:
	// 6 g of heart in 100 g: missed
	// 8 g of heart in 100 g: met
	// 10 g of heart in 100 g: met
	// 12 g of heart in 100 g: met
	// 14 g of heart in 100 g: missed
}
