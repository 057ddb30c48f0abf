package prey

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Catalogue is a set of foods that can be looked up by name. It never changes
// after it is made and is safe for concurrent use.
type Catalogue struct {
	foods []*Food          // by ID
	names map[string]*Food // by folded ID, name and synonyms
	keys  []key            // the same, food by food, to look for near ones
	reg   *cite.Registry
	bones bones
	words *Words
}

// UnknownFoodError is returned by [Catalogue.Find] for a name that no food has.
type UnknownFoodError struct {
	Name string

	in *Catalogue
}

// Near returns the ids of the foods with the nearest names, nearest first, at most
// five. They are looked for when they are asked for.
func (e *UnknownFoodError) Near() []string {
	if e.in == nil {
		return nil
	}
	return e.in.near(e.Name)
}

// Error names the food that was asked for and what is near.
func (e *UnknownFoodError) Error() string {
	near := e.Near()
	if len(near) == 0 {
		return fmt.Sprintf("no food is called %q", clip(e.Name))
	}
	return fmt.Sprintf("no food is called %q; near it: %s", clip(e.Name), strings.Join(near, ", "))
}

// All returns every food, by ID. The slice is the caller's.
func (c *Catalogue) All() []*Food { return slices.Clone(c.foods) }

// Words returns the closed lists of animals and tags; those of a Catalogue that
// no loader made are empty.
func (c *Catalogue) Words() *Words {
	if c.words == nil {
		return &Words{}
	}
	return c.words
}

// Animal looks up an animal or a group: one of [Words], or an own one that some
// food of the catalogue is of. [Food.HasSpecies] knows it by the word returned.
// The error wraps [ErrSpecies] and names the nearest.
func (c *Catalogue) Animal(name string) (string, error) {
	word := fold(name)
	words := c.Words()
	_, err := words.Animal(name)
	if err == nil || len(c.Select(Filter{Species: name})) > 0 {
		return word, nil
	}
	if near, ok := strict.Nearest(name, append(c.Species(), words.known...)); ok {
		err = fmt.Errorf("%q: %w; did you mean %q?", clip(name), ErrSpecies, near)
	}
	return "", err
}

// Registry returns the sources that the catalogue's references name.
func (c *Catalogue) Registry() *cite.Registry { return c.reg }

// Find looks a food up by ID, name or synonym: in any case, singular or plural,
// with spaces or hyphens. The error is an *UnknownFoodError.
func (c *Catalogue) Find(idOrName string) (*Food, error) {
	if f, ok := c.names[fold(idOrName)]; ok && len(idOrName) <= maxNameBytes {
		return f, nil
	}
	return nil, &UnknownFoodError{Name: idOrName, in: c}
}

// Filter asks for foods. Its zero value asks for all; every condition that is
// set must hold.
type Filter struct {
	Species string // an animal or a group, see [Food.HasSpecies]
	Part    *Part
	Hazard  string
}

// Select returns the foods that meet the filter, by ID. Foods whose parts are
// not known are never selected by part.
func (c *Catalogue) Select(by Filter) []*Food {
	var out []*Food
	for _, f := range c.foods {
		if (by.Species == "" || f.HasSpecies(by.Species)) &&
			(by.Part == nil || f.HasPart(*by.Part)) &&
			(by.Hazard == "" || f.HasHazard(by.Hazard)) {
			out = append(out, f)
		}
	}
	return out
}

// Species returns the species of all foods, sorted.
func (c *Catalogue) Species() []string {
	return c.gather(func(f *Food) []string { return append([]string{f.Species}, f.Contains...) })
}

// Hazards returns the hazard tags of all foods, sorted.
func (c *Catalogue) Hazards() []string {
	return c.gather(func(f *Food) []string { return f.Hazards })
}

func (c *Catalogue) gather(of func(*Food) []string) []string {
	var all []string
	for _, f := range c.foods {
		all = append(all, of(f)...)
	}
	slices.Sort(all)
	all = slices.Compact(all)
	if len(all) > 0 && all[0] == "" {
		all = all[1:]
	}
	return all
}

// ErrClash is wrapped by [Catalogue.With] for an ID or a name that is taken,
// and for an override that replaces nothing.
var ErrClash = errors.New("name clash")

