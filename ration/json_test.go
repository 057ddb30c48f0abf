package ration

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/strict"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// same are the values that do not depend on where they were read.
var same = cmp.Options{cmpopts.IgnoreTypes(Place{}), cmpopts.EquateEmpty()}

// ownFoods is the shipped catalogue with the foods of a file.
func ownFoods(t testing.TB, path string) *prey.Catalogue {
	t.Helper()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	own, err := prey.LoadFoods(path, f, c.Registry())
	if err != nil {
		t.Fatal(err)
	}
	if c, err = c.With(own); err != nil {
		t.Fatal(err)
	}
	return c
}

// sample is a household file of the examples.
type sample struct {
	path  string
	text  []byte
	foods *prey.Catalogue
	h     *Household
}

func samples(t testing.TB) []sample {
	t.Helper()
	var out []sample
	for _, pattern := range []string{"household.yaml", "testdata/good-*.yaml", "testdata/lacking-*.yaml"} {
		paths, err := filepath.Glob("../examples/*/" + pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			s := sample{path: path}
			switch filepath.Base(path) {
			case "good-half-mix.yaml":
				s.foods = ownFoods(t, "../examples/weekplan/testdata/mix-foods.yaml")
			case "lacking-no-red-meat.yaml":
				s.foods = ownFoods(t, "../examples/weekplan/testdata/kidney-foods.yaml")
			}
			if s.text, err = os.ReadFile(path); err != nil {
				t.Fatal(err)
			}
			if s.h, _, err = LoadHousehold(path, strings.NewReader(string(s.text)), s.foods); err != nil {
				t.Fatal(err)
			}
			out = append(out, s)
		}
	}
	if len(out) < 10 {
		t.Fatalf("only %d sample households", len(out))
	}
	return out
}

// travels writes a value alone, by pointer and inside others, and reads it back.
func travels[T any](t rapid.TB, v T) T {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	type around struct {
		V    T
		P    *T
		List []T
		Map  map[string]*T
	}
	whole, err := json.Marshal(around{v, &v, []T{v}, map[string]*T{"k": &v}})
	if want := `{"V":` + string(text) + `,"P":` + string(text) + `,"List":[` + string(text) + `],"Map":{"k":` + string(text) + `}}`; err != nil || string(whole) != want {
		t.Fatalf("inside others: %s, %v; alone %s", whole, err, text)
	}
	var back around
	if err := json.Unmarshal(whole, &back); err != nil {
		t.Fatalf("%v in %s", err, whole)
	}
	for _, b := range []T{back.V, *back.P, back.List[0], *back.Map["k"]} {
		if diff := cmp.Diff(v, b, same); diff != "" {
			t.Fatalf("came back different: %s", diff)
		}
		if again, err := json.Marshal(b); err != nil || string(again) != string(text) {
			t.Fatalf("written again: %s, %v", again, err)
		}
	}
	return back.V
}

// Every sample household travels, and is then read by the loader of files as well.
func TestHousehold_json(t *testing.T) {
	t.Parallel()
	for _, s := range samples(t) {
		travels(t, *s.h)
		text, err := json.Marshal(s.h)
		if err != nil {
			t.Fatal(err)
		}
		back, c, err := LoadHousehold("h.json", strings.NewReader(string(text)), nil)
		if err != nil {
			t.Fatalf("%s: %v", s.path, err)
		}
		if diff := cmp.Diff(s.h, back, same); diff != "" {
			t.Errorf("%s as a file: %s", s.path, diff)
		}
		for _, l := range back.Stock {
			if f, err := c.Find(l.Food.ID); err != nil || f != l.Food {
				t.Errorf("%s: %s is not of the catalogue that comes with it", s.path, l.Food.ID)
			}
		}
	}
}

func drawnFood(t *rapid.T) *prey.Food {
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	f := rapid.SampledFrom(c.All()).Draw(t, "food")
	if rapid.IntRange(0, 3).Draw(t, "own") > 0 {
		return f
	}
	own := *f
	own.ID, own.Name, own.Synonyms = "own-"+f.ID, "own "+f.Name, nil
	return &own
}

func maybe[T any](t *rapid.T, what string, some *rapid.Generator[T]) (v T) {
	if rapid.Bool().Draw(t, what+" there") {
		v = some.Draw(t, what)
	}
	return v
}

func ptr[T any](v T) *T { return &v }

const drawnDay = units.Date(20_000)

