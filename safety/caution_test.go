package safety

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func cautionIDs(cs []Caution) string {
	var out []string
	for _, c := range cs {
		out = append(out, c.ID)
	}
	return strings.Join(out, " ")
}

func TestCautions(t *testing.T) {
	t.Parallel()
	b := book(t)
	for _, c := range []struct {
		name string
		s    Situation
		want string
	}{
		{"nothing known", Situation{}, "not-veterinary-advice who-is-at-home"},
		{"nobody at risk", Situation{People: NobodyAtRisk}, "not-veterinary-advice"},
		{"a kit", Situation{People: NobodyAtRisk, Kit: true}, "not-veterinary-advice ask-vet-first"},
		{"not eating", Situation{People: NobodyAtRisk, NotEating: true}, "not-veterinary-advice see-vet-now"},
		{"insulinoma", Situation{People: NobodyAtRisk, Insulinoma: true}, "not-veterinary-advice insulinoma ask-vet-first"},
		{"raw, somebody at risk", Situation{People: SomebodyAtRisk, Raw: true}, "not-veterinary-advice people-at-risk raw-holds-germs wash"},
		{"a week of raw poultry and hours", Situation{People: NobodyAtRisk, Raw: true, Poultry: true, Hours: true, Estimate: true},
			"not-veterinary-advice raw-holds-germs wash hours-are-human stash bird-flu estimate"},
		{"hunted", Situation{People: NobodyAtRisk, Game: true}, "not-veterinary-advice freezing-is-no-cure game-rules"},
		{"handout", Situation{People: NobodyAtRisk, Handout: true, Borrowed: true}, "not-veterinary-advice who-is-at-home borrowed handout-date"},
	} {
		if got := cautionIDs(b.Cautions(c.s)); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// A situation with more in it never shows fewer cautions.
func TestMoreNeverHidesACaution(t *testing.T) {
	t.Parallel()
	b := book(t)
	rapid.Check(t, func(t *rapid.T) {
		bit := func(name string) bool { return rapid.Bool().Draw(t, name) }
		s := Situation{Raw: bit("raw"), Poultry: bit("poultry"), Game: bit("game"), Hours: bit("hours"), Kit: bit("kit"), Ill: bit("ill"), Handout: bit("handout")}
		before := b.Cautions(s)
		s.Fish, s.Freezing, s.NotEating, s.Changing = true, true, true, true
		after := b.Cautions(s)
		for _, c := range before {
			if !slices.ContainsFunc(after, func(d Caution) bool { return d.ID == c.ID }) {
				t.Fatalf("%s is hidden", c.ID)
			}
		}
		if len(before) == 0 || before[0].ID != "not-veterinary-advice" {
			t.Fatalf("the first caution is %v", before)
		}
	})
}

func TestPracticeStaysOutOfTheHeadlineOfRiskHomes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		s    Situation
		want bool
	}{{Situation{}, false}, {Situation{People: SomebodyAtRisk}, false}, {Situation{People: NobodyAtRisk}, true}, {Situation{People: NobodyAtRisk, Handout: true}, false}} {
		if got := c.s.PracticeInHeadline(); got != c.want {
			t.Errorf("%+v: %v", c.s, got)
		}
	}
}
