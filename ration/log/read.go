package log

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/ration"
	"fitchet.example/ration/internal/form"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// Load reads a feeding log from YAML or JSON; the package comment gives the form. Foods are looked up in c (the shipped
// catalogue when nil); animals must be of h.
//
// Faults of single entries do not stop the rest: beside a strict.Faults the Log holds every entry that is sound, and the
// places of the others; it is nil only when schema, from or as-of cannot be read. What was fed on the day of an entry that was left out is then not
// known, whatever complete says; if its day cannot be read either, or lies outside the log, no day counts as complete.
//
// Faults, each with path:line:column, are: another household, more left and hidden than was offered, more bare bone than
// was left, an entry after the as-of moment or before the first day (weights and steps may be older), an unknown animal or
// food with the nearest name, two weights or steps of one animal in one minute, sightings that contradict each other, and
// a mass that is not believed, with the usual slip of the pen (ounces, kilograms) named and never corrected. Not believed
// is an offer of more than the animals weigh, and one that lies by the factor of such a slip off what the same animals are
// usually offered of the same food.
// Days of which nothing is written are no fault: see Silences.
func Load(path string, r io.Reader, c *prey.Catalogue, h *ration.Household) (*Log, error) {
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
	rd := &reader{path: path, foods: c, h: h}
	l := rd.log(doc.Root())
	if l.AsOf == (Moment{}) || l.From == 0 || l.schema == "" {
		l = nil
	}
	return l, doc.Err()
}

type reader struct {
	path   string
	foods  *prey.Catalogue
	h      *ration.Household
	on     units.Date // of the entry at hand; 0: not known
	into   *Log
	broken bool // a fault was noted for the entry at hand
	offers map[ration.Place]strict.Node
}

// fail notes a fault and drops the entry at hand.
func (rd *reader) fail(n strict.Node, format string, args ...any) {
	rd.broken = true
	n.Fail(format, args...)
}

func (rd *reader) at(n strict.Node) ration.Place {
	return ration.Place{Path: rd.path, Line: n.Line(), Col: n.Col()}
}

// animal reads the id of an animal that was born when the entry at hand was written.
func (rd *reader) animal(s string) (string, error) {
	id, err := form.OneOf("animal", rd.h.IDs())(s)
	if a, ok := rd.h.Animal(id); ok && rd.on != 0 && a.Born > rd.on {
		return "", fmt.Errorf("%s is born on %s, after this day: %w", id, a.Born, ration.ErrDates)
	}
	return id, err
}

// must reads a required scalar and drops the entry at hand if it cannot.
func must[T any](rd *reader, m strict.Map, key string, parse func(string) (T, error)) (T, strict.Node) {
	n := m.Get(key)
	v, ok := strict.Read(n, parse)
	rd.broken = rd.broken || !ok
	return v, n
}

// may reads a scalar that may be missing and drops the entry at hand if it is there and cannot be read.
func may[T any](rd *reader, m strict.Map, key string, parse func(string) (T, error)) (T, bool, strict.Node) {
	n, there := m.Opt(key)
	v, ok := strict.Read(n, parse)
	rd.broken = rd.broken || there && !ok
	return v, ok, n
}

// each reads the entries of a list; entries with a fault are left out and handed to drop.
func each[T any](rd *reader, m strict.Map, key string, read func(strict.Map, ration.Place) T, drop func(T)) []T {
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
			continue
		}
		rd.into.Unread = append(rd.into.Unread, rd.at(e))
		if drop != nil {
			drop(v)
		}
	}
	return out
}

