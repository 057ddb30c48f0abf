package main

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"

	"fitchet.example/units/strict"
)

// text is the sheet for a terminal and for a plain printer.
func (p *paper) text() []byte {
	var b bytes.Buffer
	w := writer{&b, p.bare}
	title := p.flat(p.Title)
	fmt.Fprintf(w, "%s\n%s\n", title, strings.Repeat("=", wide(title)))
	for _, l := range p.Lead {
		w.para("", p.flat(l))
	}
	for _, part := range p.Parts {
		p.textPart(w, part)
	}
	if len(p.Notes) > 0 {
		w.head("Where the numbers come from")
		for _, n := range p.Notes {
			w.para(fmt.Sprintf("  [%d] ", n.N), p.flat(n.Text))
		}
	}
	return b.Bytes()
}

func (p *paper) textPart(w writer, part part) {
	w.head(p.flat(part.Title))
	for i, bl := range part.Blocks {
		if i > 0 {
			w.WriteString("\n")
		}
		switch {
		case bl.Head != "":
			w.para("", p.flat(bl.Head))
		case bl.Text != "":
			w.para("  ", p.flat(bl.Text))
		case bl.List != nil:
			for _, it := range bl.List {
				lead := "  - "
				if bl.Ticks {
					lead = "  ☐ "
				}
				if it.Mark != "" {
					lead += p.flat(it.Mark) + ": "
				}
				w.para(lead, p.flat(it.Text))
			}
		case bl.Table != nil:
			p.textTable(w, bl.Table)
		case bl.Fill != nil:
			for _, f := range bl.Fill {
				line := "  " + p.flat(f) + ": "
				fmt.Fprintf(w, "%s%s\n", line, strings.Repeat("_", max(page-wide(line), 20)))
			}
		}
	}
}

// textTable lays a table out in columns; pictures are left out, for the figures
// stand beside them.
func (p *paper) textTable(w writer, t *table) {
	var cols []int // that are not pictures
	for c := range t.Cols {
		pictured := false
		for _, g := range t.Groups {
			for _, r := range g.Rows {
				pictured = pictured || r[c].Strip != nil
			}
		}
		if !pictured {
			cols = append(cols, c)
		}
	}
	lines := func(c cell) []string {
		if c.Blank != "" {
			return []string{strings.TrimRight("____ "+c.Blank, " ")}
		}
		return each(c.Lines, strict.Line)
	}
	want := make([]int, len(cols))
	measure := func(i int, list []string) {
		for _, l := range list {
			want[i] = max(want[i], wide(l))
		}
	}
	for i, c := range cols {
		measure(i, strings.Fields(p.flat(t.Cols[c])))
		for _, g := range t.Groups {
			for _, r := range g.Rows {
				measure(i, lines(r[c]))
			}
		}
	}
	widths := fitColumns(want, page-2-2*len(cols))
	row := func(cells [][]string) {
		height := 0
		for i := range cells {
			cells[i] = each(foldLines(cells[i], widths[i]), p.flat)
			height = max(height, len(cells[i]))
		}
		for h := range height {
			line := "  "
			for i := range cells {
				s := ""
				if h < len(cells[i]) {
					s = cells[i][h]
				}
				line += s + strings.Repeat(" ", max(widths[i]-wide(s), 0)+2)
			}
			w.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	w.para("  ", p.flat(t.Caption))
	row(each(cols, func(c int) []string { return []string{strict.Line(t.Cols[c])} }))
	row(each(widths, func(n int) []string { return []string{strings.Repeat("-", n)} }))
	for _, g := range t.Groups {
		if g.Head != "" {
			w.para("  ", p.flat(g.Head))
		}
		for _, r := range g.Rows {
			row(each(cols, func(c int) []string { return lines(r[c]) }))
		}
	}
}

// fitColumns takes from the widest columns until all fit.
func fitColumns(want []int, room int) []int {
	const least = 6
	out := make([]int, len(want))
	sum := 0
	for i, w := range want {
		out[i] = max(w, 1)
		sum += out[i]
	}
	for sum > room {
		widest := 0
		for i, w := range out {
			if w > out[widest] {
				widest = i
			}
		}
		if out[widest] <= least {
			break
		}
		out[widest]--
		sum--
	}
	return out
}

// foldLines breaks lines at blanks, and words that are too long anywhere. What
// goes on is set in a little.
func foldLines(list []string, width int) (out []string) {
	for _, l := range list {
		line, indent := "", ""
		if len(list) > 1 && width > 8 {
			indent = "  "
		}
		for _, word := range strings.Fields(l) {
			for {
				switch {
				case line == "" || line == indent:
					if wide(line)+wide(word) > width {
						cut := take(word, width-wide(line))
						out = append(out, line+word[:cut])
						line, word = indent, word[cut:]
						continue
					}
					line += word
				case wide(line)+1+wide(word) > width:
					out = append(out, line)
					line = indent
					continue
				default:
					line += " " + word
				}
				break
			}
		}
		out = append(out, line)
	}
	return out
}

// take is how many bytes of a word fit into a width, at least one character.
func take(word string, width int) int {
	for i, r := range word {
		if i > 0 && wide(word[:i+len(string(r))]) > width {
			return i
		}
	}
	return len(word)
}

// wide is how many columns a text takes on a terminal, near enough: marks that
// do not show take none, ideographs and emoji two.
func wide(s string) (n int) {
	for _, r := range s {
		switch {
		case r < 0x300:
			n++
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case r >= 0x1100 && r <= 0x115f, r >= 0x2e80 && r <= 0xa4cf, r >= 0xac00 && r <= 0xd7a3, r >= 0xf900 && r <= 0xfaff,
			r >= 0xfe30 && r <= 0xfe6f, r >= 0xff00 && r <= 0xff60, r >= 0xffe0 && r <= 0xffe6, r >= 0x1f300 && r <= 0x1faff, r >= 0x20000 && r <= 0x3ffff:
			n += 2
		default:
			n++
		}
	}
	return n
}
