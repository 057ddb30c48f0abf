package importer

import (
	"cmp"
	"slices"
	"strings"
)

// slots are the feeding classes that a food of one part may have.
var slots = []string{"", "muscle", "heart", "liver", "organ", "rest", "none"}

func (c *chain) foods() {
	for _, r := range c.selected.rows {
		c.food(r)
	}
	for _, t := range []struct {
		name string
		*table
	}{{"shares", c.shares}, {"pieces", c.pieces}, {"extras", c.extras}} {
		for _, r := range t.rows {
			if _, ok := c.selected.find(r.get("food")); !ok {
				c.fault("%s.csv: no food %s", t.name, r.get("food"))
			}
		}
	}
	byID := func(a, b []string) int { return cmp.Compare(a[0], b[0]) }
	slices.SortStableFunc(c.foodRows, byID)
	slices.SortStableFunc(c.partRows, byID)
	slices.SortStableFunc(c.nutrientRows, byID)
	slices.SortStableFunc(c.extraRows, byID)
}

func (c *chain) food(r row) {
	id := r.id
	for _, name := range append([]string{id, r.get("name")}, strings.Split(r.get("synonyms"), ";")...) {
		key := strings.ToLower(name)
		if key == "" || strings.ReplaceAll(key, " ", "-") == id && c.seen[key] == id {
			continue
		}
		if other, taken := c.seen[key]; taken {
			c.fault("%s: the name %q belongs to %s", id, name, other)
		}
		c.seen[key] = id
	}
	if !slices.Contains(slots, r.get("slot")) {
		c.fault("%s: slot %q", id, r.get("slot"))
	}
	partsRef := c.parts(r)
	pieceCells := c.piece(id)
	s, known := c.compose(r)
	if known {
		c.nutrients[id] = s
		cells := []string{id, s.basis}
		for _, col := range c.columns {
			cells = append(cells, s.cells[col])
		}
		c.nutrientRows = append(c.nutrientRows, append(cells, s.ref))
	}
	c.extrasOf(r, s)
	rowRef := s.ref
	for _, other := range []string{partsRef, pieceCells[4], "practice: sold by the trade, no table that was read has it"} {
		if rowRef == "" {
			rowRef = other
		}
	}
	var out []string
	for _, col := range []string{"id", "name", "synonyms", "species", "contains", "kind", "cut", "slot", "anatomy", "colour", "bone_in", "complete"} {
		out = append(out, r.get(col))
	}
	out = append(out, pieceCells[:]...)
	out = append(out, r.get("hazards"), s.energy, s.energyRef, r.get("note"), r.get("note_ref"), rowRef)
	c.foodRows = append(c.foodRows, out)
}

// parts writes the rows of shares.csv for a food, and of its recipe, and
// returns their reference.
func (c *chain) parts(food row) string {
	var first string
	emit := func(part, bone string, f [3]figure) {
		basis := ""
		if kind, ok := c.bones.find(bone); ok {
			basis = cmp.Or(kind.get("share"), kind.get("basis"))
		} else if bone != "" || part == "bone" {
			c.fault("shares.csv: %s %s: no kind of bone %q", food.id, part, bone)
		}
		if f[0].v.GreaterThan(f[1].v) || f[1].v.GreaterThan(f[2].v) {
			c.fault("shares.csv: %s %s: low, typical, high are out of order", food.id, part)
		}
		c.shareOf[food.id+"/"+part] = f
		r := rangeRef(f)
		first = cmp.Or(first, r)
		c.partRows = append(c.partRows, []string{food.id, part, f[0].v.String() + " %", f[1].v.String() + " %", f[2].v.String() + " %", bone, basis, r})
	}
	for _, r := range c.shares.rows {
		if r.get("food") != food.id {
			continue
		}
		if under, is := strings.CutPrefix(r.get("typical"), "rest/"); is {
			if f, ok := c.remainder(food.id, under); ok {
				emit(r.get("part"), r.get("bone"), [3]figure{f, f, f})
			}
			continue
		}
		var f [3]figure
		ok := true
		for i, end := range []string{"low", "typical", "high"} {
			var fine bool
			f[i], fine = c.point(food.id, cmp.Or(r.get(end), r.get("typical")))
			ok = ok && fine
		}
		if ok {
			emit(r.get("part"), r.get("bone"), f)
		}
	}
	if mix, is := strings.CutPrefix(food.get("row"), "recipe/"); is {
		for _, r := range c.recipes.rows {
			if r.get("mix") != mix || r.get("slot") == "muscle" {
				continue
			}
			d, err := dec(r.get("parts"))
			if err != nil {
				c.fault("recipes.csv: %s: %v", r.id, err)
				continue
			}
			f := figure{v: d, text: d.String() + " %", class: choice, at: "recipe of our own, " + r.get("item")}
			emit(r.get("slot"), r.get("bone"), [3]figure{f, f, f})
		}
	}
	return first
}

