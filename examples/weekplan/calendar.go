package main

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// Kinds of events. They are part of an event's UID and never change.
const (
	calThaw  = "thaw"
	calOut   = "set-out"
	calLift  = "lift"
	calStash = "stash"
	calNote  = "note"
)

// event is one entry of a calendar. Times are those of the house: they carry no
// zone (RFC 5545, 3.3.5, form 1) and mean the same on every clock.
type event struct {
	kind        string
	at          moment
	until       moment // zero Text: no length
	allDay      bool
	summary     string
	description []string
	alarm       bool
	household   string
	asOf        units.Date
	distinguish string // tells events of one kind and time apart
}

// calendar is the door sheet as an iCalendar stream (RFC 5545). Bowls that are
// put down or lifted in one minute are one event.
func (d *door) calendar() []byte {
	var list []event
	add := func(e event) {
		e.household, e.asOf = d.Household, d.AsOf
		list = append(list, e)
	}
	if d.sheet.Plan == nil {
		e := event{kind: calNote, at: moment{Date: d.Start}, allDay: true, summary: "No plan for this week"}
		for _, it := range d.sheet.firstItems() {
			e.description = append(e.description, it.Mark+": "+it.Text)
		}
		add(e)
	}
	thaw := func(date units.Date, items []thawOut) {
		if len(items) == 0 {
			return
		}
		e := event{kind: calThaw, at: moment{Date: date}, allDay: true, summary: "Into the fridge: " + brief(each(items, func(t thawOut) string { return t.Food + ", " + t.Amount }), "foods")}
		for _, t := range items {
			e.description = append(e.description, t.Text)
		}
		add(e)
	}
	for _, b := range d.Before {
		thaw(b.Date, b.Thaw)
	}
	var bowls []bowlOut
	for _, x := range d.Days {
		thaw(x.Date, x.Thaw)
		bowls = append(bowls, x.Bowls...)
	}
	slices.SortStableFunc(bowls, func(a, b bowlOut) int { return a.Out.compare(b.Out) })
	for _, same := range together(bowls, func(b bowlOut) moment { return b.Out }) {
		until := same[0].Lift
		e := event{kind: calOut, at: same[0].Out, summary: "Set out: " + brief(each(same, who), "bowls"), alarm: true}
		for _, b := range same {
			if b.Lift.compare(until) < 0 { // the first that has to be lifted
				until = b.Lift
			}
			food := strings.Join(b.Food, "; ")
			if food == "" {
				food = "nothing is planned for this bowl"
			}
			e.description = append(e.description, fmt.Sprintf("%s: %s. Lift by %s.", who(b), food, b.Lift.on(b.Out.Date)))
		}
		e.until = until
		add(e)
	}
	slices.SortStableFunc(bowls, func(a, b bowlOut) int { return a.Lift.compare(b.Lift) })
	for _, same := range together(bowls, func(b bowlOut) moment { return b.Lift }) {
		add(event{kind: calLift, at: same[0].Lift, summary: "Lift: " + brief(each(same, who), "bowls"), alarm: true,
			description: []string{"Weigh what is left and write it on the door sheet. Look for hidden food; what lay past its time goes into the bin."}})
	}
	for _, x := range d.Days {
		if last, ok := lastLift(x.Bowls); ok {
			add(event{kind: calStash, at: last, summary: "Stash round", alarm: true, distinguish: x.Date.String(),
				description: append([]string{"The last bowl of the day is lifted: look through bedding, pipes and corners, weigh what is found and write it on the door sheet."}, d.How...)})
		}
	}
	for _, n := range d.Nights {
		add(event{kind: calNote, at: moment{Date: d.Start}, allDay: true, summary: "Settle the night of " + n.Who + " with your vet", distinguish: n.Who,
			description: append([]string{n.Text}, n.Choices...)})
	}
	if len(list) == 0 { // a calendar holds at least one entry
		add(event{kind: calNote, at: moment{Date: d.Start}, allDay: true, summary: "Nothing is planned to be fed"})
	}
	slices.SortStableFunc(list, func(a, b event) int { return cmp.Or(a.at.compare(b.at), cmp.Compare(b2i(b.allDay), b2i(a.allDay))) })

	var w folder
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", "-//fitchet.example//weekplan//EN")
	w.line("CALSCALE", "GREGORIAN")
	w.line("METHOD", "PUBLISH")
	w.line("X-WR-CALNAME", escapeText(d.Household))
	for _, e := range list {
		e.write(&w)
	}
	w.line("END", "VCALENDAR")
	return w.out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func who(b bowlOut) string { return strings.Join(b.Who, ", ") }

// brief is a list for a line, or how many there are.
func brief(list []string, what string) string {
	const most = 6
	if len(list) > most {
		return fmt.Sprintf("%d %s", len(list), what)
	}
	return strings.Join(list, "; ")
}

// together cuts a sorted list where the moment changes.
func together(list []bowlOut, at func(bowlOut) moment) (out [][]bowlOut) {
	for i, b := range list {
		if i == 0 || at(b).compare(at(list[i-1])) != 0 {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], b)
	}
	return out
}

