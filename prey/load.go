package prey

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Bounds of a catalogue: of one file, and of the faults of all.
const (
	maxFileBytes = 4 << 20
	maxFaults    = 200
)

// Load reads a catalogue from the five files foods.csv, parts.csv,
// nutrients.csv, extra.csv and bone.csv of fsys; the package comment gives
// their form. Every row must carry evidence, every source it names must be in
// reg, and every species and hazard tag in [Words]. The error is a strict.Faults
// with the faults of all files (at most 100 of a file and 200 in all, and a
// closing count), or wraps what fsys returned.
func Load(fsys fs.FS, reg *cite.Registry) (*Catalogue, error) {
	words, err := ShippedWords()
	if err != nil {
		return nil, err
	}
	l := loader{reg: reg, words: words, byID: make(map[string]*row), refs: make(map[string]cite.Ref), bones: bones{}}
	for _, file := range []struct {
		name string
		read func(table)
	}{
		{"foods.csv", l.foodRow},
		{"bone.csv", l.boneRow},
		{"parts.csv", l.partRow},
		{"nutrients.csv", l.nutrientRow},
		{"extra.csv", l.extraRow},
	} {
		if err := l.file(fsys, file.name, file.read); err != nil {
			return nil, fmt.Errorf("reading the catalogue: %w", err)
		}
	}
	c := l.finish()
	if len(l.faults) > 0 {
		return nil, l.faults.First(maxFaults)
	}
	return c, nil
}

// loader gathers the rows of all files and their faults.
type loader struct {
	reg     *cite.Registry
	words   *Words
	rows    []*row
	byID    map[string]*row
	bones   bones
	refs    map[string]cite.Ref // references already checked, by their text
	figures map[string]column   // of nutrients.csv, by name
	faults  strict.Faults
}

// row is one food while its files are being read.
type row struct {
	food     Food
	slot     Part
	hasSlot  bool
	parts    [NumParts]struct{ low, typical, high units.Share }
	partSet  [NumParts]bool
	sheet    sheet
	partRefs [NumParts]cite.Ref
	path     string
	line     int
}

// table is one file while it is being read.
type table struct {
	*strict.Table
	l *loader
}

func (l *loader) file(fsys fs.FS, path string, read func(table)) error {
	f, err := fsys.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	want := columns(path)
	want.MaxBytes = maxFileBytes
	if path == "nutrients.csv" {
		l.figures = make(map[string]column)
		want.Other = l.figureColumn
	}
	t := table{strict.ParseTable(path, data, want), l}
	for t.Next() {
		read(t)
	}
	var faults strict.Faults
	errors.As(t.Err(), &faults)
	l.faults = append(l.faults, faults...)
	return nil
}

// noteRef is a column of foods.csv: without it a note has the evidence of its row.
const noteRef = "note_ref"

// columns returns the columns of a file; those of nutrients.csv that hold figures
// are judged by figureColumn.
func columns(path string) (c strict.Columns) {
	switch path {
	case "foods.csv":
		c.Names = []string{"id", "name", "synonyms", "species", "contains", "kind", "cut", "slot", "anatomy", "colour", "bone_in", "complete",
			"piece_name", "piece_low", "piece_typical", "piece_high", "piece_ref", "hazards", "energy", "energy_ref", "note", "ref"}
		c.Optional = []string{noteRef}
	case "parts.csv":
		c.Names = []string{"food", "part", "low", "typical", "high", "ref"}
		c.Optional = []string{"bone", "basis"}
	case "nutrients.csv":
		c.Names = []string{"food", "basis", "ref"}
	case "extra.csv":
		c.Names = []string{"food", "nutrient", "low", "typical", "high", "unit", "basis", "ref"}
	case "bone.csv":
		c.Names = []string{"kind", "basis", "for", "nutrient", "low", "typical", "high", "unit", "ref"}
	case "species.csv":
		c.Names = []string{"name", "same", "groups", "ref"}
	case "tags.csv":
		c.Names = []string{"tag", "meaning"}
	}
	return c
}

// column is what a column of nutrients.csv holds.
type column struct {
	nutrient Nutrient
	shift    int // power of ten from the column's unit to the nutrient's own
}

// figureColumn reads "vitamin_a_iu" and keeps what it means.
func (l *loader) figureColumn(name string) bool {
	i := strings.LastIndexByte(name, '_')
	if i < 0 {
		return false
	}
	n, err := ParseNutrient(strings.ReplaceAll(name[:i], "_", "-"))
	if err != nil || n == Carbohydrate {
		return false
	}
	shift, err := unitShift(name[i+1:], n.Unit())
	if err != nil {
		return false
	}
	l.figures[name] = column{n, shift}
	return true
}

