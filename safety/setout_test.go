package safety

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"pgregory.net/rapid"
)

func book(t testing.TB) *Book {
	t.Helper()
	b, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func room(t testing.TB, s string) []Spell {
	t.Helper()
	if s == "" {
		return nil
	}
	at, err := units.ParseTemperature(s)
	if err != nil {
		t.Fatal(err)
	}
	return []Spell{{At: at}}
}

func reading(t testing.TB, s string) Reading {
	if s == "" {
		return Reading{}
	}
	return At(room(t, s)[0].At)
}

func find(t testing.TB, w SetOutAnswer, id string) Limit {
	t.Helper()
	for _, l := range w.Limits {
		if l.ID == id {
			return l
		}
	}
	t.Fatalf("no limit %s", id)
	return Limit{}
}

// Outside checks: each row is a printed condition, at it and just beyond it,
// in both scales. Sources: FSIS consumer rule (2 h; 1 h above 90 °F; fridge at
// 40 °F), Food Code 3-501.19(B) and (C), New York City 81.10, UK SI 2006
// Schedule 4.
func TestLimitsAtTheirPrintedBoundaries(t *testing.T) {
	t.Parallel()
	b := book(t)
	for _, c := range []struct {
		source, id, room, start string
		want                    Status
	}{
		{"FSIS, ordinary room", "fsis-2h", "20 °C", "", Applies},
		{"FSIS, 90 °F is not above it", "fsis-2h", "90 °F", "", Applies},
		{"FSIS, 32.2 °C is the same bound", "fsis-2h", "32.2 °C", "", Applies},
		{"FSIS, above", "fsis-2h", "90.1 °F", "", DoesNotApply},
		{"FSIS, above in °C", "fsis-2h", "32.3 °C", "", DoesNotApply},
		{"FSIS, one hour from above 90 °F", "fsis-1h", "90.1 °F", "", Applies},
		{"FSIS, one hour not at 90 °F", "fsis-1h", "90 °F", "", DoesNotApply},
		{"FSIS, one hour not at 32.2 °C", "fsis-1h", "32.2 °C", "", DoesNotApply},
		{"FSIS, one hour, no temperature", "fsis-1h", "", "", CannotBeSaid},
		{"FSIS, two hours, no temperature", "fsis-2h", "", "", Applies},
		{"FSIS, fridge at 40 °F", "fsis-2h", "40 °F", "", DoesNotApply},
		{"FSIS, fridge at 4.4 °C", "fsis-2h", "4.4 °C", "", DoesNotApply},
		{"FSIS, just above the fridge", "fsis-2h", "40.1 °F", "", Applies},
		{"Food Code (B), start 5 °C", "food-code-4h", "25 °C", "5 °C", Applies},
		{"Food Code (B), start 41 °F", "food-code-4h", "25 °C", "41 °F", Applies},
		{"Food Code (B), start above", "food-code-4h", "25 °C", "41.1 °F", DoesNotApply},
		{"Food Code (B), start not given", "food-code-4h", "25 °C", "", CannotBeSaid},
		{"Food Code (C), room 21 °C", "food-code-6h", "21 °C", "4 °C", Applies},
		{"Food Code (C), room 70 °F", "food-code-6h", "70 °F", "4 °C", Applies},
		{"Food Code (C), room above", "food-code-6h", "70.1 °F", "4 °C", DoesNotApply},
		{"Food Code (C), room above in °C", "food-code-6h", "21.2 °C", "4 °C", DoesNotApply},
		{"Food Code (C), room not given", "food-code-6h", "", "4 °C", CannotBeSaid},
		{"Food Code (C), start not given", "food-code-6h", "20 °C", "", CannotBeSaid},
		{"New York City, 70 °F", "nyc-6h", "70 °F", "41 °F", Applies},
		{"New York City, above", "nyc-6h", "70.1 °F", "41 °F", DoesNotApply},
		{"UK, above 8 °C", "uk-chill-4h", "8.1 °C", "", Applies},
		{"UK, at 8 °C", "uk-chill-4h", "8 °C", "", DoesNotApply},
		{"UK mince rule of 1995 is superseded", "uk-mince-1h", "10 °C", "", DoesNotApply},
		{"Food Code thawing, nothing thawed outside a fridge", "food-code-thaw-4h", "20 °C", "", DoesNotApply},
	} {
		w, err := b.SetOut(SetOutQuestion{Form: Minced, Room: room(t, c.room), Start: reading(t, c.start)})
		if err != nil {
			t.Fatal(err)
		}
		if l := find(t, w, c.id); l.Status != c.want || l.Why == "" {
			t.Errorf("%s: %s, want %s (%s)", c.source, l.Status, c.want, l.Why)
		}
	}
}

// Outside checks: lengths as printed by the sources named in each id's row.
func TestLimitLengths(t *testing.T) {
	t.Parallel()
	w, err := book(t).SetOut(SetOutQuestion{Form: Pieces})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]time.Duration{"fsis-1h": time.Hour, "fsis-2h": 2 * time.Hour, "food-code-4h": 4 * time.Hour,
		"food-code-6h": 6 * time.Hour, "nyc-6h": 6 * time.Hour, "uk-chill-4h": 4 * time.Hour,
		"food-code-thaw-4h": 4 * time.Hour, "uk-mince-1h": time.Hour}
	if len(w.Limits) != len(want) {
		t.Errorf("%d limits, want %d", len(w.Limits), len(want))
	}
	for _, l := range w.Limits {
		if l.Length != want[l.ID] {
			t.Errorf("%s: %s, want %s", l.ID, l.Length, want[l.ID])
		}
		if l.LessThan != (l.ID == "uk-chill-4h") {
			t.Errorf("%s: less than is %v; only the UK rule prints \"less than\"", l.ID, l.LessThan)
		}
		if l.Ref.Evidence != cite.Published {
			t.Errorf("%s rests on %s", l.ID, l.Ref)
		}
	}
}

