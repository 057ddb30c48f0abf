package safety

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/float"
)

// Growth is a predicted gain of germs already on the food, in powers of ten
// (log10): 1 is ten times as many as at the start. It is an estimate, never a
// measured or exact figure, and says nothing about the chance of illness.
type Growth float64

// PastModel is the gain above which a model no longer predicts: growth slows
// and stops as the food fills up (maxima of 8.2 to 9.7 log10 per gram were
// printed for ground beef). The bound itself is a cautious round figure.
const PastModel Growth = 6

// Past reports whether g lies beyond what a model can predict.
func (g Growth) Past() bool { return !(float64(g) <= float64(PastModel)) }

// String prints "about 1.4 log10", or "past the model (over 6 log10)".
func (g Growth) String() string {
	if g.Past() {
		return fmt.Sprintf("past the model (over %.0f log10)", float64(PastModel))
	}
	return fmt.Sprintf("about %.2f log10", float64(g))
}

// Fold says the same in plain words: "about 2.7 times as many germs", or "over
// a million times as many germs" past the model.
func (g Growth) Fold() string {
	if g.Past() {
		return "over a million times as many germs"
	}
	n := float.Pow(10, float64(g))
	switch {
	case n < 9.95:
		return fmt.Sprintf("about %.1f times as many germs", n)
	case n < 995:
		return fmt.Sprintf("about %.0f times as many germs", n)
	}
	if n < 999_500 {
		return fmt.Sprintf("about %.0f thousand times as many germs", n/1000)
	}
	return "about a million times as many germs"
}

// MarshalText is [Growth.String], so that a report never shows a bare number.
func (g Growth) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// Rate is a predicted specific growth rate, natural logarithm per hour. An estimate.
type Rate float64

// Doubling returns the generation time, ln 2 divided by the rate. The second
// result is false for a rate of zero, at which nothing doubles.
func (r Rate) Doubling() (hours float64, ok bool) {
	if !(r > 0) {
		return 0, false
	}
	return math.Ln2 / float64(r), true
}

// String prints "about 0.49 per hour".
func (r Rate) String() string { return fmt.Sprintf("about %.3g per hour", float64(r)) }

// RoomEstimate is a temperature that a model points to, in °C. An estimate; it
// never becomes a limit.
type RoomEstimate float64

// String prints "about 19.7 °C (67 °F)".
func (r RoomEstimate) String() string {
	return fmt.Sprintf("about %.1f °C (%.0f °F)", float64(r), float64(float64(r)*1.8)+32)
}

// MarshalText is [RoomEstimate.String].
func (r RoomEstimate) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// Model is one of the growth models that were checked against a second source.
// The set is closed.
type Model uint8

const (
	// SalmonellaCentral: Salmonella in fresh pork beside its natural flora
	// (MOLLER), sqrt(mu) = 0.0356 (T - 2.33), 4 to 38 °C. The middle estimate.
	SalmonellaCentral Model = iota + 1
	// SalmonellaUpper: Salmonella in meat (EFSA-S), a polynomial refit at pH
	// 5.8 and water activity 0.993, 7 to 40 °C. Faster than the central one
	// above about 15 °C, so it stands for the upper edge.
	SalmonellaUpper
	// EcoliO157: E. coli O157:H7 in ground beef (KAKA), cardinal temperature
	// model, Tmin 3.36, Topt 43.16, Tmax 46.87 °C, mu_opt 1.385; 10 to 47 °C.
	EcoliO157
	// Spoilage: Pseudomonas on ground beef and pork in air (KOUT) at pH 5.7, 0
	// to 20 °C: the flora that makes meat smell, not one that makes ill.
	Spoilage
)

// Models returns all models: the central one first.
func Models() []Model { return []Model{SalmonellaCentral, SalmonellaUpper, EcoliO157, Spoilage} }

// modelSpec is what a model is. optimum is the warmest point up to which the
// equation rises, inside its range; warmer than that it falls again.
type modelSpec struct {
	id, germ  string
	low, high int64 // °C, the range in which the equation was fitted
	optimum   float64
	ref       string
	rate      func(c float64) float64
}

