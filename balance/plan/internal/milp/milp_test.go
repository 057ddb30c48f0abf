package milp

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"
)

var inf = math.Inf(1)

func le(high float64, terms ...Term) Row { return Row{Terms: terms, Low: -inf, High: high} }
func ge(low float64, terms ...Term) Row  { return Row{Terms: terms, Low: low, High: inf} }
func eq(v float64, terms ...Term) Row    { return Row{Terms: terms, Low: v, High: v} }

// near allows for what a float simplex may lose.
func near(got, want float64) bool {
	return got == want || math.Abs(got-want) <= 1e-6*max(1, math.Abs(want))
}

func solve(t *testing.T, p Problem, l Limits) Solution {
	t.Helper()
	sol, err := Solve(context.Background(), p, l)
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, p, sol)
	return sol
}

// consistent checks what every solution promises, on the problem as given.
func consistent(t interface {
	Helper()
	Fatalf(string, ...any)
}, p Problem, sol Solution) {
	t.Helper()
	has := sol.Status == Optimal || sol.Status == Feasible
	if has != (sol.X != nil) || has == math.IsInf(sol.Objective, 1) {
		t.Fatalf("status %v with x %v and objective %v", sol.Status, sol.X, sol.Objective)
	}
	if sol.Bound > sol.Objective || math.IsNaN(sol.Bound) {
		t.Fatalf("bound %v above objective %v", sol.Bound, sol.Objective)
	}
	if sol.Status == Infeasible && !math.IsInf(sol.Bound, 1) {
		t.Fatalf("infeasible with bound %v", sol.Bound)
	}
	if !has {
		return
	}
	cost := 0.0
	for j, c := range p.Columns {
		v := sol.X[j]
		cost += c.Cost * v
		if v < c.Low || v > c.High || c.Integer && v != math.Floor(v) {
			t.Fatalf("column %d is %v in [%v, %v], integer %v", j, v, c.Low, c.High, c.Integer)
		}
	}
	if cost != sol.Objective {
		t.Fatalf("objective %v, x costs %v", sol.Objective, cost)
	}
	for i, r := range p.Rows {
		sum, size := 0.0, 1.0
		for _, e := range r.Terms {
			sum += e.Coef * sol.X[e.Col]
			size = max(size, math.Abs(e.Coef*sol.X[e.Col]))
		}
		if sum < r.Low-1e-7*max(size, math.Abs(r.Low)) || sum > r.High+1e-7*max(size, math.Abs(r.High)) {
			t.Fatalf("row %d is %v, want %v to %v", i, sum, r.Low, r.High)
		}
	}
}

