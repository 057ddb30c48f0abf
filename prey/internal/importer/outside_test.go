package importer

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/prey"
	"fitchet.example/units/cite"
)

// The checks of this file hold the shipped catalogue against numbers that were
// not made by the chain: a second copy of the same release, a second country's
// table, the energy the release prints, figures typed from the sources by hand.
// They take the catalogue as bytes, so that the mutation test can hand them
// damaged ones.

// shipped is the catalogue as tables.
type shipped struct {
	foods, nutrients, parts, extra, bone *table
	columns                              []string // those of nutrients that hold figures
	files                                fs.FS
}

func openShipped(files fs.FS) (shipped, error) {
	s := shipped{files: files}
	for _, x := range []struct {
		to   **table
		name string
		key  []string
	}{
		{&s.foods, "foods", []string{"id"}},
		{&s.nutrients, "nutrients", []string{"food"}},
		{&s.parts, "parts", []string{"food", "part"}},
		{&s.extra, "extra", []string{"food", "nutrient"}},
		{&s.bone, "bone", []string{"kind", "nutrient"}},
	} {
		t, err := readTable(files, x.name, x.key)
		if err != nil {
			return s, err
		}
		*x.to = t
	}
	s.columns = s.nutrients.head[2 : len(s.nutrients.head)-1]
	return s, nil
}

// cell returns a number, or NaN for blank or no row.
func cell(t *table, id, col string) float64 {
	r, ok := t.find(id)
	if !ok {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSuffix(r.get(col), " g"), " %"), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance+1e-9 }

// outside is what the checks compare with: published tables, and the files of
// testdata, which are typed by hand and which its README explains. A new food
// needs a row there only where it lies apart from its kind.
type outside struct {
	usda, abbrev, india, sacn, selected, recipes                      *table
	figures, apart, medians, pairs, notBone, animals, organs, hazards *table
	reg                                                               *cite.Registry
}

