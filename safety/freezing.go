package safety

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Measured says what the temperature and time of a freezing figure are about.
type Measured uint8

const (
	NotSaid Measured = iota + 1 // the source does not say
	Air                         // the freezer; counted from going in
	Core                        // the middle of the meat; counted from reaching it
	Solid                       // counted from frozen solid
)

var measuredWords = units.Words[Measured]{What: "measure", Keys: []string{NotSaid: "not said", Air: "air", Core: "core", Solid: "solid"}}

// String returns "not said", "air", "core" or "solid".
func (m Measured) String() string { return measuredWords.Name(m) }

// MarshalText is [Measured.String]; a value that is none of these is an error.
func (m Measured) MarshalText() ([]byte, error) { return measuredWords.Marshal(m) }

// Outcome is what a freezing figure says.
type Outcome uint8

const (
	Kills        Outcome = iota + 1 // a rule, advice or study says that it kills
	NotInfective                    // a study found none infective
	UsuallyDead                     // a study found most dead
	Infective                       // a study found them alive or infective
	MeanOnly                        // a mean of a regression: never a safe time
)

var outcomeWords = units.Words[Outcome]{What: "outcome", Keys: []string{
	Kills: "kills", NotInfective: "not infective", UsuallyDead: "usually dead", Infective: "infective", MeanOnly: "mean only",
}}

// String returns "kills", "not infective", "usually dead", "infective" or "mean only".
func (o Outcome) String() string { return outcomeWords.Name(o) }

// MarshalText is [Outcome.String]; a value that is none of these is an error.
func (o Outcome) MarshalText() ([]byte, error) { return outcomeWords.Marshal(o) }

// Force is the weight of a freezing figure.
type Force uint8

const (
	InForce Force = iota + 1 // a rule in force
	Former                   // a rule that was removed
	Advice                   // advice of a body
	Study                    // a result of one study
)

var forceWords = units.Words[Force]{What: "force", Keys: []string{InForce: "in force", Former: "former rule", Advice: "advice", Study: "study"}}

// String returns "in force", "former rule", "advice" or "study".
func (f Force) String() string { return forceWords.Name(f) }

// MarshalText is [Force.String]; a value that is none of these is an error.
func (f Force) MarshalText() ([]byte, error) { return forceWords.Marshal(f) }

// Hold is one published freezing figure for one agent in one host.
type Hold struct {
	ID    string
	Agent string
	Host  string // the meat it was shown in or made for
	// At is the temperature; Text is empty when it was not measured.
	At Bound
	// Over and To bound the thickness in millimetres: more than Over, at most
	// To; zero is no bound.
	Over, To int
	// Low and High are the time as printed. A kill is counted from High.
	Low, High time.Duration
	Measured  Measured
	Outcome   Outcome
	Force     Force
	Words     string
	Ref       cite.Ref
	classes   []string
}

// safeTime reports whether the figure may count as a time that is long enough.
// Means of a regression never do.
func (h Hold) safeTime() bool {
	return (h.Outcome == Kills || h.Outcome == NotInfective) && h.High > 0 && h.At.Text != ""
}

// Holds returns the freezing figures for an agent ("trichinella-spiralis"), or
// all of them for "".
func (b *Book) Holds(agent string) []Hold {
	var out []Hold
	for _, h := range b.holds {
		if agent == "" || h.Agent == agent {
			out = append(out, h)
		}
	}
	return out
}

type agentRule struct {
	id, name string
	classes  []string
	wild     bool
	freezing string // holds, do-not-rely, never, no-figure
	words    string
	ref      cite.Ref
}

// Freezing is how a food was or will be frozen.
type Freezing struct {
	Species string
	Wild    bool
	// At is the temperature, of the middle of the meat when Core is true, else
	// of the freezer.
	At   Reading
	Core bool
	For  time.Duration
	// Thickness in millimetres; zero when it is not known.
	Thickness int
}

// FreezeAnswer is what freezing does to one agent.
type FreezeAnswer uint8

