package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"fitchet.example/balance/corpus"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/testdata"
	"fitchet.example/units/strict"
)

// stamp is the file that says which corpus a copy is of.
const stamp = "VERSION"

// unfinished is what stands in it until the copy is whole.
const unfinished = "unfinished: write it again\n"

// writeCopy copies the corpus with its schemas, and beside it every request as a
// generator is sent it, so that a program in any language needs nothing else. A
// directory that is not empty must be a copy already; files that are no longer
// of the corpus are then left and named.
func writeCopy(dir string, c *corpus.Corpus) (files int, err error) {
	cli.Sweep(dir)
	if old, err := os.ReadDir(dir); err == nil && len(old) > 0 {
		text, err := os.ReadFile(filepath.Join(dir, stamp))
		if err != nil || !bytes.HasPrefix(text, []byte("corpus ")) && string(text) != unfinished {
			return 0, fmt.Errorf("%s is not empty and holds no %s of a corpus: write to a directory of its own", strict.Line(dir), stamp)
		}
	}
	put := func(name string, data []byte) error {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return cli.Named("writing", path, err)
		}
		files++
		return cli.Deliver(path, data, nil)
	}
	if err := put(stamp, []byte(unfinished)); err != nil {
		return 0, fmt.Errorf("copying the corpus: %w", err)
	}
	files = 0 // the stamp is counted when it is written at last
	for prefix, fsys := range map[string]fs.FS{"corpus": testdata.Corpus(), "schemas": testdata.Schemas()} {
		err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			data, err := fs.ReadFile(fsys, name)
			if err != nil {
				return err
			}
			return put(prefix+"/"+name, data)
		})
		if err != nil {
			return files, fmt.Errorf("copying the corpus: %w", err)
		}
	}
	var asks, index bytes.Buffer
	for i, s := range c.Scenarios {
		q, err := c.Request(s)
		if err != nil {
			return files, err
		}
		line, err := corpus.WriteAsk(int64(i+1), q)
		if err != nil {
			return files, err
		}
		asks.Write(append(line, '\n'))
		fmt.Fprintf(&index, "%d\t%s\t%s\t%s\n", i+1, s.ID, s.Want, s.Title)
	}
	hello, err := c.WriteHello(library)
	if err != nil {
		return files, err
	}
	rules, err := c.RulesJSON()
	if err != nil {
		return files, err
	}
	readme, err := testdata.Readme()
	if err != nil {
		return files, err
	}
	text := fmt.Sprintf("corpus %s\nlibrary %s\nprotocol %s\n", c.Version, library, corpus.Protocol)
	for _, f := range []struct {
		name string
		data []byte
	}{
		{"asks.jsonl", asks.Bytes()},
		{"asks.tsv", index.Bytes()},
		{"hello.json", append(hello, '\n')},
		{"README.md", readme},
		{"rules.json", append(rules, '\n')},
		{".gitattributes", []byte("* text eol=lf\n")},
		{stamp, []byte(text)}, // last: it says that the copy is whole
	} {
		if err := put(f.name, f.data); err != nil {
			return files, fmt.Errorf("copying the corpus: %w", err)
		}
	}
	return files, nil
}
