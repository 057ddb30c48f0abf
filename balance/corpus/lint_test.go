package corpus_test

import (
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/balance/corpus"
	"fitchet.example/testdata"
)

// copyOf is the shipped corpus in memory, for a test to spoil.
func copyOf(t testing.TB) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	src := testdata.Corpus()
	err := fs.WalkDir(src, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(src, name)
		out[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Each thing the linter looks for is spoiled once in a copy of the corpus: every
// third of them, and all with FITCHET_FULL.
func TestLint_finds(t *testing.T) {
	t.Parallel()
	const calcium = "cases/calcium-least.yaml"
	for i, tc := range []struct {
		name, file, old, new string
		want                 string
	}{
		{"unknown key", calcium, "    why: ", "    because-of: ", `unknown key "because-of"`},
		{"keys out of order", calcium, "    bound: low\n    side: at\n", "    side: at\n    bound: low\n", "key bound stands after side"},
		{"citation without locator", calcium, `ref: "derived aafco-2014: p. 14, 0.6 % of DM = 6 g/kg; 6/4 = 1.5 g per 1000 kcal [cat]"`, "ref: published aafco-2014", "locator"},
		{"unknown source", calcium, "derived aafco-2014: p. 14", "derived nobody-1999: p. 14", "not in the registry"},
		{"memory", calcium, "derived aafco-2014: p. 14, 0.6 %", "memory: 0.6 %", "memory"},
		{"no evidence", calcium, `    ref: "derived aafco-2014: p. 14, 0.6 % of DM = 6 g/kg; 6/4 = 1.5 g per 1000 kcal [cat]"` + "\n", "", `missing key "ref"`},
		{"no consequence", calcium, "    failing: ", "    #", `missing key "failing"`},
		{"look-alike id", calcium, "  - id: ", "  - id: o", "signs of"},
		{"title with a should", calcium, "title: Calcium exactly", "title: Calcium should be exactly", `not "should"`},
		{"count", "manifest.yaml", "{file: cases/calcium-least.yaml, count: ", "{file: cases/calcium-least.yaml, count: 1", "the manifest says"},
		{"orphan file", "cases/orphan.yaml", "", "schema: fitchet.cases/1\n", "does not list this file"},
		{"foreign file", "cases/notes.txt", "", "notes\n", "not a file of the corpus"},
		{"trailing blanks", calcium, "side: at\n", "side: at \n", "blanks at the end"},
		{"no line feed", calcium, "", "", "one line feed"},
		{"amount not canonical", calcium, "mass: 15 g}", "mass: 15.0 g}", `is written "15 g" here`},
		{"unused source", "manifest.yaml", "sources:\n", "sources:\n  - aap-toxo\n", "nothing rests on it"},
		{"unlisted source", "manifest.yaml", "  - aafco-2014\n", "", "is used and not listed"},
		{"a hazard nobody knows", "cases/food-watch.yaml", "hazard: dairy,", "hazard: diary,", `hazard "diary": want`},
		{"a region of no list", "cases/food-stop.yaml", "region: North Brackenford\n", "region: North Brackenfrod\n", `did you mean "North Brackenford"`},
		{"food of an animal nobody knows", "foods.yaml", "species: rabbit\n", "species: rabit\n", `did you mean "rabbit"`},
		{"food with a tag nobody knows", "foods.yaml", "hazards: [raw-egg-white]", "hazards: [raw-egg-wite]", `did you mean "raw-egg-white"`},
		{"unused food", "cases/food-watch.yaml", "food: cod-raw,", "food: muscle,", "food cod-raw is in no case"},
		{"no case outside", calcium, "    side: outside\n", "    side: inside\n", "has no case just outside it"},
		{"a slack bound", "cases/zinc-least.yaml", "food: plain, mass: 0.000000000001 g", "food: plain, mass: 1 g", "can be moved by -1 step unseen"},
		{"tolerance without reason", "cases/worked.yaml", `, because: The table prints two figures of each; their quotient is given here to two decimals.`, "", "because"},
		{"open without reason", calcium, "{verdict: open, reason: little-known}", "{verdict: open}", "say the reason"},
		{"id retired", "manifest.yaml", "sources:\n", "retired-ids: [zcmxjm3m]\nsources:\n", "key sources stands after retired-ids"},
		{"replaces nothing", "rules/retired.yaml", "    since: \"1995\"\n", "    since: \"1995\"\n    replaces: nobody\n", "replaces nobody, and there is no such rule"},
		{"replaced and gone", "rules/retired.yaml", "id: iodine-least-1995", "id: iodine-least-1994", "rule iodine-least replaces iodine-least-1995, and there is no such rule"},
		{"replaced in force", "rules/laid-over.yaml", "    since: \"2026-11\"\n", "    since: \"2026-11\"\n    replaces: fish-most\n", "which is still in force"},
		{"rules in a ring", "rules/retired.yaml", "    since: \"1995\"\n", "    since: \"1995\"\n    replaces: vitamin-a-most\n", "replaces itself, by way of"},
		{"bad food parts", "foods.yaml", "parts: {muscle: 60 %, bone: 40 %}", "parts: {muscle: 60 %, bone: 30 %}", "the parts make 90 %"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if i%3 != 0 && os.Getenv("FITCHET_FULL") == "" {
				t.Skip("with FITCHET_FULL alone")
			}
			fsys := copyOf(t)
			text := ""
			if f := fsys[tc.file]; f != nil {
				text = string(f.Data)
				if !strings.Contains(text, tc.old) {
					t.Fatalf("%s does not hold %q", tc.file, tc.old)
				}
			}
			if text = strings.Replace(text, tc.old, tc.new, 1); tc.name == "no line feed" {
				text = strings.TrimSuffix(text, "\n")
			}
			fsys[tc.file] = &fstest.MapFile{Data: []byte(text)}
			if tc.name == "orphan file" || tc.name == "foreign file" {
				fsys[tc.file] = &fstest.MapFile{Data: []byte(tc.new)}
			}
			err := corpus.Lint(fsys)
			if err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("found %v\nwant it to say %q", err, tc.want)
			}
		})
	}
}

// Two cases of one id or title, and a case that looks at nothing.
func TestLint_cases(t *testing.T) {
	t.Parallel()
	c := load(t)
	first, second := c.Cases[0], c.Cases[1]
	for _, tc := range []struct{ name, old, new, want string }{
		{"id twice", "id: " + second.ID, "id: " + first.ID, "is taken"},
		{"title twice", "title: " + second.Title, "title: " + first.Title, "the title is that of"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			fsys := copyOf(t)
			at := first.At.Path
			text := string(fsys[at].Data)
			if !strings.Contains(text, tc.old) {
				t.Fatalf("%s does not hold %q", at, tc.old)
			}
			fsys[at] = &fstest.MapFile{Data: []byte(strings.Replace(text, tc.old, tc.new, 1))}
			if err := corpus.Lint(fsys); err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("found %v, want %q", err, tc.want)
			}
		})
	}
}

func TestParseID(t *testing.T) {
	t.Parallel()
	for s, ok := range map[string]bool{
		"k7qdm3vh": true, "zcmxjm3m": true,
		"":          false,
		"7kqdm3vh":  false, // a digit first could be read as a number
		"kkqdmmvh":  false, // no digit
		"k7qdm3v":   false,
		"k7qdm3vhh": false,
		"k7qdm3v0":  false, // looks like o
		"k7qdm3va":  false, // a vowel
		"K7QDM3VH":  false,
	} {
		if _, err := corpus.ParseID(s); (err == nil) != ok {
			t.Errorf("%q: %v", s, err)
		}
	}
}
