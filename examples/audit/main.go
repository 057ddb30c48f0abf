package main

import (
	"bytes"
	"crypto/rand"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"fitchet.example/balance"
	"fitchet.example/balance/corpus"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/examples/internal/page"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/testdata"
	"fitchet.example/units/strict"
)

// library is the version of this library, as it is told to generators.
const library = "fitchet 0"

//go:embed household.yaml
var rescue string

//go:embed plan.yaml
var rescuePlan string

func main() {
	enter()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// options are the flags as given.
type options struct {
	household, target, foods, rules, notices, region string
	generator, only, rule, known                     string
	random, workers, newID                           int
	seed                                             uint64
	time                                             time.Duration
	line, memory                                     string
	selftest                                         bool
	write, lint                                      string
	format, out                                      string
	reports                                          []wanted
}

// wanted is a report that was asked for.
type wanted struct{ format, path string }

// defaults of the bounds, stated once: the help text prints them.
const (
	defaultTime   = 10 * time.Second
	defaultLine   = "16MiB"
	defaultMemory = "1GiB"
	defaultSeed   = 1
)

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var o options
	fs := cli.NewFlags("audit", stdin, stdout, stderr)
	fs.InFile(&o.household, "household", "household `file` of the plans; without one nobody's need is known")
	fs.StringVar(&o.target, "target", "", "`id` of the target to judge by, instead of the plan's own")
	fs.InFile(&o.foods, "foods", "`file` of your own foods, laid over the shipped ones")
	fs.InFile(&o.rules, "rules", "`file` of your own rules, laid over the shipped ones")
	fs.InFile(&o.notices, "notices", "`file` of notices (bird flu, recalls)")
	fs.StringVar(&o.region, "region", "", "`region` for the notices; default: the household's")
	fs.StringVar(&o.generator, "generator", "", "`command` of a plan generator to ask the corpus's scenarios")
	fs.StringVar(&o.only, "only", "", "ask these scenarios alone: `ids`, separated by commas")
	fs.StringVar(&o.rule, "rule", "", "count only what is wrong by these rules or requirements: `ids`, separated by commas")
	fs.InFile(&o.known, "known", "`file` of known failures, which must still fail")
	fs.IntVar(&o.random, "random", 0, "ask about `n` households drawn by chance as well")
	fs.Uint64Var(&o.seed, "seed", defaultSeed, "`seed` of the drawn households")
	fs.DurationVar(&o.time, "time", defaultTime, "`time` for one answer")
	fs.StringVar(&o.line, "line", defaultLine, "longest line of a generator, as a `size`")
	fs.StringVar(&o.memory, "memory", defaultMemory, "most memory of a generator, as a `size`; 0: any")
	fs.IntVar(&o.workers, "workers", processors(), "`n` programs or plans at once")
	fs.BoolVar(&o.selftest, "selftest", false, "check how the generator speaks, not what it plans")
	fs.StringVar(&o.write, "write", "", "copy the corpus into this `directory`")
	fs.StringVar(&o.lint, "lint", "", "judge the corpus in this `directory`; \"shipped\" for the embedded one")
	fs.IntVar(&o.newID, "new-id", 0, "draw `n` permanent ids that are free")
	fs.StringVar(&o.format, "format", "text", "`form` of the report: text, json, junit or md")
	fs.OutFile(&o.out)
	fs.Func("report", "another report, as `format=file`; may be given several times", func(s string) error {
		format, path, ok := strings.Cut(s, "=")
		if !ok || path == "" {
			return errors.New("want a format and a file, as in junit=audit.xml")
		}
		o.reports = append(o.reports, wanted{format, path})
		fs.Writes("-report", path)
		return nil
	})
	if code, more := fs.Parse(args); !more {
		return code
	}
	code, err := o.do(fs, stdin, stdout)
	if err != nil {
		cli.Complain(stderr, "audit", err)
		return cli.Unusable
	}
	return code
}

