package units

import "github.com/shopspring/decimal"

// Volume is a volume in steps of 1e-14 mL, up to about 92 litres. The step is
// that small so that an eighth of a teaspoon is exact.
type Volume int64

// The volumes people write. Spoons, fluid ounce and cup are the US customary
// ones, exact: a US teaspoon is 4.92892159375 mL (GNU units, definitions.units
// 3.15, which cites NIST SP 811). A metric teaspoon holds 5 mL and a metric
// tablespoon 15 mL (20 mL in Australia): write those in mL.
const (
	Millilitre Volume = 100_000_000_000_000
	Litre      Volume = 1000 * Millilitre
	Teaspoon   Volume = 492_892_159_375_000
	Tablespoon Volume = 3 * Teaspoon
	FluidOunce Volume = 2 * Tablespoon
	Cup        Volume = 8 * FluidOunce
)

// ParseVolume reads an amount and its unit: "5 mL", "1.5 L", "1 tsp",
// "1/8 tsp", "2 tbsp", "1 1/2 cup", "4 fl oz". The units are mL, L, tsp, tbsp,
// fl oz and cup, without plural; one space before the unit may be left out. A
// plain "oz" is refused, because it is a mass.
//
// The error is a *ParseError around ErrSyntax, ErrNoUnit, ErrUnit, ErrNegative,
// ErrTooFine, ErrTooLong or ErrOverflow.
func ParseVolume(s string) (Volume, error) {
	k := kind{
		name: "volume", units: "mL, L, tsp, tbsp, fl oz or cup", fractions: true,
		steps: "millilitres are held to fourteen decimals, spoons to eighths",
	}
	return parse(k, s, func(name string) Volume {
		switch name {
		case "mL":
			return Millilitre
		case "L":
			return Litre
		case "tsp":
			return Teaspoon
		case "tbsp":
			return Tablespoon
		case "fl oz":
			return FluidOunce
		case "cup":
			return Cup
		}
		return 0
	})
}

// Millilitres gives the exact number of millilitres.
func (v Volume) Millilitres() decimal.Decimal { return decimal.New(int64(v), -14) }

// String writes the exact volume in millilitres: "4.92892159375 mL".
// ParseVolume reads it back to the same volume, unless it is negative.
func (v Volume) String() string { return exactText(int64(v), 14) + " mL" }

// InMillilitres writes the volume with that many decimals (0 to 14, others are
// held to the nearest of these), an exact half rounded up: "5 mL".
func (v Volume) InMillilitres(places int32) string {
	return roundedText(int64(v), uint64(Millilitre), places, 14) + " mL"
}

// InTeaspoons writes the volume in US teaspoons, 0 to 9 decimals, an exact half
// rounded up: "0.5 tsp".
func (v Volume) InTeaspoons(places int32) string {
	return roundedText(int64(v), uint64(Teaspoon), places, 9) + " tsp"
}

// Add gives v + w, or ErrOverflow.
func (v Volume) Add(w Volume) (Volume, error) {
	sum, err := add("volumes", int64(v), int64(w))
	return Volume(sum), err
}

// Times gives n times v, or ErrOverflow.
func (v Volume) Times(n int64) (Volume, error) {
	p, err := times("volume", int64(v), n)
	return Volume(p), err
}

// MarshalText writes what String writes; a negative volume is ErrNegative.
func (v Volume) MarshalText() ([]byte, error) { return marshal("volume", int64(v), v.String()) }

// UnmarshalText reads what ParseVolume reads.
func (v *Volume) UnmarshalText(text []byte) error { return unmarshal(v, text, ParseVolume) }
