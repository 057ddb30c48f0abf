package milp

import (
	"math"
	"slices"
	"sort"
)

// Rows may be added to the model that every whole point satisfies but the
// optimum of the relaxation does not (Gomory's mixed-integer cuts, 1960).
const (
	cutRounds   = 20
	cutsAtOnce  = 20
	cutFraction = 0.02 // least distance from a whole value to cut on
	cutRange    = 1e5  // greatest ratio of the coefficients of a cut
)

type cut struct {
	row   []entry
	low   float64
	depth float64 // distance by which it cuts
}

// wholeRows tells for each row whether its sum and finite limits are whole at
// every whole point.
func (md *model) wholeRows() []bool {
	is := make([]bool, len(md.rows))
	for i, r := range md.rows {
		is[i] = (math.IsInf(md.low[i], 0) || md.low[i] == math.Trunc(md.low[i])) && (math.IsInf(md.high[i], 0) || md.high[i] == math.Trunc(md.high[i]))
		for _, e := range r {
			is[i] = is[i] && md.cols[e.col].Integer && e.val == math.Trunc(e.val)
		}
	}
	return is
}

// gomory returns the deepest mixed-integer cuts of the current optimum.
func (f *search) gomory(whole []bool) []cut {
	s := f.s
	var found []cut
	g := make([]float64, s.n)
	for i, j := range s.basic {
		if j >= s.n || !f.md.cols[j].Integer {
			continue
		}
		f0 := s.xb[i] * s.cs[j]
		f0 -= math.Floor(f0)
		if f0 < cutFraction || f0 > 1-cutFraction {
			continue
		}
		clear(g)
		low := 1.0
		for k, v := range s.nonb {
			a := s.t[i*s.n+k]
			if math.Abs(a) < 1e-12 || s.low[v] == s.high[v] {
				continue
			}
			atLow := s.xn[k] == s.low[v]
			if atLow {
				a = -a
			}
			// In the problem's units: x[j] + a*t = its value, where t >= 0 is how
			// far v is from its bound.
			integer := false
			a *= s.cs[j]
			var bound float64
			if v < s.n {
				a /= s.cs[v]
				bound = s.xn[k] * s.cs[v]
				integer = f.md.cols[v].Integer
			} else {
				a *= s.rs[v-s.n]
				bound = s.xn[k] / s.rs[v-s.n]
				integer = whole[v-s.n] && bound == math.Trunc(bound)
			}
			c := a / f0
			if integer {
				fj := a - math.Floor(a)
				c = fj / f0
				if fj > f0 {
					c = (1 - fj) / (1 - f0)
				}
			} else if a < 0 {
				c = -a / (1 - f0)
			}
			if c < 1e-12 {
				continue
			}
			if !atLow {
				c = -c
			}
			low += c * bound
			if v < s.n {
				g[v] += c
			} else {
				for _, e := range f.md.rows[v-s.n] {
					g[e.col] += c * e.val
				}
			}
		}
		if c, ok := f.trim(g, low); ok {
			found = append(found, c)
		}
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].depth > found[b].depth })
	return found[:min(len(found), cutsAtOnce)]
}

// trim makes a cut of g*x >= low, with a little slack and without coefficients
// that are tiny against the others; false if it would be of no use.
func (f *search) trim(g []float64, low float64) (cut, bool) {
	largest := 0.0
	for _, c := range g {
		largest = max(largest, math.Abs(c))
	}
	var c cut
	sum, norm, size := 0.0, 0.0, max(1, math.Abs(low))
	for j, v := range g {
		if v == 0 {
			continue
		}
		if math.Abs(v) < largest/cutRange {
			low -= max(v*f.rootLow[j], v*f.rootHigh[j])
			continue
		}
		c.row = append(c.row, entry{j, v})
		sum += v * f.x[j]
		norm += v * v
		size = max(size, math.Abs(v)*max(math.Abs(f.rootLow[j]), math.Abs(f.rootHigh[j])))
	}
	if norm == 0 {
		return c, false
	}
	c.low = low - 1e-10*size
	c.depth = (c.low - sum) / math.Sqrt(norm)
	return c, c.depth > 1e-4*max(1, math.Abs(sum)/math.Sqrt(norm)/100)
}

// strengthen adds cuts to the solved root, round by round, as long as they
// raise its bound, and leaves it solved. It returns the last outcome.
func (f *search) strengthen() outcome {
	s, md := f.s, f.md
	given := len(md.rows)
	whole := md.wholeRows()
	o := optimal
	last := s.bound()
	for range cutRounds {
		s.values(f.x)
		if f.fractional() < 0 {
			break
		}
		cuts := f.gomory(whole)
		if len(cuts) == 0 {
			break
		}
		for _, c := range cuts {
			md.rows = append(md.rows, c.row)
			md.low = append(md.low, c.low)
			md.high = append(md.high, math.Inf(1))
			s.appendRow(c.row, c.low, math.Inf(1))
		}
		o = s.solve(f.ctx, f.limit())
		// Cuts that do not press are left out again.
		for i := len(md.rows) - 1; i >= given; i-- {
			if s.removeRow(i) {
				md.rows = slices.Delete(md.rows, i, i+1)
				md.low = slices.Delete(md.low, i, i+1)
				md.high = slices.Delete(md.high, i, i+1)
			}
		}
		whole = append(whole[:given], make([]bool, len(md.rows)-given)...)
		if o != optimal {
			break
		}
		b := s.bound()
		if b-last < 1e-3*math.Abs(b) {
			break
		}
		last = b
	}
	for i := given; i < len(md.rows); i++ {
		for _, e := range md.rows[i] {
			md.uses[e.col] = append(md.uses[e.col], i)
		}
	}
	f.pr = newPropagator(md)
	return o
}
