package balance

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"

	"github.com/shopspring/decimal"
)

// Gravity is how much a missed rule matters: stop (do not feed this), mend
// (change the plan before long), watch (know it and keep an eye on the animal).
// It is the one scale of the library.
type Gravity = safety.Gravity

// The gravities, from package safety.
const (
	Watch = safety.Watch
	Mend  = safety.Mend
	Stop  = safety.Stop
)

// Period is the stretch of time over which a rule is judged.
type Period uint8

const (
	// Week is everything that is given to [Audit]; amounts that a rule states
	// by the week are scaled exactly when that is longer than a week.
	Week Period = iota + 1
	// EachDay is every day for itself; the finding is about the worst.
	EachDay
)

// String returns the word used in files: "week" or "day".
func (p Period) String() string {
	switch p {
	case Week:
		return "week"
	case EachDay:
		return "day"
	}
	return "no period"
}

// ParsePeriod reads the word used in files.
func ParsePeriod(s string) (Period, error) { return parseWord("period", s, Week, EachDay) }

// MarshalText returns the word used in files; any other value is an error.
func (p Period) MarshalText() ([]byte, error) { return marshalWord("period", p, Week, EachDay) }

// Check is the kind of test that a rule makes. The list is closed: rules are
// data, kinds are code.
type Check uint8

const (
	// SlotShareCheck holds one slot against the bounds of the target.
	SlotShareCheck Check = iota + 1
	// MassShare is the share of all mass that is liver, complete food, or food
	// with a tag.
	MassShare
	// SpeciesCount is how many species (of one colour) are fed. Eggs, oils and
	// powders do not count.
	SpeciesCount
	// Pieces is how many pieces of a kind each animal gets in a week.
	Pieces
	// Amount is the mass of a kind that each animal gets, in a week or by day.
	Amount
	// Times is on how many days, or in how many meals, a thing is fed.
	Times
	// Chew is whether something to gnaw stands beside ground and dried food.
	Chew
	// CalciumSource is whether calcium is added when no bone is fed.
	CalciumSource
	// MixLacks is what incomplete mixes lack and nothing else in the week gives.
	MixLacks
	// DriedWater is whether dried food is fed with at least its mass of water.
	DriedWater
	// EnergyFloor holds each day of an animal against its resting need.
	EnergyFloor
	// EnergyBand holds an animal's daily mean against its planning band.
	EnergyBand
	// MealsADay holds the meals of an animal's day against its need.
	MealsADay
	// Hazard asks package safety about every food; the rule is missed by hazards
	// of its own gravity.
	Hazard
	// NutrientRatio divides one nutrient by another.
	NutrientRatio
	// PerEnergy is a nutrient per 1000 kcal by modified Atwater factors.
	PerEnergy
	// DryMatter is a nutrient in dry matter.
	DryMatter
	// Refused is how many servings an animal gets of what it must not.
	Refused
	// BowlMates is how many meals are shared by animals that are not of one group.
	BowlMates
	// StockMass is how much more is fed than there is in stock and can be bought.
	StockMass
	// StockPieces is the same for what is counted in pieces.
	StockPieces
	// StockDate is how much can only come from lots that are past their
	// best-before day when it is fed.
	StockDate
	// WholePieces is how many servings of whole prey, or of counted pieces, are not
	// whole pieces.
	WholePieces
	// DayOrder is how many days do not follow the day before.
	DayOrder
	// SameName is how many animals have a name that another before them has.
	SameName

	numChecks = iota
)

// checks returns all checks.
func checks() []Check {
	all := make([]Check, numChecks)
	for i := range all {
		all[i] = SlotShareCheck + Check(i)
	}
	return all
}

// String returns the word used in files.
func (c Check) String() string {
	words := [numChecks]string{"slot-share", "mass-share", "species-count", "pieces", "amount", "times", "chew",
		"calcium-source", "mix-lacks", "dried-water", "energy-floor", "energy-band", "meals-a-day", "hazard", "nutrient-ratio",
		"per-energy", "dry-matter", "refused", "bowl-mates", "stock-mass", "stock-pieces", "stock-date", "whole-pieces", "day-order", "same-name"}
	if i := c - SlotShareCheck; i < numChecks { // the zero Check wraps past the end
		return words[i]
	}
	return "no check"
}

