package prey

import (
	"encoding"
	"errors"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/units"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestParseDensity(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		text string
		want Density
		err  error
	}{
		{"0", 0, nil},
		{"0.00", 0, nil},
		{"18.60", 18_600_000_000, nil},
		{"0.000000001", 1, nil},
		{"0.0000000010", 1, nil}, // a zero is no finer
		{"9223372036.854775807", 1<<63 - 1, nil},
		{"9223372036.854775808", 0, errDensityRange},
		{"99999999999999999999999999", 0, errDensityRange},
		{"0.0000000001", 0, errDensityFine},
		{"", 0, errDensitySyntax},
		{"-1", 0, errDensitySyntax},
		{"+1", 0, errDensitySyntax},
		{".5", 0, errDensitySyntax},
		{"5.", 0, errDensitySyntax},
		{"1e3", 0, errDensitySyntax},
		{"1,5", 0, errDensitySyntax},
		{"1.2.3", 0, errDensitySyntax},
		{"٣", 0, errDensitySyntax},
		{"1 g", 0, errDensitySyntax},
		{strings.Repeat("1", 65), 0, errDensitySyntax},
	} {
		got, err := ParseDensity(tc.text)
		if got != tc.want || !errors.Is(err, tc.err) {
			t.Errorf("%q: %d, %v, want %d, %v", tc.text, got, err, tc.want, tc.err)
		}
	}
}

func TestDensity_roundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := Density(rapid.Int64Min(0).Draw(t, "d"))
		back, err := ParseDensity(d.String())
		if err != nil || back != d || !d.Decimal().Equal(decimal.RequireFromString(d.String())) {
			t.Fatalf("%d: %s, %v", d, d, err)
		}
	})
}

func FuzzParseDensity(f *testing.F) {
	for _, s := range []string{"18.60", "0", "0.000000001", "9223372036.854775807", "-1", "1e9", "."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDensity(s)
		if err != nil {
			return
		}
		if want, err := decimal.NewFromString(s); err != nil || !want.Equal(d.Decimal()) || d < 0 {
			t.Fatalf("%q read as %s", s, d)
		}
	})
}

// Every word of every list reads back, and no word stands for two values.
func TestWords_roundTrip(t *testing.T) {
	t.Parallel()
	type word interface {
		encoding.TextMarshaler
		fmt.Stringer
	}
	seen := map[string]bool{}
	round := func(v word, parse func(string) (word, error)) {
		text, err := v.MarshalText()
		if err != nil {
			t.Errorf("%s: %v", v, err)
			return
		}
		back, err := parse(string(text))
		if err != nil || back != v {
			t.Errorf("%s is written %s and reads as %v, %v", v, text, back, err)
		}
		if key := fmt.Sprintf("%T %s", v, text); seen[key] || string(text) == "" || v.String() == "" {
			t.Errorf("%s is used twice or empty", key)
		} else {
			seen[key] = true
		}
	}
	for _, p := range Parts() {
		round(p, func(s string) (word, error) { return ParsePart(s) })
	}
	for _, c := range Cases() {
		round(c, func(s string) (word, error) { return ParseCase(s) })
	}
	for _, n := range Nutrients() {
		round(n, func(s string) (word, error) { return ParseNutrient(s) })
		if n.Unit() == "" {
			t.Errorf("%s has no unit", n)
		}
	}
	for k := Cut; k <= DryFood; k++ {
		round(k, func(s string) (word, error) { return ParseKind(s) })
	}
	for c := NoMeat; c <= FishMeat; c++ {
		round(c, func(s string) (word, error) { return ParseColour(s) })
	}
	for m := range EnergyMethod(NumEnergyMethods) {
		round(m, func(s string) (word, error) { return ParseEnergyMethod(s) })
	}
	for _, v := range []word{Part(NumParts), Case(NumCases), Nutrient(NumNutrients), Kind(0), DryFood + 1, Colour(0), FishMeat + 1, EnergyMethod(NumEnergyMethods)} {
		if text, err := v.MarshalText(); !errors.Is(err, units.ErrWord) || v.String() == "" {
			t.Errorf("%s is written %q, %v", v, text, err)
		}
	}
	for _, parse := range []func(string) error{
		func(s string) error { _, err := ParsePart(s); return err },
		func(s string) error { _, err := ParseCase(s); return err },
		func(s string) error { _, err := ParseNutrient(s); return err },
		func(s string) error { _, err := ParseKind(s); return err },
		func(s string) error { _, err := ParseColour(s); return err },
		func(s string) error { _, err := ParseEnergyMethod(s); return err },
	} {
		if err := parse(strings.Repeat("z", 500)); !errors.Is(err, units.ErrWord) || len(err.Error()) > 250 {
			t.Errorf("got %v", err)
		}
	}
}

// Every row of the table of nutrients is whole.
func TestNutrientTable(t *testing.T) {
	t.Parallel()
	for n, row := range nutrients {
		if row.key == "" || row.name == "" || row.bone < counted || row.bone > nothing {
			t.Errorf("row %d (%s) is not whole", n, row.key)
		}
		if _, err := tag(row.key); err != nil {
			t.Error(err)
		}
		if row.unit != "IU" && unitStep(row.unit) > 0 {
			t.Errorf("%s: unit %q", row.key, row.unit)
		}
	}
}
