package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/page"
	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units/strict"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// options are the arguments as given.
type options struct {
	name, part, species, hazard, foods, format, out string
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("foods", stdin, stdout, stderr)
	fs.StringVar(&o.part, "part", "", "list foods with this `part`: muscle, heart, liver, organ, bone or rest")
	fs.StringVar(&o.species, "species", "", "list foods of this `animal` or group, such as duck or poultry")
	fs.StringVar(&o.hazard, "hazard", "", "list foods with this hazard `tag`")
	fs.InFile(&o.foods, "foods", "`file` of your own foods, laid over the shipped ones (- for standard input)")
	fs.StringVar(&o.format, "format", "text", "text or json")
	fs.OutFile(&o.out)
	if code, more := fs.Parse(args); !more {
		return code
	}
	o.name = strings.Join(fs.Args(), " ")
	data, code, err := o.answer(stdin)
	if err == nil {
		err = cli.Deliver(o.out, data, stdout)
	}
	if err != nil {
		cli.Complain(stderr, "foods", err)
		return cli.Unusable
	}
	return code
}

// answer works out the whole output before any of it is written.
func (o options) answer(stdin io.Reader) ([]byte, int, error) {
	if o.format != "text" && o.format != "json" {
		return nil, 0, fmt.Errorf("-format %q: want text or json", o.format)
	}
	if o.name != "" && (o.part != "" || o.species != "" || o.hazard != "") {
		return nil, 0, fmt.Errorf("give the name of one food, or -part, -species and -hazard for a list, not both")
	}
	c, err := o.catalogue(stdin)
	if err != nil {
		return nil, 0, err
	}
	if o.name == "" {
		l, err := o.list(c)
		if err != nil {
			return nil, 0, err
		}
		data, err := render(o.format, l)
		return data, cli.Well, err
	}
	f, err := c.Find(o.name)
	if err != nil {
		return nil, 0, missed(err, c, o.name)
	}
	s, code, err := explain(c, f)
	if err != nil {
		return nil, 0, err
	}
	data, err := render(o.format, s)
	return data, code, err
}

func (o options) catalogue(stdin io.Reader) (*prey.Catalogue, error) {
	c, err := prey.Shipped()
	if err != nil || o.foods == "" {
		return c, err
	}
	own, err := cli.Load(o.foods, stdin, func(name string, r io.Reader) ([]prey.Food, error) {
		return prey.LoadFoods(name, r, c.Registry())
	})
	if err != nil {
		return nil, err
	}
	if c, err = c.With(own); err != nil {
		return nil, fmt.Errorf("%s: %w", strict.Line(o.foods), err)
	}
	return c, nil
}

// missed adds how to list the foods of an animal when one was asked for.
func missed(err error, c *prey.Catalogue, name string) error {
	if _, unknown := c.Animal(name); unknown == nil {
		word := strings.ToLower(name)
		return fmt.Errorf("%w\n%s is an animal: list its foods with -species %q", err, word, word)
	}
	return err
}

// render writes one answer in the wanted form.
func render(format string, v interface{ text(*bytes.Buffer) }) ([]byte, error) {
	var b bytes.Buffer
	if format == "text" {
		v.text(&b)
		return b.Bytes(), nil
	}
	return cli.JSON(v)
}

// list is the answer without a name.
type list struct {
	Schema string `json:"schema"` // "fitchet.foods/1"
	Foods  []item `json:"foods"`
}

