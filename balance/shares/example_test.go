package shares_test

import (
	"fmt"
	"strings"

	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/units/cite"
)

// What a rescue aims at, beside the shipped targets: balance.Book.WithTargets takes
// what is loaded here.
func ExampleLoad() {
	sources, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	own, err := shares.Load("own.yaml", strings.NewReader(`
schema: fitchet.targets/1
targets:
  - id: brackenford
    title: Our own week
    species: ferret
    style: assembled
    heart: in-muscle
    bone-means: edible-bone
    period: week
    shares:
      - {slot: muscle, aim: "78 %", low: "75 %", high: "85 %", aim-ref: "choice: this house", bounds-ref: "choice: this house"}
      - {slot: bone, aim: "12 %", low: "10 %", high: "15 %", aim-ref: "choice: this house", bounds-ref: "choice: this house"}
      - {slot: liver, aim: "5 %", low: "4 %", high: "6 %", aim-ref: "choice: this house", bounds-ref: "choice: this house"}
      - {slot: organ, aim: "5 %", low: "4 %", high: "6 %", aim-ref: "choice: this house", bounds-ref: "choice: this house"}
    note: Heart is fed as meat here.
    since: "2026-12"
`), sources)
	if err != nil {
		fmt.Println(err)
		return
	}
	target := own[0]
	for _, s := range target.Shares {
		fmt.Printf("%s: %s to %s\n", s.Slot, s.Low, s.High)
	}
	fmt.Println("bone is", target.BoneMeans.Words())
	// Output:
	// muscle: 75 % to 85 %
	// bone: 10 % to 15 %
	// liver: 4 % to 6 %
	// organ: 4 % to 6 %
	// bone is edible bone: only the bone that is swallowed
}

// The same wing under both meanings of bone: two targets that are never compared.
func ExampleTarget_Slots() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	wing, err := foods.Find("chicken wing")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, means := range []shares.BoneMeans{shares.EdibleBone, shares.BoneInMeat} {
		target := shares.Target{BoneMeans: means}
		slots, ok := target.Slots(wing, prey.Typical)
		if !ok {
			fmt.Println("cannot be said")
			continue
		}
		fmt.Printf("%s: %s bone, %s muscle\n", means, slots[shares.BoneSlot].InPercent(0), slots[shares.MuscleSlot].InPercent(0))
	}
	// Output:
	// edible-bone: 38 % bone, 62 % muscle
	// bone-in-meat: 100 % bone, 0 % muscle
}
