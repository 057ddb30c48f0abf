package milp

import "math"

// model is a problem as the search sees it: sparse rows without zeros, and
// boxes and coefficients that may have been tightened. Every point of the
// problem with whole Integer columns is a point of the model.
type model struct {
	cols      []Column
	rows      [][]entry
	low, high []float64 // of the rows
	uses      [][]int   // rows in which a column appears
	whole     []int     // the Integer columns
}

const wholeTol = 1e-7 // distance from a whole number that counts as whole

func newModel(p Problem) *model {
	md := &model{
		cols: append([]Column(nil), p.Columns...),
		rows: make([][]entry, len(p.Rows)),
		low:  make([]float64, len(p.Rows)), high: make([]float64, len(p.Rows)),
		uses: make([][]int, len(p.Columns)),
	}
	for j := range md.cols {
		if c := &md.cols[j]; c.Integer {
			md.whole = append(md.whole, j)
			c.Low, c.High = math.Ceil(c.Low), math.Floor(c.High)
		}
	}
	for i, r := range p.Rows {
		md.low[i], md.high[i] = r.Low, r.High
		for _, t := range r.Terms {
			if t.Coef != 0 {
				md.rows[i] = append(md.rows[i], entry{t.Col, t.Coef})
				md.uses[t.Col] = append(md.uses[t.Col], i)
			}
		}
	}
	return md
}

// boxes returns the bounds of the columns as two slices.
func (md *model) boxes() (low, high []float64) {
	low, high = make([]float64, len(md.cols)), make([]float64, len(md.cols))
	for j, c := range md.cols {
		low[j], high[j] = c.Low, c.High
	}
	return low, high
}

// propagator narrows boxes by the rows.
type propagator struct {
	md     *model
	queue  []int
	queued []bool
}

func newPropagator(md *model) *propagator {
	return &propagator{md: md, queued: make([]bool, len(md.rows))}
}

func (pr *propagator) push(col int) {
	for _, i := range pr.md.uses[col] {
		if !pr.queued[i] {
			pr.queued[i] = true
			pr.queue = append(pr.queue, i)
		}
	}
}

// run narrows low and high by the queued rows and by those that follow from a
// change; it tells each changed column through touched, if not nil. Boxes of
// columns that need not be whole are narrowed only if all is true, and then
// with a margin. It returns false if a row cannot hold.
func (pr *propagator) run(low, high []float64, all bool, touched func(col int)) bool {
	md := pr.md
	budget := 20 * (len(md.rows) + 1)
	ok := true
	for len(pr.queue) > 0 {
		i := pr.queue[0]
		pr.queue = pr.queue[1:]
		pr.queued[i] = false
		if budget--; !ok || budget < 0 {
			continue // empty the queue
		}
		least, most, size := 0.0, 0.0, 1.0
		for _, e := range md.rows[i] {
			lo, hi := float64(e.val*low[e.col]), float64(e.val*high[e.col])
			if e.val < 0 {
				lo, hi = hi, lo
			}
			least += lo
			most += hi
			size = max(size, max(math.Abs(lo), math.Abs(hi)))
		}
		tol := float64(rowTolerance * 10 * size)
		if least > md.high[i]+tol || most < md.low[i]-tol {
			ok = false
			continue
		}
		if least >= md.low[i] && most <= md.high[i] {
			continue
		}
		for _, e := range md.rows[i] {
			j, a := e.col, e.val
			if low[j] == high[j] || !all && !md.cols[j].Integer {
				continue
			}
			lo, hi := float64(a*low[j]), float64(a*high[j])
			if a < 0 {
				lo, hi = hi, lo
			}
			// a*x <= high - the least of the others, and >= low - their most.
			top, bottom := (md.high[i]-(least-lo))/a, (md.low[i]-(most-hi))/a
			if a < 0 {
				top, bottom = bottom, top
			}
			if pr.narrow(j, bottom, top, tol/math.Abs(a), low, high) {
				if touched != nil {
					touched(j)
				}
				if low[j] > high[j] {
					ok = false
					break
				}
				pr.push(j)
				// Keep this row's sums right for the columns after this one.
				nlo, nhi := float64(a*low[j]), float64(a*high[j])
				if a < 0 {
					nlo, nhi = nhi, nlo
				}
				least += nlo - lo
				most += nhi - hi
			}
		}
	}
	return ok
}

