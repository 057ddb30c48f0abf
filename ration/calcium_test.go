package ration

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// labelled is a food with calcium and phosphorus in mg per 100 g; negative: not known.
func labelled(tb testing.TB, id, kind string, ca, p int) *prey.Food {
	tb.Helper()
	text := fmt.Sprintf("foods:\n  - id: %s\n    name: %s\n    kind: %s\n    species: beef\n    colour: red\n    slot: muscle\n    ref: \"choice: made up\"\n", id, id, kind)
	if kind == "supplement" {
		text = strings.Replace(strings.Replace(text, "slot: muscle", "slot: none", 1), "colour: red", "colour: none", 1)
	}
	text += "    label:\n      state: wet\n      per: fed\n      moisture: \"60 %\"\n"
	if ca >= 0 {
		text += fmt.Sprintf("      calcium: \"%d mg/kg\"\n", 10*ca)
	}
	if p >= 0 {
		text += fmt.Sprintf("      phosphorus: \"%d mg/kg\"\n", 10*p)
	}
	reg, err := cite.Shipped()
	if err != nil {
		tb.Fatal(err)
	}
	fs, err := prey.LoadFoods(id, strings.NewReader(text), reg)
	if err != nil {
		tb.Fatal(err)
	}
	return &fs[0]
}

func ratio(low, high string) Ratio {
	return Ratio{decimal.RequireFromString(low), decimal.RequireFromString(high), cite.Choice.Ref("test")}
}

// The calcium that a pound of boneless meat lacks beside its phosphorus, as a keepers' table prints it (common practice):
// beef 716 mg, lamb 703. For chicken breast the table prints 734, but 781 - 49.6 is 731.4.
func TestCalciumGap(t *testing.T) {
	t.Parallel()
	powder := labelled(t, "powder", "supplement", 40_000, 0)
	for _, tc := range []struct {
		name  string
		ca, p int // mg per 100 g, the table's figures per pound over 4.536
		gap   int64
	}{
		{"beef chuck", 18, 176, 716}, {"lamb", 13, 168, 703}, {"chicken breast", 11, 172, 731},
	} {
		meat := labelled(t, "meat", "cut", tc.ca, tc.p)
		d, err := Calcium([]Serving{{Food: meat, Mass: units.Pound}}, powder, ratio("1", "1"))
		if err != nil {
			t.Fatal(err)
		}
		if got := d.Phosphorus.Typical - d.Calcium.Typical; got < tc.gap-1 || got > tc.gap+1 {
			t.Errorf("%s lacks %d mg, printed %d", tc.name, got, tc.gap)
		}
		// Powder of 400 mg per g: the dose holds what is lacking, to the hundredth of a gram above.
		if mg := float64(d.Powder.Typical) / float64(units.Gram) * 400; mg < float64(tc.gap)-1 || mg > float64(tc.gap)+5 {
			t.Errorf("%s: %s holds %.0f mg", tc.name, d.Powder.Typical, mg)
		}
	}
}

