package eaten

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/safety"
	"fitchet.example/units"

	"github.com/shopspring/decimal"
)

// Input is what [Audit] judges. Log and Household are needed; the rest is as in
// [balance.Input].
type Input struct {
	Log         *log.Log
	Household   *ration.Household
	To          units.Date // last day; 0: the log's as-of day
	Days        int        // 1 to 366; 0: 7
	Target      *shares.Target
	Book        *balance.Book
	HazardCheck *safety.HazardCheck
	Foods       *prey.Catalogue
}

// Report is the audit of what was eaten over some days.
type Report struct {
	From, To units.Date
	Days     int
	Target   *shares.Target
	// Unwritten are the days among them of which not everything fed is written
	// down. They are not days without food.
	Unwritten []units.Date
	All       Eater   // all animals together, which shared bowls do not blur
	Each      []Eater // in the order of the household
	// Short is what all together fell short of, for each slot that the target
	// asks for.
	Short []Shortfall
}

// Eater is what one animal, or all together, ate.
type Eater struct {
	Animal *ration.Animal // nil: all together
	Mass   units.Range[units.Mass]
	// Report is the audit of what was typically eaten; nil when nothing is
	// written down. Findings are the same, with what the log leaves open.
	Report   *balance.Report
	Findings []Finding
	Adjusted log.Correction // of one animal; the zero value for all

	typical []ration.Serving
	items   []morsel
	target  *shares.Target
}

// Finding is a finding about what was eaten. Its Verdict is at the typical
// figures and amounts; but what only falls short because days are not written
// down is open. Whole is over the figures alone.
type Finding struct {
	balance.Finding
	// Over is the verdict over all that may have been eaten and the whole range
	// of figures: what nobody weighed may be left, what nobody searched for may
	// be hidden, each animal at a shared bowl may have eaten from nothing to all
	// that nobody saw another eat, and days that are not written down may have
	// held anything.
	Over balance.Verdict
	// Why says why Over is open, "" when it is not.
	Why string

	low, high *big.Rat // in the unit of the bounds; nil: no end is known
}

// Shortfall is how far a slot fell below the least share of the target, or went
// over its most.
type Shortfall struct {
	Slot  shares.Slot
	Known bool // false: the parts are known for too little of what was eaten
	// Short is the mass of the slot that lacked for the least share of all that
	// was eaten: Low lacked for certain, High at worst. All are 0 or more and
	// rounded up.
	Short units.Range[units.Mass]
	Over  units.Range[units.Mass] // the same above the most
	// Carry is what to plan more of next week, in whole grams: the typical
	// shortfall, but no more than fits between the least and the most of the
	// slot in a week as large as those that were judged. For
	// plan.Request.Extra.
	Carry units.Mass
	Cut   bool // Carry is less than the typical shortfall for that reason
}

// Extra is what next week's plan makes up for, for plan.Request.Extra.
func (e *Report) Extra() (out [shares.NumSlots]units.Mass) {
	for _, s := range e.Short {
		out[s.Slot] = s.Carry
	}
	return out
}

// maxDays bounds the days that are judged together.
const (
	maxDays    = 366
	daysInWeek = 7
)

// Audit judges what was eaten by the rules of the book and the shares of the
// target, for all animals together and for each. The days end with To.
//
// Everything about energy and meals of a day is judged on days that are written
// down in full alone; the rest on all that is written. Shares and nutrients take
// their exact extremes over all that may have been eaten, each bowl for itself;
// what is counted is taken at its least and its most.
//
// It fails with an error that wraps [balance.ErrPlan] when there is no log or
// household, or Days is out of range, with [balance.ErrUnknownTarget] or
// [ration.ErrAnimalID], or with that of reading the shipped tables.
func Audit(in Input) (*Report, error) {
	if in.Days == 0 {
		in.Days = daysInWeek
	}
	switch {
	case in.Log == nil || in.Household == nil:
		return nil, fmt.Errorf("auditing what was eaten: no log or no household: %w", balance.ErrPlan)
	case in.Days < 1 || in.Days > maxDays:
		return nil, fmt.Errorf("auditing what was eaten over %d days, want 1 to %d: %w", in.Days, maxDays, balance.ErrPlan)
	}
	if in.To == 0 {
		in.To = in.Log.AsOf.Date
	}
	e := &Report{From: in.To.AddDays(1 - in.Days), To: in.To, Days: in.Days}
	base, err := balance.Input{
		Plan: &ration.Plan{Start: e.From}, Household: in.Household, Target: in.Target, Book: in.Book, HazardCheck: in.HazardCheck, Foods: in.Foods, Eaten: true,
	}.Filled()
	if err != nil {
		return nil, fmt.Errorf("auditing what %q ate: %w", in.Household.Name, err)
	}
	e.Target = base.Target
	for d := e.From; d <= e.To; d = d.AddDays(1) {
		if _, ok := slices.BinarySearch(in.Log.Complete, d); !ok {
			e.Unwritten = append(e.Unwritten, d)
		}
	}
	if e.All, err = e.by(base, in.Log, nil); err != nil {
		return nil, err
	}
	for i := range in.Household.Animals {
		by, err := e.by(base, in.Log, &in.Household.Animals[i])
		if err != nil {
			return nil, err
		}
		e.Each = append(e.Each, by)
	}
	e.shortfalls()
	return e, nil
}

