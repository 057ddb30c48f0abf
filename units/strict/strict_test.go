package strict_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"fitchet.example/units/strict"
)

// dump writes a value back in one line, with the place of every value.
func dump(n strict.Node) string {
	at := fmt.Sprintf("@%d:%d", n.Line(), n.Col())
	switch n.Kind() {
	case strict.Scalar:
		return strconv.Quote(n.Text()) + at
	case strict.List:
		var parts []string
		for _, item := range n.List() {
			parts = append(parts, dump(item))
		}
		return "[" + strings.Join(parts, " ") + "]" + at
	case strict.Mapping:
		m := n.Map()
		var parts []string
		for _, key := range m.Keys() {
			parts = append(parts, key+"="+dump(m.Get(key)))
		}
		m.Done()
		return "{" + strings.Join(parts, " ") + "}" + at
	}
	return "-"
}

// lines splits what Err says.
func lines(err error) []string {
	if err == nil {
		return nil
	}
	return strings.Split(err.Error(), "\n")
}

// The rows are ways in which readers of YAML disagree or lose data. Places are
// counted by hand in the text; a place is line:column, both from 1, in
// characters.
func TestParse_refused(t *testing.T) {
	t.Parallel()
	const (
		alias  = "aliases (*name) are not allowed: write the value out"
		tag    = "explicit tags (!) are not allowed"
		null   = "no value here: give one, or leave the key out"
		merge  = "merge keys (<<) are not allowed: write the values out"
		tab    = "a tab in the indentation: use spaces"
		indent = "this line does not fit the indentation of the lines above it, or has text behind a closing quote"
		colon  = "a colon is not expected here: quote text that holds a colon and a space; check the indentation and the line above"
		value  = "a value is missing here, or a [ or { is not closed"
		begin  = "plain text may not begin with this character: put the text in quotes"
		escape = `an escape behind a backslash that is not known; a backslash itself is written \\`
		behind = "text behind the end of the document"
	)
	old := func(s string) string {
		return fmt.Sprintf("%q is read as true or false by some programs: put it in quotes if text is meant", s)
	}
	tests := []struct {
		name, text string
		root       string // what can still be read
		want       []string
	}{
		// Keys.
		{"repeated key", "a: 1\nb: 2\na: 3\n", `{a="1"@1:4 b="2"@2:4}@1:1`, []string{`3:1: key "a" is already given on line 1`}},
		{"repeated key, quoted", "a: 1\n\"a\": 3\n", `{a="1"@1:4}@1:1`, []string{`2:1: key "a" is already given on line 1`}},
		{"repeated key in flow", "x: {a: 1, a: 2}\n", `{x={a="1"@1:8}@1:4}@1:1`, []string{`1:11: key "a" is already given on line 1`}},
		{"keys equal as numbers", "1: a\n0x1: b\n", "{}@1:1", []string{`1:1: key "1" is not text: put it in quotes`, `2:1: key "0x1" is not text: put it in quotes`}},
		{"octal key", "014: a\n", "{}@1:1", []string{`1:1: key "014" is not text: put it in quotes`}},
		{"date as key", "2026-01-02: a\n", "{}@1:1", []string{`1:1: key "2026-01-02" is not text: put it in quotes`}},
		{"null key", "~: a\n", "{}@1:1", []string{`1:1: key "~" is not text: put it in quotes`}},
		{"true as key", "true: a\n", "{}@1:1", []string{`1:1: key "true" is not text: put it in quotes`}},
		{"old boolean as key", "on: a\n", "{}@1:1", []string{`1:1: key "on" is read as true or false by some programs: put it in quotes`}},
		{"empty key", "\"\": a\n", "{}@1:1", []string{"1:1: an empty key"}},
		{"list as key", "? [a]\n: 1\n", "{}@1:1", []string{"1:3: a key must be text, not a collection"}},
		{"merge", "a: {<<: {b: 1}}\n", "{a={}@1:4}@1:1", []string{"1:5: " + merge}},
		{"two merges", "p: &p {a: 1}\nq: &q {b: 2}\nx:\n  <<: *p\n  <<: *q\n", "{p=- q=- x={}@4:3}@1:1", []string{
			"1:4: anchors (&p) are not allowed", "2:4: anchors (&q) are not allowed",
			"4:3: " + merge, "4:7: " + alias, "5:3: " + merge, "5:7: " + alias}},
		{"merge against explicit key", "base: &b {a: 1}\nx: {a: 9, <<: *b}\n", `{base=- x={a="9"@2:8}@2:4}@1:1`, []string{
			"1:7: anchors (&b) are not allowed", "2:11: " + merge, "2:15: " + alias}},
		{"merge sign as value", "a: <<\nb: 2\n", `{a=- b="2"@2:4}@1:1`, []string{`1:4: "<<" is read as a merge by some programs: put it in quotes`}},
		{"anchor on key", "&k a: 1\n", "{}@1:1", []string{"1:1: anchors (&k) are not allowed"}},
		{"alias as key", "a: &k b\n*k : 1\n", "{a=-}@1:1", []string{"1:4: anchors (&k) are not allowed", "2:1: aliases (*name) are not allowed: write the key out"}},

		// Aliases and anchors.
		{"anchor unused", "a: &x 1\n", "{a=-}@1:1", []string{"1:4: anchors (&x) are not allowed"}},
		{"alias of itself", "a: &a [*a]\n", "{a=-}@1:1", []string{"1:4: anchors (&a) are not allowed", "1:8: " + alias}},
		{"alias of nothing", "x: 1\ny: *nope\nz: 1\n", "-", []string{"2:4: " + alias}},
		{"star begins text", "x: 1\ny: * bold *\n", "-", []string{"2:4: plain text may not begin with & or *: put the text in quotes"}},

		// Tags.
		{"tag str", "d: !!str 1.10\n", "{d=-}@1:1", []string{"1:4: " + tag}},
		{"tag float", "d: !!float 1\n", "{d=-}@1:1", []string{"1:4: " + tag}},
		{"tag binary", "d: !!binary aGk=\n", "{d=-}@1:1", []string{"1:4: " + tag}},
		{"own tag on mapping", "a: !x\n  b: 1\n", "{a=-}@1:1", []string{"1:4: " + tag}},
		{"own tag on list", "a: !x [b]\n", "{a=-}@1:1", []string{"1:4: " + tag}},
		{"tag without name", "a: ! 1\n", "{a=-}@1:1", []string{"1:4: " + tag}},
		{"tag without name on mapping", "a: !\n  b: 1\n", "{a=-}@1:1", []string{"1:4: " + tag}},
		{"tag without name on list", "a: !\n  - 1\n", "{a=-}@1:1", []string{"1:4: " + tag}},
		{"tag without name on flow", "é: ! {b: 1}\n", "{é=-}@1:1", []string{"1:4: " + tag}},
		{"tag without name on key", "! a: 1\nb: 2\n", `{b="2"@2:4}@1:1`, []string{"1:1: " + tag}},

		// Nulls.
		{"null", "a: null\n", "{a=-}@1:1", []string{"1:4: " + null}},
		{"Null", "a: Null\n", "{a=-}@1:1", []string{"1:4: " + null}},
		{"NULL", "a: NULL\n", "{a=-}@1:1", []string{"1:4: " + null}},
		{"tilde", "a: ~\n", "{a=-}@1:1", []string{"1:4: " + null}},
		{"nothing", "a:\nb: 1\n", `{a=- b="1"@2:4}@1:1`, []string{"1:3: " + null}},
		{"nulls in a list", "[no, x, ~]\n", `[""@1:2 "x"@1:6]@1:1`, []string{"1:2: " + old("no"), "1:9: " + null}},
		{"empty item", "- a\n-\n- b\n", `["a"@1:3 "b"@3:3]@1:1`, []string{"2:2: " + null}},
		{"set form", "{a, b: 1}\n", `{a=- b="1"@1:8}@1:1`, []string{"1:3: " + null}},
		{"null document", "---\n", "-", []string{"1:1: " + null}},
		{"null behind the end", "x: 1\n?", "{x=\"1\"@1:4}@1:1", []string{"2:1: " + null, "2:2: an empty key"}},
		{"JSON null", "{\"a\": null}", "{a=-}@1:1", []string{"1:7: " + null}},

		// Words that are not text everywhere.
		{"true as text", "a: true\n", `{a=""@1:4}@1:1`, []string{"1:4: " + old("true")}},
		{"FALSE as text", "a: FALSE\n", `{a=""@1:4}@1:1`, []string{"1:4: " + old("FALSE")}},
		{"yes as text", "a: yes\n", `{a=""@1:4}@1:1`, []string{"1:4: " + old("yes")}},
		{"y as text", "a: y\n", `{a=""@1:4}@1:1`, []string{"1:4: " + old("y")}},

		// Documents.
		{"no document", "", "-", []string{"1:1: the file is empty"}},
		{"only remarks", "# nothing\n", "-", []string{"1:1: the file is empty"}},
		{"second document", "a: 1\n---\nb: 2\n", `{a="1"@1:4}@1:1`, []string{"2:1: a second document begins here: one file holds one document"}},
		{"second document broken", "a: 1\n---\n: [\n", "-", []string{"3:1: " + indent}},
		{"text behind a document", "{a: 1} b\n", "-", []string{"1:1: " + behind}},
		{"two JSON texts", "{\"a\": 1}\n{\"b\": 1}\n", "-", []string{"2:1: " + behind}},
		{"version line", "%YAML 1.3\n---\na: 1\n", "-", []string{"1:1: a %YAML line is not needed: take it out"}},

		// Characters.
		{"not UTF-8", "a: 1\nb: \xff\n", "-", []string{"2:4: byte 0xff is not valid UTF-8: save the file as UTF-8"}},
		{"UTF-16", "\xff\xfea\x00", "-", []string{"1:1: byte 0xff is not valid UTF-8: save the file as UTF-8"}},
		{"overlong form", "a: \xc0\xaf\n", "-", []string{"1:4: byte 0xc0 is not valid UTF-8: save the file as UTF-8"}},
		{"control characters", "a: x\x00\nb: \x1b[1m\n", "-", []string{"1:5: character U+0000 is not allowed", "2:4: character U+001B is not allowed"}},
		{"next line", "a: x\u0085b: ~\n", "-", []string{"1:5: character U+0085 is not allowed"}},
		{"line separator", "a: x\u2028b: 1\n", "-", []string{"1:5: character U+2028 is not allowed"}},
		{"direction of text", "a: x\u202ey\n", `{a=-}@1:1`, []string{"1:5: character U+202E is not allowed"}},
		{"mark inside", "a: x\ufeff\n", "{a=-}@1:1", []string{"1:5: character U+FEFF is not allowed"}},
		{"damaged text", "a: Gr\ufffdn\n", `{a=-}@1:1`, []string{"1:6: character U+FFFD is not allowed"}},
		{"lone carriage return", "a: 1\rb: 2\n", "-", []string{"1:5: a carriage return without a line feed"}},
		{"escaped control character", "a: \"x\\u0007\"\n", `{a=-}@1:1`, []string{"1:4: character U+0007 is not allowed"}},
		{"escaped control character in key", "\"x\\0\": 1\n", `{}@1:1`, []string{"1:1: character U+0000 is not allowed"}},
		{"escaped in JSON", "{\"a\": \"\\u0000\"}", `{a=-}@1:1`, []string{"1:7: character U+0000 is not allowed"}},
		{"half a pair in JSON", "{\"a\": \"\\ud83d\"}", `{a=-}@1:1`, []string{"1:7: character U+FFFD is not allowed"}},
		{"half a pair in YAML", "a: \"\\ud83d\"\n", "-", []string{"1:1: " + escape}},
		{"unknown escape", "x: 1\na: \"C:\\dir\"\n", "-", []string{"2:7: " + escape}},

		// Tabs.
		{"tab before key", "a:\n\tb: 1\n", "-", []string{"2:1: " + tab}},
		{"tab behind spaces", "a:\n  \tb: 1\n", "-", []string{"2:3: " + tab}},
		{"tab behind dash", "- \tb: 1\n  c: 2\n", "-", []string{"1:3: " + tab}},
		{"two tabs", "a:\n\tb: 1\n\tc: 1\n", "-", []string{"2:1: " + tab, "3:1: " + tab}},

		// Syntax. The engine alone reports a line too few, none, or the end of the file.
		{"bad indentation", "a:\n  b: 1\n  c: 2\n d: 3\ne: 4\n", "-", []string{"4:2: " + indent}},
		{"quote not closed, line 2", "a: 1\nb: \"xx\nc: 3\nd: 4\n", "-", []string{"2:4: a quote that is opened here is not closed"}},
		{"quote not closed, line 1", "a: 'xx\nc: 3\nd: 4\n", "-", []string{"1:4: a quote that is opened here is not closed"}},
		{"quote not closed behind a long one", "a: 'x\n  y'\nb: 'z\n", "-", []string{"3:4: a quote that is opened here is not closed"}},
		{"list not closed", "x: [1,\n 2]\na: [1, 2\nb: 3\n", "-", []string{"3:4: a list that is opened with [ is not closed, or a comma is missing"}},
		{"mapping not closed", "x: 1\na: {b: 1\n", "-", []string{"2:4: a mapping that is opened with { is not closed, or a comma is missing"}},
		{"colon in text", "x: y\na: b: c\n", "-", []string{"2:5: " + colon}},
		{"colon behind a quote", "a: \"x: y\": z\n", "-", []string{"1:10: " + colon}},
		{"colon forgotten", "a\nb: 1\n", "-", []string{"2:2: " + colon}},
		{"indented too far", "a: 1\n  b: 2\n", "-", []string{"2:4: " + colon}},
		{"text behind a quote", "x: 1\na: 'it's'\n", "-", []string{"2:1: " + indent}},
		{"list ends in a key", "- a\nb: 1\n", "-", []string{"2:1: a list item was expected here: this line does not fit the indentation of the list above it"}},
		{"list behind a colon", "a: - b\n", "-", []string{"1:1: a list may not begin here: put it on the next line, indented"}},
		{"at sign", "a: @x\n", "-", []string{"1:4: " + begin}},
		{"percent sign", "é: %x\n", "-", []string{"1:4: " + begin}},
		{"item missing", "[a, , b]\n", "-", []string{"1:1: " + value}},

		// Bounds.
		{"digits", "a: " + strings.Repeat("7", 65) + "\n", "{a=-}@1:1", []string{"1:4: more than 64 digits in a row"}},
		{"digits with a unit", "a: " + strings.Repeat("7", 65) + " g\n", "{a=-}@1:1", []string{"1:4: more than 64 digits in a row"}},
		{"digits in JSON", `{"a":` + strings.Repeat("7", 65) + "}", "{a=-}@1:1", []string{"1:6: more than 64 digits in a row"}},
		{"long value", "a: " + strings.Repeat("x", strict.MaxScalar+1) + "\n", "{a=-}@1:1", []string{"1:4: longer than 16384 bytes"}},
		{"long key", `{"` + strings.Repeat("x", strict.MaxScalar+1) + `": 1}`, "{}@1:1", []string{"1:2: longer than 16384 bytes"}},
		{"depth 33", strings.Repeat("[", 33) + "a" + strings.Repeat("]", 33), strings.Repeat("[", 32) + unwind(32), []string{"1:33: more than 32 levels inside one another"}},
		{"depth of the engine", "x: " + strings.Repeat("[", 10_001), "-", []string{"1:10004: more than 32 levels inside one another"}},

		// All at once, in the order of the file.
		{"many", "a: &x 1\nb: ~\nc: {d: !!str e, d: f}\n1: g\n", "{a=- b=- c={d=-}@3:4}@1:1", []string{
			"1:4: anchors (&x) are not allowed", "2:4: " + null, "3:8: " + tag, "3:17: key \"d\" is already given on line 3", `4:1: key "1" is not text: put it in quotes`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			d := strict.Parse("f.yaml", []byte(tt.text))
			if got := dump(d.Root()); got != tt.root {
				t.Errorf("read\n%s, want\n%s", got, tt.root)
			}
			want := make([]string, len(tt.want))
			for i, w := range tt.want {
				want[i] = "f.yaml:" + w
			}
			if diff := cmp.Diff(want, lines(d.Err())); diff != "" {
				t.Errorf("faults (-want +got)\n%s", diff)
			}
		})
	}
}

