package milp

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// feedMix returns a week's shopping as a textbook program: for each food grams
// x, whole packs z to buy, used-or-not y; for each species shown-or-not s. It
// asks for x <= stock + pack*z, x <= cap*y, x >= least*y, the week's mass, the
// shares of five parts, a cap per species, at least some species and one red
// meat. About a tenth of the programs ask for too much and are infeasible.
func feedMix(r *rand.Rand, foods int) Problem {
	type food struct {
		share                          [5]float64
		species                        int
		stock, pack, price, cap, least float64
	}
	species := max(2, min(foods, 3+foods/8))
	kinds := [][5]float64{
		{1, 0, 0, 0, 0}, {0.72, 0.28, 0, 0, 0}, {0.6, 0.4, 0, 0, 0}, {0, 0, 1, 0, 0},
		{0, 0, 0, 1, 0}, {0, 0, 0, 0, 1}, {0.75, 0.1, 0.02, 0.05, 0.08},
	}
	week := float64(700 + 100*r.IntN(60))
	list := make([]food, foods)
	for i := range list {
		f := &list[i]
		f.share = kinds[[]int{6, 1, 2, 0, 3, 4, 5, r.IntN(len(kinds))}[min(i, 7)]]
		if f.share[1] > 0 {
			d := float64(r.IntN(80)-40) / 1000
			f.share[0] -= d
			f.share[1] += d
		}
		f.species = r.IntN(species)
		if r.IntN(3) == 0 {
			f.stock = math.Round(2 * week / float64(foods) * r.Float64())
		}
		f.pack = []float64{100, 200, 227, 250, 400, 454, 500, 1000}[r.IntN(8)]
		f.price = float64(60 + r.IntN(900))
		f.cap = math.Round(week * min(1, 2/float64(foods)+0.1+0.6*r.Float64()))
		f.least = float64(5 + r.IntN(40))
	}
	var p Problem
	col := func(name string, cost, low, high float64, whole bool) int {
		p.Columns = append(p.Columns, Column{name, cost, low, high, whole})
		return len(p.Columns) - 1
	}
	row := func(name string, low, high float64, terms ...Term) {
		p.Rows = append(p.Rows, Row{name, terms, low, high})
	}
	x, z, y := make([]int, foods), make([]int, foods), make([]int, foods)
	s := make([]int, species)
	for i, f := range list {
		x[i] = col(fmt.Sprint("x", i), 0, 0, f.cap, false)
		z[i] = col(fmt.Sprint("z", i), f.price, 0, math.Ceil(f.cap/f.pack), true)
		y[i] = col(fmt.Sprint("y", i), 0, 0, 1, true)
	}
	for k := range s {
		s[k] = col(fmt.Sprint("s", k), 0, 0, 1, true)
	}
	var mass, red []Term
	shown := make([][]Term, species)
	of := make([][]Term, species)
	for i, f := range list {
		row(fmt.Sprint("stock", i), -inf, f.stock, Term{x[i], 1}, Term{z[i], -f.pack})
		row(fmt.Sprint("cap", i), -inf, 0, Term{x[i], 1}, Term{y[i], -f.cap})
		row(fmt.Sprint("least", i), 0, inf, Term{x[i], 1}, Term{y[i], -f.least})
		mass = append(mass, Term{x[i], 1})
		shown[f.species] = append(shown[f.species], Term{y[i], 1})
		if f.species%2 == 1 {
			red = append(red, Term{y[i], 1})
		}
	}
	row("week", week*0.97, week*1.03, mass...)
	low := [5]float64{0.65, 0.08, 0.05, 0.03, 0.03}
	high := [5]float64{0.78, 0.15, 0.15, 0.07, 0.07}
	for part := range 5 {
		if r.IntN(40) == 0 {
			low[part], high[part] = high[part], high[part]+0.02
		}
		var lo, hi []Term
		for i, f := range list {
			lo = append(lo, Term{x[i], f.share[part] - low[part]})
			hi = append(hi, Term{x[i], f.share[part] - high[part]})
		}
		row(fmt.Sprint("low", part), 0, inf, lo...)
		row(fmt.Sprint("high", part), -inf, 0, hi...)
	}
	for k := range s {
		most := min(1, 1/float64(species)+0.3+0.5*r.Float64())
		var cap []Term
		for i, f := range list {
			c := -most
			if f.species == k {
				c++
			}
			cap = append(cap, Term{x[i], c})
		}
		of[k] = cap
		row(fmt.Sprint("species", k), -inf, 0, cap...)
		row(fmt.Sprint("shown", k), 0, inf, append(shown[k], Term{s[k], -1})...)
	}
	var kinds3 []Term
	for k := range s {
		kinds3 = append(kinds3, Term{s[k], 1})
	}
	row("variety", float64(min(3, species)), inf, kinds3...)
	if len(red) > 0 {
		row("red", 1, inf, red...)
	}
	return p
}

