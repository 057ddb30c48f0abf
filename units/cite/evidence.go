package cite

import (
	"errors"
	"fmt"
)

// Evidence says how a figure is known. The zero value is no evidence at all
// and is refused by [Ref.Check]; there is no value for a recalled figure.
type Evidence uint8

const (
	// Published: the text, table or data file was read. It needs a source and a locator.
	Published Evidence = iota + 1
	// Derived: arithmetic on published figures. It needs the sources and the arithmetic.
	Derived
	// Practice: people who feed do it so; no source is claimed.
	Practice
	// Choice: ours, with the reason. A user may choose otherwise.
	Choice
)

// ErrMemory is returned for the word "memory": a recalled figure never ships.
var ErrMemory = errors.New("a recalled figure has no evidence: read it in a source (published) or leave it out")

// ErrSyntax is wrapped by every other error of [ParseEvidence] and [ParseRef].
var ErrSyntax = errors.New("not a reference")

// ParseEvidence reads "published", "derived", "practice" or "choice", exactly
// so written. The word "memory" gives an error that wraps [ErrMemory], every
// other text one that wraps [ErrSyntax].
func ParseEvidence(s string) (Evidence, error) {
	switch s {
	case "published":
		return Published, nil
	case "derived":
		return Derived, nil
	case "practice":
		return Practice, nil
	case "choice":
		return Choice, nil
	case "memory":
		return 0, fmt.Errorf("evidence %q: %w", s, ErrMemory)
	}
	return 0, fmt.Errorf("evidence %q: %w: want published, derived, practice or choice", clip(s), ErrSyntax)
}

// Valid reports whether e is one of the four classes.
func (e Evidence) Valid() bool { return e >= Published && e <= Choice }

// String returns the word that [ParseEvidence] reads, or "no evidence" for a
// value that is none of the four classes.
func (e Evidence) String() string {
	switch e {
	case Published:
		return "published"
	case Derived:
		return "derived"
	case Practice:
		return "practice"
	case Choice:
		return "choice"
	}
	return "no evidence"
}

// Ref is a reference of this class with its locator: the table or page, the
// arithmetic, what is done, or the reason; see [Ref]. Nothing is checked here.
func (e Evidence) Ref(at string, sources ...string) Ref {
	return Ref{Evidence: e, At: at, Sources: sources}
}

// BorrowedFrom is the reference with the animal that its figure was measured in.
func (r Ref) BorrowedFrom(animal string) Ref {
	r.Borrowed = animal
	return r
}

// MarshalText returns the word of e. A value that is none of the four classes
// is an error, so that a figure without evidence cannot be written out.
func (e Evidence) MarshalText() ([]byte, error) {
	if !e.Valid() {
		return nil, fmt.Errorf("writing evidence class %d: %w", uint8(e), ErrSyntax)
	}
	return []byte(e.String()), nil
}

// UnmarshalText is [ParseEvidence].
func (e *Evidence) UnmarshalText(text []byte) error {
	v, err := ParseEvidence(string(text))
	if err != nil {
		return err
	}
	*e = v
	return nil
}

// clip keeps quoted input in messages short.
func clip(s string) string {
	const most = 60
	n := 0
	for i := range s {
		if n == most {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
