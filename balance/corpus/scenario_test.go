package corpus_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/corpus"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"

	"github.com/google/go-cmp/cmp"
)

// Every scenario, asked of this library's own planner, by its id. What it is
// known to fail is listed with the reason and must still fail.
func TestScenarios_library(t *testing.T) {
	t.Parallel()
	c := load(t)
	known := loadKnown(t, c, "testdata/known.yaml")
	gen := corpus.Library()
	for _, s := range c.Scenarios {
		t.Run(s.ID, func(t *testing.T) {
			_, j := ask(t, c, s, gen)
			k, listed := known[s.ID]
			switch {
			case listed && j.Good():
				t.Errorf("%s: it passes; take it off the list of known failures (%s)", k.At, s.Title)
			case listed:
				t.Logf("known: %s", k.Reason)
			}
			for _, w := range j.Wrong {
				if !listed {
					t.Errorf("%s: %s\n\t%s: %s", s.At, s.Title, w.ID, w.Text)
				}
			}
		})
	}
}

func loadKnown(t testing.TB, c *corpus.Corpus, path string) map[string]corpus.Known {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	known, err := c.LoadKnown(path, f)
	if err != nil {
		t.Fatal(err)
	}
	return known
}

func ask(t testing.TB, c *corpus.Corpus, s *corpus.Scenario, gen corpus.Generator) (corpus.Answer, *corpus.Judgement) {
	t.Helper()
	q, err := c.Request(s)
	if err != nil {
		t.Fatal(err)
	}
	a, err := gen.Plan(context.Background(), q)
	if err != nil {
		t.Fatalf("%s: %s: %v", s.At, s.Title, err)
	}
	j, err := corpus.Judge(q, s, a)
	if err != nil {
		t.Fatal(err)
	}
	return a, j
}

// The corpus is as large as it says on the tin.
func TestShipped_size(t *testing.T) {
	t.Parallel()
	c := load(t)
	refused := 0
	for _, s := range c.Scenarios {
		if s.Want == corpus.WantRefused {
			refused++
		}
	}
	if len(c.Scenarios) < 60 || 4*refused < len(c.Scenarios) {
		t.Errorf("%d scenarios, %d of them refused: want 60, a quarter refused", len(c.Scenarios), refused)
	}
	if len(c.Cases) < 600 {
		t.Errorf("%d cases", len(c.Cases))
	}
}

