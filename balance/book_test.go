package balance_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/balance/prose"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// testdata/targets.csv holds the shares that common practice states, as
// low-aim-high of muscle, heart, bone, liver and organ.
func TestShippedTargets(t *testing.T) {
	k := open(t)
	want := make(map[string][]string)
	for _, row := range rows(t, "targets.csv", "target,bone_means,shares,source") {
		want[row[0]] = row
		if _, err := k.book.Target(row[0]); err != nil || row[3] == "" {
			t.Errorf("%v: no source, or %v", row, err)
		}
	}
	for _, target := range k.book.Targets() {
		row := want[target.ID]
		if row == nil {
			t.Errorf("target %s is in no row of testdata/targets.csv", target.ID)
			continue
		}
		var words []string
		for _, s := range target.Shares {
			words = append(words, fmt.Sprintf("%s-%s-%s", s.Low.Percent(), s.Aim.Percent(), s.High.Percent()))
			if s.AimRef.Evidence != cite.Practice {
				t.Errorf("%s, %s: the aim is %s; no published share is known", target.ID, s.Slot, s.AimRef)
			}
			if !s.BoundsRef.Evidence.Valid() {
				t.Errorf("%s, %s: nobody's tolerance", target.ID, s.Slot)
			}
		}
		if got := strings.Join(words, " "); got != row[2] || target.BoneMeans.String() != row[1] {
			t.Errorf("%s: %s with %s, want %s with %s (%s)", target.ID, got, target.BoneMeans, row[2], row[1], row[3])
		}
	}
	if target, err := k.book.Target(""); err != nil || target.ID != balance.DefaultTarget {
		t.Errorf("default target %v, %v", target, err)
	}
}

// testdata/limits.csv holds the limits as they were read in their tables, typed
// a second time, with the figure that is printed there. AAFCO prints dry matter
// of 4000 kcal ME/kg, so per 1000 kcal it is divided by four. Every rule about a
// nutrient has a row.
func TestShippedLimits(t *testing.T) {
	k := open(t)
	text := func(l *balance.Limit) string {
		if l == nil {
			return ""
		}
		return l.Text
	}
	tried := make(map[string]bool)
	for _, row := range rows(t, "limits.csv", "rule,low,high,printed,source") {
		id, low, high := row[0], row[1], row[2]
		tried[id] = true
		r, ok := k.book.Rule(id)
		if !ok || row[3] == "" || row[4] == "" {
			t.Errorf("%v: no such rule, or nothing printed", row)
			continue
		}
		if text(r.Low) != low || text(r.High) != high {
			t.Errorf("%s: %q to %q, want %q to %q (%s, %s)", id, text(r.Low), text(r.High), low, high, row[3], row[4])
		}
	}
	for _, r := range k.book.Rules() {
		if r.Check.Nutrient() && !tried[r.ID] {
			t.Errorf("limit of %s is in no row of testdata/limits.csv", r.ID)
		}
	}
}

// rows reads a table of testdata with the columns given.
func rows(t *testing.T, name, columns string) [][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(all) < 2 || strings.Join(all[0], ",") != columns {
		t.Fatalf("%s: %v, want %s and rows", name, err, columns)
	}
	return all[1:]
}

// Evidence of the shipped rules: every bound has some, a nutrient limit that
// rests on practice only watches, and one that was made for another animal says
// which.
func TestShippedEvidence(t *testing.T) {
	k := open(t)
	for _, r := range k.book.Rules() {
		limits := []*balance.Limit{r.Low, r.High}
		for _, l := range limits {
			if l == nil {
				continue
			}
			if err := l.Ref.Check(k.book.Registry()); err != nil {
				t.Errorf("%s: %v", r.ID, err)
			}
			if r.Check.Nutrient() && l.Ref.Evidence > cite.Derived && r.Severity != balance.Watch {
				t.Errorf("%s: a nutrient limit of evidence %s asks for more than watching", r.ID, l.Ref.Evidence)
			}
			for _, key := range l.Ref.Sources {
				if (strings.HasPrefix(key, "aafco") || strings.HasPrefix(key, "fediaf")) && l.Ref.Borrowed == "" {
					t.Errorf("%s: a limit of %s does not say for which animal it was made", r.ID, key)
				}
			}
		}
		if !strings.HasSuffix(r.Title, ".") || !strings.HasSuffix(r.Means, ".") || r.Since == "" {
			t.Errorf("%s: title and meaning are sentences, and since is set", r.ID)
		}
	}
}

