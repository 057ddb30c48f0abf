package milp

import (
	"context"
	"math"
)

// Tolerances of the simplex, all in the scaled problem, whose coefficients and
// costs lie around 1.
const (
	primalTol = 1e-9  // a value may miss its bound by this, scaled or not, relative to max(1, |bound|)
	dualTol   = 1e-11 // a reduced cost this small counts as 0
	zeroTol   = 1e-11 // an entry of the pivot row this small counts as 0
	pivotTol  = 1e-7  // an entry this small is pivoted on only if nothing else is left
	drift     = 1e-8  // relative residual of the rows above which the tableau is rebuilt
	maxAge    = 1000  // exchanges after which the tableau is rebuilt
	maxWeight = 1e6   // devex weight above which all weights start again
	maxStall  = 3     // steps without gain after which the costs are perturbed,
	nudge     = 1e-6  // by this to twice this,
	nudges    = 3     // so often in one run
)

// outcome of a run of the dual simplex.
type outcome int

const (
	optimal    outcome = iota + 1
	infeasible         // certified: no point within the bounds
	cutoff             // certified: no point better than the cutoff
	stuck              // neither could be shown
	stopped            // context or pivot limit
	capped             // as many steps as allowed
)

// entry is a coefficient in a sparse row.
type entry struct {
	col int
	val float64
}

// tableau is a bounded linear program with a dense condensed tableau.
//
// The variables are the n columns, 0 to n-1, and one logical per row, n to
// n+m-1, which equals the sum of its row. A basis makes m of them functions of
// the n others, which rest on one of their bounds:
//
//	x[basic[i]] = sum over k of t[i*n+k] * x[nonb[k]]
//	objective   = sum over k of d[k] * x[nonb[k]]
//
// There are no constants, so a change of bounds leaves t and d alone.
type tableau struct {
	m, n int
	rows [][]entry // scaled, by column
	cost []float64 // scaled, of the columns
	low  []float64 // scaled bounds of all variables, finite
	high []float64
	cs   []float64 // column j: given value = cs * scaled value
	rs   []float64 // row i: scaled sum = rs * given sum
	os   float64   // scaled objective = os * given objective
	tol  []float64 // by which a scaled value may miss its bound

	t      []float64
	d      []float64
	basic  []int // variable of each row of t
	nonb   []int // variable of each column of t
	xb     []float64
	xn     []float64
	weight []float64 // dual devex weights

	pivots     int // in all
	pivotLimit int
	since, age int // exchanges since values were computed, since t was rebuilt
	perturbed  bool

	order []int // scratch: pivot row's nonzero positions
	steps []breakpoint
	delta []float64
	y, g  []float64
}

type breakpoint struct {
	pos          int
	alpha, ratio float64
}

// newTableau scales the problem and starts at the basis of all logicals.
func newTableau(cols []Column, rows [][]entry, rowLow, rowHigh []float64, pivotLimit int) *tableau {
	m, n := len(rows), len(cols)
	s := &tableau{
		m: m, n: n, pivotLimit: pivotLimit,
		rows: make([][]entry, m), cost: make([]float64, n),
		low: make([]float64, n+m), high: make([]float64, n+m),
		tol: make([]float64, n+m), cs: make([]float64, n), rs: make([]float64, m), os: 1,
		t: make([]float64, m*n), d: make([]float64, n),
		basic: make([]int, m), nonb: make([]int, n),
		xb: make([]float64, m), xn: make([]float64, n), weight: make([]float64, m),
		order: make([]int, 0, n), steps: make([]breakpoint, 0, n), delta: make([]float64, n),
		y: make([]float64, m), g: make([]float64, n),
	}
	s.scale(rows)
	largest := 0.0
	for j, c := range cols {
		s.cost[j] = float64(c.Cost * s.cs[j])
		largest = max(largest, math.Abs(s.cost[j]))
	}
	if largest > 0 {
		s.os = power2(1 / largest)
	}
	for j, c := range cols {
		s.cost[j] = float64(s.cost[j] * s.os)
		s.setBounds(j, c.Low, c.High)
		s.tol[j] = float64(primalTol * min(1, 1/s.cs[j]))
	}
	for i, r := range rows {
		s.boxRow(i, r, rowLow[i], rowHigh[i])
	}
	s.reset()
	return s
}

