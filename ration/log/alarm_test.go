package log

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/ration"
	"fitchet.example/ration/internal/given"

	"fitchet.example/safety"
	"fitchet.example/units"

	"pgregory.net/rapid"
)

func alarmTexts(l *Log, a *ration.Animal) string {
	var out []string
	for _, al := range l.Alarms(a, DefaultWeightLimits()) {
		out = append(out, al.Text)
		if !al.Ref.Evidence.Valid() {
			out = append(out, "NO EVIDENCE")
		}
	}
	return strings.Join(out, "; ")
}

// Every sign, and every stool that goes to a vet at once, stays for as long as the log speaks of it: from its first minute
// to its last. They are those of the vet list of package safety that can be written down.
func TestAlarmsStay(t *testing.T) {
	t.Parallel()
	a := &ration.Animal{ID: "a", Name: "Moss", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult}
	last := Moment{20, 23*60 + 59}
	for _, when := range []Moment{{1, 0}, {19, 23*60 + 58}, {19, 12 * 60}, last} {
		for _, sign := range Signs() {
			l := &Log{AsOf: last, From: 1, Signs: []SignNote{{When: when, Animal: "a", Sign: sign}, {When: when, Animal: "b", Sign: sign}}}
			if got, want := alarmTexts(l, a), strings.ReplaceAll(sign, "-", " ")+" at "+when.String(); got != want {
				t.Errorf("%s at %s: %q, want %q", sign, when, got, want)
			}
		}
		for _, s := range Stools() {
			l := &Log{AsOf: last, From: 1, Stools: []StoolNote{{When: when, Animal: "a", Class: s.Class}, {When: last, Animal: "a", Class: Firm}}}
			if got := alarmTexts(l, a); strings.Contains(got, "stool "+s.Word+" at "+when.String()) != (s.Urgency == VetNow) {
				t.Errorf("%s at %s: %q", s.Word, when, got)
			}
		}
	}
	// Several signs stand all, the latest first; the same one twice is one.
	l := &Log{AsOf: last, From: 1, Signs: []SignNote{{When: Moment{3, 0}, Animal: "a", Sign: "fits"}, {When: Moment{5, 0}, Animal: "a", Sign: "weak"}, {When: Moment{3, 0}, Animal: "a", Sign: "fits"}},
		Stools: []StoolNote{{When: Moment{9, 0}, Animal: "a", Class: Black}}}
	got := alarmTexts(l, a)
	at := func(s string) int { return strings.Index(got, s) }
	if strings.Count(got, "; ") != 2 || !(at("stool black") < at("weak") && at("weak") < at("fits")) || at("stool black") < 0 {
		t.Errorf("%q", got)
	}
}

