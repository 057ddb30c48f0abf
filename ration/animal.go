package ration

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/ration/internal/form"
	"fitchet.example/units"
)

// Names of the species this package has figures for. Anything else is refused by the loader.
const (
	Ferret = "ferret"
	Cat    = "cat"
	Mink   = "mink"
)

// ParseSpecies reads the name of an animal that is fed. Any other text is an error, with the nearest name.
func ParseSpecies(s string) (string, error) {
	return form.OneOf("species", []string{Ferret, Cat, Mink})(s)
}

// Sex is hob (male) or jill (female). The zero value is unknown: rules by sex then do not apply.
type Sex uint8

const (
	SexUnknown Sex = iota
	Hob
	Jill
)

// String returns "hob", "jill" or "unknown".
func (s Sex) String() string {
	switch s {
	case Hob:
		return "hob"
	case Jill:
		return "jill"
	}
	return "unknown"
}

// SexWord is what the sex is called: "hob" or "jill" for ferrets, "male" or
// "female" for others; "" where it is not known.
func (a *Animal) SexWord() string {
	switch {
	case a.Sex == SexUnknown:
		return ""
	case a.Kind() == Ferret:
		return a.Sex.String()
	case a.Sex == Hob:
		return "male"
	}
	return "female"
}

// ParseSex reads "hob", "jill", "male" or "female". Any other text is an error.
func ParseSex(s string) (Sex, error) {
	switch strings.ToLower(s) {
	case "hob", "male":
		return Hob, nil
	case "jill", "female":
		return Jill, nil
	}
	return SexUnknown, fmt.Errorf("sex %q: want hob (male) or jill (female)", s)
}

// Stage is the stage of life. The zero value means: decide by age.
type Stage uint8

const (
	StageByAge Stage = iota
	Adult
	Juvenile // 16 to 36 weeks (for a cat: 16 weeks to a year)
	Kit      // under 16 weeks
	Pregnant
	Lactating
	Senior
)

// String returns the stage in one plain word; "by age" for the zero value.
func (s Stage) String() string {
	switch s {
	case Adult:
		return "adult"
	case Juvenile:
		return "juvenile"
	case Kit:
		return "kit"
	case Pregnant:
		return "pregnant"
	case Lactating:
		return "lactating"
	case Senior:
		return "senior"
	}
	return "by age"
}

// ParseStage reads the words that String prints. Any other text is an error.
func ParseStage(s string) (Stage, error) {
	for _, st := range []Stage{Adult, Juvenile, Kit, Pregnant, Lactating, Senior} {
		if strings.EqualFold(s, st.String()) {
			return st, nil
		}
	}
	return StageByAge, fmt.Errorf("stage %q: want adult, juvenile, kit, pregnant, lactating or senior", s)
}

// Conditions the package knows. They are a closed list so that a misspelt one is a fault and not a silent nothing.
const (
	Insulinoma   = "insulinoma"
	Ill          = "ill"
	Underweight  = "underweight"
	LosingWeight = "losing-weight"
	NotEating    = "not-eating"
	Obese        = "obese"
	Kidney       = "kidney-disease"
	HeartDisease = "heart-disease"
	Adrenal      = "adrenal-disease"
	Dental       = "dental-disease"
	OnMedicine   = "on-medicine"
)

// Conditions returns the known condition words, in alphabetical order.
func Conditions() []string {
	all := conditions()
	slices.Sort(all[:])
	return all[:]
}

func conditions() [11]string {
	return [...]string{Insulinoma, Ill, Underweight, LosingWeight, NotEating, Obese, Kidney, HeartDisease, Adrenal, Dental, OnMedicine}
}

// Animal is one animal that is fed. It is a plain value: what the keeper wrote down.
type Animal struct {
	ID         string        // unique in the household, kebab-case
	Name       string        // as people call it; the loader puts the ID here if none is given
	Species    string        // Ferret, Cat or Mink; "" counts as Ferret
	Sex        Sex           //
	Mass       units.Mass    // live weight, above zero
	Born       units.Date    // 0: not known
	Neutered   *bool         // nil: not written down
	Outdoor    bool          //
	Stage      Stage         // as stated; see StageOn
	Conditions []string      // words of Conditions()
	LongestGap time.Duration // the keeper's or vet's own longest time without food; 0: by rule
	Never      []string      // foods by id, animals or groups of animals this one must not get (dislike, or the vet's word)
	Group      string        // animals of one group share bowls; "" stands alone
	At         Place         // where it was read, for messages; zero when built in code
}

// Has reports whether the animal has the condition.
func (a *Animal) Has(condition string) bool { return slices.Contains(a.Conditions, condition) }

// Kind returns the species, Ferret when none is set.
func (a *Animal) Kind() string {
	if a.Species == "" {
		return Ferret
	}
	return a.Species
}

// AgeWeeks returns the whole weeks of age on a date. It reports false when the birth date is not known or lies ahead.
func (a *Animal) AgeWeeks(on units.Date) (int, bool) {
	if a.Born == 0 || on < a.Born {
		return 0, false
	}
	return int(on-a.Born) / 7, true
}

const (
	kitWeeks      = 16 // below this a kit
	juvenileWeeks = 36 // below this a juvenile ferret
	catAdultWeeks = 52
)

// StageOn returns the stage on a date. Pregnant, lactating and senior are taken as stated. Kit, juvenile and adult follow
// the age when the birth date is known (16 and 36 weeks; a cat is adult at 52), else what was stated, else adult. Before
// its birth an animal is a kit.
func (a *Animal) StageOn(on units.Date) Stage {
	switch a.Stage {
	case Pregnant, Lactating, Senior:
		return a.Stage
	}
	if w, ok := a.AgeWeeks(on); ok {
		return stageOfAge(a.Kind(), w)
	}
	if a.Born != 0 {
		return Kit
	}
	if a.Stage == StageByAge {
		return Adult
	}
	return a.Stage
}

func stageOfAge(species string, weeks int) Stage {
	grown := juvenileWeeks
	if species == Cat {
		grown = catAdultWeeks
	}
	switch {
	case weeks < kitWeeks:
		return Kit
	case weeks < grown:
		return Juvenile
	}
	return Adult
}

// VetFirst names why a veterinarian has to be asked before this animal's food is planned; empty when nothing is known
// against planning.
func (a *Animal) VetFirst(stage Stage) []string {
	var why []string
	switch stage {
	case Kit:
		why = append(why, "under 16 weeks")
	case Pregnant:
		why = append(why, "pregnant")
	case Lactating:
		why = append(why, "lactating")
	}
	for _, c := range a.Conditions {
		switch c {
		case Obese, Dental:
		default:
			why = append(why, strings.ReplaceAll(c, "-", " "))
		}
	}
	return why
}

// Frail reports that long gaps without food are unsafe whatever a keeper's practice says: for a kit, a pregnant or nursing
// animal, and one with insulinoma.
func (a *Animal) Frail(stage Stage) bool {
	return stage == Kit || stage == Pregnant || stage == Lactating || a.Has(Insulinoma)
}
