package balance

import (
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
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
)

// Words returns the reason for people, "" for NoReason.
func (r Reason) Words() string {
	switch r {
	case NothingToJudge:
		return "there is nothing to measure"
	case LittleKnown:
		return "the figure is known for less than 80 % of the food by weight"
	case PiecesUnknown:
		return "the weight of a piece is not known"
	case PartsUnknown:
		return "the parts of a mix are not known"
	case ShortPlan:
		return "the plan covers fewer than seven days"
	case AllComplete:
		return "all food here counts as balanced in itself (whole prey, complete mixes: common practice)"
	case TargetSilent:
		return "the target asks nothing of this"
	case OtherSpecies:
		return "the rule is for other animals"
	case OtherStage:
		return "the rule is for another stage of life"
	case OtherSex:
		return "the rule is for the other sex"
	case NoAnimals:
		return "no household is given, so nobody's need is known"
	case NoBand:
		return "no figure for the need of this animal is known"
	case NoneFed:
		return "none is fed"
	case BoneFed:
		return "bone, whole prey or a complete mix is fed"
	case NotAsked:
		return "package safety was not asked"
	case NotInForce:
		return "the rule is no longer in force"
	case HazardOpen:
		return "it rests on something to be looked up"
	}
	return ""
}

// Scales: num x scale / den in the unit of the bounds.
const (
	shareScale  = uint64(units.Whole)
	ratioScale  = 1_000_000_000
	energyScale = 1_000_000_000_000 // per 1000 kcal, in billionths
	dryScale    = 1_000_000_000_000 // 1e-12 of dry matter
)

// check judges one rule and appends its findings.
func (s *state) check(r *Rule, out []Finding) []Finding {
	none := func(why Reason) []Finding {
		return append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: why, Day: -1, s: s})
	}
	switch {
	case r.Until != "":
		return none(NotInForce)
	case !s.hasSpecies(r):
		return none(OtherSpecies)
	case r.Life != AllLife && r.Life != s.life:
		return none(OtherStage)
	}
	b := r.bounds()
	switch r.Check {
	case SlotShareCheck:
		sh, ok := s.target.Share(r.Slot)
		switch {
		case !ok:
			return none(TargetSilent)
		case s.counted == 0 && s.complete > 0:
			return none(AllComplete)
		}
		return append(out, s.found(r, s.slotShare(r.Slot), bounds{int64(sh.Low), int64(sh.High), true, true}))
	case MassShare:
		if r.Of == OfComplete {
			if s.target.CompleteLeast == nil {
				return none(TargetSilent)
			}
			b = bounds{low: s.target.CompleteLeast.Value, hasLow: true}
		}
		return append(out, s.found(r, s.massShare(r), b))
	case SpeciesCount:
		return append(out, s.short(s.found(r, count(len(s.species(r))), b)))
	case Pieces, Amount:
		return s.perAnimal(r, b, out)
	case Times:
		return append(out, s.times(r, b))
	case Chew:
		n, ground := s.chew()
		if !ground {
			return none(NoneFed)
		}
		return append(out, s.found(r, count(n), b))
	case CalciumSource:
		n, bone := s.calciumSources()
		if bone {
			return none(BoneFed)
		}
		return append(out, s.found(r, count(n), b))
	case MixLacks:
		n, any, known := s.mixLacks()
		if !any {
			return none(NoneFed)
		}
		f := s.found(r, count(len(n)), b)
		if !known && f.Verdict == Met {
			f.Verdict, f.Whole, f.Reason = Open, Open, PartsUnknown
		}
		return append(out, f)
	case DriedWater:
		fr, any := s.driedWater()
		if !any {
			return none(NoneFed)
		}
		return append(out, s.found(r, fr, b))
	case EnergyFloor, EnergyBand:
		return s.energyRule(r, out)
	case MealsADay:
		return s.mealsADay(r, out)
	case Hazard:
		return s.hazards(r, out)
	case NutrientRatio:
		return append(out, s.found(r, s.nutrientRatio(r), b))
	case PerEnergy:
		return append(out, s.found(r, s.perEnergy(r.Nutrient, prey.ModifiedAtwater), b))
	case DryMatter:
		return append(out, s.found(r, s.dryMatter(r.Nutrient), b))
	}
	return none(NothingToJudge)
}

