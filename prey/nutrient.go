package prey

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"strings"

	"fitchet.example/units/cite"
	"github.com/shopspring/decimal"
)

// Nutrient is one thing a food is measured for.
type Nutrient uint8

const (
	Water Nutrient = iota
	Protein
	Fat
	Fibre
	Ash
	// Carbohydrate is the nitrogen-free extract: what is left of 100 g after
	// water, protein, fat, fibre and ash. It is never read from a table.
	Carbohydrate
	Calcium
	Phosphorus
	Magnesium
	Iron
	Zinc
	Copper
	Manganese
	Selenium
	Iodine
	Sodium
	Potassium
	Thiamin
	Riboflavin
	Niacin
	B6
	B12
	Folate
	VitaminA
	// Retinol is vitamin A as µg of retinol activity, where a source gives it.
	Retinol
	VitaminD
	VitaminE
	Choline
	Taurine
	// EPADHA is the sum of the two long omega-3 fatty acids.
	EPADHA

	// NumNutrients is how many nutrients there are.
	NumNutrients = iota
)

// nutrientWords are key, name and unit, in the order of the constants.
func (n Nutrient) words() (key, name, unit string) {
	switch n {
	case Water:
		return "water", "water", "g"
	case Protein:
		return "protein", "protein", "g"
	case Fat:
		return "fat", "fat", "g"
	case Fibre:
		return "fibre", "crude fibre", "g"
	case Ash:
		return "ash", "ash", "g"
	case Carbohydrate:
		return "carbohydrate", "carbohydrate by difference", "g"
	case Calcium:
		return "calcium", "calcium", "mg"
	case Phosphorus:
		return "phosphorus", "phosphorus", "mg"
	case Magnesium:
		return "magnesium", "magnesium", "mg"
	case Iron:
		return "iron", "iron", "mg"
	case Zinc:
		return "zinc", "zinc", "mg"
	case Copper:
		return "copper", "copper", "mg"
	case Manganese:
		return "manganese", "manganese", "mg"
	case Selenium:
		return "selenium", "selenium", "µg"
	case Iodine:
		return "iodine", "iodine", "µg"
	case Sodium:
		return "sodium", "sodium", "mg"
	case Potassium:
		return "potassium", "potassium", "mg"
	case Thiamin:
		return "thiamin", "thiamin", "mg"
	case Riboflavin:
		return "riboflavin", "riboflavin", "mg"
	case Niacin:
		return "niacin", "niacin", "mg"
	case B6:
		return "b6", "vitamin B6", "mg"
	case B12:
		return "b12", "vitamin B12", "µg"
	case Folate:
		return "folate", "folate", "µg"
	case VitaminA:
		return "vitamin-a", "vitamin A", "IU"
	case Retinol:
		return "retinol", "vitamin A as retinol", "µg"
	case VitaminD:
		return "vitamin-d", "vitamin D", "IU"
	case VitaminE:
		return "vitamin-e", "vitamin E", "mg"
	case Choline:
		return "choline", "choline", "mg"
	case Taurine:
		return "taurine", "taurine", "mg"
	case EPADHA:
		return "epa-dha", "EPA and DHA", "g"
	}
	return "", fmt.Sprintf("nutrient %d", uint8(n)), ""
}

// Nutrients returns all nutrients in their fixed order.
func Nutrients() [NumNutrients]Nutrient {
	var all [NumNutrients]Nutrient
	for i := range all {
		all[i] = Nutrient(i)
	}
	return all
}

// Unit returns the unit the nutrient is counted in: "g", "mg", "µg" or "IU".
func (n Nutrient) Unit() string { _, _, unit := n.words(); return unit }

// Name returns the name for people: "vitamin A".
func (n Nutrient) Name() string { _, name, _ := n.words(); return name }

// String is [Nutrient.Name].
func (n Nutrient) String() string { return n.Name() }

// Key returns the word used in files: "vitamin-a".
func (n Nutrient) Key() string { key, _, _ := n.words(); return key }

// ParseNutrient reads the word used in files, or the name for people.
func ParseNutrient(s string) (Nutrient, error) {
	for n := range Nutrient(NumNutrients) {
		if key, name, _ := n.words(); s == key || s == name {
			return n, nil
		}
	}
	return 0, fmt.Errorf("nutrient %q: %w", clip(s), errName)
}

