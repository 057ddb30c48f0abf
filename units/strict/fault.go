package strict

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Fault is one thing wrong in a file. Line and Col count from 1; Col counts
// characters, not bytes, and is 1 where the column is not known.
type Fault struct {
	Path      string
	Line, Col int
	Msg       string // one line
	Err       error  // the error behind it, for errors.Is and errors.As, or nil
}

// Error returns "path:line:col: message".
func (f Fault) Error() string { return fmt.Sprintf("%s:%d:%d: %s", Line(f.Path), f.Line, f.Col, f.Msg) }

// Unwrap returns Err.
func (f Fault) Unwrap() error { return f.Err }

// Faults is everything wrong in the files that were read, sorted by path, line and
// column.
type Faults []Fault

// Error returns one line per fault.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the single faults, for [errors.Is] and [errors.As].
func (f Faults) Unwrap() []error {
	out := make([]error, len(f))
	for i := range f {
		out[i] = f[i]
	}
	return out
}

// How many faults are shown, and how many are kept to choose the first from.
const (
	shownFaults = 100
	keptFaults  = 1000
)

// found is what is wrong in a file that is being read.
type found struct {
	path   string
	faults Faults
	more   int // that were only counted
}

// fault notes one fault. Beyond keptFaults it only counts.
func (f *found) fault(line, col int, err error, format string, args ...any) {
	if f.full() {
		f.more++
		return
	}
	msg := format
	if len(args) > 0 {
		msg = fmt.Sprintf(format, args...)
	}
	f.faults = append(f.faults, Fault{f.path, max(line, 1), max(col, 1), oneLine(msg), err})
}

// full reports whether further faults are only counted.
func (f *found) full() bool { return len(f.faults) >= keptFaults }

// sorted returns the faults to show.
func (f *found) sorted() Faults { return f.faults.first(shownFaults, f.more) }

// First returns the faults sorted by path, line and column: at most n, and a last
// one that counts the rest.
func (f Faults) First(n int) Faults { return f.first(n, 0) }

func (f Faults) first(n, more int) Faults {
	all := slices.Clone(f)
	slices.SortStableFunc(all, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	all = slices.CompactFunc(all, func(a, b Fault) bool {
		return a.Path == b.Path && a.Line == b.Line && a.Col == b.Col && a.Msg == b.Msg
	})
	shown := max(0, min(len(all), n))
	if hidden := len(all) - shown + more; hidden > 0 {
		at := all[min(shown, len(all)-1)]
		all = append(all[:shown], Fault{at.Path, at.Line, at.Col, fmt.Sprintf("and %d more faults", hidden), nil})
	}
	return all
}

// oneLine keeps a message on one line of bounded length.
func oneLine(s string) string {
	return clip(Line(strings.Join(strings.Fields(s), " ")), 400)
}

// clip cuts s after n characters.
func clip(s string, n int) string {
	count := 0
	for i := range s {
		if count == n {
			return s[:i] + "…"
		}
		count++
	}
	return s
}

// show quotes a piece of a file in a message.
func show(s string) string { return fmt.Sprintf("%q", clip(s, 40)) }
