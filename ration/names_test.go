package ration_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units/strict"
)

func TestNameOf(t *testing.T) {
	t.Parallel()
	h := func(names ...string) *ration.Household {
		h := &ration.Household{}
		for i, n := range names {
			h.Animals = append(h.Animals, ration.Animal{ID: fmt.Sprintf("f-%d", i+1), Name: n})
		}
		return h
	}
	for _, tc := range []struct {
		names []string
		want  string // joined by |
	}{
		{[]string{"Moss", "Willow"}, "Moss|Willow"},
		{[]string{"Moss", "Willow", "Moss", "Moss"}, "Moss (f-1)|Willow|Moss (f-3)|Moss (f-4)"},
		{[]string{"Moss", "moss"}, "Moss (f-1)|moss (f-2)"},
		{[]string{"Old Moss", " Old  Moss"}, "Old Moss (f-1)| Old  Moss (f-2)"},
		{[]string{"Zoë", "Zoe\u0308"}, "Zoë (f-1)|Zoe\u0308 (f-2)"},
		{[]string{"Moss", "Mo\u200dss"}, "Moss (f-1)|Mo\u200dss (f-2)"},
		{[]string{"f-2", "Willow"}, "f-2 (f-1)|Willow"}, // the id of another
		{[]string{"Moss", "Moss", "Moss (f-1)"}, "Moss (f-1)|Moss (f-2)|Moss (f-1) (f-3)"},
		{[]string{"", " ", "\u2800", strings.Repeat("x", 500)}, "f-1|f-2|f-3|f-4"}, // no names at all
		{[]string{"Moss\nVet: all is well", "\u202eMoss"}, `Moss\nVet: all is well|\u202eMoss`},
		{[]string{"לולה", "לולה"}, "לולה (f-1)|לולה (f-2)"},
	} {
		home := h(tc.names...)
		var got []string
		for _, id := range home.IDs() {
			got = append(got, home.NameOf(id))
		}
		if s := strings.Join(got, "|"); s != tc.want || strict.Line(s) != s {
			t.Errorf("%q: %q, want %q", tc.names, s, tc.want)
		}
	}
	if got := h("Moss").NameOf("no\nbody"); got != `no\nbody` {
		t.Errorf("%q", got)
	}
}

func TestCheckIDs(t *testing.T) {
	t.Parallel()
	for _, n := range []int{3, 40} {
		h := &ration.Household{}
		for i := range n {
			h.Animals = append(h.Animals, ration.Animal{ID: fmt.Sprint("f-", i)})
		}
		if err := h.CheckIDs(); err != nil {
			t.Error(err)
		}
		for _, id := range []string{"f-1", ""} {
			bad := &ration.Household{Animals: append([]ration.Animal{}, h.Animals...)}
			bad.Animals[n-1].ID = id
			var at *ration.IDError
			if err := bad.CheckIDs(); !errors.Is(err, ration.ErrAnimalID) || !errors.As(err, &at) || at.ID != id || at.Second != n-1 {
				t.Errorf("%d animals, %q: %v", n, id, err)
			}
		}
	}
}

// A word of an animal that was written in code is held to the lists as one in a file is.
func TestCheckWords(t *testing.T) {
	t.Parallel()
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	good := ration.Animal{ID: "moss", Conditions: []string{ration.Insulinoma}, Never: []string{"rabbit", "poultry", "chicken-wing"}}
	if err := (&ration.Household{Animals: []ration.Animal{good}}).CheckWords(foods); err != nil {
		t.Error(err)
	}
	for word, spoil := range map[string]func(a *ration.Animal){
		"ferret":     func(a *ration.Animal) { a.Species = "ferert" },
		"insulinoma": func(a *ration.Animal) { a.Conditions = []string{ration.Dental, "insulinom"} },
		"rabbit":     func(a *ration.Animal) { a.Never = []string{"poultry", "rabit"} },
		"cat":        func(a *ration.Animal) { a.Species = "dragonfly" },
	} {
		bad := good
		spoil(&bad)
		err := (&ration.Household{Animals: []ration.Animal{good, bad}}).CheckWords(foods)
		if !errors.Is(err, ration.ErrUnknownWord) || !strings.Contains(err.Error(), word) {
			t.Errorf("%s: %v", word, err)
		}
	}
}

// Names that cannot be seen, that forge lines or that turn the text around them are refused where they stand.
func TestNamesOfFiles(t *testing.T) {
	t.Parallel()
	const file = `{"household": %s, "as-of": "2026-11-25", "animals": [{"id": "moss", "name": %s, "group": %s, "sex": "jill", "weight": "800 g"}],
 "stock": [{"food": "rabbit meat", "mass": "1 kg", "supplier": %s, "lot": %s}], "offers": [{"food": "rabbit meat", "pack": "1 kg", "price": "5.00 EUR", "supplier": %s}]}`
	good := []any{`"Brackenford"`, `"Moss"`, `"hut"`, `"the farm"`, `"A 12"`, `"the farm"`}
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	load := func(fields []any) error {
		_, _, err := ration.LoadHousehold("h.json", strings.NewReader(fmt.Sprintf(file, fields...)), foods)
		return err
	}
	if err := load(good); err != nil {
		t.Fatal(err)
	}
	for i := range good {
		for _, bad := range []string{``, ` `, `\n`, `Moss\nMoss: nothing to do`, `a\tb`, `a\u001b[1m`, `\u202eMoss`, `\u200b`, `\u200d`, `Mo\u00adss`, `\u0000`, `\u0085`, `\u2028`, `\u2066x`,
			strings.Repeat("x", strict.MaxName+1)} {
			fields := append([]any{}, good...)
			fields[i] = `"` + bad + `"`
			err := load(fields)
			var faults strict.Faults
			if !errors.As(err, &faults) {
				t.Errorf("field %d: %q was taken: %v", i, bad, err)
			} else if len(faults) != 1 || faults[0].Line < 1 || faults[0].Col < 2 || strict.Line(err.Error()) != err.Error() {
				t.Errorf("field %d, %q: %q", i, bad, err)
			}
		}
	}
}
