package main

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

//go:embed handout.schema.json
var schema []byte

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the flags as given.
type options struct {
	topics, name, asOf, foods, rules, format, out string
	long                                          bool
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("handout", stdin, stdout, stderr)
	fs.StringVar(&o.topics, "topics", "", "`topics`, separated by commas, in the order wanted: "+strings.Join(topicIDs(), ", ")+"; default: all")
	fs.StringVar(&o.name, "for", "", "`name` of who hands the sheet out; default: a line to write it on")
	fs.BoolVar(&o.long, "long", false, "the long form: more rows, and every source in full")
	fs.StringVar(&o.asOf, "as-of", "", "`date` of the sheet, such as 2026-11-25; default: a line to write it on")
	fs.InFile(&o.foods, "foods", "`file` of your own foods, laid over the shipped ones (- for standard input)")
	fs.InFile(&o.rules, "rules", "`file` of your own rules, laid over the shipped ones")
	fs.StringVar(&o.format, "format", "text", "md, html, text, json, csl, bib, or schema for the JSON Schema of json")
	fs.OutFile(&o.out)
	if code, more := fs.Parse(args); !more {
		return code
	}
	data, err := o.render(fs.Args(), stdin)
	if err == nil {
		err = cli.Deliver(o.out, data, stdout)
	}
	if err != nil {
		cli.Complain(stderr, "handout", err)
		return cli.Unusable
	}
	return cli.Well
}

func topicIDs() []string {
	var ids []string
	for _, t := range topics() {
		ids = append(ids, t.id)
	}
	return ids
}

// render works out the whole output before any of it is written.
func (o options) render(rest []string, stdin io.Reader) ([]byte, error) {
	var faults []error
	if len(rest) > 0 {
		faults = append(faults, fmt.Errorf("%q is not a flag; a value with blanks needs quotes", rest[0]))
	}
	write, ok := map[string]func(*document, io.Writer) error{
		"md": (*document).markdown, "html": (*document).html, "text": (*document).text,
		"json": (*document).json, "csl": (*document).csl, "bib": (*document).bibtex,
	}[o.format]
	if !ok && o.format != "schema" {
		faults = append(faults, fmt.Errorf("-format %q: want md, html, text, json, csl, bib or schema", o.format))
	}
	chosen, err := choose(o.topics)
	faults = append(faults, err)
	name := strings.TrimSpace(o.name)
	if o.name != "" {
		if _, err := strict.Name(name); err != nil {
			faults = append(faults, fmt.Errorf("-for: %w", err))
		} else if utf8.RuneCountInString(name) > maxName {
			faults = append(faults, fmt.Errorf("-for: over %d characters", maxName))
		}
	}
	if o.asOf != "" {
		if _, err := units.ParseDate(o.asOf); err != nil {
			faults = append(faults, fmt.Errorf("-as-of: %w", err))
		}
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	if o.format == "schema" {
		return schema, nil
	}
	d, err := o.data(stdin)
	if err != nil {
		return nil, err
	}
	doc, err := d.document(chosen, name, o.asOf)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := write(doc, &b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// choose reads the list of topics; an empty one is all of them.
func choose(list string) ([]topicMaker, error) {
	all := topics()
	if strings.TrimSpace(list) == "" {
		return all, nil
	}
	var out []topicMaker
	var faults []error
	seen := map[string]bool{}
next:
	for _, id := range strings.Split(list, ",") {
		id = strings.TrimSpace(id)
		for _, t := range all {
			if t.id != id {
				continue
			}
			if seen[id] {
				faults = append(faults, fmt.Errorf("-topics: %s is named again", id))
			}
			seen[id] = true
			out = append(out, t)
			continue next
		}
		hint := "want some of " + strings.Join(topicIDs(), ", ")
		if near, ok := strict.Nearest(id, topicIDs()); ok {
			hint = "did you mean " + near + "?"
		}
		faults = append(faults, fmt.Errorf("-topics: no topic %.40q; %s", id, hint))
	}
	return out, errors.Join(faults...)
}

// maxName is how long a name may be, in characters.
const maxName = 120

// data reads the shipped data and lays the user's files over them.
func (o options) data(stdin io.Reader) (*data, error) {
	d, err := load(kit.Files{Foods: o.foods, Rules: o.rules}, stdin)
	if err != nil {
		return nil, err
	}
	d.long = o.long
	return d, nil
}

// json writes the document as data.
func (d *document) json(w io.Writer) error {
	data, err := cli.JSON(d)
	if err == nil {
		_, err = w.Write(data)
	}
	return err
}
