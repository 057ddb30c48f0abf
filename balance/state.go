package balance

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/say"
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
	profile         *profile
	form            safety.Form
	day, slot, bowl int
}

// foodSum is one food of the plan with all that is fed of it.
type foodSum struct {
	*profile
	mass units.Mass
}

// bowl is one set of animals that eat together.
type bowl struct {
	ids     []string
	animals []int         // indexes of the needs
	byBand  []figure.Part // how each takes part by the middle of its band, or evenly
}

// share returns how an animal takes part in the bowl: w of total.
func (b *bowl) share(animal int, by SplitBy) figure.Part {
	for i, a := range b.animals {
		if a == animal {
			if by == ByHead {
				return figure.Part{W: 1, Total: uint64(len(b.animals))}
			}
			return b.byBand[i]
		}
	}
	return figure.Part{Total: 1}
}

// cell is what one bowl holds on one day: its energy by the default method, the
// mass for which that is known, and all of it.
type cell struct {
	day, bowl int
	energy    [prey.NumCases]wide.U128
	known, of units.Mass
}

// add counts a serving. The sums cannot overflow: the plan's mass is checked.
func (c *cell) add(p *profile, m units.Mass) {
	c.of += m
	if !p.energyKnown {
		return
	}
	c.known += m
	for i, e := range p.energy {
		c.energy[i], _ = c.energy[i].AddMul(uint64(m), e)
	}
}

// sums are what a mixture of foods adds up to. Each is a sum over foods of mass
// times something of the food, so sums of two mixtures add.
type sums struct {
	total     prey.Tally
	boneIn    bool       // some bone-in cut is fed
	complete  units.Mass // whole prey and complete mixes
	counted   units.Mass // everything else
	slotKnown units.Mass // of counted, where the slots can be told
	slots     [prey.NumCases][shares.NumSlots]wide.U128
}

// state is a plan summed up for judging. It is built once per audit and only
// read afterwards; an [Auditor] builds the next one in the same memory.
type state struct {
	in     Input
	target *shares.Target
	needs  []ration.Need
	life   LifeStage
	days   int
	ready  *ready

	items []item
	foods []foodSum // in the order in which they are first fed
	bowls []bowl
	cells []cell
	sums

	screened []foodHazards   // foods that something is known against
	figures  []figure.Figure // what findings point at
	found    []Finding
	meals    []int  // working memory of mealsADay
	seen     []bool // working memory of species
	larders  []larder
	lotsOf   []int // the numbers of the foods of the household's stock
	stocked  bool  // both are filled in
}

// foodHazards is a food of the plan with what package safety knows against it.
type foodHazards struct {
	food    *prey.Food
	hazards []safety.Hazard
}

// build sums up the plan of the input, which has been filled. Masses are added
// by food first, since the sums of a food cost more than finding it again.
func (s *state) build(in *Input) error {
	s.in, s.target, s.needs, s.days = *in, in.Target, in.Needs, len(in.Plan.Days)
	s.items, s.foods, s.bowls, s.cells = s.items[:0], s.foods[:0], s.bowls[:0], s.cells[:0]
	s.screened, s.figures, s.found = s.screened[:0], s.figures[:0], s.found[:0]
	s.sums, s.stocked = sums{}, false
	n := 0
	for d := range in.Plan.Days {
		for m := range in.Plan.Days[d].Meals {
			n += len(in.Plan.Days[d].Meals[m].Servings)
		}
	}
	s.prepare()
	s.life = Grown
	for i := range s.needs {
		switch s.needs[i].Stage {
		case ration.Kit, ration.Juvenile, ration.Pregnant, ration.Lactating:
			s.life = Growing
		}
	}
	s.items = slices.Grow(s.items, n)
	mass := units.Mass(0)
	for d := range in.Plan.Days {
		for m := range in.Plan.Days[d].Meals {
			meal := &in.Plan.Days[d].Meals[m]
			b, err := s.bowl(meal.For)
			if err != nil {
				return fmt.Errorf("%s: %w", in.Plan.Where(ration.Position{Day: d, Meal: m}), err)
			}
			c := s.cell(d, b)
			for i := range meal.Servings {
				sv := &meal.Servings[i]
				p := s.ready.profile(sv.Food)
				if p == nil || sv.Mass < 0 || mass > math.MaxInt64-sv.Mass {
					return fmt.Errorf("%s: %w: %w", in.Plan.Where(ration.Position{Day: d, Meal: m}), ErrPlan, refusal(mass, sv))
				}
				mass += sv.Mass
				c.add(p, sv.Mass)
				s.feed(p, sv.Mass)
				s.items = append(s.items, item{sv, p, sv.FormOf(), d, meal.Slot, b})
			}
		}
	}
	for i := range s.foods {
		s.add(s.foods[i].profile, s.foods[i].mass)
	}
	return nil
}

