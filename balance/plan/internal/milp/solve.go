package milp

import (
	"cmp"
	"container/heap"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
)

// Solve minimises p within l.
//
// It returns an *InputError for a malformed problem or limits, ErrTooLarge for
// too large a one, and, if ctx ends, an error that wraps the cause of that,
// together with the best that was found until then.
func Solve(ctx context.Context, p Problem, l Limits) (Solution, error) {
	none := Solution{Objective: math.Inf(1), Bound: math.Inf(-1)}
	if err := p.check(); err != nil {
		return none, err
	}
	if err := l.check(); err != nil {
		return none, err
	}
	if l.Nodes == 0 {
		l.Nodes = DefaultNodes
	}
	if l.Pivots == 0 {
		l.Pivots = DefaultPivots
	}
	f := &search{ctx: ctx, p: p, l: l, md: newModel(p), cost: math.Inf(1), cut: math.Inf(1)}
	status := f.run()
	sol := Solution{
		Status: status, X: f.best, Objective: f.cost, Bound: min(f.floor(), f.cost),
		Nodes: f.nodes, Pivots: f.pivots, Root: f.root,
	}
	if f.s != nil {
		sol.Pivots += f.s.pivots
	}
	if ctx.Err() != nil && (f.halted || f.undecided) {
		return sol, fmt.Errorf("milp: stopped after %d nodes: %w", f.nodes, context.Cause(ctx))
	}
	return sol, nil
}

// node is an open or solved part of the search: its parent's part, with the
// box of one column narrowed.
type node struct {
	parent    *node
	col       int // -1 for the root
	low, high float64
	bound     float64  // certified lower bound, in the problem's unit
	found     []change // narrower boxes found when the node was solved
	depth, id int
	away      float64   // distance from the parent's value to the box, 0 if not a branch on it
	up        bool      // the box lies above that value
	start     *snapshot // the parent's tableau, where it was kept
}

type change struct {
	col       int
	low, high float64
}

// open is a heap of nodes, least bound first, then deepest, then oldest.
type open []*node

func (o open) Len() int { return len(o) }
func (o open) Less(a, b int) bool {
	switch {
	case o[a].bound != o[b].bound:
		return o[a].bound < o[b].bound
	case o[a].depth != o[b].depth:
		return o[a].depth > o[b].depth
	}
	return o[a].id < o[b].id
}
func (o open) Swap(a, b int) { o[a], o[b] = o[b], o[a] }
func (o *open) Push(x any)   { *o = append(*o, x.(*node)) }
func (o *open) Pop() any {
	old := *o
	n := old[len(old)-1]
	old[len(old)-1] = nil
	*o = old[:len(old)-1]
	return n
}

const (
	maxTrials  = 8  // candidates tried at a node
	trialSteps = 10 // pivots of a trial
	reliable   = 1  // gains seen on a side that make a trial needless
)

type search struct {
	ctx context.Context
	p   Problem
	l   Limits
	md  *model
	s   *tableau
	pr  *propagator

	low, high         []float64 // boxes of the node at hand
	rootLow, rootHigh []float64
	rootBound         float64
	rootReduced       []float64

	best    []float64
	cost    float64 // of best
	cut     float64 // a node must stay below this to be of interest
	step    float64
	grain   float64 // all costs are offset plus a multiple of this, if not 0
	offset  float64
	dropped float64 // least bound of the nodes cut off
	open    open
	gain    [2][]float64 // sums of gains per unit, down and up
	gains   [2][]int

	nodes, pivots, ids int
	halted             bool // a limit was reached or the context ended
	undecided          bool // a part could not be decided
	rejected           map[string]bool
	root               Relaxation

	x     []float64
	saved snapshot
	spare []*snapshot // kept for nodes that are done with
	kept  int         // how many there are in all
}

// floor returns the lower bound that has been shown.
func (f *search) floor() float64 {
	if f.open == nil {
		return math.Inf(-1)
	}
	b := f.dropped
	for _, n := range f.open {
		b = min(b, n.bound)
	}
	if f.best == nil {
		return b
	}
	// Boxes narrowed by what the best leaves to be gained hide what is above cut.
	b = min(b, f.cut)
	if f.grain > 0 {
		b = f.offset + float64(f.grain*math.Ceil((b-f.offset)/f.grain-1e-6))
	}
	return b
}

