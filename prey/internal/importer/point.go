package importer

import (
	"strings"

	"github.com/shopspring/decimal"
)

// point reads a pointer of the selection files: where a figure stands.
//
//	refuse/05100/28            bone read from the refuse words of a USDA release
//	yield/mext-wing            a row of yields
//	tissue/mouse/kidney+brain  mass per cent, volume x density, summed
//	rabbit/bone/low            a column of rabbit-parts
//	weight/neck                a row of usda-weights, in g
//	weight/neck+bone           the same and the bone it was weighed without, at its
//	                           typical share; +bone-high at its highest
//	mass/m01/mean              a column of body-mass, in g; mid is (min+max)/2
//	prey/day-old chick         the animal's mass in Table 71-5
//	extra/ta-clam/value        a column of extra-values
//	calcium/05301/broiler-bone/high  bone that would hold the calcium of separated
//	                           meat, see boneByCalcium
//	abbrev/05027/choline_mg    a row of the abbreviated file of the same release
//	practice/7/reason          a figure of the trade
//	choice/10/reason           a figure of ours
func (c *chain) point(food, ptr string) (figure, bool) {
	kind, rest, _ := strings.Cut(ptr, "/")
	bad := func() (figure, bool) {
		c.fault("%s: %q points at nothing", food, ptr)
		return figure{}, false
	}
	switch kind {
	case "refuse":
		f, ok := c.refuseFigure(rest)
		if !ok {
			return bad()
		}
		return f, true
	case "yield":
		r, ok := c.tables["yields"].find(rest)
		if !ok {
			return bad()
		}
		f := figure{source: r.get("source"), at: r.get("locator"), text: r.get("value") + " " + r.get("unit")}
		if a := r.get("arithmetic"); a != "" {
			f.class, f.at = derived, a+", "+f.at
		}
		return c.parsed(f, r.get("value"), bad)
	case "tissue":
		return c.tissue(rest, bad)
	case "rabbit":
		id, col, _ := strings.Cut(rest, "/")
		r, ok := c.tables["rabbit-parts"].find(id)
		if !ok || r.get(col) == "" {
			return bad()
		}
		f := figure{source: r.get("source"), at: r.get("locator"), text: r.get(col) + " %"}
		if a := r.get("arithmetic"); a != "" {
			f.class, f.at = derived, strings.ReplaceAll(a, "; ", " and ")+", "+f.at
		} else if col == "value" {
			f.class, f.at = derived, "middle of "+r.get("low")+" and "+r.get("high")+", "+f.at
		}
		return c.parsed(f, r.get(col), bad)
	case "weight":
		id, how, _ := strings.Cut(rest, "+")
		r, ok := c.tables["usda-weights"].find(id)
		if !ok {
			return bad()
		}
		f := figure{source: "usda-sr28", at: "WEIGHT of NDB " + r.get("ndb_no") + ", " + r.get("measure"), text: r.get("grams") + " g"}
		f, ok = c.parsed(f, r.get("grams"), bad)
		if !ok || how == "" {
			return f, ok
		}
		share, known := c.shareOf[food+"/bone"]
		if !known || how != "bone" && how != "bone-high" {
			return bad()
		}
		b := share[1].v
		if how == "bone-high" {
			b = share[2].v
		}
		f.class = derived
		f.at = f.v.String() + "/(1 - " + b.String() + "/100), " + f.at
		f.v = div(f.v.Mul(hundred), hundred.Sub(b), 0)
		f.text = f.v.String() + " g"
		return f, true
	case "mass":
		id, col, _ := strings.Cut(rest, "/")
		r, ok := c.tables["body-mass"].find(id)
		if !ok {
			return bad()
		}
		f := figure{source: r.get("source"), at: r.get("locator") + ", " + r.get("class")}
		if col == "mid" {
			low, err1 := dec(r.get("min_g"))
			high, err2 := dec(r.get("max_g"))
			if err1 != nil || err2 != nil {
				return bad()
			}
			f.class = derived
			f.at = "(" + low.String() + " + " + high.String() + ")/2, " + f.at
			f.v = div(low.Add(high), num(2, 0), 3)
			f.text = f.v.String() + " g"
			return f, true
		}
		f.text = r.get(col+"_g") + " g"
		return c.parsed(f, r.get(col+"_g"), bad)
	case "prey":
		r, ok := c.tables["sacn5-71-5"].find(rest)
		if !ok {
			return bad()
		}
		return c.parsed(figure{source: sacn, at: sacnTable + ", " + rest, text: r.get("mass_g") + " g"}, r.get("mass_g"), bad)
	case "extra":
		id, col, _ := strings.Cut(rest, "/")
		r, ok := c.tables["extra-values"].find(id)
		if !ok || r.get(col) == "" {
			return bad()
		}
		f := figure{source: r.get("source"), at: r.get("locator"), text: r.get(col)}
		if says := r.get("says"); col == "value" && strings.HasPrefix(says, "value is the middle") {
			f.class, f.at = derived, "middle of "+r.get("low")+" and "+r.get("high")+", "+f.at
		} else if strings.Contains(f.at, " x ") {
			f.class = derived
		}
		return c.parsed(f, r.get(col), bad)
	case "calcium":
		return c.boneByCalcium(rest, bad)
	case "abbrev":
		r, ok := c.tables["usda-sr28-abbrev"].find(rest)
		if !ok {
			return bad()
		}
		return c.parsed(figure{source: "usda-sr28", at: "abbreviated file, NDB " + r.get("ndb_no"), text: r.get("value")}, r.get("value"), bad)
	case "practice", "choice":
		value, why, _ := strings.Cut(rest, "/")
		f := figure{at: why, text: value, class: practice}
		if kind == "choice" {
			f.class = choice
		}
		return c.parsed(f, value, bad)
	}
	return bad()
}

