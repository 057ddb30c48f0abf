// Command run writes the catalogue files of package prey from the published
// tables. Start it at the top of the module:
//
//	go run ./prey/internal/importer/run
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"fitchet.example/prey/internal/importer"
)

func main() {
	files, err := importer.Run(os.DirFS("testdata/published"), os.DirFS("prey/internal/importer"))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	names := make([]string, 0, len(files))
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		path := filepath.Join("prey", "data", name)
		if err := os.WriteFile(path, files[name], 0o644); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Printf("%s: %d bytes\n", path, len(files[name]))
	}
}
