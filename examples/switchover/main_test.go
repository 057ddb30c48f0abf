package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
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

// files writes a household and a log, and returns the flags for them.
func files(t *testing.T, household, log string) []string {
	t.Helper()
	dir := t.TempDir()
	h, l := filepath.Join(dir, "home.yaml"), filepath.Join(dir, "log.yaml")
	for path, text := range map[string]string{h: household, l: log} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return []string{"-household", h, "-log", l}
}

func read(t *testing.T, args ...string) (s sheet) {
	t.Helper()
	_, out, errs := call(t, "", append(args, "-format", "json")...)
	if err := json.Unmarshal([]byte(out), &s); err != nil {
		t.Fatalf("%v %s", err, errs)
	}
	return s
}

// flat is text in one line.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestRun(t *testing.T) {
	t.Parallel()
	own := files(t, rescue, twoNewcomers)
	for _, tc := range []struct {
		name   string
		args   []string
		code   int
		stdout string // part of it, in one line
		stderr string // part of it
	}{
		{"no flags", nil, 1, "Burdock", ""},
		{"the willing one", []string{"-animal", "tansy"}, 0, "next NEXT STEP: Thick soup because 6 meals in a row eaten", ""},
		{"the one that refuses", []string{"-animal", "Burdock"}, 1, "next A STEP BACK: Thick soup because 2 meals refused one after the other", ""},
		{"own files", own, 1, "NEXT STEP: Thick soup", ""},
		{"a pound", []string{"-batch", "1 lb"}, 1, "for a batch of 454 g (16.0 oz)", ""},
		{"schema", []string{"-schema"}, 0, `"fitchet.switchover/1"`, ""},
		{"an animal nobody knows", []string{"-animal", "Ash"}, 2, "", "there are Tansy, Burdock"},
		{"a batch of nothing", []string{"-batch", "0 g"}, 2, "", "more than nothing"},
		{"a batch without a unit", []string{"-batch", "500"}, 2, "", "-batch"},
		{"a format nobody knows", []string{"-format", "pdf"}, 2, "", "want text or json"},
		{"a household without a log", own[:2], 2, "", "belong together"},
		{"standard input twice", []string{"-household", "-", "-log", "-"}, 2, "", "asked for twice"},
		{"steps that are not there", []string{"-steps", own[1] + "x"}, 2, "", "no such file"},
		{"steps that are none", []string{"-steps", own[1]}, 2, "", "home.yaml:"},
		{"an argument", []string{"x"}, 2, "", "not a flag"},
		{"a flag nobody knows", []string{"-loud"}, 2, "", "-loud"},
	} {
		code, out, errs := call(t, "", tc.args...)
		if code != tc.code || !strings.Contains(flat(out), tc.stdout) || !strings.Contains(errs, tc.stderr) || tc.stderr == "" && errs != "" {
			t.Errorf("%s: exit %d, want %d; %q\n%s", tc.name, code, tc.code, errs, out[:min(len(out), 400)])
		}
	}
	path := filepath.Join(t.TempDir(), "out.txt")
	code, out, errs := call(t, twoNewcomers, "-household", own[1], "-log", "-", "-out", path)
	text, err := os.ReadFile(path)
	_, plain, _ := call(t, "")
	if code != 1 || out != "" || errs != "" || err != nil || string(text) != plain {
		t.Errorf("-out: exit %d, %q, %v", code, errs, err)
	}
}

// The vet stands first, then the animals; every line fits the page; every number
// in brackets has its note.
func TestText(t *testing.T) {
	t.Parallel()
	_, out, _ := call(t, "")
	at := -1
	for _, head := range []string{"\nThe vet first\n", "Call a vet whatever the log says", "\nTansy (", "old food", "gate of soup", "without food", "calcium  ", "\nBurdock (", "\nWhat to expect\n", "\nPlease read\n", "\nSources\n"} {
		next := strings.Index(out, head)
		if next <= at {
			t.Errorf("%q is missing or out of order", head)
		}
		at = max(at, next)
	}
	for line := range strings.SplitSeq(out, "\n") {
		if len([]rune(line)) > 96 {
			t.Errorf("too wide: %q", line)
		}
	}
	body, notes, _ := strings.Cut(out, "\nWhere the numbers come from\n")
	for _, n := range regexp.MustCompile(`\[\d+\]`).FindAllString(body, -1) {
		if !strings.Contains(notes, "  "+n+" ") {
			t.Errorf("no note %s", n)
		}
	}
	for _, n := range regexp.MustCompile(`(?m)^  (\[\d+\]) `).FindAllStringSubmatch(notes, -1) {
		if !strings.Contains(body, n[1]) {
			t.Errorf("note %s is not named", n[1])
		}
	}
}

