package plan

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/wide"

	"github.com/shopspring/decimal"
)

// Errors of [Week]. A household that cannot be fed well from what it has is
// not an error: see [Result].
var (
	// ErrRequest is a request that is not whole.
	ErrRequest = errors.New("request is not whole")
	// ErrCurrencies is a household whose offers are priced in several currencies.
	ErrCurrencies = errors.New("offers in more than one currency")
	// ErrUnplanned is a household in which no animal can be planned for by energy.
	ErrUnplanned = errors.New("no published need for any animal of the household")
)

// Request is what [Week] is asked.
type Request struct {
	Household   *ration.Household
	Foods       *prey.Catalogue     // where examples of lacking food are looked up; nil: the shipped one
	Book        *balance.Book       // targets and rules; nil: the shipped ones
	HazardCheck *safety.HazardCheck // hazards of foods; nil: the shipped ones without notices
	Target      string              // id; "": the household's, else the default for its animals
	Days        int                 // 1 to 14; 0: 7

	// Extra is what last week fell short of: that much more of a slot than the
	// least share of the target, for the household as a whole.
	Extra [shares.NumSlots]units.Mass
	// OrganDay is the most of a bowl's food of one day that may be liver and
	// other secreting organ; 0: no more than is laid out by habit.
	OrganDay units.Share
	// CompleteDays is on how many days whole prey and complete mixes are fed, by
	// their part of the energy, to half a day; 0: as it comes, and under a target
	// of mixed style on half of the days, rounded up, as far as what is in stock
	// and what is bought anyway reaches. Nothing is bought for that.
	CompleteDays int
	// Alternatives is how many of the next best plans are wanted beside the best.
	Alternatives int

	// Budget is how much work the planning may take in all, in steps of the search;
	// 0: [DefaultBudget]. It is never counted in time, so that the same request gives
	// the same result everywhere. When it is spent the best that was found until
	// then is returned, and what was not looked at is not claimed. A larger budget may
	// find or prove what a smaller one could not.
	Budget int64

	lasting bool // only lots that are good to the last day
}

// Outcome says what a [Result] is.
type Outcome uint8

const (
	// Optimal: no choice of whole packs and pieces that meets what was asked
	// costs less, even with amounts that need not be whole grams.
	Optimal Outcome = iota + 1
	// BestFound: a plan, and a bound below which no plan can cost.
	BestFound
	// Infeasible: no choice of packs and amounts meets what was asked.
	Infeasible
	// Undecided: none was found, or none that could be laid out over the days,
	// and it was not shown that there is none.
	Undecided
)

var outcomeWords = units.Words[Outcome]{What: "outcome", Keys: []string{Optimal: "optimal", BestFound: "best found", Infeasible: "infeasible", Undecided: "undecided"}}

// String returns "optimal", "best found", "infeasible" or "undecided".
func (o Outcome) String() string { return outcomeWords.Name(o) }

// MarshalText writes the words; a value that is no outcome is an error.
func (o Outcome) MarshalText() ([]byte, error) { return outcomeWords.Marshal(o) }

// UnmarshalText reads them.
func (o *Outcome) UnmarshalText(text []byte) error { return outcomeWords.Unmarshal(o, text) }

