package oracle

import (
	"math/big"
	"sort"
)

// exact is a bounded dual simplex in rational numbers: no rounding, no tolerance.
// Every variable has a box, so that the basis of the row sums is dual feasible
// and no first phase is needed; the lowest index enters and leaves (Bland), so
// that it ends.
type exact struct {
	low, high []*big.Rat // of columns, then of rows
	t         [][]*big.Rat
	d         []*big.Rat // reduced costs
	basic     []int
	nonb      []int
	atHigh    []bool // of nonbasic variables, by variable
}

// exact returns the names of the columns in order, and the exact simplex
// for its relaxation.
func (p *program) exact() (names []string, e *exact) {
	for n := range p.box {
		names = append(names, n)
	}
	sort.Strings(names)
	at := map[string]int{}
	for i, n := range names {
		at[n] = i
	}
	n, m := len(names), len(p.rows)
	e = &exact{d: make([]*big.Rat, n), atHigh: make([]bool, n+m)}
	for j, name := range names {
		e.low = append(e.low, new(big.Rat))
		e.high = append(e.high, p.box[name])
		e.d[j] = new(big.Rat)
		e.nonb = append(e.nonb, j)
	}
	for i, c := range p.cost.cols {
		e.d[at[c]].Add(e.d[at[c]], p.cost.coefs[i])
	}
	for i, r := range p.rows {
		row := make([]*big.Rat, n)
		for j := range row {
			row[j] = new(big.Rat)
		}
		least, most := new(big.Rat), new(big.Rat)
		for k, c := range r.cols {
			j := at[c]
			row[j].Add(row[j], r.coefs[k])
			if v := mul(r.coefs[k], e.high[j]); v.Sign() > 0 {
				most.Add(most, v)
			} else {
				least.Add(least, v)
			}
		}
		// what the columns can reach stands in for a bound that is missing
		low, high := r.low, r.high
		if low == nil {
			low = smaller(least, high)
		}
		if high == nil {
			high = larger(most, low)
		}
		e.low, e.high = append(e.low, low), append(e.high, high)
		e.t = append(e.t, row)
		e.basic = append(e.basic, n+i)
	}
	for k, j := range e.nonb {
		e.atHigh[j] = e.d[k].Sign() < 0
	}
	return names, e
}

// clone copies what pivots change; numbers are never changed in place.
func (e *exact) clone() *exact {
	c := &exact{low: append([]*big.Rat(nil), e.low...), high: append([]*big.Rat(nil), e.high...), d: append([]*big.Rat(nil), e.d...),
		basic: append([]int(nil), e.basic...), nonb: append([]int(nil), e.nonb...), atHigh: append([]bool(nil), e.atHigh...)}
	for _, row := range e.t {
		c.t = append(c.t, append([]*big.Rat(nil), row...))
	}
	return c
}

func (e *exact) at(v int) *big.Rat {
	if e.atHigh[v] {
		return e.high[v]
	}
	return e.low[v]
}

func (e *exact) value(i int) *big.Rat {
	sum := new(big.Rat)
	for k, v := range e.nonb {
		if e.t[i][k].Sign() != 0 {
			sum.Add(sum, mul(e.t[i][k], e.at(v)))
		}
	}
	return sum
}

// solve reports whether there is a point.
func (e *exact) solve() bool {
	for v := range e.low {
		if e.low[v].Cmp(e.high[v]) > 0 {
			return false
		}
	}
	for {
		r, up := -1, false
		for i, v := range e.basic {
			x := e.value(i)
			below, above := x.Cmp(e.low[v]) < 0, x.Cmp(e.high[v]) > 0
			if (below || above) && (r < 0 || v < e.basic[r]) {
				r, up = i, below
			}
		}
		if r < 0 {
			return true
		}
		in := -1
		var best *big.Rat
		for k, v := range e.nonb {
			a := e.t[r][k]
			if a.Sign() == 0 || e.low[v].Cmp(e.high[v]) == 0 {
				continue
			}
			// to raise the row a column at its low end grows with a > 0
			if (a.Sign() > 0) != (e.atHigh[v] != up) {
				continue
			}
			ratio := new(big.Rat).Abs(quo(e.d[k], a))
			if c := -1; in >= 0 {
				if c = ratio.Cmp(best); c > 0 || c == 0 && v > e.nonb[in] {
					continue
				}
			}
			in, best = k, ratio
		}
		if in < 0 {
			return false
		}
		e.pivot(r, in, !up)
	}
}

