package balance_test

import (
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Unknown is not zero. Meat without figures (blank) stands beside meat of which
// all is known (pure: calcium 200 mg, phosphorus 200 mg, vitamin A 100 IU, 104
// kcal per 100 g). The arithmetic is ours.
func TestUnknownIsNotZero(t *testing.T) {
	k := open(t)
	const met, missed, open_ = balance.Met, balance.Missed, balance.Open
	tests := []struct {
		rule, name, food string
		typical, whole   balance.Verdict
	}{
		// Everything known.
		{"vitamin-a-least", "962 IU, all known", "pure 100 g", met, met},
		// A tenth unknown, of dividend and divisor: taken to be like the rest,
		// but over the range nothing can be said.
		{"vitamin-a-least", "962 IU, a tenth unknown", "pure 90 g, blank 10 g", met, open_},
		{"protein-least", "80 % of dry matter, a tenth unknown", "pure 90 g, blank 10 g", met, open_},
		// Oil has energy and no taurine figure; liver and kidney none either.
		// Pure has 50 mg in 104 kcal: 0.48 g per 1000 kcal, under 0.5.
		{"taurine-least", "all known", "pure 100 g", missed, missed},
		// 89 g of 100 known and the energy of all: the true figure is at least
		// 44.5 mg in 103.98 kcal (0.43 g); it may be more. Taken to be like the
		// rest 50 mg in 103.98 kcal is 0.481 g: missed, and open over the range.
		{"taurine-least", "the rest may hold some", "pure 89 g, rabbit 11 g", missed, open_},
		// Without phosphorus in a tenth, 200/200 stands at 1:1 typical.
		{"ca-p-floor", "a tenth unknown", "pure 90 g, blank 10 g", met, open_},
		// 80 % is enough, less is not.
		{"taurine-least", "four fifths", "pure 80 g, rabbit 20 g", missed, open_},
		{"taurine-least", "under four fifths", "pure 79.999999999999 g, rabbit 20 g", open_, open_},
	}
	for _, tt := range tests {
		t.Run(tt.rule+"/"+tt.name, func(t *testing.T) {
			r := k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: "+tt.food)})
			f := one(t, r, tt.rule)
			if f.Verdict != tt.typical || f.Whole != tt.whole {
				t.Errorf("%s and %s over the range, want %s and %s (%s)", f.Verdict, f.Whole, tt.typical, tt.whole, f.MeasuredText())
			}
			if f.Whole == open_ && f.Settle() == "" {
				t.Error("nothing is said of what would settle it")
			}
		})
	}
}

// A floor that holds without the unknown holds with it: what is not known can
// only add. 500 mg taurine per 1000 kcal are reached by pure meat and powder
// alone, and 104 kcal are all there are.
func TestFloorOfTheKnown(t *testing.T) {
	files := kitchenFiles()
	files["extra.csv"] = strings.Replace(files["extra.csv"], "pure,taurine,,50,", "pure,taurine,,80,", 1)
	k := open(t)
	k.foods = load(t, files)
	// 90 g hold 72 mg in 104 kcal of all: 0.69 g per 1000 kcal whatever the
	// rabbit holds.
	r := k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: pure 90 g, rabbit 10 g")})
	if f := one(t, r, "taurine-least"); f.Verdict != balance.Met || f.Whole != balance.Met {
		t.Errorf("%s and %s over the range, want met and met", f.Verdict, f.Whole)
	}
	// With 55 mg the known alone are short (0.476) and the whole, if the rest is
	// like it, is not (0.529).
	files["extra.csv"] = strings.Replace(files["extra.csv"], "pure,taurine,,80,", "pure,taurine,,55,", 1)
	k.foods = load(t, files)
	r = k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: pure 90 g, rabbit 10 g")})
	if f := one(t, r, "taurine-least"); f.Verdict != balance.Met || f.Whole != balance.Open {
		t.Errorf("%s and %s over the range, want met and open", f.Verdict, f.Whole)
	}
	// Zinc of bone is counted nowhere: with a wing in it a shortage is sure only
	// at the typical figures.
	r = k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: pure 90 g, wing 10 g")})
	if f := one(t, r, "zinc-least"); f.Verdict != balance.Missed || f.Whole != balance.Open {
		t.Errorf("zinc with bone: %s and %s over the range, want missed and open", f.Verdict, f.Whole)
	}
	r = k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: rabbit 90 g")})
	if f := one(t, r, "zinc-least"); f.Verdict != balance.Missed || f.Whole != balance.Missed {
		t.Errorf("zinc without bone: %s and %s over the range, want missed and missed", f.Verdict, f.Whole)
	}
	// The other way round: liver-most, an upper bound, is passed by the known
	// liver alone, and stays open when it is not.
	r = k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: pure 75 g, liver 12 g, riddle 13 g")})
	if f := one(t, r, "liver-most"); f.Verdict != balance.Missed || f.Whole != balance.Missed {
		t.Errorf("12 %% of known liver: %s and %s, want missed and missed", f.Verdict, f.Whole)
	}
	r = k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: pure 85 g, liver 5 g, riddle 10 g")})
	if f := one(t, r, "liver-most"); f.Verdict != balance.Met || f.Whole != balance.Open {
		t.Errorf("5 %% of known liver and a tenth unknown: %s and %s, want met and open", f.Verdict, f.Whole)
	}
}

// How often a thing is fed is counted for the animal that is worst off, and the
// finding names it when bowls differ.
func TestWorstOffAnimal(t *testing.T) {
	k := open(t)
	h := rescue(ferret("bramble", ration.Jill, 800), ferret("moss", ration.Hob, 1500))
	r := k.audit(t, balance.Input{Household: h, Plan: k.week(t, 7,
		"1-3.1 bramble: salmon 9 g, wing 9 g", "1-2.1 moss: salmon 9 g", "3.1 moss: wing 9 g")})
	if f := one(t, r, "fish-most"); f.Verdict != balance.Missed || f.Animal == nil || f.Animal.ID != "bramble" {
		t.Errorf("fish on three days for one of two: %s for %v", f.Verdict, f.Animal)
	}
	if f := one(t, r, "bone-often"); f.Verdict != balance.Missed || f.Animal == nil || f.Animal.ID != "moss" {
		t.Errorf("bone on one day for one of two: %s for %v", f.Verdict, f.Animal)
	}
}

// A hazard that rests on something to be looked up is open, one that holds is
// missed, and each stands with its own gravity.
func TestHazardStanding(t *testing.T) {
	k := open(t)
	r := k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: thigh 50 g, pork 1 g")})
	var open_, stops int
	for i := range r.Findings {
		f := &r.Findings[i]
		switch {
		case f.Hazard == nil:
		case f.Severity == balance.Stop && f.Verdict == balance.Missed:
			stops++
			if m := f.Mends(); len(m) != 1 || m[0].Food.ID != "pork" || !m[0].Remove {
				t.Errorf("what mends pork is %v", m)
			}
		case f.Hazard.Standing == safety.StandOpen:
			open_++
			if f.Verdict != balance.Open || f.Settle() != f.Hazard.Do {
				t.Errorf("%s: %s, settle %q", f.Hazard.ID, f.Verdict, f.Settle())
			}
		}
		if f.Hazard != nil && f.Severity != f.Hazard.Severity {
			t.Errorf("%s: gravity %s, its own is %s", f.Hazard.ID, f.Severity, f.Hazard.Severity)
		}
	}
	if stops != 1 || open_ == 0 {
		t.Errorf("%d stops and %d open hazards; want pork alone and bird flu not looked up", stops, open_)
	}
}

// A rule for ferrets does not judge a cat, and a hunted animal is asked about as
// one.
func TestSpeciesOfTheHousehold(t *testing.T) {
	k := open(t)
	cat := ration.Animal{ID: "tom", Name: "Tom", Species: ration.Cat, Mass: 4 * units.Kilogram, Stage: ration.Adult}
	p := k.week(t, 7, "1-7.1 tom: thigh 150 g")
	p.Target = "cat-less-bone"
	r := k.audit(t, balance.Input{Plan: p, Household: rescue(cat)})
	for _, id := range []string{"eggs-weekly", "red-meat", "proteins-distinct", "trade-amount-jill"} {
		if f := one(t, r, id); f.Verdict != balance.NotApplicable || f.Reason != balance.OtherSpecies {
			t.Errorf("%s for a cat: %s, %s", id, f.Verdict, f.Reason.Words())
		}
	}
	if f := one(t, r, "share-bone"); f.Verdict != balance.Missed {
		t.Errorf("share-bone for a cat without bone: %s", f.Verdict)
	}
}

// recallScreen knows of a recall of one lot of rabbit.
func recallScreen(t testing.TB, k kitchen) *safety.HazardCheck {
	t.Helper()
	notices, err := safety.LoadNotices("notices.yaml", strings.NewReader(`
as-of: 2026-11-25
notices:
  - id: rabbit-recall
    kind: recall
    supplier: Example Meats
    lots: [L1]
    state: in-force
    confirmed: 2026-11-24
    read-in: letter
    words: Salmonella found.
`))
	if err != nil {
		t.Fatal(err)
	}
	screen, err := safety.NewHazardCheck(nil, k.foods, safety.Context{Notices: notices, On: notices.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	return screen
}

// A recall is found through the supplier of a lot in stock.
func TestRecall(t *testing.T) {
	k := open(t)
	screen := recallScreen(t, k)
	h := rescue(ferret("bramble", ration.Jill, 800))
	p := k.week(t, 1, "1.1 bramble: rabbit 60 g")
	for lot, want := range map[string]int{"L1": 1, "L2": 0} {
		h.Stock = []ration.Stock{{Food: k.food(t, "rabbit"), Mass: 1, Supplier: "Example Meats", Lot: lot}}
		r := k.audit(t, balance.Input{Plan: p, Household: h, HazardCheck: screen})
		n := 0
		for i := range r.Findings {
			if hz := r.Findings[i].Hazard; hz != nil && hz.Severity == balance.Stop {
				n++
			}
		}
		if n != want {
			t.Errorf("lot %s: %d stops, want %d", lot, n, want)
		}
	}
}

// A hazard that begins at a share of the food is found from that share on.
func TestHazardByShare(t *testing.T) {
	k, err := setUp()
	if err != nil {
		t.Fatal(err)
	}
	files := kitchenFiles()
	files["foods.csv"] = files["foods.csv"] +
		strings.TrimPrefix(foodRows("id=white name=Egg_white species=chicken kind=egg cut=egg slot=none colour=none hazards=raw-egg-white"), foodRows())
	k.foods = load(t, files)
	if k.screen, err = safety.NewHazardCheck(nil, k.foods, safety.Context{}); err != nil {
		t.Fatal(err)
	}
	ids := func(line string) map[string]bool {
		out := map[string]bool{}
		r := k.audit(t, balance.Input{Plan: k.week(t, 7, line)})
		for i := range r.Findings {
			if h := r.Findings[i].Hazard; h != nil {
				out[h.ID] = true
			}
		}
		return out
	}
	little, much := ids("1.1: lamb 95 g, white 5 g"), ids("1.1: lamb 50 g, white 50 g")
	more := 0
	for id := range much {
		if !little[id] {
			more++
		}
	}
	if more == 0 {
		t.Errorf("half the food as raw egg white finds nothing more than a twentieth: %v", much)
	}
}

// Too little is known of vitamin A in rabbit for a verdict, but what is known of
// the liver beside it decides where what is not known can only add.
func TestKnownPartAlone(t *testing.T) {
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		liver units.Mass
		id    string
		want  balance.Verdict
	}{
		{units.Milligram, "vitamin-a-least", balance.Open},
		{units.Gram, "vitamin-a-least", balance.Met},
		{units.Gram, "vitamin-a-most", balance.Open},
		{20 * units.Gram, "vitamin-a-most", balance.Missed},
	} {
		p := &ration.Plan{Start: day0}
		for d := range 7 {
			m := ration.Meal{Slot: 1}
			for id, mass := range map[string]units.Mass{"rabbit-meat": 80 * units.Gram, "goat-liver": tt.liver} {
				food, err := foods.Find(id)
				if err != nil {
					t.Fatal(err)
				}
				m.Servings = append(m.Servings, ration.Serving{Food: food, Mass: mass})
			}
			p.Days = append(p.Days, ration.Day{Date: day0.AddDays(d), Meals: []ration.Meal{m}})
		}
		r, err := balance.Audit(balance.Input{Plan: p})
		if err != nil {
			t.Fatal(err)
		}
		f := one(t, r, tt.id)
		if f.Verdict != tt.want || f.Whole != tt.want || (f.Reason == balance.LittleKnown) != (tt.want == balance.Open) {
			t.Errorf("%s of liver, %s: %s and %s, %s (%s)", tt.liver, tt.id, f.Verdict, f.Whole, f.ReasonText(), f.MeasuredText())
		}
		if tt.want == balance.Missed && f.Side != balance.Above {
			t.Errorf("%s of liver lies on side %v of %s", tt.liver, f.Side, tt.id)
		}
	}
}

// Cats are held to a cat's shares unless the household says otherwise.
func TestDefaultTarget(t *testing.T) {
	k := open(t)
	cat := ration.Animal{ID: "tom", Name: "Tom", Species: ration.Cat, Mass: 4 * units.Kilogram, Stage: ration.Adult}
	for _, tt := range []struct {
		h    *ration.Household
		want string
	}{
		{nil, balance.DefaultTarget},
		{rescue(ferret("bramble", ration.Jill, 800)), balance.DefaultTarget},
		{rescue(cat, ferret("bramble", ration.Jill, 800)), balance.DefaultTarget},
		{rescue(cat), balance.DefaultCatTarget},
	} {
		in := balance.Input{Household: tt.h, Plan: k.week(t, 7, "1-7.1: thigh 150 g")}
		if tt.h != nil {
			in.Plan = k.week(t, 7, "1-7.1 "+tt.h.Animals[0].ID+": thigh 150 g")
		}
		if r := k.audit(t, in); r.Target.ID != tt.want {
			t.Errorf("held to %s, want %s", r.Target.ID, tt.want)
		}
	}
}
