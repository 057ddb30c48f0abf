package ration

import (
	"bytes"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/units"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func open(t testing.TB, s sample) (*Household, *HouseholdFile) {
	t.Helper()
	h, f, err := OpenHousehold(s.path, bytes.NewReader(s.text), s.foods)
	if err != nil {
		t.Fatal(err)
	}
	return h, f
}

func written(t rapid.TB, f *HouseholdFile, h *Household) (string, []string) {
	t.Helper()
	var b bytes.Buffer
	lost, err := f.Write(&b, h)
	if err != nil {
		t.Fatal(err)
	}
	return b.String(), lost
}

// An unchanged file comes back byte for byte; written anew it loads to the same.
func TestWriteHousehold(t *testing.T) {
	t.Parallel()
	for _, s := range samples(t) {
		h, f := open(t, s)
		if text, lost := written(t, f, h); text != string(s.text) || lost != nil {
			t.Errorf("%s does not come back: lost %q, %s", s.path, lost, cmp.Diff(string(s.text), text))
		}
		var b bytes.Buffer
		if err := WriteHousehold(&b, h); err != nil {
			t.Fatalf("%s: %v", s.path, err)
		}
		back, _, err := LoadHousehold("new", &b, s.foods)
		if err != nil {
			t.Fatalf("%s: %v", s.path, err)
		}
		if diff := cmp.Diff(h, back, same); diff != "" {
			t.Errorf("%s: %s", s.path, diff)
		}
	}
}

// A weight that has changed is the only thing that changes.
func TestHouseholdFile_weight(t *testing.T) {
	t.Parallel()
	for _, s := range samples(t) {
		h, f := open(t, s)
		h.Animals[0].Mass += 7 * units.Gram
		text, lost := written(t, f, h)
		was, now := strings.Split(string(s.text), "\n"), strings.Split(text, "\n")
		if len(lost) > 0 || len(was) != len(now) {
			t.Fatalf("%s: lost %q: %s", s.path, lost, text)
		}
		changed := 0
		for i := range was {
			if was[i] != now[i] {
				changed++
				if !strings.Contains(now[i], h.Animals[0].Mass.String()) {
					t.Errorf("%s: %q became %q", s.path, was[i], now[i])
				}
			}
		}
		if changed != 1 {
			t.Errorf("%s: %d lines changed", s.path, changed)
		}
	}
}

const commented = `# The freezer of the rescue

household: Brackenford Ferret Rescue # ours
as-of: 2026-11-25
room: 19 °C

# who eats
animals:
  # the old one
  - id: bramble
    weight: 1.7 lb # weighed at home
    age: 3 years
    never: [beef liver]

  - {id: moss, weight: 1100 g} # the young one
stock:
  - {food: chicken wing, mass: 2 kg} # from the market
  # for Sunday
  - {food: mouse, pieces: 30}
  - {food: mouse, mass: 250 g, lot: B}
`

