package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"time"

	"fitchet.example/balance/corpus"
)

// Outcomes of one ask. The words are permanent.
const (
	outMet         = "met"           // the answer is right
	outMissed      = "missed"        // the answer is wrong
	outFault       = "fault"         // the generator says that it failed
	outCrash       = "crash"         // it ended before it answered
	outHalfLine    = "half-line"     // it ended in the middle of its answer
	outSilence     = "silence"       // it said nothing in twice the time
	outDeaf        = "deaf"          // it said nothing and never read the ask
	outSlow        = "slow"          // it answered, after the time was over
	outFlood       = "flood"         // a line longer than allowed, or lines without end
	outMemory      = "memory"        // more memory than allowed
	outNotUTF8     = "not-utf8"      // bytes that are not UTF-8
	outNotJSON     = "not-json"      // a line that is no JSON object
	outNotNumber   = "not-a-number"  // NaN or Infinity, which JSON does not have
	outRange       = "number-range"  // a number that no program could hold
	outNotAnswer   = "not-an-answer" // an object that is no answer
	outTwo         = "two-answers"   // more than one answer to one ask
	outWrongID     = "wrong-id"      // an answer to something that was not asked, or not now
	outTooMany     = "too-many"      // a plan with more servings than are believed
	outNoStart     = "no-start"      // it could not be started again
	outKnownPasses = "known-passes"  // it is listed as a known failure and passes
	outLibrary     = "not-judged"    // the answer could not be judged: our own failure
)

// outcomes are all of them with a sentence each, in the order of PROTOCOL.md.
func outcomes() [][2]string {
	return [][2]string{
		{outMet, "The answer is right."},
		{outMissed, "The answer is wrong: a plan that breaks rules, or a refusal where there is a plan or without the right reason."},
		{outFault, "The generator says itself that it failed."},
		{outCrash, "The generator ended before it answered."},
		{outHalfLine, "The generator ended in the middle of its answer."},
		{outSilence, "Nothing came in twice the time that is allowed, though the ask was read."},
		{outDeaf, "Nothing came in twice the time that is allowed, and the ask was never read."},
		{outSlow, "The answer came after the time that is allowed and before twice that."},
		{outFlood, "A line was longer than allowed, or lines came without end."},
		{outMemory, "The generator took more memory than allowed."},
		{outNotUTF8, "The line holds bytes that are not UTF-8."},
		{outNotJSON, "The line is not one JSON object."},
		{outNotNumber, "The line holds NaN or Infinity, which JSON does not have."},
		{outRange, "The line holds a number that no program could hold, such as 1e999."},
		{outNotAnswer, "The line is a JSON object and no answer."},
		{outTwo, "The ask was answered more than once, or with more than one of plan, refused and fault."},
		{outWrongID, "The answer names an id that was not asked, or that was answered before."},
		{outTooMany, "The plan holds more servings than are believed."},
		{outNoStart, "The generator could not be started again after it had ended."},
		{outKnownPasses, "The failure is listed as known and did not happen: take it off the list."},
		{outLibrary, "The answer could not be judged: a failure of this program, not of the generator."},
	}
}

// question is one ask with what is needed to judge the answer.
type question struct {
	id, title, failing string
	request            corpus.Request
	scenario           *corpus.Scenario
	drawn              bool
}

// result is the outcome of one question.
type result struct {
	n         int
	q         *question
	outcome   string
	text      string
	wrong     []corpus.Wrong
	answer    string // plan or refused
	known     string // the reason why it is known to fail
	took      time.Duration
	household string // of a drawn one that failed, as YAML
}

func (r *result) failed() bool { return r.outcome != outMet && r.known == "" }

// runner asks a generator.
type runner struct {
	command string
	cage    *cage
	bounds  bounds
	hello   []byte
	rules   []string // count only what is wrong by these
	known   map[string]corpus.Known
	seen    corpus.Hello
	notes   []string
	mu      sync.Mutex
	stop    <-chan struct{} // closed: the run is broken off
}

