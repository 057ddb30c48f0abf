// Package slips changes single letters of the words in files and flags, as a
// keeper's pen does, and asks of a program that none of it makes things look better:
// the gravest finding never becomes lighter, the exit code never better. Its user is
// the tests of the programs.
package slips

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fitchet.example/ration/log"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units/strict"
)

// Sample is one run of a program that a change is made to.
type Sample struct {
	Args  []string          // a name of Files stands for the path of that file
	Flags []string          // the flags of Args whose values are words
	Files map[string]string // by name
}

// Run is a program's run function.
type Run func(args []string, stdin io.Reader, stdout, stderr io.Writer) int

// number reads a setting: FITCHET_SLIPS is how many changes each program is asked
// about (30), FITCHET_SLIPS_SEED chooses others (1).
func number(t testing.TB, name string, without int) int {
	s := os.Getenv(name)
	if s == "" {
		return without
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 {
		t.Fatalf("%s is %q, want a number", name, s)
	}
	return n
}

// Check makes changes to the samples and runs the program on each. Gravest is the
// rank of the gravest finding in what the program wrote.
func Check(t *testing.T, samples []Sample, run Run, gravest func(stdout []byte) int) {
	t.Helper()
	seed := number(t, "FITCHET_SLIPS_SEED", 1)
	r := rand.New(rand.NewPCG(uint64(seed), 0))
	// Words of one kind (a key of a file, a flag) are as likely as those of another,
	// however often they stand there.
	kinds := map[string][]spot{}
	words := 0
	for i := range samples {
		found := spots(t, &samples[i])
		if len(found) == 0 {
			t.Errorf("sample %d holds no word to change", i)
		}
		for _, s := range found {
			kinds[s.kind] = append(kinds[s.kind], s)
			words++
		}
	}
	names := slices.Sorted(maps.Keys(kinds))
	lists := closed(t)
	dir := t.TempDir()
	changes, refused := number(t, "FITCHET_SLIPS", 30), 0
	type outcome struct{ code, gravest int }
	before := map[*Sample]outcome{}
	for made := 0; made < changes; {
		of := kinds[names[r.IntN(len(names))]]
		at := of[r.IntN(len(of))]
		word := slip(r, at.word)
		if word == at.word || lists.hold(word) {
			continue
		}
		made++
		code, out, said := at.try(t, dir, word, run)
		if code == cli.Unusable {
			refused++
			continue
		}
		was, ok := before[at.sample]
		if !ok {
			code, out, _ := at.try(t, dir, at.word, run)
			was = outcome{code, gravest(out)}
			before[at.sample] = was
		}
		if code < was.code || gravest(out) < was.gravest {
			t.Errorf("%s: %q for %q: exit %d for %d, gravest %d for %d\n%s", at.where, word, at.word, code, was.code, gravest(out), was.gravest, said)
		}
	}
	t.Logf("%d changes among %d words of %d kinds, seed %d: %d refused", changes, words, len(names), seed, refused)
}

// spot is one word that a change is made to.
type spot struct {
	sample     *Sample
	flag       int    // index of the argument, or -1
	file       string // name of the file, when it is no flag
	line, from int    // of the word in the file: line from 0, byte in it
	word       string
	where      string
	kind       string // file and key, or flag
}

// keys are those of every file whose values are words of closed lists, or lists of
// them: what is open (names, sentences, quantities, lots) is not among them.
func keys() []string {
	return []string{"species", "contains", "hazards", "region", "regions", "conditions", "never", "stage", "sex", "style", "food", "form", "target",
		"kind", "colour", "slot", "group", "state", "supplier", "animal", "for", "sign", "class", "check", "gravity", "period", "of", "tag", "tags", "nutrient",
		"against", "since", "until", "shared", "bone-means", "per", "schema", "classes", "unless", "notice", "verdict", "reason", "hazard", "want", "because",
		"lacks", "bound", "side"}
}

func spots(t *testing.T, s *Sample) (out []spot) {
	for i, a := range s.Args {
		if i > 0 && slices.Contains(s.Flags, s.Args[i-1]) {
			out = append(out, spot{sample: s, flag: i, word: a, where: "flag " + s.Args[i-1], kind: s.Args[i-1]})
		}
	}
	for name, text := range s.Files {
		doc := strict.Parse(name, []byte(text))
		lines := strings.Split(text, "\n")
		var walk func(n strict.Node, key string)
		walk = func(n strict.Node, key string) {
			switch n.Kind() {
			case strict.Mapping:
				m := n.Map()
				for _, k := range m.Keys() {
					walk(m.Get(k), k)
				}
			case strict.List:
				for _, item := range n.List() {
					walk(item, key)
				}
			case strict.Scalar:
				open := key == "group" && strings.HasPrefix(name, "household") // who eats together
				if !slices.Contains(keys(), key) || open || n.Line() < 1 {
					return
				}
				line := n.Line() - 1
				from := byteOf(lines[line], n.Col())
				if at := strings.Index(lines[line][from:], n.Text()); at == 0 || at == 1 {
					out = append(out, spot{sample: s, flag: -1, file: name, line: line, from: from + at, word: n.Text(),
						where: fmt.Sprintf("%s:%d: %s", name, n.Line(), key), kind: name + " " + key})
				}
			}
		}
		walk(doc.Root(), "")
		if err := doc.Err(); err != nil {
			t.Fatal(err)
		}
	}
	slices.SortFunc(out, func(a, b spot) int { return strings.Compare(a.where+a.word, b.where+b.word) })
	return out
}

// byteOf is the byte of a column that counts letters from 1.
func byteOf(line string, col int) int {
	for i := range line {
		if col--; col == 0 {
			return i
		}
	}
	return len(line)
}

// slip puts a letter in, takes one out, changes one or swaps two.
func slip(r *rand.Rand, word string) string {
	w := []rune(word)
	if len(w) == 0 {
		return word
	}
	letter := rune('a' + r.IntN(26))
	i := r.IntN(len(w))
	switch r.IntN(5) {
	case 0:
		return string(slices.Insert(w, i, letter))
	case 1:
		if len(w) > 1 {
			return string(slices.Delete(w, i, i+1))
		}
	case 2:
		if i+1 < len(w) {
			w[i], w[i+1] = w[i+1], w[i]
			return string(w)
		}
	}
	w[i] = letter
	return string(w)
}

// try runs the program with another word at the spot.
func (s *spot) try(t *testing.T, dir, word string, run Run) (code int, stdout []byte, stderr string) {
	paths := map[string]string{}
	for name, text := range s.sample.Files {
		if name == s.file {
			lines := strings.Split(text, "\n")
			l := lines[s.line]
			lines[s.line] = l[:s.from] + word + l[s.from+len(s.word):]
			text = strings.Join(lines, "\n")
		}
		paths[name] = filepath.Join(dir, filepath.Base(name))
		if err := os.WriteFile(paths[name], []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	args := slices.Clone(s.sample.Args)
	for i, a := range args {
		if p, ok := paths[a]; ok {
			args[i] = p
		}
		if i == s.flag {
			args[i] = word
		}
	}
	var out, err bytes.Buffer
	code = run(args, strings.NewReader(""), &out, &err)
	return code, out.Bytes(), err.String()
}

// lists are the words that are known somewhere: a change that hits one of them is
// no misspelling.
type lists struct {
	words *prey.Words
	foods *prey.Catalogue
	more  []string
}

func closed(t *testing.T) lists {
	t.Helper()
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	l := lists{words: foods.Words(), foods: foods}
	l.more = append(l.more, ration.Conditions()...)
	l.more = append(l.more, log.Signs()...)
	for _, f := range safety.Forms() {
		l.more = append(l.more, f.String())
	}
	for _, n := range prey.Nutrients() {
		l.more = append(l.more, n.Key())
	}
	return l
}

func (l lists) hold(word string) bool {
	_, animal := l.words.Animal(word)
	_, tag := l.words.Tag(word)
	_, food := l.foods.Find(word)
	return animal == nil || tag == nil || food == nil || slices.Contains(l.more, strings.ToLower(word))
}

// Gravest is the rank of the gravest thing that JSON or JSON Lines say: 3 stop or vet
// now, 2 mend or a vet, 1 watch. A finding with a verdict counts when that is missed
// or open.
func Gravest(stdout []byte) (worst int) {
	for d := json.NewDecoder(bytes.NewReader(stdout)); ; {
		var v any
		if d.Decode(&v) != nil {
			return worst
		}
		worst = max(worst, rank(v))
	}
}

func rank(v any) (worst int) {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			worst = max(worst, rank(item))
		}
	case map[string]any:
		for _, item := range v {
			worst = max(worst, rank(item))
		}
		verdict, judged := v["verdict"]
		if judged && verdict != "missed" && verdict != "open" {
			return worst
		}
		for _, key := range []string{"gravity", "level"} {
			switch v[key] {
			case "stop", "vet now":
				worst = max(worst, 3)
			case "mend", "vet":
				worst = max(worst, 2)
			case "watch":
				worst = max(worst, 1)
			}
		}
	}
	return worst
}
