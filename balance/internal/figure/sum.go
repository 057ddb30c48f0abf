package figure

import (
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Sum is a sum of parts of things, kept exactly: Num/Den.
type Sum struct {
	Num wide.U128
	Den uint64
}

// Add counts v x W / Total. Should the common divisor outgrow 64 bits, which
// takes several bowls that are shared by several animals each in its own way,
// the sum is cut to a millionth of a unit and goes on from there.
func (r *Sum) Add(v wide.U128, p Part) {
	r.Den = max(r.Den, 1)
	if p.W != 1 {
		v, _ = v.Times(p.W)
	}
	if r.Den == p.Total {
		r.Num, _ = r.Num.Add(v)
		return
	}
	if wide.Mul(r.Den, p.Total).Hi == 0 {
		a, ok1 := r.Num.Times(p.Total)
		b, ok2 := v.Times(r.Den)
		if sum, ok3 := a.Add(b); ok1 && ok2 && ok3 {
			r.Num, r.Den = sum, r.Den*p.Total
			return
		}
	}
	const step = 1_000_000
	a, _ := r.Num.MulDiv(step, r.Den)
	b, _ := v.MulDiv(step, max(p.Total, 1))
	sum, _ := a.Add(b)
	r.Num, r.Den = sum, step
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Part is W of Total, in lowest terms.
type Part struct{ W, Total uint64 }

// NewPart is w of total.
func NewPart(w, total uint64) Part {
	if g := gcd(w, total); g > 1 {
		w, total = w/g, total/g
	}
	return Part{w, total}
}

// Share is part/whole in millionths, rounded down, for display.
func Share(part, whole wide.U128) units.Share {
	for whole.Hi != 0 {
		part, whole = half(part), half(whole)
	}
	q, ok := part.MulDiv(uint64(units.Whole), whole.Lo)
	if !ok {
		return 0
	}
	return units.Share(q.Lo)
}

func half(a wide.U128) wide.U128 { return wide.U128{Hi: a.Hi >> 1, Lo: a.Lo>>1 | a.Hi<<63} }
