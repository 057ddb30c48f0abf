package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/examples/internal/fits"
	"fitchet.example/ration"
	"fitchet.example/units/strict"
)

// called is the embedded rescue's week with all names that come from outside put to the same text, as values that never
// passed a loader can have them. Foods are copies: those of the catalogue are shared.
func called(t *testing.T, name string) *sheet {
	t.Helper()
	s := sheetFor(t, rescue)
	m := *s.maker
	h := *s.home
	rename := func(id string) string { return strings.Replace(name, "#", id, 1) }
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

// Whatever a household, an animal, a food, a supplier or a lot is called, no sheet in any format holds what acts on a
// terminal or turns a line, and each reads as if the name had been spelt out in the file: no line more, and none less.
func TestNamesAreHarmless(t *testing.T) {
	t.Parallel()
	uid := regexp.MustCompile(`(?m)^UID:.*\r\n`) // made of the name itself
	for _, name := range fits.Hostile() {
		got, want := called(t, "#"+name+"."), called(t, strict.Line("#"+name+"."))
		for _, kind := range kinds() {
			for _, format := range formats() {
				if format == "ics" && kind != "week" && kind != "door" {
					continue
				}
				a, err := got.render(kind, format)
				if err != nil {
					t.Fatal(err)
				}
				b, err := want.render(kind, format)
				if err != nil {
					t.Fatal(err)
				}
				if bad := fits.Harmless(string(a)); bad != "" {
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
					t.Errorf("%q: %s, %s reads other than %q spelt out:\n%s", name, kind, format, strict.Line(name), difference(string(a), string(b)))
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
