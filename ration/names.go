package ration

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"fitchet.example/prey"
	"fitchet.example/ration/internal/form"
	"fitchet.example/units/strict"
)

// ErrAnimalID is wrapped by errors about animals that their ids do not tell apart.
var ErrAnimalID = errors.New("animals are not told apart by their ids")

// IDError is an id that two animals of a household have, or that an animal lacks.
type IDError struct {
	ID            string // "" where there is none
	First, Second int    // where they stand in Household.Animals; equal where an id is lacking
}

// Error names the id and the places of the animals, counted from 1.
func (e *IDError) Error() string {
	if e.First == e.Second {
		return fmt.Sprintf("animal %d has no id: %v", e.First+1, ErrAnimalID)
	}
	return fmt.Sprintf("animals %d and %d both have the id %.70q: %v", e.First+1, e.Second+1, e.ID, ErrAnimalID)
}

// Unwrap returns ErrAnimalID.
func (e *IDError) Unwrap() error { return ErrAnimalID }

// CheckIDs returns nil when each animal has an id of its own, and else an *IDError about the first that has not. A
// household that was loaded has been checked; one that was built in code may not have been.
func (h *Household) CheckIDs() error {
	if h == nil {
		h = &Household{}
	}
	const few = 16 // up to here a map costs more than looking at each
	var seen map[string]int
	if len(h.Animals) > few {
		seen = make(map[string]int, len(h.Animals))
	}
	for i := range h.Animals {
		id := h.Animals[i].ID
		if id == "" {
			return &IDError{First: i, Second: i}
		}
		if seen != nil {
			if first, ok := seen[id]; ok {
				return &IDError{id, first, i}
			}
			seen[id] = i
			continue
		}
		for j := range i {
			if h.Animals[j].ID == id {
				return &IDError{id, j, i}
			}
		}
	}
	return nil
}

// ErrUnknownWord is wrapped by errors about a word said of an animal that no list holds: it would otherwise mean nothing.
var ErrUnknownWord = errors.New("not a known word")

// CheckWords returns nil when the species and conditions of every animal are of the closed lists and, where a catalogue is
// given, what it must never get is a food, an animal or a group that the catalogue knows; else an error about the first
// that is not, with the nearest. A household that was loaded has been checked; one that was built in code may not have been.
func (h *Household) CheckWords(foods *prey.Catalogue) error {
	if h == nil {
		h = &Household{}
	}
	for i := range h.Animals {
		if err := h.Animals[i].checkWords(foods); err != nil {
			return fmt.Errorf("animal %.70q: %w: %w", h.Animals[i].ID, ErrUnknownWord, err)
		}
	}
	return nil
}

func (a *Animal) checkWords(foods *prey.Catalogue) error {
	if k := a.Kind(); k != Ferret && k != Cat && k != Mink {
		_, err := ParseSpecies(k)
		return err
	}
	known := conditions()
	for _, c := range a.Conditions {
		if !slices.Contains(known[:], c) {
			_, err := form.OneOf("condition", Conditions())(c)
			return err
		}
	}
	for _, n := range a.Never {
		if foods == nil {
			break
		}
		if _, err := (&reader{foods: foods}).foodOrSpecies(n); err != nil {
			return fmt.Errorf("never: %w", err)
		}
	}
	return nil
}

// NameOf is what the animal with this id is called on all that people read: its name, and its id in brackets behind it
// where the name looks like a name or an id of another in the household; the id alone where there is no name to be seen,
// and of an animal that is not there. It is harmless text, as that of strict.Line.
func (h *Household) NameOf(id string) string {
	if h == nil {
		h = &Household{}
	}
	a, ok := h.Animal(id)
	if !ok {
		return strict.Line(id)
	}
	name := strict.Line(a.Name)
	if _, err := strict.Name(name); err != nil || a.Name == a.ID {
		return strict.Line(a.ID)
	}
	for i := range h.Animals {
		o := &h.Animals[i]
		if o.ID == a.ID {
			continue
		}
		// The last: a name that another gets from here.
		if alike(name, o.ID) || alike(name, strict.Line(o.Name)) || strings.HasSuffix(name, ")") && alike(name, beside(o)) {
			return beside(a)
		}
	}
	return name
}

func beside(a *Animal) string { return strict.Line(a.Name + " (" + a.ID + ")") }

// NamedLike reports whether what two animals are called looks alike to people; one without a name is called by its id.
func (a *Animal) NamedLike(o *Animal) bool {
	return alike(strict.Line(cmp.Or(a.Name, a.ID)), strict.Line(cmp.Or(o.Name, o.ID)))
}

// alike reports whether two names look alike: in capitals or not, with more or fewer blanks, with marks that do not show,
// and with an accent written as one character or as two.
func alike(a, b string) bool {
	simple := func(s string) bool { return !strings.ContainsFunc(s, func(r rune) bool { return r <= ' ' || r > '~' }) }
	return strings.EqualFold(a, b) || !(simple(a) && simple(b)) && looks(a) == looks(b)
}

// looks is the same for names that look alike. An accent counts as one, whichever it is.
func looks(s string) string {
	const accented = '\ufffd'
	var out []rune
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Cf, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point):
		case unicode.Is(unicode.Mn, r) && len(out) > 0:
			out[len(out)-1] = accented
		case r > '~' && unicode.Is(unicode.Latin, r):
			out = append(out, accented)
		default:
			out = append(out, unicode.ToLower(r))
		}
	}
	return strings.Join(strings.Fields(string(out)), " ")
}
