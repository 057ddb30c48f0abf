package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fitchet.example/balance/plan"
	"fitchet.example/balance/plan/internal/milp"
	"fitchet.example/balance/plan/internal/oracle"
)

// solver is one of those that are asked for the cheapest packs of a week.
type solver struct {
	name  string
	ask   func(ctx context.Context, w *week) (oracle.Answer, time.Duration, error)
	times []time.Duration
	apart int // answers that differ from those of the solver of the library
}

// week is a household with what is asked for it, as a program for solvers.
type week struct {
	request plan.Request
	try     plan.Attempt
	lp      oracle.LP
	prob    milp.Problem
}

// weeks draws households with that many foods to choose from.
func weeks(ctx context.Context, shelf *oracle.Shelf, n, foods int) ([]*week, error) {
	var out []*week
	for at := 0; len(out) < n; at++ {
		w := &week{request: shelf.Sized(at, foods)}
		res, err := plan.Week(ctx, w.request)
		if errors.Is(err, plan.ErrUnplanned) || errors.Is(err, plan.ErrRequest) {
			continue // as where nobody's need is known
		}
		if err != nil {
			return nil, fmt.Errorf("household %d: %w", at, err)
		}
		if len(res.Tried) == 0 {
			continue
		}
		w.try = res.Tried[0]
		q, err := shelf.Question(w.request, w.try)
		if err != nil {
			return nil, fmt.Errorf("household %d: %w", at, err)
		}
		w.lp = q.Write()
		if w.prob, err = readLP(w.lp.Text); err != nil {
			return nil, fmt.Errorf("household %d: %w", at, err)
		}
		out = append(out, w)
	}
	return out, nil
}

const seconds = 60 // that a solver is given for one program

// solvers are, in this order: the search of the library on the same text as
// glpsol, glpsol as a process, and the whole planner, which also lays the week
// out and has it audited.
func solvers(dir string) []*solver {
	return []*solver{
		{name: "Fitchet's search alone", ask: func(ctx context.Context, w *week) (oracle.Answer, time.Duration, error) {
			start := time.Now()
			sol, err := milp.Solve(ctx, w.prob, milp.Limits{})
			took := time.Since(start)
			switch sol.Status {
			case milp.Optimal:
				return oracle.Answer{Decided: true, Feasible: true, Cost: int64(math.Round(sol.Objective))}, took, err
			case milp.Infeasible:
				return oracle.Answer{Decided: true}, took, err
			}
			return oracle.Answer{}, took, err
		}},
		{name: "glpsol, a process", ask: func(ctx context.Context, w *week) (oracle.Answer, time.Duration, error) {
			return oracle.Glpsol(ctx, w.lp, dir, seconds)
		}},
		{name: "glpsol with its cuts, a process", ask: func(ctx context.Context, w *week) (oracle.Answer, time.Duration, error) {
			// Timed only: with all cuts on, GLPK 5.0 gets some programs wrong.
			file := filepath.Join(dir, "cuts.lp")
			if err := os.WriteFile(file, w.lp.Text, 0o600); err != nil {
				return oracle.Answer{}, 0, err
			}
			start := time.Now()
			err := exec.CommandContext(ctx, "glpsol", "--lp", file, "--cuts", "--tmlim", fmt.Sprint(seconds)).Run()
			return oracle.Answer{}, time.Since(start), err
		}},
		{name: "Fitchet's planner: every way that it tries, laid out and audited", ask: func(ctx context.Context, w *week) (oracle.Answer, time.Duration, error) {
			start := time.Now()
			_, err := plan.Week(ctx, w.request)
			took := time.Since(start)
			if !w.try.Proven {
				return oracle.Answer{}, took, err
			}
			return oracle.Answer{Decided: true, Feasible: w.try.Amounts, Cost: w.try.Bound.Amount().Shift(2).IntPart()}, took, err
		}},
	}
}

// race gives every week to every solver in turn.
func race(ctx context.Context, list []*week, all []*solver) error {
	for _, w := range list {
		var first oracle.Answer
		for k, s := range all {
			a, took, err := s.ask(ctx, w)
			if err != nil {
				return fmt.Errorf("%s: %w", s.name, err)
			}
			if k == 0 {
				first = a
			}
			if a.Decided && first.Decided && a.String() != first.String() {
				s.apart++
			}
			s.times = append(s.times, took)
		}
	}
	return nil
}

// planners prints how long each solver takes.
func planners(ctx context.Context, out io.Writer, n int, sizes []int) error {
	if _, err := exec.LookPath("glpsol"); err != nil {
		fmt.Fprintf(out, "\n%v: the planner is not compared.\n", oracle.ErrNoSolver)
		return nil
	}
	shelf, err := oracle.NewShelf()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "planner")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Fprintf(out, "\nMilliseconds for the cheapest packs of a week, middle and worst of %d households of each size; other answers than the first:\n\n| solver |", n)
	for _, foods := range sizes {
		fmt.Fprintf(out, " %d foods |", foods)
	}
	fmt.Fprintf(out, " other answers |\n|---|%s---:|\n", strings.Repeat("---:|", len(sizes)))
	var names []string
	cells, apart := map[string]string{}, map[string]int{}
	for _, foods := range sizes {
		list, err := weeks(ctx, shelf, n, foods)
		if err != nil {
			return err
		}
		all := solvers(dir)
		if err := race(ctx, list, all); err != nil {
			return err
		}
		names = names[:0]
		for _, s := range all {
			slices.Sort(s.times)
			ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
			cells[s.name] += fmt.Sprintf(" %.1f; %.0f |", ms(s.times[len(s.times)/2]), ms(s.times[len(s.times)-1]))
			apart[s.name] += s.apart
			names = append(names, s.name)
		}
	}
	for _, name := range names {
		fmt.Fprintf(out, "| %s |%s %d |\n", name, cells[name], apart[name])
	}
	return nil
}
