package main

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	layout "fitchet.example/examples/internal/page"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// mostNext is how many of the next best plans are told.
const mostNext = 9

// budgetUnit is how many steps one of -budget stands for.
const budgetUnit = 1_000_000

// nextOut is the next best plans, by what is bought for them.
type nextOut struct {
	Text   []string   `json:"text"`
	Asked  int        `json:"asked"`
	This   costedOut  `json:"this_plan"`
	HeldTo []string   `json:"held_to"` // ids of the rules that every one of them keeps
	Plans  []nextPlan `json:"plans"`
	After  []string   `json:"remarks"`
}

// costedOut is what the packs of a plan cost, and what is known of cheaper ones.
// Without a price there is none.
type costedOut struct {
	Outcome string `json:"outcome"`
	Cost    string `json:"cost,omitempty"`
	Bound   string `json:"bound,omitempty"` // no such plan costs less
}

type nextPlan struct {
	Outcome string       `json:"outcome"`
	Cost    string       `json:"cost"`
	Against string       `json:"against_this_plan"`
	More    []buyOut     `json:"more"`
	Fewer   []buyOut     `json:"fewer"`
	Buy     []buyOut     `json:"buy"`
	Plan    *ration.Plan `json:"plan"`
}

// costsOut is what each requirement adds to the cost of the packs.
type costsOut struct {
	Text         []string         `json:"text"`
	ComparedWith string           `json:"compared_with,omitempty"`
	Requirements []requirementOut `json:"requirements"`
	After        []string         `json:"remarks"`
}

type requirementOut struct {
	Rule     string `json:"rule,omitempty"`
	Severity string `json:"gravity,omitempty"`
	Words    string `json:"requirement"`
	Evidence string `json:"evidence,omitempty"`
	Without  string `json:"without,omitempty"`
	Saves    string `json:"saves,omitempty"` // at least that much, when it is not proved
	Proved   bool   `json:"proved"`

	dear bool // it adds something
	last bool // without it nothing is bought
}

// stylesOut is the ways to feed the household beside one another.
type stylesOut struct {
	Text   []string   `json:"text"`
	Styles []styleOut `json:"styles"` // the plan of the sheet first, if there is one
	After  []string   `json:"remarks"`
}

type styleOut struct {
	Style  string    `json:"style"`
	Target targetOut `json:"target"`
	costedOut
	Audit   *countOut    `json:"audit,omitempty"`
	Work    *workOut     `json:"work,omitempty"`
	Buy     []buyOut     `json:"buy"`
	Open    []openOut    `json:"left_open"`
	Lacking []lackOut    `json:"lacking"`
	Clash   []string     `json:"clash"`
	Helps   []string     `json:"would_help"`
	Notes   []string     `json:"notes"`
	Plan    *ration.Plan `json:"plan,omitempty"`
}

// countOut is the lines of an audit by verdict.
type countOut struct {
	Missed int `json:"missed"`
	Open   int `json:"open"`
	Met    int `json:"met"`
	Care   int `json:"care"`
}

// workOut is what a week takes in the kitchen, counted and not timed.
type workOut struct {
	Foods   int `json:"foods"`
	Cut     int `json:"cut_by_hand"` // of the foods
	Weighed int `json:"portions_weighed"`
	Counted int `json:"portions_counted"`
	Thawed  int `json:"batches_thawed"`
	Packs   int `json:"packs_to_buy"`
	Bowls   int `json:"bowls"`
	Crumbs  int `json:"portions_under_5_g"` // of those weighed
}

// openOut is a finding that is open, or one to watch that is missed.
type openOut struct {
	Rule     string `json:"rule"`
	Severity string `json:"gravity"`
	Verdict  string `json:"verdict"`
	Animal   string `json:"animal,omitempty"`
	Text     string `json:"text"`
	Why      string `json:"why,omitempty"`
}

const (
	freezerIsThere = "Cost is that of the packs to buy; what is in the freezer costs nothing more."
	nothingOnOffer = "Nothing is on offer, so no price is known and there is nothing to compare in price."
	nothingPlanned = "There is no plan, so there is nothing to compare it with; what is lacking stands at the top."
	planAbove      = "the plan above"
)

