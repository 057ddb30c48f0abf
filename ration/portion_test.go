package ration

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/ration/internal/given"

	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestSplitServing(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		mass    string
		pieces  int64
		weights []int64
		want    string
	}{
		{"whole grams", "100 g", 0, []int64{1, 1, 1}, "34 g 33 g 33 g"},
		{"by weight", "100 g", 0, []int64{600, 1400}, "30 g 70 g"},
		{"nothing for one", "10 g", 0, []int64{0, 3}, "0 g 10 g"},
		{"two ounces: the rest of a gram goes to the largest", "2 oz", 0, []int64{1, 2}, "19 g 37.69904625 g"},
		{"less than a gram", "0.5 g", 0, []int64{1, 2}, "0 g 0.5 g"},
		{"pieces stay whole", "300 g", 3, []int64{1, 1}, "200 g/2 100 g/1"},
		{"fewer pieces than animals", "100 g", 1, []int64{1, 1, 1}, "100 g/1 0 g/0 0 g/0"},
	} {
		parts, err := SplitServing(Serving{Food: given.Food(t, "mouse"), Mass: given.Mass(t, tc.mass), Pieces: tc.pieces}, tc.weights)
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		var got []string
		for _, p := range parts {
			s := p.Mass.String()
			if tc.pieces > 0 {
				s += fmt.Sprintf("/%d", p.Pieces)
			}
			got = append(got, s)
		}
		if strings.Join(got, " ") != tc.want {
			t.Errorf("%s: %s, want %s", tc.name, strings.Join(got, " "), tc.want)
		}
	}
	if _, err := SplitServing(Serving{Mass: units.Gram}, []int64{0, 0}); !errors.Is(err, units.ErrWeights) {
		t.Errorf("nobody to split among: %v", err)
	}
	if _, err := SplitServing(Serving{Mass: units.Gram}, nil); !errors.Is(err, units.ErrWeights) {
		t.Errorf("no animals: %v", err)
	}
}

// The portions of any number of animals sum exactly to the batch, food by food, piece by piece.
func TestSplitPlanSums(t *testing.T) {
	t.Parallel()
	c, h := given.Foods(t), home(t)
	for i := range h.Animals {
		h.Animals[i].Never = nil
	}
	type sum struct {
		mass   units.Mass
		pieces int64
	}
	count := func(p *Plan) map[string]sum {
		out := map[string]sum{}
		for at, s := range p.Servings() {
			k := fmt.Sprint(p.Days[at.Day].Date, " ", p.Days[at.Day].Meals[at.Meal].Slot, " ", s.Food.ID)
			v := out[k]
			out[k] = sum{v.mass + s.Mass, v.pieces + s.Pieces}
		}
		return out
	}
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t, c, h.IDs())
		q, err := SplitPlan(p, ByNeed(h))
		if err != nil {
			t.Fatal(err)
		}
		if a, b := fmt.Sprint(count(p)), fmt.Sprint(count(q)); a != b {
			t.Fatalf("batch %s\nportions %s", a, b)
		}
		for at := range q.Servings() {
			if m := q.Days[at.Day].Meals[at.Meal]; len(m.For) != 1 {
				t.Fatalf("%v shares a bowl", m.For)
			}
		}
	})
}

func TestSplitPlanNever(t *testing.T) {
	t.Parallel()
	h := home(t) // bramble must not get beef liver
	p := &Plan{Household: "B", Days: []Day{{Meals: []Meal{{Slot: 1, For: []string{"bramble", "moss"}, Servings: []Serving{{Food: given.Food(t, "beef-liver"), Mass: 10 * units.Gram}}}}}}}
	q, err := SplitPlan(p, ByNeed(h))
	if err != nil || len(q.Days[0].Meals) != 1 || q.Days[0].Meals[0].For[0] != "moss" {
		t.Errorf("%+v, %v", q, err)
	}
	p.Days[0].Meals[0].For = []string{"bramble"}
	if _, err := SplitPlan(p, ByNeed(h)); !errors.Is(err, units.ErrWeights) || !strings.Contains(err.Error(), "meal 1, for bramble") {
		t.Errorf("%v", err)
	}
}

