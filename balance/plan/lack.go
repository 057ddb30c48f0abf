package plan

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/plan/internal/milp"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
)

// Relaxation is one change that makes a plan possible where there is none.
type Relaxation struct {
	Text string // "Allow 3.6 % liver instead of at least 4 %."
	// Rule is whose bound would move; nil when it is the energy, the daily organ
	// or what last week fell short of.
	Rule *balance.Rule
	// Food and Mass are set when the change is to have that much more of a food.
	Food *prey.Food
	Mass units.Mass
	Cost units.Price // of the packs then
	size float64     // of the change, as a part of what was asked
}

// explain says why there is no plan and what would make one. Each part has work of
// its own, so that the first cannot take what the last needs.
func (p *planner) explain(ctx context.Context, a attempt) error {
	why := p.scaled(p.each(whyWork))
	done := p.spend(why)
	err := p.lacking(ctx, a)
	done()
	if err != nil {
		return err
	}
	done = p.spend(why)
	keys, feasible, err := p.core(ctx, a)
	done()
	if err != nil {
		return err
	}
	defer p.spend(why)()
	if feasible {
		p.res.Clash = []string{"Amounts can be found, but they could not be laid out in whole grams and pieces over the days."}
		return nil
	}
	var tried []string
	for _, k := range keys {
		p.res.Clash = append(p.res.Clash, p.words(k))
		if slices.Contains(tried, k.key) {
			continue
		}
		tried = append(tried, k.key)
		r, err := p.relax(ctx, a, k.key)
		if err != nil {
			return err
		}
		p.res.Relaxations = append(p.res.Relaxations, r...)
	}
	if err := p.relaxNever(ctx, a); err != nil {
		return err
	}
	slices.SortStableFunc(p.res.Relaxations, func(x, y Relaxation) int { return cmp.Compare(x.size, y.size) })
	return nil
}

// variant is a planner for a request that differs a little, with a result of
// its own. The copy is shallow: what is changed must be copied first.
func (p *planner) variant() *planner {
	v := *p
	v.res = &Result{Target: p.target, Household: p.res.Household}
	v.supplies = slices.Clone(p.supplies)
	v.layouts, v.brief = fewLayouts, true
	return &v
}

// adopt counts the work of a variant.
func (p *planner) adopt(v *planner) {
	s, t := &p.res.Search, &v.res.Search
	s.Solves += t.Solves
	s.Nodes += t.Nodes
	s.Pivots += t.Pivots
	s.Layouts += t.Layouts
	s.Steps += t.Steps
	*t = Search{}
}

// plannable reports whether a plan is found for a variant, and what it costs.
func (p *planner) plannable(ctx context.Context, v *planner, a attempt) (units.Price, bool, error) {
	a.rules = v.known()
	f, err := v.search(ctx, a)
	p.adopt(v)
	if err != nil || f.plan == nil {
		return units.Price{}, false, err
	}
	return v.price(f.cost), true, nil
}

// enough reports whether a solution of a model in which foods may be added makes
// a plan of a variant that has them. What was found is laid out as it is; only where
// that fails is searched again.
func (p *planner) enough(ctx context.Context, v *planner, a attempt, from *model, all []supply, sol []float64) (bool, error) {
	a.rules = v.known()
	m := v.model(ctx, v.supplies, a)
	x := make([]float64, len(m.prob.Columns))
	for d := range m.amt {
		for i, c := range m.amt[d] {
			for k, old := range from.amt[d] {
				if c >= 0 && old >= 0 && all[k].food == v.supplies[i].food {
					x[c] += sol[old]
				}
			}
		}
	}
	for i := range p.supplies {
		for k, c := range m.packs[i] {
			x[c] = sol[from.packs[i][k]]
		}
	}
	f := &found{}
	_, err := v.settle(ctx, m, x, a, f)
	p.adopt(v)
	return f.plan != nil, err
}

// possible reports whether the amounts of a variant can be found, in whatever
// part of a gram: many changes are tried, and only the last is laid out.
func (p *planner) possible(ctx context.Context, v *planner, a attempt) (bool, error) {
	sol, err := v.feasible(ctx, v.model(ctx, v.supplies, a).prob)
	return sol.X != nil, err
}

