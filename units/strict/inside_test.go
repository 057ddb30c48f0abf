package strict

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

// texts draws text of allowed characters, with those that trip readers.
func texts() *rapid.Generator[string] {
	return rapid.StringOfN(rapid.OneOf(
		rapid.RuneFrom([]rune("aenoy01.:-#&*!|>'\"%@`{}[],/\\ \n\t~<=?")),
		rapid.RuneFrom([]rune("éß€\u0301🐾𝄞\u00a0\ufffc")),
	), 0, 12, -1)
}

// values draws a tree as encoding/json has it: map[string]any, []any, string,
// json.Number and bool.
func values(depth int) *rapid.Generator[any] {
	scalar := rapid.OneOf(
		rapid.Map(texts(), func(s string) any { return s }),
		rapid.Map(rapid.Int64(), func(n int64) any { return json.Number(fmt.Sprint(n)) }),
		rapid.Map(rapid.IntRange(0, 9999), func(n int) any { return json.Number(fmt.Sprintf("%d.%02de-3", n/100, n%100)) }),
		rapid.Map(rapid.Bool(), func(b bool) any { return b }),
	)
	if depth == 0 {
		return scalar
	}
	inner := rapid.Deferred(func() *rapid.Generator[any] { return values(depth - 1) })
	return rapid.OneOf(scalar,
		rapid.Map(rapid.SliceOfN(inner, 0, 4), func(l []any) any { return l }),
		rapid.Map(rapid.MapOfN(rapid.Map(texts(), func(s string) string { return "k" + s }), inner, 0, 4), func(m map[string]any) any { return m }),
	)
}

// model turns a tree of nodes into the same form.
func model(n Node) any {
	switch n.Kind() {
	case Mapping:
		m := n.Map()
		out := map[string]any{}
		for _, key := range m.Keys() {
			out[key] = model(m.Get(key))
		}
		return out
	case List:
		out := []any{}
		for _, item := range n.List() {
			out = append(out, model(item))
		}
		return out
	case Scalar:
		switch {
		case n.y.Style != 0:
			return n.Text()
		case n.y.Tag == "!!bool":
			v, _ := n.truth()
			return v
		}
		return json.Number(n.Text())
	}
	return nil
}

func marshal(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return b
}

// ascii writes every other character as JSON escapes, as many programs do.
func ascii(text []byte) []byte {
	var b bytes.Buffer
	for _, c := range string(text) {
		if c < 0x80 {
			b.WriteRune(c)
			continue
		}
		for _, u := range utf16.Encode([]rune{c}) {
			fmt.Fprintf(&b, `\u%04x`, u)
		}
	}
	return b.Bytes()
}

// What encoding/json writes is read back, in any layout and with any escapes.
func TestParse_readsJSON(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := values(3).Draw(t, "value")
		text := marshal(want)
		if rapid.Bool().Draw(t, "ascii") {
			text = ascii(text)
		}
		if rapid.Bool().Draw(t, "indent") {
			var b bytes.Buffer
			if err := json.Indent(&b, text, "", rapid.SampledFrom([]string{"\t", "  "}).Draw(t, "by")); err != nil {
				t.Fatal(err)
			}
			text = b.Bytes()
		}
		d := Parse("f", text)
		got := model(d.Root())
		if err := d.Err(); err != nil {
			t.Fatalf("%s\n%v", text, err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("%s\n%s", text, diff)
		}
	})
}

// The two ways into the tree, through encoding/json and through the YAML
// engine, give the same values at the same places.
func TestDecode_agree(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := marshal(values(3).Draw(t, "value"))
		a := decodeJSON(text)
		b, second, failure := decode(text)
		if failure != "" || second != nil {
			t.Fatalf("%s: %v %s", text, second, failure)
		}
		if err := agree(a, b); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	})
}