// MarshalText returns the word used in files.
func (n Nutrient) MarshalText() ([]byte, error) {
	if n >= NumNutrients {
		return nil, fmt.Errorf("writing %s: %w", n, errName)
	}
	return []byte(n.Key()), nil
}

// UnmarshalText is [ParseNutrient].
func (n *Nutrient) UnmarshalText(text []byte) error { return parseInto(n, text, ParseNutrient) }

// Density is an amount per 100 g of food as fed: billionths of the nutrient's
// own unit, or of a kcal for energy. It is never negative in a food and holds
// up to 9 223 372 036 units per 100 g. A figure of up to nine decimals is
// exact; a derived one is rounded half up to the billionth, once.
type Density int64

// DensityUnit is one unit (one gram, one mg, one IU, one kcal) per 100 g.
const DensityUnit Density = 1_000_000_000

const densityPlaces = 9

// Errors of [ParseDensity], wrapped with the text.
var (
	errDensitySyntax = errors.New("not a plain decimal number such as 18.60")
	errDensityRange  = errors.New("outside 0 to 9223372036")
	errDensityFine   = errors.New("finer than nine decimals")
)

// ParseDensity reads a plain decimal number: digits, at most one point, no
// sign, no exponent, at most nine decimals, at most 64 bytes.
func ParseDensity(s string) (Density, error) { return parseDensity(s, 0) }

// parseDensity reads s × 10^shift. Unit steps (g to mg) are a shift of 3, -3 or so.
func parseDensity(s string, shift int) (Density, error) {
	bad := func(err error) (Density, error) { return 0, fmt.Errorf("amount %q: %w", clip(s), err) }
	if s == "" || len(s) > 64 {
		return bad(errDensitySyntax)
	}
	whole, frac, point := strings.Cut(s, ".")
	if whole == "" || (point && frac == "") {
		return bad(errDensitySyntax)
	}
	places := densityPlaces + shift - len(frac) // zeros to append; negative: digits to drop
	var v uint64
	digit := func(d uint64) bool {
		hi, lo := bits.Mul64(v, 10)
		lo, carry := bits.Add64(lo, d, 0)
		v = lo
		return hi == 0 && carry == 0 && v <= math.MaxInt64
	}
	for _, text := range [2]string{whole, frac} {
		for i := range len(text) {
			if text[i] < '0' || text[i] > '9' {
				return bad(errDensitySyntax)
			}
		}
	}
	digits := whole + frac
	for places < 0 && len(digits) > 0 {
		if digits[len(digits)-1] != '0' {
			return bad(errDensityFine)
		}
		digits = digits[:len(digits)-1]
		places++
	}
	for i := range len(digits) {
		if !digit(uint64(digits[i] - '0')) {
			return bad(errDensityRange)
		}
	}
	for range max(places, 0) {
		if !digit(0) {
			return bad(errDensityRange)
		}
	}
	return Density(v), nil
}

// Decimal returns the exact amount in the nutrient's unit.
func (d Density) Decimal() decimal.Decimal { return decimal.New(int64(d), -densityPlaces) }

// String returns the exact amount without its unit: "18.6".
func (d Density) String() string { return d.Decimal().String() }

// Rounded returns the amount rounded half up to the given number of decimals,
// for people.
func (d Density) Rounded(places int32) string { return d.Decimal().StringFixed(places) }

// MarshalText returns the exact amount.
func (d Density) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText is [ParseDensity].
func (d *Density) UnmarshalText(text []byte) error { return parseInto(d, text, ParseDensity) }

// Figure is one known figure of a food, as fed, in each case. What is unknown
// has no Figure; it is never 0.
type Figure struct {
	At  [NumCases]Density
	Ref cite.Ref
	// SoftOnly says that the food holds bone whose share of this nutrient is
	// not counted, because no figure for bone was read (or, for protein, fat
	// and energy, because how much of it a ferret gets is unknown). The true
	// amount is then at least the figure.
	SoftOnly bool
}

// Point reports whether the figure is the same in every case.
func (f Figure) Point() bool {
	return f.At[LeastBone] == f.At[Typical] && f.At[Typical] == f.At[MostBone]
}
