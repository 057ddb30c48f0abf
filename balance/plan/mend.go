package plan

import (
	"context"
	"math"

	"fitchet.example/balance"
	"fitchet.example/units"
)

// mend is the amounts of all bowls with the rows that they have to meet. Amounts
// that were found in any part of a gram may come to lie on the wrong side of a
// limit in whole grams; single grams are then moved between foods and bowls until
// every row holds again, if such moves are found.
type mend struct {
	portions [][]int64    // [bowl][supply], in the units of the bowl's diet
	left     []units.Mass // of each supply
	grams    []gramsOf
	at       []map[int]int // [bowl] where a food stands in grams
	rows     []gramRow
	terms    []gramTerm
	trials   int
	looked   int64             // rows looked at and not yet paid for
	pay      func(int64) error // counts steps of the budget
	err      error             // why there is no work left
}

// gramTerm is what a gram of a food adds to a row.
type gramTerm struct {
	gram, row int
	coef      float64
}

// gramsOf is a food that a bowl gets by the gram.
type gramsOf struct {
	bowl, food int
	in         []float64 // what a gram adds to each row
}

// gramRow is a sum over bowls and foods between two bounds.
type gramRow struct{ low, high, val float64 }

// miss is how far a value lies outside of a row.
func (r *gramRow) miss(v float64) float64 { return max(0, r.low-v-heldTo, v-r.high-heldTo) }

// mend moves grams between the foods and bowls of portions, adding no more of a
// food than is left of it, and changes nothing where all is well.
func (p *planner) mend(ctx context.Context, m *model, a attempt, portions [][]int64, left []units.Mass) error {
	w := &mend{portions: portions, left: left, at: make([]map[int]int, len(p.bowls)), pay: func(n int64) error { return p.pay(ctx, n) }}
	for d := range p.diets {
		for _, b := range p.diets[d].bowls {
			w.at[b] = map[int]int{}
			for i, n := range portions[b] {
				if n > 0 && m.views[d][i].piece == 0 {
					w.at[b][i] = len(w.grams)
					w.grams = append(w.grams, gramsOf{bowl: b, food: i})
				}
			}
		}
	}
	w.wholePlan(m)
	for d := range p.diets {
		for _, b := range p.diets[d].bowls {
			w.eachBowl(m, a, d, b)
		}
	}
	room := int64(len(w.rows)) * int64(len(w.grams))
	if err := w.pay(roomSteps * room); err != nil || room > mostRoom {
		return err
	}
	w.fill()
	w.scale()
	for w.missed() > 0 && w.better() {
	}
	return w.err
}

// row adds a row without terms.
func (w *mend) row(low, high float64) int {
	w.rows = append(w.rows, gramRow{low: low, high: high})
	return len(w.rows) - 1
}

// fill puts the terms where they are looked up.
func (w *mend) fill() {
	for k := range w.grams {
		w.grams[k].in = make([]float64, len(w.rows))
	}
	for _, t := range w.terms {
		w.grams[t.gram].in[t.row] += t.coef
	}
}

// term adds what a bowl gets of a food to a row.
func (w *mend) term(row, bowl, food int, coef float64) {
	w.rows[row].val += float64(coef * float64(w.portions[bowl][food]))
	if k, ok := w.at[bowl][food]; ok {
		w.terms = append(w.terms, gramTerm{k, row, coef})
	}
}

// wholePlan states what the audit holds all food to, as the sum of what the model
// holds each diet to.
func (w *mend) wholePlan(m *model) {
	type nth struct {
		key string
		n   int
	}
	rows := map[nth]int{}
	food := make([]int, len(m.prob.Columns))
	for c := range food {
		food[c] = -1
	}
	for d := range m.amt {
		for i, c := range m.amt[d] {
			if c >= 0 {
				food[c] = i
			}
		}
	}
	for d := range m.p.diets {
		seen := map[string]int{}
		for k := m.own[d][0]; k < m.own[d][1]; k++ {
			key := m.keys[k]
			seen[key]++
			rule := m.p.rule(key)
			if key == keyEnergy || rule != nil && (isCount(rule) || rule.Check.Form() == balance.FormVariety) {
				continue
			}
			r := &m.prob.Rows[k]
			at, ok := rows[nth{key, seen[key]}]
			if !ok {
				at = w.row(0, 0)
				rows[nth{key, seen[key]}] = at
			}
			w.rows[at].low += r.Low
			w.rows[at].high += r.High
			for _, t := range r.Terms {
				for _, b := range m.p.diets[d].bowls {
					w.term(at, b, food[t.Col], t.Coef)
				}
			}
		}
	}
	for k, key := range m.keys {
		if m.of[k] >= 0 || len(key) < len(keyExtra) || key[:len(keyExtra)] != keyExtra {
			continue
		}
		r := &m.prob.Rows[k]
		at := w.row(r.Low, r.High)
		for _, t := range r.Terms {
			for d := range m.amt {
				if i := food[t.Col]; i >= 0 && m.amt[d][i] == t.Col {
					for _, b := range m.p.diets[d].bowls {
						w.term(at, b, i, t.Coef)
					}
				}
			}
		}
	}
}

