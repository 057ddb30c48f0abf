package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode"
	"unicode/utf8"
)

func call(t *testing.T, stdin string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(args, strings.NewReader(stdin), &out, &errs)
	return code, out.String(), errs.String()
}

// made are sheets that were worked out before: most of a test's time goes into
// planning, and a sheet does not change when it is written.
var made struct {
	sync.Mutex
	by map[string]*sheet
}

// sheetFor is the sheet of a household on standard input, or of the flags.
func sheetFor(t *testing.T, household string, args ...string) *sheet {
	t.Helper()
	key := household + "\x00" + strings.Join(args, "\x00")
	made.Lock()
	defer made.Unlock()
	if s := made.by[key]; s != nil {
		return s
	}
	var o options
	if household != "" {
		o.household = "-"
	}
	for i := 0; i+1 < len(args); i += 2 {
		if args[i] == "-next" { // with all that stands beside a plan
			fmt.Sscan(args[i+1], &o.next)
			o.costs, o.styles = true, true
			continue
		}
		at := map[string]*string{"-household": &o.household, "-plan": &o.plan, "-foods": &o.own.Foods, "-room": &o.room, "-start": &o.start}[args[i]]
		*at = args[i+1]
	}
	s, err := o.sheet(strings.NewReader(household))
	if err != nil {
		t.Fatalf("%v: %v", args, err)
	}
	if made.by == nil {
		made.by = map[string]*sheet{}
	}
	made.by[key] = s
	return s
}

// sheetOf is one of the sheets, written.
func sheetOf(t *testing.T, household, kind, format string, args ...string) string {
	t.Helper()
	out, err := sheetFor(t, household, args...).render(kind, format)
	if err != nil {
		t.Fatalf("%v, %s, %s: %v", args, kind, format, err)
	}
	return string(out)
}

// named is a small household of two, with the names as given.
func named(household, first, second string) string {
	quote := func(s string) string {
		b, _ := json.Marshal(s)
		return string(b)
	}
	return fmt.Sprintf(`{"household": %s, "as-of": "2026-11-25", "start": "2026-11-30", "room": "19 °C",
 "animals": [{"id": "one", "name": %s, "sex": "jill", "weight": "760 g", "born": "2023-05-01", "group": "g"},
             {"id": "two", "name": %s, "sex": "hob", "weight": "1.3 kg", "born": "2022-05-01", "group": "g"}],
 "offers": [{"food": "chicken neck", "pack": "1 kg", "price": "2.90 EUR", "supplier": %s},
            {"food": "beef mince", "pack": "500 g", "price": "4.50 EUR"},
            {"food": "rabbit meat", "pack": "1 kg", "price": "9.00 EUR"},
            {"food": "chicken heart", "pack": "300 g", "price": "2.10 EUR"},
            {"food": "chicken liver", "pack": "150 g", "price": "0.70 EUR"},
            {"food": "lamb kidney", "pack": "250 g", "price": "2.30 EUR"},
            {"food": "salmon oil", "pack": "120 g", "price": "6.00 EUR"},
            {"food": "hen egg", "pieces": 6, "price": "1.80 EUR"}]}`, quote(household), quote(first), quote(second), quote(second))
}

