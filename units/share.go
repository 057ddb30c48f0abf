package units

import (
	"math"
	"math/bits"

	"github.com/shopspring/decimal"
)

// Share is a part of a whole in millionths: one step is 0.0001 %. A share may
// exceed Whole ("150 %" of a need); where that makes no sense the caller checks.
type Share int64

// Whole is 100 %.
const Whole Share = 1_000_000

// onePercent is the number of steps in one percent.
const onePercent = 10_000

// ParseShare reads a percentage: "38 %", "0.5 %", "38%". Fractions and bare
// numbers are refused, so that 0.38 can never be taken for 0.38 %.
//
// The error is a *ParseError around ErrSyntax, ErrNoUnit, ErrUnit, ErrNegative,
// ErrTooFine (more than four decimals), ErrTooLong or ErrOverflow.
func ParseShare(s string) (Share, error) {
	k := kind{name: "share", units: "%", steps: "per cent are held to four decimals"}
	return parse(k, s, func(name string) Share {
		if name == "%" {
			return onePercent
		}
		return 0
	})
}

// ShareOf gives part/whole for display, rounded half up to a millionth (away
// from zero for a negative part). It never decides a verdict: compare masses by
// cross-multiplication for that (package wide). A whole of zero or less has no
// shares and gives 0; a result beyond the type is held at its end.
func ShareOf(part, whole Mass) Share {
	if whole <= 0 {
		return 0
	}
	w := uint64(whole)
	hi, lo := bits.Mul64(magnitude(int64(part)), uint64(Whole))
	q := uint64(math.MaxInt64)
	if hi < w {
		var r uint64
		q, r = bits.Div64(hi, lo, w)
		if r >= w-r {
			q++
		}
		q = min(q, math.MaxInt64)
	}
	if part < 0 {
		return -Share(q)
	}
	return Share(q)
}

// Percent gives the exact percentage: 38 for "38 %".
func (s Share) Percent() decimal.Decimal { return decimal.New(int64(s), -4) }

// String writes the exact percentage: "38 %", "0.5 %". ParseShare reads it back.
func (s Share) String() string { return exactText(int64(s), 4) + " %" }

// InPercent writes the percentage with that many decimals (0 to 4, others are
// held to the nearest of these), an exact half rounded up: "38 %".
func (s Share) InPercent(places int32) string {
	return roundedText(int64(s), onePercent, places, 4) + " %"
}

// MarshalText writes what String writes; a negative share is ErrNegative.
func (s Share) MarshalText() ([]byte, error) { return marshal("share", int64(s), s.String()) }

// UnmarshalText reads what ParseShare reads.
func (s *Share) UnmarshalText(text []byte) error { return unmarshal(s, text, ParseShare) }
