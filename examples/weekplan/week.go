package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// Sentences that the sheet says in every format.
const (
	howToRead = "Every figure that says 'about' is an estimate. 'Common practice' means that keepers do it so and no published source was read; 'our choice' means that we set it and you may change it. A range in brackets is what published figures allow; a verdict is at the typical figure, and says so where the range would decide otherwise."

	noneThere      = "what is in the freezer and on offer does not make a week that meets the rules."
	noneFound      = "none was found, and it was not shown that there is none. More work (-budget) may find one."
	leastThatHelps = "With this much more for the week of all animals together, beside what is there, the shares, the kinds of animal and the energy can be met: it is the least that helps, by computation. Other foods of the same kind serve as well; buy meat of another animal where more kinds are asked for."
	eachAlone      = "Each line with OR, by itself, makes a plan possible too: each was tried. It gives up a little of what the rules ask for, for this week; whether to is for you to say."
	nothingWrong   = "Nothing has to be stopped or mended."
	whatGrowthIs   = "Growth of germs already there, without a pause at the start, at this room's temperature. These are estimates in log10: 1 is ten times as many, 2 a hundred times. They say nothing about how likely illness is."
	bothBones      = "Bone, both ways (the two are never compared with one another):"
	howToSeeStrips = "In the pictures the box is the target, the thick bar the range of published figures, and the diamond the planned figure. Each picture has a scale of its own: the target fills its middle third. A point at the edge means that the range goes on."
)

// heldTo is the target and what bone means in it.
func (s *sheet) heldTo() string {
	return fmt.Sprintf("Held to: %s. Bone means %s.", s.Target.Title, s.Target.BoneMeans)
}

func (s *sheet) title() string {
	return s.Household + ", week from " + day(s.Start)
}

// noPlan says why there is no plan, and no more than was shown.
func (s *sheet) noPlan() string {
	if s.Outcome == "lacking" {
		return noneThere
	}
	return noneFound
}

// firstItems is what must be done before anything else.
func (s *sheet) firstItems() (items []item) {
	items = each(s.dated, firstOut.item)
	if s.Plan == nil {
		items = append(items, marked("NO PLAN", s.noPlan()))
		for _, l := range s.Lacking {
			items = append(items, marked("LACKING", lackWords(l)))
		}
		for _, c := range s.Clash {
			items = append(items, marked("CLASH", c))
		}
		for _, t := range s.WouldHelp {
			items = append(items, marked("OR", t))
		}
		return items
	}
	if !slices.ContainsFunc(s.First, func(f firstOut) bool { return f.Severity == "stop" || f.Severity == "mend" }) {
		items = append(items, item{Text: nothingWrong})
	}
	return append(items, each(s.First[len(s.dated):], firstOut.item)...)
}

func (f firstOut) item() item { return marked(strings.ToUpper(f.Severity), f.Text) }

func lackWords(l lackOut) string {
	return fmt.Sprintf("%s: about %s more, for instance %s.", l.What, l.Amount, l.Example)
}

// counts are the lines of the audit by verdict.
func (s *sheet) counts() map[string]int {
	count := map[string]int{}
	for _, v := range s.report {
		count[v.verdict]++
	}
	return count
}

func (s *sheet) auditCount() string {
	count := s.counts()
	return fmt.Sprintf("%d missed, %d open, %d met, %d to feed with care. Open means that too little is known to say. Stop, mend and watch say how much a rule weighs.", count["missed"], count["open"], count["met"], count["care"])
}

// notHere says which methods do not hold for an animal and why, "" when that
// needs no words.
func (n needOut) notHere() string {
	var why string
	var not []string
	for _, m := range n.Methods {
		if m.Applies || !strings.Contains(m.Why, "vet") && !strings.Contains(m.Why, "growing") {
			continue
		}
		if why = m.Why; len(not) < 3 {
			not = append(not, m.Name)
		}
	}
	if why == "" {
		return ""
	}
	return "Methods for healthy adults, such as " + strings.Join(not, "; ") + ", do not hold here: " + why + "."
}

// paper begins a sheet of a kind and sets apart the names that need it.
func (s *sheet) paper(kind, title string) *paper {
	p := &paper{Kind: kind, Title: title, Foot: title}
	p.setApart(s.Household)
	for i := range s.home.Animals {
		p.setApart(s.home.NameOf(s.home.Animals[i].ID))
	}
	for i := range s.home.Stock {
		k := &s.home.Stock[i]
		p.setApart(k.Food.Name, k.Supplier, k.Lot)
	}
	for i := range s.home.Offers {
		p.setApart(s.home.Offers[i].Food.Name, s.home.Offers[i].Supplier)
	}
	return p
}