// unitShift is the power of ten that takes an amount from one unit to another.
func unitShift(from, to string) (int, error) {
	if strings.EqualFold(from, to) {
		return 0, nil
	}
	a, b := unitStep(from), unitStep(to)
	if a > 0 || b > 0 {
		return 0, fmt.Errorf("unit %q: want %s", clip(from), to)
	}
	return a - b, nil
}

// unitStep is the power of ten of a unit of mass to the gram, 1 for any other unit.
func unitStep(unit string) int {
	switch unit {
	case "g":
		return 0
	case "mg":
		return -3
	case "ug", "µg":
		return -6
	}
	return 1
}

// ref reads evidence and checks it against the registry.
func (t table) ref(name string) cite.Ref {
	text := t.OptText(name)
	if text == "" {
		t.Fail(name, "%s is missing: every row needs evidence", name)
		return cite.Ref{}
	}
	if r, ok := t.l.refs[text]; ok {
		return r
	}
	r, err := cite.ParseRef(text)
	if err == nil {
		err = r.Check(t.l.reg)
	}
	if err != nil {
		t.Fail(name, "%w", err)
		return r
	}
	t.l.refs[text] = r
	return r
}

func yesNo(s string) (bool, error) {
	switch s {
	case "yes":
		return true, nil
	case "no":
		return false, nil
	}
	return false, fmt.Errorf("%q: want yes or no", clip(s))
}

// tag accepts lower-case words of letters and digits joined by hyphens.
func tag(s string) (string, error) {
	if !strict.IsID(s) {
		return "", fmt.Errorf("%q: want lower-case words joined by hyphens", clip(s))
	}
	return s, nil
}

func (l *loader) foodRow(t table) {
	r := &row{path: "foods.csv", line: t.Line()}
	f := &r.food
	f.ID, _ = strict.Cell(t.Table, "id", tag)
	f.Name = t.Text("name")
	f.Synonyms = t.List("synonyms")
	f.Species = t.OptText("species")
	f.Contains = t.List("contains")
	f.Kind, _ = strict.Cell(t.Table, "kind", ParseKind)
	f.Cut = t.OptText("cut")
	f.Anatomy = t.OptText("anatomy")
	f.Colour, _ = strict.Cell(t.Table, "colour", ParseColour)
	f.BoneIn, _ = strict.OptCell(t.Table, "bone_in", yesNo)
	f.Complete, _ = strict.OptCell(t.Table, "complete", yesNo)
	f.Hazards = t.List("hazards")
	known(t, "species", []string{f.Species}, l.words.Animal)
	known(t, "contains", f.Contains, l.words.Animal)
	known(t, "hazards", f.Hazards, l.words.Tag)
	f.Ref = t.ref("ref")
	if note := t.OptText("note"); note != "" {
		f.Notes = []Note{{Text: note, Ref: f.Ref}}
		if t.OptText(noteRef) != "" {
			f.Notes[0].Ref = t.ref(noteRef)
		}
	}
	r.slot, r.hasSlot = strict.OptCell(t.Table, "slot", func(s string) (Part, error) {
		if s == "none" {
			return Rest, nil
		}
		return ParsePart(s)
	})
	l.piece(t, f)
	if at, ok := strict.OptCell(t.Table, "energy", func(s string) (Density, error) { return parseDensity(s, 2) }); ok {
		r.sheet.printed = given{set: true, at: [NumCases]Density{at, at, at}, ref: t.ref("energy_ref")}
	}
	if f.ID == "" {
		return
	}
	if was, ok := l.byID[f.ID]; ok {
		t.Fail("id", "food %s is already on line %d", f.ID, was.line)
		return
	}
	l.byID[f.ID] = r
	l.rows = append(l.rows, r)
}

// known notes what stands in no list of words.
func known[T any](t table, name string, words []string, find func(string) (T, error)) {
	for _, w := range words {
		if _, err := find(w); err != nil && w != "" {
			t.Fail(name, "%s %w", name, err)
		}
	}
}

func (l *loader) piece(t table, f *Food) {
	typical, ok := strict.OptCell(t.Table, "piece_typical", units.ParseMass)
	if !ok {
		for _, name := range []string{"piece_low", "piece_high", "piece_name"} {
			if t.OptText(name) != "" {
				t.Fail(name, "%s without piece_typical", name)
			}
		}
		return
	}
	f.Piece = units.Exactly(typical)
	if v, ok := strict.OptCell(t.Table, "piece_low", units.ParseMass); ok {
		f.Piece.Low = v
	}
	if v, ok := strict.OptCell(t.Table, "piece_high", units.ParseMass); ok {
		f.Piece.High = v
	}
	if !f.Piece.Valid() || f.Piece.Low <= 0 {
		t.Fail("piece_typical", "piece: want 0 g < low <= typical <= high")
	}
	f.PieceName = t.Text("piece_name")
	f.PieceRef = t.ref("piece_ref")
}