func openOutside(t testing.TB) outside {
	t.Helper()
	pub, own, ours := os.DirFS(publishedDir), os.DirFS("."), os.DirFS("testdata")
	must := func(dir fs.FS, name string, key ...string) *table {
		tab, err := readTable(dir, name, key)
		if err != nil {
			t.Fatal(err)
		}
		return tab
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return outside{
		usda: must(pub, "usda-sr28", "ndb_no"), abbrev: must(pub, "usda-sr28-abbrev", "ndb_no", "nutrient"),
		india: must(pub, "ifct-2017", "code"), sacn: must(pub, "sacn5-71-5", "item"),
		selected: must(own, "select", "id"), recipes: must(own, "recipes", "mix", "item"),
		figures: must(ours, "figures", "table", "row", "column"), apart: must(ours, "apart", "check", "food", "column"),
		medians: must(ours, "medians", "kind", "column"), pairs: must(ours, "pairs", "food", "code"),
		notBone: must(ours, "not-bone", "food"), animals: must(ours, "species", "species"), organs: must(ours, "organs", "word"),
		hazards: must(ours, "hazards", "food", "hazard"), reg: reg,
	}
}

// named reports whether a row of apart.csv excuses a food from a check.
func (o outside) named(check, food, column string) bool {
	_, ok := o.apart.find(check + "/" + food + "/" + column)
	return ok
}

type check struct {
	name string
	run  func(outside, shipped) []string
}

func checks() []check {
	return []check{
		{"figures typed by hand", figures},
		{"exemptions", exemptions},
		{"second copy of the release", secondCopy},
		{"water, protein, fat and ash", proximates},
		{"printed energy", printedEnergy},
		{"vitamin A in two units", vitaminA},
		{"Indian tables", indianTables},
		{"whole prey, Table 71-5", wholePrey},
		{"bone is spoken of", boneSpokenOf},
		{"no bone where none was read", noBone},
		{"bone minerals", boneMinerals},
		{"retinol", retinol},
		{"food made of other food", madeOf},
		{"span within a kind", spans},
		{"form", form},
		{"zeros", zeros},
		{"classes", classes},
		{"hazards", hazards},
		{"loader", loads},
	}
}

func TestAgainstOutside(t *testing.T) {
	o := openOutside(t)
	s, err := openShipped(os.DirFS(dataDir))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks() {
		t.Run(c.name, func(t *testing.T) {
			for _, f := range c.run(o, s) {
				t.Error(f)
			}
		})
	}
}

// figures.csv holds cells of the catalogue as they were typed from their
// sources a second time: one cell, or the three ends of a range.
func figures(o outside, s shipped) (faults []string) {
	tables := map[string]*table{"foods": s.foods, "nutrients": s.nutrients, "parts": s.parts, "extra": s.extra, "bone": s.bone}
	for _, r := range o.figures.rows {
		t, id := tables[r.get("table")], r.get("row")
		if t == nil || r.get("source") == "" {
			faults = append(faults, fmt.Sprintf("figures.csv: %s: no such table, or no source", r.id))
			continue
		}
		food, part, _ := strings.Cut(id, "/")
		for _, end := range []string{"low", "typical", "high"} {
			text, col := r.get(end), r.get("column")
			switch {
			case text == "":
				continue
			case col == "":
				col = end
			case col == "piece":
				col = "piece_" + end
			}
			got := cell(t, id, col)
			if part == "muscle" { // what the other parts leave
				got = 100
				for _, other := range []string{"rest", "bone", "heart", "liver", "organ"} {
					got -= cell(t, food+"/"+other, col)
				}
			}
			if row, ok := t.find(id); text == "unknown" {
				if !ok || row.get(col) != "" {
					faults = append(faults, id+": "+col+" is given, and is not known")
				}
				continue
			}
			want, err := strconv.ParseFloat(text, 64)
			within := 0.0
			if w := r.get("within"); err == nil && w != "" {
				percent, is := strings.CutSuffix(w, " %")
				within, err = strconv.ParseFloat(percent, 64)
				if is {
					within *= want / 100
				}
			}
			if err != nil || !near(got, want, within) {
				faults = append(faults, fmt.Sprintf("%s: %s is %v, %s has %s", id, col, got, r.get("source"), text))
			}
		}
	}
	return faults
}

// Every row of apart.csv names a food and a check and says why.
func exemptions(o outside, s shipped) (faults []string) {
	for _, r := range o.apart.rows {
		if _, ok := s.foods.find(r.get("food")); !ok || r.get("why") == "" || !slices.ContainsFunc(checks(), func(c check) bool { return c.name == r.get("check") }) {
			faults = append(faults, "apart.csv: "+r.id+": no such check or food, or no reason")
		}
	}
	return faults
}

// The abbreviated file of the same release, read from another copy than the
// full one: every cell of the foods it covers is the same or has been voided by
// a correction.
func secondCopy(o outside, s shipped) (faults []string) {
	for _, r := range o.selected.rows {
		ndb, ok := strings.CutPrefix(r.get("row"), "usda-sr28/")
		if _, covered := o.abbrev.find(ndb + "/water_g"); !ok || !covered {
			continue
		}
		for _, col := range s.columns {
			got, want := cell(s.nutrients, r.id, col), cell(o.abbrev, ndb+"/"+col, "value")
			switch {
			case math.IsNaN(want) && math.IsNaN(got):
			case math.IsNaN(want) && col == "folate_ug" || col == "sodium_mg" || col == "potassium_mg" || col == "vitamin_d_iu" && math.IsNaN(want):
				// these columns were not taken from the second copy for every food
			case math.IsNaN(got) && (want == 0 || o.named("second copy of the release", r.id, col)):
			case !near(got, want, 0):
				faults = append(faults, fmt.Sprintf("%s: %s is %v, the abbreviated file prints %v for NDB %s", r.id, col, got, want, ndb))
			}
		}
	}
	return faults
}

// Water, protein, fat and ash make 95 to 103 g of 100 g raw food. The release
// keeps to it in all but a few rows; the foods that do not are in apart.csv.
func proximates(o outside, s shipped) (faults []string) {
	for _, r := range s.nutrients.rows {
		sum := 0.0
		for _, col := range []string{"water_g", "protein_g", "fat_g", "ash_g"} {
			sum += cell(s.nutrients, r.id, col)
		}
		switch {
		case math.IsNaN(sum):
			if f, _ := s.foods.find(r.id); f.t == nil || f.get("kind") != "whole-prey" {
				faults = append(faults, fmt.Sprintf("%s: water, protein, fat or ash is blank", r.id))
			}
		case sum > 103:
			faults = append(faults, fmt.Sprintf("%s: water, protein, fat and ash make %.2f g", r.id, sum))
		case sum < 95 != o.named("water, protein, fat and ash", r.id, ""):
			faults = append(faults, fmt.Sprintf("%s: water, protein, fat and ash make %.2f g", r.id, sum))
		}
	}
	return faults
}

// USDA SR28 prints energy by factors of its own for each food group; the
// general factors 4, 9 and 4 give the same within 7.5 % or 5 kcal for raw food
// of animal origin, except in the rows of apart.csv. IFCT 2017 prints kJ by 17 and 37
// kJ per g of protein and fat.
func printedEnergy(o outside, s shipped) (faults []string) {
	for _, r := range o.selected.rows {
		p, f, w, a := cell(s.nutrients, r.id, "protein_g"), cell(s.nutrients, r.id, "fat_g"), cell(s.nutrients, r.id, "water_g"), cell(s.nutrients, r.id, "ash_g")
		if ndb, ok := strings.CutPrefix(r.get("row"), "usda-sr28/"); ok {
			want := cell(o.usda, ndb, "energy_kcal")
			got := 4*p + 9*f + 4*max(0, 100-p-f-w-a)
			if within := math.Abs(got-want) <= max(5, 0.075*want); within == o.named("printed energy", r.id, "") {
				faults = append(faults, fmt.Sprintf("%s: 4/9/4 gives %.0f kcal, USDA SR28 prints %v", r.id, got, want))
			}
		}
		if code, ok := strings.CutPrefix(r.get("row"), "ifct-2017/"); ok {
			want, got := cell(o.india, code, "energy_kj"), 17*p+37*f
			if !(math.Abs(got-want) <= 0.02*want) {
				faults = append(faults, fmt.Sprintf("%s: 17/37 gives %.0f kJ, IFCT 2017 prints %v", r.id, got, want))
			}
		}
	}
	return faults
}

// 1 IU of vitamin A is 0.3 µg of retinol (FEDIAF, AAFCO). The release prints µg
// of retinol activity beside IU; where the food holds no carotene the two agree
// to 3 %. Foods with carotene are in apart.csv: there IU/0.3 runs over.
func vitaminA(o outside, s shipped) (faults []string) {
	for _, r := range o.selected.rows {
		ndb, ok := strings.CutPrefix(r.get("row"), "usda-sr28/")
		iu, rae := cell(s.nutrients, r.id, "vitamin_a_iu"), cell(o.usda, ndb, "vitamin_a_rae_ug")
		if !ok || math.IsNaN(rae) || math.IsNaN(iu) && rae <= 1 {
			continue
		}
		if c := o.named("vitamin A in two units", r.id, "vitamin_a_iu"); c && !(iu*0.3 > rae) || !c && !near(iu*0.3, rae, 0.03*rae+1) {
			faults = append(faults, fmt.Sprintf("%s: vitamin A %v IU, USDA SR28 prints %v µg of retinol activity", r.id, iu, rae))
		}
	}
	return faults
}

// The Indian Food Composition Tables 2017 as a second, independent analysis of
// the same parts. Tolerance: 4 g water, 3 g protein, 3 g fat; phosphorus within
// a factor of 1.45; iron and zinc within 2. What lies further apart is in
// apart.csv with the reason, and a reason that no longer applies is a fault.
func indianTables(o outside, s shipped) (faults []string) {
	for _, p := range o.pairs.rows {
		food, code := p.get("food"), p.get("code")
		for _, c := range []struct {
			col    string
			within float64
			ratio  bool
		}{
			{"water_g", 4, false}, {"protein_g", 3, false}, {"fat_g", 3, false},
			{"phosphorus_mg", 1.45, true}, {"iron_mg", 2, true}, {"zinc_mg", 2, true},
		} {
			got, want := cell(s.nutrients, food, c.col), cell(o.india, code, c.col)
			ok := near(got, want, c.within)
			if c.ratio {
				ok = got <= want*c.within && want <= got*c.within
			}
			if named := o.named("Indian tables", food, c.col); ok == named {
				faults = append(faults, fmt.Sprintf("%s: %s is %v, IFCT 2017 %s prints %v; named as apart: %v", food, c.col, got, code, want, named))
			}
		}
	}
	return faults
}

// Small Animal Clinical Nutrition, 5th edition, Table 71-5. The ratio of
// calcium to phosphorus does not depend on the unit; the energy as fed is
// printed twice, in two ways; calcium of the adult mouse is 2.40 % of dry
// matter. Kerr 2014 gives the span over 20 items of whole prey: 15-40 % dry
// matter, of it 34-75 % protein and 10-60 % fat.
func wholePrey(o outside, s shipped) (faults []string) {
	for _, r := range o.selected.rows {
		item, ok := strings.CutPrefix(r.get("row"), "sacn5-71-5/")
		if !ok {
			continue
		}
		say := func(format string, args ...any) { faults = append(faults, r.id+": "+fmt.Sprintf(format, args...)) }
		n := func(col string) float64 { return cell(s.nutrients, r.id, col) }
		printed := func(col string) float64 { return cell(o.sacn, item, col) }
		dm := 100 - n("water_g")
		if got := cell(s.foods, r.id, "energy"); got != printed("kcal_per_g_as_fed") || !near(got, printed("kcal_per_g_dm")*dm/100, 0.05) {
			say("energy as fed %v kcal/g, printed %v and %v per g of dry matter", got, printed("kcal_per_g_as_fed"), printed("kcal_per_g_dm"))
		}
		if got, want := n("calcium_mg")/n("phosphorus_mg"), printed("calcium_mg_per_kcal")/printed("phosphorus_mg_per_kcal"); !near(got, want, 0.005) {
			say("calcium to phosphorus %.3f, printed %.3f", got, want)
		}
		// energy shares of protein and fat as printed, by the 4 and 9 that were used
		kcal := printed("kcal_per_g_dm") * dm
		if !near(400*n("protein_g")/kcal, printed("protein_pct_kcal"), 0.05) || !near(900*n("fat_g")/kcal, printed("fat_pct_kcal"), 0.05) {
			say("energy shares of protein and fat are not those printed")
		}
		if r.get("colour") != "fish" && (dm < 15 || dm > 40 || n("protein_g")/dm < 0.34 || n("protein_g")/dm > 0.75 || n("fat_g")/dm < 0.10 || n("fat_g")/dm > 0.60) {
			say("outside the span of Kerr 2014")
		}
	}
	if got := cell(s.nutrients, "mouse-adult", "calcium_mg") / 1000 / 35 * 100; !near(got, 2.40, 0.001) {
		faults = append(faults, fmt.Sprintf("adult mouse: calcium %.3f %% of dry matter, printed columns give 2.40", got))
	}
	return faults
}

// Every share of bone is a figure typed by hand, or follows from what was read
// by a check of its own: separated meat, recipes.
func boneSpokenOf(o outside, s shipped) (faults []string) {
	for _, r := range s.parts.rows {
		food, is := strings.CutSuffix(r.id, "/bone")
		_, typed := o.figures.find("parts/" + r.id + "/")
		_, made := o.recipes.find(r.id)
		if is && !typed && !made && !strings.Contains(food, "-separated") {
			faults = append(faults, r.id+": no figure typed by hand speaks of it")
		}
	}
	return faults
}

// A "meat only" row is boneless food whatever its refuse; refuse of organs is
// fat, veins and membrane; 0 for game, rabbit and goat means "not sampled with
// bone". None of them has a row for bone, and a bone-in cut whose bone was not
// read has none either: unknown, not 0.
func noBone(o outside, s shipped) (faults []string) {
	for _, r := range s.foods.rows {
		_, has := s.parts.find(r.id + "/bone")
		kind, boneIn := r.get("kind"), r.get("bone_in") == "yes"
		if has && cell(s.parts, r.id+"/bone", "low") <= 0 {
			faults = append(faults, r.id+": bone of 0 is an unknown that slipped through")
		}
		if boneIn && has == o.named("no bone where none was read", r.id, "") {
			faults = append(faults, fmt.Sprintf("%s: bone-in, bone row %v", r.id, has))
		}
		if !boneIn && has && kind != "mix" && kind != "whole-prey" {
			faults = append(faults, r.id+": boneless, with a row for bone")
		}
		if strings.Contains(r.get("name"), "no skin or bone") && boneIn {
			faults = append(faults, r.id+": called boneless and marked bone-in")
		}
	}
	// refuse totals that are not the bone: a wrong share, or boneless food
	for _, n := range o.notBone.rows {
		id, total := n.get("food"), n.get("total")
		share, has := s.parts.find(id + "/bone")
		r, ok := s.foods.find(id)
		switch {
		case !ok || has == (total == "") || total == "" && r.get("bone_in") != "":
			faults = append(faults, fmt.Sprintf("%s: in the catalogue %v, share of bone %v, bone-in %q", id, ok, has, r.get("bone_in")))
		case has && slices.Contains([]string{share.get("low"), share.get("typical"), share.get("high")}, total+" %"):
			faults = append(faults, fmt.Sprintf("%s: bone holds the refuse total %s", id, total))
		}
	}
	return faults
}

// Bone as it is fed, against readings that no shipped figure rests on and against
// balances of whole birds. Per 100 g, in g.
func boneMinerals(_ outside, s shipped) (faults []string) {
	ca := func(kind, end string) float64 { return cell(s.bone, kind+"/calcium", end) }
	bad := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	kinds := map[string]bool{}
	for _, r := range s.bone.rows {
		if r.get("unit") != "g" {
			bad("%s of bone is not in g", r.id)
		}
		kind, nutrient, _ := strings.Cut(r.id, "/")
		kinds[kind] = true
		// Dry bone holds 17 to 25 (9 CFR 381.173: 0.175 % calcium for 1 % bone solids;
		// Field 2000: 100/4.5): no bone as it is fed reaches that.
		if nutrient == "calcium" && ca(kind, "high") > 17 {
			bad("%s holds the calcium of dry bone", kind)
		}
	}
	for kind := range kinds {
		// Calcium to phosphorus of bone: 1.96 to 2.03 (broiler tibia, 21 days, 2021), 2.174
		// (Suchý 2009).
		for _, end := range []string{"low", "typical", "high"} {
			if r := ca(kind, end) / cell(s.bone, kind+"/phosphorus", end); r < 1.96-0.01 || r > 2.174+0.01 {
				bad("%s: calcium to phosphorus of bone %.3f", kind, r)
			}
		}
	}
	within := func(what string, v, low, high float64) {
		if v < low || v > high {
			bad("%s: %.4g, want %.4g to %.4g", what, v, low, high)
		}
	}
	// Paloheimo 1965: 34.8 g of ash in fresh cow femur, 0.37 of it calcium (Field 2000).
	within("calcium of a cow femur", 34.8*0.37, ca("cattle-femur", "low"), ca("cattle-femur", "high"))
	// Suchý 2009: 18.1 % of dry broiler leg bone; wet bone is 42.5 % dry (Cansu 2015).
	// Leg bone cleaned for analysis is the richest that is fed.
	within("richest clean broiler bone", ca("broiler-bone", "high"), 0.9*18.1*0.425, 18.1*0.425)
	// Kakimov 2021: chicken parts ground with their bone hold 1.65 % calcium: more than
	// the whole carcass, no more than the wing.
	within("ground bone-in chicken parts", 1.65, ca("broiler-whole", "high"), ca("broiler-wing", "high"))
	// Hens rendered whole (2007): meal of 4.38 % calcium, 31.76 % of the live weight:
	// 13.9 g/kg, and the carcass holds no less of it per kg than the hen.
	within("carcass of a hen", 4.38*0.3176, 0, 0.30*ca("hen", "high"))
	within("carcass of a hen at the least", 0.27*ca("hen", "low"), 0, 4.38*0.3176)
	// The balance of the whole bird. A broiler eats 3.82 kg to 2.01 kg of live weight
	// (Patterson 1998); the richest of seven feeds held 1.18 % calcium (2021). What the
	// carcass, three quarters of the bird, holds it has eaten, and birds keep less than
	// half of the calcium they eat.
	eaten := 3.82 * 1.18 / 2.01 // g per 100 g of live weight
	within("calcium of a broiler carcass against what the bird ate", 0.75*ca("broiler-whole", "high"), 0, eaten/2)
	// Whole broilers hold at most 18.9 g/kg of 31.7 % dry matter, at least 11.7 g/kg of
	// 24.9 % (Caldas 2019): all of it in the carcass would make the most.
	within("broiler carcass against the whole body, most", 0.75*ca("broiler-whole", "high"), 0, 1.89*0.317)
	within("broiler carcass against the whole body, least", 0.75*ca("broiler-whole", "low"), 0.5*1.17*0.249, 1.17*0.249)
	// Half a carcass, 756 g, is 89 g of wing and 125 of drumstick among others (AGAL
	// 1998): what these hold is part of what the carcass holds, at each end.
	for _, end := range []string{"low", "typical", "high"} {
		within("wings and drumsticks of the carcass, "+end, (89*ca("broiler-wing", end)+125*ca("broiler-drumstick", end))/756, 0, ca("broiler-whole", end))
	}
	return faults
}

// 1 IU is 0.3 µg of retinol.
func retinol(_ outside, s shipped) (faults []string) {
	for _, r := range s.extra.rows {
		if food, ok := strings.CutSuffix(r.id, "/vitamin-a"); ok {
			for _, end := range []string{"low", "typical", "high"} {
				if a, b := cell(s.extra, r.id, end), cell(s.extra, food+"/retinol", end); !near(a*0.3, b, 0.02) {
					faults = append(faults, fmt.Sprintf("%s: %v IU and %v µg of retinol", food, a, b))
				}
			}
		}
	}
	return faults
}

// What the chain makes of other foods keeps what must not change: drying and
// soaking keep every share of dry matter, a label keeps to the ranges that were
// read, a recipe sums. The boneless recipe, 80 thigh + 10 heart + 5 liver + 5
// kidney, gives 72.0 mg of calcium, 2014.0 mg of phosphorus and 1028.6 kcal per
// kg by modified Atwater: regression (ours).
func madeOf(o outside, s shipped) (faults []string) {
	n := func(food, col string) float64 { return cell(s.nutrients, food, col) }
	for _, r := range o.selected.rows {
		how, rest, _ := strings.Cut(r.get("row"), "/")
		if how != "dried" && how != "soaked" {
			continue
		}
		dry := r.id
		base, by, _ := strings.Cut(rest, "/")
		want, err := strconv.ParseFloat(by, 64) // g of water left, or times its mass of water
		if how == "soaked" {
			want = (n(base, "water_g") + 100*want) / (1 + want)
		}
		if water := n(dry, "water_g"); err != nil || !near(water, want, 0.0005) {
			faults = append(faults, fmt.Sprintf("%s: water %v, want %v", dry, water, want))
		}
		for _, col := range s.columns[1:] {
			a, b := n(dry, col)/(100-n(dry, "water_g")), n(base, col)/(100-n(base, "water_g"))
			if math.IsNaN(a) != math.IsNaN(b) || !math.IsNaN(a) && !near(a, b, 0.002*b+0.0006/(100-n(dry, "water_g"))) {
				faults = append(faults, fmt.Sprintf("%s: %s of dry matter is %v, of %s %v", dry, col, a, base, b))
			}
		}
	}
	// Bixler and Ellis 2004: protein 30-40, fat 18-20, fibre at most 2 % of dry
	// food; Linsart and Blanchard 2014: 3 to 4 kcal/g
	p, f, a, fibre := n("old-dry-food", "protein_g"), n("old-dry-food", "fat_g"), n("old-dry-food", "ash_g"), cell(s.extra, "old-dry-food/fibre", "typical")
	kcal := 3.5*p + 8.5*f + 3.5*(100-n("old-dry-food", "water_g")-p-f-a-fibre)
	if !(p >= 30 && p <= 40 && f >= 18 && f <= 20 && fibre <= 2 && kcal >= 300 && kcal <= 400 && a > 0) {
		faults = append(faults, fmt.Sprintf("old-dry-food: protein %v, fat %v, fibre %v, %v kcal: outside the ranges that were read", p, f, fibre, kcal))
	}
	m := func(col string) float64 { return n("boneless-mix-chicken", col) }
	kcal = 3.5*m("protein_g") + 8.5*m("fat_g") + 3.5*(0.1*0.14+0.05*3.89+0.05*0.29) // carbohydrate as USDA prints it
	if m("calcium_mg") != 7.2 || m("phosphorus_mg") != 201.4 || !near(kcal, 102.86, 0.02) {
		faults = append(faults, fmt.Sprintf("boneless-mix-chicken: calcium %v, phosphorus %v, %v kcal", m("calcium_mg"), m("phosphorus_mg"), kcal))
	}
	recipes := make(map[string][]row)
	for _, r := range o.recipes.rows {
		recipes[r.get("mix")] = append(recipes[r.get("mix")], r)
	}
	for mix, items := range recipes {
		for _, col := range s.columns {
			sum, total := 0.0, 0.0
			for _, r := range items {
				if r.get("slot") != "bone" {
					sum += cell(o.recipes, r.id, "parts") * n(r.get("item"), col)
					total += cell(o.recipes, r.id, "parts")
				}
			}
			if got, want := n(mix, col), sum/total; math.IsNaN(got) != math.IsNaN(want) || !math.IsNaN(got) && !near(got, want, 0.00006) {
				faults = append(faults, fmt.Sprintf("%s: %s is %v, its items give %v", mix, col, got, want))
			}
		}
		for _, r := range items {
			for _, end := range []string{"low", "typical", "high"} {
				if got, want := cell(s.parts, mix+"/"+r.get("slot"), end), cell(o.recipes, r.id, "parts"); r.get("slot") != "muscle" && got != want {
					faults = append(faults, fmt.Sprintf("%s: %s %v %%, the recipe says %v", mix, r.get("slot"), got, want))
				}
			}
		}
	}
	// 9 CFR 381.173 takes 0.175 % calcium for 1 % bone solids in young poultry, 0.235 in
	// grown, and 0.25 % in livestock (the same rule for red meat). Fresh bone is 42.5 %
	// solids in chicken (Cansu 2015), 60.92 in sheep and pig (2017), so there is more of it.
	for _, r := range s.foods.rows {
		id, ca := r.id, n(r.id, "calcium_mg")/1000
		if !strings.Contains(id, "-separated") {
			continue
		}
		solids, dry := ca/0.175, 0.425
		if r.get("colour") == "red" && !strings.Contains(id, "turkey") {
			solids, dry = ca/0.25, 0.6092
		}
		low, high := cell(s.parts, id+"/bone", "low"), cell(s.parts, id+"/bone", "high")
		if fresh := solids / dry; fresh < low*0.7 || fresh > high*1.3 {
			faults = append(faults, fmt.Sprintf("%s: bone %v to %v %%, by its solids %v %%", id, low, high, fresh))
		}
	}
	return faults
}

// The source code file of USDA SR28 marks these zeros as assumed. They, and the
// manganese of New Zealand beef liver (printed a thousandfold) and the thiamin
// of New Zealand lamb liver, are unknown; so is every other zero of a vitamin
// or trace mineral. Zeros of calcium, phosphorus, magnesium, sodium and
// potassium stand only where ash, of which they are part, is 0 in pure fat.
func zeros(_ outside, s shipped) (faults []string) {
	for _, r := range s.nutrients.rows {
		for _, col := range s.columns[4:] {
			major := slices.Contains([]string{"calcium_mg", "phosphorus_mg", "magnesium_mg", "sodium_mg", "potassium_mg"}, col)
			if pure := cell(s.nutrients, r.id, "ash_g") == 0 && cell(s.nutrients, r.id, "fat_g") > 99; cell(s.nutrients, r.id, col) == 0 && !(major && pure) {
				faults = append(faults, r.id+": "+col+" is 0")
			}
		}
	}
	// manganese of any food is under 1 mg: the range check that finds a thousandfold slip
	for _, r := range s.nutrients.rows {
		if mn := cell(s.nutrients, r.id, "manganese_mg"); mn > 3.5 {
			faults = append(faults, fmt.Sprintf("%s: manganese %v mg", r.id, mn))
		}
	}
	return faults
}

// A tenfold slip stands out among foods of one kind: meat by its colour, fish
// fillets, and each organ over the species. No cell lies further than a factor
// of 6 from the median of its kind, except those in apart.csv; the factor is the
// widest that leaves few: regression (ours). Vitamins A and D vary by more than
// that. The medians are frozen in medians.csv, so that a new food is judged by
// its own figures and never makes an old one stand apart.
func spans(o outside, s shipped) (faults []string) {
	kind := func(r row) string {
		switch k := r.get("kind"); {
		case strings.Contains(r.id, "-mix-"):
			return ""
		case (k == "cut" || k == "mix") && r.get("anatomy") != "adipose tissue" && r.get("anatomy") != "skin":
			return r.get("colour")
		case k == "organ":
			for _, word := range []string{"heart", "liver", "kidney", "spleen", "brain", "lung", "tongue"} {
				if strings.Contains(r.get("cut"), word) {
					return word
				}
			}
		case k == "fish" && r.get("anatomy") == "fish muscle":
			return k
		}
		return ""
	}
	for _, col := range s.columns[4:] {
		if col == "vitamin_a_iu" || col == "vitamin_d_iu" {
			continue
		}
		for _, r := range s.foods.rows {
			k, v := kind(r), cell(s.nutrients, r.id, col)
			if k == "" || math.IsNaN(v) {
				continue
			}
			median := cell(o.medians, k+"/"+col, "median")
			if math.IsNaN(median) {
				faults = append(faults, fmt.Sprintf("%s: medians.csv has no %s of %s: add %s,%s,%v", r.id, col, k, k, col, v))
			} else if wide := v > 6*median || v < median/6; wide != o.named("span within a kind", r.id, col) {
				faults = append(faults, fmt.Sprintf("%s: %s is %v, the median of its kind %v", r.id, col, v, median))
			}
		}
	}
	return faults
}

// Units, bases and the form of ranges hold over all rows.
func form(o outside, s shipped) (faults []string) {
	basis := func(id string) string {
		r, _ := s.foods.find(id)
		if r.t == nil {
			return "no food"
		}
		switch r.get("kind") {
		case "whole-prey", "dry-food", "supplement":
			return "whole"
		}
		if strings.Contains(id, "separated") {
			return "whole"
		}
		return "edible"
	}
	for _, r := range s.nutrients.rows {
		if r.get("basis") != basis(r.id) {
			faults = append(faults, fmt.Sprintf("%s: basis %s, want %s", r.id, r.get("basis"), basis(r.id)))
		}
	}
	for _, r := range s.extra.rows {
		food, nutrient, _ := strings.Cut(r.id, "/")
		if r.get("basis") != basis(food) {
			faults = append(faults, fmt.Sprintf("%s: basis %s, want %s", r.id, r.get("basis"), basis(food)))
		}
		u := "no nutrient"
		if n, err := prey.ParseNutrient(nutrient); err == nil {
			u = strings.Replace(n.Unit(), "µ", "u", 1)
		}
		if (r.get("unit") == u) == o.named("form", food, nutrient) {
			faults = append(faults, fmt.Sprintf("%s: unit %s", r.id, r.get("unit")))
		}
		isRange := r.get("low") != r.get("high")
		if isRange != strings.Contains(r.get("ref"), "low ") || r.get("low") != r.get("typical") && !isRange {
			faults = append(faults, fmt.Sprintf("%s: %s, %s, %s do not fit their reference", r.id, r.get("low"), r.get("typical"), r.get("high")))
		}
		if d3 := cell(s.extra, food+"/vitamin-d", "typical"); nutrient == "vitamin-d" && d3 > 400 {
			faults = append(faults, fmt.Sprintf("%s: vitamin D %v IU", food, d3))
		}
	}
	return faults
}

// Feeding class follows the name of the organ (common practice); anatomy says
// apart from it what is a gland. Colour follows the species.
func classes(o outside, s shipped) (faults []string) {
	speciesOf := make(map[string]string)
	for _, r := range o.animals.rows {
		for _, word := range strings.Split(r.get("ids"), ";") {
			speciesOf[word] = r.id
		}
	}
	colour := make(map[string]string)
	seen := make(map[string]bool)
	for _, r := range s.foods.rows {
		kind, name := r.get("kind"), r.get("cut")
		if kind == "organ" || kind == "dried" && r.get("slot") != "muscle" {
			var organ row
			for _, w := range o.organs.rows {
				if slices.Contains(strings.FieldsFunc(name, func(c rune) bool { return c == ' ' || c == ',' }), w.id) {
					organ = w
				}
			}
			if organ.t == nil || organ.get("slot") != r.get("slot") {
				faults = append(faults, fmt.Sprintf("%s: slot %q", r.id, r.get("slot")))
			} else if organ.get("gland") == "no" && !strings.Contains(r.get("anatomy"), "no gland") {
				faults = append(faults, r.id+": anatomy "+r.get("anatomy"))
			}
			seen[r.get("slot")] = true
		}
		first, _, _ := strings.Cut(r.id, "-")
		if sp, ok := speciesOf[first]; ok && sp != r.get("species") && !strings.HasSuffix(r.id, "-mix-chicken") {
			faults = append(faults, fmt.Sprintf("%s: species %q", r.id, r.get("species")))
		}
		switch {
		case r.get("colour") == "fish" && kind != "fish" && kind != "whole-prey" && name != "liver":
			faults = append(faults, r.id+": a fish of kind "+kind)
		case kind == "fish" && (r.get("slot") == "muscle") == (name == "roe"):
			faults = append(faults, r.id+": fish in slot "+r.get("slot"))
		case kind == "organ" && strings.HasSuffix(r.get("anatomy"), "bone"):
			faults = append(faults, r.id+": an organ with bone")
		case kind == "cut" && r.get("bone_in") == "yes":
			if r.get("slot") != "" {
				faults = append(faults, r.id+": a bone-in cut has no single slot")
			}
		case kind == "cut" && r.get("slot") != "muscle":
			faults = append(faults, r.id+": boneless cut in slot "+r.get("slot"))
		case (kind == "egg" || kind == "oil" || kind == "supplement" || kind == "dry-food") && (r.get("slot") != "none" || r.get("colour") != "none"):
			faults = append(faults, r.id+": counts in a slot or as meat")
		case kind == "whole-prey" && (r.get("complete") != "yes" || r.get("slot") != "" || r.get("bone_in") != ""):
			faults = append(faults, r.id+": whole prey is complete and has no slot")
		case kind == "fish" && r.get("colour") != "fish":
			faults = append(faults, r.id+": colour "+r.get("colour"))
		}
		if kind != "whole-prey" && r.get("complete") == "yes" && !strings.HasPrefix(r.id, "complete-mix") {
			faults = append(faults, r.id+": marked complete")
		}
		if sp, c := r.get("species"), r.get("colour"); c != "none" && sp != "" {
			if was, ok := colour[sp]; ok && was != c {
				faults = append(faults, fmt.Sprintf("%s: %s is %s here and %s elsewhere", r.id, sp, c, was))
			}
			colour[sp] = c
		} else if sp == "" && kind != "mix" && kind != "dry-food" && kind != "supplement" {
			faults = append(faults, r.id+": no species")
		}
	}
	for _, w := range []string{"heart", "liver", "organ", "muscle"} {
		if !seen[w] {
			faults = append(faults, "no organ in slot "+w)
		}
	}
	// the trade's lists of red and white meat; other animals by likeness (choice)
	for sp, c := range colour {
		if r, ok := o.animals.find(sp); c == "white" && (!ok || r.get("colour") != "white") {
			faults = append(faults, sp+" is white")
		}
	}
	for _, r := range o.animals.rows {
		if want := r.get("colour"); want != "" && colour[r.id] != want {
			faults = append(faults, fmt.Sprintf("%s is %q, want %s: %s", r.id, colour[r.id], want, r.get("colour_by")))
		}
	}
	return faults
}

// Which foods carry which warning. Thiaminase: Chastek paralysis in foxes
// (smelt, sucker, saltwater herring positive; cod, haddock, redfish, mackerel
// negative) and the title of a report on carp.
func hazards(o outside, s shipped) (faults []string) {
	has := func(id, tag string) bool {
		r, ok := s.foods.find(id)
		return ok && slices.Contains(strings.Split(r.get("hazards"), ";"), tag)
	}
	is := func(sp, group string) bool {
		r, ok := o.animals.find(sp)
		return ok && slices.Contains(strings.Split(r.get("groups"), ";"), group)
	}
	listed := func(id, tag string) bool {
		r, ok := o.hazards.find(id + "/" + tag)
		return ok && r.get("carries") == "yes"
	}
	want := func(r row, tag string, should bool) {
		if has(r.id, tag) != should {
			faults = append(faults, fmt.Sprintf("%s: hazard %s is %v, want %v", r.id, tag, !should, should))
		}
	}
	for _, r := range s.foods.rows {
		sp, kind, cut := r.get("species"), r.get("kind"), r.get("cut")
		wild := strings.HasPrefix(r.id, "wild-")
		meat := kind != "egg" && kind != "supplement" && kind != "oil"
		want(r, "raw-pork", is(sp, "pork"))
		want(r, "omnivore-or-carnivore", is(sp, "omnivore"))
		want(r, "poultry", meat && is(sp, "bird") || strings.HasSuffix(r.id, "mix-chicken"))
		want(r, "wild-caught", is(sp, "hunted") || wild)
		want(r, "frozen-rodent-salmonella", is(sp, "rodent") && !wild)
		want(r, "raw-egg-white", kind == "egg" && cut != "egg yolk")
		want(r, "freeze-dried", kind == "dried")
		want(r, "nervous-tissue", strings.HasSuffix(cut, "brain"))
		want(r, "fish-oil-no-vitamin-e", kind == "oil")
		want(r, "vitamin-d-rich", listed(r.id, "vitamin-d-rich"))
		want(r, "vitamin-a-rich", strings.Contains(cut, "liver") || strings.HasSuffix(r.id, "giblets") && kind == "organ" || listed(r.id, "vitamin-a-rich") || kind == "mix" && sp == "")
		want(r, "euthanasia-residue", kind == "whole-prey" && sp != "frog" && r.get("colour") != "fish" && !wild)
		want(r, "raw-fish", r.get("colour") == "fish")
		want(r, "taurine-low", listed(r.id, "taurine-low"))
		want(r, "weight-bearing-bone", listed(r.id, "weight-bearing-bone"))
		want(r, "yolk-sac", kind == "whole-prey" && strings.Contains(cut, "day-old"))
	}
	for _, h := range o.hazards.rows {
		r, ok := s.foods.find(h.get("food"))
		if !ok || h.get("why") == "" {
			faults = append(faults, "hazards.csv: "+h.id+": no such food, or no reason")
			continue
		}
		want(r, h.get("hazard"), h.get("carries") == "yes")
	}
	return faults
}

// loads is the loader of package prey, with its own checks of form, names and
// references.
func loads(o outside, s shipped) []string {
	c, err := prey.Load(s.files, o.reg)
	if err != nil {
		return []string{err.Error()}
	}
	var faults []string
	for _, name := range []string{"wing", "DOC", "pinkie", "fuzzy", "kibble", "egg", "fish oil", "gizzard"} {
		if _, err := c.Find(name); err != nil && name != "gizzard" {
			faults = append(faults, err.Error())
		}
	}
	return faults
}

// A new food is judged by its own figures: a hundred foods of one kind with
// figures far from it are told themselves, and no other food is.
func TestNewFoodFailsNoOther(t *testing.T) {
	o, files := openOutside(t), readDir(t, dataDir)
	for _, name := range []string{"foods.csv", "nutrients.csv"} {
		text := string(files[name].Data)
		tab := mustTable(t, fstest.MapFS{name: files[name]}, strings.TrimSuffix(name, ".csv"))
		for i := range 100 {
			cells := slices.Clone(tab.rows[slices.IndexFunc(tab.rows, func(r row) bool { return r.cells[1] == "beef-round" })].cells[1:])
			cells[0] = fmt.Sprintf("new-%d", i)
			for at := range cells {
				if v, err := strconv.ParseFloat(cells[at], 64); err == nil {
					cells[at] = strconv.FormatFloat(100*v, 'f', -1, 64)
				}
			}
			text += csvLine(cells) + "\n"
		}
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	s, err := openShipped(files)
	if err != nil {
		t.Fatal(err)
	}
	told := make(map[string]bool)
	for _, c := range checks() {
		if c.name == "loader" {
			continue // it takes no food twice by its name
		}
		for _, f := range c.run(o, s) {
			id, _, _ := strings.Cut(f, ":")
			told[id] = true
			if !strings.HasPrefix(id, "new-") {
				t.Errorf("%s: %s", c.name, f)
			}
		}
	}
	if len(told) != 100 {
		t.Errorf("%d of 100 are told", len(told))
	}
}

// Every check must be able to fail: single cells of the shipped files are
// changed one at a time, and the checks above run on the damaged catalogue.
// The comparison to the byte is left out; it would see every change. What
// survives is a cell that no outside number speaks of.
func TestMutantsOfTheCatalogue(t *testing.T) {
	few := 20 // all checks are run for about that many cells of each file
	if os.Getenv("FITCHET_FULL") != "" {
		few = 60
	}
	o := openOutside(t)
	files := readDir(t, dataDir)
	skip := []string{"id", "food", "part", "nutrient", "name", "synonyms", "contains", "note", "piece_name", "anatomy", "cut"}
	if by := firstRed(o, files); by != "" {
		t.Fatalf("%s is red before anything is changed", by)
	}
	total, killed := 0, 0
	byFile := make(map[string][2]int)
	byCheck := make(map[string]int)
	for _, name := range []string{"foods.csv", "nutrients.csv", "parts.csv", "extra.csv", "bone.csv"} {
		lines := strings.Split(strings.TrimSuffix(string(files[name].Data), "\n"), "\n")
		tab := mustTable(t, fstest.MapFS{name: files[name]}, strings.TrimSuffix(name, ".csv"))
		count := 0
		for i, r := range tab.rows {
			for col, at := range tab.cols {
				if col == "line" || slices.Contains(skip, col) || r.cells[at] == "" {
					continue
				}
				count++
				_ = i
			}
		}
		step := max(1, count/few)
		k := 0
		for i, r := range tab.rows {
			for at := 1; at < len(r.cells); at++ {
				col := columnAt(tab, at)
				if slices.Contains(skip, col) || r.cells[at] == "" {
					continue
				}
				if k++; k%step != 0 {
					continue
				}
				damaged := slices.Clone(r.cells[1:])
				damaged[at-1] = mutate(col, damaged[at-1])
				out := slices.Clone(lines)
				out[i+1] = csvLine(damaged)
				changed := fstest.MapFS{}
				for n, f := range files {
					changed[n] = f
				}
				changed[name] = &fstest.MapFile{Data: []byte(strings.Join(out, "\n") + "\n")}
				total++
				n := byFile[name]
				n[1]++
				by := firstRed(o, changed)
				if by != "" {
					killed++
					n[0]++
					byCheck[by]++
				} else if testing.Verbose() {
					t.Logf("lives: %s %s %s: %s for %s", name, r.cells[1], col, damaged[at-1], r.cells[at])
				}
				byFile[name] = n
			}
		}
	}
	t.Logf("%d of %d single-cell changes turn a check red without the byte comparison; by file (red, all) %v; first check to see it %v", killed, total, byFile, byCheck)
	if killed*10 < total*9 {
		t.Errorf("only %d of %d", killed, total)
	}
}

func firstRed(o outside, files fs.FS) string {
	s, err := openShipped(files)
	if err != nil {
		return "reading"
	}
	for _, c := range checks() {
		if len(c.run(o, s)) > 0 {
			return c.name
		}
	}
	return ""
}

func columnAt(t *table, at int) string {
	for col, i := range t.cols {
		if i == at {
			return col
		}
	}
	return ""
}

func csvLine(cells []string) string {
	c := chain{}
	return strings.TrimSuffix(string(c.write(cells, nil)), "\n")
}

// mutate damages one cell in the way such cells are damaged in practice: a
// tenfold slip for numbers, another class for words, a recalled figure for
// evidence.
func mutate(col, text string) string {
	switch {
	case strings.HasSuffix(col, "ref"):
		_, rest, _ := strings.Cut(text, " ")
		return "memory " + rest
	case col == "slot":
		if text == "muscle" {
			return "organ"
		}
		return "muscle"
	case col == "colour":
		if text == "red" {
			return "white"
		}
		return "red"
	case col == "kind":
		if text == "cut" {
			return "organ"
		}
		return "cut"
	case col == "bone_in" || col == "complete":
		return ""
	case col == "species":
		if text == "chicken" {
			return "pig"
		}
		return "chicken"
	case col == "hazards":
		_, rest, _ := strings.Cut(text, ";")
		return rest
	case col == "unit":
		if text == "g" {
			return "mg"
		}
		return "g"
	case col == "basis":
		if text == "edible" {
			return "whole"
		}
		return "edible"
	}
	number, unit, _ := strings.Cut(text, " ")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return text + "x"
	}
	out := strconv.FormatFloat(v*10, 'f', -1, 64)
	if v == 0 {
		out = "1"
	}
	if unit != "" {
		out += " " + unit
	}
	return out
}