func TestSheetFlags(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		args []string
		code int
		want string // in standard error for 2, else in the output
	}{
		{[]string{"-sheet", "window"}, 2, "want week, door, vet, card"},
		{[]string{"-format", "pdf"}, 2, "want text, md, html, json, ics"},
		{[]string{"-format", "ics", "-sheet", "vet"}, 2, "a calendar is made of the week or the door sheet"},
		{[]string{"-format", "ics", "-sheet", "card"}, 2, "a calendar"},
		{[]string{"-next", "-1"}, 2, "-next -1: want 1 to 9"},
		{[]string{"-next", "10"}, 2, "-next 10: want 1 to 9"},
		{[]string{"-next", "few"}, 2, "-next"},
		{[]string{"-next", "3", "-sheet", "door"}, 2, "-next: it is a part of the week sheet; the door sheet has no place for it"},
		{[]string{"-costs", "-sheet", "vet"}, 2, "-costs: it is a part of the week sheet; the vet sheet has no place for it"},
		{[]string{"-styles", "-sheet", "card"}, 2, "-styles: it is a part of the week sheet; the card sheet has no place for it"},
		{[]string{"-styles", "-format", "ics"}, 2, "-styles: it is a part of the week sheet; a calendar has no place for it"},
		{[]string{"-costs", "-household", "testdata/good-one-animal.yaml", "-plan", "testdata/week-by-hand.json"}, 2, "-costs: it compares a plan that is made here; with -plan one is given"},
		{[]string{"-budget", "0"}, 2, "-budget 0: want 1 to 1000000000"},
		{[]string{"-budget", "some"}, 2, "-budget"},
		{[]string{"-budget", "1", "-household", "testdata/good-twelve-animals.yaml"}, 1, "NO PLAN: none was found, and it was not shown that there is none."},
		{[]string{"-budget", "1", "-household", "testdata/good-twelve-animals.yaml"}, 1, "The budget of 1000000 steps of work was spent"},
		{[]string{"-budget", "1", "-household", "testdata/good-twelve-animals.yaml", "-format", "json"}, 1, `"outcome": "undecided"`},
		{[]string{"-budget", "1", "-household", "testdata/good-twelve-animals.yaml", "-format", "html"}, 1, "none was found"},
		{[]string{"-next", "1"}, 0, "Next best plans"},
		{[]string{"-costs"}, 0, "What each requirement costs"},
		{[]string{"-styles"}, 0, "The styles compared"},
		{[]string{"-styles", "-household", "testdata/lacking-only-wings.yaml"}, 1, "The styles compared"},
		{[]string{"-schema"}, 0, `"$schema": "https://json-schema.org/draft/2020-12/schema"`},
		{[]string{"-household", "testdata/lacking-a-little-liver.yaml", "-plan", "testdata/week-of-liver.json"}, 1, "  MEND   Vitamin A stays under the cat's maximum. It is at least 87778 IU"},
		{[]string{"-household", "testdata/lacking-a-little-liver.yaml", "-plan", "testdata/week-of-liver.json", "-sheet", "vet"}, 1, "MEND: Vitamin A stays under the cat's maximum"},
		{[]string{"-sheet", "door"}, 0, "Bowls of Monday 2026-11-30"},
		{[]string{"-sheet", "vet"}, 0, "Open questions"},
		{[]string{"-sheet", "card"}, 0, "Must not be fed"},
		{[]string{"-sheet", "door", "-household", "testdata/lacking-only-wings.yaml"}, 1, "NO PLAN"},
		{[]string{"-sheet", "vet", "-household", "testdata/lacking-only-wings.yaml"}, 1, "NO PLAN"},
		{[]string{"-sheet", "card", "-household", "testdata/lacking-only-wings.yaml"}, 1, "NO PLAN"},
		{[]string{"-format", "html", "-household", "testdata/lacking-only-wings.yaml"}, 1, "NO PLAN"},
		{[]string{"-format", "ics", "-household", "testdata/lacking-only-wings.yaml"}, 1, "SUMMARY:No plan for this week"},
	} {
		code, out, errs := call(t, "", tc.args...)
		got := out
		if tc.code == 2 {
			got = errs
		}
		if code != tc.code || !strings.Contains(got, tc.want) || tc.code == 2 && out != "" {
			t.Errorf("%v: exit %d, want %d with %q; %q", tc.args, code, tc.code, tc.want, errs)
		}
	}
	path := filepath.Join(t.TempDir(), "schema.json")
	if code, out, errs := call(t, "", "-schema", "-out", path); code != 0 || out != "" || errs != "" {
		t.Errorf("exit %d, %q, %q", code, out, errs)
	}
	if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, schema) {
		t.Errorf("the schema is not in the file: %v", err)
	}
}

