package balance

import (
	"cmp"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// lot is an amount of one supply, in its own units (whole grams or pieces).
type lot struct {
	s *supply
	n int64
}

// energy in tenths of a kcal, a whole number: days and meals are levelled by it,
// never judged by it.
func (l lot) energy() int64 { return int64(kcalTenths(l.s.food, l.s.mass(l.n))) }

// role is how a food is spread over the days.
type role uint8

const (
	mainFood role = iota // poured over the days until each has its energy
	spread               // a little on several days
	byPiece              // one piece at a time
)

func roleOf(s *supply) role {
	f := s.food
	switch {
	case s.piece > 0:
		return byPiece
	case f.Complete || f.Kind == prey.Mix || f.Kind == prey.DriedRaw:
		return mainFood
	case f.BoneIn || f.Kind == prey.EggFood || f.Kind == prey.Oil || f.Kind == prey.Supplement || f.Kind == prey.Fish:
		return spread
	case f.PartsKnown && f.Shares[prey.Typical][prey.Muscle] == units.Whole:
		return mainFood
	}
	return spread
}

// byHead reports whether practice gives the food by the animal, whatever its size.
func byHead(f *prey.Food) bool { return f.Kind == prey.EggFood || f.Kind == prey.Oil }

// days is on how many days a spread food is fed to a bowl.
func (l lot) days(heads, all int64) int64 {
	var want int64
	switch f := l.s.food; {
	case f.Kind == prey.Fish:
		want = 2
	case f.Kind == prey.Oil:
		want = 4
	case f.Kind == prey.Supplement:
		want = all
	case f.BoneIn:
		want = max(2, l.n/(25*heads))
	default:
		want = max(2, l.n/(10*heads))
	}
	return max(1, min(want, l.n, all))
}

// layout turns the amounts of each diet into a plan of days and meals. Every
// unit of every amount is placed, none is added.
func (p *planner) layout(am amounts, supplies []supply) (*ration.Plan, error) {
	plan := &ration.Plan{Household: p.Household.Name, Start: p.Household.Start, Target: p.target.ID}
	for d := range p.Days {
		plan.Days = append(plan.Days, ration.Day{Date: plan.Start.AddDays(d)})
	}
	perBowl := make([][]lot, len(p.bowls))
	for i := range p.diets {
		if err := p.deal(&p.diets[i], am[i], supplies, perBowl); err != nil {
			return nil, err
		}
	}
	for b := range p.bowls {
		days, err := p.spreadDays(b, perBowl[b])
		if err != nil {
			return nil, err
		}
		for d, lots := range days {
			meals, err := p.spreadMeals(&p.bowls[b], lots)
			if err != nil {
				return nil, err
			}
			plan.Days[d].Meals = append(plan.Days[d].Meals, meals...)
		}
	}
	for d := range plan.Days {
		slices.SortStableFunc(plan.Days[d].Meals, func(a, b ration.Meal) int { return cmp.Compare(a.Slot, b.Slot) })
	}
	return plan, nil
}

// deal shares a diet's amounts between its bowls: pieces and what goes by the
// head first, then everything else so that each bowl gets its energy.
func (p *planner) deal(d *diet, am []int64, supplies []supply, perBowl [][]lot) error {
	need := make([]int64, len(d.bowls)) // energy still to be dealt
	heads := make([]int64, len(d.bowls))
	weights := make([]int64, len(d.bowls))
	var all, total int64
	for i := range am {
		total += lot{&supplies[i], am[i]}.energy()
	}
	for j, b := range d.bowls {
		weights[j] = int64(p.bowlEnergy(p.bowls[b]))
		heads[j] = int64(len(p.bowls[b].Animals))
		all += weights[j]
	}
	need, err := units.Split(total, weights)
	if err != nil {
		return err
	}
	give := func(i int, by []int64) error {
		parts, err := units.Split(am[i], by)
		if err != nil {
			return err
		}
		for j, n := range parts {
			if n > 0 {
				l := lot{&supplies[i], n}
				perBowl[d.bowls[j]] = append(perBowl[d.bowls[j]], l)
				need[j] -= l.energy()
			}
		}
		return nil
	}
	order := make([]int, 0, len(am))
	for i, n := range am {
		if n > 0 {
			order = append(order, i)
		}
	}
	early := func(i int) bool { return supplies[i].piece > 0 || byHead(supplies[i].food) }
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(btoi(!early(a)), btoi(!early(b))),
			-cmp.Compare(lot{&supplies[a], 1}.energy(), lot{&supplies[b], 1}.energy()), cmp.Compare(a, b))
	})
	for _, i := range order {
		by := heads
		if !byHead(supplies[i].food) {
			by = make([]int64, len(need))
			for j := range need {
				by[j] = max(need[j], 0)
			}
			if slices.Max(by) == 0 {
				by = weights
			}
			if !early(i) {
				// what is poured last keeps the same mix for every bowl
				by = p.rest(d, by, weights)
			}
		}
		if err := give(i, by); err != nil {
			return err
		}
	}
	return nil
}

