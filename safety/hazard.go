package safety

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Severity is how much a finding weighs, on one scale for the whole library.
type Severity uint8

const (
	// Watch: it may be fed; know this and look out.
	Watch Severity = iota + 1
	// Mend: not as it is; change the amount, the part or the preparation.
	Mend
	// Stop: do not feed it. Hours and freezing do not matter.
	Stop
)

var gravityWords = units.Words[Severity]{What: "gravity", Keys: []string{Watch: "watch", Mend: "mend", Stop: "stop"}}

// String returns "watch", "mend" or "stop".
func (g Severity) String() string { return gravityWords.Name(g) }

// ParseSeverity reads "watch", "mend" or "stop".
func ParseSeverity(s string) (Severity, error) { return gravityWords.Parse(s) }

// MarshalText writes the word; a value outside the scale is an error.
func (g Severity) MarshalText() ([]byte, error) { return gravityWords.Marshal(g) }

// UnmarshalText is [ParseSeverity].
func (g *Severity) UnmarshalText(text []byte) error { return gravityWords.Unmarshal(g, text) }

// Item is a food as the hazards see it.
type Item struct {
	Food string // name for people, not judged
	// Species is an animal or a group of [prey.Words], by any of its names; upper
	// case and blanks are forgiven ("Wild boar"). Empty when the food has none.
	Species string
	// Contains names further species in a mix.
	Contains []string
	// Part is the part of the animal for people; "liver" also counts as the
	// tag liver.
	Part string
	// Tags are those of [prey.Words]. Raw is meant unless "cooked" is among them.
	Tags []string
	// Wild is true for what was hunted or caught, false for bred or bought. The
	// tag wild-caught says the same, and so does a species called wild.
	Wild bool
	// Share is its part of all food fed over the time judged, by mass. Zero
	// when it is not known: rules about shares then stay silent.
	Share units.Share
	// Supplier and Lot are compared with recalls.
	Supplier, Lot string
}

// Context is what else the hazards depend on.
type Context struct {
	// Region is compared with the notices, upper and lower case alike.
	Region string
	// Notices are the notices on file; nil when there are none.
	Notices *Notices
	// On is the day that is judged, used for the age of notices. When it is
	// zero or earlier than the file's own as-of day, that day is taken.
	On units.Date
}

// Standing says whether a hazard holds or rests on something to be looked up.
type Standing uint8

const (
	Holds     Standing = iota + 1
	StandOpen          // not known, or known from a notice that is too old
)

var standingWords = units.Words[Standing]{What: "standing", Keys: []string{Holds: "holds", StandOpen: "open"}}

// String returns "holds" or "open".
func (s Standing) String() string { return standingWords.Name(s) }

// MarshalText is [Standing.String]; a value that is none of these is an error.
func (s Standing) MarshalText() ([]byte, error) { return standingWords.Marshal(s) }

// Hazard is one thing to know about one food.
type Hazard struct {
	ID       string // permanent
	Name     string
	Severity Severity
	Standing Standing
	Sentence string // for keepers
	Do       string // what to do
	// Amount is the published amount, when there is one.
	Amount string
	// ShownIn lists the animals in which the harm was seen.
	ShownIn  []string
	Evidence []cite.Ref
	// Why says what about the food matched: "tag cooked-bone", "pig".
	Why string
	// Notice says which notice decided and how old it is; empty for others.
	Notice string
}

// IDs of the hazards that have no row in the file, because they are about what
// the file cannot judge.
const (
	HazardSpeciesUnknown = "species-not-known"
	HazardTagUnknown     = "tag-not-known"
)

// Tag is a word that a food may carry.
type Tag = prey.Tag

// Tags returns the words that hazards know, in the order of the file.
func (b *Book) Tags() []Tag { return b.words.Tags() }

// Liver is the vitamin A of one liver.
type Liver struct {
	Species string // name in [prey.Words]
	Name    string
	IU      int // vitamin A, IU per 100 g
	// ShareToCatMaximum is the share of a usual mix at which this liver alone
	// brings vitamin A to the cat maximum.
	ShareToCatMaximum units.Share
	Ref               cite.Ref

	animal string // its name in the list of animals
	amount string // what a hazard says of it
}

// Livers returns the table, lowest first as in the file.
func (b *Book) Livers() []Liver { return slices.Clone(b.livers) }

// speciesName folds a name as people write it to the form of the table.
func speciesName(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), "-")
}