// What comes and goes leaves the rest in its order, with its comments.
func TestHouseholdFile_changes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what   string
		change func(*Household)
		want   [2]string // what becomes of the file: old text, new text
		lost   []string
	}{
		{"a day", func(h *Household) { h.AsOf = h.AsOf.AddDays(1); h.Start = h.AsOf }, [2]string{}, nil},
		{"a birth date for an age", func(h *Household) { h.Animals[0].Born-- }, [2]string{"age: 3 years", "born: 2023-11-25"}, []string{}},
		{"a room in °F", func(h *Household) { v, _ := units.ParseTemperature("21 °C"); h.Room = &v }, [2]string{"19 °C", "21 °C"}, nil},
		{"a name in quotes", func(h *Household) { h.Name = "Moss: & co" }, [2]string{"household: Brackenford Ferret Rescue", `household: "Moss: & co"`}, nil},
		{"people at risk", func(h *Household) { h.PeopleAtRisk = true }, [2]string{"room: 19 °C\n", "room: 19 °C\npeople-at-risk: true\n"}, []string{}},
		{"an animal gone", func(h *Household) { h.Animals = h.Animals[:1] }, [2]string{"\n\n  - {id: moss, weight: 1100 g} # the young one", ""}, []string{`the comment "# the young one"`}},
		{"a lot gone", func(h *Household) { h.Stock = slices.Delete(h.Stock, 0, 1) }, [2]string{"  - {food: chicken wing, mass: 2 kg} # from the market\n", ""}, []string{`the comment "# from the market"`}},
		{"a lot new", func(h *Household) {
			s := h.Stock[0]
			s.Mass, s.Lot = 500*units.Gram, "no"
			h.Stock = append(h.Stock, s)
		}, [2]string{"lot: B}\n", "lot: B}\n  - {food: chicken-wing, mass: 500 g, lot: \"no\"}\n"}, []string{}},
		{"fewer mice", func(h *Household) { h.Stock[1].Pieces, h.Stock[1].Mass = 28, 28*h.Stock[1].Food.Piece.Typical },
			[2]string{"{food: mouse, pieces: 30}", "{food: mouse, mass: 756 g, pieces: 28}"}, []string{}},
		{"a condition", func(h *Household) { h.Animals[1].Conditions = []string{Obese} }, [2]string{"1100 g}", "1100 g, conditions: [obese]}"}, []string{}},
		{"no never", func(h *Household) { h.Animals[0].Never = nil }, [2]string{"    never: [beef liver]\n", ""}, []string{}},
	} {
		h, f := open(t, sample{path: "home.yaml", text: []byte(commented)})
		c.change(h)
		text, lost := written(t, f, h)
		back, _, err := LoadHousehold("back", strings.NewReader(text), nil)
		if err != nil {
			t.Fatalf("%s: %v\n%s", c.what, err, text)
		}
		if diff := cmp.Diff(h, back, same); diff != "" {
			t.Errorf("%s: %s", c.what, diff)
		}
		if c.want[0] != "" {
			if want := strings.Replace(commented, c.want[0], c.want[1], 1); text != want {
				t.Errorf("%s: %s", c.what, cmp.Diff(want, text))
			}
			if !slices.Equal(lost, c.lost) {
				t.Errorf("%s: lost %q, want %q", c.what, lost, c.lost)
			}
		}
	}
}

// JSON stays JSON, in its order.
func TestHouseholdFile_json(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		`{"as-of":"2026-11-25","household":"h","stock":[{"food":"mouse","pieces":30}],"animals":[{"weight":"1 kg","id":"a"}]}`,
		"{\n  \"as-of\": \"2026-11-25\",\n  \"household\": \"h\",\n  \"stock\": [\n    {\n      \"food\": \"mouse\",\n      \"pieces\": 30\n    }\n  ],\n  \"animals\": [\n    {\n      \"weight\": \"1 kg\",\n      \"id\": \"a\"\n    }\n  ]\n}\n",
	} {
		h, f := open(t, sample{path: "h.json", text: []byte(text)})
		if got, lost := written(t, f, h); got != text || lost != nil {
			t.Errorf("unchanged: %s, %q", got, lost)
		}
		h.Animals[0].Mass = 900 * units.Gram
		if got, lost := written(t, f, h); got != strings.Replace(text, "1 kg", "900 g", 1) || lost != nil {
			t.Errorf("a weight: %s, %q", got, lost)
		}
		h.PeopleAtRisk = true
		got, lost := written(t, f, h)
		if want := strings.Replace(text, `"2026-11-25",`, `"2026-11-25","people-at-risk":true,`, 1); strings.Join(strings.Fields(got), "") != strings.Join(strings.Fields(strings.Replace(want, "1 kg", "900 g", 1)), "") || len(lost) > 0 {
			t.Errorf("a key: %s, %q", got, lost)
		}
	}
}

