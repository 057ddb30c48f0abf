package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"reflect"
	"testing"
	"time"

	"fitchet.example/balance/plan/internal/milp"
	"fitchet.example/balance/plan/internal/oracle"
)

func open(t testing.TB) *world {
	w, err := newWorld()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Every limit can be met exactly and missed by a step either way, or the
// comparison would leave it out without a word.
func TestEveryLimitIsPlaced(t *testing.T) {
	w := open(t)
	for _, at := range placings()[2:] {
		for i, b := range w.bounds {
			rng := rand.New(rand.NewPCG(7, uint64(i)))
			seen := map[bool]bool{}
			for range 12 {
				p, err := w.larder.draw(rng, b, at)
				if err != nil {
					t.Fatalf("%s, %s: %v", b.name, at.name, err)
				}
				if len(p.rows) != servings || len(p.week.Days) != 7 {
					t.Fatalf("%s: %d servings on %d days", b.name, len(p.rows), len(p.week.Days))
				}
				v, err := truth(p, w.book, w.bounds[i:i+1])
				if err != nil {
					t.Fatal(err)
				}
				seen[v[b.rule]] = true
			}
			if !seen[true] || (at.step != 0) != seen[false] {
				t.Errorf("%s, %s: met and missed are %v", b.name, at.name, seen)
			}
		}
	}
}

// This library and what computes in whole numbers are right everywhere. A
// milligram away from the limits all are, or the rules would not be the same.
func TestVerdictsAgree(t *testing.T) {
	w := open(t)
	for _, at := range placings() {
		plans, err := w.draw(at, 2, 11)
		if err != nil {
			t.Fatal(err)
		}
		if len(plans) < 16 {
			t.Fatalf("%s: %d plans", at.name, len(plans))
		}
		for i := range w.engines {
			e := &w.engines[i]
			wrong, beside, err := w.misjudged(e, plans)
			if err != nil {
				t.Fatal(err)
			}
			if (e.exact || at.step > 1) && wrong+beside > 0 {
				t.Errorf("%s, %s: %d wrong, %d beside", e.name, at.name, wrong, beside)
			}
		}
	}
}

// An engine that is wrong is seen to be: an engine with a limit moved by a
// hundredth of a percent.
func TestMisjudgedCounts(t *testing.T) {
	w := open(t)
	plans, err := w.draw(placings()[2], 1, 3)
	if err != nil {
		t.Fatal(err)
	}
	inner := w.engines[0]
	e := engine{name: "all is well", prepare: inner.prepare, judge: func(any) (v verdicts, err error) {
		for i := range v {
			v[i] = true
		}
		return v, nil
	}}
	if wrong, beside, err := w.misjudged(&e, plans); err != nil || wrong+beside == 0 {
		t.Errorf("%d wrong, %d beside, %v", wrong, beside, err)
	}
	e.judge = func(any) (verdicts, error) { return verdicts{}, errors.New("broken") }
	if _, _, err := w.misjudged(&e, plans); err == nil {
		t.Error("a broken engine is not reported")
	}
}

// Outside check: glpsol gives the same answer to the same text, or says likewise
// that there is none.
func TestPlannersAgree(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Skip(oracle.ErrNoSolver)
	}
	shelf, err := oracle.NewShelf()
	if err != nil {
		t.Fatal(err)
	}
	list, err := weeks(t.Context(), shelf, 8, 40)
	if err != nil {
		t.Fatal(err)
	}
	all := solvers(t.TempDir())
	if err := race(t.Context(), list, all); err != nil {
		t.Fatal(err)
	}
	for _, s := range all {
		if s.apart > 0 || len(s.times) != len(list) {
			t.Errorf("%s: %d of %d answers differ", s.name, s.apart, len(s.times))
		}
	}
	// A cost that is wrong is seen to be.
	wrong := &solver{name: "a cent off", ask: func(ctx context.Context, w *week) (oracle.Answer, time.Duration, error) {
		a, took, err := all[0].ask(ctx, w)
		a.Cost++
		return a, took, err
	}}
	if err := race(t.Context(), list, []*solver{all[0], wrong}); err != nil || wrong.apart == 0 {
		t.Errorf("%d wrong answers were seen, %v", wrong.apart, err)
	}
}

func TestReadLP(t *testing.T) {
	p, err := readLP([]byte("Minimize\n cost:\n + 250 z0\n + 0 nothing\nSubject To\n stock_0_h:\n + 1 x0\n - 100 z0\n <= 5\n never: nothing >= 1\n" +
		"Bounds\n 0 <= nothing <= 0\n 0 <= x0 <= 80\n 0 <= z0 <= 2\nGenerals\n z0\nEnd\n"))
	want := milp.Problem{Columns: []milp.Column{{Name: "z0", Cost: 250, High: 2, Integer: true}, {Name: "nothing"}, {Name: "x0", High: 80}},
		Rows: []milp.Row{{Name: "stock_0_h", Terms: []milp.Term{{Col: 2, Coef: 1}, {Col: 0, Coef: -100}}, Low: math.Inf(-1), High: 5},
			{Name: "never", Terms: []milp.Term{{Col: 1, Coef: 1}}, Low: 1, High: math.Inf(1)}}}
	if err != nil || !reflect.DeepEqual(p, want) {
		t.Errorf("%+v, %v, want %+v", p, err, want)
	}
	if _, err := readLP([]byte("Minimize\n cost:\n 3 times z\n")); err == nil {
		t.Error("a line that is none was read")
	}
}

func BenchmarkEngines(b *testing.B) {
	w := open(b)
	plans, err := w.draw(placings()[2], 1, 1)
	if err != nil {
		b.Fatal(err)
	}
	for i := range w.engines {
		e := &w.engines[i]
		var in []any
		for _, p := range plans {
			x, err := e.prepare(p)
			if err != nil {
				b.Fatal(err)
			}
			in = append(in, x)
		}
		b.Run(fmt.Sprint(e.name), func(b *testing.B) {
			b.ReportAllocs()
			for n := 0; b.Loop(); n++ {
				if _, err := e.judge(in[n%len(in)]); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
