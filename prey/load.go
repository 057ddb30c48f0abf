package prey

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Bounds of a catalogue file.
const (
	maxFileBytes  = 4 << 20
	maxFieldBytes = 2048
	maxFaults     = 200
)

// Load reads a catalogue from the five files foods.csv, parts.csv,
// nutrients.csv, extra.csv and bone.csv of fsys; the package comment gives
// their form. Every row must carry evidence, every source it names must be in
// reg, and every species and hazard tag in [Words]. The error is a strict.Faults with the faults of all files (at most 200 and
// a closing count), or wraps what fsys returned.
func Load(fsys fs.FS, reg *cite.Registry) (*Catalogue, error) {
	words, err := ShippedWords()
	if err != nil {
		return nil, err
	}
	l := loader{reg: reg, words: words, byID: make(map[string]*row), refs: make(map[string]cite.Ref), bones: bones{}}
	for _, file := range []struct {
		name string
		read func(*table)
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
		slices.SortStableFunc(l.faults, func(a, b strict.Fault) int {
			return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
		})
		if n := len(l.faults) - maxFaults; n > 0 {
			last := l.faults[maxFaults-1]
			last.Msg = fmt.Sprintf("and %d more faults", n+1)
			l.faults = append(l.faults[:maxFaults-1], last)
		}
		return nil, l.faults
	}
	return c, nil
}

// loader gathers the rows of all files and their faults.
type loader struct {
	reg    *cite.Registry
	words  *Words
	rows   []*row
	byID   map[string]*row
	bones  bones
	refs   map[string]cite.Ref // references already checked, by their text
	faults strict.Faults
}

// row is one food while its files are being read.
type row struct {
	food      Food
	slot      Part
	hasSlot   bool
	parts     [NumParts]struct{ low, typical, high units.Share }
	partSet   [NumParts]bool
	sheet     sheet
	partRefs  [NumParts]cite.Ref
	path      string
	line, col int
}

// table is one file while it is being read.
type table struct {
	l       *loader
	path    string
	csv     *csv.Reader
	header  []string
	columns []column
	fields  []string
}

func (l *loader) file(fsys fs.FS, path string, read func(*table)) error {
	f, err := fsys.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	t := &table{l: l, path: path}
	if len(data) > maxFileBytes {
		t.at(1, 1, "larger than %d bytes", maxFileBytes)
		return nil
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	t.csv = csv.NewReader(strings.NewReader(text))
	t.csv.FieldsPerRecord = -1
	t.csv.ReuseRecord = true
	for {
		t.fields, err = t.csv.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				t.at(pe.Line, pe.Column, "%v", pe.Err)
			} else {
				t.at(1, 1, "%v", err)
			}
			return nil
		}
		if t.header == nil {
			t.header = slices.Clone(t.fields)
			if !t.checkHeader() {
				return nil
			}
			continue
		}
		if len(t.fields) != len(t.header) {
			t.fault(0, "%d fields, want %d", len(t.fields), len(t.header))
			continue
		}
		if t.clean() {
			read(t)
		}
	}
	if t.header == nil {
		t.at(1, 1, "empty: the first line must name the columns")
	}
	return nil
}

func (t *table) at(line, col int, format string, args ...any) {
	err := fmt.Errorf(format, args...)
	msg := strings.ReplaceAll(err.Error(), "\n", "; ")
	t.l.faults = append(t.l.faults, strict.Fault{Path: t.path, Line: max(line, 1), Col: max(col, 1), Msg: msg, Err: errors.Unwrap(err)})
}

// fault reports a fault at a field of the current row; field -1 is the row.
func (t *table) fault(field int, format string, args ...any) {
	line, col := t.csv.FieldPos(max(field, 0))
	t.at(line, col, format, args...)
}

// noteRef is a column of foods.csv: without it a note has the evidence of its row.
const noteRef = "note_ref"

// optional are the columns that may be missing.
func optional(path string) []string {
	switch path {
	case "foods.csv":
		return []string{noteRef}
	case "parts.csv":
		return []string{"bone", "basis"}
	}
	return nil
}

// columns returns the columns a file may have; those of nutrients.csv that hold
// figures are judged by figureColumn.
func columns(path string) []string {
	switch path {
	case "foods.csv":
		return []string{"id", "name", "synonyms", "species", "contains", "kind", "cut", "slot", "anatomy", "colour", "bone_in", "complete",
			"piece_name", "piece_low", "piece_typical", "piece_high", "piece_ref", "hazards", "energy", "energy_ref", "note", "ref"}
	case "parts.csv":
		return []string{"food", "part", "low", "typical", "high", "ref"}
	case "nutrients.csv":
		return []string{"food", "basis", "ref"}
	case "extra.csv":
		return []string{"food", "nutrient", "low", "typical", "high", "unit", "basis", "ref"}
	case "bone.csv":
		return []string{"kind", "basis", "for", "nutrient", "low", "typical", "high", "unit", "ref"}
	case "species.csv":
		return []string{"name", "same", "groups", "ref"}
	case "tags.csv":
		return []string{"tag", "meaning"}
	}
	return nil
}

