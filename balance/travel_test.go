package balance_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/prose"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// seen are values without what only their methods know, and without the place
// where they were read.
var seen = cmp.Options{cmpopts.IgnoreUnexported(balance.Report{}, balance.Finding{}, balance.Rule{}, shares.Target{}, ration.Need{}), cmpopts.IgnoreTypes(ration.Place{}), cmpopts.EquateEmpty(), cmpopts.EquateComparable(balance.Check{}),
	cmp.Comparer(func(a, b prey.Tally) bool { return fmt.Sprint(a) == fmt.Sprint(b) })}

// answers asks a report, or a finding, everything that can be asked without more.
func answers(v any) string {
	var out strings.Builder
	val := reflect.ValueOf(v)
	for i := range val.NumMethod() {
		if m := val.Method(i); m.Type().NumIn() == 0 {
			fmt.Fprintf(&out, "%s:", val.Type().Method(i).Name)
			for _, r := range m.Call(nil) {
				text, err := json.Marshal(r.Interface())
				if err != nil {
					fmt.Fprintf(&out, " %v", err)
				}
				fmt.Fprintf(&out, " %s", text)
			}
			out.WriteByte('\n')
		}
	}
	return out.String()
}

func everything(t rapid.TB, r *balance.Report) string {
	t.Helper()
	var out bytes.Buffer
	if err := prose.Write(&out, r); err != nil {
		t.Fatal(err)
	}
	out.WriteString(answers(r))
	book, err := balance.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		out.WriteString(answers(f))
		out.WriteString(f.EvidenceText(book.Registry()))
	}
	return out.String()
}

// reportTravels writes a report alone and inside other values and reads it back.
func reportTravels(t rapid.TB, r *balance.Report) *balance.Report {
	t.Helper()
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	type around struct {
		V    balance.Report
		List []*balance.Report
		Map  map[string]balance.Report
	}
	whole, err := json.Marshal(around{*r, []*balance.Report{r}, map[string]balance.Report{"k": *r}})
	if want := fmt.Sprintf(`{"V":%s,"List":[%s],"Map":{"k":%s}}`, text, text, text); err != nil || string(whole) != want {
		t.Fatalf("inside others: %s, %v", whole, err)
	}
	var back around
	if err := json.Unmarshal(whole, &back); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	inMap := back.Map["k"]
	for i, b := range []*balance.Report{&back.V, back.List[0], &inMap} {
		if diff := cmp.Diff(r, b, seen); diff != "" {
			t.Fatalf("came back different: %s", diff)
		}
		if again, err := json.Marshal(b); err != nil || string(again) != string(text) {
			t.Fatalf("written again: %s, %v", again, err)
		}
		if i == 0 {
			if diff := cmp.Diff(everything(t, r), everything(t, b)); diff != "" {
				t.Fatalf("answers differently: %s", diff)
			}
		}
	}
	return back.List[0]
}

// ownFood is a chicken wing of one's own.
func ownFood(t rapid.TB, hazards ...string) *prey.Food {
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	f, err := c.Find("chicken-wing")
	if err != nil {
		t.Fatal(err)
	}
	own := *f
	own.ID, own.Name, own.Synonyms, own.Hazards = "our-wing", "wing of ours", nil, append(slices.Clip(own.Hazards), hazards...)
	return &own
}

