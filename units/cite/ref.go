package cite

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/units/strict"
)

// Bounds of the text form. They are far above any honest citation and keep a
// hostile file from growing messages and reports.
const (
	maxRefBytes = 2048
	maxSources  = 16
)

// ErrUnknownSource is wrapped by [Ref.Check] for a key that the registry does not hold.
var ErrUnknownSource = errors.New("source is not in the registry")

// ErrIncomplete is wrapped by [Ref.Check] for a reference that lacks what its
// class of evidence asks for, or carries what its class forbids.
var ErrIncomplete = errors.New("reference is not complete")

// Ref is where one figure comes from.
type Ref struct {
	Evidence Evidence
	// Sources are keys of the registry, in the order written.
	Sources []string
	// At is the locator (published), the arithmetic (derived), what is done
	// (practice) or the reason (choice). With several sources the locators may
	// be separated by ";" in the order of the sources; when the counts differ
	// the text stands for all sources together.
	At string
	// Borrowed names the animal the figure was made for, "cat" or "mink", when
	// it is used for another. Lower-case words; empty when the figure is the
	// animal's own.
	Borrowed string
}

// ParseRef reads the text form that the package comment gives. It judges the
// form alone: whether the sources exist and the class has what it needs is
// asked of [Ref.Check]. Errors wrap [ErrSyntax], or [ErrMemory] when the
// evidence is "memory".
func ParseRef(s string) (Ref, error) {
	bad := func(format string, args ...any) (Ref, error) {
		return Ref{}, fmt.Errorf("evidence %q: %w: %s", clip(s), ErrSyntax, fmt.Sprintf(format, args...))
	}
	if len(s) > maxRefBytes {
		return bad("longer than %d bytes", maxRefBytes)
	}
	if err := strict.Clean(s); err != nil {
		return bad("%v", err)
	}
	text := strings.TrimSpace(s)
	var r Ref
	text, r.Borrowed = cutAnimal(text)
	head, at, colon := strings.Cut(text, ":")
	r.At = strings.TrimSpace(at)
	// "class:[cat]" has no space to cut at; it too is an animal without a text.
	if rest, animal := cutAnimal(" " + r.At); animal != "" && rest == "" || colon && r.At == "" {
		return bad("nothing after the colon")
	}
	word, keys, _ := strings.Cut(strings.TrimSpace(head), " ")
	class, err := ParseEvidence(word)
	if err != nil {
		return Ref{}, err
	}
	r.Evidence = class
	if keys = strings.TrimSpace(keys); keys == "" {
		return r, nil
	}
	for key := range strings.SplitSeq(keys, ",") {
		key = strings.TrimSpace(key)
		if !strict.IsID(key) {
			return bad("%q is not a source key: lower-case letters, digits and hyphens, keys separated by commas, then a colon and the locator", clip(key))
		}
		if slices.Contains(r.Sources, key) {
			return bad("source %s is named twice", key)
		}
		r.Sources = append(r.Sources, key)
	}
	if len(r.Sources) > maxSources {
		return bad("more than %d sources", maxSources)
	}
	return r, nil
}

// cutAnimal takes a closing " [animal]" off the text. Brackets that do not
// hold lower-case words belong to the locator.
func cutAnimal(text string) (rest, animal string) {
	open := strings.LastIndex(text, " [")
	if open < 0 || !strings.HasSuffix(text, "]") {
		return text, ""
	}
	animal = text[open+2 : len(text)-1]
	if !validAnimal(animal) {
		return text, ""
	}
	return strings.TrimSpace(text[:open]), animal
}

// validAnimal accepts lower-case ASCII words joined by single spaces or hyphens.
func validAnimal(s string) bool {
	if s == "" || len(s) > strict.MaxID {
		return false
	}
	letter := false
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z':
			letter = true
		case (c == ' ' || c == '-') && letter:
			letter = false
		default:
			return false
		}
	}
	return letter
}

// String returns the text form. For every Ref that passes [Ref.Check], and
// for every Ref that [ParseRef] returned, ParseRef(r.String()) gives r again.
func (r Ref) String() string {
	var b strings.Builder
	b.WriteString(r.Evidence.String())
	if len(r.Sources) > 0 {
		b.WriteString(" ")
		b.WriteString(strings.Join(r.Sources, ", "))
	}
	if r.At != "" {
		b.WriteString(": ")
		b.WriteString(r.At)
	}
	if r.Borrowed != "" {
		b.WriteString(" [")
		b.WriteString(r.Borrowed)
		b.WriteString("]")
	}
	return b.String()
}

// MarshalText returns the text form. A Ref without evidence is an error.
func (r Ref) MarshalText() ([]byte, error) {
	if !r.Evidence.Valid() {
		return nil, fmt.Errorf("writing a reference: %w: it has no evidence", ErrIncomplete)
	}
	return []byte(r.String()), nil
}

