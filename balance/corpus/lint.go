package corpus

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Lint reads a corpus and judges the corpus itself. Beyond what [Load] refuses
// (unknown keys, keys out of order, citations that do not resolve, counts that
// differ from the manifest, titles and sentences out of form) it reports
//
//   - ids that are used twice, or again after they were retired; titles used twice
//   - files that the manifest does not list, and text out of the canonical form
//   - sources, foods, households and rule files that nothing uses, and sources
//     that are used and not listed
//   - rules without a case at, just inside and just outside each of their
//     bounds, by every target that has the bound
//   - bounds that could be moved by the smallest step unseen by every case
//   - cases that still pass when their rule is switched off
//   - rules that replace one that is nowhere, or one that is still in force
//   - scenarios whose answer does not fit: refused without the words of why
//
// The error joins every fault; each is a strict.Fault with its place.
func Lint(fsys fs.FS) error {
	c, err := Load(fsys)
	l := &linter{fsys: fsys, c: c}
	l.files()
	if err != nil {
		return errors.Join(append([]error{err}, l.faults...)...)
	}
	l.names()
	l.uses()
	l.replaced()
	l.coverage()
	l.bite()
	slices.SortStableFunc(l.faults, func(a, b error) int {
		var x, y strict.Fault
		errors.As(a, &x)
		errors.As(b, &y)
		return cmp.Or(cmp.Compare(x.Path, y.Path), cmp.Compare(x.Line, y.Line))
	})
	return errors.Join(l.faults...)
}

type linter struct {
	fsys   fs.FS
	c      *Corpus
	faults []error
}

func (l *linter) say(at ration.Place, format string, args ...any) {
	l.faults = append(l.faults, strict.Fault{Path: at.Path, Line: max(at.Line, 1), Col: max(at.Col, 1), Msg: fmt.Sprintf(format, args...)})
}

// files looks at every file for itself.
func (l *linter) files() {
	err := fs.WalkDir(l.fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if path.Ext(name) != ".yaml" {
			if name != "VERSION" { // the stamp of a copy
				l.say(ration.Place{Path: name}, "not a file of the corpus")
			}
			return nil
		}
		data, err := fs.ReadFile(l.fsys, name)
		if err != nil {
			return err
		}
		l.form(name, data)
		if l.c != nil && name != l.c.manifest.path && !slices.ContainsFunc(l.c.manifest.files, func(f listed) bool { return f.path == name }) {
			l.say(ration.Place{Path: name}, "the manifest does not list this file")
		}
		return nil
	})
	if err != nil {
		l.faults = append(l.faults, fmt.Errorf("reading the corpus: %w", err))
	}
}

// form checks the canonical form of a text: line feeds, two spaces a level, no
// blanks at ends of lines, no two empty lines, no tabs, one line feed at the end.
func (l *linter) form(name string, data []byte) {
	at := func(line int, format string, args ...any) {
		l.say(ration.Place{Path: name, Line: line}, format, args...)
	}
	if len(data) == 0 || !bytes.HasSuffix(data, []byte("\n")) || bytes.HasSuffix(data, []byte("\n\n")) {
		at(1, "a file ends with exactly one line feed")
	}
	empty := false
	for i, line := range strings.Split(strings.TrimSuffix(string(data), "\n"), "\n") {
		trimmed := strings.TrimLeft(line, " ")
		switch {
		case strings.ContainsAny(line, "\t\r"):
			at(i+1, "a tab or carriage return")
		case strings.HasSuffix(line, " "):
			at(i+1, "blanks at the end of the line")
		case line == "" && empty:
			at(i+1, "two empty lines")
		case (len(line)-len(trimmed))%2 != 0 && !strings.HasPrefix(trimmed, "#"):
			at(i+1, "indented by an odd number of blanks")
		}
		empty = line == ""
	}
}

func (l *linter) names() {
	ids, titles := map[string]ration.Place{}, map[string]ration.Place{}
	for _, id := range l.c.manifest.gone {
		ids[id] = ration.Place{Path: l.c.manifest.path}
	}
	one := func(id, title string, at ration.Place) {
		if was, ok := ids[id]; ok {
			l.say(at, "id %s is taken at %s", id, was)
		}
		if was, ok := titles[title]; ok {
			l.say(at, "the title is that of %s", was)
		}
		ids[id], titles[title] = at, at
	}
	for _, cs := range l.c.Cases {
		one(cs.ID, cs.Title, cs.At)
	}
	for _, s := range l.c.Scenarios {
		one(s.ID, s.Title, s.At)
	}
}

