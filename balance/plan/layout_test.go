package plan

import (
	"fmt"
	"slices"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/units"
)

func TestGather(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ parts, want []int64 }{
		{nil, nil},
		{[]int64{2}, []int64{2}}, // there is no other
		{[]int64{0, 2, 0}, []int64{0, 2, 0}},
		{[]int64{3, 3}, []int64{3, 3}},
		{[]int64{2, 8, 5}, []int64{0, 8, 7}},
		{[]int64{1, 1, 1}, []int64{0, 3, 0}},
		{[]int64{1, 1, 0, 9}, []int64{0, 0, 0, 11}},
	} {
		got := slices.Clone(c.parts)
		gather(got)
		if !slices.Equal(got, c.want) {
			t.Errorf("%v came to %v, want %v", c.parts, got, c.want)
		}
	}
}

// TestTogether moves what is too little to more of the same food, never oil and
// never to a day that does not take it.
func TestTogether(t *testing.T) {
	t.Parallel()
	meat := &supply{food: &prey.Food{ID: "meat", PartsKnown: true, Shares: [prey.NumCases][prey.NumParts]units.Share{prey.Typical: {prey.Muscle: units.Whole}}}, energy: 1}
	oil := &supply{food: &prey.Food{ID: "oil", Kind: prey.Oil}, energy: 9}
	for _, c := range []struct {
		name string
		days [][]lot
		not  int // a day that takes nothing; -1: none
		want string
	}{
		{"to the emptier day", [][]lot{{{meat, 2}}, {{meat, 20}}, {{meat, 10}}}, -1, "[[] [meat 20] [meat 12]]"},
		{"not to a day that is full", [][]lot{{{meat, 2}}, {{meat, 20}}, {{meat, 10}}}, 2, "[[] [meat 22] [meat 10]]"},
		{"to no day without it", [][]lot{{{meat, 2}}, {{oil, 2}}}, -1, "[[meat 2] [oil 2]]"},
		{"enough stays", [][]lot{{{meat, 3}}, {{meat, 20}}}, -1, "[[meat 3] [meat 20]]"},
		{"oil stays", [][]lot{{{oil, 1}}, {{oil, 5}}}, -1, "[[oil 1] [oil 5]]"},
		{"two that are little", [][]lot{{{meat, 1}}, {{meat, 2}}}, -1, "[[] [meat 3]]"},
	} {
		days := make([]bowlDay, len(c.days))
		for d, ls := range c.days {
			for _, l := range ls {
				days[d].put(l)
			}
		}
		together(days, tiny, func(d int, _ lot) bool { return d != c.not })
		var got [][]string
		for d := range days {
			words, energy := []string{}, int64(0)
			for _, l := range days[d].lots {
				words = append(words, fmt.Sprintf("%s %d", l.s.food.ID, l.n))
				energy += l.energy()
			}
			if energy != days[d].energy {
				t.Errorf("%s: day %d holds %d of energy, says %d", c.name, d, energy, days[d].energy)
			}
			got = append(got, words)
		}
		if fmt.Sprint(got) != c.want {
			t.Errorf("%s: %v, want %s", c.name, got, c.want)
		}
	}
}
