package plan

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/plan/internal/milp"
)

// run plans within the budget.
func (p *planner) run(ctx context.Context) (*Result, error) {
	return p.res, p.cut(ctx, p.decide(ctx))
}

// cut turns what ended the work before it was done into words of the result: what was
// found until then stands, and is worth more than an error.
func (p *planner) cut(ctx context.Context, err error) error {
	r := p.res
	r.Repeatable = ctx.Err() == nil
	switch {
	case errors.Is(err, errSpent) && r.Spent: // it was said before
	case errors.Is(err, errSpent):
		r.Spent = true
		p.note(fmt.Sprintf("The budget of %d steps of work was spent: more of it may find something better, or say more.", p.Budget))
	case err != nil && ctx.Err() != nil && r.Plan != nil:
		p.note("The work was stopped by time: the same request may give another result.")
	case err != nil:
		return err
	}
	if r.Outcome == 0 {
		r.Outcome = Undecided
	}
	return nil
}

// decide tries the ways to plan from the best to the least and stops at the first
// whose finished plan passes the audit. Where the first way goes nowhere the last one
// is asked next, so that a household that cannot be fed is not searched in every way.
func (p *planner) decide(ctx context.Context) error {
	tries := p.attempts()
	done := p.spend(p.scaled(waysWork))
	defer func() { done() }()
	last := len(tries) - 1
	undecided := false
	for i, a := range tries {
		f, err := p.search(ctx, a)
		if err != nil && (f == nil || f.plan == nil) {
			return err
		}
		p.res.Tried = append(p.res.Tried, Attempt{Middle: a.middle, Asked: p.asked(a), Amounts: f.amounts, Bound: p.price(f.bound), Failed: f.failed,
			Proven: f.status == milp.Optimal || f.status == milp.Infeasible})
		if f.plan != nil {
			done()
			p.accept(a, f)
			if err == nil {
				p.res.Alternatives, err = p.alternatives(ctx, a, f)
			}
			return err
		}
		if undecided = undecided || f.status != milp.Infeasible; undecided || i > 0 {
			continue
		}
		// The last way asks for the least: where it does not go, none does.
		sol, err := p.feasible(ctx, p.model(ctx, p.supplies, tries[last]).prob)
		if err != nil {
			return err
		}
		if sol.Status == milp.Infeasible {
			break
		}
	}
	done()
	p.res.Outcome = Infeasible
	if undecided {
		p.res.Outcome = Undecided
	}
	return p.explain(ctx, tries[last])
}

// accept makes the result of a plan.
func (p *planner) accept(a attempt, f *found) {
	p.taken, p.found = a, f
	r := p.res
	r.Plan, r.Report, r.Middle = f.plan, f.report, a.middle
	r.Outcome = BestFound
	if f.cost <= f.bound {
		r.Outcome, f.bound = Optimal, f.cost
	}
	r.Cost, r.Bound = p.price(f.cost), p.price(f.bound)
	r.Buy = p.purchases(f.buy)
	r.Asked = p.asked(a)
	if !a.middle {
		p.note("There was not food enough for the middle of each band; the amounts lie lower, but within it.")
	}
}

// purchases are the packs in the order of the offers.
func (p *planner) purchases(buy [][]int64) (out []Purchase) {
	for i, n := range buy {
		for k := range n {
			if n[k] > 0 {
				out = append(out, Purchase{p.supplies[i].packs[k].at, n[k]})
			}
		}
	}
	slices.SortFunc(out, func(a, b Purchase) int { return cmp.Compare(a.Offer, b.Offer) })
	return out
}

