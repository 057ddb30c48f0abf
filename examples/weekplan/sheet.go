package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/examples/internal/evidence"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// sheetSchema names the form of the sheet in JSON.
const sheetSchema = "fitchet.weekplan/1"

// sheet is everything the program says, once, for text and JSON alike.
type sheet struct {
	Schema    string     `json:"schema"`
	Household string     `json:"household"`
	AsOf      units.Date `json:"as_of"`
	Start     units.Date `json:"start"`
	Outcome   string     `json:"outcome"` // planned, audited, lacking or undecided
	Target    targetOut  `json:"target"`

	First      []firstOut        `json:"first"`
	Lacking    []lackOut         `json:"lacking,omitempty"`
	Clash      []string          `json:"clash,omitempty"`
	WouldHelp  []string          `json:"would_help,omitempty"`
	Needs      []needOut         `json:"needs"`
	Plan       *ration.Plan      `json:"plan,omitempty"`
	Week       []dayOut          `json:"week,omitempty"`
	Shares     []shareOut        `json:"shares,omitempty"`
	Bone       []string          `json:"bone,omitempty"`
	Report     *balance.Printout `json:"report,omitempty"`
	Use        []useOut          `json:"use,omitempty"`
	Buy        []buyOut          `json:"buy,omitempty"`
	Cannot     []amountOut       `json:"cannot_be_had,omitempty"`
	Left       []amountOut       `json:"left_over,omitempty"`
	Cost       []string          `json:"cost_of_packs,omitempty"`
	PerAnimal  []costOut         `json:"cost_per_animal,omitempty"`
	SetOut     []setOutOut       `json:"set_out,omitempty"`
	Clocks     []clockOut        `json:"clocks,omitempty"`
	PassedOver []string          `json:"passed_over,omitempty"`
	Notes      []string          `json:"notes,omitempty"`
	Next       *nextOut          `json:"next_plans,omitempty"`
	Costs      *costsOut         `json:"cost_of_requirements,omitempty"`
	Styles     *stylesOut        `json:"styles,omitempty"`
	Cautions   []string          `json:"cautions"`
	Evidence   []noteOut         `json:"evidence_notes"` // what the numbers in brackets mean
	Sources    []sourceOut       `json:"sources"`
	Given      *ration.Household `json:"household_as_given,omitempty"` // so that -plan can read the sheet

	passed bool
	dated  []firstOut // the first of First: what the days of the household say
	report []verdictOut
	maker  *maker            // how it was made, for the smaller sheets
	home   *ration.Household // whose plan it is
}

type targetOut struct {
	ID        string `json:"id"`
	Title     string `json:"title"`
	BoneMeans string `json:"bone_means"`
	Note      string `json:"note,omitempty"`
}

type firstOut struct {
	Severity string `json:"gravity"` // stop, mend, vet, watch
	Text     string `json:"text"`
}

type lackOut struct {
	What    string `json:"what"`
	Example string `json:"example"`
	Amount  string `json:"amount"`
}

type needOut struct {
	Animal   string   `json:"animal"`
	Name     string   `json:"name"`
	About    string   `json:"about"`
	Band     string   `json:"band"`
	Evidence string   `json:"evidence"`
	Grams    string   `json:"grams_of_this_food,omitempty"`
	Floor    string   `json:"resting_need"`
	Meals    string   `json:"meals"`
	Methods  []method `json:"methods"`
	Disagree []string `json:"disagree"`
	Cautions []string `json:"cautions"`
}

type method struct {
	ID       string `json:"method"`
	Name     string `json:"name"`
	Value    string `json:"value"`
	Applies  bool   `json:"applies"`
	Why      string `json:"why,omitempty"`
	Evidence string `json:"evidence"`
}

type dayOut struct {
	Date  units.Date `json:"date"`
	Meals []mealOut  `json:"meals"`
}

type mealOut struct {
	Slot  int      `json:"meal"`
	Who   string   `json:"who"`
	Food  []string `json:"food"`
	Total string   `json:"total"`
}

type shareOut struct {
	Slot    string `json:"slot"`
	Low     string `json:"low"`
	Typical string `json:"typical"`
	High    string `json:"high"`
	Target  string `json:"target"`
	Verdict string `json:"verdict"`
	Whole   string `json:"verdict_over_range"`

	strip *strip // the same as a picture
}

type verdictOut struct{ gravity, verdict, text string }