// more is a variant with that much more of some foods in the freezer.
func (p *planner) more(list []ration.Shortage) *planner {
	v := p.variant()
	for _, l := range list {
		i := slices.IndexFunc(v.supplies, func(s supply) bool { return s.food == l.Food })
		if i < 0 {
			i = len(v.supplies)
			v.supplies = append(v.supplies, supply{food: l.Food, spot: i})
		}
		s := &v.supplies[i]
		if s.piece > 0 {
			v.stock(s, int64((l.Mass+s.piece-1)/s.piece))
		} else {
			v.stock(s, int64((l.Mass+units.Gram-1)/units.Gram))
		}
	}
	return v
}

// stock puts that much more of a supply into the freezer of a variant, and into its
// household, by which the audit counts.
func (v *planner) stock(s *supply, n int64) {
	s.have += n
	lot := ration.Stock{Food: s.food, Mass: s.mass(n)}
	if s.piece > 0 {
		lot.Pieces = n
	}
	h := *v.res.Household
	h.Stock = append(slices.Clip(h.Stock), lot)
	v.res.Household = &h
}

// lacking finds the least food that would have to be added, taking examples of
// each part from the catalogue, and makes a plan with it before it says so: a list that
// turns out too short when the keeper is back from the shop helps nobody.
func (p *planner) lacking(ctx context.Context, a attempt) error {
	extra := p.examples()
	for _, s := range p.supplies {
		if s.limited() {
			extra = append(extra, supply{food: s.food, piece: s.piece, extra: true, spot: s.spot})
		}
	}
	all := slices.Concat(p.supplies, extra)
	a.lacks = true
	m := p.model(ctx, all, a)
	for i := len(p.supplies); i < len(all); i++ {
		var terms []milp.Term
		most := 0.0
		for d := range m.amt {
			if c := m.amt[d][i]; c >= 0 {
				most += float64(m.prob.Columns[c].High * m.parts[d][i])
				terms = append(terms, milp.Term{Col: c, Coef: m.parts[d][i]})
			}
		}
		if most > 0 {
			y := m.col(milp.Column{Name: "kind", Cost: kindCost, High: 1, Integer: true})
			m.row("kind", math.Inf(-1), 0, append(terms, milp.Term{Col: y, Coef: -most})...)
		}
	}
	sol, err := p.solve(ctx, m.prob, defaultNodes, mostWork, 1, nil)
	if err != nil || sol.X == nil {
		return err
	}
	var lacks []ration.Shortage
	var sum units.Mass
	for i := len(p.supplies); i < len(all); i++ {
		s := &all[i]
		n := 0.0
		for d := range m.amt {
			if c := m.amt[d][i]; c >= 0 {
				n += float64(sol.X[c] * m.parts[d][i])
			}
		}
		if n > someFood {
			unit, count := units.Gram, int64(math.Ceil(float64(n*s.grams())-someFood))
			l := ration.Shortage{What: p.slotWords(s.food), Food: s.food}
			if s.piece > 0 {
				unit, count = s.piece, int64(math.Ceil(n-someFood))
				l.Pieces = count
			}
			if l.Mass, err = unit.Times(count); err == nil {
				sum, err = sum.Add(l.Mass)
			}
			if err != nil || sum > mostCounted {
				p.note("More food is lacking than can be counted: plan for fewer animals or days at once.")
				return nil
			}
			lacks = append(lacks, l)
		}
	}
	if len(lacks) == 0 {
		return nil
	}
	a.lacks = false
	// First what was found, then any other plan with that much in the freezer.
	for _, again := range []bool{false, true} {
		for _, percent := range lackPercents {
			list := slices.Clone(lacks)
			for i := range list {
				l := &list[i]
				l.Mass = units.Gram * units.Mass((int64(l.Mass/units.Gram)*percent+100-1)/100)
				if l.Pieces > 0 {
					l.Pieces = (l.Pieces*percent + 100 - 1) / 100
					l.Mass = lacks[i].Mass / units.Mass(lacks[i].Pieces) * units.Mass(l.Pieces)
				}
			}
			v := p.more(list)
			ok := false
			if again {
				_, ok, err = p.plannable(ctx, v, a)
			} else {
				ok, err = p.enough(ctx, v, a, m, all, sol.X)
			}
			if err != nil {
				return err
			}
			if ok {
				slices.SortStableFunc(list, func(x, y ration.Shortage) int { return -cmp.Compare(x.Mass, y.Mass) })
				p.res.Lacking = list
				return nil
			}
		}
	}
	return nil
}