// inputs are households for what must hold of every sheet.
func inputs(t *testing.T) map[string][]string {
	t.Helper()
	all := map[string][]string{"embedded": nil, "by hand": {"-household", "testdata/good-one-animal.yaml", "-plan", "testdata/week-by-hand.json"}, "warm": {"-room", "33 °C"}, "at once": {"-start", "2026-11-25"},
		"beside": {"-next", "3"}, "beside no price": {"-household", "testdata/good-one-animal.yaml", "-next", "3"}, "beside no plan": {"-household", "testdata/lacking-only-wings.yaml", "-next", "3"}}
	paths, err := filepath.Glob("testdata/good-*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	lacking, err := filepath.Glob("testdata/lacking-*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	own := map[string]string{"good-half-mix": "mix-foods.yaml", "lacking-no-red-meat": "kidney-foods.yaml"}
	for _, p := range append(paths, lacking...) {
		name := strings.TrimSuffix(filepath.Base(p), ".yaml")
		all[name] = []string{"-household", p}
		if f := own[name]; f != "" {
			all[name] = append(all[name], "-foods", filepath.Join("testdata", f))
		}
	}
	return all
}

// markup is one element of an HTML sheet.
type markup struct {
	name string
	attr map[string]string
	kids []*markup
	text string // of it and all below

	from, to int // where that stands in the text of the whole
}

func (m *markup) all(name string) (out []*markup) {
	for _, k := range m.kids {
		if k.name == name {
			out = append(out, k)
		}
		out = append(out, k.all(name)...)
	}
	return out
}

// readHTML reads a sheet strictly: every element is closed, in order.
func readHTML(t *testing.T, source string) *markup {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(source))
	d.Strict = false
	d.AutoClose = []string{"meta", "link"}
	root := &markup{}
	stack := []*markup{root}
	var text strings.Builder
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			m := &markup{name: tok.Name.Local, attr: map[string]string{}, from: text.Len()}
			for _, a := range tok.Attr {
				m.attr[a.Name.Local] = a.Value
			}
			top := stack[len(stack)-1]
			top.kids = append(top.kids, m)
			stack = append(stack, m)
		case xml.EndElement:
			top := stack[len(stack)-1]
			if top.name != tok.Name.Local {
				t.Fatalf("</%s> closes <%s>", tok.Name.Local, top.name)
			}
			top.to = text.Len()
			stack = stack[:len(stack)-1]
		case xml.CharData:
			text.Write(tok)
		}
	}
	if len(stack) != 1 {
		t.Fatalf("%d elements are not closed", len(stack)-1)
	}
	root.to = text.Len()
	var fill func(m *markup)
	fill = func(m *markup) {
		m.text = text.String()[m.from:m.to]
		for _, k := range m.kids {
			fill(k)
		}
	}
	fill(root)
	return root
}

// checkHTML is what a screen reader, a printer and a careful browser need.
func checkHTML(t *testing.T, source string) *markup {
	t.Helper()
	root := readHTML(t, source)
	if !strings.HasPrefix(source, "<!DOCTYPE html>\n") || len(root.kids) != 1 || root.kids[0].attr["lang"] == "" {
		t.Error("no doctype, or no language")
	}
	for _, name := range []string{"script", "img", "iframe", "object", "embed", "form", "base"} {
		if n := len(root.all(name)); n > 0 {
			t.Errorf("%d <%s>", n, name)
		}
	}
	ids := map[string]bool{}
	level := 0
	var walk func(m *markup)
	walk = func(m *markup) {
		for name, value := range m.attr {
			switch {
			case strings.HasPrefix(name, "on"), name == "style", name == "src", name == "srcset":
				t.Errorf("<%s> has %s=%q", m.name, name, value)
			case name == "href" && !strings.HasPrefix(value, "#") && value != "data:,":
				t.Errorf("a link leaves the page: %q", value)
			case name == "id":
				if ids[value] {
					t.Errorf("id %q twice", value)
				}
				ids[value] = true
			}
		}
		if len(m.name) == 2 && m.name[0] == 'h' && m.name[1] >= '1' && m.name[1] <= '6' {
			n := int(m.name[1] - '0')
			if n > level+1 || n == 1 && level > 0 {
				t.Errorf("<%s> %q follows a heading of level %d", m.name, m.text, level)
			}
			level = n
		}
		for _, k := range m.kids {
			walk(k)
		}
	}
	walk(root)
	for _, name := range []string{"section", "svg", "div"} {
		for _, m := range root.all(name) {
			for id := range strings.FieldsSeq(m.attr["aria-labelledby"]) {
				if !ids[id] {
					t.Errorf("<%s> is named by %q, which is not there", name, id)
				}
			}
			if m.attr["aria-labelledby"] == "" {
				t.Errorf("a <%s> has no name", name)
			}
		}
	}
	for _, a := range root.all("a") {
		if href := a.attr["href"]; !ids[strings.TrimPrefix(href, "#")] {
			t.Errorf("a link leads nowhere: %q", href)
		}
	}
	for _, m := range root.all("svg") {
		if m.attr["role"] != "img" || len(m.all("title")) != 1 || len(m.all("desc")) != 1 || m.all("title")[0].text == "" || m.all("desc")[0].text == "" {
			t.Error("a picture without words")
		}
	}
	for _, table := range root.all("table") {
		if len(table.kids) < 3 || table.kids[0].name != "caption" || table.kids[0].text == "" || table.kids[1].name != "thead" {
			t.Error("a table without caption, head or rows")
			continue
		}
		heads := table.kids[1].all("th")
		for _, h := range heads {
			if h.attr["scope"] != "col" || h.text == "" {
				t.Errorf("%s: a column head without scope or words", table.kids[0].text)
			}
		}
		for _, body := range table.kids[2:] {
			for _, row := range body.kids {
				first := row.kids[0]
				if first.name != "th" || first.attr["scope"] != "row" && first.attr["scope"] != "rowgroup" || strings.TrimSpace(first.text) == "" {
					t.Errorf("%s: a row without a head", table.kids[0].text)
				}
				width := len(row.kids)
				if first.attr["colspan"] != "" {
					fmt.Sscan(first.attr["colspan"], &width)
				}
				if width != len(heads) {
					t.Errorf("%s: %d cells under %d heads", table.kids[0].text, width, len(heads))
				}
			}
		}
	}
	return root
}

