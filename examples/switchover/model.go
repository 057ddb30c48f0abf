package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fitchet.example/ration/log"
	"fitchet.example/ration/switchover"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/evidence"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/examples/internal/page"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// sheet is everything the program says, once, for text and JSON alike.
type sheet struct {
	Schema    string   `json:"schema"` // "fitchet.switchover/1"
	Household string   `json:"household"`
	AsOf      string   `json:"as_of"`
	Faults    []string `json:"faults_of_the_log"`
	Vet       []vet    `json:"vet_first"`
	Signs     []string `json:"call_a_vet"`
	Animals   []next   `json:"animals"`
	Notes     []string `json:"notes"`
	Expect    []string `json:"what_to_expect"`
	Order     string   `json:"order_of_the_steps"`
	Gates     string   `json:"numbers_of_the_gates"`

	Cautions []string          `json:"cautions"`
	Evidence []evidence.Note   `json:"evidence_notes"`
	Sources  []evidence.Source `json:"sources"`

	bad bool
}

// vet is a reason to call a vet, or to ask one before anything changes.
type vet struct {
	Name  string `json:"name"`
	Now   bool   `json:"now"`
	Text  string `json:"text"`
	Basis string `json:"basis,omitempty"`
}

// next is what to do with one animal.
type next struct {
	Animal  string   `json:"animal"`
	Name    string   `json:"name"`
	About   string   `json:"about"`
	Move    string   `json:"move"` // next step, stay, a step back, cannot be said, ask the vet first, see a vet now, begin
	Step    stage    `json:"on_step"`
	Since   string   `json:"since,omitempty"`
	To      stage    `json:"to_step"`
	Why     []string `json:"why"`
	OldFood string   `json:"old_food"`
	Gate    []gate   `json:"gate"`
	Hunger  *hunger  `json:"hours_without_food,omitempty"`
	Fasts   string   `json:"if_it_does_not_eat"`
	Calcium *calcium `json:"calcium,omitempty"`
	Left    []string `json:"steps_left_out"`
	Care    []string `json:"take_care"`
}

type stage struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Do   string `json:"do"`
}

type gate struct {
	Wanted string `json:"wanted"`
	Have   string `json:"the_log_shows"`
	Met    bool   `json:"met"`
}

type hunger struct {
	Since    string `json:"since_it_may_last_have_eaten"`
	Certain  string `json:"since_it_ate_for_certain"`
	Back     string `json:"step_back_after"`
	BackBase string `json:"step_back_basis"`
	Vet      string `json:"vet_after"`
	VetBasis string `json:"vet_basis"`
}

// calcium is how much powder a batch without bone needs.
type calcium struct {
	Batch   string   `json:"batch"`
	Of      []string `json:"of"`
	Ratio   string   `json:"calcium_to_phosphorus_aimed_at"`
	Holds   string   `json:"batch_holds,omitempty"`
	Powders []powder `json:"powders"`
	Habit   string   `json:"what_keepers_do"`
}

type powder struct {
	Name    string `json:"name"`
	Low     string `json:"low,omitempty"`
	Typical string `json:"typical,omitempty"`
	High    string `json:"high,omitempty"`
	Text    string `json:"text"`
}

func (s *sheet) code() int {
	if s.bad || len(s.Faults) > 0 {
		return cli.Mend
	}
	return cli.Well
}

// maker builds the sheet.
type maker struct {
	*kit.Kit
	steps *switchover.Plan
	h     *ration.Household
	l     *log.Log
	batch units.Mass
	notes *evidence.Notes
	s     *sheet
}

func newMaker(k *kit.Kit, steps *switchover.Plan, h *ration.Household, l *log.Log, batch units.Mass) *maker {
	m := &maker{Kit: k, steps: steps, h: h, l: l, batch: batch, notes: evidence.New(k.Book.Registry())}
	m.s = &sheet{Schema: "fitchet.switchover/1", Household: h.Name, AsOf: l.AsOf.String(), Faults: []string{}, Vet: []vet{}, Signs: []string{}, Animals: []next{},
		Notes: []string{}, Expect: []string{}, Cautions: []string{}}
	for _, v := range k.Care.VetSigns() {
		if v.AboutEating() {
			continue // each animal's part says it with its own time
		}
		m.s.Signs = append(m.s.Signs, v.String()+" ("+m.notes.Words(v.Ref)+")")
	}
	m.s.Order, m.s.Gates = m.notes.Words(steps.Ref), m.notes.Words(steps.GatesRef)
	if text := kit.Unread(l); text != "" {
		m.s.Vet = append(m.s.Vet, vet{"all animals", true, text, ""})
	}
	return m
}

// faults are the faults of the log, one by one.
func (m *maker) faults(err error) { m.s.Faults = strings.Split(err.Error(), "\n") }

