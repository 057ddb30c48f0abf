// Package evidence numbers what a sheet rests on: short words beside each value,
// one note for each piece of evidence, and the list of the sources that were
// named.
package evidence

import (
	"fmt"
	"slices"
	"strings"

	"fitchet.example/units/cite"
)

// Note is one numbered piece of evidence.
type Note struct {
	N    int    `json:"n"`
	Text string `json:"text"`
	Ref  string `json:"ref"`
}

// Source is a source that a sheet names.
type Source struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

// Notes are the notes and sources of one sheet, in the order they are first
// needed.
type Notes struct {
	reg     *cite.Registry
	cited   map[string]bool
	numbers map[string]int // by the reference's text
	list    []Note
}

// New returns no notes yet. Sources are looked up in reg.
func New(reg *cite.Registry) *Notes {
	return &Notes{reg: reg, cited: map[string]bool{}, numbers: map[string]int{}}
}

// Cite takes the sources of a reference into the list without a note.
func (n *Notes) Cite(r cite.Ref) {
	for _, k := range r.Sources {
		n.cited[k] = true
	}
}

// Words is the evidence in short: its class, the animal it was made for, and the
// number of the note that says it in full. Common practice has no source and no
// note.
func (n *Notes) Words(refs ...cite.Ref) string {
	var out []string
	for _, r := range refs {
		n.Cite(r)
		class := r.Evidence.String()
		switch r.Evidence {
		case cite.Practice:
			class = "common practice"
		case cite.Choice:
			class = "our choice"
		}
		if r.Borrowed != "" {
			class += ", " + r.Borrowed
		}
		if r.Evidence != cite.Practice {
			class += fmt.Sprintf(" [%d]", n.Number(r))
		}
		if !slices.Contains(out, class) {
			out = append(out, class)
		}
	}
	return strings.Join(out, "; ")
}

// Number is the number of the note for a reference; a new one is added.
func (n *Notes) Number(r cite.Ref) int {
	key := r.String()
	if i, ok := n.numbers[key]; ok {
		return i
	}
	i := len(n.list) + 1
	n.numbers[key] = i
	n.list = append(n.list, Note{i, r.Words(n.reg), key})
	return i
}

// List returns the notes in the order of their numbers, never nil.
func (n *Notes) List() []Note { return append([]Note{}, n.list...) }

// Sources lists what was cited, by key, never nil.
func (n *Notes) Sources() []Source {
	out := []Source{}
	for _, k := range n.reg.Keys() {
		if !n.cited[k] {
			continue
		}
		src, _ := n.reg.Source(k)
		var parts []string
		for _, p := range []string{src.Authors, src.Title, src.Year, src.Edition, src.Publisher} {
			if p != "" {
				parts = append(parts, strings.TrimSuffix(p, "."))
			}
		}
		text := src.Name() + ": " + strings.Join(parts, ". ") + "."
		if src.Restated() {
			text += " Read only where another text repeats it."
		}
		out = append(out, Source{k, text})
	}
	return out
}
