package log

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fitchet.example/ration"
	"fitchet.example/ration/internal/form"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// Gone is how much of the entry was swallowed. Low and High bound it: what was not weighed may all be left, and what was
// not searched for may all be hidden. Typical takes it that nothing is hidden where nobody searched, and that everything
// was eaten where nobody weighed; guessed is then true. Where every animal at the bowl was watched, their sum is exact.
func (e Entry) Gone() (gone units.Range[units.Mass], guessed bool) {
	gone.High = e.Offered - e.Left - e.Stash
	gone.Typical, gone.Low = gone.High, gone.High
	if !e.Weighed || !e.Searched {
		gone.Low = 0
	}
	var seen units.Mass // what was seen eaten is gone for certain
	watched := 0
	for _, s := range e.Seen {
		seen = form.Plus(seen, s.Mass)
		if s.How == AteNone || s.How == AteMass {
			watched++
		}
	}
	seen = min(seen, gone.High)
	if watched == len(e.For) { // everybody was watched: nothing else can be gone
		return units.Exactly(seen), false
	}
	gone.Low = max(gone.Low, seen)
	return gone, !e.Weighed
}

// Ate is how much of the entry one animal swallowed, narrowed by what was seen. Typical shares what nobody saw by the
// middle of the animals' planning bands, rounded down to a picogram. An animal that was not at the bowl ate nothing of it.
func (l *Log) Ate(e Entry, animal string) units.Range[units.Mass] {
	if !slices.Contains(e.For, animal) {
		return units.Range[units.Mass]{}
	}
	gone, _ := e.Gone()
	low := make([]units.Mass, len(e.For))
	high := make([]units.Mass, len(e.For))
	open := make([]int64, len(e.For))
	rest := gone.Typical
	var me, all int = 0, -1
	for i, id := range e.For {
		high[i], open[i] = gone.High, max(l.need[id], 1)
		if id == animal {
			me = i
		}
		for _, s := range e.Seen {
			if s.Animal != id {
				continue
			}
			switch s.How {
			case AteNone:
				high[i], open[i] = 0, 0
			case AteSome:
				low[i] = min(1, gone.High)
			case AteAll:
				all = i
			case AteMass:
				low[i], high[i], open[i] = s.Mass, s.Mass, 0
				rest -= s.Mass
			}
		}
	}
	if all >= 0 {
		if all != me {
			return units.Range[units.Mass]{}
		}
		return gone
	}
	var othersLow, othersHigh units.Mass
	for i := range e.For {
		if i != me {
			othersLow, othersHigh = form.Plus(othersLow, low[i]), form.Plus(othersHigh, high[i])
		}
	}
	r := units.Range[units.Mass]{Low: max(low[me], gone.Low-othersHigh), High: max(min(high[me], gone.High-othersLow), 0)}
	r.Low = min(r.Low, r.High)
	// Rounded down, not by largest remainder: that one can give less to an animal when there is more to share.
	r.Typical = low[me]
	if open[me] > 0 && rest > 0 {
		var sum int64
		for _, w := range open {
			sum += w
		}
		r.Typical = share1(rest, units.Mass(open[me]), units.Mass(sum))
	}
	r.Typical = min(max(r.Typical, r.Low), r.High)
	return r
}

// Intake is what was swallowed of one food.
type Intake struct {
	Food     *prey.Food
	Eaten    units.Range[units.Mass]
	BoneLeft units.Range[units.Mass] // bare bone left on the plate: not eaten, and to be taken out of the food's bone
	Offered  units.Mass
	Guessed  units.Mass // of Offered, what nobody weighed afterwards
}