// examples are foods that most shops have, in the order they are thought of.
// The list is a choice of ours.
func (p *planner) examples() (out []supply) {
	ids := []string{
		"chicken-thigh-meat", "beef-mince", "rabbit-meat", "turkey-mince", "lamb-mince", "duck-meat",
		"chicken-heart", "beef-heart", "lamb-heart",
		"chicken-neck", "chicken-wing", "rabbit-leg", "turkey-wing", "duck-wing",
		"chicken-liver", "beef-liver", "lamb-liver",
		"beef-kidney", "lamb-kidney", "beef-spleen",
	}
	if p.target.Style != shares.Assembled {
		ids = append(ids, "mouse-adult", "quail-adult", "rabbit-whole", "rat-weaned", "day-old-chick", "complete-mix-chicken", "complete-mix-beef")
	}
	for _, id := range ids {
		f, err := p.Foods.Find(id)
		if err != nil || p.without != nil && p.without(f) || p.unfit(f) != "" || slices.ContainsFunc(p.supplies, func(s supply) bool { return s.food == f }) {
			continue
		}
		out = append(out, supply{food: f, extra: true, spot: len(p.supplies) + len(out)})
	}
	return out
}

// mainSlot is the slot that a food is bought for: bone for bone-in cuts, else
// the slot that holds all of it; one above the last for none.
func (p *planner) mainSlot(f *prey.Food) shares.Slot {
	if f.BoneIn && f.PartsKnown {
		return shares.BoneSlot
	}
	slots, ok := (&shares.Target{BoneMeans: shares.EdibleBone}).Slots(f, prey.Typical)
	for _, s := range shares.Slots() {
		if ok && slots[s] == units.Whole {
			return s
		}
	}
	return shares.NumSlots + 1
}

func (p *planner) slotWords(f *prey.Food) string {
	if f.Complete {
		if f.Kind == prey.WholePrey {
			return "whole prey"
		}
		return "complete mix"
	}
	switch p.mainSlot(f) {
	case shares.MuscleSlot:
		if f.Colour == prey.Red {
			return "red meat without bone"
		}
		return "meat without bone"
	case shares.HeartSlot:
		return "heart"
	case shares.BoneSlot:
		return "meat on the bone"
	case shares.LiverSlot:
		return "liver"
	case shares.OrganSlot:
		return "other secreting organ (kidney, spleen, brain and the like)"
	}
	return f.Name
}

// demand is a requirement of one diet, or with -1 of the household.
type demand struct {
	key  string
	diet int
}

// core is a set of requirements that cannot be met together although any one
// less could, as far as the work reaches. There is none where all can be met,
// which it then says, and where the search could not tell. Foods that may run out
// are given up first, so that they are named only if nothing else explains it.
func (p *planner) core(ctx context.Context, a attempt) (_ []demand, feasible bool, _ error) {
	a.loose = true
	m := p.model(ctx, p.supplies, a)
	var keys []demand
	seen := map[demand]bool{}
	for i := range m.keys {
		if d := (demand{m.keys[i], m.of[i]}); !seen[d] {
			seen[d] = true
			keys = append(keys, d)
		}
	}
	order := func(d demand) int {
		switch k := d.key; {
		case strings.HasPrefix(k, keyStock):
			return -1
		case strings.HasPrefix(k, keyHazard):
			return 0
		case k == keyEnergy:
			return 3
		}
		if r := p.rule(d.key); r != nil && r.Check.Nutrient() {
			return 1
		}
		return 2
	}
	slices.SortStableFunc(keys, func(x, y demand) int { return cmp.Compare(order(x), order(y)) })
	solved := func(gone map[demand]bool) (milp.Solution, error) {
		prob := milp.Problem{Columns: m.prob.Columns}
		for i, r := range m.prob.Rows {
			if !gone[demand{m.keys[i], m.of[i]}] {
				prob.Rows = append(prob.Rows, r)
			}
		}
		return p.feasible(ctx, prob)
	}
	if sol, err := solved(nil); err != nil || sol.Status != milp.Infeasible {
		return nil, sol.X != nil, err
	}
	keep, err := irreducible(keys, order, func(gone map[demand]bool) (bool, error) {
		sol, err := solved(gone)
		return sol.Status == milp.Infeasible, err
	})
	return keep, false, err
}

