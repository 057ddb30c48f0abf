package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"fitchet.example/balance/corpus"
	"fitchet.example/examples/internal/cli"
)

// selftest checks how a program speaks: the handshake, the form of its answers,
// and whether it says the same twice. What it plans is not looked at, so a
// harness can be got right before the first plan is.
func selftest(r *runner, c *corpus.Corpus, stdout io.Writer) (int, error) {
	t := &speech{r: r, c: c, w: stdout}
	for _, s := range []struct {
		name string
		do   func() error
	}{
		{"says hello, with its name, its version and the protocol", t.hello},
		{"answers an ask under its id", t.answers},
		{"answers one ask after another without being started again", t.second},
		{"answers the largest household, a long line", t.large},
		{"answers where there is nothing to plan with, by a refusal with a reason", t.refuses},
		{"gives the same answer to the same ask", t.same},
		{"takes no notice of keys it does not know", t.unknown},
		{"writes nothing but answers to its standard output", t.quiet},
		{"ends by itself after bye", t.bye},
		{"ends by itself when its input ends without bye", t.eof},
	} {
		err := s.do()
		mark := "ok  "
		switch {
		case errors.Is(err, errSkipped):
			mark = "-   "
		case err != nil:
			mark = "FAIL"
			t.failed++
		}
		fmt.Fprintf(stdout, "%s %s\n", mark, s.name)
		if err != nil && !errors.Is(err, errSkipped) {
			fmt.Fprintf(stdout, "     %s\n", plainText(err.Error()))
		}
	}
	if t.p != nil {
		t.p.kill()
	}
	if passed(r.stop) {
		return 0, errInterrupted
	}
	if t.failed > 0 {
		fmt.Fprintf(stdout, "%d of the checks failed; PROTOCOL.md says what is asked\n", t.failed)
		return cli.Mend, nil
	}
	_, err := fmt.Fprintf(stdout, "%s %s speaks the protocol\n", plainText(t.r.seen.Name), plainText(t.r.seen.Version))
	return cli.Well, err
}

var errSkipped = errors.New("not looked at: the program does not run")

type speech struct {
	r      *runner
	c      *corpus.Corpus
	w      io.Writer
	p      *process
	id     int64 // of the last ask
	failed int
	stray  int
	first  []byte // the answer to the first ask, without its id
}

func (t *speech) hello() error {
	p, err := t.r.start()
	if err != nil {
		return err
	}
	t.p, t.r.seen = p, p.hello
	return nil
}

// ask sends one line and returns the answer to it. Other lines are counted.
func (t *speech) ask(q corpus.Request, change func([]byte) []byte) (corpus.Reply, error) {
	if t.p == nil {
		return corpus.Reply{}, errSkipped
	}
	t.id = drawID()
	line, err := corpus.WriteAsk(t.id, q)
	if err != nil {
		return corpus.Reply{}, err
	}
	if change != nil {
		line = change(line)
	}
	gone := func(err error) error {
		t.p.kill()
		t.p = nil
		return err
	}
	end := time.Now().Add(t.r.bounds.time)
	if err := t.p.send(line, end); err != nil {
		return corpus.Reply{}, gone(fmt.Errorf("it does not read its input: %w", err))
	}
	timer := time.NewTimer(time.Until(end))
	defer timer.Stop()
	for {
		select {
		case <-timer.C:
			return corpus.Reply{}, gone(t.p.explain(fmt.Errorf("no answer within %s", t.r.bounds.time)))
		case e := <-t.p.events:
			if e.err != nil {
				why := fmt.Errorf("%w; %s", e.err, t.p.ended())
				return corpus.Reply{}, gone(why)
			}
			rep, err := corpus.ReadReply(e.line)
			if err != nil {
				t.stray++
				return rep, fmt.Errorf("it said %q: %w", plainText(string(clipLine(e.line))), err)
			}
			if rep.ID != t.id {
				t.stray++
				return rep, fmt.Errorf("the answer is to %d, asked was %d", rep.ID, t.id)
			}
			return rep, nil
		}
	}
}

// pick is the scenario with the longest or the shortest ask, by its want.
func (t *speech) pick(longest bool, want corpus.Wanted) (corpus.Request, error) {
	var best corpus.Request
	size := -1
	for _, s := range t.c.Scenarios {
		if s.Want != want {
			continue
		}
		q, err := t.c.Request(s)
		if err != nil {
			return best, err
		}
		b, err := q.MarshalJSON()
		if err != nil {
			return best, err
		}
		if size < 0 || longest == (len(b) > size) && len(b) != size {
			best, size = q, len(b)
		}
	}
	return best, nil
}

