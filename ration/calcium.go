package ration

import (
	"errors"
	"fmt"
	"math/big"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/wide"

	"github.com/shopspring/decimal"
)

// Errors of Calcium.
var (
	// ErrUnknownMineral: calcium or phosphorus of some of the food is not known, so no dose can be worked out.
	ErrUnknownMineral = errors.New("calcium or phosphorus not known")
	// ErrUnreachable: the powder brings so much phosphorus itself that no amount of it reaches the ratio.
	ErrUnreachable = errors.New("the powder can never reach this ratio")
	// ErrRatio: a target ratio of zero or less, above 10, or low above high.
	ErrRatio = errors.New("not a ratio of calcium to phosphorus")
)

// Ratio is a range of calcium to phosphorus, by mass: 1.2 stands for 1.2 : 1.
type Ratio struct {
	Low, High decimal.Decimal
	Ref       cite.Ref
}

// DefaultRatio returns 1.2 to 1.7 : 1, the target that clinics print for ferrets. It is common practice; one clinic text
// prints the same figures with calcium and phosphorus swapped.
func DefaultRatio() Ratio {
	return Ratio{decimal.New(12, -1), decimal.New(17, -1), cite.Practice.Ref("calcium to phosphorus 1.2 to 1.7")}
}

// CalciumDose is how much of a powder a boneless batch needs.
type CalciumDose struct {
	// Powder is the mass to weigh in: Low reaches the target's low end where the batch is richest in calcium and the powder
	// strongest, High its high end where they are poorest; Typical reaches the middle of the target at typical figures. All
	// are rounded up to a hundredth of a gram. Zero: the batch has enough.
	Powder units.Range[units.Mass]
	// Calcium and Phosphorus are what the batch holds without the powder, in mg, rounded to whole mg, for people.
	Calcium, Phosphorus units.Range[int64]
	Assumed             string // what was taken for granted; "" nothing
}

// Calcium works out how much of a calcium powder a batch needs while no bone is eaten:
//
//	grams = (target x P - Ca) / (powder Ca - target x powder P)
//
// Figures that are not known are never taken for zero, with one exception that the dose names: a powder whose phosphorus
// is not known is taken to hold none, as carbonate does (common practice for eggshell).
//
// Errors wrap ErrUnknownMineral, ErrUnreachable, ErrRatio, or those of prey.Tally.
func Calcium(batch []Serving, powder *prey.Food, target Ratio) (CalciumDose, error) {
	fail := func(err error) (CalciumDose, error) { return CalciumDose{}, fmt.Errorf("calcium for a batch: %w", err) }
	if target.Low.Sign() <= 0 || target.Low.GreaterThan(target.High) || target.High.GreaterThan(decimal.New(10, 0)) {
		return fail(fmt.Errorf("%s to %s: %w", target.Low, target.High, ErrRatio))
	}
	var t prey.Tally
	for _, s := range batch {
		if err := t.Add(s.Food, s.Mass); err != nil {
			return fail(err)
		}
	}
	var dose CalciumDose
	pca, ok := powder.Nutrient(prey.Calcium)
	if !ok {
		return fail(fmt.Errorf("the powder's: %w", ErrUnknownMineral))
	}
	pp, ok := powder.Nutrient(prey.Phosphorus)
	if !ok {
		dose.Assumed = fmt.Sprintf("The phosphorus of %s is not known; it is taken to hold none, as carbonate does (common practice).", powder.Name)
	}
	// Case by case; the two extremes mix cases, so they bound every truth.
	var ca, p [prey.NumCases]*big.Rat
	for _, c := range prey.Cases() {
		var sums [2]wide.U128
		for i, n := range []prey.Nutrient{prey.Calcium, prey.Phosphorus} {
			sum, known := t.Nutrient(c, n)
			if known != t.Mass() {
				return fail(fmt.Errorf("known for %s of %s: %w", known.InGrams(0), t.Mass().InGrams(0), ErrUnknownMineral))
			}
			sums[i] = sum
		}
		ca[c], p[c] = milligrams(sums[0]), milligrams(sums[1])
	}
	lowCa, highCa := extremes(ca)
	lowP, highP := extremes(p)
	dose.Calcium = wholeRange(lowCa, ca[prey.Typical], highCa)
	dose.Phosphorus = wholeRange(lowP, p[prey.Typical], highP)

	perGram := func(d prey.Density) *big.Rat { return new(big.Rat).Quo(d.Decimal().Rat(), big.NewRat(100, 1)) }
	grams := func(target, ca, p *big.Rat, powderCa, powderP prey.Density) (units.Mass, error) {
		num := new(big.Rat).Sub(new(big.Rat).Mul(target, p), ca)
		if num.Sign() <= 0 {
			return 0, nil
		}
		den := new(big.Rat).Sub(perGram(powderCa), new(big.Rat).Mul(target, perGram(powderP)))
		if den.Sign() <= 0 {
			return 0, fmt.Errorf("%s with %s mg calcium and %s mg phosphorus per 100 g, target %s : 1: %w", powder.Name, powderCa, powderP, target.FloatString(2), ErrUnreachable)
		}
		return centigramsUp(num.Quo(num, den))
	}
	low, high := target.Low.Rat(), target.High.Rat()
	mid := new(big.Rat).Mul(new(big.Rat).Add(low, high), big.NewRat(1, 2))
	var err error
	if dose.Powder.High, err = grams(high, lowCa, highP, pca.At[prey.LeastBone], pp.At[prey.MostBone]); err != nil {
		return fail(err)
	}
	if dose.Powder.Typical, err = grams(mid, ca[prey.Typical], p[prey.Typical], pca.At[prey.Typical], pp.At[prey.Typical]); err != nil {
		return fail(err)
	}
	if dose.Powder.Low, err = grams(low, highCa, lowP, pca.At[prey.MostBone], pp.At[prey.LeastBone]); err != nil {
		return fail(err)
	}
	return dose, nil
}

// milligrams turns a sum of pg x billionths of mg per 100 g into mg.
func milligrams(sum wide.U128) *big.Rat {
	per := new(big.Int).Mul(big.NewInt(100*int64(units.Gram)), big.NewInt(1_000_000_000))
	return new(big.Rat).SetFrac(sum.Big(), per)
}

func extremes(r [prey.NumCases]*big.Rat) (low, high *big.Rat) {
	low, high = r[0], r[0]
	for _, v := range r[1:] {
		if v.Cmp(low) < 0 {
			low = v
		}
		if v.Cmp(high) > 0 {
			high = v
		}
	}
	return low, high
}

func wholeRange(low, typical, high *big.Rat) units.Range[int64] {
	whole := func(r *big.Rat) int64 {
		n := new(big.Int).Quo(new(big.Int).Add(new(big.Int).Mul(r.Num(), big.NewInt(2)), r.Denom()), new(big.Int).Mul(r.Denom(), big.NewInt(2)))
		return n.Int64()
	}
	return units.Range[int64]{Low: whole(low), Typical: whole(typical), High: whole(high)}
}

// centigramsUp rounds grams up to a hundredth.
func centigramsUp(g *big.Rat) (units.Mass, error) {
	n := new(big.Int).Mul(g.Num(), big.NewInt(100))
	n.Add(n, new(big.Int).Sub(g.Denom(), big.NewInt(1)))
	n.Quo(n, g.Denom())
	if !n.IsInt64() {
		return 0, units.ErrOverflow
	}
	return (units.Gram / 100).Times(n.Int64())
}