func agree(a, b *yaml.Node) error {
	if a.Kind != b.Kind || a.Value != b.Value || a.Line != b.Line || a.Column != b.Column || len(a.Content) != len(b.Content) || (a.Style == 0) != (b.Style == 0) {
		return fmt.Errorf("%+v and %+v", *a, *b)
	}
	for i := range a.Content {
		if err := agree(a.Content[i], b.Content[i]); err != nil {
			return err
		}
	}
	return nil
}

// What the YAML engine writes is read back; it quotes what would not be text. Tabs are drawn in single lines only: it
// writes several lines as a block, where a tab at the beginning stands in the indentation.
func TestParse_readsYAML(t *testing.T) {
	t.Parallel()
	written := func(s string) string {
		if s = strings.TrimSpace(s); strings.Contains(s, "\n") {
			s = strings.ReplaceAll(s, "\t", " ")
		}
		return s
	}
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.MapOfN(
			rapid.Map(rapid.StringMatching(`[a-z][a-z-]{0,6}`), func(s string) string { return "k-" + s }),
			rapid.SliceOfN(rapid.Map(texts(), written), 0, 4), 0, 4).Draw(t, "value")
		text, err := yaml.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		d := Parse("f", text)
		m := d.Root().Map()
		got := map[string][]string{}
		for _, key := range m.Keys() {
			got[key] = Each(m.Get(key), func(s string) (string, error) { return s, nil })
		}
		m.Done()
		if err := d.Err(); err != nil {
			t.Fatalf("%s\n%v", text, err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("%s\n%s", text, diff)
		}
	})
}

// Keys come in the order of the file, and every fault planted on a line of its
// own is found on that line.
func TestParse_plantedFaults(t *testing.T) {
	t.Parallel()
	good := []string{"k%d: v\n", "k%d: [a, b]\n", "k%d:\n    z: 1\n", "k%d: {z: \"é 🐾\"}\n", "k%d: |\n    a\n    b\n", "# remark %d\n", "k%d: 'x\n    y'\n"}
	bad := []string{"k%d: ~\n", "k%d: &a 1\n", "k%d: !!str 1\n", "%d: v\n", "k%d: <<\n", "k%d: ! x\n", "<<: {k%d: 1}\n"}
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		var want, keys []string
		line := 1
		for i := range rapid.IntRange(1, 20).Draw(t, "parts") {
			part := ""
			if rapid.Bool().Draw(t, "bad") {
				part = rapid.SampledFrom(bad).Draw(t, "part")
				want = append(want, fmt.Sprint(line))
			} else {
				part = rapid.SampledFrom(good).Draw(t, "part")
			}
			fmt.Fprintf(&text, part, i)
			if strings.HasPrefix(part, "k") {
				keys = append(keys, fmt.Sprintf("k%d", i))
			}
			line += strings.Count(part, "\n")
		}
		text.WriteString("end: 1\n")
		d := Parse("f", []byte(text.String()))
		var got []string
		for _, f := range d.sorted() {
			got = append(got, fmt.Sprint(f.Line))
		}
		if !slices.Equal(got, want) {
			t.Errorf("faults on lines %v, want %v\n%s%v", got, want, text.String(), d.Err())
		}
		if got := d.Root().Map().Keys(); !slices.Equal(got, append(keys, "end")) {
			t.Errorf("keys %q, want %q", got, keys)
		}
	})
}

// A syntax error is found on its own line wherever it stands, also behind text
// that the engine could not read if it ended there.
func TestParse_plantedSyntax(t *testing.T) {
	t.Parallel()
	good := []string{"k%d: v\n", "k%d: [a,\n    b]\n", "k%d:\n    z: 1\n    y:\n      - a\n      - b: 1\n        c: 2\n", "k%d: 'x\n    y'\n", "k%d: |\n    a\n    b\n", "# it's %d\n", "\n# %d\n"}
	bad := []string{"kx: a: b\n", "kx: \"a\\q\"\n", "kx: @a\n", "kx: 'it's'\n", "kx: *a\n", "kx: - a\n", "- kx\n", "kx: a]: b: c\n"}
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		part := func(i int) {
			fmt.Fprintf(&text, rapid.SampledFrom(good).Draw(t, "part"), i)
		}
		text.WriteString("begin: 1\n")
		for i := range rapid.IntRange(0, 10).Draw(t, "before") {
			part(i)
		}
		want := strings.Count(text.String(), "\n") + 1
		text.WriteString(rapid.SampledFrom(bad).Draw(t, "bad"))
		for i := range rapid.IntRange(0, 10).Draw(t, "after") {
			part(100 + i)
		}
		got := Parse("f", []byte(text.String())).sorted()
		if len(got) != 1 || got[0].Line != want {
			t.Errorf("faults %v, want one on line %d\n%s", got, want, text.String())
		}
	})
}

