package balance

import (
	"fmt"
	"math/big"
	"strconv"

	"fitchet.example/units"
	"fitchet.example/units/say"

	"github.com/shopspring/decimal"
)

// scale is how bounds and figures are read and shown.
type scale struct {
	parse  func(*Rule, string) (int64, error)      // a bound, as files write it
	bound  func(text string, v int64) string       // a bound as written, for people
	moved  func(*Rule, int64) string               // a bound that was worked out
	steps  func(*Rule) (per *big.Rat, unit string) // how many steps of the bound's unit make one displayed unit
	show   func(d decimal.Decimal, unit string) string
	places int32 // of decimals
}

// threeFigures is as many decimals as show three figures that matter.
const threeFigures = -1

var (
	inCounts = scale{parseCount, asWritten, func(_ *Rule, v int64) string { return fmt.Sprint(v) }, per(1, ""), withUnit, threeFigures}
	inShares = scale{func(_ *Rule, s string) (int64, error) {
		v, err := units.ParseShare(s)
		return int64(v), err
	}, asWritten, func(_ *Rule, v int64) string { return units.Share(v).String() }, per(int64(units.Whole)/100, "%"), withUnit, 1}
	// Masses are shown in both systems.
	inMasses = scale{func(_ *Rule, s string) (int64, error) {
		v, err := units.ParseMass(s)
		return int64(v), err
	}, func(_ string, v int64) string { return units.Mass(v).InBoth() },
		func(_ *Rule, v int64) string { return units.Mass(v).InGrams(0) },
		per(int64(units.Gram), "g"), inOunces, 1}
	inEnergy = scale{parseCount, asWritten, func(_ *Rule, v int64) string { return fmt.Sprint(v) }, per(10, "kcal"), withUnit, 1}
)

// Scales: num x scale / den in the unit of the bounds.
const (
	shareScale  = uint64(units.Whole)
	ratioScale  = 1_000_000_000
	energyScale = 1_000_000_000_000 // per 1000 kcal, in billionths
	dryScale    = 1_000_000_000_000 // 1e-12 of dry matter
)

// per is a displayed unit of so many steps.
func per(steps int64, unit string) func(*Rule) (*big.Rat, string) {
	return func(*Rule) (*big.Rat, string) { return new(big.Rat).SetInt64(steps), unit }
}

func asWritten(text string, _ int64) string { return text }

func withUnit(d decimal.Decimal, unit string) string {
	if unit == "" {
		return d.String()
	}
	return d.String() + " " + unit
}

func inOunces(d decimal.Decimal, _ string) string {
	if mass, err := units.NewMass(d.Abs()); err == nil {
		return d.String() + " g (" + mass.InOunces(1) + ")"
	}
	return d.String() + " g"
}

func parseCount(_ *Rule, s string) (int64, error) {
	n, err := strconv.ParseUint(s, 10, 16)
	if err != nil {
		return 0, fmt.Errorf("count %q: want a whole number", say.Clip(s))
	}
	return int64(n), nil
}
