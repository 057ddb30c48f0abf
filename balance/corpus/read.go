package corpus

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// Names of the file kinds. A name changes when a reader of the old form would
// misread the new.
const (
	ManifestSchema  = "fitchet.corpus/1"
	FoodsSchema     = "fitchet.foods/1"
	CasesSchema     = "fitchet.cases/1"
	ScenariosSchema = "fitchet.scenarios/1"
	KnownSchema     = "fitchet.known/1"
)

// keys checks the order in which the keys of a mapping stand. One order makes
// files of one kind look alike, and a changed line shows as one changed line.
func keys(m strict.Map, order ...string) {
	last, at := -1, ""
	for _, key := range m.Keys() {
		i := slices.Index(order, key)
		if i < 0 {
			continue // Done calls it unknown
		}
		if i < last {
			m.Key(key).Fail("key %s stands after %s: the order is %s", key, at, strings.Join(order, ", "))
		}
		last, at = max(last, i), key
	}
}

func wantSchema(m strict.Map, want string) {
	n := m.Get("schema")
	if got := n.Text(); got != "" && got != want {
		n.Fail("schema is %q, this reader wants %q", say.Clip(got), want)
	}
}

// idLetters leaves out whatever looks or sounds like something else, and vowels,
// so that no word is spelt by accident.
const idLetters = "bcdfghjkmnpqrstvwxz23456789"

const idLength = 8

// ParseID reads a permanent id: eight signs of the id alphabet, the first a
// letter and one at least a digit.
func ParseID(s string) (string, error) {
	digit := false
	ok := len(s) == idLength && s[0] >= 'a'
	for i := range len(s) {
		ok = ok && strings.IndexByte(idLetters, s[i]) >= 0
		digit = digit || s[i] <= '9'
	}
	if !ok || !digit {
		return "", fmt.Errorf("id %q: want %d signs of %s, a letter first and a digit among them", say.Clip(s), idLength, idLetters)
	}
	return s, nil
}

// parseTitle reads one line that says what is special.
func parseTitle(s string) (string, error) {
	switch {
	case s == "" || len(s) > 100:
		return "", errors.New("want one line of at most 100 bytes that says what is special")
	case strings.HasSuffix(s, "."):
		return "", errors.New("a title ends without a full stop")
	}
	low := strings.ToLower(s)
	for _, w := range []string{"should", "test that", "tests that", "check that"} {
		if strings.Contains(low, w) {
			return "", fmt.Errorf("a title says what is, not %q", w)
		}
	}
	return s, nil
}

func parseSentence(s string) (string, error) {
	if s == "" || len(s) > 400 || !strings.HasSuffix(s, ".") {
		return "", errors.New("want a sentence of at most 400 bytes with its full stop")
	}
	return s, nil
}

// parseName reads the id of a rule, target, food or animal.
func parseName(s string) (string, error) {
	ok := s != "" && len(s) <= 64 && s[0] != '-' && s[len(s)-1] != '-'
	for i := range len(s) {
		c := s[i]
		ok = ok && (c == '-' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9')
	}
	if !ok {
		return "", fmt.Errorf("%q: want lower-case words joined by hyphens", say.Clip(s))
	}
	return s, nil
}

func parseWord(what string, known ...string) func(string) (string, error) {
	return func(s string) (string, error) {
		if !slices.Contains(known, s) {
			return "", fmt.Errorf("%s %q: want %s", what, say.Clip(s), strings.Join(known, ", "))
		}
		return s, nil
	}
}

// parseMass reads a mass in its one canonical form: grams as Mass writes them,
// or ounces.
func parseMass(s string) (units.Mass, error) {
	m, err := units.ParseMass(s)
	if err == nil && !strings.HasSuffix(s, "oz") && m.String() != s {
		err = fmt.Errorf("%q is written %q here", say.Clip(s), m.String())
	}
	if err == nil && m <= 0 {
		err = errors.New("a mass of nothing")
	}
	return m, err
}

func parseShare(s string) (units.Share, error) {
	v, err := units.ParseShare(s)
	if err == nil && v.String() != s {
		err = fmt.Errorf("%q is written %q here", say.Clip(s), v.String())
	}
	return v, err
}

// span is a stretch of days, both counted from 1.
type span struct{ from, to int }

// parseSpan reads "3" or "1-7".
func parseSpan(s string) (span, error) {
	a, b, ranged := strings.Cut(s, "-")
	if !ranged {
		b = a
	}
	from, err1 := strconv.ParseUint(a, 10, 8)
	to, err2 := strconv.ParseUint(b, 10, 8)
	if err1 != nil || err2 != nil || from < 1 || to < from || to > maxDays || ranged && from == to {
		return span{}, fmt.Errorf("days %q: want one day or a span, as in 3 or 1-7, up to %d", say.Clip(s), maxDays)
	}
	return span{int(from), int(to)}, nil
}

const maxDays = 28

func readRef(n strict.Node, reg *cite.Registry) cite.Ref {
	ref, ok := strict.Read(n, cite.ParseRef)
	if !ok {
		return ref
	}
	if err := ref.Check(reg); err != nil {
		n.Fail("%w", err)
	}
	return ref
}

func validUTF8(b []byte) bool { return utf8.Valid(b) }

func place(path string, n strict.Node) ration.Place {
	return ration.Place{Path: path, Line: n.Line(), Col: n.Col()}
}
