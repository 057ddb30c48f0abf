package safety_test

import (
	"slices"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/safety"
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
	if it := safety.ItemOf(nil); it.Food != "" {
		t.Errorf("no food: %+v", it)
	}
}