func (rd *reader) log(root strict.Node) *Log {
	m := root.Map()
	l := &Log{need: map[string]int64{}, foods: rd.foods}
	l.schema = strict.Value(m, "schema", form.Schema(Schema))
	l.Household = strict.Value(m, "household", form.Household(rd.h.Name))
	rd.into = l
	l.AsOf = strict.Value(m, "as-of", parseMoment)
	l.From = strict.Value(m, "from", units.ParseDate)
	rd.span(m, l)
	for _, n := range rd.h.Needs() {
		if l.need[n.Animal.ID] = int64(n.Floor); n.HasBand {
			l.need[n.Animal.ID] = int64(n.Band.Typical)
		}
	}
	if n, ok := m.Opt("complete"); ok {
		for _, days := range strict.Each(n, l.parseDays) {
			l.Complete = append(l.Complete, days...)
		}
		slices.Sort(l.Complete)
		l.Complete = slices.Compact(l.Complete)
	}
	rd.offers = map[ration.Place]strict.Node{}
	l.Entries = each(rd, m, "fed", rd.entry, rd.unfed)
	rd.usual()
	weights := map[string]ration.Place{}
	l.Weights = each(rd, m, "weights", func(m strict.Map, at ration.Place) Weighing { return rd.weighing(m, at, weights) }, nil)
	l.Stools = each(rd, m, "stools", func(m strict.Map, at ration.Place) StoolNote {
		s := StoolNote{When: rd.when(m), At: at}
		s.Animal, _ = must(rd, m, "animal", rd.animal)
		s.Class, _ = must(rd, m, "class", ParseStoolClass)
		return s
	}, nil)
	l.Signs = each(rd, m, "signs", func(m strict.Map, at ration.Place) SignNote {
		s := SignNote{When: rd.when(m), At: at}
		s.Animal, _ = must(rd, m, "animal", rd.animal)
		s.Sign, _ = must(rd, m, "sign", form.OneOf("sign", Signs()))
		return s
	}, nil)
	l.Water = each(rd, m, "water", rd.drink, nil)
	begun := map[string]ration.Place{}
	l.Steps = each(rd, m, "steps", func(m strict.Map, at ration.Place) StepNote {
		s := StepNote{At: at}
		s.When, _ = rd.before(m)
		s.Animal, _ = must(rd, m, "animal", rd.animal)
		var n strict.Node
		s.Stage, n = must(rd, m, "stage", form.ID)
		s.VetAgreed = m.Bool("vet-agreed", false)
		if key := s.Animal + " " + s.When.String(); !rd.broken {
			if first, ok := begun[key]; ok {
				rd.fail(n, "%s begins two steps at %s; the first is in line %d", s.Animal, s.When, first.Line)
			}
			begun[key] = at
		}
		return s
	}, nil)
	m.Done()
	return l
}

// span notes days of a log that do not fit each other or the household, of which weights and stages are taken.
func (rd *reader) span(m strict.Map, l *Log) {
	if l.AsOf == (Moment{}) || l.From == 0 {
		return
	}
	on, asOf := l.AsOf.Date, rd.h.AsOf
	switch from, _ := m.Opt("from"); {
	case l.From > on:
		from.Fail("the log begins on %s, after its as-of moment %s", l.From, l.AsOf)
	case on.DaysSince(l.From) > longestDays:
		from.Fail("the log begins on %s, over 10 years before its as-of moment %s", l.From, l.AsOf)
	case asOf != 0 && on.DaysSince(asOf) > ration.AheadDays:
		at, _ := m.Opt("as-of")
		at.Fail("the household file is of %s, %d days before this moment, more than %d: weigh the animals and bring it up to date", asOf, on.DaysSince(asOf), ration.AheadDays)
	}
}

// unfed takes note that an entry was left out: its day is not written down in full, whatever the file says.
func (rd *reader) unfed(e Entry) {
	l := rd.into
	if e.Meal == (Moment{}) || e.Meal.Date < l.From || e.Meal.Compare(l.AsOf) > 0 {
		l.Complete = nil
		return
	}
	l.Complete = slices.DeleteFunc(l.Complete, func(d units.Date) bool { return d == e.Meal.Date })
}

// Bounds of a log; both are ours.
const (
	usualOffers = 3        // of the same food to the same animals, beside the one at hand, to say what is usual
	longestDays = 10 * 366 // from its first day to its as-of moment
)

// usual notes offers that lie by the factor of a slip of the pen off what is usual. Treats are not held to it.
func (rd *reader) usual() {
	l := rd.into
	key := func(e Entry) string { return strings.Join(slices.Sorted(slices.Values(e.For)), " ") + "/" + e.Food.ID }
	offers := map[string][]units.Mass{}
	for _, e := range l.Entries {
		if !e.Treat {
			offers[key(e)] = append(offers[key(e)], e.Offered)
		}
	}
	for _, o := range offers {
		slices.Sort(o)
	}
	l.Entries = slices.DeleteFunc(l.Entries, func(e Entry) bool {
		o := offers[key(e)]
		if e.Treat || len(o) <= usualOffers {
			return false
		}
		mid := o[len(o)/2]
		why := form.Slip(e.Offered, mid/4*3, mid/4*5)
		if e.Offered >= mid/20 && e.Offered/20 <= mid || why == "" {
			return false
		}
		rd.offers[e.At].Fail("%s offered, where these animals are usually offered about %s of %s%s", form.Both(e.Offered), form.Both(mid), e.Food.Name, why)
		rd.into.Unread = append(rd.into.Unread, e.At)
		rd.unfed(e)
		return true
	})
}

