package prey

import (
	"fmt"
	"slices"

	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Kind is what sort of thing a food is.
type Kind uint8

const (
	Cut Kind = iota
	OrganMeat
	EggFood
	Fish
	Oil
	Supplement
	WholePrey
	// Mix is a raw ground or chopped mix, own or bought.
	Mix
	// DriedRaw is raw food with its water taken out.
	DriedRaw
	// DryFood is the pellets an animal is weaned from.
	DryFood

	numKinds = iota
)

// String returns the word used in files: "cut", "organ", "egg", "fish", "oil",
// "supplement", "whole-prey", "mix", "dried", "dry-food".
func (k Kind) String() string {
	switch k {
	case Cut:
		return "cut"
	case OrganMeat:
		return "organ"
	case EggFood:
		return "egg"
	case Fish:
		return "fish"
	case Oil:
		return "oil"
	case Supplement:
		return "supplement"
	case WholePrey:
		return "whole-prey"
	case Mix:
		return "mix"
	case DriedRaw:
		return "dried"
	case DryFood:
		return "dry-food"
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// ParseKind reads the word used in files.
func ParseKind(s string) (Kind, error) {
	for k := range Kind(numKinds) {
		if s == k.String() {
			return k, nil
		}
	}
	return 0, fmt.Errorf("kind %q: %w: want cut, organ, egg, fish, oil, supplement, whole-prey, mix, dried or dry-food", clip(s), errName)
}

// MarshalText returns the word used in files.
func (k Kind) MarshalText() ([]byte, error) {
	if k >= numKinds {
		return nil, fmt.Errorf("writing %s: %w", k, errName)
	}
	return []byte(k.String()), nil
}

// UnmarshalText is [ParseKind].
func (k *Kind) UnmarshalText(text []byte) error { return parseInto(k, text, ParseKind) }

// fibreless kinds are of animal origin throughout: their crude fibre is taken
// as nothing when no figure is given.
func (k Kind) fibreless() bool {
	switch k {
	case Cut, OrganMeat, EggFood, Fish, Oil, WholePrey:
		return true
	}
	return false
}

// Colour is the colour of the meat by its species, never by its organ: the
// heart of a chicken is white meat here.
type Colour uint8

const (
	NoMeat Colour = iota
	White
	Red
	FishMeat

	numColours = iota
)

// String returns the word used in files: "none", "white", "red", "fish".
func (c Colour) String() string {
	switch c {
	case NoMeat:
		return "none"
	case White:
		return "white"
	case Red:
		return "red"
	case FishMeat:
		return "fish"
	}
	return fmt.Sprintf("colour %d", uint8(c))
}

// ParseColour reads the word used in files.
func ParseColour(s string) (Colour, error) {
	for c := range Colour(numColours) {
		if s == c.String() {
			return c, nil
		}
	}
	return 0, fmt.Errorf("colour %q: %w: want none, white, red or fish", clip(s), errName)
}

// MarshalText returns the word used in files.
func (c Colour) MarshalText() ([]byte, error) {
	if c >= numColours {
		return nil, fmt.Errorf("writing %s: %w", c, errName)
	}
	return []byte(c.String()), nil
}

// UnmarshalText is [ParseColour].
func (c *Colour) UnmarshalText(text []byte) error { return parseInto(c, text, ParseColour) }

// Note is a remark with its evidence.
type Note struct {
	Text string
	Ref  cite.Ref
}

// Food is one thing that is fed. Foods of a [Catalogue] are shared: read them,
// never change them; to differ, copy the value and lay it over with
// [Catalogue.With]. A copy shares the figures, which nothing changes.
type Food struct {
	ID, Name string // ID is lower-case words joined by hyphens, permanent
	Synonyms []string
	Species  string   // "chicken" (a hen is a chicken); "" for a mix of several
	Contains []string // the species of a mix
	Kind     Kind
	Cut      string // trade name of the part: "wing", "heart", "whole"
	Anatomy  string // what an anatomist calls it: "gland", "cardiac muscle"
	Colour   Colour
	// BoneIn marks a bone-in cut: where a target counts bone-in meat, its
	// whole mass counts.
	BoneIn bool
	// Complete marks what counts as balanced in itself: whole prey and complete
	// mixes. That is common practice, not a published finding.
	Complete bool
	// Shares sum to units.Whole in each case when PartsKnown, and are all zero
	// when not.
	Shares     [NumCases][NumParts]units.Share
	PartsKnown bool
	PartsRef   cite.Ref
	// Piece is the mass of one piece; zero when it is not sold by the piece.
	Piece     units.Range[units.Mass]
	PieceName string
	PieceRef  cite.Ref
	Hazards   []string // tags in lower-case words joined by hyphens; package safety judges them
	Notes     []Note
	// Ref is where the row as a whole comes from.
	Ref cite.Ref
	// Override is the reason why a food laid over a catalogue replaces the one
	// with the same ID; "" when it replaces none.
	Override string

	facts *facts
}

// Nutrient returns the figure of n per 100 g as fed, or false when it is not
// known. A bone-in cut without a known share of bone has no figures, since
// nobody can say how much of it is meat.
func (f *Food) Nutrient(n Nutrient) (Figure, bool) {
	if f == nil || f.facts == nil || n >= NumNutrients || !f.facts.has(int(n)) {
		return Figure{}, false
	}
	return f.facts.figure(n), true
}

// HasSpecies reports whether the food is, or contains, the species.
func (f *Food) HasSpecies(species string) bool {
	return f.Species == species || slices.Contains(f.Contains, species)
}

// HasPart reports whether some of the food is, in some case, that part. It is
// false when the parts are not known.
func (f *Food) HasPart(p Part) bool {
	if !f.PartsKnown || p >= NumParts {
		return false
	}
	for c := range f.Shares {
		if f.Shares[c][p] > 0 {
			return true
		}
	}
	return false
}

// HasHazard reports whether the food carries the hazard tag.
func (f *Food) HasHazard(tag string) bool { return slices.Contains(f.Hazards, tag) }
