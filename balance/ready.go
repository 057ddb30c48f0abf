package balance

import (
	"slices"

	"fitchet.example/balance/internal/figure"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// ready holds what the rules of a book ask of single foods, each answered once.
type ready struct {
	book          *Book
	screen        *safety.HazardCheck
	means         shares.BoneMeans
	heartInMuscle bool

	profiles map[*prey.Food]*profile
	refused  map[neverFood]bool
	species  []string // what the numbers in profiles mean
	ids      []string // of foods, likewise

	// Memory for profiles, of which they take slices.
	spare   []profile
	answers []bool
	meats   []int
}

// readyRule is a rule with its bounds. Rules that ask something of single foods
// are numbered; asks is the number.
type readyRule struct {
	*Rule
	bounds figure.Bounds
	asks   int
}

// makeReady sets out the rules of a book for judging.
func (b *Book) makeReady() {
	b.ready, b.asking, b.asksHazards = make([]readyRule, len(b.rules)), nil, false
	for i, r := range b.rules {
		b.ready[i] = readyRule{Rule: r, bounds: r.bounds(), asks: len(b.asking)}
		if r.Check.asksFoods() {
			b.asking = append(b.asking, r)
		}
		b.asksHazards = b.asksHazards || r.holder().in == ofSafety && r.Until == ""
	}
}

// profile is a food as the rules see it. It depends on the target only in how
// the food fills the slots.
type profile struct {
	food        *prey.Food
	slots       [prey.NumCases][shares.NumSlots]units.Share
	slotted     bool // the slots can be told
	energy      [prey.NumCases]uint64
	energyKnown bool
	is          []bool // whether the food is what a rule looks at, by readyRule.asks
	meats       []int  // the species it brings as meat, as ready numbers them
	has         [shares.NumSlots]bool
	calcium     bool            // a powder that holds calcium
	meal        bool            // a meal of it is a meal: neither oil nor powder
	number      int             // foods of one id have one number
	hazards     []safety.Hazard // of a little of it
	changes     units.Share     // from which share on more is known against it; 0: none
	at          int             // see state.feed
}

// slotProfile is a profile that knows only how the food fills the slots.
func slotProfile(f *prey.Food, t *shares.Target) profile {
	p := profile{food: f}
	for c := range p.slots {
		p.slots[c], p.slotted = t.Slots(f, prey.Case(c))
	}
	return p
}

// mostProfiles is how many foods are remembered before all are forgotten: many
// more than a catalogue holds.
const mostProfiles = 10_000

// prepare sees to it that answers are kept for what the input names.
func (s *state) prepare() {
	in := &s.in
	if r := s.ready; r == nil || r.book != in.Book || r.screen != in.HazardCheck || r.means != in.Target.BoneMeans ||
		r.heartInMuscle != in.Target.HeartInMuscle || len(r.profiles) > mostProfiles || len(r.refused) > 10*mostProfiles {
		s.ready = &ready{
			book: in.Book, screen: in.HazardCheck, means: in.Target.BoneMeans, heartInMuscle: in.Target.HeartInMuscle,
			profiles: make(map[*prey.Food]*profile, profileChunk),
			refused:  map[neverFood]bool{},
		}
	}
}

// neverFood is a word of what an animal must not get, and a food.
type neverFood struct {
	never string
	food  *prey.Food
}

// refuses is what [ration.Animal.Refuses] says, asked once of each word and food.
func (r *ready) refuses(a *ration.Animal, f *prey.Food) bool {
	for _, never := range a.Never {
		k := neverFood{never, f}
		no, asked := r.refused[k]
		if !asked {
			one := ration.Animal{Never: []string{never}}
			no = one.Refuses(f)
			r.refused[k] = no
		}
		if no {
			return true
		}
	}
	return false
}

// profileChunk is for how many foods memory is taken at once.
const profileChunk = 16

// profile returns the profile of a food, nil when it cannot be counted.
func (r *ready) profile(f *prey.Food) *profile {
	if p, ok := r.profiles[f]; ok {
		return p
	}
	var t prey.Tally
	if t.Add(f, 1) != nil { // a picogram: the sums are then the figures themselves
		return nil
	}
	if len(r.spare) == cap(r.spare) {
		r.spare = make([]profile, 0, profileChunk)
		r.answers = make([]bool, 0, profileChunk*len(r.book.asking))
		r.meats = make([]int, 0, profileChunk)
	}
	r.spare = append(r.spare, slotProfile(f, &shares.Target{BoneMeans: r.means, HeartInMuscle: r.heartInMuscle}))
	p := &r.spare[len(r.spare)-1]
	for c := range p.energy {
		sum, known := t.Energy(prey.Case(c))
		p.energy[c], p.energyKnown = sum.Lo, known > 0
	}
	first := len(r.answers)
	for _, rule := range r.book.asking {
		r.answers = append(r.answers, rule.LooksAt(f))
	}
	p.is = r.answers[first:]
	first = len(r.meats)
	for _, name := range meats(f) {
		r.meat(name)
	}
	p.meats = r.meats[first:]
	for _, slot := range shares.Slots() {
		p.has[slot] = slot.In(f)
	}
	p.meal = f.Kind != prey.Oil && f.Kind != prey.Supplement
	if p.number = slices.Index(r.ids, f.ID); p.number < 0 {
		p.number = len(r.ids)
		r.ids = append(r.ids, f.ID)
	}
	if f.Kind == prey.Supplement {
		calcium, ok := f.Nutrient(prey.Calcium)
		p.calcium = ok && calcium.At[prey.Typical] > 0
	}
	if r.screen != nil {
		p.hazards, p.changes = r.screen.Hazards(f, 0), r.screen.ChangesAt(f)
	}
	r.profiles[f] = p
	return p
}

// meat adds a species to the meats of the food at hand.
func (r *ready) meat(species string) {
	i := slices.Index(r.species, species)
	if i < 0 {
		i = len(r.species)
		r.species = append(r.species, species)
	}
	r.meats = append(r.meats, i)
}
