package corpus_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/corpus"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/ration/switchover"
	"fitchet.example/safety"
	"fitchet.example/units/cite"
)

var update = flag.Bool("update", false, "write the lists of nutrients into the schemas")

// words are the words of an enumeration of the library as its values print
// them, without those that stand for nothing.
func words[T interface {
	~uint8
	fmt.Stringer
}](nothing ...string) []string {
	var all []string
	for i := range 256 {
		word := T(i).String()
		// a value that stands for nothing prints as "no level" or "level 7"
		none := word == "" || strings.HasPrefix(word, "no ") || strings.HasSuffix(word, fmt.Sprintf(" %d", i))
		if !none && !slices.Contains(all, word) && !slices.Contains(nothing, word) {
			all = append(all, word)
		}
	}
	return all
}

// schemaList is a list of the library and the places of the schemas where it
// stands, each as file#pointer.
type schemaList struct {
	words  []string
	some   bool // the schema may hold fewer
	places string
}

// own are lists of one program alone, of which the library knows nothing: what
// the program prints is held against its schema.
const own = `handout#/properties/form handout#/properties/topics/items/properties/id
	card#/$defs/first/properties/level logbook#/$defs/first/properties/level logbook#/properties/days
	weekplan#/$defs/outcome weekplan#/$defs/first/items/properties/gravity weekplan#/$defs/styles/properties/styles/items/properties/style
	weekplan#/$defs/vet/properties/nutrients/items/properties/basis weekplan#/$defs/finding/properties/changes/items/properties/change
	case#/$defs/case/properties/expect/items/properties/side
	request#/$defs/request/properties/target/properties/heart targets#/$defs/target/properties/heart
	answer#/$defs/answer/properties/refused/properties/lacks/items scenario#/$defs/scenario/properties/lacks/items
	food#/properties/figures/items/properties/basis food#/properties/bone/items/properties/basis
	run#/$defs/open/properties/what run#/$defs/result/properties/outcome run#/$defs/result/properties/answer
	run#/$defs/plan/properties/outcome run#/$defs/close/properties/exit`

