package safety

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Shelf is one dataset's row for one kind of food.
type Shelf struct {
	Kind  string
	Words string // as the dataset names it
	// FridgeLow and FridgeHigh are days at 4.4 °C (40 °F) or below, from
	// purchase; zero when the row has none.
	FridgeLow, FridgeHigh int
	// FreezerLow and FreezerHigh are months at -17.8 °C (0 °F), for quality
	// only: food that stays frozen does not become unsafe by time. Zero when
	// the row has none.
	FreezerLow, FreezerHigh int
	// ThawedLow and ThawedHigh are days in the fridge after thawing in the
	// fridge; zero when no figure was read for this kind.
	ThawedLow, ThawedHigh int
	Dataset               string // name and version
	Ref                   cite.Ref
}

// Keeping is what is known of keeping a kind of food. The zero Keeping keeps
// for no time at all.
type Keeping struct {
	Kind string // as asked, folded; of a food, its kind in the storage table
	// Analogy says which kind was taken instead, and why, or that nothing was
	// read; empty when the kind itself is listed. An analogy is not a published
	// figure.
	Analogy string
	Rows    []Shelf // datasets side by side, never averaged; empty when nothing was read
	Refs    []cite.Ref

	least [numColds]int // the shortest figure of the whole table
}

// Days is how long the kind keeps: days in the fridge, fresh, thawed or opened,
// and months in the freezer. Of several datasets the lower figure of each
// counts. Plan with low. Where no figure was read known is false, and both are
// the shortest figure of the whole storage table.
func (k Keeping) Days(where Cold) (low, high int, known bool) {
	if where < Fridge || where >= numColds {
		return 0, 0, false
	}
	for _, r := range k.Rows {
		l, h := r.days(where)
		if h == 0 {
			continue
		}
		if !known || l < low {
			low = l
		}
		if !known || h < high {
			high = h
		}
		known = true
	}
	if !known {
		return k.least[where], k.least[where], false
	}
	return low, high, true
}

// days is the row's figure, zeros when it has none.
func (s Shelf) days(where Cold) (low, high int) {
	switch where {
	case Fridge:
		return s.FridgeLow, s.FridgeHigh
	case Thawed:
		return s.ThawedLow, s.ThawedHigh
	case Frozen:
		return s.FreezerLow, s.FreezerHigh
	}
	return 0, 0 // of an opened pack no figure was read
}

type analogy struct {
	nearest, words string
	ref            cite.Ref
}

