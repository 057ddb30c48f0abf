package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fitchet.example/balance"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/switchover"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// data is everything that the topics are made from.
type data struct {
	foods *prey.Catalogue
	care  *safety.Book
	book  *balance.Book
	steps *switchover.Plan
	long  bool

	err error // the first thing that went wrong while a topic was made
}

// load reads the data that come with the library, and the user's files over them.
func load(own kit.Files, stdin io.Reader) (*data, error) {
	k, err := own.Load(stdin)
	if err != nil {
		return nil, err
	}
	d := data{foods: k.Foods, care: k.Care, book: k.Book}
	d.steps, err = switchover.Shipped()
	return &d, err
}

// document makes the handout with the topics asked for.
func (d *data) document(topics []topicMaker, name, asOf string) (*document, error) {
	doc := &document{Schema: "fitchet.handout/1", Title: "Raw food for ferrets: what is known, and how we know it", For: name, AsOf: asOf, Form: "short", Topics: []topic{}}
	if d.long {
		doc.Form = "long"
	}
	about := safety.Situation{Raw: true, Poultry: true, Handout: true}
	for _, t := range topics {
		doc.Topics = append(doc.Topics, topic{ID: t.id, Title: t.title, Blocks: t.make(d)})
		t.about(&about)
	}
	if d.err != nil {
		return nil, d.err
	}
	doc.walk(func(c claim) {
		for _, r := range c.refs {
			about.Borrowed = about.Borrowed || r.Borrowed != ""
		}
	})
	for _, c := range d.care.Cautions(about) {
		doc.Cautions = append(doc.Cautions, fact(c.Text, c.Evidence...))
	}
	if err := doc.number(d.foods.Registry()); err != nil {
		return nil, err
	}
	doc.explain()
	for _, r := range d.book.Rules() {
		doc.Edition.Rules = max(doc.Edition.Rules, r.Since)
	}
	for _, t := range d.book.Targets() {
		doc.Edition.Rules = max(doc.Edition.Rules, t.Since)
	}
	return doc, doc.seal()
}

func (d *data) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

// food finds one food by its permanent id.
func (d *data) food(id string) *prey.Food {
	f, err := d.foods.Find(id)
	if err != nil {
		d.fail(err)
		return &prey.Food{ID: id, Name: id}
	}
	return f
}

func practice(what string) cite.Ref { return cite.Ref{Evidence: cite.Practice, At: what} }

func choice(reason string) cite.Ref { return cite.Ref{Evidence: cite.Choice, At: reason} }

// derived is arithmetic on figures whose references are given; what leans on
// practice or choice alone cannot be called derived and keeps their class.
func derived(arithmetic string, from ...cite.Ref) cite.Ref {
	out := cite.Ref{Evidence: cite.Derived, At: arithmetic}
	for _, r := range from {
		for _, key := range r.Sources {
			if !slices.Contains(out.Sources, key) {
				out.Sources = append(out.Sources, key)
			}
		}
		if r.Borrowed != "" {
			out.Borrowed = r.Borrowed
		}
		if r.Evidence == cite.Choice {
			out.Evidence = cite.Choice
		}
	}
	if len(out.Sources) == 0 && out.Evidence == cite.Derived {
		out.Evidence = cite.Practice
	}
	return out
}

// refs are the references of the bounds and the rule, those that are there.
func refs(r *balance.Rule) []cite.Ref {
	var out []cite.Ref
	for _, l := range []*balance.Limit{r.Low, r.High} {
		if l != nil {
			out = append(out, l.Ref)
		}
	}
	if r.Ref.Evidence.Valid() {
		out = append(out, r.Ref)
	}
	return out
}

// Amounts for people. A figure is never written without its unit, nor grams
// without ounces.

func grams(m units.Mass) string { return gramsTo(m, m) }

func gramsTo(low, high units.Mass) string {
	g, oz := int32(0), int32(1)
	if high < 10*units.Gram {
		g, oz = 1, 2
	}
	return span(low.InGrams(g), high.InGrams(g)) + " (" + span(low.InOunces(oz), high.InOunces(oz)) + ")"
}

func shareSpan(low, high units.Share) string {
	p := int32(0)
	if high < units.Whole/50 || low < units.Whole/100 {
		p = 2
	}
	return span(trim(low, p), trim(high, p))
}

// trim is a percentage without zeros behind the point.
func trim(s units.Share, places int32) string {
	text, _ := strings.CutSuffix(s.InPercent(places), " %")
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text + " %"
}

// span joins two amounts of one unit: "89 to 173 g". Equal ones are given once.
func span(low, high string) string {
	if low == high {
		return low
	}
	if l, unit, ok := strings.Cut(low, " "); ok && strings.HasSuffix(high, " "+unit) {
		low = l
	}
	return low + " to " + high
}

func periods(low, high time.Duration) string {
	return span(safety.PeriodText(low), safety.PeriodText(high))
}

// kcal is an energy in whole kcal: its low end rounded down, its high end up.
func kcal(low, high ration.Tenths) string {
	return span(fmt.Sprintf("%d kcal", low/10), fmt.Sprintf("%d kcal", (high+9)/10))
}

func counted(low, high int, one, many string) string {
	unit := func(n int) string {
		if n == 1 {
			return one
		}
		return many
	}
	if low == high {
		return fmt.Sprintf("%d %s", low, unit(low))
	}
	return fmt.Sprintf("%d to %d %s", low, high, unit(high))
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	s = capital(s)
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// energy is the span of a food's energy over its cases.
func energy(f *prey.Food) (units.Range[prey.Density], cite.Ref, bool) {
	e, _, ok := f.DefaultEnergy()
	if !ok {
		return units.Range[prey.Density]{}, e.Ref, false
	}
	return units.Range[prey.Density]{Low: slices.Min(e.At[:]), Typical: e.At[prey.Typical], High: slices.Max(e.At[:])}, e.Ref, true
}
