package icscheck

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	east "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/text"
)

var program string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "weekplan")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	program = filepath.Join(dir, "weekplan")
	build := exec.Command("go", "build", "-o", program, ".")
	build.Dir = ".."
	if out, err := build.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "building weekplan: %v\n%s", err, out)
		os.Exit(1)
	}
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// weekplan runs the program; exit 1 (something to mend) is an answer too.
func weekplan(t *testing.T, stdin string, args ...string) []byte {
	t.Helper()
	c := exec.Command(program, args...)
	c.Dir = ".."
	c.Stdin = strings.NewReader(stdin)
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	err := c.Run()
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) {
		t.Fatalf("%v: %v\n%s", args, err, errs.String())
	}
	return out.Bytes()
}

const odd = `{"household": "Brackenford; \"Mill\", דובי", "as-of": "2026-11-25", "start": "2026-11-30", "room": "19 °C",
 "animals": [{"id": "one", "name": "<b>Fern</b> | *x* [y](z) \\ 1, 2; 3", "sex": "jill", "weight": "760 g", "born": "2023-05-01"},
             {"id": "two", "name": "דובי 🦦", "sex": "hob", "weight": "1.3 kg", "born": "2022-05-01"},
             {"id": "three", "name": "# 1. head", "sex": "hob", "weight": "1.2 kg", "born": "2022-05-01", "conditions": ["insulinoma"]}],
 "offers": [{"food": "chicken neck", "pack": "1 kg", "price": "2.90 EUR", "supplier": "a|b <i>"}, {"food": "beef mince", "pack": "500 g", "price": "4.50 EUR"},
            {"food": "rabbit meat", "pack": "1 kg", "price": "9.00 EUR"}, {"food": "chicken heart", "pack": "300 g", "price": "2.10 EUR"},
            {"food": "chicken liver", "pack": "150 g", "price": "0.70 EUR"}, {"food": "lamb kidney", "pack": "250 g", "price": "2.30 EUR"},
            {"food": "salmon oil", "pack": "120 g", "price": "6.00 EUR"}, {"food": "hen egg", "pieces": 6, "price": "1.80 EUR"}]}`

// households are the arguments and the standard input of each.
func households() map[string]struct {
	stdin string
	args  []string
} {
	return map[string]struct {
		stdin string
		args  []string
	}{
		"embedded": {"", nil},
		"odd":      {odd, []string{"-household", "-"}},
		"lacking":  {"", []string{"-household", "testdata/lacking-only-wings.yaml"}},
		"twelve":   {"", []string{"-household", "testdata/good-twelve-animals.yaml"}},
		"prey":     {"", []string{"-household", "testdata/good-whole-prey.yaml"}},
	}
}

type doorSheet struct {
	Household string
	AsOf      string `json:"as_of"`
	Outcome   string
	Before    []thawDay `json:"before_the_week"`
	Days      []struct {
		thawDay
		Bowls []struct {
			Out, Lift moment
			LiftBy    moment `json:"lift_by"`
			Who, Food []string
		}
	}
	Nights []struct{ Who string }
}

type thawDay struct {
	Date string
	Thaw []struct{ Food, Amount, Text string }
}

type moment struct{ Date, Time string }

