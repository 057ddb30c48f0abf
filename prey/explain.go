package prey

import (
	"fmt"
	"slices"
	"strings"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// ExplanationSchema is the schema of the JSON form of an [Explanation].
const ExplanationSchema = "fitchet.food/1"

// Explanation is everything held about one food, with how each figure is
// known, in plain words. It is ready for encoding/json.
type Explanation struct {
	Schema   string   `json:"schema"`
	ID       string   `json:"id"`
	Name     string   `json:"name"`
	Synonyms []string `json:"synonyms,omitempty"`
	Kind     string   `json:"kind"`
	Species  []string `json:"species,omitempty"`
	Cut      string   `json:"cut,omitempty"`
	Anatomy  string   `json:"anatomy,omitempty"`
	Colour   string   `json:"colour"`
	// Counts are sentences on how the food counts in a week.
	Counts        []string `json:"counts"`
	Piece         *Line    `json:"piece,omitempty"`
	Parts         []Line   `json:"parts,omitempty"`
	Energy        []Line   `json:"energy,omitempty"`
	Nutrients     []Line   `json:"nutrients,omitempty"`
	CalciumAsBone *Line    `json:"calcium_as_bone,omitempty"`
	Unknown       []string `json:"unknown,omitempty"` // names of what no figure is held of
	Hazards       []string `json:"hazards,omitempty"`
	Notes         []Remark `json:"notes,omitempty"`
	Source        string   `json:"source"`
	Override      string   `json:"override,omitempty"`
}

// Line is one figure with its source. Low, Typical and High are exact amounts
// in Unit; nutrients and energy are per 100 g as fed.
type Line struct {
	What    string `json:"what"`
	Low     string `json:"low"`
	Typical string `json:"typical"`
	High    string `json:"high"`
	Unit    string `json:"unit"`
	Source  string `json:"source"`
	// How is what lies between the source and the figure, or "".
	How string `json:"how,omitempty"`
	// BoneSource is where the minerals of bone come from, where bone counts.
	BoneSource string `json:"bone_source,omitempty"`
	// Floor says that the figure is the least that is known: bone is not counted.
	Floor bool `json:"floor,omitempty"`
}

// Remark is a note with its source.
type Remark struct {
	Text   string `json:"text"`
	Source string `json:"source"`
}

// Explain gives every figure of a food with its source. The food need not be
// of c; c lends its sources.
func (c *Catalogue) Explain(f *Food) Explanation {
	if f == nil {
		return Explanation{Schema: ExplanationSchema}
	}
	e := Explanation{
		Schema: ExplanationSchema, ID: f.ID, Name: f.Name, Synonyms: slices.Clone(f.Synonyms),
		Kind: f.Kind.String(), Cut: f.Cut, Anatomy: f.Anatomy, Colour: f.Colour.String(),
		Species: slices.Clone(f.Contains), Hazards: slices.Clone(f.Hazards),
		Source: f.Ref.Words(c.reg), Override: f.Override,
	}
	if f.Species != "" {
		e.Species = append([]string{f.Species}, e.Species...)
	}
	for _, n := range f.Notes {
		e.Notes = append(e.Notes, Remark{n.Text, n.Ref.Words(c.reg)})
	}
	if f.Piece.Typical > 0 {
		e.Piece = &Line{What: f.PieceName, Low: grams(f.Piece.Low), Typical: grams(f.Piece.Typical), High: grams(f.Piece.High), Unit: "g", Source: f.PieceRef.Words(c.reg), How: f.Piece.Typical.InOunces(1)}
	}
	e.Counts = f.counts()
	c.explainParts(f, &e)
	if f.facts == nil {
		for n := range Nutrient(NumNutrients) {
			e.Unknown = append(e.Unknown, n.Name())
		}
		return e
	}
	c.explainEnergy(f, &e)
	for n := range Nutrient(NumNutrients) {
		if fig, ok := f.Nutrient(n); ok {
			e.Nutrients = append(e.Nutrients, c.explainNutrient(f, n, fig))
		} else {
			e.Unknown = append(e.Unknown, n.Name())
		}
	}
	if share, ref, ok := f.CalciumAsBone(); ok {
		e.CalciumAsBone = &Line{
			What: "bone that would hold its calcium", Unit: "%", Low: percent(share.Low), Typical: percent(share.Typical), High: percent(share.High),
			Source: ref.Words(c.reg), How: "a measure of calcium, never added to bone",
		}
	}
	return e
}

// counts says how the food counts.
func (f *Food) counts() []string {
	var s []string
	switch {
	case f.Complete:
		s = append(s, "It counts as balanced in itself (common practice): shares are judged on the rest of the week.")
	case f.Kind == Mix:
		s = append(s, "It is an incomplete mix: it counts by its parts.")
	}
	if f.BoneIn {
		s = append(s, "It is a bone-in cut: where a target counts bone-in meat, its whole mass counts; where it counts edible bone, only the bone does.")
	}
	if !f.PartsKnown {
		why := "No source read gives its parts"
		if f.BoneIn {
			why = "No source read gives its share of bone, so its figures as fed are not known either"
		}
		s = append(s, why+": an audit of a week that holds it stays open.")
	}
	if f.facts != nil && f.facts.conflict != "" {
		s = append(s, "Its row contradicts itself ("+f.facts.conflict+"), so carbohydrate and the energy that rests on it are not known.")
	}
	return s
}

func (c *Catalogue) explainParts(f *Food, e *Explanation) {
	if !f.PartsKnown {
		return
	}
	for _, p := range Parts() {
		if !f.HasPart(p) {
			continue
		}
		low, high := f.Shares[LeastBone][p], f.Shares[MostBone][p]
		ref := f.PartsRef
		if f.facts != nil && f.facts.partRefs[p].Evidence.Valid() {
			ref = f.facts.partRefs[p]
		}
		e.Parts = append(e.Parts, Line{
			What: p.String(), Unit: "%", Low: percent(min(low, high)), Typical: percent(f.Shares[Typical][p]), High: percent(max(low, high)),
			Source: ref.Words(c.reg),
		})
	}
}

func (c *Catalogue) explainEnergy(f *Food, e *Explanation) {
	_, def, _ := f.DefaultEnergy()
	for m := range EnergyMethod(NumEnergyMethods) {
		fig, ok := f.Energy(m)
		if !ok || m != Printed && f.facts.fellBack&(1<<m) != 0 {
			continue
		}
		low, high := spread(fig)
		line := Line{What: "by " + m.String(), Unit: "kcal", Low: low.String(), Typical: fig.At[Typical].String(), High: high.String(), Floor: fig.SoftOnly}
		if m == Printed {
			line.Source = fig.Ref.Words(c.reg)
		} else {
			key, where := m.source()
			line.Source = cite.Ref{Evidence: cite.Published, Sources: []string{key}, At: where}.Words(c.reg)
			fp, ff, fc := m.factors()
			line.How = factorWords(fp, ff, fc) + " kcal per g of protein, fat and carbohydrate"
		}
		if m == def {
			line.How = strings.TrimPrefix(line.How+"; used unless told otherwise", "; ")
		}
		e.Energy = append(e.Energy, line)
	}
}

func (c *Catalogue) explainNutrient(f *Food, n Nutrient, fig Figure) Line {
	k := f.facts
	g := k.sheet.nutrients[n]
	low, high := spread(fig)
	line := Line{What: n.Name(), Unit: n.Unit(), Low: low.String(), Typical: fig.At[Typical].String(), High: high.String(), Source: g.ref.Words(c.reg), Floor: fig.SoftOnly}
	switch {
	case !k.soft || g.basis == whole:
	case !k.countsBone(n):
		line.How = fmt.Sprintf("%s %s in the soft part", densityWords(g.at), n.Unit())
	default:
		m := k.sheet.bone[n]
		line.How = fmt.Sprintf("%s %s in the soft part, %s %s in the bone", densityWords(g.at), n.Unit(), densityWords(m.at), n.Unit())
		line.BoneSource = m.ref.Words(c.reg)
	}
	return line
}

func spread(f Figure) (low, high Density) {
	return min(f.At[LeastBone], f.At[Typical], f.At[MostBone]), max(f.At[LeastBone], f.At[Typical], f.At[MostBone])
}

func grams(m units.Mass) string    { return m.Grams().String() }
func percent(s units.Share) string { return s.Percent().String() }

// Text returns the explanation for people. Sources are numbered and listed at
// the end; amounts are shortened to three figures where they were worked out.
func (e Explanation) Text() string {
	w := writer{}
	w.line("%s (%s)", e.Name, e.ID)
	if len(e.Synonyms) > 0 {
		w.line("  also called: %s", strings.Join(e.Synonyms, ", "))
	}
	w.line("  kind: %s. %s", strings.ReplaceAll(e.Kind, "-", " "), w.note(e.Source))
	if len(e.Species) > 0 {
		w.line("  animal: %s", strings.Join(e.Species, ", "))
	}
	if e.Cut != "" {
		w.line("  sold as: %s", e.Cut)
	}
	if e.Anatomy != "" {
		w.line("  anatomically: %s", e.Anatomy)
	}
	w.line("  meat colour, by animal and not by organ: %s", e.Colour)
	for _, s := range e.Counts {
		w.line("  %s", s)
	}
	if e.Override != "" {
		w.line("  It replaces a food of the shipped catalogue: %s", e.Override)
	}
	if e.Piece != nil {
		w.line("")
		w.line("One piece")
		w.figures([]Line{*e.Piece})
	}
	w.table("Parts, of 100 % as fed", e.Parts)
	w.table("Energy, in 100 g as fed", e.Energy)
	w.table("Nutrients, in 100 g as fed", e.Nutrients)
	if e.CalciumAsBone != nil {
		w.table("Calcium as bone: the fresh bone that would hold its calcium. It is not bone and no slot counts it", []Line{*e.CalciumAsBone})
	}
	if w.floor {
		w.line("")
		w.line("\"at least\": bone holds some of it too, but no figure for bone was read (or a ferret is not known to get it), so bone is not counted.")
	}
	if len(e.Unknown) > 0 {
		w.line("")
		w.line("Not known (which is not the same as none): %s.", strings.Join(e.Unknown, ", "))
	}
	if len(e.Hazards) > 0 {
		w.line("")
		w.line("Hazards: %s. Read up on them before feeding this.", strings.Join(e.Hazards, ", "))
	}
	if len(e.Notes) > 0 {
		w.line("")
		w.line("Notes")
		for _, n := range e.Notes {
			w.line("  %s %s", n.Text, w.note(n.Source))
		}
	}
	if len(w.notes) > 0 {
		w.line("")
		w.line("How we know")
		for i, s := range w.notes {
			w.line("  [%d] %s", i+1, s)
		}
	}
	return w.b.String()
}

// writer lays out an explanation and numbers its sources.
type writer struct {
	b     strings.Builder
	notes []string
	floor bool
}

func (w *writer) line(format string, args ...any) {
	text := strict.Line(fmt.Sprintf(format, args...))
	w.b.WriteString(strings.TrimRight(text, " "))
	w.b.WriteByte('\n')
}

// note returns the number of a source, in brackets.
func (w *writer) note(source string) string {
	if source == "" {
		return ""
	}
	i := slices.Index(w.notes, source)
	if i < 0 {
		i = len(w.notes)
		w.notes = append(w.notes, source)
	}
	return fmt.Sprintf("[%d]", i+1)
}

func (w *writer) table(title string, lines []Line) {
	if len(lines) == 0 {
		return
	}
	w.line("")
	w.line("%s", title)
	w.figures(lines)
}

func (w *writer) figures(lines []Line) {
	wide := 0
	for _, l := range lines {
		wide = max(wide, len([]rune(l.What)))
	}
	for _, l := range lines {
		amount := l.Typical + " " + l.Unit
		if l.Low != l.High {
			amount = fmt.Sprintf("%s %s, from %s to %s", short(l.Typical), l.Unit, short(l.Low), short(l.High))
		}
		if l.Floor {
			amount = "at least " + amount
			w.floor = true
		}
		pad := strings.Repeat(" ", wide-len([]rune(l.What)))
		how := ""
		if l.How != "" {
			how = "; " + l.How
		}
		source := w.note(l.Source)
		w.line("  %s%s  %s %s%s %s", l.What, pad, amount, source, how, w.note(l.BoneSource))
	}
}

// short keeps three figures of a number that was worked out.
func short(exact string) string {
	d, err := ParseDensity(exact)
	if err != nil {
		return exact
	}
	places := int32(0)
	for limit := 100 * DensityUnit; d < limit && places < 5 && d > 0; limit /= 10 {
		places++
	}
	text := d.Rounded(places)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}
