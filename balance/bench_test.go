package balance_test

import (
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// benchWeek is one week for one animal: 42 servings out of so many foods.
func benchWeek(b *testing.B, different int) balance.Input {
	foods, err := prey.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	book, err := balance.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	screen, err := safety.NewHazardCheck(nil, foods, safety.Context{})
	if err != nil {
		b.Fatal(err)
	}
	var use []*prey.Food
	for _, f := range foods.All() {
		switch f.Kind {
		case prey.Cut, prey.OrganMeat, prey.EggFood, prey.Oil:
			if len(use) < different && f.PartsKnown && !f.HasHazard("raw-pork") {
				use = append(use, f)
			}
		}
	}
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day0, Start: day0,
		Animals: []ration.Animal{ferret("bramble", ration.Jill, 900)}}
	p := &ration.Plan{Household: h.Name, Start: day0}
	n := 0
	for d := range 7 {
		day := ration.Day{Date: day0.AddDays(d)}
		for slot := range 2 {
			m := ration.Meal{Slot: slot + 1, For: []string{"bramble"}}
			for range 3 {
				m.Servings = append(m.Servings, ration.Serving{Food: use[n*17%len(use)], Mass: 15 * units.Gram})
				n++
			}
			day.Meals = append(day.Meals, m)
		}
		p.Days = append(p.Days, day)
	}
	for i, f := range use {
		h.Stock = append(h.Stock, ration.Stock{Food: f, Mass: 300 * units.Gram, BestBefore: day0.AddDays(4 + i%20)})
	}
	target, err := book.Target("")
	if err != nil {
		b.Fatal(err)
	}
	return balance.Input{Plan: p, Household: h, Needs: h.Needs(), Book: book, Target: target, HazardCheck: screen, Foods: foods}
}

// weeks runs a benchmark on a week as it is fed, and on one in which no two
// servings are alike.
func weeks(b *testing.B, run func(b *testing.B, in balance.Input)) {
	for _, w := range []struct {
		name      string
		different int
	}{{"12 foods", 12}, {"42 foods", 60}} {
		b.Run(w.name, func(b *testing.B) {
			in := benchWeek(b, w.different)
			b.ReportAllocs()
			run(b, in)
		})
	}
}

// BenchmarkAuditor is an audit of a decoded plan by an Auditor that judges many:
// every shipped rule, verdicts at the typical figures and over the range,
// findings as integers.
func BenchmarkAuditor(b *testing.B) {
	weeks(b, func(b *testing.B, in balance.Input) {
		var a balance.Auditor
		for b.Loop() {
			if _, err := a.Audit(in); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkAudit is the same, each audit by itself.
func BenchmarkAudit(b *testing.B) {
	weeks(b, func(b *testing.B, in balance.Input) {
		for b.Loop() {
			if _, err := balance.Audit(in); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkMeasured adds the decimals for people.
func BenchmarkMeasured(b *testing.B) {
	in := benchWeek(b, 60)
	b.ReportAllocs()
	for b.Loop() {
		r, err := balance.Audit(in)
		if err != nil {
			b.Fatal(err)
		}
		for i := range r.Findings {
			r.Findings[i].Measured()
		}
	}
}

// BenchmarkJSON writes the whole report with drives and changes.
func BenchmarkJSON(b *testing.B) {
	in := benchWeek(b, 60)
	r, err := balance.Audit(in)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		data, err := r.MarshalJSON()
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(data)), "bytes")
	}
}
