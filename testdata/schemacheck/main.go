// Command schemacheck holds every data file of the repository against its JSON
// Schema, with a validator that is not ours. It is a module of its own, so that
// the library does not depend on it. From the top of the repository:
//
//	(cd testdata/schemacheck && go run . ../..)
//
// It also holds what the programs of examples write as JSON against the schema
// that each prints itself.
//
// It prints what does not fit and how many files it looked at. Exit 0 when all
// fit, 1 when one does not, 2 when something cannot be read.
//
// A file is held against the schema of its kind: a file with a schema key
// against that one, any other against that of households.
package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"
)

const base = "https://fitchet.example/schemas/"

// kinds are the schemas by the name that a file gives itself.
func kinds() map[string]string {
	return map[string]string{
		"fitchet.corpus/1":    "manifest",
		"fitchet.foods/1":     "foods",
		"fitchet.cases/1":     "case",
		"fitchet.scenarios/1": "scenario",
		"fitchet.rules/1":     "rules",
		"fitchet.targets/1":   "targets",
		"fitchet.plan/1":      "plan",
		"fitchet.known/1":     "known",
		"fitchet.report/1":    "report",
	}
}

type checker struct {
	schemas map[string]*jsonschema.Schema
	files   int
	bad     int
}

func main() { os.Exit(run(os.Args[1:])) }

func run(args []string) int {
	root := "../.."
	if len(args) > 0 {
		root = args[0]
	}
	c, err := newChecker(os.DirFS(filepath.Join(root, "testdata/schemas")))
	if err != nil {
		fmt.Fprintln(os.Stderr, "schemacheck:", err)
		return 2
	}
	for _, glob := range []string{
		"testdata/corpus/*.yaml", "testdata/corpus/*/*.yaml", "balance/rules/*.yaml",
		"examples/*/household.yaml", "examples/weekplan/testdata/good-*.yaml", "examples/weekplan/testdata/lacking-*.yaml", "examples/audit/testdata/*.yaml",
	} {
		paths, err := filepath.Glob(filepath.Join(root, glob))
		if err != nil {
			fmt.Fprintln(os.Stderr, "schemacheck:", err)
			return 2
		}
		for _, path := range paths {
			if err := c.yamlFile(path); err != nil {
				fmt.Fprintln(os.Stderr, "schemacheck:", err)
				return 2
			}
		}
	}
	if err := c.program(root); err != nil {
		fmt.Fprintln(os.Stderr, "schemacheck:", err)
		return 2
	}
	if err := c.sheets(root); err != nil {
		fmt.Fprintln(os.Stderr, "schemacheck:", err)
		return 2
	}
	fmt.Printf("%d files and messages looked at, %d do not fit\n", c.files, c.bad)
	if c.bad > 0 {
		return 1
	}
	return 0
}

// newChecker compiles every schema of a directory, each against the meta-schema
// of draft 2020-12.
func newChecker(fsys fs.FS) (*checker, error) {
	comp := jsonschema.NewCompiler()
	comp.DefaultDraft(jsonschema.Draft2020)
	names, err := fs.Glob(fsys, "*.schema.json")
	if err != nil || len(names) == 0 {
		return nil, errors.Join(errors.New("no schemas"), err)
	}
	for _, name := range names {
		f, err := fsys.Open(name)
		if err != nil {
			return nil, err
		}
		doc, err := jsonschema.UnmarshalJSON(f)
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if err := comp.AddResource(base+name, doc); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	c := &checker{schemas: map[string]*jsonschema.Schema{}}
	for _, name := range names {
		s, err := comp.Compile(base + name)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		c.schemas[strings.TrimSuffix(name, ".schema.json")] = s
	}
	return c, nil
}

func (c *checker) check(kind, where string, doc any) {
	c.files++
	s, ok := c.schemas[kind]
	if !ok {
		c.bad++
		fmt.Printf("%s: no schema %q\n", where, kind)
		return
	}
	if err := s.Validate(doc); err != nil {
		c.bad++
		fmt.Printf("%s: %v\n", where, err)
	}
}

func (c *checker) yamlFile(path string) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	var n yaml.Node
	if err := yaml.Unmarshal(data, &n); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if n.Kind != yaml.DocumentNode || len(n.Content) != 1 {
		return fmt.Errorf("%s: no document", path)
	}
	doc := value(n.Content[0])
	kind := "household"
	if m, ok := doc.(map[string]any); ok {
		if _, foods := m["foods"]; foods && m["schema"] == nil {
			return nil // a keeper's own foods: a form of package prey, without a schema here
		}
		if name, ok := m["schema"].(string); ok {
			if kind = kinds()[name]; kind == "" {
				c.bad++
				fmt.Printf("%s: no schema for %q\n", path, name)
				return nil
			}
		}
	}
	c.check(kind, path, doc)
	return nil
}

