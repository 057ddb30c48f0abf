package balance

import (
	"fmt"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"

	"github.com/shopspring/decimal"
)

// ReportSchema names the form of a report in JSON. It changes when a reader of
// the old form would misread the new.
const ReportSchema = "fitchet.report/1"

// Bone is the bone of a plan in both meanings, side by side and never compared,
// with the calcium that follows from it. All figures are for display.
type Bone struct {
	Means    shares.BoneMeans // what the target counts
	Edible   BoneShare        // of the slots, bone counted as edible bone
	BoneIn   BoneShare        // of the slots, bone counted as bone-in meat
	CaP      Measure          // calcium to phosphorus, grams per gram
	PerKcal  Measure          // grams of calcium per 1000 kcal
	Energy   prey.EnergyMethod
	Complete units.Mass // whole prey and complete mixes, which the shares leave out
}

// BoneShare is one reading of the bone share at each case.
type BoneShare struct {
	Low, Typical, High units.Share
	// Known is the mass for which it can be said, of the mass that shares are
	// judged on; with Of 0 there is none.
	Known, Of units.Mass
}

// Measure is a figure for display with its range; Known is false when too
// little is known to give one.
type Measure struct {
	Low, Typical, High decimal.Decimal
	Known              bool
}

// errNotAudited is a report that no audit made.
var errNotAudited = fmt.Errorf("nothing was audited: %w", ErrPlan)

// Bone returns the bone of the plan in both meanings.
func (r *Report) Bone() Bone {
	s := r.s
	if s == nil {
		return Bone{}
	}
	b := Bone{Means: r.Target.BoneMeans, Energy: prey.ModifiedAtwater, Complete: s.complete}
	b.Edible = s.boneShare(shares.EdibleBone)
	b.BoneIn = s.boneShare(shares.BoneInMeat)
	var ratio, per figure.Figure
	s.nutrientRatio(&ratio, prey.Calcium, prey.Phosphorus)
	b.CaP = measureOf(&ratio, decimal.New(1, 9), 2)
	s.perEnergy(&per, prey.Calcium, prey.ModifiedAtwater)
	b.PerKcal = measureOf(&per, decimal.New(1, 12), 2) // billionths of a mg to grams
	return b
}

func (s *state) boneShare(means shares.BoneMeans) BoneShare {
	o := s.slotsAs(means)
	out := BoneShare{Known: o.slotKnown, Of: o.counted}
	var at [prey.NumCases]units.Share
	for c := range at {
		at[c] = figure.Share(o.slots[c][shares.BoneSlot], o.slotSum(c))
	}
	out.Low, out.Typical, out.High = min(at[0], at[1], at[2]), at[prey.Typical], max(at[0], at[1], at[2])
	return out
}

func measureOf(f *figure.Figure, per decimal.Decimal, places int32) Measure {
	if f.Of == 0 || !f.Enough() {
		return Measure{}
	}
	var at [prey.NumCases]decimal.Decimal
	for c := range at {
		v := f.Rat(prey.Case(c))
		if v == nil {
			return Measure{}
		}
		at[c] = decimal.NewFromBigRat(v.Quo(v, per.Rat()), places)
	}
	return Measure{Low: decimal.Min(at[0], at[1:]...), Typical: at[prey.Typical], High: decimal.Max(at[0], at[1:]...), Known: true}
}

// Notes are plain sentences about the plan and its animals that no rule judges:
// days left out, animals that a veterinarian should see first, and where the
// methods to estimate a need contradict each other.
func (r *Report) Notes() []string {
	if r.s == nil {
		return nil
	}
	var out []string
	plan := r.s.in.Plan
	for d := 1; d < len(plan.Days); d++ {
		if gap := plan.Days[d].Date.DaysSince(plan.Days[d-1].Date); gap > 1 {
			out = append(out, fmt.Sprintf("Nothing is planned between %s and %s; those days were not judged.", plan.Days[d-1].Date, plan.Days[d].Date))
		}
	}
	for i := range r.s.needs {
		n := &r.s.needs[i]
		if len(n.VetFirst) > 0 {
			out = append(out, fmt.Sprintf("%s: ask a vet before feeding by any plan (%s).", r.nameOf(n.Animal), say.And(n.VetFirst)))
		}
		for _, d := range n.Disagree {
			out = append(out, r.nameOf(n.Animal)+": "+d)
		}
	}
	return out
}

