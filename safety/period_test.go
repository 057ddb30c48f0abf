package safety

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParsePeriod(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in   string
		want time.Duration
	}{
		{"2 h", 2 * time.Hour}, {"90 min", 90 * time.Minute}, {"1 h 30 min", 90 * time.Minute}, {"1.5 h", 90 * time.Minute},
		{"20 d", 20 * Day}, {"3 weeks", 21 * Day}, {"168 h", 7 * Day}, {"0 h", 0}, {" 2h ", 2 * time.Hour}, {"0.000001 min", 60 * time.Microsecond},
	} {
		if got, err := ParsePeriod(c.in); err != nil || got != c.want {
			t.Errorf("%q: %v %v, want %v", c.in, got, err, c.want)
		}
	}
	for _, in := range []string{"", "2", "h", "-2 h", "2 hrs", "2 m", "1.5.5 h", "1. h", ".5 h", "0.0000001 h", "99999999999 h", "36501 d", "36500 d 1 min", "2 h 3", "1e3 h", "2 µh",
		"1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h 1 h"} {
		if got, err := ParsePeriod(in); !errors.Is(err, ErrPeriod) {
			t.Errorf("%q: %v %v, want an error", in, got, err)
		}
	}
}

func TestPeriodText(t *testing.T) {
	t.Parallel()
	for d, want := range map[time.Duration]string{
		0: "0 h", time.Hour: "1 h", 90 * time.Minute: "1 h 30 min", 48 * time.Hour: "48 h", 72 * time.Hour: "72 h",
		73 * time.Hour: "3 d 1 h", 20 * Day: "20 d", time.Second: "under 1 min", -time.Hour: "-1 h", math.MinInt64: "-106751 d 23 h 47 min",
	} {
		if got := PeriodText(d); got != want {
			t.Errorf("%d: %q, want %q", d, got, want)
		}
	}
}

func TestPeriodRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.Int64Range(0, int64(maxPeriod/time.Minute)).Draw(t, "min")) * time.Minute
		if got, err := ParsePeriod(PeriodText(d)); err != nil || got != d {
			t.Fatalf("%s: %v %v", PeriodText(d), got, err)
		}
	})
}

func FuzzParsePeriod(f *testing.F) {
	for _, s := range []string{"2 h", "1 h 30 min", "1.5 d", "x", "2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParsePeriod(s)
		if err == nil && (d < 0 || d > maxPeriod) || err != nil && d != 0 {
			t.Fatalf("%q: %v %v", s, d, err)
		}
	})
}

func TestTimes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		of, into time.Duration
		want     string
	}{
		{12 * time.Hour, 2 * time.Hour, "6 times"}, {8 * time.Hour, 6 * time.Hour, "1.33 times"}, {10 * time.Hour, 6 * time.Hour, "1.67 times"},
		{time.Hour, 0, "no limit to compare with"}, {maxPeriod, maxPeriod - 1, "1 times"}, {0, time.Hour, "0 times"}, {199 * time.Minute, 100 * time.Minute, "1.99 times"},
		{1999 * time.Second, 1000 * time.Second, "2 times"},
	} {
		if got := (Times{c.of, c.into}).String(); got != c.want {
			t.Errorf("%s of %s: %s, want %s", c.of, c.into, got, c.want)
		}
	}
	if (Times{4 * time.Hour, 2 * time.Hour}).Over(2) || !(Times{4*time.Hour + 1, 2 * time.Hour}).Over(2) {
		t.Error("twice is not over twice; one nanosecond more is")
	}
}