func (m Model) spec() (modelSpec, bool) {
	switch m {
	case SalmonellaCentral:
		return modelSpec{"salmonella-central", "Salmonella (central)", 4, 38, 38,
			"published moller-2013, gropin: fresh pork with its natural flora; model 355", moller}, true
	case SalmonellaUpper:
		return modelSpec{"salmonella-upper", "Salmonella (upper)", 7, 40, efsaOptimum,
			"published efsa-2014-p1, gropin: Salmonella in meat; model 503", efsa}, true
	case EcoliO157:
		return modelSpec{"ecoli-o157", "E. coli O157:H7", 10, 47, kakaOptimum,
			"published kakagianni-2019: abstract, cardinal values", kaka}, true
	case Spoilage:
		return modelSpec{"spoilage", "spoilage flora (Pseudomonas)", 0, 20, 20,
			"published koutsoumanis-2006, gropin: ground beef and pork in air; model 271", kout}, true
	}
	return modelSpec{}, false
}

// The equations. c is °C; the result is the natural logarithm per hour.

func moller(c float64) float64 {
	r := float64(0.0356 * (c - 2.33))
	if r <= 0 {
		return 0
	}
	return float64(r * r)
}

// The refit at pH 5.8 and water activity 0.993: b² = 1 - aw.
const (
	efsaPH = 5.8
	efsaB2 = 1 - 0.993
)

// Where the slope of ln(mu) over T is zero.
const efsaOptimum = (0.3649 - 0.00442*efsaPH) / (2 * 0.00458)

func efsa(c float64) float64 {
	return float.Exp(-11.909 + float64(0.3649*c) + 1.7832*efsaPH + float64(7.00019*math.Sqrt(efsaB2)) -
		float64(0.00442*c*efsaPH) - float64(0.00458*c*c) - 0.12539*efsaPH*efsaPH - 62.114*efsaB2)
}

const (
	kakaMin     = 3.36
	kakaOptimum = 43.16
	kakaMax     = 46.87
	kakaRate    = 1.385
)

func kaka(c float64) float64 {
	if c <= kakaMin || c >= kakaMax {
		return 0
	}
	below := float64((kakaOptimum - kakaMin) * (float64((kakaOptimum-kakaMin)*(c-kakaOptimum)) -
		float64((kakaOptimum-kakaMax)*(kakaOptimum+kakaMin-2*c))))
	return kakaRate * (c - kakaMax) * (c - kakaMin) * (c - kakaMin) / below
}

func kout(c float64) float64 {
	return float64(0.056 * float.Exp(float64(-69.3/0.00831*(1/(c+273)-1.0/273))))
}

// String returns the permanent id: "salmonella-central", "salmonella-upper",
// "ecoli-o157", "spoilage".
func (m Model) String() string {
	if s, ok := m.spec(); ok {
		return s.id
	}
	return "no model"
}

// MarshalText is [Model.String]; a value that is none of these is an error.
func (m Model) MarshalText() ([]byte, error) {
	if _, ok := m.spec(); !ok {
		return nil, fmt.Errorf("writing model %d: %w", uint8(m), ErrModel)
	}
	return []byte(m.String()), nil
}

// Germ names the germ and the model's place for people: "Salmonella (upper)".
func (m Model) Germ() string { s, _ := m.spec(); return s.germ }

// Range returns the temperatures between which the model may be used, both included.
func (m Model) Range() (low, high units.Temperature) {
	s, _ := m.spec()
	return units.DegreesC(s.low), units.DegreesC(s.high)
}

// Ref returns where the model was read.
func (m Model) Ref() (cite.Ref, error) {
	s, ok := m.spec()
	if !ok {
		return cite.Ref{}, fmt.Errorf("growth model %d: %w", uint8(m), ErrModel)
	}
	return cite.ParseRef(s.ref)
}

// Rate returns the growth rate at one temperature and whether that lies in the
// model's range. Outside it the value is what the equation gives and must not
// be used as a prediction. E. coli O157 is zero outside 3.36 to 46.87 °C.
func (m Model) Rate(t units.Temperature) (r Rate, inRange bool) {
	s, ok := m.spec()
	if !ok {
		return 0, false
	}
	low, high := m.Range()
	return Rate(s.rate(t.Celsius())), low <= t && t <= high
}

