package main

import (
	"bytes"
	"strings"
	"testing"

	"fitchet.example/examples/internal/fits"
)

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	t.Chdir(t.TempDir()) // where -out and -report may write
	run := func(args ...string) string {
		var out bytes.Buffer
		run(args, strings.NewReader(""), &out, &out)
		return out.String()
	}
	for _, w := range fits.Flags(run) {
		t.Error(w)
	}
	for _, flag := range []string{"-foods"} {
		for _, w := range fits.Files(t.TempDir(), func(path string) string { return run(flag, path) }) {
			t.Errorf("%s: %s", flag, w)
		}
	}
}