// general returns a program of no particular meaning: mixed signs, equations,
// general whole columns, ranges, negative costs, fixed columns.
func general(r *rand.Rand, cols int) Problem {
	var p Problem
	point := make([]float64, cols)
	for j := range cols {
		low := float64(r.IntN(11) - 8)
		high := low + float64(r.IntN(12))
		c := Column{fmt.Sprint("c", j), float64(r.IntN(41) - 15), low, high, r.IntN(3) > 0}
		if !c.Integer && r.IntN(2) == 0 {
			c.Cost += r.Float64()
		}
		point[j] = low + float64(r.IntN(int(high-low)+1))
		p.Columns = append(p.Columns, c)
	}
	for i := range 1 + r.IntN(cols) {
		var terms []Term
		sum := 0.0
		for j := range cols {
			if r.IntN(cols) < 5 {
				a := float64(r.IntN(19) - 9)
				if !p.Columns[j].Integer {
					a += float64(r.IntN(100)) / 100
				}
				terms = append(terms, Term{j, a})
				sum += a * point[j]
			}
		}
		row := Row{fmt.Sprint("r", i), terms, math.Inf(-1), math.Inf(1)}
		off := float64(r.IntN(8)) - 0.3
		switch r.IntN(8) {
		case 0, 1, 2:
			row.High = sum + off
		case 3, 4, 5:
			row.Low = sum - off
		case 6:
			row.Low, row.High = sum-1-off, sum+1+off
		case 7:
			row.Low, row.High = sum, sum
		}
		if row.Low <= row.High {
			p.Rows = append(p.Rows, row)
		}
	}
	return p
}

// instance returns the n-th program of the seeded set.
func instance(n int) Problem {
	r := rand.New(rand.NewPCG(20260401, uint64(n)))
	if n%4 == 3 {
		return general(r, 5+r.IntN(26))
	}
	foods := 2 + r.IntN(37) // up to about 120 columns
	if n%4 == 2 {
		foods = 2 + r.IntN(12)
	}
	p := feedMix(r, foods)
	if n%16 == 5 { // the relaxation alone
		for j := range p.Columns {
			p.Columns[j].Integer = false
		}
	}
	return p
}

// lpFile writes p in the CPLEX LP format, which glpsol reads.
func lpFile(p Problem) []byte {
	var b bytes.Buffer
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	sum := func(terms []Term) {
		for _, t := range terms {
			sign := "+"
			if t.Coef < 0 {
				sign = "-"
			}
			fmt.Fprintf(&b, " %s %s v%d\n", sign, num(math.Abs(t.Coef)), t.Col)
		}
	}
	b.WriteString("Minimize\n obj:\n")
	var cost []Term
	for j, c := range p.Columns {
		cost = append(cost, Term{j, c.Cost})
	}
	sum(cost)
	b.WriteString("Subject To\n")
	for i, r := range p.Rows {
		if len(r.Terms) == 0 { // the format has no empty rows
			r.Terms = []Term{{0, 0}}
		}
		if r.Low == r.High {
			fmt.Fprintf(&b, " e%d:\n", i)
			sum(r.Terms)
			fmt.Fprintf(&b, " = %s\n", num(r.Low))
			continue
		}
		if !math.IsInf(r.Low, 0) {
			fmt.Fprintf(&b, " l%d:\n", i)
			sum(r.Terms)
			fmt.Fprintf(&b, " >= %s\n", num(r.Low))
		}
		if !math.IsInf(r.High, 0) {
			fmt.Fprintf(&b, " h%d:\n", i)
			sum(r.Terms)
			fmt.Fprintf(&b, " <= %s\n", num(r.High))
		}
	}
	b.WriteString("Bounds\n")
	for j, c := range p.Columns {
		fmt.Fprintf(&b, " %s <= v%d <= %s\n", num(c.Low), j, num(c.High))
	}
	b.WriteString("Generals\n")
	for j, c := range p.Columns {
		if c.Integer {
			fmt.Fprintf(&b, " v%d\n", j)
		}
	}
	b.WriteString("End\n")
	return b.Bytes()
}