// by judges one animal, or with nil all.
func (e *Report) by(base balance.Input, l *log.Log, a *ration.Animal) (Eater, error) {
	by := Eater{Animal: a, target: e.Target}
	id := ""
	if a != nil {
		id = a.ID
		h := *base.Household
		h.Animals = []ration.Animal{*a}
		base.Household = &h
		need := ration.Needs(a, e.To)
		base.Needs = []ration.Need{need}
		by.Adjusted = log.Adjust(need, l, e.From, e.To)
	}
	swallowed := l.Swallowed(id, e.From, e.To)
	by.items = morsels(swallowed)
	for _, s := range swallowed {
		low, high := s.Corners[0].Mass, s.Corners[0].Mass
		for _, c := range s.Corners {
			low, high = min(low, c.Mass), max(high, c.Mass)
		}
		by.Mass = units.Range[units.Mass]{Low: by.Mass.Low + low, Typical: by.Mass.Typical + s.Typical.Mass, High: by.Mass.High + high}
	}
	full := func(d ration.Day) bool { _, ok := slices.BinarySearch(l.Complete, d.Date); return ok }
	var all, complete ends
	for i, end := range []log.RangeEnd{log.LowEnd, log.TypicalEnd, log.HighEnd} {
		p := l.AsPlan(id, e.From, e.To, end)
		if i == typicalEnd {
			for _, s := range p.Servings() {
				by.typical = append(by.typical, *s)
			}
		}
		whole := *p
		whole.Days = nil
		for _, d := range p.Days {
			if full(d) {
				whole.Days = append(whole.Days, d)
			}
		}
		for _, x := range []struct {
			plan *ration.Plan
			into **balance.Report
		}{{p, &all[i]}, {&whole, &complete[i]}} {
			if len(x.plan.Days) == 0 {
				continue
			}
			one := base
			one.Plan = x.plan
			r, err := balance.Audit(one)
			if err != nil {
				return by, fmt.Errorf("auditing what was eaten: %w", err)
			}
			*x.into = r
		}
	}
	by.Report = all[typicalEnd]
	if by.Report == nil {
		return by, nil
	}
	for i := range by.Report.Findings {
		f := &by.Report.Findings[i]
		if a == nil && f.Animal != nil || a != nil && f.Rule.Check.Form() == balance.FormHarm {
			continue // judged for each, and for all
		}
		by.Findings = append(by.Findings, e.finding(f, all, complete, by.items))
	}
	return by, nil
}

// ends are the audits of the least, the typical and the most that was eaten.
type ends [3]*balance.Report

const (
	lowEnd = iota
	typicalEnd
	highEnd
)

// like finds what each audit says by the same rule, about the same animal and
// hazard; nil where one says nothing.
func (r ends) like(f *balance.Finding) (out [3]*balance.Finding) {
	for i := range r {
		if r[i] == nil {
			continue
		}
		for j := range r[i].Findings {
			g := &r[i].Findings[j]
			if g.Rule == f.Rule && (g.Animal == nil) == (f.Animal == nil) && (g.Animal == nil || g.Animal.ID == f.Animal.ID) &&
				(g.Hazard == nil) == (f.Hazard == nil) && (g.Hazard == nil || g.Hazard.ID == f.Hazard.ID) {
				out[i] = g
				break
			}
		}
	}
	return out
}

const (
	whyUnwritten = "not everything fed on these days is written down"
	whyAmounts   = "what was eaten is known only within a range"
	whyFigures   = "the range of published figures allows both"
	whyNoDay     = "no day is written down in full"
)

