package ration

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/strict"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const planText = `schema: fitchet.plan/1
household: Fern & Moss <rescue>
start: 2026-11-30
target: assembled
days:
  - date: 2026-11-30
    meals:
      - meal: 1
        for: [bramble, moss]
        servings:
          - {food: chicken wing, pieces: 2}
          - {food: beef-heart, mass: 1 oz, form: minced}
      - meal: 2
        for: [pip]
        servings: [{food: mouse, mass: 20 g, pieces: 1}]
  - date: 2026-12-01
    meals: []
`

func home(tb testing.TB) *Household {
	tb.Helper()
	h, _, err := LoadHousehold("home.yaml", strings.NewReader(given.Household), given.Foods(tb))
	if err != nil {
		tb.Fatal(err)
	}
	return h
}

func TestLoadPlan(t *testing.T) {
	t.Parallel()
	h := home(t)
	h.Name = "Fern & Moss <rescue>"
	p, err := LoadPlan("week.yaml", strings.NewReader(planText), given.Foods(t), h)
	if err != nil {
		t.Fatal(err)
	}
	got, err := p.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"schema":"fitchet.plan/1","household":"Fern & Moss <rescue>","start":"2026-11-30","target":"assembled","days":[` +
		`{"date":"2026-11-30","meals":[` +
		`{"meal":1,"for":["bramble","moss"],"servings":[{"food":"chicken-wing","mass":"200 g","pieces":2},{"food":"beef-heart","mass":"28.349523125 g","form":"minced"}]},` +
		`{"meal":2,"for":["pip"],"servings":[{"food":"mouse","mass":"20 g","pieces":1}]}]},` +
		`{"date":"2026-12-01","meals":[]}]}`
	// The foods of this test are not the shipped ones, and follow.
	if rest, ok := strings.CutPrefix(string(got), strings.TrimSuffix(want, "}")); !ok || !strings.HasPrefix(rest, `,"foods":[{"id":"chicken-wing",`) {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if p.Where(Position{0, 0, 1}) != "2026-11-30, meal 1, for bramble and moss" || p.Where(Position{7, 0, 0}) != "nowhere in the plan" {
		t.Errorf("Where: %s", p.Where(Position{0, 0, 1}))
	}
	tally, err := p.Tally()
	if err != nil || tally.Mass() != given.Mass(t, "248.349523125 g") {
		t.Errorf("the plan weighs %s, %v", tally.Mass(), err)
	}
	forms := []safety.Form{safety.BoneIn, safety.Minced, safety.WholePrey}
	i := 0
	for _, s := range p.Servings() {
		if s.FormOf() != forms[i] {
			t.Errorf("serving %d is %s, want %s", i, s.FormOf(), forms[i])
		}
		i++
	}
	if i != 3 {
		t.Errorf("%d servings", i)
	}
}

func TestLoadPlanFaults(t *testing.T) {
	t.Parallel()
	const text = `schema: fitchet.plan/2
household: Bracken Ferret Rescue
start: 2026-11-30
days:
  - date: 2026-11-29
    meals:
      - meal: 0
        for: [brambel]
        servings:
          - {food: chicken wing, mass: 60}
          - {food: shoe, mass: 60 g}
          - {food: mouse, mass: 20 g, form: cubed}
  - date: 2026-12-03
    meals: []
  - date: 2026-12-03
    meals:
      - {meal: 1, for: [], servings: []}
      - {meal: 1, for: [moss, moss], servings: [{food: mouse, mass: 0 g}], note: x}
`
	_, err := LoadPlan("week.yaml", strings.NewReader(text), given.Foods(t), home(t))
	var faults strict.Faults
	if !errors.As(err, &faults) {
		t.Fatalf("want faults, got %v", err)
	}
	want := []struct{ at, has string }{
		{"week.yaml:1:9: ", `this reader knows "fitchet.plan/1"`},
		{"week.yaml:2:12: ", `the household file is of "Brackenford Ferret Rescue"`},
		{"week.yaml:5:11: ", "before the start"},
		{"week.yaml:7:15: ", "from 1 to 24"},
		{"week.yaml:8:15: ", `did you mean "bramble"?`},
		{"week.yaml:10:40: ", "no unit"},
		{"week.yaml:11:20: ", `no food is called "shoe"`},
		{"week.yaml:12:45: ", "cubed"},
		{"week.yaml:15:11: ", "does not come after 2026-12-03"},
		{"week.yaml:17:24: ", "a bowl for nobody"},
		{"week.yaml:17:38: ", "a bowl with nothing in it"},
		{"week.yaml:18:31: ", `"moss" stands twice`},
		{"week.yaml:18:69: ", "nothing"},
		{"week.yaml:18:76: ", `unknown key "note"`},
	}
	if len(faults) != len(want) {
		t.Errorf("%d faults, want %d", len(faults), len(want))
	}
	for i, f := range faults {
		if i < len(want) && (!strings.HasPrefix(f.Error(), want[i].at) || !strings.Contains(f.Error(), want[i].has)) {
			t.Errorf("fault %d\n got %s\nwant %s… %s", i, f.Error(), want[i].at, want[i].has)
		}
	}
}

