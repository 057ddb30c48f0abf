package oracle_test

import (
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
		15: "calcium to phosphorus", 65: "share of bone", 81: "twelve days",
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
		if res.Outcome != plan.Optimal || failed > 0 {
			t.Errorf("instance %d (%s): %v, %d choices passed by; cost %v, bound %v", n, what, res.Outcome, failed, res.Cost, res.Bound)
		}
	}
}

// Hardly any serving of meat is under 3 g, and few foods are fed to a bowl by less
// than 10 g for each animal in all its week. Regression (ours): before little was put
// together and swept out it was 48 of 5141 servings and 198 of 1459 foods. The one
// household that is laid out worst is left out of the count: with the calcium of
// bone as it is fed, one week in a hundred can be met only in crumbs.
func TestFewCrumbs(t *testing.T) {
	t.Parallel()
	s, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	type crumbs struct{ instance, little, servings, least, foods int }
	var all, worst crumbs
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
		c := crumbs{instance: n}
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
		if c.little > worst.little {
			c, worst = worst, c
		}
		all.little, all.servings, all.least, all.foods = all.little+c.little, all.servings+c.servings, all.least+c.least, all.foods+c.foods
	}
	t.Logf("%d of %d servings are under 3 g, %d of %d foods of a bowl under 10 g for each animal; the worst is %+v", all.little, all.servings, all.least, all.foods, worst)
	if all.servings == 0 || 1000*all.little > all.servings || 1000*all.least > 112*all.foods {
		t.Errorf("%d of %d servings are under 3 g, %d of %d foods of a bowl under 10 g for each animal", all.little, all.servings, all.least, all.foods)
	}
}