func TestHeadline(t *testing.T) {
	t.Parallel()
	b := book(t)
	hot := At(units.DegreesC(35))
	for _, c := range []struct {
		name   string
		s      SetOutQuestion
		lead   string
		left   time.Duration
		level  Level
		phrase string
	}{
		{"ordinary room", SetOutQuestion{Form: Pieces, Room: room(t, "20 °C")}, "fsis-2h", 2 * time.Hour, Within, "Lift within 2 h, by the two-hour rule (2 h for people at home)."},
		{"no temperature", SetOutQuestion{Form: WholePrey}, "fsis-2h", 2 * time.Hour, Within, "room temperature not given"},
		{"hot", SetOutQuestion{Form: Soup, Room: room(t, "91 °F")}, "fsis-1h", time.Hour, Within, "Lift within 1 h, by the one-hour rule"},
		{"one hot hour behind it", SetOutQuestion{Form: Soup, Room: room(t, "20 °C"), Clocks: []TimeWarm{{Thawing, 30 * time.Minute, hot}}}, "fsis-1h", 30 * time.Minute, Within, "Lift within 30 min"},
		{"cold start does not lengthen it", SetOutQuestion{Form: Minced, Room: room(t, "15 °C"), Start: At(units.DegreesC(3))}, "fsis-2h", 2 * time.Hour, Within, "Lift within 2 h"},
		{"clocks add up", SetOutQuestion{Form: Minced, Room: room(t, "20 °C"), Clocks: []TimeWarm{{Kind: Thawing, For: 40 * time.Minute}, {Kind: Preparing, For: 20 * time.Minute}, {Kind: Bowl, For: 30 * time.Minute}}}, "fsis-2h", 30 * time.Minute, Within, "1 h 30 min is already used"},
		{"used up", SetOutQuestion{Form: Minced, Room: room(t, "20 °C"), Clocks: []TimeWarm{{Kind: Bowl, For: 2 * time.Hour}}}, "fsis-2h", 0, Within, "Lift it now"},
		{"over", SetOutQuestion{Form: Minced, Room: room(t, "20 °C"), Clocks: []TimeWarm{{Kind: Stash, For: 4 * time.Hour}}}, "fsis-2h", 0, OverLimit, "Throw it away"},
		{"far over", SetOutQuestion{Form: Minced, Room: room(t, "20 °C"), Clocks: []TimeWarm{{Kind: Stash, For: 4*time.Hour + 1}}}, "fsis-2h", 0, FarOver, "Throw it away"},
		{"over, with tenfold growth", SetOutQuestion{Form: Minced, Room: room(t, "28 °C"), Clocks: []TimeWarm{{Kind: Stash, For: 3 * time.Hour}}}, "fsis-2h", 0, FarOver, "Throw it away"},
		{"soaked counts as perishable", SetOutQuestion{Form: Soaked, Room: room(t, "20 °C")}, "fsis-2h", 2 * time.Hour, Within, "Lift within 2 h"},
		{"dried and dry", SetOutQuestion{Form: Dried, Room: room(t, "20 °C")}, "", 0, Open, "No published time limit applies: the limits are for perishable food"},
		{"as cold as a fridge", SetOutQuestion{Form: BoneIn, Room: room(t, "3 °C")}, "", 0, Open, "the days for the fridge count"},
	} {
		w, err := b.SetOut(c.s)
		if err != nil {
			t.Fatal(err)
		}
		lead := ""
		if w.Leads {
			lead = w.Limits[0].ID
		}
		left, _ := w.Left()
		if lead != c.lead || left != c.left || w.Now.Level != c.level || !strings.Contains(w.Line(), c.phrase) {
			t.Errorf("%s: %s, %s left, %s, %q; want %s, %s, %s, %q", c.name, lead, left, w.Now.Level, w.Line(), c.lead, c.left, c.level, c.phrase)
		}
	}
}

