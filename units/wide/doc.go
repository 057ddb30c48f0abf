// Package wide is exact unsigned arithmetic in 128 bits, for verdicts.
//
// Whether a part is more than 15 % of a whole is decided by comparing part × 100
// with whole × 15. Masses are 63-bit numbers, so the products need more than 64
// bits; with them no division and no rounding comes between the figures and the
// verdict. A product of two uint64 always fits a U128. CmpMul compares two
// products of 192 bits, for ratios whose sides are sums of products already.
//
// Nothing wraps around in silence: what does not fit is reported by false, and
// the number beside it is then 0. Nothing panics. All functions are pure.
//
// The package knows no units and no signs. Negative quantities are the caller's
// to refuse, before they are converted to uint64.
package wide
