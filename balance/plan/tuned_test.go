package plan

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every number that could be another stands in tuned.go, with its reason. What may
// stand elsewhere is counting to three, the days of a week and the powers of ten by
// which one unit is turned into another.
func TestTunedInOnePlace(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	fset := token.NewFileSet()
	for _, path := range files {
		if path == "tuned.go" || strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if id, ok := n.(*ast.ValueSpec); ok && id.Names[0].Name == "microPlaces" {
				return false // of a price, which units fixes
			}
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.INT && lit.Kind != token.FLOAT {
				return true
			}
			v, err := strconv.ParseFloat(strings.ReplaceAll(lit.Value, "_", ""), 64)
			if err != nil {
				t.Errorf("%s: %v", fset.Position(lit.Pos()), err)
			}
			if lead := v / math.Pow(10, math.Floor(math.Log10(v))); v > 3 && v != 7 && lead != 1 || v != math.Trunc(v) {
				t.Errorf("%s: %s belongs in tuned.go", fset.Position(lit.Pos()), lit.Value)
			}
			return true
		})
	}
}
