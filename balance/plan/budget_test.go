package plan_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fitchet.example/balance/plan"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// What is in the freezers of the tests below: enough, too little, and offers to
// choose among.
func pinched() []string {
	return []string{
		fmt.Sprintf(larder, ""),
		strings.Replace(fmt.Sprintf(larder, ""), "  - {food: beef liver, pack: 250 g, price: 2.00 EUR}\n", "", 1),
		fmt.Sprintf(larder, "  - {id: b, sex: jill, weight: 700 g, age: 2 years, never: [chicken]}\n  - {id: c, sex: jill, weight: 800 g, stage: pregnant}\n"),
	}
}

// bytesOf is all that a result says.
func bytesOf(t *testing.T, res *plan.Result) string {
	t.Helper()
	var lacks []string
	for _, l := range res.Lacking {
		lacks = append(lacks, fmt.Sprint(l.Food.ID, l.Mass, l.Pieces))
	}
	var next []any
	for _, a := range res.Alternatives {
		next = append(next, a.Outcome, a.Cost, a.Buy, a.Plan)
	}
	for _, r := range res.Relaxations {
		lacks = append(lacks, r.Text, r.Cost.String())
	}
	out, err := json.Marshal([]any{res.Outcome, res.Plan, res.Buy, res.Cost.String(), res.Bound.String(), lacks, res.Clash, next, res.Notes, res.Search, res.Spent})
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// Whatever the budget: it is kept, the same budget gives the same bytes, and
// nothing is claimed that more work would take back.
func TestBudget(t *testing.T) {
	t.Parallel()
	for i, text := range pinched() {
		q := request(t, text)
		q.Alternatives = 2
		full := made(t, q)
		if full.Spent || !full.Repeatable {
			t.Fatalf("household %d: the default budget is spent: %+v", i, full.Search)
		}
		whole := full.Search.Steps
		spent := 0
		for _, budget := range []int64{1, whole / 100, whole / 20, whole / 8, whole / 4, whole / 2, whole * 3 / 4, whole * 9 / 10, 2 * whole} {
			q.Budget = max(budget, 1)
			res, err := plan.Week(context.Background(), q)
			if err != nil {
				t.Fatal(err)
			}
			again, err := plan.Week(context.Background(), q)
			if err != nil {
				t.Fatal(err)
			}
			if bytesOf(t, res) != bytesOf(t, again) || !res.Repeatable {
				t.Errorf("household %d, budget %d: two results", i, q.Budget)
			}
			if most := q.Budget + 2_000_000; res.Search.Steps > most {
				t.Errorf("household %d, budget %d: %d steps", i, q.Budget, res.Search.Steps)
			}
			if res.Spent {
				spent++
			}
			claims := fmt.Sprintf("household %d, budget %d of %d: %s (%s, bound %s), in full %s (%s)", i, q.Budget, whole, res.Outcome, res.Cost, res.Bound, full.Outcome, full.Cost)
			switch {
			case res.Spent && !slices.ContainsFunc(res.Notes, func(n string) bool { return strings.Contains(n, "budget") }):
				t.Errorf("%s: no note says that the budget is spent", claims)
			case full.Plan != nil && res.Outcome == plan.Infeasible, full.Plan == nil && res.Plan != nil:
				t.Errorf("%s: one of them is wrong", claims)
			case (res.Plan != nil) != (res.Outcome == plan.Optimal || res.Outcome == plan.BestFound):
				t.Errorf("%s: plan %v", claims, res.Plan != nil)
			case res.Plan == nil:
			case !res.Report.Passed():
				t.Errorf("%s: its audit does not pass", claims)
			case res.Outcome == plan.Optimal && res.Cost != full.Cost:
				t.Errorf("%s: not the cheapest", claims)
			case res.Bound.Amount().GreaterThan(full.Cost.Amount()):
				t.Errorf("%s: the bound is none", claims)
			}
		}
		if spent == 0 {
			t.Errorf("household %d: no budget is spent", i)
		}
	}
	for _, budget := range []int64{-1, plan.MostBudget + 1} {
		q := request(t, pinched()[0])
		q.Budget = budget
		if _, err := plan.Week(context.Background(), q); !errors.Is(err, plan.ErrRequest) {
			t.Errorf("budget %d: %v", budget, err)
		}
	}
}

// ending is a context that ends after it was asked so many times.
type ending struct {
	context.Context
	left *int
}

func (e ending) Err() error {
	if *e.left--; *e.left < 0 {
		return context.DeadlineExceeded
	}
	return nil
}

// A context that ends leaves a plan that is said not to be repeatable, or its error.
func TestContextEnds(t *testing.T) {
	t.Parallel()
	q := request(t, pinched()[0])
	q.Alternatives = 2
	seen := map[string]bool{}
	for n := 1; !seen["done"] && n < 1<<30; n += n/3 + 1 {
		left := n
		res, err := plan.Week(ending{context.Background(), &left}, q)
		switch {
		case err != nil:
			seen["error"] = true
			if !errors.Is(err, context.DeadlineExceeded) {
				t.Fatal(err)
			}
		case left >= 0:
			seen["done"] = true
			if !res.Repeatable || res.Plan == nil {
				t.Errorf("asked %d times: repeatable %v", n-left, res.Repeatable)
			}
		default:
			seen["cut"] = true
			if res.Plan == nil || !res.Report.Passed() || res.Repeatable {
				t.Errorf("after %d: plan %v, repeatable %v", n, res.Plan != nil, res.Repeatable)
			}
		}
	}
	for _, s := range []string{"error", "cut", "done"} {
		if !seen[s] {
			t.Errorf("no context came to the end %q", s)
		}
	}
}

// A crowd of separate animals ends within its budget, whether their food does or
// not. Without a budget the second took minutes and did not ask its context.
func TestBudgetOfACrowd(t *testing.T) {
	t.Parallel()
	const n = 400
	for _, tc := range []struct {
		grams  int // of all food, for each animal
		budget int64
		want   []plan.Outcome
	}{
		{3000, 0, []plan.Outcome{plan.Optimal, plan.BestFound}},
		{600, 1_000_000_000, []plan.Outcome{plan.Infeasible, plan.Undecided}},
		{3000, 1, []plan.Outcome{plan.Undecided}},
	} {
		q := request(t, crowd(n, tc.grams))
		q.Budget = tc.budget
		res, err := plan.Week(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Contains(tc.want, res.Outcome) || res.Spent != (tc.budget > 0) {
			t.Errorf("%d g each, budget %d: %s, spent %v, %+v, clash %v", tc.grams, tc.budget, res.Outcome, res.Spent, res.Search, res.Clash)
		}
	}
}

// crowd is a household of so many animals that are not fed together.
func crowd(n, grams int) string {
	var b strings.Builder
	b.WriteString("household: Testing Lodge\nas-of: 2026-11-25\nanimals:\n")
	for i := range n {
		stage := []ration.Stage{ration.Adult, ration.Pregnant, ration.Kit, ration.Juvenile, ration.Adult}[i%5]
		fmt.Fprintf(&b, "  - {id: f-%d, sex: jill, weight: %d g, stage: %s}\n", i, 500+13*i%900, stage)
	}
	b.WriteString("stock:\n")
	for _, s := range []struct {
		food  string
		parts int
	}{{"chicken-thigh-meat", 16}, {"beef-mince", 14}, {"rabbit-meat", 14}, {"turkey-bone-mince", 19}, {"beef-heart", 7}, {"beef-liver", 4},
		{"lamb-kidney", 4}, {"turkey-meat", 9}, {"salmon-oil", 1}, {"chicken-neck", 6}, {"chicken-wing", 6}} {
		fmt.Fprintf(&b, "  - {food: %s, mass: %d g}\n", s.food, grams*n*s.parts/100)
	}
	fmt.Fprintf(&b, "  - {food: hen-egg, pieces: %d}\n", 3*n)
	return b.String()
}

// What could run past 64 bits is refused with a word, in files and in code alike:
// 18 lots of 1,000 kg made a negative freezer, and 80 kg of lacking food a negative
// list.
func TestWhatCannotBeCounted(t *testing.T) {
	t.Parallel()
	good := request(t, pinched()[0])
	lots := func(n int, m units.Mass) func(*ration.Household) {
		return func(h *ration.Household) {
			for range n {
				h.Stock = append(h.Stock, ration.Stock{Food: h.Offers[0].Food, Mass: m})
			}
		}
	}
	for name, tc := range map[string]struct {
		edit func(*ration.Household)
		says string
	}{
		"lots that overflow": {lots(18, 1000*units.Kilogram), "stock of chicken thigh meat"},
		"lots near the end":  {lots(9, 1000*units.Kilogram), "more of it than can be counted"},
		"pieces": {func(h *ration.Household) {
			lots(2, 100*units.Gram)(h)
			h.Stock[0].Pieces, h.Stock[1].Pieces = 1<<62, 1<<62
			eggs(t, h)
		}, "more of it than can be counted"},
		"a price": {func(h *ration.Household) {
			h.Offers[0].Price = euros(t, "9000000000000 EUR")
			h.Offers[1].Price = euros(t, "0.000001 EUR")
		}, "more than can be counted"},
		"packs of a gram": {func(h *ration.Household) {
			h.Offers[0].Pack, h.Offers[0].Price = units.Gram, euros(t, "900000000000 EUR")
		}, "more than can be counted"},
		"a pack": {func(h *ration.Household) { h.Offers[0].Pack = 9000 * units.Kilogram }, "more of it than can be counted"},
		"a crowd of 20,000": {func(h *ration.Household) {
			h.Animals = slices.Repeat(h.Animals, 20_000)
			for i := range h.Animals {
				h.Animals[i].ID = fmt.Sprintf("a-%d", i)
			}
		}, "fewer animals"},
	} {
		q := good
		h := *good.Household
		h.Animals, h.Stock, h.Offers = slices.Clone(h.Animals), slices.Clone(h.Stock), slices.Clone(h.Offers)
		tc.edit(&h)
		q.Household = &h
		if _, err := plan.Week(context.Background(), q); !errors.Is(err, plan.ErrRequest) || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s: %v, want %q", name, err, tc.says)
		}
	}
	q := good
	h := *good.Household
	h.Offers = slices.Clone(h.Offers)
	h.Offers[0].Max = 1 << 60
	q.Household = &h
	if res := made(t, q); res.Plan == nil {
		t.Errorf("as many packs as one likes: %v, %v", res.Lacking, res.Clash)
	}
}

func euros(t *testing.T, s string) units.Price {
	t.Helper()
	p, err := units.ParsePrice(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// eggs makes the stock of a household eggs, which are counted.
func eggs(t *testing.T, h *ration.Household) {
	t.Helper()
	q, err := shelves()
	if err != nil {
		t.Fatal(err)
	}
	f, err := q.Foods.Find("hen-egg")
	if err != nil {
		t.Fatal(err)
	}
	for i := range h.Stock {
		h.Stock[i].Food = f
	}
}

// Much food that is lacking is said as much, never below nothing.
func TestMuchIsLacking(t *testing.T) {
	t.Parallel()
	text := crowd(300, 3000)
	at := strings.Index(text, "stock:\n")
	res := made(t, request(t, text[:at]+"stock:\n  - {food: chicken-wing, mass: 900 kg}\n"))
	if len(res.Lacking) == 0 {
		t.Fatalf("%s: nothing is lacking; clash %v, %+v", res.Outcome, res.Clash, res.Search)
	}
	most := units.Mass(0)
	for _, l := range res.Lacking {
		most = max(most, l.Mass)
		if l.Mass <= 0 || l.Pieces < 0 {
			t.Errorf("%s of %s is lacking", l.Mass, l.Food.ID)
		}
	}
	if most < 80*units.Kilogram {
		t.Errorf("at most %s of a food is lacking: this tests nothing", most)
	}
}