// Result is a planned week, or what is lacking for one.
type Result struct {
	Outcome Outcome
	// Plan is nil when something is lacking. Its audit has no missed rule of
	// gravity stop or mend at the typical figures; missed rules to watch are in
	// the report.
	Plan   *ration.Plan
	Report *balance.Report
	Target *shares.Target
	Needs  []ration.Need
	Bowls  []Bowl // who eats together, in the order of the household

	// Buy is what is bought for the plan, Cost what that costs, exactly. Food in
	// stock is there already and costs nothing more. Without any offer in the
	// household both are empty and Cost and Bound are the zero price.
	Buy  []Purchase
	Cost units.Price
	// Bound is what any plan that meets the same requirements costs at least.
	// It is the cost when the outcome is Optimal.
	Bound units.Price
	// Middle says that every animal gets about the middle of its band.
	Middle bool
	// Asked are the ids of the rules that the search was held to: those to stop
	// or mend that amounts can be checked for, and those to watch that could be
	// met beside them. Nutrient rules among them are held over the foods whose
	// figures are known.
	Asked  []string
	Tried  []Attempt // the ways to plan that were searched, the best first
	Search Search
	// Spent says that the budget was spent: with a larger one the result may be
	// better, or say more.
	Spent bool
	// Repeatable says that the same request gives the same result. It does not where
	// the context ended and cut the work short.
	Repeatable bool

	// Household is the one that was planned for, without the lots whose
	// best-before day has passed: what ration.FirstOut and ration.Shop are
	// asked about.
	Household *ration.Household
	Passed    []PassedOver // food that was not planned with, and why

	// Lacking says what food, and how much of it, would make a plan possible.
	// With that much of it in the freezer there is a plan: it was made.
	Lacking []ration.Shortage
	// Clash is filled when there is no plan: requirements, in words, that
	// contradict each other and of which none can be left out.
	Clash []string
	// Relaxations are the smallest single changes that make a plan possible, the
	// smallest first. Each was tried.
	Relaxations []Relaxation
	// Alternatives are the next best plans, the cheapest first.
	Alternatives []Alternative
	// Unplanned are animals for which no amount is published.
	Unplanned []string
	Notes     []string
}

// Purchase is packs of one offer.
type Purchase struct {
	Offer int // index into Household.Offers
	Packs int64
}

// Attempt is one way to plan that was searched: with some of what is only wished for
// (rules to watch), near the middle of the energy bands or anywhere in them.
type Attempt struct {
	Middle bool
	Asked  []string // as [Result.Asked]
	// Amounts reports whether packs and amounts were found that meet everything
	// asked, Proven whether that answer is certain: that there are none, or that
	// none cost less than Bound.
	Amounts, Proven bool
	Bound           units.Price
	Failed          int // choices of packs that could not be laid out
}

