package shares

import (
	"fmt"
	"io"
	"slices"

	"fitchet.example/balance/internal/read"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Slot is one of the five parts that a week is divided into. What the bone
// slot holds depends on the target: see [BoneMeans].
type Slot uint8

const (
	MuscleSlot Slot = iota
	HeartSlot
	BoneSlot
	LiverSlot
	OrganSlot

	// NumSlots is how many slots there are.
	NumSlots = iota
)

// Slots returns all slots in their fixed order.
func Slots() [NumSlots]Slot {
	return [NumSlots]Slot{MuscleSlot, HeartSlot, BoneSlot, LiverSlot, OrganSlot}
}

var slotWords = units.Words[Slot]{What: "slot", Keys: []string{"muscle", "heart", "bone", "liver", "organ"}}

// String returns the word used in files: "muscle", "heart", "bone", "liver", "organ".
func (s Slot) String() string { return slotWords.Name(s) }

// ParseSlot reads the word used in files.
func ParseSlot(s string) (Slot, error) { return slotWords.Parse(s) }

// MarshalText returns the word used in files; any other value is an error.
func (s Slot) MarshalText() ([]byte, error) { return slotWords.Marshal(s) }

// UnmarshalText is [ParseSlot].
func (s *Slot) UnmarshalText(text []byte) error { return slotWords.Unmarshal(s, text) }

// In reports whether a food holds some of what the slot is about, whatever a target
// counts: a bone-in cut holds bone. There is nothing in no food, nor in no slot.
func (s Slot) In(f *prey.Food) bool {
	return f != nil && s < NumSlots && (f.HasPart(s.Part()) || s == BoneSlot && f.BoneIn)
}

// Part is the part of a food that the slot is about.
func (s Slot) Part() prey.Part {
	return [NumSlots]prey.Part{prey.Muscle, prey.Heart, prey.Bone, prey.Liver, prey.Organ}[s]
}

// BoneMeans says what a target counts when it says bone. The two readings
// differ by more than two to one and no code compares one with the other.
type BoneMeans uint8

const (
	// EdibleBone is only the bone that is swallowed.
	EdibleBone BoneMeans = iota + 1
	// BoneInMeat is the whole bone-in cut, with the meat and skin on it.
	BoneInMeat
)

var boneWords = units.Words[BoneMeans]{What: "meaning of bone", Keys: []string{EdibleBone: "edible-bone", BoneInMeat: "bone-in-meat"}}

// String returns the word used in files: "edible-bone" or "bone-in-meat".
func (b BoneMeans) String() string { return boneWords.Name(b) }

// Words returns the meaning for people.
func (b BoneMeans) Words() string {
	switch b {
	case EdibleBone:
		return "edible bone: only the bone that is swallowed"
	case BoneInMeat:
		return "bone-in meat: the whole cut, bone, meat and skin together"
	}
	return "nothing that is known"
}

// MarshalText returns the word used in files; any other value is an error.
func (b BoneMeans) MarshalText() ([]byte, error) { return boneWords.Marshal(b) }

// UnmarshalText reads the word used in files.
func (b *BoneMeans) UnmarshalText(text []byte) error { return boneWords.Unmarshal(b, text) }

// Style is how the food of a target comes.
type Style uint8

const (
	// Assembled food is put together from cuts, organs and bone.
	Assembled Style = iota + 1
	// Complete food is whole prey or a complete mix.
	Complete
	// Mixed weeks have both; shares are judged on the assembled part.
	Mixed
)

var styleWords = units.Words[Style]{What: "style", Keys: []string{Assembled: "assembled", Complete: "complete", Mixed: "mixed"}}

// String returns the word used in files: "assembled", "complete", "mixed".
func (s Style) String() string { return styleWords.Name(s) }

// MarshalText returns the word used in files; any other value is an error.
func (s Style) MarshalText() ([]byte, error) { return styleWords.Marshal(s) }

// UnmarshalText reads the word used in files.
func (s *Style) UnmarshalText(text []byte) error { return styleWords.Unmarshal(s, text) }

// Period is the stretch of time over which a rule is judged.
type Period uint8

const (
	// Week is everything that is given to balance.Audit; amounts that a rule states
	// by the week are scaled exactly when that is longer than a week.
	Week Period = iota + 1
	// EachDay is every day for itself; the finding is about the worst.
	EachDay
)

var periodWords = units.Words[Period]{What: "period", Keys: []string{Week: "week", EachDay: "day"}}

// String returns the word used in files: "week" or "day".
func (p Period) String() string { return periodWords.Name(p) }

// ParsePeriod reads the word used in files.
func ParsePeriod(s string) (Period, error) { return periodWords.Parse(s) }

// MarshalText returns the word used in files; any other value is an error.
func (p Period) MarshalText() ([]byte, error) { return periodWords.Marshal(p) }

// UnmarshalText is [ParsePeriod].
func (p *Period) UnmarshalText(text []byte) error { return periodWords.Unmarshal(p, text) }

// SlotShare is what a target asks of one slot.
type SlotShare struct {
	Slot      Slot
	Aim       units.Share
	AimRef    cite.Ref
	Low, High units.Share // both belong to the range
	BoundsRef cite.Ref    // whose tolerance it is
}

// Target is a set of part shares that somebody aims at. Targets of a
// balance.Book are shared: read them, never change them.
type Target struct {
	ID      string // permanent
	Title   string
	Species string // "ferret" or "cat"
	Style   Style
	// HeartInMuscle says that heart is counted inside the muscle slot.
	HeartInMuscle bool
	BoneMeans     BoneMeans
	Period        Period
	Shares        []SlotShare // in the order of Slots; empty for complete food
	// CompleteLeast is the least share of all mass that whole prey and complete
	// mixes must make; 0: none.
	CompleteLeast units.Share
	CompleteRef   cite.Ref
	Note          string
	Since, Until  string
	Override      string // why it replaces a shipped target of the same id
}

// Share returns what the target asks of a slot, and false when it asks nothing.
func (t *Target) Share(s Slot) (SlotShare, bool) {
	for _, sh := range t.Shares {
		if sh.Slot == s {
			return sh, true
		}
	}
	return SlotShare{}, false
}

// Counts reports whether the food is judged by shares. Whole prey and complete
// mixes are not: they count as balanced in themselves (common practice).
func Counts(f *prey.Food) bool { return f != nil && !f.Complete }

// Slots returns how one gram of the food fills the slots of this target in one
// case, in millionths; what fills no slot (eggshell, oil, water) is left out.
// It reports false when that cannot be said: the parts are not known, or the
// target counts bone-in meat and the food is a mix that holds ground bone.
func (t *Target) Slots(f *prey.Food, c prey.Case) (out [NumSlots]units.Share, ok bool) {
	if f == nil || c >= prey.NumCases || t.BoneMeans != EdibleBone && t.BoneMeans != BoneInMeat {
		return out, false
	}
	if t.BoneMeans == BoneInMeat && f.BoneIn {
		out[BoneSlot] = units.Whole
		return out, true
	}
	if !f.PartsKnown {
		return out, false
	}
	if t.BoneMeans == BoneInMeat && f.Shares[prey.MostBone][prey.Bone] > 0 {
		return out, false
	}
	parts := &f.Shares[c]
	out[MuscleSlot] = parts[prey.Muscle]
	out[HeartSlot] = parts[prey.Heart]
	out[BoneSlot] = parts[prey.Bone]
	out[LiverSlot] = parts[prey.Liver]
	out[OrganSlot] = parts[prey.Organ]
	if t.HeartInMuscle {
		out[MuscleSlot] += out[HeartSlot]
		out[HeartSlot] = 0
	}
	return out, true
}

// Above returns how far a gram of the food lies above a share of a slot in the typical
// case: what it fills of the slot, less that share of all it fills; with [NumSlots] for
// the slot only the latter. It is 0 for food that is not judged by shares. It is for a
// search, which only proposes.
func (t *Target) Above(f *prey.Food, slot Slot, share float64) float64 {
	slots, ok := t.Slots(f, prey.Typical)
	if !ok || !Counts(f) {
		return 0
	}
	var in, all units.Share
	for s, v := range slots {
		if all += v; Slot(s) == slot {
			in = v
		}
	}
	return (float64(in) - float64(share*float64(all))) / 1e6
}

// targetsSchema is the first line of a target file.
const targetsSchema = "fitchet.targets/1"

// Load reads a target file (schema fitchet.targets/1). The registry is
// asked for every source that the file names. The error is a strict.Faults with
// every fault of the file.
func Load(path string, r io.Reader, reg *cite.Registry) ([]Target, error) {
	doc := strict.ReadAll(path, r)
	m := doc.Root().Map()
	read.Schema(m, targetsSchema)
	var out []Target
	seen := map[string]bool{}
	for _, n := range m.Get("targets").List() {
		t := readTarget(n, reg)
		read.Unique(n, seen, t.ID)
		out = append(out, t)
	}
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, fmt.Errorf("reading targets: %w", err)
	}
	return out, nil
}

