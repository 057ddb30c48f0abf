package prey

import (
	"errors"
	"fmt"
)

// Part is one of the parts that make up a food. The parts of a food sum to its
// whole mass.
type Part uint8

const (
	// Muscle is meat with its skin and fat; gizzard, tongue and tripe count here.
	Muscle Part = iota
	// Heart is a slot of its own in the trade's shares.
	Heart
	// Liver is a slot of its own.
	Liver
	// Organ is any other secreting organ, as the trade counts them: kidney,
	// spleen, brain, pancreas, testes. Lung is muscle here: the trade disagrees about
	// it, and it is no gland.
	Organ
	// Bone is edible bone alone, never the meat on it.
	Bone
	// Rest is what no slot counts: coat, gut and blood of whole prey, eggshell,
	// water added, oil, powders.
	Rest

	// NumParts is how many parts there are.
	NumParts = iota
)

// errName is wrapped by every text form that is none of the known words.
var errName = errors.New("not a known name")

// Parts returns all parts in their fixed order.
func Parts() [NumParts]Part { return [NumParts]Part{Muscle, Heart, Liver, Organ, Bone, Rest} }

// String returns the name for people: "muscle", "other secreting organ".
func (p Part) String() string {
	switch p {
	case Muscle:
		return "muscle"
	case Heart:
		return "heart"
	case Liver:
		return "liver"
	case Organ:
		return "other secreting organ"
	case Bone:
		return "bone"
	case Rest:
		return "rest"
	}
	return fmt.Sprintf("part %d", uint8(p))
}

// Key returns the word used in files: "muscle", "heart", "liver", "organ",
// "bone", "rest".
func (p Part) Key() string {
	if p == Organ {
		return "organ"
	}
	return p.String()
}

// ParsePart reads the word used in files, or the name for people.
func ParsePart(s string) (Part, error) {
	for _, p := range Parts() {
		if s == p.Key() || s == p.String() {
			return p, nil
		}
	}
	return 0, fmt.Errorf("part %q: %w: want muscle, heart, liver, organ, bone or rest", clip(s), errName)
}

// MarshalText returns the word used in files.
func (p Part) MarshalText() ([]byte, error) {
	if p >= NumParts {
		return nil, fmt.Errorf("writing %s: %w", p, errName)
	}
	return []byte(p.Key()), nil
}

// UnmarshalText is [ParsePart].
func (p *Part) UnmarshalText(text []byte) (err error) { return parseInto(p, text, ParsePart) }

// Case is one coherent scenario of a food. Every figure of a food is given
// three times: at its least bone with the poorest bone minerals, at the
// typical, and at its most bone with the richest minerals. So a ratio such as
// calcium to phosphorus takes its extremes with all foods at LeastBone or all
// at MostBone. Ranges that have nothing to do with bone (the taurine of a
// heart) run from low at LeastBone to high at MostBone.
type Case uint8

const (
	LeastBone Case = iota
	Typical
	MostBone

	// NumCases is how many cases there are.
	NumCases = iota
)

// Cases returns all cases in their fixed order.
func Cases() [NumCases]Case { return [NumCases]Case{LeastBone, Typical, MostBone} }

// String returns "least bone", "typical" or "most bone".
func (c Case) String() string {
	switch c {
	case LeastBone:
		return "least bone"
	case Typical:
		return "typical"
	case MostBone:
		return "most bone"
	}
	return fmt.Sprintf("case %d", uint8(c))
}

// ParseCase reads "least bone", "typical" or "most bone".
func ParseCase(s string) (Case, error) {
	for _, c := range Cases() {
		if s == c.String() {
			return c, nil
		}
	}
	return 0, fmt.Errorf("case %q: %w: want least bone, typical or most bone", clip(s), errName)
}

// MarshalText returns the words that [ParseCase] reads.
func (c Case) MarshalText() ([]byte, error) {
	if c >= NumCases {
		return nil, fmt.Errorf("writing %s: %w", c, errName)
	}
	return []byte(c.String()), nil
}

// UnmarshalText is [ParseCase].
func (c *Case) UnmarshalText(text []byte) error { return parseInto(c, text, ParseCase) }

// parseInto is UnmarshalText for any type that has a parser.
func parseInto[T any](to *T, text []byte, parse func(string) (T, error)) error {
	v, err := parse(string(text))
	if err != nil {
		return err
	}
	*to = v
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
