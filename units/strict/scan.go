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
	isJSON := json.Valid(text)
	if isJSON {
		text, d.pairs = joinSurrogates(text)
	}
	root, second, err := decode(text)
	if err != "" {
		// A tab or a control character explains the failure better than the
		// engine does.
		if scanned == 0 {
			d.syntax(text, err)
		}
		return
	}
	if root == nil {
		if scanned == 0 {
			d.fault(1, 1, nil, "the file is empty")
		}
		return
	}
	if second != nil {
		line, col := d.pos(second)
		d.fault(line, col, nil, "a second document begins here: one file holds one document")
	}
	d.root = root
	d.walk(text)
}

// scan looks at the characters before the engine does. It reports false when
// the text cannot be read on.
func (d *Doc) scan(text []byte) bool {
	first := bytes.TrimLeft(text, " \t\r\n")
	flow := len(first) > 0 && (first[0] == '{' || first[0] == '[')
	line, col := 1, 1
	indent := true // only indentation and list marks so far on this line
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
			}
		case c == '\t':
			if indent && !flow {
				d.fault(line, col, nil, "a tab in the indentation: use spaces")
				indent = false
			}
		case c == '\ufeff':
			d.fault(line, col, nil, "a byte order mark inside the file")
		case !allowed(c):
			d.fault(line, col, nil, "control character %U", c)
		}
		if c != ' ' && c != '-' && c != '?' && c != ':' && c != '\t' {
			indent = false
		}
		i += size
		col++
	}
	return true
}

// allowed reports whether a character may stand in a file or in a value.
// Line separators other than the line feed, and characters that change the
// direction of text, are not: they make a file look other than it is.
func allowed(c rune) bool {
	switch {
	case c == '\n' || c == '\t':
		return true
	case unicode.IsControl(c), c == '\u2028', c == '\u2029', unicode.Is(unicode.Bidi_Control, c):
		return false
	}
	return true
}

// pair is a place where two JSON escapes became one: columns behind it on the
// line have moved two to the left.
type pair struct{ line, col int }

// joinSurrogates rewrites the two escapes "\ud83d\ude00" by which JSON writes
// a character beyond the basic plane as the one escape "\U0001f600" of YAML.
// The text must be valid JSON, so that every backslash begins an escape.
func joinSurrogates(text []byte) ([]byte, []pair) {
	if !bytes.Contains(text, []byte(`\u`)) {
		return text, nil
	}
	var out []byte
	var pairs []pair
	line, col := 1, 1
	for i := 0; i < len(text); {
		if text[i] == '\\' {
			hi, ok1 := escape(text[i:])
			if ok1 && hi >= 0xd800 && hi < 0xdc00 {
				if lo, ok2 := escape(text[i+6:]); ok2 && lo >= 0xdc00 && lo < 0xe000 {
					out = append(out, `\U000`...)
					r := 0x10000 + (hi-0xd800)<<10 + (lo - 0xdc00)
					for shift := 16; shift >= 0; shift -= 4 {
						out = append(out, "0123456789abcdef"[r>>shift&15])
					}
					i, col = i+12, col+10
					pairs = append(pairs, pair{line, col})
					continue
				}
			}
			out = append(out, text[i], text[i+1])
			i, col = i+2, col+2
			continue
		}
		if text[i] == '\n' {
			line, col = line+1, 0
		}
		if utf8.RuneStart(text[i]) {
			col++
		}
		out = append(out, text[i])
		i++
	}
	return out, pairs
}

// escape reads \uXXXX at the start of b.
func escape(b []byte) (rune, bool) {
	if len(b) < 6 || b[0] != '\\' || b[1] != 'u' {
		return 0, false
	}
	var r rune
	for _, c := range b[2:6] {
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c >= 'a' && c <= 'f':
			c -= 'a' - 10
		case c >= 'A' && c <= 'F':
			c -= 'A' - 10
		default:
			return 0, false
		}
		r = r<<4 | rune(c)
	}
	return r, true
}
