package importer

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/prey"
	"fitchet.example/units/cite"
)

const (
	publishedDir = "../../../testdata/published"
	dataDir      = "../../data"
)

// readDir holds a directory of CSV files in memory, so that tests can change
// single cells of it.
func readDir(t *testing.T, dir string) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	names, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil || len(names) == 0 {
		t.Fatalf("%s: no CSV files (%v)", dir, err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(name)] = &fstest.MapFile{Data: text}
	}
	return out
}

// The committed catalogue is what the chain makes of the committed tables, to
// the byte, and a second run makes the same.
func TestChainReproducesTheCatalogue(t *testing.T) {
	published, selection := readDir(t, publishedDir), readDir(t, ".")
	first, err := Run(published, selection)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Run(published, selection)
	if err != nil {
		t.Fatal(err)
	}
	committed := readDir(t, dataDir)
	if got, want := slices.Sorted(maps.Keys(first)), slices.Sorted(maps.Keys(committed)); !slices.Equal(got, want) {
		t.Fatalf("the chain makes %v, committed are %v", got, want)
	}
	for name, text := range first {
		if !bytes.Equal(text, again[name]) {
			t.Errorf("%s: two runs differ", name)
		}
		if !bytes.Equal(text, committed[name].Data) {
			t.Errorf("%s: not what the chain makes: run go run ./prey/internal/importer/run", name)
		}
	}
}

// The loader of package prey takes the catalogue as it is.
func TestLoaderTakesTheCatalogue(t *testing.T) {
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	c, err := prey.Load(os.DirFS(dataDir), reg)
	if err != nil {
		t.Fatal(err)
	}
	foods := c.All()
	pairs := make(map[string]bool)
	animals := make(map[string]bool)
	adults := make(map[string]bool)
	known := 0
	for _, f := range foods {
		if f.Species != "" {
			pairs[f.Species+" × "+f.Cut] = true
			animals[f.Species] = true
			if f.Kind != prey.WholePrey {
				adults[f.Species+" × "+f.Cut] = true
			}
		}
		if _, ok := f.Nutrient(prey.Protein); ok {
			known++
		}
	}
	t.Logf("%d foods of %d species, %d pairs of species and part (%d without whole prey), %d with a composition", len(foods), len(animals), len(pairs), len(adults), known)
	if len(adults) < 120 {
		t.Errorf("%d pairs of species and part, want 120 at the least", len(adults))
	}
}

// Every reference reads, holds what its class needs, and names sources that the
// registry has. No figure rests on memory.
func TestReferences(t *testing.T) {
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	refs := 0
	for _, dir := range []string{dataDir, "."} {
		for name, file := range readDir(t, dir) {
			tab := mustTable(t, fstest.MapFS{name: file}, strings.TrimSuffix(name, ".csv"))
			for _, r := range tab.rows {
				for col := range tab.cols {
					if col != "ref" && !strings.HasSuffix(col, "_ref") || r.get(col) == "" || dir == "." && name == "corrections.csv" {
						continue
					}
					refs++
					ref, err := cite.ParseRef(r.get(col))
					if err == nil {
						err = ref.Check(reg)
					}
					if err != nil {
						t.Errorf("%s: %s: %v", name, r.cells[0], err)
					}
				}
			}
		}
	}
	// every source column of the published tables too
	for name, file := range readDir(t, publishedDir) {
		if bytes.Contains(file.Data, []byte("memory")) {
			t.Errorf("%s speaks of memory", name)
		}
		tab := mustTable(t, fstest.MapFS{name: file}, strings.TrimSuffix(name, ".csv"))
		if _, ok := tab.cols["source"]; !ok {
			continue
		}
		for _, r := range tab.rows {
			refs++
			if _, ok := reg.Source(r.get("source")); !ok {
				t.Errorf("%s: %s: no source %q", name, r.cells[0], r.get("source"))
			}
		}
	}
	t.Logf("%d references", refs)
}

// The tables that forbid being passed on are not in the chain.
func TestNoTableThatMayNotBeShipped(t *testing.T) {
	for _, dir := range []string{publishedDir, ".", dataDir} {
		for name, file := range readDir(t, dir) {
			if bytes.Contains(bytes.ToLower(file.Data), []byte("organsizedb")) {
				t.Errorf("%s/%s rests on a table under CC BY-NC-ND", dir, name)
			}
		}
	}
}

func mustTable(t *testing.T, dir fstest.MapFS, name string) *table {
	t.Helper()
	// any column may be the id here: rows are only walked
	text := string(dir[name+".csv"].Data)
	head, rest, _ := strings.Cut(text, "\n")
	var b strings.Builder
	b.WriteString("line," + head + "\n")
	for i, line := range strings.Split(strings.TrimSuffix(rest, "\n"), "\n") {
		fmt.Fprintf(&b, "%d,%s\n", i, line)
	}
	tab, err := readTable(fstest.MapFS{name + ".csv": {Data: []byte(b.String())}}, name, []string{"line"})
	if err != nil {
		t.Fatal(err)
	}
	return tab
}
