package main

import (
	"fmt"
	"strings"

	"fitchet.example/examples/internal/page"
)

const howToRead = "Three figures stand for what was eaten: what it typically came to, and in brackets the least and the most it may have been. What nobody weighed may be left, what nobody searched for may be hidden, and at a shared bowl each animal may have eaten from nothing to all that nobody saw another eat. A verdict is at the typical figures; 'over all' is over that whole range and the range of published figures. Open means that the log cannot say. Figures that say 'about' are estimates."

// text writes the log for people: what a vet must see first, then what each ate,
// shares, audit, bowls, weights, stools, and what next week needs.
func (b *book) text() []byte {
	var w page.Writer
	w.Title(fmt.Sprintf("%s: what was really eaten, %s to %s", b.Household, b.From, b.To))
	if len(b.Faults) > 0 {
		w.Head("Faults of the log: these entries are left out")
		w.List(b.Faults)
		w.Para("", "What was fed on their days is not known in full. The rest of the log is judged below.")
	}
	w.Head("First")
	if !b.bad {
		w.Para("  ", "Nothing for the vet now, nothing to stop or mend.")
	}
	for _, f := range b.First {
		writeFirst(&w, f)
	}
	w.WriteString("\n")
	w.Para("", fmt.Sprintf("Held to: %s. Bone means %s.", b.Target.Title, b.Target.BoneMeans))
	w.Para("", howToRead)
	if len(b.Unwritten) > 0 {
		w.Para("", fmt.Sprintf("Not written down in full: %s. These are not days without food.", page.And(b.Unwritten)))
	}

	w.Head("What each animal ate")
	for _, a := range b.Animals {
		a.text(&w)
	}

	w.Head("Parts of what all ate together, against the target")
	shareTable(&w, b.Shares)
	w.Para("  ", "Bone, both ways (the two are never compared with one another):")
	for _, t := range b.Bone {
		w.Para("    ", t)
	}

	w.Head("Audit of what was eaten")
	audit(&w, b.Audit)

	w.Head("The bowls, and what to change")
	for _, s := range b.Bowls {
		w.Para("  "+s.Who+": ", fmt.Sprintf("%d bowls weighed, %d emptied; of %s offered %s was left, bare bone apart. %s%s", s.Bowls, s.Emptied, s.Offered, s.Left, s.Text, basis(s.Basis)))
	}
	if len(b.Bowls) == 0 {
		w.Para("  ", "No bowl was weighed.")
	}
	w.WriteString("  How much to plan, from what was eaten and how the weight moved:\n")
	for _, c := range b.Change {
		w.Para("    "+c.Name+": ", c.Text)
	}

	w.Head("Weights, against the animal's own mean")
	for _, x := range b.Weights {
		if x.Latest == "" {
			w.Para("  "+x.Name+": ", strings.Join(x.Notes, " "))
			continue
		}
		t := fmt.Sprintf("%s on %s", x.Latest, x.On)
		if x.Mean != "" {
			t += fmt.Sprintf(", %s of its own mean of the year (%s)", x.OfMean, x.Mean)
		}
		if x.Season != "" {
			t += fmt.Sprintf("; at this time of earlier years %s", x.Season)
		}
		w.Para("  "+x.Name+": ", t+". "+strings.Join(x.Notes, " "))
		for _, al := range x.Alerts {
			w.Para("      "+strings.ToUpper(al.Level)+": ", al.Text+basis(al.Basis))
		}
	}
	w.Para("  ", "The limits are ours and can be changed with -week-loss and -mean-loss; no ferret source that was read gives any.")

	w.Head("Stools")
	w.Para("  ", "What keepers and clinics take a stool for. It is no diagnosis, and several causes look alike.")
	for _, s := range b.Stools {
		w.Para(fmt.Sprintf("  %s, %s: ", s.Name, s.At), fmt.Sprintf("%s (%s). Taken for: %s. To do: %s. Urgency: %s.%s", s.Word, s.Looks, s.Taken, s.Do, s.Urgent, basis(s.Basis)))
	}
	if len(b.Stools) == 0 {
		w.Para("  ", "None is written down.")
	}

	w.Head("What next week needs")
	for _, s := range b.Short {
		w.Para("  "+s.Slot+": ", s.Text)
	}
	if len(b.Short) == 0 {
		w.Para("  ", "Nothing is written down to say it from.")
	}
	w.Para("  ", "This is for all animals together, since nobody knows who ate what of a shared bowl.")

	if len(b.Notes) > 0 {
		w.Head("Notes")
		w.List(b.Notes)
	}
	w.Head("Please read")
	w.List(b.Cautions)
	w.Head("Where the numbers come from")
	for _, n := range b.Evidence {
		w.Para(fmt.Sprintf("  [%d] ", n.N), n.Text)
	}
	w.Head("Sources")
	for _, s := range b.Sources {
		w.Para("  - ", s.Text)
	}
	return w.Bytes()
}

