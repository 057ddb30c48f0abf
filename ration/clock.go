package ration

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/say"
)

// ErrClock is wrapped by FeedingClock for a request that has no meaning.
var ErrClock = errors.New("not a feeding clock that can be laid out")

// DefaultWindow is when a keeper is taken to be up if the household does not say: 07:00 to 23:00. It is our choice.
func DefaultWindow() Window { return Window{From: 7 * 60, Awake: 16 * time.Hour} }

// ClockRequest asks for the set-outs of one day, the same every day.
type ClockRequest struct {
	// Meals is how many set-outs are wanted, 1 to 24. More are laid out when the longest gap asks for them.
	Meals int
	// LiftBy is the longest time each set-out may lie, in the order of the day: by the form of its food and the room, as
	// package safety gives it. One value stands for all. Set-outs beyond the wanted ones are given the shortest. Each is at
	// least 5 minutes and at most a day, and is cut to whole minutes.
	LiftBy []time.Duration
	// LongestGap is the longest time the animal may be without food, at least 5 minutes, cut to whole minutes.
	LongestGap time.Duration
	// Waking is when somebody can set food out and lift it. The zero Window stands for DefaultWindow.
	Waking Window
}

// SetOut is one bowl put down and lifted.
type SetOut struct {
	Out, Lift TimeOfDay
	Lies      time.Duration
	Night     bool // outside the waking hours
}

// String returns "07:00, lift by 09:00".
func (s SetOut) String() string { return fmt.Sprintf("%s, lift by %s", s.Out, s.Lift) }

// ChoiceID names a way out when both bounds cannot hold.
type ChoiceID string

const (
	KeepLimit ChoiceID = "keep-limit" // lift in time, and let the animal wait through the night
	KeepGap   ChoiceID = "keep-gap"   // leave the last bowl through the night, beyond its limit
	GetUp     ChoiceID = "get-up"     // keep both by getting up in the night
	KeepCold  ChoiceID = "keep-cold"  // keep the night's bowl as cold as a fridge; needs equipment
)

// ClockChoice is one way out, and what it costs.
type ClockChoice struct {
	ID      ChoiceID
	Text    string // what it costs, in a plain sentence
	SetOuts []SetOut
	// LongestLie and LongestWait are what this layout really does.
	LongestLie, LongestWait time.Duration
	GetUps                  int // times somebody gets up
}

// Clock is the answer of FeedingClock.
type Clock struct {
	// Holds says that the layout keeps both bounds: nothing lies longer than its limit and the animal never waits longer
	// than its longest gap. When it is false SetOuts is empty and Choices says what can be done and what each costs.
	Holds                   bool
	SetOuts                 []SetOut
	LongestLie, LongestWait time.Duration
	// Added is how many set-outs there are beyond the wanted meals. The day's food is shared out over all of them: more
	// and smaller.
	Added   int
	Asleep  time.Duration // how long nobody is up
	Text    string
	Choices []ClockChoice
}

// FeedingClock lays out the set-outs of a day so that no piece lies longer than its limit and the animal never waits
// longer than its longest gap. It uses as few set-outs as keep the gap, at least the wanted ones, and spreads the waiting
// as evenly as the waking hours allow. While food is out the animal is not waiting; the wait runs from lifting a bowl to
// putting down the next.
//
// Every time is a whole five minutes, as a kitchen clock is read: limits and the longest gap are rounded down to that and
// the waking hours inward, so that no bowl lies and no animal waits longer than was asked. Where that
// would need more bowls or more getting up than times to the minute, or would lift a bowl as it is put down, the times are
// given to the minute; with bounds and hours in whole five minutes and limits of half an hour or more it never does.
//
// When the hours in which nobody is up are longer than both the longest gap and the limit of the last bowl, both cannot
// hold. The answer then says so and gives the choices. FeedingClock takes no choice for anybody: the limit protects people and animals from germs, the gap
// protects the animal from low blood sugar, and a vet weighs them.
//
// The error wraps ErrClock.
func FeedingClock(r ClockRequest) (Clock, error) {
	if r.Waking == (Window{}) {
		r.Waking = DefaultWindow()
	}
	bad := func(format string, args ...any) (Clock, error) {
		return Clock{}, fmt.Errorf("laying out a day: %w: %s", ErrClock, fmt.Sprintf(format, args...))
	}
	awake := minutes(r.Waking.Awake)
	const least = kitchenStep
	switch {
	case r.Meals < 1 || r.Meals > MaxMeals:
		return bad("%d meals; want 1 to %d", r.Meals, MaxMeals)
	case awake < 60 || awake > dayMinutes:
		return bad("awake for %s; want 1 h to 24 h", safety.PeriodText(r.Waking.Awake))
	case r.Waking.From < 0 || r.Waking.From >= dayMinutes:
		return bad("waking at minute %d of the day", r.Waking.From)
	case minutes(r.LongestGap) < least:
		return bad("a longest gap of %s; want at least %d min", safety.PeriodText(r.LongestGap), least)
	case len(r.LiftBy) != 1 && len(r.LiftBy) != r.Meals:
		return bad("%d limits for %d meals; want one, or one for each", len(r.LiftBy), r.Meals)
	}
	for _, d := range r.LiftBy {
		if minutes(d) < least || d > safety.Day {
			return bad("a limit of %s; want %d min to 24 h", safety.PeriodText(d), least)
		}
	}
	byOne := r.layOut(1)
	if byFive := r.layOut(kitchenStep); byFive.asGood(&byOne) {
		return byFive, nil
	}
	return byOne, nil
}