// Intake sums what an animal swallowed from one day to another, both counted, by food id; for the animal "" what all
// together did, which shared bowls do not blur.
func (l *Log) Intake(animal string, from, to units.Date) []Intake {
	sums := map[string]*Intake{}
	for _, e := range l.Entries {
		if e.Meal.Date < from || e.Meal.Date > to || animal != "" && !slices.Contains(e.For, animal) {
			continue
		}
		in := sums[e.Food.ID]
		if in == nil {
			in = &Intake{Food: e.Food}
			sums[e.Food.ID] = in
		}
		eaten, guessed := e.Gone()
		bone := units.Exactly(e.BoneLeft)
		if animal != "" {
			eaten = l.Ate(e, animal)
			if len(e.For) > 1 {
				bone.Low = 0
			}
			if eaten.High == 0 {
				bone = units.Range[units.Mass]{}
			} else if len(e.For) > 1 {
				bone.Typical = share1(e.BoneLeft, eaten.Typical, e.Offered-e.Left-e.Stash)
			}
		}
		in.Eaten, in.BoneLeft = sum(in.Eaten, eaten), sum(in.BoneLeft, bone)
		in.Offered = form.Plus(in.Offered, e.Offered)
		if guessed {
			in.Guessed = form.Plus(in.Guessed, e.Offered)
		}
	}
	out := make([]Intake, 0, len(sums))
	for _, id := range slices.Sorted(maps.Keys(sums)) {
		out = append(out, *sums[id])
	}
	return out
}

// share1 is m x part / whole, rounded down, and m when there is no whole.
func share1(m, part, whole units.Mass) units.Mass {
	if whole <= 0 {
		return m
	}
	q, ok := wide.Mul(uint64(m), uint64(part)).MulDiv(1, uint64(whole))
	if !ok || q.Hi != 0 || q.Lo > uint64(m) {
		return m
	}
	return units.Mass(q.Lo)
}

func sum(a, b units.Range[units.Mass]) units.Range[units.Mass] {
	return units.Range[units.Mass]{Low: form.Plus(a.Low, b.Low), Typical: form.Plus(a.Typical, b.Typical), High: form.Plus(a.High, b.High)}
}

// RangeEnd says which end of a range is summed. By the zero value nothing is.
type RangeEnd uint8

const (
	TypicalEnd RangeEnd = iota + 1
	LowEnd
	HighEnd
)

var endWords = units.Words[RangeEnd]{What: "end", Keys: []string{TypicalEnd: "typical", LowEnd: "low", HighEnd: "high"}}

// String returns "typical", "low" or "high".
func (e RangeEnd) String() string { return endWords.Name(e) }

// MarshalText is [RangeEnd.String]; a value that is none of these is an error.
func (e RangeEnd) MarshalText() ([]byte, error) { return endWords.Marshal(e) }

func (e RangeEnd) of(r units.Range[units.Mass]) units.Mass {
	switch e {
	case LowEnd:
		return r.Low
	case HighEnd:
		return r.High
	case TypicalEnd:
		return r.Typical
	}
	return 0
}

// Diet is the sum of what was swallowed. Tally counts each food as if the bare bone that was left had been eaten with it,
// since energy and meat went with the rest; BoneLeft is that bone. Take it out of bone (see Bone) and of the mass. The
// minerals of that bone are still in the Tally: its calcium and phosphorus are upper figures.
type Diet struct {
	Tally    prey.Tally
	BoneLeft units.Mass
}

// Bone is the exact bone that was eaten, in picograms times millionths, never below zero.
func (d *Diet) Bone(c prey.Case) wide.U128 {
	b, ok := d.Tally.Part(c, prey.Bone).Sub(wide.Mul(uint64(d.BoneLeft), uint64(units.Whole)))
	if !ok {
		return wide.U128{}
	}
	return b
}

// Diet sums the intake of an animal (all for "") at one end of its range. Errors wrap those of prey.Tally.
func (l *Log) Diet(animal string, from, to units.Date, end RangeEnd) (Diet, error) {
	var d Diet
	for _, in := range l.Intake(animal, from, to) {
		bone := end.of(in.BoneLeft)
		d.BoneLeft = form.Plus(d.BoneLeft, bone)
		if err := d.Tally.Add(in.Food, form.Plus(end.of(in.Eaten), bone)); err != nil {
			return Diet{}, fmt.Errorf("summing the log: %w", err)
		}
	}
	return d, nil
}

// Answer is yes, no, or open: the log does not say.
type Answer uint8

const (
	Open Answer = iota
	Yes
	No
)

var answerWords = units.Words[Answer]{What: "answer", Keys: []string{Open: "open", Yes: "yes", No: "no"}}

// String returns "open", "yes" or "no".
func (a Answer) String() string { return answerWords.Name(a) }

