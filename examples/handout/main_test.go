package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/balance/shares"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/safety"
	"fitchet.example/units/cite"
)

// out runs the program and fails the test unless it exits with 0.
func out(t *testing.T, args ...string) string {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if code := run(args, strings.NewReader(""), &stdout, &stderr); code != cli.Well {
		t.Fatalf("%q: exit %d: %s", args, code, stderr.String())
	}
	return stdout.String()
}

// whole makes the document with all topics.
func whole(t *testing.T, long bool, change func(*data)) *document {
	t.Helper()
	d, err := load(kit.Files{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	d.long = long
	if change != nil {
		change(d)
	}
	doc, err := d.document(topics(), "Brackenford Ferret Rescue", "2026-11-25")
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// aFigure is the test's own idea of a text that states a figure: digits, or the
// words people use for them.
var aFigure = regexp.MustCompile(`(?i)\d|\b(two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty|hundreds?|thousands?|dozen|half|halved?|twice|double|third|quarter|tenth|\w+fold)\b`)

// notAFigure are words that only look like one.
var notAFigure = regexp.MustCompile(`(?i)\b(plenty|variety|authority|safety|fatty|empty|society|quality|toxicity)\b`)

func statesFigure(s string) bool { return aFigure.MatchString(notAFigure.ReplaceAllString(s, "")) }

// Every figure has a numbered citation or the words 'common practice', at the
// statement, its row or its column.
func TestEveryFigureIsCited(t *testing.T) {
	t.Parallel()
	for _, long := range []bool{false, true} {
		doc := whole(t, long, nil)
		figures := 0
		doc.walk(func(c claim) {
			// That an amount is an example says nothing of what stands under it.
			example := func(r cite.Ref) bool {
				return !c.head && r.Evidence == cite.Choice && strings.Contains(r.At, "example")
			}
			refs := slices.Concat(c.refs, slices.DeleteFunc(slices.Clone(c.from), example))
			if statesFigure(c.text) {
				figures++
				if len(refs) == 0 {
					t.Errorf("no evidence for %q", c.text)
				}
			}
			if len(c.refs) > 0 && len(*c.marks) == 0 {
				t.Errorf("evidence of %q is not shown", c.text)
			}
			for _, m := range *c.marks {
				if m.Note == 0 && !slices.Contains(m.Words, "common practice") {
					t.Errorf("%q: mark %v has neither number nor common practice", c.text, m)
				}
				if m.Note > len(doc.Notes) || m.Note > 0 && doc.Notes[m.Note-1].Number != m.Note {
					t.Errorf("%q: note %d is not there", c.text, m.Note)
				}
			}
		})
		if figures < 200 {
			t.Errorf("long %t: only %d figures, the walk misses some", long, figures)
		}
		for _, tp := range doc.Topics {
			for _, b := range tp.Blocks {
				free := append([]string{tp.Title, b.Heading}, b.Fill...)
				if b.Table != nil {
					free = append(free, b.Table.Caption)
				}
				if b.Plot != nil {
					free = append(free, b.Plot.Title)
				}
				for _, s := range free {
					// The title of a set of shares is data and names its own numbers.
					if statesFigure(s) && !strings.HasPrefix(s, "Assembled week") {
						t.Errorf("%s: a heading, caption or line states a figure: %q", tp.ID, s)
					}
				}
			}
		}
	}
}

// No text of the topics states a figure of its own: the strings that the
// program is made of hold none. Ids and the text of formats are not shown.
func TestNoFigureIsTyped(t *testing.T) {
	t.Parallel()
	checked, verb := 0, regexp.MustCompile(`%[.0-9]*[a-z]`)
	for _, file := range []string{"topics_food.go", "topics_care.go", "data.go"} {
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			s, err := strconv.Unquote(lit.Value)
			if err != nil {
				t.Fatal(err)
			}
			checked++
			bare := verb.ReplaceAllString(strings.ReplaceAll(s, ": 1", ""), "")
			if statesFigure(bare) && s != "fitchet.handout/1" && s != "0" {
				t.Errorf("%s: %q states a figure", set.Position(lit.Pos()), s)
			}
			return true
		})
	}
	if checked < 200 {
		t.Errorf("only %d strings", checked)
	}
}

// The walk is what the check above rests on: what it misses is not checked. So
// every text of the JSON document must have been walked.
func TestWalkMeetsEveryText(t *testing.T) {
	t.Parallel()
	doc := whole(t, true, nil)
	met := map[string]bool{}
	doc.walk(func(c claim) { met[c.text] = true })
	var visit func(v any, in string)
	visit = func(v any, in string) {
		switch v := v.(type) {
		case []any:
			for _, e := range v {
				visit(e, in)
			}
		case map[string]any:
			label, isRange := v["label"].(map[string]any)
			if isRange {
				if s := label["text"].(string) + ": " + v["value"].(string); !met[s] {
					t.Errorf("a range of a plot was not walked: %q", s)
				}
				return
			}
			if s, ok := v["text"].(string); ok {
				if !met[s] {
					t.Errorf("under %s not walked: %q", in, s)
				}
			}
			for k, e := range v {
				visit(e, k)
			}
		}
	}
	text, err := json.Marshal(map[string]any{"topics": doc.Topics, "cautions": doc.Cautions})
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	visit(v, "document")
}

// Whatever the class of evidence asks for is said in the mark: derived, as
// restated, our choice, the animal it was made for.
func TestMarksSayHowItIsKnown(t *testing.T) {
	t.Parallel()
	doc := whole(t, true, nil)
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	doc.walk(func(c claim) {
		for _, m := range *c.marks {
			if m.Note == 0 {
				continue
			}
			n := doc.Notes[m.Note-1]
			want := map[string]string{"derived": "derived", "choice": "our choice"}[n.Evidence]
			if n.Evidence == "published" {
				for _, key := range n.Sources {
					if s, _ := reg.Source(key); s.Restated() {
						want = "as restated"
					}
				}
			}
			if want != "" && !slices.Contains(m.Words, want) {
				t.Errorf("note %d (%s) is marked %v, want %q", n.Number, n.Text, m, want)
			}
			if n.Borrowed != "" && !slices.Contains(m.Words, n.Borrowed+" figure") {
				t.Errorf("note %d is marked %v, want the %s", n.Number, m, n.Borrowed)
			}
			seen[want]++
		}
	})
	for _, w := range []string{"", "derived", "our choice", "as restated"} {
		if seen[w] == 0 {
			t.Errorf("no mark %q was met", w)
		}
	}
	for i, n := range doc.Notes {
		if n.Number != i+1 {
			t.Fatalf("note %d stands at %d", n.Number, i+1)
		}
	}
}

// A sheet shows the whole rule it cites: figures of the data, found by their
// source. The values are those that the sources print.
func TestFiguresFromTheirSources(t *testing.T) {
	t.Parallel()
	text := strings.Join(strings.Fields(out(t, "-long", "-format", "text")), " ")
	for _, c := range []struct{ source, want string }{
		{"USDA FSIS, two-hour rule", `Lift raw food within 2 h by the two-hour rule`},
		{"USDA FSIS, one-hour rule above 90 °F", `Lift raw food within 1 h by the one-hour rule \(surroundings above 32\.2 °C \(90 °F\)`},
		{"FDA Food Code 3-501.19(C)", `Food Code six hours, for food businesses \[\d+\] Time: at most 6 h`},
		{"FDA Food Code 3-402.11(A)(1)", `168 h \(7 days\)`},
		{"AAFCO 2014, cat, 0.6 % of dry matter by 4", `at least 1\.5 g per 1000 kcal`},
		{"common practice", `65 to 75 % \(common practice\)`},
		{"common practice", `12 h: swapped morning and evening \(common practice\)`},
		{"USDA SR28, NDB 05096, calcium and phosphorus", `7 mg and 185 mg \[\d+\]`},
		{"Small Animal Clinical Nutrition 5, Table 5-2, 70 kcal at 1 kg", `1000 g \(35\.3 oz\) Never under: resting need \[\d+, all mammals figure\]: 70 kcal`},
	} {
		if !regexp.MustCompile(c.want).MatchString(text) {
			t.Errorf("%s: nothing matches %s", c.source, c.want)
		}
	}
}

// Grams never stand without ounces where the sheet itself states a mass.
func TestGramsAndOunces(t *testing.T) {
	t.Parallel()
	doc := whole(t, true, nil)
	ids := map[string]bool{"ratios": true, "amounts": true, "calcium": true}
	both, alone := 0, regexp.MustCompile(`\d g\b`)
	for _, tp := range doc.Topics {
		if !ids[tp.ID] {
			continue
		}
		for _, b := range tp.Blocks {
			if b.Table == nil {
				continue
			}
			for _, r := range b.Table.Rows {
				for i, c := range r.Cells {
					head := b.Table.Columns[i+1].Text
					if head == "Bound" || head == "Keep in mind" || head == "What missing it means" {
						continue // the library's own words
					}
					for _, s := range c {
						if alone.MatchString(s.Text) {
							both++
							if !strings.Contains(s.Text, " oz)") {
								t.Errorf("%s: grams without ounces: %q", tp.ID, s.Text)
							}
						}
					}
				}
			}
		}
	}
	if both < 40 {
		t.Errorf("only %d masses met", both)
	}
}

// What a range is drawn as in a plot stands as text in a table of its topic too.
func TestPlotsHaveTheirTable(t *testing.T) {
	t.Parallel()
	plots := 0
	for _, tp := range whole(t, false, nil).Topics {
		table := false
		for _, b := range tp.Blocks {
			table = table || b.Table != nil
			if b.Plot != nil {
				plots++
				if !table {
					t.Errorf("%s: a plot without a table before it", tp.ID)
				}
				for _, r := range b.Plot.Rows {
					if r.High < r.Low || r.Value == "" || len(r.Label.Refs) == 0 {
						t.Errorf("%s: %q is not a range with its evidence", tp.ID, r.Label.Text)
					}
				}
			}
		}
	}
	if plots < 4 {
		t.Errorf("%d plots, want 4", plots)
	}
}

// altered is the shipped safety data with one text replaced in one file.
func altered(t *testing.T, file, old, new string) *safety.Book {
	t.Helper()
	files := fstest.MapFS{}
	names, err := safety.Files().(interface {
		ReadDir(string) ([]os.DirEntry, error)
	}).ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		f, err := safety.Files().Open(n.Name())
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		if n.Name() == file {
			if !strings.Contains(string(text), old) {
				t.Fatalf("%s does not hold %q", file, old)
			}
			text = []byte(strings.Replace(string(text), old, new, 1))
		}
		files[n.Name()] = &fstest.MapFile{Data: text}
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	book, err := safety.Load(files, reg)
	if err != nil {
		t.Fatal(err)
	}
	return book
}

func inOneLine(doc *document) string {
	var b bytes.Buffer
	if err := doc.text(&b); err != nil {
		return err.Error()
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Nothing is typed by hand: a changed datum changes the sheet, and its mark.
func TestDataChangeTheSheet(t *testing.T) {
	t.Parallel()
	plain := whole(t, true, nil)
	before := inOneLine(plain)
	for _, c := range []struct {
		name      string
		change    func(*data)
		gone, new string
	}{
		{"limit", func(d *data) {
			d.care = altered(t, "limits.yaml", "name: Two-hour rule\n    hours: 2 h", "name: Two-hour rule\n    hours: 90 min")
		}, "within 2 h by the two-hour rule", "within 1 h 30 min by the two-hour rule"},
		{"practice", func(d *data) { d.care = altered(t, "practice.csv", "minced,8 h,12 h", "minced,7 h,11 h") }, "8 to 12 h: mince", "7 to 11 h: mince"},
		{"storage", func(d *data) {
			d.care = altered(t, "storage.csv", `"rabbit, whole, fresh",2,2,d,9,9`, `"rabbit, whole, fresh",4,5,d,9,9`)
		}, "", "4 to 5 days"},
		{"hazard", func(d *data) {
			d.care = altered(t, "hazards.yaml", "from 5 g of onion per kg", "from 6 g of onion per kg")
		}, "from 5 g of onion", "from 6 g of onion"},
		{"sign", func(d *data) {
			d.care = altered(t, "vet.csv", "not-eating,Eats nothing,24 h,12 h", "not-eating,Eats nothing,20 h,10 h")
		}, "after 24 h; after 12 h", "after 20 h; after 10 h"},
		{"target", func(d *data) {
			own, err := shares.Load("own.yaml", strings.NewReader(`schema: fitchet.targets/1
targets:
  - id: assembled-edible-bone
    title: Our week
    species: ferret
    style: assembled
    heart: own-slot
    bone-means: edible-bone
    period: week
    override: another practice
    shares:
      - {slot: muscle, aim: "69 %", low: "64 %", high: "74 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: heart, aim: "11 %", low: "9 %", high: "13 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: bone, aim: "10 %", low: "9 %", high: "14 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: liver, aim: "5 %", low: "4 %", high: "6 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: organ, aim: "5 %", low: "4 %", high: "6 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
    since: "2026-12"
`), d.book.Registry())
			if err != nil {
				t.Fatal(err)
			}
			if d.book, err = d.book.WithTargets(own); err != nil {
				t.Fatal(err)
			}
		}, "Rules of 2026-11", "Rules of 2026-12"},
		{"target's bone and the cuts that bring it", func(d *data) {
			own, err := shares.Load("own.yaml", strings.NewReader(`schema: fitchet.targets/1
targets:
  - id: assembled-edible-bone
    title: Our week
    species: ferret
    style: assembled
    heart: own-slot
    bone-means: edible-bone
    period: week
    override: another practice
    shares:
      - {slot: muscle, aim: "71 %", low: "64 %", high: "74 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: heart, aim: "10 %", low: "9 %", high: "13 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: bone, aim: "9 %", low: "9 %", high: "19 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: liver, aim: "5 %", low: "4 %", high: "6 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
      - {slot: organ, aim: "5 %", low: "4 %", high: "6 %", aim-ref: "practice: ours", bounds-ref: "practice: ours"}
    since: "2026-11"
`), d.book.Registry())
			if err != nil {
				t.Fatal(err)
			}
			if d.book, err = d.book.WithTargets(own); err != nil {
				t.Fatal(err)
			}
		}, "26 to 39 %", "24 to 50 %"},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc := whole(t, true, c.change)
			after := inOneLine(doc)
			if c.gone != "" && (!strings.Contains(before, c.gone) || strings.Contains(after, c.gone)) {
				t.Errorf("%q: was there before: %t, is there after: %t", c.gone, strings.Contains(before, c.gone), strings.Contains(after, c.gone))
			}
			if strings.Contains(before, c.new) || !strings.Contains(after, c.new) {
				t.Errorf("%q: was there before: %t, is there after: %t", c.new, strings.Contains(before, c.new), strings.Contains(after, c.new))
			}
			if doc.Edition.Mark == plain.Edition.Mark {
				t.Error("the mark of the sheet is the same")
			}
		})
	}
}

// Files of the user's own reach the sheet through the flags.
func TestOwnFiles(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	rules, foods := filepath.Join(dir, "rules.yaml"), filepath.Join(dir, "foods.yaml")
	write := func(path, text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(rules, `schema: fitchet.rules/1
rules:
  - id: liver-most
    title: Liver stays under a twelfth of everything fed.
    override: our vet asked for it
    check: mass-share
    of: liver
    period: week
    gravity: mend
    means: Much liver brings too much vitamin A.
    high: {value: "8 %", ref: "choice: our vet asked for it"}
    since: "2026-11"
`)
	write(foods, `foods:
  - id: chicken-neck
    name: chicken neck, from our butcher
    kind: cut
    species: chicken
    colour: white
    bone-in: true
    override: weighed ourselves
    ref: "choice: weighed ourselves"
    parts:
      bone: {low: "40 %", typical: "44 %", high: "48 %"}
      bone-means: edible
`)
	text := strings.Join(strings.Fields(out(t, "-rules", rules, "-foods", foods, "-topics", "ratios")), " ")
	for _, want := range []string{"at most 8 % of all food", "our vet asked for it", "Chicken neck (from our butcher)", "about 44 %, 40 to 48 %", "23 to 34 %"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not there", want)
		}
	}
}

// names are names that a page, a table or a line could trip over.
var names = []string{
	"Brackenford Ferret Rescue",
	`Brackenford <script>alert("x")</script> & Sons' "Rescue"`,
	"</bdi></p><h1>x", "a|b|c", "**bold** _and_ [link](https://example.org) `code` <b>", "1. first", "- item", "# head", `\back\slash\`,
	"מחסה לחמוסים", "ملجأ القوارض 12", "🦦 Brackenford 👩‍🌾", "Ærø & Øre", "{{.CSS}} ]]> <!-- x --> &amp;",
}

// The page is well-formed XML, so that every element is closed and every name
// stays text. HTML of the name is escaped, and its direction isolated.
func TestPageIsWellFormed(t *testing.T) {
	t.Parallel()
	for _, name := range names {
		page := out(t, "-format", "html", "-for", name, "-as-of", "2026-11-25", "-topics", "style,ratios")
		root := parse(t, page)
		bdi := root.all("bdi")
		if len(bdi) != 1 || bdi[0].text() != name {
			t.Errorf("%q: name on the page is %q", name, bdi[0].text())
		}
		if n := len(root.all("script")); n != 0 {
			t.Errorf("%q: %d scripts", name, n)
		}
		if n := len(root.all("h1")); n != 1 {
			t.Errorf("%q: %d first headings", name, n)
		}
	}
}

// Structure for those who hear the page, and for paper.
func TestPageStructure(t *testing.T) {
	t.Parallel()
	root := parse(t, out(t, "-format", "html", "-long"))
	if root.kids[0].attr("lang") == "" {
		t.Error("no language")
	}
	ids := map[string]bool{}
	for _, e := range root.all("") {
		if id := e.attr("id"); id != "" {
			if ids[id] {
				t.Errorf("id %s twice", id)
			}
			ids[id] = true
		}
		for _, a := range e.attrs {
			if a.Name.Local == "src" || strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "style" || a.Name.Local == "href" && !strings.HasPrefix(a.Value, "#") {
				t.Errorf("<%s %s=%q>: asks for something outside, or runs something", e.name, a.Name.Local, a.Value)
			}
		}
	}
	for _, a := range root.all("a") {
		if to := strings.TrimPrefix(a.attr("href"), "#"); !ids[to] {
			t.Errorf("link to %q leads nowhere", to)
		}
	}
	level := 0
	for _, e := range root.all("") {
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
			if l := int(e.name[1] - '0'); l > level+1 {
				t.Errorf("heading %q skips from %d to %d", e.text(), level, l)
			} else {
				level = l
			}
		}
	}
	tables := root.all("table")
	if len(tables) < 15 {
		t.Errorf("%d tables", len(tables))
	}
	for _, tb := range tables {
		if c := tb.all("caption"); len(c) != 1 || c[0].text() == "" {
			t.Error("a table without caption")
		}
		columns := len(tb.all("thead")[0].all("th"))
		for _, th := range tb.all("th") {
			if s := th.attr("scope"); s != "col" && s != "row" {
				t.Errorf("heading %q without scope", th.text())
			}
		}
		for _, tr := range tb.all("tbody")[0].all("tr") {
			if n := len(tr.all("th")) + len(tr.all("td")); n != columns {
				t.Errorf("%q: %d cells under %d headings", tr.text(), n, columns)
			}
		}
	}
	plots := root.all("svg")
	if len(plots) < 4 {
		t.Errorf("%d plots", len(plots))
	}
	for _, p := range plots {
		title, desc := p.all("title"), p.all("desc")
		if len(title) != 1 || len(desc) != 1 || title[0].text() == "" || len(desc[0].text()) < 40 {
			t.Error("a plot without title or description")
			continue
		}
		if want := title[0].attr("id") + " " + desc[0].attr("id"); p.attr("aria-labelledby") != want || p.attr("role") != "img" {
			t.Errorf("plot %q is not named by its title and description", title[0].text())
		}
	}
}

// What an element of the page holds, for the tests.
type element struct {
	name  string
	attrs []xml.Attr
	kids  []*element
	chars string
}

func (e *element) attr(name string) string {
	for _, a := range e.attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (e *element) all(name string) []*element {
	var found []*element
	for _, k := range e.kids {
		if k.name != "" && (name == "" || k.name == name) {
			found = append(found, k)
		}
		found = append(found, k.all(name)...)
	}
	return found
}

func (e *element) text() string {
	s := e.chars
	for _, k := range e.kids {
		s += k.text()
	}
	return s
}

// parse reads the page with a strict XML parser.
func parse(t *testing.T, page string) *element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict = true
	root := &element{}
	stack := []*element{root}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("the page is not well-formed: %v", err)
		}
		top := stack[len(stack)-1]
		switch tok := tok.(type) {
		case xml.StartElement:
			e := &element{name: tok.Name.Local, attrs: tok.Attr}
			top.kids = append(top.kids, e)
			stack = append(stack, e)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			top.kids = append(top.kids, &element{chars: string(tok)})
		}
	}
	if len(stack) != 1 || len(root.all("html")) != 1 {
		t.Fatal("the page does not close")
	}
	var elements []*element
	for _, k := range root.kids {
		if k.name != "" {
			elements = append(elements, k)
		}
	}
	root.kids = elements
	return root
}

// In text and Markdown a name from right to left is isolated, and no name makes
// a line, a heading or a cell of its own.
func TestNameInText(t *testing.T) {
	t.Parallel()
	for _, name := range names {
		text, md := out(t, "-for", name, "-topics", "calcium"), out(t, "-for", name, "-topics", "calcium", "-format", "md")
		rtl := strings.ContainsAny(name, "אבגדהוזחטימםנןסעפצקרשת") || strings.Contains(name, "ملجأ")
		shown := name
		if rtl {
			shown = "\u2068" + name + "\u2069"
		}
		if !strings.Contains(text, "Handed out by: "+shown+"\n") {
			t.Errorf("text: %q is not shown as it is", name)
		}
		i := strings.Index(md, "Handed out by: ")
		line, _, _ := strings.Cut(md[i+len("Handed out by: "):], "\n")
		if got := unescape(line); got != shown {
			t.Errorf("md: %q reads back as %q", name, got)
		}
		if bare := regexp.MustCompile(`\\.`).ReplaceAllString(line, ""); strings.ContainsAny(bare, "*_[]<>`|~&") {
			t.Errorf("md: %q leaves a mark of Markdown in %q", name, line)
		}
	}
}

