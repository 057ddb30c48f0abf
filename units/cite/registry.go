package cite

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"sync"
)

//go:embed sources.csv
var sourcesCSV string

// header is the first line of a sources file.
const header = "key,short,authors,title,year,edition,publisher,locator,reach,note"

// Bounds of a sources file.
const (
	maxFileBytes  = 1 << 20
	maxFieldBytes = 2048
	maxFaults     = 100
)

// Source is one text, table or data file that was read. All fields are text as
// printed; a remark such as "(memory)" inside one says which detail is still to
// be confirmed.
type Source struct {
	Key       string // lower-case letters, digits, hyphens; never renamed or reused
	Short     string // short name for people, may be empty: see [Source.Name]
	Authors   string
	Title     string
	Year      string // four digits, or empty when the text does not say
	Edition   string // edition, release, volume and pages, or doi
	Publisher string
	Locator   string // the part that was read
	Reach     string // how much was read: full, part, abstract, dataset or restatement
	Note      string
}

// Restated reports whether only a text that repeats this source was read.
func (s Source) Restated() bool { return s.Reach == "restatement" }

// Name returns the short name for people. Without one it is made of authors
// (or else title) and year.
func (s Source) Name() string {
	name := s.Short
	if name == "" {
		if name = s.Authors; name == "" {
			name = s.Title
		}
		if s.Year != "" {
			name += " " + s.Year
		}
	}
	if name == "" {
		return s.Key
	}
	return name
}

// Registry holds sources by key. The zero value and nil are empty registries.
// A Registry never changes after it is made and is safe for concurrent use.
type Registry struct{ byKey map[string]Source }

// Shipped returns the embedded registry. It holds only sources of which
// something was read. The file is read once, and all share the Registry. It
// fails only if the embedded file is broken.
func Shipped() (*Registry, error) { return shipped() }

var shipped = sync.OnceValues(func() (*Registry, error) {
	return LoadSources("sources.csv", strings.NewReader(sourcesCSV))
})

// Source returns the source of a key.
func (r *Registry) Source(key string) (Source, bool) {
	if r == nil {
		return Source{}, false
	}
	s, ok := r.byKey[key]
	return s, ok
}

// Keys returns all keys, sorted.
func (r *Registry) Keys() []string {
	if r == nil {
		return nil
	}
	return slices.Sorted(maps.Keys(r.byKey))
}

// With returns a registry that holds the sources of both. A key that both
// hold is an error that names every such key, even when the records are
// equal: a key never changes its meaning.
func (r *Registry) With(own *Registry) (*Registry, error) {
	all := &Registry{byKey: make(map[string]Source)}
	var twice []string
	if r != nil {
		maps.Copy(all.byKey, r.byKey)
	}
	for _, key := range own.Keys() {
		if _, ok := all.byKey[key]; ok {
			twice = append(twice, key)
		}
		all.byKey[key] = own.byKey[key]
	}
	if len(twice) > 0 {
		return nil, fmt.Errorf("adding own sources: already taken: %s", strings.Join(twice, ", "))
	}
	return all, nil
}

// Fault is one thing wrong in a sources file. Line and Col count from 1; Col
// counts bytes, as encoding/csv does.
type Fault struct {
	Path      string
	Line, Col int
	Msg       string
}

// Error returns "path:line:col: message".
func (f Fault) Error() string { return fmt.Sprintf("%s:%d:%d: %s", f.Path, f.Line, f.Col, f.Msg) }

// Faults is everything wrong in a sources file, in the order of the file.
type Faults []Fault

// Error returns one line per fault.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the single faults, for [errors.As].
func (f Faults) Unwrap() []error {
	out := make([]error, len(f))
	for i := range f {
		out[i] = f[i]
	}
	return out
}