// In a file that is too large to be read again and again the engine's line is
// shown, which is that of the opening or of the line before.
func TestParse_largeSyntax(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	lines := 0
	for ; text.Len() <= bisectBytes; lines++ {
		fmt.Fprintf(&text, "k%d: v\n", lines)
	}
	for _, bad := range []string{"a: b: c\n", "a: 'b\n", "a: @b\n"} {
		got := Parse("f", []byte(text.String()+bad+"z: 1\n")).sorted()
		if len(got) != 1 || got[0].Line < lines || got[0].Line > lines+1 {
			t.Errorf("%q: faults %v, want one near line %d", bad, got, lines+1)
		}
	}
}

// regression (ours): distances counted by hand.
func TestDistance(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"liver", "liver", 0}, {"liver", "livr", 1}, {"liver", "livver", 1},
		{"liver", "lifer", 1}, {"liver", "lievr", 1}, {"liver", "ilver", 1}, {"liver", "revil", 4}, {"ab", "ba", 1}, {"abcd", "badc", 2}, {"ca", "abc", 3}, {"é", "e", 1},
	} {
		if got, ok := Distance(tt.a, tt.b, 9); got != tt.want || !ok {
			t.Errorf("Distance(%q, %q) = %d, %v, want %d", tt.a, tt.b, got, ok, tt.want)
		}
		if tt.want == 0 {
			continue
		}
		if got, ok := Distance(tt.a, tt.b, tt.want-1); ok {
			t.Errorf("Distance(%q, %q) = %d is within %d", tt.a, tt.b, got, tt.want-1)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SliceOfN(rapid.RuneFrom([]rune("abcé")), 0, 8)
		if rapid.IntRange(0, 20).Draw(t, "long") == 0 {
			word = rapid.SliceOfN(rapid.RuneFrom([]rune("ab")), 60, 70)
		}
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		whole := max(len(a), len(b))
		d, ok := Distance(string(a), string(b), whole)
		if back, _ := Distance(string(b), string(a), whole); back != d || !ok {
			t.Errorf("%d there, %d back, %v", d, back, ok)
		}
		for most := range whole + 1 {
			if got, ok := Distance(string(a), string(b), most); ok != (d <= most) || ok && got != d {
				t.Errorf("%q and %q within %d: %d, %v; they are %d apart", string(a), string(b), most, got, ok, d)
			}
		}
		if least, most := max(len(a)-len(b), len(b)-len(a)), max(len(a), len(b)); d < least || d > most || (d == 0) != slices.Equal(a, b) {
			t.Errorf("distance %d of lengths %d and %d", d, len(a), len(b))
		}
		if len(a) > 0 {
			i := rapid.IntRange(0, len(a)-1).Draw(t, "i")
			if got, ok := Distance(string(a), string(slices.Delete(slices.Clone(a), i, i+1)), 1); got != 1 || !ok {
				t.Errorf("one letter less is %d", got)
			}
		}
	})
}

