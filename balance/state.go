package balance

import (
	"errors"
	"fmt"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Errors of [Audit].
var (
	// ErrPlan is a plan that cannot be judged: none, no days, or a serving
	// without food or with a mass below zero.
	ErrPlan = errors.New("plan cannot be judged")
	// ErrAnimal is an animal at a bowl that the household does not have.
	ErrAnimal = errors.New("animal is not of the household")
)

// item is one serving with where it stands.
type item struct {
	*ration.Serving
	day, slot, bowl int
}

// bowl is one set of animals that eat together.
type bowl struct {
	ids     []string
	animals []int  // indexes of the needs
	byBand  []part // how each takes part by the middle of its band, or evenly
}

// part is w of total, in lowest terms.
type part struct{ w, total uint64 }

func newPart(w, total uint64) part {
	if g := gcd(w, total); g > 1 {
		w, total = w/g, total/g
	}
	return part{w, total}
}

// share returns how an animal takes part in the bowl: w of total.
func (b *bowl) share(animal int, by SplitBy) part {
	for i, a := range b.animals {
		if a == animal {
			if by == ByHead {
				return part{1, uint64(len(b.animals))}
			}
			return b.byBand[i]
		}
	}
	return part{0, 1}
}

// cell is what one bowl holds on one day: its energy by the default method, the
// mass for which that is known, and all of it.
type cell struct {
	day, bowl int
	energy    [prey.NumCases]wide.U128
	known, of units.Mass
}

// state is a plan summed up for judging. It is built once per audit.
type state struct {
	in     *Input
	target *Target
	needs  []ration.Need
	life   Life
	days   int
	items  []item
	bowls  []bowl
	cells  []cell
	total  prey.Tally

	screened []foodHazards // per food, filled by the first that asks
	figures  []fraction    // what findings point at

	boneIn    bool       // some bone-in cut is fed
	complete  units.Mass // whole prey and complete mixes
	counted   units.Mass // everything else
	slotKnown units.Mass // of counted, where the slots can be told
	slots     [prey.NumCases][NumSlots]wide.U128
	slotSum   [prey.NumCases]wide.U128
}

// foodHazards is a food of the plan with what package safety knows against it.
type foodHazards struct {
	food    *prey.Food
	hazards []safety.Hazard
}

// screen asks about every food of the plan, once.
func (s *state) screen() []foodHazards {
	if s.screened != nil || s.in.Screen == nil {
		return s.screened
	}
	s.screened = make([]foodHazards, 0, len(s.items))
	for i := range s.items {
		f := s.items[i].Food
		if !slices.ContainsFunc(s.screened, func(k foodHazards) bool { return k.food == f }) {
			s.screened = append(s.screened, foodHazards{f, s.in.Screen.of(f, s)})
		}
	}
	return s.screened
}

func newState(in *Input, target *Target, needs []ration.Need) (*state, error) {
	s := &state{in: in, target: target, needs: needs, days: len(in.Plan.Days), life: Grown}
	for i := range needs {
		switch needs[i].Stage {
		case ration.Kit, ration.Juvenile, ration.Pregnant, ration.Lactating:
			s.life = Growth
		}
	}
	n, meals := 0, 0
	for d := range in.Plan.Days {
		meals += len(in.Plan.Days[d].Meals)
		for m := range in.Plan.Days[d].Meals {
			n += len(in.Plan.Days[d].Meals[m].Servings)
		}
	}
	s.items = make([]item, 0, n)
	s.cells = make([]cell, 0, s.days)
	for d := range in.Plan.Days {
		for m := range in.Plan.Days[d].Meals {
			meal := &in.Plan.Days[d].Meals[m]
			b, err := s.bowl(meal.For)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", in.Plan.Where(ration.Spot{Day: d, Meal: m}), err)
			}
			before := s.energyNow()
			for i := range meal.Servings {
				sv := &meal.Servings[i]
				if err := s.total.Add(sv.Food, sv.Mass); err != nil {
					return nil, fmt.Errorf("%s: %w: %w", in.Plan.Where(ration.Spot{Day: d, Meal: m}), ErrPlan, err)
				}
				s.items = append(s.items, item{sv, d, meal.Slot, b})
			}
			s.cell(d, b).grow(before, s.energyNow())
		}
	}
	for i := range s.items {
		s.count(s.items[i].Food, s.items[i].Mass)
		s.boneIn = s.boneIn || s.items[i].Food.BoneIn
	}
	s.sumSlots()
	return s, nil
}

