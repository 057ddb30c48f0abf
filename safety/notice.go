package safety

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/strict"
)

// NoticeKind is what a notice is about.
type NoticeKind uint8

const (
	BirdFlu NoticeKind = iota + 1
	Recall
)

var noticeWords = units.Words[NoticeKind]{What: "notice", Keys: []string{BirdFlu: "bird-flu", Recall: "recall"}}

// String returns "bird-flu" or "recall".
func (k NoticeKind) String() string { return noticeWords.Name(k) }

// MarshalText is [NoticeKind.String]; a value that is none of these is an error.
func (k NoticeKind) MarshalText() ([]byte, error) { return noticeWords.Marshal(k) }

type noticeState uint8

const (
	inForce noticeState = iota + 1
	unknownState
	clearState
	noNotice // nothing about this food: no rule asks for it
)

// noNotice is in no file.
var stateWords = units.Words[noticeState]{What: "state", Keys: []string{inForce: "in-force", unknownState: "unknown", clearState: "clear"}}

func (s noticeState) String() string { return stateWords.Name(s) }

// Notice is one entry of a user's notices file.
type Notice struct {
	ID   string
	Kind NoticeKind
	// Region is where it holds; "everywhere" fits every region. Bird flu only.
	Region string
	// Supplier and Lots name what is recalled; no lots means all of them.
	Supplier string
	Lots     []string
	// Clear is true when the entry says that nothing is in force.
	Clear bool
	// Confirmed is the day somebody last looked.
	Confirmed units.Date
	// ReadIn says where, for people.
	ReadIn string
	Words  string
}

// DefaultStaleAfter is how many days a confirmation counts when the file does
// not say. Our choice: bird-flu zones and recalls change within weeks, and a
// month is the longest that a monthly look leaves open.
const DefaultStaleAfter = 30

// Notices is a user's file of bird-flu notices and recalls.
type Notices struct {
	AsOf       units.Date
	StaleAfter int // days
	// Regions are those that were looked up, whether or not there is a notice for
	// them. A region that is neither here nor in an entry is not known.
	Regions []string
	Entries []Notice
}

// LoadNotices reads a notices file:
//
//	as-of: 2026-11-20
//	stale-after: 30        # days, may be left out
//	regions: [North Brackenford, South Brackenford] # may be left out; then those of the notices
//	notices:
//	  - id: north-2026
//	    kind: bird-flu
//	    region: North Brackenford
//	    state: in-force     # or clear
//	    confirmed: 2026-11-18
//	    read-in: county animal-health page
//	    words: Housing order for all poultry.
//	  - id: minced-duck
//	    kind: recall
//	    supplier: Example Meats
//	    lots: [L2411, L2412]
//	    state: in-force
//	    confirmed: 2026-11-19
//	    read-in: letter of the supplier
//	    words: Salmonella found.
//
// The error is strict.Faults with every fault of the file. A day confirmed
// after the as-of day is a fault, and so is a notice for a region that stands not
// among the regions, where these are given ("everywhere" fits them all).
func LoadNotices(path string, r io.Reader) (*Notices, error) {
	doc := strict.ReadAll(path, r)
	root := doc.Root().Map()
	n := &Notices{AsOf: strict.Value(root, "as-of", units.ParseDate), StaleAfter: DefaultStaleAfter}
	if days, ok := root.OptInt("stale-after", 1, 3650); ok {
		n.StaleAfter = days
	}
	n.Regions = list(root, "regions", plainWords)
	seen := map[string]bool{}
	for _, node := range root.Get("notices").List() {
		m := node.Map()
		e := Notice{
			ID:        strict.Value(m, "id", ident),
			Kind:      strict.Value(m, "kind", noticeWords.Parse),
			Confirmed: strict.Value(m, "confirmed", units.ParseDate),
			ReadIn:    strict.Value(m, "read-in", strict.Name),
			Words:     strings.Join(strings.Fields(m.Text("words")), " "),
		}
		if e.ID != "" && seen[e.ID] {
			m.Get("id").Fail("%s is already the id of another notice", e.ID)
		}
		seen[e.ID] = true
		switch strict.Value(m, "state", stateWords.Parse) {
		case clearState:
			e.Clear = true
		case unknownState:
			m.Get("state").Fail("a notice is in-force or clear; leave it out when it is not known")
		}
		if e.Confirmed > n.AsOf {
			m.Get("confirmed").Fail("confirmed on %s, after the as-of day %s of the file", e.Confirmed, n.AsOf)
		}
		switch e.Kind {
		case BirdFlu:
			e.Region = m.Text("region")
			if len(n.Regions) > 0 && !same(e.Region, everywhere) {
				if err := oneOfRegions(e.Region, n.Regions); err != nil && e.Region != "" {
					m.Get("region").Fail("%w", err)
				}
			}
		case Recall:
			e.Supplier = strict.Value(m, "supplier", strict.Name)
			e.Lots = list(m, "lots", plainWords)
		}
		m.Done()
		n.Entries = append(n.Entries, e)
	}
	root.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return n, nil
}

// everywhere is the region of a notice that fits every region.
const everywhere = "everywhere"

// CheckRegion reports a region that the notices do not know: none of them names
// it, and it is not among their Regions. A misspelt one would otherwise read as
// one without a notice. The error wraps [ErrRegion] and names the nearest. No
// region and no notices are no fault: bird flu then counts as not looked up.
func (n *Notices) CheckRegion(region string) error {
	if n == nil || strings.TrimSpace(region) == "" {
		return nil
	}
	known := slices.Clone(n.Regions)
	for _, e := range n.Entries {
		if e.Kind == BirdFlu && !same(e.Region, everywhere) {
			known = append(known, e.Region)
		}
	}
	return oneOfRegions(region, known)
}