// boxRow scales row i and its limits. A limit that the columns cannot reach is
// replaced by one a little beyond what they can reach, so that the logical is
// boxed too.
func (s *tableau) boxRow(i int, r []entry, low, high float64) {
	v := s.n + i
	s.tol[v] = float64(primalTol * min(1, s.rs[i]))
	s.rows[i] = make([]entry, len(r))
	least, most := 0.0, 0.0
	for k, e := range r {
		a := float64(e.val * s.cs[e.col] * s.rs[i])
		s.rows[i][k] = entry{e.col, a}
		// A miss of a column, once clamped away, is a miss of its rows.
		s.tol[e.col] = min(s.tol[e.col], max(10*primalTol*s.rs[i]/math.Abs(a), primalTol/100))
		lo, hi := float64(a*s.low[e.col]), float64(a*s.high[e.col])
		least += min(lo, hi)
		most += max(lo, hi)
	}
	margin := 1 + (most-least)/1024
	s.low[v] = max(float64(low*s.rs[i]), least-margin)
	s.high[v] = min(float64(high*s.rs[i]), most+margin)
}

// power2 returns the power of two nearest to v, within 2^-40 to 2^40; it scales
// without rounding.
func power2(v float64) float64 {
	m, e := math.Frexp(min(max(v, 1.0/(1<<40)), 1<<40)) // m from 0.5 to 1
	if m < math.Sqrt2/2 {
		e--
	}
	return math.Ldexp(1, e)
}

// scale chooses powers of two that bring the coefficients near 1.
func (s *tableau) scale(rows [][]entry) {
	for j := range s.cs {
		s.cs[j] = 1
	}
	least, most := make([]float64, s.n), make([]float64, s.n)
	for range 3 {
		for j := range least {
			least[j], most[j] = math.Inf(1), 0
		}
		for i, r := range rows {
			lo, hi := math.Inf(1), 0.0
			for _, e := range r {
				if v := float64(math.Abs(e.val) * s.cs[e.col]); v > 0 {
					lo, hi = min(lo, v), max(hi, v)
				}
			}
			s.rs[i] = 1
			if hi > 0 {
				s.rs[i] = 1 / (math.Sqrt(lo) * math.Sqrt(hi))
			}
			for _, e := range r {
				if v := float64(math.Abs(e.val) * s.rs[i]); v > 0 {
					least[e.col], most[e.col] = min(least[e.col], v), max(most[e.col], v)
				}
			}
		}
		for j := range s.cs {
			if most[j] > 0 {
				s.cs[j] = 1 / (math.Sqrt(least[j]) * math.Sqrt(most[j]))
			}
		}
	}
	for i := range s.rs {
		s.rs[i] = power2(s.rs[i])
	}
	for j := range s.cs {
		s.cs[j] = power2(s.cs[j])
	}
}

// setBounds sets the box of a column, in the problem's own unit. The values
// are brought up to date by place.
func (s *tableau) setBounds(j int, low, high float64) {
	s.low[j], s.high[j] = low/s.cs[j], high/s.cs[j]
}

// values puts the columns of the current basis, in the problem's own unit and
// clamped into their boxes, into x.
func (s *tableau) values(x []float64) {
	put := func(v int, val float64) {
		if v < s.n {
			x[v] = float64(min(max(val, s.low[v]), s.high[v]) * s.cs[v])
		}
	}
	for k, v := range s.nonb {
		put(v, s.xn[k])
	}
	for i, v := range s.basic {
		put(v, s.xb[i])
	}
}

// reset makes all logicals basic.
func (s *tableau) reset() {
	clear(s.t)
	for i, r := range s.rows {
		for _, e := range r {
			s.t[i*s.n+e.col] = e.val
		}
		s.basic[i] = s.n + i
	}
	s.reweigh()
	s.age = 0
	s.perturbed = false
	copy(s.d, s.cost)
	for k := range s.nonb {
		s.nonb[k] = k
		s.xn[k] = s.low[k]
	}
	s.since = 0
	s.compute()
}

