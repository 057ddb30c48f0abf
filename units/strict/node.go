package strict

import (
	"fmt"
	"slices"
	"strconv"

	"gopkg.in/yaml.v3"
)

// Kind is the shape of a value.
type Kind uint8

const (
	Invalid Kind = iota // the zero Node: missing, or unusable for a fault already noted
	Scalar
	List
	Mapping
)

// String returns "text", "a list", "a mapping" or "nothing".
func (k Kind) String() string {
	switch k {
	case Scalar:
		return "text"
	case List:
		return "a list"
	case Mapping:
		return "a mapping"
	}
	return "nothing"
}

// Node is one value of a file. The zero Node stands for a value that is
// missing or unusable: its methods return zero values and note no faults, so
// that reading goes on and every other fault is still found.
type Node struct {
	doc *Doc
	y   *yaml.Node
}

// Kind returns the shape of the value.
func (n Node) Kind() Kind {
	if n.y == nil {
		return Invalid
	}
	switch n.y.Kind {
	case yaml.ScalarNode:
		return Scalar
	case yaml.SequenceNode:
		return List
	case yaml.MappingNode:
		return Mapping
	}
	return Invalid
}

// Line returns the line, from 1; 0 for the zero Node.
func (n Node) Line() int {
	if n.y == nil {
		return 0
	}
	return max(n.y.Line, 1)
}

// Col returns the column in characters, from 1; 0 for the zero Node.
func (n Node) Col() int {
	if n.y == nil {
		return 0
	}
	return max(n.y.Column, 1)
}

// Fail notes a fault at the node. An error among the arguments that is
// formatted with %w can be found with [errors.Is] in what [Doc.Err] returns.
// On the zero Node it does nothing: what made it so is already noted.
func (n Node) Fail(format string, args ...any) {
	if n.y == nil {
		return
	}
	if n.doc.full() { // what is only counted need not be put into words
		n.doc.more++
		return
	}
	err := fmt.Errorf(format, args...)
	n.doc.fault(n.Line(), n.Col(), err, "%s", err.Error())
}

// want checks the shape and notes a fault if it is another.
func (n Node) want(k Kind) bool {
	got := n.Kind()
	if got == k {
		return true
	}
	if got == Scalar {
		n.Fail("want %v, found %s", k, show(n.y.Value))
	} else {
		n.Fail("want %v, found %v", k, got)
	}
	return false
}

// Map returns the value as a mapping. Another shape is a fault.
func (n Node) Map() Map {
	if !n.want(Mapping) {
		return Map{}
	}
	m := Map{n, &mapState{values: make(map[string]*yaml.Node, len(n.y.Content)/2)}}
	for i := 0; i+1 < len(n.y.Content); i += 2 {
		if key := n.y.Content[i]; !n.doc.bad[key] {
			m.st.keys = append(m.st.keys, key)
			m.st.values[key.Value] = n.y.Content[i+1]
		}
	}
	return m
}

// List returns the items. Another shape is a fault. Unusable items are left
// out, their faults are already noted.
func (n Node) List() []Node {
	if !n.want(List) {
		return nil
	}
	items := make([]Node, 0, len(n.y.Content))
	for _, y := range n.y.Content {
		if item := n.doc.node(y); item.y != nil {
			items = append(items, item)
		}
	}
	return items
}

// Text returns the text of a scalar as written, without quotes: numbers and
// dates keep every digit. A list or mapping is a fault, and so is a plain word
// that some reader of YAML takes for true or false.
func (n Node) Text() string {
	s, _ := n.text()
	return s
}

func (n Node) text() (string, bool) {
	if n.y == nil || !n.want(Scalar) {
		return "", false
	}
	if n.y.Style == 0 && (n.y.Tag == "!!bool" || oldBool(n.y.Value)) {
		n.Fail("%s is read as true or false by some programs: put it in quotes if text is meant", show(n.y.Value))
		return "", false
	}
	return n.y.Value, true
}

// truth reads true or false, plain and in lower case.
func (n Node) truth() (value, ok bool) {
	if n.y == nil || !n.want(Scalar) {
		return false, false
	}
	if n.y.Style == 0 {
		switch n.y.Value {
		case "true":
			return true, true
		case "false":
			return false, true
		}
	}
	n.Fail("want true or false without quotes, found %s", show(n.y.Value))
	return false, false
}

// whole reads a plain whole number.
func (n Node) whole(least, most int) (int, bool) {
	if n.y == nil || !n.want(Scalar) {
		return 0, false
	}
	s := n.y.Value
	if n.y.Style != 0 || !wholeForm(s) {
		n.Fail("want a whole number in plain digits without quotes, found %s", show(s))
		return 0, false
	}
	v, err := strconv.Atoi(s)
	if err != nil || v < least || v > most {
		n.Fail("want a whole number from %d to %d, found %s", least, most, s)
		return 0, false
	}
	return v, true
}

