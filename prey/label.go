package prey

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// wetFrom is the share of water above which a label may call its food wet and
// not dry. It is a choice: pellets hold about 10 % of water, raw meat 55 to 85 %.
const wetFrom = 20 * units.Whole / 100

// LoadFoods reads a keeper's own foods, own cuts or a shop's mix by its label,
// from YAML or JSON; the package comment gives the form. Sources that the file
// names must be in reg. The foods are returned in the order of the file, ready
// for [Catalogue.With]; until then bone in them has no minerals.
//
// The error is a strict.Faults with every fault of the file. A label is refused
// when its water is missing, its analysis or its parts exceed 100 %, it calls
// dry food wet, or it counts bone without saying whether that is edible bone
// or bone-in meat.
func LoadFoods(path string, r io.Reader, reg *cite.Registry) ([]Food, error) {
	words, err := ShippedWords()
	if err != nil {
		return nil, err
	}
	doc := strict.ReadAll(path, r)
	root := doc.Root().Map()
	own := readSpecies(root, words)
	var foods []Food
	ids := make(map[string]bool)
	for _, node := range root.Get("foods").List() {
		l := label{m: node.Map(), reg: reg, words: words, own: own}
		f := l.food()
		if f.ID != "" && ids[f.ID] {
			l.m.Get("id").Fail("food %s is already in this file", f.ID)
		}
		ids[f.ID] = true
		foods = append(foods, f)
	}
	for name, s := range own {
		if !s.used && len(foods) > 0 {
			s.at.Fail("no food of this file is of %q: is it misspelt?", clip(name))
		}
	}
	root.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return foods, nil
}

// ownSpecies is an animal that the list does not hold, as a file declares it.
type ownSpecies struct {
	name, like string
	at         strict.Node
	used       bool
}

// readSpecies reads the animals that a file declares, by their folded names.
func readSpecies(root strict.Map, words *Words) map[string]*ownSpecies {
	own := map[string]*ownSpecies{}
	list, ok := root.Opt("species")
	if !ok {
		return own
	}
	for _, node := range list.List() {
		m := node.Map()
		name := strict.Value(m, "name", nameText)
		group := strict.Value(m, "group", func(s string) (string, error) {
			_, err := words.likeness(s)
			return s, err
		})
		m.Done()
		switch _, listed := words.animals[fold(name)]; {
		case name == "":
		case listed:
			node.Fail("%q is in the list of animals: it needs no declaration", clip(name))
		case own[fold(name)] != nil:
			node.Fail("%q is declared twice", clip(name))
		default:
			own[fold(name)] = &ownSpecies{name: name, like: group, at: node}
		}
	}
	return own
}

// label reads one food of a keeper's file.
type label struct {
	m     strict.Map
	reg   *cite.Registry
	words *Words
	own   map[string]*ownSpecies // declared in the file, by folded name
	row   row
}

func (l *label) food() Food {
	m, f := l.m, &l.row.food
	f.ID = strict.Value(m, "id", tag)
	f.Name = strict.Value(m, "name", nameText)
	f.Synonyms = texts(m, "synonyms", nameText)
	f.Kind = strict.Value(m, "kind", ParseKind)
	f.Species, _ = strict.OptValue(m, "species", l.animal)
	f.Contains = texts(m, "contains", l.animal)
	f.Cut, _ = strict.OptValue(m, "cut", nameText)
	f.Colour = strict.Value(m, "colour", ParseColour)
	f.BoneIn = m.Bool("bone-in", false)
	f.Hazards = texts(m, "hazards", func(s string) (string, error) {
		_, err := l.words.Tag(s)
		return s, err
	})
	f.Ref = strict.Value(m, "ref", l.parseRef)
	f.Override, _ = strict.OptValue(m, "override", noteText)
	if note, ok := strict.OptValue(m, "note", noteText); ok {
		f.Notes = append(f.Notes, Note{Text: note, Ref: f.Ref})
	}
	l.complete()
	l.species()
	l.piece()
	if node, ok := m.Opt("label"); ok {
		l.analysis(node.Map())
	}
	if at, ok := strict.OptValue(m, "energy", parseEnergyDensity); ok {
		l.row.sheet.printed = given{set: true, at: [NumCases]Density{at, at, at}, ref: f.Ref}
	}
	l.parts()
	m.Done()
	l.words.know(f)
	f.facts = settle(f, &l.row.sheet, nil)
	f.facts.partRefs = l.row.partRefs
	if why := f.facts.conflict; why != "" {
		if node, ok := m.Opt("label"); ok {
			node.Fail("%s", why)
		}
	}
	return *f
}

