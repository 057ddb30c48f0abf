package safety

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// csvRows reads a table of testdata, each row by its columns.
func csvRows(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	all, err := csv.NewReader(file).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(all), err)
	}
	var rows []map[string]string
	for _, cells := range all[1:] {
		row := make(map[string]string)
		for i, column := range all[0] {
			row[column] = cells[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// split splits a cell at its semicolons.
func split(cell string) []string {
	if cell == "" {
		return nil
	}
	return strings.Split(cell, ";")
}

// itemOf is the item that a row describes.
func itemOf(t *testing.T, r map[string]string) Item {
	t.Helper()
	it := Item{Species: r["species"], Contains: split(r["contains"]), Part: r["part"], Tags: split(r["tags"]), Wild: r["wild"] == "yes", Supplier: r["supplier"], Lot: r["lot"]}
	if r["share"] != "" {
		it.Share = share(t, r["share"])
	}
	return it
}
