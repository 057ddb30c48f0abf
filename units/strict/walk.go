package strict

import (
	"bytes"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// walk judges the whole tree once, before anybody reads from it, and marks
// the nodes that cannot be used. It never follows an alias. Told is true when
// the scan has already noted characters that are not allowed.
func (d *Doc) walk(text []byte, told bool) {
	w := walker{d: d, cur: cursor{text: text, line: 1, col: 1}, told: told, lines: len(lineEnds(text)), bang: bytes.IndexByte(text, '!') >= 0}
	d.bad = make(map[*yaml.Node]bool)
	w.value(d.root, 1)
}

type walker struct {
	d     *Doc
	nodes int
	over  bool // MaxNodes reached and told
	told  bool
	lines int  // in the text
	bang  bool // there is a ! in the text
	cur   cursor
}

func (w *walker) fail(y *yaml.Node, format string, args ...any) {
	w.d.bad[y] = true
	w.d.fault(y.Line, y.Column, nil, format, args...)
}

// count reports false when the tree is too large to go on.
func (w *walker) count(y *yaml.Node) bool {
	if w.nodes++; w.nodes <= MaxNodes {
		return true
	}
	if !w.over {
		w.over = true
		w.fail(y, "more than %d keys and values", MaxNodes)
	}
	w.d.bad[y] = true
	return false
}

func (w *walker) value(y *yaml.Node, depth int) {
	if !w.count(y) {
		return
	}
	if y.Kind == yaml.AliasNode {
		w.fail(y, "aliases (*name) are not allowed: write the value out")
		return
	}
	w.marks(y)
	switch y.Kind {
	case yaml.ScalarNode:
		w.scalar(y)
		return
	case yaml.SequenceNode, yaml.MappingNode:
	default:
		w.fail(y, "not a value")
		return
	}
	if depth > MaxDepth {
		w.fail(y, "more than %d levels inside one another", MaxDepth)
		return
	}
	if y.Kind == yaml.SequenceNode {
		for _, item := range y.Content {
			w.value(item, depth+1)
		}
		return
	}
	lines := make(map[string]int, len(y.Content)/2)
	for i := 0; i+1 < len(y.Content); i += 2 {
		key := y.Content[i]
		w.key(key)
		w.value(y.Content[i+1], depth+1)
		if w.d.bad[key] {
			continue
		}
		if was, ok := lines[key.Value]; ok {
			w.fail(key, "key %s is already given on line %d", show(key.Value), was)
			continue
		}
		lines[key.Value] = key.Line
	}
}

// key judges one key. A bad key is left out of its mapping.
func (w *walker) key(y *yaml.Node) {
	if !w.count(y) {
		return
	}
	if y.Kind == yaml.AliasNode {
		w.fail(y, "aliases (*name) are not allowed: write the key out")
		return
	}
	w.marks(y)
	switch {
	case y.Kind != yaml.ScalarNode:
		w.fail(y, "a key must be text, not a collection")
	case y.Value == "":
		w.fail(y, "an empty key")
	case y.Tag == "!!merge":
		w.fail(y, "merge keys (<<) are not allowed: write the values out")
	case y.Style == 0 && y.Tag != "!!str":
		w.fail(y, "key %s is not text: put it in quotes", show(y.Value))
	case y.Style == 0 && oldBool(y.Value):
		w.fail(y, "key %s is read as true or false by some programs: put it in quotes", show(y.Value))
	default:
		w.scalar(y)
	}
}

// marks refuses anchors and tags.
func (w *walker) marks(y *yaml.Node) {
	if y.Anchor != "" {
		w.fail(y, "anchors (&%s) are not allowed", clip(y.Anchor, 40))
	}
	if y.Style&yaml.TaggedStyle != 0 || w.lonelyTag(y) {
		w.fail(y, "explicit tags (!) are not allowed")
	}
}

// lonelyTag finds the tag "!" alone, of which the engine leaves no trace in
// the tree, by the character at which the node begins.
func (w *walker) lonelyTag(y *yaml.Node) bool {
	if y.Kind == yaml.ScalarNode && y.Value == "" && y.Style == 0 {
		return false // an empty value has no place of its own, and is refused anyhow
	}
	if !w.bang || w.cur.at(y.Line, y.Column) != '!' {
		return false
	}
	// A block mapping begins where its first key begins: there the tag is the key's.
	if y.Kind == yaml.MappingNode && y.Style&yaml.FlowStyle == 0 && len(y.Content) > 0 {
		first := y.Content[0]
		return first.Line != y.Line || first.Column != y.Column
	}
	return true
}

func (w *walker) scalar(y *yaml.Node) {
	if y.Tag == "!!null" {
		if y.Line > w.lines {
			y.Line, y.Column = w.lines, 1 // the engine places it behind the end
		}
		w.fail(y, "no value here: give one, or leave the key out")
		return
	}
	if y.Tag == "!!merge" {
		w.fail(y, "%s is read as a merge by some programs: put it in quotes", show(y.Value))
		return
	}
	if len(y.Value) > MaxScalar {
		w.fail(y, "longer than %d bytes", MaxScalar)
		return
	}
	run := 0
	for _, c := range y.Value {
		if !allowed(c) {
			w.d.bad[y] = true
			if w.told {
				return
			}
			w.fail(y, "character %U is not allowed", c)
			return
		}
		if c < '0' || c > '9' {
			run = 0
		} else if run++; run > MaxDigits {
			w.fail(y, "more than %d digits in a row", MaxDigits)
			return
		}
	}
}

// oldBool reports whether readers of YAML 1.1 take the plain word for true or
// false. The engine already tags true and false themselves.
func oldBool(s string) bool {
	switch s {
	case "y", "Y", "yes", "Yes", "YES", "n", "N", "no", "No", "NO", "on", "On", "ON", "off", "Off", "OFF":
		return true
	}
	return false
}

// cursor finds characters and places. It runs forward, as the walk does, so
// that a file of one long line is still read once.
type cursor struct {
	text      []byte
	off       int
	line, col int
}

// at returns the character at a place.
func (c *cursor) at(line, col int) rune {
	if line < c.line || line == c.line && col < c.col {
		c.off, c.line, c.col = 0, 1, 1
	}
	for c.off < len(c.text) && (c.line < line || c.line == line && c.col < col) {
		c.step()
	}
	r, _ := utf8.DecodeRune(c.text[c.off:])
	return r
}

// forward goes on to an offset.
func (c *cursor) forward(off int) {
	for c.off < min(off, len(c.text)) {
		c.step()
	}
}

func (c *cursor) step() {
	r, size := utf8.DecodeRune(c.text[c.off:])
	c.off += size
	if r == '\n' {
		c.line, c.col = c.line+1, 1
	} else {
		c.col++
	}
}
