package main

import (
	"fmt"
	"math"
	"strconv"

	"fitchet.example/balance"
)

// strip is a picture of a range against its target. The target fills the middle
// third, so that every strip has a scale of its own and a look says on which
// side of the target the range lies. It is for the eye only: Title and Desc say
// the same in words, and the figures stand beside it.
type strip struct {
	ID          string
	Title, Desc string
	// Bounds of the target and the range, 0 to 1 along the strip.
	target    [2]float64
	low, high float64
	mid       float64
	Ends      [2]string // the figures at the target's bounds
}

// newStrip is nil when the target has no two bounds.
func newStrip(o shareOut, v balance.Figure, f *balance.Finding) *strip {
	least, most := f.Limits()
	if least == nil || most == nil || most.Value <= least.Value {
		return nil
	}
	const perPercent = 1e4 // shares are bounded in millionths
	from, to := float64(least.Value)/perPercent, float64(most.Value)/perPercent
	at := func(x float64) float64 { return (1 + (x-from)/(to-from)) / 3 }
	s := &strip{
		ID: "strip-" + f.Rule.ID, target: [2]float64{1. / 3, 2. / 3},
		low: at(v.Low.InexactFloat64()), high: at(v.High.InexactFloat64()), mid: at(v.Typical.InexactFloat64()),
		Ends: [2]string{least.Text, most.Text},
	}
	s.Title = fmt.Sprintf("%s: %s %%, target %s to %s", o.Slot, o.Typical, least.Text, most.Text)
	s.Desc = fmt.Sprintf("Planned %s %%; published figures allow %s to %s %%. The target is %s to %s. At the planned figure it is %s, over the whole range %s.",
		o.Typical, o.Low, o.High, least.Text, most.Text, o.Verdict, o.Whole)
	return s
}

// The strip on paper, in pixels.
const (
	stripWidth = 180.0
	stripEdge  = 8.0
)

func stripX(v float64) string {
	return strconv.FormatFloat(stripEdge+float64(math.Min(math.Max(v, 0), 1)*(stripWidth-2*stripEdge)), 'f', 1, 64)
}

func (s *strip) Low() string   { return stripX(s.low) }
func (s *strip) High() string  { return stripX(s.high) }
func (s *strip) Mid() string   { return stripX(s.mid) }
func (s *strip) Start() string { return stripX(s.target[0]) }
func (s *strip) Stop() string  { return stripX(s.target[1]) }

// Width is how wide the target is drawn.
func (s *strip) Width() string {
	return strconv.FormatFloat(float64((s.target[1]-s.target[0])*(stripWidth-2*stripEdge)), 'f', 1, 64)
}

// Before and Beyond say that the range runs out of the strip.
func (s *strip) Before() bool { return s.low < 0 }
func (s *strip) Beyond() bool { return s.high > 1 }
func (s *strip) Out() bool    { return s.mid < 0 || s.mid > 1 }