const goodRule = `schema: fitchet.rules/1
rules:
  - id: own-calcium
    title: Own calcium.
    check: per-energy
    nutrient: calcium
    period: week
    gravity: watch
    means: Ours.
    low: {value: "1.5 g", ref: "choice: ours"}
    since: "2026-12"
`

const goodTarget = `schema: fitchet.targets/1
targets:
  - id: own-shares
    title: Own shares
    species: ferret
    style: assembled
    heart: in-muscle
    bone-means: edible-bone
    period: week
    shares:
      - {slot: muscle, aim: "80 %", low: "75 %", high: "85 %", aim-ref: practice, bounds-ref: "choice: ours"}
      - {slot: bone, aim: "10 %", low: "8 %", high: "12 %", aim-ref: practice, bounds-ref: "choice: ours"}
      - {slot: liver, aim: "5 %", low: "4 %", high: "6 %", aim-ref: practice, bounds-ref: "choice: ours"}
      - {slot: organ, aim: "5 %", low: "4 %", high: "6 %", aim-ref: practice, bounds-ref: "choice: ours"}
    since: "2026-12"
`

// Faults of files, each with its place; all at once.
func TestLoadFaults(t *testing.T) {
	k := open(t)
	tests := []struct {
		name, file, old, new string
		want                 []string
	}{
		{"bare number where a unit is needed", goodRule, `"1.5 g"`, `"1.5"`, []string{"own.yaml:10:18: ", "no unit"}},
		{"unit of another kind", goodRule, `"1.5 g"`, `"1.5 IU"`, []string{"own.yaml:10:18: ", "IU cannot be turned into mg"}},
		{"memory is no evidence", goodRule, "choice: ours", "memory", []string{"own.yaml:10:", "recalled"}},
		{"choice without a reason", goodRule, `"choice: ours"`, `"choice"`, []string{"own.yaml:10:", "reason"}},
		{"unknown source", goodRule, `"choice: ours"`, `"published nobody-1999: p. 1"`, []string{"own.yaml:10:", "nobody-1999"}},
		{"unknown check", goodRule, "per-energy", "per-vibes", []string{"own.yaml:5:12: ", "per-vibes"}},
		{"misspelt key", goodRule, "nutrient:", "nutreint:", []string{"nutreint", `did you mean "nutrient"`}},
		{"unknown nutrient", goodRule, "nutrient: calcium", "nutrient: kalzium", []string{"own.yaml:6:15: "}},
		{"no time", goodRule, `since: "2026-12"`, `since: "-273 °C"`, []string{"own.yaml:11:12: ", "want a year"}},
		{"an end that is none", goodRule, `since: "2026-12"`, "since: \"2026-12\"\n    until: soon", []string{"own.yaml:12:12: ", "want a year"}},
		{"an end before the beginning", goodRule, `since: "2026-12"`, "since: \"2026-12\"\n    until: \"2025\"", []string{"own.yaml:12:12: until 2025 comes before since 2026-12"}},
		{"a month that is none", goodTarget, `since: "2026-12"`, `since: "2026-13"`, []string{"want a year"}},
		{"misspelt animal", goodRule, "    period:", "    species: [feret]\n    period:", []string{"own.yaml:7:15: ", `did you mean "ferret"`}},
		{"misspelt animal of a target", goodTarget, "species: ferret", "species: feret", []string{"own.yaml:5:14: ", `did you mean "ferret"`}},
		{"misspelt tag", goodRule, "check: per-energy\n    nutrient: calcium", "check: mass-share\n    of: kind\n    tag: diary", []string{"own.yaml:7:10: ", `did you mean "dairy"`}},
		{"no bound", goodRule, `    low: {value: "1.5 g", ref: "choice: ours"}` + "\n", "", []string{"needs low, high or both"}},
		{"low over high", goodRule, "    since:", "    high: {value: \"1 g\", ref: \"choice: ours\"}\n    since:", []string{"low 1.5 g lies above high 1 g"}},
		{"another schema", goodRule, "fitchet.rules/1", "fitchet.rules/9", []string{"own.yaml:1:9: "}},
		{"id twice", goodRule, "since: \"2026-12\"\n", "since: \"2026-12\"\n" + strings.SplitAfter(goodRule, "rules:\n")[1], []string{"given twice"}},
		{"shares do not sum", goodTarget, `aim: "80 %"`, `aim: "81 %"`, []string{"own.yaml:11:", "101 %"}},
		{"aim outside its bounds", goodTarget, `low: "75 %"`, `low: "82 %"`, []string{"own.yaml:11:"}},
		{"heart twice over", goodTarget, "slot: organ", "slot: heart", []string{"counted in the muscle", "no share for organ"}},
		{"slot twice", goodTarget, "slot: organ", "slot: liver", []string{"liver is given twice"}},
		{"share as a fraction", goodTarget, `"80 %"`, `"0.8"`, []string{"own.yaml:11:"}},
		{"shares for complete food", goodTarget, "style: assembled", "style: complete", []string{"sets no shares"}},
		{"no meaning of bone", goodTarget, "    bone-means: edible-bone\n", "", []string{"bone-means"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if !strings.Contains(tt.file, tt.old) {
				t.Fatal("the row changes nothing")
			}
			text := strings.Replace(tt.file, tt.old, tt.new, 1)
			var err error
			if tt.file == goodRule {
				_, err = balance.LoadRules("own.yaml", strings.NewReader(text), k.book.Registry())
			} else {
				_, err = shares.Load("own.yaml", strings.NewReader(text), k.book.Registry())
			}
			var faults strict.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("error %v, want strict.Faults", err)
			}
			for _, want := range tt.want {
				if !strings.Contains(err.Error(), want) {
					t.Errorf("error does not hold %q:\n%v", want, err)
				}
			}
		})
	}
	// Two faults are both told.
	_, err := balance.LoadRules("own.yaml", strings.NewReader(strings.NewReplacer("watch", "panic", `"1.5 g"`, `"1.5"`).Replace(goodRule)), k.book.Registry())
	var faults strict.Faults
	if !errors.As(err, &faults) || len(faults) != 2 {
		t.Errorf("%d faults, want 2: %v", len(faults), err)
	}
	if _, err := shares.Load("own.yaml", strings.NewReader(goodTarget), k.book.Registry()); err != nil {
		t.Error(err)
	}
}