// glpsol solves p with the program of that name. It returns ok false if it
// gave no answer within its time.
func glpsol(t *testing.T, program string, p Problem) (status Status, objective float64, took time.Duration, ok bool) {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(in, lpFile(p), 0o600); err != nil {
		t.Fatal(err)
	}
	whole := false
	for _, c := range p.Columns {
		whole = whole || c.Integer
	}
	start := time.Now()
	said, err := exec.CommandContext(t.Context(), program, "--lp", in, "--cuts", "--tmlim", "20", "--write", out).CombinedOutput()
	took = time.Since(start)
	if err != nil {
		t.Fatalf("glpsol: %v\n%s", err, said)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(data)) {
		f := strings.Fields(line)
		if len(f) < 6 || f[0] != "s" {
			continue
		}
		objective, err = strconv.ParseFloat(f[len(f)-1], 64)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case f[1] == "mip" && f[4] == "o", f[1] == "bas" && f[4] == "f" && f[5] == "f":
			return Optimal, objective, took, true
		case f[1] == "mip" && f[4] == "n", f[1] == "bas" && f[4] == "n":
			return Infeasible, 0, took, true
		}
	}
	for _, s := range []string{"NO PRIMAL FEASIBLE", "NO FEASIBLE", "NO INTEGER FEASIBLE"} {
		if strings.Contains(string(said), s) {
			return Infeasible, 0, took, true
		}
	}
	return Unknown, 0, took, false
}

// Oracle: GLPK's glpsol (Makhorin), an independent solver.
func TestAgainstGlpsol(t *testing.T) {
	program, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol is not on PATH (package glpk-utils); the comparison with an independent solver did not run")
	}
	count := 60
	if s := os.Getenv("FITCHET_GLPSOL_N"); s != "" {
		if count, err = strconv.Atoi(s); err != nil || count < 1 {
			t.Fatalf("FITCHET_GLPSOL_N is %q, want a positive number", s)
		}
	}
	var ours, theirs time.Duration
	seen := map[Status]int{}
	gave := 0
	for n := range count {
		p := instance(n)
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		start := time.Now()
		sol, err := Solve(ctx, p, Limits{})
		took := time.Since(start)
		cancel()
		if err != nil {
			t.Errorf("instance %d: %v", n, err)
			continue
		}
		status, objective, slower, ok := glpsol(t, program, p)
		if testing.Verbose() {
			t.Logf("%d: %d cols %d rows: %v %v nodes %d pivots %d %v, glpsol %v %v %v", n, len(p.Columns), len(p.Rows), sol.Status, sol.Objective, sol.Nodes, sol.Pivots, took, status, objective, slower)
		}
		if !ok {
			gave++
			continue
		}
		seen[status]++
		ours += took
		theirs += slower
		if sol.Status != status {
			t.Errorf("instance %d: %v, glpsol says %v", n, sol.Status, status)
			continue
		}
		if status == Optimal && math.Abs(sol.Objective-objective) > 1e-6*max(1, math.Abs(objective)) {
			t.Errorf("instance %d: objective %v, glpsol says %v", n, sol.Objective, objective)
		}
	}
	t.Logf("%d instances: %d optimal, %d infeasible alike; glpsol undecided in %d; %v against %v", count, seen[Optimal], seen[Infeasible], gave, ours, theirs)
}