// finding adds to a finding what the log leaves open.
func (e *Report) finding(f *balance.Finding, all, complete ends, items []morsel) Finding {
	out := Finding{Finding: *f}
	open := len(e.Unwritten) > 0
	switch kind := f.Rule.Check; {
	case kind.OfADay():
		if f.Verdict == balance.NotApplicable {
			out.Over = balance.NotApplicable
			return out
		}
		if complete[typicalEnd] == nil {
			out.Verdict, out.Whole, out.Over, out.Why = balance.Open, balance.Open, balance.Open, whyNoDay
			return out
		}
		at := complete.like(f)
		if at[typicalEnd] == nil {
			out.Verdict, out.Whole, out.Over, out.Why = balance.Open, balance.Open, balance.Open, whyNoDay
			return out
		}
		out.Finding = *at[typicalEnd]
		out.Over = agreed(at)
		out.span(at)
		// The days that are not written down may have been better or worse.
		if open && !(kind.WorstDay() && out.Over == balance.Missed) {
			out.Over = balance.Open
		}
	case kind.Form() == balance.FormQuotient:
		at := all.like(f)
		if f.Verdict == balance.NotApplicable || f.Reason != balance.NoReason {
			out.Over = agreed(at)
		} else {
			out.Over = out.extremes(items, e.Target)
		}
		if open && out.Over != balance.NotApplicable {
			out.Over = balance.Open
		}
	default:
		at := all.like(f)
		out.Over = agreed(at)
		out.span(at)
		if open {
			out.unwritten()
		}
	}
	if out.Over == balance.Open {
		var why []string
		if open {
			why = append(why, whyUnwritten)
		}
		if f.Reason != balance.NoReason {
			why = append(why, f.ReasonText())
		} else if f.Whole == balance.Open {
			why = append(why, whyFigures)
		}
		if amountsOpen(items) {
			why = append(why, whyAmounts)
		}
		out.Why = strings.Join(why, "; ")
	}
	return out
}

// unwritten opens what days that are not written down could change. They can
// only add: what was counted over a limit stays over it, what reached a least
// amount has reached it.
func (f *Finding) unwritten() {
	adds := f.Rule.Check.Grows() && !f.Rule.Daily
	low, high := f.Limits()
	if f.Verdict == balance.Missed && f.Side == balance.Below && adds {
		f.Verdict = balance.Open
	}
	switch {
	case f.Over == balance.NotApplicable && f.Reason != balance.NoneFed && f.Reason != balance.BoneFed:
	case adds && f.Over == balance.Missed && f.Side == balance.Above:
	case adds && f.Over == balance.Met && f.Hazard == nil && low != nil && high == nil:
	default:
		f.Over = balance.Open
	}
}

// agreed is the verdict that all three audits give over the whole range of
// figures, else open. It serves figures that grow with what is eaten.
func agreed(at [3]*balance.Finding) balance.Verdict {
	for _, g := range at {
		if g == nil || g.Whole != at[0].Whole || g.Whole == balance.Missed && g.Side != at[0].Side {
			return balance.Open
		}
	}
	return at[0].Whole
}

// span takes the range of a figure that grows with what is eaten from its ends.
func (f *Finding) span(at [3]*balance.Finding) {
	for _, g := range at {
		if g == nil {
			f.low, f.high = nil, nil
			return
		}
		for _, c := range prey.Cases() {
			v := g.At(c)
			if v == nil {
				f.low, f.high = nil, nil
				return
			}
			if f.low == nil || v.Cmp(f.low) < 0 {
				f.low = v
			}
			if f.high == nil || v.Cmp(f.high) > 0 {
				f.high = v
			}
		}
	}
}

// RangeText says the range of the figure over all that may have been eaten and
// the figures: "2.1 % to 7.4 % of the five slots"; "" where none is known.
func (f *Finding) RangeText() string {
	s, ok := f.Range()
	if !ok {
		return ""
	}
	one := s.High.Equal(decimal.NewFromInt(1))
	unit := ""
	for _, u := range []string{s.Unit, f.Rule.Unit(one)} {
		if u != "" {
			unit += " " + u
		}
	}
	if s.Low.Equal(s.High) {
		return s.Low.String() + unit
	}
	return s.Low.String() + " to " + s.High.String() + unit
}

// Range is the typical figure and its range over all that may have been eaten
// and the whole range of figures; false where none is known.
func (f *Finding) Range() (balance.Figure, bool) { return f.MeasuredOver(f.low, f.high) }

// morsel is food of which an amount may have been eaten: the corners of that
// amount, the most first.
type morsel []ration.Serving

