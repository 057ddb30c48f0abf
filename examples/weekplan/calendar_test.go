package main

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// entry is one component of a calendar, read back.
type entry struct {
	kind  string
	props map[string]string // by name without parameters; the last of each
	kids  []entry
}

// checkCalendar reads a calendar by the letter of RFC 5545: 3.1 lines, 3.4 the
// one object, 3.6.1 what an event must have, 3.8.4.7 its UID.
func checkCalendar(t *testing.T, source string) entry {
	t.Helper()
	if !strings.HasSuffix(source, "\r\n") {
		t.Error("the last line has no end")
	}
	if bare := regexp.MustCompile(`[^\r]\n|\r[^\n]`).FindString(source); bare != "" {
		t.Errorf("an end of line that is not CRLF: %q", bare)
	}
	var lines []string
	for l := range strings.SplitSeq(strings.TrimSuffix(source, "\r\n"), "\r\n") {
		if len(l) > 75 || l == "" || !utf8.ValidString(l) {
			t.Errorf("%d octets, or a torn character: %q", len(l), l)
		}
		if strings.HasPrefix(l, " ") && len(lines) > 0 {
			lines[len(lines)-1] += l[1:]
		} else {
			lines = append(lines, l)
		}
	}
	root := entry{}
	stack := []*entry{&root}
	var open []entry
	for _, l := range lines {
		name, value, ok := strings.Cut(l, ":")
		if !ok {
			t.Errorf("no colon in %q", l)
			continue
		}
		name, _, _ = strings.Cut(name, ";")
		switch name {
		case "BEGIN":
			open = append(open, entry{kind: value, props: map[string]string{}})
			stack = append(stack, &open[len(open)-1])
		case "END":
			if len(open) == 0 || open[len(open)-1].kind != value {
				t.Fatalf("END:%s closes nothing", value)
			}
			done := open[len(open)-1]
			open = open[:len(open)-1]
			if len(open) == 0 {
				root.kids = append(root.kids, done)
			} else {
				open[len(open)-1].kids = append(open[len(open)-1].kids, done)
			}
		default:
			if len(open) == 0 {
				t.Fatalf("%q stands outside", l)
			}
			open[len(open)-1].props[name] = value
			if len(open) == 2 && name == "DTSTART" && strings.HasSuffix(value, "Z") {
				t.Errorf("%q is bound to a zone", l)
			}
		}
	}
	if len(open) > 0 || len(root.kids) != 1 || root.kids[0].kind != "VCALENDAR" {
		t.Fatalf("not one whole calendar: %d begun, %d ended", len(open), len(root.kids))
	}
	cal := root.kids[0]
	if cal.props["VERSION"] != "2.0" || cal.props["PRODID"] == "" {
		t.Errorf("VERSION %q, PRODID %q", cal.props["VERSION"], cal.props["PRODID"])
	}
	if len(cal.kids) == 0 {
		t.Error("a calendar holds at least one entry")
	}
	uids := map[string]bool{}
	for _, e := range cal.kids {
		if e.kind != "VEVENT" {
			t.Errorf("a %s", e.kind)
		}
		for _, p := range []string{"UID", "DTSTAMP", "DTSTART", "SUMMARY"} {
			if e.props[p] == "" {
				t.Errorf("an event without %s: %v", p, e.props)
			}
		}
		if uids[e.props["UID"]] {
			t.Errorf("UID %s twice", e.props["UID"])
		}
		uids[e.props["UID"]] = true
		if !regexp.MustCompile(`^[0-9]{8}T000000Z$`).MatchString(e.props["DTSTAMP"]) {
			t.Errorf("DTSTAMP %q", e.props["DTSTAMP"])
		}
		if !regexp.MustCompile(`^[0-9]{8}(T[0-9]{6})?$`).MatchString(e.props["DTSTART"]) {
			t.Errorf("DTSTART %q", e.props["DTSTART"])
		}
		if end := e.props["DTEND"]; end != "" && end <= e.props["DTSTART"] {
			t.Errorf("ends %s, begins %s", end, e.props["DTSTART"])
		}
		for _, a := range e.kids {
			if a.kind != "VALARM" || a.props["ACTION"] != "DISPLAY" || a.props["TRIGGER"] == "" || a.props["DESCRIPTION"] == "" {
				t.Errorf("an alarm by RFC 5545, 3.6.6 has more: %v", a)
			}
		}
	}
	return cal
}

