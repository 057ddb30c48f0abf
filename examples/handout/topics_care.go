package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/ration/log"
	"fitchet.example/ration/switchover"

	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// window asks about pieces out of the fridge, in a room that is not known
// unless a temperature is given.
func (d *data) window(form safety.Form, room ...units.Temperature) safety.SetOutAnswer {
	s := safety.SetOutQuestion{Form: form}
	for _, t := range room {
		s.Room = append(s.Room, safety.Spell{At: t})
	}
	w, err := d.care.SetOut(s)
	if err != nil {
		d.fail(err)
	}
	return w
}

// lift says until when raw food may lie. Only published limits are in it: what
// keepers do never stands beside them in one line on a sheet to give away.
func (d *data) lift() para {
	var out para
	w := d.window(safety.Pieces)
	if !w.Leads {
		return para{plain("No published limit could be applied.")}
	}
	lead := w.Limits[0]
	for _, l := range w.Limits {
		if l.Binds == lead.Binds {
			out = append(out, fact(fmt.Sprintf("Lift raw food within %s by the %s (%s).", safety.PeriodText(l.Length), strings.ToLower(l.Name), l.Condition), l.Ref))
		}
	}
	return append(out, plain("All times since the fridge add up: thawing, cutting, bowl and hiding place."))
}

// setout is about time and cold.
func (d *data) setout() []block {
	w := d.window(safety.Pieces)
	blocks := []block{{Text: d.lift(), Box: true}}
	blocks = append(blocks, list(handling(d.care, "stash")...))

	limits := &table{Caption: "Other published limits, made for human food and for those named", Columns: []said{plain("Limit"), plain("Time"), plain("Holds when")}}
	for _, l := range w.Limits {
		if l.Binds == w.Limits[0].Binds || !d.long && l.Status == safety.DoesNotApply {
			continue // stated above, or of no use to a short sheet
		}
		least := "at most "
		if l.LessThan {
			least = "less than "
		}
		limits.Rows = append(limits.Rows, row{Head: said{Text: l.Name + ", for " + l.Binds}, Cells: []para{{said{Text: least + safety.PeriodText(l.Length)}}, {said{Text: sentence(l.Condition)}}}, Refs: []cite.Ref{l.Ref}})
	}
	blocks = append(blocks, block{Table: limits})

	does, draw := d.practised(w)
	blocks = append(blocks, block{Heading: "What keepers do"},
		saying(plain("Shown so that you know it, not as a limit. Short bowls leave long gaps: serve more and smaller ones.")),
		block{Table: does}, block{Plot: draw})
	if d.long {
		blocks = append(blocks, block{Table: d.growth()})
	}
	blocks = append(blocks, block{Heading: "In the fridge and the freezer"}, block{Table: d.shelf()}, list(d.thawing()...))
	blocks = append(blocks, block{Heading: "Washing"}, list(slices.Concat(handling(d.care, "washing"), handling(d.care, "boards"), handling(d.care, "dishes"))...))
	if d.long {
		var mix []para
		for _, b := range d.care.Bleaches() {
			mix = append(mix, para{fact(sentence("household bleach, "+b.String()+": "+b.Words), b.Ref)})
		}
		blocks = append(blocks, list(mix...))
	}
	return blocks
}

