package balance

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Errors of [PlanWeek]. A household that cannot be fed well from what it has is
// not an error: see [Result].
var (
	// ErrRequest is a request that is not whole.
	ErrRequest = errors.New("request is not whole")
	// ErrCurrencies is a household whose offers are priced in several currencies.
	ErrCurrencies = errors.New("offers in more than one currency")
	// ErrUnplanned is a household in which no animal can be planned for by energy.
	ErrUnplanned = errors.New("no published need for any animal of the household")
	// ErrSearch is a search that ended at its limit before any plan was found.
	ErrSearch = errors.New("no plan was found within the limit of the search")
)

// Request is what [PlanWeek] is asked.
type Request struct {
	Household *ration.Household
	Foods     *prey.Catalogue // where examples of lacking food are looked up; nil: the shipped one
	Book      *Book           // targets and rules; nil: the shipped ones
	Screen    *Screen         // hazards of foods; nil: the shipped ones without notices
	Target    string          // id; "": the household's, else [DefaultTarget]
	Days      int             // 1 to 14; 0: 7
	Nodes     int             // most nodes of the search; 0: a default that takes a few seconds at worst
}

// Result is a planned week, or what is lacking for one.
type Result struct {
	// Plan is nil when something is lacking. Its audit has no missed rule of
	// gravity stop or mend at the typical figures; missed rules to watch are in
	// the report.
	Plan   *ration.Plan
	Report *Report
	Target *Target
	Needs  []ration.Need
	Bowls  []Bowl // who eats together, in the order of the household

	// Household is the one that was planned for, without the lots whose
	// best-before day has passed: what ration.FirstOut and ration.Shop are
	// asked about.
	Household *ration.Household
	Passed    []PassedOver // food that was not planned with, and why

	// Lacking says what food, and how much of it, would make a plan possible.
	Lacking []Lack
	// Clash is filled when no food that can be bought would help: the
	// requirements that contradict each other, in words.
	Clash []string
	// Unplanned are animals for which no amount is published.
	Unplanned []string
	Notes     []string
}

// Bowl is a set of animals that eat together.
type Bowl struct {
	Animals []*ration.Animal
	Meals   int // a day
}

// IDs returns the animals' ids.
func (b Bowl) IDs() []string {
	ids := make([]string, len(b.Animals))
	for i, a := range b.Animals {
		ids[i] = a.ID
	}
	return ids
}

// Names returns the animals' names, joined for people.
func (b Bowl) Names() string {
	names := make([]string, len(b.Animals))
	for i, a := range b.Animals {
		names[i] = a.Name
	}
	return strings.Join(names, ", ")
}

// PassedOver is a food that the planner did not consider.
type PassedOver struct {
	Food *prey.Food
	Why  string
}

// Lack is food that is missing for a plan that meets the rules.
type Lack struct {
	What    string // the slot or kind, in words
	Example *prey.Food
	Mass    units.Mass // rounded up to a whole gram
	Pieces  int64      // for what is given by the piece
}

// PlanWeek makes a plan from the household's stock and offers that meets every
// rule of gravity stop and mend at the typical figures, or says what is lacking
// and how much of it.
//
// The amount aimed at is the middle of each animal's planning band (a choice of
// ours, see [ration.Need]); where the food does not reach it the plan may lie
// anywhere in the band and says so. Gram amounts are whole grams and wings,
// necks, chicks, mice and eggs are whole pieces. Among the plans that meet the
// rules it takes the cheapest packs that the search finds, and with these packs
// the amounts furthest from the limits. The verdict is that of [Audit] on the
// finished plan; the search only proposes. The same request gives the same
// result.
//
// Errors wrap ErrRequest, ErrCurrencies, ErrUnplanned, ErrSearch or the
// context's own.
func PlanWeek(ctx context.Context, q Request) (*Result, error) {
	p, err := newPlanner(q)
	if err != nil {
		return nil, fmt.Errorf("planning: %w", err)
	}
	res, err := p.run(ctx)
	if err != nil {
		return nil, fmt.Errorf("planning for %q: %w", q.Household.Name, err)
	}
	return res, nil
}

// planner holds one request while it is worked on.
type planner struct {
	Request
	target   *Target
	needs    []ration.Need
	bowls    []Bowl
	diets    []diet
	supplies []supply
	rules    []*Rule
	currency string
	growth   bool // some animal is growing, pregnant or nursing: the rules for that hold for all
	res      *Result
}

// diet is a set of bowls that may get the same foods. Each diet is balanced for
// itself, so that no animal's week depends on what another eats.
type diet struct {
	bowls  []int // indices of planner.bowls
	heads  int64
	energy units.Range[ration.Tenths] // sum of the bands, a day
	never  []string
	ferret bool
	rest   []int64 // what gram foods are divided by between the bowls, once it is known
}

// supply is everything there is of one food.
type supply struct {
	food  *prey.Food
	piece units.Mass // mass of a piece when it is fed by the piece, else 0
	have  int64      // whole grams, or pieces, in stock
	lots  []ration.Stock
	packs []pack
	spot  int // order of first-out: 0 is eaten first
	extra bool
}

