package ration

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration/internal/form"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// PlanSchema names the form of a plan in JSON and YAML. It changes when a reader of the old form would misread the new.
const PlanSchema = "fitchet.plan/1"

// ErrPlan is wrapped by errors about a plan value that cannot be written or worked on.
var ErrPlan = errors.New("plan is not whole")

// Serving is one food in a bowl.
type Serving struct {
	Food   *prey.Food
	Mass   units.Mass  // exact, above zero
	Pieces int64       // 0: not counted
	Form   safety.Form // how it is served; 0: not written down, see FormOf
}

// FormOf returns the form of the serving: what is written, or else what follows from the kind of food (whole prey whole,
// bone-in cuts bone-in, mixes minced, dried food dried, everything else in pieces).
func (s Serving) FormOf() safety.Form {
	if s.Form != 0 {
		return s.Form
	}
	switch {
	case s.Food == nil:
		return safety.Pieces
	case s.Food.Kind == prey.WholePrey:
		return safety.WholePrey
	case s.Food.Kind == prey.Mix:
		return safety.Minced
	case s.Food.Kind == prey.DriedRaw || s.Food.Kind == prey.DryFood:
		return safety.Dried
	case s.Food.BoneIn:
		return safety.BoneIn
	}
	return safety.Pieces
}

// Meal is one bowl of one meal of a day.
type Meal struct {
	Slot     int      // 1 for the first meal of the day
	For      []string // ids of the animals that eat from the bowl; at least one
	Servings []Serving
}

// Day is the meals of one date.
type Day struct {
	Date  units.Date
	Meals []Meal
}

// Plan is what is fed, when and to whom. It is data: nothing in it says whether it is good.
type Plan struct {
	Household string
	Start     units.Date
	Target    string // id of a balance target; "" for the default
	Days      []Day  // in the order of their dates, each date once
}

// Position says where in a plan a serving stands. All three are indexes.
type Position struct{ Day, Meal, Serving int }

// Servings goes through all servings in order.
func (p *Plan) Servings() iter.Seq2[Position, *Serving] {
	if p == nil {
		p = &Plan{}
	}
	return func(yield func(Position, *Serving) bool) {
		for d := range p.Days {
			for m := range p.Days[d].Meals {
				meal := &p.Days[d].Meals[m]
				for s := range meal.Servings {
					if !yield(Position{d, m, s}, &meal.Servings[s]) {
						return
					}
				}
			}
		}
	}
}

// Where describes a spot for people: "2026-11-30, meal 1, for bramble and moss".
func (p *Plan) Where(s Position) string {
	if p == nil {
		p = &Plan{}
	}
	if s.Day < 0 || s.Day >= len(p.Days) || s.Meal < 0 || s.Meal >= len(p.Days[s.Day].Meals) {
		return "nowhere in the plan"
	}
	m := p.Days[s.Day].Meals[s.Meal]
	return fmt.Sprintf("%s, meal %d, for %s", p.Days[s.Day].Date, m.Slot, say.And(m.For))
}

// Tally sums everything in the plan. Errors wrap those of prey.Tally, or ErrPlan for a serving without food.
func (p *Plan) Tally() (prey.Tally, error) {
	var t prey.Tally
	for at, s := range p.Servings() {
		if err := t.Add(s.Food, s.Mass); err != nil {
			return prey.Tally{}, fmt.Errorf("summing the plan at %s: %w", p.Where(at), err)
		}
	}
	return t, nil
}

type jsonServing struct {
	Food   string      `json:"food"`
	Mass   units.Mass  `json:"mass"`
	Pieces int64       `json:"pieces,omitempty"`
	Form   safety.Form `json:"form,omitzero"`
}

type jsonMeal struct {
	Slot     int           `json:"meal"`
	For      []string      `json:"for"`
	Servings []jsonServing `json:"servings"`
}

type jsonDay struct {
	Date  units.Date `json:"date"`
	Meals []jsonMeal `json:"meals"`
}

type jsonPlan struct {
	Schema    string       `json:"schema"`
	Household string       `json:"household"`
	Start     units.Date   `json:"start"`
	Target    string       `json:"target,omitempty"`
	Days      []jsonDay    `json:"days"`
	Foods     []*prey.Food `json:"foods,omitempty"`
}

// MarshalJSON writes the plan in the form PlanSchema: masses as exact text in grams, foods by id. Foods that are not of the
// shipped catalogue follow with all that is known of them, so that UnmarshalJSON and LoadPlan read back the same value. A
// plan that LoadPlan would refuse for its own sake (a serving without food or mass, a bowl for nobody, days out of order)
// is an error that wraps ErrPlan.
func (p Plan) MarshalJSON() ([]byte, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	own, name, err := prey.Own(p.foods())
	if err != nil {
		return nil, fmt.Errorf("plan for %q: %w", p.Household, err)
	}
	return p.json(own, name)
}

