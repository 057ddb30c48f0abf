// Package built_test runs the programs as they are built: what they do with
// files, with signals, and what their documents say of them.
package built_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// root is the top of the module, seen from here.
const root = "../../.."

// bin holds the built programs, for the whole run.
var bin string

// full runs what is thinned out otherwise.
var full = os.Getenv("FITCHET_FULL") != ""

func TestMain(m *testing.M) { os.Exit(build(m)) }

func build(m *testing.M) int {
	var err error
	if bin, err = os.MkdirTemp("", "built-"); err == nil {
		defer os.RemoveAll(bin)
		err = seen()
	}
	if err == nil {
		cmd := exec.Command("go", "build", "-ldflags=-s -w", "-o", bin+string(filepath.Separator), "./examples/...", "./prey/internal/importer/run")
		cmd.Dir = root
		var out []byte
		if out, err = cmd.CombinedOutput(); err != nil {
			err = fmt.Errorf("building: %w\n%s", err, out)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return m.Run()
}

// seen looks at every file that the programs are built of, so that a change makes
// the test command run this again.
func seen() error {
	return filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (strings.HasPrefix(d.Name(), ".g") || d.Name() == "rapid"):
			return filepath.SkipDir
		}
		_, err = os.Stat(path)
		return err
	})
}

// programs are the names of the programs that keepers and developers start.
func programs(t *testing.T) (out []string) {
	t.Helper()
	mains, err := filepath.Glob(root + "/examples/*/main.go")
	if err != nil || len(mains) < 7 {
		t.Fatalf("%q, %v", mains, err)
	}
	for _, m := range mains {
		out = append(out, filepath.Base(filepath.Dir(m)))
	}
	return out
}

// ran is what a program did.
type ran struct {
	code        int
	out, errors string
}

// run starts a built program in a folder.
func run(t *testing.T, dir, stdin, program string, args ...string) ran {
	t.Helper()
	cmd := exec.Command(filepath.Join(bin, program), args...)
	cmd.Dir, cmd.Stdin = dir, strings.NewReader(stdin)
	return wait(t, cmd)
}

func wait(t *testing.T, cmd *exec.Cmd) ran {
	t.Helper()
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatalf("%q: %v", cmd.Args, err)
	}
	return ran{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
}

// option is a flag as -h prints it, with the word for its value.
type option struct{ name, value string }

var flagLine = regexp.MustCompile(`(?m)^  -([\w-]+)(?: (\S+))?`)

func flags(t *testing.T, program string) (out []option) {
	t.Helper()
	help := run(t, "", "", program, "-h")
	if help.code != 0 {
		t.Fatalf("%s -h: exit %d", program, help.code)
	}
	for _, m := range flagLine.FindAllStringSubmatch(help.errors, -1) {
		out = append(out, option{m[1], m[2]})
	}
	if len(out) == 0 {
		t.Fatalf("%s -h names no flag:\n%s", program, help.errors)
	}
	return out
}

func put(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// sample is a file of the repository.
func sample(t *testing.T, path string) string { return read(t, filepath.Join(root, path)) }

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

// soon waits until it is so, at most half a minute.
func soon(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); !is(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("not within half a minute: %s", what)
		}
	}
}
