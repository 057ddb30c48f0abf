package prey

import (
	"errors"
	"strings"
	"testing"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
	"pgregory.net/rapid"
)

const mince = `foods:
  - id: rabbit-mince
    name: Rescue rabbit mince
    synonyms: [bunny mince]
    kind: mix
    species: rabbit
    colour: white
    complete: false
    ref: "choice: the label of the pack"
    parts:
      bone-means: edible
      bone: {low: "8 %", typical: "10 %", high: "12 %"}
      liver: "5 %"
    label:
      state: wet
      per: fed
      moisture: "68 %"
      protein: "17 %"
      fat: "9 %"
      fibre: "0.5 %"
      ash: "3.5 %"
      calcium: "0.9 %"
      phosphorus: "6500 mg/kg"
      vitamin-a: "30000 IU/kg"
      taurine: "82 mg/100 g"
    energy: "1530 kcal/kg"
    piece: {name: patty, mass: "50 g"}
    hazards: [taurine-low]
    note: Thaw in the fridge.
`

func load(t testing.TB, text string) ([]Food, error) {
	t.Helper()
	return LoadFoods("own.yaml", strings.NewReader(text), sources(t))
}

func TestLoadFoods(t *testing.T) {
	t.Parallel()
	foods, err := load(t, mince)
	if err != nil {
		t.Fatal(err)
	}
	f := &foods[0]
	if f.ID != "rabbit-mince" || f.Complete || f.Kind != Mix || f.Piece != units.Exactly(50*units.Gram) || f.Notes[0].Text != "Thaw in the fridge." {
		t.Errorf("%+v", f)
	}
	// What no row names is muscle: 100 - 10 - 5.
	if f.Shares[Typical] != [NumParts]units.Share{Muscle: 850_000, Liver: 50_000, Bone: 100_000} || f.Shares[MostBone][Muscle] != 830_000 {
		t.Errorf("shares %v", f.Shares)
	}
	for n, want := range map[Nutrient]string{
		Water: "68", Calcium: "900", Phosphorus: "650", VitaminA: "3000", Taurine: "82", Carbohydrate: "2",
	} {
		if fig, ok := f.Nutrient(n); !ok || fig.At[LeastBone].String() != want || !fig.Point() || fig.SoftOnly {
			t.Errorf("%s: %v, want %s", n, fig.At, want)
		}
	}
	if _, ok := f.Nutrient(Zinc); ok {
		t.Error("zinc from nowhere")
	}
	if fig, _ := f.Energy(Printed); fig.At[Typical] != 153*DensityUnit {
		t.Errorf("printed %v", fig.At)
	}
	if fig, m, _ := f.DefaultEnergy(); m != FreshCat || fig.At[Typical].String() != "152.5" { // 4 x 17 + 8.5 x 9 + 4 x 2
		t.Errorf("%v by %s", fig.At, m)
	}
}

// Without its fibre a label leaves carbohydrate unknown, and energy falls back
// to what the pack prints, if it prints any.
func TestLoadFoods_fibreUnknown(t *testing.T) {
	t.Parallel()
	text := strings.Replace(mince, "      fibre: \"0.5 %\"\n", "", 1)
	foods, err := load(t, text)
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := foods[0].Nutrient(Carbohydrate); ok {
		t.Error("carbohydrate is known")
	}
	if fig, m, ok := foods[0].DefaultEnergy(); !ok || m != Printed || fig.At[Typical] != 153*DensityUnit {
		t.Errorf("%v by %s", fig.At, m)
	}
	foods, err = load(t, strings.Replace(text, "    energy: \"1530 kcal/kg\"\n", "", 1))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, ok := foods[0].DefaultEnergy(); ok {
		t.Error("energy from nowhere")
	}
}

