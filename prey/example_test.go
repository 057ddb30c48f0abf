package prey_test

import (
	"errors"
	"fmt"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Look a food up and read one figure with its source.
func Example() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	liver, err := foods.Find("beef livers")
	if err != nil {
		fmt.Println(err)
		return
	}
	if a, ok := liver.Nutrient(prey.VitaminA); ok {
		fmt.Printf("%s %s in 100 g: %s\n", a.At[prey.Typical], prey.VitaminA.Unit(), a.Ref.Words(foods.Registry()))
	}
	// Output:
	// 16898 IU in 100 g: USDA SR28, NDB 13325
}

// A miss names what is near and never guesses.
func ExampleCatalogue_Find_miss() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = foods.Find("turkey nek")
	var miss *prey.UnknownFoodError
	if errors.As(err, &miss) {
		fmt.Println(miss.Near()[0])
	}
	// Output:
	// turkey-neck
}

// The sums of a mixture are exact; Share and PartMass round for people.
func ExampleTally() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	var bowl prey.Tally
	for _, s := range []struct {
		food string
		mass units.Mass
	}{{"chicken wing", 50 * units.Gram}, {"beef heart", 10 * units.Gram}, {"beef liver", 3 * units.Gram}} {
		f, err := foods.Find(s.food)
		if err == nil {
			err = bowl.Add(f, s.mass)
		}
		if err != nil {
			fmt.Println(err)
			return
		}
	}
	fmt.Printf("%s in all, %s of it bone-in meat\n", bowl.Mass(), bowl.BoneInMeat())
	for _, c := range prey.Cases() {
		fmt.Printf("%s: %s of bone\n", c, bowl.Share(c, prey.Bone).InPercent(1))
	}
	kcal, known := bowl.Energy(prey.Typical)
	fmt.Printf("about %s kcal in the %s where energy is known\n", prey.Amount(kcal).Rounded(0), known)
	// Output:
	// 63 g in all, 50 g of it bone-in meat
	// least bone: 24.6 % of bone
	// typical: 30.2 % of bone
	// most bone: 36.5 % of bone
	// about 70 kcal in the 63 g where energy is known
}

// A keeper's own mix by its label, and what it still lacks.
func ExampleLoadFoods() {
	sources, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	own, err := prey.LoadFoods("own.yaml", strings.NewReader(`foods:
  - id: rabbit-mince
    name: Rescue rabbit mince
    kind: mix
    species: rabbit
    colour: white
    complete: false
    ref: "choice: the label of the pack, read 2 November 2026"
    parts: {bone-means: edible, bone: "10 %", liver: "5 %"}
    label: {state: wet, per: fed, moisture: "68 %", protein: "17 %", fat: "9 %", fibre: "0.5 %", ash: "3.5 %"}
`), sources)
	if err != nil {
		fmt.Println(err)
		return
	}
	lacks, err := own[0].Lacks(prey.Typical, units.Kilogram, [prey.NumParts]units.Share{
		prey.Muscle: 700_000, prey.Heart: 100_000, prey.Liver: 50_000, prey.Organ: 50_000, prey.Bone: 100_000,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range prey.Parts() {
		if lacks[p] > 0 {
			fmt.Printf("%s of %s to each kilogram\n", lacks[p].InGrams(0), p)
		}
	}
	// Output:
	// 121 g of heart to each kilogram
	// 11 g of liver to each kilogram
	// 61 g of other secreting organ to each kilogram
	// 21 g of bone to each kilogram
}

// A label that leaves out its water is refused, with the place in the file.
func ExampleLoadFoods_refused() {
	_, err := prey.LoadFoods("own.yaml", strings.NewReader(`foods:
  - id: mystery-mince
    name: Mystery mince
    kind: mix
    species: beef
    colour: red
    complete: false
    slot: muscle
    ref: "choice: the label of the pack"
    label: {state: wet, per: fed, protein: "17 %"}
`), nil)
	fmt.Println(err)
	// Output:
	// own.yaml:10:12: moisture is missing: without it nothing on the label can be compared with fresh food
}

// Labels print per 100 g of food or of dry matter; the two convert both ways.
func ExampleDryMatter() {
	water, _ := units.ParseShare("68 %")
	protein, _ := prey.ParseDensity("17")
	dry, err := prey.DryMatter(protein, water)
	fmt.Println(dry, err)
	fed, err := prey.AsFed(dry, water)
	fmt.Println(fed, err)
	// Output:
	// 53.125 <nil>
	// 17 <nil>
}

// Dried food of 8 % water is brought to the wetness of fresh meat.
func ExampleWaterToAdd() {
	has, _ := units.ParseShare("8 %")
	want, _ := units.ParseShare("70 %")
	add, err := prey.WaterToAdd(25*units.Gram, has, want)
	fmt.Println(add.InGrams(0), err)
	// Output:
	// 52 g <nil>
}

// Every figure of a food with its source, in words.
func ExampleCatalogue_Explain() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	neck, err := foods.Find("chicken necks")
	if err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.SplitSeq(foods.Explain(neck).Text(), "\n") {
		if strings.Contains(line, "bone   ") || strings.HasPrefix(line, "  [3]") {
			fmt.Println(line)
		}
	}
	// Output:
	//   bone    36 % [3]
	//   [3] USDA SR28, NDB 05084 of release 28
}