func (pr *propagator) narrow(j int, bottom, top, tol float64, low, high []float64) bool {
	if pr.md.cols[j].Integer {
		bottom, top = math.Ceil(bottom-tol-1e-6), math.Floor(top+tol+1e-6)
	} else {
		worth := float64(1e-3 * (high[j] - low[j]))
		bottom, top = bottom-tol, top+tol
		if bottom < low[j]+worth {
			bottom = low[j]
		}
		if top > high[j]-worth {
			top = high[j]
		}
		if bottom > top { // by a hair: leave it to the simplex
			return false
		}
	}
	changed := false
	if bottom > low[j] {
		low[j], changed = bottom, true
	}
	if top < high[j] {
		high[j], changed = top, true
	}
	return changed
}

// tighten narrows the boxes of all columns by the rows, and then coefficients
// of whole columns in rows with one limit. It returns false if a row cannot
// hold.
func (md *model) tighten() bool {
	low, high := md.boxes()
	pr := newPropagator(md)
	for j := range md.cols {
		pr.push(j)
	}
	for i, r := range md.rows {
		if len(r) == 0 && (md.low[i] > rowTolerance*10 || md.high[i] < -rowTolerance*10) {
			return false
		}
	}
	if !pr.run(low, high, true, nil) {
		return false
	}
	for j := range md.cols {
		md.cols[j].Low, md.cols[j].High = low[j], high[j]
	}
	for i := range md.rows {
		md.lift(i)
	}
	return true
}

// lift makes a row with one limit as tight as it can be without losing a whole
// point: where a whole column at one end of its box leaves the row slack
// whatever the others do, its coefficient shrinks by that slack.
func (md *model) lift(i int) {
	sign := 1.0
	limit := md.high[i]
	if math.IsInf(limit, 1) {
		sign, limit = -1, -md.low[i]
	} else if !math.IsInf(md.low[i], -1) {
		return
	}
	if math.IsInf(limit, 1) {
		return
	}
	most := 0.0
	for _, e := range md.rows[i] {
		a := float64(sign * e.val)
		most += max(float64(a*md.cols[e.col].Low), float64(a*md.cols[e.col].High))
	}
	for k, e := range md.rows[i] {
		c := md.cols[e.col]
		a := float64(sign * e.val)
		if !c.Integer || c.Low == c.High {
			continue
		}
		// One step away from the end that uses most, the row has this slack.
		slack := limit - (most - math.Abs(a))
		slack -= float64(1e-9 * max(1, math.Abs(limit)))
		// A row that is slack everywhere is left alone, and so is one that nearly
		// is: what remained of it would be mostly rounding.
		if slack <= 1e-6*math.Abs(a) || slack >= 0.99*math.Abs(a) {
			continue
		}
		// a*x <= limit - others; at the far end nothing changes.
		if a > 0 {
			a -= slack
			limit -= float64(slack * c.High)
			most -= float64(slack * c.High)
		} else {
			a += slack
			limit += float64(slack * c.Low)
			most += float64(slack * c.Low)
		}
		md.rows[i][k].val = float64(sign * a)
	}
	if sign > 0 {
		md.high[i] = limit
	} else {
		md.low[i] = -limit
	}
}

// granularity returns the step in which the objective can change, counted from
// offset, if of the columns that are not fixed only whole ones cost and they
// cost whole units; otherwise a step of 0.
func (md *model) granularity() (step, offset float64) {
	for _, c := range md.cols {
		if c.Low == c.High {
			offset += float64(c.Cost * c.Low)
			continue
		}
		a := math.Abs(c.Cost)
		if a != 0 && !c.Integer || a != math.Trunc(a) {
			return 0, 0
		}
		for a != 0 {
			step, a = a, math.Mod(step, a)
		}
	}
	return step, offset
}
