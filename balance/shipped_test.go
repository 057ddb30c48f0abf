package balance_test

import (
	"sync"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units/cite"
)

// What comes with the library is read once, also by many at once, and a slice
// of it that was handed out is the caller's own.
func TestShipped_once(t *testing.T) {
	t.Parallel()
	once(t, "sources", cite.Shipped)
	once(t, "words", prey.ShippedWords)
	once(t, "foods", prey.Shipped)
	once(t, "tables of safety", safety.Shipped)
	once(t, "rules", balance.Shipped)

	foods, _ := prey.Shipped()
	own(t, "foods", foods.All)
	own(t, "tags", foods.Words().Tags)
	book, _ := balance.Shipped()
	own(t, "rules", book.Rules)
	own(t, "targets", book.Targets)
	care, _ := safety.Shipped()
	own(t, "hazards", func() []string { return ids(care.AllHazards()) })
	own(t, "kinds", care.Kinds)
	own(t, "signs for a vet", func() []string {
		var out []string
		for _, s := range care.VetSigns() {
			out = append(out, s.Sign)
		}
		return out
	})
}

func ids(list []safety.Hazard) (out []string) {
	for i := range list {
		out = append(out, list[i].ID)
		list[i] = safety.Hazard{}
	}
	return out
}

func once[T any](t *testing.T, what string, read func() (*T, error)) {
	t.Helper()
	var all [8]*T
	var done sync.WaitGroup
	for i := range all {
		done.Go(func() { all[i], _ = read() })
	}
	done.Wait()
	for _, v := range all {
		if v == nil || v != all[0] {
			t.Errorf("%s: read more than once", what)
			return
		}
	}
}

func own[T comparable](t *testing.T, what string, list func() []T) {
	t.Helper()
	var zero T
	got := list()
	if len(got) == 0 || got[0] == zero {
		t.Fatalf("%s: there are none", what)
	}
	clear(got)
	if again := list(); again[0] == zero {
		t.Errorf("%s: who changes the slice changes it for all", what)
	}
}

// BenchmarkLeftOut is an audit with nothing but plan and household.
func BenchmarkLeftOut(b *testing.B) {
	for _, c := range []struct {
		name  string
		leave func(*balance.Input)
	}{
		{"nothing", func(*balance.Input) {}},
		{"book", func(in *balance.Input) { in.Book, in.Target = nil, nil }},
		{"screen", func(in *balance.Input) { in.HazardCheck = nil }},
		{"all", func(in *balance.Input) { *in = balance.Input{Plan: in.Plan, Household: in.Household} }},
	} {
		b.Run(c.name, func(b *testing.B) {
			in := benchWeek(b, 12)
			c.leave(&in)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := balance.Audit(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
