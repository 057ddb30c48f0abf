package balance

import (
	"embed"
	"encoding"
	"errors"
	"fmt"
	"io"
	"slices"
	"sync"

	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
)

//go:embed rules/*.yaml
var files embed.FS

// DefaultTarget is the id of the target that is used when a household names
// none. It is our choice: the form most often stated for ferrets.
const DefaultTarget = "assembled-edible-bone"

// DefaultCatTarget is used in its place where all animals are cats.
const DefaultCatTarget = "cat-less-bone"

// Book is a set of rules and targets. It never changes after it is made and is
// safe for concurrent use.
type Book struct {
	rules   []*Rule
	targets []*shares.Target
	reg     *cite.Registry

	ready  []readyRule // the rules, set out for judging
	asking []*Rule     // those that ask something of single foods

	words       *prey.Words
	asksHazards bool // some rule in force asks package safety
}

// Shipped returns the rules and targets that come with the library. They are
// read once, and all share the Book: a [Rule] or target of it is copied before
// it is changed.
func Shipped() (*Book, error) { return shipped() }

var shipped = sync.OnceValues(func() (*Book, error) {
	reg, err := cite.Shipped()
	if err != nil {
		return nil, fmt.Errorf("shipped rules: %w", err)
	}
	words, err := prey.ShippedWords()
	if err != nil {
		return nil, fmt.Errorf("shipped rules: %w", err)
	}
	b := &Book{reg: reg, words: words}
	if b, err = loadShipped(b, "rules/targets.yaml", shares.Load, (*Book).WithTargets); err != nil {
		return nil, err
	}
	return loadShipped(b, "rules/rules.yaml", LoadRules, (*Book).WithRules)
})

func loadShipped[T any](b *Book, path string, load func(string, io.Reader, *cite.Registry) ([]T, error), with func(*Book, []T) (*Book, error)) (*Book, error) {
	f, err := files.Open(path)
	if err != nil {
		return nil, fmt.Errorf("shipped rules: %w", err)
	}
	defer f.Close()
	list, err := load(path, f, b.reg)
	if err != nil {
		return nil, fmt.Errorf("shipped rules: %w", err)
	}
	return with(b, list)
}

// Errors of a [Book].
var (
	// ErrClash is an id that is taken, an override that replaces nothing, or
	// rules that replace each other.
	ErrClash = errors.New("id clash")
	// ErrNotWhole is a rule made by hand without its check, gravity or period, or a
	// target without its style, meaning of bone or period.
	ErrNotWhole = errors.New("not whole")
	// ErrUnknownRule is a rule id that the book does not hold.
	ErrUnknownRule = errors.New("no rule has this id")
	// ErrUnknownTarget is a target id that the book does not hold.
	ErrUnknownTarget = errors.New("no target has this id")
)

// Registry returns the sources that rules and targets name.
func (b *Book) Registry() *cite.Registry { return b.reg }

// Rules returns all rules in the order of the files, those of a user after the
// shipped ones. The slice is the caller's, the rules are shared.
func (b *Book) Rules() []*Rule { return slices.Clone(b.rules) }

// Rule returns the rule with the id.
func (b *Book) Rule(id string) (*Rule, bool) {
	for _, r := range b.rules {
		if r.ID == id {
			return r, true
		}
	}
	return nil, false
}

// Targets returns all targets in the order of the files. The slice is the
// caller's, the targets are shared.
func (b *Book) Targets() []*shares.Target { return slices.Clone(b.targets) }

// Target returns the target with the id, the default one for "". The error
// wraps ErrUnknownTarget and names the ids there are.
func (b *Book) Target(id string) (*shares.Target, error) {
	if id == "" {
		id = DefaultTarget
	}
	var ids []string
	for _, t := range b.targets {
		if t.ID == id {
			return t, nil
		}
		ids = append(ids, t.ID)
	}
	return nil, fmt.Errorf("target %q: %w; there are %s", say.Clip(id), ErrUnknownTarget, say.And(ids))
}

// TargetFor returns the target with the id, for "" the default one of a household:
// that for cats where all its animals are cats. Errors are those of [Book.Target].
func (b *Book) TargetFor(id string, h *ration.Household) (*shares.Target, error) {
	if id == "" && h != nil && len(h.Animals) > 0 &&
		!slices.ContainsFunc(h.Animals, func(a ration.Animal) bool { return a.Kind() != ration.Cat }) {
		if t, err := b.Target(DefaultCatTarget); err == nil {
			return t, nil
		}
	}
	return b.Target(id)
}

