package prey

import "fitchet.example/units"

// EnergyMethod is a named way to put a figure on the metabolisable energy of
// food. The three differ by up to a sixth on the same food, so no figure per
// 1000 kcal means anything without its method.
type EnergyMethod uint8

const (
	// FreshCat is 4 kcal per g of protein, 8.5 of fat and 4 of carbohydrate:
	// FEDIAF's equation for natural food fed to cats.
	FreshCat EnergyMethod = iota
	// ModifiedAtwater is 3.5, 8.5 and 3.5 kcal per g, made for prepared pet food.
	ModifiedAtwater
	// Printed is the density a source prints for a whole prey animal, or a pack
	// for what is in it.
	Printed

	// NumEnergyMethods is how many methods there are.
	NumEnergyMethods = iota
)

var methodWords = units.Words[EnergyMethod]{
	What:  "energy method",
	Keys:  []string{FreshCat: "fresh-cat", ModifiedAtwater: "modified-atwater", Printed: "printed"},
	Names: []string{FreshCat: "fresh food equation (cat)", ModifiedAtwater: "modified Atwater", Printed: "printed density"},
}

// String returns "fresh food equation (cat)", "modified Atwater" or
// "printed density".
func (m EnergyMethod) String() string { return methodWords.Name(m) }

// Key returns the word used in files: "fresh-cat", "modified-atwater", "printed".
func (m EnergyMethod) Key() string { return methodWords.Key(m) }

// ParseEnergyMethod reads the word used in files, or the name for people.
func ParseEnergyMethod(s string) (EnergyMethod, error) { return methodWords.Parse(s) }

// MarshalText returns the word used in files.
func (m EnergyMethod) MarshalText() ([]byte, error) { return methodWords.Marshal(m) }

// UnmarshalText is [ParseEnergyMethod].
func (m *EnergyMethod) UnmarshalText(text []byte) error { return methodWords.Unmarshal(m, text) }

// factors are tenths of a kcal per gram of protein, fat and carbohydrate.
func (m EnergyMethod) factors() (protein, fat, carbohydrate uint64) {
	if m == FreshCat {
		return 40, 85, 40
	}
	return 35, 85, 35
}

// source is where the factors were read.
func (m EnergyMethod) source() (key, locator string) {
	switch m {
	case FreshCat:
		return "fediaf-2018", "Annex 1 sec. 2.2 b"
	case ModifiedAtwater:
		return "atwater-handout", "whole page"
	}
	return "", ""
}

// Energy returns kcal per 100 g as fed by one method, or false when a figure
// it needs is not known. FreshCat and ModifiedAtwater fall back to the printed
// density (of whole prey, or of a pack) when the composition is not known well
// enough; the Figure's Ref is then that of the printed density. Bone that is
// added to an edible portion gives no energy.
func (f *Food) Energy(m EnergyMethod) (Figure, bool) {
	if f == nil || f.facts == nil || m >= NumEnergyMethods || !f.facts.has(energyIndex(m)) {
		return Figure{}, false
	}
	return f.facts.energyFigure(m), true
}

// DefaultEnergy returns the energy the library uses unless told otherwise, and
// the method it came from: ModifiedAtwater for dry food, FreshCat for all raw
// food, Printed where FreshCat had to fall back to it.
func (f *Food) DefaultEnergy() (Figure, EnergyMethod, bool) {
	m := FreshCat
	if f != nil && f.Kind == DryFood {
		m = ModifiedAtwater
	}
	fig, ok := f.Energy(m)
	if ok && f.facts.fellBack&(1<<m) != 0 {
		m = Printed
	}
	return fig, m, ok
}
