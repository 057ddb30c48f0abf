// Package testdata holds the rule corpus and its JSON Schemas, as files that any
// program may read. It only embeds them; package balance/corpus reads and judges.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed corpus schemas README.md
var files embed.FS

// Corpus returns the rule corpus: manifest.yaml and the files it names.
func Corpus() fs.FS { return sub("corpus") }

// Schemas returns one JSON Schema (draft 2020-12) per kind of file, each named
// kind.schema.json.
func Schemas() fs.FS { return sub("schemas") }

func sub(dir string) fs.FS {
	f, err := fs.Sub(files, dir)
	if err != nil { // only for a name that is not a path, which these are
		return files
	}
	return f
}

// Readme says what the corpus is and how to add to it.
func Readme() ([]byte, error) { return files.ReadFile("README.md") }
