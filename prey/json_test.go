package prey

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// sampleFoods are the shipped foods, those of two sample files, and some made by
// hand.
func sampleFoods(t testing.TB) []*Food {
	c := shippedCatalogue(t)
	all := c.All()
	for _, path := range []string{"../examples/weekplan/testdata/mix-foods.yaml", "../examples/weekplan/testdata/kidney-foods.yaml"} {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		own, err := LoadFoods(path, f, c.Registry())
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		with, err := c.With(own)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range own {
			all = append(all, find(t, with, f.ID))
		}
	}
	reboned := *find(t, c, "chicken-wing")
	s := *reboned.facts.sheet
	poor := *s.bone
	poor[Calcium].at[LeastBone]--
	s.bone = &poor
	refs := reboned.facts.partRefs
	reboned.facts = settle(&reboned, &s, c.bones)
	reboned.facts.partRefs = refs
	return append(all, &reboned, &Food{ID: "by-hand"}, &Food{ID: "muntjac-leg", Species: "muntjac", Like: map[string]string{"muntjac": "deer"}, Kind: Cut})
}

// A food travels with everything in it, seen and unseen.
func TestFood_json(t *testing.T) {
	t.Parallel()
	for _, f := range sampleFoods(t) {
		text, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		byValue, err := json.Marshal(map[string]Food{"f": *f})
		if want := `{"f":` + string(text) + `}`; err != nil || string(byValue) != want {
			t.Errorf("by value: %s, %v", byValue, err)
		}
		var back Food
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatalf("%s: %v", f.ID, err)
		}
		was := *f
		if f.animals == nil {
			back.animals = nil // one of no catalogue is known by its own words alone
		}
		if !reflect.DeepEqual(was, back) {
			t.Errorf("%s is not the same: %s", f.ID, cmp.Diff(was, back, cmp.Exporter(func(reflect.Type) bool { return true })))
		}
		if !f.Equal(&back) || !cmp.Equal(f, &back) {
			t.Errorf("%s is not Equal", f.ID)
		}
	}
}

// Equal sees every single thing that differs.
func TestFood_Equal(t *testing.T) {
	t.Parallel()
	wing := find(t, shippedCatalogue(t), "chicken-wing")
	var none *Food
	if !none.Equal(nil) || none.Equal(wing) || wing.Equal(nil) {
		t.Error("no food")
	}
	for what, change := range map[string]func(*Food){
		"id":       func(f *Food) { f.ID += "s" },
		"bone in":  func(f *Food) { f.BoneIn = !f.BoneIn },
		"shares":   func(f *Food) { f.Shares[1][Bone]--; f.Shares[1][Muscle]++ },
		"piece":    func(f *Food) { f.Piece.High++ },
		"hazards":  func(f *Food) { f.Hazards = append(slices.Clip(f.Hazards), "cooked") },
		"note":     func(f *Food) { f.Notes = append(slices.Clip(f.Notes), Note{Text: "x"}) },
		"ref":      func(f *Food) { f.Ref = cite.Ref{Evidence: cite.Choice, At: "x"} },
		"override": func(f *Food) { f.Override = "x" },
		"figure": func(f *Food) {
			s := *f.facts.sheet
			s.nutrients[Zinc].at[2]++
			f.facts = settle(f, &s, f.facts.bones)
		},
		"no figures": func(f *Food) { f.facts = nil },
	} {
		f := *wing
		change(&f)
		if f.Equal(wing) || wing.Equal(&f) {
			t.Errorf("%s is not seen", what)
		}
	}
}