// questions are the scenarios that are wanted, and the drawn households behind
// them.
func questions(c *corpus.Corpus, only []string, random int, seed uint64) ([]question, error) {
	var out []question
	for _, s := range c.Scenarios {
		if only != nil && !slices.Contains(only, s.ID) {
			continue
		}
		q, err := c.Request(s)
		if err != nil {
			return nil, err
		}
		out = append(out, question{id: s.ID, title: s.Title, failing: s.Failing, request: q, scenario: s})
	}
	for _, id := range only {
		if _, ok := c.Scenario(id); !ok {
			return nil, fmt.Errorf("-only: no scenario has the id %q", id)
		}
	}
	for i := range random {
		chance := rand.New(rand.NewPCG(seed, uint64(i)))
		plenty := i%2 == 0
		q, err := c.Draw(func(_ string, n int) int { return chance.IntN(n) }, plenty)
		if err != nil {
			return nil, err
		}
		s := &corpus.Scenario{Want: corpus.WantEither}
		if plenty {
			s.Want, s.Why = corpus.WantPlan, "plenty of everything a balanced week needs is there."
		}
		out = append(out, question{
			id: fmt.Sprintf("drawn-%d-%d", seed, i), title: fmt.Sprintf("Drawn by chance, number %d of seed %d", i, seed),
			failing: "A house like this would be fed wrong.", request: q, scenario: s, drawn: true,
		})
	}
	return out, nil
}

// run asks all questions with that many programs at once and hands the results
// on in order. It fails with errInterrupted when it is broken off; no program runs
// then.
func (r *runner) run(qs []question, workers int, hand func(*result)) error {
	workers = max(1, min(workers, len(qs)))
	first, err := r.start()
	if err != nil {
		return fmt.Errorf("starting %q: %w", r.command, err)
	}
	r.seen = first.hello
	todo := make(chan int)
	got := make([]chan *result, len(qs))
	for i := range got {
		got[i] = make(chan *result, 1)
	}
	var all sync.WaitGroup
	for w := range workers {
		all.Add(1)
		go func() {
			defer all.Done()
			one := worker{r: r, asked: map[int64]bool{}, deliver: func(i int, res *result) { got[i] <- res }}
			if w == 0 {
				one.p = first
			}
			for i := range todo {
				one.take(i, &qs[i])
			}
			one.finish()
		}()
	}
	go func() {
		defer close(todo)
		for i := range qs {
			select {
			case todo <- i:
			case <-r.stop:
				return
			}
		}
	}()
	defer all.Wait()
	for i := range qs {
		select {
		case res := <-got[i]:
			hand(res)
		case <-r.stop:
			return errInterrupted
		}
	}
	return nil
}

// worker has one program at a time. A result waits until the next one is there:
// a second answer to the same ask shows only then.
type worker struct {
	r       *runner
	p       *process
	asked   map[int64]bool // ids of all asks
	last    *result
	lastID  int64
	lastAt  int
	deliver func(int, *result)
}

func (w *worker) take(i int, q *question) {
	res := &result{n: i + 1, q: q}
	began := time.Now()
	w.ask(res)
	if res.took == 0 {
		res.took = time.Since(began)
	}
	w.flush()
	w.last, w.lastAt = res, i
}

// flush hands on the result that waited.
func (w *worker) flush() {
	if w.last == nil {
		return
	}
	res := w.last
	w.last = nil
	if len(w.r.rules) > 0 && res.outcome == outMissed {
		res.wrong = slices.DeleteFunc(res.wrong, func(x corpus.Wrong) bool { return !slices.Contains(w.r.rules, x.ID) })
		if len(res.wrong) == 0 {
			res.outcome = outMet
		}
	}
	if k, ok := w.r.known[res.q.id]; ok {
		switch {
		case res.outcome == outMet:
			res.outcome, res.text = outKnownPasses, "listed as known: "+k.Reason
		case k.Outcome != "" && k.Outcome != res.outcome:
			res.text = joinText(res.text, fmt.Sprintf("listed as known to end with %s", k.Outcome))
		default:
			res.known = k.Reason
		}
	}
	if res.q.drawn && res.outcome != outMet {
		res.household = corpus.HouseholdYAML(res.q.request.Household)
	}
	w.deliver(w.lastAt, res)
}