// pack is an offer as amounts of its supply.
type pack struct {
	offer  ration.Offer
	amount int64 // whole grams or pieces
	most   int64
}

func (s *supply) mass(amount int64) units.Mass {
	if s.piece > 0 {
		return s.piece * units.Mass(amount)
	}
	return units.Gram * units.Mass(amount)
}

// grams of one unit of the supply, for the search only.
func (s *supply) grams() float64 {
	if s.piece > 0 {
		return float64(s.piece) / float64(units.Gram)
	}
	return 1
}

func newPlanner(q Request) (*planner, error) {
	var err error
	if q.Household == nil || len(q.Household.Animals) == 0 {
		return nil, fmt.Errorf("no household with animals: %w", ErrRequest)
	}
	if q.Days == 0 {
		q.Days = 7
	}
	if q.Days < 1 || q.Days > 14 {
		return nil, fmt.Errorf("%d days, want 1 to 14: %w", q.Days, ErrRequest)
	}
	if q.Foods == nil {
		if q.Foods, err = prey.Shipped(); err != nil {
			return nil, err
		}
	}
	if q.Book == nil {
		if q.Book, err = Shipped(); err != nil {
			return nil, err
		}
	}
	if q.Screen == nil {
		if q.Screen, err = NewScreen(nil, nil, safety.Context{On: q.Household.Start}); err != nil {
			return nil, err
		}
	}
	id := cmp.Or(q.Target, q.Household.Target, DefaultTarget)
	p := &planner{Request: q, needs: q.Household.Needs()}
	if p.target, err = q.Book.Target(id); err != nil {
		return nil, err
	}
	h := *q.Household
	h.Stock = nil
	p.res = &Result{Target: p.target, Needs: p.needs, Household: &h}
	for _, r := range q.Book.Rules() {
		if r.Until == "" {
			p.rules = append(p.rules, r)
		}
	}
	p.seat()
	if len(p.diets) == 0 {
		return nil, ErrUnplanned
	}
	if err := p.gather(); err != nil {
		return nil, err
	}
	return p, nil
}

func (p *planner) need(a *ration.Animal) *ration.Need {
	for i := range p.needs {
		if p.needs[i].Animal == a {
			return &p.needs[i]
		}
	}
	return nil
}

// seat sorts the animals into bowls and the bowls into diets.
func (p *planner) seat() {
	byKey := map[string]int{}
	for _, animals := range p.Household.Bowls() {
		var bowl Bowl
		var d diet
		var never []string
		for _, a := range animals {
			n := p.need(a)
			if !n.HasBand {
				p.res.Unplanned = append(p.res.Unplanned, a.Name)
				continue
			}
			bowl.Animals = append(bowl.Animals, a)
			bowl.Meals = max(bowl.Meals, n.MealsPerDay)
			d.energy.Low += n.Band.Low
			d.energy.Typical += n.Band.Typical
			d.energy.High += n.Band.High
			d.heads++
			p.growth = p.growth || growing(n.Stage)
			d.ferret = d.ferret || a.Kind() == ration.Ferret
			never = append(never, a.Never...)
		}
		if len(bowl.Animals) == 0 {
			continue
		}
		if m := p.Household.MealsPerDay; m > bowl.Meals {
			bowl.Meals = m
		}
		d.never = sortedCompact(never)
		p.bowls = append(p.bowls, bowl)
		at := len(p.bowls) - 1
		key := fmt.Sprint(d.never, d.ferret)
		i, ok := byKey[key]
		if !ok {
			byKey[key] = len(p.diets)
			d.bowls = []int{at}
			p.diets = append(p.diets, d)
			continue
		}
		e := &p.diets[i]
		e.bowls = append(e.bowls, at)
		e.heads += d.heads
		e.energy.Low += d.energy.Low
		e.energy.Typical += d.energy.Typical
		e.energy.High += d.energy.High
	}
	p.res.Bowls = p.bowls
}

func growing(s ration.Stage) bool {
	return s == ration.Kit || s == ration.Juvenile || s == ration.Pregnant || s == ration.Lactating
}

// gather sums up stock and offers by food, leaving out what must not or cannot
// be planned with.
func (p *planner) gather() error {
	at := map[string]int{}
	enter := func(f *prey.Food) *supply {
		i, ok := at[f.ID]
		if !ok {
			if why := p.unfit(f); why != "" {
				p.res.Passed = append(p.res.Passed, PassedOver{f, why})
				at[f.ID] = -1
				return nil
			}
			i = len(p.supplies)
			at[f.ID] = i
			p.supplies = append(p.supplies, supply{food: f})
		}
		if i < 0 {
			return nil
		}
		return &p.supplies[i]
	}
	h := p.Household
	for _, s := range h.Stock {
		if s.BestBefore != 0 && s.BestBefore < h.AsOf {
			p.res.Passed = append(p.res.Passed, PassedOver{s.Food, "best before " + s.BestBefore.String() + " has passed: smell and look before you feed it, or throw it away"})
			continue
		}
		p.res.Household.Stock = append(p.res.Household.Stock, s)
		if u := enter(s.Food); u != nil {
			u.lots = append(u.lots, s)
		}
	}
	for _, o := range h.Offers {
		if c := o.Price.Currency(); p.currency == "" {
			p.currency = c
		} else if c != p.currency {
			return fmt.Errorf("%s and %s: %w", p.currency, c, ErrCurrencies)
		}
		if u := enter(o.Food); u != nil {
			u.packs = append(u.packs, pack{offer: o})
		}
	}
	for i := range p.supplies {
		p.supplies[i].count(p.smallestDay())
	}
	slices.SortStableFunc(p.supplies, func(a, b supply) int {
		return cmp.Or(cmp.Compare(first(a.lots), first(b.lots)), cmp.Compare(a.food.ID, b.food.ID))
	})
	for i := range p.supplies {
		p.supplies[i].spot = i
	}
	return nil
}

