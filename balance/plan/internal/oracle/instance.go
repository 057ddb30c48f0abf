package oracle

import (
	_ "embed"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"

	"github.com/shopspring/decimal"
)

// Shelf is what instances are made from.
type Shelf struct {
	Foods       *prey.Catalogue
	Book        *balance.Book
	Safety      *safety.Book
	HazardCheck *safety.HazardCheck

	drawn []*prey.Food
}

// drawnFoods are the foods that instances are drawn from: all there were when the
// answers were first kept. A food that came later is not among them, so that it
// makes no kept answer out of date.
//
//go:embed foods.txt
var drawnFoods string

// NewShelf reads the shipped foods, rules and hazards.
func NewShelf() (*Shelf, error) {
	foods, err := prey.Shipped()
	if err != nil {
		return nil, err
	}
	book, err := balance.Shipped()
	if err != nil {
		return nil, err
	}
	care, err := safety.Shipped()
	if err != nil {
		return nil, err
	}
	screen, err := safety.NewHazardCheck(care, foods, safety.Context{})
	if err != nil {
		return nil, err
	}
	s := &Shelf{Foods: foods, Book: book, Safety: care, HazardCheck: screen}
	for _, id := range strings.Fields(drawnFoods) {
		f, err := foods.Find(id)
		if err != nil {
			return nil, fmt.Errorf("reading foods.txt: %w", err)
		}
		s.drawn = append(s.drawn, f)
	}
	return s, nil
}

// asOf is a day in 2026 on which every instance stands.
const asOf = units.Date(20600)

// Instance returns the n-th household of a seeded set with what is asked for it.
// Most have 12 to 60 foods, every tenth up to 250; some have equal prices, an
// empty freezer, packs larger than the week, one food, a target whose ranges are
// collapsed to a point, several diets, or too little of something.
func (s *Shelf) Instance(n int) plan.Request {
	r := rand.New(rand.NewPCG(20261125, uint64(n)))
	return s.make(r, n, 12+r.IntN(49))
}

// Small returns the n-th of a set for one animal, with 7 to 10 foods of every
// slot but now and then one.
func (s *Shelf) Small(n int) plan.Request {
	r := rand.New(rand.NewPCG(8, uint64(n)))
	return s.make(r, small, 7+r.IntN(4))
}

// Sized returns the n-th of a set whose households have that many foods to choose
// from, otherwise drawn as for Instance.
func (s *Shelf) Sized(n, foods int) plan.Request {
	return s.make(rand.New(rand.NewPCG(uint64(foods), uint64(n))), sized, foods)
}

const (
	small = -1
	sized = -2
)

func (s *Shelf) make(r *rand.Rand, n, foods int) plan.Request {
	switch {
	case n == small:
	case n%50 == 17:
		foods = 1
	case n%50 == 34:
		foods = 250
	case n%10 == 4:
		foods = 60 + r.IntN(190)
	}
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: asOf, Start: asOf + 3}
	q := plan.Request{Household: h, Foods: s.Foods, Book: s.Book, HazardCheck: s.HazardCheck}
	q.Target = []string{"assembled-edible-bone", "assembled-edible-bone", "assembled-bone-in-meat", "assembled-heart-in-muscle",
		"assembled-more-heart", "mixed-week", "whole-prey"}[r.IntN(7)]
	if n == small {
		q.Target = balance.DefaultTarget
	}
	if n%20 == 13 {
		s.collapse(&q)
	}
	if r.IntN(6) == 0 {
		q.Days = 1 + r.IntN(14)
	}
	if r.IntN(8) == 0 {
		q.Extra[r.IntN(int(shares.NumSlots))] = units.Gram * units.Mass(1+r.IntN(15))
	}
	if r.IntN(8) == 0 {
		q.OrganDay = units.Share(80_000 + 10_000*r.IntN(12))
	}
	if q.Target == "mixed-week" && q.Days == 0 && r.IntN(2) == 0 {
		q.CompleteDays = 1 + r.IntN(6)
	}
	s.animals(r, h)
	if n == small {
		h.Animals = h.Animals[:1]
	}
	list := s.pick(r, foods, h, q.Target)
	week := 0
	for range h.Animals {
		week += 500 + r.IntN(500)
	}
	equal := r.IntN(8) == 0
	huge := r.IntN(10) == 0
	empty := r.IntN(4) == 0
	for _, f := range list {
		each := units.Mass(0)
		if f.Piece.Typical > 0 && (f.BoneIn || f.Kind == prey.WholePrey || f.Kind == prey.EggFood) {
			each = max(f.Piece.Typical/units.Gram, 1) * units.Gram
		}
		amount := func(grams int) (units.Mass, int64) {
			m := units.Gram * units.Mass(grams)
			if each == 0 {
				return m, 0
			}
			k := max(m/each, 1)
			return each * k, int64(k)
		}
		stocked := !empty && r.IntN(3) == 0 || len(list) == 1
		if stocked {
			lot := ration.Stock{Food: f}
			lot.Mass, lot.Pieces = amount(5 + r.IntN(1+week*3/max(len(list), 4)))
			if r.IntN(3) == 0 {
				lot.BestBefore = asOf + units.Date(r.IntN(60))
			}
			h.Stock = append(h.Stock, lot)
		}
		if stocked && r.IntN(2) == 0 {
			continue
		}
		for range 1 + r.IntN(5)/4 {
			o := ration.Offer{Food: f}
			grams := []int{100, 200, 227, 250, 400, 454, 500, 1000}[r.IntN(8)]
			if huge {
				grams = week * (2 + r.IntN(4))
			}
			o.Pack, o.Pieces = amount(grams)
			cents := int64(60 + r.IntN(900))
			if equal {
				cents = 250
			}
			o.Price, _ = units.NewPrice(decimal.New(cents, -2), "EUR")
			if r.IntN(4) == 0 {
				o.Max = int64(1 + r.IntN(3))
			}
			h.Offers = append(h.Offers, o)
		}
	}
	return q
}

