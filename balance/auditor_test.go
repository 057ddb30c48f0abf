package balance_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"

	"pgregory.net/rapid"
)

// drawHouse draws a plan of some days for up to three animals, in bowls of their
// own and shared ones, out of everything in the kitchen.
func drawHouse(t *rapid.T, k kitchen) (*ration.Plan, *ration.Household) {
	var ids []string
	h := rescue()
	for a := range rapid.IntRange(0, 3).Draw(t, "animals") {
		an := ferret(fmt.Sprintf("a%d", a), rapid.SampledFrom([]ration.Sex{ration.Jill, ration.Hob}).Draw(t, "sex"), rapid.Int64Range(500, 2000).Draw(t, "grams"))
		an.Stage = rapid.SampledFrom([]ration.Stage{ration.Adult, ration.Adult, ration.Kit, ration.Pregnant}).Draw(t, "stage")
		h.Animals = append(h.Animals, an)
		ids = append(ids, an.ID)
	}
	p := &ration.Plan{Household: h.Name, Start: day0, Days: make([]ration.Day, rapid.IntRange(1, 9).Draw(t, "days"))}
	p.Target = rapid.SampledFrom(k.book.Targets()).Draw(t, "target").ID
	foods := k.foods.All()
	for d := range p.Days {
		p.Days[d].Date = day0.AddDays(d)
		for range rapid.IntRange(0, 3).Draw(t, "meals") {
			m := ration.Meal{Slot: rapid.IntRange(1, 2).Draw(t, "slot")}
			for _, id := range ids {
				if rapid.Bool().Draw(t, "eats") {
					m.For = append(m.For, id)
				}
			}
			for range rapid.IntRange(0, 4).Draw(t, "servings") {
				m.Servings = append(m.Servings, ration.Serving{
					Food: rapid.SampledFrom(foods).Draw(t, "food"), Mass: units.Mass(rapid.Int64Range(0, 90).Draw(t, "mass")) * units.Gram,
					Pieces: rapid.Int64Range(0, 1).Draw(t, "pieces"),
				})
			}
			p.Days[d].Meals = append(p.Days[d].Meals, m)
		}
	}
	if len(ids) == 0 {
		return p, nil
	}
	lot := rapid.SampledFrom([]string{"L1", "L2"}).Draw(t, "lot")
	h.Stock = []ration.Stock{{Food: foodOf(t, k, "rabbit"), Mass: units.Kilogram, Supplier: "Example Meats", Lot: lot}}
	return p, h
}

// said is everything a report says in integers, and its figures.
func said(r *balance.Report) (out []string) {
	for i := range r.Findings {
		f := &r.Findings[i]
		animal, hazard := "", ""
		if f.Animal != nil {
			animal = f.Animal.ID
		}
		if f.Hazard != nil {
			hazard = f.Hazard.ID
		}
		m, ok := f.Measured()
		known, of := f.Coverage()
		out = append(out, fmt.Sprint(f.Rule.ID, f.Severity, animal, hazard, f.Day, f.Verdict, f.Whole, f.Side, f.Reason, m, ok, known, of))
	}
	return out
}