// Search is how much work a result took.
type Search struct {
	Solves, Nodes, Pivots int
	Layouts               int   // plans that were laid out and audited
	Steps                 int64 // of the budget
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

// PassedOver is a food that the planner did not consider.
type PassedOver struct {
	Food *prey.Food
	Why  string
}

// Week makes a plan from the household's stock and offers that meets every
// rule of gravity stop and mend at the typical figures, or says what is lacking
// and how much of it.
//
// The amount aimed at is the middle of each animal's planning band (a choice of
// ours, see [ration.Need]); where the food does not reach it the plan may lie
// anywhere in the band and says so. Gram amounts are whole grams and wings,
// necks, chicks, mice and eggs are whole pieces. Among the plans that meet the
// rules it takes the cheapest packs, and with these packs the amounts that use up
// what is best before soon, and of those the furthest from the limits. The verdict
// is that of balance.Audit on the finished plan; the search only proposes. The same
// request gives the same result.
//
// The outcome is [Optimal] when it was shown that no choice of whole packs and
// whole pieces costs less, even if amounts could be any part of a gram; what is
// asked of such a choice stands in Result.Asked, and each set of animals that may
// eat the same must be balanced for itself. A choice that cannot be laid out in
// whole grams over the days is passed by for the next best; the result is then
// [BestFound] with the bound that was shown, unless it costs no more than that.
//
// Lots whose best-before day lies before the first day are left out. Where lots that
// end within the days cannot all be laid out by their day, these are left out too,
// and nothing is then said of what a plan costs at least.
//
// A household whose days do not fit together (see [ration.Household.CheckStart])
// is no whole request: the error wraps ration.ErrDates too.
//
// All of it is done within the budget of the request. Only the context ends the
// work by time: with a plan in hand that plan is returned and the result says that
// it is not repeatable, without one the context's error.
//
// Errors wrap ErrRequest, ErrCurrencies, ErrUnplanned, balance.ErrUnknownTarget or
// the context's own. Money is counted in whole steps that divide every price;
// prices above a million million steps are ErrRequest.
func Week(ctx context.Context, q Request) (*Result, error) {
	_, res, err := planned(ctx, q, nil)
	return res, err
}

// planned plans a request; change, unless nil, changes the planner before it runs.
// The model knows no days: amounts may be found of which no day can take the lots that
// end within the plan. Then it plans once more without these lots, since a plan that
// leaves them is worth more than none.
func planned(ctx context.Context, q Request, change func(*planner)) (*planner, *Result, error) {
	p, err := newPlanner(q)
	if err != nil {
		return nil, nil, fmt.Errorf("planning: %w", err)
	}
	if change != nil {
		change(p)
	}
	res, err := p.run(ctx)
	if err != nil {
		return nil, nil, fmt.Errorf("planning for %q: %w", q.Household.Name, err)
	}
	ends := slices.ContainsFunc(p.res.Household.Stock, func(l ration.Stock) bool { return p.endsEarly(l.BestBefore) })
	if res.Outcome != Undecided || !ends || q.lasting || p.budget.left <= 0 {
		return p, res, nil
	}
	q.lasting, q.Budget = true, p.budget.left
	v, again, err := planned(ctx, q, change)
	if err != nil || again.Plan == nil {
		return p, res, err // what is lacking is lacking with all lots
	}
	// A plan that also uses the other lots may cost less.
	again.Outcome, again.Bound = BestFound, v.price(0)
	for i := range again.Alternatives {
		again.Alternatives[i].Outcome = BestFound
	}
	return v, again, nil
}

// planner holds one request while it is worked on. What is tried beside it is a
// copy with something changed, see [planner.variant].
type planner struct {
	Request
	target   *shares.Target
	needs    []ration.Need
	index    map[*ration.Animal]int // into needs
	bowls    []Bowl
	diets    []diet
	supplies []supply
	rules    []*balance.Rule
	currency string
	step     int64  // of money, in millionths of the unit: every price is a whole number of steps
	layouts  int    // choices of packs that are laid out before a search is given up
	brief    bool   // a change is only tried
	budget   *purse // all the work that is left,
	purse    *purse // and what of it the search at hand may take
	growth   bool   // some animal is growing, pregnant or nursing: the rules for that hold for all
	res      *Result
	taken    attempt               // the way that led to a plan,
	found    *found                // and what it came to
	without  func(*prey.Food) bool // foods that are not thought of; nil: none
}

// diet is a set of bowls that may get the same foods. Each diet is balanced for
// itself, so that no animal's week depends on what another eats.
type diet struct {
	bowls  []int // indices of planner.bowls
	heads  int64
	energy units.Range[ration.Tenths] // sum of the bands, a day
	never  []string
	ferret bool
}

// supply is everything there is of one food. Its lots count as one: from which of
// them is fed is decided by the day, once the plan is laid out.
type supply struct {
	food  *prey.Food
	piece units.Mass // mass of a piece when it is fed by the piece, else 0
	have  int64      // whole grams, or pieces, in stock
	lots  []ration.Stock
	packs []pack
	spot  int // order of first-out: 0 is eaten first
	extra bool

	energy    int64   // millionths of a kcal of one unit, once it is laid out
	urgent    int64   // of have, what is best before the end of the plan or soon after
	shareMost float64 // the food is wrong from this share of all food on; 0: never
}

// pack is an offer in units of its supply, so that what is had and what can be bought
// add up without rounding.
type pack struct {
	offer  ration.Offer
	at     int   // index into Household.Offers
	amount int64 // whole grams or pieces
	most   int64 // packs to be had; 0: any number
	price  int64 // millionths of the unit of money
}

// limited reports whether there is an end of the food: of what has none nothing can
// be lacking.
func (s *supply) limited() bool {
	return !slices.ContainsFunc(s.packs, func(k pack) bool { return k.most == 0 })
}

// most is all there is of a food that is limited.
func (s *supply) most() int64 {
	most := s.have
	for _, k := range s.packs {
		most += k.most * k.amount
	}
	return most
}

// refuses reports whether some animal of the diet must not get the food.
func (d *diet) refuses(f *prey.Food) bool {
	return slices.ContainsFunc(d.never, func(n string) bool { return n == f.ID || f.HasSpecies(n) })
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
	if err := q.Household.CheckIDs(); err != nil {
		return nil, fmt.Errorf("%w: %w", err, ErrRequest)
	}
	if q.Foods == nil {
		if q.Foods, err = prey.Shipped(); err != nil {
			return nil, err
		}
	}
	if err := q.Household.CheckWords(q.Foods); err != nil {
		return nil, fmt.Errorf("%w: %w", err, ErrRequest)
	}
	if q.Days == 0 {
		q.Days = 7
	}
	if q.Days < 1 || q.Days > mostDays {
		return nil, fmt.Errorf("%d days, want 1 to %d: %w", q.Days, mostDays, ErrRequest)
	}
	if err := q.Household.CheckStart(q.Household.FirstDay()); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRequest, err)
	}
	if h := *q.Household; h.Start == 0 {
		h.Start = h.AsOf
		q.Household = &h
	}
	if q.Book == nil {
		if q.Book, err = balance.Shipped(); err != nil {
			return nil, err
		}
	}
	if q.HazardCheck == nil || q.HazardCheck.Book() == nil {
		if q.HazardCheck, err = safety.ShippedHazardCheck(); err != nil {
			return nil, err
		}
	}
	id := cmp.Or(q.Target, q.Household.Target)
	if q.OrganDay < 0 || q.OrganDay > units.Whole || q.Budget < 0 || q.Budget > MostBudget || q.Alternatives < 0 || q.Alternatives > mostAlternatives ||
		q.CompleteDays < 0 || q.CompleteDays > q.Days {
		return nil, fmt.Errorf("organ of a day, days of complete food, alternatives or budget: %w", ErrRequest)
	}
	for slot, m := range q.Extra {
		if m < 0 {
			return nil, fmt.Errorf("%s of %s more: %w", m, shares.Slot(slot), ErrRequest)
		}
	}
	q.Budget = cmp.Or(q.Budget, DefaultBudget)
	budget := &purse{left: q.Budget}
	p := &planner{Request: q, needs: q.Household.Needs(), step: 1, layouts: mostLayouts, budget: budget, purse: budget}
	p.index = make(map[*ration.Animal]int, len(p.needs))
	for i := range p.needs {
		p.index[p.needs[i].Animal] = i
	}
	if p.target, err = q.Book.TargetFor(id, q.Household); err != nil {
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
	if len(p.bowls) == 0 {
		return nil, ErrUnplanned
	}
	if err := p.gather(); err != nil {
		return nil, err
	}
	return p, nil
}

