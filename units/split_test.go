package units_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"fitchet.example/units"
)

// Source hamilton-1790: encyclopaedic article on voting methods, revision 9372,
// Hamilton's method worked on the United States census of 1790, 60 seats.
func TestSplitCensus1790(t *testing.T) {
	states := []struct {
		name       string
		population int64
		seats      int64
	}{
		{"Virginia", 630560, 11}, {"Massachusetts", 475327, 8}, {"Pennsylvania", 432879, 7},
		{"North Carolina", 353523, 6}, {"New York", 331589, 6}, {"Maryland", 278514, 5},
		{"Connecticut", 236841, 4}, {"South Carolina", 206236, 3}, {"New Jersey", 179570, 3},
		{"New Hampshire", 141822, 2}, {"Vermont", 85533, 1}, {"Georgia", 70835, 1},
		{"Kentucky", 68705, 1}, {"Rhode Island", 68446, 1}, {"Delaware", 55540, 1},
	}
	var weights []int64
	for _, s := range states {
		weights = append(weights, s.population)
	}
	got, err := units.Split(60, weights)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range states {
		if got[i] != s.seats {
			t.Errorf("%s: got %d seats, want %d", s.name, got[i], s.seats)
		}
	}
}

// regression (ours): quotas and largest remainders worked by hand.
func TestSplit(t *testing.T) {
	for _, c := range []struct {
		name    string
		total   int64
		weights []int64
		want    []int64
	}{
		{"50/30/20 into 7: quotas 3.5, 2.1, 1.4", 7, []int64{50, 30, 20}, []int64{4, 2, 1}},
		{"37 g at 70/10/5/5/10, where rounding each gives 38: 25.9, 3.7, 1.85, 1.85, 3.7; the tie at 0.7 goes to the first",
			37, []int64{70, 10, 5, 5, 10}, []int64{26, 4, 2, 2, 3}},
		{"45 g, where half up gives 46 and half to even 44: 31.5, 4.5, 2.25, 2.25, 4.5",
			45, []int64{70, 10, 5, 5, 10}, []int64{32, 5, 2, 2, 4}},
		{"251 at 0.001/0.001/0.998, where rounding each loses one: 0.251, 0.251, 250.498",
			251, []int64{1, 1, 998}, []int64{0, 0, 251}},
		{"equal weights, two left over", 5, []int64{1, 1, 1}, []int64{2, 2, 1}},
		{"nothing to split", 0, []int64{3, 4}, []int64{0, 0}},
		{"a zero weight gets nothing", 5, []int64{0, 1, 0, 1, 0}, []int64{0, 3, 0, 2, 0}},
		{"one weight", 9, []int64{math.MaxInt64}, []int64{9}},
		{"the largest numbers", math.MaxInt64, []int64{math.MaxInt64 / 2, math.MaxInt64 / 2}, []int64{math.MaxInt64/2 + 1, math.MaxInt64 / 2}},
		{"a tiny weight beside a huge one", math.MaxInt64, []int64{1, math.MaxInt64 - 1}, []int64{1, math.MaxInt64 - 1}},
	} {
		got, err := units.Split(c.total, c.weights)
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

func TestSplitErrors(t *testing.T) {
	for _, c := range []struct {
		total   int64
		weights []int64
		want    error
	}{
		{-1, []int64{1}, units.ErrNegative},
		{5, []int64{1, -1}, units.ErrNegative},
		{5, nil, units.ErrWeights},
		{5, []int64{0, 0}, units.ErrWeights},
		{0, nil, units.ErrWeights},
		{5, []int64{math.MaxInt64, 1}, units.ErrOverflow},
		{5, []int64{math.MaxInt64, math.MaxInt64, math.MaxInt64}, units.ErrOverflow},
		{5, []int64{math.MinInt64}, units.ErrNegative},
	} {
		if got, err := units.Split(c.total, c.weights); !errors.Is(err, c.want) || got != nil {
			t.Errorf("Split(%d, %v) = %v, %v; want %v", c.total, c.weights, got, err, c.want)
		}
	}
}

func TestSplitMass(t *testing.T) {
	got, err := units.SplitMass(37*units.Gram, units.Gram, []int64{70, 10, 5, 5, 10})
	want := []units.Mass{26 * units.Gram, 4 * units.Gram, 2 * units.Gram, 2 * units.Gram, 3 * units.Gram}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v; want %v", got, err, want)
	}
	for _, c := range []struct {
		total, grain units.Mass
		weights      []int64
		want         error
	}{
		{units.Ounce, units.Gram, []int64{1}, units.ErrTooFine},
		{units.Gram, 0, []int64{1}, units.ErrRange},
		{units.Gram, -units.Gram, []int64{1}, units.ErrRange},
		{-units.Gram, units.Gram, []int64{1}, units.ErrNegative},
		{units.Gram, units.Gram, nil, units.ErrWeights},
	} {
		if got, err := units.SplitMass(c.total, c.grain, c.weights); !errors.Is(err, c.want) || got != nil {
			t.Errorf("SplitMass(%s, %s, %v) = %v, %v; want %v", c.total, c.grain, c.weights, got, err, c.want)
		}
	}
}

// The weights belong to the caller.
func TestSplitLeavesWeights(t *testing.T) {
	weights := []int64{1, 3, 2}
	if _, err := units.Split(10, weights); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(weights, []int64{1, 3, 2}) {
		t.Errorf("the weights became %v", weights)
	}
}

func BenchmarkSplit(b *testing.B) {
	weights := []int64{700, 100, 50, 50, 100, 37, 12}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := units.Split(1234, weights); err != nil {
			b.Fatal(err)
		}
	}
}
