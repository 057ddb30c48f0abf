//go:build unix

package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The test binary is also the program that is killed: with CLI_WRITE set it
// writes to that file what CLI_SAY says, again and again with CLI_AGAIN, as soon
// as its standard input ends.
func TestMain(m *testing.M) {
	path := os.Getenv("CLI_WRITE")
	if path == "" {
		os.Exit(m.Run())
	}
	if _, err := io.Copy(io.Discard, os.Stdin); err != nil {
		os.Exit(3)
	}
	for {
		if err := slowly(path, os.Getenv("CLI_SAY")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
		if os.Getenv("CLI_AGAIN") == "" {
			return
		}
	}
}

const rows = 400

// whole is a text that shows where it was cut or mixed.
func whole(say string) string { return strings.Repeat(say+"\n", rows) + "end\n" }

// slowly writes a whole text, a little at a time.
func slowly(path, say string) error {
	o, err := Create(path, os.Stdout)
	if err != nil {
		return err
	}
	for line := range strings.Lines(whole(say)) {
		if _, err := io.WriteString(o, line); err != nil {
			break // Commit says it too
		}
		if os.Getenv("CLI_AGAIN") != "" {
			time.Sleep(20 * time.Microsecond)
		}
	}
	return o.Commit()
}

// writer is a program that writes.
func writer(t *testing.T, path, say string, more ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), append(more, "CLI_WRITE="+path, "CLI_SAY="+say)...)
	return cmd
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func put(t *testing.T, path, text string, mode os.FileMode) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), mode); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
}

// names are the files of a folder.
func names(t *testing.T, dir string) (out []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// A program that is killed at any moment leaves the old file or the new one, and
// what else it leaves is gone after the next run.
func TestKilled(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "week.txt")
	put(t, path, whole("first"), 0o644)
	torn := 0
	for i := range 30 {
		say := fmt.Sprintf("run %d", i)
		before := read(t, path)
		cmd := writer(t, path, say, "CLI_AGAIN=1")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rand.IntN(60)) * time.Millisecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if got := read(t, path); got != before && got != whole(say) {
			t.Fatalf("run %d: %d bytes stand there, neither the old text nor the new one", i, len(got))
		}
		torn += len(names(t, dir)) - 1
		if err := Deliver(filepath.Join(dir, "week.txt"), []byte(whole(say)), nil); err != nil {
			t.Fatal(err)
		}
		if left := names(t, dir); len(left) != 1 {
			t.Fatalf("after the next run there are %q", left)
		}
	}
	if torn == 0 {
		t.Error("no run was killed while it wrote: this test shows nothing")
	}
	t.Logf("%d of 30 were killed while they wrote", torn)
}

// Two programs that write one file at the same time leave the text of one.
func TestTwoWriters(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "week.txt")
	for i := range 25 {
		var both [2]*exec.Cmd
		var start [2]io.Closer
		for j, say := range []string{"one", "two"} {
			both[j] = writer(t, path, say)
			in, err := both[j].StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			start[j] = in
			both[j].Stderr = t.Output()
			if err := both[j].Start(); err != nil {
				t.Fatal(err)
			}
		}
		for j := range both {
			_ = start[j].Close()
		}
		for j := range both {
			if err := both[j].Wait(); err != nil {
				t.Errorf("writer %d: %v", j, err)
			}
		}
		if got := read(t, path); got != whole("one") && got != whole("two") {
			t.Fatalf("round %d: %d bytes of both", i, len(got))
		}
		if left := names(t, dir); len(left) != 1 {
			t.Fatalf("round %d leaves %q", i, left)
		}
	}
}

// What a program that runs has not finished is not cleared up, nor is anything
// that is not ours.
func TestLeftovers(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	alive, err := Create(filepath.Join(dir, "long.jsonl"), nil)
	if err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, partPrefix+"DEAD"), "torn", 0o600)
	put(t, filepath.Join(dir, ".fitchet-partridge"), "a bird", 0o600)
	put(t, filepath.Join(dir, ".part-1"), "somebody's", 0o600)
	if err := os.Mkdir(filepath.Join(dir, partPrefix+"folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("week.txt", filepath.Join(dir, partPrefix+"link")); err != nil {
		t.Fatal(err)
	}
	cmd := writer(t, filepath.Join(dir, "week.txt"), "x") // another program, which knows of none of these
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if _, err := io.WriteString(alive, "still here"); err != nil {
		t.Error(err)
	}
	if err := alive.Commit(); err != nil {
		t.Error(err)
	}
	want := []string{partPrefix + "folder", partPrefix + "link", ".fitchet-partridge", ".part-1", "long.jsonl", "week.txt"}
	if got := names(t, dir); strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("there are %q, want %q", got, want)
	}
}

