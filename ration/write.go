package ration

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"iter"
	"reflect"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// WritePlan writes a plan as a new file in JSON, foods by id and nothing else of them: LoadPlan reads it back to the same
// value with the catalogue that its foods are of, unless a count of pieces in it is not believed. The error wraps ErrPlan for
// a plan that is not whole, or is that of w.
func WritePlan(w io.Writer, p *Plan) error {
	if p == nil {
		return fmt.Errorf("writing no plan: %w", ErrPlan)
	}
	if err := p.check(); err != nil {
		return err
	}
	if err := oneFoodEach(p.foods()); err != nil {
		return fmt.Errorf("plan for %q: %w: %w", p.Household, ErrPlan, err)
	}
	text, err := p.json(nil, foodID)
	if err != nil {
		return err
	}
	if _, err := w.Write(append(text, '\n')); err != nil {
		return fmt.Errorf("writing the plan for %q: %w", p.Household, err)
	}
	return nil
}

// oneFoodEach refuses two different foods of one id, which a file could not tell apart.
func oneFoodEach(foods iter.Seq[*prey.Food]) error {
	seen := map[string]*prey.Food{}
	for f := range foods {
		if was := seen[f.ID]; was != nil && !was.Equal(f) {
			return fmt.Errorf("two different foods have the id %s", f.ID)
		}
		seen[f.ID] = f
	}
	return nil
}

// WriteHousehold writes a household as a new file in YAML, foods by id: LoadHousehold reads it back to the same value with
// the catalogue that its foods are of. The error wraps ErrHousehold for a household that LoadHousehold would refuse, or is
// that of w.
func WriteHousehold(w io.Writer, h *Household) error {
	if h == nil {
		return fmt.Errorf("writing no household: %w", ErrHousehold)
	}
	fail := func(err error) error { return fmt.Errorf("writing household %q: %w: %w", h.Name, ErrHousehold, err) }
	fields, err := h.fields(foodID)
	if err != nil {
		return fail(err)
	}
	text, err := fields.YAML()
	if err != nil {
		return fail(err)
	}
	rd := &reader{path: "household", own: map[string]*prey.Food{}}
	if rd.foods, err = prey.Shipped(); err != nil {
		return fail(err)
	}
	if err := oneFoodEach(h.foods()); err != nil {
		return fail(err)
	}
	for f := range h.foods() {
		rd.own[f.ID] = f
	}
	return rd.deliver(w, text, h)
}

func foodID(f *prey.Food) string { return f.ID }

// deliver writes the text of a household if it reads as that household.
func (rd *reader) deliver(w io.Writer, text []byte, h *Household) error {
	doc := strict.Parse(rd.path, text)
	back := rd.household(doc.Root())
	err := doc.Err()
	if err == nil {
		filled := *h
		filled.Start, filled.Animals = h.FirstDay(), slices.Clone(h.Animals)
		for i := range filled.Animals {
			a := &filled.Animals[i]
			a.Name, a.Species = cmp.Or(a.Name, a.ID), a.Kind()
		}
		want, err1 := filled.fields(foodID)
		got, err2 := back.fields(foodID)
		if err = cmp.Or(err1, err2); err == nil && !reflect.DeepEqual(got, want) {
			err = errors.New("it would be read otherwise than it is")
		}
	}
	if err != nil {
		return fmt.Errorf("writing household %q: %w: %w", h.Name, ErrHousehold, err)
	}
	if _, err := w.Write(text); err != nil {
		return fmt.Errorf("writing household %q: %w", h.Name, err)
	}
	return nil
}

// HouseholdFile is a household file that was read, with its order and its comments, so that it can be written back. It is
// read by OpenHousehold.
type HouseholdFile struct {
	doc   *strict.Doc
	was   Household
	foods *prey.Catalogue
}

// OpenHousehold is LoadHousehold for a file that is to be written back.
func OpenHousehold(path string, r io.Reader, c *prey.Catalogue) (*Household, *HouseholdFile, error) {
	h, rd, doc, err := openHousehold(path, r, c)
	if err != nil {
		return nil, nil, err
	}
	was := *h
	was.Animals, was.Stock, was.Offers = slices.Clone(h.Animals), slices.Clone(h.Stock), slices.Clone(h.Offers)
	return h, &HouseholdFile{doc: doc, was: was, foods: rd.foods}, nil
}

// before is what the file said, had it been written on that day: an age is counted back from it.
func (f *HouseholdFile) before(asOf units.Date) (strict.Fields, error) {
	was := f.was
	was.Animals = slices.Clone(was.Animals)
	for i, n := range f.doc.Root().Map().Get("animals").List() {
		if _, aged := n.Map().Opt("age"); aged {
			was.Animals[i].Born = was.Animals[i].Born.AddDays(asOf.DaysSince(was.AsOf))
		}
	}
	return was.fields(foodID)
}

// Write writes the file with what has changed in the household since it was read. Without a change that is the file byte
// for byte. A changed value takes the place of the old one, and all else stays as it is; where lots, animals or keys come or
// go the text is laid out anew, with its order and the comments at what stays. What is not kept is returned in words, to be
// shown or asked about before the file is replaced: a comment at a lot that is gone, the spacing.
//
// Animals are told apart by their ids, lots and offers by their foods in the order of the file.
//
// The error wraps ErrHousehold for a household that LoadHousehold would refuse, and strict.ErrRewrite where no text could be
// made; nothing is written then. Else it is that of w.
func (f *HouseholdFile) Write(w io.Writer, h *Household) (lost []string, err error) {
	if f == nil || f.doc == nil || h == nil {
		return nil, fmt.Errorf("writing a household: no file was read, or there is none to write: %w", ErrHousehold)
	}
	now, err := h.fields(foodID)
	if err != nil {
		return nil, fmt.Errorf("writing household %q: %w: %w", h.Name, ErrHousehold, err)
	}
	before, err := f.before(h.AsOf)
	if err != nil {
		return nil, fmt.Errorf("writing household %q: %w: %w", h.Name, ErrHousehold, err)
	}
	text, lost, err := f.doc.Rewrite(before, now, map[string]string{"born": "age"})
	if err != nil {
		return nil, fmt.Errorf("writing household %q: %w", h.Name, err)
	}
	rd := &reader{path: "household", foods: f.foods}
	return lost, rd.deliver(w, text, h)
}
