package balance

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"

	"github.com/shopspring/decimal"
)

// Limits returns the bounds the finding was held to, nil where there is none:
// those of the rule, of the target or of the animal's need.
func (f *Finding) Limits() (low, high *Limit) {
	switch f.Rule.Check {
	case SlotShareCheck:
		if sh, ok := f.s.target.Share(f.Rule.Slot); ok {
			return &Limit{int64(sh.Low), sh.Low.String(), sh.BoundsRef}, &Limit{int64(sh.High), sh.High.String(), sh.BoundsRef}
		}
		return nil, nil
	case MassShare:
		if f.Rule.Of == OfComplete {
			return f.s.target.CompleteLeast, nil
		}
	case EnergyFloor:
		if n := f.need(); n != nil && n.Floor > 0 {
			return &Limit{int64(n.Floor), n.Floor.String(), n.FloorRef}, nil
		}
		return nil, nil
	case MealsADay:
		if n := f.need(); n != nil && n.MealsPerDay > 0 {
			return &Limit{int64(n.MealsPerDay), strconv.Itoa(n.MealsPerDay), n.MealsRef}, nil
		}
		return nil, nil
	case EnergyBand:
		if n := f.need(); n != nil && n.HasBand {
			return &Limit{int64(n.Band.Low), n.Band.Low.String(), n.BandRef}, &Limit{int64(n.Band.High), n.Band.High.String(), n.BandRef}
		}
		return nil, nil
	}
	return f.Rule.Low, f.Rule.High
}

// held is what the figure was held against; no bounds when nothing was measured.
func (f *Finding) held() bounds {
	if f.figure == nil {
		return bounds{}
	}
	return f.figure.bounds
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
	switch f.Rule.Check {
	case Amount, StockMass, StockDate:
		return both(units.Mass(l.Value))
	case NutrientRatio:
		return l.Text + " : 1"
	}
	return l.Text
}