// Own rules lie over the shipped ones; a clash needs a reason.
func TestOverlay(t *testing.T) {
	k := open(t)
	b := rulesOf(t, k, goodRule)
	if n := len(b.Rules()); n != len(k.book.Rules())+1 {
		t.Errorf("%d rules", n)
	}
	if _, ok := k.book.Rule("own-calcium"); ok {
		t.Error("the shipped book was changed")
	}
	lay := func(old, new string) error {
		rules, err := balance.LoadRules("own.yaml", strings.NewReader(strings.ReplaceAll(goodRule, old, new)), k.book.Registry())
		if err != nil {
			t.Fatal(err)
		}
		_, err = k.book.WithRules(rules)
		return err
	}
	if err := lay("own-calcium", "calcium-least"); !errors.Is(err, balance.ErrClash) {
		t.Errorf("an id that is taken: %v", err)
	}
	if err := lay("id: own-calcium", "id: calcium-least\n    override: our vet asks for it"); err != nil {
		t.Errorf("an override with a reason: %v", err)
	}
	if err := lay("id: own-calcium", "id: own-calcium\n    override: nothing there"); !errors.Is(err, balance.ErrClash) {
		t.Errorf("an override of nothing: %v", err)
	}
	for name, change := range map[string]func(*balance.Rule){
		"tag":     func(r *balance.Rule) { r.Tag = "xilitol" },
		"species": func(r *balance.Rule) { r.Species = []string{"feret"} },
		"since":   func(r *balance.Rule) { r.Since = "soon" },
		"until":   func(r *balance.Rule) { r.Until = "never" },
	} {
		own, err := balance.LoadRules("own.yaml", strings.NewReader(goodRule), k.book.Registry())
		if err != nil {
			t.Fatal(err)
		}
		change(&own[0])
		if _, err := k.book.WithRules(own); err == nil {
			t.Errorf("a rule by hand with a %s that is none was taken", name)
		}
	}
	retired := strings.Replace(strings.Replace(goodRule, "own-calcium", "calcium-least\n    override: not for us", 1), "since:", "until: \"2026-12\"\n    since:", 1)
	r := k.audit(t, balance.Input{Plan: k.week(t, 7, "1.1: thigh 9 g"), Book: rulesOf(t, k, retired)})
	if f := one(t, r, "calcium-least"); f.Verdict != balance.NotApplicable || f.Reason != balance.NotInForce {
		t.Errorf("a retired rule: %s, %s", f.Verdict, f.Reason.Words())
	}
}