// unwind closes n nested lists that begin at columns n to 1.
func unwind(n int) string {
	var b strings.Builder
	for i := n; i > 0; i-- {
		fmt.Fprintf(&b, "]@1:%d", i)
	}
	return b.String()
}

func TestParse_accepted(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, text, want string }{
		{"number text kept", "a: 1.10\nb: 0.12345678901234567890123\nc: 123456789012345678901234567890\n", `{a="1.10"@1:4 b="0.12345678901234567890123"@2:4 c="123456789012345678901234567890"@3:4}@1:1`},
		{"number forms are the caller's affair", "[014, 0o14, 0x1F, 1e3, 1_000, .5, 1e1000, 1:30, -1, +1]\n",
			`["014"@1:2 "0o14"@1:7 "0x1F"@1:13 "1e3"@1:19 "1_000"@1:24 ".5"@1:31 "1e1000"@1:35 "1:30"@1:43 "-1"@1:49 "+1"@1:53]@1:1`},
		{"date", "a: 2026-01-02\n", `{a="2026-01-02"@1:4}@1:1`},
		{"quantity", "a: 57 g\nb: \"2 oz\"\nc: '38 %'\n", `{a="57 g"@1:4 b="2 oz"@2:4 c="38 %"@3:4}@1:1`},
		{"words in quotes", "\"on\": \"yes\"\n'true': 'null'\n\"<<\": \"~\"\n\"1\": \"\"\n", `{on="yes"@1:7 true="null"@2:9 <<="~"@3:7 1=""@4:6}@1:1`},
		{"byte order mark", "\ufeffa: 1\nb: 2\n", `{a="1"@1:4 b="2"@2:4}@1:1`},
		{"CRLF", "a: 1\r\nb:\r\n  - c\r\n", `{a="1"@1:4 b=["c"@3:5]@3:3}@1:1`},
		{"columns are characters", "é: ö\nüb: {ä: ß}\n", `{é="ö"@1:4 üb={ä="ß"@2:9}@2:5}@1:1`},
		{"tab before a remark", "a: 1\t# in grams\n", `{a="1"@1:4}@1:1`},
		{"tab behind the colon of a key", "a:\tb\n", `{a="b"@1:4}@1:1`},
		{"document marks", "---\na: 1\n...\n", `{a="1"@2:4}@2:1`},
		{"block text", "a: |\n  x\n  y\nb: >-\n  x\n  y\n", `{a="x\ny\n"@1:4 b="x y"@4:4}@1:1`},
		{"emoji", "a: 🐾 b\nc: \"\\U0001F43E\"\n", `{a="🐾 b"@1:4 c="🐾"@2:4}@1:1`},
		{"exclamation in text", "a: no! b\nb: \"!\"\nc: [x!, z]\n", `{a="no! b"@1:4 b="!"@2:4 c=["x!"@3:5 "z"@3:9]@3:4}@1:1`},
		{"signs in quotes", "a: \"&x\"\nb: \"*x\"\nc: '!x'\n", `{a="&x"@1:4 b="*x"@2:4 c="!x"@3:4}@1:1`},
		{"empty collections", "a: []\nb: {}\n", `{a=[]@1:4 b={}@2:4}@1:1`},
		{"scalar alone", "57 g\n", `"57 g"@1:1`},
		{"depth 32", strings.Repeat("[", 31) + "[a]" + strings.Repeat("]", 31), strings.Repeat("[", 32) + `"a"@1:33` + unwind(32)},
		{"64 digits", strings.Repeat("7", 64), `"` + strings.Repeat("7", 64) + `"@1:1`},
		{"digits apart", strings.Repeat("7", 64) + "." + strings.Repeat("7", 64), `"` + strings.Repeat("7", 64) + "." + strings.Repeat("7", 64) + `"@1:1`},
		{"longest value", strings.Repeat("x", strict.MaxScalar), `"` + strings.Repeat("x", strict.MaxScalar) + `"@1:1`},

		{"JSON with tabs", "{\n\t\"a\": 1,\n\t\"b\": [2,-3e4]\n}\n", `{a="1"@2:7 b=["2"@3:8 "-3e4"@3:10]@3:7}@1:1`},
		{"JSON without spaces", `{"a":-1,"b":[],"c":{"d":"e"}}`, `{a="-1"@1:6 b=[]@1:13 c={d="e"@1:25}@1:20}@1:1`},
		{"JSON colon on its own line", "{\"a\"\n:1}", `{a="1"@2:2}@1:1`},
		{"JSON escapes", `{"a":"\"\\\/\n\tA\u00e9","b":2}`, `{a="\"\\/\n\tAé"@1:6 b="2"@1:30}@1:1`},
		{"JSON pair of escapes", `{"a":"\ud83d\udc3e","b":2}`, `{a="🐾"@1:6 b="2"@1:25}@1:1`},
		{"JSON long key", `{"` + strings.Repeat("k", 2000) + `":1}`, "{" + strings.Repeat("k", 2000) + `="1"@1:2005}@1:1`},
		{"JSON old booleans in quotes", `["yes","true","null"]`, `["yes"@1:2 "true"@1:8 "null"@1:15]@1:1`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			d := strict.Parse("f.yaml", []byte(tt.text))
			if got := dump(d.Root()); got != tt.want {
				t.Errorf("read\n%s, want\n%s", got, tt.want)
			}
			if err := d.Err(); err != nil {
				t.Errorf("faults: %v", err)
			}
		})
	}
}

