package prey

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"strings"

	"fitchet.example/units"
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

// nutrients has one row for each nutrient. Everything that is said of all
// nutrients is read from here: their words, their units, the columns that the
// catalogue may have, the keys of JSON and of the schemas.
var nutrients = [NumNutrients]struct {
	key, name string
	unit      string // "g", "mg", "µg" or "IU"
	bone      ofBone
}{
	Water:        {"water", "water", "g", counted},
	Protein:      {"protein", "protein", "g", unknown},
	Fat:          {"fat", "fat", "g", unknown},
	Fibre:        {"fibre", "crude fibre", "g", nothing},
	Ash:          {"ash", "ash", "g", counted},
	Carbohydrate: {"carbohydrate", "carbohydrate by difference", "g", nothing},
	Calcium:      {"calcium", "calcium", "mg", counted},
	Phosphorus:   {"phosphorus", "phosphorus", "mg", counted},
	Magnesium:    {"magnesium", "magnesium", "mg", counted},
	Iron:         {"iron", "iron", "mg", counted},
	Zinc:         {"zinc", "zinc", "mg", counted},
	Copper:       {"copper", "copper", "mg", counted},
	Manganese:    {"manganese", "manganese", "mg", counted},
	Selenium:     {"selenium", "selenium", "µg", counted},
	Iodine:       {"iodine", "iodine", "µg", counted},
	Sodium:       {"sodium", "sodium", "mg", counted},
	Potassium:    {"potassium", "potassium", "mg", counted},
	Thiamin:      {"thiamin", "thiamin", "mg", counted},
	Riboflavin:   {"riboflavin", "riboflavin", "mg", counted},
	Niacin:       {"niacin", "niacin", "mg", counted},
	B6:           {"b6", "vitamin B6", "mg", counted},
	B12:          {"b12", "vitamin B12", "µg", counted},
	Folate:       {"folate", "folate", "µg", counted},
	VitaminA:     {"vitamin-a", "vitamin A", "IU", counted},
	Retinol:      {"retinol", "vitamin A as retinol", "µg", counted},
	VitaminD:     {"vitamin-d", "vitamin D", "IU", counted},
	VitaminE:     {"vitamin-e", "vitamin E", "mg", counted},
	Choline:      {"choline", "choline", "mg", counted},
	Taurine:      {"taurine", "taurine", "mg", counted},
	EPADHA:       {"epa-dha", "EPA and DHA", "g", counted},
}

// ofBone is what edible bone brings of a nutrient.
type ofBone uint8

const (
	counted ofBone = iota + 1 // what bone.csv says; without a row there, a floor
	unknown                   // it holds some; how much of it a ferret gets is unknown
	nothing                   // none to speak of
)

var nutrientWords = func() units.Words[Nutrient] {
	w := units.Words[Nutrient]{What: "nutrient"}
	for _, row := range nutrients {
		w.Keys, w.Names = append(w.Keys, row.key), append(w.Names, row.name)
	}
	return w
}()

// Nutrients returns all nutrients in their fixed order.
func Nutrients() [NumNutrients]Nutrient {
	var all [NumNutrients]Nutrient
	for i := range all {
		all[i] = Nutrient(i)
	}
	return all
}

// Unit returns the unit the nutrient is counted in: "g", "mg", "µg" or "IU".
func (n Nutrient) Unit() string {
	if n < NumNutrients {
		return nutrients[n].unit
	}
	return ""
}

// Name returns the name for people: "vitamin A".
func (n Nutrient) Name() string { return nutrientWords.Name(n) }

// String is [Nutrient.Name].
func (n Nutrient) String() string { return n.Name() }

// Key returns the word used in files: "vitamin-a".
func (n Nutrient) Key() string { return nutrientWords.Key(n) }

// ParseNutrient reads the word used in files, or the name for people.
func ParseNutrient(s string) (Nutrient, error) { return nutrientWords.Parse(s) }

// MarshalText returns the word used in files.
func (n Nutrient) MarshalText() ([]byte, error) { return nutrientWords.Marshal(n) }

// UnmarshalText is [ParseNutrient].
func (n *Nutrient) UnmarshalText(text []byte) error { return nutrientWords.Unmarshal(n, text) }

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
func (d *Density) UnmarshalText(text []byte) error {
	v, err := ParseDensity(string(text))
	if err == nil {
		*d = v
	}
	return err
}

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
