package safety

import (
	"fmt"
	"slices"

	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// People says whether somebody at higher risk lives in the home: under 5, 65
// or over, pregnant, or with weak immunity.
type People uint8

const (
	PeopleUnknown People = iota // not asked
	NobodyAtRisk
	SomebodyAtRisk
)

// Situation is what a sheet, handout or report is about. The zero value still
// gets the cautions that always stand, and those for people not asked about.
type Situation struct {
	People People
	// What is fed.
	Raw, Poultry, Game, Fish, WholePrey bool
	// What the text shows: hours out of the cold, freezing, estimates, figures
	// made for another animal; and whether it is given away.
	Hours, Freezing, Estimate, Borrowed, Handout bool
	// Changing is true while moving from another food.
	Changing bool
	// Which animals are fed.
	Kit, Pregnant, Ill, Insulinoma, Overweight, LosingWeight, NotEating bool
}

// words gives the situation in the words of the file, true or false each. It
// is also the list of words that exist.
func (s Situation) words() map[string]bool {
	return map[string]bool{
		"always": true, "raw": s.Raw, "poultry": s.Poultry, "game": s.Game, "fish": s.Fish,
		"whole-prey": s.WholePrey, "hours": s.Hours, "freezing": s.Freezing, "estimate": s.Estimate,
		"borrowed": s.Borrowed, "handout": s.Handout, "changing": s.Changing,
		"kit": s.Kit, "pregnant": s.Pregnant, "ill": s.Ill, "insulinoma": s.Insulinoma,
		"overweight": s.Overweight, "losing-weight": s.LosingWeight, "not-eating": s.NotEating,
		"people-at-risk": s.People == SomebodyAtRisk, "people-unknown": s.People != NobodyAtRisk && s.People != SomebodyAtRisk,
	}
}

// Caution is one sentence a sheet must show.
type Caution struct {
	ID       string // permanent
	Text     string
	Evidence []cite.Ref
}

type cautionRule struct {
	caution Caution
	when    []string
}

// Cautions returns what a sheet must show, in the order it is to be shown.
func (b *Book) Cautions(s Situation) []Caution {
	words := s.words()
	var out []Caution
	for _, r := range b.cautions {
		if slices.ContainsFunc(r.when, func(w string) bool { return words[w] }) {
			c := r.caution
			c.Evidence = slices.Clone(c.Evidence)
			out = append(out, c)
		}
	}
	return out
}

// PracticeInHeadline reports whether common practice may stand beside the
// leading limit in a headline at all: never where somebody at higher risk
// lives, and not on a sheet that is given away.
func (s Situation) PracticeInHeadline() bool { return s.People == NobodyAtRisk && !s.Handout }

func (b *Book) readCautions(path, text string) error {
	doc, root, nodes := openYAML(path, text, "cautions")
	known := Situation{}.words()
	var names []string
	for w := range known {
		names = append(names, w)
	}
	slices.Sort(names)
	word := func(s string) (string, error) {
		if _, ok := known[s]; ok {
			return s, nil
		}
		if near, ok := strict.Nearest(s, names); ok {
			return "", fmt.Errorf("%q is no word for a situation; did you mean %q?", clip(s), near)
		}
		return "", fmt.Errorf("%q is no word for a situation", clip(s))
	}
	seen := map[string]bool{}
	for _, n := range nodes {
		m := n.Map()
		r := cautionRule{caution: Caution{ID: strict.Value(m, "id", ident), Text: m.Text("text"), Evidence: refs(m, b.reg)}}
		if r.caution.ID != "" && seen[r.caution.ID] {
			m.Get("id").Fail("%s is already the id of another caution", r.caution.ID)
		}
		seen[r.caution.ID] = true
		if r.when = list(m, "when", word); len(r.when) == 0 {
			n.Fail("when needs at least one word")
		}
		m.Done()
		b.cautions = append(b.cautions, r)
	}
	root.Done()
	return doc.Err()
}
