package balance

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"

	"github.com/shopspring/decimal"
)

// Limits returns the bounds the finding was held to, nil where there is none:
// those of the rule, of the target or of the animal's need.
func (f *Finding) Limits() (low, high *Limit) {
	low, high, _ = f.limits()
	return low, high
}

// limits are these and what is aimed at between them. A finding made by hand knows
// those of its rule alone.
func (f *Finding) limits() (low, high *Limit, aim cite.Ref) {
	if f.Rule == nil {
		return nil, nil, cite.Ref{}
	}
	if f.s == nil {
		return f.Rule.holder().limits(f.Rule, nil, nil)
	}
	return f.Rule.holder().limits(f.Rule, f.s.target, f.need())
}

// held is what the figure was held against; no bounds when nothing was measured.
func (f *Finding) held() figure.Bounds {
	if f.figure == nil {
		return figure.Bounds{}
	}
	return f.figure.Bounds
}

// need is the need of the animal the finding is about, or nil.
func (f *Finding) need() *ration.Need {
	for i := range f.s.needs {
		if f.Animal != nil && f.s.needs[i].Animal == f.Animal {
			return &f.s.needs[i]
		}
	}
	return nil
}

// LimitText says the limit in words: "65 % to 75 %", "at least 1.5 g per 1000
// kcal", "" where there is none.
func (f *Finding) LimitText() string {
	low, high := f.Limits()
	bound := high
	if bound == nil {
		bound = low
	}
	tail := ""
	if bound != nil {
		tail = f.unit(bound.Text == "1")
	}
	switch {
	case low != nil && high != nil && low.Text == high.Text:
		return "exactly " + f.limit(low) + tail
	case low != nil && high != nil:
		return f.limit(low) + " to " + f.limit(high) + tail
	case low != nil:
		return "at least " + f.limit(low) + tail
	case high != nil && high.Value == 0:
		return "none"
	case high != nil:
		return "at most " + f.limit(high) + tail
	}
	return ""
}

// limit is the bound itself; masses are shown in both systems.
func (f *Finding) limit(l *Limit) string {
	return f.Rule.Check.of().scale.bound(l.Text, l.Value)
}

// unit is what follows both a bound and a measured figure.
func (f *Finding) unit(one bool) string {
	if unit := f.Rule.Unit(one); unit != "" {
		return " " + unit
	}
	return ""
}

// Figure is a measured figure for people and machines: decimals in the unit of
// the limit, rounded half up, with as many places as it takes to tell them from
// the limit. An exact tie with a limit shows as the limit.
type Figure struct {
	Low, Typical, High decimal.Decimal
	Unit               string // "%", "g", "kcal", "" for counts and ratios
}

// Measured returns the figure at the typical case and its range over all cases,
// or false where nothing was measured.
func (f *Finding) Measured() (Figure, bool) {
	if f.figure == nil || f.Reason == NothingToJudge || f.figure.Of > 0 && f.figure.NumKnown == 0 {
		return Figure{}, false
	}
	per, unit := f.display()
	var at [prey.NumCases]*big.Rat
	for c := range at {
		if at[c] = f.figure.Rat(prey.Case(c)); at[c] == nil {
			return Figure{}, false
		}
		at[c].Quo(at[c], per)
	}
	places := f.places(at[prey.Typical], per)
	out := Figure{Typical: decimal.NewFromBigRat(at[prey.Typical], places), Unit: unit}
	low, high := at[0], at[0]
	for _, v := range at[1:] {
		if v.Cmp(low) < 0 {
			low = v
		}
		if v.Cmp(high) > 0 {
			high = v
		}
	}
	out.Low, out.High = decimal.NewFromBigRat(low, places), decimal.NewFromBigRat(high, places)
	return out, true
}

// At returns the figure at a case, exactly, in the unit of [Limit].Value; nil where
// nothing was measured.
func (f *Finding) At(c prey.Case) *big.Rat {
	if f.figure == nil || c >= prey.NumCases || f.figure.Of > 0 && f.figure.NumKnown == 0 {
		return nil
	}
	return f.figure.Rat(c)
}

// MeasuredOver is [Finding.Measured] with another range, in the unit of
// [Limit].Value; false also where an end of it is nil.
func (f *Finding) MeasuredOver(low, high *big.Rat) (Figure, bool) {
	m, ok := f.Measured()
	if !ok || low == nil || high == nil {
		return Figure{}, false
	}
	per, _ := f.display()
	show := func(r *big.Rat) decimal.Decimal {
		r = new(big.Rat).Quo(r, per)
		return decimal.NewFromBigRat(r, f.places(r, per))
	}
	m.Low, m.High = show(low), show(high)
	return m, true
}

// display is how many steps of the bound's unit make one displayed unit, and
// what that is called.
func (f *Finding) display() (per *big.Rat, unit string) {
	return f.Rule.Check.of().scale.steps(f.Rule)
}

