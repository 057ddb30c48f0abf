package ration

import (
	"errors"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

const hour = time.Hour

func window(s string) Window { w, _ := ParseWindow(s); return w }

func TestFeedingClock(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		r    ClockRequest
		want string // the set-outs, or the choices
	}{
		{"two meals of an adult, two hours each", ClockRequest{Meals: 2, LiftBy: []time.Duration{2 * hour}, LongestGap: 12 * hour, Waking: window("07:00-23:00")},
			"07:00, lift by 09:00; 19:00, lift by 21:00"},
		{"the same by default hours", ClockRequest{Meals: 2, LiftBy: []time.Duration{2 * hour}, LongestGap: 12 * hour}, "07:00, lift by 09:00; 19:00, lift by 21:00"},
		{"an eight-hour gap asks for three bowls", ClockRequest{Meals: 2, LiftBy: []time.Duration{2 * hour}, LongestGap: 8 * hour, Waking: window("07:00-23:00")},
			"07:00, lift by 09:00; 14:00, lift by 16:00; 21:00, lift by 23:00"},
		{"a late riser's night is the longest wait", ClockRequest{Meals: 2, LiftBy: []time.Duration{hour}, LongestGap: 12 * hour, Waking: window("10:00-22:00")},
			"10:00, lift by 11:00; 21:00, lift by 22:00"},
		{"each meal its own limit", ClockRequest{Meals: 2, LiftBy: []time.Duration{hour, 4 * hour}, LongestGap: 12 * hour, Waking: window("07:00-23:00")},
			"07:00, lift by 08:00; 17:30, lift by 21:30"},
		{"the last bowl may lie through the night", ClockRequest{Meals: 3, LiftBy: []time.Duration{6 * hour}, LongestGap: 4 * hour, Waking: window("06:00-00:00")},
			"08:00, lift by 14:00; 16:00, lift by 22:00; 00:00, lift by 06:00"},
		{"past midnight", ClockRequest{Meals: 2, LiftBy: []time.Duration{2 * hour}, LongestGap: 12 * hour, Waking: window("20:00-12:00")},
			"20:00, lift by 22:00; 08:00, lift by 10:00"},
		{"insulinoma and a night of eight hours", ClockRequest{Meals: 6, LiftBy: []time.Duration{2 * hour}, LongestGap: 4 * hour, Waking: window("07:00-23:00")},
			"Both cannot hold: nobody is up for 8 h, and this animal must not wait longer than 4 h.\n" +
				"keep-limit: Lift every bowl in time: the animal then waits 8 h in the night, 4 h longer than its longest gap.\n" +
				"keep-gap: Leave a bowl through the night: it lies 8 h, 4 times its limit of 2 h.\n" +
				"get-up: Get up 2 times in the night, at 02:15 and 03:50: both bounds are then kept.\n" +
				"keep-cold: Keep the night's bowl as cold as a fridge, in a chilled dish or on ice, and check it with a thermometer: time kept cold is not time out. Without that it lies out for 8 h."},
		{"hours that do not come out even in minutes", ClockRequest{Meals: 8, LiftBy: []time.Duration{hour}, LongestGap: 9 * hour, Waking: window("07:00-23:00")},
			"07:00, lift by 08:00; 09:10, lift by 10:10; 11:20, lift by 12:20; 13:30, lift by 14:30; 15:40, lift by 16:40; 17:50, lift by 18:50; 19:55, lift by 20:55; 22:00, lift by 23:00"},
		{"waking hours and a limit off the five minutes are rounded inward", ClockRequest{Meals: 2, LiftBy: []time.Duration{63 * time.Minute}, LongestGap: 14 * hour, Waking: window("10:02-22:08")},
			"10:05, lift by 11:05; 21:05, lift by 22:05"},
		{"to the minute where only that keeps the gap", ClockRequest{Meals: 2, LiftBy: []time.Duration{hour}, LongestGap: 11*hour + 54*time.Minute, Waking: window("10:02-22:08")},
			"10:02, lift by 11:02; 21:08, lift by 22:08"},
		{"to the minute where five would cost another bowl", ClockRequest{Meals: 2, LiftBy: []time.Duration{6 * hour}, LongestGap: 362 * time.Minute, Waking: window("06:00-23:58")},
			"06:00, lift by 12:00; 17:58, lift by 23:58"},
		{"one bowl", ClockRequest{Meals: 1, LiftBy: []time.Duration{12 * hour}, LongestGap: 12 * hour, Waking: window("07:00-23:00")}, "07:00, lift by 19:00"},
	} {
		c, err := FeedingClock(tc.r)
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		var got []string
		for _, s := range c.SetOuts {
			got = append(got, s.String())
		}
		text := strings.Join(got, "; ")
		if !c.Holds {
			text = c.Text
			for _, ch := range c.Choices {
				text += "\n" + string(ch.ID) + ": " + ch.Text
			}
		}
		if text != tc.want {
			t.Errorf("%s:\n got %s\nwant %s", tc.name, text, tc.want)
		}
	}
}

