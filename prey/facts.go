package prey

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// basis says what 100 g a figure was given for.
type basis uint8

const (
	whole  basis = iota // the food as it is fed, bone and all
	edible              // the soft part alone: bone is to be added
)

func (b basis) String() string {
	if b == edible {
		return "edible"
	}
	return "whole"
}

// given is one figure as a source prints it.
type given struct {
	set   bool
	basis basis
	at    [NumCases]Density
	ref   cite.Ref
}

// sheet is everything that was read about one food.
type sheet struct {
	nutrients [NumNutrients]given
	printed   given     // kcal per 100 g
	bone      *minerals // of its bone, once they are known
}

// rounding is how far water, protein, fat, fibre and ash may exceed 100 g
// before carbohydrate by difference is called unknown instead of nothing. Each
// is measured by itself, and in tables of raw meat the sum runs to 103 g.
const rounding = 3 * DensityUnit

// quantity indexes: nutrients, then energy by method, then default energy.
const (
	defaultEnergyIndex = NumNutrients + NumEnergyMethods
	numQuantities      = defaultEnergyIndex + 1

	_ = uint(64 - numQuantities) // facts.known has a bit for each
)

func energyIndex(m EnergyMethod) int { return NumNutrients + int(m) }

// facts are the figures of one food as fed. They never change once made.
type facts struct {
	at       [numQuantities][NumCases]Density
	known    uint64 // bit per quantity
	fellBack uint64 // bit per energy method that took the printed density
	soft     bool   // there is bone that edible figures do not count
	sheet    *sheet
	bones    bones                 // of the catalogue
	shares   [NumCases]units.Share // bone, per case
	partRefs [NumParts]cite.Ref
	conflict string // why carbohydrate is not known although its terms are
	points   []pointQuantity
	spans    []spanQuantity
}

// pointQuantity is a known figure that is the same in every case, and
// spanQuantity one that is not, laid out for Tally.Add.
type (
	pointQuantity struct {
		index int
		at    uint64
	}
	spanQuantity struct {
		index int
		at    [NumCases]uint64
	}
)

func (k *facts) has(index int) bool { return k.known&(1<<index) != 0 }

func (k *facts) set(index int, at [NumCases]Density) {
	k.known |= 1 << index
	k.at[index] = at
}

// settle works out the figures as fed from what was read. The sheet belongs to
// the facts from then on.
func settle(f *Food, s *sheet, b bones) *facts {
	s.bone = b.of(f, s)
	k := &facts{sheet: s, bones: b}
	if f.PartsKnown {
		for c := range f.Shares {
			k.shares[c] = f.Shares[c][Bone]
			k.soft = k.soft || k.shares[c] > 0
		}
	}
	k.conflict = k.difference(f.Kind)
	for n := range Nutrient(NumNutrients) {
		g := k.sheet.nutrients[n]
		switch {
		case !g.set:
		case g.basis == whole || f.PartsKnown && !k.soft:
			k.set(int(n), g.at)
		case f.PartsKnown:
			k.set(int(n), k.withBone(n))
		case !f.BoneIn && f.Kind != WholePrey && f.Kind != Mix:
			k.set(int(n), g.at) // parts unknown, but there is no bone in it
		}
	}
	k.energies(f)
	for i := range numQuantities {
		if k.has(i) {
			at := [NumCases]uint64{}
			for c, d := range k.at[i] {
				at[c] = uint64(d)
			}
			if at[0] == at[1] && at[1] == at[2] {
				k.points = append(k.points, pointQuantity{i, at[0]})
			} else {
				k.spans = append(k.spans, spanQuantity{i, at})
			}
		}
	}
	return k
}

// difference fills in carbohydrate: 100 g less water, protein, fat, fibre and
// ash, on the basis these were given on.
// It says why not when they contradict themselves.
func (k *facts) difference(kind Kind) (conflict string) {
	if k.sheet.nutrients[Carbohydrate].set {
		return ""
	}
	parts := []Nutrient{Water, Protein, Fat, Ash}
	if k.sheet.nutrients[Fibre].set || !kind.fibreless() {
		parts = append(parts, Fibre)
	}
	out := given{set: true, basis: k.sheet.nutrients[Water].basis}
	for c := range out.at {
		out.at[c] = 100 * DensityUnit
	}
	for _, n := range parts {
		g := k.sheet.nutrients[n]
		if !g.set || g.basis != out.basis {
			return ""
		}
		for c := range out.at {
			if g.at[c] > 1000*DensityUnit {
				return fmt.Sprintf("%s is more than 1000 g in 100 g", n)
			}
			out.at[c] -= g.at[c]
		}
	}
	for c := range out.at {
		if out.at[c] < -rounding {
			return fmt.Sprintf("water, protein, fat, fibre and ash make %s g in 100 g", 100*DensityUnit-out.at[c])
		}
		out.at[c] = max(out.at[c], 0)
	}
	out.ref = weaken(cite.Derived, "100 g - water - protein - fat - fibre - ash", refsOf(k.sheet, parts)...)
	k.sheet.nutrients[Carbohydrate] = out
	return ""
}

// withBone is (1 - b) x soft + b x bone in each case. Where no figure for bone
// is held, bone adds nothing and the figure is a floor.
func (k *facts) withBone(n Nutrient) (at [NumCases]Density) {
	for c := range at {
		b := uint64(k.shares[c])
		var mineral uint64
		if k.countsBone(n) {
			mineral = uint64(k.sheet.bone[n].at[c])
		}
		hi, lo := bits.Mul64(uint64(units.Whole)-b, uint64(k.sheet.nutrients[n].at[c]))
		hi2, lo2 := bits.Mul64(b, mineral)
		lo, carry := bits.Add64(lo, lo2, 0)
		hi, _ = bits.Add64(hi, hi2, carry)
		lo, carry = bits.Add64(lo, uint64(units.Whole)/2, 0)
		q, _ := bits.Div64(hi+carry, lo, uint64(units.Whole))
		at[c] = Density(q)
	}
	return at
}