// Got answers whether an animal ate any food of a kind from one day to another, both counted: "did it get liver this
// week". Yes when some was certainly swallowed. No only when everything fed on each of the days is written down (Complete)
// and nothing of the kind can have reached it. What is not written down is never taken for not fed: the answer is then
// open, and the text says why.
func (l *Log) Got(animal string, from, to units.Date, kind func(*prey.Food) bool) (Answer, string) {
	var sure, maybe, refused *Entry
	first := func(old, e *Entry) *Entry { // the same whatever their order in the log
		if old == nil || compareEntries(*e, *old) < 0 {
			return e
		}
		return old
	}
	for i := range l.Entries {
		e := &l.Entries[i]
		if e.Meal.Date < from || e.Meal.Date > to || !kind(e.Food) || !slices.Contains(e.For, animal) {
			continue
		}
		switch r := l.Ate(*e, animal); {
		case r.Low > 0:
			sure = first(sure, e)
		case r.High > 0:
			maybe = first(maybe, e)
		default:
			refused = first(refused, e)
		}
	}
	if sure != nil {
		return Yes, fmt.Sprintf("%s at %s", sure.Food.Name, sure.Meal)
	}
	if maybe != nil {
		why := "nobody saw who ate it"
		if len(maybe.For) == 1 {
			why = "what was left or hidden is not written down"
		}
		return Open, fmt.Sprintf("%s stood there at %s, but %s", maybe.Food.Name, maybe.Meal, why)
	}
	for d := from; d <= to; d = d.AddDays(1) {
		if _, ok := slices.BinarySearch(l.Complete, d); !ok {
			return Open, fmt.Sprintf("not everything fed on %s is written down", d)
		}
		if d == to {
			break // the last day there is
		}
	}
	if refused != nil {
		return No, fmt.Sprintf("%s stood there at %s, but it took none, and everything fed on these days is written down", refused.Food.Name, refused.Meal)
	}
	return No, "everything fed on these days is written down, and it was not among it"
}

// Silent returns the days from the first of the log to its as-of day of which nothing is written for the animal, though
// nobody says that is all there was. They are gaps in the writing, not days without food.
func (l *Log) Silent(animal string) []units.Date {
	var out []units.Date
	for d := l.From; d <= l.AsOf.Date && len(out) < 10_000; d = d.AddDays(1) {
		_, complete := slices.BinarySearch(l.Complete, d)
		wrote := slices.ContainsFunc(l.Entries, func(e Entry) bool { return e.Meal.Date == d && slices.Contains(e.For, animal) })
		if !complete && !wrote {
			out = append(out, d)
		}
		if d == l.AsOf.Date {
			break
		}
	}
	return out
}

// Silence is days in a row of which nothing is written for some animals, though nobody says that is all there was.
type Silence struct {
	Animals  []string // in the order asked for
	From, To units.Date
	After    ration.Place // the last of their entries before it; zero when there is none
}

// Silences are the gaps of the log for these animals, by their first day: see Silent.
func (l *Log) Silences(animals []string) []Silence {
	var out []Silence
	for _, id := range animals {
		days := l.Silent(id)
		for i := 0; i < len(days); {
			n := i + 1
			for n < len(days) && days[n] == days[n-1].AddDays(1) {
				n++
			}
			s := Silence{Animals: []string{id}, From: days[i], To: days[n-1]}
			i = n
			if j := slices.IndexFunc(out, func(o Silence) bool { return o.From == s.From && o.To == s.To }); j >= 0 {
				out[j].Animals = append(out[j].Animals, id)
			} else {
				out = append(out, s)
			}
		}
	}
	for i := range out {
		var last *Entry
		for j := range l.Entries {
			e := &l.Entries[j]
			if e.Meal.Date < out[i].From && (last == nil || compareEntries(*last, *e) < 0) && slices.ContainsFunc(e.For, func(id string) bool { return slices.Contains(out[i].Animals, id) }) {
				last = e
			}
		}
		if last != nil {
			out[i].After = last.At
		}
	}
	slices.SortStableFunc(out, func(a, b Silence) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To)) })
	return out
}

// LastAte is when the animal last certainly swallowed something. It reports false when the log holds no such entry.
func (l *Log) LastAte(animal string) (Moment, bool) {
	var last Moment
	found := false
	for _, e := range l.Entries {
		if l.Ate(e, animal).Low > 0 && (!found || e.Meal.Compare(last) > 0) {
			last, found = e.Meal, true
		}
	}
	return last, found
}

