package strict

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// MaxField is how long a field of a table may be, in bytes.
const MaxField = 2048

// Columns says which columns a table has.
type Columns struct {
	Names    []string               // must be there
	Optional []string               // may be there
	Other    func(name string) bool // takes further names; nil takes none
	Ordered  bool                   // the first line is Names, in this order
	MaxBytes int                    // size of the file; 0 means [MaxBytes]
}

// Table is a CSV file (RFC 4180, UTF-8) while it is read: the first line names
// the columns, [Table.Next] goes on to the next row, and fields are asked for by
// the name of their column. Like a Doc it collects faults, reading goes on over
// them, and nothing that was read may be used before [Table.Err] has returned nil.
// A Table belongs to one goroutine; nil and the zero Table have no rows.
type Table struct {
	found
	text   string
	csv    *csv.Reader
	start  int // offset in text from which the row was read
	head   []string
	at     map[string]int // column by name
	fields []string       // the row; nil before the first and after the last
}

// ParseTable reads the first line of a table. It never fails and never panics:
// where the columns are not those of c, there are no rows, and Err says why. The
// path is used in messages only.
func ParseTable(path string, data []byte, c Columns) *Table {
	t := &Table{found: found{path: path}, at: make(map[string]int)}
	if most := cmp.Or(c.MaxBytes, MaxBytes); len(data) > most {
		t.fault(1, 1, nil, "larger than %d bytes", most)
		return t
	}
	t.text = strings.TrimPrefix(string(data), "\ufeff")
	t.csv = csv.NewReader(strings.NewReader(t.text))
	t.csv.FieldsPerRecord = -1 // the number is judged with the place
	t.csv.ReuseRecord = true
	if t.read() {
		t.head = slices.Clone(t.fields)
		t.header(c)
	} else if len(t.faults) == 0 {
		want := "name the columns"
		if c.Ordered {
			want = "be " + strings.Join(c.Names, ",")
		}
		t.fault(1, 1, nil, "empty: the first line must %s", want)
	}
	if len(t.faults) > 0 {
		t.csv = nil
	}
	t.fields = nil
	return t
}

// header judges the first line.
func (t *Table) header(c Columns) {
	if c.Ordered && !slices.Equal(t.head, c.Names) {
		t.fault(1, 1, nil, "the first line must be %s", strings.Join(c.Names, ","))
		return
	}
	known := slices.Concat(c.Names, c.Optional)
	for i, name := range t.head {
		if !slices.Contains(known, name) && (c.Other == nil || !c.Other(name)) {
			says := ""
			if near, ok := Nearest(name, known); ok {
				says = fmt.Sprintf("; did you mean %q?", near)
			}
			t.fail(i, "no column is called %s%s", show(name), says)
		}
		if _, twice := t.at[name]; twice {
			t.fail(i, "column %s is there twice", show(name))
		}
		t.at[name] = i
	}
	for _, name := range c.Names {
		if _, ok := t.at[name]; !ok {
			t.fail(0, "column %s is missing", name)
		}
	}
}

// read goes on to the next record. What follows a quoting fault cannot be told
// apart, so it is the last.
func (t *Table) read() bool {
	t.fields = nil
	if t.csv == nil {
		return false
	}
	t.start = int(t.csv.InputOffset())
	fields, err := t.csv.Read()
	var broken *csv.ParseError
	if errors.As(err, &broken) {
		t.fault(broken.Line, t.column(broken.StartLine, broken.Line, broken.Column), broken.Err, "%v", broken.Err)
	}
	if err != nil {
		t.csv = nil
		return false
	}
	t.fields = fields
	return true
}

// Next goes on to the next row and reports false behind the last. Rows with too
// few or too many fields, and rows with a field that is too long, is not clean
// text or begins or ends with a space, are faults and left out.
func (t *Table) Next() bool {
	for t != nil && t.read() {
		if len(t.fields) != len(t.head) {
			t.fail(0, "%d fields, want %d", len(t.fields), len(t.head))
		} else if t.clean() {
			return true
		}
	}
	return false
}