func (f *search) run() Status {
	f.dropped = math.Inf(1)
	for _, j := range f.md.whole {
		if c := f.md.cols[j]; c.Low > c.High {
			f.open = open{}
			return Infeasible
		}
	}
	// The relaxation of the problem as it was given, for its duals.
	s := newTableau(f.md.cols, f.md.rows, f.md.low, f.md.high, f.l.Pivots)
	o := infeasible
	if !s.crossed() {
		o = s.solve(f.ctx, math.Inf(1))
	}
	f.pivots = s.pivots
	bound := math.Inf(-1)
	switch o {
	case infeasible:
		f.open = open{}
		return Infeasible
	case stopped:
		f.halted = true
		return Unknown
	case optimal:
		f.root = s.relaxation(f.p)
		bound = s.bound() / s.os
	}
	if !f.md.tighten() {
		f.open = open{}
		return Infeasible
	}
	f.grain, f.offset = f.md.granularity()
	f.step = max(f.l.Step, f.grain)
	f.s = newTableau(f.md.cols, f.md.rows, f.md.low, f.md.high, f.l.Pivots-f.pivots)
	if o == optimal && !f.s.crossed() {
		f.s.adopt(s)
	}
	f.pr = newPropagator(f.md)
	f.rootLow, f.rootHigh = f.md.boxes()
	f.low, f.high = f.md.boxes()
	f.x = make([]float64, len(f.md.cols))
	for side := range f.gain {
		f.gain[side] = make([]float64, len(f.md.cols))
		f.gains[side] = make([]int, len(f.md.cols))
	}
	f.open = open{}
	if !f.s.crossed() {
		f.search(bound)
	}
	switch {
	case f.best != nil && !f.halted && !f.undecided:
		return Optimal
	case f.best != nil:
		return Feasible
	case !f.halted && !f.undecided:
		return Infeasible
	}
	return Unknown
}

// crossed reports whether a row's limits exclude all its columns can reach.
func (s *tableau) crossed() bool {
	for v := range s.low {
		if s.low[v] > s.high[v] {
			return true
		}
	}
	return false
}

func (s *tableau) relaxation(p Problem) Relaxation {
	r := Relaxation{Solved: true, X: make([]float64, s.n), Duals: make([]float64, s.m), Reduced: make([]float64, s.n)}
	s.values(r.X)
	r.Objective = p.cost(r.X)
	for k, v := range s.nonb {
		d := s.d[k] / s.os
		switch {
		case math.Abs(s.d[k]) <= dualTol: // 0, but for rounding
		case v < s.n:
			r.Reduced[v] = d / s.cs[v]
		case d > 0 && !math.IsInf(p.Rows[v-s.n].Low, 0) || d < 0 && !math.IsInf(p.Rows[v-s.n].High, 0):
			r.Duals[v-s.n] = float64(d * s.rs[v-s.n])
		}
	}
	return r
}

// search works through the tree, whose root has the given bound.
func (f *search) search(bound float64) {
	next := &node{col: -1, bound: bound}
	for {
		if next == nil {
			if len(f.open) == 0 {
				return
			}
			next = heap.Pop(&f.open).(*node)
		}
		if next.bound > f.cut {
			f.release(next)
			f.drop(next.bound)
			next = nil
			continue
		}
		if f.nodes >= f.l.Nodes {
			f.halted = true
			heap.Push(&f.open, next)
			return
		}
		f.nodes++
		var ok bool
		n := next
		if next, ok = f.visit(n); !ok {
			f.halted = true
			heap.Push(&f.open, n)
			return
		}
	}
}

// drop books that a part with this lower bound is of no interest.
func (f *search) drop(bound float64) { f.dropped = min(f.dropped, bound) }

// enter makes the boxes of n current. It returns false if they are empty.
func (f *search) enter(n *node) bool {
	copy(f.low, f.rootLow)
	copy(f.high, f.rootHigh)
	narrow := func(c change) {
		f.low[c.col] = max(f.low[c.col], c.low)
		f.high[c.col] = min(f.high[c.col], c.high)
	}
	for a := n; a != nil; a = a.parent {
		if a.col >= 0 {
			narrow(change{a.col, a.low, a.high})
		}
		for _, c := range a.found {
			narrow(c)
		}
	}
	for _, j := range f.md.whole {
		if f.low[j] > f.high[j] {
			return false
		}
	}
	return true
}

