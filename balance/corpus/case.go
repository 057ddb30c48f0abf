package corpus

import (
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/internal/read"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"

	"github.com/shopspring/decimal"
)

// Bound says which bound of its rule a case stands at.
type Bound string

// The bounds.
const (
	Low  Bound = "low"
	High Bound = "high"
)

// Side says where a case lies, seen from its bound.
type Side string

// The sides. Just inside and just outside mean by the smallest step there is:
// one picogram where masses are compared, one where things are counted.
const (
	At      Side = "at"
	Inside  Side = "inside"
	Outside Side = "outside"
)

// Case is one plan and what an audit of it must find.
type Case struct {
	ID      string // permanent, never used again
	Title   string // what is special about it
	Rule    string // the rule the case is about; "" for worked examples of several rules
	Bound   Bound
	Side    Side
	Ref     cite.Ref // evidence for what is expected
	Why     string   // the arithmetic or the reasoning, in a sentence
	Failing string   // what it means for the animal when a program gets this wrong

	Target  string // id; "" for the default
	Plan    *ration.Plan
	Animals []ration.Animal
	Stock   []ration.Stock
	Offers  []ration.Offer
	Region  string
	Notices *safety.Notices
	RulesOn string // "2010": judged by the rules as they stood then; "" by those in force
	Laid    string // rule file of the corpus that is laid over the shipped rules

	// Expect holds, for every rule it names, all findings of that rule.
	Expect []Expect
	At     ration.Place
}

// Expect is one finding that an audit must have.
type Expect struct {
	Rule    string
	Animal  string
	Day     int // from 1; 0: not about one day
	Hazard  string
	Verdict balance.Verdict
	Range   balance.Verdict // over the whole range
	Side    balance.Side
	HasSide bool
	Reason  string // a word of Reasons
	// Measured and Limits are checked where they are given.
	Measured *Figures
	Limits   *Figures
}

// Figures are numbers as printed, in one unit. Tolerance is zero unless the
// case says why.
type Figures struct {
	Low, Typical, High *decimal.Decimal
	Unit               string
	Tolerance          decimal.Decimal
	Because            string
}

// reasons gives a permanent word to every reason of package balance.
func reasons() map[string]balance.Reason {
	return map[string]balance.Reason{
		"nothing-to-judge": balance.NothingToJudge,
		"little-known":     balance.LittleKnown,
		"pieces-unknown":   balance.PiecesUnknown,
		"parts-unknown":    balance.PartsUnknown,
		"short-plan":       balance.ShortPlan,
		"all-complete":     balance.AllComplete,
		"target-silent":    balance.TargetSilent,
		"other-species":    balance.OtherSpecies,
		"other-stage":      balance.OtherStage,
		"other-sex":        balance.OtherSex,
		"no-animals":       balance.NoAnimals,
		"no-band":          balance.NoBand,
		"none-fed":         balance.NoneFed,
		"bone-fed":         balance.BoneFed,
		"not-asked":        balance.NotAsked,
		"not-in-force":     balance.NotInForce,
		"hazard-open":      balance.HazardOpen,
		"nothing-refused":  balance.NothingRefused,
		"none-frail":       balance.NoneFrail,
		"one-animal":       balance.OneAnimal,
		"no-stock":         balance.NoStock,
		"none-counted":     balance.NoneCounted,
		"no-dates":         balance.NoDates,
		"already-eaten":    balance.AlreadyEaten,
	}
}

// ReasonWord returns the permanent word of a reason, "" for none.
func ReasonWord(r balance.Reason) string {
	for word, reason := range reasons() {
		if reason == r {
			return word
		}
	}
	return ""
}

func parseReason(s string) (string, error) {
	if _, ok := reasons()[s]; !ok {
		known := make([]string, 0, len(reasons()))
		for word := range reasons() {
			known = append(known, word)
		}
		slices.Sort(known)
		return "", fmt.Errorf("reason %q: want %s", say.Clip(s), strings.Join(known, ", "))
	}
	return s, nil
}

// FirstDay is the first day of every plan of a case, and the day on which the
// notices of a case are judged: 2026-11-30.
const FirstDay = units.Date(20787)

// readCases reads a file of cases.
func (r *reader) readCases(path string) {
	doc := r.open(path)
	m := doc.Root().Map()
	keys(m, "schema", "rule", "title", "cases")
	wantSchema(m, CasesSchema)
	rule, _ := strict.OptValue(m, "rule", parseName)
	if rule == "" {
		m.Text("title")
	}
	for _, n := range m.Get("cases").List() {
		if cs := r.readCase(path, n, rule); cs != nil {
			r.c.Cases = append(r.c.Cases, cs)
		}
	}
	m.Done()
	r.close(doc)
}

