package safety

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Form is how a food is served. It belongs to the serving, not to the food.
type Form uint8

const (
	Soup      Form = iota + 1 // puree or minced soup
	Minced                    // ground or minced
	Pieces                    // boneless pieces
	BoneIn                    // bone-in cuts
	WholePrey                 // a whole animal, gut inside
	Dried                     // dried raw food, fed dry
	Soaked                    // dried food after water was added
)

// Forms returns all forms.
func Forms() []Form { return []Form{Soup, Minced, Pieces, BoneIn, WholePrey, Dried, Soaked} }

var formWords = units.Words[Form]{What: "form", Keys: []string{
	Soup: "soup", Minced: "minced", Pieces: "pieces", BoneIn: "bone-in", WholePrey: "whole", Dried: "dried", Soaked: "soaked",
}}

// String returns "soup", "minced", "pieces", "bone-in", "whole", "dried" or "soaked".
func (f Form) String() string { return formWords.Name(f) }

// ParseForm reads what [Form.String] writes; the error wraps [ErrForm].
func ParseForm(s string) (Form, error) {
	for _, f := range Forms() {
		if f.String() == s {
			return f, nil
		}
	}
	return 0, fmt.Errorf("form %q: %w", clip(s), ErrForm)
}

// MarshalText writes the form; a value that is none of the seven is an error.
func (f Form) MarshalText() ([]byte, error) { return formWords.Marshal(f) }

// UnmarshalText is [ParseForm].
func (f *Form) UnmarshalText(text []byte) error { return formWords.Unmarshal(f, text) }

// Reading is a temperature that may not be known. The zero value is not known.
type Reading struct {
	At    units.Temperature
	Known bool
}

// At is a known reading.
func At(t units.Temperature) Reading { return Reading{t, true} }

// TimeWarmKind says where a piece spent time above 5 °C.
type TimeWarmKind uint8

const (
	Earlier   TimeWarmKind = iota // not said which
	Thawing                       // thawing anywhere but in the fridge
	Preparing                     // cutting, mincing, weighing
	Bowl                          // an earlier time in a bowl
	Stash                         // hidden, until the last piece was found
)

// ClockKinds returns all kinds.
func ClockKinds() []TimeWarmKind { return []TimeWarmKind{Earlier, Thawing, Preparing, Bowl, Stash} }

var clockWords = units.Words[TimeWarmKind]{What: "clock", Keys: []string{
	Earlier: "earlier", Thawing: "thawing", Preparing: "preparing", Bowl: "bowl", Stash: "stash",
}}

// String returns "earlier", "thawing", "preparing", "bowl" or "stash".
func (k TimeWarmKind) String() string { return clockWords.Name(k) }

// MarshalText is [TimeWarmKind.String]; a value that is none of these is an error.
func (k TimeWarmKind) MarshalText() ([]byte, error) { return clockWords.Marshal(k) }

// TimeWarm is time that a piece has already spent above 5 °C. Clocks add up: a
// second serving of the same piece does not start again at nothing.
type TimeWarm struct {
	Kind TimeWarmKind
	For  time.Duration
	// At is the temperature during that time. When it is not known the warmest
	// temperature of the room is taken, if there is one.
	At Reading
}

// SetOutQuestion is one set-out: a food of one form, put down in a room.
type SetOutQuestion struct {
	Form Form
	// Room is the temperature where the food will lie: nothing when it is not
	// known, one step of any length for a steady room, or several for a room
	// that changes. The last step goes on as long as it is needed. Conditions
	// of the published rules are judged at the warmest step.
	Room []Spell
	// Clocks is time already spent above 5 °C.
	Clocks []TimeWarm
	// Start is the temperature of the food when it left the cold.
	Start Reading
}

// Bound is a temperature printed by a rule in both scales, such as "21 °C (70
// °F)". Rules round one scale into the other, so the two figures differ by up
// to a quarter of a degree; either figure is the bound, and a reading that is
// within one of them is within.
type Bound struct {
	Text   string
	C, F   units.Temperature
	hasTwo bool
}

