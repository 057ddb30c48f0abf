package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/ration/log"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/evidence"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/examples/internal/page"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// card is what whoever looks after an animal next has to know, from its log.
type card struct {
	Schema    string     `json:"schema"` // "fitchet.logcard/1"
	Household string     `json:"household"`
	AsOf      string     `json:"as_of"`
	From      units.Date `json:"from"`
	To        units.Date `json:"to"`
	Faults    []string   `json:"faults_of_the_log"`
	Cards     []one      `json:"cards"`
	Out       []string   `json:"how_long_food_may_lie"`
	Vet       []sign     `json:"call_a_vet"`

	Cautions []string          `json:"cautions"`
	Evidence []evidence.Note   `json:"evidence_notes"`
	Sources  []evidence.Source `json:"sources"`
}

// one is the card of one animal.
type one struct {
	Animal string   `json:"animal"`
	Name   string   `json:"name"`
	About  string   `json:"about"`
	First  []first  `json:"first"`
	With   []string `json:"shares_bowls_with"`
	Amount string   `json:"eats_a_day"`
	Foods  []string `json:"eats"`    // for certain
	Maybe  []string `json:"may_eat"` // stood in a shared bowl, or nobody weighed it
	Left   []string `json:"leaves"`  // offered and not taken
	Never  []string `json:"never"`
	Times  []string `json:"usual_times"`
	Gap    string   `json:"longest_time_without_food"`
	Fasts  string   `json:"if_it_does_not_eat"`
	Drinks string   `json:"drinks"`
	Weight string   `json:"weight"`
	Stools string   `json:"stools"`
	Open   []string `json:"not_known_whether_it_got"`
}

type sign struct {
	Text  string `json:"text"`
	Basis string `json:"basis"`
}

func (c *card) code() int {
	if len(c.Faults) > 0 || slices.ContainsFunc(c.Cards, func(o one) bool {
		return slices.ContainsFunc(o.First, func(f first) bool { return f.Level == "vet now" || f.Level == "stop" })
	}) {
		return cli.Mend
	}
	return cli.Well
}

func (m *maker) card(only *ration.Animal) (*card, error) {
	c := &card{Schema: "fitchet.logcard/1", Household: m.h.Name, AsOf: m.l.AsOf.String(), From: m.from, To: m.to,
		Faults: append([]string{}, m.faults...), Cards: []one{}, Out: []string{}, Vet: []sign{}, Cautions: []string{}}
	forms := map[safety.Form]bool{}
	for i := range m.h.Animals {
		a := &m.h.Animals[i]
		if only != nil && only.ID != a.ID {
			continue
		}
		c.Cards = append(c.Cards, m.one(a))
		for _, in := range m.l.Intake(a.ID, m.from, m.to) {
			forms[ration.Serving{Food: in.Food}.FormOf()] = true
		}
	}
	var room []safety.Spell
	if m.h.Room != nil {
		room = []safety.Spell{{At: *m.h.Room}}
	}
	for _, form := range safety.Forms() {
		if !forms[form] {
			continue
		}
		w, err := m.Care.SetOut(safety.SetOutQuestion{Form: form, Room: room})
		if err != nil {
			return nil, err
		}
		line := form.String() + ": " + w.Line()
		if w.Leads {
			line += basis(m.notes.Words(w.Limits[0].Ref))
		}
		c.Out = append(c.Out, line)
	}
	for _, s := range m.Care.VetSigns() {
		if !s.AboutEating() { // each card says it with its own time
			c.Vet = append(c.Vet, sign{s.String(), m.notes.Words(s.Ref)})
		}
	}
	at := kit.Situation(m.h, m.needs())
	at.Handout, at.Hours = true, true
	for _, x := range m.Care.Cautions(at) {
		m.caution(&c.Cautions, x)
	}
	c.Evidence, c.Sources = m.notes.List(), m.notes.Sources()
	return c, nil
}

