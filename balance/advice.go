package balance

import (
	"cmp"
	"fmt"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Drive is a food that makes up part of a measured figure.
type Drive struct {
	Food *prey.Food
	Mass units.Mass  // fed over the time the finding is about
	Part units.Share // of the whole figure at the typical case, rounded, for display
}

// mostDrives is how many foods Drives names.
const mostDrives = 5

// Drives returns the foods that make up the figure, most first, at most five.
// It is empty for counts of species and of slots.
func (f *Finding) Drives() []Drive {
	type part struct {
		food *prey.Food
		mass units.Mass
		sum  wide.U128
	}
	var parts []part
	var total wide.U128
	for i := range f.s.items {
		it := &f.s.items[i]
		if f.Day >= 0 && it.day != f.Day || !f.concerns(it) {
			continue
		}
		v, ok := f.contribution(it)
		if !ok || v == (wide.U128{}) {
			continue
		}
		total, _ = total.Add(v)
		at := slices.IndexFunc(parts, func(p part) bool { return p.food == it.Food })
		if at < 0 {
			parts = append(parts, part{food: it.Food})
			at = len(parts) - 1
		}
		parts[at].mass += it.Mass
		parts[at].sum, _ = parts[at].sum.Add(v)
	}
	slices.SortFunc(parts, func(a, b part) int {
		return cmp.Or(b.sum.Cmp(a.sum), cmp.Compare(a.food.ID, b.food.ID))
	})
	var out []Drive
	for _, p := range parts[:min(len(parts), mostDrives)] {
		out = append(out, Drive{p.food, p.mass, shareOf128(p.sum, total)})
	}
	return out
}

// concerns reports whether the item is in a bowl of the finding's animal.
func (f *Finding) concerns(it *item) bool {
	if f.Animal == nil {
		return true
	}
	for _, a := range f.s.bowls[it.bowl].animals {
		if f.s.needs[a].Animal == f.Animal {
			return true
		}
	}
	return false
}

// contribution is what one serving adds to the figure at the typical case.
func (f *Finding) contribution(it *item) (wide.U128, bool) {
	mass := wide.U128{Lo: uint64(it.Mass)}
	tally := func() *prey.Tally {
		var t prey.Tally
		_ = t.Add(it.Food, it.Mass) // it was added to the plan's sum before
		return &t
	}
	switch f.Rule.Check {
	case SlotShareCheck:
		shares, ok := f.s.target.Slots(it.Food, prey.Typical)
		return wide.Mul(uint64(it.Mass), uint64(shares[f.Rule.Slot])), ok && Counts(it.Food)
	case MassShare:
		if f.Rule.Of == OfLiver {
			return tally().Part(prey.Typical, prey.Liver), true
		}
		return mass, f.Rule.is(it.Food)
	case Pieces, Amount, Times:
		return mass, f.Rule.is(it.Food)
	case EnergyFloor, EnergyBand:
		v, _ := tally().Energy(prey.Typical)
		return v, true
	case NutrientRatio, PerEnergy, DryMatter:
		v, _ := tally().Nutrient(prey.Typical, f.Rule.Nutrient)
		return v, true
	case Hazard:
		return mass, f.Hazard != nil && has(f.s.in.Screen.of(it.Food, f.s), f.Hazard.ID)
	case DriedWater:
		return mass, it.FormOf() == safety.Dried
	}
	return wide.U128{}, false
}

// shareOf128 is part/whole in millionths, rounded down, for display.
func shareOf128(part, whole wide.U128) units.Share {
	for whole.Hi != 0 {
		part, whole = half(part), half(whole)
	}
	q, ok := part.MulDiv(uint64(units.Whole), whole.Lo)
	if !ok {
		return 0
	}
	return units.Share(q.Lo)
}

func half(a wide.U128) wide.U128 { return wide.U128{Hi: a.Hi >> 1, Lo: a.Lo>>1 | a.Hi<<63} }

// Settle says what would settle a finding that is open at the typical figures
// or over the range; "" when nothing is open.
func (f *Finding) Settle() string {
	if f.Verdict != Open && f.Whole != Open {
		return ""
	}
	switch f.Reason {
	case NothingToJudge:
		return "Feed something that has this figure."
	case PiecesUnknown:
		return "Weigh one piece, or write how many pieces there are."
	case PartsUnknown:
		return "Ask the maker how much muscle, heart, liver, other organ and bone the mix holds."
	case ShortPlan:
		return "Plan the rest of the week."
	case NotAsked:
		return "Ask package safety."
	case HazardOpen:
		return f.Hazard.Do
	}
	if food, mass := f.unknown(); food != nil {
		return fmt.Sprintf("Find out the figure for %s (%s in the plan): it is the heaviest food without one.", food.Name, both(mass))
	}
	if food, n := f.widest(); food != nil {
		if food.PieceName != "" && food.Piece.Typical > 0 {
			return fmt.Sprintf("Weigh the bone of three of your pieces of %s, each before and after taking off the meat: its bone runs from %s to %s.", food.Name,
				food.Shares[prey.LeastBone][prey.Bone].InPercent(0), food.Shares[prey.MostBone][prey.Bone].InPercent(0))
		}
		return fmt.Sprintf("Weigh %s before and after taking off the meat: of %s in the plan, %s to %s may be bone.", food.Name, both(n),
			food.Shares[prey.LeastBone][prey.Bone].InPercent(0), food.Shares[prey.MostBone][prey.Bone].InPercent(0))
	}
	if f.Rule.Check == Pieces {
		return "Weigh one piece, or write how many pieces there are."
	}
	return "Only an analysis of the food itself can settle this: published figures leave both possible."
}

// unknown is the heaviest food whose figure is not known, or nil.
func (f *Finding) unknown() (*prey.Food, units.Mass) {
	lacks := func(food *prey.Food) bool {
		not := func(n prey.Nutrient) bool { _, ok := food.Nutrient(n); return !ok }
		switch f.Rule.Check {
		case SlotShareCheck:
			_, ok := f.s.target.Slots(food, prey.Typical)
			return Counts(food) && !ok
		case MassShare:
			return f.Rule.Of == OfLiver && !food.PartsKnown
		case NutrientRatio:
			return not(f.Rule.Nutrient) || not(f.Rule.Against)
		case PerEnergy:
			_, ok := food.Energy(prey.ModifiedAtwater)
			return !ok || not(f.Rule.Nutrient)
		case DryMatter:
			return not(f.Rule.Nutrient) || not(prey.Water)
		case EnergyFloor, EnergyBand:
			_, _, ok := food.DefaultEnergy()
			return !ok
		}
		return false
	}
	return f.heaviest(func(food *prey.Food) units.Mass {
		if lacks(food) {
			return 1
		}
		return 0
	})
}

// widest is the food whose range of bone moves the figure most, or nil.
func (f *Finding) widest() (*prey.Food, units.Mass) {
	switch f.Rule.Check {
	case SlotShareCheck, NutrientRatio, PerEnergy, DryMatter, EnergyFloor, EnergyBand:
	default:
		return nil, 0
	}
	return f.heaviest(func(food *prey.Food) units.Mass {
		if !food.PartsKnown {
			return 0
		}
		return units.Mass(food.Shares[prey.MostBone][prey.Bone] - food.Shares[prey.LeastBone][prey.Bone])
	})
}

// heaviest is the food with the largest sum of mass x weight; weights are at
// most a million, so the product is taken in 128 bits.
func (f *Finding) heaviest(weight func(*prey.Food) units.Mass) (*prey.Food, units.Mass) {
	var best *prey.Food
	var mass units.Mass
	var most wide.U128
	seen := map[*prey.Food]units.Mass{}
	for i := range f.s.items {
		seen[f.s.items[i].Food] += f.s.items[i].Mass
	}
	for food, m := range seen {
		v := wide.Mul(uint64(m), uint64(max(weight(food), 0)))
		if c := v.Cmp(most); c > 0 || c == 0 && best != nil && food.ID < best.ID {
			best, mass, most = food, m, v
		}
	}
	return best, mass
}

// Change is one change to the plan that meets a missed rule. It was tried: the
// rule was judged anew on the changed plan, and a gram less does not do.
type Change struct {
	Food *prey.Food
	// Mass is in whole grams, or whole pieces of their typical mass where the
	// rule counts pieces.
	Mass   units.Mass
	Pieces int64
	Remove bool // take away instead of adding
	Day    int  // index of the day it is made on; -1 when any day will do
	// Breaks are the ids of rules that were met and are missed with this change
	// alone, the gravest first.
	Breaks []string
	cost   int // of the breaks: one of mend or stop counts more than all of watch
}

// Text says the change in one sentence.
func (m Change) Text() string {
	what := both(m.Mass)
	if m.Pieces > 0 {
		what = fmt.Sprintf("%d of (%s)", m.Pieces, both(m.Mass))
	}
	if m.Remove {
		return fmt.Sprintf("Take away %s of %s.", what, m.Food.Name)
	}
	return fmt.Sprintf("Add %s of %s.", what, m.Food.Name)
}

// Mends returns changes of one food each that meet a missed rule: for every
// food of the plan, of the household's stock and, when none of these does, of
// the input's catalogue, the smallest amount to add or take away. Foods with a
// hazard that stops or mends, and foods that an animal must never get, are left
// out, and oils and powders are not added to thin something else or to fill up
// energy. Changes that break no other rule come first, then those that break
// only rules to watch, then the smaller amount, then by the food's id; at most
// eight.
//
// It is empty for a finding that is not missed and where no amount of a single
// food can help, as when a thing should be fed on more days.
func (f *Finding) Mends() []Change {
	if f.Verdict != Missed {
		return nil
	}
	if f.Rule.Check == Hazard {
		return f.removals()
	}
	var out []Change
	for _, food := range f.planFoods() {
		if m, ok := f.try(food, true); ok {
			out = append(out, m)
		}
	}
	near := f.planFoods()
	if h := f.s.in.Household; h != nil {
		for _, lot := range h.Stock {
			if lot.Food != nil && !slices.Contains(near, lot.Food) {
				near = append(near, lot.Food)
			}
		}
	}
	for _, food := range near {
		if m, ok := f.tryAdd(food); ok {
			out = append(out, m)
		}
	}
	if len(out) == 0 && f.s.in.Foods != nil {
		for _, food := range f.s.in.Foods.All() {
			if m, ok := f.tryAdd(food); ok {
				out = append(out, m)
			}
		}
	}
	byMass := func(a, b Change) int { return cmp.Or(cmp.Compare(a.Mass, b.Mass), cmp.Compare(a.Food.ID, b.Food.ID)) }
	slices.SortFunc(out, byMass)
	out = out[:min(len(out), 3*mostMends)]
	before := f.s.tallies()
	for i := range out {
		out[i].Breaks, out[i].cost = f.breaks(out[i], before)
	}
	slices.SortStableFunc(out, func(a, b Change) int { return cmp.Compare(a.cost, b.cost) })
	return out[:min(len(out), mostMends)]
}

// mostMends is how many changes are returned; three times as many, the smallest,
// are audited for what they break.
const mostMends = 8

// planFoods are the foods of the plan that the finding is about, by id.
func (f *Finding) planFoods() []*prey.Food {
	var out []*prey.Food
	for i := range f.s.items {
		it := &f.s.items[i]
		if (f.Day < 0 || it.day == f.Day) && f.concerns(it) && !slices.Contains(out, it.Food) {
			out = append(out, it.Food)
		}
	}
	slices.SortFunc(out, func(a, b *prey.Food) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

// removals takes every food with the hazard out of the plan, one by one.
func (f *Finding) removals() []Change {
	var out []Change
	before := f.s.tallies()
	for _, food := range f.planFoods() {
		if has(f.s.in.Screen.of(food, f.s), f.Hazard.ID) {
			m := Change{Food: food, Mass: f.massOf(food), Remove: true, Day: -1}
			m.Breaks, m.cost = f.breaks(m, before)
			out = append(out, m)
		}
	}
	return out
}

func (f *Finding) massOf(food *prey.Food) (m units.Mass) {
	for i := range f.s.items {
		it := &f.s.items[i]
		if it.Food == food && (f.Day < 0 || it.day == f.Day) && f.concerns(it) {
			m += it.Mass
		}
	}
	return m
}

func (f *Finding) tryAdd(food *prey.Food) (Change, bool) {
	if food.Kind == prey.Oil || food.Kind == prey.Supplement {
		switch f.Rule.Check {
		case EnergyFloor, EnergyBand:
			return Change{}, false
		}
		if f.Side == Above {
			return Change{}, false
		}
	}
	for _, h := range f.s.in.Screen.of(food, f.s) {
		if h.Gravity >= Mend {
			return Change{}, false
		}
	}
	for i := range f.s.needs {
		if f.s.needs[i].Animal.Refuses(food) {
			return Change{}, false
		}
	}
	return f.try(food, false)
}

// try finds the smallest amount of one food, added or taken away, that meets
// the rule. The figure of every rule that is tried moves one way only with the
// amount of one food, so halving finds the first amount that no longer fails on
// the same side; whether it is met there is then asked of the rule itself.
func (f *Finding) try(food *prey.Food, remove bool) (Change, bool) {
	m := Change{Food: food, Remove: remove, Day: f.Day}
	step := units.Gram
	switch f.Rule.Check {
	case Pieces:
		if step = food.Piece.Typical; step <= 0 || !f.Rule.is(food) {
			return m, false
		}
	case Amount:
		if !f.Rule.is(food) {
			return m, false
		}
	case Times, Chew, DriedWater, MealsADay:
		return m, false // when and how it is served decides, not how much
	}
	most := max(int64(f.s.total.Mass()/step), 100) // more than all there is now is no advice
	if remove {
		most = int64(f.massOf(food) / step)
	}
	most = min(most, 1<<20)
	set := func(n int64) {
		m.Mass, _ = step.Times(n)
		m.Pieces = 0
		if f.Rule.Check == Pieces {
			m.Pieces = n
		}
	}
	base, quick := f.base(food, remove)
	fails := func(n int64) bool {
		set(n)
		if quick {
			amount := m.Mass
			if remove {
				amount = f.massOf(food) - m.Mass
			}
			g, ok := f.quick(base, food, amount)
			return !ok || g.Verdict == Missed && g.Side == f.Side
		}
		g, ok := f.again(m)
		return !ok || g.Verdict == Missed && g.Side == f.Side
	}
	if most < 1 || fails(most) {
		return m, false
	}
	low, high := int64(0), most // low fails, high does not
	for high-low > 1 {
		if mid := low + (high-low)/2; fails(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	set(high)
	g, ok := f.again(m)
	return m, ok && (g.Verdict == Met || g.Verdict == NotApplicable)
}

// base is the sum of the plan to which an amount of one food is added in search
// of a change: all of it, or all but that food. It reports false for rules that
// look at more than sums of the whole plan; these are judged on the changed plan
// itself.
func (f *Finding) base(food *prey.Food, without bool) (state, bool) {
	switch f.Rule.Check {
	case SlotShareCheck, NutrientRatio, PerEnergy, DryMatter:
	case MassShare:
		if f.Rule.Of == OfKind {
			return state{}, false
		}
	default:
		return state{}, false
	}
	s := *f.s
	s.figures = nil // the report may be read by others at the same time
	if !without {
		return s, true
	}
	s.total, s.complete, s.counted, s.slotKnown = prey.Tally{}, 0, 0, 0
	s.slots = [prey.NumCases][NumSlots]wide.U128{}
	for i := range s.items {
		if it := &s.items[i]; it.Food != food {
			_ = s.total.Add(it.Food, it.Mass) // it was added to the plan's sum before
			s.count(it.Food, it.Mass)
		}
	}
	return s, true
}

// quick judges the rule with an amount of one food added to a base.
func (f *Finding) quick(s state, food *prey.Food, amount units.Mass) (Finding, bool) {
	if s.total.Add(food, amount) != nil {
		return Finding{}, false
	}
	if amount > 0 {
		s.count(food, amount)
	}
	s.sumSlots()
	list := s.check(f.Rule, nil)
	return list[0], true
}

// again judges the rule of the finding on the plan with the change made.
func (f *Finding) again(m Change) (Finding, bool) {
	plan, ok := m.apply(f)
	if !ok {
		return Finding{}, false
	}
	in := *f.s.in
	in.Plan = plan
	s, err := newState(&in, f.s.target, f.s.needs)
	if err != nil {
		return Finding{}, false
	}
	if f.Rule.Check == EnergyFloor && f.Day >= 0 {
		a := slices.IndexFunc(s.needs, func(n ration.Need) bool { return n.Animal == f.Animal })
		return s.found(f.Rule, s.energyFigure(a, f.Day), f.bounds), true
	}
	for _, g := range s.check(f.Rule, nil) {
		if g.Animal == f.Animal || f.Rule.Check == Times {
			return g, true
		}
	}
	return Finding{}, false
}

// breaks audits the changed plan and lists the rules that more is missed of than
// was missed or open before.
func (f *Finding) breaks(m Change, before []tallied) (ids []string, cost int) {
	plan, ok := m.apply(f)
	if !ok {
		return nil, 0
	}
	in := *f.s.in
	in.Plan, in.Needs, in.Target = plan, f.s.needs, f.s.target
	s, err := newState(&in, f.s.target, f.s.needs)
	if err != nil {
		return nil, 0
	}
	after := s.tallies()
	for _, g := range [...]Gravity{Stop, Mend, Watch} {
		for i, r := range in.Book.rules {
			if r.Gravity == g && after[i].missed > before[i].missed+before[i].open {
				ids = append(ids, r.ID)
				if cost++; g != Watch {
					cost += len(in.Book.rules)
				}
			}
		}
	}
	return ids, cost
}

// tallied counts the findings of one rule.
type tallied struct{ missed, open int }

// tallies counts the findings of every rule of the book, in its order.
func (s *state) tallies() []tallied {
	own := *s // the report may be read by others at the same time
	own.figures = nil
	s = &own
	out := make([]tallied, len(s.in.Book.rules))
	var list []Finding
	for i, r := range s.in.Book.rules {
		list = s.check(r, list[:0])
		for j := range list {
			switch list[j].Verdict {
			case Missed:
				out[i].missed++
			case Open:
				out[i].open++
			}
		}
	}
	return out
}

// apply makes the change on a copy of the plan: what is added goes into the
// first meal of the day for the animal (of the plan, when the finding is about
// all), what is taken away comes off the last servings first.
func (m Change) apply(f *Finding) (*ration.Plan, bool) {
	p := *f.s.in.Plan
	p.Days = slices.Clone(p.Days)
	mine := func(meal *ration.Meal) bool { return f.Animal == nil || slices.Contains(meal.For, f.Animal.ID) }
	if !m.Remove {
		for d := range p.Days {
			if m.Day >= 0 && d != m.Day {
				continue
			}
			meals := slices.Clone(p.Days[d].Meals)
			at := slices.IndexFunc(meals, func(x ration.Meal) bool { return mine(&x) })
			if at < 0 && m.Day >= 0 && f.Animal != nil {
				meals = append(meals, ration.Meal{Slot: 1, For: []string{f.Animal.ID}})
				at = len(meals) - 1
			}
			if at < 0 {
				continue
			}
			meals[at].Servings = append(slices.Clone(meals[at].Servings), ration.Serving{Food: m.Food, Mass: m.Mass, Pieces: m.Pieces})
			p.Days[d].Meals = meals
			return &p, true
		}
		return nil, false
	}
	left := m.Mass
	for d := len(p.Days) - 1; d >= 0 && left > 0; d-- {
		if m.Day >= 0 && d != m.Day {
			continue
		}
		meals := slices.Clone(p.Days[d].Meals)
		for i := range meals {
			if !mine(&meals[i]) {
				continue
			}
			servings := slices.Clone(meals[i].Servings)
			for j := len(servings) - 1; j >= 0 && left > 0; j-- {
				sv := &servings[j]
				if sv.Food != m.Food {
					continue
				}
				take := min(left, sv.Mass)
				sv.Mass, left = sv.Mass-take, left-take
				sv.Pieces = 0 // what is left is weighed
				if sv.Mass == 0 {
					servings = slices.Delete(servings, j, j+1)
				}
			}
			meals[i].Servings = servings
		}
		p.Days[d].Meals = meals
	}
	return &p, left == 0
}

// MendText says how to meet a missed rule, "" when it is not missed.
func (f *Finding) MendText() string { return f.mendText(f.Mends()) }

func (f *Finding) mendText(mends []Change) string {
	if f.Verdict != Missed {
		return ""
	}
	switch f.Rule.Check {
	case Times:
		unit := "day"
		if f.Rule.Meals {
			unit = "meal"
		}
		if f.Side == Above {
			return fmt.Sprintf("Feed it on fewer %ss.", unit)
		}
		return fmt.Sprintf("Spread it over more %ss.", unit)
	case MealsADay:
		return "Divide the day's food into more meals."
	case Chew:
		return "Add a serving with bone in it, or whole prey, on some day."
	case DriedWater:
		return "Serve the dried food soaked, or beside moist food."
	}
	if len(mends) == 0 {
		return "No amount of one food mends this; change more than one thing."
	}
	text := mends[0].Text()
	if f.Rule.Check == SpeciesCount {
		text = fmt.Sprintf("Add %s (any amount counts for the rule; practice means whole meals).", mends[0].Food.Name)
	}
	if b := mends[0].Breaks; len(b) > 0 {
		text += " By itself that would miss " + and(b) + "."
	}
	return text
}
