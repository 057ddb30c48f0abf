package log

import (
	"fmt"
	"strings"
	"testing"

	"fitchet.example/ration"
	"fitchet.example/ration/internal/given"
)

// Nothing is written of an animal before its birth, no day lies outside its log, and a log long after its household says so.
func TestLogDates(t *testing.T) {
	t.Parallel()
	load := func(asOf, from, more string) error {
		h, _, err := ration.LoadHousehold("h.yaml", strings.NewReader("household: Brackenford Ferret Rescue\nas-of: 2026-11-25\nanimals: [{id: bramble, weight: 700 g, born: 2026-06-01}]\nstock: [{food: beef-heart, mass: 300 g}]\n"), given.Foods(t))
		if err != nil {
			t.Fatal(err)
		}
		text := fmt.Sprintf("schema: %s\nhousehold: Brackenford Ferret Rescue\nas-of: %s\nfrom: %s\n%s", Schema, asOf, from, more)
		_, err = Load("l.yaml", strings.NewReader(text), given.Foods(t), h)
		return err
	}
	for _, tc := range []struct{ name, asOf, from, more, want string }{
		{"well", "2026-11-29 21:00", "2026-11-20", "complete: [2026-11-20 to 2026-11-29]\nweights:\n  - {animal: bramble, at: 2026-06-20 08:00, weight: 60 g}\n", ""},
		{"weighed before its birth", "2026-11-29 21:00", "2026-11-20", "weights:\n  - {animal: bramble, at: 2026-05-31 08:00, weight: 60 g}\n", "bramble is born on 2026-06-01, after this day"},
		{"fed before its birth", "2026-11-29 21:00", "2026-05-01", "fed:\n  - {at: 2026-05-31 08:00, for: [bramble], food: beef-heart, offered: 10 g}\n", "bramble is born on 2026-06-01, after this day"},
		{"seen before its birth", "2026-11-29 21:00", "2026-05-01", "signs:\n  - {at: 2026-05-31 08:00, animal: bramble, sign: fits}\n", "bramble is born on 2026-06-01, after this day"},
		{"ends before it begins", "2026-11-29 21:00", "2026-11-30", "", "l.yaml:4:7: the log begins on 2026-11-30, after its as-of moment"},
		{"begins in another age", "2026-11-29 21:00", "1926-11-20", "", "l.yaml:4:7: the log begins on 1926-11-20, over 10 years before"},
		{"whole days of another week", "2026-11-29 21:00", "2026-11-20", "complete: [2026-11-30]\n", "lies outside this log"},
		{"whole days before it", "2026-11-29 21:00", "2026-11-20", "complete: [2026-11-19 to 2026-11-22]\n", "lies outside this log"},
		{"28 days after the household", "2026-12-23 21:00", "2026-11-20", "", ""},
		{"29 days after the household", "2026-12-24 21:00", "2026-11-20", "", "l.yaml:3:8: the household file is of 2026-11-25, 29 days before"},
	} {
		err := load(tc.asOf, tc.from, tc.more)
		if tc.want == "" && err != nil || tc.want != "" && (err == nil || !strings.Contains(err.Error(), tc.want)) {
			t.Errorf("%s: %v, want %q", tc.name, err, tc.want)
		}
	}
}
