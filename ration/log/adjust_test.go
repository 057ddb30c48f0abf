package log

import (
	"fmt"
	"strings"
	"testing"

	"fitchet.example/ration"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// energyFood is a food of 150 kcal per 100 g.
func energyFood(t *testing.T) *prey.Food {
	t.Helper()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	fs, err := prey.LoadFoods("own", strings.NewReader(`foods:
  - id: mix
    name: mix
    kind: mix
    contains: [beef]
    colour: red
    complete: true
    ref: "choice: made up"
    label: {state: wet, per: fed, moisture: "70 %", protein: "16.25 %", fat: "10 %", fibre: "0 %", ash: "3.75 %"}
`), reg)
	if err != nil {
		t.Fatal(err)
	}
	e, _, ok := fs[0].DefaultEnergy()
	if !ok || e.At[prey.Typical] != 150e9 {
		t.Fatalf("4 x 16.25 + 8.5 x 10 = 150, got %v", e)
	}
	return &fs[0]
}

func TestAdjust(t *testing.T) {
	t.Parallel()
	mix := energyFood(t)
	week := func(grams units.Mass, weights ...units.Mass) *Log {
		l := &Log{From: 100, AsOf: Moment{107, 0}}
		for d := units.Date(100); d < 107; d++ {
			l.Complete = append(l.Complete, d)
			l.Entries = append(l.Entries, Entry{Meal: Moment{d, 480}, For: []string{"a"}, Food: mix, Offered: grams*units.Gram + 10*units.Gram, Left: 10 * units.Gram, Weighed: true, Searched: true})
		}
		for i, w := range weights {
			l.Weights = append(l.Weights, Weighing{When: Moment{units.Date(100 + 6*i), 0}, Animal: "a", Mass: w * units.Gram})
		}
		return l
	}
	plain := ferret(ration.Jill, units.Kilogram)
	for _, tc := range []struct {
		name   string
		animal *ration.Animal
		log    *Log
		spoil  func(*Log)
		next   ration.Tenths // 0: not known
		says   string
	}{
		{"held", plain, week(80, 1000, 1000), nil, 1200, "held its weight on 120.0 kcal a day"},
		{"held within 2 %", plain, week(80, 1000, 980), nil, 1200, "held"},
		{"lost", plain, week(80, 1000, 979), nil, 1320, "lost 2.1 %"},
		{"gained", plain, week(80, 1000, 1021), nil, 1080, "gained 2.1 %"},
		{"below resting need", plain, week(40, 1000, 1000), nil, 700, "below resting need"},
		{"one weight", plain, week(80, 1000), nil, 0, "without two weights"},
		{"nothing eaten", plain, week(0, 1000, 1000), nil, 0, "ate nothing"},
		{"four days", plain, week(80, 1000, 1000), func(l *Log) { l.Complete = l.Complete[:4] }, 0, "4 days are written down in full"},
		{"a day that is not complete does not count", plain, week(80, 1000, 1000), func(l *Log) { l.Complete = l.Complete[:6]; l.Entries[6].Left = 50 * units.Gram }, 1200, "held"},
		{"two of seven not weighed", plain, week(80, 1000, 1000), func(l *Log) {
			l.Entries[0].Weighed, l.Entries[0].Left = false, 0
			l.Entries[1].Weighed, l.Entries[1].Left = false, 0
			l.Entries[2].Weighed, l.Entries[2].Left = false, 0
		}, 0, "too wide a range"},
		{"energy not known", plain, week(80, 1000, 1000), func(l *Log) { l.Entries[0].Food = given.Food(t, "turkey-mix") }, 0, "is not known"},
		{"shared", plain, week(80, 1000, 1000), func(l *Log) {
			for i := range l.Entries {
				l.Entries[i].For = []string{"a", "b"}
			}
		}, 0, "too wide a range"},
		{"ill", &ration.Animal{ID: "a", Mass: units.Kilogram, Stage: ration.Adult, Conditions: []string{ration.Ill}}, week(80, 1000, 1000), nil, 0, "Ask the vet"},
		{"juvenile", &ration.Animal{ID: "a", Mass: units.Kilogram, Stage: ration.Juvenile}, week(80, 1000, 1000), nil, 0, "fed to appetite"},
	} {
		if tc.spoil != nil {
			tc.spoil(tc.log)
		}
		c := Adjust(ration.Needs(tc.animal, 107), tc.log, 100, 106)
		if c.Known != (tc.next > 0) || c.Next != tc.next || !strings.Contains(c.Text, tc.says) {
			t.Errorf("%s: %+v", tc.name, c)
		}
	}
	if c := Adjust(ration.Need{}, week(80), 1, 2); c.Known || c.Text == "" {
		t.Errorf("%+v", c)
	}
	// Outward, and half up in the middle: (7 x 120 + 7.5) / 7 = 121.071. Weights of others do not count.
	l := week(80, 1000, 1000)
	l.Entries[0].Offered += 5 * units.Gram
	l.Weights = append(l.Weights, Weighing{When: Moment{106, 1000}, Animal: "b", Mass: 500 * units.Gram})
	if c := Adjust(ration.Needs(plain, 107), l, 100, 106); fmt.Sprint(c.Eaten) != fmt.Sprint(units.Range[ration.Tenths]{Low: 1210, Typical: 1211, High: 1211}) || c.Change != 0 {
		t.Errorf("%+v", c)
	}
}