// household is what a caller would read.
type household struct {
	Name    string
	Animals []string
	Portion string
	Meals   int
	Whole   bool
}

var errUnit = errors.New("no unit: write 57 g or 2 oz")

func grams(s string) (string, error) {
	if !strings.HasSuffix(s, " g") {
		return "", fmt.Errorf("mass %q: %w", s, errUnit)
	}
	return s, nil
}

func readHousehold(d *strict.Doc) household {
	m := d.Root().Map()
	h := household{
		Name:    m.Text("name"),
		Animals: strict.Each(m.Get("animals"), func(s string) (string, error) { return strings.ToUpper(s), nil }),
		Portion: strict.Value(m, "portion", grams),
		Meals:   m.Int("meals", 1, 24),
		Whole:   m.Bool("whole-prey", true),
	}
	m.Done()
	return h
}

func TestRead(t *testing.T) {
	t.Parallel()
	full := household{Name: "Brackenford", Animals: []string{"PIP", "TANSY"}, Portion: "57 g", Meals: 2, Whole: false}
	const head = "name: Brackenford\nanimals: [Pip, Tansy]\n"
	tests := []struct {
		name, text string
		want       household
		faults     []string
	}{
		{"whole", head + "portion: 57 g\nmeals: 2\nwhole-prey: false\n", full, nil},
		{"default", "name: Brackenford\nanimals: []\nportion: 57 g\nmeals: 24\n", household{"Brackenford", []string{}, "57 g", 24, true}, nil},
		{"order of keys", "whole-prey: false\nmeals: 2\nportion: 57 g\nanimals: [Pip, Tansy]\nname: Brackenford\n", full, nil},
		{"JSON", `{"name":"Brackenford","animals":["Pip","Tansy"],"portion":"57 g","meals":2,"whole-prey":false}`, full, nil},
		{"missing", "name: Brackenford\n", household{Name: "Brackenford", Whole: true}, []string{
			`1:1: missing key "animals"`, `1:1: missing key "portion"`, `1:1: missing key "meals"`}},
		{"no unit", head + "portion: 57\nmeals: 2\nwhole-prey: false\n", household{full.Name, full.Animals, "", 2, false}, []string{
			`3:10: mass "57": no unit: write 57 g or 2 oz`}},
		{"misspelt", head + "potrion: 57 g\nportion: 57 g\nmeals: 2\nwhole_prey: false\nwhole-prey: false\ncolour: red\n", full, []string{
			`3:1: unknown key "potrion", did you mean "portion"?`, `6:1: unknown key "whole_prey", did you mean "whole-prey"?`, `8:1: unknown key "colour"`}},
		{"wrong shapes", "name: [a]\nanimals: Pip\nportion: {a: b}\nmeals: [2]\nwhole-prey: []\n", household{Whole: true, Animals: []string{}}, []string{
			"1:7: want text, found a list", `2:10: want a list, found "Pip"`, "3:10: want text, found a mapping", "4:8: want text, found a list", "5:13: want text, found a list"}},
		{"wrong scalars", head + "portion: 57 g\nmeals: \"2\"\nwhole-prey: \"false\"\n", household{full.Name, full.Animals, "57 g", 0, true}, []string{
			`4:8: want a whole number in plain digits without quotes, found "2"`, `5:13: want true or false without quotes, found "false"`}},
		{"out of range", head + "portion: 57 g\nmeals: 25\nwhole-prey: no\n", household{full.Name, full.Animals, "57 g", 0, true}, []string{
			"4:8: want a whole number from 1 to 24, found 25", `5:13: want true or false without quotes, found "no"`}},
		{"nulls", "name: ~\nanimals: [~, Pip]\nportion:\nmeals: null\nwhole-prey: ~\n", household{Animals: []string{"PIP"}, Whole: true}, []string{
			"1:7: no value here: give one, or leave the key out", "2:11: no value here: give one, or leave the key out", "3:9: no value here: give one, or leave the key out",
			"4:8: no value here: give one, or leave the key out", "5:13: no value here: give one, or leave the key out"}},
		{"root is a list", "- a\n", household{Whole: true}, []string{"1:1: want a mapping, found a list"}},
		{"not parsed", "name: 'a\n", household{Whole: true}, []string{"1:7: a quote that is opened here is not closed"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			d := strict.Parse("f.yaml", []byte(tt.text))
			got := readHousehold(d)
			if len(tt.want.Animals) == 0 && len(got.Animals) == 0 {
				got.Animals, tt.want.Animals = nil, nil
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("read (-want +got)\n%s", diff)
			}
			var want []string
			for _, f := range tt.faults {
				want = append(want, "f.yaml:"+f)
			}
			if diff := cmp.Diff(want, lines(d.Err())); diff != "" {
				t.Errorf("faults (-want +got)\n%s", diff)
			}
		})
	}
}

