package balance

import (
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/units/say"
)

// MixLacks is what incomplete mixes lack and nothing else in the week gives.
var MixLacks = Check{&kind{
	word: "mix-lacks", options: []option{}, bounds: inRule, scale: &inCounts, unit: plural("slots", "slot"),
	judge: (*state).mixMisses, measure: notSums, onDay: notByDay, above: notAbove, adds: addsNothing, lacks: lacksNothing, split: notSplit,
	detail: func(f *Finding) string {
		var words []string
		lacks, _, _ := f.s.mixLacks()
		for _, slot := range shares.Slots() {
			if lacks[slot] {
				words = append(words, slot.Part().String())
			}
		}
		if len(words) == 0 {
			return ""
		}
		return " lacking: " + say.And(words)
	},
	mends: byAmount(grams), remedy: bestChange, settle: onlyAnalysis,
	form: FormGap, days: allDays, each: no, laid: no, grows: no, atOnce: yes, bone: no,
}}

func (s *state) mixMisses(r *readyRule) {
	lacks, any, known := s.mixLacks()
	if !any {
		s.none(r, NoneFed)
		return
	}
	n := 0
	for _, is := range lacks {
		if is {
			n++
		}
	}
	f := s.judge(r, s.count(n), r.bounds)
	if !known && f.Verdict == Met {
		f.Verdict, f.Whole, f.Reason = Open, Open, PartsUnknown
	}
}

// mixLacks tells which slots incomplete mixes lack and nothing else in the plan
// fills.
func (s *state) mixLacks() (lacks [shares.NumSlots]bool, any, known bool) {
	known = true
	var has [shares.NumSlots]bool
	for i := range s.foods {
		f := &s.foods[i]
		if f.food.Complete || f.mass == 0 {
			continue
		}
		if f.food.Kind == prey.Mix || f.food.Kind == prey.DriedRaw {
			any = true
			known = known && f.food.PartsKnown
		}
		for slot := range has {
			has[slot] = has[slot] || f.has[slot]
		}
	}
	for slot := range has {
		lacks[slot] = known && !has[slot] // a mix of unknown parts may hold it
	}
	return lacks, any, known
}
