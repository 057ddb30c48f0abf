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
	NothingRefused
	NoneFrail
	OneAnimal
	NoStock
	NoneCounted
	NoDates
	AlreadyEaten
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
	case NothingRefused:
		return "nothing is written down that an animal must not get"
	case NoneFrail:
		return "no animal here must not go long without food"
	case OneAnimal:
		return "there is one animal only"
	case NoStock:
		return "neither stock nor offers are written down"
	case NoneCounted:
		return "no pieces are counted"
	case NoDates:
		return "no dates are written down"
	case AlreadyEaten:
		return "this was eaten already"
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

// check judges one rule and notes its findings.
func (s *state) check(r *readyRule) {
	switch {
	case r.Until != "":
		s.none(r, NotInForce)
		return
	case !s.hasSpecies(r):
		s.none(r, OtherSpecies)
		return
	case r.Life != AllLife && r.Life != s.life:
		s.none(r, OtherStage)
		return
	}
	switch r.Check {
	case SlotShareCheck:
		sh, ok := s.target.Share(r.Slot)
		switch {
		case !ok:
			s.none(r, TargetSilent)
		case s.counted == 0 && s.complete > 0:
			s.none(r, AllComplete)
		default:
			s.judge(r, s.measured(r), bounds{int64(sh.Low), int64(sh.High), true, true})
		}
	case MassShare:
		b := r.bounds
		if r.Of == OfComplete {
			if s.target.CompleteLeast == nil {
				s.none(r, TargetSilent)
				return
			}
			b = bounds{low: s.target.CompleteLeast.Value, hasLow: true}
		}
		s.judge(r, s.measured(r), b)
	case NutrientRatio, PerEnergy, DryMatter:
		s.judge(r, s.measured(r), r.bounds)
	case SpeciesCount:
		s.seen = s.species(r.Rule, s.seen)
		n := 0
		for _, is := range s.seen {
			if is {
				n++
			}
		}
		s.short(s.judge(r, s.count(n), r.bounds))
	case Pieces, Amount:
		s.perAnimal(r)
	case Times:
		s.times(r)
	case Chew:
		if n, ground := s.chew(); ground {
			s.judge(r, s.count(n), r.bounds)
		} else {
			s.none(r, NoneFed)
		}
	case CalciumSource:
		if n, bone := s.calciumSources(); bone {
			s.none(r, BoneFed)
		} else {
			s.judge(r, s.count(n), r.bounds)
		}
	case MixLacks:
		lacks, any, known := s.mixLacks()
		if !any {
			s.none(r, NoneFed)
			return
		}
		n := 0
		for _, is := range lacks {
			if is {
				n++
			}
		}
		f := s.judge(r, s.count(n), r.bounds)
		if !known && f.Verdict == Met {
			f.Verdict, f.Whole, f.Reason = Open, Open, PartsUnknown
		}
	case DriedWater:
		if f, any := s.driedWater(); any {
			s.judge(r, f, r.bounds)
		} else {
			s.none(r, NoneFed)
		}
	case EnergyFloor, EnergyBand:
		s.energyRule(r)
	case MealsADay:
		s.mealsADay(r)
	case Hazard:
		s.hazards(r)
	default:
		if r.Check.ofHousehold() {
			s.household(r)
			return
		}
		s.find(r, Open, NothingToJudge)
	}
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
	s.found = append(s.found, Finding{Rule: r.Rule, Gravity: r.Gravity, Verdict: v, Whole: v, Reason: why, Day: -1, s: s})
	return &s.found[len(s.found)-1]
}

// none notes that the rule does not apply.
func (s *state) none(r *readyRule, why Reason) *Finding { return s.find(r, NotApplicable, why) }

// judge notes the finding of one figure.
func (s *state) judge(r *readyRule, fr *fraction, b bounds) *Finding {
	fr.bounds = b
	j := fr.judge()
	f := s.find(r, j.verdict, j.reason)
	f.Whole, f.Side, f.figure = j.whole, j.side, fr
	return f
}

// figure is the place for the next figure, with nothing known of it yet.
func (s *state) figure() *fraction {
	s.figures = append(s.figures, fraction{scale: 1})
	return &s.figures[len(s.figures)-1]
}

