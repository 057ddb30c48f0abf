package corpus_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"fitchet.example/balance/corpus"
	"fitchet.example/testdata"
)

// What is wrong with a line is told apart.
func TestReadReply(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, line string
		want       error
	}{
		{"a plan", `{"type":"answer","id":3,"plan":{"schema":"fitchet.plan/1"}}`, nil},
		{"a refusal", `{"type":"answer","id":3,"refused":{"because":"lacking","reason":"No liver.","lacks":["liver"]}}`, nil},
		{"a fault", `{"type":"answer","id":3,"fault":"out of memory"}`, nil},
		{"spaces around", "  {\"type\":\"answer\",\"id\":3,\"fault\":\"x\"} \r", nil},
		{"empty", ``, corpus.ErrNotJSON},
		{"half a line", `{"type":"answer","id":3,"plan":{"sche`, corpus.ErrNotJSON},
		{"words", `planning…`, corpus.ErrNotJSON},
		{"a list", `[1,2]`, corpus.ErrNotJSON},
		{"a number", `17`, corpus.ErrNotJSON},
		{"two objects", `{"type":"answer","id":3,"fault":"x"}{"type":"answer","id":3,"fault":"x"}`, corpus.ErrTwoAnswers},
		{"words behind", `{"type":"answer","id":3,"fault":"x"} done`, corpus.ErrNotJSON},
		{"too deep", strings.Repeat(`{"a":`, 40) + "1" + strings.Repeat("}", 40), corpus.ErrNotJSON},
		{"not UTF-8", "{\"type\":\"answer\",\"id\":3,\"fault\":\"\xff\"}", corpus.ErrNotUTF8},
		{"NaN", `{"type":"answer","id":3,"plan":{"mass":NaN}}`, corpus.ErrNotNumber},
		{"minus infinity", `{"type":"answer","id":3,"plan":{"mass":-Infinity}}`, corpus.ErrNotNumber},
		{"1e999", `{"type":"answer","id":3,"plan":{"mass":1e999}}`, corpus.ErrNumberRange},
		{"no id", `{"type":"answer","fault":"x"}`, corpus.ErrNotMessage},
		{"id as text", `{"type":"answer","id":"3","fault":"x"}`, corpus.ErrNotMessage},
		{"id with a fraction", `{"type":"answer","id":3.5,"fault":"x"}`, corpus.ErrNotMessage},
		{"another type", `{"type":"hello","id":3,"fault":"x"}`, corpus.ErrNotMessage},
		{"nothing said", `{"type":"answer","id":3}`, corpus.ErrNotMessage},
		{"plan null", `{"type":"answer","id":3,"plan":null}`, corpus.ErrNotMessage},
		{"plan and refusal", `{"type":"answer","id":3,"plan":{},"refused":{"because":"lacking","reason":"x"}}`, corpus.ErrTwoAnswers},
	} {
		r, err := corpus.ReadReply([]byte(tc.line))
		if tc.want == nil {
			if err != nil || r.ID != 3 {
				t.Errorf("%s: %+v, %v", tc.name, r, err)
			}
			continue
		}
		if !errors.Is(err, tc.want) {
			t.Errorf("%s: %v, want %v", tc.name, err, tc.want)
		}
	}
}

func TestReadHello(t *testing.T) {
	t.Parallel()
	c := load(t)
	line, err := c.WriteHello("test")
	if err != nil || !bytes.Contains(line, []byte(`"protocol":"fitchet.protocol/1"`)) {
		t.Errorf("%s %v", line, err)
	}
	if h, err := corpus.ReadHello([]byte(`{"type":"hello","protocol":"fitchet.protocol/1","name":"n","version":"1"}`)); err != nil || h.Name != "n" {
		t.Errorf("%+v %v", h, err)
	}
	for line, want := range map[string]error{
		`{"type":"hello","protocol":"fitchet.protocol/2","name":"n","version":"1"}`: corpus.ErrProtocol,
		`{"type":"hello","protocol":"fitchet.protocol/1","version":"1"}`:            corpus.ErrNotMessage,
		`{"type":"answer","id":1}`: corpus.ErrNotMessage,
		`hello`:                    corpus.ErrNotJSON,
	} {
		if _, err := corpus.ReadHello([]byte(line)); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", line, err, want)
		}
	}
}

