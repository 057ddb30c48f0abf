package ration

import (
	"testing"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/wide"
)

// foods is a small catalogue of invented figures, so that the tests here do not hang on the shipped one.
func foods(tb testing.TB) *prey.Catalogue {
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

func food(tb testing.TB, id string) *prey.Food {
	tb.Helper()
	f, err := foods(tb).Find(id)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func date(tb testing.TB, s string) units.Date {
	tb.Helper()
	d, err := units.ParseDate(s)
	if err != nil {
		tb.Fatal(err)
	}
	return d
}

func mass(tb testing.TB, s string) units.Mass {
	tb.Helper()
	m, err := units.ParseMass(s)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

// wideOf is a mass as a part of a tally counts it: picograms times millionths.
func wideOf(m units.Mass) wide.U128 { return wide.Mul(uint64(m), uint64(units.Whole)) }
