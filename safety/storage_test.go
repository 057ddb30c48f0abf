package safety

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/units"
	"pgregory.net/rapid"
)

// Outside check: rows of the FoodKeeper data file, version 128, by row ID
// (fridge days, freezer months), eggs in weeks.
func TestFoodKeeperRows(t *testing.T) {
	t.Parallel()
	b := book(t)
	for _, c := range []struct {
		kind, at        string
		low, high       int
		freeze, freeze2 int
	}{
		{"ground-beef", "ID 43", 1, 2, 3, 4}, {"ground-lamb", "ID 50", 1, 2, 3, 4}, {"ground-poultry", "ID 115", 1, 2, 3, 4},
		{"liver", "ID 77", 1, 2, 3, 4}, {"giblets", "ID 130", 1, 2, 3, 4}, {"chicken-whole", "ID 113", 1, 2, 12, 12},
		{"turkey-whole", "ID 114", 1, 2, 12, 12}, {"chicken-breast", "ID 116", 1, 2, 9, 9}, {"thigh", "ID 118", 1, 2, 9, 9},
		{"turkey-parts", "ID 121", 1, 2, 9, 9}, {"duck", "ID 123", 1, 2, 6, 6}, {"goose", "ID 125", 1, 2, 6, 6},
		{"pheasant", "ID 126", 1, 2, 6, 6}, {"quail", "ID 127", 1, 2, 6, 6}, {"cornish hen", "ID 129", 1, 2, 12, 12},
		{"rabbit", "ID 595", 2, 2, 9, 9}, {"beef-steaks", "ID 40", 3, 5, 4, 12}, {"beef-stew", "ID 41", 3, 5, 4, 12},
		{"pork-roast", "ID 60", 3, 5, 4, 12}, {"goat-cuts", "ID 70", 3, 5, 4, 12}, {"pork-ribs", "ID 72", 3, 5, 4, 12},
		{"venison", "ID 76", 3, 5, 4, 12}, {"lean-fish", "ID 144", 1, 2, 6, 8}, {"lean-fish", "ID 145", 1, 2, 4, 8},
		{"salmon", "ID 146", 1, 2, 2, 3}, {"shrimp", "ID 151", 1, 3, 6, 18}, {"egg-raw-parts", "ID 22", 2, 4, 12, 12},
		{"egg", "ID 21", 21, 35, 0, 0},
	} {
		k, err := b.Keep(c.kind)
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(k.Rows, func(s Shelf) bool { return s.Dataset == "FoodKeeper v128" && strings.HasSuffix(s.Ref.At, c.at) })
		if i < 0 {
			t.Errorf("%s: no row %s", c.kind, c.at)
			continue
		}
		if s := k.Rows[i]; s.FridgeLow != c.low || s.FridgeHigh != c.high || s.FreezerLow != c.freeze || s.FreezerHigh != c.freeze2 {
			t.Errorf("%s: %+v, want %d to %d d, %d to %d months", c.kind, s, c.low, c.high, c.freeze, c.freeze2)
		}
		if k.Analogy != "" {
			t.Errorf("%s is listed and yet said to be an analogy", c.kind)
		}
	}
}

// Outside check: where the charts disagree both stand: fin fish 1 to 3 days
// (FoodSafety.gov), steaks 6 to 12 months (FDA 2018), lean fish 6 to 10 months
// in the file of 2015.
func TestDatasetsStandSideBySide(t *testing.T) {
	t.Parallel()
	b := book(t)
	fish, err := b.Keep("lean-fish")
	if err != nil {
		t.Fatal(err)
	}
	has := func(k Keeping, dataset string, fits func(Shelf) bool) {
		t.Helper()
		if !slices.ContainsFunc(k.Rows, func(s Shelf) bool { return s.Dataset == dataset && fits(s) }) {
			t.Errorf("%s: no such row of %s", k.Kind, dataset)
		}
	}
	has(fish, "FoodSafety.gov chart", func(s Shelf) bool { return s.FridgeHigh == 3 })
	has(fish, "FoodKeeper 2015", func(s Shelf) bool { return s.FreezerLow == 6 && s.FreezerHigh == 10 })
	red, err := b.Keep("red-meat-cuts")
	if err != nil {
		t.Fatal(err)
	}
	has(red, "FDA chart 2018", func(s Shelf) bool { return s.FreezerLow == 6 })
	has(red, "FoodSafety.gov chart", func(s Shelf) bool { return s.FreezerLow == 4 })
	// The shorter of the two last days is the one that counts.
	u, err := b.UseBy("lean-fish", Fridge, 100)
	if err != nil || u.Best != 101 || u.Last != 102 {
		t.Errorf("%+v %v", u, err)
	}
}