// kitchenStep is the minutes in which a kitchen clock is read.
const kitchenStep = 5

// asGood says whether c keeps what d keeps with no more bowls and no more getting up, and no bowl is lifted as it is put
// down.
func (c *Clock) asGood(d *Clock) bool {
	down := func(s SetOut) bool { return s.Lies == 0 }
	if c.Holds != d.Holds || c.Added > d.Added || slices.ContainsFunc(c.SetOuts, down) {
		return false
	}
	for i, ch := range c.Choices {
		if ch.GetUps > d.Choices[i].GetUps || slices.ContainsFunc(ch.SetOuts, down) {
			return false
		}
	}
	return true
}

// onStep rounds limits and gap down, and the waking hours inward, to multiples of step minutes.
func (r ClockRequest) onStep(step int64) (limits []int64, w Window, gap int64) {
	down := func(m int64) int64 { return m - m%step }
	for i := range r.Meals {
		limits = append(limits, down(minutes(r.LiftBy[min(i, len(r.LiftBy)-1)])))
	}
	from, awake := int64(r.Waking.From), minutes(r.Waking.Awake)
	late := (step - from%step) % step // until the first whole step after waking
	if awake < dayMinutes {
		awake -= late
	}
	return limits, Window{From: clockTime(from + late), Awake: time.Duration(down(awake)) * time.Minute}, down(minutes(r.LongestGap))
}

// layOut lays the day out with every time a multiple of step minutes.
func (r ClockRequest) layOut(step int64) Clock {
	limits, w, gap := r.onStep(step)
	awake := minutes(w.Awake)
	shortest := slices.Min(limits)
	night := dayMinutes - awake
	c := Clock{Asleep: time.Duration(dayMinutes-minutes(r.Waking.Awake)) * time.Minute}

	var lay func(limits []int64, awake, step int64) layout
	switch {
	case night <= gap:
		lay = layDay
	case night <= limits[len(limits)-1]:
		lay = layNight
	}
	if lay != nil {
		day := lay(limits, awake, step)
		for day.wait() > gap {
			limits = slices.Insert(limits, len(limits)-1, shortest)
			day = lay(limits, awake, step)
		}
		c.Holds, c.Added = true, len(limits)-r.Meals
		c.SetOuts, c.LongestLie, c.LongestWait = day.setOuts(w)
		c.Text = fmt.Sprintf("%s a day, none lying longer than %s, no wait longer than %s.", say.Counted(int64(len(c.SetOuts)), "bowl", "bowls"),
			safety.PeriodText(c.LongestLie), safety.PeriodText(c.LongestWait))
		if c.Added > 0 {
			c.Text += fmt.Sprintf(" That is %d more than the %d wanted, each with less in it: the longest gap of %s asks for them.", c.Added, r.Meals, safety.PeriodText(r.LongestGap))
		}
		return c
	}

	// Nobody is up for longer than the animal may wait, and no bowl may lie so long. By day the bounds can still be kept.
	byDay := layDay(limits, awake, step)
	for byDay.dayWait() > gap || byDay.last() < awake {
		limits = append(limits, shortest)
		byDay = layDay(limits, awake, step)
	}
	c.Text = fmt.Sprintf("Both cannot hold: nobody is up for %s, and this animal must not wait longer than %s.", safety.PeriodText(c.Asleep), safety.PeriodText(r.LongestGap))
	c.Choices = []ClockChoice{byDay.keepLimit(w, r.LongestGap), byDay.keepGap(w, shortest), byDay.getUp(w, night, shortest, gap, step)}
	cold := c.Choices[1]
	cold.ID = KeepCold
	cold.Text = fmt.Sprintf("Keep the night's bowl as cold as a fridge, in a chilled dish or on ice, and check it with a thermometer: time kept cold is not time out. Without that it lies out for %s.", safety.PeriodText(time.Duration(night)*time.Minute))
	c.Choices = append(c.Choices, cold)
	return c
}

