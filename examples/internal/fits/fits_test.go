package fits

import (
	"strings"
	"testing"
)

const schema = `{"type": "object", "additionalProperties": false, "required": ["n"],
	"properties": {"n": {"type": "integer", "minimum": 1}, "s": {"$ref": "#/$defs/day"}, "e": {"enum": ["a", 7]}, "c": {"const": true},
		"l": {"type": "array", "items": {"oneOf": [{"type": "null"}, {"$ref": "#/$defs/day"}]}}, "o": {"type": "object", "properties": {"b": {"type": "boolean"}}}},
	"$defs": {"day": {"type": "string", "pattern": "^[0-9]+$"}}}`

func TestCheck(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ schema, doc, want string }{
		{schema, `{"n": 1, "s": "12", "e": 7, "c": true, "l": [null, "3"], "o": {"b": true, "more": 1}}`, ""},
		{schema, `{"n": 0}`, "$.n: 0 is less than 1"},
		{schema, `{"n": 1.5}`, "no integer"},
		{schema, `{}`, "n is missing"},
		{schema, `{"n": 1, "x": 1}`, "x is not in the schema"},
		{schema, `{"n": 1, "s": "a"}`, `"a" does not match`},
		{schema, `{"n": 1, "e": "b"}`, "none of"},
		{schema, `{"n": 1, "c": false}`, "false is not true"},
		{schema, `{"n": 1, "l": [true]}`, "$.l[0]: fits 0"},
		{schema, `{"n": 1, "o": {"b": null}}`, "$.o.b"},
		{schema, `[]`, "no object"},
		{schema, `{`, "no JSON"},
		{`{`, `{}`, "the schema is no JSON"},
		{`{"maximum": 1}`, `{}`, "does not know"},
		{`{"$ref": "#/$defs/none"}`, `{}`, "leads nowhere"},
	} {
		got := strings.Join(Check([]byte(tc.schema), []byte(tc.doc)), "\n")
		if tc.want == "" && got != "" || !strings.Contains(got, tc.want) {
			t.Errorf("%s: %q, want %q", tc.doc, got, tc.want)
		}
	}
}
