package prey

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

func TestLoad_parts(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	share := func(texts ...string) (out [NumParts]units.Share) {
		for i, s := range texts {
			v, err := units.ParseShare(s)
			if err != nil {
				t.Fatal(err)
			}
			out[i] = v
		}
		return out
	}
	for _, tc := range []struct {
		food  string
		known bool
		want  [NumCases][NumParts]units.Share
	}{
		{"liver", true, [NumCases][NumParts]units.Share{{Liver: units.Whole}, {Liver: units.Whole}, {Liver: units.Whole}}},
		{"eggshell", true, [NumCases][NumParts]units.Share{{Rest: units.Whole}, {Rest: units.Whole}, {Rest: units.Whole}}},
		{"wing", true, [NumCases][NumParts]units.Share{
			share("69 %", "0 %", "0 %", "0 %", "31 %", "0 %"),
			share("62 %", "0 %", "0 %", "0 %", "38 %", "0 %"),
			share("54 %", "0 %", "0 %", "0 %", "46 %", "0 %"),
		}},
		// With a row for muscle, what is left over is the rest: 100 - 55.12.
		{"mouse", true, [NumCases][NumParts]units.Share{
			share("38.4 %", "0.5 %", "5.49 %", "0 %", "10.73 %", "44.88 %"),
			share("38.4 %", "0.5 %", "5.49 %", "0 %", "10.73 %", "44.88 %"),
			share("38.4 %", "0.5 %", "5.49 %", "0 %", "10.73 %", "44.88 %"),
		}},
		{"chick", false, [NumCases][NumParts]units.Share{}},
		{"neck", false, [NumCases][NumParts]units.Share{}}, // bone-in, no share of bone read
	} {
		f := find(t, c, tc.food)
		if f.PartsKnown != tc.known || f.Shares != tc.want {
			t.Errorf("%s: known %v, shares %v, want %v, %v", tc.food, f.PartsKnown, f.Shares, tc.known, tc.want)
		}
	}
}

func TestLoad_figures(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	for _, tc := range []struct {
		food     string
		n        Nutrient
		want     [NumCases]string // "" is unknown
		soft     bool
		evidence cite.Evidence
	}{
		{"liver", VitaminA, [NumCases]string{"16898", "16898", "16898"}, false, cite.Published},
		{"heart", VitaminA, [NumCases]string{"0", "0", "0"}, false, cite.Published}, // a printed 0 is a figure
		{"thigh", Taurine, [NumCases]string{"120", "140", "160"}, false, cite.Choice},
		{"thigh", Iodine, [NumCases]string{}, false, 0},
		{"chick", Protein, [NumCases]string{}, false, 0},
		{"chick", Calcium, [NumCases]string{"351", "351", "351"}, false, cite.Derived}, // whole: bone is in it already
		{"neck", Calcium, [NumCases]string{}, false, 0},
		// (1-b) x soft + b x bone: 0.69 x 11 + 0.31 x 11026.52; 0.62 x 11 + 0.38 x 11083.093068; 0.54 x 11 + 0.46 x 22222.222222
		{"wing", Calcium, [NumCases]string{"3425.8112", "4218.39536584", "10228.16222212"}, false, cite.Derived},
		{"wing", Zinc, [NumCases]string{"0.8349", "0.7502", "0.6534"}, true, cite.Derived},
		{"wing", Water, [NumCases]string{"59.8559", "57.7482", "55.3394"}, false, cite.Derived},
	} {
		fig, ok := find(t, c, tc.food).Nutrient(tc.n)
		if ok != (tc.want[0] != "") {
			t.Errorf("%s %s: known %v", tc.food, tc.n, ok)
			continue
		}
		if !ok {
			continue
		}
		for i, want := range tc.want {
			if got := fig.At[i].String(); got != want {
				t.Errorf("%s %s at %s: %s, want %s", tc.food, tc.n, Case(i), got, want)
			}
		}
		if fig.SoftOnly != tc.soft || fig.Ref.Evidence != tc.evidence {
			t.Errorf("%s %s: soft only %v, evidence %s", tc.food, tc.n, fig.SoftOnly, fig.Ref.Evidence)
		}
	}
}

