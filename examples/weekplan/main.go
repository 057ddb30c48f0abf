package main

import (
	"bytes"
	"context"
	_ "embed"
	"fmt"
	"io"
	"os"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

//go:embed household.yaml
var rescue string

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the flags as given.
type options struct {
	household, plan, start, room, format, out string
	own                                       kit.Files
	kind                                      string // of sheet
	next                                      int
	budget                                    int64 // of work, in millions of steps
	costs, styles, schema                     bool
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("weekplan", stdin, stdout, stderr)
	fs.InFile(&o.household, "household", "household `file` (- for standard input); default: the rescue embedded in the program")
	fs.InFile(&o.plan, "plan", "audit the plan in this `file` instead of making one: a plan file, or a week sheet of this program in JSON, which brings its household and foods along")
	fs.StringVar(&o.start, "start", "", "first `day` of the plan, such as 2026-11-30; default: the household's")
	fs.StringVar(&o.room, "room", "", "`temperature` where the food stands, such as \"21 °C\" or \"70 °F\"; default: the household's")
	o.own.Flags(fs)
	fs.StringVar(&o.format, "format", "text", "text, md, html, json, or ics for a calendar")
	fs.StringVar(&o.kind, "sheet", "week", "which `sheet`: week, door, vet or card")
	fs.IntVar(&o.next, "next", 0, fmt.Sprintf("add the next best plans to the week sheet, this `many` of them, 1 to %d: what they cost, and what is bought more or fewer", mostNext))
	fs.Int64Var(&o.budget, "budget", plan.DefaultBudget/budgetUnit, "how much work planning may take, in `millions` of steps of the search, never in seconds: the same budget gives the same plan. More may find a plan, or a cheaper one, where less did not")
	fs.BoolVar(&o.costs, "costs", false, "add to the week sheet what each requirement costs: how much cheaper the week would be without it")
	fs.BoolVar(&o.styles, "styles", false, "add to the week sheet how the styles compare: assembled, complete mix, whole prey, mixed")
	fs.BoolVar(&o.schema, "schema", false, "write the JSON Schema of the output and do nothing else")
	fs.OutFile(&o.out)
	if code, more := fs.Parse(args); !more {
		return code
	}
	if fs.NArg() > 0 {
		fmt.Fprintf(stderr, "weekplan: %q is not a flag\n", fs.Arg(0))
		return cli.Unusable
	}
	if o.schema {
		if err := cli.Deliver(o.out, schema, stdout); err != nil {
			cli.Complain(stderr, "weekplan", err)
			return cli.Unusable
		}
		return cli.Well
	}
	if err := o.check(); err != nil {
		cli.Complain(stderr, "weekplan", err)
		return cli.Unusable
	}
	s, err := o.sheet(stdin)
	if err != nil {
		cli.Complain(stderr, "weekplan", err)
		return cli.Unusable
	}
	out, err := s.render(o.kind, o.format)
	if err == nil {
		err = cli.Deliver(o.out, out, stdout)
	}
	if err != nil {
		cli.Complain(stderr, "weekplan", err)
		return cli.Unusable
	}
	if s.passed {
		return cli.Well
	}
	return cli.Mend
}

// sheet reads the input and works everything out.
func (o options) sheet(stdin io.Reader) (*sheet, error) {
	k, err := o.own.Load(stdin)
	if err != nil {
		return nil, err
	}
	var w *written
	home := rescue
	if o.plan != "" {
		if w, err = readWritten(o.plan, stdin); err != nil {
			return nil, err
		}
		if w.Plan != nil {
			own, err := w.files(k)
			if err != nil {
				return nil, err
			}
			home = string(own)
		}
	}
	h, err := k.Household(o.household, home, stdin)
	if err != nil {
		return nil, err
	}
	if o.start != "" {
		if h.Start, err = units.ParseDate(o.start); err != nil {
			return nil, fmt.Errorf("-start: %w", err)
		}
		if err := h.CheckStart(h.Start); err != nil {
			return nil, fmt.Errorf("-start: %w", err)
		}
	}
	if o.room != "" {
		t, err := units.ParseTemperature(o.room)
		if err != nil {
			return nil, fmt.Errorf("-room: %w", err)
		}
		h.Room = &t
	}
	var given *ration.Plan
	if w != nil {
		if given, err = ration.LoadPlan(w.name, bytes.NewReader(w.text), k.Foods, h); err != nil {
			return nil, err
		}
		if err := h.CheckPlan(given); err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(o.plan), err)
		}
		h.Start = given.Start // the animals are judged on its days
	}
	screen, err := k.HazardCheck(h, h.Start)
	if err != nil {
		return nil, err
	}
	m := maker{foods: k.Foods, book: k.Book, care: k.Care, h: h}
	if given == nil {
		ctx := context.Background()
		q := plan.Request{Household: h, Foods: k.Foods, Book: k.Book, HazardCheck: screen, Alternatives: o.next, Budget: o.budget * budgetUnit}
		res, err := plan.Week(ctx, q)
		if err != nil {
			return nil, err
		}
		s, err := m.planned(res)
		if err != nil {
			return nil, err
		}
		return s, m.compare(ctx, o, q, res)
	}
	report, err := balance.Audit(balance.Input{Plan: given, Household: h, Book: k.Book, HazardCheck: screen, Foods: k.Foods})
	if err != nil {
		return nil, err
	}
	return m.audited(given, report)
}
