package balance

import (
	"slices"

	"fitchet.example/ration"
)

// DayOrder is how many days do not follow the day before.
var DayOrder = unfit(kind{
	word: "day-order", scale: &inCounts, unit: plural("days", "day"),
	judge: (*state).dayOrder, detail: noDetail,
	remedy: simply("Write every day once, in order, and leave none out."),
	form:   FormFit, each: no, laid: no, grows: no,
})

// dayOrder counts the days that do not follow the day before: that stand twice,
// out of order, or after days that are left out.
func (s *state) dayOrder(r *readyRule) {
	if s.undated() {
		s.none(r, NoDates)
		return
	}
	days := s.in.Plan.Days
	n, first := 0, -1
	next := s.in.Plan.Start
	if next == 0 {
		next = days[0].Date
	}
	for d := range days {
		if days[d].Date != next {
			if n++; n == 1 {
				first = d
			}
		}
		next = days[d].Date.AddDays(1)
	}
	s.judge(r, s.count(n), r.bounds).Day = first
}

// undated reports whether no day of the plan has a date.
func (s *state) undated() bool {
	return s.in.Plan.Start == 0 && !slices.ContainsFunc(s.in.Plan.Days, func(d ration.Day) bool { return d.Date != 0 })
}