// A label per dry matter is the same food: 17 g in 32 g of dry matter.
func TestLoadFoods_dryMatter(t *testing.T) {
	t.Parallel()
	r := strings.NewReplacer("per: fed", "per: dry-matter", `protein: "17 %"`, `protein: "53.125 %"`, `fat: "9 %"`, `fat: "28.125 %"`,
		`fibre: "0.5 %"`, `fibre: "1.5625 %"`, `ash: "3.5 %"`, `ash: "10.9375 %"`, `calcium: "0.9 %"`, `calcium: "28125 mg/kg"`)
	foods, err := load(t, r.Replace(mince))
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range map[Nutrient]string{Water: "68", Protein: "17", Fat: "9", Fibre: "0.5", Ash: "3.5", Calcium: "900", Carbohydrate: "2"} {
		if fig, ok := foods[0].Nutrient(n); !ok || fig.At[Typical].String() != want {
			t.Errorf("%s: %v, want %s", n, fig.At, want)
		}
	}
}

func TestLoadFoods_boneIn(t *testing.T) {
	t.Parallel()
	// 25 % bone-in meat of which 40 % is bone: 10 % bone, 15 % meat.
	foods, err := load(t, strings.Replace(mince, `bone-means: edible
      bone: {low: "8 %", typical: "10 %", high: "12 %"}`, `bone-means: bone-in
      bone: "25 %"
      bone-of-bone-in: "40 %"`, 1))
	if err != nil {
		t.Fatal(err)
	}
	if got := foods[0].Shares[Typical]; got != [NumParts]units.Share{Muscle: 850_000, Liver: 50_000, Bone: 100_000} {
		t.Errorf("shares %v", got)
	}
	// The meat on the bone is muscle, beside the muscle that has a row: 70 + 15 %.
	foods, err = load(t, strings.Replace(mince, `bone-means: edible
      bone: {low: "8 %", typical: "10 %", high: "12 %"}`, `bone-means: bone-in
      muscle: "70 %"
      bone: "25 %"
      bone-of-bone-in: {low: "36 %", typical: "40 %", high: "44 %"}`, 1))
	if err != nil {
		t.Fatal(err)
	}
	for c, want := range [NumCases][NumParts]units.Share{
		{Muscle: 860_000, Liver: 50_000, Bone: 90_000}, {Muscle: 850_000, Liver: 50_000, Bone: 100_000}, {Muscle: 840_000, Liver: 50_000, Bone: 110_000},
	} {
		if foods[0].Shares[c] != want {
			t.Errorf("%s: %v, want %v", Case(c), foods[0].Shares[c], want)
		}
	}
	// Without saying how much of it is bone, nobody knows.
	foods, err = load(t, strings.Replace(mince, "bone-means: edible", "bone-means: bone-in", 1))
	if err != nil {
		t.Fatal(err)
	}
	if foods[0].PartsKnown || len(foods[0].Notes) != 2 {
		t.Errorf("known %v, notes %v", foods[0].PartsKnown, foods[0].Notes)
	}
}