const (
	ByRule       FreezeAnswer = iota + 1 // meets a rule in force
	ByFormerRule                         // meets a rule that was removed
	ByFigures                            // meets the longest advice or study read, and no rule was read
	Lowers                               // cold enough that most die, by advice or study; not shown to kill all
	NotMet                               // too short, too warm or too thick for every figure read
	NotKnown                             // temperature or thickness is not given
	DoNotRely                            // figures exist, and sources advise not to rely on them
	NoFigure                             // no figure was read
	Never                                // freezing does not do it
)

var answerWords = units.Words[FreezeAnswer]{What: "answer", Keys: []string{
	ByRule: "meets a rule", ByFormerRule: "meets a former rule", ByFigures: "meets the figures read, no rule", Lowers: "lowers the risk", NotMet: "not met", NotKnown: "cannot be said", DoNotRely: "do not rely on it", NoFigure: "no figure was read", Never: "freezing does not do it",
}}

// String returns the answer in words.
func (a FreezeAnswer) String() string { return answerWords.Name(a) }

// MarshalText is [FreezeAnswer.String]; a value that is none of these is an error.
func (a FreezeAnswer) MarshalText() ([]byte, error) { return answerWords.Marshal(a) }

// FreezeLine is the answer for one agent.
type FreezeLine struct {
	Agent  string
	Name   string
	Answer FreezeAnswer
	Why    string
	// Hold is the figure that decided, when one did.
	Hold Hold
	Ref  cite.Ref // what is known of the agent
}

// Freeze says, for each agent that matters for this animal, what the freezing
// does and does not do. Common practice freezes hunted meat for some weeks
// whatever it is; this is the answer by animal. The lines stand worst first:
// what freezing never does before what it does. A negative time, or a species
// that [prey.Words] do not hold, is an error that wraps [ErrServing] or
// [prey.ErrSpecies].
func (b *Book) Freeze(f Freezing) ([]FreezeLine, error) {
	k, err := b.words.Animal(f.Species)
	if err != nil {
		return nil, fmt.Errorf("freezing %w", err)
	}
	if f.For < 0 || f.For > maxPeriod || f.Thickness < 0 {
		return nil, fmt.Errorf("freezing %q: %w: negative or over one hundred years", clip(f.Species), ErrServing)
	}
	var out []FreezeLine
	for _, a := range b.agents {
		if a.wild && !f.Wild || !slices.Contains(a.classes, "any") && !overlap(a.classes, k.Groups) {
			continue
		}
		line := FreezeLine{Agent: a.id, Name: a.name, Why: a.words, Ref: a.ref}
		switch a.freezing {
		case "never":
			line.Answer = Never
		case "no-figure":
			line.Answer = NoFigure
		case "do-not-rely":
			line.Answer = DoNotRely
		default:
			line.Answer, line.Hold, line.Why = b.judgeHolds(a, k.Groups, f)
		}
		out = append(out, line)
	}
	slices.SortStableFunc(out, func(x, y FreezeLine) int { return cmp.Compare(y.Answer, x.Answer) })
	return out, nil
}

func overlap(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}