// basis is evidence in brackets.
func basis(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

// writeFirst writes what comes before everything else.
func writeFirst(w *page.Writer, f first) {
	who := ""
	if f.Animal != "" {
		who = f.Animal + ": "
	}
	level := strings.ToUpper(f.Level)
	w.Para("  "+level+strings.Repeat(" ", max(9-len(level), 1)), who+f.Text+basis(f.Basis))
}

func (a *animal) text(w *page.Writer) {
	w.Para("", a.Name+" ("+a.About+")")
	line := func(name, text string) { w.Para(fmt.Sprintf("    %-22s", name), text) }
	line("ate", a.AteText)
	energy := "cannot be said: no day is written down in full"
	if a.Energy != nil {
		energy = "about " + a.Energy.String() + " a day"
	}
	line("energy", energy+"; planned by "+a.Band+"; resting need "+a.Resting)
	for _, g := range a.Got {
		line("did it get "+shortName(g.What)+"?", strings.ToUpper(g.Answer)+": "+g.Why)
	}
	if a.Waits != "" {
		line("longest wait", a.Waits)
	}
	if a.Drank != "" {
		line("drank", a.Drank)
	}
	var foods []string
	for _, f := range a.Foods {
		t := f.Food + " " + f.Eaten.String()
		if f.BoneLeft != "" {
			t += ", bare bone left " + f.BoneLeft
		}
		if f.Guessed != "" {
			t += ", not weighed " + f.Guessed
		}
		foods = append(foods, t)
	}
	line("foods", strings.Join(foods, "; "))
	var shares []string
	for _, s := range a.Shares {
		t := s.Slot + " cannot be said"
		if s.Eaten != nil {
			t = fmt.Sprintf("%s %s: %s", s.Slot, s.Eaten, s.Verdict)
		}
		if s.Over != s.Verdict {
			t += ", over all " + s.Over
		}
		shares = append(shares, t)
	}
	line("parts", strings.Join(shares, "; "))
	var open, met []string
	for _, v := range a.Rules {
		switch {
		case v.Over == "met":
			met = append(met, strings.TrimSuffix(v.Title, ".")+basis(v.Basis))
			continue
		case v.Over == "open":
			t := strings.TrimSuffix(v.Title, ".") + " (ate " + orNothing(v.Range, v.Figure)
			if v.Verdict != "open" {
				t += ", wanted " + v.Wanted + "; typically " + v.Verdict
			}
			open = append(open, t+")"+basis(v.Basis))
			continue
		}
		line(v.Severity, fmt.Sprintf("%s: %s Ate %s; wanted: %s.%s", strings.ToUpper(v.Verdict), v.Title, orNothing(v.Figure, v.Range), v.Wanted, basis(v.Basis)))
	}
	if len(open) > 0 {
		line("open", strings.Join(open, "; ")+".")
	}
	if len(met) > 0 {
		line("met", strings.Join(met, "; ")+".")
	}
	w.WriteString("\n")
}

func orNothing(a, b string) string {
	switch {
	case a != "":
		return a
	case b != "":
		return b
	}
	return "cannot be said"
}

// shortName is the slot in a word.
func shortName(s string) string { return strings.TrimPrefix(s, "other secreting ") }

func shareTable(w *page.Writer, list []share) {
	if len(list) == 0 {
		w.Para("  ", "Shares do not apply, or nothing is written down.")
		return
	}
	widths := []int{24, 9, 18, 14}
	w.Row(widths, "  part", "eaten", "from to", "target", "verdict (over all)")
	for _, s := range list {
		eaten, span := "-", "-"
		if s.Eaten != nil {
			eaten, span = s.Eaten.Typical+" %", s.Eaten.Low+" to "+s.Eaten.High+" %"
		}
		w.Row(widths, "  "+s.Slot, eaten, span, s.Target, s.Verdict+" ("+s.Over+")")
		if s.Why != "" {
			w.Para("      open over all because ", s.Why)
		}
	}
}

// audit writes what is missed or open in full, and the rest in a line.
func audit(w *page.Writer, list []verdict) {
	var met, unknown []string
	for _, want := range []string{"missed", "care", "open"} {
		for _, v := range list {
			if v.Verdict != want {
				continue
			}
			if want == "open" && v.Severity == "watch" {
				unknown = append(unknown, strings.TrimSuffix(v.Title, ".")+basis(v.Basis))
				continue
			}
			t := v.Title
			if v.Figure != "" {
				t += " Here: " + v.Figure + "."
			}
			if v.Range != "" && v.Over != v.Verdict {
				t += " Over all: " + v.Range + ", " + v.Over + "."
			}
			if v.Wanted != "" {
				t += " Wanted: " + v.Wanted + "."
			}
			if v.Why != "" {
				t += " Open because " + v.Why + "."
			}
			w.Para(fmt.Sprintf("  %-7s%-6s", strings.ToUpper(v.Verdict), v.Severity), t+" "+v.Means+basis(v.Basis))
		}
	}
	for _, v := range list {
		if v.Verdict == "met" {
			t := strings.TrimSuffix(v.Title, ".")
			if v.Over != "met" {
				t += " (" + v.Over + " over all)"
			}
			met = append(met, t+basis(v.Basis))
		}
	}
	if len(unknown) > 0 {
		w.Para("  OPEN   watch ", strings.Join(unknown, "; ")+".")
	}
	if len(met) > 0 {
		w.Para("  MET          ", strings.Join(met, "; ")+".")
	}
	if len(list) == 0 {
		w.Para("  ", "Nothing is written down to judge.")
	}
}
