package balance

import (
	"fmt"
	"math/big"
	"strings"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/wide"

	"github.com/shopspring/decimal"
)

// NutrientRatio divides one nutrient by another.
var NutrientRatio = ofSums(kind{
	word: "nutrient-ratio", bounds: inRule, scale: &inRatios, unit: noUnit,
	options: []option{takesNutrient(), required("against", func(r *Rule) *prey.Nutrient { return &r.Against }, prey.ParseNutrient)},
	judge:   judgeSums, above: ratioAbove,
	measure: func(s *state, f *figure.Figure, r *Rule) { s.nutrientRatio(f, r.Nutrient, r.Against) },
	bone:    yes,
})

// PerEnergy is a nutrient per 1000 kcal by modified Atwater factors.
var PerEnergy = ofSums(kind{
	word: "per-energy", bounds: inRule, scale: &inPerEnergy, unit: always("per 1000 kcal"),
	options: []option{takesNutrient()},
	judge:   judgeSums, above: perEnergyAbove,
	measure: func(s *state, f *figure.Figure, r *Rule) { s.perEnergy(f, r.Nutrient, prey.ModifiedAtwater) },
	bone:    yes,
})

// DryMatter is a nutrient in dry matter.
var DryMatter = ofSums(kind{
	word: "dry-matter", bounds: inRule, scale: &inDryMatter, unit: always("of dry matter"),
	options: []option{takesNutrient()},
	judge:   judgeSums, above: dryMatterAbove,
	measure: func(s *state, f *figure.Figure, r *Rule) { s.dryMatter(f, r.Nutrient) },
	bone:    yes,
})

// judgeSums judges a figure that is a quotient of sums by the bounds of the rule.
func judgeSums(s *state, r *readyRule) { s.judge(r, s.measured(r), r.bounds) }

var (
	inRatios = scale{func(_ *Rule, s string) (int64, error) {
		d, err := prey.ParseDensity(s) // a plain decimal; billionths as it happens
		return int64(d), err
	}, func(text string, _ int64) string { return text + " : 1" },
		func(_ *Rule, v int64) string { return fmt.Sprintf("%.2f to 1", float64(v)/1e9) },
		per(ratioScale, ""), func(d decimal.Decimal, _ string) string { return d.String() + " : 1" }, threeFigures}
	inPerEnergy = scale{func(r *Rule, s string) (int64, error) { return parseAmount(s, r.Nutrient.Unit(), "") }, asWritten,
		func(r *Rule, v int64) string {
			return fmt.Sprintf("%.4g %s per 1000 kcal", float64(v)/1e9, r.Nutrient.Unit())
		}, perEnergySteps, withUnit, threeFigures}
	inDryMatter = scale{parseInDryMatter, asWritten,
		func(_ *Rule, v int64) string { return fmt.Sprintf("%.4g %% of dry matter", float64(v)/1e10) },
		dryMatterSteps, withUnit, threeFigures}
)

// perEnergySteps is in the unit that the limit is written in, so that the two can
// be compared.
func perEnergySteps(r *Rule) (*big.Rat, string) {
	own := r.Nutrient.Unit()
	written := own
	for _, l := range []*Limit{r.High, r.Low} {
		if l != nil {
			_, written, _ = strings.Cut(l.Text, " ")
		}
	}
	per := new(big.Rat).SetInt64(int64(prey.DensityUnit))
	from, to := exponent(written), exponent(own)
	if from == noExponent || to == noExponent {
		return per, own
	}
	for range from - to {
		per.Mul(per, big.NewRat(10, 1))
	}
	for range to - from {
		per.Quo(per, big.NewRat(10, 1))
	}
	return per, written
}

// dryMatterSteps is in percent or mg/kg, as the rule is written.
func dryMatterSteps(r *Rule) (*big.Rat, string) {
	for _, l := range []*Limit{r.Low, r.High} {
		if l != nil && strings.HasSuffix(l.Text, "%") {
			break
		} else if l != nil {
			return big.NewRat(1_000_000, 1), "mg/kg"
		}
	}
	return big.NewRat(dryScale/100, 1), "%"
}

func parseInDryMatter(_ *Rule, s string) (int64, error) {
	if strings.HasSuffix(s, "%") {
		v, err := units.ParseShare(s)
		return int64(v) * ppb, err
	}
	return parseAmount(s, "g", "/kg")
}

// ppb is how many steps of a dry-matter bound make one millionth: bounds are
// held in 1e-12 of the dry matter, so that 0.001 mg/kg is exact.
const ppb = 1_000_000

