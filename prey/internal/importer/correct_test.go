package importer

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

// The words of the refuse field decide, not its total. Texts as USDA SR28 and
// SR25 print them, its misspellings too.
func TestBoneShare(t *testing.T) {
	for _, c := range []struct {
		total, words string
		want         string // "" is unknown
	}{
		{"38", "Bone and connective tissue 38%", "38"},
		{"31", "Bone", "31"},
		{"52", "32% bone, 12% skin, 8% separable fat", "32"},
		{"71", "44% bone, 10% skin, 17% seprable fat", "44"},
		{"42", "bone and cartilage 33%, skin and separable fat 9%", "33"},
		{"40", "38% bone, 2% handling loss", "38"},
		{"37", "Bone 30%, Connective tissue 7%", "30"},
		{"50", "Bone 30%, skin 12%, separable fat 8%", "30"},
		{"25", "Bone, 14%, Connective tissue 11%", ""}, // "Bone, 14%" splits: no single reading
		{"41", "Bone and connective tissue 29%, Skin and separable fat 11%", "29"},
		{"48", "Bone and connective tissue 38%", "38"}, // the total repeats another row
		{"32", "Bone and Conncetive tissue 32%", "32"},
		{"66", "Bone and cartilage 33%, Bone and coonective tissue 33%", ""}, // counted twice
		{"25", "Skin and separable fat 25%", ""},                             // lost
		{"0", "", ""},                                                        // not sampled with bone
		{"18", "Bone and skin", ""},
		{"29", "Bone and hard tissue", ""},
		{"29", "Fat, veins and connective tissue", ""}, // heart of cattle
		{"13", "Tail and shell", ""},
		{"12", "Shell", ""},
		{"53", "skin, head, viscera, bones", ""},
		{"0", "No component data available", ""},
	} {
		got, ok := boneShare(c.total, c.words)
		if ok != (c.want != "") || ok && got.String() != c.want {
			t.Errorf("%s %q: bone %v (%v), want %q", c.total, c.words, got, ok, c.want)
		}
	}
}

// A correction names what it replaces. When the table no longer prints that,
// when the row is gone or the reason is missing, the chain stops.
func TestCorrectionsArePinned(t *testing.T) {
	for _, c := range []struct{ name, file, old, new, says string }{
		{"another refuse total", "pub/usda-refuse.csv", "raw\",66,\"Bone and cart", "raw\",60,\"Bone and cart", "prints 60, not 66"},
		{"another cell", "own/corrections.csv", "usda-sr28,23425,manganese_mg,299.000", "usda-sr28,23425,manganese_mg,0.299", `prints "299.000"`},
		{"no such row", "own/corrections.csv", "usda-sr28,23425,", "usda-sr28,99999,", "no such row"},
		{"no reason", "own/corrections.csv", "double count in release 26", "", "no reason"},
		{"no place", "own/corrections.csv", "usda-sr25: NDB 05091 of release 25\nusda-refuse,05096/28", "\nusda-refuse,05096/28", "where it was read"},
		{"nothing to correct", "own/corrections.csv", "usda-sr28,*,selenium_ug,0", "usda-sr28,*,selenium_ug,12345", "nothing to correct"},
		{"row that must not be used", "own/select.csv", "usda-sr28/15039", "usda-sr28/15043", "must not be used"},
		{"no such published row", "own/select.csv", "usda-sr28/15039", "usda-sr28/15000", "no row"},
		{"bone of lumped refuse", "own/shares.csv", "pork-spareribs,bone,,refuse/10088/28", "pork-spareribs,bone,,refuse/10102/28", "points at nothing"},
		{"range out of order", "own/shares.csv", "chicken-wing,bone,yield/china-chicken-wing,refuse/05100/28,refuse/05100/25", "chicken-wing,bone,refuse/05100/25,refuse/05100/28,yield/china-chicken-wing", "out of order"},
		{"a name twice", "own/select.csv", "chicken-drumette,chicken drumette,drumette;", "chicken-drumette,chicken drumette,wing;", "belongs to chicken-wing"},
		{"a row twice", "pub/yields.csv", "mext-drumette,", "mext-wing,", "stands twice"},
		{"share of a food that is not there", "own/shares.csv", "chicken-back,", "chicken-bak,", "no food chicken-bak"},
	} {
		t.Run(c.name, func(t *testing.T) {
			pub, own := readDir(t, publishedDir), readDir(t, ".")
			dir, name, _ := strings.Cut(c.file, "/")
			files := map[string]fstest.MapFS{"pub": pub, "own": own}[dir]
			text := string(files[name].Data)
			if !strings.Contains(text, c.old) {
				t.Fatalf("%s does not hold %q", c.file, c.old)
			}
			files[name] = &fstest.MapFile{Data: []byte(strings.Replace(text, c.old, c.new, 1))}
			_, err := Run(pub, own)
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want a fault that says %q", err, c.says)
			}
		})
	}
}

