package kit_test

import (
	"strings"
	"testing"

	"fitchet.example/examples/internal/kit"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// An animal is as old as its household's file says.
func TestDescribeAge(t *testing.T) {
	for file, want := range map[string]string{
		"age: 1 year": "52 weeks", "age: 2 years": "2 years", "age: 3 years": "3 years", "age: 7 years": "7 years", "age: 14 weeks": "14 weeks",
		`born: "2023-11-25"`: "3 years", `born: "2023-12-25"`: "2 years", `born: "2024-12-01"`: "103 weeks",
	} {
		h, _, err := ration.LoadHousehold("household.yaml", strings.NewReader(
			"household: Brackenford Ferret Rescue\nas-of: \"2026-11-25\"\nanimals: [{id: willow, sex: jill, weight: 800 g, "+file+"}]\nstock: [{food: rabbit meat, mass: 1 kg}]\n"), nil)
		if err != nil {
			t.Fatal(err)
		}
		a := &h.Animals[0]
		if got := kit.Describe(a, ration.Needs(a, h.AsOf)); !strings.HasSuffix(got, ", "+want) {
			t.Errorf("%s: %s, want %s", file, got, want)
		}
	}
}

// A cat is no hob.
func TestDescribeCat(t *testing.T) {
	cat := ration.Animal{ID: "tom", Species: ration.Cat, Sex: ration.Hob, Mass: 4 * units.Kilogram, Stage: ration.Adult}
	if got := kit.Describe(&cat, ration.Needs(&cat, 20000)); !strings.HasPrefix(got, "cat, male, ") {
		t.Error(got)
	}
}
