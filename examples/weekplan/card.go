package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// cardSchema names the form of the cards in JSON.
const cardSchema = "fitchet.card/1"

// cards are one card for each animal, for whoever looks after it: a sitter or
// an adopter.
type cards struct {
	Schema    string     `json:"schema"`
	Household string     `json:"household"`
	AsOf      units.Date `json:"as_of"`
	Start     units.Date `json:"start"`
	Outcome   string     `json:"outcome"`
	First     []firstOut `json:"first,omitempty"` // lots past their day, old figures
	Room      string     `json:"room,omitempty"`
	Cards     []card     `json:"cards"`
	Handling  []string   `json:"handling"`
	Cautions  []string   `json:"cautions"`
	Evidence  []noteOut  `json:"evidence_notes"`

	sheet *sheet
}

type card struct {
	Animal string   `json:"animal"`
	Name   string   `json:"name"`
	Sex    string   `json:"sex"`
	Weight string   `json:"weight"`
	About  string   `json:"about"`
	Amount string   `json:"amount"`
	Kcal   string   `json:"kcal"`
	Shared []string `json:"shares_bowls_with"`
	Gap    string   `json:"longest_gap"`
	Times  []string `json:"times"`
	Limits []string `json:"limits"`
	Night  *night   `json:"night,omitempty"`
	Menu   []menu   `json:"menu"`
	Not    []string `json:"not_for_this_animal"`
	Never  []string `json:"never"`
	Vet    []string `json:"call_the_vet"`
	Ask    []string `json:"ask_the_vet_first"`
}

// menu is what is in the bowls of one day, in the order of the times.
type menu struct {
	Date  units.Date `json:"date"`
	Bowls [][]string `json:"bowls"`
}

func (s *sheet) card() *cards {
	m := s.fresh()
	out := &cards{Schema: cardSchema, Household: s.Household, AsOf: s.AsOf, Start: s.Start, Outcome: s.Outcome, First: s.dated, Cards: []card{}, sheet: s}
	d := s.door()
	out.Room = d.Room
	at := m.situation(s.needed())
	at.Hours, at.Handout, at.WholePrey = true, true, false
	limits := []string{}
	if s.Plan != nil {
		limits, _ = m.limits(s.Plan, at)
	}
	never := m.never()
	for _, n := range s.needed() {
		a := n.Animal
		c := card{Animal: a.ID, Name: m.h.NameOf(a.ID), Sex: cmp.Or(a.SexWord(), "unknown"), Weight: both(a.Mass), About: describe(a, n), Shared: []string{},
			Gap:   fmt.Sprintf("%s: %s (%s)", n.Gap, n.Gap.Why, m.words(n.Gap.Ref)),
			Times: []string{}, Menu: []menu{}, Not: each(a.Never, m.foodName), Never: never, Vet: each(a.VetSigns(m.care, n.On), func(v ration.AnimalSign) string { return m.brief(v.Text, v.Ref) }), Ask: slices.Clone(n.VetFirst), Limits: limits}
		if c.Ask == nil {
			c.Ask = []string{}
		}
		c.Kcal = "no published figure says how much it needs: ask a vet"
		if n.HasBand {
			c.Kcal = fmt.Sprintf("about %s to %s a day (%s)", whole(n.Band.Low), whole(n.Band.High), m.words(n.BandRef))
		}
		for _, o := range s.Needs {
			if o.Animal == a.ID && o.Grams != "" {
				c.Amount = "about " + o.Grams
			}
		}
		for i := range s.Clocks {
			if slices.Contains(s.Clocks[i].ids, a.ID) {
				c.fromTable(m, d, i)
			}
		}
		out.Cards = append(out.Cards, c)
	}
	out.Handling = []string{}
	for _, topic := range []string{"washing", "dishes", "stash", "people"} {
		for _, h := range m.care.Handling(topic) {
			out.Handling = append(out.Handling, m.brief(h.Text, h.Ref))
		}
	}
	out.Cautions = []string{}
	for _, c := range m.care.Cautions(at) {
		out.Cautions = append(out.Cautions, c.Text)
	}
	out.Evidence = m.s.Evidence
	return out
}

// fromTable takes times and menu from the door sheet's table.
func (c *card) fromTable(m *maker, d *door, table int) {
	o := &d.sheet.Clocks[table]
	for _, id := range o.ids {
		if id != c.Animal {
			c.Shared = append(c.Shared, m.h.NameOf(id))
		}
	}
	times := settled(&o.clock)
	c.Times = each(times, ration.SetOut.String)
	if !o.clock.Holds {
		for i := range d.Nights {
			if d.Nights[i].table == table {
				c.Night = &d.Nights[i]
			}
		}
	}
	for _, x := range d.Days {
		day := menu{Date: x.Date, Bowls: make([][]string, len(times))}
		for i := range day.Bowls {
			day.Bowls[i] = []string{}
		}
		for _, b := range x.Bowls {
			if b.table == table && slices.Contains(b.ids, c.Animal) && b.Meal <= len(times) {
				day.Bowls[b.Meal-1] = append(day.Bowls[b.Meal-1], b.Food...)
			}
		}
		if len(x.Bowls) > 0 {
			c.Menu = append(c.Menu, day)
		}
	}
}

