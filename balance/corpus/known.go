package corpus

import (
	"fmt"
	"io"

	"fitchet.example/ration"
	"fitchet.example/units/strict"
)

// Known is one failure that is known. It must still fail: one that passes is an
// error, so that a list of known failures cannot hide what was mended, or hide
// anything else.
type Known struct {
	ID      string
	Outcome string // how it is known to fail; "" for any way
	Reason  string
	At      ration.Place
}

// LoadKnown reads a list of known failures (schema fitchet.known/1). Ids must be
// scenarios of the corpus. The error is a strict.Faults with every fault.
func (c *Corpus) LoadKnown(path string, r io.Reader) (map[string]Known, error) {
	doc := strict.ReadAll(path, r)
	m := doc.Root().Map()
	keys(m, "schema", "known")
	wantSchema(m, KnownSchema)
	out := map[string]Known{}
	for _, n := range m.Get("known").List() {
		km := n.Map()
		keys(km, "id", "outcome", "reason")
		k := Known{ID: strict.Value(km, "id", ParseID), Outcome: km.OptText("outcome"), Reason: strict.Value(km, "reason", parseSentence), At: place(path, n)}
		km.Done()
		if _, ok := c.Scenario(k.ID); k.ID != "" && !ok {
			km.Get("id").Fail("no scenario has the id %s", k.ID)
		}
		if was, ok := out[k.ID]; ok {
			km.Get("id").Fail("%s stands already at %s", k.ID, was.At)
		}
		out[k.ID] = k
	}
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, fmt.Errorf("reading known failures: %w", err)
	}
	return out, nil
}