func (c *chain) parsed(f figure, text string, bad func() (figure, bool)) (figure, bool) {
	d, err := dec(text)
	if err != nil {
		return bad()
	}
	f.v = d
	return f, true
}

// tissue is the mass share of one or more tissues of a reference animal.
func (c *chain) tissue(ptr string, bad func() (figure, bool)) (figure, bool) {
	species, names, _ := strings.Cut(ptr, "/")
	var sum decimal.Decimal
	var words []string
	var refs []string
	for _, name := range strings.Split(names, "+") {
		r, ok := c.tables["httk-tissue"].find(species + "/" + name)
		if !ok {
			return bad()
		}
		if _, no := c.unused["httk-tissue/"+r.id]; no {
			return bad()
		}
		vol, err1 := dec(r.get("volume_l_per_kg"))
		density, err2 := dec(r.get("density_kg_per_l"))
		if err1 != nil || err2 != nil {
			return bad()
		}
		sum = sum.Add(vol.Mul(density).Mul(hundred).Round(2))
		words = append(words, name+" "+vol.String()+" L/kg x "+density.String()+" kg/L")
		refs = append(refs, r.get("reference"))
	}
	return figure{
		v: sum, text: sum.String() + " %", source: "httk-2-7-4", class: derived,
		at: "tissue.data " + species + ", " + strings.Join(words, " + ") + " (" + refs[0] + ")",
	}, true
}

// boneByCalcium is the fresh bone that would hold the calcium of separated meat:
// NDB number, kind of clean bone, and the end of its calcium to divide by.
func (c *chain) boneByCalcium(ptr string, bad func() (figure, bool)) (figure, bool) {
	ndb, of, _ := strings.Cut(ptr, "/")
	kind, end, _ := strings.Cut(of, "/")
	r, ok := c.tables["usda-sr28"].find(ndb)
	bone, known := c.bones.find(kind)
	if !ok || !known || bone.get("basis") != "clean" {
		return bad()
	}
	by, err1 := dec(bone.get(end))
	ca, err2 := dec(r.get("calcium_mg"))
	if err1 != nil || err2 != nil || by.Sign() <= 0 {
		return bad()
	}
	v := div(ca, by.Mul(num(10, 0)), 4)
	return figure{
		v: v, text: v.String() + " %", source: "usda-sr28", class: choice,
		at: "calcium of " + ca.String() + " mg in NDB " + ndb + " / " + by.String() + " g in 100 g of clean bone (" + kind + "), calcium of the meat itself not taken off",
	}, true
}