func TestPlanMarshalRefuses(t *testing.T) {
	t.Parallel()
	good := func() *Plan {
		return &Plan{Household: "B", Start: 10, Days: []Day{{Date: 10, Meals: []Meal{{Slot: 1, For: []string{"a"}, Servings: []Serving{{Food: given.Food(t, "mouse"), Mass: 1}}}}}}}
	}
	if _, err := json.Marshal(good()); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(p *Plan){
		"no household":   func(p *Plan) { p.Household = "" },
		"before start":   func(p *Plan) { p.Days[0].Date = 9 },
		"day twice":      func(p *Plan) { p.Days = append(p.Days, p.Days[0]) },
		"slot":           func(p *Plan) { p.Days[0].Meals[0].Slot = 0 },
		"nobody":         func(p *Plan) { p.Days[0].Meals[0].For = nil },
		"twice":          func(p *Plan) { p.Days[0].Meals[0].For = []string{"a", "a"} },
		"id":             func(p *Plan) { p.Days[0].Meals[0].For = []string{"A"} },
		"empty bowl":     func(p *Plan) { p.Days[0].Meals[0].Servings = nil },
		"no food":        func(p *Plan) { p.Days[0].Meals[0].Servings[0].Food = nil },
		"no mass":        func(p *Plan) { p.Days[0].Meals[0].Servings[0].Mass = 0 },
		"negative count": func(p *Plan) { p.Days[0].Meals[0].Servings[0].Pieces = -1 },
		"form":           func(p *Plan) { p.Days[0].Meals[0].Servings[0].Form = 99 },
	} {
		p := good()
		spoil(p)
		if _, err := p.MarshalJSON(); !errors.Is(err, ErrPlan) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func drawPlan(t *rapid.T, c *prey.Catalogue, ids []string) *Plan {
	all := c.All()
	start := units.Date(rapid.IntRange(-100_000, 100_000).Draw(t, "start"))
	p := &Plan{Household: rapid.SampledFrom([]string{"B", "Brackenford \"<&>\" Rescue", "Ünder: #1"}).Draw(t, "household"), Start: start, Target: rapid.SampledFrom([]string{"", "assembled"}).Draw(t, "target")}
	for d := range rapid.IntRange(0, 3).Draw(t, "days") {
		day := Day{Date: start.AddDays(d)}
		for m := range rapid.IntRange(0, 3).Draw(t, "meals") {
			n := rapid.IntRange(1, len(ids)).Draw(t, "animals")
			meal := Meal{Slot: m + 1, For: append([]string(nil), ids[:n]...)}
			for range rapid.IntRange(1, 3).Draw(t, "servings") {
				f := rapid.SampledFrom(all).Draw(t, "food")
				pieces := rapid.Int64Range(0, 20).Draw(t, "pieces")
				grams := rapid.Int64Range(1, int64(5*units.Kilogram)).Draw(t, "mass")
				s := Serving{Food: f, Mass: max(units.Mass(grams), units.Mass(pieces)), Pieces: pieces, Form: safety.Form(rapid.IntRange(0, 7).Draw(t, "form"))}
				if pieces > 0 && f.Piece.Typical > 0 {
					s.Mass = f.Piece.Typical*units.Mass(pieces) + units.Mass(rapid.Int64Range(0, 1000).Draw(t, "more"))
				}
				meal.Servings = append(meal.Servings, s)
			}
			day.Meals = append(day.Meals, meal)
		}
		p.Days = append(p.Days, day)
	}
	return p
}

func sameFood(a, b *prey.Food) bool { return a == b || a != nil && b != nil && a.ID == b.ID }

// A plan that was written reads back as the same value.
func TestPlanRoundTrip(t *testing.T) {
	t.Parallel()
	c, h := given.Foods(t), home(t)
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t, c, h.IDs())
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		at := *h
		at.Name = p.Household
		q, err := LoadPlan("p.json", strings.NewReader(string(text)), c, &at)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if d := cmp.Diff(p, q, cmp.Comparer(sameFood)); d != "" {
			t.Fatalf("not the same:\n%s", d)
		}
	})
}

func FuzzLoadPlan(f *testing.F) {
	f.Add(planText)
	f.Add(`{"schema":"fitchet.plan/1","household":"B","start":"2026-11-30","days":[]}`)
	c := given.Foods(f)
	f.Fuzz(func(t *testing.T, s string) {
		p, err := LoadPlan("f", strings.NewReader(s), c, nil)
		if err != nil {
			return
		}
		text, err := p.MarshalJSON()
		if err != nil {
			t.Fatalf("read a plan that cannot be written: %v", err)
		}
		q, err := LoadPlan("g", strings.NewReader(string(text)), c, nil)
		if err != nil {
			t.Fatalf("wrote a plan that cannot be read: %v\n%s", err, text)
		}
		if d := cmp.Diff(p, q, cmp.Comparer(sameFood)); d != "" {
			t.Fatal(d)
		}
	})
}
