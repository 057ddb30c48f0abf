package wide_test

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"fitchet.example/units/wide"
)

const most = math.MaxUint64

// word favours the values where carries happen.
func word() *rapid.Generator[uint64] {
	return rapid.OneOf(
		rapid.SampledFrom([]uint64{0, 1, 2, 1<<32 - 1, 1 << 32, 1 << 63, most - 1, most}),
		rapid.Uint64Range(0, 1000),
		rapid.Uint64(),
	)
}

func number() *rapid.Generator[wide.U128] {
	return rapid.Custom(func(t *rapid.T) wide.U128 {
		return wide.U128{Hi: word().Draw(t, "hi"), Lo: word().Draw(t, "lo")}
	})
}

func u(x uint64) *big.Int { return new(big.Int).SetUint64(x) }

// fits compares a result with what math/big says: the same number, or not ok
// and zero where that needs more than 128 bits or is negative.
func fits(t *rapid.T, what string, got wide.U128, ok bool, want *big.Int) {
	if in := want.Sign() >= 0 && want.BitLen() <= 128; in != ok {
		t.Fatalf("%s: ok is %v, and the result is %s", what, ok, want)
	}
	if !ok {
		want = new(big.Int)
	}
	if got.Big().Cmp(want) != 0 {
		t.Fatalf("%s: got %s, want %s", what, got, want)
	}
}

// Everything against math/big of the Go standard library.
func TestAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := number().Draw(t, "a"), number().Draw(t, "b")
		x, y := word().Draw(t, "x"), word().Draw(t, "y")
		A, B := a.Big(), b.Big()

		fits(t, "Mul", wide.Mul(x, y), true, new(big.Int).Mul(u(x), u(y)))
		got, ok := a.Add(b)
		fits(t, "Add", got, ok, new(big.Int).Add(A, B))
		got, ok = a.AddMul(x, y)
		fits(t, "AddMul", got, ok, new(big.Int).Add(A, new(big.Int).Mul(u(x), u(y))))
		got, ok = a.Sub(b)
		fits(t, "Sub", got, ok, new(big.Int).Sub(A, B))
		if got, want := a.Cmp(b), A.Cmp(B); got != want {
			t.Fatalf("Cmp: got %d, want %d", got, want)
		}
		ax, by := new(big.Int).Mul(A, u(x)), new(big.Int).Mul(B, u(y))
		if got, want := wide.CmpMul(a, x, b, y), ax.Cmp(by); got != want {
			t.Fatalf("CmpMul: got %d, want %d", got, want)
		}
		got, ok = a.Times(x)
		fits(t, "Times", got, ok, ax)
		got, ok = a.MulDiv(x, y)
		if y == 0 {
			if ok || got != (wide.U128{}) {
				t.Fatalf("MulDiv by zero: got %s, %v", got, ok)
			}
		} else {
			fits(t, "MulDiv", got, ok, new(big.Int).Quo(ax, u(y)))
		}
		if a.String() != A.String() {
			t.Fatalf("String: got %s, want %s", a, A)
		}
	})
}

// Near-equal products, where only the lowest word decides: random numbers
// hardly ever meet them.
func TestCmpMulNearEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := word().Draw(t, "p"), word().Draw(t, "q")
		k := rapid.Uint64Range(1, most).Draw(t, "k")
		a, b := wide.Mul(p, q), wide.Mul(p, k) // a × k = b × q
		if got := wide.CmpMul(a, k, b, q); got != 0 {
			t.Fatalf("%s × %d against %s × %d: got %d, want 0", a, k, b, q, got)
		}
		if next, ok := a.Add(wide.U128{Lo: 1}); ok {
			if got := wide.CmpMul(next, k, b, q); got != 1 {
				t.Fatalf("one above: got %d", got)
			}
			if got := wide.CmpMul(b, q, next, k); got != -1 {
				t.Fatalf("one below: got %d", got)
			}
		}
	})
}

// regression (ours): the corners by hand.
func TestCorners(t *testing.T) {
	top := wide.U128{Hi: most, Lo: most}
	if got, ok := top.Add(wide.U128{Lo: 1}); ok || got != (wide.U128{}) {
		t.Errorf("2^128: got %s, %v", got, ok)
	}
	if got, ok := (wide.U128{Lo: most}).Add(wide.U128{Lo: 1}); !ok || got != (wide.U128{Hi: 1}) {
		t.Errorf("2^64: got %s, %v", got, ok)
	}
	if got, ok := (wide.U128{}).Sub(wide.U128{Lo: 1}); ok || got != (wide.U128{}) {
		t.Errorf("0 - 1: got %s, %v", got, ok)
	}
	if got, ok := top.MulDiv(most, most); !ok || got != top {
		t.Errorf("top × m / m: got %s, %v", got, ok)
	}
	if _, ok := top.MulDiv(2, 1); ok {
		t.Error("top × 2 was said to fit")
	}
	if got, ok := top.Times(2); ok || got != (wide.U128{}) {
		t.Errorf("top × 2: got %s, %v", got, ok)
	}
	if got, ok := (wide.U128{Hi: 1 << 62}).Times(3); !ok || got != (wide.U128{Hi: 3 << 62}) {
		t.Errorf("2^126 × 3: got %s, %v", got, ok)
	}
	if _, ok := (wide.U128{Lo: 1}).MulDiv(1, 0); ok {
		t.Error("a division by zero was said to work")
	}
	if got := wide.CmpMul(top, most, top, most-1); got != 1 {
		t.Errorf("192 bits: got %d", got)
	}
	if got := wide.Mul(most, most).String(); got != "340282366920938463426481119284349108225" {
		t.Errorf("(2^64-1)²: got %s", got)
	}
}

// Is 7 kg + 1 pg of 20 kg at least 35 %? Compared without dividing.
func ExampleU128_Cmp() {
	part, whole := uint64(7e15+1), uint64(20e15)
	fmt.Println(wide.Mul(part, 100).Cmp(wide.Mul(whole, 35)))
	fmt.Println(wide.Mul(part-1, 100).Cmp(wide.Mul(whole, 35)))
	fmt.Println(wide.Mul(part-2, 100).Cmp(wide.Mul(whole, 35)))
	// Output:
	// 1
	// 0
	// -1
}

// Two ratios a/b and c/d compare as a×d and c×b.
func ExampleCmpMul() {
	a, b := wide.Mul(3e18, 4e18), uint64(6e18) // 2e18
	c, d := wide.Mul(4e18, 5e18), uint64(1e19) // 2e18
	fmt.Println(wide.CmpMul(a, d, c, b))
	// Output: 0
}

func BenchmarkCmpMul(b *testing.B) {
	x, y := wide.Mul(7e15, 3e18), wide.Mul(20e15, 1e18)
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		n += wide.CmpMul(x, 20e15, y, 7e15)
	}
	_ = n
}
