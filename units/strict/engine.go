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
const bisectBytes = 128 << 10

// syntax notes the one fault at which the engine stopped. The engine's own
// line is missing, one too low or that of the enclosing block, so the line is
// found as the last one of the shortest piece of the file that fails alike.
func (d *Doc) syntax(text []byte, failure string) {
	line, bare := splitLine(failure)
	found := plain(bare)
	if len(text) <= bisectBytes {
		ends := lineEnds(text)
		n := sort.Search(len(ends), func(i int) bool {
			_, _, f := decode(text[:ends[i]])
			if !found.open {
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
	d.fault(line, column(text, line, found), nil, "%s", found.words)
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

// column returns the column to show on a line: that of the mark on which the
// engine stumbled, found as the line was, and else that of the first character
// which is not a space.
func column(text []byte, line int, found problem) int {
	start := 0
	for range line - 1 {
		i := bytes.IndexByte(text[start:], '\n')
		if i < 0 {
			return 1
		}
		start += i + 1
	}
	row := text[start:]
	if i := bytes.IndexByte(row, '\n'); i >= 0 {
		row = row[:i]
	}
	row = bytes.TrimRight(row, " \t\r")
	at := len(row) - len(bytes.TrimLeft(row, " \t"))
	if at == len(row) {
		return 1
	}
	if len(text) <= bisectBytes {
		n := sort.Search(len(row), func(i int) bool {
			_, _, f := decode(text[:start+i+1])
			_, b := splitLine(f)
			return plain(b).words == found.words
		})
		switch {
		case n < len(row) && strings.IndexByte(found.on, row[n]) >= 0:
			at = n
		case n > at && n < len(row) && strings.IndexByte(found.before, row[n-1]) >= 0:
			at = n - 1
		}
	}
	return utf8.RuneCount(row[:at]) + 1
}

// problem is what the engine found, in plain words.
type problem struct {
	words string
	// open: something is opened and not closed. There the place of the opening
	// matters, not the line at which the engine noticed.
	open bool
	// on and before are the marks to point at: the character at which the text
	// first fails, or the one before it.
	on, before string
}

func plain(bare string) problem {
	switch bare {
	case "mapping values are not allowed in this context":
		return problem{words: "a colon is not expected here: quote text that holds a colon and a space; check the indentation and the line above", on: ":"}
	case "did not find expected key":
		return problem{words: "this line does not fit the indentation of the lines above it, or has text behind a closing quote"}
	case "did not find expected '-' indicator":
		return problem{words: "a list item was expected here: this line does not fit the indentation of the list above it"}
	case "block sequence entries are not allowed in this context":
		return problem{words: "a list may not begin here: put it on the next line, indented"}
	case "could not find expected ':'":
		return problem{words: "a key without a colon and a space behind it"}
	case "found unexpected end of stream":
		return problem{words: "a quote that is opened here is not closed", open: true, on: "\"'"}
	case "did not find expected ',' or ']'":
		return problem{words: "a list that is opened with [ is not closed, or a comma is missing", open: true, before: "["}
	case "did not find expected ',' or '}'":
		return problem{words: "a mapping that is opened with { is not closed, or a comma is missing", open: true, before: "{"}
	case "did not find expected node content":
		return problem{words: "a value is missing here, or a [ or { is not closed"}
	case "found character that cannot start any token":
		return problem{words: "plain text may not begin with this character: put the text in quotes", on: "@%`"}
	case "found unknown escape character", "found invalid Unicode character escape code":
		return problem{words: "an escape behind a backslash that is not known; a backslash itself is written \\\\", on: "\\"}
	case "did not find expected alphabetic or numeric character":
		return problem{words: "plain text may not begin with & or *: put the text in quotes", on: "&*"}
	case "found incompatible YAML document":
		return problem{words: "a %YAML line is not needed: take it out"}
	case "did not find expected <document start>":
		return problem{words: "text behind the end of the document"}
	}
	switch {
	case strings.HasPrefix(bare, "exceeded max depth "):
		return problem{words: fmt.Sprintf("more than %d levels inside one another", MaxDepth), on: "[{-"}
	case strings.HasPrefix(bare, "unknown anchor "):
		return problem{words: "aliases (*name) are not allowed: write the value out", before: "*"}
	}
	return problem{words: "not readable as YAML: " + bare}
}
