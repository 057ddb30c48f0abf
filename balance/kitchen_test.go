package balance_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// The kitchen of the tests: a small catalogue whose soft rows are those of USDA
// SR28 by NDB number, so that worked tables can be followed by hand, and a few
// foods made up so that a bound can be met exactly.
func kitchenFiles() map[string]string {
	return map[string]string{
		"foods.csv": foodRows(
			"id=thigh name=Chicken_thigh species=chicken kind=cut cut=thigh slot=muscle colour=white ref=published_usda-sr28:_NDB_05096",
			"id=heart name=Beef_heart species=cattle kind=organ cut=heart slot=heart colour=red ref=published_usda-sr28:_NDB_13321",
			"id=liver name=Beef_liver species=cattle kind=organ cut=liver slot=liver colour=red ref=published_usda-sr28:_NDB_13325",
			"id=kidney name=Beef_kidney species=cattle kind=organ cut=kidney slot=organ colour=red ref=published_usda-sr28:_NDB_13323",
			"id=wing name=Chicken_wing species=chicken kind=cut cut=wing slot=muscle colour=white bone_in=yes piece_name=wing piece_typical=107_g piece_ref=published_usda-sr28:_NDB_05100_WEIGHT ref=published_usda-sr28:_NDB_05100",
			"id=bone name=Bare_bone species=cattle kind=cut cut=bone slot=muscle colour=red bone_in=yes",
			"id=rabbit name=Rabbit_meat species=rabbit kind=cut cut=meat slot=muscle colour=white",
			"id=lamb name=Lamb_meat species=sheep kind=cut cut=meat slot=muscle colour=red",
			"id=chick name=Day-old_chick species=chicken kind=whole-prey cut=whole colour=white complete=yes piece_name=chick piece_low=39_g piece_typical=41_g piece_high=43_g piece_ref=published_r-chickweight:_Time_0 energy=1.3 energy_ref=published_sacn5-ch71:_Table_71-5",
			"id=egg name=Hen_egg species=chicken kind=egg cut=egg slot=none colour=none piece_name=egg piece_low=38_g piece_typical=50_g piece_high=63_g piece_ref=published_usda-sr28:_NDB_01123_WEIGHT ref=published_usda-sr28:_NDB_01123",
			"id=duck-egg name=Duck_egg species=duck kind=egg cut=egg slot=none colour=none",
			"id=oil name=Salmon_oil species=salmon kind=oil cut=oil slot=none colour=none piece_name=teaspoon piece_typical=4.5_g piece_ref=published_usda-sr28:_NDB_04593_WEIGHT",
			"id=eggshell name=Eggshell_powder species=chicken kind=supplement slot=none colour=none",
			"id=salmon name=Salmon_fillet species=salmon kind=fish cut=fillet slot=muscle colour=fish",
			"id=loach name=Loach species=fish kind=fish cut=fillet slot=muscle colour=fish hazards=thiaminase",
			"id=pork name=Pork_loin species=pig kind=cut cut=loin slot=muscle colour=red",
			"id=grind name=Boneless_grind species=chicken kind=mix cut=mince slot=muscle colour=white",
			"id=riddle name=Grind_of_unknown_parts species=chicken kind=mix cut=mince colour=white",
			"id=dried name=Dried_rabbit species=rabbit kind=dried cut=meat slot=muscle colour=white",
			"id=pure name=Pure_test_meat species=goat kind=cut cut=meat slot=muscle colour=red",
			"id=blank name=Meat_without_figures species=horse kind=cut cut=meat slot=muscle colour=red",
		),
		"parts.csv": `food,part,low,typical,high,ref
wing,bone,31 %,38 %,46 %,published usda-sr28: NDB 05100 refuse
bone,bone,,100 %,,choice: bone without meat
chick,bone,,10 %,,choice: made up
chick,liver,,4 %,,choice: made up
chick,heart,,0.6 %,,choice: made up
chick,rest,,30 %,,choice: made up
`,
		"nutrients.csv": `food,basis,water_g,protein_g,fat_g,ash_g,calcium_mg,phosphorus_mg,zinc_mg,thiamin_mg,vitamin_a_iu,ref
thigh,edible,76.22,19.66,4.12,0.95,7,185,1.58,0.088,24,published usda-sr28: NDB 05096
heart,edible,77.11,17.72,3.94,1.10,7,212,1.70,0.238,0,published usda-sr28: NDB 13321
liver,edible,70.81,20.36,3.63,1.31,5,387,4.00,0.189,16898,published usda-sr28: NDB 13325
kidney,edible,77.89,17.40,3.09,1.33,13,257,1.92,0.357,1397,published usda-sr28: NDB 13323
wing,edible,69.19,17.52,12.85,0.74,11,123,1.21,0.054,29,published usda-sr28: NDB 05100
bone,edible,,0,0,,0,0,,,0,choice: bone without meat
rabbit,edible,75,20,4,1,10,200,1.5,0.1,0,choice: made up
lamb,edible,75,20,4,1,10,200,1.5,0.1,0,choice: made up
chick,whole,73,,,,351,260,,,,derived sacn5-ch71: Table 71-5 x dry matter 27 %
egg,edible,76.15,12.56,9.51,1.06,56,198,1.29,0.040,540,published usda-sr28: NDB 01123
oil,edible,0,0,100,0,0,0,0,0,0,published usda-sr28: NDB 04593
eggshell,whole,,,,,40100,0,,,,published brun-2013: 401 mg/g
salmon,edible,70,20,9,1,10,200,0.5,0.1,50,choice: made up
loach,edible,70,20,9,1,10,200,0.5,0.1,50,choice: made up
pork,edible,70,20,9,1,10,200,0.5,0.1,0,choice: made up
grind,edible,70,20,9,1,10,200,0.5,0.1,0,choice: made up
dried,whole,5,75,16,4,40,800,6,0.4,0,choice: made up
pure,edible,75,20,4,1,200,200,2,0.125,100,choice: made up
`,
		"extra.csv": `food,nutrient,low,typical,high,unit,basis,ref
pure,taurine,,50,,mg,edible,choice: made up
`,
		"bone.csv": boneRows(
			`calcium,2.4,3.1,4.5,g,"choice cansu-2015: refuse of a broiler wing"`,
			`phosphorus,1.143,1.476,2.143,g,"choice cansu-2015: calcium / 2.1"`,
			`water,,57.5,,g,published cansu-2015: abstract`),
	}
}

