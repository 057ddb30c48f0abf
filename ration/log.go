package ration

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/strict"
	"fitchet.example/units/wide"
)

// LogSchema names the form of a feeding log.
const LogSchema = "fitchet.log/1"

// Moment is a day and a minute of it.
type Moment struct {
	Date units.Date
	Time TimeOfDay
}

// ParseMoment reads "2026-11-30 07:00".
func ParseMoment(s string) (Moment, error) {
	day, clock, ok := strings.Cut(s, " ")
	if !ok {
		return Moment{}, fmt.Errorf("time %.40q: want a day and a time, as in \"2026-11-30 07:00\"", s)
	}
	d, err := units.ParseDate(day)
	if err != nil {
		return Moment{}, err
	}
	t, err := ParseTimeOfDay(clock)
	return Moment{d, t}, err
}

// String returns "2026-11-30 07:00".
func (m Moment) String() string { return m.Date.String() + " " + m.Time.String() }

// Compare orders moments.
func (m Moment) Compare(n Moment) int {
	return cmp.Or(cmp.Compare(m.Date, n.Date), cmp.Compare(m.Time, n.Time))
}

// minutesSince is the time from n to m.
func (m Moment) minutesSince(n Moment) int64 {
	return int64(m.Date.DaysSince(n.Date))*dayMinutes + int64(m.Time) - int64(n.Time)
}

// How is what somebody saw one animal do at a bowl.
type How uint8

const (
	NotSeen How = iota // nobody saw
	AteNone            // it ate nothing of it, or was apart
	AteSome            // it ate some
	AteAll             // whatever was eaten, it ate
	AteMass            // it ate this much
)

// Sighting is what was seen of one animal.
type Sighting struct {
	Animal string
	How    How
	Mass   units.Mass // for AteMass
}

// Entry is one food offered in one bowl, and what became of it.
type Entry struct {
	Meal     Moment
	For      []string // who could reach the bowl
	Food     *prey.Food
	Offered  units.Mass
	Left     units.Mass // still in the bowl when it was lifted, bare bone included
	Weighed  bool       // Left is written down; if not, nobody knows what was left
	Stash    units.Mass // found hidden, later
	Searched bool       // Stash is written down; if not, nobody knows what is hidden
	BoneLeft units.Mass // bare bone among Left
	Stage    string     // id of the stage of a switch this food was offered for; "" none
	Treat    bool
	Seen     []Sighting
	At       Place
}

// Weighing is one weight of one animal.
type Weighing struct {
	When   Moment
	Animal string
	Mass   units.Mass
	At     Place
}

// StoolNote is one stool of one animal.
type StoolNote struct {
	When   Moment
	Animal string
	Class  StoolClass
	At     Place
}

// Signs are words for what sends an animal to a vet, in alphabetical order.
func Signs() []string {
	return []string{"collapse", "drooling", "dull", "fits", "glassy-stare", "pawing-at-mouth", "sore-belly", "vomiting", "weak"}
}

// SignNote is a sign of illness somebody saw.
type SignNote struct {
	When   Moment
	Animal string
	Sign   string // a word of Signs
	At     Place
}

// Drink is one bowl or bottle of water.
type Drink struct {
	When    Moment
	For     []string
	Offered units.Volume
	Left    units.Volume
	Weighed bool // Left is written down
	At      Place
}

// Log is what was fed, as far as it is written down. The order of its entries has no meaning.
type Log struct {
	Household string
	AsOf      Moment
	From      units.Date   // first day the log speaks of
	Complete  []units.Date // days of which everything fed is written down, sorted
	Entries   []Entry
	Weights   []Weighing
	Stools    []StoolNote
	Signs     []SignNote
	Water     []Drink

	need map[string]int64 // middle of each animal's band, to share bowls
}

