package prey

import (
	"embed"
	"fmt"
	"io/fs"

	"fitchet.example/units/cite"
)

//go:embed data/*.csv
var shipped embed.FS

// Shipped returns the embedded catalogue with its sources. Each call reads the
// data anew, a few milliseconds, and shares nothing with another: keep the
// result. It fails only if the embedded data are broken.
func Shipped() (*Catalogue, error) {
	reg, err := cite.Shipped()
	if err != nil {
		return nil, fmt.Errorf("reading the shipped sources: %w", err)
	}
	data, err := fs.Sub(shipped, "data")
	if err != nil {
		return nil, fmt.Errorf("opening the shipped catalogue: %w", err)
	}
	return Load(data, reg)
}