// finish lets the program go and hands on the last result.
func (w *worker) finish() {
	if passed(w.r.stop) {
		w.end()
	}
	if w.p != nil {
		lines, note := w.p.leave()
		for _, line := range lines {
			w.late(line)
		}
		w.p = nil
		if note != "" {
			w.r.mu.Lock()
			if !slices.Contains(w.r.notes, note) {
				w.r.notes = append(w.r.notes, note)
			}
			w.r.mu.Unlock()
		}
	}
	w.flush()
}

// late looks at a line that came behind the last answer. What is no second
// answer to the same ask is a fault as well, if all was right until then.
func (w *worker) late(line []byte) {
	if w.last == nil {
		return
	}
	rep, err := corpus.ReadReply(line)
	again := (err == nil || errors.Is(err, corpus.ErrTwoAnswers)) && rep.ID == w.lastID
	switch {
	case again && (w.last.outcome == outMet || w.last.outcome == outMissed || w.last.outcome == outFault):
		w.last.outcome, w.last.text, w.last.wrong = outTwo, "another answer to the same ask came later", nil
	case again || w.last.outcome != outMet:
	case err != nil:
		w.last.outcome, w.last.text = outcomeOf(err), "behind the last answer: "+plainText(err.Error())
	default:
		w.last.outcome, w.last.text = outWrongID, "behind the last answer: "+w.notAsked(rep.ID)
	}
}

// notAsked says why an answer cannot be taken for one.
func (w *worker) notAsked(id int64) string {
	if w.asked[id] {
		return fmt.Sprintf("another answer to %d, which was answered before", id)
	}
	return fmt.Sprintf("an answer to %d, which was not asked", id)
}

// drawID draws the id of an ask: whoever answers before the ask does not know
// it. Nine digits are a whole number in every language.
func drawID() int64 { return 100_000_000 + rand.Int64N(900_000_000) }

// end stops the program; the next ask starts another.
func (w *worker) end() {
	if w.p != nil {
		w.p.kill()
		w.p = nil
	}
}

