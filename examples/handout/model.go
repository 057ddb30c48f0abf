package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fitchet.example/units/cite"
)

// document is a handout before it is written in any format. Whoever renders it
// adds no figure of its own.
type document struct {
	Schema   string   `json:"schema"` // "fitchet.handout/1"
	Title    string   `json:"title"`
	For      string   `json:"for,omitempty"`   // who hands it out
	AsOf     string   `json:"as_of,omitempty"` // the date given
	Edition  edition  `json:"edition"`
	Form     string   `json:"form"` // "short" or "long"
	Key      []said   `json:"key"`  // how to read the marks, those that occur
	Topics   []topic  `json:"topics"`
	Cautions []said   `json:"cautions"`
	Notes    []note   `json:"notes"`
	Sources  []source `json:"sources"`
}

// edition says which figures a sheet holds.
type edition struct {
	Rules string `json:"rules"` // the latest month from which a shipped rule or target holds
	Mark  string `json:"mark"`
}

type topic struct {
	ID     string  `json:"id"`
	Title  string  `json:"title"`
	Blocks []block `json:"blocks"`
}

// block is one piece of a topic; exactly one of its fields is set.
type block struct {
	Heading string   `json:"heading,omitempty"`
	Text    para     `json:"text,omitempty"`
	Box     bool     `json:"box,omitempty"` // of Text: what must not be missed
	List    []para   `json:"list,omitempty"`
	Table   *table   `json:"table,omitempty"`
	Plot    *plot    `json:"plot,omitempty"`
	Fill    []string `json:"fill,omitempty"` // lines to write on
}

// para is a run of statements.
type para []said

// said is a stretch of text and how it is known. Text that holds a figure has
// evidence, here or at the row or column of the table it stands in.
type said struct {
	Text  string     `json:"text"`
	Lead  bool       `json:"lead,omitempty"` // stands out
	Refs  []cite.Ref `json:"-"`
	Marks []mark     `json:"evidence,omitempty"`
}

// mark is what a reader sees of one reference.
type mark struct {
	Note  int      `json:"note,omitempty"`  // number of the note, 0 for common practice
	Words []string `json:"words,omitempty"` // "derived", "as restated", "our choice", "common practice", "cat figure"
}

func (m mark) String() string {
	if m.Note == 0 {
		return "(" + strings.Join(m.Words, ", ") + ")"
	}
	return "[" + strings.Join(append([]string{fmt.Sprint(m.Note)}, m.Words...), ", ") + "]"
}

type table struct {
	Caption string `json:"caption"`
	Columns []said `json:"columns"` // the first heads the rows
	Rows    []row  `json:"rows"`
}

type row struct {
	Head  said       `json:"head"`
	Cells []para     `json:"cells"`
	Refs  []cite.Ref `json:"-"`
	Marks []mark     `json:"evidence,omitempty"` // of the whole row
}

// sourced reports whether any row carries evidence of its own, which is then
// shown in a last column.
func (t *table) sourced() bool {
	return slices.ContainsFunc(t.Rows, func(r row) bool { return len(r.Refs) > 0 })
}

// plot draws ranges against a target. Its numbers are for drawing only: the
// texts are what it says, and they stand in the table beside it too.
type plot struct {
	Title  string    `json:"title"`
	Rows   []plotRow `json:"rows"`
	Target *plotRow  `json:"target,omitempty"`
	Unit   string    `json:"unit"`
	Log    bool      `json:"logarithmic,omitempty"`
	Max    float64   `json:"-"`
}

type plotRow struct {
	Label              said    `json:"label"`
	Low, Typical, High float64 `json:"-"` // Typical is not drawn when it is zero
	Value              string  `json:"value"`
}

// note is one numbered citation.
type note struct {
	Number   int      `json:"number"`
	Text     string   `json:"text"`
	Evidence string   `json:"evidence"`
	Sources  []string `json:"sources,omitempty"`
	At       string   `json:"at"`
	Borrowed string   `json:"borrowed_from,omitempty"`
}

// source is one cited source in full.
type source struct {
	Key       string   `json:"key"`
	Name      string   `json:"name"`
	Authors   string   `json:"authors,omitempty"`
	Title     string   `json:"title"`
	Year      string   `json:"year,omitempty"`
	Edition   string   `json:"edition,omitempty"`
	Publisher string   `json:"publisher,omitempty"`
	Locator   string   `json:"locator,omitempty"`
	Reach     string   `json:"reach"`
	Remark    string   `json:"remark,omitempty"`
	Notes     []int    `json:"notes"` // where it is cited
	At        []string `json:"-"`     // for what
}

// figured finds text that states a figure, in digits or in words.
var figured = regexp.MustCompile(`(?i)[0-9]|\b(two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|twenty|thirty|hundred|thousand|dozen|half|halve|twice|double|third|quarter|tenth|fold)`)

// plain is text that states no figure.
func plain(text string) said { return said{Text: text} }

// fact is text with its evidence.
func fact(text string, refs ...cite.Ref) said { return said{Text: text, Refs: refs} }

func saying(s ...said) block { return block{Text: s} }

func list(items ...para) block { return block{List: items} }

// claim is a statement as [document.walk] meets it.
type claim struct {
	text  string // empty for the evidence of a whole row
	refs  []cite.Ref
	from  []cite.Ref // of its row and column
	head  bool       // it heads a row
	marks *[]mark
}

