package prey

import (
	"errors"
	"fmt"
	"math"

	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Errors of a [Tally].
var (
	// ErrMass is a negative mass, or a sum of masses over 9 223 kg.
	ErrMass = errors.New("mass out of range")
	// ErrFood is a food that cannot be counted: nil, or hand-made with parts
	// that do not sum to its whole mass.
	ErrFood = errors.New("food cannot be counted")
)

// Tally is the exact running sum of a mixture of foods: its mass, its parts,
// its nutrients and its energy in each case. The zero value is an empty
// mixture. It holds integers alone; nothing is rounded. The order of additions
// does not matter. A Tally is a value: copy it to branch off. It is not safe
// for concurrent writing.
//
// All sums are of mass times share or density. Since the mass of the whole
// mixture stays below 2^63 picograms, which Add checks, none can leave 128 bits.
type Tally struct {
	mass, partsKnown, boneIn units.Mass

	parts [NumCases][NumParts]wide.U128
	of    [numQuantities]quantity
}

// quantity is the sum of one quantity and the mass for which it is known.
type quantity struct {
	known units.Mass
	point wide.U128 // of foods whose figure is the same in every case
	spans [NumCases]wide.U128
}

// Add counts m of food f. The error wraps ErrMass or ErrFood; the Tally is then
// unchanged. Add does not allocate.
func (t *Tally) Add(f *Food, m units.Mass) error {
	if f == nil {
		return fmt.Errorf("adding no food: %w", ErrFood)
	}
	if m < 0 || t.mass > math.MaxInt64-m {
		return fmt.Errorf("adding %s of %s: %w", m, f.ID, ErrMass)
	}
	if f.PartsKnown && !wholeShares(&f.Shares) {
		return fmt.Errorf("adding %s: its parts do not sum to 100 %%: %w", f.ID, ErrFood)
	}
	t.mass += m
	x := uint64(m)
	if f.BoneIn {
		t.boneIn += m
	}
	if f.PartsKnown {
		t.partsKnown += m
		for c := range f.Shares {
			for p, s := range f.Shares[c] {
				if s != 0 {
					t.parts[c][p], _ = t.parts[c][p].AddMul(x, uint64(s))
				}
			}
		}
	}
	if f.facts == nil {
		return nil
	}
	for _, q := range f.facts.points {
		a := &t.of[q.index]
		a.known += m
		a.point, _ = a.point.AddMul(x, q.at)
	}
	for i := range f.facts.spans {
		q := &f.facts.spans[i]
		a := &t.of[q.index]
		a.known += m
		for c := range q.at {
			a.spans[c], _ = a.spans[c].AddMul(x, q.at[c])
		}
	}
	return nil
}

func wholeShares(shares *[NumCases][NumParts]units.Share) bool {
	for c := range shares {
		var sum units.Share
		for _, s := range shares[c] {
			if s < 0 || s > units.Whole {
				return false
			}
			sum += s
		}
		if sum != units.Whole {
			return false
		}
	}
	return true
}

// AddTally counts everything in u. The error wraps ErrMass; t is then unchanged.
func (t *Tally) AddTally(u *Tally) error {
	if u == nil {
		return nil
	}
	if t.mass > math.MaxInt64-u.mass {
		return fmt.Errorf("adding a mixture of %s: %w", u.mass, ErrMass)
	}
	t.mass += u.mass // u may be t itself: each field is read before it is written
	t.partsKnown += u.partsKnown
	t.boneIn += u.boneIn
	for c := range t.parts {
		for p := range t.parts[c] {
			t.parts[c][p], _ = t.parts[c][p].Add(u.parts[c][p])
		}
	}
	for q := range t.of {
		a, b := &t.of[q], &u.of[q]
		a.known += b.known
		a.point, _ = a.point.Add(b.point)
		for c := range a.spans {
			a.spans[c], _ = a.spans[c].Add(b.spans[c])
		}
	}
	return nil
}

// Mass is the mass of the whole mixture.
func (t *Tally) Mass() units.Mass { return t.mass }

// PartsKnownMass is the mass of the foods whose parts are known. Shares are of
// this mass only.
func (t *Tally) PartsKnownMass() units.Mass { return t.partsKnown }

// BoneInMeat is the mass of bone-in cuts, bone and meat together: what a target
// counts that means bone-in meat when it says bone. Never compare it with
// Part(c, Bone).
func (t *Tally) BoneInMeat() units.Mass { return t.boneIn }

// Part is the exact amount of one part in picograms times millionths. To hold it
// against a share of the mixture, compare it with share x PartsKnownMass.
func (t *Tally) Part(c Case, p Part) wide.U128 {
	if c >= NumCases || p >= NumParts {
		return wide.U128{}
	}
	return t.parts[c][p]
}

// Nutrient is the exact amount of a nutrient, in picograms times Density, in the
// foods where it is known, and the mass of these foods. known / Mass is the
// coverage; of the rest nothing can be said.
func (t *Tally) Nutrient(c Case, n Nutrient) (sum wide.U128, known units.Mass) {
	if n >= NumNutrients {
		return wide.U128{}, 0
	}
	return t.quantity(c, int(n))
}

// Energy is like Nutrient for kcal, each food by its [Food.DefaultEnergy].
func (t *Tally) Energy(c Case) (sum wide.U128, known units.Mass) {
	return t.quantity(c, defaultEnergyIndex)
}

// EnergyBy is like Nutrient for kcal, all foods by one method.
func (t *Tally) EnergyBy(m EnergyMethod, c Case) (sum wide.U128, known units.Mass) {
	if m >= NumEnergyMethods {
		return wide.U128{}, 0
	}
	return t.quantity(c, energyIndex(m))
}

func (t *Tally) quantity(c Case, i int) (wide.U128, units.Mass) {
	if c >= NumCases {
		return wide.U128{}, 0
	}
	sum, _ := t.of[i].point.Add(t.of[i].spans[c])
	return sum, t.of[i].known
}

// PartMass is the mass of one part rounded half up to the picogram, for people.
func (t *Tally) PartMass(c Case, p Part) units.Mass {
	return units.Mass(roundDiv(t.Part(c, p), uint64(units.Whole)))
}

// Share is the share of one part in the foods whose parts are known, rounded
// half up to a millionth, for people. It is 0 for an empty mixture.
func (t *Tally) Share(c Case, p Part) units.Share {
	if t.partsKnown <= 0 {
		return 0
	}
	return units.Share(roundDiv(t.Part(c, p), uint64(t.partsKnown)))
}

// Amount turns a sum of [Tally.Nutrient] or [Tally.Energy] into the amount in
// the nutrient's own unit, in billionths, rounded half up, for people.
func Amount(sum wide.U128) Density { return Density(roundDiv(sum, 100*uint64(units.Gram))) }

// roundDiv is x/y rounded half up, held at the largest int64.
func roundDiv(x wide.U128, y uint64) int64 {
	x, ok := x.Add(wide.U128{Lo: y / 2})
	if !ok {
		return math.MaxInt64
	}
	q, ok := x.MulDiv(1, y)
	if !ok || q.Hi != 0 || q.Lo > math.MaxInt64 {
		return math.MaxInt64
	}
	return int64(q.Lo)
}
