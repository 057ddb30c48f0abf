package built_test

import (
	"errors"
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"fitchet.example/balance/corpus"
)

// line is a command line of a document.
type line struct{ at, text string }

// fence is a block of a Markdown file between lines of three backticks.
type fence struct{ at, lang, text string }

// command begins a line that is meant to be typed.
var command = regexp.MustCompile(`^(\(cd |[A-Z_]+=\S+ go |(go|bash|grep|python3|node|npm|weekplan|foods|setout|logbook|switchover|handout|audit)( |$))`)

// span is what stands between backticks in running text.
var span = regexp.MustCompile("`([^`]+)`")

// documents are the Markdown files and the package comments of the module, by
// their paths.
func documents(t *testing.T) (markdown, comments map[string]string) {
	t.Helper()
	markdown, comments = map[string]string{}, map[string]string{}
	modules := map[string]bool{} // folders with a module of their own
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		rel := filepath.ToSlash(strings.TrimPrefix(path, root+string(filepath.Separator)))
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == ".git" || d.Name() == "node_modules"):
			return filepath.SkipDir
		case d.IsDir():
			_, err := os.Stat(filepath.Join(path, "go.mod"))
			modules[path] = err == nil && path != root || modules[filepath.Dir(path)]
		case strings.HasSuffix(path, ".md"):
			markdown[rel] = read(t, path)
		case modules[filepath.Dir(path)]: // a program of its own, with a name of its own
		case strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go"):
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.PackageClauseOnly|parser.ParseComments)
			if err != nil {
				return err
			}
			if file.Doc != nil {
				comments[rel] = file.Doc.Text()
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return markdown, comments
}

// fences are the blocks of a Markdown file, and the text with none.
func fences(at, text string) (out []fence, rest string) {
	var in *fence
	for i, l := range strings.Split(text, "\n") {
		lang, mark := strings.CutPrefix(l, "```")
		switch {
		case mark && in == nil:
			in = &fence{at: fmt.Sprintf("%s:%d", at, i+1), lang: lang}
		case mark:
			out = append(out, *in)
			in = nil
		case in != nil:
			in.text += l + "\n"
			l = ""
		}
		if mark {
			l = ""
		}
		rest += l + "\n"
	}
	return out, rest
}

// lines are all command lines of the documents.
func commandLines(t *testing.T) (out []line) {
	t.Helper()
	markdown, comments := documents(t)
	for _, at := range slices.Sorted(maps.Keys(markdown)) {
		blocks, rest := fences(at, markdown[at])
		for _, b := range blocks {
			if b.lang == "" || b.lang == "sh" {
				out = append(out, typed(t, b.at, b.text)...)
			}
		}
		for _, b := range indented(rest, "    ") {
			out = append(out, typed(t, at, b)...)
		}
		for _, m := range span.FindAllStringSubmatch(rest, -1) {
			if text := strings.Join(strings.Fields(m[1]), " "); command.MatchString(text) && len(strings.Fields(text)) > 1 && text != "go run" && text != "go test" {
				out = append(out, line{at, text})
			}
		}
	}
	for _, at := range slices.Sorted(maps.Keys(comments)) {
		for _, b := range indented(comments[at], "\t") {
			out = append(out, typed(t, at, b)...)
		}
	}
	return out
}

// indented are the blocks of lines that begin with that.
func indented(text, with string) (out []string) {
	block := ""
	for l := range strings.Lines(text + "\n") {
		if rest, ok := strings.CutPrefix(l, with); ok {
			block += rest
			continue
		}
		if block != "" {
			out = append(out, block)
		}
		block = ""
	}
	return out
}

// typed are the command lines of a block, whose first line says whether it holds
// any. What stands behind three blanks says what a command does.
func typed(t *testing.T, at, block string) (out []line) {
	t.Helper()
	first, _, _ := strings.Cut(block, "\n")
	if !command.MatchString(first) {
		for l := range strings.Lines(block) {
			if command.MatchString(l) && strings.Contains(l, " -") {
				t.Errorf("%s: %q stands in a block that begins with another thing than a command", at, strings.TrimSpace(l))
			}
		}
		return nil
	}
	explained := false
	for l := range strings.Lines(block) {
		text := strings.TrimRight(l, "\n")
		if strings.HasPrefix(text, " ") { // goes on
			if !explained {
				out[len(out)-1].text += " " + strings.TrimSpace(text)
			}
			continue
		}
		if text == "" {
			continue
		}
		text, _, explained = strings.Cut(text, "   ")
		if !command.MatchString(text) {
			t.Errorf("%s: %q is no command that this test knows", at, text)
		}
		out = append(out, line{at, text})
	}
	return out
}