func readTarget(n strict.Node, reg *cite.Registry) Target {
	m := n.Map()
	t := Target{
		ID:        strict.Value(m, "id", read.ID),
		Title:     strict.Value(m, "title", read.Sentence),
		Species:   strict.Value(m, "species", ration.ParseSpecies),
		Style:     strict.Value(m, "style", styleWords.Parse),
		BoneMeans: strict.Value(m, "bone-means", boneWords.Parse),
		Period:    strict.Value(m, "period", ParsePeriod),
		Note:      m.OptText("note"),
		Override:  m.OptText("override"),
	}
	t.Since, t.Until = read.Lifetime(m)
	switch heart := m.Get("heart"); heart.Text() {
	case "in-muscle":
		t.HeartInMuscle = true
	case "own-slot", "":
	default:
		heart.Fail("heart is counted as own-slot or in-muscle, not %q", heart.Text())
	}
	if list, ok := m.Opt("shares"); ok {
		for _, item := range list.List() {
			t.Shares = append(t.Shares, readSlotShare(item, &t, reg))
		}
		slices.SortStableFunc(t.Shares, func(a, b SlotShare) int { return int(a.Slot) - int(b.Slot) })
		checkShares(list, &t)
	}
	if n, ok := m.Opt("complete-at-least"); ok {
		least := n.Map()
		t.CompleteLeast, t.CompleteRef = strict.Value(least, "value", units.ParseShare), read.Ref(least.Get("ref"), reg)
		if t.CompleteLeast <= 0 {
			n.Fail("a least share of nothing: leave it out")
		}
		least.Done()
	}
	if t.Style == Complete && len(t.Shares) > 0 {
		n.Fail("a target for complete food sets no shares: they are not judged on it")
	}
	if t.Style != Complete && len(t.Shares) == 0 {
		n.Fail("missing shares")
	}
	m.Done()
	return t
}

