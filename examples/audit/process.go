package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"fitchet.example/balance/corpus"
	"fitchet.example/units/strict"
)

// bounds are what one answer may take.
type bounds struct {
	time   time.Duration // for the answer; as long again is waited to tell late from never
	line   int           // longest line, in bytes
	memory int64         // of the program and its children, in bytes; 0: not looked at
}

// strayLines is how many lines that answer nothing are read for one ask.
const strayLines = 1000

// event is what comes out of a program: a line, or its end.
type event struct {
	line []byte
	err  error // errEnd, errHalf or errFlood
	at   time.Time
}

var (
	errEnd   = errors.New("the output ended")
	errHalf  = errors.New("the output ended in the middle of a line")
	errFlood = errors.New("a line without end")
)

// How often the memory of a generator is looked at, and how long ending it and
// what it started may take.
const (
	lookEvery   = 25 * time.Millisecond
	clearWithin = 5 * time.Second
)

// process is a generator that runs.
type process struct {
	cage   *cage
	cmd    *exec.Cmd
	in     *os.File // our end of its input
	inRead *os.File // its end, kept to see how much it left unread; nil where that cannot be seen
	events chan event
	stderr *tail
	over   chan struct{} // closed when the memory bound was passed
	done   chan struct{} // closed when it has ended
	state  error
	hello  corpus.Hello
	bounds bounds
	quit   chan struct{} // closed when nobody reads its output any more
	stop   <-chan struct{}
	once   sync.Once
	seen   chan struct{} // closed when nobody watches it any more
	left   int           // how many programs it left behind when it ended by itself; stands once seen is closed
}

// start runs the command and waits for its hello. The program is ended when the
// run is broken off.
func (r *runner) start() (*process, error) {
	if passed(r.stop) {
		return nil, errInterrupted
	}
	theirs, ours, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	p := &process{cage: r.cage, cmd: shell(r.command), in: ours, inRead: theirs, stderr: &tail{}, events: make(chan event), bounds: r.bounds,
		over: make(chan struct{}), done: make(chan struct{}), quit: make(chan struct{}), seen: make(chan struct{}), stop: r.stop}
	p.cmd.Stdin = theirs
	p.cmd.Stderr = p.stderr
	// What it leaves open behind it must not hold us up.
	p.cmd.WaitDelay = 2 * time.Second
	out, in, err := os.Pipe()
	if err != nil {
		return nil, errors.Join(err, theirs.Close(), ours.Close())
	}
	p.cmd.Stdout = in
	if err := p.cage.start(p.cmd); err != nil {
		return nil, errors.Join(err, theirs.Close(), ours.Close(), out.Close(), in.Close())
	}
	_ = in.Close() // its own copy stays open
	go p.read(out)
	go func() {
		p.state = p.cage.wait(p.cmd)
		close(p.done)
	}()
	go p.watch()
	if err := p.greet(r.hello); err != nil {
		p.kill()
		return nil, p.explain(err)
	}
	return p, nil
}

func (p *process) greet(greeting []byte) error {
	deadline := time.Now().Add(2 * p.bounds.time)
	if err := p.send(greeting, deadline); err != nil {
		return fmt.Errorf("it does not read its input: %w", err)
	}
	timer := time.NewTimer(time.Until(deadline))
	defer timer.Stop()
	select {
	case e := <-p.events:
		if e.err != nil {
			return fmt.Errorf("no hello: %w", e.err)
		}
		h, err := corpus.ReadHello(e.line)
		if err != nil {
			return fmt.Errorf("no hello: %w", err)
		}
		p.hello = h
		return nil
	case <-p.over:
		return fmt.Errorf("no hello: more than %s of memory", bytesText(p.bounds.memory))
	case <-timer.C:
		return fmt.Errorf("no hello within %s", 2*p.bounds.time)
	case <-p.stop:
		return errInterrupted
	}
}

// read hands on the output line by line until it ends or floods.
func (p *process) read(out *os.File) {
	defer out.Close()
	put := func(e event) bool {
		e.at = time.Now()
		select {
		case p.events <- e:
			return true
		case <-p.quit:
			return false
		}
	}
	r := bufio.NewReaderSize(out, 64<<10)
	var line []byte
	for {
		chunk, err := r.ReadSlice('\n')
		if len(line)+len(chunk) > p.bounds.line {
			put(event{line: clipLine(append(line, chunk...)), err: errFlood})
			return
		}
		line = append(line, chunk...)
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
		case err != nil:
			if len(line) > 0 {
				put(event{line: line, err: errHalf})
			} else {
				put(event{err: errEnd})
			}
			return
		default:
			if !put(event{line: bytes.TrimRight(line, "\r\n")}) {
				return
			}
			line = nil
		}
	}
}