// Only what differs from the shipped foods is one's own; of one id there may be
// several, each with a name.
func TestOwn(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	wing, heart := find(t, c, "chicken-wing"), find(t, c, "beef-heart")
	copied, changed := *wing, *wing
	changed.Complete = true
	mine := &Food{ID: "mine"}
	for _, tt := range []struct {
		use, own []*Food
		names    string
	}{
		{nil, nil, ""},
		{[]*Food{wing, nil, &copied, heart, mine, mine}, []*Food{mine}, "chicken-wing  chicken-wing beef-heart mine mine"},
		{[]*Food{heart, &changed}, []*Food{&changed}, "beef-heart chicken-wing"},
		{[]*Food{wing, &changed, &copied}, []*Food{wing, &changed}, "chicken-wing chicken-wing#2 chicken-wing"},
	} {
		own, name, err := Own(slices.Values(tt.use))
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, f := range tt.use {
			names = append(names, name(f))
		}
		if !slices.Equal(own, tt.own) || strings.Join(names, " ") != tt.names {
			t.Errorf("%v, %q; want %v, %q", own, names, tt.own, tt.names)
		}
	}
}

func TestFood_unmarshalFaults(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		`[]`:                                   "food:1:1: want a mapping, found a list",
		`{}`:                                   `food:1:1: missing key "id"`,
		`"x"`:                                  "food:1:1: want a mapping",
		"{\"id\":\"x\",\n\"kind\":\"cutt\"}":   `food:2:8: kind "cutt"`,
		`{"id":"x","hazards":["wild-cought"]}`: `did you mean "wild-caught"?`,
		`{"id":"x","species":"chikken"}`:       "not a known animal",
		`{"id":"x","hazard":["wild-caught"]}`:  `unknown key "hazard"`,
		`{"id":"x","parts":[{"part":"bone","at":["10 %","10 %","10 %"]}]}`: "do not make 100 %",
		`{"id":"x","parts":[{"part":"bone","at":["10 %"]}]}`:               "want 3 figures",
		`{"id":"x","figures":[{"nutrient":"zink","at":["1","1","1"]}]}`:    "zink",
		`{"id":"x","figures":[{"nutrient":"zinc","at":["1","1","-1"]}]}`:   "amount",
		`{"id":"x","ref":"memory: x"}`:                                     "food:1:17:",
		`{"id":"x","complete":null}`:                                       "no value here",
	} {
		err := json.Unmarshal([]byte(text), new(Food))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
		var faults strict.Faults
		if json.Valid([]byte(text)) && !errors.As(err, &faults) {
			t.Errorf("%s: %T", text, err)
		}
	}
	for what, f := range map[string]Food{
		"no id": {}, "unknown tag": {ID: "x", Hazards: []string{"cookd"}}, "half a sum": {ID: "x", PartsKnown: true},
		"parts not known": {ID: "x", Shares: [NumCases][NumParts]units.Share{{units.Whole}}}, "no text": {ID: "x", Name: "\x00"},
	} {
		if text, err := json.Marshal(f); !errors.Is(err, ErrFood) {
			t.Errorf("%s is written: %s, %v", what, text, err)
		}
	}
	f := Food{ID: "x"}
	if err := json.Unmarshal([]byte("null"), &f); err != nil || f.ID != "x" {
		t.Errorf("null: %v", err)
	}
}

// Whatever is cut out of or put into a food that was written, reading it ends with
// a food that can be counted and written, or with faults, and never in a panic.
func TestFood_unmarshalBroken(t *testing.T) {
	t.Parallel()
	var texts [][]byte
	for i, f := range sampleFoods(t) {
		if i%10 == 0 {
			text, err := json.Marshal(f)
			if err != nil {
				t.Fatal(err)
			}
			texts = append(texts, text)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "food")
		for range rapid.IntRange(1, 3).Draw(t, "cuts") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 12).Draw(t, "long"))
			put := rapid.SampledFrom([]string{"", "null", "0", "9", "-", `"`, `"100 %"`, "9223372036", "[]", "{}", "bone", "}"}).Draw(t, "put")
			text = slices.Concat(text[:from], []byte(put), text[to:])
		}
		var f Food
		if f.UnmarshalJSON(text) != nil {
			return
		}
		var sum Tally
		if err := sum.Add(&f, units.Gram); err != nil {
			t.Fatalf("read and not countable: %v", err)
		}
		if _, err := f.MarshalJSON(); err != nil {
			t.Fatalf("read and not writable: %v", err)
		}
	})
}