// places is how many decimals to show: three figures that matter, or more while
// the rounded figure would look like a bound that it is not.
func (f *Finding) places(v, per *big.Rat) int32 {
	places := int32(0)
	abs := new(big.Rat).Abs(v)
	for limit := big.NewRat(100, 1); places < 6 && abs.Sign() > 0 && abs.Cmp(limit) < 0; places++ {
		limit.Quo(limit, big.NewRat(10, 1))
	}
	if fixed := f.Rule.Check.of().scale.places; fixed != threeFigures {
		places = fixed
	}
	if v.IsInt() {
		places = 0
	}
	for _, b := range []struct {
		is bool
		at int64
	}{{f.figure.Bounds.HasLow, f.figure.Bounds.Low}, {f.figure.Bounds.HasHigh, f.figure.Bounds.High}} {
		if !b.is {
			continue
		}
		limit := new(big.Rat).SetInt64(b.at)
		limit.Quo(limit, per)
		for v.Cmp(limit) != 0 && places < 12 && decimal.NewFromBigRat(v, places).Equal(decimal.NewFromBigRat(limit, 12)) {
			places++
		}
	}
	return places
}

// ReasonText says why the finding is open or the rule does not apply.
func (f *Finding) ReasonText() string { return f.Reason.Words() }

// MeasuredText says the figure and its range: "5.2 % of the five slots (4.9 %
// to 5.6 %)". For counts it says what was counted.
func (f *Finding) MeasuredText() string {
	if f.Hazard != nil {
		return f.Hazard.Name + ": " + strings.Join(f.Foods(), ", ")
	}
	m, ok := f.Measured()
	if !ok {
		return ""
	}
	show := func(d decimal.Decimal) string { return f.Rule.Check.of().scale.show(d, m.Unit) }
	out := show(m.Typical) + f.unit(m.Typical.Equal(decimal.NewFromInt(1)))
	switch known, of := f.Coverage(); {
	case known == of:
	case f.figure.Floor():
		out = "at least " + out
	case f.figure.Ceiling():
		out = "at most " + out
	}
	if !m.Low.Equal(m.High) {
		out += " (" + show(m.Low) + " to " + show(m.High) + ")"
	}
	if known, of := f.Coverage(); known < of {
		out += ", from the " + units.ShareOf(known, of).InPercent(0) + " of the food for which it is known"
	}
	out += f.Rule.Check.of().detail(f)
	if f.Day >= 0 && f.Day < len(f.s.in.Plan.Days) {
		on := ", on "
		if f.Rule.Check.OfHousehold() {
			on = ", first on "
		}
		out += on + f.s.in.Plan.Days[f.Day].Date.String()
	}
	return out
}

// Coverage returns the mass for which the figures are known and the mass of all
// food that counts; equal when everything is known.
func (f *Finding) Coverage() (known, of units.Mass) {
	if f.s == nil {
		return 0, 0
	}
	if f.figure == nil || f.figure.Of == 0 {
		return f.s.total.Mass(), f.s.total.Mass()
	}
	return min(f.figure.NumKnown, f.figure.DenKnown), f.figure.Of
}

// Evidence returns the references that the finding rests on, each once: of the
// bounds, else of the rule; for hazards that of the hazard.
func (f *Finding) Evidence() []cite.Ref {
	var out []cite.Ref
	add := func(r cite.Ref) {
		if r.Evidence.Valid() && !slices.ContainsFunc(out, func(o cite.Ref) bool { return o.String() == r.String() }) {
			out = append(out, r)
		}
	}
	if f.Hazard != nil {
		for _, r := range f.Hazard.Evidence {
			add(r)
		}
		return out
	}
	low, high, aim := f.limits()
	for _, l := range []*Limit{low, high} {
		if l != nil {
			add(l.Ref)
		}
	}
	add(aim)
	if len(out) == 0 && f.Rule != nil {
		add(f.Rule.Ref)
	}
	return out
}

// EvidenceText is the evidence in words, each piece once.
func (f *Finding) EvidenceText(reg *cite.Registry) string {
	var words []string
	for _, r := range f.Evidence() {
		words = append(words, r.Words(reg))
	}
	return strings.Join(words, "; ")
}

// Split says how a shared bowl was divided for this finding, "" when it was not.
func (f *Finding) Split() string {
	if f.Animal == nil {
		return ""
	}
	shared := 0
	a := slices.IndexFunc(f.s.needs, func(n ration.Need) bool { return n.Animal == f.Animal })
	for i := range f.s.bowls {
		if b := &f.s.bowls[i]; len(b.animals) > 1 && slices.Contains(b.animals, a) {
			shared = max(shared, len(b.animals))
		}
	}
	if shared == 0 {
		return ""
	}
	switch f.Rule.Check.of().split(f.Rule) {
	case ByHead:
		return fmt.Sprintf("a bowl shared by %d, counted the same for each", shared)
	case ByBand:
		return fmt.Sprintf("a bowl shared by %d, divided by the middle of each one's energy band: our choice, watch who eats what", shared)
	}
	return ""
}

// Who is the animal the finding is about, as ration.Household.NameOf calls it;
// "" when it is about all.
func (f *Finding) Who() string {
	if f.Animal == nil {
		return ""
	}
	return f.s.in.Household.NameOf(f.Animal.ID)
}

// Foods are the names of the foods that carry the hazard, in the order they are
// fed; none for other rules.
func (f *Finding) Foods() []string {
	if f.Hazard == nil {
		return nil
	}
	var out []string
	for i := range f.s.items {
		food := f.s.items[i].Food
		if slices.Contains(out, food.Name) {
			continue
		}
		for _, h := range f.s.hazardsOf(food) {
			if h.ID == f.Hazard.ID {
				out = append(out, food.Name)
				break
			}
		}
	}
	return out
}