func (r *reader) readCase(path string, n strict.Node, rule string) *Case {
	m := n.Map()
	keys(m, "id", "title", "bound", "side", "ref", "why", "failing", "target", "rules-on", "laid-over", "region", "notices", "animals", "stock", "offers", "days", "dates", "menu", "expect")
	cs := &Case{
		ID:      strict.Value(m, "id", ParseID),
		Title:   strict.Value(m, "title", parseTitle),
		Rule:    rule,
		Ref:     readRef(m.Get("ref"), r.reg),
		Why:     strict.Value(m, "why", parseSentence),
		Failing: strict.Value(m, "failing", parseSentence),
		At:      place(path, n),
	}
	cs.Region, _ = strict.OptValue(m, "region", r.region)
	bound, hasBound := strict.OptValue(m, "bound", parseWord("bound", string(Low), string(High)))
	side, hasSide := strict.OptValue(m, "side", parseWord("side", string(At), string(Inside), string(Outside)))
	cs.Bound, cs.Side = Bound(bound), Side(side)
	if hasBound != hasSide {
		n.Fail("bound and side go together")
	}
	cs.Target, _ = strict.OptValue(m, "target", parseName)
	cs.RulesOn, _ = strict.OptValue(m, "rules-on", read.When)
	cs.Laid = m.OptText("laid-over")
	if list, ok := m.Opt("notices"); ok {
		cs.Notices = r.readNotices(list)
	}
	if list, ok := m.Opt("animals"); ok {
		for _, a := range list.List() {
			cs.Animals = append(cs.Animals, readAnimal(path, a))
			for _, never := range cs.Animals[len(cs.Animals)-1].Never {
				if !slices.ContainsFunc(r.c.foods.All(), func(f *prey.Food) bool { return f.ID == never || f.HasSpecies(never) }) {
					a.Fail("never %q: no food of the cases is or holds it", never)
				}
			}
		}
	}
	if list, ok := m.Opt("stock"); ok {
		for _, s := range list.List() {
			cs.Stock = append(cs.Stock, r.readStock(path, s))
		}
	}
	if list, ok := m.Opt("offers"); ok {
		for _, o := range list.List() {
			cs.Offers = append(cs.Offers, r.readOffer(path, o))
		}
	}
	if len(cs.Animals) == 0 && len(cs.Stock)+len(cs.Offers) > 0 {
		n.Fail("stock and offers are of a household: say who lives there")
	}
	days := 7
	if d, ok := m.OptInt("days", 1, maxDays); ok {
		days = d
	}
	var dates []units.Date
	if list, ok := m.Opt("dates"); ok {
		if dates = strict.Each(list, units.ParseDate); len(dates) != days {
			list.Fail("%d dates for a plan of %d days", len(dates), days)
			dates = nil
		}
	}
	cs.Plan = r.readMenu(m.Get("menu"), cs, days)
	for d := range dates {
		cs.Plan.Days[d].Date = dates[d]
	}
	for _, e := range m.Get("expect").List() {
		cs.Expect = append(cs.Expect, r.readExpect(e, rule))
	}
	if len(cs.Expect) == 0 {
		m.Get("expect").Fail("nothing is expected")
	}
	m.Done()
	return cs
}

// readAnimal reads the few things about an animal that rules look at.
func readAnimal(path string, n strict.Node) ration.Animal {
	m := n.Map()
	keys(m, "id", "name", "species", "sex", "weight", "stage", "conditions", "never", "group")
	a := ration.Animal{
		ID:   strict.Value(m, "id", parseName),
		Mass: strict.Value(m, "weight", units.ParseMass),
		At:   place(path, n),
	}
	if a.Name, _ = strict.OptValue(m, "name", plain); a.Name == "" {
		a.Name = a.ID
	}
	a.Species, _ = strict.OptValue(m, "species", ration.ParseSpecies)
	if a.Species == "" {
		a.Species = ration.Ferret
	}
	a.Sex, _ = strict.OptValue(m, "sex", ration.ParseSex)
	if a.Stage, _ = strict.OptValue(m, "stage", ration.ParseStage); a.Stage == ration.StageByAge {
		a.Stage = ration.Adult
	}
	if list, ok := m.Opt("conditions"); ok {
		a.Conditions = strict.Each(list, parseWord("condition", ration.Conditions()...))
	}
	if list, ok := m.Opt("never"); ok {
		a.Never = strict.Each(list, parseName)
	}
	a.Group, _ = strict.OptValue(m, "group", parseName)
	m.Done()
	return a
}