// unit is what follows both a bound and a measured figure.
func (f *Finding) unit(one bool) string {
	plural := func(words, word string) string {
		if one {
			return word
		}
		return words
	}
	switch f.Rule.Check {
	case SlotShareCheck:
		return " of the five slots"
	case MassShare:
		return " of all food"
	case SpeciesCount:
		return plural(" kinds", " kind")
	case Pieces:
		return " a week"
	case Amount:
		if f.Rule.Daily {
			return " a day"
		}
		return " a week"
	case Times:
		if f.Rule.Meals {
			return plural(" meals a week", " meal a week")
		}
		return plural(" days a week", " day a week")
	case Chew, CalciumSource:
		return plural(" servings", " serving")
	case MealsADay:
		return plural(" meals a day", " meal a day")
	case MixLacks:
		return plural(" slots", " slot")
	case DriedWater:
		return " g of water per g of dried food"
	case EnergyFloor, EnergyBand:
		return " a day"
	case PerEnergy:
		return " per 1000 kcal"
	case DryMatter:
		return " of dry matter"
	case Refused, WholePieces:
		return plural(" servings", " serving")
	case BowlMates:
		return plural(" meals", " meal")
	case StockMass:
		return " more than there is"
	case StockPieces:
		return plural(" pieces more than there are", " piece more than there are")
	case StockDate:
		return " past its day"
	case DayOrder:
		return plural(" days", " day")
	case SameName:
		return plural(" names too few", " name too few")
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
	if f.figure == nil || f.Reason == NothingToJudge || f.figure.of > 0 && f.figure.numKnown == 0 {
		return Figure{}, false
	}
	per, unit := f.display()
	var at [prey.NumCases]*big.Rat
	for c := range at {
		if at[c] = f.figure.rat(prey.Case(c)); at[c] == nil {
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

// display is how many steps of the bound's unit make one displayed unit, and
// what that is called.
func (f *Finding) display() (per *big.Rat, unit string) {
	steps := func(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }
	switch f.Rule.Check {
	case SlotShareCheck, MassShare:
		return steps(int64(units.Whole) / 100), "%"
	case Amount, StockMass, StockDate:
		return steps(int64(units.Gram)), "g"
	case EnergyFloor, EnergyBand:
		return steps(10), "kcal"
	case NutrientRatio:
		return steps(ratioScale), ""
	case PerEnergy:
		// In the unit the limit is written in, so that the two can be compared.
		own := f.Rule.Nutrient.Unit()
		written := own
		for _, l := range []*Limit{f.Rule.High, f.Rule.Low} {
			if l != nil {
				_, written, _ = strings.Cut(l.Text, " ")
			}
		}
		per := steps(int64(prey.DensityUnit))
		if from, to := exponent(written), exponent(own); from != noExponent && to != noExponent {
			for range from - to {
				per.Mul(per, steps(10))
			}
			for range to - from {
				per.Quo(per, steps(10))
			}
			return per, written
		}
		return per, own
	case DryMatter:
		if f.percent() {
			return steps(dryScale / 100), "%"
		}
		return steps(1_000_000), "mg/kg"
	}
	return steps(1), ""
}

// percent reports whether a dry-matter rule is written in percent.
func (f *Finding) percent() bool {
	for _, l := range []*Limit{f.Rule.Low, f.Rule.High} {
		if l != nil {
			return strings.HasSuffix(l.Text, "%")
		}
	}
	return true
}

// places is how many decimals to show: three figures that matter, or more while
// the rounded figure would look like a bound that it is not.
func (f *Finding) places(v, per *big.Rat) int32 {
	places := int32(0)
	abs := new(big.Rat).Abs(v)
	for limit := big.NewRat(100, 1); places < 6 && abs.Sign() > 0 && abs.Cmp(limit) < 0; places++ {
		limit.Quo(limit, big.NewRat(10, 1))
	}
	switch f.Rule.Check {
	case SlotShareCheck, MassShare, Amount, EnergyFloor, EnergyBand, StockMass, StockDate:
		places = 1
	}
	if v.IsInt() {
		places = 0
	}
	for _, b := range []struct {
		is bool
		at int64
	}{{f.figure.bounds.hasLow, f.figure.bounds.low}, {f.figure.bounds.hasHigh, f.figure.bounds.high}} {
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

// ReasonText says why the finding is open or the rule does not apply. Where too
// little is known to judge, it adds what the known part shows by itself: a sum
// that can only grow with what is not known.
func (f *Finding) ReasonText() string {
	why := f.Reason.Words()
	switch reached, passed := f.KnownAlone(); {
	case passed:
		why += ", and that part alone is already more than is wanted"
	case reached:
		why += ", but that part alone already reaches what is wanted"
	}
	return why
}

// KnownAlone reports of a finding that is open because too little is known whether
// the known part alone reaches the least, or passes the most, in every case.
func (f *Finding) KnownAlone() (reached, passed bool) {
	fr := f.figure
	if f.Reason != LittleKnown || fr == nil || fr.numKnown == 0 || !fr.floor() {
		return false, false
	}
	b := &fr.bounds
	reached, passed = b.hasLow && !b.hasHigh, b.hasHigh
	for c := range fr.num {
		reached = reached && cmpBound(fr.num[c], fr.den[c], fr.scale, b.low) >= 0
		passed = passed && cmpBound(fr.num[c], fr.den[c], fr.scale, b.high) > 0
	}
	return reached, passed
}

func (f *Finding) tooMuchKnown() bool {
	_, passed := f.KnownAlone()
	return passed
}

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
	show := func(d decimal.Decimal) string {
		switch m.Unit {
		case "":
			if f.Rule.Check == NutrientRatio {
				return d.String() + " : 1"
			}
			return d.String()
		case "g":
			if f.Rule.Check == Amount || f.Rule.Check.ofHousehold() {
				if mass, err := units.NewMass(d.Abs()); err == nil {
					return d.String() + " g (" + mass.InOunces(1) + ")"
				}
			}
		}
		return d.String() + " " + m.Unit
	}
	out := show(m.Typical) + f.unit(m.Typical.Equal(decimal.NewFromInt(1)))
	switch known, of := f.Coverage(); {
	case known == of:
	case f.figure.floor():
		out = "at least " + out
	case f.figure.ceiling():
		out = "at most " + out
	}
	if !m.Low.Equal(m.High) {
		out += " (" + show(m.Low) + " to " + show(m.High) + ")"
	}
	if known, of := f.Coverage(); known < of {
		out += ", from the " + units.ShareOf(known, of).InPercent(0) + " of the food for which it is known"
	}
	switch f.Rule.Check {
	case SpeciesCount:
		if names := f.s.speciesNames(f.Rule); len(names) > 0 {
			out += ": " + and(names)
		}
	case MixLacks:
		if lacks, _, _ := f.s.mixLacks(); lacks != [NumSlots]bool{} {
			var words []string
			for _, slot := range Slots() {
				if lacks[slot] {
					words = append(words, slot.part().String())
				}
			}
			out += " lacking: " + and(words)
		}
	}
	if words := f.wrongs(); len(words) > 0 {
		out += ": " + and(words)
	}
	if f.Day >= 0 && f.Day < len(f.s.in.Plan.Days) {
		on := ", on "
		if f.Rule.Check.ofHousehold() {
			on = ", first on "
		}
		out += on + f.s.in.Plan.Days[f.Day].Date.String()
	}
	return out
}

// Coverage returns the mass for which the figures are known and the mass of all
// food that counts; equal when everything is known.
func (f *Finding) Coverage() (known, of units.Mass) {
	if f.figure == nil || f.figure.of == 0 {
		return f.s.total.Mass(), f.s.total.Mass()
	}
	return min(f.figure.numKnown, f.figure.denKnown), f.figure.of
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
	low, high := f.Limits()
	for _, l := range []*Limit{low, high} {
		if l != nil {
			add(l.Ref)
		}
	}
	if f.Rule.Check == SlotShareCheck {
		if sh, ok := f.s.target.Share(f.Rule.Slot); ok {
			add(sh.AimRef)
		}
	}
	if len(out) == 0 {
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
	switch f.Rule.Check {
	case Pieces, Amount:
		if f.Rule.Split == ByHead {
			return fmt.Sprintf("a bowl shared by %d, counted the same for each", shared)
		}
	case EnergyFloor, EnergyBand:
	default:
		return ""
	}
	return fmt.Sprintf("a bowl shared by %d, divided by the middle of each one's energy band: our choice, watch who eats what", shared)
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
		for _, h := range f.s.in.Screen.of(food, f.s) {
			if h.ID == f.Hazard.ID {
				out = append(out, food.Name)
				break
			}
		}
	}
	return out
}

// both prints a mass in grams and ounces: "57 g (2.0 oz)".
func both(m units.Mass) string {
	switch {
	case m < 10*units.Gram && m%units.Gram == 0:
		return m.InGrams(0) + " (" + m.InOunces(2) + ")"
	case m < 10*units.Gram:
		return m.InGrams(1) + " (" + m.InOunces(2) + ")"
	}
	return m.InGrams(0) + " (" + m.InOunces(1) + ")"
}
