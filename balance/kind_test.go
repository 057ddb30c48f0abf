package balance

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/wide"
)

// Every kind says all there is to say of a kind: none leaves out a field, and so is
// silent where something is asked of it.
func TestKindsAreWhole(t *testing.T) {
	words := map[string]bool{}
	for _, c := range Checks() {
		for _, part := range []any{*c.kind, *c.kind.scale} {
			v := reflect.ValueOf(part)
			for i := range v.NumField() {
				if v.Field(i).IsZero() {
					t.Errorf("%s: %s.%s is not set", c, v.Type().Name(), v.Type().Field(i).Name)
				}
			}
		}
		if words[c.String()] {
			t.Errorf("two kinds are called %s", c)
		}
		words[c.String()] = true
		same := func(a, b any) bool { return reflect.ValueOf(a).Pointer() == reflect.ValueOf(b).Pointer() }
		if k := c.kind; (k.form == FormQuotient) == same(k.measure, notSums) || (k.form == FormQuotient) == same(k.above, notAbove) ||
			k.form == FormEnergy && k.days == worstDay && same(k.onDay, notByDay) {
			t.Errorf("%s: how it is measured and what it says of itself differ", c)
		}
		if back, err := ParseCheck(c.String()); back != c || err != nil {
			t.Errorf("%s is read as %v, %v", c, back, err)
		}
		var back Check
		if text, err := json.Marshal(c); err != nil || json.Unmarshal(text, &back) != nil || back != c {
			t.Errorf("%s is written %s and read as %v, %v", c, text, back, err)
		}
	}
	var none Check
	if _, err := none.MarshalText(); err == nil || none.String() != "no check" || none.OfHousehold() || none.Form() != 0 || none.Each() || none.WorstDay() || none.OverDays() || none.InMasses() || none.InShares() || none.Takes("of") {
		t.Errorf("the zero check says something of itself: %v", err)
	}
	r := Rule{ID: "no-kind"}
	low, high := r.Limits(nil, nil)
	f := Finding{Rule: &Rule{Low: &Limit{Text: "1"}}}
	if f.LimitText() != "at least 1" || f.Mends() != nil || f.MendText() != "" || r.BoundText(3) != "3" {
		t.Error("a rule without a kind says more than it knows")
	}
	if moved, _ := r.Move(nil, 1, 1); low != nil || high != nil || moved.Low != nil || r.Unit(false) != "" || r.Counted() || r.HeldToTarget() {
		t.Errorf("a rule without a kind has bounds %v and %v", low, high)
	}
}

// No kind is left out of the list.
func TestKindsAreListed(t *testing.T) {
	files, err := filepath.Glob("kind_*.go")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	n := 0
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(name, "_test.go") {
			n += strings.Count(string(text), "\tword: ")
		}
	}
	if n != len(Checks()) {
		t.Errorf("%d kinds stand in files, %d in Checks", n, len(Checks()))
	}
}

// ruleSchemas are the properties of a rule by the schemas of files and of requests.
func ruleSchemas(t *testing.T) map[string]map[string]struct{ Enum []string } {
	t.Helper()
	out := map[string]map[string]struct{ Enum []string }{}
	for name, path := range map[string][]string{"rules": {"$defs", "rule", "properties"}, "request": {"$defs", "request", "properties", "rules", "items", "properties"}} {
		text, err := os.ReadFile("../testdata/schemas/" + name + ".schema.json")
		if err != nil {
			t.Fatal(err)
		}
		raw := json.RawMessage(text)
		for _, key := range path {
			var in map[string]json.RawMessage
			if err := json.Unmarshal(raw, &in); err != nil {
				t.Fatal(name, key, err)
			}
			raw = in[key]
		}
		var keys map[string]struct{ Enum []string }
		if err := json.Unmarshal(raw, &keys); err != nil {
			t.Fatal(name, err)
		}
		out[name] = keys
	}
	return out
}

// unwritten is what a schema does not know of a kind: its word, or a key it takes.
func unwritten(c Check, keys map[string]struct{ Enum []string }) (out []string) {
	if !slices.Contains(keys["check"].Enum, c.String()) {
		out = append(out, c.String())
	}
	for _, o := range c.of().options {
		if _, ok := keys[o.key]; !ok {
			out = append(out, o.key)
		}
	}
	return out
}

