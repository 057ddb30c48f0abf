package balance

import (
	"fitchet.example/balance/shares"
	"fitchet.example/ration"
	"fitchet.example/units/cite"
)

// holder is where the bounds of a rule stand.
type holder struct {
	in     place
	limits func(*Rule, *shares.Target, *ration.Need) (low, high *Limit, aim cite.Ref)
	move   func(r *Rule, t *shares.Target, low, high int64)
}

// place is what holds the bounds of a rule.
type place uint8

const (
	ofRule place = iota + 1
	ofTarget
	ofNeed
	ofSafety
)

// holder is where the bounds of the rule stand.
func (r *Rule) holder() holder { return r.Check.of().bounds(r) }

// HeldToTarget reports whether the bounds of the rule are those of the target.
func (r *Rule) HeldToTarget() bool { return r.holder().in == ofTarget }

// Limits returns the bounds that a plan is held to, nil where there is none: those
// of the rule itself, of the target, or of the animal's need, as the kind of rule
// has it. Target and need may be nil, which sets no bounds.
func (r *Rule) Limits(t *shares.Target, n *ration.Need) (low, high *Limit) {
	low, high, _ = r.holder().limits(r, t, n)
	return low, high
}

// Move moves the bounds of the rule by so many steps of their unit, where they
// stand: it returns a changed copy of the rule or of the target, and the other as it
// is. Bounds that there are not do not move, nor do those of an animal's need.
func (r *Rule) Move(t *shares.Target, low, high int64) (*Rule, *shares.Target) {
	h := r.holder()
	rule, target := *r, shares.Target{}
	switch {
	case h.in == ofRule:
		h.move(&rule, nil, low, high)
		return &rule, t
	case h.in == ofTarget && t != nil:
		target = *t
		h.move(&rule, &target, low, high)
		return r, &target
	}
	return r, t
}

// moved is a bound moved by so many steps.
func (l *Limit) moved(by int64) *Limit {
	if l == nil || by == 0 {
		return l
	}
	m := *l
	m.Value += by
	return &m
}

func stays(*Rule, *shares.Target, int64, int64) {}

// inRule: the bounds stand in the rule.
func inRule(*Rule) holder {
	return holder{ofRule,
		func(r *Rule, _ *shares.Target, _ *ration.Need) (*Limit, *Limit, cite.Ref) {
			return r.Low, r.High, cite.Ref{}
		},
		func(r *Rule, _ *shares.Target, low, high int64) { r.Low, r.High = r.Low.moved(low), r.High.moved(high) },
	}
}

// inSafety: package safety knows what it is held to.
func inSafety(r *Rule) holder { return holder{ofSafety, inRule(r).limits, stays} }

// inNeed: the bounds are those of an animal's need.
func inNeed(limits func(*ration.Need) (low, high *Limit)) func(*Rule) holder {
	return func(*Rule) holder {
		return holder{ofNeed, func(_ *Rule, _ *shares.Target, n *ration.Need) (low, high *Limit, aim cite.Ref) {
			if n != nil {
				low, high = limits(n)
			}
			return low, high, aim
		}, stays}
	}
}