func TestUseBy(t *testing.T) {
	t.Parallel()
	b := book(t)
	day := func(s string) units.Date {
		d, err := units.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	for _, c := range []struct {
		kind       string
		where      Cold
		from       string
		best, last string
		says       string
	}{
		{"ground-beef", Fridge, "2026-11-25", "2026-11-26", "2026-11-27", "FoodKeeper v128"},
		{"ground-beef", Thawed, "2026-12-31", "2027-01-01", "2027-01-02", "FoodKeeper v128"},
		{"beef", Thawed, "2026-11-25", "2026-11-28", "2026-11-30", "FoodKeeper v128"},
		{"ground-beef", Frozen, "2026-11-30", "2027-02-28", "2027-03-30", "quality only"},
		{"ground-beef", Frozen, "2027-10-31", "2028-01-31", "2028-02-29", "quality only"},
		{"Mouse", Fridge, "2026-11-25", "2026-11-26", "2026-11-27", "no chart lists whole prey"},
		{"soup", Fridge, "2026-11-25", "2026-11-26", "2026-11-27", "no chart lists soup"},
	} {
		u, err := b.UseBy(c.kind, c.where, day(c.from))
		if err != nil || !u.Known || u.Best != day(c.best) || u.Last != day(c.last) || !strings.Contains(u.Words, c.says) || u.Quality != (c.where == Frozen) || len(u.Refs) == 0 {
			t.Errorf("%s %s from %s: %+v %v", c.kind, c.where, c.from, u, err)
		}
	}
	for _, c := range []struct {
		kind  string
		where Cold
		says  string
	}{{"soaked-dry-food", Fridge, "no published figure for soaked dry food"}, {"oil", Frozen, "no figure"}, {"egg", Frozen, "no figure"}, {"rabbit", Thawed, "no figure"}} {
		if u, err := b.UseBy(c.kind, c.where, 0); err != nil || u.Known || !strings.Contains(u.Words, c.says) {
			t.Errorf("%s: %+v %v", c.kind, u, err)
		}
	}
	if _, err := b.UseBy("unicorn", Fridge, 0); !errors.Is(err, ErrKind) {
		t.Error(err)
	}
	if _, err := b.UseBy("rabbit", 0, 0); !errors.Is(err, ErrKind) {
		t.Error(err)
	}
}

// Outside check: Nebraska and Illinois extension sheets (which restate USDA):
// 24 h for each 4 to 5 lb, at least 24 h for 1 lb of mince; cold water up to 1 h
// for 1 lb, 2 to 3 h for 3 to 4 lb, 30 min a pound for a turkey.
func TestThawingTimes(t *testing.T) {
	t.Parallel()
	b := book(t)
	for _, c := range []struct {
		m         ThawMethod
		lb        int64
		low, high time.Duration
		refreeze  bool
	}{
		{InFridge, 1, 24 * time.Hour, 24 * time.Hour, true},
		{InFridge, 4, 24 * time.Hour, 24 * time.Hour, true},
		{InFridge, 20, 96 * time.Hour, 120 * time.Hour, true},
		{ColdWater, 1, 0, time.Hour, false},
		{ColdWater, 3, 2 * time.Hour, 3 * time.Hour, false},
		{ColdWater, 4, 2 * time.Hour, 3 * time.Hour, false},
		{ColdWater, 12, 6 * time.Hour, 6 * time.Hour, false},
	} {
		m, err := units.Pound.Times(c.lb)
		if err != nil {
			t.Fatal(err)
		}
		got, err := b.Thaw(c.m, m)
		if err != nil || got.Low != c.low || got.High != c.high || got.Refreeze != c.refreeze || got.AtOnce == c.refreeze || !got.Allowed {
			t.Errorf("%s, %d lb: %+v %v", c.m, c.lb, got, err)
		}
	}
	if got, err := b.Thaw(OnCounter, units.Kilogram); err != nil || got.Allowed || got.Refreeze {
		t.Errorf("counter: %+v %v", got, err)
	}
	if _, err := b.Thaw(InFridge, 0); !errors.Is(err, ErrServing) {
		t.Error(err)
	}
	if _, err := b.Thaw(9, units.Kilogram); !errors.Is(err, ErrKind) {
		t.Error(err)
	}
}

func TestHeavierNeverThawsSooner(t *testing.T) {
	t.Parallel()
	b := book(t)
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom([]ThawMethod{InFridge, ColdWater}).Draw(t, "method")
		a := units.Mass(rapid.Int64Range(1, int64(maxThaw)).Draw(t, "a"))
		h := units.Mass(rapid.Int64Range(int64(a), int64(maxThaw)).Draw(t, "heavier"))
		x, err := b.Thaw(m, a)
		if err != nil {
			t.Fatal(err)
		}
		y, err := b.Thaw(m, h)
		if err != nil || y.Low < x.Low || y.High < x.High || x.Low > x.High {
			t.Fatalf("%s: %v to %v, %s: %v to %v, %v", a, x.Low, x.High, h, y.Low, y.High, err)
		}
	})
}