// sumSlots sums the slots of each case.
func (s *state) sumSlots() {
	for c := range s.slots {
		var sum wide.U128
		for _, v := range s.slots[c] {
			sum, _ = sum.Add(v)
		}
		s.slotSum[c] = sum
	}
}

// energyNow is the energy of everything counted so far.
func (s *state) energyNow() (c cell) {
	for i := range c.energy {
		c.energy[i], c.known = s.total.Energy(prey.Case(i))
	}
	c.of = s.total.Mass()
	return c
}

// grow adds what came between two looks at the total. The total only grows and
// holds every cell, so nothing overflows.
func (c *cell) grow(before, after cell) {
	for i := range c.energy {
		diff, _ := after.energy[i].Sub(before.energy[i])
		c.energy[i], _ = c.energy[i].Add(diff)
	}
	c.known += after.known - before.known
	c.of += after.of - before.of
}

// count puts one serving into the slots. Sums cannot overflow: the mass of all
// is below 2^63 and shares are at most a million.
func (s *state) count(f *prey.Food, m units.Mass) {
	if !Counts(f) {
		s.complete += m
		return
	}
	s.counted += m
	for c := range s.slots {
		shares, ok := s.target.Slots(f, prey.Case(c))
		if !ok {
			return
		}
		for i, v := range shares {
			if v != 0 {
				s.slots[c][i], _ = s.slots[c][i].AddMul(uint64(m), uint64(v))
			}
		}
	}
	s.slotKnown += m
}

// bowl returns the index of the bowl that these animals share.
func (s *state) bowl(ids []string) (int, error) {
	for i := range s.bowls {
		if slices.Equal(s.bowls[i].ids, ids) {
			return i, nil
		}
	}
	b := bowl{ids: ids}
	if s.in.Household != nil {
		byHead := false
		var weights []uint64
		total := uint64(0)
		for _, id := range ids {
			i := slices.IndexFunc(s.needs, func(n ration.Need) bool { return n.Animal != nil && n.Animal.ID == id })
			if i < 0 {
				return 0, fmt.Errorf("animal %q: %w", clip(id), ErrAnimal)
			}
			w := uint64(max(s.needs[i].Band.Typical, 0))
			byHead = byHead || w == 0
			b.animals = append(b.animals, i)
			weights = append(weights, w)
			total += w
		}
		for _, w := range weights {
			if byHead {
				w, total = 1, uint64(len(ids))
			}
			b.byBand = append(b.byBand, newPart(w, total))
		}
	}
	s.bowls = append(s.bowls, b)
	return len(s.bowls) - 1, nil
}

// cell returns what one bowl holds on a day. Days come in order, so only the
// last few cells can be meant.
func (s *state) cell(day, bowl int) *cell {
	for i := len(s.cells) - 1; i >= 0 && s.cells[i].day == day; i-- {
		if s.cells[i].bowl == bowl {
			return &s.cells[i]
		}
	}
	s.cells = append(s.cells, cell{day: day, bowl: bowl})
	return &s.cells[len(s.cells)-1]
}

// energy is what an animal gets on one day, or on all with day -1: kcal as the
// tally counts them, and how much of the mass it is known for.
func (s *state) energy(animal, day int) (sum [prey.NumCases]ratio, known, of units.Mass) {
	for c := range sum {
		sum[c].den = 1
	}
	for i := range s.cells {
		cl := &s.cells[i]
		if day >= 0 && cl.day != day {
			continue
		}
		p := s.bowls[cl.bowl].share(animal, ByBand)
		if p.w == 0 {
			continue
		}
		for c := range sum {
			sum[c].add(cl.energy[c], p)
		}
		known += cl.known
		of += cl.of
	}
	return sum, known, of
}

// is reports whether a food is what the rule looks at.
func (r *Rule) is(f *prey.Food) bool {
	switch r.Of {
	case OfEverything:
		return true
	case OfLiver:
		return f.HasPart(prey.Liver)
	case OfOrgans:
		return f.HasPart(prey.Liver) || f.HasPart(prey.Organ)
	case OfBone:
		return f.BoneIn || f.HasPart(prey.Bone)
	case OfComplete:
		return f.Complete
	}
	return (!r.HasKind || f.Kind == r.Kind) && (r.Tag == "" || f.HasHazard(r.Tag))
}
