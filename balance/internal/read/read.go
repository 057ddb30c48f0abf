// Package read holds what files of rules and of targets have in common.
package read

import (
	"fmt"
	"strconv"
	"strings"

	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// ID reads an id: lower-case words and digits joined by single hyphens.
func ID(s string) (string, error) {
	if !strict.IsID(s) {
		return "", fmt.Errorf("id %q: want lower-case words joined by hyphens, at most %d letters", say.Clip(s), strict.MaxID)
	}
	return s, nil
}

// When reads a year, or a year and month, as rules and targets give their
// since and until: "2010", "2026-11". Such texts sort by time.
func When(s string) (string, error) {
	year, month, dated := strings.Cut(s, "-")
	y, err1 := strconv.ParseUint(year, 10, 16)
	mo, err2 := uint64(1), error(nil)
	if dated {
		mo, err2 = strconv.ParseUint(month, 10, 8)
	}
	if err1 != nil || err2 != nil || len(year) != 4 || y < 1900 || dated && len(month) != 2 || mo < 1 || mo > 12 {
		return "", fmt.Errorf("%q: want a year, or a year and month, as in 2010 or 2026-11", say.Clip(s))
	}
	return s, nil
}

// Lifetime reads since and until.
func Lifetime(m strict.Map) (since, until string) {
	since = strict.Value(m, "since", When)
	until, ended := strict.OptValue(m, "until", When)
	if ended && until < since {
		m.Get("until").Fail("until %s comes before since %s", until, since)
	}
	return since, until
}

const maxSentence = 400

// Sentence reads one sentence in one line.
func Sentence(s string) (string, error) {
	if strings.TrimSpace(s) == "" || len(s) > maxSentence || strict.Line(s) != s {
		return "", fmt.Errorf("want one sentence of at most %d letters, in one line", maxSentence)
	}
	return s, nil
}

// Schema checks the schema key of a file.
func Schema(m strict.Map, want string) {
	n := m.Get("schema")
	if got := n.Text(); got != "" && got != want {
		n.Fail("schema is %q, this reader wants %q", say.Clip(got), want)
	}
}

// Unique notes a fault for an id that was seen before.
func Unique(n strict.Node, seen map[string]bool, id string) {
	if id == "" {
		return
	}
	if seen[id] {
		n.Fail("id %s is given twice", id)
	}
	seen[id] = true
}

// Ref reads evidence and checks it against the registry.
func Ref(n strict.Node, reg *cite.Registry) cite.Ref {
	ref, ok := strict.Read(n, cite.ParseRef)
	if !ok {
		return ref
	}
	if err := ref.Check(reg); err != nil {
		n.Fail("%w", err)
	}
	return ref
}
