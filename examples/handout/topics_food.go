package main

import (
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"

	"github.com/shopspring/decimal"
)

// topicMaker makes one topic, and says what it is about for the cautions.
type topicMaker struct {
	id, title string
	make      func(*data) []block
	about     func(*safety.Situation)
}

// topics are all topics in their usual order.
func topics() []topicMaker {
	return []topicMaker{
		{"style", "Choosing a style", (*data).style, func(s *safety.Situation) { s.WholePrey = true }},
		{"ratios", "Shares of the week, and what bone means", (*data).ratios, func(*safety.Situation) {}},
		{"amounts", "How much, by animal", (*data).amounts, func(s *safety.Situation) { s.Estimate, s.Kit, s.Pregnant = true, true, true }},
		{"setout", "Time out of the fridge, and storage", (*data).setout, func(s *safety.Situation) { s.Hours, s.Freezing = true, true }},
		{"hunted", "Hunted meat", (*data).hunted, func(s *safety.Situation) { s.Game, s.Freezing = true, true }},
		{"switch", "From dry food to raw", (*data).change, func(s *safety.Situation) { s.Changing, s.Ill, s.LosingWeight = true, true, true }},
		{"avoid", "Foods to avoid", (*data).avoid, func(s *safety.Situation) { s.Fish = true }},
		{"calcium", "Calcium while no bone is eaten", (*data).calcium, func(s *safety.Situation) { s.Changing = true }},
		{"sitter", "For the sitter", (*data).sitter, func(s *safety.Situation) { s.Hours, s.NotEating, s.Insulinoma = true, true, true }},
	}
}

func (d *data) target(id string) *shares.Target {
	t, err := d.book.Target(id)
	if err != nil {
		d.fail(err)
		return &shares.Target{ID: id}
	}
	return t
}

// style helps to choose how to feed.
func (d *data) style() []block {
	ways := &table{
		Caption: "Ways to feed, side by side",
		Columns: []said{plain("Way"), plain("What you do"), plain("In its favour"), plain("To keep in mind")},
	}
	for _, w := range []struct{ target, do, good, mind string }{
		{balance.DefaultTarget, "Put the week together from cuts, heart, organs and bone.", "From any butcher; every part can be chosen and weighed.", "You keep the shares yourself: weigh, and write down what was eaten."},
		{"whole-prey", "Feed small animals whole, thawed.", "Counts as balanced in itself; little to work out.", "Some will not handle it; pieces are hidden; not every animal takes it."},
		{"complete-mix", "Feed a minced mix that is sold or made as complete.", "Quick, and hard to pick apart.", "Ask what is in it: mixes for other animals may lack heart. Teeth get nothing to chew."},
		{"mixed-week", "Whole prey or a complete mix on some days, assembled meals on the others.", "Variety, and room for what is at hand.", "The shares hold for the assembled meals."},
	} {
		t := d.target(w.target)
		ways.Rows = append(ways.Rows, row{Head: plain(t.Title), Cells: []para{{plain(w.do)}, {plain(w.good)}, {plain(w.mind)}}, Refs: []cite.Ref{practice("ways to feed and what speaks for each")}})
	}
	blocks := []block{
		saying(plain("There is no single right way. Freezer, purse, supply and what you can bear to handle decide; ways can be mixed, and what suits may change. What matters is the week as a whole.")),
		{Table: ways},
	}

	// What is known of whole prey, in figures.
	var known []para
	item := para{plain("Bone in whole prey:")}
	for i, id := range []string{"mouse-adult", "rat-adult", "rabbit-whole"} {
		f := d.food(id)
		if !f.PartsKnown {
			continue
		}
		sep := ";"
		if i == 2 {
			sep = "."
		}
		b := over(f, prey.Bone)
		item = append(item, fact(fmt.Sprintf("%s, %s%s", name(f), shareSpan(b.Low, b.High), sep), f.PartsRef))
	}
	known = append(known, item)
	for _, id := range []string{"whole-prey", "complete-mix"} {
		t := d.target(id)
		if l := t.CompleteLeast; l > 0 {
			known = append(known, para{fact(fmt.Sprintf("%s: at least %s of what is fed is that; the rest is treats.", t.Title, l), t.CompleteRef)})
		}
	}
	for _, tag := range []string{"taurine-low", "frozen-rodent-salmonella", "freeze-dried"} {
		for _, h := range d.care.Hazards(safety.Item{Tags: []string{tag}}, safety.Context{}) {
			known = append(known, para{fact(h.Sentence+" "+h.Do, h.Evidence...)})
		}
	}
	blocks = append(blocks, block{Heading: "What is known"}, list(known...))
	if d.long {
		blocks = append(blocks, d.ruleTable("What is asked of ground and dried food", "bone-to-chew", "dried-water", "mix-incomplete"))
	}
	return blocks
}

