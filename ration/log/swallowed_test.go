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
	"fitchet.example/units/strict"

	"pgregory.net/rapid"
)

// Bare bone is taken out of what was swallowed with its minerals, and takes no energy with it. The wing of the shipped
// catalogue holds 1.19 g of calcium in the bone of 100 g, of which 38 % is bone, at the typical case (cansu-2015).
func TestSwallowedBone(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	wing, err := c.Find("chicken wing")
	if err != nil {
		t.Fatal(err)
	}
	e := Entry{Meal: Moment{100, 480}, For: []string{"a"}, Food: wing, Offered: 110 * units.Gram, Left: 30 * units.Gram, BoneLeft: 20 * units.Gram, Weighed: true, Searched: true}
	l := &Log{From: 100, AsOf: Moment{101, 0}, foods: c, Entries: []Entry{e}}
	s := l.Swallowed("a", 100, 100)
	if len(s) != 1 || len(s[0].Corners) != 1 || s[0].Typical != s[0].Corners[0] && s[0].Typical.Mass != 80*units.Gram {
		t.Fatalf("%+v", s)
	}
	f := s[0].Typical.Food
	if f.ID != wing.ID || f.Name != wing.Name || len(f.Synonyms) != len(wing.Synonyms) {
		t.Errorf("the food is called %s, %s", f.ID, f.Name)
	}
	per := func(f *prey.Food, n prey.Nutrient) float64 {
		fig, ok := f.Nutrient(n)
		if !ok {
			t.Fatalf("no %s", n)
		}
		return fig.At[prey.Typical].Decimal().InexactFloat64()
	}
	// 100 g went: 80 g swallowed and 20 g of bone. Figures in mg.
	want := per(wing, prey.Calcium) - 0.20*1_190/0.38
	if got := 0.80 * per(f, prey.Calcium); got < want-1 || got > want+1 || want < 500 {
		t.Errorf("calcium %f mg, want %f", got, want)
	}
	if got, want := 0.80*per(f, prey.Protein), per(wing, prey.Protein); got < want-0.001 || got > want+0.001 {
		t.Errorf("protein %f, want %f", got, want)
	}
	before, _, _ := wing.DefaultEnergy()
	after, _, _ := f.DefaultEnergy()
	x, y := before.At[prey.Typical].Decimal().InexactFloat64(), 0.80*after.At[prey.Typical].Decimal().InexactFloat64()
	if x-y > 0.001 || y-x > 0.001 {
		t.Errorf("energy %f, want %f", y, x)
	}

	// Of a shared bowl nobody knows whose bone it was: all of it, or none.
	l.Entries[0].For = []string{"a", "b"}
	l.Entries[0].Seen = []Sighting{{"a", AteMass, 50 * units.Gram}}
	s = l.Swallowed("a", 100, 100)
	if len(s) != 1 || len(s[0].Corners) != 2 {
		t.Fatalf("%+v", s)
	}
	if none, all := s[0].Corners[0], s[0].Corners[1]; none.Food != wing || none.Mass != 50*units.Gram || all.Mass != none.Mass ||
		all.Food.Shares[prey.Typical][prey.Bone] >= f.Shares[prey.Typical][prey.Bone] {
		t.Errorf("%v, %v", none, all)
	}
	// A log built in code has no bone to take out: minerals stay upper figures.
	l.foods = nil
	if g := l.Swallowed("", 100, 100)[0].Typical.Food; per(g, prey.Calcium) != per(wing, prey.Calcium) || g.Shares == wing.Shares {
		t.Errorf("calcium %f", per(g, prey.Calcium))
	}
}

