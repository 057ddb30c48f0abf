package balance

import (
	"slices"

	"fitchet.example/safety"
	"fitchet.example/units/wide"
)

// Hazard asks package safety about every food; the rule is missed by hazards
// of its own gravity.
var Hazard = Check{&kind{
	word: "hazard", options: []option{}, bounds: inSafety, scale: &inCounts, unit: noUnit,
	judge: (*state).hazards, measure: notSums, onDay: notByDay, above: notAbove, lacks: lacksNothing, detail: noDetail, split: notSplit,
	adds: func(f *Finding, it *item) (wide.U128, bool) {
		return wide.U128{Lo: uint64(it.Mass)}, f.Hazard != nil && has(f.s.in.HazardCheck.of(it.Food, f.s), f.Hazard.ID)
	},
	mends: removals, remedy: bestChange, settle: onlyAnalysis,
	form: FormHarm, days: allDays, each: no, laid: no, grows: yes, atOnce: no, bone: no,
}}

// removals takes every food with the hazard out of the plan, one by one.
func removals(f *Finding) (out []Change) {
	m := newMender(f)
	for _, food := range m.planFoods() {
		if has(m.s.in.HazardCheck.of(food, m.s), m.Hazard.ID) {
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
