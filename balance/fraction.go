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
	Met Verdict = iota
	// Missed: it lies outside.
	Missed
	// Open: it cannot be said from what is known.
	Open
	// NotApplicable: the rule does not concern this plan.
	NotApplicable
)

// String returns "met", "missed", "open" or "not-applicable".
func (v Verdict) String() string {
	switch v {
	case Met:
		return "met"
	case Missed:
		return "missed"
	case Open:
		return "open"
	}
	return "not-applicable"
}

// MarshalText returns what String returns.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// Side says past which bound a figure lies.
type Side int8

const (
	Below  Side = -1
	Within Side = 0
	Above  Side = 1
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
}

// count is the fraction of a plain number.
func count(n int) fraction {
	v := wide.U128{Lo: uint64(n)}
	one := wide.U128{Lo: 1}
	return fraction{num: [prey.NumCases]wide.U128{v, v, v}, den: [prey.NumCases]wide.U128{one, one, one}, scale: 1}
}

// enough reports whether figures are known for at least four fifths of the
// mass. The bound is our choice: below it a sum says more about what was
// measured than about the food.
func enough(known, of units.Mass) bool {
	return wide.Mul(uint64(known), 5).Cmp(wide.Mul(uint64(of), 4)) >= 0
}

// cmp is the sign of num x scale / den - bound. It never divides.
func cmpBound(num, den wide.U128, scale uint64, bound int64) int {
	return wide.CmpMul(num, scale, den, uint64(max(bound, 0)))
}

func side(num, den wide.U128, scale uint64, b bounds) Side {
	switch {
	case b.hasLow && cmpBound(num, den, scale, b.low) < 0:
		return Below
	case b.hasHigh && cmpBound(num, den, scale, b.high) > 0:
		return Above
	}
	return Within
}

// judgement is the outcome for one figure.
type judgement struct {
	verdict, whole Verdict
	side           Side
	reason         Reason
}

// judge holds the figure against the bounds, at the typical case and over the
// whole range.
func (f *fraction) judge(b bounds) judgement {
	if f.den[prey.Typical] == (wide.U128{}) {
		return judgement{Open, Open, Within, NothingToJudge}
	}
	if f.of > 0 && !(enough(f.numKnown, f.of) && enough(f.denKnown, f.of)) {
		return judgement{Open, Open, Within, LittleKnown}
	}
	num, den := f.num[prey.Typical], f.den[prey.Typical]
	if f.partial() {
		num, den = f.filled()
	}
	j := judgement{verdict: Met}
	if j.side = side(num, den, f.scale, b); j.side != Within {
		j.verdict = Missed
	}
	j.whole = f.range_(b)
	return j
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

// range_ is the verdict over all cases. What is not known can only add: with
// the whole divisor known the figure is a floor of the true one, with the whole
// dividend known it is a ceiling.
func (f *fraction) range_(b bounds) Verdict {
	floor, ceiling := f.floor(), f.ceiling()
	out := Met
	if b.hasLow {
		out = worse(out, f.bound(func(c int) bool { return cmpBound(f.num[c], f.den[c], f.scale, b.low) >= 0 }, floor, ceiling))
	}
	if b.hasHigh {
		out = worse(out, f.bound(func(c int) bool { return cmpBound(f.num[c], f.den[c], f.scale, b.high) <= 0 }, ceiling, floor))
	}
	return out
}

// floor reports whether the true figure is at least the sum.
func (f *fraction) floor() bool { return f.of == 0 || f.denKnown == f.of }

// ceiling reports whether the true figure is at most the sum.
func (f *fraction) ceiling() bool { return (f.of == 0 || f.numKnown == f.of) && !f.numMore }

// bound tells whether one bound holds in all cases (if that may be trusted), in
// none (likewise), or neither.
func (f *fraction) bound(holds func(c int) bool, trustMet, trustMissed bool) Verdict {
	met := 0
	for c := range f.num {
		if f.den[c] == (wide.U128{}) {
			return Open
		}
		if holds(c) {
			met++
		}
	}
	switch {
	case met == prey.NumCases && trustMet:
		return Met
	case met == 0 && trustMissed:
		return Missed
	}
	return Open
}

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
		v, _ = v.MulDiv(p.w, 1)
	}
	if r.den == p.total {
		r.num, _ = r.num.Add(v)
		return
	}
	if wide.Mul(r.den, p.total).Hi == 0 {
		a, ok1 := r.num.MulDiv(p.total, 1)
		b, ok2 := v.MulDiv(r.den, 1)
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
