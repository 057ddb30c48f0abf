package corpus

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// Protocol names the form of the messages between a runner and a generator. It
// changes when a program of the old form would misread the new.
const Protocol = "fitchet.protocol/1"

// Messages are one line of JSON each. The runner says hello and the generator
// answers with its own; then each ask gets one answer; then the runner says bye
// and closes. Quantities are text with their unit.

// Hello is the first message of either side.
type Hello struct {
	Type     string `json:"type"` // "hello"
	Protocol string `json:"protocol"`
	// Of the runner.
	Corpus  string `json:"corpus,omitempty"`
	Library string `json:"library,omitempty"`
	// Of the generator.
	Name     string `json:"name,omitempty"`
	Version  string `json:"version,omitempty"`
	Language string `json:"language,omitempty"`
	Homepage string `json:"homepage,omitempty"`
	Issues   string `json:"issues,omitempty"`
}

type wireAsk struct {
	Type    string          `json:"type"`
	ID      int64           `json:"id"`
	Request json.RawMessage `json:"request"`
}

type wireRequest struct {
	Days      int             `json:"days"`
	Start     units.Date      `json:"start"`
	Household json.RawMessage `json:"household"`
	Target    wireTarget      `json:"target"`
	Needs     []wireNeed      `json:"needs"`
	Foods     []wireFood      `json:"foods"`
	Recalled  []wireLot       `json:"recalled,omitempty"`
	Rules     []wireRule      `json:"rules"`
}

// wireLot is a lot of the stock that a recall names, or may name.
type wireLot struct {
	Food     string `json:"food"`
	Supplier string `json:"supplier"`
	Lot      string `json:"lot,omitempty"`
	Sentence string `json:"sentence"`
}

type wireTarget struct {
	ID        string           `json:"id"`
	Title     string           `json:"title"`
	Style     shares.Style     `json:"style"`
	Heart     string           `json:"heart"`
	BoneMeans shares.BoneMeans `json:"bone-means"`
	Shares    []wireShare      `json:"shares"`
	Complete  string           `json:"complete-at-least,omitempty"`
}

type wireShare struct {
	Slot shares.Slot `json:"slot"`
	Low  units.Share `json:"low"`
	Aim  units.Share `json:"aim"`
	High units.Share `json:"high"`
}

type wireNeed struct {
	Animal  string    `json:"animal"`
	Stage   string    `json:"stage"`
	Resting string    `json:"resting,omitempty"`
	Band    *wireBand `json:"band,omitempty"`
	Meals   int       `json:"meals"`
}

type wireBand struct {
	Low    string `json:"low"`
	Middle string `json:"middle"`
	High   string `json:"high"`
}

type wireFood struct {
	ID        string                           `json:"id"`
	Name      string                           `json:"name"`
	Species   string                           `json:"species,omitempty"`
	Contains  []string                         `json:"contains,omitempty"`
	Kind      prey.Kind                        `json:"kind"`
	Cut       string                           `json:"cut,omitempty"`
	Colour    prey.Colour                      `json:"colour"`
	BoneIn    bool                             `json:"bone-in,omitempty"`
	Complete  bool                             `json:"complete,omitempty"`
	Piece     *wirePiece                       `json:"piece,omitempty"`
	Parts     map[string][prey.NumCases]string `json:"parts,omitempty"`
	Energy    *[prey.NumCases]string           `json:"energy,omitempty"`
	Limits    *[prey.NumCases]string           `json:"energy-for-limits,omitempty"`
	Nutrients map[string][prey.NumCases]string `json:"nutrients,omitempty"`
	Hazards   []wireHazard                     `json:"hazards,omitempty"`
}

type wirePiece struct {
	Name    string     `json:"name"`
	Low     units.Mass `json:"low"`
	Typical units.Mass `json:"typical"`
	High    units.Mass `json:"high"`
}

type wireHazard struct {
	ID       string          `json:"id"`
	Severity safety.Severity `json:"gravity"`
	Open     bool            `json:"open,omitempty"`
	Sentence string          `json:"sentence"`
}

