package main

import (
	"fmt"
	"strings"

	"fitchet.example/examples/internal/page"
)

// text writes the sheet for people: the vet first, then for each animal what to
// do next and why, the gate, the hours, the calcium.
func (s *sheet) text() []byte {
	var w page.Writer
	w.Title(fmt.Sprintf("%s: what next on the way to raw, %s", s.Household, s.AsOf))
	if len(s.Faults) > 0 {
		w.Head("Faults of the log: these entries are left out")
		w.List(s.Faults)
	}
	w.Head("The vet first")
	if len(s.Vet) == 0 {
		w.Para("  ", "Nothing in the log sends one of them to a vet now.")
	}
	for _, v := range s.Vet {
		lead := "  ASK FIRST  "
		if v.Now {
			lead = "  VET NOW    "
		}
		w.Para(lead, v.Name+": "+v.Text+basis(v.Basis))
	}
	w.Para("  ", "Call a vet whatever the log says:")
	for _, t := range s.Signs {
		w.Para("    - ", t)
	}
	for _, n := range s.Animals {
		n.text(&w)
	}
	if len(s.Notes) > 0 {
		w.Head("Notes")
		w.List(s.Notes)
	}
	w.Head("What to expect")
	w.List(s.Expect)
	w.Para("", fmt.Sprintf("The order of the steps is %s; the numbers of the gates are %s and can be changed with -steps.", s.Order, s.Gates))
	w.Head("Please read")
	w.List(s.Cautions)
	w.Head("Where the numbers come from")
	for _, n := range s.Evidence {
		w.Para(fmt.Sprintf("  [%d] ", n.N), n.Text)
	}
	w.Head("Sources")
	for _, x := range s.Sources {
		w.Para("  - ", x.Text)
	}
	return w.Bytes()
}

func basis(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

func (n *next) text(w *page.Writer) {
	w.Head(n.Name + " (" + n.About + ")")
	line := func(name, text string) {
		if text != "" {
			w.Para(fmt.Sprintf("  %-16s", name), text)
		}
	}
	to := ""
	if n.To.ID != n.Step.ID {
		to = ": " + n.To.Name
	}
	line("next", strings.ToUpper(n.Move)+to)
	for _, t := range n.Why {
		line("because", t)
	}
	on := n.Step.Name
	if n.Since != "" {
		on += ", since " + n.Since
	}
	line("is on", on)
	line("do", n.To.Do)
	line("old food", n.OldFood)
	for _, t := range n.Left {
		line("left out", t)
	}
	if len(n.Gate) > 0 {
		line("gate of "+n.Step.ID, "before the next step:")
		for _, g := range n.Gate {
			mark := "NOT YET "
			if g.Met {
				mark = "met     "
			}
			w.Para("    "+mark, fmt.Sprintf("%s (the log: %s)", g.Wanted, g.Have))
		}
	}
	if h := n.Hunger; h != nil {
		line("without food", fmt.Sprintf("it may last have eaten %s ago, and ate for certain %s ago. Go a step back after %s (%s).", h.Since, h.Certain, h.Back, h.BackBase))
	}
	line("does not eat", n.Fasts)
	if c := n.Calcium; c != nil {
		what := "for a batch of " + c.Batch
		if len(c.Of) > 0 {
			what += " (" + strings.Join(c.Of, "; ") + ")"
		}
		line("calcium", what+", aiming at calcium to phosphorus "+c.Ratio+":")
		for _, p := range c.Powders {
			lead := "    "
			if p.Name != "" {
				lead += p.Name + ": "
			}
			w.Para(lead, p.Text)
		}
		if c.Holds != "" {
			w.Para("    ", "The batch itself holds "+c.Holds+".")
		}
		w.Para("    ", "Keepers: "+c.Habit+".")
	}
	for _, t := range n.Care {
		line("take care", t)
	}
}