// elsewhere are lines that are run by something else, with where that is written.
var elsewhere = []struct{ text, why, path, stands string }{
	{"go test ./...", "it would run this test", ".ci/run", "go test ./..."},
	{"bash .ci/run", "it runs all, for an hour", ".ci/run", "#!/usr/bin/env bash"},
	{"(cd testdata/schemacheck && go run . ../..)", "a module of its own that must be fetched", ".ci/run", "cd testdata/schemacheck && go vet ./... && go test ./... && go run . ../.."},
	{"(cd testdata/bench && go run .)", "a module of its own, for minutes", ".ci/run", "cd testdata/bench && go vet ./... && go test -count=1 ./... && go run ."},
	{"(cd testdata/bench && go test ./...)", "a module of its own that must be fetched", ".ci/run", "cd testdata/bench && go vet ./... && go test -count=1 ./..."},
	{"go mod tidy", "it asks the network", ".ci/run", "go mod tidy"},
}

// ends are the lines that end with another code than 0, all others do with 0:
// there is something to mend.
var ends = map[string]int{
	"logbook": 1,
	"logbook -household home.yaml -log log.yaml -days 14":            1,
	"logbook -format json -out week.json":                            1,
	"switchover":                                                     1,
	"switchover -batch \"1 lb\" -format json":                        1,
	"go run ./examples/logbook -household mine.yaml -log mylog.yaml": 1,
	"go run ./examples/audit -generator 'python3 examples/audit/generators/python/bone_in_as_bone.py'": 1,
	"go run ./examples/audit -generator 'python3 examples/audit/generators/python/simple.py'":          1,
}

// Every command line of the documents runs as it is written there.
func TestDocumentedCommands(t *testing.T) {
	t.Parallel()
	met := map[string]bool{}
	place := newPlace(t)
	var busy sync.WaitGroup
	few := make(chan struct{}, 2)
	for _, l := range commandLines(t) {
		again := met[l.text]
		met[l.text] = true
		if again || slices.ContainsFunc(elsewhere, func(e struct{ text, why, path, stands string }) bool { return e.text == l.text }) {
			continue
		}
		if _, test, ok := strings.Cut(l.text+" ", "go test "); ok {
			if err := tests(l.text, test); err != nil {
				t.Errorf("%s: %s: %v", l.at, l.text, err)
			}
			continue
		}
		busy.Go(func() {
			few <- struct{}{}
			defer func() { <-few }()
			if isSynopsis(l.text) {
				place.variants(t, l)
				return
			}
			if got := place.run(t, l.text); got.code != ends[l.text] {
				t.Errorf("%s: %s: exit %d, want %d\n%s", l.at, l.text, got.code, ends[l.text], got.errors)
			}
		})
	}
	busy.Wait()
	for _, e := range elsewhere {
		if !met[e.text] {
			t.Errorf("no document holds %q any more", e.text)
		}
		if !strings.Contains(sample(t, e.path), e.stands) {
			t.Errorf("%s is left out here because %s, but %s does not hold %q", e.text, e.why, e.path, e.stands)
		}
	}
	for text := range ends {
		if !met[text] {
			t.Errorf("no document holds %q any more", text)
		}
	}
	if len(met) < 50 {
		t.Errorf("only %d command lines were found", len(met))
	}
}

