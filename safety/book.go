package safety

import (
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"sync"

	"fitchet.example/prey"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

//go:embed data
var data embed.FS

// Files returns the shipped data files, for reading or for laying own files
// over a copy of them.
func Files() fs.FS {
	sub, err := fs.Sub(data, "data")
	if err != nil {
		// "data" is a valid path, so this cannot happen; the whole tree is the
		// harmless answer.
		return data
	}
	return sub
}

// Book holds the tables of this package, read and checked. It never changes
// after it is made and is safe for concurrent use.
type Book struct {
	reg      *cite.Registry
	limits   []limitRule
	practice []practiceRow
	words    *prey.Words
	hazards  []hazardRule
	livers   []Liver
	cautions []cautionRule

	shelves    map[string][]Shelf
	shelfNames map[string]string // other names of kinds
	analogies  map[string]analogy
	least      [numColds]int // the shortest figure of storage.csv
	keeping    []keepRule
	thaws      []thawRule
	agents     []agentRule
	holds      []Hold

	handling []Handling
	bleaches []Bleach
	vet      []VetSign
}

// Shipped returns the embedded tables with the shipped sources. They are read
// once, and all share the Book. It fails only if an embedded file is broken.
func Shipped() (*Book, error) { return shipped() }

var shipped = sync.OnceValues(func() (*Book, error) {
	reg, err := cite.Shipped()
	if err != nil {
		return nil, fmt.Errorf("reading the sources: %w", err)
	}
	return Load(Files(), reg)
})

// Load reads all tables from the root of fsys; animals and tags are those of
// [prey.Words]. Every file of [Files] but
// notices.yaml, which users replace, must be there. A row without a whole citation, or with a source that reg does not
// hold, is a fault. The error joins, for each file, either strict.Faults with
// every fault of it or the error of opening it.
func Load(fsys fs.FS, reg *cite.Registry) (*Book, error) {
	words, err := prey.ShippedWords()
	if err != nil {
		return nil, fmt.Errorf("reading the safety tables: %w", err)
	}
	b := &Book{reg: reg, words: words}
	var faults []error
	for _, part := range []struct {
		file string
		read func(path, text string) error
	}{
		{"limits.yaml", b.readLimits},
		{"practice.csv", b.readPractice},
		{"liver.csv", b.readLivers},
		{"hazards.yaml", b.readHazards},
		{"cautions.yaml", b.readCautions},
		{"storage.csv", b.readStorage},
		{"analogies.csv", b.readAnalogies},
		{"keeping.csv", b.readKeeping},
		{"thawing.csv", b.readThawing},
		{"agents.csv", b.readAgents},
		{"holds.csv", b.readHolds},
		{"handling.csv", b.readHandling},
		{"bleach.csv", b.readBleach},
		{"vet.csv", b.readVet},
	} {
		text, err := readFile(fsys, part.file)
		if err == nil {
			err = part.read(part.file, text)
		}
		if err != nil {
			faults = append(faults, err)
		}
	}
	if err := errors.Join(faults...); err != nil {
		return nil, fmt.Errorf("reading the safety tables: %w", err)
	}
	return b, nil
}

func readFile(fsys fs.FS, name string) (string, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return readBounded(name, f)
}

func readBounded(name string, r io.Reader) (string, error) {
	text, err := io.ReadAll(io.LimitReader(r, strict.MaxBytes+1))
	if err != nil {
		return "", fmt.Errorf("reading %s: %w", name, err)
	}
	if len(text) > strict.MaxBytes {
		return "", fmt.Errorf("reading %s: larger than %d bytes", name, strict.MaxBytes)
	}
	return string(text), nil
}

// Sources returns the registry that the citations of this book refer to.
func (b *Book) Sources() *cite.Registry { return b.reg }
