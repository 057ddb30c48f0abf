package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A start that the household's figures do not reach to is refused, however it
// comes in: by the flag, by the file or by a plan. The bounds are our choices.
func TestStartIsHeldAgainstTheHousehold(t *testing.T) {
	t.Parallel()
	one, err := os.ReadFile("testdata/good-one-animal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	week, err := os.ReadFile("testdata/week-by-hand.json")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	household := func(start string) string {
		return write("home-"+start+".yaml", strings.Replace(string(one), "start: 2026-11-30", "start: "+start, 1))
	}
	plan := func(from, to string) string {
		return write("plan-"+to+".json", strings.ReplaceAll(string(week), from, to))
	}
	for _, tc := range []struct {
		name, says string
		args       []string
	}{
		{"a year ahead", "start 2027-11-30 lies 370 days after", []string{"-start", "2027-11-30"}},
		{"29 days ahead", "start 2026-12-24 lies 29 days after", []string{"-start", "2026-12-24"}},
		{"before the birth", "start 2020-01-01 lies before the as-of day", []string{"-start", "2020-01-01"}},
		{"a day back", "start 2026-11-24 lies before the as-of day", []string{"-start", "2026-11-24"}},
		{"no day", "no such day", []string{"-start", "2026-02-30"}},
		{"file, a year ahead", ":7:8: start 2027-11-30 lies 370 days after", []string{"-household", household("2027-11-30")}},
		{"file, a day back", ":7:8: start 2026-11-24 lies before", []string{"-household", household("2026-11-24")}},
		{"plan of another year", "start 2025-11-30 lies before", []string{"-household", "testdata/good-one-animal.yaml", "-plan", plan("2026-1", "2025-1")}},
		{"plan of next year", "start 2027-11-30 lies 370 days after", []string{"-household", "testdata/good-one-animal.yaml", "-plan", plan("2026-1", "2027-1")}},
		{"plan whose last day is a year off", "day 2027-12-06 of the plan", []string{"-household", "testdata/good-one-animal.yaml", "-plan", plan("2026-12-06", "2027-12-06")}},
		{"plan and start", "has its own days", []string{"-household", "testdata/good-one-animal.yaml", "-plan", "testdata/week-by-hand.json", "-start", "2026-11-30"}},
	} {
		for _, kind := range kinds() {
			code, out, errs := call(t, "", append([]string{"-sheet", kind}, tc.args...)...)
			if code != 2 || out != "" || !strings.Contains(errs, tc.says) {
				t.Errorf("%s, %s: exit %d, %q, want %q", tc.name, kind, code, errs, tc.says)
			}
		}
	}
}

// What is past its day stands first on every sheet, in every format, with a plan
// and without; so does that the figures are old. Ages are those of the first day.
func TestOldLotsAndFiguresStandFirst(t *testing.T) {
	t.Parallel()
	for name, path := range map[string]string{"plan": "testdata/good-one-animal.yaml", "no plan": "testdata/lacking-a-little-liver.yaml"} {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		home := strings.NewReplacer("start: 2026-11-30", "start: 2026-12-05", "2023-06-03", "2024-12-05", "2023-03-18", "2024-12-05").Replace(string(text)) + `  - {food: goat meat, mass: 150 g, best-before: 2026-11-24}
  - {food: turkey heart, mass: 90 g, best-before: 2026-12-04}
  - {food: venison, mass: 80 g, best-before: 2026-12-05}
`
		const (
			old    = "Throw away or look at: 150 g (5.3 oz) goat meat"
			sooner = "Feed it before this week or throw it away: 90 g (3.2 oz) turkey heart"
			stale  = "the figures are of Wednesday 2026-11-25, 10 days before it"
		)
		for _, kind := range kinds() {
			for _, format := range formats() {
				if format == "ics" {
					continue
				}
				got := sheetOf(t, home, kind, format)
				if format == "html" {
					got = readHTML(t, got).text
				}
				got = words(withoutEscapes(got))
				at := strings.Index(got, old)
				if at < 0 || !strings.Contains(got, sooner) || !strings.Contains(got, stale) || strings.Contains(got, "look at: 80 g") {
					t.Errorf("%s, %s, %s: %d; %.900s", name, kind, format, at, got)
					continue
				}
				for _, later := range []string{nothingWrong, "NO PLAN"} {
					if i := strings.Index(got, later); i >= 0 && i < at {
						t.Errorf("%s, %s, %s: %q stands before it", name, kind, format, later)
					}
				}
			}
		}
		if got := sheetOf(t, home, "week", "text"); !strings.Contains(got, "2 years") {
			t.Errorf("%s: two years old on the first day: %.900s", name, got)
		}
		s := sheetFor(t, home)
		if s.Plan == nil {
			continue
		}
		for at, v := range s.Plan.Servings() {
			if v.Food.ID == "goat-meat" {
				t.Errorf("%s is fed at %s", v.Food.Name, s.Plan.Where(at))
			}
		}
	}
}