// A kind has its row in the schemas.
func TestKindsAreInSchemas(t *testing.T) {
	for name, keys := range ruleSchemas(t) {
		for _, c := range Checks() {
			if list := unwritten(c, keys); len(list) > 0 {
				t.Errorf("the schema of %s does not know %v", name, list)
			}
		}
		if list := unwritten(different, keys); !slices.Equal(list, []string{"different-foods"}) {
			t.Errorf("of a kind that is none, the schema of %s lacks %v", name, list)
		}
	}
}

// What depends on the kind of a rule is asked of the kind: nothing outside its file
// compares it with one, so that none can be forgotten there.
func TestNothingComparesKinds(t *testing.T) {
	isKind := func(e ast.Expr) bool {
		sel, ok := e.(*ast.SelectorExpr)
		return ok && sel.Sel.Name == "Check"
	}
	looked := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.HasPrefix(filepath.Base(path), "kind_") {
			return err
		}
		looked++
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BinaryExpr:
				if isKind(n.X) || isKind(n.Y) {
					t.Errorf("%s compares a kind of rule", set.Position(n.Pos()))
				}
			case *ast.SwitchStmt:
				if n.Tag != nil && isKind(n.Tag) {
					t.Errorf("%s switches over kinds of rule", set.Position(n.Pos()))
				}
			}
			return true
		})
		return nil
	})
	if err != nil || looked < 100 {
		t.Fatal(looked, err)
	}
}

// A bound moves where it stands, by itself, and in a copy; what an animal needs does
// not move.
func TestBoundsMove(t *testing.T) {
	book, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	need := &ration.Need{Floor: 1, HasBand: true, Band: units.Range[ration.Tenths]{Low: 2, Typical: 3, High: 4}, MealsPerDay: 5}
	value := func(l *Limit) int64 {
		if l == nil {
			return -1
		}
		return l.Value
	}
	held := map[place]int{}
	for _, r := range book.Rules() {
		for _, target := range book.Targets() {
			in := r.holder().in
			low, high := r.Limits(target, need)
			was := [2]int64{value(low), value(high)}
			for _, by := range [][2]int64{{-1, 0}, {0, 1}} {
				rule, aim := r.Move(target, by[0], by[1])
				low, high := rule.Limits(aim, need)
				want := was
				for i := range want {
					if want[i] >= 0 && (in == ofRule || in == ofTarget) {
						want[i] += by[i]
						held[in]++
					}
				}
				if got := [2]int64{value(low), value(high)}; got != want || (rule != r) != (in == ofRule) || (aim != target) != (in == ofTarget) {
					t.Errorf("%s by %s: %v moved by %v is %v", r.ID, target.ID, was, by, got)
				}
				if low, high := r.Limits(target, need); was != [2]int64{value(low), value(high)} {
					t.Fatalf("%s by %s: the bounds of the book moved", r.ID, target.ID)
				}
			}
		}
	}
	if held[ofRule] == 0 || held[ofTarget] == 0 {
		t.Errorf("bounds held to: %v", held)
	}
}

// different is a kind that the library does not have: how many different foods are
// fed, oils and powders among them.
var different = Check{&kind{
	word: "different-foods", bounds: inRule, scale: &inCounts, unit: plural("foods", "food"),
	options: []option{optional("colour", func(r *Rule) *prey.Colour { return &r.Colour }, prey.ParseColour)},
	judge: func(s *state, r *readyRule) {
		n := 0
		for i := range s.foods {
			if r.Colour == 0 || s.foods[i].food.Colour == r.Colour {
				n++
			}
		}
		s.short(s.judge(r, s.count(n), r.bounds))
	},
	measure: notSums, onDay: notByDay, above: notAbove, lacks: lacksNothing, split: notSplit,
	adds: func(_ *Finding, it *item) (wide.U128, bool) { return wide.U128{Lo: uint64(it.Mass)}, true },
	detail: listed(func(f *Finding) (out names) {
		for i := range f.s.foods {
			out.add(f.s.foods[i].food.ID)
		}
		return out
	}),
	mends: byAmount(grams), remedy: bestChange, settle: onlyAnalysis,
	form: FormServing, days: allDays, each: no, laid: no, grows: yes, atOnce: yes, bone: no,
}}