// One Auditor used for plan after plan says what a new one says of each, with
// other households, targets, books, screens and faulty plans in between.
func TestAuditorStartsAnew(t *testing.T) {
	k := open(t)
	notices, err := safety.LoadNotices("notices.yaml", strings.NewReader(`
as-of: 2026-11-25
notices:
  - {id: north, kind: bird-flu, region: North Brackenford, state: in-force, confirmed: 2026-11-18, read-in: county page, words: Housing order.}
`))
	if err != nil {
		t.Fatal(err)
	}
	flu, err := safety.NewHazardCheck(nil, k.foods, safety.Context{Region: "North Brackenford", Notices: notices, On: notices.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	screens := []*safety.HazardCheck{k.screen, recallScreen(t, k), flu}
	fishForEggs := rulesOf(t, k, `
schema: fitchet.rules/1
rules:
  - id: eggs-weekly
    override: made up for the test
    title: Fish in place of eggs.
    check: amount
    of: kind
    kind: fish
    shared: head
    period: week
    gravity: mend
    means: Nothing.
    high: {value: "10 g", ref: "choice: made up"}
    since: "2026-11"
`)
	a := balance.Auditor{Foods: k.foods}
	rapid.Check(t, func(t *rapid.T) {
		p, h := drawHouse(t, k)
		screen := rapid.SampledFrom(screens).Draw(t, "screen")
		book := rapid.SampledFrom([]*balance.Book{k.book, fishForEggs}).Draw(t, "book")
		if rapid.IntRange(0, 9).Draw(t, "fault") == 0 {
			bad := *p
			bad.Days = append(slices.Clone(p.Days), ration.Day{Meals: []ration.Meal{{Servings: []ration.Serving{{Mass: units.Gram}}}}})
			if _, err := a.Audit(balance.Input{Plan: &bad, Household: h, Book: book, HazardCheck: screen}); !errors.Is(err, balance.ErrPlan) {
				t.Fatalf("error %v of a serving without food", err)
			}
		}
		got, err := a.Audit(balance.Input{Plan: p, Household: h, Book: book, HazardCheck: screen})
		if err != nil {
			t.Fatal(err)
		}
		fresh := mustAudit(t, balance.Input{Plan: p, Household: h, Book: book, HazardCheck: screen, Foods: k.foods})
		if g, w := said(got), said(fresh); !slices.Equal(g, w) {
			t.Fatalf("used before:\n%q\nnew:\n%q", g, w)
		}
		if got.Tally() != fresh.Tally() {
			t.Fatal("the sums differ")
		}
		if len(got.Needs()) != len(fresh.Needs()) || got.Household != fresh.Household || got.Days != fresh.Days || got.Target != fresh.Target {
			t.Fatal("the heads differ")
		}
	})
}

// The Report of the function Audit keeps its memory to itself.
func TestAuditReportsAreTheirOwn(t *testing.T) {
	k := open(t)
	p, h := goodWeek(t, k)
	first := k.audit(t, balance.Input{Plan: p, Household: h})
	before := said(first)
	k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: thigh 50 g, pork 1 g")})
	if after := said(first); !slices.Equal(before, after) {
		t.Errorf("before another audit:\n%q\nafter:\n%q", before, after)
	}
}

// What an Auditor holds stands in for what the input leaves out, and the input
// comes first.
func TestAuditorFillsIn(t *testing.T) {
	k := open(t)
	p, h := goodWeek(t, k)
	bone, err := k.book.Target("assembled-bone-in-meat")
	if err != nil {
		t.Fatal(err)
	}
	var a balance.Auditor // nothing given: the shipped book is read, once
	for range 2 {
		if _, err := a.Audit(balance.Input{Plan: p, Household: h, HazardCheck: k.screen}); err != nil {
			t.Fatal(err)
		}
	}
	if a.Book == nil {
		t.Error("the book that was read is not kept")
	}
	a = balance.Auditor{Book: k.book, HazardCheck: k.screen, Target: bone}
	for _, tt := range []struct {
		in   balance.Input
		want string
	}{
		{balance.Input{Plan: p, Household: h}, bone.ID},
		{balance.Input{Plan: p, Household: h, Target: k.book.Targets()[0]}, k.book.Targets()[0].ID},
	} {
		r, err := a.Audit(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		if r.Target.ID != tt.want {
			t.Errorf("held to %s, want %s", r.Target.ID, tt.want)
		}
	}
}

// Auditors of their own may share book, screen and plan; a report may be asked
// by several at once. For the race detector.
func TestAuditorsAtOnce(t *testing.T) {
	k := open(t)
	p, h := goodWeek(t, k)
	p.Days[0].Meals[0].Servings[0].Mass *= 9 // so that something is missed
	shared := k.audit(t, balance.Input{Plan: p, Household: h, Foods: k.foods})
	want := said(shared)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			a := balance.Auditor{Book: k.book, HazardCheck: k.screen, Foods: k.foods}
			for range 5 {
				r, err := a.Audit(balance.Input{Plan: p, Household: h})
				if err != nil {
					t.Error(err)
					return
				}
				if got := said(r); !slices.Equal(got, want) {
					t.Errorf("got %q, want %q", got, want)
				}
			}
			for i := range shared.Findings {
				shared.Findings[i].Mends()
				shared.Findings[i].MeasuredText()
			}
		})
	}
	wg.Wait()
}

