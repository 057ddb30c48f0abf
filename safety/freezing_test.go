package safety

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"pgregory.net/rapid"
)

func line(t testing.TB, ls []FreezeLine, agent string) FreezeLine {
	t.Helper()
	for _, l := range ls {
		if l.Agent == agent {
			return l
		}
	}
	t.Fatalf("no line for %s", agent)
	return FreezeLine{}
}

func freeze(t testing.TB, f Freezing) []FreezeLine {
	t.Helper()
	ls, err := book(t).Freeze(f)
	if err != nil {
		t.Fatal(err)
	}
	return ls
}

// Outside checks: each row is a printed figure, met just so and missed by the
// smallest step. Sources: Food Code 3-402.11(A); FDA Hazards Guide chapter 5
// (15 cm); Austrian Food Code B 35; former 9 CFR 318.10 table 1.
func TestFreezingAtThePrintedFigures(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source, species, at string
		core                bool
		days                float64
		thick               int
		agent               string
		want                FreezeAnswer
	}{
		{"Food Code (A)(1), -20 °C 7 d", "cod", "-20 °C", false, 7, 50, "fish-worms", ByRule},
		{"the same in °F", "cod", "-4 °F", false, 7, 50, "fish-worms", ByRule},
		{"six days", "cod", "-20 °C", false, 6, 50, "fish-worms", NotMet},
		{"home freezer", "cod", "-18 °C", false, 60, 50, "fish-worms", NotMet},
		{"FDA guide, 15.2 cm", "cod", "-20 °C", false, 7, 152, "fish-worms", ByRule},
		{"FDA guide, thicker", "cod", "-20 °C", false, 7, 153, "fish-worms", NotMet},
		{"thickness not given", "cod", "-20 °C", false, 7, 0, "fish-worms", NotKnown},
		{"Food Code (A)(2), -35 °C 15 h", "cod", "-35 °C", false, 0.625, 50, "fish-worms", ByRule},
		{"Austria, core at -20 °C for 24 h", "cod", "-20 °C", true, 1, 0, "fish-worms", ByRule},
		{"the core figure is not for the freezer's air", "cod", "-20 °C", false, 1, 50, "fish-worms", NotMet},
		{"9 CFR 318.10, 5 °F 20 d to 6 in", "pork", "5 °F", false, 20, 152, "trichinella-spiralis", ByFormerRule},
		{"the same in °C", "pork", "-15 °C", false, 20, 152, "trichinella-spiralis", ByFormerRule},
		{"19 d", "pork", "-15 °C", false, 19, 152, "trichinella-spiralis", NotMet},
		{"two weeks are short", "pork", "-15 °C", false, 14, 100, "trichinella-spiralis", NotMet},
		{"over 6 in needs 30 d", "pork", "-15 °C", false, 29, 153, "trichinella-spiralis", NotMet},
		{"over 6 in, 30 d", "pork", "-15 °C", false, 30, 153, "trichinella-spiralis", ByFormerRule},
		{"over 27 in", "pork", "-15 °C", false, 60, 687, "trichinella-spiralis", NotMet},
		{"-10 °F 10 d", "pork", "-10 °F", false, 10, 100, "trichinella-spiralis", ByFormerRule},
		{"-10 °F 9 d", "pork", "-10 °F", false, 9, 100, "trichinella-spiralis", NotMet},
		{"-10 °F 19 d over 6 in", "pork", "-10 °F", false, 19, 300, "trichinella-spiralis", NotMet},
		{"-20 °F 5 d", "pork", "-20 °F", false, 5, 100, "trichinella-spiralis", NotMet},
		{"-20 °F 11 d over 6 in", "pork", "-20 °F", false, 11, 300, "trichinella-spiralis", NotMet},
		{"-23.3 °C is the same bound", "pork", "-23.3 °C", false, 10, 100, "trichinella-spiralis", ByFormerRule},
		{"-10 °F 20 d over 6 in", "pork", "-10 °F", false, 20, 300, "trichinella-spiralis", ByFormerRule},
		{"-20 °F 6 d", "pork", "-20 °F", false, 6, 100, "trichinella-spiralis", ByFormerRule},
		{"-28.9 °C is the same bound", "pork", "-28.9 °C", false, 6, 100, "trichinella-spiralis", ByFormerRule},
		{"-20 °F 12 d over 6 in", "pork", "-20 °F", false, 12, 300, "trichinella-spiralis", ByFormerRule},
		{"temperature not given", "pork", "", false, 30, 100, "trichinella-spiralis", NotKnown},
		{"Smith 1985 at -17.8 °C, day 10, does not stand in for the table", "pork", "-17.8 °C", false, 10, 100, "trichinella-spiralis", NotMet},
		{"nor day 15 at -12.2 °C", "pork", "-12.2 °C", false, 15, 100, "trichinella-spiralis", NotMet},
		{"Smith 1985, -9.4 °C is never enough", "pork", "-9.4 °C", false, 300, 100, "trichinella-spiralis", NotMet},
		{"Kotula 1990, the mean at -10 °C is no safe time", "pork", "-10 °C", true, 5, 5, "trichinella-spiralis", NotMet},
		{"Kotula 1990, nor is its upper limit", "pork", "-10 °C", true, 266, 5, "trichinella-spiralis", NotMet},
		{"T. britovi, four weeks at -20 °C", "wild boar", "-20 °C", false, 28, 50, "trichinella-britovi", DoNotRely},
		{"T. britovi, a year at -40 °C", "wild boar", "-40 °C", true, 365, 50, "trichinella-britovi", DoNotRely},
		{"MMWR 2024, bear", "bear", "-20 °C", true, 110, 50, "trichinella-nativa", Never},
		{"Toxoplasma, 11 d at -20 °C (Dubey 1974, hearts)", "rabbit", "-20 °C", false, 11, 50, "toxoplasma", ByFigures},
		{"AAP 48 h is shorter than the hearts", "rabbit", "-20 °C", false, 2, 50, "toxoplasma", Lowers},
		{"CDC, several days at 0 °F", "rabbit", "0 °F", false, 14, 50, "toxoplasma", Lowers},
		{"Dubey 1974, whole mice 7 d at -9 °C", "mouse", "-9 °C", false, 7, 20, "toxoplasma", ByFigures},
		{"Sotelo 1986, -24 °C 1 d", "pork", "-24 °C", false, 1, 50, "taenia-solium", ByFigures},
		{"Sotelo 1986, -15 °C 3 d", "pork", "-15 °C", false, 3, 50, "taenia-solium", ByFigures},
		{"Sotelo 1986, -5 °C 4 d", "pork", "-5 °C", false, 4, 50, "taenia-solium", ByFigures},
		{"Nava 2009, 4 cm at -20 °C 48 h", "pork", "-20 °C", false, 2, 40, "taenia-solium", ByFigures},
		{"Sarcocystis: the longest advice counts", "lamb", "-20 °C", false, 6, 50, "sarcocystis", ByFigures},
		{"Sarcocystis: 24 h is not enough", "lamb", "-20 °C", false, 1, 50, "sarcocystis", NotMet},
		{"bacteria", "rabbit", "-80 °C", true, 365, 10, "bacteria", Never},
		{"WHO, bird flu", "chicken", "-80 °C", true, 365, 10, "bird-flu", Never},
		{"O'Halloran 2019, tuberculosis", "deer", "-20 °C", false, 30, 10, "mycobacteria", Never},
		{"pseudorabies", "pork", "-20 °C", false, 30, 10, "pseudorabies", NoFigure},
		{"thiaminase", "smelt", "-20 °C", false, 30, 10, "thiaminase", Never},
	} {
		f := Freezing{Species: c.species, At: reading(t, c.at), Core: c.core, For: time.Duration(c.days * float64(Day)), Thickness: c.thick}
		if l := line(t, freeze(t, f), c.agent); l.Answer != c.want || l.Why == "" {
			t.Errorf("%s: %s (%s), want %s", c.source, l.Answer, l.Why, c.want)
		}
	}
}

