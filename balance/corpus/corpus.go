package corpus

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/testdata"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// Corpus is the rule corpus: cases for whoever audits, scenarios for whoever
// plans. It never changes after it is loaded and is safe for concurrent use.
type Corpus struct {
	Version   string // of the corpus, not of the library
	Title     string
	Cases     []*Case
	Scenarios []*Scenario
	Sources   []string // keys of the sources that cases and scenarios rest on

	foods    *prey.Catalogue
	catalog  *prey.Catalogue // the shipped one, for scenarios
	care     *safety.Book
	book     *balance.Book // shipped rules, with the retired ones that still run
	laid     map[string][]balance.Rule
	reg      *cite.Registry
	manifest manifest
}

// manifest is what manifest.yaml says.
type manifest struct {
	path  string
	files []listed
	gone  []string // ids that must not be used again
	lands []string // regions that cases and scenarios may name
	at    map[string]strict.Fault
}

// listed is one file of the manifest with the number of entries it must have.
type listed struct {
	path, kind string
	count      int
	at         strict.Fault
}

// fileKinds are the kinds of file a manifest may list, in the order in which
// they are read.
func fileKinds() []string { return []string{"foods", "rules", "households", "cases", "scenarios"} }

// Shipped returns the corpus that comes with the library. It is read once, and
// all share it: a [Case] or [Scenario] of it is copied before it is changed.
func Shipped() (*Corpus, error) { return shipped() }

var shipped = sync.OnceValues(func() (*Corpus, error) { return Load(testdata.Corpus()) })

// Load reads a corpus: manifest.yaml and every file it names. The error holds
// every fault of every file at once, each a strict.Fault with its place.
func Load(fsys fs.FS) (*Corpus, error) {
	r := &reader{fsys: fsys, c: &Corpus{laid: map[string][]balance.Rule{}}, foodAt: map[string]strict.Fault{}}
	var err error
	if r.c.book, err = balance.Shipped(); err != nil {
		return nil, fmt.Errorf("loading the corpus: %w", err)
	}
	if r.c.catalog, err = prey.Shipped(); err != nil {
		return nil, fmt.Errorf("loading the corpus: %w", err)
	}
	if r.c.care, err = safety.Shipped(); err != nil {
		return nil, fmt.Errorf("loading the corpus: %w", err)
	}
	r.reg = r.c.book.Registry()
	r.c.reg = r.reg
	r.readManifest("manifest.yaml")
	for _, kind := range fileKinds() {
		for _, f := range r.c.manifest.files {
			if f.kind == kind {
				r.readFile(f)
			}
		}
		if kind == "foods" {
			if r.c.foods, err = r.catalogue(); err != nil {
				r.faults = append(r.faults, err)
				return nil, r.err()
			}
		}
	}
	if err := r.err(); err != nil {
		return nil, err
	}
	return r.c, nil
}

// reader reads the files of a corpus one after another and keeps all faults.
type reader struct {
	fsys   fs.FS
	c      *Corpus
	reg    *cite.Registry
	faults []error
	foodAt map[string]strict.Fault
	rows   csvRows
	sheets map[string]*ration.Household // by path
}

func (r *reader) err() error {
	if len(r.faults) == 0 {
		return nil
	}
	return fmt.Errorf("loading the corpus: %w", errors.Join(r.faults...))
}

func (r *reader) bytes(path string) []byte {
	data, err := fs.ReadFile(r.fsys, path)
	if err != nil {
		r.faults = append(r.faults, err)
	}
	return data
}

func (r *reader) open(path string) *strict.Doc { return strict.Parse(path, r.bytes(path)) }

func (r *reader) close(doc *strict.Doc) {
	if err := doc.Err(); err != nil {
		r.faults = append(r.faults, err)
	}
}

func (r *reader) readManifest(path string) {
	doc := r.open(path)
	m := doc.Root().Map()
	keys(m, append([]string{"schema", "version", "title"}, append(fileKinds(), "regions", "sources", "retired-ids")...)...)
	wantSchema(m, ManifestSchema)
	r.c.Version = strict.Value(m, "version", parseVersion)
	r.c.Title = m.Text("title")
	man := &r.c.manifest
	man.path, man.at = path, map[string]strict.Fault{}
	for _, kind := range fileKinds() {
		list, ok := m.Opt(kind)
		if !ok {
			continue
		}
		for _, n := range list.List() {
			fm := n.Map()
			keys(fm, "file", "count")
			f := listed{path: fm.Text("file"), kind: kind, count: fm.Int("count", 1, 100_000), at: strict.Fault{Path: path, Line: n.Line(), Col: n.Col()}}
			fm.Done()
			if !fs.ValidPath(f.path) || slices.ContainsFunc(man.files, func(g listed) bool { return g.path == f.path }) {
				n.Fail("%q is no path, or stands here twice", say.Clip(f.path))
			}
			man.files = append(man.files, f)
		}
	}
	if list, ok := m.Opt("regions"); ok {
		man.lands = strict.Each(list, parseTitle)
	}
	for _, n := range m.Get("sources").List() {
		if key, ok := strict.Read(n, parseName); ok {
			if _, known := r.reg.Source(key); !known {
				n.Fail("source %q: %w", key, cite.ErrUnknownSource)
			}
			r.c.Sources = append(r.c.Sources, key)
			man.at[key] = strict.Fault{Path: path, Line: n.Line(), Col: n.Col()}
		}
	}
	if list, ok := m.Opt("retired-ids"); ok {
		man.gone = strict.Each(list, ParseID)
	}
	m.Done()
	r.close(doc)
}

func parseVersion(s string) (string, error) {
	var a, b, c int
	if n, err := fmt.Sscanf(s, "%d.%d.%d", &a, &b, &c); n != 3 || err != nil || fmt.Sprintf("%d.%d.%d", a, b, c) != s {
		return "", fmt.Errorf("version %q: want three numbers, as in 1.0.0", say.Clip(s))
	}
	return s, nil
}

func (r *reader) readFile(f listed) {
	before := r.count(f.kind)
	faults := len(r.faults)
	switch f.kind {
	case "foods":
		r.readFoods(f.path)
	case "rules":
		r.readRules(f.path)
	case "households":
		r.readHousehold(f.path)
	case "cases":
		r.readCases(f.path)
	case "scenarios":
		r.readScenarios(f.path)
	}
	if n := r.count(f.kind) - before; n != f.count && len(r.faults) == faults {
		at := f.at
		at.Msg = fmt.Sprintf("%s holds %d entries, the manifest says %d", f.path, n, f.count)
		r.faults = append(r.faults, at)
	}
}

// count is how many entries of a kind have been read.
func (r *reader) count(kind string) (n int) {
	switch kind {
	case "foods":
		return len(r.rows.foods)
	case "rules":
		for _, list := range r.c.laid {
			n += len(list)
		}
	case "households":
		return len(r.sheets)
	case "cases":
		return len(r.c.Cases)
	case "scenarios":
		return len(r.c.Scenarios)
	}
	return n
}

// Book returns the shipped rules with the retired ones of the corpus behind
// them. Retired rules apply to no plan until [InForce] turns back the calendar.
func (c *Corpus) Book() *balance.Book { return c.book }

// Case returns the case with the id.
func (c *Corpus) Case(id string) (*Case, bool) {
	for _, cs := range c.Cases {
		if cs.ID == id {
			return cs, true
		}
	}
	return nil, false
}

// Scenario returns the scenario with the id.
func (c *Corpus) Scenario(id string) (*Scenario, bool) {
	for _, s := range c.Scenarios {
		if s.ID == id {
			return s, true
		}
	}
	return nil, false
}
