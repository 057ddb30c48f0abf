package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/examples/internal/hostile"
	"fitchet.example/ration"
	"fitchet.example/units/strict"
)

// called is the embedded rescue's week with each name that comes from outside put to what rename makes of it, as values
// that never passed a loader can have them. Foods are copies: those of the catalogue are shared.
func called(t *testing.T, rename func(id string) string) *sheet {
	t.Helper()
	s := sheetFor(t, rescue)
	m := *s.maker
	h := *s.home
	h.Name = rename("house")
	h.Animals = append([]ration.Animal{}, h.Animals...)
	for i := range h.Animals {
		h.Animals[i].Name = rename(h.Animals[i].ID)
	}
	h.Stock = append([]ration.Stock{}, h.Stock...)
	for i := range h.Stock {
		f := *h.Stock[i].Food
		f.Name = rename(f.ID)
		h.Stock[i].Food, h.Stock[i].Supplier, h.Stock[i].Lot = &f, rename("farm"), rename("lot")
	}
	h.Offers = append([]ration.Offer{}, h.Offers...)
	for i := range h.Offers {
		f := *h.Offers[i].Food
		f.Name = rename(f.ID)
		h.Offers[i].Food, h.Offers[i].Supplier = &f, rename("shop")
	}
	p := *s.Plan
	p.Household = strict.Line(h.Name) // a plan under another name is not written as JSON
	p.Days = append([]ration.Day{}, p.Days...)
	for d := range p.Days {
		p.Days[d].Meals = append([]ration.Meal{}, p.Days[d].Meals...)
		for i := range p.Days[d].Meals {
			meal := &p.Days[d].Meals[i]
			meal.Servings = append([]ration.Serving{}, meal.Servings...)
			for j := range meal.Servings {
				f := *meal.Servings[j].Food
				f.Name = rename(f.ID)
				meal.Servings[j].Food = &f
			}
		}
	}
	m.h = &h
	report, err := balance.Audit(balance.Input{Plan: &p, Household: &h, Book: m.book, Foods: m.foods})
	if err != nil {
		t.Fatal(err)
	}
	out, err := m.audited(&p, report)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// rendered leaves out of JSON what is no text for people and refuses such names:
// the plan and the household, which no file could hold.
func rendered(s *sheet, kind, format string) ([]byte, error) {
	if format == "json" {
		c := *s
		c.Plan, c.Given = nil, nil
		s = &c
	}
	return s.render(kind, format)
}

// Whatever a household, an animal, a food, a supplier or a lot is called, no sheet in any format holds what acts on a
// terminal or turns a line, and each reads as if the name had been spelt out in the file: no line more, and none less.
// Each thing has another of the names; with FITCHET_FULL every thing has every name.
func TestNamesAreHarmless(t *testing.T) {
	t.Parallel()
	uid := regexp.MustCompile(`(?m)^UID:.*\r\n`) // made of the name itself
	all := hostile.Names()
	rounds := 1
	if os.Getenv("FITCHET_FULL") != "" {
		rounds = len(all)
	}
	for round := range rounds {
		turn := map[string]int{} // the name of each thing, in the order in which they come
		rename := func(id string) string {
			if _, met := turn[id]; !met {
				turn[id] = (len(turn) + round) % len(all)
			}
			return id + all[turn[id]] + "."
		}
		name := fmt.Sprintf("round %d", round)
		got := called(t, rename)
		if len(turn) < len(all) {
			t.Fatalf("%d things for %d names", len(turn), len(all))
		}
		want := called(t, func(id string) string { return strict.Line(rename(id)) })
		for _, kind := range kinds() {
			for _, format := range formats() {
				if format == "ics" && kind != "week" && kind != "door" {
					continue
				}
				a, err := rendered(got, kind, format)
				if err != nil {
					t.Fatal(err)
				}
				b, err := rendered(want, kind, format)
				if err != nil {
					t.Fatal(err)
				}
				if bad := hostile.Harmless(string(a)); bad != "" {
					t.Errorf("%q: %s, %s: %s", name, kind, format, bad)
				}
				switch format {
				case "json":
					if !json.Valid(a) || bytes.Count(a, []byte("\n")) != bytes.Count(b, []byte("\n")) {
						t.Errorf("%q: %s is other JSON", name, kind)
					}
					continue
				case "ics":
					a, b = uid.ReplaceAll(a, nil), uid.ReplaceAll(b, nil)
				}
				if !bytes.Equal(a, b) {
					t.Errorf("%q: %s, %s reads other than spelt out:\n%s", name, kind, format, difference(string(a), string(b)))
				}
			}
		}
	}
}

// difference is the first line in which two texts differ.
func difference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			return fmt.Sprintf("%q\n%q", x[i], y[min(i, len(y)-1)])
		}
	}
	return "the second is longer"
}