func (t *Table) clean() bool {
	ok := true
	for i, v := range t.fields {
		if len(v) > MaxField {
			t.fail(i, "%s is longer than %d bytes", t.head[i], MaxField)
		} else if err := Clean(v); err != nil {
			t.fail(i, "%s: %w", t.head[i], err)
		} else if v != strings.TrimSpace(v) {
			t.fail(i, "%s begins or ends with a space", t.head[i])
		} else {
			continue
		}
		ok = false
	}
	return ok
}

// Clean says why a text may not stand in a field of a table, on one line: it is
// not UTF-8, or holds control characters or others that make a line look other
// than it is.
func Clean(s string) error {
	if !utf8.ValidString(s) {
		return errors.New("not valid UTF-8")
	}
	for _, c := range s {
		if c >= ' ' && c <= '~' {
			continue
		}
		if c == '\n' || c == '\t' || !allowed(c) {
			return fmt.Errorf("holds the character %U, which is not allowed", c)
		}
	}
	return nil
}

// Head returns the names of the columns, in the order of the file.
func (t *Table) Head() []string {
	if t == nil {
		return nil
	}
	return slices.Clone(t.head)
}

// Line returns the line on which the row begins, 1 where there is no row.
func (t *Table) Line() int {
	line, _ := t.place(0)
	return line
}

// place returns where a field of the row begins.
func (t *Table) place(field int) (line, col int) {
	if t == nil || field >= len(t.fields) {
		return 1, 1
	}
	first, _ := t.csv.FieldPos(0)
	line, col = t.csv.FieldPos(field)
	return line, t.column(first, line, col)
}

// column turns a column in bytes into one in characters, for a record that
// begins on line first.
func (t *Table) column(first, line, col int) int {
	row := strings.TrimLeft(t.text[t.start:], "\r\n") // lines left blank are no rows
	for range line - first {
		_, row, _ = strings.Cut(row, "\n")
	}
	return utf8.RuneCountInString(row[:max(0, min(col-1, len(row)))]) + 1
}

// Fail notes a fault at a field of the row; a name that no column has is the row.
// An error among the arguments that is formatted with %w can be found with
// [errors.Is] in what Err returns.
func (t *Table) Fail(name, format string, args ...any) {
	if t != nil {
		t.fail(t.at[name], format, args...)
	}
}

func (t *Table) fail(field int, format string, args ...any) {
	if t.full() { // what is only counted need not be put into words
		t.more++
		return
	}
	err := fmt.Errorf(format, args...)
	line, col := t.place(field)
	t.fault(line, col, err, "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
}

// Err returns nil or a [Faults] with everything noted so far, as [Doc.Err] does.
func (t *Table) Err() error {
	if t == nil || len(t.faults) == 0 {
		return nil
	}
	return t.sorted()
}

// OptText returns a field of the row, which may be blank; "" for a column that is
// not there.
func (t *Table) OptText(name string) string {
	if t == nil {
		return ""
	}
	if i, ok := t.at[name]; ok && i < len(t.fields) {
		return t.fields[i]
	}
	return ""
}

// Text returns a field of the row, which may not be blank.
func (t *Table) Text(name string) string {
	s := t.OptText(name)
	if s == "" {
		t.Fail(name, "%s is missing", name)
	}
	return s
}

// List returns the items of a field, which are separated by semicolons; none for
// a blank field.
func (t *Table) List(name string) []string {
	s := t.OptText(name)
	if s == "" {
		return nil
	}
	items := strings.Split(s, ";")
	for i := range items {
		if items[i] = strings.TrimSpace(items[i]); items[i] == "" {
			t.Fail(name, "%s has an empty item", name)
		}
	}
	return items
}

// Cell reads a field, which may not be blank, through a parser. What the parser
// says becomes a fault at the field.
func Cell[T any](t *Table, name string, parse func(string) (T, error)) (v T, ok bool) {
	if t.Text(name) == "" {
		return v, false
	}
	return OptCell(t, name, parse)
}

// OptCell is [Cell] for a field that may be blank, which gives the zero value.
func OptCell[T any](t *Table, name string, parse func(string) (T, error)) (v T, ok bool) {
	s := t.OptText(name)
	if s == "" {
		return v, false
	}
	got, err := parse(s)
	if err != nil {
		t.Fail(name, "%s: %w", name, err)
		return v, false
	}
	return got, true
}
