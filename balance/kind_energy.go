package balance

import (
	"fitchet.example/balance/internal/figure"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units/wide"
)

// EnergyFloor holds each day of an animal against its resting need.
var EnergyFloor = Check{&kind{
	word: "energy-floor", options: []option{}, scale: &inEnergy, unit: always("a day"),
	bounds: inNeed(func(n *ration.Need) (low, high *Limit) {
		if n.Floor > 0 {
			low = &Limit{int64(n.Floor), n.Floor.String(), n.FloorRef}
		}
		return low, nil
	}),
	judge:   (*state).energyFloor,
	measure: notSums, onDay: (*state).energyFigure, above: notAbove, adds: energyOf, lacks: lacksEnergy, detail: noDetail, split: splitByBand,
	mends: byAmount(grams), remedy: bestChange, settle: onlyAnalysis,
	form: FormEnergy, days: worstDay, each: yes, laid: yes, grows: no, atOnce: no, bone: yes,
}}

// EnergyBand holds an animal's daily mean against its planning band.
var EnergyBand = Check{&kind{
	word: "energy-band", options: []option{}, scale: &inEnergy, unit: always("a day"),
	bounds: inNeed(func(n *ration.Need) (low, high *Limit) {
		if n.HasBand {
			low = &Limit{int64(n.Band.Low), n.Band.Low.String(), n.BandRef}
			high = &Limit{int64(n.Band.High), n.Band.High.String(), n.BandRef}
		}
		return low, high
	}),
	judge:   (*state).energyBand,
	measure: notSums, onDay: (*state).energyFigure, above: notAbove, adds: energyOf, lacks: lacksEnergy, detail: noDetail, split: splitByBand,
	mends: byAmount(grams), remedy: bestChange, settle: onlyAnalysis,
	form: FormEnergy, days: meanDay, each: yes, laid: no, grows: no, atOnce: no, bone: yes,
}}

// energyOf is the energy in a serving.
func energyOf(_ *Finding, it *item) (wide.U128, bool) {
	v, _ := it.tally().Energy(prey.Typical)
	return v, true
}

func lacksEnergy(_ *Finding, food *prey.Food) bool {
	_, _, ok := food.DefaultEnergy()
	return !ok
}

func (s *state) energyFloor(r *readyRule) {
	s.eachNeed(r, func(animal int, need *ration.Need) *Finding {
		if need.Floor <= 0 {
			return nil
		}
		return s.worstDay(r, animal, figure.AtLeast(int64(need.Floor)))
	})
}

func (s *state) energyBand(r *readyRule) {
	s.eachNeed(r, func(animal int, need *ration.Need) *Finding {
		if !need.HasBand {
			return nil
		}
		fr := s.figure()
		s.energyFigure(fr, animal, -1)
		return s.judge(r, fr, figure.Between(int64(need.Band.Low), int64(need.Band.High)))
	})
}

// eachNeed judges every animal for which the figure of its need is known.
func (s *state) eachNeed(r *readyRule, judge func(animal int, need *ration.Need) *Finding) {
	if len(s.needs) == 0 {
		s.none(r, NoAnimals)
	}
	for a := range s.needs {
		f := judge(a, &s.needs[a])
		if f == nil {
			f = s.none(r, NoBand)
		}
		f.Animal = s.needs[a].Animal
	}
}

// tenthOfKcal is a tenth of a kcal in picograms times density: 0.1 kcal is
// 1e11 pg/g x 1e2 g x 1e9.
func tenthOfKcal() wide.U128 { return wide.Mul(10_000_000_000, 1_000_000_000_000) }

// worstDay judges every day and notes the worst: a miss before what is open
// before what is met, and among equals the day with the least energy.
func (s *state) worstDay(r *readyRule, animal int, b figure.Bounds) *Finding {
	worst := s.figure()
	verdict, day := Met, 0
	for d := range s.days {
		f := figure.Figure{Bounds: b}
		s.energyFigure(&f, animal, d)
		v := Verdict(f.Judge().Typical)
		if d == 0 || rank(v) > rank(verdict) || rank(v) == rank(verdict) && f.LessThan(worst) {
			*worst, verdict, day = f, v, d
		}
	}
	f := s.judge(r, worst, b)
	f.Day = day
	return f
}

// rank orders verdicts by how much they ask for attention.
func rank(v Verdict) int { return [...]int{Met: 1, Missed: 3, Open: 2, NotApplicable: 0}[v] }

// energyFigure is the energy of one day, or with -1 the mean of all, in tenths
// of a kcal.
func (s *state) energyFigure(f *figure.Figure, animal, day int) {
	sum, known, of := s.energy(animal, day)
	days := uint64(1)
	if day < 0 {
		days = uint64(max(s.days, 1))
	}
	f.Scale, f.NumKnown, f.DenKnown, f.Of = 1, known, of, of
	for c := range sum {
		f.Num[c] = sum[c].Num
		f.Den[c], _ = tenthOfKcal().Times(sum[c].Den)
		f.Den[c], _ = f.Den[c].Times(days)
	}
}