// judgeHolds looks for a figure that the freezing meets. Rows of a rule, in
// force or former, are alternatives, so one is enough; and where there is a
// rule, shorter times of single studies do not stand in for it. Advice and
// studies disagree: of those at the coldest temperature reached the longest
// counts.
func (b *Book) judgeHolds(a agentRule, classes []string, f Freezing) (FreezeAnswer, Hold, string) {
	if !f.At.Known {
		return NotKnown, Hold{}, "the temperature is not given"
	}
	var figures []Hold
	ruled := false
	var former, thick, basis, near, lowers *Hold
	for _, h := range b.holds {
		if h.Agent != a.id || !slices.Contains(h.classes, "any") && !overlap(h.classes, classes) {
			continue
		}
		ruled = ruled || h.Force == InForce || h.Force == Former
		switch {
		case h.Outcome == UsuallyDead:
			if lowers == nil && h.At.AtOrBelow(f.At.At) && f.For >= leastLowering {
				lowers = &h
			}
		case !h.safeTime():
		case !h.At.AtOrBelow(f.At.At):
			// The nearest figure is the warmest that is not reached, and of
			// those the longest.
			if near == nil || cmp.Or(cmp.Compare(h.At.C, near.At.C), cmp.Compare(h.High, near.High)) > 0 {
				near = &h
			}
		case (h.Measured == Core || h.Measured == Solid) && !f.Core:
			if basis == nil {
				basis = &h
			}
		case (h.Over > 0 || h.To > 0) && f.Thickness == 0:
			if thick == nil {
				thick = &h
			}
		case h.Over > 0 && f.Thickness <= h.Over || h.To > 0 && f.Thickness > h.To:
		case h.Force == Advice || h.Force == Study:
			figures = append(figures, h)
		case f.For < h.High:
			near = &h
		case h.Force == InForce:
			return ByRule, h, fmt.Sprintf("%s at %s or below; %s", PeriodText(h.High), h.At, h.Words)
		case former == nil:
			former = &h
		}
	}
	if former != nil {
		return ByFormerRule, *former, fmt.Sprintf("%s at %s or below; %s", PeriodText(former.High), former.At, former.Words)
	}
	if thick != nil && f.For >= thick.High {
		return NotKnown, *thick, "the thickness is not given; " + thick.Words
	}
	lowersWhy := func(h *Hold) string { return fmt.Sprintf("%s in %s (%s)", h.Words, h.Host, h.Force) }
	if len(figures) > 0 && !ruled {
		coldest := slices.MinFunc(figures, func(x, y Hold) int { return cmp.Compare(x.At.C, y.At.C) }).At.C
		figures = slices.DeleteFunc(figures, func(h Hold) bool { return h.At.C != coldest })
		longest := slices.MaxFunc(figures, func(x, y Hold) int { return cmp.Compare(x.High, y.High) })
		why := fmt.Sprintf("%s at %s in %s (%s): %s", PeriodText(longest.High), longest.At, longest.Host, longest.Force, longest.Words)
		if f.For >= longest.High {
			return ByFigures, longest, why
		}
		if lowers == nil {
			return NotMet, longest, "shorter than " + why
		}
	}
	if lowers != nil {
		return Lowers, *lowers, lowersWhy(lowers)
	}
	if near != nil {
		return NotMet, *near, fmt.Sprintf("the nearest figure asks %s at %s or below", PeriodText(near.High), near.At)
	}
	if basis != nil {
		return NotKnown, *basis, "the figure counts from when the middle of the meat is cold: " + basis.Words
	}
	return NotMet, Hold{}, "no figure that was read covers this temperature or thickness; " + a.words
}

// leastLowering is the least time for [Lowers]. Our choice: 48 hours, the
// shortest advice that was read for any parasite, because the advice itself
// says no more than "several days".
const leastLowering = 48 * time.Hour

const holdHeader = "id,agent,classes,host,at,over,to,low,high,measured,outcome,standing,words,evidence"

// word reads one of a closed set of words.
func word[T ~uint8](names map[string]T) func(string) (T, error) {
	return func(s string) (T, error) {
		if v, ok := names[s]; ok {
			return v, nil
		}
		var known []string
		for n := range names {
			known = append(known, n)
		}
		slices.Sort(known)
		return 0, fmt.Errorf("%q is none of %s", clip(s), strings.Join(known, ", "))
	}
}