// when reads the moment of an entry, which lies in the time of the log.
func (rd *reader) when(m strict.Map) Moment {
	w, n := rd.before(m)
	if l := rd.into; !rd.broken && w.Date < l.From {
		rd.fail(n, "%s lies before the first day of this log, %s", w, l.From)
	}
	return w
}

// before reads a moment that does not lie after the log.
func (rd *reader) before(m strict.Map) (Moment, strict.Node) {
	w, n := must(rd, m, "at", parseMoment)
	rd.on = w.Date
	if l := rd.into; !rd.broken && l.AsOf != (Moment{}) && w.Compare(l.AsOf) > 0 {
		rd.fail(n, "%s lies after the as-of moment of this log, %s", w, l.AsOf)
	}
	return w, n
}

// eaters reads who could reach a bowl.
func (rd *reader) eaters(m strict.Map) (ids []string, weigh units.Mass) {
	for _, e := range form.Filled(m.Get("for"), "a bowl for nobody") {
		id, ok := strict.Read(e, rd.animal)
		switch {
		case !ok:
			rd.broken = true
		case slices.Contains(ids, id):
			rd.fail(e, "animal %q stands twice at this bowl", id)
		default:
			ids = append(ids, id)
			a, _ := rd.h.Animal(id)
			weigh = form.Plus(weigh, a.Mass)
		}
	}
	rd.broken = rd.broken || len(ids) == 0
	return ids, weigh
}

func (rd *reader) entry(m strict.Map, at ration.Place) Entry {
	e := Entry{At: at, Meal: rd.when(m)}
	var weigh units.Mass
	e.For, weigh = rd.eaters(m)
	e.Food, _ = must(rd, m, "food", rd.foods.Find)
	var offered, left, stash, bone strict.Node
	e.Offered, offered = must(rd, m, "offered", units.ParseMass)
	rd.offers[at] = offered
	e.Left, e.Weighed, left = may(rd, m, "left", units.ParseMass)
	e.Stash, e.Searched, stash = may(rd, m, "stash", units.ParseMass)
	e.BoneLeft, _, bone = may(rd, m, "bone-left", units.ParseMass)
	e.Stage, _, _ = may(rd, m, "stage", form.ID)
	e.Treat = m.Bool("treat", false)
	sum, err := e.Left.Add(e.Stash)
	switch {
	case rd.broken:
	case e.Offered <= 0:
		rd.fail(offered, "nothing was offered")
	case weigh > 0 && e.Offered > weigh:
		rd.fail(offered, "%s offered to animals that weigh %s together: not believed%s", form.Both(e.Offered), weigh.InGrams(0), form.Slip(e.Offered, weigh/100, weigh))
	case e.Left > e.Offered:
		rd.fail(left, "%s left of %s offered%s", form.Both(e.Left), form.Both(e.Offered), form.Slip(e.Left, e.Offered/20, e.Offered))
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

func (rd *reader) sightings(m strict.Map, e *Entry) {
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
		s.How, ok = strict.Read(v, func(text string) (Seen, error) {
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
			known = form.Plus(known, s.Mass)
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

func (rd *reader) weighing(m strict.Map, at ration.Place, seen map[string]ration.Place) Weighing {
	w := Weighing{At: at}
	w.When, _ = rd.before(m) // older weights than the log are welcome: they make the mean
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
	if why := ration.Implausible(w.Mass, a.Kind(), stage); why != "" {
		rd.fail(n, "%s", why)
	} else if grown := stage != ration.Kit && stage != ration.Juvenile; grown && (w.Mass > 2*a.Mass || w.Mass < a.Mass/2) {
		rd.fail(n, "%s is not believed for %s, who weighs %s in the household file%s", form.Both(w.Mass), w.Animal, form.Both(a.Mass), form.Slip(w.Mass, a.Mass/2, 2*a.Mass))
	}
	return w
}

func (rd *reader) drink(m strict.Map, at ration.Place) Drink {
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

// parseDays reads one or more days of the log.
func (l *Log) parseDays(s string) ([]units.Date, error) {
	days, err := parseDays(s)
	if n := len(days); err == nil && l.From != 0 && l.AsOf != (Moment{}) && (days[0] < l.From || days[n-1] > l.AsOf.Date) {
		return nil, fmt.Errorf("%.40q lies outside this log, %s to %s: %w", s, l.From, l.AsOf, ration.ErrDates)
	}
	return days, err
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
