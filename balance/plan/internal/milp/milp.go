package milp

import (
	"errors"
	"fmt"
	"math"
)

// Column is one unknown. Low and High must be finite and Low <= High; for an
// Integer column only the whole values between them count, and there may be
// none, which makes the problem infeasible. Name is used in messages only.
type Column struct {
	Name      string
	Cost      float64 // per unit, minimised; may be negative
	Low, High float64
	Integer   bool
}

// Term is Coef times the column with index Col.
type Term struct {
	Col  int
	Coef float64
}

// Row bounds the sum of its terms: Low <= sum <= High. Low may be -Inf and High
// may be +Inf; equal limits make an equation. A column appears at most once.
type Row struct {
	Name      string
	Terms     []Term
	Low, High float64
}

// Problem is minimise the sum of Cost times value subject to all rows.
type Problem struct {
	Columns []Column
	Rows    []Row
}

// Default limits, used where a Limits field is zero.
const (
	DefaultNodes  = 200_000
	DefaultPivots = 5_000_000
)

// Limits bounds the search. The zero value is usable.
type Limits struct {
	// Nodes is the greatest number of branch and bound nodes, 0 for DefaultNodes.
	Nodes int
	// Pivots is the greatest number of simplex pivots, 0 for DefaultPivots.
	Pivots int
	// Step is the granularity of the objective, in its own unit: points that are
	// better by less than Step are not looked for. With a cost in cents and Step
	// 1 the answer is optimal to the whole cent. 0 looks for improvements down to
	// about 1e-7 of the objective. Where only whole columns cost, in whole units,
	// a larger step is found from the costs.
	Step float64
	// Reject, if not nil, is shown every point that would become the best so far.
	// If it returns true, the point's choice of whole values (all Integer columns
	// together) is excluded and the search goes on with the next best; without
	// Integer columns nothing else is left. It must answer the same for the same
	// whole values, and must not keep or change x.
	Reject func(x []float64) bool
}

// Status says what a Solution is.
type Status int

const (
	// Unknown: a limit was reached, or arithmetic stayed undecided, before any
	// point was found.
	Unknown Status = iota
	// Optimal: no point is better by more than Step (or than 1e-7 of the
	// objective).
	Optimal
	// Feasible: a point, the best found within the limits.
	Feasible
	// Infeasible: no point satisfies all rows (and is accepted by Reject).
	Infeasible
)

// String returns the status as a lower-case word.
func (s Status) String() string {
	switch s {
	case Optimal:
		return "optimal"
	case Feasible:
		return "feasible"
	case Infeasible:
		return "infeasible"
	case Unknown:
		return "unknown"
	}
	return fmt.Sprintf("Status(%d)", int(s))
}

// Solution is the answer to a Problem.
type Solution struct {
	Status Status
	// X has a value for each column; nil unless Status is Optimal or Feasible.
	X []float64
	// Objective is the cost of X, +Inf without one.
	Objective float64
	// Bound is a lower bound on the cost of every point that satisfies the rows
	// (and was not rejected), never above Objective; +Inf if Infeasible.
	Bound float64
	// Nodes and Pivots tell how much work was done.
	Nodes, Pivots int
	// Root describes the relaxation in which no column need be whole.
	Root Relaxation
}

// Relaxation is the optimum of the problem without the demand for whole
// values, with the boxes of Integer columns shrunk to whole ends. To learn what each
// requirement costs next to a given choice of whole values, fix the Integer columns
// to it (Low = High) and solve again.
type Relaxation struct {
	// Solved is false if the relaxation is infeasible or was not finished; the
	// other fields are then empty.
	Solved    bool
	Objective float64
	X         []float64
	// Duals has for each row the change of the objective per unit by which the
	// limit it presses on is raised: positive at Low, negative at High, 0 where
	// the row does not press. At a degenerate optimum it is one of several.
	Duals []float64
	// Reduced has for each column the change of the objective per unit by which
	// the bound it rests on is raised; 0 for a column between its bounds.
	Reduced []float64
}