// A plan that is right in one scenario, to be spoiled: each requirement is missed
// once.
func TestJudge_requirements(t *testing.T) {
	t.Parallel()
	c := load(t)
	byTitle := func(title string) *corpus.Scenario {
		for _, s := range c.Scenarios {
			if s.Title == title {
				return s
			}
		}
		t.Fatalf("no scenario %q", title)
		return nil
	}
	pair := byTitle("The same pair at two bowls")
	fussy := byTitle("One of two must not get rabbit")
	shared := byTitle("A pair at one bowl")
	past := byTitle("Heart in stock is past its day, fresh heart is on offer")
	cost := byTitle("Organs for no more than 7.60 EUR")
	refuse := byTitle("Everything but liver")
	sick := byTitle("An animal with insulinoma eats six times a day")
	noOil := byTitle("A house without oil")

	// hand feeds a food to the first animal on the first day.
	hand := func(id, mass string) func(*testing.T, corpus.Request, *corpus.Answer) {
		return func(t *testing.T, q corpus.Request, a *corpus.Answer) {
			f, err := q.Foods.Find(id)
			if err != nil {
				t.Fatal(err)
			}
			m, err := units.ParseMass(mass)
			if err != nil {
				t.Fatal(err)
			}
			meal := &a.Plan.Days[0].Meals[0]
			meal.Servings = append(meal.Servings, ration.Serving{Food: f, Mass: m})
		}
	}
	for _, tc := range []struct {
		name  string
		s     *corpus.Scenario
		spoil func(*testing.T, corpus.Request, *corpus.Answer)
		want  string
	}{
		{"a serving of nothing", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Plan.Days[0].Meals[0].Servings[0].Mass = 0 }, corpus.PlanWhole},
		{"six days", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Plan.Days = a.Plan.Days[:6] }, corpus.PlanDays},
		{"eight days", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			last := a.Plan.Days[6]
			last.Date++
			a.Plan.Days = append(a.Plan.Days, last)
		}, corpus.PlanDays},
		{"another start", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			for i := range a.Plan.Days {
				a.Plan.Days[i].Date++
			}
			a.Plan.Start++
		}, corpus.PlanDays},
		{"another household", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Plan.Household = "Elsewhere" }, corpus.PlanHousehold},
		{"another target", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Plan.Target = "whole-prey" }, corpus.PlanHousehold},
		{"a stranger at the bowl", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			a.Plan.Days[0].Meals[0].For = []string{"stranger"}
		}, corpus.PlanHousehold},
		{"a fast day for one", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			d := &a.Plan.Days[2]
			for i := len(d.Meals) - 1; i >= 0; i-- {
				if d.Meals[i].For[0] == "acorn" {
					d.Meals = append(d.Meals[:i:i], d.Meals[i+1:]...)
				}
			}
		}, corpus.EverybodyFed},
		{"five meals where six are needed", sick, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			d := &a.Plan.Days[1]
			last := len(d.Meals) - 1
			d.Meals[last-1].Servings = append(d.Meals[last-1].Servings, d.Meals[last].Servings...)
			d.Meals = d.Meals[:last]
		}, corpus.MealsEnough},
		{"one bowl for two that stand alone", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			a.Plan.Days[0].Meals[0].For = []string{"oak", "acorn"}
		}, corpus.BowlsApart},
		{"rabbit for who must not get it", fussy, func(t *testing.T, q corpus.Request, a *corpus.Answer) {
			hand("rabbit-meat", "1 g")(t, q, a)
			a.Plan.Days[0].Meals[0].For = []string{"moss"}
		}, corpus.NeverFed},
		{"more than there is", shared, hand("rabbit-meat", "5 kg"), corpus.StockEnough},
		{"food that nobody has", shared, hand("horse-meat", "1 g"), corpus.StockEnough},
		{"a lot that is past its day", past, hand("chicken-heart", "1 g"), corpus.StockInDate},
		{"dearer than allowed", cost, hand("beef-heart", "600 g"), corpus.CostAtMost},
		{"a plan where none is right", refuse, func(t *testing.T, q corpus.Request, a *corpus.Answer) { a.Refused = nil; a.Plan = plain(t, q) }, corpus.AnswerKind},
		{"a refusal where there is a plan", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) {
			*a = corpus.Answer{Refused: &corpus.Refusal{Because: corpus.Lacking, Reason: "No."}}
		}, corpus.AnswerKind},
		{"a refusal for a wrong reason", refuse, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Refused.Because = corpus.NoFigure }, corpus.RefusalReason},
		{"a refusal for no known reason", refuse, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Refused.Because = "mood" }, corpus.RefusalReason},
		{"a refusal without a sentence", refuse, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Refused.Reason = "" }, corpus.RefusalReason},
		{"a refusal that does not name the liver", refuse, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Refused.Lacks = nil }, corpus.RefusalReason},
		{"a refusal that lacks the unheard of", refuse, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Refused.Lacks = []string{"liver", "gravy"} }, corpus.RefusalReason},
		{"neither plan nor refusal", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { *a = corpus.Answer{} }, corpus.AnswerOne},
		{"both plan and refusal", pair, func(_ *testing.T, _ corpus.Request, a *corpus.Answer) { a.Refused = &corpus.Refusal{} }, corpus.AnswerOne},
		{"too much liver", shared, hand("beef-liver", "200 g"), "share-liver"},
		{"too much of everything", shared, hand("beef-mince", "800 g"), "energy-band"},
		{"what a scenario asks for by itself", noOil, func(t *testing.T, q corpus.Request, a *corpus.Answer) { hand("salmon-oil", "4.5 g")(t, q, a) }, "oil-weekly"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			a, j := ask(t, c, tc.s, corpus.Library())
			if !j.Good() {
				t.Fatalf("it is wrong before it is spoiled: %v", j.Wrong)
			}
			q, err := c.Request(tc.s)
			if err != nil {
				t.Fatal(err)
			}
			tc.spoil(t, q, &a)
			if j, err = corpus.Judge(q, tc.s, a); err != nil {
				t.Fatal(err)
			}
			if !j.Has(tc.want) {
				t.Errorf("found %v, want %s", j.Wrong, tc.want)
			}
		})
	}
}

