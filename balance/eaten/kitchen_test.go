package eaten_test

import (
	"os"
	"sync"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// kitchen is that of the tests of package balance.
type kitchen struct {
	foods *prey.Catalogue
	book  *balance.Book
	check *safety.HazardCheck
}

var setUp = sync.OnceValues(func() (k kitchen, err error) {
	reg, err := cite.Shipped()
	if err != nil {
		return k, err
	}
	if k.foods, err = prey.Load(os.DirFS("../testdata/kitchen"), reg); err != nil {
		return k, err
	}
	if k.book, err = balance.Shipped(); err != nil {
		return k, err
	}
	k.check, err = safety.NewHazardCheck(nil, k.foods, safety.Context{})
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

func ferret(id string, sex ration.Sex, grams int64) ration.Animal {
	return ration.Animal{ID: id, Name: id, Species: ration.Ferret, Sex: sex, Mass: units.Mass(grams) * units.Gram, Stage: ration.Adult}
}

func rescue(animals ...ration.Animal) *ration.Household {
	return &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: day0, Start: day0, Animals: animals}
}

var day0 = units.Date(20800)