// compare answers what was asked beside the plan.
func (m *maker) compare(ctx context.Context, o options, q plan.Request, res *plan.Result) (err error) {
	if o.next > 0 {
		if m.s.Next, err = m.next(o.next, res); err != nil {
			return err
		}
	}
	if o.costs {
		_, list, err := plan.RequirementCosts(ctx, q)
		if err != nil {
			return err
		}
		m.s.Costs = m.requirements(list, res)
	}
	if o.styles {
		list, err := plan.CompareStyles(ctx, q)
		if err != nil {
			return err
		}
		if m.s.Styles, err = m.styles(list, res); err != nil {
			return err
		}
	}
	m.sources()
	return nil
}

// known is a price in words, "" for none.
func known(p units.Price) string {
	if p.IsZero() {
		return ""
	}
	return p.String()
}

func costed(res *plan.Result) costedOut {
	return costedOut{res.Outcome.String(), known(res.Cost), known(res.Bound)}
}

// priced reports whether anything is on offer.
func (m *maker) priced() bool { return len(m.h.Offers) > 0 }

// bought is packs as they stand on the shopping list.
func (m *maker) bought(list []plan.Purchase) ([]buyOut, error) {
	out := []buyOut{}
	for _, b := range list {
		o := m.h.Offers[b.Offer]
		cost, err := o.Price.Times(b.Packs)
		if err != nil {
			return nil, fmt.Errorf("%d packs of %s: %w", b.Packs, o.Food.Name, err)
		}
		out = append(out, buyOut{o.Food.Name, b.Packs, amount(o.Food, o.Pack, o.Pieces), o.Supplier, cost.String()})
	}
	return out, nil
}

// next tells the next best plans by what they buy more and fewer of than the
// plan.
func (m *maker) next(asked int, res *plan.Result) (*nextOut, error) {
	out := &nextOut{Asked: asked, This: costed(res), HeldTo: []string{}, Plans: []nextPlan{}, After: []string{}}
	switch {
	case res.Plan == nil:
		out.Text = []string{nothingPlanned}
		return out, nil
	case !m.priced():
		out.Text = []string{nothingOnOffer}
		return out, nil
	}
	out.HeldTo = append(out.HeldTo, res.Asked...)
	out.Text = []string{howSure(res), freezerIsThere}
	if len(res.Buy) == 0 {
		out.After = []string{"It buys nothing, so no other plan could leave out a pack: there is no next best."}
		return out, nil
	}
	for _, a := range res.Alternatives {
		more, fewer := differ(res.Buy, a.Buy)
		n := nextPlan{Outcome: a.Outcome.String(), Cost: a.Cost.String(), Against: against(a.Cost, res.Cost), Plan: a.Plan}
		for _, side := range []struct {
			to   *[]buyOut
			from []plan.Purchase
		}{{&n.More, more}, {&n.Fewer, fewer}, {&n.Buy, a.Buy}} {
			var err error
			if *side.to, err = m.bought(side.from); err != nil {
				return nil, err
			}
		}
		out.Plans = append(out.Plans, n)
	}
	switch n := len(out.Plans); {
	case n == 0:
		out.After = []string{"The search found no other plan that leaves out a pack."}
		return out, nil
	case n < asked:
		out.After = []string{"The search found no more."}
	}
	out.After = append(out.After, "Each keeps the same requirements and leaves out at least one pack of every better plan; one that only buys more is not told. 'Proved' means that no other plan which leaves out such packs costs less, 'not proved' that it is the cheapest that the search could find. With -format json each is written whole, in the form that -plan reads.")
	return out, nil
}

// howSure says what a plan costs and how sure it is that none is cheaper.
func howSure(res *plan.Result) string {
	says := "The plan above buys packs for " + res.Cost.String()
	switch {
	case res.Outcome == plan.Optimal:
		return says + ". That is computed and proved: no plan that keeps the same requirements costs less."
	case res.Bound.Amount().IsZero():
		return says + ": the cheapest that the search could find. That is not proved, and it is not known how much less one could cost."
	}
	return says + ": the cheapest that the search could find. That is not proved; it is proved that none which keeps the same requirements costs less than " + res.Bound.String() + "."
}

