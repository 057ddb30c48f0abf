package main_test

// The parts that stand beside a plan, counted a second time from the household's
// file: prices are added up as fractions, plans are recounted. All expected
// figures are arithmetic of our own: regression (ours).

import (
	"encoding/json"
	"math/big"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

type packs struct {
	Food, Pack, Cost, From string
	Packs                  int64
}

type beside struct {
	Buy  []packs
	Next struct {
		Asked int
		This  struct{ Outcome, Cost, Bound string } `json:"this_plan"`
		Plans []struct {
			Outcome, Cost    string
			Against          string `json:"against_this_plan"`
			More, Fewer, Buy []packs
			Plan             json.RawMessage
		}
	} `json:"next_plans"`
	Costs struct {
		ComparedWith string `json:"compared_with"`
		Requirements []struct {
			Rule, Without, Saves string
			Proved               bool
		}
	} `json:"cost_of_requirements"`
	Styles struct {
		Styles []struct {
			Style, Outcome, Cost string
			Audit                map[string]int
			Work                 map[string]int
			Buy                  []packs
			Lacking              []struct{ What, Amount string }
			Clash                []string
			Plan                 json.RawMessage
		}
	}
}

// shop is the prices of a household's offers, by food.
type shop struct {
	currency string
	price    map[string]*big.Rat
	pack     map[string]*big.Rat // grams
}

func readShop(t *testing.T, path string, foods larder) shop {
	t.Helper()
	defer readable(t, path)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s := shop{price: map[string]*big.Rat{}, pack: map[string]*big.Rat{}}
	for _, node := range list(readYAML(string(b)), "offers") {
		l := readLot(node, "pack", foods)
		amount, currency, _ := strings.Cut(text(node, "price"), " ")
		if _, twice := s.price[l.food.name]; twice || s.currency != "" && s.currency != currency {
			t.Fatalf("%s is offered twice, or in two currencies", l.food.name)
		}
		s.currency, s.price[l.food.name], s.pack[l.food.name] = currency, rat(amount), l.mass
	}
	return s
}

func (s shop) words(r *big.Rat) string { return r.FloatString(2) + " " + s.currency }

// sum adds up packs at the prices of the offers.
func (s shop) sum(t *testing.T, list []packs) *big.Rat {
	t.Helper()
	all := new(big.Rat)
	for _, b := range list {
		cost := times(s.price[b.Food], whole(b.Packs))
		if b.Cost != s.words(cost) {
			t.Errorf("%d packs of %s cost %s, want %s", b.Packs, b.Food, b.Cost, s.words(cost))
		}
		all = sum(all, cost)
	}
	return all
}

func counts(list []packs, by int64, into map[string]int64) {
	for _, b := range list {
		if into[b.Food] += by * b.Packs; into[b.Food] == 0 {
			delete(into, b.Food)
		}
	}
}

func TestBesideThePlan(t *testing.T) {
	t.Parallel()
	for _, name := range append(households(t, "good-"), "embedded") {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			foods := readLarder(t, ownFoods[name])
			path, args := "household.yaml", []string(nil)
			if name != "embedded" {
				path, args = filepath.Join("testdata", name+".yaml"), with(name)
			}
			h, s := readHousehold(t, path, foods), readShop(t, path, foods)
			args = append(args, "-format", "json")
			out, _, code := call(nil, append(args, "-next", "3", "-costs", "-styles")...)
			var b beside
			if err := json.Unmarshal(out, &b); code != 0 || err != nil {
				t.Fatalf("exit %d, %v", code, err)
			}
			if s.currency == "" {
				noPrices(t, b)
			} else {
				nextPlans(t, b, h, s, foods, args)
				requirements(t, b, s)
			}
			styles(t, b, s, foods)
			if name == "embedded" { // which holds ten mice and no mix
				for i, want := range []string{2: "complete mix", 3: "whole prey", 4: "complete mix"} {
					if st := b.Styles.Styles[i]; want != "" && (len(st.Lacking) == 0 || st.Lacking[0].What != want) {
						t.Errorf("%s lacks %v, want %s", st.Style, st.Lacking, want)
					}
				}
			}

			// All else is as it is without the flags.
			bare, _, _ := call(nil, args...)
			var with, without map[string]any
			if err := json.Unmarshal(out, &with); err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(bare, &without); err != nil {
				t.Fatal(err)
			}
			for _, key := range []string{"next_plans", "cost_of_requirements", "styles"} {
				if with[key] == nil || without[key] != nil {
					t.Errorf("%s: there with the flags %t, without %t", key, with[key] != nil, without[key] != nil)
				}
				delete(with, key)
			}
			for _, key := range []string{"evidence_notes", "sources"} { // may grow
				delete(with, key)
				delete(without, key)
			}
			if !reflect.DeepEqual(with, without) {
				t.Error("the flags change what stands beside their parts")
			}
		})
	}
}

