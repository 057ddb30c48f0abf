// Package cli is what the programs share: exit codes, flags that stand anywhere,
// reading a named file or standard input, and writing a result whole or not at
// all, never over what was read.
package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"fitchet.example/units/strict"
)

// Exit codes of every program.
const (
	Well     = 0 // nothing to stop or mend
	Mend     = 1 // something to stop or mend, or food lacking
	Unusable = 2 // input that cannot be used
)

// Named says what was being done to which file. The name stands on one line, whatever it holds.
func Named(doing, path string, err error) error {
	var at *fs.PathError
	var from *os.LinkError
	if errors.As(err, &at) {
		err = at.Err // it would say the name again
	} else if errors.As(err, &from) {
		err = from.Err
	}
	return fmt.Errorf("%s %s: %w", doing, strict.Line(path), err)
}

// Load opens a file, or takes stdin for "-", and hands it to a loader with its
// name for messages.
func Load[T any](path string, stdin io.Reader, read func(name string, r io.Reader) (T, error)) (T, error) {
	if path == "-" {
		return read("standard input", stdin)
	}
	var none T
	f, err := os.Open(path)
	if err != nil {
		return none, Named("reading", path, err)
	}
	defer f.Close()
	return read(path, f)
}

// JSON is v as indented text, without escapes for HTML, and with escapes for all that would act on a terminal.
func JSON(v any) ([]byte, error) { return encode(v, " ") }

// Line is JSON in one line.
func Line(v any) ([]byte, error) { return encode(v, "") }

func encode(v any, indent string) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", indent)
	err := enc.Encode(v)
	if bytes.IndexFunc(b.Bytes(), acts) < 0 {
		return b.Bytes(), err
	}
	var out []byte
	for _, c := range b.String() { // beyond ASCII there is only text in quotes
		switch {
		case !acts(c):
			out = utf8.AppendRune(out, c)
		case c > 0xffff:
			high, low := utf16.EncodeRune(c)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		default:
			out = fmt.Appendf(out, `\u%04x`, c)
		}
	}
	return out, err
}

// acts reports whether a character other than the end of a line is one that strict.Line spells out.
func acts(c rune) bool { return c > '~' && strict.Line(string(c)) != string(c) }

// Complain writes an error, each of its lines under the program's name.
func Complain(w io.Writer, program string, err error) {
	for line := range strings.SplitSeq(err.Error(), "\n") {
		fmt.Fprintf(w, "%s: %s\n", program, strict.Line(line))
	}
}
