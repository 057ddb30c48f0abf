package balance

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/say"
)

// ErrReport is wrapped by errors about a report that cannot be read back: it does
// not carry what was audited, or the audit does not say what the report says.
var ErrReport = errors.New("report cannot be read back")

// jsonAudited is what a report was asked, so that one that is read back can answer
// whatever else is asked of it. Missing names what does not travel.
type jsonAudited struct {
	Missing     []string          `json:"missing,omitempty"`
	Plan        *ration.Plan      `json:"plan,omitempty"`
	Household   *ration.Household `json:"household,omitempty"`
	Target      string            `json:"target,omitempty"` // where plan and household name another
	Rules       []string          `json:"rules,omitempty"`  // where they are not all the shipped ones
	HazardCheck *jsonHazardCheck  `json:"screen,omitempty"`
	Foods       *[]*prey.Food     `json:"foods,omitempty"` // laid over the shipped ones, where mends were looked for there
	Eaten       bool              `json:"eaten,omitempty"`
}

type jsonHazardCheck struct {
	Region  string     `json:"region,omitempty"`
	On      units.Date `json:"on"`
	Notices bool       `json:"shipped_notices,omitempty"`
}

// The parts of an input that may not travel, by the field of [Input] that gives
// them when the report is read.
const (
	missPlan      = "Plan"
	missHousehold = "Household"
	missNeeds     = "Needs"
	missTarget    = "Target"
	missBook      = "Book"
	missHazards   = "HazardCheck"
	missFoods     = "Foods"
)

// audited gathers what was asked.
func (r *Report) audited() (*jsonAudited, error) {
	in := &r.s.in
	out := &jsonAudited{Plan: in.Plan, Household: in.Household, Eaten: in.Eaten}
	miss := func(what string) { out.Missing = append(out.Missing, what) }
	if _, err := in.Plan.MarshalJSON(); err != nil {
		out.Plan = nil
		miss(missPlan)
	}
	if in.Household != nil {
		if _, err := in.Household.MarshalJSON(); err != nil {
			out.Household = nil
			miss(missHousehold)
		}
		if !reflect.DeepEqual(in.Needs, in.needs()) {
			miss(missNeeds)
		}
	}
	shipped, err := Shipped()
	if err != nil {
		return nil, err
	}
	switch own, ok := in.Book.among(shipped); {
	case !ok:
		miss(missBook)
	default:
		out.Rules = own
	}
	if t, err := in.Book.TargetFor(in.targetID(), in.Household); err != nil || t != in.Target {
		if t, err := in.Book.Target(in.Target.ID); err != nil || t != in.Target {
			miss(missTarget)
		} else {
			out.Target = in.Target.ID
		}
	}
	if err := out.screen(in.HazardCheck); err != nil {
		return nil, err
	}
	if in.Foods != nil {
		own, ok, err := over(in.Foods)
		if err != nil {
			return nil, err
		}
		if out.Foods = &own; !ok {
			out.Foods = nil
			miss(missFoods)
		}
	}
	return out, nil
}

// among returns the rules of a book, nil when they are all those of another; false
// when some are not of the other.
func (b *Book) among(other *Book) (ids []string, ok bool) {
	if b == other {
		return nil, true
	}
	ids = []string{}
	for _, r := range b.rules {
		if o, ok := other.Rule(r.ID); !ok || o != r {
			return nil, false
		}
		ids = append(ids, r.ID)
	}
	return ids, slices.Equal(b.targets, other.targets)
}

func (a *jsonAudited) screen(s *safety.HazardCheck) error {
	if plain, err := safety.ShippedHazardCheck(); err != nil || s == plain {
		return err
	}
	care, err := safety.Shipped()
	if err != nil {
		return err
	}
	notices, err := safety.ShippedNotices()
	if err != nil {
		return err
	}
	about := s.Context()
	has := about.Notices
	if s.Book() != care || has != nil && !reflect.DeepEqual(has, notices) {
		a.Missing = append(a.Missing, missHazards)
		return nil
	}
	a.HazardCheck = &jsonHazardCheck{about.Region, about.On, has != nil}
	return nil
}

