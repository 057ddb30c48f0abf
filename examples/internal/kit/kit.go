// Package kit is what a program works with: the shipped foods, rules, hazards
// and notices, with a keeper's own files laid over them.
package kit

import (
	"fmt"
	"io"
	"strings"

	"fitchet.example/ration/log"

	"fitchet.example/balance"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/page"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// Files are a keeper's own files; "" none, "-" standard input.
type Files struct{ Foods, Rules, Notices string }

// Flags adds the flags for own files.
func (f *Files) Flags(fs *cli.Flags) {
	fs.InFile(&f.Foods, "foods", "`file` of your own foods, laid over the shipped ones (- for standard input)")
	fs.InFile(&f.Rules, "rules", "`file` of your own rules, laid over the shipped ones")
	fs.InFile(&f.Notices, "notices", "`file` of notices (bird flu, recalls) in place of the shipped ones")
}

// Kit is everything loaded.
type Kit struct {
	Foods   *prey.Catalogue
	Book    *balance.Book
	Care    *safety.Book
	Notices *safety.Notices
}

// Load reads the shipped data and lays the files over it.
func (f Files) Load(stdin io.Reader) (*Kit, error) {
	var k Kit
	var err error
	if k.Foods, err = prey.Shipped(); err != nil {
		return nil, err
	}
	if f.Foods != "" {
		own, err := cli.Load(f.Foods, stdin, func(name string, r io.Reader) ([]prey.Food, error) {
			return prey.LoadFoods(name, r, k.Foods.Registry())
		})
		if err != nil {
			return nil, err
		}
		if k.Foods, err = k.Foods.With(own); err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(f.Foods), err)
		}
	}
	if k.Book, err = balance.Shipped(); err != nil {
		return nil, err
	}
	if f.Rules != "" {
		own, err := cli.Load(f.Rules, stdin, func(name string, r io.Reader) ([]balance.Rule, error) {
			return balance.LoadRules(name, r, k.Book.Registry())
		})
		if err != nil {
			return nil, err
		}
		if k.Book, err = k.Book.WithRules(own); err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(f.Rules), err)
		}
	}
	if k.Care, err = safety.Shipped(); err != nil {
		return nil, err
	}
	if f.Notices == "" {
		k.Notices, err = safety.ShippedNotices()
	} else {
		k.Notices, err = cli.Load(f.Notices, stdin, safety.LoadNotices)
	}
	return &k, err
}

// HazardCheck asks about every food, for the household's region and a day.
func (k *Kit) HazardCheck(h *ration.Household, on units.Date) (*safety.HazardCheck, error) {
	return safety.NewHazardCheck(k.Care, k.Foods, safety.Context{Region: h.Region, Notices: k.Notices, On: on})
}

// Household reads a household file, or with an empty path the embedded text.
func (k *Kit) Household(path, embedded string, stdin io.Reader) (*ration.Household, error) {
	read := func(name string, r io.Reader) (*ration.Household, error) {
		h, _, err := ration.LoadHousehold(name, r, k.Foods)
		return h, err
	}
	if path == "" {
		return read("household.yaml (embedded)", strings.NewReader(embedded))
	}
	return cli.Load(path, stdin, read)
}

// Log reads a feeding log, or with an empty path the embedded text. Beside
// faults of single entries there is a log; without one nothing can be used.
func (k *Kit) Log(path, embedded string, stdin io.Reader, h *ration.Household) (*log.Log, error) {
	read := func(name string, r io.Reader) (*log.Log, error) { return log.Load(name, r, k.Foods, h) }
	if path == "" {
		return read("log.yaml (embedded)", strings.NewReader(embedded))
	}
	return cli.Load(path, stdin, read)
}

// Holds reports whether anything at all is written in the log.
func Holds(l *log.Log) bool {
	return l != nil && len(l.Entries)+len(l.Weights)+len(l.Stools)+len(l.Signs)+len(l.Water)+len(l.Steps)+len(l.Complete) > 0
}

// Unread says what the entries of a log that could not be read may hide, "" when
// there are none. It stands before all else: a sign of illness may be among them.
func Unread(l *log.Log) string {
	if len(l.Unread) == 0 {
		return ""
	}
	lines := make([]string, len(l.Unread))
	for i, at := range l.Unread {
		lines[i] = fmt.Sprint(at.Line)
	}
	return "Not all of the log can be read (line " + page.And(lines) + "). A reason to call a vet may be in it: look there now, put it right, and run this again."
}

// Find returns the animal with that id, or else the only one with that name.
func Find(h *ration.Household, name string) (*ration.Animal, error) {
	var all, called []string
	var found *ration.Animal
	for i := range h.Animals {
		a := &h.Animals[i]
		if a.ID == name {
			return a, nil
		}
		all = append(all, h.NameOf(a.ID))
		if strings.EqualFold(a.ID, name) || strings.EqualFold(a.Name, name) {
			found, called = a, append(called, a.ID)
		}
	}
	switch len(called) {
	case 0:
		return nil, fmt.Errorf("-animal %q: there are %s", name, strings.Join(all, ", "))
	case 1:
		return found, nil
	}
	return nil, fmt.Errorf("-animal %q: more than one is called that: give the id, one of %s", name, strings.Join(called, ", "))
}

// Describe says in a line what an animal is.
func Describe(a *ration.Animal, n ration.Need) string {
	words := []string{}
	if a.Kind() != ration.Ferret {
		words = append(words, a.Kind())
	}
	if a.Sex != ration.SexUnknown {
		words = append(words, a.SexWord())
	}
	words = append(words, n.Stage.String(), page.Both(a.Mass))
	if w, ok := a.AgeWeeks(n.On); ok {
		age := fmt.Sprintf("%d weeks", w)
		// an age in the household file was rounded down to days
		if years := (int(n.On-a.Born) + 1) * 4 / 1461; years >= 2 {
			age = fmt.Sprintf("%d years", years)
		}
		words = append(words, age)
	}
	if a.Neutered != nil && *a.Neutered {
		words = append(words, "neutered")
	}
	if a.Outdoor {
		words = append(words, "lives outdoors")
	}
	for _, c := range a.Conditions {
		words = append(words, strings.ReplaceAll(c, "-", " "))
	}
	return strings.Join(words, ", ")
}

// Situation is what a sheet about a household has to warn of.
func Situation(h *ration.Household, needs []ration.Need) safety.Situation {
	at := safety.Situation{Raw: true, Estimate: true, People: safety.NobodyAtRisk}
	if h.PeopleAtRisk {
		at.People = safety.SomebodyAtRisk
	}
	for _, n := range needs {
		at.Kit = at.Kit || n.Stage == ration.Kit
		at.Pregnant = at.Pregnant || n.Stage == ration.Pregnant || n.Stage == ration.Lactating
		at.Ill = at.Ill || n.Animal.Has(ration.Ill)
		at.Insulinoma = at.Insulinoma || n.Animal.Has(ration.Insulinoma)
		at.Overweight = at.Overweight || n.Animal.Has(ration.Obese)
		at.LosingWeight = at.LosingWeight || n.Animal.Has(ration.LosingWeight)
		at.NotEating = at.NotEating || n.Animal.Has(ration.NotEating)
	}
	return at
}

// Names joins the names of animals.
func Names(h *ration.Household, ids []string) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = h.NameOf(id)
	}
	return page.And(out)
}