// Solved by hand: regression (ours).
func TestSolveByHand(t *testing.T) {
	t.Parallel()
	whole := func(cost, low, high float64) Column { return Column{Cost: cost, Low: low, High: high, Integer: true} }
	real := func(cost, low, high float64) Column { return Column{Cost: cost, Low: low, High: high} }
	tests := []struct {
		name      string
		p         Problem
		status    Status
		objective float64
	}{
		{"nothing", Problem{}, Optimal, 0},
		{"no columns, row holds", Problem{Rows: []Row{{Low: -1, High: 0}}}, Optimal, 0},
		{"no columns, row fails", Problem{Rows: []Row{ge(1)}}, Infeasible, 0},
		{"no rows", Problem{Columns: []Column{real(2, -3, 4), real(-1, 0, 5), whole(1, -2.5, 9)}}, Optimal, -6 - 5 - 2},
		{"no whole value", Problem{Columns: []Column{whole(1, 0.2, 0.8)}}, Infeasible, 0},
		{"two products, three shops", // max 3x+5y, x<=4, 2y<=12, 3x+2y<=18: 36 at (2, 6)
			Problem{[]Column{real(-3, 0, 100), real(-5, 0, 100)}, []Row{le(4, Term{0, 1}), le(12, Term{1, 2}), le(18, Term{0, 3}, Term{1, 2})}}, Optimal, -36},
		{"cycles under the largest-coefficient rule", // Beale (1955): -1/20
			Problem{[]Column{real(-0.75, 0, 1e4), real(150, 0, 1e4), real(-0.02, 0, 1e4), real(6, 0, 1e4)},
				[]Row{le(0, Term{0, 0.25}, Term{1, -60}, Term{2, -0.04}, Term{3, 9}), le(0, Term{0, 0.5}, Term{1, -90}, Term{2, -0.02}, Term{3, 3}), le(1, Term{2, 1})}}, Optimal, -0.05},
		{"knapsack", // 10 kg: values 60, 100, 120 at 5, 4, 6: take the last two
			Problem{[]Column{whole(-60, 0, 1), whole(-100, 0, 1), whole(-120, 0, 1)}, []Row{le(10, Term{0, 5}, Term{1, 4}, Term{2, 6})}}, Optimal, -220},
		{"parity", // 2x + 2y = 3 has halves only
			Problem{[]Column{whole(1, 0, 9), whole(1, 0, 9)}, []Row{eq(3, Term{0, 2}, Term{1, 2})}}, Infeasible, 0},
		{"coins", // 41 from 25, 10 and 4 with the fewest: 25+4*4 = 5 coins
			Problem{[]Column{whole(1, 0, 9), whole(1, 0, 9), whole(1, 0, 20)}, []Row{eq(41, Term{0, 25}, Term{1, 10}, Term{2, 4})}}, Optimal, 5},
		{"packs", // 700 g wanted, 150 in stock, packs of 200 at 3: three packs
			Problem{[]Column{real(0, 0, 1000), whole(3, 0, 9)}, []Row{le(150, Term{0, 1}, Term{1, -200}), ge(700, Term{0, 1})}}, Optimal, 9},
		{"fixed columns", Problem{[]Column{real(1, 2, 2), whole(-1, 3, 3), real(1, 0, 9)}, []Row{ge(7, Term{0, 1}, Term{1, 1}, Term{2, 1})}}, Optimal, 1},
		{"two limits of one row clash with a box", Problem{[]Column{real(1, 0, 1)}, []Row{{Low: 2, High: 3, Terms: []Term{{0, 1}}}}}, Infeasible, 0},
		{"shares that leave no room", // 75 + 10 + 5 + 5 + 5 = 100 %, exactly
			sharesOf(0.75, 0.10, 0.05, 0.05, 0.05), Optimal, 5000 * (0.75*1 + 0.10*2 + 0.05*3 + 0.05*4 + 0.05*5)},
		{"shares of more than a whole", sharesOf(0.75, 0.10, 0.05, 0.05, 0.05001), Infeasible, 0},
		{"zero coefficients", Problem{[]Column{real(1, 0, 1), whole(1, 0, 1)}, []Row{ge(0, Term{0, 0}, Term{1, 0}), ge(1, Term{1, 1}, Term{0, 0})}}, Optimal, 1},
		{"negative boxes", Problem{[]Column{whole(1, -7, -2), real(-1, -7, -2)}, []Row{eq(-4.5, Term{0, 1}, Term{1, -1})}}, Optimal, -4.5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			sol := solve(t, tt.p, Limits{})
			if sol.Status != tt.status {
				t.Fatalf("%v %v, want %v", sol.Status, sol.X, tt.status)
			}
			if tt.status == Optimal && !near(sol.Objective, tt.objective) {
				t.Fatalf("objective %v at %v, want %v", sol.Objective, sol.X, tt.objective)
			}
		})
	}
}

// sharesOf is 5 kg in parts that each need at least their share of the sum.
func sharesOf(least ...float64) Problem {
	var p Problem
	week := eq(5000)
	for i := range least {
		p.Columns = append(p.Columns, Column{Cost: float64(i + 1), High: 5000})
		week.Terms = append(week.Terms, Term{i, 1})
	}
	p.Rows = append(p.Rows, week)
	for i, s := range least {
		r := ge(0)
		for j := range least {
			c := -s
			if j == i {
				c++
			}
			r.Terms = append(r.Terms, Term{j, c})
		}
		p.Rows = append(p.Rows, r)
	}
	return p
}

// Shadow prices of the two-product program, from its dual 4u+12v+18w with
// u+3w >= 3, 2v+2w >= 5, which is least at (0, 1.5, 1): regression (ours).
func TestRootDuals(t *testing.T) {
	t.Parallel()
	p := Problem{
		[]Column{{Cost: -3, High: 100}, {Cost: -5, High: 100}, {Cost: 4, Low: 1, High: 9}},
		[]Row{le(4, Term{0, 1}), le(12, Term{1, 2}), le(18, Term{0, 3}, Term{1, 2})},
	}
	r := solve(t, p, Limits{}).Root
	if !r.Solved || !near(r.Objective, -32) {
		t.Fatalf("root %+v", r)
	}
	for i, want := range []float64{0, -1.5, -1} {
		if !near(r.Duals[i], want) {
			t.Errorf("dual %d is %v, want %v", i, r.Duals[i], want)
		}
	}
	for j, want := range []float64{0, 0, 4} {
		if !near(r.Reduced[j], want) {
			t.Errorf("reduced cost %d is %v, want %v", j, r.Reduced[j], want)
		}
	}
	if infeasible := solve(t, Problem{[]Column{{High: 1}}, []Row{ge(2, Term{0, 1})}}, Limits{}).Root; infeasible.Solved || infeasible.Duals != nil {
		t.Errorf("infeasible root %+v", infeasible)
	}
}

