package corpus

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing/fstest"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/say"
	"fitchet.example/units/strict"
)

// The foods of the corpus are given as fed, with nothing left to work out: each
// figure is what 100 g of the food hold, once where it is the same in every
// case, else as a list of three (least bone, typical, most bone). A program in
// any language can use them as they stand. Here they become a catalogue by way
// of the files that package prey reads.

// readFoods reads a foods file into the rows of a catalogue.
func (r *reader) readFoods(path string) {
	doc := r.open(path)
	m := doc.Root().Map()
	keys(m, "schema", "foods")
	wantSchema(m, FoodsSchema)
	for _, n := range m.Get("foods").List() {
		r.readFood(path, n)
	}
	m.Done()
	r.close(doc)
}

type csvRows struct{ foods, parts, extra [][]string }

func (r *reader) readFood(path string, n strict.Node) {
	m := n.Map()
	keys(m, "id", "name", "species", "contains", "kind", "cut", "colour", "bone-in", "complete", "piece", "hazards", "parts", "nutrients", "energy", "ref")
	id := strict.Value(m, "id", parseName)
	if r.foodAt[id] != (strict.Fault{}) {
		m.Get("id").Fail("food %s is given twice", id)
	}
	r.foodAt[id] = strict.Fault{Path: path, Line: n.Line(), Col: n.Col()}
	name := m.Text("name")
	species := m.OptText("species")
	var contains, hazards []string
	if list, ok := m.Opt("contains"); ok {
		contains = strict.Each(list, plain)
	}
	kind := strict.Value(m, "kind", prey.ParseKind)
	cut := m.OptText("cut")
	colour := strict.Value(m, "colour", prey.ParseColour)
	boneIn := m.Bool("bone-in", false)
	complete := m.Bool("complete", false)
	var piece [3]string
	if node, ok := m.Opt("piece"); ok {
		three := readThree(node, parseMass)
		for i, v := range three {
			piece[i] = v.String()
		}
	}
	if list, ok := m.Opt("hazards"); ok {
		hazards = strict.Each(list, parseName)
	}
	ref := readRef(m.Get("ref"), r.reg)
	slot := ""
	if node, ok := m.Opt("parts"); ok {
		slot = r.readParts(node, id, ref)
	}
	if node, ok := m.Opt("nutrients"); ok {
		nm := node.Map()
		var order []string
		for _, k := range prey.Nutrients() {
			order = append(order, k.Key())
		}
		keys(nm, order...)
		for _, k := range prey.Nutrients() {
			if k == prey.Carbohydrate {
				continue // it is the difference
			}
			if v, ok := nm.Opt(k.Key()); ok {
				three := readThree(v, func(s string) (string, error) { return parseAmount(s, k.Unit()) })
				r.rows.extra = append(r.rows.extra, []string{id, k.Key(), three[0], three[1], three[2], k.Unit(), "whole", ref.String()})
			}
		}
		nm.Done()
	}
	energy, energyRef := "", ""
	if node, ok := m.Opt("energy"); ok {
		v, _ := strict.Read(node, func(s string) (string, error) { return parseAmount(s, "kcal") })
		if d, err := prey.ParseDensity(v); err == nil {
			energy, energyRef = prey.Density(d/100).String(), ref.String() // the file wants kcal per gram
			if d%100 != 0 {
				node.Fail("finer than the grid")
			}
		}
	}
	m.Done()
	pieceName, pieceRef := "", ""
	if piece[1] != "" {
		pieceName, pieceRef = "piece", ref.String()
	}
	r.rows.foods = append(r.rows.foods, []string{id, name, "", species, strings.Join(contains, ";"), kind.String(), cut, slot, "", colour.String(),
		yes(boneIn), yes(complete), pieceName, piece[0], piece[1], piece[2], pieceRef, strings.Join(hazards, ";"), energy, energyRef, "", ref.String()})
}

