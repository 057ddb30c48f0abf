package units_test

import (
	"errors"
	"fmt"

	"fitchet.example/units"
	"fitchet.example/units/wide"
)

func ExampleParseMass() {
	for _, text := range []string{"57 g", "1.2 kg", "2 oz", "1 1/2 oz", "1 lb 4 oz"} {
		m, err := units.ParseMass(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s = %s, about %s or %s\n", text, m, m.InGrams(0), m.InOunces(1))
	}
	// Output:
	// 57 g = 57 g, about 57 g or 2.0 oz
	// 1.2 kg = 1200 g, about 1200 g or 42.3 oz
	// 2 oz = 56.69904625 g, about 57 g or 2.0 oz
	// 1 1/2 oz = 42.5242846875 g, about 43 g or 1.5 oz
	// 1 lb 4 oz = 566.9904625 g, about 567 g or 20.0 oz
}

func ExampleParseMass_refused() {
	for _, text := range []string{"57", "57 stone", "1/3 oz", "-5 g", "1,200 g"} {
		_, err := units.ParseMass(text)
		fmt.Println(err)
	}
	// Output:
	// mass "57": no unit: after the number comes mg, g, kg, oz or lb
	// mass "57 stone": unknown unit: after the number comes mg, g, kg, oz or lb
	// mass "1/3 oz": finer than can be held exactly: grams are held to twelve decimals, ounces to three
	// mass "-5 g": negative
	// mass "1,200 g": not in the expected form: write a plain number, one space and the unit
}

func ExampleParseError() {
	_, err := units.ParseTemperature("21")
	var pe *units.ParseError
	if errors.As(err, &pe) && errors.Is(err, units.ErrNoUnit) {
		fmt.Printf("which %s is %q?\n", pe.What, pe.Text)
	}
	// Output: which temperature is "21"?
}

// The same quantities of 37 g rounded one by one would make 38 g.
func ExampleSplitMass() {
	parts, err := units.SplitMass(37*units.Gram, units.Gram, []int64{70, 10, 5, 5, 10})
	fmt.Println(parts, err)
	// Output: [26 g 4 g 2 g 2 g 3 g] <nil>
}

func ExampleSplit() {
	fmt.Println(units.Split(7, []int64{50, 30, 20}))
	// Output: [4 2 1] <nil>
}

// 40 °F (USDA FSIS, advice to consumers) and 41 °F (US FDA Food Code) are two
// limits, and neither becomes the other by being written down.
func ExampleTemperature() {
	advice, code := units.DegreesF(40), units.DegreesF(41)
	fmt.Println(advice, code, advice < code)
	fmt.Println(advice.InCelsius(1), code.InCelsius(1))
	// Output:
	// 40 °F 5 °C true
	// 4.4 °C 5.0 °C
}

func ExampleRange() {
	bone := units.Range[units.Share]{Low: 310_000, Typical: 390_000, High: 460_000}
	fmt.Println(bone.Low, bone.High, bone.Valid(), bone.IsPoint(), bone.Contains(units.Whole/2))
	// Output: 31 % 46 % true false false
}

func ExampleDate() {
	start, _ := units.ParseDate("2026-11-25")
	for day := range 3 {
		d := start.AddDays(day)
		fmt.Println(d, d.Weekday())
	}
	// Output:
	// 2026-11-25 Wednesday
	// 2026-11-26 Thursday
	// 2026-11-27 Friday
}

func ExamplePrice_Add() {
	a, _ := units.ParsePrice("4.50 EUR")
	b, _ := units.ParsePrice("1.20 GBP")
	fmt.Println(a.Add(a))
	_, err := a.Add(b)
	fmt.Println(err)
	// Output:
	// 9.00 EUR <nil>
	// adding 4.50 EUR and 1.20 GBP: different currencies
}

// ShareOf is for showing. A verdict compares the masses themselves: here the
// share shows as 15 % and is above 15 % all the same.
func ExampleShareOf() {
	part, whole := 15*units.Gram+1, 100*units.Gram
	fmt.Println(units.ShareOf(part, whole))
	fmt.Println(wide.Mul(uint64(part), 100).Cmp(wide.Mul(uint64(whole), 15)))
	// Output:
	// 15 %
	// 1
}

// Energy is estimated for people and printed by makers of food in two units.
func ExampleParseEnergy() {
	for _, text := range []string{"120 kcal", "500 kJ", "120"} {
		e, err := units.ParseEnergy(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s is %s\n", text, e.InKcal(1))
	}
	// Output:
	// 120 kcal is 120.0 kcal
	// 500 kJ is 119.5 kcal
	// energy "120": no unit: after the number comes kcal or kJ
}

func ExampleParseVolume() {
	for _, text := range []string{"150 mL", "1/8 tsp", "2 oz"} {
		v, err := units.ParseVolume(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(text, "is", v)
	}
	// Output:
	// 150 mL is 150 mL
	// 1/8 tsp is 0.61611519921875 mL
	// volume "2 oz": unknown unit: after the number comes mL, L, tsp, tbsp, fl oz or cup
}

func ExampleParseShare() {
	low, _ := units.ParseShare("10 %")
	high, _ := units.ParseShare("12.5 %")
	fmt.Println(low, high, low < high)
	_, err := units.ParseShare("10")
	fmt.Println(err)
	// Output:
	// 10 % 12.5 % true
	// share "10": no unit: after the number comes %
}

func ExampleParseTemperature() {
	fridge, _ := units.ParseTemperature("5 °C")
	room, _ := units.ParseTemperature("72 °F")
	fmt.Println(fridge < room, room.InCelsius(1))
	// Output:
	// true 22.2 °C
}

func ExampleParsePrice() {
	p, err := units.ParsePrice("6.50 EUR")
	fmt.Println(p, err)
	_, err = units.ParsePrice("6,50 €")
	fmt.Println(err)
	// Output:
	// 6.50 EUR <nil>
	// price "6,50 €": not in the expected form: write a plain number, one space and the unit
}

func ExampleParseDate() {
	_, err := units.ParseDate("2026-02-30")
	fmt.Println(err)
	// Output:
	// date "2026-02-30": out of range: the calendar has no such day
}
