package corpus_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// needs are the functions, and methods of values, that need what a pointer among
// their arguments points to.
const needs = `ration.Animal.NamedLike ration.Animal.VetSigns ration.Batches ration.FirstOut
	ration.Shop ration.SplitPlan ration.Tubs log.Log.Alarms log.Weigh switchover.Plan.Skipped switchover.Where plan.WorkOf`

// told is what the document of a package says where something in it needs what a
// pointer points to.
const told = "needs what it points to, unless it says that nil will do"

// TestNothingPanics calls every exported function and method of the library, on
// zero values and on nil, with zero values for arguments: each returns, or its
// document says what it needs.
func TestNothingPanics(t *testing.T) {
	t.Parallel()
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	g := caller{imports: map[string]bool{}}
	docs := map[string]string{}
	for _, p := range library(t, root) {
		g.pkg(p)
		docs[p.Name()] = packageDoc(t, filepath.Join(root, strings.TrimPrefix(p.Path(), "fitchet.example/")))
	}
	dir := t.TempDir()
	file, overlay := filepath.Join(dir, "main.go"), filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(file, g.program(), 0o600); err != nil {
		t.Fatal(err)
	}
	where := filepath.Join(root, "balance", "corpus", "everything", "main.go") // in the overlay alone
	text, err := json.Marshal(map[string]map[string]string{"Replace": {where: file}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(overlay, text, 0o600); err != nil {
		t.Fatal(err)
	}
	run := exec.Command("go", "run", "-overlay", overlay, "./balance/corpus/everything")
	run.Dir = root
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%.4000s", err, out)
	}
	var wrong []string
	for line := range strings.Lines(string(out)) {
		name, why, _ := strings.Cut(strings.TrimSpace(line), ": ")
		wrong = append(wrong, name)
		on, pointer := strings.CutPrefix(name, "(*")
		pkg, _, _ := strings.Cut(on, ".")
		if !strings.Contains(why, "nil pointer") || !pointer && !slices.Contains(strings.Fields(needs), name) || !strings.Contains(docs[pkg], told) {
			t.Errorf("%s: %s", name, why)
		}
	}
	for _, name := range strings.Fields(needs) {
		if !slices.Contains(wrong, name) {
			t.Errorf("%s needs nothing any more", name)
		}
	}
	if g.calls < 700 {
		t.Errorf("only %d calls", g.calls)
	}
}

// packageDoc is the document of a package, as one line.
func packageDoc(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments|parser.PackageClauseOnly)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, strings.Fields(f.Doc.Text())...)
	}
	return strings.Join(all, " ")
}

// library returns the packages that others may import, type-checked, but for those
// that test plans and generators.
func library(t *testing.T, root string) []*types.Package {
	t.Helper()
	list := exec.Command("go", "list", "-export", "-deps", "-f", "{{.ImportPath}}\t{{.Export}}", "./units/...", "./prey", "./safety", "./ration/...", "./balance/...")
	list.Dir = root
	out, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	exports := map[string]string{}
	var own []string
	for line := range strings.Lines(string(out)) {
		path, file, _ := strings.Cut(strings.TrimSpace(line), "\t")
		exports[path] = file
		if strings.HasPrefix(path, "fitchet.example/") && !strings.Contains(path, "/internal/") && !strings.Contains(path, "/corpus") {
			own = append(own, path)
		}
	}
	imp := importer.ForCompiler(token.NewFileSet(), "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })
	var all []*types.Package
	for _, path := range own {
		p, err := imp.Import(path)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

// caller writes a program that calls everything.
type caller struct {
	body    bytes.Buffer
	imports map[string]bool
	calls   int
}

func (g *caller) name(p *types.Package) string {
	g.imports[p.Path()] = true
	return strings.NewReplacer("/", "_", ".", "_", "-", "_").Replace(p.Path())
}

func (g *caller) typ(t types.Type) string { return types.TypeString(t, g.name) }

func (g *caller) pkg(p *types.Package) {
	for _, name := range p.Scope().Names() {
		obj := p.Scope().Lookup(name)
		if !obj.Exported() {
			continue
		}
		switch obj := obj.(type) {
		case *types.Func:
			g.call(p.Name()+"."+name, g.name(p)+"."+name, "", obj.Type().(*types.Signature))
		case *types.TypeName:
			named, ok := obj.Type().(*types.Named)
			if !ok || named.TypeParams() != nil || types.IsInterface(named) {
				continue
			}
			for m := range named.Methods() {
				sig := m.Type().(*types.Signature)
				if !m.Exported() {
					continue
				}
				typ := g.typ(named)
				g.call(p.Name()+"."+name+"."+m.Name(), "v."+m.Name(), "var v "+typ, sig)
				if _, pointer := sig.Recv().Type().(*types.Pointer); pointer {
					g.call("(*"+p.Name()+"."+name+")(nil)."+m.Name(), "v."+m.Name(), "var v *"+typ, sig)
				}
			}
		}
	}
}

func (g *caller) call(name, fn, first string, sig *types.Signature) {
	if sig.TypeParams() != nil {
		return
	}
	var args []string
	for i := range sig.Params().Len() {
		p := sig.Params().At(i).Type()
		if sig.Variadic() && i == sig.Params().Len()-1 {
			break
		}
		switch text := types.TypeString(p, nil); text {
		case "io.Reader":
			args = append(args, `strings.NewReader("")`)
		case "io.Writer":
			args = append(args, "io.Discard")
		case "io/fs.FS":
			args = append(args, "fstest.MapFS{}")
		case "context.Context":
			args = append(args, "context.Background()")
		default:
			args = append(args, "*new("+g.typ(p)+")")
		}
	}
	g.calls++
	call := fn + "(" + strings.Join(args, ", ") + ")"
	if sig.Results().Len() > 0 {
		call = "use(" + call + ")"
	}
	fmt.Fprintf(&g.body, "\ttry(%q, func() { %s; %s })\n", name, first, call)
}

func (g *caller) program() []byte {
	var out bytes.Buffer
	out.WriteString("package main\n\nimport (\n\t\"context\"\n\t\"fmt\"\n\t\"io\"\n\t\"reflect\"\n\t\"strings\"\n\t\"testing/fstest\"\n\n")
	for path := range g.imports {
		fmt.Fprintf(&out, "\t%s %q\n", strings.NewReplacer("/", "_", ".", "_", "-", "_").Replace(path), path)
	}
	out.WriteString(`)

var _ = []any{context.Background, io.Discard, strings.NewReader, fstest.MapFS{}}

func try(name string, f func()) {
	defer func() {
		if p := recover(); p != nil {
			fmt.Printf("%s: %v\n", name, p)
		}
	}()
	f()
}

// use runs what came back, where it is a sequence, and prints errors.
func use(results ...any) {
	for _, r := range results {
		if err, ok := r.(error); ok {
			_ = err.Error()
		}
		v := reflect.ValueOf(r)
		if v.Kind() == reflect.Func && !v.IsNil() && v.Type().NumIn() == 1 && v.Type().In(0).Kind() == reflect.Func {
			yield := v.Type().In(0)
			if yield.NumOut() == 1 && yield.Out(0).Kind() == reflect.Bool {
				v.Call([]reflect.Value{reflect.MakeFunc(yield, func([]reflect.Value) []reflect.Value { return []reflect.Value{reflect.ValueOf(true)} })})
			}
		}
	}
}

func main() {
`)
	out.Write(g.body.Bytes())
	out.WriteString("}\n")
	return out.Bytes()
}
