package ration

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

func TestLoadHousehold(t *testing.T) {
	t.Parallel()
	h, _, err := LoadHousehold("home.yaml", strings.NewReader(given.Household), given.Foods(t))
	if err != nil {
		t.Fatal(err)
	}
	check := func(what string, ok bool) {
		t.Helper()
		if !ok {
			t.Errorf("%s is wrong: %+v", what, h)
		}
	}
	check("name", h.Name == "Brackenford Ferret Rescue")
	check("start", h.Start == given.Date(t, "2026-11-30"))
	check("region", h.Region == "Northern Fells")
	check("room", *h.Room == units.DegreesC(19) && *h.Freezer == units.DegreesC(-18))
	check("waking", h.Waking.String() == "06:30-22:30" && h.Waking.Awake == 16*time.Hour)
	check("at risk", h.PeopleAtRisk && h.Style == Assembled)
	b := h.Animals[0]
	check("bramble", b.ID == "bramble" && b.Species == Ferret && b.Sex == Jill && b.Mass == 780*units.Gram && *b.Neutered && b.Group == "upstairs")
	check("never", b.Refuses(given.Food(t, "beef-liver")) && b.Refuses(given.Food(t, "mouse")) && !b.Refuses(given.Food(t, "beef-heart")))
	check("place", b.At.String() == "home.yaml:11:5")
	check("bramble's stage", b.StageOn(h.AsOf) == Adult)
	m := h.Animals[1]
	check("moss", m.Name == "moss" && m.Neutered == nil && m.LongestGap == 210*time.Minute && m.Has(Insulinoma) && m.StageOn(h.AsOf) == Senior)
	p := h.Animals[2]
	w, ok := p.AgeWeeks(h.AsOf)
	check("pip", ok && w == 9 && p.StageOn(h.AsOf) == Kit)
	check("pieces weighed", h.Stock[0].Mass == 1200*units.Gram && h.Stock[0].Pieces == 12 && h.Stock[0].Cost.String() == "4.80 EUR")
	check("pounds", h.Stock[1].Mass == given.Mass(t, "20 oz"))
	check("offer", h.Offers[0].Max == 4 && h.Offers[0].Price.String() == "2.50 EUR")
	check("past best", len(h.PastBest()) == 1 && h.PastBest()[0].Lot == "A7")
	h.Stock[0].BestBefore = h.AsOf
	check("best on its last day", len(h.PastBest()) == 0)
	h.Animals = append(h.Animals, Animal{ID: "fern"})
	bowls := h.Bowls()
	check("alone is alone", len(bowls) == 3 && bowls[2][0].ID == "fern")
	h.Animals = h.Animals[:3]
	bowls = h.Bowls()
	check("bowls", len(bowls) == 2 && len(bowls[0]) == 2 && bowls[1][0].ID == "pip")
}

