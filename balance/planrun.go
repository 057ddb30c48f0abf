package balance

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fitchet.example/balance/internal/milp"
	"fitchet.example/prey"
	"fitchet.example/units"
)

// run tries the ways to plan from the best to the least and stops at the first
// whose finished plan passes the audit.
func (p *planner) run(ctx context.Context) (*Result, error) {
	optional := p.optional(p.supplies)
	for _, soft := range []map[string]bool{p.impossible(optional), optional} {
		for _, middle := range []bool{true, false} {
			done, err := p.try(ctx, attempt{middle: middle, soft: soft})
			if err != nil {
				return nil, err
			}
			if done {
				if !middle {
					p.note("There was not food enough for the middle of each band; the amounts lie lower, but within it.")
				}
				return p.res, nil
			}
		}
	}
	if err := p.lacking(ctx, optional); err != nil {
		return nil, err
	}
	return p.res, nil
}

func (p *planner) note(s string) { p.res.Notes = append(p.res.Notes, s) }

// optional are the rules to watch that the search tries to meet but does not
// insist on: a number or amount of a kind of food for each animal.
func (p *planner) optional(supplies []supply) map[string]bool {
	out := map[string]bool{}
	for _, r := range p.rules {
		if r.Gravity == Watch && (r.Check == Pieces || r.Check == Amount && r.Of == OfKind) {
			out[r.ID] = true
		}
	}
	return out
}

// impossible are those of the rules that no food of the house can meet.
func (p *planner) impossible(rules map[string]bool) map[string]bool {
	out := map[string]bool{}
	for _, r := range p.rules {
		if rules[r.ID] && !slices.ContainsFunc(p.supplies, func(s supply) bool { return r.is(s.food) && s.most() > 0 }) {
			out[r.ID] = true
		}
	}
	return out
}

// try makes one attempt, adding the nutrient rules that its plan misses and
// keeping further inside the shares until the audit passes.
func (p *planner) try(ctx context.Context, a attempt) (bool, error) {
	a.rules = p.known()
	a.tight = 0.05
	for range mostResolves {
		am, ok, err := p.model(p.supplies, a).solve(ctx, p.supplies)
		if err != nil || !ok {
			return false, err
		}
		for i := range p.diets {
			p.diets[i].rest = nil
		}
		plan, err := p.layout(am, p.supplies)
		if err != nil {
			return false, err
		}
		report, err := Audit(Input{Plan: plan, Household: p.Household, Needs: p.needs, Target: p.target, Book: p.Book, Screen: p.Screen, Foods: p.Foods})
		if err != nil {
			return false, err
		}
		missed := p.missed(report)
		if len(missed) == 0 {
			p.res.Plan, p.res.Report = plan, report
			return true, nil
		}
		if !slices.ContainsFunc(missed, func(r *Rule) bool { return isNutrient(r) && !a.rules[r.ID] }) {
			if a.tight > 0.5 {
				return false, nil
			}
			a.tight *= 2.5
		}
		a.rules = maps.Clone(a.rules)
		for _, r := range missed {
			if isNutrient(r) {
				a.rules[r.ID] = true
			}
		}
	}
	return false, nil
}

func isNutrient(r *Rule) bool {
	return r.Check == NutrientRatio || r.Check == PerEnergy || r.Check == DryMatter
}

// missed are the rules that forbid the plan as it stands.
func (p *planner) missed(report *Report) (out []*Rule) {
	for _, f := range report.Findings {
		if f.Verdict == Missed && f.Gravity != Watch {
			out = append(out, f.Rule)
		}
	}
	return out
}

// known are the nutrient rules asked for from the start: those to mend whose
// figures are known for at least four fifths of the foods at hand.
func (p *planner) known() map[string]bool {
	out := map[string]bool{}
	for _, r := range p.rules {
		if !isNutrient(r) || r.Gravity == Watch {
			continue
		}
		n := 0
		for _, s := range p.supplies {
			if _, ok := s.food.Nutrient(r.Nutrient); ok {
				n++
			}
		}
		out[r.ID] = 5*n >= 4*len(p.supplies)
	}
	return out
}

