package balance

import (
	"fmt"

	"fitchet.example/safety"
	"fitchet.example/units/say"
	"fitchet.example/units/wide"
)

// WholePieces is how many servings of whole prey, or of counted pieces, are not
// whole pieces.
var WholePieces = unfit(kind{
	word: "whole-pieces", scale: &inCounts, unit: plural("servings", "serving"),
	judge:  (*state).wholePieces,
	detail: listed(brokenFoods),
	remedy: func(f *Finding, _ []Change) string {
		return fmt.Sprintf("Serve whole ones and write how many, or write that it is cut up (form): %s.", say.And(brokenFoods(f)))
	},
	form: FormFit, each: no, laid: no, grows: no,
})

func brokenFoods(f *Finding) (out names) {
	for i := range f.s.items {
		if wrong, _ := f.s.items[i].wrongPieces(); wrong {
			out.add(f.s.items[i].Food.Name)
		}
	}
	return out
}

// wrongPieces reports whether a serving does not come in whole pieces, as far as
// it should: whole prey is served whole, and what is counted weighs about what its
// pieces do. Known is false where the weight of a piece is not known.
func (it *item) wrongPieces() (wrong, known bool) {
	p := it.Food.Piece
	switch {
	case it.Mass <= 0 || it.Pieces <= 0 && it.form != safety.WholePrey:
		return false, true
	case p.Low <= 0 || !p.Valid():
		return false, it.Pieces > 0
	case it.Pieces > 0:
		// A fifth to five times the weight of a piece is believed.
		n := uint64(it.Pieces)
		least, most := wide.Mul(uint64(p.Low), n), wide.Mul(uint64(p.High), n)
		return wide.Mul(uint64(it.Mass), 5).Cmp(least) < 0 || times(most, 5).Cmp(wide.U128{Lo: uint64(it.Mass)}) < 0, true
	}
	n := uint64((it.Mass-1)/p.High + 1) // the fewest that can weigh so much
	return wide.Mul(n, uint64(p.Low)).Cmp(wide.U128{Lo: uint64(it.Mass)}) > 0, true
}

func times(v wide.U128, n uint64) wide.U128 {
	v, _ = v.Times(n)
	return v
}

// wholePieces counts the servings that do not come in whole pieces.
func (s *state) wholePieces(r *readyRule) {
	if s.in.Eaten {
		s.none(r, AlreadyEaten)
		return
	}
	n, day, any, known := 0, -1, false, true
	for i := range s.items {
		it := &s.items[i]
		any = any || it.Mass > 0 && (it.Pieces > 0 || it.form == safety.WholePrey)
		wrong, ok := it.wrongPieces()
		known = known && ok
		if wrong {
			if n++; n == 1 {
				day = it.day
			}
		}
	}
	if !any {
		s.none(r, NoneFed)
		return
	}
	f := s.judge(r, s.count(n), r.bounds)
	f.Day = day
	if !known && f.Verdict == Met {
		f.Verdict, f.Whole, f.Reason = Open, Open, PiecesUnknown
	}
}
