package ration

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math/big"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration/internal/form"
	"fitchet.example/units"

	"github.com/shopspring/decimal"
)

// ErrCurrency is wrapped by Shop when one food is offered in two currencies: they cannot be compared.
var ErrCurrency = errors.New("two currencies for one food")

// Purchase is packs of one offer.
type Purchase struct {
	Offer int   // index into Household.Offers
	Packs int64 // above zero
	Mass  units.Mass
	Cost  units.Price
}

// Shortage is food that is missing: what a plan feeds and nobody has or offers, or
// what would make a plan possible.
type Shortage struct {
	What   string // the slot or kind in words, "" where it is this food alone
	Food   *prey.Food
	Mass   units.Mass // of a shortage for a plan rounded up to a whole gram
	Pieces int64      // for what is given by the piece
}

// Leftover is food that remains when the plan has been fed.
type Leftover struct {
	Food   *prey.Food
	Mass   units.Mass
	Bought units.Mass // of it, from packs on the list; the rest was in stock
}

// AnimalCost is what the food of one animal costs over the plan: its share of the lots and packs it is fed from.
type AnimalCost struct {
	Animal string
	Cost   []units.Price // by currency, rounded half up to two decimals
	PerDay []units.Price // the same over the days of the plan, rounded once
	Mass   units.Mass    // what it is fed
	Priced units.Mass    // of it, food whose cost is known; the rest costs an unknown amount, not nothing
}

// ShoppingList is what has to be bought for a plan.
type ShoppingList struct {
	Buy     []Purchase    // in the order of the offers
	Total   []units.Price // of the packs, exact, by currency
	Cannot  []Shortage    // by food id; with any of these the plan cannot be fed as it stands
	Left    []Leftover    // by food id
	Animals []AnimalCost  // in the order of the household
	// Cheapest is false when there were so many ways to combine packs that not all were tried; the list is then good but
	// perhaps not the cheapest.
	Cheapest bool
}