// ParseBound reads "21 °C (70 °F)", "70 °F (21 °C)" or a single temperature.
// Two figures must name the two scales and lie within a quarter of a degree
// Celsius. The error wraps [ErrBound] or comes from units.ParseTemperature.
func ParseBound(s string) (Bound, error) {
	b := Bound{Text: strings.TrimSpace(s)}
	first, second, two := strings.Cut(b.Text, "(")
	t, err := units.ParseTemperature(strings.TrimSpace(first))
	if err != nil {
		return Bound{}, fmt.Errorf("bound %q: %w", clip(s), err)
	}
	b.C, b.F, b.hasTwo = t, t, two
	if !two {
		return b, nil
	}
	u, err := units.ParseTemperature(strings.TrimSpace(strings.TrimSuffix(second, ")")))
	if err != nil {
		return Bound{}, fmt.Errorf("bound %q: %w", clip(s), err)
	}
	if !strings.HasSuffix(b.Text, ")") || strings.Contains(first, "F") == strings.Contains(second, "F") {
		return Bound{}, fmt.Errorf("bound %q: %w: write both scales, such as \"21 °C (70 °F)\"", clip(s), ErrBound)
	}
	if b.F = u; strings.Contains(first, "F") {
		b.C, b.F = u, t
	}
	if d := b.C - b.F; 4*d > units.DegreesC(1) || 4*d < -units.DegreesC(1) {
		return Bound{}, fmt.Errorf("bound %q: %w: the two figures are more than a quarter of a degree apart", clip(s), ErrBound)
	}
	return b, nil
}

// AtOrBelow reports whether t is at or below the bound: below or at either
// printed figure.
func (b Bound) AtOrBelow(t units.Temperature) bool { return t <= max(b.C, b.F) }

// above is the opposite of [Bound.AtOrBelow].
func (b Bound) above(t units.Temperature) bool { return !b.AtOrBelow(t) }

// String returns the printed text.
func (b Bound) String() string { return b.Text }

// Status says whether a published rule's conditions hold for a serving.
type Status uint8

const (
	Applies Status = iota + 1
	CannotBeSaid
	DoesNotApply
)

var statusWords = units.Words[Status]{What: "status", Keys: []string{
	Applies: "applies", CannotBeSaid: "cannot be said", DoesNotApply: "does not apply",
}}

// String returns "applies", "cannot be said" or "does not apply".
func (s Status) String() string { return statusWords.Name(s) }

// MarshalText is [Status.String]; a value that is none of these is an error.
func (s Status) MarshalText() ([]byte, error) { return statusWords.Marshal(s) }

// Limit is one published time limit, as judged for a serving.
type Limit struct {
	ID   string // permanent
	Name string
	// Length is the whole time the rule gives, counted over all clocks.
	Length time.Duration
	// LessThan is true for a rule that asks for less than Length, not at most.
	LessThan bool
	// Binds says who must keep the rule. A rule that binds food businesses is
	// shown as a benchmark: no agency has a figure for a ferret's bowl.
	Binds     string
	Condition string // the rule's own condition, in our words
	Status    Status
	Why       string // what decided the status
	// Left is what remains of Length after the clocks, never below zero.
	Left time.Duration
	Ref  cite.Ref
}

// Meets reports whether a total time out keeps the limit. Nothing keeps one
// without a length.
func (l Limit) Meets(total time.Duration) bool {
	return l.Length > 0 && (total < l.Length || total == l.Length && !l.LessThan)
}

// Level is how a time out stands to the limit that leads.
type Level uint8

const (
	// Open: no published limit could be applied, so nothing can be compared.
	Open Level = iota + 1
	// Within: the time keeps the leading limit.
	Within
	// OverLimit: over it, up to twice its length.
	OverLimit
	// FarOver: more than twice its length, or over it with more than one log10
	// of Salmonella predicted by either model.
	FarOver
)

var levelWords = units.Words[Level]{What: "level", Keys: []string{
	Open: "open", Within: "within the limit", OverLimit: "over the limit", FarOver: "far over the limit",
}}

// String returns "open", "within the limit", "over the limit" or "far over the limit".
func (l Level) String() string { return levelWords.Name(l) }

// MarshalText is [Level.String]; a value that is none of these is an error.
func (l Level) MarshalText() ([]byte, error) { return levelWords.Marshal(l) }

// Elapsed is a total time out of the cold, clocks included, and what it means.
type Elapsed struct {
	Total time.Duration
	// Times is Total over the length of the leading limit.
	Times Times
	Level Level
	// Gains are the models' predictions up to then, in the order of [Models];
	// empty when no temperature is known.
	Gains []Prediction
}

