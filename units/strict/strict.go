package strict

import (
	"fmt"
	"io"

	"gopkg.in/yaml.v3"
)

// Bounds of a file. Each is checked before anything is built on it.
const (
	MaxBytes  = 1 << 20  // size of a file
	MaxDepth  = 32       // collections inside one another
	MaxNodes  = 100_000  // keys and values
	MaxScalar = 16 << 10 // bytes of one key or value
	MaxDigits = 64       // digits in a row
)

// Doc is one file while it is read. It collects faults, so it belongs to one
// goroutine.
type Doc struct {
	found
	text []byte
	root *yaml.Node
	bad  map[*yaml.Node]bool
}

// Parse reads one YAML document or one JSON text. It never fails and never
// panics: what is wrong is collected and returned by [Doc.Err]. The path is
// used in messages only.
func Parse(path string, data []byte) *Doc {
	d := &Doc{found: found{path: path}}
	if len(data) > MaxBytes {
		d.fault(1, 1, nil, "the file is larger than %d bytes", MaxBytes)
		return d
	}
	d.text = data
	d.load(data)
	return d
}

// ReadAll is [Parse] for a reader, of which it reads at most [MaxBytes] and
// one byte. An error of r becomes a fault that wraps it.
func ReadAll(path string, r io.Reader) *Doc {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		d := &Doc{found: found{path: path}}
		d.fault(1, 1, fmt.Errorf("reading %s: %w", path, err), "cannot be read: %v", err)
		return d
	}
	return Parse(path, data)
}

// Root returns the outermost value. It is the zero Node when the file could
// not be parsed; reading on is safe and adds no faults.
func (d *Doc) Root() Node {
	if d == nil {
		return Node{}
	}
	return d.node(d.root)
}

// Err returns nil or a [Faults] with everything noted so far, sorted by line
// and column: at most 100 faults and a last one that counts the rest. Call it
// after the last value was read.
func (d *Doc) Err() error {
	if d == nil || len(d.faults) == 0 {
		return nil
	}
	return d.sorted()
}

// node wraps a tree node, or gives the zero Node for one that cannot be used.
func (d *Doc) node(y *yaml.Node) Node {
	if y == nil || d.bad[y] {
		return Node{}
	}
	return Node{d, y}
}
