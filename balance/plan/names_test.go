package plan_test

import (
	"errors"
	"fmt"
	"math/big"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// Two animals of one id, or a word that no list holds, are an error also in a value
// that never passed a loader.
func TestWrongNames(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		change func(*ration.Household)
		want   error
	}{
		{"an id twice", func(h *ration.Household) { h.Animals = append(h.Animals, h.Animals[0]) }, ration.ErrAnimalID},
		{"no id", func(h *ration.Household) { h.Animals[0].ID = "" }, ration.ErrAnimalID},
		{"a misspelt species", func(h *ration.Household) { h.Animals[0].Never = []string{"rabit"} }, ration.ErrUnknownWord},
	} {
		q := request(t, fmt.Sprintf(larder, ""))
		tc.change(q.Household)
		if _, err := plan.Week(t.Context(), q); !errors.Is(err, tc.want) || !errors.Is(err, plan.ErrRequest) {
			t.Errorf("%s: %v, want %v", tc.name, err, tc.want)
		}
	}
}

// Cats are planned for by a cat's shares unless the household says otherwise.
func TestDefaultTarget(t *testing.T) {
	t.Parallel()
	const home = "household: Testing Lodge\nas-of: 2026-11-25\nanimals:\n%sstock:\n  - {food: chicken thigh meat, mass: 1 kg}\n"
	const tom, jill = "  - {id: tom, species: cat, weight: 4 kg, stage: adult}\n", "  - {id: jill, sex: jill, weight: 800 g, age: 2 years}\n"
	for _, tc := range []struct{ animals, want string }{
		{jill, balance.DefaultTarget},
		{tom + jill, balance.DefaultTarget},
		{tom, balance.DefaultCatTarget},
	} {
		res, err := plan.Week(t.Context(), request(t, fmt.Sprintf(home, tc.animals)))
		if err != nil || res.Target.ID != tc.want {
			t.Errorf("%s: planned by %+v, %v, want %s", tc.animals, res, err, tc.want)
		}
	}
}

// A week planned with last week's shortfall makes up for it.
func TestShortfallIsPlanned(t *testing.T) {
	t.Parallel()
	q := request(t, fmt.Sprintf(larder, ""))
	plain := made(t, q)
	q.Extra[shares.LiverSlot] = 9 * units.Gram
	more := made(t, q)
	// what there is of liver over 4 % of the five parts, in picograms
	over := func(res *plan.Result) *big.Rat {
		sum := new(big.Rat)
		for _, s := range res.Plan.Servings() {
			if s.Food.Complete {
				continue
			}
			for part, share := range s.Food.Shares[prey.Typical] {
				m := new(big.Rat).Mul(big.NewRat(int64(s.Mass), 1), big.NewRat(int64(share), int64(units.Whole)))
				switch prey.Part(part) {
				case prey.Liver:
					sum.Add(sum, new(big.Rat).Mul(m, big.NewRat(96, 100)))
				case prey.Muscle, prey.Heart, prey.Bone, prey.Organ:
					sum.Sub(sum, new(big.Rat).Mul(m, big.NewRat(4, 100)))
				}
			}
		}
		return sum
	}
	// Less a gram: the planner lays amounts out in whole grams.
	least := big.NewRat(int64(8*units.Gram), 1)
	if over(more).Cmp(least) < 0 {
		t.Errorf("liver lies %s over its least share, want %s", over(more).FloatString(0), least.FloatString(0))
	}
	if over(plain).Cmp(least) >= 0 {
		t.Error("the plain week holds as much: this test shows nothing")
	}
}