func TestMap_Int(t *testing.T) {
	t.Parallel()
	const most = 999_999_999_999_999_999
	tests := []struct {
		text string
		want int
		ok   bool
	}{
		{"0", 0, true}, {"7", 7, true}, {"-7", -7, true}, {"120", 120, true},
		{"999999999999999999", most, true}, {"-999999999999999999", -most, true},
		{"1000000000000000000", 0, false}, {"-0", 0, false}, {"00", 0, false}, {"014", 0, false}, {"-014", 0, false}, {"+7", 0, false},
		{"1.5", 0, false}, {"1.0", 0, false}, {"1e3", 0, false}, {"1_000", 0, false}, {"0x1F", 0, false}, {"0o14", 0, false}, {"0b11", 0, false},
		{"\"5\"", 0, false}, {"'5'", 0, false}, {"five", 0, false}, {"-", 0, false}, {"\u22125", 0, false}, {"٣", 0, false}, {"7 g", 0, false}, {".inf", 0, false}, {"true", 0, false},
	}
	for _, tt := range tests {
		for _, text := range []string{"num: " + tt.text + "\n", "# x\n{num: " + tt.text + "}\n"} {
			d := strict.Parse("f", []byte(text))
			got, ok := d.Root().Map().OptInt("num", -most, most)
			if got != tt.want || ok != tt.ok || (d.Err() == nil) != tt.ok {
				t.Errorf("%q: %d %v, want %d %v, faults %v", text, got, ok, tt.want, tt.ok, d.Err())
			}
		}
	}
	d := strict.Parse("f", []byte("a: 3\nb: 5\nc: 2\nd: 6\n"))
	m := d.Root().Map()
	got := []int{m.Int("a", 3, 5), m.Int("b", 3, 5), m.Int("c", 3, 5), m.Int("d", 3, 5), m.Int("e", 3, 5)}
	if diff := cmp.Diff([]int{3, 5, 0, 0, 0}, got); diff != "" {
		t.Error(diff)
	}
	if v, ok := m.OptInt("e", 3, 5); v != 0 || ok {
		t.Errorf("missing: %d %v", v, ok)
	}
	want := []string{`f:1:1: missing key "e"`, "f:3:4: want a whole number from 3 to 5, found 2", "f:4:4: want a whole number from 3 to 5, found 6"}
	if diff := cmp.Diff(want, lines(d.Err())); diff != "" {
		t.Error(diff)
	}
}

