package cli

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fitchet.example/units/strict"
)

// Faults of the files that a program was given.
var (
	ErrTwice = errors.New("standard input (-) is asked for twice; it can be read once")
	ErrOver  = errors.New("nothing was written")
)

// Flags are the flags of a program, which may stand before, between and after its
// other arguments. They know which files are read and which are written.
type Flags struct {
	*flag.FlagSet
	stdin   io.Reader
	stdout  io.Writer
	stderr  io.Writer
	in, out []func() use
}

// use is a file and what asks for it, such as "-household".
type use struct{ by, path string }

// NewFlags returns no flags yet. Help and faults of the flags go to stderr.
func NewFlags(program string, stdin io.Reader, stdout, stderr io.Writer) *Flags {
	f := &Flags{FlagSet: flag.NewFlagSet(program, flag.ContinueOnError), stdin: stdin, stdout: stdout, stderr: stderr}
	f.SetOutput(io.Discard) // what it says of a fault may hold anything
	return f
}

// InFile adds the flag of a file that is read; "" is none and "-" standard input.
func (f *Flags) InFile(path *string, name, usage string) {
	f.StringVar(path, name, "", usage)
	f.in = append(f.in, func() use { return use{"-" + name, *path} })
}

// OutFile adds the flag -out for the file that is written; "" and "-" are standard
// output.
func (f *Flags) OutFile(path *string) {
	f.StringVar(path, "out", "", "write to this `file` instead of standard output")
	f.out = append(f.out, func() use { return use{"-out", *path} })
}

// Reads adds a file that is read, and what asks for it.
func (f *Flags) Reads(by, path string) {
	f.in = append(f.in, func() use { return use{by, path} })
}

// Writes adds a file that is written, and what asks for it.
func (f *Flags) Writes(by, path string) {
	f.out = append(f.out, func() use { return use{by, path} })
}

// Parse takes the flags from the arguments, wherever they stand, and leaves the
// others to Args; after "--" none is a flag. When there is nothing more to do,
// since help was asked for or a flag or its file cannot be used as Apart says, it
// has said so and returns false with the exit code.
func (f *Flags) Parse(args []string) (code int, more bool) {
	var flags, rest []string
	for len(args) > 0 {
		a := args[0]
		args = args[1:]
		switch {
		case a == "--":
			rest = append(rest, args...)
			args = nil
		case len(a) < 2 || a[0] != '-':
			rest = append(rest, a)
		case !f.takesNext(a):
			flags = append(flags, a)
		case len(args) == 0:
			return f.taken(f.FlagSet.Parse([]string{a})) // its value is missing
		default:
			flags = append(flags, a, args[0])
			args = args[1:]
		}
	}
	if code, more := f.taken(f.FlagSet.Parse(slices.Concat(flags, []string{"--"}, rest))); !more {
		return code, false
	}
	if err := f.Apart(); err != nil {
		Complain(f.stderr, f.Name(), err)
		return Unusable, false
	}
	return Well, true
}

// taken says what became of the flags: help was asked for, or one cannot be used.
func (f *Flags) taken(err error) (code int, more bool) {
	if err == nil {
		return Well, true
	}
	f.SetOutput(f.stderr)
	defer f.SetOutput(io.Discard)
	if errors.Is(err, flag.ErrHelp) {
		f.Usage()
		return Well, false
	}
	fmt.Fprintln(f.stderr, strict.Line(err.Error()))
	f.Usage()
	return Unusable, false
}

// takesNext reports whether the value of a flag is the next argument.
func (f *Flags) takesNext(arg string) bool {
	name := strings.TrimPrefix(strings.TrimPrefix(arg, "-"), "-")
	known := f.Lookup(name)
	if known == nil { // with its value, or no flag at all
		return false
	}
	b, ok := known.Value.(interface{ IsBoolFlag() bool })
	return !ok || !b.IsBoolFlag()
}

// Apart fails with ErrTwice when standard input is to be read twice, and with
// ErrOver when a file that is read would be written over, or one be written
// twice: by whatever names, symbolic and hard links among them.
func (f *Flags) Apart() error {
	var faults []error
	var piped string
	var in, out []spot
	for _, get := range f.in {
		u := get()
		if u.path == "" {
			continue
		}
		if isStdin(u.path) {
			if piped != "" {
				faults = append(faults, fmt.Errorf("%s and %s: %w", piped, u.by, ErrTwice))
			}
			piped = u.by
		}
		in = append(in, f.read(u))
	}
	for _, get := range f.out {
		w := f.written(get())
		if i := slices.IndexFunc(in, w.over); i >= 0 {
			faults = append(faults, fmt.Errorf("%s is the file that %s reads: %w. Give it another name", w.use, in[i].by, ErrOver))
		}
		if i := slices.IndexFunc(out, w.with); i >= 0 {
			faults = append(faults, fmt.Errorf("%s and %s go to the same file: %w. Give one of them another name", out[i].use, w.use, ErrOver))
		}
		out = append(out, w)
	}
	return errors.Join(faults...)
}

// spot is a use, with what stands there now.
type spot struct {
	use
	at   fs.FileInfo // nil: nothing
	full string      // where it would be written
}

func isStdin(path string) bool {
	return slices.Contains([]string{"-", "/dev/stdin", "/dev/fd/0", "/proc/self/fd/0"}, path)
}

func (f *Flags) read(u use) spot {
	if isStdin(u.path) {
		return opened(u, f.stdin)
	}
	return spot{use: u, at: stat(os.Stat(u.path))}
}

func (f *Flags) written(u use) spot {
	if u.path == "" || u.path == "-" {
		u = use{by: "standard output"}
		return opened(u, f.stdout)
	}
	return spot{use: u, at: stat(os.Stat(u.path)), full: placeOf(u.path)}
}

func opened(u use, stream any) spot {
	s := spot{use: u}
	if file, ok := stream.(*os.File); ok {
		s.at = stat(file.Stat())
	}
	return s
}

// placeOf is where a file would stand, without links among the folders.
func placeOf(path string) string {
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return filepath.Clean(path)
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	return filepath.Join(dir, filepath.Base(path))
}

// stat is what is there, nil where nothing can be seen.
func stat(at fs.FileInfo, err error) fs.FileInfo {
	if err != nil {
		return nil
	}
	return at
}

// over reports whether writing s would lose what is read at r.
func (s spot) over(r spot) bool {
	return s.at != nil && r.at != nil && s.at.Mode().IsRegular() && os.SameFile(s.at, r.at)
}

// with reports whether s and o are one file or pipe. A device takes both.
func (s spot) with(o spot) bool {
	if s.at == nil || o.at == nil {
		return s.at == nil && o.at == nil && s.full != "" && s.full == o.full
	}
	return s.at.Mode()&fs.ModeDevice == 0 && os.SameFile(s.at, o.at)
}

func (u use) String() string {
	if u.path == "" {
		return u.by
	}
	return u.by + " " + strict.Line(u.path)
}
