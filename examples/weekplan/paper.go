package main

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// paper is a sheet laid out for people, before it is written as text, Markdown
// or HTML. Whoever writes it adds and leaves out nothing.
type paper struct {
	Kind  string // week, door, vet or card; steers how it looks, not what it says
	Title string
	Foot  string // runs along the foot of printed pages
	Lead  []string
	Parts []part
	Notes []noteOut // what the numbers in brackets mean

	apart []string // names that are written from right to left
	bare  bool     // nothing is set apart here; whoever goes on with the text does it
}

type part struct {
	Title  string
	Own    bool // begins a printed page of its own
	Whole  bool // is not divided between printed pages
	Half   bool // narrow enough to stand beside its neighbour on paper
	Small  bool // in small print
	Card   bool // to be handed out alone
	Quiet  bool // its table says what it is; the title is for those who do not see
	Blocks []block
}

// block is one piece of a part; exactly one of the first five is set.
type block struct {
	Head  string
	Text  string
	List  []item
	Table *table
	Fill  []string // lines to write on
	Dense bool     // a list of short entries, which may stand in columns
	Ticks bool     // a list to tick
}

// item is an entry of a list. The mark stands before it and stands out.
type item struct{ Mark, Text string }

// table has the head of each row in its first column.
type table struct {
	Caption string
	Cols    []string
	Groups  []group
	Legend  string // what the pictures in it mean
	ID      string // tells it from the others of its paper
}

// group is rows under a common head; one group without a head is a plain table.
type group struct {
	Head string
	Rows [][]cell
}

// cell holds lines, a picture, or a place to write.
type cell struct {
	Lines []string
	Strip *strip
	Blank string // the unit of what is to be written in, or a blank
	Keep  bool   // short enough to stay on one line
}

func text(s string) block           { return block{Text: s} }
func head(s string) block           { return block{Head: s} }
func one(s string) cell             { return cell{Lines: []string{s}} }
func kept(s string) cell            { return cell{Lines: []string{s}, Keep: true} }
func blank(unit string) cell        { return cell{Blank: cmp.Or(unit, " ")} }
func marked(mark, text string) item { return item{mark, text} }
func tabled(t *table) block         { return block{Table: t} }
func listed(items []item) block     { return block{List: items} }
func (t *table) add(cells ...cell)  { t.under("", cells...) }
func (p *part) put(blocks ...block) { p.Blocks = append(p.Blocks, blocks...) }
func (p *paper) put(parts ...part)  { p.Parts = append(p.Parts, parts...) }
func day(d units.Date) string       { return d.Weekday().String() + " " + d.String() }
func unmarked(lines []string) []item {
	return each(lines, func(s string) item { return item{Text: s} })
}

// many is a cell of several lines, or a dash for none.
func many(lines []string) cell {
	if len(lines) == 0 {
		return one("–")
	}
	return cell{Lines: lines}
}

// under adds a row to the group with the head.
func (t *table) under(head string, cells ...cell) {
	n := len(t.Groups)
	if n == 0 || t.Groups[n-1].Head != head {
		t.Groups = append(t.Groups, group{Head: head})
		n++
	}
	g := &t.Groups[n-1]
	g.Rows = append(g.Rows, cells)
}

func each[T, U any](list []T, f func(T) U) []U {
	out := make([]U, len(list))
	for i, v := range list {
		out[i] = f(v)
	}
	return out
}

// stretch is a stretch of text that is written alike.
type stretch struct {
	Text  string
	Apart bool // set apart from the direction of the text around it
	Note  int  // refers to a note; 0: to none
	Date  bool // is a date, and stays on one line
}

// rightToLeft reports whether a character belongs to a script that is written
// from right to left.
func rightToLeft(r rune) bool {
	return r >= 0x590 && unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko,
		unicode.Samaritan, unicode.Mandaic, unicode.Adlam, unicode.Hanifi_Rohingya)
}

// setApart remembers names that must not turn the text around them.
func (p *paper) setApart(names ...string) {
	for _, n := range names {
		n = strict.Line(n)
		if strings.ContainsFunc(n, rightToLeft) && !slices.Contains(p.apart, n) {
			p.apart = append(p.apart, n)
		}
	}
	slices.SortStableFunc(p.apart, func(a, b string) int { return -cmp.Compare(len(a), len(b)) })
}

var noteOrDate = regexp.MustCompile(`\[[1-9][0-9]{0,3}\]|\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b`)

// stretches cuts text at notes and dates, at names that run the other way, and
// at whatever else runs the other way. All text of a paper passes through here,
// and is made harmless.
func (p *paper) stretches(s string) []stretch {
	s = strict.Line(s)
	var out []stretch
	plain := func(s string) {
		for s != "" {
			at := noteOrDate.FindStringIndex(s)
			if at == nil {
				break
			}
			if at[0] > 0 {
				out = append(out, stretch{Text: s[:at[0]]})
			}
			mark := stretch{Text: s[at[0]:at[1]]}
			if mark.Text[0] == '[' {
				n, _ := strconv.Atoi(mark.Text[1 : len(mark.Text)-1])
				if slices.ContainsFunc(p.Notes, func(o noteOut) bool { return o.N == n }) {
					mark.Note = n
				}
			} else {
				_, err := units.ParseDate(mark.Text)
				mark.Date = err == nil
			}
			out = append(out, mark)
			s = s[at[1]:]
		}
		if s != "" {
			out = append(out, stretch{Text: s})
		}
	}
	for s != "" {
		from, to := p.nextApart(s)
		plain(s[:from])
		if from < to {
			out = append(out, stretch{Text: s[from:to], Apart: true})
		}
		s = s[to:]
	}
	return out
}

// nextApart is where the next stretch lies that runs the other way; at the end
// of the text when there is none.
func (p *paper) nextApart(s string) (from, to int) {
	from = strings.IndexFunc(s, rightToLeft)
	if from < 0 {
		return len(s), len(s)
	}
	first, length := len(s), 0
	for _, n := range p.apart {
		if i := strings.Index(s, n); i >= 0 && i <= from && i < first {
			first, length = i, len(n)
		}
	}
	if length > 0 {
		return first, first + length
	}
	for i, r := range s[from:] {
		if rightToLeft(r) {
			to = from + i + len(string(r))
		} else if unicode.IsLetter(r) {
			break
		}
	}
	return from, to
}

// Marks that set text apart from the direction around it, where no element can.
const (
	isolate    = "\u2068"
	endIsolate = "\u2069"
)

// flat is text with its stretches set apart by marks.
func (p *paper) flat(s string) string {
	if p.bare {
		return strict.Line(s)
	}
	var b strings.Builder
	for _, sp := range p.stretches(s) {
		if sp.Apart {
			b.WriteString(isolate + sp.Text + endIsolate)
		} else {
			b.WriteString(sp.Text)
		}
	}
	return b.String()
}
