package safety

import (
	"errors"
	"fmt"
)

// Sentinels. Errors of this package wrap one of these, [ErrPeriod], an error
// of the units packages, or are strict.Faults for a data file.
var (
	ErrForm    = errors.New("not a form of food (soup, minced, pieces, bone-in, whole, dried, soaked)")
	ErrServing = errors.New("not a possible serving")
	ErrBound   = errors.New("not a temperature bound")
	ErrRegion  = errors.New("no notice names it")
	ErrModel   = errors.New("not a growth model")
	ErrKind    = errors.New("not a known kind of food")
)

// marshal writes the word of a value between first and last; any other, the zero
// value among them where it stands for nothing, is an error.
func marshal[T interface {
	fmt.Stringer
	~uint8
}](what string, v, first, last T) ([]byte, error) {
	if v < first || v > last {
		return nil, fmt.Errorf("writing %s %d: no such %s", what, uint8(v), what)
	}
	return []byte(v.String()), nil
}