// name is the name of a food as it stands in a sentence: what follows its first
// comma in brackets.
func name(f *prey.Food) string {
	if first, rest, ok := strings.Cut(f.Name, ", "); ok {
		return first + " (" + rest + ")"
	}
	return f.Name
}

// over is the share of a part over the cases of a food.
func over(f *prey.Food, p prey.Part) units.Range[units.Share] {
	var s [prey.NumCases]units.Share
	for c := range s {
		s[c] = f.Shares[c][p]
	}
	return units.Range[units.Share]{Low: slices.Min(s[:]), Typical: s[prey.Typical], High: slices.Max(s[:])}
}

func slotName(s shares.Slot, t *shares.Target) string {
	switch s {
	case shares.MuscleSlot:
		if t.HeartInMuscle {
			return "muscle meat, heart in it"
		}
		return "muscle meat"
	case shares.BoneSlot:
		if t.BoneMeans == shares.BoneInMeat {
			return "bone-in meat"
		}
		return "edible bone"
	case shares.OrganSlot:
		return "other secreting organ"
	}
	return s.String()
}

// ratios is about the shares of an assembled week.
func (d *data) ratios() []block {
	t := d.target("")
	const batch = units.Kilogram
	aim := &table{
		Caption: t.Title,
		Columns: []said{plain("Part"), plain("Aim"), plain("Range"), fact("Aim in "+grams(batch)+" of food", choice("an example batch to read off"))},
	}
	draw := &plot{Title: "Shares of the week: the range of each part, and what is aimed at", Unit: "%"}
	ours := false
	for _, s := range t.Shares {
		part, err := units.SplitMass(batch, units.Gram, []int64{int64(s.Aim), int64(units.Whole - s.Aim)})
		if err != nil {
			d.fail(err)
			return nil
		}
		head := plain(capital(slotName(s.Slot, t)))
		aim.Rows = append(aim.Rows, row{
			Head: head,
			Cells: []para{
				{fact(trim(s.Aim, 1), s.AimRef)},
				{fact(shareSpan(s.Low, s.High), s.BoundsRef)},
				{fact(grams(part[0]), s.AimRef)},
			},
		})
		draw.Rows = append(draw.Rows, plotRow{said{Text: head.Text, Refs: []cite.Ref{s.AimRef}}, percent(s.Low), percent(s.Aim), percent(s.High), shareSpan(s.Low, s.High) + ", aim " + trim(s.Aim, 1)})
		ours = ours || s.AimRef.Evidence != cite.Practice
	}
	opening := "The shares are parts of what is fed over the week, not of each meal."
	if !ours {
		opening += " All aims here are common practice: no published rule for the shares of a ferret's food is known."
	}
	blocks := []block{
		saying(plain(opening), plain("Water, oil, eggshell and powders fill no part and are left out.")),
		{Table: aim}, {Plot: draw},
		{Heading: "What bone means"},
		saying(plain("People say bone and mean different things. Ask which, before you compare numbers.")),
	}
	wing := d.food("chicken-wing")
	w := over(wing, prey.Bone)
	blocks = append(blocks, list(
		para{plain(sentence(shares.EdibleBone.Words())), plain("This sheet counts so.")},
		para{plain(sentence(shares.BoneInMeat.Words()))},
		para{fact(fmt.Sprintf("These are far apart: a chicken wing is about %s bone (%s), so %s of wing brings about %s of bone.", trim(w.Typical, 0), shareSpan(w.Low, w.High), grams(100*units.Gram), grams(part(100*units.Gram, w.Typical))), wing.PartsRef)},
	))
	bone, _ := t.Share(shares.BoneSlot)
	blocks = append(blocks, block{Table: d.boneTable(t, bone)})
	blocks = append(blocks, block{Heading: "The rest of the week"}, d.ruleTable("What keepers hold a week to", d.weekRules()...))
	if !d.long {
		return blocks
	}
	blocks = append(blocks, block{Heading: "Other sets of shares"}, block{Table: d.otherTargets(t)})
	return append(blocks, block{Heading: "Limits of nutrients"},
		saying(plain("No minimum for ferrets is known for minerals, vitamins or taurine. Figures for cats or dogs stand in and say so. Those given by energy are reckoned with the factors for prepared pet food.")),
		d.nutrientTable())
}