// morsels are the corners of all that was swallowed. Food without bare bone is
// taken together: any amount of each bowl may go with any of another.
func morsels(list []log.Swallowed) []morsel {
	var out []morsel
	pools := map[*prey.Food]units.Range[units.Mass]{}
	var order []*prey.Food
	for _, s := range list {
		f := s.Typical.Food
		if slices.ContainsFunc(s.Corners, func(c ration.Serving) bool { return c.Food != f }) {
			out = append(out, s.Corners)
			continue
		}
		low, high := s.Corners[0].Mass, s.Corners[0].Mass
		for _, c := range s.Corners {
			low, high = min(low, c.Mass), max(high, c.Mass)
		}
		r, ok := pools[f]
		if !ok {
			order = append(order, f)
		}
		pools[f] = units.Range[units.Mass]{Low: r.Low + low, High: r.High + high}
	}
	for _, f := range order {
		r := pools[f]
		m := morsel{{Food: f, Mass: r.High}}
		if r.Low < r.High {
			m = append(m, ration.Serving{Food: f, Mass: r.Low})
		}
		out = append(out, m)
	}
	return out
}

// amountsOpen reports whether anything was eaten that is known only within a
// range.
func amountsOpen(items []morsel) bool {
	return slices.ContainsFunc(items, func(m morsel) bool { return len(m) > 1 })
}

// quotients are what each corner of each morsel adds to the figure of a rule.
func quotients(items []morsel, r *balance.Rule, t *shares.Target) [][]balance.Quotient {
	table := make([][]balance.Quotient, len(items))
	for i, m := range items {
		for _, corner := range m {
			table[i] = append(table[i], r.Quotient(t, corner))
		}
	}
	return table
}

// extremes finds the range of a linear figure and returns the verdict over it.
func (f *Finding) extremes(items []morsel, t *shares.Target) balance.Verdict {
	table := quotients(items, f.Rule, t)
	floor, ceiling, endless := true, true, false
	for _, row := range table {
		for _, q := range row {
			floor, ceiling = floor && q.Floor, ceiling && q.Ceiling
		}
	}
	for _, c := range prey.Cases() {
		low, high, ok := extremes(table, c)
		if !ok {
			f.low, f.high = nil, nil
			return balance.Open
		}
		if f.low == nil || low.Cmp(f.low) < 0 {
			f.low = low
		}
		if endless = endless || high == nil; !endless && (f.high == nil || high.Cmp(f.high) > 0) {
			f.high = high
		}
	}
	if endless {
		f.high = nil
	}
	over := balance.Met
	hold := func(met, missed bool) {
		switch {
		case met:
		case missed:
			over = balance.Missed
		case over == balance.Met:
			over = balance.Open
		}
	}
	bound := func(l *balance.Limit) *big.Rat { return new(big.Rat).SetInt64(l.Value) }
	low, high := f.Limits()
	if low != nil {
		b := bound(low)
		hold(floor && f.low.Cmp(b) >= 0, ceiling && f.high != nil && f.high.Cmp(b) < 0)
	}
	if high != nil {
		b := bound(high)
		hold(ceiling && f.high != nil && f.high.Cmp(b) <= 0, floor && f.low.Cmp(b) > 0)
	}
	return over
}

// extremes are the least and the greatest of sum(num)/sum(den) when one corner
// is taken of each row. A nil high means that there is no
// greatest. It reports false when no choice gives a divisor.
//
// A ratio of sums is greatest where sum(num) - r sum(den) is nothing at best;
// from any ratio r the best corners for that give a greater one, until none is
// (Dinkelbach's method). All is exact.
func extremes(table [][]balance.Quotient, c prey.Case) (low, high *big.Rat, ok bool) {
	num, den := new(big.Int), new(big.Int)
	for _, row := range table {
		num.Add(num, row[0].Num[c])
		den.Add(den, row[0].Den[c])
	}
	if den.Sign() == 0 {
		return nil, nil, false
	}
	a, b, v, value := new(big.Int), new(big.Int), new(big.Int), new(big.Int)
	search := func(sign int) *big.Rat {
		p, q := new(big.Int).Set(num), new(big.Int).Set(den)
		for {
			sumNum, sumDen := new(big.Int), new(big.Int)
			for _, row := range table {
				best := 0
				for i := 0; len(row) > 1 && i < len(row); i++ {
					v.Sub(a.Mul(row[i].Num[c], q), b.Mul(row[i].Den[c], p))
					if i == 0 || v.Cmp(value)*sign > 0 {
						best, v, value = i, value, v
					}
				}
				sumNum.Add(sumNum, row[best].Num[c])
				sumDen.Add(sumDen, row[best].Den[c])
			}
			if sumDen.Sign() == 0 {
				if sign > 0 && sumNum.Sign() > 0 {
					return nil
				}
				break // nothing better is left than to eat nothing
			}
			if a.Mul(sumNum, q).Cmp(b.Mul(p, sumDen))*sign <= 0 {
				break
			}
			p, q = sumNum, sumDen
		}
		return new(big.Rat).SetFrac(p, q)
	}
	return search(-1), search(1), true
}

