package balance

import (
	"context"
	"maps"
	"math"
	"slices"

	"fitchet.example/balance/internal/milp"
	"fitchet.example/prey"
	"fitchet.example/ration"
)

// model is the week as a mixed-integer program: how much of each food each diet
// gets, and how many packs are bought. It works in floating point and only
// proposes; the audit of the finished plan decides.
type model struct {
	p     *planner
	prob  milp.Problem
	amt   [][]int // [diet][supply] column of the amount, -1 if the diet must not get it
	packs [][]int // [supply][pack] column
	// widths are the rows that have room between two bounds, with the amount of
	// room: what the second solve spreads evenly.
	widths []width
	tight  float64
	lean   bool // the least of what is lacking is asked for, not the amounts with most room
}

type width struct {
	row  int
	room float64
}

// How the search weighs things. All are choices of ours.
const (
	aroundMiddle  = 0.03 // the energy of a diet lies within 3 % of the middle of its band,
	leastSpecies  = 0.05 // an animal kind counts in the search from 5 % of a diet's energy on
	perSpot       = 1e-6 // first-out: a unit of a food further down the list costs this more
	nutrientRoom  = 0.02 // nutrient limits are kept with 2 % to spare where that is possible
	mostResolves  = 6
	extraCentGram = 1000.0
)

// options of one attempt.
type attempt struct {
	middle bool            // keep near the middle of the band, not anywhere in it
	extra  bool            // allow the catalogue's foods at a high price
	soft   map[string]bool // rules that nothing in the house can meet: left out
	rules  map[string]bool // nutrient rules that are asked for
	tight  float64         // shares are kept this much inside their bounds
}

func (p *planner) model(supplies []supply, a attempt) *model {
	m := &model{p: p, tight: a.tight, lean: a.extra}
	for _, d := range p.diets {
		cols := make([]int, len(supplies))
		for i := range supplies {
			cols[i] = m.amount(&supplies[i], &d, a)
		}
		m.amt = append(m.amt, cols)
	}
	for i := range supplies {
		m.stock(&supplies[i], i, a)
	}
	for i := range p.diets {
		m.diet(&p.diets[i], m.amt[i], supplies, a)
	}
	return m
}

func (m *model) col(c milp.Column) int {
	m.prob.Columns = append(m.prob.Columns, c)
	return len(m.prob.Columns) - 1
}

func (m *model) row(name string, low, high float64, terms ...milp.Term) int {
	m.prob.Rows = append(m.prob.Rows, milp.Row{Name: name, Low: low, High: high, Terms: terms})
	return len(m.prob.Rows) - 1
}

func (s *supply) most() (most int64) {
	most = s.have
	for _, k := range s.packs {
		n := k.most
		if n == 0 {
			n = 40
		}
		most += n * k.amount
	}
	return most
}

func (m *model) amount(s *supply, d *diet, a attempt) int {
	for _, n := range d.never {
		if n == s.food.ID || s.food.HasSpecies(n) {
			return -1
		}
	}
	// no diet can use more of one food than holds all its energy
	high := float64(s.most())
	if s.extra {
		high = math.MaxInt32
	}
	if e := energyPerUnit(s); e > 0 {
		high = min(high, math.Ceil(m.p.kcal(d.energy.High)/e))
	} else {
		high = min(high, 200*float64(m.p.Days))
	}
	cost := perSpot * float64(s.spot) * s.grams()
	if s.extra {
		cost = extraCentGram * s.grams()
	}
	return m.col(milp.Column{Name: s.food.ID, Cost: cost, High: max(high, 0), Integer: s.piece > 0})
}

// kcal of the days planned, from tenths of a kcal a day.
func (p *planner) kcal(t ration.Tenths) float64 { return float64(t) / 10 * float64(p.Days) }

func energyPerUnit(s *supply) float64 {
	e, _, ok := s.food.DefaultEnergy()
	if !ok {
		return 0
	}
	return float64(e.At[prey.Typical]) / 1e11 * s.grams()
}

