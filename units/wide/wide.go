package wide

import (
	"cmp"
	"math/big"
	"math/bits"
)

// U128 is an unsigned 128-bit integer, Hi × 2^64 + Lo. It compares with ==; the
// zero value is 0.
type U128 struct{ Hi, Lo uint64 }

// Mul gives a × b, which always fits.
func Mul(a, b uint64) U128 {
	hi, lo := bits.Mul64(a, b)
	return U128{hi, lo}
}

// Add gives a + b, and false (with 0) when that needs more than 128 bits.
func (a U128) Add(b U128) (U128, bool) {
	lo, carry := bits.Add64(a.Lo, b.Lo, 0)
	hi, carry := bits.Add64(a.Hi, b.Hi, carry)
	if carry != 0 {
		return U128{}, false
	}
	return U128{hi, lo}, true
}

// AddMul gives a + x × y, and false (with 0) when that needs more than 128 bits.
func (a U128) AddMul(x, y uint64) (U128, bool) { return a.Add(Mul(x, y)) }

// Sub gives a - b, and false (with 0) when b is larger than a.
func (a U128) Sub(b U128) (U128, bool) {
	lo, borrow := bits.Sub64(a.Lo, b.Lo, 0)
	hi, borrow := bits.Sub64(a.Hi, b.Hi, borrow)
	if borrow != 0 {
		return U128{}, false
	}
	return U128{hi, lo}, true
}

// Cmp gives -1, 0 or +1 as a is below, equal to or above b.
func (a U128) Cmp(b U128) int {
	if a.Hi != b.Hi {
		return cmp.Compare(a.Hi, b.Hi)
	}
	return cmp.Compare(a.Lo, b.Lo)
}

// CmpMul gives the sign of a × x - b × y, exactly: with it a/b is compared to
// y/x without dividing. The products have 192 bits, so nothing overflows.
func CmpMul(a U128, x uint64, b U128, y uint64) int {
	p2, p1, p0 := a.mul(x)
	q2, q1, q0 := b.mul(y)
	switch {
	case p2 != q2:
		return cmp.Compare(p2, q2)
	case p1 != q1:
		return cmp.Compare(p1, q1)
	}
	return cmp.Compare(p0, q0)
}

// mul gives a × x in three words, the highest first.
func (a U128) mul(x uint64) (high, mid, low uint64) {
	lowHi, low := bits.Mul64(a.Lo, x)
	high, midLo := bits.Mul64(a.Hi, x)
	mid, carry := bits.Add64(lowHi, midLo, 0)
	return high + carry, mid, low
}

// Times gives a × x, and false (with 0) when that needs more than 128 bits.
func (a U128) Times(x uint64) (U128, bool) {
	high, mid, low := a.mul(x)
	if high != 0 {
		return U128{}, false
	}
	return U128{mid, low}, true
}

// MulDiv gives a × x / y rounded down, with the whole product kept in between.
// It gives false (with 0) when y is 0 or the result needs more than 128 bits.
func (a U128) MulDiv(x, y uint64) (U128, bool) {
	high, mid, low := a.mul(x)
	if high >= y { // also when y is 0
		return U128{}, false
	}
	hi, rem := bits.Div64(high, mid, y)
	lo, _ := bits.Div64(rem, low, y)
	return U128{hi, lo}, true
}

// Big gives the value as a new big.Int.
func (a U128) Big() *big.Int {
	b := new(big.Int).SetUint64(a.Hi)
	return b.Lsh(b, 64).Or(b, new(big.Int).SetUint64(a.Lo))
}

// String writes the value in decimal digits.
func (a U128) String() string { return a.Big().String() }
