package switchover

import (
	"fitchet.example/ration"
	"fitchet.example/ration/log"

	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/ration/internal/given"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"

	"pgregory.net/rapid"
)

func TestShippedSwitch(t *testing.T) {
	t.Parallel()
	p, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(p.Ref.Check(reg), p.GatesRef.Check(reg)); err != nil || p.Ref.Evidence != cite.Practice || p.GatesRef.Evidence != cite.Choice {
		t.Errorf("%v, %v, %v", p.Ref, p.GatesRef, err)
	}
	if len(p.Stages) < 8 || p.Stages[0].Boneless || !p.Stages[2].Boneless {
		t.Errorf("%d stages", len(p.Stages))
	}
	for _, x := range Expectations() {
		if err := x.Ref.Check(reg); err != nil {
			t.Errorf("%s: %v", x.Text, err)
		}
	}
}

func TestLoadSwitchFaults(t *testing.T) {
	t.Parallel()
	_, err := Load("s.yaml", strings.NewReader(`evidence: "memory"
gates: "choice: x"
stages:
  - {id: a, name: A, do: x, gate: {days: 1, meals: 0, eaten: 0 %}, back: {meals: 1, hours: 48}}
  - {id: a, name: A, do: x, gate: {days: 1, meals: 1, eaten: 101 %}, back: {meals: 1, hours: 8}, bonless: true}
`))
	var faults strict.Faults
	if !errors.As(err, &faults) || len(faults) != 7 || !errors.Is(err, cite.ErrMemory) {
		t.Errorf("%d faults: %v", len(faults), err)
	}
}

// course writes meals of soup at a stage, one every twelve hours up to 08:00 of day 20: for each the share eaten in
// percent, -1 for one that nobody weighed.
func course(t *testing.T, stage string, eaten ...int) *log.Log {
	l := &log.Log{AsOf: log.Moment{Date: 20, Time: 20 * 60}, From: 1}
	for i, pc := range eaten {
		back := len(eaten) - 1 - i
		m := log.Moment{Date: units.Date(20 - back/2), Time: 8 * 60}
		if back%2 == 1 {
			m = log.Moment{Date: units.Date(20 - back/2 - 1), Time: 20 * 60}
		}
		e := log.Entry{Meal: m, For: []string{"a"}, Food: given.Food(t, "turkey-mix"), Offered: 100 * units.Gram, Stage: stage}
		if pc >= 0 {
			e.Left, e.Weighed, e.Searched = units.Mass(100-pc)*units.Gram, true, true
		}
		l.Entries = append(l.Entries, e)
	}
	for d := units.Date(10); d <= 20; d++ {
		l.Weights = append(l.Weights, log.Weighing{When: log.Moment{Date: d, Time: 0}, Animal: "a", Mass: units.Kilogram})
	}
	return l
}

