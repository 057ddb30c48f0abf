package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// Each schema refuses what it is there to refuse: a file of the repository with one
// thing changed.
func TestSchemas_refuse(t *testing.T) {
	root := "../.."
	c, err := newChecker(os.DirFS(filepath.Join(root, "testdata/schemas")))
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct{ kind, file, old, new string }{
		{"case", "testdata/corpus/cases/calcium-least.yaml", "schema: fitchet.cases/1", "schema: fitchet.cases/2"},
		{"case", "testdata/corpus/cases/calcium-least.yaml", "    why: ", "    reason: "},
		{"case", "testdata/corpus/cases/calcium-least.yaml", "mass: 15 g}", "mass: 15}"},
		{"case", "testdata/corpus/cases/calcium-least.yaml", "side: at", "side: on-it"},
		{"case", "testdata/corpus/cases/calcium-least.yaml", "verdict: open, reason: little-known", "verdict: open"},
		{"case", "testdata/corpus/cases/calcium-least.yaml", "ref: \"derived aafco-2014", "ref: \"memory aafco-2014"},
		{"scenario", "testdata/corpus/scenarios/refused.yaml", "want: refused", "want: plan"},
		{"scenario", "testdata/corpus/scenarios/refused.yaml", "because: [lacking", "because: [mood"},
		{"foods", "testdata/corpus/foods.yaml", "calcium: 1000 mg", "calcium: 1000"},
		{"foods", "testdata/corpus/foods.yaml", "calcium: 1000 mg", "calcium: 1000 g"},
		{"manifest", "testdata/corpus/manifest.yaml", "version: \"", "version: \"v"},
		{"rules", "balance/rules/rules.yaml", "slot: muscle", "part: muscle"},
		{"rules", "balance/rules/rules.yaml", "gravity: mend", "gravity: grave"},
		{"rules", "balance/rules/rules.yaml", "high: {value: \"10 %\", ref: \"practice: trouble is expected only above about 10 % of the week over a long time\"}", "high: \"10 %\""},
		{"targets", "balance/rules/targets.yaml", "bone-means: edible-bone", "bone-means: bone"},
		{"targets", "balance/rules/targets.yaml", "aim: \"70 %\"", "aim: \"70\""},
		{"household", "examples/audit/household.yaml", "weight: 760 g", "weight: 760"},
		{"household", "examples/audit/household.yaml", "sex: jill", "sex: girl"},
		{"household", "examples/audit/household.yaml", "pieces: 4", "pieces: four"},
		{"plan", "examples/audit/plan.yaml", "meal: 1", "meal: 0"},
		{"plan", "examples/audit/plan.yaml", "for: [bramble, thistle]", "for: []"},
	} {
		data, err := os.ReadFile(filepath.Join(root, tc.file))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(data), tc.old) {
			t.Errorf("%s does not hold %q", tc.file, tc.old)
			continue
		}
		for text, good := range map[string]bool{string(data): true, strings.Replace(string(data), tc.old, tc.new, 1): false} {
			var n yaml.Node
			if err := yaml.Unmarshal([]byte(text), &n); err != nil {
				t.Fatal(err)
			}
			if err := c.schemas[tc.kind].Validate(value(n.Content[0])); (err == nil) != good {
				t.Errorf("%s with %q: %v", tc.file, tc.new, err)
			}
		}
	}
}

// Messages that the protocol forbids.
func TestSchemas_messages(t *testing.T) {
	c, err := newChecker(os.DirFS("../schemas"))
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		kind, line string
		good       bool
	}{
		{"answer", `{"type":"answer","id":7,"refused":{"because":"lacking","reason":"No liver.","lacks":["liver"]}}`, true},
		{"answer", `{"type":"answer","id":7,"fault":"x"}`, true},
		{"answer", `{"type":"answer","id":7}`, false},
		{"answer", `{"type":"answer","id":7,"fault":"x","refused":{"because":"lacking","reason":"x"}}`, false},
		{"answer", `{"type":"answer","id":7,"refused":{"because":"mood","reason":"x"}}`, false},
		{"answer", `{"type":"answer","id":"7","fault":"x"}`, false},
		{"answer", `{"type":"hello","protocol":"fitchet.protocol/1","name":"n","version":"1"}`, true},
		{"answer", `{"type":"hello","protocol":"fitchet.protocol/2","name":"n","version":"1"}`, false},
		{"request", `{"type":"bye"}`, true},
		{"request", `{"type":"ask","id":1,"request":{}}`, false},
		{"known", `{"schema":"fitchet.known/1","known":[{"id":"k7qdm3vh","reason":"Frozen mice are not modelled yet."}]}`, true},
		{"known", `{"schema":"fitchet.known/1","known":[{"id":"k7qdm3vh"}]}`, false},
		{"run", `{"type":"close","results":1,"met":1,"failed":0,"exit":3}`, false},
	} {
		before := c.bad
		if err := c.lines(tc.kind, "test", []byte(tc.line)); err != nil {
			t.Fatal(err)
		}
		if (c.bad == before) != tc.good {
			t.Errorf("%s: %s: fits %v, want %v", tc.kind, tc.line, c.bad == before, tc.good)
		}
	}
}
