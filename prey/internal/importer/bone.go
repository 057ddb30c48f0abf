package importer

import "github.com/shopspring/decimal"

// boneRows are the minerals of 100 g of fresh bone: three bones, each coherent
// in itself, from the poorest in calcium to the richest. Water is the only one
// measured in fresh bone of mammals and is used for all three.
func (c *chain) boneRows() [][]string {
	get := func(id string) decimal.Decimal {
		r, ok := c.tables["bone-minerals"].find(id)
		if !ok {
			c.fault("bone-minerals.csv: no row %s", id)
			return decimal.Decimal{}
		}
		d, err := dec(r.get("value"))
		if err != nil {
			c.fault("bone-minerals.csv: %s: %v", id, err)
		}
		return d
	}
	dm := get("old-dm")
	ofDry := func(d decimal.Decimal) decimal.Decimal { return d.Mul(dm).Mul(num(1, -2)) }
	oldAsh := ofDry(get("old-ash"))
	caOfAsh := get("field-ca-ash")
	suchyCa, suchyP := get("suchy-ca"), get("suchy-p")
	ratio := div(suchyCa, suchyP, 2)

	low := ofDry(suchyCa).Round(2)
	mid := oldAsh.Mul(caOfAsh).Round(2)
	high := div(hundred, get("field-round"), 2)
	lowP := ofDry(suchyP).Round(2)
	row := func(nutrient string, a, b, c decimal.Decimal, ref string) []string {
		return []string{nutrient, a.String(), b.String(), c.String(), "g", ref}
	}
	skeleton := decimal.Decimal{}
	if m, ok := c.perKcal("mouse, adult"); ok {
		if b, ok := c.point("bone.csv", "tissue/mouse/bone"); ok {
			ca, _ := dec(m.cells["calcium_mg"])
			skeleton = div(ca, b.v.Mul(num(10, 0)), 2)
		}
	}
	const keys = "derived suchy-2009, old-bones-2017, field-2000: "
	d := dm.String()
	return [][]string{
		row("calcium", low, mid, high, keys+"low "+suchyCa.String()+" x "+d+"/100, typical 49.17 x "+d+"/100 x 0.37, high 100/4.5"),
		row("phosphorus", lowP, div(mid, ratio, 2), div(high, ratio, 2), keys+"low "+suchyP.String()+" x "+d+"/100, others calcium/"+ratio.String()+" where "+ratio.String()+" is 18.1/8.325"),
		row("ash", ofDry(get("suchy-ash")).Round(2), oldAsh.Round(2), div(high, caOfAsh, 2), keys+"low 47.6 x "+d+"/100, typical 49.17 x "+d+"/100, high "+high.String()+"/0.37"),
		row("water", hundred.Sub(dm), hundred.Sub(dm), hundred.Sub(dm), "derived old-bones-2017: 100 - "+d+" for fresh sheep and pig bone, no other was read"),
		row("skeleton-calcium", skeleton, skeleton, skeleton, "derived sacn5-ch71, httk-2-7-4: calcium 5.0 x 4.8 x 35 mg/100 g of an adult mouse / its 10.73 % of skeleton, calcium of soft parts not taken off"),
	}
}