func TestHTMLIsSound(t *testing.T) {
	t.Parallel()
	for name, args := range inputs(t) {
		for _, kind := range kinds() {
			t.Run(name+", "+kind, func(t *testing.T) {
				root := checkHTML(t, sheetOf(t, "", kind, "html", args...))
				if len(root.all("h1")) != 1 {
					t.Errorf("%d <h1>", len(root.all("h1")))
				}
			})
		}
	}
}

// strip of the shares: one picture for each row, that says the same as the row.
func TestPicturesOfShares(t *testing.T) {
	t.Parallel()
	root := checkHTML(t, sheetOf(t, "", "week", "html"))
	var shares *markup
	for _, table := range root.all("table") {
		if strings.HasPrefix(table.kids[0].text, "Shares") {
			shares = table
		}
	}
	if shares == nil {
		t.Fatal("no table of shares")
	}
	rows := shares.kids[2].kids
	if len(rows) != 5 {
		t.Errorf("%d rows, want the five parts", len(rows))
	}
	for _, row := range rows {
		pictures := row.all("svg")
		if len(pictures) != 1 {
			t.Errorf("%s: %d pictures", row.kids[0].text, len(pictures))
			continue
		}
		title := pictures[0].all("title")[0].text
		planned := strings.ReplaceAll(row.kids[1].text, "\u00a0", " ")
		if !strings.HasPrefix(title, row.kids[0].text+": "+planned+", target ") {
			t.Errorf("the picture says %q, the row %q %q", title, row.kids[0].text, planned)
		}
	}
}

