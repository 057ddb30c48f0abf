package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/examples/internal/evidence"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// doorSchema names the form of the door sheet in JSON.
const doorSchema = "fitchet.door/1"

// door is what hangs at the door: who gets what and when, until when it may
// lie, what to thaw, and room to write down what was left.
type door struct {
	Schema    string     `json:"schema"`
	Household string     `json:"household"`
	AsOf      units.Date `json:"as_of"`
	Start     units.Date `json:"start"`
	Outcome   string     `json:"outcome"`        // planned, audited, lacking or undecided
	Room      string     `json:"room,omitempty"` // absent: not given
	First     []firstOut `json:"first"`
	Limits    []string   `json:"limits"`
	Before    []thawDay  `json:"before_the_week"`
	Days      []doorDay  `json:"days"`
	Nights    []night    `json:"nights"`
	How       []string   `json:"how_to_fill_in"`
	Notes     []string   `json:"notes"`
	Cautions  []string   `json:"cautions"`
	Evidence  []noteOut  `json:"evidence_notes"`

	sheet *sheet
}

type thawDay struct {
	Date units.Date `json:"date"`
	Thaw []thawOut  `json:"thaw"`
}

// thawOut is food that has to be in the fridge.
type thawOut struct {
	Food   string     `json:"food"`
	Amount string     `json:"amount"`
	Bought bool       `json:"bought,omitempty"` // comes from the shop
	Feed   units.Date `json:"fed_from"`
	UseBy  units.Date `json:"use_by"`
	Late   bool       `json:"late,omitempty"` // the day lies before the household's as-of day
	Text   string     `json:"text"`

	where []string // it comes from, and what to look at
	keeps bool     // as its label says
}

type doorDay struct {
	Date  units.Date `json:"date"`
	Thaw  []thawOut  `json:"thaw"`
	Bowls []bowlOut  `json:"bowls"`
}

// bowlOut is one bowl put down.
type bowlOut struct {
	Out   moment   `json:"out"`
	Lift  moment   `json:"lift_by"`
	Meal  int      `json:"meal"` // counts the bowls of the day
	Who   []string `json:"who"`
	Food  []string `json:"food"` // empty: nothing is planned for this bowl
	Total string   `json:"total,omitempty"`

	ids      []string
	table    int
	servings []ration.Serving
}

// moment is a minute on a day, in the time of the house.
type moment struct {
	Date units.Date       `json:"date"`
	Time ration.TimeOfDay `json:"-"`
	Text string           `json:"time"`
}

// night is what nobody but keeper and vet can decide.
type night struct {
	Who     string   `json:"who"`
	Text    string   `json:"text"`
	Choices []string `json:"choices"`

	table int
}

// fresh is a maker whose evidence notes begin anew.
func (s *sheet) fresh() *maker {
	m := *s.maker
	m.notes, m.s = evidence.New(m.book.Registry()), &sheet{Evidence: []noteOut{}}
	return &m
}

func (s *sheet) door() *door {
	m := s.fresh()
	d := &door{Schema: doorSchema, Household: s.Household, AsOf: s.AsOf, Start: s.Start, Outcome: s.Outcome, First: s.First,
		Limits: []string{}, Before: []thawDay{}, Days: []doorDay{}, Nights: []night{}, How: []string{}, Notes: []string{},
		Cautions: s.Cautions, sheet: s}
	if m.h.Room != nil {
		d.Room = strings.ReplaceAll(m.h.Room.InCelsius(1)+" ("+m.h.Room.InFahrenheit(1)+")", ".0 ", " ")
	}
	if s.Plan == nil {
		d.Evidence = m.s.Evidence
		return d
	}
	d.Limits, d.Notes = m.limits(s.Plan, m.situation(nil))
	d.bowls(m)
	d.thaw(m)
	for _, h := range slices.Concat(m.care.Handling("stash"), m.care.Handling("dishes")) {
		d.How = append(d.How, fmt.Sprintf("%s (%s)", h.Text, m.words(h.Ref)))
	}
	d.Evidence = m.s.Evidence
	return d
}

