package corpustest_test

import (
	"context"
	"fmt"
	"strings"

	"fitchet.example/balance/corpus"
	"fitchet.example/balance/corpustest"
	"fitchet.example/ration"
)

// wingsOnly is a generator of one's own: a chicken wing a day for everybody.
type wingsOnly struct{}

// Plan is all that a generator needs. An error is for when the generator itself
// failed; what cannot be fed is an answer too (corpus.Refusal).
func (wingsOnly) Plan(_ context.Context, q corpus.Request) (corpus.Answer, error) {
	wing, err := q.Foods.Find("chicken-wing")
	if err != nil {
		return corpus.Answer{}, err
	}
	first := q.Household.FirstDay()
	p := &ration.Plan{Household: q.Household.Name, Start: first, Target: q.Target.ID}
	for i := range q.Days {
		bowl := ration.Meal{Slot: 1, For: q.Household.IDs(), Servings: []ration.Serving{{Food: wing, Mass: wing.Piece.Typical, Pieces: 1}}}
		p.Days = append(p.Days, ration.Day{Date: first.AddDays(i), Meals: []ration.Meal{bowl}})
	}
	return corpus.Answer{Plan: p}, nil
}

// A generator is tested with scenarios of the corpus. In a test of one's own,
// corpustest.Run(t, wingsOnly{}, corpustest.Options{}) makes a sub-test of each.
func ExampleTestGenerator() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	err = corpustest.TestGenerator(wingsOnly{}, corpustest.Options{
		Scenarios:    []string{c.Scenarios[0].ID},
		NoHouseholds: true, // no households drawn by chance: that takes minutes
	})
	for _, line := range strings.Split(fmt.Sprint(err), "\n")[:4] {
		fmt.Println(strings.TrimSpace(line))
	}
	// Output:
	// scenario v2rvrch9 (scenarios/small-houses.yaml:4:5): One jill, everything in the freezer
	// share-muscle: missed: 62 % of the five slots (54 % to 69 %); limit 65 % to 75 % of the five slots
	// share-heart: missed: 0 % of the five slots; limit 8 % to 12 % of the five slots
	// share-bone: missed: 38 % of the five slots (31 % to 46 %); limit 10 % to 15 % of the five slots
}