func TestFeedingClockRefuses(t *testing.T) {
	t.Parallel()
	good := ClockRequest{Meals: 2, LiftBy: []time.Duration{hour}, LongestGap: 8 * hour}
	for name, spoil := range map[string]func(r *ClockRequest){
		"no meals":      func(r *ClockRequest) { r.Meals = 0 },
		"many meals":    func(r *ClockRequest) { r.Meals = 25 },
		"no limit":      func(r *ClockRequest) { r.LiftBy = nil },
		"three limits":  func(r *ClockRequest) { r.LiftBy = []time.Duration{hour, hour, hour} },
		"zero limit":    func(r *ClockRequest) { r.LiftBy[0] = 0 },
		"endless limit": func(r *ClockRequest) { r.LiftBy[0] = 25 * hour },
		"no gap":        func(r *ClockRequest) { r.LongestGap = 0 },
		"never up":      func(r *ClockRequest) { r.Waking = Window{0, time.Minute} },
		"long day":      func(r *ClockRequest) { r.Waking = Window{0, 25 * hour} },
		"odd start":     func(r *ClockRequest) { r.Waking = Window{-1, 8 * hour} },
	} {
		r := good
		r.LiftBy = []time.Duration{hour}
		spoil(&r)
		if _, err := FeedingClock(r); !errors.Is(err, ErrClock) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// walk goes once round the day by the set-outs alone and returns what they really do: the longest any bowl lies and the
// longest wait between bowls. It fails when bowls overlap or a set-out needs somebody who is asleep.
func walk(t *rapid.T, outs []SetOut, w Window, mayWake bool) (lie, wait int) {
	if len(outs) == 0 {
		t.Fatal("no set-outs")
	}
	from := int(w.From)
	total := 0
	for i, s := range outs {
		next := outs[(i+1)%len(outs)]
		lies := (int(s.Lift) - int(s.Out) + 2*dayMinutes) % dayMinutes
		if lies == 0 && s.Lies > 0 {
			lies = dayMinutes
		}
		if time.Duration(lies)*time.Minute != s.Lies {
			t.Fatalf("%v says it lies %v", s, s.Lies)
		}
		waits := (int(next.Out) - int(s.Lift) + 2*dayMinutes) % dayMinutes
		if len(outs) == 1 {
			waits = dayMinutes - lies
		}
		total += lies + waits
		lie, wait = max(lie, lies), max(wait, waits)
		for _, act := range []TimeOfDay{s.Out, s.Lift} {
			if since := (int(act) - from + dayMinutes) % dayMinutes; !mayWake && since > int(minutes(w.Awake)) {
				t.Fatalf("somebody must be up at %v, outside %v", act, w)
			}
		}
	}
	if total != dayMinutes {
		t.Fatalf("the bowls overlap: %d minutes in %v", total, outs)
	}
	return lie, wait
}

// Bounds and hours in whole five minutes, as households state them, give times in whole five minutes.
func TestFeedingClockIsReadInFives(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		fives := func(name string, from, to int) time.Duration {
			return time.Duration(5*rapid.IntRange(from/5, to/5).Draw(t, name)) * time.Minute
		}
		meals := rapid.IntRange(1, 8).Draw(t, "meals")
		r := ClockRequest{
			Meals: meals, LiftBy: []time.Duration{fives("limit", 30, 8*60)}, LongestGap: fives("gap", 5, dayMinutes),
			Waking: Window{TimeOfDay(minutes(fives("wake", 0, dayMinutes-5))), fives("awake", 60, dayMinutes)},
		}
		c, err := FeedingClock(r)
		if err != nil {
			t.Fatal(err)
		}
		for _, outs := range append([][]SetOut{c.SetOuts}, setOutsOf(c.Choices)...) {
			for _, s := range outs {
				if s.Out%5 != 0 || s.Lift%5 != 0 {
					t.Fatalf("%v in %v", s, outs)
				}
			}
		}
	})
}

