package balance

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/strict"
	"fitchet.example/units/wide"
)

// The kinds of rule that hold a plan against its household and against itself:
// who gets what, from what there is, on which day. Each counts what is wrong.

// OfHousehold reports whether rules of the kind are about how a plan fits the
// household: who gets what, from what there is, on which day.
func (c Check) OfHousehold() bool { return c.ofHousehold() }

func (c Check) ofHousehold() bool {
	switch c {
	case Refused, BowlMates, StockMass, StockPieces, StockDate, WholePieces, DayOrder, SameName:
		return true
	}
	return false
}

// household judges a rule of such a kind.
func (s *state) household(r *readyRule) {
	switch {
	case s.in.eaten && r.Check != Refused && r.Check != BowlMates && r.Check != DayOrder && r.Check != SameName:
		s.none(r, AlreadyEaten)
	case r.Check == DayOrder:
		s.dayOrder(r)
	case r.Check == WholePieces:
		s.wholePieces(r)
	case len(s.needs) == 0:
		s.none(r, NoAnimals)
	case r.Check == Refused:
		s.refused(r)
	case r.Check == BowlMates:
		s.bowlMates(r)
	case r.Check == SameName:
		s.sameName(r)
	case len(s.in.Household.Stock)+len(s.in.Household.Offers) == 0:
		s.none(r, NoStock)
	default:
		s.stock()
		s.ofStock(r)
	}
}

// ofStock judges a rule about what there is.
func (s *state) ofStock(r *readyRule) {
	switch r.Check {
	case StockMass:
		s.stockMass(r)
	case StockPieces:
		s.stockPieces(r)
	case StockDate:
		s.stockDate(r)
	}
}

// amount is the figure of a plain mass.
func (s *state) amount(m units.Mass) *fraction {
	f := s.figure()
	for c := range f.num {
		f.num[c], f.den[c] = wide.U128{Lo: uint64(m)}, wide.U128{Lo: 1}
	}
	return f
}

// refused counts what each animal gets that it must not.
func (s *state) refused(r *readyRule) {
	judged := false
	for a := range s.needs {
		an := s.needs[a].Animal
		if len(an.Never) == 0 {
			continue
		}
		judged = true
		n, day := 0, -1
		for i := range s.items {
			if s.against(&s.items[i], a) {
				if n++; n == 1 {
					day = s.items[i].day
				}
			}
		}
		f := s.judge(r, s.count(n), r.bounds)
		f.Animal, f.Day = an, day
	}
	if !judged {
		s.none(r, NothingRefused)
	}
}

// against reports whether an animal gets a serving that it must not.
func (s *state) against(it *item, animal int) bool {
	return it.Mass > 0 && slices.Contains(s.bowls[it.bowl].animals, animal) && s.ready.refuses(s.needs[animal].Animal, it.Food)
}

// bowlMates counts the meals at which animals share a bowl that are not of one
// group.
func (s *state) bowlMates(r *readyRule) {
	if len(s.needs) == 1 {
		s.none(r, OneAnimal)
		return
	}
	n, first := 0, -1
	day, slot, bowl := -1, -1, -1
	for i := range s.items {
		it := &s.items[i]
		if it.day == day && it.slot == slot && it.bowl == bowl {
			continue
		}
		day, slot, bowl = it.day, it.slot, it.bowl
		if !s.oneGroup(&s.bowls[bowl]) {
			if n++; n == 1 {
				first = day
			}
		}
	}
	s.judge(r, s.count(n), r.bounds).Day = first
}

func (s *state) oneGroup(b *bowl) bool {
	for i, a := range b.animals {
		if g := s.needs[a].Animal.Group; i > 0 && (g == "" || g != s.needs[b.animals[0]].Animal.Group) {
			return false
		}
	}
	return true
}

// larder is what there is of one food, in stock and to be bought, and what is fed
// of it.
type larder struct {
	mass, bought, fed units.Mass
	pieces, counted   int64      // of these; of what is fed
	uncounted         bool       // some lot or offer has no count of pieces
	endless           bool       // it can be bought without limit
	last              units.Date // the last on which it is fed
}

