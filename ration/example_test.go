package ration_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"time"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

func ExampleNeeds() {
	bramble := ration.Animal{ID: "bramble", Sex: ration.Jill, Mass: 800 * units.Gram, Stage: ration.Adult}
	today, _ := units.ParseDate("2026-11-25")
	n := ration.Needs(&bramble, today)
	for _, id := range []string{ration.MethodBand, ration.MethodHandbook, ration.MethodOunces, ration.MethodPercent} {
		e, _ := n.Estimate(id)
		fmt.Printf("%s: %v", id, e)
		if !e.Applies {
			fmt.Print(" (does not apply: ", e.Why, ")")
		}
		fmt.Println()
	}
	fmt.Println("floor", n.Floor)
	fmt.Println(n.Disagree[0])
	// Output:
	// measured-band: about 89-125 kcal a day
	// handbook-kcal-kg: about 160-240 kcal a day
	// ounces-by-sex: about 28-85 g a day
	// percent-body-weight: about 40-56 g a day (does not apply: a dry-food rule: in raw food of about 1 kcal per gram it holds a quarter to a third of the energy that was meant)
	// floor 59.2 kcal
	// The ounce rule's lower end (28 g) is below resting need for this animal, even with food of 2.0 kcal per gram: it must not be taken for a day's food.
}

// Grams come from the energy of the food that is really planned.
func ExampleNeed_Grams() {
	moss := ration.Animal{ID: "moss", Sex: ration.Hob, Mass: 1500 * units.Gram, Stage: ration.Adult}
	n := ration.Needs(&moss, 20000)
	// 1.3 kcal per gram for lean rabbit to 2.0 for chicken with its skin.
	g := n.Grams(units.Range[prey.Density]{Low: 130e9, Typical: 150e9, High: 200e9})
	fmt.Println(g.Low.InGrams(0), "to", g.High.InGrams(0))
	// Output: 71 g to 154 g
}

func ExampleFeedingClock() {
	waking, _ := ration.ParseWindow("07:00-23:00")
	adult, _ := ration.FeedingClock(ration.ClockRequest{Meals: 2, LiftBy: []time.Duration{2 * time.Hour}, LongestGap: 8 * time.Hour, Waking: waking})
	for _, s := range adult.SetOuts {
		fmt.Println(s)
	}
	ill, _ := ration.FeedingClock(ration.ClockRequest{Meals: 6, LiftBy: []time.Duration{2 * time.Hour}, LongestGap: 4 * time.Hour, Waking: waking})
	fmt.Println(ill.Text)
	fmt.Println(ill.Choices[0].Text)
	// Output:
	// 07:00, lift by 09:00
	// 14:00, lift by 16:00
	// 21:00, lift by 23:00
	// Both cannot hold: nobody is up for 8 h, and this animal must not wait longer than 4 h.
	// Lift every bowl in time: the animal then waits 8 h in the night, 4 h longer than its longest gap.
}

// A misspelt file: every fault at once, each at its place.
func ExampleLoadHousehold() {
	const file = `household: Brackenford Ferret Rescue
as-of: 2026-11-25
animals:
  - {id: bramble, sex: jill, weight: 780}
  - {id: moss, sex: hob, weight: 1.4 g}
stock:
  - {food: chiken wing, mass: 2 kg}
`
	_, _, err := ration.LoadHousehold("home.yaml", strings.NewReader(file), nil)
	for _, line := range strings.Split(err.Error(), "\n") {
		line, _, _ = strings.Cut(line, "; near it")
		fmt.Println(line)
	}
	// Output:
	// home.yaml:4:38: mass "780": no unit: after the number comes mg, g, kg, oz or lb
	// home.yaml:5:34: 1.4 g (0.05 oz) is not believed for an adult ferret (200 g to 5000 g); a thousand times as much would be believed: was kg meant, or g?
	// home.yaml:7:12: no food is called "chiken wing"
}

func ExamplePlan_MarshalJSON() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	heart, _ := foods.Find("beef heart")
	ounce, _ := units.ParseMass("1 oz")
	day, _ := units.ParseDate("2026-11-30")
	p := &ration.Plan{Household: "Brackenford Ferret Rescue", Start: day, Days: []ration.Day{{Date: day, Meals: []ration.Meal{
		{Slot: 1, For: []string{"bramble"}, Servings: []ration.Serving{{Food: heart, Mass: ounce}}}}}}}
	enc := json.NewEncoder(os.Stdout)
	enc.SetIndent("", "  ")
	if err := enc.Encode(p); err != nil {
		fmt.Println(err)
	}
	// Output:
	// {
	//   "schema": "fitchet.plan/1",
	//   "household": "Brackenford Ferret Rescue",
	//   "start": "2026-11-30",
	//   "days": [
	//     {
	//       "date": "2026-11-30",
	//       "meals": [
	//         {
	//           "meal": 1,
	//           "for": [
	//             "bramble"
	//           ],
	//           "servings": [
	//             {
	//               "food": "beef-heart",
	//               "mass": "28.349523125 g"
	//             }
	//           ]
	//         }
	//       ]
	//     }
	//   ]
	// }
}

func ExampleSplitServing() {
	parts, err := ration.SplitServing(ration.Serving{Mass: 250 * units.Gram}, []int64{780, 1400, 1100})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range parts {
		fmt.Println(p.Mass)
	}
	// Output:
	// 59 g
	// 107 g
	// 84 g
}

// How much eggshell a boneless batch needs.
func ExampleCalcium() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	heart, _ := foods.Find("beef heart")
	shell, _ := foods.Find("eggshell powder")
	dose, err := ration.Calcium([]ration.Serving{{Food: heart, Mass: units.Kilogram}}, shell, ration.DefaultRatio())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s to %s of %s\n", dose.Powder.Low.InGrams(1), dose.Powder.High.InGrams(1), shell.Name)
	// Output: 6.1 g to 9.0 g of eggshell powder
}

// A new weight goes into the file that was read, and nothing else changes.
func ExampleOpenHousehold() {
	const home = `household: Brackenford Ferret Rescue
as-of: 2026-11-25
animals:
  - {id: bramble, sex: jill, weight: 780 g}   # the old one
  - {id: moss, sex: hob, weight: 1.4 kg}
stock:
  - {food: chicken wing, mass: 2 kg}
`
	h, file, err := ration.OpenHousehold("home.yaml", strings.NewReader(home), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	bramble, _ := h.Animal("bramble")
	bramble.Mass, _ = units.ParseMass("795 g")
	lost, err := file.Write(os.Stdout, h)
	fmt.Println(len(lost), err)
	// Output:
	// household: Brackenford Ferret Rescue
	// as-of: 2026-11-25
	// animals:
	//   - {id: bramble, sex: jill, weight: 795 g}   # the old one
	//   - {id: moss, sex: hob, weight: 1.4 kg}
	// stock:
	//   - {food: chicken wing, mass: 2 kg}
	// 0 <nil>
}
