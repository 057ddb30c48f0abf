package corpus

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
)

// Request is what a plan generator is asked: a plan for these animals, from
// this freezer and these offers, by this target and these rules.
type Request struct {
	Household *ration.Household
	Days      int // consecutive, from the household's start
	Target    *balance.Target
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

// What is asked of every plan beside the rules of balance. The ids are permanent.
const (
	PlanWhole     = "plan-whole"      // it can be written and read back
	PlanDays      = "plan-days"       // the days asked for, each once
	PlanHousehold = "plan-household"  // for this household and target
	EverybodyFed  = "everybody-fed"   // every animal, every day, whose need is known
	MealsEnough   = "meals-enough"    // as often a day as an animal must eat that must not go long without
	BowlsApart    = "bowls-apart"     // only animals of one group share a bowl
	NeverFed      = "never-fed"       // nothing that the animal must not get
	StockEnough   = "stock-enough"    // no more than there is and can be bought
	StockInDate   = "stock-in-date"   // no lot whose best-before day has passed
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
		{StockInDate, "No lot is used whose best-before day lies before the as-of day."},
		{CostAtMost, "What has to be bought costs no more than the scenario allows."},
		{AnswerKind, "There is a plan where one can be made, and a refusal where none can."},
		{RefusalReason, "A refusal gives a reason of the list that is right, a sentence, and what is lacking."},
		{AnswerOne, "The answer is a plan or a refusal, not both and not neither."},
		{ErrorFree, "The generator answers instead of failing."},
	}
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
// request came from. A plan must meet every requirement of [Requirements], and
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
		j.say(RefusalReason, "because %q: want one of %v", clip(string(r.Because)), becauses())
	}
	if r.Reason == "" {
		j.say(RefusalReason, "no sentence says why")
	}
	for _, w := range r.Lacks {
		if !slices.Contains(lackWords(), w) {
			j.say(RefusalReason, "lacks %q: want words of %v", clip(w), lackWords())
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
		j.say(RefusalReason, "because %q is not the reason: %s", clip(string(r.Because)), s.Why)
	}
	for _, w := range s.Lacks {
		if !slices.Contains(r.Lacks, w) {
			j.say(RefusalReason, "it does not say that %s is lacking", w)
		}
	}
}

func (j *Judgement) plan(q Request, s *Scenario, p *ration.Plan) error {
	h := q.Household
	if _, err := p.MarshalJSON(); err != nil {
		j.say(PlanWhole, "%v", err)
		return nil // nothing else can be said of it
	}
	if p.Household != h.Name {
		j.say(PlanHousehold, "the plan is for %q, asked for was %q", clip(p.Household), h.Name)
	}
	if p.Target != "" && p.Target != q.Target.ID {
		j.say(PlanHousehold, "the plan names the target %q, asked for was %q", clip(p.Target), q.Target.ID)
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
	if !j.bowls(h, needs, p) {
		return nil
	}
	if err := j.supplies(q, s, p); err != nil {
		return err
	}
	return j.audit(q, s, p, needs)
}

// bowls looks at who eats what, how often. It reports false when the plan feeds
// animals that are not there, so that no audit is possible.
func (j *Judgement) bowls(h *ration.Household, needs []ration.Need, p *ration.Plan) bool {
	known := true
	for d := range p.Days {
		meals := map[string]int{}
		for m := range p.Days[d].Meals {
			meal := &p.Days[d].Meals[m]
			at := p.Where(ration.Spot{Day: d, Meal: m})
			group, first := "", true
			for _, id := range meal.For {
				a, ok := h.Animal(id)
				if !ok {
					j.say(PlanHousehold, "%s: there is no animal %q", at, clip(id))
					known = false
					continue
				}
				if !first && (a.Group == "" || a.Group != group) {
					j.say(BowlsApart, "%s: %s does not share a bowl with the others", at, id)
				}
				group, first = a.Group, false
				meals[id]++
				for _, sv := range meal.Servings {
					if a.Refuses(sv.Food) {
						j.say(NeverFed, "%s: %s must not get %s", at, id, sv.Food.Name)
					}
				}
			}
		}
		for i := range needs {
			n := &needs[i]
			switch got := meals[n.Animal.ID]; {
			case !n.HasBand:
			case got == 0:
				j.say(EverybodyFed, "%s: nothing for %s", p.Days[d].Date, n.Animal.ID)
			case got < n.MealsPerDay && frail(n):
				j.say(MealsEnough, "%s: %d meals for %s, which needs %d", p.Days[d].Date, got, n.Animal.ID, n.MealsPerDay)
			}
		}
	}
	return known
}

// frail reports whether long gaps without food are unsafe for the animal. For
// others the number of meals is a rule to watch.
func frail(n *ration.Need) bool {
	switch n.Stage {
	case ration.Kit, ration.Pregnant, ration.Lactating:
		return true
	}
	return n.Animal.Has(ration.Insulinoma)
}

// supplies holds what is fed against what there is and can be bought.
func (j *Judgement) supplies(q Request, s *Scenario, p *ration.Plan) error {
	h := *q.Household
	h.Stock = nil
	var past []string
	for _, lot := range q.Household.Stock {
		if lot.BestBefore != 0 && lot.BestBefore < h.AsOf {
			past = append(past, lot.Food.ID)
			continue
		}
		h.Stock = append(h.Stock, lot)
	}
	even := func(string, *prey.Food) int64 { return 1 } // who pays is not asked
	list, err := ration.Shop(p, &h, even)
	if err != nil {
		return err
	}
	for _, c := range list.Cannot {
		if slices.Contains(past, c.Food.ID) {
			j.say(StockInDate, "%s of %s more is fed than there is in date", c.Mass.InGrams(0), c.Food.Name)
			continue
		}
		j.say(StockEnough, "%s of %s more is fed than there is or can be bought", c.Mass.InGrams(0), c.Food.Name)
	}
	if s == nil || s.Most == nil {
		return nil
	}
	for _, t := range list.Total {
		if t.Currency() != s.Most.Currency() || t.Amount().Cmp(s.Most.Amount()) > 0 {
			j.say(CostAtMost, "what has to be bought costs %s, at most %s is allowed", t, s.Most)
		}
	}
	return nil
}

func (j *Judgement) audit(q Request, s *Scenario, p *ration.Plan, needs []ration.Need) error {
	screen, err := q.Screen()
	if err != nil {
		return err
	}
	if len(p.Days) == 0 {
		return nil // said above
	}
	plan := *p
	plan.Target = q.Target.ID
	rep, err := balance.Audit(balance.Input{Plan: &plan, Household: q.Household, Needs: needs, Target: q.Target, Book: q.Book, Screen: screen})
	if err != nil {
		return err
	}
	j.Report = rep
	if fed := rep.Tally(); fed.Mass() == 0 {
		j.say(EverybodyFed, "there is no food in the plan")
	}
	for i := range rep.Findings {
		f := &rep.Findings[i]
		if f.Verdict == balance.Missed && f.Gravity != balance.Watch {
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

// Screen is what the request's notices and region say about foods.
func (q Request) Screen() (*balance.Screen, error) {
	return balance.NewScreen(q.Care, nil, q.context())
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
