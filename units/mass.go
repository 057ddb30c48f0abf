package units

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Mass is a mass in whole picograms (1e-12 g), up to about 9223 kg either way.
// Every gram amount to twelve decimals is exact, and every ounce amount to
// three. A difference may be negative; the parser and MarshalText refuse one.
type Mass int64

// The masses people write. The ounce and the pound are avoirdupois and exact:
// 1 lb = 453.59237 g, 1 oz = 1/16 lb (GNU units, definitions.units 3.15, which
// cites NIST SP 811).
const (
	Milligram Mass = 1_000_000_000
	Gram      Mass = 1_000_000_000_000
	Kilogram  Mass = 1_000_000_000_000_000
	Ounce     Mass = 28_349_523_125_000
	Pound     Mass = 453_592_370_000_000
)

// NewMass gives the mass of that many grams. Errors: ErrNegative, ErrTooFine
// for more than twelve decimals that matter, ErrOverflow above 9223 kg.
func NewMass(grams decimal.Decimal) (Mass, error) {
	v, err := onGrid(grams, 12)
	if err != nil {
		return 0, fmt.Errorf("mass in grams: %w", err)
	}
	return Mass(v), nil
}

// ParseMass reads an amount and its unit: "57 g", "1.2 kg", "300 mg", "2 oz",
// "1/2 oz", "1 1/2 oz", "2 lb", "1 lb 4 oz" (whole pounds, and ounces below
// sixteen). The units are mg, g, kg, oz and lb, in lower case and without
// plural. One space before a unit may be left out.
//
// The error is a *ParseError around ErrSyntax, ErrNoUnit, ErrUnit, ErrNegative,
// ErrTooFine (as for "1/3 oz", which is no whole number of picograms),
// ErrTooLong or ErrOverflow.
func ParseMass(s string) (Mass, error) {
	m, err := parseMass(s)
	if err != nil {
		return 0, refuse(massKind(), s, err)
	}
	return m, nil
}

func massKind() kind {
	return kind{
		name: "mass", units: "mg, g, kg, oz or lb", fractions: true,
		steps: "grams are held to twelve decimals, ounces to three",
	}
}

func parseMass(s string) (Mass, error) {
	if i := strings.Index(s, "lb "); i >= 0 && len(s) <= MaxText {
		return parsePoundsOunces(s[:i+2], s[i+3:])
	}
	m, _, _, err := parseMassPart(s)
	return m, err
}

func parsePoundsOunces(pounds, ounces string) (Mass, error) {
	lb, whole, _, err := parseMassPart(pounds)
	if err != nil {
		return 0, err
	}
	oz, _, unit, err := parseMassPart(ounces)
	if err != nil {
		return 0, err
	}
	if !whole || unit != Ounce || oz >= Pound {
		return 0, fmt.Errorf("%w: after pounds come ounces below 16, as in \"1 lb 4 oz\"", ErrSyntax)
	}
	return lb.Add(oz)
}

func parseMassPart(s string) (m Mass, whole bool, unit Mass, err error) {
	n, name, err := scan(s, massKind())
	if err != nil {
		return 0, false, 0, err
	}
	switch name {
	case "mg":
		unit = Milligram
	case "g":
		unit = Gram
	case "kg":
		unit = Kilogram
	case "oz":
		unit = Ounce
	case "lb":
		unit = Pound
	default:
		return 0, false, 0, ErrUnit
	}
	v, err := n.times(uint64(unit))
	return Mass(v), n.whole, unit, err
}

// Grams gives the exact number of grams.
func (m Mass) Grams() decimal.Decimal { return decimal.New(int64(m), -12) }

// String writes the exact mass in grams: "56.69904625 g". ParseMass reads it
// back to the same mass, unless it is negative.
func (m Mass) String() string { return exactText(int64(m), 12) + " g" }

// InGrams writes the mass in grams for people, with that many decimals (0 to
// 12, others are held to the nearest of these): "57 g". An exact half is
// rounded up, as a kitchen scale does (common practice); below zero it is
// rounded away from zero.
func (m Mass) InGrams(places int32) string {
	return roundedText(int64(m), uint64(Gram), places, 12) + " g"
}

// InOunces writes the mass in avoirdupois ounces, 0 to 9 decimals, rounded as
// InGrams does: "2.0 oz".
func (m Mass) InOunces(places int32) string {
	return roundedText(int64(m), uint64(Ounce), places, 9) + " oz"
}

// InBoth writes the mass in grams and ounces: "57 g (2.0 oz)". Below 10 g it shows a
// place more of each, so that a little does not read as nothing.
func (m Mass) InBoth() string {
	switch {
	case m < 10*Gram && m%Gram == 0:
		return m.InGrams(0) + " (" + m.InOunces(2) + ")"
	case m < 10*Gram:
		return m.InGrams(1) + " (" + m.InOunces(2) + ")"
	}
	return m.InGrams(0) + " (" + m.InOunces(1) + ")"
}

// Add gives m + n, or ErrOverflow.
func (m Mass) Add(n Mass) (Mass, error) {
	v, err := add("masses", int64(m), int64(n))
	return Mass(v), err
}

// Times gives n times m, or ErrOverflow.
func (m Mass) Times(n int64) (Mass, error) {
	v, err := times("mass", int64(m), n)
	return Mass(v), err
}

// MarshalText writes what String writes; a negative mass is ErrNegative.
func (m Mass) MarshalText() ([]byte, error) { return marshal("mass", int64(m), m.String()) }

// UnmarshalText reads what ParseMass reads.
func (m *Mass) UnmarshalText(text []byte) error { return unmarshal(m, text, ParseMass) }