// Shop works out what to buy for a plan: for each food what the stock lacks, in whole packs, as cheaply as the offers
// allow (of equal cost the list that leaves least over, then the one with fewer packs). What a shared bowl costs is charged
// to its animals by w: each pays for its part of the mass, to the picogram, whatever whole pieces land before whom.
//
// Errors: ErrCurrency when a food is offered in two currencies, and those of units.Split where nobody at a bowl may have
// the food.
func Shop(p *Plan, h *Household, w Weights) (*ShoppingList, error) {
	if _, err := p.Tally(); err != nil {
		return nil, fmt.Errorf("shopping: %w", err)
	}
	need := map[string]units.Mass{}
	fed := map[string]*prey.Food{}
	for _, s := range p.Servings() {
		need[s.Food.ID] += s.Mass
		fed[s.Food.ID] = s.Food
	}
	have := map[string]units.Mass{}
	for _, s := range h.Stock {
		sum, err := have[s.Food.ID].Add(s.Mass)
		if err != nil {
			return nil, fmt.Errorf("shopping: the stock of %s: %w", s.Food.Name, err)
		}
		have[s.Food.ID] = sum
		fed[s.Food.ID] = s.Food
	}

	list := &ShoppingList{Cheapest: true}
	bought := map[string]units.Mass{}
	for _, id := range slices.Sorted(maps.Keys(need)) {
		lacks := need[id] - have[id]
		if lacks <= 0 {
			continue
		}
		packs, proven, err := cheapest(h.Offers, id, lacks)
		if err != nil {
			return nil, fmt.Errorf("shopping for %s: %w", fed[id].Name, err)
		}
		list.Cheapest = list.Cheapest && proven
		for i, n := range packs {
			if n == 0 {
				continue
			}
			o := h.Offers[i]
			b := Purchase{Offer: i, Packs: n}
			if b.Mass, err = o.Pack.Times(n); err == nil {
				b.Cost, err = o.Price.Times(n)
			}
			if err == nil {
				bought[id], err = bought[id].Add(b.Mass)
			}
			if err != nil {
				return nil, fmt.Errorf("shopping for %s: %w", fed[id].Name, err)
			}
			list.Buy = append(list.Buy, b)
		}
		if lacks > bought[id] {
			list.Cannot = append(list.Cannot, Shortage{Food: fed[id], Mass: lacks - bought[id]})
		}
	}
	slices.SortFunc(list.Buy, func(a, b Purchase) int { return cmp.Compare(a.Offer, b.Offer) })
	for _, b := range list.Buy {
		var err error
		if list.Total, err = addPrice(list.Total, b.Cost); err != nil {
			return nil, fmt.Errorf("shopping: %w", err)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(fed)) {
		left, err := (have[id] - need[id]).Add(bought[id])
		if err != nil {
			return nil, fmt.Errorf("shopping for %s: %w", fed[id].Name, err)
		}
		if left > 0 {
			list.Left = append(list.Left, Leftover{fed[id], left, min(left, bought[id])})
		}
	}
	if err := list.charge(p, h, w); err != nil {
		return nil, fmt.Errorf("shopping: %w", err)
	}
	return list, nil
}

// charge adds up what each animal's food costs. Lots of the stock are drawn first-out in the order of the plan; of what a
// shared bowl draws from a lot each animal pays its part.
func (l *ShoppingList) charge(p *Plan, h *Household, w Weights) error {
	type account struct {
		cost         map[string]*big.Rat
		mass, priced units.Mass
	}
	accounts := map[string]*account{}
	for _, id := range h.IDs() {
		accounts[id] = &account{cost: map[string]*big.Rat{}}
	}
	// The packs of a food are one lot at their mean price.
	type lot struct {
		cost *big.Rat
		cur  string
		mass units.Mass
	}
	packs := map[string]*lot{}
	for _, b := range l.Buy {
		id := h.Offers[b.Offer].Food.ID
		if packs[id] == nil {
			packs[id] = &lot{new(big.Rat), b.Cost.Currency(), 0}
		}
		packs[id].cost.Add(packs[id].cost, b.Cost.Amount().Rat())
		packs[id].mass += b.Mass
	}
	for _, d := range FirstOut(p, h) {
		from := packs[d.Food.ID]
		if d.Stock >= 0 {
			from = nil
			if k := h.Stock[d.Stock]; k.Cost != nil {
				from = &lot{k.Cost.Amount().Rat(), k.Cost.Currency(), k.Mass}
			}
		}
		ids := p.Days[d.Day].Meals[d.Meal].For
		weights := make([]int64, len(ids))
		for i, id := range ids {
			weights[i] = w(id, d.Food)
		}
		parts, err := units.Split(int64(d.Mass), weights)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Where(d.Position), err)
		}
		for i, id := range ids {
			a, part := accounts[id], units.Mass(parts[i])
			if a == nil {
				continue // not of this household
			}
			a.mass += part
			if from == nil {
				continue
			}
			a.priced += part
			if a.cost[from.cur] == nil {
				a.cost[from.cur] = new(big.Rat)
			}
			share := rat(part, from.mass)
			a.cost[from.cur].Add(a.cost[from.cur], share.Mul(share, from.cost))
		}
	}
	days := int64(max(len(p.Days), 1))
	for _, id := range h.IDs() {
		a := accounts[id]
		c := AnimalCost{Animal: id, Mass: a.mass, Priced: a.priced}
		for _, cur := range slices.Sorted(maps.Keys(a.cost)) {
			for _, to := range []struct {
				list *[]units.Price
				over int64
			}{{&c.Cost, 1}, {&c.PerDay, days}} {
				p, err := price(new(big.Rat).Quo(a.cost[cur], new(big.Rat).SetInt64(to.over)), cur)
				if err != nil {
					return fmt.Errorf("cost of %s: %w", id, err)
				}
				*to.list = append(*to.list, p)
			}
		}
		l.Animals = append(l.Animals, c)
	}
	return nil
}