func lastLift(bowls []bowlOut) (last moment, ok bool) {
	for _, b := range bowls {
		if !ok || b.Lift.compare(last) > 0 {
			last, ok = b.Lift, true
		}
	}
	return last, ok
}

// uid names an event for good: the same household, kind and time give the same
// name in every run, so that a calendar that reads the file again replaces its
// entries instead of doubling them.
func (e event) uid() string {
	sum := sha256.Sum256([]byte(strings.Join([]string{e.household, e.kind, e.at.Date.String(), e.at.Text, e.distinguish}, "\x00")))
	return e.kind + "-" + hex.EncodeToString(sum[:12]) + "@weekplan.fitchet.example"
}

func (e event) write(w *folder) {
	w.line("BEGIN", "VEVENT")
	w.line("UID", e.uid())
	w.line("DTSTAMP", compact(e.asOf)+"T000000Z")
	if e.allDay {
		w.line("DTSTART;VALUE=DATE", compact(e.at.Date))
		w.line("DTEND;VALUE=DATE", compact(e.at.Date.AddDays(1)))
	} else {
		w.line("DTSTART", stamp(e.at))
		if e.until.Text != "" && e.until.compare(e.at) > 0 {
			w.line("DTEND", stamp(e.until))
		}
	}
	w.line("SUMMARY", escapeText(e.summary))
	if len(e.description) > 0 {
		w.line("DESCRIPTION", escapeText(e.description...))
	}
	w.line("CATEGORIES", e.kind)
	w.line("TRANSP", "TRANSPARENT")
	if e.alarm {
		w.line("BEGIN", "VALARM")
		w.line("ACTION", "DISPLAY")
		w.line("TRIGGER", "PT0S")
		w.line("DESCRIPTION", escapeText(e.summary))
		w.line("END", "VALARM")
	}
	w.line("END", "VEVENT")
}

func compact(d units.Date) string { return strings.ReplaceAll(d.String(), "-", "") }

func stamp(m moment) string {
	return compact(m.Date) + "T" + strings.ReplaceAll(m.Text, ":", "") + "00"
}

// escapeText writes lines as a TEXT value (RFC 5545, 3.3.11).
func escapeText(lines ...string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(strings.Join(each(lines, strict.Line), "\n"))
}

// folder writes content lines: at most 75 octets each without the end of line,
// what goes on begins with a blank, and no character is torn (RFC 5545, 3.1).
type folder struct{ out []byte }

func (f *folder) line(name, value string) {
	const most = 75
	room := most
	for _, r := range name + ":" + value {
		n := utf8.RuneLen(r)
		if room < n {
			f.out = append(f.out, "\r\n "...)
			room = most - 1
		}
		f.out = utf8.AppendRune(f.out, r)
		room -= n
	}
	f.out = append(f.out, "\r\n"...)
}