// Regression (ours): how often a usual stay goes over each limit, and growth.
func TestLongStaysBesideTheLimits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		hours                   int
		two, one, four, six     string
		at15, at20, at22, upper string
	}{
		{6, "3 times", "6 times", "1.5 times", "1 times", "0.53", "1.03", "1.28", "1.77"},
		{8, "4 times", "8 times", "2 times", "1.33 times", "0.71", "1.37", "1.70", "2.36"},
		{10, "5 times", "10 times", "2.5 times", "1.67 times", "0.88", "1.72", "2.13", "2.95"},
		{12, "6 times", "12 times", "3 times", "2 times", "1.06", "2.06", "2.56", "3.54"},
		{24, "12 times", "24 times", "6 times", "4 times", "2.12", "4.12", "5.11", "over"},
		{48, "24 times", "48 times", "12 times", "8 times", "4.24", "over", "over", "over"},
	} {
		stay := time.Duration(c.hours) * time.Hour
		for i, want := range []string{c.two, c.one, c.four, c.six} {
			limit := []time.Duration{2, 1, 4, 6}[i] * time.Hour
			if got := (Times{stay, limit}).String(); got != want {
				t.Errorf("%d h of %s: %s, want %s", c.hours, limit, got, want)
			}
		}
		for _, g := range []struct {
			m    Model
			at   int64
			want string
		}{{SalmonellaCentral, 15, c.at15}, {SalmonellaCentral, 20, c.at20}, {SalmonellaCentral, 22, c.at22}, {SalmonellaUpper, 22, c.upper}} {
			got := g.m.Predict([]Spell{{stay, units.DegreesC(g.at)}}).Gain.String()
			if !strings.Contains(got, g.want) {
				t.Errorf("%d h, %s at %d °C: %s, want %s", c.hours, g.m, g.at, got, g.want)
			}
		}
	}
}

// Common practice, no source: what keepers do, by form.
func TestPracticeBands(t *testing.T) {
	t.Parallel()
	b := book(t)
	for _, c := range []struct {
		form      Form
		low, high time.Duration
	}{{Soup, 6, 8}, {Minced, 8, 12}, {Pieces, 10, 24}, {BoneIn, 12, 24}, {WholePrey, 48, 48}} {
		w, err := b.SetOut(SetOutQuestion{Form: c.form, Room: room(t, "20 °C")})
		if err != nil {
			t.Fatal(err)
		}
		last := w.Practice[len(w.Practice)-1]
		if last.Low.Total != c.low*time.Hour || last.High.Total != c.high*time.Hour {
			t.Errorf("%s: %s to %s, want %d to %d h", c.form, last.Low.Total, last.High.Total, c.low, c.high)
		}
		if last.High.Level != FarOver || last.Ref.Evidence != cite.Practice {
			t.Errorf("%s: practice is %s by %s", c.form, last.High.Level, last.Ref)
		}
		if first := w.Practice[0]; first.High.Total > time.Hour {
			t.Errorf("%s: the short practice is not shown beside the long one", c.form)
		}
	}
}