// limit is the scaled objective from which on a node is of no interest.
func (f *search) limit() float64 { return float64(f.cut * f.s.os) }

// visit solves n and returns the child to go on with, if any; false if the
// search was stopped.
func (f *search) visit(n *node) (*node, bool) {
	if n.start != nil {
		f.s.restore(n.start)
		f.release(n)
	}
	if !f.enter(n) {
		return nil, true
	}
	touched := func(j int) { n.found = append(n.found, change{j, f.low[j], f.high[j]}) }
	if n.col >= 0 {
		f.pr.push(n.col)
		if !f.pr.run(f.low, f.high, false, touched) {
			return nil, true
		}
	}
	o := f.relax(f.limit())
	switch o {
	case stopped:
		return nil, false
	case infeasible:
		return nil, true
	case cutoff:
		f.drop(max(n.bound, f.s.bound()/f.s.os))
		return nil, true
	case stuck:
		return f.split(n, unsound), true
	}
	bound := f.s.bound() / f.s.os
	f.learn(n, bound)
	n.bound = max(n.bound, bound)
	f.s.values(f.x)
	if n.col < 0 && f.rootReduced == nil {
		f.rootBound = bound
		f.rootReduced = make([]float64, len(f.md.cols))
		for k, v := range f.s.nonb {
			if v < f.s.n {
				f.rootReduced[v] = f.s.d[k] / (f.s.cs[v] * f.s.os)
			}
		}
	}
	col := f.fractional()
	offered := unsound
	if col < 0 {
		offered = f.offer(f.x)
	} else if f.best == nil || n.col < 0 || f.nodes%16 == 0 {
		if !f.heuristic() {
			return nil, false
		}
	}
	if n.bound > f.cut || offered == accepted && f.cost-n.bound <= 1e-6*max(1, math.Abs(f.cost)) {
		f.drop(n.bound)
		return nil, true
	}
	if col < 0 {
		return f.split(n, offered), true
	}
	f.afford(bound, touched)
	return f.branch(n, touched), true
}

// relax solves the relaxation in the current boxes.
func (f *search) relax(limit float64) outcome {
	for _, j := range f.md.whole {
		f.s.setBounds(j, f.low[j], f.high[j])
	}
	return f.s.solve(f.ctx, limit)
}

// learn books what the branch that made n has gained.
func (f *search) learn(n *node, bound float64) {
	if n.col < 0 || n.away <= wholeTol || math.IsInf(n.parent.bound, 0) {
		return
	}
	side := 0
	if n.up {
		side = 1
	}
	f.gain[side][n.col] += max(0, bound-n.parent.bound) / n.away
	f.gains[side][n.col]++
}

// fractional returns a whole column whose value is not whole, or -1.
func (f *search) fractional() int {
	for _, j := range f.md.whole {
		if math.Abs(f.x[j]-math.Round(f.x[j])) > wholeTol {
			return j
		}
	}
	return -1
}

// verdict on a point that was offered.
type verdict int

const (
	unsound verdict = iota // it misses a row of the problem
	dearer                 // it is not better than the best
	refused                // its whole values were rejected
	accepted
)

// offer makes x the best if, with its whole columns made exactly whole, it
// satisfies the problem as it was given, is better, and is not rejected.
func (f *search) offer(x []float64) verdict {
	x = slices.Clone(x)
	for _, j := range f.md.whole {
		x[j] = math.Round(x[j])
	}
	if !f.p.satisfied(x) && !f.polish(x) {
		return unsound
	}
	cost := f.p.cost(x)
	if cost > f.cut {
		return dearer
	}
	if f.l.Reject != nil {
		key := f.choice(x)
		if f.rejected[key] {
			return refused
		}
		if f.l.Reject(slices.Clone(x)) {
			if f.rejected == nil {
				f.rejected = map[string]bool{}
			}
			f.rejected[key] = true
			return refused
		}
	}
	f.best, f.cost = x, cost
	slack := float64(1e-7 * max(1, math.Abs(cost)))
	f.cut = cost - slack
	if f.step > 0 {
		f.cut = cost - f.step + min(float64(10*slack), f.step/100)
	}
	f.fix()
	return accepted
}

