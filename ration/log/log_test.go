package log

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fitchet.example/ration"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
	"fitchet.example/units/wide"

	"pgregory.net/rapid"
)

const logText = `schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-02 20:00
from: 2026-11-30
complete: [2026-11-30 to 2026-12-01]
fed:
  - {at: 2026-11-30 07:00, for: [bramble, moss], food: chicken wing, offered: 100 g, left: 30 g, stash: 10 g, bone-left: 25 g}
  - {at: 2026-11-30 19:00, for: [bramble, moss], food: beef liver, offered: 20 g, left: 0 g, stash: 0 g, seen: {bramble: none}}
  - {at: 2026-12-01 07:00, for: [bramble, moss], food: beef heart, offered: 2 oz, seen: {moss: 20 g}}
  - {at: 2026-12-01 19:00, for: [pip], food: mouse, offered: 25 g, left: 5 g, stash: 0 g, treat: true}
weights:
  - {at: 2026-12-01 08:00, animal: bramble, weight: 790 g}
stools:
  - {at: 2026-12-01 08:00, animal: bramble, class: soft}
signs:
  - {at: 2026-12-01 09:00, animal: pip, sign: dull}
water:
  - {at: 2026-12-01 08:00, for: [pip], offered: 100 mL, left: 60 mL}
  - {at: 2026-12-02 20:00, for: [pip, moss], offered: 100 mL, left: 80 mL}
`