// rebuild computes the tableau of the current basis from the problem's own
// coefficients, by eliminating its columns one by one with the largest pivot.
func (s *tableau) rebuild() {
	want := make([]bool, s.n+s.m)
	for _, v := range s.basic {
		want[v] = true
	}
	resting := make([]bool, s.n+s.m) // at the high bound
	for k, v := range s.nonb {
		resting[v] = s.xn[k] == s.high[v]
	}
	s.reset()
	for again := true; again; {
		again = false
		for k := range s.n {
			if v := s.nonb[k]; v >= s.n || !want[v] {
				continue
			}
			best, row := pivotTol, -1
			for i, v := range s.basic {
				if a := math.Abs(s.t[i*s.n+k]); a > best && !want[v] {
					best, row = a, i
				}
			}
			if row >= 0 {
				s.exchange(row, k)
				again = true
			}
		}
	}
	for k, v := range s.nonb {
		s.xn[k] = s.low[v]
		if resting[v] {
			s.xn[k] = s.high[v]
		}
	}
	s.reweigh()
	s.age = 0
	s.compute()
}

// adopt takes over the basis of a tableau of the same size.
func (s *tableau) adopt(from *tableau) {
	copy(s.basic, from.basic)
	copy(s.nonb, from.nonb)
	for k, v := range s.nonb {
		s.xn[k] = s.low[v]
		if from.xn[k] == from.high[v] {
			s.xn[k] = s.high[v]
		}
	}
	s.rebuild()
}

// compute sets the values of the basic variables from the tableau.
func (s *tableau) compute() {
	for i := range s.m {
		row, sum := s.t[i*s.n:(i+1)*s.n], 0.0
		for k, x := range s.xn {
			sum += float64(row[k] * x)
		}
		s.xb[i] = sum
	}
	s.since = 0
}

// place puts every nonbasic variable on the bound its reduced cost asks for,
// which makes any basis dual feasible, also after bounds were relaxed that had
// held a variable fixed.
func (s *tableau) place() {
	changed := s.order[:0]
	for k, v := range s.nonb {
		low, high, to := s.low[v], s.high[v], s.xn[k]
		switch {
		case s.d[k] > dualTol:
			to = low
		case s.d[k] < -dualTol:
			to = high
		case to != low && to != high:
			// The bound it rested on has moved: take the nearer.
			if math.Abs(to-high) < math.Abs(to-low) {
				to = high
			} else {
				to = low
			}
		}
		if to != s.xn[k] {
			s.delta[k] = to - s.xn[k]
			s.xn[k] = to
			changed = append(changed, k)
		}
	}
	s.shift(changed)
}

// shift adds delta of the listed nonbasic positions to the basic values.
func (s *tableau) shift(changed []int) {
	if len(changed) == 0 {
		return
	}
	if len(changed) > s.n/2 {
		s.compute()
		return
	}
	for i := range s.m {
		row, sum := s.t[i*s.n:(i+1)*s.n], 0.0
		for _, k := range changed {
			sum += float64(row[k] * s.delta[k])
		}
		s.xb[i] += sum
	}
}