// tests checks a line that runs tests or benchmarks, which is too long to run
// here: its packages are there, what it names is there, and so are the variables
// that it sets.
func tests(text, rest string) error {
	args := strings.Fields(rest)
	var source, bench string
	kinds := map[string]string{}
	var faults []error
	for i, a := range args {
		switch {
		case a == "-run" || a == "-bench":
			kinds[strings.TrimPrefix(a, "-")] = args[i+1]
		case strings.HasPrefix(a, "./"):
			under, all := strings.CutSuffix(a, "/...")
			files, err := filepath.Glob(filepath.Join(root, under, "*_test.go"))
			for _, below := range []string{"*/*_test.go", "internal/*/*.go"} { // and what tests share
				if all && a != "./..." && err == nil {
					var more []string
					more, err = filepath.Glob(filepath.Join(root, under, below))
					files = append(files, more...)
				}
			}
			if err == nil && len(files) == 0 && a != "./..." {
				err = fmt.Errorf("%s has no tests", a)
			}
			faults = append(faults, err)
			for _, f := range files {
				b, err := os.ReadFile(f)
				faults = append(faults, err)
				source += string(b)
			}
		}
	}
	bench = kinds["bench"]
	for kind, want := range map[string]string{"Test": kinds["run"], "Benchmark": bench} {
		if want == "" || want == "xxx" || source == "" {
			continue
		}
		found := regexp.MustCompile(`(?m)^func `+kind+`(\w+)\(`).FindAllStringSubmatch(source, -1)
		if !slices.ContainsFunc(found, func(m []string) bool { ok, _ := regexp.MatchString(want, kind+m[1]); return ok }) {
			faults = append(faults, fmt.Errorf("nothing is called %s", want))
		}
	}
	for _, m := range regexp.MustCompile(`([A-Z_]+)=\S+ `).FindAllStringSubmatch(text, -1) {
		if m[1] != "RAPID_CHECKS" && !strings.Contains(source, `"`+m[1]+`"`) { // the one is that of the library rapid
			faults = append(faults, fmt.Errorf("no test asks for %s", m[1]))
		}
	}
	return errors.Join(faults...)
}

// place is a folder in which the command lines are run: a copy of the module,
// and beside it a module that uses it. The files that documents call by invented
// names are there.
type place struct {
	top, outside string
	mu           sync.Mutex
	ran          map[string]func() ran // by what is typed
}

