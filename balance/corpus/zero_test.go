package corpus_test

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
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
	"fitchet.example/units/strict"
)

// rooms are the packages whose words are looked at, by the path from here: all of the
// library that a program may import.
func rooms(t *testing.T) (dirs []string) {
	t.Helper()
	for _, top := range []string{"units", "prey", "safety", "ration", "balance"} {
		err := filepath.WalkDir("../../"+top, func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil || !d.IsDir():
				return err
			case d.Name() == "internal" || d.Name() == "testdata":
				return fs.SkipDir
			}
			dirs = append(dirs, path)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return dirs
}

// nothing is what the zero value of most enumerations must be: invalid, and not
// to be written. The others say what they are and why that claims nothing.
const nothing = "nothing"

// zeroWords are all enumerations of the library, by their zero value.
func zeroWords() []struct{ zero, why any } {
	const index = "an index into arrays that begin with it: no value stands for none"
	return []struct{ zero, why any }{
		{balance.LifeStage(0), "names no stage of life, so the rule holds for all"},
		{balance.Subject(0), nothing},
		{shares.BoneMeans(0), nothing},
		{balance.Form(0), nothing},
		{plan.Outcome(0), nothing},
		{shares.Period(0), nothing},
		{balance.Reason(0), "no reason: whatever is open or does not apply has one"},
		{balance.Side(0), "past neither bound, which is no verdict"},
		{shares.Slot(0), index},
		{balance.SplitBy(0), nothing},
		{shares.Style(0), nothing},
		{balance.Verdict(0), nothing},
		{cite.Evidence(0), nothing},
		{corpus.Because(""), "empty, and refused by the reader and the judge"},
		{corpus.Bound(""), "empty, and refused by the reader"},
		{corpus.Side(""), "empty, and refused by the reader"},
		{corpus.Wanted(""), "empty, and refused by the reader"},
		{prey.Case(0), index},
		{prey.Colour(0), nothing},
		{prey.BoneBasis(0), nothing},
		{prey.EnergyMethod(0), index},
		{prey.Kind(0), nothing},
		{prey.Nutrient(0), index},
		{prey.Part(0), index},
		{log.Answer(0), "open: the log does not say"},
		{ration.ChoiceID(""), "empty"},
		{log.RangeEnd(0), nothing},
		{ration.EstimateUnit(0), nothing},
		{log.Seen(0), "nobody saw"},
		{switchover.Move(0), nothing},
		{ration.Sex(0), "unknown"},
		{ration.Stage(0), "by age: none was stated"},
		{log.StoolClass(0), "unknown"},
		{ration.Style(0), "any: none was stated"},
		{log.Urgency(0), nothing},
		{safety.FreezeAnswer(0), nothing},
		{safety.TimeWarmKind(0), "an earlier time of no said kind; its length counts all the same"},
		{safety.Cold(0), nothing},
		{safety.Force(0), nothing},
		{safety.Form(0), nothing},
		{safety.Severity(0), nothing},
		{safety.Level(0), nothing},
		{safety.Measured(0), nothing},
		{safety.Model(0), nothing},
		{safety.NoticeKind(0), nothing},
		{safety.Outcome(0), nothing},
		{safety.People(0), "not asked: the cautions for people not asked about stand"},
		{safety.StoragePlace(0), nothing},
		{safety.Standing(0), nothing},
		{safety.Status(0), nothing},
		{safety.Thing(0), nothing},
		{safety.ThawMethod(0), nothing},
		{strict.Kind(0), "invalid: missing or unusable"},
	}
}

// enumerations are the exported types of the library that have constants, as
// "package.Type", read from its source.
func enumerations(t *testing.T) []string {
	t.Helper()
	quantities := []string{"units.Mass", "units.Share", "units.Volume", "units.Energy", "units.Temperature", "units.Date", "prey.Density", "safety.Growth"}
	var out []string
	for _, dir := range rooms(t) {
		files, err := fs.Glob(os.DirFS(dir), "*.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(token.NewFileSet(), dir+"/"+name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				decl, ok := n.(*ast.GenDecl)
				if !ok || decl.Tok != token.CONST {
					return true
				}
				for _, spec := range decl.Specs {
					if typ, ok := spec.(*ast.ValueSpec).Type.(*ast.Ident); ok && typ.IsExported() {
						out = append(out, f.Name.Name+"."+typ.Name)
					}
				}
				return true
			})
		}
	}
	slices.Sort(out)
	return slices.DeleteFunc(slices.Compact(out), func(s string) bool { return slices.Contains(quantities, s) })
}