// Classes returns the classes of a species ("pig" and "large-bone" for pork),
// which are its groups in [prey.Words], and false for a name that these do not hold.
func (b *Book) Classes(species string) ([]string, bool) {
	a, err := b.words.Animal(species)
	return a.Groups, err == nil
}

// CheckItem reports tags and species that no rule can judge, with the nearest
// that one can. Each error wraps [prey.ErrTag] or [prey.ErrSpecies].
// [Book.Hazards] reports the same as hazards.
func (b *Book) CheckItem(it Item) []error {
	var out []error
	for _, t := range it.Tags {
		if _, err := b.knownTag(t); err != nil {
			out = append(out, err)
		}
	}
	for _, s := range it.species() {
		if _, err := b.words.Animal(s); err != nil {
			out = append(out, fmt.Errorf("species %w", err))
		}
	}
	return out
}

func (it Item) species() []string {
	var out []string
	for _, s := range append([]string{it.Species}, it.Contains...) {
		if strings.TrimSpace(s) != "" {
			out = append(out, s)
		}
	}
	return out
}

type tristate uint8

const (
	yes tristate = iota + 1
	no
)

// when is one entry of a hazard's conditions.
type when struct {
	tags, classes         []string
	unless, unlessClasses []string
	wild                  tristate
	share                 units.Share
	notice                NoticeKind
	state                 noticeState
}

type hazardRule struct {
	hazard Hazard
	when   []when
	open   bool
	liver  bool
}

// animal is one species of an item with its classes.
type animal struct {
	name    string // as the item says it
	known   string // as the list of animals names it
	classes []string
}

// fits reports whether the entry fits one animal of the item, and why.
func (w when) fits(it Item, a animal, tags []string, ctx Context) (why string, use noticeUse, ok bool) {
	var reasons []string
	if len(w.tags) > 0 {
		i := slices.IndexFunc(w.tags, func(t string) bool { return slices.Contains(tags, t) })
		if i < 0 {
			return "", use, false
		}
		reasons = append(reasons, "tag "+w.tags[i])
	}
	if len(w.classes) > 0 {
		if !slices.ContainsFunc(w.classes, func(c string) bool { return slices.Contains(a.classes, c) }) {
			return "", use, false
		}
		reasons = append(reasons, strings.ReplaceAll(a.name, "-", " "))
	}
	if slices.ContainsFunc(w.unless, func(t string) bool { return slices.Contains(tags, t) }) ||
		slices.ContainsFunc(w.unlessClasses, func(c string) bool { return slices.Contains(a.classes, c) }) ||
		w.wild == yes && !it.Wild || w.wild == no && it.Wild {
		return "", use, false
	}
	if w.wild == yes {
		reasons = append(reasons, "from the wild")
	}
	if w.share > 0 {
		if it.Share < w.share {
			return "", use, false
		}
		reasons = append(reasons, it.Share.InPercent(1)+" of the food")
	}
	if w.notice != 0 {
		use = ctx.Notices.stateOf(w.notice, it, ctx)
		if use.state != w.state {
			return "", use, false
		}
		if w.notice == Recall {
			reasons = append(reasons, "supplier "+it.Supplier)
		}
	}
	return strings.Join(reasons, ", "), use, true
}

// Hazards returns what is known against a food, the gravest first, then in the
// order of the file. A food without a word here is not thereby safe: the list
// knows only what was read. A species or tag that no rule knows is itself
// returned, as a stop that is open: what it hides may be one. A recall is looked for even when the food
// has no species.
func (b *Book) Hazards(it Item, ctx Context) []Hazard {
	tags := slices.Clone(it.Tags)
	if speciesName(it.Part) == "liver" {
		tags = append(tags, "liver")
	}
	it.Wild = it.Wild || slices.Contains(tags, "wild-caught") ||
		slices.ContainsFunc(it.species(), func(s string) bool { return strings.HasPrefix(speciesName(s), "wild-") })
	var animals []animal
	var out []Hazard
	for _, s := range it.species() {
		k, err := b.words.Animal(s)
		if err == nil {
			animals = append(animals, animal{speciesName(s), k.Name, k.Groups})
			continue
		}
		out = append(out, Hazard{
			ID: HazardSpeciesUnknown, Name: "Animal not known", Severity: Stop, Standing: StandOpen,
			Sentence: fmt.Sprintf("No rule here knows the animal %q, so none was applied to it.", clip(s)),
			Do:       "Do not feed it before its name is put right, or the nearest kind is named.",
			Evidence: []cite.Ref{{Evidence: cite.Choice, At: "what is not known is not taken for safe"}},
			Why:      clip(s),
		})
	}
	for _, t := range it.Tags {
		if _, err := b.words.Tag(t); err != nil {
			out = append(out, Hazard{
				ID: HazardTagUnknown, Name: "Tag not known", Severity: Stop, Standing: StandOpen,
				Sentence: fmt.Sprintf("No rule here knows the tag %q, so it was not judged.", clip(t)),
				Do:       "Do not feed it before the tag is put right: use one of the known tags.",
				Evidence: []cite.Ref{{Evidence: cite.Choice, At: "what is not known is not taken for safe"}},
				Why:      "tag " + clip(t),
			})
		}
	}
	if len(animals) == 0 {
		animals = []animal{{}}
	}
	for _, r := range b.hazards {
		if h, ok := r.apply(it, animals, tags, ctx); ok {
			if r.liver {
				h.Amount = b.liverAmount(animals)
			}
			out = append(out, h)
		}
	}
	slices.SortStableFunc(out, func(x, y Hazard) int { return cmp.Compare(y.Severity, x.Severity) })
	return out
}