// food finds the food a row is about.
func (l *loader) food(t table) *row {
	id := t.OptText("food")
	r, ok := l.byID[id]
	if !ok {
		t.Fail("food", "no food has the id %q", clip(id))
		return nil
	}
	return r
}

// lowTypicalHigh reads a range; a blank low and high mean the typical value.
func lowTypicalHigh[T cmp.Ordered](t table, parse func(string) (T, error)) (r units.Range[T], ok bool) {
	typical, ok := strict.Cell(t.Table, "typical", parse)
	if !ok {
		return r, false
	}
	r = units.Exactly(typical)
	low, hasLow := strict.OptCell(t.Table, "low", parse)
	high, hasHigh := strict.OptCell(t.Table, "high", parse)
	if hasLow != hasHigh {
		t.Fail("low", "give both low and high, or neither")
		return r, false
	}
	if hasLow {
		r.Low, r.High = low, high
	}
	if !r.Valid() {
		t.Fail("typical", "want low <= typical <= high")
		return r, false
	}
	return r, true
}

func (l *loader) partRow(t table) {
	r := l.food(t)
	part, ok := strict.Cell(t.Table, "part", ParsePart)
	rng, okRange := lowTypicalHigh(t, units.ParseShare)
	ref := t.ref("ref")
	if r == nil || !ok || !okRange {
		return
	}
	if r.partSet[part] {
		t.Fail("part", "%s already has its %s", r.food.ID, part)
		return
	}
	if rng.High > units.Whole {
		t.Fail("high", "more than 100 %%")
		return
	}
	if part == Bone {
		l.boneOf(t, r)
	} else if t.OptText("bone") != "" || t.OptText("basis") != "" {
		t.Fail("bone", "%s has no kind of bone", part)
	}
	r.partSet[part] = true
	r.parts[part].low, r.parts[part].typical, r.parts[part].high = rng.Low, rng.Typical, rng.High
	r.partRefs[part] = ref
}

func parseBasis(s string) (basis, error) {
	switch s {
	case "edible":
		return edible, nil
	case "whole":
		return whole, nil
	}
	return 0, fmt.Errorf("basis %q: want edible (bone is to be added) or whole (bone is in it)", clip(s))
}

func (l *loader) nutrientRow(t table) {
	r := l.food(t)
	b, _ := strict.Cell(t.Table, "basis", parseBasis)
	ref := t.ref("ref")
	for _, name := range t.Head() {
		col, ok := l.figures[name]
		if !ok || t.OptText(name) == "" {
			continue
		}
		d, err := parseDensity(t.OptText(name), col.shift)
		if err != nil {
			t.Fail(name, "%s: %w", name, err)
			continue
		}
		l.give(t, name, r, col.nutrient, given{set: true, basis: b, at: [NumCases]Density{d, d, d}, ref: ref})
	}
}

func (l *loader) extraRow(t table) {
	r := l.food(t)
	n, rng, ok := nutrientRange(t)
	b, _ := strict.Cell(t.Table, "basis", parseBasis)
	ref := t.ref("ref")
	if ok {
		l.give(t, "nutrient", r, n, given{set: true, basis: b, at: [NumCases]Density{rng.Low, rng.Typical, rng.High}, ref: ref})
	}
}

// nutrientRange reads nutrient, unit and the range in that unit.
func nutrientRange(t table) (n Nutrient, rng units.Range[Density], ok bool) {
	n, okName := strict.Cell(t.Table, "nutrient", ParseNutrient)
	if okName && n == Carbohydrate {
		t.Fail("nutrient", "carbohydrate is worked out, never given")
		okName = false
	}
	shift, okUnit := strict.Cell(t.Table, "unit", func(s string) (int, error) { return unitShift(s, n.Unit()) })
	if !okName || !okUnit {
		return n, rng, false
	}
	rng, ok = lowTypicalHigh(t, func(s string) (Density, error) { return parseDensity(s, shift) })
	return n, rng, ok
}

func (l *loader) give(t table, field string, r *row, n Nutrient, g given) {
	if r == nil {
		return
	}
	if r.sheet.nutrients[n].set {
		t.Fail(field, "%s already has a figure of %s", r.food.ID, n)
		return
	}
	if n.Unit() == "g" && g.at[MostBone] > 100*DensityUnit {
		t.Fail(field, "%s: more than 100 g in 100 g", n)
		return
	}
	r.sheet.nutrients[n] = g
}

