package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"fitchet.example/examples/internal/hostile"
)

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	files := [][]string{{"-household", "FILE"}, {"-foods", "FILE"}, {"-rules", "FILE"}, {"-notices", "FILE"}}
	for _, format := range formats() {
		files = append(files, []string{"FILE", "-format", format})
	}
	hostile.Check(t, run, files...)
}

// hostileName is one text of all that is hostile and is text, in JSON.
func hostileName() []byte {
	b, _ := json.Marshal(strings.ToValidUTF8(strings.Join(hostile.Names(), " "), "")) // text is always written
	return bytes.ReplaceAll(b, []byte(`\u2028`), []byte("\u2028"))
}

// What a generator calls itself, answers, breaks off with and writes to its standard error is spelt out in every report.
func TestGenerator_harmless(t *testing.T) {
	for _, mode := range []string{"hostile-answer", "hostile-crash", "hostile-line"} {
		lines := map[string]int{}
		for _, format := range formats() {
			_, out, errs := audit(t, strings.NewReader(""), "-generator", command(mode), "-only", strings.Join(ids(t)[:2], ","), "-time", "1m", "-format", format)
			if out == "" {
				t.Errorf("%s, %s: nothing was written: %s", mode, format, errs)
			}
			if bad := hostile.Harmless(out + errs); bad != "" {
				t.Errorf("%s, %s: %s", mode, format, bad)
			}
			lines[format] = strings.Count(out, "\n")
			_, plain, _ := audit(t, strings.NewReader(""), "-generator", command(strings.NewReplacer("hostile-answer", "polite", "hostile-crash", "crash", "hostile-line", "garbage").Replace(mode)), "-only", strings.Join(ids(t)[:2], ","), "-time", "1m", "-format", format)
			if want := strings.Count(plain, "\n"); lines[format] != want {
				t.Errorf("%s, %s: %d lines, want %d", mode, format, lines[format], want)
			}
		}
		_, out, errs := audit(t, strings.NewReader(""), "-generator", command(mode), "-selftest")
		if bad := hostile.Harmless(out + errs); bad != "" {
			t.Errorf("%s, self-test: %s", mode, bad)
		}
	}
}
