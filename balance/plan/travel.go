package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"reflect"
	"slices"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// ResultSchema names the form of a result in JSON. It changes when a reader of the
// old form would misread the new.
const ResultSchema = "fitchet.result/1"

// ErrResult is wrapped by errors about a result that cannot be written or read
// back.
var ErrResult = errors.New("result is not whole")

type jsonResult struct {
	Schema       string            `json:"schema"`
	Outcome      string            `json:"outcome"`
	Target       string            `json:"target"`
	Household    *ration.Household `json:"household"`
	Needs        bool              `json:"needs,omitempty"` // those of the household
	Bowls        []jsonBowl        `json:"bowls,omitempty"`
	Foods        []*prey.Food      `json:"foods,omitempty"` // that are named below and are not the shipped ones
	Plan         *ration.Plan      `json:"plan,omitempty"`
	Report       json.RawMessage   `json:"report,omitempty"`
	Buy          []jsonPurchase    `json:"buy,omitempty"`
	Cost         *units.Price      `json:"cost,omitempty"`
	Bound        *units.Price      `json:"bound,omitempty"`
	Middle       bool              `json:"middle,omitempty"`
	Asked        []string          `json:"asked,omitempty"`
	Tried        []jsonAttempt     `json:"tried,omitempty"`
	Search       jsonSearch        `json:"search"`
	Spent        bool              `json:"spent,omitempty"`
	Repeatable   bool              `json:"repeatable,omitempty"`
	Passed       []jsonPassed      `json:"passed_over,omitempty"`
	Lacking      []jsonLack        `json:"lacking,omitempty"`
	Clash        []string          `json:"clash,omitempty"`
	Relaxations  []jsonRelaxation  `json:"relaxations,omitempty"`
	Alternatives []jsonAlternative `json:"alternatives,omitempty"`
	Unplanned    []string          `json:"unplanned,omitempty"`
	Notes        []string          `json:"notes,omitempty"`
}

type jsonBowl struct {
	Animals []string `json:"animals"`
	Meals   int      `json:"meals"`
}

type jsonPurchase struct {
	Offer int   `json:"offer"`
	Packs int64 `json:"packs"`
}

type jsonAttempt struct {
	Middle  bool         `json:"middle,omitempty"`
	Asked   []string     `json:"asked,omitempty"`
	Amounts bool         `json:"amounts,omitempty"`
	Proven  bool         `json:"proven,omitempty"`
	Bound   *units.Price `json:"bound,omitempty"`
	Failed  int          `json:"failed,omitempty"`
}

type jsonSearch struct {
	Solves  int   `json:"solves"`
	Nodes   int   `json:"nodes"`
	Pivots  int   `json:"pivots"`
	Layouts int   `json:"layouts"`
	Steps   int64 `json:"steps"`
}

type jsonPassed struct {
	Food string `json:"food"`
	Why  string `json:"why"`
}

type jsonLack struct {
	What    string     `json:"what"`
	Example string     `json:"example,omitempty"`
	Mass    units.Mass `json:"mass"`
	Pieces  int64      `json:"pieces,omitempty"`
}

type jsonRelaxation struct {
	Text string       `json:"text"`
	Rule string       `json:"rule,omitempty"`
	Food string       `json:"food,omitempty"`
	Mass units.Mass   `json:"mass"`
	Cost *units.Price `json:"cost,omitempty"`
}

type jsonAlternative struct {
	Outcome string          `json:"outcome"`
	Plan    *ration.Plan    `json:"plan"`
	Report  json.RawMessage `json:"report"`
	Buy     []jsonPurchase  `json:"buy,omitempty"`
	Cost    *units.Price    `json:"cost,omitempty"`
}

// foods are those that the result names beside its plans and its household.
func (r *Result) foods() iter.Seq[*prey.Food] {
	return func(yield func(*prey.Food) bool) {
		var all []*prey.Food
		for _, p := range r.Passed {
			all = append(all, p.Food)
		}
		for _, l := range r.Lacking {
			all = append(all, l.Food)
		}
		for _, x := range r.Relaxations {
			all = append(all, x.Food)
		}
		for _, f := range all {
			if !yield(f) {
				return
			}
		}
	}
}

