package safety

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Day is 24 hours. Periods here are plain lengths of time; calendar days are
// counted with units.Date.
const Day = 24 * time.Hour

// maxPeriod bounds every period that is read or summed: one hundred years of
// 365 days. Nothing here is longer, and sums of a few of them cannot overflow.
const maxPeriod = 36500 * Day

// ErrPeriod is wrapped by every error of [ParsePeriod].
var ErrPeriod = errors.New("not a period of time")

// ParsePeriod reads a length of time as people write it: "2 h", "90 min",
// "1 h 30 min", "1.5 h", "20 d", "3 weeks". Units are min, h (hour, hours), d
// (day, days) and week (weeks, wk). Every number needs a unit. The result is
// exact; a number with more than six decimals, a negative one, or a period
// over one hundred years is refused with an error that wraps [ErrPeriod].
func ParsePeriod(s string) (time.Duration, error) {
	bad := func(why string) (time.Duration, error) {
		return 0, fmt.Errorf("period %q: %w: %s", clip(s), ErrPeriod, why)
	}
	if len(s) > 64 {
		return bad("longer than 64 bytes")
	}
	rest := strings.TrimSpace(s)
	if rest == "" {
		return bad("nothing written; write for example \"2 h\" or \"90 min\"")
	}
	var total time.Duration
	for rest != "" {
		n := strings.IndexFunc(rest, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
		if n == 0 {
			return bad("a number comes first, then its unit, for example \"2 h\"")
		}
		if n < 0 {
			return bad("a unit is missing: min, h, d or weeks")
		}
		number := rest[:n]
		rest = strings.TrimLeft(rest[n:], " ")
		m := strings.IndexFunc(rest, func(r rune) bool { return r < 'a' || r > 'z' })
		if m < 0 {
			m = len(rest)
		}
		unit, ok := periodUnit(rest[:m])
		if !ok {
			return bad(fmt.Sprintf("%q is not a unit of time here: min, h, d or weeks", clip(rest)))
		}
		d, why := exactPeriod(number, unit)
		if why != "" {
			return bad(why)
		}
		if total += d; total > maxPeriod {
			return bad("longer than one hundred years")
		}
		rest = strings.TrimLeft(rest[m:], " ")
	}
	return total, nil
}

func periodUnit(word string) (time.Duration, bool) {
	switch word {
	case "min", "minute", "minutes":
		return time.Minute, true
	case "h", "hour", "hours":
		return time.Hour, true
	case "d", "day", "days":
		return Day, true
	case "week", "weeks", "wk":
		return 7 * Day, true
	}
	return 0, false
}

// exactPeriod multiplies a decimal text by a unit. All units are multiples of
// 6e10 nanoseconds, so six decimals always give whole nanoseconds.
func exactPeriod(number string, unit time.Duration) (time.Duration, string) {
	whole, frac, point := strings.Cut(number, ".")
	switch {
	case whole == "" || point && frac == "" || strings.Contains(frac, "."):
		return 0, fmt.Sprintf("%q is not a number", clip(number))
	case len(whole) > 8:
		return 0, "longer than one hundred years"
	case len(frac) > 6:
		return 0, "more than six decimals"
	}
	n, scale := int64(0), int64(1)
	for _, c := range whole {
		n = n*10 + int64(c-'0')
	}
	if n > int64(maxPeriod/unit) {
		return 0, "longer than one hundred years"
	}
	d := time.Duration(n) * unit
	n = 0
	for _, c := range frac {
		n, scale = n*10+int64(c-'0'), scale*10
	}
	return d + unit/time.Duration(scale)*time.Duration(n), ""
}

// PeriodText prints a period for people in the largest fitting units, down to
// whole minutes: "2 h", "1 h 30 min", "48 h", "20 d". Hours are kept up to
// three days, because that is how feeding times are spoken of. A rest below a
// minute is dropped, except that a period under one minute prints "under 1
// min". Negative periods print with a leading "-".
func PeriodText(d time.Duration) string {
	switch {
	case d == 0:
		return "0 h"
	case d < 0:
		if d == -1<<63 {
			d++
		}
		return "-" + PeriodText(-d)
	case d < time.Minute:
		return "under 1 min"
	}
	var parts []string
	add := func(n time.Duration, unit string) {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, unit))
		}
	}
	if d > 72*time.Hour {
		add(d/Day, "d")
		d %= Day
	}
	add(d/time.Hour, "h")
	add(d%time.Hour/time.Minute, "min")
	return strings.Join(parts, " ")
}

// Times is how often one period goes into another, kept exact.
type Times struct{ Of, Into time.Duration }

// String prints the ratio to at most two decimals, rounded half up: "6 times",
// "1.33 times". With nothing to divide by it prints "no limit to compare with".
func (t Times) String() string {
	if t.Into <= 0 || t.Of < 0 {
		return "no limit to compare with"
	}
	whole, rest := t.Of/t.Into, t.Of%t.Into
	// rest*200 fits: rest is below maxPeriod for all periods read here, and is
	// reduced to seconds when it is not.
	if rest > 1<<62/200 {
		rest, t.Into = rest/time.Second, t.Into/time.Second
	}
	hundredths := (rest*200 + t.Into) / (2 * t.Into)
	whole, hundredths = whole+hundredths/100, hundredths%100
	s := fmt.Sprintf("%d.%02d", whole, hundredths)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".") + " times"
}

// Over reports whether Of is more than n times Into, exactly.
func (t Times) Over(n int64) bool {
	if t.Into <= 0 {
		return false
	}
	q, r := int64(t.Of/t.Into), t.Of%t.Into
	return q > n || q == n && r > 0
}

// clip keeps quoted input in messages short.
func clip(s string) string {
	const most = 60
	n := 0
	for i := range s {
		if n == most {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
