package float_test

import (
	"math"
	"math/big"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"fitchet.example/units/float"
)

func near(t interface{ Fatalf(string, ...any) }, what string, got, want, bound float64) {
	if !(math.Abs(got-want) <= bound) && got != want {
		t.Fatalf("%s: got %v, want %v", what, got, want)
	}
}

// TestAgainstMath takes package math of Go as the outside check: on each machine
// it is right to about the last place, though not on all in the same way.
func TestAgainstMath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-700, 700).Draw(t, "x")
		near(t, "exp", float.Exp(x), math.Exp(x), 1e-15*math.Exp(x))
		small := rapid.Float64Range(-2, 2).Draw(t, "small")
		near(t, "exp", float.Exp(small), math.Exp(small), 1e-15*math.Exp(small))
		p := math.Ldexp(rapid.Float64Range(0.5, 1).Draw(t, "m"), rapid.IntRange(-300, 300).Draw(t, "e"))
		near(t, "log", float.Log(p), math.Log(p), 1e-15*max(1, math.Abs(math.Log(p))))
		kg, y := rapid.Float64Range(0.01, 200).Draw(t, "kg"), rapid.Float64Range(-3, 3).Draw(t, "y")
		near(t, "pow", float.Pow(kg, y), math.Pow(kg, y), 1e-15*math.Pow(kg, y)*max(1, math.Abs(y*math.Log(kg))))
	})
}

func TestEnds(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"exp(0)", float.Exp(0), 1},
		{"exp(710)", float.Exp(711), inf},
		{"exp(-746)", float.Exp(-747), 0},
		{"exp(inf)", float.Exp(inf), inf},
		{"exp(-inf)", float.Exp(-inf), 0},
		{"exp(nan)", float.Exp(nan), nan},
		{"log(1)", float.Log(1), 0},
		{"log(0)", float.Log(0), -inf},
		{"log(-1)", float.Log(-1), nan},
		{"log(inf)", float.Log(inf), inf},
		{"log(nan)", float.Log(nan), nan},
		{"1^0.734", float.Pow(1, 0.734), 1},
		{"5^0", float.Pow(5, 0), 1},
		{"0^1", float.Pow(0, 1), nan},
		{"(-1)^1", float.Pow(-1, 1), nan},
	} {
		if c.got != c.want && !(math.IsNaN(c.got) && math.IsNaN(c.want)) {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}

// TestPrinted holds the functions against figures that are printed elsewhere to
// more digits than a float64 has: Euler's number and ln 2, ln 10 (Go
// Programming Language, package math, which gives OEIS A001113, A002162 and A002392
// as their source).
func TestPrinted(t *testing.T) {
	for _, c := range []struct {
		got  float64
		want string
	}{
		{float.Exp(1), "2.71828182845904523536028747135266249775724709369995957496696763"},
		{float.Log(2), "0.693147180559945309417232121458176568075500134360255254120680009"},
		{float.Log(10), "2.30258509299404568401799145468436420760110148862877297603332790"},
	} {
		want, _, err := big.ParseFloat(c.want, 10, 300, big.ToNearestEven)
		if err != nil {
			t.Fatal(err)
		}
		f, _ := want.Float64()
		if math.Abs(c.got-f) > 1e-15*f {
			t.Errorf("got %s, want %s", strconv.FormatFloat(c.got, 'g', -1, 64), c.want)
		}
	}
}
