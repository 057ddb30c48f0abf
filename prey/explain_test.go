package prey

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestExplain(t *testing.T) {
	t.Parallel()
	c := tinyCatalogue(t)
	for _, tc := range []struct {
		food string
		want []string
	}{
		{"wing", []string{
			"Chicken wing with bone (wing)",
			"It is a bone-in cut",
			"bone    38 %, from 31 to 46 [3]",
			"water                       57.7 g, from 55.3 to 59.9 [1]; 69.19 g in the soft part, 39.08 g in the bone",
			"zinc                        at least 0.75 mg, from 0.653 to 0.835 [1]",
			"bone is not counted",
			"Not known (which is not the same as none): crude fibre,",
			"[1] USDA SR28, NDB 05100",
		}},
		{"liver", []string{"vitamin A                   16898 IU [1]", "Hazards: vitamin-a-rich.", "Vary the animal. [1]", "3.89 g"}},
		{"chick", []string{"counts as balanced in itself (common practice)", "No source read gives its parts: an audit of a week that holds it stays open.", "by printed density  130 kcal", "4.48 %, from 1.58 to 4.48"}},
		{"neck", []string{"No source read gives its share of bone, so its figures as fed are not known either"}},
	} {
		contains(t, c.Explain(find(t, c, tc.food)).Text(), tc.want...)
	}
}

// No figure of the shipped catalogue is shown without its source, and the JSON
// form reads back.
func TestExplain_everyFood(t *testing.T) {
	t.Parallel()
	c := shippedCatalogue(t)
	for _, f := range c.All() {
		e := c.Explain(f)
		var lines []Line
		for _, list := range [][]Line{e.Parts, e.Energy, e.Nutrients} {
			lines = append(lines, list...)
		}
		for _, one := range []*Line{e.Piece, e.CalciumAsBone} {
			if one != nil {
				lines = append(lines, *one)
			}
		}
		for _, l := range lines {
			if l.Source == "" || l.Unit == "" || l.What == "" || strings.Contains(l.Source, "unknown source") || strings.Contains(l.Source, "no evidence") {
				t.Errorf("%s: %+v", f.ID, l)
			}
			low, typical, high := density(t, l.Low), density(t, l.Typical), density(t, l.High)
			if low > typical || typical > high {
				t.Errorf("%s: %+v is upside down", f.ID, l)
			}
		}
		if n := len(e.Nutrients) + len(e.Unknown); n != NumNutrients {
			t.Errorf("%s: %d nutrients shown or missed", f.ID, n)
		}
		data, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		var back Explanation
		if err := json.Unmarshal(data, &back); err != nil || back.Text() != e.Text() {
			t.Errorf("%s: JSON does not read back: %v", f.ID, err)
		}
	}
}

func TestShort(t *testing.T) {
	t.Parallel()
	for exact, want := range map[string]string{
		"0": "0", "4217.22": "4217", "123.72045": "124", "96.8247": "96.8", "9.4608": "9.46",
		"0.02346": "0.0235", "0.000012345": "0.00001", "100": "100", "10.0000": "10", "not a number": "not a number",
	} {
		if got := short(exact); got != want {
			t.Errorf("%s: %s, want %s", exact, got, want)
		}
	}
}
