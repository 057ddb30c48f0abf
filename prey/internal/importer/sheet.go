package importer

import (
	"maps"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// sheet is the composition of one food: cells by column, as text.
type sheet struct {
	basis     string
	cells     map[string]string
	ref       string
	energy    string // printed kcal per g as fed
	energyRef string
}

const (
	sacn      = "sacn5-ch71"
	sacnTable = "Table 71-5, printed p. 1242"
)

// compose makes the sheet of a food from the row it was selected from.
//
//	usda-sr28/05100            a row of a published table
//	sacn5-71-5/day-old chick   the same, converted from per kcal to per 100 g
//	per-animal/frog            masses per animal in extra-values, to per 100 g
//	dried/chicken-mince/5      another food, its water taken down to 5 g
//	soaked/old-dry-food/3      another food with 3 times its mass of water
//	recipe/plain-mix           the soft items of recipes.csv
//	label                      labels.csv
func (c *chain) compose(r row) (sheet, bool) {
	from := r.get("row")
	if from == "" {
		return sheet{}, false
	}
	table, id, _ := strings.Cut(from, "/")
	if why, no := c.unused[from]; no {
		c.fault("%s: %s must not be used: %s", r.id, from, why)
		return sheet{}, false
	}
	s := sheet{basis: "edible"}
	if r.get("basis") != "" {
		s.basis = r.get("basis")
	}
	ok := true
	switch table {
	case "usda-sr28", "ifct-2017":
		var p row
		if p, ok = c.tables[table].find(id); !ok {
			break
		}
		s.cells = make(map[string]string)
		for _, col := range c.columns {
			s.cells[col] = p.get(col)
		}
		word := "NDB "
		if table == "ifct-2017" {
			word = "food "
			c.indianVitamins(r.id, p)
		}
		s.ref = "published " + table + ": " + word + id
		if why := r.get("stand_in"); why != "" {
			s.ref = "choice " + table + ": " + word + id + " stands in, " + why
		}
	case "sacn5-71-5":
		s, ok = c.perKcal(id)
	case "per-animal":
		s, ok = c.perAnimal(id)
	case "dried":
		s, ok = c.dried(id)
	case "soaked":
		s, ok = c.soaked(id)
	case "recipe":
		s, ok = c.recipe(r, id)
	case "label":
		s, ok = c.label(r.id)
	default:
		ok = false
	}
	if !ok {
		c.fault("%s: no row %s", r.id, from)
	}
	return s, ok
}

// perKcal turns a row of Table 71-5 into figures per 100 g as fed. Water and
// energy are printed; the rest is per kcal.
func (c *chain) perKcal(id string) (sheet, bool) {
	r, ok := c.tables["sacn5-71-5"].find(id)
	if !ok {
		return sheet{}, false
	}
	var v [6]decimal.Decimal
	for i, col := range []string{"water_pct", "kcal_per_g_dm", "protein_pct_kcal", "fat_pct_kcal", "calcium_mg_per_kcal", "phosphorus_mg_per_kcal"} {
		d, err := dec(r.get(col))
		if err != nil {
			return sheet{}, false
		}
		v[i] = d
	}
	dm := hundred.Sub(v[0])
	kcal := v[1].Mul(dm) // per 100 g as fed
	cells := map[string]string{
		"water_g":       v[0].String(),
		"protein_g":     div(kcal.Mul(v[2]), num(400, 0), 2).String(),
		"fat_g":         div(kcal.Mul(v[3]), num(900, 0), 2).String(),
		"calcium_mg":    kcal.Mul(v[4]).Round(1).String(),
		"phosphorus_mg": kcal.Mul(v[5]).Round(1).String(),
	}
	return sheet{
		basis: "whole", cells: cells, energy: r.get("kcal_per_g_as_fed"),
		energyRef: "published " + sacn + ": " + sacnTable + ", " + id,
		ref: "derived " + sacn + ": " + sacnTable + ", " + id + ", water as printed, others share or mg per kcal x " + v[1].String() +
			" kcal/g of dry matter x " + dm.String() + " g, protein and fat at 4 and 9 kcal/g (the page does not state its factors)",
	}, true
}

// perAnimal turns masses in an animal into g per 100 g.
func (c *chain) perAnimal(id string) (sheet, bool) {
	cells := make(map[string]string)
	var source, locator, unit string
	for _, what := range []string{"water", "protein", "fat", "ash"} {
		r, ok := c.tables["extra-values"].find(id + "-" + what)
		if !ok {
			return sheet{}, false
		}
		source, locator, unit = r.get("source"), r.get("locator"), r.get("basis")
		// "per 339.0 g animal"
		words := strings.Fields(unit)
		if len(words) < 2 {
			return sheet{}, false
		}
		total, err1 := dec(words[1])
		part, err2 := dec(r.get("value"))
		if err1 != nil || err2 != nil {
			return sheet{}, false
		}
		cells[what+"_g"] = div(part.Mul(hundred), total, 2).String()
	}
	before, _, _ := strings.Cut(locator, ",")
	return sheet{basis: "whole", cells: cells, ref: "derived " + source + ": 100 x mass in the animal / mass of the animal, " + before + ", " + unit}, true
}

// scaled is every cell of s times by/over, to three decimals.
func scaled(s sheet, by, over decimal.Decimal) map[string]string {
	cells := make(map[string]string)
	for _, col := range slices.Sorted(maps.Keys(s.cells)) {
		if d, err := dec(s.cells[col]); err == nil {
			cells[col] = div(d.Mul(by), over, 3).String()
		}
	}
	return cells
}

func (c *chain) dried(ptr string) (sheet, bool) {
	base, moisture, _ := strings.Cut(ptr, "/")
	s, ok := c.nutrients[base]
	left, err := dec(moisture)
	if !ok || err != nil {
		return sheet{}, false
	}
	water, err := dec(s.cells["water_g"])
	if err != nil {
		return sheet{}, false
	}
	cells := scaled(s, hundred.Sub(left), hundred.Sub(water))
	cells["water_g"] = left.String()
	at := base + " x (100 - " + left.String() + ")/(100 - " + water.String() + "), the " + left.String() + " g of water left is our choice"
	return sheet{basis: s.basis, cells: cells, ref: "choice " + sourcesOf(s.ref) + ": " + at}, true
}

func (c *chain) soaked(ptr string) (sheet, bool) {
	base, parts, _ := strings.Cut(ptr, "/")
	s, ok := c.nutrients[base]
	n, err := dec(parts)
	if !ok || err != nil {
		return sheet{}, false
	}
	over := n.Add(num(1, 0))
	cells := scaled(s, num(1, 0), over)
	water, err := dec(s.cells["water_g"])
	if err != nil {
		return sheet{}, false
	}
	cells["water_g"] = div(water.Add(n.Mul(hundred)), over, 3).String()
	return sheet{basis: s.basis, cells: cells, ref: "choice " + sourcesOf(s.ref) + ": " + base + " with " + parts + " times its mass of water, every figure divided by " + over.String()}, true
}

// recipe is the soft part of a mix per 100 g of soft part: the weighted mean of
// its items. A nutrient that is unknown in one item is unknown in the mix.
func (c *chain) recipe(food row, id string) (sheet, bool) {
	cells := make(map[string]string)
	sums := make(map[string]decimal.Decimal)
	blank := make(map[string]bool)
	var total decimal.Decimal
	var words, keys []string
	for _, r := range c.recipes.rows {
		if r.get("mix") != id || r.get("item") == "bone" {
			continue
		}
		s, ok := c.nutrients[r.get("item")]
		part, err := dec(r.get("parts"))
		if !ok || err != nil {
			return sheet{}, false
		}
		total = total.Add(part)
		words = append(words, part.String()+" "+r.get("item"))
		for _, k := range strings.Split(sourcesOf(s.ref), ", ") {
			if k != "" && !slices.Contains(keys, k) {
				keys = append(keys, k)
			}
		}
		for _, col := range c.columns {
			d, err := dec(s.cells[col])
			if err != nil {
				blank[col] = true
				continue
			}
			sums[col] = sums[col].Add(d.Mul(part))
		}
	}
	if total.IsZero() {
		return sheet{}, false
	}
	for _, col := range c.columns {
		if sum, ok := sums[col]; ok && !blank[col] {
			cells[col] = div(sum, total, 4).String()
		}
	}
	return sheet{
		basis: "edible", cells: cells,
		ref: "choice " + strings.Join(keys, ", ") + ": weighted mean of " + strings.Join(words, " + ") + " parts, the recipe is our example",
	}, true
}

func (c *chain) label(id string) (sheet, bool) {
	cells := make(map[string]string)
	var ref string
	for _, r := range c.labels.rows {
		if r.get("food") != id {
			continue
		}
		ref = "choice"
		if keys := r.get("sources"); keys != "" {
			ref += " " + keys
		}
		ref += ": " + r.get("why")
		if slices.Contains(c.columns, r.get("field")) {
			if r.get("unit") != "g" {
				c.fault("labels.csv: %s: unit %q", r.id, r.get("unit"))
			}
			cells[r.get("field")] = r.get("value")
		} else {
			c.extra(id, r.get("field"), [3]string{r.get("value"), r.get("value"), r.get("value")}, r.get("unit"), "whole", ref)
		}
	}
	return sheet{basis: "whole", cells: cells, ref: ref}, len(cells) > 0
}

// sourcesOf takes the source keys out of a reference text.
func sourcesOf(ref string) string {
	head, _, _ := strings.Cut(ref, ":")
	_, keys, _ := strings.Cut(head, " ")
	return keys
}

// indianVitamins converts retinol and vitamin D3, which that table gives in µg.
func (c *chain) indianVitamins(food string, p row) {
	if d, err := dec(p.get("retinol_ug")); err == nil {
		at := "ifct-2017: food " + p.id
		c.extra(food, "retinol", point3(d.String()), "ug", "edible", "published "+at)
		c.extra(food, "vitamin-a", point3(div(d, num(3, -1), 1).String()), "IU", "edible", "derived "+at+", retinol "+d.String()+" ug / 0.3, carotene not counted")
	}
	if d, err := dec(p.get("vitamin_d3_ug")); err == nil {
		c.extra(food, "vitamin-d", point3(d.Mul(num(40, 0)).String()), "IU", "edible", "derived ifct-2017: food "+p.id+", vitamin D3 "+d.String()+" ug x 40")
	}
}

func point3(s string) [3]string { return [3]string{s, s, s} }

func (c *chain) extra(food, nutrient string, v [3]string, unit, basis, ref string) {
	c.extraRows = append(c.extraRows, []string{food, nutrient, v[0], v[1], v[2], unit, basis, ref})
}