// price rounds an exact amount half up to two decimals.
func price(r *big.Rat, currency string) (units.Price, error) {
	d, err := decimal.NewFromString(r.FloatString(2))
	if err != nil {
		return units.Price{}, err
	}
	return units.NewPrice(d, currency)
}

func addPrice(list []units.Price, p units.Price) ([]units.Price, error) {
	for i := range list {
		if list[i].Currency() == p.Currency() {
			sum, err := list[i].Add(p)
			list[i] = sum
			return list, err
		}
	}
	return append(list, p), nil
}

// maxTries bounds the search for the cheapest packs of one food.
const maxTries = 200_000

// cheapest returns for each offer how many packs to buy so that at least lacks of the food is had at the lowest cost, and
// whether all ways were tried. When the offers cannot give so much, everything they can give is bought.
func cheapest(offers []Offer, id string, lacks units.Mass) (map[int]int64, bool, error) {
	var own []int
	currency := ""
	for i, o := range offers {
		if o.Food.ID != id {
			continue
		}
		if currency != "" && o.Price.Currency() != currency {
			return nil, false, fmt.Errorf("offers in %s and %s: %w", currency, o.Price.Currency(), ErrCurrency)
		}
		currency = o.Price.Currency()
		own = append(own, i)
	}
	// The best price per gram first; each offer bounds what the later ones can do.
	slices.SortStableFunc(own, func(a, b int) int {
		x, y := offers[a], offers[b]
		return massTimes(x.Price.Amount(), y.Pack).Cmp(massTimes(y.Price.Amount(), x.Pack))
	})
	out := map[int]int64{}
	var all units.Mass
	for _, i := range own {
		o := offers[i]
		out[i] = o.Max
		if m, err := o.Pack.Times(o.Max); o.Max > 0 && err == nil {
			all = form.Plus(all, m)
		} else {
			all = lacks // no limit, or more than can be held
		}
		if all >= lacks {
			break
		}
	}
	if all < lacks { // not even everything on offer is enough
		return out, true, nil
	}
	s := search{offers: offers, own: own, packs: make([]int64, len(own))}
	s.try(0, lacks, decimal.Zero, 0)
	if s.best == nil { // only with packs so large that two of them cannot be added
		return map[int]int64{}, false, nil
	}
	for k, i := range own {
		out[i] = s.best[k]
	}
	return out, s.tries < maxTries, nil
}

func massTimes(d decimal.Decimal, m units.Mass) decimal.Decimal {
	return d.Mul(decimal.NewFromInt(int64(m)))
}

type search struct {
	offers []Offer
	own    []int
	packs  []int64
	tries  int

	best  []int64
	cost  decimal.Decimal
	over  units.Mass
	count int64
}

// try decides the packs of own[k:] for what still lacks, most packs first.
func (s *search) try(k int, lacks units.Mass, cost decimal.Decimal, count int64) {
	if s.tries++; s.tries >= maxTries {
		return
	}
	if lacks <= 0 {
		over := -lacks
		if s.best == nil || cmp.Or(cost.Cmp(s.cost), cmp.Compare(over, s.over), cmp.Compare(count, s.count)) < 0 {
			s.best, s.cost, s.over, s.count = slices.Clone(s.packs), cost, over, count
		}
		return
	}
	if k == len(s.own) {
		return
	}
	o := s.offers[s.own[k]]
	// No later offer is cheaper by the gram, so the rest costs at least lacks x price / pack.
	if s.best != nil && massTimes(o.Price.Amount(), lacks).Cmp(massTimes(s.cost.Sub(cost), o.Pack)) > 0 {
		return
	}
	most := int64((lacks-1)/o.Pack) + 1
	if o.Max > 0 {
		most = min(most, o.Max)
	}
	for n := most; n >= 0; n-- {
		packs, err := o.Pack.Times(n)
		if err != nil {
			continue
		}
		s.packs[k] = n
		rest := lacks - packs
		s.try(k+1, rest, cost.Add(o.Price.Amount().Mul(decimal.NewFromInt(n))), count+n)
		if s.tries >= maxTries {
			break
		}
	}
	s.packs[k] = 0
}