func percent(s units.Share) float64 { return float64(s) / float64(units.Whole/100) }

// part is a share of a mass, rounded half up to a whole gram.
func part(m units.Mass, s units.Share) units.Mass {
	g := (int64(m/units.Gram)*int64(s) + int64(units.Whole)/2) / int64(units.Whole)
	return units.Mass(g) * units.Gram
}

// boneTable shows how much bone cuts hold, and how much of the week they must
// be to bring the range of the target.
func (d *data) boneTable(t *shares.Target, want shares.SlotShare) *table {
	out := &table{
		Caption: "Bone in bone-in cuts",
		Columns: []said{plain("Cut"), plain("Of it bone"), plain("One piece"),
			fact(fmt.Sprintf("Of the week's food, for %s bone from it alone", shareSpan(want.Low, want.High)), want.BoundsRef)},
	}
	var cuts []*prey.Food
	if d.long {
		for _, f := range d.foods.All() {
			if f.BoneIn && f.PartsKnown && !f.HasHazard("weight-bearing-bone") && !f.HasHazard("raw-pork") {
				cuts = append(cuts, f)
			}
		}
	} else {
		for _, id := range []string{"chicken-wing", "chicken-neck", "chicken-thigh", "quail-whole", "rabbit-dressed"} {
			if f := d.food(id); f.PartsKnown {
				cuts = append(cuts, f)
			}
		}
	}
	for _, f := range cuts {
		b := over(f, prey.Bone)
		r := row{Head: plain(capital(name(f)))}
		text := trim(b.Typical, 0)
		if b.Low != b.High {
			text = fmt.Sprintf("about %s, %s", text, shareSpan(b.Low, b.High))
		}
		piece := para{plain("not known")}
		if f.Piece.High > 0 {
			piece = para{fact(gramsTo(f.Piece.Low, f.Piece.High), f.PieceRef)}
		}
		need := para{plain("not to be had from it alone")}
		if low, high := shareOf(want.Low, b.Typical), shareOf(want.High, b.Typical); low > 0 && high <= units.Whole {
			need = para{fact(shareSpan(low, high), derived(fmt.Sprintf("%s and %s of bone / %s bone in the cut", want.Low, want.High, b.Typical), f.PartsRef))}
		}
		r.Cells = []para{{fact(text, f.PartsRef)}, piece, need}
		out.Rows = append(out.Rows, r)
	}
	return out
}

// shareOf is how much of a cut brings a share of bone; 0 when it brings none.
func shareOf(want, bone units.Share) units.Share {
	if bone <= 0 {
		return 0
	}
	return units.Share((int64(want)*int64(units.Whole) + int64(bone)/2) / int64(bone))
}

func (d *data) weekRules() []string {
	ids := []string{"proteins-distinct", "red-meat", "liver-most", "eggs-weekly", "oil-weekly", "fish-most"}
	if d.long {
		ids = append(ids, "oil-spread", "organs-spread", "bone-often", "fish-thiaminase")
	}
	return ids
}

// ruleTable lists rules by id with their bounds; rules that are no longer in
// force are left out.
func (d *data) ruleTable(caption string, ids ...string) block {
	t := &table{Caption: caption, Columns: []said{plain("Rule"), plain("Bound"), plain("What missing it means")}}
	for _, id := range ids {
		r, ok := d.book.Rule(id)
		if !ok || r.Until != "" {
			continue
		}
		bound := (&balance.Finding{Rule: r}).LimitText()
		t.Rows = append(t.Rows, row{Head: said{Text: r.Title}, Cells: []para{{said{Text: bound}}, {said{Text: unfigured(r.Means)}}}, Refs: refs(r)})
	}
	return block{Table: t}
}