// modes are the ways in which the program is used, each by its flag.
func (o *options) modes() (n int) {
	for _, used := range []bool{o.generator != "", o.write != "", o.lint != "", o.newID > 0} {
		if used {
			n++
		}
	}
	return n
}

func (o *options) do(fs *cli.Flags, stdin io.Reader, stdout io.Writer) (int, error) {
	args := fs.Args()
	switch n := o.modes(); {
	case n > 1:
		return 0, errors.New("-generator, -write, -lint and -new-id are separate uses: give one")
	case n == 1 && len(args) > 0:
		return 0, fmt.Errorf("%q: plans are not judged in the same run", args[0])
	case o.generator == "" && (o.selftest || o.known != "" || o.only != "" || o.random > 0):
		return 0, errors.New("-selftest, -known, -only and -random go with -generator")
	case (o.out != "" || len(o.reports) > 0) && (o.selftest || o.write != "" || o.lint != "" || o.newID > 0):
		return 0, errors.New("-out and -report are for what is judged: plans, or the answers of a generator")
	case !slices.Contains(formats(), o.format):
		return 0, fmt.Errorf("-format %q: want %s", o.format, strings.Join(formats(), ", "))
	case o.workers < 1 || o.workers > 256:
		return 0, fmt.Errorf("-workers %d: want 1 to 256", o.workers)
	case o.random < 0 || o.random > 100_000:
		return 0, fmt.Errorf("-random %d: want 0 to 100000", o.random)
	case o.time < time.Millisecond || o.time > time.Hour:
		return 0, fmt.Errorf("-time %s: want 1ms to 1h", o.time)
	}
	switch {
	case o.write != "":
		return o.writeCorpus(stdout)
	case o.lint != "":
		return o.lintCorpus(stdout)
	case o.newID > 0:
		return o.newIDs(stdout)
	case o.generator != "":
		return o.generate(fs, stdin, stdout)
	}
	return o.plans(fs, stdin, stdout)
}

func (o *options) writeCorpus(stdout io.Writer) (int, error) {
	c, err := corpus.Shipped()
	if err != nil {
		return 0, err
	}
	n, err := writeCopy(o.write, c)
	if err != nil {
		return 0, err
	}
	_, err = fmt.Fprintf(stdout, "%d files of corpus %s in %s: %d cases, %d scenarios\n", n, c.Version, strict.Line(o.write), len(c.Cases), len(c.Scenarios))
	return cli.Well, err
}

func (o *options) lintCorpus(stdout io.Writer) (int, error) {
	fsys := testdata.Corpus()
	if o.lint != "shipped" {
		if _, err := os.Stat(o.lint); err != nil {
			return 0, cli.Named("reading", o.lint, err)
		}
		fsys = os.DirFS(o.lint)
	}
	if err := corpus.Lint(fsys); err != nil {
		for line := range strings.SplitSeq(err.Error(), "\n") {
			page.Put(stdout, "%s\n", line)
		}
		return cli.Mend, nil
	}
	_, err := fmt.Fprintf(stdout, "%s: in order\n", strict.Line(o.lint))
	return cli.Well, err
}

func (o *options) newIDs(stdout io.Writer) (int, error) {
	c, err := corpus.Shipped()
	if err != nil {
		return 0, err
	}
	for range min(o.newID, 1000) {
		id, err := c.NewID(rand.Reader)
		if err != nil {
			return 0, err
		}
		if _, err := fmt.Fprintln(stdout, id); err != nil {
			return 0, err
		}
	}
	return cli.Well, nil
}

// size reads "16MiB", "512 KiB" or a number of bytes.
func size(s string) (int64, error) {
	num, shift := strings.TrimSpace(s), 0
	for unit, by := range map[string]int{"KiB": 10, "MiB": 20, "GiB": 30} {
		if n, ok := strings.CutSuffix(num, unit); ok {
			num, shift = strings.TrimSpace(n), by
			break
		}
	}
	n, err := strconv.ParseInt(num, 10, 32)
	if err != nil || n < 0 || n<<shift>>shift != n {
		return 0, fmt.Errorf("size %q: want a number of bytes, KiB, MiB or GiB, as in 16MiB", s)
	}
	return n << shift, nil
}

