package plan

import (
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"math"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/plan/internal/milp"
	"fitchet.example/balance/shares"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// amounts is what each diet gets of each supply: whole grams or pieces.
type amounts [][]int64

// found is what one attempt came to.
type found struct {
	status  milp.Status
	amounts bool         // packs and amounts were found
	plan    *ration.Plan // nil: none that could be laid out
	report  *balance.Report
	buy     [][]int64 // packs of each supply
	cost    int64     // of them, in steps
	bound   int64     // no choice of packs costs less, in steps
	failed  int       // choices of packs that were laid out in vain
}

// search looks for the cheapest packs that meet the attempt and lays out the
// first choice that can be: choices that cannot are cut off and the next best
// is tried. Nutrient rules that were not asked for come in when a plan misses them:
// where few figures are known a row says little, so none is stated before it is needed.
func (p *planner) search(ctx context.Context, a attempt) (*found, error) {
	for range mostNutrient {
		f, more, err := p.searchOnce(ctx, a)
		if err != nil || len(more) == 0 {
			return f, err
		}
		for _, r := range more {
			a.rules[r.ID] = true
		}
	}
	return &found{status: milp.Unknown}, nil
}

// searchOnce also returns nutrient rules that the best plan misses because they
// were not asked for.
func (p *planner) searchOnce(ctx context.Context, a attempt) (*found, []*balance.Rule, error) {
	m := p.model(ctx, p.supplies, a)
	sol, err := p.cheapest(ctx, m.prob, nil)
	if err != nil {
		return nil, nil, err
	}
	f := &found{status: sol.Status, amounts: sol.X != nil, bound: wholeBound(sol.Bound)}
	if sol.X == nil {
		return f, nil, nil
	}
	if sol.Status == milp.Optimal {
		f.bound = m.costOf(sol.X)
	}
	missed, err := p.settle(ctx, m, sol.X, a, f)
	if err != nil || f.plan != nil {
		return f, nil, err
	}
	more := slices.DeleteFunc(missed, func(r *balance.Rule) bool { return !r.Check.Nutrient() || a.rules[r.ID] })
	if len(more) > 0 {
		return nil, more, nil
	}
	f.failed = 1
	return f, nil, p.nextBest(ctx, m, sol.X, a, f)
}

// nextBest searches again with every choice of packs laid out before it is
// believed: first with room for whole grams at the limits, then for anything
// cheaper, and where there is nothing, for whole grams.
func (p *planner) nextBest(ctx context.Context, m *model, x []float64, a attempt, f *found) error {
	inner, stop := context.WithCancel(ctx)
	defer stop()
	defer p.spend(p.each(nextWork))()
	seen := map[string]bool{m.choice(x): true}
	var failure error
	rejected := 0
	reject := func(x []float64) bool {
		key := m.choice(x)
		if seen[key] || failure != nil || f.plan != nil && m.costOf(x) >= f.cost {
			if rejected++; rejected > mostRejected {
				stop()
			}
			return true
		}
		seen[key] = true
		if len(seen) > p.layouts {
			stop()
			return true
		}
		try := &found{}
		if _, failure = p.settle(ctx, m, x, a, try); failure != nil || try.plan == nil {
			f.failed++
			return true
		}
		f.plan, f.report, f.buy, f.cost = try.plan, try.report, try.buy, try.cost
		return false
	}
	whole := milp.Problem{Columns: slices.Clone(m.prob.Columns), Rows: m.wholeBowls()}
	for d := range m.amt {
		for _, c := range m.amt[d] {
			if c >= 0 {
				whole.Columns[c].Integer = true
			}
		}
	}
	for k, prob := range []milp.Problem{{Columns: m.prob.Columns, Rows: m.roomy()}, m.prob, whole} {
		switch {
		case k == 1 && f.plan != nil:
			prob.Rows = append(slices.Clip(prob.Rows), m.cheaper(f.cost))
		case k == 2 && f.plan != nil:
			return nil
		case k == 2:
			clear(seen)
		}
		_, err := p.cheapest(inner, prob, reject)
		switch {
		case failure != nil:
			return failure
		case ctx.Err() != nil:
			return context.Cause(ctx)
		case err != nil && !errors.Is(err, context.Canceled):
			return err
		case inner.Err() != nil:
			return nil
		}
	}
	return nil
}

// roomy is the rows with the room at their limits that whole grams may take.
func (m *model) roomy() []milp.Row {
	rows := m.wholeBowls()
	for _, w := range m.widths {
		r := &rows[w.row]
		if room := min(w.need, w.room, (r.High-r.Low)/2); room > 0 {
			r.Low += room
			r.High -= room
		}
	}
	return rows
}

// cheaper is a row that asks for packs that cost less.
func (m *model) cheaper(cost int64) milp.Row {
	r := milp.Row{Name: "cheaper", Low: math.Inf(-1), High: float64(cost - 1)}
	for c := range m.prob.Columns {
		if steps, ok := m.cost[c]; ok {
			r.Terms = append(r.Terms, milp.Term{Col: c, Coef: float64(steps)})
		}
	}
	return r
}

// solve asks the solver within the given nodes and work, the number of times
// that an entry of its table may be changed. One search gets half of the budget
// that is left at most, so that what it finds can be laid out.
func (p *planner) solve(ctx context.Context, prob milp.Problem, nodes, work int64, step float64, reject func([]float64) bool) (milp.Solution, error) {
	unknown := milp.Solution{Status: milp.Unknown}
	if err := p.pay(ctx, 0); err != nil {
		return unknown, err
	}
	if p.brief {
		work = min(work, p.each(tryWork))
	}
	if work = min(p.scaled(work), p.purse.left); work <= 0 {
		return unknown, nil
	}
	cells := int64(len(prob.Columns)+1) * int64(len(prob.Rows)+1)
	pivots := min(max(leastPivots, work/cells), p.budget.left/budgetPart/cells+1, mostPivots)
	sol, err := milp.Solve(ctx, prob, milp.Limits{Nodes: int(p.scaled(nodes)), Pivots: int(pivots), Step: step, Reject: reject})
	if errors.Is(err, milp.ErrTooLarge) {
		return unknown, nil
	}
	p.res.Search.Solves++
	p.res.Search.Nodes += sol.Nodes
	p.res.Search.Pivots += sol.Pivots
	p.charge(cells * int64(max(sol.Pivots, sol.Nodes, 1)))
	return sol, err
}

// cheapest looks for the cheapest packs.
func (p *planner) cheapest(ctx context.Context, prob milp.Problem, reject func([]float64) bool) (milp.Solution, error) {
	return p.solve(ctx, prob, defaultNodes, mostWork, 0, reject)
}

// feasible looks for any packs and amounts that meet a problem.
func (p *planner) feasible(ctx context.Context, prob milp.Problem) (milp.Solution, error) {
	prob.Columns = slices.Clone(prob.Columns)
	for c := range prob.Columns {
		prob.Columns[c].Cost = 0
	}
	return p.solve(ctx, prob, defaultNodes, anyWork, 0, nil)
}

// wholeBound is the least whole cost that a bound of the search allows, which is a
// float and may lie a hair above what it bounds.
func wholeBound(b float64) int64 {
	if math.IsInf(b, 0) || math.IsNaN(b) || b <= 0 {
		return 0
	}
	return int64(math.Ceil(b - float64(hairSteps*max(1, b))))
}

// costOf adds up the packs of a solution in whole steps of money.
func (m *model) costOf(x []float64) (sum int64) {
	for c, steps := range m.cost {
		sum += int64(math.Round(x[c])) * steps
	}
	return sum
}

// choice names the packs of a solution, so that none is laid out twice.
func (m *model) choice(x []float64) string {
	var key []byte
	for _, cols := range m.packs {
		for _, c := range cols {
			key = binary.AppendVarint(key, int64(math.Round(x[c])))
		}
	}
	return string(key)
}

// settle finds amounts for the packs of a solution, lays them out and has the
// plan audited. Any part of a gram is tried first, since that is quick and rounding
// mostly does; whole grams when it does not. It fills f in when the audit passes, else
// returns what is missed.
func (p *planner) settle(ctx context.Context, m *model, x []float64, a attempt, f *found) ([]*balance.Rule, error) {
	x, err := p.useUp(ctx, m, x)
	if err != nil {
		return nil, err
	}
	var missed []*balance.Rule
	for _, whole := range []bool{false, true} {
		ways, err := p.spread(ctx, m, x, whole)
		if err != nil {
			return nil, err
		}
		if ways == nil && !whole {
			ways = [][]float64{x} // not spread, but it meets every row
		}
		for _, y := range ways {
			am, left := m.whole(y, p.supplies)
			portions, err := p.dealt(ctx, m, am)
			if err != nil {
				return nil, err
			}
			if err := p.mend(ctx, m, a, portions, left); err != nil {
				return nil, err
			}
			f.buy = m.bought(portions, y, p.supplies)
			if missed, err = p.lay(ctx, m, portions, a, f); err != nil {
				return nil, err
			}
			if f.plan != nil {
				f.cost = p.costOf(f.buy)
				return nil, nil
			}
		}
		if slices.ContainsFunc(missed, func(r *balance.Rule) bool { return r.Check.Nutrient() && !a.rules[r.ID] }) {
			break
		}
	}
	return missed, nil
}

// lay lays out what each bowl gets and has the plan audited: with few foods on a day,
// which is less work, then evenly where days are what is missed. It fills f in when
// the audit passes, else returns what is missed.
func (p *planner) lay(ctx context.Context, m *model, portions [][]int64, a attempt, f *found) ([]*balance.Rule, error) {
	var missed []*balance.Rule
	for _, even := range []bool{false, true} {
		plan, err := p.layout(m, portions, even)
		if err != nil {
			return nil, err
		}
		p.res.Search.Layouts++
		if err := p.pay(ctx, layingOut(plan, len(p.needs))); err != nil {
			return nil, err
		}
		report, err := p.audit(plan, f.buy)
		if err != nil {
			return nil, err
		}
		missed = p.missed(report, a)
		if len(missed) == 0 && p.organDays(plan) {
			f.plan, f.report = plan, report
			break
		}
		if slices.ContainsFunc(missed, func(r *balance.Rule) bool { return !r.Check.OverDays() }) {
			break // other days would not help
		}
	}
	return missed, nil
}

// audit judges a plan as it will be fed: from what is in stock and from the packs that
// are bought for it. All that could be bought would hide that something runs out.
func (p *planner) audit(plan *ration.Plan, buy [][]int64) (*balance.Report, error) {
	h := *p.res.Household
	h.Offers = nil
	for i, packs := range buy {
		for k, n := range packs {
			if n > 0 {
				o := p.supplies[i].packs[k].offer
				o.Max = n
				h.Offers = append(h.Offers, o)
			}
		}
	}
	return balance.Audit(balance.Input{Plan: plan, Household: &h, Needs: p.needs, Target: p.target, Book: p.Book, HazardCheck: p.HazardCheck, Foods: p.Foods})
}

// wholeBowls is the rows with masses by the animal so that each bowl can have
// whole grams.
func (m *model) wholeBowls() []milp.Row {
	rows := slices.Clone(m.prob.Rows)
	for _, g := range m.grams {
		rows[g.row].Low, rows[g.row].High = g.low, g.high
	}
	return rows
}

// fixed is a model with the packs of a solution, without the foods that there
// are then none of.
func (p *planner) fixed(m *model, x []float64) milp.Problem {
	prob := milp.Problem{Columns: slices.Clone(m.prob.Columns), Rows: m.wholeBowls()}
	for i := range prob.Columns {
		prob.Columns[i].Cost = 0
	}
	for i, cols := range m.packs {
		s := &p.supplies[i]
		there := s.have
		for k, c := range cols {
			n := math.Round(x[c])
			prob.Columns[c].Low, prob.Columns[c].High = n, n
			there += int64(n) * s.packs[k].amount
		}
		for d := range m.amt {
			if c := m.amt[d][i]; c >= 0 {
				prob.Columns[c].High = min(prob.Columns[c].High, float64(there)/m.parts[d][i])
			}
		}
	}
	return prob
}

// solveSmall is solve without the columns that have one value only and the rows
// that are then empty. With its packs fixed a model is mostly such, and the solver's
// table is paid for by its size.
func (p *planner) solveSmall(ctx context.Context, prob milp.Problem, nodes, work int64, step float64) (milp.Solution, error) {
	var small milp.Problem
	to := make([]int, len(prob.Columns))
	for i, c := range prob.Columns {
		to[i] = -1
		if c.Low < c.High {
			to[i] = len(small.Columns)
			small.Columns = append(small.Columns, c)
		}
	}
	for _, r := range prob.Rows {
		terms := make([]milp.Term, 0, len(r.Terms))
		for _, t := range r.Terms {
			if to[t.Col] >= 0 {
				terms = append(terms, milp.Term{Col: to[t.Col], Coef: t.Coef})
				continue
			}
			v := float64(t.Coef * prob.Columns[t.Col].Low)
			r.Low -= v
			r.High -= v
		}
		if len(terms) > 0 || r.Low > fixedHair || r.High < -fixedHair {
			r.Terms = terms
			small.Rows = append(small.Rows, r)
		}
	}
	sol, err := p.solve(ctx, small, nodes, work, step, nil)
	if err != nil || sol.X == nil {
		return sol, err
	}
	full := make([]float64, len(prob.Columns))
	for i, c := range prob.Columns {
		if full[i] = c.Low; to[i] >= 0 {
			full[i] = sol.X[to[i]]
		}
	}
	sol.X = full
	return sol, nil
}

// useUp changes the amounts of a solution so that the least is left of dated
// stock, and in a mixed week so that complete food is fed on its days. It comes after
// the packs are chosen, so that neither is a reason to buy.
func (p *planner) useUp(ctx context.Context, m *model, x []float64) ([]float64, error) {
	part := p.mixedPart()
	if len(m.late) == 0 && part == 0 {
		return x, nil
	}
	prob := p.fixed(m, x)
	for _, c := range m.late {
		prob.Columns[c].Cost = 1
	}
	if part > 0 {
		for d := range m.amt {
			aim := float64(part * p.kcal(p.diets[d].energy.Typical))
			terms := m.complete(d)
			for _, t := range terms {
				spot := p.supplies[slices.Index(m.amt[d], t.Col)].spot
				prob.Columns[t.Col].Cost = float64(firstOut * float64(spot) * t.Coef)
			}
			prob.Columns = append(prob.Columns, milp.Column{Name: "short", High: aim, Cost: shortOfMixed})
			prob.Rows = append(prob.Rows, milp.Row{Name: "complete", Low: aim, High: math.Inf(1),
				Terms: append(terms, milp.Term{Col: len(prob.Columns) - 1, Coef: 1})})
		}
	}
	sol, err := p.solveSmall(ctx, prob, spreadNodes, spreadWork, useUpStep)
	if err != nil || sol.X == nil {
		return x, err
	}
	return sol.X[:len(x)], nil
}

// mixedPart is the part of the energy that complete food is wanted to make, as far
// as there is any: the days that are asked for, else half of a mixed week. 0: none.
// It never decides what is bought.
func (p *planner) mixedPart() float64 {
	days := p.CompleteDays
	if days == 0 && p.target.Style == shares.Mixed {
		days = (p.Days + 1) / 2
	}
	return float64(days) / float64(p.Days)
}

// complete is the energy of a diet's complete food.
func (m *model) complete(d int) (terms []milp.Term) {
	for i, c := range m.amt[d] {
		if s := &m.views[d][i]; c >= 0 && s.food.Complete {
			terms = append(terms, milp.Term{Col: c, Coef: energyPerUnit(s)})
		}
	}
	return terms
}

// spread keeps the packs of a solution and moves the amounts as far from the
// limits as they go: first the least distance, then all of them. With whole set
// grams are whole as well. It returns nothing when nothing was found, and where
// foods could be swept out what was found without them first.
func (p *planner) spread(ctx context.Context, m *model, x []float64, whole bool) ([][]float64, error) {
	prob := p.fixed(m, x)
	for d := range m.amt {
		for i, c := range m.amt[d] {
			if c < 0 {
				continue
			}
			s := &m.views[d][i]
			prob.Columns[c].Cost = float64(firstOut * float64(s.spot) * s.grams())
			prob.Columns[c].Integer = prob.Columns[c].Integer || whole
		}
	}
	if len(m.late) > 0 {
		row := milp.Row{Name: "left", Low: math.Inf(-1)}
		for _, c := range m.late {
			row.High += x[c]
			row.Terms = append(row.Terms, milp.Term{Col: c, Coef: 1})
		}
		row.High++
		prob.Rows = append(prob.Rows, row)
	}
	if part := p.mixedPart(); part > 0 {
		for d := range m.amt {
			all := p.kcal(p.diets[d].energy.Typical)
			had, terms := 0.0, m.complete(d)
			for _, t := range terms {
				had += float64(t.Coef * x[t.Col])
			}
			if had > 0 {
				prob.Rows = append(prob.Rows, milp.Row{Name: "complete", Low: min(had, float64(part*all)) - float64(mixedHair*all), High: math.Inf(1), Terms: terms})
			}
		}
	}
	col := func(name string, cost float64) int {
		prob.Columns = append(prob.Columns, milp.Column{Name: name, Cost: cost, High: 1})
		return len(prob.Columns) - 1
	}
	// First every row gets the room that whole grams need, then what is left over
	// is shared out for comfort.
	least := col("least room", -leastRoomWorth)
	rooms := float64(max(len(m.widths), 1))
	for _, w := range m.widths {
		need := min(w.need, w.room)
		room := col("room", -roomsWorth/rooms)
		r := prob.Rows[w.row]
		comfort := -1
		if w.room > need {
			comfort = col("comfort", -comfortWorth/rooms)
		}
		side := func(low, high, sign float64) {
			terms := append(slices.Clone(r.Terms), milp.Term{Col: room, Coef: float64(sign * need)})
			if comfort >= 0 {
				terms = append(terms, milp.Term{Col: comfort, Coef: float64(sign * (w.room - need))})
			}
			prob.Rows = append(prob.Rows, milp.Row{Name: r.Name, Low: low, High: high, Terms: terms})
		}
		if !math.IsInf(r.Low, 0) {
			side(r.Low, math.Inf(1), -1)
		}
		if !math.IsInf(r.High, 0) {
			side(math.Inf(-1), r.High, 1)
		}
		prob.Rows = append(prob.Rows, milp.Row{Name: "room", High: math.Inf(1), Terms: []milp.Term{{Col: room, Coef: 1}, {Col: least, Coef: -1}}})
	}
	// Now that they are stated with their room they say nothing more without it.
	drop := map[int]bool{}
	for _, w := range m.widths {
		drop[w.row] = true
	}
	rows := prob.Rows[:0:0]
	for i, r := range prob.Rows {
		if !drop[i] {
			rows = append(rows, r)
		}
	}
	prob.Rows = rows
	nodes := int64(spreadNodes)
	if whole {
		nodes = wholeNodes
	}
	sol, err := p.solveSmall(ctx, prob, nodes, spreadWork, spreadStep)
	if err != nil || sol.X == nil {
		return nil, err
	}
	if !whole {
		if y, err := p.sweep(ctx, m, prob, sol.X, least); err != nil || y != nil {
			return [][]float64{y, sol.X}, err
		}
	}
	return [][]float64{sol.X}, nil
}

// sweep leaves out foods of which so little was proposed that nobody would weigh
// it out, where that leaves the limits as far away as they were: all of them, else
// one after the other, the least first.
func (p *planner) sweep(ctx context.Context, m *model, prob milp.Problem, x []float64, least int) ([]float64, error) {
	type little struct {
		col   int
		grams float64
	}
	var list []little
	for d := range m.amt {
		for i, c := range m.amt[d] {
			if c < 0 || x[c] <= someFood || byHead(p.supplies[i].food) {
				continue
			}
			g := float64(x[c] * m.views[d][i].grams())
			if g < float64(sweptGrams*p.diets[d].heads) && prob.Columns[c].Low == 0 {
				list = append(list, little{c, g})
			}
		}
	}
	if len(list) == 0 {
		return nil, nil
	}
	slices.SortStableFunc(list, func(a, b little) int { return cmp.Compare(a.grams, b.grams) })
	without := func(list []little) ([]float64, error) {
		had := slices.Clone(prob.Columns)
		for _, l := range list {
			prob.Columns[l.col].High = 0
		}
		sol, err := p.solveSmall(ctx, prob, spreadNodes, sweepWork, spreadStep)
		if err != nil || sol.X == nil || sol.X[least] < sweptRoom*x[least] {
			prob.Columns = had
			return nil, err
		}
		return sol.X, nil
	}
	y, err := without(list)
	if err != nil || y != nil || len(list) == 1 {
		return y, err
	}
	for _, l := range list[:min(len(list), mostSwept)] {
		if y != nil && y[l.col] <= someFood {
			prob.Columns[l.col].High = 0
			continue
		}
		z, err := without([]little{l})
		if err != nil {
			return nil, err
		}
		if z != nil {
			y = z
		}
	}
	return y, nil
}

// whole rounds a solution to whole grams and pieces within what there is, and
// says what is then left of each supply, from which mending may still take.
func (m *model) whole(x []float64, supplies []supply) (out amounts, left []units.Mass) {
	out = make(amounts, len(m.amt))
	left = make([]units.Mass, len(supplies))
	for i := range supplies {
		n := supplies[i].have
		for k, c := range m.packs[i] {
			n += int64(math.Round(x[c])) * supplies[i].packs[k].amount
		}
		left[i] = supplies[i].mass(n)
	}
	for d := range m.amt {
		out[d] = make([]int64, len(supplies))
	}
	// Pieces first: what is cut up comes from the pieces that are left.
	for _, pieces := range []bool{true, false} {
		for d := range m.amt {
			for i, c := range m.amt[d] {
				if v := &m.views[d][i]; c >= 0 && v.piece > 0 == pieces {
					n := min(int64(math.Round(max(x[c], 0))), int64(left[i]/v.mass(1)))
					out[d][i] = n
					left[i] -= v.mass(n)
				}
			}
		}
	}
	return out, left
}

// bought is the packs of a solution without those that the bowls do not need: after
// rounding, the dearest first. The search only knows that they cost nothing more.
func (m *model) bought(portions [][]int64, x []float64, supplies []supply) [][]int64 {
	out := make([][]int64, len(supplies))
	for i := range supplies {
		s := &supplies[i]
		spare := s.mass(s.have)
		for d := range m.p.diets {
			for _, b := range m.p.diets[d].bowls {
				spare -= m.views[d][i].mass(portions[b][i])
			}
		}
		out[i] = make([]int64, len(s.packs))
		order := make([]int, len(s.packs))
		for k, c := range m.packs[i] {
			order[k] = k
			out[i][k] = int64(math.Round(x[c]))
			spare += s.mass(out[i][k] * s.packs[k].amount)
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.packs[b].price, s.packs[a].price) })
		for _, k := range order {
			for pack := s.mass(s.packs[k].amount); out[i][k] > 0 && spare >= pack; spare -= pack {
				out[i][k]--
			}
		}
	}
	return out
}