// A rule may name the one it replaces, and rules in a ring are refused.
func TestReplaces(t *testing.T) {
	k := open(t)
	rule := func(id, replaces string) string {
		return strings.Replace(strings.Replace(strings.TrimPrefix(goodRule, "schema: fitchet.rules/1\nrules:\n"), "own-calcium", id, 1), "since:", "replaces: "+replaces+"\n    since:", 1)
	}
	lay := func(rules ...string) (*balance.Book, error) {
		t.Helper()
		list, err := balance.LoadRules("own.yaml", strings.NewReader("schema: fitchet.rules/1\nrules:\n"+strings.Join(rules, "")), k.book.Registry())
		if err != nil {
			return nil, err
		}
		return k.book.WithRules(list)
	}
	b, err := lay(rule("one", "calcium-least"), rule("two", "one"), rule("three", "given-up-long-ago"))
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"one": "calcium-least", "two": "one", "three": "given-up-long-ago", "calcium-least": "", "iodine-least": "iodine-least-1995"} {
		if r, ok := b.Rule(id); !ok || r.Replaces != want {
			t.Errorf("%s: %+v", id, r)
		}
	}
	if _, err := lay(rule("one", "two"), rule("two", "three"), rule("three", "one"), rule("four", "three")); !errors.Is(err, balance.ErrClash) ||
		strings.Count(err.Error(), "replaces itself") != 3 || strings.Contains(err.Error(), "four") {
		t.Errorf("a ring of three and one beside it: %v", err)
	}
	var faults strict.Faults
	if _, err := lay(rule("one", "one")); !errors.As(err, &faults) || len(faults) != 1 || faults[0].Line == 0 || !strings.Contains(err.Error(), "cannot replace itself") {
		t.Errorf("itself: %v", err)
	}
	if _, err := lay(rule("one", "Not An Id")); !errors.As(err, &faults) {
		t.Errorf("no id: %v", err)
	}
	if _, err := k.book.WithRules([]balance.Rule{{ID: "own", Replaces: "own"}}); !errors.Is(err, balance.ErrClash) {
		t.Errorf("itself, built in code: %v", err)
	}
}

// An own target is used like a shipped one.
func TestOwnTarget(t *testing.T) {
	k := open(t)
	targets, err := shares.Load("own.yaml", strings.NewReader(goodTarget), k.book.Registry())
	if err != nil {
		t.Fatal(err)
	}
	b, err := k.book.WithTargets(targets)
	if err != nil {
		t.Fatal(err)
	}
	p := k.week(t, 7, "1.1: thigh 70 g, heart 10 g, bone 10 g, liver 5 g, kidney 5 g")
	p.Target = "own-shares"
	r := k.audit(t, balance.Input{Plan: p, Book: b})
	if f := one(t, r, "share-muscle"); f.Verdict != balance.Met || f.MeasuredText() != "80 % of the five slots" {
		t.Errorf("heart inside the muscle: %s %s", f.Verdict, f.MeasuredText())
	}
	if f := one(t, r, "share-heart"); f.Verdict != balance.NotApplicable {
		t.Errorf("no heart slot: %s", f.Verdict)
	}
}

