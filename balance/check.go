package balance

import (
	"math/big"
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Reason says why a verdict is open or a rule does not apply.
type Reason uint8

const (
	NoReason Reason = iota
	NothingToJudge
	LittleKnown
	PiecesUnknown
	PartsUnknown
	ShortPlan
	AllComplete
	TargetSilent
	OtherSpecies
	OtherStage
	OtherSex
	NoAnimals
	NoBand
	NoneFed
	BoneFed
	NotAsked
	NotInForce
	HazardOpen
	NothingRefused
	NoneFrail
	OneAnimal
	NoStock
	NoneCounted
	NoDates
	AlreadyEaten
)

var reasonWords = [...]string{
	NoReason:       "",
	NothingToJudge: "there is nothing to measure",
	LittleKnown:    "the figure is known for less than 80 % of the food by weight",
	PiecesUnknown:  "the weight of a piece is not known",
	PartsUnknown:   "the parts of a mix are not known",
	ShortPlan:      "the plan covers fewer than seven days",
	AllComplete:    "all food here counts as balanced in itself (whole prey, complete mixes: common practice)",
	TargetSilent:   "the target asks nothing of this",
	OtherSpecies:   "the rule is for other animals",
	OtherStage:     "the rule is for another stage of life",
	OtherSex:       "the rule is for the other sex",
	NoAnimals:      "no household is given, so nobody's need is known",
	NoBand:         "no figure for the need of this animal is known",
	NoneFed:        "none is fed",
	BoneFed:        "bone, whole prey or a complete mix is fed",
	NotAsked:       "package safety was not asked",
	NotInForce:     "the rule is no longer in force",
	HazardOpen:     "it rests on something to be looked up",
	NothingRefused: "nothing is written down that an animal must not get",
	NoneFrail:      "no animal here must not go long without food",
	OneAnimal:      "there is one animal only",
	NoStock:        "neither stock nor offers are written down",
	NoneCounted:    "no pieces are counted",
	NoDates:        "no dates are written down",
	AlreadyEaten:   "this was eaten already",
}

// Words returns the reason for people, "" for NoReason.
func (r Reason) Words() string {
	if int(r) < len(reasonWords) {
		return reasonWords[r]
	}
	return ""
}

// check judges one rule and notes its findings.
func (s *state) check(r *readyRule) {
	switch {
	case r.Until != "":
		s.none(r, NotInForce)
	case !s.hasSpecies(r):
		s.none(r, OtherSpecies)
	case r.LifeStage != AnyStage && r.LifeStage != s.life:
		s.none(r, OtherStage)
	default:
		r.Check.of().judge(s, r)
	}
}

func (r *Rule) bounds() figure.Bounds {
	var b figure.Bounds
	if r.Low != nil {
		b.Low, b.HasLow = r.Low.Value, true
	}
	if r.High != nil {
		b.High, b.HasHigh = r.High.Value, true
	}
	return b
}

// hasSpecies reports whether the rule is for any animal here. Without a
// household the target's species stands for them.
func (s *state) hasSpecies(r *readyRule) bool {
	if len(r.Species) == 0 {
		return true
	}
	if len(s.needs) == 0 {
		return slices.Contains(r.Species, s.target.Species)
	}
	for i := range s.needs {
		if slices.Contains(r.Species, s.needs[i].Animal.Kind()) {
			return true
		}
	}
	return false
}

// find notes a finding of the rule. It stays where it is until the next one is
// noted.
func (s *state) find(r *readyRule, v Verdict, why Reason) *Finding {
	s.found = append(s.found, Finding{Rule: r.Rule, Severity: r.Severity, Verdict: v, Whole: v, Reason: why, Day: -1, s: s})
	return &s.found[len(s.found)-1]
}

// none notes that the rule does not apply.
func (s *state) none(r *readyRule, why Reason) *Finding { return s.find(r, NotApplicable, why) }

// judge notes the finding of one figure.
func (s *state) judge(r *readyRule, fr *figure.Figure, b figure.Bounds) *Finding {
	fr.Bounds = b
	j := fr.Judge()
	f := s.find(r, Verdict(j.Typical), NoReason)
	switch {
	case j.Nothing:
		f.Reason = NothingToJudge
	case j.Little:
		f.Reason = LittleKnown
	}
	f.Whole, f.Side, f.figure = Verdict(j.Whole), Side(j.Side), fr
	return f
}

// figure is the place for the next figure, with nothing known of it yet.
func (s *state) figure() *figure.Figure {
	s.figures = append(s.figures, figure.Figure{Scale: 1})
	return &s.figures[len(s.figures)-1]
}

// count is the figure of a plain number.
func (s *state) count(n int) *figure.Figure {
	f := s.figure()
	f.OfWhole(uint64(n), 1, 1)
	return f
}

// withAnimals judges where there are animals.
func withAnimals(judge func(*state, *readyRule)) func(*state, *readyRule) {
	return func(s *state, r *readyRule) {
		if len(s.needs) == 0 {
			s.none(r, NoAnimals)
			return
		}
		judge(s, r)
	}
}

// weekDays is over how many days an amount is taken that a rule states by the
// week. A plan shorter than a week is the beginning of one: what it holds is all
// that is known of that week.
func (s *state) weekDays() uint64 { return uint64(max(s.days, daysInWeek)) }

// short opens a finding that fell below a weekly amount in a plan that is not a
// week long: the days that are missing could still bring it.
func (s *state) short(f *Finding) {
	if s.days >= daysInWeek || f.Side != Below {
		return
	}
	if f.Verdict == Missed {
		f.Verdict, f.Reason = Open, ShortPlan
	}
	if f.Whole == Missed {
		f.Whole = Open
	}
}

const daysInWeek = 7

// measured is the figure of a rule whose dividend and divisor are sums over the
// foods.
func (s *state) measured(r *readyRule) *figure.Figure {
	f := s.figure()
	r.Check.of().measure(s, f, r.Rule)
	return f
}

// quotient is what some of a food adds to the figure of a rule of [FormQuotient].
func (r *Rule) quotient(t *shares.Target, food *prey.Food, m units.Mass) figure.Figure {
	f := figure.Figure{Scale: 1}
	p := slotProfile(food, t)
	s := &state{target: t, foods: []foodSum{{&p, m}}}
	s.add(&p, m)
	r.Check.of().measure(s, &f, r)
	return f
}

// Quotient is a figure of a rule of [FormQuotient], exactly: Num/Den at each case, in
// the unit of [Limit].Value.
type Quotient struct {
	Num, Den [prey.NumCases]*big.Int
	// Floor and Ceiling say that the true figure is at least, and at most, what is
	// known of it; Enough, that enough is known to judge by.
	Floor, Ceiling, Enough bool
}

// Quotient sums up servings as the rule does under a target. Servings without food
// or with a mass below zero count for nothing. Of rules of another form there is
// nothing to sum up.
func (r *Rule) Quotient(t *shares.Target, servings ...ration.Serving) Quotient {
	sum := figure.Figure{Scale: 1}
	for _, sv := range servings {
		if sv.Food != nil && sv.Mass > 0 {
			one := r.quotient(t, sv.Food, sv.Mass)
			sum.More(&one, 1)
			sum.Scale, sum.NumMore = one.Scale, sum.NumMore || one.NumMore
		}
	}
	out := Quotient{Floor: sum.Floor(), Ceiling: sum.Ceiling(), Enough: sum.Enough()}
	for c := range sum.Num {
		num := sum.Num[c].Big()
		out.Num[c], out.Den[c] = num.Mul(num, new(big.Int).SetUint64(sum.Scale)), sum.Den[c].Big()
	}
	return out
}

// addsToSum is what a serving adds to a quotient of sums: to its dividend.
func addsToSum(f *Finding, it *item) (wide.U128, bool) {
	q := f.Rule.quotient(f.s.target, it.Food, it.Mass)
	return q.Num[prey.Typical], true
}

// lacksInSum reports whether a food has not all figures that such a quotient needs.
func lacksInSum(f *Finding, food *prey.Food) bool {
	q := f.Rule.quotient(f.s.target, food, units.Gram)
	return q.Partial()
}

// perHundredGrams is the density of a thing that is all one nutrient counted in
// grams: 100 g per 100 g, in billionths.
const perHundredGrams = 100 * uint64(prey.DensityUnit)