// walk calls f for every statement of the document, in reading order.
func (d *document) walk(f func(c claim)) {
	one := func(s *said, from ...cite.Ref) { f(claim{text: s.Text, refs: s.Refs, from: from, marks: &s.Marks}) }
	drawn := func(r *plotRow) {
		f(claim{text: r.Label.Text + ": " + r.Value, refs: r.Label.Refs, marks: &r.Label.Marks})
	}
	each := func(p para, from ...cite.Ref) {
		for i := range p {
			one(&p[i], from...)
		}
	}
	for ti := range d.Topics {
		for bi := range d.Topics[ti].Blocks {
			b := &d.Topics[ti].Blocks[bi]
			each(b.Text)
			for _, item := range b.List {
				each(item)
			}
			if t := b.Table; t != nil {
				for i := range t.Columns {
					one(&t.Columns[i])
				}
				for ri := range t.Rows {
					r := &t.Rows[ri]
					f(claim{r.Head.Text, r.Head.Refs, slices.Concat(r.Refs, t.Columns[0].Refs), true, &r.Head.Marks})
					for ci, c := range r.Cells {
						each(c, slices.Concat(r.Refs, t.Columns[ci+1].Refs)...)
					}
					f(claim{refs: r.Refs, marks: &r.Marks})
				}
			}
			if p := b.Plot; p != nil {
				for i := range p.Rows {
					drawn(&p.Rows[i])
				}
				if p.Target != nil {
					drawn(p.Target)
				}
			}
		}
	}
	each(d.Cautions)
}

// number gives every reference its note, in reading order, and lists the
// sources.
func (d *document) number(reg *cite.Registry) error {
	var faults []error
	at := map[string]int{}
	d.walk(func(c claim) {
		var out []mark
		for _, r := range c.refs {
			if err := r.Check(reg); err != nil {
				faults = append(faults, err)
				continue
			}
			m := mark{Words: words(r, reg)}
			if r.Evidence != cite.Practice {
				key := r.String()
				if at[key] == 0 {
					at[key] = len(d.Notes) + 1
					d.Notes = append(d.Notes, note{at[key], r.Words(reg), r.Evidence.String(), r.Sources, r.At, r.Borrowed})
				}
				m.Note = at[key]
			}
			if !slices.ContainsFunc(out, func(o mark) bool { return o.String() == m.String() }) {
				out = append(out, m)
			}
		}
		*c.marks = out
	})
	d.cited(reg)
	return errors.Join(faults...)
}

// words are the words that stand in a mark.
func words(r cite.Ref, reg *cite.Registry) []string {
	var out []string
	switch r.Evidence {
	case cite.Practice:
		out = append(out, "common practice")
	case cite.Derived:
		out = append(out, "derived")
	case cite.Choice:
		out = append(out, "our choice")
	case cite.Published:
		for _, key := range r.Sources {
			if s, ok := reg.Source(key); ok && s.Restated() {
				out = append(out, "as restated")
				break
			}
		}
	}
	if r.Borrowed != "" {
		out = append(out, r.Borrowed+" figure")
	}
	return out
}

// cited lists the sources of the notes.
func (d *document) cited(reg *cite.Registry) {
	by := map[string]*source{}
	for _, n := range d.Notes {
		for _, key := range n.Sources {
			s, ok := by[key]
			if !ok {
				c, _ := reg.Source(key)
				s = &source{Key: key, Name: c.Name(), Authors: c.Authors, Title: c.Title, Year: c.Year, Edition: c.Edition,
					Publisher: c.Publisher, Locator: c.Locator, Reach: c.Reach, Remark: c.Note}
				by[key] = s
			}
			s.Notes = append(s.Notes, n.Number)
			s.At = append(s.At, n.At)
		}
	}
	d.Sources = make([]source, 0, len(by))
	for _, s := range by {
		d.Sources = append(d.Sources, *s)
	}
	slices.SortFunc(d.Sources, func(a, b source) int { return strings.Compare(a.Key, b.Key) })
}

// explain says how to read the marks that occur.
func (d *document) explain() {
	seen := map[string]bool{}
	other := false
	d.walk(func(c claim) {
		for _, m := range *c.marks {
			for _, w := range m.Words {
				seen[w] = true
				other = other || strings.HasSuffix(w, " figure")
			}
			seen["number"] = seen["number"] || m.Note > 0
		}
	})
	say := func(on bool, text string) {
		if on {
			d.Key = append(d.Key, plain(text))
		}
	}
	say(seen["number"], "A number in square brackets leads to the list of sources at the end.")
	say(seen["common practice"], "Common practice: people who feed raw do it so; no published source stands behind it.")
	say(seen["derived"], "Derived: worked out from published figures; the arithmetic stands in the list.")
	say(seen["as restated"], "As restated: we read a text that repeats the source, not the source.")
	say(seen["our choice"], "Our choice: set by us, with the reason; you may choose otherwise.")
	say(other, "Cat, dog, mink or polecat figure: made for that animal, because none for ferrets was read.")
	say(true, "'About' marks an estimate.")
}

// seal works out the mark of the sheet.
func (d *document) seal() error {
	c := *d
	c.For, c.AsOf, c.Edition.Mark = "", "", ""
	text, err := json.Marshal(c)
	if err != nil {
		return fmt.Errorf("working out the mark of the sheet: %w", err)
	}
	sum := sha256.Sum256(text)
	h := hex.EncodeToString(sum[:4])
	d.Edition.Mark = h[:4] + "-" + h[4:]
	return nil
}
