package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/prey"
)

const rescueMince = `foods:
  - id: brackenford-rabbit-mince
    name: Brackenford rabbit mince
    kind: mix
    species: rabbit
    colour: white
    complete: false
    ref: "choice: the label of the tub, read 2 November 2026"
    parts: {bone-means: edible, bone: "10 %", liver: "5 %"}
    label: {state: wet, per: fed, moisture: "68 %", protein: "17 %", fat: "9 %", fibre: "0.5 %", ash: "3.5 %", calcium: "0.9 %"}
`

func call(t *testing.T, stdin string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	code = run(args, strings.NewReader(stdin), &out, &err)
	return code, out.String(), err.String()
}

func TestRun(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, stdin string
		args        []string
		code        int
		stdout      []string // parts of it
		stderr      string   // part of it
	}{
		// USDA SR28, NDB 13321: protein 17.72 g per 100 g.
		{"a name", "", []string{"beef", "hearts"}, 0, []string{"beef heart (beef-heart)", "protein                     17.72 g [1]", "[1] USDA SR28, NDB 13321", "not veterinary advice"}, ""},
		{"flags after the name", "", []string{"beef-heart", "-format", "json"}, 0, []string{`"schema": "fitchet.food/1"`, `"what": "protein"`}, ""},
		{"raw pork is a stop", "", []string{"pork-liver"}, 1, []string{"stop: "}, ""},
		{"everything", "", nil, 0, []string{"chicken-wing", "mouse-adult", "foods. For one of them"}, ""},
		{"by part and animal", "", []string{"-part", "Liver", "-species", "Chicken"}, 0, []string{"chicken-liver"}, ""},
		{"by hazard", "", []string{"-hazard", "vitamin-a-rich"}, 0, []string{"beef-liver"}, ""},
		{"nothing meets both", "", []string{"-part", "bone", "-hazard", "vitamin-d-rich"}, 0, []string{"\n0 foods."}, ""},
		{"own foods from standard input", rescueMince, []string{"-foods", "-", "brackenford", "rabbit", "mince"}, 0, []string{"bone    10 %", "calcium                     900 mg", "the label of the tub"}, ""},
		{"unknown food", "", []string{"turkey", "nek"}, 2, nil, `foods: no food is called "turkey nek"; near it: turkey-neck`},
		{"an animal is no food", "", []string{"Chicken"}, 2, nil, `foods: chicken is an animal: list its foods with -species "chicken"`},
		{"by another name", "", []string{"-species", "hens", "-part", "heart"}, 0, []string{"chicken-heart"}, ""},
		{"by group", "", []string{"-species", "waterfowl", "-part", "liver"}, 0, []string{"duck-liver", "goose-liver"}, ""},
		{"unknown animal", "", []string{"-species", "chiken"}, 2, nil, `did you mean "chicken"?`},
		{"an animal of no food", "", []string{"-species", "badger"}, 2, nil, `no food is of it`},
		{"own food of a misspelt animal", strings.Replace(rescueMince, "species: rabbit", "species: chiken", 1), []string{"-foods", "-", "brackenford-rabbit-mince"}, 2, nil, `did you mean "chicken"?`},
		{"unknown part", "", []string{"-part", "leg"}, 2, nil, `foods: -part: part "leg": not a known name`},
		{"unknown hazard", "", []string{"-hazard", "zzzzzzzzz"}, 2, nil, "there are: "},
		{"name and list", "", []string{"-part", "liver", "beef-liver"}, 2, nil, "not both"},
		{"unknown flag", "", []string{"-colour"}, 2, nil, "flag provided but not defined"},
		{"unknown format", "", []string{"-format", "xml"}, 2, nil, `-format "xml": want text or json`},
		{"help", "", []string{"-h"}, 0, nil, "-species"},
		{"file missing", "", []string{"-foods", "no-such-file.yaml"}, 2, nil, "no-such-file.yaml"},
		{"every fault of a file", strings.NewReplacer(`moisture: "68 %", `, "", "bone-means: edible, ", "").Replace(rescueMince), []string{"-foods", "-"}, 2, nil,
			"foods: standard input:9:19: say what bone means here, bone-means: edible or bone-in; the two differ by more than two to one\nfoods: standard input:10:12: moisture is missing"},
		{"a clash", strings.Replace(rescueMince, "brackenford-rabbit-mince", "beef-heart", 1), []string{"-foods", "-"}, 2, nil, "already in the catalogue"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			code, stdout, stderr := call(t, tc.stdin, tc.args...)
			if code != tc.code {
				t.Errorf("exit %d, want %d; %s", code, tc.code, stderr)
			}
			for _, want := range tc.stdout {
				if !strings.Contains(stdout, want) {
					t.Errorf("%q is missing in:\n%s", want, stdout)
				}
			}
			if !strings.Contains(stderr, tc.stderr) || (stderr == "") != (tc.stderr == "") {
				t.Errorf("standard error %q, want %q", stderr, tc.stderr)
			}
			if tc.code == 2 && stdout != "" {
				t.Errorf("refused, and yet it wrote %q", stdout)
			}
		})
	}
}

// Every shipped food can be explained, twice the same, and its JSON reads back.
func TestRun_everyFood(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range c.All() {
		s, code, err := explain(c, f)
		if err != nil {
			t.Fatal(f.ID, err)
		}
		stop := false
		for _, a := range s.Against {
			stop = stop || !a.Open && a.Severity != "watch"
			if a.What == "" || len(a.Sources) == 0 {
				t.Errorf("%s: %+v", f.ID, a)
			}
			if strings.Contains(a.What, "not know") && strings.Contains(a.ID, "not-known") {
				t.Errorf("%s carries a word that package safety does not know: %+v", f.ID, a)
			}
		}
		if stop != (code == cli.Mend) {
			t.Errorf("%s: exit %d", f.ID, code)
		}
		if i%25 != 0 {
			continue
		}
		_, first, _ := call(t, "", "-format", "json", f.ID)
		_, second, _ := call(t, "", "-format", "json", f.ID)
		var back sheet
		dec := json.NewDecoder(strings.NewReader(first))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&back); err != nil || first != second || back.ID != f.ID {
			t.Errorf("%s: %v, same %v", f.ID, err, first == second)
		}
	}
}

func TestRun_out(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "heart.txt")
	if code, stdout, stderr := call(t, "", "-out", path, "beef heart"); code != 0 || stdout != "" || stderr != "" {
		t.Fatal(code, stdout, stderr)
	}
	_, want, _ := call(t, "", "beef heart")
	if got, err := os.ReadFile(path); err != nil || string(got) != want {
		t.Errorf("%v, %q", err, got)
	}
	if code, _, _ := call(t, "", "-out", filepath.Join(dir, "none", "x"), "beef heart"); code != 2 {
		t.Errorf("exit %d", code)
	}
	if code, _, _ := call(t, "", "-out", filepath.Join(dir, "y"), "no such food at all"); code != 2 {
		t.Errorf("exit %d", code)
	}
	files, err := os.ReadDir(dir)
	if err != nil || len(files) != 1 {
		t.Errorf("left behind: %v, %v", files, err)
	}
}

func TestRun_brokenPipe(t *testing.T) {
	t.Parallel()
	var stderr bytes.Buffer
	if code := run([]string{"beef-heart"}, nil, broken{}, &stderr); code != 2 || !strings.Contains(stderr.String(), "pipe") {
		t.Errorf("exit %d, %q", code, stderr.String())
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }
