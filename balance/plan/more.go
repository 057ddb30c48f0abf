package plan

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/plan/internal/milp"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Alternative is another plan. It leaves out at least one pack of every plan that
// is better: a plan that only buys more than another is none.
type Alternative struct {
	Outcome Outcome // Optimal or BestFound, among the plans that leave out such a pack
	Plan    *ration.Plan
	Report  *balance.Report
	Buy     []Purchase
	Cost    units.Price
}

// branch is a part of the plans, by the packs of some offers, with its best.
type branch struct {
	least, most map[int]int64
	best        *found
}

// alternatives finds the next best plans. After each it splits what is left by
// the first offer of which fewer packs are bought, so that no plan comes twice
// and none is passed by (Lawler's method).
func (p *planner) alternatives(ctx context.Context, a attempt, f *found) ([]Alternative, error) {
	var out []Alternative
	open := []branch{{best: f}}
	undecided := int64(math.MaxInt64) // the least that may be in branches without a plan found
	for len(out) < p.Alternatives {
		// the cheapest open branch, the oldest of equals
		at := -1
		for i := range open {
			if at < 0 || open[i].best.cost < open[at].best.cost {
				at = i
			}
		}
		if at < 0 {
			break
		}
		b := open[at]
		open = slices.Delete(open, at, at+1)
		if b.best != f {
			alt := Alternative{Outcome: BestFound, Plan: b.best.plan, Report: b.best.report, Buy: p.purchases(b.best.buy), Cost: p.price(b.best.cost)}
			floor := min(undecided, b.best.bound)
			for _, o := range open {
				floor = min(floor, o.best.bound)
			}
			if b.best.cost <= floor {
				alt.Outcome = Optimal
			}
			out = append(out, alt)
			if len(out) == p.Alternatives {
				break
			}
		}
		least := maps.Clone(b.least)
		if least == nil {
			least = map[int]int64{}
		}
		for _, buy := range p.purchases(b.best.buy) {
			if buy.Packs > least[buy.Offer] {
				c := branch{least: maps.Clone(least), most: maps.Clone(b.most)}
				if c.most == nil {
					c.most = map[int]int64{}
				}
				c.most[buy.Offer] = buy.Packs - 1
				own := a
				own.least, own.most = c.least, c.most
				own.rules = maps.Clone(a.rules)
				v := p.variant()
				v.layouts, v.brief = p.layouts, false
				g, err := v.search(ctx, own)
				p.adopt(v)
				if err != nil {
					return out, err
				}
				switch {
				case g.plan != nil:
					c.best = g
					open = append(open, c)
				case g.status != milp.Infeasible:
					undecided = min(undecided, g.bound)
				}
			}
			least[buy.Offer] = buy.Packs
		}
	}
	return out, nil
}

// RequirementCost is what one requirement adds to the cost of the packs.
type RequirementCost struct {
	Words string
	Rule  *balance.Rule // nil for what the request asks for and no rule
	// Without is what the cheapest packs cost when the requirement is left out, its
	// least and its most alike, and all others are kept. Saves is how much less that
	// is than the cheapest packs of all; where it is not Proven it may be more. Both
	// are of packs alone: nothing was laid out over days.
	Without, Saves units.Price
	Proven         bool // both are shown to be the cheapest
}

// RequirementCosts plans the week and says what each requirement of its search
// costs, the dearest first: rules, what last week fell short of, the most organ
// of a day, days of complete food. Energy, what there is in stock and what
// makes a food wrong are no such requirements. It tells which wish is dear; it is no
// advice to drop one.
//
// The list is empty when there is no plan, and short where the budget was spent,
// which the result then says. Errors are those of [Week].
func RequirementCosts(ctx context.Context, q Request) (*Result, []RequirementCost, error) {
	q.Alternatives = 0
	p, res, err := planned(ctx, q, nil)
	if err != nil {
		return nil, nil, err
	}
	var list []RequirementCost
	if res.Plan != nil {
		list, err = p.costs(ctx)
		err = p.cut(ctx, err)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("planning for %q: %w", q.Household.Name, err)
	}
	return res, list, nil
}

func (p *planner) costs(ctx context.Context) ([]RequirementCost, error) {
	a := p.taken
	m := p.model(ctx, p.supplies, a)
	base, proven := p.found.bound, p.found.status == milp.Optimal
	var out []RequirementCost
	done := map[string]bool{keyEnergy: true}
	for _, key := range m.keys {
		if done[key] || strings.HasPrefix(key, keyStock) || strings.HasPrefix(key, keyHazard) {
			continue
		}
		done[key] = true
		r := p.rule(key)
		words := p.wordsOf(key)
		if r == nil && words == key {
			continue // a row of the search's own
		}
		own := a
		own.free = map[string]bool{key: true}
		sol, err := p.cheapest(ctx, p.model(ctx, p.supplies, own).prob, nil)
		if err != nil {
			return out, err
		}
		if sol.X == nil {
			continue
		}
		without := wholeBound(sol.Objective)
		out = append(out, RequirementCost{Words: words, Rule: r, Without: p.price(without), Saves: p.price(max(base-without, 0)),
			Proven: proven && sol.Status == milp.Optimal})
	}
	slices.SortStableFunc(out, func(x, y RequirementCost) int { return y.Saves.Amount().Cmp(x.Saves.Amount()) })
	return out, nil
}