// ErrTooLarge is returned for a problem of more than 4 million tableau cells.
var ErrTooLarge = errors.New("milp: problem too large")

// InputError says what is wrong with a problem or with limits.
type InputError struct {
	Where  string // such as `column 3 "heart"` or `limits`
	Reason string
}

// Error implements error.
func (e *InputError) Error() string { return "milp: " + e.Where + ": " + e.Reason }

const (
	maxMagnitude = 1e12
	maxCells     = 4_000_000
)

func (p Problem) check() error {
	if cells := (len(p.Columns) + 1) * (len(p.Rows) + 1); cells > maxCells || len(p.Columns) > maxCells || len(p.Rows) > maxCells {
		return fmt.Errorf("%w: %d columns, %d rows", ErrTooLarge, len(p.Columns), len(p.Rows))
	}
	ok := func(v float64) bool { return math.Abs(v) <= maxMagnitude } // false for NaN
	for j, c := range p.Columns {
		bad := func(reason string) error {
			return &InputError{Where: fmt.Sprintf("column %d %q", j, c.Name), Reason: reason}
		}
		switch {
		case !ok(c.Cost):
			return bad("cost is not a number within 1e12")
		case !ok(c.Low) || !ok(c.High):
			return bad("bounds are not numbers within 1e12; every column needs both")
		case c.Low > c.High:
			return bad("low is above high")
		}
	}
	seen := make([]int, len(p.Columns))
	for i, r := range p.Rows {
		bad := func(reason string) error {
			return &InputError{Where: fmt.Sprintf("row %d %q", i, r.Name), Reason: reason}
		}
		switch {
		case math.IsInf(r.Low, 1) || !math.IsInf(r.Low, -1) && !ok(r.Low):
			return bad("low is neither -Inf nor a number within 1e12")
		case math.IsInf(r.High, -1) || !math.IsInf(r.High, 1) && !ok(r.High):
			return bad("high is neither +Inf nor a number within 1e12")
		case r.Low > r.High:
			return bad("low is above high")
		}
		for _, t := range r.Terms {
			switch {
			case t.Col < 0 || t.Col >= len(p.Columns):
				return bad(fmt.Sprintf("no column %d", t.Col))
			case !ok(t.Coef):
				return bad(fmt.Sprintf("coefficient of column %d is not a number within 1e12", t.Col))
			case seen[t.Col] == i+1:
				return bad(fmt.Sprintf("column %d appears twice", t.Col))
			}
			seen[t.Col] = i + 1
		}
	}
	return nil
}

func (l Limits) check() error {
	switch {
	case l.Nodes < 0 || l.Pivots < 0:
		return &InputError{Where: "limits", Reason: "negative number of nodes or pivots"}
	case !(l.Step >= 0 && l.Step <= maxMagnitude):
		return &InputError{Where: "limits", Reason: "step is not a number from 0 to 1e12"}
	}
	return nil
}

// rowTolerance is how far a returned point may miss a limit of a row, relative
// to the largest of 1, the limit, and the largest term of the row.
const rowTolerance = 1e-7

// satisfied reports whether x, whose Integer columns are whole, meets every box
// and row of the problem as it was given.
func (p Problem) satisfied(x []float64) bool {
	for j, c := range p.Columns {
		if !(x[j] >= c.Low && x[j] <= c.High) {
			return false
		}
	}
	for _, r := range p.Rows {
		sum, scale := 0.0, 1.0
		for _, t := range r.Terms {
			v := float64(t.Coef * x[t.Col])
			sum += v
			scale = max(scale, math.Abs(v))
		}
		if !math.IsInf(r.Low, 0) && sum < r.Low-float64(rowTolerance*max(scale, math.Abs(r.Low))) ||
			!math.IsInf(r.High, 0) && sum > r.High+float64(rowTolerance*max(scale, math.Abs(r.High))) {
			return false
		}
	}
	return true
}

func (p Problem) cost(x []float64) float64 {
	sum := 0.0
	for j, c := range p.Columns {
		sum += float64(c.Cost * x[j])
	}
	return sum
}