func TestInputErrors(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	col := []Column{{Name: "heart", High: 1}}
	tests := []struct {
		name string
		p    Problem
		l    Limits
		want string
	}{
		{"no upper bound", Problem{Columns: []Column{{Name: "heart", High: inf}}}, Limits{}, `column 0 "heart": bounds`},
		{"no lower bound", Problem{Columns: []Column{{Low: -inf}}}, Limits{}, "bounds"},
		{"bound not a number", Problem{Columns: []Column{{Low: nan}}}, Limits{}, "bounds"},
		{"box upside down", Problem{Columns: []Column{{Low: 1}}}, Limits{}, "low is above high"},
		{"cost not a number", Problem{Columns: []Column{{Cost: nan}}}, Limits{}, "cost"},
		{"cost too large", Problem{Columns: []Column{{Cost: 1e13}}}, Limits{}, "cost"},
		{"row upside down", Problem{col, []Row{{Name: "bone", Low: 1}}}, Limits{}, `row 0 "bone": low is above high`},
		{"row low +Inf", Problem{col, []Row{{Low: inf, High: inf}}}, Limits{}, "low is neither"},
		{"row high -Inf", Problem{col, []Row{{Low: -inf, High: -inf}}}, Limits{}, "high is neither"},
		{"row limit not a number", Problem{col, []Row{{Low: nan}}}, Limits{}, "low is neither"},
		{"row high not a number", Problem{col, []Row{{High: nan}}}, Limits{}, "high is neither"},
		{"unknown column", Problem{col, []Row{le(1, Term{1, 1})}}, Limits{}, "no column 1"},
		{"negative column", Problem{col, []Row{le(1, Term{-1, 1})}}, Limits{}, "no column -1"},
		{"coefficient not a number", Problem{col, []Row{le(1, Term{0, nan})}}, Limits{}, "coefficient"},
		{"column twice", Problem{col, []Row{le(1, Term{0, 1}, Term{0, 1})}}, Limits{}, "appears twice"},
		{"negative nodes", Problem{}, Limits{Nodes: -1}, "limits"},
		{"negative pivots", Problem{}, Limits{Pivots: -1}, "limits"},
		{"negative step", Problem{}, Limits{Step: -1}, "limits"},
		{"step not a number", Problem{}, Limits{Step: nan}, "limits"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Solve(context.Background(), tt.p, tt.l)
			var input *InputError
			if !errors.As(err, &input) || !strings.Contains(err.Error(), tt.want) {
				t.Fatalf("error %v, want an InputError with %q", err, tt.want)
			}
		})
	}
	if _, err := Solve(context.Background(), Problem{Columns: make([]Column, 3000), Rows: make([]Row, 3000)}, Limits{}); !errors.Is(err, ErrTooLarge) {
		t.Errorf("3000 by 3000: %v", err)
	}
}

// A row that one column alone can never break was once lifted down to rounding
// noise, and then cut off the last of these four points: regression (ours).
func TestNearlySlackRow(t *testing.T) {
	t.Parallel()
	p := Problem{
		[]Column{{Low: 1, High: 2, Integer: true}, {Low: -3, High: -2, Integer: true}},
		[]Row{le(-4, Term{0, -2}, Term{1, 1})},
	}
	seen := map[[2]float64]bool{}
	for range 4 {
		sol := solve(t, p, Limits{Reject: func(x []float64) bool { return seen[[2]float64(x)] }})
		if sol.Status != Optimal {
			t.Fatalf("%v after %d of 4 points", sol.Status, len(seen))
		}
		seen[[2]float64(sol.X)] = true
	}
	if sol := solve(t, p, Limits{Reject: func(x []float64) bool { return seen[[2]float64(x)] }}); sol.Status != Infeasible || len(seen) != 4 {
		t.Errorf("%v after points %v", sol.Status, seen)
	}
}

