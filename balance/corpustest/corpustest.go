// Package corpustest tests a plan generator: with every scenario of the rule
// corpus, and with households drawn by chance.
//
//	func TestPlanner(t *testing.T) {
//		corpustest.Run(t, myPlanner{}, corpustest.Options{})
//	}
//
// [Run] makes one sub-test per scenario, by its permanent id, and then two
// properties: that a household with plenty of everything is never refused, and
// that no household, whatever it lacks, gets a plan that breaks a rule.
// [TestGenerator] does the same without a *testing.T and returns one error, in the
// manner of testing/fstest.
//
// A household on which a generator fails is made smaller until nothing can be
// left out, and printed as YAML, ready to become a scenario. The generator must
// give the same answer to the same request; one that does not is reported as
// flaky.
//
// The package imports pgregory.net/rapid, which registers flags of the test
// binary: import it from tests alone. RAPID_CHECKS sets how many households are
// drawn, -rapid.seed the seed.
package corpustest

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fitchet.example/balance/corpus"

	"pgregory.net/rapid"
)

// Options say what to test and how long to wait. The zero value tests everything.
type Options struct {
	// Corpus to test with; nil: the shipped one.
	Corpus *corpus.Corpus
	// Scenarios limits the scenarios to these ids; nil: all.
	Scenarios []string
	// Known are failures that are known, by scenario, with the reason. Each must
	// still fail.
	Known map[string]string
	// Without leaves requirements or rules out of account, by id, with the reason.
	Without map[string]string
	// Days are the lengths of plan that drawn households ask for; nil: 7, 3, 14, 1.
	Days []int
	// Timeout is how long one answer may take; 0: ten seconds.
	Timeout time.Duration
	// NoHouseholds leaves the drawn households out.
	NoHouseholds bool
}

func (o *Options) fill() error {
	if o.Timeout == 0 {
		o.Timeout = 10 * time.Second
	}
	if o.Corpus != nil {
		return nil
	}
	var err error
	o.Corpus, err = corpus.Shipped()
	return err
}

// Run tests the generator with a sub-test for every scenario and one for each
// property of drawn households.
func Run(t *testing.T, gen corpus.Generator, o Options) {
	t.Helper()
	if err := o.fill(); err != nil {
		t.Fatal(err)
	}
	for _, s := range o.Corpus.Scenarios {
		if o.Scenarios != nil && !slices.Contains(o.Scenarios, s.ID) {
			continue
		}
		t.Run(s.ID, func(t *testing.T) {
			if err := o.scenario(gen, s); err != nil {
				t.Error(err)
			}
		})
	}
	if o.NoHouseholds {
		return
	}
	t.Run("plenty", func(t *testing.T) { rapid.Check(t, o.property(gen, true)) })
	t.Run("any", func(t *testing.T) { rapid.Check(t, o.property(gen, false)) })
}

// TestGenerator tests the generator and returns nil, or one error that joins
// everything that is wrong.
func TestGenerator(gen corpus.Generator, o Options) error {
	if err := o.fill(); err != nil {
		return err
	}
	var errs []error
	for _, s := range o.Corpus.Scenarios {
		if o.Scenarios == nil || slices.Contains(o.Scenarios, s.ID) {
			errs = append(errs, o.scenario(gen, s))
		}
	}
	if !o.NoHouseholds {
		errs = append(errs, check("plenty", o.property(gen, true)), check("any", o.property(gen, false)))
	}
	return errors.Join(errs...)
}

// ask asks once, within the time there is. A panic of the generator is an error
// of it and not the end of the test.
func (o *Options) ask(gen corpus.Generator, q corpus.Request, s *corpus.Scenario) (*corpus.Judgement, error) {
	ctx, cancel := context.WithTimeout(context.Background(), o.Timeout)
	defer cancel()
	type reply struct {
		a   corpus.Answer
		err error
	}
	done := make(chan reply, 1)
	go func() {
		var r reply
		defer func() {
			if p := recover(); p != nil {
				r.err = fmt.Errorf("panic: %v", p)
			}
			done <- r
		}()
		r.a, r.err = gen.Plan(ctx, q)
	}()
	wrong := func(err error) *corpus.Judgement {
		return &corpus.Judgement{Wrong: []corpus.Wrong{{ID: corpus.ErrorFree, Text: err.Error()}}}
	}
	select {
	case r := <-done:
		if r.err != nil {
			return wrong(r.err), nil
		}
		j, err := corpus.Judge(q, s, r.a)
		if err == nil {
			j.Wrong = slices.DeleteFunc(j.Wrong, func(w corpus.Wrong) bool { _, without := o.Without[w.ID]; return without })
		}
		return j, err
	case <-ctx.Done():
		return wrong(fmt.Errorf("no answer within %s", o.Timeout)), nil
	}
}

