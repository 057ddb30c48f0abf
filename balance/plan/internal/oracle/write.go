package oracle

import (
	"bytes"
	"fmt"
	"math"
	"math/big"
	"slices"
	"sort"
	"strconv"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Question is one way to plan a week.
type Question struct {
	Household *ration.Household
	Book      *balance.Book
	Safety    *safety.Book
	Context   safety.Context
	Target    *shares.Target
	Days      int
	Extra     [shares.NumSlots]units.Mass
	OrganDay  units.Share
	// CompleteDays is how many days' energy complete food makes, to half a day.
	CompleteDays int

	Middle bool     // within 3 % of the middle of each band
	Asked  []string // ids of the rules that are asked for
}

// LP is a program with what its objective counts.
type LP struct {
	Text []byte
	Foods, Diets,
	Columns, Rows int
}

// eater is a set of animals that may have the same foods.
type eater struct {
	heads          int
	low, mid, high *big.Rat // kcal over the days
	full           *big.Rat // the sum of the bands' tops, before anything narrows it
	kinds          map[string]bool
	never          []string
	picky          bool
	bowls          []bite
}

// bite is a bowl's day and the largest piece it gets whole, in tenths of a kcal.
type bite struct {
	day, most, heads int64
	small            bool // its meals are small: four a day or more
}

// thing is a food that there is or that can be bought.
type thing struct {
	food    *prey.Food
	unit    *big.Rat // grams of one unit: a gram or a piece
	pieces  bool
	have    int64
	offers  []int
	perPack []int64
	kcal    *big.Rat   // of one unit
	each    units.Mass // of a piece; 0: there are none

	lots, packs []lot
}

type lot struct {
	mass   units.Mass
	pieces int64
}

// cut is a thing as it is fed by the gram.
func (t *thing) cut() *thing {
	c := *t
	c.pieces, c.unit, c.kcal = false, ratOf(1, 1), quo(t.kcal, t.unit)
	return &c
}

func ratOf(n, d int64) *big.Rat { return big.NewRat(n, d) }

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
func sub(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func quo(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }

func smaller(a, b *big.Rat) *big.Rat {
	if b != nil && (a == nil || b.Cmp(a) < 0) {
		return b
	}
	return a
}

func larger(a, b *big.Rat) *big.Rat {
	if b != nil && (a == nil || b.Cmp(a) > 0) {
		return b
	}
	return a
}

// perGram is a density per 100 g as an exact amount in a gram.
func perGram(d prey.Density) *big.Rat { return ratOf(int64(d), 100_000_000_000) }

// text is one row: a sum of terms and its bounds.
type row struct {
	name      string
	cols      []string
	coefs     []*big.Rat
	low, high *big.Rat
}

func (r *row) add(col string, coef *big.Rat) {
	if coef.Sign() != 0 {
		r.cols = append(r.cols, col)
		r.coefs = append(r.coefs, coef)
	}
}

type program struct {
	rows  []*row
	box   map[string]*big.Rat // upper ends; every column starts at 0
	whole map[string]bool
	cost  row
}

func (p *program) column(name string, high *big.Rat, whole bool) string {
	if whole {
		high = new(big.Rat).SetInt(new(big.Int).Quo(high.Num(), high.Denom()))
	}
	p.box[name] = high
	if whole {
		p.whole[name] = true
	}
	return name
}

func (p *program) row(name string, low, high *big.Rat) *row {
	r := &row{name: name + "_" + strconv.Itoa(len(p.rows)), low: low, high: high}
	p.rows = append(p.rows, r)
	return r
}

// fit reports whether a food may be planned with at all.
func (q *Question) fit(f *prey.Food) bool {
	for _, h := range q.hazards(f, 0) {
		if h.Severity == safety.Stop || h.Severity == safety.Mend && h.Standing != safety.StandOpen {
			return false
		}
	}
	if _, _, ok := f.DefaultEnergy(); !ok || f.Kind == prey.DryFood {
		return false
	}
	if _, ok := q.Target.Slots(f, prey.Typical); !f.Complete && !ok {
		return false
	}
	if q.Target.Style == shares.Complete && !f.Complete && (f.Kind == prey.Mix || f.Kind == prey.DriedRaw) {
		return false
	}
	for _, r := range q.Book.Rules() {
		if r.Until == "" && forbids(r, f) {
			return false
		}
	}
	return true
}

func (q *Question) hazards(f *prey.Food, share units.Share) []safety.Hazard {
	it := safety.Item{Food: f.Name, Species: f.Species, Contains: f.Contains, Part: f.Cut, Share: share}
	for _, t := range f.Hazards {
		if t == "wild-caught" {
			it.Wild = true
			continue
		}
		it.Tags = append(it.Tags, t)
	}
	if f.PartsKnown && f.Shares[prey.Typical][prey.Liver] == units.Whole {
		it.Part = "liver"
	}
	if f.Kind == prey.Oil || f.Kind == prey.Supplement {
		it.Species = ""
	}
	return q.Safety.Hazards(it, q.Context)
}

// wrongFrom is the share of all food at which a food becomes one to mend or
// stop, in millionths; 0: never.
func (q *Question) wrongFrom(f *prey.Food) units.Share {
	bad := func(s units.Share) bool {
		return slices.ContainsFunc(q.hazards(f, s), func(h safety.Hazard) bool {
			return h.Severity != safety.Watch && h.Standing != safety.StandOpen
		})
	}
	if bad(0) || !bad(units.Whole) {
		return 0
	}
	return units.Share(sort.Search(int(units.Whole), func(s int) bool { return bad(units.Share(s)) }))
}

// is reports whether a rule of kind looks at a food.
func is(r *balance.Rule, f *prey.Food) bool {
	return (r.Kind == 0 || r.Kind == f.Kind) && (r.Tag == "" || f.HasHazard(r.Tag))
}

// inPieces reports whether a rule counts pieces and does not weigh.
func inPieces(r *balance.Rule) bool {
	return r.Check.Form() == balance.FormPortion && !r.Check.InMasses()
}

// forbids reports whether a rule allows none of a food.
func forbids(r *balance.Rule, f *prey.Food) bool {
	return r.Check.Form() == balance.FormQuotient && r.Subject == balance.OfKind && r.High != nil && r.High.Value == 0 && is(r, f)
}

func (q *Question) asks(id string) bool { return slices.Contains(q.Asked, id) }

// eaters sorts the animals into sets that may have the same foods and for which
// the same of them are cut up. Bowls are kept together.
func (q *Question) eaters(pieces []*thing) (out []*eater, growing bool) {
	h := q.Household
	type bowl struct {
		animals []int
		never   []string
		ferret  bool
		bite    bite
		often   bool // more than two meals
		e       *eater
	}
	var bowls []*bowl
	byGroup := map[string]*bowl{}
	for i := range h.Animals {
		a := &h.Animals[i]
		n := ration.Needs(a, h.FirstDay())
		if !n.HasBand {
			continue
		}
		b := byGroup[a.Group]
		if b == nil || a.Group == "" {
			b = &bowl{}
			bowls = append(bowls, b)
			byGroup[a.Group] = b
		}
		b.animals = append(b.animals, i)
		b.never = append(b.never, a.Never...)
		b.ferret = b.ferret || a.Kind() == ration.Ferret
		switch n.Stage {
		case ration.Kit, ration.Juvenile, ration.Pregnant, ration.Lactating:
			growing = true
		}
	}
	for _, b := range bowls {
		meals := int64(h.MealsPerDay)
		for _, i := range b.animals {
			n := ration.Needs(&h.Animals[i], h.FirstDay())
			b.bite.day += int64(n.Band.Typical)
			meals = max(meals, int64(n.MealsPerDay))
		}
		b.often = meals > 2
		b.bite.heads = int64(len(b.animals))
		switch {
		case meals <= 2:
			b.bite.most = b.bite.day * 75 / 100
		case meals == 3:
			b.bite.most = b.bite.day * 60 / 100
		default:
			b.bite.most = b.bite.day * 150 / (100 * meals)
			b.bite.small = true
		}
		sort.Strings(b.never)
		b.never = slices.Compact(b.never)
	}
	for _, most := range []int{3, 6, math.MaxInt} {
		out = nil
		byFoods := map[string]*eater{}
		for _, b := range bowls {
			alone := &eater{never: b.never, bowls: []bite{b.bite}}
			key := fmt.Sprintf("%q %v", b.never, b.ferret)
			if most == 6 {
				key += fmt.Sprint(b.often)
			}
			for _, t := range pieces {
				if most == 3 && alone.may(t.food) {
					whole, any := q.gets(alone, t.food, t.each)
					key += fmt.Sprint(whole, any)
				}
			}
			e := byFoods[key]
			if e == nil {
				e = &eater{low: new(big.Rat), mid: new(big.Rat), high: new(big.Rat), full: new(big.Rat), kinds: map[string]bool{}, never: b.never}
				byFoods[key] = e
				out = append(out, e)
			}
			b.e = e
			e.bowls = append(e.bowls, b.bite)
		}
		if len(out) <= most {
			break
		}
	}
	days := int64(q.Days)
	for _, b := range bowls {
		for _, i := range b.animals {
			n := ration.Needs(&h.Animals[i], h.FirstDay())
			b.e.heads++
			b.e.kinds[h.Animals[i].Kind()] = true
			b.e.mid.Add(b.e.mid, ratOf(int64(n.Band.Typical)*days, 10))
			b.e.low.Add(b.e.low, ratOf(int64(n.Band.Low)*days, 10))
			b.e.full.Add(b.e.full, ratOf(int64(n.Band.High)*days, 10))
		}
	}
	for _, e := range out {
		e.high = e.full
		e.picky = len(e.never) > 0 && len(out) > 1
	}
	// Everybody of a diet gets the same part of the middle of its band.
	for _, b := range bowls {
		for _, i := range b.animals {
			n := ration.Needs(&h.Animals[i], h.FirstDay())
			b.e.low = larger(b.e.low, mul(b.e.mid, ratOf(int64(n.Band.Low), int64(n.Band.Typical))))
			b.e.high = smaller(b.e.high, mul(b.e.mid, ratOf(int64(n.Band.High), int64(n.Band.Typical))))
		}
	}
	return out, growing
}

// gets says whether a diet gets a food of such pieces whole, cut up, or not at all.
func (q *Question) gets(e *eater, f *prey.Food, each units.Mass) (whole, any bool) {
	// rounded half up to a tenth of a kcal
	energy, _, _ := f.DefaultEnergy()
	kcal := mul(mul(perGram(energy.At[prey.Typical]), ratOf(int64(each), int64(units.Gram))), ratOf(10, 1))
	tenths := new(big.Rat).Add(kcal, ratOf(1, 2))
	n := new(big.Int).Quo(tenths.Num(), tenths.Denom()).Int64()
	for _, b := range e.bowls {
		if n <= b.most {
			continue
		}
		if f.Kind != prey.WholePrey {
			return false, true
		}
		if q.Target.Style != shares.Complete {
			return false, false
		}
		if n > b.day || b.small {
			return false, true
		}
	}
	return true, true
}

func (e *eater) may(f *prey.Food) bool {
	for _, n := range e.never {
		if n == f.ID || f.HasSpecies(n) {
			return false
		}
	}
	return true
}

// things gathers stock and offers by food, in the order of their ids.
func (q *Question) things() []*thing {
	h := q.Household
	by := map[string]*thing{}
	var out []*thing
	enter := func(f *prey.Food) *thing {
		if t, ok := by[f.ID]; ok {
			return t
		}
		by[f.ID] = nil
		if q.fit(f) {
			by[f.ID] = &thing{food: f}
			out = append(out, by[f.ID])
		}
		return by[f.ID]
	}
	lots := map[*thing][]lot{}
	packs := map[*thing][]lot{}
	for _, s := range h.Stock {
		if s.BestBefore != 0 && s.BestBefore < max(h.AsOf, h.Start) {
			continue
		}
		if t := enter(s.Food); t != nil {
			lots[t] = append(lots[t], lot{s.Mass, s.Pieces})
		}
	}
	for i, o := range h.Offers {
		if t := enter(o.Food); t != nil {
			packs[t] = append(packs[t], lot{o.Pack, o.Pieces})
			t.offers = append(t.offers, i)
		}
	}
	for _, t := range out {
		f := t.food
		e, _, _ := f.DefaultEnergy()
		t.unit, t.kcal = ratOf(1, 1), perGram(e.At[prey.Typical])
		if f.Piece.Typical > 0 && (f.BoneIn || f.Kind == prey.WholePrey || f.Kind == prey.EggFood) {
			each := units.Mass(math.MaxInt64)
			for _, l := range append(slices.Clone(lots[t]), packs[t]...) {
				if l.pieces > 0 {
					m := l.mass / units.Mass(l.pieces)
					if m > 10*units.Gram {
						m = m / units.Gram * units.Gram
					}
					each = min(each, m)
				}
			}
			if each == math.MaxInt64 {
				each = f.Piece.Typical
			}
			t.each = each
		}
		t.lots, t.packs = lots[t], packs[t]
	}
	sort.Slice(out, func(i, j int) bool { return out[i].food.ID < out[j].food.ID })
	return out
}

// count turns masses into amounts: by the piece when some diet gets pieces whole.
func (q *Question) count(things []*thing, eaters []*eater) {
	for _, t := range things {
		if t.each > 0 && slices.ContainsFunc(eaters, func(e *eater) bool {
			whole, _ := q.gets(e, t.food, t.each)
			return e.may(t.food) && whole
		}) {
			t.unit = ratOf(int64(t.each), int64(units.Gram))
			t.kcal = mul(t.kcal, t.unit)
			t.pieces = true
		}
		amount := func(l lot) int64 {
			if !t.pieces {
				return int64(l.mass / units.Gram)
			}
			if l.pieces > 0 {
				return l.pieces
			}
			n := quo(ratOf(int64(l.mass), int64(units.Gram)), t.unit)
			return new(big.Int).Quo(n.Num(), n.Denom()).Int64()
		}
		for _, l := range t.lots {
			t.have += amount(l)
		}
		for _, l := range t.packs {
			t.perPack = append(t.perPack, amount(l))
		}
	}
}

// Write states the question as a linear program that minimises the price of the
// packs in hundredths of the unit of money.
func (q *Question) Write() LP {
	p, foods, diets := q.program()
	return LP{Text: p.text(), Foods: foods, Diets: diets, Columns: len(p.box), Rows: len(p.rows)}
}

func (q *Question) program() (p *program, foods, diets int) {
	p = &program{box: map[string]*big.Rat{}, whole: map[string]bool{}}
	stock := q.things()
	var pieces []*thing
	for _, t := range stock {
		if t.each > 0 {
			pieces = append(pieces, t)
		}
	}
	eaters, growing := q.eaters(pieces)
	q.count(stock, eaters)
	// Each diet's own view of the things: nil for what it does not get.
	things := make([][]*thing, len(eaters))
	takes := make([][]*big.Rat, len(eaters)) // of the stock, by a unit of the view
	for d, e := range eaters {
		for _, t := range stock {
			v, part := t, ratOf(1, 1)
			if t.pieces {
				whole, any := q.gets(e, t.food, t.each)
				switch {
				case !any:
					v = nil
				case !whole:
					v, part = t.cut(), quo(ratOf(1, 1), t.unit)
				}
			}
			if v != nil && !e.may(t.food) {
				v = nil
			}
			things[d] = append(things[d], v)
			takes[d] = append(takes[d], part)
		}
	}

	// How much of each food each diet gets: no more than holds all its energy.
	x := make([][]string, len(eaters))
	for d, e := range eaters {
		x[d] = make([]string, len(stock))
		for i, t := range things[d] {
			if t == nil {
				continue
			}
			most := ratOf(int64(20*e.heads*q.Days), 1)
			if t.kcal.Sign() > 0 {
				m := quo(e.full, t.kcal)
				most = new(big.Rat).SetInt(ceil(m))
			}
			if end, limited := stock[i].most(q.Household); limited {
				most = smaller(most, quo(ratOf(end, 1), takes[d][i]))
			}
			x[d][i] = p.column(fmt.Sprintf("x%d_%d", d, i), most, t.pieces)
		}
	}
	// Stock and packs.
	for i, t := range stock {
		r := p.row("stock", nil, ratOf(t.have, 1))
		most := new(big.Rat)
		for d := range eaters {
			if x[d][i] != "" {
				r.add(x[d][i], takes[d][i])
				most.Add(most, mul(takes[d][i], p.box[x[d][i]]))
			}
		}
		for k, at := range t.offers {
			if t.perPack[k] == 0 {
				continue
			}
			o := q.Household.Offers[at]
			n := ceil(quo(sub(most, ratOf(t.have, 1)), ratOf(t.perPack[k], 1)))
			high := new(big.Rat)
			if n.Sign() > 0 {
				high.SetInt(n)
			}
			if o.Max > 0 {
				high = smaller(high, ratOf(o.Max, 1))
			}
			z := p.column(fmt.Sprintf("z%d", at), high, true)
			r.add(z, ratOf(-t.perPack[k], 1))
			p.cost.add(z, mul(o.Price.Amount().Rat(), ratOf(100, 1)))
		}
	}
	for d, e := range eaters {
		q.diet(p, d, e, things[d], x[d], growing)
	}
	q.together(p, eaters, things, x)
	return p, len(stock), len(eaters)
}

func ceil(r *big.Rat) *big.Int {
	n := new(big.Int).Neg(r.Num())
	n.Div(n, r.Denom()) // towards minus infinity
	return n.Neg(n)
}

// most is all there is of a food, and whether there is an end of it.
func (t *thing) most(h *ration.Household) (int64, bool) {
	n := t.have
	for k, at := range t.offers {
		if t.perPack[k] == 0 {
			continue
		}
		if h.Offers[at].Max == 0 {
			return 0, false
		}
		n += h.Offers[at].Max * t.perPack[k]
	}
	return n, true
}

// diet states what one diet must hold.
func (q *Question) diet(p *program, d int, e *eater, things []*thing, x []string, growing bool) {
	sum := func(name string, low, high *big.Rat, coef func(*thing) *big.Rat) {
		r := p.row(fmt.Sprintf("%s_%d", name, d), low, high)
		for i, t := range things {
			if x[i] != "" {
				if c := coef(t); c != nil {
					r.add(x[i], c)
				}
			}
		}
	}
	zero := new(big.Rat)
	low, high := e.low, e.high
	if q.Middle {
		low = larger(low, mul(e.mid, ratOf(97, 100)))
		high = smaller(high, mul(e.mid, ratOf(103, 100)))
	}
	sum("energy", low, high, func(t *thing) *big.Rat { return t.kcal })

	for _, r := range q.Book.Rules() {
		// Rules to watch that are not asked for still say how much is too much.
		most := !q.asks(r.ID) && r.Severity == balance.Watch && r.High != nil &&
			r.Check.Form() == balance.FormPortion && r.Subject == balance.OfKind && r.Sex == ration.SexUnknown
		days := r.Check.Form() == balance.FormOccasion && !r.Meals && r.Subject == balance.OfKind && r.High != nil
		if r.Until != "" || !q.asks(r.ID) && !most && !days || r.LifeStage == balance.Growing && !growing || r.LifeStage == balance.Grown && growing {
			continue
		}
		if len(r.Species) > 0 && !slices.ContainsFunc(r.Species, func(s string) bool { return e.kinds[s] }) {
			continue
		}
		if r.Severity == balance.Watch && !days && !slices.ContainsFunc(things, func(t *thing) bool {
			return t != nil && is(r, t.food) && (!inPieces(r) || t.pieces || t.food.Piece.Typical > 0)
		}) {
			continue // it is not to be had for this diet
		}
		id := "r_" + fmt.Sprint(slices.IndexFunc(q.Book.Rules(), func(o *balance.Rule) bool { return o.ID == r.ID }))
		switch r.Check.Form() {
		case balance.FormQuotient:
			switch {
			case r.Check.Takes("slot"):
				q.slotShare(sum, id, r)
			case r.Check.Nutrient():
				q.nutrient(sum, id, r)
			default:
				q.massShare(sum, id, r)
			}
		case balance.FormVariety:
			q.variety(p, id, d, e, r, things, x)
		case balance.FormPortion:
			if inPieces(r) {
				q.pieces(sum, id, r, e, things)
			} else {
				q.amount(sum, id, r, e)
			}
		case balance.FormOccasion:
			part := ratOf(r.High.Value*int64(q.Days)/7, int64(q.Days))
			sum(id, nil, zero, func(t *thing) *big.Rat {
				if is(r, t.food) {
					return mul(t.kcal, sub(ratOf(1, 1), part))
				}
				return mul(t.kcal, new(big.Rat).Neg(part))
			})
		case balance.FormGap:
			q.gaps(sum, id)
		}
	}
	for i, t := range things {
		if x[i] == "" {
			continue
		}
		if from := q.wrongFrom(t.food); from > 0 {
			most := ratOf(int64(from-1), int64(units.Whole))
			sum("wrong", nil, zero, func(o *thing) *big.Rat {
				if o == t {
					return mul(sub(ratOf(1, 1), most), o.unit)
				}
				return mul(new(big.Rat).Neg(most), o.unit)
			})
		}
	}
	if q.CompleteDays > 0 {
		part := func(bound *big.Rat) func(t *thing) *big.Rat {
			return func(t *thing) *big.Rat {
				if t.food.Complete {
					return mul(t.kcal, sub(ratOf(1, 1), bound))
				}
				return mul(t.kcal, new(big.Rat).Neg(bound))
			}
		}
		sum("days", zero, nil, part(ratOf(int64(2*q.CompleteDays-1), int64(2*q.Days))))
		sum("days", nil, zero, part(smaller(ratOf(1, 1), ratOf(int64(2*q.CompleteDays+1), int64(2*q.Days)))))
	}
	if q.OrganDay > 0 {
		sum("organ", nil, zero, func(t *thing) *big.Rat {
			var in units.Share
			if !t.food.Complete && t.food.PartsKnown {
				in = t.food.Shares[prey.Typical][prey.Liver] + t.food.Shares[prey.Typical][prey.Organ]
			}
			return mul(ratOf(int64(in-q.OrganDay), int64(units.Whole)), t.unit)
		})
	}
}

// summing adds a row between two bounds, nil where there is none, with what a unit of
// each thing adds to it.
type summing func(id string, low, high *big.Rat, each func(*thing) *big.Rat)

func (q *Question) slotShare(sum summing, id string, r *balance.Rule) {
	zero := new(big.Rat)
	if sh, ok := q.Target.Share(r.Slot); ok {
		sum(id, zero, nil, func(t *thing) *big.Rat { return q.above(t, r.Slot, sh.Low) })
		sum(id, nil, zero, func(t *thing) *big.Rat { return q.above(t, r.Slot, sh.High) })
	}
}

func (q *Question) nutrient(sum summing, id string, r *balance.Rule) {
	zero := new(big.Rat)
	if r.Low != nil {
		sum(id, zero, nil, func(t *thing) *big.Rat { return nutrient(r, r.Low, t) })
	}
	if r.High != nil {
		sum(id, nil, zero, func(t *thing) *big.Rat { return nutrient(r, r.High, t) })
	}
}

func (q *Question) pieces(sum summing, id string, r *balance.Rule, e *eater, things []*thing) {
	var low, high *big.Rat
	if q.asks(r.ID) {
		low = new(big.Rat).SetInt(ceil(ratOf(r.Low.Value*int64(e.heads)*int64(q.Days), 7)))
		if q.Days > 7 { // whole pieces in each bowl
			low = new(big.Rat)
			for _, b := range e.bowls {
				low.Add(low, new(big.Rat).SetInt(ceil(ratOf(r.Low.Value*b.heads*int64(q.Days), 7))))
			}
		}
		high = low
		if slices.ContainsFunc(things, func(t *thing) bool { return t != nil && is(r, t.food) && !t.pieces }) {
			high = new(big.Rat).Add(low, ratOf(int64(e.heads)*int64(q.Days), 70)) // a tenth of a piece each week
		}
	} else {
		high = ratOf(r.High.Value*int64(e.heads)*int64(q.Days), 7)
	}
	sum(id, low, high, func(t *thing) *big.Rat {
		switch {
		case !is(r, t.food):
			return nil
		case t.pieces:
			return ratOf(1, 1)
		case t.food.Piece.Typical > 0:
			return ratOf(int64(units.Gram), int64(t.food.Piece.Typical))
		}
		return nil
	})
}

func (q *Question) amount(sum summing, id string, r *balance.Rule, e *eater) {
	each := func(l *balance.Limit) *big.Rat {
		if l == nil {
			return nil
		}
		days := int64(q.Days)
		if !r.Daily {
			return mul(ratOf(l.Value, int64(units.Gram)), ratOf(int64(e.heads)*days, 7))
		}
		return mul(ratOf(l.Value, int64(units.Gram)), ratOf(int64(e.heads)*days, 1))
	}
	low := each(r.Low)
	if !q.asks(r.ID) {
		low = nil
	}
	sum(id, low, each(r.High), func(t *thing) *big.Rat {
		if !is(r, t.food) {
			return nil
		}
		return t.unit
	})
}

// gaps asks for a twentieth of what mixes weigh of each slot that they may lack.
func (q *Question) gaps(sum summing, id string) {
	zero := new(big.Rat)
	for _, slot := range shares.Slots() {
		part := [shares.NumSlots]prey.Part{shares.MuscleSlot: prey.Muscle, shares.HeartSlot: prey.Heart, shares.BoneSlot: prey.Bone,
			shares.LiverSlot: prey.Liver, shares.OrganSlot: prey.Organ}[slot]
		if sh, ok := q.Target.Share(slot); ok && sh.Low > 0 {
			continue
		}
		sum(id, zero, nil, func(t *thing) *big.Rat {
			f := t.food
			if f.Complete {
				return nil
			}
			c := new(big.Rat)
			if f.Kind == prey.Mix || f.Kind == prey.DriedRaw {
				c.Sub(c, ratOf(1, 20))
			}
			if f.HasPart(part) || slot == shares.BoneSlot && f.BoneIn {
				c.Add(c, ratOf(1, 1))
			}
			return mul(c, t.unit)
		})
	}
}

// above is how far a unit of food lies above a share of a slot.
func (q *Question) above(t *thing, slot shares.Slot, bound units.Share) *big.Rat {
	if t.food.Complete {
		return nil
	}
	slots, ok := q.Target.Slots(t.food, prey.Typical)
	if !ok {
		return nil
	}
	all := int64(0)
	for _, s := range slots {
		all += int64(s)
	}
	own := ratOf(int64(slots[slot]), int64(units.Whole))
	return mul(sub(own, mul(ratOf(int64(bound), int64(units.Whole)), ratOf(all, int64(units.Whole)))), t.unit)
}

func (q *Question) massShare(sum summing, id string, r *balance.Rule) {
	share := func(l *balance.Limit) func(t *thing) *big.Rat {
		return func(t *thing) *big.Rat {
			var in int64
			switch r.Subject {
			case balance.OfLiver:
				if !t.food.PartsKnown {
					return nil
				}
				in = int64(t.food.Shares[prey.Typical][prey.Liver])
			case balance.OfComplete:
				if t.food.Complete {
					in = int64(units.Whole)
				}
			default:
				if is(r, t.food) {
					in = int64(units.Whole)
				}
			}
			return mul(ratOf(in-l.Value, int64(units.Whole)), t.unit)
		}
	}
	low := r.Low
	if r.Subject == balance.OfComplete {
		low, _ = r.Limits(q.Target, nil)
	}
	if low != nil {
		sum(id, new(big.Rat), nil, share(low))
	}
	if r.High != nil && r.High.Value > 0 {
		sum(id, nil, new(big.Rat), share(r.High))
	}
}

// kindsIn are the animals a food counts for.
func kindsIn(r *balance.Rule, f *prey.Food) (out []string) {
	switch f.Kind {
	case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood:
		return nil
	}
	if r.Colour != 0 && r.Colour != f.Colour {
		return nil
	}
	return f.Animals()
}

// variety asks for kinds of animal of at least a twentieth of the middle energy.
func (q *Question) variety(p *program, id string, d int, e *eater, r *balance.Rule, things []*thing, x []string) {
	var names []string
	for i, t := range things {
		if x[i] != "" && p.box[x[i]].Sign() > 0 {
			for _, k := range kindsIn(r, t.food) {
				if !slices.Contains(names, k) {
					names = append(names, k)
				}
			}
		}
	}
	sort.Strings(names)
	want := r.Low.Value
	if e.picky {
		want = min(want, int64(len(names)))
	}
	count := p.row(fmt.Sprintf("%s_kinds_%d", id, d), ratOf(want, 1), nil)
	least := mul(e.mid, ratOf(1, 20))
	for k, name := range names {
		y := p.column(fmt.Sprintf("y%s_%d_%d", id, d, k), ratOf(1, 1), true)
		count.add(y, ratOf(1, 1))
		enough := p.row(fmt.Sprintf("%s_enough_%d", id, d), new(big.Rat), nil)
		enough.add(y, new(big.Rat).Neg(least))
		for i, t := range things {
			if x[i] != "" && slices.Contains(kindsIn(r, t.food), name) {
				enough.add(x[i], t.kcal)
			}
		}
	}
}

// together states what all diets must hold between them.
func (q *Question) together(p *program, eaters []*eater, things [][]*thing, x [][]string) {
	for _, slot := range shares.Slots() {
		sh, ok := q.Target.Share(slot)
		if q.Extra[slot] <= 0 || !ok {
			continue
		}
		r := p.row("extra", ratOf(int64(q.Extra[slot]), int64(units.Gram)), nil)
		for d := range eaters {
			for i, t := range things[d] {
				if x[d][i] != "" {
					if c := q.above(t, slot, sh.Low); c != nil {
						r.add(x[d][i], c)
					}
				}
			}
		}
	}
	// Where every diet may ask for fewer kinds, the household must have them all.
	for at, r := range q.Book.Rules() {
		if r.Until != "" || r.Check.Form() != balance.FormVariety || !q.asks(r.ID) {
			continue
		}
		id := fmt.Sprintf("yr_%d_", at)
		full, any := false, false
		seen := map[string][]string{}
		var names []string
		for d, e := range eaters {
			if len(r.Species) > 0 && !slices.ContainsFunc(r.Species, func(s string) bool { return e.kinds[s] }) {
				continue
			}
			any = true
			var own []string
			for i, t := range things[d] {
				if x[d][i] != "" && p.box[x[d][i]].Sign() > 0 {
					own = append(own, kindsIn(r, t.food)...)
				}
			}
			sort.Strings(own)
			own = slices.Compact(own)
			full = full || !e.picky || int64(len(own)) >= r.Low.Value
			for k, name := range own {
				if seen[name] == nil {
					names = append(names, name)
				}
				seen[name] = append(seen[name], fmt.Sprintf("%s%d_%d", id, d, k))
			}
		}
		if full || !any {
			continue
		}
		sort.Strings(names)
		count := p.row("anybody", ratOf(r.Low.Value, 1), nil)
		for k, name := range names {
			y := p.column(fmt.Sprintf("y%d_anybody_%d", at, k), ratOf(1, 1), true)
			count.add(y, ratOf(1, 1))
			some := p.row("some", new(big.Rat), nil)
			some.add(y, ratOf(-1, 1))
			for _, c := range seen[name] {
				some.add(c, ratOf(1, 1))
			}
		}
	}
}

// nutrient is how far a unit of food lies above a limit, in the nutrient's unit;
// nil where one of the two figures is not known or the word says nothing
// to the oracle: what a figure is it states by itself, by the word of files.
func nutrient(r *balance.Rule, l *balance.Limit, t *thing) *big.Rat {
	n, ok := t.food.Nutrient(r.Nutrient)
	if !ok {
		return nil
	}
	var bound *big.Rat
	switch r.Check.String() {
	case "nutrient-ratio":
		a, ok := t.food.Nutrient(r.Against)
		if !ok {
			return nil
		}
		bound = mul(ratOf(l.Value, 1_000_000_000), perGram(a.At[prey.Typical]))
	case "per-energy":
		a, ok := t.food.Energy(prey.ModifiedAtwater)
		if !ok {
			return nil
		}
		bound = mul(ratOf(l.Value, 1_000_000_000_000), perGram(a.At[prey.Typical]))
	case "dry-matter":
		w, ok := t.food.Nutrient(prey.Water)
		if !ok {
			return nil
		}
		gram := map[string]int64{"g": 1, "mg": 1_000, "µg": 1_000_000}[r.Nutrient.Unit()]
		bound = mul(mul(ratOf(l.Value, 1_000_000_000_000), ratOf(gram, 1)), sub(ratOf(1, 1), perGram(w.At[prey.Typical])))
	default:
		return nil
	}
	return mul(sub(perGram(n.At[prey.Typical]), bound), t.unit)
}

// text writes the program in the CPLEX LP format.
func (p *program) text() []byte {
	var b bytes.Buffer
	num := func(r *big.Rat) string {
		f, _ := r.Float64()
		return strconv.FormatFloat(f, 'g', -1, 64)
	}
	terms := func(r *row) {
		for i, c := range r.cols {
			sign := "+"
			v := r.coefs[i]
			if v.Sign() < 0 {
				sign, v = "-", new(big.Rat).Neg(v)
			}
			fmt.Fprintf(&b, " %s %s %s\n", sign, num(v), c)
		}
	}
	b.WriteString("Minimize\n cost:\n")
	terms(&p.cost)
	b.WriteString(" + 0 nothing\n")
	b.WriteString("Subject To\n")
	for _, r := range p.rows {
		if len(r.cols) == 0 {
			if r.low != nil && r.low.Sign() > 0 || r.high != nil && r.high.Sign() < 0 {
				fmt.Fprintf(&b, " %s: nothing >= 1\n", r.name)
			}
			continue
		}
		if r.low != nil && r.high != nil && r.low.Cmp(r.high) == 0 {
			fmt.Fprintf(&b, " %s:\n", r.name)
			terms(r)
			fmt.Fprintf(&b, " = %s\n", num(r.low))
			continue
		}
		if r.low != nil {
			fmt.Fprintf(&b, " %s_l:\n", r.name)
			terms(r)
			fmt.Fprintf(&b, " >= %s\n", num(r.low))
		}
		if r.high != nil {
			fmt.Fprintf(&b, " %s_h:\n", r.name)
			terms(r)
			fmt.Fprintf(&b, " <= %s\n", num(r.high))
		}
	}
	names := make([]string, 0, len(p.box))
	for n := range p.box {
		names = append(names, n)
	}
	sort.Strings(names)
	b.WriteString("Bounds\n 0 <= nothing <= 0\n")
	for _, n := range names {
		fmt.Fprintf(&b, " 0 <= %s <= %s\n", n, num(p.box[n]))
	}
	b.WriteString("Generals\n")
	for _, n := range names {
		if p.whole[n] {
			fmt.Fprintf(&b, " %s\n", n)
		}
	}
	b.WriteString("End\n")
	return b.Bytes()
}
