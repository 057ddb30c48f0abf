package safety

import (
	"fmt"
	"strings"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// openYAML parses a file and returns the list under its one key.
func openYAML(path, text, key string) (*strict.Doc, strict.Map, []strict.Node) {
	doc := strict.Parse(path, []byte(text))
	root := doc.Root().Map()
	return doc, root, root.Get(key).List()
}

// list reads an optional list of texts through a parser.
func list[T any](m strict.Map, key string, parse func(string) (T, error)) []T {
	n, ok := m.Opt(key)
	if !ok {
		return nil
	}
	return strict.Each(n, parse)
}

// refs reads the required evidence, one text or a list of them.
func refs(m strict.Map, reg *cite.Registry) []cite.Ref {
	n := m.Get("evidence")
	var out []cite.Ref
	if n.Kind() == strict.List {
		if out = strict.Each(n, checkedRef(reg)); len(n.List()) == 0 {
			n.Fail("at least one piece of evidence is needed")
		}
		return out
	}
	if ref, ok := strict.Read(n, checkedRef(reg)); ok {
		out = append(out, ref)
	}
	return out
}

func (b *Book) readLimits(path, text string) error {
	doc, root, nodes := openYAML(path, text, "limits")
	seen := map[string]bool{}
	for _, n := range nodes {
		m := n.Map()
		var r limitRule
		r.limit.ID = strict.Value(m, "id", ident)
		if r.limit.ID != "" && seen[r.limit.ID] {
			m.Get("id").Fail("%s is already the id of another limit", r.limit.ID)
		}
		seen[r.limit.ID] = true
		r.limit.Name = m.Text("name")
		r.limit.Length = strict.Value(m, "hours", positivePeriod)
		r.limit.LessThan = m.Bool("less-than", false)
		r.limit.Binds = m.Text("binds")
		r.limit.Condition = m.Text("condition")
		r.limit.Ref = strict.Value(m, "evidence", limitRef(b.reg))
		bound := func(key string) *Bound {
			if v, ok := strict.OptValue(m, key, ParseBound); ok {
				return &v
			}
			return nil
		}
		r.startMost, r.roomMost, r.roomOver = bound("start-at-most"), bound("room-at-most"), bound("room-over")
		r.withoutRoom = m.Bool("without-room", false)
		r.once = m.Bool("once", false)
		r.after = list(m, "after", parseClockKind)
		r.forms = list(m, "forms", ParseForm)
		r.retired = m.OptText("retired")
		m.Done()
		b.limits = append(b.limits, r)
	}
	if len(nodes) == 0 {
		root.Node().Fail("no limits")
	}
	root.Done()
	return doc.Err()
}

// limitRef refuses everything but published evidence: practice, our choice and
// our arithmetic never become a limit.
func limitRef(reg *cite.Registry) func(string) (cite.Ref, error) {
	return func(s string) (cite.Ref, error) {
		ref, err := checkedRef(reg)(s)
		if err == nil && ref.Evidence != cite.Published {
			err = fmt.Errorf("a limit must be published, this is %s", ref.Evidence)
		}
		return ref, err
	}
}

func positivePeriod(s string) (time.Duration, error) {
	d, err := ParsePeriod(s)
	if err == nil && d <= 0 {
		err = fmt.Errorf("period %q: %w: it must be longer than nothing", clip(s), ErrPeriod)
	}
	return d, err
}

func parseClockKind(s string) (TimeWarmKind, error) {
	for _, k := range ClockKinds() {
		if k.String() == s {
			return k, nil
		}
	}
	return 0, fmt.Errorf("clock %q: want earlier, thawing, preparing, bowl or stash", clip(s))
}

func (b *Book) readPractice(path, text string) error {
	return readTable(path, text, b.reg, "forms,low,high,words,evidence", func(r row) {
		var p practiceRow
		for _, w := range r.words("forms") {
			f, err := ParseForm(w)
			if err != nil {
				r.Fail("forms", "%w", err)
			}
			p.forms = append(p.forms, f)
		}
		p.low, p.high = cell(r, "low", positivePeriod), cell(r, "high", positivePeriod)
		if p.low > p.high {
			r.Fail("high", "high is below low")
		}
		p.words = r.Text("words")
		if p.ref = r.ref("evidence"); p.ref.Evidence != cite.Practice {
			r.Fail("evidence", "a band is practice; a published limit belongs to limits.yaml")
		}
		b.practice = append(b.practice, p)
	})
}

func (b *Book) readLivers(path, text string) error {
	seen := unique{}
	return readTable(path, text, b.reg, "species,name,iu_per_100g,share_to_cat_max,evidence", func(r row) {
		l := Liver{Species: cell(r, "species", ident), Name: r.Text("name"), Ref: r.ref("evidence")}
		seen.add(r, "name", l.Name)
		l.IU = cell(r, "iu_per_100g", wholeNumber)
		l.ShareToCatMaximum = cell(r, "share_to_cat_max", units.ParseShare)
		a, err := b.words.Animal(l.Species)
		if err != nil && l.Species != "" {
			r.Fail("species", "%w", err)
		}
		l.animal = a.Name
		l.amount = fmt.Sprintf("%s liver %d IU vitamin A per 100 g, the cat maximum at about %s of the food", l.Name, l.IU, l.ShareToCatMaximum.InPercent(0))
		b.livers = append(b.livers, l)
	})
}

func wholeNumber(s string) (int, error) {
	n := 0
	if s == "" || len(s) > 9 {
		return 0, fmt.Errorf("%q is not a whole number", clip(s))
	}
	for _, c := range s {
		if c < '0' || c > '9' {
			return 0, fmt.Errorf("%q is not a whole number", clip(s))
		}
		n = n*10 + int(c-'0')
	}
	return n, nil
}

func (b *Book) knownTag(s string) (string, error) {
	if _, err := b.words.Tag(s); err != nil {
		return "", fmt.Errorf("tag %w", err)
	}
	return s, nil
}

func (b *Book) knownClass(s string) (string, error) {
	if _, err := b.words.Group(s); err != nil {
		return "", fmt.Errorf("class %w", err)
	}
	return s, nil
}

func (b *Book) readHazards(path, text string) error {
	doc, root, nodes := openYAML(path, text, "hazards")
	seen := map[string]bool{}
	for _, n := range nodes {
		m := n.Map()
		var r hazardRule
		h := &r.hazard
		h.ID = strict.Value(m, "id", ident)
		if h.ID != "" && seen[h.ID] {
			m.Get("id").Fail("%s is already the id of another hazard", h.ID)
		}
		seen[h.ID] = true
		h.Name, h.Sentence, h.Do = m.Text("name"), m.Text("sentence"), m.Text("do")
		h.Severity = strict.Value(m, "gravity", ParseSeverity)
		h.Amount = m.OptText("amount")
		h.ShownIn = list(m, "shown-in", plainWords)
		h.Evidence = refs(m, b.reg)
		r.open = m.Bool("open", false)
		if from := m.OptText("amount-from"); from == "liver" {
			r.liver = true
		} else if from != "" {
			m.Get("amount-from").Fail("%q is no table of amounts; there is liver", clip(from))
		}
		entries := m.Get("when").List()
		for _, e := range entries {
			r.when = append(r.when, b.readWhen(e))
		}
		if len(entries) == 0 {
			m.Node().Fail("when needs at least one entry")
		}
		m.Done()
		b.hazards = append(b.hazards, r)
	}
	root.Done()
	return doc.Err()
}

func (b *Book) readWhen(n strict.Node) when {
	m := n.Map()
	w := when{
		tags:          list(m, "tags", b.knownTag),
		classes:       list(m, "classes", b.knownClass),
		unless:        list(m, "unless", b.knownTag),
		unlessClasses: list(m, "unless-classes", b.knownClass),
	}
	if _, ok := m.Opt("wild"); ok {
		w.wild = yes
		if !m.Bool("wild", true) {
			w.wild = no
		}
	}
	w.share, _ = strict.OptValue(m, "share-at-least", units.ParseShare)
	w.notice, _ = strict.OptValue(m, "notice", noticeWords.Parse)
	w.state, _ = strict.OptValue(m, "state", stateWords.Parse)
	if (w.notice == 0) != (w.state == 0) {
		n.Fail("notice and state go together")
	}
	if len(w.tags) == 0 && len(w.classes) == 0 && w.notice == 0 {
		n.Fail("an entry needs tags, classes or a notice; otherwise it would fit every food")
	}
	m.Done()
	return w
}

func plainWords(s string) (string, error) {
	if s = strings.TrimSpace(s); s == "" {
		return "", fmt.Errorf("nothing written")
	}
	return s, nil
}
