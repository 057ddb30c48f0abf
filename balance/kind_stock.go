package balance

import (
	"fmt"
	"math"
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/wide"
)

// StockMass is how much more is fed than there is in stock and can be bought.
var StockMass = unfit(kind{
	word: "stock-mass", scale: &inMasses, unit: always("more than there is"),
	judge:  fromStock((*state).stockMass),
	detail: listed(wantingMass), remedy: getMore(wantingMass),
	form: FormFit, each: no, laid: no, grows: no,
})

// StockPieces is the same for what is counted in pieces.
var StockPieces = unfit(kind{
	word: "stock-pieces", scale: &inCounts,
	unit:   plural("pieces more than there are", "piece more than there are"),
	judge:  fromStock((*state).stockPieces),
	detail: listed(wantingPieces), remedy: getMore(wantingPieces),
	form: FormFit, each: no, laid: no, grows: no,
})

// StockDate is how much can only come from lots that are past their
// best-before day when it is fed.
var StockDate = unfit(kind{
	word: "stock-date", scale: &inMasses, unit: always("past its day"),
	judge:  fromStock((*state).stockDate),
	detail: listed(lateFoods),
	remedy: func(f *Finding, _ []Change) string {
		return fmt.Sprintf("Feed it sooner, or another lot: %s.", say.And(lateFoods(f)))
	},
	form: FormFit, each: no, laid: yes, grows: no,
})

// fromStock judges what is fed by what there is, once that is counted.
func fromStock(judge func(*state, *readyRule)) func(*state, *readyRule) {
	return func(s *state, r *readyRule) {
		switch {
		case s.in.Eaten:
			s.none(r, AlreadyEaten)
		case len(s.needs) == 0:
			s.none(r, NoAnimals)
		case len(s.in.Household.Stock)+len(s.in.Household.Offers) == 0:
			s.none(r, NoStock)
		default:
			s.stock()
			judge(s, r)
		}
	}
}

func getMore(wanting func(*Finding) names) func(*Finding, []Change) string {
	return func(f *Finding, _ []Change) string {
		return fmt.Sprintf("Get more, or feed less: %s.", say.And(wanting(f)))
	}
}

func wantingMass(f *Finding) (out names) {
	for n := range f.s.larders {
		if m := f.s.larders[n].wanting(); m > 0 {
			out.add(m.InBoth() + " of " + f.s.nameOf(n))
		}
	}
	return out
}

func wantingPieces(f *Finding) (out names) {
	for n := range f.s.larders {
		if more, _ := f.s.larders[n].wantingPieces(); more > 0 {
			out.add(fmt.Sprintf("%d of %s", more, f.s.nameOf(n)))
		}
	}
	return out
}

func lateFoods(f *Finding) (out names) {
	for n := range f.s.larders {
		if m, _ := f.s.late(n); m > 0 {
			out.add(m.InBoth() + " of " + f.s.nameOf(n))
		}
	}
	return out
}

// amount is the figure of a plain mass.
func (s *state) amount(m units.Mass) *figure.Figure {
	f := s.figure()
	f.OfWhole(uint64(m), 1, 1)
	return f
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

// larder is what there is of one food, in stock and to be bought, and what is fed
// of it.
type larder struct {
	mass, bought, fed units.Mass
	pieces, counted   int64      // of these; of what is fed
	uncounted         bool       // some lot or offer has no count of pieces
	endless           bool       // it can be bought without limit
	last              units.Date // the last on which it is fed
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

// nameOf is the name of the food of a number, in the plan.
func (s *state) nameOf(number int) string {
	for i := range s.foods {
		if s.foods[i].number == number {
			return s.foods[i].food.Name
		}
	}
	return ""
}