// Cautions are what has to be shown with this report.
func (r *Report) Cautions() []safety.Caution {
	s := r.s
	if s == nil || s.in.HazardCheck == nil {
		return nil
	}
	at := safety.Situation{Estimate: len(s.needs) > 0, Borrowed: true, People: safety.PeopleUnknown}
	if h := s.in.Household; h != nil {
		at.People = safety.NobodyAtRisk
		if h.PeopleAtRisk {
			at.People = safety.SomebodyAtRisk
		}
	}
	for i := range s.items {
		f := s.items[i].Food
		switch f.Kind {
		case prey.Oil, prey.Supplement, prey.DryFood:
		default:
			at.Raw = true
		}
		at.Fish = at.Fish || f.Kind == prey.Fish
		at.WholePrey = at.WholePrey || f.Kind == prey.WholePrey
		at.Poultry = at.Poultry || f.HasHazard("poultry")
		at.Game = at.Game || f.HasHazard("wild-caught")
	}
	for i := range s.needs {
		n := &s.needs[i]
		at.Kit = at.Kit || n.Stage == ration.Kit
		at.Pregnant = at.Pregnant || n.Stage == ration.Pregnant || n.Stage == ration.Lactating
		at.Ill = at.Ill || n.Animal.Has(ration.Ill)
		at.Insulinoma = at.Insulinoma || n.Animal.Has(ration.Insulinoma)
		at.Overweight = at.Overweight || n.Animal.Has(ration.Obese)
		at.LosingWeight = at.LosingWeight || n.Animal.Has(ration.LosingWeight)
		at.NotEating = at.NotEating || n.Animal.Has(ration.NotEating)
	}
	return s.in.HazardCheck.Book().Cautions(at)
}

// nameOf is what the animal of a need is called in this report.
func (r *Report) nameOf(a *ration.Animal) string { return r.s.in.Household.NameOf(a.ID) }

type jsonReport struct {
	Schema    string        `json:"schema"`
	Household string        `json:"household"`
	Start     units.Date    `json:"start"`
	Days      int           `json:"days"`
	Passed    bool          `json:"passed"`
	Target    jsonTarget    `json:"target"`
	Bone      jsonBone      `json:"bone"`
	Needs     []jsonNeed    `json:"needs"`
	Findings  []jsonFinding `json:"findings"`
	Notes     []string      `json:"notes"`
	Cautions  []jsonCaution `json:"cautions"`
	Audited   *jsonAudited  `json:"audited,omitempty"`
}

type jsonTarget struct {
	ID        string           `json:"id"`
	Title     string           `json:"title"`
	BoneMeans shares.BoneMeans `json:"bone_means"`
}

type jsonBone struct {
	EdibleBone  *jsonFigure `json:"edible_bone"`
	BoneInMeat  *jsonFigure `json:"bone_in_meat"`
	CaP         *jsonFigure `json:"calcium_to_phosphorus"`
	CalciumKcal *jsonFigure `json:"calcium_g_per_1000_kcal"`
	Energy      string      `json:"energy"`
}

type jsonFigure struct {
	Low     string `json:"low"`
	Typical string `json:"typical"`
	High    string `json:"high"`
	Unit    string `json:"unit,omitempty"`
}