func diary(t *testing.T) *Log {
	t.Helper()
	l, err := Load("diary.yaml", strings.NewReader(logText), given.Foods(t), home(t))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func grams(r units.Range[units.Mass]) string {
	return fmt.Sprintf("%s %s %s", r.Low, r.Typical, r.High)
}

func TestLog(t *testing.T) {
	t.Parallel()
	l := diary(t)
	monday, tuesday := given.Date(t, "2026-11-30"), given.Date(t, "2026-12-01")
	liver := func(f *prey.Food) bool { return f.HasPart(prey.Liver) }
	heart := func(f *prey.Food) bool { return f.HasPart(prey.Heart) }
	wing := func(f *prey.Food) bool { return f.ID == "chicken-wing" }
	for _, tc := range []struct {
		animal string
		kind   func(*prey.Food) bool
		to     units.Date
		want   Answer
		why    string
	}{
		{"moss", liver, tuesday, Yes, "beef liver at 2026-11-30 19:00"}, // bramble was seen to eat none
		{"bramble", liver, tuesday, No, "beef liver stood there at 2026-11-30 19:00, but it took none"},
		{"bramble", liver, tuesday + 1, Open, "2026-12-02"}, // that day is not written down
		{"bramble", wing, tuesday, Open, "nobody saw"},
		{"moss", heart, tuesday, Yes, "20"},
		{"bramble", heart, tuesday, Open, "nobody saw"},
		{"pip", wing, tuesday, No, ""},
	} {
		got, why := l.Got(tc.animal, monday, tc.to, tc.kind)
		if got != tc.want || !strings.Contains(why, tc.why) {
			t.Errorf("%s to %s: %s, %s; want %s, %s", tc.animal, tc.to, got, why, tc.want, tc.why)
		}
	}
	in := l.Intake("", monday, tuesday)
	got := ""
	for _, i := range in {
		got += fmt.Sprintf("%s %s bone %s guessed %s; ", i.Food.ID, grams(i.Eaten), i.BoneLeft.Typical, i.Guessed)
	}
	const want = "beef-heart 20 g 56.69904625 g 56.69904625 g bone 0 g guessed 56.69904625 g; beef-liver 20 g 20 g 20 g bone 0 g guessed 0 g; " +
		"chicken-wing 60 g 60 g 60 g bone 25 g guessed 0 g; mouse 20 g 20 g 20 g bone 0 g guessed 0 g; "
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// Of 85 g of wing that went (60 g eaten, 25 g bare bone), 38 % is bone; 25 g of it was left: 32.3 g - 25 g.
	d, err := l.Diet("", monday, monday, TypicalEnd)
	if err != nil || d.BoneLeft != 25*units.Gram || d.Bone(prey.Typical).Cmp(wide.Mul(uint64(7_300*units.Milligram), uint64(units.Whole))) != 0 {
		t.Errorf("bone %v, left %s, %v", d.Bone(prey.Typical), d.BoneLeft, err)
	}
	// Bare bone of two foods adds up.
	two := *l
	two.Entries = append(slices.Clone(l.Entries), Entry{Meal: l.Entries[0].Meal, For: []string{"pip"}, Food: given.Food(t, "mouse"), Offered: 20 * units.Gram, Left: 4 * units.Gram, BoneLeft: 4 * units.Gram, Weighed: true, Searched: true})
	if d, err := two.Diet("", monday, monday, TypicalEnd); err != nil || d.BoneLeft != 29*units.Gram {
		t.Errorf("bone left %s, %v", d.BoneLeft, err)
	}
	if s := l.Silent("bramble"); len(s) != 1 || s[0] != tuesday+1 {
		t.Errorf("silent %v", s)
	}
	if m, ok := l.LastAte("moss"); !ok || m.String() != "2026-12-01 07:00" {
		t.Errorf("last ate %v %v", m, ok)
	}
	if w := l.Drunk("pip", monday, tuesday); w.Low != 40*units.Millilitre || w.High != w.Low {
		t.Errorf("drunk %v", w)
	}
}

// Water of a shared bowl: who drank it is not known. An entry at the very as-of moment counts.
func TestDrunkShared(t *testing.T) {
	t.Parallel()
	l := diary(t)
	if w := l.Drunk("pip", l.From, l.AsOf.Date); w.Low != 40*units.Millilitre || w.Typical != 50*units.Millilitre || w.High != 60*units.Millilitre {
		t.Errorf("%v", w)
	}
	for range 3 { // more water than a volume can hold
		l.Water = append(l.Water, Drink{When: l.AsOf, For: []string{"pip"}, Offered: 90 * units.Litre, Weighed: true})
	}
	if w := l.Drunk("pip", l.From, l.AsOf.Date); w.Low <= 90*units.Litre || !w.Valid() {
		t.Errorf("%v", w)
	}
}

// What one animal may have eaten, entry by entry: offered 100 g, 20 g left, and what was seen.
func TestAte(t *testing.T) {
	t.Parallel()
	l := &Log{need: map[string]int64{"a": 1000, "b": 3000}}
	e := Entry{For: []string{"a", "b"}, Food: given.Food(t, "mouse"), Offered: 100 * units.Gram, Left: 20 * units.Gram, Weighed: true, Searched: true}
	g := units.Gram
	for _, tc := range []struct {
		name string
		seen []Sighting
		a, b units.Range[units.Mass]
		also func(*Entry)
	}{
		{"nobody looked", nil, units.Range[units.Mass]{Low: 0, Typical: 20 * g, High: 80 * g}, units.Range[units.Mass]{Low: 0, Typical: 60 * g, High: 80 * g}, nil},
		{"a took 30 g", []Sighting{{"a", AteMass, 30 * g}}, units.Exactly(30 * g), units.Exactly(50 * g), nil},
		{"a took none", []Sighting{{"a", AteNone, 0}}, units.Exactly(0 * g), units.Exactly(80 * g), nil},
		{"a took some", []Sighting{{"a", AteSome, 0}}, units.Range[units.Mass]{Low: 1, Typical: 20 * g, High: 80 * g}, units.Range[units.Mass]{Low: 0, Typical: 60 * g, High: 80*g - 1}, nil},
		{"a took all", []Sighting{{"a", AteAll, 0}}, units.Exactly(80 * g), units.Exactly(0 * g), nil},
		{"not searched", nil, units.Range[units.Mass]{Low: 0, Typical: 20 * g, High: 80 * g}, units.Range[units.Mass]{Low: 0, Typical: 60 * g, High: 80 * g}, func(e *Entry) { e.Searched = false }},
		{"not searched, a took 30 g", []Sighting{{"a", AteMass, 30 * g}}, units.Exactly(30 * g), units.Range[units.Mass]{Low: 0, Typical: 50 * g, High: 50 * g}, func(e *Entry) { e.Searched = false }},
		{"not searched, a took all", []Sighting{{"a", AteAll, 0}}, units.Range[units.Mass]{Low: 0, Typical: 80 * g, High: 80 * g}, units.Exactly(0 * g), func(e *Entry) { e.Searched = false }},
		{"not weighed", nil, units.Range[units.Mass]{Low: 0, Typical: 25 * g, High: 100 * g}, units.Range[units.Mass]{Low: 0, Typical: 75 * g, High: 100 * g}, func(e *Entry) { e.Weighed, e.Left = false, 0 }},
	} {
		f := e
		f.Seen = tc.seen
		if tc.also != nil {
			tc.also(&f)
		}
		if a, b := l.Ate(f, "a"), l.Ate(f, "b"); a != tc.a || b != tc.b {
			t.Errorf("%s: a %s, b %s; want %s, %s", tc.name, grams(a), grams(b), grams(tc.a), grams(tc.b))
		}
	}
	if r := l.Ate(e, "c"); r != (units.Range[units.Mass]{}) {
		t.Errorf("somebody else ate %v", r)
	}
}

func TestLogFaults(t *testing.T) {
	t.Parallel()
	const text = `schema: fitchet.log/1
household: Bracken Ferret Rescue
as-of: 2026-12-02 20:00
from: 2026-11-30
fed:
  - {at: 2026-12-02 07:00, for: [bramble], food: mouse, offered: 25 g, left: 30 g}
  - {at: 2026-12-03 07:00, for: [bramble], food: mouse, offered: 25 g}
  - {at: 2026-12-01 07:00, for: [brambel], food: mouse, offered: 25 g}
  - {at: 2026-12-01 07:00, for: [bramble], food: mouse, offered: 25 kg}
  - {at: 2026-12-01 07:00, for: [bramble], food: mouse, offered: 25 g, left: 20 g, stash: 6 g}
  - {at: 2026-12-01 07:00, for: [bramble], food: chicken wing, offered: 100 g, left: 60 g, bone-left: 50 g}
  - {at: 2026-12-01 07:00, for: [bramble, moss], food: mouse, offered: 25 g, seen: {bramble: all, moss: some}}
  - {at: 2026-12-01 07:00, for: [bramble], food: mouse, offered: 25 g, seen: {moss: some}}
  - {at: 2026-11-29 07:00, for: [bramble], food: mouse, offered: 25 g}
  - {at: 2026-12-01 07:00, for: [bramble], food: mouse, offered: 21 g, left: 1 g, stash: 0 g}
  - {at: 2026-12-01 07:00, for: [bramble], food: mouse, offered: 25 g, left: 5 g, bone-left: 6 g}
  - {at: 2026-12-01 07:00, for: [bramble, moss], food: mouse, offered: 25 g, left: 5 g, seen: {moss: 21 g}}
  - {at: 2026-12-01 07:00, for: [bramble, moss], food: mouse, offered: 25 g, left: 5 g, stash: 0 g, seen: {moss: none, bramble: none}}
  - {at: 2026-12-01 07:00, for: [bramble, moss], food: mouse, offered: 25 g, left: 5 g, stash: 0 g, seen: {moss: none, bramble: 19 g}}
weights:
  - {at: 2026-12-01 08:00, animal: bramble, weight: 790 g}
  - {at: 2026-12-01 08:00, animal: bramble, weight: 795 g}
  - {at: 2026-12-01 09:00, animal: bramble, weight: 1.6 kg}
  - {at: 2026-12-02 08:00, animal: bramble, weight: 28 g}
  - {at: 2026-12-02 09:00, animal: moss, weight: 700 kg}
stools:
  - {at: 2026-12-01 08:00, animal: bramble, class: sof}
water: []
`
	l, err := Load("diary.yaml", strings.NewReader(text), given.Foods(t), home(t))
	var faults strict.Faults
	if !errors.As(err, &faults) {
		t.Fatalf("want faults, got %v", err)
	}
	want := []struct{ at, has string }{
		{"diary.yaml:2:12: ", `the household file is of "Brackenford Ferret Rescue"`},
		{"diary.yaml:6:", "left of 25 g"},
		{"diary.yaml:7:", "after the as-of moment"},
		{"diary.yaml:8:", `did you mean "bramble"?`},
		{"diary.yaml:9:", "a thousandth would be believed"},
		{"diary.yaml:10:", "more than the 25.0 g offered"},
		{"diary.yaml:11:", "never holds so much"},
		{"diary.yaml:12:", "another ate too"},
		{"diary.yaml:13:", "moss was not at this bowl"},
		{"diary.yaml:14:", "before the first day"},
		{"diary.yaml:16:", "6.0 g of bare bone among 5.0 g left"},
		{"diary.yaml:17:", "21.0 g seen eaten, but only 20.0 g is gone"},
		{"diary.yaml:18:", "nobody ate, but 20.0 g is gone"},
		{"diary.yaml:19:", "19.0 g seen eaten by all who were there, but 20.0 g is gone"},
		{"diary.yaml:22:", "a second weight of bramble"},
		{"diary.yaml:23:", "not believed for bramble, who weighs 780 g"},
		{"diary.yaml:24:", "as ounces instead of grams"},
		{"diary.yaml:25:", "a thousandth would be believed"},
		{"diary.yaml:27:", `stool "sof"`},
	}
	if len(faults) != len(want) {
		t.Errorf("%d faults, want %d:\n%v", len(faults), len(want), err)
	}
	for i, f := range faults {
		if i < len(want) && (!strings.HasPrefix(f.Error(), want[i].at) || !strings.Contains(f.Error(), want[i].has)) {
			t.Errorf("fault %d\n got %s\nwant %s… %s", i, f.Error(), want[i].at, want[i].has)
		}
	}
	// The rest is still judged.
	if l == nil || len(l.Entries) != 1 || len(l.Weights) != 1 || len(l.Stools) != 0 {
		t.Fatalf("%+v", l)
	}
	if in := l.Intake("bramble", l.From, l.AsOf.Date); len(in) != 1 || in[0].Eaten != units.Exactly(20*units.Gram) {
		t.Errorf("%+v", in)
	}
}

func drawLog(t *rapid.T, c *prey.Catalogue, ids []string) *Log {
	l := &Log{Household: "B", From: 100, AsOf: Moment{110, 0}, need: map[string]int64{}}
	for i, id := range ids {
		l.need[id] = int64(1000 + 300*i)
	}
	for range rapid.IntRange(0, 6).Draw(t, "entries") {
		l.Entries = append(l.Entries, drawEntry(t, c, ids))
	}
	return l
}

func drawEntry(t *rapid.T, c *prey.Catalogue, ids []string) Entry {
	g := func(most units.Mass, what string) units.Mass {
		return units.Mass(rapid.Int64Range(0, int64(most)).Draw(t, what))
	}
	e := Entry{Food: rapid.SampledFrom(c.All()).Draw(t, "food"), Offered: 1 + g(200*units.Gram, "offered"), Weighed: rapid.Bool().Draw(t, "weighed"), Searched: rapid.Bool().Draw(t, "searched")}
	e.Meal = Moment{units.Date(rapid.IntRange(100, 110).Draw(t, "day")), ration.TimeOfDay(rapid.IntRange(0, 1439).Draw(t, "minute"))}
	e.For = append(e.For, ids[:rapid.IntRange(1, len(ids)).Draw(t, "eaters")]...)
	if e.Weighed {
		e.Left = g(e.Offered, "left")
	}
	if e.Searched {
		e.Stash = g(e.Offered-e.Left, "stash")
	}
	gone := e.Offered - e.Left - e.Stash
	switch rapid.IntRange(0, 3).Draw(t, "seen") {
	case 1:
		e.Seen = []Sighting{{e.For[0], AteAll, 0}}
	case 2:
		e.Seen = []Sighting{{e.For[0], AteMass, g(gone, "seen mass")}}
		if len(e.For) == 1 && e.Weighed && e.Searched {
			e.Seen[0].Mass = gone
		}
	case 3:
		if len(e.For) > 1 {
			e.Seen = []Sighting{{e.For[0], AteNone, 0}}
		}
	}
	return e
}

// The order of a log has no meaning; what each animal ate lies in a range, and the ranges fit the whole.
func TestLogProperties(t *testing.T) {
	t.Parallel()
	c, ids := given.Foods(t), []string{"bramble", "moss", "pip"}
	rapid.Check(t, func(t *rapid.T) {
		l := drawLog(t, c, ids)
		for _, e := range l.Entries {
			gone, _ := e.Gone()
			var low, typical, high units.Mass
			for _, id := range e.For {
				r := l.Ate(e, id)
				if !r.Valid() || r.Low < 0 || r.High > gone.High {
					t.Fatalf("%s ate %v of %v", id, r, gone)
				}
				low, typical, high = low+r.Low, typical+r.Typical, high+r.High
			}
			if low > gone.High || high < gone.Low || !gone.Valid() {
				t.Fatalf("the animals ate %s to %s, gone is %v", low, high, gone)
			}
			if off := typical - gone.Typical; off > 3 || off < -3 {
				t.Fatalf("the animals typically ate %s, gone is typically %s: %+v", typical, gone.Typical, e)
			}
		}
		turned := *l
		turned.Entries = slices.Clone(l.Entries)
		slices.Reverse(turned.Entries)
		for _, id := range append(ids, "") {
			if a, b := fmt.Sprint(l.Intake(id, 100, 110)), fmt.Sprint(turned.Intake(id, 100, 110)); a != b {
				t.Fatalf("order matters for %q:\n%s\n%s", id, a, b)
			}
			x, _ := l.Got(id, 100, 110, func(f *prey.Food) bool { return f.HasPart(prey.Liver) })
			y, _ := turned.Got(id, 100, 110, func(f *prey.Food) bool { return f.HasPart(prey.Liver) })
			if x != y {
				t.Fatalf("order matters: %s, %s", x, y)
			}
		}
	})
}

// Writing one bowl down as two changes nothing; eating more never lowers a sum.
func TestLogSplitAndMore(t *testing.T) {
	t.Parallel()
	c, ids := given.Foods(t), []string{"bramble", "moss", "pip"}
	rapid.Check(t, func(t *rapid.T) {
		l := drawLog(t, c, ids)
		e := drawEntry(t, c, ids)
		e.Seen = nil
		whole := *l
		whole.Entries = append(slices.Clone(l.Entries), e)

		a, b := e, e
		cut := func(m units.Mass, most units.Mass, what string) units.Mass {
			return units.Mass(rapid.Int64Range(0, int64(min(m, most))).Draw(t, what))
		}
		a.Left = cut(e.Left, e.Left, "left of the first")
		a.Stash = cut(e.Stash, e.Stash, "stash of the first")
		a.Offered = a.Left + a.Stash + cut(e.Offered-e.Left-e.Stash, e.Offered, "eaten of the first")
		b.Left, b.Stash, b.Offered = e.Left-a.Left, e.Stash-a.Stash, e.Offered-a.Offered
		two := *l
		two.Entries = append(append([]Entry{b}, l.Entries...), a)
		for _, id := range append(ids, "") {
			x, y := whole.Intake(id, 100, 110), two.Intake(id, 100, 110)
			if len(x) != len(y) {
				t.Fatalf("%v, %v", x, y)
			}
			for i := range x {
				off := x[i].Eaten.Typical - y[i].Eaten.Typical // shares are rounded to a picogram each
				if x[i].Eaten.Low != y[i].Eaten.Low || x[i].Eaten.High != y[i].Eaten.High || off > 3 || off < -3 || x[i].Offered != y[i].Offered || x[i].Guessed != y[i].Guessed {
					t.Fatalf("one bowl %+v, two %+v", x[i], y[i])
				}
			}
		}

		// The same with less left.
		more := whole
		more.Entries = slices.Clone(whole.Entries)
		n := len(more.Entries) - 1
		more.Entries[n].Left -= cut(e.Left, e.Left, "more eaten")
		for _, end := range []RangeEnd{LowEnd, TypicalEnd, HighEnd} {
			for _, id := range append(ids, "") {
				x, err1 := whole.Diet(id, 100, 110, end)
				y, err2 := more.Diet(id, 100, 110, end)
				if err1 != nil || err2 != nil || y.Tally.Mass() < x.Tally.Mass() {
					t.Fatalf("more eaten, less counted: %s, %s, %v, %v", x.Tally.Mass(), y.Tally.Mass(), err1, err2)
				}
			}
		}
	})
}

// spoil changes the first entry, or takes what is left of all for bare bone.
func spoil(l *Log, f func(*Entry)) *Log {
	if f != nil {
		f(&l.Entries[0])
		return l
	}
	for i := range l.Entries {
		l.Entries[i].BoneLeft = l.Entries[i].Left
	}
	return l
}

// untouched leaves all of some entries.
func untouched(l *Log, days ...units.Date) *Log {
	for i := range l.Entries {
		if e := &l.Entries[i]; slices.Contains(days, e.Meal.Date) {
			e.Left = e.Offered
		}
	}
	slices.Reverse(l.Entries) // the order of the file says nothing
	return l
}

func TestSignals(t *testing.T) {
	t.Parallel()
	bowls := func(n int, left units.Mass) *Log {
		l := &Log{From: 1}
		for i := range n {
			l.Entries = append(l.Entries, Entry{Meal: Moment{units.Date(1 + i), 0}, For: []string{"b", "a"}, Food: given.Food(t, "mouse"), Offered: 100 * units.Gram, Left: left, Weighed: true})
		}
		return l
	}
	home := &ration.Household{Animals: []ration.Animal{{ID: "a", Stage: ration.Adult}, {ID: "b", Stage: ration.Adult, Conditions: []string{ration.Insulinoma}}}}
	for _, tc := range []struct {
		name string
		log  *Log
		want string
	}{
		{"few", bowls(5, 0), "too few"},
		{"empty", bowls(6, 0), "the scale say whether to offer more"},
		{"full", bowls(6, 20*units.Gram), "20 % of the food was left: find the food"},
		{"fits", bowls(6, 19*units.Gram), "the amount fits"},
		{"nine of ten empty", spoil(bowls(10, 0), func(e *Entry) { e.Left = units.Gram }), "the scale say whether to offer more"},
		{"the last two untouched", untouched(bowls(9, 0), 8, 9), "The last 2 bowls were not touched"},
		{"two untouched, then one eaten", untouched(bowls(9, 0), 7, 8), "22 % of the food was left"},
		{"two bowls, both untouched: the time of who can wait least", bowls(2, 100*units.Gram), "The last 2 bowls were not touched. Eats nothing: offer what it took before, and call a vet after 4 h."},
		{"only bare bone is left", spoil(bowls(6, 30*units.Gram), nil), "the scale say whether to offer more"},
	} {
		s := tc.log.Signals(home, 1, 19)
		if len(s) != 1 || !strings.Contains(s[0].Text, tc.want) || s[0].For[0] != "a" || s[0].Ref.Evidence != cite.Choice {
			t.Errorf("%s: %+v", tc.name, s)
		}
	}
	// Foods of one minute are one bowl; one food nobody weighed makes it one that says nothing.
	two := bowls(7, 10*units.Gram)
	for _, e := range slices.Clone(two.Entries) {
		e.Left = 0
		e.Weighed = e.Meal.Date != 7
		two.Entries = append([]Entry{e}, two.Entries...)
	}
	if s := two.Signals(home, 1, 19); len(s) != 1 || s[0].Bowls != 6 || s[0].Emptied != 0 || s[0].Offered != 1200*units.Gram || s[0].Left != 60*units.Gram {
		t.Errorf("%+v", s)
	}
	l := bowls(6, 0)
	for i := range l.Entries {
		l.Entries[i].Treat = true
	}
	if s := l.Signals(home, 1, 9); len(s) != 0 {
		t.Errorf("treats speak: %+v", s)
	}
}

func FuzzLoadLog(f *testing.F) {
	f.Add(logText)
	f.Add("schema: fitchet.log/1\nhousehold: B\nas-of: 2026-12-02 20:00\nfrom: 2026-11-30\n")
	c, h := given.Foods(f), home(f)
	f.Fuzz(func(t *testing.T, s string) {
		l, err := Load("f", strings.NewReader(s), c, h)
		if l == nil {
			if err == nil {
				t.Fatal("neither a log nor a fault")
			}
			return
		}
		for _, e := range l.Entries {
			if e.Offered <= 0 || e.Left+e.Stash > e.Offered || e.Food == nil || len(e.For) == 0 {
				t.Fatalf("accepted %+v", e)
			}
			for _, id := range e.For {
				if r := l.Ate(e, id); !r.Valid() || r.Low < 0 {
					t.Fatalf("%s ate %v of %+v", id, r, e)
				}
			}
		}
	})
}