// readStock reads a lot; one that gives no amount, as recalls see it, is a
// kilogram.
func (r *reader) readStock(path string, n strict.Node) ration.Stock {
	m := n.Map()
	keys(m, "food", "mass", "pieces", "best-before", "supplier", "lot")
	s := ration.Stock{Food: strict.Value(m, "food", r.food), At: place(path, n)}
	if s.Mass, s.Pieces = amount(n, m, "mass", s.Food); s.Mass == 0 {
		s.Mass = units.Kilogram
	}
	s.BestBefore, _ = strict.OptValue(m, "best-before", units.ParseDate)
	s.Supplier, s.Lot = m.OptText("supplier"), m.OptText("lot")
	m.Done()
	return s
}

// hazard reads the id of a hazard that package safety knows.
func (r *reader) hazard(s string) (string, error) {
	ids := []string{}
	for _, h := range r.c.care.AllHazards() {
		ids = append(ids, h.ID)
	}
	return parseWord("hazard", ids...)(s)
}

// readOffer reads what can be bought; what it costs is in no case.
func (r *reader) readOffer(path string, n strict.Node) ration.Offer {
	m := n.Map()
	keys(m, "food", "pack", "pieces", "max")
	o := ration.Offer{Food: strict.Value(m, "food", r.food), At: place(path, n)}
	if o.Pack, o.Pieces = amount(n, m, "pack", o.Food); o.Pack == 0 {
		n.Fail("how much is it: give a pack, or pieces of a food whose piece is known")
	}
	most, _ := m.OptInt("max", 1, 1000)
	o.Max = int64(most)
	m.Done()
	return o
}

// amount reads a mass, pieces or both: pieces alone weigh the typical piece each.
func amount(n strict.Node, m strict.Map, key string, food *prey.Food) (mass units.Mass, pieces int64) {
	mass, weighed := strict.OptValue(m, key, parseMass)
	if count, ok := m.OptInt("pieces", 1, 1000); ok {
		pieces = int64(count)
		if !weighed && food != nil {
			if mass = food.Piece.Typical * units.Mass(count); mass <= 0 {
				n.Fail("the weight of a piece of %s is not known: give its %s", food.Name, key)
			}
		}
	}
	return mass, pieces
}

// region reads a region of the manifest.
func (r *reader) region(s string) (string, error) {
	return s, (&safety.Notices{Regions: r.c.manifest.lands}).CheckRegion(s)
}

func (r *reader) readNotices(list strict.Node) *safety.Notices {
	out := &safety.Notices{AsOf: FirstDay, StaleAfter: safety.DefaultStaleAfter, Regions: r.c.manifest.lands}
	for i, n := range list.List() {
		m := n.Map()
		keys(m, "kind", "state", "region", "supplier", "lots", "confirmed")
		e := safety.Notice{ID: fmt.Sprintf("notice-%d", i+1), Confirmed: strict.Value(m, "confirmed", units.ParseDate)}
		switch strict.Value(m, "kind", parseWord("kind", safety.BirdFlu.String(), safety.Recall.String())) {
		case safety.BirdFlu.String():
			e.Kind = safety.BirdFlu
			e.Region = strict.Value(m, "region", r.region)
		case safety.Recall.String():
			e.Kind, e.Supplier = safety.Recall, m.Text("supplier")
			if lots, ok := m.Opt("lots"); ok {
				e.Lots = strict.Each(lots, plain)
			}
		}
		e.Clear = strict.Value(m, "state", parseWord("state", "in-force", "clear")) == "clear"
		m.Done()
		out.Entries = append(out.Entries, e)
	}
	return out
}

