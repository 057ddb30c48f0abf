package log

import (
	"strings"
	"testing"

	"fitchet.example/ration"
	"fitchet.example/ration/internal/given"
	"fitchet.example/units"
)

func home(tb testing.TB) *ration.Household {
	tb.Helper()
	h, _, err := ration.LoadHousehold("home.yaml", strings.NewReader(given.Household), given.Foods(tb))
	if err != nil {
		tb.Fatal(err)
	}
	return h
}

func ferret(sex ration.Sex, m units.Mass) *ration.Animal {
	return &ration.Animal{ID: "a", Sex: sex, Mass: m, Stage: ration.Adult}
}
