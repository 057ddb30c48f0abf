package corpustest

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/balance/corpus"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

func TestMain(m *testing.M) {
	flag.Parse()
	// The failures below are wanted: no files of them. A planner is slow, so few
	// households are drawn unless RAPID_CHECKS asks for more, as .ci/run does.
	set := map[string]string{"rapid.nofailfile": "true", "rapid.shrinktime": "3m"}
	if os.Getenv("RAPID_CHECKS") == "" {
		set["rapid.checks"] = "40"
	}
	for name, value := range set {
		if err := flag.Set(name, value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	os.Exit(m.Run())
}

// This library's planner passes: scenarios are tested in package corpus, here are
// drawn households, half of them with plenty of everything. For twenty thousand:
//
//	RAPID_CHECKS=10000 go test -count=1 -timeout 3h -run TestRun_library -v ./balance/corpustest
func TestRun_library(t *testing.T) {
	Run(t, corpus.Library(), Options{
		Scenarios: []string{},
		Days:      []int{7, 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12, 13, 14},
		Timeout:   5 * time.Minute, // the machine may be busy
	})
}

// recipe is a small right generator for households with plenty of everything: the
// same mix in every meal, in whole grams. It is fast, so that failures can be made
// small in no time.
func recipe(q corpus.Request) (corpus.Answer, error) {
	shares := map[string]int64{"turkey-bone-mince": 0, "beef-heart": 100, "beef-liver": 50, "lamb-kidney": 50} // per mille
	foods := map[string]*prey.Food{}
	for _, id := range []string{"turkey-bone-mince", "beef-heart", "beef-liver", "lamb-kidney", "beef-mince", "rabbit-meat"} {
		f, err := q.Foods.Find(id)
		if err != nil {
			return corpus.Answer{}, err
		}
		foods[id] = f
	}
	bone := int64(foods["turkey-bone-mince"].Shares[prey.Typical][prey.Bone])
	shares["turkey-bone-mince"] = 125 * int64(units.Whole) / bone
	rest := 1000 - 200 - shares["turkey-bone-mince"]
	shares["beef-mince"], shares["rabbit-meat"] = rest/2, rest-rest/2
	kcal := int64(0) // in 1000 g of the mix, in thousandths
	for id, share := range shares {
		e, _, _ := foods[id].DefaultEnergy()
		kcal += share * int64(e.At[prey.Typical]/prey.DensityUnit*10)
	}
	p := &ration.Plan{Household: q.Household.Name, Start: q.Household.Start, Days: make([]ration.Day, q.Days)}
	for d := range p.Days {
		p.Days[d].Date = q.Household.Start.AddDays(d)
	}
	for _, animals := range q.Household.Bowls() {
		var ids []string
		tenths, meals := int64(0), 1
		for _, a := range animals {
			n := ration.Needs(a, q.Household.AsOf)
			ids, tenths, meals = append(ids, a.ID), tenths+int64(n.Band.Typical), max(meals, n.MealsPerDay)
		}
		cells := make([]int64, q.Days*meals)
		for i := range cells {
			cells[i] = 1
		}
		bowl := make([]ration.Meal, len(cells))
		for _, id := range slices.Sorted(maps.Keys(shares)) {
			grams := tenths * int64(q.Days) * 100 * shares[id] / kcal
			parts, err := units.SplitMass(units.Mass(grams)*units.Gram, units.Gram, cells)
			if err != nil {
				return corpus.Answer{}, err
			}
			for i, m := range parts {
				if m > 0 {
					bowl[i].Servings = append(bowl[i].Servings, ration.Serving{Food: foods[id], Mass: m})
				}
			}
		}
		for i, m := range bowl {
			m.Slot, m.For = i%meals+1, ids
			p.Days[i/meals].Meals = append(p.Days[i/meals].Meals, m)
		}
	}
	return corpus.Answer{Plan: p}, nil
}

// The recipe is right, so that what is found below is the flaw.
func TestRecipe(t *testing.T) {
	o := Options{Days: []int{7}}
	if err := o.fill(); err != nil {
		t.Fatal(err)
	}
	gen := corpus.GeneratorFunc(func(_ context.Context, q corpus.Request) (corpus.Answer, error) { return recipe(q) })
	if err := check("plenty", o.property(gen, true)); err != nil {
		t.Error(err)
	}
}

// flawed changes what the recipe answers.
func flawed(change func(q corpus.Request, a *corpus.Answer)) corpus.Generator {
	return corpus.GeneratorFunc(func(_ context.Context, q corpus.Request) (corpus.Answer, error) {
		a, err := recipe(q)
		if err == nil {
			change(q, &a)
		}
		return a, err
	})
}

// refuser refuses everything.
func refuser(reason string) corpus.Generator {
	return corpus.GeneratorFunc(func(context.Context, corpus.Request) (corpus.Answer, error) {
		return corpus.Answer{Refused: &corpus.Refusal{Because: corpus.Lacking, Reason: reason}}, nil
	})
}

// Flawed generators are found by drawn households alone, and the household that
// is shown is small: one animal, and no food that the fault does not need.
func TestTestGenerator_flaws(t *testing.T) {
	for _, tc := range []struct {
		name string
		gen  corpus.Generator
		want string
		home string // stands in the smallest household
	}{
		{"refuses everything", refuser("No."), corpus.AnswerKind, "id: ferret-1, sex: jill, weight: 500 g, stage: adult"},
		{"gives no reason", refuser(""), corpus.RefusalReason, "ferret-1"},
		{"feeds for ten whatever the number", flawed(func(_ corpus.Request, a *corpus.Answer) {
			if a.Plan != nil {
				for _, s := range a.Plan.Servings() {
					s.Mass *= 10
				}
			}
		}), "energy-band", "ferret-1"},
		{"drops a day", flawed(func(_ corpus.Request, a *corpus.Answer) {
			if a.Plan != nil {
				a.Plan.Days = a.Plan.Days[1:]
			}
		}), corpus.PlanDays, "ferret-1"},
		{"gives the second animal nothing", flawed(func(q corpus.Request, a *corpus.Answer) {
			if a.Plan == nil || len(q.Household.Animals) < 2 {
				return
			}
			second := q.Household.Animals[1].ID
			for d := range a.Plan.Days {
				var meals []ration.Meal
				for _, m := range a.Plan.Days[d].Meals {
					if len(m.For) != 1 || m.For[0] != second {
						meals = append(meals, m)
					}
				}
				a.Plan.Days[d].Meals = meals
			}
		}), corpus.EverybodyFed, "ferret-2"},
		{"adds pork when there is any", flawed(func(q corpus.Request, a *corpus.Answer) {
			if a.Plan == nil {
				return
			}
			for _, lot := range q.Household.Stock {
				if lot.Food.ID == "pork-tenderloin" {
					m := &a.Plan.Days[0].Meals[0]
					m.Servings = append(m.Servings, ration.Serving{Food: lot.Food, Mass: units.Gram})
				}
			}
		}), "food-stop", "pork-tenderloin"},
		{"panics at two animals", flawed(func(q corpus.Request, _ *corpus.Answer) {
			if len(q.Household.Animals) > 1 {
				panic("two is too many")
			}
		}), "panic: two is too many", "ferret-2"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			o := Options{Days: []int{7}}
			if err := o.fill(); err != nil {
				t.Fatal(err)
			}
			err := check("plenty", o.property(tc.gen, true))
			if err == nil {
				t.Fatal("it passes")
			}
			text := err.Error()
			for _, want := range []string{tc.want, tc.home, "The smallest household found", "want: "} {
				if !strings.Contains(text, want) {
					t.Errorf("it does not say %q:\n%s", want, text)
				}
			}
			home, ok := cutHome(text)
			if !ok {
				t.Fatalf("no household:\n%s", text)
			}
			if _, _, err := ration.LoadHousehold("pasted", strings.NewReader(home), nil); err != nil {
				t.Errorf("the household cannot be pasted: %v\n%s", err, home)
			}
			animals := 1
			if tc.home == "ferret-2" {
				animals = 2
			}
			if n := strings.Count(home, "  - {id: "); n != animals {
				t.Errorf("%d animals are left, %d are enough:\n%s", n, animals, home)
			}
		})
	}
}

func cutHome(text string) (string, bool) {
	_, rest, ok := strings.Cut(text, "a generator failed on it.\n")
	home, _, ok2 := strings.Cut(rest, "\nand this into")
	return home, ok && ok2
}

// Scenarios are run by id, known failures must still fail, and what takes too
// long is a failure of its own.
func TestTestGenerator_scenarios(t *testing.T) {
	c, err := corpus.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	id := ""
	for _, s := range c.Scenarios {
		if s.Title == "Everything but liver" {
			id = s.ID
		}
	}
	one := Options{Corpus: c, Scenarios: []string{id}, NoHouseholds: true}
	if err := TestGenerator(corpus.Library(), one); err != nil {
		t.Error(err)
	}
	listed := one
	listed.Known = map[string]string{id: "made up"}
	if err := TestGenerator(corpus.Library(), listed); err == nil || !strings.Contains(err.Error(), "take it off the list") {
		t.Errorf("a known failure that passes: %v", err)
	}
	broken := corpus.GeneratorFunc(func(context.Context, corpus.Request) (corpus.Answer, error) {
		return corpus.Answer{}, errors.New("out of order")
	})
	if err := TestGenerator(broken, one); err == nil || !strings.Contains(err.Error(), "out of order") || !strings.Contains(err.Error(), id) {
		t.Errorf("a generator that fails: %v", err)
	}
	if err := TestGenerator(broken, listed); err != nil {
		t.Errorf("a known failure that fails: %v", err)
	}
	slow := corpus.GeneratorFunc(func(ctx context.Context, _ corpus.Request) (corpus.Answer, error) {
		time.Sleep(time.Second)
		return corpus.Answer{}, nil
	})
	quick := one
	quick.Timeout = 20 * time.Millisecond
	if err := TestGenerator(slow, quick); err == nil || !strings.Contains(err.Error(), "no answer within") {
		t.Errorf("a slow generator: %v", err)
	}
}
