package balance

import (
	"math/big"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Verdict is what a rule says of a plan.
type Verdict uint8

const (
	// Met: the figure lies within the bounds; reaching one exactly is met.
	Met Verdict = iota + 1
	// Missed: it lies outside.
	Missed
	// Open: it cannot be said from what is known.
	Open
	// NotApplicable: the rule does not concern this plan.
	NotApplicable
)

var verdictWords = units.Words[Verdict]{What: "verdict", Keys: []string{Met: "met", Missed: "missed", Open: "open", NotApplicable: "not-applicable"}}

// String returns "met", "missed", "open" or "not-applicable".
func (v Verdict) String() string { return verdictWords.Name(v) }

// ParseVerdict reads "met", "missed", "open" or "not-applicable".
func ParseVerdict(s string) (Verdict, error) { return verdictWords.Parse(s) }

// MarshalText writes the word; a value that is no verdict is an error.
func (v Verdict) MarshalText() ([]byte, error) { return verdictWords.Marshal(v) }

// UnmarshalText is [ParseVerdict].
func (v *Verdict) UnmarshalText(text []byte) error { return verdictWords.Unmarshal(v, text) }

// Side says past which bound a figure lies.
type Side int8

const (
	Below   Side = -1
	Neither Side = 0 // past neither, or nothing was held against them: the verdict says which
	Above   Side = 1
)

// bounds are what a figure is held against, in the unit of the rule's check.
type bounds struct {
	low, high       int64
	hasLow, hasHigh bool
}

// fraction is one measured figure, exactly, in each case: num x scale / den in
// the unit of the bounds.
//
// A sum over foods is of those whose figure is known: numKnown and denKnown are
// their mass and of the mass of all. With of 0 everything is known.
type fraction struct {
	num, den               [prey.NumCases]wide.U128
	scale                  uint64
	numKnown, denKnown, of units.Mass
	// numMore says that the true dividend may be more than the sum even where
	// every food has a figure: bone adds some that nobody has measured.
	numMore bool
	bounds  bounds // what it is held against
}

// enough reports whether figures are known for at least four fifths of the
// mass. The bound is our choice: below it a sum says more about what was
// measured than about the food.
func enough(known, of units.Mass) bool { return of-known <= of/5 }

// enough reports whether both sums are known for enough of the mass.
func (f *fraction) enough() bool {
	return f.of == 0 || enough(f.numKnown, f.of) && enough(f.denKnown, f.of)
}

// cmpBound is the sign of num x scale / den - bound. It never divides.
func cmpBound(num, den wide.U128, scale uint64, bound int64) int {
	return wide.CmpMul(num, scale, den, uint64(max(bound, 0)))
}

func side(num, den wide.U128, scale uint64, b *bounds) Side {
	switch {
	case b.hasLow && cmpBound(num, den, scale, b.low) < 0:
		return Below
	case b.hasHigh && cmpBound(num, den, scale, b.high) > 0:
		return Above
	}
	return Neither
}

// judgement is the outcome for one figure.
type judgement struct {
	verdict, whole Verdict
	side           Side
	reason         Reason
}

// judge holds the figure against its bounds, at the typical case and over the
// whole range.
func (f *fraction) judge() judgement {
	b := &f.bounds
	if f.den[prey.Typical] == (wide.U128{}) {
		return judgement{Open, Open, Neither, NothingToJudge}
	}
	if !f.enough() {
		return judgement{Open, Open, Neither, LittleKnown}
	}
	var below, above int // in how many cases
	void := false        // nothing to divide by in some case
	j := judgement{verdict: Met, whole: Met}
	for c := range f.num {
		at := side(f.num[c], f.den[c], f.scale, b)
		switch at {
		case Below:
			below++
		case Above:
			above++
		}
		void = void || f.den[c] == (wide.U128{})
		if c == int(prey.Typical) {
			j.side = at
		}
	}
	if f.partial() {
		num, den := f.filled()
		j.side = side(num, den, f.scale, b)
	}
	if j.side != Neither {
		j.verdict = Missed
	}
	switch floor, ceiling := f.floor(), f.ceiling(); {
	case void && (b.hasLow || b.hasHigh):
		j.whole = Open
	default:
		if b.hasLow {
			j.whole = overRange(below, floor, ceiling)
		}
		if b.hasHigh {
			j.whole = worse(j.whole, overRange(above, ceiling, floor))
		}
	}
	return j
}

// overRange is the verdict on one bound that is passed in that many cases. What
// is not known can only add: with the whole divisor known the figure is a floor
// of the true one, with the whole dividend known it is a ceiling. A bound that
// holds in all cases is met if that may be trusted, one that holds in none is
// missed likewise.
func overRange(passed int, trustMet, trustMissed bool) Verdict {
	switch {
	case passed == 0 && trustMet:
		return Met
	case passed == prey.NumCases && trustMissed:
		return Missed
	}
	return Open
}

func (f *fraction) partial() bool { return f.of > 0 && (f.numKnown < f.of || f.denKnown < f.of) }

// filled is the typical figure with the foods of unknown figures taken to be
// like the rest, cut to the grid of the sums. It serves the typical verdict
// alone; the verdict over the range takes the unknown as unknown.
func (f *fraction) filled() (num, den wide.U128) {
	num, den = f.num[prey.Typical], f.den[prey.Typical]
	if v, ok := num.MulDiv(uint64(f.of), uint64(max(f.numKnown, 1))); ok {
		num = v
	}
	if v, ok := den.MulDiv(uint64(f.of), uint64(max(f.denKnown, 1))); ok {
		den = v
	}
	return num, den
}

// floor reports whether the true figure is at least the sum.
func (f *fraction) floor() bool { return f.of == 0 || f.denKnown == f.of }

// ceiling reports whether the true figure is at most the sum.
func (f *fraction) ceiling() bool { return (f.of == 0 || f.numKnown == f.of) && !f.numMore }

// worse joins the verdicts on two bounds: missing one is a miss.
func worse(a, b Verdict) Verdict {
	switch {
	case a == Missed || b == Missed:
		return Missed
	case a == Open || b == Open:
		return Open
	}
	return Met
}

// more adds n times the figure u: what both measure is then measured together.
// The caller sees to it that the mass stays in range; no sum can overflow then.
func (f *fraction) more(u *fraction, n uint64) {
	for c := range f.num {
		num, _ := u.num[c].Times(n)
		den, _ := u.den[c].Times(n)
		f.num[c], _ = f.num[c].Add(num)
		f.den[c], _ = f.den[c].Add(den)
	}
	f.numKnown += u.numKnown * units.Mass(n)
	f.denKnown += u.denKnown * units.Mass(n)
	f.of += u.of * units.Mass(n)
}

// less takes n times the figure u away, which is part of f.
func (f *fraction) less(u *fraction, n uint64) {
	for c := range f.num {
		num, _ := u.num[c].Times(n)
		den, _ := u.den[c].Times(n)
		f.num[c], _ = f.num[c].Sub(num)
		f.den[c], _ = f.den[c].Sub(den)
	}
	f.numKnown -= u.numKnown * units.Mass(n)
	f.denKnown -= u.denKnown * units.Mass(n)
	f.of -= u.of * units.Mass(n)
}

// rat is the exact figure of one case in the unit of the bounds, or nil.
func (f *fraction) rat(c prey.Case) *big.Rat {
	if f.den[c] == (wide.U128{}) {
		return nil
	}
	num := f.num[c].Big()
	return new(big.Rat).SetFrac(num.Mul(num, new(big.Int).SetUint64(f.scale)), f.den[c].Big())
}

// ratio is a sum of parts of things, kept exactly: num/den.
type ratio struct {
	num wide.U128
	den uint64
}

// add counts v x w / total. Should the common divisor outgrow 64 bits, which
// takes several bowls that are shared by several animals each in its own way,
// the sum is cut to a millionth of a unit and goes on from there.
func (r *ratio) add(v wide.U128, p part) {
	r.den = max(r.den, 1)
	if p.w != 1 {
		v, _ = v.Times(p.w)
	}
	if r.den == p.total {
		r.num, _ = r.num.Add(v)
		return
	}
	if wide.Mul(r.den, p.total).Hi == 0 {
		a, ok1 := r.num.Times(p.total)
		b, ok2 := v.Times(r.den)
		if sum, ok3 := a.Add(b); ok1 && ok2 && ok3 {
			r.num, r.den = sum, r.den*p.total
			return
		}
	}
	const step = 1_000_000
	a, _ := r.num.MulDiv(step, r.den)
	b, _ := v.MulDiv(step, max(p.total, 1))
	sum, _ := a.Add(b)
	r.num, r.den = sum, step
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
