// Package say joins words and numbers the way people do, and keeps quoted input
// short. It is for texts; nothing here is read back.
package say

import (
	"fmt"
	"strings"
)

// And joins words: "a", "a and b", "a, b and c"; "" for none.
func And(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// Counted is a number with its word: "1 day", "3 days".
func Counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Clip keeps the first 60 characters of a text, and shows with "…" that there
// were more. Messages quote input through it, since input has no length.
func Clip(s string) string {
	const most = 60
	n := 0
	for i := range s {
		if n == most {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