func TestLoadFoods_refused(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, old, new, want string }{
		{"water missing", "      moisture: \"68 %\"\n", "", "own.yaml:15:7: moisture is missing"},
		{"analysis over 100 %", `protein: "17 %"`, `protein: "37 %"`, "own.yaml:15:7: the analysis makes 118 %"},
		{"parts over 100 %", `liver: "5 %"`, `liver: "95 %"`, "own.yaml:11:7: its parts make 103 % at least bone"},
		{"parts under 100 %", `liver: "5 %"`, "liver: \"5 %\"\n      muscle: \"50 %\"\n      rest: \"5 %\"", "own.yaml:11:7: its parts make only 68 % at least bone"},
		{"bone convention missing", "      bone-means: edible\n", "", "own.yaml:11:13: say what bone means here"},
		{"bone convention unknown", "bone-means: edible", "bone-means: all", `own.yaml:11:19: "all": want edible`},
		{"wet claim on dry food", `moisture: "68 %"`, `moisture: "8 %"`, "own.yaml:17:17: a mix with 8 % of water is not wet food"},
		{"dry claim on wet food", "state: wet", "state: dry", "own.yaml:17:17: 68 % of water is not dry"},
		{"wet pellets", "kind: mix", "kind: dry-food", "own.yaml:17:17: a dry-food with 68 % of water is not wet food"},
		{"all water", `moisture: "68 %"`, `moisture: "100 %"`, "own.yaml:17:17: a food is not all water"},
		{"complete not said", "    complete: false\n", "", `own.yaml:2:5: missing key "complete"`},
		{"no animal", "    species: rabbit\n", "", "own.yaml:2:5: say what animal it is"},
		{"two ways to say the animal", "    colour: white\n", "    colour: white\n    contains: [hen]\n", "own.yaml:8:15: give species or contains, not both"},
		{"evidence missing", "    ref: \"choice: the label of the pack\"\n", "", `own.yaml:2:5: missing key "ref"`},
		{"recalled figure", "choice: the label of the pack", "memory", `own.yaml:9:10: evidence "memory"`},
		{"unknown source", "choice: the label of the pack", "published nobody: p. 1", `own.yaml:9:10: evidence`},
		{"bare number", `protein: "17 %"`, "protein: 17", `own.yaml:18:16: "17": want an amount with its unit`},
		{"vitamin by mass", "30000 IU/kg", "30 mg/kg", "own.yaml:24:18: vitamin A is counted in IU, not mg"},
		{"mineral in IU", "6500 mg/kg", "6500 IU/kg", "own.yaml:23:19: phosphorus is counted in mg, not IU"},
		{"more than everything", "6500 mg/kg", "1000001 mg/kg", "own.yaml:23:19: \"1000001 mg/kg\": more than 100 %"},
		{"misspelt", "      calcium:", "      calcum:", `own.yaml:22:7: unknown key "calcum", did you mean "calcium"?`},
		{"energy without what it is in", "1530 kcal/kg", "1530 kcal", `own.yaml:26:13: "1530 kcal": want energy such as`},
		{"piece of nothing", `mass: "50 g"`, `mass: "0 g"`, "own.yaml:27:32: a piece weighs more than nothing"},
		{"bone range upside down", `low: "8 %"`, `low: "11 %"`, "own.yaml:12:13: want low <= typical <= high"},
		{"stray share of bone-in", "      liver:", "      bone-of-bone-in: \"40 %\"\n      liver:", "own.yaml:13:24: bone-of-bone-in goes with bone-means: bone-in"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if !strings.Contains(mince, tc.old) {
				t.Fatalf("the label does not hold %q", tc.old)
			}
			foods, err := load(t, strings.Replace(mince, tc.old, tc.new, 1))
			var faults strict.Faults
			if !errors.As(err, &faults) || foods != nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("got %d foods and\n%v\nwant %s", len(foods), err, tc.want)
			}
		})
	}
}

func TestLoadFoods_twice(t *testing.T) {
	t.Parallel()
	_, err := load(t, mince+strings.TrimPrefix(mince, "foods:\n"))
	if err == nil || !strings.Contains(err.Error(), "own.yaml:30:9: food rabbit-mince is already in this file") {
		t.Errorf("got %v", err)
	}
}

func TestConvert_bothWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		fed := Density(rapid.Int64Range(0, int64(100*DensityUnit)).Draw(t, "fed"))
		water := units.Share(rapid.Int64Range(0, int64(units.Whole)-1).Draw(t, "water"))
		dry, err := DryMatter(fed, water)
		if err != nil {
			t.Fatalf("%v", err)
		}
		back, err := AsFed(dry, water)
		if err != nil {
			t.Fatalf("%v", err)
		}
		// One rounding to a billionth on the way out; on the way back it shrinks.
		if d := back - fed; d < -1 || d > 1 {
			t.Fatalf("%s with %s of water is %s of dry matter, and back %s", fed, water, dry, back)
		}
		if dry < fed {
			t.Fatalf("dry matter %s is thinner than %s", dry, fed)
		}
	})
}