// over returns the foods of a catalogue that lie over the shipped ones; false when
// some of these are not there.
func over(c *prey.Catalogue) ([]*prey.Food, bool, error) {
	shipped, err := prey.Shipped()
	if err != nil {
		return nil, false, err
	}
	for _, f := range shipped.All() {
		if g, err := c.Find(f.ID); err != nil || g.ID != f.ID {
			return nil, false, nil
		}
	}
	own, _, err := prey.Own(slices.Values(c.All()))
	if own == nil {
		own = []*prey.Food{}
	}
	for _, f := range own {
		if _, err := f.MarshalJSON(); err != nil {
			return nil, false, nil
		}
	}
	return own, true, err
}

// MarshalJSON writes the report in the form ReportSchema: what it says, and under
// audited what was asked, so that [Report.UnmarshalJSON] gives a report that answers
// like this one. Exact quantities are text with their unit; measured figures are
// decimals as text, rounded for display only. A [Printout] leaves out what was
// asked.
func (r Report) MarshalJSON() ([]byte, error) {
	out, err := r.said()
	if err != nil {
		return nil, err
	}
	if out.Audited, err = r.audited(); err != nil {
		return nil, fmt.Errorf("writing the report: %w", err)
	}
	return json.Marshal(out)
}

// Printout is a report for readers: its JSON is what the report says, without the
// plan and the household, and cannot be read back.
type Printout struct{ *Report }

// MarshalJSON writes the report in the form ReportSchema.
func (p Printout) MarshalJSON() ([]byte, error) {
	out, err := p.said()
	if err != nil {
		return nil, err
	}
	return json.Marshal(out)
}

// UnmarshalJSON is [ReadReport] with nothing beside the text. Null changes nothing.
func (r *Report) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		return nil
	}
	got, err := ReadReport(text, Input{})
	if err != nil {
		return err
	}
	*r = *got
	return nil
}

// ReadReport reads what MarshalJSON of a [Report] wrote. It audits once more what
// the text carries, and so the report answers whatever the first one did; a text
// whose verdicts, figures or limits the audit does not bear out is refused, whether
// it was changed or comes from other rules or foods. Sentences are those of this
// library.
//
// Rules, targets, safety tables, notices and catalogues of one's own do not travel,
// and neither does what its own MarshalJSON refuses. The error then names the field
// of with that has to hold it; what with holds goes before what the text says. It
// wraps [ErrReport] or an error of reading plan or household.
func ReadReport(text []byte, with Input) (*Report, error) {
	var doc struct {
		Audited json.RawMessage `json:"audited"`
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		return nil, fmt.Errorf("reading a report: %w: %w", ErrReport, err)
	}
	if doc.Audited == nil {
		return nil, fmt.Errorf("reading a report: it does not say what was audited: %w", ErrReport)
	}
	var a jsonAudited
	dec := json.NewDecoder(bytes.NewReader(doc.Audited))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&a); err != nil {
		return nil, fmt.Errorf("reading a report: %w: %w", ErrReport, err)
	}
	in, err := a.input(with)
	if err != nil {
		return nil, fmt.Errorf("reading a report: %w", err)
	}
	r, err := Audit(in)
	if err != nil {
		return nil, fmt.Errorf("reading a report: %w: %w", ErrReport, err)
	}
	if why := r.borneOut(text); why != "" {
		return nil, fmt.Errorf("reading a report: these rules and foods do not bear out %s: %w", why, ErrReport)
	}
	return r, nil
}