func minutes(d time.Duration) int64 { return int64(d / time.Minute) }

// layout is 24 hours in minutes: the first bowl is put down start minutes after waking, lies[0], is lifted, waits[0] pass
// until the next, and so on round to the first.
type layout struct {
	start       int64
	lies, waits []int64
}

// layDay spreads bowls that may lie for limits over the awake minutes of a day. The first is put down on waking. The
// waits are equal if the night allows; else the night is the longest and the rest is shared equally.
func layDay(limits []int64, awake, step int64) layout {
	n := int64(len(limits))
	var sum int64
	for _, l := range limits {
		sum += l
	}
	night := dayMinutes - awake
	l := layout{lies: slices.Clone(limits), waits: make([]int64, n)}
	switch {
	case sum >= awake: // food is out all day: bowl after bowl, each shorter than it might be
		l.lies = share(awake, step, limits)
		l.waits[n-1] = night
	case (dayMinutes-sum)/n >= night:
		l.waits = share(dayMinutes-sum, step, equal(n))
	default:
		copy(l.waits, share(awake-sum, step, equal(n-1)))
		l.waits[n-1] = night
	}
	return l
}

// layNight leaves the last bowl from bedtime to waking, which its limit allows, and spreads the others over the day.
func layNight(limits []int64, awake, step int64) layout {
	n := int64(len(limits))
	day := limits[:n-1]
	var sum int64
	for _, l := range day {
		sum += l
	}
	if sum > awake {
		day, sum = share(awake, step, day), awake
	}
	l := layout{lies: append(slices.Clone(day), dayMinutes-awake), waits: share(awake-sum, step, equal(n))}
	l.start = l.waits[n-1]
	return l
}

// share splits minutes, a multiple of step, into multiples of step; with weights above zero and totals of at most a day it
// cannot fail.
func share(total, step int64, weights []int64) []int64 {
	parts, err := units.Split(total/step, weights)
	if err != nil {
		return make([]int64, len(weights))
	}
	for i := range parts {
		parts[i] *= step
	}
	return parts
}

func equal(n int64) []int64 {
	w := make([]int64, n)
	for i := range w {
		w[i] = 1
	}
	return w
}

func (l layout) wait() int64 { return slices.Max(l.waits) }

// dayWait is the longest wait but the night's.
func (l layout) dayWait() (longest int64) {
	for _, w := range l.waits[:len(l.waits)-1] {
		longest = max(longest, w)
	}
	return longest
}

// last is when the last bowl is lifted, in minutes from waking.
func (l layout) last() int64 { return dayMinutes - l.waits[len(l.waits)-1] }

func (l layout) setOuts(w Window) (out []SetOut, lie, wait time.Duration) {
	at := int64(w.From) + l.start
	for i, m := range l.lies {
		s := SetOut{Out: clockTime(at), Lift: clockTime(at + m), Lies: time.Duration(m) * time.Minute}
		s.Night = (at-int64(w.From))%dayMinutes+m > minutes(w.Awake)
		out = append(out, s)
		lie = max(lie, s.Lies)
		wait = max(wait, time.Duration(l.waits[i])*time.Minute)
		at += m + l.waits[i]
	}
	return out, lie, wait
}

func clockTime(minute int64) TimeOfDay { return TimeOfDay(minute % dayMinutes) }

