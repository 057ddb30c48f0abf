package cite

import (
	_ "embed"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"sync"

	"fitchet.example/units/strict"
)

//go:embed sources.csv
var sourcesCSV string

// header is the first line of a sources file.
const header = "key,short,authors,title,year,edition,publisher,locator,reach,note"

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

// LoadSources reads a sources file: RFC 4180, UTF-8, at most 1 MiB, first line
//
//	key,short,authors,title,year,edition,publisher,locator,reach,note
//
// Key, title and reach are required. The path is used in messages only. The
// error is a [strict.Faults] with every fault of the file (at most 100 and a
// closing count), or wraps the error of r. A quoting fault ends the reading, since
// what follows it cannot be told apart.
func LoadSources(path string, r io.Reader) (*Registry, error) {
	data, err := io.ReadAll(io.LimitReader(r, strict.MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("reading sources %s: %w", path, err)
	}
	reg := &Registry{byKey: make(map[string]Source)}
	lines := make(map[string]int)
	t := strict.ParseTable(path, data, strict.Columns{Names: strings.Split(header, ","), Ordered: true})
	for t.Next() {
		s := source(t)
		if was, ok := lines[s.Key]; ok {
			t.Fail("key", "key %s is already defined on line %d", s.Key, was)
		}
		if strict.IsID(s.Key) {
			lines[s.Key] = t.Line()
		}
		reg.byKey[s.Key] = s
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return reg, nil
}

// source reads one row.
func source(t *strict.Table) Source {
	s := Source{
		Key: t.OptText("key"), Short: t.OptText("short"), Authors: t.OptText("authors"), Title: t.Text("title"), Year: t.OptText("year"),
		Edition: t.OptText("edition"), Publisher: t.OptText("publisher"), Locator: t.OptText("locator"), Reach: t.OptText("reach"), Note: t.OptText("note"),
	}
	if !strict.IsID(s.Key) {
		t.Fail("key", "key %q: want lower-case letters, digits and single hyphens, at most %d", clip(s.Key), strict.MaxID)
	}
	if s.Year != "" && !fourDigits(s.Year) {
		t.Fail("year", "year %q: want four digits or nothing", clip(s.Year))
	}
	switch s.Reach {
	case "full", "part", "abstract", "dataset", "restatement":
	case "none":
		t.Fail("reach", "reach none: a source of which nothing was read is no source")
	default:
		t.Fail("reach", "reach %q: want full, part, abstract, dataset or restatement", clip(s.Reach))
	}
	return s
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