// AllHazards returns every hazard of the file, the gravest first, then in the
// order of the file. Why says what a food must carry to match: its entries,
// any of which is enough. Standing is open where each entry rests on something
// to be looked up. The amount of a liver is the span of the whole table. The two
// hazards that have no row ([HazardSpeciesUnknown], [HazardTagUnknown]) are not
// among them.
func (b *Book) AllHazards() []Hazard {
	out := make([]Hazard, len(b.hazards))
	for i, r := range b.hazards {
		h := r.hazard
		h.ShownIn, h.Evidence = slices.Clone(h.ShownIn), slices.Clone(h.Evidence)
		h.Standing = Holds
		if r.open || !slices.ContainsFunc(r.when, func(w when) bool { return w.state != unknownState }) {
			h.Standing = StandOpen
		}
		if r.liver {
			h.Amount = b.liverAmount(nil)
		}
		entries := make([]string, len(r.when))
		for j, w := range r.when {
			entries[j] = w.String()
		}
		h.Why = strings.Join(entries, "; or ")
		out[i] = h
	}
	slices.SortStableFunc(out, func(x, y Hazard) int { return cmp.Compare(y.Severity, x.Severity) })
	return out
}

// String is the entry in words: "class pig, unless tag cooked".
func (w when) String() string {
	var parts []string
	oneOf := func(what string, words []string) string {
		if len(words) > 0 {
			return what + " " + strings.Join(words, " or ")
		}
		return ""
	}
	add := func(s string) {
		if s != "" {
			parts = append(parts, s)
		}
	}
	add(oneOf("tag", w.tags))
	add(oneOf("class", w.classes))
	switch w.wild {
	case yes:
		add("from the wild")
	case no:
		add("not from the wild")
	}
	if w.share > 0 {
		add("at least " + w.share.String() + " of the food")
	}
	if w.notice != 0 {
		add(w.notice.String() + " notice " + w.state.String())
	}
	add(oneOf("unless tag", w.unless))
	add(oneOf("unless class", w.unlessClasses))
	return strings.Join(parts, ", ")
}

func (r hazardRule) apply(it Item, animals []animal, tags []string, ctx Context) (Hazard, bool) {
	for _, w := range r.when {
		for _, a := range animals {
			why, use, ok := w.fits(it, a, tags, ctx)
			if !ok {
				continue
			}
			h := r.hazard
			h.ShownIn, h.Evidence = slices.Clone(h.ShownIn), slices.Clone(h.Evidence)
			h.Why, h.Standing, h.Notice = why, Holds, use.words
			if r.open || use.open {
				h.Standing = StandOpen
			}
			return h, true
		}
	}
	return Hazard{}, false
}

// liverAmount lists what the table knows of the livers of these animals, or
// the span of the whole table when it knows none of them.
func (b *Book) liverAmount(animals []animal) string {
	var parts []string
	for _, l := range b.livers {
		if slices.ContainsFunc(animals, func(a animal) bool { return a.known == l.animal }) {
			parts = append(parts, l.amount)
		}
	}
	if len(parts) == 0 && len(b.livers) > 0 {
		low, high := b.livers[0], b.livers[0]
		for _, l := range b.livers {
			if l.IU < low.IU {
				low = l
			}
			if l.IU > high.IU {
				high = l
			}
		}
		parts = append(parts, fmt.Sprintf("from %d IU per 100 g (%s) to %d (%s)", low.IU, low.Name, high.IU, high.Name))
	}
	return strings.Join(parts, "; ")
}
