// Package hostile is for the tests of programs: texts that would act on what is
// written around them, and whether a program lets them.
package hostile

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// Names are texts that would act on what is written around them: forge lines, clear a terminal, turn a line around,
// hide. None holds a slash or a zero byte, so that each can be the name of a file.
func Names() []string {
	return []string{
		"Moss\nVET: nothing to do", "Moss\r\nBEGIN:VEVENT\r\n\u0085\u2028\u2029\v\f", "\x1b[2J\x1b]0;title\aMoss\u009b31m\t\b\x7f\xff\xc0",
		"\u202eMoss\u2066\u202d\u200f\u061c\u2068", "Mo\u200bs\u00ads\ufeff\U000e0041", "לולה\n\u202eלולה",
		`\" | <script>alert(1)<!script> & ]( * _ # - {{.}} %s%d%n` + "\n# Head\n- item\n|a|b|\n", "\n", "\u2800",
	}
}

// Harmless says what in a text of lines would act on a terminal or turn it around, or "" for nothing. A name that is
// written from right to left may stand between a pair of isolates on one line.
func Harmless(text string) string {
	if !utf8.ValidString(text) {
		return "it is not UTF-8"
	}
	for line := range strings.SplitSeq(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		deep := 0
		for _, c := range line {
			switch {
			case c == '\u2068':
				deep++
			case c == '\u2069' && deep > 0:
				deep--
			case unicode.In(c, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control), c == '\u200b', c == '\ufeff', c == '\u00ad', c >= 0xe0000 && c < 0xe0080:
				return fmt.Sprintf("%U in %q", c, line)
			}
		}
		if deep > 0 {
			return fmt.Sprintf("an isolate that does not end in %q", line)
		}
	}
	return ""
}

// Check runs a program with every name in each of its flags, and on files of these
// names: in each list of arguments FILE stands for the path.
func Check(t *testing.T, run func(args []string, stdin io.Reader, stdout, stderr io.Writer) int, files ...[]string) {
	t.Helper()
	t.Chdir(t.TempDir()) // where -out and -report may write
	program := func(args ...string) string {
		var out bytes.Buffer
		run(args, strings.NewReader(""), &out, &out)
		return out.String()
	}
	for _, w := range flags(program) {
		t.Error(w)
	}
	for _, args := range files {
		for _, w := range broken(t.TempDir(), func(path string) string {
			return program(strings.Split(strings.ReplaceAll(strings.Join(args, "\x00"), "FILE", path), "\x00")...)
		}) {
			t.Errorf("%s: %s", strings.Join(args, " "), w)
		}
	}
}

// flags runs a program with a hostile text for each of its flags in turn, beside a format that does not exist, so that it
// does nothing. program returns all that it wrote. What is wrong with that comes back: nothing, if it is harmless
// and has no line more than for any other text.
func flags(program func(args ...string) string) (wrong []string) {
	run := func(args ...string) string { return strings.ReplaceAll(program(args...), "\n    \t", "\n    ") } // the help sets tabs
	names := regexp.MustCompile(`(?m)^  -([a-z-]+)`).FindAllStringSubmatch(run("-h"), -1)
	if len(names) == 0 {
		return []string{"the help names no flags"}
	}
	for _, n := range names {
		taken, refused := lines(run("-"+n[1]+"=x.x", "-format=nonsense")), lines(run("-"+n[1]+"="+strings.Repeat("x", 300), "-format=nonsense"))
		for _, h := range Names() {
			out := run("-"+n[1]+"="+h, "-format=nonsense")
			if bad := Harmless(out); bad != "" {
				wrong = append(wrong, fmt.Sprintf("-%s %q: %s", n[1], h, bad))
			} else if got := lines(out); got > max(taken, refused) {
				wrong = append(wrong, fmt.Sprintf("-%s %q: %d lines, where others have %d", n[1], h, got, max(taken, refused)))
			}
		}
	}
	for _, h := range Names() { // flags that do not exist
		if bad := Harmless(run("-" + h)); bad != "" {
			wrong = append(wrong, fmt.Sprintf("a flag %q: %s", h, bad))
		}
	}
	return wrong
}

// broken runs a program on files of hostile names in the folder: one that is broken, and one that is not there.
func broken(dir string, run func(path string) string) (wrong []string) {
	const text = "nonsense: 1\nmore: [\n"
	write := func(name string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			wrong = append(wrong, err.Error())
		}
		return path
	}
	plain := write("plain")
	want, none := lines(run(plain)), lines(run(plain+" that is not there"))
	for _, h := range Names() {
		for path, want := range map[string]int{write(h + "x"): want, filepath.Join(dir, h+" that is not there"): none} {
			out := run(path)
			if bad := Harmless(out); bad != "" {
				wrong = append(wrong, fmt.Sprintf("%q: %s", path, bad))
			} else if got := lines(out); got != want || got == 0 {
				wrong = append(wrong, fmt.Sprintf("%q: %d lines, want %d: %s", path, got, want, out))
			}
		}
	}
	return wrong
}

func lines(s string) int { return strings.Count(s, "\n") }
