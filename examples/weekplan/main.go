package main

import (
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

//go:embed household.yaml
var rescue string

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the flags as given.
type options struct {
	household, plan, start, room, foods, rules, notices, format, out string
	kind                                                             string // of sheet
	next                                                             int
	budget                                                           int64 // of work, in millions of steps
	costs, styles, schema                                            bool
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := flag.NewFlagSet("weekplan", flag.ContinueOnError)
	fs.StringVar(&o.household, "household", "", "household `file` (- for standard input); default: the rescue embedded in the program")
	fs.StringVar(&o.plan, "plan", "", "audit the plan in this `file` instead of making one")
	fs.StringVar(&o.start, "start", "", "first `day` of the plan, such as 2026-11-30; default: the household's")
	fs.StringVar(&o.room, "room", "", "`temperature` where the food stands, such as \"21 °C\" or \"70 °F\"; default: the household's")
	fs.StringVar(&o.foods, "foods", "", "`file` of your own foods, laid over the shipped ones")
	fs.StringVar(&o.rules, "rules", "", "`file` of your own rules, laid over the shipped ones")
	fs.StringVar(&o.notices, "notices", "", "`file` of notices (bird flu, recalls) in place of the shipped ones")
	fs.StringVar(&o.format, "format", "text", "text, md, html, json, or ics for a calendar")
	fs.StringVar(&o.kind, "sheet", "week", "which `sheet`: week, door, vet or card")
	fs.IntVar(&o.next, "next", 0, fmt.Sprintf("add the next best plans to the week sheet, this `many` of them, 1 to %d: what they cost, and what is bought more or fewer", mostNext))
	fs.Int64Var(&o.budget, "budget", balance.DefaultBudget/budgetUnit, "how much work planning may take, in `millions` of steps of the search, never in seconds: the same budget gives the same plan. More may find a plan, or a cheaper one, where less did not")
	fs.BoolVar(&o.costs, "costs", false, "add to the week sheet what each requirement costs: how much cheaper the week would be without it")
	fs.BoolVar(&o.styles, "styles", false, "add to the week sheet how the styles compare: assembled, complete mix, whole prey, mixed")
	fs.BoolVar(&o.schema, "schema", false, "write the JSON Schema of the output and do nothing else")
	fs.StringVar(&o.out, "out", "", "write to this `file` instead of standard output")
	if code, more := cli.Parse(fs, args, stderr); !more {
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
	foods, err := prey.Shipped()
	if err != nil {
		return nil, err
	}
	if o.foods != "" {
		own, err := cli.Load(o.foods, stdin, func(name string, r io.Reader) ([]prey.Food, error) {
			return prey.LoadFoods(name, r, foods.Registry())
		})
		if err != nil {
			return nil, err
		}
		if foods, err = foods.With(own); err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(o.foods), err)
		}
	}
	book, err := balance.Shipped()
	if err != nil {
		return nil, err
	}
	if o.rules != "" {
		own, err := cli.Load(o.rules, stdin, func(name string, r io.Reader) ([]balance.Rule, error) {
			return balance.LoadRules(name, r, book.Registry())
		})
		if err != nil {
			return nil, err
		}
		if book, err = book.WithRules(own); err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(o.rules), err)
		}
	}
	read := func(name string, r io.Reader) (*ration.Household, error) {
		h, _, err := ration.LoadHousehold(name, r, foods)
		return h, err
	}
	var h *ration.Household
	if o.household == "" {
		h, err = read("household.yaml (embedded)", strings.NewReader(rescue))
	} else {
		h, err = cli.Load(o.household, stdin, read)
	}
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
	var plan *ration.Plan
	if o.plan != "" {
		if plan, err = cli.Load(o.plan, stdin, func(name string, r io.Reader) (*ration.Plan, error) {
			return ration.LoadPlan(name, r, foods, h)
		}); err != nil {
			return nil, err
		}
		if err := h.CheckPlan(plan); err != nil {
			return nil, fmt.Errorf("%s: %w", o.plan, err)
		}
		h.Start = plan.Start // the animals are judged on its days
	}
	care, err := safety.Shipped()
	if err != nil {
		return nil, err
	}
	about := safety.Context{Region: h.Region, On: h.Start}
	if o.notices == "" {
		about.Notices, err = safety.ShippedNotices()
	} else {
		about.Notices, err = cli.Load(o.notices, stdin, safety.LoadNotices)
	}
	if err != nil {
		return nil, err
	}
	screen, err := balance.NewScreen(care, foods, about)
	if err != nil {
		return nil, err
	}
	m := maker{foods: foods, book: book, care: care, h: h}
	if plan == nil {
		ctx := context.Background()
		q := balance.Request{Household: h, Foods: foods, Book: book, Screen: screen, Alternatives: o.next, Budget: o.budget * budgetUnit}
		res, err := balance.PlanWeek(ctx, q)
		if err != nil {
			return nil, err
		}
		s, err := m.planned(res)
		if err != nil {
			return nil, err
		}
		return s, m.compare(ctx, o, q, res)
	}
	report, err := balance.Audit(balance.Input{Plan: plan, Household: h, Book: book, Screen: screen, Foods: foods})
	if err != nil {
		return nil, err
	}
	return m.audited(plan, report)
}