// irreducible is a part of a list that clashes, of which nothing can be left out:
// what can is given up in the order of the list, so what stands last is named. It is
// tried in parts of one order first, since like requirements often go at once, and
// by halves where they do not. What clash cannot tell is kept.
func irreducible[T comparable](list []T, order func(T) int, clash func(gone map[T]bool) (bool, error)) (keep []T, err error) {
	gone := map[T]bool{}
	var try func(part []T) error
	try = func(part []T) error {
		for _, v := range part {
			gone[v] = true
		}
		if still, err := clash(gone); err != nil || still {
			return err
		}
		for _, v := range part {
			delete(gone, v)
		}
		if len(part) == 1 {
			keep = append(keep, part[0])
			return nil
		}
		if err := try(part[:len(part)/2]); err != nil {
			return err
		}
		return try(part[len(part)/2:])
	}
	for len(list) > 0 {
		n := 1
		for n < len(list) && order(list[n]) == order(list[0]) {
			n++
		}
		if err := try(list[:n]); err != nil {
			return nil, err
		}
		list = list[n:]
	}
	return keep, nil
}

func (p *planner) rule(id string) *balance.Rule {
	for _, r := range p.rules {
		if r.ID == id {
			return r
		}
	}
	return nil
}

func (p *planner) supplyOf(id string) *supply {
	for i := range p.supplies {
		if p.supplies[i].food.ID == id {
			return &p.supplies[i]
		}
	}
	return nil
}

// words states a requirement, and for whom it holds where not all are alike.
func (p *planner) words(d demand) string {
	w := p.wordsOf(d.key)
	if d.diet < 0 || len(p.diets) == 1 {
		return w
	}
	var names []string
	for _, b := range p.diets[d.diet].bowls {
		for _, a := range p.bowls[b].Animals {
			names = append(names, p.Household.NameOf(a.ID))
		}
	}
	if n := len(names); n > mostNames {
		names = append(names[:mostNames-1], fmt.Sprintf("%d more", n-mostNames+1))
	}
	who := say.And(names)
	if never := p.diets[d.diet].never; len(never) > 0 {
		who += " without " + say.And(never)
	}
	return strings.TrimSuffix(w, ".") + " (" + who + ")."
}

func (p *planner) wordsOf(key string) string {
	if id, ok := strings.CutPrefix(key, keyStock); ok {
		if s := p.supplyOf(id); s != nil {
			return fmt.Sprintf("There is no more of %s than %s.", s.food.Name, s.mass(s.most()).InGrams(0))
		}
	}
	if id, ok := strings.CutPrefix(key, keyHazard); ok {
		if s := p.supplyOf(id); s != nil {
			for _, h := range p.moreHazards(s.food) {
				if h.Severity != safety.Watch {
					return fmt.Sprintf("%s: %s", s.food.Name, h.Sentence)
				}
			}
		}
	}
	if slot, ok := strings.CutPrefix(key, keyExtra); ok {
		s, _ := shares.ParseSlot(slot)
		return fmt.Sprintf("%s more of %s than its least share makes up for last week.", p.Extra[s].InGrams(0), slot)
	}
	switch key {
	case keyEnergy:
		return "Each animal gets the energy of its band."
	case keyDays:
		return fmt.Sprintf("Whole prey or complete mix makes %d of %d days.", p.CompleteDays, p.Days)
	case keyOrgan:
		return fmt.Sprintf("No day holds more than %s of liver and other organ.", p.OrganDay)
	}
	r := p.rule(key)
	if r == nil {
		return key
	}
	if sh, ok := p.target.Share(r.Slot); ok && r.Check.Takes("slot") {
		return fmt.Sprintf("%s That is %s to %s.", r.Title, sh.Low, sh.High)
	}
	return r.Title
}