// uses finds what is listed and not used, and what is used and not listed.
func (l *linter) uses() {
	man := ration.Place{Path: l.c.manifest.path}
	used := map[string]bool{}
	cites := func(refs ...cite.Ref) {
		for _, r := range refs {
			for _, key := range r.Sources {
				used[key] = true
			}
		}
	}
	laid := map[string]bool{retiredRules: true}
	for _, cs := range l.c.Cases {
		cites(cs.Ref)
		laid[cs.Laid] = true
	}
	for _, s := range l.c.Scenarios {
		cites(s.Ref)
		laid[s.Laid] = true
	}
	for name, list := range l.c.laid {
		if !laid[name] {
			l.say(ration.Place{Path: name}, "no case and no scenario lays these rules over")
		}
		for _, r := range list {
			cites(r.Ref)
			for _, b := range []*balance.Limit{r.Low, r.High} {
				if b != nil {
					cites(b.Ref)
				}
			}
		}
	}
	for _, f := range l.c.foods.All() {
		cites(f.Ref)
	}
	for i, key := range l.c.Sources {
		if !used[key] {
			l.say(place2(l.c.manifest.at[key]), "source %s is listed and nothing rests on it", key)
		}
		if i > 0 && l.c.Sources[i-1] >= key {
			l.say(place2(l.c.manifest.at[key]), "source %s does not stand in alphabetical order", key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(used)) {
		if !slices.Contains(l.c.Sources, key) {
			l.say(man, "source %s is used and not listed", key)
		}
	}
	foods := l.c.usedFoods()
	for _, f := range l.c.foods.All() {
		if _, ok := slices.BinarySearch(foods, f.ID); !ok {
			l.say(man, "food %s is in no case", f.ID)
		}
	}
	houses := l.c.households()
	for _, f := range l.c.manifest.files {
		if _, ok := slices.BinarySearch(houses, f.path); f.kind == "households" && !ok {
			l.say(ration.Place{Path: f.path}, "no scenario asks about this household")
		}
	}
}

// replaced looks up what rules replace, in the book with the retired rules and
// in the file itself. A rule that was replaced and still stands would be asked
// twice.
func (l *linter) replaced() {
	look := func(at ration.Place, rules []balance.Rule, in *balance.Book) {
		for _, r := range rules {
			if r.Replaces == "" {
				continue
			}
			switch was, ok := in.Rule(r.Replaces); {
			case !ok:
				l.say(at, "rule %s replaces %s, and there is no such rule, nor was", r.ID, r.Replaces)
			case was.Until == "" && r.Until == "":
				l.say(at, "rule %s replaces %s, which is still in force", r.ID, r.Replaces)
			}
		}
	}
	var all []balance.Rule
	for _, r := range l.c.book.Rules() {
		all = append(all, *r)
	}
	look(ration.Place{Path: l.c.manifest.path}, all, l.c.book)
	for name, list := range l.c.laid {
		if name == retiredRules {
			continue
		}
		if over, err := l.c.book.WithRules(list); err == nil {
			look(ration.Place{Path: name}, list, over)
		}
	}
}

func place2(f strict.Fault) ration.Place { return ration.Place{Path: f.Path, Line: f.Line, Col: f.Col} }

// edge is one bound that cases must stand at: of a rule, or of a target.
type edge struct {
	rule   *balance.Rule
	target string // id, where the bound is the target's; "" else
	bound  Bound
	inside bool                                  // whether anything can lie inside without reaching it
	shift  func(by int64) (*balance.Book, error) // the book with this bound moved; nil: not to be moved
}

// edges are all bounds of all rules.
func (l *linter) edges() (out []edge) {
	book := l.c.book
	// Whatever an animal can need has a bound.
	need := &ration.Need{Floor: 1, HasBand: true, Band: units.Range[ration.Tenths]{Low: 1, Typical: 1, High: 1}, MealsPerDay: 1}
	for _, r := range book.Rules() {
		targets := []*shares.Target{nil}
		if r.HeldToTarget() {
			targets = book.Targets()
		}
		for _, t := range targets {
			low, high := r.Limits(t, need)
			if low != nil {
				out = append(out, newEdge(book, r, t, Low, true))
			}
			if high != nil {
				out = append(out, newEdge(book, r, t, High, high.Value > 0))
			}
		}
	}
	return out
}

func newEdge(book *balance.Book, r *balance.Rule, t *shares.Target, b Bound, inside bool) edge {
	e := edge{rule: r, bound: b, inside: inside}
	if t != nil {
		e.target = t.ID
	}
	move := func(by int64) (*balance.Rule, *shares.Target) {
		if b == Low {
			return r.Move(t, by, 0)
		}
		return r.Move(t, 0, by)
	}
	if rule, target := move(1); rule == r && target == t {
		return e
	}
	e.shift = func(by int64) (*balance.Book, error) {
		const why = "a bound moved by one step"
		rule, target := move(by)
		if target != t {
			target.Override = why
			return book.WithTargets([]shares.Target{*target})
		}
		rule.Override = why
		return book.WithRules([]balance.Rule{*rule})
	}
	return e
}

func (e *edge) String() string {
	s := fmt.Sprintf("rule %s: the %s bound", e.rule.ID, e.bound)
	if e.target != "" {
		s += " of target " + e.target
	}
	return s
}

// at reports whether the case stands at this edge.
func (e *edge) at(cs *Case) bool {
	target := cs.Target
	if target == "" {
		target = balance.DefaultTarget
	}
	return cs.Rule == e.rule.ID && cs.Bound == e.bound && (e.target == "" || e.target == target)
}

// coverage looks for a case on each side of each bound, moves the bound to see
// whether any case notices, and wants every rule met by one case and missed by
// another.
func (l *linter) coverage() {
	man := ration.Place{Path: l.c.manifest.path}
	for _, e := range l.edges() {
		have := map[Side]bool{}
		for _, cs := range l.c.Cases {
			if e.at(cs) {
				have[cs.Side] = true
			}
		}
		for _, side := range []Side{At, Inside, Outside} {
			if !have[side] && (side != Inside || e.inside) {
				l.say(man, "%s has no case %s it", &e, map[Side]string{At: "at", Inside: "just inside", Outside: "just outside"}[side])
			}
		}
		for _, by := range []int64{-1, 1} {
			if e.shift == nil || !e.inside && by < 0 {
				continue
			}
			book, err := e.shift(by)
			if err != nil {
				l.say(man, "%s cannot be moved: %v", &e, err)
				continue
			}
			if !l.noticed(&e, book) {
				l.say(man, "%s can be moved by %+d step unseen by every case", &e, by)
			}
		}
	}
	for _, r := range l.c.book.Rules() {
		have := map[balance.Verdict]bool{}
		for _, cs := range l.c.Cases {
			for _, x := range cs.Expect {
				have[x.Verdict] = have[x.Verdict] || x.Rule == r.ID
			}
		}
		if !have[balance.Met] || !have[balance.Missed] {
			l.say(man, "rule %s has no case that meets it, or none that misses it", r.ID)
		}
	}
}

// noticed reports whether some case about the rule of the edge fails by the
// book. Those that stand at the edge are asked first.
func (l *linter) noticed(e *edge, book *balance.Book) bool {
	fails := func(cs *Case) bool {
		wrong, err := l.c.Judge(cs, book)
		return err != nil || len(wrong) > 0
	}
	return slices.ContainsFunc(l.c.Cases, func(cs *Case) bool { return e.at(cs) && fails(cs) }) ||
		slices.ContainsFunc(l.c.Cases, func(cs *Case) bool {
			return !e.at(cs) && slices.ContainsFunc(cs.Expect, func(x Expect) bool { return x.Rule == e.rule.ID }) && fails(cs)
		})
}

// bite switches every rule off and looks for cases that do not mind.
func (l *linter) bite() {
	for _, cs := range l.c.Cases {
		book, err := l.c.bookFor(l.c.book, cs.Laid, cs.RulesOn)
		if err != nil {
			l.say(cs.At, "case %s: %v", cs.ID, err)
			continue
		}
		bare := *cs
		bare.Laid, bare.RulesOn = "", ""
		for i, x := range cs.Expect {
			if slices.ContainsFunc(cs.Expect[:i], func(y Expect) bool { return y.Rule == x.Rule }) || x.Reason == "not-in-force" {
				continue
			}
			off, err := SwitchOff(book, x.Rule)
			if err != nil {
				l.say(cs.At, "case %s: %v", cs.ID, err)
				continue
			}
			one := bare
			one.Expect = slices.DeleteFunc(slices.Clone(cs.Expect), func(y Expect) bool { return y.Rule != x.Rule })
			if wrong, err := l.c.Judge(&one, off); err != nil || len(wrong) == 0 {
				l.say(cs.At, "case %s still passes when rule %s is switched off (%v)", cs.ID, x.Rule, err)
			}
		}
	}
}