// boneOf reads the kind of a food's bone and the basis of its share; without them
// its kind is the one of its animal.
func (l *loader) boneOf(t table, r *row) {
	kind, ok1 := strict.OptCell(t.Table, "bone", tag)
	basis, ok2 := strict.OptCell(t.Table, "basis", parseShareBasis)
	if ok1 != ok2 {
		t.Fail("basis", "give both bone and basis, or neither")
	}
	if !ok1 || !ok2 {
		return
	}
	m := l.bones[kind]
	if m == nil {
		t.Fail("bone", "no kind of bone in bone.csv is called %q", clip(kind))
		return
	}
	if b, ok := m.basis(); !ok || b != 0 && b != basis {
		t.Fail("basis", "the share is of %s bone, the figures of %s of %s", basis, kind, b)
	}
	r.food.BoneKind, r.food.BoneBasis = kind, basis
}

// parseShareBasis reads the basis of a share of bone.
func parseShareBasis(s string) (BoneBasis, error) {
	b, err := ParseBoneBasis(s)
	if err == nil && b == OfCut {
		err = errors.New("a share is of the cut always: want refuse or clean")
	}
	return b, err
}

func (l *loader) boneRow(t table) {
	kind, okKind := strict.Cell(t.Table, "kind", tag)
	basis, okBasis := strict.Cell(t.Table, "basis", ParseBoneBasis)
	n, rng, ok := nutrientRange(t)
	ref := t.ref("ref")
	if !ok || !okKind || !okBasis {
		return
	}
	m := l.bones[kind]
	if m == nil {
		m = &boneKind{of: t.List("for")}
		known(t, "for", m.of, l.words.Animal)
		l.bones[kind] = m
	}
	if m.minerals[n].set {
		t.Fail("nutrient", "%s already has a figure of %s", kind, n)
		return
	}
	m.minerals[n] = boneFigure{given{set: true, at: [NumCases]Density{rng.Low, rng.Typical, rng.High}, ref: ref}, basis}
	if _, ok := m.basis(); !ok {
		t.Fail("basis", "the figures of %s are of two bases", kind)
	}
}

// finish works out the parts and figures of every food and builds the catalogue.
func (l *loader) finish() *Catalogue {
	c := &Catalogue{reg: l.reg, bones: l.bones, words: l.words}
	for _, r := range l.rows {
		at := func(format string, args ...any) {
			l.faults = append(l.faults, strict.Fault{Path: r.path, Line: r.line, Col: 1, Msg: r.food.ID + ": " + fmt.Sprintf(format, args...)})
		}
		l.words.know(&r.food) // what stands in no list is a fault of its row already
		r.apportion(at)
		l.bones.settle(&r.food)
		r.food.facts = settle(&r.food, &r.sheet, l.bones)
		r.food.facts.partRefs = r.partRefs
		c.foods = append(c.foods, &r.food)
	}
	for _, clash := range c.index() {
		r := l.byID[clash.food.ID]
		l.faults = append(l.faults, strict.Fault{Path: r.path, Line: r.line, Col: 1, Msg: clash.Error(), Err: clash})
	}
	return c
}

// apportion turns the rows of parts.csv and the slot into shares that sum to
// the whole. What the rows leave over belongs to the slot, without one to
// muscle, and when muscle has a row of its own to the rest.
func (r *row) apportion(fault func(format string, args ...any)) {
	f := &r.food
	hasRows := slices.Contains(r.partSet[:], true)
	switch {
	case f.BoneIn && !r.partSet[Bone], !hasRows && !r.hasSlot:
		if !f.BoneIn && f.Kind != WholePrey && f.Kind != Mix && f.Kind != DriedRaw && f.Kind != DryFood {
			fault("slot is missing")
		}
		return // the parts are not known
	case f.Kind == WholePrey && !hasRows:
		fault("whole prey has no slot: give its parts, or nothing")
		return
	}
	over := r.slot
	if !r.hasSlot {
		over = Muscle
	}
	if r.partSet[over] {
		over = Rest
	}
	for c := range Case(NumCases) {
		left := units.Whole
		for p := range r.parts {
			share := [NumCases]units.Share{r.parts[p].low, r.parts[p].typical, r.parts[p].high}[c]
			f.Shares[c][p] = share
			left -= share
		}
		if left < 0 {
			fault("its parts make %s at %s", units.Whole-left, c)
			return
		}
		if left > 0 && r.partSet[over] {
			fault("its parts make only %s at %s", units.Whole-left, c)
			return
		}
		f.Shares[c][over] += left
	}
	f.PartsKnown = true
	f.PartsRef = f.Ref
	for _, p := range []Part{Muscle, Bone} {
		if r.partSet[p] {
			f.PartsRef = r.partRefs[p]
		}
	}
	for p := range r.partRefs {
		if !r.partSet[p] && f.HasPart(Part(p)) {
			r.partRefs[p] = f.PartsRef
		}
	}
	if f.BoneIn != (f.Shares[MostBone][Bone] > 0) && (f.Kind == Cut || f.BoneIn) {
		fault("bone_in says %v, its share of bone says otherwise", f.BoneIn)
	}
}
