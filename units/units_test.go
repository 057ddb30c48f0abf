package units_test

import (
	"encoding"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"fitchet.example/units"
)

// Names of the sources used in this file:
//
//	gnu-units     Free Software Foundation, GNU units 2.22-2, definitions.units version 3.15
//	nist-sp811    NIST, Guide for the Use of the International System of Units (SP 811), 2008, Appendix B, as restated
//	fediaf-2018   FEDIAF, Nutritional Guidelines for Complete and Complementary Pet Food for Cats and Dogs, 2018, Annex 1 and table VII-12
//	fsis-2h       USDA FSIS, consumer two-hour and one-hour rule, danger zone 40-140 F, as restated
//	foodcode      US FDA, Food Code, 3-501.19 (time as a public health control) and 3-402.11 (parasite destruction)
//	cfr-318-10    9 CFR 318.10, revised 2000-01-01 (removed 2018), table 1
//	smtl-rounding Surgical Materials Testing Laboratory (UK), Rounding of test results

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// What a source prints for a unit, in the base unit of the type.
func TestConstants(t *testing.T) {
	for _, c := range []struct {
		name, source string
		got          decimal.Decimal
		want         string
	}{
		{"pound in g", "gnu-units, line 3100", units.Pound.Grams(), "453.59237"},
		{"ounce in g", "gnu-units, line 3107 (1/16 pound)", units.Ounce.Grams(), "28.349523125"},
		{"teaspoon in mL", "gnu-units (1/3 tablespoon)", units.Teaspoon.Millilitres(), "4.92892159375"},
		{"tablespoon in mL", "gnu-units (1/16 cup)", units.Tablespoon.Millilitres(), "14.78676478125"},
		{"fluid ounce in mL", "gnu-units (1/16 US pint)", units.FluidOunce.Millilitres(), "29.5735295625"},
		{"cup in mL", "gnu-units (8 fl oz)", units.Cup.Millilitres(), "236.5882365"},
		{"kilocalorie in kJ", "gnu-units, line 4583", units.Kilocalorie.Kilojoules(), "4.184"},
		{"kilogram in g", "SI prefix", units.Kilogram.Grams(), "1000"},
		{"milligram in g", "SI prefix", units.Milligram.Grams(), "0.001"},
		{"litre in mL", "SI prefix", units.Litre.Millilitres(), "1000"},
	} {
		if !c.got.Equal(dec(c.want)) {
			t.Errorf("%s: got %s, want %s (%s)", c.name, c.got, c.want, c.source)
		}
	}
}

// nist-sp811, Appendix B rounds to seven figures; the exact values must agree.
func TestConstantsSevenFigures(t *testing.T) {
	for _, c := range []struct {
		name, got, want string
	}{
		{"teaspoon", units.Teaspoon.InMillilitres(6), "4.928922 mL"},
		{"tablespoon", units.Tablespoon.InMillilitres(5), "14.78676 mL"},
		{"fluid ounce", units.FluidOunce.InMillilitres(5), "29.57353 mL"},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, c.got, c.want)
		}
	}
}

// fediaf-2018: 62.50 g per 1000 kcal is printed as 14.94 g per MJ. That holds
// with 4.184 kJ to the kcal, and not with 4.1868 (14.93).
func TestKilocalorieOfFEDIAF(t *testing.T) {
	e, err := units.Kilocalorie.Times(1000)
	if err != nil {
		t.Fatal(err)
	}
	perMJ := dec("62.50").Mul(dec("1000")).DivRound(e.Kilojoules(), 2)
	if !perMJ.Equal(dec("14.94")) {
		t.Errorf("62.50 g per 1000 kcal: got %s g per MJ, want 14.94", perMJ)
	}
}

