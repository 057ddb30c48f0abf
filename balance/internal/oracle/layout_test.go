package oracle_test

import (
	"testing"

	"fitchet.example/balance"
)

// The cheapest packs of these weeks leave little room in whole grams: a limit
// that is reached exactly, organ up to the day's most on every day, a few eggs for
// many bowls, dried organ. Each was once passed by for a dearer choice of packs.
// Regression (ours).
func TestFirstChoiceIsLaidOut(t *testing.T) {
	t.Parallel()
	s, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	for n, what := range map[int]string{
		15: "calcium to phosphorus", 16: "share of muscle", 62: "calcium to phosphorus", 65: "share of bone", 81: "twelve days",
		94: "raw egg white", 156: "complete food", 242: "nothing to spread", 246: "ten days, low end of the bands",
		32: "organ of a day", 122: "organ of a day", 125: "organ of a day", 291: "organ of a day, dried",
	} {
		res, err := balance.PlanWeek(t.Context(), s.Instance(n))
		if err != nil {
			t.Errorf("instance %d (%s): %v", n, what, err)
			continue
		}
		failed := 0
		for _, try := range res.Tried {
			failed += try.Failed
		}
		if res.Outcome != balance.Optimal || failed > 0 {
			t.Errorf("instance %d (%s): %v, %d choices passed by; cost %v, bound %v", n, what, res.Outcome, failed, res.Cost, res.Bound)
		}
	}
}
