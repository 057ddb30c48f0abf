package ration

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration/internal/form"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Weights says how much of a food an animal gets beside the others at a bowl: any whole number from 0. Only proportions
// count.
type Weights func(animal string, f *prey.Food) int64

// ByNeed weighs the animals of a household by the middle of their planning band; an animal without a band by its resting
// need. An animal that must not get a food has weight 0 for it.
func ByNeed(h *Household) Weights {
	need := map[string]int64{}
	for _, n := range h.Needs() {
		w := n.Band.Typical
		if !n.HasBand {
			w = n.Floor
		}
		need[n.Animal.ID] = int64(w)
	}
	return func(id string, f *prey.Food) int64 {
		if a, ok := h.Animal(id); ok && a.Refuses(f) {
			return 0
		}
		return need[id]
	}
}

// SplitServing divides a serving among animals by weight so that the parts sum exactly to it. Pieces stay whole, and mass
// goes with them; without pieces every part is a whole number of grams, except that what the serving holds beyond whole
// grams goes to the first of the largest parts. Ties go to the animal named first. A part of nothing has mass 0.
//
// Errors wrap those of units.Split: no weight above zero, a negative one.
func SplitServing(s Serving, weights []int64) ([]Serving, error) {
	parts := make([]Serving, len(weights))
	for i := range parts {
		parts[i] = Serving{Food: s.Food, Form: s.Form}
	}
	fail := func(err error) ([]Serving, error) {
		return nil, fmt.Errorf("splitting %s: %w", s.Mass, err)
	}
	if s.Pieces > 0 {
		pieces, err := units.Split(s.Pieces, weights)
		if err != nil {
			return fail(err)
		}
		masses, err := units.Split(int64(s.Mass), pieces)
		if err != nil {
			return fail(err)
		}
		for i := range parts {
			parts[i].Pieces, parts[i].Mass = pieces[i], units.Mass(masses[i])
		}
		return parts, nil
	}
	rest := s.Mass % units.Gram
	masses, err := units.SplitMass(s.Mass-rest, units.Gram, weights)
	if err != nil {
		return fail(err)
	}
	largest := slices.Index(weights, slices.Max(weights))
	for i := range parts {
		if parts[i].Mass = masses[i]; masses[i] > masses[largest] {
			largest = i
		}
	}
	parts[largest].Mass += rest
	return parts, nil
}

// SplitPlan turns every shared bowl of a plan into one bowl per animal, each serving divided by SplitServing, so that the
// portions of the animals sum exactly to the batch. A portion of nothing is left out; so is a bowl with nothing in it.
// Errors say where in the plan: nobody at a bowl may have the food.
func SplitPlan(p *Plan, w Weights) (*Plan, error) {
	out := *p
	out.Days = make([]Day, len(p.Days))
	for d, day := range p.Days {
		out.Days[d].Date = day.Date
		for m, meal := range day.Meals {
			own := make([]Meal, len(meal.For))
			for i, id := range meal.For {
				own[i] = Meal{Slot: meal.Slot, For: []string{id}}
			}
			for i, s := range meal.Servings {
				weights := make([]int64, len(meal.For))
				for j, id := range meal.For {
					weights[j] = w(id, s.Food)
				}
				parts, err := SplitServing(s, weights)
				if err != nil {
					return nil, fmt.Errorf("plan at %s: %w", p.Where(Position{d, m, i}), err)
				}
				for j, part := range parts {
					if part.Mass > 0 {
						own[j].Servings = append(own[j].Servings, part)
					}
				}
			}
			for _, o := range own {
				if len(o.Servings) > 0 {
					out.Days[d].Meals = append(out.Days[d].Meals, o)
				}
			}
		}
	}
	return &out, nil
}

// Withdrawal is food that one serving takes from one lot of the stock.
type Withdrawal struct {
	Position
	Food     *prey.Food
	Mass     units.Mass
	Stock    int  // index into Household.Stock; -1: not in stock, to be bought
	PastBest bool // the lot's best-before day lies before the day it is fed
}

// FirstOut says which lot each serving comes from: of each food the lot with the earliest best-before day that is not past
// on the day it is fed, undated lots last, lots of one day in the order of the file. Only where no such lot is left does it
// come from one that is past its day, marked PastBest. What the stock does not hold is to be bought. The draws of a serving
// sum exactly to it.
func FirstOut(p *Plan, h *Household) []Withdrawal {
	lots := map[string][]int{} // food id to stock indexes, first out first
	left := make([]units.Mass, len(h.Stock))
	for i, s := range h.Stock {
		lots[s.Food.ID] = append(lots[s.Food.ID], i)
		left[i] = s.Mass
	}
	for _, l := range lots {
		slices.SortStableFunc(l, func(a, b int) int { return byBestBefore(h.Stock[a], h.Stock[b]) })
	}
	var out []Withdrawal
	for at, s := range p.Servings() {
		day, want := p.Days[at.Day].Date, s.Mass
		take := func(past bool) {
			for _, lot := range lots[s.Food.ID] {
				best := h.Stock[lot].BestBefore
				if m := min(want, left[lot]); m > 0 && past == (best != 0 && best < day) {
					out = append(out, Withdrawal{Position: at, Food: s.Food, Mass: m, Stock: lot, PastBest: past})
					left[lot] -= m
					want -= m
				}
			}
		}
		take(false)
		take(true)
		if want > 0 {
			out = append(out, Withdrawal{Position: at, Food: s.Food, Mass: want, Stock: -1})
		}
	}
	return out
}