// MarshalJSON writes the result whole, in the form ResultSchema, so that
// [Result.UnmarshalJSON] gives one that says and answers the same. The error wraps
// ErrResult for a result that no planning made: without an outcome, a target or a
// household, or with needs or bowls that are not of it.
func (r Result) MarshalJSON() ([]byte, error) {
	bad := func(format string, args ...any) ([]byte, error) {
		return nil, fmt.Errorf("writing a result: %w: %w", ErrResult, fmt.Errorf(format, args...))
	}
	if r.Target == nil || r.Household == nil || r.Outcome.String() == Outcome(0).String() {
		return bad("it has no outcome, target or household")
	}
	if (r.Plan == nil) != (r.Report == nil) {
		return bad("a plan without its report, or a report without its plan")
	}
	own, name, err := prey.Own(r.foods())
	if err != nil {
		return bad("%w", err)
	}
	out := jsonResult{
		Schema: ResultSchema, Outcome: r.Outcome.String(), Target: r.Target.ID, Household: r.Household, Foods: own,
		Plan: r.Plan, Buy: purchases(r.Buy), Cost: priced(r.Cost), Bound: priced(r.Bound), Middle: r.Middle,
		Asked: r.Asked, Search: jsonSearch(r.Search), Spent: r.Spent, Repeatable: r.Repeatable, Clash: r.Clash,
		Unplanned: r.Unplanned, Notes: r.Notes,
	}
	if out.Needs = r.Needs != nil; out.Needs && !reflect.DeepEqual(r.Needs, r.Household.Needs()) {
		return bad("its needs are not those of its household")
	}
	for _, b := range r.Bowls {
		for _, a := range b.Animals {
			if had, ok := r.Household.Animal(a.ID); !ok || !reflect.DeepEqual(had, a) {
				return bad("%q is not of its household", a.ID)
			}
		}
		out.Bowls = append(out.Bowls, jsonBowl{b.IDs(), b.Meals})
	}
	if r.Report != nil {
		if out.Report, err = json.Marshal(r.Report); err != nil {
			return bad("%w", err)
		}
	}
	for _, a := range r.Tried {
		out.Tried = append(out.Tried, jsonAttempt{a.Middle, a.Asked, a.Amounts, a.Proven, priced(a.Bound), a.Failed})
	}
	for _, p := range r.Passed {
		out.Passed = append(out.Passed, jsonPassed{name(p.Food), p.Why})
	}
	for _, l := range r.Lacking {
		out.Lacking = append(out.Lacking, jsonLack{l.What, name(l.Food), l.Mass, l.Pieces})
	}
	for _, x := range r.Relaxations {
		j := jsonRelaxation{Text: x.Text, Food: name(x.Food), Mass: x.Mass, Cost: priced(x.Cost)}
		if x.Rule != nil {
			j.Rule = x.Rule.ID
		}
		out.Relaxations = append(out.Relaxations, j)
	}
	for _, a := range r.Alternatives {
		report, err := json.Marshal(a.Report)
		if err != nil {
			return bad("%w", err)
		}
		out.Alternatives = append(out.Alternatives, jsonAlternative{a.Outcome.String(), a.Plan, report, purchases(a.Buy), priced(a.Cost)})
	}
	text, err := json.Marshal(out)
	if err != nil {
		return bad("%w", err)
	}
	return text, nil
}

func purchases(list []Purchase) (out []jsonPurchase) {
	for _, b := range list {
		out = append(out, jsonPurchase(b))
	}
	return out
}

// priced is a price that is written, nil for none.
func priced(p units.Price) *units.Price {
	if p == (units.Price{}) {
		return nil
	}
	return &p
}

// UnmarshalJSON is [ReadResult] with nothing beside the text. Null changes nothing.
func (r *Result) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		return nil
	}
	got, err := ReadResult(text, balance.Input{})
	if err != nil {
		return err
	}
	*r = *got
	return nil
}