func TestCalciumRefuses(t *testing.T) {
	t.Parallel()
	meat := labelled(t, "meat", "cut", 10, 200)
	batch := []Serving{{Food: meat, Mass: units.Kilogram}}
	bone := labelled(t, "bone-meal", "supplement", 30_500, 15_500) // 1.97 : 1
	for _, tc := range []struct {
		name   string
		batch  []Serving
		powder *prey.Food
		ratio  Ratio
		want   error
	}{
		{"bone meal never reaches 2 : 1", batch, bone, ratio("1", "2"), ErrUnreachable},
		{"a powder without calcium", batch, labelled(t, "chalk", "supplement", -1, 0), ratio("1", "1"), ErrUnknownMineral},
		{"meat without phosphorus figures", []Serving{{Food: labelled(t, "meat", "cut", 10, -1), Mass: units.Gram}}, bone, ratio("1", "1"), ErrUnknownMineral},
		{"meat without any figures", []Serving{{Food: given.Food(t, "chicken-thigh"), Mass: units.Gram}}, bone, ratio("1", "1"), ErrUnknownMineral},
		{"a ratio of nothing", batch, bone, ratio("0", "1"), ErrRatio},
		{"turned round", batch, bone, ratio("1.7", "1.2"), ErrRatio},
		{"beyond reason", batch, bone, ratio("1", "11"), ErrRatio},
		{"no food", []Serving{{Mass: units.Gram}}, bone, ratio("1", "1"), prey.ErrFood},
		{"no powder", batch, nil, ratio("1", "1"), ErrUnknownMineral},
	} {
		if d, err := Calcium(tc.batch, tc.powder, tc.ratio); !errors.Is(err, tc.want) {
			t.Errorf("%s: %+v, %v", tc.name, d, err)
		}
	}
	// Enough already: nothing is added, whatever the powder.
	if d, err := Calcium([]Serving{{Food: labelled(t, "mix", "cut", 900, 600), Mass: units.Kilogram}}, bone, ratio("1.2", "1.4")); err != nil || d.Powder != (units.Range[units.Mass]{}) {
		t.Errorf("enough: %+v, %v", d, err)
	}
	// A ratio the powder has exactly is never reached by adding it: bone of 2 : 1 to 2 : 1.
	if d, err := Calcium(batch, labelled(t, "ash", "supplement", 20_000, 10_000), ratio("2", "2")); !errors.Is(err, ErrUnreachable) {
		t.Errorf("%+v, %v", d, err)
	}
	// Exactly enough: nothing, even with a powder that could not reach it.
	if d, err := Calcium([]Serving{{Food: labelled(t, "mix", "cut", 200, 100), Mass: units.Kilogram}}, bone, ratio("2", "2")); err != nil || d.Powder.High != 0 {
		t.Errorf("%+v, %v", d, err)
	}
	// Unknown phosphorus of the powder is named, not hidden.
	d, err := Calcium(batch, labelled(t, "shell", "supplement", 38_000, -1), ratio("1.2", "1.7"))
	if err != nil || !strings.Contains(d.Assumed, "phosphorus of shell is not known") || !d.Powder.Valid() || d.Powder.Low == 0 {
		t.Errorf("%+v, %v", d, err)
	}
}

// After the dose the batch meets the ratio: not below its low end with the low dose, and each dose grows with the target.
func TestCalciumReaches(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		ca, p := rapid.IntRange(1, 300).Draw(rt, "ca"), rapid.IntRange(1, 300).Draw(rt, "p")
		pca, pp := rapid.IntRange(10_000, 45_000).Draw(rt, "powder ca"), rapid.IntRange(0, 2000).Draw(rt, "powder p")
		tenths := rapid.Int64Range(5, 20).Draw(rt, "ratio")
		g := rapid.Int64Range(1, 5000).Draw(rt, "grams")
		r := Ratio{decimal.New(tenths, -1), decimal.New(tenths, -1), cite.Choice.Ref("test")}
		d, err := Calcium([]Serving{{Food: labelled(t, "meat", "cut", ca, p), Mass: units.Mass(g) * units.Gram}}, labelled(t, "powder", "supplement", pca, pp), r)
		if err != nil {
			rt.Fatal(err)
		}
		if !d.Powder.IsPoint() {
			rt.Fatalf("point figures, yet %v", d.Powder)
		}
		// In hundredths of a gram and mg: ca*g + pca*x against ratio * (p*g + pp*x), all times 100.
		x := int64(d.Powder.Typical / (units.Gram / 100))
		with := func(x int64) int64 { return 10*(int64(ca)*g*100+int64(pca)*x) - tenths*(int64(p)*g*100+int64(pp)*x) }
		if with(x) < 0 || x > 0 && with(x-1) >= 0 {
			rt.Fatalf("%d hundredths of a gram: %d, one less %d", x, with(x), with(x-1))
		}
	})
}