// stock counts what there is of every food and what is fed, once for each plan. It
// stands by the numbers of the foods in their profiles.
func (s *state) stock() {
	if s.stocked {
		return
	}
	s.stocked = true
	s.larders = slices.Grow(s.larders[:0], len(s.ready.ids))[:len(s.ready.ids)]
	clear(s.larders)
	for i := range s.items {
		it := &s.items[i]
		l := &s.larders[it.profile.number]
		l.fed += it.Mass
		l.counted = atMost(l.counted, it.Pieces)
		l.last = max(l.last, s.in.Plan.Days[it.day].Date)
	}
	h := s.in.Household
	s.lotsOf = s.lotsOf[:0]
	for k := range h.Stock {
		lot := &h.Stock[k]
		n := s.ready.number(lot.Food)
		s.lotsOf = append(s.lotsOf, n)
		if n < 0 {
			continue
		}
		l := &s.larders[n]
		l.mass = units.Mass(atMost(int64(l.mass), int64(lot.Mass)))
		l.pieces = atMost(l.pieces, lot.Pieces)
		l.uncounted = l.uncounted || lot.Pieces <= 0
	}
	for k := range h.Offers {
		o := &h.Offers[k]
		n := s.ready.number(o.Food)
		if n < 0 {
			continue
		}
		l := &s.larders[n]
		l.endless = l.endless || o.Max == 0
		l.bought = units.Mass(atMost(int64(l.bought), held(int64(o.Pack), o.Max)))
		l.pieces = atMost(l.pieces, held(o.Pieces, o.Max))
		l.uncounted = l.uncounted || o.Pieces <= 0
	}
}

// number is the number of a food of some plan, which may come from another
// catalogue; -1 for other foods.
func (r *ready) number(f *prey.Food) int {
	switch p := r.profiles[f]; {
	case p != nil:
		return p.number
	case f == nil:
		return -1
	}
	return slices.Index(r.ids, f.ID)
}

