package main_test

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units/strict"
)

// ownFoods names the file of own foods that a household is read with.
var ownFoods = map[string]string{
	"good-half-mix":       "mix-foods.yaml",
	"lacking-no-red-meat": "kidney-foods.yaml",
}

// catalogue is the shipped one, with the household's own foods laid over it.
func catalogue(t *testing.T, household string) *prey.Catalogue {
	t.Helper()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	name, ok := ownFoods[household]
	if !ok {
		return c
	}
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	own, err := prey.LoadFoods(name, f, c.Registry())
	if err != nil {
		t.Fatal(err)
	}
	if c, err = c.With(own); err != nil {
		t.Fatal(err)
	}
	return c
}

func loadHousehold(t *testing.T, name string) (*ration.Household, error) {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	h, _, err := ration.LoadHousehold(name+".yaml", f, catalogue(t, name))
	return h, err
}

// households lists the files of testdata whose names begin so, without ".yaml".
func households(t *testing.T, prefix string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("testdata", prefix+"*.yaml"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no household begins with %s: %v", prefix, err)
	}
	names := make([]string, len(paths))
	for i, p := range paths {
		names[i] = strings.TrimSuffix(filepath.Base(p), ".yaml")
	}
	return names
}

func TestHouseholdsLoad(t *testing.T) {
	t.Parallel()
	for _, name := range append(households(t, "good-"), households(t, "lacking-")...) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h, err := loadHousehold(t, name)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range h.PastBest() {
				t.Errorf("%s: %s is past its best before the week begins", s.At, s.Food.Name)
			}
			for i := range h.Animals {
				if need := ration.Needs(&h.Animals[i], h.AsOf); !need.HasBand || len(need.VetFirst) > 0 {
					t.Errorf("%s cannot be planned for as a healthy animal: %v", h.Animals[i].ID, need.VetFirst)
				}
			}
		})
	}
}

// What the files are there for must be in them.
func TestHouseholdsHold(t *testing.T) {
	t.Parallel()
	load := func(name string) *ration.Household {
		h, err := loadHousehold(t, name)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	red := func(h *ration.Household) bool {
		for _, s := range h.Stock {
			if s.Food.Colour == prey.Red {
				return true
			}
		}
		for _, o := range h.Offers {
			if o.Food.Colour == prey.Red {
				return true
			}
		}
		return false
	}
	if h := load("good-one-animal"); len(h.Animals) != 1 {
		t.Errorf("%d animals, want one", len(h.Animals))
	}
	diets := map[string]bool{}
	h := load("good-twelve-animals")
	for _, a := range h.Animals {
		if len(a.Never) > 0 {
			diets[strings.Join(a.Never, ", ")] = true
		}
	}
	if len(h.Animals) != 12 || len(diets) != 2 {
		t.Errorf("%d animals and %d diets, want twelve and two", len(h.Animals), len(diets))
	}
	if h := load("good-empty-freezer"); len(h.Stock) != 0 || len(h.Offers) == 0 {
		t.Errorf("%d lots and %d offers, want an empty freezer", len(h.Stock), len(h.Offers))
	}
	text, err := os.ReadFile(filepath.Join("testdata", "good-ounces.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if m := regexp.MustCompile(`[0-9] (mg|g|kg)\b`).Find(text); m != nil {
		t.Errorf("good-ounces holds a weight in grams: %s", m)
	}
	prey3 := map[string]bool{}
	for _, s := range load("good-whole-prey").Stock {
		if s.Food.Kind == prey.WholePrey {
			prey3[s.Food.Species] = true
		} else if s.Food.Kind != prey.Oil {
			t.Errorf("%s in the freezer for whole prey", s.Food.Name)
		}
	}
	if len(prey3) < 3 || !red(load("good-whole-prey")) {
		t.Errorf("whole prey of %d kinds, want three, one of them red", len(prey3))
	}
	if red(load("lacking-no-red-meat")) {
		t.Error("lacking-no-red-meat holds red meat")
	}
	for _, s := range load("lacking-only-wings").Stock {
		if s.Food.ID != "chicken-wing" {
			t.Errorf("lacking-only-wings holds %s", s.Food.Name)
		}
	}
}

// badHouseholds are files that must be refused, each with all of its faults at
// their places. The lines of a file's faults are in its own order; a fault
// begins with line:column and holds the words.
func badHouseholds() map[string][][2]string {
	return map[string][][2]string{
		"bad-misspelt-food": {
			{"8:13", "chickin"},
			{"11:12", `"chiken wing"; near it: chicken-wing`},
			{"13:12", `"lamb kidny"; near it: lamb-kidney`},
		},
		"bad-mass-without-unit": {
			{"4:7", "no unit: after the number comes °C or °F"},
			{"8:13", `"1.25": no unit`},
			{"9:26", `"800": no unit`},
			{"12:32", `"2": no unit: after the number comes mg, g, kg, oz or lb`},
			{"16:31", `"250": no unit`},
			{"17:44", `"1.90": no unit`},
		},
		"bad-negative-stock": {
			{"9:30", "negative"},
			{"10:34", "-4"},
			{"11:31", "nothing"},
			{"14:30", "negative"},
		},
		"bad-neither-stock-nor-offers": {
			{"2:1", "neither stock nor offers"},
		},
		"bad-null": {
			{"4:6", "no value"},
			{"8:13", "no value"},
			{"11:50", "no value"},
			{"12:4", "no value"},
		},
		"bad-duplicate-animal": {
			{"8:10", `animal "larch" is already there, in line 6`},
		},
		"bad-unknown-key": {
			{"4:1", `unknown key "romm", did you mean "room"?`},
			{"7:5", `missing key "weight"`},
			{"7:17", `unknown key "wieght", did you mean "weight"?`},
			{"7:34", `unknown key "colour"`},
			{"10:37", `unknown key "best-befor", did you mean "best-before"?`},
		},
		"bad-alias-bomb": aliasBombFaults(),
	}
}

// aliasBombFaults: each of the nine levels is an anchor under a key that is not
// known; eight of them hold nine aliases, and a tenth stands in for the offers.
func aliasBombFaults() [][2]string {
	var want [][2]string
	for line := 6; line <= 14; line++ {
		at := func(col string) string { return strconv.Itoa(line) + ":" + col }
		want = append(want, [2]string{at("1"), "unknown key"}, [2]string{at("4"), "anchors"})
		if line > 6 {
			for _, col := range []string{"8", "12", "16", "20", "24", "28", "32", "36", "40"} {
				want = append(want, [2]string{at(col), "aliases"})
			}
		}
	}
	return append(want, [2]string{"17:9", "aliases"})
}

func TestBadHouseholds(t *testing.T) {
	t.Parallel()
	all := badHouseholds()
	for _, name := range households(t, "bad-") {
		if _, ok := all[name]; !ok {
			t.Errorf("nothing is expected of %s", name)
		}
	}
	for name, want := range all {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := loadHousehold(t, name)
			var faults strict.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("want faults, got %v", err)
			}
			for i, f := range faults {
				if i >= len(want) {
					t.Errorf("one fault too many: %v", f)
					continue
				}
				if got := f.Error(); !strings.HasPrefix(got, name+".yaml:"+want[i][0]+": ") || !strings.Contains(got, want[i][1]) {
					t.Errorf("fault %d\n got %s\nwant %s … %s", i+1, got, want[i][0], want[i][1])
				}
			}
			if len(faults) < len(want) {
				t.Errorf("%d faults, want %d", len(faults), len(want))
			}
		})
	}
}
