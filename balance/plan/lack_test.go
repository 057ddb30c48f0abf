package plan

import (
	"cmp"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// What is named of a clash clashes, and does not without any one part of it. Oracle:
// clashes that are drawn, each a set of requirements of which some must go.
func TestIrreducible(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.SliceOfNDistinct(rapid.IntRange(0, 11), 1, 5, rapid.ID)
		clashes := rapid.SliceOfN(one, 1, 6).Draw(t, "clashes")
		orders := rapid.SliceOfN(rapid.IntRange(0, 3), 12, 12).Draw(t, "orders")
		list := make([]int, 12)
		for i := range list {
			list[i] = i
		}
		slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(orders[a], orders[b]) })
		clash := func(gone map[int]bool) (bool, error) {
			return slices.ContainsFunc(clashes, func(c []int) bool {
				return !slices.ContainsFunc(c, func(v int) bool { return gone[v] })
			}), nil
		}
		got, err := irreducible(list, func(v int) int { return orders[v] }, clash)
		if err != nil {
			t.Fatal(err)
		}
		gone := map[int]bool{}
		for _, v := range list {
			gone[v] = !slices.Contains(got, v)
		}
		if still, _ := clash(gone); !still {
			t.Fatalf("%v of %v does not clash", got, clashes)
		}
		for _, v := range got {
			less := maps.Clone(gone)
			less[v] = true
			if still, _ := clash(less); still {
				t.Fatalf("%v of %v clashes without %d", got, clashes, v)
			}
		}
		// What is given up first is named only where every clash that is left holds it.
		if first := list[0]; slices.Contains(got, first) &&
			slices.ContainsFunc(clashes, func(c []int) bool { return !slices.Contains(c, first) }) {
			t.Fatalf("%v of %v names %d, without which others clash", got, clashes, first)
		}
	})
}