// limits says how long food may lie: forms with one limit in one line. What
// keepers do stands beside it where that may stand in a headline.
func (m *maker) limits(p *ration.Plan, at safety.Situation) (lines, notes []string) {
	lines, notes = []string{}, []string{}
	var forms []safety.Form
	for _, s := range p.Servings() {
		if f := s.FormOf(); !slices.Contains(forms, f) {
			forms = append(forms, f)
		}
	}
	slices.Sort(forms)
	names := map[string][]string{}
	var order []string
	for _, f := range forms {
		w, err := m.window(f)
		if err != nil {
			continue // the week's own card has refused it before
		}
		line := w.Line()
		if w.Leads {
			line += " (" + m.words(w.Limits[0].Ref) + ")"
		}
		if n := len(w.Practice); w.Leads && n > 0 && at.PracticeInHeadline() {
			if b := w.Practice[n-1].High; b.Level == safety.OverLimit || b.Level == safety.FarOver {
				line += fmt.Sprintf(" Keepers go up to %s, %s the limit (%s, no source).", safety.PeriodText(b.Total), b.Times, m.words(w.Practice[n-1].Ref))
			}
		}
		if names[line] == nil {
			order = append(order, line)
		}
		names[line] = append(names[line], f.String())
		for _, n := range w.Notes {
			if !slices.Contains(notes, n) {
				notes = append(notes, n)
			}
		}
	}
	for _, line := range order {
		lines = append(lines, strings.Join(names[line], ", ")+": "+line)
	}
	return lines, notes
}

// momentAt counts minutes from the midnight with which a day begins.
func momentAt(d units.Date, minute int) moment {
	t := ration.TimeOfDay(minute % (24 * 60))
	return moment{d.AddDays(minute / (24 * 60)), t, t.String()}
}

func (a moment) compare(b moment) int {
	return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.Time, b.Time))
}

// on is the moment, with its day when that is another than the given one.
func (a moment) on(d units.Date) string {
	if a.Date == d {
		return a.Text
	}
	return a.Text + " " + a.Date.Weekday().String()
}

// settled are the bowls of a table's day on which all ways out agree: those of
// the day itself where the night is left to keeper and vet.
func settled(c *ration.Clock) []ration.SetOut {
	if c.Holds {
		return c.SetOuts
	}
	for _, ch := range c.Choices {
		if ch.ID == ration.KeepLimit {
			return ch.SetOuts
		}
	}
	return nil
}

// bowls puts every meal of the plan to its time.
func (d *door) bowls(m *maker) {
	from := int(ration.DefaultWindow().From)
	if m.h.Waking != nil {
		from = int(m.h.Waking.From)
	}
	shared := map[int]bool{}
	for _, day := range d.sheet.Plan.Days {
		out := doorDay{Date: day.Date, Thaw: []thawOut{}, Bowls: []bowlOut{}}
		for ti := range d.sheet.Clocks {
			c := &d.sheet.Clocks[ti]
			times := settled(&c.clock)
			var bowls []bowlOut
			for _, meal := range day.Meals {
				if slices.Contains(c.ids, meal.For[0]) {
					bowls = append(bowls, bowlOut{Meal: meal.Slot, ids: meal.For, servings: meal.Servings})
				}
			}
			bowls, moved := spread(bowls, c.ids, len(times))
			if moved && !shared[ti] {
				shared[ti] = true
				d.Notes = append(d.Notes, c.Who+": the plan has fewer meals on some days than bowls are needed. The food of those days is shared out over all bowls; nothing is added or taken away.")
			}
			for _, b := range bowls {
				if b.Meal > len(times) {
					continue // a clock has at least as many bowls as the day has meals
				}
				t := times[b.Meal-1]
				minute := from + (int(t.Out)-from+24*60)%(24*60)
				b.Out = momentAt(day.Date, minute)
				b.Lift = momentAt(day.Date, minute+int(t.Lies.Minutes()))
				b.table = ti
				b.fill(m)
				out.Bowls = append(out.Bowls, b)
			}
		}
		slices.SortStableFunc(out.Bowls, func(a, b bowlOut) int { return cmp.Or(a.Out.compare(b.Out), cmp.Compare(a.table, b.table)) })
		d.Days = append(d.Days, out)
	}
	for i := range d.sheet.Clocks {
		c := &d.sheet.Clocks[i]
		if c.clock.Holds {
			continue
		}
		n := night{Who: c.Who, Text: c.Text, Choices: []string{}, table: i}
		for _, ch := range c.clock.Choices {
			n.Choices = append(n.Choices, ch.Text)
		}
		d.Nights = append(d.Nights, n)
	}
}

func (b *bowlOut) fill(m *maker) {
	b.Who = each(b.ids, m.h.NameOf)
	b.Food = []string{}
	var total units.Mass
	for _, s := range b.servings {
		b.Food = append(b.Food, serving(s))
		total += s.Mass
	}
	if total > 0 {
		b.Total = both(total)
	}
}