// Once an Auditor has met the foods, judging allocates nothing.
func TestAuditorDoesNotAllocate(t *testing.T) {
	k := open(t)
	p, h := goodWeek(t, k)
	h.Animals = append(h.Animals, ferret("moss", ration.Hob, 1200))
	h.Animals[0].Never, h.Animals[1].Stage = []string{"duck", "duck-egg"}, ration.Kit
	for i, f := range k.foods.All() {
		h.Stock = append(h.Stock, ration.Stock{Food: f, Mass: 100 * units.Gram, Pieces: int64(i % 3), BestBefore: day0.AddDays(i % 9)})
		h.Offers = append(h.Offers, ration.Offer{Food: f, Pack: 100 * units.Gram, Max: int64(i % 4)})
	}
	in := balance.Input{Plan: p, Household: h, Needs: h.Needs(), Book: k.book, HazardCheck: k.screen, Target: k.book.Targets()[0]}
	var a balance.Auditor
	if n := testing.AllocsPerRun(10, func() {
		if _, err := a.Audit(in); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// Changes for one animal meet the rule, and a gram less does not: energy and
// amounts in bowls of its own and shared ones.
func TestChangesForAnAnimal(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		grams := func(name string) units.Mass { return units.Mass(rapid.Int64Range(1, 120).Draw(t, name)) * units.Gram }
		h := rescue(ferret("moss", ration.Hob, 1500), ferret("bramble", ration.Jill, 800))
		p := &ration.Plan{Household: h.Name, Start: day0}
		for d := range 7 {
			p.Days = append(p.Days, ration.Day{Date: day0.AddDays(d), Meals: []ration.Meal{
				{Slot: 1, For: []string{"moss", "bramble"}, Servings: []ration.Serving{{Food: foodOf(t, k, "thigh"), Mass: grams("shared")}}},
				{Slot: 2, For: []string{"bramble"}, Servings: []ration.Serving{{Food: foodOf(t, k, "rabbit"), Mass: grams("own")}}},
			}})
		}
		audit := func(p *ration.Plan) *balance.Report {
			return mustAudit(t, balance.Input{Plan: p, Household: h, Book: k.book, HazardCheck: k.screen, Foods: k.foods})
		}
		for _, f := range audit(p).Findings {
			switch f.Rule.Check {
			case balance.EnergyBand, balance.EnergyFloor, balance.Amount:
			default:
				continue
			}
			for _, c := range f.Mends() {
				verdict := func(m units.Mass) balance.Verdict {
					q := changedFor(p, c, m, f.Animal.ID)
					if f.Rule.Check == balance.EnergyFloor { // it is the day that was named which is mended
						q = &ration.Plan{Household: p.Household, Start: q.Days[f.Day].Date, Days: q.Days[f.Day : f.Day+1]}
					}
					for _, g := range audit(q).Find(f.Rule.ID) {
						if g.Animal == f.Animal {
							return g.Verdict
						}
					}
					t.Fatalf("%s says nothing of %s", f.Rule.ID, f.Animal.ID)
					return balance.Open
				}
				if got := verdict(c.Mass); got != balance.Met {
					t.Errorf("%s for %s: %s leaves it %s", f.Rule.ID, f.Animal.ID, c.Text(), got)
				}
				if got := verdict(c.Mass - units.Gram); got != balance.Missed {
					t.Errorf("%s for %s: %s, a gram less gives %s", f.Rule.ID, f.Animal.ID, c.Text(), got)
				}
			}
		}
	})
}

func foodOf(t *rapid.T, k kitchen, id string) *prey.Food {
	f, err := k.foods.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// changedFor makes a change with another mass as the keeper would: what is added
// goes into the animal's first meal of the day, what is taken away comes off its
// last meals first.
func changedFor(p *ration.Plan, c balance.Change, left units.Mass, id string) *ration.Plan {
	q := *p
	q.Days = slices.Clone(p.Days)
	for i := range q.Days {
		d := i
		if c.Remove {
			d = len(q.Days) - 1 - i
		}
		if left == 0 || c.Day >= 0 && c.Day != d {
			continue
		}
		q.Days[d].Meals = slices.Clone(q.Days[d].Meals)
		for j := range q.Days[d].Meals {
			m := &q.Days[d].Meals[j]
			if !slices.Contains(m.For, id) || left == 0 {
				continue
			}
			m.Servings = slices.Clone(m.Servings)
			if !c.Remove {
				m.Servings = append(m.Servings, ration.Serving{Food: c.Food, Mass: left})
				left = 0
				continue
			}
			for s := range m.Servings {
				if m.Servings[s].Food == c.Food {
					take := min(left, m.Servings[s].Mass)
					left -= take
					m.Servings[s].Mass -= take
				}
			}
		}
	}
	return &q
}

// Changes are the smallest also where figures are unknown: then a food can move
// a figure by being known itself.
func TestChangesWithUnknownFigures(t *testing.T) {
	k := open(t)
	rapid.Check(t, func(t *rapid.T) {
		p := &ration.Plan{Household: "Brackenford Ferret Rescue", Start: day0}
		for d := range 7 {
			p.Days = append(p.Days, ration.Day{Date: day0.AddDays(d)})
		}
		for range rapid.IntRange(1, 5).Draw(t, "servings") {
			m := ration.Meal{Slot: len(p.Days[0].Meals) + 1, Servings: []ration.Serving{{
				Food: rapid.SampledFrom(k.foods.All()).Draw(t, "food"), Mass: units.Mass(rapid.Int64Range(1, 400).Draw(t, "mass")) * units.Gram}}}
			p.Days[0].Meals = append(p.Days[0].Meals, m)
		}
		r := mustAudit(t, balance.Input{Plan: p, Book: k.book, HazardCheck: k.screen, Foods: k.foods})
		for i := range r.Findings {
			f := &r.Findings[i]
			if f.Verdict != balance.Missed || f.Rule.Check == balance.Hazard {
				continue
			}
			for _, c := range f.Mends() {
				at := func(m units.Mass) *balance.Finding {
					return &mustAudit(t, balance.Input{Plan: changed(p, c, m), Book: k.book, HazardCheck: k.screen}).Find(f.Rule.ID)[0]
				}
				if g := at(c.Mass); g.Verdict != balance.Met && g.Verdict != balance.NotApplicable {
					t.Errorf("%s: %s leaves it %s", f.Rule.ID, c.Text(), g.Verdict)
				}
				if c.Mass == units.Gram {
					continue // nothing less was tried: a serving of no food may count too
				}
				if g := at(c.Mass - units.Gram); g.Verdict != balance.Missed || g.Side != f.Side {
					t.Errorf("%s: %s, a gram less gives %s", f.Rule.ID, c.Text(), g.Verdict)
				}
			}
		}
	})
}

// A figure with nothing to divide by at one end of its range is open over the
// range, whatever it is at the other.
func TestNothingToDivideByAtOneEnd(t *testing.T) {
	files := kitchenFiles()
	files["foods.csv"] += strings.TrimPrefix(foodRows("id=hollow name=Hollow_meat species=goat kind=cut cut=meat slot=muscle colour=red"), foodRows())
	files["extra.csv"] += "hollow,phosphorus,0,100,200,mg,edible,choice: made up\nhollow,calcium,,300,,mg,edible,choice: made up\n"
	k := open(t)
	k.foods = load(t, files)
	r := k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: hollow 100 g")})
	if f := one(t, r, "ca-p-floor"); f.Verdict != balance.Met || f.Whole != balance.Open {
		t.Errorf("3 to 1 at the typical figures, no phosphorus at the low end: %s, over the range %s", f.Verdict, f.Whole)
	}
}

// A rule that was made in code with a gravity that is none is refused: its findings
// would weigh nothing.
func TestRuleWithoutGravity(t *testing.T) {
	k := open(t)
	rule, _ := k.book.Rule("red-meat")
	for _, g := range []balance.Severity{0, balance.Stop + 1, 255} {
		own := *rule
		own.ID, own.Severity = "own-red-meat", g
		if _, err := k.book.WithRules([]balance.Rule{own}); !errors.Is(err, balance.ErrNotWhole) {
			t.Errorf("gravity %d: %v", g, err)
		}
	}
}