type useOut struct {
	Food       string     `json:"food"`
	Amount     string     `json:"amount"`
	BestBefore units.Date `json:"best_before,omitempty"`
	From       string     `json:"from,omitempty"`
}

type buyOut struct {
	Food  string `json:"food"`
	Packs int64  `json:"packs"`
	Pack  string `json:"pack"`
	From  string `json:"from,omitempty"`
	Cost  string `json:"cost"`
}

type amountOut struct {
	Food   string `json:"food"`
	Amount string `json:"amount"`
}

type costOut struct {
	Name   string `json:"name"`
	PerDay string `json:"per_day"`
	Note   string `json:"note,omitempty"`
}

type setOutOut struct {
	Form     string      `json:"form"`
	Line     string      `json:"limit"`
	Others   []string    `json:"other_limits"`
	Practice []string    `json:"practice"`
	Growth   []growthOut `json:"growth_estimate"`
	Notes    []string    `json:"notes"`
}

// growthOut is the growth of germs after some time in the room, without lag.
type growthOut struct {
	After  string   `json:"after"`
	Models []string `json:"models"` // "Salmonella (central): about 0.31 log10"

	after time.Duration
	gains []safety.Prediction
}

type clockOut struct {
	Who     string   `json:"who"`
	Gap     string   `json:"longest_gap"`
	Text    string   `json:"text"`
	Times   []string `json:"set_outs"`
	Choices []string `json:"choices,omitempty"`

	ids   []string // who sits at this table
	clock ration.Clock
}

type (
	noteOut   = evidence.Note
	sourceOut = evidence.Source
)

// maker builds the sheet and keeps track of the sources that it cites.
type maker struct {
	foods *prey.Catalogue
	book  *balance.Book
	care  *safety.Book
	h     *ration.Household
	s     *sheet
	notes *evidence.Notes
}

// dated is what the days of the household say that comes before all else: lots
// past their day, and figures that will be old when the week begins.
func (m *maker) dated() (out []firstOut) {
	h := m.h
	for i := range h.Stock {
		lot := &h.Stock[i]
		what := both(lot.Mass) + " " + lot.Food.Name + ", best before " + day(lot.BestBefore)
		switch {
		case lot.BestBefore == 0 || lot.BestBefore >= h.FirstDay():
		case lot.BestBefore < h.AsOf:
			out = append(out, firstOut{"watch", "Throw away or look at: " + what + "."})
		default:
			out = append(out, firstOut{"watch", "Feed it before this week or throw it away: " + what + "."})
		}
	}
	if n := h.FirstDay().DaysSince(h.AsOf); n > ration.StaleDays {
		out = append(out, firstOut{"watch", fmt.Sprintf("Weigh the animals and look into the freezer before this week: the figures are of %s, %d days before it. No plan begins more than %d days after them (our choice: %s).",
			day(h.AsOf), n, ration.AheadDays, ration.AheadRef().At)})
	}
	return out
}

func (m *maker) begin(outcome string, t *shares.Target) {
	m.notes = evidence.New(m.book.Registry())
	m.s = &sheet{Schema: sheetSchema, Household: m.h.Name, AsOf: m.h.AsOf, Start: m.h.Start, Outcome: outcome,
		First: []firstOut{}, Needs: []needOut{}, Cautions: []string{}, Evidence: []noteOut{}, Sources: []sourceOut{},
		Target: target(t), maker: m, home: m.h, Given: m.h}
	m.s.dated = m.dated()
	m.s.First = append(m.s.First, m.s.dated...)
}

func target(t *shares.Target) targetOut {
	return targetOut{t.ID, t.Title, t.BoneMeans.Words(), t.Note}
}

// cite notes which sources are named, so that they end up in the list.
func (m *maker) cite(r cite.Ref) { m.notes.Cite(r) }

// words is the evidence in short, with the numbers of the notes that say it in
// full.
func (m *maker) words(refs ...cite.Ref) string {
	out := m.notes.Words(refs...)
	m.s.Evidence = m.notes.List()
	return out
}

// note is the number of the note for a reference; a new one is added.
func (m *maker) note(r cite.Ref) int {
	n := m.notes.Number(r)
	m.s.Evidence = m.notes.List()
	return n
}

// helps are single changes that make a plan possible, with what the packs then
// cost.
func helps(list []plan.Relaxation) (out []string) {
	for _, r := range list {
		t := r.Text
		if r.Cost.Currency() != "" {
			t += " The packs to buy then cost " + r.Cost.String() + "."
		}
		out = append(out, t)
	}
	return out
}