// animals answers for one animal, or for all that are on their way.
func (m *maker) animals(only *ration.Animal) error {
	var ids []string
	for i := range m.h.Animals {
		a := &m.h.Animals[i]
		state, begun := switchover.Where(m.l, a.ID)
		last := m.steps.Stages[len(m.steps.Stages)-1].ID
		if only != nil && only.ID != a.ID || only == nil && (!begun || state.Stage == last) {
			continue
		}
		ids = append(ids, a.ID)
		if err := m.animal(a, state, begun); err != nil {
			return err
		}
	}
	if len(ids) == 0 {
		m.s.Notes = append(m.s.Notes, "No animal is on its way by this log. Write down the step that one begins under steps, or name one with -animal.")
	}
	for _, s := range m.l.Silences(ids) {
		at := ""
		if s.After.Line > 0 {
			at = fmt.Sprintf(" (after %s)", s.After)
		}
		m.s.Notes = append(m.s.Notes, fmt.Sprintf("Nothing is written down from %s to %s for %s%s. Not written down is taken neither for a meal nor for a refusal.", s.From, s.To, kit.Names(m.h, s.Animals), at))
	}
	return nil
}

func (m *maker) animal(a *ration.Animal, state switchover.State, begun bool) error {
	need := ration.Needs(a, m.l.AsOf.Date)
	n := next{Animal: a.ID, Name: m.h.NameOf(a.ID), About: kit.Describe(a, need), Why: []string{}, Gate: []gate{}, Care: []string{}, Left: append([]string{}, m.steps.Skipped(m.l, a.ID)...)}
	fasts := a.WithoutFood(m.l.AsOf.Date)
	n.Fasts = fasts.Text + basis(m.notes.Words(fasts.Ref))
	lim := log.DefaultWeightLimits()
	for _, al := range m.l.Alarms(a, lim) {
		m.s.Vet = append(m.s.Vet, vet{n.Name, true, al.Text, m.notes.Words(al.Ref)})
	}
	if !begun {
		state = switchover.State{Animal: a.ID, Stage: m.steps.Stages[0].ID, Since: m.l.AsOf.Date}
	}
	step, err := m.steps.Next(state, a, m.l, lim)
	if errors.Is(err, switchover.ErrStage) {
		// a step of another plan: said, not guessed
		n.Move, n.Why = switchover.Ask.String(), []string{fmt.Sprintf("the log has it on step %q, which these steps do not hold", state.Stage)}
		n.Step, n.To = stage{ID: state.Stage}, stage{ID: state.Stage}
		m.s.Animals = append(m.s.Animals, n)
		m.s.bad = true
		return nil
	}
	if err != nil {
		return err
	}
	n.Move, n.Why = step.Move.String(), step.Reasons
	n.Step, n.To, n.OldFood = staged(step.From), staged(step.To), step.To.OldFood
	if begun {
		n.Since = state.Since.String()
	} else if step.Move != switchover.CallVet && step.Move != switchover.VetFirst {
		n.Move, n.Why = "begin", []string{"no step is written down for it: begin here, and write the day under steps"}
	}
	for _, g := range step.Gate {
		n.Gate = append(n.Gate, gate{g.What, g.Have, g.Met})
	}
	if step.Hunger.Written {
		n.Hunger = &hunger{safety.PeriodText(step.Hunger.Since), safety.PeriodText(step.Hunger.Certain), safety.PeriodText(step.Hunger.BackAfter), m.s.Gates, safety.PeriodText(step.Hunger.Vet.After), m.notes.Words(step.Hunger.Vet.Ref)}
	}
	if step.Move == switchover.CallVet {
		n.Care = append(n.Care, "Until the vet has seen it: no new food. Whatever it eats is right.")
	}
	n.Care = append(n.Care, step.Cautions...)
	if step.Calcium {
		n.Calcium = m.calcium(a.ID)
	}
	switch step.Move {
	case switchover.VetFirst:
		m.s.Vet = append(m.s.Vet, vet{n.Name, false, strings.Join(step.Reasons, "; "), ""})
		m.s.bad = true
	case switchover.CallVet, switchover.StepBack, switchover.Ask:
		m.s.bad = true
	}
	m.s.bad = m.s.bad || len(n.Left) > 0
	m.s.Animals = append(m.s.Animals, n)
	return nil
}

func staged(s switchover.Stage) stage { return stage{s.ID, s.Name, s.Do} }

// The days of the log whose raw food makes the batch, by default.
const batchDays = 3