// week is the whole sheet.
func (s *sheet) week() *paper {
	p := s.paper("week", s.title())
	p.Lead = []string{s.heldTo(), howToRead}
	p.Notes = s.Evidence
	first := part{Title: "First"}
	first.put(listed(s.firstItems()))
	if len(s.Lacking) > 0 {
		first.put(text(leastThatHelps))
	}
	if len(s.WouldHelp) > 0 {
		first.put(text(eachAlone))
	}
	p.put(first, s.needPart())
	if s.Plan != nil {
		p.put(s.daysPart(), s.sharePart(), s.auditPart(), s.shopPart())
	}
	p.put(s.compareParts()...)
	if s.Plan != nil {
		p.put(s.setOutPart())
	}
	p.put(s.methodPart())
	if len(s.PassedOver)+len(s.Notes) > 0 {
		notes := part{Title: "Left out of the plan, and notes"}
		notes.put(listed(unmarked(slices.Concat(s.PassedOver, s.Notes))))
		p.put(notes)
	}
	p.put(part{Title: "Please read", Blocks: []block{listed(unmarked(s.Cautions))}})
	p.put(part{Title: "Sources", Small: true, Blocks: []block{listed(each(s.Sources, func(c sourceOut) item { return item{Text: c.Text} }))}})
	return p
}

