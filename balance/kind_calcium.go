package balance

import "fitchet.example/balance/shares"

// CalciumSource is whether calcium is added when no bone is fed.
var CalciumSource = Check{&kind{
	word: "calcium-source", options: []option{}, bounds: inRule, scale: &inCounts, unit: plural("servings", "serving"),
	judge: func(s *state, r *readyRule) {
		if n, bone := s.calciumSources(); bone {
			s.none(r, BoneFed)
		} else {
			s.judge(r, s.count(n), r.bounds)
		}
	},
	measure: notSums, onDay: notByDay, above: notAbove, adds: addsNothing, lacks: lacksNothing, detail: noDetail, split: notSplit,
	mends: byAmount(grams), remedy: bestChange, settle: onlyAnalysis,
	form: FormServing, days: allDays, each: no, laid: no, grows: no, atOnce: yes, bone: no,
}}

// calciumSources counts servings of powders that hold calcium, and says whether
// there is bone, so that none is needed.
func (s *state) calciumSources() (n int, bone bool) {
	for i := range s.foods {
		if f := &s.foods[i]; f.food.Complete || f.has[shares.BoneSlot] {
			return 0, true
		}
	}
	for i := range s.items {
		if s.items[i].profile.calcium && s.items[i].Mass > 0 {
			n++
		}
	}
	return n, false
}
