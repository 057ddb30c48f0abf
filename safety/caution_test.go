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
	for _, r := range csvRows(t, "cautions.csv") {
		var s Situation
		fields := map[string]*bool{"raw": &s.Raw, "poultry": &s.Poultry, "game": &s.Game, "hours": &s.Hours, "estimate": &s.Estimate,
			"kit": &s.Kit, "not-eating": &s.NotEating, "insulinoma": &s.Insulinoma, "handout": &s.Handout, "borrowed": &s.Borrowed}
		for _, w := range strings.Fields(r["situation"]) {
			switch field := fields[w]; {
			case field != nil:
				*field = true
			case w == "nobody-at-risk":
				s.People = NobodyAtRisk
			case w == "somebody-at-risk":
				s.People = SomebodyAtRisk
			default:
				t.Errorf("%s: situation %q", r["case"], w)
			}
		}
		if got := cautionIDs(b.Cautions(s)); got != r["want"] {
			t.Errorf("%s: %s, want %s", r["case"], got, r["want"])
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