// spread gives each of n bowls something to hold: a bowl for which nothing is
// planned gets half of what can be halved in the fullest one. The food of the
// day stays what it was. It reports whether anything was moved.
func spread(bowls []bowlOut, ids []string, n int) ([]bowlOut, bool) {
	any := len(bowls) > 0
	moved := false
	for k := 1; k <= n; k++ {
		if slices.ContainsFunc(bowls, func(b bowlOut) bool { return b.Meal == k }) {
			continue
		}
		from, most := -1, units.Mass(0)
		for i := range bowls {
			if _, part := halve(bowls[i].servings); weight(part) > most {
				from, most = i, weight(part)
			}
		}
		if from < 0 {
			bowls = append(bowls, bowlOut{Meal: k, ids: ids})
			continue
		}
		kept, part := halve(bowls[from].servings)
		bowls[from].servings = kept
		bowls = append(bowls, bowlOut{Meal: k, ids: bowls[from].ids, servings: part})
		moved = true
	}
	return bowls, moved && any
}

func weight(list []ration.Serving) (sum units.Mass) {
	for _, s := range list {
		sum += s.Mass
	}
	return sum
}

// halve parts a bowl in two: whole pieces, and grams where there are enough to
// be worth a bowl. Oil and powders stay where they are.
func halve(list []ration.Serving) (kept, part []ration.Serving) {
	const least = 4 * units.Gram
	for _, s := range list {
		if s.Pieces == 1 || s.Mass < least || s.Food.Kind == prey.Oil || s.Food.Kind == prey.Supplement {
			kept = append(kept, s)
			continue
		}
		two, err := ration.SplitServing(s, []int64{1, 1})
		if err != nil {
			kept = append(kept, s)
			continue
		}
		kept, part = append(kept, two[0]), append(part, two[1])
	}
	return kept, part
}

// thaw puts each batch to the day on which it leaves the freezer.
func (d *door) thaw(m *maker) {
	if len(d.Days) == 0 {
		return
	}
	first := d.Days[0].Date
	for _, b := range ration.Batches(d.sheet.Plan, d.sheet.home, m.care) {
		for _, t := range thawed(b, m) {
			if b.TakeOut < first {
				n := len(d.Before)
				if n == 0 || d.Before[n-1].Date != b.TakeOut {
					d.Before = append(d.Before, thawDay{Date: b.TakeOut})
					n++
				}
				d.Before[n-1].Thaw = append(d.Before[n-1].Thaw, t)
				continue
			}
			i, found := slices.BinarySearchFunc(d.Days, b.TakeOut, func(x doorDay, date units.Date) int { return cmp.Compare(x.Date, date) })
			if !found {
				d.Days = slices.Insert(d.Days, i, doorDay{Date: b.TakeOut, Thaw: []thawOut{}, Bowls: []bowlOut{}})
			}
			d.Days[i].Thaw = append(d.Days[i].Thaw, t)
		}
	}
}

// thawed is a batch as one reminder, or two when only part of it is in stock.
// What is in stock and needs no thawing needs no reminder.
func thawed(b ration.Batch, m *maker) (out []thawOut) {
	var bought, old units.Mass
	for _, dr := range b.Draws {
		if dr.Stock < 0 {
			bought += dr.Mass
		} else if dr.PastBest {
			old += dr.Mass
		}
	}
	one := func(mass units.Mass, fromShop bool) {
		pieces := b.Pieces
		if mass != b.Mass {
			pieces = 0 // nobody knows which pieces come from where
		}
		t := thawOut{Food: b.Food.Name, Amount: amount(b.Food, mass, pieces), Bought: fromShop, Feed: b.Ready, UseBy: b.UseBy, Late: b.Late && !b.NoThaw, keeps: b.Shelf}
		switch {
		case !fromShop:
			t.where = []string{"freezer"}
		case b.NoThaw:
			t.where = []string{"shop"}
		default:
			t.where = []string{"shop; if frozen, it thaws from now on"}
			if by := b.TakeOut.AddDays(b.Fresh); by < b.UseBy {
				t.where = append(t.where, fmt.Sprintf("if fresh, use it by %s and freeze the rest", short(by)))
			}
		}
		if t.Late {
			t.where = append(t.where, "that day is past: look whether it is thawed")
		}
		if !fromShop && old > 0 {
			t.where = append(t.where, fmt.Sprintf("of it %s is past its best-before day when fed: look and smell, or leave it out", both(old)))
		}
		t.Text = fmt.Sprintf("%s, %s, from the %s. First fed on %s.", t.Food, t.Amount, strings.Join(t.where, "; "), day(t.Feed))
		if !t.keeps {
			t.Text += fmt.Sprintf(" Use by %s.", day(t.UseBy))
		}
		out = append(out, t)
	}
	if mass := b.Mass - bought; mass > 0 && !b.NoThaw {
		one(mass, false)
	}
	if bought > 0 {
		one(bought, true)
	}
	return out
}

