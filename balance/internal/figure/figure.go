package figure

import (
	"math/big"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Bounds are what a figure is held against, in the unit of the rule's check.
type Bounds struct {
	Low, High       int64
	HasLow, HasHigh bool
}

// AtLeast is a lower bound alone.
func AtLeast(low int64) Bounds { return Bounds{Low: low, HasLow: true} }

// Between is both bounds.
func Between(low, high int64) Bounds { return Bounds{low, high, true, true} }

// Figure is one measured figure, exactly, in each case: Num x Scale / Den in
// the unit of the bounds.
//
// A sum over foods is of those whose figure is known: NumKnown and DenKnown are
// their mass and Of the mass of all. With Of 0 everything is known.
type Figure struct {
	Num, Den               [prey.NumCases]wide.U128
	Scale                  uint64
	NumKnown, DenKnown, Of units.Mass
	// NumMore says that the true dividend may be more than the sum even where
	// every food has a figure: bone adds some that nobody has measured.
	NumMore bool
	Bounds  Bounds // what it is held against
}

// enough reports whether figures are known for at least four fifths of the
// mass. The bound is our choice: below it a sum says more about what was
// measured than about the food.
func enough(known, of units.Mass) bool { return of-known <= of/5 }

// Enough reports whether both sums are known for enough of the mass.
func (f *Figure) Enough() bool {
	return f.Of == 0 || enough(f.NumKnown, f.Of) && enough(f.DenKnown, f.Of)
}

// cmpBound is the sign of num x scale / den - bound. It never divides.
func cmpBound(num, den wide.U128, scale uint64, bound int64) int {
	return wide.CmpMul(num, scale, den, uint64(max(bound, 0)))
}

func side(num, den wide.U128, scale uint64, b *Bounds) int {
	switch {
	case b.HasLow && cmpBound(num, den, scale, b.Low) < 0:
		return -1
	case b.HasHigh && cmpBound(num, den, scale, b.High) > 0:
		return 1
	}
	return 0
}

// Answer says how a figure stands to its bounds.
type Answer uint8

const (
	Met    Answer = iota + 1 // within them; reaching one exactly is within
	Missed                   // outside
	Open                     // that cannot be said
)

// Judgement is the outcome for one figure.
type Judgement struct {
	Typical, Whole Answer // at the typical case, and over the whole range
	Side           int    // below 0 when the typical figure lies below its bounds, above 0 when above
	// Nothing and Little say why all is open: there is nothing to divide by, or too
	// little is known.
	Nothing, Little bool
}

// Judge holds the figure against its bounds, at the typical case and over the
// whole range. Where little is known the typical answer is that over the range:
// what is not known can decide nothing, but may not be able to change what the
// known part decides.
func (f *Figure) Judge() Judgement {
	b := &f.Bounds
	if f.Den[prey.Typical] == (wide.U128{}) {
		return Judgement{Typical: Open, Whole: Open, Nothing: true}
	}
	var below, above int // in how many cases
	void := false        // nothing to divide by in some case
	j := Judgement{Typical: Met, Whole: Met}
	for c := range f.Num {
		at := side(f.Num[c], f.Den[c], f.Scale, b)
		switch at {
		case -1:
			below++
		case 1:
			above++
		}
		void = void || f.Den[c] == (wide.U128{})
		if c == int(prey.Typical) {
			j.Side = at
		}
	}
	switch floor, ceiling := f.Floor(), f.Ceiling(); {
	case void && (b.HasLow || b.HasHigh):
		j.Whole = Open
	default:
		if b.HasLow {
			j.Whole = overRange(below, floor, ceiling)
		}
		if b.HasHigh {
			j.Whole = worse(j.Whole, overRange(above, ceiling, floor))
		}
	}
	switch {
	case !f.Enough() && j.Whole == Open:
		return Judgement{Typical: Open, Whole: Open, Little: true}
	case !f.Enough():
		j.Typical = j.Whole
		return j
	case f.Partial():
		num, den := f.filled()
		j.Side = side(num, den, f.Scale, b)
	}
	if j.Side != 0 {
		j.Typical = Missed
	}
	return j
}

// overRange is the answer for one bound that is passed in that many cases. What
// is not known can only add: with the whole divisor known the figure is a floor
// of the true one, with the whole dividend known it is a ceiling. A bound that
// holds in all cases is met if that may be trusted, one that holds in none is
// missed likewise.
func overRange(passed int, trustMet, trustMissed bool) Answer {
	switch {
	case passed == 0 && trustMet:
		return Met
	case passed == prey.NumCases && trustMissed:
		return Missed
	}
	return Open
}

// Partial reports whether figures are known for a part of the mass alone.
func (f *Figure) Partial() bool { return f.Of > 0 && (f.NumKnown < f.Of || f.DenKnown < f.Of) }

// filled is the typical figure with the foods of unknown figures taken to be
// like the rest, cut to the grid of the sums. It serves the typical verdict
// alone; the verdict over the range takes the unknown as unknown.
func (f *Figure) filled() (num, den wide.U128) {
	num, den = f.Num[prey.Typical], f.Den[prey.Typical]
	if v, ok := num.MulDiv(uint64(f.Of), uint64(max(f.NumKnown, 1))); ok {
		num = v
	}
	if v, ok := den.MulDiv(uint64(f.Of), uint64(max(f.DenKnown, 1))); ok {
		den = v
	}
	return num, den
}

// Floor reports whether the true figure is at least the sum.
func (f *Figure) Floor() bool { return f.Of == 0 || f.DenKnown == f.Of }

// Ceiling reports whether the true figure is at most the sum.
func (f *Figure) Ceiling() bool { return (f.Of == 0 || f.NumKnown == f.Of) && !f.NumMore }

// worse joins the answers for two bounds: missing one is a miss.
func worse(a, b Answer) Answer {
	switch {
	case a == Missed || b == Missed:
		return Missed
	case a == Open || b == Open:
		return Open
	}
	return Met
}

// More adds n times the figure u: what both measure is then measured together.
// The caller sees to it that the mass stays in range; no sum can overflow then.
func (f *Figure) More(u *Figure, n uint64) {
	for c := range f.Num {
		num, _ := u.Num[c].Times(n)
		den, _ := u.Den[c].Times(n)
		f.Num[c], _ = f.Num[c].Add(num)
		f.Den[c], _ = f.Den[c].Add(den)
	}
	f.NumKnown += u.NumKnown * units.Mass(n)
	f.DenKnown += u.DenKnown * units.Mass(n)
	f.Of += u.Of * units.Mass(n)
}

// Less takes n times the figure u away, which is part of f.
func (f *Figure) Less(u *Figure, n uint64) {
	for c := range f.Num {
		num, _ := u.Num[c].Times(n)
		den, _ := u.Den[c].Times(n)
		f.Num[c], _ = f.Num[c].Sub(num)
		f.Den[c], _ = f.Den[c].Sub(den)
	}
	f.NumKnown -= u.NumKnown * units.Mass(n)
	f.DenKnown -= u.DenKnown * units.Mass(n)
	f.Of -= u.Of * units.Mass(n)
}

// OfWhole makes f a part of a whole, both known.
func (f *Figure) OfWhole(part, whole, scale uint64) {
	f.Scale = scale
	for c := range f.Num {
		f.Num[c], f.Den[c] = wide.U128{Lo: part}, wide.U128{Lo: whole}
	}
}

// Cmp is the sign of the figure at a case less a bound.
func (f *Figure) Cmp(c prey.Case, bound int64) int {
	return cmpBound(f.Num[c], f.Den[c], f.Scale, bound)
}

// Rat is the exact figure of one case in the unit of the bounds, or nil.
func (f *Figure) Rat(c prey.Case) *big.Rat {
	if f.Den[c] == (wide.U128{}) {
		return nil
	}
	num := f.Num[c].Big()
	return new(big.Rat).SetFrac(num.Mul(num, new(big.Int).SetUint64(f.Scale)), f.Den[c].Big())
}

// LessThan compares typical figures. A figure without a divisor is nothing.
func (f *Figure) LessThan(g *Figure) bool {
	if f.Den[prey.Typical] == g.Den[prey.Typical] && f.Scale == g.Scale {
		return f.Num[prey.Typical].Cmp(g.Num[prey.Typical]) < 0
	}
	x, y := f.Rat(prey.Typical), g.Rat(prey.Typical)
	return x != nil && (y == nil || x.Cmp(y) < 0)
}
