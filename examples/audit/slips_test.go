package main

import (
	"os"
	"regexp"
	"testing"

	"fitchet.example/examples/internal/slips"
)

// No slip of the pen in a plan, its household, own foods, rules and notices, or a
// flag makes a plan look better.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	files := map[string]string{"plan.yaml": rescuePlan, "household.yaml": rescue + "region: North Brackenford\n", "notices.yaml": `as-of: 2026-11-25
regions: [North Brackenford, South Brackenford]
notices:
  - {id: north, kind: bird-flu, region: North Brackenford, state: in-force, confirmed: 2026-11-24, read-in: county page, words: Housing order.}
`}
	laid, err := os.ReadFile("../../testdata/corpus/rules/laid-over.yaml")
	if err != nil {
		t.Fatal(err)
	}
	files["rules.yaml"] = string(laid)
	shipped, err := os.ReadFile("../../balance/rules/rules.yaml")
	if err != nil {
		t.Fatal(err)
	}
	retired, err := os.ReadFile("../../testdata/corpus/rules/retired.yaml")
	if err != nil {
		t.Fatal(err)
	}
	// The shipped rules laid over themselves, and those that were given up.
	anew := regexp.MustCompile(`(?m)^  - id: .*$`).ReplaceAllString(string(shipped), "$0\n    override: the same again")
	own := func(name, text string) slips.Sample {
		return slips.Sample{Args: []string{"-format", "json", "-household", "household.yaml", "-rules", name, "plan.yaml"},
			Files: map[string]string{"plan.yaml": rescuePlan, "household.yaml": rescue, name: text}}
	}
	samples := []slips.Sample{own("shipped.yaml", anew), own("retired.yaml", string(retired))}
	// One stop in each, so that no other stands in for one that is lost.
	for food, stock := range map[string]string{"pork-heart": "", "muntjac-dice": "", "wild-mix": "", "chicken-thigh-meat": "", "beef-mince": ", supplier: Example Meats, lot: L7"} {
		one := slips.Sample{Args: []string{"-format", "json", "-household", "household.yaml", "-foods", "foods.yaml", "-notices", "notices.yaml", "plan.yaml"}, Files: map[string]string{
			"household.yaml": "household: Brackenford Ferret Rescue\nas-of: 2026-11-25\nregion: North Brackenford\nanimals:\n  - {id: bramble, sex: jill, weight: 700 g, age: 3 years}\nstock:\n  - {food: " +
				food + ", mass: 900 g" + stock + "}\n",
			"plan.yaml": "schema: fitchet.plan/1\nhousehold: Brackenford Ferret Rescue\nstart: 2026-11-25\ndays:\n  - {date: 2026-11-25, meals: [{meal: 1, for: [bramble], servings: [{food: " + food + ", mass: 40 g}]}]}\n",
			"foods.yaml": `species:
  - {name: muntjac, group: rodent}
foods:
  - {id: muntjac-dice, name: Muntjac dice, kind: cut, species: muntjac, colour: red, slot: muscle, hazards: [wild-caught], ref: "choice: made up"}
  - {id: wild-mix, name: Wild mix, kind: mix, contains: [rabbit, wild boar], colour: red, complete: false, slot: muscle, ref: "choice: made up"}
`,
			"notices.yaml": `as-of: 2026-11-25
notices:
  - {id: north, kind: bird-flu, region: North Brackenford, state: in-force, confirmed: 2026-11-24, read-in: county page, words: Housing order.}
  - {id: mince, kind: recall, supplier: Example Meats, state: in-force, confirmed: 2026-11-24, read-in: letter, words: Salmonella.}
`}}
		samples = append(samples, one)
	}
	for _, more := range [][]string{nil, {"-region", "South Brackenford"}, {"-rule", "share-bone"}, {"-target", "assembled-bone-in-meat"}} {
		samples = append(samples, slips.Sample{
			Args:  append([]string{"-format", "json", "-household", "household.yaml", "-notices", "notices.yaml", "-rules", "rules.yaml"}, append(more, "plan.yaml")...),
			Flags: []string{"-format", "-region", "-rule", "-target"}, Files: files})
	}
	slips.Check(t, samples, run, slips.Gravest)
}
