package strict

import (
	"bytes"
	"encoding/json"
	"unicode"
	"unicode/utf8"
)

// load fills the Doc from the bytes of a file of allowed size.
func (d *Doc) load(data []byte) {
	text := bytes.TrimPrefix(data, []byte("\ufeff"))
	if !d.scan(text) {
		return
	}
	scanned := len(d.faults)
	if json.Valid(text) {
		d.root = decodeJSON(text)
		d.walk(text, scanned > 0)
		return
	}
	root, second, err := decode(text)
	switch {
	case err != "":
		// A tab or a control character explains the failure better than the
		// engine does.
		if scanned == 0 {
			d.syntax(text, err)
		}
	case root == nil:
		if scanned == 0 {
			d.fault(1, 1, nil, "the file is empty")
		}
	default:
		if second != nil {
			d.fault(second.Line, second.Column, nil, "a second document begins here: one file holds one document")
		}
		d.root = root
		d.walk(text, scanned > 0)
	}
}

// scan looks at the characters before the engine does. It reports false when
// the text cannot be read on.
func (d *Doc) scan(text []byte) bool {
	first := bytes.TrimLeft(text, " \t\r\n")
	flow := len(first) > 0 && (first[0] == '{' || first[0] == '[')
	line, col := 1, 1
	breaks := false // a line break that the engine counts and nobody else does
	indent := true  // only indentation and list marks so far on this line
	for i := 0; i < len(text); {
		c, size := utf8.DecodeRune(text[i:])
		switch {
		case c == utf8.RuneError && size == 1:
			d.fault(line, col, nil, "byte %#02x is not valid UTF-8: save the file as UTF-8", text[i])
			return false
		case c == '\n':
			i += size
			line, col, indent = line+1, 1, true
			continue
		case c == '\r':
			if i+1 >= len(text) || text[i+1] != '\n' {
				d.fault(line, col, nil, "a carriage return without a line feed")
				breaks = true
			}
		case c == '\t':
			if indent && !flow {
				d.fault(line, col, nil, "a tab in the indentation: use spaces")
				indent = false
			}
		case !allowed(c):
			d.fault(line, col, nil, "character %U is not allowed", c)
			breaks = breaks || c == '\u0085' || c == '\u2028' || c == '\u2029'
		}
		if c != ' ' && c != '-' && c != '?' && c != ':' && c != '\t' {
			indent = false
		}
		i += size
		col++
	}
	return !breaks
}

// allowed reports whether a character may stand in a file or in a value.
// Line separators other than the line feed, and characters that change the
// direction of text, may not: they make a file look other than it is. The
// replacement character is what damaged text leaves behind.
func allowed(c rune) bool {
	switch {
	case c == '\n' || c == '\t':
		return true
	case unicode.IsControl(c), c == '\u2028', c == '\u2029', c == '\ufeff', c == utf8.RuneError:
		return false
	}
	return !unicode.Is(unicode.Bidi_Control, c)
}
