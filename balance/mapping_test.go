package balance_test

import (
	"encoding/json"
	"fmt"
	"log"
	"os"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// The README shows the body of this example too; see TestReadmeMapping.

// Another program keeps its own table of foods and its own animals. Its foods
// come in as the JSON form of a food file, its animals as values.
func ExampleAudit_ownTable() {
	type product struct { // a row of the other program's table, in percent
		code, title                   string
		water, protein, fat, ash      string
		fibre, calcium, phosphorus    string
		heart, liver, kidney, boneGot string
	}
	table := []product{{"oak-mix", "Oak mix", "66 %", "17 %", "13 %", "3.6 %", "0.3 %", "9000 mg/kg", "6200 mg/kg", "10 %", "5 %", "5 %", "11 %"}}

	var foods []map[string]any
	for _, p := range table {
		foods = append(foods, map[string]any{
			"id": p.code, "name": p.title, "kind": "mix", "contains": []string{"rabbit", "cattle", "turkey"}, "colour": "red", "complete": false,
			"ref":   "choice: the maker's label as our table holds it",
			"parts": map[string]any{"bone-means": "edible", "heart": p.heart, "liver": p.liver, "organ": p.kidney, "bone": p.boneGot},
			"label": map[string]any{"state": "wet", "per": "fed", "moisture": p.water, "protein": p.protein, "fat": p.fat, "ash": p.ash,
				"fibre": p.fibre, "calcium": p.calcium, "phosphorus": p.phosphorus},
		})
	}
	text, err := json.Marshal(map[string]any{"foods": foods})
	if err != nil {
		log.Fatal(err)
	}
	catalogue, err := prey.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	own, err := prey.LoadFoods("our table", strings.NewReader(string(text)), catalogue.Registry())
	if err != nil {
		log.Fatal(err) // every fault of the table, with its place
	}
	if catalogue, err = catalogue.With(own); err != nil {
		log.Fatal(err)
	}
	mix, err := catalogue.Find("oak-mix")
	if err != nil {
		log.Fatal(err)
	}

	household := &ration.Household{Name: "Client 4711", Animals: []ration.Animal{{ID: "pip", Name: "Pip", Sex: ration.Jill, Mass: 750 * units.Gram}}}
	plan := &ration.Plan{Household: household.Name}
	for d := range 7 {
		plan.Days = append(plan.Days, ration.Day{Date: units.Date(d), Meals: []ration.Meal{
			{Slot: 1, For: []string{"pip"}, Servings: []ration.Serving{{Food: mix, Mass: 30 * units.Gram}}},
			{Slot: 2, For: []string{"pip"}, Servings: []ration.Serving{{Food: mix, Mass: 30 * units.Gram}}},
		}})
	}
	report, err := balance.Audit(balance.Input{Plan: plan, Household: household})
	if err != nil {
		log.Fatal(err)
	}
	for _, id := range []string{"share-liver", "energy-band", "ca-p-floor"} {
		for _, f := range report.Find(id) {
			fmt.Printf("%s %s: %s\n", f.Verdict, id, f.MeasuredText())
		}
	}
	// Output:
	// met share-liver: 5 % of the five slots
	// met energy-band: 107.3 kcal a day
	// met ca-p-floor: 1.45 : 1
}

func TestReadmeMapping(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile("mapping_test.go")
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(source), "func ExampleAudit_ownTable() {\n")
	body, _, _ = strings.Cut(body, "\t// Output:")
	if body = strings.TrimSpace(body); body == "" || !strings.Contains(string(readme), body) {
		t.Error("the README does not show the body of ExampleAudit_ownTable as it stands here")
	}
}
