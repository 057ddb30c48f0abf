package safety

import (
	"fmt"
	"strings"

	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// row is one row of a table.
type row struct {
	*strict.Table
	reg *cite.Registry
}

// readTable reads a CSV file with exactly the header given and hands each row
// to use. It returns nil or strict.Faults.
func readTable(path, text string, reg *cite.Registry, header string, use func(row)) error {
	t := strict.ParseTable(path, []byte(text), strict.Columns{Names: strings.Split(header, ","), Ordered: true})
	for t.Next() {
		use(row{t, reg})
	}
	return t.Err()
}

// words splits a cell at blanks.
func (r row) words(name string) []string { return strings.Fields(r.OptText(name)) }

// ref reads and checks the citation of the row: an uncited row is a fault.
func (r row) ref(name string) cite.Ref {
	s := r.Text(name)
	if s == "" {
		return cite.Ref{}
	}
	ref, err := checkedRef(r.reg)(s)
	if err != nil {
		r.Fail(name, "%w", err)
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
	v, _ := strict.Cell(r.Table, name, parse)
	return v
}

// unique reports a repeated id once per repeat.
type unique map[string]int

func (u unique) add(r row, name, id string) {
	if first, ok := u[id]; ok && id != "" {
		r.Fail(name, "%s is already on line %d", clip(id), first)
		return
	}
	u[id] = r.Line()
}

// ident accepts permanent ids: lower-case words, digits and single hyphens.
func ident(s string) (string, error) {
	if !strict.IsID(s) {
		return "", fmt.Errorf("%q is not an id: lower-case letters, digits and single hyphens", clip(s))
	}
	return s, nil
}
