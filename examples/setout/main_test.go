package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func call(t *testing.T, stdin string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	code = run(args, strings.NewReader(stdin), &out, &err)
	return code, out.String(), err.String()
}

const ownNotices = `as-of: 2026-11-20
notices:
  - {id: north, kind: bird-flu, region: North Brackenford, state: in-force, confirmed: 2026-11-18, read-in: county page, words: Housing order.}
`

func TestRun(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, stdin string
		args        []string
		code        int
		stdout      []string // parts of it
		absent      string   // no part of it
		stderr      string   // part of it
	}{
		{"no flags", "", nil, 0, []string{"Lift within 2 h, by the two-hour rule", "room temperature not given"}, "keepers", ""},
		// FSIS: two hours, one hour above 90 °F.
		{"ordinary room", "", []string{"-room", "70 °F"}, 0, []string{"Lift within 2 h"}, "not given", ""},
		{"hot room", "", []string{"-room", "91 °F", "-form", "soup"}, 0, []string{"Lift within 1 h, by the one-hour rule"}, "", ""},
		{"part is used", "", []string{"-room", "20 °C", "-warm", "thawing 40 min, preparing 20 min"}, 0, []string{"Lift within 1 h, ", "1 h is already used"}, "", ""},
		{"all is used", "", []string{"-room", "20 °C", "-warm", "2 h"}, 1, []string{"Lift it now"}, "", ""},
		{"over", "", []string{"-warm", "stash 3 h"}, 1, []string{"Throw it away"}, "", ""},
		// Regression (ours): 12 h within one log10 at 14.6 °C by both Salmonella models.
		{"twelve hours asked", "", []string{"-room", "20 °C", "-hours", "12 h"}, 1, []string{"6 times the two-hour rule", "Salmonella (central): about 14.6 °C", "Salmonella (upper): about 14.6 °C", "An estimate, not a limit"}, "", ""},
		{"an hour asked", "", []string{"-room", "20 °C", "-hours", "1 h"}, 0, []string{"within the limit (0.5 times"}, "", ""},
		{"hours asked on top of time used", "", []string{"-room", "20 °C", "-warm", "90 min", "-hours", "1 h"}, 1, []string{"2 h 30 min with the time already used", "over the limit (1.25 times"}, "", ""},
		{"hours of dried food", "", []string{"-form", "dried", "-hours", "12 h"}, 0, []string{"No published time limit applies", "cannot be compared"}, "", ""},
		{"raw pork", "", []string{"-species", "pork", "-room", "20 °C"}, 1, []string{"STOP: Raw pork", "Lift within 2 h"}, "", ""},
		{"watches stand in the detail", "", []string{"-species", "mouse"}, 0, []string{"Lift within 2 h"}, "WATCH", ""},
		{"watches in the detail", "", []string{"-species", "mouse", "-detail"}, 0, []string{"WATCH: Frozen feeder rodents", "How we know: CDC"}, "", ""},
		{"misspelt pork", "", []string{"-species", "prok"}, 2, nil, "", `setout: -species: species "prok": not a known animal; did you mean "pork"?`},
		{"misspelt wild mouse", "", []string{"-wild", "-species", "muose"}, 2, nil, "", "not a known animal"},
		{"misspelt region", ownNotices, []string{"-species", "chicken", "-region", "North Brackenfrod", "-notices", "-"}, 2, nil, "", `did you mean "North Brackenford"?`},
		{"own notices", ownNotices, []string{"-species", "chicken", "-region", "north brackenford", "-notices", "-"}, 1, []string{"STOP: Poultry under a bird-flu notice", "2 days before 2026-11-20"}, "open", ""},
		{"own notices, old by then", ownNotices, []string{"-species", "chicken", "-region", "north brackenford", "-notices", "-", "-on", "2027-03-01"}, 1, []string{"STOP (open, look it up)", "older than 30 days"}, "", ""},
		{"detail", "", []string{"-form", "minced", "-room", "22 °C", "-detail"}, 0, []string{
			"Food Code six hours: at most 6 h, for food businesses: does not apply", "UK four hours of display: less than 4 h",
			"8 h to 12 h: mince left standing; the longest is 6 times the leading limit, far over the limit", "common practice, no source; never a limit",
			"Salmonella (central): about 2.56 log10, about 359 times as many germs", "not veterinary advice", "Moller and others 2013"}, "", ""},
		{"a room that changes", "", []string{"-room", "1 h at 18 °C, 34 °C", "-detail"}, 0, []string{"Lift within 1 h", "judged at its warmest"}, "", ""},
		{"benchmarks with a cold start", "", []string{"-room", "20 °C", "-start", "4 °C", "-detail"}, 0, []string{"Food Code six hours: at most 6 h, for food businesses: applies, 6 h left"}, "", ""},
		{"schema", "", []string{"-format", "schema"}, 0, []string{`"const": "fitchet.setout/1"`}, "", ""},
		{"all faults at once", "", []string{"-form", "mush", "-room", "20", "-warm", "40"}, 2, nil, "", "setout: -room: "},
		{"a bare number", "", []string{"-room", "20"}, 2, nil, "", "unit"},
		{"quotes forgotten", "", []string{"-room", "21", "°C"}, 2, nil, "", "needs quotes"},
		{"unknown form", "", []string{"-form", "mush"}, 2, nil, "", "bone-in"},
		{"unknown flag", "", []string{"-colour"}, 2, nil, "", "flag provided but not defined"},
		{"unknown format", "", []string{"-format", "xml"}, 2, nil, "", "want text, json or schema"},
		{"no time asked", "", []string{"-hours", "0 h"}, 2, nil, "", "-hours"},
		{"a wild what", "", []string{"-wild"}, 2, nil, "", "-species"},
		{"bad day", "", []string{"-on", "25.11.2026"}, 2, nil, "", "-on"},
		{"bad notices", "as-of: 2026-11-20\nnotises: []\n", []string{"-notices", "-"}, 2, nil, "", "standard input:2:1"},
		{"no notices file", "", []string{"-notices", filepath.Join(t.TempDir(), "none.yaml")}, 2, nil, "", "-notices"},
		{"help", "", []string{"-h"}, 0, nil, "", "-warm"},
	} {
		code, out, errs := call(t, tc.stdin, tc.args...)
		if code != tc.code {
			t.Errorf("%s: exit %d, want %d\n%s%s", tc.name, code, tc.code, out, errs)
		}
		for _, want := range tc.stdout {
			if !strings.Contains(out, want) {
				t.Errorf("%s: no %q in\n%s%s", tc.name, want, out, errs)
			}
		}
		if tc.absent != "" && strings.Contains(out, tc.absent) {
			t.Errorf("%s: %q in\n%s", tc.name, tc.absent, out)
		}
		if !strings.Contains(errs, tc.stderr) || tc.stderr == "" && errs != "" || code == 2 && out != "" {
			t.Errorf("%s: standard error %q, output %q", tc.name, errs, out)
		}
	}
}

