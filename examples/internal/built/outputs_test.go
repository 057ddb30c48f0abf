package built_test

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// No program writes over a file that it reads, by whatever flag and name, nor
// reads standard input twice; and it says so with exit 2 and writes nothing.
func TestInputsAreKept(t *testing.T) {
	t.Parallel()
	text := sample(t, "examples/weekplan/household.yaml")
	all := 0
	for _, program := range programs(t) {
		var in []string
		out := false
		for _, f := range flags(t, program) {
			switch {
			case f.name == "out":
				out = true
			case f.value == "file":
				in = append(in, f.name)
			}
		}
		if !out {
			t.Errorf("%s has no flag -out", program)
		}
		for i, name := range in {
			all++
			dir := t.TempDir()
			path, link := put(t, filepath.Join(dir, "in.yaml"), text), filepath.Join(dir, "link.yaml")
			if err := os.Symlink(path, link); err != nil {
				t.Fatal(err)
			}
			for _, to := range []string{path, link} {
				got := run(t, dir, "", program, "-"+name, path, "-out", to)
				if got.code != 2 || !strings.Contains(got.errors, "is the file that -"+name+" reads: nothing was written") || got.out != "" {
					t.Errorf("%s -%s F -out F: exit %d: %s", program, name, got.code, got.errors)
				}
			}
			if got := names(t, dir); read(t, path) != text || len(got) != 2 {
				t.Errorf("%s -%s F -out F: F was lost; there are %q", program, name, got)
			}
			for _, other := range in[:i] {
				if got := run(t, dir, text, program, "-"+name, "-", "-"+other, "-"); got.code != 2 || got.out != "" || !strings.Contains(got.errors, "standard input (-) is asked for twice") {
					t.Errorf("%s -%s - -%s -: exit %d: %s", program, name, other, got.code, got.errors)
				}
			}
		}
	}
	if all < 20 {
		t.Errorf("only %d flags for files were found", all)
	}
}

// What the audit reads and writes beside the values of its flags.
func TestAuditKeepsInputs(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	plan := sample(t, "examples/audit/plan.yaml")
	for _, name := range []string{"p.yaml", "q.yaml"} {
		put(t, filepath.Join(dir, name), plan)
	}
	put(t, filepath.Join(dir, "gen.py"), "raise SystemExit")
	put(t, filepath.Join(dir, "my gen.py"), "raise SystemExit")
	for _, args := range [][]string{
		{"-out", "p.yaml", "p.yaml"},
		{"p.yaml", "-out", "p.yaml"},
		{"q.yaml", "p.yaml", "-report", "json=p.yaml"},
		{".", "-out", "q.yaml"},
		{"-generator", "python3 gen.py", "-out", "gen.py"},
		{"-generator", "python3 'my gen.py'", "-report", "md=my gen.py"},
		{"-generator", "python3 gen.py", "-known", "p.yaml", "-report", "junit=p.yaml"},
		{"p.yaml", "-out", "r.json", "-report", "json=r.json"},
		{"p.yaml", "-report", "md=r.json", "-report", "json=./r.json"},
		{"p.yaml", "-household", "-", "-"},
	} {
		if got := run(t, dir, plan, "audit", args...); got.code != 2 || got.errors == "" || got.out != "" {
			t.Errorf("audit %q: exit %d: %s", args, got.code, got.errors)
		}
	}
	if got := names(t, dir); len(got) != 4 || read(t, filepath.Join(dir, "p.yaml")) != plan || read(t, filepath.Join(dir, "q.yaml")) != plan || read(t, filepath.Join(dir, "gen.py")) != read(t, filepath.Join(dir, "my gen.py")) {
		t.Errorf("there are %q", got)
	}
	// What only has the same place in it is written.
	if got := run(t, dir, plan, "audit", "p.yaml", "-household", "-", "-out", "r.json"); got.code != 2 || strings.Contains(got.errors, "nothing was written") {
		t.Errorf("a plan for a household: exit %d: %s", got.code, got.errors)
	}
}

// lines are a stream of plans, as JSON Lines.
func lines(t *testing.T, n int) string {
	t.Helper()
	got := run(t, "", "", "weekplan", "-format", "json")
	_, plan, ok := strings.Cut(got.out, "\n \"plan\": ")
	plan, _, whole := strings.Cut(plan, "\n },\n")
	if !ok || !whole {
		t.Fatalf("exit %d: no plan in the output of weekplan: %s", got.code, got.errors)
	}
	return strings.Repeat(strings.ReplaceAll(plan, "\n", " ")+"}\n", n)
}

func isWhole(report string) bool {
	return strings.HasPrefix(report, `{"type":"open"`) && strings.HasSuffix(report, "}\n") && strings.Contains(report, "\n"+`{"type":"close"`)
}