// unescape undoes backslashes as CommonMark 0.31.2, section 2.4, does: before
// ASCII punctuation only.
func unescape(s string) string {
	return regexp.MustCompile(`\\([!-/:-@\[-`+"`"+`{-~])`).ReplaceAllString(s, "$1")
}

// Markdown tables: every row has the cells of its head (GFM 0.29, section 4.10).
func TestMarkdownTables(t *testing.T) {
	t.Parallel()
	md := out(t, "-format", "md", "-long")
	cells := func(line string) int {
		return strings.Count(strings.ReplaceAll(line, `\|`, ""), "|") - 1
	}
	tables, want := 0, 0
	for _, line := range strings.Split(md, "\n") {
		if !strings.HasPrefix(line, "|") {
			want = 0
			continue
		}
		if want == 0 {
			tables++
			want = cells(line)
		}
		if n := cells(line); n != want {
			t.Errorf("%d cells, want %d: %s", n, want, line)
		}
	}
	if tables < 15 {
		t.Errorf("%d tables", tables)
	}
}

// Plain text stays within its width, but for what has no blank to break at.
func TestTextWidth(t *testing.T) {
	t.Parallel()
	for _, line := range strings.Split(out(t, "-long"), "\n") {
		if n := len([]rune(line)); n > textWidth && strings.Contains(strings.TrimSpace(line), " ") && !strings.HasPrefix(line, "Where it lies") {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}

// The same input gives the same bytes, and name and date do not change the mark.
func TestSameInputSameOutput(t *testing.T) {
	t.Parallel()
	for _, f := range []string{"md", "html", "text", "json", "csl", "bib"} {
		first, second := out(t, "-format", f, "-long"), out(t, "-format", f, "-long")
		if first != second {
			t.Errorf("%s: two runs differ", f)
		}
	}
	mark := func(args ...string) string {
		var d document
		if err := json.Unmarshal([]byte(out(t, append(args, "-format", "json")...)), &d); err != nil {
			t.Fatal(err)
		}
		return d.Edition.Mark
	}
	if a, b := mark("-for", "A", "-as-of", "2026-11-25"), mark(); a != b {
		t.Errorf("marks %s and %s: name or date change the mark", a, b)
	}
	if a, b := mark("-long"), mark(); a == b {
		t.Error("long and short form have one mark")
	}
	if a, b := mark("-topics", "style"), mark("-topics", "sitter"); a == b {
		t.Error("two topics have one mark")
	}
}

// The cautions follow the topics: what each sheet must show.
func TestCautionsFollowTheTopics(t *testing.T) {
	t.Parallel()
	always := []string{"This is not veterinary advice", "Raw meat holds germs", "Wash hands with soap", "Rules and notices change", "ask a doctor before keeping raw pet food", "Check the notice for your region"}
	for topic, own := range map[string][]string{
		"amounts": {"Figures marked 'about' are estimates", "made for that animal"},
		"setout":  {"The hours are limits for human food", "Ferrets hide food", "Freezing kills some parasites"},
		"hunted":  {"Hunted meat comes under local game", "Freezing kills some parasites"},
		"switch":  {"Never starve an animal into a new food", "see a vet before the food is changed"},
		"sitter":  {"Do not wait out a refusal", "With insulinoma never leave long gaps", "The hours are limits for human food"},
		"style":   {"Ferrets hide food"},
		"avoid":   {"Freezing kills some parasites", "made for that animal"},
	} {
		text := strings.Join(strings.Fields(out(t, "-topics", topic)), " ")
		for _, want := range append(own, always...) {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no caution %q", topic, want)
			}
		}
	}
}

// Hunted meat is judged as the hazards have it: gravest first, and with what a
// bird-flu notice would change.
func TestHuntedVerdicts(t *testing.T) {
	t.Parallel()
	text := strings.Join(strings.Fields(out(t, "-topics", "hunted")), " ")
	for _, want := range []string{
		"Wild rabbit, hare Raw?: With care Why",
		"Pheasant, partridge, pigeon Raw?: With care; do not feed it while a bird-flu notice stands Why",
		"Wild duck, goose Raw?: Do not feed it, unless it was looked up and is clear Why",
		"Wild mouse, rat, vole, squirrel Raw?: Do not feed it Why",
		"Wild boar Raw?: Do not feed it Why",
		"Bear, fox, badger and other meat eaters Raw?: Do not feed it Why",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not there", want)
		}
	}
	if strings.Contains(text, "notices file") {
		t.Error("a sheet on paper has no notices file")
	}
}

