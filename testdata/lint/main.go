// Command lint checks what the compiler and go vet do not: that packages import
// only downwards, that every exported function and method is called by somebody,
// and that no function grows long.
//
//	go run . ROOT
//
// It prints what it found, one line each, and ends with 1 if there was anything,
// and with 2 if the code could not be read.
package main

import (
	"bufio"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/tools/go/packages"
)

const module = "fitchet.example"

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: lint ROOT")
		os.Exit(2)
	}
	found, err := check(os.Args[1])
	if err != nil {
		fmt.Fprintln(os.Stderr, "lint:", err)
		os.Exit(2)
	}
	for _, line := range found {
		fmt.Println(line)
	}
	if len(found) > 0 {
		os.Exit(1)
	}
}

// check returns every finding about the module in the folder root.
func check(root string) ([]string, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return nil, err
	}
	pkgs, err := load(root, "./...", "./testdata")
	if err != nil {
		return nil, err
	}
	order, err := readOrder("order.txt")
	if err != nil {
		return nil, err
	}
	allowed, err := readLong("long.txt")
	if err != nil {
		return nil, err
	}
	out := arrows(pkgs, order)
	nested, err := elsewhere(root)
	if err != nil {
		return nil, err
	}
	known, err := lines("unneeded.txt")
	if err != nil {
		return nil, err
	}
	out = append(out, unused(pkgs, nested, known)...)
	out = append(out, long(pkgs, allowed)...)
	return out, nil
}

// load reads packages with their tests.
func load(root string, patterns ...string) ([]*packages.Package, error) {
	pkgs, err := packages.Load(&packages.Config{
		Mode: packages.NeedName | packages.NeedFiles | packages.NeedImports | packages.NeedSyntax |
			packages.NeedTypes | packages.NeedTypesInfo | packages.NeedDeps,
		Dir:   root,
		Tests: true,
	}, patterns...)
	if err != nil {
		return nil, fmt.Errorf("loading: %w", err)
	}
	for _, p := range pkgs {
		for _, e := range p.Errors {
			return nil, fmt.Errorf("loading %s: %w", p.PkgPath, e)
		}
	}
	return pkgs, nil
}

// lines are those of a file without comments and blank ones.
func lines(path string) ([]string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []string
	for s := bufio.NewScanner(f); s.Scan(); {
		if text, _, _ := strings.Cut(s.Text(), "#"); strings.TrimSpace(text) != "" {
			out = append(out, strings.TrimSpace(text))
		}
	}
	return out, nil
}

// readOrder returns each package's place from the bottom up. Packages of one
// line may not import each other.
func readOrder(path string) (map[string]int, error) {
	text, err := lines(path)
	if err != nil {
		return nil, err
	}
	order := map[string]int{}
	for i, line := range text {
		for _, p := range strings.Fields(line) {
			order[module+"/"+p] = i
		}
	}
	return order, nil
}

// arrows reports imports that do not point down, and packages without a place.
func arrows(pkgs []*packages.Package, order map[string]int) (out []string) {
	seen := map[string]bool{}
	for _, p := range pkgs {
		if strings.HasSuffix(p.PkgPath, ".test") || strings.HasSuffix(p.PkgPath, "_test") || seen[p.PkgPath] || strings.HasSuffix(p.ID, ".test]") {
			continue
		}
		seen[p.PkgPath] = true
		at, ok := order[p.PkgPath]
		if !ok {
			out = append(out, fmt.Sprintf("%s has no place in order.txt", p.PkgPath))
			continue
		}
		for path := range p.Imports {
			if to, ok := order[path]; ok && to >= at {
				out = append(out, fmt.Sprintf("%s imports %s, which does not stand below it in order.txt", p.PkgPath, path))
			}
		}
	}
	for p := range order {
		if !seen[p] {
			out = append(out, fmt.Sprintf("order.txt names %s, which there is not", p))
		}
	}
	slices.Sort(out)
	return out
}

// byInterface are methods that the standard library or a caller's interface asks for.
func byInterface(name string) bool {
	return slices.Contains([]string{"String", "Error", "Unwrap", "Is", "As", "MarshalText", "UnmarshalText", "MarshalJSON",
		"UnmarshalJSON", "AppendText", "Len", "Less", "Swap", "Read", "Write", "Close"}, name)
}