// Band is how long keepers leave a form out. Common practice, no source: it
// never becomes a limit and never leads.
type Band struct {
	Low, High Elapsed
	Words     string
	Ref       cite.Ref
}

// SetOutAnswer is the answer to [Book.SetOut].
type SetOutAnswer struct {
	Serving SetOutQuestion
	// Used is the sum of all clocks.
	Used time.Duration
	// Limits holds every published rule: those that apply first, the strictest
	// first; then those that cannot be said; then the others.
	Limits []Limit
	// Leads is true when at least one limit applies; Limits[0] is then the one
	// that leads.
	Leads bool
	// Now is the moment when the food is put down.
	Now Elapsed
	// End is the moment when the leading limit is reached. It stands only when
	// Leads is true.
	End Elapsed
	// Practice holds the bands for this form, shortest first.
	Practice []Band
	// Notes say what was taken for granted and what is not known.
	Notes []string
}

// Left returns how long the food may still lie by the leading limit. The
// second result is false when no limit leads.
func (w SetOutAnswer) Left() (time.Duration, bool) {
	if !w.Leads {
		return 0, false
	}
	return w.Limits[0].Left, true
}

// Line is the answer in one sentence.
func (w SetOutAnswer) Line() string {
	if !w.Leads {
		if len(w.Notes) > 0 {
			return "No published time limit applies: " + lowerFirst(w.Notes[0])
		}
		return "No published time limit applies."
	}
	l := w.Limits[0]
	by := fmt.Sprintf("%s (%s for %s)", lowerFirst(l.Name), PeriodText(l.Length), l.Binds)
	switch {
	case w.Used > l.Length:
		return fmt.Sprintf("Throw it away: %s out of the cold is over the %s.", PeriodText(w.Used), by)
	case l.Left == 0:
		return fmt.Sprintf("Lift it now: %s out of the cold uses up the %s.", PeriodText(w.Used), by)
	}
	within := "Lift within "
	if l.LessThan {
		within = "Lift in less than "
	}
	s := within + PeriodText(l.Left) + ", by the " + by
	if w.Used > 0 {
		s += "; " + PeriodText(w.Used) + " is already used"
	}
	if len(w.Serving.Room) == 0 {
		s += "; room temperature not given"
	}
	return s + "."
}

func lowerFirst(s string) string {
	// Only plain words are lowered: "Two-hour rule", not "FDA Food Code".
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && s[1] >= 'a' && s[1] <= 'z' && !strings.HasPrefix(s, "Food") && !strings.HasPrefix(s, "New") {
		return strings.ToLower(s[:1]) + s[1:]
	}
	return s
}

// limitRule is a row of the file of limits.
type limitRule struct {
	limit       Limit
	forms       []Form // empty: all wet forms
	startMost   *Bound
	roomMost    *Bound
	roomOver    *Bound
	withoutRoom bool // the rule is taken to apply when the room is not known
	once        bool
	after       []TimeWarmKind
	retired     string
}