// costOf adds up packs in whole steps of money.
func (p *planner) costOf(buy [][]int64) (sum int64) {
	for i, n := range buy {
		for k := range n {
			sum += n[k] * (p.supplies[i].packs[k].price / p.step)
		}
	}
	return sum
}

// price is a number of steps as money.
func (p *planner) price(steps int64) units.Price {
	unit, err := units.NewPrice(micros(p.step), p.currency)
	if err != nil {
		return units.Price{} // no currency: nothing is on offer
	}
	out, err := unit.Times(steps)
	if err != nil {
		return units.Price{}
	}
	return out
}

// organDays reports whether no bowl holds more liver and other organ on a day
// than was asked for.
func (p *planner) organDays(plan *ration.Plan) bool {
	if p.OrganDay == 0 {
		return true
	}
	for d := range plan.Days {
		organ, all := map[string]wide.U128{}, map[string]units.Mass{}
		for _, meal := range plan.Days[d].Meals {
			bowl := meal.For[0] // an animal eats from one bowl
			for _, s := range meal.Servings {
				organ[bowl], _ = organ[bowl].AddMul(uint64(s.Mass), uint64(organOf(s.Food)))
				all[bowl] += s.Mass
			}
		}
		for bowl, m := range all {
			if organ[bowl].Cmp(wide.Mul(uint64(m), uint64(p.OrganDay))) > 0 {
				return false
			}
		}
	}
	return true
}
