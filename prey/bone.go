package prey

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// BoneBasis says what a share of bone, or a figure of bone, is of. The same wing
// is 38 % refuse and 23 % clean bone, and 100 g of the first hold little more
// than half the calcium of 100 g of the second: a share is only ever multiplied
// with figures of its own basis.
type BoneBasis uint8

const (
	// Refuse is what a knife leaves: bone with gristle and some meat.
	Refuse BoneBasis = iota + 1
	// CleanBone is fresh bone without anything on it.
	CleanBone
	// OfCut is a figure for 100 g of the cut as it is sold, bone in. It is never a
	// share.
	OfCut
)

var boneBases = units.Words[BoneBasis]{
	What: "basis of bone",
	Keys: []string{Refuse: "refuse", CleanBone: "clean", OfCut: "cut"},
}

// String returns the word used in files: "refuse", "clean" or "cut".
func (b BoneBasis) String() string { return boneBases.Name(b) }

// ParseBoneBasis reads the word used in files.
func ParseBoneBasis(s string) (BoneBasis, error) { return boneBases.Parse(s) }

// MarshalText returns the word used in files.
func (b BoneBasis) MarshalText() ([]byte, error) { return boneBases.Marshal(b) }

// UnmarshalText is [ParseBoneBasis].
func (b *BoneBasis) UnmarshalText(text []byte) error { return boneBases.Unmarshal(b, text) }

// ErrBone is wrapped by errors about a kind of bone that the catalogue does not
// have, or whose figures are of another basis than the food's share of bone.
var ErrBone = errors.New("not a kind of its bone")

// boneFigure is what 100 g hold of one nutrient, poorest to richest.
type boneFigure struct {
	given
	basis BoneBasis
}

// minerals are what bone holds, by nutrient.
type minerals [NumNutrients]boneFigure

// boneKind is one kind of bone.
type boneKind struct {
	minerals
	of []string // the animals and groups whose bone it is where nothing else is said
}

// bones are the kinds of bone of a catalogue, by name.
type bones map[string]*boneKind

// Kinds of bone that are asked for by name; see bone.csv.
const (
	anyRefuse     = "any" // of several animals, or of one that no kind is of
	anyBone       = "any-bone"
	rodentBone    = "rodent"
	mouseSkeleton = "mouse-skeleton"
	ratSkeleton   = "rat-skeleton"
)

// basis is the basis of the kind's figures of bone; 0 when all are of the cut, or
// when they are of two bases and fit no share.
func (k *boneKind) basis() (b BoneBasis, ok bool) {
	for _, f := range k.minerals {
		switch {
		case !f.set || f.basis == OfCut || f.basis == b:
		case b != 0:
			return 0, false
		default:
			b = f.basis
		}
	}
	return b, true
}

// check holds the kind of bone that a food names against the catalogue, and takes
// the basis from it where the food gives none.
func (b bones) check(f *Food) error {
	if f.BoneKind == "" || len(b) == 0 {
		return nil
	}
	kind, ok := b[f.BoneKind]
	if !ok {
		near, _ := strict.Nearest(f.BoneKind, slices.Sorted(maps.Keys(b)))
		return fmt.Errorf("bone-kind %q: %w; the nearest is %q", clip(f.BoneKind), ErrBone, near)
	}
	basis, _ := kind.basis()
	if f.BoneBasis == 0 {
		f.BoneBasis = basis
	}
	if f.BoneBasis != basis {
		return fmt.Errorf("bone-basis %s: %w: the figures of %s are of %s", f.BoneBasis, ErrBone, f.BoneKind, basis)
	}
	return nil
}