// complete asks of every kind that may count as balanced in itself whether it does.
func (l *label) complete() {
	f := &l.row.food
	switch f.Kind {
	case Mix, DriedRaw, DryFood, WholePrey:
		if node := l.m.Get("complete"); node.Kind() == strict.Scalar {
			f.Complete = l.m.Bool("complete", false)
		}
	default:
		if node, ok := l.m.Opt("complete"); ok && l.m.Bool("complete", false) {
			node.Fail("a food of kind %s cannot be complete", f.Kind)
		}
	}
}

// animal reads a name of the list, or one that the file declares.
func (l *label) animal(s string) (string, error) {
	if s, err := nameText(s); err != nil {
		return s, err
	}
	f := &l.row.food
	if own := l.own[fold(s)]; own != nil {
		if own.used = true; f.Like == nil {
			f.Like = map[string]string{}
		}
		f.Like[own.name] = own.like
		return own.name, nil
	}
	_, err := l.words.Animal(s)
	if err != nil {
		err = fmt.Errorf("%w (an animal of your own: declare it once under species, with its group)", err)
	}
	return s, err
}

func (l *label) species() {
	f := &l.row.food
	switch {
	case f.Kind == Oil || f.Kind == Supplement:
	case f.Species == "" && len(f.Contains) == 0:
		l.m.Node().Fail("say what animal it is: species, or contains for a mix of several")
	case f.Species != "" && len(f.Contains) > 0:
		l.m.Get("contains").Fail("give species or contains, not both")
	}
}

func (l *label) piece() {
	node, ok := l.m.Opt("piece")
	if !ok {
		return
	}
	m, f := node.Map(), &l.row.food
	f.PieceName = strict.Value(m, "name", nameText)
	if r, ok := readRange(m.Get("mass"), units.ParseMass); ok {
		if f.Piece = r; r.Low <= 0 {
			m.Get("mass").Fail("a piece weighs more than nothing")
		}
	}
	f.PieceRef = l.ref(m)
	m.Done()
}

func (l *label) parseRef(s string) (cite.Ref, error) {
	r, err := cite.ParseRef(s)
	if err == nil {
		err = r.Check(l.reg)
	}
	return r, err
}

// ref reads the evidence of a section; without one it is that of the food.
func (l *label) ref(m strict.Map) cite.Ref {
	if r, ok := strict.OptValue(m, "ref", l.parseRef); ok {
		return r
	}
	return l.row.food.Ref
}

// parts reads the slot of a food of one part, or the shares of each part.
func (l *label) parts() {
	slot, hasSlot := strict.OptValue(l.m, "slot", func(s string) (Part, error) {
		if s == "none" {
			return Rest, nil
		}
		return ParsePart(s)
	})
	l.row.slot, l.row.hasSlot = slot, hasSlot
	fault := func(format string, args ...any) { l.m.Node().Fail(format, args...) }
	if node, ok := l.m.Opt("parts"); ok {
		fault = func(format string, args ...any) { node.Fail(format, args...) }
		if !l.shares(node.Map()) {
			return
		}
	}
	l.row.apportion(fault)
}

// shares reads the parts; it reports whether they are known.
func (l *label) shares(m strict.Map) bool {
	ref := l.ref(m)
	for _, p := range Parts() {
		node, ok := m.Opt(p.Key())
		if !ok {
			continue
		}
		rng, ok := readRange(node, units.ParseShare)
		if !ok {
			continue
		}
		if rng.High > units.Whole {
			node.Fail("more than 100 %%")
			continue
		}
		l.setPart(p, rng, ref)
	}
	known := l.boneMeans(m)
	l.row.food.BoneKind, _ = strict.OptValue(m, "bone-kind", tag)
	if basis, ok := strict.OptValue(m, "bone-basis", parseShareBasis); ok {
		l.row.food.BoneBasis = basis
	}
	m.Done()
	return known
}

func (l *label) setPart(p Part, r units.Range[units.Share], ref cite.Ref) {
	l.row.parts[p].low, l.row.parts[p].typical, l.row.parts[p].high = r.Low, r.Typical, r.High
	l.row.partSet[p] = true
	l.row.partRefs[p] = ref
}

