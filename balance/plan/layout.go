package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// noLastDay is the day by which food is to be fed that no day hurries.
const noLastDay = math.MaxInt32

// lot is an amount of one supply, in its own units (whole grams or pieces).
type lot struct {
	s *supply
	n int64
}

// energy in millionths of a kcal, a whole number: days and meals are levelled by
// it, never judged by it.
func (l lot) energy() int64 { return l.n * l.s.energy }

// mass in picograms.
func (l lot) mass() units.Mass { return l.s.mass(l.n) }

// microKcal is the energy of one unit of the supply.
func (s *supply) microKcal() int64 {
	var t prey.Tally
	if t.Add(s.food, s.mass(1)) != nil {
		return 0
	}
	sum, _ := t.Energy(prey.Typical)
	// picograms x billionths of a kcal per 100 g: 1e-12 x 1e-9 x 1e-2 = 1e-23 kcal
	micro, _ := sum.MulDiv(1, 1e17)
	return int64(micro.Lo)
}

// role is how a food is spread over the days.
type role uint8

const (
	mainFood role = iota // poured over the days until each has its energy
	spread               // a little on several days
	byPiece              // one piece at a time
	onTop                // oil and powders: beside other food, never alone
)

func roleOf(s *supply) role {
	f := s.food
	switch {
	case f.Kind == prey.Oil || f.Kind == prey.Supplement:
		return onTop
	case s.piece > 0:
		return byPiece
	case f.Complete || f.Kind == prey.Mix || f.Kind == prey.DriedRaw && (!isOrgan(f) || f.HasPart(prey.Muscle)):
		return mainFood
	case f.BoneIn || f.Kind == prey.EggFood || f.Kind == prey.Fish:
		return spread
	case f.PartsKnown && f.Shares[prey.Typical][prey.Muscle] == units.Whole:
		return mainFood
	}
	return spread
}

// byHead reports whether practice gives the food by the animal, whatever its size.
func byHead(f *prey.Food) bool { return f.Kind == prey.EggFood || f.Kind == prey.Oil }

func hasBone(f *prey.Food) bool { return f.BoneIn || !f.Complete && f.HasPart(prey.Bone) }

func isOrgan(f *prey.Food) bool {
	return !f.Complete && (f.HasPart(prey.Liver) || f.HasPart(prey.Organ))
}

// bowlDay is what one bowl gets on one day, or in one meal.
type bowlDay struct {
	lots   []lot
	energy int64
}

func (d *bowlDay) put(l lot) {
	if l.n <= 0 {
		return
	}
	d.energy += l.energy()
	for i := range d.lots {
		if d.lots[i].s == l.s {
			d.lots[i].n += l.n
			return
		}
	}
	d.lots = append(d.lots, l)
}

func (d *bowlDay) take(l lot) {
	for i := range d.lots {
		if d.lots[i].s == l.s {
			d.energy -= l.energy()
			if d.lots[i].n -= l.n; d.lots[i].n == 0 {
				d.lots = slices.Delete(d.lots, i, i+1)
			}
			return
		}
	}
}

func (d *bowlDay) amount(s *supply) int64 {
	for _, l := range d.lots {
		if l.s == s {
			return l.n
		}
	}
	return 0
}

func (d *bowlDay) has(is func(*prey.Food) bool) bool {
	return slices.ContainsFunc(d.lots, func(l lot) bool { return is(l.s.food) })
}

// organ is the liver and other organ of a bowl, in picograms times millionths.
func (d *bowlDay) organ() (organ wide.U128) {
	for _, l := range d.lots {
		organ, _ = organ.AddMul(uint64(l.mass()), uint64(organOf(l.s.food)))
	}
	return organ
}

