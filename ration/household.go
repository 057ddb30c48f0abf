package ration

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration/internal/form"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// Style is how a household feeds. It steers a planner and decides nothing by itself.
type Style uint8

const (
	AnyStyle       Style = iota // not written down
	Assembled                   // cuts and organs put together
	WholePreyStyle              // whole animals
	MixStyle                    // ground mixes
)

var styleWords = units.Words[Style]{What: "style", Keys: []string{AnyStyle: "any", Assembled: "assembled", WholePreyStyle: "whole-prey", MixStyle: "mix"}}

// String returns "any", "assembled", "whole-prey" or "mix".
func (s Style) String() string { return styleWords.Name(s) }

// Stock is one lot of food in the freezer or fridge.
type Stock struct {
	Food       *prey.Food
	Mass       units.Mass // above zero
	Pieces     int64      // 0: not counted
	BestBefore units.Date // 0: none known
	Frozen     units.Date // day it went into the freezer; 0: not known
	Cost       *units.Price
	Supplier   string
	Lot        string
	At         Place
}

// Offer is food that can be bought, in whole packs.
type Offer struct {
	Food     *prey.Food
	Pack     units.Mass // mass of one pack, above zero
	Pieces   int64      // pieces in a pack; 0: not counted
	Price    units.Price
	Supplier string
	Max      int64 // most packs to be had; 0: no limit
	At       Place
}

// Household is who is fed, from what. It is a plain value; LoadHousehold returns one that is whole and consistent.
type Household struct {
	Name         string
	AsOf         units.Date // the day the file describes
	Start        units.Date // first day to plan; see FirstDay
	Animals      []Animal   // at least one, ids unique
	Stock        []Stock
	Offers       []Offer
	Target       string // id of a balance target; "" for the default
	Region       string // where the animals live, as notices name it (see safety.Context); "" not written down
	Room         *units.Temperature
	Freezer      *units.Temperature
	Waking       *Window // when food can be set out and lifted
	MealsPerDay  int     // 0: by need
	PeopleAtRisk bool    // someone under 5, 65 or over, pregnant, or with weakened immunity lives here
	Style        Style
}

// Animal returns the animal with the id.
func (h *Household) Animal(id string) (*Animal, bool) {
	if h == nil {
		h = &Household{}
	}
	for i := range h.Animals {
		if h.Animals[i].ID == id {
			return &h.Animals[i], true
		}
	}
	return nil, false
}

// IDs returns the animals' ids in the order of the file.
func (h *Household) IDs() []string {
	if h == nil {
		h = &Household{}
	}
	ids := make([]string, len(h.Animals))
	for i := range h.Animals {
		ids[i] = h.Animals[i].ID
	}
	return ids
}

// Bowls returns the animals that eat together, in the order of the file: one entry per group, and one per animal that
// stands alone.
func (h *Household) Bowls() [][]*Animal {
	if h == nil {
		h = &Household{}
	}
	var out [][]*Animal
	at := map[string]int{}
	for i := range h.Animals {
		a := &h.Animals[i]
		if j, ok := at[a.Group]; ok && a.Group != "" {
			out[j] = append(out[j], a)
			continue
		}
		at[a.Group] = len(out)
		out = append(out, []*Animal{a})
	}
	return out
}

// Needs returns the need of every animal on the first day to plan, in the order of the file.
func (h *Household) Needs() []Need {
	if h == nil {
		h = &Household{}
	}
	out := make([]Need, len(h.Animals))
	for i := range h.Animals {
		out[i] = Needs(&h.Animals[i], h.FirstDay())
	}
	return out
}

// PastBest returns the lots whose best-before day lies before the as-of day. Such a lot is a finding, not a fault of the
// file: best-before is a mark of quality, and what to do with the lot is the keeper's decision.
func (h *Household) PastBest() []Stock {
	if h == nil {
		h = &Household{}
	}
	var out []Stock
	for _, s := range h.Stock {
		if s.BestBefore != 0 && s.BestBefore < h.AsOf {
			out = append(out, s)
		}
	}
	return out
}

// Refuses reports whether the animal must not get the food, by the food's id or by an animal or group it is of.
func (a *Animal) Refuses(f *prey.Food) bool {
	return f != nil && slices.ContainsFunc(a.Never, func(n string) bool { return n == f.ID || f.HasSpecies(n) })
}

