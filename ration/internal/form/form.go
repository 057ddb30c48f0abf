// Package form is what the files of a household, a plan, a log and a switch have
// in common: closed words, ids, headers, and masses with the usual slips of the
// pen.
package form

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// MaxText is the longest text of one scalar that is parsed here, in bytes.
const MaxText = 64

// ErrName is wrapped by faults about a name that is not known.
var ErrName = errors.New("not a known name")

// OneOf returns a parser of a closed list of words that names the nearest one.
// Its error wraps ErrName.
func OneOf(what string, known []string) func(string) (string, error) {
	return func(s string) (string, error) {
		if slices.Contains(known, s) {
			return s, nil
		}
		if near, ok := strict.Nearest(s, known); ok {
			return "", fmt.Errorf("%s %.40q: %w; did you mean %q?", what, s, ErrName, near)
		}
		return "", fmt.Errorf("%s %.40q: %w; want %s", what, s, ErrName, strings.Join(known, ", "))
	}
}

// ID reads lower-case words joined by hyphens.
func ID(s string) (string, error) {
	ok := s != "" && len(s) <= MaxText && s[0] != '-' && s[len(s)-1] != '-'
	for _, r := range s {
		ok = ok && (r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-')
	}
	if !ok {
		return "", fmt.Errorf("id %.70q: want lower-case letters, digits and hyphens, as in \"old-bramble\"", s)
	}
	return s, nil
}

// Schema returns a parser that takes the one name of a file's form.
func Schema(want string) func(string) (string, error) {
	return func(s string) (string, error) {
		if s != want {
			return "", fmt.Errorf("schema %.40q: this reader knows %q", s, want)
		}
		return s, nil
	}
}

// Household returns a parser of the name of a household, which must be the one of
// the household file; "" when that is not known.
func Household(name string) func(string) (string, error) {
	return func(s string) (string, error) {
		if _, err := strict.Name(s); err != nil {
			return "", err
		}
		if name != "" && name != s {
			return "", fmt.Errorf("of %.80q, but the household file is of %.80q", s, name)
		}
		return s, nil
	}
}

// Filled returns the items of a list and notes a fault at an empty one.
func Filled(list strict.Node, empty string) []strict.Node {
	items := list.List()
	if list.Kind() == strict.List && len(items) == 0 {
		list.Fail("%s", empty)
	}
	return items
}

// Slip names the usual slip of the pen that would bring m between low and high,
// or nothing. It never corrects.
func Slip(m, low, high units.Mass) string {
	in := func(x units.Mass, ok bool) bool { return ok && x >= low && x <= high }
	times := func(f int64) (units.Mass, bool) { x, err := m.Times(f); return x, err == nil }
	switch {
	case in(times(1000)):
		return "; a thousand times as much would be believed: was kg meant, or g?"
	case in(m/1000, true):
		return "; a thousandth would be believed: was g meant, or mg?"
	case m < 300*units.Kilogram && in(m*2835/100, true):
		return "; as ounces instead of grams it would be believed: which was meant?"
	case in(m/2835*100, true):
		return "; as grams instead of ounces it would be believed: which was meant?"
	}
	return ""
}

// Both prints a mass in grams and ounces: "57 g (2.0 oz)"; below 10 g with one
// decimal of a gram and two of an ounce.
func Both(m units.Mass) string {
	if m < 10*units.Gram {
		return m.InGrams(1) + " (" + m.InOunces(2) + ")"
	}
	return m.InGrams(0) + " (" + m.InOunces(1) + ")"
}

// Plus adds amounts, b not below zero, and stays at the largest one rather than
// run over. Sums that decide are checked by prey.Tally first.
func Plus[T ~int64](a, b T) T {
	if a > 0 && b > math.MaxInt64-a {
		return math.MaxInt64
	}
	return a + b
}