func schemaLists(t *testing.T) []schemaList {
	t.Helper()
	var nutrients, parts, slots, forms, checks, reasons, reaches []string
	for _, n := range prey.Nutrients() {
		nutrients = append(nutrients, n.Key())
	}
	for _, p := range prey.Parts() {
		parts = append(parts, p.Key())
	}
	for _, s := range shares.Slots() {
		slots = append(slots, s.String())
	}
	for _, c := range balance.Checks() {
		checks = append(checks, c.String())
	}
	for _, f := range safety.Forms() {
		forms = append(forms, f.String())
	}
	for i := range 256 {
		if r := balance.Reason(i); r.Words() != "" {
			reasons = append(reasons, corpus.ReasonWord(r))
		}
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range reg.Keys() {
		if s, _ := reg.Source(key); !slices.Contains(reaches, s.Reach) {
			reaches = append(reaches, s.Reach)
		}
	}
	sexes := words[ration.Sex]()
	verdicts := words[balance.Verdict]()
	return []schemaList{
		{slices.DeleteFunc(slices.Clone(nutrients), func(n string) bool { return n == prey.Carbohydrate.Key() }), false,
			`foods#/properties/foods/items/properties/nutrients/properties`},
		{nutrients, false, `common#/$defs/nutrient 
			request#/$defs/request/properties/foods/items/properties/nutrients/properties`},
		{parts, false, `foods#/properties/foods/items/properties/parts/properties food#/properties/parts/items/properties/part`},
		{slots, false, `common#/$defs/slot`},
		{words[prey.Kind](), false, `common#/$defs/kind`},
		{words[prey.Colour](), false, `common#/$defs/colour`},
		{[]string{prey.Refuse.String(), prey.CleanBone.String()}, false, `food#/properties/bone-basis`},
		{words[prey.BoneBasis](), false, `food#/properties/bone/items/properties/basis`},
		{forms, false, `common#/$defs/form setout#/properties/form`},
		{words[safety.Severity](), false, `common#/$defs/gravity logbook#/$defs/verdict/properties/gravity
			setout#/$defs/hazard/properties/gravity weekplan#/$defs/gravity`},
		{words[safety.Level](), false, `setout#/properties/level`},
		{words[safety.Status](), false, `setout#/$defs/limit/properties/status`},
		{words[safety.NoticeKind](), false, `common#/$defs/notices/items/properties/kind`},
		{[]string{"in-force", "clear"}, false, `common#/$defs/notices/items/properties/state`}, // a notice that is not known of has no row
		{[]string{ration.Ferret, ration.Cat, ration.Mink}, false, `common#/$defs/species`},
		{append([]string{"male", "female"}, slices.DeleteFunc(slices.Clone(sexes), func(s string) bool { return s == "unknown" })...), false, `common#/$defs/sex`},
		{append([]string{"male", "female"}, sexes...), false, `weekplan#/$defs/card/properties/cards/items/properties/sex`},
		{words[ration.Stage]("by age"), false, `common#/$defs/stage`},
		{ration.Conditions(), false, `common#/$defs/condition`},
		{words[ration.Style](), false, `household#/properties/style`},
		{append([]string{"begin"}, words[switchover.Move]()...), false, `switchover#/$defs/animal/properties/move`},
		{words[log.Urgency](), false, `logbook#/$defs/stool/properties/urgency`},
		{words[log.Answer](), false, `logbook#/$defs/got/properties/answer`},
		{verdicts, false, `common#/$defs/verdict weekplan#/$defs/verdict logbook#/$defs/share/properties/verdict
			logbook#/$defs/share/properties/verdict_over_all_that_may_have_been_eaten
			logbook#/$defs/verdict/properties/verdict_over_all_that_may_have_been_eaten`},
		{append([]string{"care"}, verdicts...), false, `logbook#/$defs/verdict/properties/verdict`},
		{verdicts, true, `case#/$defs/case/properties/expect/items/allOf/0/if/properties/verdict
			weekplan#/$defs/styles/properties/styles/items/properties/left_open/items/properties/verdict`},
		{reasons, false, `common#/$defs/reason`},
		{words[plan.Outcome](), false, `weekplan#/$defs/searched`},
		{words[shares.Style](), false, `request#/$defs/request/properties/target/properties/style targets#/$defs/target/properties/style`},
		{words[shares.BoneMeans](), false, `report#/properties/target/properties/bone_means
			request#/$defs/request/properties/target/properties/bone-means targets#/$defs/target/properties/bone-means
			weekplan#/$defs/report/properties/target/properties/bone_means`},
		{checks, false, `rules#/$defs/rule/properties/check request#/$defs/request/properties/rules/items/properties/check`},
		{checks, true, `rules#/$defs/rule/allOf/1/if/properties/check rules#/$defs/rule/allOf/2/if/properties/check
			rules#/$defs/rule/allOf/4/if/properties/check rules#/$defs/rule/allOf/5/if/properties/check rules#/$defs/rule/allOf/6/if/properties/check`},
		{words[shares.Period](), false, `rules#/$defs/rule/properties/period request#/$defs/request/properties/rules/items/properties/period
			targets#/$defs/target/properties/period`},
		{words[balance.LifeStage](), false, `rules#/$defs/rule/properties/stage request#/$defs/request/properties/rules/items/properties/stage`},
		{words[balance.Subject]("nothing"), false, `rules#/$defs/rule/properties/of request#/$defs/request/properties/rules/items/properties/of`},
		{words[balance.SplitBy](), false, `rules#/$defs/rule/properties/shared request#/$defs/request/properties/rules/items/properties/shared`},
		{[]string{string(corpus.Low), string(corpus.High)}, false, `case#/$defs/case/properties/bound`},
		{[]string{string(corpus.At), string(corpus.Inside), string(corpus.Outside)}, false, `case#/$defs/case/properties/side`},
		{[]string{string(corpus.WantPlan), string(corpus.WantRefused), string(corpus.WantEither)}, false, `scenario#/$defs/scenario/properties/want`},
		{[]string{string(corpus.Lacking), string(corpus.Unsafe), string(corpus.NoFigure), string(corpus.Clash)}, false,
			`answer#/$defs/answer/properties/refused/properties/because scenario#/$defs/scenario/properties/because/items`},
		{words[cite.Evidence](), true, `handout#/properties/notes/items/properties/evidence`},
		{reaches, false, `handout#/properties/sources/items/properties/reach`},
	}
}

// Every closed list of every schema is that of the library, and every list of
// the library that a schema should hold is there.
func TestSchemaLists(t *testing.T) {
	if *update {
		writeNutrients(t)
	}
	have := make(map[string][]string)
	for name, file := range schemaFiles(t) {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var schema any
		if err := json.Unmarshal(text, &schema); err != nil {
			t.Fatal(file, err)
		}
		gather(schema, name+"#", have)
	}
	seen := make(map[string]bool)
	for _, l := range schemaLists(t) {
		want := slices.Sorted(slices.Values(l.words))
		for _, place := range strings.Fields(l.places) {
			got, ok := have[place]
			seen[place] = true
			slices.Sort(got)
			outside := slices.DeleteFunc(slices.Clone(got), func(w string) bool { return slices.Contains(want, w) })
			if !ok || len(outside) > 0 || !l.some && !slices.Equal(got, want) {
				t.Errorf("%s: %v, the library has %v", place, got, want)
			}
		}
	}
	for _, place := range strings.Fields(own) {
		if _, ok := have[place]; !ok {
			t.Errorf("%s: no such list", place)
		}
		seen[place] = true
	}
	for _, place := range slices.Sorted(maps.Keys(have)) {
		if !seen[place] && !strings.HasSuffix(place, "/properties") {
			t.Errorf("%s: %v is compared with nothing", place, have[place])
		}
	}
}

// schemaFiles are the schemas of the corpus and of the programs by name.
func schemaFiles(t *testing.T) map[string]string {
	t.Helper()
	files := make(map[string]string)
	for _, pattern := range []string{"../../testdata/schemas/*.schema.json", "../../examples/*/*.schema.json"} {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) == 0 {
			t.Fatalf("%s: %v, %v", pattern, found, err)
		}
		for _, file := range found {
			name := strings.TrimSuffix(filepath.Base(file), ".schema.json")
			if files[name] != "" {
				t.Fatalf("two schemas are called %s", name)
			}
			files[name] = file
		}
	}
	return files
}

