package plan

import (
	"context"
	"maps"
	"math"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/plan/internal/milp"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// model is the week as a mixed-integer program: how much of each food each diet
// gets, and how many packs are bought. It works in floating point and only
// proposes; the audit of the finished plan decides, and money is added up in
// integers.
//
// What it asks of each diet, and nothing else:
//
//   - the energy of the days planned lies in the band that every animal of the
//     diet can be given in the same proportion, and where attempt.middle is set
//     within 3 % of the middle;
//   - each share of the target, each share of all mass, and each nutrient limit
//     that is asked for, at the typical figures, over the foods for which the
//     figure is known;
//   - enough kinds of animal, of each at least 5 % of the middle of the energy;
//   - a number of pieces or a mass for each animal where a rule says so: of
//     pieces the least that the rule allows (over more than seven days whole pieces
//     for each bowl), of masses anything between its bounds;
//     where the rule is one to watch and is not wished for, only no more than it allows;
//   - of a kind of food that is fed on so many days at most, no more energy than
//     these days have;
//   - beside a mix that is not complete a twentieth of its mass of food with each
//     part that the target does not ask for by itself;
//   - no more of a food than is in stock and bought in whole packs.
//
// A product that is added to something stands in float64(): some processors fuse the
// two otherwise, and the same request would give another week on them.
type model struct {
	p     *planner
	prob  milp.Problem
	keys  []string    // of the rows: the requirement that each states,
	of    []int       // and of which diet, -1 for the household
	now   int         // the diet that is stated
	views [][]supply  // [diet][supply] as the diet gets it,
	parts [][]float64 // and what a unit of that takes of the supply
	amt   [][]int     // [diet][supply] column of the amount, -1 if the diet must not get it
	packs [][]int     // [supply][pack] column
	cost  map[int]int64
	// widths are the rows that have room between two bounds, with the amount of
	// room: what the second solve spreads evenly.
	widths []width
	late   []int // columns: dated stock that would be left over
	kinds  map[*balance.Rule]*kinds
	grams  []perBowl            // masses by the animal, where each bowl gets whole grams
	own    [][2]int             // [diet] its rows, from and to
	shares [][]shares.SlotShare // [diet] the shares asked of it
}

// kinds are the columns that say whether an animal kind is fed enough of, of all
// diets; whole is set when some diet has as many kinds as the rule asks for.
type kinds struct {
	names []string
	cols  [][]int
	whole bool
}

// perBowl is a row about a mass for each animal, with the bounds that whole grams
// in each bowl leave.
type perBowl struct {
	row       int
	low, high float64
}

type width struct {
	row  int
	room float64
	need float64 // of it, what whole grams and pieces may take
}

// attempt is what is asked for in one search.
type attempt struct {
	middle bool            // keep near the middle of the band, not anywhere in it
	wishes map[string]bool // rules to watch that are kept all the same
	rules  map[string]bool // nutrient rules that are asked for
	free   map[string]bool // requirements, by key, that are left out
	least  map[int]int64   // packs of an offer, by its index, that are bought at least
	most   map[int]int64   // and at most
	loose  bool            // requirements may be taken out of the model again
	lacks  bool            // the least of the extra foods is looked for, at any price
}

// Keys of requirements that are not rules.
const (
	keyEnergy = "energy"
	keyStock  = "stock " // and the food's id
	keyExtra  = "extra " // and the slot
	keyOrgan  = "organ-day"
	keyDays   = "complete-days"
	keyHazard = "hazard " // and the food's id
)

func (p *planner) model(ctx context.Context, supplies []supply, a attempt) *model {
	m := &model{p: p, now: -1, cost: map[int]int64{}, kinds: map[*balance.Rule]*kinds{}}
	for i := range p.diets {
		d := &p.diets[i]
		cols, views, parts := make([]int, len(supplies)), make([]supply, len(supplies)), make([]float64, len(supplies))
		for i := range supplies {
			views[i], parts[i] = p.view(&supplies[i], d)
			cols[i] = m.amount(&views[i], parts[i], d)
		}
		m.amt, m.views, m.parts = append(m.amt, cols), append(m.views, views), append(m.parts, parts)
	}
	for i := range supplies {
		m.stock(&supplies[i], i, a)
	}
	for i := range p.diets {
		m.now = i
		m.diet(i, m.views[i], a)
	}
	m.now = -1
	m.household(supplies, a)
	terms := 0
	for i := range m.prob.Rows {
		terms += len(m.prob.Rows[i].Terms)
	}
	p.charge(termSteps * int64(terms+len(p.diets)*len(supplies)))
	if !a.loose {
		for i := range p.diets {
			m.cap(ctx, i, m.views[i])
		}
		m.fewPacks(supplies)
	}
	return m
}

func (m *model) col(c milp.Column) int {
	m.prob.Columns = append(m.prob.Columns, c)
	return len(m.prob.Columns) - 1
}

func (m *model) row(key string, low, high float64, terms ...milp.Term) int {
	m.prob.Rows = append(m.prob.Rows, milp.Row{Name: key, Low: low, High: high, Terms: terms})
	m.keys = append(m.keys, key)
	m.of = append(m.of, m.now)
	return len(m.prob.Rows) - 1
}

func (m *model) amount(s *supply, part float64, d *diet) int {
	if d.refuses(s.food) || m.p.feed(s, d) == notAtAll {
		return -1
	}
	high := math.Inf(1)
	if !s.extra && s.limited() {
		high = float64(s.most()) / part
	}
	high = min(high, m.p.mostEaten(s, d))
	return m.col(milp.Column{Name: s.food.ID, High: max(high, 0), Integer: s.piece > 0})
}

// mostEaten is how much of one food a diet can use: no more than holds all its
// energy.
func (p *planner) mostEaten(s *supply, d *diet) float64 {
	if e := energyPerUnit(s); e > 0 {
		return math.Ceil(p.kcal(d.energy.High) / e)
	}
	return float64(bareMost * d.heads * int64(p.Days))
}

// kcal of the days planned, from tenths of a kcal a day.
func (p *planner) kcal(t ration.Tenths) float64 { return float64(float64(t) / 10 * float64(p.Days)) }

func energyPerUnit(s *supply) float64 {
	e, _, ok := s.food.DefaultEnergy()
	if !ok {
		return 0
	}
	return float64(float64(e.At[prey.Typical]) / 1e11 * s.grams())
}

// stock keeps the amounts of a food within what is in the freezer and bought. What is
// to be used up costs nothing here: no pack may be bought for the sake of it.
func (m *model) stock(s *supply, i int, a attempt) {
	var terms []milp.Term
	most := 0.0
	for d := range m.amt {
		if c := m.amt[d][i]; c >= 0 {
			terms = append(terms, milp.Term{Col: c, Coef: m.parts[d][i]})
			most += float64(m.prob.Columns[c].High * m.parts[d][i])
			if s.extra {
				m.prob.Columns[c].Cost = m.views[d][i].grams()
			}
		}
	}
	eat := slices.Clone(terms)
	var cols []int
	for _, k := range s.packs {
		z := milp.Column{Name: "packs of " + s.food.ID, Low: float64(a.least[k.at]), High: s.usefulPacks(k, most), Integer: true}
		if n, ok := a.most[k.at]; ok {
			z.High = min(z.High, float64(n))
		}
		z.High = max(z.High, z.Low)
		c := m.col(z)
		if !a.lacks {
			m.cost[c] = k.price / m.p.step
			m.prob.Columns[c].Cost = float64(m.cost[c])
		}
		cols = append(cols, c)
		terms = append(terms, milp.Term{Col: c, Coef: -float64(k.amount)})
	}
	m.packs = append(m.packs, cols)
	if len(eat) == 0 || s.extra || a.free[keyStock+s.food.ID] {
		return
	}
	m.row(keyStock+s.food.ID, math.Inf(-1), float64(s.have), terms...)
	if s.urgent > 0 && !a.lacks {
		// what is left of the lots that are to be used up
		c := m.col(milp.Column{Name: "left of " + s.food.ID, High: float64(s.urgent)})
		m.late = append(m.late, c)
		m.row("left of "+s.food.ID, float64(s.urgent), math.Inf(1), append(eat, milp.Term{Col: c, Coef: 1})...)
	}
}

// usefulPacks is the most packs of one kind that can be of use when no more than
// so much of the food is eaten.
func (s *supply) usefulPacks(k pack, most float64) float64 {
	packs := math.Ceil(max(most-float64(s.have), 0) / float64(k.amount))
	if k.most > 0 {
		packs = min(packs, float64(k.most))
	}
	return packs
}

// cap bounds the amounts of a diet by what its shares leave room for: no food
// can fill more of a slot than the slot's greatest share of the greatest mass.
// It cuts nothing off that meets the rows, but packs are then worth no more than
// what can be eaten of them, which makes the search short.
func (m *model) cap(ctx context.Context, at int, supplies []supply) {
	if len(m.shares[at]) == 0 {
		return
	}
	var prob milp.Problem
	to := make([]int, len(m.prob.Columns))
	for i := range to {
		to[i] = -1
	}
	all := make([]float64, len(supplies))
	for i, c := range m.amt[at] {
		if c < 0 {
			continue
		}
		s := &supplies[i]
		to[c] = len(prob.Columns)
		all[i] = -m.slotCoef(shares.NumSlots, 1, s)
		prob.Columns = append(prob.Columns, milp.Column{Name: s.food.ID, Cost: -all[i], High: m.prob.Columns[c].High})
	}
	for _, r := range m.prob.Rows[m.own[at][0]:m.own[at][1]] {
		terms := make([]milp.Term, 0, len(r.Terms))
		for _, t := range r.Terms {
			if to[t.Col] >= 0 {
				terms = append(terms, milp.Term{Col: to[t.Col], Coef: t.Coef})
			}
		}
		if len(terms) == len(r.Terms) { // not those about kinds of animal
			r.Terms = terms
			prob.Rows = append(prob.Rows, r)
		}
	}
	sol, err := m.p.solve(ctx, prob, 1, spreadWork, 0, nil)
	if err != nil || sol.Status != milp.Optimal {
		return
	}
	most := float64(-sol.Objective * (1 + capSlack))
	for i, c := range m.amt[at] {
		if c < 0 || all[i] == 0 {
			continue
		}
		high := &m.prob.Columns[c].High
		for _, sh := range m.shares[at] {
			if in := m.slotCoef(sh.Slot, 0, &supplies[i]); in > 0 {
				*high = min(*high, float64(sh.High)/1e6*most/in+capSlack)
			}
		}
		if m.prob.Columns[c].Integer {
			*high = math.Floor(*high + capSlack)
		}
	}
}

// fewPacks bounds the packs of each food by what can be eaten of it, which is less
// than was known before the amounts were capped.
func (m *model) fewPacks(supplies []supply) {
	for i := range supplies {
		most := 0.0
		for d := range m.amt {
			if c := m.amt[d][i]; c >= 0 {
				most += float64(m.prob.Columns[c].High * m.parts[d][i])
			}
		}
		for k, c := range m.packs[i] {
			z := &m.prob.Columns[c]
			z.High = max(z.Low, min(z.High, supplies[i].usefulPacks(supplies[i].packs[k], most)))
		}
	}
}

type eachFood func(func(*supply) float64) []milp.Term

// diet states what the week of one diet must hold.
func (m *model) diet(at int, supplies []supply, a attempt) {
	d, cols := &m.p.diets[at], m.amt[at]
	first := len(m.prob.Rows)
	m.shares = append(m.shares, nil)
	defer func() { m.own = append(m.own, [2]int{first, len(m.prob.Rows)}) }()
	each := func(coef func(s *supply) float64) (terms []milp.Term) {
		for i := range supplies {
			if cols[i] < 0 {
				continue
			}
			if v := coef(&supplies[i]); v != 0 {
				terms = append(terms, milp.Term{Col: cols[i], Coef: v})
			}
		}
		return terms
	}
	if !a.free[keyEnergy] {
		low, high := m.p.energyOf(d, a.middle)
		m.wide(m.row(keyEnergy, low, high, each(energyPerUnit)...), (high-low)/2)
	}
	weight := m.p.kcal(d.energy.Typical) / roughKcal // a rough mass of the week in grams, to scale the room of shares
	for _, rule := range m.p.rules {
		if a.free[rule.ID] || !m.p.concerns(rule, d) {
			continue
		}
		wanted := rule.Severity != balance.Watch || a.wishes[rule.ID]
		switch {
		case isCount(rule):
			m.counted(rule, d, wanted, each)
			continue
		case rule.Check.Form() == balance.FormOccasion && !rule.Meals && rule.Subject == balance.OfKind && rule.High != nil:
			m.seldom(rule, each)
			continue
		case !wanted:
			continue
		}
		switch rule.Check.Form() {
		case balance.FormQuotient:
			if a.rules[rule.ID] || !rule.Check.Nutrient() {
				m.quotient(rule, weight, each)
			}
		case balance.FormVariety:
			m.species(rule, at, supplies)
		}
	}
	m.besideMix(a, each)
	for i := range supplies {
		s := &supplies[i]
		if most := s.shareMost; most > 0 && cols[i] >= 0 && !a.free[keyHazard+s.food.ID] {
			m.row(keyHazard+s.food.ID, math.Inf(-1), 0, each(func(o *supply) float64 {
				if o == s {
					return float64((1 - most) * o.grams())
				}
				return float64(-most * o.grams())
			})...)
		}
	}
	if low, high, ok := m.p.completePart(); ok && !a.free[keyDays] {
		part := func(bound float64) []milp.Term {
			return each(func(s *supply) float64 {
				if s.food.Complete {
					return float64((1 - bound) * energyPerUnit(s))
				}
				return float64(-bound * energyPerUnit(s))
			})
		}
		m.row(keyDays, 0, math.Inf(1), part(low)...)
		m.row(keyDays, math.Inf(-1), 0, part(high)...)
	}
	if most := m.p.OrganDay; most > 0 && !a.free[keyOrgan] {
		r := m.row(keyOrgan, math.Inf(-1), 0, each(func(s *supply) float64 {
			return float64((float64(organOf(s.food)) - float64(most)) / 1e6 * s.grams())
		})...)
		// whole grams of organ in each bowl on each day
		room := float64(len(d.bowls) * m.p.Days)
		m.widths = append(m.widths, width{row: r, room: room, need: room})
	}
}

// besideMix asks for some of each slot that an incomplete mix may lack, where the
// target does not ask for it by itself. The audit wants any at all; a row needs an
// amount.
func (m *model) besideMix(a attempt, each eachFood) {
	for _, rule := range m.p.rules {
		if rule.Check.Form() != balance.FormGap || rule.Severity == balance.Watch || a.free[rule.ID] {
			continue
		}
		for _, slot := range shares.Slots() {
			if sh, ok := m.p.target.Share(slot); ok && sh.Low > 0 {
				continue
			}
			mixed := false
			terms := each(func(s *supply) (v float64) {
				f := s.food
				if f.Complete {
					return 0
				}
				if f.Kind == prey.Mix || f.Kind == prey.DriedRaw {
					mixed = true
					v = -leastBeside
				}
				if slot.In(f) {
					v++
				}
				return float64(v * s.grams())
			})
			if mixed {
				m.row(rule.ID, 0, math.Inf(1), terms...)
			}
		}
	}
}

// completePart is the part of the energy that whole prey and complete mixes make,
// when it is asked for as a number of days.
func (p *planner) completePart() (low, high float64, ok bool) {
	if p.CompleteDays == 0 {
		return 0, 0, false
	}
	n, all := float64(p.CompleteDays), float64(p.Days)
	return (n - halfDay) / all, min(1, (n+halfDay)/all), true
}

// organOf is the part of a food judged by shares that is liver or other
// secreting organ.
func organOf(f *prey.Food) units.Share {
	if !shares.Counts(f) || !f.PartsKnown {
		return 0
	}
	return f.Shares[prey.Typical][prey.Liver] + f.Shares[prey.Typical][prey.Organ]
}

// wide notes that a row has room between its bounds, and how much of it the rounding
// to whole grams needs.
func (m *model) wide(row int, room float64) {
	if room <= 0 {
		return
	}
	// Half a gram of each of a few foods, of those that weigh most here.
	var size []float64
	for _, t := range m.prob.Rows[row].Terms {
		if !m.prob.Columns[t.Col].Integer {
			size = append(size, math.Abs(t.Coef))
		}
	}
	slices.Sort(size)
	need := 0.0
	for _, s := range size[max(0, len(size)-roundedFoods):] {
		need += s / 2
	}
	m.widths = append(m.widths, width{row, room, need})
}

// household states what all diets together must hold.
func (m *model) household(supplies []supply, a attempt) {
	for _, slot := range shares.Slots() {
		key := keyExtra + slot.String()
		extra := m.p.Extra[slot]
		sh, ok := m.p.target.Share(slot)
		if extra <= 0 || !ok || a.free[key] {
			continue
		}
		var terms []milp.Term
		for d := range m.amt {
			for i := range supplies {
				if c := m.amt[d][i]; c >= 0 {
					if v := m.slotCoef(slot, float64(sh.Low)/1e6, &m.views[d][i]); v != 0 {
						terms = append(terms, milp.Term{Col: c, Coef: v})
					}
				}
			}
		}
		m.row(key, float64(extra)/float64(units.Gram), math.Inf(1), terms...)
	}
	// Where no animal may have so many kinds, the household still must.
	for _, rule := range m.p.rules {
		k := m.kinds[rule]
		if k == nil || k.whole {
			continue
		}
		var sum []milp.Term
		for i, cols := range k.cols {
			y := m.col(milp.Column{Name: rule.ID + " anybody " + k.names[i], High: 1, Integer: true})
			terms := []milp.Term{{Col: y, Coef: -1}}
			for _, c := range cols {
				terms = append(terms, milp.Term{Col: c, Coef: 1})
			}
			m.row(rule.ID, 0, math.Inf(1), terms...)
			sum = append(sum, milp.Term{Col: y, Coef: 1})
		}
		m.row(rule.ID, float64(rule.Low.Value), math.Inf(1), sum...)
	}
}

// energyOf is the energy in kcal that a diet gets over the days planned.
func (p *planner) energyOf(d *diet, middle bool) (low, high float64) {
	mid := p.kcal(d.energy.Typical)
	low, high = p.kcal(d.energy.Low), p.kcal(d.energy.High)
	// every animal gets the same part of the middle of its band
	for _, b := range d.bowls {
		for _, a := range p.bowls[b].Animals {
			n := p.need(a)
			low = max(low, mid*float64(n.Band.Low)/float64(n.Band.Typical))
			high = min(high, mid*float64(n.Band.High)/float64(n.Band.Typical))
		}
	}
	if middle {
		low, high = max(low, float64(mid*(1-aroundMiddle))), min(high, float64(mid*(1+aroundMiddle)))
	}
	return low, high
}

// concerns reports whether the rule holds for the animals of the diet.
func (p *planner) concerns(r *balance.Rule, d *diet) bool {
	if r.LifeStage == balance.Growing && !p.growth || r.LifeStage == balance.Grown && p.growth {
		return false
	}
	if len(r.Species) == 0 {
		return true
	}
	for _, b := range d.bowls {
		for _, a := range p.bowls[b].Animals {
			if slices.Contains(r.Species, a.Kind()) {
				return true
			}
		}
	}
	return false
}

// slotCoef is how far a unit of the food raises a slot above a share of all
// slots; with NumSlots for the slot it is minus that share of all slots alone.
func (m *model) slotCoef(slot shares.Slot, bound float64, s *supply) float64 {
	return float64(m.p.target.Above(s.food, slot, bound) * s.grams())
}

// quotient states the bounds of a rule whose figure is a quotient of two sums. Of
// nutrients, the foods count for which both figures are known: the audit takes the
// others to be like them.
func (m *model) quotient(rule *balance.Rule, weight float64, each eachFood) {
	low, high := rule.Limits(m.p.target, nil)
	var aim float64 // the most that a gram of food holds at a bound
	beyond := func(l *balance.Limit) []milp.Term {
		return each(func(s *supply) float64 {
			above, at, ok := rule.Above(m.p.target, s.food, l.Value)
			if !ok {
				return 0
			}
			aim = max(aim, at)
			return float64(above * s.grams())
		})
	}
	room := func(free int64) float64 { return float64(float64(free) / 2 / 1e6 * weight) }
	sh, slotted := m.p.target.Share(rule.Slot)
	switch slotted = slotted && rule.Check.Takes("slot"); {
	case slotted:
		m.shares[len(m.shares)-1] = append(m.shares[len(m.shares)-1], sh)
		between := room(int64(sh.High - sh.Low))
		room = func(int64) float64 { return between }
	case rule.Check.Nutrient():
		room = func(int64) float64 { return float64(nutrientRoom * aim * weight) }
	}
	if low != nil {
		r := m.row(rule.ID, 0, math.Inf(1), beyond(low)...)
		m.wide(r, room(1e6-low.Value))
	}
	// What may not be fed at all is no supply.
	if high != nil && (high.Value > 0 || rule.Subject == 0) {
		r := m.row(rule.ID, math.Inf(-1), 0, beyond(high)...)
		m.wide(r, room(high.Value))
	}
}

// species asks for enough kinds of animal, each with a part of the energy that
// is worth its name. Of a diet that must do without some foods no more kinds are
// asked than are at hand for it; the household as a whole must have them all.
func (m *model) species(rule *balance.Rule, at int, supplies []supply) {
	if rule.Low == nil {
		return
	}
	d, cols := &m.p.diets[at], m.amt[at]
	foods := map[string][]int{}
	for i := range supplies {
		if cols[i] < 0 || m.prob.Columns[cols[i]].High == 0 {
			continue
		}
		for _, s := range rule.Meats(supplies[i].food) {
			foods[s] = append(foods[s], i)
		}
	}
	k := m.kinds[rule]
	if k == nil {
		k = &kinds{}
		m.kinds[rule] = k
	}
	low := float64(rule.Low.Value)
	if len(d.never) > 0 && len(m.p.diets) > 1 {
		low = min(low, float64(len(foods)))
	}
	least := float64(leastSpecies * m.p.kcal(d.energy.Typical))
	var sum []milp.Term
	for _, s := range slices.Sorted(maps.Keys(foods)) {
		y := m.col(milp.Column{Name: rule.ID + " " + s, High: 1, Integer: true})
		terms := []milp.Term{{Col: y, Coef: -least}}
		for _, i := range foods[s] {
			terms = append(terms, milp.Term{Col: cols[i], Coef: energyPerUnit(&supplies[i])})
		}
		m.row(rule.ID, 0, math.Inf(1), terms...)
		sum = append(sum, milp.Term{Col: y, Coef: 1})
		at := slices.Index(k.names, s)
		if at < 0 {
			at = len(k.names)
			k.names, k.cols = append(k.names, s), append(k.cols, nil)
		}
		k.cols[at] = append(k.cols[at], y)
	}
	k.whole = k.whole || low == float64(rule.Low.Value)
	m.row(rule.ID, low, math.Inf(1), sum...)
}

// isCount reports whether a rule is about a number or a mass of a kind of food for
// each animal.
func isCount(r *balance.Rule) bool {
	return r.Counted() && r.Sex == ration.SexUnknown
}

// seldom keeps a kind of food that is fed on few days within the energy of so
// many days: more could not be laid out on them, and the model knows no days.
func (m *model) seldom(rule *balance.Rule, each eachFood) {
	days := math.Floor(float64(rule.High.Value) * float64(m.p.Days) / 7)
	part := days / float64(m.p.Days)
	m.row(rule.ID, math.Inf(-1), 0, each(func(s *supply) float64 {
		e := energyPerUnit(s)
		if rule.LooksAt(s.food) {
			return float64((1 - part) * e)
		}
		return float64(-part * e)
	})...)
}

// counted is a number of pieces or a mass of a kind of food for each animal. What
// is only wished for may be left out, but there is never more of it than the rule
// allows: a wish that cannot be met is no leave to overdo it.
func (m *model) counted(rule *balance.Rule, d *diet, wanted bool, each eachFood) {
	n := float64(d.heads) * float64(m.p.Days) / 7
	of, low, high := m.p.counting(rule, float64(d.heads))
	byGram := false
	terms := each(func(s *supply) float64 {
		byGram = byGram || rule.LooksAt(s.food) && s.piece == 0
		return of(s)
	})
	if !wanted {
		low = math.Inf(-1)
	}
	if !rule.Check.InMasses() && !math.IsInf(low, 0) {
		least := low
		low = math.Ceil(low) // practice gives one or two: one is planned
		if m.p.Days > 7 {
			// the rule is not cut short, so each bowl needs whole pieces
			low = 0
			for _, b := range d.bowls {
				low += math.Ceil(least / float64(d.heads) * float64(len(m.p.bowls[b].Animals)))
			}
		}
		high = low
		if byGram {
			high += float64(pieceRoom * n) // whole grams do not make whole pieces
		}
	}
	if rule.Severity == balance.Watch && len(terms) == 0 || math.IsInf(low, 0) && math.IsInf(high, 0) {
		return // it is not to be had for this diet
	}
	r := m.row(rule.ID, low, high, terms...)
	if rule.Check.InMasses() && rule.Split == balance.ByHead {
		g := perBowl{row: r, low: low, high: high}
		perBowl := func(total float64, whole func(float64) float64) (sum float64) {
			for _, b := range d.bowls {
				sum += whole(total * float64(len(m.p.bowls[b].Animals)) / float64(d.heads))
			}
			return sum
		}
		if !math.IsInf(low, 0) {
			g.low = perBowl(low, math.Ceil)
		}
		if rule.High != nil {
			g.high = perBowl(high, math.Floor)
		}
		if g.low <= g.high {
			m.grams = append(m.grams, g)
		}
	}
	if rule.Check.InMasses() && low < high && !math.IsInf(high-low, 0) {
		m.wide(r, (high-low)/2)
		if w := m.widths[len(m.widths)-1]; w.row == r { // each animal gets whole grams
			m.widths[len(m.widths)-1].need = max(w.need, float64(d.heads)/2)
		}
	}
}

// counting is what a unit of a food counts for under a rule about a number or a
// mass for each animal, and the bounds for so many animals over the days planned.
func (p *planner) counting(rule *balance.Rule, heads float64) (of func(*supply) float64, low, high float64) {
	n := heads * float64(p.Days) / 7
	scale := 1.0
	if rule.Check.InMasses() {
		scale = 1e12 // limits are in picograms
		if rule.Daily {
			n = float64(n * 7)
		}
	}
	of = func(s *supply) float64 {
		switch t := float64(s.food.Piece.Typical) / 1e12; {
		case !rule.LooksAt(s.food):
			return 0
		case rule.Check.InMasses():
			return s.grams()
		case s.piece > 0:
			return 1
		case t > 0: // eggs fed by the gram count as parts of an egg
			return 1 / t
		}
		return 0
	}
	low, high = math.Inf(-1), math.Inf(1)
	if rule.Low != nil {
		low = float64(float64(rule.Low.Value) / scale * n)
	}
	if rule.High != nil {
		high = float64(float64(rule.High.Value) / scale * n)
	}
	return of, low, high
}
