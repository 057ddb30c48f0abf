package main

import (
	"testing"

	"fitchet.example/examples/internal/hostile"
	"fitchet.example/examples/internal/slips"
)

// No slip of the pen in a household, a log or a flag makes an animal look better.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	files := map[string]string{"household.yaml": rescue, "log.yaml": twoWeeks}
	var samples []slips.Sample
	for _, more := range [][]string{nil, {"-sheet", "card"}, {"-sheet", "card", "-animal", "moss"}} {
		samples = append(samples, slips.Sample{Args: append([]string{"-format", "json", "-household", "household.yaml", "-log", "log.yaml"}, more...),
			Flags: []string{"-format", "-sheet", "-animal"}, Files: files})
	}
	const head = `schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-11-29 23:00
from: 2026-11-28
`
	// One reason for a vet in each, so that no other stands in for one that is lost.
	for _, ill := range []string{"signs: [{at: 2026-11-29 12:00, animal: rowan, sign: fits}]\n", "stools: [{at: 2026-11-29 12:00, animal: rowan, class: bloody}]\n"} {
		for _, sheet := range []string{"log", "card"} {
			samples = append(samples, slips.Sample{Args: []string{"-format", "json", "-household", "household.yaml", "-log", "ill.yaml", "-sheet", sheet},
				Flags: []string{"-format", "-sheet"}, Files: map[string]string{"household.yaml": rescue, "ill.yaml": head + ill}})
		}
	}
	slips.Check(t, samples, run, slips.Gravest)
}

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	hostile.Check(t, run, []string{"-foods", "FILE"}, []string{"-rules", "FILE"}, []string{"-notices", "FILE"}, []string{"-household", "FILE", "-log", "FILE"})
}