type wireRule struct {
	ID       string           `json:"id"`
	Title    string           `json:"title"`
	Check    balance.Check    `json:"check"`
	Severity balance.Severity `json:"gravity"`
	Period   shares.Period    `json:"period"`
	Species  []string         `json:"species,omitempty"`
	Stage    string           `json:"stage,omitempty"`
	Low      string           `json:"low,omitempty"`
	High     string           `json:"high,omitempty"`
	Slot     string           `json:"slot,omitempty"`
	Of       string           `json:"of,omitempty"`
	Kind     string           `json:"kind,omitempty"`
	Tag      string           `json:"tag,omitempty"`
	Colour   string           `json:"colour,omitempty"`
	Nutrient string           `json:"nutrient,omitempty"`
	Against  string           `json:"against,omitempty"`
	Sex      string           `json:"sex,omitempty"`
	Shared   string           `json:"shared,omitempty"`
	Daily    bool             `json:"daily,omitempty"`
	Meals    bool             `json:"meals,omitempty"`
	Frail    bool             `json:"frail,omitempty"`
	WhenFed  bool             `json:"when-fed,omitempty"`
}

// MarshalJSON writes the request as a generator is sent it: the household, the
// target, the needs of its animals, every food it has or can buy with nothing
// left to work out, and the rules in force.
func (q Request) MarshalJSON() ([]byte, error) {
	if q.Household == nil || q.Target == nil || q.Book == nil {
		return nil, fmt.Errorf("writing a request: %w", ErrRequest)
	}
	care := q.Care
	if care == nil {
		var err error
		if care, err = safety.Shipped(); err != nil {
			return nil, fmt.Errorf("writing a request: %w", err)
		}
	}
	days := q.Days
	if days == 0 {
		days = 7
	}
	out := wireRequest{Days: days, Start: q.Household.Start, Household: householdJSON(q.Household), Target: targetOf(q.Target),
		Needs: []wireNeed{}, Foods: []wireFood{}, Rules: []wireRule{}}
	for _, n := range q.Household.Needs() {
		w := wireNeed{Animal: n.Animal.ID, Stage: n.Stage.String(), Meals: n.MealsPerDay}
		if n.Floor > 0 {
			w.Resting = n.Floor.String()
		}
		if n.HasBand {
			w.Band = &wireBand{n.Band.Low.String(), n.Band.Typical.String(), n.Band.High.String()}
		}
		out.Needs = append(out.Needs, w)
	}
	for _, f := range q.foods() {
		out.Foods = append(out.Foods, foodOf(f, care, q))
	}
	for i := range q.Household.Stock {
		out.Recalled = append(out.Recalled, recalls(&q.Household.Stock[i], care, q)...)
	}
	for _, r := range q.Book.Rules() {
		if r.Until == "" {
			out.Rules = append(out.Rules, ruleOf(r))
		}
	}
	return marshal(out)
}