// A stool that may be watched is graver with any sign of illness within a day of it, and stands first then; some are in an
// animal that cannot wait.
func TestAlarmsOfStools(t *testing.T) {
	t.Parallel()
	well := ration.Animal{ID: "a", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult}
	with := func(spoil func(*ration.Animal)) ration.Animal { a := well; spoil(&a); return a }
	note := func(day units.Date, minute ration.TimeOfDay, c StoolClass) StoolNote {
		return StoolNote{When: Moment{day, minute}, Animal: "a", Class: c}
	}
	dull := []SignNote{{When: Moment{10, 600}, Animal: "a", Sign: "dull"}}
	for _, tc := range []struct {
		name   string
		animal ration.Animal
		stools []StoolNote
		signs  []SignNote
		first  string // the first alarm begins so; "" for none at all
	}{
		{"green", well, []StoolNote{note(10, 600, Green), note(11, 0, Firm)}, nil, ""},
		{"green and dull", well, []StoolNote{note(10, 600, Green), note(11, 0, Firm)}, dull, "stool green at 1970-01-11 10:00: a vet now: together with dull at 1970-01-11 10:00"},
		{"green, dull a day before", well, []StoolNote{note(11, 600, Green), note(11, 700, Firm)}, dull, "stool green"},
		{"green, dull a day after", well, []StoolNote{note(9, 600, Green), note(9, 700, Firm)}, dull, "stool green"},
		{"green, dull a day and a minute before", well, []StoolNote{note(11, 601, Green), note(11, 700, Firm)}, dull, "dull"},
		{"green, another dull", well, []StoolNote{note(10, 600, Green), note(11, 0, Firm)}, []SignNote{{When: Moment{10, 600}, Animal: "b", Sign: "dull"}}, ""},
		{"slimy and dull", well, []StoolNote{note(10, 0, Slimy), note(11, 0, Firm)}, dull, "stool slimy"},
		{"soft and dull", well, []StoolNote{note(10, 0, Soft), note(11, 0, Firm)}, dull, "dull"},
		{"green of a jill that is pregnant", with(func(a *ration.Animal) { a.Stage = ration.Pregnant }), []StoolNote{note(10, 600, Green), note(11, 0, Firm)}, nil, "stool green at 1970-01-11 10:00: a vet now: this animal cannot wait"},
		{"watery of a kit", with(func(a *ration.Animal) { a.Stage = ration.Kit }), []StoolNote{note(10, 600, Watery), note(11, 0, Firm)}, nil, "stool watery"},
		{"grainy of one that is ill", with(func(a *ration.Animal) { a.Conditions = []string{ration.Ill} }), []StoolNote{note(10, 600, Grainy), note(11, 0, Firm)}, nil, "stool grainy"},
		{"loose of a kit", with(func(a *ration.Animal) { a.Stage = ration.Kit }), []StoolNote{note(10, 600, Loose), note(11, 0, Firm)}, nil, ""},
		{"green for over a day, and in order since", well, []StoolNote{note(5, 600, Green), note(6, 601, Green), note(8, 0, Firm)}, nil, "stools have been green or like it since 1970-01-06"},
		{"green for a day", well, []StoolNote{note(5, 600, Green), note(6, 600, Green), note(8, 0, Firm)}, nil, ""},
		{"loose for over three days, and in order since", well, []StoolNote{note(5, 600, Loose), note(8, 601, Slimy), note(9, 0, Firm)}, nil, "stools have been loose or like it since 1970-01-06"},
		{"loose twice, in order between", well, []StoolNote{note(5, 600, Loose), note(7, 0, Firm), note(9, 601, Slimy), note(10, 0, Firm)}, nil, ""},
	} {
		l := &Log{AsOf: Moment{20, 0}, From: 1, Stools: tc.stools, Signs: tc.signs}
		if got := alarmTexts(l, &tc.animal); !strings.HasPrefix(got, tc.first) || (got == "") != (tc.first == "") {
			t.Errorf("%s: %q, want %q first", tc.name, got, tc.first)
		}
		for _, s := range tc.stools {
			d := l.Stool(s, &tc.animal)
			if alone, _ := s.Class.Stool(); d.Urgency < alone.Urgency || strings.HasPrefix(tc.first, "stool "+d.Word) && (d.Urgency != VetNow || !strings.HasPrefix(d.Do, "a vet now")) {
				t.Errorf("%s: %s is told as %s, %s", tc.name, d.Word, d.Urgency, d.Do)
			}
		}
	}
}

