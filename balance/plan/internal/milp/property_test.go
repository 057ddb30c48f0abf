package milp

import (
	"context"
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Small whole programs with whole numbers, which can be solved by trying every
// point, in integers.
func smallWhole() *rapid.Generator[Problem] {
	return rapid.Custom(func(t *rapid.T) Problem {
		var p Problem
		n := rapid.IntRange(1, 4).Draw(t, "columns")
		for range n {
			low := rapid.IntRange(-3, 2).Draw(t, "low")
			p.Columns = append(p.Columns, Column{
				Cost: float64(rapid.IntRange(-9, 9).Draw(t, "cost")), Integer: true,
				Low: float64(low), High: float64(low + rapid.IntRange(0, 4).Draw(t, "width")),
			})
		}
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			r := Row{Low: -inf, High: inf}
			for j := range n {
				if a := rapid.IntRange(-6, 6).Draw(t, "coefficient"); a != 0 {
					r.Terms = append(r.Terms, Term{j, float64(a)})
				}
			}
			at := float64(rapid.IntRange(-12, 12).Draw(t, "limit"))
			switch rapid.IntRange(0, 3).Draw(t, "sense") {
			case 0:
				r.Low = at
			case 1:
				r.High = at
			case 2:
				r.Low, r.High = at, at+float64(rapid.IntRange(0, 5).Draw(t, "range"))
			case 3:
				r.Low, r.High = at, at
			}
			p.Rows = append(p.Rows, r)
		}
		return p
	})
}

// everyPoint calls f with each whole point of the boxes that meets the rows
// (without those that skip names), in int64.
func everyPoint(p Problem, skip func(row int) bool, f func(x []int64, cost int64)) {
	x := make([]int64, len(p.Columns))
	var walk func(j int)
	walk = func(j int) {
		if j < len(x) {
			for v := int64(p.Columns[j].Low); v <= int64(p.Columns[j].High); v++ {
				x[j] = v
				walk(j + 1)
			}
			return
		}
		for i, r := range p.Rows {
			if skip != nil && skip(i) {
				continue
			}
			sum := int64(0)
			for _, e := range r.Terms {
				sum += int64(e.Coef) * x[e.Col]
			}
			if float64(sum) < r.Low || float64(sum) > r.High {
				return
			}
		}
		cost := int64(0)
		for j, c := range p.Columns {
			cost += int64(c.Cost) * x[j]
		}
		f(x, cost)
	}
	walk(0)
}

// Oracle: trying every point.
func TestAgainstEveryPoint(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := smallWhole().Draw(t, "problem")
		var costs []int64
		everyPoint(p, nil, func(_ []int64, cost int64) { costs = append(costs, cost) })
		slices.Sort(costs)
		sol, err := Solve(context.Background(), p, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		consistent(t, p, sol)
		if len(costs) == 0 {
			if sol.Status != Infeasible {
				t.Fatalf("%v at %v, no point exists", sol.Status, sol.X)
			}
			return
		}
		if sol.Status != Optimal || sol.Objective != float64(costs[0]) {
			t.Fatalf("%v %v at %v, want %d", sol.Status, sol.Objective, sol.X, costs[0])
		}
		// The next best, and the next after that, until none is left.
		var seen [][]float64
		for k := 0; k <= len(costs) && k < 12; k++ {
			sol, err := Solve(context.Background(), p, Limits{Reject: func(x []float64) bool {
				return slices.ContainsFunc(seen, func(s []float64) bool { return slices.Equal(s, x) })
			}})
			if err != nil {
				t.Fatal(err)
			}
			consistent(t, p, sol)
			if k == len(costs) {
				if sol.Status != Infeasible {
					t.Fatalf("after all %d points: %v %v", k, sol.Status, sol.X)
				}
				break
			}
			if sol.Status != Optimal || sol.Objective != float64(costs[k]) {
				t.Fatalf("next best %d: %v %v at %v, want %d", k, sol.Status, sol.Objective, sol.X, costs[k])
			}
			seen = append(seen, sol.X)
		}
	})
}