// boneRows writes bone.csv: one bone for all animals, on either basis, so that the
// arithmetic of the tests stays plain.
func boneRows(figures ...string) string {
	var b strings.Builder
	b.WriteString("kind,basis,for,nutrient,low,typical,high,unit,ref\n")
	for _, basis := range []string{"refuse", "clean"} {
		for _, f := range figures {
			fmt.Fprintf(&b, "%s-bone,%s,poultry;large-bone;lagomorph;rodent,%s\n", basis, basis, f)
		}
	}
	return b.String()
}

// foodRows writes foods.csv from "column=value" words, with _ for a blank. A row
// without evidence is made up for the tests.
func foodRows(rows ...string) string {
	columns := strings.Split("id,name,synonyms,species,contains,kind,cut,slot,anatomy,colour,bone_in,complete,piece_name,piece_low,piece_typical,piece_high,piece_ref,hazards,energy,energy_ref,note,ref", ",")
	var b strings.Builder
	b.WriteString(strings.Join(columns, ",") + "\n")
	for _, row := range rows {
		values := map[string]string{"ref": "choice: made up"}
		for word := range strings.FieldsSeq(row) {
			key, value, _ := strings.Cut(word, "=")
			values[key] = strings.ReplaceAll(value, "_", " ")
		}
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = values[c]
		}
		b.WriteString(strings.Join(cells, ",") + "\n")
	}
	return b.String()
}

