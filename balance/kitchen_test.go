package balance_test

import (
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
	const head = `id,name,synonyms,species,contains,kind,cut,slot,anatomy,colour,bone_in,complete,piece_name,piece_low,piece_typical,piece_high,piece_ref,hazards,energy,energy_ref,note,ref
`
	return map[string]string{
		"foods.csv": head + `thigh,"Chicken thigh, meat only",,chicken,,cut,thigh,muscle,,white,,,,,,,,,,,,published usda-sr28: NDB 05096
heart,Beef heart,,cattle,,organ,heart,heart,,red,,,,,,,,,,,,published usda-sr28: NDB 13321
liver,Beef liver,,cattle,,organ,liver,liver,,red,,,,,,,,,,,,published usda-sr28: NDB 13325
kidney,Beef kidney,,cattle,,organ,kidney,organ,,red,,,,,,,,,,,,published usda-sr28: NDB 13323
wing,Chicken wing,,chicken,,cut,wing,muscle,,white,yes,,wing,,107 g,,published usda-sr28: NDB 05100 WEIGHT,,,,,published usda-sr28: NDB 05100
bone,Bare bone,,cattle,,cut,bone,muscle,,red,yes,,,,,,,,,,,choice: bone without meat
rabbit,Rabbit meat,,rabbit,,cut,meat,muscle,,white,,,,,,,,,,,,choice: made up
lamb,Lamb meat,,sheep,,cut,meat,muscle,,red,,,,,,,,,,,,choice: made up
chick,Day-old chick,,chicken,,whole-prey,whole,,,white,,yes,chick,39 g,41 g,43 g,published r-chickweight: Time 0,,1.3,published sacn5-ch71: Table 71-5,,published sacn5-ch71: Table 71-5
egg,Hen egg,,chicken,,egg,egg,none,,none,,,egg,38 g,50 g,63 g,published usda-sr28: NDB 01123 WEIGHT,,,,,published usda-sr28: NDB 01123
duck-egg,Duck egg,,duck,,egg,egg,none,,none,,,,,,,,,,,published usda-sr28: NDB 01138
oil,Salmon oil,,salmon,,oil,oil,none,,none,,,teaspoon,4.5 g,4.5 g,4.5 g,published usda-sr28: NDB 04593 WEIGHT,,,,,published usda-sr28: NDB 04593
eggshell,Eggshell powder,,chicken,,supplement,,none,,none,,,,,,,,,,,,published brun-2013: calcium
salmon,Salmon fillet,,salmon,,fish,fillet,muscle,,fish,,,,,,,,,,,,choice: made up
loach,Loach,,loach,,fish,fillet,muscle,,fish,,,,,,,,thiaminase,,,,choice: made up
pork,Pork loin,,pig,,cut,loin,muscle,,red,,,,,,,,,,,,choice: made up
grind,Boneless grind,,chicken,,mix,mince,muscle,,white,,,,,,,,,,,,choice: made up
riddle,Grind of unknown parts,,chicken,,mix,mince,,,white,,,,,,,,,,,,choice: made up
dried,Dried rabbit,,rabbit,,dried,meat,muscle,,white,,,,,,,,,,,,choice: made up
pure,Pure test meat,,goat,,cut,meat,muscle,,red,,,,,,,,,,,,choice: made up
blank,Meat without figures,,horse,,cut,meat,muscle,,red,,,,,,,,,,,,choice: made up
`,
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
		"bone.csv": `nutrient,low,typical,high,unit,ref
calcium,11.02652,11.083093068,22.222222222,g,"derived suchy-2009, old-bones-2017, field-2000: 18.1 x 0.6092; 60.92 x 0.4917 x 0.37; 100/4.5"
phosphorus,5.07159,5.107416160,10.240655402,g,"derived suchy-2009, old-bones-2017, field-2000: 8.325 x 0.6092; calcium / 2.17"
water,,39.08,,g,derived old-bones-2017: 100 - 60.92
`,
	}
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
	screen *balance.Screen
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
	k.screen, err = balance.NewScreen(nil, k.foods, safety.Context{})
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
	if in.Screen == nil {
		in.Screen = k.screen
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