// first is the earliest best-before day of the lots; far in the future if none.
func first(lots []ration.Stock) units.Date {
	d := units.Date(1<<31 - 1)
	for _, s := range lots {
		if s.BestBefore != 0 {
			d = min(d, s.BestBefore)
		}
	}
	return d
}

// smallestDay is the least middle-of-band energy of a bowl, in tenths of a kcal.
func (p *planner) smallestDay() ration.Tenths {
	least := ration.Tenths(1<<62 - 1)
	for _, b := range p.bowls {
		least = min(least, p.bowlEnergy(b))
	}
	return least
}

func (p *planner) bowlEnergy(b Bowl) (sum ration.Tenths) {
	for _, a := range b.Animals {
		sum += p.need(a).Band.Typical
	}
	return sum
}

// count turns masses into whole grams or pieces. A food is fed by the piece when
// a piece is known and is no more than the smallest bowl's food of one day;
// larger pieces are cut and fed by the gram.
func (s *supply) count(smallest ration.Tenths) {
	s.piece = s.pieceMass()
	if s.piece > 0 && kcalTenths(s.food, s.piece) > smallest {
		s.piece = 0
	}
	amount := func(m units.Mass, pieces int64) int64 {
		switch {
		case s.piece == 0:
			return int64(m / units.Gram)
		case pieces > 0:
			return pieces
		}
		return int64(m / s.piece)
	}
	for _, l := range s.lots {
		s.have += amount(l.Mass, l.Pieces)
	}
	for i := range s.packs {
		k := &s.packs[i]
		k.amount = amount(k.offer.Pack, k.offer.Pieces)
		k.most = k.offer.Max
	}
	s.packs = slices.DeleteFunc(s.packs, func(k pack) bool { return k.amount == 0 })
	slices.SortStableFunc(s.lots, func(a, b ration.Stock) int {
		return cmp.Compare(first([]ration.Stock{a}), first([]ration.Stock{b}))
	})
}

// pieceMass is the mass of one piece: of the lightest lot that was counted and
// weighed, else the typical one; 0 for food without pieces.
func (s *supply) pieceMass() units.Mass {
	f := s.food
	if f.Piece.Typical <= 0 || !(f.BoneIn || f.Kind == prey.WholePrey || f.Kind == prey.EggFood) {
		return 0
	}
	var least units.Mass
	see := func(m units.Mass, pieces int64) {
		if pieces <= 0 {
			return
		}
		each := m / units.Mass(pieces)
		if each > 10*units.Gram {
			each -= each % units.Gram // a whole gram, so that sheets add up
		}
		if each > 0 && (least == 0 || each < least) {
			least = each
		}
	}
	for _, l := range s.lots {
		see(l.Mass, l.Pieces)
	}
	for _, k := range s.packs {
		see(k.offer.Pack, k.offer.Pieces)
	}
	if least == 0 {
		return f.Piece.Typical
	}
	return least
}

// kcalTenths is the energy of a mass of food, rounded half up to a tenth of a kcal.
func kcalTenths(f *prey.Food, m units.Mass) ration.Tenths {
	var t prey.Tally
	if t.Add(f, m) != nil {
		return 0
	}
	sum, _ := t.Energy(prey.Typical)
	// picograms x billionths of a kcal per 100 g: 1e-12 x 1e-9 x 1e-2 = 1e-23 kcal
	tenths, _ := sum.MulDiv(1, 1e11)
	return ration.Tenths((tenths.Lo + 5e10) / 1e11)
}

// unfit says why a food is not planned with, or nothing.
func (p *planner) unfit(f *prey.Food) string {
	for _, h := range p.Screen.ask(f).hazards {
		if h.Gravity == safety.Stop {
			return "do not feed: " + h.Sentence
		}
	}
	if _, _, ok := f.DefaultEnergy(); !ok {
		return "its energy is not known, so no amount can be planned"
	}
	if f.Kind == prey.DryFood {
		return "old dry food is not part of a raw week; see the staged switch"
	}
	if _, ok := p.target.Slots(f, prey.Typical); !ok && Counts(f) {
		return "its share of bone or organ is not known for this target, so the week could not be judged"
	}
	for _, r := range p.rules {
		if r.Check == MassShare && r.Of == OfKind && r.High != nil && r.High.Value == 0 && r.is(f) {
			return r.Means
		}
	}
	return ""
}