// readParts returns the slot of a food of one part, and else writes a row for
// every part but one, which takes what they leave over.
func (r *reader) readParts(n strict.Node, id string, ref cite.Ref) (slot string) {
	m := n.Map()
	var order []string
	for _, p := range prey.Parts() {
		order = append(order, p.Key())
	}
	keys(m, order...)
	given := m.Keys()
	var sum [3]units.Share
	for _, p := range prey.Parts() {
		v, ok := m.Opt(p.Key())
		if !ok {
			continue
		}
		three := readThree(v, parseShare)
		for i := range sum {
			sum[i] += three[i]
		}
		if len(given) == 1 && p != prey.Bone {
			slot = p.Key()
			if p == prey.Rest {
				slot = "none"
			}
			continue
		}
		if p.Key() == given[0] && p != prey.Bone {
			slot = p.Key()
			if p == prey.Rest {
				slot = "none"
			}
			continue // what the others leave over; that it fits is checked by the sum
		}
		r.rows.parts = append(r.rows.parts, []string{id, p.Key(), three[0].String(), three[1].String(), three[2].String(), ref.String()})
	}
	for _, s := range sum {
		if s != units.Whole {
			n.Fail("the parts make %s, not 100 %%", s)
			break
		}
	}
	m.Done()
	return slot
}

// readThree reads one value for every case, or a list of three.
func readThree[T any](n strict.Node, parse func(string) (T, error)) (out [prey.NumCases]T) {
	if n.Kind() != strict.List {
		v, _ := strict.Read(n, parse)
		return [prey.NumCases]T{v, v, v}
	}
	items := n.List()
	if len(items) != prey.NumCases {
		n.Fail("want one value, or three: at the least bone, typical, at the most bone")
		return out
	}
	for i, item := range items {
		out[i], _ = strict.Read(item, parse)
	}
	return out
}

// parseAmount reads "1.5 mg" where mg is the unit and returns the number.
func parseAmount(s, unit string) (string, error) {
	num, ok := strings.CutSuffix(s, " "+unit)
	if !ok {
		return "", fmt.Errorf("amount %q: want a number and %s", say.Clip(s), unit)
	}
	d, err := prey.ParseDensity(num)
	if err != nil {
		return "", err
	}
	if d.String() != num {
		return "", fmt.Errorf("%q is written %q here", say.Clip(s), d.String()+" "+unit)
	}
	return num, nil
}

func plain(s string) (string, error) { return s, nil }

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// catalogue builds the foods from the rows that were read.
func (r *reader) catalogue() (*prey.Catalogue, error) {
	files := fstest.MapFS{}
	write := func(name, header string, rows [][]string) {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		_ = w.Write(strings.Split(header, ",")) // a bytes.Buffer takes everything
		_ = w.WriteAll(rows)
		files[name] = &fstest.MapFile{Data: b.Bytes()}
	}
	write("foods.csv", "id,name,synonyms,species,contains,kind,cut,slot,anatomy,colour,bone_in,complete,piece_name,piece_low,piece_typical,piece_high,piece_ref,hazards,energy,energy_ref,note,ref", r.rows.foods)
	write("parts.csv", "food,part,low,typical,high,ref", r.rows.parts)
	write("nutrients.csv", "food,basis,ref", nil)
	write("extra.csv", "food,nutrient,low,typical,high,unit,basis,ref", r.rows.extra)
	write("bone.csv", "kind,basis,for,nutrient,low,typical,high,unit,ref", nil)
	c, err := prey.Load(files, r.reg)
	if err != nil {
		return nil, fmt.Errorf("the foods of the corpus: %w", err)
	}
	return c, nil
}

// usedFoods are the ids of foods that some case names, sorted.
func (c *Corpus) usedFoods() []string {
	var out []string
	for _, cs := range c.Cases {
		for _, s := range cs.Plan.Servings() {
			out = append(out, s.Food.ID)
		}
		for _, s := range cs.Stock {
			out = append(out, s.Food.ID)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