// countsBone reports whether bone has a figure of the nutrient that counts.
func (k *facts) countsBone(n Nutrient) bool {
	return nutrients[n].bone == counted && k.sheet.bone != nil && k.sheet.bone[n].set
}

func (k *facts) energies(f *Food) {
	if k.sheet.printed.set {
		k.set(energyIndex(Printed), k.sheet.printed.at)
	}
	for _, m := range []EnergyMethod{FreshCat, ModifiedAtwater} {
		i := energyIndex(m)
		if k.has(int(Protein)) && k.has(int(Fat)) && k.has(int(Carbohydrate)) {
			if at, ok := k.byFactors(m); ok {
				k.set(i, at)
				continue
			}
		}
		if k.sheet.printed.set {
			k.set(i, k.sheet.printed.at)
			k.fellBack |= 1 << m
		}
	}
	m := FreshCat
	if f.Kind == DryFood {
		m = ModifiedAtwater
	}
	if k.has(energyIndex(m)) {
		k.set(defaultEnergyIndex, k.at[energyIndex(m)])
	}
}

func (k *facts) byFactors(m EnergyMethod) (at [NumCases]Density, ok bool) {
	fp, ff, fc := m.factors()
	for c := range at {
		p, f, n := k.at[Protein][c], k.at[Fat][c], k.at[Carbohydrate][c]
		if max(p, f, n) > 1000*DensityUnit { // far over 100 g: refuse rather than overflow
			return at, false
		}
		tenths := fp*uint64(p) + ff*uint64(f) + fc*uint64(n)
		at[c] = Density((tenths + 5) / 10)
	}
	return at, true
}

// figure returns a known nutrient with its reference.
func (k *facts) figure(n Nutrient) Figure {
	g := k.sheet.nutrients[n]
	fig := Figure{At: k.at[n], Ref: g.ref}
	if !k.soft || g.basis == whole {
		return fig
	}
	withBone := k.countsBone(n)
	fig.SoftOnly = !withBone && nutrients[n].bone != nothing
	at := fmt.Sprintf("(100 %% - bone) x %s %s", densityWords(g.at), n.Unit())
	if g.ref.At != "" {
		at += " (" + g.ref.At + ")"
	}
	from := []cite.Ref{g.ref}
	if fig.SoftOnly {
		at += "; bone not counted"
	}
	if withBone {
		m := k.sheet.bone[n]
		at += fmt.Sprintf(" + bone x %s %s", densityWords(m.at), n.Unit())
		from = append(from, m.ref)
	}
	fig.Ref = weaken(cite.Derived, at+"; bone "+shareWords(k.shares), from...)
	return fig
}

func (k *facts) energyFigure(m EnergyMethod) Figure {
	fig := Figure{At: k.at[energyIndex(m)]}
	if m == Printed || k.fellBack&(1<<m) != 0 {
		fig.Ref = k.sheet.printed.ref
		return fig
	}
	fig.SoftOnly = k.soft && k.sheet.nutrients[Protein].basis == edible
	key, where := m.source()
	fp, ff, fc := m.factors()
	at := fmt.Sprintf("%s kcal per g of protein, fat and carbohydrate (%s)", factorWords(fp, ff, fc), where)
	if fig.SoftOnly {
		at += "; bone not counted"
	}
	refs := refsOf(k.sheet, []Nutrient{Protein, Fat, Carbohydrate})
	refs = append(refs, cite.Ref{Evidence: cite.Published, Sources: []string{key}})
	if m == FreshCat {
		refs[len(refs)-1].Borrowed = "cat"
	}
	fig.Ref = weaken(cite.Derived, at, refs...)
	return fig
}

func factorWords(f ...uint64) string {
	words := make([]string, len(f))
	for i, v := range f {
		words[i] = Density(v * uint64(DensityUnit) / 10).String()
	}
	return strings.Join(words, "/")
}

func densityWords(at [NumCases]Density) string {
	return rangeWords(at[LeastBone].String(), at[Typical].String(), at[MostBone].String())
}

func shareWords(at [NumCases]units.Share) string {
	return rangeWords(at[LeastBone].String(), at[Typical].String(), at[MostBone].String())
}

// rangeWords prints a range as "31 to 46 (typically 38)", or one value.
func rangeWords(low, typical, high string) string {
	if low == high && low == typical {
		return typical
	}
	return low + " to " + high + " (typically " + typical + ")"
}

func refsOf(s *sheet, ns []Nutrient) []cite.Ref {
	var refs []cite.Ref
	for _, n := range ns {
		if s.nutrients[n].set {
			refs = append(refs, s.nutrients[n].ref)
		}
	}
	return refs
}

// weaken makes the reference of a figure worked out from others: its evidence
// is the weakest of its inputs and at least that of arithmetic, its sources are
// theirs.
func weaken(least cite.Evidence, at string, from ...cite.Ref) cite.Ref {
	out := cite.Ref{Evidence: least, At: at}
	for _, r := range from {
		out.Evidence = max(out.Evidence, r.Evidence)
		for _, key := range r.Sources {
			if !slices.Contains(out.Sources, key) {
				out.Sources = append(out.Sources, key)
			}
		}
		if out.Borrowed == "" {
			out.Borrowed = r.Borrowed
		}
	}
	if out.Evidence == cite.Practice {
		out.Sources = nil
	}
	return out
}
