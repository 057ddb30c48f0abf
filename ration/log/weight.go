package log

import (
	"fmt"
	"math/big"
	"slices"

	"fitchet.example/ration"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/wide"
)

// WeightLimits are the changes at which a weight raises an alert. No ferret source that was read gives one: the defaults
// are ours and meant to be changed.
type WeightLimits struct {
	Week     units.Share // loss within seven days
	FromMean units.Share // loss from the animal's own mean of the season
	Low      units.Share // of its own long-term mean, below
	High     units.Share // and above
}

// DefaultWeightLimits returns 5 % in a week, 10 % from the mean of the season, and 80 to 120 % of the long-term mean.
func DefaultWeightLimits() WeightLimits {
	return WeightLimits{Week: 5 * units.Whole / 100, FromMean: units.Whole / 10, Low: 80 * units.Whole / 100, High: 120 * units.Whole / 100}
}

// Alert is something a weight says.
type Alert struct {
	ID   string // permanent: "week-loss", "season-loss", "below-year", "above-year"
	Vet  bool
	Text string
	Ref  cite.Ref
}

// WeightReport is what an animal's weights say on a day.
type WeightReport struct {
	Animal string
	Latest Weighing
	Known  bool       // false: no weight on or before the day
	Mean   units.Mass // mean of all weights of the year before the day, the latest included, rounded down to a gram
	Season units.Mass // mean of the weights within 45 days of this day of the year in earlier years; 0: none
	// OfMean is the latest weight as a share of Mean, rounded, for display. Lab jills were seen between 80 and 120 % of
	// their own long-term mean over the year (Jones and others 2020).
	OfMean units.Share
	Alerts []Alert
	Notes  []string
}

const (
	yearDays   = 365
	seasonDays = 45
	weekDays   = 7
)

// Weigh reads the weights of an animal up to a day. The order of the weights has no meaning. Losses are judged exactly;
// a weight on the very limit raises no alert. Kits and juveniles must not lose weight at all, and are not held to a mean.
func Weigh(weights []Weighing, a *ration.Animal, on units.Date, lim WeightLimits) WeightReport {
	return weigh(weightsOf(weights, a.ID, on), a, on, lim)
}

// weightsOf are an animal's weights up to a day, by time.
func weightsOf(weights []Weighing, animal string, on units.Date) (own []Weighing) {
	for _, w := range weights {
		if w.Animal == animal && w.When.Date <= on && w.Mass > 0 {
			own = append(own, w)
		}
	}
	slices.SortFunc(own, func(a, b Weighing) int { return a.When.Compare(b.When) })
	return own
}

// weigh is Weigh of weights that are the animal's own, up to the day and in order.
func weigh(own []Weighing, a *ration.Animal, on units.Date, lim WeightLimits) WeightReport {
	r := WeightReport{Animal: a.ID}
	if len(own) == 0 {
		r.Notes = append(r.Notes, "No weight is written down. Weigh weekly, daily while food is being changed.")
		return r
	}
	r.Latest, r.Known = own[len(own)-1], true
	last := r.Latest
	var year, season []units.Mass
	heaviest := last // of the last seven days
	for _, w := range own {
		ago := last.When.Date.DaysSince(w.When.Date)
		if ago <= yearDays {
			year = append(year, w.Mass)
		}
		if off := (ago + seasonDays) % yearDays; ago > yearDays-seasonDays && off <= 2*seasonDays {
			season = append(season, w.Mass)
		}
		if ago <= weekDays && w.Mass > heaviest.Mass {
			heaviest = w
		}
	}
	r.Mean, r.Season = meanMass(year), meanMass(season)
	r.OfMean = units.ShareOf(last.Mass, r.Mean)
	if age := on.DaysSince(last.When.Date); age > weekDays {
		r.Notes = append(r.Notes, fmt.Sprintf("The last weight is %s old: weigh weekly.", say.Counted(int64(age), "day", "days")))
	}
	ours := func(at string) cite.Ref {
		return cite.Choice.Ref(at + "; no ferret source that was read gives a threshold")
	}
	if compareShare(last.Mass, heaviest.Mass, units.Whole-lim.Week) < 0 {
		r.Alerts = append(r.Alerts, Alert{"week-loss", true, fmt.Sprintf("Lost %s within %s (limit %s): see a vet.",
			(units.Whole - units.ShareOf(last.Mass, heaviest.Mass)).InPercent(1), say.Counted(int64(last.When.Date.DaysSince(heaviest.When.Date)), "day", "days"), lim.Week), ours("loss in a week")})
	}
	if stage := a.StageOn(last.When.Date); stage == ration.Kit || stage == ration.Juvenile {
		if last.Mass < heaviest.Mass {
			r.Notes = append(r.Notes, "A growing animal should not lose weight: feed to appetite, weigh daily, ask the vet.")
		}
		return r
	}
	base, of := r.Season, "its own mean at this time of earlier years"
	if base == 0 {
		base, of = r.Mean, "its own mean of the last year"
		r.Notes = append(r.Notes, "No weights from this season of an earlier year: an autumn gain or a spring loss can look like a change.")
	}
	if compareShare(last.Mass, base, units.Whole-lim.FromMean) < 0 {
		r.Alerts = append(r.Alerts, Alert{"season-loss", true, fmt.Sprintf("%s below %s, %s (limit %s): see a vet.",
			(units.Whole - units.ShareOf(last.Mass, base)).InPercent(1), of, base.InGrams(0), lim.FromMean), ours("loss from the mean")})
	}
	swing := cite.Derived.Ref("80 to 120 % of the own long-term mean over the year, lab jills; as an alert it is ours", "jones-2020")
	if compareShare(last.Mass, r.Mean, lim.Low) < 0 {
		r.Alerts = append(r.Alerts, Alert{"below-year", true, fmt.Sprintf("At %s of its own mean of the last year, below %s: outside the swing of the seasons that was measured.", r.OfMean.InPercent(0), lim.Low), swing})
	}
	if compareShare(last.Mass, r.Mean, lim.High) > 0 {
		r.Alerts = append(r.Alerts, Alert{"above-year", false, fmt.Sprintf("At %s of its own mean of the last year, above %s: outside the swing of the seasons that was measured.", r.OfMean.InPercent(0), lim.High), swing})
	}
	return r
}

// compareShare is the exact sign of part - share x whole. A negative share counts as nothing.
func compareShare(part, whole units.Mass, share units.Share) int {
	return wide.Mul(uint64(part), uint64(units.Whole)).Cmp(wide.Mul(uint64(whole), uint64(max(share, 0))))
}

// meanMass is the mean, rounded down to a gram; 0 of nothing.
func meanMass(ms []units.Mass) units.Mass {
	if len(ms) == 0 {
		return 0
	}
	sum := new(big.Int)
	for _, m := range ms {
		sum.Add(sum, big.NewInt(int64(m)))
	}
	mean := units.Mass(sum.Quo(sum, big.NewInt(int64(len(ms)))).Int64())
	return mean - mean%units.Gram
}
