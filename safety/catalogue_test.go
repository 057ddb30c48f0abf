package safety_test

import (
	"testing"

	"fitchet.example/prey"
	"fitchet.example/safety"
)

// The shipped catalogue of foods and the hazards speak one language: every tag
// and every animal of a food is one that the rules know.
func TestCatalogueUsesKnownTagsAndAnimals(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	b, err := safety.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range c.Select(prey.Filter{}) {
		n++
		for _, err := range b.CheckItem(safety.Item{Species: f.Species, Contains: f.Contains, Tags: f.Hazards}) {
			t.Errorf("%s: %v", f.ID, err)
		}
	}
	if n < 100 {
		t.Errorf("only %d foods looked at", n)
	}
}
