// Package importer turns published food tables into the catalogue of package
// prey.
//
// It reads two directories. The published directory holds rows of other
// people's tables as they stand, with row ids. The selection directory holds
// what is ours: which row becomes which food, which published cells are not
// used as printed and why, and which figures make the ends of a range. Every
// number that ships is therefore either a published cell, or arithmetic on
// published cells that this package does, or a choice that says so.
//
// The selection directory:
//
//	select.csv       one row per food: names, species, feeding slot, warnings, and
//	                 the row its composition comes from (see compose)
//	corrections.csv  cells of published tables that are not used as printed, each
//	                 with the printed text and the reason (see correct)
//	shares.csv       bone and other parts: pointers for the ends of each range
//	                 (see point); one pointer stands for all three ends
//	pieces.csv       mass of one piece, by the same pointers
//	extras.csv       single figures such as taurine, by the same pointers
//	recipes.csv      mixes of our own, in parts by mass
//	labels.csv       a label of our own, for dry food
//	bones.csv        what each kind of bone holds, see boneRows
//
// [Run] is a pure function of the two directories: the same input gives the
// same bytes. Nothing is filled in. A blank cell stays blank, and a cell that a
// correction voids becomes blank.
package importer

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/units/strict"
)

// Run makes the files of the catalogue, by name. Every fault found in the input
// is returned, joined.
func Run(published, selection fs.FS) (map[string][]byte, error) {
	c := &chain{}
	c.load(published, selection)
	if len(c.faults) > 0 {
		return nil, errors.Join(c.faults...)
	}
	c.correct()
	c.foods()
	out := map[string][]byte{
		"foods.csv":     c.write(foodHead, c.foodRows),
		"parts.csv":     c.write([]string{"food", "part", "low", "typical", "high", "bone", "basis", "ref"}, c.partRows),
		"nutrients.csv": c.write(slices.Concat([]string{"food", "basis"}, c.columns, []string{"ref"}), c.nutrientRows),
		"extra.csv":     c.write([]string{"food", "nutrient", "low", "typical", "high", "unit", "basis", "ref"}, c.extraRows),
		"bone.csv":      c.write([]string{"kind", "basis", "for", "nutrient", "low", "typical", "high", "unit", "ref"}, c.boneRows()),
	}
	if len(c.faults) > 0 {
		return nil, errors.Join(c.faults...)
	}
	return out, nil
}

var foodHead = []string{
	"id", "name", "synonyms", "species", "contains", "kind", "cut", "slot", "anatomy", "colour", "bone_in", "complete",
	"piece_name", "piece_low", "piece_typical", "piece_high", "piece_ref", "hazards", "energy", "energy_ref", "note", "note_ref", "ref",
}

// figureColumns are the columns of nutrients.csv between basis and ref: those of
// the published table that hold one of prey's nutrients in its own unit, in the
// table's order. Energy, which is worked out by a method that the caller
// chooses, and the second unit of vitamin A are none.
func figureColumns(head []string) []string {
	known := make(map[string]bool)
	for _, n := range prey.Nutrients() {
		unit := strings.ToLower(strings.Replace(n.Unit(), "µ", "u", 1))
		known[strings.ReplaceAll(n.Key(), "-", "_")+"_"+unit] = true
	}
	return slices.DeleteFunc(slices.Clone(head), func(col string) bool { return !known[col] })
}

// chain is one run.
type chain struct {
	tables    map[string]*table // published tables by name
	columns   []string          // of nutrients.csv, see figureColumns
	selected  *table
	fixes     *table
	shares    *table
	pieces    *table
	extras    *table
	recipes   *table
	labels    *table
	bones     *table
	bone      map[string]fix    // corrected bone share by "ndb/release"
	unused    map[string]string // "table/row" that must not be selected, and why
	shareOf   map[string][3]figure
	nutrients map[string]sheet
	seen      map[string]string // names taken, by lower-case text
	usedPart  map[string]bool
	faults    []error

	foodRows, partRows, nutrientRows, extraRows [][]string
}