// plain feeds everything there is on the first day.
func plain(t testing.TB, q corpus.Request) *ration.Plan {
	t.Helper()
	p := &ration.Plan{Household: q.Household.Name, Start: q.Household.Start}
	for d := range q.Days {
		m := ration.Meal{Slot: 1, For: q.Household.IDs()}
		for _, s := range q.Household.Stock {
			m.Servings = append(m.Servings, ration.Serving{Food: s.Food, Mass: s.Mass / units.Mass(q.Days)})
		}
		p.Days = append(p.Days, ration.Day{Date: q.Household.Start.AddDays(d), Meals: []ration.Meal{m}})
	}
	return p
}

// A household written as YAML or sent as JSON reads back as the same value.
func TestHousehold_roundTrip(t *testing.T) {
	t.Parallel()
	c := load(t)
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range c.Scenarios {
		h := s.Household()
		q, err := c.Request(s)
		if err != nil {
			t.Fatal(err)
		}
		data, err := q.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		_, json, _ := strings.Cut(string(data), `"household":`)
		json, _, _ = strings.Cut(json, `,"target":{"id"`)
		for form, text := range map[string]string{"yaml": corpus.HouseholdYAML(h), "json": json} {
			back, _, err := ration.LoadHousehold(s.File+" as "+form, strings.NewReader(text), foods)
			if err != nil {
				t.Errorf("%v\n%s", err, text)
				continue
			}
			if diff := cmp.Diff(bare(h), bare(back), cmp.Comparer(func(a, b *prey.Food) bool { return a.ID == b.ID })); diff != "" {
				t.Errorf("%s as %s: %s\n%s", s.File, form, diff, text)
			}
		}
	}
}

// bare is a household without the places of its parts.
func bare(h *ration.Household) ration.Household {
	out := *h
	out.Animals = append([]ration.Animal(nil), h.Animals...)
	for i := range out.Animals {
		out.Animals[i].At = ration.Place{}
	}
	out.Stock = append([]ration.Stock(nil), h.Stock...)
	for i := range out.Stock {
		out.Stock[i].At = ration.Place{}
	}
	out.Offers = append([]ration.Offer(nil), h.Offers...)
	for i := range out.Offers {
		out.Offers[i].At = ration.Place{}
	}
	return out
}

// Rules of another time apply then and only then.
func TestInForce(t *testing.T) {
	t.Parallel()
	c := load(t)
	for when, want := range map[string][2]bool{"1994": {false, false}, "1995": {true, false}, "2013-12": {true, false}, "2014": {false, false}, "2026-10": {false, false}, "2026-11": {false, true}} {
		book, err := corpus.InForce(c.Book(), when)
		if err != nil {
			t.Fatal(err)
		}
		for i, id := range []string{"vitamin-a-most-1995", "vitamin-a-most"} {
			r, ok := book.Rule(id)
			if !ok || (r.Until == "") != want[i] {
				t.Errorf("in %s %s applies: %v, want %v", when, id, !want[i], want[i])
			}
		}
	}
	if _, err := corpus.SwitchOff(c.Book(), "nonesuch"); err == nil {
		t.Error("a rule that is not there was switched off")
	}
	if corpus.ReasonWord(balance.NoReason) != "" || corpus.ReasonWord(balance.ShortPlan) != "short-plan" {
		t.Error("words of reasons")
	}
}