// drawHousehold is any household that is whole, also one that no file would be.
func drawnHousehold(t *rapid.T) Household {
	name := rapid.StringMatching(`[A-Za-z<&"'é:#-]{1,12}( [a-z]{1,4})?`)
	date := rapid.Map(rapid.IntRange(0, 400), drawnDay.AddDays)
	h := Household{
		Name: maybe(t, "name", name), AsOf: maybe(t, "as of", rapid.Just(drawnDay)), Target: maybe(t, "target", name), Region: maybe(t, "region", name),
		MealsPerDay: rapid.IntRange(0, 12).Draw(t, "meals"), PeopleAtRisk: rapid.Bool().Draw(t, "people"), Style: Style(rapid.IntRange(0, 3).Draw(t, "style")),
		Room:    maybe(t, "room", rapid.Map(rapid.SampledFrom([]string{"19 °C", "-3.5 °C", "70 °F"}), func(s string) *units.Temperature { v, _ := units.ParseTemperature(s); return &v })),
		Freezer: maybe(t, "freezer", rapid.Map(rapid.SampledFrom([]string{"-18 °C", "0 °F"}), func(s string) *units.Temperature { v, _ := units.ParseTemperature(s); return &v })),
		Waking:  maybe(t, "waking", rapid.Map(rapid.SampledFrom([]string{"06:30-22:30", "22:00-05:00"}), func(s string) *Window { v, _ := ParseWindow(s); return &v })),
	}
	if h.AsOf != 0 {
		h.Start = maybe(t, "start", rapid.Map(rapid.IntRange(0, 28), drawnDay.AddDays))
	}
	price := rapid.Map(rapid.Int64Range(1, 99_999), func(n int64) units.Price { p, _ := units.NewPrice(decimal.New(n, -2), "EUR"); return p })
	for i := range rapid.IntRange(1, 3).Draw(t, "animals") {
		a := Animal{
			ID: "a" + string(rune('a'+i)), Name: maybe(t, "called", name), Species: rapid.SampledFrom([]string{"", Ferret, Mink}).Draw(t, "species"),
			Sex: Sex(rapid.IntRange(0, 1).Draw(t, "sex")), Mass: units.Mass(rapid.Int64Range(int64(200*units.Gram), int64(5*units.Kilogram)).Draw(t, "mass")),
			Outdoor: rapid.Bool().Draw(t, "outdoor"), Stage: rapid.SampledFrom([]Stage{StageByAge, Adult, Senior}).Draw(t, "stage"),
			Neutered:   maybe(t, "neutered", rapid.Map(rapid.Bool(), ptr[bool])),
			Conditions: maybe(t, "conditions", rapid.SliceOfNDistinct(rapid.SampledFrom(Conditions()), 1, 3, rapid.ID)),
			LongestGap: time.Duration(maybe(t, "gap", rapid.IntRange(1, 40*60))) * time.Minute,
			Never:      maybe(t, "never", rapid.SliceOfN(rapid.SampledFrom([]string{"fish", "beef liver", "chicken-wing", "poultry"}), 1, 2)),
			Group:      maybe(t, "group", name),
		}
		for j, n := range a.Never { // as the loader has it
			if n == "beef liver" {
				a.Never[j] = "beef-liver"
			}
		}
		if h.AsOf != 0 && a.Stage == StageByAge {
			a.Born = maybe(t, "born", rapid.Map(rapid.IntRange(400, 3000), func(n int) units.Date { return drawnDay.AddDays(-n) }))
		}
		h.Animals = append(h.Animals, a)
	}
	seen := map[string]*prey.Food{}
	food := func() *prey.Food {
		f := drawnFood(t)
		if seen[f.ID] == nil {
			seen[f.ID] = f
		}
		return seen[f.ID]
	}
	amount := rapid.Map(rapid.Int64Range(1, int64(3*units.Kilogram)), func(n int64) units.Mass { return units.Mass(n) })
	for range rapid.IntRange(0, 4).Draw(t, "lots") {
		s := Stock{Food: food(), Mass: amount.Draw(t, "mass"), Supplier: maybe(t, "supplier", name), Lot: maybe(t, "lot", name), Cost: maybe(t, "cost", rapid.Map(price, ptr[units.Price]))}
		if p := s.Food.Piece.Typical; p > 0 && rapid.Bool().Draw(t, "counted") {
			s.Pieces, s.Mass = 3, 3*p
		}
		if h.AsOf != 0 {
			s.BestBefore = maybe(t, "best before", date)
		}
		h.Stock = append(h.Stock, s)
	}
	for range rapid.IntRange(0, 3).Draw(t, "offers") {
		h.Offers = append(h.Offers, Offer{Food: food(), Pack: amount.Draw(t, "pack"), Price: price.Draw(t, "price"), Supplier: maybe(t, "supplier", name), Max: rapid.Int64Range(0, 9).Draw(t, "max")})
	}
	return h
}

