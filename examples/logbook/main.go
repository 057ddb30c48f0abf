package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"

	"fitchet.example/ration/log"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/ration"
	"fitchet.example/units"
)

//go:embed household.yaml
var rescue string

//go:embed log.yaml
var twoWeeks string

//go:embed logbook.schema.json
var logSchema []byte

//go:embed card.schema.json
var cardSchema []byte

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the flags as given.
type options struct {
	household, log, animal, sheet string
	days                          int
	weekLoss, meanLoss            string
	own                           kit.Files
	format, out                   string
	schema                        bool
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("logbook", stdin, stdout, stderr)
	fs.InFile(&o.household, "household", "household `file` (- for standard input); default: the rescue embedded in the program")
	fs.InFile(&o.log, "log", "feeding log `file` (- for standard input); default, without -household: two weeks embedded in the program")
	fs.IntVar(&o.days, "days", 7, "how many days up to the log's as-of day are looked at: 7 or 14")
	fs.StringVar(&o.sheet, "sheet", "log", "which `sheet`: log, or card for whoever looks after an animal next")
	fs.StringVar(&o.animal, "animal", "", "`name` of one animal, for -sheet card; default: all")
	fs.StringVar(&o.weekLoss, "week-loss", "", "`share` of weight lost in seven days from which it is an alert; default 5 %, our choice")
	fs.StringVar(&o.meanLoss, "mean-loss", "", "`share` of weight below the animal's own mean from which it is an alert; default 10 %, our choice")
	o.own.Flags(fs)
	fs.StringVar(&o.format, "format", "text", "text or json")
	fs.BoolVar(&o.schema, "schema", false, "write the JSON Schema of the output and do nothing else")
	fs.OutFile(&o.out)
	if code, more := fs.Parse(args); !more {
		return code
	}
	data, code, err := o.render(fs.Args(), stdin)
	if err == nil {
		err = cli.Deliver(o.out, data, stdout)
	}
	if err != nil {
		cli.Complain(stderr, "logbook", err)
		return cli.Unusable
	}
	return code
}

// sheet is what the program can write.
type sheet interface {
	text() []byte
	code() int
}

// render works out the whole output before any of it is written.
func (o options) render(rest []string, stdin io.Reader) ([]byte, int, error) {
	var faults []error
	fault := func(format string, args ...any) { faults = append(faults, fmt.Errorf(format, args...)) }
	if len(rest) > 0 {
		fault("%q is not a flag", rest[0])
	}
	if o.sheet != "log" && o.sheet != "card" {
		fault("-sheet %q: want log or card", o.sheet)
	}
	if o.format != "text" && o.format != "json" {
		fault("-format %q: want text or json", o.format)
	}
	if o.days != 7 && o.days != 14 {
		fault("-days %d: want 7 or 14", o.days)
	}
	if o.animal != "" && o.sheet != "card" {
		fault("-animal is for -sheet card: the log is of all animals")
	}
	if (o.household == "") != (o.log == "") {
		fault("-household and -log belong together: give both or neither")
	}
	lim := log.DefaultWeightLimits()
	for _, f := range []struct {
		name, value string
		into        *units.Share
	}{{"-week-loss", o.weekLoss, &lim.Week}, {"-mean-loss", o.meanLoss, &lim.FromMean}} {
		if f.value == "" {
			continue
		}
		v, err := units.ParseShare(f.value)
		if err == nil && (v <= 0 || v >= units.Whole) {
			err = fmt.Errorf("want more than 0 %% and less than 100 %%")
		}
		if err != nil {
			fault("%s %q: %w", f.name, f.value, err)
		}
		*f.into = v
	}
	if len(faults) > 0 {
		return nil, 0, errors.Join(faults...)
	}
	if o.schema {
		if o.sheet == "card" {
			return cardSchema, cli.Well, nil
		}
		return logSchema, cli.Well, nil
	}
	s, err := o.make(stdin, lim)
	if err != nil {
		return nil, 0, err
	}
	if o.format == "json" {
		data, err := cli.JSON(s)
		return data, s.code(), err
	}
	return s.text(), s.code(), nil
}

// make reads the input and works everything out.
func (o options) make(stdin io.Reader, lim log.WeightLimits) (sheet, error) {
	k, err := o.own.Load(stdin)
	if err != nil {
		return nil, err
	}
	h, err := k.Household(o.household, rescue, stdin)
	if err != nil {
		return nil, err
	}
	l, faults := k.Log(o.log, twoWeeks, stdin, h)
	if l == nil || faults != nil && !kit.Holds(l) {
		return nil, faults // nothing can be used
	}
	m := newMaker(k, h, l, lim, o.days)
	if faults != nil {
		m.faults = lines(faults)
	}
	if o.sheet == "card" {
		var only *ration.Animal
		if o.animal != "" {
			if only, err = kit.Find(h, o.animal); err != nil {
				return nil, err
			}
		}
		return m.card(only)
	}
	return m.book()
}