// input is what was asked, as far as with does not say otherwise.
func (a *jsonAudited) input(with Input) (in Input, err error) {
	in = with
	in.Eaten = a.Eaten
	for _, m := range []struct {
		what string
		have bool
	}{
		{missPlan, in.Plan != nil}, {missHousehold, in.Household != nil}, {missNeeds, in.Needs != nil}, {missTarget, in.Target != nil},
		{missBook, in.Book != nil}, {missHazards, in.HazardCheck != nil}, {missFoods, in.Foods != nil},
	} {
		if slices.Contains(a.Missing, m.what) && !m.have {
			return in, fmt.Errorf("its %s did not travel with it and Input does not give it: %w", m.what, ErrReport)
		}
	}
	if in.Plan == nil && a.Plan == nil {
		return in, fmt.Errorf("no plan: %w", ErrReport)
	}
	if in.Foods == nil && a.Foods != nil {
		if in.Foods, err = prey.Shipped(); err != nil {
			return in, err
		}
		if own := *a.Foods; len(own) > 0 {
			list := make([]prey.Food, len(own))
			for i, f := range own {
				if f == nil {
					return in, fmt.Errorf("a food of nothing: %w", ErrReport)
				}
				list[i] = *f
			}
			if in.Foods, err = in.Foods.With(list); err != nil {
				return in, fmt.Errorf("%w: %w", ErrReport, err)
			}
		}
	}
	one := oneOfEach{in.Foods, nil}
	if in.Plan == nil {
		in.Plan = a.Plan
		for _, s := range in.Plan.Servings() {
			s.Food = one.of(s.Food)
		}
	}
	if in.Household == nil && a.Household != nil {
		in.Household = a.Household
		for i := range in.Household.Stock {
			in.Household.Stock[i].Food = one.of(in.Household.Stock[i].Food)
		}
		for i := range in.Household.Offers {
			in.Household.Offers[i].Food = one.of(in.Household.Offers[i].Food)
		}
	}
	if in.Book == nil {
		if in.Book, err = Shipped(); err != nil {
			return in, err
		}
		if a.Rules != nil {
			if in.Book, err = in.Book.Only(a.Rules...); err != nil {
				return in, fmt.Errorf("%w: %w", ErrReport, err)
			}
		}
	}
	if in.Target == nil && a.Target != "" {
		if in.Target, err = in.Book.Target(a.Target); err != nil {
			return in, fmt.Errorf("%w: %w", ErrReport, err)
		}
	}
	if in.HazardCheck == nil && a.HazardCheck != nil {
		about := safety.Context{Region: a.HazardCheck.Region, On: a.HazardCheck.On}
		if a.HazardCheck.Notices {
			if about.Notices, err = safety.ShippedNotices(); err != nil {
				return in, err
			}
		}
		if in.HazardCheck, err = safety.NewHazardCheck(nil, nil, about); err != nil {
			return in, fmt.Errorf("%w: %w", ErrReport, err)
		}
	}
	return in, nil
}

// oneOfEach makes equal foods one food, that of the catalogue where it has it.
type oneOfEach struct {
	catalogue *prey.Catalogue
	own       []*prey.Food
}

func (o *oneOfEach) of(f *prey.Food) *prey.Food {
	if o.catalogue != nil && f != nil {
		if g, err := o.catalogue.Find(f.ID); err == nil && g.Equal(f) {
			return g
		}
	}
	if i := slices.IndexFunc(o.own, f.Equal); i >= 0 {
		return o.own[i]
	}
	o.own = append(o.own, f)
	return f
}

// verdicts are what a report that is read has to say again.
type verdicts struct {
	Schema, Household, Start string
	Days                     int
	Passed                   bool
	Target                   struct{ ID string }
	Findings                 []verdictOf
}

type verdictOf struct {
	Rule, Animal, Date, Verdict string
	Severity                    string `json:"gravity"`
	Whole                       string `json:"verdict_over_range"`
	Measured                    *jsonFigure
	Limit, Reason, Hazard       string
}

// borneOut says what of a text the report does not say, "" when it says all.
func (r *Report) borneOut(text []byte) string {
	var was verdicts
	if err := json.Unmarshal(text, &was); err != nil {
		return err.Error()
	}
	now := verdicts{Schema: ReportSchema, Household: r.Household, Start: r.Start.String(), Days: r.Days, Passed: r.Passed()}
	now.Target.ID = r.Target.ID
	if len(was.Findings) != len(r.Findings) {
		return fmt.Sprintf("%d findings", len(was.Findings))
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		v := verdictOf{
			Rule: f.Rule.ID, Severity: f.Severity.String(), Date: r.date(f.Day), Verdict: f.Verdict.String(), Whole: f.Whole.String(),
			Measured: f.jsonMeasured(), Limit: f.LimitText(), Reason: f.ReasonText(),
		}
		if f.Animal != nil {
			v.Animal = f.Animal.ID
		}
		if f.Hazard != nil {
			v.Hazard = f.Hazard.ID
		}
		if !reflect.DeepEqual(was.Findings[i], v) {
			return fmt.Sprintf("finding %d, of rule %q", i+1, say.Clip(was.Findings[i].Rule))
		}
	}
	if was.Findings = nil; !reflect.DeepEqual(was, now) {
		return "what it is of"
	}
	return ""
}