// ask puts one question and waits for its answer.
func (w *worker) ask(res *result) {
	say := func(outcome, format string, args ...any) {
		res.outcome, res.text = outcome, fmt.Sprintf(format, args...)
	}
	if w.p == nil {
		p, err := w.r.start()
		if err != nil {
			say(outNoStart, "%v", err)
			return
		}
		w.p = p
	}
	p, b := w.p, w.r.bounds
	id := drawID()
	for w.asked[id] {
		id = drawID()
	}
	w.asked[id] = true
	line, err := corpus.WriteAsk(id, res.q.request)
	if err != nil {
		say(outLibrary, "%v", err)
		return
	}
	began := time.Now()
	soon, late := began.Add(b.time), began.Add(2*b.time)
	sent := make(chan error, 1)
	go func() { sent <- p.send(line, late) }()
	timer := time.NewTimer(2 * b.time)
	defer timer.Stop()
	stray := 0
	for {
		select {
		case <-w.r.stop: // nobody reads the result
			w.end()
			return
		case <-p.over:
			say(outMemory, "more than %s", bytesText(b.memory))
			w.end()
			return
		case <-timer.C:
			left := unread(p.inRead)
			select {
			case err := <-sent:
				if err != nil {
					left = max(left, 1) // it was not even taken by the pipe
				}
			default:
				left = max(left, 1)
			}
			if left > 0 {
				say(outDeaf, "nothing came within %s, and %d bytes of the ask were not read%s", 2*b.time, left, p.said())
			} else {
				say(outSilence, "nothing came within %s%s", 2*b.time, p.said())
			}
			w.end()
			return
		case e := <-p.events:
			switch {
			case errors.Is(e.err, errFlood):
				say(outFlood, "a line of more than %s, beginning %q", bytesText(int64(b.line)), plainText(string(e.line)))
				w.end()
				return
			case errors.Is(e.err, errHalf):
				if passed(p.over) {
					say(outMemory, "more than %s", bytesText(b.memory))
				} else {
					say(outHalfLine, "%s; it said %q", p.ended(), plainText(string(clipLine(e.line))))
				}
				w.end()
				return
			case e.err != nil:
				if passed(p.over) {
					say(outMemory, "more than %s", bytesText(b.memory))
				} else {
					say(outCrash, "%s", p.ended())
				}
				w.end()
				return
			}
			rep, err := corpus.ReadReply(e.line)
			if w.last != nil && rep.ID == w.lastID {
				w.late(e.line) // a second answer to the ask before this one
				if stray++; stray > strayLines {
					say(outFlood, "more than %d lines for one ask", strayLines)
					w.end()
					return
				}
				continue
			}
			res.took = e.at.Sub(began)
			w.lastID = id
			switch {
			case err != nil:
				say(outcomeOf(err), "%s", plainText(err.Error()))
			case rep.ID != id:
				say(outWrongID, "%s; asked was %d", w.notAsked(rep.ID), id)
			case e.at.After(soon):
				say(outSlow, "it took %s, %s are allowed", res.took.Round(time.Millisecond), b.time)
			default:
				w.r.judge(res, rep)
			}
			return
		}
	}
}

func passed(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

// outcomeOf says what is wrong with a line.
func outcomeOf(err error) string {
	for _, k := range []struct {
		err     error
		outcome string
	}{
		{corpus.ErrNotUTF8, outNotUTF8}, {corpus.ErrNotNumber, outNotNumber}, {corpus.ErrNumberRange, outRange},
		{corpus.ErrTwoAnswers, outTwo}, {corpus.ErrNotMessage, outNotAnswer},
	} {
		if errors.Is(err, k.err) {
			return k.outcome
		}
	}
	return outNotJSON
}

// judge holds one answer against its question.
func (r *runner) judge(res *result, rep corpus.Reply) {
	var a corpus.Answer
	switch {
	case rep.Fault != "":
		res.outcome, res.text = outFault, plainText(rep.Fault)
		return
	case rep.Refused != nil:
		res.answer = "refused"
		rep.Refused.Reason = plainText(rep.Refused.Reason)
		a.Refused = rep.Refused
	default:
		res.answer = "plan"
		plan, err := res.q.request.ReadPlan(rep.Plan)
		if errors.Is(err, corpus.ErrTooMany) {
			res.outcome, res.text = outTooMany, err.Error()
			return
		}
		if err != nil {
			res.outcome, res.wrong = outMissed, []corpus.Wrong{{ID: corpus.PlanWhole, Text: plainText(err.Error())}}
			return
		}
		a.Plan = plan
	}
	j, err := corpus.Judge(res.q.request, res.q.scenario, a)
	switch {
	case err != nil:
		res.outcome, res.text = outLibrary, plainText(err.Error())
	case j.Good():
		res.outcome = outMet
	default:
		res.outcome = outMissed
		for _, w := range j.Wrong {
			res.wrong = append(res.wrong, corpus.Wrong{ID: w.ID, Text: plainText(w.Text)})
		}
	}
}

func joinText(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

func bytesText(n int64) string {
	for _, u := range []struct {
		size int64
		name string
	}{{1 << 30, "GiB"}, {1 << 20, "MiB"}, {1 << 10, "KiB"}} {
		if n >= u.size && n%u.size == 0 {
			return fmt.Sprintf("%d %s", n/u.size, u.name)
		}
	}
	return fmt.Sprintf("%d bytes", n)
}
