// Machines builds the programs for several kinds of machine, runs them on the
// same input and holds what they write against each other, byte by byte. The
// machine it runs on is the measure; the others are a 32-bit one of the same
// make, a processor that fuses products and sums (arm64, emulated by qemu), and
// WebAssembly under Node.
//
//	cd testdata/machines && go run . ../..
package main

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"
)

// machine is a kind of machine and how its programs are run here.
type machine struct {
	name, os, arch string
	with           []string // what a program is run with; none: this machine itself
}

func machines() []machine {
	all := []machine{
		{"here", runtime.GOOS, runtime.GOARCH, nil},
		{"arm64", "linux", "arm64", []string{"qemu-aarch64-static"}},
		{"wasm", "js", "wasm", []string{"node"}},
	}
	if runtime.GOARCH == "amd64" {
		all = append(all, machine{"386", "linux", "386", nil})
	}
	return all
}

// job is one run of a program.
type job struct {
	Program string   `json:"program"`
	Args    []string `json:"args"`
}

func (j job) String() string { return j.Program + " " + strings.Join(j.Args, " ") }

// outcome is what a run wrote.
type outcome struct {
	Code   int    `json:"code"`
	Stdout []byte `json:"stdout"`
	Stderr []byte `json:"stderr"`
}

func main() {
	log.SetFlags(0)
	drawn := flag.Int("drawn", 40, "how `many` drawn households are planned as well")
	on := flag.String("on", "386,arm64,wasm", "the `machines` to hold against this one, separated by commas")
	flag.Parse()
	if flag.NArg() != 1 {
		log.Fatal("want the folder of the repository")
	}
	differ, err := compare(flag.Arg(0), *drawn, strings.Split(*on, ","))
	if err != nil {
		log.Fatal(err)
	}
	if differ > 0 {
		os.Exit(1)
	}
}

// compare returns how many runs differ between the machines.
func compare(root string, drawn int, on []string) (differ int, err error) {
	root, err = filepath.Abs(root)
	if err != nil {
		return 0, err
	}
	jobs, err := list(root, drawn)
	if err != nil {
		return 0, err
	}
	bin, err := os.MkdirTemp("", "machines")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(bin)
	var want []outcome
	for _, m := range machines() {
		if want != nil && !slices.Contains(on, m.name) {
			continue // the first is this one
		}
		began := time.Now()
		dir := filepath.Join(bin, m.name)
		if err := build(root, dir, m); err != nil {
			return 0, fmt.Errorf("%s: %w", m.name, err)
		}
		built := time.Since(began)
		got, err := run(root, dir, m, jobs)
		if err != nil {
			return 0, fmt.Errorf("%s: %w", m.name, err)
		}
		if want == nil {
			want = got
		}
		bad := 0
		for i, j := range jobs {
			if text := difference(want[i], got[i]); text != "" {
				fmt.Printf("%s: %s: %s\n", m.name, j, text)
				bad++
			}
		}
		differ += bad
		fmt.Printf("%s (%s/%s): %d of %d runs differ; built in %s, run in %s\n", m.name, m.os, m.arch, bad, len(jobs), built.Round(time.Second), (time.Since(began) - built).Round(time.Second))
	}
	return differ, nil
}

// list are the runs that are compared: every program in every form on its
// samples, the planner on every sample household.
func list(root string, drawn int) (jobs []job, err error) {
	add := func(program string, args ...string) { jobs = append(jobs, job{program, args}) }
	find := func(pattern string) (out []string) {
		paths, globErr := filepath.Glob(filepath.Join(root, pattern))
		if globErr != nil || len(paths) == 0 {
			err = errors.Join(err, fmt.Errorf("%s: no such files", pattern))
		}
		for _, p := range paths {
			rel, relErr := filepath.Rel(root, p)
			err = errors.Join(err, relErr)
			out = append(out, filepath.ToSlash(rel))
		}
		return out
	}
	forms := []string{"text", "md", "html", "json", "ics"}
	for _, f := range forms {
		add("weekplan", "-format", f)
		for _, h := range find("examples/weekplan/testdata/[gl]*.yaml") {
			add("weekplan", "-household", h, "-format", f)
		}
	}
	for _, h := range find("examples/weekplan/testdata/bad-*.yaml") {
		add("weekplan", "-household", h)
	}
	for _, h := range find("testdata/corpus/households/*.yaml") {
		add("weekplan", "-household", h, "-format", "json")
	}
	for _, sheet := range []string{"door", "vet", "card"} {
		for _, f := range []string{"text", "html"} {
			add("weekplan", "-sheet", sheet, "-format", f)
		}
	}
	add("weekplan", "-costs", "-next", "2", "-styles")
	add("weekplan", "-plan", "examples/weekplan/testdata/week-by-hand.json", "-format", "md")
	add("weekplan", "-room", "27 °C", "-format", "json")
	for _, f := range []string{"text", "json", "junit", "md"} {
		add("audit", "-format", f)
	}
	add("audit", "-household", "examples/audit/household.yaml", "examples/audit/plan.yaml", "examples/weekplan/testdata/week-of-liver.json")
	add("audit", "-lint", "shipped")
	for _, f := range []string{"text", "json"} {
		add("logbook", "-format", f)
		add("logbook", "-sheet", "card", "-format", f)
		add("logbook", "-days", "14", "-format", f)
		add("switchover", "-format", f)
		add("foods", "-format", f, "chicken wing")
		add("foods", "-format", f)
		add("setout", "-format", f)
		for _, form := range []string{"soup", "minced", "pieces", "bone-in", "whole", "dried", "soaked"} {
			add("setout", "-format", f, "-detail", "-form", form, "-room", "3 h at 18 °C, 24 °C", "-warm", "40 min", "-hours", "12 h")
		}
	}
	for _, f := range []string{"md", "html", "text", "json", "csl", "bib"} {
		add("handout", "-format", f, "-long")
	}
	const each = 10
	for from := 0; from < drawn; from += each {
		add("plans", "-from", fmt.Sprint(from), "-n", fmt.Sprint(min(each, drawn-from)))
	}
	return jobs, err
}