// What a weight said, and a time without food, does not go away when the animal gains or eats again.
func TestAlarmsOfThePast(t *testing.T) {
	t.Parallel()
	a := &ration.Animal{ID: "a", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult}
	grams := func(day units.Date, g int64) Weighing {
		return Weighing{When: Moment{day, 0}, Animal: "a", Mass: units.Mass(g) * units.Gram}
	}
	l := &Log{AsOf: Moment{30, 0}, From: 5, Weights: []Weighing{grams(1, 700), grams(6, 640), grams(14, 700), grams(29, 700)}}
	if got := alarmTexts(l, a); !strings.HasPrefix(got, "on 1970-01-07: Lost 8.6 % within 5 days") {
		t.Errorf("a loss that was made good: %q", got)
	}
	l.From = 7
	if got := alarmTexts(l, a); got != "" {
		t.Errorf("a loss before the log: %q", got)
	}

	refused := known(t, 11, 7)
	refused.Left = refused.Offered
	for _, tc := range []struct {
		name    string
		entries []Entry
		full    []units.Date
		want    string
	}{
		{"refused, and ate after 25 hours", []Entry{known(t, 10, 18), refused, known(t, 11, 19), known(t, 20, 18)}, nil, "by the log it had eaten nothing for 25 h (limit 24 h), up to 1970-01-12 19:00: see a vet"},
		{"refused, and ate after 23 hours", []Entry{known(t, 10, 18), refused, known(t, 11, 17), known(t, 20, 18)}, nil, ""},
		{"nothing set out for 25 hours of days in full", []Entry{known(t, 10, 18), known(t, 11, 19), known(t, 20, 18)}, []units.Date{10, 11}, "nothing for 25 h"},
		{"nothing set out for 24 hours of days in full", []Entry{known(t, 10, 18), known(t, 11, 18), known(t, 20, 18)}, []units.Date{10, 11}, ""},
		{"nothing written for days", []Entry{known(t, 10, 18), known(t, 15, 19), known(t, 20, 18)}, []units.Date{10, 15}, ""},
		{"in full before the first bowl", []Entry{known(t, 11, 19), known(t, 20, 18)}, []units.Date{10, 11}, "nothing for 43 h"},
	} {
		l := &Log{AsOf: Moment{20, 20 * 60}, From: 5, Complete: tc.full, Entries: tc.entries, need: map[string]int64{"a": 1000}}
		if got := alarmTexts(l, a); !strings.Contains(got, tc.want) || (got == "") != (tc.want == "") {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}

	// Ill after raw poultry: the vet hears of it (Golke and others 2024 saw cats and ferrets; the vet list of package safety).
	hen := known(t, 10, 18)
	poultry := *hen.Food
	poultry.Hazards, hen.Food = []string{"poultry"}, &poultry
	ill := &Log{AsOf: Moment{20, 0}, From: 5, Entries: []Entry{hen}, Signs: []SignNote{{When: Moment{11, 0}, Animal: "a", Sign: "dull"}}, need: map[string]int64{"a": 1000}}
	if got := alarmTexts(ill, a); !strings.Contains(got, "ill after raw poultry ("+hen.Food.Name+" at 1970-01-11 18:00)") {
		t.Errorf("%q", got)
	}
	ill.Signs[0].When = Moment{10, 0}
	if got := alarmTexts(ill, a); strings.Contains(got, "poultry") {
		t.Errorf("ill before the poultry: %q", got)
	}
}

// One more note in a log never takes an alarm away.
func TestAlarmsOnlyGrow(t *testing.T) {
	t.Parallel()
	a := &ration.Animal{ID: "a", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult}
	rapid.Check(t, func(t *rapid.T) {
		when := rapid.Custom(func(t *rapid.T) Moment {
			return Moment{units.Date(rapid.IntRange(1, 20).Draw(t, "day")), ration.TimeOfDay(rapid.IntRange(0, 24*60-1).Draw(t, "minute"))}
		})
		l := &Log{AsOf: Moment{20, 24*60 - 1}, From: 1}
		for range rapid.IntRange(0, 6).Draw(t, "notes") {
			if rapid.Bool().Draw(t, "stool") {
				l.Stools = append(l.Stools, StoolNote{When: when.Draw(t, "at"), Animal: "a", Class: rapid.SampledFrom(Stools()).Draw(t, "class").Class})
			} else {
				l.Signs = append(l.Signs, SignNote{When: when.Draw(t, "at"), Animal: "a", Sign: rapid.SampledFrom(Signs()).Draw(t, "sign")})
			}
		}
		grave := func(l *Log) (out []string) {
			for _, sg := range l.Signs {
				out = append(out, signText(sg))
			}
			for _, s := range l.Stools {
				if d := l.Stool(s, a); d.Urgency == VetNow {
					out = append(out, "stool "+d.Word+" at "+s.When.String())
				}
			}
			return out
		}
		text := alarmTexts(l, a)
		for _, g := range grave(l) {
			if !strings.Contains(text, g) {
				t.Fatalf("%q lacks %q", text, g)
			}
		}
		more := *l
		more.Signs = append(slices.Clone(l.Signs), SignNote{When: when.Draw(t, "at"), Animal: "a", Sign: "dull"})
		text = alarmTexts(&more, a)
		for _, g := range grave(l) {
			if !strings.Contains(text, g) {
				t.Fatalf("with a sign more %q lacks %q", text, g)
			}
		}
	})
}

// The times are those of the vet list of package safety, which sheets about no one animal print.
func TestWithoutFood(t *testing.T) {
	t.Parallel()
	book, err := safety.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]safety.VetSign{}
	for _, v := range book.VetSigns() {
		rows[v.ID] = v
		if v.AboutEating() != strings.HasPrefix(v.Sign, "Eats nothing") {
			t.Errorf("%s: %s", v.ID, v.Sign)
		}
	}
	well := ration.Animal{ID: "a", Mass: 700 * units.Gram, Stage: ration.Adult}
	with := func(spoil func(*ration.Animal)) ration.Animal { a := well; spoil(&a); return a }
	for _, tc := range []struct {
		name   string
		animal ration.Animal
		want   time.Duration
	}{
		{"adult", well, rows["not-eating"].After},
		{"kit", with(func(a *ration.Animal) { a.Stage = ration.Kit }), rows["not-eating"].Sooner},
		{"juvenile", with(func(a *ration.Animal) { a.Stage = ration.Juvenile }), rows["not-eating"].Sooner},
		{"under six months", with(func(a *ration.Animal) { a.Born = 20000 - 25*7 }), rows["not-eating"].Sooner},
		{"pregnant", with(func(a *ration.Animal) { a.Stage = ration.Pregnant }), rows["not-eating"].Sooner},
		{"nursing", with(func(a *ration.Animal) { a.Stage = ration.Lactating }), rows["not-eating"].Sooner},
		{"fat", with(func(a *ration.Animal) { a.Conditions = []string{ration.Obese} }), rows["not-eating"].Sooner},
		{"ill", with(func(a *ration.Animal) { a.Conditions = []string{ration.Ill} }), rows["not-eating"].Sooner},
		{"insulinoma", with(func(a *ration.Animal) { a.Conditions = []string{ration.Ill, ration.Insulinoma} }), rows["not-eating-insulinoma"].After},
		{"does not eat", with(func(a *ration.Animal) { a.Conditions = []string{ration.Insulinoma, ration.NotEating} }), 0},
	} {
		got := tc.animal.WithoutFood(20000)
		if got.After != tc.want || !got.Ref.Evidence.Valid() {
			t.Errorf("%s: %+v, want %s", tc.name, got, tc.want)
		}
		// Among the signs of one animal, one speaks of not eating.
		n := 0
		for _, v := range tc.animal.VetSigns(book, 20000) {
			if strings.Contains(v.Text, "Eats nothing") || strings.Contains(v.Text, "not eating") {
				n++
				if v.Text != got.Text {
					t.Errorf("%s: %q", tc.name, v.Text)
				}
			}
		}
		if n != 1 {
			t.Errorf("%s: %d sentences about not eating", tc.name, n)
		}
	}
}

