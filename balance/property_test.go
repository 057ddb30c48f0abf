package balance_test

import (
	"math/big"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"

	"pgregory.net/rapid"
)

// The oracle: the same figures by math/big.Rat from the foods' printed shares
// and densities, with no code in common with the package.

func rat(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

type totals struct {
	slots  [prey.NumParts]*big.Rat // of foods that count
	sum    *big.Rat                // of the five slots
	of     map[prey.Nutrient]*big.Rat
	kcal   *big.Rat // modified Atwater
	liver  *big.Rat
	mass   *big.Rat
	counts *big.Rat
}

func total(p *ration.Plan, c prey.Case) totals {
	t := totals{sum: rat(0), kcal: rat(0), liver: rat(0), mass: rat(0), counts: rat(0), of: map[prey.Nutrient]*big.Rat{}}
	for i := range t.slots {
		t.slots[i] = rat(0)
	}
	for _, n := range prey.Nutrients() {
		t.of[n] = rat(0)
	}
	addMul := func(to *big.Rat, a, b int64) { to.Add(to, new(big.Rat).Mul(rat(a), rat(b))) }
	for _, s := range p.Servings() {
		f, m := s.Food, int64(s.Mass)
		t.mass.Add(t.mass, rat(m))
		addMul(t.liver, m, int64(f.Shares[c][prey.Liver]))
		if !f.Complete {
			for _, part := range prey.Parts() {
				addMul(t.slots[part], m, int64(f.Shares[c][part]))
				if part != prey.Rest {
					addMul(t.sum, m, int64(f.Shares[c][part]))
				}
			}
		}
		for _, n := range prey.Nutrients() {
			if fig, ok := f.Nutrient(n); ok {
				addMul(t.of[n], m, int64(fig.At[c]))
			}
		}
		if fig, ok := f.Energy(prey.ModifiedAtwater); ok {
			addMul(t.kcal, m, int64(fig.At[c]))
		}
	}
	return t
}

// expect is the verdict of a figure against bounds, exactly.
func expect(num, den *big.Rat, low, high *big.Rat) balance.Verdict {
	if den.Sign() == 0 {
		return balance.Open
	}
	v := new(big.Rat).Quo(num, den)
	if low != nil && v.Cmp(low) < 0 || high != nil && v.Cmp(high) > 0 {
		return balance.Missed
	}
	return balance.Met
}

func percent(n int64) *big.Rat { return big.NewRat(n, 100) }

// known are foods of the kitchen with all their figures known.
func known() []string {
	return []string{"thigh", "heart", "liver", "kidney", "wing", "rabbit", "lamb", "salmon", "pure"}
}

// drawPlan draws a week whose masses are either free or placed on a limit: the
// last serving is chosen so that one slot sits exactly on a bound of the target,
// or one picogram beside it.
func drawPlan(t *rapid.T, k kitchen) (p *ration.Plan, onLimit bool) {
	food := func(id string) *prey.Food {
		f, err := k.foods.Find(id)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	p = &ration.Plan{Household: "Brackenford Ferret Rescue", Start: day0}
	for d := range 7 {
		p.Days = append(p.Days, ration.Day{Date: day0.AddDays(d)})
	}
	put := func(id string, m units.Mass) {
		d := rapid.IntRange(0, 6).Draw(t, "day")
		p.Days[d].Meals = append(p.Days[d].Meals, ration.Meal{Slot: len(p.Days[d].Meals) + 1, Servings: []ration.Serving{{Food: food(id), Mass: m}}})
	}
	if rapid.Bool().Draw(t, "free") {
		for range rapid.IntRange(1, 12).Draw(t, "servings") {
			put(rapid.SampledFrom(known()).Draw(t, "food"), units.Mass(rapid.Int64Range(1, 400e12).Draw(t, "mass")))
		}
		return p, false
	}
	// On a limit: muscle M and a food X of one slot at b percent, X = M b / (100-b).
	slot := rapid.SampledFrom([]string{"heart", "liver", "kidney", "bone"}).Draw(t, "slot")
	b := map[string][]int64{"heart": {8, 12}, "liver": {4, 6, 10}, "kidney": {4, 6}, "bone": {10, 15}}[slot]
	bound := rapid.SampledFrom(b).Draw(t, "bound")
	unit := rapid.Int64Range(1, 4e12).Draw(t, "unit")
	step := rapid.Int64Range(-1, 1).Draw(t, "step")
	x := max(unit*bound+step, 0)
	muscle := unit * (100 - bound)
	// In two servings, so that sums matter.
	part := rapid.Int64Range(0, muscle).Draw(t, "part")
	put("pure", units.Mass(part))
	put("pure", units.Mass(muscle-part))
	put(slot, units.Mass(x))
	return p, true
}

func TestVerdictsEqualRationals(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		p, _ := drawPlan(t, k)
		r, err := balance.Audit(balance.Input{Plan: p, Book: k.book, HazardCheck: k.screen})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range prey.Cases() {
			s := total(p, c)
			thousand := func(n prey.Nutrient) *big.Rat { return new(big.Rat).Mul(s.of[n], rat(1000)) }
			dry := new(big.Rat).Sub(new(big.Rat).Mul(s.mass, rat(100*int64(prey.DensityUnit))), s.of[prey.Water])
			checks := []struct {
				rule     string
				num, den *big.Rat
				low, up  *big.Rat
			}{
				{"share-muscle", s.slots[prey.Muscle], s.sum, percent(65), percent(75)},
				{"share-heart", s.slots[prey.Heart], s.sum, percent(8), percent(12)},
				{"share-bone", s.slots[prey.Bone], s.sum, percent(10), percent(15)},
				{"share-liver", s.slots[prey.Liver], s.sum, percent(4), percent(6)},
				{"share-organ", s.slots[prey.Organ], s.sum, percent(4), percent(6)},
				{"liver-most", s.liver, new(big.Rat).Mul(s.mass, rat(int64(units.Whole))), nil, percent(10)},
				{"ca-p-floor", s.of[prey.Calcium], s.of[prey.Phosphorus], rat(1), nil},
				{"ca-p-practice", s.of[prey.Calcium], s.of[prey.Phosphorus], big.NewRat(12, 10), big.NewRat(17, 10)},
				{"calcium-least", thousand(prey.Calcium), s.kcal, rat(1500), nil}, // mg
				{"calcium-most-dog", thousand(prey.Calcium), s.kcal, nil, rat(4500)},
				{"calcium-most", thousand(prey.Calcium), s.kcal, nil, rat(6350)},
				{"vitamin-a-least", thousand(prey.VitaminA), s.kcal, rat(833), nil},
				{"vitamin-a-most", thousand(prey.VitaminA), s.kcal, nil, rat(83325)},
				{"protein-least", s.of[prey.Protein], dry, percent(25), nil},
				{"fat-least", s.of[prey.Fat], dry, percent(9), nil},
			}
			for _, check := range checks {
				f := r.Find(check.rule)[0]
				if known, of := f.Coverage(); known < of { // bare bone has no energy
					continue
				}
				want := expect(check.num, check.den, check.low, check.up)
				if c == prey.Typical && f.Verdict != want {
					t.Errorf("%s: %s, rationals say %s (%s)", check.rule, f.Verdict, want, f.MeasuredText())
				}
				// The verdict over the range may only say what every case says.
				if (f.Whole == balance.Met || f.Whole == balance.Missed) && want != f.Whole && want != balance.Open {
					t.Errorf("%s: %s over the range, but %s at %s", check.rule, f.Whole, want, c)
				}
			}
		}
	})
}

