package importer

import "github.com/shopspring/decimal"

// boneRows are what each kind of bone holds, per 100 g of what its basis says.
// Bones.csv gives calcium; phosphorus is that over the ratio of calcium to
// phosphorus in bone, ash that over the share of calcium in ash. Water is of the
// bone whatever the calcium is of.
func (c *chain) boneRows() [][]string {
	var out [][]string
	for _, r := range c.bones.rows {
		cell := func(col string) decimal.Decimal {
			d, err := dec(r.get(col))
			if err != nil {
				c.fault("bones.csv: %s: %s: %v", r.id, col, err)
			}
			return d
		}
		ca := [3]decimal.Decimal{cell("low"), cell("typical"), cell("high")}
		p, ash, water := cell("p"), cell("ash"), cell("water")
		if p.Sign() <= 0 || ash.Sign() <= 0 {
			c.fault("bones.csv: %s: ratios above nothing are wanted", r.id)
			continue
		}
		row := func(basis, nutrient string, of func(decimal.Decimal) decimal.Decimal, how string) {
			ref := r.get("ref")
			if how != "" {
				ref += "; " + how
			}
			cells := []string{r.id, basis, r.get("for"), nutrient}
			for _, d := range ca {
				cells = append(cells, of(d).String())
			}
			out = append(out, append(cells, "g", ref))
		}
		basis := r.get("basis")
		row(basis, "calcium", func(d decimal.Decimal) decimal.Decimal { return d }, "")
		row(basis, "phosphorus", func(d decimal.Decimal) decimal.Decimal { return div(d, p, 3) }, "calcium/"+p.String())
		row(basis, "ash", func(d decimal.Decimal) decimal.Decimal { return div(d, ash, 2) }, "calcium/"+ash.String())
		if basis == "cut" {
			basis = r.get("share")
		}
		row(basis, "water", func(decimal.Decimal) decimal.Decimal { return water }, "water of fresh bone")
	}
	return out
}