// unfigured is a text only if it states no figure: reasons given with a rule
// have no evidence of their own.
func unfigured(text string) string {
	var keep []string
	for _, s := range strings.SplitAfter(text, ". ") {
		if !figured.MatchString(s) {
			keep = append(keep, strings.TrimSpace(s))
		}
	}
	return strings.Join(keep, " ")
}

func (d *data) otherTargets(but *shares.Target) *table {
	t := &table{Caption: "Sets of shares in use, aim and range of each part", Columns: []said{plain("Set"), plain("Parts"), plain("Bone is counted as")}}
	for _, o := range d.book.Targets() {
		if o.ID == but.ID || o.Until != "" || len(o.Shares) == 0 {
			continue
		}
		var p para
		for _, s := range o.Shares {
			p = append(p, fact(fmt.Sprintf("%s %s (%s)", capital(slotName(s.Slot, o)), trim(s.Aim, 1), shareSpan(s.Low, s.High)), s.AimRef, s.BoundsRef))
		}
		head := fact(o.Title, o.Shares[0].AimRef)
		t.Rows = append(t.Rows, row{Head: head, Cells: []para{p, {plain(o.BoneMeans.Words())}}})
	}
	return t
}

// nutrientTable lists every rule in force on nutrients that holds for ferrets.
func (d *data) nutrientTable() block {
	var ids []string
	for _, r := range d.book.Rules() {
		if r.Check.Nutrient() && (len(r.Species) == 0 || slices.Contains(r.Species, ration.Ferret)) {
			ids = append(ids, r.ID)
		}
	}
	return d.ruleTable("Limits a week is held against", ids...)
}

// amounts is about how much to feed.
func (d *data) amounts() []block {
	lean, rich, mice := d.food("complete-mix-chicken"), d.food("complete-mix-beef"), d.food("mouse-adult")
	example := choice("example weights to read off; weigh your own animal")
	per := func(lead string, f *prey.Food) said {
		e, ref, ok := energy(f)
		if !ok {
			d.fail(fmt.Errorf("no energy is known of %s", f.ID))
		}
		return fact(fmt.Sprintf("%s, %s kcal in %s", capital(lead+name(f)), e.Typical.Decimal().Round(0), grams(100*units.Gram)), ref)
	}
	adult := func(m units.Mass, s ration.Sex) ration.Need {
		return ration.Needs(&ration.Animal{ID: "example", Sex: s, Mass: m, Stage: ration.Adult}, 0)
	}
	first := adult(units.Kilogram, ration.SexUnknown)
	byWeight := &table{
		Caption: "A healthy grown ferret, a day",
		Columns: []said{fact("Weight", example), fact("Never under: resting need", first.FloorRef), fact("Energy, about", first.BandRef), per("Lean mix: ", lean), per("Rich mix: ", rich)},
	}
	pieces := &table{Caption: "The same in mice", Columns: []said{fact("Weight", example), per("", mice), fact("Mice of "+gramsTo(mice.Piece.Low, mice.Piece.High), mice.PieceRef)}}
	for _, g := range []units.Mass{600, 800, 1000, 1300, 1600, 2000} {
		n := adult(g*units.Gram, ration.SexUnknown)
		amount := func(f *prey.Food) units.Range[units.Mass] { e, _, _ := energy(f); return n.Grams(e) }
		l, r, m := amount(lean), amount(rich), amount(mice)
		head := said{Text: grams(g * units.Gram)}
		byWeight.Rows = append(byWeight.Rows, row{Head: head, Cells: []para{
			{said{Text: fmt.Sprintf("%d kcal", (n.Floor+9)/10)}},
			{said{Text: kcal(n.Band.Low, n.Band.High)}},
			{said{Text: gramsTo(l.Low, l.High)}},
			{said{Text: gramsTo(r.Low, r.High)}},
		}})
		count := said{Text: "not known"}
		if mice.Piece.Low > 0 && mice.Piece.High > 0 {
			count = said{Text: counted(int(m.Low/mice.Piece.High), int((m.High+mice.Piece.Low-1)/mice.Piece.Low), "mouse", "mice")}
		}
		pieces.Rows = append(pieces.Rows, row{Head: head, Cells: []para{{said{Text: gramsTo(m.Low, m.High)}}, {count}}})
	}
	blocks := []block{
		saying(plain("Start inside the range for the weight, then let the scale decide: weigh every week, and count what was eaten, not what was offered. Appetite changes with the season. Food with more fat needs less weight; that is why the columns differ.")),
		{Table: byWeight},
	}
	if d.long {
		blocks = append(blocks, block{Table: pieces})
	}
	blocks = append(blocks, block{Heading: "Why numbers differ"}, saying(plain("These answers are all in use. We plan by the measured one; the others show how far apart the advice is.")))
	methods, draw := d.methods(lean, rich)
	blocks = append(blocks, block{Table: methods}, block{Plot: draw}, block{Heading: "Other stages of life"}, block{Table: d.lifeStages()})
	return blocks
}