func (p *planner) need(a *ration.Animal) *ration.Need { return &p.needs[p.index[a]] }

// seat sorts the animals into bowls.
func (p *planner) seat() {
	p.bowls, p.diets = nil, nil
	for _, animals := range p.Household.Bowls() {
		var bowl Bowl
		for _, a := range animals {
			n := p.need(a)
			if !n.HasBand {
				p.res.Unplanned = append(p.res.Unplanned, p.Household.NameOf(a.ID))
				continue
			}
			bowl.Animals = append(bowl.Animals, a)
			bowl.Meals = max(bowl.Meals, n.MealsPerDay, p.Household.MealsPerDay)
			p.growth = p.growth || growing(n.Stage)
		}
		if len(bowl.Animals) > 0 {
			p.bowls = append(p.bowls, bowl)
		}
	}
	p.res.Bowls = p.bowls
}

// sort groups the bowls into diets: those of the same exclusions for which the
// same foods are cut up. Each diet has its own columns and rows, so where that would
// make too many, bowls of two meals a day and of more are told apart instead; where
// that is still too many, exclusions alone tell, which none may share. What is too
// large for one bowl is cut up for its diet.
func (p *planner) sort(supplies []supply) {
	for _, most := range []int{mostFineDiets, mostDiets, math.MaxInt} {
		p.diets = nil
		byKey := map[string]int{}
		for b := range p.bowls {
			d := p.dietOf(b)
			key := fmt.Sprint(d.never, d.ferret)
			switch most {
			case mostFineDiets:
				for i := range supplies {
					if s := &supplies[i]; s.piece > 0 && !d.refuses(s.food) {
						key += fmt.Sprint(p.feed(s, &d))
					}
				}
			case mostDiets:
				key += fmt.Sprint(p.bowls[b].Meals > fewMeals)
			}
			i, ok := byKey[key]
			if !ok {
				byKey[key] = len(p.diets)
				p.diets = append(p.diets, d)
				continue
			}
			e := &p.diets[i]
			e.bowls = append(e.bowls, b)
			e.heads += d.heads
			e.energy.Low += d.energy.Low
			e.energy.Typical += d.energy.Typical
			e.energy.High += d.energy.High
		}
		if len(p.diets) <= most {
			return
		}
	}
}