// pivot lets nonbasic column k into the basis for row r, whose variable goes to
// one of its ends.
func (e *exact) pivot(r, k int, toHigh bool) {
	inv := new(big.Rat).Inv(e.t[r][k])
	row := make([]*big.Rat, len(e.nonb))
	for j := range row {
		if j == k {
			row[j] = inv
			continue
		}
		row[j] = new(big.Rat).Neg(mul(e.t[r][j], inv))
	}
	put := func(to []*big.Rat) []*big.Rat {
		f := to[k]
		if f.Sign() == 0 {
			return to
		}
		out := make([]*big.Rat, len(to))
		for j := range to {
			if j == k {
				out[j] = mul(f, inv)
				continue
			}
			out[j] = to[j]
			if row[j].Sign() != 0 {
				out[j] = new(big.Rat).Add(to[j], mul(f, row[j]))
			}
		}
		return out
	}
	for i := range e.t {
		if i != r {
			e.t[i] = put(e.t[i])
		}
	}
	e.d = put(e.d)
	e.t[r] = row
	e.basic[r], e.nonb[k] = e.nonb[k], e.basic[r]
	e.atHigh[e.nonb[k]] = toHigh
}

// cost is the objective at the point reached. The reduced costs of what is not
// in the basis say it all, for a basis of row sums costs nothing to begin with.
func (e *exact) cost() *big.Rat {
	sum := new(big.Rat)
	for k, v := range e.nonb {
		sum.Add(sum, mul(e.d[k], e.at(v)))
	}
	return sum
}

func (e *exact) values(n int) []*big.Rat {
	x := make([]*big.Rat, n)
	for _, v := range e.nonb {
		if v < n {
			x[v] = e.at(v)
		}
	}
	for i, v := range e.basic {
		if v < n {
			x[v] = e.value(i)
		}
	}
	return x
}

// Relaxed is the exact optimum when nothing need be whole, in hundredths.
func (q *Question) Relaxed() (cost *big.Rat, feasible bool) {
	p, _, _ := q.program()
	_, e := p.exact()
	if !e.solve() {
		return nil, false
	}
	return e.cost(), true
}

// Exact is the exact optimum, by branching on the first column that should be
// whole and is not. It gives up after so many relaxations.
func (q *Question) Exact(nodes int) Answer {
	p, _, _ := q.program()
	names, root := p.exact()
	var best *big.Int
	open := []*exact{root}
	for len(open) > 0 {
		if nodes--; nodes < 0 {
			return Answer{}
		}
		e := open[len(open)-1]
		open = open[:len(open)-1]
		if !e.solve() {
			continue
		}
		// costs are whole hundredths
		if least := ceil(e.cost()); best != nil && least.Cmp(best) >= 0 {
			continue
		}
		x := e.values(len(names))
		split := -1
		for j, n := range names {
			if p.whole[n] && !x[j].IsInt() {
				split = j
				break
			}
		}
		if split < 0 {
			best = ceil(e.cost())
			continue
		}
		up := ceil(x[split])
		down := e.clone()
		down.high[split] = new(big.Rat).SetInt(new(big.Int).Sub(up, big.NewInt(1)))
		more := e.clone()
		more.low[split] = new(big.Rat).SetInt(up)
		open = append(open, down, more)
	}
	if best == nil {
		return Answer{Decided: true}
	}
	return Answer{Decided: true, Feasible: true, Cost: best.Int64()}
}