// atMost is a sum of what is not below nothing, or the most that can be held.
func atMost(a, b int64) int64 {
	if b = max(b, 0); a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

// held is a product of the same kind.
func held(a, b int64) int64 {
	v := wide.Mul(uint64(max(a, 0)), uint64(max(b, 0)))
	if v.Hi > 0 || v.Lo > math.MaxInt64 {
		return math.MaxInt64
	}
	return int64(v.Lo)
}

// wanting is how much more of a food is fed than there is.
func (l *larder) wanting() units.Mass {
	if l.endless {
		return 0
	}
	return max(l.fed-units.Mass(atMost(int64(l.mass), int64(l.bought))), 0)
}

// wantingPieces is how many more pieces are fed than there are. It reports false
// where not all are counted.
func (l *larder) wantingPieces() (n int64, known bool) {
	switch there := l.mass > 0 || l.bought > 0; {
	case l.counted == 0:
		return 0, false
	case l.endless:
		return 0, true
	case l.uncounted || !there:
		return 0, false
	}
	return max(l.counted-l.pieces, 0), true
}

func (s *state) stockMass(r *readyRule) {
	var sum units.Mass
	for n := range s.larders {
		sum += s.larders[n].wanting()
	}
	s.judge(r, s.amount(sum), r.bounds)
}

func (s *state) stockPieces(r *readyRule) {
	sum, any := int64(0), false
	for n := range s.larders {
		more, known := s.larders[n].wantingPieces()
		sum, any = atMost(sum, more), any || known
	}
	if !any {
		s.none(r, NoneCounted)
		return
	}
	s.judge(r, s.count(int(sum)), r.bounds)
}

// late is how much of a food can only come from lots whose best-before day lies
// before the day on which it is fed, and the first such day.
//
// What is fed after a day can come from the lots that are good for longer, and
// these are the same for every later day: so the most that is wanting after any
// day is what must come from lots that are past it.
func (s *state) late(number int) (worst units.Mass, day int) {
	day = -1
	l := &s.larders[number]
	if l.endless || l.fed == 0 {
		return 0, day
	}
	days, stock := s.in.Plan.Days, s.in.Household.Stock
	for k := range stock {
		best := stock[k].BestBefore
		if s.lotsOf[k] != number || best == 0 || best >= l.last {
			continue
		}
		over, on := -min(l.bought, l.fed)-l.wanting(), -1
		for i := range s.items {
			if it := &s.items[i]; it.profile.number == number && it.Mass > 0 && days[it.day].Date > best {
				over += it.Mass
				if on < 0 {
					on = it.day
				}
			}
		}
		for j := 0; j < len(stock) && over > 0; j++ {
			if s.lotsOf[j] == number && (stock[j].BestBefore == 0 || stock[j].BestBefore > best) {
				over -= max(stock[j].Mass, 0)
			}
		}
		if over > worst {
			worst, day = over, on
		}
	}
	return worst, day
}

func (s *state) stockDate(r *readyRule) {
	dated := slices.ContainsFunc(s.in.Household.Stock, func(l ration.Stock) bool { return l.BestBefore != 0 })
	switch {
	case !dated:
		s.none(r, NoDates)
		return
	case s.undated():
		s.find(r, Open, NoDates)
		return
	}
	var sum units.Mass
	first := -1
	for n := range s.larders {
		m, day := s.late(n)
		sum += m
		if m > 0 && (first < 0 || day < first) {
			first = day
		}
	}
	s.judge(r, s.amount(sum), r.bounds).Day = first
}

// undated reports whether no day of the plan has a date.
func (s *state) undated() bool {
	return s.in.Plan.Start == 0 && !slices.ContainsFunc(s.in.Plan.Days, func(d ration.Day) bool { return d.Date != 0 })
}

// wrongPieces reports whether a serving does not come in whole pieces, as far as
// it should: whole prey is served whole, and what is counted weighs about what its
// pieces do. Known is false where the weight of a piece is not known.
func (it *item) wrongPieces() (wrong, known bool) {
	p := it.Food.Piece
	switch {
	case it.Mass <= 0 || it.Pieces <= 0 && it.form != safety.WholePrey:
		return false, true
	case p.Low <= 0 || !p.Valid():
		return false, it.Pieces > 0
	case it.Pieces > 0:
		// A fifth to five times the weight of a piece is believed.
		n := uint64(it.Pieces)
		least, most := wide.Mul(uint64(p.Low), n), wide.Mul(uint64(p.High), n)
		return wide.Mul(uint64(it.Mass), 5).Cmp(least) < 0 || times(most, 5).Cmp(wide.U128{Lo: uint64(it.Mass)}) < 0, true
	}
	n := uint64((it.Mass-1)/p.High + 1) // the fewest that can weigh so much
	return wide.Mul(n, uint64(p.Low)).Cmp(wide.U128{Lo: uint64(it.Mass)}) > 0, true
}

func times(v wide.U128, n uint64) wide.U128 {
	v, _ = v.Times(n)
	return v
}

// wholePieces counts the servings that do not come in whole pieces.
func (s *state) wholePieces(r *readyRule) {
	n, day, any, known := 0, -1, false, true
	for i := range s.items {
		it := &s.items[i]
		any = any || it.Mass > 0 && (it.Pieces > 0 || it.form == safety.WholePrey)
		wrong, ok := it.wrongPieces()
		known = known && ok
		if wrong {
			if n++; n == 1 {
				day = it.day
			}
		}
	}
	if !any {
		s.none(r, NoneFed)
		return
	}
	f := s.judge(r, s.count(n), r.bounds)
	f.Day = day
	if !known && f.Verdict == Met {
		f.Verdict, f.Whole, f.Reason = Open, Open, PiecesUnknown
	}
}

// dayOrder counts the days that do not follow the day before: that stand twice,
// out of order, or after days that are left out.
func (s *state) dayOrder(r *readyRule) {
	if s.undated() {
		s.none(r, NoDates)
		return
	}
	days := s.in.Plan.Days
	n, first := 0, -1
	next := s.in.Plan.Start
	if next == 0 {
		next = days[0].Date
	}
	for d := range days {
		if days[d].Date != next {
			if n++; n == 1 {
				first = d
			}
		}
		next = days[d].Date.AddDays(1)
	}
	s.judge(r, s.count(n), r.bounds).Day = first
}

// sameName counts the animals whose name one before them has.
func (s *state) sameName(r *readyRule) {
	if len(s.needs) == 1 {
		s.none(r, OneAnimal)
		return
	}
	n := 0
	for a := range s.needs {
		if s.shared(a, s.needs[:a]) {
			n++
		}
	}
	s.judge(r, s.count(n), r.bounds)
}

// shared reports whether one of others has the name of an animal.
func (s *state) shared(animal int, others []ration.Need) bool {
	an := s.needs[animal].Animal
	for i := range others {
		if o := others[i].Animal; o != an && o.NamedLike(an) {
			return true
		}
	}
	return false
}

// wrongs names what a rule of these kinds counted: foods, or animals.
func (f *Finding) wrongs() (out []string) {
	s := f.s
	add := func(text string) {
		text = strict.Line(text) // names come from anywhere
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	switch f.Rule.Check {
	case Refused:
		a := slices.IndexFunc(s.needs, func(n ration.Need) bool { return n.Animal == f.Animal })
		for i := range s.items {
			if a >= 0 && s.against(&s.items[i], a) {
				add(s.items[i].Food.Name)
			}
		}
	case WholePieces:
		for i := range s.items {
			if wrong, _ := s.items[i].wrongPieces(); wrong {
				add(s.items[i].Food.Name)
			}
		}
	case BowlMates:
		for i := range s.items {
			if b := &s.bowls[s.items[i].bowl]; !s.oneGroup(b) {
				add(and(b.ids))
			}
		}
	case SameName:
		for a := range s.needs {
			if an := s.needs[a].Animal; s.shared(a, s.needs) {
				add(cmp.Or(an.Name, an.ID) + " (" + an.ID + ")")
			}
		}
	case StockMass, StockPieces, StockDate:
		for n := range s.larders {
			name := s.nameOf(n)
			l := &s.larders[n]
			switch f.Rule.Check {
			case StockMass:
				if m := l.wanting(); m > 0 {
					add(both(m) + " of " + name)
				}
			case StockPieces:
				if more, _ := l.wantingPieces(); more > 0 {
					add(fmt.Sprintf("%d of %s", more, name))
				}
			default:
				if m, _ := s.late(n); m > 0 {
					add(both(m) + " of " + name)
				}
			}
		}
	}
	return out
}

// nameOf is the name of the food of a number, in the plan.
func (s *state) nameOf(number int) string {
	for i := range s.foods {
		if s.foods[i].number == number {
			return s.foods[i].food.Name
		}
	}
	return ""
}

// remedy says what mends a rule of these kinds.
func (f *Finding) remedy() string {
	switch what := and(f.wrongs()); f.Rule.Check {
	case Refused:
		return fmt.Sprintf("Take %s out of what %s gets.", what, f.Who())
	case BowlMates:
		return "Give each its own bowl, or write in the household that they share one (group)."
	case StockMass, StockPieces:
		return fmt.Sprintf("Get more, or feed less: %s.", what)
	case StockDate:
		return fmt.Sprintf("Feed it sooner, or another lot: %s.", what)
	case WholePieces:
		return fmt.Sprintf("Serve whole ones and write how many, or write that it is cut up (form): %s.", what)
	case DayOrder:
		return "Write every day once, in order, and leave none out."
	case SameName:
		return fmt.Sprintf("Give each a name of its own: %s.", what)
	}
	return ""
}