// LoadLog reads a feeding log from YAML or JSON; the package comment gives the form. Foods are looked up in c (the shipped
// catalogue when nil); animals must be of h.
//
// Faults of single entries do not stop the rest: when the error is a strict.Faults the Log is not nil and holds every entry
// that is sound. Faults, each with path:line:column, are: more left and hidden than was offered, more bare bone than was
// left, an entry before the first or after the as-of moment, an unknown animal or food with the nearest name, two weights
// of one animal in one minute, sightings that contradict each other, and a mass that is not believed, with the usual slip
// of the pen (ounces, kilograms) named and never corrected. Days of which nothing is written are no fault: see Silent.
func LoadLog(path string, r io.Reader, c *prey.Catalogue, h *Household) (*Log, error) {
	if h == nil {
		return nil, errors.New("a feeding log needs its household")
	}
	if c == nil {
		var err error
		if c, err = prey.Shipped(); err != nil {
			return nil, fmt.Errorf("log %s: %w", path, err)
		}
	}
	doc := strict.ReadAll(path, r)
	rd := &logReader{reader: reader{path: path, foods: c}, h: h, animal: oneOf("animal", h.IDs())}
	l := rd.log(doc.Root())
	return l, doc.Err()
}

type logReader struct {
	reader
	h      *Household
	animal func(string) (string, error)
	into   *Log
	broken bool // a fault was noted for the entry at hand
}

// fail notes a fault and drops the entry at hand.
func (rd *logReader) fail(n strict.Node, format string, args ...any) {
	rd.broken = true
	n.Fail(format, args...)
}

// must reads a required scalar and drops the entry at hand if it cannot.
func must[T any](rd *logReader, m strict.Map, key string, parse func(string) (T, error)) (T, strict.Node) {
	n := m.Get(key)
	v, ok := strict.Read(n, parse)
	rd.broken = rd.broken || !ok
	return v, n
}

// may reads a scalar that may be missing and drops the entry at hand if it is there and cannot be read.
func may[T any](rd *logReader, m strict.Map, key string, parse func(string) (T, error)) (T, bool, strict.Node) {
	n, there := m.Opt(key)
	v, ok := strict.Read(n, parse)
	rd.broken = rd.broken || there && !ok
	return v, ok, n
}

// each reads the entries of a list; entries with a fault are left out.
func each[T any](rd *logReader, m strict.Map, key string, read func(strict.Map, Place) T) []T {
	n, ok := m.Opt(key)
	if !ok {
		return nil
	}
	var out []T
	for _, e := range n.List() {
		em := e.Map()
		rd.broken = e.Kind() != strict.Mapping
		v := read(em, rd.at(e))
		if n := len(em.Keys()); n == 0 {
			rd.broken = true
		}
		em.Done()
		if !rd.broken {
			out = append(out, v)
		}
	}
	return out
}

func (rd *logReader) log(root strict.Node) *Log {
	m := root.Map()
	strict.Value(m, "schema", wantSchema(LogSchema))
	l := &Log{Household: strict.Value(m, "household", parseName), need: map[string]int64{}}
	rd.into = l
	l.AsOf = strict.Value(m, "as-of", ParseMoment)
	l.From = strict.Value(m, "from", units.ParseDate)
	for _, n := range rd.h.Needs() {
		if l.need[n.Animal.ID] = int64(n.Floor); n.HasBand {
			l.need[n.Animal.ID] = int64(n.Band.Typical)
		}
	}
	if n, ok := m.Opt("complete"); ok {
		for _, days := range strict.Each(n, parseDays) {
			l.Complete = append(l.Complete, days...)
		}
		slices.Sort(l.Complete)
		l.Complete = slices.Compact(l.Complete)
	}
	l.Entries = each(rd, m, "fed", rd.entry)
	weights := map[string]Place{}
	l.Weights = each(rd, m, "weights", func(m strict.Map, at Place) Weighing { return rd.weighing(m, at, weights) })
	l.Stools = each(rd, m, "stools", func(m strict.Map, at Place) StoolNote {
		s := StoolNote{When: rd.when(m), At: at}
		s.Animal, _ = must(rd, m, "animal", rd.animal)
		s.Class, _ = must(rd, m, "class", ParseStoolClass)
		return s
	})
	l.Signs = each(rd, m, "signs", func(m strict.Map, at Place) SignNote {
		s := SignNote{When: rd.when(m), At: at}
		s.Animal, _ = must(rd, m, "animal", rd.animal)
		s.Sign, _ = must(rd, m, "sign", oneOf("sign", Signs()))
		return s
	})
	l.Water = each(rd, m, "water", rd.drink)
	m.Done()
	return l
}