func TestFirstOut(t *testing.T) {
	t.Parallel()
	heart := given.Food(t, "beef-heart")
	h := &Household{Stock: []Stock{
		{Food: heart, Mass: 100 * units.Gram, Lot: "undated"},
		{Food: heart, Mass: 100 * units.Gram, BestBefore: 30, Lot: "later"},
		{Food: heart, Mass: 50 * units.Gram, BestBefore: 10, Lot: "sooner"},
	}}
	p := &Plan{Household: "B", Start: 9}
	for d := range 4 {
		p.Days = append(p.Days, Day{Date: units.Date(10 + d), Meals: []Meal{{Slot: 1, For: []string{"a"}, Servings: []Serving{{Food: heart, Mass: 80 * units.Gram}}}}})
	}
	var got []string
	for _, d := range FirstOut(p, h) {
		lot := "to buy"
		if d.Stock >= 0 {
			lot = h.Stock[d.Stock].Lot
		}
		got = append(got, fmt.Sprintf("%s %s past best %v", lot, d.Mass, d.PastBest))
	}
	const want = "sooner 50 g past best false; later 30 g past best false; later 70 g past best false; undated 10 g past best false; undated 80 g past best false; undated 10 g past best false; to buy 70 g past best false"
	if strings.Join(got, "; ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), want)
	}
	h.Stock[0], h.Stock[1] = h.Stock[1], h.Stock[0] // the order of the file does not put an undated lot first
	if d := FirstOut(p, h); h.Stock[d[len(d)-2].Stock].Lot != "undated" {
		t.Errorf("%+v", d)
	}
	// What is past its day comes last, and is marked.
	h.Stock[2].BestBefore = 9
	for i, d := range FirstOut(p, h) {
		if past := i == 4 || i == 5; d.PastBest != past || past && (d.Stock != 2 || d.Day != i-2) {
			t.Errorf("%d: %+v", i, d)
		}
	}
}

// Draws sum to servings and never take more than a lot holds; batches and tubs sum to the plan; nothing is fed before it
// is ready or after its last day.
func TestDrawsAndBatches(t *testing.T) {
	t.Parallel()
	c, care := given.Foods(t), book(t)
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t, c, []string{"a", "b"})
		h := &Household{AsOf: p.Start}
		for range rapid.IntRange(0, 4).Draw(t, "lots") {
			h.Stock = append(h.Stock, Stock{Food: rapid.SampledFrom(c.All()).Draw(t, "food"), Mass: units.Mass(rapid.Int64Range(1, int64(8*units.Kilogram)).Draw(t, "mass")), BestBefore: units.Date(rapid.IntRange(0, 5).Draw(t, "best"))})
		}
		tally, err := p.Tally()
		if err != nil {
			t.Fatal(err)
		}
		serving := map[Position]units.Mass{}
		lots := map[int]units.Mass{}
		for _, d := range FirstOut(p, h) {
			serving[d.Position] += d.Mass
			if d.Mass <= 0 {
				t.Fatalf("draws %s", d.Mass)
			}
			if d.Stock >= 0 {
				lots[d.Stock] += d.Mass
			}
		}
		for at, s := range p.Servings() {
			if serving[at] != s.Mass {
				t.Fatalf("%s drawn for %s", serving[at], s.Mass)
			}
		}
		for i, m := range lots {
			if m > h.Stock[i].Mass {
				t.Fatalf("%s drawn from a lot of %s", m, h.Stock[i].Mass)
			}
		}
		var batched, tubbed units.Mass
		var pieces, wantPieces int64
		for _, s := range p.Servings() {
			wantPieces += s.Pieces
		}
		for _, b := range Batches(p, h, care) {
			batched += b.Mass
			pieces += b.Pieces
			for _, d := range b.Draws {
				if day := p.Days[d.Day].Date; day < b.Ready || day > b.UseBy || b.TakeOut > b.Ready || !b.NoThaw && b.TakeOut == b.Ready {
					t.Fatalf("fed on %s from %+v", day, b)
				}
			}
		}
		for _, tub := range Tubs(p, h, care) {
			tubbed += tub.Mass
			var own units.Mass
			for _, s := range tub.Meal.Servings {
				own += s.Mass
			}
			if own != tub.Mass || tub.UseBy < tub.Date {
				t.Fatalf("%+v", tub)
			}
		}
		if batched != tally.Mass() || tubbed != tally.Mass() || pieces != wantPieces {
			t.Fatalf("plan %s, batches %s, tubs %s; %d pieces of %d", tally.Mass(), batched, tubbed, pieces, wantPieces)
		}
	})
}