func (r *Rule) bounds() bounds {
	var b bounds
	if r.Low != nil {
		b.low, b.hasLow = r.Low.Value, true
	}
	if r.High != nil {
		b.high, b.hasHigh = r.High.Value, true
	}
	return b
}

// hasSpecies reports whether the rule is for any animal here. Without a
// household the target's species stands for them.
func (s *state) hasSpecies(r *Rule) bool {
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

// found makes the finding of one figure.
func (s *state) found(r *Rule, f fraction, b bounds) Finding {
	s.figures = append(s.figures, f)
	kept := &s.figures[len(s.figures)-1]
	j := kept.judge(b)
	return Finding{Rule: r, Gravity: r.Gravity, Verdict: j.verdict, Whole: j.whole, Side: j.side, Reason: j.reason, Day: -1, figure: kept, bounds: b, s: s}
}

// weekDays is over how many days an amount is taken that a rule states by the
// week. A plan shorter than a week is the beginning of one: what it holds is all
// that is known of that week.
func (s *state) weekDays() uint64 { return uint64(max(s.days, daysInWeek)) }

// short opens a finding that fell below a weekly amount in a plan that is not a
// week long: the days that are missing could still bring it.
func (s *state) short(f Finding) Finding {
	if s.days < daysInWeek && f.Verdict == Missed && f.Side == Below {
		f.Verdict, f.Reason = Open, ShortPlan
	}
	if s.days < daysInWeek && f.Whole == Missed && f.Side == Below {
		f.Whole = Open
	}
	return f
}

const daysInWeek = 7

func (s *state) slotShare(slot Slot) fraction {
	f := fraction{den: s.slotSum, scale: shareScale, numKnown: s.slotKnown, denKnown: s.slotKnown, of: s.counted}
	for c := range f.num {
		f.num[c] = s.slots[c][slot]
	}
	return f
}

func (s *state) massShare(r *Rule) fraction {
	f := fraction{scale: shareScale}
	if r.Of == OfLiver {
		for c := range f.num {
			f.num[c] = s.total.Part(prey.Case(c), prey.Liver)
			f.den[c] = wide.Mul(uint64(s.total.Mass()), uint64(units.Whole))
		}
		f.numKnown, f.denKnown, f.of = s.total.PartsKnownMass(), s.total.Mass(), s.total.Mass()
		return f
	}
	m := s.complete
	if r.Of == OfKind {
		m = 0
		for i := range s.items {
			if r.is(s.items[i].Food) {
				m += s.items[i].Mass
			}
		}
	}
	for c := range f.num {
		f.num[c], f.den[c] = wide.U128{Lo: uint64(m)}, wide.U128{Lo: uint64(s.total.Mass())}
	}
	return f
}

// species are the different animals that are fed, sorted. A mix counts with
// everything it contains. Eggs, oils and powders do not count: practice means
// meats.
func (s *state) species(r *Rule) []string {
	out := make([]string, 0, 8)
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	for i := range s.items {
		f := s.items[i].Food
		switch f.Kind {
		case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood:
			continue
		}
		if r.Colour != prey.NoMeat && f.Colour != r.Colour || s.items[i].Mass == 0 {
			continue
		}
		add(f.Species)
		for _, name := range f.Contains {
			add(name)
		}
	}
	slices.Sort(out)
	return out
}

// perAnimal judges pieces or masses that one animal gets.
func (s *state) perAnimal(r *Rule, b bounds, out []Finding) []Finding {
	if len(s.needs) == 0 {
		return append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: NoAnimals, Day: -1, s: s})
	}
	judged := false
	for a := range s.needs {
		an := s.needs[a].Animal
		if len(r.Species) > 0 && !slices.Contains(r.Species, an.Kind()) || r.Sex != ration.SexUnknown && an.Sex != r.Sex {
			continue
		}
		judged = true
		f, known := s.gets(r, a)
		found := s.found(r, f, b)
		if !known {
			found.Verdict, found.Whole, found.Reason = Open, Open, PiecesUnknown
		}
		if !r.Daily {
			found = s.short(found)
		}
		found.Animal = an
		out = append(out, found)
	}
	if !judged {
		out = append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: OtherSex, Day: -1, s: s})
	}
	return out
}

