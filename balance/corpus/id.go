package corpus

import (
	"fmt"
	"io"
)

// NewID draws a permanent id that no case and no scenario has, and none had.
// The reader gives chance: crypto/rand.Reader, or anything that repeats where a
// test must.
func (c *Corpus) NewID(chance io.Reader) (string, error) {
	var b [1]byte
	for range 1000 {
		id := make([]byte, 0, idLength)
		for len(id) < idLength {
			if _, err := io.ReadFull(chance, b[:]); err != nil {
				return "", fmt.Errorf("drawing an id: %w", err)
			}
			if b[0] < 9*27 { // 243 of 256 values, so that every sign is as likely
				id = append(id, idLetters[b[0]%27])
			}
		}
		s := string(id)
		if _, err := ParseID(s); err == nil && !c.taken(s) {
			return s, nil
		}
	}
	return "", fmt.Errorf("drawing an id: none that is free among a thousand")
}

func (c *Corpus) taken(id string) bool {
	if _, ok := c.Case(id); ok {
		return true
	}
	if _, ok := c.Scenario(id); ok {
		return true
	}
	for _, gone := range c.manifest.gone {
		if gone == id {
			return true
		}
	}
	return false
}
