package say_test

import (
	"strings"
	"testing"

	"fitchet.example/units/say"
)

func TestAnd(t *testing.T) {
	for want, words := range map[string][]string{
		"":           nil,
		"a":          {"a"},
		"a and b":    {"a", "b"},
		"a, b and c": {"a", "b", "c"},
	} {
		if got := say.And(words); got != want {
			t.Errorf("And(%q) = %q, want %q", words, got, want)
		}
	}
}

func TestCounted(t *testing.T) {
	for n, want := range map[int64]string{0: "0 days", 1: "1 day", 2: "2 days", -1: "-1 days"} {
		if got := say.Counted(n, "day", "days"); got != want {
			t.Errorf("Counted(%d) = %q, want %q", n, got, want)
		}
	}
}

// A character is never cut in two, whatever its length in bytes.
func TestClip(t *testing.T) {
	sixty := strings.Repeat("µ", 60)
	for in, want := range map[string]string{"": "", "short": "short", sixty: sixty, sixty + "x": sixty + "…", sixty + "µµ": sixty + "…"} {
		if got := say.Clip(in); got != want {
			t.Errorf("Clip(%q) = %q, want %q", in, got, want)
		}
	}
}