// A new file has the permissions of the umask; one that stood there keeps its own.
func TestMode(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		umask    string
		was      os.FileMode // 0: none
		want     os.FileMode
		throughA string
	}{
		{"022", 0, 0o644, ""}, {"027", 0, 0o640, ""}, {"077", 0, 0o600, ""}, {"000", 0, 0o666, ""},
		{"022", 0o600, 0o600, ""}, {"077", 0o664, 0o664, ""}, {"027", 0o755, 0o755, ""}, {"022", 0o600, 0o600, "link"},
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, "week.txt")
		if tc.was != 0 {
			put(t, path, "old", tc.was)
		}
		to := path
		if tc.throughA != "" {
			to = filepath.Join(dir, tc.throughA)
			if err := os.Symlink(path, to); err != nil {
				t.Fatal(err)
			}
		}
		cmd := writer(t, to, "new")
		cmd.Args = []string{"sh", "-c", "umask " + tc.umask + `; exec "$0"`, cmd.Path}
		cmd.Path = "/bin/sh"
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		at, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if at.Mode() != tc.want || read(t, path) != whole("new") {
			t.Errorf("umask %s, %o before: %o, want %o", tc.umask, tc.was, at.Mode(), tc.want)
		}
	}
}

// Owner and folder decide as they did before: what may not be written may not be
// replaced, and an administrator does not take a file away from its owner.
func TestOwner(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		dir := t.TempDir()
		path := filepath.Join(dir, "week.txt")
		put(t, path, "old", 0o444)
		if err := Deliver(path, []byte("new"), nil); !errors.Is(err, os.ErrPermission) || read(t, path) != "old" {
			t.Errorf("a file that may not be written: %v", err)
		}
		return
	}
	const nobody = 65534
	dir := t.TempDir()
	if err := errors.Join(os.Chmod(dir, 0o777), os.Chmod(filepath.Dir(dir), 0o755)); err != nil {
		t.Fatal(err)
	}
	theirs := filepath.Join(dir, "theirs.txt")
	put(t, theirs, "old", 0o600)
	if err := os.Chown(theirs, nobody, nobody); err != nil {
		t.Skipf("files cannot be given away here: %v", err)
	}
	if err := Deliver(theirs, []byte("new"), nil); err != nil {
		t.Fatal(err)
	}
	at, err := os.Stat(theirs)
	if err != nil {
		t.Fatal(err)
	}
	if st, ok := at.Sys().(*syscall.Stat_t); !ok || st.Uid != nobody || at.Mode() != 0o600 {
		t.Errorf("the file now belongs to %v, %o", st, at.Mode())
	}
	ours := filepath.Join(dir, "ours.txt")
	put(t, ours, "old", 0o644)
	cmd := writer(t, ours, "new")
	self := filepath.Join(dir, "self") // the other is in a folder that is closed to others
	put(t, self, read(t, cmd.Path), 0o755)
	cmd.Path = self
	cmd.Dir = dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	out, err := cmd.CombinedOutput()
	if err == nil || !bytes.Contains(out, []byte("permission denied")) || read(t, ours) != "old" {
		t.Errorf("somebody else wrote over a file of ours: %v, %s", err, out)
	}
}

// A full disk leaves the old file.
func TestDiskFull(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be had here: %v: %s", err, bytes.TrimSpace(out))
	}
	t.Cleanup(func() {
		if err := exec.Command("umount", dir).Run(); err != nil {
			t.Error(err)
		}
	})
	path := filepath.Join(dir, "week.txt")
	put(t, path, "old", 0o600)
	err := Deliver(path, bytes.Repeat([]byte("long "), 1<<16), nil)
	if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "the file that stands there is unchanged") {
		t.Errorf("a full disk: %v", err)
	}
	if got := names(t, dir); read(t, path) != "old" || len(got) != 1 {
		t.Errorf("%q stands there; there are %q", read(t, path), got)
	}
}

