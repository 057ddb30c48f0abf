package log

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fitchet.example/ration"
	"fitchet.example/safety"

	"fitchet.example/units/cite"
)

// Days for which stools are looked at. That loose stools are watched for a few
// days is practice, the figures are ours.
const (
	looseDays  = 3 // more than a few days
	grainyDays = 1
	staleDays  = 3 // older stools say nothing of today
)

// Alarm is a reason to call a vet that a log gives.
type Alarm struct {
	Text string
	Ref  cite.Ref
	When Moment // of the last sight of it

	both bool // two signs that are graver together
}

// Alarms are the reasons to call a vet that the log gives for an animal, from its first day to its as-of moment: signs of
// illness, stools, loss of weight, and hours without food: refused, or nothing set out for it on days that are written
// down in full (then from 12 hours on, since fewer may be the usual night). Two signs that are graver together stand
// first, then the latest; the order says nothing else of how grave an alarm is. None goes away by itself: that a vet has
// seen the animal is not written in a log. Nothing written is no alarm.
func (l *Log) Alarms(a *ration.Animal, lim WeightLimits) []Alarm {
	var out []Alarm
	for _, sg := range l.Signs {
		if sg.Animal == a.ID {
			out = append(out, Alarm{Text: signText(sg), Ref: cite.Practice.Ref("signs of illness go to a vet"), When: sg.When})
		}
	}
	out = append(out, l.stoolAlarms(a)...)
	if al, ok := l.afterPoultry(a, out); ok {
		out = append(out, al)
	}
	out = append(out, l.weightAlarms(a, lim)...)
	out = append(out, l.fasts(a)...)
	slices.SortStableFunc(out, func(x, y Alarm) int {
		if x.both != y.both {
			if x.both {
				return -1
			}
			return 1
		}
		return cmp.Or(y.When.Compare(x.When), strings.Compare(x.Text, y.Text))
	})
	return slices.CompactFunc(out, func(x, y Alarm) bool { return x.Text == y.Text })
}

func signText(s SignNote) string {
	return fmt.Sprintf("%s at %s", strings.ReplaceAll(s.Sign, "-", " "), s.When)
}

// Stool describes a stool of this log in the animal that had it: what may wait in another is urgent in one that also shows
// a sign of illness within a day of it, and some are in an animal that cannot wait.
func (l *Log) Stool(s StoolNote, a *ration.Animal) Stool {
	d, _ := s.Class.Stool()
	if d.Urgency != VetSoon {
		return d
	}
	if sg, ok := l.signNear(s); ok {
		d.Urgency, d.Do = VetNow, "a vet now: together with "+signText(sg)+" it is the graver"
	} else if (s.Class == Watery || s.Class == Green || s.Class == Grainy) && a.CannotWait(s.When.Date) {
		d.Urgency, d.Do = VetNow, "a vet now: this animal cannot wait"
	}
	return d
}

// signNear is the sign of illness nearest to a stool, within a day of it.
func (l *Log) signNear(s StoolNote) (near SignNote, ok bool) {
	best := safety.Day
	for _, sg := range l.Signs {
		if sg.Animal != s.Animal {
			continue
		}
		off := sg.When.Since(s.When)
		if off = max(off, -off); off < best || off == best && (!ok || signText(sg) < signText(near)) {
			near, ok, best = sg, true, off
		}
	}
	return near, ok
}

// stoolsOf are an animal's stools, latest first.
func (l *Log) stoolsOf(animal string) []StoolNote {
	var own []StoolNote
	for _, s := range l.Stools {
		if s.Animal == animal {
			own = append(own, s)
		}
	}
	slices.SortStableFunc(own, func(a, b StoolNote) int { return b.When.Compare(a.When) })
	return own
}

// Firm reports whether the last stool of an animal, if it is not too old to count,
// speaks against nothing.
func (l *Log) Firm(animal string) bool {
	own := l.stoolsOf(animal)
	if len(own) == 0 || l.AsOf.Since(own[0].When) > staleDays*safety.Day {
		return true
	}
	d, _ := own[0].Class.Stool()
	return d.Urgency <= Fine
}

// stoolAlarms are the stools that send the animal to a vet by themselves, and runs of poor ones that lasted.
func (l *Log) stoolAlarms(a *ration.Animal) (out []Alarm) {
	own := l.stoolsOf(a.ID)
	var run []StoolNote // of poor stools, latest first
	lasted := func() {
		if len(run) == 0 {
			return
		}
		end := run[0].When
		if run[0] == own[0] && l.AsOf.Since(end) <= staleDays*safety.Day {
			end = l.AsOf // nothing better came after it
		}
		for _, s := range run {
			days := looseDays
			if s.Class == Grainy || s.Class == Green {
				days = grainyDays
			}
			if end.Since(s.When) > time.Duration(days)*safety.Day {
				d, _ := s.Class.Stool()
				out = append(out, Alarm{Text: fmt.Sprintf("stools have been %s or like it since %s: %s", d.Word, s.When, d.Do), Ref: d.Ref, When: run[0].When})
				break
			}
		}
		run = nil
	}
	for _, s := range own {
		d := l.Stool(s, a)
		if d.Urgency == VetNow {
			_, both := l.signNear(s)
			out = append(out, Alarm{Text: fmt.Sprintf("stool %s at %s: %s", d.Word, s.When, d.Do), Ref: d.Ref, When: s.When, both: both})
		}
		if d.Urgency < VetSoon {
			lasted()
			continue
		}
		run = append(run, s)
	}
	lasted()
	return out
}

// afterPoultry adds to the alarms of an ill animal that it had eaten raw poultry.
func (l *Log) afterPoultry(a *ration.Animal, ill []Alarm) (Alarm, bool) {
	var last *Entry
	for _, al := range ill {
		for i := range l.Entries {
			e := &l.Entries[i]
			if e.Meal.Compare(al.When) <= 0 && e.Food.HasHazard("poultry") && l.Ate(*e, a.ID).High > 0 && (last == nil || compareEntries(*last, *e) < 0) {
				last = e
			}
		}
	}
	if last == nil {
		return Alarm{}, false
	}
	return Alarm{Text: fmt.Sprintf("ill after raw poultry (%s at %s): tell the vet, who may have to think of bird flu", last.Food.Name, last.Meal),
		Ref: cite.Published.Ref("abstract", "golke-2024"), When: last.Meal}, true
}

// weightAlarms are what the weights say on the as-of day, and what they said on a day of the log before.
func (l *Log) weightAlarms(a *ration.Animal, lim WeightLimits) (out []Alarm) {
	own := weightsOf(l.Weights, a.ID, l.AsOf.Date)
	seen := map[string]bool{}
	for i := len(own); i > 0 && own[i-1].When.Date >= l.From; i-- {
		w := own[i-1]
		on, text := l.AsOf.Date, "%[2]s"
		if i < len(own) {
			on, text = w.When.Date, "on %[1]s: %[2]s"
		}
		for _, al := range weigh(own[:i], a, on, lim).Alerts {
			if al.Vet && !seen[al.ID] {
				seen[al.ID] = true
				out = append(out, Alarm{Text: fmt.Sprintf(text, on, al.Text), Ref: al.Ref, When: w.When})
			}
		}
	}
	return out
}

// fasts are the hours without food that send the animal to a vet: those up to the as-of moment, and the longest that ended
// before.
func (l *Log) fasts(a *ration.Animal) (out []Alarm) {
	now := a.WithoutFood(l.AsOf.Date)
	f := l.Fast(a.ID)
	var hungry time.Duration
	if f.Refused && f.MayHaveEaten >= now.After {
		hungry = f.MayHaveEaten
	}
	if f.unfed >= max(now.After, NightHours*time.Hour) {
		hungry = max(hungry, f.unfed)
	}
	if hungry > 0 {
		out = append(out, Alarm{Text: fmt.Sprintf("by the log it has eaten nothing for %s (limit %s): see a vet", safety.PeriodText(hungry), limitText(now)), Ref: now.Ref, When: l.AsOf})
	}
	var longest time.Duration
	var past Alarm
	for _, e := range l.ended(a.ID) {
		limit := a.WithoutFood(e.until.Date)
		n := time.Duration(0)
		if e.refused >= limit.After && limit.After > 0 {
			n = e.refused
		}
		if e.unfed > max(limit.After, NightHours*time.Hour) {
			n = max(n, e.unfed)
		}
		if n > longest {
			longest = n
			past = Alarm{Text: fmt.Sprintf("by the log it had eaten nothing for %s (limit %s), up to %s: see a vet", safety.PeriodText(n), limitText(limit), e.until), Ref: limit.Ref, When: e.until}
		}
	}
	if longest > 0 {
		out = append(out, past)
	}
	return out
}

