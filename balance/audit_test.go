package balance_test

import (
	"testing"

	"fitchet.example/balance"
	"fitchet.example/ration"
)

func TestPrintAll(t *testing.T) {
	k := open(t)
	h := rescue(ferret("bramble", ration.Jill, 800))
	p := k.week(t, 7, "1-7.1 bramble: thigh 40 g, heart 6 g, wing 8 g", "1-7.2 bramble: thigh 10 g, liver 3 g, kidney 3 g, rabbit 5 g", "1.2 bramble: egg 50 g x1", "1-7.2 bramble: oil 0.6 g")
	r := k.audit(t, balance.Input{Plan: p, Household: h})
	for i := range r.Findings {
		f := &r.Findings[i]
		t.Logf("%-5s %-14s %-14s %-22s %s | %s | %s | %s", f.Gravity, f.Verdict, f.Whole, f.Rule.ID, f.MeasuredText(), f.LimitText(), f.Reason.Words(), f.EvidenceText(k.book.Registry()))
	}
}