// differ is the packs that the second list has more and fewer of than the first.
func differ(first, second []plan.Purchase) (more, fewer []plan.Purchase) {
	packs := map[int]int64{}
	for _, b := range second {
		packs[b.Offer] += b.Packs
	}
	for _, b := range first {
		packs[b.Offer] -= b.Packs
	}
	for offer, n := range packs {
		if n > 0 {
			more = append(more, plan.Purchase{Offer: offer, Packs: n})
		} else if n < 0 {
			fewer = append(fewer, plan.Purchase{Offer: offer, Packs: -n})
		}
	}
	for _, list := range [][]plan.Purchase{more, fewer} {
		slices.SortFunc(list, func(a, b plan.Purchase) int { return cmp.Compare(a.Offer, b.Offer) })
	}
	return more, fewer
}

// against is a cost beside another, in words.
func against(cost, other units.Price) string {
	by := cost.Amount().Sub(other.Amount())
	word := "more"
	if by.IsNegative() {
		by, word = by.Neg(), "less"
	}
	p, err := units.NewPrice(by, cost.Currency())
	if err != nil || by.IsZero() {
		return "costs the same"
	}
	return p.String() + " " + word
}

// requirements are what each requirement costs, the dearest first.
func (m *maker) requirements(list []plan.RequirementCost, res *plan.Result) *costsOut {
	out := &costsOut{Requirements: []requirementOut{}, After: []string{}}
	if res.Plan == nil {
		out.Text = []string{nothingPlanned}
		return out
	}
	dear, unsure := 0, 0
	for _, c := range list {
		r := requirementOut{Words: c.Words, Without: known(c.Without), Saves: known(c.Saves), Proved: c.Proven,
			dear: !c.Saves.Amount().IsZero(), last: c.Without.Amount().IsZero()}
		if c.Rule != nil {
			r.Rule, r.Severity, r.Evidence = c.Rule.ID, c.Rule.Severity.String(), m.words(ruleEvidence(c.Rule, res.Report)...)
		}
		switch {
		case r.dear:
			dear++
		case !r.Proved:
			unsure++
		}
		out.Requirements = append(out.Requirements, r)
	}
	if !m.priced() {
		out.Text = []string{nothingOnOffer}
		return out
	}
	out.ComparedWith = known(res.Bound)
	beside := "beside the " + out.ComparedWith + " of the plan above"
	if res.Outcome != plan.Optimal {
		beside = "beside " + out.ComparedWith + ", below which no plan that keeps them all can cost"
	}
	out.Text = []string{fmt.Sprintf("What the cheapest packs would cost if one requirement were left out, its least and its most alike, and all others kept: %s. It is computed from packs and amounts alone; nothing was laid out over the days.", beside), freezerIsThere}
	rest := fmt.Sprintf("None of the %d requirements of the search adds anything, left out by itself", len(list))
	switch {
	case dear > 0 && len(list)-dear == 1:
		rest = "The one other requirement of the search adds nothing, left out by itself"
	case dear > 0:
		rest = fmt.Sprintf("The other %d requirements of the search add nothing, each left out by itself", len(list)-dear)
	}
	if unsure > 0 {
		rest += fmt.Sprintf("; for %d of them that is not proved", unsure)
	}
	if len(list) > dear {
		out.After = append(out.After, rest+".")
	}
	out.After = append(out.After, "Energy, what there is, and what makes a food wrong are kept in any case. This tells which wish is dear. It is no advice to drop one.")
	return out
}

// ruleEvidence is what a rule rests on where it was applied.
func ruleEvidence(r *balance.Rule, report *balance.Report) (refs []cite.Ref) {
	for _, f := range report.Find(r.ID) {
		for _, ref := range f.Evidence() {
			if f.Verdict != balance.NotApplicable && !slices.ContainsFunc(refs, func(o cite.Ref) bool { return o.String() == ref.String() }) {
				refs = append(refs, ref)
			}
		}
	}
	if len(refs) == 0 {
		refs = []cite.Ref{r.Ref}
	}
	return refs
}

