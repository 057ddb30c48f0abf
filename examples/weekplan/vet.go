package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// vetSchema names the form of the vet note in JSON.
const vetSchema = "fitchet.vetnote/1"

// vetNote is what a vet asks first: what is fed, to whom, what is in it, how
// much of that is known, and what is open.
type vetNote struct {
	Schema    string      `json:"schema"`
	Household string      `json:"household"`
	AsOf      units.Date  `json:"as_of"`
	Start     units.Date  `json:"start"`
	Days      int         `json:"days"`
	Outcome   string      `json:"outcome"`
	Target    targetOut   `json:"target"`
	First     []firstOut  `json:"first"`
	Animals   []patient   `json:"animals"`
	Fed       []fedOut    `json:"fed"`
	Total     string      `json:"fed_in_all,omitempty"`
	Shares    []shareOut  `json:"shares"`
	Bone      []string    `json:"bone"`
	Nutrients []nutriment `json:"nutrients"`
	Open      []string    `json:"open_questions"`
	Estimates []string    `json:"estimates"`
	Cautions  []string    `json:"cautions"`

	sheet *sheet
}

// patient is one animal for the vet.
type patient struct {
	Animal  string   `json:"animal"`
	Name    string   `json:"name"`
	About   string   `json:"about"`
	Weight  string   `json:"weight"`
	Never   []string `json:"never"`
	Grams   string   `json:"planned_a_day,omitempty"`
	Energy  string   `json:"energy_a_day,omitempty"`
	Band    string   `json:"planning_band"`
	Resting string   `json:"resting_need"`
	Gap     string   `json:"longest_gap"`
	Shared  []string `json:"shares_bowls_with"`
	Ask     []string `json:"ask_the_vet_first"`
}

type fedOut struct {
	Food   string `json:"food"`
	Amount string `json:"amount"`
	PerDay string `json:"per_day"`
	Share  string `json:"share"`
}

// nutriment is one nutrient of the week as fed, beside what it was held to.
type nutriment struct {
	Name     string   `json:"nutrient"`
	Basis    string   `json:"basis"` // what the figures count against
	Figure   string   `json:"figure,omitempty"`
	Range    string   `json:"range,omitempty"`
	Known    string   `json:"known_for"`
	Wanted   []string `json:"wanted"`
	Verdict  string   `json:"verdict"` // the worst of what is wanted
	Evidence string   `json:"evidence"`

	refs []cite.Ref
}

func (s *sheet) vet() *vetNote {
	m := s.fresh()
	v := &vetNote{Schema: vetSchema, Household: s.Household, AsOf: s.AsOf, Start: s.Start, Outcome: s.Outcome, Target: s.Target, First: s.First,
		Animals: []patient{}, Fed: []fedOut{}, Shares: s.Shares, Bone: s.Bone, Nutrients: []nutriment{}, Open: []string{}, Estimates: []string{},
		Cautions: []string{}, sheet: s}
	at := m.situation(s.needed())
	at.Raw, at.Borrowed = false, true // what a vet need not be told of raw meat stands on the other sheets
	for _, c := range m.care.Cautions(at) {
		v.Cautions = append(v.Cautions, c.Text)
	}
	if v.Shares == nil {
		v.Shares = []shareOut{}
	}
	if v.Bone == nil {
		v.Bone = []string{}
	}
	v.animals(m)
	if s.Plan != nil {
		v.Days = len(s.Plan.Days)
		v.fed()
		v.nutrients()
		v.open()
	}
	v.Estimates = []string{
		"Needs are computed from weight, age and stage; nobody measured them on the animal.",
		"The food is the plan. What was eaten is that less what was left and hidden.",
		"Nutrients are published figures times grams, with their range where several were read; lots of meat differ.",
	}
	return v
}

