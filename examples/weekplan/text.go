package main

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	layout "fitchet.example/examples/internal/page"
	"fitchet.example/safety"
	"fitchet.example/units/strict"
)

// page is how wide the text is.
const page = layout.Width

// writer lays text out in lines of at most page characters.
type writer struct {
	*bytes.Buffer
	bare bool // nothing is set apart in what it is given
}

// para writes text with a hanging indent.
func (w writer) para(lead, text string) { layout.Para(w.Buffer, w.spelt(lead), w.spelt(text)) }

// spelt is text made harmless, save for our own isolates.
func (w writer) spelt(s string) string {
	if w.bare {
		return strict.Line(s)
	}
	parts := strings.Split(s, isolate)
	for i, p := range parts {
		parts[i] = strings.Join(each(strings.Split(p, endIsolate), strict.Line), endIsolate)
	}
	return strings.Join(parts, isolate)
}

func (w writer) head(title string) {
	title = w.spelt(title)
	fmt.Fprintf(w, "\n%s\n%s\n", title, strings.Repeat("-", utf8.RuneCountInString(title)))
}

// text writes the sheet for people: what must be done first, then who needs how
// much, the week, its shares, the audit, what is used and bought, the set-out
// card, cautions and sources.
func (s *sheet) text(b *bytes.Buffer) {
	w := writer{b, true}
	title := strict.Line(s.title())
	fmt.Fprintf(w, "%s\n%s\n", title, strings.Repeat("=", utf8.RuneCountInString(title)))
	w.para("", s.heldTo())
	w.para("", howToRead)

	w.head("First")
	s.firstText(w)
	w.head("Who needs how much (estimates, for each day)")
	s.needText(w)
	if s.Plan != nil {
		w.head("The week")
		s.weekText(w)
		w.head("Parts of the week")
		s.shareText(w)
		w.head("Audit")
		s.auditText(w)
		w.head("From the freezer and from the shop")
		s.shopText(w)
	}
	raw := &paper{bare: true}
	for _, p := range s.compareParts() {
		raw.textPart(w, p)
	}
	if s.Plan != nil {
		w.head("Set-out card")
		s.setOutText(w)
	}
	if len(s.PassedOver)+len(s.Notes) > 0 {
		w.head("Left out of the plan, and notes")
		for _, t := range s.PassedOver {
			w.para("  - ", t)
		}
		for _, t := range s.Notes {
			w.para("  - ", t)
		}
	}
	w.head("Please read")
	for _, c := range s.Cautions {
		w.para("  - ", c)
	}
	w.head("Where the numbers come from")
	for _, n := range s.Evidence {
		w.para(fmt.Sprintf("  [%d] ", n.N), n.Text)
	}
	w.head("Sources")
	for _, c := range s.Sources {
		w.para("  - ", c.Text)
	}
}

func (s *sheet) firstText(w writer) {
	first := func(f firstOut) {
		w.para("  "+strings.ToUpper(f.Severity)+strings.Repeat(" ", 7-len(f.Severity)), f.Text)
	}
	for _, f := range s.dated {
		first(f)
	}
	if s.Plan == nil {
		w.para("", "NO PLAN: "+s.noPlan())
		for _, l := range s.Lacking {
			w.para("  LACKING  ", lackWords(l))
		}
		if len(s.Lacking) > 0 {
			w.para("  ", leastThatHelps)
		}
		for _, c := range s.Clash {
			w.para("  CLASH    ", c)
		}
		for _, t := range s.WouldHelp {
			w.para("  OR       ", t)
		}
		if len(s.WouldHelp) > 0 {
			w.para("  ", eachAlone)
		}
		return
	}
	wrong := false
	for _, f := range s.First {
		wrong = wrong || f.Severity == "stop" || f.Severity == "mend"
	}
	if !wrong {
		w.para("  ", nothingWrong)
	}
	for _, f := range s.First[len(s.dated):] {
		first(f)
	}
}

func (s *sheet) needText(w writer) {
	for _, n := range s.Needs {
		w.para("", n.Name+" ("+n.About+")")
		w.para("    planned for     ", n.Band+" ("+n.Evidence+")")
		if n.Grams != "" {
			w.para("    in this food    ", n.Grams)
		}
		w.para("    resting need    ", n.Floor+": a floor, never a day's food")
		w.para("    meals           ", n.Meals)
		w.WriteString("    how the methods differ:\n")
		for _, m := range n.Methods {
			if m.Applies {
				w.para("      ", m.Name+": "+m.Value+" ("+m.Evidence+")")
			}
		}
		if not := n.notHere(); not != "" {
			w.para("      ", not)
		}
		for _, d := range n.Disagree {
			w.para("    note: ", d)
		}
		w.WriteString("\n")
	}
}

func (s *sheet) weekText(w writer) {
	for _, d := range s.Week {
		fmt.Fprintf(w, "%s %s\n", d.Date.Weekday(), d.Date)
		for _, m := range d.Meals {
			w.para(fmt.Sprintf("  meal %d  ", m.Slot), fmt.Sprintf("%s: %s. Together %s.", m.Who, strings.Join(m.Food, "; "), m.Total))
		}
	}
}