// judge sets status and reason. A condition that fails beats one that is not known.
func (r limitRule) judge(s SetOutQuestion, used time.Duration, warmest Reading) Limit {
	l := r.limit
	l.Left = max(0, l.Length-used)
	var no, unknown, yes []string
	if r.retired != "" {
		l.Status, l.Why = DoesNotApply, r.retired
		return l
	}
	if len(r.forms) > 0 && !slices.Contains(r.forms, s.Form) {
		no = append(no, "it is about other forms of food")
	}
	if b := r.startMost; b != nil {
		switch {
		case !s.Start.Known:
			unknown = append(unknown, "the temperature of the food at the start is not given (must be "+b.Text+" or less)")
		case b.above(s.Start.At):
			no = append(no, "the food started warmer than "+b.Text)
		default:
			yes = append(yes, "the food started at "+b.Text+" or less")
		}
	}
	// Time already spent counts for the temperature as well as the room to
	// come: one hot hour is enough to bring the shorter rule in.
	hottest := warmest
	for _, c := range s.Clocks {
		if c.For > 0 && c.At.Known && (!hottest.Known || c.At.At > hottest.At) {
			hottest = c.At
		}
	}
	if b := r.roomMost; b != nil {
		switch {
		case hottest.Known && b.above(hottest.At):
			no = append(no, "it gets above "+b.Text+" here")
		case warmest.Known:
			yes = append(yes, "it stays at "+b.Text+" or less here")
		case !r.withoutRoom:
			unknown = append(unknown, "the room temperature is not given (must be "+b.Text+" or less)")
		}
	}
	if b := r.roomOver; b != nil {
		switch {
		case hottest.Known && b.above(hottest.At):
			if r.roomMost == nil {
				yes = append(yes, "it gets above "+b.Text+" here")
			}
		case warmest.Known:
			no = append(no, "it stays at "+b.Text+" or less here")
		case !r.withoutRoom:
			unknown = append(unknown, "the room temperature is not given (the rule is for above "+b.Text+")")
		}
	}
	if r.withoutRoom && !warmest.Known {
		yes = append(yes, "room temperature not given, taken as an ordinary room")
	}
	if r.once && used > 0 {
		no = append(no, "it allows one occasion only, and time is already used")
	}
	if len(r.after) > 0 && !slices.ContainsFunc(s.Clocks, func(c TimeWarm) bool { return c.For > 0 && slices.Contains(r.after, c.Kind) }) {
		no = append(no, "it is only about food thawed outside a fridge")
	}
	if s.Form == Dried {
		no = append(no, "it is about perishable food; no limit was read for dried food that stays dry")
	}
	switch {
	case len(no) > 0:
		l.Status, l.Why = DoesNotApply, strings.Join(no, "; ")
	case len(unknown) > 0:
		l.Status, l.Why = CannotBeSaid, strings.Join(unknown, "; ")
	default:
		l.Status, l.Why = Applies, strings.Join(yes, "; ")
	}
	if l.Why == "" {
		l.Why = "it states no further condition"
	}
	return l
}

// practiceRow is a row of the file of practice bands.
type practiceRow struct {
	forms     []Form // empty: any wet form
	low, high time.Duration
	words     string
	ref       cite.Ref
}

// SetOut says until when a serving may lie out. The error wraps [ErrForm],
// [ErrServing] (a negative or endless period, more than 1000 steps or clocks,
// or clocks that add up to over one hundred years). Everything else is
// answered, with what is not known named in the answer.
func (b *Book) SetOut(s SetOutQuestion) (SetOutAnswer, error) {
	if _, err := s.Form.MarshalText(); err != nil {
		return SetOutAnswer{}, fmt.Errorf("set-out time: %w", ErrForm)
	}
	bad := func(why string) (SetOutAnswer, error) {
		return SetOutAnswer{}, fmt.Errorf("set-out time: %w: %s", ErrServing, why)
	}
	const most = 1000
	if len(s.Room) > most || len(s.Clocks) > most {
		return bad("more than 1000 steps or clocks")
	}
	s.Room, s.Clocks = slices.Clone(s.Room), slices.Clone(s.Clocks)
	var warmest Reading
	var roomTotal time.Duration
	for _, step := range s.Room {
		if step.For < 0 || step.For > maxPeriod {
			return bad("a step of the room is negative or longer than one hundred years")
		}
		if roomTotal += step.For; roomTotal > maxPeriod {
			return bad("the steps of the room add up to over one hundred years")
		}
		if !warmest.Known || step.At > warmest.At {
			warmest = At(step.At)
		}
	}
	w := SetOutAnswer{Serving: s}
	for _, c := range s.Clocks {
		if c.For < 0 || c.For > maxPeriod {
			return bad("a clock is negative or longer than one hundred years")
		}
		if w.Used += c.For; w.Used > maxPeriod {
			return bad("the clocks add up to over one hundred years")
		}
	}
	for _, r := range b.limits {
		w.Limits = append(w.Limits, r.judge(s, w.Used, warmest))
	}
	// Stable: rules of equal strictness keep the order of the file.
	slices.SortStableFunc(w.Limits, func(x, y Limit) int {
		return cmp.Or(cmp.Compare(x.Status, y.Status), cmp.Compare(x.Length, y.Length), less(y.LessThan, x.LessThan))
	})
	w.Leads = len(w.Limits) > 0 && w.Limits[0].Status == Applies
	w.Now = w.After(w.Used)
	if w.Leads {
		w.End = w.After(w.Limits[0].Length)
	}
	for _, p := range b.practice {
		if s.Form == Dried || len(p.forms) > 0 && !slices.Contains(p.forms, s.Form) {
			continue
		}
		w.Practice = append(w.Practice, Band{w.After(p.low), w.After(p.high), p.words, p.ref})
	}
	slices.SortStableFunc(w.Practice, func(x, y Band) int {
		return cmp.Or(cmp.Compare(x.High.Total, y.High.Total), cmp.Compare(x.Low.Total, y.Low.Total))
	})
	w.Notes = w.notes(warmest)
	return w, nil
}