func setOutsOf(choices []ClockChoice) (out [][]SetOut) {
	for _, c := range choices {
		out = append(out, c.SetOuts)
	}
	return out
}

// No plan exceeds either bound it claims to keep.
func TestFeedingClockKeepsItsWord(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
		r := ClockRequest{
			Meals:      rapid.IntRange(1, 8).Draw(t, "meals"),
			LongestGap: m(rapid.IntRange(5, dayMinutes).Draw(t, "gap")),
			Waking:     Window{TimeOfDay(rapid.IntRange(0, dayMinutes-1).Draw(t, "wake")), m(rapid.IntRange(60, dayMinutes).Draw(t, "awake"))},
		}
		n := 1
		if rapid.Bool().Draw(t, "each") {
			n = r.Meals
		}
		shortest, longest := 24*hour, time.Duration(0)
		for range n {
			d := m(rapid.IntRange(5, 8*60).Draw(t, "limit"))
			r.LiftBy = append(r.LiftBy, d)
			shortest, longest = min(shortest, d), max(longest, d)
		}
		c, err := FeedingClock(r)
		if err != nil {
			t.Fatal(err)
		}
		gap := int(minutes(r.LongestGap))
		if c.Holds {
			if len(c.SetOuts) != r.Meals+c.Added || c.Added < 0 {
				t.Fatalf("%d bowls, %d wanted, %d added", len(c.SetOuts), r.Meals, c.Added)
			}
			lie, wait := walk(t, c.SetOuts, r.Waking, false)
			if m(lie) != c.LongestLie || m(wait) != c.LongestWait || wait > gap || m(lie) > longest {
				t.Fatalf("does %d and %d minutes, says %v and %v", lie, wait, c.LongestLie, c.LongestWait)
			}
			if len(r.LiftBy) == r.Meals && c.Added == 0 {
				for i, s := range c.SetOuts {
					if s.Lies > r.LiftBy[i] {
						t.Fatalf("bowl %d lies %v, limit %v", i, s.Lies, r.LiftBy[i])
					}
				}
			}
			return
		}
		if c.Asleep <= r.LongestGap || len(c.SetOuts) != 0 {
			t.Fatalf("gives up although a night of %v fits a gap of %v", c.Asleep, r.LongestGap)
		}
		for _, ch := range c.Choices {
			lie, wait := walk(t, ch.SetOuts, r.Waking, ch.ID == GetUp)
			if m(lie) != ch.LongestLie || m(wait) != ch.LongestWait {
				t.Fatalf("%s does %d and %d minutes, says %v and %v", ch.ID, lie, wait, ch.LongestLie, ch.LongestWait)
			}
			switch ch.ID {
			case KeepLimit:
				if m(lie) > longest || m(wait) < c.Asleep || m(wait) > c.Asleep+m(8) {
					t.Fatalf("keep-limit: lies %d, waits %d", lie, wait)
				}
			case KeepGap:
				if wait > gap {
					t.Fatalf("keep-gap waits %d", wait)
				}
			case GetUp:
				if wait > gap || m(lie) > longest || ch.GetUps < 1 {
					t.Fatalf("get-up: lies %d, waits %d", lie, wait)
				}
			}
		}
	})
}

func TestFeedingClocks(t *testing.T) {
	t.Parallel()
	h := home(t)
	got, err := FeedingClocks(h, func(animals []*Animal, meals int) ([]time.Duration, error) { return []time.Duration{2 * hour}, nil })
	if err != nil {
		t.Fatal(err)
	}
	// Moss has insulinoma and an own gap of 3.5 h: the bowl it shares follows it.
	if len(got) != 2 || got[0].Gap.Longest != 210*time.Minute || got[0].Meals != 6 || got[0].Clock.Holds || got[1].Meals != 4 {
		t.Errorf("%+v", got)
	}
	h.MealsPerDay = 5
	if got, err := FeedingClocks(h, func(animals []*Animal, meals int) ([]time.Duration, error) { return []time.Duration{hour}, nil }); err != nil || got[1].Meals != 5 {
		t.Errorf("five meals wanted: %+v, %v", got, err)
	}
	h.MealsPerDay = 0
	wrong := errors.New("no limit")
	if _, err := FeedingClocks(h, func([]*Animal, int) ([]time.Duration, error) { return nil, wrong }); !errors.Is(err, wrong) {
		t.Errorf("%v", err)
	}
}