func (m *maker) planned(res *plan.Result) (*sheet, error) {
	if res.Plan == nil {
		outcome := "undecided"
		if res.Outcome == plan.Infeasible {
			outcome = "lacking"
		}
		m.begin(outcome, res.Target)
		m.s.Lacking = m.lacking(res.Lacking)
		m.s.Clash = res.Clash
		m.s.WouldHelp = helps(res.Relaxations)
		m.needs(res.Needs, nil)
		m.about(res)
		m.cautions(m.care.Cautions(m.situation(res.Needs)))
		m.sources()
		return m.s, nil
	}
	m.begin("planned", res.Target)
	m.about(res)
	return m.rest(res.Plan, res.Report, res.Household)
}

// lacking is one line for each kind of food, with its examples.
func (m *maker) lacking(list []ration.Shortage) []lackOut {
	mass := map[string]units.Mass{}
	examples := map[string][]string{}
	var order []string
	for _, l := range list {
		if mass[l.What] == 0 {
			order = append(order, l.What)
		}
		mass[l.What] += l.Mass
		examples[l.What] = append(examples[l.What], both(l.Mass)+" "+l.Food.Name)
	}
	slices.SortStableFunc(order, func(a, b string) int { return -cmp.Compare(mass[a], mass[b]) })
	return each(order, func(w string) lackOut { return lackOut{w, strings.Join(examples[w], " and "), both(mass[w])} })
}

func (m *maker) audited(p *ration.Plan, r *balance.Report) (*sheet, error) {
	m.begin("audited", r.Target)
	m.s.Start = p.Start
	return m.rest(p, r, m.h)
}

// about notes what the planner left out and why.
func (m *maker) about(res *plan.Result) {
	for _, p := range res.Passed {
		m.s.PassedOver = append(m.s.PassedOver, p.Food.Name+": "+p.Why)
	}
	for _, name := range res.Unplanned {
		m.s.Notes = append(m.s.Notes, name+" is not in this plan: no published figure says how much. Ask a vet.")
	}
	m.s.Notes = append(m.s.Notes, res.Notes...)
}

func (m *maker) rest(p *ration.Plan, r *balance.Report, h *ration.Household) (*sheet, error) {
	s := m.s
	s.Plan, s.Report, s.passed, s.home = p, &balance.Printout{Report: r}, r.Passed(), h
	tally := r.Tally()
	m.needs(r.Needs(), &tally)
	m.first(r)
	m.week(p)
	m.bowls(p, r.Needs())
	m.shares(r)
	m.verdicts(r)
	if err := m.shopping(p, h); err != nil {
		return nil, err
	}
	if err := m.setOut(p, r.Needs()); err != nil {
		return nil, err
	}
	m.cautions(r.Cautions())
	m.sources()
	return s, nil
}

// first is what must be done before anything else.
func (m *maker) first(r *balance.Report) {
	add := func(g, text string) { m.s.First = append(m.s.First, firstOut{g, text}) }
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Verdict != balance.Missed || f.Severity == balance.Watch {
			continue
		}
		text := f.Rule.Title
		if f.Animal != nil {
			text += " Not so for " + f.Who() + "."
		}
		if f.Hazard != nil {
			text = f.Hazard.Name + ": " + f.Hazard.Sentence + " " + f.Hazard.Do
		} else if mend := f.MendText(); mend != "" {
			text += " It is " + f.MeasuredText() + "; wanted: " + f.LimitText() + ". " + mend
		}
		add(f.Severity.String(), text)
	}
	for _, n := range r.Needs() {
		if len(n.VetFirst) > 0 {
			add("vet", fmt.Sprintf("Ask a vet before you follow this plan for %s (%s).", m.h.NameOf(n.Animal.ID), strings.Join(n.VetFirst, ", ")))
		}
	}
	seen := map[string]bool{}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Verdict == balance.Missed && f.Severity == balance.Watch && f.Hazard == nil && !seen[f.Rule.ID] {
			seen[f.Rule.ID] = true
			if f.Rule.Counted() {
				add("watch", f.Rule.Title+" "+"It is "+f.MeasuredText()+".")
			}
		}
	}
}

