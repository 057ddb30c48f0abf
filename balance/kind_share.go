package balance

import (
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/wide"
)

// SlotShareCheck holds one slot against the bounds of the target.
var SlotShareCheck = ofSums(kind{
	word: "slot-share", bounds: slotInTarget, scale: &inShares, unit: always("of the five slots"),
	options: []option{required("slot", func(r *Rule) *shares.Slot { return &r.Slot }, shares.ParseSlot)},
	judge:   (*state).slotShare, above: slotAbove,
	measure: func(s *state, f *figure.Figure, r *Rule) { *f = s.share(r.Slot) },
	bone:    yes,
})

// MassShare is the share of all mass that is liver, complete food, or food
// with a tag. The least share of complete food is the target's.
var MassShare = ofSums(kind{
	word: "mass-share", scale: &inShares, unit: always("of all food"),
	options: []option{takesOf(OfLiver, OfComplete, OfKind)},
	bounds: func(r *Rule) holder {
		if r.Subject == OfComplete {
			return completeInTarget()
		}
		return inRule(r)
	},
	judge: (*state).massShare, measure: (*state).massPart, above: massAbove,
	bone: no,
})

func slotInTarget(*Rule) holder {
	return holder{ofTarget, func(r *Rule, t *shares.Target, _ *ration.Need) (low, high *Limit, aim cite.Ref) {
		if t == nil {
			return nil, nil, aim
		}
		sh, ok := t.Share(r.Slot)
		if !ok {
			return nil, nil, aim
		}
		return &Limit{int64(sh.Low), sh.Low.String(), sh.BoundsRef}, &Limit{int64(sh.High), sh.High.String(), sh.BoundsRef}, sh.AimRef
	}, func(r *Rule, t *shares.Target, low, high int64) {
		t.Shares = slices.Clone(t.Shares)
		for i := range t.Shares {
			if sh := &t.Shares[i]; sh.Slot == r.Slot {
				sh.Low, sh.High = sh.Low+units.Share(low), sh.High+units.Share(high)
			}
		}
	}}
}

func completeInTarget() holder {
	return holder{ofTarget, func(_ *Rule, t *shares.Target, _ *ration.Need) (low, high *Limit, aim cite.Ref) {
		if t != nil && t.CompleteLeast > 0 {
			low = &Limit{int64(t.CompleteLeast), t.CompleteLeast.String(), t.CompleteRef}
		}
		return low, nil, aim
	}, func(_ *Rule, t *shares.Target, low, _ int64) {
		if t.CompleteLeast > 0 {
			t.CompleteLeast += units.Share(low)
		}
	}}
}

func (s *state) slotShare(r *readyRule) {
	sh, ok := s.target.Share(r.Slot)
	switch {
	case !ok:
		s.none(r, TargetSilent)
	case s.counted == 0 && s.complete > 0:
		s.none(r, AllComplete)
	default:
		s.judge(r, s.measured(r), figure.Between(int64(sh.Low), int64(sh.High)))
	}
}

func (s *state) massShare(r *readyRule) {
	b := r.bounds
	if r.Subject == OfComplete {
		if s.target.CompleteLeast <= 0 {
			s.none(r, TargetSilent)
			return
		}
		b = figure.AtLeast(int64(s.target.CompleteLeast))
	}
	s.judge(r, s.measured(r), b)
}

// massPart is the share of all mass that is what the rule looks at.
func (s *state) massPart(f *figure.Figure, r *Rule) {
	switch r.Subject {
	case OfLiver:
		s.liverShare(f)
	case OfKind:
		s.kindShare(f, r)
	default:
		f.OfWhole(uint64(s.complete), uint64(s.total.Mass()), shareScale)
	}
}

// kindShare is the share of all mass that is what the rule looks at.
func (s *state) kindShare(f *figure.Figure, r *Rule) {
	var m units.Mass
	for i := range s.foods {
		if r.LooksAt(s.foods[i].food) {
			m += s.foods[i].mass
		}
	}
	f.OfWhole(uint64(m), uint64(s.total.Mass()), shareScale)
}

// share is the share of a slot in all slots.
func (s *sums) share(slot shares.Slot) figure.Figure {
	f := figure.Figure{Scale: shareScale, NumKnown: s.slotKnown, DenKnown: s.slotKnown, Of: s.counted}
	for c := range f.Num {
		f.Num[c], f.Den[c] = s.slots[c][slot], s.slotSum(c)
	}
	return f
}

// slotSum is what all slots of a case hold.
func (s *sums) slotSum(c int) (sum wide.U128) {
	for _, v := range s.slots[c] {
		sum, _ = sum.Add(v)
	}
	return sum
}

func (s *sums) liverShare(f *figure.Figure) {
	f.Scale, f.NumKnown, f.DenKnown, f.Of = shareScale, s.total.PartsKnownMass(), s.total.Mass(), s.total.Mass()
	for c := range f.Num {
		f.Num[c] = s.total.Part(prey.Case(c), prey.Liver)
		f.Den[c] = wide.Mul(uint64(s.total.Mass()), uint64(units.Whole))
	}
}

func slotAbove(r *Rule, t *shares.Target, f *prey.Food, bound int64) (above, at float64, ok bool) {
	share := float64(bound) / 1e6
	return t.Above(f, r.Slot, share), share, true
}

func massAbove(r *Rule, _ *shares.Target, f *prey.Food, bound int64) (above, at float64, ok bool) {
	in, ok := 0.0, true
	switch {
	case r.Subject == OfLiver:
		in, ok = float64(f.Shares[prey.Typical][prey.Liver])/1e6, f.PartsKnown
	case r.LooksAt(f):
		in = 1
	}
	return in - float64(bound)/1e6, float64(bound) / 1e6, ok
}
