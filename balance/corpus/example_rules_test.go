package corpus_test

import (
	"context"
	"encoding/json"
	"fmt"

	"fitchet.example/balance/corpus"
	"fitchet.example/testdata"
)

// A copy of the corpus, or one of one's own, is read from any file system; Lint
// judges the corpus itself.
func ExampleLoad() {
	c, err := corpus.Load(testdata.Corpus())
	if err != nil {
		fmt.Println(err)
		return
	}
	s, ok := c.Scenario("v2rvrch9")
	if !ok {
		fmt.Println("no such scenario")
		return
	}
	fmt.Println(s.Title+":", s.Days, "days for", len(s.Household().Animals), "animal")
	// Output:
	// One jill, everything in the freezer: 7 days for 1 animal
}

// A case must fail when its rule is switched off: else it does not look at it.
func ExampleSwitchOff() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	cs, _ := c.Case("zcmxjm3m")
	book, err := corpus.SwitchOff(c.Book(), cs.Rule)
	if err != nil {
		fmt.Println(err)
		return
	}
	wrong, err := c.Judge(cs, book)
	fmt.Println(len(wrong) > 0, err)
	// Output:
	// true <nil>
}

// The same vitamin A today and by the rules as they stood in 2010.
func ExampleInForce() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	cs, ok := c.Case("nkf48n88")
	if !ok {
		fmt.Println("no such case")
		return
	}
	for _, when := range []string{"2010", "2026-11"} {
		book, err := corpus.InForce(c.Book(), when)
		if err != nil {
			fmt.Println(err)
			return
		}
		report, err := c.Audit(cs, book)
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, f := range append(report.Find("vitamin-a-most-1995"), report.Find("vitamin-a-most")...) {
			fmt.Println(when, f.Rule.ID, f.Verdict)
		}
	}
	// Output:
	// 2010 vitamin-a-most-1995 met
	// 2010 vitamin-a-most not-applicable
	// 2026-11 vitamin-a-most-1995 not-applicable
	// 2026-11 vitamin-a-most missed
}

// This library's own planner, asked one scenario as any generator is.
func ExampleLibrary() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	s := c.Scenarios[0]
	q, err := c.Request(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := corpus.Library().Plan(context.Background(), q)
	if err != nil {
		fmt.Println(err)
		return
	}
	j, err := corpus.Judge(q, s, a)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("good:", j.Good())
	// Output:
	// good: true
}

// What a generator of another language is sent, and how its answer is read.
func ExampleRequest_ReadPlan() {
	c, err := corpus.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	q, err := c.Request(c.Scenarios[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	sent, err := json.Marshal(q)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("sent as JSON:", json.Valid(sent))
	reply, err := corpus.ReadReply([]byte(`{"type":"answer","id":1,"plan":{"schema":"fitchet.plan/1","household":"another house","start":"2026-11-30","days":[]}}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = q.ReadPlan(reply.Plan)
	fmt.Println(err)
	// Output:
	// sent as JSON: true
	// plan:1:40: of "another house", but the household file is of "Juniper at Mill Cottage"
}