func (m *maker) needs(list []ration.Need, fed *prey.Tally) {
	food, ok := perHundred(fed)
	for _, n := range list {
		a := n.Animal
		o := needOut{Animal: a.ID, Name: m.h.NameOf(a.ID), Floor: "about " + n.Floor.String() + " a day", Methods: []method{}, Disagree: slices.Clone(n.Disagree), Cautions: n.Cautions}
		o.About = describe(a, n)
		o.Band, o.Evidence = "no published figure", ""
		if n.HasBand {
			o.Band = fmt.Sprintf("about %s to %s a day", whole(n.Band.Low), whole(n.Band.High))
			o.Evidence = m.words(n.BandRef)
		}
		if ok {
			o.Disagree = n.Compare(food)
			if g := n.Grams(food); g.High > 0 {
				o.Grams = fmt.Sprintf("%s to %s (%s to %s) a day", g.Low.InGrams(0), g.High.InGrams(0), g.Low.InOunces(1), g.High.InOunces(1))
			}
		}
		o.Meals = fmt.Sprintf("at least %d a day (%s)", n.MealsPerDay, m.words(n.MealsRef))
		for _, e := range n.Estimates {
			o.Methods = append(o.Methods, method{e.Method, e.Name, e.String(), e.Applies, e.Why, m.words(e.Ref)})
		}
		if o.Disagree == nil {
			o.Disagree = []string{}
		}
		m.s.Needs = append(m.s.Needs, o)
	}
}

// perHundred is the energy of the food fed, per 100 g, at its least, typical and most.
func perHundred(t *prey.Tally) (units.Range[prey.Density], bool) {
	if t == nil {
		return units.Range[prey.Density]{}, false
	}
	var at []prey.Density
	for _, c := range prey.Cases() {
		sum, known := t.Energy(c)
		if known == 0 {
			return units.Range[prey.Density]{}, false
		}
		v, ok := sum.MulDiv(1, uint64(known))
		if !ok {
			return units.Range[prey.Density]{}, false
		}
		at = append(at, prey.Density(v.Lo))
	}
	return units.Range[prey.Density]{Low: slices.Min(at), Typical: at[prey.Typical], High: slices.Max(at)}, true
}

func describe(a *ration.Animal, n ration.Need) string { return kit.Describe(a, n) }

// whole rounds tenths of a kcal half up.
func whole(t ration.Tenths) string { return fmt.Sprintf("%d kcal", (t+5)/10) }

// both is a mass in grams and ounces; small ones with a second place, so that
// they do not read as nothing.
func both(m units.Mass) string {
	places := int32(1)
	if m < 3*units.Gram {
		places = 2
	}
	return m.InGrams(0) + " (" + m.InOunces(places) + ")"
}

// serving is "39 g (1.4 oz) beef mince" or "92 g (3.2 oz), 1 wing: chicken wing".
func serving(s ration.Serving) string {
	if s.Pieces > 0 {
		return both(s.Mass) + " " + s.Food.Name + ", " + count(s.Food, s.Pieces)
	}
	return both(s.Mass) + " " + s.Food.Name
}

func count(f *prey.Food, pieces int64) string {
	if pieces == 1 {
		return "1 " + cmp.Or(f.PieceName, "piece")
	}
	return fmt.Sprintf("%d %s", pieces, plural(cmp.Or(f.PieceName, "piece")))
}

func amount(f *prey.Food, mass units.Mass, pieces int64) string {
	if pieces > 0 {
		return count(f, pieces) + ", " + both(mass)
	}
	return both(mass)
}

// plural is enough for the names of pieces in the catalogue.
func plural(w string) string {
	switch {
	case strings.HasSuffix(w, "mouse"):
		return strings.TrimSuffix(w, "mouse") + "mice"
	case strings.HasSuffix(w, "foot"):
		return strings.TrimSuffix(w, "foot") + "feet"
	case strings.HasSuffix(w, "s"), strings.HasSuffix(w, "quail"):
		return w
	}
	return w + "s"
}

func (m *maker) week(p *ration.Plan) {
	for _, d := range p.Days {
		day := dayOut{Date: d.Date, Meals: []mealOut{}}
		for _, meal := range d.Meals {
			out := mealOut{Slot: meal.Slot, Who: m.names(meal.For), Food: []string{}}
			var total units.Mass
			for _, s := range meal.Servings {
				out.Food = append(out.Food, serving(s))
				total += s.Mass
			}
			out.Total = both(total)
			day.Meals = append(day.Meals, out)
		}
		m.s.Week = append(m.s.Week, day)
	}
}

