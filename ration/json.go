package ration

import (
	"bytes"
	"errors"
	"fmt"
	"iter"
	"reflect"
	"strconv"
	"time"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// ErrHousehold is wrapped by errors about a household value that cannot be written.
var ErrHousehold = errors.New("household is not whole")

// foods are the foods of the plan, as often as they are served.
func (p *Plan) foods() iter.Seq[*prey.Food] {
	return func(yield func(*prey.Food) bool) {
		for _, s := range p.Servings() {
			if !yield(s.Food) {
				return
			}
		}
	}
}

// foods are those that there are and that can be bought.
func (h *Household) foods() iter.Seq[*prey.Food] {
	return func(yield func(*prey.Food) bool) {
		for i := range h.Stock {
			if !yield(h.Stock[i].Food) {
				return
			}
		}
		for i := range h.Offers {
			if !yield(h.Offers[i].Food) {
				return
			}
		}
	}
}

// UnmarshalJSON reads what MarshalJSON wrote: foods by id from those that come with the plan, and else from the shipped
// catalogue. The animals are checked for form alone; LoadPlan holds them to a household. The error is a strict.Faults with
// line and column within the text; it wraps *prey.UnknownFoodError for a food that is in neither. Null changes nothing.
func (p *Plan) UnmarshalJSON(text []byte) error {
	return read(text, "plan", p, func(rd *reader, n strict.Node) *Plan {
		rd.any = true
		return rd.plan(n, nil)
	})
}

// UnmarshalJSON reads what MarshalJSON wrote, and JSON in the form of a household file. It is as strict as LoadHousehold
// about what is written, fills nothing in and asks neither for stock nor for a name or day. The values do not know where
// they were read (At). The error is a strict.Faults with line and column within the text. Null changes nothing.
func (h *Household) UnmarshalJSON(text []byte) error {
	return read(text, "household", h, (*reader).household)
}

func read[T any](text []byte, what string, to *T, how func(*reader, strict.Node) *T) error {
	if string(text) == "null" {
		return nil
	}
	c, err := prey.Shipped()
	if err != nil {
		return fmt.Errorf("reading a %s: %w", what, err)
	}
	doc := strict.Parse(what, text)
	got := how(&reader{path: what, foods: c, value: true}, doc.Root())
	if err := doc.Err(); err != nil {
		return err
	}
	*to = *got
	return nil
}

// carried reads the foods that come with a plan or household, under the names that prey.Own gave them. They go before those
// of the catalogue. A household file has a catalogue with them laid over it.
func (rd *reader) carried(m strict.Map) {
	list, ok := m.Opt("foods")
	if !ok {
		return
	}
	rd.own = map[string]*prey.Food{}
	alike := map[string]int{}
	var own []prey.Food
	for _, n := range list.List() {
		f := prey.ReadFood(n)
		switch had, err := rd.foods.Find(f.ID); {
		case err == nil && had.Equal(f):
			f = had
		case rd.held:
			n.Fail("food %s is not as the catalogue has it: lay it over the catalogue first", f.ID)
		default:
			own = append(own, *f)
		}
		rd.own[prey.Called(f.ID, alike[f.ID])] = f
		alike[f.ID]++
	}
	if !rd.lay || len(own) == 0 {
		return
	}
	with, err := rd.foods.With(own)
	if err != nil {
		list.Fail("%w", err)
		return
	}
	rd.foods, rd.own = with, nil
}

// MarshalJSON writes the household in the form of a household file: quantities as exact text, foods by id. Foods that are
// not of the shipped catalogue follow with all that is known of them. Where the parts were read (At) is not written. A
// household that UnmarshalJSON would refuse or read otherwise (no animals, a weight that is not believed, a word that is not as CheckWords has it) is an error that wraps ErrHousehold.
func (h Household) MarshalJSON() ([]byte, error) {
	text, err := h.json()
	if err != nil {
		return nil, fmt.Errorf("household %q: %w: %w", h.Name, ErrHousehold, err)
	}
	return text, nil
}

func (h *Household) json() ([]byte, error) {
	own, name, err := prey.Own(h.foods())
	if err != nil {
		return nil, err
	}
	fields, err := h.fields(name)
	if err != nil {
		return nil, err
	}
	out := fields
	if len(own) > 0 {
		out = append(fields[:len(fields):len(fields)], strict.Field{Key: "foods", Value: own})
	}
	text, err := out.MarshalJSON()
	if err != nil {
		return nil, err
	}
	var back Household
	if err := back.UnmarshalJSON(text); err != nil {
		return nil, err
	}
	_, name, err = prey.Own(back.foods())
	if err != nil {
		return nil, err
	}
	if again, err := back.fields(name); err != nil || !reflect.DeepEqual(again, fields) {
		return nil, fmt.Errorf("it would be read otherwise than it is")
	}
	return bytes.Clone(text), nil
}

// fields are what a household file says, in the order of the package comment. What is zero is left out.
// Name is what it calls a food.
func (h *Household) fields(name func(*prey.Food) string) (strict.Fields, error) {
	var out fields
	out.text("household", h.Name)
	out.date("as-of", h.AsOf)
	out.date("start", h.Start)
	out.text("target", h.Target)
	out.text("region", h.Region)
	if h.Room != nil {
		out.text("room", h.Room.String())
	}
	if h.Freezer != nil {
		out.text("freezer", h.Freezer.String())
	}
	if h.Waking != nil {
		out.text("waking", h.Waking.String())
		if w, err := ParseWindow(h.Waking.String()); err != nil || w != *h.Waking {
			return nil, fmt.Errorf("waking hours %s: want whole minutes, more than none and less than a day", h.Waking)
		}
	}
	out.number("meals-per-day", int64(h.MealsPerDay))
	out.yes("people-at-risk", h.PeopleAtRisk)
	if h.Style != AnyStyle {
		out.text("style", h.Style.String())
	}
	animals := []any{}
	for i := range h.Animals {
		if gap := h.Animals[i].LongestGap; gap%time.Minute != 0 {
			return nil, fmt.Errorf("animal %d: longest gap %s: want whole minutes", i+1, gap)
		}
		animals = append(animals, h.Animals[i].fields())
	}
	out.add("animals", animals)
	var stock, offers []any
	for i := range h.Stock {
		s := &h.Stock[i]
		if s.Food == nil {
			return nil, fmt.Errorf("lot %d of the stock has no food", i+1)
		}
		stock = append(stock, s.fields(name(s.Food)))
	}
	for i := range h.Offers {
		o := &h.Offers[i]
		if o.Food == nil {
			return nil, fmt.Errorf("offer %d has no food", i+1)
		}
		offers = append(offers, o.fields(name(o.Food)))
	}
	if len(stock) > 0 {
		out.add("stock", stock)
	}
	if len(offers) > 0 {
		out.add("offers", offers)
	}
	return strict.Fields(out), nil
}

func (a *Animal) fields() strict.Fields {
	var out fields
	out.text("id", a.ID)
	out.text("name", a.Name)
	out.text("species", a.Species)
	if a.Sex != SexUnknown {
		out.text("sex", a.Sex.String())
	}
	out.text("weight", a.Mass.String())
	out.date("born", a.Born)
	if a.Neutered != nil {
		out.add("neutered", *a.Neutered)
	}
	out.yes("outdoor", a.Outdoor)
	if a.Stage != StageByAge {
		out.text("stage", a.Stage.String())
	}
	out.list("conditions", a.Conditions)
	if a.LongestGap != 0 {
		out.text("longest-gap", period(a.LongestGap))
	}
	out.list("never", a.Never)
	out.text("group", a.Group)
	return strict.Fields(out)
}

func (s *Stock) fields(food string) strict.Fields {
	var out fields
	out.text("food", food)
	out.text("mass", s.Mass.String())
	out.number("pieces", s.Pieces)
	out.date("best-before", s.BestBefore)
	out.date("frozen", s.Frozen)
	if s.Cost != nil {
		out.text("cost", s.Cost.String())
	}
	out.text("supplier", s.Supplier)
	out.text("lot", s.Lot)
	return strict.Fields(out)
}

func (o *Offer) fields(food string) strict.Fields {
	var out fields
	out.text("food", food)
	out.text("pack", o.Pack.String())
	out.number("pieces", o.Pieces)
	out.text("price", o.Price.String())
	out.text("supplier", o.Supplier)
	out.number("max", o.Max)
	return strict.Fields(out)
}

// period is a length of time as files have it; seconds cannot be written.
func period(d time.Duration) string {
	if d%time.Hour == 0 {
		return strconv.FormatInt(int64(d/time.Hour), 10) + " h"
	}
	return strconv.FormatInt(int64(d/time.Minute), 10) + " min"
}

// fields gathers what is not zero.
type fields strict.Fields

func (f *fields) add(key string, v any) { *f = append(*f, strict.Field{Key: key, Value: v}) }

func (f *fields) text(key, s string) {
	if s != "" {
		f.add(key, s)
	}
}

func (f *fields) date(key string, d units.Date) {
	if d != 0 {
		f.add(key, d.String())
	}
}

func (f *fields) number(key string, n int64) {
	if n != 0 {
		f.add(key, n)
	}
}

func (f *fields) yes(key string, v bool) {
	if v {
		f.add(key, true)
	}
}

func (f *fields) list(key string, words []string) {
	if len(words) == 0 {
		return
	}
	var out []any
	for _, w := range words {
		out = append(out, w)
	}
	f.add(key, out)
}