func TestMap_Bool(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		text           string
		missing, want  bool
		faults, exists bool
	}{
		{"b: true", false, true, false, true}, {"b: false", true, false, false, true},
		{`{"b":true}`, false, true, false, true}, {`{"b":false}`, true, false, false, true},
		{"c: 1", true, true, false, false}, {"c: 1", false, false, false, false},
		{"b: True", false, false, true, true}, {"b: TRUE", false, false, true, true}, {"b: yes", false, false, true, true},
		{"b: on", false, false, true, true}, {"b: 1", false, false, true, true}, {"b: \"true\"", false, false, true, true}, {"b: ~", true, true, true, true},
	} {
		d := strict.Parse("f", []byte(tt.text))
		if got := d.Root().Map().Bool("b", tt.missing); got != tt.want || (d.Err() != nil) != tt.faults {
			t.Errorf("%q: %v, want %v; faults %v", tt.text, got, tt.want, d.Err())
		}
	}
}

func TestMap_optional(t *testing.T) {
	t.Parallel()
	d := strict.Parse("f", []byte("a: x\nb: 57\nc: ~\nd: 57 g\n"))
	m := d.Root().Map()
	if got := m.OptText("a") + "|" + m.OptText("none") + "|" + m.OptText("c"); got != "x||" {
		t.Errorf("OptText: %q", got)
	}
	for _, key := range []string{"none", "c"} {
		if _, ok := m.Opt(key); ok {
			t.Errorf("Opt(%q) is there", key)
		}
	}
	if v, ok := strict.OptValue(m, "d", grams); v != "57 g" || !ok {
		t.Errorf("OptValue: %q %v", v, ok)
	}
	for _, key := range []string{"none", "b", "c"} {
		if v, ok := strict.OptValue(m, key, grams); v != "" || ok {
			t.Errorf("OptValue(%q): %q %v", key, v, ok)
		}
	}
	m.Key("b").Fail("seen")
	m.Key("none").Fail("not there")
	m.Node().Fail("all of it")
	m.Done()
	want := []string{"f:1:1: all of it", "f:2:1: seen", `f:2:4: mass "57": no unit: write 57 g or 2 oz`, "f:3:4: no value here: give one, or leave the key out"}
	if diff := cmp.Diff(want, lines(d.Err())); diff != "" {
		t.Error(diff)
	}
}

