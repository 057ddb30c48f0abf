package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/balance"
	"fitchet.example/balance/eaten"
	"fitchet.example/balance/shares"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/evidence"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/examples/internal/page"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// book is everything the log says, once, for text and JSON alike.
type book struct {
	Schema    string     `json:"schema"` // "fitchet.logbook/1"
	Household string     `json:"household"`
	AsOf      string     `json:"as_of"`
	From      units.Date `json:"from"`
	To        units.Date `json:"to"`
	Days      int        `json:"days"`
	Unwritten []string   `json:"not_written_down_in_full"`
	Target    target     `json:"target"`

	Faults  []string          `json:"faults_of_the_log"`
	First   []first           `json:"first"`
	Animals []animal          `json:"animals"`
	Shares  []share           `json:"shares"`
	Bone    []string          `json:"bone"`
	Audit   []verdict         `json:"audit"`
	Bowls   []bowl            `json:"bowls"`
	Change  []change          `json:"what_to_change"`
	Weights []weight          `json:"weights"`
	Stools  []stool           `json:"stools"`
	Short   []short           `json:"next_week"`
	Extra   map[string]string `json:"extra"` // grams by slot that next week's plan makes up for

	Notes    []string          `json:"notes"`
	Cautions []string          `json:"cautions"`
	Evidence []evidence.Note   `json:"evidence_notes"`
	Sources  []evidence.Source `json:"sources"`

	bad bool
}

type target struct {
	ID        string `json:"id"`
	Title     string `json:"title"`
	BoneMeans string `json:"bone_means"`
}

// first is what comes before everything else.
type first struct {
	Level  string `json:"level"` // vet now, stop, vet, mend
	Animal string `json:"animal,omitempty"`
	Text   string `json:"text"`
	Basis  string `json:"basis,omitempty"`
}

// spread is a figure with its range over all that may have been eaten.
type spread struct {
	Low     string `json:"low"`
	Typical string `json:"typical"`
	High    string `json:"high"`
	Unit    string `json:"unit"`
}

func (s spread) String() string {
	if s.Low == s.High {
		return s.Typical + " " + s.Unit
	}
	return fmt.Sprintf("%s %s (%s to %s)", s.Typical, s.Unit, s.Low, s.High)
}

type animal struct {
	Animal  string      `json:"animal"`
	Name    string      `json:"name"`
	About   string      `json:"about"`
	Ate     spread      `json:"ate_a_day"`
	AteText string      `json:"ate_a_day_in_words"`
	Energy  *spread     `json:"energy_a_day_about,omitempty"`
	Band    string      `json:"planning_band"`
	Resting string      `json:"resting_need"`
	Foods   []foodEaten `json:"foods"`
	Got     []got       `json:"did_it_get"`
	Shares  []share     `json:"shares"`
	Rules   []verdict   `json:"rules"`
	Drank   string      `json:"drank_a_day,omitempty"`
	Waits   string      `json:"longest_wait,omitempty"`
}

type foodEaten struct {
	Food     string `json:"food"`
	Offered  string `json:"offered"`
	Eaten    spread `json:"eaten"`
	BoneLeft string `json:"bare_bone_left,omitempty"`
	Guessed  string `json:"not_weighed,omitempty"`
}

type got struct {
	What   string `json:"what"`
	Answer string `json:"answer"` // yes, no or open
	Why    string `json:"why"`
}

type share struct {
	Slot    string  `json:"slot"`
	Eaten   *spread `json:"eaten"` // null: cannot be said
	Target  string  `json:"target"`
	Verdict string  `json:"verdict"`
	Over    string  `json:"verdict_over_all_that_may_have_been_eaten"`
	Why     string  `json:"open_because,omitempty"`

	slot shares.Slot
}

type verdict struct {
	Rule     string `json:"rule"`
	Severity string `json:"gravity"`
	Title    string `json:"title"`
	Verdict  string `json:"verdict"`
	Over     string `json:"verdict_over_all_that_may_have_been_eaten"`
	Figure   string `json:"measured,omitempty"`
	Range    string `json:"range,omitempty"`
	Wanted   string `json:"wanted,omitempty"`
	Why      string `json:"open_because,omitempty"`
	Means    string `json:"means"`
	Basis    string `json:"basis"`
}