// Outside check: FSIS two-hour and one-hour rule, fridge bound 40 °F; Nebraska
// extension on refreezing.
func TestPowerCut(t *testing.T) {
	t.Parallel()
	r := func(s string) Reading { return reading(t, s) }
	for _, c := range []struct {
		name  string
		food  Reading
		above time.Duration
		room  Reading
		want  Thing
	}{
		{"cold still", r("40 °F"), 0, r("20 °C"), KeepIt},
		{"cold, time above not known", r("4.4 °C"), -1, r("20 °C"), KeepIt},
		{"just above, time not known", r("40.1 °F"), -1, Reading{}, Unclear},
		{"not measured", Reading{}, -1, Reading{}, Unclear},
		{"not measured, an hour above", Reading{}, time.Hour, Reading{}, Unclear},
		{"warm for two hours", r("50 °F"), 2 * time.Hour, r("20 °C"), UseNow},
		{"warm for more", r("50 °F"), 2*time.Hour + 1, r("20 °C"), ThrowOut},
		{"warm for more, cold again", r("38 °F"), 3 * time.Hour, r("20 °C"), ThrowOut},
		{"hot day", r("50 °F"), 90 * time.Minute, r("91 °F"), ThrowOut},
		{"not so hot day", r("50 °F"), 90 * time.Minute, r("90 °F"), UseNow},
	} {
		if d := PowerCut(c.food, c.above, c.room); d.Do != c.want || d.Words == "" || len(d.Refs) == 0 {
			t.Errorf("%s: %+v, want %s", c.name, d, c.want)
		}
	}
	for _, c := range []struct {
		m    ThawMethod
		out  time.Duration
		want Thing
	}{
		{InFridge, 0, KeepIt}, {InFridge, time.Hour, UseNow}, {InFridge, 3 * time.Hour, ThrowOut}, {InFridge, -1, Unclear},
		{ColdWater, 0, UseNow}, {OnCounter, 0, UseNow}, {OnCounter, 3 * time.Hour, ThrowOut}, {0, 0, Unclear},
	} {
		if d := Refreeze(c.m, c.out); d.Do != c.want || d.Words == "" {
			t.Errorf("refreezing, %s, %s out: %+v, want %s", c.m, c.out, d, c.want)
		}
	}
}

func TestMulDivUp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b, c, want int64
		ok            bool
	}{
		{6, 4, 3, 8, true}, {1, 1, 2, 1, true}, {7, 3, 2, 11, true}, {math.MaxInt64, 4, 8, 1 << 62, true},
		{math.MaxInt64, math.MaxInt64, 1, 0, false}, {math.MaxInt64, 2, 1, 0, false}, {0, 1, 1, 0, false}, {1, 1, 0, 0, false}, {1, -1, 1, 0, false},
	} {
		if got, ok := mulDivUp(c.a, c.b, c.c); ok != c.ok || ok && got != c.want {
			t.Errorf("%d x %d / %d: %d %v, want %d %v", c.a, c.b, c.c, got, ok, c.want, c.ok)
		}
	}
}