// ParseCheck reads the word used in files.
func ParseCheck(s string) (Check, error) { return parseWord("check", s, checks()...) }

// MarshalText returns the word used in files; any other value is an error.
func (c Check) MarshalText() ([]byte, error) { return marshalWord("check", c, checks()...) }

// Limit is one bound of a rule with its evidence.
type Limit struct {
	// Value is the bound as an integer: millionths for shares, 1e-12 for parts
	// of dry matter, billionths for ratios, billionths of the nutrient's own
	// unit for amounts per 1000 kcal, picograms for masses, whole numbers for
	// counts, tenths of a kcal for energy.
	Value int64
	Text  string // as written: "1.5 g", "10 %"
	Ref   cite.Ref
}

// Of says what a rule looks at, where that is not given by the check alone; it is
// zero where it is.
type Of uint8

const (
	OfEverything Of = iota + 1
	OfLiver
	OfOrgans   // liver and other secreting organ
	OfBone     // edible bone, in anything
	OfComplete // whole prey and complete mixes
	OfKind     // foods of a kind, or with a tag, or both
)

// String returns the word used in files.
func (o Of) String() string {
	switch o {
	case OfEverything:
		return "everything"
	case OfLiver:
		return "liver"
	case OfOrgans:
		return "organs"
	case OfBone:
		return "bone"
	case OfComplete:
		return "complete"
	case OfKind:
		return "kind"
	}
	return "no part"
}

// Life says for whom a rule holds by stage of life. The zero value names no stage:
// the rule holds for all.
type Life uint8

const (
	AllLife Life = iota
	Grown        // no animal of the plan is growing, pregnant or nursing
	Growth       // some animal of the plan is
)

// String returns the word used in files.
func (l Life) String() string {
	switch l {
	case AllLife:
		return "all"
	case Grown:
		return "adult"
	case Growth:
		return "growth"
	}
	return "no stage of life"
}

// SplitBy says how a bowl that several animals share is divided between them.
type SplitBy uint8

const (
	// ByBand divides by the middle of each animal's energy band.
	ByBand SplitBy = iota + 1
	// ByHead gives each the same, for rules that practice states per animal
	// whatever its size.
	ByHead
)

// String returns the word used in files: "band" or "head".
func (s SplitBy) String() string {
	switch s {
	case ByBand:
		return "band"
	case ByHead:
		return "head"
	}
	return "no split"
}

// Rule is one thing that is asked of a plan. Rules of a [Book] are shared: read
// them, never change them.
type Rule struct {
	ID       string // permanent, lower-case words joined by hyphens
	Title    string // one sentence
	Check    Check
	Gravity  Gravity
	Period   Period
	Means    string   // what failing means for the animal
	Ref      cite.Ref // of the rule as a whole; zero where the limits carry it all
	Low      *Limit   // nil: no lower bound. Both bounds are met when reached exactly.
	High     *Limit
	Species  []string // animals it holds for, see [ration.ParseSpecies]; empty: all
	Life     Life
	Since    string // see [ParseWhen]
	Until    string // "" while in force
	Override string // why it replaces a shipped rule of the same id
	Replaces string // id of the rule that it stands in for; "" when of none. It does not end that rule: its until does.

	// What the check looks at; unused fields are zero.
	Slot     Slot
	Of       Of
	Kind     prey.Kind
	Tag      string // hazard tag of foods, see [prey.Words]
	Colour   prey.Colour
	Nutrient prey.Nutrient
	Against  prey.Nutrient
	Sex      ration.Sex
	Split    SplitBy
	Daily    bool // Amount: by the day, not by the week
	Meals    bool // Times: count meals, not days
	Frail    bool // MealsADay: only animals that must not go long without food
	WhenFed  bool // only when there is any at all
}

const rulesSchema = "fitchet.rules/1"

