package prey

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

//go:embed words/*.csv
var wordFiles embed.FS

// Errors of words that stand in no list.
var (
	ErrSpecies = errors.New("not a known animal")
	ErrTag     = errors.New("not a known tag")
)

// Tag is a word that a food may carry, for package safety to judge.
type Tag struct{ Name, Meaning string }

// Animal is an animal that food is of, or a group of them.
type Animal struct {
	Name string // "guinea fowl"; of a group its own name
	// Groups are what hazards ask for: "poultry", "ruminant". Of a group they are
	// what all its animals have in common.
	Groups []string

	words []string // every word that it answers to, folded: names, other names, groups
}

// Words are the closed lists of the words that say what a food is: the animals
// with their other names and groups (words/species.csv), and the hazard tags
// (words/tags.csv). Nothing else passes a loader, so that a misspelt word is a
// fault and never a hazard the less. What is open by nature, an animal that the
// list does not hold, a file of foods declares (see [Food.Like]).
type Words struct {
	animals map[string]Animal // by each folded name
	groups  map[string]Animal // by folded name
	tags    []Tag
	known   []string // animals and groups as they are written, to look for near ones
}

// ShippedWords returns the embedded lists. They are read once, and all share
// them. It fails only if they are broken.
func ShippedWords() (*Words, error) { return readWordsOnce() }

var readWordsOnce = sync.OnceValues(func() (*Words, error) {
	files, err := fs.Sub(wordFiles, "words")
	if err != nil {
		return nil, fmt.Errorf("opening the lists of words: %w", err)
	}
	return readWords(files)
})

func readWords(fsys fs.FS) (*Words, error) {
	w := &Words{animals: map[string]Animal{}, groups: map[string]Animal{}}
	l := loader{}
	for _, file := range []struct {
		name string
		read func(table)
	}{{"species.csv", w.speciesRow}, {"tags.csv", w.tagRow}} {
		if err := l.file(fsys, file.name, file.read); err != nil {
			return nil, fmt.Errorf("reading the lists of words: %w", err)
		}
	}
	if len(l.faults) > 0 {
		return nil, l.faults
	}
	for name, g := range w.groups {
		g.words = append([]string{name}, foldAll(g.Groups)...)
		w.groups[name] = g
		w.known = append(w.known, g.Name)
	}
	slices.Sort(w.known)
	w.known = slices.Compact(w.known)
	return w, nil
}

func (w *Words) speciesRow(t table) {
	name, _ := strict.Cell(t.Table, "name", tag)
	_, _ = strict.Cell(t.Table, "ref", cite.ParseRef)
	names := append([]string{name}, t.List("same")...)
	a := Animal{Name: spaced(name), Groups: t.List("groups")}
	if len(a.Groups) == 0 {
		t.Fail("groups", "%s is of no group", name)
	}
	a.words = append(foldAll(names), foldAll(a.Groups)...)
	for _, n := range append(slices.Clone(names), a.Groups...) {
		if _, err := tag(n); err != nil {
			t.Fail("", "%w", err)
		}
	}
	for _, n := range names {
		if was, taken := w.animals[fold(n)]; taken {
			t.Fail("", "%s is already a name of %s", n, was.Name)
		}
		w.animals[fold(n)] = a
		w.known = append(w.known, n)
	}
	for _, n := range a.Groups {
		g, ok := w.groups[fold(n)]
		if !ok {
			g = Animal{Name: n, Groups: slices.Clone(a.Groups)}
		}
		g.Groups = slices.DeleteFunc(g.Groups, func(s string) bool { return !slices.Contains(a.Groups, s) })
		w.groups[fold(n)] = g
	}
}

func (w *Words) tagRow(t table) {
	name, ok := strict.Cell(t.Table, "tag", tag)
	meaning := t.Text("meaning")
	if ok && w.hasTag(name) {
		t.Fail("", "tag %s is there twice", name)
	}
	w.tags = append(w.tags, Tag{name, meaning})
}

// spaced is a name of the list for people.
func spaced(name string) string {
	b := []byte(name)
	for i := range b {
		if b[i] == '-' {
			b[i] = ' '
		}
	}
	return string(b)
}

