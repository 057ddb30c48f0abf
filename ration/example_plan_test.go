package ration_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"time"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// The two of the rescue that share a bowl upstairs, and what there is for them.
const upstairs = `
household: Brackenford Ferret Rescue
as-of: 2026-11-29
animals:
  - {id: bramble, sex: jill, weight: 780 g, age: 3 years, group: upstairs}
  - {id: moss, sex: hob, weight: 1.4 kg, age: 2 years, group: upstairs}
stock:
  - {food: chicken wing, mass: 100 g, best-before: 2026-12-01, lot: old}
  - {food: chicken wing, mass: 1 kg, best-before: 2027-02-01, lot: new}
offers:
  - {food: beef heart, pack: 250 g, price: 2.20 EUR}
  - {food: beef heart, pack: 1 kg, price: 6.50 EUR}
`

const twoDays = `
schema: fitchet.plan/1
household: Brackenford Ferret Rescue
start: 2026-11-30
days:
  - date: 2026-11-30
    meals:
      - meal: 1
        for: [bramble, moss]
        servings:
          - {food: chicken wing, mass: 150 g}
          - {food: beef heart, mass: 120 g}
  - date: 2026-12-01
    meals:
      - meal: 1
        for: [bramble, moss]
        servings:
          - {food: chicken wing, mass: 150 g}
          - {food: beef heart, mass: 150 g}
`

// read reads the two files above.
func read() (*ration.Household, *ration.Plan, error) {
	h, foods, err := ration.LoadHousehold("upstairs.yaml", strings.NewReader(upstairs), nil)
	if err != nil {
		return nil, nil, err
	}
	p, err := ration.LoadPlan("two-days.yaml", strings.NewReader(twoDays), foods, h)
	return h, p, err
}

