package strict

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// decode runs the engine. It returns the first document, the second if there
// is one, and the engine's message if it failed. The recover is here because
// the engine is not ours and no longer maintained; our own code relies on no
// recover.
func decode(text []byte) (first, second *yaml.Node, failure string) {
	defer func() {
		if r := recover(); r != nil {
			first, second, failure = nil, nil, fmt.Sprint("the YAML engine gave up: ", r)
		}
	}()
	dec := yaml.NewDecoder(bytes.NewReader(text))
	var a, b yaml.Node
	if err := dec.Decode(&a); errors.Is(err, io.EOF) {
		return nil, nil, ""
	} else if err != nil {
		return nil, nil, message(err)
	}
	if a.Kind != yaml.DocumentNode || len(a.Content) != 1 {
		return nil, nil, "the YAML engine returned no document"
	}
	err := dec.Decode(&b)
	switch {
	case errors.Is(err, io.EOF):
		return a.Content[0], nil, ""
	case err != nil:
		return nil, nil, message(err)
	}
	return a.Content[0], &b, ""
}

func message(err error) string { return strings.TrimPrefix(err.Error(), "yaml: ") }

// bisectBytes bounds the size of a text that is parsed again, some fifteen
// times, to find the line of a syntax error.
const bisectBytes = 256 << 10

// syntax notes the one fault at which the engine stopped. The engine's own
// line is missing, one too low or that of the enclosing block, so the line is
// found as the last one of the shortest piece of the file that fails alike.
func (d *Doc) syntax(text []byte, failure string) {
	line, bare := splitLine(failure)
	words, loose := plain(bare)
	if len(text) <= bisectBytes {
		ends := lineEnds(text)
		n := sort.Search(len(ends), func(i int) bool {
			_, _, f := decode(text[:ends[i]])
			if !loose {
				return f == failure
			}
			_, b := splitLine(f)
			return b == bare
		})
		line = n + 1
		if n >= len(ends) {
			line = len(ends)
		}
	}
	line = max(line, 1)
	d.fault(line, d.firstColumn(text, line, bare), nil, "%s", words)
}

// splitLine takes "line 12: " off a message of the engine.
func splitLine(s string) (int, string) {
	rest, ok := strings.CutPrefix(s, "line ")
	if !ok {
		return 0, s
	}
	num, msg, ok := strings.Cut(rest, ": ")
	n, err := strconv.Atoi(num)
	if !ok || err != nil {
		return 0, s
	}
	return n, msg
}

// lineEnds returns the offset behind every line.
func lineEnds(text []byte) []int {
	var ends []int
	for i, c := range text {
		if c == '\n' {
			ends = append(ends, i+1)
		}
	}
	if len(ends) == 0 || ends[len(ends)-1] < len(text) {
		ends = append(ends, len(text))
	}
	return ends
}

// firstColumn returns the column to show on a line: that of the second colon
// where the engine says so, and else that of the first character which is not
// a space.
func (d *Doc) firstColumn(text []byte, line int, bare string) int {
	for range line - 1 {
		i := bytes.IndexByte(text, '\n')
		if i < 0 {
			return 1
		}
		text = text[i+1:]
	}
	if i := bytes.IndexByte(text, '\n'); i >= 0 {
		text = text[:i]
	}
	at := len(text) - len(bytes.TrimLeft(text, " \t"))
	if at == len(bytes.TrimRight(text, "\r")) {
		return 1
	}
	if bare == secondColon {
		if i := bytes.Index(text, []byte(": ")); i >= 0 {
			if j := bytes.Index(text[i+1:], []byte(":")); j >= 0 {
				at = i + 1 + j
			}
		}
	}
	return utf8.RuneCount(text[:at]) + 1
}

const secondColon = "mapping values are not allowed in this context"

// plain says in plain words what the engine found. Loose is true for what is
// opened and not closed: there the place of the opening matters, not the line
// at which the engine noticed.
func plain(bare string) (words string, loose bool) {
	switch bare {
	case secondColon:
		return "a colon and a space inside plain text, or a line that is indented too far: put the text in quotes or mend the indentation", false
	case "did not find expected key":
		return "this line does not fit the indentation of the lines above it", false
	case "did not find expected '-' indicator":
		return "a list item was expected here: this line does not fit the indentation of the list above it", false
	case "block sequence entries are not allowed in this context":
		return "a list may not begin here: put it on the next line, indented", false
	case "could not find expected ':'":
		return "a key without a colon and a space behind it", false
	case "found unexpected end of stream":
		return "a quote that is opened here is not closed", true
	case "did not find expected ',' or ']'":
		return "a list that is opened with [ is not closed, or a comma is missing", true
	case "did not find expected ',' or '}'":
		return "a mapping that is opened with { is not closed, or a comma is missing", true
	case "did not find expected node content":
		return "a value is missing here", false
	case "found character that cannot start any token":
		return "plain text may not begin with this character: put the text in quotes", false
	case "found unknown escape character", "found invalid Unicode character escape code":
		return "an escape behind a backslash that is not known; a backslash itself is written \\\\", false
	case "did not find expected <document start>":
		return "text behind the end of the document", false
	}
	if strings.HasPrefix(bare, "unknown anchor ") {
		return "aliases (*name) are not allowed: write the value out", false
	}
	return "not readable as YAML: " + bare, false
}
