// Package page lays text out for people: headings, paragraphs with a hanging
// indent, and masses in grams and ounces.
package page

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// Width is how wide the text is.
const Width = 96

// Writer lays text out in lines of at most Width characters. What it is given may come from anywhere: it is made harmless,
// save for what is written to the buffer itself.
type Writer struct{ bytes.Buffer }

// Title writes the title of the whole text.
func (w *Writer) Title(s string) { w.under(s, "=") }

// Head writes the title of a part.
func (w *Writer) Head(s string) {
	w.WriteString("\n")
	w.under(s, "-")
}

func (w *Writer) under(s, with string) {
	s = strict.Line(s)
	w.WriteString(s + "\n" + strings.Repeat(with, utf8.RuneCountInString(s)) + "\n")
}

// Para writes text with a hanging indent: lead on the first line, blanks of the
// same width on the others.
func (w *Writer) Para(lead, text string) { Para(&w.Buffer, strict.Line(lead), strict.Line(text)) }

// Markdown is text in which nothing within a line is taken for Markdown or HTML.
func Markdown(s string) string { return markdownMarks.Replace(strict.Line(s)) }

var markdownMarks = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, "&", `\&`, "|", `\|`, "~", `\~`)

// Put is fmt.Fprintf with each text among the values made harmless.
func Put(w io.Writer, format string, values ...any) {
	for i, v := range values {
		switch v := v.(type) {
		case string:
			values[i] = strict.Line(v)
		case error:
			values[i] = strict.Line(v.Error())
		}
	}
	fmt.Fprintf(w, format, values...)
}

// Para writes text that is harmless already with a hanging indent into a buffer.
func Para(b *bytes.Buffer, lead, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line := lead
	empty := true
	for word := range strings.FieldsSeq(text) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > Width {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
}

// List writes each text as an entry.
func (w *Writer) List(texts []string) {
	for _, t := range texts {
		w.Para("  - ", t)
	}
}

// Row writes cells in columns of these widths; a cell that is wider pushes the
// rest along. The last column has no width.
func (w *Writer) Row(widths []int, cells ...string) {
	line := ""
	for i, c := range cells {
		c = strict.Line(c)
		line += c
		if i < len(widths) {
			line += strings.Repeat(" ", max(widths[i]-utf8.RuneCountInString(c), 0)) + " "
		}
	}
	w.WriteString(strings.TrimRight(line, " ") + "\n")
}

// Both is a mass in grams and ounces; small ones with a second place, so that
// they do not read as nothing.
func Both(m units.Mass) string {
	places := int32(1)
	if m < 3*units.Gram {
		places = 2
	}
	return m.InGrams(0) + " (" + m.InOunces(places) + ")"
}

// Span is a range of masses in grams and ounces; one mass when both ends are
// alike.
func Span(r units.Range[units.Mass]) string {
	if r.Low.InGrams(0) == r.High.InGrams(0) {
		return Both(r.Typical)
	}
	return strings.TrimSuffix(r.Low.InGrams(0), " g") + " to " + r.High.InGrams(0) + " (" + strings.TrimSuffix(r.Low.InOunces(1), " oz") + " to " + r.High.InOunces(1) + ")"
}

// And joins words as people do: "a", "a and b", "a, b and c".
func And(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}