// count is the figure of a plain number.
func (s *state) count(n int) *fraction {
	f := s.figure()
	for c := range f.num {
		f.num[c], f.den[c] = wide.U128{Lo: uint64(n)}, wide.U128{Lo: 1}
	}
	return f
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

// measured is the figure of a rule that looks at sums alone.
func (s *state) measured(r *readyRule) *fraction {
	f := s.figure()
	s.measure(f, r.Rule)
	return f
}

// measure fills in the figure of a rule that looks at sums alone: its dividend
// and its divisor are sums over the foods.
func (s *state) measure(f *fraction, r *Rule) {
	switch r.Check {
	case SlotShareCheck:
		*f = s.share(r.Slot)
	case MassShare:
		switch r.Of {
		case OfLiver:
			s.liverShare(f)
		case OfKind:
			s.kindShare(f, r)
		default:
			f.ofMass(s.complete, s.total.Mass())
		}
	case NutrientRatio:
		s.nutrientRatio(f, r.Nutrient, r.Against)
	case PerEnergy:
		s.perEnergy(f, r.Nutrient, prey.ModifiedAtwater)
	case DryMatter:
		s.dryMatter(f, r.Nutrient)
	}
}

// kindShare is the share of all mass that is what the rule looks at.
func (s *state) kindShare(f *fraction, r *Rule) {
	var m units.Mass
	for i := range s.foods {
		if r.is(s.foods[i].food) {
			m += s.foods[i].mass
		}
	}
	f.ofMass(m, s.total.Mass())
}

// ofMass makes f the share of one mass in another.
func (f *fraction) ofMass(part, whole units.Mass) {
	f.scale = shareScale
	for c := range f.num {
		f.num[c], f.den[c] = wide.U128{Lo: uint64(part)}, wide.U128{Lo: uint64(whole)}
	}
}

// share is the share of a slot in all slots.
func (s *sums) share(slot Slot) fraction {
	f := fraction{scale: shareScale, numKnown: s.slotKnown, denKnown: s.slotKnown, of: s.counted}
	for c := range f.num {
		f.num[c], f.den[c] = s.slots[c][slot], s.slotSum(c)
	}
	return f
}

// slotSum is what all slots of a case hold.
func (s *sums) slotSum(c int) (sum wide.U128) {
	for _, v := range s.slots[c] {
		sum, _ = sum.Add(v)
	}
	return sum
}

func (s *sums) liverShare(f *fraction) {
	f.scale, f.numKnown, f.denKnown, f.of = shareScale, s.total.PartsKnownMass(), s.total.Mass(), s.total.Mass()
	for c := range f.num {
		f.num[c] = s.total.Part(prey.Case(c), prey.Liver)
		f.den[c] = wide.Mul(uint64(s.total.Mass()), uint64(units.Whole))
	}
}

// species tells which animals are fed, by the indexes of the profiles, in the
// memory it is given. A mix counts with everything it contains; eggs, oils and
// powders do not count.
func (s *state) species(r *Rule, seen []bool) []bool {
	seen = slices.Grow(seen[:0], len(s.ready.species))[:len(s.ready.species)]
	clear(seen)
	for i := range s.foods {
		f := &s.foods[i]
		if f.mass == 0 || r.Colour != 0 && f.food.Colour != r.Colour {
			continue
		}
		for _, k := range f.meats {
			seen[k] = true
		}
	}
	return seen
}

// speciesNames are the animals that are fed, sorted.
func (s *state) speciesNames(r *Rule) (out []string) {
	for k, is := range s.species(r, nil) {
		if is {
			out = append(out, s.ready.species[k])
		}
	}
	slices.Sort(out)
	return out
}

// perAnimal judges pieces or masses that one animal gets.
func (s *state) perAnimal(r *readyRule) {
	if len(s.needs) == 0 {
		s.none(r, NoAnimals)
		return
	}
	judged := false
	for a := range s.needs {
		an := s.needs[a].Animal
		if len(r.Species) > 0 && !slices.Contains(r.Species, an.Kind()) || r.Sex != ration.SexUnknown && an.Sex != r.Sex {
			continue
		}
		judged = true
		fr := s.figure()
		known := s.gets(fr, r, a)
		f := s.judge(r, fr, r.bounds)
		if !known {
			f.Verdict, f.Whole, f.Reason = Open, Open, PiecesUnknown
		}
		if !r.Daily {
			s.short(f)
		}
		f.Animal = an
	}
	if !judged {
		s.none(r, OtherSex)
	}
}

// gets is how many pieces, or how much, an animal gets by the week or the day.
// It reports false when the weight of a piece is not known.
func (s *state) gets(f *fraction, r *readyRule, animal int) (known bool) {
	var sum [prey.NumCases]ratio
	for c := range sum {
		sum[c].den = 1
	}
	known = true
	for i := range s.items {
		it := &s.items[i]
		if !it.profile.is[r.asks] {
			continue
		}
		p := s.bowls[it.bowl].share(animal, r.Split)
		if p.w == 0 {
			continue
		}
		if r.Check == Amount {
			sum[0].add(wide.U128{Lo: uint64(it.Mass)}, p)
			continue
		}
		piece := it.Food.Piece
		if it.Pieces <= 0 && (piece.Low <= 0 || !piece.Valid()) {
			known = false
			continue
		}
		// Few pieces if they are heavy, many if they are light.
		for c, each := range [prey.NumCases]units.Mass{piece.High, piece.Typical, piece.Low} {
			if it.Pieces > 0 {
				sum[c].add(wide.U128{Lo: uint64(it.Pieces)}, p)
				continue
			}
			q := newPart(uint64(it.Mass), uint64(each))
			if of := wide.Mul(q.total, p.total); of.Hi == 0 {
				sum[c].add(wide.U128{Lo: q.w}, part{p.w, of.Lo})
			}
		}
	}
	if r.Check == Amount {
		sum[1], sum[2] = sum[0], sum[0]
	}
	for c := range sum {
		num, by := sum[c].num, uint64(max(s.days, 1))
		if !r.Daily {
			num, _ = num.Times(daysInWeek)
			by = s.weekDays()
		}
		f.num[c] = num
		f.den[c] = wide.Mul(sum[c].den, by)
	}
	return known
}

// times counts days or meals for the animal that is worst off, or for the whole
// plan where nobody's bowl is known.
func (s *state) times(r *readyRule) {
	worst, who := -1, -1
	for a := range s.needs {
		if len(r.Species) > 0 && !slices.Contains(r.Species, s.needs[a].Animal.Kind()) {
			continue
		}
		n := s.countTimes(r, a)
		if worst < 0 || r.bounds.hasHigh && n > worst || !r.bounds.hasHigh && n < worst {
			worst, who = n, a
		}
	}
	if who < 0 {
		worst = s.countTimes(r, -1)
	}
	if worst == 0 && r.WhenFed {
		s.none(r, NoneFed)
		return
	}
	fr := s.figure()
	for c := range fr.num {
		fr.num[c], fr.den[c] = wide.Mul(uint64(worst), daysInWeek), wide.U128{Lo: s.weekDays()}
	}
	f := s.judge(r, fr, r.bounds)
	s.short(f)
	if who >= 0 && len(s.needs) > 1 && len(s.bowls) > 1 {
		f.Animal = s.needs[who].Animal
	}
}

// countTimes counts the days (or meals) on which an animal, or with -1 anybody,
// gets what the rule looks at. Items stand in the order of their days and meals.
func (s *state) countTimes(r *readyRule, animal int) int {
	n, day, slot := 0, -1, -1
	for i := range s.items {
		it := &s.items[i]
		if it.day == day && (!r.Meals || it.slot == slot) || it.Mass == 0 || !it.profile.is[r.asks] {
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
		switch s.items[i].form {
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
	for i := range s.foods {
		if f := &s.foods[i]; f.food.Complete || f.has[BoneSlot] {
			return 0, true
		}
	}
	for i := range s.items {
		if s.items[i].profile.calcium && s.items[i].Mass > 0 {
			n++
		}
	}
	return n, false
}

// mixLacks tells which slots incomplete mixes lack and nothing else in the plan
// fills.
func (s *state) mixLacks() (lacks [NumSlots]bool, any, known bool) {
	known = true
	var has [NumSlots]bool
	for i := range s.foods {
		f := &s.foods[i]
		if f.food.Complete || f.mass == 0 {
			continue
		}
		if f.food.Kind == prey.Mix || f.food.Kind == prey.DriedRaw {
			any = true
			known = known && f.food.PartsKnown
		}
		for slot := range has {
			has[slot] = has[slot] || f.has[slot]
		}
	}
	for slot := range has {
		lacks[slot] = known && !has[slot] // a mix of unknown parts may hold it
	}
	return lacks, any, known
}

// driedWater is water over dried food in the driest meal that holds any. Food
// served soaked has its water.
func (s *state) driedWater() (f *fraction, any bool) {
	for i := 0; i < len(s.items); {
		first, from := &s.items[i], i
		var dry units.Mass
		for ; i < len(s.items) && s.items[i].day == first.day && s.items[i].slot == first.slot && s.items[i].bowl == first.bowl; i++ {
			if s.items[i].form == safety.Dried {
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
		g := fraction{scale: 1}
		for c := range g.num {
			g.num[c], _ = t.Nutrient(prey.Case(c), prey.Water)
			g.den[c] = wide.Mul(uint64(dry), perHundredGrams)
		}
		switch {
		case !any:
			f, any = s.figure(), true
			*f = g
		case lessFraction(&g, f):
			*f = g
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

func (s *state) energyRule(r *readyRule) {
	if len(s.needs) == 0 {
		s.none(r, NoAnimals)
	}
	for a := range s.needs {
		need := &s.needs[a]
		var f *Finding
		switch {
		case r.Check == EnergyFloor && need.Floor > 0:
			f = s.worstDay(r, a, bounds{low: int64(need.Floor), hasLow: true})
		case r.Check == EnergyBand && need.HasBand:
			fr := s.figure()
			s.energyFigure(fr, a, -1)
			f = s.judge(r, fr, bounds{int64(need.Band.Low), int64(need.Band.High), true, true})
		default:
			f = s.none(r, NoBand)
		}
		f.Animal = need.Animal
	}
}

// mealsADay counts the meals of each animal on its day with the fewest. Oil and
// powders alone are no meal.
func (s *state) mealsADay(r *readyRule) {
	if len(s.needs) == 0 {
		s.none(r, NoAnimals)
		return
	}
	judged := false
	for a := range s.needs {
		if r.Frail && !s.needs[a].Animal.Frail(s.needs[a].Stage) {
			continue
		}
		judged = true
		counts := slices.Grow(s.meals[:0], s.days)[:s.days]
		clear(counts)
		s.meals = counts
		day, slot := -1, -1
		for i := range s.items {
			it := &s.items[i]
			if it.day == day && it.slot == slot || it.Mass == 0 || !it.profile.meal || !slices.Contains(s.bowls[it.bowl].animals, a) {
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
		f := s.judge(r, s.count(counts[least]), bounds{low: int64(s.needs[a].MealsPerDay), hasLow: true})
		f.Animal, f.Day = s.needs[a].Animal, least
	}
	if !judged {
		s.none(r, NoneFrail)
	}
}

// worstDay judges every day and notes the worst: a miss before what is open
// before what is met, and among equals the day with the least energy.
func (s *state) worstDay(r *readyRule, animal int, b bounds) *Finding {
	worst := s.figure()
	verdict, day := Met, 0
	for d := range s.days {
		f := fraction{bounds: b}
		s.energyFigure(&f, animal, d)
		v := f.judge().verdict
		if d == 0 || rank(v) > rank(verdict) || rank(v) == rank(verdict) && lessFraction(&f, worst) {
			*worst, verdict, day = f, v, d
		}
	}
	f := s.judge(r, worst, b)
	f.Day = day
	return f
}

// rank orders verdicts by how much they ask for attention.
func rank(v Verdict) int { return [...]int{Met: 1, Missed: 3, Open: 2, NotApplicable: 0}[v] }

// energyFigure is the energy of one day, or with -1 the mean of all, in tenths
// of a kcal.
func (s *state) energyFigure(f *fraction, animal, day int) {
	sum, known, of := s.energy(animal, day)
	days := uint64(1)
	if day < 0 {
		days = uint64(max(s.days, 1))
	}
	f.scale, f.numKnown, f.denKnown, f.of = 1, known, of, of
	for c := range sum {
		f.num[c] = sum[c].num
		f.den[c], _ = tenthOfKcal().Times(sum[c].den)
		f.den[c], _ = f.den[c].Times(days)
	}
}

func (s *sums) nutrientRatio(f *fraction, n, against prey.Nutrient) {
	f.scale, f.of = ratioScale, s.total.Mass()
	for c := range f.num {
		f.num[c], f.numKnown = s.total.Nutrient(prey.Case(c), n)
		f.den[c], f.denKnown = s.total.Nutrient(prey.Case(c), against)
	}
}

// boneAdds reports whether bone-in cuts are fed that hold more of a nutrient
// than is counted: of bone only calcium, phosphorus, ash and water are.
func (s *sums) boneAdds(n prey.Nutrient) bool {
	switch n {
	case prey.Calcium, prey.Phosphorus, prey.Ash, prey.Water:
		return false
	}
	return s.boneIn
}

func (s *sums) perEnergy(f *fraction, n prey.Nutrient, m prey.EnergyMethod) {
	f.scale, f.of, f.numMore = energyScale, s.total.Mass(), s.boneAdds(n)
	for c := range f.num {
		f.num[c], f.numKnown = s.total.Nutrient(prey.Case(c), n)
		f.den[c], f.denKnown = s.total.EnergyBy(m, prey.Case(c))
	}
}

// dryMatter is a nutrient over what is not water, of the foods whose water is
// known.
func (s *sums) dryMatter(f *fraction, n prey.Nutrient) {
	f.scale, f.of, f.numMore = dryScale, s.total.Mass(), s.boneAdds(n)
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
}

// hazards notes what package safety knows against the foods of the plan.
func (s *state) hazards(r *readyRule) {
	before := len(s.found)
	for _, k := range s.screened {
		for j := range k.hazards {
			h := &k.hazards[j]
			if h.Gravity != r.Gravity || slices.ContainsFunc(s.found[before:], func(x Finding) bool { return x.Hazard.ID == h.ID }) {
				continue
			}
			f := s.find(r, Missed, NoReason)
			if f.Side = Above; h.Standing == safety.StandOpen {
				f.Verdict, f.Whole, f.Side, f.Reason = Open, Open, Neither, HazardOpen
			}
			f.Hazard = h
		}
	}
	if len(s.found) == before {
		s.find(r, Met, NoReason)
	}
}
