package plan_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// seen are results without what only methods know and without the places where
// they were read. A report is the same when it is written the same.
var seen = cmp.Options{
	cmpopts.IgnoreUnexported(plan.Relaxation{}), cmpopts.IgnoreTypes(ration.Place{}), cmpopts.EquateEmpty(), cmpopts.EquateComparable(balance.Check{}),
	cmpopts.IgnoreUnexported(balance.Rule{}, shares.Target{}, ration.Need{}),
	cmp.Comparer(func(a, b *balance.Report) bool {
		x, err := json.Marshal(a)
		y, err2 := json.Marshal(b)
		return err == nil && err2 == nil && string(x) == string(y)
	}),
}

func resultTravels(t *testing.T, res *plan.Result) *plan.Result {
	t.Helper()
	text, err := json.Marshal(*res)
	if err != nil {
		t.Fatal(err)
	}
	type around struct {
		P   *plan.Result
		Map map[string]plan.Result
	}
	whole, err := json.Marshal(around{res, map[string]plan.Result{"k": *res}})
	if want := fmt.Sprintf(`{"P":%s,"Map":{"k":%s}}`, text, text); err != nil || string(whole) != want {
		t.Fatalf("inside others: %v", err)
	}
	var back around
	if err := json.Unmarshal(whole, &back); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(res, back.P, seen); diff != "" {
		t.Fatalf("came back different: %s", diff)
	}
	if again, err := json.Marshal(back.Map["k"]); err != nil || string(again) != string(text) {
		t.Fatalf("written again: %s, %v", again, err)
	}
	return back.P
}

// sampleResults are what is planned for the sample households: plans with
// alternatives and a clash, what is lacking, own foods among it.
func sampleResults(t *testing.T) []*plan.Result {
	t.Helper()
	var out []*plan.Result
	for _, name := range []string{"testdata/good-one-animal", "household", "testdata/good-half-mix", "testdata/lacking-only-wings", "testdata/lacking-no-red-meat", "testdata/lacking-a-little-liver"} {
		foods, err := prey.Shipped()
		if err != nil {
			t.Fatal(err)
		}
		if own := map[string]string{"testdata/good-half-mix": "mix", "testdata/lacking-no-red-meat": "kidney"}[name]; own != "" {
			f, err := os.Open("../../examples/weekplan/testdata/" + own + "-foods.yaml")
			if err != nil {
				t.Fatal(err)
			}
			list, err := prey.LoadFoods(f.Name(), f, foods.Registry())
			f.Close()
			if err == nil {
				foods, err = foods.With(list)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		f, err := os.Open("../../examples/weekplan/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		h, _, err := ration.LoadHousehold(f.Name(), f, foods)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		q := plan.Request{Household: h, Foods: foods, Budget: plan.DefaultBudget / 20}
		if name == "household" {
			q.Alternatives, q.Budget = 1, 0
		}
		out = append(out, made(t, q))
	}
	return out
}

func TestResult_json(t *testing.T) {
	t.Parallel()
	var plans, lacks, relaxed, more int
	for _, res := range sampleResults(t) {
		back := resultTravels(t, res)
		if back.Plan != nil {
			plans++
			if !back.Report.Passed() {
				t.Errorf("%s: the plan does not pass any more", back.Household.Name)
			}
		}
		lacks, relaxed, more = lacks+len(back.Lacking), relaxed+len(back.Relaxations), more+len(back.Alternatives)
	}
	if plans < 2 || lacks == 0 || relaxed == 0 || more == 0 {
		t.Errorf("the samples show too little: %d plans, %d lacks, %d relaxations, %d alternatives", plans, lacks, relaxed, more)
	}
}

// A result by rules of one's own is read with them, and not without.
func TestReadResult(t *testing.T) {
	t.Parallel()
	book, err := balance.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	rule := *book.Rules()[0]
	rule.ID = "a-rule-of-our-own"
	own, err := book.WithRules([]balance.Rule{rule})
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.ReadFile("../../examples/weekplan/testdata/good-one-animal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	q := request(t, string(f))
	q.Book, q.Foods = own, nil
	res := made(t, q)
	text, err := json.Marshal(res)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, new(plan.Result)); !errors.Is(err, plan.ErrResult) || !errors.Is(err, balance.ErrReport) {
		t.Errorf("without them: %v", err)
	}
	back, err := plan.ReadResult(text, balance.Input{Book: own, HazardCheck: q.HazardCheck})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(res, back, seen); diff != "" {
		t.Error(diff)
	}
}

func TestResult_refuses(t *testing.T) {
	t.Parallel()
	for _, r := range []plan.Result{{}, {Outcome: plan.Optimal}} {
		if text, err := json.Marshal(r); !errors.Is(err, plan.ErrResult) {
			t.Errorf("%s, %v", text, err)
		}
	}
	res := sampleResults(t)[1]
	text, err := json.Marshal(res)
	if err != nil {
		t.Fatal(err)
	}
	spoilt := *res
	spoilt.Needs = slices.Clone(res.Needs)
	spoilt.Needs[0].MealsPerDay++
	if _, err := json.Marshal(spoilt); !errors.Is(err, plan.ErrResult) {
		t.Errorf("needs of others: %v", err)
	}
	for what, c := range map[string][2]string{
		"outcome":     {`"outcome":"`, `"outcome":"x`},
		"schema":      {`fitchet.result/1`, `fitchet.result/2`},
		"key":         {`"outcome"`, `"x":1,"outcome"`},
		"target":      {`"target":"`, `"target":"x`},
		"offer":       {`"offer":`, `"offer":99`},
		"bowl":        {`"bowls":[{"animals":["`, `"bowls":[{"animals":["x`},
		"a serving":   {`"servings":[{"food":"`, `"servings":[{"food":"x`},
		"another day": {`"days":[{"date":"2026-11-30"`, `"days":[{"date":"2026-11-29"`},
	} {
		broken := strings.Replace(string(text), c[0], c[1], 1)
		if broken == string(text) {
			t.Errorf("%s: nothing is changed", what)
		}
		if err := json.Unmarshal([]byte(broken), new(plan.Result)); !errors.Is(err, plan.ErrResult) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if err := new(plan.Result).UnmarshalJSON([]byte("{")); !errors.Is(err, plan.ErrResult) {
		t.Error(err)
	}
	// The report is of the plan beside it, and of no other.
	var loose map[string]json.RawMessage
	if err := json.Unmarshal(text, &loose); err != nil {
		t.Fatal(err)
	}
	loose["plan"] = json.RawMessage(strings.Replace(string(loose["plan"]), `"mass":"`, `"mass":"1`, 1))
	other, err := json.Marshal(loose)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(other, new(plan.Result)); !errors.Is(err, plan.ErrResult) {
		t.Errorf("another plan: %v", err)
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.IntRange(0, min(len(text), 20_000)).Draw(t, "from")
		to := min(len(text), from+rapid.IntRange(0, 12).Draw(t, "long"))
		put := rapid.SampledFrom([]string{"", "null", "0", "-", `"`, "[]", "{}", "}"}).Draw(t, "put")
		_ = new(plan.Result).UnmarshalJSON(slices.Concat(text[:from], []byte(put), text[to:]))
	})
}
