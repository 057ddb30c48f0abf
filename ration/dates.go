package ration

import (
	"errors"
	"fmt"

	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// ErrDates is wrapped by errors about days that do not fit together.
var ErrDates = errors.New("the days do not fit together")

// Bounds of days. All are choices of ours.
const (
	// AheadDays is how many days after the as-of day of a household a plan may begin; see AheadRef.
	AheadDays = 28
	// StaleDays is after how many days it is said first.
	StaleDays = 7

	oldestAnimal = 30 * 366
	farthestLot  = 10 * 366
	longestPlan  = 14
)

// AheadRef is why a plan may not begin later than AheadDays after the as-of day.
func AheadRef() cite.Ref {
	return cite.Choice.Ref("weights, stages of life and the freezer are those of the as-of day; in four weeks a kit or a pregnant jill needs another amount")
}

// FirstDay is the day for which the animals are judged and the first that is planned: Start, or the as-of day where no
// start is given.
func (h *Household) FirstDay() units.Date {
	if h == nil {
		h = &Household{}
	}
	if h.Start == 0 {
		return h.AsOf
	}
	return h.Start
}

// CheckStart reports why no plan of this household can begin on a day: it lies before the as-of day, whose stock has then
// been eaten from, or more than AheadDays after it, or an animal is not born yet. What would need an as-of day and has none
// is refused as well. The error wraps ErrDates and holds every reason.
func (h *Household) CheckStart(on units.Date) error {
	if h == nil {
		h = &Household{}
	}
	var faults []error
	add := func(format string, args ...any) {
		faults = append(faults, fmt.Errorf("%w: "+format, append([]any{ErrDates}, args...)...))
	}
	if h.AsOf == 0 {
		if on != 0 {
			add("a plan from %s of a household without an as-of day", on)
		}
	} else if why := h.startFault(on); why != "" {
		add("%s", why)
	}
	for i := range h.Animals {
		a := &h.Animals[i]
		switch {
		case a.Born == 0:
		case h.AsOf == 0:
			add("%s is born on %s, and the household has no as-of day", a.ID, a.Born)
		case a.Born > h.AsOf:
			add("%s is born on %s, after the as-of day %s", a.ID, a.Born, h.AsOf)
		case h.AsOf.DaysSince(a.Born) > oldestAnimal:
			add("%s is born on %s, over 30 years before the as-of day %s", a.ID, a.Born, h.AsOf)
		}
	}
	for _, s := range h.Stock {
		if why := s.dateFault(h.AsOf); why != "" {
			name := "a lot"
			if s.Food != nil {
				name = s.Food.ID
			}
			add("%s: %s", name, why)
		}
	}
	return errors.Join(faults...)
}

// CheckPlan reports why a plan cannot be one of this household: CheckStart of its first day, or a day that lies too far from
// the as-of day. The error wraps ErrDates.
func (h *Household) CheckPlan(p *Plan) error {
	if h == nil {
		h = &Household{}
	}
	if p == nil {
		p = &Plan{}
	}
	err := h.CheckStart(p.Start)
	for _, d := range p.Days {
		if h.AsOf != 0 && (d.Date < p.Start || d.Date.DaysSince(h.AsOf) > AheadDays+longestPlan) {
			err = errors.Join(err, fmt.Errorf("%w: day %s of the plan lies before its start %s or too far from the as-of day %s", ErrDates, d.Date, p.Start, h.AsOf))
		}
	}
	return err
}

// startFault says why a plan cannot begin on a day, or nothing.
func (h *Household) startFault(on units.Date) string {
	switch days := on.DaysSince(h.AsOf); {
	case days < 0:
		return fmt.Sprintf("start %s lies before the as-of day %s: what was in the freezer then is not known", on, h.AsOf)
	case days > AheadDays:
		return fmt.Sprintf("start %s lies %d days after the as-of day %s, more than %d: weigh the animals, look into the freezer and bring the household up to date first", on, days, h.AsOf, AheadDays)
	}
	return ""
}

// dateFault says why the days of a lot are not believed, or nothing.
func (s *Stock) dateFault(asOf units.Date) string {
	off := func(d units.Date) bool { return d.DaysSince(asOf) > farthestLot || asOf.DaysSince(d) > farthestLot }
	switch {
	case s.BestBefore == 0 && s.Frozen == 0:
		return ""
	case asOf == 0:
		return "it has dates, and the household has no as-of day"
	case s.Frozen != 0 && s.Frozen > asOf:
		return fmt.Sprintf("frozen on %s, after the as-of day %s", s.Frozen, asOf)
	case s.Frozen != 0 && off(s.Frozen):
		return fmt.Sprintf("frozen on %s, over 10 years before the as-of day %s", s.Frozen, asOf)
	case s.BestBefore != 0 && off(s.BestBefore):
		return fmt.Sprintf("best before %s, over 10 years from the as-of day %s", s.BestBefore, asOf)
	}
	return ""
}
