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

// Faults is everything wrong in one file, sorted by line and column.
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

// fault notes one fault. Beyond keptFaults it only counts.
func (d *Doc) fault(line, col int, err error, format string, args ...any) {
	if len(d.faults) >= keptFaults {
		d.more++
		return
	}
	msg := format
	if len(args) > 0 {
		msg = fmt.Sprintf(format, args...)
	}
	d.faults = append(d.faults, Fault{d.path, max(line, 1), max(col, 1), oneLine(msg), err})
}

// full reports whether further faults are only counted.
func (d *Doc) full() bool { return len(d.faults) >= keptFaults }

// sorted returns the faults to show.
func (d *Doc) sorted() Faults {
	all := slices.Clone(d.faults)
	slices.SortStableFunc(all, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	all = slices.CompactFunc(all, func(a, b Fault) bool {
		return a.Line == b.Line && a.Col == b.Col && a.Msg == b.Msg
	})
	shown := min(len(all), shownFaults)
	if hidden := len(all) - shown + d.more; hidden > 0 {
		at := all[min(shown, len(all)-1)]
		all = append(all[:shown], Fault{d.path, at.Line, at.Col, fmt.Sprintf("and %d more faults", hidden), nil})
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