// styles is every style beside the plan.
func (m *maker) styles(list []plan.StyleResult, res *plan.Result) (*stylesOut, error) {
	out := &stylesOut{Styles: []styleOut{}, After: []string{}}
	out.Text = []string{"The cheapest week that the search could find for these animals in each style, from the same freezer and the same offers. " + freezerIsThere}
	if !m.priced() {
		out.Text = []string{"A week for these animals in each style, from the same freezer. " + nothingOnOffer}
	}
	if res.Plan != nil {
		list = append([]plan.StyleResult{{Style: planAbove, Target: res.Target, Result: res,
			Work: plan.WorkOf(res.Plan, res.Household, res.Buy, m.care)}}, list...)
	}
	for _, sp := range list {
		st, err := m.style(sp)
		if err != nil {
			return nil, err
		}
		out.Styles = append(out.Styles, st)
	}
	above := []string{} // what the plan above leaves open
	for _, st := range out.Styles {
		titles := st.titles()
		if st.Style == planAbove {
			above = titles
		}
		switch {
		case st.Audit == nil:
			out.After = append(out.After, st.Style+": "+st.noPlan())
		case len(titles) == 0:
			out.After = append(out.After, st.Style+": nothing is left open that weighs stop or mend.")
		case st.Style != planAbove && slices.Equal(titles, above):
			out.After = append(out.After, st.Style+": left open, as in the plan above.")
		default:
			out.After = append(out.After, st.Style+": left open (weighs stop or mend): "+strings.Join(titles, " "))
		}
	}
	return out, nil
}

// style is one way to feed the household.
func (m *maker) style(sp plan.StyleResult) (st styleOut, err error) {
	res := sp.Result
	st = styleOut{Style: sp.Style, Target: target(sp.Target), costedOut: costed(res), Open: []openOut{}, Lacking: m.lacking(res.Lacking),
		Clash: orNone(res.Clash), Helps: each(res.Relaxations, func(r plan.Relaxation) string { return r.Text }), Notes: orNone(res.Notes)}
	if st.Buy, err = m.bought(res.Buy); err != nil || res.Plan == nil {
		return st, err
	}
	if sp.Style != planAbove {
		st.Plan = res.Plan
	}
	own := m.s.fresh()
	own.verdicts(res.Report)
	n := own.s.counts()
	st.Audit = &countOut{n["missed"], n["open"], n["met"], n["care"]}
	w := sp.Work
	st.Work = &workOut{w.Foods, w.Cut, w.Weigh, w.Count, w.Thaw, w.Packs, w.Meals, w.Crumbs}
	for i := range res.Report.Findings {
		f := &res.Report.Findings[i]
		if f.Verdict != balance.Open && f.Verdict != balance.Missed {
			continue
		}
		o := openOut{Rule: f.Rule.ID, Severity: f.Severity.String(), Verdict: f.Verdict.String(), Text: f.Rule.Title, Why: f.ReasonText()}
		if f.Animal != nil {
			o.Animal = f.Animal.ID
		}
		if f.Hazard != nil {
			o.Text = f.Hazard.Name + ": " + strings.Join(f.Foods(), "; ") + "."
		}
		st.Open = append(st.Open, o)
	}
	return st, nil
}

