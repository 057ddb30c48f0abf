package safety

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// maxFileBytes bounds every data file.
const maxFileBytes = 1 << 20

// row is one record of a CSV table. Faults are collected in the table, so that
// a file is reported whole.
type row struct {
	t     *table
	line  int
	cells map[string]string
	cols  map[string]int
}

type table struct {
	path   string
	reg    *cite.Registry
	faults strict.Faults
}

func (t *table) fault(line, col int, format string, args ...any) {
	err := fmt.Errorf(format, args...)
	t.faults = append(t.faults, strict.Fault{Path: t.path, Line: max(line, 1), Col: max(col, 1), Msg: oneLine(err.Error()), Err: err})
}

func oneLine(s string) string { return strings.ReplaceAll(s, "\n", "; ") }

// readTable reads a CSV file with exactly the header given and hands each row
// to use. It returns nil or strict.Faults.
func readTable(path, text string, reg *cite.Registry, header string, use func(row)) error {
	t := &table{path: path, reg: reg}
	c := csv.NewReader(strings.NewReader(text))
	c.FieldsPerRecord = -1
	want := strings.Split(header, ",")
	for first := true; ; first = false {
		rec, err := c.Read()
		if errors.Is(err, io.EOF) {
			if first {
				t.fault(1, 1, "the file is empty; the first line must be %s", header)
			}
			break
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			// What follows a quoting fault cannot be told apart.
			t.fault(parse.Line, parse.Column, "%w", parse.Err)
			break
		}
		if err != nil {
			t.fault(1, 1, "%w", err)
			break
		}
		line, _ := c.FieldPos(0)
		if first {
			if !slices.Equal(rec, want) {
				t.fault(1, 1, "the first line must be %s", header)
				break
			}
			continue
		}
		if len(rec) != len(want) {
			t.fault(line, 1, "%d fields, want %d: %s", len(rec), len(want), header)
			continue
		}
		r := row{t, line, make(map[string]string, len(rec)), make(map[string]int, len(rec))}
		for i, name := range want {
			r.cells[name] = strings.TrimSpace(rec[i])
			_, r.cols[name] = c.FieldPos(i)
		}
		use(r)
	}
	if len(t.faults) > 0 {
		return t.faults
	}
	return nil
}

func (r row) fail(name, format string, args ...any) { r.t.fault(r.line, r.cols[name], format, args...) }

// opt returns a cell that may be empty.
func (r row) opt(name string) string { return r.cells[name] }

// text returns a cell that must not be empty.
func (r row) text(name string) string {
	s := r.cells[name]
	if s == "" {
		r.fail(name, "%s is missing", name)
	}
	return s
}

// words splits a cell at blanks.
func (r row) words(name string) []string { return strings.Fields(r.cells[name]) }

// ref reads and checks the citation of the row: an uncited row is a fault.
func (r row) ref(name string) cite.Ref {
	s := r.text(name)
	if s == "" {
		return cite.Ref{}
	}
	ref, err := checkedRef(r.t.reg)(s)
	if err != nil {
		r.fail(name, "%w", err)
	}
	return ref
}

// checkedRef parses a reference and looks its sources up.
func checkedRef(reg *cite.Registry) func(string) (cite.Ref, error) {
	return func(s string) (cite.Ref, error) {
		ref, err := cite.ParseRef(s)
		if err != nil {
			return ref, err
		}
		return ref, ref.Check(reg)
	}
}

// cell reads a required cell through a parser.
func cell[T any](r row, name string, parse func(string) (T, error)) T {
	var zero T
	if s := r.text(name); s != "" {
		v, err := parse(s)
		if err == nil {
			return v
		}
		r.fail(name, "%w", err)
	}
	return zero
}

// optCell reads a cell that may be empty.
func optCell[T any](r row, name string, parse func(string) (T, error)) (v T, ok bool) {
	if r.cells[name] == "" {
		return v, false
	}
	return cell(r, name, parse), true
}

// unique reports a repeated id once per repeat.
type unique map[string]int

func (u unique) add(r row, name, id string) {
	if first, ok := u[id]; ok && id != "" {
		r.fail(name, "%s is already on line %d", clip(id), first)
		return
	}
	u[id] = r.line
}

// ident accepts permanent ids: lower-case words, digits and single hyphens.
func ident(s string) (string, error) {
	if s == "" || len(s) > 64 || strings.HasPrefix(s, "-") || strings.HasSuffix(s, "-") || strings.Contains(s, "--") ||
		strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
		return "", fmt.Errorf("%q is not an id: lower-case letters, digits and single hyphens", clip(s))
	}
	return s, nil
}
