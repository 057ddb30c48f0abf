package ration

import (
	"cmp"
	"slices"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/units"
)

// AsPlan turns what was eaten from one day to another, both counted, into a plan, so that it can be judged like one: of
// one animal, or for "" of all bowls. Bowls put down in the same minute for the same animals are one meal; what was
// certainly not touched is left out. Days that are neither written on nor declared complete are left out: they are not
// days without food.
//
// Where bare bone was left, the serving is what was swallowed, and its food is a copy whose share of bone is lower by that
// bone. The figures per 100 g of such a copy are still those of the whole food: its minerals are then upper figures and its
// energy a lower one, while Diet gives the energy exactly.
func (l *Log) AsPlan(animal string, from, to units.Date, end End) *Plan {
	p := &Plan{Household: l.Household, Start: from}
	type bowl struct {
		when Moment
		who  string
	}
	days := map[units.Date]map[bowl]*Meal{}
	for _, d := range l.Complete {
		if d >= from && d <= to {
			days[d] = map[bowl]*Meal{}
		}
	}
	entries := slices.Clone(l.Entries)
	slices.SortStableFunc(entries, func(a, b Entry) int {
		return cmp.Or(a.Meal.Compare(b.Meal), cmp.Compare(a.Food.ID, b.Food.ID), cmp.Compare(a.Offered, b.Offered))
	})
	for _, e := range entries {
		if e.Meal.Date < from || e.Meal.Date > to || animal != "" && !slices.Contains(e.For, animal) {
			continue
		}
		if days[e.Meal.Date] == nil {
			days[e.Meal.Date] = map[bowl]*Meal{}
		}
		eaten, _ := e.Gone()
		who := slices.Sorted(slices.Values(e.For))
		if animal != "" {
			eaten, who = l.Ate(e, animal), []string{animal}
		}
		m := end.of(eaten)
		if m <= 0 {
			continue
		}
		key := bowl{e.Meal, strings.Join(who, " ")}
		if days[e.Meal.Date][key] == nil {
			days[e.Meal.Date][key] = &Meal{For: who}
		}
		meal := days[e.Meal.Date][key]
		gone, _ := e.Gone()
		meal.Servings = append(meal.Servings, Serving{Food: withoutBone(e.Food, gone.High, e.BoneLeft), Mass: m})
	}
	for _, d := range sortedKeys(days) {
		day := Day{Date: d}
		bowls := make([]bowl, 0, len(days[d]))
		for b := range days[d] {
			bowls = append(bowls, b)
		}
		slices.SortFunc(bowls, func(a, b bowl) int { return cmp.Or(a.when.Compare(b.when), cmp.Compare(a.who, b.who)) })
		slot, last := 0, Moment{}
		for i, b := range bowls {
			if i == 0 || b.when != last {
				slot, last = min(slot+1, maxSlots), b.when
			}
			meal := *days[d][b]
			meal.Slot = slot
			day.Meals = append(day.Meals, meal)
		}
		p.Days = append(p.Days, day)
	}
	return p
}

// withoutBone is the food with that bare bone taken out: of eaten + bone of it, eaten was swallowed.
func withoutBone(f *prey.Food, eaten, bone units.Mass) *prey.Food {
	if bone <= 0 || eaten <= 0 || !f.PartsKnown {
		return f
	}
	g := *f
	whole := plus(eaten, bone)
	for c := range f.Shares {
		// Masses of the parts of what was offered, less the bare bone.
		weights := make([]int64, prey.NumParts)
		for p, s := range f.Shares[c] {
			weights[p] = int64(share1(whole, units.Mass(s), units.Mass(units.Whole)))
		}
		weights[prey.Bone] = max(weights[prey.Bone]-int64(bone), 0)
		parts, err := units.Split(int64(units.Whole), weights)
		if err != nil {
			return f // nothing but the bone that was left
		}
		for p := range g.Shares[c] {
			g.Shares[c][p] = units.Share(parts[p])
		}
	}
	return &g
}
