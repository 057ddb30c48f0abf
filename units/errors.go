package units

import (
	"errors"
	"fmt"
	"strings"
)

// The reasons why a text or a calculation is refused. Every parser of a
// quantity wraps one of them in a *ParseError; arithmetic and [Words] return
// them wrapped with what was being done. Test with errors.Is.
var (
	// ErrNoUnit: a bare number where a quantity needs its unit.
	ErrNoUnit = errors.New("no unit")
	// ErrUnit: a unit this quantity does not have.
	ErrUnit = errors.New("unknown unit")
	// ErrNegative: below zero where that means nothing.
	ErrNegative = errors.New("negative")
	// ErrTooFine: not a whole number of the smallest step of the type.
	ErrTooFine = errors.New("finer than can be held exactly")
	// ErrTooLong: more than MaxText bytes, or more than nine digits in a part
	// of a fraction.
	ErrTooLong = errors.New("too long")
	// ErrOverflow: larger than the type can hold.
	ErrOverflow = errors.New("too large")
	// ErrSyntax: not written in the form the type needs.
	ErrSyntax = errors.New("not in the expected form")
	// ErrRange: well formed, but outside the range that has a meaning.
	ErrRange = errors.New("out of range")
	// ErrCurrency: two prices in different currencies.
	ErrCurrency = errors.New("different currencies")
	// ErrWeights: nothing to split by: no weights, or all of them zero.
	ErrWeights = errors.New("no weight above zero")
	// ErrWord: none of the words of an enumeration.
	ErrWord = errors.New("not a known name")
)

// MaxText is the longest text, in bytes, that any parser of this package reads.
const MaxText = 64

// A ParseError says what was being read, the text, and why it was refused.
type ParseError struct {
	What string // the quantity: "mass", "temperature", "date" and so on
	Text string // the text as given, cut after MaxText bytes
	Err  error  // wraps one of the sentinel errors of this package
}

func (e *ParseError) Error() string { return fmt.Sprintf("%s %q: %v", e.What, e.Text, e.Err) }

// Unwrap gives the reason, so that errors.Is finds the sentinel.
func (e *ParseError) Unwrap() error { return e.Err }

// refuse wraps the reason, and adds to a bare sentinel what the quantity needs.
func refuse(k kind, text string, err error) error {
	switch err {
	case ErrNoUnit, ErrUnit:
		err = fmt.Errorf("%w: after the number comes %s", err, k.units)
	case ErrTooFine:
		err = fmt.Errorf("%w: %s", err, k.steps)
	case ErrTooLong:
		err = fmt.Errorf("%w: %d bytes, at most %d", err, len(text), MaxText)
	}
	if len(text) > MaxText {
		text = strings.ToValidUTF8(text[:MaxText], "") + "…"
	}
	return &ParseError{What: k.name, Text: text, Err: err}
}