// when reads the moment of an entry, which lies in the time of the log.
func (rd *logReader) when(m strict.Map) Moment {
	w, n := must(rd, m, "at", ParseMoment)
	l := rd.into
	switch {
	case rd.broken:
	case l.AsOf != (Moment{}) && w.Compare(l.AsOf) > 0:
		rd.fail(n, "%s lies after the as-of moment of this log, %s", w, l.AsOf)
	case w.Date < l.From:
		rd.fail(n, "%s lies before the first day of this log, %s", w, l.From)
	}
	return w
}

// eaters reads who could reach a bowl.
func (rd *logReader) eaters(m strict.Map) (ids []string, weigh units.Mass) {
	for _, e := range filled(m.Get("for"), "a bowl for nobody") {
		id, ok := strict.Read(e, rd.animal)
		switch {
		case !ok:
			rd.broken = true
		case slices.Contains(ids, id):
			rd.fail(e, "animal %q stands twice at this bowl", id)
		default:
			ids = append(ids, id)
			a, _ := rd.h.Animal(id)
			weigh = plus(weigh, a.Mass)
		}
	}
	rd.broken = rd.broken || len(ids) == 0
	return ids, weigh
}

func (rd *logReader) entry(m strict.Map, at Place) Entry {
	e := Entry{At: at, Meal: rd.when(m)}
	var weigh units.Mass
	e.For, weigh = rd.eaters(m)
	e.Food, _ = must(rd, m, "food", rd.food)
	var offered, left, stash, bone strict.Node
	e.Offered, offered = must(rd, m, "offered", units.ParseMass)
	e.Left, e.Weighed, left = may(rd, m, "left", units.ParseMass)
	e.Stash, e.Searched, stash = may(rd, m, "stash", units.ParseMass)
	e.BoneLeft, _, bone = may(rd, m, "bone-left", units.ParseMass)
	e.Stage, _, _ = may(rd, m, "stage", parseID)
	e.Treat = m.Bool("treat", false)
	sum, err := e.Left.Add(e.Stash)
	switch {
	case rd.broken:
	case e.Offered <= 0:
		rd.fail(offered, "nothing was offered")
	case weigh > 0 && e.Offered > weigh:
		rd.fail(offered, "%s offered to animals that weigh %s together: not believed%s", both(e.Offered), weigh.InGrams(0), slip(e.Offered, weigh/100, weigh))
	case e.Left > e.Offered:
		rd.fail(left, "%s left of %s offered%s", both(e.Left), both(e.Offered), slip(e.Left, e.Offered/20, e.Offered))
	case err != nil || sum > e.Offered:
		rd.fail(stash, "%s left and %s hidden are more than the %s offered", e.Left.InGrams(1), e.Stash.InGrams(1), e.Offered.InGrams(1))
	case e.BoneLeft > e.Left:
		rd.fail(bone, "%s of bare bone among %s left", e.BoneLeft.InGrams(1), e.Left.InGrams(1))
	case e.BoneLeft > 0 && e.Food.PartsKnown && boneOver(e.Food, e.Offered, e.BoneLeft):
		rd.fail(bone, "%s of bare bone: %s of %s never holds so much", e.BoneLeft.InGrams(1), e.Offered.InGrams(1), e.Food.Name)
	}
	rd.sightings(m, &e)
	return e
}

// boneOver reports whether more bone was left than the food holds at its most.
func boneOver(f *prey.Food, offered, bone units.Mass) bool {
	return compareShare(bone, offered, f.Shares[prey.MostBone][prey.Bone]) > 0
}

