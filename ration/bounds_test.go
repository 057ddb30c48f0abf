package ration

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/units"
)

// A file that holds more than can be counted, or than anybody keeps, is refused
// with a word.
func TestHouseholdBounds(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	const animal = "  - {id: a-%d, sex: jill, weight: 700 g}\n"
	const lot = "  - {food: chicken-wing, mass: 1000 kg}\n"
	file := func(animals, lots int, line string) string {
		var b strings.Builder
		b.WriteString("household: Testing Lodge\nas-of: 2026-11-25\nanimals:\n")
		for i := range animals {
			fmt.Fprintf(&b, animal, i)
		}
		return b.String() + "stock:\n" + strings.Repeat(line, lots)
	}
	for name, tc := range map[string]struct{ text, want string }{
		"as much as may be":  {file(maxAnimals, 5, lot), ""},
		"18 lots of 1000 kg": {file(1, 18, lot), "h.yaml:6:3: the stock weighs more than 5000000 g in all"},
		"too many animals":   {file(maxAnimals+1, 1, lot), "h.yaml:4:3: 1001 animals: one file may hold 1000"},
		"too many lots":      {file(1, maxLots+1, strings.Replace(lot, "1000 kg", "1 g", 1)), "h.yaml:6:3: 10001 lots of stock: one file may hold 10000"},
	} {
		_, _, err := LoadHousehold("h.yaml", strings.NewReader(tc.text), c)
		if tc.want == "" && err != nil || tc.want != "" && (err == nil || !strings.Contains(err.Error(), tc.want)) {
			t.Errorf("%s: %v, want %q", name, err, tc.want)
		}
	}
}

// A list of what to buy is right or not made: sums that run over are errors.
func TestShopOverflows(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	f, err := c.Find("chicken-wing")
	if err != nil {
		t.Fatal(err)
	}
	plan := &Plan{Days: []Day{{Date: 1, Meals: []Meal{{Slot: 1, For: []string{"a"}, Servings: []Serving{{Food: f, Mass: 30 * units.Gram}}}}}}}
	one := func(string, *prey.Food) int64 { return 1 }
	for name, h := range map[string]*Household{
		"stock":             {Stock: []Stock{{Food: f, Mass: math.MaxInt64}, {Food: f, Mass: 1}}},
		"what is left over": {Stock: []Stock{{Food: f, Mass: 1}}, Offers: []Offer{{Food: f, Pack: math.MaxInt64, Price: units.Price{}}}},
	} {
		h.Animals = []Animal{{ID: "a", Mass: units.Kilogram}}
		list, err := Shop(plan, h, one)
		if name == "stock" && !errors.Is(err, units.ErrOverflow) {
			t.Errorf("%s: %v, %v", name, list, err)
		}
		if err == nil {
			for _, l := range list.Left {
				if l.Mass <= 0 {
					t.Errorf("%s: %s is left", name, l.Mass)
				}
			}
		}
	}
}