type bowl struct {
	Who     string `json:"who"`
	Bowls   int    `json:"bowls_weighed"`
	Emptied int    `json:"emptied"`
	Refused int    `json:"latest_untouched"`
	Offered string `json:"offered"`
	Left    string `json:"left"`
	Text    string `json:"text"`
	Basis   string `json:"basis"`
}

type change struct {
	Name  string `json:"name"`
	Known bool   `json:"known"`
	Next  string `json:"plan_by,omitempty"`
	Text  string `json:"text"`
}

type weight struct {
	Name   string   `json:"name"`
	Latest string   `json:"latest,omitempty"`
	On     string   `json:"on,omitempty"`
	Mean   string   `json:"own_mean_of_the_year,omitempty"`
	Season string   `json:"own_mean_of_the_season,omitempty"`
	OfMean string   `json:"of_own_mean,omitempty"`
	Alerts []first  `json:"alerts"`
	Notes  []string `json:"notes"`
}

type stool struct {
	Name   string `json:"name"`
	At     string `json:"at"`
	Word   string `json:"word"`
	Looks  string `json:"looks"`
	Taken  string `json:"taken_for"`
	Do     string `json:"do"`
	Urgent string `json:"urgency"`
	Basis  string `json:"basis"`
}

type short struct {
	Slot  string  `json:"slot"`
	Known bool    `json:"known"`
	Short *spread `json:"short_of_its_least_share,omitempty"`
	Over  *spread `json:"over_its_most,omitempty"`
	Carry string  `json:"plan_more,omitempty"`
	Text  string  `json:"text"`
}

func (b *book) code() int {
	if b.bad || len(b.Faults) > 0 {
		return cli.Mend
	}
	return cli.Well
}

// maker builds the sheets.
type maker struct {
	*kit.Kit
	h      *ration.Household
	l      *log.Log
	lim    log.WeightLimits
	days   int
	faults []string
	notes  *evidence.Notes
	from   units.Date
	to     units.Date
}

func newMaker(k *kit.Kit, h *ration.Household, l *log.Log, lim log.WeightLimits, days int) *maker {
	to := l.AsOf.Date
	return &maker{Kit: k, h: h, l: l, lim: lim, days: days, notes: evidence.New(k.Book.Registry()), from: to.AddDays(1 - days), to: to}
}

// lines are the faults one by one.
func lines(err error) []string { return strings.Split(err.Error(), "\n") }

func (m *maker) book() (*book, error) {
	screen, err := m.HazardCheck(m.h, m.to)
	if err != nil {
		return nil, err
	}
	e, err := eaten.Audit(eaten.Input{Log: m.l, Household: m.h, Days: m.days, Book: m.Book, HazardCheck: screen, Foods: m.Foods})
	if err != nil {
		return nil, err
	}
	b := &book{Schema: "fitchet.logbook/1", Household: m.h.Name, AsOf: m.l.AsOf.String(), From: e.From, To: e.To, Days: e.Days,
		Unwritten: []string{}, Target: target{e.Target.ID, e.Target.Title, e.Target.BoneMeans.Words()},
		Faults: append([]string{}, m.faults...), First: []first{}, Animals: []animal{}, Shares: []share{}, Bone: []string{}, Audit: []verdict{},
		Bowls: []bowl{}, Change: []change{}, Weights: []weight{}, Stools: []stool{}, Short: []short{}, Extra: map[string]string{}, Notes: []string{}, Cautions: []string{}}
	for _, d := range e.Unwritten {
		b.Unwritten = append(b.Unwritten, d.String())
	}
	m.weights(b)
	m.first(b, e)
	for i := range m.h.Animals {
		b.Animals = append(b.Animals, m.animal(&m.h.Animals[i], &e.Each[i]))
	}
	b.Shares = m.shares(&e.All)
	b.Bone = m.bone(&e.All)
	b.Audit = m.verdicts(&e.All, func(f *eaten.Finding) bool { return !f.Rule.Check.Takes("slot") })
	m.bowls(b)
	for i := range e.Each {
		s := e.Each[i].Adjusted
		c := change{Name: m.names(m.h.Animals[i].ID), Known: s.Known, Text: s.Text}
		if s.Known {
			c.Next = "about " + s.Next.String() + " a day"
			c.Text += " (" + m.notes.Words(s.Ref) + ")"
		}
		b.Change = append(b.Change, c)
	}
	m.stools(b)
	m.short(b, e)
	m.gaps(b)
	if r := e.All.Report; r != nil {
		for _, c := range r.Cautions() {
			m.caution(&b.Cautions, c)
		}
	} else {
		for _, c := range m.Care.Cautions(kit.Situation(m.h, m.needs())) {
			m.caution(&b.Cautions, c)
		}
	}
	b.Evidence, b.Sources = m.notes.List(), m.notes.Sources()
	return b, nil
}

