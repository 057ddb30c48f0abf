package main

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// row is one serving with what the rules ask of its food, at the typical figures:
// picograms, millionths of the food, billionths of a unit per 100 g.
type row struct {
	mass       int64
	slots      [shares.NumSlots]int64
	calcium    int64 // mg
	phosphorus int64 // mg
	vitaminA   int64 // IU
	kcal       int64 // modified Atwater
	species    string
	meat, red  bool
	oil        bool
	eggs       int64
}

func (r *row) slotSum() (sum int64) {
	for _, s := range r.slots {
		sum += s
	}
	return sum
}

// drawn is one week of one animal: 42 servings.
type drawn struct {
	week *ration.Plan
	rows []row
	on   int // which bound it was placed at
}

// placing says how the masses of a plan are chosen and how far from its limit it
// lies.
type placing struct {
	name string
	unit int64 // masses are multiples of it, in picograms; 1: as fine as need be
	step int64 // added to the last serving, in picograms, towards the other side of the limit or away
}

func placings() []placing {
	const ounce = 28_349_523_125_000
	return []placing{
		{"on the limit, whole grams", int64(units.Gram), 0},
		{"on the limit, tenths of an ounce", ounce / 10, 0},
		{"on the limit, any mass", 1, 0},
		{"one step of 1 pg to either side", 1, 1},
		{"one step of 1 mg to either side", 1, int64(units.Milligram)},
	}
}

// larder is what the plans are made of: foods of which every figure is known.
type larder struct {
	foods  map[string]*prey.Food
	target *shares.Target
}

