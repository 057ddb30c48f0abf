package strict_test

import (
	"errors"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"fitchet.example/units/strict"

	"pgregory.net/rapid"
)

func TestLine(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"":                                "",
		"Moss":                            "Moss",
		"Moss\nVet: all is well":          `Moss\nVet: all is well`,
		"Moss\r\tx":                       `Moss\r\tx`,
		"\x1b[2J":                         `\x1b[2J`,
		"a\x00b\x7f":                      `a\x00b\x7f`,
		"\u0085\u009b31m":                 `\u0085\u009b31m`,
		"\u202egnp.exe":                   `\u202egnp.exe`,
		"\u2066x\u2069\u200e\u200f\u061c": `\u2066x\u2069\u200e\u200f\u061c`,
		"a\u2028b\u2029c":                 `a\u2028b\u2029c`,
		"Mo\u200bss\ufeff\u2060\u00ad":    `Mo\u200bss\ufeff\u2060\u00ad`,
		"\U000e0041":                      `\U000e0041`,
		"\xff\xc3":                        `\xff\xc3`,
		"Über 🦝 לולה می\u200cروم":         "Über 🦝 לולה می\u200cروم",
		"\ufffd":                          "\ufffd",
	} {
		if got := strict.Line(in); got != want {
			t.Errorf("%+q: %+q, want %+q", in, got, want)
		}
	}
}

// The sets of characters are those of the Unicode Character Database as the standard library holds them: Cc, Cf, Zl, Zp
// and Bidi_Control (UAX #9, UAX #44).
func TestLineHoldsNothingHidden(t *testing.T) {
	t.Parallel()
	for c := rune(0); c <= unicode.MaxRune; c++ {
		if !utf8.ValidRune(c) {
			continue
		}
		got := strict.Line(string(c))
		acts := unicode.In(c, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control)
		if acts && got == string(c) || !acts && !unicode.Is(unicode.Cf, c) && got != string(c) {
			t.Errorf("%U: %q", c, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.String().Draw(t, "text")
		got := strict.Line(s)
		if !utf8.ValidString(got) || strings.ContainsFunc(got, unicode.IsControl) || strict.Line(got) != got {
			t.Fatalf("%q: %q", s, got)
		}
	})
}

func TestName(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"Moss", "Old Bramble", "לולה", "O'Neil (2)", "🦝", "می\u200cروم", strings.Repeat("ü", strict.MaxName/2)} {
		if got, err := strict.Name(s); got != s || err != nil {
			t.Errorf("%q: %q, %v", s, got, err)
		}
	}
	for _, s := range []string{"", " ", "\u00a0", "\u3000", "\u2800", "\u3164", "\u200d", "\u0301", "\u200b", "Moss\nx", "Moss\tx", "\x1b[1m", "\u202eMoss", "Mo\u00adss", "\xff",
		strings.Repeat("ü", strict.MaxName/2) + "x"} {
		if got, err := strict.Name(s); !errors.Is(err, strict.ErrName) || got != "" {
			t.Errorf("%q was taken for a name: %q, %v", s, got, err)
		} else if strict.Line(err.Error()) != err.Error() {
			t.Errorf("%q acts on its message", err)
		}
	}
}
