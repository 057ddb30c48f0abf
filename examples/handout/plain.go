package main

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"fitchet.example/units/strict"
)

// isolated keeps a name that is written from right to left from turning the
// line around it.
func isolated(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool {
		return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Adlam)
	}) {
		return "\u2068" + name + "\u2069"
	}
	return name
}

// voice is how a format writes text, and text that stands out.
type voice struct {
	text   func(string) string
	strong string
}

func aloud() voice { return voice{text: strict.Line} }

func marked() voice { return voice{escape, "**"} }

// with sets the marks behind a text, before the mark that ends it.
func (s said) with(v voice) string {
	out := v.text(s.Body())
	if s.Lead && out != "" {
		out = v.strong + out + v.strong
	}
	return out + markText(s.Marks) + s.End()
}

func markText(marks []mark) string {
	var b strings.Builder
	for _, m := range marks {
		b.WriteString(" " + m.String())
	}
	return b.String()
}

// join is a paragraph in one line.
func (p para) join(v voice) string {
	var parts []string
	for _, s := range p {
		if t := s.with(v); t != "" {
			parts = append(parts, t)
		}
	}
	return strings.Join(parts, " ")
}

const blank = "______________________________"

func orBlank(s string) string {
	if s == "" {
		return blank
	}
	return s
}

var special = regexp.MustCompile("[\\\\`*_\\[\\]<>|~&]")

var leading = regexp.MustCompile(`^([-+#=]|\d+[.)])`)

// escape makes Markdown show the text as it is.
func escape(s string) string {
	s = strict.Line(s)
	s = special.ReplaceAllString(s, `\$0`)
	if m := leading.FindString(s); m != "" {
		s = m[:len(m)-1] + `\` + s[len(m)-1:]
	}
	return s
}

// markdown writes CommonMark with tables.
func (d *document) markdown(w io.Writer) error {
	var b bytes.Buffer
	put := func(format string, args ...any) { fmt.Fprintf(&b, format, args...) }
	by, date := isolated(escape(d.For)), d.AsOf
	if d.For == "" {
		by = escape(blank)
	}
	if date == "" {
		date = escape(blank)
	} else {
		date = dateWords(date)
	}
	put("# %s\n\nHanded out by: %s\n\nDate: %s\n", escape(d.Title), by, date)
	put("\n")
	for _, k := range d.Key {
		put("- %s\n", k.with(marked()))
	}
	for _, t := range d.Topics {
		put("\n## %s\n", escape(t.Title))
		for _, bl := range t.Blocks {
			switch {
			case bl.Heading != "":
				put("\n### %s\n", escape(bl.Heading))
			case bl.Text != nil:
				put("\n%s\n", bl.Text.join(marked()))
			case bl.List != nil:
				put("\n")
				for _, p := range bl.List {
					put("- %s\n", p.join(marked()))
				}
			case bl.Fill != nil:
				put("\n")
				for _, f := range bl.Fill {
					put("- %s: %s\n", escape(f), escape(blank))
				}
			case bl.Table != nil:
				bl.Table.markdown(put)
			}
		}
	}
	put("\n## Take care\n\n")
	for _, c := range d.Cautions {
		put("- %s\n", c.with(marked()))
	}
	put("\n## Where the figures come from\n\n")
	for _, n := range d.Notes {
		put("%d. %s\n", n.Number, escape(n.Text))
	}
	if d.Form == "long" {
		put("\n## The sources in full\n\n")
		for _, s := range d.Sources {
			put("- %s\n", escape(s.Line()))
		}
	}
	put("\n%s\n", escape(d.footer()))
	_, err := w.Write(b.Bytes())
	return err
}

func (d *document) footer() string {
	return fmt.Sprintf("Rules of %s, mark %s, %s form. Two sheets with the same mark say the same.", d.Edition.Rules, d.Edition.Mark, d.Form)
}

func (t *table) markdown(put func(string, ...any)) {
	put("\n**%s**\n\n|", escape(t.Caption))
	columns := len(t.Columns)
	for _, c := range t.Columns {
		put(" %s |", c.with(marked()))
	}
	if t.sourced() {
		put(" How we know |")
		columns++
	}
	put("\n|%s\n", strings.Repeat(" --- |", columns))
	for _, r := range t.Rows {
		put("| %s |", r.Head.with(marked()))
		for _, c := range r.Cells {
			put(" %s |", c.join(marked()))
		}
		if t.sourced() {
			put(" %s |", strings.TrimSpace(markText(r.Marks)))
		}
		put("\n")
	}
}

const textWidth = 78

// text writes plain text, 78 columns wide.
func (d *document) text(w io.Writer) error {
	var b bytes.Buffer
	head := func(s, line string) {
		fmt.Fprintf(&b, "\n%s\n%s\n", s, strings.Repeat(line, utf8.RuneCountInString(s)))
	}
	item := func(bullet, s string) { wrap(&b, bullet, strings.Repeat(" ", len(bullet)), s) }
	fmt.Fprintf(&b, "%s\n\nHanded out by: %s\nDate: %s\n\n", strings.ToUpper(d.Title), orBlank(isolated(d.For)), orBlank(dateWords(d.AsOf)))
	for _, k := range d.Key {
		item("  ", k.Text)
	}
	for _, t := range d.Topics {
		head(t.Title, "=")
		for _, bl := range t.Blocks {
			switch {
			case bl.Heading != "":
				head(bl.Heading, "-")
			case bl.Text != nil:
				fmt.Fprintln(&b)
				item("", bl.Text.join(aloud()))
			case bl.List != nil:
				fmt.Fprintln(&b)
				for _, p := range bl.List {
					item("- ", p.join(aloud()))
				}
			case bl.Fill != nil:
				fmt.Fprintln(&b)
				for _, f := range bl.Fill {
					fmt.Fprintf(&b, "%s: %s\n", f, blank)
				}
			case bl.Table != nil:
				bl.Table.text(&b, item)
			}
		}
	}
	head("Take care", "=")
	for _, c := range d.Cautions {
		item("- ", c.with(aloud()))
	}
	head("Where the figures come from", "=")
	for _, n := range d.Notes {
		item(fmt.Sprintf("[%d] ", n.Number), n.Text)
	}
	if d.Form == "long" {
		head("The sources in full", "=")
		for _, s := range d.Sources {
			item("- ", s.Line())
		}
	}
	fmt.Fprintln(&b)
	item("", d.footer())
	_, err := w.Write(b.Bytes())
	return err
}

// text writes a table row by row: what heads it, then each cell under the name
// of its column.
func (t *table) text(b *bytes.Buffer, item func(bullet, s string)) {
	fmt.Fprintf(b, "\n")
	title := t.Caption
	if len(t.Columns[0].Marks) > 0 {
		title += "; " + t.Columns[0].with(aloud())
	}
	item("", title+":")
	for _, r := range t.Rows {
		item("  ", r.Head.with(aloud())+markText(r.Marks))
		for i, c := range r.Cells {
			if s := c.join(aloud()); s != "" {
				item("      ", t.Columns[i+1].with(aloud())+": "+s)
			}
		}
	}
}

// wrap breaks a line at blanks so that it fits the width, with one lead on the
// first line and another on the rest.
func wrap(b *bytes.Buffer, first, rest, s string) {
	line, used := first, utf8.RuneCountInString(first)
	empty := true
	for _, word := range strings.Split(s, " ") {
		n := utf8.RuneCountInString(word)
		if !empty && used+1+n > textWidth {
			fmt.Fprintln(b, line)
			line, used, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line += " "
			used++
		}
		line += word
		used += n
		empty = false
	}
	fmt.Fprintln(b, line)
}
