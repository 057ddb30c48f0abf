// Plans writes what the planner makes of drawn households, with every figure of
// its search, one household to a line: for comparing two builds of it byte by
// byte.
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"

	"fitchet.example/balance/plan"
	"fitchet.example/balance/plan/internal/oracle"
)

func main() {
	from := flag.Int("from", 0, "first `number` of a household")
	n := flag.Int("n", 10, "how `many`")
	flag.Parse()
	if err := write(os.Stdout, *from, *n); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
}

func write(to io.Writer, from, n int) error {
	shelf, err := oracle.NewShelf()
	if err != nil {
		return err
	}
	w := bufio.NewWriter(to)
	for i := from; i < from+n; i++ {
		res, err := plan.Week(context.Background(), shelf.Instance(i))
		if err != nil {
			fmt.Fprintf(w, "%d %v\n", i, err)
			continue
		}
		plan, err := json.Marshal(res.Plan)
		if err != nil {
			return fmt.Errorf("household %d: %w", i, err)
		}
		fmt.Fprintf(w, "%d %s %s %+v cost %s, at least %s, lacking %+v, clash %q, tried %+v, search %+v\n",
			i, res.Outcome, plan, res.Buy, res.Cost, res.Bound, lacks(res), res.Clash, res.Tried, res.Search)
	}
	return w.Flush()
}

func lacks(res *plan.Result) (out []string) {
	for _, l := range res.Lacking {
		out = append(out, fmt.Sprintf("%s: %s %d %s", l.What, l.Food.ID, l.Pieces, l.Mass))
	}
	return out
}