// drawPlan is any plan that is whole.
func drawnPlan(t *rapid.T) Plan {
	p := Plan{Household: "Brackenford Ferret Rescue", Start: drawnDay, Target: maybe(t, "target", rapid.Just("assembled"))}
	day := p.Start
	for range rapid.IntRange(0, 4).Draw(t, "days") {
		day = day.AddDays(rapid.IntRange(1, 3).Draw(t, "gap"))
		d := Day{Date: day}
		for range rapid.IntRange(0, 3).Draw(t, "meals") {
			m := Meal{Slot: rapid.IntRange(1, 24).Draw(t, "slot"), For: rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"bramble", "moss", "pip"}), 1, 3, rapid.ID).Draw(t, "for")}
			for range rapid.IntRange(1, 4).Draw(t, "servings") {
				s := Serving{Food: drawnFood(t), Mass: units.Mass(rapid.Int64Range(100, int64(units.Kilogram)).Draw(t, "mass")), Pieces: rapid.Int64Range(0, 9).Draw(t, "pieces"),
					Form: safety.Form(rapid.IntRange(0, int(safety.Soaked)).Draw(t, "form"))}
				if rapid.IntRange(0, 5).Draw(t, "changed") == 0 { // as where bare bone was taken out
					f := *s.Food
					f.Complete = !f.Complete
					s.Food = &f
				}
				m.Servings = append(m.Servings, s)
			}
			d.Meals = append(d.Meals, m)
		}
		p.Days = append(p.Days, d)
	}
	return p
}

func TestHousehold_jsonDrawn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) { travels(t, drawnHousehold(t)) })
}

func TestPlan_jsonDrawn(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := drawnPlan(t)
		travels(t, p)
		text, err := json.Marshal(&p)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), `"foods"`) != slices.ContainsFunc(slices.Collect(p.foods()), func(f *prey.Food) bool {
			shipped, err := c.Find(f.ID)
			return err != nil || !shipped.Equal(f)
		}) {
			t.Fatalf("own foods and no others travel: %s", text)
		}
	})
}

// What cannot be read back is not written.
func TestHousehold_notWhole(t *testing.T) {
	t.Parallel()
	whole := func() Household {
		return Household{Name: "h", Animals: []Animal{{ID: "a", Mass: units.Kilogram}}}
	}
	if _, err := json.Marshal(whole()); err != nil {
		t.Fatal(err)
	}
	food := &prey.Food{ID: "x"}
	for what, spoil := range map[string]func(*Household){
		"nobody":         func(h *Household) { h.Animals = nil },
		"no id":          func(h *Household) { h.Animals[0].ID = "" },
		"one id twice":   func(h *Household) { h.Animals = append(h.Animals, h.Animals[0]) },
		"no weight":      func(h *Household) { h.Animals[0].Mass = 0 },
		"too heavy":      func(h *Household) { h.Animals[0].Mass = 50 * units.Kilogram },
		"bad stage":      func(h *Household) { h.Animals[0].Stage = 99 },
		"bad sex":        func(h *Household) { h.Animals[0].Sex = 9 },
		"bad condition":  func(h *Household) { h.Animals[0].Conditions = []string{"sick"} },
		"bad never":      func(h *Household) { h.Animals[0].Never = []string{"fisch"} },
		"never by name":  func(h *Household) { h.Animals[0].Never = []string{"Beef Liver"} },
		"seconds":        func(h *Household) { h.Animals[0].LongestGap = time.Second },
		"bad style":      func(h *Household) { h.Style = 77 },
		"hidden name":    func(h *Household) { h.Name = "\u202e" },
		"no food":        func(h *Household) { h.Stock = []Stock{{Mass: 1}} },
		"no food to buy": func(h *Household) { h.Offers = []Offer{{Pack: 1}} },
		"no price":       func(h *Household) { h.Offers = []Offer{{Food: food, Pack: units.Gram}} },
		"bad food":       func(h *Household) { h.Stock = []Stock{{Food: &prey.Food{ID: "X Y"}, Mass: 1}} },
		"waking":         func(h *Household) { h.Waking = &Window{Awake: time.Second} },
	} {
		h := whole()
		spoil(&h)
		if text, err := json.Marshal(h); !errors.Is(err, ErrHousehold) {
			t.Errorf("%s: %s, %v", what, text, err)
		}
	}
	if _, err := json.Marshal(Plan{}); !errors.Is(err, ErrPlan) {
		t.Errorf("no plan: %v", err)
	}
}