// A report is the old one or the new one, whole, however the audit ends.
func TestReportIsWhole(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	stream := lines(t, 300)
	report := filepath.Join(dir, "r.jsonl")
	first := run(t, dir, lines(t, 2), "audit", "-format", "json", "-report", "json="+report, "-")
	old := read(t, report)
	if first.code == 2 || !isWhole(old) {
		t.Fatalf("exit %d: %s", first.code, first.errors)
	}
	torn, runs := 0, 10
	if full {
		runs = 30
	}
	for i := range runs {
		cmd := exec.Command(filepath.Join(bin, "audit"), "-report", "json="+report, "-out", filepath.Join(dir, "r.txt"), "-")
		cmd.Stdin = strings.NewReader(stream)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 { // while it writes, and at any moment
			soon(t, "a part", func() bool { return len(names(t, dir)) > 2 || cmd.ProcessState != nil })
		}
		time.Sleep(time.Duration(rand.IntN(150)) * time.Millisecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if got := read(t, report); got != old && !(isWhole(got) && strings.Count(got, "\n") == 302) {
			t.Fatalf("run %d: a report of %d bytes is torn", i, len(got))
		}
		for _, name := range names(t, dir) {
			if strings.HasPrefix(name, ".fitchet-part-") {
				torn++
			}
		}
		if i%10 == 9 {
			if got := run(t, dir, lines(t, 2), "audit", "-report", "json="+report, "-out", filepath.Join(dir, "r.txt"), "-"); got.code == 2 || len(names(t, dir)) != 2 {
				t.Fatalf("exit %d: there are %q", got.code, names(t, dir))
			}
			old = read(t, report)
		}
	}
	if torn == 0 {
		t.Error("no run was killed while it wrote: this test shows nothing")
	}
	t.Logf("%d parts were left in %d runs", torn, runs)
}

// An interrupt keeps the old report, says so, and leaves neither parts nor
// programs.
func TestInterrupt(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("no program can be asked to end there")
	}
	line := lines(t, 1)
	for _, sign := range []os.Signal{os.Interrupt, terminate} {
		dir := t.TempDir()
		report := put(t, filepath.Join(dir, "r.jsonl"), "old")
		started := filepath.Join(dir, "pid")
		for _, args := range [][]string{{"-"}, {"-generator", "sh -c 'echo $$ >" + started + "; exec sleep 300'", "-time", "10m"}} {
			cmd := exec.Command(filepath.Join(bin, "audit"), append([]string{"-report", "json=" + report, "-report", "md=" + filepath.Join(dir, "new.md")}, args...)...)
			in, err := cmd.StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			var errs strings.Builder
			cmd.Stderr = &errs
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			if _, err := io.WriteString(in, line); err != nil && args[0] == "-" {
				t.Fatal(err)
			}
			soon(t, "parts", func() bool { return strings.Count(strings.Join(names(t, dir), " "), ".fitchet-part-") == 2 })
			if args[0] != "-" {
				soon(t, "a generator", func() bool { _, err := os.Stat(started); return err == nil })
			}
			if err := cmd.Process.Signal(sign); err != nil {
				t.Fatal(err)
			}
			err = cmd.Wait() // its input is still open
			_ = in.Close()
			if cmd.ProcessState.ExitCode() != 2 || !strings.Contains(errs.String(), "writing "+report+": interrupted; the file that stands there is unchanged") {
				t.Errorf("%v, %q: %v: %s", sign, args, err, errs.String())
			}
			if got := strings.Join(names(t, dir), " "); read(t, report) != "old" || strings.Contains(got, "part") || strings.Contains(got, "new.md") {
				t.Errorf("%v, %q: there are %s", sign, args, got)
			}
		}
		pid := strings.TrimSpace(read(t, started))
		soon(t, "the end of the generator", func() bool { return exec.Command("kill", "-0", pid).Run() != nil })
	}
}

// A copy of the corpus that was broken off says so, and can be written again.
func TestCopyOfCorpus(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "copy")
	stamp := filepath.Join(dir, "VERSION")
	unfinished := 0
	for range 10 {
		cmd := exec.Command(filepath.Join(bin, "audit"), "-write", dir)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		soon(t, "a file", func() bool { _, err := os.Stat(stamp); return err == nil })
		time.Sleep(time.Duration(rand.IntN(100)) * time.Millisecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if strings.HasPrefix(read(t, stamp), "unfinished") {
			unfinished++
		} else if _, err := os.Stat(filepath.Join(dir, "rules.json")); err != nil {
			t.Error("a copy that is not whole says that it is")
		}
	}
	got := run(t, "", "", "audit", "-write", dir)
	if got.code != 0 || !strings.HasPrefix(read(t, stamp), "corpus ") {
		t.Errorf("exit %d: %s; %s", got.code, got.errors, read(t, stamp))
	}
	var files int
	fmt.Sscan(got.out, &files)
	found := 0
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			found++
		}
		return err
	})
	if err != nil || found != files {
		t.Errorf("%d files are there, %d were written: %v", found, files, err)
	}
	if unfinished == 0 {
		t.Error("no run was killed while it wrote: this test shows nothing")
	}
	// A folder of something else with a version of its own is left alone.
	other := t.TempDir()
	put(t, filepath.Join(other, "VERSION"), "2.0\n")
	put(t, filepath.Join(other, "README.md"), "mine\n")
	if got := run(t, "", "", "audit", "-write", other); got.code != 2 || read(t, filepath.Join(other, "README.md")) != "mine\n" {
		t.Errorf("exit %d: somebody's README reads %q", got.code, read(t, filepath.Join(other, "README.md")))
	}
}