type jsonNeed struct {
	Animal   string   `json:"animal"`
	Stage    string   `json:"stage"`
	Floor    string   `json:"resting_about"`
	BandLow  string   `json:"band_low_about,omitempty"`
	BandHigh string   `json:"band_high_about,omitempty"`
	Disagree []string `json:"disagree,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
}

type jsonFinding struct {
	Rule          string             `json:"rule"`
	Title         string             `json:"title"`
	Severity      Severity           `json:"gravity"`
	Animal        string             `json:"animal,omitempty"`
	Date          string             `json:"date,omitempty"`
	Verdict       Verdict            `json:"verdict"`
	Whole         Verdict            `json:"verdict_over_range"`
	Measured      *jsonFigure        `json:"measured,omitempty"`
	Text          string             `json:"measured_text,omitempty"`
	Limit         string             `json:"limit,omitempty"`
	Reason        string             `json:"reason,omitempty"`
	Evidence      []string           `json:"evidence"`
	Words         string             `json:"evidence_words"`
	Means         string             `json:"means"`
	Hazard        string             `json:"hazard,omitempty"`
	Do            string             `json:"do,omitempty"`
	Bowl          string             `json:"shared_bowl,omitempty"`
	Contributions []jsonContribution `json:"drives,omitempty"`
	Changes       []jsonMend         `json:"changes,omitempty"`
	Mend          string             `json:"mend,omitempty"`
	Settle        string             `json:"settle,omitempty"`
}

type jsonContribution struct {
	Food string     `json:"food"`
	Mass units.Mass `json:"mass"`
	Part string     `json:"part"`
}

type jsonMend struct {
	Food   string     `json:"food"`
	Mass   units.Mass `json:"mass"`
	Pieces int64      `json:"pieces,omitempty"`
	Change string     `json:"change"`
	Date   string     `json:"date,omitempty"`
	Breaks []string   `json:"breaks,omitempty"`
}

type jsonCaution struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// said is what the report says, for readers.
func (r *Report) said() (*jsonReport, error) {
	if r == nil || r.s == nil {
		return nil, fmt.Errorf("writing the report: %w", errNotAudited)
	}
	out := &jsonReport{
		Schema: ReportSchema, Household: r.Household, Start: r.Start, Days: r.Days, Passed: r.Passed(),
		Target:   jsonTarget{r.Target.ID, r.Target.Title, r.Target.BoneMeans},
		Needs:    []jsonNeed{},
		Findings: []jsonFinding{},
		Notes:    append([]string{}, r.Notes()...),
		Cautions: []jsonCaution{},
	}
	b := r.Bone()
	out.Bone = jsonBone{jsonShare(b.Edible), jsonShare(b.BoneIn), jsonMeasure(b.CaP, ""), jsonMeasure(b.PerKcal, "g"), b.Energy.Key()}
	for _, n := range r.s.needs {
		j := jsonNeed{Animal: n.Animal.ID, Stage: n.Stage.String(), Floor: n.Floor.String(), Disagree: n.Disagree, Cautions: n.Cautions}
		if n.HasBand {
			j.BandLow, j.BandHigh = n.Band.Low.String(), n.Band.High.String()
		}
		out.Needs = append(out.Needs, j)
	}
	reg := r.book.Registry()
	for i := range r.Findings {
		out.Findings = append(out.Findings, r.Findings[i].json(reg, r))
	}
	for _, c := range r.Cautions() {
		out.Cautions = append(out.Cautions, jsonCaution{c.ID, c.Text})
	}
	return out, nil
}

func jsonShare(s BoneShare) *jsonFigure {
	if s.Known == 0 {
		return nil
	}
	return &jsonFigure{s.Low.Percent().String(), s.Typical.Percent().String(), s.High.Percent().String(), "%"}
}

func jsonMeasure(m Measure, unit string) *jsonFigure {
	if !m.Known {
		return nil
	}
	return &jsonFigure{m.Low.String(), m.Typical.String(), m.High.String(), unit}
}

// date is that of a day of the plan, "" for none.
func (r *Report) date(day int) string {
	if day < 0 || day >= len(r.s.in.Plan.Days) {
		return ""
	}
	return r.s.in.Plan.Days[day].Date.String()
}

func (f *Finding) jsonMeasured() *jsonFigure {
	m, ok := f.Measured()
	if !ok {
		return nil
	}
	return &jsonFigure{m.Low.String(), m.Typical.String(), m.High.String(), m.Unit}
}

func (f *Finding) json(reg *cite.Registry, r *Report) jsonFinding {
	j := jsonFinding{
		Rule: f.Rule.ID, Title: f.Rule.Title, Severity: f.Severity, Verdict: f.Verdict, Whole: f.Whole,
		Text: f.MeasuredText(), Limit: f.LimitText(), Reason: f.ReasonText(), Evidence: []string{}, Words: f.EvidenceText(reg),
		Means: f.Rule.Means, Bowl: f.Split(), Settle: f.Settle(),
	}
	if f.Animal != nil {
		j.Animal = f.Animal.ID
	}
	j.Date, j.Measured = r.date(f.Day), f.jsonMeasured()
	for _, e := range f.Evidence() {
		j.Evidence = append(j.Evidence, e.String())
	}
	if f.Hazard != nil {
		j.Hazard, j.Do, j.Means = f.Hazard.ID, f.Hazard.Do, f.Hazard.Sentence
	}
	if f.Verdict == Missed || f.Verdict == Open || f.Whole == Open {
		for _, d := range f.Contributions() {
			j.Contributions = append(j.Contributions, jsonContribution{d.Food.ID, d.Mass, d.Part.String()})
		}
	}
	mends := f.Mends()
	for _, c := range mends {
		change := "add"
		if c.Remove {
			change = "take away"
		}
		j.Changes = append(j.Changes, jsonMend{c.Food.ID, c.Mass, c.Pieces, change, r.date(c.Day), c.Breaks})
	}
	j.Mend = f.mendText(mends)
	return j
}
