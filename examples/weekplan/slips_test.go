package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fitchet.example/examples/internal/hostile"
	"fitchet.example/examples/internal/slips"
)

const slipNotices = `as-of: 2026-11-25
regions: [North Brackenford, South Brackenford]
notices:
  - {id: north, kind: bird-flu, region: North Brackenford, state: in-force, confirmed: 2026-11-24, read-in: county page, words: Housing order.}
  - {id: mince, kind: recall, supplier: Example Meats, lots: [L7], state: in-force, confirmed: 2026-11-24, read-in: letter, words: Salmonella.}
`

const slipHome = `household: Brackenford Ferret Rescue
as-of: 2026-11-25
region: North Brackenford
style: assembled
animals:
  - {id: bramble, name: Bramble, species: ferret, sex: hob, weight: 1.2 kg, age: 3 years, stage: adult, conditions: [insulinoma], never: [fish, rabbit, beef liver, muntjac]}
stock:
  - {food: beef-mince, mass: 900 g, supplier: Example Meats, lot: L7}
  - {food: chicken-thigh-meat, mass: 900 g}
  - {food: muntjac-dice, mass: 500 g}
  - {food: pork-heart, mass: 500 g}
`

const slipFoods = `species:
  - {name: muntjac, group: deer}
foods:
  - {id: muntjac-dice, name: Muntjac dice, kind: cut, species: muntjac, colour: red, slot: muscle, hazards: [shot-lead], ref: "choice: made up"}
`

// No slip of the pen in any household of the repository, nor in own foods, rules
// and notices, makes a week look better.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	read := func(path string) string {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	var samples []slips.Sample
	for _, pattern := range []string{"household.yaml", "testdata/good-*.yaml", "testdata/lacking-*.yaml", "../../testdata/corpus/households/*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %v", pattern, err)
		}
		for _, path := range paths {
			s := slips.Sample{Args: []string{"-format", "json", "-household", "household.yaml", "-foods", "foods.yaml"},
				Files: map[string]string{"household.yaml": read(path), "foods.yaml": read("testdata/mix-foods.yaml")}}
			if strings.Contains(s.Files["household.yaml"], "hollin-") {
				s.Files["foods.yaml"] = read("testdata/kidney-foods.yaml")
			}
			samples = append(samples, s)
		}
	}
	files := map[string]string{"household.yaml": slipHome, "foods.yaml": slipFoods, "notices.yaml": slipNotices, "rules.yaml": read("../../testdata/corpus/rules/laid-over.yaml")}
	all := slips.Sample{Args: []string{"-format", "json", "-household", "household.yaml", "-foods", "foods.yaml", "-notices", "notices.yaml", "-rules", "rules.yaml", "-sheet", "week"},
		Flags: []string{"-format", "-sheet"}, Files: files}
	samples = append(samples, all)
	slips.Check(t, samples, run, slips.Gravest)
}

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	hostile.Check(t, run, []string{"-household", "FILE"}, []string{"-plan", "FILE"}, []string{"-foods", "FILE"}, []string{"-rules", "FILE"}, []string{"-notices", "FILE"})
}