// A kind is one value: with it alone, a rule of it is read, judged, explained,
// mended, taken from a log, moved and written.
func TestMadeUpKind(t *testing.T) {
	const file = `schema: fitchet.rules/1
rules:
  - id: many-foods
    title: At least three different foods are fed.
    check: different-foods
    gravity: watch
    period: week
    means: What one food lacks another has.
    since: "2026"
    low: {value: "3", ref: "choice: a made-up rule for a test"}
`
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := LoadRules("rules.yaml", strings.NewReader(file), reg); err == nil || !strings.Contains(err.Error(), "different-foods") {
		t.Errorf("a kind that is none is read: %v", err)
	}
	rules, err := loadRules("rules.yaml", strings.NewReader(file), reg, append(Checks(), different))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := loadRules("rules.yaml", strings.NewReader(file+"    slot: liver\n"), reg, append(Checks(), different)); err == nil {
		t.Error("a key that the kind does not take is read")
	}
	shipped, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	book, err := shipped.WithRules(rules)
	if err != nil {
		t.Fatal(err)
	}
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	var fed []*prey.Food
	for _, f := range foods.All() {
		if f.Kind == prey.OrganMeat && f.PartsKnown && len(fed) < 2 {
			fed = append(fed, f)
		}
	}
	day := units.Date(20000)
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day, Start: day, Animals: []ration.Animal{{ID: "moss", Mass: units.Kilogram, Stage: ration.Adult, Sex: ration.Hob}}}
	p := &ration.Plan{Household: h.Name, Start: day}
	for d := range 7 {
		p.Days = append(p.Days, ration.Day{Date: day.AddDays(d), Meals: []ration.Meal{{Slot: 1, For: []string{"moss"}, Servings: []ration.Serving{
			{Food: fed[0], Mass: 30 * units.Gram}, {Food: fed[1], Mass: 30 * units.Gram},
		}}}})
	}
	rep, err := Audit(Input{Plan: p, Household: h, Book: book, Foods: foods})
	if err != nil {
		t.Fatal(err)
	}
	found := rep.Find("many-foods")
	if len(found) != 1 {
		t.Fatalf("%d findings", len(found))
	}
	f := &found[0]
	if got, want := f.MeasuredText()+"; "+f.LimitText(), fmt.Sprintf("2 foods: %s and %s; at least 3 foods", f.s.foods[0].food.ID, f.s.foods[1].food.ID); f.Verdict != Missed || got != want {
		t.Errorf("%s: %q, want missed: %q", f.Verdict, got, want)
	}
	if c := f.Mends(); len(c) == 0 || c[0].Mass != units.Gram || slices.Contains(fed, c[0].Food) || !strings.HasPrefix(f.MendText(), "Add 1 g") {
		t.Errorf("mends %v, %q", c, f.MendText())
	}
	if list := f.Contributions(); len(list) != 2 || list[0].Part != units.Whole/2 {
		t.Errorf("drives %v", list)
	}
	low, high := f.Rule.Limits(rep.Target, nil)
	more, target := f.Rule.Move(rep.Target, -1, 1)
	if low.Value != 3 || high != nil || more.Low.Value != 2 || more.High != nil || target != rep.Target || f.Rule.Low.Value != 3 {
		t.Errorf("bounds %v and %v, moved %v and %v", low, high, more.Low, more.High)
	}
	if text, err := json.Marshal(rep); err != nil || !strings.Contains(string(text), `"many-foods"`) {
		t.Errorf("the report is written %v", err)
	}
	// What package eaten asks of it.
	eaten, err := Audit(Input{Plan: p, Household: h, Book: book, Foods: foods, Eaten: true})
	if err != nil || eaten.Find("many-foods")[0].At(prey.Typical).Cmp(big.NewRat(2, 1)) != 0 || !f.Rule.Check.Grows() || f.Rule.Check.OfADay() {
		t.Errorf("what was eaten by a book with it: %v", err)
	}
}
