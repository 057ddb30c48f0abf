package balance

import "fitchet.example/safety"

// Chew is whether something to gnaw stands beside ground and dried food.
var Chew = Check{&kind{
	word: "chew", options: []option{}, bounds: inRule, scale: &inCounts, unit: plural("servings", "serving"),
	judge: func(s *state, r *readyRule) {
		if n, ground := s.chew(); ground {
			s.judge(r, s.count(n), r.bounds)
		} else {
			s.none(r, NoneFed)
		}
	},
	measure: notSums, onDay: notByDay, above: notAbove, adds: addsNothing, lacks: lacksNothing, detail: noDetail, split: notSplit,
	mends: noMends, remedy: simply("Add a serving with bone in it, or whole prey, on some day."), settle: onlyAnalysis,
	form: FormServing, days: allDays, each: no, laid: yes, grows: yes, atOnce: no, bone: no,
}}

// chew counts servings to gnaw on, and says whether there is ground or dried
// food that asks for them.
func (s *state) chew() (n int, ground bool) {
	for i := range s.items {
		switch s.items[i].form {
		case safety.Soup, safety.Minced, safety.Dried, safety.Soaked:
			ground = true
		case safety.BoneIn, safety.WholePrey:
			n++
		}
	}
	return n, ground
}
