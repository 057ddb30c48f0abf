package prey

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"fitchet.example/units"
	"fitchet.example/units/wide"
	"pgregory.net/rapid"
)

// serving draws a food of the tiny catalogue and up to a kilogram of it.
func servings(c *Catalogue) *rapid.Generator[[]serving] {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) serving {
		return serving{
			food: rapid.SampledFrom(c.All()).Draw(t, "food"),
			mass: units.Mass(rapid.Int64Range(0, int64(units.Kilogram)).Draw(t, "picograms")),
		}
	}), 1, 12)
}

type serving struct {
	food *Food
	mass units.Mass
}

func tally(t fatal, list []serving) *Tally {
	var sum Tally
	for _, s := range list {
		if err := sum.Add(s.food, s.mass); err != nil {
			t.Fatalf("%v", err)
		}
	}
	return &sum
}

type fatal interface{ Fatalf(string, ...any) }

// values are the sums of a tally as people can ask for them.
func values(s *Tally) map[string]string {
	out := map[string]string{"mass": s.Mass().String(), "parts known": s.PartsKnownMass().String(), "bone-in": s.BoneInMeat().String()}
	put := func(name string, sum wide.U128, known units.Mass) {
		out[name] = sum.String() + " of " + known.String()
	}
	for _, c := range Cases() {
		for _, p := range Parts() {
			out[c.String()+" "+p.String()] = s.Part(c, p).String()
		}
		for _, n := range Nutrients() {
			sum, known := s.Nutrient(c, n)
			put(c.String()+" "+n.Key(), sum, known)
		}
		for m := range EnergyMethod(NumEnergyMethods) {
			sum, known := s.EnergyBy(m, c)
			put(c.String()+" "+m.Key(), sum, known)
		}
		sum, known := s.Energy(c)
		put(c.String()+" energy", sum, known)
	}
	return out
}

func same(t *rapid.T, what string, a, b *Tally) {
	va, vb := values(a), values(b)
	for name := range va {
		if va[name] != vb[name] {
			t.Fatalf("%s: %s is %s and %s", what, name, va[name], vb[name])
		}
	}
}

func TestTally_orderDoesNotMatter(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		list := servings(c).Draw(t, "servings")
		same(t, "another order", tally(t, list), tally(t, rapid.Permutation(list).Draw(t, "order")))
	})
}

func TestTally_splitServingIsTheWhole(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		list := servings(c).Draw(t, "servings")
		var split []serving
		for _, s := range list {
			part := units.Mass(rapid.Int64Range(0, int64(s.mass)).Draw(t, "part"))
			split = append(split, serving{s.food, part}, serving{s.food, s.mass - part})
		}
		same(t, "servings split in two", tally(t, list), tally(t, split))
	})
}

func TestTally_daysMakeTheWeek(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		var week []serving
		var sum Tally
		for range 7 {
			day := servings(c).Draw(t, "day")
			week = append(week, day...)
			if err := sum.AddTally(tally(t, day)); err != nil {
				t.Fatalf("%v", err)
			}
		}
		same(t, "sum of days", tally(t, week), &sum)
	})
}

func TestTally_doublingLeavesSharesAlone(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		list := servings(c).Draw(t, "servings")
		once := tally(t, list)
		twice := tally(t, append(list, list...))
		other := *once
		if err := other.AddTally(&other); err != nil { // a tally may be added to itself
			t.Fatalf("%v", err)
		}
		same(t, "added to itself", twice, &other)
		for _, k := range Cases() {
			for _, p := range Parts() {
				// Exactly: part/known == part2/known2, by cross-multiplication.
				if wide.CmpMul(once.Part(k, p), uint64(twice.PartsKnownMass()), twice.Part(k, p), uint64(once.PartsKnownMass())) != 0 {
					t.Fatalf("%s at %s moved", p, k)
				}
				if once.Share(k, p) != twice.Share(k, p) {
					t.Fatalf("shown share of %s at %s moved", p, k)
				}
			}
		}
	})
}

func TestTally_partsMakeTheWhole(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		s := tally(t, servings(c).Draw(t, "servings"))
		for _, k := range Cases() {
			var sum wide.U128
			for _, p := range Parts() {
				sum, _ = sum.Add(s.Part(k, p))
			}
			if sum != wide.Mul(uint64(s.PartsKnownMass()), uint64(units.Whole)) {
				t.Fatalf("parts at %s make %s", k, sum)
			}
		}
	})
}

// The oracle is math/big.Rat over the figures that Food gives out.
func TestTally_againstRationals(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		list := servings(c).Draw(t, "servings")
		s := tally(t, list)
		for _, k := range Cases() {
			for _, n := range Nutrients() {
				want, known := new(big.Rat), units.Mass(0)
				for _, sv := range list {
					if fig, ok := sv.food.Nutrient(n); ok {
						known += sv.mass
						x := new(big.Rat).SetInt64(int64(sv.mass))
						want.Add(want, x.Mul(x, fig.At[k].Decimal().Rat()))
					}
				}
				sum, gotKnown := s.Nutrient(k, n)
				got := new(big.Rat).SetFrac(sum.Big(), big.NewInt(int64(DensityUnit)))
				if got.Cmp(want) != 0 || gotKnown != known {
					t.Fatalf("%s at %s: %s of %s, want %s of %s", n, k, got, gotKnown, want, known)
				}
			}
		}
	})
}