// dietOf is the diet of one bowl alone.
func (p *planner) dietOf(b int) diet {
	d := diet{bowls: []int{b}}
	var never []string
	for _, a := range p.bowls[b].Animals {
		n := p.need(a)
		d.energy.Low += n.Band.Low
		d.energy.Typical += n.Band.Typical
		d.energy.High += n.Band.High
		d.heads++
		d.ferret = d.ferret || a.Kind() == ration.Ferret
		never = append(never, a.Never...)
	}
	slices.Sort(never)
	d.never = slices.Compact(never)
	return d
}

func growing(s ration.Stage) bool {
	return s == ration.Kit || s == ration.Juvenile || s == ration.Pregnant || s == ration.Lactating
}

// gather sums up stock and offers by food. What must not or cannot be planned with is
// left out here, with its reason, so that nothing later has to ask again.
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
		if why := p.past(s.BestBefore); why != "" {
			p.res.Passed = append(p.res.Passed, PassedOver{s.Food, why})
			continue
		}
		if why := p.HazardCheck.Recalled(s.Food, s.Supplier, s.Lot); why != "" {
			p.res.Passed = append(p.res.Passed, PassedOver{s.Food, why})
			continue
		}
		p.res.Household.Stock = append(p.res.Household.Stock, s)
		if u := enter(s.Food); u != nil {
			u.lots = append(u.lots, s)
		}
	}
	var step int64 // the greatest that divides every price
	for at, o := range h.Offers {
		if c := o.Price.Currency(); p.currency == "" {
			p.currency = c
		} else if c != p.currency {
			return fmt.Errorf("%s and %s: %w", p.currency, c, ErrCurrencies)
		}
		if u := enter(o.Food); u != nil {
			k := pack{offer: o, at: at, most: o.Max, price: o.Price.Amount().Shift(microPlaces).IntPart()}
			u.packs = append(u.packs, k)
			step = new(big.Int).GCD(nil, nil, big.NewInt(step), big.NewInt(k.price)).Int64()
		}
	}
	p.step = max(step, 1)
	last := h.Start.AddDays(p.Days - 1 + soon)
	for i := range p.supplies {
		p.supplies[i].piece = p.supplies[i].pieceMass()
	}
	p.sort(p.supplies)
	for i := range p.supplies {
		s := &p.supplies[i]
		p.count(s, last)
		s.shareMost = p.shareMost(s.food)
	}
	slices.SortStableFunc(p.supplies, func(a, b supply) int {
		return cmp.Or(cmp.Compare(first(a.lots), first(b.lots)), cmp.Compare(a.food.ID, b.food.ID))
	})
	for i := range p.supplies {
		p.supplies[i].spot = i
	}
	return p.countable()
}

