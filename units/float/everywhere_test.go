package float_test

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestSameOnEveryMachine reads every Go file of the module that is not a test
// and reports what may give another result on another processor.
func TestSameOnEveryMachine(t *testing.T) {
	if testing.Short() {
		t.Skip("asks the go tool for the whole module")
	}
	fset := token.NewFileSet()
	exports := map[string]string{}
	var ours [][]string
	for _, line := range golist(t, "-deps", "-export", "-f", "{{.ImportPath}}\t{{.Export}}\t{{.Dir}}\t{{if .Module}}{{.Module.Main}}{{end}}\t{{join .GoFiles \" \"}}") {
		f := strings.Split(line, "\t")
		exports[f[0]] = f[1]
		if f[3] == "true" {
			ours = append(ours, []string{f[0], f[2], f[4]})
		}
	}
	if len(ours) < 20 {
		t.Fatalf("%d packages of the module were found", len(ours))
	}
	imports := importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })
	for _, p := range ours {
		var files []*ast.File
		for name := range strings.FieldsSeq(p[2]) {
			f, err := parser.ParseFile(fset, filepath.Join(p[1], name), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, f)
		}
		for _, fault := range machineFaults(t, fset, p[0], files, imports) {
			t.Error(fault)
		}
	}
}

// TestMachineFaults holds the reader of the other test against lines of which it
// is known what the language allows: the Go Programming Language Specification,
// "Floating-point operators", gives the forms with r, t and z.
func TestMachineFaults(t *testing.T) {
	for _, c := range []struct {
		line string
		want int
	}{
		{"r = x*y + z", 1},
		{"r = z; r += x*y", 1},
		{"t = x*y; r = t + z", 1},
		{"*p = x*y; r = *p + z", 1},
		{"r = x*y + float64(z)", 1},
		{"r = float64(x*y) + z", 0},
		{"r = z; r += float64(x*y)", 0},
		{"t = float64(x*y); r = t + z", 0},
		{"r = z - -(x*y)", 1},
		{"r *= x", 1},
		{"r = g(x*y)", 1},
		{"r = min(x*y, z)", 1},
		{"r = math.Dim(x*y, z)", 2},
		{"r = math.Abs(x*y)", 0},
		{"r = math.Floor(x*y)", 0},
		{"r = float64(x*y*z)", 0},
		{"r = x*y/z", 0},
		{"if x*y < z { r = 1 }", 0},
		{"n = int(x*y)", 0},
		{"n = n*n + n", 0},
		{"r = 3*3.5 + z", 0},
		{"r = 2*x + y*(1<<64)", 0},
		{"r = 3*x + z", 1},
		{"r = 0.5*x + z", 1}, // a very small x loses a digit
		{"r = float64(named(x)*named(y))", 0},
		{"r = float64(named(x)*named(y) + 1)", 1},
		{"r = sum(x, y)", 1}, // its own product, below
		{"r = math.Exp(x)", 1},
		{"f := math.Pow; _ = f", 1},
		{"r = math.Sqrt(x)", 0},
		{"r = math.Inf(1)", 0},
		{"r = math.FMA(x, y, z)", 0}, // said in so many words
		{"r = math.Pi", 0},
		{"r = float64(float32(x))", 0},
	} {
		fset := token.NewFileSet()
		extra := ""
		if strings.Contains(c.line, "sum(") {
			extra = "func sum[T int | float64](a, b T) T { return a*b + a }"
		}
		f, err := parser.ParseFile(fset, "line.go", "package line\nimport \"math\"\ntype named float64\nvar _ = math.Pi\n"+
			"func g(x float64) float64 { return x }\n"+extra+
			"\nfunc do(x, y, z float64, p *float64, n int) { var r, t float64; _, _, _ = r, t, n\n"+c.line+"\n}", 0)
		if err != nil {
			t.Fatalf("%s: %v", c.line, err)
		}
		if got := machineFaults(t, fset, "line", []*ast.File{f}, importer.Default()); len(got) != c.want {
			t.Errorf("%s: want %d, got %q", c.line, c.want, got)
		}
	}
}

