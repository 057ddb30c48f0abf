package cli

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

type options struct {
	household, foods, out, word string
	many                        int
	yes                         bool
}

func flags(stdin io.Reader, stdout, stderr io.Writer) (*Flags, *options) {
	var o options
	fs := NewFlags("weekplan", stdin, stdout, stderr)
	fs.InFile(&o.household, "household", "household `file`")
	fs.InFile(&o.foods, "foods", "`file` of foods")
	fs.OutFile(&o.out)
	fs.StringVar(&o.word, "word", "", "a word")
	fs.IntVar(&o.many, "many", 0, "how many")
	fs.BoolVar(&o.yes, "yes", false, "yes")
	return fs, &o
}

// Flags may stand anywhere, and "--" ends them.
func TestFlagsAnywhere(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		args string
		want options
		rest string
		code int
		more bool
	}{
		{"", options{}, "", Well, true},
		{"a -word w b --yes c -many=3 d", options{word: "w", yes: true, many: 3}, "a b c d", Well, true},
		{"-word -yes a", options{word: "-yes"}, "a", Well, true},
		{"-word -- -- -yes", options{word: "--"}, "-yes", Well, true},
		{"a -- -word b --", options{}, "a -word b --", Well, true},
		{"a - b", options{}, "a - b", Well, true},
		{"-yes=false a", options{}, "a", Well, true},
		{"a -word", options{}, "", Unusable, false},
		{"a -word=", options{}, "a", Well, true},
		{"a -many x", options{}, "", Unusable, false},
		{"a -wrod w", options{}, "", Unusable, false},
		{"a ---word w", options{}, "", Unusable, false},
		{"a -h", options{}, "", Well, false},
		{"a -help b", options{}, "", Well, false},
	} {
		var stderr bytes.Buffer
		fs, o := flags(nil, nil, &stderr)
		code, more := fs.Parse(strings.Fields(tc.args))
		if code != tc.code || more != tc.more || more && (*o != tc.want || strings.Join(fs.Args(), " ") != tc.rest || stderr.Len() > 0) {
			t.Errorf("%q: %+v, %q, %d, %t, %s", tc.args, *o, fs.Args(), code, more, &stderr)
		}
		if !more && stderr.Len() == 0 {
			t.Errorf("%q: nothing is said", tc.args)
		}
	}
}

// A file that is read is never written, whatever it is called, nor standard input
// read twice.
func TestApart(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, err := range []error{
		os.WriteFile(at("h.yaml"), []byte("household"), 0o600), os.WriteFile(at("f.yaml"), []byte("foods"), 0o600),
		os.Link(at("h.yaml"), at("hard.yaml")), os.Symlink(at("h.yaml"), at("link.yaml")), os.Symlink(at("link.yaml"), at("link2.yaml")), os.Symlink(dir, at("sub")),
	} {
		if err != nil {
			t.Skipf("links cannot be made here: %v", err)
		}
	}
	open := func(name string) *os.File {
		f, err := os.OpenFile(at(name), os.O_RDWR|os.O_APPEND, 0)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { f.Close() })
		return f
	}
	house, foods := open("h.yaml"), open("f.yaml")
	null, err := os.OpenFile(os.DevNull, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	for _, tc := range []struct {
		args   string
		stdin  *os.File
		stdout *os.File
		want   error
	}{
		{"-household h.yaml -out week.txt", nil, nil, nil},
		{"-household h.yaml -foods h.yaml -out f.yaml", nil, nil, nil}, // twice read is no loss
		{"-household h.yaml -out h.yaml", nil, nil, ErrOver},
		{"-out h.yaml -household h.yaml", nil, nil, ErrOver},
		{"-foods f.yaml -household h.yaml -out ././f.yaml", nil, nil, ErrOver},
		{"-household h.yaml -out hard.yaml", nil, nil, ErrOver},
		{"-household hard.yaml -out h.yaml", nil, nil, ErrOver},
		{"-household h.yaml -out link2.yaml", nil, nil, ErrOver},
		{"-household link2.yaml -out h.yaml", nil, nil, ErrOver},
		{"-household h.yaml -out sub/h.yaml", nil, nil, ErrOver},
		{"-household h.yaml", nil, house, ErrOver},
		{"-household h.yaml -out -", nil, house, ErrOver},
		{"-household h.yaml -out week.txt", nil, house, nil},
		{"-household -", house, house, ErrOver},
		{"-household - -out h.yaml", house, nil, ErrOver},
		{"-household - -out f.yaml", house, nil, nil},
		{"-foods - -out h.yaml", foods, house, nil},
		{"-household - -foods -", house, nil, ErrTwice},
		{"-household - -foods /dev/stdin", house, nil, ErrTwice},
		{"-household " + os.DevNull + " -out " + os.DevNull, nil, null, nil},
		{"-household -", null, null, nil},
		{"-household h.yaml p.yaml", nil, nil, nil},
	} {
		var stderr bytes.Buffer
		fs, _ := flags(tc.stdin, tc.stdout, &stderr)
		if tc.stdout == nil {
			fs.stdout = io.Discard
		}
		args := strings.Fields(tc.args)
		for i, a := range args {
			if strings.HasSuffix(a, ".yaml") || strings.HasSuffix(a, ".txt") {
				args[i] = at("") + string(filepath.Separator) + a
			}
		}
		code, more := fs.Parse(args)
		if more != (tc.want == nil) || !more && (code != Unusable || stderr.Len() == 0) || !errors.Is(fs.Apart(), tc.want) {
			t.Errorf("%q: %d, %t: %s", tc.args, code, more, &stderr)
		}
	}
}

// Files that are no value of a flag take part, and nothing is written twice.
func TestApartOfOthers(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	plan, report := filepath.Join(dir, "p.yaml"), filepath.Join(dir, "r.json")
	if err := os.WriteFile(plan, []byte("plan"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		reads, writes []string
		out           string
		want          error
	}{
		{[]string{plan}, []string{report}, "", nil},
		{[]string{plan}, []string{plan}, "", ErrOver},
		{[]string{plan}, nil, plan, ErrOver},
		{nil, []string{report}, report, ErrOver}, // where nothing stands yet
		{nil, []string{filepath.Join(dir, ".", "x", "..", "r.json")}, report, ErrOver},
		{nil, []string{plan, plan}, "", ErrOver},
		{nil, []string{os.DevNull, os.DevNull}, "", nil},
		{[]string{"-", "-"}, nil, "", ErrTwice},
		{[]string{"", ""}, []string{report}, "", nil},
	} {
		fs, o := flags(nil, io.Discard, io.Discard)
		o.out = tc.out
		for _, p := range tc.reads {
			fs.Reads("the audit", p)
		}
		for _, p := range tc.writes {
			fs.Writes("-report", p)
		}
		if err := fs.Apart(); !errors.Is(err, tc.want) {
			t.Errorf("%q, %q, %q: %v", tc.reads, tc.writes, tc.out, err)
		}
	}
	if runtime.GOOS == "windows" {
		return // no pipe can be asked who it is there
	}
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	defer w.Close()
	fs, _ := flags(nil, w, io.Discard)
	if fs.Writes("-report", "-"); !errors.Is(fs.Apart(), ErrOver) {
		t.Error("two reports go to one pipe")
	}
	if got := slices.Collect(strings.Lines(fs.Apart().Error())); len(got) != 1 {
		t.Errorf("%q", got)
	}
}