// stock keeps the amounts of a food within what is in the freezer and bought.
func (m *model) stock(s *supply, i int, a attempt) {
	var terms []milp.Term
	for d := range m.amt {
		if c := m.amt[d][i]; c >= 0 {
			terms = append(terms, milp.Term{Col: c, Coef: 1})
		}
	}
	var cols []int
	for _, k := range s.packs {
		most := k.most
		if most == 0 {
			most = 40
		}
		cents, _ := k.offer.Price.Amount().Shift(2).Round(0).Float64()
		c := m.col(milp.Column{Name: "packs of " + s.food.ID, Cost: cents, High: float64(most), Integer: true})
		cols = append(cols, c)
		terms = append(terms, milp.Term{Col: c, Coef: -float64(k.amount)})
	}
	m.packs = append(m.packs, cols)
	if !s.extra && len(terms) > len(cols) {
		m.row("stock of "+s.food.ID, math.Inf(-1), float64(s.have), terms...)
	}
}

// diet states what the week of one diet must hold.
func (m *model) diet(d *diet, cols []int, supplies []supply, a attempt) {
	each := func(coef func(s *supply) float64) (terms []milp.Term) {
		for i := range supplies {
			if v := coef(&supplies[i]); cols[i] >= 0 && v != 0 {
				terms = append(terms, milp.Term{Col: cols[i], Coef: v})
			}
		}
		return terms
	}
	low, mid, high := m.p.kcal(d.energy.Low), m.p.kcal(d.energy.Typical), m.p.kcal(d.energy.High)
	if a.middle {
		low, high = max(low, mid*(1-aroundMiddle)), min(high, mid*(1+aroundMiddle))
	}
	if low == high {
		low, high = low*0.995, high*1.005
	}
	r := m.row("energy", low, high, each(energyPerUnit)...)
	m.widths = append(m.widths, width{r, (high - low) / 2})

	weight := mid / 1.5 // a rough mass of the week in grams, to scale the room of shares
	for _, rule := range m.p.rules {
		if a.soft[rule.ID] || rule.Gravity == Watch && rule.Check != Pieces && rule.Check != Amount || !m.p.concerns(rule, d) {
			continue
		}
		switch rule.Check {
		case SlotShareCheck:
			m.share(rule, weight, each)
		case MassShare:
			m.massShare(rule, each)
		case SpeciesCount:
			m.species(rule, d, cols, supplies)
		case Pieces:
			m.counted(rule, d, supplies, each, a)
		case Amount:
			if rule.Of == OfKind {
				m.counted(rule, d, supplies, each, a)
			}
		case NutrientRatio, PerEnergy, DryMatter:
			if a.rules[rule.ID] {
				m.nutrient(rule, each)
			}
		}
	}
}