// verdicts is what a report says, without the text.
func verdicts(r *balance.Report) map[string][2]balance.Verdict {
	out := map[string][2]balance.Verdict{}
	for i := range r.Findings {
		f := &r.Findings[i]
		id := f.Rule.ID
		if f.Animal != nil {
			id += " " + f.Animal.ID
		}
		if f.Hazard != nil {
			id += " " + f.Hazard.ID
		}
		out[id] = [2]balance.Verdict{f.Verdict, f.Whole}
	}
	return out
}

func mustAudit(t *rapid.T, in balance.Input) *balance.Report {
	r, err := balance.Audit(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The order of servings inside meals and of meals inside days changes nothing.
func TestOrderDoesNotMatter(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		p, _ := drawPlan(t, k)
		h := rescue(ferret("bramble", ration.Jill, 900))
		for d := range p.Days {
			for m := range p.Days[d].Meals {
				p.Days[d].Meals[m].For = []string{"bramble"}
			}
		}
		q := &ration.Plan{Household: p.Household, Start: p.Start}
		for _, d := range p.Days {
			meals := rapid.Permutation(d.Meals).Draw(t, "meals")
			q.Days = append(q.Days, ration.Day{Date: d.Date, Meals: meals})
		}
		a := verdicts(mustAudit(t, balance.Input{Plan: p, Household: h, Book: k.book, HazardCheck: k.screen}))
		b := verdicts(mustAudit(t, balance.Input{Plan: q, Household: h, Book: k.book, HazardCheck: k.screen}))
		if len(a) != len(b) {
			t.Fatalf("%d findings and %d", len(a), len(b))
		}
		for id, v := range a {
			if b[id] != v {
				t.Errorf("%s: %v, in another order %v", id, v, b[id])
			}
		}
	})
}

