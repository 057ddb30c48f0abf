package balance

import (
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Hazard asks package safety about every food; the rule is missed by hazards
// of its own gravity.
var Hazard = Check{&kind{
	word: "hazard", options: []option{}, bounds: inSafety, scale: &inCounts, unit: noUnit,
	judge: (*state).hazards, measure: notSums, onDay: notByDay, above: notAbove, lacks: lacksNothing, detail: noDetail, split: notSplit,
	adds: func(f *Finding, it *item) (wide.U128, bool) {
		return wide.U128{Lo: uint64(it.Mass)}, f.Hazard != nil && has(f.s.hazardsOf(it.Food), f.Hazard.ID)
	},
	mends: removals, remedy: bestChange, settle: onlyAnalysis,
	form: FormHarm, days: allDays, each: no, laid: no, grows: yes, atOnce: no, bone: no,
}}

// removals takes every food with the hazard out of the plan, one by one.
func removals(f *Finding) (out []Change) {
	m := newMender(f)
	for _, food := range m.planFoods() {
		if has(m.s.hazardsOf(food), m.Hazard.ID) {
			c := Change{Food: food, Mass: m.massOf(food), Remove: true, Day: -1}
			c.Breaks, c.cost = m.breaks(c)
			out = append(out, c)
		}
	}
	return out
}

// hazards notes what package safety knows against the foods of the plan.
func (s *state) hazards(r *readyRule) {
	before := len(s.found)
	for _, k := range s.screened {
		for j := range k.hazards {
			h := &k.hazards[j]
			if h.Severity != r.Severity || slices.ContainsFunc(s.found[before:], func(x Finding) bool { return x.Hazard.ID == h.ID }) {
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

// hazardsOf returns the hazards of a food in a plan. Where the household's stock of
// it names a supplier, recalls are looked for.
func (s *state) hazardsOf(f *prey.Food) []safety.Hazard {
	check := s.in.HazardCheck
	return s.hazardsIn(f, check.Hazards(f, 0), check.ChangesAt(f))
}

// hazardsIn is hazardsOf given what is known of a little of the food, and the share
// from which that changes.
func (s *state) hazardsIn(f *prey.Food, little []safety.Hazard, changes units.Share) []safety.Hazard {
	lots := s.lots(f)
	share := units.Share(0)
	if changes > 0 {
		share = s.shareOf(f)
	}
	if share < max(changes, 1) && len(lots) == 0 {
		return little
	}
	check := s.in.HazardCheck
	if len(lots) == 0 {
		return check.Hazards(f, share)
	}
	var out []safety.Hazard
	for _, lot := range lots {
		for _, h := range check.OfLot(f, s.shareOf(f), lot.Supplier, lot.Lot) {
			if !has(out, h.ID) {
				out = append(out, h)
			}
		}
	}
	return out
}

func has(list []safety.Hazard, id string) bool {
	for i := range list {
		if list[i].ID == id {
			return true
		}
	}
	return false
}

// lots are the household's lots of a food that could be recalled. Without
// notices there are no recalls to look for.
func (s *state) lots(f *prey.Food) []ration.Stock {
	if s.in.Household == nil || s.in.HazardCheck.Context().Notices == nil {
		return nil
	}
	var out []ration.Stock
	for _, lot := range s.in.Household.Stock {
		if lot.Food != nil && lot.Food.ID == f.ID && lot.Supplier != "" {
			out = append(out, lot)
		}
	}
	return out
}

// shareOf is the part of all food fed that is this food.
func (s *state) shareOf(f *prey.Food) units.Share {
	var m units.Mass
	for i := range s.foods {
		if s.foods[i].food == f {
			m = s.foods[i].mass
		}
	}
	return units.ShareOf(m, s.total.Mass())
}