// polish solves for the other columns of x afresh, with its whole columns
// taken as constants, and reports whether x then satisfies the problem.
func (f *search) polish(x []float64) bool {
	var cols []Column
	at := make([]int, len(x))
	for j, c := range f.p.Columns {
		at[j] = -1
		if !c.Integer {
			at[j] = len(cols)
			cols = append(cols, c)
		}
	}
	rows := make([][]entry, len(f.p.Rows))
	low, high := make([]float64, len(rows)), make([]float64, len(rows))
	for i, r := range f.p.Rows {
		low[i], high[i] = r.Low, r.High
		for _, t := range r.Terms {
			if k := at[t.Col]; k < 0 {
				low[i] -= float64(t.Coef * x[t.Col])
				high[i] -= float64(t.Coef * x[t.Col])
			} else if t.Coef != 0 {
				rows[i] = append(rows[i], entry{k, t.Coef})
			}
		}
	}
	s := newTableau(cols, rows, low, high, max(0, f.s.pivotLimit-f.s.pivots))
	if s.crossed() {
		return false
	}
	o := s.solve(f.ctx, math.Inf(1))
	f.pivots += s.pivots
	f.s.pivotLimit -= s.pivots
	if o != optimal {
		return false
	}
	y := make([]float64, len(cols))
	s.values(y)
	for j, k := range at {
		if k >= 0 {
			x[j] = y[k]
		}
	}
	return f.p.satisfied(x)
}

// choice returns the whole values of x as a map key.
func (f *search) choice(x []float64) string {
	var b []byte
	for _, j := range f.md.whole {
		b = binary.AppendVarint(b, int64(x[j]))
	}
	return string(b)
}

// fix narrows root boxes by the root's reduced costs.
func (f *search) fix() {
	if f.rootReduced == nil {
		return
	}
	room := f.cut - f.rootBound
	for _, j := range f.md.whole {
		reach(f.rootReduced[j], room, &f.rootLow[j], &f.rootHigh[j], f.md.cols[j])
	}
}

// afford narrows the boxes by the reduced costs of the optimum at hand, whose
// own bound is given.
func (f *search) afford(bound float64, touched func(int)) {
	room := f.cut - bound
	if math.IsInf(room, 0) {
		return
	}
	s := f.s
	for k, j := range s.nonb {
		if j >= s.n || !f.md.cols[j].Integer || f.low[j] == f.high[j] {
			continue
		}
		d := s.d[k] / (s.cs[j] * s.os)
		steps := math.Floor(room/math.Abs(d) + 1e-6)
		switch {
		case d > 0 && f.low[j]+steps < f.high[j]:
			f.high[j] = f.low[j] + steps
			touched(j)
		case d < 0 && f.high[j]-steps > f.low[j]:
			f.low[j] = f.high[j] - steps
			touched(j)
		}
	}
}

// reach narrows a whole box to what reduced cost d can pay for with room,
// counted from the end of c on which the column rests.
func reach(d, room float64, low, high *float64, c Column) {
	if steps := math.Floor(room/math.Abs(d) + 1e-6); d > 0 {
		*high = min(*high, c.Low+steps)
	} else if d < 0 {
		*low = max(*low, c.High-steps)
	}
}

type snapshot struct {
	t, d, xb, xn, weight []float64
	basic, nonb          []int
	since, age           int
}

func (s *tableau) save(to *snapshot) {
	to.t = append(to.t[:0], s.t...)
	to.d = append(to.d[:0], s.d...)
	to.xb = append(to.xb[:0], s.xb...)
	to.xn = append(to.xn[:0], s.xn...)
	to.weight = append(to.weight[:0], s.weight...)
	to.basic = append(to.basic[:0], s.basic...)
	to.nonb = append(to.nonb[:0], s.nonb...)
	to.since, to.age = s.since, s.age
}

func (s *tableau) restore(from *snapshot) {
	copy(s.t, from.t)
	copy(s.d, from.d)
	copy(s.xb, from.xb)
	copy(s.xn, from.xn)
	copy(s.weight, from.weight)
	copy(s.basic, from.basic)
	copy(s.nonb, from.nonb)
	s.since, s.age = from.since, from.age
}

