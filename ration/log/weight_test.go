package log

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fitchet.example/ration"

	"fitchet.example/units"
	"fitchet.example/units/cite"

	"pgregory.net/rapid"
)

func weights(day0 units.Date, grams ...int) (ws []Weighing) {
	for i, g := range grams {
		if g > 0 {
			ws = append(ws, Weighing{When: Moment{day0.AddDays(i * 7), 8 * 60}, Animal: "a", Mass: units.Mass(g) * units.Gram})
		}
	}
	return ws
}

func alertIDs(r WeightReport) string {
	var ids []string
	for _, a := range r.Alerts {
		ids = append(ids, a.ID)
	}
	return strings.Join(ids, " ")
}

func TestWeigh(t *testing.T) {
	t.Parallel()
	a := ferret(ration.Jill, 800*units.Gram)
	for _, tc := range []struct {
		name string
		ws   []Weighing
		want string
	}{
		{"one weight", weights(1000, 800), ""},
		{"steady", weights(1000, 800, 805, 800), ""},
		{"exactly 5 % in a week", weights(1000, 1000, 950), ""},
		{"just over 5 % in a week", weights(1000, 1000, 949), "week-loss"},
		{"10 % over a month, slowly", weights(1000, 1000, 990, 980, 960, 930, 890), ""},
		{"more than 10 % below its mean, slowly", weights(1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 960, 915, 872), "season-loss"},
		{"below 80 % of its mean", weights(1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 955, 908, 863, 820, 780, 745), "season-loss below-year"},
		{"above 120 %", weights(1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1250), "above-year"},
		// Spring: at its usual weight of this time of year, though a tenth below the winter's.
		{"spring as every spring", append(weights(1000-365, 850, 850), weights(1000-28, 1000, 960, 920, 880, 850)...), ""},
	} {
		slices.Reverse(tc.ws) // the order has no meaning
		r := Weigh(tc.ws, a, 2000, DefaultWeightLimits())
		if alertIDs(r) != tc.want || !r.Known {
			t.Errorf("%s: %q, want %q (%+v)", tc.name, alertIDs(r), tc.want, r)
		}
	}
	if r := Weigh(nil, a, 2000, DefaultWeightLimits()); r.Known || len(r.Notes) != 1 {
		t.Errorf("no weight: %+v", r)
	}
	if r := Weigh(weights(1000, 1000, 900), a, 1006, DefaultWeightLimits()); alertIDs(r) != "" {
		t.Errorf("a weight after the day was read: %+v", r)
	}
	lim := DefaultWeightLimits()
	lim.Week = 3 * units.Whole / 100
	if r := Weigh(weights(1000, 1000, 960), a, 2000, lim); alertIDs(r) != "week-loss" {
		t.Errorf("own limit: %+v", r)
	}
	kit := &ration.Animal{ID: "a", Mass: 300 * units.Gram, Born: 950}
	if r := Weigh(weights(1000, 300, 290), kit, 1010, DefaultWeightLimits()); alertIDs(r) != "" || !strings.Contains(strings.Join(r.Notes, " "), "should not lose weight") {
		t.Errorf("kit: %+v", r)
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, al := range Weigh(weights(1000, 1000, 1000, 1000, 1000, 1000, 1000, 700), a, 2000, DefaultWeightLimits()).Alerts {
		if err := al.Ref.Check(reg); err != nil || al.ID == "week-loss" && !strings.Contains(al.Ref.At, "no ferret source") {
			t.Errorf("%s: %v, %v", al.ID, al.Ref, err)
		}
	}
	for _, s := range Stools() {
		if err := s.Ref.Check(reg); err != nil {
			t.Errorf("stool %s: %v", s.Word, err)
		}
		if c, err := ParseStoolClass(s.Word); err != nil || c != s.Class || c.String() != s.Word {
			t.Errorf("stool %s reads back as %v, %v", s.Word, c, err)
		}
	}
}

// Jones and others 2020: lab jills swing between 80 and 120 % of their own mean over the year. A smooth yearly swing of
// that size raises no alert in its second year, when the season is known.
func TestSeasonalSwing(t *testing.T) {
	t.Parallel()
	a := ferret(ration.Jill, 900*units.Gram)
	var ws []Weighing
	for d := 0; d < 730; d += 7 {
		p := d % 365 // up in a line for half a year, then down: 18 % either way
		swing := 180 - 360*p/182
		if p > 182 {
			swing = -180 + 360*(p-182)/183
		}
		ws = append(ws, Weighing{When: Moment{units.Date(1000 + d), 0}, Animal: "a", Mass: units.Mass(900+900*swing/1000) * units.Gram})
	}
	for d := 365; d < 730; d += 7 {
		if r := Weigh(ws, a, units.Date(1000+d), DefaultWeightLimits()); len(r.Alerts) > 0 {
			t.Errorf("day %d: %v", d, r.Alerts)
		}
	}
}

// A lighter latest weight never takes an alert of loss away.
func TestWeighMonotone(t *testing.T) {
	t.Parallel()
	a := ferret(ration.Hob, units.Kilogram)
	rapid.Check(t, func(t *rapid.T) {
		var gs []int
		for range rapid.IntRange(1, 12).Draw(t, "weeks") {
			gs = append(gs, rapid.IntRange(500, 2000).Draw(t, "grams"))
		}
		heavy := weights(1000, gs...)
		light := slices.Clone(heavy)
		light[len(light)-1].Mass -= units.Mass(rapid.IntRange(0, 400).Draw(t, "less")) * units.Gram
		x, y := Weigh(heavy, a, 2000, DefaultWeightLimits()), Weigh(light, a, 2000, DefaultWeightLimits())
		for _, al := range x.Alerts {
			if al.ID == "week-loss" && !slices.ContainsFunc(y.Alerts, func(b Alert) bool { return b.ID == al.ID }) {
				t.Fatalf("%v, lighter %v", x.Alerts, y.Alerts)
			}
		}
		if fmt.Sprint(Weigh(heavy, a, 2000, DefaultWeightLimits())) != fmt.Sprint(x) {
			t.Fatal("not a function")
		}
	})
}