// Drunk is how much water was drunk from all bowls that the animal could reach, from one day to another, both counted.
// High counts bowls of which nobody measured what was left as drunk; Low counts nothing of them, nor of shared bowls.
// Spilt water looks like drunk water.
func (l *Log) Drunk(animal string, from, to units.Date) units.Range[units.Volume] {
	var r units.Range[units.Volume]
	for _, d := range l.Water {
		if d.When.Date < from || d.When.Date > to || !slices.Contains(d.For, animal) {
			continue
		}
		gone := d.Offered - d.Left
		r.High = pour(r.High, gone)
		r.Typical = pour(r.Typical, gone/units.Volume(len(d.For)))
		if d.Weighed && len(d.For) == 1 {
			r.Low = pour(r.Low, gone)
		}
	}
	return r
}

// pour adds volumes and stays at the largest one, about 92 litres, rather than run over.
func pour(a, b units.Volume) units.Volume {
	if sum, err := a.Add(b); err == nil {
		return sum
	}
	return math.MaxInt64
}

// Swallowed is what was swallowed of one entry: the serving that it typically comes to, and the servings between which the
// truth lies.
type Swallowed struct {
	Entry   Entry
	Typical ration.Serving
	// Corners are the least and the most that may have been swallowed, each with none and with all of the bare bone of a
	// shared bowl taken as this animal's. What was in truth swallowed lies between them; their mass may be 0.
	Corners []ration.Serving
}

// Swallowed is what an animal, or with "" all together, may have swallowed of each entry from one day to another, both
// counted, by time. Entries that were certainly not touched are left out.
//
// Where bare bone was left, the food of a serving is a copy whose bone is less by that bone, with the energy and minerals
// that follow. Its shares are rounded to a millionth, and bone is never less than none: where more was left than the food
// holds at its least bone, that end holds none. In a log that was built in code, and of whole prey whose figures are for
// the whole animal, the minerals per 100 g stay those of the food with all of its bone: upper figures.
func (l *Log) Swallowed(animal string, from, to units.Date) []Swallowed {
	entries := slices.Clone(l.Entries)
	slices.SortStableFunc(entries, compareEntries)
	var out []Swallowed
	var copies []*prey.Food
	less := func(f *prey.Food, m, bone units.Mass) *prey.Food {
		g := withoutBone(f, m, bone)
		if g != f {
			copies = append(copies, g)
		}
		return g
	}
	for _, e := range entries {
		if e.Meal.Date < from || e.Meal.Date > to || animal != "" && !slices.Contains(e.For, animal) {
			continue
		}
		gone, _ := e.Gone()
		eaten := gone
		if animal != "" {
			eaten = l.Ate(e, animal)
		}
		if eaten.High <= 0 {
			continue
		}
		s := Swallowed{Entry: e, Typical: ration.Serving{Food: less(e.Food, gone.High, e.BoneLeft), Mass: eaten.Typical}}
		bones := []units.Mass{e.BoneLeft}
		if animal != "" && len(e.For) > 1 && e.BoneLeft > 0 {
			bones = []units.Mass{0, e.BoneLeft}
		}
		for _, bone := range bones {
			s.Corners = append(s.Corners, ration.Serving{Food: less(e.Food, eaten.High, bone), Mass: eaten.High})
			if eaten.Low < eaten.High {
				s.Corners = append(s.Corners, ration.Serving{Food: less(e.Food, eaten.Low, bone), Mass: eaten.Low})
			}
		}
		out = append(out, s)
	}
	settle(l.foods, copies)
	return out
}

// compareEntries orders entries by time, and those of one minute by what they say, so that their order in the file has no
// meaning.
func compareEntries(a, b Entry) int {
	return cmp.Or(a.Meal.Compare(b.Meal), cmp.Compare(a.Food.ID, b.Food.ID), cmp.Compare(a.Offered, b.Offered), cmp.Compare(a.Left, b.Left),
		cmp.Compare(a.Stash, b.Stash), cmp.Compare(a.BoneLeft, b.BoneLeft), slices.Compare(a.For, b.For))
}