// bowls says how a shared bowl is meant to be divided.
func (m *maker) bowls(p *ration.Plan, needs []ration.Need) {
	seen := map[string]bool{}
	for _, d := range p.Days {
		for _, meal := range d.Meals {
			who := m.names(meal.For)
			if len(meal.For) < 2 || seen[who] {
				continue
			}
			seen[who] = true
			var weights []int64
			var names []string
			for _, n := range needs {
				if slices.Contains(meal.For, n.Animal.ID) && n.HasBand {
					weights = append(weights, int64(n.Band.Typical))
					names = append(names, m.h.NameOf(n.Animal.ID))
				}
			}
			parts, err := units.Split(100, weights)
			if err != nil {
				continue
			}
			for i := range names {
				names[i] += fmt.Sprintf(" %d %%", parts[i])
			}
			m.s.Notes = append(m.s.Notes, fmt.Sprintf("%s eat from one bowl. By need it is meant to divide so: %s. Who really eats what can only be seen at the bowl.", who, strings.Join(names, ", ")))
		}
	}
}

func (m *maker) names(ids []string) string {
	return strings.Join(each(ids, m.h.NameOf), ", ")
}

func (m *maker) shares(r *balance.Report) {
	for _, slot := range shares.Slots() {
		for _, f := range r.Find("share-" + slot.String()) {
			if f.Verdict == balance.NotApplicable {
				continue
			}
			o := shareOut{Slot: slot.String(), Target: f.LimitText(), Verdict: f.Verdict.String(), Whole: f.Whole.String()}
			if slot == shares.OrganSlot {
				o.Slot = prey.Organ.String()
			}
			if v, ok := f.Measured(); ok {
				o.Low, o.Typical, o.High = v.Low.StringFixed(1), v.Typical.StringFixed(1), v.High.StringFixed(1)
				o.strip = newStrip(o, v, &f)
			}
			m.s.Shares = append(m.s.Shares, o)
		}
	}
	b := r.Bone()
	line := func(name string, s balance.BoneShare) {
		text := "cannot be said"
		switch {
		case s.Of == 0:
			text = "not judged: all food counts as balanced in itself (common practice)"
		case s.Known > 0:
			text = span(s.Low.InPercent(1), s.Typical.InPercent(1), s.High.InPercent(1))
		}
		m.s.Bone = append(m.s.Bone, name+": "+text)
	}
	line("as edible bone (only the bone itself)", b.Edible)
	line("as bone-in meat (the whole cut with its bone)", b.BoneIn)
	measure := func(name, unit string, v balance.Measure) {
		text := "not known for enough of the food"
		if v.Known {
			text = span(v.Low.StringFixed(2), v.Typical.StringFixed(2), v.High.StringFixed(2)) + unit
		}
		m.s.Bone = append(m.s.Bone, name+": "+text)
	}
	measure("calcium to phosphorus", " to 1", b.CaP)
	measure("calcium per 1000 kcal", " g", b.PerKcal)
}

func span(low, typical, high string) string {
	if low == high {
		return typical
	}
	return typical + " (from " + low + " to " + high + ")"
}