// With returns a catalogue that holds the given foods over those of c. A food
// whose ID is taken must say why it replaces the other (Override); a food that
// says so must replace one. No two foods of the result may share a name. The
// error joins every such fault; each wraps [ErrClash]. So is a species or a hazard
// tag that no list holds (see [Food.Like]); that wraps [ErrSpecies] or [ErrTag].
// Bone in the new foods takes its minerals from c.
func (c *Catalogue) With(foods []Food) (*Catalogue, error) {
	var faults []error
	own := make(map[string]bool, len(foods))
	replaced := make(map[string]bool)
	for i := range foods {
		f := &foods[i]
		if own[f.ID] {
			faults = append(faults, fmt.Errorf("food %s is given twice: %w", f.ID, ErrClash))
		}
		own[f.ID] = true
		taken := slices.ContainsFunc(c.foods, func(g *Food) bool { return g.ID == f.ID })
		switch {
		case taken && f.Override == "":
			faults = append(faults, fmt.Errorf("food %s is already in the catalogue: give another id, or override with a reason: %w", f.ID, ErrClash))
		case !taken && f.Override != "":
			faults = append(faults, fmt.Errorf("food %s overrides nothing: no food has that id: %w", f.ID, ErrClash))
		}
		replaced[f.ID] = true
	}
	out := &Catalogue{reg: c.reg, bones: c.bones, words: c.words}
	if out.words == nil {
		var err error
		if out.words, err = ShippedWords(); err != nil {
			return nil, err
		}
	}
	for _, f := range c.foods {
		if !replaced[f.ID] {
			out.foods = append(out.foods, f)
		}
	}
	for i := range foods {
		f := foods[i]
		faults = append(faults, out.words.know(&f)...)
		if err := c.bones.check(&f); err != nil {
			faults = append(faults, fmt.Errorf("food %s: %w", f.ID, err))
		}
		c.bones.settle(&f)
		if f.facts != nil { // the minerals of bone are the catalogue's
			refs := f.facts.partRefs
			s := *f.facts.sheet
			f.facts = settle(&f, &s, c.bones)
			f.facts.partRefs = refs
		}
		out.foods = append(out.foods, &f)
	}
	for _, c := range out.index() {
		faults = append(faults, c)
	}
	if len(faults) > 0 {
		return nil, fmt.Errorf("laying foods over the catalogue: %w", errors.Join(faults...))
	}
	return out, nil
}

// key is a folded name.
type key struct {
	text string
	food *Food
}

// clash is a name that two foods share.
type clash struct {
	food, was *Food
	name      string
}

func (c clash) Error() string {
	return fmt.Sprintf("%s is called %q, and so is %s", c.food.ID, clip(c.name), c.was.ID)
}

func (c clash) Unwrap() error { return ErrClash }

// index sorts the foods and builds the names; it returns every clash.
func (c *Catalogue) index() (clashes []clash) {
	slices.SortFunc(c.foods, func(a, b *Food) int { return cmp.Compare(a.ID, b.ID) })
	c.names = make(map[string]*Food, 4*len(c.foods))
	for _, f := range c.foods {
		for _, name := range f.names() {
			text := fold(name)
			was, taken := c.names[text]
			switch {
			case !taken:
				c.names[text] = f
				c.keys = append(c.keys, key{text, f})
			case was != f:
				clashes = append(clashes, clash{f, was, name})
			}
		}
	}
	return clashes
}

func (f *Food) names() []string { return append([]string{f.ID, f.Name}, f.Synonyms...) }

const maxNameBytes = 128

// fold is the form under which names are compared: lower case, words of letters
// and digits in the singular, joined by single spaces.
func fold(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	for i, w := range words {
		words[i] = singular(w)
	}
	return strings.Join(words, " ")
}

// singular takes the English plural off a word, the same way on both sides of a
// comparison, so that a word that only looks like a plural does no harm.
func singular(w string) string {
	switch w {
	case "mice":
		return "mouse"
	case "feet":
		return "foot"
	case "geese":
		return "goose"
	case "calves":
		return "calf"
	case "halves":
		return "half"
	}
	stem, ok := strings.CutSuffix(w, "s")
	if !ok || len(stem) < 3 || strings.HasSuffix(stem, "s") || strings.HasSuffix(stem, "u") {
		return w
	}
	if s, ok := strings.CutSuffix(stem, "ie"); ok && len(s) > 1 {
		return s + "y"
	}
	for _, end := range []string{"she", "che", "xe", "sse", "toe"} {
		if strings.HasSuffix(stem, end) {
			return stem[:len(stem)-1]
		}
	}
	return stem
}

// near returns the ids of at most five foods with the nearest names.
func (c *Catalogue) near(name string) []string {
	if len(name) > maxNameBytes {
		name = strings.ToValidUTF8(name[:maxNameBytes], "")
	}
	want := fold(name)
	if want == "" {
		return nil
	}
	type scored struct {
		food  *Food
		score int
	}
	var found []scored
	for _, k := range c.keys { // food by food
		score := likeness(want, k.text)
		if score < 0 {
			continue
		}
		if last := len(found) - 1; last >= 0 && found[last].food == k.food {
			found[last].score = min(found[last].score, score)
		} else {
			found = append(found, scored{k.food, score})
		}
	}
	slices.SortStableFunc(found, func(a, b scored) int { return cmp.Compare(a.score, b.score) })
	var ids []string
	for _, s := range found[:min(len(found), 5)] {
		ids = append(ids, s.food.ID)
	}
	return ids
}

// likeness is how far a name is from what was asked, smaller is nearer, or -1
// when they have nothing to do with each other. Up to a third of the letters
// may be wrong; a name that holds every word that was asked follows after.
func likeness(want, name string) int {
	if d, ok := strict.Distance(want, name, len(want)/3); ok {
		return d
	}
	shared, asked, have := 0, 0, 1+strings.Count(name, " ")
	for a := range strings.FieldsSeq(want) {
		asked++
		for h := range strings.FieldsSeq(name) {
			if _, ok := strict.Distance(a, h, len(a)/4); ok {
				shared++
				break
			}
		}
	}
	if shared == 0 {
		return -1
	}
	return 1000 - 100*shared + 10*(asked-shared) + have
}
