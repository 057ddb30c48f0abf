package main

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/page"
	"fitchet.example/safety"
	"fitchet.example/units/cite"
)

// answer is the whole output; its JSON is described by setout.schema.json.
type answer struct {
	Schema   string   `json:"schema"` // "fitchet.setout/1"
	Answer   string   `json:"answer"` // one sentence
	Form     string   `json:"form"`
	Room     []step   `json:"room"` // empty: not given
	Used     string   `json:"used"`
	Left     string   `json:"left,omitempty"` // by the leading limit; absent when none leads
	Level    string   `json:"level"`
	Asked    *asked   `json:"asked,omitempty"`
	Against  []hazard `json:"known_against"`
	Limits   []limit  `json:"limits"`
	Practice []band   `json:"practice"`
	Growth   []moment `json:"growth"`
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
}

type step struct {
	For string `json:"for,omitempty"` // absent for the last: as long as needed
	At  string `json:"at"`
}

// asked is the answer to -hours.
type asked struct {
	Hours  string `json:"hours"`
	Total  string `json:"total"` // with the time already used
	Times  string `json:"times_the_limit,omitempty"`
	Level  string `json:"level"`
	Answer string `json:"answer"`
	// Rooms are the temperatures at which germs grow tenfold in that time.
	Rooms []room `json:"tenfold_at"`
}

type room struct {
	Model string `json:"model"`
	At    string `json:"at"`
}

type hazard struct {
	ID       string   `json:"id"`
	Severity string   `json:"gravity"`
	What     string   `json:"what"`
	Do       string   `json:"do"`
	Open     bool     `json:"open"`
	Notice   string   `json:"notice,omitempty"`
	Sources  []string `json:"sources"`
}

type limit struct {
	ID        string `json:"id"`
	Name      string `json:"name"`
	Length    string `json:"length"`
	LessThan  bool   `json:"less_than,omitempty"`
	Binds     string `json:"binds"`
	Condition string `json:"condition"`
	Status    string `json:"status"`
	Why       string `json:"why"`
	Left      string `json:"left"`
	Source    string `json:"source"`
}

type band struct {
	From  string `json:"from"`
	To    string `json:"to"`
	What  string `json:"what"`
	Times string `json:"times_the_limit,omitempty"` // at the long end
	Level string `json:"level"`
	Basis string `json:"basis"`
}

type moment struct {
	At    string `json:"at"`
	Total string `json:"total"`
	Gains []gain `json:"gains"`
}

type gain struct {
	Model  string `json:"model"`
	Gain   string `json:"gain"`
	Fold   string `json:"fold,omitempty"` // the same in plain words
	Source string `json:"source"`
}

func (o options) answer(stdin io.Reader) (*answer, int, error) {
	book, err := safety.Shipped()
	if err != nil {
		return nil, 0, err
	}
	q, err := o.question(book, stdin)
	if err != nil {
		return nil, 0, err
	}
	w, err := book.SetOut(q.serving)
	if err != nil {
		return nil, 0, err
	}
	a := &answer{
		Schema: "fitchet.setout/1", Answer: w.Line(), Form: q.serving.Form.String(), Used: safety.PeriodText(w.Used),
		Level: w.Now.Level.String(), Notes: w.Notes,
		Room: []step{}, Against: []hazard{}, Limits: []limit{}, Practice: []band{}, Growth: []moment{}, Cautions: []string{},
	}
	code := cli.Well
	if left, ok := w.Left(); ok {
		a.Left = safety.PeriodText(left)
		if left == 0 {
			code = cli.Mend
		}
	}
	for i, s := range q.serving.Room {
		st := step{At: s.At.InCelsius(1) + " (" + s.At.InFahrenheit(1) + ")"}
		if i < len(q.serving.Room)-1 {
			st.For = safety.PeriodText(s.For)
		}
		a.Room = append(a.Room, st)
	}
	sources := book.Sources()
	if q.item.Species != "" {
		for _, h := range book.Hazards(q.item, q.ctx) {
			if h.Severity >= safety.Mend {
				code = cli.Mend
			}
			a.Against = append(a.Against, hazard{h.ID, h.Severity.String(), h.Name + ". " + h.Sentence, h.Do, h.Standing != safety.Holds, h.Notice, words(h.Evidence, sources)})
		}
	}
	for _, l := range w.Limits {
		a.Limits = append(a.Limits, limit{l.ID, l.Name, safety.PeriodText(l.Length), l.LessThan, l.Binds, l.Condition,
			l.Status.String(), l.Why, safety.PeriodText(l.Left), l.Ref.Words(sources)})
	}
	for _, p := range w.Practice {
		b := band{From: safety.PeriodText(p.Low.Total), To: safety.PeriodText(p.High.Total), What: p.Words, Level: p.High.Level.String(), Basis: p.Ref.Words(sources)}
		if w.Leads {
			b.Times = p.High.Times.String()
		}
		a.Practice = append(a.Practice, b)
	}
	if w.Used > 0 {
		a.growth("now", w.Now, sources)
	}
	if w.Leads {
		a.growth("at the leading limit", w.End, sources)
	}
	if n := len(w.Practice); n > 0 {
		a.growth("at the longest of practice", w.Practice[n-1].High, sources)
	}
	if q.hours > 0 {
		m := w.After(w.Used + q.hours)
		a.asked(q.hours, w, m)
		a.growth("after the time asked for", m, sources)
		if w.Leads && m.Level != safety.Within {
			code = cli.Mend
		}
	}
	for _, c := range book.Cautions(safety.Situation{
		Raw: q.serving.Form != safety.Soaked, WholePrey: q.serving.Form == safety.WholePrey, Hours: true, Estimate: len(q.serving.Room) > 0,
	}) {
		a.Cautions = append(a.Cautions, c.Text)
	}
	return a, code, nil
}