// relax finds the smallest change to one requirement of a clash that makes a
// plan possible, if there is one.
func (p *planner) relax(ctx context.Context, a attempt, key string) ([]Relaxation, error) {
	if id, ok := strings.CutPrefix(key, keyStock); ok {
		return p.relaxStock(ctx, a, p.supplyOf(id))
	}
	if slot, ok := strings.CutPrefix(key, keyExtra); ok {
		s, _ := shares.ParseSlot(slot)
		full := int64(p.Extra[s] / units.Gram)
		return p.least(ctx, a, full, full, nil, func(v *planner, n int64) string {
			v.Extra[s] = units.Gram * units.Mass(full-n)
			return fmt.Sprintf("Make up for %s of %s less: %s.", units.Mass(n*int64(units.Gram)).InGrams(0), slot, v.Extra[s].InGrams(0))
		})
	}
	switch key {
	case keyEnergy:
		return p.relaxEnergy(ctx, a)
	case keyOrgan:
		return p.least(ctx, a, int64(units.Whole-p.OrganDay)/tenthPercent, int64(p.OrganDay)/tenthPercent, nil, func(v *planner, n int64) string {
			v.OrganDay = min(units.Whole, p.OrganDay+units.Share(n*tenthPercent))
			return fmt.Sprintf("Allow up to %s of organ in a day instead of %s.", v.OrganDay, p.OrganDay)
		})
	}
	r := p.rule(key)
	if r == nil {
		return nil, nil
	}
	var out []Relaxation
	for _, high := range []bool{false, true} {
		got, err := p.relaxRule(ctx, a, r, high)
		if err != nil {
			return nil, err
		}
		out = append(out, got...)
	}
	return out, nil
}

// least finds the least n from 1 to most for which a variant has a plan, by
// halving, for the more is given up the more is possible. of is what n is
// compared with.
func (p *planner) least(ctx context.Context, a attempt, most, of int64, r *balance.Rule, change func(v *planner, n int64) string) ([]Relaxation, error) {
	at := func(n int64) (bool, error) {
		v := p.variant()
		change(v, n)
		ok, err := p.possible(ctx, v, a)
		p.adopt(v)
		return ok, err
	}
	if most < 1 {
		return nil, nil
	}
	if ok, err := at(most); err != nil || !ok {
		return nil, err
	}
	low, high := int64(0), most
	for high-low > 1 {
		mid := low + (high-low)/2
		ok, err := at(mid)
		if err != nil {
			return nil, err
		}
		if ok {
			high = mid
		} else {
			low = mid
		}
	}
	// The days have to be laid out as well, which may take a little more.
	for _, more := range relaxMore {
		n := min(high+more, most)
		v := p.variant()
		text := change(v, n)
		cost, ok, err := p.plannable(ctx, v, a)
		if err != nil {
			return nil, err
		}
		if ok {
			return []Relaxation{{Text: text, Rule: r, Cost: cost, size: float64(n) / float64(max(of, 1))}}, nil
		}
		if n == most {
			break
		}
	}
	return nil, nil
}

// relaxNever tries what would be possible if an animal could have a food or
// species after all. An exclusion is no row of the model, so no clash can name it.
func (p *planner) relaxNever(ctx context.Context, a attempt) error {
	tried := 0
	for i := range p.Household.Animals {
		own := &p.Household.Animals[i]
		if !p.need(own).HasBand {
			continue
		}
		for k, never := range own.Never {
			if tried++; tried > mostNever {
				return nil
			}
			v := p.variant()
			h := *p.Household
			h.Animals = slices.Clone(h.Animals)
			h.Animals[i].Never = slices.Delete(slices.Clone(own.Never), k, k+1)
			v.Household = &h
			v.needs = h.Needs()
			v.index = map[*ration.Animal]int{}
			for j := range v.needs {
				v.index[v.needs[j].Animal] = j
			}
			v.seat()
			v.sort(v.supplies)
			cost, ok, err := p.plannable(ctx, v, a)
			if err != nil {
				return err
			}
			if ok {
				p.res.Relaxations = append(p.res.Relaxations, Relaxation{Cost: cost, size: 1,
					Text: fmt.Sprintf("Let %s have %s after all. If a vet forbade it, ask the vet first.", own.Name, never)})
			}
		}
	}
	return nil
}

func (p *planner) relaxStock(ctx context.Context, a attempt, s *supply) ([]Relaxation, error) {
	if s == nil {
		return nil, nil
	}
	each := max(s.mass(1), 1)
	most := int64(0)
	for i := range p.diets {
		if e := energyPerUnit(s); e > 0 {
			most += int64(p.kcal(p.diets[i].energy.High)/e) + 1
		} else {
			most += bareMost * p.diets[i].heads * int64(p.Days)
		}
	}
	var mass units.Mass
	out, err := p.least(ctx, a, most, most, nil, func(v *planner, n int64) string {
		mass = each * units.Mass(n)
		for i := range v.supplies {
			if v.supplies[i].food == s.food {
				v.stock(&v.supplies[i], n)
			}
		}
		if s.piece > 0 {
			return fmt.Sprintf("Have %d more of %s (%s).", n, s.food.Name, mass.InGrams(0))
		}
		return fmt.Sprintf("Have %s more of %s.", mass.InGrams(0), s.food.Name)
	})
	for i := range out {
		out[i].Food, out[i].Mass = s.food, mass
	}
	return out, err
}

