package main

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/safety"
	"fitchet.example/units"
)

//go:embed setout.schema.json
var schema []byte

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the arguments as given.
type options struct {
	form, room, warm, start, hours string
	species, region, on, notices   string
	format, out                    string
	wild, detail                   bool
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("setout", stdin, stdout, stderr)
	fs.StringVar(&o.form, "form", "pieces", "`form` of the food: soup, minced, pieces, bone-in, whole, dried or soaked")
	fs.StringVar(&o.room, "room", "", "`temperature` where it will lie, such as \"21 °C\", \"70 °F\" or \"3 h at 18 °C, 24 °C\"")
	fs.StringVar(&o.warm, "warm", "", "`time` already spent above 5 °C (41 °F), such as \"40 min\" or \"thawing 40 min, bowl 1 h\"")
	fs.StringVar(&o.start, "start", "", "`temperature` of the food when it left the fridge, such as \"4 °C\"")
	fs.StringVar(&o.hours, "hours", "", "`time` it is meant to lie, such as \"12 h\": does it fit, and in which room would germs stay within tenfold?")
	fs.StringVar(&o.species, "species", "", "`animal` the food is of, for what speaks against it whatever the hours")
	fs.BoolVar(&o.wild, "wild", false, "the animal was taken from the wild")
	fs.StringVar(&o.region, "region", "", "`region` to look up in the notices")
	fs.StringVar(&o.on, "on", "", "`day` that is asked about, such as 2026-11-25, for the age of notices")
	fs.InFile(&o.notices, "notices", "`file` of your own notices instead of the shipped ones (- for standard input)")
	fs.BoolVar(&o.detail, "detail", false, "every limit, practice, growth and caution")
	fs.StringVar(&o.format, "format", "text", "text, json, or schema for the JSON Schema of the answer")
	fs.OutFile(&o.out)
	if code, more := fs.Parse(args); !more {
		return code
	}
	data, code, err := o.render(fs.Args(), stdin)
	if err == nil {
		err = cli.Deliver(o.out, data, stdout)
	}
	if err != nil {
		cli.Complain(stderr, "setout", err)
		return cli.Unusable
	}
	return code
}

// render works out the whole output before any of it is written.
func (o options) render(rest []string, stdin io.Reader) ([]byte, int, error) {
	if len(rest) > 0 {
		return nil, 0, fmt.Errorf("%q: every argument is a flag; a value with blanks needs quotes, as in -room \"21 °C\"", rest[0])
	}
	switch o.format {
	case "schema":
		return schema, cli.Well, nil
	case "text", "json":
	default:
		return nil, 0, fmt.Errorf("-format %q: want text, json or schema", o.format)
	}
	a, code, err := o.answer(stdin)
	if err != nil {
		return nil, 0, err
	}
	var b bytes.Buffer
	if o.format == "text" {
		a.text(&b, o.detail)
		return b.Bytes(), code, nil
	}
	data, err := cli.JSON(a)
	return data, code, err
}

// question is what the flags ask.
type question struct {
	serving safety.SetOutQuestion
	hours   time.Duration // zero: not asked
	item    safety.Item
	ctx     safety.Context
}

// question reads all flags and reports everything wrong with them at once.
func (o options) question(book *safety.Book, stdin io.Reader) (question, error) {
	var q question
	var faults []error
	note := func(flag string, err error) {
		if err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", flag, err))
		}
	}
	var err error
	q.serving.Form, err = safety.ParseForm(strings.ToLower(o.form))
	note("-form", err)
	q.serving.Room, err = safety.ParseRoom(o.room)
	note("-room", err)
	q.serving.Clocks, err = safety.ParseClocks(o.warm)
	note("-warm", err)
	if o.start != "" {
		t, err := units.ParseTemperature(o.start)
		note("-start", err)
		q.serving.Start = safety.At(t)
	}
	if o.hours != "" {
		q.hours, err = safety.ParsePeriod(o.hours)
		if err == nil && q.hours == 0 {
			err = errors.New("nothing is asked by no time at all")
		}
		note("-hours", err)
	}
	if o.wild && o.species == "" {
		note("-wild", errors.New("say which animal with -species"))
	}
	q.item = safety.Item{Species: o.species, Wild: o.wild}
	for _, err := range book.CheckItem(q.item) {
		note("-species", err)
	}
	q.ctx.Region = o.region
	if o.on != "" {
		q.ctx.On, err = units.ParseDate(o.on)
		note("-on", err)
	}
	q.ctx.Notices, err = o.loadNotices(stdin)
	note("-notices", err)
	note("-region", q.ctx.Notices.CheckRegion(o.region))
	return q, errors.Join(faults...)
}

func (o options) loadNotices(stdin io.Reader) (*safety.Notices, error) {
	if o.notices == "" {
		return safety.ShippedNotices()
	}
	return cli.Load(o.notices, stdin, safety.LoadNotices)
}
