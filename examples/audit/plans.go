package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units/strict"
)

// auditor judges plans by one book, household and set of notices. It is safe for
// concurrent use.
type auditor struct {
	book   *balance.Book
	foods  *prey.Catalogue
	screen *safety.HazardCheck
	house  *ration.Household // nil: nobody's need is known
	needs  []ration.Need
	target *shares.Target // nil: the plan's own
	rules  []string       // count only these
}

// judge reads and audits one plan.
func (a *auditor) judge(source string, data []byte) *audited {
	out := &audited{source: source}
	fail := func(err error) *audited {
		out.outcome, out.err = "unusable", err
		return out
	}
	if len(data) > strict.MaxBytes {
		return fail(fmt.Errorf("%s:1:1: more than %d bytes", source, strict.MaxBytes))
	}
	plan, err := ration.LoadPlan(source, bytes.NewReader(data), a.foods, a.house)
	if err != nil {
		return fail(err)
	}
	needs := a.needs
	if a.house != nil {
		if err := a.house.CheckPlan(plan); err != nil {
			return fail(fmt.Errorf("%s: %w", source, err))
		}
		if plan.Start != a.house.FirstDay() {
			needs = nil // those of its own first day
		}
	}
	rep, err := balance.Audit(balance.Input{Plan: plan, Household: a.house, Needs: needs, Target: a.target, Book: a.book, HazardCheck: a.screen, Foods: a.foods})
	if err != nil {
		return fail(err)
	}
	if fed := rep.Tally(); fed.Mass() == 0 {
		return fail(fmt.Errorf("%s: %w: there is no food in it", source, balance.ErrPlan))
	}
	out.report, out.outcome = rep, "met"
	for i := range rep.Findings {
		f := &rep.Findings[i]
		switch {
		case len(a.rules) > 0 && !slices.Contains(a.rules, f.Rule.ID):
		case f.Verdict == balance.Open:
			out.open++
		case f.Verdict == balance.Missed && f.Severity != balance.Watch:
			out.missed = append(out.missed, f)
		}
	}
	if len(out.missed) > 0 {
		out.outcome = "missed"
	}
	return out
}

// source is one plan to judge: a file, or lines of a stream.
type source struct {
	name   string
	path   string // "" when it is no file, "-" standard input
	open   func() (io.ReadCloser, error)
	stream bool // JSON Lines
}

// sources are the plans that the arguments name.
func sources(args []string, stdin io.Reader) ([]source, error) {
	var out []source
	file := func(path string) {
		out = append(out, source{name: strict.Line(path), path: path, open: func() (io.ReadCloser, error) {
			f, err := os.Open(path)
			if err != nil {
				return nil, cli.Named("reading", path, err)
			}
			return f, nil
		}, stream: strings.HasSuffix(path, ".jsonl")})
	}
	for _, arg := range args {
		if arg == "-" {
			out = append(out, source{name: "standard input", path: "-", open: func() (io.ReadCloser, error) { return io.NopCloser(stdin), nil }, stream: true})
			continue
		}
		info, err := os.Stat(arg)
		if err != nil {
			return nil, cli.Named("reading", arg, err)
		}
		if !info.IsDir() {
			file(arg)
			continue
		}
		before := len(out)
		err = filepath.WalkDir(arg, func(path string, d fs.DirEntry, err error) error {
			if err == nil && d.Type().IsRegular() {
				switch filepath.Ext(path) {
				case ".yaml", ".yml", ".json", ".jsonl":
					file(path)
				}
			}
			return err
		})
		if err != nil {
			return nil, cli.Named("reading", arg, err)
		}
		if len(out) == before {
			return nil, fmt.Errorf("%s holds no plan: no file ends with .yaml, .yml, .json or .jsonl", strict.Line(arg))
		}
	}
	return out, nil
}

// job is one plan on its way through.
type job struct {
	name string
	data []byte
	err  error
	done chan *audited
}

// all judges every plan of the sources on all processors and hands the results on
// in order, until stop is closed. Only a few plans are held at any time.
func (a *auditor) all(list []source, workers int, stop <-chan struct{}, hand func(*audited)) error {
	jobs := make(chan *job)
	order := make(chan *job, 4*workers) // bounds what is held
	var readErr error
	go func() {
		defer close(order)
		defer close(jobs)
		put := func(j *job) bool {
			j.done = make(chan *audited, 1)
			select {
			case order <- j:
			case <-stop:
				return false
			}
			jobs <- j
			return true
		}
		for _, s := range list {
			if readErr = read(s, put); readErr != nil {
				return
			}
		}
	}()
	var busy sync.WaitGroup
	for range workers {
		busy.Add(1)
		go func() {
			defer busy.Done()
			for j := range jobs {
				if j.err != nil {
					j.done <- &audited{source: j.name, outcome: "unusable", err: j.err}
					continue
				}
				j.done <- a.judge(j.name, j.data)
			}
		}()
	}
	for n := 1; ; n++ {
		select {
		case <-stop: // whoever reads may wait for input that never comes
			return errInterrupted
		case j, more := <-order:
			if !more {
				busy.Wait()
				return readErr
			}
			res := <-j.done
			res.n = n
			hand(res)
		}
	}
}

// read hands on the plans of one source. What cannot be read is a plan that
// cannot be used, save for standard input, whose end ends everything.
func read(s source, put func(*job) bool) error {
	f, err := s.open()
	if err != nil {
		put(&job{name: s.name, err: err})
		return nil
	}
	defer f.Close()
	if !s.stream {
		data, err := io.ReadAll(io.LimitReader(f, strict.MaxBytes+1))
		put(&job{name: s.name, data: data, err: err})
		return nil
	}
	r := bufio.NewReaderSize(f, 64<<10)
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s, line %d", s.name, n)
		line, long, err := readLine(r)
		switch {
		case long:
			if !put(&job{name: name, err: fmt.Errorf("%s: more than %d bytes", name, strict.MaxBytes)}) {
				return nil
			}
		case len(bytes.TrimSpace(line)) > 0:
			if !put(&job{name: name, data: line}) {
				return nil
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading %s: %w", s.name, err)
		}
	}
}

// readLine reads a line of at most strict.MaxBytes; of a longer one it keeps
// nothing and says so.
func readLine(r *bufio.Reader) (line []byte, long bool, err error) {
	for {
		chunk, err := r.ReadSlice('\n')
		if len(line)+len(chunk) > strict.MaxBytes {
			line, long = nil, true
		}
		if !long {
			line = append(line, chunk...)
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return line, long, err
		}
	}
}

func processors() int { return max(1, runtime.NumCPU()) }
