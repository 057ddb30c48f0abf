package prey

import (
	"embed"
	"fmt"
	"io/fs"
	"sync"

	"fitchet.example/units/cite"
)

//go:embed data/*.csv
var shippedFiles embed.FS

// Shipped returns the embedded catalogue with its sources. The data are read
// once, and the whole process shares the catalogue and its foods: who wants
// another food copies the value, see [Food]. It fails only if the embedded data
// are broken.
func Shipped() (*Catalogue, error) { return shipped() }

var shipped = sync.OnceValues(func() (*Catalogue, error) {
	reg, err := cite.Shipped()
	if err != nil {
		return nil, fmt.Errorf("reading the shipped sources: %w", err)
	}
	data, err := fs.Sub(shippedFiles, "data")
	if err != nil {
		return nil, fmt.Errorf("opening the shipped catalogue: %w", err)
	}
	return Load(data, reg)
})