// Every fault of a file is reported at once, at its place.
func TestLoadHouseholdFaults(t *testing.T) {
	t.Parallel()
	const text = `household: Brackenford Ferret Rescue
as-of: 2026-11-25
romm: 19 °C
animals:
  - {id: bramble, sex: jill, weight: 780}
  - {id: bramble, sex: jil, weight: -2 g}
  - {id: moss, weight: 1.4 g, conditions: [insulinomma], colour: sable}
  - {id: fern, weight: 900 kg, stage: lactating, sex: hob}
  - {id: rue, species: weasel, weight: 300 g}
  - {id: dot, weight: 300 g, age: 8 weeks, stage: adult}
  - {id: ash, weight: 28 g}
stock:
  - {food: chiken wing, mass: 2 kg}
  - {food: beef heart, mass: 2}
  - {food: beef heart}
  - {food: beef heart, pieces: 3}
  - {food: chicken wing, pieces: 12, mass: 42 oz}
  - {food: chicken wing, pieces: 12, mass: 1.2 g}
`
	_, _, err := LoadHousehold("home.yaml", strings.NewReader(text), given.Foods(t))
	var faults strict.Faults
	if !errors.As(err, &faults) {
		t.Fatalf("want faults, got %v", err)
	}
	want := []struct{ at, has string }{
		{"home.yaml:3:1: ", `unknown key "romm", did you mean "room"?`},
		{"home.yaml:5:38: ", "780"},
		{"home.yaml:6:10: ", `animal "bramble" is already there, in line 5`},
		{"home.yaml:6:24: ", "want hob (male) or jill (female)"},
		{"home.yaml:6:37: ", "negative"},
		{"home.yaml:7:24: ", "a thousand times as much would be believed"},
		{"home.yaml:7:44: ", `did you mean "insulinoma"?`},
		{"home.yaml:7:58: ", "colour"},
		{"home.yaml:8:24: ", "a thousandth would be believed"},
		{"home.yaml:8:39: ", "a hob cannot be lactating"},
		{"home.yaml:9:24: ", "species"},
		{"home.yaml:10:51: ", "adult does not fit an age of 8 weeks, which is a kit"},
		{"home.yaml:11:23: ", "as ounces instead of grams it would be believed"},
		{"home.yaml:13:12: ", "near it: chicken-wing"},
		{"home.yaml:14:30: ", "no unit"},
		{"home.yaml:15:5: ", "neither mass nor pieces"},
		{"home.yaml:16:32: ", "no weight of a piece is known for beef heart"},
		{"home.yaml:18:44: ", "a thousand times as much would be believed"},
	}
	for i, f := range faults {
		if i >= len(want) {
			t.Errorf("one fault too many: %v", f)
			continue
		}
		if got := f.Error(); !strings.HasPrefix(got, want[i].at) || !strings.Contains(got, want[i].has) {
			t.Errorf("fault %d\n got %s\nwant %s… %s", i, got, want[i].at, want[i].has)
		}
	}
	if len(faults) < len(want) {
		t.Errorf("%d faults, want %d", len(faults), len(want))
	}
	var unknown *prey.UnknownFoodError
	if !errors.As(err, &unknown) || unknown.Name != "chiken wing" {
		t.Errorf("an unknown food cannot be found in %v", err)
	}
	if !errors.Is(err, units.ErrNoUnit) {
		t.Errorf("a missing unit cannot be found in %v", err)
	}
}

func TestLoadHouseholdEmpty(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, text, want string }{
		{"nothing to feed from", "household: B\nas-of: 2026-11-25\nanimals: [{id: a, weight: 1 kg}]\n", "home.yaml:1:1: neither stock nor offers"},
		{"nobody to feed", "household: B\nas-of: 2026-11-25\nanimals: []\nstock: [{food: mouse, pieces: 3}]\n", "home.yaml:3:10: no animals"},
		{"no text", "", "home.yaml"},
		{"no date", "household: B\nanimals: [{id: a, weight: 1 kg}]\nstock: [{food: mouse, pieces: 3}]\n", `missing key "as-of"`},
		{"no weight", "household: B\nas-of: 2026-11-25\nanimals: [{id: a}]\nstock: [{food: mouse, pieces: 3}]\n", `home.yaml:3:11: missing key "weight"`},
		{"weight of nothing", "household: B\nas-of: 2026-11-25\nanimals: [{id: a, weight: 0 g}]\nstock: [{food: mouse, pieces: 3}]\n", `home.yaml:3:27: 0.0 g`},
	} {
		_, _, err := LoadHousehold("home.yaml", strings.NewReader(tc.text), given.Foods(t))
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: got %v, want %q", tc.name, err, tc.want)
		} else if strings.Count(err.Error(), "\n") != 0 {
			t.Errorf("%s: one slip gave several faults: %v", tc.name, err)
		}
	}
	// Offers alone are enough: beginners start with an empty freezer.
	const offers = "household: B\nas-of: 2026-11-25\nanimals: [{id: a, weight: 1 kg}]\noffers: [{food: mouse, pieces: 10, price: 9 EUR}]\n"
	h, _, err := LoadHousehold("home.yaml", strings.NewReader(offers), given.Foods(t))
	if err != nil || h.Offers[0].Pack != 250*units.Gram || h.Start != h.AsOf {
		t.Errorf("offers alone: %+v, %v", h, err)
	}
}

