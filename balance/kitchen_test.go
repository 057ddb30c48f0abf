package balance_test

import (
	"embed"
	"fmt"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// The kitchen of the tests: a small catalogue whose soft rows are those of USDA
// SR28 by NDB number, so that worked tables can be followed by hand, and a few
// foods made up so that a bound can be met exactly.
//
//go:embed testdata/kitchen/*.csv
var kitchenData embed.FS

func kitchenFiles() map[string]string {
	files := map[string]string{}
	for _, name := range []string{"foods.csv", "parts.csv", "nutrients.csv", "extra.csv", "bone.csv"} {
		text, err := kitchenData.ReadFile("testdata/kitchen/" + name)
		if err != nil {
			panic(err)
		}
		files[name] = string(text)
	}
	return files
}

// boneRows writes bone.csv: one bone for all animals, on either basis, so that the
// arithmetic of the tests stays plain.
func boneRows(figures ...string) string {
	var b strings.Builder
	b.WriteString("kind,basis,for,nutrient,low,typical,high,unit,ref\n")
	for _, basis := range []string{"refuse", "clean"} {
		for _, f := range figures {
			fmt.Fprintf(&b, "%s-bone,%s,poultry;large-bone;lagomorph;rodent,%s\n", basis, basis, f)
		}
	}
	return b.String()
}

// foodRows writes foods.csv from "column=value" words, with _ for a blank. A row
// without evidence is made up for the tests.
func foodRows(rows ...string) string {
	columns := strings.Split("id,name,synonyms,species,contains,kind,cut,slot,anatomy,colour,bone_in,complete,piece_name,piece_low,piece_typical,piece_high,piece_ref,hazards,energy,energy_ref,note,ref", ",")
	var b strings.Builder
	b.WriteString(strings.Join(columns, ",") + "\n")
	for _, row := range rows {
		values := map[string]string{"ref": "choice: made up"}
		for word := range strings.FieldsSeq(row) {
			key, value, _ := strings.Cut(word, "=")
			values[key] = strings.ReplaceAll(value, "_", " ")
		}
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = values[c]
		}
		b.WriteString(strings.Join(cells, ",") + "\n")
	}
	return b.String()
}

func load(t testing.TB, files map[string]string) *prey.Catalogue {
	t.Helper()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	c, err := prey.Load(fsys, reg)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// kitchen holds what every test needs, read once.
type kitchen struct {
	foods  *prey.Catalogue
	book   *balance.Book
	screen *safety.HazardCheck
}

var setUp = sync.OnceValues(func() (kitchen, error) {
	reg, err := cite.Shipped()
	if err != nil {
		return kitchen{}, err
	}
	fsys := fstest.MapFS{}
	for name, text := range kitchenFiles() {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var k kitchen
	if k.foods, err = prey.Load(fsys, reg); err != nil {
		return k, err
	}
	if k.book, err = balance.Shipped(); err != nil {
		return k, err
	}
	k.screen, err = safety.NewHazardCheck(nil, k.foods, safety.Context{})
	return k, err
})

func open(t testing.TB) kitchen {
	t.Helper()
	k, err := setUp()
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func (k kitchen) food(t testing.TB, id string) *prey.Food {
	t.Helper()
	f, err := k.foods.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// ferret is a healthy adult of that weight.
func ferret(id string, sex ration.Sex, grams int64) ration.Animal {
	return ration.Animal{ID: id, Name: id, Species: ration.Ferret, Sex: sex, Mass: units.Mass(grams) * units.Gram, Stage: ration.Adult}
}

// rescue is the household of the tests.
func rescue(animals ...ration.Animal) *ration.Household {
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day0, Start: day0, Animals: animals}
	return h
}

var day0 = units.Date(20800)

// week makes a plan from lines such as
//
//	1.1 bramble moss: thigh 57 g, liver 3 g
//
// which is day 1, meal 1, for bramble and moss. A line "1-7.1" stands on every
// day. A mass may be followed by xN for pieces and by the form in brackets.
func (k kitchen) week(t testing.TB, days int, lines ...string) *ration.Plan {
	t.Helper()
	p := &ration.Plan{Household: "Brackenford Ferret Rescue", Start: day0, Days: make([]ration.Day, days)}
	for d := range p.Days {
		p.Days[d].Date = day0.AddDays(d)
	}
	for _, line := range lines {
		head, body, ok := strings.Cut(line, ":")
		if !ok {
			t.Fatalf("line %q has no colon", line)
		}
		words := strings.Fields(head)
		span, slotText, _ := strings.Cut(words[0], ".")
		from, to, isSpan := strings.Cut(span, "-")
		if !isSpan {
			to = from
		}
		slot := 1
		if slotText != "" {
			slot = atoi(t, slotText)
		}
		for d := atoi(t, from); d <= atoi(t, to); d++ {
			m := ration.Meal{Slot: slot, For: words[1:]}
			for part := range strings.SplitSeq(body, ",") {
				m.Servings = append(m.Servings, k.serving(t, strings.TrimSpace(part)))
			}
			p.Days[d-1].Meals = append(p.Days[d-1].Meals, m)
		}
	}
	return p
}

func (k kitchen) serving(t testing.TB, text string) ration.Serving {
	t.Helper()
	var s ration.Serving
	if before, form, ok := strings.Cut(text, "("); ok {
		text = strings.TrimSpace(before)
		f, err := safety.ParseForm(strings.TrimSuffix(form, ")"))
		if err != nil {
			t.Fatal(err)
		}
		s.Form = f
	}
	id, amount, _ := strings.Cut(text, " ")
	if mass, n, ok := strings.Cut(amount, " x"); ok {
		amount = mass
		s.Pieces = int64(atoi(t, n))
	}
	m, err := units.ParseMass(amount)
	if err != nil {
		t.Fatal(err)
	}
	s.Food, s.Mass = k.food(t, id), m
	return s
}

func atoi(t testing.TB, s string) int {
	t.Helper()
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' {
			t.Fatalf("%q is not a number", s)
		}
		n = 10*n + int(c-'0')
	}
	return n
}

func (k kitchen) audit(t testing.TB, in balance.Input) *balance.Report {
	t.Helper()
	if in.Book == nil {
		in.Book = k.book
	}
	if in.HazardCheck == nil {
		in.HazardCheck = k.screen
	}
	r, err := balance.Audit(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// one returns the only finding of a rule.
func one(t testing.TB, r *balance.Report, id string) *balance.Finding {
	t.Helper()
	f := r.Find(id)
	if len(f) != 1 {
		t.Fatalf("rule %s: %d findings, want 1", id, len(f))
	}
	return &f[0]
}
