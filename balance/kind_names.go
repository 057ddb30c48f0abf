package balance

import (
	"cmp"
	"fmt"

	"fitchet.example/ration"
	"fitchet.example/units/say"
)

// SameName is how many animals have a name that another before them has.
var SameName = unfit(kind{
	word: "same-name", scale: &inCounts, unit: plural("names too few", "name too few"),
	judge:  withAnimals((*state).sameName),
	detail: listed(sharedNames),
	remedy: func(f *Finding, _ []Change) string {
		return fmt.Sprintf("Give each a name of its own: %s.", say.And(sharedNames(f)))
	},
	form: FormWritten, each: no, laid: no, grows: no,
})

func sharedNames(f *Finding) (out names) {
	for a := range f.s.needs {
		if an := f.s.needs[a].Animal; f.s.shared(a, f.s.needs) {
			out.add(cmp.Or(an.Name, an.ID) + " (" + an.ID + ")")
		}
	}
	return out
}

// sameName counts the animals whose name one before them has.
func (s *state) sameName(r *readyRule) {
	if len(s.needs) == 1 {
		s.none(r, OneAnimal)
		return
	}
	n := 0
	for a := range s.needs {
		if s.shared(a, s.needs[:a]) {
			n++
		}
	}
	s.judge(r, s.count(n), r.bounds)
}

// shared reports whether one of others has the name of an animal.
func (s *state) shared(animal int, others []ration.Need) bool {
	an := s.needs[animal].Animal
	for i := range others {
		if o := others[i].Animal; o != an && o.NamedLike(an) {
			return true
		}
	}
	return false
}
