package main

import (
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
)

// cslItem is a source in CSL-JSON. Authors are kept as they are printed, as one
// literal name: they are people, bodies and "and others" alike.
type cslItem struct {
	ID        string    `json:"id"`
	Type      string    `json:"type"`
	Title     string    `json:"title"`
	Short     string    `json:"title-short,omitempty"`
	Author    []cslName `json:"author,omitempty"`
	Issued    *cslDate  `json:"issued,omitempty"`
	Edition   string    `json:"edition,omitempty"`
	Publisher string    `json:"publisher,omitempty"`
	DOI       string    `json:"DOI,omitempty"`
	Note      string    `json:"note,omitempty"`
}

type cslName struct {
	Literal string `json:"literal"`
}

type cslDate struct {
	DateParts [][]int `json:"date-parts"`
}

var doi = regexp.MustCompile(`(?i)(?:,\s*)?\bdoi:?\s*(10\.\d{4,9}/[^\s{}\\%]+)`)

// split takes a DOI out of an edition.
func split(edition string) (rest, id string) {
	m := doi.FindStringSubmatchIndex(edition)
	if m == nil {
		return edition, ""
	}
	id = strings.TrimRight(edition[m[2]:m[3]], ".,;")
	return strings.Trim(edition[:m[0]]+edition[m[2]+len(id):], " ,;"), id
}

// cited says how much was read and for what a source is cited.
func (s source) cited() string {
	text := "Read: " + reachWords(s.Reach, s.Locator)
	if s.Reach == "restatement" {
		text += " Confirm against the original."
	}
	if s.Remark != "" {
		text += " " + sentence(s.Remark)
	}
	return text
}

func (d *document) csl(w io.Writer) error {
	items := []cslItem{}
	for _, s := range d.Sources {
		it := cslItem{ID: s.Key, Type: "document", Title: s.Title, Short: s.Name, Publisher: s.Publisher, Note: s.cited()}
		if s.Reach == "dataset" {
			it.Type = "dataset"
		}
		if s.Authors != "" {
			it.Author = []cslName{{s.Authors}}
		}
		if y, err := strconv.Atoi(s.Year); err == nil {
			it.Issued = &cslDate{[][]int{{y}}}
		}
		it.Edition, it.DOI = split(s.Edition)
		items = append(items, it)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(items)
}

// bibtex writes every source as an entry that any style can show.
func (d *document) bibtex(w io.Writer) error {
	var b strings.Builder
	for i, s := range d.Sources {
		if i > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "@misc{%s", s.Key)
		field := func(name, value string) {
			if value != "" {
				fmt.Fprintf(&b, ",\n  %s = {%s}", name, value)
			}
		}
		// whole keeps a reader from parting a name or changing its case.
		whole := func(s string) string {
			if s == "" {
				return ""
			}
			return "{" + texEscape(s) + "}"
		}
		edition, id := split(s.Edition)
		published := strings.Join(slicesOf(s.Publisher, edition), ", ")
		field("author", whole(s.Authors))
		field("title", whole(s.Title))
		field("howpublished", texEscape(published))
		if _, err := strconv.Atoi(s.Year); err == nil {
			field("year", s.Year)
		}
		field("doi", id) // as it is: readers take this field verbatim
		field("note", texEscape(s.cited()))
		b.WriteString("\n}\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// slicesOf keeps what is not empty.
func slicesOf(all ...string) []string {
	var out []string
	for _, s := range all {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// texEscape makes a text safe inside the braces of a field.
func texEscape(s string) string {
	return strings.NewReplacer(
		`\`, `\textbackslash{}`, `{`, `\{`, `}`, `\}`, `$`, `\$`, `&`, `\&`, `%`, `\%`, `#`, `\#`, `_`, `\_`,
		`~`, `\textasciitilde{}`, `^`, `\textasciicircum{}`,
	).Replace(s)
}
