package corpus

import (
	"encoding/json"
	"slices"
	"testing"

	"fitchet.example/prey"

	"github.com/google/go-cmp/cmp"
)

// TestFoodsTravel: the foods of the corpus, none of which is shipped, go through
// JSON with all that is known of them.
func TestFoodsTravel(t *testing.T) {
	t.Parallel()
	c, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	all := c.foods.All()
	if own, _, err := prey.Own(slices.Values(all)); err != nil || len(own) != len(all) {
		t.Errorf("%d of %d foods are one's own, %v", len(own), len(all), err)
	}
	for _, f := range all {
		text, err := json.Marshal(f)
		if err != nil {
			t.Errorf("%s: %v", f.ID, err)
			continue
		}
		var back prey.Food
		if err := json.Unmarshal(text, &back); err != nil || !back.Equal(f) {
			t.Errorf("%s: %v", f.ID, err)
		}
		for _, n := range prey.Nutrients() {
			was, known := f.Nutrient(n)
			if now, again := back.Nutrient(n); known != again || !cmp.Equal(was, now) {
				t.Errorf("%s: %s is %v, was %v", f.ID, n, now, was)
			}
		}
	}
}
