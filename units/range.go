package units

import "cmp"

// Range is a figure on which sources disagree or that varies: the lowest, the
// usual and the highest value. It is only a container: arithmetic on it belongs
// to whoever knows which ends go together.
type Range[T cmp.Ordered] struct{ Low, Typical, High T }

// Exactly gives the range that is one value.
func Exactly[T cmp.Ordered](v T) Range[T] { return Range[T]{v, v, v} }

// Valid reports whether Low ≤ Typical ≤ High. A NaN is never valid.
func (r Range[T]) Valid() bool { return r.Low <= r.Typical && r.Typical <= r.High }

// IsPoint reports whether the range is one value.
func (r Range[T]) IsPoint() bool { return r.Low == r.Typical && r.Typical == r.High }

// Contains reports whether Low ≤ v ≤ High; both ends belong to the range.
func (r Range[T]) Contains(v T) bool { return r.Low <= v && v <= r.High }