// asked are the ids of the rules that an attempt holds the search to. They say of what
// Optimal is the least: a rule that is only audited could ask for dearer packs.
func (p *planner) asked(a attempt) (ids []string) {
	for _, r := range p.rules {
		ok := r.Severity != balance.Watch || a.wishes[r.ID]
		switch {
		case r.Check.Nutrient():
			ok = ok && a.rules[r.ID]
		case r.Check.Takes("slot"):
			_, has := p.target.Share(r.Slot)
			ok = ok && has
		case r.Check.Form() == balance.FormEnergy:
			ok = ok && !r.Check.WorstDay()
		case isCount(r):
		default:
			ok = ok && slices.Contains([]balance.Form{balance.FormQuotient, balance.FormVariety, balance.FormGap}, r.Check.Form())
		}
		if ok && slices.ContainsFunc(p.diets, func(d diet) bool { return p.concerns(r, &d) }) {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// attempts are the ways to plan, the best first: with all that is wished for,
// with all but one thing, with none; each near the middle of the bands, then
// anywhere in them. All but two things are not tried: their number grows too fast.
func (p *planner) attempts() (out []attempt) {
	all := p.wishes()
	sets := [][]string{all}
	if len(all) > 1 {
		for i := range all {
			sets = append(sets, slices.Delete(slices.Clone(all), i, i+1))
		}
	}
	if len(all) > 0 {
		sets = append(sets, nil)
	}
	for _, set := range sets {
		wishes := map[string]bool{}
		for _, id := range set {
			wishes[id] = true
		}
		for _, middle := range []bool{true, false} {
			out = append(out, attempt{middle: middle, wishes: wishes, rules: p.known()})
		}
	}
	return out
}

// wishes are the rules to watch that the search tries to meet but does not
// insist on: a number or amount of a kind of food for each animal, of which
// there is some in the house.
func (p *planner) wishes() (ids []string) {
	for _, r := range p.rules {
		if r.Severity == balance.Watch && r.Low != nil && isCount(r) &&
			slices.ContainsFunc(p.supplies, func(s supply) bool { return counts(r, &s) && (!s.limited() || s.most() > 0) }) {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// counts reports whether a food counts towards a number or mass for each animal.
func counts(r *balance.Rule, s *supply) bool {
	return r.LooksAt(s.food) && (!r.Counted() || r.Check.InMasses() || s.piece > 0 || s.food.Piece.Typical > 0)
}

func (p *planner) note(s string) { p.res.Notes = append(p.res.Notes, s) }

// missed are the rules that forbid the plan as it stands: those to stop or mend,
// those about how it fits the household, save for names that are not the plan's, and
// what is wished for. The last is not missed by an animal that must not get it: else
// nobody would get an egg where one may not.
func (p *planner) missed(report *balance.Report, a attempt) (out []*balance.Rule) {
	for i := range report.Findings {
		f := &report.Findings[i]
		must := f.Severity != balance.Watch || f.Rule.Check.Form() == balance.FormFit
		if f.Verdict == balance.Missed && (must || a.wishes[f.Rule.ID] && p.obtainable(f)) {
			out = append(out, f.Rule)
		}
	}
	return out
}

// obtainable reports whether there is a food of the kind that a finding is about
// that the animal may have.
func (p *planner) obtainable(f *balance.Finding) bool {
	if f.Animal == nil {
		return true
	}
	for i := range p.diets {
		d := &p.diets[i]
		for _, b := range d.bowls {
			if slices.Contains(p.bowls[b].Animals, f.Animal) {
				return slices.ContainsFunc(p.supplies, func(s supply) bool { return counts(f.Rule, &s) && !d.refuses(s.food) })
			}
		}
	}
	return true
}

// known are the nutrient rules asked for from the start: those to mend whose
// figures are known for most of the foods at hand and for every complete one. Of
// others the audit says open, whatever is planned; where it says missed all the same
// they are asked for in a second search.
func (p *planner) known() map[string]bool {
	out := map[string]bool{}
	for _, r := range p.rules {
		if !r.Check.Nutrient() || r.Severity == balance.Watch {
			continue
		}
		n, all := 0, true
		for i := range p.supplies {
			f := p.supplies[i].food
			if _, ok := f.Nutrient(r.Nutrient); ok {
				n++
			} else if f.Complete {
				all = false
			}
		}
		if all && 100*n >= knownPercent*len(p.supplies) {
			out[r.ID] = true
		}
	}
	return out
}