func (s *sheet) needPart() part {
	p := part{Title: "Who needs how much"}
	t := &table{Caption: "Need of each animal for a day (estimates)",
		Cols: []string{"Animal", "What it is", "Planned for", "In this food", "Resting need: a floor, never a day's food", "Meals"}}
	for _, n := range s.Needs {
		band := n.Band
		if n.Evidence != "" {
			band += " (" + n.Evidence + ")"
		}
		t.add(one(n.Name), one(n.About), one(band), one(orDash(n.Grams)), one(n.Floor), one(n.Meals))
	}
	p.put(tabled(t))
	return p
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// methodPart is every method beside the others, and where they disagree.
func (s *sheet) methodPart() part {
	p := part{Title: "How the methods of need differ", Small: true}
	t := &table{Caption: "What each method gives for a day, by animal (estimates)", Cols: []string{"Method", "A day", "How it is known"}}
	var notes []item
	for _, n := range s.Needs {
		for _, m := range n.Methods {
			if m.Applies {
				t.under(n.Name, one(m.Name), one(m.Value), one(m.Evidence))
			}
		}
		if not := n.notHere(); not != "" {
			notes = append(notes, marked(n.Name, not))
		}
		for _, d := range n.Disagree {
			notes = append(notes, marked(n.Name, d))
		}
	}
	if len(t.Groups) > 0 {
		p.put(tabled(t))
	}
	if len(notes) > 0 {
		p.put(listed(notes))
	}
	return p
}

func (s *sheet) daysPart() part {
	p := part{Title: "The week"}
	for _, d := range s.Week {
		t := &table{Caption: day(d.Date), Cols: []string{"Meal", "For", "In the bowl", "Together"}}
		for _, m := range d.Meals {
			t.add(one(fmt.Sprint(m.Slot)), one(m.Who), many(m.Food), one(m.Total))
		}
		if len(t.Groups) == 0 {
			p.put(text(day(d.Date) + ": nothing is planned."))
			continue
		}
		p.put(tabled(t))
	}
	return p
}

func (s *sheet) sharePart() part {
	p := part{Title: "Parts of the week"}
	t := &table{Caption: "Shares of the parts, beside their targets", Cols: []string{"Part", "Planned", "Range", "Target", "Picture", "Verdict", "Over the range"}}
	for _, h := range s.Shares {
		planned, over := orDash(h.Typical), "–"
		if h.Typical != "" {
			planned, over = h.Typical+" %", h.Low+" to "+h.High+" %"
		}
		picture := cell{Strip: h.strip}
		if h.strip == nil {
			picture = one("–")
		}
		t.add(one(h.Slot), one(planned), one(over), one(strings.TrimSuffix(h.Target, " of the five slots")), picture, one(h.Verdict), one(h.Whole))
	}
	if len(s.Shares) > 0 {
		t.Legend = howToSeeStrips
		p.put(tabled(t))
	}
	p.put(text(bothBones), listed(unmarked(s.Bone)))
	return p
}

func (s *sheet) auditPart() part {
	p := part{Title: "Audit"}
	p.put(text(s.auditCount()))
	t := &table{Caption: "What was found, by verdict", Cols: []string{"Weighs", "Finding"}}
	for _, verdict := range []string{"missed", "care", "open", "met"} {
		for _, v := range s.report {
			if v.verdict == verdict {
				t.under(strings.ToUpper(verdict), one(v.gravity), one(v.text))
			}
		}
	}
	if len(t.Groups) > 0 {
		p.put(tabled(t))
	}
	return p
}

func (s *sheet) shopPart() part {
	p := part{Title: "From the freezer and from the shop"}
	section := func(t *table, none string) {
		if len(t.Groups) > 0 {
			p.put(tabled(t))
		} else if none != "" {
			p.put(text(none))
		}
	}
	use := &table{Caption: "Use from the freezer", Cols: []string{"Food", "Amount", "Best before", "From"}}
	for _, u := range s.Use {
		best := "–"
		if u.BestBefore != 0 {
			best = u.BestBefore.String()
		}
		use.add(one(u.Food), one(u.Amount), one(best), one(orDash(u.From)))
	}
	section(use, "Use from the freezer: nothing.")
	buy := &table{Caption: "Buy", Cols: []string{"Food", "Packs", "Each", "Cost", "From"}}
	for _, b := range s.Buy {
		buy.add(one(b.Food), one(fmt.Sprint(b.Packs)), one(b.Pack), one(b.Cost), one(orDash(b.From)))
	}
	section(buy, "Buy: nothing.")
	if len(s.Cost) > 0 {
		p.put(text("Together " + strings.Join(s.Cost, " and ") + "."))
	}
	cannot := &table{Caption: "NOT TO BE HAD", Cols: []string{"Food", "Amount"}}
	for _, c := range s.Cannot {
		cannot.add(one(c.Food), one(c.Amount))
	}
	section(cannot, "")
	left := &table{Caption: "Left over after the week", Cols: []string{"Food", "Amount"}}
	for _, l := range s.Left {
		left.add(one(l.Food), one(l.Amount))
	}
	section(left, "")
	costs := &table{Caption: "Cost of the food by animal and day (shared bowls divided by need)", Cols: []string{"Animal", "A day", "Remark"}}
	for _, c := range s.PerAnimal {
		costs.add(one(c.Name), one(orDash(c.PerDay)), one(orDash(c.Note)))
	}
	section(costs, "")
	return p
}

func (s *sheet) setOutPart() part {
	p := part{Title: "Set-out card"}
	if len(s.SetOut) == 0 {
		return p
	}
	t := &table{Caption: "How long food may lie out, by form", Cols: []string{"Form", "Limit", "What keepers do (common practice, never a limit)"}}
	growth := map[time.Duration]growthOut{}
	for _, c := range s.SetOut {
		t.add(one(strings.ToUpper(c.Form)), one(c.Line), many(c.Practice))
		for _, g := range c.Growth {
			growth[g.after] = g
		}
	}
	p.put(tabled(t))
	if len(growth) > 0 {
		lengths := slices.Sorted(maps.Keys(growth))
		g := &table{Caption: "Estimated growth of germs, in log10", Cols: []string{"After"}}
		for _, m := range growth[lengths[0]].gains {
			g.Cols = append(g.Cols, m.Model.Germ())
		}
		for _, l := range lengths {
			row := []cell{one(growth[l].After)}
			for _, m := range growth[l].gains {
				row = append(row, one(gainWords(m)))
			}
			g.add(row...)
		}
		p.put(text(whatGrowthIs), tabled(g))
	}
	p.put(head("Other published limits"), listed(unmarked(s.SetOut[0].Others)))
	p.put(listed(each(s.SetOut[0].Notes, func(n string) item { return marked("Note", n) })))
	clocks := &table{Caption: "Hours between meals", Cols: []string{"For", "How often food", "Bowls, and when"}}
	for _, c := range s.Clocks {
		lines := []string{c.Text}
		if len(c.Times) > 0 {
			lines = append(lines, strings.Join(c.Times, "; ")+".")
		}
		for _, ch := range c.Choices {
			lines = append(lines, "Either: "+ch)
		}
		clocks.add(one(c.Who), one(c.Gap), many(lines))
	}
	p.put(tabled(clocks))
	return p
}