func TestTimes(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"", "4", "25:00", "12:60", "1:30", "12:3O", "-1:30"} {
		if v, err := ParseTimeOfDay(s); err == nil {
			t.Errorf("ParseTimeOfDay(%q) = %v", s, v)
		}
	}
	for _, s := range []string{"", "06:00", "06:00-06:00", "06:00-24:00"} {
		if v, err := ParseWindow(s); err == nil {
			t.Errorf("ParseWindow(%q) = %v", s, v)
		}
	}
	if w, err := ParseWindow("14:00-06:00"); err != nil || w.Awake != 16*time.Hour || w.String() != "14:00-06:00" {
		t.Errorf("a window past midnight: %v, %v", w, err)
	}
	for _, s := range []string{"", "9", "9 moons", "-3 weeks", "99 years", "1.5 years"} {
		if v, err := parseAge(s); err == nil {
			t.Errorf("parseAge(%q) = %v", s, v)
		}
	}
	for s, want := range map[string]int{"10 days": 10, "14 weeks": 98, "1 week": 7, "4 months": 121, "3 years": 1095} {
		if v, err := parseAge(s); err != nil || v != want {
			t.Errorf("parseAge(%q) = %v, %v; want %v days", s, v, err, want)
		}
	}
}

func FuzzLoadHousehold(f *testing.F) {
	f.Add(given.Household)
	f.Add("household: B\nas-of: 2026-11-25\nanimals: [{id: a, weight: 1 kg}]\nstock: [{food: mouse, pieces: 3}]\n")
	c := given.Foods(f)
	f.Fuzz(func(t *testing.T, s string) {
		h, _, err := LoadHousehold("f", strings.NewReader(s), c)
		if err != nil {
			return
		}
		if len(h.Animals) == 0 || h.Name == "" || len(h.Stock)+len(h.Offers) == 0 {
			t.Fatalf("accepted a household that is not whole: %+v", h)
		}
		for _, a := range h.Animals {
			if a.Mass <= 0 || a.ID == "" {
				t.Fatalf("accepted an animal that is not whole: %+v", a)
			}
			Needs(&a, h.AsOf)
		}
		for _, s := range h.Stock {
			if s.Food == nil || s.Mass <= 0 {
				t.Fatalf("accepted stock that is not whole: %+v", s)
			}
		}
	})
}

// What an animal must not get is an animal, a group or a food that is known: a
// misspelt one is a fault, and any name of an animal finds all food of it.
func TestNever(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	home := func(never string) (*Household, error) {
		h, _, err := LoadHousehold("home.yaml", strings.NewReader("household: Brackenford Ferret Rescue\nas-of: 2026-11-25\nanimals:\n  - {id: moss, weight: 800 g, never: ["+never+
			"]}\nstock:\n  - {food: beef-mince, mass: 1 kg}\n"), c)
		return h, err
	}
	find := func(id string) *prey.Food {
		f, err := c.Find(id)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for _, tc := range []struct{ never, refused, fed string }{
		{"rabbit", "rabbit-meat", "beef-mince"},
		{"rabbits", "rabbit-leg", "beef-mince"},
		{"cow", "beef-mince", "lamb-kidney"},
		{"poultry", "duck-liver", "rabbit-meat"},
		{"fish", "atlantic-salmon", "rabbit-meat"},
		{"salmon", "atlantic-salmon", "rabbit-meat"},
		{"hen", "chicken-wing", "turkey-neck"},
		{"beef liver", "beef-liver", "beef-heart"},
		{"Ruminant", "lamb-kidney", "chicken-wing"},
	} {
		h, err := home(tc.never)
		if err != nil {
			t.Errorf("never %s: %v", tc.never, err)
			continue
		}
		if a := &h.Animals[0]; !a.Refuses(find(tc.refused)) || a.Refuses(find(tc.fed)) {
			t.Errorf("never %s (%v): refuses %s %v, %s %v", tc.never, a.Never, tc.refused, a.Refuses(find(tc.refused)), tc.fed, a.Refuses(find(tc.fed)))
		}
	}
	for _, never := range []string{"rabit", "poltry", "chikcen", "beef livre"} {
		if _, err := home(never); err == nil || !strings.Contains(err.Error(), "home.yaml:4:39: no food is called") {
			t.Errorf("never %s: %v", never, err)
		}
	}
	if _, err := home("rabit"); err == nil || !strings.Contains(err.Error(), `did you mean "rabbit"`) {
		t.Errorf("never rabit: %v", err)
	}
}
