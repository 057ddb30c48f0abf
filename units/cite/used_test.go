package cite_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fitchet.example/units/cite"
)

// A source that nothing rests on is taken out: the list says what this library
// is built on, not what was once collected. A key counts as used where it stands
// in the data, the code, a test or a published table.
func TestEverySourceIsUsed(t *testing.T) {
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	word := func(r rune) bool { return r == '-' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' }
	err = filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if strings.HasPrefix(d.Name(), ".git") || d.Name() == "node_modules" {
				return filepath.SkipDir
			}
			return nil
		}
		if !slices.Contains([]string{".csv", ".yaml", ".go", ".json"}, filepath.Ext(path)) || d.Name() == "sources.csv" || d.Name() == "used_test.go" {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for w := range strings.FieldsFuncSeq(string(text), func(r rune) bool { return !word(r) }) {
			used[w] = true
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range reg.Keys() {
		if !used[key] {
			t.Errorf("nothing rests on %s", key)
		}
	}
}
