package ration

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"fitchet.example/ration/internal/form"
	"fitchet.example/safety"
)

// Place is where in a file something was read. The zero Place means: not from a file.
type Place struct {
	Path      string
	Line, Col int
}

// String returns "path:line:column", or "" for the zero Place.
func (p Place) String() string {
	if p == (Place{}) {
		return ""
	}
	return fmt.Sprintf("%s:%d:%d", p.Path, p.Line, p.Col)
}

// parsePeriod reads a period above zero and up to 31 days.
func parsePeriod(s string) (time.Duration, error) {
	d, err := safety.ParsePeriod(s)
	if err == nil && (d <= 0 || d > 31*safety.Day) {
		err = fmt.Errorf("time %q: want more than nothing and at most 31 days", s)
	}
	return d, err
}

// TimeOfDay is minutes after midnight, 0 to 1439.
type TimeOfDay int16

const dayMinutes = 24 * 60

// ParseTimeOfDay reads "07:30". It refuses anything but two digits, a colon and two digits below 24:00.
func ParseTimeOfDay(s string) (TimeOfDay, error) {
	if len(s) == 5 && s[2] == ':' {
		h, err1 := strconv.ParseUint(s[:2], 10, 8)
		m, err2 := strconv.ParseUint(s[3:], 10, 8)
		if err1 == nil && err2 == nil && h < 24 && m < 60 {
			return TimeOfDay(h*60 + m), nil
		}
	}
	return 0, fmt.Errorf("time of day %.20q: want hours and minutes as in \"07:30\"", s)
}

// String returns the time as "07:30".
func (t TimeOfDay) String() string {
	m := ((int(t) % dayMinutes) + dayMinutes) % dayMinutes
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// Window is the part of the day in which a keeper can set food out and lift it: from From for Awake. It may pass midnight.
type Window struct {
	From  TimeOfDay
	Awake time.Duration
}

// ParseWindow reads "06:30-22:30". A window that ends at or before its start passes midnight; one of no length is refused.
func ParseWindow(s string) (Window, error) {
	from, to, ok := strings.Cut(s, "-")
	if !ok {
		return Window{}, fmt.Errorf("hours %.40q: want a start and an end as in \"06:30-22:30\"", s)
	}
	a, err := ParseTimeOfDay(strings.TrimSpace(from))
	if err != nil {
		return Window{}, err
	}
	b, err := ParseTimeOfDay(strings.TrimSpace(to))
	if err != nil {
		return Window{}, err
	}
	m := int(b) - int(a)
	if m < 0 {
		m += dayMinutes
	}
	if m == 0 {
		return Window{}, fmt.Errorf("hours %q: start and end are the same", s)
	}
	return Window{From: a, Awake: time.Duration(m) * time.Minute}, nil
}

// String returns the window as "06:30-22:30".
func (w Window) String() string {
	return fmt.Sprintf("%s-%s", w.From, w.From+TimeOfDay(w.Awake/time.Minute))
}

// parseAge reads "14 weeks", "5 months", "3 years", "10 days" and returns whole days, rounded down. A month counts as
// 487/16 days and a year as 1461/4.
func parseAge(s string) (int, error) {
	num, unit, ok := strings.Cut(strings.TrimSpace(s), " ")
	if !ok || len(s) > form.MaxText {
		return 0, fmt.Errorf("age %.40q: want a number and a unit, as in \"14 weeks\" or \"3 years\"", s)
	}
	n, err := strconv.ParseUint(num, 10, 12)
	if err != nil {
		return 0, fmt.Errorf("age %q: %q is not a whole number", s, num)
	}
	d := int(n)
	switch strings.TrimSuffix(unit, "s") {
	case "day":
	case "week":
		d *= 7
	case "month":
		d = d * 487 / 16
	case "year":
		d = d * 1461 / 4
	default:
		return 0, fmt.Errorf("age %q: unknown unit %q; want days, weeks, months or years", s, unit)
	}
	if d > 30*366 {
		return 0, fmt.Errorf("age %q is more than 30 years", s)
	}
	return d, nil
}