// send writes one line. It fails when the program has not read it by the
// deadline, or has gone.
func (p *process) send(line []byte, deadline time.Time) error {
	if err := p.in.SetWriteDeadline(deadline); err != nil {
		return err
	}
	_, err := p.in.Write(append(slices.Clip(line), '\n')) // the line may be shared
	return err
}

// kill ends the program and everything it started, and waits until nobody watches it.
func (p *process) kill() {
	p.once.Do(func() { close(p.quit) })
	p.cage.clear(p.cmd)
	end := time.After(5 * time.Second)
	for _, over := range []chan struct{}{p.done, p.seen} { // what still watches would end the next run's program
		select {
		case <-over:
		case <-end:
		}
	}
	_ = p.in.Close()
	_ = p.inRead.Close()
}

// leave says bye and waits for the program to go by itself. It returns lines that
// came after the last answer, and what there is to remark.
func (p *process) leave() (lines [][]byte, note string) {
	deadline := time.Now().Add(p.bounds.time)
	_ = p.send(corpus.WriteBye(), deadline)
	_ = p.in.Close()
	_ = p.inRead.Close()
	timer := time.NewTimer(p.bounds.time)
	defer timer.Stop()
	for {
		select {
		case e := <-p.events:
			if len(e.line) > 0 && len(lines) < strayLines {
				lines = append(lines, e.line) // the half of one too
			}
			if e.err == nil {
				continue
			}
			select {
			case <-p.done:
			case <-timer.C:
				note = "it closed its output and did not end"
				p.kill()
				return lines, note
			}
			<-p.seen
			switch {
			case p.state != nil:
				note = "it did not end well after bye: " + p.state.Error()
			case p.left > 0:
				note = "it left programs behind it; they were ended"
			}
			p.kill()
			return lines, note
		case <-p.stop:
			p.kill()
			return lines, ""
		case <-timer.C:
			p.kill()
			return lines, fmt.Sprintf("it did not end within %s after bye", p.bounds.time)
		}
	}
}

// ended says how the program ended, with the last of what it wrote to its
// standard error.
func (p *process) ended() string {
	select {
	case <-p.done:
	case <-time.After(3 * time.Second):
		return "it closed its output and goes on running"
	}
	text := "it ended without an answer (exit 0)"
	var exit *exec.ExitError
	if errors.As(p.state, &exit) {
		text = "it ended: " + exit.String()
		if ws, ok := exit.Sys().(syscall.WaitStatus); ok && ws.Signaled() {
			text = "it was ended by a signal: " + ws.Signal().String()
		}
	}
	return text + p.said()
}

func (p *process) said() string {
	if s := p.stderr.String(); s != "" {
		return "; its standard error ends: " + s
	}
	return ""
}

// explain adds to an error how the program ended.
func (p *process) explain(err error) error { return fmt.Errorf("%w%s", err, p.said()) }

// watch ends the program when it, with all that it started, takes more memory
// than it may, or the run is broken off; and what it left behind when it has ended.
func (p *process) watch() {
	defer close(p.seen)
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-p.done:
			p.left = p.cage.clear(p.cmd)
			return
		case <-p.stop:
			p.cage.clear(p.cmd)
			return
		case <-tick.C:
			switch memory, runs := p.cage.look(p.cmd); {
			case !runs:
				p.left = p.cage.clear(p.cmd)
				return
			case p.bounds.memory > 0 && memory > p.bounds.memory:
				close(p.over)
				p.cage.clear(p.cmd)
				return
			}
		}
	}
}

// tail keeps the last of a stream.
type tail struct {
	mu  sync.Mutex
	buf []byte
}

const tailBytes = 600

func (t *tail) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.buf = append(t.buf, b[max(0, len(b)-4*tailBytes):]...)
	if n := len(t.buf) - tailBytes; n > 0 {
		t.buf = append(t.buf[:0], t.buf[n:]...)
	}
	return len(b), nil
}

func (t *tail) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return plainText(string(t.buf))
}

// plainText makes foreign bytes fit for a report: valid, on one line, harmless.
func plainText(s string) string {
	return strict.Line(strings.Join(strings.Fields(s), " "))
}

func clipLine(b []byte) []byte { return bytes.Clone(b[:min(len(b), 80)]) }

var _ io.Writer = (*tail)(nil)