// drawnInput is a plan of whatever the catalogue holds, and perhaps a household.
func drawnInput(t *rapid.T) balance.Input {
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	foods := append(c.All(), ownFood(t))
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day0, Start: day0}
	for i, id := range []string{"bramble", "moss"}[:rapid.IntRange(1, 2).Draw(t, "animals")] {
		a := ferret(id, ration.Jill, int64(700+200*i))
		a.Group = "one"
		if rapid.Bool().Draw(t, "fussy") {
			a.Never = []string{"fish"}
		}
		h.Animals = append(h.Animals, a)
	}
	p := &ration.Plan{Household: h.Name, Start: day0}
	for d := range rapid.IntRange(1, 7).Draw(t, "days") {
		day := ration.Day{Date: day0.AddDays(d)}
		for slot := range rapid.IntRange(1, 2).Draw(t, "meals") {
			m := ration.Meal{Slot: slot + 1, For: h.IDs()}
			for range rapid.IntRange(1, 3).Draw(t, "servings") {
				f := rapid.SampledFrom(foods).Draw(t, "food")
				m.Servings = append(m.Servings, ration.Serving{Food: f, Mass: units.Gram * units.Mass(rapid.IntRange(1, 60).Draw(t, "grams"))})
				if rapid.Bool().Draw(t, "in stock") {
					h.Stock = append(h.Stock, ration.Stock{Food: f, Mass: 100 * units.Gram, BestBefore: day0.AddDays(3), Supplier: "Hill Farm", Lot: "A7"})
				}
			}
			day.Meals = append(day.Meals, m)
		}
		p.Days = append(p.Days, day)
	}
	in := balance.Input{Plan: p, Household: h}
	if rapid.Bool().Draw(t, "nobody") {
		in.Household = nil
	}
	if rapid.Bool().Draw(t, "mends") {
		in.Foods = c
	}
	if rapid.Bool().Draw(t, "noticed") {
		n, err := safety.ShippedNotices()
		if err != nil {
			t.Fatal(err)
		}
		if in.HazardCheck, err = safety.NewHazardCheck(nil, c, safety.Context{On: day0, Notices: n}); err != nil {
			t.Fatal(err)
		}
	}
	return in
}

func TestReport_json(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawnInput(t)
		in.Foods = nil // where looking for mends takes long
		r, err := balance.Audit(in)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		var back balance.Report
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(r, &back, seen); diff != "" {
			t.Fatalf("came back different: %s", diff)
		}
	})
	for seed := range 4 {
		r, err := balance.Audit(rapid.Custom(drawnInput).Example(seed))
		if err != nil {
			t.Fatal(err)
		}
		reportTravels(t, r)
	}
}

// week is an input with an own food in plan, freezer and catalogue.
func week(t *testing.T) balance.Input {
	t.Helper()
	shipped, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	c, err := shipped.With([]prey.Food{*ownFood(t)})
	if err != nil {
		t.Fatal(err)
	}
	wing, err := c.Find("our-wing")
	if err != nil {
		t.Fatal(err)
	}
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day0, Start: day0, Animals: []ration.Animal{ferret("bramble", ration.Jill, 900)},
		Stock: []ration.Stock{{Food: wing, Mass: units.Kilogram}}}
	p := &ration.Plan{Household: h.Name, Start: day0, Days: []ration.Day{{Date: day0, Meals: []ration.Meal{{Slot: 1, For: h.IDs(), Servings: []ration.Serving{{Food: wing, Mass: 50 * units.Gram}}}}}}}
	return balance.Input{Plan: p, Household: h, Foods: c}
}