// What the blanks ask for.
const (
	howLeft  = "Left: weigh what is in the bowl when you lift it, bare bone included, and write the grams. 0 means nothing was left; an empty place means nobody weighed."
	howStash = "Found in stash: weigh what was hidden. 0 means you looked and found nothing; an empty place means nobody looked."
	howLift  = "A bowl that lay past its time goes into the bin, whatever is in it; it is never topped up."
)

func (d *door) paper() *paper {
	s := d.sheet
	p := s.paper("door", "Door sheet: "+s.title())
	if d.Room != "" {
		p.Lead = append(p.Lead, "Times are for food that comes out of the fridge into a place of "+d.Room+".")
	} else if s.Plan != nil {
		p.Lead = append(p.Lead, "No room temperature is given, so the times follow the two-hour rule alone. In a place above 32 °C (90 °F) it is one hour.")
	}
	p.Lead = append(p.Lead, d.Limits...)
	p.Notes = d.Evidence
	if s.Plan == nil || len(d.First) > 0 {
		p.put(part{Title: "First", Blocks: []block{listed(s.firstItems())}})
	}
	if s.Plan != nil {
		p.Lead = append(p.Lead, howLeft, howStash, howLift)
	}
	if t := d.timetable(); t != nil {
		p.put(part{Title: "To thaw and to fetch", Blocks: []block{tabled(t)}})
	}
	if len(d.Nights) > 0 {
		nights := part{Title: "The night is for you and your vet to settle", Whole: true}
		for _, n := range d.Nights {
			nights.put(text(n.Who+": "+n.Text+" The times on this sheet leave the night open. Tick what was agreed, before the first night."),
				block{List: unmarked(n.Choices), Ticks: true})
		}
		p.put(nights)
	}
	if notes := slices.Concat(d.How, d.Notes); len(notes) > 0 {
		p.put(part{Title: "Good to know", Blocks: []block{listed(unmarked(notes))}})
	}
	p.put(part{Title: "Please read", Blocks: []block{listed(unmarked(d.Cautions))}})
	for _, x := range d.Days {
		p.put(x.part())
	}
	return p
}

// timetable is what has to be in the fridge, day by day; nil for nothing.
func (d *door) timetable() *table {
	t := thawTable("What has to be in the fridge, and from when")
	for _, b := range d.Before {
		t.thaw("From "+day(b.Date), b.Thaw)
	}
	for _, x := range d.Days {
		t.thaw("From "+day(x.Date), x.Thaw)
	}
	if len(t.Groups) == 0 {
		return nil
	}
	return t
}

func thawTable(caption string) *table {
	return &table{Caption: caption, Cols: []string{"Food", "Amount", "From", "First fed", "Use by", "Done"}}
}

func (t *table) thaw(head string, list []thawOut) {
	for _, o := range list {
		by := "as marked"
		if !o.keeps {
			by = short(o.UseBy)
		}
		t.under(head, one(o.Food), kept(o.Amount), many(o.where), kept(short(o.Feed)), kept(by), blank(""))
	}
}

// short is a day of the week that is spoken of, "Wed 2 Dec".
func short(d units.Date) string {
	return time.Unix(0, 0).UTC().AddDate(0, 0, int(d)).Format("Mon 2 Jan")
}

// manyRows is more than fits on a page beside anything else.
const manyRows = 30

func (x doorDay) part() part {
	p := part{Title: day(x.Date), Whole: len(x.Bowls) <= manyRows}
	if len(x.Thaw) > 0 {
		t := thawTable("Into the fridge on " + day(x.Date))
		t.thaw("", x.Thaw)
		p.put(tabled(t))
	}
	if len(x.Bowls) == 0 {
		p.put(text("Nothing is planned to be fed on this day."))
		return p
	}
	t := &table{Caption: "Bowls of " + day(x.Date), Cols: []string{"Out", "Lift by", "For", "In the bowl", "Together", "Left", "Found in stash"}}
	for _, b := range x.Bowls {
		food := many(b.Food)
		if len(b.Food) == 0 {
			food = one("Nothing is planned for this bowl, and nothing can be shared out to it.")
		}
		t.add(kept(b.Out.on(x.Date)), kept(b.Lift.on(x.Date)), one(strings.Join(b.Who, ", ")), food, kept(orDash(b.Total)), blank("g"), blank("g"))
	}
	p.put(tabled(t))
	return p
}
