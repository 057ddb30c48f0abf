package strict

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxName is how long a name may be, in bytes.
const MaxName = 200

// ErrName is wrapped by errors about text that cannot be a name.
var ErrName = errors.New("not a name that can stand on a sheet")

// Name reads what people call something. It has at least one character that shows, stands on one line, holds nothing
// that is hidden or that turns the text around it, and is at most [MaxName] bytes long.
func Name(s string) (string, error) {
	for i, c := range s {
		if size := utf8.RuneLen(c); Line(s[i:min(i+size, len(s))]) != string(c) {
			if c == utf8.RuneError {
				return "", fmt.Errorf("%.70q: %w: it is not UTF-8", s, ErrName)
			}
			return "", fmt.Errorf("%.70q: %w: it holds the character %U", s, ErrName, c)
		}
	}
	switch {
	case len(s) > MaxName:
		return "", fmt.Errorf("%.70q: %w: over %d bytes", s, ErrName, MaxName)
	case !strings.ContainsFunc(s, shows):
		return "", fmt.Errorf("%.70q: %w: nothing of it shows", s, ErrName)
	}
	return s, nil
}

// MaxID is how long an id may be, in bytes.
const MaxID = 64

// IsID reports whether s may be a permanent id: lower-case letters of ASCII, digits
// and single hyphens between them, at most [MaxID] bytes.
func IsID(s string) bool {
	inside := false
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			inside = true
		case c == '-' && inside:
			inside = false
		default:
			return false
		}
	}
	return inside && len(s) <= MaxID
}

// Line is text from outside as it may stand within a line for people: every character that does not show and acts on
// what stands around it is spelt out. These are control characters, tabs and ends of lines among them, line separators,
// marks of direction, other hidden marks of format, and bytes that are not UTF-8: "\n" is written `\n`, the byte 0x1b
// `\x1b`, U+202E `\u202e`. Letters of every script stay as they are, whichever way they run, and so do the joiners
// U+200C and U+200D, which some scripts need. What Line returns it does not change again.
func Line(s string) string {
	for i, c := range s {
		if c < ' ' || c > '~' {
			return spelt(s, i)
		}
	}
	return s
}

func spelt(s string, i int) string {
	var b strings.Builder
	b.WriteString(s[:i])
	for i < len(s) {
		c, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case c == utf8.RuneError && size == 1, c < 0x100 && unicode.IsControl(c):
			b.WriteString(escaped(c, s[i]))
		case c > 0xffff && hidden(c):
			fmt.Fprintf(&b, `\U%08x`, c)
		case hidden(c):
			fmt.Fprintf(&b, `\u%04x`, c)
		default:
			b.WriteString(s[i : i+size])
		}
		i += size
	}
	return b.String()
}

func escaped(c rune, first byte) string {
	switch {
	case c == '\n':
		return `\n`
	case c == '\r':
		return `\r`
	case c == '\t':
		return `\t`
	case c < utf8.RuneError && c >= 0x80:
		return fmt.Sprintf(`\u%04x`, c)
	}
	return fmt.Sprintf(`\x%02x`, first)
}

// hidden reports whether a character beyond ASCII takes no place of its own on a line: separators of lines and marks of
// format, but neither the joiners nor those marks that stand over or before numbers and show.
func hidden(c rune) bool {
	switch c {
	case '\u200c', '\u200d':
		return false
	case '\u2028', '\u2029':
		return true
	}
	return unicode.In(c, unicode.Cf, unicode.Bidi_Control) && !unicode.Is(unicode.Prepended_Concatenation_Mark, c)
}

// shows reports whether a character can be seen by itself.
func shows(c rune) bool {
	const blankBraille = '\u2800'
	return unicode.In(c, unicode.L, unicode.N, unicode.P, unicode.S) && c != blankBraille && !unicode.Is(unicode.Other_Default_Ignorable_Code_Point, c)
}
