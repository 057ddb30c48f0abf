package safety

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/units"
)

func TestParseRoom(t *testing.T) {
	t.Parallel()
	c18, c24 := units.DegreesC(18), units.DegreesC(24)
	for _, c := range []struct {
		in   string
		want []Spell
	}{
		{"", nil}, {"18 °C", []Spell{{At: c18}}}, {"3 h at 18 °C, 2 h at 24 °C", []Spell{{3 * time.Hour, c18}, {2 * time.Hour, c24}}},
		{"90 min at 18 C,24 C", []Spell{{90 * time.Minute, c18}, {0, c24}}}, {"2 h at 18 °C", []Spell{{2 * time.Hour, c18}}},
	} {
		if got, err := ParseRoom(c.in); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q: %v %v", c.in, got, err)
		}
	}
	for _, in := range []string{"18", "warm", "18 °C, 24 °C", "3 at 18 °C", "3 h at 18", "3 h at", "at 18 °C", ",", "3 h at 18 °C,"} {
		if got, err := ParseRoom(in); err == nil {
			t.Errorf("%q: %v", in, got)
		}
	}
}

func TestParseClocks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in   string
		want []TimeWarm
	}{
		{"", nil}, {"40 min", []TimeWarm{{For: 40 * time.Minute}}}, {"1 h 10 min", []TimeWarm{{For: 70 * time.Minute}}},
		{"thawing 40 min at 20 °C, preparing 20 min, bowl 1 h", []TimeWarm{{Thawing, 40 * time.Minute, At(units.DegreesC(20))}, {Kind: Preparing, For: 20 * time.Minute}, {Kind: Bowl, For: time.Hour}}},
		{"stash 2 h", []TimeWarm{{Kind: Stash, For: 2 * time.Hour}}},
	} {
		if got, err := ParseClocks(c.in); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q: %v %v", c.in, got, err)
		}
	}
	for _, in := range []string{"40", "thawing", "melting 2 h", "2 h at warm", ",", "1 h,"} {
		if got, err := ParseClocks(in); err == nil {
			t.Errorf("%q: %v", in, got)
		}
	}
}

func FuzzParseServing(f *testing.F) {
	for _, s := range []string{"18 °C", "3 h at 18 °C, 24 °C", "thawing 40 min at 20 °C, bowl 1 h", ",", "at"} {
		f.Add(s)
	}
	b := book(f)
	f.Fuzz(func(t *testing.T, s string) {
		room, err1 := ParseRoom(s)
		clocks, err2 := ParseClocks(s)
		if err1 != nil && room != nil || err2 != nil && clocks != nil {
			t.Fatalf("%q: a value with an error", s)
		}
		// What was read is either answered or refused, never a panic.
		if w, err := b.SetOut(SetOutQuestion{Form: Pieces, Room: room, Clocks: clocks}); err == nil && w.Line() == "" {
			t.Fatalf("%q: no answer", s)
		}
	})
}

func FuzzLoadNotices(f *testing.F) {
	f.Add(notices)
	f.Add("as-of: 2026-11-20\nnotices: []\n")
	f.Fuzz(func(t *testing.T, s string) {
		n, err := LoadNotices("x.yaml", strings.NewReader(s))
		if (n == nil) != (err != nil) {
			t.Fatalf("%q: %v %v", s, n, err)
		}
	})
}

// Outside check: the dates of the FDA release and reminder and of the UK page.
func TestShippedNoticesGoStale(t *testing.T) {
	t.Parallel()
	n, err := ShippedNotices()
	if err != nil {
		t.Fatal(err)
	}
	b := book(t)
	hen := Item{Species: "chicken"}
	day := func(s string) units.Date {
		d, err := units.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	for _, c := range []struct{ region, on, want string }{
		{"United States", "2025-10-30", "poultry-under-notice stop holds"},
		{"United States", "2025-10-31", "poultry-under-notice stop open"},
		{"United Kingdom", "2025-09-30", "poultry-under-notice stop open"},
		{"Brackenford", "2025-09-30", "poultry-no-notice watch open"},
	} {
		if got := ids(b.Hazards(hen, Context{Region: c.region, Notices: n, On: day(c.on)})); len(got) != 1 || got[0] != c.want {
			t.Errorf("%s on %s: %v, want %s", c.region, c.on, got, c.want)
		}
	}
}
