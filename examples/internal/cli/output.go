package cli

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Output is a result on its way to a file, a device or standard output.
//
// A file has its name only when it is whole: until then the result lies beside
// it under a name that begins with [partPrefix], and what stood under the name
// stays as it was, whatever happens. A file that is written again keeps its
// permissions and, where the system lets us, its owner; a new one gets those of
// the umask. Behind a symbolic link the file is written and the link stays; a
// link that leads nowhere is refused. Another hard link to the file keeps the old
// text. Devices, pipes and standard output are written to directly.
type Output struct {
	name   string // for messages
	w      io.Writer
	file   *os.File // ours to close; nil: standard output
	target string   // where the part goes in the end; "": there is none
	old    bool     // a file stands there
	err    error    // the first of writing
	ended  bool
}

// Create begins an output to the file, or to stdout when path is "" or "-". It must
// be ended by Commit or Abort. Parts that a killed run left in the same folder
// are removed.
func Create(path string, stdout io.Writer) (*Output, error) {
	o := &Output{name: path, w: stdout}
	if isStandard(path, stdout) {
		o.name = "standard output"
		return o, nil
	}
	if err := o.open(path); err != nil {
		return nil, o.wrap(err)
	}
	o.w = o.file
	return o, nil
}

// isStandard reports whether the path is another name of standard output.
func isStandard(path string, stdout io.Writer) bool {
	if path == "" || path == "-" {
		return true
	}
	f, ok := stdout.(*os.File)
	if !ok {
		return false
	}
	out, err := f.Stat()
	if err != nil {
		return false
	}
	at, err := os.Stat(path)
	return err == nil && os.SameFile(out, at)
}

func (o *Output) open(path string) error {
	at, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Lstat(path); err == nil {
			return errors.New("it is a link to a file that is not there")
		}
		return o.part(path, nil)
	case err != nil:
		return err
	case at.IsDir():
		return errors.New("it is a folder")
	case !at.Mode().IsRegular():
		o.file, err = os.OpenFile(path, os.O_WRONLY, 0)
		return err
	case isStream(path):
		o.file, err = os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
		return err
	}
	o.old = true
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	// What may not be written may not be replaced either.
	f, err := os.OpenFile(target, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), o.part(target, at))
}

// isStream reports whether the name stands for a file that is open already, such
// as /dev/stdout: replacing what it leads to would not reach the one who opened it.
func isStream(path string) bool {
	path = filepath.ToSlash(filepath.Clean(path))
	return path == "/dev/stdout" || path == "/dev/stderr" || strings.HasPrefix(path, "/dev/fd/") || strings.HasPrefix(path, "/proc/self/fd/")
}

// partPrefix begins the name of what is not whole yet.
const partPrefix = ".fitchet-part-"

// part opens a file beside the target, which is as old says, nil where nothing
// stands yet.
func (o *Output) part(target string, old fs.FileInfo) error {
	dir := filepath.Dir(target)
	Sweep(dir)
	mode := fs.FileMode(0o666)
	if old != nil {
		mode = old.Mode().Perm()
	}
	for range 10 { // in vain only while somebody clears up just here
		name := filepath.Join(dir, partPrefix+rand.Text())
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, mode)
		if err != nil {
			return err
		}
		hold(f)
		if at, err := os.Lstat(name); err == nil && same(f, at) {
			o.file, o.target = f, target
			if err := liken(f, old); err != nil {
				_ = o.Abort(nil)
				return err
			}
			return nil
		}
		_ = f.Close() // it was taken for a leftover in the moment before it was held
	}
	return errors.New("files beside it vanish")
}

func same(f *os.File, at fs.FileInfo) bool {
	its, err := f.Stat()
	return err == nil && os.SameFile(its, at)
}

// liken gives a part the owner and the permissions of the file it will replace.
func liken(f *os.File, old fs.FileInfo) error {
	if old == nil {
		return nil
	}
	keepOwner(f, old)
	at, err := f.Stat()
	if err != nil || at.Mode().Perm() == old.Mode().Perm() {
		return err
	}
	return f.Chmod(old.Mode().Perm())
}

// Sweep removes the parts that killed runs left in a folder. What cannot be read
// or removed is left: it is in nobody's way.
func Sweep(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), partPrefix) && e.Type().IsRegular() {
			removeDead(filepath.Join(dir, e.Name()))
		}
	}
}

// Write writes to the output and keeps the first error, which Commit returns too.
func (o *Output) Write(b []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	n, err := o.w.Write(b)
	o.err = err
	return n, err
}

// Commit ends the output: a file now stands under its name, safe on the disk. When
// anything went wrong before, or does now, what stood there stays.
func (o *Output) Commit() error {
	err := o.err
	if err == nil && o.target != "" {
		if err = o.file.Sync(); errors.Is(err, errors.ErrUnsupported) {
			err = nil
		}
		if err == nil {
			err = place(o.file, o.target)
		}
	} else if err == nil && o.file != nil {
		err = o.file.Close()
	}
	if err != nil {
		return o.Abort(err)
	}
	o.ended = true
	return nil
}

// Abort ends the output without a result, and says why and what became of what
// stood there. It does nothing after Commit, and for nil.
func (o *Output) Abort(why error) error {
	if o == nil || o.ended {
		return nil
	}
	o.ended = true
	if o.file != nil {
		_ = o.file.Close()
	}
	if o.target != "" {
		_ = os.Remove(o.file.Name()) // else the next run does
	}
	return o.wrap(why)
}

// wrap says what was being written, and what became of what stood there.
func (o *Output) wrap(err error) error {
	if err == nil {
		return nil
	}
	err = Named("writing", o.name, err)
	if o.old {
		return fmt.Errorf("%w; the file that stands there is unchanged", err)
	}
	return err
}

// Deliver writes data to the file, or to stdout when path is "" or "-", as [Output]
// says.
func Deliver(path string, data []byte, stdout io.Writer) error {
	o, err := Create(path, stdout)
	if err != nil {
		return err
	}
	_, _ = o.Write(data) // Commit says what went wrong
	return o.Commit()
}
