package balance_test

import (
	"encoding/json"
	"fmt"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/ration"
)

// A day that lacks bone.
const boneless = `
schema: fitchet.plan/1
household: Brackenford Ferret Rescue
start: 2026-11-30
days:
  - date: 2026-11-30
    meals:
      - meal: 1
        for: [bramble]
        servings:
          - {food: rabbit-meat, mass: 80 g}
          - {food: beef-heart, mass: 10 g}
          - {food: beef-liver, mass: 5 g}
          - {food: lamb-kidney, mass: 5 g}
`

// A report is sent as JSON. What comes back was audited once more, so that it
// answers whatever the first one did; one that somebody has improved is refused.
func ExampleReport_MarshalJSON() {
	plan, err := ration.LoadPlan("boneless.yaml", strings.NewReader(boneless), nil, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := balance.Audit(balance.Input{Plan: plan})
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(report)
	if err != nil {
		fmt.Println(err)
		return
	}

	var back balance.Report
	if err := json.Unmarshal(text, &back); err != nil {
		fmt.Println(err)
		return
	}
	bone := back.Find("share-bone")[0]
	fmt.Println(back.Household, back.Start, back.Passed())
	fmt.Println(bone.Verdict, bone.MeasuredText(), "limit", bone.LimitText())

	better := strings.ReplaceAll(string(text), `"verdict":"missed"`, `"verdict":"met"`)
	err = json.Unmarshal([]byte(better), &back)
	fmt.Println(err)
	// Output:
	// Brackenford Ferret Rescue 2026-11-30 false
	// missed 0 % of the five slots limit 10 % to 15 % of the five slots
	// reading a report: these rules and foods do not bear out finding 4, of rule "share-muscle": report cannot be read back
}