func load(t testing.TB, files map[string]string) *prey.Catalogue {
	t.Helper()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	c, err := prey.Load(fsys, reg)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// kitchen holds what every test needs, read once.
type kitchen struct {
	foods  *prey.Catalogue
	book   *balance.Book
	screen *safety.HazardCheck
}

var setUp = sync.OnceValues(func() (kitchen, error) {
	reg, err := cite.Shipped()
	if err != nil {
		return kitchen{}, err
	}
	fsys := fstest.MapFS{}
	for name, text := range kitchenFiles() {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var k kitchen
	if k.foods, err = prey.Load(fsys, reg); err != nil {
		return k, err
	}
	if k.book, err = balance.Shipped(); err != nil {
		return k, err
	}
	k.screen, err = safety.NewHazardCheck(nil, k.foods, safety.Context{})
	return k, err
})

func open(t testing.TB) kitchen {
	t.Helper()
	k, err := setUp()
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func (k kitchen) food(t testing.TB, id string) *prey.Food {
	t.Helper()
	f, err := k.foods.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// ferret is a healthy adult of that weight.
func ferret(id string, sex ration.Sex, grams int64) ration.Animal {
	return ration.Animal{ID: id, Name: id, Species: ration.Ferret, Sex: sex, Mass: units.Mass(grams) * units.Gram, Stage: ration.Adult}
}

// rescue is the household of the tests.
func rescue(animals ...ration.Animal) *ration.Household {
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day0, Start: day0, Animals: animals}
	return h
}

var day0 = units.Date(20800)

// week makes a plan from lines such as
//
//	1.1 bramble moss: thigh 57 g, liver 3 g
//
// which is day 1, meal 1, for bramble and moss. A line "1-7.1" stands on every
// day. A mass may be followed by xN for pieces and by the form in brackets.
func (k kitchen) week(t testing.TB, days int, lines ...string) *ration.Plan {
	t.Helper()
	p := &ration.Plan{Household: "Brackenford Ferret Rescue", Start: day0, Days: make([]ration.Day, days)}
	for d := range p.Days {
		p.Days[d].Date = day0.AddDays(d)
	}
	for _, line := range lines {
		head, body, ok := strings.Cut(line, ":")
		if !ok {
			t.Fatalf("line %q has no colon", line)
		}
		words := strings.Fields(head)
		span, slotText, _ := strings.Cut(words[0], ".")
		from, to, isSpan := strings.Cut(span, "-")
		if !isSpan {
			to = from
		}
		slot := 1
		if slotText != "" {
			slot = atoi(t, slotText)
		}
		for d := atoi(t, from); d <= atoi(t, to); d++ {
			m := ration.Meal{Slot: slot, For: words[1:]}
			for part := range strings.SplitSeq(body, ",") {
				m.Servings = append(m.Servings, k.serving(t, strings.TrimSpace(part)))
			}
			p.Days[d-1].Meals = append(p.Days[d-1].Meals, m)
		}
	}
	return p
}

func (k kitchen) serving(t testing.TB, text string) ration.Serving {
	t.Helper()
	var s ration.Serving
	if before, form, ok := strings.Cut(text, "("); ok {
		text = strings.TrimSpace(before)
		f, err := safety.ParseForm(strings.TrimSuffix(form, ")"))
		if err != nil {
			t.Fatal(err)
		}
		s.Form = f
	}
	id, amount, _ := strings.Cut(text, " ")
	if mass, n, ok := strings.Cut(amount, " x"); ok {
		amount = mass
		s.Pieces = int64(atoi(t, n))
	}
	m, err := units.ParseMass(amount)
	if err != nil {
		t.Fatal(err)
	}
	s.Food, s.Mass = k.food(t, id), m
	return s
}

func atoi(t testing.TB, s string) int {
	t.Helper()
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' {
			t.Fatalf("%q is not a number", s)
		}
		n = 10*n + int(c-'0')
	}
	return n
}

func (k kitchen) audit(t testing.TB, in balance.Input) *balance.Report {
	t.Helper()
	if in.Book == nil {
		in.Book = k.book
	}
	if in.HazardCheck == nil {
		in.HazardCheck = k.screen
	}
	r, err := balance.Audit(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// one returns the only finding of a rule.
func one(t testing.TB, r *balance.Report, id string) *balance.Finding {
	t.Helper()
	f := r.Find(id)
	if len(f) != 1 {
		t.Fatalf("rule %s: %d findings, want 1", id, len(f))
	}
	return &f[0]
}