// LoadHousehold reads a household from YAML or JSON (see the package comment for the form) and returns it with the
// catalogue its foods were found in: c, or the shipped one when c is nil.
//
// The error holds every fault of the file at once, each with path:line:column: a quantity without a unit or below zero, a
// weight no animal of that kind has, an unknown food, species, stage or condition (with the nearest known name), two
// animals of one id, days that do not fit the as-of day, an unknown key, and a file with neither stock nor offers. A best-before day in the past is not an
// error; see Household.PastBest. Foods that come with the household, as in what its MarshalJSON wrote, are laid over c.
func LoadHousehold(path string, r io.Reader, c *prey.Catalogue) (*Household, *prey.Catalogue, error) {
	h, rd, _, err := openHousehold(path, r, c)
	if err != nil {
		return nil, nil, err
	}
	return h, rd.foods, nil
}

func openHousehold(path string, r io.Reader, c *prey.Catalogue) (*Household, *reader, *strict.Doc, error) {
	if c == nil {
		var err error
		if c, err = prey.Shipped(); err != nil {
			return nil, nil, nil, fmt.Errorf("household %s: %w", path, err)
		}
	}
	doc := strict.ReadAll(path, r)
	rd := &reader{path: path, foods: c, lay: true}
	h := rd.household(doc.Root())
	if err := doc.Err(); err != nil {
		return nil, nil, nil, err
	}
	return h, rd, doc, nil
}

// reader carries what the loaders of this package need beside the document.
type reader struct {
	path  string
	foods *prey.Catalogue
	value bool // what is read is a value that travels, and not what somebody wrote
	held  bool // no food may come with it that the catalogue does not have
	lay   bool // the foods that come with it belong into the catalogue
	any   bool // it may hold anything, since it is there to be judged
	own   map[string]*prey.Food
}

func (rd *reader) at(n strict.Node) Place {
	if rd.value {
		return Place{}
	}
	return Place{rd.path, n.Line(), n.Col()}
}

func (rd *reader) food(s string) (*prey.Food, error) {
	if f, ok := rd.own[s]; ok {
		return f, nil
	}
	return rd.foods.Find(s)
}

// foodOrSpecies returns an animal or a group of animals, or a food's id. An animal goes first: "rabbit" is every food of
// rabbit and not the one of that name.
func (rd *reader) foodOrSpecies(s string) (string, error) {
	word, unknown := rd.foods.Animal(s)
	if unknown == nil {
		return word, nil
	}
	for _, f := range rd.own {
		if f.HasSpecies(s) {
			return s, nil
		}
	}
	f, err := rd.food(s)
	if err != nil {
		return "", fmt.Errorf("%w; as an animal or a group, %w", err, unknown)
	}
	return f.ID, nil
}

func (rd *reader) household(root strict.Node) *Household {
	m := root.Map()
	rd.carried(m)
	h := &Household{}
	if rd.value {
		h.Name, _ = strict.OptValue(m, "household", strict.Name)
		h.AsOf, _ = strict.OptValue(m, "as-of", units.ParseDate)
	} else {
		h.Name = strict.Value(m, "household", strict.Name)
		h.AsOf = strict.Value(m, "as-of", units.ParseDate)
		h.Start = h.AsOf
	}
	if d, ok := strict.OptValue(m, "start", units.ParseDate); ok {
		if h.Start = d; h.AsOf != 0 {
			if why := h.startFault(d); why != "" {
				m.Get("start").Fail("%s", why)
			}
		}
	}
	h.Target = m.OptText("target")
	h.Region, _ = strict.OptValue(m, "region", strict.Name)
	if t, ok := strict.OptValue(m, "room", units.ParseTemperature); ok {
		h.Room = &t
	}
	if t, ok := strict.OptValue(m, "freezer", units.ParseTemperature); ok {
		h.Freezer = &t
	}
	if w, ok := strict.OptValue(m, "waking", ParseWindow); ok {
		h.Waking = &w
	}
	h.MealsPerDay, _ = m.OptInt("meals-per-day", 1, 12)
	h.PeopleAtRisk = m.Bool("people-at-risk", false)
	h.Style, _ = strict.OptValue(m, "style", styleWords.Parse)

	animals := m.Get("animals")
	seen := map[string]Place{}
	for _, n := range bounded(animals, form.Filled(animals, "no animals: a household feeds at least one"), maxAnimals, "animals") {
		h.Animals = append(h.Animals, rd.animal(n, h.AsOf, seen))
	}
	if n, ok := m.Opt("stock"); ok {
		var all units.Mass
		for _, e := range bounded(n, n.List(), maxLots, "lots of stock") {
			s := rd.stock(e, h.AsOf)
			h.Stock = append(h.Stock, s)
			all = form.Plus(all, s.Mass)
		}
		if all > maxStock {
			n.Fail("the stock weighs more than %s in all, which is not believed", maxStock)
		}
	}
	if n, ok := m.Opt("offers"); ok {
		for _, e := range bounded(n, n.List(), maxLots, "offers") {
			h.Offers = append(h.Offers, rd.offer(e))
		}
	}
	if len(h.Stock) == 0 && len(h.Offers) == 0 && !rd.value {
		root.Fail("neither stock nor offers: write what is in the freezer, or what can be bought")
	}
	m.Done()
	return h
}

