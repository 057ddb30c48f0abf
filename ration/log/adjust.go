package log

import (
	"fmt"
	"slices"

	"fitchet.example/ration"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/wide"
)

// Correction is what a log and the scale say about the planned amount: the next step after the measured band, which is
// borrowed from other animals.
type Correction struct {
	Known  bool                       // false: nothing can be said; Text says why
	Days   int                        // complete days that were counted
	Eaten  units.Range[ration.Tenths] // a day, rounded outward; the typical one half up
	Change units.Share                // of weight, from the first to the last weight of the time; negative: lost
	Next   ration.Tenths              // to plan by: never below the animal's resting floor
	Text   string
	Ref    cite.Ref
}

// The figures of Adjust: ours.
const (
	adjustDays   = 5                     // fewest complete days
	adjustApart  = 5                     // fewest days between the two weights
	adjustSteady = 2 * units.Whole / 100 // a change of weight within this is none
	adjustStep   = 10                    // a tenth more, or less
	adjustCover  = 95                    // percent of the mass whose energy is known, at least
	adjustBlur   = 3                     // the range of what was eaten is at most a third of the typical
)

// Adjust corrects the planning band of a healthy adult by what the log shows it ate and weighed from one day to another,
// both counted. Only complete days count. What it ate while it held its weight is what it needs; when it lost more than
// 2 % the next plan gets a tenth more, when it gained more than 2 % a tenth less. In autumn animals gain and in spring
// they lose, so the scale over the year has the last word.
func Adjust(n ration.Need, l *Log, from, to units.Date) Correction {
	c := Correction{Ref: cite.Choice.Ref("what was eaten while the weight held; a tenth more or less when it did not")}
	no := func(format string, args ...any) Correction {
		c.Text = fmt.Sprintf(format, args...)
		return c
	}
	switch {
	case n.Animal == nil:
		return no("No animal was given.")
	case len(n.VetFirst) > 0:
		return no("Ask the vet how much to feed (%s).", say.And(n.VetFirst))
	case n.Stage != ration.Adult && n.Stage != ration.Senior:
		return no("A growing animal is fed to appetite.")
	}
	id := n.Animal.ID
	complete := func(d units.Date) bool {
		_, ok := slices.BinarySearch(l.Complete, d)
		return ok && d >= from && d <= to
	}
	for _, d := range l.Complete {
		if complete(d) {
			c.Days++
		}
	}
	if c.Days < adjustDays {
		return no("%s written down in full: at least %d are needed.", say.Counted(int64(c.Days), "day is", "days are"), adjustDays)
	}
	full := *l
	full.Entries = slices.DeleteFunc(slices.Clone(l.Entries), func(e Entry) bool { return !complete(e.Meal.Date) })
	var kcal [3]wide.U128
	for i, end := range []RangeEnd{LowEnd, TypicalEnd, HighEnd} {
		d, err := full.Diet(id, from, to, end)
		if err != nil {
			return no("The log cannot be summed: %v.", err)
		}
		sum, known := d.Tally.Energy(prey.Typical)
		if wide.CmpMul(wide.U128{Lo: uint64(known)}, 100, wide.U128{Lo: uint64(d.Tally.Mass())}, adjustCover) < 0 {
			return no("The energy of %s of the %s it ate is not known.", (d.Tally.Mass() - known).InGrams(0), d.Tally.Mass().InGrams(0))
		}
		kcal[i] = sum
	}
	c.Eaten = units.Range[ration.Tenths]{Low: tenthsADay(kcal[0], c.Days, 0), Typical: tenthsADay(kcal[1], c.Days, 1), High: tenthsADay(kcal[2], c.Days, 2)}
	if c.Eaten.Typical <= 0 {
		return no("By the log it ate nothing. If that is right, see a vet now.")
	}
	if (c.Eaten.High-c.Eaten.Low)*adjustBlur > c.Eaten.Typical {
		return no("It ate somewhere from %s to %s a day: too wide a range. Weigh what is left, look for stashes, feed it apart for some days.", c.Eaten.Low, c.Eaten.High)
	}
	var first, last *Weighing
	for i := range l.Weights {
		w := &l.Weights[i]
		if w.Animal != id || w.When.Date < from || w.When.Date > to {
			continue
		}
		if first == nil || w.When.Compare(first.When) < 0 {
			first = w
		}
		if last == nil || w.When.Compare(last.When) > 0 {
			last = w
		}
	}
	if first == nil || last.When.Date.DaysSince(first.When.Date) < adjustApart {
		return no("It ate %s a day, but without two weights at least %d days apart nothing follows from that.", c.Eaten.Typical, adjustApart)
	}
	c.Known = true
	c.Change = units.ShareOf(last.Mass, first.Mass) - units.Whole
	c.Next = c.Eaten.Typical
	switch {
	case compareShare(last.Mass, first.Mass, units.Whole-adjustSteady) < 0:
		c.Next += c.Eaten.Typical / adjustStep
		c.Text = fmt.Sprintf("It lost %s on %s a day: plan a tenth more, and see a vet if it goes on.", (-c.Change).InPercent(1), c.Eaten.Typical)
	case compareShare(last.Mass, first.Mass, units.Whole+adjustSteady) > 0:
		c.Next -= c.Eaten.Typical / adjustStep
		c.Text = fmt.Sprintf("It gained %s on %s a day: plan a tenth less, unless it is autumn or it was thin.", c.Change.InPercent(1), c.Eaten.Typical)
	default:
		c.Text = fmt.Sprintf("It held its weight on %s a day: plan that.", c.Eaten.Typical)
	}
	if c.Next < n.Floor {
		c.Next = n.Floor
		c.Text += fmt.Sprintf(" That is below resting need (%s): look for food that is not written down, and ask a vet. Nothing below it is planned.", n.Floor)
	}
	return c
}

// tenthsADay turns a sum of energy into tenths of a kcal a day, rounded down (0), half up (1) or up (2).
func tenthsADay(sum wide.U128, days, up int) ration.Tenths {
	const toTenths = 100_000_000_000 // twice: pg x billionths of kcal per 100 g
	per := uint64(toTenths) * uint64(days)
	q, ok := sum.MulDiv(2, toTenths)
	if !ok {
		return 0
	}
	switch up {
	case 1:
		q, ok = q.Add(wide.U128{Lo: per})
	case 2:
		q, ok = q.Add(wide.U128{Lo: 2*per - 1})
	}
	if !ok {
		return 0
	}
	q, ok = q.MulDiv(1, 2*per)
	if !ok || q.Hi != 0 || q.Lo > 1<<62 {
		return 0
	}
	return ration.Tenths(q.Lo)
}