func TestTally_errors(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	liver := find(t, c, "liver")
	short := *liver
	short.Shares[Typical][Liver]--
	crooked := *liver
	crooked.Shares[Typical][Muscle] = 1
	for _, tc := range []struct {
		name string
		food *Food
		mass units.Mass
		want error
	}{
		{"no food", nil, units.Gram, ErrFood},
		{"negative mass", liver, -1, ErrMass},
		{"beyond an int64 in all", liver, math.MaxInt64, ErrMass},
		{"parts over the whole", &crooked, units.Gram, ErrFood},
		{"parts under the whole", &short, units.Gram, ErrFood},
		{"hand-made, nothing known", &Food{ID: "x"}, units.Gram, nil},
	} {
		var s Tally
		if err := s.Add(liver, units.Gram); err != nil {
			t.Fatal(err)
		}
		before := s
		err := s.Add(tc.food, tc.mass)
		if !errors.Is(err, tc.want) || err != nil && s != before {
			t.Errorf("%s: %v, changed %v", tc.name, err, s != before)
		}
	}
	var full, more Tally
	if err := errors.Join(full.Add(liver, math.MaxInt64), more.Add(liver, 1)); err != nil {
		t.Fatal(err)
	}
	before := full
	if err := full.AddTally(&more); !errors.Is(err, ErrMass) || full != before {
		t.Errorf("adding a tally to a full one: %v", err)
	}
	if err := full.AddTally(nil); err != nil {
		t.Error(err)
	}
}

// The heaviest mixture of the densest food stays exact.
func TestTally_largest(t *testing.T) {
	t.Parallel()
	f := &Food{ID: "dense", Kind: Supplement}
	var s sheet
	s.nutrients[VitaminA] = given{set: true, basis: whole, at: [NumCases]Density{math.MaxInt64 - 2, math.MaxInt64 - 1, math.MaxInt64}}
	f.facts = settle(f, &s, nil)
	var sum Tally
	for range 2 {
		if err := sum.Add(f, math.MaxInt64/2); err != nil {
			t.Fatal(err)
		}
	}
	got, known := sum.Nutrient(MostBone, VitaminA)
	want := new(big.Int).Mul(big.NewInt(math.MaxInt64-1), big.NewInt(math.MaxInt64))
	if got.Big().Cmp(want) != 0 || known != math.MaxInt64-1 {
		t.Errorf("%s of %d, want %s", got, known, want)
	}
	if Amount(got) != math.MaxInt64 {
		t.Error("an amount beyond the type is held at its end")
	}
}

// Amounts, masses and shares for people round half up.
func TestTally_rounding(t *testing.T) {
	t.Parallel()
	hundredGrams := uint64(100 * units.Gram)
	for _, tc := range []struct {
		sum  uint64
		want Density
	}{{0, 0}, {hundredGrams/2 - 1, 0}, {hundredGrams / 2, 1}, {3*hundredGrams/2 - 1, 1}, {3 * hundredGrams / 2, 2}} {
		if got := Amount(wide.U128{Lo: tc.sum}); got != tc.want {
			t.Errorf("%d: %d, want %d", tc.sum, got, tc.want)
		}
	}
	f := &Food{ID: "thirds", PartsKnown: true}
	for c := range f.Shares {
		f.Shares[c] = [NumParts]units.Share{Muscle: 499_999, Heart: 500_001}
	}
	var s Tally
	if err := s.Add(f, 1); err != nil { // one picogram
		t.Fatal(err)
	}
	if s.PartMass(Typical, Muscle) != 0 || s.PartMass(Typical, Heart) != 1 || s.Share(Typical, Muscle) != 499_999 {
		t.Errorf("%d and %d picograms, %s", s.PartMass(Typical, Muscle), s.PartMass(Typical, Heart), s.Share(Typical, Muscle))
	}
	if err := s.Add(&Food{ID: "bone", PartsKnown: true, Shares: [NumCases][NumParts]units.Share{{Bone: units.Whole}, {Bone: units.Whole}, {Bone: units.Whole}}}, 2); err != nil {
		t.Fatal(err)
	}
	if got := s.Share(Typical, Bone); got != 666_667 { // two thirds
		t.Errorf("two thirds are shown as %s", got)
	}
}

// Out-of-range selectors give nothing and do not panic.
func TestTally_outOfRange(t *testing.T) {
	t.Parallel()
	s := mixture(t, tinyCatalogue(t), "1 g", "liver")
	a, b := s.Nutrient(NumCases, Protein)
	c, d := s.Nutrient(Typical, NumNutrients)
	e, f := s.EnergyBy(NumEnergyMethods, Typical)
	if s.Part(NumCases, Liver) != (wide.U128{}) || s.Part(Typical, NumParts) != (wide.U128{}) || a != c || b != d || e != a || f != b || b != 0 {
		t.Error("something came out")
	}
	if (&Tally{}).Share(Typical, Bone) != 0 {
		t.Error("an empty mixture has a share")
	}
}

func TestTally_Add_doesNotAllocate(t *testing.T) {
	c := tinyCatalogue(t)
	var s Tally
	foods := c.All()
	if n := testing.AllocsPerRun(100, func() {
		s = Tally{}
		for _, f := range foods {
			_ = s.Add(f, 57*units.Gram)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkTally_Add(b *testing.B) {
	c := shippedCatalogue(b)
	for _, id := range []string{"beef-heart", "chicken-wing", "day-old-chick"} {
		f := find(b, c, id)
		b.Run(id, func(b *testing.B) {
			b.ReportAllocs()
			var s Tally
			for b.Loop() {
				if s.Add(f, units.Gram) != nil {
					s = Tally{}
				}
			}
		})
	}
}
