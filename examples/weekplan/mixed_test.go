package main_test

import (
	"encoding/json"
	"strings"
	"testing"
)

// A keeper with 600 g of a complete mix in the freezer who asks for a mixed week
// means to feed it: it makes about half of the two ferrets' week.
func TestMixedWeekFeedsItsMix(t *testing.T) {
	t.Parallel()
	out, complaint, code := call(nil, append(with("good-half-mix"), "-format", "json")...)
	if code != 0 {
		t.Fatalf("exit %d: %s", code, complaint)
	}
	type lot struct {
		Food   string `json:"food"`
		Amount string `json:"amount"`
	}
	var week struct {
		First []json.RawMessage `json:"first"`
		Days  []struct {
			Meals []struct {
				Food []string `json:"food"`
			} `json:"meals"`
		} `json:"week"`
		Use      []lot `json:"use"`
		LeftOver []lot `json:"left_over"`
	}
	if err := json.Unmarshal(out, &week); err != nil {
		t.Fatal(err)
	}
	if len(week.First) > 0 {
		t.Errorf("something has to be stopped or mended: %s", week.First)
	}
	const mix = "Hollow Oak complete mix"
	used := ""
	for _, l := range week.Use {
		if l.Food == mix {
			used = l.Amount
		}
	}
	if !strings.HasPrefix(used, "600 g ") {
		t.Errorf("%q of the mix is taken out, want all 600 g", used)
	}
	for _, l := range week.LeftOver {
		if l.Food == mix {
			t.Errorf("%s of the mix is left over", l.Amount)
		}
	}
	days := 0
	for _, d := range week.Days {
		with, without := false, false
		for _, m := range d.Meals {
			for _, f := range m.Food {
				switch {
				case strings.Contains(f, mix):
					with = true
				case !strings.Contains(f, "oil"):
					without = true
				}
			}
		}
		if with && !without {
			days++
		}
	}
	if days != 3 && days != 4 {
		t.Errorf("%d days of the mix alone, want 3 or 4 of 7", days)
	}
}
