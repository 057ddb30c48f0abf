package plan_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/balance/plan"
	"fitchet.example/ration"
)

// shelter is a household of so many animals that eat in groups, every tenth by
// itself, of which two get what a vet asked for: no chicken for one, small meals
// often for the other. The freezer holds a third of the week. The prices are
// invented.
func shelter(animals, group int) string {
	var b strings.Builder
	b.WriteString("household: Brackenford Ferret Rescue\nas-of: 2026-11-25\nanimals:\n")
	for i := range animals {
		sex, grams := "jill", 620+37*i%350
		if i%3 == 0 {
			sex, grams = "hob", 1050+53*i%800
		}
		fmt.Fprintf(&b, "  - {id: a%d, sex: %s, weight: %d g, age: %d years", i, sex, grams, 2+i%5)
		switch {
		case i == 4:
			b.WriteString(", never: [chicken]")
		case i == 7:
			b.WriteString(", conditions: [insulinoma], longest-gap: 4 h")
		case i%10 != 9:
			fmt.Fprintf(&b, ", group: g%d", i/group)
		}
		b.WriteString("}\n")
	}
	fmt.Fprintf(&b, "stock:\n  - {food: rabbit leg meat, mass: %d g}\n  - {food: chicken liver, mass: %d g, best-before: 2026-12-02}\n", 120*animals, 10*animals)
	fmt.Fprintf(&b, "  - {food: chicken wing, pieces: %d}\n", animals)
	b.WriteString("offers:\n")
	for _, o := range []struct{ food, pack, price string }{
		{"chicken thigh meat", "1 kg", "7.00"}, {"beef mince", "1 kg", "9.00"}, {"turkey meat", "1 kg", "8.00"}, {"duck meat", "500 g", "6.50"},
		{"beef heart", "1 kg", "6.00"}, {"turkey heart", "500 g", "3.50"}, {"beef liver", "500 g", "3.00"}, {"duck liver", "250 g", "3.00"},
		{"beef kidney", "500 g", "3.00"}, {"lamb kidney", "250 g", "2.50"}, {"rabbit leg", "500 g", "7.20"}, {"duck neck", "500 g", "3.10"},
		{"salmon oil", "250 g", "6.00"},
	} {
		fmt.Fprintf(&b, "  - {food: %s, pack: %s, price: %s EUR}\n", o.food, o.pack, o.price)
	}
	b.WriteString("  - {food: chicken wing, pieces: 12, price: 4.80 EUR}\n  - {food: hen egg, pieces: 10, price: 2.50 EUR}\n")
	return b.String()
}

var shelters = []struct{ animals, group int }{{12, 3}, {200, 8}}

// Every animal of a shelter is planned for, and what a vet forbids is in no bowl.
func TestShelter(t *testing.T) {
	for _, s := range shelters {
		t.Run(fmt.Sprint(s.animals), func(t *testing.T) {
			res := made(t, request(t, shelter(s.animals, s.group)))
			if res.Plan == nil || !res.Report.Passed() {
				t.Fatalf("%s, lacking %v, clash %v", res.Outcome, res.Lacking, res.Clash)
			}
			meals := map[string]int{}
			for _, d := range res.Plan.Days {
				for _, m := range d.Meals {
					for _, id := range m.For {
						meals[id]++
					}
					for _, sv := range m.Servings {
						if len(m.For) == 1 && m.For[0] == "a4" && sv.Food.Species == "chicken" {
							t.Errorf("a4 is given %s", sv.Food.ID)
						}
					}
				}
			}
			if len(meals) != s.animals {
				t.Errorf("%d of %d animals are fed", len(meals), s.animals)
			}
			if h := res.Household; ration.Needs(&h.Animals[7], h.AsOf).MealsPerDay*7 > meals["a7"] {
				t.Errorf("a7 gets %d meals in the week", meals["a7"])
			}
		})
	}
}

func BenchmarkShelter(b *testing.B) {
	for _, s := range shelters {
		b.Run(fmt.Sprintf("%d animals", s.animals), func(b *testing.B) {
			q := request(b, shelter(s.animals, s.group))
			for b.Loop() {
				if _, err := plan.Week(context.Background(), q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
