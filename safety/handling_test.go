package safety

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"pgregory.net/rapid"
)

// Outside check: 1 tablespoon per US gallon is 14.8 mL in 3.785 L, 3.9 mL/L
// (FoodSafety.gov as restated); 1 teaspoon per quart 5.2 mL/L; 5 mL in 750 mL
// 6.7 mL/L (Canadian sheet). The spoons follow from the exact US measures.
func TestBleach(t *testing.T) {
	t.Parallel()
	want := map[string]string{
		"per-gallon": "3.0 tsp per US gallon (3.9 mL per litre)",
		"per-quart":  "4.0 tsp per US gallon (5.2 mL per litre), left to stand 10 min",
		"canada":     "5.1 tsp per US gallon (6.7 mL per litre)",
	}
	for _, d := range book(t).Bleaches() {
		if got := d.String(); got != want[d.ID] {
			t.Errorf("%s: %q, want %q", d.ID, got, want[d.ID])
		}
		if v, err := d.For(d.Water); err != nil || v != d.Bleach {
			t.Errorf("%s in its own water: %s %v", d.ID, v, err)
		}
		if _, err := d.For(0); !errors.Is(err, ErrServing) {
			t.Errorf("%s: bleach for no water: %v", d.ID, err)
		}
		delete(want, d.ID)
	}
	if len(want) > 0 {
		t.Errorf("missing %v", want)
	}
	if s := (Bleach{}).String(); s != "no dilution" {
		t.Error(s)
	}
}

func TestMoreWaterMoreBleach(t *testing.T) {
	t.Parallel()
	ds := book(t).Bleaches()
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(ds).Draw(t, "dilution")
		w := units.Volume(rapid.Int64Range(1, int64(10_000*units.Millilitre)).Draw(t, "water"))
		a, err := d.For(w)
		if err != nil {
			t.Fatal(err)
		}
		b, err := d.For(2 * w)
		if err != nil || b < a || b > 2*a || a > w {
			t.Fatalf("%s and %s of bleach for %s and twice as much: %v", a, b, w, err)
		}
	})
}

func TestVetSigns(t *testing.T) {
	t.Parallel()
	signs := book(t).VetSigns()
	byID := map[string]VetSign{}
	for _, v := range signs {
		byID[v.ID] = v
		if v.Sooner > v.After {
			t.Errorf("%s: vulnerable animals wait longer", v.ID)
		}
		// No published hours for ferrets were read: none may claim it.
		if v.After > 0 && v.Ref.Evidence == cite.Published {
			t.Errorf("%s: hours rest on %s", v.ID, v.Ref)
		}
	}
	// Common practice: a day without food; at least every 4 h with insulinoma.
	if v := byID["not-eating"]; v.After != 24*time.Hour || v.Sooner >= v.After {
		t.Errorf("%+v", v)
	}
	if v := byID["not-eating-insulinoma"]; v.After != 4*time.Hour {
		t.Errorf("%+v", v)
	}
	for _, id := range []string{"low-sugar", "blocked", "black-stool"} {
		if v, ok := byID[id]; !ok || v.After != 0 || !strings.HasSuffix(v.String(), ": at once") {
			t.Errorf("%s: %v", id, v)
		}
	}
	if s := byID["not-eating"].String(); s != "Eats nothing: after 24 h; after 12 h for young, pregnant, nursing, ill or overweight animals" {
		t.Error(s)
	}
}

func TestHandling(t *testing.T) {
	t.Parallel()
	b := book(t)
	n := 0
	for _, topic := range HandlingTopics() {
		hs := b.Handling(topic)
		if len(hs) == 0 {
			t.Errorf("nothing on %s", topic)
		}
		n += len(hs)
	}
	if n != len(b.Handling("")) {
		t.Errorf("%d of %d rules have a topic", n, len(b.Handling("")))
	}
	// Outside check: 20 seconds (FSIS and FDA pages).
	for _, id := range []string{"hands", "items"} {
		for _, h := range b.Handling("") {
			if h.ID == id && !strings.Contains(h.Text, "20 seconds") {
				t.Errorf("%s: %s", id, h.Text)
			}
		}
	}
}
