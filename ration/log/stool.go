package log

import (
	"fmt"
	"strings"

	"fitchet.example/ration/internal/form"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// StoolClass is what a stool looks like, in plain words. It is no diagnosis.
type StoolClass uint8

const (
	StoolUnknown StoolClass = iota
	Firm
	Soft
	Loose
	Watery
	Slimy
	Grainy
	PaleCrumbly
	Green
	Bloody
	Black
	NoStool
)

// Urgency is how soon something has to be done.
type Urgency uint8

const (
	Fine    Urgency = iota + 1 // nothing to do
	Look                       // watch it, change the food
	VetSoon                    // see a vet if it lasts
	VetNow                     // see a vet now
)

var urgencyWords = units.Words[Urgency]{What: "urgency", Keys: []string{
	Fine: "fine", Look: "look", VetSoon: "see a vet if it lasts", VetNow: "see a vet now",
}}

// String returns "fine", "look", "see a vet if it lasts" or "see a vet now".
func (u Urgency) String() string { return urgencyWords.Name(u) }

// MarshalText is [Urgency.String]; a value that is none of these is an error.
func (u Urgency) MarshalText() ([]byte, error) { return urgencyWords.Marshal(u) }

// Stool describes a class.
type Stool struct {
	Class   StoolClass
	Word    string // as written in a log
	Looks   string
	Likely  string // what keepers and clinics take it for
	Do      string
	Urgency Urgency
	Ref     cite.Ref
}

// Stools returns every class, from the ordinary to the alarming. The table is new on each call.
func Stools() []Stool {
	lasting := cite.Choice.Ref("that it goes to a vet after a day, or at once with dullness, is ours; no threshold was read")
	return []Stool{
		{Firm, "firm", "holds its shape, moist, brown", "in order", "nothing", Fine, cite.Practice.Ref("a formed stool is in order")},
		{Soft, "soft", "holds no edges", "a new food, much fat, much organ", "expected for a few days after a change; wait with the next step", Look, cite.Practice.Ref("soft stools for a time after a change")},
		{Loose, "loose", "spreads flat", "too quick a change, too rich", "go a step back; a vet if it lasts more than a few days", VetSoon, cite.Practice.Ref("back to the old food if soft stools persist")},
		{Watery, "watery", "runs", "illness, or food that went off", "a vet the same day for a kit or a weak animal; water always at hand", VetSoon, cite.Practice.Ref("runny stools")},
		{Slimy, "slimy", "covered in slime", "an irritated gut", "expected for a few days after a change; a vet if it lasts, or with dullness", VetSoon, cite.Practice.Ref("slimy stools for a time after a change")},
		{Grainy, "grainy", "pale grains in it", "fat or starch that was not digested", "a vet after a day, or at once with dullness", VetSoon, lasting},
		{PaleCrumbly, "pale-crumbly", "dry, chalky, falls apart", "too much bone", "halve the bone", Look, cite.Practice.Ref("white or hard stools: cut bone by half")},
		{Green, "green", "green and slimy", "food that passed fast, an irritated gut; no single disease", "a vet after a day, or at once with dullness", VetSoon, lasting},
		{Bloody, "bloody", "fresh blood on it or in it", "a bleeding gut", "a vet now", VetNow, cite.Practice.Ref("blood goes to a vet")},
		{Black, "black", "black and tarry", "digested blood", "a vet now", VetNow, cite.Practice.Ref("black tarry stool goes to a vet now")},
		{NoStool, "none", "none for a day", "a blockage, or no food", "a vet now", VetNow, cite.Practice.Ref("no stool with vomiting or a sore belly: blockage")},
	}
}

// String returns the word written in a log.
func (c StoolClass) String() string {
	for _, s := range Stools() {
		if s.Class == c {
			return s.Word
		}
	}
	return "unknown"
}

// Stool returns the description of the class; false for StoolUnknown.
func (c StoolClass) Stool() (Stool, bool) {
	for _, s := range Stools() {
		if s.Class == c {
			return s, true
		}
	}
	return Stool{}, false
}

// ParseStoolClass reads the word written in a log.
func ParseStoolClass(s string) (StoolClass, error) {
	var words []string
	for _, st := range Stools() {
		if s == st.Word {
			return st.Class, nil
		}
		words = append(words, st.Word)
	}
	return StoolUnknown, fmt.Errorf("stool %.40q: %w; want %s", s, form.ErrName, strings.Join(words, ", "))
}