// marshal is json.Marshal without escapes that only a web page needs.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// foods are what the household has or can buy, by id.
func (q Request) foods() []*prey.Food {
	var out []*prey.Food
	add := func(f *prey.Food) {
		if f != nil && !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	for i := range q.Household.Stock {
		add(q.Household.Stock[i].Food)
	}
	for i := range q.Household.Offers {
		add(q.Household.Offers[i].Food)
	}
	slices.SortFunc(out, func(a, b *prey.Food) int { return strings.Compare(a.ID, b.ID) })
	return out
}

func targetOf(t *shares.Target) wireTarget {
	out := wireTarget{ID: t.ID, Title: t.Title, Style: t.Style, Heart: "own-slot", BoneMeans: t.BoneMeans, Shares: []wireShare{}}
	if t.HeartInMuscle {
		out.Heart = "in-muscle"
	}
	for _, s := range t.Shares {
		out.Shares = append(out.Shares, wireShare{s.Slot, s.Low, s.Aim, s.High})
	}
	if t.CompleteLeast > 0 {
		out.Complete = t.CompleteLeast.String()
	}
	return out
}

func foodOf(f *prey.Food, care *safety.Book, q Request) wireFood {
	out := wireFood{ID: f.ID, Name: f.Name, Species: f.Species, Contains: f.Contains, Kind: f.Kind, Cut: f.Cut, Colour: f.Colour, BoneIn: f.BoneIn, Complete: f.Complete}
	if f.Piece.Typical > 0 {
		out.Piece = &wirePiece{f.PieceName, f.Piece.Low, f.Piece.Typical, f.Piece.High}
	}
	if f.PartsKnown {
		out.Parts = map[string][prey.NumCases]string{}
		for _, p := range prey.Parts() {
			if !f.HasPart(p) {
				continue
			}
			var three [prey.NumCases]string
			for c := range three {
				three[c] = f.Shares[c][p].String()
			}
			out.Parts[p.Key()] = three
		}
	}
	three := func(fig prey.Figure, unit string) (out [prey.NumCases]string) {
		for c := range out {
			out[c] = fig.At[c].String() + " " + unit
		}
		return out
	}
	if fig, _, ok := f.DefaultEnergy(); ok {
		v := three(fig, "kcal")
		out.Energy = &v
	}
	if fig, ok := f.Energy(prey.ModifiedAtwater); ok {
		v := three(fig, "kcal")
		out.Limits = &v
	}
	for _, n := range prey.Nutrients() {
		if fig, ok := f.Nutrient(n); ok {
			if out.Nutrients == nil {
				out.Nutrients = map[string][prey.NumCases]string{}
			}
			out.Nutrients[n.Key()] = three(fig, n.Unit())
		}
	}
	for _, h := range care.Hazards(safety.ItemOf(f), q.context()) {
		out.Hazards = append(out.Hazards, wireHazard{h.ID, h.Severity, h.Standing == safety.StandOpen, h.Sentence})
	}
	return out
}

// recalls returns the lot when a notice forbids it.
func recalls(lot *ration.Stock, care *safety.Book, q Request) []wireLot {
	if q.Notices == nil || lot.Food == nil || lot.Supplier == "" {
		return nil
	}
	it := safety.ItemOf(lot.Food)
	plain := care.Hazards(it, q.context())
	it.Supplier, it.Lot = lot.Supplier, lot.Lot
	for _, h := range care.Hazards(it, q.context()) {
		if h.Severity == safety.Stop && !slices.ContainsFunc(plain, func(p safety.Hazard) bool { return p.ID == h.ID }) {
			return []wireLot{{lot.Food.ID, lot.Supplier, lot.Lot, h.Sentence}}
		}
	}
	return nil
}

func ruleOf(r *balance.Rule) wireRule {
	out := wireRule{ID: r.ID, Title: r.Title, Check: r.Check, Severity: r.Severity, Period: r.Period, Species: r.Species, Tag: r.Tag, Daily: r.Daily, Meals: r.Meals, Frail: r.Frail, WhenFed: r.WhenFed}
	if r.LifeStage != balance.AnyStage {
		out.Stage = r.LifeStage.String()
	}
	if r.Low != nil {
		out.Low = r.Low.Text
	}
	if r.High != nil {
		out.High = r.High.Text
	}
	if r.Check.Takes("slot") {
		out.Slot = r.Slot.String()
	}
	if r.Check.Takes("of") {
		out.Of = r.Subject.String()
	}
	if r.Check.Takes("nutrient") {
		out.Nutrient = r.Nutrient.Key()
	}
	if r.Check.Takes("against") {
		out.Against = r.Against.Key()
	}
	if r.Kind != 0 {
		out.Kind = r.Kind.String()
	}
	if r.Colour != 0 {
		out.Colour = r.Colour.String()
	}
	if r.Sex != ration.SexUnknown {
		out.Sex = r.Sex.String()
	}
	if r.Check.Takes("shared") {
		out.Shared = r.Split.String()
	}
	return out
}

// RulesJSON writes the rules and targets in force as a request holds them, for a
// copy of the corpus that is used without this library. The files they are kept
// in are those of package balance.
func (c *Corpus) RulesJSON() ([]byte, error) {
	type rule struct {
		wireRule
		Means    string `json:"means"`
		Since    string `json:"since"`
		Replaces string `json:"replaces,omitempty"`
		Ref      string `json:"ref,omitempty"`
		Low      string `json:"low-ref,omitempty"`
		High     string `json:"high-ref,omitempty"`
	}
	var out struct {
		Rules   []rule       `json:"rules"`
		Targets []wireTarget `json:"targets"`
	}
	for _, r := range c.book.Rules() {
		if r.Until != "" {
			continue
		}
		w := rule{wireRule: ruleOf(r), Means: r.Means, Since: r.Since, Replaces: r.Replaces}
		if r.Ref.Evidence.Valid() {
			w.Ref = r.Ref.String()
		}
		if r.Low != nil {
			w.Low = r.Low.Ref.String()
		}
		if r.High != nil {
			w.High = r.High.Ref.String()
		}
		out.Rules = append(out.Rules, w)
	}
	for _, t := range c.book.Targets() {
		if t.Until == "" {
			out.Targets = append(out.Targets, targetOf(t))
		}
	}
	return json.MarshalIndent(out, "", " ")
}

// WriteHello writes the runner's first message, without its line feed.
func (c *Corpus) WriteHello(library string) ([]byte, error) {
	return marshal(Hello{Type: "hello", Protocol: Protocol, Corpus: c.Version, Library: library})
}

// WriteAsk writes one ask, without its line feed.
func WriteAsk(id int64, q Request) ([]byte, error) {
	body, err := q.MarshalJSON()
	if err != nil {
		return nil, err
	}
	return marshal(wireAsk{"ask", id, body})
}

// WriteBye writes the runner's last message, without its line feed.
func WriteBye() []byte { return []byte(`{"type":"bye"}`) }

// Errors of the readers of messages: what is wrong with a line, so that garbage
// is told from a bad answer.
var (
	// ErrNotUTF8 is a line with bytes that are not UTF-8.
	ErrNotUTF8 = errors.New("not UTF-8")
	// ErrNotJSON is a line that is not one JSON object.
	ErrNotJSON = errors.New("not a JSON object")
	// ErrNotNumber is a line with NaN or Infinity, which JSON does not have.
	ErrNotNumber = errors.New("NaN or Infinity")
	// ErrNumberRange is a number that no program could hold.
	ErrNumberRange = errors.New("number out of range")
	// ErrNotMessage is an object that is not the message expected.
	ErrNotMessage = errors.New("not the message expected")
	// ErrProtocol is a hello of another protocol.
	ErrProtocol = errors.New("another protocol")
	// ErrTwoAnswers is a line that is more than one of plan, refused, fault.
	ErrTwoAnswers = errors.New("more than one of plan, refused and fault")
)

// MaxServings is the most servings that a plan in an answer may hold. It is ours:
// a large rescue feeds some hundreds a week.
const MaxServings = 20_000

// ErrTooMany is a plan with more servings than MaxServings.
var ErrTooMany = fmt.Errorf("more than %d servings", MaxServings)

// ReadHello reads a generator's first message.
func ReadHello(line []byte) (Hello, error) {
	var h Hello
	if err := object(line); err != nil {
		return h, err
	}
	if err := json.Unmarshal(line, &h); err != nil || h.Type != "hello" || h.Name == "" || h.Version == "" {
		return h, fmt.Errorf("want {\"type\":\"hello\", \"protocol\":…, \"name\":…, \"version\":…}, found %s: %w", say.Clip(string(line)), ErrNotMessage)
	}
	if h.Protocol != Protocol {
		return h, fmt.Errorf("protocol %q, this runner speaks %q: %w", say.Clip(h.Protocol), Protocol, ErrProtocol)
	}
	return h, nil
}

// Reply is a generator's message in answer to an ask.
type Reply struct {
	ID      int64
	Plan    json.RawMessage // as sent; nil without
	Refused *Refusal
	Fault   string
}

// ReadReply reads the outer form of an answer; the plan is left as sent, to be
// read by [Request.ReadPlan]. Errors wrap one of the errors above.
func ReadReply(line []byte) (Reply, error) {
	if err := object(line); err != nil {
		return Reply{}, err
	}
	dec := json.NewDecoder(bytes.NewReader(line))
	dec.UseNumber()
	var m struct {
		Type    string          `json:"type"`
		ID      *int64          `json:"id"`
		Plan    json.RawMessage `json:"plan"`
		Refused *struct {
			Because Because  `json:"because"`
			Reason  string   `json:"reason"`
			Lacks   []string `json:"lacks"`
		} `json:"refused"`
		Fault *string `json:"fault"`
	}
	if err := dec.Decode(&m); err != nil {
		return Reply{}, fmt.Errorf("%w: %w", ErrNotMessage, err)
	}
	if m.Type != "answer" || m.ID == nil {
		return Reply{}, fmt.Errorf("want {\"type\":\"answer\", \"id\":…}, found %s: %w", say.Clip(string(line)), ErrNotMessage)
	}
	r := Reply{ID: *m.ID}
	n := 0
	if len(m.Plan) > 0 && string(m.Plan) != "null" {
		r.Plan = m.Plan
		n++
	}
	if m.Refused != nil {
		r.Refused = &Refusal{m.Refused.Because, m.Refused.Reason, m.Refused.Lacks}
		n++
	}
	if m.Fault != nil {
		r.Fault = *m.Fault
		if r.Fault == "" {
			r.Fault = "no reason given"
		}
		n++
	}
	switch {
	case n == 0:
		return r, fmt.Errorf("none of plan, refused and fault: %w", ErrNotMessage)
	case n > 1:
		return r, ErrTwoAnswers
	}
	return r, nil
}

// ReadPlan reads the plan of an answer: its foods are those of the request, its
// animals those of the household. The error holds every fault, each with its
// column; a plan with too many servings wraps ErrTooMany.
func (q Request) ReadPlan(data []byte) (*ration.Plan, error) {
	if n := bytes.Count(data, []byte(`"food"`)); n > MaxServings {
		return nil, fmt.Errorf("%d servings: %w", n, ErrTooMany)
	}
	return ration.LoadPlan("plan", bytes.NewReader(data), q.Foods, q.Household)
}

// object says whether a line is one JSON object, and if not, why.
func object(line []byte) error {
	if !validUTF8(line) {
		return ErrNotUTF8
	}
	dec := json.NewDecoder(bytes.NewReader(line))
	dec.UseNumber()
	depth, first := 0, true
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) && !first && depth == 0 {
			return nil
		}
		if err != nil {
			return why(line, err)
		}
		if !first && depth == 0 {
			if tok == json.Delim('{') {
				return fmt.Errorf("two objects on one line: %w", ErrTwoAnswers)
			}
			return fmt.Errorf("more behind the object: %w", ErrNotJSON)
		}
		switch t := tok.(type) {
		case json.Delim:
			switch t {
			case '{', '[':
				depth++
				if first && t != '{' {
					return fmt.Errorf("a list: %w", ErrNotJSON)
				}
				if depth > strict.MaxDepth {
					return fmt.Errorf("more than %d levels: %w", strict.MaxDepth, ErrNotJSON)
				}
			default:
				depth--
			}
		case json.Number:
			if _, err := t.Float64(); err != nil {
				return fmt.Errorf("%s: %w", say.Clip(t.String()), ErrNumberRange)
			}
		}
		if first && depth == 0 {
			return fmt.Errorf("a bare value: %w", ErrNotJSON)
		}
		first = false
	}
}

// why tells NaN and Infinity, which some languages write, from other garbage.
func why(line []byte, err error) error {
	for _, word := range []string{"NaN", "Infinity", "nan", "inf"} {
		for _, before := range []string{":", ": ", ":-", ": -", "[", ",", ", "} {
			if bytes.Contains(line, []byte(before+word)) {
				return fmt.Errorf("%s: %w", word, ErrNotNumber)
			}
		}
	}
	return fmt.Errorf("%w: %w", ErrNotJSON, err)
}
