package safety

import (
	"cmp"
	"slices"

	"fitchet.example/prey"
	"fitchet.example/units"
)

// ItemOf is a food of the catalogue as the hazards see it. An animal of a
// keeper's own is judged as what it is like (see [prey.Food.Like]), a food that is
// liver by its parts as liver, whatever its cut is called. An oil or a powder
// loses its animal: what is true of raw flesh is not of its oil or its ash; its
// tags stay. Share, supplier and lot are left for the caller.
func ItemOf(f *prey.Food) Item {
	if f == nil {
		return Item{}
	}
	it := Item{Food: f.Name, Species: f.Species, Contains: f.Contains, Part: f.Cut, Tags: f.Hazards}
	if len(f.Like) > 0 {
		it.Contains = slices.Clone(f.Contains)
		like := func(s string) string { return cmp.Or(f.Like[s], s) }
		it.Species = like(it.Species)
		for i, s := range it.Contains {
			it.Contains[i] = like(s)
		}
	}
	if f.PartsKnown && f.Shares[prey.Typical][prey.Liver] == units.Whole {
		it.Part = "liver"
	}
	if f.Kind == prey.Oil || f.Kind == prey.Supplement {
		it.Species, it.Contains = "", nil
	}
	return it
}