// Everything hangs together when nothing is there.
func TestZeroValues(t *testing.T) {
	t.Parallel()
	var d *strict.Doc
	var n strict.Node
	var m strict.Map
	if d.Err() != nil || d.Root() != n {
		t.Error("nil Doc")
	}
	n.Fail("nobody hears %d", 1)
	if n.Kind() != strict.Invalid || n.Line() != 0 || n.Col() != 0 || n.Text() != "" || n.List() != nil || n.Map() != m {
		t.Error("zero Node")
	}
	m.Done()
	if m.Keys() != nil || m.Get("a") != n || m.Text("a") != "" || m.OptText("a") != "" || m.Key("a") != n || m.Node() != n ||
		m.Int("a", 1, 2) != 0 || !m.Bool("a", true) || m.Bool("a", false) || strict.Value(m, "a", grams) != "" || len(strict.Each(n, grams)) != 0 {
		t.Error("zero Map")
	}
	var zero strict.Doc
	if zero.Err() != nil || zero.Root() != n {
		t.Error("zero Doc")
	}
}

// A fault can be asked for what is behind it.
func TestFaults_unwrap(t *testing.T) {
	t.Parallel()
	d := strict.Parse("f", []byte("a: 57\nb: 58\n"))
	m := d.Root().Map()
	strict.Value(m, "a", grams)
	m.Get("b").Fail("because: %w", io.ErrNoProgress)
	err := d.Err()
	if !errors.Is(err, errUnit) || !errors.Is(err, io.ErrNoProgress) || errors.Is(err, io.EOF) {
		t.Errorf("errors.Is on %v", err)
	}
	var f strict.Fault
	if !errors.As(err, &f) || f.Path != "f" || f.Line != 1 || f.Col != 4 {
		t.Errorf("errors.As: %+v", f)
	}
	var all strict.Faults
	if !errors.As(err, &all) || len(all) != 2 || all[1].Line != 2 {
		t.Errorf("errors.As: %v", all)
	}
}