// Batch is one food taken out of the freezer together.
type Batch struct {
	Food    *prey.Food
	Mass    units.Mass
	Pieces  int64
	NoThaw  bool         // kept as it is; TakeOut is then the first day it is fed
	Shelf   bool         // keeps as its label says; UseBy is then the last day of the plan
	TakeOut units.Date   // to move it from the freezer to the fridge, at the latest
	Late    bool         // TakeOut lies before the household's as-of day
	Ready   units.Date   // first day it is fed
	UseBy   units.Date   // last day it may be fed
	Fresh   int          // days it keeps from the day on which it is bought, if it is bought fresh and not frozen
	Draws   []Withdrawal // where it comes from, in the order it is fed
	Refs    []cite.Ref
}

// Batches is the thaw timetable of a plan: each food in as few batches as its keeping allows, sorted by the day to take it
// out. The batches of a food sum exactly to what the plan feeds of it. How long a food keeps is what care says of it
// (safety.Book.KeepFood), the lower figure; how long it takes to thaw, safety.Book.Thaw, as if a batch were one piece, and
// one over 100 kg several of them. Without care (nil) nothing is known of either: everything is taken out the day before
// and fed on its day.
func Batches(p *Plan, h *Household, care *safety.Book) []Batch {
	var out []Batch
	open := map[string]int{}
	pieces := map[string]map[Position]int64{}
	for at, s := range p.Servings() {
		if pieces[s.Food.ID] == nil {
			pieces[s.Food.ID] = map[Position]int64{}
		}
		pieces[s.Food.ID][at] = s.Pieces
	}
	for _, d := range FirstOut(p, h) {
		day := p.Days[d.Day].Date
		keep := care.KeepFood(d.Food, p.Days[d.Day].Meals[d.Meal].Servings[d.Serving].Form)
		last := func(ready units.Date) units.Date {
			lies := safety.Thawed
			switch keep.Place {
			case safety.FromCupboard:
				return p.Days[len(p.Days)-1].Date
			case safety.FromFridge:
				lies = safety.Fridge
			}
			days, _, _ := keep.Days(lies)
			return ready.AddDays(days)
		}
		i, ok := open[d.Food.ID]
		if !ok || day > min(out[i].UseBy, last(out[i].Ready)) {
			i = len(out)
			open[d.Food.ID] = i
			out = append(out, Batch{Food: d.Food, Ready: day, UseBy: last(day), Fresh: math.MaxInt, NoThaw: keep.Place != safety.InFreezer,
				Shelf: keep.Place == safety.FromCupboard, Refs: keep.Refs})
		}
		b := &out[i]
		fresh, _, _ := keep.Days(safety.Fridge)
		b.UseBy, b.Fresh = min(b.UseBy, last(b.Ready)), min(b.Fresh, fresh)
		b.Mass = form.Plus(b.Mass, d.Mass)
		b.Pieces = form.Plus(b.Pieces, pieces[d.Food.ID][d.Position])
		delete(pieces[d.Food.ID], d.Position) // several draws of one serving count its pieces once
		b.Draws = append(b.Draws, d)
	}
	for i := range out {
		b := &out[i]
		b.TakeOut = b.Ready
		if !b.NoThaw {
			lead, ref := thawDays(care, b.Mass)
			b.TakeOut, b.Refs = b.Ready.AddDays(-lead), append(slices.Clip(b.Refs), ref)
		}
		b.Late = b.TakeOut < h.AsOf
	}
	slices.SortStableFunc(out, func(a, b Batch) int {
		return cmp.Or(cmp.Compare(a.TakeOut, b.TakeOut), cmp.Compare(a.Food.ID, b.Food.ID), cmp.Compare(a.Ready, b.Ready))
	})
	return out
}

// thawDays is how many whole days a batch takes in the fridge: at least one.
func thawDays(care *safety.Book, batch units.Mass) (int, cite.Ref) {
	t, err := care.Thaw(safety.InFridge, min(batch, 100*units.Kilogram))
	if err != nil {
		return 1, cite.Choice.Ref("no time for thawing is known; a day is the least that was read", "unl-thaw")
	}
	return int(max(t.High+safety.Day-1, safety.Day) / safety.Day), t.Ref
}

// Tub is one bowl's food, weighed out ahead: a label.
type Tub struct {
	Date           units.Date
	Meal           Meal
	Mass           units.Mass
	TakeOut, UseBy units.Date // the strictest among what is in it
	Draws          []Withdrawal
}

// Tubs are the labels of a plan's bowls, in order: what is in each, for whom, when to take it out and until when it keeps,
// and from which lots.
func Tubs(p *Plan, h *Household, care *safety.Book) []Tub {
	var out []Tub
	for _, b := range Batches(p, h, care) {
		for _, d := range b.Draws {
			i := slices.IndexFunc(out, func(t Tub) bool { return t.Draws[0].Day == d.Day && t.Draws[0].Meal == d.Meal })
			if i < 0 {
				i = len(out)
				out = append(out, Tub{Date: p.Days[d.Day].Date, Meal: p.Days[d.Day].Meals[d.Meal], TakeOut: b.TakeOut, UseBy: b.UseBy})
			}
			t := &out[i]
			t.Draws = append(t.Draws, d)
			t.Mass = form.Plus(t.Mass, d.Mass)
			t.TakeOut, t.UseBy = min(t.TakeOut, b.TakeOut), min(t.UseBy, b.UseBy)
		}
	}
	for i := range out {
		slices.SortStableFunc(out[i].Draws, func(a, b Withdrawal) int { return cmp.Compare(a.Serving, b.Serving) })
	}
	slices.SortStableFunc(out, func(a, b Tub) int {
		return cmp.Or(cmp.Compare(a.Draws[0].Day, b.Draws[0].Day), cmp.Compare(a.Draws[0].Meal, b.Draws[0].Meal))
	})
	return out
}

// rat is an exact fraction of masses.
func rat(part, whole units.Mass) *big.Rat { return big.NewRat(int64(part), int64(whole)) }
