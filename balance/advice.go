package balance

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/wide"
)

// Contribution is a food that makes up part of a measured figure.
type Contribution struct {
	Food *prey.Food
	Mass units.Mass  // fed over the time the finding is about
	Part units.Share // of the whole figure at the typical case, rounded, for display
}

// mostContributions is how many foods Contributions names.
const mostContributions = 5

// Contributions returns the foods that make up the figure, most first, at most five.
// It is empty for counts of species and of slots.
func (f *Finding) Contributions() []Contribution {
	type part struct {
		food *prey.Food
		mass units.Mass
		sum  wide.U128
	}
	if f.s == nil {
		return nil
	}
	var parts []part
	var total wide.U128
	for i := range f.s.items {
		it := &f.s.items[i]
		if f.Day >= 0 && it.day != f.Day || !f.concerns(it) {
			continue
		}
		v, ok := f.Rule.Check.of().adds(f, it)
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
	var out []Contribution
	for _, p := range parts[:min(len(parts), mostContributions)] {
		out = append(out, Contribution{p.food, p.mass, figure.Share(p.sum, total)})
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

// tally is the serving as a sum of its own.
func (it *item) tally() *prey.Tally {
	var t prey.Tally
	_ = t.Add(it.Food, it.Mass) // it was added to the plan's sum before
	return &t
}

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
		return weighPiece
	case PartsUnknown:
		return "Ask the maker how much muscle, heart, liver, other organ and bone the mix holds."
	case ShortPlan:
		return "Plan the rest of the week."
	case NotAsked:
		return "Ask package safety."
	case NoDates:
		return "Write the date of each day."
	case HazardOpen:
		return f.Hazard.Do
	}
	if food, mass := f.unknown(); food != nil {
		return fmt.Sprintf("Find out the figure for %s (%s in the plan): it is the heaviest food without one.", food.Name, mass.InBoth())
	}
	if food, n := f.widest(); food != nil {
		if food.PieceName != "" && food.Piece.Typical > 0 {
			return fmt.Sprintf("Weigh the bone of three of your pieces of %s, each before and after taking off the meat: its bone runs from %s to %s.", food.Name,
				food.Shares[prey.LeastBone][prey.Bone].InPercent(0), food.Shares[prey.MostBone][prey.Bone].InPercent(0))
		}
		return fmt.Sprintf("Weigh %s before and after taking off the meat: of %s in the plan, %s to %s may be bone.", food.Name, n.InBoth(),
			food.Shares[prey.LeastBone][prey.Bone].InPercent(0), food.Shares[prey.MostBone][prey.Bone].InPercent(0))
	}
	return f.Rule.Check.of().settle
}

// unknown is the heaviest food whose figure is not known, or nil.
func (f *Finding) unknown() (*prey.Food, units.Mass) {
	return f.heaviest(func(food *prey.Food) units.Mass {
		if f.Rule.Check.of().lacks(f, food) {
			return 1
		}
		return 0
	})
}

// widest is the food whose range of bone moves the figure most, or nil.
func (f *Finding) widest() (*prey.Food, units.Mass) {
	if f.Rule.Check.of().bone == no {
		return nil, 0
	}
	return f.heaviest(func(food *prey.Food) units.Mass {
		if !food.PartsKnown || f.Rule.Check.Nutrient() && !food.BoneWeighed(f.Rule.Nutrient) {
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
	if m.Food == nil {
		return ""
	}
	what := m.Mass.InBoth()
	if m.Pieces > 0 {
		what = fmt.Sprintf("%d of (%s)", m.Pieces, m.Mass.InBoth())
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
	return f.Rule.Check.of().mends(f)
}

// byAmount looks for the smallest amount of one food, by the steps of the rule.
func byAmount(step stepOf) func(*Finding) []Change {
	return func(f *Finding) []Change { return f.amounts(step) }
}

// stepOf is the least amount of a food by which a change is made, a piece of it or
// some mass; nothing for a food that the rule does not look at.
type stepOf func(*Rule, *prey.Food) (step units.Mass, piece bool)

func grams(*Rule, *prey.Food) (units.Mass, bool) { return units.Gram, false }

func (f *Finding) amounts(step stepOf) []Change {
	m := newMender(f)
	m.step = step
	near := f.planFoods()
	var tries []Change
	for _, food := range near {
		tries = m.try(tries, food, true)
	}
	if h := f.s.in.Household; h != nil {
		for _, lot := range h.Stock {
			if lot.Food != nil && !slices.Contains(near, lot.Food) {
				near = append(near, lot.Food)
			}
		}
	}
	for _, food := range near {
		tries = m.tryAdd(tries, food)
	}
	out := m.smallest(tries)
	if len(out) == 0 && f.s.in.Foods != nil {
		tries = tries[:0]
		for _, food := range f.s.in.Foods.All() {
			tries = m.tryAdd(tries, food)
		}
		out = m.smallest(tries)
	}
	for i := range out {
		out[i].Breaks, out[i].cost = m.breaks(out[i])
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

func (f *Finding) massOf(food *prey.Food) (m units.Mass) {
	for i := range f.s.items {
		it := &f.s.items[i]
		if it.Food == food && (f.Day < 0 || it.day == f.Day) && f.concerns(it) {
			m += it.Mass
		}
	}
	return m
}

// mender looks for changes that meet one finding. It has memory of its own, since
// several may read a report at once.
type mender struct {
	*Finding
	rule   *readyRule
	step   stepOf
	before []tallied
	state  state // of a changed plan
}

func newMender(f *Finding) *mender {
	m := &mender{Finding: f}
	m.state.in, m.state.needs = f.s.in, f.s.needs
	m.state.prepare()
	for i := range m.s.in.Book.ready {
		if r := &m.s.in.Book.ready[i]; r.Rule == f.Rule {
			m.rule = r
		}
	}
	m.before = f.s.tallies()
	return m
}

// tryAdd is try for a food that may be added at all.
func (m *mender) tryAdd(tries []Change, food *prey.Food) []Change {
	if food.Kind == prey.Oil || food.Kind == prey.Supplement {
		if m.Side == Above || m.Rule.Check.Form() == FormEnergy {
			return tries
		}
	}
	for _, h := range m.s.hazardsOf(food) {
		if h.Severity >= Mend {
			return tries
		}
	}
	for i := range m.s.needs {
		if m.s.needs[i].Animal.Refuses(food) {
			return tries
		}
	}
	return m.try(tries, food, false)
}

// try appends the smallest amount of one food, added or taken away, with which
// the rule no longer fails on the same side, when there is one. Whether the rule
// is met there is for smallest to say.
//
// With the amount of one food every figure that is tried moves one way only, and
// num x scale - bound x den along a straight line: so the amount is where that
// line crosses nothing, give or take what is unknown, and halving finds it from
// there.
func (m *mender) try(tries []Change, food *prey.Food, remove bool) []Change {
	c := Change{Food: food, Remove: remove, Day: m.Day}
	step, piece := m.step(m.Rule, food)
	if step <= 0 {
		return tries
	}
	most := max(int64(m.s.total.Mass()/step), 100) // more than all there is now is no advice
	if remove {
		most = int64(m.massOf(food) / step)
	}
	most = min(most, 1<<20)
	set := func(n int64) {
		c.Mass, _ = step.Times(n)
		if piece {
			c.Pieces = n
		}
	}
	at := m.line(food, step, remove)
	if at == nil {
		at = func(n int64) (fr figure.Figure, j figure.Judgement, ok bool) {
			set(n)
			g, ok := m.again(c)
			if g.figure != nil {
				fr = *g.figure
			}
			return fr, figure.Judgement{Typical: figure.Answer(g.Verdict), Side: int(g.Side)}, ok
		}
	}
	fails := func(j figure.Judgement, ok bool) bool {
		return !ok || j.Typical == figure.Missed && Side(j.Side) == m.Side
	}
	if most < 1 {
		return tries
	}
	last, j, ok := at(most)
	if fails(j, ok) {
		return tries
	}
	low, high := int64(0), most // low fails, high does not
	probe := func(n int64) {
		if n <= low || n >= high {
			return
		}
		if _, j, ok := at(n); fails(j, ok) {
			low = n
		} else {
			high = n
		}
	}
	guess := m.crossing(&last, most)
	for _, n := range [...]int64{guess, guess - 1, guess + 1} {
		probe(n)
	}
	for high-low > 1 {
		probe(low + (high-low)/2)
	}
	set(high)
	return append(tries, c)
}

// crossing guesses how many steps meet the bound that was passed, from the
// figures now and after the most steps: where num x scale - bound x den is
// nothing on the line between the two. Counts of things change with the first
// step. It is only a guess and may be a float; it is tried from both sides.
func (m *mender) crossing(last *figure.Figure, most int64) int64 {
	if m.Rule.Check.of().atOnce == yes {
		return 1
	}
	bound := m.held().Low
	if m.Side == Above {
		bound = m.held().High
	}
	away := func(f *figure.Figure) float64 {
		float := func(v wide.U128) float64 { return float64(v.Hi)*(1<<64) + float64(v.Lo) }
		return float64(float(f.Num[prey.Typical])*float64(f.Scale)) - float64(float(f.Den[prey.Typical])*float64(bound))
	}
	from, to := away(m.figure), away(last)
	if n := math.Ceil(float64(most) * from / (from - to)); n >= 0 && n <= float64(most) {
		return int64(n)
	}
	return 0
}

// line gives the figure with n steps of a food more or less, for the rules whose
// figures are sums over the plan: the figure as it is and n times that of one
// step. For the others it is nil; they are judged on the changed plan itself.
func (m *mender) line(food *prey.Food, step units.Mass, remove bool) func(n int64) (figure.Figure, figure.Judgement, bool) {
	if m.Rule.Check.Form() != FormQuotient {
		return nil
	}
	if m.state.ready.profile(food) == nil {
		return nil
	}
	unit := m.Rule.quotient(m.s.target, food, step)
	return func(n int64) (f figure.Figure, j figure.Judgement, ok bool) {
		f = *m.figure
		if remove {
			f.Less(&unit, uint64(n))
		} else if mass, err := step.Times(n); err != nil || m.s.total.Mass() > math.MaxInt64-mass {
			return f, j, false
		} else {
			f.More(&unit, uint64(n))
		}
		return f, f.Judge(), true
	}
}

// smallest returns those of the changes that meet the rule, the smallest amounts
// first, as many as are worth auditing for what they break.
func (m *mender) smallest(tries []Change) (out []Change) {
	slices.SortStableFunc(tries, func(a, b Change) int { return cmp.Or(cmp.Compare(a.Mass, b.Mass), cmp.Compare(a.Food.ID, b.Food.ID)) })
	for _, c := range tries {
		if g, ok := m.again(c); ok && (g.Verdict == Met || g.Verdict == NotApplicable) {
			if out = append(out, c); len(out) == 3*mostMends {
				break
			}
		}
	}
	return out
}

// change sums up the plan with the change made.
func (m *mender) change(c Change) bool {
	in := m.s.in
	plan, ok := c.apply(m.Finding)
	if !ok {
		return false
	}
	in.Plan, in.Needs, in.Target = plan, m.s.needs, m.s.target
	return m.state.build(&in) == nil
}

// again judges the rule of the finding on the plan with the change made.
func (m *mender) again(c Change) (Finding, bool) {
	if !m.change(c) {
		return Finding{}, false
	}
	s := &m.state
	if m.Rule.Check.of().days == worstDay && m.Day >= 0 {
		fr := s.figure()
		m.Rule.Check.of().onDay(s, fr, slices.IndexFunc(s.needs, func(n ration.Need) bool { return n.Animal == m.Animal }), m.Day)
		return *s.judge(m.rule, fr, m.held()), true
	}
	s.check(m.rule)
	for _, g := range s.found {
		if g.Animal == m.Animal {
			return g, true
		}
	}
	return Finding{}, false
}

// breaks audits the changed plan and lists the rules that more is missed of than
// was missed or open before.
func (m *mender) breaks(c Change) (ids []string, cost int) {
	if !m.change(c) {
		return nil, 0
	}
	m.state.judgeAll()
	after := m.state.tallies()
	for _, g := range [...]Severity{Stop, Mend, Watch} {
		for i, r := range m.s.in.Book.ready {
			if r.Severity == g && after[i].missed > m.before[i].missed+m.before[i].open {
				ids = append(ids, r.ID)
				if cost++; g != Watch {
					cost += len(after)
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
	out := make([]tallied, len(s.in.Book.ready))
	i := 0
	for j := range s.found { // they stand in the order of the rules
		f := &s.found[j]
		for s.in.Book.ready[i].Rule != f.Rule {
			i++
		}
		switch f.Verdict {
		case Missed:
			out[i].missed++
		case Open:
			out[i].open++
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
	return f.Rule.Check.of().remedy(f, mends)
}

// bestChange is the remedy of kinds that an amount of one food mends.
func bestChange(_ *Finding, mends []Change) string {
	if len(mends) == 0 {
		return "No amount of one food mends this; change more than one thing."
	}
	return mends[0].Text() + mends[0].missing()
}

// missing says which rules the change would break.
func (m *Change) missing() string {
	if len(m.Breaks) == 0 {
		return ""
	}
	return " By itself that would miss " + say.And(m.Breaks) + "."
}