// Three animals of one name are told apart on every sheet in every format.
func TestAnimalsOfOneName(t *testing.T) {
	t.Parallel()
	got := called(t, func(string) string { return "Moss" })
	if len(got.home.Animals) < 3 {
		t.Fatal("the rescue holds fewer than three animals")
	}
	bare := regexp.MustCompile(`\bMoss\b`)
	for _, kind := range kinds() {
		for _, format := range formats() {
			if format == "ics" && kind != "week" && kind != "door" {
				continue
			}
			out, err := got.render(kind, format)
			if err != nil {
				t.Fatal(err)
			}
			text := strings.Join(strings.Fields(string(out)), " ")
			if format == "ics" {
				text = string(bytes.ReplaceAll(out, []byte("\r\n "), nil))
			}
			for i := range got.home.Animals {
				if id := got.home.Animals[i].ID; !strings.Contains(text, "("+id+")") { // columns of text may part the two
					t.Errorf("%s, %s: %s is not told apart", kind, format, id)
				}
			}
			if kind != "door" || format == "json" {
				continue // foods, suppliers and lots are called Moss too
			}
			for _, line := range regexp.MustCompile(`Set out: [^\r\n]*|Lift: [^\r\n]*`).FindAllString(text, -1) {
				if n, m := len(bare.FindAllString(line, -1)), strings.Count(line, "Moss ("); n != m {
					t.Errorf("%s: %q", format, line)
				}
			}
		}
	}
}

// notEating are sentences that say what to do with an animal that does not eat.
var notEating = regexp.MustCompile(`(?i)[^.]*(eats nothing|does not eat\b|as not eating|nothing eaten|without food|waited? out)[^.]*\.`)

// A card says one thing about an animal that does not eat, with its own time, and the other sheets say nothing else.
func TestSheetsOfNotEating(t *testing.T) {
	t.Parallel()
	base := named("Brackenford", "Moss", "Willow")
	for _, tc := range []struct {
		replace, with string
		want          string // hours of the first, or a part of the sentence
	}{
		{`"id": "one"`, `"id": "one"`, "call a vet after 24 h"},
		{`"born": "2023-05-01"`, `"born": "2026-07-01"`, "call a vet after 12 h"},
		{`"id": "one"`, `"id": "one", "conditions": ["obese"]`, "call a vet after 12 h"},
		{`"id": "one"`, `"id": "one", "conditions": ["insulinoma"]`, "call a vet after 4 h"},
		{`"id": "one"`, `"id": "one", "conditions": ["not-eating"]`, "call a vet now"},
	} {
		household := strings.Replace(base, tc.replace, tc.with, 1)
		for _, kind := range kinds() {
			out := sheetOf(t, household, kind, "text")
			if kind == "card" {
				_, out, _ = strings.Cut(out, "\nMoss\n")
				out, _, _ = strings.Cut(out, "\nWillow\n")
			}
			out, _, _ = strings.Cut(out, "\nPlease read\n")
			got := notEating.FindAllString(strings.Join(strings.Fields(out), " "), -1)
			switch {
			case kind == "card" && (len(got) != 1 || !strings.Contains(got[0], tc.want)):
				t.Errorf("%s: %q, want %q alone", tc.with, got, tc.want)
			case kind != "card" && regexp.MustCompile(`[0-9] h\b`).MatchString(strings.Join(got, "")):
				t.Errorf("%s, %s: another time: %q", tc.with, kind, got)
			}
		}
	}
}