// everywhere are the functions of package math whose result the standard for
// binary floating point (IEEE 754-2019, clauses 5.3 to 5.7) or exact arithmetic
// fixes to the last bit. The others are approximations, and several of them are
// written in assembly on some processors.
var everywhere = strings.Fields("Abs Ceil Copysign FMA Float64bits Float64frombits Floor Frexp Inf IsInf IsNaN Ldexp Max Min Mod Modf NaN Pow10 Round RoundToEven Signbit Sqrt Trunc")

// rounds are those of them that take their argument as it is rounded.
var rounds = strings.Fields("Abs Ceil Floor Round RoundToEven Sqrt Trunc")

// machineFaults returns the places of a package at which a product of floating-point
// numbers is not rounded by an explicit conversion, so that the compiler may
// fuse it with a sum on processors that can, and those that use a function
// whose last bits depend on the processor. A product is reported wherever it may
// reach a sum, in another statement or function too.
func machineFaults(t *testing.T, fset *token.FileSet, path string, files []*ast.File, imports types.Importer) []string {
	t.Helper()
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: imports}
	if _, err := conf.Check(path, fset, files, info); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	var out []string
	say := func(at token.Pos, text string) {
		out = append(out, fmt.Sprintf("%s: %s", fset.Position(at), text))
	}
	ofMath := func(e ast.Expr) string { // the name, if e is a function of package math
		if sel, ok := e.(*ast.SelectorExpr); ok {
			if f, ok := info.Uses[sel.Sel].(*types.Func); ok && f.Pkg() != nil && f.Pkg().Path() == "math" {
				return f.Name()
			}
		}
		return ""
	}
	rounded := func(above []ast.Node) bool { // what is done with a product
		for _, up := range slices.Backward(above) {
			switch up := up.(type) {
			case *ast.ParenExpr:
				continue
			case *ast.UnaryExpr:
				continue
			case *ast.BinaryExpr:
				return up.Op != token.ADD && up.Op != token.SUB
			case *ast.CallExpr:
				return info.Types[up.Fun].IsType() || slices.Contains(rounds, ofMath(up.Fun))
			}
			return false
		}
		return false
	}
	for _, file := range files {
		var above []ast.Node
		ast.Inspect(file, func(n ast.Node) bool {
			if n == nil {
				above = above[:len(above)-1]
				return true
			}
			switch n := n.(type) {
			case *ast.BinaryExpr:
				tv := info.Types[n]
				exact := doubles(info.Types[n.X].Value) || doubles(info.Types[n.Y].Value)
				if n.Op == token.MUL && tv.Value == nil && isFloat(tv.Type) && !exact && !rounded(above) {
					say(n.OpPos, "a product that may be fused with a sum: round it, float64(x*y)")
				}
			case *ast.AssignStmt:
				if n.Tok == token.MUL_ASSIGN && isFloat(info.Types[n.Lhs[0]].Type) {
					say(n.TokPos, "a product that may be fused with a sum: write x = float64(x*y)")
				}
			case *ast.SelectorExpr:
				if name := ofMath(n); name != "" && !slices.Contains(everywhere, name) {
					say(n.Pos(), "math."+name+" depends on the processor: see package float")
				}
			}
			above = append(above, n)
			return true
		})
	}
	return out
}

// doubles reports whether v is 1, 2, 4 and so on: a product with it is exact.
func doubles(v constant.Value) bool {
	if v == nil {
		return false
	}
	f, _ := constant.Float64Val(constant.ToFloat(v))
	frac, _ := math.Frexp(f)
	return frac == 0.5 && f >= 1
}

// isFloat reports whether numbers of the type may be floating-point numbers.
func isFloat(t types.Type) bool {
	if p, ok := t.(*types.TypeParam); ok {
		limits, ok := p.Constraint().Underlying().(*types.Interface)
		if !ok {
			return true
		}
		for i := range limits.NumEmbeddeds() {
			if u, ok := limits.EmbeddedType(i).(*types.Union); ok {
				for k := range u.Len() {
					if isFloat(u.Term(k).Type()) {
						return true
					}
				}
			} else if isFloat(limits.EmbeddedType(i)) {
				return true
			}
		}
		return false
	}
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&(types.IsFloat|types.IsComplex) != 0
}

// golist returns the lines of go list for the whole module.
func golist(t *testing.T, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", append(append([]string{"list"}, args...), "./...")...)
	cmd.Dir = "../.."
	var fault bytes.Buffer
	cmd.Stderr = &fault
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, fault.String())
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}
