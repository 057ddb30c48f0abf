package prey

import (
	"slices"

	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Kind is what sort of thing a food is.
type Kind uint8

const (
	Cut Kind = iota + 1
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
)

var kindWords = units.Words[Kind]{
	What: "kind",
	Keys: []string{
		Cut: "cut", OrganMeat: "organ", EggFood: "egg", Fish: "fish", Oil: "oil", Supplement: "supplement",
		WholePrey: "whole-prey", Mix: "mix", DriedRaw: "dried", DryFood: "dry-food",
	},
}

// String returns the word used in files: "cut", "organ", "egg", "fish", "oil",
// "supplement", "whole-prey", "mix", "dried", "dry-food".
func (k Kind) String() string { return kindWords.Name(k) }

// ParseKind reads the word used in files.
func ParseKind(s string) (Kind, error) { return kindWords.Parse(s) }

// MarshalText returns the word used in files.
func (k Kind) MarshalText() ([]byte, error) { return kindWords.Marshal(k) }

// UnmarshalText is [ParseKind].
func (k *Kind) UnmarshalText(text []byte) error { return kindWords.Unmarshal(k, text) }

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
	NoMeat Colour = iota + 1
	White
	Red
	FishMeat
)

var colourWords = units.Words[Colour]{
	What: "colour",
	Keys: []string{NoMeat: "none", White: "white", Red: "red", FishMeat: "fish"},
}

// String returns the word used in files: "none", "white", "red", "fish".
func (c Colour) String() string { return colourWords.Name(c) }

// ParseColour reads the word used in files.
func ParseColour(s string) (Colour, error) { return colourWords.Parse(s) }

// MarshalText returns the word used in files.
func (c Colour) MarshalText() ([]byte, error) { return colourWords.Marshal(c) }

// UnmarshalText is [ParseColour].
func (c *Colour) UnmarshalText(text []byte) error { return colourWords.Unmarshal(c, text) }

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
	Species  string   // a name of [Words]: "chicken" (a hen is a chicken); "" for a mix of several
	Contains []string // the species of a mix
	// Like names, for a species here that [Words] does not hold, the animal or
	// group whose hazards it takes: muntjac like deer.
	Like    map[string]string
	Kind    Kind
	Cut     string // trade name of the part: "wing", "heart", "whole"
	Anatomy string // what an anatomist calls it: "gland", "cardiac muscle"
	Colour  Colour
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
	// BoneKind is the kind of its bone, as bone.csv of the catalogue names it, and
	// BoneBasis what its share of bone is of. Without either, what its bone holds is
	// not known.
	BoneKind  string
	BoneBasis BoneBasis
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

	facts   *facts
	animals []Animal // of Species and Contains, once the food is in a catalogue
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

// HasSpecies reports whether the food is, or contains, the animal or the group of
// animals, by any of its names: "hen" and "poultry" find chicken, "cod" finds
// Atlantic cod. A food that is in no catalogue is known by its own words alone.
func (f *Food) HasSpecies(species string) bool {
	word := fold(species)
	if word == "" {
		return false
	}
	for i := range f.animals {
		if slices.Contains(f.animals[i].words, word) {
			return true
		}
	}
	return fold(f.Species) == word || slices.ContainsFunc(f.Contains, func(s string) bool { return fold(s) == word })
}

// Animals are the animals that the food is or contains, each once and by its
// first name in [Words]: "cattle" whether the food says beef or ox.
func (f *Food) Animals() []string {
	var out []string
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if len(f.animals) == 0 {
		add(f.Species)
		for _, s := range f.Contains {
			add(s)
		}
	}
	for i := range f.animals {
		add(f.animals[i].Name)
	}
	return out
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