func (v *vetNote) animals(m *maker) {
	// By need, as the energy is: also of pieces, of which nobody knows who gets them.
	mass := map[string]units.Mass{}
	if p := v.sheet.Plan; p != nil {
		by := ration.ByNeed(v.sheet.home)
		for at, s := range p.Servings() {
			who := p.Days[at.Day].Meals[at.Meal].For
			parts, err := ration.SplitServing(ration.Serving{Food: s.Food, Mass: s.Mass}, each(who, func(id string) int64 { return by(id, s.Food) }))
			if err != nil {
				continue // nobody at the bowl may have it: the audit says so
			}
			for i, part := range parts {
				mass[who[i]] += part.Mass
			}
		}
	}
	energy := map[string]string{}
	if r := v.sheet.Report; r != nil {
		for _, f := range r.Find("energy-band") {
			if f.Animal != nil && f.Verdict != balance.NotApplicable {
				if x, ok := f.Measured(); ok {
					energy[f.Animal.ID] = "about " + x.Typical.StringFixed(0) + " kcal"
				}
			}
		}
	}
	for _, n := range v.sheet.needed() {
		a := n.Animal
		p := patient{Animal: a.ID, Name: m.h.NameOf(a.ID), About: describe(a, n), Weight: both(a.Mass), Never: each(a.Never, m.foodName),
			Energy: energy[a.ID], Band: "no published figure", Resting: "about " + whole(n.Floor),
			Gap: safety.PeriodText(n.Gap.Longest), Shared: []string{}, Ask: slices.Clone(n.VetFirst)}
		if p.Ask == nil {
			p.Ask = []string{}
		}
		if n.HasBand {
			p.Band = fmt.Sprintf("about %s to %s", strings.TrimSuffix(whole(n.Band.Low), " kcal"), whole(n.Band.High))
		}
		if g := mass[a.ID]; g > 0 && v.sheet.Plan != nil {
			p.Grams = both(g / units.Mass(len(v.sheet.Plan.Days)))
		}
		for _, c := range v.sheet.Clocks {
			if slices.Contains(c.ids, a.ID) {
				for _, id := range c.ids {
					if id != a.ID {
						p.Shared = append(p.Shared, m.h.NameOf(id))
					}
				}
			}
		}
		v.Animals = append(v.Animals, p)
	}
}

// needed are the needs that the plan was held to.
func (s *sheet) needed() []ration.Need {
	if s.Report != nil {
		return s.Report.Needs()
	}
	return s.home.Needs()
}

// foodName is the name of a food or species that an animal must not get.
func (m *maker) foodName(id string) string {
	if f, err := m.foods.Find(id); err == nil {
		return f.Name
	}
	return id
}

func (v *vetNote) fed() {
	p := v.sheet.Plan
	mass := map[string]units.Mass{}
	name := map[string]string{}
	var ids []string
	var total units.Mass
	for _, s := range p.Servings() {
		if mass[s.Food.ID] == 0 {
			ids = append(ids, s.Food.ID)
		}
		mass[s.Food.ID] += s.Mass
		name[s.Food.ID] = s.Food.Name
		total += s.Mass
	}
	slices.SortStableFunc(ids, func(a, b string) int { return cmp.Or(cmp.Compare(mass[b], mass[a]), cmp.Compare(a, b)) })
	days := units.Mass(max(len(p.Days), 1))
	for _, id := range ids {
		v.Fed = append(v.Fed, fedOut{name[id], both(mass[id]), both(mass[id] / days), units.ShareOf(mass[id], total).InPercent(1)})
	}
	if total > 0 {
		v.Total = both(total)
	}
}

// nutrients puts the findings about one nutrient in one row.
func (v *vetNote) nutrients() {
	r := v.sheet.Report
	reg := v.sheet.maker.book.Registry()
	at := map[string]int{}
	worst := map[int]balance.Verdict{}
	for i := range r.Findings {
		f := &r.Findings[i]
		name, ok := nutrient(f)
		if !ok || f.Verdict == balance.NotApplicable {
			continue
		}
		key := f.Rule.Check.String() + " " + name
		j, seen := at[key]
		if !seen {
			known, of := f.Coverage()
			share := units.ShareOf(0, 1)
			if of > 0 {
				share = units.ShareOf(known, of)
			}
			j = len(v.Nutrients)
			at[key], worst[j] = j, f.Verdict
			v.Nutrients = append(v.Nutrients, nutriment{Name: name, Basis: basis(f), Known: share.InPercent(0), Wanted: []string{}})
		}
		o := &v.Nutrients[j]
		// The most places of all: as many as tell the figure from each limit.
		if figure, width := figured(f); len(figure) > len(o.Figure) {
			o.Figure, o.Range = figure, width
		}
		o.Wanted = append(o.Wanted, strings.ReplaceAll(f.LimitText(), " "+basis(f), ""))
		o.refs = append(o.refs, f.Evidence()...)
		if severity(f.Verdict) > severity(worst[j]) {
			worst[j], o.Verdict = f.Verdict, ""
		}
		if o.Verdict == "" {
			o.Verdict = worst[j].String()
			if f.Verdict != balance.Met {
				o.Verdict += ", " + f.Severity.String()
			}
		}
	}
	for i := range v.Nutrients {
		v.Nutrients[i].Evidence = sourced(v.Nutrients[i].refs, reg)
	}
	slices.SortStableFunc(v.Nutrients, func(a, b nutriment) int { return cmp.Compare(basisOrder(a.Basis), basisOrder(b.Basis)) })
}