func (l layout) keepLimit(w Window, gap time.Duration) ClockChoice {
	c := ClockChoice{ID: KeepLimit}
	c.SetOuts, c.LongestLie, c.LongestWait = l.setOuts(w)
	c.Text = fmt.Sprintf("Lift every bowl in time: the animal then waits %s in the night, %s longer than its longest gap.",
		safety.PeriodText(c.LongestWait), safety.PeriodText(c.LongestWait-gap))
	return c
}

func (l layout) keepGap(w Window, shortest int64) ClockChoice {
	// The night's bowl is put down when the last bowl of the day is lifted, and lies until waking.
	n := len(l.waits)
	night := l.waits[n-1]
	l.lies = append(slices.Clone(l.lies), night)
	l.waits = append(slices.Clone(l.waits[:n-1]), 0, 0)
	c := ClockChoice{ID: KeepGap}
	c.SetOuts, c.LongestLie, c.LongestWait = l.setOuts(w)
	lies, limit := time.Duration(night)*time.Minute, time.Duration(shortest)*time.Minute
	c.Text = fmt.Sprintf("Leave a bowl through the night: it lies %s, %s its limit of %s.", safety.PeriodText(lies), safety.Times{Of: lies, Into: limit}, safety.PeriodText(limit))
	return c
}

// getUp covers the night with as few visits as keep both bounds. k visits cut the night into k+1 stretches. A stretch with
// food lasts at most the limit; one without at most the gap, and two of those never follow each other.
func (l layout) getUp(w Window, night, limit, gap, step int64) ClockChoice {
	var stretches []int64
	var sum int64
	for i := 0; sum < night; i++ {
		s := limit
		if gap > limit && i%2 == 0 {
			s = gap
		}
		stretches = append(stretches, s)
		sum += s
	}
	stretches = share(night, step, stretches)
	l.lies, l.waits = slices.Clone(l.lies), slices.Clone(l.waits)
	l.waits[len(l.waits)-1] = 0
	for i, s := range stretches {
		if gap > limit && i%2 == 0 {
			l.waits[len(l.waits)-1] = s
			continue
		}
		l.lies = append(l.lies, s)
		l.waits = append(l.waits, 0)
	}
	c := ClockChoice{ID: GetUp, GetUps: len(stretches) - 1}
	c.SetOuts, c.LongestLie, c.LongestWait = l.setOuts(w)
	at := int64(w.From) + minutes(w.Awake)
	var when []string
	for _, s := range stretches[:len(stretches)-1] {
		at += s
		when = append(when, clockTime(at).String())
	}
	c.Text = fmt.Sprintf("Get up %s in the night, at %s: both bounds are then kept.", say.Counted(int64(c.GetUps), "time", "times"), say.And(when))
	return c
}

// BowlClock is the feeding clock of the animals that share a bowl.
type BowlClock struct {
	For   []string
	Gap   Gap // the strictest among them
	Meals int // the most among them
	Clock Clock
}

// FeedingClocks lays out a day for every bowl of the household: the strictest gap and the most meals among the animals
// that share it, in the household's waking hours. liftBy gives the limits for a bowl (one, or one per meal); it is asked
// once per bowl. The error wraps ErrClock or comes from liftBy.
func FeedingClocks(h *Household, liftBy func(animals []*Animal, meals int) ([]time.Duration, error)) ([]BowlClock, error) {
	var out []BowlClock
	for _, animals := range h.Bowls() {
		b := BowlClock{Meals: h.MealsPerDay}
		for i, a := range animals {
			n := Needs(a, h.FirstDay())
			b.For = append(b.For, a.ID)
			if i == 0 || n.Gap.Longest < b.Gap.Longest {
				b.Gap = n.Gap
			}
			b.Meals = max(b.Meals, n.MealsPerDay)
		}
		limits, err := liftBy(animals, b.Meals)
		if err != nil {
			return nil, fmt.Errorf("limits for the bowl of %s: %w", say.And(b.For), err)
		}
		r := ClockRequest{Meals: b.Meals, LiftBy: limits, LongestGap: b.Gap.Longest}
		if h.Waking != nil {
			r.Waking = *h.Waking
		}
		if b.Clock, err = FeedingClock(r); err != nil {
			return nil, fmt.Errorf("bowl of %s: %w", say.And(b.For), err)
		}
		out = append(out, b)
	}
	return out, nil
}
