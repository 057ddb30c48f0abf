package oracle

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Answer is what a solver says of a program.
type Answer struct {
	Decided  bool  // false: it gave up
	Feasible bool  //
	Cost     int64 // in hundredths of the unit of money, when Feasible
}

// String is the answer as it is kept in a file: a cost, "infeasible" or "undecided".
func (a Answer) String() string {
	switch {
	case !a.Decided:
		return "undecided"
	case !a.Feasible:
		return "infeasible"
	}
	return strconv.FormatInt(a.Cost, 10)
}

// ParseAnswer reads what String prints.
func ParseAnswer(s string) (Answer, error) {
	switch s {
	case "undecided":
		return Answer{}, nil
	case "infeasible":
		return Answer{Decided: true}, nil
	}
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		return Answer{}, fmt.Errorf("answer %.40q: %w", s, err)
	}
	return Answer{Decided: true, Feasible: true, Cost: n}, nil
}

// Hash names a program.
func (l LP) Hash() string {
	sum := sha256.Sum256(l.Text)
	return hex.EncodeToString(sum[:12])
}

// ErrNoSolver is returned where glpsol is not installed.
var ErrNoSolver = errors.New("glpsol is not on PATH (package glpk-utils)")

// Glpsol asks the program of that name, and gives it so many seconds. The time
// that is returned is that of the whole process.
//
// Its cuts stay off: with all of them on, GLPK 5.0 calls some of these programs
// infeasible, or gives a dearer optimum, that it solves right without.
func Glpsol(ctx context.Context, l LP, dir string, seconds int) (Answer, time.Duration, error) {
	path, err := exec.LookPath("glpsol")
	if err != nil {
		return Answer{}, 0, ErrNoSolver
	}
	in, out := filepath.Join(dir, l.Hash()+".lp"), filepath.Join(dir, l.Hash()+".sol")
	if err := os.WriteFile(in, l.Text, 0o600); err != nil {
		return Answer{}, 0, err
	}
	defer os.Remove(in)
	defer os.Remove(out)
	start := time.Now()
	said, err := exec.CommandContext(ctx, path, "--lp", in, "--tmlim", strconv.Itoa(seconds), "--write", out).CombinedOutput()
	took := time.Since(start)
	if err != nil {
		return Answer{}, took, fmt.Errorf("glpsol: %w\n%s", err, said)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		return Answer{}, took, err
	}
	for line := range strings.Lines(string(data)) {
		f := strings.Fields(line)
		if len(f) < 6 || f[0] != "s" {
			continue
		}
		v, err := strconv.ParseFloat(f[len(f)-1], 64)
		if err != nil {
			return Answer{}, took, fmt.Errorf("glpsol: %w", err)
		}
		switch {
		case f[1] == "mip" && f[4] == "o", f[1] == "bas" && f[4] == "f" && f[5] == "f":
			if math.Abs(v-math.Round(v)) > 1e-3 {
				return Answer{}, took, fmt.Errorf("glpsol: a cost of %v hundredths", v)
			}
			return Answer{Decided: true, Feasible: true, Cost: int64(math.Round(v))}, took, nil
		case f[1] == "mip" && f[4] == "n", f[1] == "bas" && f[4] == "n":
			return Answer{Decided: true}, took, nil
		}
	}
	for _, s := range []string{"NO PRIMAL FEASIBLE", "NO FEASIBLE", "NO INTEGER FEASIBLE"} {
		if strings.Contains(string(said), s) {
			return Answer{Decided: true}, took, nil
		}
	}
	return Answer{}, took, nil
}
