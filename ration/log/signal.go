package log

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"fitchet.example/ration"
	"fitchet.example/ration/internal/form"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
)

// Signal is what the bowls of some animals say over some days.
type Signal struct {
	For     []string
	Bowls   int // lifted and weighed
	Emptied int // of them, with nothing left
	Refused int // of the latest of them, one after the other, with nothing taken
	Offered units.Mass
	Left    units.Mass
	Text    string
	Ref     cite.Ref // of the bounds by which Text was chosen
}

// The bounds at which bowls say something: ours, to be read beside the scale.
const (
	muchLeft   = units.Whole / 5 // a fifth of what was offered
	oftenEmpty = 9               // of ten bowls
	fewBowls   = 6               // fewer say nothing
	inARow     = 2               // bowls refused one after the other
)

// Signals reads the bowls from one day to another, both counted, for each set of animals of the household that share one.
// Foods put down in the same minute are one bowl. Treats, and bowls of which some food was not weighed, say nothing.
func (l *Log) Signals(h *ration.Household, from, to units.Date) []Signal {
	type bowl struct {
		when Moment
		who  string
	}
	sums := map[string]*Signal{}
	bowls := map[bowl]*Signal{} // one bowl each; nil: not weighed
	for _, e := range l.Entries {
		if e.Meal.Date < from || e.Meal.Date > to || e.Treat {
			continue
		}
		ids := slices.Sorted(slices.Values(e.For))
		key := bowl{e.Meal, strings.Join(ids, " ")}
		b, seen := bowls[key]
		switch {
		case !e.Weighed || seen && b == nil:
			bowls[key] = nil
			continue
		case !seen:
			b = &Signal{For: ids}
			bowls[key] = b
		}
		b.Offered, b.Left = form.Plus(b.Offered, e.Offered), form.Plus(b.Left, e.Left-e.BoneLeft)
	}
	order := slices.SortedFunc(maps.Keys(bowls), func(x, y bowl) int { return x.when.Compare(y.when) })
	for _, key := range order {
		b := bowls[key]
		if b == nil {
			continue
		}
		s := sums[key.who]
		if s == nil {
			s = &Signal{For: b.For}
			sums[key.who] = s
		}
		s.Bowls++
		if b.Left == 0 {
			s.Emptied++
		}
		if s.Refused++; b.Left < b.Offered {
			s.Refused = 0
		}
		s.Offered, s.Left = form.Plus(s.Offered, b.Offered), form.Plus(s.Left, b.Left)
	}
	var out []Signal
	for _, key := range slices.Sorted(maps.Keys(sums)) {
		s := sums[key]
		switch share := units.ShareOf(s.Left, s.Offered); {
		case s.Refused >= inARow:
			s.Text = fmt.Sprintf("The last %d bowls were not touched. %s", s.Refused, soonest(h, s.For, to))
		case s.Bowls < fewBowls:
			s.Text = fmt.Sprintf("Only %s weighed: too few to say anything.", say.Counted(int64(s.Bowls), "bowl", "bowls"))
		case share >= muchLeft:
			s.Text = fmt.Sprintf("%s of the food was left: find the food that is refused, or offer less. Weigh the animals; if one also loses weight or is dull, see a vet.", share.InPercent(0))
		case s.Emptied*10 >= s.Bowls*oftenEmpty:
			s.Text = "Nearly every bowl was emptied, so nobody knows whether there was enough: look for a stash, and let the scale say whether to offer more."
		default:
			s.Text = "A little is left now and then: the amount fits."
		}
		s.Ref = cite.Choice.Ref("six bowls say something; a fifth left, nine of ten emptied, two untouched one after the other; no figure was read")
		out = append(out, *s)
	}
	return out
}

// soonest is what is said of not eating to whoever sees a bowl of several animals: the shortest time of all of them.
func soonest(h *ration.Household, ids []string, on units.Date) string {
	var out *ration.WithoutFood
	for _, id := range ids {
		if a, ok := h.Animal(id); ok {
			if w := a.WithoutFood(on); out == nil || w.After < out.After {
				out = &w
			}
		}
	}
	if out == nil {
		return "" // nobody of the household stands at it
	}
	return out.Text
}