// A part of the search that is all fixed and whose point misses a row must not
// pass for searched.
func TestUnsoundPointLeavesPartUndecided(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		offered   verdict
		undecided bool
		floor     float64
	}{{unsound, true, 7}, {dearer, false, 7}, {accepted, false, 7}, {refused, false, inf}} {
		f := &search{md: newModel(Problem{Columns: []Column{{Low: 2, High: 2, Integer: true}}}), dropped: inf, open: open{}}
		f.low, f.high = f.md.boxes()
		f.x = []float64{2}
		if next := f.split(&node{col: -1, bound: 7}, tt.offered); next != nil || f.undecided != tt.undecided || f.floor() != tt.floor {
			t.Errorf("%v: next %v, undecided %v, floor %v", tt.offered, next, f.undecided, f.floor())
		}
	}
}

// Where rounding the whole columns of a point spoils it, the others are solved
// for afresh: here the used-or-not of a large cap is a hair above 0.
func TestPolish(t *testing.T) {
	t.Parallel()
	p := Problem{
		[]Column{{High: 1e6}, {High: 1, Integer: true}, {Cost: 2, High: 9}},
		[]Row{le(0, Term{0, 1}, Term{1, -1e6}), ge(5, Term{0, 1}, Term{2, 1}), ge(1, Term{1, 1}, Term{2, 1})},
	}
	f := &search{ctx: context.Background(), p: p, md: newModel(p), cost: inf, cut: inf}
	f.s = newTableau(f.md.cols, f.md.rows, f.md.low, f.md.high, 1000)
	if got := f.offer([]float64{0.05, 5e-8, 4.95}); got != accepted || !near(f.cost, 10) || f.best[0] > 1e-7 {
		t.Errorf("verdict %v, cost %v at %v", got, f.cost, f.best)
	}
	if got := f.offer([]float64{0, 0.4, 0}); got != dearer {
		t.Errorf("a second time: verdict %v", got)
	}
	p.Rows[1].Low = 10
	f.cost, f.cut, f.best = inf, inf, nil
	if got := f.offer([]float64{0.05, 5e-8, 9}); got != unsound {
		t.Errorf("without a way to satisfy the rows: verdict %v at %v", got, f.best)
	}
}

// marketSplit is a kind of program that branch and bound is known to be slow on
// (Cornuejols and Dawande, 1998).
func marketSplit(rows, cols int) Problem {
	r := rand.New(rand.NewPCG(1, 1))
	var p Problem
	for range cols {
		p.Columns = append(p.Columns, Column{High: 1, Integer: true})
	}
	for range rows {
		row, sum := Row{}, 0
		for j := range cols {
			a := r.IntN(100)
			sum += a
			row.Terms = append(row.Terms, Term{j, float64(a)})
		}
		row.Low, row.High = float64(sum/2), float64(sum/2)
		p.Rows = append(p.Rows, row)
	}
	return p
}

func TestCancel(t *testing.T) {
	t.Parallel()
	p := marketSplit(5, 40)
	cause := errors.New("the keeper went home")
	ctx, cancel := context.WithCancelCause(context.Background())
	cancel(cause)
	sol, err := Solve(ctx, p, Limits{})
	if !errors.Is(err, cause) || sol.Status != Unknown {
		t.Errorf("cancelled before: %v, %v", sol.Status, err)
	}
	ctx2, cancel2 := context.WithTimeout(context.Background(), 30*time.Millisecond)
	defer cancel2()
	start := time.Now()
	sol, err = Solve(ctx2, p, Limits{Nodes: math.MaxInt, Pivots: math.MaxInt})
	// Generous, for a machine that is busy with other things.
	if took := time.Since(start); took > 2*time.Second {
		t.Errorf("returned %v after the start, cancelled at 30ms", took)
	}
	if !errors.Is(err, context.DeadlineExceeded) || sol.Nodes == 0 {
		t.Errorf("cancelled in the middle: %v, %d nodes", err, sol.Nodes)
	}
}