// layout turns what each bowl gets into a plan of days and meals. Every unit of
// every amount is placed, none is added, so that what was found for the week stays
// true. With even set all days are as alike as they can be; else a day has few foods,
// for each is one more to thaw and weigh.
func (p *planner) layout(m *model, portions [][]int64, even bool) (*ration.Plan, error) {
	plan := &ration.Plan{Household: p.Household.Name, Start: p.Household.Start, Target: p.target.ID}
	for d := range p.Days {
		plan.Days = append(plan.Days, ration.Day{Date: plan.Start.AddDays(d)})
	}
	lots := make([][]lot, len(p.bowls))
	totals := make(map[*prey.Food]units.Mass, len(p.supplies))
	for i := range p.diets {
		views := p.seen(m, i)
		for _, b := range p.diets[i].bowls {
			for k, n := range portions[b] {
				if n > 0 {
					lots[b] = append(lots[b], lot{&views[k], n})
					totals[views[k].food] += views[k].mass(n)
				}
			}
		}
	}
	for b := range p.bowls {
		days, err := p.spreadDays(b, lots[b], totals, even)
		if err != nil {
			return nil, err
		}
		for d := range days {
			plan.Days[d].Meals = append(plan.Days[d].Meals, p.spreadMeals(&p.bowls[b], days[d])...)
		}
	}
	for d := range plan.Days {
		slices.SortStableFunc(plan.Days[d].Meals, func(a, b ration.Meal) int { return cmp.Compare(a.Slot, b.Slot) })
	}
	return plan, nil
}

// seen is how a diet sees the supplies, with the energy of a unit.
func (p *planner) seen(m *model, d int) []supply {
	views := slices.Clone(m.views[d])
	for i := range views {
		views[i].energy = views[i].microKcal()
	}
	return views
}

// dealt is what each bowl gets of each supply, [bowl][supply], in the units of
// its diet.
func (p *planner) dealt(ctx context.Context, m *model, am amounts) ([][]int64, error) {
	portions := make([][]int64, len(p.bowls))
	for b := range portions {
		portions[b] = make([]int64, len(p.supplies))
	}
	for d := range p.diets {
		pieces := int64(0)
		for i := range am[d] {
			if m.views[d][i].piece > 0 {
				pieces += am[d][i]
			}
		}
		if err := p.pay(ctx, pieces*int64(len(p.diets[d].bowls))*dealSteps); err != nil {
			return nil, err
		}
		if err := p.deal(&p.diets[d], am[d], p.seen(m, d), portions); err != nil {
			return nil, err
		}
	}
	return portions, nil
}

// deal shares a diet's amounts between its bowls: what goes by the head first,
// then pieces one by one to the bowl that lacks most, then everything else so
// that each bowl gets its energy and all get the same mix. What divides worst comes
// first, since the rest can make up for it.
func (p *planner) deal(d *diet, am []int64, supplies []supply, portions [][]int64) error {
	n := len(d.bowls)
	heads, weights := make([]int64, n), make([]int64, n)
	var total int64
	for i := range am {
		total += lot{&supplies[i], am[i]}.energy()
	}
	for j, b := range d.bowls {
		weights[j] = int64(p.bowlEnergy(p.bowls[b]))
		heads[j] = int64(len(p.bowls[b].Animals))
	}
	need, err := units.Split(total, weights)
	if err != nil {
		return err
	}
	give := func(i, j int, n int64) {
		if n > 0 {
			portions[d.bowls[j]][i] += n
			need[j] -= n * supplies[i].energy
		}
	}
	counted := make([]int64, n)
	var pieces, grams []int
	for i, n := range am {
		s := &supplies[i]
		switch {
		case n == 0:
		case byHead(s.food) && s.piece > 0:
			// to the bowl that has had fewest for its animals, whatever their kind
			for range n {
				least := 0
				for j := range counted {
					if counted[j]*heads[least] < counted[least]*heads[j] {
						least = j
					}
				}
				counted[least]++
				give(i, least, 1)
			}
		case byHead(s.food):
			parts, err := units.Split(n, heads)
			if err != nil {
				return err
			}
			for j, part := range parts {
				give(i, j, part)
			}
		case s.piece > 0:
			pieces = append(pieces, i)
		default:
			grams = append(grams, i)
		}
	}
	slices.SortStableFunc(pieces, func(a, b int) int { return cmp.Compare(supplies[b].energy, supplies[a].energy) })
	for _, i := range pieces {
		parts := make([]int64, n)
		left := slices.Clone(need)
		for range am[i] {
			most := 0
			for j := range left {
				// what lacks, as a part of what the bowl gets in all
				if wide.Mul(uint64(max(left[j], 0)), uint64(weights[most])).Cmp(wide.Mul(uint64(max(left[most], 0)), uint64(weights[j]))) > 0 {
					most = j
				}
			}
			parts[most]++
			left[most] -= supplies[i].energy
		}
		for j, part := range parts {
			give(i, j, part)
		}
	}
	rest := make([]int64, n)
	for j := range rest {
		rest[j] = max(need[j], 0)
	}
	if slices.Max(rest) == 0 {
		rest = weights
	}
	for _, i := range grams {
		parts, err := units.Split(am[i], rest)
		if err != nil {
			return err
		}
		if roleOf(&supplies[i]) != onTop {
			gather(parts)
		}
		for j, part := range parts {
			give(i, j, part)
		}
	}
	return nil
}

