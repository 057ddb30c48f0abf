package balance

import (
	"fitchet.example/balance/internal/figure"
	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// DriedWater is whether dried food is fed with at least its mass of water.
var DriedWater = Check{&kind{
	word: "dried-water", options: []option{}, bounds: inRule, scale: &inCounts, unit: always("g of water per g of dried food"),
	judge: func(s *state, r *readyRule) {
		if f, any := s.driedWater(); any {
			s.judge(r, f, r.bounds)
		} else {
			s.none(r, NoneFed)
		}
	},
	measure: notSums, onDay: notByDay, above: notAbove, lacks: lacksNothing, detail: noDetail, split: notSplit,
	adds: func(_ *Finding, it *item) (wide.U128, bool) {
		return wide.U128{Lo: uint64(it.Mass)}, it.FormOf() == safety.Dried
	},
	mends: noMends, remedy: simply("Serve the dried food soaked, or beside moist food."), settle: onlyAnalysis,
	form: FormServing, days: allDays, each: no, laid: yes, grows: no, atOnce: no, bone: no,
}}

// driedWater is water over dried food in the driest meal that holds any. Food
// served soaked has its water.
func (s *state) driedWater() (f *figure.Figure, any bool) {
	for i := 0; i < len(s.items); {
		first, from := &s.items[i], i
		var dry units.Mass
		for ; i < len(s.items) && s.items[i].day == first.day && s.items[i].slot == first.slot && s.items[i].bowl == first.bowl; i++ {
			if s.items[i].form == safety.Dried {
				dry += s.items[i].Mass
			}
		}
		if dry == 0 {
			continue
		}
		var t prey.Tally
		for _, it := range s.items[from:i] {
			_ = t.Add(it.Food, it.Mass) // it was added to the plan's sum before
		}
		g := figure.Figure{Scale: 1}
		for c := range g.Num {
			g.Num[c], _ = t.Nutrient(prey.Case(c), prey.Water)
			g.Den[c] = wide.Mul(uint64(dry), perHundredGrams)
		}
		switch {
		case !any:
			f, any = s.figure(), true
			*f = g
		case g.LessThan(f):
			*f = g
		}
	}
	return f, any
}