func newPlace(t *testing.T) *place {
	t.Helper()
	p := &place{top: filepath.Join(t.TempDir(), "fitchet"), ran: map[string]func() ran{}}
	p.outside = filepath.Join(filepath.Dir(p.top), "outside")
	list := exec.Command("git", "ls-files", "-z")
	list.Dir = root
	names, err := list.Output()
	if err != nil {
		t.Skipf("the files of the repository cannot be listed: %v", err)
	}
	for name := range strings.SplitSeq(strings.TrimRight(string(names), "\x00"), "\x00") {
		b, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			continue // taken out, and not yet committed
		}
		to := filepath.Join(p.top, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(to), 0o755), os.WriteFile(to, b, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(p.outside, 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(p.outside, "go.mod"), "module outside.example\n\ngo 1.26\n")
	house := sample(t, "examples/weekplan/household.yaml")
	plans := lines(t, 3)
	first, _, _ := strings.Cut(plans, "\n")
	for name, text := range map[string]string{
		"mine.yaml": house, "plan.yaml": first, "H.yaml": house, "home.yaml": sample(t, "examples/switchover/household.yaml"), "log.yaml": sample(t, "examples/switchover/log.yaml"),
		"lastweek.json": first, "lastweek.yaml": sample(t, "examples/audit/plan.yaml"), "plans.jsonl": plans,
		"mylog.yaml": sample(t, "examples/logbook/log.yaml"), "myfoods.yaml": sample(t, "examples/weekplan/testdata/kidney-foods.yaml"), "myrules.yaml": sample(t, "testdata/corpus/rules/laid-over.yaml"),
		"mynotices.yaml": sample(t, "safety/data/notices.yaml"), "known.yaml": known(t),
	} {
		put(t, filepath.Join(p.top, name), text)
	}
	return p
}

// known is the list of known failures that the protocol shows.
func known(t *testing.T) string {
	t.Helper()
	blocks, _ := fences("", sample(t, "examples/audit/PROTOCOL.md"))
	for _, b := range blocks {
		if strings.Contains(b.text, "fitchet.known/1") {
			return b.text
		}
	}
	t.Fatal("the protocol shows no list of known failures")
	return ""
}

// goRun is how a program is started from its source; the built one is the same.
var goRun = regexp.MustCompile(`go run \./(?:\w+/)*(\w+)`)

// run runs a line as written; one that was run before is not run again.
func (p *place) run(t *testing.T, text string) ran {
	t.Helper()
	typed := strings.TrimSpace(goRun.ReplaceAllString(text, "$1"))
	p.mu.Lock()
	if p.ran[typed] == nil {
		p.ran[typed] = sync.OnceValue(func() ran { return p.start(t, text, typed) })
	}
	once := p.ran[typed]
	p.mu.Unlock()
	return once()
}

func (p *place) start(t *testing.T, text, typed string) ran {
	t.Helper()
	cmd := exec.Command("sh", "-c", typed)
	cmd.Env = append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"), "GOFLAGS=-mod=mod", "GOWORK=")
	cmd.Dir = p.top
	if strings.HasPrefix(text, "go mod ") || strings.HasPrefix(text, "go work ") {
		cmd.Dir = p.outside
	}
	if strings.HasPrefix(text, "grep ") { // it gives the copy another name
		other := filepath.Join(t.TempDir(), "renamed")
		if err := os.CopyFS(other, os.DirFS(p.top)); err != nil {
			t.Fatal(err)
		}
		cmd.Dir = other
		defer func() {
			if left := exec.Command("grep", "-rlF", "--include=*.go", "--include=go.mod", "fitchet.exam"+"ple", other); left.Run() == nil {
				t.Error("the old name is left")
			}
		}()
	}
	return wait(t, cmd)
}

// isSynopsis reports whether a line says what can be typed instead of what is.
func isSynopsis(text string) bool {
	return placeholder.MatchString(text)
}

var placeholder = regexp.MustCompile(`\[|…|(^| |')(COMMAND|DIR|DIRECTORY|FILE|N|NAME)( |'|$)`)

// values are what is put for the word behind a flag, and for other words.
var values = map[string]string{
	"-household": "mine.yaml", "-plan": "lastweek.json", "-foods": "myfoods.yaml", "-rules": "myrules.yaml", "-notices": "mynotices.yaml", "-known": "known.yaml",
	"-out": "out.txt", "-report": "json=report.jsonl", "-start": "2026-11-30", "-room": "'21 °C'", "-next": "1", "-target": "assembled-edible-bone", "-budget": "200",
	"-generator": "'python3 examples/audit/generators/python/simple.py'", "-rule": "share-bone", "-only": "kb5cspd2", "-random": "2", "-seed": "3", "-workers": "2",
	"-write": "copy", "-lint": "shipped", "-new-id": "2", "-form": "minced", "-warm": "'30 min'", "-hours": "'2 h'", "-species": "rabbit", "-region": "'United Kingdom'", "-on": "2026-11-25",
	"-topics": "ratios,setout", "-for": "'Heather Lodge'", "-as-of": "2026-11-25", "-part": "liver", "-hazard": "poultry",
	"setout -start": "'4 °C'", "FILE|DIRECTORY|-": "lastweek.yaml", "NAME": "'chicken wing'",
}

// with is what a flag cannot stand without.
var with = map[string]string{"setout -start": "-room '21 °C'", "setout -wild": "-species rabbit", "setout -on": "-region 'United Kingdom'", "setout -region": "-on 2026-11-25"}

// group is a part of a synopsis: what can be left out, or a word.
var group = regexp.MustCompile(`\[([^\]]*)\](?:\.\.\.)?|'[^']*'|\S+`)

// variants runs what a synopsis says: without all that can be left out, and with
// each of that by itself, in all its forms.
func (p *place) variants(t *testing.T, l line) {
	t.Helper()
	fail := func(text string, got ran) {
		if got.code != 0 && got.code != 1 {
			t.Errorf("%s: %s, that is %s: exit %d\n%s", l.at, l.text, text, got.code, got.errors)
		}
	}
	program, rest, _ := strings.Cut(l.text, " ")
	var always, maybe []string
	last := ""
	for _, m := range group.FindAllStringSubmatch(rest, -1) {
		switch {
		case strings.HasPrefix(m[0], "["):
			maybe = append(maybe, m[1])
		case strings.HasPrefix(m[0], "-"):
			always, last = append(always, m[0]), m[0]
		default:
			always = append(always, filled(t, l, last, m[0])[0])
		}
	}
	short := program + " " + strings.Join(always, " ")
	fail(short, p.run(t, short))
	for _, m := range maybe {
		name, value, has := strings.Cut(m, " ")
		forms := []string{name}
		switch {
		case has:
			forms = nil
			for _, v := range filled(t, l, name, value) {
				forms = append(forms, name+" "+v)
			}
		case !strings.HasPrefix(name, "-"):
			forms = filled(t, l, "", name)
		}
		for _, f := range forms {
			text := strings.Join([]string{short, f, with[program+" "+name]}, " ")
			if strings.Contains(short, " -generator ") && name != "-only" && name != "-selftest" && !full {
				text += " -only kb5cspd2" // it is not asked everything with every flag
			}
			fail(text, p.run(t, text))
		}
	}
}

// filled are the values for a word of a synopsis: a choice, what the table says,
// or the word itself where it is a value.
func filled(t *testing.T, l line, flag, word string) []string {
	t.Helper()
	program, _, _ := strings.Cut(l.text, " ")
	for _, key := range []string{program + " " + flag, flag, word} {
		if v, ok := values[key]; ok {
			return []string{v}
		}
	}
	if strings.ToUpper(word) == word && !regexp.MustCompile(`\d`).MatchString(word) {
		t.Errorf("%s: %s: nothing is known to put for %s %s", l.at, l.text, flag, word)
	}
	return strings.Split(word, "|")
}

// A synopsis names every flag that the program has, and no other.
func TestSynopsesNameAllFlags(t *testing.T) {
	t.Parallel()
	_, comments := documents(t)
	for _, program := range programs(t) {
		doc := comments["examples/"+program+"/doc.go"]
		if doc == "" {
			t.Errorf("%s has no doc.go", program)
		}
		var have []string
		for _, f := range flags(t, program) {
			have = append(have, f.name)
			if !regexp.MustCompile(`(^|[\s\[(])-` + f.name + `\b`).MatchString(doc) {
				t.Errorf("%s: its doc.go does not name -%s", program, f.name)
			}
		}
		for _, m := range regexp.MustCompile(`(?:^|[\s\[(])-([a-z][a-z-]*)`).FindAllStringSubmatch(doc, -1) {
			if !slices.Contains(have, m[1]) {
				t.Errorf("%s: its doc.go names -%s, which it does not have", program, m[1])
			}
		}
	}
}

// What the documents show of code, files and messages is what the programs take.
func TestDocumentedBlocks(t *testing.T) {
	t.Parallel()
	markdown, _ := documents(t)
	var source strings.Builder
	for _, tests := range []string{"/balance/*_test.go", "/balance/plan/*_test.go"} {
		paths, err := filepath.Glob(root + tests)
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %d tests, %v", tests, len(paths), err)
		}
		for _, path := range paths {
			source.WriteString(read(t, path))
		}
	}
	seen := map[string]int{}
	for at, text := range markdown {
		blocks, _ := fences(at, text)
		for _, b := range blocks {
			seen[b.lang]++
			switch b.lang {
			case "go":
				if !strings.Contains(source.String(), strings.TrimSpace(b.text)) {
					t.Errorf("%s: this code stands in no test as it is written here", b.at)
				}
			case "yaml":
				dir := t.TempDir()
				put(t, filepath.Join(dir, "it.yaml"), b.text)
				args, ok := map[string][]string{
					"household: Heather Lodge": {"weekplan", "-household", "it.yaml"}, "schema: fitchet.plan/1": {"audit", "it.yaml"},
					"species:":                {"foods", "-foods", "it.yaml", "muntjac-dice"},
					"schema: fitchet.known/1": {"audit", "-generator", "python3 " + absolute(t, "examples/audit/generators/python/simple.py"), "-only", "kb5cspd2", "-known", "it.yaml"},
				}[strings.SplitN(b.text, "\n", 2)[0]]
				if !ok {
					t.Errorf("%s: no program is known for this file", b.at)
					continue
				}
				if got := run(t, dir, "", args[0], args[1:]...); got.code == 2 || strings.Contains(b.text, "known") && got.code != 0 {
					t.Errorf("%s: %q: exit %d: %s%s", b.at, args, got.code, got.out, got.errors)
				}
			case "":
				for l := range strings.Lines(b.text) {
					var err error
					switch {
					case strings.HasPrefix(l, `{"type":"hello"`):
						_, err = corpus.ReadHello([]byte(strings.TrimSpace(l)))
					case strings.HasPrefix(l, `{"type":"answer"`):
						_, err = corpus.ReadReply([]byte(strings.TrimSpace(l)))
					default:
						continue
					}
					seen["message"]++
					if err != nil {
						t.Errorf("%s: %s: %v", b.at, l, err)
					}
				}
			default:
				t.Errorf("%s: nothing is known to do with %q", b.at, b.lang)
			}
		}
	}
	if seen["go"] < 2 || seen["yaml"] < 3 || seen["message"] < 4 {
		t.Errorf("too few blocks were found: %v", seen)
	}
}

func absolute(t *testing.T, path string) string {
	t.Helper()
	abs, err := filepath.Abs(filepath.Join(root, path))
	if err != nil {
		t.Fatal(err)
	}
	return abs
}