func TestNearest(t *testing.T) {
	t.Parallel()
	known := []string{"name", "animals", "portion", "whole-prey", "as-of", "egg"}
	for _, tt := range []struct{ name, want string }{
		{"nmae", "name"}, {"names", "name"}, {"Name", "name"}, {"animal", "animals"}, {"portoin", "portion"}, {"pottoon", "portion"},
		{"whole_prey", "whole-prey"}, {"Whole Prey", "whole-prey"}, {"asof", "as-of"}, {"eg", "egg"}, {"name", "name"},
		{"pattaan", ""}, {"colour", ""}, {"na", ""}, {"x", ""}, {"", ""}, {strings.Repeat("name", 1000), ""},
	} {
		got, ok := Nearest(tt.name, known)
		if got != tt.want || ok != (tt.want != "") {
			t.Errorf("Nearest(%q) = %q, %v, want %q", tt.name, got, ok, tt.want)
		}
	}
	// Ties go to the first in alphabetical order, whatever the order given.
	for _, known := range [][]string{{"cat", "bat", "hat"}, {"hat", "bat", "cat"}, {"bat", "hat", "cat"}} {
		if got, _ := Nearest("rat", known); got != "bat" {
			t.Errorf("Nearest of %q is %q", known, got)
		}
	}
	if got, ok := Nearest("name", nil); ok || got != "" {
		t.Errorf("%q of nothing", got)
	}
	if got, ok := Nearest("name", []string{strings.Repeat("name", 1000)}); ok || got != "" {
		t.Errorf("%q", got)
	}
}

// Names are compared without a piece of memory each.
func TestNearestIsCheap(t *testing.T) {
	known := []string{"name", "animals", "portion", "whole-prey", "as-of", "egg", "pâté"}
	if n := testing.AllocsPerRun(20, func() { Nearest("Whole_Pray", known) }); n > 0 {
		t.Errorf("%v allocations", n)
	}
	if n := testing.AllocsPerRun(20, func() { Distance("whole pray", "whole prey", 3) }); n > 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkNearest(b *testing.B) {
	known := []string{"name", "animals", "portion", "whole-prey", "as-of", "egg"}
	b.ReportAllocs()
	for b.Loop() {
		Nearest("pottion", known)
	}
}

// No text is no document, and not a failure of the engine.
func TestDecode_empty(t *testing.T) {
	t.Parallel()
	if a, b, failure := decode(nil); a != nil || b != nil || failure != "" {
		t.Errorf("%v %v %q", a, b, failure)
	}
}

// Texts of the allowed size that are dear to parse, each about 1 MiB. The
// benchmark shows what the bounds leave to an attacker.
func BenchmarkParse_hostile(b *testing.B) {
	fill := func(s string, n int) []byte { return []byte(strings.Repeat(s, n/len(s))) }
	var names strings.Builder
	for i := 0; names.Len() < MaxBytes-20; i++ {
		fmt.Fprintf(&names, "k%d: v\n", i)
	}
	inputs := map[string][]byte{
		"keys":       []byte(names.String()),
		"open lists": fill("[", MaxBytes),
		"questions":  fill("?\n", MaxBytes),
		"remarks":    fill("# x\na: b\n\n", MaxBytes),
		"dashes":     fill("-\n", MaxBytes),
		"items":      append(fill("[1,2", 4), append(fill(",1", MaxBytes-8), ']')...),
		"syntax":     append(fill("a: b # c\n", bisectBytes-16), "\n\""...),
	}
	for _, name := range slices.Sorted(maps.Keys(inputs)) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				d := Parse("f", inputs[name])
				if d.Root().Kind() == Mapping {
					d.Root().Map().Done()
				}
				if d.Err() == nil && name != "items" {
					b.Fatal("no fault")
				}
			}
		})
	}
}

// A file such as a household keeps: 2 KiB.
func BenchmarkParse_household(b *testing.B) {
	text := []byte(strings.Repeat("animals:\n  - name: Pip\n    weight: 1.1 kg\n    born: 2024-05-01\n", 1) + strings.Repeat("  - name: Tansy\n    weight: \"800 g\"\n    note: \"likes chicken hearts\"\n", 28))
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if err := Parse("f", text).Err(); err != nil {
			b.Fatal(err)
		}
	}
}
