package milp

import "testing"

// What GLPK 5.0 (glpsol --cuts) answered to the first of the seeded programs,
// recorded so that an outside answer is at hand where glpsol is not.
func recorded() []struct {
	status    Status
	objective float64
} {
	return []struct {
		status    Status
		objective float64
	}{
		{Optimal, 3435}, {Infeasible, 0}, {Optimal, 2006}, {Infeasible, 0},
		{Infeasible, 0}, {Optimal, 1063.34666298831}, {Optimal, 3044}, {Optimal, 82.8669417585618},
		{Infeasible, 0}, {Optimal, 1564}, {Infeasible, 0}, {Optimal, -383.684038679734},
		{Optimal, 743}, {Optimal, 680}, {Infeasible, 0}, {Optimal, -468.904237262265},
		{Optimal, 1562}, {Optimal, 1498}, {Optimal, 2728}, {Optimal, -511.583962810441},
		{Optimal, 2597}, {Optimal, 259.298458318656}, {Optimal, 2502}, {Optimal, -545.532855280313},
		{Infeasible, 0}, {Optimal, 2441}, {Optimal, 7659}, {Optimal, -212.904868409522},
		{Optimal, 2271}, {Infeasible, 0}, {Optimal, 5431}, {Optimal, -210.011440264809},
		{Optimal, 1307}, {Optimal, 3016}, {Optimal, 483}, {Optimal, -198.836392882238},
		{Optimal, 1112}, {Infeasible, 0}, {Optimal, 1930}, {Optimal, -44.8312953374596},
		{Optimal, 696}, {Optimal, 4105}, {Infeasible, 0}, {Optimal, -994.996997029565},
		{Optimal, 747}, {Optimal, 847}, {Infeasible, 0}, {Optimal, -431.408925388475},
	}
}

// Oracle: GLPK 5.0, recorded.
func TestAgainstRecordedGlpsol(t *testing.T) {
	t.Parallel()
	for n, want := range recorded() {
		sol := solve(t, instance(n), Limits{})
		if sol.Status != want.status || want.status == Optimal && !near(sol.Objective, want.objective) {
			t.Errorf("instance %d: %v %v, glpsol found %v %v", n, sol.Status, sol.Objective, want.status, want.objective)
		}
	}
}
