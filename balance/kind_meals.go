package balance

import (
	"slices"
	"strconv"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/ration"
)

// MealsADay holds the meals of an animal's day against its need.
var MealsADay = Check{&kind{
	word: "meals-a-day", scale: &inCounts, unit: plural("meals a day", "meal a day"),
	options: []option{flag("frail", func(r *Rule) *bool { return &r.Frail })},
	bounds: inNeed(func(n *ration.Need) (low, high *Limit) {
		if n.MealsPerDay > 0 {
			low = &Limit{int64(n.MealsPerDay), strconv.Itoa(n.MealsPerDay), n.MealsRef}
		}
		return low, nil
	}),
	judge: withAnimals((*state).mealsADay), measure: notSums, onDay: notByDay, above: notAbove, adds: addsNothing, lacks: lacksNothing, detail: noDetail, split: notSplit,
	mends: noMends, remedy: simply("Divide the day's food into more meals."), settle: onlyAnalysis,
	form: FormServing, days: worstDay, each: yes, laid: yes, grows: no, atOnce: no, bone: no,
}}

// mealsADay counts the meals of each animal on its day with the fewest. Oil and
// powders alone are no meal.
func (s *state) mealsADay(r *readyRule) {
	judged := false
	for a := range s.needs {
		if r.Frail && !s.needs[a].Animal.Frail(s.needs[a].Stage) {
			continue
		}
		judged = true
		counts := slices.Grow(s.meals[:0], s.days)[:s.days]
		clear(counts)
		s.meals = counts
		day, slot := -1, -1
		for i := range s.items {
			it := &s.items[i]
			if it.day == day && it.slot == slot || it.Mass == 0 || !it.profile.meal || !slices.Contains(s.bowls[it.bowl].animals, a) {
				continue
			}
			day, slot = it.day, it.slot
			counts[day]++
		}
		least := 0
		for d := range counts {
			if counts[d] < counts[least] {
				least = d
			}
		}
		f := s.judge(r, s.count(counts[least]), figure.AtLeast(int64(s.needs[a].MealsPerDay)))
		f.Animal, f.Day = s.needs[a].Animal, least
	}
	if !judged {
		s.none(r, NoneFrail)
	}
}