// parseAmount reads "1.5 g" or "5 mg/kg" into billionths of the wanted unit.
func parseAmount(s, unit, per string) (int64, error) {
	bad := func(why string) (int64, error) {
		return 0, fmt.Errorf("amount %q: %s; want a number, a space and a unit as in \"1.5 %s%s\"", say.Clip(s), why, unit, per)
	}
	num, word, ok := strings.Cut(s, " ")
	if !ok {
		return bad("no unit")
	}
	if word, ok = strings.CutSuffix(word, per); !ok {
		return bad("the unit is not per kg of dry matter")
	}
	from, to := exponent(word), exponent(unit)
	if word != unit && (from == noExponent || to == noExponent) {
		return bad(fmt.Sprintf("%s cannot be turned into %s", word, unit))
	}
	d, err := prey.ParseDensity(num)
	if err != nil {
		return bad(err.Error())
	}
	shift := int32(0)
	if word != unit {
		shift = from - to
	}
	v := decimal.New(int64(d), shift)
	if !v.IsInteger() {
		return bad("finer than the grid")
	}
	i := v.BigInt()
	if !i.IsInt64() {
		return bad("too large")
	}
	return i.Int64(), nil
}

const noExponent = 99

func exponent(unit string) int32 {
	switch unit {
	case "g":
		return 0
	case "mg":
		return -3
	case "µg":
		return -6
	}
	return noExponent
}

func (s *sums) nutrientRatio(f *figure.Figure, n, against prey.Nutrient) {
	f.Scale, f.Of = ratioScale, s.total.Mass()
	for c := range f.Num {
		f.Num[c], f.NumKnown = s.total.Nutrient(prey.Case(c), n)
		f.Den[c], f.DenKnown = s.total.Nutrient(prey.Case(c), against)
	}
}

// boneAdds reports whether bone-in cuts are fed that hold more of a nutrient
// than is counted: of bone only calcium, phosphorus, ash and water are.
func (s *sums) boneAdds(n prey.Nutrient) bool {
	switch n {
	case prey.Calcium, prey.Phosphorus, prey.Ash, prey.Water:
		return false
	}
	return s.boneIn
}

func (s *sums) perEnergy(f *figure.Figure, n prey.Nutrient, m prey.EnergyMethod) {
	f.Scale, f.Of, f.NumMore = energyScale, s.total.Mass(), s.boneAdds(n)
	for c := range f.Num {
		f.Num[c], f.NumKnown = s.total.Nutrient(prey.Case(c), n)
		f.Den[c], f.DenKnown = s.total.EnergyBy(m, prey.Case(c))
	}
}

// dryMatter is a nutrient over what is not water, of the foods whose water is
// known.
func (s *sums) dryMatter(f *figure.Figure, n prey.Nutrient) {
	f.Scale, f.Of, f.NumMore = dryScale, s.total.Mass(), s.boneAdds(n)
	f.Scale /= perGram(n)
	for c := range f.Num {
		var water wide.U128
		f.Num[c], f.NumKnown = s.total.Nutrient(prey.Case(c), n)
		water, f.DenKnown = s.total.Nutrient(prey.Case(c), prey.Water)
		f.Den[c], _ = wide.Mul(uint64(f.DenKnown), perHundredGrams).Sub(water)
	}
}

// perGram is how many of the nutrient's unit make a gram; of others than masses one.
func perGram(n prey.Nutrient) uint64 {
	switch n.Unit() {
	case "mg":
		return 1_000
	case "µg":
		return 1_000_000
	}
	return 1
}

// aboveBound is what a gram of a food holds of a nutrient above what it holds at a
// bound.
func aboveBound(f *prey.Food, n prey.Nutrient, at float64, known bool) (above, _ float64, ok bool) {
	in, ok := f.Nutrient(n)
	return float64(in.At[prey.Typical])/1e11 - at, at, ok && known
}

func ratioAbove(r *Rule, _ *shares.Target, f *prey.Food, bound int64) (above, at float64, ok bool) {
	against, known := f.Nutrient(r.Against)
	return aboveBound(f, r.Nutrient, float64(bound)/1e9*float64(against.At[prey.Typical])/1e11, known)
}

func perEnergyAbove(r *Rule, _ *shares.Target, f *prey.Food, bound int64) (above, at float64, ok bool) {
	e, known := f.Energy(prey.ModifiedAtwater)
	return aboveBound(f, r.Nutrient, float64(bound)/1e9/1000*float64(e.At[prey.Typical])/1e11, known)
}

func dryMatterAbove(r *Rule, _ *shares.Target, f *prey.Food, bound int64) (above, at float64, ok bool) {
	w, known := f.Nutrient(prey.Water)
	return aboveBound(f, r.Nutrient, float64(float64(bound)/1e12*float64(perGram(r.Nutrient))*(1-float64(w.At[prey.Typical])/1e11)), known)
}