func TestLoad_carbohydrate(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	for _, tc := range []struct{ food, want string }{
		{"liver", "3.89"}, // as USDA SR28 prints for NDB 13325: 100 - 70.81 - 20.36 - 3.63 - 1.31
		{"heart", "0.13"}, // NDB 13321 prints 0.14: its terms are rounded, 100 - 77.11 - 17.72 - 3.94 - 1.10
		{"thigh", "0"},    // 100.95 g in the row: within the rounding of 3 g, so nothing
	} {
		fig, ok := find(t, c, tc.food).Nutrient(Carbohydrate)
		if !ok || fig.At[Typical].String() != tc.want || fig.Ref.Evidence != cite.Derived {
			t.Errorf("%s: %v %v, want %s", tc.food, fig, ok, tc.want)
		}
	}
	for _, tc := range []struct {
		name, ash string
		known     bool
	}{
		{"ash missing", "", false},
		{"3 g over is rounding", "3.00", true},
		{"a hair more is a contradiction", "3.01", false},
	} {
		files := tiny()
		files["nutrients.csv"] = strings.Replace(files["nutrients.csv"], "thigh,edible,76.22,19.66,4.12,0.95,", "thigh,edible,76.22,19.66,4.12,"+tc.ash+",", 1)
		c, err := Load(asFS(files), sources(t))
		if err != nil {
			t.Fatal(tc.name, err)
		}
		if _, ok := find(t, c, "thigh").Nutrient(Carbohydrate); ok != tc.known {
			t.Errorf("%s: known %v", tc.name, ok)
		}
		if _, ok := find(t, c, "thigh").Energy(FreshCat); ok != tc.known {
			t.Errorf("%s: energy known %v", tc.name, ok)
		}
	}
}

// TestLoad_faults breaks one thing after another in the tiny catalogue.
func TestLoad_faults(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, file, old, new string
		want                 []string // each fault, in order
	}{
		{"evidence missing", "foods.csv", "published usda-sr28: NDB 05096", "", []string{"foods.csv:2:122: ref is missing: every row needs evidence"}},
		{"unknown source", "parts.csv", "usda-sr28", "usda-sr99", []string{`parts.csv:2:38: evidence "published usda-sr99: NDB 05100 refuse": "usda-sr99": source is not in the registry`}},
		{"recalled figure", "parts.csv", "published usda-sr28: NDB 05100 refuse", "memory", []string{`parts.csv:2:38: evidence "memory": a recalled figure has no evidence: read it in a source (published) or leave it out`}},
		{"published without a locator", "extra.csv", "choice: a range to test with", "published usda-sr28", []string{"extra.csv:2:37: evidence"}},
		{"unknown food", "extra.csv", "thigh,taurine", "thight,taurine", []string{`extra.csv:2:1: no food has the id "thight"`}},
		{"unknown nutrient", "extra.csv", "taurine", "taurin", []string{`extra.csv:2:7: nutrient: nutrient "taurin": not a known name`}},
		{"wrong unit", "extra.csv", "mg,edible", "IU,edible", []string{`extra.csv:2:27: unit: unit "IU": want mg`}},
		{"range upside down", "extra.csv", "120,140,160", "150,140,160", []string{"extra.csv:2:19: want low <= typical <= high"}},
		{"half a range", "extra.csv", "120,140,160", "120,140,", []string{"extra.csv:2:15: give both low and high, or neither"}},
		{"unknown basis", "extra.csv", "edible", "soft", []string{`extra.csv:2:30: basis: basis "soft": want edible (bone is to be added) or whole (bone is in it)`}},
		{"figure given twice", "extra.csv", "thigh,taurine,120,140,160,mg", "thigh,zinc,120,140,160,mg", []string{"extra.csv:2:7: thigh already has a figure of zinc"}},
		{"carbohydrate given", "extra.csv", "taurine", "carbohydrate", []string{"extra.csv:2:7: carbohydrate is worked out, never given"}},
		{"not a number", "nutrients.csv", "76.22", "76,22", []string{"nutrients.csv:2:1: 12 fields, want 11"}},
		{"over 100 g", "nutrients.csv", "76.22", "762.2", []string{"nutrients.csv:2:14: water: more than 100 g in 100 g"}},
		{"negative", "nutrients.csv", "76.22", "-76.22", []string{`nutrients.csv:2:14: water_g: amount "-76.22": not a plain decimal number`}},
		{"column unknown", "nutrients.csv", "zinc_mg", "zink_mg", []string{`nutrients.csv:1:67: no column is called "zink_mg"`}},
		{"column missing", "parts.csv", "food,part,low,", "food,part,", []string{"parts.csv:1:1: column low is missing"}},
		{"food twice", "foods.csv", "heart,Beef heart", "thigh,Beef heart", []string{"foods.csv:3:1: food thigh is already on line 2", "nutrients.csv:3:1: no food has the id \"heart\""}},
		{"name twice", "foods.csv", "Beef kidney", "Beef livers", []string{`foods.csv:4:1: liver is called "Beef liver", and so is kidney`}},
		{"kind", "foods.csv", ",organ,heart,heart", ",organs,heart,heart", []string{`foods.csv:3:25: kind: kind "organs": not a known name`}},
		{"bad hazard", "foods.csv", "cooked-bone", "Cooked bone", []string{`foods.csv:6:118: hazards "Cooked bone": not a known tag; did you mean "cooked-bone"?`}},
		{"misspelt hazard", "foods.csv", "vitamin-a-rich", "vitamin-a-rih", []string{`foods.csv:4:68: hazards "vitamin-a-rih": not a known tag; did you mean "vitamin-a-rich"?`}},
		{"misspelt animal", "foods.csv", "Turkey neck,,turkey,", "Turkey neck,,turky,", []string{`foods.csv:7:19: species "turky": not a known animal; did you mean "turkey"?`}},
		{"misspelt animal in a mix", "foods.csv", "Turkey neck,,turkey,,", "Turkey neck,,,turkey;rabit,", []string{`foods.csv:7:20: contains "rabit": not a known animal; did you mean "rabbit"?`}},
		{"yes or no", "foods.csv", "white,yes", "white,true", []string{`foods.csv:6:62: bone_in: "true": want yes or no`}},
		{"slot missing", "foods.csv", "organ,heart,heart,cardiac", "organ,heart,,cardiac", []string{"foods.csv:3:1: heart: slot is missing"}},
		{"parts over 100 %", "parts.csv", "38.40 %", "88.40 %", []string{"foods.csv:10:1: mouse: its parts make 105.12 % at least bone"}},
		{"bone in a cut that is not bone-in", "parts.csv", "wing,bone", "thigh,bone", []string{"foods.csv:2:1: thigh: bone_in says false"}},
		{"part twice", "parts.csv", "mouse,liver", "mouse,bone", []string{"parts.csv:6:7: mouse already has its bone"}},
		{"piece without evidence", "foods.csv", "published r-chickweight: Time 0", "", []string{"foods.csv:9:87: piece_ref is missing: every row needs evidence"}},
		{"piece upside down", "foods.csv", "39 g,41.06 g", "49 g,41.06 g", []string{"foods.csv:9:74: piece: want 0 g < low <= typical <= high"}},
		{"energy without evidence", "foods.csv", "1.7,published sacn5-ch71: Table 71-5", "1.7,", []string{"foods.csv:10:61: energy_ref is missing: every row needs evidence"}},
		{"stray space", "foods.csv", "heart,Beef heart", "heart, Beef heart", []string{"foods.csv:3:7: name begins or ends with a space"}},
		{"broken quotes", "foods.csv", `"Chicken thigh, meat only"`, `"Chicken thigh" meat`, []string{"foods.csv:2:"}},
		{"bone nutrient twice", "bone.csv", "water,,39.08", "calcium,,39.08", []string{"bone.csv:4:14: beef already has a figure of calcium"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			files := tiny()
			if !strings.Contains(files[tc.file], tc.old) {
				t.Fatalf("%s does not hold %q", tc.file, tc.old)
			}
			files[tc.file] = strings.Replace(files[tc.file], tc.old, tc.new, 1)
			c, err := Load(asFS(files), sources(t))
			var faults strict.Faults
			if !errors.As(err, &faults) || c != nil {
				t.Fatalf("catalogue %v, error %v", c, err)
			}
			for _, want := range tc.want {
				found := false
				for _, f := range faults {
					found = found || strings.HasPrefix(f.Error(), want)
				}
				if !found {
					t.Errorf("missing %s\nin %v", want, err)
				}
			}
		})
	}
}