// heuristic rounds the node's values one by one, letting the rows narrow the
// others, and solves for the rest. It leaves the node's boxes and tableau as
// they were, and returns false if stopped.
func (f *search) heuristic() bool {
	low, high := slices.Clone(f.low), slices.Clone(f.high)
	defer func() { f.low, f.high = low, high }()
	f.low, f.high = slices.Clone(low), slices.Clone(high)
	order := slices.Clone(f.md.whole)
	slices.SortStableFunc(order, func(a, b int) int {
		da, db := math.Abs(f.x[a]-math.Round(f.x[a])), math.Abs(f.x[b]-math.Round(f.x[b]))
		switch {
		case da < db:
			return -1
		case da > db:
			return 1
		}
		return 0
	})
	for _, j := range order {
		if f.low[j] == f.high[j] {
			continue
		}
		v := math.Round(f.x[j])
		if f.x[j]-math.Floor(f.x[j]) > wholeTol {
			v = math.Ceil(f.x[j] - wholeTol)
		}
		v = min(max(v, f.low[j]), f.high[j])
		f.low[j], f.high[j] = v, v
		f.pr.push(j)
		if !f.pr.run(f.low, f.high, false, nil) {
			return true
		}
	}
	f.s.save(&f.saved)
	o := f.relax(f.limit())
	if o == optimal {
		x := make([]float64, len(f.x))
		f.s.values(x)
		f.offer(x)
	}
	f.s.restore(&f.saved)
	for _, j := range f.md.whole {
		f.s.setBounds(j, low[j], high[j])
	}
	return o != stopped
}

// candidate is a column to branch on.
type candidate struct {
	col  int
	cost [2]float64 // what the child below and above is expected to cost more
}

// score ranks candidates: both children should become dear.
func (c candidate) score(frac, tiny float64) float64 {
	return float64(max(c.cost[0], float64(tiny*frac)) * max(c.cost[1], float64(tiny*(1-frac))))
}

// branch makes the children of n, whose relaxation is not whole, and returns
// the one to go on with: n itself, narrowed, if a trial showed a side to be of
// no interest.
func (f *search) branch(n *node, touched func(int)) *node {
	tiny := float64(1e-6 * max(1, math.Abs(n.bound)))
	frac := func(j int) float64 { return f.x[j] - math.Floor(f.x[j]) }
	var list []candidate
	for i, j := range f.s.basic {
		if j >= f.s.n || !f.md.cols[j].Integer || min(frac(j), 1-frac(j)) <= wholeTol {
			continue
		}
		c := candidate{col: j}
		c.cost[0] = max(f.penalty(i, -frac(j)), float64(f.expect(0, j)*frac(j)))
		c.cost[1] = max(f.penalty(i, 1-frac(j)), float64(f.expect(1, j)*(1-frac(j))))
		list = append(list, c)
	}
	slices.SortFunc(list, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.score(frac(b.col), tiny), a.score(frac(a.col), tiny)), cmp.Compare(a.col, b.col))
	})
	if len(list) == 0 {
		return f.split(n, unsound)
	}
	best, score := list[0], -1.0
	trials := 0
	narrowed := false
	for _, c := range list {
		if trials >= maxTrials {
			break
		}
		if min(f.gains[0][c.col], f.gains[1][c.col]) < reliable {
			if trials == 0 {
				f.s.save(&f.saved)
			}
			trials++
			for side := range 2 {
				low, high := f.low[c.col], f.high[c.col]
				if side == 0 {
					f.s.setBounds(c.col, low, math.Floor(f.x[c.col]))
				} else {
					f.s.setBounds(c.col, math.Floor(f.x[c.col])+1, high)
				}
				f.s.place()
				o := f.s.dual(f.ctx, f.limit(), trialSteps)
				gain := max(0, f.s.bound()/f.s.os-n.bound)
				f.s.restore(&f.saved)
				f.s.setBounds(c.col, low, high)
				switch o {
				case infeasible, cutoff:
					if o == cutoff {
						f.drop(n.bound + gain)
					}
					if side == 0 {
						f.low[c.col] = math.Floor(f.x[c.col]) + 1
					} else {
						f.high[c.col] = math.Floor(f.x[c.col])
					}
					touched(c.col)
					narrowed = true
				case optimal, capped:
					away := frac(c.col)
					if side == 1 {
						away = 1 - away
					}
					f.gain[side][c.col] += gain / away
					f.gains[side][c.col]++
					c.cost[side] = max(c.cost[side], gain)
				}
				if narrowed {
					break
				}
			}
			if narrowed {
				return n
			}
		}
		if s := c.score(frac(c.col), tiny); s > score {
			best, score = c, s
		}
	}
	col := best.col
	v := math.Floor(f.x[col])
	down := f.child(n, col, f.low[col], v, f.x[col]-v)
	up := f.child(n, col, v+1, f.high[col], v+1-f.x[col])
	up.up = true
	// Upwards leads to a first point soonest; from then on the side that is
	// likely to cost less is looked at first.
	now, later, cost := up, down, best.cost[0]
	if f.best != nil && best.cost[0] < best.cost[1] {
		now, later, cost = down, up, best.cost[1]
	}
	if n.bound+cost <= f.cut {
		f.keep(later)
	}
	heap.Push(&f.open, later)
	return now
}

