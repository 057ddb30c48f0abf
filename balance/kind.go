package balance

import (
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
	"fitchet.example/units/wide"
)

// Check is a kind of rule: what is measured, what it is held against, and how that
// is said. Two are compared with ==. The list is closed: rules are data, kinds are
// code. The zero Check is no kind; it is neither read nor written.
type Check struct{ kind *kind }

// Checks returns all kinds of rule. Each is one value in a file kind_*.go; a test
// sees to it that none is left out here.
func Checks() []Check {
	return []Check{
		SlotShareCheck, MassShare, SpeciesCount, Pieces, Amount, Times, Chew, CalciumSource, MixLacks, DriedWater,
		EnergyFloor, EnergyBand, MealsADay, Hazard, NutrientRatio, PerEnergy, DryMatter,
		Refused, BowlMates, StockMass, StockPieces, StockDate, WholePieces, DayOrder, SameName,
	}
}

// kind is all that is to be known of a kind of rule. None of its fields is left
// out: where a kind has nothing of its own it names what is shared.
type kind struct {
	word    string   // in files
	options []option // what its rules name besides the bounds
	bounds  func(*Rule) holder
	scale   *scale
	unit    func(r *Rule, one bool) string // what follows both a bound and a figure

	judge   func(*state, *readyRule)                                                    // notes what is found
	measure func(*state, *figure.Figure, *Rule)                                         // the figure that is a quotient of sums
	onDay   func(*state, *figure.Figure, int, int)                                      // the figure of an animal on a day, if found by the day
	above   func(*Rule, *shares.Target, *prey.Food, int64) (above, at float64, ok bool) // see Rule.Above
	adds    func(*Finding, *item) (wide.U128, bool)                                     // what a serving adds to the typical figure
	lacks   func(*Finding, *prey.Food) bool                                             // whether the figure of a food is not known
	detail  func(*Finding) string                                                       // what stands behind the figure
	split   func(*Rule) SplitBy                                                         // how shared bowls are divided

	mends  func(*Finding) []Change
	remedy func(*Finding, []Change) string // what a keeper does about a miss
	settle string                          // what settles it if nothing better is known

	form   Form
	days   dayForm
	each   answer // it is judged for each animal
	laid   answer // how food lies over the days decides
	grows  answer // more food never lowers the figure
	atOnce answer // the first gram of a food changes the figure as much as many do
	bone   answer // the range of bone moves the figure
}

// of is the kind itself.
func (c Check) of() *kind {
	if c.kind == nil {
		return &noKind
	}
	return c.kind
}

// noKind is that of the zero Check: nothing can be judged by it.
var noKind = kind{
	word: "no check", options: []option{}, bounds: inRule, scale: &inCounts, unit: noUnit,
	judge:   func(s *state, r *readyRule) { s.find(r, Open, NothingToJudge) },
	measure: notSums, onDay: notByDay, above: notAbove, adds: addsNothing, lacks: lacksNothing, detail: noDetail, split: notSplit,
	mends: noMends, remedy: simply(""), settle: onlyAnalysis,
	days: allDays, each: no, laid: no, grows: no, atOnce: no, bone: no,
}

// Form is how the figure of a kind of rule comes about. A planner states rules by
// their form, so that a new kind of a known form is planned without a change to it.
type Form uint8

const (
	FormQuotient Form = iota + 1 // of two sums over the foods, see [Rule.Above]
	FormPortion                  // what an animal gets of something
	FormOccasion                 // the days or meals with something
	FormVariety                  // the species that are fed
	FormGap                      // the slots that mixes lack
	FormEnergy                   // the energy that an animal gets
	FormServing                  // how and when food is served
	FormHarm                     // what package safety knows against food
	FormFit                      // what of the plan does not fit the household
	FormWritten                  // what is wrong in how the household is written, whatever the plan
)

var formWords = units.Words[Form]{What: "form", Keys: []string{FormQuotient: "quotient", FormPortion: "portion", FormOccasion: "occasion", FormVariety: "variety",
	FormGap: "gap", FormEnergy: "energy", FormServing: "serving", FormHarm: "harm", FormFit: "fit", FormWritten: "written"}}

// String returns a word for the form.
func (f Form) String() string { return formWords.Name(f) }