// Any household can take the place of any other, and any can be written anew.
func TestHouseholdFile_drawn(t *testing.T) {
	t.Parallel()
	all := samples(t)
	whole := func(t *rapid.T) (h Household, ok bool) {
		h = drawnHousehold(t)
		if h.AsOf == 0 {
			h.AsOf = drawnDay
			for i := range h.Animals {
				h.Animals[i].Born = 0
			}
		}
		for i := range h.Animals {
			h.Animals[i].Name, h.Animals[i].Species = h.Animals[i].ID, Ferret
		}
		h.Start = h.FirstDay()
		return h, h.Name != "" && len(h.Stock)+len(h.Offers) > 0
	}
	rapid.Check(t, func(t *rapid.T) {
		h, ok := whole(t)
		if !ok {
			t.Skip()
		}
		var b bytes.Buffer
		if err := WriteHousehold(&b, &h); err != nil {
			t.Fatal(err)
		}
		own, err := withOwn(&h)
		if err != nil {
			t.Fatal(err)
		}
		back, _, err := LoadHousehold("new", bytes.NewReader(b.Bytes()), own)
		if err != nil {
			t.Fatalf("%v\n%s", err, b.Bytes())
		}
		if diff := cmp.Diff(&h, back, same); diff != "" {
			t.Fatal(diff)
		}
		s := rapid.SampledFrom(all).Draw(t, "file")
		was, f, err := OpenHousehold(s.path, bytes.NewReader(s.text), s.foods)
		if err != nil {
			t.Fatal(err)
		}
		f.foods = own
		text, _ := written(t, f, &h)
		back, again, err := OpenHousehold("changed", strings.NewReader(text), own)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(&h, back, same); diff != "" {
			t.Fatal(diff)
		}
		if s.foods == nil { // and back again
			if text, _ := written(t, again, was); text == "" {
				t.Fatal("nothing written")
			}
		}
	})
}

func TestHouseholdFile_refuses(t *testing.T) {
	t.Parallel()
	h, f := open(t, sample{path: "home.yaml", text: []byte(commented)})
	h.Animals[0].Mass = 0
	var b bytes.Buffer
	if _, err := f.Write(&b, h); !errors.Is(err, ErrHousehold) || b.Len() > 0 {
		t.Errorf("no weight: %v, %s", err, b.Bytes())
	}
	if err := WriteHousehold(&b, h); !errors.Is(err, ErrHousehold) || b.Len() > 0 {
		t.Errorf("no weight: %v, %s", err, b.Bytes())
	}
	var none *HouseholdFile
	if _, err := none.Write(&b, h); !errors.Is(err, ErrHousehold) {
		t.Error(err)
	}
	if err := WriteHousehold(&b, nil); !errors.Is(err, ErrHousehold) {
		t.Error(err)
	}
	if _, _, err := OpenHousehold("x", strings.NewReader("a: b"), nil); err == nil {
		t.Error("a file of something else is opened")
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	h, f = open(t, sample{path: "home.yaml", text: []byte(commented)})
	if _, err := f.Write(full, h); err == nil || errors.Is(err, ErrHousehold) {
		t.Errorf("a full disk: %v", err)
	}
}

// A plan file names foods and tells nothing of them; one that comes with foods is
// taken only where the catalogue has them just so.
func TestWritePlan(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawnPlan(t)
		for _, s := range p.Servings() {
			s.Pieces = 0 // a file is held to what a piece weighs
		}
		var b bytes.Buffer
		err := WritePlan(&b, &p)
		if oneFoodEach(p.foods()) != nil {
			if !errors.Is(err, ErrPlan) {
				t.Fatalf("two foods of one id: %v", err)
			}
			return
		}
		if err != nil || strings.Contains(b.String(), `"foods"`) {
			t.Fatalf("%v: %s", err, b.Bytes())
		}
		c, err := prey.Shipped()
		if err != nil {
			t.Fatal(err)
		}
		own, _, err := prey.Own(p.foods())
		if err != nil {
			t.Fatal(err)
		}
		var list []prey.Food
		for _, f := range own {
			mine := *f
			if _, err := c.Find(f.ID); err == nil {
				mine.Override = "changed"
			}
			list = append(list, mine)
		}
		with, err := c.With(list)
		if err != nil {
			t.Fatal(err)
		}
		back, err := LoadPlan("p", bytes.NewReader(b.Bytes()), with, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(own) == 0 && !cmp.Equal(&p, back, same) {
			t.Fatal(cmp.Diff(&p, back, same))
		}
		text, err := p.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := LoadPlan("p", bytes.NewReader(text), c, nil); (err == nil) != (len(own) == 0) {
			t.Fatalf("%d foods of its own: %v", len(own), err)
		}
		if back, err = LoadPlan("p", bytes.NewReader(text), nil, nil); err != nil || !cmp.Equal(&p, back, same) {
			t.Fatalf("%v, %s", err, cmp.Diff(&p, back, same))
		}
	})
	if err := WritePlan(io.Discard, nil); !errors.Is(err, ErrPlan) {
		t.Error(err)
	}
}