// exchange makes nonbasic position q basic in row r.
func (s *tableau) exchange(r, q int) {
	n := s.n
	pr := s.t[r*n : (r+1)*n]
	inv := 1 / pr[q]
	order := s.order[:0]
	for k, v := range pr {
		if k == q {
			continue
		}
		if math.Abs(v) < zeroTol {
			pr[k] = 0
			continue
		}
		order = append(order, k)
	}
	wr := s.weight[r]
	dense := len(order)*3 > n*2
	for i := range s.m {
		if i == r {
			continue
		}
		row := s.t[i*n : (i+1)*n]
		f := row[q]
		if f == 0 {
			continue
		}
		f = float64(f * inv)
		if math.Abs(f) < 1e-14 {
			row[q] = 0
			continue
		}
		if dense {
			for k, v := range pr {
				row[k] -= float64(f * v)
			}
		} else {
			for _, k := range order {
				row[k] -= float64(f * pr[k])
			}
		}
		row[q] = f
		s.weight[i] = max(s.weight[i], float64(f*f*wr))
	}
	s.weight[r] = max(float64(wr*inv*inv), 1)
	f := float64(s.d[q] * inv)
	if f != 0 {
		for _, k := range order {
			s.d[k] -= float64(f * pr[k])
		}
	}
	s.d[q] = f
	for _, k := range order {
		pr[k] = float64(pr[k] * -inv)
	}
	pr[q] = inv
	s.basic[r], s.nonb[q] = s.nonb[q], s.basic[r]
	s.since++
	s.age++
	if s.weight[r] > maxWeight {
		s.reweigh()
	}
}

// reweigh starts a new reference frame for the weights. They only grow in one,
// and would in the end drown every miss.
func (s *tableau) reweigh() {
	for i := range s.weight {
		s.weight[i] = 1
	}
}

// objective returns the scaled objective of the current values.
func (s *tableau) objective() float64 {
	sum := 0.0
	for k, d := range s.d {
		sum += float64(d * s.xn[k])
	}
	return sum
}

// bound returns a lower bound on the scaled objective within the current
// bounds, computed from the multipliers of the basis and the problem's own
// coefficients: right for any multipliers, only less sharp for wrong ones.
func (s *tableau) bound() float64 {
	clear(s.y)
	for k, v := range s.nonb {
		if v >= s.n {
			s.y[v-s.n] = s.d[k]
		}
	}
	copy(s.g, s.cost)
	sum := 0.0
	for i, y := range s.y {
		if y == 0 {
			continue
		}
		sum += min(float64(y*s.low[s.n+i]), float64(y*s.high[s.n+i]))
		for _, e := range s.rows[i] {
			s.g[e.col] -= float64(y * e.val)
		}
	}
	for j, g := range s.g {
		sum += min(float64(g*s.low[j]), float64(g*s.high[j]))
	}
	return sum
}

// contradiction reports whether row r of the tableau, as a combination of the
// problem's own rows, cannot hold within the current bounds.
func (s *tableau) contradiction(r int) bool {
	clear(s.y)
	clear(s.g)
	if v := s.basic[r]; v >= s.n {
		s.y[v-s.n] = 1
	}
	for k, v := range s.nonb {
		if v >= s.n {
			s.y[v-s.n] = -s.t[r*s.n+k]
		}
	}
	// The sum of y times (logical - its row) is 0 for every point.
	least, most, size := 0.0, 0.0, 0.0
	add := func(c float64, v int) {
		lo, hi := float64(c*s.low[v]), float64(c*s.high[v])
		least += min(lo, hi)
		most += max(lo, hi)
		size += max(math.Abs(lo), math.Abs(hi))
	}
	for i, y := range s.y {
		if y == 0 {
			continue
		}
		add(y, s.n+i)
		for _, e := range s.rows[i] {
			s.g[e.col] -= float64(y * e.val)
		}
	}
	for j, g := range s.g {
		if g != 0 {
			add(g, j)
		}
	}
	slack := float64(1e-14 * size)
	return least > slack || most < -slack
}

// residual returns the largest relative difference between a logical and the
// sum of its row at the current values.
func (s *tableau) residual() float64 {
	x := make([]float64, s.n+s.m)
	for k, v := range s.nonb {
		x[v] = s.xn[k]
	}
	for i, v := range s.basic {
		x[v] = s.xb[i]
	}
	worst := 0.0
	for i, r := range s.rows {
		sum, size := 0.0, 1.0
		for _, e := range r {
			v := float64(e.val * x[e.col])
			sum += v
			size = max(size, math.Abs(v))
		}
		if e := math.Abs(sum-x[s.n+i]) / size; !(e <= worst) {
			worst = e
		}
	}
	return worst
}