// The calendar holds what the door sheet says: its thaw days, every time at
// which a bowl is put down or lifted, a stash round for each day fed, and a note
// for each night that is not settled.
func TestCalendarHoldsTheDoorSheet(t *testing.T) {
	t.Parallel()
	for name, args := range inputs(t) {
		var d struct {
			Outcome string
			AsOf    string `json:"as_of"`
			Before  []struct {
				Thaw []struct{ Text string }
			} `json:"before_the_week"`
			Days []struct {
				Thaw  []struct{ Text string }
				Bowls []struct {
					Out  struct{ Date, Time string }
					Lift struct{ Date, Time string } `json:"lift_by"`
				}
			}
			Nights []any
		}
		if err := json.Unmarshal([]byte(sheetOf(t, "", "door", "json", args...)), &d); err != nil {
			t.Fatal(err)
		}
		want := map[string]int{calNote: len(d.Nights)}
		if d.Outcome == "lacking" {
			want[calNote]++
		}
		outs, lifts := map[string]bool{}, map[string]bool{}
		for _, b := range d.Before {
			if len(b.Thaw) > 0 {
				want[calThaw]++
			}
		}
		for _, x := range d.Days {
			if len(x.Thaw) > 0 {
				want[calThaw]++
			}
			if len(x.Bowls) > 0 {
				want[calStash]++
			}
			for _, b := range x.Bowls {
				outs[strings.ReplaceAll(b.Out.Date, "-", "")+"T"+strings.ReplaceAll(b.Out.Time, ":", "")+"00"] = true
				lifts[strings.ReplaceAll(b.Lift.Date, "-", "")+"T"+strings.ReplaceAll(b.Lift.Time, ":", "")+"00"] = true
			}
		}
		want[calOut], want[calLift] = len(outs), len(lifts)
		cal := checkCalendar(t, sheetOf(t, "", "door", "ics", args...))
		got := map[string]int{calNote: 0, calOut: 0, calLift: 0}
		for _, e := range cal.kids {
			kind := e.props["CATEGORIES"]
			got[kind]++
			if kind == calOut && !outs[e.props["DTSTART"]] || kind == calLift && !lifts[e.props["DTSTART"]] {
				t.Errorf("%s: %s at %s is not on the door sheet", name, kind, e.props["DTSTART"])
			}
			if e.props["DTSTAMP"] != strings.ReplaceAll(d.AsOf, "-", "")+"T000000Z" {
				t.Errorf("%s: stamped %s, as of %s", name, e.props["DTSTAMP"], d.AsOf)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
		if week := sheetOf(t, "", "week", "ics", args...); week != sheetOf(t, "", "door", "ics", args...) {
			t.Errorf("%s: the calendars of week and door differ", name)
		}
	}
}

// An event keeps its UID when the food in the bowls changes, so that a calendar
// that reads a new file replaces its entries.
func TestUIDsStay(t *testing.T) {
	t.Parallel()
	uids := func(household string) (out []string) {
		for _, e := range checkCalendar(t, sheetOf(t, household, "week", "ics")).kids {
			if k := e.props["CATEGORIES"]; k == calOut || k == calLift {
				out = append(out, e.props["UID"])
			}
		}
		return out
	}
	a := named("Brackenford", "Fern", "Moss")
	b := strings.NewReplacer(`"rabbit meat"`, `"turkey thigh meat"`, "2026-11-25", "2026-11-26", "Fern", "Fennel").Replace(a)
	if got := sheetOf(t, b, "door", "text"); strings.Contains(got, "NO PLAN") {
		t.Skip("the other food makes no plan")
	}
	x, y := uids(a), uids(b)
	if len(x) == 0 || !slices.Equal(x, y) {
		t.Errorf("%d and %d UIDs, or others", len(x), len(y))
	}
	if z := uids(strings.Replace(a, "Brackenford", "Elsewhere", 1)); slices.ContainsFunc(z, func(s string) bool { return slices.Contains(x, s) }) {
		t.Error("two households share a UID")
	}
}

func TestEscapeText(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]string{
		// RFC 5545, 3.3.11, the example and the four characters it names
		"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.": `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.`,
		`a\b`: `a\\b`, "a;b": `a\;b`, "a,b": `a\,b`,
		"a:b":        "a:b", // COLON is not escaped
		"a\r\tb\x00": `a\\r\\tb\\x00`,
		"bad \xff":   `bad \\xff`,
	} {
		if got := escapeText(strings.Split(s, "\n")...); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
}

// Folded lines unfold to what was written (RFC 5545, 3.1), whatever is in them.
func TestFoldingUnfolds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.StringOf(rapid.RuneFrom([]rune("ab ,;é日🦦דו\u0301"))).Draw(t, "value")
		var f folder
		f.line("X", value)
		got := string(f.out)
		for l := range strings.SplitSeq(strings.TrimSuffix(got, "\r\n"), "\r\n") {
			if len(l) > 75 || !utf8.ValidString(l) {
				t.Fatalf("%d octets: %q", len(l), l)
			}
		}
		if strings.ReplaceAll(got, "\r\n ", "") != "X:"+value+"\r\n" {
			t.Fatalf("%q unfolds to something else", got)
		}
	})
}