func (t *table) checkHeader() bool {
	before := len(t.l.faults)
	want := columns(t.path)
	for i, name := range t.header {
		known := slices.Contains(want, name) || slices.Contains(optional(t.path), name)
		var col column
		if !known && t.path == "nutrients.csv" {
			col, known = figureColumn(name)
		}
		t.columns = append(t.columns, col)
		if !known {
			t.fault(i, "no column is called %q", clip(name))
		}
		if slices.Index(t.header, name) < i {
			t.fault(i, "column %s is there twice", clip(name))
		}
	}
	for _, name := range want {
		if !slices.Contains(t.header, name) {
			t.fault(0, "column %s is missing", name)
		}
	}
	return len(t.l.faults) == before
}

// column is what a column of nutrients.csv holds.
type column struct {
	figure   bool
	nutrient Nutrient
	shift    int // power of ten from the column's unit to the nutrient's own
}

// figureColumn reads "vitamin_a_iu".
func figureColumn(name string) (column, bool) {
	i := strings.LastIndexByte(name, '_')
	if i < 0 {
		return column{}, false
	}
	n, err := ParseNutrient(strings.ReplaceAll(name[:i], "_", "-"))
	if err != nil || n == Carbohydrate {
		return column{}, false
	}
	shift, err := unitShift(name[i+1:], n.Unit())
	return column{true, n, shift}, err == nil
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

func (t *table) clean() bool {
	ok := true
	for i, v := range t.fields {
		switch {
		case len(v) > maxFieldBytes:
			t.fault(i, "%s is longer than %d bytes", t.header[i], maxFieldBytes)
		case v != strings.TrimSpace(v):
			t.fault(i, "%s begins or ends with a space", t.header[i])
		case !utf8.ValidString(v) || strings.ContainsFunc(v, unicode.IsControl):
			t.fault(i, "%s holds bytes that are not text", t.header[i])
		default:
			continue
		}
		ok = false
	}
	return ok
}

// get returns a field and its number; "" for a column that is not there.
func (t *table) get(name string) (string, int) {
	i := slices.Index(t.header, name)
	if i < 0 {
		return "", 0
	}
	return t.fields[i], i
}

func (t *table) text(name string) string { v, _ := t.get(name); return v }

// value reads a field through a parser; a blank one gives the zero value.
func value[T any](t *table, name string, parse func(string) (T, error)) (v T, ok bool) {
	text, i := t.get(name)
	if text == "" {
		return v, false
	}
	v, err := parse(text)
	if err != nil {
		t.fault(i, "%s: %w", name, err)
		return v, false
	}
	return v, true
}

// required is value for a field that may not be blank.
func required[T any](t *table, name string, parse func(string) (T, error)) (v T, ok bool) {
	if text, i := t.get(name); text == "" {
		t.fault(i, "%s is missing", name)
		return v, false
	}
	return value(t, name, parse)
}

func (t *table) list(name string) []string {
	text, i := t.get(name)
	if text == "" {
		return nil
	}
	items := strings.Split(text, ";")
	for k := range items {
		if items[k] = strings.TrimSpace(items[k]); items[k] == "" {
			t.fault(i, "%s has an empty item", name)
		}
	}
	return items
}

// ref reads evidence and checks it against the registry.
func (t *table) ref(name string) cite.Ref {
	text, i := t.get(name)
	if text == "" {
		t.fault(i, "%s is missing: every row needs evidence", name)
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
		t.fault(i, "%w", err)
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
	ok := s != "" && len(s) <= 64 && !strings.HasPrefix(s, "-") && !strings.HasSuffix(s, "-") && !strings.Contains(s, "--")
	for i := range len(s) {
		c := s[i]
		ok = ok && (c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-')
	}
	if !ok {
		return "", fmt.Errorf("%q: want lower-case words joined by hyphens", clip(s))
	}
	return s, nil
}

func notBlank(s string) (string, error) { return s, nil }

func (l *loader) foodRow(t *table) {
	r := &row{path: t.path}
	r.line, r.col = t.csv.FieldPos(0)
	f := &r.food
	f.ID, _ = required(t, "id", tag)
	f.Name, _ = required(t, "name", notBlank)
	f.Synonyms = t.list("synonyms")
	f.Species = t.text("species")
	f.Contains = t.list("contains")
	f.Kind, _ = required(t, "kind", ParseKind)
	f.Cut = t.text("cut")
	f.Anatomy = t.text("anatomy")
	f.Colour, _ = required(t, "colour", ParseColour)
	f.BoneIn, _ = value(t, "bone_in", yesNo)
	f.Complete, _ = value(t, "complete", yesNo)
	f.Hazards = t.list("hazards")
	known(t, "species", []string{f.Species}, l.words.Animal)
	known(t, "contains", f.Contains, l.words.Animal)
	known(t, "hazards", f.Hazards, l.words.Tag)
	f.Ref = t.ref("ref")
	if note := t.text("note"); note != "" {
		f.Notes = []Note{{Text: note, Ref: f.Ref}}
		if i := slices.Index(t.header, noteRef); i >= 0 && t.fields[i] != "" {
			f.Notes[0].Ref = t.ref(noteRef)
		}
	}
	r.slot, r.hasSlot = value(t, "slot", func(s string) (Part, error) {
		if s == "none" {
			return Rest, nil
		}
		return ParsePart(s)
	})
	l.piece(t, f)
	if at, ok := value(t, "energy", func(s string) (Density, error) { return parseDensity(s, 2) }); ok {
		r.sheet.printed = given{set: true, at: [NumCases]Density{at, at, at}, ref: t.ref("energy_ref")}
	}
	if f.ID == "" {
		return
	}
	if was, ok := l.byID[f.ID]; ok {
		t.fault(0, "food %s is already on line %d", f.ID, was.line)
		return
	}
	l.byID[f.ID] = r
	l.rows = append(l.rows, r)
}

// known notes what stands in no list of words.
func known[T any](t *table, name string, words []string, find func(string) (T, error)) {
	for _, w := range words {
		if _, err := find(w); err != nil && w != "" {
			_, i := t.get(name)
			t.fault(i, "%s %w", name, err)
		}
	}
}

func (l *loader) piece(t *table, f *Food) {
	typical, ok := value(t, "piece_typical", units.ParseMass)
	if !ok {
		for _, name := range []string{"piece_low", "piece_high", "piece_name"} {
			if text, i := t.get(name); text != "" {
				t.fault(i, "%s without piece_typical", name)
			}
		}
		return
	}
	f.Piece = units.Exactly(typical)
	if v, ok := value(t, "piece_low", units.ParseMass); ok {
		f.Piece.Low = v
	}
	if v, ok := value(t, "piece_high", units.ParseMass); ok {
		f.Piece.High = v
	}
	if _, i := t.get("piece_typical"); !f.Piece.Valid() || f.Piece.Low <= 0 {
		t.fault(i, "piece: want 0 g < low <= typical <= high")
	}
	f.PieceName, _ = required(t, "piece_name", notBlank)
	f.PieceRef = t.ref("piece_ref")
}

// food finds the food a row is about.
func (l *loader) food(t *table) *row {
	id, i := t.get("food")
	r, ok := l.byID[id]
	if !ok {
		t.fault(i, "no food has the id %q", clip(id))
		return nil
	}
	return r
}

// lowTypicalHigh reads a range; a blank low and high mean the typical value.
func lowTypicalHigh[T cmp.Ordered](t *table, parse func(string) (T, error)) (r units.Range[T], ok bool) {
	typical, ok := required(t, "typical", parse)
	if !ok {
		return r, false
	}
	r = units.Exactly(typical)
	low, hasLow := value(t, "low", parse)
	high, hasHigh := value(t, "high", parse)
	if _, i := t.get("low"); hasLow != hasHigh {
		t.fault(i, "give both low and high, or neither")
		return r, false
	}
	if hasLow {
		r.Low, r.High = low, high
	}
	if _, i := t.get("typical"); !r.Valid() {
		t.fault(i, "want low <= typical <= high")
		return r, false
	}
	return r, true
}

func (l *loader) partRow(t *table) {
	r := l.food(t)
	part, ok := required(t, "part", ParsePart)
	rng, okRange := lowTypicalHigh(t, units.ParseShare)
	ref := t.ref("ref")
	if r == nil || !ok || !okRange {
		return
	}
	if _, i := t.get("part"); r.partSet[part] {
		t.fault(i, "%s already has its %s", r.food.ID, part)
		return
	}
	if _, i := t.get("high"); rng.High > units.Whole {
		t.fault(i, "more than 100 %%")
		return
	}
	if part == Bone {
		l.boneOf(t, r)
	} else if text, i := t.get("bone"); text != "" || t.text("basis") != "" {
		t.fault(i, "%s has no kind of bone", part)
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

func (l *loader) nutrientRow(t *table) {
	r := l.food(t)
	b, _ := required(t, "basis", parseBasis)
	ref := t.ref("ref")
	for i, col := range t.columns {
		if !col.figure || t.fields[i] == "" {
			continue
		}
		d, err := parseDensity(t.fields[i], col.shift)
		if err != nil {
			t.fault(i, "%s: %w", t.header[i], err)
			continue
		}
		l.give(t, i, r, col.nutrient, given{set: true, basis: b, at: [NumCases]Density{d, d, d}, ref: ref})
	}
}

func (l *loader) extraRow(t *table) {
	r := l.food(t)
	n, rng, ok := nutrientRange(t)
	b, _ := required(t, "basis", parseBasis)
	ref := t.ref("ref")
	if ok {
		_, i := t.get("nutrient")
		l.give(t, i, r, n, given{set: true, basis: b, at: [NumCases]Density{rng.Low, rng.Typical, rng.High}, ref: ref})
	}
}

// nutrientRange reads nutrient, unit and the range in that unit.
func nutrientRange(t *table) (n Nutrient, rng units.Range[Density], ok bool) {
	n, okName := required(t, "nutrient", ParseNutrient)
	if _, i := t.get("nutrient"); okName && n == Carbohydrate {
		t.fault(i, "carbohydrate is worked out, never given")
		okName = false
	}
	shift, okUnit := required(t, "unit", func(s string) (int, error) { return unitShift(s, n.Unit()) })
	if !okName || !okUnit {
		return n, rng, false
	}
	rng, ok = lowTypicalHigh(t, func(s string) (Density, error) { return parseDensity(s, shift) })
	return n, rng, ok
}

func (l *loader) give(t *table, field int, r *row, n Nutrient, g given) {
	if r == nil {
		return
	}
	if r.sheet.nutrients[n].set {
		t.fault(field, "%s already has a figure of %s", r.food.ID, n)
		return
	}
	if n.Unit() == "g" && g.at[MostBone] > 100*DensityUnit {
		t.fault(field, "%s: more than 100 g in 100 g", n)
		return
	}
	r.sheet.nutrients[n] = g
}

// boneOf reads the kind of a food's bone and the basis of its share; without them
// its kind is the one of its animal.
func (l *loader) boneOf(t *table, r *row) {
	kind, ok1 := value(t, "bone", tag)
	basis, ok2 := value(t, "basis", parseShareBasis)
	if _, i := t.get("basis"); ok1 != ok2 {
		t.fault(i, "give both bone and basis, or neither")
	}
	if !ok1 || !ok2 {
		return
	}
	m := l.bones[kind]
	if _, i := t.get("bone"); m == nil {
		t.fault(i, "no kind of bone in bone.csv is called %q", clip(kind))
		return
	}
	if b, ok := m.basis(); !ok || b != 0 && b != basis {
		_, i := t.get("basis")
		t.fault(i, "the share is of %s bone, the figures of %s of %s", basis, kind, b)
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

func (l *loader) boneRow(t *table) {
	kind, okKind := required(t, "kind", tag)
	basis, okBasis := required(t, "basis", ParseBoneBasis)
	n, rng, ok := nutrientRange(t)
	ref := t.ref("ref")
	if !ok || !okKind || !okBasis {
		return
	}
	m := l.bones[kind]
	if m == nil {
		m = &boneKind{of: t.list("for")}
		known(t, "for", m.of, l.words.Animal)
		l.bones[kind] = m
	}
	if _, i := t.get("nutrient"); m.minerals[n].set {
		t.fault(i, "%s already has a figure of %s", kind, n)
		return
	}
	m.minerals[n] = boneFigure{given{set: true, at: [NumCases]Density{rng.Low, rng.Typical, rng.High}, ref: ref}, basis}
	if _, ok := m.basis(); !ok {
		_, i := t.get("basis")
		t.fault(i, "the figures of %s are of two bases", kind)
	}
}

// finish works out the parts and figures of every food and builds the catalogue.
func (l *loader) finish() *Catalogue {
	c := &Catalogue{reg: l.reg, bones: l.bones, words: l.words}
	for _, r := range l.rows {
		at := func(format string, args ...any) {
			l.faults = append(l.faults, strict.Fault{Path: r.path, Line: r.line, Col: r.col, Msg: r.food.ID + ": " + fmt.Sprintf(format, args...)})
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
		l.faults = append(l.faults, strict.Fault{Path: r.path, Line: r.line, Col: r.col, Msg: clash.Error(), Err: clash})
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
