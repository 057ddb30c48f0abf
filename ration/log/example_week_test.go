package log_test

import (
	"fmt"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/units"
)

const house = `
household: Brackenford Ferret Rescue
as-of: 2026-12-06
animals:
  - {id: bramble, sex: jill, weight: 800 g, age: 3 years}
  - {id: moss, sex: hob, weight: 1.4 kg, age: 2 years}
stock: [{food: chicken wing, mass: 1 kg}]
`

// Each has a bowl to itself. Moss eats less, and has lost weight.
const week = `
schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-06 20:00
from: 2026-12-05
complete: [2026-12-05 to 2026-12-06]
fed:
  - {at: 2026-12-05 07:00, for: [bramble], food: chicken thigh meat, offered: 40 g, left: 5 g, stash: 0 g}
  - {at: 2026-12-05 19:00, for: [bramble], food: chicken wing, offered: 40 g, left: 12 g, bone-left: 10 g, stash: 0 g}
  - {at: 2026-12-06 07:00, for: [bramble], food: chicken thigh meat, offered: 40 g, stash: 0 g}
  - {at: 2026-12-05 19:00, for: [moss], food: chicken wing, offered: 60 g, left: 30 g, stash: 0 g}
  - {at: 2026-12-06 08:00, for: [moss], food: chicken wing, offered: 60 g, left: 60 g, stash: 0 g}
weights:
  - {at: 2026-11-30 08:00, animal: moss, weight: 1.4 kg}
  - {at: 2026-12-06 08:00, animal: moss, weight: 1.3 kg}
stools: [{at: 2026-12-06 08:00, animal: moss, class: black}]
`

func read() (*ration.Household, *log.Log, error) {
	h, foods, err := ration.LoadHousehold("house.yaml", strings.NewReader(house), nil)
	if err != nil {
		return nil, nil, err
	}
	l, err := log.Load("week.yaml", strings.NewReader(week), foods, h)
	return h, l, err
}

// More left than was offered, and an animal that does not live here: every fault at
// once. The sound entries come back beside them.
func ExampleLoad() {
	h, foods, err := ration.LoadHousehold("house.yaml", strings.NewReader(house), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	slips := strings.Replace(strings.Replace(week, "left: 5 g", "left: 50 g", 1), "for: [moss]", "for: [mos]", 1)
	l, err := log.Load("week.yaml", strings.NewReader(slips), foods, h)
	fmt.Println(err)
	fmt.Println(len(l.Entries), "entries are sound")
	// Output:
	// week.yaml:8:91: 50 g (1.8 oz) left of 40 g (1.4 oz) offered
	// week.yaml:11:34: animal "mos": not a known name; did you mean "moss"?
	// 3 entries are sound
}

// What one animal ate, food by food: what nobody weighed stays a range.
func ExampleLog_Intake() {
	_, l, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, in := range l.Intake("bramble", l.From, l.AsOf.Date) {
		fmt.Printf("%s: %s to %s of %s\n", in.Food.Name, in.Eaten.Low, in.Eaten.High, in.Offered)
	}
	// Output:
	// chicken thigh meat, no skin or bone: 35 g to 75 g of 80 g
	// chicken wing: 28 g to 28 g of 40 g
}

// Reasons to call a vet, the gravest first.
func ExampleLog_Alarms() {
	h, l, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	moss, _ := h.Animal("moss")
	for _, a := range l.Alarms(moss, log.DefaultWeightLimits()) {
		fmt.Println(a.When, a.Text)
	}
	// Output:
	// 2026-12-06 20:00 by the log it has eaten nothing for 25 h (limit 24 h): see a vet
	// 2026-12-06 08:00 Lost 7.1 % within 6 days (limit 5 %): see a vet.
	// 2026-12-06 08:00 stool black at 2026-12-06 08:00: a vet now
	// 2026-12-05 19:00 ill after raw poultry (chicken wing at 2026-12-05 19:00): tell the vet, who may have to think of bird flu
}

// How long has it been without food?
func ExampleLog_Fast() {
	_, l, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, id := range []string{"bramble", "moss"} {
		f := l.Fast(id)
		fmt.Printf("%s: %s since it may last have eaten; refused since then: %t\n", id, f.MayHaveEaten, f.Refused)
	}
	// Output:
	// bramble: 13h0m0s since it may last have eaten; refused since then: false
	// moss: 25h0m0s since it may last have eaten; refused since then: true
}

// What was eaten, as a plan, so that it can be judged like one.
func ExampleLog_AsPlan() {
	_, l, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	p := l.AsPlan("bramble", l.From, l.AsOf.Date, log.TypicalEnd)
	for at, s := range p.Servings() {
		fmt.Println(p.Where(at)+":", s.Mass, s.Food.Name)
	}
	// Output:
	// 2026-12-05, meal 1, for bramble: 35 g chicken thigh meat, no skin or bone
	// 2026-12-05, meal 2, for bramble: 28 g chicken wing
	// 2026-12-06, meal 1, for bramble: 40 g chicken thigh meat, no skin or bone
}

// What an animal's weights say.
func ExampleWeigh() {
	h, l, err := read()
	if err != nil {
		fmt.Println(err)
		return
	}
	moss, _ := h.Animal("moss")
	w := log.Weigh(l.Weights, moss, l.AsOf.Date, log.DefaultWeightLimits())
	fmt.Println(w.Latest.Mass, w.Latest.When)
	for _, a := range w.Alerts {
		fmt.Println(a.Text, "Vet:", a.Vet)
	}
	// Output:
	// 1300 g 2026-12-06 08:00
	// Lost 7.1 % within 6 days (limit 5 %): see a vet. Vet: true
}

// The next planned amount: what was eaten while the weight held is what is needed.
func ExampleAdjust() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	meat, err := foods.Find("chicken thigh meat")
	if err != nil {
		fmt.Println(err)
		return
	}
	from, err := units.ParseDate("2026-11-30")
	if err != nil {
		fmt.Println(err)
		return
	}
	bramble := ration.Animal{ID: "bramble", Sex: ration.Jill, Mass: 800 * units.Gram, Stage: ration.Adult}
	to := from.AddDays(6)
	l := &log.Log{From: from, AsOf: log.Moment{Date: to, Time: 20 * 60}, Weights: []log.Weighing{
		{Animal: "bramble", When: log.Moment{Date: from, Time: 8 * 60}, Mass: 800 * units.Gram},
		{Animal: "bramble", When: log.Moment{Date: to, Time: 8 * 60}, Mass: 796 * units.Gram},
	}}
	for day := from; day <= to; day = day.AddDays(1) {
		l.Complete = append(l.Complete, day)
		l.Entries = append(l.Entries, log.Entry{
			Meal: log.Moment{Date: day, Time: 7 * 60}, For: []string{"bramble"}, Food: meat,
			Offered: 90 * units.Gram, Left: 5 * units.Gram, Weighed: true, Searched: true,
		})
	}
	c := log.Adjust(ration.Needs(&bramble, from), l, from, to)
	fmt.Println(c.Next, "a day")
	fmt.Println(c.Text)
	// Output:
	// 96.6 kcal a day
	// It held its weight on 96.6 kcal a day: plan that.
}

// What a stool may mean, and what to do.
func ExampleStoolClass_Stool() {
	class, err := log.ParseStoolClass("black")
	if err != nil {
		fmt.Println(err)
		return
	}
	s, _ := class.Stool()
	fmt.Println(s.Looks)
	fmt.Println(s.Do)
	// Output:
	// black and tarry
	// a vet now
}