// The long form says all that the short one says of a topic, and more.
func TestTopicsAndForms(t *testing.T) {
	t.Parallel()
	for _, tp := range topics() {
		short, long := whole(t, false, nil), whole(t, true, nil)
		of := func(d *document) []block {
			for _, x := range d.Topics {
				if x.ID == tp.id {
					return x.Blocks
				}
			}
			return nil
		}
		if len(of(short)) < 3 || len(of(long)) < len(of(short)) {
			t.Errorf("%s: %d blocks short, %d long", tp.id, len(of(short)), len(of(long)))
		}
		text := out(t, "-topics", tp.id)
		if !strings.Contains(text, "\n"+tp.title+"\n") {
			t.Errorf("%s: its title is not there", tp.id)
		}
		for _, other := range topics() {
			if other.id != tp.id && strings.Contains(text, "\n"+other.title+"\n") {
				t.Errorf("-topics %s also gives %s", tp.id, other.id)
			}
		}
	}
	if got := out(t, "-topics", "sitter, style"); strings.Index(got, "\nFor the sitter\n") > strings.Index(got, "\nChoosing a style\n") {
		t.Error("topics are not in the order asked for")
	}
}

// On a sheet that is given away, what keepers do never stands in one statement
// with the limit that leads.
func TestPracticeNeverInTheHeadline(t *testing.T) {
	t.Parallel()
	boxes := 0
	for _, tp := range whole(t, true, nil).Topics {
		for _, b := range tp.Blocks {
			if !b.Box {
				continue
			}
			boxes++
			for _, s := range b.Text {
				for _, r := range s.Refs {
					if r.Evidence == cite.Practice {
						t.Errorf("%s: practice in the headline: %q", tp.ID, s.Text)
					}
				}
			}
		}
	}
	if boxes == 0 {
		t.Error("no headline")
	}
}

