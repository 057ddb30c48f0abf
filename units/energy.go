package units

import "github.com/shopspring/decimal"

// Energy is an exact amount of food energy in microjoules, up to about nine
// billion kJ: a figure off a label or out of a table. An estimate of what an
// animal needs is not an Energy until somebody rounds it and says how.
type Energy int64

// The kilocalorie is the thermochemical one, 4.184 kJ exactly: the tables of
// FEDIAF agree with this value and not with 4.1868.
const (
	Kilojoule   Energy = 1_000_000_000
	Kilocalorie Energy = 4_184_000_000
)

// ParseEnergy reads an amount in kcal or kJ: "250 kcal", "1046 kJ". "Cal" and
// "cal" are refused, because people mean a thousandfold by the capital letter.
//
// The error is a *ParseError around ErrSyntax, ErrNoUnit, ErrUnit, ErrNegative,
// ErrTooFine (all amounts in kcal to six decimals and in kJ to nine are exact),
// ErrTooLong or ErrOverflow.
func ParseEnergy(s string) (Energy, error) {
	k := kind{
		name: "energy", units: "kcal or kJ",
		steps: "kcal are held to six decimals, kJ to nine",
	}
	return parse(k, s, func(name string) Energy {
		switch name {
		case "kcal":
			return Kilocalorie
		case "kJ":
			return Kilojoule
		}
		return 0
	})
}

// Kilojoules gives the exact number of kilojoules.
func (e Energy) Kilojoules() decimal.Decimal { return decimal.New(int64(e), -9) }

// String writes the exact energy: in kcal when six decimals hold it, otherwise
// in kJ. ParseEnergy reads it back to the same energy, unless it is negative.
func (e Energy) String() string {
	const step = int64(Kilocalorie / 1_000_000)
	if int64(e)%step == 0 {
		return exactText(int64(e)/step, 6) + " kcal"
	}
	return exactText(int64(e), 9) + " kJ"
}

// InKcal writes the energy in kcal with that many decimals (0 to 9, others are
// held to the nearest of these), an exact half rounded up: "250 kcal".
func (e Energy) InKcal(places int32) string {
	return roundedText(int64(e), uint64(Kilocalorie), places, 9) + " kcal"
}

// InKJ writes the energy in kJ, 0 to 9 decimals, rounded as InKcal does.
func (e Energy) InKJ(places int32) string {
	return roundedText(int64(e), uint64(Kilojoule), places, 9) + " kJ"
}

// Add gives e + f, or ErrOverflow.
func (e Energy) Add(f Energy) (Energy, error) {
	v, err := add("energies", int64(e), int64(f))
	return Energy(v), err
}

// Times gives n times e, or ErrOverflow.
func (e Energy) Times(n int64) (Energy, error) {
	v, err := times("energy", int64(e), n)
	return Energy(v), err
}

// MarshalText writes what String writes; a negative energy is ErrNegative.
func (e Energy) MarshalText() ([]byte, error) { return marshal("energy", int64(e), e.String()) }

// UnmarshalText reads what ParseEnergy reads.
func (e *Energy) UnmarshalText(text []byte) error { return unmarshal(e, text, ParseEnergy) }