// practised is what keepers do by form, and how far it goes beyond the limit
// that leads.
func (d *data) practised(w safety.SetOutAnswer) (*table, *plot) {
	t := &table{Caption: "How long bowls are left out, by what is served", Columns: []said{plain("Served as"), plain("Left out for"), plain("The longest, beside the leading limit")}}
	draw := &plot{Title: "Hours out of the fridge: what keepers do, against the leading limit", Unit: "h"}
	if w.Leads {
		l := w.Limits[0]
		draw.Target = &plotRow{Label: fact("limit", l.Ref), High: l.Length.Hours(), Value: "up to " + safety.PeriodText(l.Length)}
	}
	forms := []struct {
		form safety.Form
		name string
	}{{safety.Soup, "Soup"}, {safety.Minced, "Mince"}, {safety.Pieces, "Pieces without bone"}, {safety.BoneIn, "Pieces with bone"}, {safety.WholePrey, "Whole prey"}}
	in := map[string]int{} // how many forms a practice is about
	var bands [][]safety.Band
	for _, f := range forms {
		b := d.window(f.form).Practice
		for _, p := range b {
			in[p.Words]++
		}
		bands = append(bands, b)
	}
	add := func(name string, own []safety.Band) {
		if len(own) == 0 {
			return
		}
		var what para
		low, longest := own[0], own[0]
		r := plotRow{Label: said{Text: name}}
		for _, b := range own {
			what = append(what, fact(sentence(periods(b.Low.Total, b.High.Total)+": "+b.Words), b.Ref))
			r.Label.Refs = append(r.Label.Refs, b.Ref)
			if b.High.Total > longest.High.Total {
				longest = b
			}
			if b.Low.Total < low.Low.Total {
				low = b
			}
		}
		beside := para{plain("cannot be said")}
		if w.Leads {
			beside = para{fact(longest.High.Times.String()+", "+longest.High.Level.String(), longest.Ref, w.Limits[0].Ref)}
		}
		t.Rows = append(t.Rows, row{Head: plain(name), Cells: []para{what, beside}})
		r.Low, r.High, r.Value = low.Low.Total.Hours(), longest.High.Total.Hours(), periods(low.Low.Total, longest.High.Total)
		draw.Rows = append(draw.Rows, r)
	}
	general := func(b safety.Band) bool { return in[b.Words] == len(forms) }
	add("Any raw food", slices.DeleteFunc(slices.Clone(bands[0]), func(b safety.Band) bool { return !general(b) }))
	for i, f := range forms {
		add(f.name, slices.DeleteFunc(bands[i], general))
	}
	return t, draw
}

func handling(b *safety.Book, topic string) []para {
	var out []para
	for _, h := range b.Handling(topic) {
		out = append(out, para{fact(h.Text, h.Ref)})
	}
	return out
}

// growth shows what the models predict for the longest of practice.
func (d *data) growth() *table {
	example := choice("example temperatures of a room")
	t := &table{Caption: "Germs already on the food, by the models, after the longest that keepers leave pieces without bone", Columns: []said{plain("Room"), plain("Time"), plain("Prediction, about")}}
	for _, c := range []int64{18, 21, 25, 30} {
		at := units.DegreesC(c)
		w := d.window(safety.Pieces, at)
		if len(w.Practice) == 0 {
			continue
		}
		last := w.Practice[len(w.Practice)-1]
		for _, p := range w.Practice {
			if p.High.Total > last.High.Total {
				last = p
			}
		}
		var p para
		for _, g := range last.High.Gains {
			if !g.Known || g.Model == safety.Spoilage {
				continue
			}
			ref, err := g.Model.Ref()
			if err != nil {
				d.fail(err)
				return t
			}
			p = append(p, fact(fmt.Sprintf("%s: %s (%s).", g.Model.Germ(), strings.TrimPrefix(g.Gain.Fold(), "about "), strings.TrimPrefix(g.Gain.String(), "about ")), ref))
		}
		t.Rows = append(t.Rows, row{Head: fact(at.InCelsius(0)+" ("+at.InFahrenheit(0)+")", example), Cells: []para{
			{fact(safety.PeriodText(last.High.Total), last.Ref)}, p}})
	}
	return t
}

// shelf is how long food keeps.
func (d *data) shelf() *table {
	t := &table{Caption: "How long raw food keeps", Columns: []said{plain("Food"), plain("In the fridge"), plain("After thawing in the fridge"), plain("In the freezer, for quality only")}}
	kinds := []struct{ kind, name string }{
		{"ground-meat", "Mince"}, {"variety-meats", "Organs"}, {"chicken-parts", "Chicken pieces"}, {"rabbit", "Rabbit"},
		{"red-meat-cuts", "Cuts of red meat"}, {"whole-prey", "Whole prey"},
	}
	if d.long {
		kinds = append(kinds, []struct{ kind, name string }{{"soup", "Raw soup"}, {"giblets", "Gizzards"}, {"duck", "Duck"}, {"turkey-parts", "Turkey pieces"}, {"quail", "Quail"}, {"venison", "Venison"}, {"lean-fish", "Lean fish"}, {"fatty-fish", "Oily fish"}, {"egg-in-shell", "Eggs in the shell"}}...)
	}
	for _, k := range kinds {
		keep, err := d.care.Keep(k.kind)
		if err != nil {
			d.fail(err)
			return t
		}
		days := func(where safety.Cold, one, many string) para {
			low, high, known := keep.Days(where)
			switch {
			case known:
				return para{said{Text: counted(low, high, one, many)}}
			case where == safety.Frozen:
				return para{plain("no figure")}
			}
			return para{said{Text: "no figure; as the shortest here: " + counted(low, high, one, many)}}
		}
		head := k.name
		if keep.Analogy != "" {
			head += ": " + keep.Analogy
		}
		t.Rows = append(t.Rows, row{Head: said{Text: head}, Cells: []para{
			days(safety.Fridge, "day", "days"),
			days(safety.Thawed, "day", "days"),
			days(safety.Frozen, "month", "months"),
		}, Refs: keep.Refs})
	}
	return t
}

