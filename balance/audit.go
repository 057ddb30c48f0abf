package balance

import (
	"fmt"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Input is what [Audit] judges. Only Plan is needed; what is nil is worked out
// or, where that takes files, read anew at each call. Programs that judge many
// plans fill in Book and Screen once.
type Input struct {
	Plan *ration.Plan
	// Household names the animals and the freezer. Without it nobody's need is
	// known: rules about one animal do not apply.
	Household *ration.Household
	// Needs are the needs of the household's animals, in its order; nil:
	// ration.Needs on the first day of the plan.
	Needs []ration.Need
	// Target overrides the one that plan and household name.
	Target *Target
	// Book holds the rules and targets; nil: Shipped.
	Book *Book
	// Screen knows the hazards of foods; nil: package safety's shipped tables
	// without notices or region.
	Screen *Screen
	// Foods is where a mend may come from besides the plan and the household's
	// stock; nil: nowhere else.
	Foods *prey.Catalogue
}

// Finding is what one rule says of a plan, or of one animal in it.
//
// Its numbers are kept as integers; the methods build text and advice from them
// when asked.
type Finding struct {
	Rule    *Rule
	Gravity Gravity
	// Animal is set when the finding is about one animal.
	Animal *ration.Animal
	// Day is the index of the day the finding is about, -1 for all.
	Day int
	// Verdict is at the typical figures; Whole is over their whole range.
	Verdict, Whole Verdict
	Side           Side   // which bound was passed at the typical figures
	Reason         Reason // why open, or why not applicable
	// Hazard is set by rules that ask package safety.
	Hazard *safety.Hazard

	figure *fraction // nil when nothing was measured
	bounds bounds
	s      *state
}

// Report is the outcome of an audit.
type Report struct {
	Household string
	Start     units.Date
	Days      int
	Target    *Target
	// Findings are sorted: stop, mend, watch; among these missed, open, met,
	// not applicable; then as the rules stand in the book.
	Findings []Finding

	s    *state
	book *Book
}

// Audit judges a plan by the rules of the book and the shares of the target.
//
// It fails only when there is nothing to judge: the error wraps ErrPlan,
// ErrAnimal or ErrUnknownTarget, or is that of reading the shipped tables. What
// is wrong with the food itself is a finding, never an error.
func Audit(in Input) (*Report, error) {
	if in.Plan == nil || len(in.Plan.Days) == 0 {
		return nil, fmt.Errorf("auditing: no days: %w", ErrPlan)
	}
	if err := in.fill(); err != nil {
		return nil, fmt.Errorf("auditing the plan for %q: %w", in.Plan.Household, err)
	}
	s, err := newState(&in, in.Target, in.Needs)
	if err != nil {
		return nil, fmt.Errorf("auditing the plan for %q: %w", in.Plan.Household, err)
	}
	rep := &Report{Household: in.Plan.Household, Start: in.Plan.Start, Days: s.days, Target: in.Target, s: s, book: in.Book}
	s.screen() // once and here: afterwards the state is only read
	n := len(in.Book.rules) + 4*len(in.Needs) + 8
	s.figures = make([]fraction, 0, n)
	var buffer [usualFindings]Finding // on the stack: they are moved when sorted
	found := buffer[:0]
	for _, r := range in.Book.rules {
		found = s.check(r, found)
	}
	rep.Findings = sorted(found)
	return rep, nil
}

// usualFindings is a little more than the shipped rules give for one animal.
const usualFindings = 96

// fill works out what the caller left out.
func (in *Input) fill() error {
	var err error
	if in.Book == nil {
		if in.Book, err = Shipped(); err != nil {
			return err
		}
	}
	if in.Target == nil {
		id := in.Plan.Target
		if id == "" && in.Household != nil {
			id = in.Household.Target
		}
		if in.Target, err = in.Book.Target(id); err != nil {
			return err
		}
	}
	if in.Screen == nil {
		if in.Screen, err = NewScreen(nil, nil, safety.Context{On: in.Plan.Start}); err != nil {
			return err
		}
	}
	if in.Needs == nil && in.Household != nil {
		on := in.Plan.Start
		if on == 0 {
			on = in.Household.AsOf
		}
		in.Needs = make([]ration.Need, len(in.Household.Animals))
		for i := range in.Household.Animals {
			in.Needs[i] = ration.Needs(&in.Household.Animals[i], on)
		}
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

// sorted orders findings without moving any of them twice.
func sorted(found []Finding) []Finding {
	out := make([]Finding, 0, len(found))
	for _, g := range [...]Gravity{Stop, Mend, Watch} {
		for _, v := range [...]Verdict{Missed, Open, Met, NotApplicable} {
			for i := range found {
				if found[i].Gravity == g && found[i].Verdict == v {
					out = append(out, found[i])
				}
			}
		}
	}
	return out
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
func (r *Report) Count(g Gravity, v Verdict) int {
	n := 0
	for i := range r.Findings {
		if r.Findings[i].Gravity == g && r.Findings[i].Verdict == v {
			n++
		}
	}
	return n
}

// Passed reports whether no rule of gravity stop or mend is missed at the
// typical figures. Open findings do not fail a plan; they are listed.
func (r *Report) Passed() bool { return r.Count(Stop, Missed) == 0 && r.Count(Mend, Missed) == 0 }

// Tally returns the sum of everything in the plan.
func (r *Report) Tally() prey.Tally { return r.s.total }

// Needs returns the needs the plan was held to, in the order of the household.
func (r *Report) Needs() []ration.Need { return slices.Clone(r.s.needs) }
