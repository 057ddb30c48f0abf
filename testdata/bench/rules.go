package main

import (
	"fmt"
	"math/big"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/units"
)

// The rules that every engine is given, by their ids in the shipped book. All
// are judged at the typical figures.
const (
	shareMuscle = iota
	shareHeart
	shareBone
	shareLiver
	shareOrgan
	kinds
	redMeat
	eggs
	oil
	ratioFloor
	ratioPractice
	calciumLeast
	calciumMost
	vitaminALeast
	vitaminAMost

	numRules
)

func ruleIDs() [numRules]string {
	return [numRules]string{"share-muscle", "share-heart", "share-bone", "share-liver", "share-organ", "proteins-distinct", "red-meat",
		"eggs-weekly", "oil-weekly", "ca-p-floor", "ca-p-practice", "calcium-least", "calcium-most-dog", "vitamin-a-least", "vitamin-a-most"}
}

// verdicts says of each rule whether it is met.
type verdicts [numRules]bool

// bound is one limit of one rule as a sum over servings: on it, the sum of mass x
// of(serving) is at.
type bound struct {
	rule  int
	upper bool
	name  string
	of    func(r *row) *big.Int
	at    *big.Int
}

// bounds are all limits on sums, as the book states them.
func bounds(book *balance.Book) ([]bound, error) {
	target, err := book.Target("")
	if err != nil {
		return nil, err
	}
	ids := ruleIDs()
	var out []bound
	add := func(rule int, upper bool, text string, of func(r *row) *big.Int, at int64) {
		out = append(out, bound{rule, upper, ids[rule] + " " + text, of, big.NewInt(at)})
	}
	// num x scale - limit x den is nothing on the limit.
	line := func(num, scale, limit, den int64) *big.Int {
		a := new(big.Int).Mul(big.NewInt(num), big.NewInt(scale))
		return a.Sub(a, new(big.Int).Mul(big.NewInt(limit), big.NewInt(den)))
	}
	for i, slot := range shares.Slots() {
		sh, ok := target.Share(slot)
		if !ok {
			return nil, fmt.Errorf("the target asks nothing of %s", slot)
		}
		for _, limit := range []units.Share{sh.Low, sh.High} {
			add(shareMuscle+i, limit == sh.High, limit.String(), func(r *row) *big.Int {
				return line(r.slots[i], int64(units.Whole), int64(limit), r.slotSum())
			}, 0)
		}
	}
	quotient := func(rule int, scale int64, num, den func(r *row) int64) error {
		r, ok := book.Rule(ids[rule])
		if !ok {
			return fmt.Errorf("the book has no rule %s", ids[rule])
		}
		for _, limit := range []*balance.Limit{r.Low, r.High} {
			if limit != nil {
				add(rule, limit == r.High, limit.Text, func(r *row) *big.Int { return line(num(r), scale, limit.Value, den(r)) }, 0)
			}
		}
		return nil
	}
	const ratio, perKcal = 1_000_000_000, 1_000_000_000_000
	calcium := func(r *row) int64 { return r.calcium }
	phosphorus := func(r *row) int64 { return r.phosphorus }
	vitaminA := func(r *row) int64 { return r.vitaminA }
	kcal := func(r *row) int64 { return r.kcal }
	for _, q := range []struct {
		rule     int
		scale    int64
		num, den func(r *row) int64
	}{
		{ratioFloor, ratio, calcium, phosphorus}, {ratioPractice, ratio, calcium, phosphorus},
		{calciumLeast, perKcal, calcium, kcal}, {calciumMost, perKcal, calcium, kcal},
		{vitaminALeast, perKcal, vitaminA, kcal}, {vitaminAMost, perKcal, vitaminA, kcal},
	} {
		if err := quotient(q.rule, q.scale, q.num, q.den); err != nil {
			return nil, err
		}
	}
	r, ok := book.Rule(ids[oil])
	if !ok {
		return nil, fmt.Errorf("the book has no rule %s", ids[oil])
	}
	for _, limit := range []*balance.Limit{r.Low, r.High} {
		add(oil, limit == r.High, limit.Text, func(r *row) *big.Int {
			if r.oil {
				return big.NewInt(1)
			}
			return new(big.Int)
		}, limit.Value)
	}
	return out, nil
}

// truth judges a plan by whole numbers of any length, with no code of the
// library but its limits.
func truth(p *drawn, book *balance.Book, list []bound) (v verdicts, err error) {
	for i := range v {
		v[i] = true
	}
	for _, b := range list {
		sum := new(big.Int)
		for i := range p.rows {
			sum.Add(sum, new(big.Int).Mul(big.NewInt(p.rows[i].mass), b.of(&p.rows[i])))
		}
		side := sum.Cmp(b.at)
		v[b.rule] = v[b.rule] && (b.upper && side <= 0 || !b.upper && side >= 0)
	}
	var count [numRules]int64
	seen := map[string]bool{}
	for i := range p.rows {
		r := &p.rows[i]
		count[eggs] += r.eggs
		if r.meat && !seen[r.species] {
			seen[r.species] = true
			count[kinds]++
			if r.red {
				count[redMeat]++
			}
		}
	}
	for _, i := range []int{kinds, redMeat, eggs} {
		r, ok := book.Rule(ruleIDs()[i])
		if !ok {
			return v, fmt.Errorf("the book has no rule %s", ruleIDs()[i])
		}
		v[i] = (r.Low == nil || count[i] >= r.Low.Value) && (r.High == nil || count[i] <= r.High.Value)
	}
	return v, nil
}