// value turns a node into what JSON would hold: plain whole numbers and true and
// false as such, every other scalar as its text.
func value(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = value(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, item := range n.Content {
			list = append(list, value(item))
		}
		return list
	}
	if n.Style == 0 {
		if v, err := strconv.Atoi(n.Value); err == nil && n.Tag == "!!int" {
			return json.Number(strconv.Itoa(v))
		}
		if n.Tag == "!!bool" {
			return n.Value == "true"
		}
	}
	return n.Value
}

// program runs examples/audit and holds what it writes against the schemas: its
// report, from a copy of the corpus every request, and what a generator answers.
func (c *checker) program(root string) error {
	dir, err := os.MkdirTemp("", "schemacheck-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	bin, gen := filepath.Join(dir, "audit"), filepath.Join(dir, "planweek")
	for path, pkg := range map[string]string{bin: "./examples/audit", gen: "./examples/audit/generators/planweek"} {
		build := exec.Command("go", "build", "-o", path, pkg)
		build.Dir, build.Stderr = root, os.Stderr
		if err := build.Run(); err != nil {
			return fmt.Errorf("building %s: %w", pkg, err)
		}
	}
	for _, args := range [][]string{{"-format", "json"}, {"-write", filepath.Join(dir, "copy")}} {
		out, err := exec.Command(bin, args...).Output()
		var exit *exec.ExitError
		if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) {
			return fmt.Errorf("running examples/audit %v: %w", args, err)
		}
		if args[0] == "-format" {
			if err := c.lines("run", "examples/audit", out); err != nil {
				return err
			}
		}
	}
	asks, err := os.ReadFile(filepath.Join(dir, "copy", "asks.jsonl"))
	if err != nil {
		return err
	}
	if err := c.lines("request", "asks.jsonl", asks); err != nil {
		return err
	}
	hello, err := os.ReadFile(filepath.Join(dir, "copy", "hello.json"))
	if err != nil {
		return err
	}
	if err := c.lines("request", "hello.json", hello); err != nil {
		return err
	}
	talk := exec.Command(gen)
	talk.Stdin = io.MultiReader(bytes.NewReader(hello), bytes.NewReader(asks), strings.NewReader(`{"type":"bye"}`+"\n"))
	said, err := talk.Output()
	if err != nil {
		return fmt.Errorf("asking the sample generator: %w", err)
	}
	return c.lines("answer", "answers of planweek", said)
}