func basisOrder(s string) int {
	return slices.Index([]string{byWeight, inDryMatter, perEnergy}, s)
}

// figured is the planned figure and its range, each without what it counts
// against and how much is known, which stand in columns of their own.
func figured(f *balance.Finding) (figure, width string) {
	figure, _, _ = strings.Cut(f.MeasuredText(), ", from the ")
	figure, _, _ = strings.Cut(strings.ReplaceAll(figure, " "+basis(f), ""), " (")
	if x, ok := f.Measured(); ok && !x.Low.Equal(x.High) {
		width = x.Low.String() + " to " + x.High.String()
	}
	return figure, width
}

// nutrient names what a finding about composition is about.
func nutrient(f *balance.Finding) (string, bool) {
	r := f.Rule
	switch {
	case !r.Check.Nutrient():
		return "", false
	case r.Check.Takes("against"):
		return r.Nutrient.Name() + " to " + r.Against.Name(), true
	}
	return r.Nutrient.Name(), true
}

// basis is what the figures of a finding count against.
func basis(f *balance.Finding) string { return cmp.Or(f.Rule.Unit(false), byWeight) }

// What figures of nutrients count against.
const (
	byWeight    = "by weight"
	inDryMatter = "of dry matter"
	perEnergy   = "per 1000 kcal"
)

func severity(v balance.Verdict) int {
	return slices.Index([]balance.Verdict{balance.NotApplicable, balance.Met, balance.Open, balance.Missed}, v)
}

// open is what nobody knows yet, as questions where a vet can answer them.
func (v *vetNote) open() {
	add := func(format string, args ...any) { v.Open = append(v.Open, fmt.Sprintf(format, args...)) }
	for _, a := range v.Animals {
		if len(a.Ask) > 0 {
			add("May %s be fed by this plan (%s)?", a.Name, strings.Join(a.Ask, ", "))
		}
	}
	for _, c := range v.sheet.Clocks {
		if !c.clock.Holds {
			add("How is the night of %s to be bridged? %s", c.Who, c.Text)
		}
	}
	var little, wide []string
	for i := range v.sheet.Report.Findings {
		f := &v.sheet.Report.Findings[i]
		name, ok := nutrient(f)
		if !ok {
			name = strings.TrimSuffix(f.Rule.Title, ".")
		}
		if f.Animal != nil {
			name += ", for " + f.Who()
		}
		switch {
		case f.Verdict == balance.Open && f.Hazard != nil:
			add("%s: %s. %s", f.Hazard.Name, strings.Join(f.Foods(), "; "), f.Hazard.Do)
		case f.Verdict == balance.Open && f.Reason == balance.LittleKnown:
			if !slices.Contains(little, name) {
				little = append(little, name)
			}
		case f.Verdict == balance.Open:
			add("%s: %s.", name, f.Reason.Words())
		case f.Verdict != balance.NotApplicable && f.Whole == balance.Open:
			if !slices.Contains(wide, name) {
				wide = append(wide, name)
			}
		}
	}
	if len(little) > 0 {
		add("Known for too little of the food to say: %s.", strings.Join(little, ", "))
	}
	if len(wide) > 0 {
		add("Decided at typical figures, open over the whole range of published ones: %s.", strings.Join(wide, "; "))
	}
}