// LoadSources reads a sources file: RFC 4180, UTF-8, at most 1 MiB, first line
//
//	key,short,authors,title,year,edition,publisher,locator,reach,note
//
// Key, title and reach are required. The path is used in messages only. The
// error is a [Faults] with every fault of the file (at most 100 and a closing
// count), or wraps the error of r. A quoting fault ends the reading, since
// what follows it cannot be told apart.
func LoadSources(path string, r io.Reader) (*Registry, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	if err != nil {
		return nil, fmt.Errorf("reading sources %s: %w", path, err)
	}
	l := loader{path: path, reg: &Registry{byKey: make(map[string]Source)}, lines: make(map[string]int)}
	if len(data) > maxFileBytes {
		l.fault(1, 1, "larger than %d bytes", maxFileBytes)
	} else {
		l.read(string(data))
	}
	if len(l.faults) > 0 {
		if l.more > 0 {
			last := l.faults[len(l.faults)-1]
			l.faults = append(l.faults, Fault{path, last.Line, last.Col, fmt.Sprintf("and %d more faults", l.more)})
		}
		return nil, l.faults
	}
	return l.reg, nil
}

type loader struct {
	path   string
	reg    *Registry
	lines  map[string]int // line of each key, for repeated ones
	faults Faults
	more   int
}

func (l *loader) fault(line, col int, format string, args ...any) {
	if len(l.faults) >= maxFaults {
		l.more++
		return
	}
	l.faults = append(l.faults, Fault{l.path, max(line, 1), max(col, 1), fmt.Sprintf(format, args...)})
}

func (l *loader) read(text string) {
	text = strings.TrimPrefix(text, "\ufeff")
	c := csv.NewReader(strings.NewReader(text))
	c.FieldsPerRecord = -1
	c.ReuseRecord = true
	first := true
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				l.fault(pe.Line, pe.Column, "%v", pe.Err)
			} else {
				l.fault(1, 1, "%v", err)
			}
			return
		}
		if first {
			first = false
			if got := strings.Join(row, ","); got != header {
				l.fault(1, 1, "the first line must be %s", header)
				return
			}
			continue
		}
		l.record(c, row)
	}
	if first {
		l.fault(1, 1, "no sources: the first line must be %s", header)
	}
}

// record judges one row and keeps it.
func (l *loader) record(c *csv.Reader, row []string) {
	at := func(field int, format string, args ...any) {
		line, col := c.FieldPos(field)
		l.fault(line, col, format, args...)
	}
	names := strings.Split(header, ",")
	if len(row) != len(names) {
		at(0, "%d fields, want %d", len(row), len(names))
		return
	}
	for i, v := range row {
		switch why := unclean(v); {
		case len(v) > maxFieldBytes:
			at(i, "%s is longer than %d bytes", names[i], maxFieldBytes)
		case why != "":
			at(i, "%s: %s", names[i], why)
		case v != strings.TrimSpace(v):
			at(i, "%s begins or ends with a space", names[i])
		}
	}
	s := Source{
		Key: row[0], Short: row[1], Authors: row[2], Title: row[3], Year: row[4],
		Edition: row[5], Publisher: row[6], Locator: row[7], Reach: row[8], Note: row[9],
	}
	line, _ := c.FieldPos(0)
	if !validKey(s.Key) {
		at(0, "key %q: want lower-case letters, digits and single hyphens, at most %d", clip(s.Key), maxKeyBytes)
	} else if was, ok := l.lines[s.Key]; ok {
		at(0, "key %s is already defined on line %d", s.Key, was)
	} else {
		l.lines[s.Key] = line
	}
	if s.Title == "" {
		at(3, "title is missing")
	}
	if s.Year != "" && !fourDigits(s.Year) {
		at(4, "year %q: want four digits or nothing", clip(s.Year))
	}
	switch s.Reach {
	case "full", "part", "abstract", "dataset", "restatement":
	case "none":
		at(8, "reach none: a source of which nothing was read is no source")
	default:
		at(8, "reach %q: want full, part, abstract, dataset or restatement", clip(s.Reach))
	}
	l.reg.byKey[s.Key] = s
}

func fourDigits(s string) bool {
	if len(s) != 4 {
		return false
	}
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}