// verdicts are the findings for the text: one line for a rule that says the
// same of everybody.
func (m *maker) verdicts(r *balance.Report) {
	type key struct {
		rule, verdict, whole, hazard string
	}
	at := map[key]int{}
	who := map[int][]string{}
	limit := map[int]string{} // the limit of a merged line; "" when it differs by animal
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Verdict == balance.NotApplicable {
			continue
		}
		k := key{f.Rule.ID, f.Verdict.String(), f.Whole.String(), ""}
		title := f.Rule.Title
		if f.Hazard != nil {
			k.hazard = f.Hazard.ID
			title = f.Hazard.Name + ": " + strings.Join(f.Foods(), "; ") + "."
		}
		if j, ok := at[k]; ok && f.Verdict != balance.Missed {
			who[j] = append(who[j], f.Who())
			if limit[j] != f.LimitText() {
				limit[j] = ""
			}
			continue
		}
		var b strings.Builder
		fmt.Fprintf(&b, "%s", title)
		if f.Verdict == balance.Missed && f.Animal != nil {
			fmt.Fprintf(&b, " For %s.", f.Who())
		}
		if t := f.MeasuredText(); t != "" && f.Hazard == nil && (f.Animal == nil || f.Verdict == balance.Missed) {
			fmt.Fprintf(&b, " Here: %s.", t)
		}
		merged := f.Animal != nil && f.Verdict != balance.Missed
		if t := f.LimitText(); t != "" && !merged {
			fmt.Fprintf(&b, " Wanted: %s.", t)
		}
		if merged {
			b.WriteString(whoMark)
		}
		if f.Verdict == balance.Open {
			fmt.Fprintf(&b, " Open: %s.", f.ReasonText())
		}
		if f.Whole != f.Verdict {
			fmt.Fprintf(&b, " Over the whole range of published figures: %s.", f.Whole)
		}
		if f.Verdict != balance.Met {
			if f.Hazard != nil {
				fmt.Fprintf(&b, " %s %s", f.Hazard.Sentence, f.Hazard.Do)
			} else {
				fmt.Fprintf(&b, " %s", f.Rule.Means)
			}
		}
		if t := mendText(f); t != "" {
			fmt.Fprintf(&b, " To mend it: %s", t)
		}
		if t := f.Settle(); t != "" && f.Hazard == nil {
			fmt.Fprintf(&b, " To settle it: %s", t)
		}
		fmt.Fprintf(&b, " (%s)", m.words(f.Evidence()...))
		at[k] = len(m.s.report)
		if f.Animal != nil && f.Verdict != balance.Missed {
			who[at[k]] = []string{f.Who()}
			if !f.Rule.Check.Each() { // it is about the one who is worst off
				who[at[k]] = nil
			}
			limit[at[k]] = f.LimitText()
		}
		verdict := f.Verdict.String()
		if f.Hazard != nil && f.Severity == balance.Watch && f.Verdict == balance.Missed {
			verdict = "care" // it may be fed; nothing is wrong with the plan
		}
		m.s.report = append(m.s.report, verdictOut{f.Severity.String(), verdict, b.String()})
	}
	for i, names := range who {
		text := " For " + strings.Join(names, ", ") + "."
		if len(names) == 0 || len(names) == len(r.Needs()) && len(names) > 1 {
			text = " For all."
		}
		if limit[i] != "" {
			text += " Wanted: " + limit[i] + "."
		}
		m.s.report[i].text = strings.Replace(m.s.report[i].text, whoMark, text, 1)
	}
}

// whoMark stands in a line until it is known for whom the line holds.
const whoMark = "\x00"

// mendText is how to meet a missed rule. A rule to watch is not worth breaking
// another one for.
func mendText(f *balance.Finding) string {
	if f.Hazard != nil || f.Verdict != balance.Missed {
		return ""
	}
	if f.Severity == balance.Watch {
		if list := f.Mends(); len(list) > 0 && len(list[0].Breaks) > 0 {
			return "no change of one food alone, without missing another rule."
		}
	}
	return f.MendText()
}

func (m *maker) shopping(p *ration.Plan, h *ration.Household) error {
	type lot struct {
		stock int
		mass  units.Mass
	}
	var lots []lot
	for _, d := range ration.FirstOut(p, h) {
		if d.Stock < 0 {
			continue
		}
		i := slices.IndexFunc(lots, func(l lot) bool { return l.stock == d.Stock })
		if i < 0 {
			i = len(lots)
			lots = append(lots, lot{stock: d.Stock})
		}
		lots[i].mass += d.Mass
	}
	slices.SortFunc(lots, func(a, b lot) int { return cmp.Compare(a.stock, b.stock) })
	for _, l := range lots {
		k := h.Stock[l.stock]
		m.s.Use = append(m.s.Use, useOut{k.Food.Name, both(l.mass), k.BestBefore, origin(k)})
	}
	list, err := ration.Shop(p, h, ration.ByNeed(h))
	if err != nil {
		return err
	}
	for _, b := range list.Buy {
		o := h.Offers[b.Offer]
		m.s.Buy = append(m.s.Buy, buyOut{o.Food.Name, b.Packs, amount(o.Food, o.Pack, o.Pieces), o.Supplier, b.Cost.String()})
	}
	for _, c := range list.Cannot {
		m.s.Cannot = append(m.s.Cannot, amountOut{c.Food.Name, both(c.Mass)})
	}
	for _, l := range list.Left {
		m.s.Left = append(m.s.Left, amountOut{l.Food.Name, both(l.Mass)})
	}
	m.s.Cost = prices(list.Total)
	for _, a := range list.Animals {
		perDay := slices.Clone(a.PerDay)
		if a.Priced < a.Mass {
			// Nothing, beside food without a price, would read as if all of it cost nothing.
			perDay = slices.DeleteFunc(perDay, func(p units.Price) bool { return p.Amount().IsZero() })
		}
		o := costOut{Name: m.names([]string{a.Animal}), PerDay: strings.Join(prices(perDay), " and ")}
		if a.Priced < a.Mass {
			o.Note = fmt.Sprintf("%s of its food has no price", both(a.Mass-a.Priced))
		}
		m.s.PerAnimal = append(m.s.PerAnimal, o)
	}
	return nil
}