func limitText(n ration.WithoutFood) string {
	if n.After == 0 {
		return "none: it is written down as not eating"
	}
	return fmt.Sprintf("%d h", int64(n.After/time.Hour))
}

// NightHours is for how many hours nothing written down may be the usual night of
// animals and keepers. It is ours.
const NightHours = 12

// Fast is how long an animal has been without food by the log, up to its as-of
// moment.
type Fast struct {
	Written      bool          // something was written for it in the last NightHours
	Refused      bool          // something was offered since it may last have eaten
	MayHaveEaten time.Duration // since it may last have eaten; since the first entry when never
	Certain      time.Duration // since it last ate for certain, likewise

	unfed time.Duration // for certain not, since every day of it is written down in full
}

// Fast says how long an animal has been without food. It counts from the animal's own entries: hours before the first of
// them, on days that are written down in full, are in Alarms alone.
func (l *Log) Fast(animal string) Fast {
	const ever = math.MaxInt64
	f := Fast{MayHaveEaten: ever, Certain: ever}
	first := time.Duration(0)
	for _, e := range l.Entries {
		if !slices.Contains(e.For, animal) {
			continue
		}
		ago := l.AsOf.Since(e.Meal)
		first = max(first, ago)
		f.Written = f.Written || ago <= NightHours*time.Hour
		r := l.Ate(e, animal)
		if r.High > 0 {
			f.MayHaveEaten = min(f.MayHaveEaten, ago)
		}
		if r.Low > 0 {
			f.Certain = min(f.Certain, ago)
		}
	}
	last := f.MayHaveEaten
	// Before the first entry nothing is known.
	f.MayHaveEaten, f.Certain = min(f.MayHaveEaten, first), min(f.Certain, first)
	for _, e := range l.Entries {
		if slices.Contains(e.For, animal) && l.AsOf.Since(e.Meal) <= f.MayHaveEaten && l.Ate(e, animal).High == 0 {
			f.Refused = true
		}
	}
	f.unfed = min(last, l.full(l.AsOf))
	return f
}

// endedFast is a time without food that ended with a bowl of which the animal may have eaten.
type endedFast struct {
	until   Moment
	refused time.Duration // when something was refused in it; else 0
	unfed   time.Duration // of which every day is written down in full
}

func (l *Log) ended(animal string) (out []endedFast) {
	var own []Entry
	for _, e := range l.Entries {
		if slices.Contains(e.For, animal) {
			own = append(own, e)
		}
	}
	slices.SortFunc(own, compareEntries)
	if len(own) == 0 {
		return nil
	}
	since, ate := own[0].Meal, false // before the first entry nothing is known
	refused := false
	for i := 0; i < len(own); {
		at, some := own[i].Meal, false
		for ; i < len(own) && own[i].Meal == at; i++ {
			some = some || l.Ate(own[i], animal).High > 0
		}
		if !some {
			refused = true
			continue
		}
		f := endedFast{until: at}
		if refused {
			f.refused = at.Since(since)
		}
		if f.unfed = l.full(at); ate {
			f.unfed = min(f.unfed, at.Since(since))
		}
		out = append(out, f)
		since, ate, refused = at, true, false
	}
	return out
}

// full is for how long up to a moment every day is written down in full.
func (l *Log) full(until Moment) time.Duration {
	day := until.Date
	i, there := slices.BinarySearch(l.Complete, day)
	if !there {
		return 0
	}
	for ; i >= 0 && l.Complete[i] == day; i-- {
		day--
	}
	return until.Since(Moment{Date: day + 1})
}