func (d *data) thawing() []para {
	var out []para
	for _, m := range []struct {
		how  safety.ThawMethod
		lead string
	}{{safety.InFridge, "Thaw in the fridge: "}, {safety.ColdWater, "Or in cold water, and use it at once: "}, {safety.OnCounter, ""}} {
		t, err := d.care.Thaw(m.how, units.Pound)
		if err != nil {
			d.fail(err)
			return nil
		}
		out = append(out, para{fact(sentence(m.lead+t.Words), t.Ref)})
	}
	for _, r := range []safety.Decision{safety.Refreeze(safety.InFridge, 0), safety.Refreeze(safety.ColdWater, 0)} {
		out = append(out, para{fact(r.Words, r.Refs...)})
	}
	if d.long {
		p := safety.PowerCut(safety.Reading{}, -1, safety.Reading{})
		out = append(out, para{fact("After a power cut: "+p.Words, p.Refs...)})
	}
	return out
}

// hunted is about meat from the wild.
func (d *data) hunted() []block {
	animals := []struct{ species, name string }{
		{"rabbit", "Wild rabbit, hare"}, {"deer", "Deer"}, {"pheasant", "Pheasant, partridge, pigeon"}, {"duck", "Wild duck, goose"},
		{"mouse", "Wild mouse, rat, vole, squirrel"}, {"wild-boar", "Wild boar"}, {"bear", "Bear, fox, badger and other meat eaters"},
	}
	may := &table{Caption: "Raw, from the wild", Columns: []said{plain("Animal"), plain("Raw?"), plain("Why, and what to do")}}
	freezer := units.DegreesC(-18)
	const stay = 21 * safety.Day
	cold := &table{Caption: "What a home freezer does and does not do", Columns: []said{plain("Against"), fact(fmt.Sprintf("After %s at %s", safety.PeriodText(stay), freezer.InCelsius(0)+" ("+freezer.InFahrenheit(0)+")"), choice("an example: what keepers commonly do with hunted meat")), plain("What is known")}}
	var lines []safety.FreezeLine
	for _, a := range animals {
		it := safety.Item{Species: a.species, Wild: true}
		plainly, noticed := d.care.Hazards(it, safety.Context{}), d.care.Hazards(it, underNotice())
		verdict := "nothing was read against it; that does not make it safe"
		var why para
		for i, h := range plainly {
			if i == 0 {
				verdict = verdictOf(h)
			}
			if h.Standing != safety.StandOpen || within(noticed, h) {
				why = append(why, fact(h.Sentence+" "+h.Do, h.Evidence...))
			}
		}
		for _, h := range noticed {
			if !within(plainly, h) {
				why = append(why, said{Text: h.Name + ":", Lead: true}, fact(h.Sentence+" "+h.Do, h.Evidence...))
			}
		}
		if len(plainly) > 0 && len(noticed) > 0 && noticed[0].Severity > plainly[0].Severity {
			verdict += "; " + verdictOf(noticed[0]) + " while a bird-flu notice stands"
		}
		may.Rows = append(may.Rows, row{Head: plain(a.name), Cells: []para{{plain(capital(verdict))}, why}})
		got, err := d.care.Freeze(safety.Freezing{Species: a.species, Wild: true, At: safety.At(freezer), For: stay})
		if err != nil {
			d.fail(err)
			return nil
		}
		for _, l := range got {
			if i := slices.IndexFunc(lines, func(o safety.FreezeLine) bool { return o.Agent == l.Agent }); i < 0 {
				lines = append(lines, l)
			} else if l.Answer > lines[i].Answer {
				lines[i] = l // the same agent in another animal: the worse answer
			}
		}
	}
	slices.SortStableFunc(lines, func(x, y safety.FreezeLine) int { return int(y.Answer) - int(x.Answer) })
	for _, l := range lines {
		if !d.long && l.Answer < safety.DoNotRely {
			continue
		}
		from := []cite.Ref{l.Ref}
		if l.Hold.Ref.Evidence.Valid() {
			from = append(from, l.Hold.Ref)
		}
		cold.Rows = append(cold.Rows, row{Head: said{Text: capital(l.Name)}, Cells: []para{{said{Text: capital(l.Answer.String())}}, {said{Text: sentence(l.Why)}}}, Refs: from})
	}
	var shot []para
	for _, tag := range []string{"shot-lead", "found-dead"} {
		for _, h := range d.care.Hazards(safety.Item{Tags: []string{tag}}, safety.Context{}) {
			shot = append(shot, d.against(h))
		}
	}
	return []block{
		saying(plain("Hunted meat brings parasites, disease, and metal or poison. Freezing answers only some of the first. Ask the local game authority before you feed it.")),
		{Table: may}, list(shot...), {Heading: "What freezing does"}, {Table: cold},
	}
}

