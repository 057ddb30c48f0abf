package main

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fitchet.example/balance/plan/internal/milp"
)

// readLP reads a program as package oracle writes it in the CPLEX LP format, so
// that both solvers are given the same text.
func readLP(text []byte) (milp.Problem, error) {
	var p milp.Problem
	at := map[string]int{}
	col := func(name string) int {
		j, ok := at[name]
		if !ok {
			j = len(p.Columns)
			at[name] = j
			p.Columns = append(p.Columns, milp.Column{Name: name, High: 1e9})
		}
		return j
	}
	section := ""
	row := milp.Row{}
	sc := bufio.NewScanner(bytes.NewReader(text))
	sc.Buffer(nil, 1<<24)
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimSpace(sc.Text())
		fail := func() (milp.Problem, error) {
			return p, fmt.Errorf("line %d of the program: %q is not understood", n, line)
		}
		switch line {
		case "Minimize", "Subject To", "Bounds", "Generals", "End":
			section = line
			continue
		}
		if name, rest, ok := strings.Cut(line, ":"); ok {
			row = milp.Row{Name: name}
			if line = strings.TrimSpace(rest); line == "" {
				continue
			}
		}
		f := strings.Fields(line)
		number := func(s string) float64 {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				return math.NaN()
			}
			return v
		}
		switch {
		case section == "Bounds" && len(f) == 5:
			c := &p.Columns[col(f[2])]
			if c.Low, c.High = number(f[0]), number(f[4]); math.IsNaN(c.Low + c.High) {
				return fail()
			}
		case section == "Generals" && len(f) == 1:
			p.Columns[col(f[0])].Integer = true
		case len(f) == 3 && (f[0] == "+" || f[0] == "-"):
			v := number(f[1])
			if math.IsNaN(v) {
				return fail()
			}
			if f[0] == "-" {
				v = -v
			}
			if section == "Minimize" {
				p.Columns[col(f[2])].Cost += v
			} else {
				row.Terms = append(row.Terms, milp.Term{Col: col(f[2]), Coef: v})
			}
		case section == "Subject To" && (len(f) == 2 || len(f) == 3):
			if len(f) == 3 { // "nothing >= 1" says that a row cannot hold
				row.Terms = append(row.Terms, milp.Term{Col: col(f[0]), Coef: 1})
				f = f[1:]
			}
			v := number(f[1])
			row.Low, row.High = v, v
			switch {
			case math.IsNaN(v):
				return fail()
			case f[0] == ">=":
				row.High = math.Inf(1)
			case f[0] == "<=":
				row.Low = math.Inf(-1)
			case f[0] != "=":
				return fail()
			}
			p.Rows = append(p.Rows, row)
		default:
			return fail()
		}
	}
	return p, sc.Err()
}