// collapse gives the target one point instead of ranges.
func (s *Shelf) collapse(q *plan.Request) {
	t, err := s.Book.Target(q.Target)
	if err != nil || len(t.Shares) == 0 {
		return
	}
	own := *t
	own.ID = "point"
	own.Shares = slices.Clone(t.Shares)
	for i := range own.Shares {
		own.Shares[i].Low, own.Shares[i].High = own.Shares[i].Aim, own.Shares[i].Aim
	}
	if b, err := s.Book.WithTargets([]shares.Target{own}); err == nil {
		q.Book, q.Target = b, own.ID
	}
}

func (s *Shelf) animals(r *rand.Rand, h *ration.Household) {
	n := 1 + r.IntN(6)
	if r.IntN(8) == 0 {
		n = 7 + r.IntN(14)
	}
	for i := range n {
		a := ration.Animal{ID: fmt.Sprintf("a%d", i), Name: fmt.Sprintf("A%d", i), Sex: ration.Sex(1 + r.IntN(2)),
			Mass: units.Gram * units.Mass(500+r.IntN(1500))}
		switch r.IntN(12) {
		case 0:
			a.Never = []string{[]string{"rabbit", "chicken", "cattle", "turkey", "hen-egg", "lamb-liver"}[r.IntN(6)]}
		case 1:
			a.Born = asOf - units.Date(7*(17+r.IntN(18)))
		}
		if r.IntN(3) > 0 {
			a.Group = fmt.Sprintf("g%d", i/4)
		}
		h.Animals = append(h.Animals, a)
	}
}

// pick takes foods at random, in most households with some of every slot.
func (s *Shelf) pick(r *rand.Rand, n int, h *ration.Household, target string) []*prey.Food {
	var slots [8][]*prey.Food
	all := slices.Clone(s.drawn)
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	for _, f := range all {
		k := 7
		typical := &f.Shares[prey.Typical]
		switch {
		case f.Kind == prey.EggFood:
			k = 5
		case f.Kind == prey.Oil || f.Kind == prey.Supplement:
			k = 6
		case f.Complete:
			k = 7
		case f.BoneIn:
			k = 4
		case typical[prey.Heart] == units.Whole:
			k = 1
		case typical[prey.Liver] == units.Whole:
			k = 2
		case typical[prey.Organ] == units.Whole:
			k = 3
		case typical[prey.Muscle] == units.Whole:
			k = 0
		}
		slots[k] = append(slots[k], f)
	}
	var out []*prey.Food
	seen := map[*prey.Food]bool{}
	take := func(list []*prey.Food, n int) {
		for _, f := range list {
			if n > 0 && !seen[f] {
				seen[f] = true
				out = append(out, f)
				n--
			}
		}
	}
	if n == 1 {
		// one food: a complete one where the target wants that
		if target == "whole-prey" {
			take(slots[7], 1)
		} else {
			take(all, 1)
		}
		return out
	}
	lacks := 99
	if r.IntN(8) == 0 {
		lacks = r.IntN(5)
	}
	for k, want := range [8]int{3, 2, 1, 1, 2, 1, 1, 1} {
		if n < 12 {
			want = min(want, [8]int{3, 1, 1, 1, 1, 0, 0, 0}[k])
		}
		if k != lacks {
			take(slots[k], want)
		}
	}
	if target == "whole-prey" || target == "mixed-week" {
		take(slots[7], max(n/2-len(out), 0))
	}
	if lacks < len(slots) {
		for _, f := range slots[lacks] {
			seen[f] = true
		}
	}
	take(all, n-len(out))
	return out
}

// Question is what one way that was tried for a request comes to.
func (s *Shelf) Question(q plan.Request, t plan.Attempt) (*Question, error) {
	target, err := q.Book.Target(q.Target)
	if err != nil {
		return nil, err
	}
	days := q.Days
	if days == 0 {
		days = 7
	}
	return &Question{Household: q.Household, Book: q.Book, Safety: s.Safety, Target: target, Days: days, Extra: q.Extra, OrganDay: q.OrganDay, CompleteDays: q.CompleteDays,
		Middle: t.Middle, Asked: t.Asked}, nil
}
