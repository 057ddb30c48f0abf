package balance_test

import (
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// What is asked of a plan by its household. The bounds stand in the corpus, case by
// case; here is what the rules say and where they must be silent. Regression (ours).
func TestHouseholdRules(t *testing.T) {
	k := open(t)
	jill, hob := ferret("bramble", ration.Jill, 1000), ferret("moss", ration.Hob, 1500)
	fussy, kit := jill, jill
	fussy.Never, fussy.Name = []string{"rabbit"}, "Bramble"
	kit.Stage = ration.Kit
	twin := hob
	twin.Name = "Bramble "
	lot := func(id, mass string, pieces int64, best int) ration.Stock {
		m, err := units.ParseMass(mass)
		if err != nil {
			t.Fatal(err)
		}
		s := ration.Stock{Food: k.food(t, id), Mass: m, Pieces: pieces}
		if best >= 0 {
			s.BestBefore = day0.AddDays(best)
		}
		return s
	}
	const met, missed, na = balance.Met, balance.Missed, balance.NotApplicable
	tests := []struct {
		rule     string
		animals  []ration.Animal
		stock    []ration.Stock
		lines    []string
		want     balance.Verdict
		measured string
		mend     string
	}{
		{"meals-enough", []ration.Animal{kit}, nil, []string{"1-7.1 bramble: thigh 9 g", "1-7.2 bramble: thigh 9 g", "1-7.3 bramble: thigh 9 g", "1-7.4 bramble: oil 1 g"}, missed,
			"3 meals a day, on 2026-12-13", "Divide the day's food into more meals."},
		{"meals-enough", []ration.Animal{jill}, nil, []string{"1.1 bramble: thigh 9 g"}, na, "", ""},
		{"never-fed", []ration.Animal{fussy, hob}, nil, []string{"1-7.1 moss: rabbit 9 g", "3-4.2 bramble: rabbit 9 g"}, missed,
			"2 servings: Rabbit meat, first on 2026-12-15", "Take Rabbit meat out of what Bramble gets."},
		{"never-fed", []ration.Animal{fussy, hob}, nil, []string{"1-7.1 moss: rabbit 9 g", "3-4.2 bramble: thigh 9 g"}, met, "0 servings", ""},
		{"bowls-apart", []ration.Animal{jill, hob}, nil, []string{"2.1 bramble moss: thigh 9 g"}, missed,
			"1 meal: bramble and moss, first on 2026-12-14", "Give each its own bowl, or write in the household that they share one (group)."},
		{"stock-enough", []ration.Animal{jill}, []ration.Stock{lot("rabbit", "60 g", 0, -1)}, []string{"1-7.1 bramble: rabbit 10 g"}, missed,
			"10 g (0.4 oz) more than there is: 10 g (0.4 oz) of Rabbit meat", "Get more, or feed less: 10 g (0.4 oz) of Rabbit meat."},
		{"stock-enough", []ration.Animal{jill}, nil, []string{"1-7.1 bramble: rabbit 10 g"}, na, "", ""},
		{"pieces-enough", []ration.Animal{jill}, []ration.Stock{lot("egg", "150 g", 2, -1)}, []string{"1-3.1 bramble: egg 50 g x1"}, missed,
			"1 piece more than there are: 1 of Hen egg", "Get more, or feed less: 1 of Hen egg."},
		{"stock-in-date", []ration.Animal{jill}, []ration.Stock{lot("rabbit", "1000 g", 0, 2)}, []string{"1-4.1 bramble: rabbit 10 g"}, missed,
			"10 g (0.4 oz) past its day: 10 g (0.4 oz) of Rabbit meat, first on 2026-12-16", "Feed it sooner, or another lot: 10 g (0.4 oz) of Rabbit meat."},
		{"stock-in-date", []ration.Animal{jill}, []ration.Stock{lot("rabbit", "1000 g", 0, 2)}, []string{"1-3.1 bramble: rabbit 10 g"}, met, "0 g (0.0 oz) past its day", ""},
		{"pieces-whole", nil, nil, []string{"1.1: chick 20 g"}, missed,
			"1 serving: Day-old chick, first on 2026-12-13", "Serve whole ones and write how many, or write that it is cut up (form): Day-old chick."},
		{"pieces-whole", nil, nil, []string{"1.1: chick 20 g (pieces)"}, na, "", ""},
		{"days-in-order", nil, nil, []string{"1-7.1: thigh 9 g"}, met, "0 days", ""},
		{"names-apart", []ration.Animal{fussy, twin}, nil, []string{"1.1 bramble: thigh 9 g"}, missed,
			"1 name too few: Bramble (bramble) and Bramble  (moss)", "Give each a name of its own: Bramble (bramble) and Bramble  (moss)."},
	}
	tried := map[balance.Check]bool{}
	for _, tt := range tests {
		if r, ok := k.book.Rule(tt.rule); ok {
			tried[r.Check] = true
		}
		t.Run(tt.rule, func(t *testing.T) {
			in := balance.Input{Plan: k.week(t, 7, tt.lines...)}
			if tt.animals != nil {
				in.Household = rescue(tt.animals...)
				in.Household.Stock = tt.stock
			}
			f := k.audit(t, in).Find(tt.rule)[0]
			if f.Verdict != tt.want || f.MeasuredText() != tt.measured || f.MendText() != tt.mend {
				t.Errorf("%s, %q, %q; want %s, %q, %q (%s)", f.Verdict, f.MeasuredText(), f.MendText(), tt.want, tt.measured, tt.mend, f.Reason.Words())
			}
		})
	}
	for _, r := range k.book.Rules() {
		if r.Check.OfHousehold() && !tried[r.Check] {
			t.Errorf("rule %s: no row tries a %s", r.ID, r.Check)
		}
	}
}

// What is not given is never met: without a household, without stock, without dates.
func TestHouseholdRulesOfNothing(t *testing.T) {
	k := open(t)
	h := rescue(ferret("bramble", ration.Jill, 1000), ferret("moss", ration.Hob, 1500))
	h.Stock = []ration.Stock{{Food: k.food(t, "thigh"), Mass: units.Kilogram, BestBefore: day0}}
	plan := k.week(t, 2, "1-2.1 bramble: thigh 9 g")
	undated := k.week(t, 2, "1-2.1 bramble: thigh 9 g")
	undated.Start = 0
	for d := range undated.Days {
		undated.Days[d].Date = 0
	}
	bare := *h
	bare.Stock = nil
	for _, tt := range []struct {
		name string
		in   balance.Input
		ids  []string
	}{
		{"no household", balance.Input{Plan: plan}, []string{"meals-enough", "never-fed", "bowls-apart", "stock-enough", "pieces-enough", "stock-in-date", "names-apart"}},
		{"no stock", balance.Input{Plan: plan, Household: &bare}, []string{"stock-enough", "pieces-enough", "stock-in-date"}},
		{"no dates", balance.Input{Plan: undated, Household: h}, []string{"stock-in-date", "days-in-order"}},
	} {
		r := k.audit(t, tt.in)
		for _, id := range tt.ids {
			if f := one(t, r, id); f.Verdict != balance.NotApplicable && f.Verdict != balance.Open || f.ReasonText() == "" {
				t.Errorf("%s: %s is %s, %q", tt.name, id, f.Verdict, f.ReasonText())
			}
		}
	}
}

// Foods of another catalogue are the same foods: by their ids, in the stock and in
// the plan itself.
func TestStockOfAnotherCatalogue(t *testing.T) {
	k := open(t)
	other := load(t, kitchenFiles())
	rabbit, err := other.Find("rabbit")
	if err != nil {
		t.Fatal(err)
	}
	h := rescue(ferret("bramble", ration.Jill, 1000))
	h.Stock = []ration.Stock{{Food: rabbit, Mass: 20 * units.Gram}}
	p := k.week(t, 2, "1-2.1 bramble: rabbit 10 g")
	if f := one(t, k.audit(t, balance.Input{Plan: p, Household: h}), "stock-enough"); f.Verdict != balance.Met {
		t.Errorf("stock of another catalogue: %s", f.MeasuredText())
	}
	meal := &p.Days[1].Meals[0]
	meal.Servings = append(meal.Servings, ration.Serving{Food: rabbit, Mass: 5 * units.Gram})
	f := one(t, k.audit(t, balance.Input{Plan: p, Household: h}), "stock-enough")
	if f.Verdict != balance.Missed || !strings.HasPrefix(f.MeasuredText(), "5 g") {
		t.Errorf("a plan of two catalogues: %s, %s", f.Verdict, f.MeasuredText())
	}
}
