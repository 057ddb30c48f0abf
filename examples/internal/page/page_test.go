package page

import (
	"strings"
	"testing"
	"unicode/utf8"

	"fitchet.example/units"

	"pgregory.net/rapid"
)

func TestWriter(t *testing.T) {
	t.Parallel()
	var w Writer
	w.Title("Über")
	w.Head("One")
	w.Para("  x: ", strings.Repeat("word ", 30))
	w.List([]string{"a"})
	w.Row([]int{4, 2}, "µg", "much wider", "end")
	want := "Über\n====\n\nOne\n---\n  x: " + strings.TrimSpace(strings.Repeat("word ", 18)) + "\n     " + strings.TrimSpace(strings.Repeat("word ", 12)) + "\n  - a\nµg   much wider end\n"
	if w.String() != want {
		t.Errorf("%q\nwant %q", w.String(), want)
	}
	for _, tc := range []struct {
		words []string
		want  string
	}{{nil, ""}, {[]string{"a"}, "a"}, {[]string{"a", "b"}, "a and b"}, {[]string{"a", "b", "c"}, "a, b and c"}} {
		if got := And(tc.words); got != tc.want {
			t.Errorf("%q, want %q", got, tc.want)
		}
	}
}

// The ounce is 28.349523125 g: the international avoirdupois pound of 1959.
func TestMasses(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		low, typical, high int64 // mg
		want               string
	}{
		{56_699, 56_699, 56_699, "57 g (2.0 oz)"},
		{1_000, 1_000, 1_000, "1 g (0.04 oz)"},
		{0, 20_000, 57_000, "0 to 57 g (0.0 to 2.0 oz)"},
	} {
		mg := func(n int64) units.Mass { return units.Mass(n) * units.Milligram }
		if got := Span(units.Range[units.Mass]{Low: mg(tc.low), Typical: mg(tc.typical), High: mg(tc.high)}); got != tc.want {
			t.Errorf("%q, want %q", got, tc.want)
		}
	}
}

// No line is wider than the page unless a single word is, and no word is lost.
func TestParaFits(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-zü°]{1,30}`)).Draw(t, "words")
		var w Writer
		w.Para("  - ", strings.Join(words, "  "))
		for line := range strings.SplitSeq(w.String(), "\n") {
			if utf8.RuneCountInString(line) > Width {
				t.Fatalf("%d wide: %q", utf8.RuneCountInString(line), line)
			}
		}
		if got := strings.Fields(strings.TrimPrefix(w.String(), "  -")); strings.Join(got, " ") != strings.Join(words, " ") {
			t.Fatalf("%q, want %q", got, words)
		}
	})
}