// unused reports exported names of the library that nobody needs: functions and
// methods that no other package, test or example calls, and types, constants and
// variables that are mentioned nowhere. Names that a module of its own mentions
// count as needed; those that are known may only become fewer.
func unused(pkgs []*packages.Package, nested map[string]bool, known []string) (out []string) {
	type use uint8
	const (
		inside  use = 1 << iota // by its own package
		outside                 // by another package or a test
	)
	defs := map[token.Position]types.Object{}
	uses := map[token.Position]use{}
	for _, p := range pkgs {
		for id, obj := range p.TypesInfo.Defs {
			if obj != nil && obj.Exported() && p.Name != "main" && declared(obj) && !strings.HasSuffix(p.Fset.Position(id.Pos()).Filename, "_test.go") {
				defs[p.Fset.Position(id.Pos())] = obj
			}
		}
		for id, obj := range p.TypesInfo.Uses {
			if fn, ok := obj.(*types.Func); ok {
				obj = fn.Origin()
			}
			if obj.Pkg() == nil {
				continue
			}
			how := inside
			if strings.HasSuffix(p.Fset.Position(id.Pos()).Filename, "_test.go") || p.PkgPath != obj.Pkg().Path() {
				how = outside
			}
			uses[p.Fset.Position(obj.Pos())] |= how
		}
	}
	found := map[string]bool{}
	for at, obj := range defs {
		wants := inside | outside
		if _, ok := obj.(*types.Func); ok {
			wants = outside
		}
		if uses[at]&wants == 0 && !nested[obj.Name()] {
			found[nameOf(obj)] = true
		}
	}
	for name := range found {
		if !slices.Contains(known, name) {
			out = append(out, fmt.Sprintf("%s is exported, and nobody needs it", name))
		}
	}
	for _, name := range known {
		if !found[name] {
			out = append(out, fmt.Sprintf("unneeded.txt names %s, which is needed or gone: the list may only shrink", name))
		}
	}
	slices.Sort(out)
	return out
}

// nameOf is an object's package and name, of a method with its type between.
func nameOf(obj types.Object) string {
	name := strings.TrimPrefix(obj.Pkg().Path(), module+"/") + "."
	if fn, ok := obj.(*types.Func); ok && fn.Signature().Recv() != nil {
		recv := fn.Signature().Recv().Type()
		if p, ok := recv.(*types.Pointer); ok {
			recv = p.Elem()
		}
		if n, ok := recv.(*types.Named); ok {
			name += n.Obj().Name() + "."
		}
	}
	return name + obj.Name()
}

// elsewhere returns the names that follow a dot in the modules that stand below
// the root: they use the library too, but are not loaded with it.
func elsewhere(root string) (map[string]bool, error) {
	names := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || d.Name() != "go.mod" || filepath.Dir(path) == root {
			return err
		}
		files, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*.go"))
		if err != nil {
			return err
		}
		for _, file := range files {
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if sel, ok := n.(*ast.SelectorExpr); ok {
					names[sel.Sel.Name] = true
				}
				return true
			})
		}
		return nil
	})
	return names, err
}

// declared reports whether an object is a name of its package, or a method of
// such a name that no interface of the standard library asks for.
func declared(obj types.Object) bool {
	fn, ok := obj.(*types.Func)
	if !ok || fn.Signature().Recv() == nil {
		return obj.Parent() == obj.Pkg().Scope()
	}
	recv := fn.Signature().Recv().Type()
	if p, ok := recv.(*types.Pointer); ok {
		recv = p.Elem()
	}
	named, ok := recv.(*types.Named)
	return ok && named.Obj().Exported() && !byInterface(fn.Name())
}

// funcName is a function's name, of a method with its receiver's type before it.
func funcName(fn *ast.FuncDecl) string {
	if fn.Recv == nil || len(fn.Recv.List) == 0 {
		return fn.Name.Name
	}
	t := fn.Recv.List[0].Type
	for {
		switch x := t.(type) {
		case *ast.StarExpr:
			t = x.X
		case *ast.IndexExpr:
			t = x.X
		case *ast.IndexListExpr:
			t = x.X
		case *ast.Ident:
			return x.Name + "." + fn.Name.Name
		default:
			return fn.Name.Name
		}
	}
}

// most is how many lines a function may have that is not in long.txt.
const most = 80

// readLong returns the functions that are longer, with how long they may be.
func readLong(path string) (map[string]int, error) {
	text, err := lines(path)
	if err != nil {
		return nil, err
	}
	allowed := map[string]int{}
	for _, line := range text {
		name, n, _ := strings.Cut(line, " ")
		if allowed[name], err = strconv.Atoi(strings.TrimSpace(n)); err != nil {
			return nil, fmt.Errorf("%s: %q: %w", path, line, err)
		}
	}
	return allowed, nil
}

// long reports functions that are longer than they may be, and places in the
// list that could shrink.
func long(pkgs []*packages.Package, allowed map[string]int) (out []string) {
	seen := map[string]int{}
	for _, p := range pkgs {
		for _, f := range p.Syntax {
			if strings.HasSuffix(p.Fset.Position(f.Pos()).Filename, "_test.go") {
				continue
			}
			for _, d := range f.Decls {
				if fn, ok := d.(*ast.FuncDecl); ok {
					name := strings.TrimPrefix(p.PkgPath, module+"/") + "." + funcName(fn)
					seen[name] = p.Fset.Position(fn.End()).Line - p.Fset.Position(fn.Pos()).Line + 1
				}
			}
		}
	}
	for name, n := range seen {
		if may := max(allowed[name], most); n > may {
			out = append(out, fmt.Sprintf("%s has %d lines, and may have %d", name, n, may))
		}
	}
	for name, may := range allowed {
		if n := seen[name]; n < may {
			out = append(out, fmt.Sprintf("long.txt gives %s %d lines, and it has %d: the list may only shrink", name, may, n))
		}
	}
	slices.Sort(out)
	return out
}
