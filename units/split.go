package units

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
)

// Split divides total into whole parts in proportion to the weights, by the
// method of the largest remainder (Hamilton): every part first gets its quota
// rounded down, and the units left over go one each to the largest remainders.
// Equal remainders are served from the lower index up.
//
// The parts sum to total exactly, each is its quota rounded down or up, and a
// weight of zero gets nothing. Errors: ErrWeights when there is no weight above
// zero, ErrNegative for a negative total or weight, ErrOverflow when the
// weights together exceed the largest int64.
func Split(total int64, weights []int64) ([]int64, error) {
	if total < 0 {
		return nil, fmt.Errorf("splitting %d: %w", total, ErrNegative)
	}
	var sum int64
	for i, w := range weights {
		if w < 0 {
			return nil, fmt.Errorf("splitting %d by weight %d (number %d): %w", total, w, i, ErrNegative)
		}
		if sum += w; sum < 0 {
			return nil, fmt.Errorf("splitting %d, sum of the weights: %w", total, ErrOverflow)
		}
	}
	if sum == 0 {
		return nil, fmt.Errorf("splitting %d: %w", total, ErrWeights)
	}

	type claim struct {
		index     int
		remainder uint64
	}
	parts := make([]int64, len(weights))
	claims := make([]claim, len(weights))
	left := total
	for i, w := range weights {
		// The quotient fits: w ≤ sum, so it is at most total.
		hi, lo := bits.Mul64(uint64(total), uint64(w))
		q, r := bits.Div64(hi, lo, uint64(sum))
		parts[i], claims[i] = int64(q), claim{i, r}
		left -= int64(q)
	}
	if left == 0 {
		return parts, nil
	}
	slices.SortFunc(claims, func(a, b claim) int {
		return cmp.Or(cmp.Compare(b.remainder, a.remainder), cmp.Compare(a.index, b.index))
	})
	for _, c := range claims[:left] {
		parts[c.index]++
	}
	return parts, nil
}

// SplitMass divides total as Split does, into whole grains: whole grams with a
// grain of Gram, whole pieces with the mass of a piece. Errors: those of Split,
// ErrRange for a grain of zero or less, ErrTooFine when total is not a whole
// number of grains.
func SplitMass(total, grain Mass, weights []int64) ([]Mass, error) {
	if grain <= 0 {
		return nil, fmt.Errorf("splitting %s into grains of %s: %w", total, grain, ErrRange)
	}
	if total%grain != 0 {
		return nil, fmt.Errorf("splitting %s into grains of %s: %w", total, grain, ErrTooFine)
	}
	counts, err := Split(int64(total/grain), weights)
	if err != nil {
		return nil, fmt.Errorf("splitting %s into grains of %s: %w", total, grain, err)
	}
	parts := make([]Mass, len(counts))
	for i, n := range counts {
		parts[i] = Mass(n) * grain // at most total
	}
	return parts, nil
}
