package oracle_test

import (
	"bufio"
	"bytes"
	"errors"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"fitchet.example/balance/plan"
	"fitchet.example/balance/plan/internal/oracle"
	"fitchet.example/units"
)

var shelf = sync.OnceValues(oracle.NewShelf)

const kept = "testdata/answers.txt"

// setting reads a number from the environment.
func setting(t *testing.T, name string, def int) int {
	t.Helper()
	s := os.Getenv(name)
	if s == "" {
		return def
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 {
		t.Fatalf("%s is %q, want a number", name, s)
	}
	return n
}

// answers reads what glpsol said earlier, by the hash of the program.
func answers(t *testing.T) map[string]oracle.Answer {
	t.Helper()
	out := map[string]oracle.Answer{}
	data, err := os.ReadFile(kept)
	if errors.Is(err, os.ErrNotExist) {
		return out
	}
	if err != nil {
		t.Fatal(err)
	}
	for sc := bufio.NewScanner(bytes.NewReader(data)); sc.Scan(); {
		hash, said, ok := strings.Cut(sc.Text(), " ")
		if !ok || strings.HasPrefix(hash, "#") {
			continue
		}
		if out[hash], err = oracle.ParseAnswer(said); err != nil {
			t.Fatalf("%s: %v", kept, err)
		}
	}
	return out
}

// Oracle: GLPK's glpsol (Makhorin), an independent solver, on programs written by
// this package. By default it is asked about 6 of 30 instances; about the others
// its answers are kept under a hash of the program. FITCHET_GLPSOL_N asks it about
// more, FITCHET_GLPSOL_ALL sets how many are compared (answers are kept for 500),
// FITCHET_GLPSOL_WRITE=1 keeps the answers.
func TestPlannerAgainstGlpsol(t *testing.T) {
	s, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	live := setting(t, "FITCHET_GLPSOL_N", 6)
	first := setting(t, "FITCHET_GLPSOL_FIRST", 0)
	count := max(setting(t, "FITCHET_GLPSOL_ALL", 30), live)
	seconds := setting(t, "FITCHET_GLPSOL_SECONDS", 5)
	known := answers(t)
	dir := t.TempDir()
	// The live ones are spread over the set.
	isLive := func(n int) bool { return live > 0 && (n*live)/count != ((n+1)*live)/count }
	var solver error
	asked, remembered, unknown, undecided, unproven := 0, 0, 0, 0, 0
	seen := map[string]int{}
	var ours, theirs time.Duration
	for n := first; n < count; n++ {
		q := s.Instance(n)
		start := time.Now()
		res, err := plan.Week(t.Context(), q)
		took := time.Since(start)
		if errors.Is(err, plan.ErrUnplanned) || errors.Is(err, plan.ErrRequest) {
			continue
		}
		if err != nil {
			t.Errorf("instance %d: %v", n, err)
			continue
		}
		q.Household = res.Household // some lots may have been left out
		for k, try := range res.Tried {
			question, err := s.Question(q, try)
			if err != nil {
				t.Fatal(err)
			}
			lp := question.Write()
			answer, had := known[lp.Hash()]
			var slower time.Duration
			if isLive(n) && solver == nil && !(had && os.Getenv("FITCHET_GLPSOL_NEW") != "") {
				var said oracle.Answer
				said, slower, solver = oracle.Glpsol(t.Context(), lp, dir, seconds)
				if solver == nil {
					asked++
					if said.Decided || !had {
						answer, had = said, true
						known[lp.Hash()] = said
					}
				} else if !errors.Is(solver, oracle.ErrNoSolver) {
					t.Fatalf("instance %d: %v", n, solver)
				}
			} else if had {
				remembered++
			}
			if testing.Verbose() {
				t.Logf("%d.%d: %d foods %d diets %dx%d: %v amounts %v proven %v bound %v in %v (%+v); glpsol %v %v in %v", n, k, lp.Foods, lp.Diets, lp.Columns, lp.Rows,
					res.Outcome, try.Amounts, try.Proven, try.Bound, took.Round(time.Millisecond), res.Search, had, answer, slower.Round(time.Millisecond))
			}
			switch {
			case !had:
				unknown++
				continue
			case !answer.Decided:
				undecided++
				continue
			case !try.Proven:
				unproven++
				continue
			}
			ours += took
			theirs += slower
			if answer.Feasible != try.Amounts {
				t.Errorf("instance %d, way %d (%+v): amounts %v, glpsol says %v", n, k, try, try.Amounts, answer)
				continue
			}
			if !answer.Feasible {
				seen["infeasible"]++
				continue
			}
			seen["optimal"]++
			if cents := hundredths(try.Bound); cents != answer.Cost {
				t.Errorf("instance %d, way %d: %s, glpsol says %v", n, k, try.Bound, answer)
			}
		}
		seen["result "+res.Outcome.String()]++
	}
	t.Logf("%d programs asked now, %d remembered, %d without an answer, %d where glpsol gave up, %d that we did not prove; %v; %v against %v",
		asked, remembered, unknown, undecided, unproven, seen, ours, theirs)
	if os.Getenv("FITCHET_GLPSOL_WRITE") != "" {
		write(t, known)
	}
	if os.Getenv("FITCHET_GLPSOL_WRITE") == "" && 10*unknown > asked+remembered {
		t.Errorf("%d programs have no answer, %d have one: %s is out of date. Where the change of the programs is meant, FITCHET_GLPSOL_N=500 FITCHET_GLPSOL_ALL=500 FITCHET_GLPSOL_WRITE=1 go test -run PlannerAgainstGlpsol ./balance/plan/internal/oracle asks glpsol anew",
			unknown, asked+remembered, kept)
	}
	if errors.Is(solver, oracle.ErrNoSolver) && remembered == 0 {
		t.Skipf("%v: the comparison with an independent solver did not run", solver)
	}
	if errors.Is(solver, oracle.ErrNoSolver) {
		t.Logf("%v: only kept answers were compared", solver)
	}
}

func hundredths(p units.Price) int64 { return p.Amount().Shift(2).IntPart() }

func write(t *testing.T, known map[string]oracle.Answer) {
	t.Helper()
	var lines []string
	for hash, a := range known {
		lines = append(lines, hash+" "+a.String())
	}
	slices.Sort(lines)
	head := "# What glpsol (GLPK) said of each program: hash, then the cost in hundredths, infeasible, or undecided within its time.\n"
	if err := os.MkdirAll("testdata", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(kept, []byte(head+strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}