// solve runs the dual simplex from the current basis after the bounds have
// been set, until the optimum or until the objective reaches limit, which is
// scaled. Answers are checked against the problem's own coefficients; if a check
// fails the tableau is rebuilt and, once, built anew from the logicals.
func (s *tableau) solve(ctx context.Context, limit float64) outcome {
	for attempt := range 4 {
		switch {
		case attempt == 3:
			s.reset()
		case attempt > 0 || s.age >= maxAge:
			s.rebuild()
		}
		s.place()
		switch o := s.dual(ctx, limit, 2000+20*(s.m+s.n)); o {
		case stuck, capped:
		case optimal:
			if s.since >= 30 {
				s.compute()
				if r, _ := s.leaving(false); r >= 0 {
					continue
				}
			}
			z := s.objective()
			if s.residual() <= drift && (attempt > 1 || s.bound() >= z-float64(1e-8*max(1, math.Abs(z)))) {
				return optimal
			}
		default:
			return o
		}
	}
	return stuck
}

// leaving chooses the row whose value misses its bound, by devex weight or the
// lowest variable, and returns the bound it has to go to; row -1 if none does.
func (s *tableau) leaving(bland bool) (row int, to float64) {
	row = -1
	best := -1.0
	for i, v := range s.basic {
		x, miss, bound := s.xb[i], 0.0, 0.0
		if low := s.low[v]; x < low {
			miss, bound = low-x, low
		} else if high := s.high[v]; x > high {
			miss, bound = x-high, high
		} else {
			continue
		}
		if miss <= s.tol[v]*max(1, math.Abs(bound)) {
			continue
		}
		if bland {
			if row < 0 || v < s.basic[row] {
				row, to = i, bound
			}
		} else if score := miss * miss / s.weight[i]; score > best {
			row, to, best = i, bound, score
		}
	}
	return row, to
}

// dual runs at most steps pivots of the dual simplex. Most columns cost nothing,
// so that many bases have the same objective: where steps bring no gain the costs
// are perturbed for a while.
func (s *tableau) dual(ctx context.Context, limit float64, steps int) outcome {
	o := s.iterate(ctx, limit, steps)
	if s.perturbed {
		s.reprice()
	}
	return o
}

func (s *tableau) iterate(ctx context.Context, limit float64, steps int) outcome {
	stall, bland, nudged := 0, false, 0
	best := math.Inf(-1)
	for iter := 0; ; iter++ {
		if iter&15 == 0 && ctx.Err() != nil || s.pivots >= s.pivotLimit {
			return stopped
		}
		if iter > steps {
			return capped
		}
		z := s.objective()
		if z > limit && s.bound() > limit {
			return cutoff
		}
		if z > best+float64(1e-12*max(1, math.Abs(best))) {
			best, stall, bland = z, 0, false
		} else if stall++; stall > maxStall && !s.perturbed && nudged < nudges {
			s.perturb()
			stall, best = 0, math.Inf(-1)
			nudged++
		} else if stall > 100+s.m {
			bland = true
		}
		r, to := s.leaving(bland)
		if r < 0 {
			if s.perturbed {
				s.reprice()
				s.place()
				stall, bland, best = 0, false, math.Inf(-1)
				continue
			}
			return optimal
		}
		q, flips := s.entering(r, to-s.xb[r], float64(s.tol[s.basic[r]]*max(1, math.Abs(to))), bland)
		if q < 0 {
			if s.contradiction(r) {
				return infeasible
			}
			return stuck
		}
		s.shift(flips)
		step := (to - s.xb[r]) / s.t[r*s.n+q]
		for i := range s.m {
			if a := s.t[i*s.n+q]; a != 0 {
				s.xb[i] += float64(a * step)
			}
		}
		s.xb[r] = s.xn[q] + step
		s.xn[q] = to
		s.exchange(r, q)
		s.pivots++
		if s.since >= 100 {
			s.compute()
			if s.residual() > drift || s.age >= maxAge {
				s.rebuild()
			}
			s.place()
		}
	}
}

