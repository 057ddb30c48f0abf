package milp

import (
	"context"
	"math/rand/v2"
	"testing"
)

// Ten weeks of 60 foods each, textbook programs of about 190 columns by 210 rows.
func BenchmarkSixtyFoods(b *testing.B) {
	var set []Problem
	for n := range 10 {
		set = append(set, feedMix(rand.New(rand.NewPCG(60, uint64(n))), 60))
	}
	nodes, pivots, solves := 0, 0, 0
	b.ReportAllocs()
	for b.Loop() {
		for _, p := range set {
			sol, err := Solve(context.Background(), p, Limits{})
			if err != nil {
				b.Fatal(err)
			}
			nodes += sol.Nodes
			pivots += sol.Pivots
			solves++
		}
	}
	b.ReportMetric(float64(nodes)/float64(solves), "nodes/solve")
	b.ReportMetric(float64(pivots)/float64(solves), "pivots/solve")
	b.ReportMetric(b.Elapsed().Seconds()*1e3/float64(solves), "ms/solve")
}
