package balance

import (
	"fmt"
	"slices"

	"fitchet.example/prey"
)

// SpeciesCount is how many species (of one colour) are fed. Eggs, oils and
// powders do not count.
var SpeciesCount = Check{&kind{
	word: "species-count", bounds: inRule, scale: &inCounts, unit: plural("kinds", "kind"),
	options: []option{optional("colour", func(r *Rule) *prey.Colour { return &r.Colour }, prey.ParseColour)},
	judge:   (*state).speciesCount, measure: notSums, onDay: notByDay, above: notAbove, adds: addsNothing, lacks: lacksNothing, split: notSplit,
	detail: listed(func(f *Finding) names { return f.s.speciesNames(f.Rule) }),
	mends:  byAmount(grams), settle: onlyAnalysis,
	remedy: func(f *Finding, mends []Change) string {
		if len(mends) == 0 {
			return bestChange(f, mends)
		}
		return fmt.Sprintf("Add %s (any amount counts for the rule; practice means whole meals).", mends[0].Food.Name) + mends[0].missing()
	},
	form: FormVariety, days: allDays, each: no, laid: no, grows: yes, atOnce: yes, bone: no,
}}

func (s *state) speciesCount(r *readyRule) {
	s.seen = s.species(r.Rule, s.seen)
	n := 0
	for _, is := range s.seen {
		if is {
			n++
		}
	}
	s.short(s.judge(r, s.count(n), r.bounds))
}

// species tells which animals are fed, by the indexes of the profiles, in the
// memory it is given. A mix counts with everything it contains; eggs, oils and
// powders do not count.
func (s *state) species(r *Rule, seen []bool) []bool {
	seen = slices.Grow(seen[:0], len(s.ready.species))[:len(s.ready.species)]
	clear(seen)
	for i := range s.foods {
		f := &s.foods[i]
		if f.mass == 0 || r.Colour != 0 && f.food.Colour != r.Colour {
			continue
		}
		for _, k := range f.meats {
			seen[k] = true
		}
	}
	return seen
}

// speciesNames are the animals that are fed, sorted.
func (s *state) speciesNames(r *Rule) (out []string) {
	for k, is := range s.species(r, nil) {
		if is {
			out = append(out, s.ready.species[k])
		}
	}
	slices.Sort(out)
	return out
}

// meats are the animals that a food counts for: of eggs, oils, powders and dry food
// none, as far as common practice goes.
func meats(f *prey.Food) []string {
	switch f.Kind {
	case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood: // practice means meats
		return nil
	}
	return f.Animals()
}

// Meats returns the animals that a food counts for under a rule of [FormVariety].
func (r *Rule) Meats(f *prey.Food) []string {
	if f == nil || r.Check.Form() != FormVariety || r.Colour != 0 && f.Colour != r.Colour {
		return nil
	}
	return meats(f)
}