// MarshalText returns the word; any other value is an error.
func (f Form) MarshalText() ([]byte, error) { return formWords.Marshal(f) }

// UnmarshalText reads the word.
func (f *Form) UnmarshalText(text []byte) error { return formWords.Unmarshal(f, text) }

// answer is yes or no. Its zero is neither: a kind that leaves one open is not whole.
type answer uint8

const (
	no answer = iota + 1
	yes
)

// dayForm says of which days a figure is.
type dayForm uint8

const (
	allDays  dayForm = iota + 1 // of the plan as a whole
	worstDay                    // of the day that is worst
	meanDay                     // of a day at the mean
)

// String returns the word used in files.
func (c Check) String() string { return c.of().word }

// ParseCheck reads the word used in files.
func ParseCheck(s string) (Check, error) { return parseCheck(s, Checks()) }

func parseCheck(s string, known []Check) (Check, error) {
	words := make([]string, len(known))
	for i, c := range known {
		if words[i] = c.String(); words[i] == s {
			return c, nil
		}
	}
	return Check{}, fmt.Errorf("check %q: %w: want %s", say.Clip(s), units.ErrWord, strings.Join(words, ", "))
}

// MarshalText returns the word used in files; the zero Check is an error.
func (c Check) MarshalText() ([]byte, error) {
	if c.kind == nil {
		return nil, fmt.Errorf("writing a check: %w", units.ErrWord)
	}
	return []byte(c.kind.word), nil
}

// UnmarshalText is [ParseCheck].
func (c *Check) UnmarshalText(text []byte) error {
	known, err := ParseCheck(string(text))
	if err == nil {
		*c = known
	}
	return err
}

// Form returns how the figure of the kind comes about; 0 for the zero Check.
func (c Check) Form() Form { return c.of().form }

// OfHousehold reports whether rules of the kind are about how a plan fits the
// household: who gets what, from what there is, on which day.
func (c Check) OfHousehold() bool { return c.Form() == FormFit || c.Form() == FormWritten }

// Each reports whether rules of the kind are judged for each animal.
func (c Check) Each() bool { return c.of().each == yes }

// WorstDay reports whether the figure is that of the day that is worst.
func (c Check) WorstDay() bool { return c.of().days == worstDay }

// OfADay reports whether the figure is of a day, the worst or one at the mean, and
// not of all days.
func (c Check) OfADay() bool { return c.of().days != allDays }

// Grows reports whether more food never lowers the figure.
func (c Check) Grows() bool { return c.of().grows == yes }

// OverDays reports whether it matters how food lies over the days, and not only what
// is fed on all of them.
func (c Check) OverDays() bool { return c.of().laid == yes }

// InMasses and InShares report in what the bounds of the kind are written.
func (c Check) InMasses() bool { return c.of().scale == &inMasses }

// InShares is described at InMasses.
func (c Check) InShares() bool { return c.of().scale == &inShares }

// asksFoods reports whether each food is asked once whether it is what a rule of the
// kind looks at.
func (c Check) asksFoods() bool { return c.Form() == FormPortion || c.Form() == FormOccasion }

// Takes reports whether rules of the kind have a key of files besides those that
// all rules have: "nutrient", "shared".
func (c Check) Takes(key string) bool {
	return slices.ContainsFunc(c.of().options, func(o option) bool { return o.key == key })
}

// Nutrient reports whether rules of the kind are about a nutrient.
func (c Check) Nutrient() bool { return c.Takes("nutrient") }

// ofSums is a kind whose figure is a quotient of two sums over the foods. What all such
// share is set here.
func ofSums(k kind) Check {
	k.form, k.days, k.onDay = FormQuotient, allDays, notByDay
	k.adds, k.lacks, k.detail, k.split = addsToSum, lacksInSum, noDetail, notSplit
	k.mends, k.remedy, k.settle = byAmount(grams), bestChange, onlyAnalysis
	k.each, k.laid, k.grows, k.atOnce = no, no, no, no
	return Check{&k}
}

// unfit is a kind that counts what does not fit the household. What all such share is
// set here.
func unfit(k kind) Check {
	k.options, k.bounds, k.split = []option{}, inRule, notSplit
	k.measure, k.above, k.onDay, k.adds, k.lacks = notSums, notAbove, notByDay, addsNothing, lacksNothing
	k.mends, k.settle = noMends, onlyAnalysis
	k.days, k.atOnce, k.bone = allDays, no, no
	return Check{&k}
}

