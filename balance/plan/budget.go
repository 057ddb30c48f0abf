package plan

import (
	"context"
	"errors"

	"fitchet.example/ration"
)

// A budget is counted in steps. A step is an entry of the solver's table that is
// changed, and what else is done is counted in steps that take about as long: rows
// looked at when grams are moved, servings laid out and judged. So the same request
// comes to the same end on a fast machine and on a slow one.

// errSpent says that the budget is spent. It ends all work; [Week] turns it
// into what was found until then.
var errSpent = errors.New("the budget of work is spent")

// purse is the work in steps that several searches may take together, out of
// that of another.
type purse struct {
	left  int64
	under *purse // nil: this is the budget
}

// spend gives what follows so many steps in all, until what it returns is called.
func (p *planner) spend(steps int64) (done func()) {
	had := p.purse
	p.purse = &purse{min(steps, had.left), had}
	return func() { p.purse = had }
}

// charge counts steps.
func (p *planner) charge(steps int64) {
	for q := p.purse; q != nil; q = q.under {
		q.left -= steps
	}
	p.res.Search.Steps += steps
}

// pay counts steps and fails when the budget does not hold them or the context
// has ended.
func (p *planner) pay(ctx context.Context, steps int64) error {
	p.charge(steps)
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	if p.budget.left <= 0 {
		return errSpent
	}
	return nil
}

// each is so much work for each food; for so many where there are fewer, since
// examples of others are thought of beside them.
func (p *planner) each(steps int64) int64 { return steps * int64(max(len(p.supplies), leastFoods)) }

// scaled is a bound on one search for a budget above the default one.
func (p *planner) scaled(n int64) int64 {
	return n * max(1, p.Budget/DefaultBudget)
}

// layingOut is what it takes to lay out and judge a plan, in steps.
func layingOut(plan *ration.Plan, heads int) int64 {
	n := int64(0)
	for range plan.Servings() {
		n++
	}
	return n * (placeSteps + judgeSteps*int64(heads))
}
