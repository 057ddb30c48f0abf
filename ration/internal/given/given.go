// Package given is what the tests of the rooms of ration start from.
package given

import (
	"testing"

	"fitchet.example/prey"
	"fitchet.example/units"
)

// Foods is a small catalogue of invented figures, so that the tests here do not hang on the shipped one.
func Foods(tb testing.TB) *prey.Catalogue {
	tb.Helper()
	piece := func(low, mid, high units.Mass) units.Range[units.Mass] {
		return units.Range[units.Mass]{Low: low * units.Gram, Typical: mid * units.Gram, High: high * units.Gram}
	}
	bone := func(low, mid, high units.Share) (s [prey.NumCases][prey.NumParts]units.Share) {
		for c, b := range []units.Share{low, mid, high} {
			s[c][prey.Bone], s[c][prey.Muscle] = b*10_000, units.Whole-b*10_000
		}
		return s
	}
	all := func(p prey.Part) (s [prey.NumCases][prey.NumParts]units.Share) {
		for c := range s {
			s[c][p] = units.Whole
		}
		return s
	}
	c, err := new(prey.Catalogue).With([]prey.Food{
		{ID: "chicken-wing", Name: "chicken wing", Species: "chicken", BoneIn: true, Colour: prey.White, PartsKnown: true, Shares: bone(31, 38, 46), Piece: piece(80, 100, 120), PieceName: "wing"},
		{ID: "chicken-thigh", Name: "chicken thigh, boneless", Species: "chicken", Colour: prey.White, PartsKnown: true, Shares: all(prey.Muscle)},
		{ID: "beef-heart", Name: "beef heart", Species: "beef", Kind: prey.OrganMeat, Colour: prey.Red, PartsKnown: true, Shares: all(prey.Heart)},
		{ID: "beef-liver", Name: "beef liver", Species: "beef", Kind: prey.OrganMeat, Colour: prey.Red, PartsKnown: true, Shares: all(prey.Liver)},
		{ID: "mouse", Name: "mouse", Species: "mouse", Kind: prey.WholePrey, Complete: true, Piece: piece(18, 25, 30), PieceName: "mouse"},
		{ID: "turkey-mix", Name: "turkey mix", Kind: prey.Mix, Contains: []string{"turkey"}},
	})
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// Food is one of them.
func Food(tb testing.TB, id string) *prey.Food {
	tb.Helper()
	f, err := Foods(tb).Find(id)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// Date reads a date.
func Date(tb testing.TB, s string) units.Date {
	tb.Helper()
	d, err := units.ParseDate(s)
	if err != nil {
		tb.Fatal(err)
	}
	return d
}

// Mass reads a mass.
func Mass(tb testing.TB, s string) units.Mass {
	tb.Helper()
	m, err := units.ParseMass(s)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

// Household is the file of a small household that eats of them.
const Household = `household: Brackenford Ferret Rescue
as-of: 2026-11-25
start: 2026-11-30
room: 19 °C
region: Northern Fells
freezer: -18 °C
waking: 06:30-22:30
people-at-risk: true
style: assembled
animals:
  - id: bramble
    name: Bramble
    sex: jill
    weight: 780 g
    born: 2023-05-01
    neutered: true
    group: upstairs
    never: [beef liver, mouse]
  - id: moss
    sex: hob
    weight: 1.4 kg
    age: 6 years
    stage: senior
    conditions: [insulinoma]
    longest-gap: 3 h 30 min
    group: upstairs
  - id: pip
    sex: jill
    weight: 300 g
    age: 9 weeks
stock:
  - {food: chicken wing, pieces: 12, best-before: 2026-11-01, supplier: Hill Farm, lot: A7, cost: 4.80 EUR}
  - {food: beef heart, mass: 1 lb 4 oz, frozen: 2026-10-30}
offers:
  - {food: beef liver, pack: 500 g, price: 2.50 EUR, max: 4}
`
