package corpus

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units/say"
)

// Request is what a plan generator is asked: a plan for these animals, from
// this freezer and these offers, by this target and these rules.
type Request struct {
	Household *ration.Household
	Days      int // consecutive, from the household's start
	Target    *shares.Target
	Book      *balance.Book
	Foods     *prey.Catalogue
	Care      *safety.Book
	Region    string // "": the household's
	Notices   *safety.Notices
}

// Answer is a plan or a refusal, never both.
type Answer struct {
	Plan    *ration.Plan
	Refused *Refusal
}

// Refusal says why no plan was made.
type Refusal struct {
	Because Because
	Reason  string   // a sentence for the keeper
	Lacks   []string // what is lacking: words of the corpus, may be empty
}

// Generator makes plans. An error means that the generator itself failed, not
// that the request cannot be met: that is a [Refusal].
type Generator interface {
	Plan(ctx context.Context, q Request) (Answer, error)
}

// GeneratorFunc is a function that makes plans.
type GeneratorFunc func(ctx context.Context, q Request) (Answer, error)

// Plan calls the function.
func (f GeneratorFunc) Plan(ctx context.Context, q Request) (Answer, error) { return f(ctx, q) }

// What is asked of every answer. The ids are permanent. Some are rules of the book
// as well, see [ofRules].
const (
	PlanWhole     = "plan-whole"      // it can be written and read back
	PlanDays      = "plan-days"       // the days asked for, each once
	PlanHousehold = "plan-household"  // for this household and target
	EverybodyFed  = "everybody-fed"   // every animal, every day, whose need is known
	MealsEnough   = "meals-enough"    // as often a day as an animal must eat that must not go long without
	BowlsApart    = "bowls-apart"     // only animals of one group share a bowl
	NeverFed      = "never-fed"       // nothing that the animal must not get
	StockEnough   = "stock-enough"    // no more than there is and can be bought
	PiecesEnough  = "pieces-enough"   // likewise in pieces
	StockInDate   = "stock-in-date"   // nothing after the best-before day of its lot
	PiecesWhole   = "pieces-whole"    // whole prey and counted pieces are whole
	CostAtMost    = "cost-at-most"    // no dearer than the scenario allows
	AnswerKind    = "answer-kind"     // a plan where one can be made, a refusal where none can
	RefusalReason = "refusal-reason"  // a refusal says why, and rightly
	AnswerOne     = "answer-one"      // a plan or a refusal, not both and not neither
	ErrorFree     = "generator-error" // the generator did not fail
)

// Requirements returns the ids of what is asked of every answer, with a
// sentence for each.
func Requirements() [][2]string {
	return [][2]string{
		{PlanWhole, "The plan can be written as a plan file and read back."},
		{PlanDays, "The plan covers the days asked for, each once and in order, from the first."},
		{PlanHousehold, "The plan is for the household and the target that were asked for."},
		{EverybodyFed, "Every animal whose need is known gets food on every day."},
		{MealsEnough, "A kit, a pregnant or nursing animal and one with insulinoma eat at least as many meals a day as they must."},
		{BowlsApart, "Only animals of one group share a bowl."},
		{NeverFed, "No animal gets a food that it must not get."},
		{StockEnough, "No more is fed than is in stock and can be bought."},
		{PiecesEnough, "No more pieces are fed than are in stock and can be bought."},
		{StockInDate, "Nothing is fed after the best-before day of the lot it comes from."},
		{PiecesWhole, "Whole prey is served whole, and counted pieces weigh what such pieces weigh."},
		{CostAtMost, "What has to be bought costs no more than the scenario allows."},
		{AnswerKind, "There is a plan where one can be made, and a refusal where none can."},
		{RefusalReason, "A refusal gives a reason of the list that is right, a sentence, and what is lacking."},
		{AnswerOne, "The answer is a plan or a refusal, not both and not neither."},
		{ErrorFree, "The generator answers instead of failing."},
	}
}

// ofRules are the requirements that are rules, which the audit judges. They are
// asked of every plan, whatever their gravity and whatever the book of the request
// leaves out.
func ofRules() []string {
	return []string{MealsEnough, BowlsApart, NeverFed, StockEnough, PiecesEnough, StockInDate, PiecesWhole}
}