func TestPlainAnswerIsOneLine(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{nil, {"-room", "20 °C"}, {"-form", "dried"}, {"-room", "3 °C"}, {"-warm", "5 h"}} {
		if _, out, _ := call(t, "", args...); strings.Count(out, "\n") != 1 {
			t.Errorf("%v: %q", args, out)
		}
	}
}

func TestOutFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "answer.txt")
	code, out, errs := call(t, "", "-out", path)
	text, err := os.ReadFile(path)
	if code != 0 || out != "" || errs != "" || err != nil || !strings.HasPrefix(string(text), "Lift within 2 h") {
		t.Errorf("%d %q %q %q %v", code, out, errs, text, err)
	}
	if code, _, errs = call(t, "", "-out", filepath.Join(path, "x")); code != 2 || !strings.Contains(errs, "writing") {
		t.Errorf("%d %q", code, errs)
	}
}

// Every JSON answer fits the schema that the program prints. The check knows
// the few words the schema uses and refuses any other.
func TestJSONFitsItsSchema(t *testing.T) {
	t.Parallel()
	_, text, _ := call(t, "", "-format", "schema")
	var root map[string]any
	if err := json.Unmarshal([]byte(text), &root); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		nil, {"-room", "3 h at 18 °C, 24 °C", "-warm", "bowl 1 h", "-hours", "6 h", "-species", "wild boar", "-wild"},
		{"-form", "dried", "-hours", "1 h"}, {"-species", "chicken", "-region", "United States"}, {"-form", "whole", "-room", "4 °C"},
	} {
		_, out, errs := call(t, "", append(args, "-format", "json")...)
		var v any
		if err := json.Unmarshal([]byte(out), &v); err != nil {
			t.Fatalf("%v: %v %s", args, err, errs)
		}
		for _, fault := range fit(root, root, v, "answer") {
			t.Errorf("%v: %s", args, fault)
		}
	}
}

func fit(root, schema map[string]any, v any, path string) (faults []string) {
	note := func(format string, a ...any) { faults = append(faults, path+": "+fmt.Sprintf(format, a...)) }
	for key, rule := range schema {
		switch key {
		case "$schema", "$id", "$defs", "title", "description", "properties", "additionalProperties":
		case "$ref":
			at := any(root)
			for _, step := range strings.Split(strings.TrimPrefix(rule.(string), "#/"), "/") {
				at = at.(map[string]any)[step]
			}
			faults = append(faults, fit(root, at.(map[string]any), v, path)...)
		case "const":
			if v != rule {
				note("%v is not %v", v, rule)
			}
		case "enum":
			if !slices.Contains(rule.([]any), v) {
				note("%v is none of %v", v, rule)
			}
		case "type":
			ok := false
			switch rule {
			case "object":
				_, ok = v.(map[string]any)
			case "array":
				_, ok = v.([]any)
			case "string":
				_, ok = v.(string)
			case "boolean":
				_, ok = v.(bool)
			}
			if !ok {
				note("%T is no %v", v, rule)
			}
		case "required":
			for _, name := range rule.([]any) {
				if m, ok := v.(map[string]any); ok && m[name.(string)] == nil {
					note("%v is missing", name)
				}
			}
		case "items":
			list, _ := v.([]any)
			for i, item := range list {
				faults = append(faults, fit(root, rule.(map[string]any), item, fmt.Sprintf("%s[%d]", path, i))...)
			}
		default:
			note("the schema uses %s, which this check does not know", key)
		}
	}
	props, _ := schema["properties"].(map[string]any)
	if m, ok := v.(map[string]any); ok && schema["additionalProperties"] == false {
		for name, val := range m {
			if p, known := props[name].(map[string]any); known {
				faults = append(faults, fit(root, p, val, path+"."+name)...)
			} else {
				note("%s is not in the schema", name)
			}
		}
	}
	return faults
}