func audited(t *testing.T, in balance.Input) *balance.Report {
	t.Helper()
	r, err := balance.Audit(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What an input holds beside the plan comes back with it, or is asked for.
func TestReport_jsonInputs(t *testing.T) {
	t.Parallel()
	book, err := balance.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	few, err := book.Only("CCXXOC", "liver-weekly")
	_ = few
	if err == nil {
		t.Fatal("rules that are none")
	}
	first, second := book.Rules()[0].ID, book.Rules()[5].ID
	if few, err = book.Only(first, second); err != nil {
		t.Fatal(err)
	}
	own := *book.Rules()[0]
	own.ID = "own-rule"
	mine, err := book.WithRules([]balance.Rule{own})
	if err != nil {
		t.Fatal(err)
	}
	notices := &safety.Notices{AsOf: day0}
	screen, err := safety.NewHazardCheck(nil, nil, safety.Context{Notices: notices, On: day0})
	if err != nil {
		t.Fatal(err)
	}
	target := *book.Targets()[0]
	other := book.Targets()[1]
	for _, c := range []struct {
		what, missing string
		change        func(*balance.Input)
	}{
		{"all shipped", "", func(*balance.Input) {}},
		{"few rules", "", func(in *balance.Input) { in.Book = few }},
		{"another target", "", func(in *balance.Input) { in.Target = other }},
		{"no household", "", func(in *balance.Input) { in.Household = nil }},
		{"needs of the day", "", func(in *balance.Input) { in.Needs = in.Household.Needs() }},
		{"own rules", "Book", func(in *balance.Input) { in.Book = mine }},
		{"own target", "Target", func(in *balance.Input) { in.Target = &target }},
		{"own notices", "HazardCheck", func(in *balance.Input) { in.HazardCheck = screen }},
		{"own needs", "Needs", func(in *balance.Input) {
			in.Needs = in.Household.Needs()
			in.Needs[0].MealsPerDay = 9
		}},
		{"a household that cannot be written", "Household", func(in *balance.Input) {
			h := *in.Household
			h.Animals = slices.Clone(h.Animals)
			h.Animals[0].Mass = 40 * units.Kilogram
			in.Household = &h
		}},
		{"a plan that cannot be written", "Plan", func(in *balance.Input) {
			p := *in.Plan
			p.Household = ""
			in.Plan = &p
		}},
		{"another catalogue", "Foods", func(in *balance.Input) {
			c, err := new(prey.Catalogue).With([]prey.Food{*ownFood(t)})
			if err != nil {
				t.Fatal(err)
			}
			in.Foods = c
		}},
	} {
		in := week(t)
		if c.what != "all shipped" {
			in.Foods = nil // where looking for mends takes long
		}
		c.change(&in)
		r := audited(t, in)
		if c.missing == "" {
			reportTravels(t, r)
			continue
		}
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if err := json.Unmarshal(text, new(balance.Report)); !errors.Is(err, balance.ErrReport) || !strings.Contains(err.Error(), "its "+c.missing+" did not travel") {
			t.Errorf("%s: %v", c.what, err)
		}
		back, err := balance.ReadReport(text, in)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if diff := cmp.Diff(everything(t, r), everything(t, back)); diff != "" {
			t.Errorf("%s: %s", c.what, diff)
		}
	}
}

// A report that was changed, cut or made by other rules is refused.
func TestReport_notBorneOut(t *testing.T) {
	t.Parallel()
	r := audited(t, week(t))
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	short, err := json.Marshal(balance.Printout{Report: r})
	if err != nil || !strings.HasPrefix(string(text), strings.TrimSuffix(string(short), "}")) {
		t.Errorf("a printout is not the beginning of the report: %v", err)
	}
	for what, broken := range map[string]string{
		"printed":           string(short),
		"nothing":           "{}",
		"no JSON":           "{",
		"a list":            "[]",
		"passed":            strings.Replace(string(text), `"passed":false`, `"passed":true`, 1),
		"a verdict":         strings.Replace(string(text), `"verdict":"missed"`, `"verdict":"met"`, 1),
		"a limit":           strings.Replace(string(text), `"limit":"`, `"limit":"1`, 1),
		"a plan":            strings.Replace(string(text), `"mass":"50 g"}]`, `"mass":"51 g"}]`, 1),
		"another household": strings.Replace(string(text), `"weight":"900 g"`, `"weight":"400 g"`, 1),
		"an unknown key":    strings.Replace(string(text), `"audited":{`, `"audited":{"x":1,`, 1),
		"a food of nothing": strings.Replace(string(text), `"foods":[{"id":"our-wing"`, `"foods":[null,{"id":"our-wing"`, 1),
	} {
		if broken == string(text) {
			t.Errorf("%s: nothing is changed", what)
		}
		var back balance.Report
		if err := back.UnmarshalJSON([]byte(broken)); err == nil || back.Passed() {
			t.Errorf("%s is read", what)
		}
	}
	for _, z := range []any{balance.Report{}, &balance.Report{}, balance.Printout{}} {
		if text, err := json.Marshal(z); !errors.Is(err, balance.ErrPlan) {
			t.Errorf("%s, %v", text, err)
		}
	}
}

func TestReport_unmarshalBroken(t *testing.T) {
	t.Parallel()
	in := week(t)
	in.Foods = nil
	whole, err := json.Marshal(audited(t, in))
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(whole, []byte(`"audited"`))
	rapid.Check(t, func(t *rapid.T) {
		text := whole
		from := rapid.OneOf(rapid.IntRange(at, len(text)), rapid.IntRange(0, len(text))).Draw(t, "from")
		to := min(len(text), from+rapid.IntRange(0, 12).Draw(t, "long"))
		put := rapid.SampledFrom([]string{"", "null", "0", "-", `"`, `"9 g"`, "[]", "{}", "chicken", "}"}).Draw(t, "put")
		var r balance.Report
		if r.UnmarshalJSON(slices.Concat(text[:from], []byte(put), text[to:])) == nil {
			everything(t, &r)
		}
	})
}