// brief adds the evidence to a sentence in the fewest words: the number of its
// note, and what has to be known without looking it up.
func (m *maker) brief(text string, refs ...cite.Ref) string {
	var notes, words []string
	add := func(list *[]string, s string) {
		if !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	for _, r := range refs {
		if r.Evidence == cite.Practice {
			add(&words, "common practice")
			continue
		}
		add(&notes, fmt.Sprintf("[%d]", m.note(r)))
		if r.Evidence == cite.Choice {
			add(&words, "our choice")
		}
		if r.Borrowed != "" {
			add(&words, r.Borrowed+" figure")
		}
	}
	if len(notes) > 0 {
		text += " " + strings.Join(notes, " ")
	}
	if len(words) > 0 {
		text += " (" + strings.Join(words, ", ") + ")"
	}
	return text
}

// never is what no ferret gets, whatever the hours.
func (m *maker) never() []string {
	var seen, out []string
	for _, tag := range m.care.Tags() {
		for _, h := range m.care.Hazards(safety.Item{Tags: []string{tag.Name}}, safety.Context{}) {
			if h.Severity == safety.Stop && !slices.Contains(seen, h.ID) {
				seen = append(seen, h.ID)
				out = append(out, m.brief(h.Name, h.Evidence...))
			}
		}
	}
	return out
}

func (c *cards) paper() *paper {
	s := c.sheet
	p := s.paper("card", "Feeding cards: "+s.title())
	p.Lead = []string{"One card for each animal, for a sitter or an adopter, on figures of " + day(c.AsOf) + "."}
	p.Notes = c.Evidence
	first := each(s.dated, firstOut.item)
	if s.Plan == nil {
		first = s.firstItems()
	}
	if len(first) > 0 {
		p.put(part{Title: "First", Blocks: []block{listed(first)}})
	}
	for i := range c.Cards {
		p.put(c.Cards[i].part(i > 0 || len(first) > 0, c.Room))
	}
	p.put(part{Title: "Hands, bowls and hiding places", Own: true, Blocks: []block{listed(unmarked(c.Handling))}},
		part{Title: "Please read", Blocks: []block{listed(unmarked(c.Cautions))}})
	return p
}

// manyBowls is more than fit side by side on paper.
const manyBowls = 7

func (c *card) part(own bool, room string) part {
	p := part{Title: c.Name, Own: own, Card: true}
	facts := []item{marked("Who", c.About)}
	if len(c.Ask) > 0 {
		facts = append(facts, marked("Ask a vet first", "before this plan is followed ("+strings.Join(c.Ask, ", ")+")."))
	}
	amount := c.Kcal
	if c.Amount != "" {
		amount = c.Amount + " of this food, " + c.Kcal
	}
	facts = append(facts, marked("How much", amount))
	if len(c.Shared) > 0 {
		facts = append(facts, marked("Eats with", strings.Join(c.Shared, ", ")+"; the menu is for the bowl they share."))
	}
	where := ""
	if room != "" {
		where = " in a place of " + room
	}
	if len(c.Times) > 0 {
		facts = append(facts, marked("When", strings.Join(c.Times, "; ")+where+"."))
	}
	facts = append(facts, marked("Between meals", c.Gap+"."))
	for _, l := range c.Limits {
		facts = append(facts, marked("Out of the fridge", l))
	}
	if len(c.Not) > 0 {
		facts = append(facts, marked("Not for "+c.Name, strings.Join(c.Not, ", ")+"."))
	}
	p.put(listed(facts))
	if len(c.Menu) > 0 {
		p.put(tabled(c.menuTable()))
	}
	if c.Night != nil {
		p.put(text("The night is settled by keeper and vet. "+c.Night.Text), block{List: unmarked(c.Night.Choices), Ticks: true})
	}
	p.put(block{Fill: []string{"Medicine, likes, where it hides food", "Vet, by day and by night", "Keeper"}})
	p.put(head("Call the vet"), block{List: unmarked(c.Vet), Dense: true})
	p.put(head("Must not be fed, not even a little"), block{List: unmarked(c.Never), Dense: true})
	return p
}

// menuTable has a row for each day and a column for each bowl, or a row for each
// bowl when there are too many.
func (c *card) menuTable() *table {
	t := &table{Caption: "What goes into the bowl of " + c.Name}
	if len(c.Times) > manyBowls {
		t.Cols = []string{"Out", "In the bowl"}
		for _, m := range c.Menu {
			for i, food := range m.Bowls {
				t.under(day(m.Date), one(c.Times[i]), many(food))
			}
		}
		return t
	}
	t.Cols = append([]string{"Day"}, c.Times...)
	for _, m := range c.Menu {
		row := []cell{one(day(m.Date))}
		for _, food := range m.Bowls {
			row = append(row, many(food))
		}
		t.add(row...)
	}
	return t
}
