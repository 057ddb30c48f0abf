package prey

import "fitchet.example/units"

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

var partWords = units.Words[Part]{
	What:  "part",
	Keys:  []string{Muscle: "muscle", Heart: "heart", Liver: "liver", Organ: "organ", Bone: "bone", Rest: "rest"},
	Names: []string{Organ: "other secreting organ"},
}

// Parts returns all parts in their fixed order.
func Parts() [NumParts]Part { return [NumParts]Part{Muscle, Heart, Liver, Organ, Bone, Rest} }

// String returns the name for people: "muscle", "other secreting organ".
func (p Part) String() string { return partWords.Name(p) }

// Key returns the word used in files: "muscle", "heart", "liver", "organ",
// "bone", "rest".
func (p Part) Key() string { return partWords.Key(p) }

// ParsePart reads the word used in files, or the name for people.
func ParsePart(s string) (Part, error) { return partWords.Parse(s) }

// MarshalText returns the word used in files.
func (p Part) MarshalText() ([]byte, error) { return partWords.Marshal(p) }

// UnmarshalText is [ParsePart].
func (p *Part) UnmarshalText(text []byte) error { return partWords.Unmarshal(p, text) }

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

var caseWords = units.Words[Case]{
	What: "case",
	Keys: []string{LeastBone: "least bone", Typical: "typical", MostBone: "most bone"},
}

// String returns "least bone", "typical" or "most bone".
func (c Case) String() string { return caseWords.Name(c) }

// ParseCase reads "least bone", "typical" or "most bone".
func ParseCase(s string) (Case, error) { return caseWords.Parse(s) }

// MarshalText returns the words that [ParseCase] reads.
func (c Case) MarshalText() ([]byte, error) { return caseWords.Marshal(c) }

// UnmarshalText is [ParseCase].
func (c *Case) UnmarshalText(text []byte) error { return caseWords.Unmarshal(c, text) }

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