// What a calendar program reads is what the door sheet says.
func TestCalendarReadBack(t *testing.T) {
	t.Parallel()
	for name, h := range households() {
		var door doorSheet
		if err := json.Unmarshal(weekplan(t, h.stdin, append(h.args, "-sheet", "door", "-format", "json")...), &door); err != nil {
			t.Fatal(err)
		}
		d := ical.NewDecoder(bytes.NewReader(weekplan(t, h.stdin, append(h.args, "-format", "ics")...)))
		cal, err := d.Decode()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, err := d.Decode(); !errors.Is(err, io.EOF) {
			t.Errorf("%s: something follows the calendar: %v", name, err)
		}
		if got, err := cal.Props.Text("X-WR-CALNAME"); err != nil || got != door.Household {
			t.Errorf("%s: the calendar is of %q, %v", name, got, err)
		}
		house, err := time.LoadLocation("America/St_Johns") // half an hour off, to see that no zone is meant
		if err != nil {
			t.Fatal(err)
		}
		found := map[string]string{} // kind and time to summary and description
		for _, e := range cal.Events() {
			start, err := e.DateTimeStart(house)
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			kind, _ := e.Props.Text(ical.PropCategories)
			summary, err := e.Props.Text(ical.PropSummary)
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			description, _ := e.Props.Text(ical.PropDescription)
			stamp, err := e.Props.DateTime(ical.PropDateTimeStamp, nil)
			if err != nil || stamp.Format(time.DateOnly) != door.AsOf || stamp.Location() != time.UTC {
				t.Errorf("%s: stamped %v, %v", name, stamp, err)
			}
			if kind == "set-out" {
				end, err := e.DateTimeEnd(house)
				if err != nil || !end.After(start) || end.Sub(start) > 24*time.Hour {
					t.Errorf("%s: set out from %v to %v: %v", name, start, end, err)
				}
			}
			found[kind+" "+start.Format("2006-01-02 15:04")] += summary + "\n" + description + "\n"
		}
		want := func(kind string, at moment, words ...string) {
			key := kind + " " + at.Date + " " + at.Time
			text, ok := found[key]
			if !ok {
				t.Errorf("%s: no %s", name, key)
			}
			for _, w := range words {
				if !strings.Contains(text, w) {
					t.Errorf("%s: %s does not say %q: %q", name, key, w, text)
				}
			}
		}
		for _, b := range door.Before {
			for _, x := range b.Thaw {
				want("thaw", moment{b.Date, "00:00"}, x.Text)
			}
		}
		for _, x := range door.Days {
			for _, o := range x.Thaw {
				want("thaw", moment{x.Date, "00:00"}, o.Text)
			}
			for _, b := range x.Bowls {
				want("set-out", b.Out, append(b.Food, b.Who...)...)
				want("lift", b.LiftBy)
			}
		}
		if door.Outcome == "lacking" && len(cal.Events()) != 1 {
			t.Errorf("%s: %d events without a plan", name, len(cal.Events()))
		}
		// go-ical writes only what it holds to be a whole calendar.
		if err := ical.NewEncoder(io.Discard).Encode(cal); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Markdown holds no HTML, one heading of the first level, tables where the sheet
// has tables, and the animals' names as they are.
func TestMarkdownReadBack(t *testing.T) {
	t.Parallel()
	md := goldmark.New(goldmark.WithExtensions(extension.Table))
	for name, h := range households() {
		for _, kind := range []string{"week", "door", "vet", "card"} {
			source := weekplan(t, h.stdin, append(h.args, "-sheet", kind, "-format", "md")...)
			root := md.Parser().Parse(text.NewReader(source))
			tables, first := 0, 0
			var words strings.Builder
			err := ast.Walk(root, func(n ast.Node, in bool) (ast.WalkStatus, error) {
				if !in {
					if n.Type() == ast.TypeBlock {
						words.WriteString("\n")
					}
					return ast.WalkContinue, nil
				}
				switch n := n.(type) {
				case *ast.RawHTML, *ast.HTMLBlock:
					t.Errorf("%s, %s: HTML", name, kind)
				case *ast.Link, *ast.Image, *ast.AutoLink, *ast.CodeSpan, *ast.CodeBlock, *ast.FencedCodeBlock, *ast.ThematicBreak, *ast.Blockquote:
					t.Errorf("%s, %s: a %s", name, kind, n.Kind())
				case *ast.Heading:
					if n.Level == 1 {
						first++
					}
				case *east.Table:
					tables++
				case *ast.Text:
					words.Write(n.Value(source))
				case *ast.String:
					words.Write(n.Value)
				}
				return ast.WalkContinue, nil
			})
			if err != nil {
				t.Fatal(err)
			}
			if first != 1 || tables == 0 && !(name == "lacking" && (kind == "door" || kind == "card")) {
				t.Errorf("%s, %s: %d first headings, %d tables", name, kind, first, tables)
			}
			if name != "odd" {
				continue
			}
			for _, animal := range []string{`<b>Fern</b> | *x* [y](z) \ 1, 2; 3`, "\u2068דובי 🦦\u2069", "# 1. head"} {
				if !strings.Contains(plain(words.String()), animal) {
					t.Errorf("%s: no %q", kind, animal)
				}
			}
		}
	}
}

// plain takes the escapes away that goldmark leaves in the source of a text.
func plain(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) && strings.IndexByte("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~", s[i+1]) >= 0 {
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func TestJSONAgainstItsSchema(t *testing.T) {
	t.Parallel()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(weekplan(t, "", "-schema")))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource("weekplan.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("weekplan.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, h := range households() {
		for _, kind := range []string{"week", "door", "vet", "card"} {
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(weekplan(t, h.stdin, append(h.args, "-sheet", kind, "-format", "json")...)))
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Validate(v); err != nil {
				t.Errorf("%s, %s: %v", name, kind, err)
			}
			v.(map[string]any)["another"] = true
			if err := s.Validate(v); err == nil {
				t.Errorf("%s, %s: a key that is not declared passes", name, kind)
			}
		}
	}
}