func (m *maker) one(a *ration.Animal) one {
	n := ration.Needs(a, m.to)
	o := one{Animal: a.ID, Name: m.names(a.ID), About: kit.Describe(a, n), First: []first{}, With: []string{}, Foods: []string{}, Maybe: []string{}, Left: []string{}, Never: []string{}, Times: []string{}, Open: []string{}}
	if text := kit.Unread(m.l); text != "" {
		o.First = append(o.First, first{"stop", "", text, ""})
	}
	for _, al := range m.l.Alarms(a, m.lim) {
		o.First = append(o.First, first{"vet now", m.names(a.ID), upper(al.Text), m.notes.Words(al.Ref)})
	}
	for _, s := range m.ateStops(a, m.to+1) {
		o.First = append(o.First, first{"stop", m.names(a.ID), s.text, m.notes.Words(s.hazard.Evidence...)})
	}
	if len(n.VetFirst) > 0 {
		o.First = append(o.First, first{"vet", m.names(a.ID), "Under a vet's care or in need of one: " + page.And(n.VetFirst) + ". Change nothing without the vet.", ""})
	}
	for _, b := range m.h.Bowls() {
		if slices.ContainsFunc(b, func(x *ration.Animal) bool { return x.ID == a.ID }) {
			for _, x := range b {
				if x.ID != a.ID {
					o.With = append(o.With, m.names(x.ID))
				}
			}
		}
	}
	days := m.written(a.ID)
	var sum units.Range[units.Mass]
	for _, in := range m.l.Intake(a.ID, m.from, m.to) {
		sum.Low, sum.Typical, sum.High = sum.Low+in.Eaten.Low, sum.Typical+in.Eaten.Typical, sum.High+in.Eaten.High
		name := in.Food.Name
		switch {
		case in.Eaten.High == 0:
			if n := m.refused(a.ID, in.Food); n > 0 {
				o.Left = append(o.Left, fmt.Sprintf("%s, refused %s", name, times(n)))
			}
			continue
		case in.BoneLeft.Low > 0:
			o.Left = append(o.Left, fmt.Sprintf("bare bone of %s, %s", name, page.Span(in.BoneLeft)))
		}
		if in.Eaten.Low > 0 {
			o.Foods = append(o.Foods, name)
		} else {
			o.Maybe = append(o.Maybe, name)
		}
	}
	o.Amount = "cannot be said: nothing is written down"
	if days > 0 {
		o.Amount = inWords(units.Range[units.Mass]{Low: aDay(sum.Low, days), Typical: aDay(sum.Typical, days), High: aDay(sum.High, days)})
		if len(o.With) > 0 {
			o.Amount += " of a shared bowl"
		}
	}
	for _, id := range a.Never {
		if f, err := m.Foods.Find(id); err == nil && f.ID == id {
			id = f.Name
		}
		o.Never = append(o.Never, id)
	}
	o.Times = m.usualTimes(a.ID)
	o.Gap = fmt.Sprintf("%s: %s%s", n.Gap, n.Gap.Why, basis(m.notes.Words(n.Gap.Ref)))
	fasts := a.WithoutFood(m.to)
	o.Fasts = fasts.Text + basis(m.notes.Words(fasts.Ref))
	o.Drinks = cmp.Or(m.drank(a.ID), "not written down; fresh water always")
	w := log.Weigh(m.l.Weights, a, m.to, m.lim)
	o.Weight = "none is written down: weigh it on the first day"
	if w.Known {
		o.Weight = fmt.Sprintf("%s on %s; weigh it weekly, and call a vet at a loss of %s in a week (our choice)", page.Both(w.Latest.Mass), w.Latest.When.Date, m.lim.Week)
		if n.Stage == ration.Kit || n.Stage == ration.Juvenile {
			o.Weight = fmt.Sprintf("%s on %s; it grows: weigh it every few days, and ask a vet at any loss", page.Both(w.Latest.Mass), w.Latest.When.Date)
		}
	}
	o.Stools = m.usualStools(a.ID)
	for _, q := range questions() {
		if answer, _ := m.l.Got(a.ID, m.from, m.to, q.is); answer == log.Open {
			o.Open = append(o.Open, q.what)
		}
	}
	return o
}