// gather puts parts that are too little to weigh out to the least other part, as
// often as there are any: nobody weighs out 2 g for one bowl of many.
func gather(parts []int64) {
	for {
		from, to := -1, -1
		for j, n := range parts {
			if n > 0 && (from < 0 || n < parts[from]) {
				from = j
			}
		}
		for j, n := range parts {
			if n > 0 && j != from && (to < 0 || n < parts[to]) {
				to = j
			}
		}
		if from < 0 || to < 0 || parts[from] >= tiny {
			return
		}
		parts[to] += parts[from]
		parts[from] = 0
	}
}

// week is one bowl's week while it is laid out.
type week struct {
	days   []bowlDay
	target int64 // energy of a day
	mass   units.Mass
	heads  int64
	organ  units.Share // the most in a day; 0: any
	fish   []int       // the days on which fish is fed
	whole  []bool      // days of whole prey and complete mixes, where they are kept apart
	apart  bool
}

// spreadDays lays a bowl's week out over its days.
func (p *planner) spreadDays(b int, lots []lot, totals map[*prey.Food]units.Mass, even bool) ([]bowlDay, error) {
	n := p.Days
	w := &week{days: make([]bowlDay, n), heads: int64(len(p.bowls[b].Animals)), organ: p.OrganDay, whole: make([]bool, n)}
	var total, complete int64
	for _, l := range lots {
		total += l.energy()
		if l.s.food.Complete {
			complete += l.energy()
		}
		w.mass += l.mass()
	}
	w.target = max(total/int64(n), 1)
	w.mass /= units.Mass(n)
	if p.target.Style == shares.Mixed && complete > 0 && complete < total {
		// at the end of the week, unless the complete food has to go first
		w.apart = true
		k := int((complete*int64(n) + total/2) / total)
		first := !slices.ContainsFunc(lots, func(l lot) bool { return !l.s.food.Complete && len(l.s.lots) > 0 })
		for d := range w.whole {
			w.whole[d] = d >= n-k
			if first {
				w.whole[d] = d < k
			}
		}
	}

	var main, top []lot
	type portion struct {
		lot
		last int // day by which it is to be fed
	}
	var portions []portion
	for _, l := range lots {
		last, soon := p.lastDay(l, totals[l.s.food])
		switch roleOf(l.s) {
		case mainFood:
			main = append(main, l)
		case onTop:
			top = append(top, l)
		case byPiece:
			for i := range l.n {
				if i >= soon {
					last = noLastDay
				}
				portions = append(portions, portion{lot{l.s, 1}, last})
			}
		default:
			times := w.times(l)
			if even {
				times = min(l.n, int64(n))
			}
			parts, err := units.Split(l.n, slices.Repeat([]int64{1}, int(times)))
			if err != nil {
				return nil, err
			}
			var given int64
			for _, part := range parts {
				if given >= soon {
					last = noLastDay
				}
				given += part
				portions = append(portions, portion{lot{l.s, part}, last})
			}
		}
	}
	// What is large and what has to go soon has the fewest days to choose from.
	slices.SortStableFunc(portions, func(a, b portion) int {
		return cmp.Or(cmp.Compare(a.last, b.last), -cmp.Compare(a.energy(), b.energy()))
	})
	for _, l := range portions {
		w.days[w.best(l.lot, l.last)].put(l.lot)
	}
	want := make([]int64, n)
	for _, kept := range []bool{true, false} {
		if !w.apart && !kept {
			break
		}
		var part []lot
		for d := range want {
			want[d] = max(w.target-w.days[d].energy, 0)
			if w.apart && w.whole[d] != kept {
				want[d] = 0
			}
		}
		for _, l := range main {
			if !w.apart || l.s.food.Complete == kept {
				part = append(part, l)
			}
		}
		if even && slices.Max(want) > 0 {
			for _, l := range part {
				parts, err := units.Split(l.n, want)
				if err != nil {
					return nil, err
				}
				for d := range parts {
					w.days[d].put(lot{l.s, parts[d]})
				}
			}
			continue
		}
		for d, ls := range pour(part, want) {
			for _, l := range ls {
				w.days[d].put(l)
			}
		}
	}
	level(w.days, crumb, evenEnough, false)
	if !even {
		together(w.days, tiny, w.takes)
	}
	w.calm()
	for _, l := range top {
		k := int64(n)
		if l.s.food.Kind == prey.Oil {
			k = oilDays
		}
		k = max(1, min(k, l.n, int64(n)))
		parts, err := units.Split(l.n, slices.Repeat([]int64{1}, int(k)))
		if err != nil {
			return nil, err
		}
		for j, part := range parts {
			w.days[j*n/int(k)].put(lot{l.s, part})
		}
	}
	p.inDate(w, lots, totals)
	return w.days, nil
}