// methodName is a method in plain words; unknown ones keep the library's name.
func methodName(e ration.Estimate) string {
	switch e.Method {
	case ration.MethodBand:
		return "Measured on polecats and mink: what this sheet plans by"
	case ration.MethodWinter:
		return "Measured on polecats in winter"
	case ration.MethodHandbook:
		return "A handbook, by weight"
	case ration.MethodPerAnimal:
		return "A clinic, by sex"
	case ration.MethodResting:
		return "Resting need: a floor, never a ration"
	case ration.MethodOunces:
		return "Keepers, by sex"
	case ration.MethodGrams:
		return "Keepers, any adult"
	case ration.MethodGramsPerKg:
		return "A veterinary article, by weight"
	case ration.MethodPercent:
		return "The rule for dry food, never for raw"
	}
	return e.Name
}

func (d *data) methods(lean, rich *prey.Food) (*table, *plot) {
	jill := ration.Animal{ID: "jill", Sex: ration.Jill, Mass: 800 * units.Gram, Stage: ration.Adult}
	hob := ration.Animal{ID: "hob", Sex: ration.Hob, Mass: 1400 * units.Gram, Stage: ration.Adult}
	j, h := ration.Needs(&jill, 0), ration.Needs(&hob, 0)
	example := choice("an example animal")
	t := &table{Caption: "Answers to how much a day, for an example jill and hob", Columns: []said{
		plain("Answer"), fact("Jill of "+grams(jill.Mass), example), fact("Hob of "+grams(hob.Mass), example), plain("Keep in mind")}}
	draw := &plot{Title: "The example jill's day by each answer, against the range this sheet plans by", Unit: "kcal"}
	amount := func(e ration.Estimate) string {
		if e.Unit == ration.GramsPerDay {
			return "about " + gramsTo(estimated(e.Low), estimated(e.High)) + " of raw food"
		}
		return strings.ReplaceAll(strings.TrimSuffix(e.String(), " a day"), "-", " to ")
	}
	leanE, leanRef, _ := energy(lean)
	richE, richRef, _ := energy(rich)
	for i, e := range j.Estimates {
		if !e.Known || !e.Applies && e.Method != ration.MethodPercent {
			continue
		}
		head := said{Text: methodName(e)}
		if d.long && e.Name != head.Text {
			head.Text += " (" + e.Name + ")"
		}
		cells := []para{{said{Text: amount(e)}}, {said{Text: amount(h.Estimates[i])}}, {said{Text: sentence(e.Why)}}}
		t.Rows = append(t.Rows, row{Head: head, Cells: cells, Refs: []cite.Ref{e.Ref}})
		low, high, how := e.Low, e.High, []cite.Ref{e.Ref}
		label := methodName(e)
		if e.Unit == ration.GramsPerDay {
			low, high = low*float64(leanE.Low)/1e11, high*float64(richE.High)/1e11
			how = append(how, leanRef, richRef)
			label += ", as lean to rich mix"
		}
		p := plotRow{Label: said{Text: label, Refs: how}, Low: low, High: high, Value: span(fmt.Sprintf("%.0f kcal", low), fmt.Sprintf("%.0f kcal", high))}
		if e.Method == j.BandMethod {
			target := p
			target.Label.Text = "planned by"
			draw.Target = &target
			continue
		}
		draw.Rows = append(draw.Rows, p)
	}
	return t, draw
}