// UK SI 2006 Schedule 4 para 5(1): less than four hours, on one occasion only.
// The other limits print "within", so the full time still keeps them.
func TestUKRuleIsLessThanAndOnce(t *testing.T) {
	t.Parallel()
	b := book(t)
	w, err := b.SetOut(SetOutQuestion{Form: Minced, Room: room(t, "20 °C")})
	if err != nil {
		t.Fatal(err)
	}
	uk, fsis := find(t, w, "uk-chill-4h"), find(t, w, "fsis-2h")
	if uk.Meets(4*time.Hour) || !uk.Meets(4*time.Hour-1) || !fsis.Meets(2*time.Hour) || fsis.Meets(2*time.Hour+1) {
		t.Error("a limit is kept or broken at the wrong nanosecond")
	}
	w, err = b.SetOut(SetOutQuestion{Form: Minced, Room: room(t, "20 °C"), Clocks: []TimeWarm{{Kind: Preparing, For: time.Minute}}})
	if l := find(t, w, "uk-chill-4h"); err != nil || l.Status != DoesNotApply || !strings.Contains(l.Why, "one occasion") {
		t.Errorf("after a first occasion: %s, %s %v", l.Status, l.Why, err)
	}
}

func TestChangingRoom(t *testing.T) {
	t.Parallel()
	b := book(t)
	w, err := b.SetOut(SetOutQuestion{Form: Pieces, Room: []Spell{{time.Hour, units.DegreesC(10)}, {time.Hour, units.DegreesC(25)}}})
	if err != nil {
		t.Fatal(err)
	}
	want := SalmonellaCentral.Predict([]Spell{{time.Hour, units.DegreesC(10)}, {3 * time.Hour, units.DegreesC(25)}})
	if got, ok := w.After(4 * time.Hour).Central(); !ok || got != want.Gain {
		t.Errorf("4 h in a changing room: %v, want %v", got, want.Gain)
	}
	if got, _ := w.After(30 * time.Minute).Central(); got != SalmonellaCentral.Predict([]Spell{{30 * time.Minute, units.DegreesC(10)}}).Gain {
		t.Errorf("half an hour: %v", got)
	}
	// A later hot step already brings the shorter rule in.
	if w, _ = b.SetOut(SetOutQuestion{Form: Pieces, Room: []Spell{{time.Hour, units.DegreesC(10)}, {time.Hour, units.DegreesC(35)}}}); w.Limits[0].ID != "fsis-1h" {
		t.Errorf("a room that turns hot is led by %s", w.Limits[0].ID)
	}
}

func TestSetOutRefuses(t *testing.T) {
	t.Parallel()
	b := book(t)
	for _, c := range []struct {
		name string
		s    SetOutQuestion
		want error
	}{
		{"no form", SetOutQuestion{}, ErrForm},
		{"form out of range", SetOutQuestion{Form: 99}, ErrForm},
		{"negative clock", SetOutQuestion{Form: Soup, Clocks: []TimeWarm{{For: -1}}}, ErrServing},
		{"clocks overflow", SetOutQuestion{Form: Soup, Clocks: []TimeWarm{{For: math.MaxInt64}, {For: math.MaxInt64}}}, ErrServing},
		{"negative step", SetOutQuestion{Form: Soup, Room: []Spell{{For: -1}}}, ErrServing},
		{"steps overflow", SetOutQuestion{Form: Soup, Room: []Spell{{For: maxPeriod}, {For: maxPeriod}}}, ErrServing},
		{"too many clocks", SetOutQuestion{Form: Soup, Clocks: make([]TimeWarm, 1001)}, ErrServing},
	} {
		if _, err := b.SetOut(c.s); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

func servings(t *rapid.T) SetOutQuestion {
	temp := rapid.Custom(func(t *rapid.T) units.Temperature {
		return units.Temperature(rapid.Int64Range(int64(units.DegreesC(-5)), int64(units.DegreesC(45))).Draw(t, "t"))
	})
	s := SetOutQuestion{
		Form: rapid.SampledFrom(Forms()).Draw(t, "form"),
		Room: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Spell {
			return Spell{time.Duration(rapid.Int64Range(0, int64(Day)).Draw(t, "for")), temp.Draw(t, "at")}
		}), 0, 3).Draw(t, "room"),
		Clocks: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) TimeWarm {
			return TimeWarm{rapid.SampledFrom(ClockKinds()).Draw(t, "kind"),
				time.Duration(rapid.IntRange(0, 600).Draw(t, "min")) * time.Minute,
				Reading{temp.Draw(t, "at"), rapid.Bool().Draw(t, "known")}}
		}), 0, 3).Draw(t, "clocks"),
		Start: Reading{temp.Draw(t, "start"), rapid.Bool().Draw(t, "start known")},
	}
	return s
}