// countable fails where food or money could run past what can be counted. It is asked
// once, for the most that can be eaten and bought, so that all later sums need no
// check of their own.
func (p *planner) countable() error {
	var money wide.U128
	for i := range p.supplies {
		s := &p.supplies[i]
		eaten := 0.0
		for d := range p.diets {
			eaten += p.mostEaten(s, &p.diets[d])
		}
		var stock units.Mass
		for _, l := range s.lots {
			var err error
			if stock, err = stock.Add(l.Mass); err != nil {
				return fmt.Errorf("the stock of %s: %w: %w", s.food.Name, ErrRequest, err)
			}
		}
		most := max(eaten, float64(s.have))
		for _, k := range s.packs {
			packs := s.usefulPacks(k, eaten)
			most = max(most, eaten+float64(k.amount))
			steps := k.price / p.step
			sum, ok := money.AddMul(uint64(min(packs, mostCounted)), uint64(k.price))
			if money = sum; !ok || money.Hi > 0 || money.Lo > mostCounted || steps > mostSteps {
				return fmt.Errorf("the price of %s: %w: the packs of a week could cost more than can be counted", s.food.Name, ErrRequest)
			}
		}
		if most*float64(s.mass(1)) > mostCounted {
			return fmt.Errorf("%s: %w: more of it than can be counted; plan for fewer animals or days at once", s.food.Name, ErrRequest)
		}
	}
	return nil
}

// past says why a lot of that best-before day is not planned with, or nothing.
func (p *planner) past(day units.Date) string {
	h := p.Household
	switch {
	case day == 0:
	case day < max(h.AsOf, h.Start):
		return "best before " + day.String() + " has passed: throw it away, or look at it and smell it before you feed it"
	case p.lasting && p.endsEarly(day):
		return "best before " + day.String() + ": it could not be laid out so that all of it is fed by then"
	}
	return ""
}

// endsEarly reports whether a lot of that best-before day is not good to the last
// day of the plan.
func (p *planner) endsEarly(day units.Date) bool {
	return day != 0 && day < p.Household.Start.AddDays(p.Days-1)
}

// first is the earliest best-before day of the lots; far in the future if none.
func first(lots []ration.Stock) units.Date {
	d := units.Date(math.MaxInt32)
	for _, s := range lots {
		if s.BestBefore != 0 {
			d = min(d, s.BestBefore)
		}
	}
	return d
}

func (p *planner) bowlEnergy(b Bowl) (sum ration.Tenths) {
	for _, a := range b.Animals {
		sum += p.need(a).Band.Typical
	}
	return sum
}

// microPlaces is the number of decimals of a price.
const microPlaces = 6

func micros(n int64) decimal.Decimal { return decimal.New(n, -microPlaces) }

// shareMost is the share of all food up to which nothing is wrong with a food;
// 0 when no share is.
func (p *planner) shareMost(f *prey.Food) float64 {
	most := p.HazardCheck.ChangesAt(f)
	if most == 0 {
		return 0
	}
	for _, h := range p.moreHazards(f) {
		if h.Severity != safety.Watch && h.Standing != safety.StandOpen {
			return float64(most-1) / 1e6
		}
	}
	return 0
}

// moreHazards is what is known against a food only where it is much of all food: the
// search keeps it to less instead of leaving it out.
func (p *planner) moreHazards(f *prey.Food) []safety.Hazard {
	little := p.HazardCheck.Hazards(f, 0)
	return slices.DeleteFunc(p.HazardCheck.Hazards(f, units.Whole), func(h safety.Hazard) bool {
		return slices.ContainsFunc(little, func(l safety.Hazard) bool { return l.ID == h.ID })
	})
}

// bite is the largest piece, by its energy in tenths of a kcal, that a bowl gets
// whole: most of a day's food where two meals are enough, less where the food has
// to last for more.
func (p *planner) bite(b Bowl) ration.Tenths {
	day := p.bowlEnergy(b)
	switch {
	case b.Meals >= oftenMeals:
		return day * biteOften / (100 * ration.Tenths(b.Meals))
	case b.Meals > fewMeals:
		return day * biteThree / 100
	}
	return day * biteTwo / 100
}

// fed says how a diet gets a food of which a piece is known.
type fed uint8

