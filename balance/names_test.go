package balance_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"unicode"

	"fitchet.example/balance"
	"fitchet.example/balance/eaten"
	"fitchet.example/balance/prose"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/units/strict"

	"pgregory.net/rapid"
)

// Two animals of one id in a value that never passed a loader are an error, never a judgement of one of them.
func TestAnimalsOfOneID(t *testing.T) {
	k := open(t)
	p, h := goodWeek(t, k)
	l := &log.Log{AsOf: log.Moment{Date: day0}, From: day0}
	for _, id := range []string{h.Animals[0].ID, ""} {
		twice := *h
		twice.Animals = append([]ration.Animal{}, h.Animals...)
		twice.Animals = append(twice.Animals, ferret(id, ration.Jill, 700))
		_, one := balance.Audit(balance.Input{Plan: p, Household: &twice, Book: k.book, HazardCheck: k.screen})
		_, two := eaten.Audit(eaten.Input{Log: l, Household: &twice, Book: k.book, HazardCheck: k.screen})
		for i, err := range []error{one, two} {
			var at *ration.IDError
			if !errors.Is(err, ration.ErrAnimalID) || !errors.As(err, &at) || at.ID != id {
				t.Errorf("%d, id %q: %v", i, id, err)
			}
		}
	}
}

// A misspelt condition in a value that never passed a loader is an error, never an animal without it.
func TestConditionOfNoList(t *testing.T) {
	k := open(t)
	p, h := goodWeek(t, k)
	ill := *h
	ill.Animals = append([]ration.Animal{}, h.Animals...)
	ill.Animals[0].Conditions = []string{"insulinom"}
	_, one := balance.Audit(balance.Input{Plan: p, Household: &ill, Book: k.book, HazardCheck: k.screen})
	_, two := eaten.Audit(eaten.Input{Log: &log.Log{AsOf: log.Moment{Date: day0}, From: day0}, Household: &ill, Book: k.book, HazardCheck: k.screen})
	for i, err := range []error{one, two} {
		if !errors.Is(err, ration.ErrUnknownWord) {
			t.Errorf("%d: %v", i, err)
		}
	}
}

// Animals of one name are told apart wherever a report names one.
func TestReportTellsAnimalsApart(t *testing.T) {
	k := open(t)
	h := rescue(ferret("moss-1", ration.Hob, 1200), ferret("moss-2", ration.Jill, 700), ferret("willow", ration.Jill, 700))
	h.Animals[0].Name, h.Animals[1].Name, h.Animals[2].Name = "Moss", "Moss", "Willow"
	h.Animals[1].Stage = ration.Pregnant
	r := k.audit(t, balance.Input{Plan: k.week(t, 1, "1.1 moss-1 moss-2 willow: thigh 20 g"), Household: h})
	var b bytes.Buffer
	if err := prose.Write(&b, r); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, id := range []string{"moss-1", "moss-2"} {
		if !strings.Contains(text, "For Moss ("+id+").") || !strings.Contains(text, "\nMoss ("+id+"), ") {
			t.Errorf("the text does not name %s", id)
		}
	}
	if strings.Count(text, "Moss") != strings.Count(text, "Moss (moss-") || strings.Contains(text, "Willow (") {
		t.Error("a Moss stands without its id, or Willow with hers:\n" + text)
	}
	for _, n := range r.Notes() {
		if strings.Contains(n, "Moss") && !strings.Contains(n, "Moss (moss-") {
			t.Errorf("%q", n)
		}
	}
}

// hostile are texts that would act on what stands around them.
func hostile() *rapid.Generator[string] {
	bits := []string{"\n", "\r\n", "\x1b[2J\x1b[31m", "\u202e", "\u2066", "\u200b", "\x00", "\u0085", "\u009b1m", "\u2028", "\xff", "\t", "\u00ad", "x", "Moss", " ", "STOP", "לולה", ": ", "|", "<b>", "`", "%s", "\\"}
	return rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom(bits), 1, 8).Draw(t, "bits"), "") + rapid.String().Draw(t, "more")
	})
}

// Whatever a household, an animal or a food is called, the report holds nothing that acts on a terminal, and as many lines
// as it always has.
func TestReportTextIsHarmless(t *testing.T) {
	k := open(t)
	write := func(name string) (string, []byte) {
		food := *k.food(t, "liver")
		food.Name = name
		h := rescue(ferret("a", ration.Hob, 1200), ferret("b", ration.Jill, 700))
		h.Animals[0].Name, h.Animals[1].Stage, h.Animals[1].Name = name, ration.Pregnant, name
		p := k.week(t, 1, "1.1 a b: liver 20 g")
		p.Household, p.Days[0].Meals[0].Servings[0].Food = name, &food
		r := k.audit(t, balance.Input{Plan: p, Household: h})
		var b bytes.Buffer
		if err := prose.Write(&b, r); err != nil {
			t.Fatal(err)
		}
		j, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		return b.String(), j
	}
	plain, _ := write("Moss")
	rapid.Check(t, func(t *rapid.T) {
		name := hostile().Draw(t, "name")
		text, j := write(name)
		if bad := strings.IndexFunc(text, func(c rune) bool {
			return c != '\n' && unicode.In(c, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control)
		}); bad >= 0 {
			t.Fatalf("%q", text[bad:min(bad+40, len(text))])
		}
		if got, want := strings.Count(text, "\n"), strings.Count(plain, "\n"); got != want {
			t.Fatalf("%d lines, want %d", got, want)
		}
		var back struct{ Notes []string }
		if err := json.Unmarshal(j, &back); err != nil {
			t.Fatal(err)
		}
		for _, n := range back.Notes {
			if strict.Line(n) != n {
				t.Fatalf("note %q", n)
			}
		}
	})
}
