package prey

import (
	"errors"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/units/cite"
)

func shippedWords(t testing.TB) *Words {
	t.Helper()
	w, err := ShippedWords()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// What an animal is called and what it belongs to is our own table; what hangs
// on it (bird flu, raw pork, thiaminase) is checked against sources in package safety.
func TestWords_Animal(t *testing.T) {
	t.Parallel()
	w := shippedWords(t)
	for _, tc := range []struct{ ask, name, groups string }{
		{"chicken", "chicken", "poultry"},
		{"Hens", "chicken", "poultry"},
		{"day-old chicks", "chicken", "poultry"},
		{"Wild boar", "wild boar", "boar pig large-bone"},
		{"mice", "mouse", "rodent"},
		{"Atlantic cod", "cod", "fish thiaminase-free"},
		{"venison", "deer", "deer ruminant large-bone"},
		{"poultry", "poultry", "poultry"},
		{"ruminant", "ruminant", "ruminant large-bone"}, // what cattle, sheep and deer share
		{"mustelid", "mustelid", "carnivore mustelid"},
		{"thiaminase", "thiaminase", "fish thiaminase"},
	} {
		a, err := w.Animal(tc.ask)
		if got := strings.Join(a.Groups, " "); err != nil || a.Name != tc.name || got != tc.groups {
			t.Errorf("%q: %q of %q, %v; want %q of %q", tc.ask, a.Name, got, err, tc.name, tc.groups)
		}
	}
	for ask, says := range map[string]string{
		"prok": `did you mean "pork"`, "muose": `did you mean "moose"`, "chiken": `did you mean "chicken"`,
		"rabit": `did you mean "rabbit"`, "poltry": `did you mean "poultry"`, "": "not a known animal", "jackalope": "not a known animal",
	} {
		if a, err := w.Animal(ask); !errors.Is(err, ErrSpecies) || !strings.Contains(err.Error(), says) || a.Name != "" {
			t.Errorf("%q: %q, %v; want %q", ask, a.Name, err, says)
		}
	}
	if _, err := w.Tag("xilitol"); !errors.Is(err, ErrTag) || !strings.Contains(err.Error(), `did you mean "xylitol"`) {
		t.Errorf("xilitol: %v", err)
	}
	if _, err := w.Group("beef"); !errors.Is(err, ErrSpecies) {
		t.Errorf("beef is an animal, no group: %v", err)
	}
}

// Broken lists are refused at the place.
func TestWords_broken(t *testing.T) {
	t.Parallel()
	files := func() fstest.MapFS {
		out := fstest.MapFS{}
		for _, name := range []string{"species.csv", "tags.csv"} {
			text, err := fs.ReadFile(wordFiles, "words/"+name)
			if err != nil {
				t.Fatal(err)
			}
			out[name] = &fstest.MapFile{Data: text}
		}
		return out
	}
	for _, tc := range []struct{ file, old, new, says string }{
		{"species.csv", "hare,,", "rabbit,,", "rabbit is already a name of rabbit"},
		{"species.csv", "hare,,lagomorph,", "hare,,,", "hare is of no group"},
		{"species.csv", "hare,,", "Hare,,", "want lower-case words"},
		{"species.csv", "hare,,lagomorph,choice:", "hare,,lagomorph,so they say:", "evidence"},
		{"tags.csv", "smoked,", "cured,", "tag cured is there twice"},
		{"tags.csv", "smoked,smoked meat or fish", "smoked,", "meaning is missing"},
	} {
		fsys := files()
		text := string(fsys[tc.file].Data)
		if !strings.Contains(text, tc.old) {
			t.Fatalf("%q is not in %s", tc.old, tc.file)
		}
		fsys[tc.file].Data = []byte(strings.Replace(text, tc.old, tc.new, 1))
		if _, err := readWords(fsys); err == nil || !strings.Contains(err.Error(), tc.says) || !strings.Contains(err.Error(), tc.file+":") {
			t.Errorf("%s: %v, want %q", tc.new, err, tc.says)
		}
	}
	if _, err := readWords(fstest.MapFS{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no files: %v", err)
	}
}

// The evidence of every row names sources of the registry.
func TestWords_sources(t *testing.T) {
	t.Parallel()
	l := loader{reg: sources(t), refs: map[string]cite.Ref{}}
	files, err := fs.Sub(wordFiles, "words")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	if err := l.file(files, "species.csv", func(t table) { t.ref("ref"); n++ }); err != nil || len(l.faults) > 0 || n < 80 {
		t.Errorf("%d rows: %v, %v", n, err, l.faults)
	}
}

const ownAnimals = `species:
  - {name: muntjac, group: deer}
  - {name: Reeves pheasant, group: poultry}
foods:
  - {id: muntjac-dice, name: Muntjac dice, kind: cut, species: muntjac, colour: red, slot: muscle, ref: "choice: own"}
  - {id: stalkers-mix, name: Stalker's mix, kind: mix, contains: [Muntjac, reeves-pheasants, rabbits], colour: red, complete: false, slot: muscle, ref: "choice: own"}
`

func TestLoadFoods_ownAnimals(t *testing.T) {
	t.Parallel()
	foods, err := load(t, ownAnimals)
	if err != nil {
		t.Fatal(err)
	}
	c, err := tinyCatalogue(t).With(foods)
	if err != nil {
		t.Fatal(err)
	}
	dice, mix := find(t, c, "muntjac-dice"), find(t, c, "stalkers-mix")
	for _, tc := range []struct {
		food *Food
		is   string
		want bool
	}{
		{dice, "muntjac", true}, {dice, "deer", true}, {dice, "ruminants", true}, {dice, "rabbit", false}, {dice, "poultry", false}, {dice, "", false},
		{mix, "MUNTJAC", true}, {mix, "rabbit", true}, {mix, "lagomorph", true}, {mix, "poultry", true}, {mix, "pig", false},
	} {
		if tc.food.HasSpecies(tc.is) != tc.want {
			t.Errorf("%s is %s: want %v", tc.food.ID, tc.is, tc.want)
		}
	}
	if got := mix.Animals(); !slices.Equal(got, []string{"muntjac", "Reeves pheasant", "rabbit"}) {
		t.Errorf("animals of the mix: %v", got)
	}
	for ask, want := range map[string]string{"Muntjac": "muntjac", "reeves pheasant": "reeve pheasant", "hens": "hen", "Poultry": "poultry"} {
		if got, err := c.Animal(ask); err != nil || got != want {
			t.Errorf("%q: %q, %v; want %q", ask, got, err, want)
		}
	}
	if _, err := c.Animal("muntjack"); !errors.Is(err, ErrSpecies) || !strings.Contains(err.Error(), `"muntjac"`) {
		t.Errorf("muntjack: %v", err)
	}
	for _, tc := range []struct{ old, new, says string }{
		{"name: muntjac,", "name: muntjak,", `own.yaml:5:64: "muntjac": not a known animal`},
		{"name: muntjac,", "name: muntjak,", `own.yaml:2:5: no food of this file is of "muntjak"`},
		{"group: deer", "group: der", `own.yaml:2:28: "der": not a known animal; did you mean "deer"`},
		{"group: deer", "group: none", "name what it is most like"},
		{"group: deer", "group: mixed", "name what it is most like"},
		{", group: deer", "", "group"},
		{"name: muntjac,", "name: Hen,", `own.yaml:2:5: "Hen" is in the list of animals`},
		{"Reeves pheasant", "Muntjac", `own.yaml:3:5: "Muntjac" is declared twice`},
		{"species: muntjac,", "species: muntjack,", "declare it once under species"},
		{"rabbits]", "rabits]", `did you mean "rabbit"`},
		{"slot: muscle, ref", "slot: muscle, hazards: [wild-cauht], ref", `did you mean "wild-caught"`},
	} {
		if _, err := load(t, strings.Replace(ownAnimals, tc.old, tc.new, 1)); err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s: %v\nwant %q", tc.new, err, tc.says)
		}
	}
}

// A food that never was in a file is held to the same lists.
func TestCatalogue_With_words(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	food := func(change func(*Food)) []Food {
		f := Food{ID: "own", Name: "Own", Kind: Cut, Colour: Red, Species: "rabbit"}
		change(&f)
		return []Food{f}
	}
	for _, tc := range []struct {
		name   string
		change func(*Food)
		want   error
	}{
		{"a listed one", func(f *Food) {}, nil},
		{"its own, declared", func(f *Food) { f.Species, f.Like = "muntjac", map[string]string{"muntjac": "deer"} }, nil},
		{"misspelt", func(f *Food) { f.Species = "rabit" }, ErrSpecies},
		{"misspelt in a mix", func(f *Food) { f.Contains = []string{"prok"} }, ErrSpecies},
		{"like nothing", func(f *Food) { f.Species, f.Like = "muntjac", map[string]string{"muntjac": "dear"} }, ErrSpecies},
		{"a listed one declared anew", func(f *Food) { f.Species, f.Like = "pork", map[string]string{"pork": "rabbit"} }, ErrSpecies},
		{"misspelt tag", func(f *Food) { f.Hazards = []string{"xilitol"} }, ErrTag},
	} {
		if _, err := c.With(food(tc.change)); !errors.Is(err, tc.want) {
			t.Errorf("%s: %v, want %v", tc.name, err, tc.want)
		}
	}
}