func within(list []safety.Hazard, h safety.Hazard) bool {
	return slices.ContainsFunc(list, func(o safety.Hazard) bool { return o.ID == h.ID })
}

// underNotice is a region where a bird-flu notice is in force: the sheet says
// what holds then, not whether one is.
func underNotice() safety.Context {
	return safety.Context{Region: "an example", On: 1, Notices: &safety.Notices{AsOf: 1, StaleAfter: 1, Entries: []safety.Notice{{ID: "example", Kind: safety.BirdFlu, Region: "everywhere", Confirmed: 1}}}}
}

// verdictOf is the gravity in words.
func verdictOf(h safety.Hazard) string {
	open := ""
	if h.Standing == safety.StandOpen {
		open = ", unless it was looked up and is clear"
	}
	switch h.Severity {
	case safety.Stop:
		return "do not feed it" + open
	case safety.Mend:
		return "not as it is" + open
	}
	return "with care"
}

// against is one hazard in full.
func (d *data) against(h safety.Hazard) para {
	text := h.Sentence + " " + h.Do
	if d.long && h.Amount != "" {
		text += " Figures: " + sentence(h.Amount)
	}
	if len(h.ShownIn) > 0 {
		text += " Seen in: " + strings.Join(h.ShownIn, ", ") + "."
	}
	return para{{Text: sentence(h.Name), Lead: true}, fact(text, h.Evidence...)}
}

// everyHazard is what is known against foods, without what is about the lots
// and the notices file of one household.
func (d *data) everyHazard() []safety.Hazard {
	out := slices.DeleteFunc(d.care.AllHazards(), func(h safety.Hazard) bool {
		return slices.Contains([]string{"recalled-lot", "recall-lot-not-known", "poultry-notice-clear"}, h.ID)
	})
	slices.SortStableFunc(out, func(a, b safety.Hazard) int {
		if a.Severity != b.Severity {
			return int(b.Severity) - int(a.Severity)
		}
		return strings.Compare(a.Name, b.Name)
	})
	return out
}

// avoid lists what speaks against foods.
func (d *data) avoid() []block {
	groups := []struct {
		gravity safety.Severity
		title   string
	}{{safety.Stop, "Do not feed"}, {safety.Mend, "Not as it is: change the amount, the part or the preparation"}}
	if d.long {
		groups = append(groups, struct {
			gravity safety.Severity
			title   string
		}{safety.Watch, "Feed with care"})
	}
	blocks := []block{saying(plain("A food that is not in this list is not thereby safe: the list knows what was read. If something on it was eaten, call your vet with the kind and the amount."))}
	all := d.everyHazard()
	for _, g := range groups {
		var items []para
		for _, h := range all {
			if h.Severity == g.gravity {
				items = append(items, d.against(h))
			}
		}
		if len(items) > 0 {
			blocks = append(blocks, block{Heading: g.title}, list(items...))
		}
	}
	return blocks
}