// boneMeans asks what the label counts as bone. Edible bone is taken as it is.
// Bone-in meat is bone and meat together: only when the label also says how much
// of it is bone are the parts known.
func (l *label) boneMeans(m strict.Map) (known bool) {
	means, said := strict.OptValue(m, "bone-means", func(s string) (string, error) {
		if s != "edible" && s != "bone-in" {
			return "", fmt.Errorf("%q: want edible (only the bone) or bone-in (bone with the meat on it)", clip(s))
		}
		return s, nil
	})
	within, hasWithin := m.Opt("bone-of-bone-in")
	bone, hasBone := m.Opt(Bone.Key())
	switch {
	case !said && hasBone:
		if _, wrong := m.Opt("bone-means"); !wrong {
			bone.Fail("say what bone means here, bone-means: edible or bone-in; the two differ by more than two to one")
		}
		return true
	case hasWithin && means != "bone-in":
		within.Fail("bone-of-bone-in goes with bone-means: bone-in")
		return true
	case means != "bone-in" || !l.row.partSet[Bone]:
		return true
	case !hasWithin:
		l.row.food.Notes = append(l.row.food.Notes, Note{
			Text: "The label counts bone-in meat and does not say how much of that is bone, so the parts are not known.",
			Ref:  l.row.food.Ref,
		})
		return false
	}
	share, ok := readRange(within, units.ParseShare)
	if !ok {
		return true
	}
	if share.High > units.Whole {
		within.Fail("more than 100 %%")
		return true
	}
	of := func(a, b units.Share) units.Share {
		v, _ := mulDiv(uint64(a), uint64(b), uint64(units.Whole))
		return units.Share(v)
	}
	p := &l.row.parts[Bone]
	meat := [NumCases]units.Share{p.low - of(p.low, share.Low), p.typical - of(p.typical, share.Typical), p.high - of(p.high, share.High)}
	p.low, p.typical, p.high = of(p.low, share.Low), of(p.typical, share.Typical), of(p.high, share.High)
	if mu := &l.row.parts[Muscle]; l.row.partSet[Muscle] {
		mu.low, mu.typical, mu.high = mu.low+meat[0], mu.typical+meat[1], mu.high+meat[2]
	}
	return true
}

// analysis reads what a label prints.
func (l *label) analysis(m strict.Map) {
	f := &l.row.food
	ref := l.ref(m)
	state := strict.Value(m, "state", oneOf("wet", "dry"))
	per := strict.Value(m, "per", oneOf("fed", "dry-matter"))
	b := whole
	if f.BoneIn {
		if strict.Value(m, "of", oneOf("edible", "whole")) == "edible" {
			b = edible
		}
	}
	node, ok := m.Opt("moisture")
	if !ok {
		m.Node().Fail("moisture is missing: without it nothing on the label can be compared with fresh food")
	}
	water, ok := strict.Read(node, units.ParseShare)
	if ok && water >= units.Whole {
		node.Fail("a food is not all water")
		ok = false
	}
	if ok {
		l.state(node, state, water)
		d := Density(water) * (100 * DensityUnit / Density(units.Whole))
		l.row.sheet.nutrients[Water] = given{set: true, basis: b, at: [NumCases]Density{d, d, d}, ref: ref}
	}
	sum := Density(0)
	for _, n := range Nutrients() {
		if n == Water || n == Carbohydrate {
			continue
		}
		d, read := strict.OptValue(m, n.Key(), func(s string) (Density, error) { return parseLabelAmount(s, n) })
		if !read || !ok {
			continue
		}
		if n < Carbohydrate {
			sum = min(sum+d, 1000*DensityUnit)
		}
		if per == "dry-matter" {
			fed, err := AsFed(d, water)
			if err != nil {
				node.Fail("%w", err)
				continue
			}
			d = fed
		}
		l.row.sheet.nutrients[n] = given{set: true, basis: b, at: [NumCases]Density{d, d, d}, ref: ref}
	}
	if per == "fed" && ok {
		sum += l.row.sheet.nutrients[Water].at[Typical]
	}
	if sum > 100*DensityUnit {
		m.Node().Fail("the analysis makes %s %%, more than 100 %%: is it per 100 g of food (per: fed) or of dry matter (per: dry-matter)?", sum)
		l.row.sheet = sheet{}
	}
	m.Done()
}