// relaxEnergy lowers the bottom of the bands of healthy grown animals, by whole
// hundredths, no further than resting need. Nobody else is to get less.
func (p *planner) relaxEnergy(ctx context.Context, a attempt) ([]Relaxation, error) {
	spare := func(n *ration.Need) bool {
		return len(n.VetFirst) == 0 && (n.Stage == ration.Adult || n.Stage == ration.Senior)
	}
	if !slices.ContainsFunc(p.needs, func(n ration.Need) bool { return spare(&n) }) {
		return nil, nil
	}
	out, err := p.least(ctx, a, lessEnergy, 100, nil, func(v *planner, n int64) string {
		v.needs = slices.Clone(p.needs)
		for i := range v.needs {
			if b := &v.needs[i].Band; spare(&v.needs[i]) {
				b.Low = max(b.Low*ration.Tenths(100-n)/100, min(b.Low, v.needs[i].Floor))
			}
		}
		v.seat()
		v.sort(v.supplies)
		return fmt.Sprintf("Feed healthy grown animals %d %% less than the low end of their band, though not less than resting need, for this week only.", n)
	})
	for i := range out {
		out[i].size++ // whatever else helps comes first
	}
	return out, err
}

// relaxRule moves one bound of a rule, or of the target's share that it holds, to
// half or twice of what it was at most: beyond that it would be another diet.
func (p *planner) relaxRule(ctx context.Context, a attempt, r *balance.Rule, high bool) ([]Relaxation, error) {
	if r.Check.Takes("slot") {
		return p.relaxShare(ctx, a, r, high)
	}
	limit, most := r.Limits(p.target, nil)
	if high {
		limit = most
	}
	if limit == nil || limit.Value <= 0 {
		return nil, nil
	}
	step := max(limit.Value/100, 1)
	if r.Check.InShares() {
		step = tenthPercent
	}
	steps := max(limit.Value/relaxedTo/step, 1)
	if high {
		steps = (relaxedTo - 1) * limit.Value / step
	}
	return p.least(ctx, a, steps, limit.Value/step, r, func(v *planner, n int64) string {
		by := -n * step
		if high {
			by = n * step
		}
		v.move(r, by, high)
		side := "at least"
		if high {
			side = "at most"
		}
		text := fmt.Sprintf("%s Ask for %s %s instead of %s.", r.Title, side, r.BoundText(limit.Value+by), r.BoundText(limit.Value))
		if e := limit.Ref.Evidence; e == cite.Published || e == cite.Derived {
			text += " The limit is a published one: ask a vet first."
		}
		return text
	})
}

// move moves one bound of a rule, where it stands.
func (p *planner) move(r *balance.Rule, by int64, high bool) {
	low, up := by, int64(0)
	if high {
		low, up = 0, by
	}
	rule, target := r.Move(p.target, low, up)
	p.target = target
	if rule != r {
		p.replace(r, rule)
	}
}

// replace lays a changed rule over another, for the search. The audit goes on holding
// the plan to the book.
func (p *planner) replace(old, by *balance.Rule) {
	p.rules = slices.Clone(p.rules)
	p.rules[slices.Index(p.rules, old)] = by
}

func (p *planner) relaxShare(ctx context.Context, a attempt, r *balance.Rule, high bool) ([]Relaxation, error) {
	sh, ok := p.target.Share(r.Slot)
	if !ok {
		return nil, nil
	}
	bound, most := sh.Low, int64(sh.Low)/tenthPercent/relaxedTo
	if high {
		bound, most = sh.High, int64(min((relaxedTo-1)*sh.High, units.Whole-sh.High))/tenthPercent
	}
	return p.least(ctx, a, most, int64(bound)/tenthPercent, r, func(v *planner, n int64) string {
		by := -n * tenthPercent
		if high {
			by = n * tenthPercent
		}
		v.move(r, by, high)
		sh, _ := v.target.Share(r.Slot)
		if high {
			return fmt.Sprintf("Allow up to %s %s instead of %s.", sh.High, r.Slot, bound)
		}
		return fmt.Sprintf("Allow %s %s instead of at least %s.", sh.Low, r.Slot, bound)
	})
}