// Outside check: the means and 99 % upper limits of Kotula and others 1990 as
// printed, against the regression log10(h) = 5.98 + 0.40 T of its abstract
// (plus 7 minutes). The rows ship as means, and a mean is never a safe time.
func TestMeansAreNeverSafeTimes(t *testing.T) {
	t.Parallel()
	for _, h := range book(t).Holds("") {
		if h.Outcome == MeanOnly && h.safeTime() {
			t.Errorf("%s counts as a safe time", h.ID)
		}
		if h.Outcome == Infective && h.safeTime() {
			t.Errorf("%s: infective meat counts as safe", h.ID)
		}
		if h.Ref.Evidence != cite.Published {
			t.Errorf("%s rests on %s", h.ID, h.Ref)
		}
	}
	want := map[string][2]time.Duration{
		"trich-kotula-20": {8 * time.Minute, 48 * time.Minute},
		"trich-kotula-15": {64 * time.Minute, 63 * time.Hour},
		"trich-kotula-10": {4 * Day, 266 * Day},
	}
	for _, h := range book(t).Holds("trichinella-spiralis") {
		if w, ok := want[h.ID]; ok {
			if h.Low != w[0] || h.High != w[1] || h.Outcome != MeanOnly {
				t.Errorf("%s: %s to %s, %s", h.ID, h.Low, h.High, h.Outcome)
			}
			delete(want, h.ID)
		}
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
}

func TestANanosecondShortIsNotMet(t *testing.T) {
	t.Parallel()
	f := Freezing{Species: "cod", At: reading(t, "-20 °C"), For: 7*Day - 1, Thickness: 50}
	if l := line(t, freeze(t, f), "fish-worms"); l.Answer != NotMet {
		t.Errorf("%s", l.Answer)
	}
}

// The blanket advice (common practice: freeze hunted meat some weeks), by
// animal: what is named as not answered must stay named.
func TestHuntedMeatByAnimal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ species, never, noFigure, rely string }{
		{"rabbit", "bacteria lead", "tularemia", ""},
		{"hare", "bacteria lead", "tularemia", ""},
		{"deer", "bacteria mycobacteria lead", "wasting-disease", ""},
		{"wild boar", "bacteria lead", "pseudorabies", "trichinella-britovi"},
		{"bear", "trichinella-nativa bacteria rodenticide", "", ""},
		{"fox", "trichinella-nativa bacteria rodenticide", "", ""},
		{"squirrel", "bacteria lead rodenticide", "tularemia", ""},
		{"duck", "bacteria bird-flu mycobacteria lead", "", ""},
		{"smelt", "bacteria thiaminase", "", ""},
	} {
		var never, none, rely []string
		for _, l := range freeze(t, Freezing{Species: c.species, Wild: true, At: At(units.DegreesC(-18)), For: 21 * Day, Thickness: 50}) {
			switch l.Answer {
			case Never:
				never = append(never, l.Agent)
			case NoFigure:
				none = append(none, l.Agent)
			case DoNotRely:
				rely = append(rely, l.Agent)
			case ByRule, ByFormerRule:
				t.Errorf("%s: %s is said to meet a rule in a home freezer", c.species, l.Agent)
			}
		}
		if got := fmt.Sprint(never, none, rely); got != fmt.Sprint(strings.Fields(c.never), strings.Fields(c.noFigure), strings.Fields(c.rely)) {
			t.Errorf("%s: %s", c.species, got)
		}
	}
}

