package main

import (
	"encoding/json"
	"testing"

	"fitchet.example/examples/internal/hostile"
	"fitchet.example/examples/internal/slips"
)

// No slip of the pen in a household, a log or a flag makes an animal look better.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	files := map[string]string{"household.yaml": rescue, "log.yaml": twoNewcomers}
	ill := map[string]string{"household.yaml": rescue, "log.yaml": twoNewcomers + `signs:
  - {at: 2026-11-29 12:00, animal: tansy, sign: pawing-at-mouth}
`}
	samples := []slips.Sample{
		{Args: []string{"-format", "json", "-household", "household.yaml", "-log", "log.yaml", "-animal", "tansy"}, Flags: []string{"-format", "-animal"}, Files: files},
		{Args: []string{"-format", "json", "-household", "household.yaml", "-log", "log.yaml"}, Flags: []string{"-format"}, Files: ill},
	}
	slips.Check(t, samples, run, gravest)
}

// gravest is the rank of the gravest answer: a vet now, then everything that is no
// more new food, then going on as today, then the next step.
func gravest(stdout []byte) (worst int) {
	var s sheet
	if json.Unmarshal(stdout, &s) != nil {
		return 0
	}
	for _, v := range s.Vet {
		if worst = max(worst, 2); v.Now {
			worst = 3
		}
	}
	for _, n := range s.Animals {
		switch n.Move {
		case "next step", "begin":
		case "stay":
			worst = max(worst, 1)
		case "see a vet now":
			worst = 3
		default:
			worst = max(worst, 2)
		}
	}
	return worst
}

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	hostile.Check(t, run, []string{"-foods", "FILE"}, []string{"-rules", "FILE"}, []string{"-notices", "FILE"}, []string{"-steps", "FILE"}, []string{"-household", "FILE", "-log", "FILE"})
}
