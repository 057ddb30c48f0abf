package log

import (
	"testing"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/units"

	"pgregory.net/rapid"
)

func TestAsPlan(t *testing.T) {
	t.Parallel()
	l := diary(t)
	monday := given.Date(t, "2026-11-30")
	p := l.AsPlan("", monday, monday+2, TypicalEnd)
	if len(p.Days) != 2 || len(p.Days[0].Meals) != 2 || p.Days[0].Meals[1].Slot != 2 || len(p.Days[0].Meals[0].For) != 2 {
		t.Fatalf("%+v", p) // the third day is not written down, so it is not there
	}
	if _, err := p.MarshalJSON(); err != nil {
		t.Error(err)
	}
	// 60 g of wing swallowed, of 85 g that went but for 25 g of bare bone: 7.3 g of bone in 60, at the typical 38 %.
	s := p.Days[0].Meals[0].Servings[0]
	if got := s.Food.Shares[prey.Typical][prey.Bone]; s.Mass != 60*units.Gram || got != units.ShareOf(7300, 60_000) {
		t.Errorf("%s with %s bone", s.Mass, got)
	}
	if f := given.Food(t, "chicken-wing"); f.Shares[prey.Typical][prey.Bone] != 38*units.Whole/100 {
		t.Error("the catalogue was changed")
	}
	moss := l.AsPlan("moss", monday, monday+2, LowEnd)
	if len(moss.Days[0].Meals) != 1 || moss.Days[0].Meals[0].Servings[0].Food.ID != "beef-liver" || len(moss.Days[0].Meals[0].For) != 1 {
		t.Errorf("%+v", moss)
	}
}

// The plan of what was eaten weighs what the log says, and its foods stay whole.
func TestAsPlanSums(t *testing.T) {
	t.Parallel()
	c, ids := given.Foods(t), []string{"bramble", "moss", "pip"}
	rapid.Check(t, func(t *rapid.T) {
		l := drawLog(t, c, ids)
		for i := range l.Entries {
			if e := &l.Entries[i]; e.Weighed && e.Food.PartsKnown {
				e.BoneLeft = units.Mass(rapid.Int64Range(0, int64(min(e.Left, e.Offered/4))).Draw(t, "bone"))
			}
		}
		for _, id := range append(ids, "") {
			for _, end := range []RangeEnd{LowEnd, TypicalEnd, HighEnd} {
				p := l.AsPlan(id, 100, 110, end)
				tally, err := p.Tally()
				if err != nil {
					t.Fatal(err)
				}
				var want units.Mass
				for _, in := range l.Intake(id, 100, 110) {
					want += end.of(in.Eaten)
				}
				if _, err := p.MarshalJSON(); tally.Mass() != want || err != nil {
					t.Fatalf("plan %s, log %s, %v", tally.Mass(), want, err)
				}
			}
		}
	})
}