// AsPlan turns what was eaten from one day to another, both counted, into a plan, so that it can be judged like one: of
// one animal, or for "" of all bowls. Bowls put down in the same minute for the same animals are one meal; what was
// certainly not touched is left out. Days that are neither written on nor declared complete are left out: they are not
// days without food. Foods are those of Swallowed, so bare bone does not count.
func (l *Log) AsPlan(animal string, from, to units.Date, end RangeEnd) *ration.Plan {
	p := &ration.Plan{Household: l.Household, Start: from}
	type bowl struct {
		when Moment
		who  string
	}
	days := map[units.Date]map[bowl]*ration.Meal{}
	for _, d := range l.Complete {
		if d >= from && d <= to {
			days[d] = map[bowl]*ration.Meal{}
		}
	}
	for _, e := range l.Entries { // a day on which nothing was taken is a day
		if d := e.Meal.Date; d >= from && d <= to && (animal == "" || slices.Contains(e.For, animal)) && days[d] == nil {
			days[d] = map[bowl]*ration.Meal{}
		}
	}
	for _, s := range l.Swallowed(animal, from, to) {
		e := s.Entry
		eaten, _ := e.Gone()
		who := slices.Sorted(slices.Values(e.For))
		if animal != "" {
			eaten, who = l.Ate(e, animal), []string{animal}
		}
		m := end.of(eaten)
		if m <= 0 {
			continue
		}
		key := bowl{e.Meal, strings.Join(who, " ")}
		if days[e.Meal.Date][key] == nil {
			days[e.Meal.Date][key] = &ration.Meal{For: who}
		}
		meal := days[e.Meal.Date][key]
		meal.Servings = append(meal.Servings, ration.Serving{Food: s.Typical.Food, Mass: m})
	}
	for _, d := range slices.Sorted(maps.Keys(days)) {
		day := ration.Day{Date: d}
		bowls := make([]bowl, 0, len(days[d]))
		for b := range days[d] {
			bowls = append(bowls, b)
		}
		slices.SortFunc(bowls, func(a, b bowl) int { return cmp.Or(a.when.Compare(b.when), cmp.Compare(a.who, b.who)) })
		slot, last := 0, Moment{}
		for i, b := range bowls {
			if i == 0 || b.when != last {
				slot, last = min(slot+1, ration.MaxMeals), b.when
			}
			meal := *days[d][b]
			meal.Slot = slot
			day.Meals = append(day.Meals, meal)
		}
		p.Days = append(p.Days, day)
	}
	return p
}

// withoutBone is the food with that bare bone taken out: of eaten + bone of it, eaten was swallowed. Its figures are not
// settled yet.
func withoutBone(f *prey.Food, eaten, bone units.Mass) *prey.Food {
	if bone <= 0 || eaten <= 0 || !f.PartsKnown {
		return f
	}
	g := *f
	whole := form.Plus(eaten, bone)
	for c := range f.Shares {
		// Masses of the parts of what was offered, less the bare bone.
		weights := make([]int64, prey.NumParts)
		for p, s := range f.Shares[c] {
			weights[p] = int64(share1(whole, units.Mass(s), units.Mass(units.Whole)))
		}
		weights[prey.Bone] = max(weights[prey.Bone]-int64(bone), 0)
		parts, err := units.Split(int64(units.Whole), weights)
		if err != nil {
			return f // nothing but the bone that was left
		}
		for p := range g.Shares[c] {
			g.Shares[c][p] = units.Share(parts[p])
		}
	}
	return &g
}

// settle gives copies of foods the figures that follow from their shares, with the bone of the catalogue. It lays them over
// it under names of their own for that, all at once.
func settle(c *prey.Catalogue, copies []*prey.Food) {
	if c == nil || len(copies) == 0 {
		return
	}
	own := make([]prey.Food, len(copies))
	for i, f := range copies {
		own[i] = *f
		own[i].ID = fmt.Sprintf("bare-bone-left-%d", i)
		own[i].Name, own[i].Synonyms, own[i].Override = own[i].ID, nil, ""
	}
	laid, err := c.With(own)
	if err != nil {
		return // a catalogue with foods of these names; the figures stay those of the whole food
	}
	for i, f := range copies {
		if g, err := laid.Find(own[i].ID); err == nil {
			id, name, synonyms, override := f.ID, f.Name, f.Synonyms, f.Override
			*f = *g
			f.ID, f.Name, f.Synonyms, f.Override = id, name, synonyms, override
		}
	}
}
