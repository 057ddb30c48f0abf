// Bench holds this library against what a program could use in its place: the
// audit against policy engines, with the same rules and the same plans in the same
// run, by time and by verdict at the limits; the planner against GLPK's glpsol, on
// the same programs in the same run, by time and by answer.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"time"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/safety"
)

func main() {
	log.SetFlags(0)
	plans := flag.Int("plans", 20, "plans for each limit and way of placing")
	rounds := flag.Int("rounds", 15, "rounds of timing; the median counts")
	seed := flag.Uint64("seed", 1, "seed of the plans")
	households := flag.Int("households", 25, "households of each size that are planned; 0: none")
	flag.Parse()
	w, err := newWorld()
	if err != nil {
		log.Fatal(err)
	}
	if err := w.run(os.Stdout, *plans, *rounds, *seed); err != nil {
		log.Fatal(err)
	}
	if *households > 0 {
		if err := planners(context.Background(), os.Stdout, *households, []int{20, 60, 120}); err != nil {
			log.Fatal(err)
		}
	}
}

// world is what all plans and engines are made of.
type world struct {
	book    *balance.Book
	larder  *larder
	bounds  []bound
	engines []engine
}

func newWorld() (*world, error) {
	foods, err := prey.Shipped()
	if err != nil {
		return nil, err
	}
	w := &world{}
	if w.book, err = balance.Shipped(); err != nil {
		return nil, err
	}
	screen, err := safety.NewHazardCheck(nil, foods, safety.Context{})
	if err != nil {
		return nil, err
	}
	if w.larder, err = newLarder(foods, w.book); err != nil {
		return nil, err
	}
	if w.bounds, err = bounds(w.book); err != nil {
		return nil, err
	}
	w.engines, err = engines(foods, w.book, screen)
	return w, err
}

// draw makes n plans for each bound that can be placed so.
func (w *world) draw(at placing, n int, seed uint64) ([]*drawn, error) {
	rng := rand.New(rand.NewPCG(seed, 1))
	var out []*drawn
	for i, b := range w.bounds {
		for range n {
			p, err := w.larder.draw(rng, b, at)
			if errors.Is(err, errNone) {
				break // as with whole grams and a limit on nutrients
			}
			if err != nil {
				return nil, err
			}
			p.on = i
			out = append(out, p)
		}
	}
	return out, nil
}

// misjudged is how many plans an engine gets wrong in the rule whose limit they
// were placed at, and how many verdicts on other rules.
func (w *world) misjudged(e *engine, plans []*drawn) (wrong, beside int, err error) {
	for _, p := range plans {
		want, err := truth(p, w.book, w.bounds)
		if err != nil {
			return 0, 0, err
		}
		in, err := e.prepare(p)
		if err != nil {
			return 0, 0, fmt.Errorf("%s: %w", e.name, err)
		}
		got, err := e.judge(in)
		if err != nil {
			return 0, 0, fmt.Errorf("%s: %w", e.name, err)
		}
		on := w.bounds[p.on].rule
		for i := range got {
			switch {
			case got[i] == want[i]:
			case i == on:
				wrong++
			default:
				beside++
			}
		}
	}
	return wrong, beside, nil
}

// times are the medians, over the rounds, of the time for one plan. The engines
// take turns in each round, so that what else the machine does hits all.
func (w *world) times(plans []*drawn, rounds int) ([]time.Duration, error) {
	all := make([][]time.Duration, len(w.engines))
	inputs := make([][]any, len(w.engines))
	for e := range w.engines {
		for _, p := range plans {
			in, err := w.engines[e].prepare(p)
			if err != nil {
				return nil, err
			}
			inputs[e] = append(inputs[e], in)
		}
	}
	for round := range rounds + 1 {
		for e := range w.engines {
			runtime.GC()
			again := 1 // of a fast engine enough for the clock
			for {
				start := time.Now()
				for range again {
					for _, in := range inputs[e] {
						if _, err := w.engines[e].judge(in); err != nil {
							return nil, err
						}
					}
				}
				took := time.Since(start)
				if took < 5*time.Millisecond {
					again *= 2
					continue
				}
				if round > 0 { // the first one warms up
					all[e] = append(all[e], took/time.Duration(again*len(plans)))
				}
				break
			}
		}
	}
	out := make([]time.Duration, len(all))
	for e := range all {
		slices.Sort(all[e])
		out[e] = all[e][len(all[e])/2]
	}
	return out, nil
}

func (w *world) run(out io.Writer, n, rounds int, seed uint64) error {
	p := func(format string, args ...any) { fmt.Fprintf(out, format, args...) }
	p("%s, %d processors, %s/%s, %s\n\n", processor(), runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version())
	var sets [][]*drawn
	for _, at := range placings() {
		plans, err := w.draw(at, n, seed)
		if err != nil {
			return err
		}
		sets = append(sets, plans)
	}
	p("Wrong verdicts on the rule at whose limit the plan was placed:\n\n| engine |")
	for i, at := range placings() {
		p(" %s (%d plans) |", at.name, len(sets[i]))
	}
	p("\n|---|%s\n", strings.Repeat("---:|", len(sets)))
	for e := range w.engines {
		p("| %s |", w.engines[e].name)
		for _, plans := range sets {
			wrong, beside, err := w.misjudged(&w.engines[e], plans)
			if err != nil {
				return err
			}
			p(" %d", wrong)
			if beside > 0 {
				p(" (and %d on other rules)", beside)
			}
			p(" |")
		}
		p("\n")
	}
	timed := sets[2][:min(len(sets[2]), 40)]
	times, err := w.times(timed, rounds)
	if err != nil {
		return err
	}
	p("\nTime for one decoded plan of %d servings (median of %d rounds over %d plans):\n\n| engine | µs | times the first |\n|---|---:|---:|\n", servings, rounds, len(timed))
	for e := range w.engines {
		p("| %s | %.1f | %.1f |\n", w.engines[e].name, float64(times[e].Nanoseconds())/1000, float64(times[e])/float64(times[0]))
	}
	return nil
}

// processor is the name of the machine's processor, where it can be read.
func processor() string {
	text, err := os.ReadFile("/proc/cpuinfo")
	if err != nil {
		return "unknown processor"
	}
	for line := range strings.Lines(string(text)) {
		if name, value, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(name) == "model name" {
			return strings.TrimSpace(value)
		}
	}
	return "unknown processor"
}
