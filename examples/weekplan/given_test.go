package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// weekJSON runs the program for a week sheet in JSON.
func weekJSON(t *testing.T, args ...string) (map[string]json.RawMessage, []byte) {
	t.Helper()
	var out, complaint bytes.Buffer
	if code := run(append(args, "-format", "json"), strings.NewReader(""), &out, &complaint); code > 1 {
		t.Fatalf("%q: exit %d: %s", args, code, complaint.Bytes())
	}
	var s map[string]json.RawMessage
	if err := json.Unmarshal(out.Bytes(), &s); err != nil {
		t.Fatal(err)
	}
	return s, out.Bytes()
}

func decoded(t *testing.T, text []byte) (v any) {
	t.Helper()
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// without takes the changes that would mend a finding out of a report.
func without(report any) {
	for _, f := range report.(map[string]any)["findings"].([]any) {
		delete(f.(map[string]any), "changes")
		delete(f.(map[string]any), "mend")
	}
}

// A week sheet in JSON can be given back as it is: the same household, plan and
// own foods, and the audit of it says the same.
func TestPlan_readsWholeSheet(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{
		nil,
		{"-room", "26 °C", "-start", "2026-12-01"},
		{"-household", "testdata/good-one-animal.yaml"},
		{"-household", "testdata/good-ounces.yaml"},
		{"-household", "testdata/good-half-mix.yaml", "-foods", "testdata/mix-foods.yaml"},
		{"-household", "testdata/good-one-animal.yaml", "-plan", "testdata/week-by-hand.json"},
	} {
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			t.Parallel()
			first, text := weekJSON(t, args...)
			path := filepath.Join(t.TempDir(), "week.json")
			if err := os.WriteFile(path, text, 0o600); err != nil {
				t.Fatal(err)
			}
			again, _ := weekJSON(t, "-plan", path)
			for _, key := range []string{"household", "start", "target", "plan", "week", "shares", "bone", "report", "household_as_given", "needs"} {
				was, now := decoded(t, first[key]), decoded(t, again[key])
				if key == "report" { // a given plan is mended with foods of the catalogue too
					without(was)
					without(now)
				}
				if diff := cmp.Diff(was, now); was == nil || diff != "" {
					t.Errorf("%s: %s", key, diff)
				}
			}
		})
	}
}

func TestPlan_refusesSheets(t *testing.T) {
	t.Parallel()
	_, without := weekJSON(t, "-household", "testdata/lacking-only-wings.yaml")
	_, whole := weekJSON(t, "-household", "testdata/good-one-animal.yaml")
	for what, c := range map[string]struct{ text, want string }{
		"no plan":         {string(without), "a sheet without a plan"},
		"another schema":  {strings.Replace(string(whole), "fitchet.weekplan/1", "fitchet.weekplan/2", 1), "fitchet.weekplan/2"},
		"a misspelt food": {strings.Replace(string(whole), `"food": "chicken-`, `"food": "chiken-`, 1), `no food is called "chiken-`},
		"an odd mass":     {strings.Replace(string(whole), `"mass": "`, `"mass": "x`, 1), "mass"},
	} {
		path := filepath.Join(t.TempDir(), "week.json")
		if err := os.WriteFile(path, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		var out, complaint bytes.Buffer
		if code := run([]string{"-plan", path}, strings.NewReader(""), &out, &complaint); code != 2 || !strings.Contains(complaint.String(), c.want) {
			t.Errorf("%s: exit %d, %.300s", what, code, complaint.String())
		}
	}
}