// Kinds returns the kinds of food of the storage table and those answered by
// analogy, without their other names, sorted.
func (b *Book) Kinds() []string {
	var out []string
	for name := range b.shelves {
		out = append(out, name)
	}
	for name := range b.analogies {
		out = append(out, name)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Keep returns what is known of keeping a kind ("ground-beef", "rabbit",
// "mouse"). The error wraps [ErrKind] for a kind that is not listed. For a food
// of a catalogue see [Book.KeepFood].
func (b *Book) Keep(kind string) (Keeping, error) {
	k := Keeping{Kind: speciesName(kind), least: b.least}
	name := k.Kind
	if other, ok := b.shelfNames[name]; ok {
		name = other
	}
	if a, ok := b.analogies[name]; ok {
		k.Analogy, k.Refs = a.words, []cite.Ref{a.ref}
		name = a.nearest
	}
	rows, ok := b.shelves[name]
	if !ok && k.Analogy == "" {
		return Keeping{}, fmt.Errorf("keeping %q: %w", clip(kind), ErrKind)
	}
	k.Rows = slices.Clone(rows)
	for _, r := range rows {
		k.Refs = append(k.Refs, r.Ref)
	}
	return k, nil
}

// Cold is where a food lies.
type Cold uint8

const (
	Fridge Cold = iota + 1 // bought fresh and not opened, at 4.4 °C (40 °F) or below
	Thawed                 // thawed in the fridge and kept there
	Frozen                 // at -17.8 °C (0 °F) or below
	Opened                 // fresh, its pack opened or its shell cracked, in the fridge

	numColds
)

var coldWords = units.Words[Cold]{What: "place", Keys: []string{Fridge: "fridge", Thawed: "thawed", Frozen: "frozen", Opened: "opened"}}

// String returns "fridge", "thawed", "frozen" or "opened".
func (c Cold) String() string { return coldWords.Name(c) }

// MarshalText is [Cold.String]; a value that is none of these is an error.
func (c Cold) MarshalText() ([]byte, error) { return coldWords.Marshal(c) }

// UseBy is the days on which a batch is to be used.
type UseBy struct {
	// Best is the day by which it should be used: the shortest figure. Last is
	// the last day that all datasets allow. Both count whole days from the day
	// it was bought, thawed, frozen or opened.
	Best, Last units.Date
	// Quality is true for frozen food: the days are about quality, not safety.
	Quality bool
	// Words says which figures decided, and any analogy.
	Words string
	Refs  []cite.Ref
	// Known is false when no figure was read: the days are then the shortest of
	// the whole storage table, and Words says so.
	Known bool
}

// UseBy counts the days for a batch of a kind. The error wraps [ErrKind] for a
// kind or a place that is not known.
func (b *Book) UseBy(kind string, where Cold, from units.Date) (UseBy, error) {
	k, err := b.Keep(kind)
	if err != nil {
		return UseBy{}, err
	}
	return k.UseBy(where, from)
}

// UseBy counts the days for a batch. Frozen months end on the same day of a
// later month, or on its last day. The error wraps [ErrKind] for a place that is
// not known.
func (k Keeping) UseBy(where Cold, from units.Date) (UseBy, error) {
	if where < Fridge || where >= numColds {
		return UseBy{}, fmt.Errorf("use-by of %q: place %d: %w", clip(k.Kind), uint8(where), ErrKind)
	}
	low, high, known := k.Days(where)
	u := UseBy{Quality: where == Frozen, Known: known}
	unit, later := "d", units.Date.AddDays
	if u.Quality {
		unit, later = "months", addMonths
	}
	u.Best, u.Last = later(from, low), later(from, high)
	var words []string
	if k.Analogy != "" {
		words = append(words, k.Analogy)
	}
	for _, r := range k.Rows {
		if l, h := r.days(where); h > 0 {
			words = append(words, fmt.Sprintf("%s: %s (%s)", r.Words, span(l, h, unit), r.Dataset))
			u.Refs = append(u.Refs, r.Ref)
		}
	}
	if k.Analogy != "" && len(k.Refs) > 0 {
		u.Refs = append(u.Refs, k.Refs[0])
	}
	if !known {
		words = append(words, fmt.Sprintf("no figure for this was read: taken for the shortest of the table, %s", span(low, high, unit)))
		u.Refs = append(u.Refs, cite.Ref{Evidence: cite.Choice, At: "what is not known keeps as long as the shortest that is"})
	}
	if u.Quality {
		words = append(words, "quality only; food kept frozen at 0 °F (-18 °C) does not become unsafe by time")
	}
	u.Words = strings.Join(words, "; ")
	return u, nil
}

func span(low, high int, unit string) string {
	if low == high {
		return fmt.Sprintf("%d %s", high, unit)
	}
	return fmt.Sprintf("%d to %d %s", low, high, unit)
}

// addMonths keeps the day of the month, or takes the month's last day.
func addMonths(d units.Date, n int) units.Date {
	t := time.Unix(int64(d)*86400, 0).UTC()
	first := time.Date(t.Year(), t.Month()+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	day := min(t.Day(), first.AddDate(0, 1, -1).Day())
	return units.Date(first.AddDate(0, 0, day-1).Unix() / 86400)
}

// ThawMethod is a way to thaw.
type ThawMethod uint8

const (
	InFridge ThawMethod = iota + 1
	ColdWater
	OnCounter // never; asked for so that the answer can say so
)

var thawWords = units.Words[ThawMethod]{What: "thawing", Keys: []string{InFridge: "fridge", ColdWater: "cold-water", OnCounter: "counter"}}

// String returns "fridge", "cold-water" or "counter".
func (m ThawMethod) String() string { return thawWords.Name(m) }

// MarshalText is [ThawMethod.String]; a value that is none of these is an error.
func (m ThawMethod) MarshalText() ([]byte, error) { return thawWords.Marshal(m) }

// Thaw is how long thawing takes and what follows.
type Thaw struct {
	Method    ThawMethod
	Allowed   bool
	Low, High time.Duration
	// AtOnce is true when the food must be used at once, false when it may
	// stay in the fridge for the thawed days of its kind.
	AtOnce bool
	// Refreeze is true when it may be frozen again raw.
	Refreeze bool
	Words    string
	Ref      cite.Ref
}

type thawRule struct {
	method           ThawMethod
	upTo             units.Mass // zero: any mass
	low, high        time.Duration
	perLow, perHigh  units.Mass // zero: the time does not grow with the mass
	atOnce, refreeze bool
	words            string
	ref              cite.Ref
}

// maxThaw bounds the mass of one piece.
const maxThaw = 100 * units.Kilogram

// Thaw returns how long a piece takes. A mass between two printed ones takes
// the time of the heavier. The error wraps [ErrKind] for an unknown method and
// [ErrServing] for a mass that is not positive or over 100 kg.
func (b *Book) Thaw(m ThawMethod, piece units.Mass) (Thaw, error) {
	if m < InFridge || m > OnCounter {
		return Thaw{}, fmt.Errorf("thawing by method %d: %w", uint8(m), ErrKind)
	}
	if piece <= 0 || piece > maxThaw {
		return Thaw{}, fmt.Errorf("thawing %s: %w: a piece weighs more than nothing and at most 100 kg", piece, ErrServing)
	}
	if m == OnCounter {
		return Thaw{Method: m, AtOnce: true, Words: "Never thaw on the counter: the outside is warm long before the middle has thawed.",
			Ref: cite.Ref{Evidence: cite.Published, Sources: []string{"fsis-2h"}, At: "extension sheet"}}, nil
	}
	if b == nil {
		return Thaw{}, fmt.Errorf("thawing %s in %s: %w: no tables", piece, m, ErrKind)
	}
	for _, r := range b.thaws {
		if r.method != m || r.upTo > 0 && piece > r.upTo {
			continue
		}
		return Thaw{Method: m, Allowed: true, Low: scaled(r.low, piece, r.perLow), High: scaled(r.high, piece, r.perHigh),
			AtOnce: r.atOnce, Refreeze: r.refreeze, Words: r.words, Ref: r.ref}, nil
	}
	return Thaw{}, fmt.Errorf("thawing %s in %s: %w", piece, m, ErrKind)
}

// scaled multiplies a time by piece/per, and never goes below the time itself.
func scaled(d time.Duration, piece, per units.Mass) time.Duration {
	if per <= 0 || piece <= per || d <= 0 {
		return d
	}
	q, ok := mulDivUp(int64(d), int64(piece), int64(per))
	if !ok {
		return maxPeriod
	}
	return min(time.Duration(q), maxPeriod)
}

// mulDivUp is a times b over c, rounded up, for positive numbers; false when
// it does not fit.
func mulDivUp(a, b, c int64) (int64, bool) {
	if a <= 0 || b <= 0 || c <= 0 {
		return 0, false
	}
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi >= uint64(c) {
		return 0, false
	}
	q, rest := bits.Div64(hi, lo, uint64(c))
	if rest > 0 {
		q++
	}
	return int64(q), q <= 1<<63-1
}

// Thing is what to do with food after a mishap.
type Thing uint8

const (
	KeepIt   Thing = iota + 1 // back into the cold
	UseNow                    // feed or cook now
	ThrowOut                  // throw away
	Unclear                   // cannot be said; Words says what would settle it
)

var thingWords = units.Words[Thing]{What: "answer", Keys: []string{
	KeepIt: "keep", UseNow: "use now", ThrowOut: "throw away", Unclear: "cannot be said",
}}

// String returns "keep", "use now", "throw away" or "cannot be said".
func (d Thing) String() string { return thingWords.Name(d) }

// MarshalText is [Thing.String]; a value that is none of these is an error.
func (d Thing) MarshalText() ([]byte, error) { return thingWords.Marshal(d) }

// Decision is an answer to [PowerCut] or [Refreeze].
type Decision struct {
	Do    Thing
	Words string
	Refs  []cite.Ref
}

func fridgeBound() Bound {
	return Bound{Text: "4.4 °C (40 °F)", C: units.DegreesC(44) / 10, F: units.DegreesF(40), hasTwo: true}
}

func published(key, at string) cite.Ref {
	return cite.Ref{Evidence: cite.Published, Sources: []string{key}, At: at}
}

// PowerCut says what to do with food after a power cut, by the temperature of
// the food itself, how long it has been above 4.4 °C (40 °F) and how hot its
// surroundings were. A negative time means that it is not known. How long a
// closed freezer or fridge keeps cold was not read anywhere, so without a
// temperature nothing is said.
func PowerCut(food Reading, above time.Duration, surroundings Reading) Decision {
	cold := fridgeBound()
	limit, rule := 2*time.Hour, "two-hour rule"
	if hot := (Bound{C: units.DegreesC(322) / 10, F: units.DegreesF(90)}); surroundings.Known && hot.above(surroundings.At) {
		limit, rule = time.Hour, "one-hour rule (above 32.2 °C, 90 °F)"
	}
	rules := []cite.Ref{published("fsis-2h", "whole page")}
	switch {
	case above > limit:
		return Decision{ThrowOut, fmt.Sprintf("%s above %s is over the %s.", PeriodText(above), cold, rule), rules}
	case !food.Known:
		return Decision{Unclear, "Measure the food. No figure was read for how long a closed freezer or fridge stays cold, so hours without power alone decide nothing.", rules}
	case cold.AtOrBelow(food.At) && above <= 0:
		return Decision{KeepIt, "At " + cold.Text + " or below it counts as thawed in the fridge: keep it for the days of its kind, or freeze it again with some loss of quality.",
			append(rules, published("unl-thaw", "whole page"))}
	case above < 0:
		return Decision{Unclear, "The food is above " + cold.Text + " and nobody knows how long: the " + rule + " cannot be shown to be kept. If in doubt throw it away.", rules}
	default:
		return Decision{UseNow, fmt.Sprintf("%s of the %s is left; the time counts on in the bowl. Do not freeze it again.", PeriodText(limit-above), rule), rules}
	}
}

// Refreeze says whether raw food may be frozen again, by how it was thawed and
// how long it has been out of the cold since (negative: not known).
func Refreeze(thawed ThawMethod, out time.Duration) Decision {
	fridge := published("unl-thaw", "whole page")
	rule := published("fsis-2h", "whole page")
	switch {
	case out > 2*time.Hour:
		return Decision{ThrowOut, PeriodText(out) + " out of the cold is over the two-hour rule.", []cite.Ref{rule}}
	case thawed == ColdWater:
		return Decision{UseNow, "Thawed in cold water it is used at once and not frozen again raw.", []cite.Ref{fridge}}
	case thawed == InFridge && out == 0:
		return Decision{KeepIt, "Thawed in the fridge and never out of it, it may be frozen again raw, with some loss of quality.", []cite.Ref{fridge}}
	case thawed == InFridge && out > 0:
		return Decision{UseNow, PeriodText(2*time.Hour-out) + " of the two-hour rule is left. Keepers do not freeze again what stood in the room.",
			[]cite.Ref{rule, {Evidence: cite.Practice, At: "never refrozen once it stood at room temperature"}}}
	case thawed == OnCounter:
		return Decision{UseNow, "Never thaw on the counter. The time above 5 °C (41 °F) counts in full; do not freeze it again.", []cite.Ref{rule}}
	}
	return Decision{Unclear, "How it was thawed or how long it was out is not known; do not freeze it again.", []cite.Ref{rule}}
}

const storageHeader = "kind,same,words,fridge_low,fridge_high,fridge_unit,freezer_low,freezer_high,thawed_low,thawed_high,dataset,evidence"

func (b *Book) readStorage(path, text string) error {
	b.shelves = make(map[string][]Shelf)
	b.shelfNames = make(map[string]string)
	seen := unique{}
	err := readTable(path, text, b.reg, storageHeader, func(r row) {
		s := Shelf{Kind: cell(r, "kind", ident), Words: r.Text("words"), Dataset: r.Text("dataset"), Ref: r.ref("evidence")}
		if s.Ref.Evidence != cite.Published && s.Ref.Evidence != 0 {
			r.Fail("evidence", "storage figures are published ones; what is not belongs to analogies.csv")
		}
		pair := func(low, high string) (int, int) {
			l, _ := strict.OptCell(r.Table, low, wholeNumber)
			h, _ := strict.OptCell(r.Table, high, wholeNumber)
			if l > h || (l == 0) != (h == 0) {
				r.Fail(high, "%s and %s do not make a range", low, high)
			}
			return l, h
		}
		s.FridgeLow, s.FridgeHigh = pair("fridge_low", "fridge_high")
		switch unit := r.OptText("fridge_unit"); {
		case unit == "week":
			s.FridgeLow, s.FridgeHigh = 7*s.FridgeLow, 7*s.FridgeHigh
		case unit != "d" && s.FridgeHigh > 0 || unit != "d" && unit != "":
			r.Fail("fridge_unit", "want d or week")
		}
		s.FreezerLow, s.FreezerHigh = pair("freezer_low", "freezer_high")
		s.ThawedLow, s.ThawedHigh = pair("thawed_low", "thawed_high")
		for _, name := range r.words("same") {
			seen.add(r, "same", name)
			b.shelfNames[name] = s.Kind
		}
		b.shelves[s.Kind] = append(b.shelves[s.Kind], s)
		for c := range numColds {
			if low, high := s.days(c); high > 0 && (b.least[c] == 0 || low < b.least[c]) {
				b.least[c] = low
			}
		}
	})
	b.least[Opened] = b.least[Fridge] // once opened it is no longer as bought
	return err
}

func (b *Book) readAnalogies(path, text string) error {
	b.analogies = make(map[string]analogy)
	seen := unique{}
	return readTable(path, text, b.reg, "kind,same,nearest,words,evidence", func(r row) {
		kind := cell(r, "kind", ident)
		a := analogy{r.OptText("nearest"), r.Text("words"), r.ref("evidence")}
		if _, ok := b.shelves[a.nearest]; !ok && a.nearest != "" && len(b.shelves) > 0 {
			r.Fail("nearest", "%s is no kind of storage.csv", clip(a.nearest))
		}
		for _, name := range append([]string{kind}, r.words("same")...) {
			seen.add(r, "kind", name)
			if _, ok := b.shelves[name]; ok {
				r.Fail("kind", "%s has its own row in storage.csv", name)
			}
			if name != kind {
				b.shelfNames[name] = kind
			}
		}
		b.analogies[kind] = a
	})
}

func (b *Book) readThawing(path, text string) error {
	return readTable(path, text, b.reg, "method,up_to,low,per_low,high,per_high,after,refreeze,words,evidence", func(r row) {
		t := thawRule{method: cell(r, "method", thawWords.Parse), low: cell(r, "low", ParsePeriod), high: cell(r, "high", positivePeriod),
			words: r.Text("words"), ref: r.ref("evidence")}
		t.upTo, _ = strict.OptCell(r.Table, "up_to", units.ParseMass)
		t.perLow, _ = strict.OptCell(r.Table, "per_low", units.ParseMass)
		t.perHigh, _ = strict.OptCell(r.Table, "per_high", units.ParseMass)
		word := func(name, yes, no string) bool {
			s := r.Text(name)
			if s != yes && s != no && s != "" {
				r.Fail(name, "want %s or %s", yes, no)
			}
			return s == yes
		}
		t.atOnce = word("after", "at-once", "keep")
		t.refreeze = word("refreeze", "yes", "no")
		if t.low > t.high {
			r.Fail("high", "high is below low")
		}
		b.thaws = append(b.thaws, t)
	})
}