func TestParseMass(t *testing.T) {
	// Sums and halves of the ounce of gnu-units.
	for text, want := range map[string]units.Mass{
		"0 g":                      0,
		"57 g":                     57 * units.Gram,
		"57g":                      57 * units.Gram,
		"1.2 kg":                   1200 * units.Gram,
		"1.50 kg":                  1500 * units.Gram,
		"300 mg":                   300 * units.Milligram,
		"0.000000000001 g":         1,
		"2 oz":                     2 * units.Ounce,
		"0.5 oz":                   units.Ounce / 2,
		"1/2 oz":                   units.Ounce / 2,
		"1/2oz":                    units.Ounce / 2,
		"1/8 oz":                   units.Ounce / 8,
		"3/2 oz":                   units.Ounce + units.Ounce/2,
		"1 1/2 oz":                 units.Ounce + units.Ounce/2,
		"1 lb 4 oz":                20 * units.Ounce,
		"1lb 4oz":                  20 * units.Ounce,
		"2 lb 1/2 oz":              32*units.Ounce + units.Ounce/2,
		"0 lb 15.5 oz":             15*units.Ounce + units.Ounce/2,
		"2.25 lb":                  36 * units.Ounce,
		"1 1/4 lb":                 20 * units.Ounce,
		"9223372.036854775807 g":   math.MaxInt64,
		"9223.372036854775807 kg":  math.MaxInt64,
		"1.0000000000000000000 g":  units.Gram,
		"5.12300000000000000000 g": 5123 * units.Milligram,
	} {
		got, err := units.ParseMass(text)
		if err != nil || got != want {
			t.Errorf("ParseMass(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
}

type parser struct {
	name  string
	parse func(string) error
}

func erring[T any](f func(string) (T, error)) func(string) error {
	return func(s string) error { _, err := f(s); return err }
}

func TestParseErrors(t *testing.T) {
	mass := parser{"mass", erring(units.ParseMass)}
	share := parser{"share", erring(units.ParseShare)}
	volume := parser{"volume", erring(units.ParseVolume)}
	energy := parser{"energy", erring(units.ParseEnergy)}
	temperature := parser{"temperature", erring(units.ParseTemperature)}
	price := parser{"price", erring(units.ParsePrice)}
	date := parser{"date", erring(units.ParseDate)}
	for _, c := range []struct {
		p    parser
		text string
		want error
	}{
		{mass, "57", units.ErrNoUnit},
		{mass, "0", units.ErrNoUnit},
		{mass, "1/2", units.ErrNoUnit},
		{mass, "1 lb 4", units.ErrNoUnit},
		{mass, "57 stone", units.ErrUnit},
		{mass, "57 G", units.ErrUnit},
		{mass, "57 grams", units.ErrUnit},
		{mass, "57 g raw", units.ErrUnit},
		{mass, "57 µg", units.ErrUnit},
		{mass, "5 mL", units.ErrUnit},
		{mass, "5 %", units.ErrUnit},
		{mass, "-5 g", units.ErrNegative},
		{mass, "-0 g", units.ErrNegative},
		{mass, "1 lb -4 oz", units.ErrNegative},
		{mass, "0.0000000000001 g", units.ErrTooFine},
		{mass, "0.00000000000000000000000000001 g", units.ErrTooFine},
		{mass, "1234567.1234567890123 g", units.ErrTooFine},
		{mass, "1/3 oz", units.ErrTooFine},
		{mass, "1/16 oz", units.ErrTooFine},
		{mass, "0.0001 oz", units.ErrTooFine},
		{mass, "9223372.036854775808 g", units.ErrOverflow},
		{mass, "9224 kg", units.ErrOverflow},
		{mass, "20000 kg", units.ErrOverflow}, // beyond 64 bits too
		{mass, "20335 lb", units.ErrOverflow},
		{mass, "20334 lb 15 oz", units.ErrOverflow},
		{mass, "99999999999999999999 g", units.ErrOverflow},
		{mass, "99999999999999999999.5 g", units.ErrOverflow},
		{mass, strings.Repeat("1", 63) + " g", units.ErrTooLong},
		{mass, "1/1234567890 g", units.ErrTooLong},
		{mass, "1234567890 1/2 g", units.ErrTooLong},
		{mass, "", units.ErrSyntax},
		{mass, "g", units.ErrSyntax},
		{mass, " 57 g", units.ErrSyntax},
		{mass, "57 g ", units.ErrSyntax},
		{mass, "57 ", units.ErrSyntax},
		{mass, "57  g", units.ErrSyntax},
		{mass, "57\tg", units.ErrSyntax},
		{mass, "57\u00a0g", units.ErrSyntax},
		{mass, "57 g\n", units.ErrSyntax},
		{mass, "+57 g", units.ErrSyntax},
		{mass, "--57 g", units.ErrSyntax},
		{mass, "\u22125 g", units.ErrSyntax},
		{mass, "057 g", units.ErrSyntax},
		{mass, "00 g", units.ErrSyntax},
		{mass, ".5 g", units.ErrSyntax},
		{mass, "5. g", units.ErrSyntax},
		{mass, "1,200 g", units.ErrSyntax},
		{mass, "1,5 g", units.ErrSyntax},
		{mass, "1 200 g", units.ErrSyntax},
		{mass, "1_200 g", units.ErrSyntax},
		{mass, "1e3 g", units.ErrSyntax},
		{mass, "0x10 g", units.ErrSyntax},
		{mass, "1.2.3 g", units.ErrSyntax},
		{mass, "½ oz", units.ErrSyntax},
		{mass, "٥ g", units.ErrSyntax},
		{mass, "5 g\xff", units.ErrSyntax},
		{mass, "NaN g", units.ErrSyntax},
		{mass, "1/0 oz", units.ErrSyntax},
		{mass, "1/ oz", units.ErrSyntax},
		{mass, "/2 oz", units.ErrSyntax},
		{mass, "1/02 oz", units.ErrSyntax},
		{mass, "1/2/2 oz", units.ErrSyntax},
		{mass, "1.5/2 oz", units.ErrSyntax},
		{mass, "1 3/2 oz", units.ErrSyntax},
		{mass, "1 2/2 oz", units.ErrSyntax},
		{mass, "1  1/2 oz", units.ErrSyntax},
		{mass, "1 lb 16 oz", units.ErrSyntax},
		{mass, "1.5 lb 4 oz", units.ErrSyntax},
		{mass, "1/2 lb 4 oz", units.ErrSyntax},
		{mass, "1 lb 4 g", units.ErrSyntax},
		{mass, "1 lb 4 lb", units.ErrSyntax},
		{mass, "1 lb 1 lb 1 oz", units.ErrSyntax},
		{mass, "1 lb  4 oz", units.ErrSyntax},
		{mass, "1 lb ", units.ErrSyntax},

		{share, "38", units.ErrNoUnit},
		{share, "0.38", units.ErrNoUnit},
		{share, "38 percent", units.ErrUnit},
		{share, "38 ‰", units.ErrSyntax},
		{share, "-1 %", units.ErrNegative},
		{share, "0.00001 %", units.ErrTooFine},
		{share, "1/2 %", units.ErrSyntax},
		{share, "9223372036854776 %", units.ErrOverflow},

		{volume, "5", units.ErrNoUnit},
		{volume, "5 ml", units.ErrUnit},
		{volume, "5 oz", units.ErrUnit},
		{volume, "5 fl  oz", units.ErrUnit},
		{volume, "5 floz", units.ErrUnit},
		{volume, "1 tsps", units.ErrUnit},
		{volume, "-5 mL", units.ErrNegative},
		{volume, "1/16 tsp", units.ErrTooFine},
		{volume, "93 L", units.ErrOverflow},

		{energy, "250", units.ErrNoUnit},
		{energy, "250 Cal", units.ErrUnit},
		{energy, "250 cal", units.ErrUnit},
		{energy, "250 Kcal", units.ErrUnit},
		{energy, "250 kj", units.ErrUnit},
		{energy, "-250 kcal", units.ErrNegative},
		{energy, "1/2 kcal", units.ErrSyntax},
		{energy, "0.0000001 kcal", units.ErrTooFine},
		{energy, "9223372037 kJ", units.ErrOverflow},

		{temperature, "21", units.ErrNoUnit},
		{temperature, "-18", units.ErrNoUnit},
		{temperature, "294 K", units.ErrUnit},
		{temperature, "21 c", units.ErrUnit},
		{temperature, "21 ° C", units.ErrUnit},
		{temperature, "21 °", units.ErrUnit},
		{temperature, "21 ºC", units.ErrUnit}, // the ordinal sign
		{temperature, "1/2 °C", units.ErrSyntax},
		{temperature, "- 18 °C", units.ErrSyntax},
		{temperature, "\u221218 °C", units.ErrSyntax},
		{temperature, "0.0001 °C", units.ErrTooFine},
		{temperature, "0.00001 °F", units.ErrTooFine},
		{temperature, "-273.151 °C", units.ErrRange},
		{temperature, "-459.6701 °F", units.ErrRange},
		{temperature, "400.001 °C", units.ErrRange},
		{temperature, "752.0001 °F", units.ErrRange},
		{temperature, "9999999999999999999 °C", units.ErrOverflow},
		{temperature, "-922337203685477 °F", units.ErrOverflow},

		{price, "4.50", units.ErrNoUnit},
		{price, "4.50 eur", units.ErrUnit},
		{price, "4.50 EURO", units.ErrUnit},
		{price, "4.50 EÜR", units.ErrUnit},
		{price, "€4.50", units.ErrSyntax},
		{price, "4.50 €", units.ErrSyntax},
		{price, "EUR 4.50", units.ErrSyntax},
		{price, "4,50 EUR", units.ErrSyntax},
		{price, "1/2 EUR", units.ErrSyntax},
		{price, "-4.50 EUR", units.ErrNegative},
		{price, "4.5000001 EUR", units.ErrTooFine},
		{price, "9223372036855 EUR", units.ErrOverflow},

		{date, "", units.ErrSyntax},
		{date, "2026-1-5", units.ErrSyntax},
		{date, "25.11.2026", units.ErrSyntax},
		{date, "2026/11/25", units.ErrSyntax},
		{date, "2026-11-25T00:00:00Z", units.ErrSyntax},
		{date, "-026-11-25", units.ErrSyntax},
		{date, "0000-11-25", units.ErrRange},
		{date, "2026-00-01", units.ErrRange},
		{date, "2026-13-01", units.ErrRange},
		{date, "2026-04-31", units.ErrRange},
		{date, "2026-02-29", units.ErrRange},
		{date, "1900-02-29", units.ErrRange},
		{date, strings.Repeat("2", 65), units.ErrTooLong},
	} {
		err := c.p.parse(c.text)
		if !errors.Is(err, c.want) {
			t.Errorf("%s %q: got error %v, want %v", c.p.name, c.text, err, c.want)
			continue
		}
		var pe *units.ParseError
		if !errors.As(err, &pe) {
			t.Errorf("%s %q: the error is a %T, not a *ParseError", c.p.name, c.text, err)
			continue
		}
		if pe.What != c.p.name || !strings.HasPrefix(pe.Text, c.text[:min(len(c.text), units.MaxText)]) {
			t.Errorf("%s %q: error speaks of %s %q", c.p.name, c.text, pe.What, pe.Text)
		}
	}
}

// A hostile text must not fill a log.
func TestParseErrorIsShort(t *testing.T) {
	_, err := units.ParseMass(strings.Repeat("é", 1<<20))
	if n := len(err.Error()); n > 300 {
		t.Errorf("the message has %d bytes", n)
	}
}

func TestParseShareVolumeEnergy(t *testing.T) {
	if got, err := units.ParseShare("0.5 %"); err != nil || got != 5000 {
		t.Errorf("0.5 %% = %d, %v; want 5000 millionths", got, err)
	}
	if got, err := units.ParseShare("100%"); err != nil || got != units.Whole {
		t.Errorf("100%% = %d, %v; want Whole", got, err)
	}
	for text, want := range map[string]units.Volume{
		"5 mL":       5 * units.Millilitre,
		"1.5 L":      1500 * units.Millilitre,
		"1 tsp":      units.Teaspoon,
		"1/8 tsp":    units.Teaspoon / 8,
		"1 1/2 tsp":  units.Teaspoon + units.Teaspoon/2,
		"2 tbsp":     6 * units.Teaspoon,
		"4 fl oz":    24 * units.Teaspoon,
		"1/2 cup":    24 * units.Teaspoon,
		"0.25 cup":   12 * units.Teaspoon,
		"0.125 tsp":  units.Teaspoon / 8,
		"1 fl oz":    units.FluidOunce,
		"0.0001 mL":  units.Millilitre / 10000,
		"3/4 fl oz":  units.FluidOunce / 4 * 3,
		"14.7867 mL": 1478670000000000,
	} {
		if got, err := units.ParseVolume(text); err != nil || got != want {
			t.Errorf("ParseVolume(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for text, want := range map[string]units.Energy{
		"250 kcal":      250 * units.Kilocalorie,
		"1046 kJ":       250 * units.Kilocalorie, // 250 × 4.184
		"0.000001 kcal": 4184,
		"0.000000001kJ": 1,
	} {
		if got, err := units.ParseEnergy(text); err != nil || got != want {
			t.Errorf("ParseEnergy(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
}

// Pairs that sources print side by side, at the printed precision.
func TestTemperaturePairs(t *testing.T) {
	for _, c := range []struct {
		f      string
		places int32
		c      string
		source string
	}{
		{"40 °F", 1, "4.4 °C", "fsis-2h"},
		{"41 °F", 0, "5 °C", "foodcode 3-501.19(B)"},
		{"70 °F", 0, "21 °C", "foodcode 3-501.19(C)"},
		{"90 °F", 1, "32.2 °C", "fsis-2h"},
		{"140 °F", 0, "60 °C", "gnu-units, tempF"},
		{"165 °F", 2, "73.89 °C", "gnu-units, tempF"},
		{"-4 °F", 0, "-20 °C", "foodcode 3-402.11"},
		{"-31 °F", 0, "-35 °C", "foodcode 3-402.11"},
		{"5 °F", 0, "-15 °C", "cfr-318-10, table 1"},
		{"-10 °F", 1, "-23.3 °C", "cfr-318-10, table 1"},
		{"-20 °F", 1, "-28.9 °C", "cfr-318-10, table 1"},
		{"32 °F", 0, "0 °C", "gnu-units, tempF: (F - 32) × 5/9"},
	} {
		got, err := units.ParseTemperature(c.f)
		if err != nil {
			t.Errorf("%s: %v", c.f, err)
			continue
		}
		if s := got.InCelsius(c.places); s != c.c {
			t.Errorf("%s is %s, want %s (%s)", c.f, s, c.c, c.source)
		}
		if s := got.InFahrenheit(0); s != c.f {
			t.Errorf("%s came back as %s", c.f, s)
		}
	}
}

// The limits of fsis-2h (40 °F, 90 °F) and foodcode (41 °F, 70 °F) are four
// rules, and the rounded °C printed beside them are others again.
func TestTemperaturesStayDistinct(t *testing.T) {
	texts := []string{"4 °C", "4.4 °C", "40 °F", "41 °F", "21 °C", "70 °F", "32.2 °C", "90 °F"}
	var last units.Temperature
	for i, text := range texts {
		got, err := units.ParseTemperature(text)
		if err != nil {
			t.Fatal(err)
		}
		if i > 0 && got <= last {
			t.Errorf("%s is not above %s", text, texts[i-1])
		}
		last = got
		back, err := units.ParseTemperature(got.String())
		if err != nil || back != got {
			t.Errorf("%s is written %s, which reads as %s, %v", text, got, back, err)
		}
	}
	if units.DegreesF(41) != units.DegreesC(5) {
		t.Error("41 °F is not 5 °C")
	}
	if got := units.DegreesF(40).String(); got != "40 °F" {
		t.Errorf("40 °F is written %s", got)
	}
	if got := units.DegreesF(41).String(); got != "5 °C" {
		t.Errorf("41 °F is written %s", got)
	}
}

func TestTemperatureBounds(t *testing.T) {
	for _, c := range []struct {
		got, want units.Temperature
	}{
		{units.DegreesC(math.MaxInt64), units.MaxTemperature},
		{units.DegreesC(math.MinInt64), units.AbsoluteZero},
		{units.DegreesF(math.MaxInt64), units.MaxTemperature},
		{units.DegreesF(math.MinInt64), units.AbsoluteZero},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
	for _, text := range []string{"-273.15 °C", "-459.67 °F", "400 °C", "752 °F"} {
		if _, err := units.ParseTemperature(text); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
	if got := units.DegreesC(-18).Celsius(); got != -18 {
		t.Errorf("-18 °C is %v as an estimate", got)
	}
}

// smtl-rounding gives the laboratory rule, half to even: 3.965 → 3.96,
// 3.955 → 3.96, 127.5 → 128, 126.5 → 126, 125.5 → 126. Ours is half up
// (common practice), so it must part from the laboratory on 3.965 and 126.5,
// and on those alone.
func TestHalfUpIsNotHalfEven(t *testing.T) {
	for _, c := range []struct {
		text             string
		places           int32
		laboratory, ours string
	}{
		{"3.965 g", 2, "3.96 g", "3.97 g"},
		{"3.955 g", 2, "3.96 g", "3.96 g"},
		{"127.5 g", 0, "128 g", "128 g"},
		{"126.5 g", 0, "126 g", "127 g"},
		{"125.5 g", 0, "126 g", "126 g"},
		{"2.15 g", 1, "2.2 g", "2.2 g"}, // 2.1 when held as a binary float, says the same page
	} {
		m, err := units.ParseMass(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.InGrams(c.places); got != c.ours {
			t.Errorf("%s to %d places: got %s, want %s (laboratory %s)", c.text, c.places, got, c.ours, c.laboratory)
		}
	}
}

// regression (ours): what people see.
func TestPrinting(t *testing.T) {
	half, third := units.Ounce/2, 333_333*units.Gram/1_000_000
	for _, c := range []struct{ got, want string }{
		{(2 * units.Ounce).String(), "56.69904625 g"},
		{(2 * units.Ounce).InGrams(0), "57 g"},
		{(2 * units.Ounce).InGrams(2), "56.70 g"},
		{(2 * units.Ounce).InGrams(-3), "57 g"},
		{(2 * units.Ounce).InGrams(99), "56.699046250000 g"},
		{(2 * units.Ounce).InOunces(1), "2.0 oz"},
		{(57 * units.Gram).InOunces(1), "2.0 oz"},
		{(57 * units.Gram).InOunces(99), "2.010615831 oz"},
		{half.InOunces(0), "1 oz"},
		{(half - 1).InOunces(0), "0 oz"},
		{third.InGrams(2), "0.33 g"},
		{units.Mass(1).String(), "0.000000000001 g"},
		{units.Mass(0).String(), "0 g"},
		{(-units.Gram / 2).InGrams(0), "-1 g"},
		{(-units.Gram / 4).InGrams(0), "0 g"},
		{(-units.Gram).String(), "-1 g"},
		{units.Mass(math.MaxInt64).InGrams(12), "9223372.036854775807 g"},
		{units.Mass(math.MinInt64).InGrams(12), "-9223372.036854775808 g"},
		{units.Mass(math.MinInt64).String(), "-9223372.036854775808 g"},
		{units.Mass(math.MaxInt64).InOunces(9), "325344.874274839 oz"},
		{units.Share(380_000).String(), "38 %"},
		{units.Share(5_000).String(), "0.5 %"},
		{units.Share(5_000).InPercent(0), "1 %"},
		{units.Share(4_999).InPercent(0), "0 %"},
		{units.Share(math.MinInt64).InPercent(9), "-922337203685477.5808 %"},
		{units.Teaspoon.String(), "4.92892159375 mL"},
		{units.Teaspoon.InMillilitres(0), "5 mL"},
		{(units.Tablespoon / 2).InTeaspoons(1), "1.5 tsp"},
		{units.Volume(math.MinInt64).InMillilitres(14), "-92233.72036854775808 mL"},
		{(250 * units.Kilocalorie).String(), "250 kcal"},
		{(1000 * units.Kilojoule).String(), "1000 kJ"},
		{(1046 * units.Kilojoule).InKcal(1), "250.0 kcal"},
		{(250 * units.Kilocalorie).InKJ(0), "1046 kJ"},
		{units.Energy(math.MinInt64).InKcal(9), "-2204438823.340051579 kcal"},
		{units.DegreesC(21).InCelsius(0), "21 °C"},
		{(units.DegreesC(43) / 2).String(), "21.5 °C"},
		{units.DegreesC(21).InFahrenheit(1), "69.8 °F"},
		{units.DegreesF(-1).InCelsius(0), "-18 °C"},
		{(-units.DegreesC(1) / 4).InCelsius(0), "0 °C"},
		{units.Temperature(1).String(), "32.0001 °F"},
		{units.Temperature(math.MaxInt64).InFahrenheit(0), "752 °F"},
		{units.Temperature(math.MinInt64).InFahrenheit(2), "-459.67 °F"},
		{units.Price{}.String(), "no price"},
		{units.Date(0).String(), "1970-01-01"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

func TestShareOf(t *testing.T) {
	for _, c := range []struct {
		part, whole units.Mass
		want        units.Share
	}{
		{38, 100, 380_000},
		{1, 3, 333_333},
		{2, 3, 666_667},
		{1, 2_000_000, 1}, // an exact half goes up
		{1, 2_000_001, 0},
		{3, 2, 1_500_000},
		{-1, 3, -333_333},
		{1, 0, 0},
		{1, -5, 0},
		{math.MaxInt64, math.MaxInt64, units.Whole},
		{math.MaxInt64, 1, math.MaxInt64},
		{math.MinInt64, 1, -math.MaxInt64},
		{math.MaxInt64, 999_999, math.MaxInt64},
		{math.MaxInt64, 499_999, math.MaxInt64},
		{math.MaxInt64, -5, 0},
	} {
		if got := units.ShareOf(c.part, c.whole); got != c.want {
			t.Errorf("ShareOf(%d, %d) = %d, want %d", c.part, c.whole, got, c.want)
		}
	}
}

func TestNewMass(t *testing.T) {
	for _, c := range []struct {
		grams decimal.Decimal
		want  units.Mass
		err   error
	}{
		{dec("57"), 57 * units.Gram, nil},
		{dec("0.000000000001"), 1, nil},
		{dec("1.5000000000000000"), 1500 * units.Milligram, nil},
		{decimal.New(57, 3), 57 * units.Kilogram, nil},
		{decimal.Decimal{}, 0, nil},
		{decimal.New(0, math.MaxInt32), 0, nil},
		{dec("9223372.036854775807"), math.MaxInt64, nil},
		{dec("9223372.036854775808"), 0, units.ErrOverflow},
		{dec("-1"), 0, units.ErrNegative},
		{dec("0.0000000000001"), 0, units.ErrTooFine},
		{decimal.New(1, math.MaxInt32), 0, units.ErrOverflow},
		{decimal.New(1, 1_000_000_000), 0, units.ErrOverflow}, // must not be written out
		{decimal.New(1, math.MinInt32), 0, units.ErrTooFine},
	} {
		got, err := units.NewMass(c.grams)
		if got != c.want || !errors.Is(err, c.err) {
			t.Errorf("NewMass(%de%d) = %d, %v; want %d, %v",
				c.grams.CoefficientInt64(), c.grams.Exponent(), got, err, c.want, c.err)
		}
	}
}

func TestArithmeticOverflow(t *testing.T) {
	const most, least = math.MaxInt64, math.MinInt64
	for _, c := range []struct {
		a, b int64
		sum  bool // fits
	}{
		{most, 0, true}, {most, 1, false}, {most, least, true}, {least, -1, false}, {least, 0, true},
		{most, most, false}, {least, least, false}, {most - 1, 1, true},
	} {
		m, errM := units.Mass(c.a).Add(units.Mass(c.b))
		_, errV := units.Volume(c.a).Add(units.Volume(c.b))
		_, errE := units.Energy(c.a).Add(units.Energy(c.b))
		for _, err := range []error{errM, errV, errE} {
			if (err == nil) != c.sum || (err != nil && !errors.Is(err, units.ErrOverflow)) {
				t.Errorf("%d + %d: got %v", c.a, c.b, err)
			}
		}
		if c.sum && m != units.Mass(c.a)+units.Mass(c.b) || !c.sum && m != 0 {
			t.Errorf("%d + %d = %d", c.a, c.b, m)
		}
	}
	for _, c := range []struct {
		a, n int64
		ok   bool
	}{
		{most, 1, true}, {most, -1, true}, {most, 2, false}, {least, 1, false}, {least, 0, true},
		{most/2 + 1, 2, false}, {most / 2, 2, true}, {-most / 2, 2, true}, {least, least, false}, {0, least, true},
	} {
		m, errM := units.Mass(c.a).Times(c.n)
		_, errV := units.Volume(c.a).Times(c.n)
		_, errE := units.Energy(c.a).Times(c.n)
		for _, err := range []error{errM, errV, errE} {
			if (err == nil) != c.ok || (err != nil && !errors.Is(err, units.ErrOverflow)) {
				t.Errorf("%d × %d: got %v", c.a, c.n, err)
			}
		}
		if c.ok && int64(m) != c.a*c.n || !c.ok && m != 0 {
			t.Errorf("%d × %d = %d", c.a, c.n, m)
		}
	}
}

func mustPrice(t *testing.T, s string) units.Price {
	t.Helper()
	p, err := units.ParsePrice(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPrice(t *testing.T) {
	for text, want := range map[string]string{
		"4.5 EUR":                  "4.50 EUR",
		"4.50EUR":                  "4.50 EUR",
		"4 GBP":                    "4.00 GBP",
		"0 EUR":                    "0.00 EUR",
		"0.0125 USD":               "0.0125 USD",
		"9223372036854.775807 EUR": "9223372036854.775807 EUR",
	} {
		if got := mustPrice(t, text).String(); got != want {
			t.Errorf("%s is written %s, want %s", text, got, want)
		}
	}
	a, b, top := mustPrice(t, "4.50 EUR"), mustPrice(t, "0.55 EUR"), mustPrice(t, "9223372036854.775807 EUR")
	if sum, err := a.Add(b); err != nil || sum != mustPrice(t, "5.05 EUR") {
		t.Errorf("4.50 + 0.55 = %s, %v", sum, err)
	}
	if p, err := a.Times(3); err != nil || p != mustPrice(t, "13.50 EUR") {
		t.Errorf("3 × 4.50 = %s, %v", p, err)
	}
	for name, c := range map[string]struct {
		err  error
		want error
	}{
		"other currency": {second(a.Add(mustPrice(t, "1 GBP"))), units.ErrCurrency},
		"sum too large":  {second(top.Add(b)), units.ErrOverflow},
		"times too much": {second(top.Times(2)), units.ErrOverflow},
		"times below 0":  {second(a.Times(-1)), units.ErrNegative},
		"code":           {second(units.NewPrice(dec("1"), "euro")), units.ErrUnit},
		"negative":       {second(units.NewPrice(dec("-1"), "EUR")), units.ErrNegative},
		"too fine":       {second(units.NewPrice(dec("0.0000001"), "EUR")), units.ErrTooFine},
		"too large":      {second(units.NewPrice(decimal.New(1, 20_000_000), "EUR")), units.ErrOverflow},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: got %v, want %v", name, c.err, c.want)
		}
	}
	var none units.Price
	for _, pair := range [][2]units.Price{{none, a}, {a, none}} {
		if got, err := pair[0].Add(pair[1]); err != nil || got != a {
			t.Errorf("no price and %s make %s, %v", a, got, err)
		}
	}
	if p, err := units.NewPrice(dec("4.50"), "EUR"); err != nil || !p.Equal(a) || p.Currency() != "EUR" || !p.Amount().Equal(dec("4.5")) {
		t.Errorf("NewPrice gave %s, %v", p, err)
	}
	if mustPrice(t, "0 EUR").IsZero() || !none.IsZero() {
		t.Error("0.00 EUR and no price are confused")
	}
	if diff := cmp.Diff(a, mustPrice(t, "4.500 EUR")); diff != "" {
		t.Errorf("equal prices differ: %s", diff)
	}
}

func second[T any](_ T, err error) error { return err }

func TestDate(t *testing.T) {
	d, err := units.ParseDate("2026-11-25")
	if err != nil {
		t.Fatal(err)
	}
	// regression (ours); the weekday follows from 1970-01-01, a Thursday.
	if d.Weekday() != time.Wednesday || units.Date(0).Weekday() != time.Thursday || units.Date(-1).Weekday() != time.Wednesday {
		t.Errorf("weekdays: %s, %s, %s", d.Weekday(), units.Date(0).Weekday(), units.Date(-1).Weekday())
	}
	for _, c := range []struct {
		days int
		want string
	}{
		{0, "2026-11-25"}, {6, "2026-12-01"}, {-25, "2026-10-31"}, {37, "2027-01-01"},
		{825, "2029-02-27"}, {462, "2028-03-01"}, {461, "2028-02-29"}, // the leap day of 2028
		{math.MaxInt, "9999-12-31"}, {math.MinInt, "0001-01-01"},
	} {
		if got := d.AddDays(c.days).String(); got != c.want {
			t.Errorf("2026-11-25 and %d days: got %s, want %s", c.days, got, c.want)
		}
	}
	if got := d.AddDays(6).DaysSince(d); got != 6 {
		t.Errorf("six days later is %d days later", got)
	}
	for _, text := range []string{"0001-01-01", "9999-12-31", "2028-02-29", "2000-02-29"} {
		d, err := units.ParseDate(text)
		if err != nil || d.String() != text {
			t.Errorf("%s reads as %s, %v", text, d, err)
		}
	}
	_ = units.Date(math.MinInt32).String() // far away, and still no panic
	if got := units.Date(math.MaxInt32).DaysSince(math.MinInt32); int64(got) != math.MaxUint32 {
		t.Errorf("the longest span has %d days", got)
	}
}

func TestRange(t *testing.T) {
	r := units.Range[units.Mass]{Low: 1, Typical: 2, High: 4}
	for v, want := range map[units.Mass]bool{0: false, 1: true, 3: true, 4: true, 5: false} {
		if r.Contains(v) != want {
			t.Errorf("%v contains %d: %v", r, v, !want)
		}
	}
	if !r.Valid() || r.IsPoint() {
		t.Errorf("%v: valid %v, point %v", r, r.Valid(), r.IsPoint())
	}
	if p := units.Exactly(units.Gram); !p.Valid() || !p.IsPoint() || !p.Contains(units.Gram) {
		t.Errorf("%v is not one gram", p)
	}
	for _, r := range []units.Range[int]{{1, 2, 2}, {1, 1, 2}} {
		if !r.Valid() || r.IsPoint() {
			t.Errorf("%v: valid %v, point %v", r, r.Valid(), r.IsPoint())
		}
	}
	for _, bad := range []units.Range[float64]{{2, 1, 3}, {1, 4, 3}, {1, math.NaN(), 3}, {math.NaN(), math.NaN(), math.NaN()}} {
		if bad.Valid() || bad.IsPoint() {
			t.Errorf("%v: valid %v, point %v", bad, bad.Valid(), bad.IsPoint())
		}
	}
}

func TestMarshalRefusals(t *testing.T) {
	for _, c := range []struct {
		v    encoding.TextMarshaler
		want error
	}{
		{units.Mass(-1), units.ErrNegative},
		{units.Share(-1), units.ErrNegative},
		{units.Volume(-1), units.ErrNegative},
		{units.Energy(-1), units.ErrNegative},
		{units.AbsoluteZero - 1, units.ErrRange},
		{units.MaxTemperature + 1, units.ErrRange},
		{units.Price{}, units.ErrNoUnit},
		{units.Date(math.MaxInt32), units.ErrRange},
		{units.Date(math.MinInt32), units.ErrRange},
	} {
		if text, err := c.v.MarshalText(); !errors.Is(err, c.want) || text != nil {
			t.Errorf("%T %v: wrote %q, error %v, want %v", c.v, c.v, text, err, c.want)
		}
	}
}

func TestJSON(t *testing.T) {
	type bowl struct {
		Mass   units.Mass
		Share  units.Share
		Volume units.Volume
		Energy units.Energy
		Room   units.Temperature
		Cost   units.Price
		Day    units.Date
		Range  units.Range[units.Mass]
	}
	const text = `{"Mass":"56.69904625 g","Share":"38 %","Volume":"4.92892159375 mL","Energy":"250 kcal",` +
		`"Room":"70 °F","Cost":"4.50 EUR","Day":"2026-11-25","Range":{"Low":"1 g","Typical":"2 g","High":"3 g"}}`
	var b bowl
	if err := json.Unmarshal([]byte(text), &b); err != nil {
		t.Fatal(err)
	}
	if b.Mass != 2*units.Ounce || b.Room != units.DegreesF(70) || b.Range.High != 3*units.Gram {
		t.Errorf("read as %+v", b)
	}
	back, err := json.Marshal(b)
	if err != nil || string(back) != text {
		t.Errorf("came back as %s, %v", back, err)
	}
	if err := json.Unmarshal([]byte(`{"Mass":57}`), &b); err == nil {
		t.Error("a bare number was accepted as a mass")
	}
	if err := json.Unmarshal([]byte(`{"Mass":"57"}`), &b); !errors.Is(err, units.ErrNoUnit) || b.Mass != 2*units.Ounce {
		t.Errorf("a number without unit: %v, and the mass became %s", err, b.Mass)
	}
}