func (m *maker) caution(into *[]string, c safety.Caution) {
	for _, r := range c.Evidence {
		m.notes.Cite(r)
	}
	*into = append(*into, c.Text)
}

// ateStop is a food that must not be fed and that an animal may have eaten.
type ateStop struct {
	text   string
	hazard safety.Hazard
}

// ateStops are the foods of the log before a day that must not be fed, whatever the
// days looked at, each with the last bowl of it.
func (m *maker) ateStops(a *ration.Animal, before units.Date) (out []ateStop) {
	last := map[*prey.Food]log.Moment{}
	var foods []*prey.Food
	for _, e := range m.l.Entries {
		if e.Meal.Date >= before || m.l.Ate(e, a.ID).High == 0 {
			continue
		}
		if at, ok := last[e.Food]; !ok || at.Compare(e.Meal) < 0 {
			last[e.Food] = e.Meal
		}
		if !slices.Contains(foods, e.Food) {
			foods = append(foods, e.Food)
		}
	}
	slices.SortFunc(foods, func(x, y *prey.Food) int {
		return cmp.Or(last[y].Compare(last[x]), cmp.Compare(x.ID, y.ID))
	})
	for _, f := range foods {
		for _, h := range m.Care.Hazards(safety.ItemOf(f), safety.Context{Region: m.h.Region, Notices: m.Notices, On: last[f].Date}) {
			if h.Severity == safety.Stop && h.Standing == safety.Holds {
				out = append(out, ateStop{fmt.Sprintf("%s stood in its bowl, last at %s, and may have been eaten. %s: %s %s", f.Name, last[f], h.Name, h.Sentence, h.Do), h})
			}
		}
	}
	return out
}

// needs are those of the last day of the log.
func (m *maker) needs() []ration.Need {
	out := make([]ration.Need, len(m.h.Animals))
	for i := range out {
		out[i] = ration.Needs(&m.h.Animals[i], m.to)
	}
	return out
}

func (m *maker) names(ids ...string) string { return kit.Names(m.h, ids) }