// concerns reports whether the rule holds for the animals of the diet.
func (p *planner) concerns(r *Rule, d *diet) bool {
	if r.Life == Growth && !p.growth || r.Life == Grown && p.growth {
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

type eachFood func(func(*supply) float64) []milp.Term

func (m *model) share(rule *Rule, weight float64, each eachFood) {
	t := m.p.target
	sh, ok := t.Share(rule.Slot)
	if !ok {
		return
	}
	room := float64(sh.High-sh.Low) / 2 / 1e6
	low, high := float64(sh.Low)/1e6+m.tight*room, float64(sh.High)/1e6-m.tight*room
	coef := func(bound float64) func(s *supply) float64 {
		return func(s *supply) float64 {
			if !Counts(s.food) {
				return 0
			}
			slots, ok := t.Slots(s.food, prey.Typical)
			if !ok {
				return 0
			}
			var all float64
			for _, v := range slots {
				all += float64(v)
			}
			return (float64(slots[rule.Slot]) - bound*all) / 1e6 * s.grams()
		}
	}
	r := m.row(rule.ID+" low", 0, math.Inf(1), each(coef(low))...)
	m.widths = append(m.widths, width{r, room * weight})
	r = m.row(rule.ID+" high", math.Inf(-1), 0, each(coef(high))...)
	m.widths = append(m.widths, width{r, room * weight})
}

func (m *model) massShare(rule *Rule, each eachFood) {
	part := func(s *supply) float64 {
		switch rule.Of {
		case OfLiver:
			return float64(s.food.Shares[prey.Typical][prey.Liver]) / 1e6
		case OfComplete:
			if s.food.Complete {
				return 1
			}
		case OfKind:
			if rule.is(s.food) {
				return 1
			}
		}
		return 0
	}
	bound := func(v int64) []milp.Term {
		return each(func(s *supply) float64 { return (part(s) - float64(v)/1e6) * s.grams() })
	}
	low, high := rule.Low, rule.High
	if rule.Of == OfComplete {
		low = m.p.target.CompleteLeast
	}
	if low != nil {
		m.row(rule.ID, 0, math.Inf(1), bound(low.Value)...)
	}
	if high != nil && high.Value > 0 {
		m.row(rule.ID, math.Inf(-1), 0, bound(high.Value)...)
	}
}

// isAnimal reports whether a food counts among the kinds of animal fed: eggs,
// oils and powders do not.
func isAnimal(f *prey.Food) bool {
	switch f.Kind {
	case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood:
		return false
	}
	return true
}

// species asks for enough kinds of animal, each with a part of the energy that
// is worth its name.
func (m *model) species(rule *Rule, d *diet, cols []int, supplies []supply) {
	if rule.Low == nil {
		return
	}
	kinds := map[string][]int{}
	for i := range supplies {
		f := supplies[i].food
		if cols[i] < 0 || !isAnimal(f) || rule.Colour != prey.NoMeat && f.Colour != rule.Colour {
			continue
		}
		for _, s := range append([]string{f.Species}, f.Contains...) {
			if s == "" {
				continue
			}
			kinds[s] = append(kinds[s], i)
		}
	}
	least := leastSpecies * m.p.kcal(d.energy.Typical)
	var sum []milp.Term
	for _, s := range slices.Sorted(maps.Keys(kinds)) {
		y := m.col(milp.Column{Name: rule.ID + " " + s, High: 1, Integer: true})
		terms := []milp.Term{{Col: y, Coef: -least}}
		for _, i := range kinds[s] {
			terms = append(terms, milp.Term{Col: cols[i], Coef: energyPerUnit(&supplies[i])})
		}
		m.row(rule.ID+" "+s, 0, math.Inf(1), terms...)
		sum = append(sum, milp.Term{Col: y, Coef: 1})
	}
	m.row(rule.ID, float64(rule.Low.Value), math.Inf(1), sum...)
}

// counted is a number of pieces or a mass of a kind of food for each animal.
func (m *model) counted(rule *Rule, d *diet, supplies []supply, each eachFood, a attempt) {
	n := float64(d.heads) * float64(m.p.Days) / 7
	scale := 1.0
	if rule.Check == Amount {
		scale = 1e12 // limits are in picograms
		if rule.Daily {
			n *= 7
		}
	}
	terms := each(func(s *supply) float64 {
		if !rule.is(s.food) {
			return 0
		}
		if rule.Check == Amount {
			return s.grams()
		}
		if s.piece == 0 { // eggs fed by the gram count as parts of an egg
			if t := float64(s.food.Piece.Typical) / 1e12; t > 0 {
				return 1 / t
			}
			return 0
		}
		return 1
	})
	low, high := math.Inf(-1), math.Inf(1)
	if rule.Low != nil {
		low = float64(rule.Low.Value) / scale * n
	}
	if rule.High != nil {
		high = float64(rule.High.Value) / scale * n
	}
	if rule.Check == Pieces && rule.Low != nil {
		high = math.Ceil(low) // practice gives one or two: one is planned
	}
	if rule.Check == Amount && !math.IsInf(low, 0) && !math.IsInf(high, 0) {
		// room for whole grams to each animal
		room := min((high-low)/2, n)
		low, high = low+room*0.9, high-room*0.9
	}
	m.row(rule.ID, low, high, terms...)
}

func (m *model) nutrient(rule *Rule, each eachFood) {
	bound := func(l *Limit, sign float64) func(s *supply) float64 {
		room := 1 + sign*nutrientRoom
		return func(s *supply) float64 {
			n, ok := s.food.Nutrient(rule.Nutrient)
			v := 0.0
			if ok {
				v = float64(n.At[prey.Typical]) / 1e11
			}
			switch rule.Check {
			case NutrientRatio:
				against, ok := s.food.Nutrient(rule.Against)
				if !ok {
					return v * s.grams()
				}
				return (v - room*float64(l.Value)/1e9*float64(against.At[prey.Typical])/1e11) * s.grams()
			case PerEnergy:
				e, ok := s.food.Energy(prey.ModifiedAtwater)
				if !ok {
					return 0
				}
				return (v - room*float64(l.Value)/1e9/1000*float64(e.At[prey.Typical])/1e11) * s.grams()
			}
			w, ok := s.food.Nutrient(prey.Water)
			if !ok {
				return 0
			}
			dry := 1 - float64(w.At[prey.Typical])/1e11
			unit := math.Pow10(-int(exponentOf(rule.Nutrient))) // to grams
			return (v*unit - room*float64(l.Value)/1e12*dry) * s.grams()
		}
	}
	if rule.Low != nil {
		m.row(rule.ID+" low", 0, math.Inf(1), each(bound(rule.Low, 1))...)
	}
	if rule.High != nil {
		m.row(rule.ID+" high", math.Inf(-1), 0, each(bound(rule.High, -1))...)
	}
}

// exponentOf is how many powers of ten the nutrient's unit lies below a gram.
func exponentOf(n prey.Nutrient) int {
	switch n.Unit() {
	case "mg":
		return 3
	case "µg":
		return 6
	}
	return 0
}

// amounts is what each diet gets of each supply: whole grams or pieces.
type amounts [][]int64

// solve finds the cheapest packs, then with these the amounts furthest from the
// limits. It reports false when there is no solution.
func (m *model) solve(ctx context.Context, supplies []supply) (amounts, bool, error) {
	limits := milp.Limits{Nodes: m.p.Nodes, Step: 0.5}
	if limits.Nodes == 0 {
		limits.Nodes = 20_000
	}
	sol, err := milp.Solve(ctx, m.prob, limits)
	if err != nil {
		return nil, false, err
	}
	switch sol.Status {
	case milp.Infeasible:
		return nil, false, nil
	case milp.Unknown:
		return nil, false, ErrSearch
	}
	x := sol.X
	if !m.lean {
		x, err = m.spread(ctx, x, limits)
	}
	if err != nil {
		return nil, false, err
	}
	return m.whole(x, supplies), true, nil
}

// spread keeps the whole values of a solution and moves the rest as far from
// the limits as it goes.
func (m *model) spread(ctx context.Context, x []float64, limits milp.Limits) ([]float64, error) {
	prob := milp.Problem{Columns: slices.Clone(m.prob.Columns), Rows: make([]milp.Row, len(m.prob.Rows))}
	for i := range prob.Rows {
		prob.Rows[i] = m.prob.Rows[i]
	}
	for i := range prob.Columns {
		c := &prob.Columns[i]
		c.Cost *= 1e-3
		if c.Integer {
			c.Low, c.High = math.Round(x[i]), math.Round(x[i])
		}
	}
	prob.Columns = append(prob.Columns, milp.Column{Name: "room", Cost: -1000, High: 1})
	room := len(prob.Columns) - 1
	for _, w := range m.widths {
		r := &prob.Rows[w.row]
		base := slices.Clone(r.Terms)
		if !math.IsInf(r.Low, 0) && !math.IsInf(r.High, 0) {
			hi := *r
			hi.Low, hi.Terms = math.Inf(-1), append(slices.Clone(base), milp.Term{Col: room, Coef: w.room * 0.9})
			prob.Rows = append(prob.Rows, hi)
			r.High = math.Inf(1)
			r.Terms = append(base, milp.Term{Col: room, Coef: -w.room * 0.9})
			continue
		}
		sign := -1.0
		if math.IsInf(r.Low, 0) {
			sign = 1
		}
		r.Terms = append(base, milp.Term{Col: room, Coef: sign * w.room * 0.9})
	}
	better, err := milp.Solve(ctx, prob, limits)
	if err != nil {
		return nil, err
	}
	if better.X != nil {
		return better.X, nil
	}
	return x, nil
}

// whole rounds a solution to whole grams and pieces within what there is.
func (m *model) whole(x []float64, supplies []supply) amounts {
	out := make(amounts, len(m.amt))
	left := make([]int64, len(supplies))
	for i := range supplies {
		left[i] = supplies[i].have
		for k, c := range m.packs[i] {
			left[i] += int64(math.Round(x[c])) * supplies[i].packs[k].amount
		}
		if supplies[i].extra {
			left[i] = math.MaxInt64
		}
	}
	for d := range m.amt {
		out[d] = make([]int64, len(supplies))
		for i, c := range m.amt[d] {
			if c < 0 {
				continue
			}
			n := min(int64(math.Round(max(x[c], 0))), left[i])
			out[d][i] = n
			left[i] -= n
		}
	}
	return out
}
