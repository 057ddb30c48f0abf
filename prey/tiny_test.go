package prey

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// tiny is a small catalogue. Its nutrient rows are USDA SR28 by NDB number; its
// bone table is unrounded, so that worked tables can be reproduced to the last
// printed figure:
//
//	poorest  broiler leg bone, 18.1 and 8.325 g per 100 g DM (Suchy 2009) x 0.6092
//	typical  fresh sheep and pig bone, 60.92 x 49.17 % x 0.37 (old-bones-2017, Field 2000), P = Ca / 2.17
//	richest  cortical bone, 100 / 4.5 (Field 2000), P = Ca / 2.17
func tiny() map[string]string {
	return map[string]string{
		"foods.csv": `id,name,synonyms,species,contains,kind,cut,slot,anatomy,colour,bone_in,complete,piece_name,piece_low,piece_typical,piece_high,piece_ref,hazards,energy,energy_ref,note,ref
thigh,"Chicken thigh, meat only",thigh meat; drumless leg,chicken,,cut,thigh,muscle,skeletal muscle,white,no,no,,,,,,,,,,published usda-sr28: NDB 05096
heart,Beef heart,,beef,,organ,heart,heart,cardiac muscle,red,,,,,,,,,,,,published usda-sr28: NDB 13321
liver,Beef liver,ox liver,beef,,organ,liver,liver,gland,red,,,,,,,,vitamin-a-rich,,,Vary the animal.,published usda-sr28: NDB 13325
kidney,Beef kidney,,beef,,organ,kidney,organ,,red,,,,,,,,,,,,published usda-sr28: NDB 13323
wing,Chicken wing with bone,,chicken,,cut,wing,muscle,,white,yes,,wing,,107 g,,published usda-sr28: NDB 05100 WEIGHT,cooked-bone,,,,published usda-sr28: NDB 05100
neck,Turkey neck,,turkey,,cut,neck,muscle,,red,yes,,,,,,,,,,,practice
bone,Bare bone,,beef,,cut,bone,muscle,,red,yes,,,,,,,,,,,choice: a bone without meat for worked examples
chick,Day-old chick,,chicken,,whole-prey,whole,,,white,no,yes,chick,39 g,41.06 g,43 g,published r-chickweight: Time 0,,1.3,published sacn5-ch71: Table 71-5,,published sacn5-ch71: Table 71-5
mouse,Mouse,,mouse,,whole-prey,whole,,,red,no,yes,,,,,,,1.7,published sacn5-ch71: Table 71-5,,published sacn5-ch71: Table 71-5
eggshell,Eggshell powder,,chicken,,supplement,,none,,none,,,,,,,,,,,,published brun-2013: calcium of eggshell
`,
		"parts.csv": `food,part,low,typical,high,bone,basis,ref
wing,bone,31 %,38 %,46 %,beef,refuse,published usda-sr28: NDB 05100 refuse
bone,bone,,100 %,,beef,refuse,choice: a bone without meat for worked examples
mouse,muscle,,38.40 %,,,,derived httk-2-7-4: volume x density
mouse,bone,,10.73 %,,mouse-skeleton,clean,derived httk-2-7-4: volume x density
mouse,liver,,5.49 %,,,,derived httk-2-7-4: volume x density
mouse,heart,,0.50 %,,,,derived httk-2-7-4: volume x density
`,
		"nutrients.csv": `food,basis,water_g,protein_g,fat_g,ash_g,calcium_mg,phosphorus_mg,zinc_mg,vitamin_a_iu,ref
thigh,edible,76.22,19.66,4.12,0.95,7,185,1.58,24,published usda-sr28: NDB 05096
heart,edible,77.11,17.72,3.94,1.10,7,212,1.70,0,published usda-sr28: NDB 13321
liver,edible,70.81,20.36,3.63,1.31,5,387,4.00,16898,published usda-sr28: NDB 13325
kidney,edible,77.89,17.40,3.09,1.33,13,257,1.92,1397,published usda-sr28: NDB 13323
wing,edible,69.19,17.52,12.85,0.74,11,123,1.21,29,published usda-sr28: NDB 05100
neck,edible,70,17,8,1,27,155,,,practice
bone,edible,,,,,0,0,,,choice: a bone without meat for worked examples
chick,whole,73,,,,351,260,,,derived sacn5-ch71: 1.30 and 0.96 % x 27 % dry matter
mouse,whole,65,,,,840,605,,,derived sacn5-ch71: 2.40 and 1.73 % x 35 % dry matter
eggshell,whole,,,,,40100,0,,,published brun-2013: 401 mg/g
`,
		"extra.csv": `food,nutrient,low,typical,high,unit,basis,ref
thigh,taurine,120,140,160,mg,edible,choice: a range to test with
`,
		"bone.csv": `kind,basis,for,nutrient,low,typical,high,unit,ref
beef,refuse,,calcium,11.02652,11.083093068,22.222222222,g,"derived suchy-2009, old-bones-2017, field-2000: 18.1 x 0.6092; 60.92 x 0.4917 x 0.37; 100/4.5"
beef,refuse,,phosphorus,5.07159,5.107416160,10.240655402,g,"derived suchy-2009, old-bones-2017, field-2000: 8.325 x 0.6092; calcium / 2.17"
beef,refuse,,water,,39.08,,g,derived old-bones-2017: 100 - 60.92
bird,refuse,poultry,calcium,11.02652,11.083093068,22.222222222,g,"derived suchy-2009, old-bones-2017, field-2000: as beef"
bird,refuse,poultry,phosphorus,5.07159,5.107416160,10.240655402,g,"derived suchy-2009, old-bones-2017, field-2000: as beef"
bird,refuse,poultry,water,,39.08,,g,derived old-bones-2017: 100 - 60.92
femur,clean,large-bone,calcium,11.083093068,12.876,22.222222222,g,"derived old-bones-2017, paloheimo-1965, field-2000: 60.92 x 0.4917 x 0.37; 34.8 x 0.37; 100/4.5"
rodent,clean,rodent,calcium,7.828518,8.723,9.631781,g,"derived sacn5-ch71, httk-2-7-4: mouse and rat"
mouse-skeleton,clean,,calcium,,7.828518,,g,"derived sacn5-ch71, httk-2-7-4: 2.40 x 0.35 / 0.1073"
rat-skeleton,clean,,calcium,,9.631781,,g,"derived sacn5-ch71, httk-2-7-4: 2.068 x 0.34 / 0.073"
`,
	}
}