func (rd *logReader) sightings(m strict.Map, e *Entry) {
	n, ok := m.Opt("seen")
	if !ok {
		return
	}
	seen := n.Map()
	rd.broken = rd.broken || n.Kind() != strict.Mapping
	var all int
	var known units.Mass
	for _, id := range seen.Keys() {
		v := seen.Get(id)
		s := Sighting{Animal: id}
		if _, err := rd.animal(id); err != nil {
			rd.fail(seen.Key(id), "%v", err)
			continue
		}
		if !slices.Contains(e.For, id) {
			rd.fail(seen.Key(id), "%s was not at this bowl", id)
			continue
		}
		s.How, ok = strict.Read(v, func(text string) (How, error) {
			switch text {
			case "none":
				return AteNone, nil
			case "some":
				return AteSome, nil
			case "all":
				all++
				return AteAll, nil
			}
			var err error
			if s.Mass, err = units.ParseMass(text); err != nil {
				return NotSeen, fmt.Errorf("seen %.40q: want none, some, all, or a mass: %w", text, err)
			}
			known = plus(known, s.Mass)
			return AteMass, nil
		})
		rd.broken = rd.broken || !ok
		e.Seen = append(e.Seen, s)
	}
	if rd.broken {
		return
	}
	most := e.Offered - e.Left - e.Stash
	some := slices.ContainsFunc(e.Seen, func(s Sighting) bool { return s.How == AteSome || s.How == AteMass && s.Mass > 0 })
	none := len(e.Seen) == len(e.For) && !slices.ContainsFunc(e.Seen, func(s Sighting) bool { return s.How != AteNone })
	switch {
	case all > 1 || all == 1 && some:
		rd.fail(n, "one ate all of it, and another ate too")
	case known > most:
		rd.fail(n, "%s seen eaten, but only %s is gone", known.InGrams(1), most.InGrams(1))
	case e.Weighed && e.Searched && none && most > 0:
		rd.fail(n, "nobody ate, but %s is gone", most.InGrams(1))
	case e.Weighed && e.Searched && len(e.Seen) == len(e.For) && all == 0 && known < most && !slices.ContainsFunc(e.Seen, func(s Sighting) bool { return s.How == AteSome }):
		rd.fail(n, "%s seen eaten by all who were there, but %s is gone", known.InGrams(1), most.InGrams(1))
	}
	slices.SortFunc(e.Seen, func(a, b Sighting) int { return cmp.Compare(a.Animal, b.Animal) })
}

func (rd *logReader) weighing(m strict.Map, at Place, seen map[string]Place) Weighing {
	w := Weighing{When: rd.when(m), At: at}
	w.Animal, _ = must(rd, m, "animal", rd.animal)
	var n strict.Node
	w.Mass, n = must(rd, m, "weight", units.ParseMass)
	if rd.broken {
		return w
	}
	key := w.Animal + " " + w.When.String()
	a, _ := rd.h.Animal(w.Animal)
	stage := a.StageOn(w.When.Date)
	if first, ok := seen[key]; ok {
		rd.fail(n, "a second weight of %s at %s; the first is in line %d", w.Animal, w.When, first.Line)
		return w
	}
	seen[key] = at
	if why := implausible(w.Mass, a.Kind(), stage); why != "" {
		rd.fail(n, "%s", why)
	} else if grown := stage != Kit && stage != Juvenile; grown && (w.Mass > 2*a.Mass || w.Mass < a.Mass/2) {
		rd.fail(n, "%s is not believed for %s, who weighs %s in the household file%s", both(w.Mass), w.Animal, both(a.Mass), slip(w.Mass, a.Mass/2, 2*a.Mass))
	}
	return w
}

func (rd *logReader) drink(m strict.Map, at Place) Drink {
	d := Drink{When: rd.when(m), At: at}
	d.For, _ = rd.eaters(m)
	d.Offered, _ = must(rd, m, "offered", units.ParseVolume)
	var n strict.Node
	d.Left, d.Weighed, n = may(rd, m, "left", units.ParseVolume)
	if !rd.broken && d.Left > d.Offered {
		rd.fail(n, "more water left than was offered")
	}
	return d
}

