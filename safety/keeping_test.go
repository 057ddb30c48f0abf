package safety

import (
	"slices"
	"strings"
	"testing"

	"fitchet.example/prey"
	"pgregory.net/rapid"
)

func colds() []Cold { return []Cold{Fridge, Thawed, Frozen, Opened} }

// Outside check: Nebraska and Illinois extension sheets on thawed food (mince,
// stew meat, poultry and seafood 1 to 2 days, cuts of red meat 3 to 5) and the
// rows of the FoodKeeper data file, version 128, on fresh food (mince IDs 43 to
// 115, offal 77, giblets 130, poultry 113 to 129, fish 144 to 146: 1 to 2 days;
// beef, pork, goat and venison 40, 60, 70, 76: 3 to 5; rabbit 595: 2; raw whites
// and yolks 22: 2 to 4; eggs in the shell 21: 3 to 5 weeks). Plan with the lower.
func TestEveryFoodKeepsByTheTable(t *testing.T) {
	t.Parallel()
	b := book(t)
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	// The animals whose cuts the charts call red meat, and what is a cut of them.
	red := []string{"cattle", "sheep", "goat", "pig", "deer", "elk", "moose", "caribou", "bison", "water buffalo", "mithun", "antelope"}
	no := []string{"mince", "fat", "suet", "tallow", "lard", "foot", "tail", "separated"}
	count := map[int]int{}
	for _, f := range foods.All() {
		for _, form := range append(Forms(), 0) {
			k := b.KeepFood(f, form)
			if k.Place == 0 || k.Kind == "" || len(k.Refs) == 0 || k.Ref.Evidence == 0 {
				t.Errorf("%s, %s: %+v", f.ID, form, k)
			}
			isRed := f.Kind == prey.Cut && slices.Contains(red, f.Species) &&
				!slices.ContainsFunc(no, func(w string) bool { return strings.Contains(f.Cut, w) }) &&
				!slices.Contains([]Form{Soup, Minced, Pieces}, form)
			thawed, fridge := 1, 1
			switch {
			case isRed:
				thawed, fridge = 3, 3
			case f.Kind == prey.Cut && slices.Contains(red, f.Species) && form == Pieces && k.Kind == "beef-stew":
				fridge = 3
			case f.Kind == prey.Cut && slices.Contains([]string{"rabbit", "wild rabbit", "hare"}, f.Species) && form != Minced && form != Soup:
				fridge = 2
			case f.Kind == prey.EggFood && f.Cut == "egg":
				fridge = 21
			case f.Kind == prey.EggFood:
				fridge = 2
			}
			for where, want := range map[Cold]int{Thawed: thawed, Fridge: fridge, Opened: 1} {
				low, high, known := k.Days(where)
				if low != want || high < low || !known && high != 1 {
					t.Errorf("%s, %s, %s: %d to %d days as %s, want %d", f.ID, form, where, low, high, k.Kind, want)
				}
				u, err := k.UseBy(where, 100)
				if err != nil || u.Best.DaysSince(100) != low || u.Known != known || known == strings.Contains(u.Words, "shortest of the table") {
					t.Errorf("%s, %s, %s: %+v %v", f.ID, form, where, u, err)
				}
				if where == Thawed && form == 0 {
					count[low]++
				}
			}
		}
	}
	if count[3] < 25 || count[1] < 200 || len(count) != 2 {
		t.Errorf("foods by days after thawing: %v", count)
	}
}