// json writes a plan that was checked, with foods that come with it.
func (p *Plan) json(own []*prey.Food, name func(*prey.Food) string) ([]byte, error) {
	out := jsonPlan{Schema: PlanSchema, Household: p.Household, Start: p.Start, Target: p.Target, Days: []jsonDay{}, Foods: own}
	for _, d := range p.Days {
		jd := jsonDay{Date: d.Date, Meals: []jsonMeal{}}
		for _, m := range d.Meals {
			jm := jsonMeal{Slot: m.Slot, For: m.For, Servings: []jsonServing{}}
			for _, s := range m.Servings {
				jm.Servings = append(jm.Servings, jsonServing{name(s.Food), s.Mass, s.Pieces, s.Form})
			}
			jd.Meals = append(jd.Meals, jm)
		}
		out.Days = append(out.Days, jd)
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(out); err != nil {
		return nil, fmt.Errorf("plan for %q: %w: %w", p.Household, ErrPlan, err)
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}

// check reports the first thing that makes the plan unwritable.
func (p *Plan) check() error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("plan for %q: %s: %w", p.Household, fmt.Sprintf(format, args...), ErrPlan)
	}
	if _, err := strict.Name(p.Household); err != nil {
		return bad("no household: %v", err)
	}
	last := units.Date(-1 << 31)
	for i, d := range p.Days {
		if d.Date <= last || d.Date < p.Start {
			return bad("day %s is out of order", d.Date)
		}
		last = d.Date
		for j, m := range d.Meals {
			where := p.Where(Position{i, j, 0})
			if m.Slot < 1 || m.Slot > MaxMeals || len(m.For) == 0 || len(m.Servings) == 0 {
				return bad("%s: want a meal from 1 to %d, somebody to eat it and something in it", where, MaxMeals)
			}
			for k, id := range m.For {
				if _, err := form.ID(id); err != nil || slices.Contains(m.For[:k], id) {
					return bad("%s: animal %q stands twice or has no proper id", where, id)
				}
			}
			for _, s := range m.Servings {
				if s.Food == nil || s.Mass <= 0 || s.Mass > maxMass || s.Pieces < 0 || s.Mass < units.Mass(s.Pieces) || s.Pieces > maxPieces || s.Form > safety.Soaked {
					return bad("%s: a serving without food, mass or a proper form", where)
				}
			}
		}
	}
	return nil
}

// MaxMeals is the largest number that a meal of a day has.
const MaxMeals = 24

// LoadPlan reads a plan from YAML or JSON in the form PlanSchema. Foods are looked up in c (the shipped catalogue when
// nil). The plan must name household h, and its animals must be of h; with a nil h their ids are only checked for form.
// Foods that come with a plan are its own where c is nil; else c must hold them just so.
//
// The error holds every fault of the file at once, each with path:line:column: another schema or household, an unknown food
// or animal with the nearest known name, a mass without unit or of nothing, a day out of order, an animal twice at one bowl.
func LoadPlan(path string, r io.Reader, c *prey.Catalogue, h *Household) (*Plan, error) {
	held := c != nil
	if !held {
		var err error
		if c, err = prey.Shipped(); err != nil {
			return nil, fmt.Errorf("plan %s: %w", path, err)
		}
	}
	doc := strict.ReadAll(path, r)
	rd := &reader{path: path, foods: c, held: held}
	p := rd.plan(doc.Root(), h)
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

func (rd *reader) plan(root strict.Node, h *Household) *Plan {
	m := root.Map()
	rd.carried(m)
	strict.Value(m, "schema", form.Schema(PlanSchema))
	name := ""
	if h != nil {
		name = h.Name
	}
	p := &Plan{Household: strict.Value(m, "household", form.Household(name))}
	p.Start = strict.Value(m, "start", units.ParseDate)
	p.Target = m.OptText("target")
	animal := form.ID
	if h != nil {
		animal = form.OneOf("animal", h.IDs())
	}
	var last units.Date
	for i, n := range m.Get("days").List() {
		d := n.Map()
		at := d.Get("date")
		day := Day{}
		var ok bool
		if day.Date, ok = strict.Read(at, units.ParseDate); ok {
			switch {
			case p.Start != 0 && day.Date < p.Start:
				at.Fail("%s lies before the start of the plan, %s", day.Date, p.Start)
			case i > 0 && day.Date <= last:
				at.Fail("%s does not come after %s: days stand in order, each once", day.Date, last)
			}
			last = day.Date
		}
		for _, mn := range d.Get("meals").List() {
			day.Meals = append(day.Meals, rd.meal(mn, animal))
		}
		d.Done()
		p.Days = append(p.Days, day)
	}
	m.Done()
	return p
}

func (rd *reader) meal(n strict.Node, animal func(string) (string, error)) Meal {
	m := n.Map()
	meal := Meal{Slot: int(m.Int("meal", 1, MaxMeals))}
	for _, e := range form.Filled(m.Get("for"), "a bowl for nobody") {
		id, ok := strict.Read(e, animal)
		switch {
		case !ok:
		case slices.Contains(meal.For, id):
			e.Fail("animal %q stands twice at this bowl", id)
		default:
			meal.For = append(meal.For, id)
		}
	}
	for _, e := range form.Filled(m.Get("servings"), "a bowl with nothing in it") {
		meal.Servings = append(meal.Servings, rd.serving(e))
	}
	m.Done()
	return meal
}

func (rd *reader) serving(n strict.Node) Serving {
	m := n.Map()
	s := Serving{Food: strict.Value(m, "food", rd.food)}
	s.Mass, s.Pieces = rd.amount(n, m, s.Food, "mass")
	s.Form, _ = strict.OptValue(m, "form", safety.ParseForm)
	m.Done()
	return s
}
