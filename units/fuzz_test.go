package units_test

import (
	"errors"
	"testing"

	"fitchet.example/units"
)

// fuzzParser checks that a parser never panics, that it refuses with a
// *ParseError and no value, and that what it accepts is written and read back
// to the same value.
func fuzzParser[T interface {
	comparable
	String() string
}](f *testing.F, parse func(string) (T, error), seeds ...string) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := parse(s)
		if err != nil {
			var pe *units.ParseError
			var zero T
			if !errors.As(err, &pe) || v != zero {
				t.Fatalf("%q: value %v, error %T %v", s, v, err, err)
			}
			return
		}
		back, err := parse(v.String())
		if err != nil || back != v {
			t.Fatalf("%q is written %s, which reads as %v, %v", s, v, back, err)
		}
	})
}

func FuzzParseMass(f *testing.F) {
	fuzzParser(f, units.ParseMass, "57 g", "1.2 kg", "1/2 oz", "1 1/2 oz", "1 lb 4 oz", "1/3 oz", "-1 g", "1e3 g", "9223372.036854775807 g")
}

func FuzzParseVolume(f *testing.F) {
	fuzzParser(f, units.ParseVolume, "5 mL", "1/8 tsp", "4 fl oz", "1 1/2 cup", "93 L", "1/0 tsp")
}

func FuzzParseTemperature(f *testing.F) {
	fuzzParser(f, units.ParseTemperature, "21 °C", "70 °F", "-18C", "-273.15 °C", "752.0001 F", "-0 °F")
}

func FuzzParsePrice(f *testing.F) {
	fuzzParser(f, units.ParsePrice, "4.50 EUR", "0 GBP", "0.000001USD", "9223372036854.775807 EUR", "1,20 EUR")
}

func FuzzParseDate(f *testing.F) {
	fuzzParser(f, units.ParseDate, "2026-11-25", "0001-01-01", "9999-12-31", "2026-02-29")
}
