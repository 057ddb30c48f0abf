package corpus

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"

	"fitchet.example/balance"
	"fitchet.example/units/say"
)

// retiredRules is the file whose rules are in the corpus's own book: rules that
// were given up. They keep their ids and stay runnable.
const retiredRules = "rules/retired.yaml"

func (r *reader) readRules(path string) {
	list, err := balance.LoadRules(path, bytes.NewReader(r.bytes(path)), r.reg)
	if err != nil {
		r.faults = append(r.faults, err)
		return
	}
	r.c.laid[path] = list
	if path != retiredRules {
		return
	}
	for _, rule := range list {
		if rule.Until == "" {
			r.faults = append(r.faults, fmt.Errorf("%s: rule %s stands among the retired but has no until", path, rule.ID))
		}
	}
	book, err := r.c.book.WithRules(list)
	if err != nil {
		r.faults = append(r.faults, fmt.Errorf("%s: %w", path, err))
		return
	}
	r.c.book = book
}

// InForce returns the book as it stood at a time ("2010" or "2026-11"): rules
// that were in force then apply, those that came later or were given up before
// do not. A rule holds from its since up to, and without, its until. Rules that
// name no time for their beginning count as always in force.
func InForce(book *balance.Book, when string) (*balance.Book, error) {
	var changed []balance.Rule
	for _, r := range book.Rules() {
		in := r.Since <= when && (r.Until == "" || when < r.Until)
		if in == (r.Until == "") {
			continue // it stands as it is
		}
		c := *r
		c.Override = "the rules as they stood in " + when
		if c.Until = ""; !in {
			c.Until = c.Since
		}
		changed = append(changed, c)
	}
	out, err := book.WithRules(changed)
	if err != nil {
		return nil, fmt.Errorf("the rules of %s: %w", when, err)
	}
	return out, nil
}

// SwitchOff returns the book without the effect of one rule. It is how the
// linter finds out whether a case looks at its rule at all.
func SwitchOff(book *balance.Book, id string) (*balance.Book, error) {
	r, ok := book.Rule(id)
	if !ok {
		return nil, fmt.Errorf("switching off %q: %w", say.Clip(id), ErrNoRule)
	}
	c := *r
	c.Until, c.Override = cmp.Or(c.Since, "1900"), "switched off" // an end at the beginning: never in force
	return book.WithRules([]balance.Rule{c})
}

// ErrNoRule is a rule id that the book does not hold.
var ErrNoRule = errors.New("no rule has this id")

// bookFor is the book a case or scenario is judged by.
func (c *Corpus) bookFor(book *balance.Book, laid, when string) (*balance.Book, error) {
	var err error
	if laid != "" {
		list, ok := c.laid[laid]
		if !ok {
			return nil, fmt.Errorf("rule file %q: %w", say.Clip(laid), ErrNoRule)
		}
		if book, err = book.WithRules(list); err != nil {
			return nil, err
		}
	}
	if when != "" {
		return InForce(book, when)
	}
	return book, nil
}
