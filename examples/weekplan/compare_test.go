package main

import (
	"fmt"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/units"
)

func euro(t *testing.T, s string) units.Price {
	t.Helper()
	p, err := units.ParsePrice(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What is said of a plan of which it is not proved that it is the cheapest.
func TestNotProved(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		outcome     plan.Outcome
		bound, want string
		no          string
	}{
		{plan.Optimal, "11.90 EUR", "for 11.90 EUR. That is computed and proved", "not proved"},
		{plan.BestFound, "9.50 EUR", "costs less than 9.50 EUR", "computed and proved"},
		{plan.BestFound, "0.00 EUR", "it is not known how much less", "0.00"},
	} {
		got := howSure(&plan.Result{Outcome: tc.outcome, Cost: euro(t, "11.90 EUR"), Bound: euro(t, tc.bound)})
		if !strings.Contains(got, tc.want) || strings.Contains(got, tc.no) || !strings.Contains(got, "11.90 EUR") {
			t.Errorf("%s, %s: %s", tc.outcome, tc.bound, got)
		}
	}
	s := &sheet{Costs: &costsOut{Requirements: []requirementOut{
		{Words: "One.", Without: "1.00 EUR", Saves: "2.00 EUR", Proved: false, dear: true},
		{Words: "Two.", Without: "0.00 EUR", Saves: "1.00 EUR", Proved: true, dear: true, last: true},
		{Words: "Three.", Without: "3.00 EUR", Saves: "0.00 EUR", Proved: true},
	}}}
	got := words(string((&paper{Parts: []part{s.costPart()}}).text()))
	for _, want := range []string{"One. – 1.00 EUR at least 2.00 EUR no", "Two. – 0.00 EUR, nothing to buy 1.00 EUR yes"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in %q", want, got)
		}
	}
	if strings.Contains(got, "Three.") {
		t.Errorf("what saves nothing stands among what is dear: %q", got)
	}
}

func TestNoPlanInAStyle(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		st   styleOut
		want string
	}{
		{styleOut{costedOut: costedOut{Outcome: "infeasible"}, Lacking: []lackOut{{What: "heart", Amount: "55 g (1.9 oz)"}, {What: "liver", Amount: "28 g (1.0 oz)"}}},
			"no plan; that is proved. It lacks about 55 g (1.9 oz) more of heart and 28 g (1.0 oz) more of liver."},
		{styleOut{costedOut: costedOut{Outcome: "undecided"}, Clash: []string{"This.", "That."}},
			"no plan was found; it is not proved that there is none. What stands against it: This. That."},
		{styleOut{costedOut: costedOut{Outcome: "undecided"}}, "no plan was found; it is not proved that there is none."},
	} {
		if got := tc.st.noPlan(); got != tc.want {
			t.Errorf("%q, want %q", got, tc.want)
		}
	}
}

func TestAgainst(t *testing.T) {
	t.Parallel()
	for _, tc := range [][3]string{
		{"12.90 EUR", "11.90 EUR", "1.00 EUR more"}, {"11.90 EUR", "12.90 EUR", "1.00 EUR less"}, {"3.10 USD", "3.10 USD", "costs the same"},
	} {
		if got := against(euro(t, tc[0]), euro(t, tc[1])); got != tc[2] {
			t.Errorf("%s against %s: %q, want %q", tc[0], tc[1], got, tc[2])
		}
	}
}

func TestDiffer(t *testing.T) {
	t.Parallel()
	more, fewer := differ([]plan.Purchase{{Offer: 0, Packs: 2}, {Offer: 3, Packs: 1}, {Offer: 5, Packs: 1}}, []plan.Purchase{{Offer: 0, Packs: 1}, {Offer: 1, Packs: 2}, {Offer: 5, Packs: 4}})
	if len(more) != 2 || more[0] != (plan.Purchase{Offer: 1, Packs: 2}) || more[1] != (plan.Purchase{Offer: 5, Packs: 3}) {
		t.Errorf("more %v", more)
	}
	if len(fewer) != 2 || fewer[0] != (plan.Purchase{Offer: 0, Packs: 1}) || fewer[1] != (plan.Purchase{Offer: 3, Packs: 1}) {
		t.Errorf("fewer %v", fewer)
	}
}

// A household without a price: nothing is printed as if it cost nothing. One
// with a price for next to nothing of its food: the cent that it rounds to is
// not the cost of the food.
func TestNoCostOfNothing(t *testing.T) {
	t.Parallel()
	for _, format := range []string{"text", "md", "html", "json"} {
		out := sheetOf(t, "", "week", format, "-household", "testdata/good-one-animal.yaml", "-next", "3")
		if strings.Contains(out, "0.00 ") {
			t.Errorf("%s: a cost of nothing", format)
		}
		if format == "html" {
			out = readHTML(t, out).text
		}
		if n := strings.Count(words(out), "no price is known and there is nothing to compare in price"); n != 3 {
			t.Errorf("%s: it is said %d times that there is no price, want once in each part", format, n)
		}
	}
	const household = `{"household": "Brackenford", "as-of": "2026-11-25", "start": "2026-11-30",
 "animals": [{"id": "one", "name": "Fern", "sex": "jill", "weight": "750 g", "born": "2023-05-01", "neutered": true}],
 "stock": [{"food": "rabbit meat", "mass": "400 g"}, {"food": "beef mince", "mass": "400 g"}, {"food": "chicken thigh meat", "mass": "500 g"},
           {"food": "chicken mince with bone", "mass": "300 g"}, {"food": "eggshell powder", "mass": "50 g"}, {"food": "chicken heart", "mass": "200 g"}, {"food": "beef liver", "mass": "100 g"},
           {"food": "lamb kidney", "mass": "100 g"}, {"food": "hen egg", "pieces": 4}, {"food": "salmon oil", "mass": "90 g", "cost": "0.10 EUR"}]}`
	s := sheetFor(t, household)
	if len(s.PerAnimal) != 1 || s.PerAnimal[0].PerDay != "" || !strings.HasSuffix(s.PerAnimal[0].Note, "of its food has no price") {
		t.Errorf("%+v", s.PerAnimal)
	}
}