func (rd *reader) animal(n strict.Node, asOf units.Date, seen map[string]Place) Animal {
	m := n.Map()
	a := Animal{At: rd.at(n)}
	id := m.Get("id")
	if a.ID, _ = strict.Read(id, form.ID); a.ID != "" {
		if first, ok := seen[a.ID]; ok {
			id.Fail("animal %q is already there, in line %d", a.ID, first.Line)
		} else {
			seen[a.ID] = a.At
		}
	}
	if a.Name, _ = strict.OptValue(m, "name", strict.Name); a.Name == "" && !rd.value {
		a.Name = a.ID
	}
	a.Species, _ = strict.OptValue(m, "species", ParseSpecies)
	if a.Species == "" && !rd.value {
		a.Species = Ferret
	}
	a.Sex, _ = strict.OptValue(m, "sex", ParseSex)
	weight := m.Get("weight")
	mass, weighed := strict.Read(weight, units.ParseMass)
	born, hasBorn := strict.OptValue(m, "born", units.ParseDate)
	age, hasAge := strict.OptValue(m, "age", parseAge)
	ageNode, _ := m.Opt("age")
	bornNode, _ := m.Opt("born")
	switch {
	case hasBorn && hasAge:
		ageNode.Fail("born and age are both given: keep one")
	case hasBorn && asOf != 0 && (born > asOf || asOf.DaysSince(born) > oldestAnimal):
		bornNode.Fail("born %s does not fit the as-of day %s", born, asOf)
	case hasBorn:
		a.Born = born
	case hasAge && asOf != 0:
		a.Born = asOf.AddDays(-age)
	case hasAge && rd.value:
		ageNode.Fail("an age without the as-of day")
	}
	if _, ok := m.Opt("neutered"); ok {
		v := m.Bool("neutered", false)
		a.Neutered = &v
	}
	a.Outdoor = m.Bool("outdoor", false)
	stageNode, stated := m.Opt("stage")
	a.Stage, _ = strict.OptValue(m, "stage", ParseStage)
	if w, ok := a.AgeWeeks(asOf); ok && stated {
		of := stageOfAge(a.Kind(), w)
		switch {
		case a.Stage == Kit || a.Stage == Juvenile || a.Stage == Adult:
			if of != a.Stage {
				stageNode.Fail("%s does not fit an age of %d weeks, which is %s", a.Stage, w, article(of))
			}
		case a.Stage != StageByAge && of == Kit:
			stageNode.Fail("%s does not fit an age of %d weeks", a.Stage, w)
		}
	}
	if (a.Stage == Pregnant || a.Stage == Lactating) && a.Sex == Hob {
		stageNode.Fail("a hob cannot be %s", a.Stage)
	}
	if why := Implausible(mass, a.Kind(), a.StageOn(asOf)); weighed && why != "" {
		weight.Fail("%s", why)
	}
	a.Mass = mass
	if n, ok := m.Opt("conditions"); ok {
		a.Conditions = strict.Each(n, form.OneOf("condition", Conditions()))
	}
	a.LongestGap, _ = strict.OptValue(m, "longest-gap", parsePeriod)
	if n, ok := m.Opt("never"); ok {
		a.Never = strict.Each(n, rd.foodOrSpecies)
	}
	a.Group, _ = strict.OptValue(m, "group", strict.Name)
	m.Done()
	return a
}

func (rd *reader) stock(n strict.Node, asOf units.Date) Stock {
	m := n.Map()
	s := Stock{At: rd.at(n)}
	s.Food = strict.Value(m, "food", rd.food)
	s.Mass, s.Pieces = rd.amount(n, m, s.Food, "mass")
	s.BestBefore, _ = strict.OptValue(m, "best-before", units.ParseDate)
	s.Frozen, _ = strict.OptValue(m, "frozen", units.ParseDate)
	if why := s.dateFault(asOf); asOf != 0 && why != "" {
		at, ok := m.Opt("frozen")
		if !ok || strings.HasPrefix(why, "best") {
			at, _ = m.Opt("best-before")
		}
		at.Fail("%s", why)
	}
	if p, ok := strict.OptValue(m, "cost", units.ParsePrice); ok {
		s.Cost = &p
	}
	s.Supplier, _ = strict.OptValue(m, "supplier", strict.Name)
	s.Lot, _ = strict.OptValue(m, "lot", strict.Name)
	m.Done()
	return s
}