func origin(s ration.Stock) string {
	var parts []string
	if s.Supplier != "" {
		parts = append(parts, s.Supplier)
	}
	if s.Lot != "" {
		parts = append(parts, "lot "+s.Lot)
	}
	return strings.Join(parts, ", ")
}

func prices(list []units.Price) (out []string) {
	for _, p := range list {
		out = append(out, p.String())
	}
	return out
}

// setOut is the card beside the bowl: one entry for each form of food in the
// plan, and one clock for each bowl.
func (m *maker) setOut(p *ration.Plan, needs []ration.Need) error {
	windows := map[safety.Form]safety.SetOutAnswer{}
	for _, s := range p.Servings() {
		windows[s.FormOf()] = safety.SetOutAnswer{}
	}
	for _, form := range safety.Forms() {
		if _, ok := windows[form]; !ok {
			continue
		}
		w, err := m.window(form)
		if err != nil {
			return err
		}
		windows[form] = w
		m.s.SetOut = append(m.s.SetOut, m.card(form, w))
	}
	return m.clocks(p, needs, windows)
}

func (m *maker) card(form safety.Form, w safety.SetOutAnswer) setOutOut {
	o := setOutOut{Form: form.String(), Line: w.Line(), Others: []string{}, Practice: []string{}, Growth: []growthOut{}, Notes: w.Notes}
	for i, l := range w.Limits {
		text := fmt.Sprintf("%s: %s, %s; for %s; %s (%s) (%s)", l.Name, safety.PeriodText(l.Length), l.Condition, l.Binds, l.Status, l.Why, m.words(l.Ref))
		if i > 0 || !w.Leads {
			o.Others = append(o.Others, text)
		} else {
			o.Line += " (" + m.words(l.Ref) + ")"
		}
	}
	for _, b := range w.Practice {
		hours := safety.PeriodText(b.High.Total)
		if b.Low.Total > 0 && b.Low.Total < b.High.Total {
			hours = safety.PeriodText(b.Low.Total) + " to " + hours
		} else if b.Low.Total == 0 {
			hours = "up to " + hours
		}
		over := ""
		if b.High.Level == safety.OverLimit || b.High.Level == safety.FarOver {
			over = fmt.Sprintf("; %s is %s the limit: %s", safety.PeriodText(b.High.Total), b.High.Times, b.High.Level)
		}
		o.Practice = append(o.Practice, fmt.Sprintf("%s, %s (%s, no source)%s", hours, b.Words, m.words(b.Ref), over))
	}
	grow := func(moment safety.Elapsed) {
		if len(moment.Gains) == 0 || slices.ContainsFunc(o.Growth, func(g growthOut) bool { return g.after == moment.Total }) {
			return
		}
		g := growthOut{After: safety.PeriodText(moment.Total), after: moment.Total, gains: moment.Gains}
		for _, p := range moment.Gains {
			g.Models = append(g.Models, p.String())
			if ref, err := p.Model.Ref(); err == nil {
				m.cite(ref)
			}
		}
		o.Growth = append(o.Growth, g)
	}
	if w.Leads {
		grow(w.End)
	}
	for _, b := range w.Practice {
		grow(b.High)
	}
	slices.SortFunc(o.Growth, func(a, b growthOut) int { return cmp.Compare(a.after, b.after) })
	return o
}

func (m *maker) situation(needs []ration.Need) safety.Situation { return kit.Situation(m.h, needs) }

func (m *maker) cautions(list []safety.Caution) {
	for _, c := range list {
		for _, r := range c.Evidence {
			m.cite(r)
		}
		m.s.Cautions = append(m.s.Cautions, c.Text)
	}
}

// sources lists what was cited, by key.
func (m *maker) sources() { m.s.Sources = m.notes.Sources() }