// sheets runs the programs that print the schema of their output, sheet by sheet,
// on their own data and on every sample, and holds their output against it.
func (c *checker) sheets(root string) error {
	dir, err := os.MkdirTemp("", "schemacheck-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	weeks, err := weeks(root)
	if err != nil {
		return err
	}
	log, err := spoilt(root, dir, "logbook", "\nfed:\n", "\nfed:\n  - {at: x}\n")
	if err != nil {
		return err
	}
	moves, err := spoilt(root, dir, "switchover", "\nfed:\n", "\nsigns: [{at: 2026-11-29 20:00, animal: tansy, sign: dull}]\n\nfed:\n  - {at: x}\n",
		"animal: burdock, stage: mince", "animal: burdock, stage: gruel")
	if err != nil {
		return err
	}
	flag, format := []string{"-schema"}, []string{"-format", "schema"}
	for _, p := range []struct {
		name   string
		schema []string // the flags that ask for it
		sheets []string
		args   [][]string
	}{
		{"weekplan", flag, []string{"week", "door", "vet", "card"}, weeks},
		{"weekplan", flag, []string{"week"}, [][]string{
			{"-next", "3", "-costs", "-styles"}, {"-next", "3", "-costs", "-styles", "-household", "examples/weekplan/testdata/good-one-animal.yaml"},
			{"-next", "3", "-costs", "-styles", "-household", "examples/weekplan/testdata/lacking-only-wings.yaml"}}},
		{"logbook", flag, []string{"log", "card"}, [][]string{nil, {"-days", "14"}, log}},
		{"switchover", flag, nil, [][]string{nil, {"-animal", "tansy"}, moves}},
		{"setout", format, nil, [][]string{nil, {"-room", "30 °C", "-form", "minced"}}},
		{"handout", format, nil, [][]string{nil, {"-long"}}},
	} {
		bin := filepath.Join(dir, p.name)
		build := exec.Command("go", "build", "-o", bin, "./examples/"+p.name)
		build.Dir, build.Stderr = root, os.Stderr
		if err := build.Run(); err != nil {
			return fmt.Errorf("building examples/%s: %w", p.name, err)
		}
		if p.sheets == nil {
			p.sheets = []string{""}
		}
		for _, sheet := range p.sheets {
			var of []string
			if sheet != "" {
				of = []string{"-sheet", sheet}
			}
			if err := c.sheet(root, bin, p.name, slices.Concat(of, p.schema), of, p.args); err != nil {
				return err
			}
		}
	}
	return nil
}

// sheet holds one sheet of a program against the schema that it prints for it.
func (c *checker) sheet(root, bin, name string, schema, of []string, args [][]string) error {
	where := strings.Join(append([]string{"examples/" + name}, of...), " ")
	own, err := output(root, bin, schema...)
	if err != nil {
		return fmt.Errorf("%s: %w", where, err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(own))
	if err != nil {
		return fmt.Errorf("schema of %s: %w", where, err)
	}
	comp := jsonschema.NewCompiler()
	comp.DefaultDraft(jsonschema.Draft2020)
	if err := comp.AddResource("own.json", doc); err != nil {
		return fmt.Errorf("schema of %s: %w", where, err)
	}
	if c.schemas[where], err = comp.Compile("own.json"); err != nil {
		return fmt.Errorf("schema of %s: %w", where, err)
	}
	for _, more := range args {
		text, err := output(root, bin, slices.Concat(of, more, []string{"-format", "json"})...)
		if err != nil {
			return fmt.Errorf("%s %v: %w", where, more, err)
		}
		said, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			return fmt.Errorf("%s %v: %w", where, more, err)
		}
		c.check(where, strings.Join(append([]string{where}, more...), " "), said)
	}
	return nil
}

// weeks are the flags of weekplan for every sample household, and what else its
// sheets are made of.
func weeks(root string) ([][]string, error) {
	const dir = "examples/weekplan/testdata/"
	out := [][]string{nil, {"-household", dir + "good-one-animal.yaml", "-plan", dir + "week-by-hand.json"}, {"-room", "33 °C"}, {"-start", "2026-11-25"}}
	own := map[string]string{"good-half-mix.yaml": "mix-foods.yaml", "lacking-no-red-meat.yaml": "kidney-foods.yaml"}
	for _, kind := range []string{"good", "lacking"} {
		paths, err := filepath.Glob(filepath.Join(root, dir, kind+"-*.yaml"))
		if err != nil || len(paths) == 0 {
			return nil, errors.Join(fmt.Errorf("no households %s%s-*.yaml", dir, kind), err)
		}
		for _, path := range paths {
			args := []string{"-household", dir + filepath.Base(path)}
			if foods := own[filepath.Base(path)]; foods != "" {
				args = append(args, "-foods", dir+foods)
			}
			out = append(out, args)
		}
	}
	return out, nil
}

// spoilt writes the log of a program with faults in it, as pairs of old and new
// text, and returns the flags for it and the program's household.
func spoilt(root, dir, name string, pairs ...string) ([]string, error) {
	data, err := os.ReadFile(filepath.Join(root, "examples", name, "log.yaml"))
	if err != nil {
		return nil, err
	}
	text := string(data)
	for i := 0; i+1 < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			return nil, fmt.Errorf("the log of examples/%s does not hold %q", name, pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	path := filepath.Join(dir, name+"-log.yaml")
	return []string{"-household", "examples/" + name + "/household.yaml", "-log", path}, os.WriteFile(path, []byte(text), 0o600)
}

// output is what a program writes; that it has found something is no fault.
func output(root, bin string, args ...string) ([]byte, error) {
	cmd := exec.Command(bin, args...)
	cmd.Dir = root
	out, err := cmd.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() == 1 {
		err = nil
	}
	return out, err
}

func (c *checker) lines(kind, where string, data []byte) error {
	lines := bufio.NewScanner(bytes.NewReader(data))
	lines.Buffer(nil, 64<<20)
	for n := 1; lines.Scan(); n++ {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(lines.Bytes()))
		if err != nil {
			return fmt.Errorf("%s:%d: %w", where, n, err)
		}
		c.check(kind, fmt.Sprintf("%s:%d", where, n), doc)
	}
	return lines.Err()
}