// reporters are the report for standard output and those for files.
func (o *options) reporters(stdout io.Writer) (many, error) {
	main, err := newReporter(o.format, o.out, stdout)
	if err != nil {
		return nil, err
	}
	out := many{main}
	for _, s := range o.reports {
		r, err := newReporter(s.format, s.path, stdout)
		if err != nil {
			return nil, errors.Join(fmt.Errorf("-report: %w", err), out.drop(nil))
		}
		out = append(out, r)
	}
	return out, nil
}

func words(s string) []string {
	if s == "" {
		return nil
	}
	var out []string
	for w := range strings.SplitSeq(s, ",") {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return out
}

// knownRules checks the ids of -rule: a misspelt one would hide everything.
func knownRules(ids []string, book *balance.Book) error {
	for _, id := range ids {
		_, ok := book.Rule(id)
		ok = ok || slices.ContainsFunc(corpus.Requirements(), func(r [2]string) bool { return r[0] == id })
		if !ok {
			return fmt.Errorf("-rule: no rule and no requirement has the id %q", id)
		}
	}
	return nil
}

// asker reads everything that a generator is asked with.
func (o *options) asker(c *corpus.Corpus, stdin io.Reader) (*runner, error) {
	r := &runner{command: o.generator, rules: words(o.rule), bounds: bounds{time: o.time}}
	if err := knownRules(r.rules, c.Book()); err != nil {
		return nil, err
	}
	line, err := size(o.line)
	if err != nil {
		return nil, fmt.Errorf("-line: %w", err)
	}
	r.bounds.line = int(line)
	if r.bounds.memory, err = size(o.memory); err != nil {
		return nil, fmt.Errorf("-memory: %w", err)
	}
	if r.hello, err = c.WriteHello(library); err != nil {
		return nil, err
	}
	if o.known != "" {
		r.known, err = cli.Load(o.known, stdin, c.LoadKnown)
	}
	return r, err
}

// generate asks a generator.
func (o *options) generate(fs *cli.Flags, stdin io.Reader, stdout io.Writer) (int, error) {
	for _, path := range filesOf(o.generator) {
		fs.Reads("-generator", path)
	}
	if err := fs.Apart(); err != nil {
		return 0, err
	}
	c, err := corpus.Shipped()
	if err != nil {
		return 0, err
	}
	r, err := o.asker(c, stdin)
	if err != nil {
		return 0, err
	}
	ctx, cancel := interruptible()
	defer cancel()
	r.stop = ctx.Done()
	keepOnPipe()
	if r.cage, err = newCage(); err != nil {
		return 0, err
	}
	if o.selftest {
		return selftest(r, c, stdout)
	}
	qs, err := questions(c, words(o.only), o.random, o.seed)
	if err != nil {
		return 0, err
	}
	if len(qs) == 0 {
		return 0, errors.New("nothing to ask")
	}
	reports, err := o.reporters(stdout)
	if err != nil {
		return 0, err
	}
	defer reports.drop(nil)
	var s summary
	opened := false
	open := func() {
		h := header{What: "generator", Corpus: c.Version, Command: o.generator, Generator: &r.seen, Bounds: &r.bounds, Workers: min(o.workers, len(qs))}
		if o.random > 0 {
			h.Seed = &o.seed
		}
		reports.open(h)
		opened = true
	}
	err = r.run(qs, o.workers, func(res *result) {
		if !opened {
			open()
		}
		s.Results++
		switch {
		case res.known != "":
			s.Known++
		case res.failed():
			s.Failed++
		default:
			s.Met++
		}
		reports.result(res)
	})
	if err != nil {
		if errors.Is(err, errInterrupted) {
			err = reports.drop(errInterrupted)
		}
		return 0, err
	}
	s.Notes = r.notes
	if r.bounds.memory > 0 && !memoryIsSeen {
		s.Notes = append(s.Notes, "the memory of a program cannot be seen on this system, so its bound was not held")
	}
	return finish(reports, s)
}

// filesOf are the files that the words of a command name.
func filesOf(command string) []string {
	between := func(marks string) []string {
		return strings.FieldsFunc(command, func(r rune) bool { return strings.ContainsRune(marks, r) })
	}
	return slices.DeleteFunc(slices.Concat(between(" \t\n'\"=;&|<>()"), between("'\"")), func(word string) bool {
		at, err := os.Stat(word)
		return err != nil || !at.Mode().IsRegular()
	})
}

// finish closes the reports. A report that could not be written makes the run
// unusable, whatever it found.
func finish(reports many, s summary) (int, error) {
	if s.Failed > 0 {
		s.Exit = cli.Mend
	}
	return s.Exit, reports.close(s)
}

// plans judges plans.
func (o *options) plans(fs *cli.Flags, stdin io.Reader, stdout io.Writer) (int, error) {
	list := []source{{name: "plan.yaml (embedded)", open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(rescuePlan)), nil }}}
	if fs.NArg() > 0 {
		var err error
		if list, err = sources(fs.Args(), stdin); err != nil {
			return 0, err
		}
		for _, s := range list {
			fs.Reads("the audit", s.path)
		}
		if err := fs.Apart(); err != nil {
			return 0, err
		}
	}
	a, err := o.auditor(fs.NArg() == 0, stdin)
	if err != nil {
		return 0, err
	}
	ctx, cancel := interruptible()
	defer cancel()
	reports, err := o.reporters(stdout)
	if err != nil {
		return 0, err
	}
	defer reports.drop(nil)
	whole := len(list) == 1 && !list[0].stream
	reports.open(header{What: "plans"}) // the same on every machine
	var s summary
	unusable := 0
	err = a.all(list, o.workers, ctx.Done(), func(res *audited) {
		s.Results++
		res.whole = whole
		switch res.outcome {
		case "met":
			s.Met++
		case "unusable":
			unusable++
			s.Failed++
		default:
			s.Failed++
		}
		reports.plan(res)
	})
	if errors.Is(err, errInterrupted) {
		return 0, reports.drop(err)
	}
	if err != nil {
		s.Notes = append(s.Notes, err.Error())
	}
	code, closeErr := finish(reports, s)
	if err := errors.Join(err, closeErr); err != nil {
		return 0, err
	}
	if unusable > 0 {
		return cli.Unusable, nil
	}
	return code, nil
}

