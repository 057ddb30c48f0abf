package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/ration"
	"fitchet.example/safety"
)

// tables are the sets of animals that eat together: those who share a bowl, and
// those who share one with any of them. The order is that of the plan.
func tables(p *ration.Plan) (out [][]string) {
	for _, d := range p.Days {
		for _, meal := range d.Meals {
			var joined []string
			var rest [][]string
			for _, t := range out {
				if slices.ContainsFunc(t, func(id string) bool { return slices.Contains(meal.For, id) }) {
					joined = append(joined, t...)
				} else {
					rest = append(rest, t)
				}
			}
			if joined == nil {
				out = append(out, slices.Clone(meal.For))
				continue
			}
			at := slices.IndexFunc(out, func(t []string) bool { return t[0] == joined[0] })
			for _, id := range meal.For {
				if !slices.Contains(joined, id) {
					joined = append(joined, id)
				}
			}
			out = slices.Insert(rest, min(at, len(rest)), joined)
		}
	}
	return out
}

// clocks lays out a day for each table: as many bowls as its fullest day has
// meals, none lying longer than the shortest limit of what is in them.
func (m *maker) clocks(p *ration.Plan, needs []ration.Need, windows map[safety.Form]safety.SetOutAnswer) error {
	for _, ids := range tables(p) {
		gap := ration.Gap{Longest: safety.Day}
		for _, n := range needs {
			if slices.Contains(ids, n.Animal.ID) && n.Gap.Longest < gap.Longest {
				gap = n.Gap
			}
		}
		meals, lift := 1, safety.Day
		for _, d := range p.Days {
			for _, meal := range d.Meals {
				if !slices.Contains(ids, meal.For[0]) {
					continue
				}
				meals = max(meals, meal.Slot)
				for _, s := range meal.Servings {
					if left, ok := windows[s.FormOf()].Left(); ok {
						lift = min(lift, left)
					}
				}
			}
		}
		req := ration.ClockRequest{Meals: meals, LiftBy: []time.Duration{lift}, LongestGap: gap.Longest}
		if m.h.Waking != nil {
			req.Waking = *m.h.Waking
		}
		c, err := ration.FeedingClock(req)
		if err != nil {
			return err
		}
		o := clockOut{Who: m.names(ids), Text: c.Text, Times: []string{}, ids: ids, clock: c}
		o.Gap = fmt.Sprintf("%s: %s (%s)", gap, gap.Why, m.words(gap.Ref))
		for _, t := range c.SetOuts {
			o.Times = append(o.Times, t.String())
		}
		for _, ch := range c.Choices {
			o.Choices = append(o.Choices, ch.Text+" ("+times(ch.SetOuts)+")")
		}
		m.s.Clocks = append(m.s.Clocks, o)
	}
	return nil
}

// times is "06:30, lift by 08:30; 18:30, lift by 20:30".
func times(list []ration.SetOut) string {
	words := make([]string, len(list))
	for i, t := range list {
		words[i] = t.String()
	}
	return strings.Join(words, "; ")
}

// window is how long a form of food may lie out in this household.
func (m *maker) window(form safety.Form) (safety.SetOutAnswer, error) {
	s := safety.SetOutQuestion{Form: form}
	if m.h.Room != nil {
		s.Room = []safety.Spell{{For: time.Hour, At: *m.h.Room}}
	}
	return m.care.SetOut(s)
}
