package milp_test

import (
	"context"
	"fmt"
	"math"

	"fitchet.example/balance/plan/internal/milp"
)

// A week of 1400 g from two foods: thigh on the bone, 250 g in stock and packs
// of 500 g at 210 cents; hearts in packs of 200 g at 190 cents, of which at
// least 10 % of the week is wanted.
func shopping() milp.Problem {
	return milp.Problem{
		Columns: []milp.Column{
			{Name: "thigh, g", High: 2000},
			{Name: "thigh, packs", Cost: 210, High: 4, Integer: true},
			{Name: "heart, g", High: 400},
			{Name: "heart, packs", Cost: 190, High: 2, Integer: true},
		},
		Rows: []milp.Row{
			{Name: "thigh in hand", Terms: []milp.Term{{Col: 0, Coef: 1}, {Col: 1, Coef: -500}}, Low: math.Inf(-1), High: 250},
			{Name: "heart in hand", Terms: []milp.Term{{Col: 2, Coef: 1}, {Col: 3, Coef: -200}}, Low: math.Inf(-1), High: 0},
			{Name: "week", Terms: []milp.Term{{Col: 0, Coef: 1}, {Col: 2, Coef: 1}}, Low: 1400, High: 1400},
			{Name: "heart share", Terms: []milp.Term{{Col: 0, Coef: -0.10}, {Col: 2, Coef: 0.90}}, Low: 0, High: math.Inf(1)},
		},
	}
}

func ExampleSolve() {
	sol, err := milp.Solve(context.Background(), shopping(), milp.Limits{Step: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: %.0f cents, %.0f packs of thigh, %.0f of heart\n", sol.Status, sol.Objective, sol.X[1], sol.X[3])
	// Output: optimal: 610 cents, 2 packs of thigh, 1 of heart
}

func ExampleSolve_nextBest() {
	p := shopping()
	var seen [][2]float64
	for range 3 {
		sol, err := milp.Solve(context.Background(), p, milp.Limits{Reject: func(x []float64) bool {
			for _, s := range seen {
				if s == [2]float64{x[1], x[3]} {
					return true
				}
			}
			return false
		}})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.0f cents: %.0f packs of thigh, %.0f of heart\n", sol.Objective, sol.X[1], sol.X[3])
		seen = append(seen, [2]float64{sol.X[1], sol.X[3]})
	}
	// Output:
	// 610 cents: 2 packs of thigh, 1 of heart
	// 800 cents: 2 packs of thigh, 2 of heart
	// 820 cents: 3 packs of thigh, 1 of heart
}