func words(refs []cite.Ref, reg *cite.Registry) []string {
	out := make([]string, len(refs))
	for i, r := range refs {
		out[i] = r.Words(reg)
	}
	return out
}

func (a *answer) growth(at string, m safety.Elapsed, reg *cite.Registry) {
	if len(m.Gains) == 0 {
		return
	}
	out := moment{At: at, Total: safety.PeriodText(m.Total)}
	for _, p := range m.Gains {
		g := gain{Model: p.Model.Germ(), Gain: p.Gain.String(), Fold: p.Gain.Fold()}
		if !p.Known {
			g.Gain, g.Fold = "cannot be said: "+p.Why, ""
		}
		if ref, err := p.Model.Ref(); err == nil {
			g.Source = ref.Words(reg)
		}
		out.Gains = append(out.Gains, g)
	}
	a.Growth = append(a.Growth, out)
}

func (a *answer) asked(hours time.Duration, w safety.SetOutAnswer, m safety.Elapsed) {
	q := &asked{Hours: safety.PeriodText(hours), Total: safety.PeriodText(m.Total), Level: m.Level.String(), Rooms: []room{}}
	s := q.Hours
	if w.Used > 0 {
		s += ", " + q.Total + " with the time already used,"
	}
	if w.Leads {
		q.Times = m.Times.String()
		s += fmt.Sprintf(" is %s (%s the %s).", m.Level, q.Times, strings.ToLower(w.Limits[0].Name))
	} else {
		s += " cannot be compared: no published limit applies."
	}
	var parts []string
	for _, model := range safety.Models() {
		warm := model.WarmestFor(m.Total, 1)
		at := warm.Why
		if warm.Found {
			at = warm.At.String()
		}
		q.Rooms = append(q.Rooms, room{model.Germ(), at})
		if model != safety.Spoilage {
			parts = append(parts, model.Germ()+": "+at)
		}
	}
	q.Answer = s + " By the models germs grow tenfold in " + q.Total + " at: " + strings.Join(parts, "; ") + ". An estimate, not a limit."
	a.Asked = q
}

func (a *answer) text(b *bytes.Buffer, detail bool) {
	for _, h := range a.Against {
		if h.Severity == "watch" && !detail {
			continue
		}
		mark := strings.ToUpper(h.Severity)
		if h.Open {
			mark += " (open, look it up)"
		}
		page.Put(b, "%s: %s %s\n", mark, h.What, h.Do)
		if h.Notice != "" {
			page.Put(b, "  Notice: %s\n", h.Notice)
		}
		if detail {
			page.Put(b, "  How we know: %s\n", strings.Join(h.Sources, "; "))
		}
	}
	page.Put(b, "%s\n", a.Answer)
	if a.Asked != nil {
		page.Put(b, "%s\n", a.Asked.Answer)
	}
	if !detail {
		return
	}
	page.Put(b, "\nPublished limits, the strictest that applies first\n")
	for _, l := range a.Limits {
		least := "at most "
		if l.LessThan {
			least = "less than "
		}
		page.Put(b, "  %s: %s%s, for %s: %s", l.Name, least, l.Length, l.Binds, l.Status)
		if l.Status == safety.Applies.String() {
			page.Put(b, ", %s left", l.Left)
		}
		page.Put(b, "\n    Condition: %s.\n    Because: %s.\n    Source: %s.\n", l.Condition, l.Why, l.Source)
	}
	if len(a.Practice) > 0 {
		page.Put(b, "\nWhat keepers do (common practice, no source; never a limit)\n")
	}
	for _, p := range a.Practice {
		hours := p.From
		if p.To != p.From {
			hours += " to " + p.To
		}
		page.Put(b, "  %s: %s", hours, p.What)
		if p.Times != "" {
			page.Put(b, "; the longest is %s the leading limit, %s", p.Times, p.Level)
		}
		fmt.Fprintln(b)
	}
	if len(a.Growth) > 0 {
		page.Put(b, "\nEstimated growth of germs already there, in powers of ten (not a chance of illness)\n")
	}
	sources := map[string]string{}
	for _, m := range a.Growth {
		page.Put(b, "  %s (%s)\n", m.At, m.Total)
		for _, g := range m.Gains {
			page.Put(b, "    %s: %s", g.Model, g.Gain)
			if g.Fold != "" {
				page.Put(b, ", %s", g.Fold)
			}
			fmt.Fprintln(b)
			sources[g.Model] = g.Source
		}
	}
	for _, model := range safety.Models() {
		if s := sources[model.Germ()]; s != "" {
			page.Put(b, "  Model for %s: %s\n", model.Germ(), s)
		}
	}
	section := func(title string, lines []string) {
		if len(lines) > 0 {
			page.Put(b, "\n%s\n", title)
		}
		for _, l := range lines {
			page.Put(b, "  %s\n", l)
		}
	}
	section("Taken for granted, and not known", a.Notes)
	section("Take care", a.Cautions)
}
