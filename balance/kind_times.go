package balance

import (
	"fmt"
	"slices"

	"fitchet.example/units/wide"
)

// Times is on how many days, or in how many meals, a thing is fed.
var Times = Check{&kind{
	word: "times", bounds: inRule, scale: &inCounts,
	unit: func(r *Rule, one bool) string {
		if r.Meals {
			return plural("meals a week", "meal a week")(r, one)
		}
		return plural("days a week", "day a week")(r, one)
	},
	options: []option{takesOf(OfOrgans, OfBone, OfKind), flag("meals", func(r *Rule) *bool { return &r.Meals }), flag("when-fed", func(r *Rule) *bool { return &r.WhenFed })},
	judge:   (*state).times, measure: notSums, onDay: notByDay, above: notAbove, adds: massLooked, lacks: lacksNothing, detail: noDetail, split: notSplit,
	mends: noMends, settle: onlyAnalysis,
	remedy: func(f *Finding, _ []Change) string {
		unit := "day"
		if f.Rule.Meals {
			unit = "meal"
		}
		if f.Side == Above {
			return fmt.Sprintf("Feed it on fewer %ss.", unit)
		}
		return fmt.Sprintf("Spread it over more %ss.", unit)
	},
	form: FormOccasion, days: allDays, each: no, laid: yes, grows: yes, atOnce: no, bone: no,
}}

// times counts days or meals for the animal that is worst off, or for the whole
// plan where nobody's bowl is known.
func (s *state) times(r *readyRule) {
	worst, who := -1, -1
	for a := range s.needs {
		if len(r.Species) > 0 && !slices.Contains(r.Species, s.needs[a].Animal.Kind()) {
			continue
		}
		n := s.countTimes(r, a)
		if worst < 0 || r.bounds.HasHigh && n > worst || !r.bounds.HasHigh && n < worst {
			worst, who = n, a
		}
	}
	if who < 0 {
		worst = s.countTimes(r, -1)
	}
	if worst == 0 && r.WhenFed {
		s.none(r, NoneFed)
		return
	}
	fr := s.figure()
	for c := range fr.Num {
		fr.Num[c], fr.Den[c] = wide.Mul(uint64(worst), daysInWeek), wide.U128{Lo: s.weekDays()}
	}
	f := s.judge(r, fr, r.bounds)
	s.short(f)
	if who >= 0 && len(s.needs) > 1 && len(s.bowls) > 1 {
		f.Animal = s.needs[who].Animal
	}
}

// countTimes counts the days (or meals) on which an animal, or with -1 anybody,
// gets what the rule looks at. Items stand in the order of their days and meals.
func (s *state) countTimes(r *readyRule, animal int) int {
	n, day, slot := 0, -1, -1
	for i := range s.items {
		it := &s.items[i]
		if it.day == day && (!r.Meals || it.slot == slot) || it.Mass == 0 || !it.profile.is[r.asks] {
			continue
		}
		if animal >= 0 && !slices.Contains(s.bowls[it.bowl].animals, animal) {
			continue
		}
		n, day, slot = n+1, it.day, it.slot
	}
	return n
}
