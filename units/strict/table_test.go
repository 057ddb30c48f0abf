package strict_test

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fitchet.example/units/strict"
)

func told(err error) []string {
	if err == nil {
		return nil
	}
	return strings.Split(err.Error(), "\n")
}

// The form is that of RFC 4180: quotes doubled in quotes, commas and quotes in
// quoted fields, lines that end in CR LF. A byte order mark is no part of the text.
func TestTable(t *testing.T) {
	t.Parallel()
	tab := strict.ParseTable("f.csv", []byte("\ufeffname,count,same\r\n\"Hare, \"\"brown\"\"\",12,a; b;c\r\n\r\nStoat,,\r\n"),
		strict.Columns{Names: []string{"count", "name"}, Optional: []string{"same", "note"}})
	if diff := cmp.Diff([]string{"name", "count", "same"}, tab.Head()); diff != "" {
		t.Error(diff)
	}
	type row struct {
		Line       int
		Name, Note string
		Count      int
		Given      bool
		Same       []string
	}
	var got []row
	for tab.Next() {
		r := row{Line: tab.Line(), Name: tab.Text("name"), Note: tab.OptText("note"), Same: tab.List("same")}
		r.Count, r.Given = strict.OptCell(tab, "count", strconv.Atoi)
		got = append(got, r)
	}
	want := []row{{Line: 2, Name: `Hare, "brown"`, Count: 12, Given: true, Same: []string{"a", "b", "c"}}, {Line: 4, Name: "Stoat"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if tab.Err() != nil || tab.Next() || tab.OptText("name") != "" || tab.Line() != 1 {
		t.Errorf("behind the last row: %v, line %d", tab.Err(), tab.Line())
	}
}

// Each file is wrong in one way or several; all faults come at once, in order.
func TestTable_faults(t *testing.T) {
	t.Parallel()
	columns := strict.Columns{Names: []string{"id", "count"}, Optional: []string{"same"}, MaxBytes: 4000}
	ordered := strict.Columns{Names: []string{"id", "count"}, Ordered: true}
	figures := strict.Columns{Names: []string{"id"}, Other: func(s string) bool { return strings.HasSuffix(s, "_g") }}
	for _, tc := range []struct {
		name, text string
		c          strict.Columns
		want       []string
	}{
		{"empty", "", columns, []string{"1:1: empty: the first line must name the columns"}},
		{"empty, in order", "\ufeff\n", ordered, []string{"1:1: empty: the first line must be id,count"}},
		{"other order", "count,id\n1,a\n", ordered, []string{"1:1: the first line must be id,count"}},
		{"any order", "count,id\n1,a\n", columns, nil},
		{"columns", "ids,same,id,weight,same\nx,x,x,x,x\n", columns, []string{
			`1:1: no column is called "ids"; did you mean "id"?`, "1:1: column count is missing", `1:13: no column is called "weight"`, `1:20: column "same" is there twice`}},
		{"other columns", "id,water_g,water_mg\na,1,1\n", figures, []string{`1:12: no column is called "water_mg"`}},
		{"fields", "id,count\na\nb,1,2\nc,1\n", columns, []string{"2:1: 1 fields, want 2", "3:1: 3 fields, want 2"}},
		{"missing", "id,count\n,1\na,\n", columns, []string{"2:1: id is missing", "3:3: count is missing"}},
		{"parser", "id,count\na,x\nb,-\n", columns, []string{
			`2:3: count: strconv.Atoi: parsing "x": invalid syntax`, `3:3: count: strconv.Atoi: parsing "-": invalid syntax`}},
		{"list", "id,count,same\na,1,x;;y\n", columns, []string{"2:5: same has an empty item"}},
		{"spaces", "id,count,same\n a,x,\na,x,\"b \"\n", columns, []string{"2:1: id begins or ends with a space", "3:5: same begins or ends with a space"}},
		{"blank", "id,count,same\na,1,\"  \"\n", columns, []string{"2:5: same begins or ends with a space"}},
		{"a line in a field", "id,count,same\na,1,\"x\ny\"\nb,x,\n", columns, []string{
			"2:5: same: holds the character U+000A, which is not allowed", `4:3: count: strconv.Atoi: parsing "x": invalid syntax`}},
		{"tab", "id,count\na\tb,1\n", columns, []string{"2:1: id: holds the character U+0009, which is not allowed"}},
		{"turned around", "id,count\n\u202ea,1\n", columns, []string{"2:1: id: holds the character U+202E, which is not allowed"}},
		{"not UTF-8", "id,count\n\xffa,1\n", columns, []string{"2:1: id: not valid UTF-8"}},
		{"long", "id,count\n" + strings.Repeat("x", strict.MaxField+1) + ",1\n", columns, []string{"2:1: id is longer than 2048 bytes"}},
		{"as long as may be", "id,count\n" + strings.Repeat("x", strict.MaxField) + ",1\n", columns, nil},
		{"too large", "id,count\n" + strings.Repeat("a,1\n", 1000), columns, []string{"1:1: larger than 4000 bytes"}},
		{"quotes", "id,count\na,x\nb,\"1\"2\nc,x\n", columns, []string{
			`2:3: count: strconv.Atoi: parsing "x": invalid syntax`, `3:5: extraneous or missing " in quoted-field`}},
		{"quotes in the first line", "id,co\"unt\na,1\n", columns, []string{`1:6: bare " in non-quoted-field`}},
		// columns are counted in characters, as an editor shows them
		{"characters", "id,count,same\nhé,x,\nb,1,µg;\n\n\n\n\"é\",ü,\n", columns, []string{
			`2:4: count: strconv.Atoi: parsing "x": invalid syntax`, "3:5: same has an empty item", `7:5: count: strconv.Atoi: parsing "ü": invalid syntax`}},
		{"characters and lines", "id,count,same\na,\"x\nß\",\ty\nb,x,\n", columns, []string{
			"2:3: count: holds the character U+000A, which is not allowed", "3:4: same: holds the character U+0009, which is not allowed", `4:3: count: strconv.Atoi: parsing "x": invalid syntax`}},
		{"quotes over lines", "id,count\na,\"x\né\"y\n", columns, []string{`3:2: extraneous or missing " in quoted-field`}},
		{"quotes and characters", "id,count\né,a\"\n", columns, []string{`2:4: bare " in non-quoted-field`}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			tab := strict.ParseTable("f.csv", []byte(tc.text), tc.c)
			for tab.Next() {
				tab.Text("id")
				strict.Cell(tab, "count", strconv.Atoi)
				tab.List("same")
			}
			var want []string
			for _, w := range tc.want {
				want = append(want, "f.csv:"+w)
			}
			if tc.c.Other != nil && tab.Next() {
				t.Error("rows without their columns")
			}
			if diff := cmp.Diff(want, told(tab.Err())); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// What the caller finds wrong stands at the field, or at the row, and its cause is
// found; before the first row it stands at the file.
func TestTable_Fail(t *testing.T) {
	t.Parallel()
	cause := errors.New("cause")
	tab := strict.ParseTable("f.csv", []byte("id,count\na,1\n"), strict.Columns{Names: []string{"id", "count"}})
	tab.Fail("count", "too early")
	for tab.Next() {
		tab.Fail("count", "two\nlines: %w", cause)
		tab.Fail("", "the row")
	}
	tab.Fail("count", "too late")
	err := tab.Err()
	if diff := cmp.Diff([]string{"f.csv:1:1: too early", "f.csv:1:1: too late", "f.csv:2:1: the row", "f.csv:2:3: two; lines: cause"}, told(err)); diff != "" {
		t.Error(diff)
	}
	if !errors.Is(err, cause) {
		t.Error("the cause is lost")
	}
}

// However many faults, a hundred are shown and the rest counted.
func TestTable_manyFaults(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		rows int
		last string
	}{{100, "f:101:1: 1 fields, want 2"}, {101, "f:102:1: and 1 more faults"}, {5000, "f:102:1: and 4900 more faults"}} {
		tab := strict.ParseTable("f", []byte("a,b\n"+strings.Repeat("x\n", tc.rows)), strict.Columns{Names: []string{"a", "b"}})
		for tab.Next() {
			t.Error("a row with a field too few")
		}
		if got := told(tab.Err()); len(got) != min(tc.rows, 101) || got[len(got)-1] != tc.last {
			t.Errorf("%d rows: %d faults, the last %s, want %s", tc.rows, len(got), got[len(got)-1], tc.last)
		}
	}
}

// Faults of several files are cut to a number, in the order of files and places.
func TestFaults_First(t *testing.T) {
	t.Parallel()
	fault := func(path string, line int) strict.Fault {
		return strict.Fault{Path: path, Line: line, Col: 1, Msg: "m"}
	}
	all := strict.Faults{fault("b", 1), fault("a", 2), fault("a", 1), fault("a", 2)}
	for n, want := range map[int]string{
		-1: "a:1:1: and 3 more faults", 0: "a:1:1: and 3 more faults", 1: "a:1:1: m|a:2:1: and 2 more faults",
		2: "a:1:1: m|a:2:1: m|b:1:1: and 1 more faults", 3: "a:1:1: m|a:2:1: m|b:1:1: m", 9: "a:1:1: m|a:2:1: m|b:1:1: m",
	} {
		if got := strings.Join(told(all.First(n)), "|"); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
	if got := strict.Faults(nil).First(3); len(got) != 0 {
		t.Error(got)
	}
}

func TestIsID(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]bool{
		"a": true, "9": true, "beef-heart": true, "b-12": true, strings.Repeat("a", strict.MaxID): true,
		"": false, "-": false, "-a": false, "a-": false, "a--b": false, "A": false, "a b": false, "a_b": false, "é": false, "a\n": false,
		strings.Repeat("a", strict.MaxID+1): false,
	} {
		if got := strict.IsID(s); got != want {
			t.Errorf("%q: %v", s, got)
		}
	}
}

// Whatever the bytes, each fault has a place in the file.
func FuzzTable(f *testing.F) {
	for _, s := range []string{"", "a,b\n1,2\n", "a,b\n\"x\ny\",é\n\r\n\rq,1\n", "a,\"b\n", "a,b\nü\"\n", "\ufeffa,a\n", "\r\ra,b\n \"\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tab := strict.ParseTable("f", []byte(s), strict.Columns{Names: []string{"a"}, Other: func(string) bool { return true }})
		for tab.Next() {
			for _, name := range tab.Head() {
				if err := strict.Clean(tab.OptText(name)); err != nil {
					t.Errorf("%q: %v", tab.OptText(name), err)
				}
				tab.Fail(name, "here")
			}
		}
		var faults strict.Faults
		if err := tab.Err(); err == nil {
			return
		} else if !errors.As(err, &faults) {
			t.Fatal(err)
		}
		rows := strings.Split(s, "\n")
		for _, fault := range faults {
			if fault.Line < 1 || fault.Line > len(rows) || fault.Col < 1 || fault.Col > len(rows[fault.Line-1])+2 || fault.Msg == "" {
				t.Errorf("%q: %+v", s, fault)
			}
		}
	})
}

func ExampleParseTable() {
	pens := strict.ParseTable("pens.csv", []byte("pen,ferrets,note\nloft,3,\nbarn,four,\n,2,dry\n"),
		strict.Columns{Names: []string{"pen", "ferrets"}, Optional: []string{"note"}})
	for pens.Next() {
		pen := pens.Text("pen")
		if n, ok := strict.Cell(pens, "ferrets", strconv.Atoi); ok {
			fmt.Printf("%q: %d\n", pen, n)
		}
	}
	fmt.Println(pens.Err())
	// Output:
	// "loft": 3
	// "": 2
	// pens.csv:3:6: ferrets: strconv.Atoi: parsing "four": invalid syntax
	// pens.csv:4:1: pen is missing
}