// mix draws one of the seeded programs, of a size that rapid can shrink.
func mix(t *rapid.T) Problem {
	r := rand.New(rand.NewPCG(9, rapid.Uint64Range(0, 1<<20).Draw(t, "seed")))
	if rapid.Bool().Draw(t, "general") {
		return general(r, rapid.IntRange(2, 14).Draw(t, "columns"))
	}
	return feedMix(r, rapid.IntRange(2, 12).Draw(t, "foods"))
}

func TestNotAboveAnyPoint(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		// Rows are drawn around a point, which is therefore feasible.
		n := rapid.IntRange(1, 12).Draw(t, "columns")
		var p Problem
		point := make([]float64, n)
		for j := range n {
			low, width := rapid.IntRange(-20, 20).Draw(t, "low"), rapid.IntRange(0, 40).Draw(t, "width")
			point[j] = float64(low + rapid.IntRange(0, width).Draw(t, "at"))
			p.Columns = append(p.Columns, Column{
				Cost: float64(rapid.IntRange(-50, 50).Draw(t, "cost")) / 4,
				Low:  float64(low), High: float64(low + width), Integer: rapid.Bool().Draw(t, "whole"),
			})
		}
		for range rapid.IntRange(0, 10).Draw(t, "rows") {
			r, sum := Row{}, 0.0
			for j := range n {
				a := float64(rapid.IntRange(-8, 8).Draw(t, "coefficient")) / 4
				r.Terms = append(r.Terms, Term{j, a})
				sum += a * point[j]
			}
			r.Low = sum - float64(rapid.IntRange(0, 9).Draw(t, "below"))
			r.High = sum + float64(rapid.IntRange(0, 9).Draw(t, "above"))
			p.Rows = append(p.Rows, r)
		}
		sol, err := Solve(context.Background(), p, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		consistent(t, p, sol)
		if cost := p.cost(point); sol.Status != Optimal || sol.Objective > cost+1e-6*max(1, math.Abs(cost)) {
			t.Fatalf("%v %v, but %v costs %v", sol.Status, sol.Objective, point, cost)
		}
	})
}

func TestOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := mix(t)
		q := Problem{Columns: make([]Column, len(p.Columns)), Rows: make([]Row, len(p.Rows))}
		r := rand.New(rand.NewPCG(3, rapid.Uint64Range(0, 1<<20).Draw(t, "order")))
		cols, rows := r.Perm(len(p.Columns)), r.Perm(len(p.Rows))
		for j, to := range cols {
			q.Columns[to] = p.Columns[j]
		}
		for i, to := range rows {
			row := p.Rows[i]
			row.Terms = slices.Clone(row.Terms)
			for k := range row.Terms {
				row.Terms[k].Col = cols[row.Terms[k].Col]
			}
			slices.Reverse(row.Terms)
			q.Rows[to] = row
		}
		same(t, p, q, 1)
	})
}

func TestCostsScale(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := mix(t)
		factor := rapid.SampledFrom([]float64{0.001, 0.5, 3, 1000}).Draw(t, "factor")
		q := Problem{Columns: slices.Clone(p.Columns), Rows: p.Rows}
		for j := range q.Columns {
			q.Columns[j].Cost *= factor
		}
		same(t, p, q, factor)
	})
}