// The foods that were said to keep three days by the colour of their meat, and
// others of each kind.
func TestKeepFoodNames(t *testing.T) {
	t.Parallel()
	b := book(t)
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		id     string
		form   Form
		kind   string
		place  StoragePlace
		thawed int
	}{
		{"beef-mince", 0, "ground-meat", InFreezer, 1}, {"duck-meat", 0, "duck", InFreezer, 1}, {"goose-whole", 0, "goose", InFreezer, 1},
		{"ostrich-fillet", 0, "fresh-poultry", InFreezer, 1}, {"squab-whole", 0, "fresh-poultry", InFreezer, 1}, {"hare-leg-meat", 0, "rabbit", InFreezer, 1},
		{"beef-suet", 0, UnknownKind, InFreezer, 1}, {"horse-meat", 0, UnknownKind, InFreezer, 1}, {"horse-meat", Minced, "ground-meat", InFreezer, 1},
		{"beef-chuck", 0, "beef-steaks", InFreezer, 3}, {"beef-chuck", Minced, "ground-meat", InFreezer, 1}, {"beef-chuck", Soup, "soup", InFreezer, 1},
		{"beef-chuck", Pieces, "beef-stew", InFreezer, 1}, {"lamb-neck", BoneIn, "red-meat-cuts", InFreezer, 3},
		{"mouse-adult", 0, "whole-prey", InFreezer, 1}, {"complete-mix-beef", 0, "complete-mix", InFreezer, 1}, {"salmon-oil", 0, "oil", FromCupboard, 1},
		{"hen-egg", 0, "egg-in-shell", FromFridge, 1}, {"hen-egg-yolk", 0, "egg-raw-parts", FromFridge, 1}, {"freeze-dried-rabbit", Soaked, "soaked-dried-raw", FromFridge, 1},
		{"blue-mussel", 0, "other-shellfish", InFreezer, 1}, {"rainbow-trout", 0, "other-fish", InFreezer, 1},
	} {
		f, err := foods.Find(c.id)
		if err != nil {
			t.Fatal(err)
		}
		k := b.KeepFood(f, c.form)
		if low, _, _ := k.Days(Thawed); k.Kind != c.kind || k.Place != c.place || low != c.thawed {
			t.Errorf("%s, %s: %s from the %s, %d days, want %s from the %s, %d", c.id, c.form, k.Kind, k.Place, low, c.kind, c.place, c.thawed)
		}
	}
	// Foods of one's own: what the cut leaves out, the name may say.
	for _, f := range []prey.Food{
		{Name: "minced beef", Kind: prey.Cut, Cut: "meat", Species: "cattle", Colour: prey.Red},
		{Name: "beef", Kind: prey.Cut, Cut: "stew", Species: "cattle", Colour: prey.Red},
		{Name: "beef, a cut unheard of", Kind: prey.Cut, Cut: "gnorr", Species: "cattle", Colour: prey.Red},
		{Name: "snark", Kind: prey.Cut, Cut: "meat", Species: "snark", Colour: prey.Red},
		{Name: "beef and lamb", Kind: prey.Cut, Cut: "meat", Contains: []string{"cattle", "sheep"}, Colour: prey.Red},
		{},
	} {
		if low, _, _ := b.KeepFood(&f, 0).Days(Thawed); low != 1 {
			t.Errorf("%s keeps %d days", f.Name, low)
		}
	}
	var nobody *Book
	if k := nobody.KeepFood(nil, 0); k.Place != InFreezer {
		t.Errorf("%+v", k)
	} else if low, high, known := k.Days(Thawed); low != 0 || high != 0 || known {
		t.Error("without a table it keeps for no time at all")
	}
}

// Whatever a food is called: what is not known never keeps longer than the
// shortest of the table.
func TestUnknownFoodIsTheShortest(t *testing.T) {
	t.Parallel()
	b := book(t)
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		of := func(name string) *prey.Food { return rapid.SampledFrom(foods.All()).Draw(t, name) }
		f := &prey.Food{Kind: of("kind").Kind, Cut: of("cut").Cut, Species: of("species").Species, Name: of("name").Name, Colour: of("colour").Colour}
		if rapid.Bool().Draw(t, "misspelt") {
			f.Species += "x"
		}
		k := b.KeepFood(f, Form(rapid.Uint8Range(0, 9).Draw(t, "form")))
		for _, where := range colds() {
			low, high, known := k.Days(where)
			if low < 1 || high < low || !known && (low != b.least[where] || high != low) || low < b.least[where] {
				t.Fatalf("%+v, %s: %d to %d, %v", f, where, low, high, known)
			}
		}
	})
}
