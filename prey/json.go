package prey

import (
	"bytes"
	"encoding/json"
	"fmt"
	"iter"
	"slices"
	"strconv"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// jsonFood is a food with everything that was read about it. What follows from
// that (figures as fed, energy, carbohydrate, the groups of its animals) is worked
// out again by the reader.
type jsonFood struct {
	ID       string            `json:"id"`
	Name     string            `json:"name,omitempty"`
	Synonyms []string          `json:"synonyms,omitempty"`
	Species  string            `json:"species,omitempty"`
	Contains []string          `json:"contains,omitempty"`
	Like     map[string]string `json:"like,omitempty"`
	Kind     Kind              `json:"kind,omitzero"`
	Cut      string            `json:"cut,omitempty"`
	Anatomy  string            `json:"anatomy,omitempty"`
	Colour   Colour            `json:"colour,omitzero"`
	BoneIn   bool              `json:"bone-in,omitempty"`
	BoneKind string            `json:"bone-kind,omitempty"`
	Of       BoneBasis         `json:"bone-basis,omitzero"`
	Complete bool              `json:"complete,omitempty"`
	Parts    []jsonPart        `json:"parts,omitempty"`
	PartsRef cite.Ref          `json:"parts-ref,omitzero"`
	Piece    *jsonPiece        `json:"piece,omitempty"`
	Hazards  []string          `json:"hazards,omitempty"`
	Notes    []jsonNote        `json:"notes,omitempty"`
	Ref      cite.Ref          `json:"ref,omitzero"`
	Override string            `json:"override,omitempty"`
	Figures  []jsonGiven       `json:"figures,omitzero"` // none: nobody looked
	Energy   *jsonGiven        `json:"energy,omitempty"`
	Bone     []jsonGiven       `json:"bone,omitzero"` // where it is not that of its kind in the shipped foods
}

type jsonPart struct {
	Part Part                  `json:"part"`
	At   [NumCases]units.Share `json:"at"`
	Ref  cite.Ref              `json:"ref,omitzero"`
}

type jsonPiece struct {
	Name    string     `json:"name,omitempty"`
	Low     units.Mass `json:"low"`
	Typical units.Mass `json:"typical"`
	High    units.Mass `json:"high"`
	Ref     cite.Ref   `json:"ref,omitzero"`
}

type jsonNote struct {
	Text string   `json:"text"`
	Ref  cite.Ref `json:"ref,omitzero"`
}

// jsonGiven is a figure per 100 g in the nutrient's own unit, kcal for energy.
type jsonGiven struct {
	Nutrient string            `json:"nutrient,omitempty"`
	Basis    string            `json:"basis,omitempty"`
	At       [NumCases]Density `json:"at"`
	Ref      cite.Ref          `json:"ref,omitzero"`
}

// MarshalJSON writes all that is known of the food, so that it can travel to where
// no catalogue holds it. The error wraps [ErrFood] for a food that
// [Food.UnmarshalJSON] would refuse.
func (f Food) MarshalJSON() ([]byte, error) {
	text, err := f.json()
	if err == nil {
		err = new(Food).UnmarshalJSON(text)
	}
	if err != nil {
		return nil, fmt.Errorf("writing food %q: %w: %w", clip(f.ID), ErrFood, err)
	}
	return text, nil
}

func (f *Food) json() ([]byte, error) {
	out := jsonFood{
		ID: f.ID, Name: f.Name, Synonyms: f.Synonyms, Species: f.Species, Contains: f.Contains, Like: f.Like, Kind: f.Kind,
		Cut: f.Cut, Anatomy: f.Anatomy, Colour: f.Colour, BoneIn: f.BoneIn, BoneKind: f.BoneKind, Of: f.BoneBasis, Complete: f.Complete, PartsRef: f.PartsRef,
		Hazards: f.Hazards, Ref: f.Ref, Override: f.Override,
	}
	if f.PartsKnown != (f.Shares != [NumCases][NumParts]units.Share{}) {
		return nil, fmt.Errorf("it has parts that are not known, or knows of parts and has none")
	}
	for _, p := range Parts() {
		if part := (jsonPart{Part: p, At: [NumCases]units.Share{f.Shares[0][p], f.Shares[1][p], f.Shares[2][p]}}); f.HasPart(p) {
			if f.facts != nil {
				part.Ref = f.facts.partRefs[p]
			}
			out.Parts = append(out.Parts, part)
		}
	}
	if p := f.Piece; p != (units.Range[units.Mass]{}) || f.PieceName != "" || f.PieceRef.Evidence != 0 {
		out.Piece = &jsonPiece{f.PieceName, p.Low, p.Typical, p.High, f.PieceRef}
	}
	for _, n := range f.Notes {
		out.Notes = append(out.Notes, jsonNote(n))
	}
	if k := f.facts; k != nil {
		out.Figures = []jsonGiven{}
		for n := range Nutrient(NumNutrients) {
			if g := &k.sheet.nutrients[n]; g.set && n != Carbohydrate {
				out.Figures = append(out.Figures, jsonGiven{n.Key(), g.basis.String(), g.at, g.ref})
			}
		}
		if g := &k.sheet.printed; g.set {
			out.Energy = &jsonGiven{At: g.at, Ref: g.ref}
		}
		c, err := Shipped()
		if err != nil {
			return nil, err
		}
		if bone := k.sheet.bone; !bone.equal(c.bones.of(f, &sheet{})) {
			out.Bone = bone.json()
		}
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(out); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

func (m *minerals) json() []jsonGiven {
	out := []jsonGiven{} // none: what its bone holds is not known
	for n := range Nutrient(NumNutrients) {
		if m != nil && m[n].set {
			out = append(out, jsonGiven{Nutrient: n.Key(), Basis: m[n].basis.String(), At: m[n].at, Ref: m[n].ref})
		}
	}
	return out
}

func (m *minerals) equal(o *minerals) bool {
	if m == nil || o == nil {
		return m == o
	}
	for n := range m {
		a, b := &m[n], &o[n]
		if a.set != b.set || a.basis != b.basis || a.at != b.at || a.ref.String() != b.ref.String() {
			return false
		}
	}
	return true
}

// UnmarshalJSON reads what [Food.MarshalJSON] wrote. The food then stands for
// itself, as one of a catalogue: it is known by all names of its animals. The error
// is a strict.Faults, with line and column within the text. Null changes nothing.
func (f *Food) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		return nil
	}
	doc := strict.Parse("food", text)
	got := ReadFood(doc.Root())
	if err := doc.Err(); err != nil {
		return err
	}
	*f = *got
	return nil
}

// ReadFood reads a food in the form of [Food.MarshalJSON] where it stands in a file
// of another kind. What is wrong with it is noted as a fault of the file.
func ReadFood(n strict.Node) *Food {
	f := &Food{}
	m := n.Map()
	c, err := Shipped() // its words, and its bone
	if err != nil {
		n.Fail("%w", err)
		return f
	}
	text := func(s string) (string, error) { return s, nil }
	f.ID = strict.Value(m, "id", tag)
	f.Name, f.Cut, f.Anatomy, f.Species, f.Override = m.OptText("name"), m.OptText("cut"), m.OptText("anatomy"), m.OptText("species"), m.OptText("override")
	f.Synonyms, f.Contains, f.Hazards = texts(m, "synonyms", text), texts(m, "contains", text), texts(m, "hazards", text)
	if like, ok := m.Opt("like"); ok {
		f.Like = map[string]string{}
		own := like.Map()
		for _, name := range own.Keys() {
			f.Like[name] = own.Text(name)
		}
	}
	f.Kind, _ = strict.OptValue(m, "kind", ParseKind)
	f.Colour, _ = strict.OptValue(m, "colour", ParseColour)
	f.BoneIn, f.Complete = m.Bool("bone-in", false), m.Bool("complete", false)
	f.BoneKind = m.OptText("bone-kind")
	f.BoneBasis, _ = strict.OptValue(m, "bone-basis", parseShareBasis)
	f.Ref, f.PartsRef = optRef(m, "ref"), optRef(m, "parts-ref")
	refs := f.readParts(m)
	if e, ok := m.Opt("piece"); ok {
		p := e.Map()
		f.PieceName, f.PieceRef = p.OptText("name"), optRef(p, "ref")
		f.Piece = units.Range[units.Mass]{Low: strict.Value(p, "low", units.ParseMass), Typical: strict.Value(p, "typical", units.ParseMass), High: strict.Value(p, "high", units.ParseMass)}
		if !f.Piece.Valid() || f.Piece.Low < 0 {
			e.Fail("piece: want 0 g <= low <= typical <= high")
		}
		p.Done()
	}
	if list, ok := m.Opt("notes"); ok {
		for _, e := range list.List() {
			p := e.Map()
			f.Notes = append(f.Notes, Note{p.Text("text"), optRef(p, "ref")})
			p.Done()
		}
	}
	var sheet sheet
	figures, known := m.Opt("figures")
	if known {
		for _, e := range figures.List() {
			readFigure(e, &sheet)
		}
	}
	if e, ok := m.Opt("energy"); ok {
		p := e.Map()
		sheet.printed = given{set: true, at: threeOf(p, ParseDensity), ref: optRef(p, "ref")}
		p.Done()
	}
	if list, ok := m.Opt("bone"); ok {
		sheet.bone = &minerals{}
		for _, e := range list.List() {
			readMineral(e, sheet.bone)
		}
	}
	m.Done()
	if err := c.bones.check(f); err != nil && sheet.bone == nil {
		n.Fail("%w", err)
	}
	for _, fault := range c.words.know(f) {
		n.Fail("%w", fault)
	}
	if known && (!f.PartsKnown || wholeShares(&f.Shares)) {
		f.facts = settle(f, &sheet, c.bones)
		f.facts.partRefs = refs
	}
	return f
}

// readParts reads the parts and returns where the figures of each are from.
func (f *Food) readParts(m strict.Map) (refs [NumParts]cite.Ref) {
	parts, ok := m.Opt("parts")
	if !ok {
		return refs
	}
	f.PartsKnown = true
	for _, e := range parts.List() {
		p := e.Map()
		part := strict.Value(p, "part", ParsePart)
		for c, share := range threeOf(p, units.ParseShare) {
			f.Shares[c][part] += share
		}
		refs[part] = optRef(p, "ref")
		p.Done()
	}
	if !wholeShares(&f.Shares) {
		parts.Fail("the parts do not make 100 %% in each case")
	}
	return refs
}

// readFigure reads one figure of a food into its place.
func readFigure(e strict.Node, into *sheet) {
	m := e.Map()
	g := given{set: true, at: threeOf(m, ParseDensity), ref: optRef(m, "ref")}
	g.basis, _ = strict.OptValue(m, "basis", parseBasis)
	if n, ok := nutrientOnce(m, func(n Nutrient) bool { return into.nutrients[n].set || n == Carbohydrate }); ok {
		into.nutrients[n] = g
	}
	m.Done()
}

// readMineral reads one figure of bone into its place.
func readMineral(e strict.Node, into *minerals) {
	m := e.Map()
	g := given{set: true, at: threeOf(m, ParseDensity), ref: optRef(m, "ref")}
	basis, _ := strict.OptValue(m, "basis", ParseBoneBasis)
	if n, ok := nutrientOnce(m, func(n Nutrient) bool { return into[n].set || n == Carbohydrate }); ok {
		into[n] = boneFigure{g, basis}
	}
	m.Done()
}

// nutrientOnce reads which nutrient a figure is of.
func nutrientOnce(m strict.Map, taken func(Nutrient) bool) (Nutrient, bool) {
	word := m.Get("nutrient")
	n, ok := strict.Read(word, ParseNutrient)
	if ok && taken(n) {
		word.Fail("%s is given twice, or worked out and never given", n)
	}
	return n, ok
}

func optRef(m strict.Map, key string) cite.Ref {
	r, _ := strict.OptValue(m, key, cite.ParseRef)
	return r
}

// threeOf reads the figures of the three cases.
func threeOf[T any](m strict.Map, parse func(string) (T, error)) (out [NumCases]T) {
	list := m.Get("at")
	items := list.List()
	if len(items) != NumCases && list.Kind() == strict.List {
		list.Fail("want %d figures, found %d", NumCases, len(items))
		return out
	}
	for i, e := range items {
		out[i], _ = strict.Read(e, parse)
	}
	return out
}

// Equal reports whether two foods are the same in everything that is known of
// them. Two that are nil are equal.
func (f *Food) Equal(g *Food) bool {
	if f == g || f == nil || g == nil {
		return f == g
	}
	a, err := f.json()
	b, err2 := g.json()
	return err == nil && err2 == nil && bytes.Equal(a, b)
}

// Own returns those of some foods that are not in the shipped catalogue as they
// are, each once and by first use: what has to travel with a value that names them.
// Name is what the value calls a food. That is its id; where two different foods
// have one id, as after bare bone was taken out of one of them, all of these travel,
// and the second of them is called "chicken-wing#2". Nil stands for no food, "". The
// error is that of reading the catalogue.
func Own(foods iter.Seq[*Food]) (own []*Food, name func(*Food) string, err error) {
	c, err := Shipped()
	if err != nil {
		return nil, nil, err
	}
	names := map[*Food]string{nil: ""}
	alike := map[string][]*Food{} // different foods, by their id
	var ids []string
	if foods == nil {
		foods = func(func(*Food) bool) {}
	}
	for f := range foods {
		if _, known := names[f]; known {
			continue
		}
		like := alike[f.ID]
		n := slices.IndexFunc(like, f.Equal)
		if n < 0 {
			n = len(like)
			alike[f.ID] = append(like, f)
			if n == 0 {
				ids = append(ids, f.ID)
			}
		}
		names[f] = Called(f.ID, n)
	}
	for _, id := range ids {
		like := alike[id]
		if shipped, err := c.Find(id); len(like) > 1 || err != nil || !shipped.Equal(like[0]) {
			own = append(own, like...)
		}
	}
	return own, func(f *Food) string { return names[f] }, nil
}

// Called is what a value calls the food that has the id after n others of that id,
// see [Own].
func Called(id string, n int) string {
	if n == 0 {
		return id
	}
	return id + "#" + strconv.Itoa(n+1)
}
