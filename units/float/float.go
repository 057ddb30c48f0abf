// Package float holds the few functions of float64 that estimates need, with
// the same result, to the last bit, on every processor. Those of package math
// are written in assembly on some, and a compiler may fuse x*y + z into one
// operation that rounds once instead of twice: two machines would then plan two
// different weeks.
//
// In all packages a product that could reach a sum is therefore rounded by a
// conversion, float64(x*y) + z, which the language does not let a compiler fuse
// (the Go Programming Language Specification, "Floating-point operators"), and
// of package math only those functions are used whose result is fixed to the
// last bit, such as Floor and Sqrt. A test of this package reads all others and
// reports what departs from that.
package float

import "math"

// The natural logarithm of 2, as a float64 whose last 21 bits are zero, so that
// its products with whole numbers below 2^21 are exact, and what is left.
const (
	ln2     = math.Ln2
	ln2High = 2977044471.0 / (1 << 32)
	ln2Low  = math.Ln2 - ln2High
)

// Exp returns e to the power of x with a relative error below 1e-15; 0 or
// infinity where that is out of range, and NaN for NaN.
func Exp(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x > 710:
		return math.Inf(1)
	case x < -746:
		return 0
	}
	// x = n ln 2 + r with r of at most 0.35, and e^r by its power series.
	n := math.Round(x / ln2)
	r := x - float64(n*ln2High) - float64(n*ln2Low)
	sum := 1.0
	for i := 16.0; i >= 1; i-- {
		sum = 1 + float64(sum*r)/i
	}
	return math.Ldexp(sum, int(n))
}

// Log returns the natural logarithm of x with an error below 1e-15, relative or
// absolute, whichever is larger; NaN for a negative x, minus infinity for 0.
func Log(x float64) float64 {
	switch {
	case math.IsNaN(x) || x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	case math.IsInf(x, 1):
		return x
	}
	// x = 2^n m with m from 0.71 to 1.41, and ln m = 2 artanh((m-1)/(m+1)) by
	// its power series.
	m, n := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, n = 2*m, n-1
	}
	s := (m - 1) / (m + 1)
	sum := 0.0
	for i := 23.0; i >= 1; i -= 2 {
		sum = 1/i + float64(sum*s*s)
	}
	return float64(float64(n)*ln2High) + (float64(float64(n)*ln2Low) + 2*float64(s*sum))
}

// Pow returns x to the power of y for an x above 0, with a relative error below
// 1e-15 times max(1, |y ln x|); NaN for any other x.
func Pow(x, y float64) float64 {
	if !(x > 0) {
		return math.NaN()
	}
	return Exp(float64(y * Log(x)))
}
