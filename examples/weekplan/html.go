package main

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"regexp"
	"strings"
	"unicode"
)

//go:embed paper.html.tmpl
var htmlSource string

//go:embed paper.css
var style string

// html is the sheet as one file without script or outside request.
func (p *paper) html() ([]byte, error) {
	t, err := template.New("paper").Funcs(template.FuncMap{"stretches": p.stretches, "flat": p.flat, "held": held}).Parse(htmlSource)
	if err != nil {
		return nil, err
	}
	n := 0
	for _, part := range p.Parts {
		for _, bl := range part.Blocks {
			if bl.Table != nil {
				n++
				bl.Table.ID = fmt.Sprintf("table-%d", n)
			}
		}
	}
	var b bytes.Buffer
	err = t.Execute(&b, struct {
		*paper
		Style   template.CSS // our own file
		Running template.CSS
	}{p, template.CSS(style), template.CSS("@media print { @page { @bottom-left { content: \"" + cssText(p.flat(p.Foot)) + "\"; } } }")})
	return b.Bytes(), err
}

// cssText is text for between quotes in a style sheet: all but plain letters,
// digits and blanks is written as its number, so that nothing in it can end the
// quotes or the sheet.
func cssText(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r == ' ' || r < 0x80 && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "\\%06x ", r)
		}
	}
	return b.String()
}

// Class names how a part is set.
func (p part) Class() string {
	var words []string
	for _, w := range []struct {
		on   bool
		name string
	}{{p.Own, "own"}, {p.Whole, "whole"}, {p.Half, "half"}, {p.Small, "small"}, {p.Card, "card"}} {
		if w.on {
			words = append(words, w.name)
		}
	}
	return strings.Join(words, " ")
}

// Class names how a cell is set.
func (c cell) Class() string {
	switch {
	case c.Blank == " ":
		return "tick"
	case c.Blank != "":
		return "blank"
	case c.Keep:
		return "keep"
	}
	return ""
}

// Width is how many columns a head over all of them spans.
func (t *table) Width() int { return len(t.Cols) }

var quantity = regexp.MustCompile(`([0-9]) (mg|g|kg|oz|lb|kcal|%|h|min|IU|µg|°C|°F|EUR|GBP|USD)(?:$|[^\pL\pN])`)

// held keeps a number and its unit on one line.
func held(s string) string {
	return quantity.ReplaceAllStringFunc(s, func(q string) string { return strings.Replace(q, " ", "\u00a0", 1) })
}
