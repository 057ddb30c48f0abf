package importer

import (
	"strings"

	"github.com/shopspring/decimal"
)

// fix is a bone share that is not read from the refuse words.
type fix struct {
	share decimal.Decimal
	known bool
	from  row
}

// correct applies corrections.csv to the published tables in memory. Each
// correction names the printed cell it replaces, and fails when the table does
// not hold that text, so a new release cannot slip under an old correction.
//
//	table, row, field   the cell; row * is every row; field * is the whole row,
//	                    which must then not be selected; field bone is the share
//	                    that the refuse words of usda-refuse would give
//	published           what is printed there
//	used                what is used instead; blank is unknown
//	why                 the reason, in words
//	ref                 where the figure used instead was read
func (c *chain) correct() {
	c.bone = make(map[string]fix)
	c.unused = make(map[string]string)
	for _, f := range c.fixes.rows {
		name, id, field := f.get("table"), f.get("row"), f.get("field")
		t := c.tables[name]
		if f.get("why") == "" {
			c.fault("corrections.csv: %s: no reason", f.id)
		}
		if t == nil {
			c.fault("corrections.csv: %s: no table %s", f.id, name)
			continue
		}
		if id == "*" {
			c.correctColumn(t, f)
			continue
		}
		r, ok := t.find(id)
		if !ok {
			c.fault("corrections.csv: %s: no such row", f.id)
			continue
		}
		switch field {
		case "*":
			c.unused[name+"/"+id] = f.get("why")
		case "bone":
			if r.get("total_pct") != f.get("published") {
				c.fault("corrections.csv: %s: the table prints %s, not %s", f.id, r.get("total_pct"), f.get("published"))
			}
			x := fix{from: f}
			if used := f.get("used"); used != "" {
				d, err := dec(used)
				if err != nil || f.get("ref") == "" {
					c.fault("corrections.csv: %s: needs a number and where it was read", f.id)
					continue
				}
				x.share, x.known = d, true
			}
			c.bone[id] = x
		default:
			if _, ok := t.cols[field]; !ok || r.get(field) != f.get("published") {
				c.fault("corrections.csv: %s: the table prints %q, not %q", f.id, r.get(field), f.get("published"))
				continue
			}
			r.set(field, f.get("used"))
		}
	}
}

// correctColumn voids or replaces one printed value wherever it stands in a
// column. It is used for zeros, which these tables also print for "not
// analysed".
func (c *chain) correctColumn(t *table, f row) {
	field := f.get("field")
	if _, ok := t.cols[field]; !ok {
		c.fault("corrections.csv: %s: no such column", f.id)
		return
	}
	printed, err := dec(f.get("published"))
	if err != nil {
		c.fault("corrections.csv: %s: %v", f.id, err)
		return
	}
	hits := 0
	for _, r := range t.rows {
		if d, err := dec(r.get(field)); err == nil && d.Equal(printed) {
			r.set(field, f.get("used"))
			hits++
		}
	}
	if hits == 0 {
		c.fault("corrections.csv: %s: nothing to correct", f.id)
	}
}

// release is the source key of a USDA release.
func release(number string) string { return "usda-sr" + number }

// refuseFigure is the bone share of one USDA row, corrected where it must be.
func (c *chain) refuseFigure(id string) (figure, bool) {
	r, ok := c.tables["usda-refuse"].find(id)
	if !ok {
		return figure{}, false
	}
	ndb, rel := r.get("ndb_no"), r.get("release")
	f := figure{source: release(rel), at: "NDB " + ndb + " of release " + rel}
	if x, fixed := c.bone[id]; fixed {
		if !x.known {
			return figure{}, false
		}
		source, where, _ := strings.Cut(x.from.get("ref"), ": ")
		f.v, f.source, f.at = x.share, source, where
	} else if share, ok := boneShare(r.get("total_pct"), r.get("text")); ok {
		f.v = share
	} else if r.get("text") == "" && rel != "28" && r.get("total_pct") != "0" {
		// Earlier releases print no words here. Their totals of skin-on,
		// bone-in cuts are bone, as the later words say.
		f.v, _ = dec(r.get("total_pct"))
	} else {
		return figure{}, false
	}
	f.text = f.v.String() + " %"
	return f, true
}
