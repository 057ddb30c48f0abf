package safety_test

import (
	"fmt"
	"io/fs"
	"log"
	"strings"
	"testing/fstest"
	"time"

	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

func shipped() *safety.Book {
	b, err := safety.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	return b
}

// Mince that lay on the counter for forty minutes is put down in a warm room.
func ExampleBook_SetOut() {
	w, err := shipped().SetOut(safety.SetOutQuestion{
		Form:   safety.Minced,
		Room:   []safety.Spell{{At: units.DegreesC(22)}},
		Clocks: []safety.TimeWarm{{Kind: safety.Thawing, For: 40 * time.Minute}},
	})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(w.Line())
	long := w.Practice[len(w.Practice)-1]
	fmt.Printf("Common practice: %s, %s the limit, %s.\n", safety.PeriodText(long.High.Total), long.High.Times, long.High.Level)
	fmt.Println(long.High.Gains[0])
	// Output:
	// Lift within 1 h 20 min, by the two-hour rule (2 h for people at home); 40 min is already used.
	// Common practice: 12 h, 6 times the limit, far over the limit.
	// Salmonella (central): about 2.56 log10
}

// In which room does a night in the bowl stay within tenfold growth?
func ExampleModel_WarmestFor() {
	for _, m := range safety.Models() {
		fmt.Println(m.WarmestFor(12*time.Hour, 1))
	}
	// Output:
	// Salmonella (central): about 14.6 °C (58 °F)
	// Salmonella (upper): about 14.6 °C (58 °F)
	// E. coli O157:H7: about 16.9 °C (62 °F)
	// spoilage flora (Pseudomonas): about 11.5 °C (53 °F)
}

func ExampleBook_Hazards() {
	for _, h := range shipped().Hazards(safety.Item{Species: "wild boar", Wild: true}, safety.Context{}) {
		fmt.Printf("%s: %s (seen in %s)\n", h.Severity, h.Name, strings.Join(h.ShownIn, ", "))
	}
	// Output:
	// stop: Raw pork or wild boar (seen in mink)
	// stop: Trichinella in wild boar (seen in wild boar)
}

// What must never be fed, for a list at the freezer door.
func ExampleBook_AllHazards() {
	for _, h := range shipped().AllHazards() {
		if h.Severity < safety.Stop || h.Standing == safety.StandOpen {
			continue
		}
		fmt.Printf("%s (%s)\n", h.Name, h.Why)
		fmt.Println("  ", h.Evidence[0].Words(shipped().Sources()))
		if h.ID == "carnivore-meat" {
			break
		}
	}
	// Output:
	// Raw pork or wild boar (class pig, unless tag cooked; or tag raw-pork)
	//    Liu and others 2017, abstract (mink figure)
	// Trichinella in wild boar (class boar, unless tag cooked)
	//    as restated in Spanish technical article, T. britovi freezing table, table, natural infections
	// Raw meat of a carnivore (class carnivore, unless tag cooked)
	//    Cash-Goldwasser and others 2024, summary; discussion
}

// A hunted rabbit after three weeks in a home freezer.
func ExampleBook_Freeze() {
	lines, err := shipped().Freeze(safety.Freezing{
		Species: "rabbit", Wild: true, At: safety.At(units.DegreesC(-18)), For: 21 * safety.Day, Thickness: 60,
	})
	if err != nil {
		log.Fatal(err)
	}
	for _, l := range lines {
		fmt.Printf("%s: %s\n", l.Name, l.Answer)
	}
	// Output:
	// bacteria: Salmonella, Campylobacter, E. coli, Listeria: freezing does not do it
	// lead shot and bullet fragments: freezing does not do it
	// tularemia: no figure was read
	// Toxoplasma: lowers the risk
}

func ExampleBook_UseBy() {
	bought, err := units.ParseDate("2026-11-25")
	if err != nil {
		log.Fatal(err)
	}
	u, err := shipped().UseBy("mouse", safety.Thawed, bought)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("best by", u.Best, "and not after", u.Last)
	fmt.Println(u.Words)
	// Output:
	// best by 2026-11-26 and not after 2026-11-27
	// no chart lists whole prey; giblets are the nearest kind, because the gut and offal are inside; giblets: 1 to 2 d (FoodKeeper v128)
}

func ExampleLoadNotices() {
	n, err := safety.LoadNotices("notices.yaml", strings.NewReader(`
as-of: 2026-11-20
notices:
  - id: north
    kind: bird-flu
    region: North Brackenford
    state: in-force
    confirmed: 2026-11-18
    read-in: county animal-health page
    words: Housing order for all poultry.
`))
	if err != nil {
		log.Fatal(err)
	}
	h := shipped().Hazards(safety.Item{Species: "quail"}, safety.Context{Region: "North Brackenford", Notices: n})[0]
	fmt.Println(h.Severity, h.Standing, h.ID)
	fmt.Println(h.Notice)
	// Output:
	// stop holds poultry-under-notice
	// north: in force; last confirmed 2026-11-18 (county animal-health page), 2 days before 2026-11-20
}

func ExamplePowerCut() {
	d := safety.PowerCut(safety.At(units.DegreesC(9)), -1, safety.At(units.DegreesC(20)))
	fmt.Println(d.Do)
	// Output: cannot be said
}

func ExampleBleach() {
	for _, d := range shipped().Bleaches() {
		fmt.Println(d)
	}
	// Output:
	// 3.0 tsp per US gallon (3.9 mL per litre)
	// 4.0 tsp per US gallon (5.2 mL per litre), left to stand 10 min
	// 5.1 tsp per US gallon (6.7 mL per litre)
}

// Notices of the region and recalled lots are laid over what is known of foods.
func ExampleNewHazardCheck() {
	foods, err := prey.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	notices, err := safety.LoadNotices("notices.yaml", strings.NewReader(`
as-of: 2026-11-24
notices:
  - id: hill-farm
    kind: recall
    state: in-force
    supplier: Hill Farm
    lots: [A7]
    confirmed: 2026-11-24
    read-in: the supplier's letter
    words: Salmonella was found in the lot.
`))
	if err != nil {
		log.Fatal(err)
	}
	check, err := safety.NewHazardCheck(nil, foods, safety.Context{Notices: notices})
	if err != nil {
		log.Fatal(err)
	}
	wing, err := foods.Find("chicken wing")
	if err != nil {
		log.Fatal(err)
	}
	for _, lot := range []string{"A7", "B1"} {
		why := check.Recalled(wing, "Hill Farm", lot)
		fmt.Printf("lot %s: %q\n", lot, why)
	}
	// Output:
	// lot A7: "do not feed lot A7 of Hill Farm: A recall in your notices file names this supplier and lot. Do not feed it. Keep the pack closed and follow the recall."
	// lot B1: ""
}

// How long a piece takes to thaw, and what may become of it then.
func ExampleBook_Thaw() {
	for _, how := range []safety.ThawMethod{safety.InFridge, safety.ColdWater, safety.OnCounter} {
		t, err := shipped().Thaw(how, 500*units.Gram)
		if err != nil {
			log.Fatal(err)
		}
		if !t.Allowed {
			fmt.Println(t.Method, "never")
			continue
		}
		fmt.Printf("%s: %s to %s; at once: %t, freeze again: %t\n", t.Method,
			safety.PeriodText(t.Low), safety.PeriodText(t.High), t.AtOnce, t.Refreeze)
	}
	// Output:
	// fridge: 24 h to 24 h; at once: false, freeze again: true
	// cold-water: 2 h to 3 h; at once: true, freeze again: false
	// counter never
}

// May thawed food that is left over go back into the freezer?
func ExampleRefreeze() {
	for _, out := range []time.Duration{30 * time.Minute, 3 * time.Hour, -1} {
		d := safety.Refreeze(safety.InFridge, out)
		fmt.Printf("%s. %s\n", d.Do, d.Words)
	}
	// Output:
	// use now. 1 h 30 min of the two-hour rule is left. Keepers do not freeze again what stood in the room.
	// throw away. 3 h out of the cold is over the two-hour rule.
	// cannot be said. How it was thawed or how long it was out is not known; do not freeze it again.
}

// What keepers say of a room and of time out of the cold, as text.
func ExampleParseRoom() {
	room, err := safety.ParseRoom("3 h at 18 °C, 24 °C")
	if err != nil {
		log.Fatal(err)
	}
	clocks, err := safety.ParseClocks("thawing 40 min, preparing 20 min")
	if err != nil {
		log.Fatal(err)
	}
	w, err := shipped().SetOut(safety.SetOutQuestion{Form: safety.BoneIn, Room: room, Clocks: clocks})
	if err != nil {
		log.Fatal(err)
	}
	left, ok := w.Left()
	fmt.Println(safety.PeriodText(w.Used), "used,", safety.PeriodText(left), "left", ok)
	// Output:
	// 1 h used, 1 h left true
}

// How long a food of the catalogue keeps in the fridge once it is thawed.
func ExampleBook_KeepFood() {
	foods, err := prey.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	for _, name := range []string{"chicken wing", "beef liver"} {
		f, err := foods.Find(name)
		if err != nil {
			log.Fatal(err)
		}
		low, high, known := shipped().KeepFood(f, 0).Days(safety.Thawed)
		fmt.Printf("%s: %d to %d days; known: %t\n", f.Name, low, high, known)
	}
	// Output:
	// chicken wing: 1 to 2 days; known: true
	// beef liver: 1 to 2 days; known: true
}

// What is known against a food of the catalogue.
func ExampleItemOf() {
	foods, err := prey.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	fish, err := foods.Find("alaska pollock")
	if err != nil {
		log.Fatal(err)
	}
	for _, h := range shipped().Hazards(safety.ItemOf(fish), safety.Context{}) {
		fmt.Printf("%s: %s\n  %s\n", h.Severity, h.Name, h.Do)
	}
	// Output:
	// watch: Fish, thiaminase not known
	//   Feed it raw at most twice a week, and not as the only fish.
	// watch: Worms in raw fish
	//   Freeze at -20 °C (-4 °F) or below for 168 h (7 days) first. A home freezer at -18 °C does not reach that.
}

// Bleach for the water that is in the bowl.
func ExampleBleach_For() {
	water, err := units.ParseVolume("2 L")
	if err != nil {
		log.Fatal(err)
	}
	bleach, err := shipped().Bleaches()[0].For(water)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(bleach.InMillilitres(1), "of household bleach in", water)
	// Output:
	// 7.8 mL of household bleach in 2000 mL
}

// The sentences that a sheet about a household must show.
func ExampleBook_Cautions() {
	for _, c := range shipped().Cautions(safety.Situation{People: safety.SomebodyAtRisk, Raw: true, Poultry: true}) {
		fmt.Println(c.ID)
	}
	// Output:
	// not-veterinary-advice
	// people-at-risk
	// raw-holds-germs
	// wash
	// bird-flu
}

// Signs that send an animal to a vet, and how long they may last.
func ExampleBook_VetSigns() {
	for _, v := range shipped().VetSigns()[:3] {
		fmt.Println(v)
	}
	// Output:
	// Eats nothing: after 24 h; after 12 h for young, pregnant, nursing, ill or overweight animals
	// Eats nothing, with insulinoma: after 4 h
	// Weak, stares, drools, paws at the mouth, collapses or has fits (low blood sugar): at once
}

// A house that knows better lays its file over a copy of the shipped ones.
func ExampleLoad() {
	own := fstest.MapFS{}
	shipped := safety.Files()
	err := fs.WalkDir(shipped, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(shipped, path)
		own[path] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		log.Fatal(err)
	}
	own["bleach.csv"] = &fstest.MapFile{Data: []byte("id,bleach,water,stand,words,evidence\n" +
		"ours,5 mL,1 L,10 min,for the dishes of this house,choice: as the label of our bottle says\n")}
	sources, err := cite.Shipped()
	if err != nil {
		log.Fatal(err)
	}
	book, err := safety.Load(own, sources)
	if err != nil {
		log.Fatal(err)
	}
	for _, b := range book.Bleaches() {
		fmt.Println(b, "-", b.Ref.Words(sources))
	}
	// Output:
	// 3.8 tsp per US gallon (5.0 mL per litre), left to stand 10 min - our choice: as the label of our bottle says
}