// gets is how many pieces, or how much, an animal gets by the week or the day.
func (s *state) gets(r *Rule, animal int) (f fraction, known bool) {
	var sum [prey.NumCases]ratio
	for c := range sum {
		sum[c].den = 1
	}
	known = true
	for i := range s.items {
		it := &s.items[i]
		if !r.is(it.Food) {
			continue
		}
		p := s.bowls[it.bowl].share(animal, r.Split)
		if p.w == 0 {
			continue
		}
		piece := it.Food.Piece
		if r.Check == Pieces && it.Pieces <= 0 && (piece.Low <= 0 || !piece.Valid()) {
			known = false
			continue
		}
		// Few pieces if they are heavy, many if they are light.
		for c, each := range [prey.NumCases]units.Mass{piece.High, piece.Typical, piece.Low} {
			switch {
			case r.Check == Amount:
				sum[c].add(wide.U128{Lo: uint64(it.Mass)}, p)
			case it.Pieces > 0:
				sum[c].add(wide.U128{Lo: uint64(it.Pieces)}, p)
			default:
				q := newPart(uint64(it.Mass), uint64(each))
				if of := wide.Mul(q.total, p.total); of.Hi == 0 {
					sum[c].add(wide.U128{Lo: q.w}, part{p.w, of.Lo})
				}
			}
		}
	}
	f.scale = 1
	for c := range sum {
		num, by := sum[c].num, uint64(max(s.days, 1))
		if !r.Daily {
			num, _ = num.MulDiv(daysInWeek, 1)
			by = s.weekDays()
		}
		f.num[c] = num
		f.den[c] = wide.Mul(sum[c].den, by)
	}
	return f, known
}

// times counts days or meals for the animal that is worst off, or for the whole
// plan where nobody's bowl is known.
func (s *state) times(r *Rule, b bounds) Finding {
	worst, who := -1, -1
	for a := range s.needs {
		if len(r.Species) > 0 && !slices.Contains(r.Species, s.needs[a].Animal.Kind()) {
			continue
		}
		n := s.countTimes(r, a)
		if worst < 0 || b.hasHigh && n > worst || !b.hasHigh && n < worst {
			worst, who = n, a
		}
	}
	if who < 0 {
		worst = s.countTimes(r, -1)
	}
	if worst == 0 && r.WhenFed {
		return Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: NoneFed, Day: -1, s: s}
	}
	f := count(worst)
	for c := range f.num {
		f.num[c] = wide.Mul(uint64(worst), daysInWeek)
		f.den[c] = wide.U128{Lo: s.weekDays()}
	}
	found := s.short(s.found(r, f, b))
	if who >= 0 && len(s.needs) > 1 && len(s.bowls) > 1 {
		found.Animal = s.needs[who].Animal
	}
	return found
}

// countTimes counts the days (or meals) on which an animal, or with -1 anybody,
// gets what the rule looks at. Items stand in the order of their days and meals.
func (s *state) countTimes(r *Rule, animal int) int {
	n, day, slot := 0, -1, -1
	for i := range s.items {
		it := &s.items[i]
		if it.day == day && (!r.Meals || it.slot == slot) || it.Mass == 0 || !r.is(it.Food) {
			continue
		}
		if animal >= 0 && !slices.Contains(s.bowls[it.bowl].animals, animal) {
			continue
		}
		n, day, slot = n+1, it.day, it.slot
	}
	return n
}

// chew counts servings to gnaw on, and says whether there is ground or dried
// food that asks for them.
func (s *state) chew() (n int, ground bool) {
	for i := range s.items {
		switch s.items[i].FormOf() {
		case safety.Soup, safety.Minced, safety.Dried, safety.Soaked:
			ground = true
		case safety.BoneIn, safety.WholePrey:
			n++
		}
	}
	return n, ground
}

// calciumSources counts servings of powders that hold calcium, and says whether
// there is bone, so that none is needed.
func (s *state) calciumSources() (n int, bone bool) {
	for i := range s.items {
		f := s.items[i].Food
		if f.Complete || f.BoneIn || f.HasPart(prey.Bone) {
			return 0, true
		}
	}
	for i := range s.items {
		if f := s.items[i].Food; f.Kind == prey.Supplement && s.items[i].Mass > 0 {
			if fig, ok := f.Nutrient(prey.Calcium); ok && fig.At[prey.Typical] > 0 {
				n++
			}
		}
	}
	return n, false
}