// auditor reads everything that plans are judged by.
func (o *options) auditor(embedded bool, stdin io.Reader) (*auditor, error) {
	a := &auditor{rules: words(o.rule)}
	k, err := kit.Files{Foods: o.foods, Rules: o.rules, Notices: o.notices}.Load(stdin)
	if err != nil {
		return nil, err
	}
	a.foods, a.book = k.Foods, k.Book
	if err := knownRules(a.rules, a.book); err != nil {
		return nil, err
	}
	if o.target != "" {
		if a.target, err = a.book.Target(o.target); err != nil {
			return nil, fmt.Errorf("-target: %w", err)
		}
	}
	read := func(name string, r io.Reader) (*ration.Household, error) {
		h, _, err := ration.LoadHousehold(name, r, a.foods)
		return h, err
	}
	switch {
	case o.household != "":
		a.house, err = cli.Load(o.household, stdin, read)
	case embedded:
		a.house, err = read("household.yaml (embedded)", bytes.NewReader([]byte(rescue)))
	}
	if err != nil {
		return nil, err
	}
	about := safety.Context{Region: o.region}
	if a.house != nil {
		a.needs = a.house.Needs()
		about.On = a.house.Start
		if about.Region == "" {
			about.Region = a.house.Region
		}
	}
	if o.notices != "" {
		about.Notices = k.Notices
	}
	a.screen, err = safety.NewHazardCheck(nil, a.foods, about)
	return a, err
}