// perturb moves every reduced cost away from 0 by a little of its own, so that no
// two bases are alike. What is certified is not touched: bounds are computed
// from the costs themselves.
func (s *tableau) perturb() {
	const golden = 0.6180339887498949
	for k, v := range s.nonb {
		if s.low[v] == s.high[v] {
			continue
		}
		u := float64(golden * float64(v+1))
		by := float64(nudge * (1 + u - math.Floor(u)))
		if s.xn[k] == s.high[v] {
			by = -by
		}
		s.d[k] += by
	}
	s.perturbed = true
}

// reprice computes the reduced costs of the basis from the costs, which ends a
// perturbation.
func (s *tableau) reprice() {
	for k, v := range s.nonb {
		s.d[k] = 0
		if v < s.n {
			s.d[k] = s.cost[v]
		}
	}
	for i, v := range s.basic {
		if v >= s.n || s.cost[v] == 0 {
			continue
		}
		c := s.cost[v]
		for k, a := range s.t[i*s.n : (i+1)*s.n] {
			s.d[k] += float64(c * a)
		}
	}
	s.perturbed = false
}

// entering chooses the nonbasic position that takes the place of row r, whose
// value must change by need, so that reduced costs keep their signs, and the
// positions to flip to their other bound on the way. Position -1 means that all
// of them together leave the row short of its bound by more than tol.
func (s *tableau) entering(r int, need, tol float64, bland bool) (q int, flips []int) {
	sign := 1.0
	if need < 0 {
		sign, need = -1, -need
	}
	steps := s.steps[:0]
	reach := 0.0
	row := s.t[r*s.n : (r+1)*s.n]
	for k, a := range row {
		a = float64(a * sign)
		if math.Abs(a) < 1e-10 {
			continue
		}
		v := s.nonb[k]
		low, high := s.low[v], s.high[v]
		if low == high {
			continue
		}
		d := s.d[k]
		if s.xn[k] == low {
			if a < 0 {
				continue
			}
			d = max(d, 0)
		} else {
			if a > 0 {
				continue
			}
			d = max(-d, 0)
		}
		a = math.Abs(a)
		reach += float64(a * (high - low))
		steps = append(steps, breakpoint{k, a, d / a})
	}
	if reach < need-tol || len(steps) == 0 {
		return -1, nil
	}
	if bland {
		least := math.Inf(1)
		for _, b := range steps {
			least = min(least, b.ratio)
		}
		q = -1
		for _, b := range steps {
			if b.ratio <= least+1e-12 && b.alpha >= pivotTol && (q < 0 || s.nonb[b.pos] < s.nonb[q]) {
				q = b.pos
			}
		}
		if q >= 0 {
			return q, nil
		}
	}
	// Pass breakpoints in order of ratio, near ties by size of the pivot, as
	// long as flipping them leaves the row short of its bound. Enter at the last
	// one whose pivot is not tiny against the best seen.
	done := 0
	for done < len(steps) {
		least := math.Inf(1)
		for _, b := range steps[done:] {
			least = min(least, b.ratio)
		}
		at, alpha := -1, 0.0
		for i := done; i < len(steps); i++ {
			if b := steps[i]; b.ratio <= least+1e-10 && b.alpha > alpha {
				at, alpha = i, b.alpha
			}
		}
		steps[done], steps[at] = steps[at], steps[done]
		v := s.nonb[steps[done].pos]
		need -= float64(alpha * (s.high[v] - s.low[v]))
		done++
		if need <= 0 {
			break
		}
	}
	largest := 0.0
	for _, b := range steps[:done] {
		largest = max(largest, b.alpha)
	}
	last := done - 1
	for last > 0 && steps[last].alpha < min(float64(1e-3*largest), 1e-3) {
		last--
	}
	flips = s.order[:0]
	for _, b := range steps[:last] {
		v := s.nonb[b.pos]
		to := s.high[v]
		if s.xn[b.pos] == to {
			to = s.low[v]
		}
		s.delta[b.pos] = to - s.xn[b.pos]
		s.xn[b.pos] = to
		flips = append(flips, b.pos)
	}
	return steps[last].pos, flips
}
