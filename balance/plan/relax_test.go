package plan_test

import (
	"strings"
	"testing"
)

// A little less food is offered as a way out for healthy grown animals only: never
// for one that grows or that a vet should see first.
func TestLessFoodForHealthyAdultsOnly(t *testing.T) {
	const house = `household: Brackenford Ferret Rescue
as-of: 2026-11-25
animals: [{id: willow, sex: hob, weight: 1200 g, ANIMAL}]
stock:
  - {food: rabbit meat, mass: 500 g}
  - {food: beef mince, mass: 300 g}
  - {food: beef heart, mass: 120 g}
  - {food: chicken wing, pieces: 6}
  - {food: turkey meat, mass: 300 g}
  - {food: lamb kidney, mass: 60 g}
  - {food: beef liver, mass: LIVER}
`
	for _, tt := range []struct {
		animal, liver string
		less          bool
	}{
		{"age: 3 years", "20 g", true},
		{"age: 3 years, conditions: [insulinoma]", "20 g", false},
		{"age: 20 weeks", "26 g", false},
	} {
		res := made(t, request(t, strings.NewReplacer("ANIMAL", tt.animal, "LIVER", tt.liver).Replace(house)))
		less, liver := false, false
		for _, r := range res.Relaxations {
			less = less || strings.Contains(r.Text, "less than the low end")
			liver = liver || strings.Contains(r.Text, "% liver instead of at least 4 %")
		}
		if res.Plan != nil || less != tt.less || !liver {
			t.Errorf("%s: %s, %+v", tt.animal, res.Outcome, res.Relaxations)
		}
	}
}