func TestReadAll(t *testing.T) {
	t.Parallel()
	if d := strict.ReadAll("f", strings.NewReader("a: 1\n")); d.Err() != nil || d.Root().Map().Text("a") != "1" {
		t.Error(d.Err())
	}
	broken := errors.New("disk")
	err := strict.ReadAll("f", iotest.ErrReader(broken)).Err()
	if !errors.Is(err, broken) || err.Error() != "f:1:1: cannot be read: disk" {
		t.Error(err)
	}
	// What is within the bound is read, one byte more is not, and no more
	// than that one byte is taken from the reader.
	exact := append([]byte("a: 1\n"), bytes.Repeat([]byte("\n"), strict.MaxBytes-5)...)
	if err := strict.ReadAll("f", bytes.NewReader(exact)).Err(); err != nil {
		t.Error(err)
	}
	src := bytes.NewReader(make([]byte, 10<<20))
	if got := lines(strict.ReadAll("f", src).Err()); len(got) != 1 || got[0] != "f:1:1: the file is larger than 1048576 bytes" {
		t.Error(got)
	}
	if read := 10<<20 - src.Len(); read != strict.MaxBytes+1 {
		t.Errorf("%d bytes were read", read)
	}
	if got := lines(strict.Parse("f", append(exact, '\n')).Err()); len(got) != 1 || got[0] != "f:1:1: the file is larger than 1048576 bytes" {
		t.Error(got)
	}
}