// LoadRules reads a rule file (schema fitchet.rules/1). The registry is asked
// for every source that the file names. The error is a strict.Faults with every
// fault of the file.
func LoadRules(path string, r io.Reader, reg *cite.Registry) ([]Rule, error) {
	words, err := prey.ShippedWords()
	if err != nil {
		return nil, fmt.Errorf("reading rules: %w", err)
	}
	doc := strict.ReadAll(path, r)
	m := doc.Root().Map()
	schema(m, rulesSchema)
	var out []Rule
	seen := map[string]bool{}
	for _, n := range m.Get("rules").List() {
		rule := readRule(n, reg, words)
		unique(n, seen, rule.ID)
		out = append(out, rule)
	}
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, fmt.Errorf("reading rules: %w", err)
	}
	return out, nil
}

func readRule(n strict.Node, reg *cite.Registry, words *prey.Words) Rule {
	m := n.Map()
	r := Rule{
		ID:       strict.Value(m, "id", parseID),
		Title:    strict.Value(m, "title", parseSentence),
		Gravity:  strict.Value(m, "gravity", safety.ParseGravity),
		Period:   strict.Value(m, "period", ParsePeriod),
		Means:    strict.Value(m, "means", parseSentence),
		Override: m.OptText("override"),
	}
	r.Since, r.Until = readPeriod(m)
	r.Replaces, _ = strict.OptValue(m, "replaces", parseID)
	if r.Replaces != "" && r.Replaces == r.ID {
		m.Get("replaces").Fail("rule %s cannot replace itself", r.ID)
	}
	checkNode := m.Get("check")
	check, ok := strict.Read(checkNode, ParseCheck)
	if !ok {
		return r // without its kind nothing else of the rule can be read
	}
	r.Check = check
	if ref, ok := m.Opt("ref"); ok {
		r.Ref = readRef(ref, reg)
	}
	if list, ok := m.Opt("species"); ok {
		r.Species = strict.Each(list, ration.ParseSpecies)
	}
	r.Life, _ = strict.OptValue(m, "stage", func(s string) (Life, error) { return parseWord("stage", s, AllLife, Grown, Growth) })
	r.options(m, words)
	r.Low = readLimit(m, "low", reg, r.parseLimit)
	r.High = readLimit(m, "high", reg, r.parseLimit)
	r.whole(n)
	m.Done()
	return r
}

// options reads what the check of the rule needs, and no more.
func (r *Rule) options(m strict.Map, words *prey.Words) {
	switch r.Check {
	case SlotShareCheck:
		r.Slot = strict.Value(m, "slot", ParseSlot)
	case MassShare:
		r.of(m, words, OfLiver, OfComplete, OfKind)
	case SpeciesCount:
		r.Colour, _ = strict.OptValue(m, "colour", prey.ParseColour)
	case Pieces:
		r.of(m, words, OfKind)
		r.split(m)
	case Amount:
		r.of(m, words, OfEverything, OfKind)
		r.split(m)
		r.Daily = m.Bool("daily", false)
		r.Sex, _ = strict.OptValue(m, "sex", ration.ParseSex)
	case Times:
		r.of(m, words, OfOrgans, OfBone, OfKind)
		r.Meals = m.Bool("meals", false)
		r.WhenFed = m.Bool("when-fed", false)
	case MealsADay:
		r.Frail = m.Bool("frail", false)
	case NutrientRatio:
		r.Nutrient = strict.Value(m, "nutrient", prey.ParseNutrient)
		r.Against = strict.Value(m, "against", prey.ParseNutrient)
	case PerEnergy, DryMatter:
		r.Nutrient = strict.Value(m, "nutrient", prey.ParseNutrient)
	}
}

func (r *Rule) of(m strict.Map, words *prey.Words, allowed ...Of) {
	r.Of = strict.Value(m, "of", func(s string) (Of, error) { return parseWord("of", s, allowed...) })
	if r.Of == OfKind {
		r.Kind, _ = strict.OptValue(m, "kind", prey.ParseKind)
		r.Tag, _ = strict.OptValue(m, "tag", func(s string) (string, error) {
			_, err := words.Tag(s)
			return s, err
		})
		if r.Kind == 0 && r.Tag == "" {
			m.Node().Fail("of kind: name the kind, a tag, or both")
		}
	}
}

