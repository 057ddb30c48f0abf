package plan_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"strings"
	"testing"

	"fitchet.example/balance/plan"
	"fitchet.example/ration"
)

// The README shows the body of this example; TestReadmeExample keeps the two alike.

func ExampleWeek() {
	household, foods, err := ration.LoadHousehold("lodge.yaml", strings.NewReader(`
household: Heather Lodge
as-of: 2026-11-25
animals:
  - {id: willow, sex: jill, weight: 800 g, age: 2 years}
stock:
  - {food: rabbit meat, mass: 600 g}
  - {food: beef heart, mass: 4 oz}
offers:
  - {food: chicken wing, pieces: 6, price: 2.40 EUR}
  - {food: lamb kidney, pack: 100 g, price: 1.10 EUR}
  - {food: duck liver, pack: 100 g, price: 1.50 EUR}
`), nil)
	if err != nil {
		log.Fatal(err) // every fault of the file, each with its line and column
	}
	week, err := plan.Week(context.Background(), plan.Request{Household: household, Foods: foods})
	if err != nil {
		log.Fatal(err)
	}
	for _, l := range week.Lacking {
		fmt.Println("lacking:", l.Mass, "of", l.What)
	}
	if week.Plan == nil {
		return
	}
	for _, f := range week.Report.Findings {
		if f.Rule.ID == "share-heart" {
			fmt.Println(f.Verdict, "-", f.Rule.Title, "Wanted:", f.LimitText())
		}
	}
	shop, err := ration.Shop(week.Plan, household, ration.ByNeed(household))
	if err != nil {
		log.Fatal(err)
	}
	for _, b := range shop.Buy {
		fmt.Println("buy", b.Packs, "x", household.Offers[b.Offer].Food.Name, b.Cost)
	}
	// Output:
	// met - Heart makes up its share of the week. Wanted: 8 % to 12 % of the five slots
	// buy 1 x chicken wing 2.40 EUR
	// buy 1 x lamb kidney 1.10 EUR
	// buy 1 x duck liver 1.50 EUR
}

func TestReadmeExample(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile("embed_test.go")
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(source), "func ExampleWeek() {\n")
	body, _, _ = strings.Cut(body, "\t// Output:")
	shown := strings.ReplaceAll(string(readme), "\r", "")
	if body = strings.TrimSpace(body); body == "" || !strings.Contains(shown, body) {
		t.Error("the README does not show the body of ExampleWeek as it stands here")
	}
}