// lacking finds the least food that would have to be added, taking examples of
// each part from the catalogue, and says which requirements clash if none helps.
func (p *planner) lacking(ctx context.Context, optional map[string]bool) error {
	all := slices.Concat(p.supplies, p.examples())
	a := attempt{extra: true, soft: optional, rules: p.known(), tight: 0.05}
	am, ok, err := p.model(all, a).solve(ctx, all)
	if err != nil && !errors.Is(err, ErrSearch) {
		return err
	}
	if ok {
		for i := range all {
			s := &all[i]
			var n int64
			for d := range am {
				n += am[d][i]
			}
			if s.extra && n > 0 {
				p.res.Lacking = append(p.res.Lacking, Lack{What: p.slotWords(s.food), Example: s.food, Mass: s.mass(n)})
			}
		}
		slices.SortStableFunc(p.res.Lacking, func(x, y Lack) int { return -cmp.Compare(x.Mass, y.Mass) })
	}
	if len(p.res.Lacking) > 0 {
		return nil
	}
	return p.clash(ctx, attempt{soft: optional, rules: p.known()})
}

// examples are foods that most shops have, in the order they are thought of.
// The list is a choice of ours.
func (p *planner) examples() (out []supply) {
	for _, id := range []string{
		"chicken-thigh-meat", "beef-mince", "rabbit-meat", "turkey-mince", "lamb-mince", "duck-meat",
		"chicken-heart", "beef-heart", "lamb-heart",
		"chicken-neck", "chicken-wing", "rabbit-leg", "turkey-wing", "duck-wing",
		"chicken-liver", "beef-liver", "lamb-liver",
		"beef-kidney", "lamb-kidney", "beef-spleen",
	} {
		f, err := p.Foods.Find(id)
		if err != nil || p.unfit(f) != "" {
			continue
		}
		if !slices.ContainsFunc(p.supplies, func(s supply) bool { return s.food == f && len(s.packs) > 0 }) {
			out = append(out, supply{food: f, extra: true, spot: len(p.supplies) + len(out)})
		}
	}
	return out
}

// mainSlot is the slot that a food is bought for: bone for bone-in cuts, else
// the slot that holds all of it; one above the last for none.
func (p *planner) mainSlot(f *prey.Food) Slot {
	if f.BoneIn && f.PartsKnown {
		return BoneSlot
	}
	slots, ok := slotsOf(f, prey.Typical, EdibleBone, false)
	for _, s := range Slots() {
		if ok && slots[s] == units.Whole {
			return s
		}
	}
	return NumSlots + 1
}

func (p *planner) slotWords(f *prey.Food) string {
	switch p.mainSlot(f) {
	case MuscleSlot:
		if f.Colour == prey.Red {
			return "red meat without bone"
		}
		return "meat without bone"
	case HeartSlot:
		return "heart"
	case BoneSlot:
		return "meat on the bone"
	case LiverSlot:
		return "liver"
	}
	return "other secreting organ (kidney, spleen, brain and the like)"
}

// clash names a set of requirements of which any one less would leave a plan.
func (p *planner) clash(ctx context.Context, a attempt) error {
	m := p.model(p.supplies, a)
	rows := make([]int, len(m.prob.Rows))
	for i := range rows {
		rows[i] = i
	}
	core, err := milp.Irreducible(ctx, m.prob, rows)
	switch {
	case errors.Is(err, milp.ErrFeasible), errors.Is(err, milp.ErrUndecided):
		p.res.Clash = []string{"The amounts can be found, but not laid out in whole grams and pieces over the days."}
		return nil
	case err != nil:
		return err
	}
	seen := map[string]bool{}
	for _, i := range core {
		w := p.rowWords(m.prob.Rows[i].Name)
		if !seen[w] {
			seen[w] = true
			p.res.Clash = append(p.res.Clash, w)
		}
	}
	return nil
}

func (p *planner) rowWords(name string) string {
	if id, ok := strings.CutPrefix(name, "stock of "); ok {
		for i := range p.supplies {
			if s := &p.supplies[i]; s.food.ID == id {
				return fmt.Sprintf("There is no more of %s than %s.", s.food.Name, s.mass(min(s.most(), math.MaxInt32)).InGrams(0))
			}
		}
	}
	if name == "energy" {
		return "Each animal gets the energy of its band."
	}
	for _, r := range p.rules {
		if name == r.ID || strings.HasPrefix(name, r.ID+" ") {
			return r.Title
		}
	}
	return name
}