// standing is the book with those rules in force that every plan is held to.
func standing(book *balance.Book) (*balance.Book, error) {
	var lacks []string
	for _, id := range ofRules() {
		if r, ok := book.Rule(id); !ok || r.Until != "" {
			lacks = append(lacks, id)
		}
	}
	if len(lacks) == 0 {
		return book, nil
	}
	shipped, err := balance.Shipped()
	if err != nil {
		return nil, err
	}
	var add []balance.Rule
	for _, id := range lacks {
		r, ok := shipped.Rule(id)
		if !ok {
			return nil, fmt.Errorf("requirement %s: %w", id, balance.ErrUnknownRule)
		}
		c := *r
		if _, ok := book.Rule(id); ok {
			c.Override = "asked of every plan"
		}
		add = append(add, c)
	}
	return book.WithRules(add)
}

// Wrong is one thing wrong with an answer: the id of a requirement or of a
// rule, and a sentence.
type Wrong struct {
	ID   string
	Text string
}

// Judgement is what an answer is worth, as [Judge] returns it.
type Judgement struct {
	Wrong  []Wrong
	Report *balance.Report // of the plan, when there was one to audit

	judged bool
}

// Good reports whether the answer was judged and nothing is wrong.
func (j *Judgement) Good() bool { return j != nil && j.judged && len(j.Wrong) == 0 }

// Has reports whether a requirement or rule of that id was missed.
func (j *Judgement) Has(id string) bool {
	return slices.ContainsFunc(j.Wrong, func(w Wrong) bool { return w.ID == id })
}

func (j *Judgement) say(id, format string, args ...any) {
	j.Wrong = append(j.Wrong, Wrong{id, fmt.Sprintf(format, args...)})
}

// ErrRequest is a request that cannot be judged: no household, target or book.
var ErrRequest = errors.New("request is not whole")

// Judge holds an answer against its request and, unless nil, the scenario the
// request came from. A plan must meet every requirement of [Requirements], most of
// which are rules of the shipped book, and
// its audit must miss no rule of gravity stop or mend at the typical figures. A
// refusal must give a reason; whether it is right only a scenario can tell.
//
// An error means that nothing could be judged, never that the answer is bad.
func Judge(q Request, s *Scenario, a Answer) (*Judgement, error) {
	if q.Household == nil || q.Target == nil || q.Book == nil || len(q.Household.Animals) == 0 {
		return nil, fmt.Errorf("judging an answer: %w", ErrRequest)
	}
	j := &Judgement{judged: true}
	switch {
	case (a.Plan == nil) == (a.Refused == nil):
		j.say(AnswerOne, "want a plan or a refusal, found both or neither")
	case a.Refused != nil:
		j.refusal(s, a.Refused)
	default:
		if s != nil && s.Want == WantRefused {
			j.say(AnswerKind, "a plan was made where none can be right: %s", s.Why)
		}
		if err := j.plan(q, s, a.Plan); err != nil {
			return nil, fmt.Errorf("judging an answer for %q: %w", q.Household.Name, err)
		}
	}
	return j, nil
}

func (j *Judgement) refusal(s *Scenario, r *Refusal) {
	if !slices.Contains(becauses(), string(r.Because)) {
		j.say(RefusalReason, "because %q: want one of %v", say.Clip(string(r.Because)), becauses())
	}
	if r.Reason == "" {
		j.say(RefusalReason, "no sentence says why")
	}
	for _, w := range r.Lacks {
		if !slices.Contains(lackWords(), w) {
			j.say(RefusalReason, "lacks %q: want words of %v", say.Clip(w), lackWords())
		}
	}
	if s == nil {
		return
	}
	if s.Want == WantPlan {
		j.say(AnswerKind, "refused (%s) where a plan can be made: %s", r.Reason, s.Why)
		return
	}
	if len(s.Because) > 0 && !slices.Contains(s.Because, r.Because) {
		j.say(RefusalReason, "because %q is not the reason: %s", say.Clip(string(r.Because)), s.Why)
	}
	for _, w := range s.Lacks {
		if !slices.Contains(r.Lacks, w) {
			j.say(RefusalReason, "it does not say that %s is lacking", w)
		}
	}
}

func (j *Judgement) plan(q Request, s *Scenario, p *ration.Plan) error {
	h := q.Household
	if err := ration.WritePlan(io.Discard, p); err != nil {
		j.say(PlanWhole, "%v", err)
		return nil // nothing else can be said of it
	}
	if p.Household != h.Name {
		j.say(PlanHousehold, "the plan is for %q, asked for was %q", say.Clip(p.Household), h.Name)
	}
	if p.Target != "" && p.Target != q.Target.ID {
		j.say(PlanHousehold, "the plan names the target %q, asked for was %q", say.Clip(p.Target), q.Target.ID)
	}
	days := q.Days
	if days == 0 {
		days = 7
	}
	right := len(p.Days) == days && p.Start == h.Start
	for d := 0; d < len(p.Days) && right; d++ {
		right = p.Days[d].Date == h.Start.AddDays(d)
	}
	if !right {
		j.say(PlanDays, "want %d days from %s, found %d from %s", days, h.Start, len(p.Days), p.Start)
	}
	needs := h.Needs()
	if !j.fed(h, needs, p) {
		return nil
	}
	if s != nil && s.Most != nil {
		if err := j.cost(h, s, p); err != nil {
			return err
		}
	}
	return j.audit(q, s, p, needs)
}

