package ration

import (
	"fmt"
	"time"

	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// Hours without food after which a vet is called: those of the signs "not-eating" and "not-eating-insulinoma" of package
// safety. 24 is common practice for adults; sooner is asked for the young, pregnant, ill and fat, without a figure: 12 is
// ours, 4 the practice for insulinoma.
const (
	vetHours       = 24
	vetHoursSooner = 12
	vetHoursLow    = 4
	soonerWeeks    = 26
)

// WithoutFood is when a vet is called for an animal that does not eat.
type WithoutFood struct {
	After time.Duration // without food; 0: at once
	Text  string        // the one sentence that says so, wherever it is said
	Ref   cite.Ref
}

// WithoutFood says when a vet is called if this animal does not eat.
func (a *Animal) WithoutFood(on units.Date) WithoutFood {
	n := WithoutFood{vetHours * time.Hour, "", cite.Practice.Ref("a day without food goes to a vet")}
	switch {
	case a.Has(NotEating):
		n.After, n.Ref = 0, cite.Practice.Ref("an animal that does not eat goes to a vet at once")
		n.Text = "It is written down as not eating: call a vet now."
		return n
	case a.Has(Insulinoma):
		n.After, n.Ref = vetHoursLow*time.Hour, cite.Practice.Ref("meals at least every 4 h with insulinoma")
	case a.CannotWait(on):
		n.After, n.Ref = vetHoursSooner*time.Hour, cite.Choice.Ref("sooner than 24 h for the young, pregnant, nursing, ill and fat; no figure was read")
	}
	n.Text = fmt.Sprintf("Eats nothing: offer what it took before, and call a vet after %s.", safety.PeriodText(n.After))
	return n
}

// CannotWait reports whether signs that may be watched for a while in another animal may not be in this one: it is young,
// pregnant, nursing, ill or fat, or has insulinoma.
func (a *Animal) CannotWait(on units.Date) bool {
	life := a.StageOn(on)
	w, aged := a.AgeWeeks(on)
	return a.Frail(life) || aged && w < soonerWeeks || life == Juvenile || a.Has(Obese) || a.Has(Ill)
}

// AnimalSign is a sign that sends one animal to a vet, and when.
type AnimalSign struct {
	Text string
	Ref  cite.Ref
}

// VetSigns are the signs of the book with the times of this animal. What is said of not eating is WithoutFood.
func (a *Animal) VetSigns(book *safety.Book, on units.Date) []AnimalSign {
	n := a.WithoutFood(on)
	out := []AnimalSign{{n.Text, n.Ref}}
	for _, v := range book.VetSigns() {
		if v.AboutEating() {
			continue
		}
		when := func(after time.Duration) string {
			if after == 0 {
				return "at once"
			}
			return "after " + safety.PeriodText(after)
		}
		text := v.Sign + ": "
		switch {
		case a.CannotWait(on):
			text += when(v.Sooner)
		case v.With != "":
			text += when(v.After) + "; with " + v.With + " " + when(v.Sooner)
		default:
			text += when(v.After)
		}
		out = append(out, AnimalSign{text, v.Ref})
	}
	return out
}
