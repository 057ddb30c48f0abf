package safety

import "fitchet.example/prey"

// ItemOf is a food of the catalogue as the hazards see it. An oil or a powder
// loses its animal: what is true of raw flesh is not of its oil or its ash; its
// tags stay. Share, supplier and lot are left for the caller.
func ItemOf(f *prey.Food) Item {
	if f == nil {
		return Item{}
	}
	it := Item{Food: f.Name, Species: f.Species, Contains: f.Contains, Part: f.Cut, Tags: f.Hazards}
	if f.Kind == prey.Oil || f.Kind == prey.Supplement {
		it.Species, it.Contains = "", nil
	}
	return it
}
