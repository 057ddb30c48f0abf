package ration

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/ration/internal/given"

	"fitchet.example/units"
	"pgregory.net/rapid"
)

func datedHome(asOf, start, more string) string {
	return fmt.Sprintf(`
household: Brackenford Ferret Rescue
as-of: %q
start: %q
animals:
  - {id: bramble, weight: 700 g%s}
stock:
  - {food: beef-heart, mass: 300 g, best-before: "2026-12-20"}
`, asOf, start, more)
}

// Every day that comes in with a household is held against its as-of day. The bounds are our choices.
func TestHouseholdDates(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, asOf, start, more, want string }{
		{"well", "2026-11-25", "2026-11-30", ", born: 2023-05-14", ""},
		{"on the day itself", "2026-11-25", "2026-11-25", "", ""},
		{"as far ahead as may be", "2026-11-25", "2026-12-23", "", ""},
		{"a day further", "2026-11-25", "2026-12-24", "", "h.yaml:4:8: start 2026-12-24 lies 29 days after the as-of day"},
		{"a year ahead", "2026-11-25", "2027-11-30", "", "h.yaml:4:8: start 2027-11-30 lies 370 days"},
		{"a day back", "2026-11-25", "2026-11-24", "", "h.yaml:4:8: start 2026-11-24 lies before the as-of day"},
		{"before its birth", "2026-11-25", "2022-11-25", ", born: 2023-05-14", "start 2022-11-25 lies before the as-of day"},
		{"born later", "2026-11-25", "2026-11-30", ", born: 2026-11-26", "born 2026-11-26 does not fit the as-of day"},
		{"born before anyone", "2026-11-25", "2026-11-30", ", born: 1990-01-01", "does not fit the as-of day"},
	} {
		_, _, err := LoadHousehold("h.yaml", strings.NewReader(datedHome(tc.asOf, tc.start, tc.more)), given.Foods(t))
		if tc.want == "" && err != nil || tc.want != "" && (err == nil || !strings.Contains(err.Error(), tc.want)) {
			t.Errorf("%s: %v, want %q", tc.name, err, tc.want)
		}
	}
	for _, tc := range []struct{ lot, want string }{
		{`frozen: "2026-11-25"`, ""}, {`best-before: "2026-11-01"`, ""},
		{`frozen: "2026-11-26"`, "frozen on 2026-11-26, after the as-of day"},
		{`frozen: "2006-11-25"`, "frozen on 2006-11-25, over 10 years before"},
		{`best-before: "3026-11-25"`, "best before 3026-11-25, over 10 years from"},
		{`frozen: "2026-11-20", best-before: "0226-12-20"`, "best before 0226-12-20, over 10 years from"},
	} {
		text := datedHome("2026-11-25", "2026-11-30", "") + "  - {food: beef-liver, mass: 100 g, " + tc.lot + "}\n"
		_, _, err := LoadHousehold("h.yaml", strings.NewReader(text), given.Foods(t))
		if tc.want == "" && err != nil || tc.want != "" && (err == nil || !strings.Contains(err.Error(), tc.want) || !strings.Contains(err.Error(), "h.yaml:9:")) {
			t.Errorf("%s: %v, want %q", tc.lot, err, tc.want)
		}
	}
}

// Callers in Go get the same answer as files do.
func TestCheckStart(t *testing.T) {
	t.Parallel()
	whole := func() *Household {
		return &Household{Name: "B", AsOf: 1000, Start: 1003, Animals: []Animal{{ID: "a", Born: 200}}, Stock: []Stock{{Food: given.Food(t, "beef-heart"), BestBefore: 1010, Frozen: 900}}}
	}
	for _, tc := range []struct {
		name   string
		on     units.Date
		change func(*Household)
		faults int
	}{
		{"whole", 1003, func(h *Household) {}, 0},
		{"28 days", 1028, func(h *Household) {}, 0},
		{"29 days", 1029, func(h *Household) {}, 1},
		{"a day back", 999, func(h *Household) {}, 1},
		{"born later", 1003, func(h *Household) { h.Animals[0].Born = 1001 }, 1},
		{"as old as no animal", 1003, func(h *Household) { h.Animals[0].Born = -12_000 }, 1},
		{"frozen later", 1003, func(h *Household) { h.Stock[0].Frozen = 1001 }, 1},
		{"best before in another age", 1003, func(h *Household) { h.Stock[0].BestBefore = 9000 }, 1},
		{"no as-of day", 1003, func(h *Household) { h.AsOf = 0 }, 3},
		{"no days at all", 0, func(h *Household) { *h = Household{Animals: []Animal{{}}, Stock: []Stock{{}}} }, 0},
		{"no food", 1003, func(h *Household) { h.Stock[0] = Stock{Frozen: 1001} }, 1},
	} {
		h := whole()
		tc.change(h)
		err := h.CheckStart(tc.on)
		n := 0
		if err != nil {
			n = len(strings.Split(err.Error(), "\n"))
		}
		if n != tc.faults || n > 0 && !errors.Is(err, ErrDates) {
			t.Errorf("%s: %v, want %d faults", tc.name, err, tc.faults)
		}
	}
	h := whole()
	if h.FirstDay() != 1003 || (&Household{AsOf: 7}).FirstDay() != 7 {
		t.Error("the first day is the start, or the as-of day")
	}
	for _, tc := range []struct {
		start, day units.Date
		ok         bool
	}{{1003, 1003, true}, {1003, 1002, false}, {1028, 1042, true}, {1028, 1043, false}, {900, 900, false}} {
		if err := h.CheckPlan(&Plan{Start: tc.start, Days: []Day{{Date: tc.day}}}); (err == nil) != tc.ok || err != nil && !errors.Is(err, ErrDates) {
			t.Errorf("a plan from %d with day %d: %v", tc.start, tc.day, err)
		}
	}
}

// The need is that of the first day to plan, and before its birth an animal is the youngest there is.
func TestNeedsOnTheFirstDay(t *testing.T) {
	t.Parallel()
	h := &Household{AsOf: 1000, Start: 1003, Animals: []Animal{{ID: "a", Mass: 700 * units.Gram, Born: 1002 - 16*7}}}
	if n := h.Needs()[0]; n.On != 1003 || n.Stage != Juvenile {
		t.Errorf("%s on %d", n.Stage, n.On)
	}
	if h.Start = 0; h.Needs()[0].Stage != Kit {
		t.Error("two days earlier it is a kit")
	}
	rapid.Check(t, func(t *rapid.T) {
		a := Animal{Born: units.Date(rapid.IntRange(1, 2000).Draw(t, "born"))}
		early := units.Date(rapid.IntRange(0, 2000).Draw(t, "day"))
		late := early.AddDays(rapid.IntRange(0, 400).Draw(t, "later"))
		rank := map[Stage]int{Kit: 0, Juvenile: 1, Adult: 2}
		if rank[a.StageOn(early)] > rank[a.StageOn(late)] {
			t.Fatalf("born %d: %s on %d, %s on %d", a.Born, a.StageOn(early), early, a.StageOn(late), late)
		}
	})
}