// mixLacks lists the slots that incomplete mixes lack and that nothing else in
// the plan fills.
func (s *state) mixLacks() (lacks []Slot, any, known bool) {
	known = true
	var has [NumSlots]bool
	for i := range s.items {
		f := s.items[i].Food
		if f.Complete || s.items[i].Mass == 0 {
			continue
		}
		if f.Kind == prey.Mix || f.Kind == prey.DriedRaw {
			any = true
			known = known && f.PartsKnown
		}
		for _, slot := range Slots() {
			has[slot] = has[slot] || f.HasPart(slot.part()) || slot == BoneSlot && f.BoneIn
		}
	}
	for _, slot := range Slots() {
		if !has[slot] {
			lacks = append(lacks, slot)
		}
	}
	if !known {
		lacks = nil // the mix may hold it
	}
	return lacks, any, known
}

// driedWater is water over dried food in the driest meal that holds any. Food
// served soaked has its water.
func (s *state) driedWater() (f fraction, any bool) {
	f.scale = 1
	for i := 0; i < len(s.items); {
		first, from := &s.items[i], i
		var dry units.Mass
		for ; i < len(s.items) && s.items[i].day == first.day && s.items[i].slot == first.slot && s.items[i].bowl == first.bowl; i++ {
			if s.items[i].FormOf() == safety.Dried {
				dry += s.items[i].Mass
			}
		}
		if dry == 0 {
			continue
		}
		var t prey.Tally
		for _, it := range s.items[from:i] {
			_ = t.Add(it.Food, it.Mass) // it was added to the plan's sum before
		}
		var g fraction
		g.scale = 1
		for c := range g.num {
			g.num[c], _ = t.Nutrient(prey.Case(c), prey.Water)
			g.den[c] = wide.Mul(uint64(dry), perHundredGrams)
		}
		if !any || lessFraction(&g, &f) {
			f, any = g, true
		}
	}
	return f, any
}

// perHundredGrams is the density of a thing that is all one nutrient counted in
// grams: 100 g per 100 g, in billionths.
const perHundredGrams = 100 * uint64(prey.DensityUnit)

// lessFraction compares typical figures. A figure without a divisor is nothing.
func lessFraction(a, b *fraction) bool {
	if a.den[prey.Typical] == b.den[prey.Typical] && a.scale == b.scale {
		return a.num[prey.Typical].Cmp(b.num[prey.Typical]) < 0
	}
	x, y := a.rat(prey.Typical), b.rat(prey.Typical)
	return x != nil && (y == nil || x.Cmp(y) < 0)
}

// tenthOfKcal is a tenth of a kcal in picograms times density: 0.1 kcal is
// 1e11 pg/g x 1e2 g x 1e9.
func tenthOfKcal() wide.U128 { return wide.Mul(10_000_000_000, 1_000_000_000_000) }

func (s *state) energyRule(r *Rule, out []Finding) []Finding {
	if len(s.needs) == 0 {
		return append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: NoAnimals, Day: -1, s: s})
	}
	for a := range s.needs {
		need := &s.needs[a]
		var f Finding
		switch {
		case r.Check == EnergyFloor && need.Floor > 0:
			f = s.worstDay(r, a, bounds{low: int64(need.Floor), hasLow: true})
		case r.Check == EnergyBand && need.HasBand:
			f = s.found(r, s.energyFigure(a, -1), bounds{int64(need.Band.Low), int64(need.Band.High), true, true})
		default:
			f = Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: NoBand, Day: -1, s: s}
		}
		f.Animal = need.Animal
		out = append(out, f)
	}
	return out
}

// mealsADay counts the meals of each animal on its day with the fewest.
func (s *state) mealsADay(r *Rule, out []Finding) []Finding {
	if len(s.needs) == 0 {
		return append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: NotApplicable, Whole: NotApplicable, Reason: NoAnimals, Day: -1, s: s})
	}
	counts := make([]int, s.days)
	for a := range s.needs {
		clear(counts)
		day, slot := -1, -1
		for i := range s.items {
			it := &s.items[i]
			if it.day == day && it.slot == slot || it.Mass == 0 || s.bowls[it.bowl].share(a, ByHead).w == 0 {
				continue
			}
			day, slot = it.day, it.slot
			counts[day]++
		}
		least := 0
		for d := range counts {
			if counts[d] < counts[least] {
				least = d
			}
		}
		f := s.found(r, count(counts[least]), bounds{low: int64(s.needs[a].MealsPerDay), hasLow: true})
		f.Animal, f.Day = s.needs[a].Animal, least
		out = append(out, f)
	}
	return out
}