func TestNext(t *testing.T) {
	t.Parallel()
	p, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	plain := ration.Animal{ID: "a", Sex: ration.Hob, Mass: units.Kilogram, Stage: ration.Adult}
	with := func(f func(a *ration.Animal)) ration.Animal { a := plain; f(&a); return a }
	stool := func(day units.Date, c log.StoolClass) func(*log.Log) {
		return func(l *log.Log) {
			l.Stools = append(l.Stools, log.StoolNote{When: log.Moment{Date: day, Time: 600}, Animal: "a", Class: c})
		}
	}
	both := func(fs ...func(*log.Log)) func(*log.Log) {
		return func(l *log.Log) {
			for _, f := range fs {
				f(l)
			}
		}
	}
	for _, tc := range []struct {
		name   string
		animal ration.Animal
		stage  string
		eaten  []int
		spoil  func(l *log.Log)
		agreed bool
		move   Move
		to     string
		why    string
	}{
		{"six good meals", plain, "soup", []int{70, 80, 90, 100, 70, 75}, nil, false, Forward, "thick", "6 meals in a row"},
		{"five good meals", plain, "soup", []int{69, 80, 90, 100, 70, 75}, nil, false, Stay, "soup", "5 meals of this step in a row (wanted: 6, each at least 70 % eaten for certain)"},
		{"a meal nobody weighed does not count", plain, "soup", []int{80, 80, 90, 100, -1, 75}, nil, false, Stay, "soup", "1 meal of this step in a row"},
		{"half of the last meal was left", plain, "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) {
			e := l.Entries[5]
			e.Left = 90 * units.Gram
			l.Entries = append([]log.Entry{e}, l.Entries...)
		}, false, Stay, "soup", "0 meals of this step"},
		{"last stage", plain, "whole-prey", []int{90, 90, 90, 90, 90, 90, 90, 90, 90, 90, 90, 90, 90, 90}, nil, false, Stay, "whole-prey", "last step"},
		{"two refused", plain, "mince", []int{80, 0, 0}, func(l *log.Log) { l.Entries = append(l.Entries, known(t, 20, 7)) }, false, StepBack, "thick", "2 meals refused"},
		{"two refused, and it ate again after a day and an hour", plain, "mince", []int{80, 0, 0}, func(l *log.Log) { l.Entries = append(l.Entries, known(t, 20, 9)) }, false, CallVet, "thick", "had eaten nothing for 25 h (limit 24 h)"},
		{"refused, and nothing else for a day", plain, "mince", []int{80, 0, 0}, nil, false, CallVet, "thick", "eaten nothing for 36 h (limit 24 h)"},
		{"ten hours on a step that allows eight", plain, "mince", []int{80, 0}, nil, false, CallVet, "thick", "24 h"},
		{"soft stool: wait", plain, "soup", []int{80, 80, 80, 80, 80, 80}, stool(20, log.Soft), false, Stay, "soup", "until the stools are firm"},
		{"soft stool long ago", plain, "soup", []int{80, 80, 80, 80, 80, 80}, stool(15, log.Soft), false, Forward, "thick", ""},
		{"soft, then firm", plain, "soup", []int{80, 80, 80, 80, 80, 80}, both(stool(19, log.Loose), stool(20, log.Firm)), false, Forward, "thick", ""},
		{"loose for days", plain, "soup", []int{80, 80, 80, 80, 80, 80}, both(stool(16, log.Loose), stool(18, log.Slimy), stool(20, log.Loose)), false, CallVet, "taste", "stools have been loose"},
		{"black", plain, "soup", []int{80, 80, 80, 80, 80, 80}, stool(19, log.Black), false, CallVet, "taste", "stool black"},
		{"a sign", plain, "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) {
			l.Signs = []log.SignNote{{When: log.Moment{Date: 20, Time: 0}, Animal: "a", Sign: "vomiting"}}
		}, false, CallVet, "taste", "vomiting"},
		{"a sign of another animal", plain, "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) {
			l.Signs = []log.SignNote{{When: log.Moment{Date: 20, Time: 0}, Animal: "b", Sign: "vomiting"}}
		}, false, Forward, "thick", ""},
		{"weight", plain, "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) { l.Weights[10].Mass = 940 * units.Gram }, false, CallVet, "taste", "Lost 6.0 %"},
		{"an old weight", plain, "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) { l.Weights = l.Weights[:8] }, false, Stay, "soup", "a weight of the last two days"},
		{"no weight", plain, "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) { l.Weights = nil }, false, Stay, "soup", "a weight of the last two days"},
		{"insulinoma, not agreed", with(func(a *ration.Animal) { a.Conditions = []string{ration.Insulinoma} }), "soup", []int{80, 80}, func(l *log.Log) { l.AsOf.Time = 9 * 60 }, false, VetFirst, "soup", "insulinoma"},
		{"insulinoma, four hours", with(func(a *ration.Animal) { a.Conditions = []string{ration.Insulinoma} }), "soup", []int{80, 0}, func(l *log.Log) { l.AsOf.Time = 9 * 60 }, true, CallVet, "taste", "limit 4 h"},
		{"insulinoma, agreed and eating", with(func(a *ration.Animal) { a.Conditions = []string{ration.Insulinoma} }), "soup", []int{80, 80, 80, 80, 80, 80}, func(l *log.Log) { l.AsOf.Time = 9 * 60 }, true, Forward, "thick", ""},
		{"pregnant", with(func(a *ration.Animal) { a.Stage, a.Sex = ration.Pregnant, ration.Jill }), "soup", []int{80, 80}, nil, true, VetFirst, "soup", "no change of food in pregnancy"},
		{"fat: twelve hours", with(func(a *ration.Animal) { a.Conditions = []string{ration.Obese} }), "soup", []int{80, 0}, nil, false, CallVet, "taste", "limit 12 h"},
		{"nothing written", plain, "soup", nil, nil, false, Ask, "soup", "nothing is written down"},
		{"a day that nobody weighed", plain, "soup", []int{80, -1, -1, -1}, nil, false, Ask, "soup", "not certain"},
	} {
		l := course(t, tc.stage, tc.eaten...)
		if tc.spoil != nil {
			tc.spoil(l)
		}
		got, err := p.Next(State{Animal: "a", Stage: tc.stage, Since: 1, VetAgreed: tc.agreed}, &tc.animal, l, log.DefaultWeightLimits())
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		if why := strings.Join(got.Reasons, "; "); got.Move != tc.move || got.To.ID != tc.to || !strings.Contains(why, tc.why) || why == "" {
			t.Errorf("%s: %s to %s, %s; want %s to %s, %s", tc.name, got.Move, got.To.ID, why, tc.move, tc.to, tc.why)
		}
		if got.Calcium != got.To.Boneless || len(got.Cautions) < 2 || got.From.ID != tc.stage || len(got.Gate) != 4 || got.Hunger.Vet.After < 4*time.Hour {
			t.Errorf("%s: %+v", tc.name, got)
		}
	}
	l := course(t, "soup", 80, 80, 80, 80, 80, 80)
	if s, _ := p.Next(State{Animal: "a", Stage: "soup", Since: 18}, &plain, l, log.DefaultWeightLimits()); s.Move != Stay || !strings.Contains(fmt.Sprint(s.Reasons), "2 days on this step (wanted: at least 3 days)") {
		t.Errorf("too early: %+v", s)
	}
	if s, _ := p.Next(State{Animal: "a", Stage: "soup", Since: 17}, &plain, course(t, "soup", 80, 80, 80, 80, 80, 80), log.DefaultWeightLimits()); s.Move != Forward {
		t.Errorf("three days are enough: %+v", s)
	}
	// Meals before the step began do not count.
	if s, _ := p.Next(State{Animal: "a", Stage: "soup", Since: 19}, &plain, l, log.DefaultWeightLimits()); !strings.Contains(fmt.Sprint(s.Reasons), "3 meals of this step in a row") {
		t.Errorf("%+v", s)
	}
	for _, s := range []State{{Animal: "a", Stage: "gruel"}, {Animal: "b", Stage: "soup"}} {
		if _, err := p.Next(s, &plain, l, log.DefaultWeightLimits()); !errors.Is(err, ErrStage) {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

// Whatever the log says, a switch goes forward by one step at most, only when every part of the gate is met, and never
// while there is a reason for a vet.
func TestNextSkipsNoGate(t *testing.T) {
	t.Parallel()
	p, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	mix := given.Food(t, "turkey-mix")
	moves := map[Move]bool{}
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.IntRange(0, len(p.Stages)-1).Draw(t, "stage")
		l := &log.Log{AsOf: log.Moment{Date: 20, Time: 1200}, From: 1}
		good := rapid.IntRange(0, 100).Draw(t, "least eaten")
		for d := units.Date(6); d <= 20; d++ {
			for _, clock := range []ration.TimeOfDay{480, 1140} {
				e := log.Entry{Meal: log.Moment{Date: d, Time: clock}, For: []string{"a"}, Food: mix, Offered: 100 * units.Gram, Weighed: true, Searched: rapid.IntRange(0, 20).Draw(t, "searched") > 0,
					Left: units.Mass(rapid.IntRange(0, 100-good).Draw(t, "left")) * units.Gram, Stage: p.Stages[at].ID, Treat: rapid.IntRange(0, 20).Draw(t, "treat") == 0}
				if rapid.IntRange(0, 20).Draw(t, "other") == 0 {
					e.Stage = ""
				}
				l.Entries = append(l.Entries, e)
			}
			if rapid.IntRange(0, 3).Draw(t, "weighed") > 0 {
				l.Weights = append(l.Weights, log.Weighing{When: log.Moment{Date: d, Time: 0}, Animal: "a", Mass: units.Mass(rapid.IntRange(970, 1000).Draw(t, "weight")) * units.Gram})
			}
			if rapid.IntRange(0, 5).Draw(t, "stool") == 0 {
				l.Stools = append(l.Stools, log.StoolNote{When: log.Moment{Date: d, Time: 0}, Animal: "a", Class: log.StoolClass(rapid.IntRange(1, 3).Draw(t, "class"))})
			}
		}
		a := ration.Animal{ID: "a", Sex: ration.Hob, Mass: units.Kilogram, Stage: ration.Adult}
		state := State{Animal: "a", Stage: p.Stages[at].ID, Since: units.Date(rapid.IntRange(1, 20).Draw(t, "since"))}
		got, err := p.Next(state, &a, l, log.DefaultWeightLimits())
		if err != nil {
			t.Fatal(err)
		}
		moves[got.Move] = true
		to, _ := p.stage(got.To.ID)
		open := slices.ContainsFunc(got.Gate, func(g GateCheck) bool { return !g.Met })
		switch {
		case got.Move == Forward && (to != at+1 || open || len(l.Alarms(&a, log.DefaultWeightLimits())) > 0):
			t.Fatalf("forward from %d to %d: %+v", at, to, got.Gate)
		case got.Move != Forward && to > at:
			t.Fatalf("%s goes forward", got.Move)
		case got.Move == Stay && !open && at < len(p.Stages)-1:
			t.Fatalf("stays although every gate is met: %v", got.Reasons)
		}
		// One bowl written down as two is one meal.
		halves := *l
		halves.Entries = nil
		for _, e := range l.Entries {
			x, y := e, e
			x.Offered, x.Left = e.Offered/2, e.Left/2
			y.Offered, y.Left = e.Offered-x.Offered, e.Left-x.Left
			halves.Entries = append(halves.Entries, x, y)
		}
		if again, err := p.Next(state, &a, &halves, log.DefaultWeightLimits()); err != nil || fmt.Sprint(again) != fmt.Sprint(got) {
			t.Fatalf("halves matter:\n%+v\n%+v", got, again)
		}
		// The order of the log has no meaning.
		turned := *l
		turned.Entries, turned.Weights, turned.Stools = slices.Clone(l.Entries), slices.Clone(l.Weights), slices.Clone(l.Stools)
		slices.Reverse(turned.Entries)
		slices.Reverse(turned.Weights)
		slices.Reverse(turned.Stools)
		if again, err := p.Next(state, &a, &turned, log.DefaultWeightLimits()); err != nil || fmt.Sprint(again) != fmt.Sprint(got) {
			t.Fatalf("order matters:\n%+v\n%+v", got, again)
		}
	})
	for _, m := range []Move{Forward, Stay} {
		if !moves[m] {
			t.Errorf("%s was never tried", m)
		}
	}
}

func TestState(t *testing.T) {
	t.Parallel()
	const head = "schema: fitchet.log/1\nhousehold: Brackenford Ferret Rescue\nas-of: 2026-12-05 20:00\nfrom: 2026-11-25\nsteps:\n"
	read := func(lines ...string) (*log.Log, error) {
		return log.Load("d.yaml", strings.NewReader(head+"  - "+strings.Join(lines, "\n  - ")+"\n"), given.Foods(t), home(t))
	}
	p, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	l, err := read(
		"{at: 2026-12-01 07:00, animal: bramble, stage: soup}",
		"{at: 2026-11-25 07:00, animal: bramble, stage: known-food, vet-agreed: true}",
		"{at: 2026-11-28 07:00, animal: bramble, stage: taste}",
		"{at: 2026-11-30 07:00, animal: moss, stage: mince}",
		"{at: 2026-12-02 07:00, animal: moss, stage: taste}",
		"{at: 2026-12-04 07:00, animal: moss, stage: bites}",
		"{at: 2026-12-05 07:00, animal: moss, stage: gruel}",
	)
	if err != nil {
		t.Fatal(err)
	}
	if s, ok := Where(l, "bramble"); !ok || s != (State{"bramble", "soup", given.Date(t, "2026-12-01"), true}) {
		t.Errorf("%+v", s)
	}
	if _, ok := Where(l, "pip"); ok {
		t.Error("pip is on a step")
	}
	if got := p.Skipped(l, "bramble"); got != nil {
		t.Errorf("%q", got)
	}
	if got := p.Skipped(l, "moss"); len(got) != 2 || !strings.Contains(got[0], `2026-12-04 07:00: from "A taste of raw soup" to "Bites" leaves out "Raw soup alone"`) || !strings.Contains(got[1], `"gruel" is no step`) {
		t.Errorf("%q", got)
	}
	_, err = read("{at: 2026-12-01 07:00, animal: bramble, stage: soup}", "{at: 2026-12-01 07:00, animal: bramble, stage: taste}", "{at: 2026-12-09 07:00, animal: bramble, stage: soup}")
	var faults strict.Faults
	if !errors.As(err, &faults) || len(faults) != 2 || !strings.Contains(err.Error(), "the first is in line 6") || !strings.Contains(err.Error(), "after the as-of") {
		t.Errorf("%v", err)
	}
}

// known is a meal of the old food.
func known(t *testing.T, day units.Date, hour int) log.Entry {
	return log.Entry{Meal: log.Moment{Date: day, Time: ration.TimeOfDay(hour * 60)}, For: []string{"a"}, Food: given.Food(t, "chicken-thigh"), Offered: 30 * units.Gram, Weighed: true, Searched: true}
}

func home(t *testing.T) *ration.Household {
	t.Helper()
	h, _, err := ration.LoadHousehold("home.yaml", strings.NewReader(given.Household), given.Foods(t))
	if err != nil {
		t.Fatal(err)
	}
	return h
}