// due is how many units of a food must be fed by a day of the plan, counted from
// 0. The days were chosen by scores, which only lean towards it; a lot must not be left
// past its day.
type due struct {
	day int
	n   int64
}

// dues of a bowl's part of a food, the earliest first. All of the food comes to
// total. What lots with a later day cannot bring must be fed by the day of the
// others, as far as these reach; the rest is bought.
func (p *planner) dues(l lot, total units.Mass) (out []due) {
	for _, st := range l.s.lots {
		day := st.BestBefore.DaysSince(p.Household.Start)
		if st.BestBefore == 0 || day < 0 || day >= p.Days-1 || len(out) > 0 && out[len(out)-1].day == day {
			continue
		}
		must := total
		var dated units.Mass
		for _, o := range l.s.lots {
			if o.BestBefore != 0 && o.BestBefore <= st.BestBefore {
				dated += o.Mass
			} else {
				must -= o.Mass
			}
		}
		if must = min(must, dated); must > 0 && total > 0 {
			out = append(out, due{day, min(l.n, mulDiv(int64(must), l.n, int64(total))+1)})
		}
	}
	return out
}

// inDate moves food to the days by which it must be fed, and gives the days it
// comes from other food in return, of which no lot is short of days.
func (p *planner) inDate(w *week, lots []lot, totals map[*prey.Food]units.Mass) {
	dues := make(map[*supply][]due, len(lots))
	for _, l := range lots {
		if list := p.dues(l, totals[l.s.food]); len(list) > 0 {
			dues[l.s] = list
		}
	}
	for _, l := range lots {
		for _, d := range dues[l.s] {
			var had int64
			for k := range d.day + 1 {
				had += w.days[k].amount(l.s)
			}
			for had < d.n {
				from, to := d.day+1, 0
				for k := range w.days {
					switch there := w.days[k].amount(l.s); {
					case k > d.day && there > w.days[from].amount(l.s):
						from = k
					case k <= d.day && there < w.days[to].amount(l.s):
						to = k
					}
				}
				n := min(d.n-had, w.days[from].amount(l.s))
				if n <= 0 {
					break // not all of it was laid out
				}
				if l.s.piece > 0 {
					n = 1
				}
				w.swap(lot{l.s, n}, from, to, func(s *supply) bool { return len(dues[s]) == 0 })
				had += n
			}
		}
	}
}

// swap moves food from one day to another, and about as much energy of other food
// that may move the other way, so that the days stay even.
func (w *week) swap(l lot, from, to int, may func(*supply) bool) {
	w.days[from].take(l)
	w.days[to].put(l)
	left := l.energy()
	for _, main := range []bool{true, false} {
		for _, o := range slices.Clone(w.days[to].lots) {
			if o.s == l.s || o.s.energy <= 0 || !may(o.s) || roleOf(o.s) == onTop || (roleOf(o.s) == mainFood) != main {
				continue
			}
			n := min(o.n, left/o.s.energy)
			if o.s.piece == 0 && o.n-n < crumb && o.energy() < left+left/2 {
				n = o.n
			}
			if n <= 0 || o.s.piece == 0 && n < min(crumb, o.n) {
				continue
			}
			o.n = n
			w.days[to].take(o)
			w.days[from].put(o)
			left -= o.energy()
		}
	}
}