// keepCells is how many entries of tableaus are kept for nodes: 8 MiB of them.
const keepCells = maxCells / 4

// keep holds the tableau for a node that will be looked at later, if there is
// room: the node then starts a few steps from its optimum.
func (f *search) keep(n *node) {
	if len(f.spare) == 0 {
		if (f.kept+1)*f.s.m*f.s.n > keepCells {
			return
		}
		f.kept++
		f.spare = append(f.spare, new(snapshot))
	}
	last := len(f.spare) - 1
	n.start, f.spare = f.spare[last], f.spare[:last]
	f.s.save(n.start)
}

// release makes the memory that was kept for a node free for another.
func (f *search) release(n *node) {
	if n.start != nil {
		f.spare = append(f.spare, n.start)
		n.start = nil
	}
}

// expect returns the mean gain per unit seen on a side of column j, or of all
// columns if none was seen.
func (f *search) expect(side, j int) float64 {
	if k := f.gains[side][j]; k > 0 {
		return f.gain[side][j] / float64(k)
	}
	return 0
}

// penalty returns a lower bound on what it costs to change the value of row i,
// that of a whole column, by the given amount: the first step of the dual
// simplex, where a whole column that enters must move by one at least.
func (f *search) penalty(i int, by float64) float64 {
	s := f.s
	by /= s.cs[s.basic[i]]
	sign := 1.0
	if by < 0 {
		sign, by = -1, -by
	}
	least := math.Inf(1)
	for k, a := range s.t[i*s.n : (i+1)*s.n] {
		if a = float64(a * sign); math.Abs(a) < 1e-9 {
			continue
		}
		v := s.nonb[k]
		if s.low[v] == s.high[v] || (a > 0) != (s.xn[k] == s.low[v]) {
			continue
		}
		d := math.Abs(s.d[k])
		c := by * d / math.Abs(a)
		if v < s.n && f.md.cols[v].Integer {
			c = max(c, d/s.cs[v])
		}
		least = min(least, c)
	}
	return least / s.os
}

// split makes children of n where the relaxation does not say how: it was
// whole but is not the end of n, or could not be solved.
func (f *search) split(n *node, offered verdict) *node {
	col, far := -1, -1.0
	for _, j := range f.md.whole {
		if f.low[j] < f.high[j] {
			if d := math.Abs(f.x[j] - math.Round(f.x[j])); d > far+1e-12 {
				col, far = j, d
			}
		}
	}
	if col < 0 {
		// Everything is fixed. A refused point ends the node, a dearer one too,
		// for it is the cheapest of the node; an unsound one leaves it undecided.
		if offered != refused {
			f.drop(n.bound)
		}
		f.undecided = f.undecided || offered == unsound
		return nil
	}
	v := min(max(math.Round(f.x[col]), f.low[col]), f.high[col])
	if v > f.low[col] {
		heap.Push(&f.open, f.child(n, col, f.low[col], v-1, 0))
	}
	if v < f.high[col] {
		heap.Push(&f.open, f.child(n, col, v+1, f.high[col], 0))
	}
	return f.child(n, col, v, v, 0)
}

func (f *search) child(n *node, col int, low, high, away float64) *node {
	f.ids++
	return &node{parent: n, col: col, low: low, high: high, bound: n.bound, depth: n.depth + 1, id: f.ids, away: away}
}
