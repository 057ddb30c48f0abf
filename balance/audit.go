package balance

import (
	"cmp"
	"fmt"
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Input is what [Audit] judges. Only Plan is needed; what is nil is worked out
// or is the shipped one, which is read once. Programs that judge many plans use an
// [Auditor].
type Input struct {
	Plan *ration.Plan
	// Household names the animals and the freezer. Without it nobody's need is
	// known: rules about one animal do not apply.
	Household *ration.Household
	// Needs are the needs of the household's animals, in its order; nil:
	// ration.Needs on the first day of the plan.
	Needs []ration.Need
	// Target overrides the one that plan and household name.
	Target *shares.Target
	// Book holds the rules and targets; nil: Shipped.
	Book *Book
	// HazardCheck knows the hazards of foods; nil: package safety's shipped tables
	// without notices or region.
	HazardCheck *safety.HazardCheck
	// Foods is where a mend may come from besides the plan and the household's
	// stock; nil: nowhere else.
	Foods *prey.Catalogue

	// Eaten says that the plan is what was eaten: it is not held against the
	// freezer of today.
	Eaten bool
}

// Finding is what one rule says of a plan, or of one animal in it.
//
// Its numbers are kept as integers; the methods build text and advice from them
// when asked.
type Finding struct {
	Rule *Rule
	// Animal is set when the finding is about one animal.
	Animal *ration.Animal
	// Hazard is set by rules that ask package safety.
	Hazard *safety.Hazard
	// Day is the index of the day the finding is about, -1 for all.
	Day      int
	Severity Severity
	// Verdict is at the typical figures; Whole is over their whole range.
	Verdict, Whole Verdict
	Side           Side   // which bound was passed at the typical figures
	Reason         Reason // why open, or why not applicable

	figure *figure.Figure // nil when nothing was measured
	s      *state
}

// Report is the outcome of an audit.
type Report struct {
	Household string
	Start     units.Date
	Days      int
	Target    *shares.Target
	// Findings are sorted: stop, mend, watch; among these missed, open, met,
	// not applicable; then as the rules stand in the book.
	Findings []Finding

	s    *state
	book *Book
}

// Auditor judges many plans one after the other, faster than Audit does: it keeps
// what the rules ask of each food, once answered, and judges every plan in the
// same memory. The zero value is ready to use.
//
// An Auditor serves one goroutine at a time; give each its own. A Book, a HazardCheck,
// a Target and a Catalogue may be shared by all.
type Auditor struct {
	// What an Input that leaves these nil is judged by; what is nil here too is
	// the shipped one.
	Book        *Book
	Target      *shares.Target
	HazardCheck *safety.HazardCheck
	Foods       *prey.Catalogue

	state   state
	report  Report
	ordered []Finding
}

// Audit is like the function [Audit], which says what it returns. The Report,
// its findings and all that is asked of them are good until the next call, which
// judges the next plan in the same place.
func (a *Auditor) Audit(in Input) (*Report, error) {
	if in.Plan == nil || len(in.Plan.Days) == 0 {
		return nil, fmt.Errorf("auditing: no days: %w", ErrPlan)
	}
	if err := a.fill(&in); err != nil {
		return nil, fmt.Errorf("auditing the plan for %q: %w", in.Plan.Household, err)
	}
	if err := a.state.build(&in); err != nil {
		return nil, fmt.Errorf("auditing the plan for %q: %w", in.Plan.Household, err)
	}
	a.state.judgeAll()
	a.ordered = ordered(a.ordered, a.state.found)
	a.report = Report{
		Household: in.Plan.Household, Start: in.Plan.Start, Days: a.state.days, Target: in.Target,
		Findings: a.ordered, s: &a.state, book: in.Book,
	}
	return &a.report, nil
}

// Audit judges a plan by the rules of the book and the shares of the target.
//
// It fails only when there is nothing to judge: the error wraps ErrPlan,
// ErrAnimal, ErrUnknownTarget, ration.ErrAnimalID or ration.ErrUnknownWord, or is
// that of reading the shipped tables. What
// is wrong with the food itself is a finding, never an error.
func Audit(in Input) (*Report, error) { return new(Auditor).Audit(in) }

// judgeAll notes the findings of every rule, in the order of the book.
func (s *state) judgeAll() {
	n := len(s.in.Book.ready) + 4*len(s.needs) + 8
	s.figures = slices.Grow(s.figures, n)
	s.found = slices.Grow(s.found, n)
	if s.in.Book.asksHazards {
		s.screen()
	}
	for i := range s.in.Book.ready {
		s.check(&s.in.Book.ready[i])
	}
}

// fill works out what the caller left out.
func (a *Auditor) fill(in *Input) (err error) {
	if in.Household != nil {
		if err := cmp.Or(in.Household.CheckIDs(), in.Household.CheckWords(nil)); err != nil {
			return err
		}
	}
	if in.Book == nil {
		if a.Book == nil {
			if a.Book, err = Shipped(); err != nil {
				return err
			}
		}
		in.Book = a.Book
	}
	in.Target = cmp.Or(in.Target, a.Target)
	in.HazardCheck = cmp.Or(in.HazardCheck, a.HazardCheck)
	in.Foods = cmp.Or(in.Foods, a.Foods)
	if in.Target == nil {
		id := in.Plan.Target
		if id == "" && in.Household != nil {
			id = in.Household.Target
		}
		if in.Target, err = in.Book.TargetFor(id, in.Household); err != nil {
			return err
		}
	}
	if in.HazardCheck == nil || in.HazardCheck.Book() == nil {
		if in.HazardCheck, err = safety.ShippedHazardCheck(); err != nil {
			return err
		}
	}
	if in.Needs == nil && in.Household != nil {
		in.Needs = in.needs()
	}
	if in.Needs != nil && (in.Household == nil || len(in.Needs) != len(in.Household.Animals)) {
		return fmt.Errorf("%d needs do not fit the animals of the household: %w", len(in.Needs), ErrPlan)
	}
	for i := range in.Needs {
		if in.Needs[i].Animal == nil {
			return fmt.Errorf("need %d is of no animal: %w", i, ErrPlan)
		}
	}
	return nil
}

// Filled is the input with what was left out filled in, as [Audit] does it. Errors
// are those of Audit.
func (in Input) Filled() (Input, error) {
	if in.Plan == nil {
		return in, fmt.Errorf("no plan: %w", ErrPlan)
	}
	err := new(Auditor).fill(&in)
	return in, err
}

// targetID is the target that plan or household names, "" for none.
func (in *Input) targetID() string {
	if in.Plan.Target == "" && in.Household != nil {
		return in.Household.Target
	}
	return in.Plan.Target
}

// needs are the needs of the household's animals on the first day of the plan.
func (in *Input) needs() []ration.Need {
	on := in.Plan.Start
	if on == 0 {
		on = in.Household.AsOf
	}
	out := make([]ration.Need, len(in.Household.Animals))
	for i := range in.Household.Animals {
		out[i] = ration.Needs(&in.Household.Animals[i], on)
	}
	return out
}

// ordered puts findings in the order of a report, in the memory it is given:
// counted first, so that each is moved once.
func ordered(out, found []Finding) []Finding {
	var next [rankings + 1]int // where the next finding of a ranking goes
	for i := range found {
		next[found[i].ranking()+1]++
	}
	for i := range rankings {
		next[i+1] += next[i]
	}
	out = slices.Grow(out[:0], len(found))[:len(found)]
	for i := range found {
		at := &next[found[i].ranking()]
		out[*at] = found[i]
		*at++
	}
	return out
}

const rankings = 12

// ranking is where a finding stands: stop, mend, watch; among these missed, open,
// met, not applicable.
func (f *Finding) ranking() int {
	return 4*int(Stop-f.Severity) + [...]int{Missed: 0, Open: 1, Met: 2, NotApplicable: 3}[f.Verdict]
}

// Find returns the findings of one rule.
func (r *Report) Find(id string) []Finding {
	var out []Finding
	for i := range r.Findings {
		if r.Findings[i].Rule.ID == id {
			out = append(out, r.Findings[i])
		}
	}
	return out
}

// Count returns how many findings of that gravity have that verdict.
func (r *Report) Count(g Severity, v Verdict) int {
	n := 0
	for i := range r.Findings {
		if r.Findings[i].Severity == g && r.Findings[i].Verdict == v {
			n++
		}
	}
	return n
}

// Passed reports whether the plan holds food, some rule is met, and none of
// gravity stop or mend is missed at the typical figures. Open findings do not fail
// a plan; they are listed. Nothing that was not judged passes: not the zero
// Report, not one without findings, not one of a plan without food.
func (r *Report) Passed() bool {
	if r == nil || r.s == nil || r.s.total.Mass() == 0 {
		return false
	}
	met := false
	for i := range r.Findings {
		switch f := &r.Findings[i]; f.Verdict {
		case Met:
			met = true
		case Open, NotApplicable:
		case Missed:
			if f.Severity != Watch {
				return false
			}
		default:
			return false
		}
	}
	return met
}

// Tally returns the sum of everything in the plan.
func (r *Report) Tally() prey.Tally {
	if r.s == nil {
		return prey.Tally{}
	}
	return r.s.total
}

// Input returns what was audited, with what was left out filled in; the zero Input
// for a report that no audit made.
func (r *Report) Input() Input {
	if r == nil || r.s == nil {
		return Input{}
	}
	return r.s.in
}

// Needs returns the needs the plan was held to, in the order of the household.
func (r *Report) Needs() []ration.Need {
	if r.s == nil {
		return nil
	}
	return slices.Clone(r.s.needs)
}