// What each change of the log does to the answer for one animal.
func TestNextMove(t *testing.T) {
	t.Parallel()
	lines := func(keep func(string) bool) string {
		return strings.Join(slices.DeleteFunc(strings.Split(twoNewcomers, "\n"), func(l string) bool { return !keep(l) }), "\n")
	}
	add := func(key, line string) string {
		return strings.Replace(twoNewcomers, "\n"+key+":\n", "\n"+key+":\n  - "+line+"\n", 1)
	}
	dull := strings.Replace(twoNewcomers, "\nfed:\n", "\nsigns: [{at: 2026-11-29 20:00, animal: tansy, sign: dull}]\n\nfed:\n", 1)
	ill := strings.Replace(rescue, "    name: Tansy\n", "    name: Tansy\n    conditions: [insulinoma]\n", 1)
	for _, tc := range []struct {
		name, home, log, animal string
		move, to, why           string
		vet                     bool // stands in the vet's list
		code                    int
	}{
		{"as it stands", rescue, twoNewcomers, "tansy", "next step", "thick", "6 meals in a row", false, 0},
		{"refuses", rescue, twoNewcomers, "burdock", "a step back", "thick", "2 meals refused", false, 1},
		{"on the step since yesterday", rescue, strings.Replace(twoNewcomers, "2026-11-24 07:00, animal: tansy", "2026-11-28 07:00, animal: tansy", 1), "tansy", "stay", "soup", "1 day on this step", false, 0},
		{"a sign", rescue, dull, "tansy", "see a vet now", "taste", "dull at 2026-11-29 20:00", true, 1},
		{"blood long ago", rescue, add("stools", "{at: 2026-11-24 08:00, animal: burdock, class: bloody}"), "burdock", "see a vet now", "thick", "stool bloody at 2026-11-24 08:00", true, 1},
		{"blood", rescue, add("stools", "{at: 2026-11-29 08:00, animal: burdock, class: bloody}"), "burdock", "see a vet now", "thick", "stool bloody", true, 1},
		{"nothing written", rescue, lines(func(l string) bool {
			return !strings.Contains(l, "{at: 2026-11-29") && !strings.Contains(l, "{at: 2026-11-28") || strings.Contains(l, "burdock")
		}), "tansy", "cannot be said", "soup", "nothing is written down", false, 1},
		{"no weight", rescue, lines(func(l string) bool { return !strings.Contains(l, "animal: tansy, weight") }), "tansy", "stay", "soup", "no weight is written down", false, 0},
		{"insulinoma", ill, twoNewcomers, "tansy", "ask the vet first", "soup", "insulinoma", true, 1},
		{"insulinoma, and nothing eaten for a day", ill, regexp.MustCompile(`(at: 2026-11-29 .*for: \[tansy\].*offered: (\d+ g), left: )\d+ g`).ReplaceAllString(twoNewcomers, "${1}${2}"), "tansy",
			"see a vet now", "taste", "eaten nothing for 22 h 30 min (limit 4 h): see a vet", true, 1},
		{"no step yet", rescue, lines(func(l string) bool { return !strings.Contains(l, "animal: tansy, stage") }), "tansy", "begin", "known-food", "no step is written down", false, 0},
		{"a step nobody knows", rescue, strings.Replace(twoNewcomers, "animal: tansy, stage: soup", "animal: tansy, stage: gruel", 1), "tansy", "cannot be said", "gruel", `"gruel"`, false, 1},
		{"a step left out", rescue, lines(func(l string) bool { return !strings.Contains(l, "animal: tansy, stage: taste") }), "tansy", "next step", "thick", "", false, 1},
	} {
		args := append(files(t, tc.home, tc.log), "-animal", tc.animal)
		s := read(t, args...)
		if len(s.Animals) != 1 || len(s.Faults) > 0 {
			t.Errorf("%s: %d animals, %q", tc.name, len(s.Animals), s.Faults)
			continue
		}
		n := s.Animals[0]
		if n.Move != tc.move || n.To.ID != tc.to || !strings.Contains(strings.Join(n.Why, "; "), tc.why) || (len(s.Vet) > 0) != tc.vet || (len(n.Left) > 0) != (tc.name == "a step left out" || n.To.ID == "gruel") {
			t.Errorf("%s: %s to %s, %q, vet %v, left out %q; want %s to %s, %s", tc.name, n.Move, n.To.ID, n.Why, s.Vet, n.Left, tc.move, tc.to, tc.why)
		}
		code, out, _ := call(t, "", args...)
		if code != tc.code {
			t.Errorf("%s: exit %d, want %d", tc.name, code, tc.code)
		}
		if _, first, _ := strings.Cut(out, "\nThe vet first\n-------------\n"); strings.HasPrefix(first, "  VET NOW    ") != (tc.move == "see a vet now") {
			t.Errorf("%s: begins with %.80q", tc.name, first)
		}
		if h := n.Hunger; h != nil && (h.BackBase == "" || h.VetBasis == "") {
			t.Errorf("%s: hours without a basis: %+v", tc.name, h)
		}
	}
}