// What kinds share that have nothing of their own.

func notSums(*state, *figure.Figure, *Rule)     {}
func notByDay(*state, *figure.Figure, int, int) {}
func notAbove(*Rule, *shares.Target, *prey.Food, int64) (above, at float64, ok bool) {
	return 0, 0, false
}
func addsNothing(*Finding, *item) (wide.U128, bool) { return wide.U128{}, false }
func lacksNothing(*Finding, *prey.Food) bool        { return false }
func noUnit(*Rule, bool) string                     { return "" }
func noDetail(*Finding) string                      { return "" }
func notSplit(*Rule) SplitBy                        { return 0 }
func splitByBand(*Rule) SplitBy                     { return ByBand }
func noMends(*Finding) []Change                     { return nil }

const onlyAnalysis = "Only an analysis of the food itself can settle this: published figures leave both possible."

// always is a unit that is the same for one and for many.
func always(unit string) func(*Rule, bool) string {
	return func(*Rule, bool) string { return unit }
}

// plural is a unit that follows a number of things.
func plural(words, word string) func(*Rule, bool) string {
	return func(_ *Rule, one bool) string {
		if one {
			return word
		}
		return words
	}
}

// simply is a remedy that is always the same.
func simply(text string) func(*Finding, []Change) string {
	return func(*Finding, []Change) string { return text }
}

// names are what a rule counted, each once. They come from anywhere.
type names []string

func (n *names) add(text string) {
	if text = strict.Line(text); !slices.Contains(*n, text) {
		*n = append(*n, text)
	}
}

// listed is a detail that lists names, each once.
func listed(from func(*Finding) names) func(*Finding) string {
	return func(f *Finding) string {
		if list := from(f); len(list) > 0 {
			return ": " + say.And(list)
		}
		return ""
	}
}

// massLooked is what a serving of what the rule looks at weighs.
func massLooked(f *Finding, it *item) (wide.U128, bool) {
	return wide.U128{Lo: uint64(it.Mass)}, f.Rule.LooksAt(it.Food)
}

// option is a key of a rule that some kinds have.
type option struct {
	key  string
	read func(*Rule, strict.Map, *prey.Words)
}

// flag is a key that is true or false.
func flag(key string, at func(*Rule) *bool) option {
	return option{key, func(r *Rule, m strict.Map, _ *prey.Words) { *at(r) = m.Bool(key, false) }}
}

// optional is a key that may be left out.
func optional[T any](key string, at func(*Rule) *T, parse func(string) (T, error)) option {
	return option{key, func(r *Rule, m strict.Map, _ *prey.Words) { *at(r), _ = strict.OptValue(m, key, parse) }}
}

// required is a key that may not.
func required[T any](key string, at func(*Rule) *T, parse func(string) (T, error)) option {
	return option{key, func(r *Rule, m strict.Map, _ *prey.Words) { *at(r) = strict.Value(m, key, parse) }}
}

func takesNutrient() option {
	return required("nutrient", func(r *Rule) *prey.Nutrient { return &r.Nutrient }, prey.ParseNutrient)
}

func takesSplit() option {
	return required("shared", func(r *Rule) *SplitBy { return &r.Split }, splitWords.Parse)
}

// among reads one of those that a kind of rule can look at.
func among(allowed []Subject) func(string) (Subject, error) {
	words := units.Words[Subject]{What: "of", Keys: make([]string, len(ofWords.Keys))}
	for _, o := range allowed {
		words.Keys[o] = ofWords.Keys[o]
	}
	return words.Parse
}

// takesOf is the key that says what the rule looks at, and those that go with it.
func takesOf(allowed ...Subject) option {
	return option{"of", func(r *Rule, m strict.Map, words *prey.Words) {
		r.Subject = strict.Value(m, "of", among(allowed))
		if r.Subject != OfKind {
			return
		}
		r.Kind, _ = strict.OptValue(m, "kind", prey.ParseKind)
		r.Tag, _ = strict.OptValue(m, "tag", func(s string) (string, error) {
			_, err := words.Tag(s)
			return s, err
		})
		if r.Kind == 0 && r.Tag == "" {
			m.Node().Fail("of kind: name the kind, a tag, or both")
		}
	}}
}