func (rd *reader) offer(n strict.Node) Offer {
	m := n.Map()
	o := Offer{At: rd.at(n)}
	o.Food = strict.Value(m, "food", rd.food)
	o.Pack, o.Pieces = rd.amount(n, m, o.Food, "pack")
	o.Price = strict.Value(m, "price", units.ParsePrice)
	o.Supplier, _ = strict.OptValue(m, "supplier", strict.Name)
	most, _ := m.OptInt("max", 1, 1_000_000)
	o.Max = int64(most)
	m.Done()
	return o
}

// The most pieces and the largest mass that one entry may hold, and how many entries there may be and of what mass
// together: ours, far beyond any household.
const (
	maxPieces  = 100_000
	maxMass    = 1000 * units.Kilogram
	maxAnimals = 1000
	maxLots    = 10_000
	maxStock   = 5000 * units.Kilogram // about half of what a mass can hold
)

// bounded returns the items of a list and notes a fault at one that is too long.
func bounded(list strict.Node, items []strict.Node, most int, what string) []strict.Node {
	if n := len(items); n > most {
		list.Fail("%d %s: one file may hold %d; write the rest into others", n, what, most)
	}
	return items
}

// amount reads a mass, a number of pieces, or both. Pieces alone are weighed at the food's typical piece.
func (rd *reader) amount(n strict.Node, m strict.Map, f *prey.Food, key string) (units.Mass, int64) {
	massNode, wroteMass := m.Opt(key)
	mass, hasMass := strict.Read(massNode, units.ParseMass)
	piecesNode, wrotePieces := m.Opt("pieces")
	count, _ := m.OptInt("pieces", 1, maxPieces)
	pieces := int64(count)
	switch {
	case !wroteMass && !wrotePieces:
		n.Fail("neither %s nor pieces: how much is it?", key)
	case hasMass && mass <= 0:
		massNode.Fail("%s of nothing", key)
	case hasMass && mass > maxMass:
		massNode.Fail("%s of %s: more than %s is not believed", key, mass, maxMass)
	case hasMass && mass < units.Mass(pieces):
		massNode.Fail("%s of %s for %d pieces", key, mass, pieces)
	case f == nil || wroteMass && !hasMass:
	case !wroteMass && pieces > 0:
		if f.Piece.Typical <= 0 {
			piecesNode.Fail("no weight of a piece is known for %s: give its %s", f.Name, key)
			break
		}
		total, err := f.Piece.Typical.Times(pieces)
		if err != nil {
			piecesNode.Fail("%v", err)
		}
		mass = total
	case pieces > 0 && f.Piece.Typical > 0 && !rd.any:
		if each := mass / units.Mass(pieces); each < f.Piece.Low/5 || each > 5*f.Piece.High {
			massNode.Fail("%s of %s for %s makes %s each, but one weighs about %s%s", key, form.Both(mass), say.Counted(pieces, "piece", "pieces"),
				each.InGrams(1), f.Piece.Typical.InGrams(0), form.Slip(mass, f.Piece.Low*units.Mass(pieces), f.Piece.High*units.Mass(pieces)))
		}
	}
	return mass, pieces
}

// plausible returns the lightest and heaviest weight that is believed for an animal. They are ours, wide on purpose, and
// only catch slips of the pen: grams for kilograms, ounces for grams.
func plausible(species string, stage Stage) (low, high units.Mass) {
	low, high = 200*units.Gram, 5*units.Kilogram
	if species == Cat {
		low, high = units.Kilogram, 20*units.Kilogram
	}
	if stage == Kit || stage == Juvenile {
		low = 5 * units.Gram
	}
	return low, high
}

// Implausible says why a weight is not believed for an animal of the species and
// stage of life, with the usual slip of the pen named, or "". The bounds are ours
// and wide; see plausible.
func Implausible(m units.Mass, species string, stage Stage) string {
	low, high := plausible(species, stage)
	if m >= low && m <= high {
		return ""
	}
	return fmt.Sprintf("%s is not believed for %s %s (%s to %s)%s", form.Both(m), article(stage), species, low.InGrams(0), high.InGrams(0), form.Slip(m, low, high))
}

func article(s Stage) string {
	if s == Adult {
		return "an adult"
	}
	return "a " + s.String()
}

// byBestBefore orders lots first-out: the earliest best-before day first, undated lots last, else as in the file.
func byBestBefore(a, b Stock) int {
	switch {
	case a.BestBefore == b.BestBefore:
		return 0
	case a.BestBefore == 0:
		return 1
	case b.BestBefore == 0:
		return -1
	}
	return cmp.Compare(a.BestBefore, b.BestBefore)
}