func same(t *rapid.T, p, q Problem, factor float64) {
	a, err := Solve(context.Background(), p, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Solve(context.Background(), q, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, q, b)
	if a.Status != b.Status || a.Status == Optimal && math.Abs(a.Objective*factor-b.Objective) > 1e-6*max(1, math.Abs(b.Objective)) {
		t.Fatalf("%v %v times %v became %v %v", a.Status, a.Objective, factor, b.Status, b.Objective)
	}
}

// Numbers of any size: nothing may panic or hang, and what is claimed must hold.
func TestAnyNumbers(t *testing.T) {
	t.Parallel()
	number := rapid.Custom(func(t *rapid.T) float64 {
		v := rapid.Float64Range(-10, 10).Draw(t, "mantissa") * math.Pow(10, float64(rapid.IntRange(-14, 11).Draw(t, "exponent")))
		if rapid.IntRange(0, 3).Draw(t, "round") == 0 {
			v = math.Round(v)
		}
		return v
	})
	rapid.Check(t, func(t *rapid.T) {
		var p Problem
		for range rapid.IntRange(0, 8).Draw(t, "columns") {
			a, b := number.Draw(t, "low"), number.Draw(t, "high")
			p.Columns = append(p.Columns, Column{Cost: number.Draw(t, "cost"), Low: min(a, b), High: max(a, b), Integer: rapid.Bool().Draw(t, "whole")})
		}
		for range rapid.IntRange(0, 8).Draw(t, "rows") {
			a, b := number.Draw(t, "low"), number.Draw(t, "high")
			r := Row{Low: min(a, b), High: max(a, b)}
			for j := range p.Columns {
				if rapid.Bool().Draw(t, "used") {
					r.Terms = append(r.Terms, Term{j, number.Draw(t, "coefficient")})
				}
			}
			p.Rows = append(p.Rows, r)
		}
		sol, err := Solve(context.Background(), p, Limits{Nodes: 300, Pivots: 5000})
		if err != nil {
			t.Fatal(err)
		}
		consistent(t, p, sol)
	})
}

// The relaxation, judged in rationals: X must meet every row and box but for
// what floats lose, and the multipliers must prove that no point is cheaper.
func TestRelaxationExactly(t *testing.T) {
	t.Parallel()
	solved := 0
	worst := 0.0
	for n := range 150 {
		p := instance(n)
		root := solve(t, p, Limits{Nodes: 1}).Root
		if !root.Solved {
			continue
		}
		solved++
		rat := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
		mul := func(a, b float64) *big.Rat { return new(big.Rat).Mul(rat(a), rat(b)) }
		cost := new(big.Rat)
		low, high := make([]float64, len(p.Columns)), make([]float64, len(p.Columns))
		reduced := make([]*big.Rat, len(p.Columns))
		for j, c := range p.Columns {
			low[j], high[j] = c.Low, c.High
			if c.Integer { // shrinking a box to whole ends is part of the relaxation
				low[j], high[j] = math.Ceil(low[j]), math.Floor(high[j])
			}
			if root.X[j] < low[j] || root.X[j] > high[j] {
				t.Fatalf("instance %d: column %d is %v, outside %v to %v", n, j, root.X[j], low[j], high[j])
			}
			cost.Add(cost, mul(c.Cost, root.X[j]))
			reduced[j] = rat(c.Cost)
		}
		// For every point of the rows, cost = sum of dual * row + reduced * column.
		bound := new(big.Rat)
		for i, r := range p.Rows {
			sum, size := new(big.Rat), 1.0
			for _, e := range r.Terms {
				sum.Add(sum, mul(e.Coef, root.X[e.Col]))
				size = max(size, math.Abs(e.Coef*root.X[e.Col]))
				reduced[e.Col].Sub(reduced[e.Col], mul(root.Duals[i], e.Coef))
			}
			got, _ := sum.Float64()
			if tol := 1e-8 * size; got < r.Low-tol || got > r.High+tol {
				t.Errorf("instance %d: row %d is %v, want %v to %v", n, i, got, r.Low, r.High)
			}
			switch y := root.Duals[i]; {
			case y > 0 && math.IsInf(r.Low, 0), y < 0 && math.IsInf(r.High, 0):
				t.Errorf("instance %d: row %d has dual %v but no limit there", n, i, y)
			case y > 0:
				bound.Add(bound, mul(y, r.Low))
			case y < 0:
				bound.Add(bound, mul(y, r.High))
			}
		}
		for j, d := range reduced {
			at := low[j]
			if d.Sign() < 0 {
				at = high[j]
			}
			bound.Add(bound, new(big.Rat).Mul(d, rat(at)))
		}
		gap, _ := new(big.Rat).Sub(cost, bound).Float64()
		c, _ := cost.Float64()
		gap /= max(1, math.Abs(c))
		worst = max(worst, math.Abs(gap))
		if gap > 1e-8 {
			t.Errorf("instance %d: cost %v, multipliers prove no more than %v below it", n, c, gap)
		}
	}
	if solved < 100 {
		t.Errorf("only %d relaxations were solved", solved)
	}
	t.Logf("%d relaxations, largest relative gap %g", solved, worst)
}

// The tableau that pivoting has updated is the one that the basis defines.
func TestRebuildAgrees(t *testing.T) {
	t.Parallel()
	for n := range 20 {
		md := newModel(instance(n))
		s := newTableau(md.cols, md.rows, md.low, md.high, 1e6)
		s.place()
		s.dual(context.Background(), inf, 40)
		basic, values := make(map[int]float64), make(map[int]float64)
		for i, v := range s.basic {
			basic[v] = s.xb[i]
		}
		for k, v := range s.nonb {
			values[v] = s.d[k]
		}
		s.rebuild()
		got := map[int]float64{}
		for i, v := range s.basic {
			got[v] = s.xb[i]
			if math.Abs(basic[v]-s.xb[i]) > 1e-6*max(1, math.Abs(s.xb[i])) {
				t.Errorf("instance %d: variable %d was %v, is %v", n, v, basic[v], s.xb[i])
			}
		}
		for k, v := range s.nonb {
			if math.Abs(values[v]-s.d[k]) > 1e-7 {
				t.Errorf("instance %d: reduced cost %d was %v, is %v", n, v, values[v], s.d[k])
			}
		}
		if len(got) != len(basic) || !reflect.DeepEqual(keys(got), keys(basic)) {
			t.Errorf("instance %d: another basis", n)
		}
	}
}

func keys(m map[int]float64) []int {
	var k []int
	for v := range m {
		k = append(k, v)
	}
	slices.Sort(k)
	return k
}

// Presolve removes no whole point, and the rows it has lifted still keep out what
// the given ones keep out. Oracle: trying every point.
func TestPresolveKeepsWholePoints(t *testing.T) {
	t.Parallel()
	lifted := 0
	for n := range 3000 {
		p := smallSeeded(n)
		f := &search{ctx: context.Background(), p: p, l: Limits{Nodes: 1, Pivots: 1e5}, md: newModel(p), cost: inf, cut: inf}
		f.run()
		everyPoint(p, nil, func(x []int64, _ int64) {
			for j, c := range f.md.cols {
				if float64(x[j]) < c.Low || float64(x[j]) > c.High {
					t.Errorf("program %d: point %v is outside the narrowed box of %d", n, x, j)
				}
			}
		})
		everyPoint(Problem{Columns: f.md.cols}, nil, func(x []int64, _ int64) {
			for i := range f.md.rows {
				is, was := 0.0, 0.0
				for k, e := range f.md.rows[i] {
					is += e.val * float64(x[e.col])
					if e.val != p.Rows[i].Terms[k].Coef && len(f.md.rows[i]) == len(p.Rows[i].Terms) {
						lifted++
					}
				}
				for _, e := range p.Rows[i].Terms {
					was += e.Coef * float64(x[e.Col])
				}
				met := was >= p.Rows[i].Low && was <= p.Rows[i].High
				if after := is >= f.md.low[i]-1e-6 && is <= f.md.high[i]+1e-6; after != met {
					t.Errorf("program %d: row %d met %v, lifted %v, at %v", n, i, met, after, x)
				}
			}
		})
	}
	if lifted < 100 {
		t.Errorf("only %d coefficients were seen lifted", lifted)
	}
}

func smallSeeded(n int) Problem {
	r := rand.New(rand.NewPCG(11, uint64(n)))
	var p Problem
	for range 3 + r.IntN(3) {
		low := float64(r.IntN(3) - 1)
		p.Columns = append(p.Columns, Column{Cost: float64(r.IntN(15) - 4), Low: low, High: low + float64(1+r.IntN(3)), Integer: true})
	}
	for range 1 + r.IntN(4) {
		row := Row{Low: -inf, High: inf}
		for j := range p.Columns {
			row.Terms = append(row.Terms, Term{j, float64(r.IntN(15) - 5)})
		}
		if at := float64(r.IntN(20) - 4); r.IntN(2) == 0 {
			row.Low = at
		} else {
			row.High = at
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}
