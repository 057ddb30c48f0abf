package units

import "fmt"

// Temperature is a temperature in steps of 1/18000 °C above 0 °C. One step is a
// ten-thousandth of a degree Fahrenheit, so that three decimals of °C and four
// of °F are both exact: 40 °F and 41 °F, 4 °C and 5 °C are four temperatures.
type Temperature int64

const (
	perCelsius    = 18_000
	perFahrenheit = 10_000

	// AbsoluteZero (-273.15 °C) and MaxTemperature (400 °C, hotter than any
	// oven) bound what the parser accepts.
	AbsoluteZero   Temperature = -27315 * perCelsius / 100
	MaxTemperature Temperature = 400 * perCelsius
)

// DegreesC gives n °C, held to the range AbsoluteZero…MaxTemperature. It is for
// constants in code; text goes through ParseTemperature, which refuses instead.
func DegreesC(n int64) Temperature {
	return hold(min(max(n, -1000), 1000) * perCelsius)
}

// DegreesF gives n °F, held as DegreesC does.
func DegreesF(n int64) Temperature {
	return hold((min(max(n, -1000), 1000) - 32) * perFahrenheit)
}

func hold(v int64) Temperature { return min(max(Temperature(v), AbsoluteZero), MaxTemperature) }

// ParseTemperature reads "21 °C", "21 C", "70 °F", "70F", "-18 °C". Kelvin and
// bare numbers are refused.
//
// The error is a *ParseError around ErrSyntax, ErrNoUnit, ErrUnit, ErrTooFine
// (more than three decimals in °C or four in °F), ErrTooLong, ErrOverflow or
// ErrRange (below absolute zero or above 400 °C).
func ParseTemperature(s string) (Temperature, error) {
	k := kind{
		name: "temperature", units: "°C or °F", signed: true,
		steps: "°C are held to three decimals, °F to four",
	}
	t, err := parseTemperature(s, k)
	if err != nil {
		return 0, refuse(k, s, err)
	}
	return t, nil
}

func parseTemperature(s string, k kind) (Temperature, error) {
	n, name, err := scan(s, k)
	if err != nil {
		return 0, err
	}
	var v int64
	switch name {
	case "°C", "C":
		v, err = n.times(perCelsius)
	case "°F", "F":
		if v, err = n.times(perFahrenheit); err == nil {
			v, err = add("temperatures", v, -32*perFahrenheit)
		}
	default:
		return 0, ErrUnit
	}
	if err != nil {
		return 0, err
	}
	t := Temperature(v)
	if !t.inRange() {
		return 0, fmt.Errorf("%w: below absolute zero or above 400 °C", ErrRange)
	}
	return t, nil
}

func (t Temperature) inRange() bool { return AbsoluteZero <= t && t <= MaxTemperature }

// String writes the exact temperature: in °C when three decimals hold it ("5
// °C"), otherwise in °F ("40 °F"). ParseTemperature reads it back to the same
// temperature, unless it is out of range.
func (t Temperature) String() string {
	const step = perCelsius / 1000
	if !t.inRange() || t%step == 0 {
		return exactText(int64(t/step), 3) + " °C"
	}
	return exactText(int64(t)+32*perFahrenheit, 4) + " °F"
}

// InCelsius writes the temperature with that many decimals (0 to 4, others are
// held to the nearest of these), an exact half away from zero: "21 °C". Zero
// has no sign.
func (t Temperature) InCelsius(places int32) string {
	return roundedText(int64(t), perCelsius, places, 4) + " °C"
}

// InFahrenheit writes the temperature in °F, rounded as InCelsius does. A value
// out of range is held to the range first.
func (t Temperature) InFahrenheit(places int32) string {
	return roundedText(int64(hold(int64(t)))+32*perFahrenheit, perFahrenheit, places, 4) + " °F"
}

// Celsius gives the nearest float64, for estimates such as bacterial growth.
// Limits are compared as Temperature.
func (t Temperature) Celsius() float64 { return float64(t) / perCelsius }

// MarshalText writes what String writes; a temperature out of range is ErrRange.
func (t Temperature) MarshalText() ([]byte, error) {
	if !t.inRange() {
		return nil, fmt.Errorf("writing temperature %s: %w", t, ErrRange)
	}
	return []byte(t.String()), nil
}

// UnmarshalText reads what ParseTemperature reads.
func (t *Temperature) UnmarshalText(text []byte) error { return unmarshal(t, text, ParseTemperature) }
