package prey

import (
	"errors"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"testing"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"pgregory.net/rapid"
)

func shippedCatalogue(t testing.TB) *Catalogue {
	t.Helper()
	c, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCatalogue_Find(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	for _, tc := range []struct{ ask, want string }{
		{"chicken-wing", "chicken-wing"},
		{"Chicken Wings", "chicken-wing"},
		{"  CHICKEN_wing ", "chicken-wing"},
		{"beef hearts", "beef-heart"},
		{"mice", "mouse-adult"},
		{"day old chicks", "day-old-chick"},
		{"quail eggs", "quail-egg"},
	} {
		if f, err := c.Find(tc.ask); err != nil || f.ID != tc.want {
			t.Errorf("%q: %v, %v, want %s", tc.ask, f, err, tc.want)
		}
	}
}

func TestCatalogue_Find_near(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	for _, tc := range []struct{ ask, first string }{
		{"chiken wing", "chicken-wing"},
		{"turkey nek", "turkey-neck"},
		{"beef livr", "beef-liver"},
		{"beefheart", "beef-heart"},
		{"qwertyuiop", ""},
		{"", ""},
		{strings.Repeat("x", 10_000), ""},
		{"\xff\xfe", ""},
	} {
		_, err := c.Find(tc.ask)
		var miss *UnknownFoodError
		if !errors.As(err, &miss) {
			t.Errorf("%q: %v", tc.ask, err)
			continue
		}
		if near := miss.Near(); tc.first == "" && len(near) != 0 || tc.first != "" && (len(near) == 0 || len(near) > 5 || near[0] != tc.first) {
			t.Errorf("%q: near %v, want %s first", tc.ask, near, tc.first)
		}
		if len(err.Error()) > 400 {
			t.Errorf("message of %d bytes", len(err.Error()))
		}
	}
}

func TestCatalogue_Select(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	bone, liver := Bone, Liver
	for _, tc := range []struct {
		by   Filter
		want string
	}{
		{Filter{}, "bone chick eggshell heart kidney liver mouse neck thigh wing"},
		{Filter{Species: "beef"}, "bone heart kidney liver"},
		{Filter{Part: &bone}, "bone mouse wing"}, // neck: its bone is not known
		{Filter{Part: &liver}, "liver mouse"},
		{Filter{Species: "chicken", Part: &bone}, "wing"},
		{Filter{Species: "Oxen"}, ""},
		{Filter{Species: "cows"}, "bone heart kidney liver"},
		{Filter{Species: "poultry"}, "chick eggshell neck thigh wing"},
		{Filter{Hazard: "vitamin-a-rich"}, "liver"},
		{Filter{Hazard: "none-such"}, ""},
	} {
		var ids []string
		for _, f := range c.Select(tc.by) {
			ids = append(ids, f.ID)
		}
		if got := strings.Join(ids, " "); got != tc.want {
			t.Errorf("%+v: %s, want %s", tc.by, got, tc.want)
		}
	}
	if got := strings.Join(c.Species(), " "); got != "beef chicken mouse turkey" {
		t.Errorf("species %s", got)
	}
	if got := strings.Join(c.Hazards(), " "); got != "cooked-bone vitamin-a-rich" {
		t.Errorf("hazards %s", got)
	}
}

func TestCatalogue_With(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	food := func(id, name, override string) Food { return Food{ID: id, Name: name, Override: override} }
	for _, tc := range []struct {
		name  string
		foods []Food
		want  string // in the error; "" is none
	}{
		{"a new food", []Food{food("ling", "Ling", "")}, ""},
		{"id taken", []Food{food("thigh", "My thigh", "")}, "food thigh is already in the catalogue"},
		{"override with a reason", []Food{food("thigh", "My thigh", "my butcher skins it")}, ""},
		{"override of nothing", []Food{food("thighs", "Other", "a reason")}, "food thighs overrides nothing"},
		{"name taken", []Food{food("mine", "beef HEARTS", "")}, `mine is called "beef HEARTS", and so is heart`},
		{"a name freed by an override", []Food{food("thigh", "Skinned thigh", "skinned"), food("mine", "thigh meat", "")}, ""},
		{"twice", []Food{food("a", "A one", ""), food("a", "A two", "")}, "food a is given twice"},
	} {
		got, err := c.With(tc.foods)
		switch {
		case tc.want == "" && err != nil, tc.want != "" && (!errors.Is(err, ErrClash) || !strings.Contains(err.Error(), tc.want)):
			t.Errorf("%s: %v", tc.name, err)
		case err == nil:
			if f := find(t, got, tc.foods[0].Name); f.ID != tc.foods[0].ID {
				t.Errorf("%s: found %s", tc.name, f.ID)
			}
		}
	}
	if f := find(t, c, "thigh"); f.Name != "Chicken thigh, meat only" {
		t.Error("the catalogue below was changed")
	}
}

// A food laid over a catalogue takes the minerals of bone from it.
func TestCatalogue_With_bone(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	foods, err := LoadFoods("own.yaml", strings.NewReader(`foods:
  - id: own-wing
    name: Own wing
    kind: cut
    species: chicken
    colour: white
    bone-in: true
    ref: "choice: weighed at the kitchen table"
    parts: {bone-means: edible, bone: "38 %"}
    label: {state: wet, per: fed, of: edible, moisture: "69.19 %", protein: "17.52 %", fat: "12.85 %", ash: "0.44 %", calcium: "11 mg/100 g"}
`), c.Registry())
	if err != nil {
		t.Fatal(err)
	}
	if fig, ok := foods[0].Nutrient(Calcium); !ok || !fig.SoftOnly || fig.At[Typical].String() != "6.82" {
		t.Errorf("before: %v %v", fig, ok)
	}
	over, err := c.With(foods)
	if err != nil {
		t.Fatal(err)
	}
	// 0.62 x 11 + 0.38 x 11083.093068
	if fig, ok := find(t, over, "own wings").Nutrient(Calcium); !ok || fig.SoftOnly || fig.At[Typical].String() != "4218.39536584" {
		t.Errorf("after: %v %v", fig, ok)
	}
}

// The shipped catalogue, food by food.
func TestShipped_everyFood(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	all := c.All()
	if len(all) < 200 {
		t.Fatalf("only %d foods", len(all))
	}
	if !slices.IsSortedFunc(all, func(a, b *Food) int { return strings.Compare(a.ID, b.ID) }) {
		t.Error("not sorted by id")
	}
	for _, f := range all {
		for _, name := range f.names() {
			for _, ask := range []string{name, strings.ToUpper(name), strings.ReplaceAll(name, " ", "-"), strings.ReplaceAll(name, "-", "  ")} {
				if g, err := c.Find(ask); err != nil || g != f {
					t.Errorf("%s is not found as %q", f.ID, ask)
				}
			}
		}
		if f.PartsKnown && !wholeShares(&f.Shares) || !f.PartsKnown && f.Shares != [NumCases][NumParts]units.Share{} {
			t.Errorf("%s: shares %v", f.ID, f.Shares)
		}
		if f.PartsKnown {
			check(t, c, f.ID+" parts", f.PartsRef)
		}
		check(t, c, f.ID, f.Ref)
		if f.Piece.Typical > 0 {
			check(t, c, f.ID+" piece", f.PieceRef)
		}
		for _, n := range f.Notes {
			check(t, c, f.ID+" note", n.Ref)
		}
		for _, n := range Nutrients() {
			fig, ok := f.Nutrient(n)
			if !ok {
				continue
			}
			check(t, c, f.ID+" "+n.Key(), fig.Ref)
			for _, d := range fig.At {
				if d < 0 || n.Unit() == "g" && d > 100*DensityUnit {
					t.Errorf("%s: %s of %s", f.ID, d, n)
				}
			}
		}
		for m := range EnergyMethod(NumEnergyMethods) {
			if fig, ok := f.Energy(m); ok {
				check(t, c, f.ID+" energy", fig.Ref)
				if fig.At[Typical] <= 0 && f.Kind != Supplement || fig.At[Typical] > 910*DensityUnit { // pure fat is 850, oils are printed to 902
					t.Errorf("%s: %s kcal by %s", f.ID, fig.At[Typical], m)
				}
			}
		}
	}
}

func check(t *testing.T, c *Catalogue, what string, r cite.Ref) {
	t.Helper()
	if err := r.Check(c.Registry()); err != nil {
		t.Errorf("%s: %v", what, err)
	}
}

func TestCatalogue_concurrentUse(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for _, f := range c.All() {
				_ = c.Explain(f)
				if _, err := c.Find(f.Name); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
}

// The catalogue is shared: another food is a copy, laid over it.
func TestShipped_copyThenChange(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	own := *find(t, c, "chicken-wing")
	own.Name, own.Override = "wing of our own", "another supplier"
	own.Hazards = append(own.Hazards, "wild-caught")
	with, err := c.With([]Food{own})
	if err != nil {
		t.Fatal(err)
	}
	if f := find(t, c, "chicken-wing"); f.Name == own.Name || f.HasHazard("wild-caught") || find(t, with, "chicken-wing").Name != own.Name {
		t.Error("a food of the shared catalogue changed with the copy")
	}
}

func TestFold_property(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		if once := fold(name); fold(once) != once {
			t.Fatalf("%q folds to %q, then to %q", name, once, fold(once))
		}
	})
}

// A misspelt food costs little, and nothing while nobody reads the message: files
// may hold tens of thousands.
func TestMissIsCheap(t *testing.T) {
	c := shippedCatalogue(t)
	miss := func(read bool) float64 {
		return testing.AllocsPerRun(20, func() {
			if _, err := c.Find("chiken thihg meat"); err == nil || read && err.Error() == "" {
				t.Fatal("found")
			}
		})
	}
	if unread, read := miss(false), miss(true); unread > 5 || read > 50 {
		t.Errorf("%v allocations unread, %v read", unread, read)
	}
}

func BenchmarkLoad(b *testing.B) {
	data, err := fs.Sub(shippedFiles, "data")
	if err != nil {
		b.Fatal(err)
	}
	reg, err := cite.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(data, reg); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	c := shippedCatalogue(b)
	for _, name := range []string{"chicken-wing", "Chicken Wings", "chiken wing"} {
		b.Run(strings.ReplaceAll(name, " ", "_"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := c.Find(name); err != nil {
					_ = err.Error() // what is near is looked for here
				}
			}
		})
	}
}