// first gathers what a vet must see and what must stop, before all else.
func (m *maker) first(b *book, e *eaten.Report) {
	add := func(level, who, text string, refs ...cite.Ref) {
		b.First = append(b.First, first{level, who, text, m.notes.Words(refs...)})
		b.bad = true
	}
	if text := kit.Unread(m.l); text != "" {
		add("stop", "", text)
	}
	for i := range m.h.Animals {
		a := &m.h.Animals[i]
		for _, al := range m.l.Alarms(a, m.lim) {
			add("vet now", m.names(a.ID), upper(al.Text), al.Ref)
		}
	}
	for i := range e.All.Findings {
		f := &e.All.Findings[i]
		if f.Hazard != nil && f.Severity == balance.Stop && f.Verdict == balance.Missed {
			add("stop", "", fmt.Sprintf("%s was eaten. %s: %s %s", page.And(f.Foods()), f.Hazard.Name, f.Hazard.Sentence, f.Hazard.Do), f.Evidence()...)
		}
	}
	for i := range m.h.Animals {
		a := &m.h.Animals[i]
		for _, s := range m.ateStops(a, m.from) {
			add("stop", m.names(a.ID), s.text, s.hazard.Evidence...)
		}
		if w := m.wait(a); w.over > 0 && w.frail {
			add("vet", m.names(a.ID), fmt.Sprintf("Waited %s from one set-out to the next (%s to %s); it should wait no longer than %s: %s. That happened %s in these days. Food that still lay there is not counted; plan with the vet.",
				safety.PeriodText(w.longest), w.from, w.until, safety.PeriodText(w.gap.Longest), w.gap.Why, times(w.over)), w.gap.Ref)
		}
		for _, f := range e.Each[i].Findings {
			if f.Rule.Check.Form() == balance.FormEnergy && f.Rule.Check.WorstDay() && f.Verdict == balance.Missed {
				add("vet", m.names(a.ID), fmt.Sprintf("Ate %s, below its resting need (%s). If nothing is missing in the log, see a vet.", f.MeasuredText(), f.LimitText()), f.Evidence()...)
			}
		}
	}
	for _, n := range m.needs() {
		if len(n.VetFirst) > 0 {
			b.First = append(b.First, first{"vet", m.names(n.Animal.ID), "Change its food only with the vet (" + page.And(n.VetFirst) + ").", ""})
		}
	}
	for i := range m.h.Animals {
		a := &m.h.Animals[i]
		if w, ago := m.wait(a), m.sureMeal(a.ID); w.frail && ago > w.gap.Longest && !slices.ContainsFunc(b.First, func(f first) bool { return f.Level == "vet now" && f.Animal == m.names(a.ID) }) {
			add("mend", m.names(a.ID), fmt.Sprintf("Nobody knows whether it ate in the last %s, and it should wait no longer than %s: %s. Feed it apart or watch it, and weigh what is left.",
				safety.PeriodText(ago), safety.PeriodText(w.gap.Longest), w.gap.Why), w.gap.Ref)
		}
	}
	for i := range e.All.Findings {
		f := &e.All.Findings[i]
		if f.Severity != balance.Mend || f.Verdict != balance.Missed {
			continue
		}
		if f.Hazard != nil {
			add("mend", "", fmt.Sprintf("%s was eaten. %s: %s %s", page.And(f.Foods()), f.Hazard.Name, f.Hazard.Sentence, f.Hazard.Do), f.Evidence()...)
			continue
		}
		text := fmt.Sprintf("%s It was %s; wanted: %s.", f.Rule.Title, f.MeasuredText(), f.LimitText())
		if f.Over == balance.Open {
			text += " Over all that may have been eaten that is open."
		}
		add("mend", "", text, f.Evidence()...)
	}
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// wait is the longest time from one set-out to the next, of bowls that the
// animal may have eaten from, on days that are written down in full.
type wait struct {
	longest     time.Duration
	from, until log.Moment
	over        int // how often longer than the animal's own gap
	gap         ration.Gap
	frail       bool // long waits are unsafe for it
}

func (m *maker) wait(a *ration.Animal) wait {
	n := ration.Needs(a, m.to)
	w := wait{gap: n.Gap, frail: len(n.VetFirst) > 0 || a.LongestGap > 0}
	full := func(d units.Date) bool { _, ok := slices.BinarySearch(m.l.Complete, d); return ok }
	var at []log.Moment
	for _, e := range m.l.Entries {
		if e.Meal.Date >= m.from && e.Meal.Date <= m.to && m.l.Ate(e, a.ID).High > 0 {
			at = append(at, e.Meal)
		}
	}
	slices.SortFunc(at, log.Moment.Compare)
	at = slices.Compact(at)
	for i := 1; i < len(at); i++ {
		whole := true
		for d := at[i-1].Date; d <= at[i].Date; d = d.AddDays(1) {
			whole = whole && full(d)
		}
		if !whole {
			continue
		}
		between := time.Duration(at[i].Date.DaysSince(at[i-1].Date))*24*time.Hour + time.Duration(int(at[i].Time)-int(at[i-1].Time))*time.Minute
		if between > w.longest {
			w.longest, w.from, w.until = between, at[i-1], at[i]
		}
		if between > w.gap.Longest {
			w.over++
		}
	}
	return w
}

// sureMeal is how long ago food was put down of which the animal ate for certain;
// without any, since the first bowl that it could reach.
func (m *maker) sureMeal(id string) time.Duration {
	var first, sure []time.Duration
	for _, e := range m.l.Entries {
		if !slices.Contains(e.For, id) {
			continue
		}
		ago := time.Duration(m.l.AsOf.Date.DaysSince(e.Meal.Date))*24*time.Hour + time.Duration(int(m.l.AsOf.Time)-int(e.Meal.Time))*time.Minute
		first = append(first, ago)
		if m.l.Ate(e, id).Low > 0 {
			sure = append(sure, ago)
		}
	}
	switch {
	case len(sure) > 0:
		return slices.Min(sure)
	case len(first) > 0:
		return slices.Max(first)
	}
	return 0
}

func grams(r units.Range[units.Mass], places int32) spread {
	cut := func(x units.Mass) string { return strings.TrimSuffix(x.InGrams(places), " g") }
	return spread{cut(r.Low), cut(r.Typical), cut(r.High), "g"}
}

// aDay divides a mass over days, for display.
func aDay(m units.Mass, days int) units.Mass { return m / units.Mass(max(days, 1)) }

func (m *maker) animal(a *ration.Animal, by *eaten.Eater) animal {
	n := ration.Needs(a, m.to)
	days := m.written(a.ID)
	per := units.Range[units.Mass]{Low: aDay(by.Mass.Low, days), Typical: aDay(by.Mass.Typical, days), High: aDay(by.Mass.High, days)}
	out := animal{Animal: a.ID, Name: m.names(a.ID), About: kit.Describe(a, n), Ate: grams(per, 0), AteText: inWords(per),
		Resting: "about " + n.Floor.String() + " a day", Band: "no published figure", Foods: []foodEaten{}, Got: []got{}, Shares: []share{}, Rules: []verdict{}}
	if n.HasBand {
		out.Band = fmt.Sprintf("about %s to %s a day (%s)", kcal(n.Band.Low), kcal(n.Band.High), m.notes.Words(n.BandRef))
	}
	for i := range by.Findings {
		f := &by.Findings[i]
		if f.Rule.Check.Form() != balance.FormEnergy || f.Rule.Check.WorstDay() || f.Verdict == balance.NotApplicable {
			continue
		}
		if r, ok := f.Range(); ok {
			out.Energy = &spread{r.Low.Round(0).String(), r.Typical.Round(0).String(), r.High.Round(0).String(), "kcal"}
		}
	}
	for _, in := range m.l.Intake(a.ID, m.from, m.to) {
		f := foodEaten{Food: in.Food.Name, Offered: page.Both(in.Offered), Eaten: grams(in.Eaten, 0)}
		if in.BoneLeft.High > 0 {
			f.BoneLeft = page.Span(in.BoneLeft)
		}
		if in.Guessed > 0 {
			f.Guessed = page.Both(in.Guessed)
		}
		out.Foods = append(out.Foods, f)
	}
	for _, q := range questions() {
		answer, why := m.l.Got(a.ID, m.from, m.to, q.is)
		out.Got = append(out.Got, got{q.what, answer.String(), why})
	}
	out.Shares = m.shares(by)
	out.Rules = m.verdicts(by, func(f *eaten.Finding) bool {
		return f.Rule.Check.Each() && !f.Rule.Check.OfHousehold()
	})
	out.Drank = m.drank(a.ID)
	if w := m.wait(a); w.longest > 0 {
		out.Waits = fmt.Sprintf("%s from one set-out to the next, on %s", safety.PeriodText(w.longest), w.from.Date)
	}
	return out
}

// inWords is what was eaten a day.
func inWords(r units.Range[units.Mass]) string {
	if r.Low == r.High {
		return page.Both(r.Typical) + " a day"
	}
	return fmt.Sprintf("typically %s a day, from %s", page.Both(r.Typical), page.Span(r))
}

// kcal rounds tenths of a kcal half up.
func kcal(t ration.Tenths) string { return fmt.Sprintf("%d kcal", (t+5)/10) }

// written is the number of days among those looked at of which something is
// written for the animal, or which are written down in full.
func (m *maker) written(id string) int {
	silent := m.l.Silent(id)
	n := 0
	for d := m.from; d <= m.to; d = d.AddDays(1) {
		if d >= m.l.From && !slices.Contains(silent, d) {
			n++
		}
	}
	return n
}

// drank is how much water went a day, on days on which it is written down.
func (m *maker) drank(id string) string {
	r := m.l.Drunk(id, m.from, m.to)
	days := map[units.Date]bool{}
	for _, d := range m.l.Water {
		if d.When.Date >= m.from && d.When.Date <= m.to && slices.Contains(d.For, id) {
			days[d.When.Date] = true
		}
	}
	n := units.Volume(len(days))
	switch {
	case n == 0:
		return ""
	case r.Low == r.High:
		return fmt.Sprintf("%s a day", (r.High / n).InMillilitres(0))
	}
	return fmt.Sprintf("at least %s and at most %s a day: a shared bowl, or one that nobody measured", (r.Low / n).InMillilitres(0), (r.High / n).InMillilitres(0))
}

// question asks whether an animal got something.
type question struct {
	what string
	is   func(*prey.Food) bool
}

func questions() []question {
	has := func(p prey.Part) func(*prey.Food) bool { return func(f *prey.Food) bool { return f.HasPart(p) } }
	return []question{
		{"liver", has(prey.Liver)},
		{"other secreting organ", has(prey.Organ)},
		{"heart", has(prey.Heart)},
		{"bone", func(f *prey.Food) bool { return f.BoneIn || f.HasPart(prey.Bone) }},
	}
}

// shares are the slots eaten against the target.
func (m *maker) shares(by *eaten.Eater) []share {
	out := []share{}
	for i := range by.Findings {
		f := &by.Findings[i]
		if !f.Rule.Check.Takes("slot") || f.Verdict == balance.NotApplicable {
			continue
		}
		s := share{slot: f.Rule.Slot, Slot: slotName(f.Rule.Slot), Target: strings.TrimSuffix(f.LimitText(), " of the five slots"), Verdict: f.Verdict.String(), Over: f.Over.String(), Why: f.Why}
		if r, ok := f.Range(); ok {
			s.Eaten = &spread{r.Low.StringFixed(1), r.Typical.StringFixed(1), r.High.StringFixed(1), "%"}
		}
		out = append(out, s)
	}
	slices.SortStableFunc(out, func(a, b share) int { return cmp.Compare(a.slot, b.slot) })
	return out
}

func slotName(s shares.Slot) string {
	if s == shares.OrganSlot {
		return prey.Organ.String()
	}
	return s.String()
}

// bone is the bone eaten in both meanings.
func (m *maker) bone(by *eaten.Eater) []string {
	out := []string{}
	for _, means := range []shares.BoneMeans{shares.EdibleBone, shares.BoneInMeat} {
		text := "cannot be said"
		if s, ok := by.Share(shares.BoneSlot, means); ok {
			text = spread{s.Low.StringFixed(1), s.Typical.StringFixed(1), s.High.StringFixed(1), "%"}.String()
		}
		out = append(out, means.Words()+": "+text)
	}
	if by.Report != nil {
		b := by.Report.Bone()
		for _, v := range []struct {
			name, unit string
			m          balance.Measure
		}{{"calcium to phosphorus", "to 1", b.CaP}, {"calcium per 1000 kcal", "g", b.PerKcal}} {
			text := "not known for enough of the food"
			if v.m.Known {
				text = spread{v.m.Low.StringFixed(2), v.m.Typical.StringFixed(2), v.m.High.StringFixed(2), v.unit}.String()
			}
			out = append(out, v.name+", of what was typically eaten: "+text)
		}
	}
	return out
}

// verdicts are the findings that are kept, as they stand.
func (m *maker) verdicts(by *eaten.Eater, keep func(*eaten.Finding) bool) []verdict {
	out := []verdict{}
	for i := range by.Findings {
		f := &by.Findings[i]
		if f.Verdict == balance.NotApplicable && f.Over != balance.Open || !keep(f) {
			continue
		}
		v := verdict{Rule: f.Rule.ID, Severity: f.Severity.String(), Title: f.Rule.Title, Verdict: f.Verdict.String(), Over: f.Over.String(),
			Figure: f.MeasuredText(), Range: f.RangeText(), Wanted: f.LimitText(), Why: f.Why, Means: f.Rule.Means, Basis: m.notes.Words(f.Evidence()...)}
		if f.Hazard != nil {
			v.Title, v.Figure, v.Means = f.Hazard.Name+": "+page.And(f.Foods())+".", "", f.Hazard.Sentence+" "+f.Hazard.Do
		}
		if f.Hazard != nil && f.Severity == balance.Watch && f.Verdict == balance.Missed {
			v.Verdict = "care" // it may be fed; nothing is wrong with the food
		}
		out = append(out, v)
	}
	return out
}

func (m *maker) bowls(b *book) {
	for _, s := range m.l.Signals(m.h, m.from, m.to) {
		b.Bowls = append(b.Bowls, bowl{m.names(s.For...), s.Bowls, s.Emptied, s.Refused, page.Both(s.Offered), page.Both(s.Left), s.Text, m.notes.Words(s.Ref)})
	}
}

func (m *maker) weights(b *book) {
	for i := range m.h.Animals {
		a := &m.h.Animals[i]
		r := log.Weigh(m.l.Weights, a, m.to, m.lim)
		w := weight{Name: m.names(a.ID), Alerts: []first{}, Notes: append([]string{}, r.Notes...)}
		if r.Known {
			w.Latest, w.On = page.Both(r.Latest.Mass), r.Latest.When.Date.String()
			switch a.StageOn(m.to) {
			case ration.Kit, ration.Juvenile:
				w.Notes = append(w.Notes, "Growing: it is not held to a mean, and should not lose weight.")
			default:
				w.Mean, w.OfMean = page.Both(r.Mean), r.OfMean.InPercent(0)
				if r.Season > 0 {
					w.Season = page.Both(r.Season)
				}
			}
		}
		for _, al := range r.Alerts {
			level := "watch"
			if al.Vet {
				level = "vet"
			}
			w.Alerts = append(w.Alerts, first{level, m.names(a.ID), al.Text, m.notes.Words(al.Ref)})
		}
		b.Weights = append(b.Weights, w)
	}
}

func (m *maker) stools(b *book) {
	notes := slices.DeleteFunc(slices.Clone(m.l.Stools), func(s log.StoolNote) bool { return s.When.Date < m.from || s.When.Date > m.to })
	slices.SortStableFunc(notes, func(x, y log.StoolNote) int {
		return cmp.Or(x.When.Compare(y.When), cmp.Compare(x.Animal, y.Animal))
	})
	for _, s := range notes {
		a, ok := m.h.Animal(s.Animal)
		if !ok {
			continue
		}
		d := m.l.Stool(s, a)
		b.Stools = append(b.Stools, stool{m.names(s.Animal), s.When.String(), d.Word, d.Looks, d.Likely, d.Do, d.Urgency.String(), m.notes.Words(d.Ref)})
	}
}

func (m *maker) short(b *book, e *eaten.Report) {
	for _, s := range e.Short {
		o := short{Slot: slotName(s.Slot), Known: s.Known}
		switch {
		case !s.Known:
			o.Text = "Cannot be said: the parts of too much of the food are not known."
		case s.Short.High > 0:
			o.Short = ref(grams(s.Short, 0))
			o.Text = "Nothing lacked at what was typically eaten; at worst " + page.Both(s.Short.High) + "."
			if s.Short.Typical > 0 {
				o.Text = fmt.Sprintf("Short by %s (from %s).", page.Both(s.Short.Typical), page.Span(s.Short))
			}
			if s.Carry > 0 {
				o.Carry = page.Both(s.Carry)
				o.Text += " Plan " + o.Carry + " more of it than its least share."
				b.Extra[s.Slot.String()] = s.Carry.InGrams(0)
			}
			if s.Cut {
				o.Text += " That is all that fits into one week; the rest is let go."
			}
		case s.Over.Typical > 0:
			o.Text = fmt.Sprintf("Over its most by %s: plan no more than usual. Nothing is taken off.", page.Both(s.Over.Typical))
		default:
			o.Text = "Enough."
		}
		if s.Known && s.Over.High > 0 {
			o.Over = ref(grams(s.Over, 0))
		}
		b.Short = append(b.Short, o)
	}
}

func ref[T any](v T) *T { return &v }

// gaps are days of which nothing is written, with their place in the log.
func (m *maker) gaps(b *book) {
	for _, s := range m.l.Silences(m.h.IDs()) {
		days := "on " + s.From.String()
		if s.From != s.To {
			days = fmt.Sprintf("from %s to %s", s.From, s.To)
		}
		at := ""
		if s.After.Line > 0 {
			at = fmt.Sprintf(" (after %s)", s.After)
		}
		outside := ""
		if s.To < m.from || s.From > m.to {
			outside = " That is not among the days looked at here."
		}
		b.Notes = append(b.Notes, fmt.Sprintf("Nothing is written down %s for %s%s. Not written down is not taken for not fed.%s", days, m.names(s.Animals...), at, outside))
	}
}
