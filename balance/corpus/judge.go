package corpus

import (
	"fmt"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/ration"
	"fitchet.example/safety"

	"github.com/shopspring/decimal"
)

// Judge audits the plan of a case by the rules of the book (nil: the corpus's
// own) and returns what differs from what the case expects, in sentences. None
// means that the case passes. An error means that nothing could be judged.
func (c *Corpus) Judge(cs *Case, book *balance.Book) ([]string, error) {
	rep, err := c.Audit(cs, book)
	if err != nil {
		return nil, err
	}
	return compare(cs, rep), nil
}

// Audit is the audit of a case's plan by this library.
func (c *Corpus) Audit(cs *Case, book *balance.Book) (*balance.Report, error) {
	bad := func(err error) (*balance.Report, error) {
		return nil, fmt.Errorf("case %s (%s): %w", cs.ID, cs.At, err)
	}
	if book == nil {
		book = c.book
	}
	book, err := c.bookFor(book, cs.Laid, cs.RulesOn)
	if err != nil {
		return bad(err)
	}
	screen, err := safety.NewHazardCheck(c.care, nil, safety.Context{Region: cs.Region, Notices: cs.Notices, On: FirstDay})
	if err != nil {
		return bad(err)
	}
	in := balance.Input{Plan: cs.Plan, Book: book, HazardCheck: screen}
	if len(cs.Animals) > 0 {
		in.Household = &ration.Household{Name: cs.Plan.Household, AsOf: FirstDay, Start: FirstDay, Animals: cs.Animals, Stock: cs.Stock, Offers: cs.Offers}
	}
	rep, err := balance.Audit(in)
	if err != nil {
		return bad(err)
	}
	return rep, nil
}

// compare holds a report against what the case expects.
func compare(cs *Case, rep *balance.Report) (wrong []string) {
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	var rules []string
	for _, e := range cs.Expect {
		if !slices.Contains(rules, e.Rule) {
			rules = append(rules, e.Rule)
		}
	}
	for _, rule := range rules {
		found := rep.Find(rule)
		used := make([]bool, len(found))
		for _, e := range cs.Expect {
			if e.Rule != rule {
				continue
			}
			at := -1
			for i := range found {
				if !used[i] && e.about(&found[i]) {
					at = i
					break
				}
			}
			if at < 0 {
				say("%s: no finding%s, expected %s", rule, e.whom(), e.Verdict)
				continue
			}
			used[at] = true
			for _, d := range e.differs(&found[at]) {
				say("%s%s: %s", rule, e.whom(), d)
			}
		}
		for i := range found {
			if !used[i] {
				f := &found[i]
				say("%s: a finding that is not expected: %s%s", rule, f.Verdict, whom(f))
			}
		}
	}
	return wrong
}

// about reports whether the finding is the one that is meant.
func (e *Expect) about(f *balance.Finding) bool {
	animal, hazard := "", ""
	if f.Animal != nil {
		animal = f.Animal.ID
	}
	if f.Hazard != nil {
		hazard = f.Hazard.ID
	}
	return animal == e.Animal && hazard == e.Hazard
}

func (e *Expect) whom() string {
	switch {
	case e.Animal != "":
		return " for " + e.Animal
	case e.Hazard != "":
		return " of " + e.Hazard
	}
	return ""
}

func whom(f *balance.Finding) string {
	switch {
	case f.Animal != nil:
		return " for " + f.Animal.ID
	case f.Hazard != nil:
		return " of " + f.Hazard.ID
	}
	return ""
}

func (e *Expect) differs(f *balance.Finding) (out []string) {
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if f.Verdict != e.Verdict {
		say("%s, expected %s (measured %s, limit %s)", f.Verdict, e.Verdict, f.MeasuredText(), f.LimitText())
	}
	if f.Whole != e.Range {
		say("%s over the range, expected %s (measured %s, limit %s)", f.Whole, e.Range, f.MeasuredText(), f.LimitText())
	}
	if e.HasSide && f.Side != e.Side {
		say("it lies on the other side of its limits")
	}
	if got := ReasonWord(f.Reason); e.Reason != got {
		say("the reason is %q, expected %q", got, e.Reason)
	}
	if e.Day > 0 && f.Day != e.Day-1 {
		say("it is about day %d, expected day %d", f.Day+1, e.Day)
	}
	if e.Measured != nil {
		m, ok := f.Measured()
		if !ok {
			say("nothing was measured")
		} else {
			out = append(out, e.Measured.differs("measured", m.Unit, &m.Low, &m.Typical, &m.High)...)
		}
	}
	if e.Limits != nil {
		low, high := f.Limits()
		out = append(out, e.Limits.differs("limit", e.Limits.Unit, number(low), nil, number(high))...)
	}
	return out
}

// number is the number of a bound as it is written.
func number(l *balance.Limit) *decimal.Decimal {
	if l == nil {
		return nil
	}
	n := 0
	for n < len(l.Text) && (l.Text[n] >= '0' && l.Text[n] <= '9' || l.Text[n] == '.') {
		n++
	}
	d, err := decimal.NewFromString(l.Text[:n])
	if err != nil {
		return nil
	}
	return &d
}

func (f *Figures) differs(what, unit string, low, typical, high *decimal.Decimal) (out []string) {
	if f.Unit != unit {
		return []string{fmt.Sprintf("%s in %q, expected in %q", what, unit, f.Unit)}
	}
	for _, k := range []struct {
		name      string
		got, want *decimal.Decimal
	}{{"low", low, f.Low}, {"typical", typical, f.Typical}, {"high", high, f.High}} {
		switch {
		case k.want == nil:
		case k.got == nil:
			out = append(out, fmt.Sprintf("no %s %s, expected %s", k.name, what, k.want))
		case k.got.Sub(*k.want).Abs().Cmp(f.Tolerance) > 0:
			out = append(out, fmt.Sprintf("%s %s is %s, expected %s within %s", k.name, what, k.got, k.want, f.Tolerance))
		}
	}
	return out
}