func (b *Book) readHolds(path, text string) error {
	seen := unique{}
	measured := word(map[string]Measured{"not-said": NotSaid, "air": Air, "core": Core, "solid": Solid})
	outcome := word(map[string]Outcome{"kills": Kills, "not-infective": NotInfective, "usually-nonviable": UsuallyDead, "infective": Infective, "mean": MeanOnly})
	force := word(map[string]Force{"in-force": InForce, "former": Former, "advice": Advice, "study": Study})
	return readTable(path, text, b.reg, holdHeader, func(r row) {
		h := Hold{ID: cell(r, "id", ident), Agent: cell(r, "agent", ident), Host: r.Text("host"), classes: r.words("classes"),
			Measured: cell(r, "measured", measured), Outcome: cell(r, "outcome", outcome), Force: cell(r, "standing", force),
			Words: r.Text("words"), Ref: r.ref("evidence")}
		seen.add(r, "id", h.ID)
		h.At, _ = strict.OptCell(r.Table, "at", ParseBound)
		h.Over, _ = strict.OptCell(r.Table, "over", wholeNumber)
		h.To, _ = strict.OptCell(r.Table, "to", wholeNumber)
		h.Low, _ = strict.OptCell(r.Table, "low", ParsePeriod)
		h.High, _ = strict.OptCell(r.Table, "high", positivePeriod)
		if h.Low > h.High {
			r.Fail("high", "high is below low")
		}
		if h.To > 0 && h.Over >= h.To {
			r.Fail("to", "to is not more than over")
		}
		if (h.Outcome == Kills || h.Outcome == NotInfective) && (h.High == 0 || h.At.Text == "") {
			r.Fail("high", "a kill needs its temperature and time")
		}
		if h.Ref.Evidence != cite.Published && h.Ref.Evidence != 0 {
			r.Fail("evidence", "a freezing figure is a published one")
		}
		if !slices.ContainsFunc(b.agents, func(a agentRule) bool { return a.id == h.Agent }) && len(b.agents) > 0 {
			r.Fail("agent", "%s is not in agents.csv", clip(h.Agent))
		}
		for _, c := range h.classes {
			if _, err := b.knownClass(c); err != nil && c != "any" {
				r.Fail("classes", "%w", err)
			}
		}
		b.holds = append(b.holds, h)
	})
}

func (b *Book) readAgents(path, text string) error {
	seen := unique{}
	return readTable(path, text, b.reg, "agent,classes,wild,name,freezing,words,evidence", func(r row) {
		a := agentRule{id: cell(r, "agent", ident), classes: r.words("classes"), wild: r.OptText("wild") == "yes", name: r.Text("name"),
			freezing: r.Text("freezing"), words: r.Text("words"), ref: r.ref("evidence")}
		seen.add(r, "agent", a.id)
		if w := r.OptText("wild"); w != "" && w != "yes" {
			r.Fail("wild", "want yes or nothing")
		}
		if !slices.Contains([]string{"holds", "do-not-rely", "never", "no-figure"}, a.freezing) {
			r.Fail("freezing", "want holds, do-not-rely, never or no-figure")
		}
		for _, c := range a.classes {
			if _, err := b.knownClass(c); err != nil && c != "any" {
				r.Fail("classes", "%w", err)
			}
		}
		b.agents = append(b.agents, a)
	})
}

// Millimetres reads a thickness: "15.2 cm", "6 in", "40 mm", rounded up to
// whole millimetres so that a piece is never taken for thinner than it is.
func Millimetres(s string) (int, error) {
	text := strings.TrimSpace(s)
	tenMicrons := map[string]int{"mm": 100, "cm": 1000, "in": 2540}
	for unit, each := range tenMicrons {
		number, ok := strings.CutSuffix(text, unit)
		if !ok {
			continue
		}
		whole, frac, point := strings.Cut(strings.TrimSpace(number), ".")
		if len(frac) > 2 || point && frac == "" || len(whole) > 4 {
			break
		}
		w, err := wholeNumber(whole)
		if err != nil {
			break
		}
		f := 0
		if frac != "" {
			if f, err = wholeNumber((frac + "0")[:2]); err != nil {
				break
			}
		}
		return ((w*100+f)*each + 9999) / 10000, nil
	}
	return 0, fmt.Errorf("thickness %q: %w: write for example \"15 cm\" or \"6 in\"", clip(s), ErrServing)
}