// What was typically swallowed lies between the corners, and they are those of Ate.
func TestSwallowedProperties(t *testing.T) {
	t.Parallel()
	c, ids := given.Foods(t), []string{"bramble", "moss", "pip"}
	rapid.Check(t, func(t *rapid.T) {
		l := drawLog(t, c, ids)
		for i := range l.Entries {
			if e := &l.Entries[i]; e.Weighed && e.Food.PartsKnown {
				e.BoneLeft = units.Mass(rapid.Int64Range(0, int64(min(e.Left, e.Offered/4))).Draw(t, "bone"))
			}
		}
		for _, id := range append(ids, "") {
			for _, s := range l.Swallowed(id, 100, 110) {
				want, _ := s.Entry.Gone()
				if id != "" {
					want = l.Ate(s.Entry, id)
				}
				low, high := s.Corners[0].Mass, s.Corners[0].Mass
				for _, c := range s.Corners {
					low, high = min(low, c.Mass), max(high, c.Mass)
				}
				if low != want.Low || high != want.High || s.Typical.Mass != want.Typical {
					t.Fatalf("%s: %+v, want %v", id, s, want)
				}
			}
		}
	})
}

// What was fed on the day of an entry that could not be read is not known: a no becomes open.
func TestBrokenEntryOpensItsDay(t *testing.T) {
	t.Parallel()
	liver := func(f *prey.Food) bool { return f.HasPart(prey.Liver) }
	for _, tc := range []struct {
		name, entry string
		first       Answer // of the first day
		second      Answer // of the second
	}{
		{"sound", "{at: 2026-11-30 07:00, for: [pip], food: mouse, offered: 25 g}", No, No},
		{"a food nobody knows", "{at: 2026-11-30 07:00, for: [pip], food: livver, offered: 25 g}", Open, No},
		{"more left than offered", "{at: 2026-12-01 07:00, for: [pip], food: mouse, offered: 25 g, left: 30 g}", No, Open},
		{"a day nobody knows", "{at: 2026-11-31 07:00, for: [pip], food: mouse, offered: 25 g}", Open, Open},
		{"after the file's own time", "{at: 2026-12-31 07:00, for: [pip], food: mouse, offered: 25 g}", Open, Open},
		{"no map", "mouse", Open, Open},
	} {
		l, err := Load("d.yaml", strings.NewReader("schema: fitchet.log/1\nhousehold: Brackenford Ferret Rescue\nas-of: 2026-12-01 20:00\nfrom: 2026-11-30\n"+
			"complete: [2026-11-30 to 2026-12-01]\nfed:\n  - "+tc.entry+"\n"), given.Foods(t), home(t))
		if l == nil || (err == nil) != (tc.name == "sound") {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		one, _ := l.Got("pip", l.From, l.From, liver)
		two, _ := l.Got("pip", l.From+1, l.From+1, liver)
		if one != tc.first || two != tc.second {
			t.Errorf("%s: %s and %s, want %s and %s", tc.name, one, two, tc.first, tc.second)
		}
	}
}

// A slip of the pen by the factor of an ounce or a thousand, seen against what the same animals usually get, is named and
// not corrected. A small amount is not a slip by itself.
func TestUsualOffers(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ offered, more, want string }{
		{"3 g", "", "as ounces instead of grams"},
		{"3 g", "treat: true", ""},
		{"90 mg", "", "a thousand times as much"},
		{"20 g", "", ""},
		{"10 g", "", ""},
		{"400 g", "", ""},
	} {
		text := "schema: fitchet.log/1\nhousehold: Brackenford Ferret Rescue\nas-of: 2026-12-05 20:00\nfrom: 2026-11-30\ncomplete: [2026-12-04]\nfed:\n"
		for i, o := range []string{"85 g", "90 g", "80 g", "88 g"} {
			text += fmt.Sprintf("  - {at: 2026-12-0%d 0%d:00, for: [bramble], food: chicken wing, offered: %s}\n", 1+i/2, 6+i, o)
		}
		text += "  - {at: 2026-12-04 07:00, for: [bramble], food: chicken wing, offered: " + tc.offered
		if tc.more != "" {
			text += ", " + tc.more
		}
		l, err := Load("d.yaml", strings.NewReader(text+"}\n"), given.Foods(t), home(t))
		if tc.want == "" {
			if err != nil || len(l.Entries) != 5 || len(l.Complete) != 1 {
				t.Errorf("%s: %v", tc.offered, err)
			}
			continue
		}
		var faults strict.Faults
		if !errors.As(err, &faults) || len(faults) != 1 || !strings.Contains(err.Error(), tc.want) || !strings.HasPrefix(err.Error(), "d.yaml:11:") {
			t.Errorf("%s: %v, want %s", tc.offered, err, tc.want)
		}
		if len(l.Entries) != 4 || len(l.Complete) != 0 {
			t.Errorf("%s: kept", tc.offered)
		}
	}
}

