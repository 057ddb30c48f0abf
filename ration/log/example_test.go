package log_test

import (
	"fmt"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
)

// Did it get liver this week? What nobody saw stays open.
func ExampleLog_Got() {
	foods, err := prey.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	home, _, err := ration.LoadHousehold("home.yaml", strings.NewReader(`household: Brackenford Ferret Rescue
as-of: 2026-12-06
animals:
  - {id: bramble, sex: jill, weight: 780 g}
  - {id: moss, sex: hob, weight: 1.4 kg}
stock: [{food: chicken liver, mass: 1 kg}]
`), foods)
	if err != nil {
		fmt.Println(err)
		return
	}
	diary, err := log.Load("log.yaml", strings.NewReader(`schema: fitchet.log/1
household: Brackenford Ferret Rescue
as-of: 2026-12-06 20:00
from: 2026-12-05
complete: [2026-12-05 to 2026-12-06]
fed:
  - {at: 2026-12-05 07:00, for: [bramble, moss], food: chicken liver, offered: 20 g, left: 0 g, stash: 0 g}
  - {at: 2026-12-06 07:00, for: [bramble, moss], food: chicken liver, offered: 20 g, left: 0 g, stash: 0 g, seen: {bramble: none}}
`), foods, home)
	if err != nil {
		fmt.Println(err)
		return
	}
	liver := func(f *prey.Food) bool { return f.HasPart(prey.Liver) }
	for _, id := range home.IDs() {
		answer, why := diary.Got(id, diary.From, diary.AsOf.Date, liver)
		fmt.Printf("%s: %s (%s)\n", id, answer, why)
	}
	// Output:
	// bramble: open (chicken liver stood there at 2026-12-05 07:00, but nobody saw who ate it)
	// moss: yes (chicken liver at 2026-12-06 07:00)
}
