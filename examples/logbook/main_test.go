package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units"
)

func call(t *testing.T, stdin string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	code = run(args, strings.NewReader(stdin), &out, &err)
	return code, out.String(), err.String()
}

// files writes the embedded household and a log, and returns the flags for them.
func files(t *testing.T, log string) []string {
	t.Helper()
	dir := t.TempDir()
	h, l := filepath.Join(dir, "home.yaml"), filepath.Join(dir, "log.yaml")
	for path, text := range map[string]string{h: rescue, l: log} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return []string{"-household", h, "-log", l}
}

func TestRun(t *testing.T) {
	t.Parallel()
	own := files(t, twoWeeks)
	for _, tc := range []struct {
		name   string
		args   []string
		code   int
		stdout string // part of it
		stderr string // part of it
	}{
		{"no flags", nil, 1, "what was really eaten, 2026-11-23 to 2026-11-29", ""},
		{"two weeks", []string{"-days", "14"}, 1, "Not written down in full: 2026-11-18", ""},
		{"own files", own, 1, "Nothing is written down on 2026-11-18", ""},
		{"a log long after its household", files(t, strings.ReplaceAll(strings.ReplaceAll(twoWeeks, "2026-11", "2027-11"), "from: 2027", "from: 2026")), 1, "the household file is of 2026-11-29, 365 days", ""},
		{"card", []string{"-sheet", "card"}, 1, "for whoever looks after them next", ""},
		{"card of one that is well", []string{"-sheet", "card", "-animal", "rowan"}, 0, "bare bone of chicken wing", ""},
		{"schema", []string{"-schema"}, 0, `"fitchet.logbook/1"`, ""},
		{"schema of the card", []string{"-schema", "-sheet", "card"}, 0, `"fitchet.logcard/1"`, ""},
		{"a wider alert", []string{"-week-loss", "6 %"}, 1, "Nothing is written down", ""},
		{"days", []string{"-days", "8"}, 2, "", "want 7 or 14"},
		{"all faults at once", []string{"-days", "8", "-format", "pdf", "x"}, 2, "", "-format \"pdf\""},
		{"a log without its household", own[2:], 2, "", "belong together"},
		{"an animal nobody knows", []string{"-sheet", "card", "-animal", "Ash"}, 2, "", "there are Bramble, Sorrel"},
		{"an animal for the log", []string{"-animal", "Moss"}, 2, "", "-animal is for -sheet card"},
		{"a share without a unit", []string{"-week-loss", "5"}, 2, "", "-week-loss"},
		{"no share", []string{"-mean-loss", "0 %"}, 2, "", "more than 0 %"},
		{"a sheet nobody knows", []string{"-sheet", "door"}, 2, "", "want log or card"},
		{"a file that is not there", []string{"-household", own[1], "-log", own[3] + "x"}, 2, "", "no such file"},
		{"standard input twice", []string{"-household", "-", "-log", "-"}, 2, "", "asked for twice"},
		{"a flag nobody knows", []string{"-loud"}, 2, "", "-loud"},
	} {
		code, out, errs := call(t, "", tc.args...)
		if code != tc.code || !strings.Contains(out, tc.stdout) || !strings.Contains(errs, tc.stderr) || tc.stderr == "" && errs != "" {
			t.Errorf("%s: exit %d, want %d; %q\n%s", tc.name, code, tc.code, errs, out[:min(len(out), 400)])
		}
		if tc.code == 2 && out != "" {
			t.Errorf("%s: output beside a fault", tc.name)
		}
	}
	if code, out, _ := call(t, twoWeeks, "-household", own[1], "-log", "-"); code != 1 || !strings.Contains(out, "standard input:45:5") {
		t.Errorf("standard input: exit %d", code)
	}
	path := filepath.Join(t.TempDir(), "out.txt")
	code, out, errs := call(t, "", "-out", path)
	text, err := os.ReadFile(path)
	_, plain, _ := call(t, "")
	if code != 1 || out != "" || errs != "" || err != nil || string(text) != plain {
		t.Errorf("-out: exit %d, %q, %v", code, errs, err)
	}
}