func TestLogThatIsNone(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"", "- a", "schema: fitchet.log/2\nhousehold: B\nas-of: 2026-12-05 20:00\nfrom: 2026-11-30\n",
		"schema: fitchet.log/1\nhousehold: B\nas-of: 2026-12-05\nfrom: 2026-11-30\n",
		"schema: fitchet.log/1\nhousehold: B\nas-of: 2026-12-05 20:00\n",
	} {
		if l, err := Load("d.yaml", strings.NewReader(text), given.Foods(t), home(t)); l != nil || err == nil {
			t.Errorf("%q: a log, %v", text, err)
		}
	}
}

func TestSilences(t *testing.T) {
	t.Parallel()
	l := &Log{From: 100, AsOf: Moment{108, 0}, Complete: []units.Date{100, 108}, Entries: []Entry{
		{Meal: Moment{101, 900}, For: []string{"a", "b"}, Food: given.Food(t, "mouse"), At: ration.Place{Path: "d", Line: 3, Col: 5}},
		{Meal: Moment{101, 480}, For: []string{"a", "b"}, Food: given.Food(t, "mouse"), At: ration.Place{Path: "d", Line: 9, Col: 5}},
		{Meal: Moment{104, 480}, For: []string{"b"}, Food: given.Food(t, "mouse"), At: ration.Place{Path: "d", Line: 4, Col: 5}},
		{Meal: Moment{107, 480}, For: []string{"a", "b", "c"}, Food: given.Food(t, "mouse"), At: ration.Place{Path: "d", Line: 5, Col: 5}},
	}}
	got := ""
	for _, s := range l.Silences([]string{"a", "b", "c"}) {
		got += fmt.Sprintf("%v %d-%d after line %d; ", s.Animals, s.From, s.To, s.After.Line)
	}
	if want := "[c] 101-106 after line 0; [b] 102-103 after line 3; [a] 102-106 after line 3; [b] 105-106 after line 4; "; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	l.Entries = append(l.Entries, Entry{Meal: Moment{104, 500}, For: []string{"a"}, Food: given.Food(t, "mouse"), At: ration.Place{Path: "d", Line: 6, Col: 5}})
	if s := l.Silences([]string{"b", "a"}); len(s) != 2 || !slices.Equal(s[0].Animals, []string{"b", "a"}) || s[1].After.Line != 6 {
		t.Errorf("%+v", s)
	}
}

// Weights and steps from before the first day are welcome, food and stools are not.
func TestOlderThanTheLog(t *testing.T) {
	t.Parallel()
	l, err := Load("d.yaml", strings.NewReader(`schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-05 20:00
from: 2026-11-30
weights: [{at: 2026-06-01 08:00, animal: bramble, weight: 700 g}]
steps: [{at: 2026-06-01 08:00, animal: bramble, stage: soup}]
stools: [{at: 2026-06-01 08:00, animal: bramble, class: firm}]
`), given.Foods(t), home(t))
	if err == nil || len(l.Weights) != 1 || len(l.Steps) != 1 || len(l.Stools) != 0 || strings.Count(err.Error(), "\n") != 0 || !strings.Contains(err.Error(), "before the first day") {
		t.Errorf("%v, %+v", err, l)
	}
}
