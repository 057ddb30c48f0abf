package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"

	"fitchet.example/ration/switchover"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/ration"
	"fitchet.example/units"
)

//go:embed household.yaml
var rescue string

//go:embed log.yaml
var twoNewcomers string

//go:embed switchover.schema.json
var schema []byte

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the flags as given.
type options struct {
	household, log, animal, plan, batch string
	own                                 kit.Files
	format, out                         string
	schema                              bool
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("switchover", stdin, stdout, stderr)
	fs.InFile(&o.household, "household", "household `file` (- for standard input); default: two newcomers embedded in the program")
	fs.InFile(&o.log, "log", "feeding log `file` with the steps begun (- for standard input); default, without -household: the embedded one")
	fs.StringVar(&o.animal, "animal", "", "`name` of one animal; default: all that are not through")
	fs.InFile(&o.plan, "steps", "`file` of your own steps and gates in place of the shipped ones")
	fs.StringVar(&o.batch, "batch", "500 g", "`mass` of the batch without bone that the calcium is for, such as \"500 g\" or \"1 lb\"")
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
		cli.Complain(stderr, "switchover", err)
		return cli.Unusable
	}
	return code
}

// render works out the whole output before any of it is written.
func (o options) render(rest []string, stdin io.Reader) ([]byte, int, error) {
	var faults []error
	fault := func(format string, args ...any) { faults = append(faults, fmt.Errorf(format, args...)) }
	if len(rest) > 0 {
		fault("%q is not a flag", rest[0])
	}
	if o.format != "text" && o.format != "json" {
		fault("-format %q: want text or json", o.format)
	}
	if (o.household == "") != (o.log == "") {
		fault("-household and -log belong together: give both or neither")
	}
	batch, err := units.ParseMass(o.batch)
	if err == nil && (batch <= 0 || batch > 100*units.Kilogram) {
		err = errors.New("want more than nothing and at most 100 kg")
	}
	if err != nil {
		fault("-batch %q: %w", o.batch, err)
	}
	if len(faults) > 0 {
		return nil, 0, errors.Join(faults...)
	}
	if o.schema {
		return schema, cli.Well, nil
	}
	s, err := o.make(stdin, batch)
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
func (o options) make(stdin io.Reader, batch units.Mass) (*sheet, error) {
	k, err := o.own.Load(stdin)
	if err != nil {
		return nil, err
	}
	steps, err := switchover.Shipped()
	if o.plan != "" {
		steps, err = cli.Load(o.plan, stdin, switchover.Load)
	}
	if err != nil {
		return nil, err
	}
	h, err := k.Household(o.household, rescue, stdin)
	if err != nil {
		return nil, err
	}
	l, faults := k.Log(o.log, twoNewcomers, stdin, h)
	if l == nil || faults != nil && !kit.Holds(l) {
		return nil, faults // nothing can be used
	}
	var only *ration.Animal
	if o.animal != "" {
		if only, err = kit.Find(h, o.animal); err != nil {
			return nil, err
		}
	}
	m := newMaker(k, steps, h, l, batch)
	if faults != nil {
		m.faults(faults)
	}
	if err := m.animals(only); err != nil {
		return nil, err
	}
	return m.done(), nil
}
