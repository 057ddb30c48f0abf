package fits

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Hostile are texts that would act on what is written around them: forge lines, clear a terminal, turn a line around,
// hide. None holds a slash or a zero byte, so that each can be the name of a file.
func Hostile() []string {
	return []string{
		"Moss\nVET: nothing to do", "Moss\r\nBEGIN:VEVENT\r\n\u0085\u2028\u2029\v\f", "\x1b[2J\x1b]0;title\aMoss\u009b31m\t\b\x7f\xff\xc0",
		"\u202eMoss\u2066\u202d\u200f\u061c\u2068", "Mo\u200bs\u00ads\ufeff\U000e0041", "לולה\n\u202eלולה",
		`\" | <script>alert(1)<!script> & ]( * _ # - {{.}} %s%d%n` + "\n# Head\n- item\n|a|b|\n", "\n", "\u2800",
	}
}

// Harmless says what in a text of lines would act on a terminal or turn it around, or "" for nothing. A name that is
// written from right to left may stand between a pair of isolates on one line.
func Harmless(text string) string {
	if !utf8.ValidString(text) {
		return "it is not UTF-8"
	}
	for line := range strings.SplitSeq(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		deep := 0
		for _, c := range line {
			switch {
			case c == '\u2068':
				deep++
			case c == '\u2069' && deep > 0:
				deep--
			case unicode.In(c, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control), c == '\u200b', c == '\ufeff', c == '\u00ad', c >= 0xe0000 && c < 0xe0080:
				return fmt.Sprintf("%U in %q", c, line)
			}
		}
		if deep > 0 {
			return fmt.Sprintf("an isolate that does not end in %q", line)
		}
	}
	return ""
}