func asFS(files map[string]string) fs.FS {
	m := fstest.MapFS{}
	for name, text := range files {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return m
}

func sources(t testing.TB) *cite.Registry {
	t.Helper()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return reg
}

func tinyCatalogue(t testing.TB) *Catalogue {
	t.Helper()
	c, err := Load(asFS(tiny()), sources(t))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func find(t testing.TB, c *Catalogue, name string) *Food {
	t.Helper()
	f, err := c.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func mass(t testing.TB, text string) units.Mass {
	t.Helper()
	m, err := units.ParseMass(text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func density(t testing.TB, text string) Density {
	t.Helper()
	d, err := ParseDensity(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// mixture tallies "70 g" of one food after another.
func mixture(t testing.TB, c *Catalogue, pairs ...string) *Tally {
	t.Helper()
	var sum Tally
	for i := 0; i < len(pairs); i += 2 {
		if err := sum.Add(find(t, c, pairs[i+1]), mass(t, pairs[i])); err != nil {
			t.Fatal(err)
		}
	}
	return &sum
}

func amount(t testing.TB, s *Tally, c Case, n Nutrient, places int32) string {
	t.Helper()
	sum, _ := s.Nutrient(c, n)
	return Amount(sum).Rounded(places)
}

// ratio is calcium to phosphorus, for showing.
func ratio(s *Tally, c Case, places int32) string {
	ca, _ := s.Nutrient(c, Calcium)
	p, _ := s.Nutrient(c, Phosphorus)
	return Amount(ca).Decimal().DivRound(Amount(p).Decimal(), places).StringFixed(places)
}

func contains(t testing.TB, got string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(got, w) {
			t.Errorf("missing %q in:\n%s", w, got)
		}
	}
}