// less orders false before true.
func less(x, y bool) int {
	switch {
	case x == y:
		return 0
	case y:
		return -1
	}
	return 1
}

func (w SetOutAnswer) notes(warmest Reading) []string {
	var notes []string
	add := func(s string) { notes = append(notes, s) }
	switch {
	case w.Serving.Form == Dried:
		add("The limits are for perishable food, and no figure was read for dried raw food that stays dry. Keep it dry and follow its label; once it is wet, ask again as soaked.")
	case w.Serving.Form == Soaked:
		add("No published figure for soaked dry food was read. Our choice: it counts as perishable from the moment water is added, because the two-hour rule is for any perishable food.")
	}
	if warmest.Known && !w.Leads && w.Serving.Form != Dried {
		add("The room is as cold as a fridge, so the days for the fridge count, not hours.")
	}
	if !warmest.Known && w.Serving.Form != Dried {
		add("The room temperature is not given, so only the two-hour rule can lead. Above 32.2 °C (90 °F) it would be one hour. No growth can be estimated.")
	}
	for _, c := range w.Serving.Clocks {
		if c.For > 0 && !c.At.Known && warmest.Known {
			add("The temperature during the time already spent is not given; the warmest temperature of the room was taken.")
			break
		}
	}
	if len(w.Serving.Room) > 1 {
		add("The room changes: the rules are judged at its warmest, growth is added up step by step.")
	}
	if w.Serving.Form != Dried {
		add("The limits were made for human food; no agency figure for a ferret's bowl is known. They protect the people in the home as well.")
		add("The clock starts when food leaves the fridge and stops when the last hidden piece is found, not when the bowl is lifted.")
	}
	return notes
}

// After returns what a total time out of the cold means for this serving:
// the clocks first, in their order, then the room. Totals below zero or over
// one hundred years are cut to that.
func (w SetOutAnswer) After(total time.Duration) Elapsed {
	total = min(max(total, 0), maxPeriod)
	m := Elapsed{Total: total, Level: Open, Gains: w.gains(total)}
	if !w.Leads {
		return m
	}
	l := w.Limits[0]
	m.Times = Times{total, l.Length}
	switch {
	case l.Meets(total):
		m.Level = Within
	case m.Times.Over(2) || tenfold(m.Gains):
		m.Level = FarOver
	default:
		m.Level = OverLimit
	}
	return m
}

// tenfold reports whether a Salmonella model predicts more than one log10.
func tenfold(gains []Prediction) bool {
	return slices.ContainsFunc(gains, func(p Prediction) bool {
		return (p.Model == SalmonellaCentral || p.Model == SalmonellaUpper) && p.Known && p.Gain > 1
	})
}

// gains predicts growth over the clocks and then the room up to a total.
func (w SetOutAnswer) gains(total time.Duration) []Prediction {
	room := w.Serving.Room
	if len(room) == 0 {
		return nil
	}
	hot := slices.MaxFunc(room, func(a, b Spell) int { return cmp.Compare(a.At, b.At) }).At
	var steps []Spell
	for _, c := range w.Serving.Clocks {
		at := hot
		if c.At.Known {
			at = c.At.At
		}
		steps = append(steps, Spell{c.For, at})
	}
	steps = append(steps, room...)
	// The room's last step goes on; everything is cut at the total.
	rest := total
	for i := range steps {
		if steps[i].For > rest || i == len(steps)-1 {
			steps[i].For = rest
		}
		rest -= steps[i].For
	}
	out := make([]Prediction, 0, len(Models()))
	for _, m := range Models() {
		out = append(out, m.Predict(steps))
	}
	return out
}

// Central returns the middle prediction of a moment.
func (m Elapsed) Central() (Growth, bool) {
	for _, p := range m.Gains {
		if p.Model == SalmonellaCentral && p.Known {
			return p.Gain, true
		}
	}
	return Growth(math.NaN()), false
}