func TestLimits(t *testing.T) {
	t.Parallel()
	if sol := solve(t, marketSplit(5, 40), Limits{Nodes: 50}); sol.Status != Unknown || sol.Nodes > 50 {
		t.Errorf("node limit: %v after %d nodes", sol.Status, sol.Nodes)
	}
	if sol := solve(t, marketSplit(5, 40), Limits{Pivots: 70}); sol.Status != Unknown || sol.Pivots > 70 {
		t.Errorf("pivot limit: %v after %d pivots", sol.Status, sol.Pivots)
	}
	// However early a search is cut off, what it reports holds.
	reached := map[Status]bool{}
	for n := range 12 {
		p := feedMix(rand.New(rand.NewPCG(5, uint64(n))), 14)
		full := solve(t, p, Limits{})
		for nodes := 1; nodes < 200; nodes += 1 + nodes/3 {
			sol := solve(t, p, Limits{Nodes: nodes})
			reached[sol.Status] = true
			if sol.Bound > full.Objective+1e-6 || sol.Objective < full.Objective-1e-6 {
				t.Errorf("instance %d, %d nodes: %v to %v does not contain %v", n, nodes, sol.Bound, sol.Objective, full.Objective)
			}
		}
	}
	if !reached[Optimal] || !reached[Feasible] {
		t.Errorf("statuses seen: %v", reached)
	}
}

func TestStep(t *testing.T) {
	t.Parallel()
	instances := []int{277, 343, 485} // once had a bound above the optimum
	for n := range 30 {
		instances = append(instances, n)
	}
	for _, n := range instances {
		p := feedMix(rand.New(rand.NewPCG(6, uint64(n))), 8+n%14)
		for j := range p.Columns {
			if p.Columns[j].Name[0] == 'x' {
				p.Columns[j].Cost = 0.01 // no whole objective any more
			}
		}
		exact := solve(t, p, Limits{})
		for _, step := range []float64{1, 50, 1000} {
			coarse := solve(t, p, Limits{Step: step})
			if exact.Status != coarse.Status {
				t.Fatalf("instance %d: %v, with a step %v", n, exact.Status, coarse.Status)
			}
			if exact.Status == Optimal && (coarse.Objective > exact.Objective+step || coarse.Objective < exact.Objective-1e-6) {
				t.Errorf("instance %d: %v, with a step of %v %v", n, exact.Objective, step, coarse.Objective)
			}
			if coarse.Bound > exact.Objective+1e-6 {
				t.Errorf("instance %d: bound %v above %v with a step of %v", n, coarse.Bound, exact.Objective, step)
			}
		}
	}
}

// Where only whole columns cost, in whole units, the bound meets the optimum,
// also next to a fixed column that costs a broken sum.
func TestGranularity(t *testing.T) {
	t.Parallel()
	for n := range 20 {
		p := feedMix(rand.New(rand.NewPCG(8, uint64(n))), 12)
		p.Columns = append(p.Columns, Column{Cost: 1.25, Low: 3, High: 3})
		if sol := solve(t, p, Limits{}); sol.Status == Optimal && sol.Bound != sol.Objective {
			t.Errorf("instance %d: %v to %v", n, sol.Bound, sol.Objective)
		}
	}
	tests := []struct {
		costs  []float64
		whole  bool
		step   float64
		offset float64
	}{
		{[]float64{6, -9, 0}, true, 3, 1.5},
		{[]float64{6, 0.5}, true, 0, 0},
		{[]float64{6, 9}, false, 0, 0},
		{[]float64{0}, false, 0, 1.5},
	}
	for _, tt := range tests {
		md := &model{cols: []Column{{Cost: 0.75, Low: 2, High: 2}}}
		for _, c := range tt.costs {
			md.cols = append(md.cols, Column{Cost: c, High: 5, Integer: tt.whole})
		}
		if step, offset := md.granularity(); step != tt.step || offset != tt.offset {
			t.Errorf("%v: step %v from %v, want %v from %v", tt.costs, step, offset, tt.step, tt.offset)
		}
	}
}

func TestDeterministicAndConcurrent(t *testing.T) {
	t.Parallel()
	p := feedMix(rand.New(rand.NewPCG(7, 7)), 20)
	want := solve(t, p, Limits{})
	before := feedMix(rand.New(rand.NewPCG(7, 7)), 20)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			got, err := Solve(context.Background(), p, Limits{})
			if err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("another run differs: %+v, %v", got, err)
			}
		})
	}
	wg.Wait()
	if !reflect.DeepEqual(p, before) {
		t.Error("the problem was changed")
	}
}

func TestStatusString(t *testing.T) {
	t.Parallel()
	for s, want := range map[Status]string{Unknown: "unknown", Optimal: "optimal", Feasible: "feasible", Infeasible: "infeasible", 9: "Status(9)"} {
		if s.String() != want {
			t.Errorf("Status(%d) is %q, want %q", int(s), s, want)
		}
	}
}
