package ration

import (
	"fmt"
	"slices"
	"strings"

	"fitchet.example/units"
)

// Signal is what the bowls of some animals say over some days.
type Signal struct {
	For     []string
	Bowls   int // lifted and weighed
	Emptied int // of them, with nothing left
	Offered units.Mass
	Left    units.Mass
	Text    string
}

// The shares at which a bowl says something: ours, to be read beside the scale.
const (
	muchLeft   = units.Whole / 5 // a fifth of what was offered
	oftenEmpty = 9               // of ten bowls
	fewBowls   = 6               // fewer say nothing
)

// Signals reads the bowls from one day to another, both counted, for each set of animals that share one. Treats and bowls
// that nobody weighed say nothing.
func (l *Log) Signals(from, to units.Date) []Signal {
	sums := map[string]*Signal{}
	for _, e := range l.Entries {
		if e.Meal.Date < from || e.Meal.Date > to || e.Treat || !e.Weighed {
			continue
		}
		ids := slices.Sorted(slices.Values(e.For))
		key := strings.Join(ids, " ")
		s := sums[key]
		if s == nil {
			s = &Signal{For: ids}
			sums[key] = s
		}
		s.Bowls++
		left := e.Left - e.BoneLeft
		if left == 0 {
			s.Emptied++
		}
		s.Offered, s.Left = plus(s.Offered, e.Offered), plus(s.Left, left)
	}
	var out []Signal
	for _, key := range sortedKeys(sums) {
		s := sums[key]
		switch share := units.ShareOf(s.Left, s.Offered); {
		case s.Bowls < fewBowls:
			s.Text = fmt.Sprintf("Only %s weighed: too few to say anything.", counted(int64(s.Bowls), "bowl", "bowls"))
		case share >= muchLeft:
			s.Text = fmt.Sprintf("%s of the food was left: offer less, or find the food that is refused. Weigh the animals; if one also loses weight or is dull, see a vet.", share.InPercent(0))
		case s.Emptied*10 >= s.Bowls*oftenEmpty:
			s.Text = "Nearly every bowl was emptied: offer a little more, and look for a stash."
		default:
			s.Text = "A little is left now and then: the amount fits."
		}
		out = append(out, *s)
	}
	return out
}
