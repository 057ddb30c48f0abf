package units_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"fitchet.example/units"
)

// weightsGen gives one to twelve weights, some of them equal or zero, whose sum
// fits: each is at most a twelfth of the largest int64.
func weightsGen() *rapid.Generator[[]int64] {
	return rapid.Custom(func(t *rapid.T) []int64 {
		limit := rapid.SampledFrom([]int64{3, 100, 1_000_000, math.MaxInt64 / 12}).Draw(t, "limit")
		weights := rapid.SliceOfN(rapid.Int64Range(0, limit), 1, 12).Draw(t, "weights")
		weights[rapid.IntRange(0, len(weights)-1).Draw(t, "positive")] |= 1
		return weights
	})
}

// The laws of the largest remainder, checked with big integers: the parts sum to
// the total, each is its quota rounded down or up, and whoever was rounded up
// has a remainder not below (and on a tie an index below) whoever was not.
func TestSplitLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights := weightsGen().Draw(t, "w")
		total := rapid.OneOf(rapid.Int64Range(0, 50), rapid.Int64Range(0, math.MaxInt64)).Draw(t, "total")
		parts, err := units.Split(total, weights)
		if err != nil {
			t.Fatal(err)
		}
		sum, all := new(big.Int), new(big.Int)
		for _, w := range weights {
			all.Add(all, big.NewInt(w))
		}
		remainders := make([]*big.Int, len(parts))
		up := make([]bool, len(parts))
		for i, p := range parts {
			sum.Add(sum, big.NewInt(p))
			floor, rem := new(big.Int).QuoRem(new(big.Int).Mul(big.NewInt(total), big.NewInt(weights[i])), all, new(big.Int))
			remainders[i] = rem
			switch d := p - floor.Int64(); {
			case d == 1 && rem.Sign() != 0:
				up[i] = true
			case d != 0:
				t.Fatalf("part %d is %d, its quota %s and %s/%s", i, p, floor, rem, all)
			}
		}
		if sum.Cmp(big.NewInt(total)) != 0 {
			t.Fatalf("parts %v sum to %s, not %d", parts, sum, total)
		}
		for i := range parts {
			for j := range parts {
				if !up[i] || up[j] {
					continue
				}
				if c := remainders[i].Cmp(remainders[j]); c < 0 || c == 0 && i > j {
					t.Fatalf("part %d was rounded up before part %d: remainders %s, %s", i, j, remainders[i], remainders[j])
				}
			}
		}
	})
}

// Multiplying all weights by one number changes nothing, and a weight of zero
// may come or go.
func TestSplitScaleAndZero(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights := rapid.SliceOfN(rapid.Int64Range(1, 1000), 1, 10).Draw(t, "weights")
		total := rapid.Int64Range(0, 5000).Draw(t, "total")
		k := rapid.Int64Range(1, 1_000_000).Draw(t, "k")
		at := rapid.IntRange(0, len(weights)).Draw(t, "at")
		parts, err := units.Split(total, weights)
		if err != nil {
			t.Fatal(err)
		}
		scaled := make([]int64, 0, len(weights)+1)
		for _, w := range weights {
			scaled = append(scaled, k*w)
		}
		scaled = append(scaled[:at], append([]int64{0}, scaled[at:]...)...)
		again, err := units.Split(total, scaled)
		if err != nil {
			t.Fatal(err)
		}
		if again[at] != 0 {
			t.Fatalf("a weight of zero got %d", again[at])
		}
		for i, p := range append(again[:at:at], again[at+1:]...) {
			if p != parts[i] {
				t.Fatalf("%v became %v when scaled by %d", parts, again, k)
			}
		}
	})
}

// Giving the weights in another order gives the same parts to the same weights,
// except that weights whose remainders tie may swap their last unit.
func TestSplitOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights := weightsGen().Draw(t, "w")
		total := rapid.Int64Range(0, 1000).Draw(t, "total")
		order := rapid.Permutation(indices(len(weights))).Draw(t, "order")
		shuffled := make([]int64, len(weights))
		for to, from := range order {
			shuffled[to] = weights[from]
		}
		a, errA := units.Split(total, weights)
		b, errB := units.Split(total, shuffled)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		for to, from := range order {
			if d := a[from] - b[to]; d < -1 || d > 1 {
				t.Fatalf("weight %d got %d and then %d", weights[from], a[from], b[to])
			}
		}
		got, want := map[[2]int64]int{}, map[[2]int64]int{}
		for i := range a {
			want[[2]int64{weights[i], a[i]}]++
			got[[2]int64{shuffled[i], b[i]}]++
		}
		if !tied(total, weights) && !equalCounts(got, want) {
			t.Fatalf("%v got %v, in another order %v got %v", weights, a, shuffled, b)
		}
	})
}

