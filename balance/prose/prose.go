package prose

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// Write writes the report for keepers: what to stop, mend and watch, in plain
// words, with the figure, the limit, where it comes from and what to do. A report
// that no audit made is an error that wraps [balance.ErrPlan].
func Write(w io.Writer, r *balance.Report) error {
	in := r.Input()
	if in.Plan == nil {
		return fmt.Errorf("writing the report: nothing was audited: %w", balance.ErrPlan)
	}
	b := bufio.NewWriter(w)
	p := func(format string, args ...any) {
		for i, v := range args {
			if s, ok := v.(string); ok {
				args[i] = strict.Line(s) // it may come from anywhere
			}
		}
		fmt.Fprintf(b, format, args...)
	}
	reg := in.Book.Registry()

	p("%s, %s from %s\n", r.Household, say.Counted(int64(r.Days), "day", "days"), r.Start)
	p("Held to: %s (%s).\n", r.Target.Title, r.Target.ID)
	p("Bone means %s.\n", r.Target.BoneMeans.Words())
	boneText(p, r.Bone())
	for _, n := range in.Needs {
		needText(p, n, in.Household.NameOf(n.Animal.ID))
	}
	p("\nVerdicts are at typical figures; where the whole range of published figures says\notherwise, that stands beside it.\n")

	for _, g := range [...]balance.Severity{balance.Stop, balance.Mend, balance.Watch} {
		title := map[balance.Severity]string{balance.Stop: "STOP: do not feed this", balance.Mend: "MEND: change the plan before long", balance.Watch: "WATCH: know it and look out"}[g]
		p("\n%s\n", title)
		shown := 0
		var met, not, unknown []string
		for i := range r.Findings {
			f := &r.Findings[i]
			switch {
			case f.Severity != g:
			case f.Verdict == balance.Open && f.Reason == balance.LittleKnown && g == balance.Watch:
				unknown = append(unknown, label(f))
			case f.Verdict == balance.Missed || f.Verdict == balance.Open:
				shown++
				findingText(p, f, reg)
			case f.Verdict == balance.Met:
				met = append(met, label(f))
			default:
				not = append(not, label(f))
			}
		}
		if shown == 0 {
			p("  Nothing.\n")
		}
		if len(unknown) > 0 {
			p("\n  Open, %s: %s.\n", balance.LittleKnown.Words(), strings.Join(unknown, "; "))
		}
		if len(met) > 0 {
			p("  Met: %s.\n", strings.Join(met, "; "))
		}
		if len(not) > 0 {
			p("  Not applicable: %s.\n", strings.Join(not, "; "))
		}
	}
	if notes := r.Notes(); len(notes) > 0 {
		p("\nNOTES\n")
		for _, n := range notes {
			p("  - %s\n", n)
		}
	}
	if c := r.Cautions(); len(c) > 0 {
		p("\nPLEASE READ\n")
		for _, x := range c {
			p("  - %s\n", x.Text)
		}
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("writing the report: %w", err)
	}
	return nil
}

// label names a finding in a list: the rule, the animal, and the verdict over
// the range where it differs.
func label(f *balance.Finding) string {
	out := f.Rule.ID
	if f.Animal != nil {
		out += " for " + f.Who()
	}
	if f.Whole != f.Verdict {
		out += fmt.Sprintf(" (%s over the range)", f.Whole)
	}
	return out
}

func boneText(p func(string, ...any), b balance.Bone) {
	line := func(name string, s balance.BoneShare) {
		switch {
		case s.Of == 0:
			p("  %-13s not judged: all food counts as balanced in itself (common practice)\n", name)
		case s.Known == 0:
			p("  %-13s cannot be said: the parts are not known\n", name)
		default:
			p("  %-13s %s", name, s.Typical.InPercent(1))
			if s.Low != s.High {
				p(" (%s to %s)", s.Low.InPercent(1), s.High.InPercent(1))
			}
			if s.Known < s.Of {
				p(", of the %s for which it can be said", units.ShareOf(s.Known, s.Of).InPercent(0))
			}
			p("\n")
		}
	}
	p("\nBone in both meanings (they are never compared):\n")
	line("edible bone", b.Edible)
	line("bone-in meat", b.BoneIn)
	measure := func(m balance.Measure, unit string) string {
		if !m.Known {
			return "not known for enough of the food"
		}
		out := m.Typical.StringFixed(2) + unit
		if !m.Low.Equal(m.High) {
			out += " (" + m.Low.StringFixed(2) + " to " + m.High.StringFixed(2) + ")"
		}
		return out
	}
	p("  calcium to phosphorus: %s\n", measure(b.CaP, " to 1"))
	p("  calcium: %s per 1000 kcal by %s\n", measure(b.PerKcal, " g"), b.Energy)
}

// needText shows an animal's band beside the handbook's figure.
func needText(p func(string, ...any), n ration.Need, name string) {
	p("\n%s, %s, %s:", name, n.Stage, n.Animal.Mass.InBoth())
	if n.HasBand {
		p(" band about %s to %s a day;", n.Band.Low, n.Band.High)
	} else {
		p(" no figure for its need is known;")
	}
	p(" resting need about %s a day", n.Floor)
	if e, ok := n.Estimate(ration.MethodHandbook); ok && e.Known {
		p("; %s: %s", e.Name, e)
	}
	p(".\n")
}

func findingText(p func(string, ...any), f *balance.Finding, reg *cite.Registry) {
	title := f.Rule.Title
	if f.Hazard != nil {
		title = f.Hazard.Name + "."
	}
	p("\n  %s: %s", f.Verdict, title)
	if f.Animal != nil {
		p(" For %s.", f.Who())
	}
	p(" [%s]\n", f.Rule.ID)
	line := func(name, text string) {
		if text != "" {
			p("      %-10s %s\n", name, text)
		}
	}
	if f.Hazard != nil {
		line("in", strings.Join(f.Foods(), "; "))
	} else {
		line("measured", f.MeasuredText())
	}
	line("limit", f.LimitText())
	if f.Verdict == balance.Open {
		line("open", f.ReasonText())
	}
	if f.Whole != f.Verdict {
		line("range", f.Whole.String()+" over the whole range of published figures")
	}
	line("from", f.EvidenceText(reg))
	if f.Hazard != nil {
		line("why", f.Hazard.Sentence)
		line("do", f.Hazard.Do)
		line("notice", f.Hazard.Notice)
	} else {
		line("means", f.Rule.Means)
	}
	line("bowl", f.Split())
	if f.Hazard == nil {
		line("most of it", drivesText(f.Contributions()))
		line("mend", f.MendText())
		line("settle", f.Settle())
	}
}

func drivesText(list []balance.Contribution) string {
	var words []string
	for _, d := range list[:min(len(list), 3)] {
		words = append(words, fmt.Sprintf("%s %s, %s", d.Food.Name, d.Mass.InBoth(), d.Part.InPercent(0)))
	}
	return strings.Join(words, "; ")
}