// lastDay is the day of the plan, counted from 0, by which part of a food should
// be fed, and how much of this lot that is. All of the food comes to total.
func (p *planner) lastDay(l lot, total units.Mass) (last int, n int64) {
	if len(l.s.lots) == 0 {
		return noLastDay, 0
	}
	st := l.s.lots[0] // the earliest
	if st.BestBefore == 0 || st.BestBefore >= p.Household.Start.AddDays(p.Days-1) {
		return noLastDay, 0
	}
	return max(0, int(st.BestBefore-p.Household.Start)), mulDiv(int64(min(st.Mass, total)), l.n, int64(max(total, 1)))
}

// times is on how many days a spread food is fed.
func (w *week) times(l lot) int64 {
	all := int64(len(w.days))
	var want int64
	switch f := l.s.food; {
	case f.Kind == prey.Fish:
		want = fishDays * all / 7
	case hasBone(f):
		// every other day, more often only where it would be too much of a day
		want = max((all+1)/2, (100*l.energy()+boneDay*w.target-1)/(boneDay*w.target))
		want = min(want, max(leastTimes, l.n/(boneGrams*w.heads)))
	default:
		want = max(leastTimes, min((all+1)/2, l.n/(organGrams*w.heads)))
		if isOrgan(f) && w.organ > 0 {
			want = all
		}
	}
	return max(1, min(want, l.n/tiny, all))
}

// best is the day on which a portion is best fed: where there is room for it,
// not beside more of its kind, bone not on two days running, a gram food where a
// thawed portion of it keeps for the second day.
func (w *week) best(l lot, last int) int {
	f := l.s.food
	at, least := 0, int64(math.MaxInt64)
	for d := range w.days {
		day := &w.days[d]
		score := fullDay * (day.energy + l.energy()) / w.target
		if over := score - fullDay; over > 0 {
			score += overFull * over
		}
		near := func(is func(*prey.Food) bool) (k int64) {
			if d > 0 && w.days[d-1].has(is) {
				k++
			}
			if d+1 < len(w.days) && w.days[d+1].has(is) {
				k++
			}
			return k
		}
		same := func(o *prey.Food) bool { return o == f }
		if day.has(same) {
			score += sameFood
			if l.s.piece == 0 {
				score += sameGrams
			}
		}
		switch {
		case hasBone(f):
			if day.has(hasBone) {
				score += sameBone
			}
			score += nearBone * near(hasBone)
		case isOrgan(f):
			if day.has(isOrgan) {
				score += sameOrgan
			}
			if near(same) == 1 {
				score -= nearPortion
			}
			if w.organ > 0 {
				organ := day.organ()
				organ, _ = organ.AddMul(uint64(l.mass()), uint64(organOf(f)))
				if organ.Cmp(wide.Mul(uint64(w.mass), uint64(w.organ))) > 0 {
					score += overOrgan
				}
			}
		case f.Kind == prey.Fish:
			if len(w.fish) >= max(1, fishDays*len(w.days)/7) && !slices.Contains(w.fish, d) {
				score += thirdFish
			}
		}
		if w.apart && w.whole[d] != f.Complete {
			score += wrongStyle
		}
		if d > last {
			score += int64(d-last) * lateDay
		}
		if score < least {
			at, least = d, score
		}
	}
	if f.Kind == prey.Fish && !slices.Contains(w.fish, at) {
		w.fish = append(w.fish, at)
	}
	return at
}