// refusal is why a serving cannot be counted on top of a mass.
func refusal(mass units.Mass, sv *ration.Serving) error {
	var t prey.Tally
	_ = t.Add(&prey.Food{}, mass)
	return t.Add(sv.Food, sv.Mass)
}

// feed adds to what is fed of a food. A profile remembers where its food stood
// last, which is right only when it stands there now.
func (s *state) feed(p *profile, m units.Mass) {
	if p.at >= len(s.foods) || s.foods[p.at].profile != p {
		p.at = len(s.foods)
		s.foods = append(s.foods, foodSum{profile: p})
	}
	s.foods[p.at].mass += m
}

// screen lists the foods of the plan that package safety knows something against.
func (s *state) screen() {
	for i := range s.foods {
		f := &s.foods[i]
		if h := s.hazardsIn(f.food, f.hazards, f.changes); len(h) > 0 {
			s.screened = append(s.screened, foodHazards{f.food, h})
		}
	}
}

// add counts a food that can be counted; the mass of all stays in range.
func (s *sums) add(p *profile, m units.Mass) {
	_ = s.total.Add(p.food, m)
	s.boneIn = s.boneIn || p.food.BoneIn
	if p.food.Complete {
		s.complete += m
		return
	}
	s.counted += m
	if p.slotted {
		s.slotKnown += m
		s.fill(p, m)
	}
}

// fill puts a food into the slots. Shares are at most a million, so the sums
// cannot overflow.
func (s *sums) fill(p *profile, m units.Mass) {
	for c := range p.slots {
		for i, v := range p.slots[c] {
			if v != 0 {
				s.slots[c][i], _ = s.slots[c][i].AddMul(uint64(m), uint64(v))
			}
		}
	}
}

// slotsAs sums up the slots in another meaning of bone.
func (s *state) slotsAs(means shares.BoneMeans) *sums {
	t := &shares.Target{BoneMeans: means}
	out := &sums{counted: s.counted}
	for i := range s.foods {
		p := slotProfile(s.foods[i].food, t)
		if p.slotted && shares.Counts(p.food) {
			out.slotKnown += s.foods[i].mass
			out.fill(&p, s.foods[i].mass)
		}
	}
	return out
}

// bowl returns the index of the bowl that these animals share.
func (s *state) bowl(ids []string) (int, error) {
	for i := range s.bowls {
		if slices.Equal(s.bowls[i].ids, ids) {
			return i, nil
		}
	}
	s.bowls = slices.Grow(s.bowls, 1)[:len(s.bowls)+1]
	b := &s.bowls[len(s.bowls)-1]
	b.ids, b.animals, b.byBand = ids, b.animals[:0], b.byBand[:0]
	if s.in.Household != nil {
		byHead := false
		total := uint64(0)
		for _, id := range ids {
			i := slices.IndexFunc(s.needs, func(n ration.Need) bool { return n.Animal != nil && n.Animal.ID == id })
			if i < 0 {
				return 0, fmt.Errorf("animal %q: %w", say.Clip(id), ErrAnimal)
			}
			w := uint64(max(s.needs[i].Band.Typical, 0))
			byHead = byHead || w == 0
			b.animals = append(b.animals, i)
			b.byBand = append(b.byBand, figure.Part{W: w})
			if total += w; total < w {
				return 0, fmt.Errorf("the needs of %s: %w: more than can be counted", say.And(ids), ErrPlan)
			}
		}
		for i, p := range b.byBand {
			if byHead {
				p.W, total = 1, uint64(len(ids))
			}
			b.byBand[i] = figure.NewPart(p.W, total)
		}
	}
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
func (s *state) energy(animal, day int) (sum [prey.NumCases]figure.Sum, known, of units.Mass) {
	for c := range sum {
		sum[c].Den = 1
	}
	for i := range s.cells {
		cl := &s.cells[i]
		if day >= 0 && cl.day != day {
			if cl.day > day {
				break
			}
			continue
		}
		p := s.bowls[cl.bowl].share(animal, ByBand)
		if p.W == 0 {
			continue
		}
		for c := range sum {
			sum[c].Add(cl.energy[c], p)
		}
		known += cl.known
		of += cl.of
	}
	return sum, known, of
}

// LooksAt reports whether a food is what the rule looks at: the kind, tag or part
// that it counts. Rules whose check says all (Of is zero) look at no food by itself.
// It looks at no food that is nil.
func (r *Rule) LooksAt(f *prey.Food) bool {
	if f == nil {
		return false
	}
	switch r.Subject {
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
	case OfKind:
		return (r.Kind == 0 || f.Kind == r.Kind) && (r.Tag == "" || f.HasHazard(r.Tag))
	}
	return false
}
