package main

import (
	"bytes"
	"fmt"
	"strings"

	layout "fitchet.example/examples/internal/page"
	"fitchet.example/units/strict"
)

// markdown is the sheet in CommonMark with the tables of GitHub's flavour. It
// holds no HTML. Pictures are left out, for the figures stand beside them.
func (p *paper) markdown() []byte {
	var b bytes.Buffer
	put := func(format string, args ...any) { fmt.Fprintf(&b, format, args...) }
	put("# %s\n", p.md(p.Title))
	for _, l := range p.Lead {
		put("\n%s\n", p.md(l))
	}
	for _, part := range p.Parts {
		put("\n## %s\n", p.md(part.Title))
		for _, bl := range part.Blocks {
			switch {
			case bl.Head != "":
				put("\n### %s\n", p.md(bl.Head))
			case bl.Text != "":
				put("\n%s\n", p.md(bl.Text))
			case bl.List != nil:
				put("\n")
				for _, it := range bl.List {
					put("- ")
					if bl.Ticks {
						put("☐ ")
					}
					if it.Mark != "" {
						put("**%s:** ", p.md(it.Mark))
					}
					put("%s\n", p.md(it.Text))
				}
			case bl.Table != nil:
				p.markdownTable(put, bl.Table)
			case bl.Fill != nil:
				put("\n")
				for _, f := range bl.Fill {
					put("- %s: %s\n", p.md(f), strings.Repeat(`\_`, 20))
				}
			}
		}
	}
	if len(p.Notes) > 0 {
		put("\n## Where the numbers come from\n\n")
		for _, n := range p.Notes {
			put("- [%d] %s\n", n.N, p.md(n.Text))
		}
	}
	return b.Bytes()
}

// markdownTable writes a table; a group's head becomes a first column.
func (p *paper) markdownTable(put func(string, ...any), t *table) {
	grouped := false
	pictured := make([]bool, len(t.Cols))
	for _, g := range t.Groups {
		grouped = grouped || g.Head != ""
		for _, r := range g.Rows {
			for c := range r {
				pictured[c] = pictured[c] || r[c].Strip != nil
			}
		}
	}
	put("\n**%s**\n\n", p.md(t.Caption))
	row := func(lead string, text func(c int) string) {
		if grouped {
			put("| %s ", lead)
		}
		for c := range t.Cols {
			if !pictured[c] {
				put("| %s ", text(c))
			}
		}
		put("|\n")
	}
	row(" ", func(c int) string { return p.md(t.Cols[c]) })
	row("---", func(int) string { return "---" })
	for _, g := range t.Groups {
		lead := ""
		if g.Head != "" {
			lead = p.md(g.Head)
		}
		for _, r := range g.Rows {
			row(lead, func(c int) string {
				if r[c].Blank != "" {
					return strings.TrimSpace(`\_\_\_\_ ` + p.md(r[c].Blank))
				}
				return strings.Join(each(r[c].Lines, p.md), "; ")
			})
		}
	}
}

// md is text in which nothing is taken for Markdown or HTML.
func (p *paper) md(s string) string {
	var b strings.Builder
	for _, sp := range p.stretches(strings.Join(strings.Fields(strict.Line(s)), " ")) {
		switch {
		case sp.Note > 0:
			b.WriteString(sp.Text)
		case sp.Apart:
			b.WriteString(isolate + layout.Markdown(sp.Text) + endIsolate)
		default:
			b.WriteString(layout.Markdown(sp.Text))
		}
	}
	out := b.String()
	// What would make a line the beginning of a list, a heading or a rule.
	if out != "" && strings.ContainsRune("#+-=>", rune(out[0])) {
		out = `\` + out
	}
	if i := strings.IndexFunc(out, func(r rune) bool { return r < '0' || r > '9' }); i > 0 && (out[i] == '.' || out[i] == ')') {
		out = out[:i] + `\` + out[i:]
	}
	return out
}