func indices(n int) []int {
	is := make([]int, n)
	for i := range is {
		is[i] = i
	}
	return is
}

// tied reports whether two different weights have the same remainder.
func tied(total int64, weights []int64) bool {
	all := new(big.Int)
	for _, w := range weights {
		all.Add(all, big.NewInt(w))
	}
	seen := map[string]int64{}
	for _, w := range weights {
		r := new(big.Int).Mul(big.NewInt(total), big.NewInt(w))
		key := r.Mod(r, all).String()
		if old, ok := seen[key]; ok && old != w {
			return true
		}
		seen[key] = w
	}
	return false
}

func equalCounts(a, b map[[2]int64]int) bool {
	for k, n := range a {
		if b[k] != n {
			return false
		}
	}
	return len(a) == len(b)
}

// roundTrip checks a value through String and Parse, and through its text form.
func roundTrip[T interface {
	comparable
	String() string
	MarshalText() ([]byte, error)
}](t *rapid.T, v T, parse func(string) (T, error)) {
	back, err := parse(v.String())
	if err != nil || back != v {
		t.Fatalf("%s reads as %s, %v", v, back, err)
	}
	text, err := v.MarshalText()
	if err != nil || string(text) != v.String() {
		t.Fatalf("%s marshals as %q, %v", v, text, err)
	}
}

func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		steps := rapid.Int64Range(0, math.MaxInt64)
		roundTrip(t, units.Mass(steps.Draw(t, "mass")), units.ParseMass)
		roundTrip(t, units.Share(steps.Draw(t, "share")), units.ParseShare)
		roundTrip(t, units.Volume(steps.Draw(t, "volume")), units.ParseVolume)
		roundTrip(t, units.Energy(steps.Draw(t, "energy")), units.ParseEnergy)
		roundTrip(t, units.Temperature(rapid.Int64Range(int64(units.AbsoluteZero), int64(units.MaxTemperature)).
			Draw(t, "temperature")), units.ParseTemperature)
		roundTrip(t, units.Date(rapid.Int32Range(-719162, 2932896).Draw(t, "date")), units.ParseDate)
		price, err := units.NewPrice(decimal.New(steps.Draw(t, "price"), -6), rapid.StringMatching(`[A-Z]{3}`).Draw(t, "currency"))
		if err != nil {
			t.Fatal(err)
		}
		roundTrip(t, price, units.ParsePrice)
	})
}

// Whole ounces and sixteenths of a pound are the same mass however written.
func TestPoundsAndOunces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lb := rapid.Int64Range(0, 20_000).Draw(t, "lb")
		oz := rapid.Int64Range(0, 15).Draw(t, "oz")
		got, err := units.ParseMass(big.NewInt(lb).String() + " lb " + big.NewInt(oz).String() + " oz")
		if err != nil || got != units.Mass(16*lb+oz)*units.Ounce {
			t.Fatalf("%d lb %d oz = %d, %v", lb, oz, got, err)
		}
	})
}

// What is printed for people is never further from the value than half a place,
// and an exact half goes away from zero.
func TestRoundingIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := units.Mass(rapid.Int64().Draw(t, "mass"))
		places := rapid.Int32Range(0, 9).Draw(t, "places")
		for _, c := range []struct {
			text string
			unit units.Mass
			name string
		}{{m.InGrams(places), units.Gram, " g"}, {m.InOunces(places), units.Ounce, " oz"}} {
			value := new(big.Rat).SetFrac(big.NewInt(int64(m)), big.NewInt(int64(c.unit)))
			// big.Rat rounds an exact half away from zero.
			want := value.FloatString(int(places))
			if zero, ok := new(big.Rat).SetString(want); ok && zero.Sign() == 0 && want[0] == '-' {
				want = want[1:]
			}
			if c.text != want+c.name {
				t.Fatalf("%d pg: got %s, want %s%s", m, c.text, want, c.name)
			}
		}
	})
}

// The calendar against the count of days by the usual formula: a year starting
// in March, 400-year cycles of 146 097 days.
func TestDateAgainstDayCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := units.Date(rapid.Int32Range(-719162, 2932896).Draw(t, "date"))
		s := d.String()
		num := func(s string) int64 {
			n, _ := new(big.Int).SetString(s, 10)
			return n.Int64()
		}
		y, m, day := num(s[:4]), num(s[5:7]), num(s[8:])
		if m <= 2 {
			y, m = y-1, m+12
		}
		count := 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + day - 1 - 719468
		if count != int64(d) {
			t.Fatalf("%s is day %d, counted %d", s, d, count)
		}
		if got := int(d.Weekday()); got != int(((int64(d)+4)%7+7)%7) {
			t.Fatalf("%s is a %s", s, d.Weekday())
		}
	})
}