// An alias bomb of some 500 bytes stands for 9 to the power 10 values. Here it
// is a fault for each of its 10 anchors and 81 aliases, and cannot be read.
func TestParse_bomb(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	b.WriteString("a0: &a0 [x,x,x,x,x,x,x,x,x]\n")
	for i := 1; i < 10; i++ {
		fmt.Fprintf(&b, "a%d: &a%d [%s]\n", i, i, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*a%d,", i-1), 9), ","))
	}
	d := strict.Parse("f", []byte(b.String()))
	if got := dump(d.Root()); got != "{a0=- a1=- a2=- a3=- a4=- a5=- a6=- a7=- a8=- a9=-}@1:1" {
		t.Error(got)
	}
	if got := lines(d.Err()); len(got) != 91 || got[90] != "f:10:42: aliases (*name) are not allowed: write the value out" {
		t.Errorf("%d faults, last %q", len(got), got[len(got)-1])
	}
}

func TestFaults_limit(t *testing.T) {
	t.Parallel()
	tests := []struct {
		nulls, want int
		last        string
	}{
		{1, 1, "f:1:3: no value here: give one, or leave the key out"},
		{100, 100, "f:100:3: no value here: give one, or leave the key out"},
		{101, 101, "f:101:3: and 1 more faults"},
		{1000, 101, "f:101:3: and 900 more faults"},
		{5000, 101, "f:101:3: and 4900 more faults"},
	}
	for _, tt := range tests {
		got := lines(strict.Parse("f", bytes.Repeat([]byte("- ~\n"), tt.nulls)).Err())
		if len(got) != tt.want || got[len(got)-1] != tt.last {
			t.Errorf("%d nulls: %d faults, last %q", tt.nulls, len(got), got[len(got)-1])
		}
	}
	// The same fault twice is one fault; a long or ragged message is one line.
	d := strict.Parse("f", []byte("a: b\n"))
	n := d.Root().Map().Get("a")
	n.Fail("x")
	n.Fail("x")
	n.Fail("y\n\x1b%s", strings.Repeat("z", 1000))
	got := lines(d.Err())
	if len(got) != 2 || got[1] != `f:1:4: y \x1b`+strings.Repeat("z", 394)+"…" {
		t.Errorf("%d: %q", len(got), got)
	}
}

func TestParse_nodes(t *testing.T) {
	t.Parallel()
	// A list of n items is n+1 values.
	for _, tt := range []struct {
		items int
		want  []string
	}{
		{strict.MaxNodes - 1, nil},
		{strict.MaxNodes, []string{fmt.Sprintf("f:%d:3: more than 100000 keys and values", strict.MaxNodes)}},
		{strict.MaxNodes + 1000, []string{fmt.Sprintf("f:%d:3: more than 100000 keys and values", strict.MaxNodes)}},
	} {
		d := strict.Parse("f", bytes.Repeat([]byte("- x\n"), tt.items))
		if diff := cmp.Diff(tt.want, lines(d.Err())); diff != "" {
			t.Error(diff)
		}
		if got := len(d.Root().List()); got != min(tt.items, strict.MaxNodes-1) {
			t.Errorf("%d items can be read", got)
		}
	}
}

// encoding/json is the other reader.
func jsonModel(text []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	var v any
	return v, dec.Decode(&v)
}

// same compares a Node with what encoding/json made of the same text.
func same(n strict.Node, v any) error {
	switch v := v.(type) {
	case map[string]any:
		m := n.Map()
		if got := m.Keys(); len(got) != len(v) {
			return fmt.Errorf("keys %q, want %d", got, len(v))
		}
		for key, want := range v {
			if err := same(m.Get(key), want); err != nil {
				return fmt.Errorf("%q: %w", key, err)
			}
		}
	case []any:
		items := n.List()
		if len(items) != len(v) {
			return fmt.Errorf("%d items, want %d", len(items), len(v))
		}
		for i := range items {
			if err := same(items[i], v[i]); err != nil {
				return fmt.Errorf("%d: %w", i, err)
			}
		}
	case bool:
		d := strict.Parse("wrap", []byte(fmt.Sprintf("b: %v", v)))
		if n.Kind() != strict.Scalar || d.Root().Map().Bool("b", !v) != v {
			return fmt.Errorf("not %v", v)
		}
	case json.Number:
		if n.Text() != v.String() {
			return fmt.Errorf("%q, want %q", n.Text(), v)
		}
	case string:
		if n.Text() != v {
			return fmt.Errorf("%q, want %q", n.Text(), v)
		}
	default:
		return fmt.Errorf("unexpected %T", v)
	}
	return nil
}

// Native fuzzing: no panic, every fault has a place inside the file and one
// line of text, faults are in order; JSON without faults means what
// encoding/json says it means.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"", "a: 1\n", "a: &b [*b]\n", "- x\n-\t~\n", "a:\n  b: 1\n c: 2\n", "a: \"x\n", "{\"a\":[1,true,\"\\ud83d\\udc3e\"]}",
		"? [a]\n: b\n", "a: |\n  x\n---\nb", "%YAML 1.1\n---\n! a: !!str b\n", "\ufeffa: é\r\n", "a: b: c\n", "{a: [b}", "<<: {a: 1}\n", "# x\n\n", "a: \xff",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d := strict.Parse("f", data)
		clean := d.Err() == nil
		root := d.Root()
		if clean && root.Kind() == strict.Invalid {
			t.Fatal("no fault and no value")
		}
		if clean && json.Valid(bytes.TrimPrefix(data, []byte("\ufeff"))) {
			v, err := jsonModel(bytes.TrimPrefix(data, []byte("\ufeff")))
			if err == nil {
				err = same(root, v)
			}
			if err != nil {
				t.Fatalf("encoding/json reads %q otherwise: %v", data, err)
			}
		}
		dump(root)
		readHousehold(d)
		var faults strict.Faults
		if err := d.Err(); err != nil && !errors.As(err, &faults) {
			t.Fatalf("Err is %T", err)
		}
		most := bytes.Count(data, []byte("\n")) + 1
		for i, f := range faults {
			if f.Path != "f" || f.Line < 1 || f.Line > most || f.Col < 1 || f.Msg == "" || strings.ContainsAny(f.Msg, "\n\r\x1b") {
				t.Errorf("bad fault %+v of %d lines", f, most)
			}
			if i > 0 && (f.Line < faults[i-1].Line || f.Line == faults[i-1].Line && f.Col < faults[i-1].Col) {
				t.Errorf("out of order: %v, %v", faults[i-1], f)
			}
		}
	})
}