func TestConvert_errors(t *testing.T) {
	t.Parallel()
	for _, water := range []units.Share{-1, units.Whole, units.Whole + 1} {
		if _, err := DryMatter(1, water); !errors.Is(err, ErrConvert) {
			t.Errorf("dry matter at %s: %v", water, err)
		}
		if _, err := AsFed(1, water); !errors.Is(err, ErrConvert) {
			t.Errorf("as fed at %s: %v", water, err)
		}
	}
	if _, err := DryMatter(1<<62, units.Whole-1); !errors.Is(err, ErrConvert) {
		t.Errorf("overflow: %v", err)
	}
	if _, err := DryMatter(-1, 0); !errors.Is(err, ErrConvert) {
		t.Errorf("negative: %v", err)
	}
}

func TestWaterToAdd(t *testing.T) {
	t.Parallel()
	share := func(s string) units.Share {
		v, err := units.ParseShare(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, tc := range []struct{ m, has, want, add string }{ // regression (ours): m x (want - has) / (1 - want)
		{"100 g", "10 %", "70 %", "200 g"},
		{"25 g", "8 %", "77 %", "75 g"},
		{"50 g", "70 %", "70 %", "0 g"},
		{"10 g", "0 %", "0 %", "0 g"},
	} {
		got, err := WaterToAdd(mass(t, tc.m), share(tc.has), share(tc.want))
		if err != nil || got != mass(t, tc.add) {
			t.Errorf("%+v: %s, %v", tc, got, err)
		}
	}
	for _, tc := range [][2]units.Share{{share("70 %"), share("60 %")}, {0, units.Whole}, {-1, 0}} {
		if _, err := WaterToAdd(units.Gram, tc[0], tc[1]); !errors.Is(err, ErrConvert) {
			t.Errorf("%v: %v", tc, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		has := units.Share(rapid.Int64Range(0, 900_000).Draw(t, "has"))
		want := units.Share(rapid.Int64Range(int64(has), 950_000).Draw(t, "want"))
		m := units.Mass(rapid.Int64Range(0, int64(units.Kilogram)).Draw(t, "m"))
		add, err := WaterToAdd(m, has, want)
		if err != nil {
			t.Fatalf("%v", err)
		}
		// (m x has + add) / (m + add) is want, to the picogram of the rounding.
		left := int64(m)/1_000_000*int64(has) + int64(m)%1_000_000*int64(has)/1_000_000 + int64(add)
		total := int64(m) + int64(add)
		right := total/1_000_000*int64(want) + total%1_000_000*int64(want)/1_000_000
		if d := left - right; d < -3 || d > 3 {
			t.Fatalf("%s of water to %s at %s misses %s by %d pg", add, m, has, want, d)
		}
	})
}

func TestFood_Lacks(t *testing.T) {
	t.Parallel()
	foods, err := load(t, mince)
	if err != nil {
		t.Fatal(err)
	}
	f := &foods[0]
	want := [NumParts]units.Share{Muscle: 700_000, Heart: 100_000, Liver: 50_000, Organ: 50_000, Bone: 100_000}
	// regression (ours): 850 g of muscle are 70 % of 1214.2857 g; the rest follows.
	got, err := f.Lacks(Typical, units.Kilogram, want)
	if err != nil {
		t.Fatal(err)
	}
	for p, text := range map[Part]string{Muscle: "0.000 g", Heart: "121.429 g", Liver: "10.714 g", Organ: "60.714 g", Bone: "21.429 g"} {
		if got[p].InGrams(3) != text {
			t.Errorf("%s: %s, want %s", p, got[p].InGrams(3), text)
		}
	}
	for name, w := range map[string][NumParts]units.Share{
		"not 100 %":           {Muscle: 700_000},
		"some of the rest":    {Muscle: 900_000, Rest: 100_000},
		"none of what it has": {Muscle: 900_000, Heart: 100_000},
		"negative":            {Muscle: 1_100_000, Heart: -100_000},
	} {
		if _, err := f.Lacks(Typical, units.Gram, w); !errors.Is(err, ErrFood) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := (&Food{ID: "x"}).Lacks(Typical, units.Gram, want); !errors.Is(err, ErrFood) {
		t.Errorf("unknown parts: %v", err)
	}
}

// Whatever is added, the whole then has the wanted shares, to the picogram.
func TestFood_Lacks_property(t *testing.T) {
	t.Parallel()
	cuts := func(t *rapid.T, what string) [NumParts]units.Share {
		weights := rapid.SliceOfN(rapid.Int64Range(1, 100), 5, 5).Draw(t, what)
		parts, err := units.Split(int64(units.Whole), weights)
		if err != nil {
			t.Fatalf("%v", err)
		}
		var out [NumParts]units.Share
		for i, v := range parts {
			out[i] = units.Share(v)
		}
		return out
	}
	rapid.Check(t, func(t *rapid.T) {
		has := cuts(t, "has")
		f := &Food{ID: "x", PartsKnown: true, Shares: [NumCases][NumParts]units.Share{has, has, has}}
		want := cuts(t, "want")
		m := units.Mass(rapid.Int64Range(1, 1000).Draw(t, "grams")) * units.Gram
		add, err := f.Lacks(Typical, m, want)
		if err != nil {
			t.Fatalf("%v", err)
		}
		var sum Tally
		if err := sum.Add(f, m); err != nil {
			t.Fatalf("%v", err)
		}
		none := false
		for p, extra := range add {
			if extra < 0 {
				t.Fatalf("%s of %s", extra, Part(p))
			}
			none = none || extra == 0 && p != int(Rest)
			pure := &Food{ID: "pure", PartsKnown: true}
			for c := range pure.Shares {
				pure.Shares[c][p] = units.Whole
			}
			if err := sum.Add(pure, extra); err != nil {
				t.Fatalf("%v", err)
			}
		}
		if !none {
			t.Fatal("something is added of every part: less would do")
		}
		for p := range Rest {
			if d := sum.Share(Typical, p) - want[p]; d < -1 || d > 1 {
				t.Fatalf("%s is %s, want %s", p, sum.Share(Typical, p), want[p])
			}
		}
	})
}

// Whatever the text, LoadFoods returns foods or faults, and every food it
// returns can be laid over a catalogue, counted and explained.
func FuzzLoadFoods(f *testing.F) {
	f.Add(mince)
	f.Add("foods: [{id: a, name: a, kind: oil, colour: none, slot: none, ref: practice}]")
	f.Add("foods:\n- {id: w, name: w, kind: cut, species: hen, colour: white, bone-in: true, ref: practice, parts: {bone-means: bone-in, bone: '40 %', bone-of-bone-in: '38 %'}}")
	f.Add("foods: [{id: d, name: d, kind: dry-food, contains: [a, b], colour: none, complete: true, slot: none, ref: practice, label: {state: dry, per: dry-matter, moisture: '10 %', fat: '20 %'}}]")
	reg, err := cite.Shipped()
	if err != nil {
		f.Fatal(err)
	}
	c, err := Load(asFS(tiny()), reg)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		foods, err := LoadFoods("own.yaml", strings.NewReader(text), reg)
		if err != nil {
			var faults strict.Faults
			if !errors.As(err, &faults) || len(faults) == 0 {
				t.Fatalf("not faults: %v", err)
			}
			return
		}
		over, err := c.With(foods)
		if err != nil {
			if !errors.Is(err, ErrClash) {
				t.Fatal(err)
			}
			return
		}
		for i := range foods {
			food := find(t, over, foods[i].ID)
			var sum Tally
			if err := sum.Add(food, units.Kilogram); err != nil {
				t.Fatal(err)
			}
			if over.Explain(food).Text() == "" {
				t.Fatal("nothing to say")
			}
			for _, n := range Nutrients() {
				if fig, ok := food.Nutrient(n); ok && (fig.At[0] < 0 || fig.At[1] < 0 || fig.At[2] < 0 || !fig.Ref.Evidence.Valid()) {
					t.Fatalf("%s: %+v", n, fig)
				}
			}
		}
	})
}
