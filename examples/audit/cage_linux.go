package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"syscall"
	"time"
)

// cage keeps generators and everything they start together. This process and
// every generator are "child subreapers": a program whose parent ends becomes
// the child of the nearest of them, whatever group or session it went to. So
// all that a generator starts hangs under it in the table of processes, and
// what outlives it becomes a child of this process, where it is found and
// ended.
type cage struct {
	mu      sync.Mutex
	leaders map[int]bool // generators that run, by their process id
	before  map[int]bool // children that this process had before
	table   table        // as it was last read
	read    time.Time
}

const subreaper = 36 // PR_SET_CHILD_SUBREAPER of linux/prctl.h

func becomeSubreaper() error {
	if _, _, errno := syscall.RawSyscall(syscall.SYS_PRCTL, subreaper, 1, 0); errno != 0 {
		return fmt.Errorf("becoming a subreaper: %w", errno)
	}
	return nil
}

func newCage() (*cage, error) {
	if err := becomeSubreaper(); err != nil {
		return nil, err
	}
	c := &cage{leaders: map[int]bool{}, before: map[int]bool{}}
	for pid, p := range readTable() {
		c.before[pid] = p.parent == os.Getpid()
	}
	return c, nil
}

// inner is the name under which this program starts itself to become a
// generator.
const inner = "audit: generator"

// enter makes this process the generator, if it was started for that: a
// subreaper stays one when it runs another program.
func enter() {
	if len(os.Args) != 2 || os.Args[0] != inner {
		return
	}
	err := becomeSubreaper()
	if err == nil {
		err = syscall.Exec("/bin/sh", []string{"sh", "-c", "exec " + os.Args[1]}, os.Environ())
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(127)
}

// shell runs a command line in a group of its own, which signals of the terminal
// do not reach. It is killed when this process ends, however that is.
func shell(command string) *exec.Cmd {
	return &exec.Cmd{Path: "/proc/self/exe", Args: []string{inner, command},
		SysProcAttr: &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}}
}

func (c *cage) start(cmd *exec.Cmd) error {
	c.mu.Lock() // until it is known, it would be taken for a stray
	defer c.mu.Unlock()
	err := cmd.Start()
	if err == nil {
		c.leaders[cmd.Process.Pid] = true
	}
	return err
}

// wait waits for the generator itself.
func (c *cage) wait(cmd *exec.Cmd) error {
	err := cmd.Wait()
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.leaders, cmd.Process.Pid)
	return err
}

// look returns the memory that a generator and all under it hold, in bytes, and
// whether the generator itself still runs.
func (c *cage) look(cmd *exec.Cmd) (memory int64, runs bool) {
	leader := cmd.Process.Pid
	c.mu.Lock()
	defer c.mu.Unlock()
	if time.Since(c.read) > lookEvery/2 {
		c.table, c.read = readTable(), time.Now()
	}
	for _, pid := range c.table.under(leader) {
		memory += c.table[pid].memory
	}
	return memory, c.table[leader].runs()
}

// clear ends a generator and all under it, and all that generators which ended
// before left behind. It returns how many that were beside the generator.
func (c *cage) clear(cmd *exec.Cmd) (others int) {
	leader := cmd.Process.Pid
	c.mu.Lock()
	defer c.mu.Unlock()
	end := time.Now().Add(clearWithin)
	seen := map[int]bool{}
	signal := func(sig syscall.Signal) (any, fresh bool) {
		if c.leaders[leader] {
			_ = syscall.Kill(-leader, sig) // the whole group; it may be gone already, as all below
		}
		for _, pid := range c.caught(leader) {
			_ = syscall.Kill(pid, sig)
			any, fresh = true, fresh || !seen[pid]
			seen[pid] = true
		}
		return any, fresh
	}
	// All are stopped before the first is killed: what is stopped starts nothing.
	for fresh := true; fresh && time.Now().Before(end); {
		_, fresh = signal(syscall.SIGSTOP)
	}
	for any := true; any && time.Now().Before(end); time.Sleep(time.Millisecond) {
		any, _ = signal(syscall.SIGKILL)
	}
	delete(seen, leader)
	return len(seen)
}

// caught are the programs under a generator and the strays, which no generator
// is above any more. Strays that have ended are let go of.
func (c *cage) caught(leader int) (out []int) {
	t := readTable()
	var roots []int
	for pid, p := range t {
		switch {
		case p.parent != os.Getpid() || c.before[pid] || c.leaders[pid] && pid != leader:
		case c.leaders[pid]:
			roots = append(roots, pid)
		case p.runs():
			roots = append(roots, pid)
		default:
			_, _ = syscall.Wait4(pid, nil, syscall.WNOHANG, nil)
		}
	}
	for _, root := range roots {
		for _, pid := range t.under(root) {
			if t[pid].runs() {
				out = append(out, pid)
			}
		}
	}
	return out
}

// table is every process of the machine that can be seen, by its id.
type table map[int]proc

type proc struct {
	parent int
	state  byte
	memory int64 // resident, in bytes
}

func (p proc) runs() bool { return p.state != 0 && p.state != 'Z' && p.state != 'X' }

// under lists a process and all its descendants.
func (t table) under(root int) []int {
	children := map[int][]int{}
	for pid, p := range t {
		children[p.parent] = append(children[p.parent], pid)
	}
	out := []int{root}
	for i := 0; i < len(out); i++ {
		out = append(out, children[out[i]]...)
	}
	return out
}

func readTable() table {
	t := table{}
	dir, err := os.Open("/proc")
	if err != nil {
		return t
	}
	defer dir.Close()
	names, _ := dir.Readdirnames(-1) // as many as can be read
	for _, name := range names {
		pid, err := strconv.Atoi(name)
		if err != nil {
			continue
		}
		data, err := os.ReadFile("/proc/" + name + "/stat")
		if err != nil {
			continue // it has just ended
		}
		// The name in brackets may hold anything; behind it come the state, the
		// parent and, 20 fields later, the resident pages (proc_pid_stat(5)).
		f := bytes.Fields(data[bytes.LastIndexByte(data, ')')+1:])
		if len(f) < 22 {
			continue
		}
		parent, err1 := strconv.Atoi(string(f[1]))
		pages, err2 := strconv.ParseInt(string(f[21]), 10, 64)
		if errors.Join(err1, err2) == nil {
			t[pid] = proc{parent, f[0][0], pages * int64(os.Getpagesize())}
		}
	}
	return t
}
