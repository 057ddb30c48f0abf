package units_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"fitchet.example/units"
)

type tone uint8

const (
	low tone = iota + 1 // 0 is no tone
	high
)

var tones = units.Words[tone]{What: "tone", Keys: []string{low: "low", high: "high"}, Names: []string{high: "high and clear"}}

func (t tone) MarshalText() ([]byte, error)     { return tones.Marshal(t) }
func (t *tone) UnmarshalText(text []byte) error { return tones.Unmarshal(t, text) }

func TestWords(t *testing.T) {
	for _, tc := range []struct {
		v         tone
		key, name string
	}{{low, "low", "low"}, {high, "high", "high and clear"}, {0, "", "no tone"}, {3, "", "tone 3"}, {255, "", "tone 255"}} {
		if key, name := tones.Key(tc.v), tones.Name(tc.v); key != tc.key || name != tc.name {
			t.Errorf("%d: %q and %q, want %q and %q", tc.v, key, name, tc.key, tc.name)
		}
		text, err := tones.Marshal(tc.v)
		if string(text) != tc.key || errors.Is(err, units.ErrWord) != (tc.key == "") {
			t.Errorf("%d is written %q, %v", tc.v, text, err)
		}
		for _, word := range []string{tc.key, tc.name} {
			back, err := tones.Parse(word)
			if tc.key != "" && (back != tc.v || err != nil) || tc.key == "" && (back != 0 || !errors.Is(err, units.ErrWord)) {
				t.Errorf("%q reads as %d, %v", word, back, err)
			}
		}
	}
	if _, err := tones.Parse("hgih"); err == nil || err.Error() != `tone "hgih": not a known name: want low or high` {
		t.Errorf("message %v", err)
	}
	many := units.Words[tone]{What: "letter", Keys: strings.Split("abcdefghijklmnopqrstuvwxyz", "")}
	if _, err := many.Parse(strings.Repeat("é", 500)); err == nil || err.Error() != `letter "`+strings.Repeat("é", 60)+`…": not a known name` {
		t.Errorf("message %v", err)
	}
	var none units.Words[tone]
	if _, err := none.Parse(""); !errors.Is(err, units.ErrWord) {
		t.Errorf("no words: %v", err)
	}
	was := struct{ T tone }{high}
	if err := json.Unmarshal([]byte(`{"T":"loud"}`), &was); !errors.Is(err, units.ErrWord) || was.T != high {
		t.Errorf("after an error: %v, %v", was, err)
	}
}