// A plan names its household, and its animals and foods are looked up: every fault
// of the file at once, each at its place.
func ExampleLoadPlan() {
	h, foods, err := ration.LoadHousehold("upstairs.yaml", strings.NewReader(upstairs), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := ration.LoadPlan("two-days.yaml", strings.NewReader(twoDays), foods, h)
	if err != nil {
		fmt.Println(err)
		return
	}
	for at, s := range p.Servings() {
		fmt.Println(p.Where(at)+":", s.Mass, s.Food.Name)
	}
	slips := strings.NewReplacer("moss]", "mos]", "120 g", "120").Replace(twoDays)
	_, err = ration.LoadPlan("slips.yaml", strings.NewReader(slips), foods, h)
	fmt.Println(err)
	// Output:
	// 2026-11-30, meal 1, for bramble and moss: 150 g chicken wing
	// 2026-11-30, meal 1, for bramble and moss: 120 g beef heart
	// 2026-12-01, meal 1, for bramble and moss: 150 g chicken wing
	// 2026-12-01, meal 1, for bramble and moss: 150 g beef heart
	// slips.yaml:9:24: animal "mos": not a known name; did you mean "moss"?
	// slips.yaml:12:38: mass "120": no unit: after the number comes mg, g, kg, oz or lb
	// slips.yaml:16:24: animal "mos": not a known name; did you mean "moss"?
}

// What has to be bought for a plan, in whole packs, and what the food of each
// animal costs.
func ExampleShop() {
	h, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	list, err := ration.Shop(p, h, ration.ByNeed(h))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range list.Buy {
		fmt.Printf("buy %d x %s of %s for %s\n", b.Packs, h.Offers[b.Offer].Pack, h.Offers[b.Offer].Food.Name, b.Cost)
	}
	for _, s := range list.Cannot {
		fmt.Println("missing:", s.Mass, "of", s.Food.Name)
	}
	for _, l := range list.Left {
		fmt.Println("left over:", l.Mass, "of", l.Food.Name)
	}
	// Output:
	// buy 2 x 250 g of beef heart for 4.40 EUR
	// left over: 230 g of beef heart
	// left over: 800 g of chicken wing
}

// Which lot is fed when: what is best before soonest goes first.
func ExampleFirstOut() {
	h, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, w := range ration.FirstOut(p, h) {
		from := "to be bought"
		if w.Stock >= 0 {
			from = "lot " + h.Stock[w.Stock].Lot
		}
		fmt.Println(p.Days[w.Day].Date, w.Mass, w.Food.Name, "-", from)
	}
	// Output:
	// 2026-11-30 100 g chicken wing - lot old
	// 2026-11-30 50 g chicken wing - lot new
	// 2026-11-30 120 g beef heart - to be bought
	// 2026-12-01 150 g chicken wing - lot new
	// 2026-12-01 150 g beef heart - to be bought
}

// When to take what out of the freezer.
func ExampleBatches() {
	h, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	care, err := safety.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range ration.Batches(p, h, care) {
		fmt.Printf("%s of %s: take out on %s, use by %s\n", b.Mass, b.Food.Name, b.TakeOut, b.UseBy)
	}
	// Output:
	// 270 g of beef heart: take out on 2026-11-29, use by 2026-12-01
	// 300 g of chicken wing: take out on 2026-11-29, use by 2026-12-01
}

// Labels for what is weighed out ahead, one a bowl.
func ExampleTubs() {
	h, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	care, err := safety.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, t := range ration.Tubs(p, h, care) {
		fmt.Printf("%s, meal %d, for %s: %s, use by %s\n", t.Date, t.Meal.Slot, strings.Join(t.Meal.For, " and "), t.Mass, t.UseBy)
	}
	// Output:
	// 2026-11-30, meal 1, for bramble and moss: 270 g, use by 2026-12-01
	// 2026-12-01, meal 1, for bramble and moss: 300 g, use by 2026-12-01
}

// A shared bowl becomes one for each, by what each needs; nothing is lost.
func ExampleSplitPlan() {
	h, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	each, err := ration.SplitPlan(p, ration.ByNeed(h))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range each.Days[0].Meals {
		for _, s := range m.Servings {
			fmt.Printf("%s: %s %s\n", strings.Join(m.For, " and "), s.Mass, s.Food.Name)
		}
	}
	// Output:
	// bramble: 59 g chicken wing
	// bramble: 47 g beef heart
	// moss: 91 g chicken wing
	// moss: 73 g beef heart
}

// A plan goes through JSON and comes back equal, foods of one's own with it.
func ExamplePlan_UnmarshalJSON() {
	_, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(p)
	if err != nil {
		fmt.Println(err)
		return
	}
	var back ration.Plan
	if err := json.Unmarshal(text, &back); err != nil {
		fmt.Println(err)
		return
	}
	sum, err := back.Tally()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(back.Household, back.Start, len(back.Days), "days,", sum.Mass())
	// Output:
	// Brackenford Ferret Rescue 2026-11-30 2 days, 570 g
}

// A plan written for people and programs that have the same foods.
func ExampleWritePlan() {
	_, p, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	p.Days = p.Days[:1]
	p.Days[0].Meals[0].Servings = p.Days[0].Meals[0].Servings[:1]
	if err := ration.WritePlan(os.Stdout, p); err != nil {
		fmt.Println(err)
	}
	// Output:
	// {"schema":"fitchet.plan/1","household":"Brackenford Ferret Rescue","start":"2026-11-30","days":[{"date":"2026-11-30","meals":[{"meal":1,"for":["bramble","moss"],"servings":[{"food":"chicken-wing","mass":"150 g"}]}]}]}
}

// A household made in a program, as a file. What no loader would take is not
// written.
func ExampleWriteHousehold() {
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
	day, err := units.ParseDate("2026-11-25")
	if err != nil {
		fmt.Println(err)
		return
	}
	h := &ration.Household{
		Name: "Brackenford Ferret Rescue", AsOf: day,
		Animals: []ration.Animal{{ID: "bramble", Name: "Bramble", Sex: ration.Jill, Mass: 780 * units.Gram}},
		Stock:   []ration.Stock{{Food: wing, Mass: 2 * units.Kilogram}},
	}
	if err := ration.WriteHousehold(os.Stdout, h); err != nil {
		fmt.Println(err)
	}
	h.Animals[0].Mass = 780 * units.Kilogram
	fmt.Println(ration.WriteHousehold(os.Stdout, h))
	// Output:
	// household: Brackenford Ferret Rescue
	// as-of: 2026-11-25
	// animals:
	//   - id: bramble
	//     name: Bramble
	//     sex: jill
	//     weight: 780 g
	// stock:
	//   - food: chicken-wing
	//     mass: 2000 g
	// writing household "Brackenford Ferret Rescue": household is not whole: household:7:13: 780000 g (27513.7 oz) is not believed for an adult ferret (200 g to 5000 g); a thousandth would be believed: was g meant, or mg?
}

// A household goes through JSON by value and inside other values.
func ExampleHousehold_MarshalJSON() {
	h, _, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(map[string]any{"home": h})
	if err != nil {
		fmt.Println(err)
		return
	}
	var back struct{ Home ration.Household }
	if err := json.Unmarshal(text, &back); err != nil {
		fmt.Println(err)
		return
	}
	moss, _ := back.Home.Animal("moss")
	fmt.Println(moss.Name, moss.Sex, moss.Mass)
	// Output:
	// moss hob 1400 g
}

// One day for every bowl of a household: the limit of each bowl comes from package
// safety, the longest wait from its animals.
func ExampleFeedingClocks() {
	h, _, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	care, err := safety.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	clocks, err := ration.FeedingClocks(h, func([]*ration.Animal, int) ([]time.Duration, error) {
		w, err := care.SetOut(safety.SetOutQuestion{Form: safety.Minced, Room: []safety.Spell{{At: units.DegreesC(20)}}})
		if err != nil {
			return nil, err
		}
		left, _ := w.Left() // without a limit that leads it is 0, which is refused
		return []time.Duration{left}, nil
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range clocks {
		fmt.Println(strings.Join(c.For, " and ")+":", c.Gap)
		for _, s := range c.Clock.SetOuts {
			fmt.Println(" ", s)
		}
	}
	// Output:
	// bramble and moss: food at least every 12 h
	//   07:00, lift by 09:00
	//   19:00, lift by 21:00
}

// When a vet is called for an animal that does not eat.
func ExampleAnimal_WithoutFood() {
	day, err := units.ParseDate("2026-11-25")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range []ration.Animal{
		{ID: "moss", Sex: ration.Hob, Mass: 1400 * units.Gram, Stage: ration.Adult},
		{ID: "tansy", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult, Conditions: []string{ration.Insulinoma}},
	} {
		fmt.Println(a.ID+":", a.WithoutFood(day).Text)
	}
	// Output:
	// moss: Eats nothing: offer what it took before, and call a vet after 24 h.
	// tansy: Eats nothing: offer what it took before, and call a vet after 4 h.
}