// rest is what a bowl's gram foods are divided by. The first gram food fixes it,
// so that all of them are divided alike.
func (p *planner) rest(d *diet, by, weights []int64) []int64 {
	if d.rest == nil {
		d.rest = slices.Clone(by)
	}
	return d.rest
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// spreadDays lays a bowl's week out over its days.
func (p *planner) spreadDays(b int, lots []lot) ([][]lot, error) {
	n := p.Days
	days := make([][]lot, n)
	energy := make([]int64, n)
	var total int64
	for _, l := range lots {
		total += l.energy()
	}
	heads := int64(len(p.bowls[b].Animals))
	put := func(d int, l lot) {
		if l.n > 0 {
			days[d] = add(days[d], l)
			energy[d] += l.energy()
		}
	}
	var main []lot
	for _, l := range lots {
		switch roleOf(l.s) {
		case mainFood:
			main = append(main, l)
		case byPiece, spread:
			m := l.n
			if roleOf(l.s) == spread {
				m = l.days(heads, int64(n))
			}
			parts, err := units.Split(l.n, slices.Repeat([]int64{1}, int(m)))
			if err != nil {
				return nil, err
			}
			shift := 0
			if l.s.food.Kind != prey.Fish { // all fish on the same days
				shift = lightest(energy, parts, l.s)
			}
			for j, part := range parts {
				put((j*n/int(m)+shift)%n, lot{l.s, part})
			}
		}
	}
	want := make([]int64, n)
	for d := range want {
		want[d] = max(total/int64(n)-energy[d], 0)
	}
	for d, ls := range pour(main, want) {
		for _, l := range ls {
			put(d, l)
		}
	}
	return days, nil
}

// lightest is by how many days the evenly spaced parts have to move for the
// fullest day to be as light as it can be.
func lightest(energy []int64, parts []int64, s *supply) (best int) {
	n := len(energy)
	least := int64(-1)
	for shift := range n {
		e := slices.Clone(energy)
		for j, part := range parts {
			e[(j*n/len(parts)+shift)%n] += lot{s, part}.energy()
		}
		if m := slices.Max(e); least < 0 || m < least {
			best, least = shift, m
		}
	}
	return best
}

// spreadMeals lays a bowl's day out over its meals.
func (p *planner) spreadMeals(b *Bowl, lots []lot) ([]ration.Meal, error) {
	n := b.Meals
	meals := make([][]lot, n)
	energy := make([]int64, n)
	var total int64
	for _, l := range lots {
		total += l.energy()
	}
	put := func(m int, l lot) {
		if l.n > 0 {
			meals[m] = add(meals[m], l)
			energy[m] += l.energy()
		}
	}
	least := func() (best int) {
		for m := range energy {
			if energy[m] < energy[best] {
				best = m
			}
		}
		return best
	}
	fixed := slices.Clone(lots)
	slices.SortStableFunc(fixed, func(x, y lot) int {
		return -cmp.Compare(unit(x).energy(), unit(y).energy())
	})
	var main, onTop []lot
	for _, l := range fixed {
		if k := l.s.food.Kind; k == prey.Oil || k == prey.Supplement {
			onTop = append(onTop, l)
			continue
		}
		switch roleOf(l.s) {
		case mainFood:
			main = append(main, l)
		case byPiece:
			for range l.n {
				put(least(), lot{l.s, 1})
			}
		default:
			put(least(), l)
		}
	}
	want := make([]int64, n)
	for m := range want {
		want[m] = max(total/int64(n)-energy[m], 0)
	}
	for m, ls := range pour(main, want) {
		for _, l := range ls {
			put(m, l)
		}
	}
	for _, l := range onTop { // oil and powder go on the softest meal, never alone
		put(softest(meals), l)
	}
	var out []ration.Meal
	for m, ls := range meals {
		if len(ls) == 0 {
			continue
		}
		meal := ration.Meal{Slot: m + 1, For: b.IDs()}
		slices.SortStableFunc(ls, func(x, y lot) int {
			return cmp.Or(cmp.Compare(roleOf(x.s), roleOf(y.s)), cmp.Compare(x.s.food.ID, y.s.food.ID))
		})
		for _, l := range ls {
			s := ration.Serving{Food: l.s.food, Mass: l.s.mass(l.n)}
			if l.s.piece > 0 {
				s.Pieces = l.n
			}
			meal.Servings = append(meal.Servings, s)
		}
		out = append(out, meal)
	}
	return out, nil
}

// softest is the meal with the most food fed by the gram; else the first that
// holds anything.
func softest(meals [][]lot) (best int) {
	most := int64(-1)
	for m, ls := range meals {
		var soft int64
		for _, l := range ls {
			if l.s.piece == 0 {
				soft += l.n
			}
		}
		if len(ls) > 0 && soft > most {
			best, most = m, soft
		}
	}
	return best
}

// unit is what is placed at once: a piece, or the whole of a gram food.
func unit(l lot) lot {
	if l.s.piece > 0 {
		l.n = 1
	}
	return l
}

func add(to []lot, l lot) []lot {
	for i := range to {
		if to[i].s == l.s {
			to[i].n += l.n
			return to
		}
	}
	return append(to, l)
}

func amountOf(lots []lot, s *supply) int64 {
	for _, l := range lots {
		if l.s == s {
			return l.n
		}
	}
	return 0
}

// crumb is the least amount worth weighing out: smaller remainders stay with
// the rest of their food.
const crumb = 5

// pour fills the places one after the other from the foods in their order, each
// in proportion to what it wants, and leaves nothing over.
func pour(foods []lot, want []int64) [][]lot {
	out := make([][]lot, len(want))
	if len(want) == 0 {
		return out
	}
	var total, wanted int64
	for _, l := range foods {
		total += l.energy()
	}
	for _, w := range want {
		wanted += w
	}
	if wanted == 0 {
		want, wanted = slices.Repeat([]int64{1}, len(want)), int64(len(want))
	}
	last := 0
	for i, w := range want {
		if w > 0 {
			last = i
		}
	}
	next := 0
	left := int64(0)
	if len(foods) > 0 {
		left = foods[0].n
	}
	var poured, goal int64
	for i := range want {
		goal += want[i]
		upTo := mulDiv(total, goal, wanted)
		for next < len(foods) && want[i] > 0 {
			l := foods[next]
			n := left
			if i != last {
				per := max(l.energy(), 1)
				n = min(left, mulDiv(max(upTo-poured, 0), l.n, per))
				if left-n < crumb {
					n = left
				}
				if n < crumb && n < left {
					break
				}
			}
			out[i] = append(out[i], lot{l.s, n})
			poured += lot{l.s, n}.energy()
			if left -= n; left == 0 {
				if next++; next < len(foods) {
					left = foods[next].n
				}
			}
		}
	}
	return out
}

// mulDiv is a x b / c, rounded down, for amounts far from the end of 64 bits.
func mulDiv(a, b, c int64) int64 {
	if a <= 0 || b <= 0 || c <= 0 {
		return 0
	}
	q, _ := wide.Mul(uint64(a), uint64(b)).MulDiv(1, uint64(c))
	return int64(q.Lo)
}