// state refuses a label that contradicts itself about being wet or dry.
func (l *label) state(at strict.Node, state string, water units.Share) {
	kind := l.row.food.Kind
	dryKind := kind == DriedRaw || kind == DryFood
	switch {
	case state == "wet" && (dryKind || water <= wetFrom):
		at.Fail("a %s with %s of water is not wet food: give its water as it is in the pack, dry, before any is added", kind, water)
	case state == "dry" && water > wetFrom:
		at.Fail("%s of water is not dry: this library calls food dry up to %s", water, wetFrom)
	case state == "dry" && kind == Mix:
		at.Fail("a dry mix is kind dried (raw, water taken out) or dry-food (pellets)")
	}
}

func oneOf(words ...string) func(string) (string, error) {
	return func(s string) (string, error) {
		if !slices.Contains(words, s) {
			return "", fmt.Errorf("%q: want %s", clip(s), strings.Join(words, " or "))
		}
		return s, nil
	}
}

// parseLabelAmount reads "17 %", "9000 mg/kg", "3000 IU/kg" or "82 mg/100 g" as
// the amount of n in 100 g.
func parseLabelAmount(s string, n Nutrient) (Density, error) {
	number, unit, ok := strings.Cut(s, " ")
	if !ok {
		if number, ok = strings.CutSuffix(s, "%"); ok {
			unit = "%"
		}
	}
	shift := 0
	if unit == "%" {
		unit = "g" // 1 % is 1 g in 100 g
	} else if u, ok := strings.CutSuffix(unit, "/kg"); ok {
		unit, shift = u, -1
	} else if u, ok := strings.CutSuffix(unit, "/100 g"); ok {
		unit = u
	} else {
		return 0, fmt.Errorf("%q: want an amount with its unit and what it is in, such as \"17 %%\", \"9000 mg/kg\" or \"82 mg/100 g\"", clip(s))
	}
	if (unit == "IU") != (n.Unit() == "IU") {
		return 0, fmt.Errorf("%s is counted in %s, not %s", n, n.Unit(), clip(unit))
	}
	step, err := unitShift(unit, n.Unit())
	if err != nil {
		return 0, err
	}
	d, err := parseDensity(number, step+shift)
	if err == nil && n.Unit() != "IU" {
		hundred := 100 * DensityUnit
		for range -unitStep(n.Unit()) {
			hundred *= 10
		}
		if d > hundred {
			err = fmt.Errorf("%q: more than 100 %%", clip(s))
		}
	}
	return d, err
}

// parseEnergyDensity reads "1640 kcal/kg" or "164 kcal/100 g" as kcal in 100 g.
func parseEnergyDensity(s string) (Density, error) {
	if n, ok := strings.CutSuffix(s, " kcal/kg"); ok {
		return parseDensity(n, -1)
	}
	if n, ok := strings.CutSuffix(s, " kcal/100 g"); ok {
		return parseDensity(n, 0)
	}
	return 0, fmt.Errorf("%q: want energy such as \"1640 kcal/kg\" or \"164 kcal/100 g\"", clip(s))
}

// readRange reads one value, or a mapping of low, typical and high.
func readRange[T units.Mass | units.Share](n strict.Node, parse func(string) (T, error)) (units.Range[T], bool) {
	if n.Kind() != strict.Mapping {
		v, ok := strict.Read(n, parse)
		return units.Exactly(v), ok
	}
	m := n.Map()
	low, ok1 := strict.Read(m.Get("low"), parse)
	typical, ok2 := strict.Read(m.Get("typical"), parse)
	high, ok3 := strict.Read(m.Get("high"), parse)
	m.Done()
	r := units.Range[T]{Low: low, Typical: typical, High: high}
	if !ok1 || !ok2 || !ok3 {
		return r, false
	}
	if !r.Valid() {
		n.Fail("want low <= typical <= high")
		return r, false
	}
	return r, true
}

func texts(m strict.Map, key string, parse func(string) (string, error)) []string {
	n, ok := m.Opt(key)
	if !ok {
		return nil
	}
	return strict.Each(n, parse)
}

func nameText(s string) (string, error) {
	if len(s) > maxNameBytes {
		return "", fmt.Errorf("%q: want a name of at most %d bytes", clip(s), maxNameBytes)
	}
	return strict.Name(s)
}

func noteText(s string) (string, error) {
	if strings.TrimSpace(s) == "" || len(s) > strict.MaxField {
		return "", fmt.Errorf("want a text of at most %d bytes", strict.MaxField)
	}
	return strings.Join(strings.Fields(s), " "), nil
}