// remainder is what is left of 100 when the named muscle and all parts written
// so far are taken away, at their typical figures.
func (c *chain) remainder(food, muscle string) (figure, bool) {
	m, ok := c.point(food, muscle)
	if !ok {
		return m, false
	}
	left := hundred.Sub(m.v)
	f := figure{source: m.source, class: max(m.class, derived)}
	words := "100 - muscle " + m.v.String()
	for _, r := range c.partRows {
		if r[0] == food {
			s := c.shareOf[food+"/"+r[1]]
			left = left.Sub(s[1].v)
			words += " - " + r[1] + " " + s[1].v.String()
		}
	}
	f.v, f.text, f.at = left, left.String()+" %", words+", "+m.at
	return f, true
}

// piece returns piece_name, low, typical, high and ref.
func (c *chain) piece(food string) [5]string {
	r, ok := c.pieces.find(food)
	if !ok {
		return [5]string{}
	}
	var f [3]figure
	for i, end := range []string{"low", "typical", "high"} {
		if f[i], ok = c.point(food, cmp.Or(r.get(end), r.get("typical"))); !ok {
			return [5]string{}
		}
		if !strings.HasSuffix(f[i].text, " g") {
			f[i].text += " g"
		}
	}
	if f[0].v.GreaterThan(f[1].v) || f[1].v.GreaterThan(f[2].v) {
		c.fault("pieces.csv: %s: low, typical, high are out of order", food)
	}
	at := rangeRef(f)
	if note := r.get("note"); note != "" {
		at += ", " + note
	}
	return [5]string{r.get("name"), f[0].v.String() + " g", f[1].v.String() + " g", f[2].v.String() + " g", at}
}

// extrasOf writes the rows of extras.csv for a food.
func (c *chain) extrasOf(food row, s sheet) {
	for _, r := range c.extras.rows {
		if r.get("food") != food.id {
			continue
		}
		var f [3]figure
		ok := true
		for i, end := range []string{"low", "typical", "high"} {
			var fine bool
			f[i], fine = c.extraFigure(food.id, cmp.Or(r.get(end), r.get("typical")), r.get("convert"), s)
			ok = ok && fine
		}
		if !ok {
			continue
		}
		at := rangeRef(f)
		if note := r.get("note"); note != "" {
			at += ", " + note
		}
		basis := cmp.Or(r.get("basis"), s.basis, "whole")
		c.extra(food.id, r.get("nutrient"), [3]string{f[0].v.String(), f[1].v.String(), f[2].v.String()}, r.get("unit"), basis, at)
	}
}

// extraFigure reads one end and converts it to an amount per 100 g as fed.
//
//	(blank)    as printed
//	per-g      printed per g: x 100
//	dry        printed in mg per kg of dry matter: x (100 - water)/1000
//	+<pointer> the sum of two printed figures
func (c *chain) extraFigure(food, ptr, convert string, s sheet) (figure, bool) {
	f, ok := c.point(food, ptr)
	if !ok {
		return f, false
	}
	switch {
	case convert == "":
	case convert == "per-g":
		f.v, f.class, f.at = f.v.Mul(hundred), derived, f.v.String()+" per g x 100, "+f.at
	case convert == "dry":
		water, err := dec(s.cells["water_g"])
		if err != nil {
			c.fault("extras.csv: %s: no water", food)
			return f, false
		}
		dm := hundred.Sub(water)
		f.at = f.v.String() + " mg/kg of dry matter x " + dm.String() + " g/100 g, " + f.at
		f.v, f.class = div(f.v.Mul(dm), num(1000, 0), 2), derived
	case strings.HasPrefix(convert, "+"):
		g, ok := c.point(food, convert[1:])
		if !ok {
			return f, false
		}
		f.at = f.v.String() + " + " + g.v.String() + ", " + f.at + " and " + g.at
		f.v, f.class = f.v.Add(g.v), derived
	default:
		c.fault("extras.csv: %s: conversion %q", food, convert)
		return f, false
	}
	f.text = f.v.String()
	return f, true
}