// worstDay judges every day and returns the worst: a miss before what is open
// before what is met, and among equals the day with the least energy.
func (s *state) worstDay(r *Rule, animal int, b bounds) Finding {
	var worst fraction
	var verdict judgement
	day := 0
	for d := range s.days {
		f := s.energyFigure(animal, d)
		j := f.judge(b)
		if d == 0 || rank(j.verdict) > rank(verdict.verdict) ||
			rank(j.verdict) == rank(verdict.verdict) && lessFraction(&f, &worst) {
			worst, verdict, day = f, j, d
		}
	}
	f := s.found(r, worst, b)
	f.Day = day
	return f
}

// rank orders verdicts by how much they ask for attention.
func rank(v Verdict) int { return [...]int{Met: 1, Missed: 3, Open: 2, NotApplicable: 0}[v] }

// energyFigure is the energy of one day, or with -1 the mean of all, in tenths
// of a kcal.
func (s *state) energyFigure(animal, day int) fraction {
	sum, known, of := s.energy(animal, day)
	days := uint64(1)
	if day < 0 {
		days = uint64(max(s.days, 1))
	}
	f := fraction{scale: 1, numKnown: known, denKnown: of, of: of}
	unit := tenthOfKcal()
	for c := range sum {
		f.num[c] = sum[c].num
		f.den[c], _ = unit.MulDiv(sum[c].den, 1)
		f.den[c], _ = f.den[c].MulDiv(days, 1)
	}
	return f
}

func (s *state) nutrientRatio(r *Rule) fraction {
	f := fraction{scale: ratioScale, of: s.total.Mass()}
	for c := range f.num {
		f.num[c], f.numKnown = s.total.Nutrient(prey.Case(c), r.Nutrient)
		f.den[c], f.denKnown = s.total.Nutrient(prey.Case(c), r.Against)
	}
	return f
}

// boneAdds reports whether bone-in cuts are fed that hold more of a nutrient
// than is counted: of bone only calcium, phosphorus, ash and water are.
func (s *state) boneAdds(n prey.Nutrient) bool {
	switch n {
	case prey.Calcium, prey.Phosphorus, prey.Ash, prey.Water:
		return false
	}
	return s.boneIn
}

func (s *state) perEnergy(n prey.Nutrient, m prey.EnergyMethod) fraction {
	f := fraction{scale: energyScale, of: s.total.Mass(), numMore: s.boneAdds(n)}
	for c := range f.num {
		f.num[c], f.numKnown = s.total.Nutrient(prey.Case(c), n)
		f.den[c], f.denKnown = s.total.EnergyBy(m, prey.Case(c))
	}
	return f
}

// dryMatter is a nutrient over what is not water, of the foods whose water is
// known.
func (s *state) dryMatter(n prey.Nutrient) fraction {
	f := fraction{scale: dryScale, of: s.total.Mass(), numMore: s.boneAdds(n)}
	switch n.Unit() {
	case "mg":
		f.scale /= 1_000
	case "µg":
		f.scale /= 1_000_000
	}
	for c := range f.num {
		var water wide.U128
		f.num[c], f.numKnown = s.total.Nutrient(prey.Case(c), n)
		water, f.denKnown = s.total.Nutrient(prey.Case(c), prey.Water)
		f.den[c], _ = wide.Mul(uint64(f.denKnown), perHundredGrams).Sub(water)
	}
	return f
}

// hazards asks package safety about every food.
func (s *state) hazards(r *Rule, out []Finding) []Finding {
	if s.in.Screen == nil {
		return append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: Open, Whole: Open, Reason: NotAsked, Day: -1, s: s})
	}
	before := len(out)
	for _, k := range s.screen() {
		for j := range k.hazards {
			h := &k.hazards[j]
			if h.Gravity != r.Gravity || slices.ContainsFunc(out[before:], func(x Finding) bool { return x.Hazard.ID == h.ID }) {
				continue
			}
			found := Finding{Rule: r, Gravity: h.Gravity, Verdict: Missed, Whole: Missed, Side: Above, Day: -1, Hazard: h, s: s}
			if h.Standing == safety.StandOpen {
				found.Verdict, found.Whole, found.Side, found.Reason = Open, Open, Within, HazardOpen
			}
			out = append(out, found)
		}
	}
	if len(out) == before {
		out = append(out, Finding{Rule: r, Gravity: r.Gravity, Verdict: Met, Whole: Met, Day: -1, s: s})
	}
	return out
}
