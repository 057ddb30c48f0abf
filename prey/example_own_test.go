package prey_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing/fstest"

	"fitchet.example/prey"
	"fitchet.example/units/cite"
)

// An own bone-in cut: its label is of the meat, and its bone is said by whose it is
// and how it was weighed. A fifth of clean bone holds more calcium than a fifth of
// what a knife leaves.
func ExampleBoneBasis() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	const file = `foods:
  - id: rabbit-saddle
    name: Rescue rabbit saddle
    kind: cut
    species: rabbit
    colour: white
    bone-in: true
    ref: "choice: ten saddles, boned and weighed here"
    parts: {bone-means: edible, bone: "20 %", bone-basis: BASIS, bone-kind: KIND}
    label: {state: wet, per: fed, of: edible, moisture: "72 %", protein: "21 %", fat: "4 %", ash: "1.1 %", calcium: "120 mg/kg"}
`
	for _, bone := range []struct {
		basis prey.BoneBasis
		kind  string
	}{{prey.Refuse, "rabbit-refuse"}, {prey.CleanBone, "rabbit"}} {
		text := strings.NewReplacer("BASIS", bone.basis.String(), "KIND", bone.kind).Replace(file)
		own, err := prey.LoadFoods("own.yaml", strings.NewReader(text), foods.Registry())
		if err != nil {
			fmt.Println(err)
			return
		}
		all, err := foods.With(own) // until then the bone has no minerals
		if err != nil {
			fmt.Println(err)
			return
		}
		saddle, err := all.Find("rabbit-saddle")
		if err != nil {
			fmt.Println(err)
			return
		}
		calcium, ok := saddle.Nutrient(prey.Calcium)
		if !ok {
			fmt.Println("not known")
			return
		}
		fmt.Printf("%s: %s %s of calcium in 100 g (%s to %s)\n", bone.basis, calcium.At[prey.Typical].Rounded(0),
			prey.Calcium.Unit(), calcium.At[prey.LeastBone].Rounded(0), calcium.At[prey.MostBone].Rounded(0))
	}
	// Output:
	// refuse: 1110 mg of calcium in 100 g (890 to 1510)
	// clean: 1270 mg of calcium in 100 g (1010 to 1710)
}

// What a share of bone may be of, as files write it.
func ExampleParseBoneBasis() {
	for _, word := range []string{"refuse", "clean", "knife"} {
		basis, err := prey.ParseBoneBasis(word)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(basis)
	}
	// Output:
	// refuse
	// clean
	// basis of bone "knife": not a known name: want refuse, clean or cut
}

// An own food is laid over the shipped ones: where it stands in for one it says why.
func ExampleCatalogue_With() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	own, err := prey.LoadFoods("own.yaml", strings.NewReader(`foods:
  - id: day-old-mouse
    name: Rescue mouse, day-old
    kind: whole-prey
    species: mouse
    colour: none
    complete: false
    ref: "choice: bred here, weighed here"
    piece: {name: mouse, mass: "2 g"}
`), foods.Registry())
	if err != nil {
		fmt.Println(err)
		return
	}
	all, err := foods.With(own)
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := all.Find("rescue mouse, day-old")
	if err != nil {
		fmt.Println(err)
		return
	}
	_, known := f.Nutrient(prey.Calcium)
	fmt.Println(f.Name+":", f.Piece.Typical, "a piece; calcium known:", known)
	// Output:
	// Rescue mouse, day-old: 2 g a piece; calcium known: false
}

// A food of one's own goes through JSON and comes back equal.
func ExampleFood_MarshalJSON() {
	own, err := prey.LoadFoods("own.yaml", strings.NewReader(`foods:
  - id: patties
    name: Rescue patties
    kind: cut
    species: rabbit
    colour: white
    slot: muscle
    ref: "choice: the label of the pack"
    label: {state: wet, per: fed, moisture: "70 %", protein: "20 %"}
`), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(own)
	if err != nil {
		fmt.Println(err)
		return
	}
	var back []prey.Food
	if err := json.Unmarshal(text, &back); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(back[0].Name, back[0].Equal(&own[0]))
	// Output:
	// Rescue patties true
}

// Which foods hold liver of poultry?
func ExampleCatalogue_Select() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	liver := prey.Liver
	for _, f := range foods.Select(prey.Filter{Species: "poultry", Part: &liver}) {
		if f.Kind == prey.OrganMeat {
			fmt.Println(f.Name)
		}
	}
	// Output:
	// chicken liver
	// duck liver
	// goose liver
	// turkey liver
}

// The words that species and hazards are written in.
func ExampleShippedWords() {
	words, err := prey.ShippedWords()
	if err != nil {
		fmt.Println(err)
		return
	}
	quail, err := words.Animal("Quails")
	fmt.Println(quail.Name, slices.Sorted(slices.Values(quail.Groups)), err)
	_, err = words.Animal("quial")
	fmt.Println(err)
	// Output:
	// quail [poultry] <nil>
	// "quial": not a known animal; did you mean "quail"?
}

// A catalogue of one's own, in place of the shipped one.
func ExampleLoad() {
	sources, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	foods, err := prey.Load(fstest.MapFS{
		"foods.csv": file("id,name,synonyms,species,contains,kind,cut,slot,anatomy,colour,bone_in,complete," +
			"piece_name,piece_low,piece_typical,piece_high,piece_ref,hazards,energy,energy_ref,note,ref\n" +
			"rabbit-leg,rabbit leg,,rabbit,,cut,leg,muscle,skeletal muscle,white,no,,,,,,,,,,,choice: weighed here\n"),
		"parts.csv": file("food,part,low,typical,high,ref\n"),
		"nutrients.csv": file("food,basis,ref,water_g,protein_g\n" +
			"rabbit-leg,edible,choice: analysed for us,73,21.5\n"),
		"extra.csv": file("food,nutrient,low,typical,high,unit,basis,ref\n"),
		"bone.csv":  file("kind,basis,for,nutrient,low,typical,high,unit,ref\n"),
	}, sources)
	if err != nil {
		fmt.Println(err)
		return
	}
	leg, err := foods.Find("rabbit legs")
	if err != nil {
		fmt.Println(err)
		return
	}
	protein, _ := leg.Nutrient(prey.Protein)
	fmt.Printf("%s %s of protein in 100 g of %s\n", protein.At[prey.Typical], prey.Protein.Unit(), leg.Name)
	// Output:
	// 21.5 g of protein in 100 g of rabbit leg
}
