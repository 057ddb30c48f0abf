package main

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/strict"
)

//go:embed handout.html.tmpl
var page string

//go:embed handout.css
var style string

// Body is the text without the mark that ends it, so that the references can
// stand before it.
func (s said) Body() string { return s.Text[:len(s.Text)-len(s.End())] }

// End is the full stop, colon or semicolon that ends the text.
func (s said) End() string {
	if n := len(s.Text); n > 0 && strings.ContainsRune(".;:,", rune(s.Text[n-1])) {
		return s.Text[n-1:]
	}
	return ""
}

// tied is a text whose amounts do not part from their units at the end of a line.
var tied = regexp.MustCompile(`(\d) (°C|°F|%|: 1|\d{3}\b|(?:g|kg|mg|µg|oz|lb|kcal|h|min|d|IU|mL|cm|in)\b)`)

func tie(s string) string { return tied.ReplaceAllString(strict.Line(s), "$1\u00a0$2") }

// Brief reports whether the table is short enough to be kept on one page.
func (t *table) Brief() bool { return len(t.Rows) <= 8 }

// Label is the head of a column as one text, for screens on which every cell
// stands on a line of its own. The head of the first is asked for with 0 alone,
// and is shown there only when it carries evidence.
func (t *table) Label(column ...int) string {
	i := 0
	for _, c := range column {
		i += c
	}
	if i == 0 && len(t.Columns[0].Marks) == 0 {
		return ""
	}
	return t.Columns[i].with(aloud())
}

// Sourced reports whether a column says how the rows are known.
func (t *table) Sourced() bool { return t.sourced() }

// Line is a source as one entry of a list.
func (s source) Line() string {
	var parts []string
	for _, p := range []string{s.Authors, s.Title, s.Edition, s.Publisher, s.Year} {
		if p != "" {
			parts = append(parts, strings.TrimSuffix(p, "."))
		}
	}
	line := s.Name + ": " + strings.Join(parts, ". ") + ". Read: " + reachWords(s.Reach, s.Locator)
	if s.Remark != "" {
		line += " " + sentence(s.Remark)
	}
	return line
}

// reachWords says how much of a source was read.
func reachWords(reach, locator string) string {
	what := map[string]string{"full": "all of it", "part": "in part", "abstract": "the abstract", "dataset": "the data file", "restatement": "only a text that repeats it"}[reach]
	if locator != "" && locator != "abstract" {
		what += " (" + locator + ")"
	}
	return what + "."
}

// dateWords is "25 November 2026".
func dateWords(iso string) string {
	d, err := units.ParseDate(iso)
	if err != nil {
		return iso
	}
	months := [...]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}
	var y, m, day int
	if _, err := fmt.Sscanf(d.String(), "%d-%d-%d", &y, &m, &day); err != nil || m < 1 || m > 12 {
		return iso
	}
	return fmt.Sprintf("%d %s %d", day, months[m-1], y)
}

type drawnBlock struct {
	block
	Drawn *drawing
}

type drawnTopic struct {
	ID, Title string
	Blocks    []drawnBlock
}

// html writes one file that asks nothing of the network.
func (d *document) html(w io.Writer) error {
	seen := map[int]bool{}
	t, err := template.New("handout").Funcs(template.FuncMap{
		"tie":   tie,
		"first": func(n int) bool { f := !seen[n]; seen[n] = true; return f },
	}).Parse(page)
	if err != nil {
		return fmt.Errorf("reading the page template: %w", err)
	}
	view := struct {
		*document
		Date   string
		CSS    template.CSS
		Topics []drawnTopic
	}{d, dateWords(d.AsOf), template.CSS(style), nil}
	plots := 0
	for _, t := range d.Topics {
		out := drawnTopic{ID: t.ID, Title: t.Title}
		for _, b := range t.Blocks {
			db := drawnBlock{block: b}
			if b.Plot != nil {
				plots++
				db.Drawn = b.Plot.draw(fmt.Sprintf("plot%d", plots))
			}
			out.Blocks = append(out.Blocks, db)
		}
		view.Topics = append(view.Topics, out)
	}
	if err := t.Execute(w, view); err != nil {
		return fmt.Errorf("writing the page: %w", err)
	}
	return nil
}