// fed looks at who eats on which day. It reports false when the plan feeds animals
// that are not there, so that no audit is possible.
func (j *Judgement) fed(h *ration.Household, needs []ration.Need, p *ration.Plan) bool {
	known := true
	for d := range p.Days {
		eats := map[string]bool{}
		for m := range p.Days[d].Meals {
			for _, id := range p.Days[d].Meals[m].For {
				eats[id] = true
				if _, ok := h.Animal(id); !ok {
					j.say(PlanHousehold, "%s: there is no animal %q", p.Where(ration.Position{Day: d, Meal: m}), say.Clip(id))
					known = false
				}
			}
		}
		for i := range needs {
			if n := &needs[i]; n.HasBand && !eats[n.Animal.ID] {
				j.say(EverybodyFed, "%s: nothing for %s", p.Days[d].Date, n.Animal.ID)
			}
		}
	}
	return known
}

// cost holds what has to be bought against what the scenario allows. Lots that are
// past their day at the start are not counted on.
func (j *Judgement) cost(h *ration.Household, s *Scenario, p *ration.Plan) error {
	own := *h
	own.Stock = slices.DeleteFunc(slices.Clone(h.Stock), func(l ration.Stock) bool { return l.BestBefore != 0 && l.BestBefore < h.Start })
	list, err := ration.Shop(p, &own, func(string, *prey.Food) int64 { return 1 }) // who pays is not asked
	if err != nil {
		return err
	}
	for _, t := range list.Total {
		if t.Currency() != s.Most.Currency() || t.Amount().Cmp(s.Most.Amount()) > 0 {
			j.say(CostAtMost, "what has to be bought costs %s, at most %s is allowed", t, s.Most)
		}
	}
	return nil
}

func (j *Judgement) audit(q Request, s *Scenario, p *ration.Plan, needs []ration.Need) error {
	screen, err := q.HazardCheck()
	if err != nil {
		return err
	}
	if len(p.Days) == 0 {
		return nil // said above
	}
	book, err := standing(q.Book)
	if err != nil {
		return err
	}
	plan := *p
	plan.Target = q.Target.ID
	rep, err := balance.Audit(balance.Input{Plan: &plan, Household: q.Household, Needs: needs, Target: q.Target, Book: book, HazardCheck: screen})
	if err != nil {
		return err
	}
	j.Report = rep
	if fed := rep.Tally(); fed.Mass() == 0 {
		j.say(EverybodyFed, "there is no food in the plan")
	}
	for i := range rep.Findings {
		f := &rep.Findings[i]
		if f.Verdict == balance.Missed && (f.Severity != balance.Watch || slices.Contains(ofRules(), f.Rule.ID)) {
			who := ""
			if f.Animal != nil {
				who = " for " + f.Animal.ID
			}
			j.say(f.Rule.ID, "missed%s: %s; limit %s", who, f.MeasuredText(), f.LimitText())
		}
	}
	if s == nil {
		return nil
	}
	for _, m := range s.Must {
		found := rep.Find(m.Rule)
		if len(found) == 0 {
			j.say(m.Rule, "no finding, expected %s", m.Verdict)
		}
		for i := range found {
			if f := &found[i]; f.Verdict != m.Verdict && !j.Has(m.Rule) {
				j.say(m.Rule, "%s, this scenario asks for %s: %s; limit %s", f.Verdict, m.Verdict, f.MeasuredText(), f.LimitText())
			}
		}
	}
	return nil
}

// HazardCheck is what the request's notices and region say about foods.
func (q Request) HazardCheck() (*safety.HazardCheck, error) {
	return safety.NewHazardCheck(q.Care, nil, q.context())
}

func (q Request) context() safety.Context {
	ctx := safety.Context{Region: q.Region, Notices: q.Notices}
	if h := q.Household; h != nil {
		ctx.On = h.Start
		if ctx.Region == "" {
			ctx.Region = h.Region
		}
	}
	return ctx
}