func foldAll(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = fold(n)
	}
	return out
}

// Animal looks up an animal by any of its names, or a group, in any case,
// singular or plural, with spaces or hyphens. An animal goes before a group of
// the same name. The error wraps [ErrSpecies] and names the nearest.
func (w *Words) Animal(name string) (Animal, error) {
	if w == nil {
		w = &Words{}
	}
	a, ok := w.animals[fold(name)]
	if !ok {
		a, ok = w.groups[fold(name)]
	}
	if !ok {
		return Animal{}, w.unknown(name, w.known)
	}
	a.Groups = slices.Clone(a.Groups)
	return a, nil
}

// Group looks up a group, by its name as written. The error wraps [ErrSpecies].
func (w *Words) Group(name string) (Animal, error) {
	if w == nil {
		w = &Words{}
	}
	if g, ok := w.groups[fold(name)]; ok && g.Name == name {
		g.Groups = slices.Clone(g.Groups)
		return g, nil
	}
	var names []string
	for _, g := range w.groups {
		names = append(names, g.Name)
	}
	return Animal{}, w.unknown(name, names)
}

func (w *Words) unknown(name string, known []string) error {
	if near, ok := strict.Nearest(name, known); ok {
		return fmt.Errorf("%q: %w; did you mean %q?", clip(name), ErrSpecies, near)
	}
	return fmt.Errorf("%q: %w", clip(name), ErrSpecies)
}

// Tags returns all tags, in the order of the file.
func (w *Words) Tags() []Tag {
	if w == nil {
		return nil
	}
	return slices.Clone(w.tags)
}

// Tag returns the tag of that name, as it is written. The error wraps [ErrTag]
// and names the nearest.
func (w *Words) Tag(name string) (Tag, error) {
	if w == nil {
		w = &Words{}
	}
	names := make([]string, len(w.tags))
	for i, t := range w.tags {
		if t.Name == name {
			return t, nil
		}
		names[i] = t.Name
	}
	if near, ok := strict.Nearest(name, names); ok {
		return Tag{}, fmt.Errorf("%q: %w; did you mean %q?", clip(name), ErrTag, near)
	}
	return Tag{}, fmt.Errorf("%q: %w", clip(name), ErrTag)
}

func (w *Words) hasTag(name string) bool {
	return slices.ContainsFunc(w.tags, func(t Tag) bool { return t.Name == name })
}

// species checks a species or one of what a food contains.
func (w *Words) species(name string, like map[string]string) (Animal, error) {
	group, own := like[name]
	if !own {
		return w.Animal(name)
	}
	if _, listed := w.animals[fold(name)]; listed {
		return Animal{}, fmt.Errorf("%q: %w of your own: it is in the list of animals and needs no group", clip(name), ErrSpecies)
	}
	a, err := w.likeness(group)
	if err != nil {
		return Animal{}, fmt.Errorf("%q is declared to be like %w", clip(name), err)
	}
	return Animal{Name: name, Groups: a.Groups, words: append([]string{fold(name)}, foldAll(a.Groups)...)}, nil
}

// likeness looks up what an animal that the list does not hold may be like.
func (w *Words) likeness(group string) (Animal, error) {
	a, err := w.Animal(group)
	if err == nil && (slices.Contains(a.Groups, "none") || slices.Contains(a.Groups, "mixed")) {
		err = fmt.Errorf("%q: %w: name what it is most like", clip(group), ErrSpecies)
	}
	return a, err
}

// know looks up every animal and tag of a food; it returns what stands in no
// list.
func (w *Words) know(f *Food) (faults []error) {
	f.animals = nil
	for _, s := range append([]string{f.Species}, f.Contains...) {
		if s == "" {
			continue
		}
		a, err := w.species(s, f.Like)
		if err != nil {
			faults = append(faults, fmt.Errorf("food %s: species %w", f.ID, err))
			continue
		}
		f.animals = append(f.animals, a)
	}
	for _, t := range f.Hazards {
		if _, err := w.Tag(t); err != nil {
			faults = append(faults, fmt.Errorf("food %s: hazard %w", f.ID, err))
		}
	}
	return faults
}