// level moves grams and pieces from the fullest to the emptiest of some days or
// meals until they are even enough. Between meals, organs are moved whole: nobody
// weighs out one organ for three meals of a day.
func level(days []bowlDay, least int64, percent int64, meals bool) {
	var total int64
	for d := range days {
		total += days[d].energy
	}
	mean := total / int64(max(len(days), 1))
	for range mostMoves {
		hi, lo := 0, 0
		for d := range days {
			if days[d].energy > days[hi].energy {
				hi = d
			}
			if days[d].energy < days[lo].energy {
				lo = d
			}
		}
		gap := days[hi].energy - days[lo].energy
		if 100*gap <= percent*mean {
			return
		}
		best, gain := lot{}, int64(0)
		for _, l := range days[hi].lots {
			if l.s.energy <= 0 || roleOf(l.s) == onTop {
				continue
			}
			n := gap / 2 / l.s.energy
			there := days[lo].amount(l.s)
			if l.s.piece > 0 {
				n = min(max(n, 1), l.n)
			} else if meals && roleOf(l.s) != mainFood {
				if n = l.n; n*l.s.energy >= gap {
					continue
				}
			} else {
				if n = min(n, l.n); l.n-n < least {
					if n = l.n; n*l.s.energy >= gap {
						n = l.n - least
					}
				}
				if n < least && (there == 0 || n < 1) {
					continue
				}
			}
			// what the two come closer by, less where it makes a new thing to weigh
			after := gap - 2*n*l.s.energy
			g := gap - max(after, -after)
			if there == 0 {
				g -= mean / newThing
			}
			if roleOf(l.s) != mainFood {
				g -= mean / newThing
			}
			if g > gain {
				best, gain = lot{l.s, n}, g
			}
		}
		if gain <= 0 {
			return
		}
		days[hi].take(best)
		days[lo].put(best)
	}
}

// together puts what is too little to weigh out to more of the same food on
// another of some days or meals: the one with least energy that takes it.
func together(days []bowlDay, least int64, takes func(d int, l lot) bool) {
	for d := range days {
		for _, l := range slices.Clone(days[d].lots) {
			if l.s.piece > 0 || roleOf(l.s) == onTop || l.n >= least {
				continue
			}
			to := -1
			for e := range days {
				if e != d && days[e].amount(l.s) > 0 && (to < 0 || days[e].energy < days[to].energy) && takes(e, l) {
					to = e
				}
			}
			if to >= 0 {
				days[d].take(l)
				days[to].put(l)
			}
		}
	}
}

// takes reports whether there is room for a lot on a day, where there is a most
// of organ.
func (w *week) takes(d int, l lot) bool {
	if w.organ == 0 || organOf(l.s.food) <= w.organ {
		return true
	}
	organ, all := w.days[d].organ(), l.mass()
	for _, o := range w.days[d].lots {
		all += o.mass()
	}
	organ, _ = organ.AddMul(uint64(l.mass()), uint64(organOf(l.s.food)))
	return organ.Cmp(wide.Mul(uint64(all), uint64(w.organ))) <= 0
}

// calm moves organ from days that hold too much of it to those with the most
// room, and other food the other way where there is no room for a gram. Portions were
// placed before it was known how full a day would be.
func (w *week) calm() {
	if w.organ == 0 {
		return
	}
	const gram = int64(units.Gram / 1e9) // in milligrams, which days are counted in here
	// what a gram of a food uses of a day's room for organ
	uses := func(s *supply) int64 { return gram * int64(organOf(s.food)-w.organ) }
	room := func(d int) (sum int64) {
		for _, l := range w.days[d].lots {
			sum -= int64(l.mass()/1e9) * int64(organOf(l.s.food)-w.organ)
		}
		return sum
	}
	for range calmMoves {
		hi, lo := 0, 0
		rooms := make([]int64, len(w.days))
		for d := range w.days {
			if rooms[d] = room(d); rooms[d] < rooms[hi] {
				hi = d
			}
			if rooms[d] > rooms[lo] {
				lo = d
			}
		}
		if rooms[hi] >= 0 || rooms[lo] <= 0 {
			return
		}
		best := lot{}
		from, to := hi, lo
		for _, l := range w.days[hi].lots {
			if t := uses(l.s); l.s.piece == 0 && t > 0 {
				n := min(l.n, (-rooms[hi]+t-1)/t, rooms[lo]/t)
				if n > best.n {
					best = lot{l.s, n}
				}
			}
		}
		if best.n == 0 {
			from, to = lo, hi
			for _, l := range w.days[lo].lots {
				if t := -uses(l.s); l.s.piece == 0 && t > 0 && roleOf(l.s) != onTop {
					n := min(l.n, (-rooms[hi]+t-1)/t, rooms[lo]/t)
					if n > best.n && (best.n == 0 || roleOf(l.s) == mainFood) {
						best = lot{l.s, n}
					}
				}
			}
		}
		if best.n == 0 {
			return
		}
		w.days[from].take(best)
		w.days[to].put(best)
	}
}