// Doubling every mass leaves every verdict on shares and ratios alone.
func TestDoublingLeavesShares(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		p, _ := drawPlan(t, k)
		a := mustAudit(t, balance.Input{Plan: p, Book: k.book, HazardCheck: k.screen})
		before := verdicts(a)
		for _, s := range p.Servings() {
			s.Mass *= 2
		}
		after := verdicts(mustAudit(t, balance.Input{Plan: p, Book: k.book, HazardCheck: k.screen}))
		for id, v := range before {
			if after[id] != v {
				t.Errorf("%s: %v, doubled %v", id, v, after[id])
			}
		}
	})
}

// The week is the sum of its days.
func TestWeekIsSumOfDays(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		p, _ := drawPlan(t, k)
		week := mustAudit(t, balance.Input{Plan: p, Book: k.book, HazardCheck: k.screen}).Tally()
		var sum prey.Tally
		for _, d := range p.Days {
			day := mustAudit(t, balance.Input{Plan: &ration.Plan{Start: d.Date, Days: []ration.Day{d}}, Book: k.book, HazardCheck: k.screen}).Tally()
			if err := sum.AddTally(&day); err != nil {
				t.Fatal(err)
			}
		}
		if week != sum {
			t.Error("the sum of the days is not the week")
		}
	})
}

// A change that the audit offers meets the rule, and a gram less does not.
func TestChangesAreSmallest(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		p, _ := drawPlan(t, k)
		r := mustAudit(t, balance.Input{Plan: p, Book: k.book, HazardCheck: k.screen})
		for i := range r.Findings {
			f := &r.Findings[i]
			if f.Verdict != balance.Missed || f.Rule.Check == balance.Hazard {
				continue
			}
			for _, c := range f.Mends() {
				verdict := func(m units.Mass) balance.Verdict {
					q := changed(p, c, m)
					return mustAudit(t, balance.Input{Plan: q, Book: k.book, HazardCheck: k.screen}).Find(f.Rule.ID)[0].Verdict
				}
				if got := verdict(c.Mass); got != balance.Met && got != balance.NotApplicable {
					t.Errorf("%s: %s leaves it %s", f.Rule.ID, c.Text(), got)
				}
				if got := verdict(c.Mass - units.Gram); got != balance.Missed {
					t.Errorf("%s: %s, a gram less gives %s", f.Rule.ID, c.Text(), got)
				}
			}
		}
	})
}

// changed makes a change on a copy of the plan with another mass.
func changed(p *ration.Plan, c balance.Change, m units.Mass) *ration.Plan {
	q := &ration.Plan{Household: p.Household, Start: p.Start}
	left := m
	for d, day := range p.Days {
		out := ration.Day{Date: day.Date}
		for _, meal := range day.Meals {
			x := ration.Meal{Slot: meal.Slot, For: meal.For}
			for _, s := range meal.Servings {
				if c.Remove && s.Food == c.Food {
					take := min(left, s.Mass)
					left -= take
					s.Mass -= take
				}
				x.Servings = append(x.Servings, s)
			}
			out.Meals = append(out.Meals, x)
		}
		if !c.Remove && d == 0 {
			out.Meals = append(out.Meals, ration.Meal{Slot: 9, Servings: []ration.Serving{{Food: c.Food, Mass: m}}})
		}
		q.Days = append(q.Days, out)
	}
	return q
}
