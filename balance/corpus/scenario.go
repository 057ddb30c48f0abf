package corpus

import (
	"bytes"
	"fmt"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// Wanted says what kind of answer a scenario must get.
type Wanted string

// The kinds of answer.
const (
	WantPlan    Wanted = "plan"    // a plan can be made, and refusing is wrong
	WantRefused Wanted = "refused" // no plan can be right, and refusing with the reason is
	WantEither  Wanted = "either"  // a plan or a refusal, as long as it is a good one
)

// Because says why a request is refused. The list is closed.
type Because string

// The reasons for refusing.
const (
	Lacking  Because = "lacking"   // what there is and can be bought does not make the days
	Unsafe   Because = "unsafe"    // what there is must not be fed
	NoFigure Because = "no-figure" // no figure is known for the need of the animals
	Clash    Because = "clash"     // what is asked for contradicts itself
)

func becauses() []string {
	return []string{string(Lacking), string(Unsafe), string(NoFigure), string(Clash)}
}

// lackWords are what a refusal may name as lacking: the slots, and what no slot
// stands for.
func lackWords() []string {
	return []string{"muscle", "heart", "bone", "liver", "organ", "kinds", "red-meat", "food"}
}

// Scenario is a request to a plan generator, and what any answer must satisfy
// beyond what is asked of all (see [Judge]).
type Scenario struct {
	ID      string
	Title   string
	Ref     cite.Ref
	Why     string // why this and no other answer is right
	Failing string // what it means for the animal when a generator gets this wrong
	File    string // of the household
	Days    int
	Target  string // "" for the household's
	Region  string
	Notices *safety.Notices
	Laid    string

	Want    Wanted
	Because []Because // any of these is right, when refused
	Lacks   []string  // a refusal must name these as lacking
	Must    []Must
	Most    *units.Price // the plan must cost no more
	At      ration.Place

	household *ration.Household
}

// Must is a verdict that the audit of any plan must give.
type Must struct {
	Rule    string
	Verdict balance.Verdict
}

// Household is who is planned for, shared: read it, never change it.
func (s *Scenario) Household() *ration.Household { return s.household }

func (r *reader) readHousehold(path string) {
	if r.sheets == nil {
		r.sheets = map[string]*ration.Household{}
	}
	h, _, err := ration.LoadHousehold(path, bytes.NewReader(r.bytes(path)), r.c.catalog)
	if err != nil {
		r.faults = append(r.faults, err)
		h = &ration.Household{}
	}
	r.sheets[path] = h
}

func (r *reader) readScenarios(path string) {
	doc := r.open(path)
	m := doc.Root().Map()
	keys(m, "schema", "title", "scenarios")
	wantSchema(m, ScenariosSchema)
	m.Text("title")
	for _, n := range m.Get("scenarios").List() {
		r.c.Scenarios = append(r.c.Scenarios, r.readScenario(path, n))
	}
	m.Done()
	r.close(doc)
}

func (r *reader) readScenario(path string, n strict.Node) *Scenario {
	m := n.Map()
	keys(m, "id", "title", "ref", "why", "failing", "household", "target", "days", "laid-over", "region", "notices", "want", "because", "lacks", "must", "cost-at-most")
	s := &Scenario{
		ID:      strict.Value(m, "id", ParseID),
		Title:   strict.Value(m, "title", parseTitle),
		Ref:     readRef(m.Get("ref"), r.reg),
		Why:     strict.Value(m, "why", parseSentence),
		Failing: strict.Value(m, "failing", parseSentence),
		File:    m.Text("household"),
		Days:    7,
		Laid:    m.OptText("laid-over"),
		Want:    Wanted(strict.Value(m, "want", parseWord("answer", string(WantPlan), string(WantRefused), string(WantEither)))),
		At:      place(path, n),
	}
	s.Region, _ = strict.OptValue(m, "region", r.region)
	s.Target, _ = strict.OptValue(m, "target", parseName)
	if d, ok := m.OptInt("days", 1, 14); ok {
		s.Days = d
	}
	if list, ok := m.Opt("notices"); ok {
		s.Notices = r.readNotices(list)
	}
	if list, ok := m.Opt("because"); ok {
		for _, b := range strict.Each(list, parseWord("reason", becauses()...)) {
			s.Because = append(s.Because, Because(b))
		}
	}
	if list, ok := m.Opt("lacks"); ok {
		s.Lacks = strict.Each(list, parseWord("lack", lackWords()...))
	}
	if list, ok := m.Opt("must"); ok {
		for _, e := range list.List() {
			em := e.Map()
			keys(em, "rule", "verdict")
			s.Must = append(s.Must, Must{strict.Value(em, "rule", parseName), strict.Value(em, "verdict", balance.ParseVerdict)})
			em.Done()
		}
	}
	if p, ok := strict.OptValue(m, "cost-at-most", units.ParsePrice); ok {
		s.Most = &p
	}
	m.Done()
	var known bool
	if s.household, known = r.sheets[s.File]; !known && s.File != "" {
		m.Get("household").Fail("the manifest lists no household %q", say.Clip(s.File))
	}
	if (s.Want == WantPlan) != (len(s.Because) == 0) {
		n.Fail("because says why a request is refused: it goes with every answer but plan")
	}
	if s.Want == WantRefused && (len(s.Must) > 0 || s.Most != nil) {
		n.Fail("a request that must be refused asks nothing of a plan")
	}
	return s
}

// Request returns what a generator is asked in a scenario.
func (c *Corpus) Request(s *Scenario) (Request, error) {
	book, err := c.bookFor(c.book, s.Laid, "")
	if err != nil {
		return Request{}, fmt.Errorf("scenario %s (%s): %w", s.ID, s.At, err)
	}
	q := Request{Household: s.household, Days: s.Days, Book: book, Foods: c.catalog, Care: c.care, Region: s.Region, Notices: s.Notices}
	id := s.Target
	if id == "" && s.household != nil {
		id = s.household.Target
	}
	if q.Target, err = book.Target(id); err != nil {
		return Request{}, fmt.Errorf("scenario %s (%s): %w", s.ID, s.At, err)
	}
	return q, nil
}

// households are the files of households that some scenario uses, sorted.
func (c *Corpus) households() []string {
	var out []string
	for _, s := range c.Scenarios {
		out = append(out, s.File)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
