package strict_test

import (
	"errors"
	"strings"
	"testing"

	"fitchet.example/units/strict"
)

// pip is a small file, with the weight in words or as a number.
func pip(weight any, more ...strict.Field) strict.Fields {
	return append(strict.Fields{{Key: "name", Value: "Pip"}, {Key: "weight", Value: weight}, {Key: "likes", Value: []any{"mouse", "egg"}}}, more...)
}

func TestDoc_Rewrite(t *testing.T) {
	t.Parallel()
	const file = "# ours\nname: Pip\n\nweight:   24 oz   # at home\nlikes: [mouse,egg]\n"
	for _, tt := range []struct {
		what, text string
		want       strict.Fields
		out        string
		lost       int
	}{
		{"nothing", file, pip("680 g"), file, 0},
		{"a value", file, pip("700 g"), strings.Replace(file, "24 oz", "700 g", 1), 0},
		{"a value that is no plain text", file, pip("a: b"), strings.Replace(file, "24 oz", `"a: b"`, 1), 0},
		{"a word that some read as true", file, pip("yes"), strings.Replace(file, "24 oz", `"yes"`, 1), 0},
		{"a number", file, pip(int64(7)), strings.Replace(file, "24 oz", "7", 1), 0},
		{"a truth", file, pip(true), strings.Replace(file, "24 oz", "true", 1), 0},
		{"a date", file, pip("2026-11-25"), strings.Replace(file, "24 oz", "2026-11-25", 1), 0},
		{"a quoted value", strings.Replace(file, "24 oz", `'24 oz'`, 1), pip("it's"), strings.Replace(file, "24 oz", `"it's"`, 1), 0},
		{"a key more", file, pip("680 g", strict.Field{Key: "sex", Value: "jill"}), "# ours\nname: Pip\n\nweight: 24 oz # at home\nlikes: [mouse, egg]\nsex: jill\n", 1},
		{"a key less", file, pip("680 g")[:2], "# ours\nname: Pip\n\nweight: 24 oz # at home\n", 1},
		{"a key with its comment", file, append(pip("")[:1:1], pip("")[2]), "# ours\nname: Pip\nlikes: [mouse, egg]\n", 2},
		{"JSON", `{"name":"Pip","weight":"24 oz","likes":["mouse","egg"]}`, pip("7 \"g\""), `{"name":"Pip","weight":"7 \"g\"","likes":["mouse","egg"]}`, 0},
		{"a byte order mark", "\ufeff" + file, pip("700 g"), "\ufeff" + strings.Replace(file, "24 oz", "700 g", 1), 0},
		{"lines of another system", strings.ReplaceAll(file, "\n", "\r\n"), pip("700 g"), strings.ReplaceAll(strings.Replace(file, "24 oz", "700 g", 1), "\n", "\r\n"), 0},
	} {
		doc := strict.Parse("f", []byte(tt.text))
		text, lost, err := doc.Rewrite(pip("680 g"), tt.want, nil)
		if err != nil || string(text) != tt.out || len(lost) != tt.lost {
			t.Errorf("%s: %q, lost %q, %v; want %q", tt.what, text, lost, err, tt.out)
		}
	}
	for what, doc := range map[string]*strict.Doc{"none": nil, "zero": {}, "a faulty one": strict.Parse("f", []byte("a: ~"))} {
		if text, _, err := doc.Rewrite(nil, pip("1"), nil); !errors.Is(err, strict.ErrRewrite) {
			t.Errorf("%s: %q, %v", what, text, err)
		}
	}
}

// What is written is read as what was meant, in both languages.
func TestFields(t *testing.T) {
	t.Parallel()
	for _, word := range []string{"plain", "a: b", "yes", "null", "~", "1e3", "014", "- x", "# x", "", " x", "x ", "é", "it's", `"`, "a\nb", "2026-11-25", "{x}", "&x", "@", "100 %", "-5 °C", "x #y"} {
		f := strict.Fields{{Key: "word", Value: word}, {Key: "list", Value: []any{word, word}}, {Key: "in", Value: strict.Fields{{Key: "n", Value: int64(-3)}, {Key: "ok", Value: true}}}}
		y, err := f.YAML()
		if err != nil {
			t.Fatal(err)
		}
		j, err := f.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range [][]byte{y, j} {
			doc := strict.Parse("f", text)
			m := doc.Root().Map()
			got := m.Text("word")
			for _, n := range m.Get("list").List() {
				got += "|" + n.Text()
			}
			in := m.Get("in").Map()
			if got != word+"|"+word+"|"+word || in.Int("n", -9, 9) != -3 || !in.Bool("ok", false) || doc.Err() != nil {
				t.Errorf("%q: %q, %v\n%s", word, got, doc.Err(), text)
			}
		}
	}
}