// ReadResult reads what MarshalJSON of a [Result] wrote. The reports are read as
// balance.ReadReport does, and are held to the plans beside them; rules, targets and
// safety tables of one's own have to be given in the fields of with. The error wraps
// [ErrResult], or is that of reading what is in it.
func ReadResult(text []byte, with balance.Input) (*Result, error) {
	fail := func(err error) (*Result, error) { return nil, fmt.Errorf("reading a result: %w: %w", ErrResult, err) }
	var in jsonResult
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&in); err != nil {
		return fail(err)
	}
	if in.Schema != ResultSchema {
		return fail(fmt.Errorf("schema %.40q: this reader knows %q", in.Schema, ResultSchema))
	}
	if in.Household == nil || (in.Plan == nil) != (in.Report == nil) {
		return fail(errors.New("no household, or a plan without its report"))
	}
	rd := resultReader{with: with, named: map[string]*prey.Food{}}
	if err := rd.begin(in.Foods); err != nil {
		return fail(err)
	}
	out := &Result{
		Outcome: rd.outcome(in.Outcome), Target: rd.target(in.Target), Household: in.Household, Plan: in.Plan,
		Report: rd.report(in.Plan, in.Report), Buy: rd.bought(in.Buy, in.Household), Cost: price(in.Cost), Bound: price(in.Bound), Middle: in.Middle,
		Asked: in.Asked, Search: Search(in.Search), Spent: in.Spent, Repeatable: in.Repeatable, Clash: in.Clash,
		Unplanned: in.Unplanned, Notes: in.Notes,
	}
	if in.Needs {
		out.Needs = in.Household.Needs()
	}
	for _, b := range in.Bowls {
		bowl := Bowl{Meals: b.Meals}
		for _, id := range b.Animals {
			a, ok := in.Household.Animal(id)
			if !ok {
				rd.fault("no animal is called %.70q", id)
				continue
			}
			bowl.Animals = append(bowl.Animals, a)
		}
		out.Bowls = append(out.Bowls, bowl)
	}
	for _, a := range in.Tried {
		out.Tried = append(out.Tried, Attempt{a.Middle, a.Asked, a.Amounts, a.Proven, price(a.Bound), a.Failed})
	}
	for _, p := range in.Passed {
		out.Passed = append(out.Passed, PassedOver{rd.food(p.Food), p.Why})
	}
	for _, l := range in.Lacking {
		out.Lacking = append(out.Lacking, ration.Shortage{What: l.What, Food: rd.food(l.Example), Mass: l.Mass, Pieces: l.Pieces})
	}
	for _, x := range in.Relaxations {
		out.Relaxations = append(out.Relaxations, Relaxation{Text: x.Text, Rule: rd.rule(x.Rule), Food: rd.food(x.Food), Mass: x.Mass, Cost: price(x.Cost)})
	}
	for _, a := range in.Alternatives {
		if a.Plan == nil || a.Report == nil {
			rd.fault("an alternative without plan or report")
			continue
		}
		out.Alternatives = append(out.Alternatives, Alternative{rd.outcome(a.Outcome), a.Plan, rd.report(a.Plan, a.Report), rd.bought(a.Buy, in.Household), price(a.Cost)})
	}
	if err := errors.Join(rd.faults...); err != nil {
		return fail(err)
	}
	return out, nil
}

// resultReader looks up what a result names.
type resultReader struct {
	with   balance.Input
	book   *balance.Book
	foods  *prey.Catalogue
	named  map[string]*prey.Food // foods that come with the result
	faults []error
}

func (rd *resultReader) fault(format string, args ...any) {
	rd.faults = append(rd.faults, fmt.Errorf(format, args...))
}

func (rd *resultReader) begin(own []*prey.Food) (err error) {
	if rd.book = rd.with.Book; rd.book == nil {
		if rd.book, err = balance.Shipped(); err != nil {
			return err
		}
	}
	if rd.foods, err = prey.Shipped(); err != nil {
		return err
	}
	alike := map[string]int{}
	for _, f := range own {
		if f == nil {
			return errors.New("a food of nothing")
		}
		rd.named[prey.Called(f.ID, alike[f.ID])] = f
		alike[f.ID]++
	}
	return nil
}

func (rd *resultReader) food(name string) *prey.Food {
	if f := rd.named[name]; f != nil || name == "" {
		return f
	}
	f, err := rd.foods.Find(name)
	if err != nil {
		rd.fault("%w", err)
	}
	return f
}

func (rd *resultReader) rule(id string) *balance.Rule {
	if id == "" {
		return nil
	}
	r, ok := rd.book.Rule(id)
	if !ok {
		rd.fault("rule %.70q: %w", id, balance.ErrUnknownRule)
	}
	return r
}

func (rd *resultReader) target(id string) *shares.Target {
	if rd.with.Target != nil {
		return rd.with.Target
	}
	t, err := rd.book.Target(id)
	if err != nil || id == "" {
		rd.fault("target %.70q: %w", id, balance.ErrUnknownTarget)
	}
	return t
}

func (rd *resultReader) outcome(word string) Outcome {
	for _, o := range []Outcome{Optimal, BestFound, Infeasible, Undecided} {
		if o.String() == word {
			return o
		}
	}
	rd.fault("outcome %.40q: want optimal, best found, infeasible or undecided", word)
	return 0
}

// report reads the report of a plan.
func (rd *resultReader) report(p *ration.Plan, text json.RawMessage) *balance.Report {
	if p == nil {
		return nil
	}
	with := rd.with
	with.Plan = p
	r, err := balance.ReadReport(text, with)
	if err != nil {
		rd.fault("%w", err)
	}
	return r
}

func (rd *resultReader) bought(list []jsonPurchase, h *ration.Household) (out []Purchase) {
	for _, b := range list {
		if b.Offer < 0 || b.Offer >= len(h.Offers) || b.Packs < 1 {
			rd.fault("%d packs of offer %d, of %d offers", b.Packs, b.Offer, len(h.Offers))
			continue
		}
		out = append(out, Purchase(b))
	}
	return slices.Clip(out)
}

func price(p *units.Price) units.Price {
	if p == nil {
		return units.Price{}
	}
	return *p
}
