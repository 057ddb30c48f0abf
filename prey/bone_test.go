package prey_test

import (
	"errors"
	"strings"
	"testing"

	"fitchet.example/prey"
)

// The kind of bone of an own food is one of the catalogue's, on its basis: a share
// of clean bone is never multiplied with the calcium of what a knife leaves, and
// none is silently left without. Rabbit 5.0 to 8.5 g (Szendrő 1998, bone meal 2017):
// a fifth of clean bone holds 1.0 to 1.7 % calcium.
func TestBoneOfOwnFoods(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		more string
		fine bool
	}{
		{"", true}, // clean bone of its animal
		{", bone-kind: rabbit", true},
		{", bone-basis: clean", true},
		{", bone-kind: rabbit, bone-basis: clean", true},
		{", bone-kind: rabbit, bone-basis: refuse", false},
		{", bone-kind: broiler, bone-basis: clean", false},
		{", bone-kind: rabit", false},
	} {
		own, err := prey.LoadFoods("own.yaml", strings.NewReader(`foods:
  - id: rabbit-saddle
    name: rabbit saddle, ground with its bone
    kind: mix
    species: rabbit
    colour: white
    complete: false
    ref: "choice: made up for this test"
    parts: {bone: 20 %, bone-means: edible`+tc.more+`}
    label: {state: wet, per: fed, moisture: 70 %}
`), c.Registry())
		if err != nil {
			t.Fatalf("%s: %v", tc.more, err)
		}
		with, err := c.With(own)
		if tc.fine != (err == nil) || err != nil && !errors.Is(err, prey.ErrBone) {
			t.Errorf("%s: %v", tc.more, err)
			continue
		}
		if err != nil {
			continue
		}
		f, err := with.Find("rabbit-saddle")
		if err != nil || f.BoneKind != "rabbit" || f.BoneBasis != prey.CleanBone {
			t.Errorf("%s: %v, %s of %s", tc.more, err, f.BoneBasis, f.BoneKind)
		}
	}
}
