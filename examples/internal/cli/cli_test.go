package cli

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestDeliver(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "sheet.txt")
	for _, text := range []string{"first", "second, longer than the first"} {
		if err := Deliver(path, []byte(text), nil); err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(path)
		if err != nil || string(got) != text {
			t.Errorf("%q, %v; want %q", got, err, text)
		}
	}
	if err := Deliver(filepath.Join(dir, "no", "folder"), []byte("x"), nil); err == nil {
		t.Error("a folder that is not there was written to")
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("%d files are left, want the sheet alone: %v", len(entries), err)
	}
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	if err := Deliver(link, []byte("through the link"), nil); err != nil {
		t.Error(err)
	}
	if at, err := os.Lstat(link); err != nil || at.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link was replaced: %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "through the link" {
		t.Errorf("%q behind the link", got)
	}
	if err := Deliver(dir, []byte("x"), nil); err == nil {
		t.Error("a folder was written over")
	}
	if err := Deliver(os.DevNull, []byte("x"), nil); err != nil {
		t.Error(err)
	}
	if at, err := os.Stat(os.DevNull); err != nil || at.Mode().IsRegular() {
		t.Fatalf("%s became an ordinary file: %v", os.DevNull, err)
	}
	var b bytes.Buffer
	if err := Deliver("", []byte("out"), &b); err != nil || b.String() != "out" {
		t.Errorf("%q, %v", b.String(), err)
	}
	if err := Deliver("", []byte("out"), full{}); !errors.Is(err, errFull) {
		t.Errorf("a full output: %v", err)
	}
}

var errFull = errors.New("full")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestLoad(t *testing.T) {
	read := func(name string, r io.Reader) (string, error) {
		b, err := io.ReadAll(r)
		return name + ": " + string(b), err
	}
	path := filepath.Join(t.TempDir(), "a.yaml")
	if err := os.WriteFile(path, []byte("text"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got, err := Load(path, nil, read); err != nil || got != path+": text" {
		t.Errorf("%q, %v", got, err)
	}
	if got, err := Load("-", strings.NewReader("in"), read); err != nil || got != "standard input: in" {
		t.Errorf("%q, %v", got, err)
	}
	if _, err := Load(path+"x", nil, read); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a missing file: %v", err)
	}
}

func TestComplain(t *testing.T) {
	var b bytes.Buffer
	Complain(&b, "weekplan", errors.Join(errors.New("one"), errors.New("two")))
	if want := "weekplan: one\nweekplan: two\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}
