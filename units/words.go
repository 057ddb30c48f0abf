package units

import (
	"fmt"
	"strings"
)

// Words are the words of an enumeration: for each value the key that files and
// JSON use and the name for people. A value without a key, such as a zero that
// stands for nothing, is no value: it is neither read nor written. Words are set
// once and only read after that.
type Words[T ~uint8] struct {
	What  string   // what is told apart: "colour"
	Keys  []string // by value
	Names []string // by value; nil when the keys are the names
}

// Key returns the word used in files, or "" for a value that has none.
func (w *Words[T]) Key(v T) string {
	if int(v) < len(w.Keys) {
		return w.Keys[v]
	}
	return ""
}

// Name returns the name for people; for a value that has none, what it is and
// its number: "colour 9", and "no colour" for a zero that stands for nothing.
func (w *Words[T]) Name(v T) string {
	name := w.Key(v)
	if name != "" && int(v) < len(w.Names) && w.Names[v] != "" {
		name = w.Names[v]
	}
	switch {
	case name != "":
		return name
	case v == 0:
		return "no " + w.What
	}
	return fmt.Sprintf("%s %d", w.What, uint8(v))
}

// Parse reads a key, or a name for people. The error wraps [ErrWord], and lists
// the keys when they are few.
func (w *Words[T]) Parse(s string) (T, error) {
	for i, key := range w.Keys {
		if key != "" && (s == key || s == w.Name(T(i))) {
			return T(i), nil
		}
	}
	return 0, fmt.Errorf("%s %q: %w%s", w.What, clip(s), ErrWord, w.list())
}

// Marshal returns the key. It is for a method MarshalText. The error wraps
// [ErrWord].
func (w *Words[T]) Marshal(v T) ([]byte, error) {
	key := w.Key(v)
	if key == "" {
		return nil, fmt.Errorf("writing %s: %w", w.Name(v), ErrWord)
	}
	return []byte(key), nil
}

// Unmarshal is Parse for a method UnmarshalText. On an error the target stays
// as it was.
func (w *Words[T]) Unmarshal(to *T, text []byte) error {
	v, err := w.Parse(string(text))
	if err == nil {
		*to = v
	}
	return err
}

// list names the keys, so that a message can say what is wanted.
func (w *Words[T]) list() string {
	const most = 12 // a longer list hides what the message says
	var keys []string
	for _, key := range w.Keys {
		if key != "" {
			keys = append(keys, key)
		}
	}
	switch n := len(keys); {
	case n == 0 || n > most:
		return ""
	case n == 1:
		return ": want " + keys[0]
	default:
		return ": want " + strings.Join(keys[:n-1], ", ") + " or " + keys[n-1]
	}
}

// clip keeps quoted input in messages short.
func clip(s string) string {
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