// Share is the share of a slot, in percent, in one meaning of bone: at what was
// typically eaten, and its range over all that may have been eaten and the whole
// range of figures. It is for display. It reports false where the shares do not
// apply or the parts are known for too little.
func (by *Eater) Share(slot shares.Slot, means shares.BoneMeans) (balance.Figure, bool) {
	if by.Report == nil {
		return balance.Figure{}, false
	}
	t := *by.target
	t.BoneMeans = means
	r := slotRule(slot)
	typical := r.Quotient(&t, by.typical...)
	if !typical.Enough || typical.Den[prey.Typical].Sign() == 0 {
		return balance.Figure{}, false
	}
	percent := big.NewRat(100, int64(units.Whole))
	show := func(r *big.Rat) decimal.Decimal { return decimal.NewFromBigRat(r.Mul(r, percent), 1) }
	out := balance.Figure{Typical: show(new(big.Rat).SetFrac(typical.Num[prey.Typical], typical.Den[prey.Typical])), Unit: "%"}
	table := quotients(by.items, r, &t)
	for _, c := range prey.Cases() {
		low, high, ok := extremes(table, c)
		if !ok || high == nil {
			return balance.Figure{}, false
		}
		l, h := show(low), show(high)
		if c == 0 || l.LessThan(out.Low) {
			out.Low = l
		}
		if c == 0 || h.GreaterThan(out.High) {
			out.High = h
		}
	}
	return out, true
}

// slotRule asks for the share of a slot.
func slotRule(slot shares.Slot) *balance.Rule {
	return &balance.Rule{Check: balance.SlotShareCheck, Slot: slot}
}

// shortfalls fills Short.
func (e *Report) shortfalls() {
	if e.All.Report == nil {
		return
	}
	// by is share x den - num, or the other way round, in picograms x millionths x
	// millionths: above 0 it lacks.
	by := func(q *balance.Quotient, c prey.Case, share units.Share, sign int64) *big.Int {
		v := new(big.Int).Mul(q.Den[c], big.NewInt(int64(share)))
		return v.Sub(v, q.Num[c]).Mul(v, big.NewInt(sign))
	}
	mass := func(v *big.Int) units.Mass {
		if v.Sign() <= 0 {
			return 0
		}
		per := big.NewInt(int64(units.Whole) * int64(units.Whole))
		v = new(big.Int).Add(v, new(big.Int).Sub(per, big.NewInt(1)))
		if v.Quo(v, per); !v.IsInt64() {
			return 0
		}
		return units.Mass(v.Int64())
	}
	for _, sh := range e.Target.Shares {
		s := Shortfall{Slot: sh.Slot}
		r := slotRule(sh.Slot)
		typical := r.Quotient(e.Target, e.All.typical...)
		s.Known = typical.Enough && typical.Den[prey.Typical].Sign() > 0
		if !s.Known {
			e.Short = append(e.Short, s)
			continue
		}
		table := quotients(e.All.items, r, e.Target)
		span := func(share units.Share, sign int64) units.Range[units.Mass] {
			r := units.Range[units.Mass]{Typical: mass(by(&typical, prey.Typical, share, sign))}
			for _, c := range prey.Cases() {
				low, high := new(big.Int), new(big.Int)
				for _, row := range table {
					var least, most *big.Int
					for i := range row {
						v := by(&row[i], c, share, sign)
						if least == nil || v.Cmp(least) < 0 {
							least = v
						}
						if most == nil || v.Cmp(most) > 0 {
							most = v
						}
					}
					low.Add(low, least)
					high.Add(high, most)
				}
				if l := mass(low); c == 0 || l < r.Low {
					r.Low = l
				}
				r.High = max(r.High, mass(high))
			}
			if len(e.Unwritten) > 0 {
				r.Low = 0 // it may have been fed on a day that is not written down
			}
			return r
		}
		s.Short, s.Over = span(sh.Low, 1), span(sh.High, -1)
		s.Carry = (s.Short.Typical + units.Gram - 1) / units.Gram * units.Gram
		// The room between the least and the most, in a week of the size judged.
		room := new(big.Int).Mul(typical.Den[prey.Typical], big.NewInt(int64(sh.High-sh.Low)))
		room.Mul(room, big.NewInt(daysInWeek))
		room.Quo(room, big.NewInt(int64(max(e.Days-len(e.Unwritten), 1))))
		most := mass(room) / units.Gram * units.Gram
		if s.Carry > most {
			s.Carry, s.Cut = most, true
		}
		e.Short = append(e.Short, s)
	}
}