// An animal that got nothing is no less hungry than one that refused: days that are written down in full count from 12 hours
// on. Without them nothing written is no alarm.
func TestAlarmsOfHunger(t *testing.T) {
	t.Parallel()
	ill := &ration.Animal{ID: "a", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult, Conditions: []string{ration.Insulinoma}}
	well := &ration.Animal{ID: "a", Sex: ration.Jill, Mass: 700 * units.Gram, Stage: ration.Adult}
	ate, refused := known(t, 19, 18), known(t, 20, 6)
	refused.Left = refused.Offered
	for _, tc := range []struct {
		name     string
		animal   *ration.Animal
		at       ration.TimeOfDay // of day 20
		complete []units.Date
		entries  []Entry
		want     string // "" for no alarm
	}{
		{"insulinoma, refused in the morning", ill, 7 * 60, nil, []Entry{ate, refused}, "eaten nothing for 13 h (limit 4 h): see a vet"},
		{"insulinoma, refused, of a log that begins today", ill, 11 * 60, []units.Date{20}, []Entry{refused}, "eaten nothing for 5 h (limit 4 h)"},
		{"insulinoma, nothing set out, days in full", ill, 7 * 60, []units.Date{19, 20}, []Entry{ate}, "eaten nothing for 13 h (limit 4 h): see a vet"},
		{"insulinoma, nothing set out, not 12 hours", ill, 5 * 60, []units.Date{19, 20}, []Entry{ate}, ""},
		{"insulinoma, nothing set out, days not in full", ill, 23 * 60, nil, []Entry{ate}, ""},
		{"insulinoma, only the last day in full: since midnight", ill, 13 * 60, []units.Date{20}, []Entry{ate}, "eaten nothing for 13 h (limit 4 h)"},
		{"insulinoma, yesterday in full and not today", ill, 23 * 60, []units.Date{18, 19}, []Entry{ate}, ""},
		{"insulinoma, no entry at all", ill, 20 * 60, []units.Date{17, 19, 20, 21}, nil, "eaten nothing for 44 h (limit 4 h)"},
		{"a grown ferret, the night", well, 7 * 60, []units.Date{19, 20}, []Entry{ate}, ""},
		{"a grown ferret, a day", well, 18 * 60, []units.Date{19, 20}, []Entry{ate}, "eaten nothing for 24 h (limit 24 h)"},
		{"refused after a day without", well, 19 * 60, []units.Date{18, 19, 20}, []Entry{refused}, "eaten nothing for 67 h (limit 24 h)"},
	} {
		l := &Log{AsOf: Moment{20, tc.at}, From: 1, Complete: tc.complete, Entries: tc.entries, need: map[string]int64{"a": 1000}}
		var got []string
		for _, al := range l.Alarms(tc.animal, DefaultWeightLimits()) {
			if strings.Contains(al.Text, " has eaten") { // up to now; what ended before is in TestAlarmsOfThePast
				got = append(got, al.Text)
			}
		}
		if text := strings.Join(got, "; "); !strings.Contains(text, tc.want) || (text == "") != (tc.want == "") {
			t.Errorf("%s: %q, want %q", tc.name, text, tc.want)
		}
	}
}

// known is a meal of the old food.
func known(t *testing.T, day units.Date, hour int) Entry {
	return Entry{Meal: Moment{day, ration.TimeOfDay(hour * 60)}, For: []string{"a"}, Food: given.Food(t, "chicken-thigh"), Offered: 30 * units.Gram, Weighed: true, Searched: true}
}