// build makes the programs for a machine.
func build(root, dir string, m machine) error {
	cmd := exec.Command("go", "build", "-o", dir+string(filepath.Separator),
		"./examples/weekplan", "./examples/audit", "./examples/logbook", "./examples/switchover", "./examples/setout", "./examples/handout", "./examples/foods",
		"./balance/plan/internal/oracle/plans")
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+m.os, "GOARCH="+m.arch)
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("building: %w\n%s", err, out)
	}
	return nil
}

// run does all jobs on a machine, as many at once as there are processors.
func run(root, dir string, m machine, jobs []job) ([]outcome, error) {
	out := make([]outcome, len(jobs))
	var mu sync.Mutex
	var faults []error
	var all sync.WaitGroup
	slots := make(chan bool, runtime.NumCPU())
	do := func(f func() error) {
		all.Add(1)
		slots <- true
		go func() {
			defer func() { <-slots; all.Done() }()
			if err := f(); err != nil {
				mu.Lock()
				defer mu.Unlock()
				faults = append(faults, err)
			}
		}()
	}
	if slices.Equal(m.with, []string{"node"}) {
		// A program is compiled once and run for all its jobs.
		parts := map[string][]int{}
		for i, j := range jobs {
			parts[j.Program] = append(parts[j.Program], i)
		}
		for program, part := range parts {
			do(func() error { return node(root, filepath.Join(dir, program), jobs, part, out) })
		}
	} else {
		for i, j := range jobs {
			do(func() (err error) {
				out[i], err = one(root, slices.Concat(m.with, []string{filepath.Join(dir, j.Program)}, j.Args))
				return err
			})
		}
	}
	all.Wait()
	return out, errors.Join(faults...)
}

// one runs a program.
func one(root string, words []string) (outcome, error) {
	cmd := exec.Command(words[0], words[1:]...)
	cmd.Dir = root
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	var exit *exec.ExitError
	if err := cmd.Run(); err != nil && !errors.As(err, &exit) {
		return outcome{}, err
	}
	return outcome{cmd.ProcessState.ExitCode(), stdout.Bytes(), stderr.Bytes()}, nil
}

//go:embed run.cjs
var script string

// node runs the jobs of one program.
func node(root, program string, jobs []job, part []int, out []outcome) error {
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	var list [][]string
	for _, i := range part {
		list = append(list, jobs[i].Args)
	}
	task, err := json.Marshal(map[string]any{"program": program, "support": filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec.js"), "jobs": list})
	if err != nil {
		return err
	}
	cmd := exec.Command("node", "--stack-size=8192", "-e", script)
	cmd.Dir = root
	cmd.Env = []string{"PATH=" + os.Getenv("PATH")} // the arguments and the environment have 8 KiB
	cmd.Stdin = bytes.NewReader(task)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	data, err := cmd.Output()
	if err != nil {
		return fmt.Errorf("node, %s: %w\n%s", program, err, stderr.Bytes())
	}
	var got []outcome
	if err := json.Unmarshal(data, &got); err != nil || len(got) != len(part) {
		return fmt.Errorf("node, %s: %d of %d runs: %w", program, len(got), len(part), err)
	}
	for k, i := range part {
		out[i] = got[k]
	}
	return nil
}

// difference says where two outcomes part, "" if nowhere.
func difference(want, got outcome) string {
	if want.Code != got.Code {
		return fmt.Sprintf("exit %d, want %d: %s", got.Code, want.Code, got.Stderr)
	}
	for _, s := range []struct {
		name      string
		want, got []byte
	}{{"standard output", want.Stdout, got.Stdout}, {"standard error", want.Stderr, got.Stderr}} {
		if bytes.Equal(s.want, s.got) {
			continue
		}
		a, b := bytes.Split(s.want, []byte("\n")), bytes.Split(s.got, []byte("\n"))
		for i := range min(len(a), len(b)) {
			if !bytes.Equal(a[i], b[i]) {
				at := 0
				for at < min(len(a[i]), len(b[i])) && a[i][at] == b[i][at] {
					at++
				}
				cut := func(line []byte) []byte { return line[max(0, at-40):min(len(line), at+40)] }
				return fmt.Sprintf("%s, line %d, column %d: %q, want %q", s.name, i+1, at+1, cut(b[i]), cut(a[i]))
			}
		}
		return fmt.Sprintf("%s: %d lines, want %d", s.name, len(b), len(a))
	}
	return ""
}