func TestUnmarshal_faults(t *testing.T) {
	t.Parallel()
	const day = `"household":"h","start":"2026-11-30","days":[{"date":"2026-11-30","meals":[{"meal":1,"for":["a"],"servings":[{"food":"FOOD","mass":"9 g"}]}]}]`
	for _, c := range []struct {
		into       any
		text, want string
	}{
		{new(Plan), `[]`, "plan:1:1: want a mapping"},
		{new(Plan), `{}`, `missing key "schema"`},
		{new(Plan), `{"schema":"fitchet.plan/2",` + day + `}`, `plan:1:11: schema "fitchet.plan/2"`},
		{new(Plan), "{\"schema\":\"fitchet.plan/1\",\n" + strings.Replace(day, "FOOD", "chiken-wing", 1) + `}`, `plan:2:118: no food is called "chiken-wing"`},
		{new(Plan), `{"schema":"fitchet.plan/1",` + strings.Replace(day, "9 g", "9", 1) + `}`, "no unit"},
		{new(Plan), `{"schema":"fitchet.plan/1","foods":[{"id":"FOOD"}],` + day + `}`, "plan:1:43:"},
		{new(Household), `{}`, `household:1:1: missing key "animals"`},
		{new(Household), `{"animals":[{"id":"a","weight":"1 kg","wieght":"2 kg"}]}`, `did you mean "weight"`},
		{new(Household), `{"animals":[{"id":"a","weight":"1 kg","age":"3 years"}]}`, "an age without the as-of day"},
		{new(Household), `{"animals":[{"id":"a","weight":"7 kg"}]}`, "is not believed"},
	} {
		err := json.Unmarshal([]byte(c.text), c.into)
		var faults strict.Faults
		if !errors.As(err, &faults) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.text, err, c.want)
		}
	}
	var unknown *prey.UnknownFoodError
	if err := json.Unmarshal([]byte(`{"schema":"fitchet.plan/1",`+day+`}`), new(Plan)); !errors.As(err, &unknown) || unknown.Name != "FOOD" {
		t.Errorf("%v does not name the food", err)
	}
	h := Household{Name: "kept"}
	if err := json.Unmarshal([]byte(`{"H":null}`), &struct{ H *Household }{&h}); err != nil || h.Name != "kept" {
		t.Errorf("null: %v", err)
	}
}

// Whatever is cut out of or put into what was written, reading ends with faults or
// with a value that can be written, and never in a panic.
func TestUnmarshal_broken(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var text []byte
		var err error
		plan := rapid.Bool().Draw(t, "plan")
		if plan {
			text, err = json.Marshal(drawnPlan(t))
		} else {
			text, err = json.Marshal(drawnHousehold(t))
		}
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 3).Draw(t, "cuts") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 12).Draw(t, "long"))
			put := rapid.SampledFrom([]string{"", "null", "0", "9", "-", `"`, `"9 g"`, "9223372036", "[]", "{}", "chicken", "}"}).Draw(t, "put")
			text = slices.Concat(text[:from], []byte(put), text[to:])
		}
		if plan {
			var p Plan
			if p.UnmarshalJSON(text) == nil {
				_, err = p.MarshalJSON()
			}
		} else {
			var h Household
			if h.UnmarshalJSON(text) == nil {
				_, err = h.MarshalJSON()
			}
		}
		if err != nil {
			t.Fatalf("read and not writable: %v\n%s", err, text)
		}
	})
}

// withOwn is the shipped catalogue with the own foods of a household.
func withOwn(h *Household) (*prey.Catalogue, error) {
	c, err := prey.Shipped()
	if err != nil {
		return nil, err
	}
	own, _, err := prey.Own(h.foods())
	if err != nil {
		return nil, err
	}
	var foods []prey.Food
	for _, f := range own {
		foods = append(foods, *f)
	}
	return c.With(foods)
}