// UnmarshalText is [ParseRef].
func (r *Ref) UnmarshalText(text []byte) error {
	v, err := ParseRef(string(text))
	if err != nil {
		return err
	}
	*r = v
	return nil
}

// Check returns nil when the reference is whole:
//
//	published   at least one known source and a locator
//	derived     at least one known source and the arithmetic
//	practice    no source
//	choice      a reason; sources it leans on are allowed and must be known
//
// and when its text form reads back as the same value. Otherwise it returns
// every fault joined; each wraps [ErrIncomplete], [ErrUnknownSource] or
// [ErrSyntax]. A nil registry knows no source.
func (r Ref) Check(reg *Registry) error {
	if !r.Evidence.Valid() {
		return fmt.Errorf("%w: it has no evidence", ErrIncomplete)
	}
	var faults []error
	lacks := func(what string) {
		faults = append(faults, fmt.Errorf("evidence %q: %w: %s", clip(r.String()), ErrIncomplete, what))
	}
	switch r.Evidence {
	case Published:
		if len(r.Sources) == 0 {
			lacks("published needs a source key")
		}
		if r.At == "" {
			lacks("published needs a locator (table, page, row)")
		}
	case Derived:
		if len(r.Sources) == 0 {
			lacks("derived needs the source key of its input")
		}
		if r.At == "" {
			lacks("derived needs its arithmetic")
		}
	case Practice:
		if len(r.Sources) > 0 {
			lacks("practice takes no source key; a figure read in a source is published")
		}
	case Choice:
		if r.At == "" {
			lacks("choice needs its reason")
		}
	}
	for _, key := range r.Sources {
		if _, ok := reg.Source(key); !ok {
			faults = append(faults, fmt.Errorf("evidence %q: %q: %w", clip(r.String()), clip(key), ErrUnknownSource))
		}
	}
	if back, err := ParseRef(r.String()); err != nil {
		faults = append(faults, err)
	} else if !r.equal(back) {
		faults = append(faults, fmt.Errorf("evidence %q: %w: its parts do not read back from this text", clip(r.String()), ErrSyntax))
	}
	return errors.Join(faults...)
}

func (r Ref) equal(o Ref) bool {
	return r.Evidence == o.Evidence && slices.Equal(r.Sources, o.Sources) && r.At == o.At && r.Borrowed == o.Borrowed
}

// Words returns the reference for people: short names instead of keys.
//
//	published   "USDA SR28, NDB 05100"; "as restated in Bell 1999, table 2"
//	            when only a text that repeats the source was read
//	derived     "derived from USDA SR28: 36/(100-39)"
//	practice    "common practice", "common practice: two meals a day"
//	choice      "our choice: the middle of the range"
//
// with " (cat figure)" behind it for a figure made for another animal. It
// never fails: a key that reg does not hold is shown as the key, and marked.
func (r Ref) Words(reg *Registry) string {
	var s string
	switch r.Evidence {
	case Published:
		s = r.publishedWords(reg)
	case Derived:
		s = "derived"
		if names := r.names(reg, "figures as restated in "); len(names) > 0 {
			s += " from " + and(names)
		}
		if r.At != "" {
			s += ": " + r.At
		}
	case Practice:
		s = "common practice"
		if r.At != "" {
			s += ": " + r.At
		}
	case Choice:
		s = "our choice"
		if r.At != "" {
			s += ": " + r.At
		}
		if names := r.names(reg, "as restated in "); len(names) > 0 {
			s += " (see " + and(names) + ")"
		}
	default:
		s = "no evidence given"
	}
	if r.Borrowed != "" {
		s += " (" + r.Borrowed + " figure)"
	}
	return s
}

// publishedWords sets each locator beside its source when there is one for
// each, and otherwise the whole text behind all of them.
func (r Ref) publishedWords(reg *Registry) string {
	names := r.names(reg, "as restated in ")
	if len(names) == 0 {
		names = []string{"source not named"}
	}
	if r.At == "" {
		return and(names)
	}
	places := strings.Split(r.At, ";")
	if len(places) != len(names) {
		return and(names) + ", " + r.At
	}
	for i, place := range places {
		if place = strings.TrimSpace(place); place != "" {
			names[i] += ", " + place
		}
	}
	return strings.Join(names, "; ")
}

// names returns the short names, with restated before those that repeat
// another source.
func (r Ref) names(reg *Registry, restated string) []string {
	names := make([]string, 0, len(r.Sources))
	for _, key := range r.Sources {
		src, ok := reg.Source(key)
		switch {
		case !ok:
			names = append(names, key+" (unknown source)")
		case src.Restated():
			names = append(names, restated+src.Name())
		default:
			names = append(names, src.Name())
		}
	}
	return names
}

// and joins names as people do: "a", "a and b", "a, b and c".
func and(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