// TestZeroWords: no enumeration claims anything by its zero value, and what one
// prints, writes and reads are the same words.
func TestZeroWords(t *testing.T) {
	t.Parallel()
	var seen []string
	for _, w := range zeroWords() {
		name := reflect.TypeOf(w.zero).String()
		seen = append(seen, name)
		if kind := reflect.TypeOf(w.zero).Kind(); kind == reflect.String || kind == reflect.Int8 {
			continue
		}
		at := func(i int) any {
			return reflect.ValueOf(i).Convert(reflect.TypeOf(w.zero)).Interface()
		}
		valid := map[string]bool{}
		for i := range 256 {
			text, err := marshal(at(i))
			if err != nil {
				continue
			}
			says := fmt.Sprint(at(i))
			if valid[says] {
				t.Errorf("%s: two values print %q", name, says)
			}
			valid[says] = true
			back := reflect.New(reflect.TypeOf(w.zero))
			if u, ok := back.Interface().(encoding.TextUnmarshaler); !ok {
				continue
			} else if err := u.UnmarshalText(text); err != nil || back.Elem().Interface() != at(i) {
				t.Errorf("%s: %d is written %q and read as %v, %v", name, i, text, back.Elem(), err)
			}
		}
		if w.why != nothing {
			continue
		}
		for _, i := range []int{0, 255} {
			says := fmt.Sprint(at(i))
			if _, err := marshal(at(i)); err == nil {
				t.Errorf("%s: %d is written", name, i)
			}
			if valid[says] || i == 0 && !strings.HasPrefix(says, "no") {
				t.Errorf("%s: %d says %q", name, i, says)
			}
			if back, ok := reflect.New(reflect.TypeOf(w.zero)).Interface().(encoding.TextUnmarshaler); ok && back.UnmarshalText([]byte(says)) == nil {
				t.Errorf("%s: %q is read", name, says)
			}
		}
	}
	if want := enumerations(t); !slices.Equal(seen, want) {
		slices.Sort(seen)
		for _, name := range want {
			if !slices.Contains(seen, name) {
				t.Errorf("%s is not looked at", name)
			}
		}
		for _, name := range seen {
			if !slices.Contains(want, name) {
				t.Errorf("%s has no constants", name)
			}
		}
	}
}

// marshal writes a value as text. A type that only prints is taken as written
// while it says something else than a value past its end.
func marshal(v any) ([]byte, error) {
	if m, ok := v.(encoding.TextMarshaler); ok {
		return m.MarshalText()
	}
	past := reflect.ValueOf(255).Convert(reflect.TypeOf(v)).Interface()
	if says := fmt.Sprint(v); says != fmt.Sprint(past) {
		return []byte(says), nil
	}
	return nil, fmt.Errorf("no word for %v", v)
}

// TestZeroResults: what was not judged is never well.
func TestZeroResults(t *testing.T) {
	t.Parallel()
	book, err := balance.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	empty := &ration.Plan{Household: "none", Start: corpus.FirstDay}
	for d := range 7 {
		empty.Days = append(empty.Days, ration.Day{Date: corpus.FirstDay.AddDays(d)})
	}
	one, err := book.Only("eggs-weekly")
	if err != nil {
		t.Fatal(err)
	}
	audit := func(in balance.Input) *balance.Report {
		rep, err := balance.Audit(in)
		if err != nil {
			t.Fatal(err)
		}
		return rep
	}
	target, err := book.Target("")
	if err != nil {
		t.Fatal(err)
	}
	for name, rep := range map[string]*balance.Report{
		"nil":               nil,
		"zero":              {},
		"findings by hand":  {Findings: []balance.Finding{{Verdict: balance.Met, Severity: balance.Stop}}},
		"no food":           audit(balance.Input{Plan: empty}),
		"no food, one rule": audit(balance.Input{Plan: empty, Book: one}),
		"no rules":          audit(balance.Input{Plan: empty, Book: &balance.Book{}, Target: target}),
	} {
		if rep.Passed() {
			t.Errorf("%s: the report passes", name)
		}
	}
	if _, err := json.Marshal(&balance.Report{}); err == nil {
		t.Error("the zero report is written")
	}
	for name, j := range map[string]*corpus.Judgement{"nil": nil, "zero": {}} {
		if j.Good() {
			t.Errorf("%s: the judgement is good", name)
		}
	}
	if _, err := book.WithRules([]balance.Rule{{ID: "own"}}); !errors.Is(err, balance.ErrNotWhole) {
		t.Errorf("a rule without a check: %v", err)
	}
	if _, err := book.WithTargets([]shares.Target{{ID: "own"}}); !errors.Is(err, balance.ErrNotWhole) {
		t.Errorf("a target without a style: %v", err)
	}
	if (safety.Limit{}).Meets(0) {
		t.Error("the zero limit is met")
	}
}