// words are the words of a text, without marks that do not show and without the
// difference between kinds of blanks.
func words(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// unmarked takes the escapes out of Markdown.
func withoutEscapes(s string) string {
	return regexp.MustCompile(`\\([!-/:-@\[-`+"`"+`{-~])`).ReplaceAllString(s, "$1")
}

// The week says the same in text, Markdown and HTML: whatever a reader of the
// JSON finds in words is in all three.
func TestWeekSaysTheSameInEveryFormat(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{nil, {"-household", "testdata/lacking-only-wings.yaml"}, {"-household", "testdata/good-one-animal.yaml", "-plan", "testdata/week-by-hand.json"},
		{"-next", "3"}, {"-household", "testdata/good-one-animal.yaml", "-next", "3"}, {"-household", "testdata/lacking-only-wings.yaml", "-next", "3"}} {
		s := sheetFor(t, "", args...)
		var want, folded []string // what a narrow column may break stands in one piece only elsewhere
		add := func(list ...string) { want = append(want, list...) }
		add(s.Target.Title, s.Target.BoneMeans)
		for _, f := range s.First {
			add(f.Text)
		}
		for _, l := range s.Lacking {
			add(lackWords(l))
		}
		add(s.Clash...)
		for _, n := range s.Needs {
			add(n.Name, n.About, n.Band, n.Grams, n.Floor, n.Meals, n.notHere())
			add(n.Disagree...)
			for _, m := range n.Methods {
				if m.Applies {
					add(m.Name, m.Value, m.Evidence)
				}
			}
		}
		for _, d := range s.Week {
			add(day(d.Date))
			for _, m := range d.Meals {
				add(m.Food...)
				add(m.Who, m.Total)
			}
		}
		for _, h := range s.Shares {
			add(h.Slot, h.Typical, h.Low+" to "+h.High, h.Verdict, h.Whole)
		}
		add(s.Bone...)
		for _, v := range s.report {
			add(v.text)
		}
		for _, u := range s.Use {
			add(u.Food, u.Amount, u.From)
		}
		for _, b := range s.Buy {
			add(b.Food, b.Pack, b.From, b.Cost)
		}
		for _, a := range slices.Concat(s.Cannot, s.Left) {
			add(a.Food, a.Amount)
		}
		add(s.Cost...)
		for _, c := range s.PerAnimal {
			add(c.Name, c.PerDay, c.Note)
		}
		if s.Next != nil {
			add(s.Next.Text...)
			add(s.Next.After...)
			add(s.Costs.Text...)
			add(s.Costs.After...)
			add(s.Styles.Text...)
			add(s.Styles.After...)
			for _, p := range s.Next.Plans {
				add(p.Cost, p.Against)
				for _, b := range slices.Concat(p.More, p.Fewer) {
					add(b.packs())
				}
			}
			for _, r := range s.Costs.Requirements {
				if r.dear {
					add(r.Severity, r.Without, r.Saves)
					folded = append(folded, r.Words, r.Evidence)
				}
			}
			for _, o := range s.Styles.Styles {
				add(o.Style, o.Cost)
			}
		}
		for i, c := range s.SetOut {
			add(c.Line)
			add(c.Practice...)
			if i == 0 {
				add(c.Others...)
				add(c.Notes...)
			}
		}
		for _, c := range s.Clocks {
			add(c.Who, c.Gap, c.Text)
			add(c.Times...)
			add(c.Choices...)
		}
		add(s.PassedOver...)
		add(s.Notes...)
		add(s.Cautions...)
		for _, n := range s.Evidence {
			add(n.Text)
		}
		for _, c := range s.Sources {
			add(c.Text)
		}
		if len(want) < 50 {
			t.Fatalf("only %d things to look for", len(want))
		}
		for _, format := range []string{"text", "md", "html"} {
			got := sheetOf(t, "", "week", format, args...)
			switch format {
			case "html":
				got = readHTML(t, got).text
			case "md":
				got = withoutEscapes(got)
			}
			got = words(got)
			list := want
			if format != "text" {
				list = slices.Concat(want, folded)
			}
			for _, w := range list {
				if !strings.Contains(got, words(w)) {
					t.Errorf("%v, %s: no %q", args, format, w)
				}
			}
		}
	}
}

// tricky are names that try to be something else than names.
var tricky = []string{
	`<script>alert(1)</script>`,
	`"><img src=x onerror=alert(1)>`,
	`Tom & Jerry's "best" </style></title></section>`,
	`**bold** _it_ [x](javascript:alert(1)) | cell | ` + "`code`" + ` ~~no~~ &lt;`,
	`# heading`, `- item`, `1. first`, `+ plus`,
	`[1] [2]`,
	`\"; } body { display: none } /* `,
	"דובי הקטן", "فرو (2)", "Fern פרן Fern",
	"🦦 Pip 👩‍👩‍👧", "é́́́", strings.Repeat("W", 120), strings.Repeat("long name ", 14),
	"a;b,c\\d", "BEGIN:VEVENT",
}

func TestHostileNames(t *testing.T) {
	t.Parallel()
	for i, name := range tricky {
		name = strings.TrimSpace(name)
		household := named(name, name, tricky[(i+1)%len(tricky)])
		for _, kind := range kinds() {
			t.Run(fmt.Sprintf("%d %s", i, kind), func(t *testing.T) {
				source := sheetOf(t, household, kind, "html")
				root := checkHTML(t, source)
				if !strings.Contains(words(root.text), words(name)) {
					t.Errorf("the name is not on the sheet as it is: %q", name)
				}
				if n := len(root.all("style")); n != 1 {
					t.Errorf("%d style sheets", n)
				}
				css := root.all("style")[0].text
				if strings.Count(css, "{") != strings.Count(css, "}") || strings.Contains(css, "display: none }") {
					t.Error("a name broke out of the style sheet")
				}
				for _, format := range []string{"text", "md"} {
					out := sheetOf(t, household, kind, format)
					if format == "md" {
						if m := regexp.MustCompile(`(?m)(^|[^\\])(<[a-zA-Z/!]|\]\()`).FindString(out); m != "" {
							t.Errorf("Markdown holds %q", m)
						}
						out = withoutEscapes(out)
					}
					if format == "md" || !strings.Contains(name, "WWW") && !strings.Contains(name, "long") { // text may break them
						if !strings.Contains(words(out), words(name)) {
							t.Errorf("%s does not hold the name %q", format, name)
						}
					}
				}
			})
		}
		checkCalendar(t, sheetOf(t, household, "week", "ics"))
	}
}

// A name from right to left stands apart, so that the text around it keeps its
// order: in an element of its own in HTML, between isolates elsewhere.
func TestNamesFromRightToLeft(t *testing.T) {
	t.Parallel()
	const name = "דובי (2)"
	household := named("Brackenford", name, "Fern")
	for _, kind := range kinds() {
		root := checkHTML(t, sheetOf(t, household, kind, "html"))
		found := 0
		for _, b := range root.all("bdi") {
			if b.text == name {
				found++
			} else {
				t.Errorf("%s: %q stands apart", kind, b.text)
			}
		}
		if n := strings.Count(root.all("body")[0].text, name); n == 0 || n != found {
			t.Errorf("%s: the name stands %d times, %d of them apart", kind, n, found)
		}
		for _, format := range []string{"text", "md"} {
			out := sheetOf(t, household, kind, format)
			if strings.Count(out, "דובי") != strings.Count(out, isolate+name+endIsolate) || !strings.Contains(out, name) {
				t.Errorf("%s, %s: the name is not between isolates", kind, format)
			}
		}
	}
}

// crowd is a household of many animals of one kind, each with a bowl of its own,
// and the plan that was made for one of them, for all.
func crowd(t *testing.T, n int) (household, plan string) {
	t.Helper()
	own := sheetFor(t, "", "-household", "testdata/good-one-animal.yaml")
	one, err := json.Marshal(own.Plan)
	if err != nil {
		t.Fatal(err)
	}
	type meal struct {
		Meal     int      `json:"meal"`
		For      []string `json:"for"`
		Servings []any    `json:"servings"`
	}
	var p struct {
		Schema    string `json:"schema"`
		Household string `json:"household"`
		Start     string `json:"start"`
		Target    string `json:"target,omitempty"`
		Days      []struct {
			Date  string `json:"date"`
			Meals []meal `json:"meals"`
		} `json:"days"`
	}
	if err := json.Unmarshal(one, &p); err != nil {
		t.Fatal(err)
	}
	a := own.home.Animals[0]
	var animals, offers []string
	for i := range n {
		animals = append(animals, fmt.Sprintf(`{"id": "a%d", "name": "Animal %d", "sex": %q, "weight": %q, "born": %q, "neutered": true}`, i, i, a.Sex, a.Mass, a.Born))
	}
	seen := map[string]bool{}
	for _, s := range own.Plan.Servings() {
		if !seen[s.Food.ID] {
			seen[s.Food.ID] = true
			offers = append(offers, fmt.Sprintf(`{"food": %q, "pack": "1 kg", "price": "5 EUR"}`, s.Food.ID))
		}
	}
	for d := range p.Days {
		meals := p.Days[d].Meals
		for i := range n {
			for _, m := range meals[:len(meals):len(meals)] {
				m.For = []string{fmt.Sprintf("a%d", i)}
				p.Days[d].Meals = append(p.Days[d].Meals, m)
			}
		}
		p.Days[d].Meals = p.Days[d].Meals[len(meals):]
		slices.SortStableFunc(p.Days[d].Meals, func(a, b meal) int { return a.Meal - b.Meal })
	}
	p.Household = "Crowd"
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	household = fmt.Sprintf(`{"household": "Crowd", "as-of": %q, "start": %q, "room": "18 °C", "animals": [%s], "offers": [%s]}`,
		own.AsOf, own.Start, strings.Join(animals, ",\n"), strings.Join(offers, ",\n"))
	return household, string(text)
}

// With FITCHET_FULL two hundred animals, without a fifth of them.
func TestTwoHundredAnimalsOnPaper(t *testing.T) {
	t.Parallel()
	animals := 40
	if os.Getenv("FITCHET_FULL") != "" {
		animals = 200
	}
	household, plan := crowd(t, animals)
	bowls := 0 // of one animal
	own := sheetFor(t, "", "-household", "testdata/good-one-animal.yaml")
	for _, d := range own.door().Days {
		bowls += len(d.Bowls)
	}
	path := filepath.Join(t.TempDir(), "plan.json")
	if err := os.WriteFile(path, []byte(plan), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, kind := range kinds() {
		root := checkHTML(t, sheetOf(t, household, kind, "html", "-plan", path))
		rows := 0
		for _, table := range root.all("table") {
			if strings.HasPrefix(table.kids[0].text, "Bowls of") {
				rows += len(table.kids[2].kids)
			}
		}
		if kind == "door" && rows != animals*bowls {
			t.Errorf("%d bowls at the door, want %d", rows, animals*bowls)
		}
		if kind == "card" {
			cards := 0
			for _, s := range root.all("section") {
				if strings.Contains(s.attr["class"], "card") {
					cards++
				}
			}
			if cards != animals {
				t.Errorf("%d cards, want %d", cards, animals)
			}
		}
	}
	ics := sheetOf(t, household, "week", "ics", "-plan", path)
	checkCalendar(t, ics)
	if n := strings.Count(ics, fmt.Sprintf("SUMMARY:Set out: %d bowls", animals)); n != bowls {
		t.Errorf("%d events for the crowd's bowls, want %d", n, bowls)
	}
}

// A week in which nothing is fed: a plan without days has nothing to judge and
// is refused; a day without meals is shown as such.
func TestEmptyWeek(t *testing.T) {
	t.Parallel()
	household := named("Brackenford", "Fern", "Moss")
	file := func(days string) string {
		path := filepath.Join(t.TempDir(), "plan.json")
		text := `{"schema": "fitchet.plan/1", "household": "Brackenford", "start": "2026-11-30", "days": [` + days + `]}`
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for _, kind := range kinds() {
		for _, format := range []string{"text", "md", "html", "json"} {
			code, out, errs := call(t, household, "-household", "-", "-plan", file(""), "-sheet", kind, "-format", format)
			if code != 2 || out != "" || errs == "" {
				t.Errorf("%s, %s: a plan without days: exit %d, %q", kind, format, code, errs)
			}
		}
	}
	const fed = `{"date": "2026-12-01", "meals": [{"meal": 1, "for": ["one", "two"], "servings": [{"food": "chicken-neck", "mass": "90 g"}]}]}`
	half := file(`{"date": "2026-11-30", "meals": []}, ` + fed)
	for _, kind := range kinds() {
		root := checkHTML(t, sheetOf(t, household, kind, "html", "-plan", half))
		if (kind == "week" || kind == "door") && !strings.Contains(root.text, "othing is planned") {
			t.Errorf("%s does not say that nothing is planned on the first day", kind)
		}
		sheetOf(t, household, kind, "text", "-plan", half)
	}
	checkCalendar(t, sheetOf(t, household, "door", "ics", "-plan", half))
	none := file(`{"date": "2026-11-30", "meals": []}`)
	for _, kind := range kinds() {
		for _, format := range []string{"text", "md", "html", "json", "ics"} {
			if format == "ics" && (kind == "vet" || kind == "card") {
				continue
			}
			code, out, errs := call(t, household, "-household", "-", "-plan", none, "-sheet", kind, "-format", format)
			if code == 2 && (out != "" || errs == "") || code != 2 && (out == "" || errs != "") {
				t.Errorf("%s, %s: a week without meals: exit %d, %q", kind, format, code, errs)
			}
			if code != 2 && format == "html" {
				checkHTML(t, out)
			}
			if code != 2 && format == "ics" {
				checkCalendar(t, out)
			}
		}
	}
}

// The same input gives the same bytes: worked out twice, and written twice.
func TestSameInputSameSheets(t *testing.T) {
	t.Parallel()
	for _, kind := range kinds() {
		for _, format := range formats() {
			if format == "ics" && (kind == "vet" || kind == "card") {
				continue
			}
			first := sheetOf(t, "", kind, format)
			if first != sheetOf(t, "", kind, format) {
				t.Errorf("%s, %s: written twice, it differs", kind, format)
			}
			if code, again, errs := call(t, "", "-sheet", kind, "-format", format); code != 0 || again != first {
				t.Errorf("%s, %s: worked out twice, it differs: exit %d, %s", kind, format, code, errs)
			}
		}
	}
}

func TestTextFitsThePage(t *testing.T) {
	t.Parallel()
	for name, args := range inputs(t) {
		for _, kind := range []string{"door", "vet", "card"} {
			for line := range strings.SplitSeq(sheetOf(t, "", kind, "text", args...), "\n") {
				if wide(line) > page || line != strings.TrimRight(line, " ") || !utf8.ValidString(line) {
					t.Errorf("%s, %s: %d wide or blanks at its end: %q", name, kind, wide(line), line)
				}
			}
		}
	}
}

func TestWide(t *testing.T) {
	t.Parallel()
	// Widths as Unicode's East Asian Width (UAX 11) and general categories give them.
	for s, want := range map[string]int{
		"": 0, "Fern": 4, "né": 2, "e\u0301": 1, isolate + "דובי" + endIsolate: 4, "🦦": 2, "雪貂": 4, "\u00a0g": 2,
	} {
		if got := wide(s); got != want {
			t.Errorf("%q is %d wide, want %d", s, got, want)
		}
	}
}

// No sheet names a place of the machine or of the network.
func TestNothingFromOutside(t *testing.T) {
	t.Parallel()
	for _, kind := range kinds() {
		out := sheetOf(t, "", kind, "html")
		for _, bad := range []string{"http:", "https:", "//", "url(", "@import", "file:"} {
			if strings.Contains(strings.ReplaceAll(out, "<!DOCTYPE", ""), bad) {
				t.Errorf("%s holds %q", kind, bad)
			}
		}
	}
}

// Animals at one bowl are told to the vet in the same proportion of grams as of
// energy, whole wings and mice among them. Regression (ours).
func TestVetDividesBowlsByNeed(t *testing.T) {
	code, out, errs := call(t, "", "-sheet", "vet", "-format", "json")
	var note struct{ Animals []patient }
	if err := json.Unmarshal([]byte(out), &note); err != nil || code != 0 {
		t.Fatalf("exit %d, %v, %s", code, err, errs)
	}
	density := map[string]float64{}
	shared := 0
	for _, a := range note.Animals {
		var grams, kcal float64
		if _, err := fmt.Sscanf(a.Grams, "%f g", &grams); err != nil {
			t.Fatalf("%s: %q: %v", a.Name, a.Grams, err)
		}
		if _, err := fmt.Sscanf(a.Energy, "about %f kcal", &kcal); err != nil {
			t.Fatalf("%s: %q: %v", a.Name, a.Energy, err)
		}
		density[a.Name] = kcal / grams
		for _, other := range a.Shared {
			if d, ok := density[other]; ok {
				shared++
				if r := density[a.Name] / d; r < 0.97 || r > 1.03 {
					t.Errorf("%s: %s for %s, %.2f times as much for each gram as for %s", a.Name, a.Energy, a.Grams, r, other)
				}
			}
		}
	}
	if shared == 0 {
		t.Error("nobody shares a bowl")
	}
}