// Work is what a week takes in the kitchen.
type Work struct {
	Foods  int // different foods
	Cut    int // foods among them that are cut up or minced by hand: fed by the gram
	Weigh  int // portions that are weighed
	Count  int // portions that are counted by the piece
	Thaw   int // batches that are taken out of the freezer
	Packs  int // packs to buy
	Meals  int // bowls to fill
	Crumbs int // portions under 5 g, oil and powders aside
}

// WorkOf counts the work of a plan. Batches are those of ration.Batches, with
// the storage table of care.
func WorkOf(plan *ration.Plan, h *ration.Household, buy []Purchase, care *safety.Book) (w Work) {
	foods := map[*prey.Food]bool{}
	for _, s := range plan.Servings() {
		top := s.Food.Kind == prey.Oil || s.Food.Kind == prey.Supplement
		if !foods[s.Food] {
			foods[s.Food] = true
			w.Foods++
			if s.Pieces == 0 && !top && s.Food.Kind != prey.Mix {
				w.Cut++
			}
		}
		if s.Pieces > 0 {
			w.Count++
			continue
		}
		w.Weigh++
		if !top && s.Mass < crumb*units.Gram {
			w.Crumbs++
		}
	}
	for _, b := range ration.Batches(plan, h, care) {
		if !b.NoThaw {
			w.Thaw++
		}
	}
	for _, d := range plan.Days {
		w.Meals += len(d.Meals)
	}
	for _, b := range buy {
		w.Packs += int(b.Packs)
	}
	return w
}

// StyleResult is one way to feed the household.
type StyleResult struct {
	Style  string // "assembled", "complete mix", "whole prey", "mixed"
	Target *shares.Target
	Result *Result
	Work   Work // zero without a plan
	// Open are the findings that are open at the typical figures, and those to
	// watch that are missed.
	Open []balance.Finding
}

// CompareStyles plans the week in each of four styles from the same stock and
// offers: assembled from cuts and organs alone, a complete mix, whole prey, and
// mixed (complete food on three days of seven, in proportion to the days
// planned). The target of the assembled style is the one that the request would
// have, if it is assembled, else the default one. A style that the household has
// no food for has a Result without a plan that says what is lacking. Each style has
// the budget of the request. Errors are those of [Week].
func CompareStyles(ctx context.Context, q Request) ([]StyleResult, error) {
	q.Alternatives, q.CompleteDays = 0, 0
	var out []StyleResult
	for _, style := range []string{"assembled", "complete mix", "whole prey", "mixed"} {
		own := q
		var keep func(f *prey.Food) bool
		switch style {
		case "assembled":
			keep = func(f *prey.Food) bool { return !f.Complete }
		case "complete mix":
			own.Target = "complete-mix"
			keep = func(f *prey.Food) bool { return f.Kind != prey.WholePrey }
		case "whole prey":
			own.Target = "whole-prey"
			keep = func(f *prey.Food) bool { return !f.Complete || f.Kind == prey.WholePrey }
		default:
			own.Target = "mixed-week"
			days := cmp.Or(q.Days, 7)
			if own.CompleteDays = mixedOf * (days + 1) / 7; own.CompleteDays == 0 || own.CompleteDays == days {
				continue // too short to be mixed
			}
			keep = func(*prey.Food) bool { return true }
		}
		if style == "assembled" {
			p, err := newPlanner(own)
			if err != nil {
				return nil, fmt.Errorf("planning: %w", err)
			}
			if p.target.Style != shares.Assembled {
				t, err := p.Book.TargetFor("", q.Household)
				if err != nil {
					return nil, fmt.Errorf("planning: %w", err)
				}
				own.Target = t.ID
			}
		}
		p, res, err := planned(ctx, own, func(p *planner) {
			p.supplies = slices.DeleteFunc(p.supplies, func(s supply) bool { return !keep(s.food) })
			p.without = func(f *prey.Food) bool { return !keep(f) }
		})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", style, err)
		}
		sp := StyleResult{Style: style, Target: p.target, Result: res}
		if res.Plan != nil {
			sp.Work = WorkOf(res.Plan, res.Household, res.Buy, p.HazardCheck.Book())
			for _, f := range res.Report.Findings {
				if f.Verdict == balance.Open || f.Verdict == balance.Missed {
					sp.Open = append(sp.Open, f)
				}
			}
		}
		out = append(out, sp)
	}
	return out, nil
}
