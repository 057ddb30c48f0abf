package balance

import (
	"errors"
	"fmt"
	"io"

	"fitchet.example/balance/internal/read"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Severity is how much a missed rule matters: stop (do not feed this), mend
// (change the plan before long), watch (know it and keep an eye on the animal).
// It is the one scale of the library.
type Severity = safety.Severity

// The gravities, from package safety.
const (
	Watch = safety.Watch
	Mend  = safety.Mend
	Stop  = safety.Stop
)

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

// Subject says what a rule looks at, where that is not given by the check alone; it is
// zero where it is.
type Subject uint8

const (
	OfEverything Subject = iota + 1
	OfLiver
	OfOrgans   // liver and other secreting organ
	OfBone     // edible bone, in anything
	OfComplete // whole prey and complete mixes
	OfKind     // foods of a kind, or with a tag, or both
)

var ofWords = units.Words[Subject]{What: "part", Keys: []string{OfEverything: "everything", OfLiver: "liver", OfOrgans: "organs", OfBone: "bone", OfComplete: "complete", OfKind: "kind"}}

// String returns the word used in files.
func (o Subject) String() string { return ofWords.Name(o) }

// MarshalText returns the word used in files; any other value is an error.
func (o Subject) MarshalText() ([]byte, error) { return ofWords.Marshal(o) }

// UnmarshalText reads the word used in files.
func (o *Subject) UnmarshalText(text []byte) error { return ofWords.Unmarshal(o, text) }

// LifeStage says for whom a rule holds by stage of life. The zero value names no stage:
// the rule holds for all.
type LifeStage uint8

const (
	AnyStage LifeStage = iota
	Grown              // no animal of the plan is growing, pregnant or nursing
	Growing            // some animal of the plan is
)

var lifeWords = units.Words[LifeStage]{What: "stage", Keys: []string{AnyStage: "all", Grown: "adult", Growing: "growth"}}

// String returns the word used in files.
func (l LifeStage) String() string { return lifeWords.Name(l) }

// MarshalText returns the word used in files; any other value is an error.
func (l LifeStage) MarshalText() ([]byte, error) { return lifeWords.Marshal(l) }

// UnmarshalText reads the word used in files.
func (l *LifeStage) UnmarshalText(text []byte) error { return lifeWords.Unmarshal(l, text) }

// SplitBy says how a bowl that several animals share is divided between them.
type SplitBy uint8

const (
	// ByBand divides by the middle of each animal's energy band.
	ByBand SplitBy = iota + 1
	// ByHead gives each the same, for rules that practice states per animal
	// whatever its size.
	ByHead
)

var splitWords = units.Words[SplitBy]{What: "split", Keys: []string{ByBand: "band", ByHead: "head"}}

// String returns the word used in files: "band" or "head".
func (s SplitBy) String() string { return splitWords.Name(s) }

// MarshalText returns the word used in files; any other value is an error.
func (s SplitBy) MarshalText() ([]byte, error) { return splitWords.Marshal(s) }

// UnmarshalText reads the word used in files.
func (s *SplitBy) UnmarshalText(text []byte) error { return splitWords.Unmarshal(s, text) }

// Rule is one thing that is asked of a plan. Rules of a [Book] are shared: read
// them, never change them.
type Rule struct {
	ID        string // permanent, lower-case words joined by hyphens
	Title     string // one sentence
	Check     Check
	Severity  Severity
	Period    shares.Period
	Means     string   // what failing means for the animal
	Ref       cite.Ref // of the rule as a whole; zero where the limits carry it all
	Low       *Limit   // nil: no lower bound. Both bounds are met when reached exactly.
	High      *Limit
	Species   []string // animals it holds for, see [ration.ParseSpecies]; empty: all
	LifeStage LifeStage
	Since     string // a year, or a year and month, as in 2010 or 2026-11
	Until     string // "" while in force
	Override  string // why it replaces a shipped rule of the same id
	Replaces  string // id of the rule that it stands in for; "" when of none. It does not end that rule: its until does.

	// What the check looks at; unused fields are zero.
	Slot     shares.Slot
	Subject  Subject
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

// Counted reports whether the rule is about how many, or how much, of a kind of food
// each animal gets.
func (r *Rule) Counted() bool {
	return r.Check.Form() == FormPortion && r.Subject == OfKind
}

// Forbids reports whether the rule allows none at all of a food.
func (r *Rule) Forbids(f *prey.Food) bool {
	return r.Check.Form() == FormQuotient && r.Subject == OfKind && r.High != nil && r.High.Value == 0 && r.LooksAt(f)
}

// Above returns how far a gram of a food lies above a bound of a rule of
// [FormQuotient], and what it holds at the bound, at the typical figures: by weight for
// shares, in the unit of the nutrient for nutrients. It reports false where that is
// not known. These are for a search, which only proposes: no verdict rests on them.
func (r *Rule) Above(t *shares.Target, f *prey.Food, bound int64) (above, at float64, ok bool) {
	if t == nil || f == nil {
		return 0, 0, false
	}
	return r.Check.of().above(r, t, f, bound)
}

// BoundText says a bound of the rule that was worked out: "62 %", "1.25 to 1".
func (r *Rule) BoundText(v int64) string { return r.Check.of().scale.moved(r, v) }

// Unit returns what follows a bound or a figure of the rule: "a week", "of dry
// matter"; "" where nothing does. One is for a single thing.
func (r *Rule) Unit(one bool) string { return r.Check.of().unit(r, one) }

const rulesSchema = "fitchet.rules/1"

// LoadRules reads a rule file (schema fitchet.rules/1). The registry is asked
// for every source that the file names. The error is a strict.Faults with every
// fault of the file.
func LoadRules(path string, r io.Reader, reg *cite.Registry) ([]Rule, error) {
	return loadRules(path, r, reg, Checks())
}

func loadRules(path string, r io.Reader, reg *cite.Registry, known []Check) ([]Rule, error) {
	words, err := prey.ShippedWords()
	if err != nil {
		return nil, fmt.Errorf("reading rules: %w", err)
	}
	doc := strict.ReadAll(path, r)
	m := doc.Root().Map()
	read.Schema(m, rulesSchema)
	var out []Rule
	seen := map[string]bool{}
	for _, n := range m.Get("rules").List() {
		rule := readRule(n, reg, words, known)
		read.Unique(n, seen, rule.ID)
		out = append(out, rule)
	}
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, fmt.Errorf("reading rules: %w", err)
	}
	return out, nil
}

func readRule(n strict.Node, reg *cite.Registry, words *prey.Words, known []Check) Rule {
	m := n.Map()
	r := Rule{
		ID:       strict.Value(m, "id", read.ID),
		Title:    strict.Value(m, "title", read.Sentence),
		Severity: strict.Value(m, "gravity", safety.ParseSeverity),
		Period:   strict.Value(m, "period", shares.ParsePeriod),
		Means:    strict.Value(m, "means", read.Sentence),
		Override: m.OptText("override"),
	}
	r.Since, r.Until = read.Lifetime(m)
	r.Replaces, _ = strict.OptValue(m, "replaces", read.ID)
	if r.Replaces != "" && r.Replaces == r.ID {
		m.Get("replaces").Fail("rule %s cannot replace itself", r.ID)
	}
	checkNode := m.Get("check")
	check, ok := strict.Read(checkNode, func(s string) (Check, error) { return parseCheck(s, known) })
	if !ok {
		return r // without its kind nothing else of the rule can be read
	}
	r.Check = check
	if ref, ok := m.Opt("ref"); ok {
		r.Ref = read.Ref(ref, reg)
	}
	if list, ok := m.Opt("species"); ok {
		r.Species = strict.Each(list, ration.ParseSpecies)
	}
	r.LifeStage, _ = strict.OptValue(m, "stage", lifeWords.Parse)
	for _, o := range check.of().options {
		o.read(&r, m, words)
	}
	r.Low = readLimit(m, "low", reg, r.parseLimit)
	r.High = readLimit(m, "high", reg, r.parseLimit)
	r.whole(n)
	m.Done()
	return r
}

// readLimit reads an optional bound with its evidence: {value: …, ref: …}.
func readLimit(m strict.Map, key string, reg *cite.Registry, parse func(string) (int64, error)) *Limit {
	n, ok := m.Opt(key)
	if !ok {
		return nil
	}
	lm := n.Map()
	l := &Limit{Text: lm.Get("value").Text(), Ref: read.Ref(lm.Get("ref"), reg)}
	v, err := parse(l.Text)
	if err != nil {
		lm.Get("value").Fail("%w", err)
	}
	l.Value = v
	lm.Done()
	return l
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
			_, err := read.When(when)
			faults = append(faults, err)
		}
	}
	return errors.Join(faults...)
}

// whole notes what is missing from the rule or too much.
func (r *Rule) whole(n strict.Node) {
	in, has := r.holder().in, r.Low != nil || r.High != nil
	switch {
	case in == ofRule && !has:
		n.Fail("check %s needs low, high or both", r.Check)
	case in != ofRule && has:
		n.Fail("check %s takes no bounds here: they come from the target, the animal or package safety", r.Check)
	}
	if r.Low != nil && r.High != nil && r.Low.Value > r.High.Value {
		n.Fail("low %s lies above high %s", r.Low.Text, r.High.Text)
	}
	if (in == ofNeed || in == ofSafety) && !r.Ref.Evidence.Valid() {
		n.Fail("missing ref: this rule has no bounds that could carry its evidence")
	}
}

// parseLimit reads a bound in the unit of the check.
func (r *Rule) parseLimit(s string) (int64, error) { return r.Check.of().scale.parse(r, s) }
