package main

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"fitchet.example/units/float"
)

// A drawing is a plot laid out for the template: every coordinate is text that
// is ready for an attribute. It is narrow, so that its words stay readable on a
// small screen.
type drawing struct {
	ID, Title, Desc    string
	Width, Height      string
	Left, Right, AxisY string
	Target             *drawnTarget
	Ticks              []drawnTick
	Rows               []drawnRow
}

type drawnTarget struct{ X, W, Text string }

type drawnTick struct{ X, Y, Y2, TextY, Anchor, Text string }

type drawnRow struct {
	LabelX, LabelY, Label  string
	ValueX, ValueY, Value  string
	X1, X2, Y, Top, Bottom string
	Shade                  string // top of the target behind the bar
	HasMid                 bool
	Mid                    string
}

const (
	plotWidth = 340.0
	plotLeft  = 8.0
	plotRight = plotWidth - 8
	lineWords = 58 // characters that fit on one line
)

// draw lays out a plot.
func (p *plot) draw(id string) *drawing {
	d := &drawing{ID: id, Title: p.Title, Desc: p.words(), Width: num(plotWidth), Left: num(plotLeft), Right: num(plotRight)}
	low, high := math.Inf(1), 0.0
	extent := func(r plotRow) {
		if r.Low > 0 {
			low = math.Min(low, r.Low)
		}
		high = math.Max(high, r.High)
	}
	for _, r := range p.Rows {
		extent(r)
	}
	if p.Target != nil {
		extent(*p.Target)
	}
	ticks := linearTicks(high)
	from, to := 0.0, ticks[len(ticks)-1]
	if p.Log {
		ticks = logTicks(low, high)
		from, to = ticks[0], ticks[len(ticks)-1]
	}
	x := func(v float64) float64 {
		v = math.Min(math.Max(v, from), to)
		f := 0.0
		switch {
		case p.Log:
			f = float.Log(v/from) / float.Log(to/from)
		case to > from:
			f = (v - from) / (to - from)
		}
		return plotLeft + float64(f*(plotRight-plotLeft))
	}
	y := 4.0
	if p.Target != nil {
		y = 18
	}
	for _, r := range p.Rows {
		out := drawnRow{LabelX: num(plotLeft), Label: r.Label.Text, ValueX: num(plotRight), Value: r.Value}
		y += 13
		out.LabelY = num(y)
		if utf8.RuneCountInString(r.Label.Text)+utf8.RuneCountInString(r.Value) > lineWords {
			y += 13
		}
		out.ValueY = num(y)
		y += 10
		out.X1, out.X2, out.Y = num(x(r.Low)), num(x(r.High)), num(y)
		out.Top, out.Bottom, out.Shade = num(y-4), num(y+4), num(y-6)
		if r.Typical > 0 {
			out.HasMid, out.Mid = true, num(x(r.Typical))
		}
		y += 9
		d.Rows = append(d.Rows, out)
	}
	y += 4
	d.AxisY = num(y)
	for i, t := range ticks {
		anchor := "middle"
		switch i {
		case 0:
			anchor = "start"
		case len(ticks) - 1:
			anchor = "end"
		}
		text := number(t)
		switch {
		case i == len(ticks)-1:
			text += " " + p.Unit
		case i == len(ticks)-2 && x(ticks[i+1])-x(t) < 60:
			text = "" // the last one, with its unit, needs the room
		}
		d.Ticks = append(d.Ticks, drawnTick{num(x(t)), num(y), num(y + 4), num(y + 15), anchor, text})
	}
	if t := p.Target; t != nil {
		d.Target = &drawnTarget{num(x(t.Low)), num(math.Max(x(t.High)-x(t.Low), 1)), "shaded: " + t.Label.Text + ", " + t.Value}
	}
	d.Height = num(y + 20)
	return d
}

// words is the plot for those who do not see it.
func (p *plot) words() string {
	var s []string
	if p.Target != nil {
		s = append(s, capital(p.Target.Label.Text)+": "+p.Target.Value)
	}
	for _, r := range p.Rows {
		s = append(s, r.Label.Text+": "+r.Value)
	}
	return strings.Join(s, "; ") + "."
}

// decade is the largest e for which 10^e is at most v, which is above 0.
func decade(v float64) int {
	e := -323
	for e < 308 && math.Pow10(e+1) <= v {
		e++
	}
	return e
}

// linearTicks are round steps from 0 to at least high.
func linearTicks(high float64) []float64 {
	if !(high > 0) {
		return []float64{0, 1}
	}
	step := math.Pow10(decade(high))
	for _, f := range []float64{0.2, 0.5, 1, 2} {
		if high/(step*f) <= 6 {
			step = float64(step * f)
			break
		}
	}
	var out []float64
	for i := 0; ; i++ {
		out = append(out, float64(float64(i)*step))
		if out[i] >= high {
			return out
		}
	}
}

// logTicks are 1, 3, 10 ... around the range.
func logTicks(low, high float64) []float64 {
	if !(low > 0) || !(high > 0) {
		return []float64{1, 10}
	}
	var all []float64
	for e := decade(low); e <= decade(high)+1; e++ {
		all = append(all, math.Pow10(e), float64(3*math.Pow10(e)))
	}
	from, to := 0, len(all)-1
	for from+1 < len(all) && all[from+1] <= low {
		from++
	}
	for to > from+1 && all[to-1] >= high {
		to--
	}
	return all[from : to+1]
}

// num is a coordinate.
func num(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// number is a value on the axis.
func number(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) }
