package safety_test

import (
	"slices"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// Salmon can hold worms and an enzyme that destroys thiamin; salmon oil cannot
// be said to. Its own hazard, fish fat without vitamin E, stays.
func TestItemOf(t *testing.T) {
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	book, err := safety.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	ids := func(name string) (out []string) {
		f, err := foods.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range book.Hazards(safety.ItemOf(f), safety.Context{}) {
			out = append(out, h.ID)
		}
		return out
	}
	salmon, oil := ids("atlantic-salmon"), ids("salmon-oil")
	if !slices.Contains(salmon, "raw-fish-worms") {
		t.Errorf("salmon: %v", salmon)
	}
	if !slices.Equal(oil, []string{"fish-oil-vitamin-e"}) {
		t.Errorf("salmon oil: %v", oil)
	}
	if got := ids("wild-boar-meat"); len(got) == 0 {
		t.Error("nothing is known against wild boar")
	}
	own := func(change func(*prey.Food)) (out []string) {
		f := prey.Food{ID: "own", Name: "Own", Kind: prey.Cut, Colour: prey.Red, Species: "muntjac", Like: map[string]string{"muntjac": "deer"}}
		change(&f)
		for _, h := range book.Hazards(safety.ItemOf(&f), safety.Context{}) {
			out = append(out, h.ID)
		}
		return out
	}
	if got := own(func(*prey.Food) {}); !slices.Equal(got, []string{"venison-tb"}) {
		t.Errorf("an own animal like deer: %v", got)
	}
	if got := own(func(f *prey.Food) { f.Species, f.Contains = "", []string{"rabbit", "muntjac"} }); !slices.Equal(got, []string{"venison-tb"}) {
		t.Errorf("the same in a mix: %v", got)
	}
	if got := own(func(f *prey.Food) { f.Like = nil }); !slices.Equal(got, []string{"species-not-known"}) {
		t.Errorf("an own animal like nothing: %v", got)
	}
	liver := func(f *prey.Food) {
		f.Cut, f.PartsKnown = "livre", true
		for c := range f.Shares {
			f.Shares[c][prey.Liver] = units.Whole
		}
	}
	if got := own(liver); !slices.Contains(got, "liver-vitamin-a") {
		t.Errorf("liver by its parts, its cut misspelt: %v", got)
	}
	if it := safety.ItemOf(nil); it.Food != "" {
		t.Errorf("no food: %+v", it)
	}
}
