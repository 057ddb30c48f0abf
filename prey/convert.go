package prey

import (
	"errors"
	"fmt"
	"math"
	"math/bits"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/wide"
)

// ErrConvert is wrapped when a label figure cannot be converted: a share of
// water that is not below 100 %, or an amount that leaves the range.
var ErrConvert = errors.New("cannot convert")

// DryMatter turns an amount per 100 g as fed into the amount per 100 g of dry
// matter, rounded half up to the billionth.
func DryMatter(fed Density, water units.Share) (Density, error) {
	if fed < 0 || water < 0 || water >= units.Whole {
		return 0, fmt.Errorf("%s with %s of water to dry matter: %w", fed, water, ErrConvert)
	}
	d, ok := mulDiv(uint64(fed), uint64(units.Whole), uint64(units.Whole-water))
	if !ok {
		return 0, fmt.Errorf("%s with %s of water to dry matter: %w", fed, water, ErrConvert)
	}
	return Density(d), nil
}

// AsFed turns an amount per 100 g of dry matter into the amount per 100 g of
// food that holds the given share of water, rounded half up to the billionth.
func AsFed(dry Density, water units.Share) (Density, error) {
	if dry < 0 || water < 0 || water >= units.Whole {
		return 0, fmt.Errorf("%s of dry matter to food with %s of water: %w", dry, water, ErrConvert)
	}
	d, ok := mulDiv(uint64(dry), uint64(units.Whole-water), uint64(units.Whole))
	if !ok {
		return 0, fmt.Errorf("%s of dry matter to food with %s of water: %w", dry, water, ErrConvert)
	}
	return Density(d), nil
}

// WaterToAdd is the water that brings m of food from the share of water it has
// to the share that is wanted, rounded half up to the picogram. A food that is
// already wetter cannot be dried by adding water: that is an error that wraps
// [ErrConvert].
func WaterToAdd(m units.Mass, has, want units.Share) (units.Mass, error) {
	if m < 0 || has < 0 || want < has || want >= units.Whole {
		return 0, fmt.Errorf("water for %s of food from %s to %s: %w", m, has, want, ErrConvert)
	}
	w, ok := mulDiv(uint64(m), uint64(want-has), uint64(units.Whole-want))
	if !ok {
		return 0, fmt.Errorf("water for %s of food from %s to %s: %w", m, has, want, ErrConvert)
	}
	return units.Mass(w), nil
}

// mulDiv is x*y/z rounded half up; false when it leaves int64.
func mulDiv(x, y, z uint64) (uint64, bool) {
	hi, lo := bits.Mul64(x, y)
	lo, carry := bits.Add64(lo, z/2, 0)
	if hi += carry; hi >= z {
		return 0, false
	}
	q, _ := bits.Div64(hi, lo, z)
	return q, q <= math.MaxInt64
}

// Lacks is the least of each part that must join m of the food for the whole
// to have the wanted shares, rounded half up to the picogram: what an incomplete
// mix still needs. The shares are of the slots alone; what the food holds of no
// slot (water, coat) is left out of account. Want must give nothing to Rest and
// sum to units.Whole; a part that the food holds and want does not is an error,
// as are unknown parts. The errors wrap [ErrFood].
func (f *Food) Lacks(c Case, m units.Mass, want [NumParts]units.Share) ([NumParts]units.Mass, error) {
	var out [NumParts]units.Mass
	bad := func(why string) ([NumParts]units.Mass, error) {
		return [NumParts]units.Mass{}, fmt.Errorf("what %s lacks: %s: %w", f.ID, why, ErrFood)
	}
	if !f.PartsKnown || c >= NumCases {
		return bad("its parts are not known")
	}
	if sum := [NumCases][NumParts]units.Share{want, want, want}; want[Rest] != 0 || !wholeShares(&sum) {
		return bad("the wanted shares must sum to 100 % and leave nothing to the rest")
	}
	var t Tally
	if err := t.Add(f, m); err != nil {
		return out, err
	}
	// The part that is furthest over sets the size of the whole: the one with
	// the largest has/want. Then each other part q needs want[q] x that - has[q].
	lead := -1
	for p := range Rest {
		has := t.Part(c, p)
		if want[p] == 0 {
			if has != (wide.U128{}) {
				return bad(fmt.Sprintf("it holds %s and none is wanted", p))
			}
			continue
		}
		if lead < 0 || wide.CmpMul(has, uint64(want[lead]), t.Part(c, Part(lead)), uint64(want[p])) > 0 {
			lead = int(p)
		}
	}
	for p := range Rest {
		if want[p] == 0 {
			continue
		}
		// In picograms x millionths, floored; a millionth of a picogram is far
		// below the rounding that follows.
		due, ok := t.Part(c, Part(lead)).MulDiv(uint64(want[p]), uint64(want[lead]))
		if !ok {
			return out, fmt.Errorf("what %s lacks: %w", f.ID, ErrMass)
		}
		if short, ok := due.Sub(t.Part(c, p)); ok {
			out[p] = units.Mass(roundDiv(short, uint64(units.Whole)))
			if out[p] == math.MaxInt64 {
				return out, fmt.Errorf("what %s lacks: %w", f.ID, ErrMass)
			}
		}
	}
	return out, nil
}

// CalciumAsBone is the share of fresh bone that would hold the food's calcium:
// a way to see how little mineral chicks and pinkies carry. It is not bone, it
// is never added to bone, and no slot counts it. Low rests on the richest clean
// fresh bone of the catalogue, High on the poorest, Typical on the skeleton of
// a grown mouse; a figure that was worked out from the food itself serves none of
// them. It is false when the calcium or the minerals of bone are not known, and
// for everything but whole prey and mixes: the bone of a cut is weighed, not
// inferred.
func (f *Food) CalciumAsBone() (units.Range[units.Share], cite.Ref, bool) {
	var out units.Range[units.Share]
	if f == nil || f.facts == nil || f.Kind != WholePrey && f.Kind != Mix && f.Kind != DriedRaw {
		return out, cite.Ref{}, false
	}
	fig, ok := f.Nutrient(Calcium)
	if !ok || f.facts.sheet.nutrients[Calcium].basis == edible {
		return out, cite.Ref{}, false
	}
	bone, refs, ok := f.facts.bones.calcium(f)
	if !ok {
		return out, cite.Ref{}, false
	}
	poorest, typical, richest := bone[LeastBone], bone[Typical], bone[MostBone]
	refs = append([]cite.Ref{fig.Ref}, refs...)
	low, ok1 := mulDiv(uint64(min(fig.At[LeastBone], fig.At[Typical], fig.At[MostBone])), uint64(units.Whole), uint64(richest))
	mid, ok2 := mulDiv(uint64(fig.At[Typical]), uint64(units.Whole), uint64(typical))
	high, ok3 := mulDiv(uint64(max(fig.At[LeastBone], fig.At[Typical], fig.At[MostBone])), uint64(units.Whole), uint64(poorest))
	if !ok1 || !ok2 || !ok3 {
		return out, cite.Ref{}, false
	}
	out = units.Range[units.Share]{Low: units.Share(low), Typical: units.Share(mid), High: units.Share(high)}
	return out, weaken(cite.Derived, fmt.Sprintf("%s / %s mg calcium per 100 g of food and of bone", densityWords(fig.At), rangeWords(poorest.String(), typical.String(), richest.String())), refs...), true
}
