package plan_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"testing"

	"fitchet.example/balance/plan"
	"fitchet.example/ration"
)

// A household whose days do not fit together is no whole request, however it is
// made; one without a start is planned from its as-of day.
func TestWeekDates(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		change func(*ration.Household)
	}{
		{"a year ahead", func(h *ration.Household) { h.Start = h.AsOf.AddDays(365) }},
		{"29 days ahead", func(h *ration.Household) { h.Start = h.AsOf.AddDays(29) }},
		{"a day back", func(h *ration.Household) { h.Start = h.AsOf.AddDays(-1) }},
		{"no as-of day", func(h *ration.Household) { h.AsOf = 0 }},
		{"born later", func(h *ration.Household) { h.Animals[0].Born = h.AsOf.AddDays(1) }},
		{"frozen later", func(h *ration.Household) { h.Stock[0].Frozen = h.AsOf.AddDays(1) }},
		{"best before in another age", func(h *ration.Household) { h.Stock[0].BestBefore = h.AsOf.AddDays(40_000) }},
	} {
		h := *request(t, datedHome).Household
		h.Animals, h.Stock = append([]ration.Animal{}, h.Animals...), append([]ration.Stock{}, h.Stock...)
		tc.change(&h)
		if _, err := plan.Week(context.Background(), plan.Request{Household: &h}); !errors.Is(err, plan.ErrRequest) || !errors.Is(err, ration.ErrDates) {
			t.Errorf("%s: %v", tc.name, err)
		}
	}
	h := *request(t, datedHome).Household
	h.Start = 0
	res, err := plan.Week(context.Background(), plan.Request{Household: &h})
	if err != nil || res.Plan == nil || res.Plan.Start != h.AsOf || h.Start != 0 {
		t.Errorf("from the as-of day: %v", err)
	}
}

const datedHome = `
household: Brackenford Ferret Rescue
as-of: 2026-11-25
start: 2026-11-30
animals:
  - {id: juniper, sex: jill, weight: 750 g, born: "2023-05-14", neutered: true}
stock:
  - {food: chicken thigh meat, mass: 400 g, best-before: "2026-12-28"}
  - {food: rabbit meat, mass: 300 g, best-before: "2027-01-15"}
  - {food: beef mince, mass: 300 g, best-before: "2027-01-08"}
  - {food: chicken mince with bone, mass: 400 g, best-before: "2026-12-29"}
  - {food: eggshell powder, mass: 50 g}
  - {food: beef liver, mass: 80 g, best-before: "2027-01-08"}
  - {food: lamb kidney, mass: 80 g, best-before: "2027-01-12"}
  - {food: chicken heart, mass: 300 g, best-before: "2026-12-25"}
  - {food: hen egg, pieces: 2}
  - {food: salmon oil, mass: 10 g}
`

// No lot is fed after its best-before day, however the days fall: a household
// whose lots go off one by one during the week.
func TestNoLotIsFedAfterItsDay(t *testing.T) {
	t.Parallel()
	base := request(t, datedHome).Household
	planned, households := 0, uint64(20)
	if os.Getenv("FITCHET_FULL") != "" {
		households = 60
	}
	for seed := range households {
		r := rand.New(rand.NewPCG(seed, 12))
		h := *base
		h.Stock = append([]ration.Stock{}, base.Stock...)
		for i := range h.Stock {
			if r.IntN(3) == 0 {
				h.Stock[i].BestBefore = h.Start.AddDays(r.IntN(9) - 1)
			}
			if r.IntN(3) == 0 { // and another lot of it that is good for long
				more := h.Stock[i]
				more.Mass, more.BestBefore = more.Mass/2, h.Start.AddDays(40)
				h.Stock = append(h.Stock, more)
			}
		}
		res, err := plan.Week(context.Background(), plan.Request{Household: &h})
		if err != nil {
			t.Fatal(err)
		}
		if res.Plan == nil {
			continue // more must go by a day than a day can hold
		}
		planned++
		for _, d := range ration.FirstOut(res.Plan, &h) {
			if d.PastBest {
				t.Errorf("seed %d: %s of %s on day %d, best before day %d", seed, d.Mass, d.Food.ID, d.Day, h.Stock[d.Stock].BestBefore.DaysSince(h.Start))
			}
		}
	}
	if planned < int(households)*2/3 {
		t.Errorf("%d of %d households have a plan", planned, households)
	}
}