func (t *speech) any() (corpus.Request, error) {
	s := t.c.Scenarios[slices.IndexFunc(t.c.Scenarios, func(s *corpus.Scenario) bool { return s.Want == corpus.WantPlan })]
	return t.c.Request(s)
}

func (t *speech) answers() error {
	q, err := t.any()
	if err != nil {
		return err
	}
	rep, err := t.ask(q, nil)
	t.first = essence(rep)
	if err == nil && rep.Plan != nil {
		if _, bad := q.ReadPlan(rep.Plan); bad != nil {
			err = fmt.Errorf("its plan does not fit the schema: %w", bad)
		}
	}
	return err
}

func essence(r corpus.Reply) []byte {
	b, err := json.Marshal(struct {
		P json.RawMessage
		R *corpus.Refusal
		F string
	}{r.Plan, r.Refused, r.Fault})
	if err != nil {
		return nil
	}
	return b
}

func (t *speech) second() error {
	q, err := t.pick(false, corpus.WantPlan)
	if err != nil {
		return err
	}
	_, err = t.ask(q, nil)
	return err
}

func (t *speech) large() error {
	q, err := t.pick(true, corpus.WantPlan)
	if err != nil {
		return err
	}
	_, err = t.ask(q, nil)
	return err
}

func (t *speech) refuses() error {
	i := slices.IndexFunc(t.c.Scenarios, func(s *corpus.Scenario) bool { return s.Title == "Nothing but eggs and oil" })
	if i < 0 {
		return errSkipped
	}
	q, err := t.c.Request(t.c.Scenarios[i])
	if err != nil {
		return err
	}
	rep, err := t.ask(q, nil)
	if err != nil {
		return err
	}
	if rep.Refused == nil {
		return errors.New("it did not refuse a house that holds eggs and oil alone")
	}
	j, err := corpus.Judge(q, nil, corpus.Answer{Refused: rep.Refused})
	if err != nil {
		return err
	}
	if !j.Good() {
		return fmt.Errorf("%s: %s", j.Wrong[0].ID, j.Wrong[0].Text)
	}
	return nil
}

func (t *speech) same() error {
	q, err := t.any()
	if err != nil {
		return err
	}
	rep, err := t.ask(q, nil)
	if err == nil && !bytes.Equal(essence(rep), t.first) {
		err = errors.New("the first ask was answered otherwise the second time")
	}
	return err
}

func (t *speech) unknown() error {
	q, err := t.any()
	if err != nil {
		return err
	}
	rep, err := t.ask(q, func(line []byte) []byte {
		return bytes.Replace(line, []byte(`{"type":"ask",`), []byte(`{"type":"ask","since-later":{"a":[1]},`), 1)
	})
	if err == nil && !bytes.Equal(essence(rep), t.first) {
		err = errors.New("a key it does not know changed its answer")
	}
	return err
}

func (t *speech) quiet() error {
	switch {
	case t.p == nil:
		return errSkipped
	case t.stray > 0:
		return fmt.Errorf("%d lines answered nothing", t.stray)
	}
	select {
	case e := <-t.p.events:
		return fmt.Errorf("it said more than was asked: %q", plainText(string(clipLine(e.line))))
	case <-time.After(50 * time.Millisecond):
		return nil
	}
}

func (t *speech) bye() error {
	if t.p == nil {
		return errSkipped
	}
	lines, note := t.p.leave()
	t.p = nil
	switch {
	case note != "":
		return errors.New(note)
	case len(lines) > 0:
		return fmt.Errorf("it said %q after bye", plainText(string(clipLine(lines[0]))))
	}
	return nil
}

func (t *speech) eof() error {
	p, err := t.r.start()
	if err != nil {
		return err
	}
	defer p.kill()
	_ = p.in.Close()
	_ = p.inRead.Close()
	timer := time.NewTimer(t.r.bounds.time)
	defer timer.Stop()
	for {
		select {
		case e := <-p.events:
			if e.err == nil {
				return fmt.Errorf("it said %q to the end of its input", plainText(string(clipLine(e.line))))
			}
			select {
			case <-p.done:
				return nil
			case <-timer.C:
				return errors.New("it closed its output and did not end")
			}
		case <-timer.C:
			return fmt.Errorf("it did not end within %s", t.r.bounds.time)
		}
	}
}
