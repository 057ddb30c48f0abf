package safety

import "errors"

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
