// Package cli is what the programs share: exit codes, reading a named file or
// standard input, and writing a result whole or not at all.
package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// Exit codes of every program.
const (
	Well     = 0 // nothing to stop or mend
	Mend     = 1 // something to stop or mend, or food lacking
	Unusable = 2 // input that cannot be used
)

// Deliver writes data to the file, or to stdout when path is empty. A file
// appears under its name only when it is whole; what stood there before stays
// until then.
func Deliver(path string, data []byte, stdout io.Writer) error {
	if path == "" {
		_, err := stdout.Write(data)
		return err
	}
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target // a link stays a link
	}
	if at, err := os.Stat(path); err == nil && !at.Mode().IsRegular() {
		// a device or a pipe is written to, never replaced by a file
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err == nil {
			_, err = f.Write(data)
			err = errors.Join(err, f.Close())
		}
		if err != nil {
			return fmt.Errorf("writing %s: %w", path, err)
		}
		return nil
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".part-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if err = errors.Join(err, f.Chmod(0o644), f.Close()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

// Load opens a file, or takes stdin for "-", and hands it to a loader with its
// name for messages.
func Load[T any](path string, stdin io.Reader, read func(name string, r io.Reader) (T, error)) (T, error) {
	if path == "-" {
		return read("standard input", stdin)
	}
	var none T
	f, err := os.Open(path)
	if err != nil {
		return none, err
	}
	defer f.Close()
	return read(path, f)
}

// JSON is v as indented text, without escapes for HTML.
func JSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	err := enc.Encode(v)
	return b.Bytes(), err
}

// Complain writes an error, each of its lines under the program's name.
func Complain(w io.Writer, program string, err error) {
	for line := range strings.SplitSeq(err.Error(), "\n") {
		fmt.Fprintf(w, "%s: %s\n", program, line)
	}
}