func oneOfRegions(region string, known []string) error {
	if slices.ContainsFunc(known, func(k string) bool { return same(k, region) }) {
		return nil
	}
	if near, ok := strict.Nearest(region, known); ok {
		return fmt.Errorf("region %q: %w; did you mean %q?", clip(region), ErrRegion, near)
	}
	slices.Sort(known)
	return fmt.Errorf("region %q: %w (there are: %s); add it to the regions of your notices file, or leave it out", clip(region), ErrRegion,
		strings.Join(slices.Compact(known), ", "))
}

// noticeUse is what the notices say about one item.
type noticeUse struct {
	state noticeState
	open  bool
	words string
}

// stale reports whether a notice was last confirmed too long before the day
// judged, which is never earlier than the as-of day, and how many days before.
func (n *Notices) stale(e Notice, on units.Date) (days int, stale bool) {
	days = max(n.AsOf, on).DaysSince(e.Confirmed)
	return days, days > n.StaleAfter
}

func (n *Notices) words(e Notice, on units.Date) string {
	days, stale := n.stale(e, on)
	what := "in force"
	if e.Clear {
		what = "clear"
	}
	s := fmt.Sprintf("%s: %s; last confirmed %s (%s), %d days before %s", e.ID, what, e.Confirmed, e.ReadIn, days, max(n.AsOf, on))
	if stale {
		s += fmt.Sprintf("; older than %d days, look again", n.StaleAfter)
	}
	return s
}

func same(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

// stateOf answers for one item. With no notices at all bird flu is unknown and
// no recall is known.
func (n *Notices) stateOf(kind NoticeKind, it Item, ctx Context) noticeUse {
	if kind == Recall {
		return n.recall(it, ctx)
	}
	if n == nil {
		return noticeUse{unknownState, true, "no notices file"}
	}
	if strings.TrimSpace(ctx.Region) == "" {
		return noticeUse{unknownState, true, "no region given"}
	}
	var best noticeUse
	for _, e := range n.Entries {
		if e.Kind != BirdFlu || !same(e.Region, ctx.Region) && !same(e.Region, everywhere) {
			continue
		}
		_, stale := n.stale(e, ctx.On)
		use := noticeUse{inForce, stale, n.words(e, ctx.On)}
		if e.Clear {
			if use.state = clearState; stale {
				use.state = unknownState
			}
		}
		if best.state == 0 || graver(use, best) {
			best = use
		}
	}
	if best.state == 0 {
		return noticeUse{unknownState, true, fmt.Sprintf("no notice for %s in the file of %s", clip(ctx.Region), n.AsOf)}
	}
	return best
}

// graver orders two answers: in force before not known before clear, and among
// equals the one confirmed lately before the one that is open.
func graver(a, b noticeUse) bool {
	if a.state != b.state {
		return a.state < b.state
	}
	return !a.open && b.open
}

func (n *Notices) recall(it Item, ctx Context) noticeUse {
	best := noticeUse{state: noNotice}
	if n == nil || strings.TrimSpace(it.Supplier) == "" {
		return best
	}
	for _, e := range n.Entries {
		if e.Kind != Recall || e.Clear || !same(e.Supplier, it.Supplier) && !oneSlip(e.Supplier, it.Supplier) {
			continue
		}
		_, stale := n.stale(e, ctx.On)
		use := noticeUse{inForce, stale, n.words(e, ctx.On)}
		if !same(e.Supplier, it.Supplier) {
			use.words += fmt.Sprintf("; it names %q, the lot %q: taken for the same", clip(e.Supplier), clip(it.Supplier))
		}
		switch {
		case len(e.Lots) == 0 || slices.ContainsFunc(e.Lots, func(l string) bool { return same(l, it.Lot) }):
		case strings.TrimSpace(it.Lot) == "":
			use.state, use.open = unknownState, true
		default:
			continue
		}
		if graver(use, best) {
			best = use
		}
	}
	return best
}

// oneSlip reports whether two names differ by one letter put in, taken out or
// changed, or by two neighbours swapped, letter case aside. Suppliers are no closed
// list, so a slip of the pen in one cannot be refused; it must not hide a recall.
func oneSlip(a, b string) bool {
	x, y := []rune(strings.ToLower(strings.TrimSpace(a))), []rune(strings.ToLower(strings.TrimSpace(b)))
	for len(x) > 0 && len(y) > 0 && x[0] == y[0] {
		x, y = x[1:], y[1:]
	}
	for len(x) > 0 && len(y) > 0 && x[len(x)-1] == y[len(y)-1] {
		x, y = x[:len(x)-1], y[:len(y)-1]
	}
	return max(len(x), len(y)) == 1 || len(x) == 2 && len(y) == 2 && x[0] == y[1] && x[1] == y[0]
}

// ShippedNotices reads the embedded notices file: what was read when it was
// made, with the days it was last confirmed. It is meant to be replaced.
func ShippedNotices() (*Notices, error) {
	text, err := readFile(Files(), "notices.yaml")
	if err != nil {
		return nil, fmt.Errorf("reading the notices: %w", err)
	}
	return LoadNotices("notices.yaml", strings.NewReader(text))
}
