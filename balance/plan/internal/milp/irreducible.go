package milp

import (
	"context"
	"fmt"
	"math"
	"slices"
)

// Irreducible returns a smallest clash: a subset of the candidate rows of p,
// given by index, that together with all other rows and the boxes cannot be
// satisfied, and of which no row can be left out. Irreducible sets are not
// unique, nor need the one returned be the one of fewest rows; candidates are
// given up in the order in which they are listed, so those listed last are the
// ones most likely to be named. The result is in rising order, and empty if the
// rows that are no candidates clash by themselves. To ask about the bound of a
// column, give it as a row and the column a box that is wide enough.
//
// It returns ErrFeasible if p has a solution, an *InputError for a malformed
// problem or candidate, ErrTooLarge, the cause of an ended ctx (wrapped), and
// ErrUndecided beside the set if the default limits left a question open: the
// set then clashes but might not be irreducible, or is nil if not even that is
// known.
//
// Each question is a Solve of what is left without costs, so the answer is a
// proposal like any other here.
func Irreducible(ctx context.Context, p Problem, candidates []int) ([]int, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	candidate := make([]bool, len(p.Rows))
	for _, i := range candidates {
		switch {
		case i < 0 || i >= len(p.Rows):
			return nil, &InputError{Where: "candidates", Reason: fmt.Sprintf("no row %d", i)}
		case candidate[i]:
			return nil, &InputError{Where: "candidates", Reason: fmt.Sprintf("row %d appears twice", i)}
		}
		candidate[i] = true
	}
	q := Problem{Columns: slices.Clone(p.Columns), Rows: slices.Clone(p.Rows)}
	for j := range q.Columns {
		q.Columns[j].Cost = 0
	}
	status := func() (Status, error) {
		sol, err := Solve(ctx, q, Limits{})
		if err != nil {
			return Unknown, fmt.Errorf("milp: irreducible: %w", err)
		}
		return sol.Status, nil
	}
	switch st, err := status(); {
	case err != nil:
		return nil, err
	case st == Unknown:
		return nil, ErrUndecided
	case st != Infeasible:
		return nil, ErrFeasible
	}
	var undecided error
	var keep []int
	for _, i := range candidates {
		r := &q.Rows[i]
		was := *r
		r.Low, r.High = math.Inf(-1), math.Inf(1)
		switch st, err := status(); {
		case err != nil:
			return nil, err
		case st == Infeasible:
			continue // not needed for the clash
		case st == Unknown:
			undecided = ErrUndecided
		}
		*r = was
		keep = append(keep, i)
	}
	slices.Sort(keep)
	return keep, undecided
}

// Exclude returns a row that keeps every point except those in which the named
// columns, which must be Integer with a box of 0 to 1 or narrower, take the
// values they have in x. Add it to a problem to ask for the best plan that
// differs from x in at least one of them; unlike Limits.Reject it leaves the
// other columns out of the comparison.
//
// It returns an *InputError for a column that does not exist, appears twice, is
// not 0 or 1, or for an x of the wrong length.
func Exclude(p Problem, x []float64, cols []int) (Row, error) {
	if len(x) != len(p.Columns) {
		return Row{}, &InputError{Where: "exclude", Reason: fmt.Sprintf("%d values for %d columns", len(x), len(p.Columns))}
	}
	// The sum over ones of (1-x) and over zeros of x must reach 1.
	r := Row{Name: "exclude", Low: 1, High: math.Inf(1)}
	seen := make(map[int]bool, len(cols))
	for _, j := range cols {
		bad := func(reason string) (Row, error) {
			return Row{}, &InputError{Where: fmt.Sprintf("exclude: column %d", j), Reason: reason}
		}
		if j < 0 || j >= len(p.Columns) {
			return bad("does not exist")
		}
		c := p.Columns[j]
		switch {
		case seen[j]:
			return bad("appears twice")
		case !c.Integer || c.Low < 0 || c.High > 1:
			return bad("is not a whole column within 0 to 1")
		case x[j] != 0 && x[j] != 1:
			return bad("has a value other than 0 and 1")
		}
		seen[j] = true
		if x[j] == 1 {
			r.Terms = append(r.Terms, Term{j, -1})
			r.Low--
		} else {
			r.Terms = append(r.Terms, Term{j, 1})
		}
	}
	return r, nil
}
