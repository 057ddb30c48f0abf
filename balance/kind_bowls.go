package balance

import "fitchet.example/units/say"

// BowlMates is how many meals are shared by animals that are not of one group.
var BowlMates = unfit(kind{
	word: "bowl-mates", scale: &inCounts, unit: plural("meals", "meal"),
	judge: withAnimals((*state).bowlMates),
	detail: listed(func(f *Finding) (out names) {
		for i := range f.s.items {
			if b := &f.s.bowls[f.s.items[i].bowl]; !f.s.oneGroup(b) {
				out.add(say.And(b.ids))
			}
		}
		return out
	}),
	remedy: simply("Give each its own bowl, or write in the household that they share one (group)."),
	form:   FormFit, each: no, laid: no, grows: yes,
})

// bowlMates counts the meals at which animals share a bowl that are not of one
// group.
func (s *state) bowlMates(r *readyRule) {
	if len(s.needs) == 1 {
		s.none(r, OneAnimal)
		return
	}
	n, first := 0, -1
	day, slot, bowl := -1, -1, -1
	for i := range s.items {
		it := &s.items[i]
		if it.day == day && it.slot == slot && it.bowl == bowl {
			continue
		}
		day, slot, bowl = it.day, it.slot, it.bowl
		if !s.oneGroup(&s.bowls[bowl]) {
			if n++; n == 1 {
				first = day
			}
		}
	}
	s.judge(r, s.count(n), r.bounds).Day = first
}

func (s *state) oneGroup(b *bowl) bool {
	for i, a := range b.animals {
		if g := s.needs[a].Animal.Group; i > 0 && (g == "" || g != s.needs[b.animals[0]].Animal.Group) {
			return false
		}
	}
	return true
}