// A report may be read by several at once. Run with -race.
func TestReportIsConcurrent(t *testing.T) {
	k := open(t)
	p := k.week(t, 7, "1-7.1 bramble: thigh 60 g, liver 9 g, pork 3 g")
	r := k.audit(t, balance.Input{Plan: p, Household: rescue(ferret("bramble", ration.Jill, 800)), Foods: k.foods})
	texts := make([]bytes.Buffer, 4)
	var wg sync.WaitGroup
	for i := range texts {
		wg.Go(func() {
			if err := prose.Write(&texts[i], r); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	for i := range texts {
		if texts[i].String() != texts[0].String() {
			t.Error("the same report gave two texts")
		}
	}
}

// How a food fills the slots under each meaning of bone.
func TestTargetSlots(t *testing.T) {
	k := open(t)
	edible, err1 := k.book.Target("assembled-edible-bone")
	boneIn, err2 := k.book.Target("assembled-bone-in-meat")
	inMuscle, err3 := k.book.Target("assembled-heart-in-muscle")
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	type slots = [shares.NumSlots]units.Share
	tests := []struct {
		target *shares.Target
		food   string
		at     prey.Case
		want   slots
		ok     bool
	}{
		{edible, "wing", prey.Typical, slots{620_000, 0, 380_000}, true},
		{edible, "wing", prey.LeastBone, slots{690_000, 0, 310_000}, true},
		{edible, "wing", prey.MostBone, slots{540_000, 0, 460_000}, true},
		{boneIn, "wing", prey.LeastBone, slots{0, 0, 1_000_000}, true},
		{boneIn, "thigh", prey.Typical, slots{1_000_000}, true},
		{inMuscle, "heart", prey.Typical, slots{1_000_000}, true},
		{edible, "heart", prey.Typical, slots{0, 1_000_000}, true},
		{edible, "egg", prey.Typical, slots{}, true},
		{edible, "riddle", prey.Typical, slots{}, false},
		{edible, "thigh", prey.NumCases, slots{}, false},
	}
	for _, tt := range tests {
		got, ok := tt.target.Slots(k.food(t, tt.food), tt.at)
		if got != tt.want || ok != tt.ok {
			t.Errorf("%s of %s at %s: %v %v, want %v %v", tt.target.ID, tt.food, tt.at, got, ok, tt.want, tt.ok)
		}
	}
	if _, ok := edible.Slots(nil, prey.Typical); ok {
		t.Error("no food fills slots")
	}
}

func FuzzLoadRules(f *testing.F) {
	f.Add(goodRule)
	f.Add("schema: fitchet.rules/1\nrules: []\n")
	f.Add("schema: 1\nrules: [{id: a, check: hazard}]\n")
	reg, err := cite.Shipped()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rules, err := balance.LoadRules("fuzz.yaml", strings.NewReader(text), reg)
		if err == nil {
			for i := range rules {
				if rules[i].ID == "" || rules[i].Title == "" {
					t.Errorf("a rule without id or title was accepted: %+v", rules[i])
				}
			}
		}
	})
}

func FuzzLoadTargets(f *testing.F) {
	f.Add(goodTarget)
	f.Add("schema: fitchet.targets/1\ntargets: []\n")
	reg, err := cite.Shipped()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		targets, err := shares.Load("fuzz.yaml", strings.NewReader(text), reg)
		if err == nil {
			for i := range targets {
				if targets[i].ID == "" || targets[i].Style != shares.Complete && len(targets[i].Shares) < 4 {
					t.Errorf("a target without id or shares was accepted: %+v", targets[i])
				}
			}
		}
	})
}

// A book of some rules asks those alone, in the order of the whole one.
func TestOnly(t *testing.T) {
	k := open(t)
	some, err := k.book.Only("ca-p-floor", "share-liver")
	if err != nil {
		t.Fatal(err)
	}
	in := balance.Input{Book: some, Plan: k.week(t, 7, "1-7.1: thigh 50 g, liver 4 g, pork 2 g")}
	r := k.audit(t, in)
	var got []string
	for _, f := range r.Findings {
		got = append(got, f.Rule.ID+" "+f.Verdict.String())
	}
	if want := "[share-liver missed ca-p-floor missed]"; fmt.Sprint(got) != want {
		t.Errorf("findings %v, want %s", got, want)
	}
	in.Book = k.book
	if all := k.audit(t, in); all.Count(balance.Stop, balance.Missed) == 0 {
		t.Error("the whole book does not stop pork")
	}
	if len(k.book.Rules()) < 50 || len(some.Rules()) != 2 {
		t.Errorf("%d and %d rules", len(k.book.Rules()), len(some.Rules()))
	}
	if _, err := k.book.Only("share-liver", "nonsense", "more"); !errors.Is(err, balance.ErrUnknownRule) || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("unknown rules: %v", err)
	}
}