func noPrices(t *testing.T, b beside) {
	t.Helper()
	if b.Next.This.Cost != "" || b.Next.This.Bound != "" || len(b.Next.Plans) != 0 || b.Costs.ComparedWith != "" {
		t.Errorf("a price where none is known: %+v", b.Next)
	}
	for _, r := range b.Costs.Requirements {
		if r.Without != "" || r.Saves != "" {
			t.Errorf("a price where none is known: %+v", r)
		}
	}
	for _, st := range b.Styles.Styles {
		if st.Cost != "" {
			t.Errorf("%s costs %s where no price is known", st.Style, st.Cost)
		}
	}
}

// nextPlans: each is a plan, its packs are enough for it, its cost is what they
// add up to, and it leaves out a pack of every better one.
func nextPlans(t *testing.T, b beside, h *household, s shop, foods larder, args []string) {
	t.Helper()
	best := s.sum(t, b.Buy)
	if b.Next.This.Cost != s.words(best) || b.Next.This.Outcome == "optimal" && b.Next.This.Bound != b.Next.This.Cost {
		t.Errorf("this plan: %+v, want %s", b.Next.This, s.words(best))
	}
	if len(b.Next.Plans) > b.Next.Asked || b.Next.Asked != 3 {
		t.Errorf("%d plans of %d, want at most 3", len(b.Next.Plans), b.Next.Asked)
	}
	better := []map[string]int64{{}}
	counts(b.Buy, 1, better[0])
	last := best
	for i, n := range b.Next.Plans {
		cost := s.sum(t, n.Buy)
		if n.Cost != s.words(cost) || n.Against != s.words(minus(cost, best))+" more" || cost.Cmp(last) < 0 {
			t.Errorf("plan %d: %s, %s; its packs cost %s", i+1, n.Cost, n.Against, s.words(cost))
		}
		last = cost
		own, told := map[string]int64{}, map[string]int64{}
		counts(n.Buy, 1, own)
		counts(b.Buy, 1, told)
		counts(n.More, 1, told)
		counts(n.Fewer, -1, told)
		if !reflect.DeepEqual(own, told) {
			t.Errorf("plan %d buys %v, told is %v", i+1, own, told)
		}
		for _, o := range better {
			leaves := false
			for food, k := range o {
				leaves = leaves || own[food] < k
			}
			if !leaves {
				t.Errorf("plan %d buys %v, and all of a better one: %v", i+1, own, o)
			}
		}
		better = append(better, own)
		p, err := readPlan(n.Plan)
		if err != nil {
			t.Fatal(err)
		}
		_, wrong := recount(h, foods, p)
		for _, o := range wrong {
			t.Errorf("plan %d: %s", i+1, o)
		}
		for food, fed := range fedMass(p, foods) {
			have := new(big.Rat)
			for _, l := range h.stock {
				if l.food.name == food {
					have = sum(have, l.mass)
				}
			}
			if s.pack[food] != nil {
				have = sum(have, times(s.pack[food], whole(own[food])))
			}
			if have.Cmp(fed) < 0 {
				t.Errorf("plan %d feeds %s g of %s; there are %s g with what it buys", i+1, fed.FloatString(1), food, have.FloatString(1))
			}
		}
		file := filepath.Join(t.TempDir(), "plan.json")
		if err := os.WriteFile(file, n.Plan, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, complaint, code := call(nil, append(args, "-plan", file)...); code != 0 {
			t.Errorf("plan %d, given to -plan: exit %d, %s", i+1, code, complaint)
		}
	}
}

func fedMass(p plan, foods larder) map[string]*big.Rat {
	out := map[string]*big.Rat{}
	for _, d := range p.Days {
		for _, m := range d.Meals {
			for _, sv := range m.Servings {
				name := foods[sv.Food].name
				if out[name] == nil {
					out[name] = new(big.Rat)
				}
				out[name] = sum(out[name], grams(sv.Mass))
			}
		}
	}
	return out
}

// requirements: with what is saved the cost is that of the plan, and what is left
// can be made of packs on offer.
func requirements(t *testing.T, b beside, s shop) {
	t.Helper()
	if b.Next.This.Outcome != "optimal" || b.Costs.ComparedWith != s.words(s.sum(t, b.Buy)) || len(b.Costs.Requirements) < 5 {
		t.Fatalf("%s, compared with %s; %d requirements", b.Next.This.Outcome, b.Costs.ComparedWith, len(b.Costs.Requirements))
	}
	money := func(text string) *big.Rat {
		amount, currency, _ := strings.Cut(text, " ")
		if currency != s.currency {
			t.Fatalf("%q is not in %s", text, s.currency)
		}
		return rat(amount)
	}
	var last *big.Rat
	rules := map[string]bool{}
	for _, r := range b.Costs.Requirements {
		saves, without := money(r.Saves), money(r.Without)
		if got := s.words(sum(saves, without)); r.Proved && got != b.Costs.ComparedWith {
			t.Errorf("%s: %s without it and %s saved are %s, want %s", r.Rule, r.Without, r.Saves, got, b.Costs.ComparedWith)
		}
		if last != nil && saves.Cmp(last) > 0 {
			t.Errorf("%s saves more than the one before it", r.Rule)
		}
		last = saves
		if rules[r.Rule] {
			t.Errorf("%s twice", r.Rule)
		}
		rules[r.Rule] = true
		if !s.makes(without) {
			t.Errorf("%s: no packs on offer cost %s", r.Rule, r.Without)
		}
	}
}

// makes reports whether some packs cost exactly that much.
func (s shop) makes(sum *big.Rat) bool {
	cents := func(r *big.Rat) int64 {
		return new(big.Int).Div(times(r, whole(100)).Num(), times(r, whole(100)).Denom()).Int64()
	}
	reached := make([]bool, cents(sum)+1)
	reached[0] = true
	for i := range reached {
		for _, p := range s.price {
			if c := int(cents(p)); c <= i && reached[i-c] {
				reached[i] = true
			}
		}
	}
	return reached[len(reached)-1]
}

func styles(t *testing.T, b beside, s shop, foods larder) {
	t.Helper()
	var names []string
	for _, st := range b.Styles.Styles {
		names = append(names, st.Style)
		if st.Audit == nil {
			if st.Outcome != "infeasible" && st.Outcome != "undecided" || len(st.Lacking)+len(st.Clash) == 0 || st.Cost != "" || len(st.Buy) != 0 {
				t.Errorf("%s: %s without a plan, %d lacking, cost %q", st.Style, st.Outcome, len(st.Lacking), st.Cost)
			}
			continue
		}
		cost := s.sum(t, st.Buy)
		if s.currency != "" && st.Cost != s.words(cost) {
			t.Errorf("%s costs %s, its packs %s", st.Style, st.Cost, s.words(cost))
		}
		bought := 0
		for _, k := range st.Buy {
			bought += int(k.Packs)
		}
		if st.Work["packs_to_buy"] != bought {
			t.Errorf("%s: %d packs to buy, want %d", st.Style, st.Work["packs_to_buy"], bought)
		}
		if st.Style == "the plan above" {
			if !slices.Equal(st.Buy, b.Buy) {
				t.Errorf("the plan above buys %v, want %v", st.Buy, b.Buy)
			}
			continue
		}
		p, err := readPlan(st.Plan)
		if err != nil {
			t.Fatal(err)
		}
		kinds := map[string]bool{}
		weighed, counted, bowls := 0, 0, 0
		for _, d := range p.Days {
			bowls += len(d.Meals)
			for _, m := range d.Meals {
				for _, sv := range m.Servings {
					f := foods[sv.Food]
					kinds[f.id] = true
					if sv.Pieces > 0 {
						counted++
					} else {
						weighed++
					}
					if f.complete && (st.Style == "assembled" || st.Style == "complete mix" && f.kind == "whole-prey" || st.Style == "whole prey" && f.kind != "whole-prey") {
						t.Errorf("%s feeds %s", st.Style, f.name)
					}
				}
			}
		}
		if w := st.Work; w["foods"] != len(kinds) || w["portions_weighed"] != weighed || w["portions_counted"] != counted || w["bowls"] != bowls {
			t.Errorf("%s: %v; counted %d foods, %d weighed, %d counted, %d bowls", st.Style, w, len(kinds), weighed, counted, bowls)
		}
	}
	if want := []string{"the plan above", "assembled", "complete mix", "whole prey", "mixed"}; !slices.Equal(names, want) {
		t.Errorf("styles %v, want %v", names, want)
	}
}