// A request that goes out as JSON and a plan that comes back read to the same
// judgement as the values themselves.
func TestRequest_roundTrip(t *testing.T) {
	t.Parallel()
	c := load(t)
	for i, s := range c.Scenarios {
		q, err := c.Request(s)
		if err != nil {
			t.Fatal(err)
		}
		line, err := corpus.WriteAsk(7, q)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.ContainsAny(line, "\n\r") || !json.Valid(line) {
			t.Errorf("%s: the ask is not one line of JSON", s.ID)
		}
		if i%4 != 0 {
			continue // planning takes time
		}
		a, err := corpus.Library().Plan(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		if a.Plan == nil {
			continue
		}
		data, err := a.Plan.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		back, err := q.ReadPlan(data)
		if err != nil {
			t.Errorf("%s: %v", s.ID, err)
			continue
		}
		one, err1 := corpus.Judge(q, s, a)
		two, err2 := corpus.Judge(q, s, corpus.Answer{Plan: back})
		if err1 != nil || err2 != nil || fmt.Sprint(one.Wrong) != fmt.Sprint(two.Wrong) {
			t.Errorf("%s: %v and %v", s.ID, one, two)
		}
	}
}

func TestReadPlan_tooMany(t *testing.T) {
	t.Parallel()
	c := load(t)
	q, err := c.Request(c.Scenarios[0])
	if err != nil {
		t.Fatal(err)
	}
	many := []byte(`{"servings":[` + strings.Repeat(`{"food":"rabbit-meat","mass":"1 g"},`, corpus.MaxServings+1) + `]}`)
	if _, err := q.ReadPlan(many); !errors.Is(err, corpus.ErrTooMany) {
		t.Errorf("%v", err)
	}
}

func FuzzReadReply(f *testing.F) {
	f.Add(`{"type":"answer","id":3,"plan":{}}`)
	f.Add(`{"type":"answer","id":3,"refused":{"because":"lacking","reason":"x"}}`)
	f.Add(`{"id":NaN}`)
	f.Fuzz(func(t *testing.T, line string) {
		r, err := corpus.ReadReply([]byte(line))
		if err == nil && r.Plan == nil && r.Refused == nil && r.Fault == "" {
			t.Errorf("%q is read as nothing", line)
		}
	})
}

func TestNewID(t *testing.T) {
	t.Parallel()
	c := load(t)
	var some []byte
	for i := range 400 {
		some = append(some, byte(i*i*7+i*3))
	}
	chance := bytes.NewReader(some)
	seen := map[string]bool{}
	for range 5 {
		id, err := c.NewID(chance)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := corpus.ParseID(id); err != nil {
			t.Error(err)
		}
		seen[id] = true
	}
	if len(seen) < 2 {
		t.Errorf("%v", seen)
	}
	if _, err := c.NewID(bytes.NewReader(nil)); err == nil {
		t.Error("an id without chance")
	}
}

// A copy of the corpus says of a rule what the book says: since when it holds
// and which it replaced.
func TestRulesJSON(t *testing.T) {
	t.Parallel()
	c, err := corpus.Load(testdata.Corpus())
	if err != nil {
		t.Fatal(err)
	}
	text, err := c.RulesJSON()
	if err != nil {
		t.Fatal(err)
	}
	var out struct {
		Rules []struct{ ID, Means, Since, Replaces string }
	}
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	replaced := 0
	for _, w := range out.Rules {
		r, ok := c.Book().Rule(w.ID)
		if !ok || w.Means != r.Means || w.Since != r.Since || w.Replaces != r.Replaces {
			t.Errorf("%+v, the book has %+v", w, r)
		}
		if w.Replaces != "" {
			replaced++
		}
	}
	if replaced != 3 {
		t.Errorf("%d of %d rules replace one, want 3", replaced, len(out.Rules))
	}
}
