package strict

import (
	"bytes"
	"encoding/json"

	"gopkg.in/yaml.v3"
)

// decodeJSON builds the same tree from JSON text as the YAML engine would,
// with every repeated key and the written form of every number. The engine
// itself does not read all of JSON: it refuses the escape "\/", characters
// written as two escapes, and keys longer than 1024 characters. The text must
// be valid.
func decodeJSON(text []byte) *yaml.Node {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	cur := cursor{text: text, line: 1, col: 1}
	var root *yaml.Node
	var open []*yaml.Node // collections around the place
	end := 0              // offset behind the last token
	for {
		tok, err := dec.Token()
		if err != nil {
			return root
		}
		start := end
		for start < len(text) && bytes.IndexByte([]byte(" \t\r\n,:"), text[start]) >= 0 {
			start++
		}
		end = int(dec.InputOffset())
		cur.forward(start)
		n := &yaml.Node{Line: cur.line, Column: cur.col}
		collection := false
		switch v := tok.(type) {
		case json.Delim:
			switch v {
			case '{':
				n.Kind, n.Tag = yaml.MappingNode, "!!map"
			case '[':
				n.Kind, n.Tag = yaml.SequenceNode, "!!seq"
			default:
				open = open[:len(open)-1]
				continue
			}
			n.Style = yaml.FlowStyle
			collection = true
		case string:
			n.Kind, n.Tag, n.Value, n.Style = yaml.ScalarNode, "!!str", v, yaml.DoubleQuotedStyle
		case json.Number:
			n.Kind, n.Tag, n.Value = yaml.ScalarNode, "!!float", v.String()
		case bool:
			n.Kind, n.Tag, n.Value = yaml.ScalarNode, "!!bool", string(text[start:end])
		default:
			n.Kind, n.Tag, n.Value = yaml.ScalarNode, "!!null", "null"
		}
		if len(open) == 0 {
			root = n
		} else {
			in := open[len(open)-1]
			in.Content = append(in.Content, n)
		}
		if collection {
			open = append(open, n)
		}
	}
}