// The order of the sheet: what is urgent first, what next week needs last.
func TestOrder(t *testing.T) {
	t.Parallel()
	_, out, _ := call(t, "")
	at := -1
	for _, head := range []string{"\nFirst\n", "  VET NOW  Sorrel: Lost 5.4 % within 6 days", "  VET      Moss: Waited 8 h", "  VET      Moss: Change its food only with the vet", "  MEND     ", "\nWhat each animal ate\n", "\nBramble (", "\nMoss (",
		"\nParts of what all ate together", "Bone, both ways", "\nAudit of what was eaten\n", "\nThe bowls, and what to change\n", "\nWeights, against", "\nStools\n", "It is no diagnosis", "\nWhat next week needs\n", "\nPlease read\n", "\nWhere the numbers come from\n", "\nSources\n"} {
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
	// Every number in brackets has its note, and every note is named.
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

func read(t *testing.T, args ...string) (b book) {
	t.Helper()
	_, out, errs := call(t, "", append(args, "-format", "json")...)
	if err := json.Unmarshal([]byte(out), &b); err != nil {
		t.Fatalf("%v %s", err, errs)
	}
	return b
}

// "Did it get liver": yes where somebody looked or it sat alone, no where all is
// written down and it took none, open at a bowl nobody watched; and open for all
// when a day is not written down, unless it is yes.
func TestDidItGetLiver(t *testing.T) {
	t.Parallel()
	want := map[string]string{"bramble": "yes", "sorrel": "open", "thistle": "open", "rowan": "yes", "fern": "no", "moss": "yes"}
	for _, a := range read(t).Animals {
		if a.Got[0].What != "liver" || a.Got[0].Answer != want[a.Animal] {
			t.Errorf("%s: %+v, want %s", a.Name, a.Got[0], want[a.Animal])
		}
	}
	unwritten := strings.Replace(twoWeeks, "2026-11-19 to 2026-11-29", "2026-11-19 to 2026-11-27, 2026-11-29", 1)
	for _, a := range read(t, files(t, unwritten)...).Animals {
		if a.Animal == "fern" && (a.Got[0].Answer != "open" || !strings.Contains(a.Got[0].Why, "2026-11-28")) {
			t.Errorf("%+v", a.Got[0])
		}
	}
}

// The rescue is that of the week plan.
func TestSameRescue(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(filepath.Join("..", "weekplan", "household.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	load := func(text string) *ration.Household {
		h, _, err := ration.LoadHousehold("h", strings.NewReader(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	a, b := load(rescue), load(string(text))
	for i := range a.Animals {
		a.Animals[i].At, b.Animals[i].At = ration.Place{}, ration.Place{}
	}
	if a.Name != b.Name || !reflect.DeepEqual(a.Animals, b.Animals) {
		t.Errorf("%+v\n%+v", a.Animals, b.Animals)
	}
}

// What the log falls short of can be planned by the week plan's rescue from what
// it can buy: the slot comes to its least share and that much more.
func TestExtraIsPlanned(t *testing.T) {
	t.Parallel()
	b := read(t)
	text, err := os.ReadFile(filepath.Join("..", "weekplan", "household.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	h, foods, err := ration.LoadHousehold("h", bytes.NewReader(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	q := plan.Request{Household: h, Foods: foods}
	if len(b.Extra) == 0 {
		t.Fatal("nothing to make up for: this test shows nothing")
	}
	for name, grams := range b.Extra {
		slot, err := shares.ParseSlot(name)
		if err != nil {
			t.Fatal(err)
		}
		if q.Extra[slot], err = units.ParseMass(grams); err != nil {
			t.Fatal(err)
		}
	}
	res, err := plan.Week(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	if res.Plan == nil {
		t.Fatalf("no plan: %v %v", res.Lacking, res.Clash)
	}
	if !res.Report.Passed() {
		t.Error("the plan misses a rule")
	}
}

const head = "schema: fitchet.log/1\nhousehold: Brackenford Ferret Rescue\nas-of: 2026-11-29 23:00\nfrom: 2026-11-23\ncomplete: [2026-11-23 to 2026-11-29]\n"

// Faults are named with their place, first, and the rest is judged.
func TestFaults(t *testing.T) {
	t.Parallel()
	good := "fed:\n  - {at: 2026-11-23 07:00, for: [rowan], food: chicken neck, offered: 40 g, left: 0 g, stash: 0 g}\n"
	for _, tc := range []struct{ name, add, want string }{
		{"more left than offered", "  - {at: 2026-11-24 07:00, for: [rowan], food: beef mince, offered: 40 g, left: 50 g}\n", "log.yaml:8:"},
		{"after the as-of moment", "  - {at: 2026-11-30 07:00, for: [rowan], food: beef mince, offered: 40 g}\n", "after the as-of moment"},
		{"an unknown animal", "  - {at: 2026-11-24 07:00, for: [rowen], food: beef mince, offered: 40 g}\n", `did you mean "rowan"?`},
		{"a thousandfold", "  - {at: 2026-11-24 07:00, for: [rowan], food: beef mince, offered: 40 kg}\n", "a thousandth would be believed"},
		{"twentyeightfold", "weights: [{at: 2026-11-24 07:00, animal: rowan, weight: 63 g}]\n", "as ounces instead of grams"},
		{"two weights in one minute", "weights: [{at: 2026-11-24 07:00, animal: rowan, weight: 1780 g}, {at: 2026-11-24 07:00, animal: rowan, weight: 1790 g}]\n", "a second weight of rowan at 2026-11-24 07:00; the first is in line 8"},
		{"another household", "", ""},
	} {
		text := head + good + tc.add
		if tc.add == "" {
			text = strings.Replace(text, "Brackenford Ferret", "Bracken", 1)
			tc.want = "of \"Bracken Rescue\""
		}
		args := files(t, text)
		code, out, errs := call(t, "", args...)
		faults, rest, _ := strings.Cut(out, "\nFirst\n")
		flat := strings.Join(strings.Fields(faults), " ")
		if code != 1 || errs != "" || !strings.Contains(flat, "Faults of the log") || !strings.Contains(flat, tc.want) || !strings.Contains(flat, "log.yaml:") {
			t.Errorf("%s: exit %d, %q\n%s", tc.name, code, errs, faults)
		}
		if !strings.Contains(rest, "YES: chicken neck, skin on at 2026-11-23 07:00") {
			t.Errorf("%s: the rest is not judged", tc.name)
		}
		if code, out, _ := call(t, "", append(args, "-sheet", "card", "-animal", "rowan")...); code != 1 || !strings.Contains(out, "Faults of the log") {
			t.Errorf("%s: the card hides it, exit %d", tc.name, code)
		}
		if b := read(t, args...); len(b.Faults) != 1 {
			t.Errorf("%s: %q", tc.name, b.Faults)
		}
	}
	// A gap of days is no fault, and named with its place.
	text := head + good + "  - {at: 2026-11-29 07:00, for: [rowan], food: beef mince, offered: 40 g}\n"
	text = strings.Replace(text, "complete: [2026-11-23 to 2026-11-29]\n", "", 1)
	if _, out, _ := call(t, "", files(t, text)...); !strings.Contains(strings.Join(strings.Fields(out), " "), "from 2026-11-24 to 2026-11-28 for Rowan (after ") {
		t.Errorf("the gap is not named")
	}
	for name, text := range map[string]string{
		"no log":          "hello",
		"another schema":  strings.Replace(head+good, "fitchet.log/1", "fitchet.log/9", 1),
		"no as-of":        strings.Replace(head+good, "as-of", "as-off", 1),
		"nothing is left": strings.Replace(head, "complete: [2026-11-23 to 2026-11-29]\n", "", 1) + "fed:\n  - {at: now}\n",
	} {
		if code, out, errs := call(t, "", files(t, text)...); code != 2 || out != "" || !strings.Contains(errs, "log.yaml:") {
			t.Errorf("%s: exit %d, %q", name, code, errs)
		}
	}
	// A log of nothing is a log: nothing falls over, and nothing is said, unless it
	// says that nothing was fed.
	for _, complete := range []string{"", "complete: [2026-11-23 to 2026-11-29]\n"} {
		text := strings.Replace(head, "complete: [2026-11-23 to 2026-11-29]\n", complete, 1)
		for _, sheet := range []string{"log", "card"} {
			if code, out, errs := call(t, "", append(files(t, text), "-sheet", sheet)...); errs != "" || out == "" || (complete != "") != (code == 1) {
				t.Errorf("%s of nothing, %q: exit %d, %q", sheet, complete, code, errs)
			}
		}
	}
}

// The limits of the alerts are the keeper's.
func TestAlertsAreAdjustable(t *testing.T) {
	t.Parallel()
	alerts := func(args ...string) (out []string) {
		for _, w := range read(t, args...).Weights {
			for range w.Alerts {
				out = append(out, w.Name)
			}
		}
		return out
	}
	if got := alerts(); !slices.Equal(got, []string{"Sorrel"}) {
		t.Errorf("%q", got)
	}
	if got := alerts("-week-loss", "6 %"); got != nil {
		t.Errorf("%q", got)
	}
	if got := alerts("-week-loss", "6 %", "-mean-loss", "2 %"); !slices.Equal(got, []string{"Bramble", "Sorrel", "Thistle", "Moss"}) {
		t.Errorf("%q", got)
	}
}

// The order of the entries has no meaning, and the same input gives the same
// output.
func TestOrderOfEntries(t *testing.T) {
	t.Parallel()
	before, rest, _ := strings.Cut(twoWeeks, "fed:\n")
	fed, after, _ := strings.Cut(rest, "\nweights:")
	lines := slices.DeleteFunc(strings.Split(fed, "\n"), func(s string) bool { return !strings.HasPrefix(s, "  - ") })
	slices.Reverse(lines)
	turned := before + "fed:\n" + strings.Join(lines, "\n") + "\nweights:" + after
	a, b := read(t), read(t, files(t, turned)...)
	a.Notes, b.Notes = nil, nil // they name lines of the file
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	if !bytes.Equal(x, y) {
		t.Errorf("%s\n%s", x, y)
	}
	_, one, _ := call(t, "")
	_, two, _ := call(t, "")
	if one != two {
		t.Error("two runs differ")
	}
}

// Own foods are read.
func TestOwnFoods(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "foods.yaml")
	if err := os.WriteFile(path, []byte(`foods:
  - {id: hollin-mix, name: Hollin mix, kind: mix, contains: [rabbit], colour: white, complete: false, ref: "choice: made up"}
`), 0o600); err != nil {
		t.Fatal(err)
	}
	log := files(t, head+"fed:\n  - {at: 2026-11-23 07:00, for: [rowan], food: hollin mix, offered: 40 g}\n")
	if code, _, _ := call(t, "", log...); code != 1 {
		t.Errorf("without the food: exit %d", code)
	}
	_, out, errs := call(t, "", append(log, "-foods", path)...)
	if errs != "" || strings.Contains(out, "Faults") || !strings.Contains(out, "Hollin mix") {
		t.Errorf("%q", errs)
	}
}

// A food of the stop list that was eaten comes first.
func TestStopComesFirst(t *testing.T) {
	t.Parallel()
	var pork string
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range foods.All() {
		if f.Species == "pig" && f.HasHazard("raw-pork") {
			pork = f.ID
		}
	}
	if pork == "" {
		t.Skip("no raw pork in the catalogue")
	}
	_, out, _ := call(t, "", files(t, head+fmt.Sprintf("fed:\n  - {at: 2026-11-23 07:00, for: [rowan], food: %s, offered: 40 g, left: 0 g, stash: 0 g}\n", pork))...)
	first, _, _ := strings.Cut(out, "\nWhat each animal ate\n")
	if !strings.Contains(first, "  STOP ") {
		t.Errorf("%s", first)
	}
}

// A jill with insulinoma that ate nothing for a day comes before everything else,
// whether she refused it or nothing was set out for her; and her bowls do not say
// that the amount fits.
func TestHungerComesFirst(t *testing.T) {
	t.Parallel()
	home := "household: Brackenford Ferret Rescue\nas-of: 2026-11-29\nanimals:\n" +
		"  - {id: hazel, name: Hazel, sex: jill, weight: 700 g, born: 2022-03-01, conditions: [insulinoma]}\n" +
		"stock:\n  - {food: rabbit meat, mass: 1 kg}\n"
	for name, last := range map[string]string{
		"refused": "  - {at: 2026-11-29 %02d:00, for: [hazel], food: rabbit meat, offered: 15 g, left: 15 g, stash: 0 g}\n",
		"not fed": "",
	} {
		log := strings.Replace(head, "23:00", "18:00", 1) + "fed:\n"
		for day := 23; day <= 28; day++ {
			for hour := 2; hour < 24; hour += 4 {
				log += fmt.Sprintf("  - {at: 2026-11-%d %02d:00, for: [hazel], food: rabbit meat, offered: 15 g, left: 0 g, stash: 0 g}\n", day, hour)
			}
		}
		for hour := 2; last != "" && hour < 18; hour += 4 {
			log += fmt.Sprintf(last, hour)
		}
		args := files(t, log)
		if err := os.WriteFile(args[1], []byte(home), 0o600); err != nil {
			t.Fatal(err)
		}
		b := read(t, args...)
		if len(b.First) == 0 || b.First[0].Level != "vet now" || !strings.HasPrefix(b.First[0].Text, "By the log it has eaten nothing for 20 h (limit 4 h): see a vet") || b.First[0].Basis == "" {
			t.Errorf("%s: %+v", name, b.First)
		}
		for i, f := range b.First {
			if i > 0 && strings.HasPrefix(f.Level, "vet") && !strings.HasPrefix(b.First[i-1].Level, "vet") {
				t.Errorf("%s: a vet after %q", name, b.First[i-1].Level)
			}
		}
		if last != "" && (len(b.Bowls) != 1 || b.Bowls[0].Refused != 4 || !strings.HasPrefix(b.Bowls[0].Text, "The last 4 bowls were not touched")) {
			t.Errorf("%s: %+v", name, b.Bowls)
		}
		if code, out, _ := call(t, "", append(args, "-sheet", "card")...); code != 1 || !strings.Contains(out, "\nHazel\n-----\n  VET NOW  By the log") {
			t.Errorf("%s: exit %d\n%s", name, code, out)
		}
	}
}

// Where nobody saw whether an animal that must not go hungry ate, the sheet says
// so, and says how to find out; for an animal that may wait it does not.
func TestNobodySawItEat(t *testing.T) {
	t.Parallel()
	home := "household: Brackenford Ferret Rescue\nas-of: 2026-11-29\nanimals:\n" +
		"  - {id: hazel, name: Hazel, sex: jill, weight: 700 g, born: 2022-03-01, conditions: [insulinoma], group: a}\n" +
		"  - {id: bracken, name: Bracken, sex: hob, weight: 1.2 kg, born: 2023-03-01, group: a}\n" +
		"stock:\n  - {food: rabbit meat, mass: 1 kg}\n"
	for _, tc := range []struct{ name, seen, want string }{
		{"never seen", "", "Nobody knows whether it ate in the last 23 h"},
		{"seen at six", ", seen: {hazel: some}", "Nobody knows whether it ate in the last 17 h"},
		{"seen at six in the evening, and four hours are no longer than four", "evening", ""},
	} {
		log := strings.Replace(head, "complete: [2026-11-23 to 2026-11-29]\n", "", 1) + "fed:\n"
		for hour := 0; hour < 24; hour += 3 {
			seen := ""
			if hour == 6 && tc.seen != "evening" {
				seen = tc.seen
			}
			if hour == 18 && tc.seen == "evening" {
				hour, seen = 19, ", seen: {hazel: some}"
			}
			log += fmt.Sprintf("  - {at: 2026-11-29 %02d:00, for: [hazel, bracken], food: rabbit meat, offered: 30 g, left: 0 g, stash: 0 g%s}\n", hour, seen)
		}
		args := files(t, log)
		if err := os.WriteFile(args[1], []byte(home), 0o600); err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, f := range read(t, args...).First {
			if f.Level == "mend" && f.Animal != "" {
				got = append(got, f.Animal+": "+f.Text)
			}
		}
		if text := strings.Join(got, "; "); (text == "") != (tc.want == "") || !strings.HasPrefix(strings.TrimPrefix(text, "Hazel: "), tc.want) || strings.Contains(text, "Bracken") {
			t.Errorf("%s: %q, want %q", tc.name, text, tc.want)
		}
	}
}

// A sign of illness stays first in the log and on the card, wherever in the log it stands and whatever days are looked at.
func TestSignsStay(t *testing.T) {
	t.Parallel()
	for _, when := range []string{"2026-11-16 00:00", "2026-11-22 23:59", "2026-11-28 22:59", "2026-11-29 23:00"} {
		log := strings.Replace(twoWeeks, "\nfed:\n", "\nsigns:\n  - {at: "+when+", animal: rowan, sign: fits}\n  - {at: "+when+", animal: rowan, sign: collapse}\n\nfed:\n", 1)
		own := files(t, log)
		for _, args := range [][]string{nil, {"-days", "14"}, {"-sheet", "card", "-animal", "rowan"}, {"-sheet", "card", "-days", "14"}} {
			code, out, errs := call(t, "", append(args, own...)...)
			out = strings.Join(strings.Fields(out), " ")
			if want := "Fits at " + when; code != 1 || strings.Count(out, want) != 1 || !strings.Contains(out, "Collapse at "+when) {
				t.Errorf("%s, %q: exit %d, %s, %q", when, args, code, errs, want)
			}
		}
		_, out, _ := call(t, "", own...)
		if _, first, _ := strings.Cut(out, "\nFirst\n-----\n"); !strings.HasPrefix(first, "  VET NOW  ") {
			t.Errorf("%s: begins with %.60q", when, first)
		}
	}
}

// Green stool beside dullness is told as what it is: now, and before either alone.
func TestGreenAndDull(t *testing.T) {
	t.Parallel()
	log := strings.Replace(twoWeeks, "\nfed:\n", "\nsigns:\n  - {at: 2026-11-24 08:00, animal: rowan, sign: dull}\n\nfed:\n", 1)
	log = strings.Replace(log, "\nstools:\n", "\nstools:\n  - {at: 2026-11-24 09:00, animal: rowan, class: green}\n", 1)
	_, out, errs := call(t, "", files(t, log)...)
	text := strings.Join(strings.Fields(out), " ")
	both, dull := strings.Index(text, "VET NOW Rowan: Stool green at 2026-11-24 09:00: a vet now: together with dull at 2026-11-24 08:00 it is the graver"), strings.Index(text, "VET NOW Rowan: Dull at")
	if both < 0 || dull < both || !regexp.MustCompile(`Rowan, 2026-11-24 09:00: green [^U]*To do: a vet now: together with dull at [^U]*Urgency: see a vet now`).MatchString(text) {
		t.Errorf("%d, %d, %s\n%s", both, dull, errs, out[:min(len(out), 2000)])
	}
}

// What must not be fed stands first on the card too, and in the log when it was eaten before the days looked at.
func TestStopsStay(t *testing.T) {
	t.Parallel()
	log := strings.Replace(twoWeeks, "\nfed:\n", "\nfed:\n  - {at: 2026-11-16 08:00, for: [rowan], food: pork belly, offered: 30 g, left: 0 g, stash: 0 g}\n", 1)
	own := files(t, log)
	for _, args := range [][]string{nil, {"-sheet", "card", "-animal", "rowan"}} {
		code, out, errs := call(t, "", append(args, own...)...)
		if text := strings.Join(strings.Fields(out), " "); code != 1 || !strings.Contains(text, "last at 2026-11-16 08:00, and may have been eaten.") {
			t.Errorf("%q: exit %d %s", args, code, errs)
		}
	}
}

// Animals of one name are told apart wherever they are named, and none is asked for by a name that two have.
func TestAnimalsOfOneName(t *testing.T) {
	t.Parallel()
	home := strings.NewReplacer("name: Bramble", "name: Moss", "name: Rowan", "name: moss").Replace(rescue)
	dir := t.TempDir()
	h, l := filepath.Join(dir, "home.yaml"), filepath.Join(dir, "log.yaml")
	for path, text := range map[string]string{h: home, l: twoWeeks} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, args := range [][]string{nil, {"-sheet", "card"}, {"-format", "json"}, {"-sheet", "card", "-format", "json"}} {
		_, out, errs := call(t, "", append(args, "-household", h, "-log", l)...)
		text := strings.Join(strings.Fields(out), " ")
		bare := regexp.MustCompile(`\b[Mm]oss\b(?: \((bramble|moss|rowan)\))?`)
		for _, m := range bare.FindAllString(text, -1) {
			if !strings.HasSuffix(m, ")") && m != "moss" { // the id itself stands in JSON and in brackets
				t.Errorf("%q: %q stands without its id: %s", args, m, errs)
				break
			}
		}
		for _, want := range []string{"Moss (bramble)", "Moss (moss)", "moss (rowan)"} {
			if !strings.Contains(text, want) {
				t.Errorf("%q: no %q", args, want)
			}
		}
	}
	if code, out, errs := call(t, "", "-sheet", "card", "-animal", "Moss", "-household", h, "-log", l); code != 2 || out != "" || !strings.Contains(errs, "give the id, one of bramble, rowan, moss") {
		t.Errorf("exit %d, %s", code, errs)
	}
	if code, out, _ := call(t, "", "-sheet", "card", "-animal", "moss", "-household", h, "-log", l); code == 2 || !strings.Contains(out, "\nMoss (moss)\n") {
		t.Errorf("the id is not taken: exit %d", code)
	}
}

// notEating are sentences that say what to do with an animal that does not eat.
var notEating = regexp.MustCompile(`(?i)[^.]*(eats nothing|does not eat\b|not eating|nothing eaten|without food|waited? out)[^.]*\.`)

// A card says one thing about an animal that does not eat, with its own time.
func TestCardOfNotEating(t *testing.T) {
	t.Parallel()
	for animal, want := range map[string]string{"rowan": "24 h", "fern": "12 h", "moss": "4 h"} {
		_, out, _ := call(t, "", "-sheet", "card", "-animal", animal)
		text, _, _ := strings.Cut(strings.Join(strings.Fields(out), " "), "Please read")
		got := notEating.FindAllString(text, -1)
		if len(got) != 1 || !strings.Contains(got[0], "Eats nothing: offer what it took before, and call a vet after "+want) {
			t.Errorf("%s: %q", animal, got)
		}
	}
}
