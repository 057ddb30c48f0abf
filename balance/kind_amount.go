package balance

import (
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Pieces is how many pieces of a kind each animal gets in a week.
var Pieces = Check{&kind{
	word: "pieces", bounds: inRule, scale: &inCounts, unit: always("a week"),
	options: []option{takesOf(OfKind), takesSplit()},
	judge:   withAnimals((*state).perAnimal), measure: notSums, onDay: notByDay, above: notAbove, adds: massLooked, lacks: lacksNothing, detail: noDetail, split: splitByRule,
	mends: byAmount(func(r *Rule, food *prey.Food) (units.Mass, bool) {
		if !r.LooksAt(food) {
			return 0, true
		}
		return food.Piece.Typical, true
	}), remedy: bestChange, settle: weighPiece,
	form: FormPortion, days: allDays, each: yes, laid: no, grows: yes, atOnce: no, bone: no,
}}

// Amount is the mass of a kind that each animal gets, in a week or by day.
var Amount = Check{&kind{
	word: "amount", bounds: inRule, scale: &inMasses,
	unit: func(r *Rule, _ bool) string {
		if r.Daily {
			return "a day"
		}
		return "a week"
	},
	options: []option{takesOf(OfEverything, OfKind), takesSplit(), flag("daily", func(r *Rule) *bool { return &r.Daily }),
		optional("sex", func(r *Rule) *ration.Sex { return &r.Sex }, ration.ParseSex)},
	judge: withAnimals((*state).perAnimal), measure: notSums, onDay: notByDay, above: notAbove, adds: massLooked, lacks: lacksNothing, detail: noDetail, split: splitByRule,
	mends: byAmount(func(r *Rule, food *prey.Food) (units.Mass, bool) {
		if !r.LooksAt(food) {
			return 0, false
		}
		return units.Gram, false
	}), remedy: bestChange, settle: onlyAnalysis,
	form: FormPortion, days: allDays, each: yes, laid: no, grows: yes, atOnce: no, bone: no,
}}

const weighPiece = "Weigh one piece, or write how many pieces there are."

func splitByRule(r *Rule) SplitBy { return r.Split }

// perAnimal judges pieces or masses that one animal gets.
func (s *state) perAnimal(r *readyRule) {
	judged := false
	for a := range s.needs {
		an := s.needs[a].Animal
		if len(r.Species) > 0 && !slices.Contains(r.Species, an.Kind()) || r.Sex != ration.SexUnknown && an.Sex != r.Sex {
			continue
		}
		judged = true
		fr := s.figure()
		known := s.gets(fr, r, a)
		f := s.judge(r, fr, r.bounds)
		if !known {
			f.Verdict, f.Whole, f.Reason = Open, Open, PiecesUnknown
		}
		if !r.Daily {
			s.short(f)
		}
		f.Animal = an
	}
	if !judged {
		s.none(r, OtherSex)
	}
}

// gets is how many pieces, or how much, an animal gets by the week or the day.
// It reports false when the weight of a piece is not known.
func (s *state) gets(f *figure.Figure, r *readyRule, animal int) (known bool) {
	var sum [prey.NumCases]figure.Sum
	for c := range sum {
		sum[c].Den = 1
	}
	known = true
	weighed := r.Check.InMasses()
	for i := range s.items {
		it := &s.items[i]
		if !it.profile.is[r.asks] {
			continue
		}
		p := s.bowls[it.bowl].share(animal, r.Split)
		if p.W == 0 {
			continue
		}
		if weighed {
			sum[0].Add(wide.U128{Lo: uint64(it.Mass)}, p)
			continue
		}
		piece := it.Food.Piece
		if it.Pieces <= 0 && (piece.Low <= 0 || !piece.Valid()) {
			known = false
			continue
		}
		// Few pieces if they are heavy, many if they are light.
		for c, each := range [prey.NumCases]units.Mass{piece.High, piece.Typical, piece.Low} {
			if it.Pieces > 0 {
				sum[c].Add(wide.U128{Lo: uint64(it.Pieces)}, p)
				continue
			}
			q := figure.NewPart(uint64(it.Mass), uint64(each))
			if of := wide.Mul(q.Total, p.Total); of.Hi == 0 {
				sum[c].Add(wide.U128{Lo: q.W}, figure.Part{W: p.W, Total: of.Lo})
			}
		}
	}
	if weighed {
		sum[1], sum[2] = sum[0], sum[0]
	}
	for c := range sum {
		num, by := sum[c].Num, uint64(max(s.days, 1))
		if !r.Daily {
			num, _ = num.Times(daysInWeek)
			by = s.weekDays()
		}
		f.Num[c] = num
		f.Den[c] = wide.Mul(sum[c].Den, by)
	}
	return known
}