func book(t *testing.T) *safety.Book {
	t.Helper()
	b, err := safety.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestBatches(t *testing.T) {
	t.Parallel()
	care := book(t)
	thigh, steak := given.Food(t, "chicken-thigh"), &prey.Food{ID: "steak", Name: "steak", Kind: prey.Cut, Cut: "flank", Species: "cattle", Colour: prey.Red}
	p := &Plan{Household: "B", Start: 10}
	for d := range 4 {
		p.Days = append(p.Days, Day{Date: units.Date(10 + d), Meals: []Meal{{Slot: 1, For: []string{"a"}, Servings: []Serving{
			{Food: thigh, Mass: units.Kilogram}, {Food: steak, Mass: units.Kilogram}}}}})
	}
	var got []string
	for _, b := range Batches(p, &Household{AsOf: 9}, care) {
		got = append(got, fmt.Sprintf("%s %s out %d fed %d to %d late %v", b.Food.ID, b.Mass, b.TakeOut, b.Ready, b.UseBy, b.Late))
	}
	// Poultry keeps a day after it is thawed, so two days make a batch; 2 kg need two days to thaw, 4 kg three.
	const want = "steak 4000 g out 7 fed 10 to 13 late true; chicken-thigh 2000 g out 8 fed 10 to 11 late true; chicken-thigh 2000 g out 10 fed 12 to 13 late false"
	if strings.Join(got, "; ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), want)
	}
	tubs := Tubs(p, &Household{AsOf: 9}, care)
	if len(tubs) != 4 || tubs[0].TakeOut != 7 || tubs[0].UseBy != 11 || tubs[3].TakeOut != 7 || tubs[3].UseBy != 13 || tubs[3].Mass != 2*units.Kilogram {
		t.Errorf("%+v", tubs)
	}
}

// Of two covers of one price the one that leaves less is bought.
func TestShopLeavesLess(t *testing.T) {
	t.Parallel()
	heart := given.Food(t, "beef-heart")
	eur, _ := units.ParsePrice("5.00 EUR")
	packs, _, err := cheapest([]Offer{{Food: heart, Pack: 900 * units.Gram, Price: eur}, {Food: heart, Pack: 600 * units.Gram, Price: eur}}, heart.ID, 500*units.Gram)
	if err != nil || packs[0] != 0 || packs[1] != 1 {
		t.Errorf("%v, %v", packs, err)
	}
}

// A fridge thaws 4 to 5 lb in 24 hours and needs at least 24 for 1 lb; thawed poultry, mince, stew and seafood then keep 1
// to 2 days, cuts of red meat 3 to 5 (extension guides of Nebraska and Illinois, FSIS); the lower figure counts. Rabbit,
// hare and what no chart names: the shortest. Eggs in the shell: 3 weeks, "do not freeze"; raw yolks 2 days (FoodKeeper
// v128, ID 21 and 22).
func TestBatchesKeepByTheTable(t *testing.T) {
	t.Parallel()
	care := book(t)
	all, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	food := func(id string) *prey.Food {
		f, err := all.Find(id)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for _, tc := range []struct {
		id         string
		form       safety.Form
		mass       string // a day, for four days
		lead, keep int
		none       bool
	}{
		{"chicken-thigh", 0, "200 g", 1, 1, false},
		{"chicken-thigh", 0, "907 g", 1, 1, false}, // twice this is 4 lb
		{"chicken-thigh", 0, "908 g", 2, 1, false},
		{"beef-mince", 0, "100 g", 1, 1, false},
		{"duck-meat", 0, "100 g", 1, 1, false},
		{"ostrich-fillet", 0, "100 g", 1, 1, false},
		{"beef-heart", 0, "100 g", 1, 1, false},
		{"hare-leg-meat", 0, "100 g", 1, 1, false},
		{"horse-meat", 0, "100 g", 1, 1, false},
		{"mouse-adult", safety.WholePrey, "100 g", 1, 1, false},
		{"atlantic-salmon", 0, "100 g", 1, 1, false},
		{"complete-mix-beef", 0, "100 g", 1, 1, false},
		{"beef-chuck", 0, "100 g", 1, 3, false},
		{"beef-chuck", safety.Minced, "100 g", 1, 1, false},
		{"beef-chuck", safety.Pieces, "100 g", 1, 1, false},
		{"freeze-dried-rabbit", 0, "100 g", 0, 3, true}, // as its label says: to the end of the plan
		{"salmon-oil", 0, "100 g", 0, 3, true},
		{"hen-egg", 0, "100 g", 0, 21, true},
		{"hen-egg-yolk", 0, "100 g", 0, 2, true},
	} {
		p := &Plan{Household: "B", Start: 100}
		for d := range 4 {
			p.Days = append(p.Days, Day{Date: units.Date(100 + d), Meals: []Meal{{Slot: 1, For: []string{"a"},
				Servings: []Serving{{Food: food(tc.id), Mass: given.Mass(t, tc.mass), Form: tc.form}}}}})
		}
		got := Batches(p, &Household{AsOf: 100}, care)
		for _, b := range got {
			if b.Ready.DaysSince(b.TakeOut) != tc.lead || b.UseBy.DaysSince(b.Ready) != tc.keep || b.NoThaw != tc.none {
				t.Errorf("%s, %s: %+v, want %d days to thaw and %d of keeping", tc.id, tc.form, b, tc.lead, tc.keep)
			}
			for _, ref := range b.Refs {
				if err := ref.Check(care.Sources()); err != nil || len(b.Refs) == 0 {
					t.Error(err)
				}
			}
		}
		if want := (4 + tc.keep) / (1 + tc.keep); len(got) != want {
			t.Errorf("%s, %s: %d batches, want %d", tc.id, tc.form, len(got), want)
		}
	}
	// Of one food served in two forms the shorter counts from the day it is served so.
	chuck := food("beef-chuck")
	p := &Plan{Household: "B", Start: 100}
	for d, form := range []safety.Form{0, safety.Minced, 0, 0} {
		p.Days = append(p.Days, Day{Date: units.Date(100 + d), Meals: []Meal{{Slot: 1, For: []string{"a"}, Servings: []Serving{{Food: chuck, Mass: given.Mass(t, "50 g"), Form: form}}}}})
	}
	if got := Batches(p, &Household{AsOf: 99}, care); len(got) != 2 || got[0].UseBy != 101 || got[1].Ready != 102 || got[1].UseBy != 105 {
		t.Errorf("%+v", got)
	}
	// Without a table everything is fed on the day it is ready.
	for _, b := range Batches(p, &Household{AsOf: 99}, nil) {
		if b.UseBy != b.Ready || b.NoThaw || b.TakeOut >= b.Ready {
			t.Errorf("%+v", b)
		}
	}
}

func TestShop(t *testing.T) {
	t.Parallel()
	h := home(t)
	eur := func(s string) units.Price { p, _ := units.ParsePrice(s); return p }
	heart, wing := given.Food(t, "beef-heart"), given.Food(t, "chicken-wing")
	h.Offers = []Offer{
		{Food: heart, Pack: 500 * units.Gram, Price: eur("4.00 EUR")},
		{Food: heart, Pack: units.Kilogram, Price: eur("7.00 EUR"), Max: 1},
	}
	p := &Plan{Household: h.Name, Start: h.Start, Days: []Day{{Date: h.Start, Meals: []Meal{
		{Slot: 1, For: []string{"bramble", "moss"}, Servings: []Serving{{Food: heart, Mass: 2 * units.Kilogram}, {Food: wing, Mass: 600 * units.Gram, Pieces: 6}}},
		{Slot: 1, For: []string{"pip"}, Servings: []Serving{{Food: given.Food(t, "mouse"), Mass: 25 * units.Gram, Pieces: 1}}},
	}}, {Date: h.Start + 1}}}
	l, err := Shop(p, h, func(id string, f *prey.Food) int64 { return 1 })
	if err != nil {
		t.Fatal(err)
	}
	// 20 oz (566.99 g) of heart are in stock, 1433.01 g lack: 1 kg for 7 and 500 g for 4 is the cheapest cover.
	if len(l.Buy) != 2 || l.Buy[0].Packs != 1 || l.Buy[1].Packs != 1 || l.Total[0].String() != "11.00 EUR" || !l.Cheapest {
		t.Errorf("buy %+v, total %v", l.Buy, l.Total)
	}
	if len(l.Cannot) != 1 || l.Cannot[0].Food.ID != "mouse" || l.Cannot[0].Mass != 25*units.Gram {
		t.Errorf("cannot %+v", l.Cannot)
	}
	if len(l.Left) != 2 || l.Left[0].Mass != given.Mass(t, "66.9904625 g") || l.Left[0].Bought != l.Left[0].Mass || l.Left[1].Mass != 600*units.Gram || l.Left[1].Bought != 0 {
		t.Errorf("left %+v", l.Left)
	}
	// Each of the two eats half of the stock (no cost written) and half of the rest, 716.5 g of packs at 11/1500 a gram, and
	// 300 g of wings at 4.80 for 1200 g: 5.2544 + 1.20.
	for i, id := range []string{"bramble", "moss"} {
		a := l.Animals[i]
		if a.Animal != id || a.Mass != 1300*units.Gram || a.Priced != 1300*units.Gram-given.Mass(t, "10 oz") || a.Cost[0].String() != "6.45 EUR" || a.PerDay[0].String() != "3.23 EUR" {
			t.Errorf("%s %+v", id, a)
		}
	}
	if x := l.Animals[2]; x.Cost != nil || x.Priced != 0 || x.Mass != 25*units.Gram {
		t.Errorf("pip %+v", x)
	}
	h.Offers[1].Price = eur("7.00 GBP")
	if _, err := Shop(p, h, ByNeed(h)); !errors.Is(err, ErrCurrency) {
		t.Errorf("two currencies: %v", err)
	}
}

// What a shared bowl costs is divided as its mass, whatever whole pieces there are: one wing for three is not all of the
// heaviest one's.
func TestShopSharesCostByMass(t *testing.T) {
	t.Parallel()
	h := home(t)
	cost, err := units.ParsePrice("12.00 EUR")
	if err != nil {
		t.Fatal(err)
	}
	wing := given.Food(t, "chicken-wing")
	h.Stock = []Stock{{Food: wing, Mass: 1200 * units.Gram, Cost: &cost}}
	p := &Plan{Household: h.Name, Start: h.Start, Days: []Day{{Date: h.Start, Meals: []Meal{
		{Slot: 1, For: h.IDs(), Servings: []Serving{{Food: wing, Mass: 100 * units.Gram, Pieces: 1}}},
	}}}}
	l, err := Shop(p, h, func(id string, _ *prey.Food) int64 { return map[string]int64{"bramble": 2, "moss": 5, "pip": 3}[id] })
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"0.20 EUR", "0.50 EUR", "0.30 EUR"} {
		if a := l.Animals[i]; len(a.Cost) != 1 || a.Cost[0].String() != want || a.Mass != a.Priced {
			t.Errorf("%s: %+v, want %s", a.Animal, a, want)
		}
	}
	if _, err := Shop(p, h, func(string, *prey.Food) int64 { return 0 }); err == nil || !strings.Contains(err.Error(), "meal 1, for bramble, moss and pip") {
		t.Errorf("nobody may have it: %v", err)
	}
}

// The packs bought are enough, and no other combination is cheaper: compared with trying them all.
func TestShopCheapest(t *testing.T) {
	t.Parallel()
	heart := given.Food(t, "beef-heart")
	rapid.Check(t, func(t *rapid.T) {
		var offers []Offer
		for range rapid.IntRange(1, 3).Draw(t, "offers") {
			cents := rapid.Int64Range(0, 300).Draw(t, "cents")
			price, err := units.NewPrice(decimal.New(cents, -2), "EUR")
			if err != nil {
				t.Fatal(err)
			}
			offers = append(offers, Offer{Food: heart, Pack: units.Mass(rapid.Int64Range(1, 9).Draw(t, "pack")) * units.Gram, Price: price, Max: rapid.Int64Range(0, 5).Draw(t, "max")})
		}
		lacks := units.Mass(rapid.Int64Range(1, 30).Draw(t, "lacks")) * units.Gram
		packs, proven, err := cheapest(offers, heart.ID, lacks)
		if err != nil || !proven {
			t.Fatal(err, proven)
		}
		cost := func(n [3]int64) (c decimal.Decimal, m units.Mass) {
			for i, o := range offers {
				c = c.Add(o.Price.Amount().Mul(decimal.NewFromInt(n[i])))
				m += o.Pack * units.Mass(n[i])
			}
			return c, m
		}
		var mine [3]int64
		for i, n := range packs {
			if mine[i] = n; n < 0 || offers[i].Max > 0 && n > offers[i].Max {
				t.Fatalf("%d packs of at most %d", n, offers[i].Max)
			}
		}
		got, has := cost(mine)
		most := [3]int64{}
		for i, o := range offers {
			if most[i] = 30; o.Max > 0 {
				most[i] = o.Max
			}
		}
		possible := false
		for a := int64(0); a <= most[0]; a++ {
			for b := int64(0); b <= most[1]; b++ {
				for c := int64(0); c <= most[2]; c++ {
					if other, m := cost([3]int64{a, b, c}); m >= lacks {
						possible = true
						if has < lacks || other.LessThan(got) {
							t.Fatalf("bought %v for %s (%s), but %v costs %s", mine, got, has, []int64{a, b, c}, other)
						}
					}
				}
			}
		}
		if !possible && mine != most {
			t.Fatalf("not enough on offer, yet only %v bought", mine)
		}
	})
}