func (c *chain) fault(format string, args ...any) {
	c.faults = append(c.faults, fmt.Errorf(format, args...))
}

// published tables and the columns that make a row id.
var publishedTables = map[string][]string{
	"usda-sr28":        {"ndb_no"},
	"usda-sr28-abbrev": {"ndb_no", "nutrient"},
	"usda-refuse":      {"ndb_no", "release"},
	"usda-weights":     {"id"},
	"ifct-2017":        {"code"},
	"sacn5-71-5":       {"item"},
	"yields":           {"id"},
	"extra-values":     {"id"},
	"body-mass":        {"id"},
	"httk-tissue":      {"species", "tissue"},
	"rabbit-parts":     {"id"},
}

func (c *chain) load(published, selection fs.FS) {
	c.tables = make(map[string]*table)
	for _, name := range slices.Sorted(maps.Keys(publishedTables)) {
		t, err := readTable(published, name, publishedTables[name])
		if err != nil {
			c.faults = append(c.faults, err)
			continue
		}
		c.tables[name] = t
		if name == "usda-sr28" {
			c.columns = figureColumns(t.head)
		}
	}
	for _, own := range []struct {
		to   **table
		name string
		key  []string
	}{
		{&c.selected, "select", []string{"id"}},
		{&c.fixes, "corrections", []string{"table", "row", "field"}},
		{&c.shares, "shares", []string{"food", "part"}},
		{&c.pieces, "pieces", []string{"food"}},
		{&c.extras, "extras", []string{"food", "nutrient"}},
		{&c.recipes, "recipes", []string{"mix", "item"}},
		{&c.labels, "labels", []string{"food", "field"}},
		{&c.bones, "bones", []string{"kind"}},
	} {
		t, err := readTable(selection, own.name, own.key)
		if err != nil {
			c.faults = append(c.faults, err)
			continue
		}
		*own.to = t
	}
	c.shareOf = make(map[string][3]figure)
	c.nutrients = make(map[string]sheet)
	c.seen = make(map[string]string)
	c.usedPart = make(map[string]bool)
}

// table is a CSV file with a header, its rows found by id. Row ids of several
// columns are joined by "/".
type table struct {
	name string
	head []string
	rows []row
	at   map[string]int
	cols map[string]int
}

type row struct {
	t     *table
	id    string
	cells []string
}

// get returns a cell; an unknown column is a fault of the program, and reads as
// empty text.
func (r row) get(col string) string {
	if i, ok := r.t.cols[col]; ok {
		return r.cells[i]
	}
	return ""
}

func (r row) set(col, text string) { r.cells[r.t.cols[col]] = text }

func (t *table) find(id string) (row, bool) {
	i, ok := t.at[id]
	if !ok {
		return row{}, false
	}
	return t.rows[i], true
}

// readTable reads a table of any columns, those of the key among them.
func readTable(dir fs.FS, name string, key []string) (*table, error) {
	file := name + ".csv"
	text, err := fs.ReadFile(dir, file)
	if err != nil {
		return nil, err
	}
	src := strict.ParseTable(file, text, strict.Columns{Names: key, Other: func(string) bool { return true }})
	t := &table{name: name, head: src.Head(), at: make(map[string]int), cols: make(map[string]int)}
	for i, col := range t.head {
		t.cols[col] = i
	}
	for src.Next() {
		r := row{t: t}
		for _, col := range t.head {
			r.cells = append(r.cells, src.OptText(col))
		}
		ids := make([]string, len(key))
		for i, k := range key {
			ids[i] = r.get(k)
		}
		r.id = strings.Join(ids, "/")
		if _, twice := t.at[r.id]; twice {
			src.Fail(key[0], "%s stands twice", r.id)
		}
		t.at[r.id] = len(t.rows)
		t.rows = append(t.rows, r)
	}
	return t, src.Err()
}

func (c *chain) write(head []string, rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(head) // a bytes.Buffer takes all
	w.WriteAll(rows)
	return b.Bytes()
}