func readSlotShare(n strict.Node, t *Target, reg *cite.Registry) SlotShare {
	m := n.Map()
	s := SlotShare{
		Slot:      strict.Value(m, "slot", ParseSlot),
		Aim:       strict.Value(m, "aim", units.ParseShare),
		Low:       strict.Value(m, "low", units.ParseShare),
		High:      strict.Value(m, "high", units.ParseShare),
		AimRef:    read.Ref(m.Get("aim-ref"), reg),
		BoundsRef: read.Ref(m.Get("bounds-ref"), reg),
	}
	m.Done()
	if s.Low > s.Aim || s.Aim > s.High || s.High > units.Whole {
		n.Fail("want low, aim, high in rising order and at most 100 %%, found %s, %s, %s", s.Low, s.Aim, s.High)
	}
	if s.Slot == HeartSlot && t.HeartInMuscle {
		n.Fail("heart is counted in the muscle here, so it has no share of its own")
	}
	return s
}

// checkShares refuses shares that no week could meet or that leave a slot out.
func checkShares(n strict.Node, t *Target) {
	var low, aim, high units.Share
	var seen [NumSlots]bool
	for _, s := range t.Shares {
		if seen[s.Slot] {
			n.Fail("%s is given twice", s.Slot)
		}
		seen[s.Slot] = true
		low, aim, high = low+s.Low, aim+s.Aim, high+s.High
	}
	for _, s := range Slots() {
		if !seen[s] && !(s == HeartSlot && t.HeartInMuscle) {
			n.Fail("no share for %s", s)
		}
	}
	if aim != units.Whole {
		n.Fail("the aims sum to %s, not 100 %%", aim)
	}
	if low > units.Whole || high < units.Whole {
		n.Fail("no week meets these bounds: the lows sum to %s and the highs to %s", low, high)
	}
}
