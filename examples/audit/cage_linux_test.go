package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// marked are the programs with the mark on their command line. Those that have
// ended and wait for their parent have none.
func marked(t *testing.T, mark string) (pids []int) {
	t.Helper()
	paths, err := filepath.Glob("/proc/[0-9]*/cmdline")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil || !bytes.Contains(data, []byte(mark)) {
			continue
		}
		var pid int
		if _, err := fmt.Sscanf(path, "/proc/%d/", &pid); err == nil && pid != os.Getpid() {
			pids = append(pids, pid)
		}
	}
	return pids
}

// newMark returns a number of seconds, some minutes, that no other program is
// told to sleep for. What bears it is ended with the test.
func newMark(t *testing.T) string {
	t.Helper()
	mark := fmt.Sprintf("300.%012d", rand.Int64N(1_000_000_000_000))
	t.Cleanup(func() {
		for _, pid := range marked(t, mark) {
			_ = syscall.Kill(pid, syscall.SIGKILL)
		}
	})
	return mark
}

// gone waits a little until nothing bears the mark.
func gone(t *testing.T, mark string) {
	t.Helper()
	var left []int
	for end := time.Now().Add(5 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if left = marked(t, mark); len(left) == 0 {
			return
		}
	}
	for _, pid := range left {
		stat, _ := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		t.Errorf("it still runs: %s", stat)
	}
}

// script is a generator that runs a script of the shell at its second ask.
func script(mode, text string) string {
	return "env FAKE_SCRIPT='" + strings.ReplaceAll(text, "'", `'\''`) + "' " + command(mode)
}

// Whatever a generator starts, and however that hides, nothing of it is left.
func TestCage(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	only := strings.Join(ids(t), ",")
	const quiet = " </dev/null >/dev/null 2>&1"
	for _, tc := range []struct{ name, mode, script, want, note string }{
		{"a session of its own", "starts", "setsid sleep MARK" + quiet + " &", outMet, "it left programs behind it"},
		{"started twice over", "starts", "(setsid sh -c '(sleep MARK; :) & exec sleep MARK'" + quiet + " &)", outMet, "it left programs behind it"},
		{"deaf to signals", "starts", "(setsid sh -c 'trap \"\" TERM HUP INT QUIT; while :; do sleep 0.1; done; : MARK'" + quiet + " &)", outMet, "it left programs behind it"},
		{"without environment", "starts", "(setsid env -i sleep MARK" + quiet + " &)", outMet, "it left programs behind it"},
		{"stopped", "starts", "(setsid sh -c 'kill -STOP $$; : MARK'" + quiet + " &)", outMet, "it left programs behind it"},
		{"never the same for long", "starts", "sh -c 'h() { h & }; h; : MARK'" + quiet + " &", outMet, ""},
		{"beside one that waits", "starts-and-waits", "(setsid sleep MARK &)", outSilence, ""},
		{"beside one that fails", "starts-and-fails", "(setsid sleep MARK &)", outCrash, ""}, // the output stays open
		{"memory of a grandchild", "starts-and-waits", "(setsid env FAKE_GENERATOR=hog '" + os.Args[0] + "' MARK" + quiet + " &)", outMemory, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			mark := newMark(t)
			command := script(tc.mode, strings.ReplaceAll(tc.script, "MARK", mark))
			_, stdout, stderr := audit(t, nil, "-generator", command, "-only", only, "-workers", "1", "-time", "2s", "-memory", "256MiB", "-format", "json")
			gone(t, mark)
			recs := records(t, stdout)
			if recs[1]["outcome"] != outMet || recs[2]["outcome"] != tc.want || recs[3]["outcome"] != outMet {
				t.Errorf("%s%s", stdout, stderr)
			}
			if tc.note != "" && !strings.Contains(stdout, tc.note) {
				t.Errorf("%q is not said:\n%s", tc.note, stdout)
			}
		})
	}
}

// A signal that asks the audit to end ends all generators first.
func TestCage_signals(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	for _, s := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGKILL} {
		t.Run(s.String(), func(t *testing.T) {
			mark := newMark(t)
			// The audit, two generators and what each of them starts bear the mark.
			start, all := "(setsid sleep "+mark+" &)", 5
			if s == syscall.SIGKILL {
				start, all = ":", 3 // it could not be ended, as PROTOCOL.md says
			}
			generator := script("starts-and-waits", start) + " " + mark
			report := filepath.Join(t.TempDir(), "report.json")
			cmd := exec.Command(os.Args[0], "-generator", generator, "-random", "10", "-workers", "2", "-report", "json="+report)
			cmd.Env = append(os.Environ(), "BE_AUDIT=1")
			var out bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &out
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			for end := time.Now().Add(20 * time.Second); len(marked(t, mark)) < all && time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
			}
			if n := len(marked(t, mark)); n < all {
				t.Errorf("%d programs bear the mark, want %d", n, all)
			}
			if err := cmd.Process.Signal(s); err != nil {
				t.Fatal(err)
			}
			began := time.Now()
			_ = cmd.Wait() // the code is looked at below
			gone(t, mark)
			if code := cmd.ProcessState.ExitCode(); s != syscall.SIGKILL && code != 2 {
				t.Errorf("exit %d, want 2: %s", code, &out)
			}
			if took := time.Since(began); took > 9*time.Second {
				t.Errorf("it took %s", took)
			}
			if data, err := os.ReadFile(report); err == nil && bytes.Contains(data, []byte(`"type":"close"`)) {
				t.Errorf("the report says that it is whole:\n%s", data)
			}
		})
	}
}

// When nobody reads what the audit writes, it goes on to the other reports, and
// no generator outlives it.
func TestCage_brokenPipe(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	mark := newMark(t)
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	report := filepath.Join(t.TempDir(), "report.json")
	cmd := exec.Command(os.Args[0], "-generator", script("starts", "(setsid sleep "+mark+" &)"), "-random", "60", "-format", "json", "-report", "json="+report)
	cmd.Env = append(os.Environ(), "BE_AUDIT=1")
	cmd.Stdout = w
	_ = cmd.Run() // the code is looked at below
	gone(t, mark)
	if code := cmd.ProcessState.ExitCode(); code != 2 {
		t.Errorf("exit %d: %s", code, cmd.ProcessState)
	}
	if data, err := os.ReadFile(report); err != nil || !bytes.Contains(data, []byte(`"type":"close"`)) {
		t.Errorf("the other report is not whole: %v\n%s", err, data)
	}
}

// A child that this process had before is none of the generator's.
func TestCage_before(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	mark := newMark(t)
	cmd := exec.Command("sleep", mark)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	audit(t, nil, "-generator", command("right"), "-only", ids(t)[0])
	if len(marked(t, mark)) != 1 {
		t.Error("it was ended")
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Error(err)
	}
	_ = cmd.Wait() // killed
}