// Single cells of the input are changed one at a time and the chain is run. It
// must stop, or make another catalogue. In the published tables only rows and
// columns that nothing selects may change without effect.
func TestMutantsOfTheInput(t *testing.T) {
	few := 7 // the chain is run for about that many cells of each file
	if os.Getenv("FITCHET_FULL") != "" {
		few = 20
	}
	clean, err := Run(os.DirFS(publishedDir), os.DirFS("."))
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range []struct {
		dir  string
		mine bool
	}{{publishedDir, false}, {".", true}} {
		stopped, differs, same := 0, 0, 0
		files := readDir(t, in.dir)
		for name, file := range files {
			tab := mustTable(t, fstest.MapFS{name: file}, strings.TrimSuffix(name, ".csv"))
			lines := strings.Split(strings.TrimSuffix(string(file.Data), "\n"), "\n")
			width := len(tab.cols)
			step := max(1, len(tab.rows)*width/few)
			for k := step; k < len(tab.rows)*width; k += step {
				r, at := tab.rows[k/width], k%width
				if at == 0 || r.cells[at] == "" {
					continue
				}
				col := columnAt(tab, at)
				damaged := append([]string(nil), r.cells[1:]...)
				damaged[at-1] = mutate(col, damaged[at-1])
				out := append([]string(nil), lines...)
				out[k/width+1] = csvLine(damaged)
				changed := fstest.MapFS{}
				for n, f := range files {
					changed[n] = f
				}
				changed[name] = &fstest.MapFile{Data: []byte(strings.Join(out, "\n") + "\n")}
				var made map[string][]byte
				if in.mine {
					made, err = Run(os.DirFS(publishedDir), changed)
				} else {
					made, err = Run(changed, os.DirFS("."))
				}
				switch {
				case err != nil:
					stopped++
				case !sameFiles(clean, made):
					differs++
				case in.mine && (col == "why" || col == "sources"):
					// words that do not reach the catalogue, or not in every row
				default:
					same++
					t.Logf("without effect: %s %s %s: %s", name, r.cells[1], col, damaged[at-1])
				}
			}
		}
		t.Logf("%s: %d changes stop the chain, %d change the catalogue, %d touch nothing that is used", in.dir, stopped, differs, same)
		if stopped+differs == 0 || in.mine && same > 0 {
			t.Errorf("%s: %d changes of %d without effect", in.dir, same, same+stopped+differs)
		}
	}
}

func sameFiles(a, b map[string][]byte) bool {
	for name, text := range a {
		if string(text) != string(b[name]) {
			return false
		}
	}
	return len(a) == len(b)
}

// The bone of single USDA rows after correction, against what their refuse
// total says. A reader of the totals gets every one of these wrong.
func TestRefuseIsNotBone(t *testing.T) {
	c := &chain{}
	c.load(os.DirFS(publishedDir), os.DirFS("."))
	c.correct()
	if len(c.faults) > 0 {
		t.Fatal(c.faults)
	}
	for _, r := range []struct{ row, total, want, why string }{
		{"05066/28", "66", "33", "drumstick counted twice"},
		{"05066/26", "66", "33", "the same in release 26"},
		{"05091/28", "0", "15", "thigh lost"},
		{"05091/26", "30", "15", "thigh counted twice in release 26"},
		{"05096/28", "25", "15", "thigh, meat only: skin and fat stand alone"},
		{"05183/28", "48", "38", "total repeats the row without skin"},
		{"05181/28", "32", "", "the row without skin says 20"},
		{"05011/28", "52", "32", "skin and fat lumped in"},
		{"05053/28", "71", "44", "skin and fat lumped in"},
		{"05088/28", "75", "36", "skin and fat lumped in"},
		{"05105/28", "68", "46", "skin and fat lumped in"},
		{"05141/28", "66", "28", "skin and fat lumped in"},
		{"05167/28", "41", "29", "skin and fat lumped in"},
		{"05215/28", "62", "50", "skin and fat lumped in"},
		{"05227/28", "60", "44", "skin and fat lumped in"},
		{"05712/28", "55", "37", "skin and fat lumped in"},
		{"05121/28", "32", "27", "fat lumped in"},
		{"05144/28", "40", "38", "handling loss lumped in"},
		{"10192/28", "37", "30", "connective tissue lumped in"},
		{"10102/28", "29", "", "hoof lumped in"},
		{"10174/28", "30", "", "hard tissue lumped in"},
		{"10001/28", "18", "", "skin lumped in"},
	} {
		printed, ok := c.tables["usda-refuse"].find(r.row)
		if !ok || printed.get("total_pct") != r.total {
			t.Errorf("%s: the table should print %s", r.row, r.total)
			continue
		}
		got, known := c.refuseFigure(r.row)
		if known != (r.want != "") || known && got.v.String() != r.want {
			t.Errorf("%s (%s): bone %v (%v), want %q", r.row, r.why, got.v, known, r.want)
		}
	}
}