// The mince of the log holds 178 mg phosphorus and 6 mg calcium per 100 g (USDA
// SR28, NDB 05332), so 500 g want (1.2 to 1.7) x 890 - 30 mg, which is 1038 to
// 1483 mg. Eggshell powder holds 393.8 to 408.2 mg per g (Schaafsma and others
// 2000): 2.55 to 3.77 g. Bone meal of 30.5 % calcium and 15.5 % phosphorus (ICAR):
// 1038 / (305 - 1.2 x 155) = 8.7 g, 1483 / (305 - 1.7 x 155) = 35.7 g.
func TestCalciumDose(t *testing.T) {
	t.Parallel()
	c := read(t, "-animal", "tansy").Animals[0].Calcium
	if c == nil || len(c.Powders) != 2 {
		t.Fatalf("%+v", c)
	}
	shell, bone := c.Powders[0], c.Powders[1]
	if shell.Low != "2.6 g" || shell.High != "3.8 g" || shell.Typical != "3.2 g" || !regexp.MustCompile(`^30 mg calcium, 890 mg phosphorus \(published \[\d+\]\)$`).MatchString(c.Holds) {
		t.Errorf("%+v, %s", shell, c.Holds)
	}
	if bone.Low != "8.7 g" || bone.High != "35.7 g" || !strings.Contains(bone.Text, "not both") {
		t.Errorf("%+v", bone)
	}
	// While it eats the food it knows there is nothing to add.
	log := strings.Replace(twoNewcomers, "  - {at: 2026-11-20 07:00, animal: tansy, stage: taste}\n  - {at: 2026-11-24 07:00, animal: tansy, stage: soup}\n", "", 1)
	if n := read(t, append(files(t, rescue, log), "-animal", "tansy")...).Animals[0]; n.Calcium != nil || n.Step.ID != "known-food" {
		t.Errorf("%+v", n)
	}
	// Nothing raw is written down: no dose is made up.
	log = strings.ReplaceAll(twoNewcomers, "food: chicken mince", "food: old dry food")
	if n := read(t, append(files(t, rescue, log), "-animal", "tansy")...).Animals[0]; n.Calcium == nil || len(n.Calcium.Powders) != 1 || !strings.Contains(n.Calcium.Powders[0].Text, "No raw food") {
		t.Errorf("%+v", n.Calcium)
	}
}