// change is the way from dry food to raw.
func (d *data) change() []block {
	blocks := []block{saying(plain("Go at the pace of the animal, not of the calendar, and each animal at its own. Weigh it every day meanwhile. When it refuses, go back to what it took before: a refusal is never waited out."))}
	var hope []para
	for _, e := range switchover.Expectations() {
		hope = append(hope, para{fact(e.Text, e.Ref)})
	}
	blocks = append(blocks, list(hope...))
	order := d.steps.Ref
	gates := d.steps.GatesRef
	t := &table{Caption: "The steps", Columns: []said{fact("Step", order), fact("What to do", order), fact("Go on when", gates)}}
	if d.long {
		t.Columns = append(t.Columns, fact("Go back when", gates))
	}
	for i, s := range d.steps.Stages {
		do := para{said{Text: s.Do}}
		if s.Boneless {
			do = append(do, said{Text: "Add calcium.", Lead: true})
		}
		r := row{Head: said{Text: fmt.Sprintf("%d. %s", i+1, s.Name)}, Cells: []para{do, {
			said{Text: fmt.Sprintf("at least %s on it, and of each of the last %s at least %s is eaten", counted(s.Gate.Days, s.Gate.Days, "day", "days"), counted(s.Gate.Meals, s.Gate.Meals, "meal", "meals"), trim(s.Gate.Eaten, 0))}}}}
		if d.long {
			r.Cells = append(r.Cells, para{said{Text: fmt.Sprintf("%s refused in a row, or nothing eaten for %s", counted(s.Setback.Meals, s.Setback.Meals, "meal", "meals"), safety.PeriodText(time.Duration(s.Setback.Hours)*time.Hour))}})
		}
		t.Rows = append(t.Rows, r)
	}
	blocks = append(blocks, block{Table: t}, block{Heading: "Call a vet"}, block{Table: d.vet(func(v safety.VetSign) bool { return true })})
	stools := &table{Caption: "What stools may say; it is no diagnosis", Columns: []said{plain("Looks"), plain("Likely"), plain("What to do")}}
	for _, s := range log.Stools() {
		if !d.long && s.Urgency == log.VetNow { // these stand among the signs for a vet
			continue
		}
		stools.Rows = append(stools.Rows, row{Head: said{Text: capital(s.Looks)}, Cells: []para{{said{Text: s.Likely}}, {said{Text: s.Do}}}, Refs: []cite.Ref{s.Ref}})
	}
	return append(blocks, block{Table: stools})
}

// vet lists signs that send an animal to a vet.
func (d *data) vet(which func(safety.VetSign) bool) *table {
	t := &table{Caption: "Signs, and how long to wait at most", Columns: []said{plain("Sign"), plain("Call")}}
	for _, v := range d.care.VetSigns() {
		if which(v) {
			t.Rows = append(t.Rows, row{Head: said{Text: v.Sign}, Cells: []para{{said{Text: strings.TrimPrefix(v.String(), v.Sign+": ")}}}, Refs: []cite.Ref{v.Ref}})
		}
	}
	return t
}

// sitter is what somebody who looks after the animals must know.
func (d *data) sitter() []block {
	adult := ration.Needs(&ration.Animal{ID: "example", Mass: units.Kilogram, Stage: ration.Adult}, 0)
	low := ration.Needs(&ration.Animal{ID: "example", Mass: units.Kilogram, Stage: ration.Adult, Conditions: []string{ration.Insulinoma}}, 0)
	do := []para{
		d.lift(),
		{fact(fmt.Sprintf("A grown ferret: %s a day, %s.", counted(adult.MealsPerDay, adult.MealsPerDay, "meal", "meals"), adult.Gap), adult.MealsRef, adult.Gap.Ref)},
		{fact(fmt.Sprintf("With insulinoma: %s a day, %s.", counted(low.MealsPerDay, low.MealsPerDay, "meal", "meals"), low.Gap), low.MealsRef, low.Gap.Ref)},
	}
	do = append(do, handling(d.care, "stash")[:min(1, len(d.care.Handling("stash")))]...)
	for _, topic := range []string{"washing", "dishes", "people"} {
		do = append(do, handling(d.care, topic)...)
	}
	do = append(do, para{plain("Fresh water is always there. Try no new food while I am away, and give nothing from your plate.")},
		para{plain("If the freezer or fridge fails, or you do not know how long food was out, throw it away and feed the fallback written above.")})
	var never []para
	for _, tag := range []string{"cooked-bone", "cured", "allium", "xylitol", "chocolate", "grape", "raw-pork", "dairy"} {
		for _, h := range d.care.Hazards(safety.Item{Tags: []string{tag}}, safety.Context{}) {
			never = append(never, para{{Text: sentence(h.Name), Lead: true}, fact(h.Do, h.Evidence...)})
		}
	}
	soon := func(v safety.VetSign) bool { return v.After <= safety.Day && !strings.HasPrefix(v.ID, "weight-") }
	return []block{
		{Fill: []string{"Animals", "Food for each, a day", "Where it lies, and what to thaw when", "Fallback food", "Where they hide food", "My number", "Vet", "Vet at night"}},
		{Heading: "Every day"}, list(do...),
		{Heading: "Never"}, list(never...),
		{Heading: "Call the vet, then me"}, {Table: d.vet(soon)},
	}
}