// Spell is a stretch of time at one temperature.
type Spell struct {
	For time.Duration
	At  units.Temperature
}

// Prediction is what one model says about a stretch of time.
type Prediction struct {
	Model Model
	// Gain counts from the start of the steps, with no lag: meat from a fridge
	// gets none. It stands only when Known is true.
	Gain  Growth
	Known bool
	// Why says what is missing when Known is false.
	Why string
}

// String prints "Salmonella (central): about 1.37 log10" or why there is none.
func (p Prediction) String() string {
	if !p.Known {
		return p.Model.Germ() + ": cannot be said, " + p.Why
	}
	return p.Model.Germ() + ": " + p.Gain.String()
}

// Predict adds up the growth over steps, each at its own temperature. Stretches
// at one temperature are first summed as whole nanoseconds, so neither cutting
// a stretch in two nor the order of the steps changes the result by a bit. One
// step outside the model's range makes the whole prediction unknown: a part
// that is not predicted is not zero. Steps of zero length are ignored; a
// negative length, or a sum beyond one hundred years, makes it unknown too.
func (m Model) Predict(steps []Spell) Prediction {
	p := Prediction{Model: m}
	s, ok := m.spec()
	if !ok {
		p.Why = "there is no such model"
		return p
	}
	at := make(map[units.Temperature]time.Duration, len(steps))
	var total time.Duration
	low, high := m.Range()
	for _, step := range steps {
		if step.For < 0 || step.For > maxPeriod {
			p.Why = "a stretch of time is negative or too long"
			return p
		}
		if total += step.For; total > maxPeriod {
			p.Why = "the stretches add up to more than one hundred years"
			return p
		}
		if step.For == 0 {
			continue
		}
		if step.At < low || step.At > high {
			p.Why = fmt.Sprintf("%s is outside the model's range of %d to %d °C", step.At.InCelsius(1), s.low, s.high)
			return p
		}
		at[step.At] += step.For
	}
	temps := make([]units.Temperature, 0, len(at))
	for t := range at {
		temps = append(temps, t)
	}
	slices.SortFunc(temps, cmp.Compare)
	sum := 0.0
	for _, t := range temps {
		sum += float64(s.rate(t.Celsius()) * at[t].Hours())
	}
	p.Gain, p.Known = Growth(sum/math.Ln10), true
	return p
}

// Warmest is the answer of [Model.WarmestFor].
type Warmest struct {
	Model Model
	// At is the temperature at which the gain is just reached; it stands only
	// when Found is true.
	At    RoomEstimate
	Found bool
	// Why says, when Found is false, on which side the answer lies.
	Why string
}

// WarmestFor returns the room temperature at which the model predicts a gain
// of just so many log10 in the time given: one log10 is ten times the germs.
// The answer is looked for inside the model's range and below its optimum.
// Nothing is found for a time or a gain that is not positive.
func (m Model) WarmestFor(stay time.Duration, gain Growth) Warmest {
	w := Warmest{Model: m}
	s, ok := m.spec()
	if !ok || stay <= 0 || stay > maxPeriod || !(gain > 0) || gain.Past() {
		w.Why = "no such question can be asked of the model"
		return w
	}
	at := func(c float64) float64 { return s.rate(c) * stay.Hours() / math.Ln10 }
	low, high := float64(s.low), math.Min(float64(s.high), s.optimum)
	if at(low) > float64(gain) {
		w.Why = fmt.Sprintf("colder than %d °C, the low end of its range", s.low)
		return w
	}
	if at(high) < float64(gain) {
		w.Why = fmt.Sprintf("not reached anywhere in its range, up to %.0f °C", high)
		return w
	}
	for range 60 {
		if mid := (low + high) / 2; at(mid) > float64(gain) {
			high = mid
		} else {
			low = mid
		}
	}
	w.At, w.Found = RoomEstimate(low), true
	return w
}

// String prints "Salmonella (central): about 19.7 °C (67 °F)", or where the answer lies.
func (w Warmest) String() string {
	if !w.Found {
		return w.Model.Germ() + ": " + w.Why
	}
	return w.Model.Germ() + ": " + w.At.String()
}