func TestLoad_allFaultsAtOnce(t *testing.T) {
	t.Parallel()
	files := tiny()
	files["foods.csv"] = strings.Replace(files["foods.csv"], ",organ,liver", ",offal,liver", 1)
	files["parts.csv"] = strings.Replace(files["parts.csv"], "wing,bone", "wong,bone", 1)
	files["nutrients.csv"] = strings.ReplaceAll(files["nutrients.csv"], "published usda-sr28: NDB", "published nobody: NDB")
	files["bone.csv"] = strings.Replace(files["bone.csv"], "39.08,", "x,", 1)
	_, err := Load(asFS(files), sources(t))
	var faults strict.Faults
	if !errors.As(err, &faults) || len(faults) != 8 {
		t.Fatalf("want 8 faults, got %d:\n%v", len(faults), err)
	}
	if !errors.Is(err, cite.ErrUnknownSource) {
		t.Error("the cause is lost")
	}
	for i := 1; i < len(faults); i++ {
		a, b := faults[i-1], faults[i]
		if a.Path > b.Path || a.Path == b.Path && a.Line > b.Line {
			t.Errorf("not sorted: %v before %v", a, b)
		}
	}
}

func TestLoad_missingFile(t *testing.T) {
	t.Parallel()
	files := tiny()
	delete(files, "bone.csv")
	if _, err := Load(asFS(files), sources(t)); err == nil || !strings.Contains(err.Error(), "bone.csv") {
		t.Errorf("got %v", err)
	}
	if _, err := Load(fstest.MapFS{}, nil); err == nil {
		t.Error("an empty directory is no catalogue")
	}
}