// gather collects enumerations, and the names of properties, by their place.
func gather(schema any, place string, to map[string][]string) {
	switch s := schema.(type) {
	case map[string]any:
		if list, ok := s["enum"].([]any); ok {
			for _, v := range list {
				to[place] = append(to[place], fmt.Sprint(v))
			}
		}
		for key, v := range s {
			if m, ok := v.(map[string]any); ok && key == "properties" {
				to[place+"/"+key] = slices.Collect(maps.Keys(m))
			}
			gather(v, place+"/"+key, to)
		}
	case []any:
		for i, v := range s {
			gather(v, fmt.Sprintf("%s/%d", place, i), to)
		}
	}
}

// writeNutrients writes the three lists of nutrients anew. In an object, each
// nutrient is described like the first, with its own unit.
func writeNutrients(t *testing.T) {
	t.Helper()
	files := schemaFiles(t)
	const key, unit = `"water"`, ` g$"` // of the first
	for _, list := range []struct {
		file, head, opens string
		but               prey.Nutrient
	}{
		{"common", `"nutrient": {`, `"enum": [`, prey.NumNutrients},
		{"foods", `"nutrients": {`, `"properties": {`, prey.Carbohydrate}, // it is the difference
		{"request", `"nutrients": {`, `"properties": {`, prey.NumNutrients},
	} {
		text, err := os.ReadFile(files[list.file])
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(string(text), "\n")
		find := func(from int, good func(line string) bool) int {
			i := slices.IndexFunc(lines[from:], good)
			if i < 0 {
				t.Fatalf("%s: no list after %s", list.file, list.head)
			}
			return from + i
		}
		head := find(0, func(l string) bool { return strings.TrimSpace(l) == list.head })
		start := find(head, func(l string) bool { return strings.TrimSpace(l) == list.opens }) + 1
		indent := lines[start][:strings.Index(lines[start], `"`)]
		end := find(start, func(l string) bool { return !strings.HasPrefix(l, indent) })
		next := start + 1 + slices.IndexFunc(lines[start+1:end], func(l string) bool { return strings.HasPrefix(l, indent+`"`) })
		first := strings.TrimSuffix(strings.Join(lines[start:next], "\n"), ",")
		var rows []string
		for _, n := range prey.Nutrients() {
			if n != list.but {
				row := strings.Replace(first, key, `"`+n.Key()+`"`, 1)
				rows = append(rows, strings.ReplaceAll(row, unit, " "+n.Unit()+`$"`))
			}
		}
		out := slices.Concat(lines[:start], []string{strings.Join(rows, ",\n")}, lines[end:])
		if err := os.WriteFile(files[list.file], []byte(strings.Join(out, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