func TestPracticeNeverLeads(t *testing.T) {
	t.Parallel()
	b := book(t)
	rapid.Check(t, func(t *rapid.T) {
		w, err := b.SetOut(servings(t))
		if err != nil {
			t.Fatal(err)
		}
		for _, band := range w.Practice {
			if band.Ref.Evidence != cite.Practice {
				t.Fatalf("band %s", band.Ref)
			}
			if w.Leads && !w.Limits[0].Meets(band.High.Total) && band.High.Level == Within {
				t.Fatalf("practice of %s counts as within a limit of %s", band.High.Total, w.Limits[0].Length)
			}
			if !w.Leads && band.High.Level != Open {
				t.Fatalf("practice is judged %s without a limit", band.High.Level)
			}
		}
		seen := Applies
		for i, l := range w.Limits {
			if l.Ref.Evidence != cite.Published || l.Left < 0 || l.Left > l.Length {
				t.Fatalf("limit %s: %s, %s left", l.ID, l.Ref, l.Left)
			}
			if l.Status < seen || i > 0 && l.Status == seen && l.Length < w.Limits[i-1].Length {
				t.Fatalf("limit %s (%s, %s) stands out of order", l.ID, l.Status, l.Length)
			}
			seen = l.Status
			if w.Leads && l.Status == Applies && l.Length < w.Limits[0].Length {
				t.Fatalf("%s is stricter than the leading %s", l.ID, w.Limits[0].ID)
			}
		}
		if w.Leads != (w.Limits[0].Status == Applies) {
			t.Fatalf("leads %v with %s first", w.Leads, w.Limits[0].Status)
		}
		if len(w.Serving.Room) == 0 && w.Leads && w.Limits[0].ID != "fsis-2h" && w.Limits[0].ID != "fsis-1h" {
			t.Fatalf("without a temperature %s leads", w.Limits[0].ID)
		}
	})
}

func TestMoreClockNeverLeavesMore(t *testing.T) {
	t.Parallel()
	b := book(t)
	rapid.Check(t, func(t *rapid.T) {
		s := servings(t)
		w, err := b.SetOut(s)
		if err != nil {
			t.Fatal(err)
		}
		s.Clocks = append(s.Clocks, TimeWarm{Bowl, time.Duration(rapid.IntRange(1, 300).Draw(t, "more")) * time.Minute, Reading{}})
		v, err := b.SetOut(s)
		if err != nil {
			t.Fatal(err)
		}
		before, ok1 := w.Left()
		after, ok2 := v.Left()
		if ok1 && ok2 && after > before {
			t.Fatalf("%s left, and after more time %s", before, after)
		}
		if v.Now.Level < w.Now.Level && w.Leads && v.Leads {
			t.Fatalf("%s became %s with more time", w.Now.Level, v.Now.Level)
		}
	})
}

// Every bound of the shipped limits gives one verdict in its two printed scales.
func TestBothScalesOneVerdict(t *testing.T) {
	t.Parallel()
	n := 0
	for _, r := range book(t).limits {
		for _, b := range []*Bound{r.startMost, r.roomMost, r.roomOver} {
			if b == nil || !b.hasTwo {
				continue
			}
			n++
			if !b.AtOrBelow(b.C) || !b.AtOrBelow(b.F) || b.AtOrBelow(max(b.C, b.F)+1) {
				t.Errorf("%s: %s: the printed figures are not one bound", r.limit.ID, b)
			}
		}
	}
	if n < 8 {
		t.Errorf("only %d bounds in two scales were checked", n)
	}
}

func TestParseBound(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in string
		ok bool
	}{
		{"21 °C (70 °F)", true}, {"0 °F (-18 °C)", true}, {"8 °C", true},
		{"21 °C (72 °F)", false}, {"21 °C (21 °C)", false}, {"21 °C (70 °F", false}, {"", false}, {"21", false}, {"21 °C ()", false},
	} {
		if _, err := ParseBound(c.in); (err == nil) != c.ok {
			t.Errorf("%q: %v", c.in, err)
		}
	}
}
