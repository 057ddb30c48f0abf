package main

import (
	"bytes"
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance/plan"
	"fitchet.example/examples/internal/cli"
)

//go:embed weekplan.schema.json
var schema []byte

func kinds() []string   { return []string{"week", "door", "vet", "card"} }
func formats() []string { return []string{"text", "md", "html", "json", "ics"} }

// check refuses flags that ask for nothing that is made here.
func (o options) check() error {
	if !slices.Contains(kinds(), o.kind) {
		return fmt.Errorf("-sheet %q: want %s", o.kind, strings.Join(kinds(), ", "))
	}
	if !slices.Contains(formats(), o.format) {
		return fmt.Errorf("-format %q: want %s", o.format, strings.Join(formats(), ", "))
	}
	if o.format == "ics" && o.kind != "week" && o.kind != "door" {
		return fmt.Errorf("-format ics: a calendar is made of the week or the door sheet, not of %s", o.kind)
	}
	if o.next < 0 || o.next > mostNext {
		return fmt.Errorf("-next %d: want 1 to %d", o.next, mostNext)
	}
	if most := int64(plan.MostBudget / budgetUnit); o.budget < 1 || o.budget > most {
		return fmt.Errorf("-budget %d: want 1 to %d", o.budget, most)
	}
	if o.start != "" && o.plan != "" {
		return fmt.Errorf("-start %s: the plan of -plan has its own days", o.start)
	}
	for _, f := range []struct {
		name  string
		asked bool
	}{{"-next", o.next > 0}, {"-costs", o.costs}, {"-styles", o.styles}} {
		switch {
		case !f.asked:
		case o.kind != "week":
			return fmt.Errorf("%s: it is a part of the week sheet; the %s sheet has no place for it", f.name, o.kind)
		case o.format == "ics":
			return fmt.Errorf("%s: it is a part of the week sheet; a calendar has no place for it", f.name)
		case o.plan != "":
			return fmt.Errorf("%s: it compares a plan that is made here; with -plan one is given", f.name)
		}
	}
	return nil
}

// render writes one of the sheets in one of the formats.
func (s *sheet) render(kind, format string) ([]byte, error) {
	if format == "ics" {
		return s.door().calendar(), nil
	}
	var data any = s
	var lay func() *paper
	switch kind {
	case "door":
		d := s.door()
		data, lay = d, d.paper
	case "vet":
		v := s.vet()
		data, lay = v, v.paper
	case "card":
		c := s.card()
		data, lay = c, c.paper
	default:
		lay = s.week
		if format == "text" {
			var b bytes.Buffer
			s.text(&b)
			p := s.paper("week", "")
			return []byte(strings.Join(each(strings.Split(b.String(), "\n"), p.flat), "\n")), nil
		}
	}
	switch format {
	case "json":
		return cli.JSON(data)
	case "html":
		return lay().html()
	case "md":
		return lay().markdown(), nil
	}
	return lay().text(), nil
}