// eachBowl states what each animal of a bowl has to get: the energy of its band,
// and the eggs and oil that are given by the head.
func (w *mend) eachBowl(m *model, a attempt, d, b int) {
	p := m.p
	bowl := &p.bowls[b]
	if !a.free[keyEnergy] {
		mid := p.kcal(p.bowlEnergy(*bowl))
		low, high := 0.0, math.Inf(1)
		for _, x := range bowl.Animals {
			band := p.need(x).Band
			low = max(low, mid*float64(band.Low)/float64(band.Typical))
			high = min(high, mid*float64(band.High)/float64(band.Typical))
		}
		at := w.row(low, high)
		for i := range w.portions[b] {
			w.term(at, b, i, energyPerUnit(&m.views[d][i]))
		}
	}
	if p.OrganDay > 0 && !a.free[keyOrgan] {
		at := w.row(math.Inf(-1), 0)
		for i := range w.portions[b] {
			s := &m.views[d][i]
			w.term(at, b, i, float64(float64(organOf(s.food)-p.OrganDay)/1e6*s.grams()))
		}
	}
	for _, r := range p.rules {
		if !isCount(r) || r.Split != balance.ByHead || a.free[r.ID] || !p.concerns(r, &p.diets[d]) {
			continue
		}
		each, low, high := p.counting(r, float64(len(bowl.Animals)))
		if r.Severity == balance.Watch && !a.wishes[r.ID] {
			low = math.Inf(-1)
		}
		at := -1
		for i, n := range w.portions[b] {
			if v := each(&m.views[d][i]); v != 0 && n > 0 {
				if at < 0 {
					at = w.row(low, high)
				}
				w.term(at, b, i, v)
			}
		}
	}
}

// scale makes 1 of what a gram of the food does that counts most in each row, so that
// what rows miss can be added up, in grams.
func (w *mend) scale() {
	most := make([]float64, len(w.rows))
	for k := range w.grams {
		for r, v := range w.grams[k].in {
			most[r] = max(most[r], math.Abs(v))
		}
	}
	for k := range w.grams {
		for r := range most {
			if most[r] > 0 {
				w.grams[k].in[r] /= most[r]
			}
		}
	}
	for r, most := range most {
		if most == 0 {
			// nothing that grams could change
			w.rows[r] = gramRow{low: math.Inf(-1), high: math.Inf(1)}
			continue
		}
		row := &w.rows[r]
		row.low, row.high, row.val = row.low/most, row.high/most, row.val/most
	}
}

// missed is how far all rows are missed, in grams.
func (w *mend) missed() (sum float64) {
	for r := range w.rows {
		sum += w.rows[r].miss(w.rows[r].val)
	}
	return sum
}

// afford pays for the rows that were looked at, many at a time, and reports whether
// more may be.
func (w *mend) afford() bool {
	if w.looked >= paidRows && w.err == nil {
		w.err = w.pay(rowSteps * w.looked)
		w.looked = 0
	}
	return w.err == nil
}

// gramMove is grams more of some foods, fewer with a minus.
type gramMove struct {
	k [3]int
	n [3]int64
}

// better makes the move that brings the rows closest, and reports whether there
// was one.
func (w *mend) better() bool {
	now := w.missed()
	best, least := gramMove{}, float64(now*(1-mendGain))
	try := func(mv gramMove) {
		if w.trials++; !w.afford() {
			return
		}
		if v := w.after(mv, least); v < least && w.may(mv) {
			best, least = mv, v
		}
	}
	for k := range w.grams {
		for _, n := range oneMoves {
			try(gramMove{k: [3]int{k, k, k}, n: [3]int64{n}})
		}
	}
	g := w.grams
	for k := range g {
		for l := range k {
			if w.trials > mostTrials || w.err != nil {
				break
			}
			if g[k].bowl != g[l].bowl && g[k].food != g[l].food {
				continue
			}
			for _, n := range twoMoves {
				try(gramMove{k: [3]int{k, l, l}, n: [3]int64{n[0], n[1]}})
			}
		}
	}
	if least >= now*(1-mendGain) {
		// Two foods could not, so three of one bowl: there are too many to try first.
		for k := range g {
			for l := range k {
				for j := range l {
					if w.trials > mostTrials || w.err != nil {
						break
					}
					if g[k].bowl != g[l].bowl || g[k].bowl != g[j].bowl {
						continue
					}
					for s := range 1 << 3 {
						n := [3]int64{1, 1, 1}
						for i := range n {
							if s>>i&1 == 1 {
								n[i] = -1
							}
						}
						try(gramMove{k: [3]int{k, l, j}, n: n})
					}
				}
			}
		}
	}
	if w.err != nil || least >= now*(1-mendGain) {
		return false
	}
	for i, k := range best.k {
		n := best.n[i]
		w.portions[g[k].bowl][g[k].food] += n
		w.left[g[k].food] -= units.Gram * units.Mass(n)
		for r := range w.rows {
			w.rows[r].val += float64(float64(n) * g[k].in[r])
		}
	}
	return true
}

// after is how far the rows would be missed after a move; at most is enough to
// know.
func (w *mend) after(mv gramMove, most float64) (sum float64) {
	a, b, c := w.grams[mv.k[0]].in, w.grams[mv.k[1]].in, w.grams[mv.k[2]].in
	na, nb, nc := float64(mv.n[0]), float64(mv.n[1]), float64(mv.n[2])
	for r := range w.rows {
		w.looked++
		if sum += w.rows[r].miss(w.rows[r].val + float64(na*a[r]) + float64(nb*b[r]) + float64(nc*c[r])); sum >= most {
			break
		}
	}
	return sum
}

// may reports whether every food of a move stays in its bowl and there is enough
// of it.
func (w *mend) may(mv gramMove) bool {
	for i, k := range mv.k {
		g := &w.grams[k]
		if w.portions[g.bowl][g.food]+mv.n[i] < 1 && mv.n[i] < 0 {
			return false
		}
		more := int64(0)
		for j, l := range mv.k {
			if w.grams[l].food == g.food {
				more += mv.n[j]
			}
		}
		if more > 0 && units.Gram*units.Mass(more) > w.left[g.food] {
			return false
		}
	}
	return true
}
