package main

import (
	"os"
	"testing"

	"fitchet.example/examples/internal/hostile"
	"fitchet.example/examples/internal/slips"
)

const ownAnimals = `species:
  - {name: muntjac, group: deer}
  - {name: Reeves pheasant, group: poultry}
foods:
  - {id: muntjac-dice, name: Muntjac dice, kind: cut, species: muntjac, colour: red, slot: muscle, hazards: [shot-lead], ref: "choice: made up"}
  - {id: stalkers-mix, name: Stalkers mix, kind: mix, contains: [muntjac, Reeves pheasant, pork], colour: red, complete: false, slot: muscle, ref: "choice: made up"}
  - {id: hen-liver, name: Hen liver of the farm, kind: organ, species: hen, cut: liver, colour: white, slot: liver, hazards: [vitamin-a-rich, poultry], ref: "choice: made up"}
`

// No slip of the pen in a flag or in a file of own foods takes a warning away.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	read := func(path string) string {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	var samples []slips.Sample
	for name, text := range map[string]string{
		"hollin-rabbit-kidney": read("../weekplan/testdata/kidney-foods.yaml"), "hollow-oak-mix": read("../weekplan/testdata/mix-foods.yaml"),
		"brackenford-rabbit-mince": rescueMince, "muntjac-dice": ownAnimals, "stalkers-mix": ownAnimals, "hen-liver": ownAnimals,
	} {
		samples = append(samples, slips.Sample{Args: []string{"-format", "json", "-foods", "foods.yaml", name}, Files: map[string]string{"foods.yaml": text}})
	}
	for _, args := range [][]string{{"-species", "chicken"}, {"-species", "poultry", "-part", "liver"}, {"-hazard", "raw-pork"}, {"-species", "wild boar", "-hazard", "raw-pork"}} {
		samples = append(samples, slips.Sample{Args: append([]string{"-format", "json"}, args...), Flags: []string{"-species", "-part", "-hazard", "-format"}})
	}
	slips.Check(t, samples, run, slips.Gravest)
}

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	hostile.Check(t, run, []string{"-foods", "FILE"})
}
