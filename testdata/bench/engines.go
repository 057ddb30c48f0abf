package main

import (
	"fmt"
	"math/big"
	"strconv"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// engine judges plans by the rules it was made with.
type engine struct {
	name  string
	exact bool // it computes in whole numbers alone
	// prepare turns a plan into what the engine takes, which stands for decoding
	// and is not timed.
	prepare func(p *drawn) (any, error)
	judge   func(in any) (verdicts, error)
}

// engines are all engines, this library first.
func engines(foods *prey.Catalogue, book *balance.Book, screen *safety.HazardCheck) ([]engine, error) {
	ids := ruleIDs()
	some, err := book.Only(ids[:]...)
	if err != nil {
		return nil, err
	}
	few, err := fitchet("Fitchet, these 15 rules", foods, some, screen)
	if err != nil {
		return nil, err
	}
	all, err := fitchet("Fitchet, all its rules", foods, book, screen)
	if err != nil {
		return nil, err
	}
	out := []engine{few, all, floats()}
	for _, make := range []func() (engine, error){celDoubles, celExact, opaDecimals, opaWhole} {
		e, err := make()
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

func fitchet(name string, foods *prey.Catalogue, book *balance.Book, screen *safety.HazardCheck) (engine, error) {
	target, err := book.Target("")
	if err != nil {
		return engine{}, err
	}
	h := household()
	needs := h.Needs()
	places := map[*balance.Rule]int{}
	for i, id := range ruleIDs() {
		r, ok := book.Rule(id)
		if !ok {
			return engine{}, fmt.Errorf("the book has no rule %s", id)
		}
		places[r] = i + 1
	}
	a := balance.Auditor{Book: book, Target: target, HazardCheck: screen, Foods: foods}
	return engine{name, true,
		func(p *drawn) (any, error) { return p.week, nil },
		func(in any) (v verdicts, err error) {
			r, err := a.Audit(balance.Input{Plan: in.(*ration.Plan), Household: h, Needs: needs})
			if err != nil {
				return v, err
			}
			for i := range r.Findings {
				if at := places[r.Findings[i].Rule]; at > 0 {
					v[at-1] = r.Findings[i].Verdict == balance.Met
				}
			}
			return v, nil
		}}, nil
}

// entry is one serving as another engine is given it.
type entry struct {
	mass, muscle, heart, bone, liver, organ, calcium, phosphorus, vitaminA, kcal, eggs string
	species                                                                            string
	meat, red, oil                                                                     bool
}

// decimals are the figures as people write them: grams, shares of 1, units per
// 100 g.
func decimals(r *row) entry {
	text := func(v, unit int64) string {
		places := len(strconv.FormatInt(unit, 10)) - 1
		return new(big.Rat).SetFrac64(v, unit).FloatString(places)
	}
	const density = int64(prey.DensityUnit)
	share := func(s shares.Slot) string { return text(r.slots[s], int64(units.Whole)) }
	return entry{text(r.mass, int64(units.Gram)), share(shares.MuscleSlot), share(shares.HeartSlot), share(shares.BoneSlot), share(shares.LiverSlot),
		share(shares.OrganSlot), text(r.calcium, density), text(r.phosphorus, density), text(r.vitaminA, density), text(r.kcal, density),
		strconv.FormatInt(r.eggs, 10), r.species, r.meat, r.red, r.oil}
}

// wholes are the same figures in the steps of this library, as whole numbers.
func wholes(r *row) entry {
	text := func(v int64) string { return strconv.FormatInt(v, 10) }
	share := func(s shares.Slot) string { return text(r.slots[s]) }
	return entry{text(r.mass), share(shares.MuscleSlot), share(shares.HeartSlot), share(shares.BoneSlot), share(shares.LiverSlot), share(shares.OrganSlot),
		text(r.calcium), text(r.phosphorus), text(r.vitaminA), text(r.kcal), text(r.eggs), r.species, r.meat, r.red, r.oil}
}

// each calls f with the name and the text of every number.
func (e *entry) each(f func(name, text string)) {
	f("mass", e.mass)
	f("muscle", e.muscle)
	f("heart", e.heart)
	f("bone", e.bone)
	f("liver", e.liver)
	f("organ", e.organ)
	f("calcium", e.calcium)
	f("phosphorus", e.phosphorus)
	f("vitamin_a", e.vitaminA)
	f("kcal", e.kcal)
	f("eggs", e.eggs)
}

// floats is what a program in a hurry would do by hand.
func floats() engine {
	type serving struct {
		mass, muscle, heart, bone, liver, organ, calcium, phosphorus, vitaminA, kcal, eggs float64
		species                                                                            string
		meat, red, oil                                                                     bool
	}
	return engine{"Go by hand, float64", false,
		func(p *drawn) (any, error) {
			out := make([]serving, len(p.rows))
			for i := range p.rows {
				e := decimals(&p.rows[i])
				s := serving{species: e.species, meat: e.meat, red: e.red, oil: e.oil}
				to := []*float64{&s.mass, &s.muscle, &s.heart, &s.bone, &s.liver, &s.organ, &s.calcium, &s.phosphorus, &s.vitaminA, &s.kcal, &s.eggs}
				n, bad := 0, error(nil)
				e.each(func(_, text string) {
					var err error
					if *to[n], err = strconv.ParseFloat(text, 64); err != nil {
						bad = err
					}
					n++
				})
				if bad != nil {
					return nil, bad
				}
				out[i] = s
			}
			return out, nil
		},
		func(in any) (v verdicts, err error) {
			var muscle, heart, bone, liver, organ, ca, p, a, kcal, oils, egg float64
			species, redSpecies := map[string]bool{}, map[string]bool{}
			for _, x := range in.([]serving) {
				muscle += x.mass * x.muscle
				heart += x.mass * x.heart
				bone += x.mass * x.bone
				liver += x.mass * x.liver
				organ += x.mass * x.organ
				ca += x.mass * x.calcium
				p += x.mass * x.phosphorus
				a += x.mass * x.vitaminA
				kcal += x.mass * x.kcal
				egg += x.eggs
				if x.oil {
					oils += x.mass
				}
				if x.meat {
					species[x.species] = true
					if x.red {
						redSpecies[x.species] = true
					}
				}
			}
			slots := muscle + heart + bone + liver + organ
			within := func(part, low, high float64) bool { return part*100 >= slots*low && part*100 <= slots*high }
			return verdicts{
				shareMuscle: within(muscle, 65, 75), shareHeart: within(heart, 8, 12), shareBone: within(bone, 10, 15), shareLiver: within(liver, 4, 6),
				shareOrgan: within(organ, 4, 6), kinds: len(species) >= 3, redMeat: len(redSpecies) >= 1, eggs: egg >= 1 && egg <= 2,
				oil: oils*1000 >= 3375 && oils*1000 <= 5625, ratioFloor: ca >= p, ratioPractice: ca*10 >= p*12 && ca*10 <= p*17,
				calciumLeast: ca*1000 >= kcal*1500, calciumMost: ca*1000 <= kcal*4500, vitaminALeast: a*1000 >= kcal*833, vitaminAMost: a*1000 <= kcal*83325,
			}, nil
		}}
}
