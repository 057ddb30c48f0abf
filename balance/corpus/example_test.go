package corpus_test

import (
	"context"
	"fmt"

	"fitchet.example/balance/corpus"
)

// One case of the corpus, judged by this library.
func ExampleCorpus_Judge() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	cs, _ := c.Case("zcmxjm3m")
	wrong, err := c.Judge(cs, nil)
	fmt.Println(cs.Title)
	fmt.Println("rule", cs.Rule+",", cs.Bound, "bound,", cs.Side, "it")
	fmt.Println(len(wrong), "differences", err)
	// Output:
	// Calcium exactly at 1.5 g per 1000 kcal
	// rule calcium-least, low bound, at it
	// 0 differences <nil>
}

// A generator of one's own, asked one scenario. It refuses everything, which is
// wrong where a plan can be made.
func ExampleJudge() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	timid := corpus.GeneratorFunc(func(context.Context, corpus.Request) (corpus.Answer, error) {
		return corpus.Answer{Refused: &corpus.Refusal{Because: corpus.Lacking, Reason: "Better not."}}, nil
	})
	s := c.Scenarios[0]
	q, err := c.Request(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := timid.Plan(context.Background(), q)
	if err != nil {
		fmt.Println(err)
		return
	}
	j, err := corpus.Judge(q, s, a)
	fmt.Println(s.Title, err)
	for _, w := range j.Wrong {
		fmt.Println(w.ID+":", w.Text)
	}
	// Output:
	// One jill, everything in the freezer <nil>
	// answer-kind: refused (Better not.) where a plan can be made: Meat, bone, heart, liver and kidney of three kinds are there, by the gram.
}