// parseDays reads one day, or "2026-11-30 to 2026-12-06", at most 366 days.
func parseDays(s string) ([]units.Date, error) {
	from, to, ok := strings.Cut(s, " to ")
	a, err := units.ParseDate(from)
	if err != nil || !ok {
		return []units.Date{a}, err
	}
	b, err := units.ParseDate(to)
	if err != nil {
		return nil, err
	}
	if b < a || b.DaysSince(a) > 366 {
		return nil, fmt.Errorf("days %.40q: want a first and a last day, at most 366 days apart", s)
	}
	var days []units.Date
	for ; a <= b; a = a.AddDays(1) {
		days = append(days, a)
	}
	return days, nil
}

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
		seen = plus(seen, s.Mass)
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
			othersLow, othersHigh = plus(othersLow, low[i]), plus(othersHigh, high[i])
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
		in.Eaten, in.BoneLeft = add(in.Eaten, eaten), add(in.BoneLeft, bone)
		in.Offered = plus(in.Offered, e.Offered)
		if guessed {
			in.Guessed = plus(in.Guessed, e.Offered)
		}
	}
	out := make([]Intake, 0, len(sums))
	for _, id := range sortedKeys(sums) {
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

func add(a, b units.Range[units.Mass]) units.Range[units.Mass] {
	return units.Range[units.Mass]{Low: plus(a.Low, b.Low), Typical: plus(a.Typical, b.Typical), High: plus(a.High, b.High)}
}

// End says which end of a range is summed.
type End uint8

const (
	TypicalEnd End = iota
	LowEnd
	HighEnd
)

func (e End) of(r units.Range[units.Mass]) units.Mass {
	switch e {
	case LowEnd:
		return r.Low
	case HighEnd:
		return r.High
	}
	return r.Typical
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
func (l *Log) Diet(animal string, from, to units.Date, end End) (Diet, error) {
	var d Diet
	for _, in := range l.Intake(animal, from, to) {
		bone := end.of(in.BoneLeft)
		d.BoneLeft = plus(d.BoneLeft, bone)
		if err := d.Tally.Add(in.Food, plus(end.of(in.Eaten), bone)); err != nil {
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

// String returns "open", "yes" or "no".
func (a Answer) String() string {
	switch a {
	case Yes:
		return "yes"
	case No:
		return "no"
	}
	return "open"
}

// Got answers whether an animal ate any food of a kind from one day to another, both counted: "did it get liver this
// week". Yes when some was certainly swallowed. No only when everything fed on each of the days is written down (Complete)
// and nothing of the kind can have reached it. What is not written down is never taken for not fed: the answer is then
// open, and the text says why.
func (l *Log) Got(animal string, from, to units.Date, kind func(*prey.Food) bool) (Answer, string) {
	var maybe *Entry
	for i, e := range l.Entries {
		if e.Meal.Date < from || e.Meal.Date > to || !kind(e.Food) {
			continue
		}
		switch r := l.Ate(e, animal); {
		case r.Low > 0:
			return Yes, fmt.Sprintf("%s at %s", e.Food.Name, e.Meal)
		case r.High > 0 && maybe == nil:
			maybe = &l.Entries[i]
		}
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
		r.High += gone
		r.Typical += gone / units.Volume(len(d.For))
		if d.Weighed && len(d.For) == 1 {
			r.Low += gone
		}
	}
	return r
}

// Signal is what the bowls of some animals say over some days.
type Signal struct {
	For     []string
	Bowls   int // lifted and weighed
	Emptied int // of them, with nothing left
	Offered units.Mass
	Left    units.Mass
	Text    string
}

// The shares at which a bowl says something: ours, to be read beside the scale.
const (
	muchLeft   = units.Whole / 5 // a fifth of what was offered
	oftenEmpty = 9               // of ten bowls
	fewBowls   = 6               // fewer say nothing
)

// Signals reads the bowls from one day to another, both counted, for each set of animals that share one. Treats and bowls
// that nobody weighed say nothing.
func (l *Log) Signals(from, to units.Date) []Signal {
	sums := map[string]*Signal{}
	for _, e := range l.Entries {
		if e.Meal.Date < from || e.Meal.Date > to || e.Treat || !e.Weighed {
			continue
		}
		ids := slices.Sorted(slices.Values(e.For))
		key := strings.Join(ids, " ")
		s := sums[key]
		if s == nil {
			s = &Signal{For: ids}
			sums[key] = s
		}
		s.Bowls++
		left := e.Left - e.BoneLeft
		if left == 0 {
			s.Emptied++
		}
		s.Offered, s.Left = plus(s.Offered, e.Offered), plus(s.Left, left)
	}
	var out []Signal
	for _, key := range sortedKeys(sums) {
		s := sums[key]
		switch share := units.ShareOf(s.Left, s.Offered); {
		case s.Bowls < fewBowls:
			s.Text = fmt.Sprintf("Only %s weighed: too few to say anything.", counted(int64(s.Bowls), "bowl", "bowls"))
		case share >= muchLeft:
			s.Text = fmt.Sprintf("%s of the food was left: offer less, or find the food that is refused. Weigh the animals; if one also loses weight or is dull, see a vet.", share.InPercent(0))
		case s.Emptied*10 >= s.Bowls*oftenEmpty:
			s.Text = "Nearly every bowl was emptied: offer a little more, and look for a stash."
		default:
			s.Text = "A little is left now and then: the amount fits."
		}
		out = append(out, *s)
	}
	return out
}