// wholeForm accepts 0, or a digit from 1 to 9 and at most 17 further digits,
// with a minus before it if need be. There is one form for each number.
func wholeForm(s string) bool {
	if s == "0" {
		return true
	}
	if s != "" && s[0] == '-' {
		s = s[1:]
	}
	if s == "" || len(s) > 18 || s[0] == '0' {
		return false
	}
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// Map is a mapping that is being read. It remembers which keys were asked
// for; [Map.Done] calls all others unknown. The zero Map is safe and empty.
type Map struct {
	node Node
	st   *mapState
}

type mapState struct {
	keys   []*yaml.Node
	values map[string]*yaml.Node
	asked  []string
}

func (m Map) ask(key string) *yaml.Node {
	if m.st == nil {
		return nil
	}
	if !slices.Contains(m.st.asked, key) {
		m.st.asked = append(m.st.asked, key)
	}
	return m.st.values[key]
}

// Node returns the mapping as a Node, to note faults that concern all of it.
func (m Map) Node() Node { return m.node }

// Get returns the value of a required key. A missing key is a fault at the
// mapping.
func (m Map) Get(key string) Node {
	y := m.ask(key)
	if y == nil {
		m.node.Fail("missing key %q", key)
		return Node{}
	}
	return m.node.doc.node(y)
}

// Opt returns the value of a key that may be missing. It reports false when
// the key is missing or its value unusable.
func (m Map) Opt(key string) (Node, bool) {
	y := m.ask(key)
	if y == nil {
		return Node{}, false
	}
	n := m.node.doc.node(y)
	return n, n.y != nil
}

// Text returns the text of a required key, see [Node.Text].
func (m Map) Text(key string) string { return m.Get(key).Text() }

// OptText returns the text of a key, or "" if it is missing.
func (m Map) OptText(key string) string {
	n, _ := m.Opt(key)
	return n.Text()
}

// Bool returns true or false, or the default if the key is missing. Only the
// plain words true and false are read.
func (m Map) Bool(key string, missing bool) bool {
	n, ok := m.Opt(key)
	if !ok {
		return missing
	}
	if v, ok := n.truth(); ok {
		return v
	}
	return missing
}

// Int returns the whole number of a required key; least and most belong to
// the range. On a fault it returns 0.
func (m Map) Int(key string, least, most int) int {
	v, _ := m.Get(key).whole(least, most)
	return v
}

// OptInt is [Map.Int] for a key that may be missing. It reports whether a
// number in the range was read.
func (m Map) OptInt(key string, least, most int) (int, bool) {
	n, ok := m.Opt(key)
	if !ok {
		return 0, false
	}
	return n.whole(least, most)
}

// Keys returns the keys in the order of the file. It asks for none of them:
// where any key is allowed, ask for each with [Map.Get].
func (m Map) Keys() []string {
	if m.st == nil {
		return nil
	}
	keys := make([]string, len(m.st.keys))
	for i, key := range m.st.keys {
		keys[i] = key.Value
	}
	return keys
}

// Key returns a key itself as a Node, to note faults at it. It is the zero
// Node when the key is missing.
func (m Map) Key(key string) Node {
	if m.st != nil {
		for _, y := range m.st.keys {
			if y.Value == key {
				return m.node.doc.node(y)
			}
		}
	}
	return Node{}
}

// Done notes a fault at every key that was not asked for, with the nearest
// name among those that were.
func (m Map) Done() {
	if m.st == nil {
		return
	}
	for _, key := range m.st.keys {
		if slices.Contains(m.st.asked, key.Value) {
			continue
		}
		n := m.node.doc.node(key)
		if !n.doc.full() {
			if near, ok := Nearest(key.Value, m.st.asked); ok {
				n.Fail("unknown key %s, did you mean %q?", show(key.Value), near)
				continue
			}
		}
		n.Fail("unknown key %s", show(key.Value))
	}
}

// Read returns the text of a scalar through a parser. An error of the parser
// is a fault at the node that wraps it. It reports whether a value was read.
func Read[T any](n Node, parse func(string) (T, error)) (T, bool) {
	var zero T
	s, ok := n.text()
	if !ok {
		return zero, false
	}
	v, err := parse(s)
	if err != nil {
		n.Fail("%w", err)
		return zero, false
	}
	return v, true
}

// Value returns the scalar of a required key through a parser, and the zero
// value on a fault.
func Value[T any](m Map, key string, parse func(string) (T, error)) T {
	v, _ := Read(m.Get(key), parse)
	return v
}

// OptValue returns the scalar of a key through a parser. It reports false
// when the key is missing or there was a fault.
func OptValue[T any](m Map, key string, parse func(string) (T, error)) (T, bool) {
	n, ok := m.Opt(key)
	if !ok {
		var zero T
		return zero, false
	}
	return Read(n, parse)
}

// Each returns the scalars of a list through a parser. Items with a fault are
// left out.
func Each[T any](list Node, parse func(string) (T, error)) []T {
	items := list.List()
	out := make([]T, 0, len(items))
	for _, item := range items {
		if v, ok := Read(item, parse); ok {
			out = append(out, v)
		}
	}
	return out
}