// settle names the kind of a food's bone where the food does not: the one of its
// animal, else of its animal's groups, else that of any. A cut is weighed with
// what a knife leaves, all else is counted as clean bone. Fish has none: its
// bone is counted in the whole fish, or not at all.
func (b bones) settle(f *Food) {
	if f.BoneKind != "" || !f.PartsKnown || !f.HasPart(Bone) || len(b) == 0 {
		return
	}
	if f.BoneBasis == 0 {
		f.BoneBasis = CleanBone
		if f.BoneIn {
			f.BoneBasis = Refuse
		}
	}
	kinds := map[string]bool{}
	for _, a := range f.animals {
		if slices.Contains(a.Groups, "fish") {
			return
		}
		kinds[b.kindOf(a, f.BoneBasis)] = true
	}
	if len(kinds) == 1 {
		f.BoneKind = slices.Collect(maps.Keys(kinds))[0]
		return
	}
	f.BoneKind = anyBone
	if f.BoneBasis == Refuse {
		f.BoneKind = anyRefuse
	}
}

// kindOf is the kind of an animal's bone on a basis.
func (b bones) kindOf(a Animal, basis BoneBasis) string {
	for _, words := range [][]string{{a.Name}, a.Groups} {
		for _, kind := range slices.Sorted(maps.Keys(b)) {
			of, ok := b[kind].basis()
			if ok && of == basis && slices.ContainsFunc(b[kind].of, func(w string) bool { return slices.Contains(words, w) }) {
				return kind
			}
		}
	}
	if basis == Refuse {
		return anyRefuse
	}
	return anyBone
}

// of are the minerals of the bone of a food: what it says itself, or those of its
// kind of bone; nil where neither is known or the basis is another one.
func (b bones) of(f *Food, s *sheet) *minerals {
	if s.bone != nil {
		return s.bone
	}
	kind := b[f.BoneKind]
	if kind == nil || !f.PartsKnown {
		return nil
	}
	if basis, ok := kind.basis(); !ok || basis != 0 && basis != f.BoneBasis {
		return nil
	}
	out := kind.minerals
	for n := range out {
		m := &out[n]
		if !m.set || m.basis != OfCut {
			continue
		}
		// The cut as sold holds what was read, whatever its share of bone is.
		for c := range f.Shares {
			share := f.Shares[c][Bone]
			q, ok := uint64(0), share > 0
			if ok {
				q, ok = mulDiv(uint64(m.at[c]), uint64(units.Whole), uint64(share))
			}
			if !ok {
				m.set = false
				break
			}
			m.at[c] = Density(q)
		}
	}
	return &out
}

// calcium is that of clean fresh bone, poorest to richest, with its references; the
// typical one is the skeleton of a grown mouse. Figures that were worked out from
// the food itself are left out; see [Food.CalciumAsBone].
func (b bones) calcium(f *Food) (at [NumCases]Density, refs []cite.Ref, ok bool) {
	typical, own := mouseSkeleton, []string{}
	if f.BoneKind == mouseSkeleton || f.BoneKind == ratSkeleton {
		own = []string{f.BoneKind, rodentBone}
	}
	if f.BoneKind == mouseSkeleton {
		typical = ratSkeleton
	}
	if m := b[typical]; m == nil || !m.minerals[Calcium].set {
		return at, nil, false
	}
	mid := b[typical].minerals[Calcium]
	at = [NumCases]Density{mid.at[Typical], mid.at[Typical], mid.at[Typical]}
	refs = []cite.Ref{mid.ref}
	for _, kind := range slices.Sorted(maps.Keys(b)) {
		ca := b[kind].minerals[Calcium]
		if !ca.set || ca.basis != CleanBone || slices.Contains(own, kind) {
			continue
		}
		if ca.at[LeastBone] < at[LeastBone] || ca.at[MostBone] > at[MostBone] {
			refs = append(refs, ca.ref)
		}
		at[LeastBone], at[MostBone] = min(at[LeastBone], ca.at[LeastBone]), max(at[MostBone], ca.at[MostBone])
	}
	return at, refs, at[LeastBone] > 0
}

// BoneWeighed reports whether the share of bone decides what the food holds of a
// nutrient, so that weighing the bone of a piece narrows it. It does not where the
// figure is one of the cut as a whole.
func (f *Food) BoneWeighed(n Nutrient) bool {
	if f == nil || f.facts == nil || n >= NumNutrients || !f.facts.soft || f.facts.sheet.nutrients[n].basis == whole {
		return false
	}
	m := f.facts.sheet.bone
	return m == nil || !m[n].set || m[n].basis != OfCut
}
