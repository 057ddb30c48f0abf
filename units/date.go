package units

import (
	"fmt"
	"time"
)

// Date is a day of the proleptic Gregorian calendar, counted from 1970-01-01.
// It has no time of day and no zone. The zero Date is 1970-01-01, so where a
// date may be missing the caller keeps that apart.
type Date int32

const (
	minDate Date = -719162 // 0001-01-01
	maxDate Date = 2932896 // 9999-12-31

	daySeconds = 24 * 60 * 60
)

// ParseDate reads year, month and day as ISO 8601 writes them: "2026-11-25",
// years 0001 to 9999.
//
// The error is a *ParseError around ErrSyntax, ErrTooLong, or ErrRange for a
// day that the calendar does not have.
func ParseDate(s string) (Date, error) {
	k := kind{name: "date"}
	if len(s) > MaxText {
		return 0, refuse(k, s, ErrTooLong)
	}
	if !dateForm(s) {
		return 0, refuse(k, s, fmt.Errorf("%w: write year-month-day, as in 2026-11-25", ErrSyntax))
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil || t.Year() < 1 {
		return 0, refuse(k, s, fmt.Errorf("%w: the calendar has no such day", ErrRange))
	}
	return Date(t.Unix() / daySeconds), nil
}

func dateForm(s string) bool {
	if len(s) != len(time.DateOnly) {
		return false
	}
	for i := range len(s) {
		if i == 4 || i == 7 {
			if s[i] != '-' {
				return false
			}
		} else if !isDigit(s[i]) {
			return false
		}
	}
	return true
}

func (d Date) midnight() time.Time { return time.Unix(int64(d)*daySeconds, 0).UTC() }

// String writes "2026-11-25". Outside the years 0001 to 9999 ParseDate does not
// read it back.
func (d Date) String() string { return d.midnight().Format(time.DateOnly) }

// AddDays gives the date n days later, or earlier for a negative n, held to the
// years 0001 to 9999.
func (d Date) AddDays(n int) Date {
	const span = int64(maxDate - minDate)
	n64 := min(max(int64(n), -2*span), 2*span)
	return Date(min(max(int64(d)+n64, int64(minDate)), int64(maxDate)))
}

// DaysSince gives the number of days from e to d: 1 when d is the day after e.
func (d Date) DaysSince(e Date) int { return int(int64(d) - int64(e)) }

// Weekday gives the day of the week.
func (d Date) Weekday() time.Weekday { return d.midnight().Weekday() }

// MarshalText writes what String writes; a year outside 0001 to 9999 is ErrRange.
func (d Date) MarshalText() ([]byte, error) {
	if d < minDate || d > maxDate {
		return nil, fmt.Errorf("writing date %s: %w", d, ErrRange)
	}
	return []byte(d.String()), nil
}

// UnmarshalText reads what ParseDate reads.
func (d *Date) UnmarshalText(text []byte) error { return unmarshal(d, text, ParseDate) }