// refused counts the bowls of a food that the animal alone could reach, or was
// watched at, and took nothing of.
func (m *maker) refused(id string, f *prey.Food) int {
	n := 0
	for _, e := range m.l.Entries {
		if e.Food != f || e.Meal.Date < m.from || e.Meal.Date > m.to || !slices.Contains(e.For, id) || m.l.Ate(e, id).High > 0 {
			continue
		}
		watched := slices.ContainsFunc(e.Seen, func(s log.Sighting) bool { return s.Animal == id && s.How == log.AteNone })
		if len(e.For) == 1 || watched {
			n++
		}
	}
	return n
}

// usualTimes are the times at which food was put down on at least half of the
// days with any.
func (m *maker) usualTimes(id string) []string {
	count := map[ration.TimeOfDay]map[units.Date]bool{}
	days := map[units.Date]bool{}
	for _, e := range m.l.Entries {
		if e.Meal.Date < m.from || e.Meal.Date > m.to || e.Treat || !slices.Contains(e.For, id) {
			continue
		}
		days[e.Meal.Date] = true
		if count[e.Meal.Time] == nil {
			count[e.Meal.Time] = map[units.Date]bool{}
		}
		count[e.Meal.Time][e.Meal.Date] = true
	}
	out := []string{}
	var at []ration.TimeOfDay
	for t, d := range count {
		if 2*len(d) >= len(days) {
			at = append(at, t)
		}
	}
	slices.Sort(at)
	for _, t := range at {
		out = append(out, t.String())
	}
	return out
}

func (m *maker) usualStools(id string) string {
	count := map[log.StoolClass]int{}
	for _, s := range m.l.Stools {
		if s.Animal == id && s.When.Date >= m.from && s.When.Date <= m.to {
			count[s.Class]++
		}
	}
	var parts []string
	for _, d := range log.Stools() {
		if n := count[d.Class]; n > 0 {
			parts = append(parts, fmt.Sprintf("%s %s (%s)", d.Word, times(n), d.Looks))
		}
	}
	if len(parts) == 0 {
		return "none is written down; in order is: " + log.Stools()[0].Looks
	}
	return strings.Join(parts, "; ")
}

func (c *card) text() []byte {
	var w page.Writer
	w.Title(fmt.Sprintf("%s: for whoever looks after them next", c.Household))
	w.Para("", fmt.Sprintf("From the feeding log of %s to %s. What was offered is not what was eaten: amounts are what went, as a range where nobody saw.", c.From, c.To))
	if len(c.Faults) > 0 {
		w.Head("Faults of the log: these entries are left out")
		w.List(c.Faults)
	}
	for _, o := range c.Cards {
		w.Head(o.Name)
		for _, f := range o.First {
			writeFirst(&w, first{f.Level, "", f.Text, f.Basis})
		}
		line := func(name, text string) {
			if text != "" {
				w.Para(fmt.Sprintf("  %-24s", name), text)
			}
		}
		line("who", o.About)
		line("shares bowls with", page.And(o.With))
		line("eats a day", o.Amount)
		line("eats", strings.Join(o.Foods, "; "))
		line("may have eaten", strings.Join(o.Maybe, "; "))
		line("leaves", strings.Join(o.Left, "; "))
		line("never give", strings.Join(o.Never, "; "))
		line("usual times", strings.Join(o.Times, ", "))
		line("between meals", o.Gap)
		line("if it does not eat", o.Fasts)
		line("drinks", o.Drinks)
		line("weight", o.Weight)
		line("stools", o.Stools)
		if len(o.Open) > 0 {
			line("not known", "whether it got "+page.And(o.Open)+": a shared bowl, or not written down")
		}
	}
	w.Head("How long food may lie")
	w.List(c.Out)
	w.Head("Call a vet")
	for _, s := range c.Vet {
		w.Para("  - ", s.Text+basis(s.Basis))
	}
	for _, l := range []string{"Vet, and out of hours", "Keeper"} {
		w.WriteString("  " + l + ": " + strings.Repeat("_", page.Width-len(l)-4) + "\n")
	}
	w.Head("Please read")
	w.List(c.Cautions)
	w.Head("Where the numbers come from")
	for _, n := range c.Evidence {
		w.Para(fmt.Sprintf("  [%d] ", n.N), n.Text)
	}
	w.Head("Sources")
	for _, s := range c.Sources {
		w.Para("  - ", s.Text)
	}
	return w.Bytes()
}