func TestFreezeRefuses(t *testing.T) {
	t.Parallel()
	b := book(t)
	if _, err := b.Freeze(Freezing{Species: "unicorn"}); !errors.Is(err, prey.ErrSpecies) {
		t.Error(err)
	}
	if _, err := b.Freeze(Freezing{Species: "rabbit", For: -1}); !errors.Is(err, ErrServing) {
		t.Error(err)
	}
	for s, want := range map[string]int{"15.2 cm": 152, "6 in": 153, "40 mm": 40, "27 in": 686, "1 in": 26, "0.5 cm": 5} {
		if got, err := Millimetres(s); err != nil || got != want {
			t.Errorf("%s: %d %v, want %d", s, got, err, want)
		}
	}
	for _, s := range []string{"", "15", "cm", "-1 cm", "1.234 cm", "1. cm", "99999 cm", "1e3 mm"} {
		if got, err := Millimetres(s); !errors.Is(err, ErrServing) {
			t.Errorf("%q: %d %v", s, got, err)
		}
	}
}

// Longer or colder never turns a met figure into one that is not met.
func TestLongerOrColderIsNeverWorse(t *testing.T) {
	t.Parallel()
	b := book(t)
	good := func(a FreezeAnswer) bool { return a == ByRule || a == ByFormerRule }
	rapid.Check(t, func(t *rapid.T) {
		f := Freezing{
			Species:   rapid.SampledFrom([]string{"pork", "cod", "lamb", "rabbit", "mouse"}).Draw(t, "species"),
			At:        At(units.Temperature(rapid.Int64Range(int64(units.DegreesC(-40)), 0).Draw(t, "at"))),
			Core:      rapid.Bool().Draw(t, "core"),
			For:       time.Duration(rapid.IntRange(0, 40*24).Draw(t, "hours")) * time.Hour,
			Thickness: rapid.IntRange(0, 700).Draw(t, "mm"),
		}
		before, err := b.Freeze(f)
		if err != nil {
			t.Fatal(err)
		}
		f.For += time.Duration(rapid.IntRange(0, 1000).Draw(t, "more")) * time.Hour
		f.At.At -= units.Temperature(rapid.Int64Range(0, int64(units.DegreesC(20))).Draw(t, "colder"))
		after, err := b.Freeze(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range before {
			i := slices.IndexFunc(after, func(m FreezeLine) bool { return m.Agent == l.Agent })
			if good(l.Answer) && !good(after[i].Answer) {
				t.Fatalf("%s: %s became %s", l.Agent, l.Answer, after[i].Answer)
			}
		}
	})
}