// sourced is where a row's limits come from, in few words: the sources by name,
// then what is not simply published there, and the animals they speak of.
func sourced(refs []cite.Ref, reg *cite.Registry) string {
	var names, how []string
	add := func(list *[]string, s string) {
		if s != "" && !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	for _, r := range refs {
		for _, k := range r.Sources {
			name := k
			if s, ok := reg.Source(k); ok {
				name = s.Name()
			}
			add(&names, name)
		}
		switch r.Evidence {
		case cite.Practice:
			add(&names, "common practice")
		case cite.Choice:
			add(&names, "our choice")
		case cite.Derived:
			add(&how, "derived")
		}
		add(&how, r.Borrowed)
	}
	out := strings.Join(names, ", ")
	if len(how) > 0 {
		out += " (" + strings.Join(how, ", ") + ")"
	}
	return out
}

func (v *vetNote) paper() *paper {
	s := v.sheet
	p := s.paper("vet", "Note for the vet: "+s.title())
	p.Lead = []string{"Written by the keeper's program on figures of " + day(v.AsOf) + ". " + s.heldTo()}
	if s.Plan == nil || len(v.First) > 0 {
		p.put(part{Title: "First", Quiet: true, Blocks: []block{listed(s.firstItems())}})
	}
	p.put(v.animalPart())
	if s.Plan != nil {
		p.put(v.fedPart(), v.sharePart(), v.nutrientPart())
	}
	open := part{Title: "Open questions, and room for answers", Half: true}
	if len(v.Open) > 0 {
		open.put(listed(unmarked(v.Open)))
	}
	open.put(block{Fill: []string{"Agreed", "To be changed", "Weigh and see again on"}})
	p.put(open)
	p.put(part{Title: "Estimates and cautions", Half: true, Blocks: []block{listed(unmarked(slices.Concat(v.Estimates, v.Cautions)))}})
	return p
}

func (v *vetNote) animalPart() part {
	t := &table{Caption: "Animals, needs and what is planned (a day; kcal are estimates)",
		Cols: []string{"Animal", "What it is", "Planned", "Band", "Resting", "Longest gap", "Weighed"}}
	for _, a := range v.Animals {
		about := []string{a.About}
		planned := orDash(strings.Join(slices.DeleteFunc([]string{a.Grams, a.Energy}, func(s string) bool { return s == "" }), ", "))
		if len(a.Never) > 0 {
			about = append(about, "never gets "+strings.Join(a.Never, ", "))
		}
		t.add(one(a.Name), one(strings.Join(about, "; ")), kept(planned), kept(a.Band), kept(a.Resting), kept(a.Gap), blank("g"))
	}
	p := part{Title: "Animals", Quiet: true, Blocks: []block{tabled(t)}}
	for _, c := range v.sheet.Clocks {
		if len(c.ids) > 1 {
			p.put(text(c.Who + " eat together; what each of them gets is divided by need."))
		}
	}
	return p
}

func (v *vetNote) fedPart() part {
	p := part{Title: "Food", Half: true, Quiet: true}
	if len(v.Fed) == 0 {
		p.put(text("Nothing is planned to be fed."))
		return p
	}
	t := &table{Caption: fmt.Sprintf("Planned for all animals together over %s: %s", days(v.Days), v.Total), Cols: []string{"Food", "In all", "A day", "Share"}}
	for _, f := range v.Fed {
		t.add(one(f.Food), kept(f.Amount), kept(f.PerDay), kept(f.Share))
	}
	p.put(tabled(t))
	return p
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func (v *vetNote) sharePart() part {
	p := part{Title: "Parts and bone", Half: true, Quiet: len(v.Shares) > 0}
	t := &table{Caption: "Shares of the parts (targets are common practice)", Cols: []string{"Part", "Planned, and range", "Target", "Verdict"}}
	for _, h := range v.Shares {
		figure := orDash(h.Typical)
		if h.Typical != "" {
			figure = span(h.Low, h.Typical, h.High) + " %"
		}
		t.add(one(h.Slot), one(figure), one(strings.TrimSuffix(h.Target, " of the five slots")), one(h.Verdict))
	}
	if len(v.Shares) > 0 {
		p.put(tabled(t))
	}
	p.put(listed(unmarked(v.Bone)))
	return p
}

func (v *vetNote) nutrientPart() part {
	t := &table{Caption: "Nutrients as planned, for each 1000 kcal or (DM) in dry matter; for how much of the food they are known; limits of other animals",
		Cols: []string{"Nutrient", "Planned", "Range", "Known", "Wanted", "Verdict", "Limit from"}}
	for _, n := range v.Nutrients {
		name := n.Name
		if n.Basis == inDryMatter {
			name += " (DM)"
		}
		t.add(one(name), kept(orDash(n.Figure)), kept(orDash(n.Range)), kept(n.Known), kept(strings.Join(n.Wanted, "; ")), kept(n.Verdict), one(n.Evidence))
	}
	p := part{Title: "Nutrients", Quiet: true}
	if len(t.Groups) == 0 {
		p.put(text("Nothing can be said of nutrients."))
		return p
	}
	p.put(tabled(t))
	return p
}