func (o *Options) scenario(gen corpus.Generator, s *corpus.Scenario) error {
	q, err := o.Corpus.Request(s)
	if err != nil {
		return err
	}
	j, err := o.ask(gen, q, s)
	if err != nil {
		return err
	}
	why, known := o.Known[s.ID]
	switch {
	case known && j.Good():
		return fmt.Errorf("scenario %s passes and is listed as a known failure (%s): take it off the list", s.ID, why)
	case known || j.Good():
		return nil
	}
	return fmt.Errorf("scenario %s (%s): %s\n%s\twhy: %s\n\tfailing means: %s", s.ID, s.At, s.Title, lines(j), s.Why, s.Failing)
}

func lines(j *corpus.Judgement) string {
	var b strings.Builder
	for _, w := range j.Wrong {
		fmt.Fprintf(&b, "\t%s: %s\n", w.ID, w.Text)
	}
	return b.String()
}

// property draws a household and asks for a plan.
func (o *Options) property(gen corpus.Generator, plenty bool) func(*rapid.T) {
	return func(t *rapid.T) {
		pick := func(label string, n int) int { return rapid.IntRange(0, n-1).Draw(t, label) }
		q, err := o.Corpus.Draw(pick, plenty, o.Days...)
		if err != nil {
			t.Fatal(err)
		}
		var s *corpus.Scenario
		want := corpus.WantEither
		if plenty {
			want = corpus.WantPlan
			s = &corpus.Scenario{Want: want, Why: "plenty of everything a balanced week needs is there."}
		}
		j, err := o.ask(gen, q, s)
		if err != nil {
			t.Fatal(err)
		}
		if j.Good() {
			return
		}
		t.Fatalf("%s%s", lines(j), o.paste(q, want))
	}
}

// paste is a drawn household as it would stand in the corpus.
func (o *Options) paste(q corpus.Request, want corpus.Wanted) string {
	home := corpus.HouseholdYAML(q.Household)
	// The id is drawn from the household, so that a failure prints the same text twice.
	id, err := o.Corpus.NewID(&stream{seed: []byte(home)})
	if err != nil {
		id = "?"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\nThe smallest household found. To keep it, put this into households/%s.yaml:\n\n# Drawn by chance, and a generator failed on it.\n%s\n", id, home)
	fmt.Fprintf(&b, "and this into a file of scenarios:\n\n  - id: %s\n    title: SAY WHAT IS SPECIAL\n    ref: \"choice: drawn by chance\"\n    why: SAY WHY THE ANSWER IS RIGHT.\n    failing: SAY WHAT FAILING MEANS FOR THE ANIMAL.\n    household: households/%s.yaml\n", id, id)
	if q.Days != 7 {
		fmt.Fprintf(&b, "    days: %d\n", q.Days)
	}
	fmt.Fprintf(&b, "    want: %s\n", want)
	if want != corpus.WantPlan {
		b.WriteString("    because: [lacking, clash]\n")
	}
	return b.String()
}

// stream is chance that repeats: the digests of a text and a counter.
type stream struct {
	seed []byte
	n    int
	left []byte
}

func (s *stream) Read(p []byte) (int, error) {
	for i := range p {
		if len(s.left) == 0 {
			sum := sha256.Sum256(fmt.Appendf(slices.Clone(s.seed), "%d", s.n))
			s.left, s.n = sum[:], s.n+1
		}
		p[i], s.left = s.left[0], s.left[1:]
	}
	return len(p), nil
}

// check runs a property without a *testing.T and returns what it would have said.
func check(name string, prop func(*rapid.T)) error {
	r := &recorder{name: name}
	done := make(chan struct{})
	go func() { // FailNow ends the goroutine
		defer close(done)
		rapid.Check(r, prop)
	}()
	<-done
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.failed {
		return nil
	}
	return fmt.Errorf("households, %s: %s", name, strings.Join(r.said, "\n"))
}

// recorder is a test without a test.
type recorder struct {
	name   string
	mu     sync.Mutex
	failed bool
	said   []string
}

func (r *recorder) say(failed bool, text string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.failed = r.failed || failed
	r.said = append(r.said, text)
}

func (r *recorder) Helper()                           {}
func (r *recorder) Name() string                      { return r.name }
func (r *recorder) Logf(format string, args ...any)   { r.say(false, fmt.Sprintf(format, args...)) }
func (r *recorder) Log(args ...any)                   { r.say(false, fmt.Sprint(args...)) }
func (r *recorder) Skipf(format string, args ...any)  { r.Logf(format, args...); runtime.Goexit() }
func (r *recorder) Skip(args ...any)                  { r.Log(args...); runtime.Goexit() }
func (r *recorder) SkipNow()                          { runtime.Goexit() }
func (r *recorder) Errorf(format string, args ...any) { r.say(true, fmt.Sprintf(format, args...)) }
func (r *recorder) Error(args ...any)                 { r.say(true, fmt.Sprint(args...)) }
func (r *recorder) Fatalf(format string, args ...any) { r.Errorf(format, args...); runtime.Goexit() }
func (r *recorder) Fatal(args ...any)                 { r.Error(args...); runtime.Goexit() }
func (r *recorder) FailNow()                          { r.say(true, "failed"); runtime.Goexit() }
func (r *recorder) Fail()                             { r.say(true, "failed") }

func (r *recorder) Failed() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.failed
}

var _ rapid.TB = (*recorder)(nil)