type item struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`
	Kind    string   `json:"kind"`
	Species []string `json:"species,omitempty"`
	Hazards []string `json:"hazards,omitempty"`
}

func (o options) list(c *prey.Catalogue) (*list, error) {
	by := prey.Filter{Species: strings.ToLower(o.species), Hazard: strings.ToLower(o.hazard)}
	if o.part != "" {
		p, err := prey.ParsePart(strings.ToLower(o.part))
		if err != nil {
			return nil, fmt.Errorf("-part: %w", err)
		}
		by.Part = &p
	}
	if by.Species != "" {
		if _, err := c.Animal(by.Species); err != nil {
			return nil, fmt.Errorf("-species %w", err)
		}
		if len(c.Select(prey.Filter{Species: by.Species})) == 0 {
			return nil, fmt.Errorf("-species %q: no food is of it", by.Species)
		}
	}
	if err := known("-hazard", by.Hazard, c.Hazards()); err != nil {
		return nil, err
	}
	l := &list{Schema: "fitchet.foods/1", Foods: []item{}}
	for _, f := range c.Select(by) {
		it := item{ID: f.ID, Name: f.Name, Kind: f.Kind.String(), Species: f.Contains, Hazards: f.Hazards}
		if f.Species != "" {
			it.Species = append([]string{f.Species}, f.Contains...)
		}
		l.Foods = append(l.Foods, it)
	}
	return l, nil
}

// known refuses a word that no food has, with the nearest one.
func known(flag, word string, words []string) error {
	if word == "" || slices.Contains(words, word) {
		return nil
	}
	if near, ok := strict.Nearest(word, words); ok {
		return fmt.Errorf("%s %q: no food has it; did you mean %q?", flag, word, near)
	}
	return fmt.Errorf("%s %q: no food has it; there are: %s", flag, word, strings.Join(words, ", "))
}

func (l *list) text(b *bytes.Buffer) {
	wide := 0
	for _, it := range l.Foods {
		wide = max(wide, len([]rune(it.ID)))
	}
	for _, it := range l.Foods {
		line := it.ID + strings.Repeat(" ", wide-len([]rune(it.ID))) + "  " + it.Name + " (" + strings.ReplaceAll(it.Kind, "-", " ") + ")"
		if len(it.Hazards) > 0 {
			line += "; hazards: " + strings.Join(it.Hazards, ", ")
		}
		page.Put(b, "%s\n", line)
	}
	page.Put(b, "\n%d foods. For one of them: foods NAME\n", len(l.Foods))
}

// sheet is the answer for one food.
type sheet struct {
	prey.Explanation
	Against  []against `json:"known_against"`
	Cautions []string  `json:"cautions"`
}

// against is one thing known against the food, worst first.
type against struct {
	ID       string   `json:"id"`
	Severity string   `json:"gravity"` // stop, cli.Mend or watch
	What     string   `json:"what"`
	Do       string   `json:"do,omitempty"`
	Amount   string   `json:"amount,omitempty"`
	Why      string   `json:"why,omitempty"`
	Open     bool     `json:"open,omitempty"` // rests on something to be looked up
	Sources  []string `json:"sources"`
}

func explain(c *prey.Catalogue, f *prey.Food) (*sheet, int, error) {
	book, err := safety.Shipped()
	if err != nil {
		return nil, 0, err
	}
	s := &sheet{Explanation: c.Explain(f), Against: []against{}}
	code := cli.Well
	for _, h := range book.Hazards(safety.ItemOf(f), safety.Context{}) {
		a := against{
			ID: h.ID, Severity: h.Severity.String(), What: h.Sentence, Do: h.Do, Amount: h.Amount, Why: h.Why,
			Open: h.Standing != safety.Holds,
		}
		for _, r := range h.Evidence {
			a.Sources = append(a.Sources, r.Words(book.Sources()))
		}
		if h.Severity >= safety.Mend && !a.Open {
			code = cli.Mend
		}
		s.Against = append(s.Against, a)
	}
	for _, caution := range book.Cautions(situation(f)) {
		s.Cautions = append(s.Cautions, caution.Text)
	}
	return s, code, nil
}

// situation asks for the cautions that a sheet on this food calls for.
func situation(f *prey.Food) safety.Situation {
	raw := f.Kind != prey.DryFood && f.Kind != prey.Oil && f.Kind != prey.Supplement
	return safety.Situation{
		Raw: raw, Fish: f.Kind == prey.Fish, WholePrey: f.Kind == prey.WholePrey,
		Poultry: f.HasHazard("poultry"), Game: f.HasHazard("wild-caught"),
		Borrowed: true, // energy by a cat's equation
	}
}

func (s *sheet) text(b *bytes.Buffer) {
	e := s.Explanation
	e.Hazards = nil // what the tags mean follows
	b.WriteString(e.Text())
	if len(s.Against) > 0 {
		page.Put(b, "\nKnown against it\n")
	}
	for _, a := range s.Against {
		page.Put(b, "  %s: %s\n", a.Severity, a.What)
		if a.Open {
			page.Put(b, "    Open: to be looked up before it holds.\n")
		}
		if a.Amount != "" {
			page.Put(b, "    Amount: %s\n", a.Amount)
		}
		if a.Do != "" {
			page.Put(b, "    %s\n", a.Do)
		}
		if len(a.Sources) > 0 {
			page.Put(b, "    How we know: %s\n", strings.Join(a.Sources, "; "))
		}
	}
	if len(s.Cautions) > 0 {
		page.Put(b, "\nTake care\n")
	}
	for _, c := range s.Cautions {
		page.Put(b, "  %s\n", c)
	}
}
