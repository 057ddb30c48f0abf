package oracle_test

import (
	"math/big"
	"testing"

	"fitchet.example/balance/plan"
)

// Second opinion: a simplex in math/big, without rounding or tolerance. A week
// whose relaxation has no point has none at all; what one costs whose amounts and
// packs need not be whole is a floor under every plan; and for small households
// the exact search ends with the planner's cost. FITCHET_RATIONALS is how many small
// households are asked about.
func TestPlannerAgainstRationals(t *testing.T) {
	s, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	count := setting(t, "FITCHET_RATIONALS", 15)
	same, none, floors := 0, 0, 0
	for n := range count {
		q := s.Small(n)
		res, err := plan.Week(t.Context(), q)
		if err != nil {
			t.Errorf("small instance %d: %v", n, err)
			continue
		}
		for k, try := range res.Tried {
			if !try.Proven {
				continue
			}
			question, err := s.Question(q, try)
			if err != nil {
				t.Fatal(err)
			}
			cost, ok := question.Relaxed()
			switch {
			case !ok && try.Amounts:
				t.Errorf("small instance %d, way %d: amounts were found, but in rationals there are none", n, k)
			case !ok:
				none++
			case try.Amounts && cost.Cmp(big.NewRat(hundredths(try.Bound), 1)) > 0:
				t.Errorf("small instance %d, way %d: %s, but even in parts it costs %s hundredths", n, k, try.Bound, cost.FloatString(3))
			default:
				floors++
			}
			if !ok {
				continue
			}
			answer := question.Exact(150)
			if !answer.Decided {
				continue
			}
			same++
			if answer.Feasible != try.Amounts || answer.Feasible && answer.Cost != hundredths(try.Bound) {
				t.Errorf("small instance %d, way %d: amounts %v, %s, in rationals %v", n, k, try.Amounts, try.Bound, answer)
			}
		}
	}
	t.Logf("%d relaxations without a point, %d floors, %d optima or their absence proved in rationals", none, floors, same)
	if same == 0 || none == 0 {
		t.Error("nothing was compared")
	}
}