// estimated is an estimate in grams as a mass, to the gram.
func estimated(grams float64) units.Mass { return units.Mass(grams+0.5) * units.Gram }

func (d *data) lifeStages() *table {
	example := choice("an example weight")
	t := &table{Caption: "Meals and gaps by stage", Columns: []said{fact("Animal", example), plain("Energy a day, about"), plain("Meals a day"), plain("Longest between meals")}}
	for _, a := range []ration.Animal{
		{ID: "Kit", Mass: 400 * units.Gram, Stage: ration.Kit},
		{ID: "Still growing", Mass: 700 * units.Gram, Stage: ration.Juvenile},
		{ID: "Grown", Mass: 800 * units.Gram, Stage: ration.Adult},
		{ID: "Pregnant", Sex: ration.Jill, Mass: 800 * units.Gram, Stage: ration.Pregnant},
		{ID: "Nursing, at its peak", Sex: ration.Jill, Mass: 800 * units.Gram, Stage: ration.Lactating},
		{ID: "With insulinoma", Mass: 800 * units.Gram, Stage: ration.Adult, Conditions: []string{ration.Insulinoma}},
	} {
		n := ration.Needs(&a, 0)
		head := a.ID + ", " + grams(a.Mass)
		vet := ""
		if len(n.VetFirst) > 0 {
			vet = "Ask the vet first."
		}
		e := para{plain("no figure")}
		if n.HasBand {
			e = para{fact(kcal(n.Band.Low, n.Band.High), n.BandRef)}
		}
		t.Rows = append(t.Rows, row{Head: said{Text: head}, Cells: []para{
			e,
			{fact(fmt.Sprint(n.MealsPerDay), n.MealsRef)},
			{fact(safety.PeriodText(n.Gap.Longest)+".", n.Gap.Ref), plain(vet)},
		}})
	}
	return t
}