func (s *sheet) shareText(w writer) {
	if len(s.Shares) > 0 {
		fmt.Fprintf(w, "  %-24s %9s  %-16s %-18s %s\n", "part", "planned", "range", "target", "verdict (over the range)")
	}
	for _, h := range s.Shares {
		if h.Typical == "" {
			fmt.Fprintf(w, "  %-24s %9s  %-16s %-18s %s\n", h.Slot, "-", "-", h.Target, h.Verdict)
			continue
		}
		fmt.Fprintf(w, "  %-24s %7s %%  %-16s %-18s %s (%s)\n", h.Slot, h.Typical, h.Low+" to "+h.High+" %", strings.TrimSuffix(h.Target, " of the five slots"), h.Verdict, h.Whole)
	}
	w.WriteString("  " + bothBones + "\n")
	for _, b := range s.Bone {
		w.para("    ", b)
	}
}

func (s *sheet) auditText(w writer) {
	w.para("  ", s.auditCount())
	for _, verdict := range []string{"missed", "care", "open", "met"} {
		for _, v := range s.report {
			if v.verdict == verdict {
				w.para(fmt.Sprintf("  %-7s %-6s ", strings.ToUpper(v.verdict), v.gravity), v.text)
			}
		}
	}
}

func (s *sheet) shopText(w writer) {
	w.WriteString("  Use from the freezer:\n")
	if len(s.Use) == 0 {
		w.WriteString("    nothing\n")
	}
	for _, u := range s.Use {
		t := u.Food + " " + u.Amount
		if u.BestBefore != 0 {
			t += ", best before " + u.BestBefore.String()
		}
		if u.From != "" {
			t += "; " + u.From
		}
		w.para("    ", t)
	}
	w.WriteString("  Buy:\n")
	if len(s.Buy) == 0 {
		w.WriteString("    nothing\n")
	}
	for _, b := range s.Buy {
		packs := "pack"
		if b.Packs > 1 {
			packs = "packs"
		}
		t := fmt.Sprintf("%s: %d %s of %s, %s", b.Food, b.Packs, packs, b.Pack, b.Cost)
		if b.From != "" {
			t += "; " + b.From
		}
		w.para("    ", t)
	}
	if len(s.Cost) > 0 {
		w.para("    ", "Together "+strings.Join(s.Cost, " and ")+".")
	}
	for _, c := range s.Cannot {
		w.para("    ", "NOT TO BE HAD: "+c.Food+" "+c.Amount)
	}
	if len(s.Left) > 0 {
		w.WriteString("  Left over after the week:\n")
		for _, l := range s.Left {
			w.para("    ", l.Food+" "+l.Amount)
		}
	}
	if len(s.PerAnimal) > 0 {
		w.WriteString("  Cost of the food by animal and day (shared bowls divided by need):\n")
		for _, c := range s.PerAnimal {
			t := c.Name + ": " + c.PerDay
			if c.Note != "" {
				t += " (" + c.Note + ")"
			}
			w.para("    ", t)
		}
	}
}

func (s *sheet) setOutText(w writer) {
	// what is the same for every form is said once
	if len(s.SetOut) == 0 {
		return
	}
	common := s.SetOut[0]
	growth := map[time.Duration]growthOut{}
	for _, c := range s.SetOut {
		w.para("  "+strings.ToUpper(c.Form)+": ", c.Line)
		for _, p := range c.Practice {
			w.para("      practice: ", p)
		}
		for _, g := range c.Growth {
			growth[g.after] = g
		}
	}
	if len(growth) > 0 {
		w.para("  ", whatGrowthIs)
		fmt.Fprintf(w, "    %-8s", "after")
		times := slices.Sorted(maps.Keys(growth))
		for _, p := range growth[times[0]].gains {
			fmt.Fprintf(w, "  %-22s", p.Model.Germ())
		}
		w.WriteString("\n")
		for _, t := range times {
			line := fmt.Sprintf("    %-8s", growth[t].After)
			for _, p := range growth[t].gains {
				line += fmt.Sprintf("  %-22s", gainWords(p))
			}
			w.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	w.WriteString("  Other published limits:\n")
	for _, o := range common.Others {
		w.para("    - ", o)
	}
	for _, n := range common.Notes {
		w.para("  Note: ", n)
	}
	w.WriteString("  Hours between meals:\n")
	for _, c := range s.Clocks {
		w.para("    "+c.Who+": ", c.Gap+". "+c.Text)
		if len(c.Times) > 0 {
			w.para("        ", strings.Join(c.Times, "; ")+".")
		}
		for _, t := range c.Choices {
			w.para("      either  ", t)
		}
	}
}

// gainWords is a predicted growth without its unit.
func gainWords(p safety.Prediction) string {
	switch {
	case !p.Known:
		return "cannot be said"
	case p.Gain.Past():
		return "over 6, past the model"
	}
	return strings.TrimSuffix(p.Gain.String(), " log10")
}