// Faults of the log are named first, what they may hide stands with the vet, and no
// animal is sent on to new food before they are put right: the misspelt meal may be
// one that was refused.
func TestFaults(t *testing.T) {
	t.Parallel()
	log := strings.Replace(twoNewcomers, "\nfed:\n", "\nfed:\n  - {at: 2026-11-20 09:00, for: [tansie], food: chicken mince, offered: 10 g}\n", 1)
	code, out, errs := call(t, "", files(t, rescue, log)...)
	faults, rest, _ := strings.Cut(out, "\nThe vet first\n")
	if code != 1 || errs != "" || !strings.Contains(flat(faults), "log.yaml:21:34:") || !strings.Contains(flat(faults), `did you mean "tansy"?`) || !strings.Contains(flat(rest), "A reason to call a vet may be in it: look there now") ||
		strings.Contains(rest, "NEXT STEP") || !strings.Contains(flat(rest), "an entry of the log cannot be read (line 21): put it right first") {
		t.Errorf("exit %d, %q\n%s", code, errs, faults)
	}
	for name, text := range map[string]string{"no log": "hello", "another schema": strings.Replace(twoNewcomers, "log/1", "log/2", 1)} {
		if code, out, errs := call(t, "", files(t, rescue, text)...); code != 2 || out != "" || !strings.Contains(errs, "log.yaml:") {
			t.Errorf("%s: exit %d, %q", name, code, errs)
		}
	}
	empty := "schema: fitchet.log/1\nhousehold: Brackenford Ferret Rescue\nas-of: 2026-11-29 21:00\nfrom: 2026-11-29\n"
	if code, out, errs := call(t, "", files(t, rescue, empty)...); code != 0 || errs != "" || !strings.Contains(flat(out), "No animal is on its way") {
		t.Errorf("an empty log: exit %d, %q", code, errs)
	}
}

// Own steps stand in the place of the shipped ones.
func TestOwnSteps(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "steps.yaml")
	if err := os.WriteFile(path, []byte(`evidence: "practice: three steps"
gates: "choice: made up"
stages:
  - {id: known-food, name: Old food, do: Watch., boneless: false, gate: {days: 1, meals: 2, eaten: 50 %}, back: {meals: 2, hours: 12}}
  - {id: taste, name: Tasting, do: Offer., boneless: false, gate: {days: 1, meals: 2, eaten: 50 %}, back: {meals: 2, hours: 12}}
  - {id: soup, name: All soup, do: Go on., old-food: Put it away., boneless: true, gate: {days: 2, meals: 99, eaten: 50 %}, back: {meals: 2, hours: 8}}
`), 0o600); err != nil {
		t.Fatal(err)
	}
	_, out, errs := call(t, "", "-steps", path, "-animal", "tansy")
	if errs != "" || !strings.Contains(flat(out), "next STAY") || !strings.Contains(out, "Put it away.") || !strings.Contains(flat(out), "99, each at least 50 %") {
		t.Errorf("%s\n%s", errs, out)
	}
}

func TestSameInputSameOutput(t *testing.T) {
	t.Parallel()
	_, one, _ := call(t, "")
	_, two, _ := call(t, "")
	if one != two {
		t.Error("two runs differ")
	}
}

// Animals of one name are told apart, and each part says one thing of an animal that does not eat, with its own time.
func TestAnimalsOfOneName(t *testing.T) {
	t.Parallel()
	home := strings.NewReplacer("name: Tansy", "name: Burdock").Replace(rescue)
	_, out, errs := call(t, "", files(t, home, twoNewcomers)...)
	if strings.Count(out, "Burdock") != strings.Count(out, "Burdock (burdock)")+strings.Count(out, "Burdock (tansy)") || !strings.Contains(out, "Burdock (tansy)") {
		t.Errorf("%s\n%s", errs, out[:min(len(out), 1500)])
	}
	text := flat(out)
	if n := strings.Count(text, "Eats nothing: "); n != strings.Count(text, "does not eat Eats nothing: offer what it took before, and call a vet after 24 h.") || n != 2 || strings.Contains(text, "a vet after 24 h (") {
		t.Errorf("%d sentences about not eating", n)
	}
}