// readMenu lays the servings of a menu out over the days. Servings of one day,
// meal and bowl are one meal, in the order written.
func (r *reader) readMenu(list strict.Node, cs *Case, days int) *ration.Plan {
	p := &ration.Plan{Household: "corpus", Start: FirstDay, Target: cs.Target, Days: make([]ration.Day, days)}
	for d := range p.Days {
		p.Days[d].Date = FirstDay.AddDays(d)
	}
	everyone := []string{"everyone"}
	if len(cs.Animals) > 0 {
		everyone = nil
		for _, a := range cs.Animals {
			everyone = append(everyone, a.ID)
		}
	}
	for _, n := range list.List() {
		m := n.Map()
		keys(m, "days", "meal", "for", "food", "mass", "pieces", "form")
		at := span{1, days}
		if s, ok := strict.OptValue(m, "days", parseSpan); ok {
			if at = s; at.to > days {
				n.Fail("day %d of a plan of %d days", at.to, days)
				at.to = days
			}
		}
		slot := 1
		if v, ok := m.OptInt("meal", 1, 12); ok {
			slot = v
		}
		bowl := everyone
		if v, ok := m.Opt("for"); ok {
			bowl = strict.Each(v, parseName)
			for _, id := range bowl {
				if !slices.Contains(everyone, id) {
					v.Fail("no animal of the case is called %q", id)
				}
			}
		}
		s := ration.Serving{Food: strict.Value(m, "food", r.food)}
		s.Mass, s.Pieces = amount(n, m, "mass", s.Food)
		s.Form, _ = strict.OptValue(m, "form", safety.ParseForm)
		m.Done()
		if s.Mass <= 0 {
			n.Fail("how much is it: give a mass, or pieces of a food whose piece is known")
		}
		for d := at.from - 1; d < at.to; d++ {
			day := &p.Days[d]
			i := slices.IndexFunc(day.Meals, func(x ration.Meal) bool { return x.Slot == slot && slices.Equal(x.For, bowl) })
			if i < 0 {
				i = len(day.Meals)
				day.Meals = append(day.Meals, ration.Meal{Slot: slot, For: bowl})
			}
			day.Meals[i].Servings = append(day.Meals[i].Servings, s)
		}
	}
	return p
}

func (r *reader) food(id string) (*prey.Food, error) {
	f, err := r.c.foods.Find(id)
	if err == nil && f.ID != id {
		err = fmt.Errorf("food %q is called %s here", say.Clip(id), f.ID)
	}
	return f, err
}

func (r *reader) readExpect(n strict.Node, rule string) Expect {
	m := n.Map()
	keys(m, "rule", "animal", "day", "hazard", "verdict", "range", "side", "reason", "measured", "limits")
	e := Expect{Rule: rule, Verdict: strict.Value(m, "verdict", balance.ParseVerdict)}
	if id, ok := strict.OptValue(m, "rule", parseName); ok {
		if id == rule {
			n.Fail("rule %s is that of the file and needs no mention", id)
		}
		e.Rule = id
	} else if rule == "" {
		m.Get("rule")
	}
	e.Animal, _ = strict.OptValue(m, "animal", parseName)
	e.Day, _ = m.OptInt("day", 1, maxDays)
	e.Hazard, _ = strict.OptValue(m, "hazard", r.hazard)
	var ranged bool
	if e.Range, ranged = strict.OptValue(m, "range", balance.ParseVerdict); !ranged {
		e.Range = e.Verdict
	} else if e.Range == e.Verdict {
		n.Fail("the verdict over the range is the same and needs no mention")
	}
	if s, ok := strict.OptValue(m, "side", parseWord("side", "below", "above")); ok {
		e.HasSide, e.Side = true, balance.Below
		if s == "above" {
			e.Side = balance.Above
		}
	}
	e.Reason, _ = strict.OptValue(m, "reason", parseReason)
	if (e.Verdict == balance.NotApplicable || e.Verdict == balance.Open) && e.Reason == "" {
		n.Fail("say the reason why it is %s", e.Verdict)
	}
	if f, ok := m.Opt("measured"); ok {
		e.Measured = readFigures(f)
	}
	if f, ok := m.Opt("limits"); ok {
		e.Limits = readFigures(f)
	}
	m.Done()
	return e
}

func readFigures(n strict.Node) *Figures {
	m := n.Map()
	keys(m, "low", "typical", "high", "unit", "tolerance", "because")
	f := &Figures{Unit: m.OptText("unit")}
	for _, k := range []struct {
		key string
		to  **decimal.Decimal
	}{{"low", &f.Low}, {"typical", &f.Typical}, {"high", &f.High}} {
		if d, ok := strict.OptValue(m, k.key, parseDecimal); ok {
			*k.to = &d
		}
	}
	if f.Low == nil && f.Typical == nil && f.High == nil {
		n.Fail("no figure")
	}
	if d, ok := strict.OptValue(m, "tolerance", parseDecimal); ok {
		f.Tolerance = d
		f.Because = strict.Value(m, "because", parseSentence)
		if d.IsZero() {
			m.Get("tolerance").Fail("a tolerance of nothing is what holds without one")
		}
	}
	m.Done()
	return f
}

// parseDecimal reads a plain decimal number as printed.
func parseDecimal(s string) (decimal.Decimal, error) {
	d, err := prey.ParseDensity(s)
	if err != nil {
		return decimal.Decimal{}, err
	}
	return d.Decimal(), nil
}