// Each part is no longer than a screen, in lines as wide as the others.
func TestPartsFitTheScreen(t *testing.T) {
	t.Parallel()
	const screen = 40
	for name, args := range inputs(t) {
		if name == "by hand" || len(args) > 0 && args[len(args)-2] == "-next" {
			continue
		}
		out := sheetOf(t, "", "week", "text", append(args[:len(args):len(args)], "-next", "3")...)
		for _, head := range []string{"Next best plans", "What each requirement costs", "The styles compared"} {
			_, part, ok := strings.Cut(out, "\n"+head+"\n"+strings.Repeat("-", len(head))+"\n")
			if !ok {
				t.Errorf("%s: no part %q", name, head)
				continue
			}
			lines := strings.Split(part, "\n")
			for i, l := range lines {
				if i > 0 && strings.Trim(l, "-") == "" && l != "" { // the next part is underlined
					lines = lines[:i-2]
					break
				}
			}
			if len(lines) > screen || len(lines) < 1 {
				t.Errorf("%s, %s: %d lines", name, head, len(lines))
			}
			for _, l := range lines {
				if wide(l) > page || l != strings.TrimRight(l, " ") {
					t.Errorf("%s, %s: %d wide or blanks at its end: %q", name, head, wide(l), l)
				}
			}
		}
	}
}

// The first row of the styles is the plan of the sheet: the lines of its audit are
// those counted above it, and what is left open is what the report holds open.
func TestStylesBeginWithThePlan(t *testing.T) {
	t.Parallel()
	s := sheetFor(t, "", "-next", "3")
	first := s.Styles.Styles[0]
	n := first.Audit
	want := fmt.Sprintf("%d missed, %d open, %d met, %d to feed with care.", n.Missed, n.Open, n.Met, n.Care)
	if !strings.Contains(words(sheetOf(t, "", "week", "text")), want) {
		t.Errorf("the audit does not say %q", want)
	}
	open := 0
	for i := range s.Report.Findings {
		f := &s.Report.Findings[i]
		if f.Verdict != balance.Open && f.Verdict != balance.Missed {
			continue
		}
		open++
		if f.Verdict == balance.Open && f.Severity != balance.Watch && !strings.Contains(s.Styles.After[0], f.Rule.Title) {
			t.Errorf("%q is open and not named: %s", f.Rule.Title, s.Styles.After[0])
		}
	}
	if open == 0 || len(first.Open) != open {
		t.Errorf("%d findings are left open, want %d", len(first.Open), open)
	}
}

// A supplier's name from right to left stands apart in these parts too, once.
func TestNamesFromRightToLeftBesideThePlan(t *testing.T) {
	t.Parallel()
	const name = "דובי"
	household := named("Brackenford", "Fern", name)
	household = strings.Replace(household, `"offers": [`, `"offers": [{"food": "rabbit meat", "pack": "500 g", "price": "4.60 EUR", "supplier": "`+name+`"}, `, 1)
	if len(sheetFor(t, household, "-next", "3").Next.Plans) == 0 {
		t.Fatal("no next best plan to look at")
	}
	for _, format := range []string{"text", "md"} {
		out := sheetOf(t, household, "week", format, "-next", "3")
		_, part, _ := strings.Cut(out, "Next best plans")
		part, _, _ = strings.Cut(part, "The styles compared")
		if n := strings.Count(part, name); n == 0 || n != strings.Count(part, isolate+name+endIsolate) || strings.Contains(part, isolate+isolate) {
			t.Errorf("%s: the name stands %d times, not always between isolates:\n%s", format, n, part)
		}
	}
}

// A price in a narrow column is not broken before its currency.
func TestPricesStayWhole(t *testing.T) {
	t.Parallel()
	root := checkHTML(t, sheetOf(t, "", "week", "html", "-next", "3"))
	seen := 0
	for _, table := range root.all("table") {
		if caption := table.kids[0].text; !strings.HasPrefix(caption, "Requirements") && !strings.HasPrefix(caption, "Each style") {
			continue
		}
		for _, cell := range table.all("td") {
			if strings.HasSuffix(cell.text, "\u00a0EUR") {
				seen++
				if cell.attr["class"] != "keep" {
					t.Errorf("%q may be broken", cell.text)
				}
			}
		}
	}
	if seen < 4 {
		t.Errorf("%d prices, want more", seen)
	}
}