const (
	wholePieces fed = iota
	cutUp           // by the gram
	notAtAll
)

// feed says how a diet gets a food. Pieces that are too large for one of its
// bowls are cut up; whole prey is not, it is left out, unless the target is
// complete food: then it is cut up where it is too large for a day, or for a meal of
// an animal that eats often.
func (p *planner) feed(s *supply, d *diet) fed {
	if s.piece == 0 {
		return cutUp
	}
	e := kcalTenths(s.food, s.piece)
	for _, b := range d.bowls {
		switch {
		case e <= p.bite(p.bowls[b]):
		case s.food.Kind != prey.WholePrey:
			return cutUp
		case p.target.Style != shares.Complete:
			return notAtAll
		case e > p.bowlEnergy(p.bowls[b]), p.bowls[b].Meals >= oftenMeals:
			return cutUp // who eats often gets a part of it at a time
		}
	}
	return wholePieces
}

// view is a supply as a diet gets it, and how much of the supply's own unit one
// of the diet's takes: one diet may have the wing whole that is cut up for another.
func (p *planner) view(s *supply, d *diet) (v supply, part float64) {
	v, part = *s, 1
	if s.piece > 0 && p.feed(s, d) == cutUp {
		v.piece, part = 0, 1/s.grams()
	}
	return v, part
}

// count turns masses into whole grams or pieces, rounding down: what is not a whole
// one cannot be fed as one. A food is counted by the piece when a piece is known, as
// it is in s.piece, and some diet gets it whole.
func (p *planner) count(s *supply, last units.Date) {
	if s.piece > 0 && !slices.ContainsFunc(p.diets, func(d diet) bool { return !d.refuses(s.food) && p.feed(s, &d) == wholePieces }) {
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
		n := amount(l.Mass, l.Pieces)
		if s.have += n; s.have < 0 {
			s.have = math.MaxInt64 // which countable refuses
		}
		if l.BestBefore != 0 && l.BestBefore <= last {
			s.urgent += n
		}
	}
	for i := range s.packs {
		k := &s.packs[i]
		k.amount = amount(k.offer.Pack, k.offer.Pieces)
		if k.amount > 0 && k.most > mostPacks/k.amount {
			k.most = 0 // more than anybody can use
		}
	}
	s.packs = slices.DeleteFunc(s.packs, func(k pack) bool { return k.amount == 0 })
	slices.SortStableFunc(s.lots, func(a, b ration.Stock) int {
		return cmp.Compare(first([]ration.Stock{a}), first([]ration.Stock{b}))
	})
}

// pieceMass is the mass of one piece: of the lightest lot that was counted and
// weighed, so that no lot is planned to be more than it is, else the typical one; 0
// for food without pieces.
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
		if each > wholeGrams*units.Gram {
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
	return ration.Tenths((tenths.Lo + 1e11/2) / 1e11)
}

// unfit says why a food is not planned with, or nothing.
func (p *planner) unfit(f *prey.Food) string {
	for _, h := range p.HazardCheck.Hazards(f, 0) {
		switch {
		case h.Severity == safety.Stop:
			return "do not feed: " + h.Sentence
		case h.Severity == safety.Mend && h.Standing != safety.StandOpen:
			return h.Sentence
		}
	}
	if _, _, ok := f.DefaultEnergy(); !ok {
		return "its energy is not known, so no amount can be planned"
	}
	if p.target.Style == shares.Complete && !f.Complete && (f.Kind == prey.Mix || f.Kind == prey.DriedRaw) {
		return "it is not complete, and a week of complete food has nothing that makes up for what it lacks"
	}
	if f.Kind == prey.DryFood {
		return "old dry food is not part of a raw week; see the staged switch"
	}
	if _, ok := p.target.Slots(f, prey.Typical); !ok && shares.Counts(f) {
		return "its share of bone or organ is not known for this target, so the week could not be judged"
	}
	for _, r := range p.rules {
		if r.Forbids(f) {
			return r.Means
		}
	}
	return ""
}