func newLarder(c *prey.Catalogue, book *balance.Book) (*larder, error) {
	t, err := book.Target("")
	if err != nil {
		return nil, err
	}
	l := &larder{map[string]*prey.Food{}, t}
	for _, id := range append(base(), "chicken-liver", "chicken-heart", "lamb-kidney", "chicken-wing", "chicken-thigh-meat", "turkey-liver", "goat-liver", "hen-egg", "cod-liver-oil") {
		if l.foods[id], err = c.Find(id); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// base are the foods of a usual week, the ones that are fed more often twice.
func base() []string {
	return []string{"chicken-thigh-meat", "rabbit-leg-meat", "beef-mince", "turkey-meat", "duck-meat", "chicken-thigh-meat", "rabbit-leg-meat", "beef-mince",
		"chicken-heart", "turkey-heart", "beef-liver", "beef-kidney", "lamb-kidney", "chicken-wing", "chicken-neck", "rabbit-leg", "turkey-bone-mince"}
}

// beside are the foods that go with the last one: those that would overshoot the
// limit by themselves are left out.
func (l *larder) beside(rule int) []string {
	return slices.DeleteFunc(base(), func(id string) bool {
		switch rule {
		case ratioFloor, ratioPractice, calciumLeast, calciumMost:
			return l.foods[id].BoneIn
		case vitaminALeast:
			return l.foods[id].HasPart(prey.Liver) || l.foods[id].HasPart(prey.Organ)
		}
		return false
	})
}

// last is the food whose amount puts a plan on a limit.
func last(rule int) string {
	switch rule {
	case shareMuscle:
		return "chicken-thigh-meat"
	case shareHeart:
		return "chicken-heart"
	case shareLiver:
		return "chicken-liver"
	case shareOrgan:
		return "lamb-kidney"
	case vitaminALeast:
		return "turkey-liver"
	case vitaminAMost:
		return "goat-liver"
	case oil:
		return "cod-liver-oil"
	}
	return "chicken-wing"
}

func (l *larder) row(food *prey.Food, mass, pieces int64) row {
	at := func(f prey.Figure, ok bool) int64 {
		if !ok {
			panic("a figure of " + food.ID + " is not known")
		}
		return int64(f.At[prey.Typical])
	}
	r := row{mass: mass, species: food.Species, calcium: at(food.Nutrient(prey.Calcium)), phosphorus: at(food.Nutrient(prey.Phosphorus)),
		vitaminA: at(food.Nutrient(prey.VitaminA)), kcal: at(food.Energy(prey.ModifiedAtwater)), red: food.Colour == prey.Red, oil: food.Kind == prey.Oil}
	slots, ok := l.target.Slots(food, prey.Typical)
	if !ok {
		panic("the parts of " + food.ID + " are not known")
	}
	for i, s := range slots {
		r.slots[i] = int64(s)
	}
	switch food.Kind {
	case prey.EggFood:
		r.eggs = pieces
	case prey.Oil, prey.Supplement, prey.DryFood:
	default:
		r.meat = true
	}
	return r
}

const servings = 42

// draw makes a plan that lies on a bound, or beside it.
func (l *larder) draw(rng *rand.Rand, b bound, at placing) (*drawn, error) {
	x := l.foods[last(b.rule)]
	for range 1000 {
		names := l.beside(b.rule)
		p := &drawn{}
		add := func(id string, mass, pieces int64) {
			p.rows = append(p.rows, l.row(l.foods[id], mass, pieces))
			p.week = put(p.week, l.foods[id], mass, pieces)
		}
		// The last serving is of x; the others come in a size that lets it settle
		// the sum in whole units.
		r := l.row(x, 0, 0)
		share := b.of(&r)
		if share.Sign() == 0 {
			return nil, fmt.Errorf("%s cannot put a plan on %s", x.ID, b.name)
		}
		grain := new(big.Int).Abs(share)
		for _, id := range append(names, "hen-egg", "cod-liver-oil") {
			o := l.row(l.foods[id], 0, 1)
			grain.GCD(nil, nil, grain, b.of(&o))
		}
		grain.Div(new(big.Int).Abs(share), grain) // masses are multiples of unit x grain
		if b.at.Sign() != 0 {
			grain.SetInt64(1)
		}
		unit := new(big.Int).Mul(grain, big.NewInt(at.unit))
		if at.unit > 1 {
			unit.SetInt64(at.unit) // whole units, and trust to luck for the last one
		}
		if !unit.IsInt64() || unit.Int64() > 4*int64(units.Gram) {
			return nil, fmt.Errorf("%s: masses would be multiples of %s pg", b.name, unit)
		}
		mass := func(low, high int64) int64 { // in milligrams
			m := (low + rng.Int64N(high-low)) * int64(units.Milligram)
			if at.unit == 1 {
				m += rng.Int64N(int64(units.Milligram))
			}
			return max(m/unit.Int64(), 1) * unit.Int64()
		}
		for range servings - 1 {
			switch n := len(p.rows); {
			case n%20 == 7:
				add("hen-egg", mass(40_000, 60_000), 1)
			case n%14 == 3 && b.rule != vitaminALeast: // the oil is full of it
				add("cod-liver-oil", mass(300, 1500), 0)
			default:
				add(names[rng.IntN(len(names))], mass(5_000, 25_000), 0)
			}
		}
		need := new(big.Int).Set(b.at)
		for i := range p.rows {
			need.Sub(need, new(big.Int).Mul(big.NewInt(p.rows[i].mass), b.of(&p.rows[i])))
		}
		need, rest := need.QuoRem(need, share, new(big.Int))
		if rest.Sign() != 0 || need.Sign() <= 0 || !need.IsInt64() || need.Int64() > 2*int64(units.Kilogram) || need.Int64()%at.unit != 0 {
			continue
		}
		m := need.Int64()
		if step := at.step; step != 0 {
			if rng.IntN(2) == 0 {
				step = -step
			}
			if m += step; m <= 0 {
				continue
			}
		}
		p.rows = append(p.rows, l.row(x, m, 0))
		p.week = put(p.week, x, m, 0)
		return p, nil
	}
	return nil, errNone
}

var errNone = fmt.Errorf("no such plan was found")

const animal = "bramble"

// put adds a serving: three to a meal, two meals a day.
func put(p *ration.Plan, f *prey.Food, mass, pieces int64) *ration.Plan {
	start := units.Date(20800)
	if p == nil {
		p = &ration.Plan{Household: "Brackenford Ferret Rescue", Start: start}
	}
	sv := ration.Serving{Food: f, Mass: units.Mass(mass), Pieces: pieces}
	for d := range p.Days {
		for m := range p.Days[d].Meals {
			if meal := &p.Days[d].Meals[m]; len(meal.Servings) < 3 {
				meal.Servings = append(meal.Servings, sv)
				return p
			}
		}
		if len(p.Days[d].Meals) < 2 {
			p.Days[d].Meals = append(p.Days[d].Meals, ration.Meal{Slot: 2, For: []string{animal}, Servings: []ration.Serving{sv}})
			return p
		}
	}
	p.Days = append(p.Days, ration.Day{Date: start.AddDays(len(p.Days)), Meals: []ration.Meal{{Slot: 1, For: []string{animal}, Servings: []ration.Serving{sv}}}})
	return p
}

// household is the one animal that the plans are for.
func household() *ration.Household {
	return &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: 20800, Start: 20800, Animals: []ration.Animal{
		{ID: animal, Name: "Bramble", Species: ration.Ferret, Sex: ration.Jill, Mass: 900 * units.Gram, Stage: ration.Adult}}}
}