// spreadMeals lays a bowl's day out over its meals.
func (p *planner) spreadMeals(b *Bowl, day bowlDay) []ration.Meal {
	n := b.Meals
	meals := make([]bowlDay, n)
	target := max(day.energy/int64(n), 1)
	least := int64(crumb)
	if n >= oftenMeals {
		least = sip
	}
	lightest := func() (best int) {
		for m := range meals {
			if meals[m].energy < meals[best].energy {
				best = m
			}
		}
		return best
	}
	lots := slices.Clone(day.lots)
	slices.SortStableFunc(lots, func(x, y lot) int {
		return -cmp.Compare(unit(x).energy(), unit(y).energy())
	})
	var main, top []lot
	for _, l := range lots {
		switch roleOf(l.s) {
		case onTop:
			top = append(top, l)
		case mainFood:
			main = append(main, l)
		case byPiece:
			for range l.n {
				meals[lightest()].put(lot{l.s, 1})
			}
		default:
			// whole in one meal, or in as many as it takes to keep them small
			k := max(1, min(int64(n), l.energy()/(target+target/fullMeal)+1, l.n/max(least, 1)))
			parts, err := units.Split(l.n, slices.Repeat([]int64{1}, int(k)))
			if err != nil {
				parts = []int64{l.n}
			}
			for _, part := range parts {
				meals[lightest()].put(lot{l.s, part})
			}
		}
	}
	want := make([]int64, n)
	for m := range want {
		want[m] = max(target-meals[m].energy, 0)
	}
	for m, ls := range pour(main, want) {
		for _, l := range ls {
			meals[m].put(l)
		}
	}
	level(meals, least, evenMeals, true)
	together(meals, min(least, tiny), func(int, lot) bool { return true })
	fill(meals)
	for _, l := range top { // on the meal with most soft food, never alone
		meals[softest(meals)].put(l)
	}
	var out []ration.Meal
	for m := range meals {
		ls := meals[m].lots
		if len(ls) == 0 {
			continue
		}
		meal := ration.Meal{Slot: m + 1, For: b.IDs()}
		slices.SortStableFunc(ls, func(x, y lot) int {
			return cmp.Or(cmp.Compare(roleOf(x.s), roleOf(y.s)), cmp.Compare(x.s.food.ID, y.s.food.ID))
		})
		for _, l := range ls {
			s := ration.Serving{Food: l.s.food, Mass: l.mass()}
			switch {
			case l.s.piece > 0:
				s.Pieces = l.n
			case l.s.food.Kind == prey.WholePrey:
				s.Form = safety.Pieces // it was cut up
			}
			meal.Servings = append(meal.Servings, s)
		}
		out = append(out, meal)
	}
	return out
}

// fill gives every meal that was left empty part of what fills another most: half
// of a food or of its pieces, or all of it where other food stands beside it. An
// animal is to eat as often as it must, whatever a day holds.
func fill(meals []bowlDay) {
	for m := range meals {
		if len(meals[m].lots) > 0 {
			continue
		}
		from, best := -1, lot{}
		for d := range meals {
			for _, l := range meals[d].lots {
				if n := l.n / 2; n > 0 {
					l.n = n
				} else if len(meals[d].lots) == 1 {
					continue
				}
				if from < 0 || l.energy() > best.energy() {
					from, best = d, l
				}
			}
		}
		if from < 0 {
			return
		}
		meals[from].take(best)
		meals[m].put(best)
	}
}

// softest is the meal with the most food fed by the gram; else the first that
// holds anything.
func softest(meals []bowlDay) (best int) {
	most := int64(-1)
	for m := range meals {
		var soft int64
		for _, l := range meals[m].lots {
			if l.s.piece == 0 && roleOf(l.s) != onTop {
				soft += l.n
			}
		}
		if len(meals[m].lots) > 0 && soft > most {
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

// pour fills the places one after the other from the foods in their order, each
// in proportion to what it wants, and leaves nothing over. One food is used up before
// the next is begun, so that a day has few and what should go first goes first.
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
				n = min(left, max(upTo-poured, 0)/max(l.s.energy, 1))
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