// Of several names for a file, a symbolic link leads to the new text and a hard
// link keeps the old one.
func TestLinks(t *testing.T) {
	t.Parallel()
	dir, other := t.TempDir(), t.TempDir()
	path, link, hard := filepath.Join(dir, "week.txt"), filepath.Join(other, "link"), filepath.Join(other, "hard.txt")
	put(t, path, "old", 0o644)
	for _, err := range []error{os.Symlink(path, link), os.Link(path, hard), os.Symlink(dir, filepath.Join(other, "folder")), os.Symlink("nowhere.txt", filepath.Join(other, "dangling"))} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := Deliver(link, []byte("new"), nil); err != nil {
		t.Fatal(err)
	}
	if at, err := os.Lstat(link); err != nil || at.Mode()&os.ModeSymlink == 0 || read(t, path) != "new" || read(t, hard) != "old" {
		t.Errorf("%v, %v: %q, %q", at, err, read(t, path), read(t, hard))
	}
	if err := Deliver(filepath.Join(other, "folder", "week.txt"), []byte("newer"), nil); err != nil || read(t, path) != "newer" {
		t.Errorf("%v: %q", err, read(t, path))
	}
	if err := Deliver(filepath.Join(other, "dangling"), []byte("x"), nil); err == nil || !strings.Contains(err.Error(), "a file that is not there") {
		t.Errorf("a link that leads nowhere: %v", err)
	}
	if got := names(t, other); len(got) != 4 {
		t.Errorf("there are %q", got)
	}
}

// Pipes and what stands for an open file are written to and never replaced.
func TestWrittenDirectly(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	got := make(chan string)
	go func() { b, _ := os.ReadFile(pipe); got <- string(b) }()
	if err := Deliver(pipe, []byte("through"), nil); err != nil || <-got != "through" {
		t.Error(err)
	}
	if at, err := os.Lstat(pipe); err != nil || at.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe is %v, %v", at, err)
	}
	if _, err := os.Stat("/dev/fd/3"); err != nil {
		if _, err := os.Stat("/dev/stdout"); err != nil {
			t.Skipf("no /dev/stdout here: %v", err)
		}
	}
	path := filepath.Join(dir, "log.txt")
	for name, redirect := range map[string]string{"/dev/stdout": ">>", "-": ">>", "/dev/stderr": "2>>", "/dev/fd/7": "7>>"} {
		put(t, path, "before\n", 0o600)
		cmd := writer(t, name, "x")
		cmd.Args = []string{"sh", "-c", `exec "$0" ` + redirect + ` "$1"`, cmd.Path, path}
		cmd.Path = "/bin/sh"
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v: %s", name, err, out)
		}
		if read(t, path) != "before\n"+whole("x") {
			t.Errorf("%s: %d bytes stand in the file", name, len(read(t, path)))
		}
	}
	if left := names(t, dir); len(left) != 2 {
		t.Errorf("there are %q", left)
	}
}

// An output that was given up leaves nothing, and says so.
func TestAbort(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "week.txt")
	put(t, path, "old", 0o644)
	o, err := Create(path, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(o, "half"); err != nil {
		t.Fatal(err)
	}
	why := errors.New("broken off")
	if err := o.Abort(why); !errors.Is(err, why) || !strings.Contains(err.Error(), "unchanged") {
		t.Error(err)
	}
	if err := o.Abort(why); err != nil {
		t.Error(err)
	}
	o, err = Create(path, nil)
	if err != nil {
		t.Fatal(err)
	}
	o.w = full{} // as a disk that is full
	_, _ = io.WriteString(o, "half")
	o.w = o.file
	if _, err := io.WriteString(o, "more"); !errors.Is(err, errFull) {
		t.Errorf("written on after a fault: %v", err)
	}
	if err := o.Commit(); !errors.Is(err, errFull) {
		t.Error(err)
	}
	if got := names(t, dir); read(t, path) != "old" || len(got) != 1 {
		t.Errorf("%q stands there; there are %q", read(t, path), got)
	}
}
