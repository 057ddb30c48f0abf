package balance

import (
	"fmt"
	"slices"

	"fitchet.example/ration"
	"fitchet.example/units/say"
)

// Refused is how many servings an animal gets of what it must not.
var Refused = unfit(kind{
	word: "refused", scale: &inCounts, unit: plural("servings", "serving"),
	judge:  withAnimals((*state).refused),
	detail: listed(refusedFoods),
	remedy: func(f *Finding, _ []Change) string {
		return fmt.Sprintf("Take %s out of what %s gets.", say.And(refusedFoods(f)), f.Who())
	},
	form: FormFit, each: yes, laid: no, grows: yes,
})

func refusedFoods(f *Finding) (out names) {
	s := f.s
	a := slices.IndexFunc(s.needs, func(n ration.Need) bool { return n.Animal == f.Animal })
	for i := range s.items {
		if a >= 0 && s.against(&s.items[i], a) {
			out.add(s.items[i].Food.Name)
		}
	}
	return out
}

// refused counts what each animal gets that it must not.
func (s *state) refused(r *readyRule) {
	judged := false
	for a := range s.needs {
		an := s.needs[a].Animal
		if len(an.Never) == 0 {
			continue
		}
		judged = true
		n, day := 0, -1
		for i := range s.items {
			if s.against(&s.items[i], a) {
				if n++; n == 1 {
					day = s.items[i].day
				}
			}
		}
		f := s.judge(r, s.count(n), r.bounds)
		f.Animal, f.Day = an, day
	}
	if !judged {
		s.none(r, NothingRefused)
	}
}

// against reports whether an animal gets a serving that it must not.
func (s *state) against(it *item, animal int) bool {
	return it.Mass > 0 && slices.Contains(s.bowls[it.bowl].animals, animal) && s.ready.refuses(s.needs[animal].Animal, it.Food)
}
