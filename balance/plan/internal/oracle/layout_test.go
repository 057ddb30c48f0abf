package oracle_test

import (
	"slices"
	"testing"

	"fitchet.example/balance/plan"
	"fitchet.example/prey"
	"fitchet.example/units"
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
		res, err := plan.Week(t.Context(), s.Instance(n))
		if err != nil {
			t.Errorf("instance %d (%s): %v", n, what, err)
			continue
		}
		failed := 0
		for _, try := range res.Tried {
			failed += try.Failed
		}
		switch laid := res.Outcome == plan.Optimal && failed == 0; {
		case n == 16 && !laid && failed == 1: // known: a dearer choice since bone holds what it does
		case n == 62 && res.Outcome == plan.Infeasible: // as glpsol says: its bone is too poor in calcium now
		case n == 16 || n == 62:
			t.Errorf("instance %d (%s): %v, %d choices passed by: it is no longer as is known of it", n, what, res.Outcome, failed)
		case !laid:
			t.Errorf("instance %d (%s): %v, %d choices passed by; cost %v, bound %v", n, what, res.Outcome, failed, res.Cost, res.Bound)
		}
	}
}

// crumbs are the households whose weeks are known to be laid out in little: since
// bone holds the calcium it does they are met by other foods, and 78 is spread
// evenly over its days. The list may only shrink.
var crumbs = []int{13, 22, 65, 78}

// Hardly any serving of meat is under 3 g, and few foods are fed to a bowl by less
// than 10 g for each animal in all its week. Regression (ours): before little was put
// together and swept out it was 48 of 5141 servings and 198 of 1459 foods.
func TestFewCrumbs(t *testing.T) {
	t.Parallel()
	s, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	type count struct{ little, servings, least, foods int }
	few := func(c count) bool { return 1000*c.little <= c.servings && 1000*c.least <= 105*c.foods }
	var all count
	for n := range setting(t, "FITCHET_CRUMBS", 15) {
		q := s.Instance(n)
		if n%10 == 4 { // many foods
			continue
		}
		res, err := plan.Week(t.Context(), q)
		if err != nil || res.Plan == nil {
			continue
		}
		type fed struct{ bowl, food string }
		var c count
		week, heads := map[fed]units.Mass{}, map[fed]int{}
		for at, v := range res.Plan.Servings() {
			switch v.Food.Kind {
			case prey.Oil, prey.Supplement, prey.EggFood:
				continue
			}
			if v.Pieces > 0 {
				continue
			}
			// a little organ on every day may be asked for
			if c.servings++; v.Mass < 3*units.Gram && q.OrganDay == 0 {
				c.little++
			}
			who := res.Plan.Days[at.Day].Meals[at.Meal].For
			k := fed{who[0], v.Food.ID}
			week[k] += v.Mass
			heads[k] = len(who)
		}
		for k, m := range week {
			if c.foods++; m < 10*units.Gram*units.Mass(heads[k]) {
				c.least++
			}
		}
		if slices.Contains(crumbs, n) {
			if few(c) {
				t.Errorf("household %d has few crumbs by itself: take it off the list", n)
			}
			continue
		}
		all.little, all.servings, all.least, all.foods = all.little+c.little, all.servings+c.servings, all.least+c.least, all.foods+c.foods
	}
	t.Logf("%d of %d servings are under 3 g, %d of %d foods of a bowl under 10 g for each animal", all.little, all.servings, all.least, all.foods)
	if all.servings == 0 || !few(all) {
		t.Errorf("%d of %d servings are under 3 g, %d of %d foods of a bowl under 10 g for each animal", all.little, all.servings, all.least, all.foods)
	}
}