// WithRules returns a book that holds the given rules over those of b. A rule
// whose id is taken must say why it replaces the other (override: a reason);
// one that says so must replace one. A rule that is laid over keeps its place.
// A rule may name in replaces one that this book never held: rules that were
// given up are kept apart. Rules that replace each other in a ring are refused.
// The error joins every such fault; each wraps ErrClash. One without a check, a
// gravity or a period is ErrNotWhole. A tag, an animal or a time that is none is
// refused as in a file: the rule would judge nothing and look met.
func (b *Book) WithRules(own []Rule) (*Book, error) {
	out := *b
	var err error
	out.rules, err = lay(b.rules, own, "rule", func(r *Rule) (string, string) { return r.ID, r.Override })
	if err != nil {
		return nil, err
	}
	if err := out.rings(); err != nil {
		return nil, fmt.Errorf("laying rules over the book: %w", err)
	}
	for i := range own {
		if err := written("rule", own[i].ID, own[i].Check, own[i].Severity, own[i].Period); err != nil {
			return nil, err
		}
		if err := own[i].checkWords(b.words); err != nil {
			return nil, fmt.Errorf("rule %s: %w", own[i].ID, err)
		}
	}
	out.makeReady()
	return &out, nil
}

// Only returns a book that holds these rules of b and no others, in the order of
// b: for a program that asks one question of many plans. What it leaves out is not
// looked for, hazards and what must never be fed among it. The error joins one for
// each id that b does not hold; each wraps ErrUnknownRule.
func (b *Book) Only(ids ...string) (*Book, error) {
	out := *b
	out.rules = nil
	for _, r := range b.rules {
		if slices.Contains(ids, r.ID) {
			out.rules = append(out.rules, r)
		}
	}
	var faults []error
	for _, id := range ids {
		if _, ok := b.Rule(id); !ok {
			faults = append(faults, fmt.Errorf("rule %q: %w", say.Clip(id), ErrUnknownRule))
		}
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	out.makeReady()
	return &out, nil
}

// rings finds rules that replace themselves, at once or by way of others.
func (b *Book) rings() error {
	replaces := map[string]string{}
	for _, r := range b.rules {
		replaces[r.ID] = r.Replaces
	}
	var faults []error
	for _, r := range b.rules {
		next := r.Replaces
		for range b.rules {
			if next == r.ID {
				faults = append(faults, fmt.Errorf("rule %s replaces itself, by way of %s: %w", r.ID, r.Replaces, ErrClash))
				break
			}
			next = replaces[next]
		}
	}
	return errors.Join(faults...)
}

// WithTargets is [Book.WithRules] for targets.
func (b *Book) WithTargets(own []shares.Target) (*Book, error) {
	out := *b
	var err error
	out.targets, err = lay(b.targets, own, "target", func(t *shares.Target) (string, string) { return t.ID, t.Override })
	if err != nil {
		return nil, err
	}
	for i := range own {
		if err := written("target", own[i].ID, own[i].Style, own[i].BoneMeans, own[i].Period); err != nil {
			return nil, err
		}
	}
	return &out, nil
}

// written refuses what was made by hand with words that are none.
func written(what, id string, words ...encoding.TextMarshaler) error {
	for _, w := range words {
		if _, err := w.MarshalText(); err != nil {
			return fmt.Errorf("%s %q: %w: %w", what, say.Clip(id), ErrNotWhole, err)
		}
	}
	return nil
}

// lay puts own over under, by id.
func lay[T any](under []*T, own []T, what string, key func(*T) (id, override string)) ([]*T, error) {
	out := slices.Clone(under)
	var faults []error
	seen := map[string]bool{}
	for i := range own {
		v := own[i]
		id, override := key(&v)
		if seen[id] {
			faults = append(faults, fmt.Errorf("%s %s is given twice: %w", what, id, ErrClash))
		}
		seen[id] = true
		at := slices.IndexFunc(out, func(u *T) bool { had, _ := key(u); return had == id })
		switch {
		case at >= 0 && override == "":
			faults = append(faults, fmt.Errorf("%s %s is already there: give another id, or override with a reason: %w", what, id, ErrClash))
		case at < 0 && override != "":
			faults = append(faults, fmt.Errorf("%s %s overrides nothing: there is none of that id: %w", what, id, ErrClash))
		case at >= 0:
			out[at] = &v
		default:
			out = append(out, &v)
		}
	}
	if len(faults) > 0 {
		return nil, fmt.Errorf("laying %ss over the book: %w", what, errors.Join(faults...))
	}
	return out, nil
}