// calcium is about meals without bone.
func (d *data) calcium() []block {
	shell, meal := d.food("eggshell-powder"), d.food("bone-meal")
	goal := ration.DefaultRatio()
	const batch = units.Kilogram
	t := &table{Caption: "What meat without bone lacks", Columns: []said{
		plain("Meat without bone"),
		fact("Calcium and phosphorus in "+grams(100*units.Gram), choice("tables give figures by this amount")),
		plain("Calcium to phosphorus"),
		fact("Eggshell powder for "+grams(batch)+" of the meat", choice("an example batch to read off")),
	}}
	if d.long {
		t.Columns = append(t.Columns, fact("Or bone meal for "+grams(batch), choice("an example batch to read off")))
	}
	draw := &plot{Title: "Calcium to phosphorus of foods, against the range aimed at", Unit: ": 1", Log: true,
		Target: &plotRow{Label: fact("aimed at", goal.Ref), Low: goal.Low.InexactFloat64(), High: goal.High.InexactFloat64(), Value: fmt.Sprintf("%s to %s : 1", goal.Low, goal.High)}}
	ids := []string{"chicken-thigh-meat", "turkey-meat", "rabbit-meat", "beef-chuck", "chicken-heart", "chicken-liver"}
	for _, id := range ids {
		f := d.food(id)
		ca, okCa := f.Nutrient(prey.Calcium)
		p, okP := f.Nutrient(prey.Phosphorus)
		if !okCa || !okP || p.At[prey.Typical] == 0 {
			continue
		}
		both := []cite.Ref{ca.Ref}
		if p.Ref.String() != ca.Ref.String() {
			both = append(both, p.Ref)
		}
		ratio := quotient(ca.At[prey.Typical], p.At[prey.Typical])
		dose := func(powder *prey.Food) para {
			dose, err := ration.Calcium([]ration.Serving{{Food: f, Mass: batch}}, powder, goal)
			if err != nil {
				d.fail(err)
				return nil
			}
			pca, _ := powder.Nutrient(prey.Calcium)
			return para{fact(gramsTo(dose.Powder.Low, dose.Powder.High), derived("(ratio aimed at x phosphorus - calcium) / (calcium of the powder - ratio x its phosphorus)", append(both, pca.Ref)...))}
		}
		r := row{Head: plain(capital(name(f))), Cells: []para{
			{fact(fmt.Sprintf("%s mg and %s mg", ca.At[prey.Typical].Decimal().Round(0), p.At[prey.Typical].Decimal().Round(0)), both...)},
			{fact(ratio.StringFixed(2)+" : 1", derived("calcium / phosphorus", both...))},
			dose(shell),
		}}
		if d.long {
			r.Cells = append(r.Cells, dose(meal))
		}
		t.Rows = append(t.Rows, r)
	}
	for _, id := range append(slices.Clone(ids[:1]), "beef-chuck", "day-old-chick", "mouse-adult", "complete-mix-chicken", "chicken-wing") {
		f := d.food(id)
		if r, ref, ok := ratioOf(f); ok {
			draw.Rows = append(draw.Rows, plotRow{fact(capital(name(f)), ref...), r.low.InexactFloat64(), r.typical.InexactFloat64(), r.high.InexactFloat64(), span(r.low.StringFixed(2), r.high.StringFixed(2)) + " : 1"})
		}
	}
	blocks := []block{saying(plain("Meat and organs hold far more phosphorus than calcium; bone makes up for it. While an animal eats no bone, the calcium has to be added, and by weight, not by the spoon.")), {Table: t}}
	beside := &table{Caption: "Foods with and without bone", Columns: []said{plain("Food"), plain("Calcium to phosphorus")}}
	for _, r := range draw.Rows {
		beside.Rows = append(beside.Rows, row{Head: said{Text: r.Label.Text}, Cells: []para{{said{Text: r.Value}}}, Refs: r.Label.Refs})
	}
	blocks = append(blocks, block{Table: beside}, block{Plot: draw})
	tips := []para{
		{plain("Stop adding it once bone is eaten in its share: too much is not better.")},
	}
	if st, ok := log.PaleCrumbly.Stool(); ok {
		tips = append(tips, para{plain("The ratio alone cannot show too much bone, since bone itself lies above the range aimed at."),
			fact(fmt.Sprintf("Watch the stools: %s means %s; %s.", st.Looks, st.Likely, st.Do), st.Ref)})
	}
	if pca, ok := shell.Nutrient(prey.Calcium); ok {
		tips = append(tips, para{fact(fmt.Sprintf("Eggshell powder holds %s mg of calcium in each gram; its phosphorus is taken as none.", pca.At[prey.Typical].Decimal().Shift(-2)), pca.Ref)})
	}
	if pca, ok := meal.Nutrient(prey.Calcium); ok {
		if pp, ok := meal.Nutrient(prey.Phosphorus); ok {
			tips = append(tips, para{fact(fmt.Sprintf("Bone meal holds phosphorus too (%s mg calcium and %s mg phosphorus in each gram), so its dose is another. Use only what is sold as food.", pca.At[prey.Typical].Decimal().Shift(-2), pp.At[prey.Typical].Decimal().Shift(-2)), pca.Ref, pp.Ref)})
		}
	}
	blocks = append(blocks, list(tips...))
	ids = []string{"calcium-without-bone", "ca-p-floor", "ca-p-practice"}
	if d.long {
		ids = append(ids, "calcium-least", "calcium-least-growth", "calcium-most-dog", "calcium-most")
	}
	return append(blocks, d.ruleTable("What a week is held to", ids...))
}

func quotient(a, b prey.Density) decimal.Decimal {
	return a.Decimal().DivRound(b.Decimal(), 2)
}

// caP is a food's calcium to phosphorus over its cases.
type caP struct{ low, typical, high decimal.Decimal }

func ratioOf(f *prey.Food) (caP, []cite.Ref, bool) {
	ca, ok := f.Nutrient(prey.Calcium)
	p, ok2 := f.Nutrient(prey.Phosphorus)
	if !ok || !ok2 || slices.Min(p.At[:]) <= 0 {
		return caP{}, nil, false
	}
	var r [prey.NumCases]decimal.Decimal
	for c := range r {
		r[c] = quotient(ca.At[c], p.At[c])
	}
	out := caP{decimal.Min(r[0], r[1:]...), r[prey.Typical], decimal.Max(r[0], r[1:]...)}
	return out, []cite.Ref{derived("calcium / phosphorus", ca.Ref, p.Ref)}, true
}