// calcium works out the powder for a batch of the raw food that the animal got
// last, in the proportions it got it.
func (m *maker) calcium(id string) *calcium {
	offered := map[*prey.Food]units.Mass{}
	var foods []*prey.Food
	for _, e := range m.l.Entries {
		raw := e.Food.Kind != prey.DryFood && e.Food.Kind != prey.Supplement && e.Food.Kind != prey.Oil
		if e.Stage == "" || e.Treat || !raw || !slices.Contains(e.For, id) || m.l.AsOf.Date.DaysSince(e.Meal.Date) >= batchDays {
			continue
		}
		if offered[e.Food] == 0 {
			foods = append(foods, e.Food)
		}
		sum, err := offered[e.Food].Add(e.Offered)
		if err != nil {
			sum = math.MaxInt64 // what nobody can offer
		}
		offered[e.Food] = sum
	}
	slices.SortFunc(foods, func(a, b *prey.Food) int { return strings.Compare(a.ID, b.ID) })
	r := ration.DefaultRatio()
	c := &calcium{Batch: page.Both(m.batch), Of: []string{}, Powders: []powder{}, Ratio: fmt.Sprintf("%s to %s : 1 (%s)", r.Low, r.High, m.notes.Words(r.Ref)),
		Habit: "about 5 to 6 g of eggshell powder for each kg of boneless meat (" + m.notes.Words(cite.Ref{Evidence: cite.Practice, At: "5 to 6 g of eggshell powder per kg"}) + ")"}
	if len(foods) == 0 {
		c.Powders = append(c.Powders, powder{Text: "No raw food of a step is written down in the last days: weigh what goes into the batch and write it down."})
		return c
	}
	weights := make([]int64, len(foods))
	for i, f := range foods {
		weights[i] = int64(offered[f])
	}
	parts, err := units.Split(int64(m.batch), weights)
	if err != nil {
		c.Powders = append(c.Powders, powder{Text: err.Error()})
		return c
	}
	var batch []ration.Serving
	for i, f := range foods {
		batch = append(batch, ration.Serving{Food: f, Mass: units.Mass(parts[i])})
		c.Of = append(c.Of, page.Both(units.Mass(parts[i]))+" "+f.Name)
	}
	for _, id := range []string{"eggshell-powder", "bone-meal"} {
		f, err := m.Foods.Find(id)
		if err != nil {
			continue // a catalogue without it
		}
		p := powder{Name: f.Name}
		dose, err := ration.Calcium(batch, f, r)
		switch {
		case err != nil:
			p.Text = "No dose: " + err.Error() + "."
		case dose.Powder.High == 0:
			p.Text = "None: the batch has enough."
		default:
			c.Holds = fmt.Sprintf("%s mg calcium, %s mg phosphorus (%s)", milligrams(dose.Calcium), milligrams(dose.Phosphorus), m.notes.Words(minerals(foods)...))
			both := func(x units.Mass) string { return x.InGrams(1) + " (" + x.InOunces(2) + ")" }
			p.Low, p.Typical, p.High = dose.Powder.Low.InGrams(1), dose.Powder.Typical.InGrams(1), dose.Powder.High.InGrams(1)
			p.Text = fmt.Sprintf("%s, from %s to %s. %s", both(dose.Powder.Typical), both(dose.Powder.Low), both(dose.Powder.High), dose.Assumed)
		}
		if id == "bone-meal" {
			p.Text += " It brings phosphorus too, so it takes more of it than of eggshell. Use one of the two, not both."
		}
		p.Text = strings.TrimSpace(strings.ReplaceAll(p.Text, "  ", " "))
		for _, n := range []prey.Nutrient{prey.Calcium, prey.Phosphorus} {
			if fig, ok := f.Nutrient(n); ok {
				p.Text += fmt.Sprintf(" (its %s: %s)", strings.ToLower(n.String()), m.notes.Words(fig.Ref))
			}
		}
		c.Powders = append(c.Powders, p)
	}
	return c
}

// minerals are the references of the calcium and phosphorus of foods.
func minerals(foods []*prey.Food) (refs []cite.Ref) {
	for _, f := range foods {
		for _, n := range []prey.Nutrient{prey.Calcium, prey.Phosphorus} {
			if fig, ok := f.Nutrient(n); ok {
				refs = append(refs, fig.Ref)
			}
		}
	}
	return refs
}

func milligrams(r units.Range[int64]) string {
	if r.Low == r.High {
		return fmt.Sprint(r.Typical)
	}
	return fmt.Sprintf("%d (%d to %d)", r.Typical, r.Low, r.High)
}

// done adds what holds for all.
func (m *maker) done() *sheet {
	for _, x := range switchover.Expectations() {
		m.s.Expect = append(m.s.Expect, x.Text+" ("+m.notes.Words(x.Ref)+")")
	}
	needs := make([]ration.Need, len(m.h.Animals))
	for i := range needs {
		needs[i] = ration.Needs(&m.h.Animals[i], m.l.AsOf.Date)
	}
	at := kit.Situation(m.h, needs)
	at.Changing, at.Estimate = true, false
	for _, c := range m.Care.Cautions(at) {
		for _, r := range c.Evidence {
			m.notes.Cite(r)
		}
		m.s.Cautions = append(m.s.Cautions, c.Text)
	}
	for _, v := range m.s.Vet {
		m.s.bad = m.s.bad || v.Now
	}
	m.s.Evidence, m.s.Sources = m.notes.List(), m.notes.Sources()
	return m.s
}
