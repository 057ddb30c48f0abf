package strict

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"gopkg.in/yaml.v3"
)

// Fields is a mapping that is to be written, in the order of its keys.
type Fields []Field

// Field is a key with its value: text (a string), an int64, a bool, Fields, or a
// list ([]any) of these.
type Field struct {
	Key   string
	Value any
}

// get returns the value of a key, or nil.
func (f Fields) get(key string) any {
	for i := range f {
		if f[i].Key == key {
			return f[i].Value
		}
	}
	return nil
}

// MarshalJSON writes the keys in their order.
func (f Fields) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, e := range f {
		if i > 0 {
			out = append(out, ',')
		}
		value, err := unescaped(e.Value)
		if err != nil {
			return nil, err
		}
		out = append(append(append(out, quoted(e.Key)...), ':'), value...)
	}
	return append(out, '}'), nil
}

// unescaped is JSON without the escapes that only a web page needs.
func unescaped(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

func quoted(s string) string {
	text, _ := unescaped(s) // a string is always written
	return string(text)
}

// YAML writes the fields as a file of their own.
func (f Fields) YAML() ([]byte, error) { return encode(nodeOf(f, 0)) }

// ErrRewrite is wrapped by the errors of [Doc.Rewrite].
var ErrRewrite = errors.New("file cannot be rewritten")

// Rewrite returns the text of the file changed so that it says want where it said
// was; was is what the caller read from it. What is equal in both stays as it
// stands, in whatever words; without a difference the text is that of the file,
// byte for byte. Where only single values differ, only these are replaced. Where
// keys or items come or go, the order of what stays and the comments at it are
// kept, and the text is laid out anew.
//
// Items of lists are told apart by the value of their first field: an id, a food.
// A key of the file that says in other words what a changed key says is named in
// instead, under that key: it gives way.
//
// Lost are, in words, what was not kept: comments at what went, the spacing.
func (d *Doc) Rewrite(was, want Fields, instead map[string]string) (text []byte, lost []string, err error) {
	if d == nil || d.root == nil || d.Err() != nil {
		return nil, nil, fmt.Errorf("the file was not read without a fault: %w", ErrRewrite)
	}
	if reflect.DeepEqual(was, want) {
		return slices.Clone(d.text), nil, nil
	}
	r, err := d.parsed(d.text)
	if err != nil {
		return nil, nil, err
	}
	before := comments(r.doc)
	same, err := r.encode()
	if err != nil {
		return nil, nil, err
	}
	r.instead = instead
	r.mapping(r.root, was, want)
	if r.whole == 0 {
		if text, ok := r.splice(); ok {
			return text, nil, nil
		}
	}
	if text, err = r.encode(); err != nil {
		return nil, nil, err
	}
	after, err := d.parsed(text)
	if err != nil || !sameTree(after.root, r.root) {
		return nil, nil, fmt.Errorf("what was written does not read the same (%v): %w", err, ErrRewrite)
	}
	kept := comments(after.doc)
	for _, c := range before {
		if i := slices.Index(kept, c); i >= 0 {
			kept = slices.Delete(kept, i, i+1)
		} else {
			lost = append(lost, "the comment "+strconv.Quote(Line(c)))
		}
	}
	if !bytes.Equal(same, d.text) {
		lost = append(lost, "how the text was laid out, where that was other than usual")
	}
	return text, lost, nil
}

// rewriting is a tree that is being changed.
type rewriting struct {
	text    []byte
	doc     *yaml.Node // with the comments of the file
	root    *yaml.Node
	json    bool
	instead map[string]string
	whole   int // changes that are more than a new value
	scalars []change
}

// change is a value that takes the place of another.
type change struct {
	node *yaml.Node // as it is now
	was  yaml.Node
}

func (d *Doc) parsed(text []byte) (*rewriting, error) {
	body := bytes.TrimPrefix(text, []byte("\ufeff"))
	if json.Valid(body) {
		root := decodeJSON(body)
		return &rewriting{text: text, doc: root, root: root, json: true}, nil
	}
	doc, marked := new(yaml.Node), new(yaml.Node)
	if err := yaml.Unmarshal(body, doc); err != nil || len(doc.Content) != 1 {
		return nil, fmt.Errorf("%s: %w", message(fmt.Errorf("%v", err)), ErrRewrite)
	}
	if err := yaml.Unmarshal(markBlanks(body), marked); err == nil && sameTree(doc, marked) {
		doc = marked
	}
	return &rewriting{text: text, doc: doc, root: doc.Content[0]}, nil
}

// blank is a comment that stands for an empty line, which the engine would drop.
const blank = "#\u2800"

// markBlanks puts the mark on empty lines, as far in as the line that follows.
func markBlanks(text []byte) []byte {
	lines := strings.Split(strings.TrimRight(string(text), "\n"), "\n")
	in := ""
	for i := len(lines) - 1; i >= 0; i-- {
		if bare := strings.TrimLeft(lines[i], " "); strings.TrimSpace(bare) != "" {
			in = lines[i][:len(lines[i])-len(bare)]
		} else {
			lines[i] = in + blank
		}
	}
	return []byte(strings.Join(lines, "\n") + "\n")
}

func unmarkBlanks(text []byte) []byte {
	lines := strings.Split(string(text), "\n")
	for i, l := range lines {
		if strings.TrimSpace(l) == blank {
			lines[i] = ""
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

func (r *rewriting) mapping(n *yaml.Node, was, want Fields) {
	at := func(key string) int {
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Value == key {
				return i
			}
		}
		return -1
	}
	drop := func(key string) {
		if i := at(key); i >= 0 {
			n.Content = slices.Delete(n.Content, i, i+2)
			r.whole++
		}
	}
	for _, f := range was {
		if want.get(f.Key) == nil {
			drop(f.Key)
			drop(r.instead[f.Key])
		}
	}
	next := 0 // where a key that the file does not have goes
	for _, f := range want {
		i, had := at(f.Key), was.get(f.Key)
		if i >= 0 {
			next = i + 2
		}
		switch {
		case reflect.DeepEqual(had, f.Value):
		case i < 0:
			if other := at(r.instead[f.Key]); other >= 0 {
				next = other
				drop(r.instead[f.Key])
			}
			n.Content = slices.Insert(n.Content, next, scalar(f.Key), nodeOf(f.Value, n.Style&yaml.FlowStyle))
			next += 2
			r.whole++
		default:
			n.Content[i+1] = r.value(n.Content[i+1], had, f.Value)
		}
	}
}

// value is the node changed from one value to another.
func (r *rewriting) value(n *yaml.Node, was, want any) *yaml.Node {
	switch w := want.(type) {
	case Fields:
		if old, ok := was.(Fields); ok && n.Kind == yaml.MappingNode {
			r.mapping(n, old, w)
			return n
		}
	case []any:
		if old, ok := was.([]any); ok && n.Kind == yaml.SequenceNode && len(n.Content) == len(old) {
			r.list(n, old, w)
			return n
		}
	default:
		if n.Kind == yaml.ScalarNode {
			old := *n
			now := nodeOf(want, 0)
			n.Value, n.Tag = now.Value, now.Tag
			if _, text := want.(string); !text || n.Style == 0 || now.Style != 0 || n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
				n.Style = now.Style
			}
			r.scalars = append(r.scalars, change{n, old})
			return n
		}
	}
	r.whole++
	now := nodeOf(want, n.Style&yaml.FlowStyle)
	now.HeadComment, now.LineComment, now.FootComment = n.HeadComment, n.LineComment, n.FootComment
	return now
}

// list changes the items: those that are equal stay, those that begin alike are
// changed, others come and go.
func (r *rewriting) list(n *yaml.Node, was, want []any) {
	from := make([]int, len(want)) // which of was each item comes from, -1: none
	used := make([]bool, len(was))
	for i := range from {
		from[i] = -1
	}
	for _, like := range []func(a, b any) bool{reflect.DeepEqual, beginAlike} {
		for i := range want {
			for j := range was {
				if from[i] < 0 && !used[j] && like(was[j], want[i]) {
					from[i], used[j] = j, true
				}
			}
		}
	}
	flow := n.Style & yaml.FlowStyle
	if len(n.Content) > 0 {
		flow |= n.Content[0].Style & yaml.FlowStyle
	}
	items := make([]*yaml.Node, len(want))
	for i, j := range from {
		switch {
		case j < 0:
			items[i] = nodeOf(want[i], flow)
			r.whole++
		case reflect.DeepEqual(was[j], want[i]):
			items[i] = n.Content[j]
		default:
			items[i] = r.value(n.Content[j], was[j], want[i])
		}
	}
	if !slices.Equal(from, ascending(len(was))) {
		r.whole++
	}
	n.Content = items
}

func ascending(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func beginAlike(a, b any) bool {
	x, ok := a.(Fields)
	y, ok2 := b.(Fields)
	return ok && ok2 && len(x) > 0 && len(y) > 0 && x[0] == y[0]
}

// nodeOf is the tree of a value, in the given style; a list of plain values stands
// on one line.
func nodeOf(v any, style yaml.Style) *yaml.Node {
	switch v := v.(type) {
	case Fields:
		n := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: style}
		for _, f := range v {
			n.Content = append(n.Content, scalar(f.Key), nodeOf(f.Value, style))
		}
		return n
	case []any:
		n := &yaml.Node{Kind: yaml.SequenceNode, Tag: "!!seq", Style: style}
		for _, e := range v {
			n.Content = append(n.Content, nodeOf(e, style))
		}
		if !slices.ContainsFunc(v, func(e any) bool { _, ok := e.(Fields); return ok }) {
			n.Style = yaml.FlowStyle
		}
		return n
	case bool:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!bool", Value: strconv.FormatBool(v)}
	case int64:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!int", Value: strconv.FormatInt(v, 10)}
	}
	return scalar(fmt.Sprint(v))
}

// scalar is text, plain where every reader takes it for that text.
func scalar(s string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s}
	switch {
	case !plainText(s):
		n.Style = yaml.DoubleQuotedStyle
	case dateText(s):
		n.Tag = "!!timestamp" // or the engine would quote it
	}
	return n
}

func dateText(s string) bool {
	_, err := time.Parse(time.DateOnly, s)
	return err == nil
}

func plainText(s string) bool {
	switch strings.ToLower(s) {
	case "", "true", "false", "yes", "no", "on", "off", "y", "n", "null":
		return false
	}
	for i := range len(s) {
		c := s[i]
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c >= 0x80
		inside := i > 0 && i < len(s)-1 && (c == ' ' || c == '.' || c == '/' || c == '_' || c == '(' || c == ')' ||
			c == '-' || c == ':' && s[i+1] != ' ')
		if !letter && !inside && !(c == '%' && i > 0) && !(c == '-' && i == 0 && len(s) > 1 && s[1] >= '0' && s[1] <= '9') {
			return false
		}
	}
	return true
}

// splice puts the new values into the text of the file. It reports false where the
// outcome would not be what is meant.
func (r *rewriting) splice() ([]byte, bool) {
	text := bytes.TrimPrefix(r.text, []byte("\ufeff"))
	lead := len(r.text) - len(text)
	cur := cursor{text: text, line: 1, col: 1}
	slices.SortFunc(r.scalars, func(a, b change) int {
		if a.was.Line != b.was.Line {
			return a.was.Line - b.was.Line
		}
		return a.was.Column - b.was.Column
	})
	out := slices.Clone(r.text[:lead])
	done := 0
	for _, c := range r.scalars {
		cur.at(c.was.Line, c.was.Column)
		n := tokenLength(text[cur.off:], &c.was)
		if n < 0 || cur.off < done {
			return nil, false
		}
		out = append(out, text[done:cur.off]...)
		now := c.node.Value
		if c.node.Style != 0 || r.json && c.node.Tag == "!!str" {
			now = quoted(now)
		}
		out = append(out, now...)
		done = cur.off + n
	}
	out = append(out, text[done:]...)
	after, err := (*Doc)(nil).parsed(out)
	return out, err == nil && sameTree(after.root, r.root)
}

// tokenLength is how many bytes a scalar takes in the text that begins with it, or
// -1 where that cannot be said.
func tokenLength(text []byte, n *yaml.Node) int {
	if n.Style == 0 {
		if bytes.HasPrefix(text, []byte(n.Value)) && n.Value != "" {
			return len(n.Value)
		}
		return -1
	}
	quote := byte('"')
	if n.Style&yaml.SingleQuotedStyle != 0 {
		quote = '\''
	}
	if len(text) == 0 || text[0] != quote {
		return -1
	}
	for i := 1; i < len(text); i++ {
		switch {
		case text[i] == '\\' && quote == '"', text[i] == quote && quote == '\'' && i+1 < len(text) && text[i+1] == quote:
			i++
		case text[i] == quote:
			return i + 1
		}
	}
	return -1
}

// sameTree compares what two trees say.
func sameTree(a, b *yaml.Node) bool {
	if a.Kind != b.Kind || a.Value != b.Value || len(a.Content) != len(b.Content) {
		return false
	}
	if a.Kind == yaml.ScalarNode && textual(a) != textual(b) {
		return false
	}
	for i := range a.Content {
		if !sameTree(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

// textual reports whether a scalar cannot be taken for true, false or nothing.
func textual(n *yaml.Node) bool { return n.Style != 0 || n.Tag != "!!bool" && n.Tag != "!!null" }

// encode writes the tree anew.
func (r *rewriting) encode() ([]byte, error) {
	if r.json {
		text, err := unescaped(valueOf(r.root))
		if err == nil && bytes.Count(bytes.TrimSpace(r.text), []byte("\n")) > 0 {
			var b bytes.Buffer
			err = json.Indent(&b, text, "", "  ")
			text = append(b.Bytes(), '\n')
		}
		return text, err
	}
	return encode(r.doc)
}

// valueOf is the tree of JSON as [Fields] writes it.
func valueOf(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		out := Fields{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			out = append(out, Field{n.Content[i].Value, valueOf(n.Content[i+1])})
		}
		return out
	case yaml.SequenceNode:
		out := []any{}
		for _, e := range n.Content {
			out = append(out, valueOf(e))
		}
		return out
	}
	if n.Tag == "!!str" {
		return n.Value
	}
	return json.RawMessage(n.Value)
}

func encode(n *yaml.Node) (text []byte, err error) {
	defer func() { // the engine is not ours, as in decode
		if p := recover(); p != nil {
			text, err = nil, fmt.Errorf("the YAML engine gave up (%v): %w", p, ErrRewrite)
		}
	}()
	var b bytes.Buffer
	enc := yaml.NewEncoder(&b)
	enc.SetIndent(2)
	if err := enc.Encode(n); err != nil {
		return nil, fmt.Errorf("%v: %w", err, ErrRewrite)
	}
	return unmarkBlanks(b.Bytes()), enc.Close()
}

// comments are all comments of a tree, line by line.
func comments(n *yaml.Node) (out []string) {
	for _, c := range []string{n.HeadComment, n.LineComment, n.FootComment} {
		for line := range strings.Lines(c) {
			if line = strings.TrimSpace(line); line != "" && line != blank {
				out = append(out, line)
			}
		}
	}
	for _, e := range n.Content {
		out = append(out, comments(e)...)
	}
	return out
}
