// Package switchover is the stepwise change from dry food to raw: the steps and
// what each asks before the next, as data, and what to do next with an animal by its
// log.
//
// Nothing here replaces a veterinarian: Plan.Next looks for reasons to call one
// before it says anything else. The order of the shipped steps is common practice;
// the numbers of their gates are ours. Errors wrap ErrStage; Load returns
// strict.Faults. The form of a file of steps is that of data/switch.yaml.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
package switchover

import (
	_ "embed"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/units/wide"

	"fitchet.example/ration/internal/form"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

//go:embed data/switch.yaml
var switchYAML string

// Gate is what must hold before the next step of a switch.
type Gate struct {
	Days  int         // at least so many days on the step
	Meals int         // the last so many meals of the step, one after the other
	Eaten units.Share // of each at least this share, for certain
}

// Setback is what makes a switch go a step back.
type Setback struct {
	Meals int // meals of the step refused one after the other
	Hours int // hours without certainly eating anything
}

// Stage is one step of the way from dry food to raw.
type Stage struct {
	ID       string // permanent
	Name, Do string
	OldFood  string // what becomes of the food it knew
	Boneless bool   // raw without bone: calcium has to be added, see Calcium
	Gate     Gate
	Setback  Setback
}

// Plan is the steps in their order.
type Plan struct {
	Stages   []Stage
	Ref      cite.Ref // of the order
	GatesRef cite.Ref // of the numbers
}

// Shipped returns the embedded steps. The order is common practice, the numbers of the gates are ours. It fails only
// if the embedded file is broken.
func Shipped() (*Plan, error) {
	return Load("switch.yaml", strings.NewReader(switchYAML))
}

// Load reads steps from YAML or JSON, in the form of the embedded file. The error is a strict.Faults.
func Load(path string, r io.Reader) (*Plan, error) {
	doc := strict.ReadAll(path, r)
	m := doc.Root().Map()
	p := &Plan{Ref: strict.Value(m, "evidence", cite.ParseRef), GatesRef: strict.Value(m, "gates", cite.ParseRef)}
	for _, n := range form.Filled(m.Get("stages"), "no stages") {
		s := n.Map()
		id := s.Get("id")
		st := Stage{}
		st.ID, _ = strict.Read(id, form.ID)
		if _, ok := p.stage(st.ID); ok {
			id.Fail("stage %q is already there", st.ID)
		}
		st.Name, st.Do, st.OldFood = strict.Value(s, "name", strict.Name), s.Text("do"), s.OptText("old-food")
		st.Boneless = s.Bool("boneless", false)
		g := s.Get("gate").Map()
		st.Gate = Gate{g.Int("days", 0, 365), g.Int("meals", 1, 200), strict.Value(g, "eaten", parsePart)}
		g.Done()
		b := s.Get("back").Map()
		st.Setback = Setback{b.Int("meals", 1, 200), b.Int("hours", 1, 24)}
		b.Done()
		s.Done()
		p.Stages = append(p.Stages, st)
	}
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

// parsePart reads a share above nothing and at most the whole.
func parsePart(s string) (units.Share, error) {
	v, err := units.ParseShare(s)
	if err == nil && (v <= 0 || v > units.Whole) {
		err = fmt.Errorf("share %s: want more than 0 and at most 100 %%", v)
	}
	return v, err
}

func (p *Plan) stage(id string) (int, bool) {
	i := slices.IndexFunc(p.Stages, func(s Stage) bool { return s.ID == id })
	return i, i >= 0
}

// State is where one animal stands.
type State struct {
	Animal    string
	Stage     string     // id of the step it is on
	Since     units.Date // first day on it
	VetAgreed bool       // a vet who knows the animal agreed to the change
}

// unclear says what of the log cannot be taken for or against the next step: an entry that could not be read, which may
// be a refusal or a sign of illness, or a meal of a step that the plan does not have.
func (p *Plan) unclear(l *log.Log, animal string) string {
	if len(l.Unread) > 0 {
		return fmt.Sprintf("an entry of the log cannot be read (line %d): put it right first", l.Unread[0].Line)
	}
	for _, e := range l.Entries {
		if _, known := p.stage(e.Stage); e.Stage != "" && !known && slices.Contains(e.For, animal) {
			return fmt.Sprintf("a meal in line %d is of the step %q, which is no step of this plan", e.At.Line, e.Stage)
		}
	}
	return ""
}

// Where is the step that an animal is on by the log: the one begun last. It reports false when the log holds none.
func Where(l *log.Log, animal string) (State, bool) {
	var last *log.StepNote
	for i := range l.Steps {
		n := &l.Steps[i]
		if n.Animal == animal && (last == nil || n.When.Compare(last.When) > 0) {
			last = n
		}
	}
	if last == nil {
		return State{Animal: animal}, false
	}
	s := State{Animal: animal, Stage: last.Stage, Since: last.When.Date}
	for _, n := range l.Steps {
		s.VetAgreed = s.VetAgreed || n.Animal == animal && n.VetAgreed
	}
	return s, true
}

// Skipped says where the steps of an animal in the log left out a step of the plan, or name one that it does not have;
// nil when they go forward one at a time. To go back by any number is never wrong.
func (p *Plan) Skipped(l *log.Log, animal string) []string {
	var own []log.StepNote
	for _, n := range l.Steps {
		if n.Animal == animal {
			own = append(own, n)
		}
	}
	slices.SortStableFunc(own, func(a, b log.StepNote) int { return a.When.Compare(b.When) })
	var out []string
	was := -1
	for i, n := range own {
		at, ok := p.stage(n.Stage)
		switch {
		case !ok:
			out = append(out, fmt.Sprintf("%s: %q is no step of this plan", n.When, n.Stage))
			continue
		case i > 0 && was >= 0 && at > was+1:
			out = append(out, fmt.Sprintf("%s: from %q to %q leaves out %q", n.When, p.Stages[was].Name, p.Stages[at].Name, p.Stages[was+1].Name))
		}
		was = at
	}
	return out
}

// Move is what to do next.
type Move uint8

const (
	Stay     Move = iota + 1 // go on as today
	Forward                  // on to To
	StepBack                 // back to To
	Ask                      // the log cannot say; write down what the reasons ask for
	VetFirst                 // do not change the food before a vet has agreed
	CallVet                  // a vet now; whatever it eats is right until then
)

var moveWords = units.Words[Move]{What: "move", Keys: []string{
	Stay: "stay", Forward: "next step", StepBack: "a step back", Ask: "cannot be said", VetFirst: "ask the vet first", CallVet: "see a vet now",
}}

// String returns the move in a few plain words.
func (m Move) String() string { return moveWords.Name(m) }

// MarshalText is [Move.String]; a value that is none of these is an error.
func (m Move) MarshalText() ([]byte, error) { return moveWords.Marshal(m) }

// Step is the answer of Next.
type Step struct {
	Move     Move
	From     Stage       // where it stands
	To       Stage       // where it stands after the move
	Reasons  []string    // never empty
	Gate     []GateCheck // what From asks before the next step, met or not, in a fixed order
	Hunger   Hunger
	Calcium  bool // at To calcium has to be added
	Cautions []string
}

// GateCheck is one thing that must hold before the next step.
type GateCheck struct {
	What string // what is asked
	Have string // what the log shows
	Met  bool
}

// Hunger is how long an animal has been without food by the log, and for how long it may be.
type Hunger struct {
	Written   bool               // something was written for it in the last twelve hours
	Since     time.Duration      // since it may last have eaten anything
	Certain   time.Duration      // since it last ate for certain
	BackAfter time.Duration      // without food, the step is gone back
	Vet       ration.WithoutFood // when a vet is called
}

// ErrStage is wrapped by Next for a step that the plan does not have.
var ErrStage = errors.New("no such stage")

const (
	// How old a weight may be at a gate, in days: the text says two.
	weightDays = 2
	// For how long it may be uncertain whether it ate, at least: the shortest time
	// after which any animal that does eat is taken to a vet.
	leastDoubt = 4 * time.Hour
)

// Next says what to do with an animal that is being switched, from the log up to its as-of moment. It looks for reasons to
// call a vet first, then for reasons to wait or go back, and only then at the gate. A refusal is never waited out: the
// animal gets the food it took before. What is not written down is not taken for a refusal, nor for a meal. It never goes
// forward by more than one step, and only when every part of the gate is met and every entry of the log could be read.
//
// The error wraps ErrStage, or says that the animal is not the state's.
func (p *Plan) Next(s State, a *ration.Animal, l *log.Log, lim log.WeightLimits) (Step, error) {
	at, ok := p.stage(s.Stage)
	if !ok {
		return Step{}, fmt.Errorf("switching %s: %q: %w", s.Animal, s.Stage, ErrStage)
	}
	if a == nil || a.ID != s.Animal {
		return Step{}, fmt.Errorf("switching %s: another animal was given: %w", s.Animal, ErrStage)
	}
	st := p.Stages[at]
	now := l.AsOf
	life := a.StageOn(now.Date)
	fast := l.Fast(a.ID)
	vetAfter := a.WithoutFood(now.Date)
	firm := l.Firm(a.ID)
	meals := stageMeals(l, a.ID, s)
	gate := gate(l, st, s, a, meals, firm, lim)
	step := func(m Move, to int, reasons ...string) (Step, error) {
		out := Step{Move: m, From: st, To: p.Stages[to], Reasons: reasons, Gate: gate, Calcium: p.Stages[to].Boneless}
		out.Hunger = Hunger{Written: fast.Written, Since: fast.MayHaveEaten, Certain: fast.Certain,
			BackAfter: time.Duration(st.Setback.Hours) * time.Hour, Vet: vetAfter}
		out.Cautions = []string{
			"Never starve an animal into a new food: offer what it took before.",
			"Weigh it every day while the food is changed.",
		}
		if out.Calcium {
			out.Cautions = append(out.Cautions, "This food holds no bone: add calcium, by weight.")
		}
		return out, nil
	}
	before := max(at-1, 0)

	var vet []string
	for _, al := range l.Alarms(a, lim) {
		vet = append(vet, al.Text)
	}
	if len(vet) > 0 {
		return step(CallVet, before, vet...)
	}
	if life == ration.Pregnant {
		return step(VetFirst, at, "no change of food in pregnancy")
	}
	if why := a.VetFirst(life); len(why) > 0 && !s.VetAgreed {
		return step(VetFirst, at, say.And(why)+": a vet who knows the animal has to agree first")
	}

	// Reasons to ask, to go back or to wait.
	if !fast.Written {
		return step(Ask, at, fmt.Sprintf("nothing is written down for the last %d hours: what did it eat?", log.NightHours))
	}
	refused := 0
	for _, m := range meals {
		if m.eaten.High > 0 {
			break
		}
		refused++
	}
	if refused >= st.Setback.Meals {
		return step(StepBack, before, fmt.Sprintf("%s refused one after the other", say.Counted(int64(refused), "meal", "meals")))
	}
	if fast.Refused && fast.MayHaveEaten >= time.Duration(st.Setback.Hours)*time.Hour {
		return step(StepBack, before, fmt.Sprintf("nothing eaten for %s (limit on this step %d h)", safety.PeriodText(fast.MayHaveEaten), st.Setback.Hours))
	}
	if fast.Certain >= max(vetAfter.After, leastDoubt) {
		return step(Ask, at, fmt.Sprintf("whether it ate in the last %s is not certain: weigh what is left, look for a stash, feed it apart", safety.PeriodText(fast.Certain)))
	}
	if why := p.unclear(l, a.ID); why != "" {
		return step(Ask, at, why)
	}
	if !firm {
		return step(Stay, at, "wait until the stools are firm again")
	}
	var lacks []string
	for _, g := range gate {
		if !g.Met {
			lacks = append(lacks, fmt.Sprintf("%s (wanted: %s)", g.Have, g.What))
		}
	}
	switch {
	case len(lacks) > 0:
		return step(Stay, at, lacks...)
	case at == len(p.Stages)-1:
		return step(Stay, at, "this is the last step")
	}
	return step(Forward, at+1, fmt.Sprintf("%s in a row eaten, weight and stools in order", say.Counted(int64(st.Gate.Meals), "meal", "meals")))
}

// gate holds the log against what a step asks. Meals are newest first.
func gate(l *log.Log, st Stage, s State, a *ration.Animal, meals []stageMeal, firm bool, lim log.WeightLimits) []GateCheck {
	on := max(l.AsOf.Date.DaysSince(s.Since), 0)
	good := 0
	for _, m := range meals {
		if wide.CmpMul(wide.U128{Lo: uint64(m.eaten.Low)}, uint64(units.Whole), wide.U128{Lo: uint64(m.offered)}, uint64(st.Gate.Eaten)) < 0 {
			break
		}
		good++
	}
	weight := GateCheck{What: "a weight of the last two days", Have: "no weight is written down"}
	if w := log.Weigh(l.Weights, a, l.AsOf.Date, lim); w.Known {
		weight.Have = fmt.Sprintf("the last weight is %s, of %s", form.Both(w.Latest.Mass), w.Latest.When.Date)
		weight.Met = l.AsOf.Date.DaysSince(w.Latest.When.Date) <= weightDays
	}
	stools := GateCheck{What: "firm stools", Have: "the last stools were not firm", Met: firm}
	if firm {
		stools.Have = "nothing against it is written down"
	}
	return []GateCheck{
		{"at least " + say.Counted(int64(st.Gate.Days), "day", "days"), say.Counted(int64(on), "day", "days") + " on this step", on >= st.Gate.Days},
		{fmt.Sprintf("%d, each at least %s eaten for certain", st.Gate.Meals, st.Gate.Eaten), say.Counted(int64(good), "meal", "meals") + " of this step in a row", good >= st.Gate.Meals},
		stools,
		weight,
	}
}

// stageMeal is what was offered of a step in one minute, and what was eaten of it.
type stageMeal struct {
	when    log.Moment
	offered units.Mass
	eaten   units.Range[units.Mass]
}

// stageMeals are the meals of the state's step since it began, newest first, treats apart. Foods put down in the same
// minute are one meal.
func stageMeals(l *log.Log, animal string, s State) []stageMeal {
	at := map[log.Moment]*stageMeal{}
	for _, e := range l.Entries {
		if e.Stage != s.Stage || e.Meal.Date < s.Since || e.Treat || !slices.Contains(e.For, animal) {
			continue
		}
		m := at[e.Meal]
		if m == nil {
			m = &stageMeal{when: e.Meal}
			at[e.Meal] = m
		}
		m.offered, m.eaten = form.Plus(m.offered, e.Offered), plus(m.eaten, l.Ate(e, animal))
	}
	out := make([]stageMeal, 0, len(at))
	for _, m := range at {
		out = append(out, *m)
	}
	slices.SortFunc(out, func(a, b stageMeal) int { return b.when.Compare(a.when) })
	return out
}

// Expectation is what is known of changing an animal's food.
type Expectation struct {
	Text string
	Ref  cite.Ref
}

// Expectations are what to expect of a switch. The slice is new on each call.
func Expectations() []Expectation {
	return []Expectation{
		{"In one trial 38 of 100 pet ferrets took a new dry food at once and 80 by the end: one in five never did.", cite.Published.Ref("summary", "linsart-2018")},
		{"Ferrets learn what food smells like from the second to the fourth month of life; at a year they took no interest in prey they did not know.", cite.Published.Ref("abstract", "apfelbach-1992")},
		{"Keepers write of 7 to 14 days for an animal that is willing, and of months for a set adult.", cite.Practice.Ref("7 to 14 days; months for a set adult")},
		{"Fat polecats that fasted five days got fatty livers while their blood sugar stayed normal: never wait out a refusal.", cite.Published.Ref("abstract", "mustonen-2009").BorrowedFrom("polecat")},
	}
}

func plus(a, b units.Range[units.Mass]) units.Range[units.Mass] {
	return units.Range[units.Mass]{Low: form.Plus(a.Low, b.Low), Typical: form.Plus(a.Typical, b.Typical), High: form.Plus(a.High, b.High)}
}