func orNone(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

// titles are what is open and weighs more than watch, each once.
func (st *styleOut) titles() (out []string) {
	for _, o := range st.Open {
		if o.Verdict == balance.Open.String() && o.Severity != balance.Watch.String() && !slices.Contains(out, o.Text) {
			out = append(out, o.Text)
		}
	}
	return out
}

// noPlan says in a line why there is no plan.
func (st *styleOut) noPlan() string {
	says := "no plan; that is proved. "
	if st.Outcome != plan.Infeasible.String() {
		says = "no plan was found; it is not proved that there is none. "
	}
	if len(st.Lacking) > 0 {
		return says + "It lacks about " + layout.And(each(st.Lacking, func(l lackOut) string { return l.Amount + " more of " + l.What })) + "."
	}
	if len(st.Clash) > 0 {
		says += "What stands against it: " + strings.Join(st.Clash, " ")
	}
	return strings.TrimSpace(says)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// packs is "2 packs of rabbit meat: each 500 g (17.6 oz), together 11.00 EUR, Hollin Farm".
func (b buyOut) packs() string {
	says := fmt.Sprintf("1 pack of %s: %s, %s", b.Food, b.Pack, b.Cost)
	if b.Packs > 1 {
		says = fmt.Sprintf("%d packs of %s: each %s, together %s", b.Packs, b.Food, b.Pack, b.Cost)
	}
	if b.From != "" {
		says += ", " + b.From
	}
	return says
}

// compareParts are the parts that were asked for beside the plan.
func (s *sheet) compareParts() (out []part) {
	if s.Next != nil {
		out = append(out, s.nextPart())
	}
	if s.Costs != nil {
		out = append(out, s.costPart())
	}
	if s.Styles != nil {
		out = append(out, s.stylePart())
	}
	return out
}

func (s *sheet) nextPart() part {
	n := s.Next
	p := part{Title: "Next best plans"}
	p.put(text(strings.Join(n.Text, " ")))
	var items []item
	for _, a := range n.Plans {
		says := a.Against + ". "
		if len(a.More) > 0 {
			says += "More: " + strings.Join(each(a.More, buyOut.packs), "; ") + ". "
		}
		if len(a.Fewer) > 0 {
			says += "Fewer: " + strings.Join(each(a.Fewer, buyOut.packs), "; ") + ". "
		}
		if a.Outcome == plan.Optimal.String() {
			says += "Proved."
		} else {
			says += "Not proved."
		}
		items = append(items, marked(a.Cost, says))
	}
	if len(items) > 0 {
		p.put(listed(items))
	}
	if len(n.After) > 0 {
		p.put(text(strings.Join(n.After, " ")))
	}
	return p
}

func (s *sheet) costPart() part {
	c := s.Costs
	p := part{Title: "What each requirement costs"}
	p.put(text(strings.Join(c.Text, " ")))
	t := &table{Caption: "Requirements that add to the cost, the dearest first", Cols: []string{"Requirement", "Weighs", "Without it", "Saves", "Proved"}}
	for _, r := range c.Requirements {
		if !r.dear {
			continue
		}
		words, without, saves := r.Words, r.Without, r.Saves
		if r.Evidence != "" {
			words += " (" + r.Evidence + ")"
		}
		if r.last {
			without += ", nothing to buy"
		}
		if !r.Proved {
			saves = "at least " + saves
		}
		t.add(one(words), one(orDash(r.Severity)), kept(without), kept(saves), one(yes(r.Proved)))
	}
	if len(t.Groups) > 0 {
		p.put(tabled(t))
	}
	if len(c.After) > 0 {
		p.put(text(strings.Join(c.After, " ")))
	}
	return p
}

func (s *sheet) stylePart() part {
	st := s.Styles
	p := part{Title: "The styles compared"}
	p.put(text(strings.Join(st.Text, " ")))
	t := &table{Caption: "Each style: cost, work in the kitchen for the week, and what the audit leaves",
		Cols: []string{"Style", "Packs to buy", "Proved", "Foods", "Cut up", "Weighed", "Counted", "Thawed", "Open", "Missed"}}
	for _, o := range st.Styles {
		if o.Audit == nil {
			t.add(one(o.Style), one("no plan"), one(yes(o.Outcome == plan.Infeasible.String())), one("–"), one("–"), one("–"), one("–"), one("–"), one("–"), one("–"))
			continue
		}
		buy, proved := "no price", "–"
		if o.Cost != "" {
			buy, proved = fmt.Sprintf("%d for %s", o.Work.Packs, o.Cost), yes(o.Outcome == plan.Optimal.String())
		}
		n := func(n int) cell { return one(fmt.Sprint(n)) }
		t.add(one(o.Style), kept(buy), one(proved), n(o.Work.Foods), n(o.Work.Cut), n(o.Work.Weighed), n(o.Work.Counted), n(o.Work.Thawed), n(o.Audit.Open), n(o.Audit.Missed))
	}
	p.put(tabled(t))
	p.put(text("Foods are kinds, cut up those that are cut or minced by hand; weighed and counted are portions, thawed are batches. The work is counted, not timed: no published figure for minutes was read. Open and missed are lines of the audit; nothing missed weighs more than watch."))
	p.put(listed(unmarked(st.After)))
	return p
}