// checkWords reports the words of a rule that no list holds.
func (r *Rule) checkWords(known *prey.Words) error {
	var faults []error
	if r.Tag != "" {
		_, err := known.Tag(r.Tag)
		faults = append(faults, err)
	}
	for _, s := range r.Species {
		_, err := ration.ParseSpecies(s)
		faults = append(faults, err)
	}
	for _, when := range []string{r.Since, r.Until} {
		if when != "" {
			_, err := ParseWhen(when)
			faults = append(faults, err)
		}
	}
	return errors.Join(faults...)
}

func (r *Rule) split(m strict.Map) {
	r.Split = strict.Value(m, "shared", func(s string) (SplitBy, error) { return parseWord("shared", s, ByBand, ByHead) })
}

// limited reports whether the bounds stand in the rule: the others take theirs
// from the target, the animal or package safety.
func (r *Rule) limited() bool {
	switch r.Check {
	case SlotShareCheck, EnergyFloor, EnergyBand, MealsADay, Hazard:
		return false
	case MassShare:
		return r.Of != OfComplete
	}
	return true
}

// whole notes what is missing from the rule or too much.
func (r *Rule) whole(n strict.Node) {
	has := r.Low != nil || r.High != nil
	switch {
	case r.limited() && !has:
		n.Fail("check %s needs low, high or both", r.Check)
	case !r.limited() && has:
		n.Fail("check %s takes no bounds here: they come from the target, the animal or package safety", r.Check)
	}
	if r.Low != nil && r.High != nil && r.Low.Value > r.High.Value {
		n.Fail("low %s lies above high %s", r.Low.Text, r.High.Text)
	}
	switch r.Check {
	case EnergyFloor, EnergyBand, MealsADay, Hazard:
		if !r.Ref.Evidence.Valid() {
			n.Fail("missing ref: this rule has no bounds that could carry its evidence")
		}
	}
}

// parseLimit reads a bound in the unit of the check.
func (r *Rule) parseLimit(s string) (int64, error) {
	switch r.Check {
	case MassShare:
		v, err := units.ParseShare(s)
		return int64(v), err
	case Amount, StockMass, StockDate:
		v, err := units.ParseMass(s)
		return int64(v), err
	case NutrientRatio:
		d, err := prey.ParseDensity(s) // a plain decimal; billionths as it happens
		return int64(d), err
	case PerEnergy:
		return parseAmount(s, r.Nutrient.Unit(), "")
	case DryMatter:
		if strings.HasSuffix(s, "%") {
			v, err := units.ParseShare(s)
			return int64(v) * ppb, err
		}
		return parseAmount(s, "g", "/kg")
	}
	n, err := strconv.ParseUint(s, 10, 16)
	if err != nil {
		return 0, fmt.Errorf("count %q: want a whole number", clip(s))
	}
	return int64(n), nil
}

// ppb is how many steps of a dry-matter bound make one millionth: bounds are
// held in 1e-12 of the dry matter, so that 0.001 mg/kg is exact.
const ppb = 1_000_000

// parseAmount reads "1.5 g" or "5 mg/kg" into billionths of the wanted unit.
func parseAmount(s, unit, per string) (int64, error) {
	bad := func(why string) (int64, error) {
		return 0, fmt.Errorf("amount %q: %s; want a number, a space and a unit as in \"1.5 %s%s\"", clip(s), why, unit, per)
	}
	num, word, ok := strings.Cut(s, " ")
	if !ok {
		return bad("no unit")
	}
	if word, ok = strings.CutSuffix(word, per); !ok {
		return bad("the unit is not per kg of dry matter")
	}
	from, to := exponent(word), exponent(unit)
	if word != unit && (from == noExponent || to == noExponent) {
		return bad(fmt.Sprintf("%s cannot be turned into %s", word, unit))
	}
	d, err := prey.ParseDensity(num)
	if err != nil {
		return bad(err.Error())
	}
	shift := int32(0)
	if word != unit {
		shift = from - to
	}
	v := decimal.New(int64(d), shift)
	if !v.IsInteger() {
		return bad("finer than the grid")
	}
	i := v.BigInt()
	if !i.IsInt64() {
		return bad("too large")
	}
	return i.Int64(), nil
}

const noExponent = 99

func exponent(unit string) int32 {
	switch unit {
	case "g":
		return 0
	case "mg":
		return -3
	case "µg":
		return -6
	}
	return noExponent
}