// Every hazard of the shipped file is on the long sheet, except what is about
// one household.
func TestEveryHazardIsThere(t *testing.T) {
	t.Parallel()
	f, err := safety.Files().Open("hazards.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	d, err := load(kit.Files{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, h := range d.everyHazard() {
		got[h.ID] = true
	}
	// These are about one household: its lots, and what its notices file says.
	own := map[string]bool{"recalled-lot": true, "recall-lot-not-known": true, "poultry-notice-clear": true}
	n := 0
	for _, m := range regexp.MustCompile(`(?m)^  - id: (\S+)$`).FindAllStringSubmatch(string(text), -1) {
		n++
		if !got[m[1]] && !own[m[1]] {
			t.Errorf("hazard %s is not on the sheet", m[1])
		}
	}
	if n < 30 {
		t.Errorf("%d hazards in the file", n)
	}
}

func TestCitationFormats(t *testing.T) {
	t.Parallel()
	var doc document
	if err := json.Unmarshal([]byte(out(t, "-long", "-format", "json")), &doc); err != nil {
		t.Fatal(err)
	}
	var items []cslItem
	if err := json.Unmarshal([]byte(out(t, "-long", "-format", "csl")), &items); err != nil {
		t.Fatal(err)
	}
	bib := out(t, "-long", "-format", "bib")
	if len(items) != len(doc.Sources) || len(items) < 50 || strings.Count(bib, "@misc{") != len(items) {
		t.Fatalf("%d sources, %d in CSL, %d in BibTeX", len(doc.Sources), len(items), strings.Count(bib, "@misc{"))
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for i, it := range items {
		s, ok := reg.Source(it.ID)
		if !ok || it.Title != s.Title || it.ID != doc.Sources[i].Key {
			t.Errorf("%s: %q is not its source's title", it.ID, it.Title)
		}
		if s.Restated() && !strings.Contains(it.Note, "Confirm against the original") {
			t.Errorf("%s: a restatement is not marked: %q", it.ID, it.Note)
		}
		if strings.Contains(s.Edition, "10.") && strings.Contains(s.Edition, "doi") && it.DOI == "" {
			t.Errorf("%s: no DOI from %q", it.ID, s.Edition)
		}
	}
	// Only what the chosen topics cite.
	if few := out(t, "-topics", "calcium", "-format", "bib"); strings.Count(few, "@misc{") >= len(items)/2 || !strings.Contains(few, "@misc{usda-sr28") {
		t.Error("BibTeX does not follow the topics")
	}
}

func TestSplitDOI(t *testing.T) {
	t.Parallel()
	// The first three are editions of the shipped sources.
	for _, c := range []struct{ edition, rest, doi string }{
		{"16(6):931, doi 10.3390/v16060931", "16(6):931", "10.3390/v16060931"},
		{"volume 37 (memory), doi 10.1016/0031-9384(86)90184-8", "volume 37 (memory)", "10.1016/0031-9384(86)90184-8"},
		{"doi 10.1177/1098612X19848455", "", "10.1177/1098612X19848455"},
		{"54(7):324-330", "54(7):324-330", ""},
	} {
		if rest, id := split(c.edition); rest != c.rest || id != c.doi {
			t.Errorf("%q: %q and %q", c.edition, rest, id)
		}
	}
}

func TestTexEscape(t *testing.T) {
	t.Parallel()
	// The ten special characters of TeX: Knuth, The TeXbook, chapter 7.
	if got, want := texEscape(`\ { } $ & # ^ _ % ~`), `\textbackslash{} \{ \} \$ \& \# \textasciicircum{} \_ \% \textasciitilde{}`; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestUnusable(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	bad := filepath.Join(dir, "bad.yaml")
	if err := os.WriteFile(bad, []byte("schema: fitchet.rules/1\nrules:\n  - id: x\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	target := filepath.Join(dir, "sheet.html")
	for _, c := range []struct {
		name string
		args []string
		want []string
	}{
		{"topic", []string{"-topics", "rations"}, []string{`no topic "rations"; did you mean ratios?`}},
		{"topic twice", []string{"-topics", "style,style"}, []string{"style is named again"}},
		{"empty topic", []string{"-topics", "style,"}, []string{`no topic ""`}},
		{"format", []string{"-format", "pdf"}, []string{`-format "pdf"`}},
		{"date", []string{"-as-of", "25.11.2026"}, []string{"-as-of"}},
		{"no such day", []string{"-as-of", "2026-02-30"}, []string{"-as-of"}},
		{"every fault at once", []string{"-as-of", "x", "-format", "y", "-topics", "z", "more"}, []string{"-as-of", "-format", "-topics", `"more"`}},
		{"line in name", []string{"-for", "a\nb"}, []string{"-for", "U+000A"}},
		{"override in name", []string{"-for", "a\u202Eb"}, []string{"U+202E"}},
		{"not UTF-8", []string{"-for", "a\xffb"}, []string{"UTF-8"}},
		{"long name", []string{"-for", strings.Repeat("x", maxName+1)}, []string{"120"}},
		{"rules", []string{"-rules", bad}, []string{"bad.yaml:3"}},
		{"no file", []string{"-foods", filepath.Join(dir, "none.yaml")}, []string{"none.yaml"}},
		{"unknown flag", []string{"-colour"}, []string{"colour"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			if code := run(append(c.args, "-out", target), strings.NewReader(""), &stdout, &stderr); code != cli.Unusable {
				t.Fatalf("exit %d", code)
			}
			for _, w := range c.want {
				if !strings.Contains(stderr.String(), w) {
					t.Errorf("%q is not in %q", w, stderr.String())
				}
			}
			if stdout.Len() > 0 {
				t.Error("something was written")
			}
			if _, err := os.Stat(target); !errors.Is(err, os.ErrNotExist) {
				t.Error("the file is there")
			}
		})
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no room") }

// A file appears whole or not at all, and takes the place of an older one.
func TestDeliver(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	target := filepath.Join(dir, "sheet.md")
	if err := os.WriteFile(target, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	out(t, "-topics", "calcium", "-format", "md", "-out", target)
	got, err := os.ReadFile(target)
	if err != nil || string(got) != out(t, "-topics", "calcium", "-format", "md") {
		t.Errorf("the file is not the output (%v)", err)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("%d files are left (%v)", len(left), err)
	}
	var stderr bytes.Buffer
	// A link, which may lead to a device, is judged by what it leads to.
	if err := os.Symlink(dir, filepath.Join(dir, "link")); err != nil {
		t.Fatal(err)
	}
	if err := cli.Deliver(filepath.Join(dir, "link"), []byte("x"), io.Discard); err == nil {
		t.Errorf("a link to a folder was written over")
	}
	if at, err := os.Lstat(filepath.Join(dir, "link")); err != nil || at.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link was replaced (%v)", err)
	}
	// A name too long for the file system: what was begun is taken away.
	if err := cli.Deliver(filepath.Join(dir, strings.Repeat("x", 300)), []byte("x"), io.Discard); err == nil {
		t.Error("a name of 300 characters was taken")
	}
	// A folder stands where the file should go.
	if err := os.Mkdir(filepath.Join(dir, "taken"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "taken", "x"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if code := run([]string{"-out", filepath.Join(dir, "taken")}, strings.NewReader(""), io.Discard, &stderr); code != cli.Unusable {
		t.Errorf("a folder in its place: exit %d", code)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 3 {
		t.Errorf("%d files are left (%v)", len(left), err)
	}
	if code := run([]string{"-out", filepath.Join(dir, "none", "x")}, strings.NewReader(""), io.Discard, &stderr); code != cli.Unusable || !strings.Contains(stderr.String(), "writing") {
		t.Errorf("a folder that is not there: exit %d, %s", code, stderr.String())
	}
	if code := run(nil, strings.NewReader(""), broken{}, &stderr); code != cli.Unusable {
		t.Errorf("an output that fails: exit %d", code)
	}
}
