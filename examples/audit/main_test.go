package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"fitchet.example/balance/corpus"
	"fitchet.example/examples/internal/hostile"
	"fitchet.example/ration"
)

// full runs what is thinned out otherwise.
var full = os.Getenv("FITCHET_FULL") != ""

// The test binary is its own generator: with FAKE_GENERATOR set it speaks the
// protocol, and does one thing wrong at its second ask.
func TestMain(m *testing.M) {
	enter()
	if os.Getenv("BE_AUDIT") != "" {
		_ = os.Unsetenv("BE_AUDIT") // not for the generators
		main()
	}
	if mode := os.Getenv("FAKE_GENERATOR"); mode != "" {
		fake(mode)
		return
	}
	os.Exit(m.Run())
}

const refusal = `{"type":"answer","id":%d,"refused":{"because":"lacking","reason":"There is nothing to plan with."}}` + "\n"

func fake(mode string) {
	out := bufio.NewWriter(os.Stdout)
	say := func(format string, args ...any) {
		fmt.Fprintf(out, format, args...)
		out.Flush()
	}
	hello := `{"type":"hello","protocol":"fitchet.protocol/1","name":"fake","version":"1"}` + "\n"
	switch mode {
	case "hog":
		hold(400)
		time.Sleep(time.Minute)
	case "no-hello":
		time.Sleep(time.Minute)
	case "bad-hello":
		hello = "good morning\n"
	case "hostile-answer", "hostile-crash", "hostile-line":
		hello = fmt.Sprintf(`{"type":"hello","protocol":"fitchet.protocol/1","name":%s,"version":"\u202e1\n"}`+"\n", hostileName())
	case "other-protocol":
		hello = strings.Replace(hello, "protocol/1", "protocol/9", 1)
	}
	in := bufio.NewReaderSize(os.Stdin, 1<<20)
	var asked []int64
	for {
		line, err := in.ReadBytes('\n')
		if err != nil {
			if mode == "stays" {
				time.Sleep(time.Minute)
			}
			return
		}
		var msg struct {
			Type string
			ID   int64
		}
		if json.Unmarshal(line, &msg) != nil {
			return
		}
		switch {
		case msg.Type == "hello":
			say("%s", hello)
			if mode == "early" {
				for id := range int64(20) {
					say(refusal, id)
				}
			}
			if mode == "deaf" { // it never reads again, and the ask fits the pipe
				time.Sleep(time.Minute)
			}
		case msg.Type == "bye":
			switch mode {
			case "two-at-the-end":
				say(refusal, asked[len(asked)-1])
			case "other-at-the-end":
				say(refusal, 7)
			case "noise-at-the-end":
				say("good night\n")
			case "half-at-the-end":
				say(`{"type":"ans`)
			}
			if mode != "stays" {
				return
			}
		default:
			asked = append(asked, msg.ID)
			if len(asked) == 3 && mode == "again" {
				say(refusal, asked[0])
			}
			if len(asked) == 2 {
				misbehave(mode, asked, say)
			} else {
				say(refusal, msg.ID)
			}
		}
	}
}

// hold takes that many MiB of memory.
func hold(mebi int) (all [][]byte) {
	for range mebi {
		b := make([]byte, 1<<20)
		for i := range b {
			b[i] = 1
		}
		all = append(all, b)
		time.Sleep(2 * time.Millisecond)
	}
	return all
}

func misbehave(mode string, asked []int64, say func(string, ...any)) {
	id := asked[1]
	switch mode {
	case "crash":
		fmt.Fprintln(os.Stderr, "out of kibble")
		os.Exit(3)
	case "hostile-crash":
		fmt.Fprint(os.Stderr, strings.Join(hostile.Names(), "\n"))
		os.Exit(3)
	case "hostile-answer":
		say(`{"type":"answer","id":%d,"refused":{"because":"lacking","reason":%s}}`+"\n", id, hostileName())
	case "hostile-line":
		say("%s\n", strings.ReplaceAll(strings.Join(hostile.Names()[:6], " "), "\n", "\r"))
	case "quiet-exit":
		os.Exit(0)
	case "signal":
		p, err := os.FindProcess(os.Getpid())
		if err == nil {
			_ = p.Kill()
		}
		time.Sleep(time.Second)
	case "half-line":
		say(`{"type":"answer","id":%d,"pl`, id)
		os.Exit(0)
	case "silence":
		time.Sleep(time.Minute)
	case "slow":
		time.Sleep(1500 * time.Millisecond)
		say(refusal, id)
	case "flood":
		chunk := strings.Repeat("x", 1<<16)
		for range 1 << 14 { // a gigabyte
			say("%s", chunk)
		}
	case "chatter":
		for {
			say(refusal, asked[0])
		}
	case "memory":
		say(refusal, id+int64(len(hold(400)))-400)
	case "not-utf8":
		say("{\"type\":\"answer\",\"id\":%d,\"fault\":\"\xff\"}\n", id)
	case "garbage":
		say("thinking…\n")
	case "nan":
		say(`{"type":"answer","id":%d,"plan":{"schema":"fitchet.plan/1","x":NaN}}`+"\n", id)
	case "1e999":
		say(`{"type":"answer","id":%d,"plan":{"schema":"fitchet.plan/1","x":1e999}}`+"\n", id)
	case "no-answer":
		say(`{"type":"answer","id":%d}`+"\n", id)
	case "two-on-a-line":
		say(`{"type":"answer","id":%d,"plan":{},"refused":{"because":"lacking","reason":"x"}}`+"\n", id)
	case "two-lines":
		say(refusal, id)
		say(refusal, id)
	case "starts", "starts-and-waits", "starts-and-fails":
		if err := exec.Command("/bin/sh", "-c", os.Getenv("FAKE_SCRIPT")).Run(); err != nil {
			say(`{"type":"answer","id":%d,"fault":%q}`+"\n", id, err)
		}
		switch mode {
		case "starts-and-waits":
			time.Sleep(time.Minute)
		case "starts-and-fails":
			os.Exit(3)
		}
		say(refusal, id)
	case "wrong-id":
		say(refusal, 42)
	case "wrong-then-right":
		say(refusal, 42)
		say(refusal, id)
	case "ahead":
		say(refusal, id)
		say(refusal, id+1)
	case "fault":
		say(`{"type":"answer","id":%d,"fault":"no idea"}`+"\n", id)
	case "too-many":
		say(`{"type":"answer","id":%d,"plan":{"schema":"fitchet.plan/1","days":[{"meals":[{"servings":[%s{}]}]}]}}`+"\n", id, strings.Repeat(`{"food":"x"},`, 1_000_000))
	case "bad-plan":
		say(`{"type":"answer","id":%d,"plan":{"schema":"fitchet.plan/1","household":"x","start":"2026-11-30","days":[{"date":"2026-11-30","meals":[{"meal":1,"for":["a"],"servings":[{"food":"mouse","mass":57}]}]}]}}`+"\n", id)
	default:
		say(refusal, id)
	}
}

func command(mode string) string {
	return "env FAKE_GENERATOR=" + mode + " '" + os.Args[0] + "'"
}

// ids are three scenarios that "nothing to plan with" answers rightly.
func ids(t testing.TB) []string {
	t.Helper()
	c, err := corpus.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, s := range c.Scenarios {
		if s.Want == corpus.WantRefused && len(s.Lacks) == 0 && s.Because[0] == corpus.Lacking && len(out) < 3 {
			out = append(out, s.ID)
		}
	}
	if len(out) != 3 {
		t.Fatal("not three such scenarios")
	}
	return out
}

// audit runs the program and returns what it wrote.
func audit(t testing.TB, stdin io.Reader, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var o, e bytes.Buffer
	if stdin == nil {
		stdin = strings.NewReader("")
	}
	code = run(args, stdin, &o, &e)
	return code, o.String(), e.String()
}

// records are the results in a report of JSON Lines; the closing record is last.
func records(t testing.TB, text string) []map[string]any {
	t.Helper()
	var out []map[string]any
	for line := range strings.Lines(text) {
		var r map[string]any
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatalf("%v in %q", err, line)
		}
		out = append(out, r)
	}
	if len(out) < 2 || out[0]["type"] != "open" || out[len(out)-1]["type"] != "close" {
		t.Fatalf("no opening or closing record:\n%s", text)
	}
	return out
}

// Whatever a program does wrong is an outcome of its own, and the run goes on.
func TestGenerator_outcomes(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	only := strings.Join(ids(t), ",")
	for _, tc := range []struct{ mode, want, text string }{
		{"right", outMet, ""},
		{"crash", outCrash, "exit status 3; its standard error ends: out of kibble"},
		{"quiet-exit", outCrash, "exit 0"},
		{"signal", outCrash, "killed"},
		{"half-line", outHalfLine, `,\"pl`},
		{"silence", outSilence, "nothing came within 2s"},
		{"slow", outSlow, "1s are allowed"},
		{"flood", outFlood, "a line of more than 1 MiB"},
		{"chatter", outFlood, "more than 1000 lines"},
		{"memory", outMemory, "more than 128 MiB"},
		{"not-utf8", outNotUTF8, "not UTF-8"},
		{"garbage", outNotJSON, "not a JSON object"},
		{"nan", outNotNumber, "NaN"},
		{"1e999", outRange, "1e999"},
		{"no-answer", outNotAnswer, "none of plan"},
		{"two-on-a-line", outTwo, "more than one"},
		{"two-lines", outTwo, "came later"},
		{"wrong-id", outWrongID, "an answer to 42, which was not asked"},
		{"wrong-then-right", outWrongID, "an answer to 42, which was not asked"},
		{"fault", outFault, "no idea"},
		{"bad-plan", outMissed, ""},
		{"too-many", outTooMany, "1000000 servings"},
	} {
		t.Run(tc.mode, func(t *testing.T) {
			if tc.want == outMemory && !memoryIsSeen || runtime.GOOS == "windows" {
				t.Skip("cannot be seen here")
			}
			line, answer := "1MiB", "1s"
			if tc.mode == "too-many" {
				line, answer = "64MiB", "10s"
			}
			code, stdout, stderr := audit(t, nil, "-generator", command(tc.mode), "-only", only, "-workers", "1", "-time", answer, "-line", line, "-memory", "128MiB", "-format", "json")
			recs := records(t, stdout)
			var got []string
			for _, r := range recs[1 : len(recs)-1] {
				got = append(got, r["outcome"].(string))
			}
			want := []string{outMet, tc.want, outMet}
			if tc.mode == "chatter" { // it says the first answer again and again
				want[0] = outTwo
			}
			if fmt.Sprint(got) != fmt.Sprint(want) {
				t.Errorf("outcomes %v, want %v\n%s%s", got, want, stdout, stderr)
			}
			if second := recs[2]; tc.text != "" && !strings.Contains(fmt.Sprint(second["text"]), strings.ReplaceAll(tc.text, `\"`, `"`)) && !strings.Contains(fmt.Sprint(second["text"]), tc.text) {
				t.Errorf("it says %q, want %q", second["text"], tc.text)
			}
			if tc.mode == "bad-plan" && !strings.Contains(stdout, corpus.PlanWhole) {
				t.Errorf("a plan that cannot be read is not %s:\n%s", corpus.PlanWhole, stdout)
			}
			wantCode := 1
			if tc.want == outMet {
				wantCode = 0
			}
			if code != wantCode {
				t.Errorf("exit %d, want %d: %s", code, wantCode, stderr)
			}
		})
	}
}

// What is said before it is asked, behind the last answer or again counts as no
// answer, and not as nothing.
func TestGenerator_unasked(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	only := strings.Join(ids(t), ",")
	for _, tc := range []struct{ mode, first, second, third string }{
		{"early", outWrongID, outWrongID, outWrongID},
		{"ahead", outMet, outMet, outWrongID},
		{"again", outMet, outMet, outWrongID},
		{"two-at-the-end", outMet, outMet, outTwo},
		{"other-at-the-end", outMet, outMet, outWrongID},
		{"noise-at-the-end", outMet, outMet, outNotJSON},
		{"half-at-the-end", outMet, outMet, outNotJSON},
	} {
		code, stdout, stderr := audit(t, nil, "-generator", command(tc.mode), "-only", only, "-workers", "1", "-format", "json")
		recs := records(t, stdout)
		if recs[1]["outcome"] != tc.first || recs[2]["outcome"] != tc.second || recs[3]["outcome"] != tc.third || code != 1 {
			t.Errorf("%s: exit %d, %v, %v, %v\n%s%s", tc.mode, code, recs[1]["outcome"], recs[2]["outcome"], recs[3]["outcome"], stdout, stderr)
		}
	}
}

// A program that never reads its input is told from one that thinks.
func TestGenerator_deaf(t *testing.T) {
	if testing.Short() || runtime.GOOS != "linux" {
		t.Skip("starts processes; what is unread is seen on Linux alone")
	}
	_, stdout, _ := audit(t, nil, "-generator", command("deaf"), "-only", ids(t)[0], "-time", "700ms", "-format", "json")
	if recs := records(t, stdout); recs[1]["outcome"] != outDeaf {
		t.Errorf("%v", recs[1])
	}
}

// A program that cannot be started, or does not say hello, is no run at all.
func TestGenerator_unusable(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	for _, tc := range []struct{ command, want string }{
		{"/nonexistent/program", "no hello"},
		{command("no-hello"), "no hello within 400ms"},
		{command("bad-hello"), "no hello"},
		{command("other-protocol"), "fitchet.protocol/9"},
		{"false", "no hello"},
	} {
		code, stdout, stderr := audit(t, nil, "-generator", tc.command, "-time", "200ms")
		if code != 2 || stdout != "" || !strings.Contains(stderr, tc.want) {
			t.Errorf("%s: exit %d, %q, %q; want %q", tc.command, code, stdout, stderr, tc.want)
		}
	}
	code, stdout, _ := audit(t, nil, "-generator", command("stays"), "-only", ids(t)[0], "-time", "1s")
	if code != 0 || !strings.Contains(stdout, "note: it did not end within 1s after bye") {
		t.Errorf("a program that stays: exit %d, %s", code, stdout)
	}
}

// What is listed as known must still fail, and fail that way.
func TestGenerator_known(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	three := ids(t)
	list := func(outcome string) string {
		path := filepath.Join(t.TempDir(), "known.yaml")
		text := "schema: fitchet.known/1\nknown:\n  - {id: " + three[1] + ", outcome: " + outcome + ", reason: It is being mended.}\n"
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for _, tc := range []struct {
		mode, outcome string
		code          int
		want          string
	}{
		{"crash", "crash", 0, "known: It is being mended."},
		{"crash", "missed", 1, "listed as known to end with missed"},
		{"right", "crash", 1, outKnownPasses},
	} {
		code, stdout, stderr := audit(t, nil, "-generator", command(tc.mode), "-only", strings.Join(three, ","), "-workers", "1", "-known", list(tc.outcome))
		if code != tc.code || !strings.Contains(stdout, tc.want) {
			t.Errorf("%s known as %s: exit %d\n%s%s", tc.mode, tc.outcome, code, stdout, stderr)
		}
	}
}

// Several programs at once give the same report as one.
func TestGenerator_workers(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	strip := func(s string) string {
		var b strings.Builder
		for _, r := range records(t, s) {
			delete(r, "milliseconds")
			delete(r, "workers")
			fmt.Fprintln(&b, r)
		}
		return b.String()
	}
	_, one, _ := audit(t, nil, "-generator", command("right"), "-workers", "1", "-random", "6", "-seed", "5", "-format", "json")
	_, four, _ := audit(t, nil, "-generator", command("right"), "-workers", "4", "-random", "6", "-seed", "5", "-format", "json")
	if strip(one) != strip(four) {
		t.Error("one worker and four differ")
	}
	if !strings.Contains(one, `"id":"drawn-5-5"`) || !strings.Contains(one, `"seed":5`) || !strings.Contains(one, "ferret-1") {
		t.Error("the drawn households are not in the report")
	}
}

// A report that cannot be written does not end the run, and shows in the exit.
func TestReports(t *testing.T) {
	if testing.Short() || runtime.GOOS != "linux" {
		t.Skip("starts processes and needs a full device")
	}
	dir := t.TempDir()
	junit, md := filepath.Join(dir, "a.xml"), filepath.Join(dir, "a.md")
	code, stdout, stderr := audit(t, nil, "-generator", command("crash"), "-only", strings.Join(ids(t), ","), "-workers", "1",
		"-report", "json=/dev/full", "-report", "json="+filepath.Join(dir, "no", "such", "dir.json"), "-report", "junit="+junit, "-report", "md="+md)
	if code != 2 || !strings.Contains(stderr, "no space left") || !strings.Contains(stderr, "no such file") || !strings.Contains(stdout, "3 answers: 2 met, 1 failed") {
		t.Errorf("exit %d\n%s\n%s", code, stdout, stderr)
	}
	data, err := os.ReadFile(junit)
	if err != nil {
		t.Fatal(err)
	}
	var suites struct {
		Suite []struct {
			Case []struct {
				Name  string `xml:"name,attr"`
				Error *struct {
					Type string `xml:"type,attr"`
				} `xml:"error"`
			} `xml:"testcase"`
		} `xml:"testsuite"`
	}
	if err := xml.Unmarshal(data, &suites); err != nil {
		t.Fatalf("%v\n%s", err, data)
	}
	if cases := suites.Suite[0].Case; len(cases) != 3 || cases[1].Error == nil || cases[1].Error.Type != outCrash || cases[0].Error != nil {
		t.Errorf("%s", data)
	}
	text, err := os.ReadFile(md)
	if err != nil || !strings.Contains(string(text), "| crash |") {
		t.Errorf("%v\n%s", err, text)
	}
	code, _, stderr = audit(t, nil, "-out", "/dev/full")
	if code != 2 || !strings.Contains(stderr, "no space left") {
		t.Errorf("standard report on a full disk: exit %d, %s", code, stderr)
	}
}

// The sample generators: the right one passes but for what the planner is known
// to fail, and each flawed one is found by the rule its flaw breaks. These are asked
// about every fourth scenario, with FITCHET_FULL about all.
func TestSampleGenerators(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	right := filepath.Join(t.TempDir(), "right")
	if out, err := exec.Command("go", "build", "-o", right, "./generators/planweek").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	code, stdout, stderr := audit(t, nil, "-generator", "'"+right+"'", "-known", "../../balance/corpus/testdata/known.yaml")
	if code != 0 {
		t.Errorf("the right generator: exit %d\n%s%s", code, stdout, stderr)
	}
	var only []string
	if !full {
		c, err := corpus.Shipped()
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(c.Scenarios); i += 4 {
			only = append(only, c.Scenarios[i].ID)
		}
	}
	for _, tc := range []struct {
		needs, command string
		rules          []string
	}{
		{"python3", "python3 generators/python/bone_in_as_bone.py", []string{"share-bone"}},
		{"python3", "python3 generators/python/each_meal.py", []string{"share-liver", "share-organ"}},
		{"node", "node generators/javascript/dry_amount.mjs", []string{"energy-band"}},
	} {
		t.Run(tc.command, func(t *testing.T) {
			if _, err := exec.LookPath(tc.needs); err != nil {
				t.Skipf("no %s here", tc.needs)
			}
			code, stdout, stderr := audit(t, nil, "-generator", tc.command, "-only", strings.Join(only, ","), "-format", "json")
			recs := records(t, stdout)
			if code != 1 {
				t.Errorf("exit %d: %s", code, stderr)
			}
			for _, rule := range tc.rules {
				if !strings.Contains(stdout, `{"id":"`+rule+`"`) {
					t.Errorf("nothing is wrong by %s", rule)
				}
			}
			for _, r := range recs[1 : len(recs)-1] {
				if o := r["outcome"]; o != outMet && o != outMissed {
					t.Errorf("%v: %v %v", r["title"], o, r["text"])
				}
			}
			if code, stdout, _ := audit(t, nil, "-generator", tc.command, "-selftest"); code != 0 {
				t.Errorf("it does not speak the protocol:\n%s", stdout)
			}
		})
	}
}

// The self-test finds what is wrong with a harness.
func TestSelftest(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	for _, tc := range []struct{ mode, fails string }{
		{"garbage", "answers one ask after another"},
		{"stays", "ends by itself after bye"},
		{"wrong-id", "answers one ask after another"},
		{"crash", "answers one ask after another"},
	} {
		code, stdout, _ := audit(t, nil, "-generator", command(tc.mode), "-selftest", "-time", "1s")
		if code != 1 || !strings.Contains(stdout, "FAIL "+tc.fails) {
			t.Errorf("%s: exit %d\n%s", tc.mode, code, stdout)
		}
	}
}

// ---- plans

func TestPlans_embedded(t *testing.T) {
	code, stdout, stderr := audit(t, nil)
	if code != 0 || !strings.Contains(stdout, "Brackenford Ferret Rescue, 7 days from 2026-11-30") {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
	code, again, _ := audit(t, nil)
	if code != 0 || again != stdout {
		t.Error("two runs differ")
	}
	code, stdout, _ = audit(t, nil, "-format", "json")
	recs := records(t, stdout)
	if rep, ok := recs[1]["report"].(map[string]any); code != 0 || !ok || rep["schema"] != "fitchet.report/1" {
		t.Errorf("exit %d\n%s", code, stdout)
	}
}

// planLine is the embedded plan on one line, with the mass of one food changed.
func planLine(t testing.TB, from, to string) string {
	t.Helper()
	doc := rescuePlan
	if from != "" && !strings.Contains(doc, from) {
		t.Fatalf("the plan does not hold %q", from)
	}
	doc = strings.Replace(doc, from, to, 1)
	return toJSON(t, doc)
}

// A stream of plans is judged in order, line by line; what is no plan is named by
// its line and the rest is judged.
func TestPlans_stream(t *testing.T) {
	good := planLine(t, "", "")
	bad := planLine(t, "{food: beef-liver, mass: ", "{food: beef-liver, mass: 9")
	var in strings.Builder
	var want []string
	for i := range 300 {
		switch {
		case i%50 == 7:
			in.WriteString("not a plan\n")
			want = append(want, "unusable")
		case i%3 == 1:
			in.WriteString(bad + "\n")
			want = append(want, "missed")
		default:
			in.WriteString(good + "\n")
			want = append(want, "met")
		}
	}
	code, stdout, stderr := audit(t, strings.NewReader(in.String()+"\n"), "-format", "json", "-workers", "4", "-")
	recs := records(t, stdout)
	if code != 2 || len(recs) != 302 {
		t.Fatalf("exit %d, %d records: %s", code, len(recs), stderr)
	}
	for i, r := range recs[1:301] {
		if r["outcome"] != want[i] || r["source"] != fmt.Sprintf("standard input, line %d", i+1) {
			t.Fatalf("line %d: %v, want %s", i+1, r, want[i])
		}
	}
	if recs[301]["met"] == nil || recs[301]["exit"] == nil {
		t.Errorf("%v", recs[301])
	}
}

// endless is a stream of the same line.
type endless struct {
	line []byte
	at   int
	left int
}

func (e *endless) Read(p []byte) (int, error) {
	if e.left == 0 {
		return 0, io.EOF
	}
	n := copy(p, e.line[e.at:])
	if e.at += n; e.at == len(e.line) {
		e.at, e.left = 0, e.left-1
	}
	return n, nil
}

// A long stream takes no more memory than a short one, and a line of a gigabyte is
// never held.
func TestPlans_constantMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("takes time")
	}
	line := planLine(t, "", "") + "\n"
	peak := func(n int) uint64 {
		runtime.GC()
		var top uint64
		stop, done := make(chan bool), make(chan bool)
		go func() {
			defer close(done)
			for {
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				top = max(top, m.HeapAlloc)
				select {
				case <-stop:
					return
				case <-time.After(10 * time.Millisecond):
				}
			}
		}()
		var out discard
		code := run([]string{"-format", "json", "-"}, &endless{line: []byte(line), left: n}, &out, &out)
		close(stop)
		<-done
		if code != 0 {
			t.Fatalf("exit %d", code)
		}
		return top
	}
	most := 1000
	if full {
		most = 2500
	}
	few := peak(200)
	if many := peak(most); many > 2*few+32<<20 {
		t.Errorf("200 plans took %d MiB at most, %d took %d", few>>20, most, many>>20)
	}
	code, stdout, _ := audit(t, io.MultiReader(io.LimitReader(&endless{line: []byte("x"), left: 1 << 26}, 1<<26), strings.NewReader("\n"+line)), "-format", "json", "-")
	recs := records(t, stdout)
	if code != 2 || recs[1]["outcome"] != "unusable" || recs[2]["outcome"] != "met" {
		t.Errorf("a line of 64 MiB: exit %d, %v, %v", code, recs[1], recs[2])
	}
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }

func TestPlans_filesAndFlags(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	house := put("house.yaml", rescue)
	put("plans/b.yaml", rescuePlan)
	put("plans/a.json", planLine(t, "{food: beef-liver, mass: ", "{food: beef-liver, mass: 9"))
	put("plans/c.jsonl", planLine(t, "", "")+"\n"+planLine(t, "", "")+"\n")
	put("plans/readme.txt", "not a plan")
	hungry := put("hungry.yaml", "schema: fitchet.plan/1\nhousehold: Brackenford Ferret Rescue\nstart: 2026-11-30\ndays:\n  - {date: 2026-11-30, meals: []}\n")
	lastYear := put("last-year.yaml", strings.ReplaceAll(strings.ReplaceAll(rescuePlan, "2026-1", "2025-1"), "2026-0", "2025-0"))
	nextYear := put("next-year.yaml", strings.ReplaceAll(strings.ReplaceAll(rescuePlan, "2026-1", "2027-1"), "2026-0", "2027-0"))
	rules := put("rules.yaml", `schema: fitchet.rules/1
rules:
  - id: no-egg
    title: No egg is fed in this house.
    check: mass-share
    of: kind
    kind: egg
    period: week
    gravity: mend
    means: An egg makes this one sick.
    high: {value: "0 %", ref: "choice: this house"}
    since: "2026-11"
`)
	empty := filepath.Join(dir, "empty")
	if err := os.Mkdir(empty, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name string
		args []string
		code int
		want string
	}{
		{"a directory", []string{filepath.Join(dir, "plans")}, 1, "4 plans: 3 met, 1 failed"},
		{"in order of names", []string{filepath.Join(dir, "plans")}, 1, "a.json: missed"},
		{"with the household", []string{"-household", house, filepath.Join(dir, "plans", "b.yaml")}, 0, "Bramble"},
		{"of a week gone", []string{"-household", house, lastYear}, 2, "start 2025-11-30 lies before the as-of day"},
		{"of a week a year ahead", []string{"-household", house, nextYear}, 2, "start 2027-11-30 lies 370 days after the as-of day"},
		{"of a week gone, of nobody's", []string{lastYear}, 0, "2025-11-30"},
		{"own rules", []string{"-rules", rules, filepath.Join(dir, "plans", "b.yaml")}, 1, "no-egg"},
		{"own rules, others alone", []string{"-rules", rules, "-rule", "share-liver", filepath.Join(dir, "plans", "b.yaml")}, 0, "share-liver"},
		{"another target", []string{"-target", "whole-prey", filepath.Join(dir, "plans")}, 1, "complete-enough"},
		{"an unknown target", []string{"-target", "nonesuch"}, 2, "no target has this id"},
		{"an unknown rule", []string{"-rule", "nonesuch"}, 2, "no rule and no requirement"},
		{"an empty directory", []string{empty}, 2, "holds no plan"},
		{"a missing file", []string{filepath.Join(dir, "none.yaml")}, 2, "no such file"},
		{"a missing household", []string{"-household", filepath.Join(dir, "none.yaml")}, 2, "no such file"},
		{"a text that is no plan", []string{filepath.Join(dir, "plans", "readme.txt")}, 2, "unusable"},
		{"a plan without food", []string{hungry}, 2, "there is no food in it"},
		{"a bad flag", []string{"-nonsense"}, 2, "nonsense"},
		{"a bad format", []string{"-format", "pdf"}, 2, "want text, json, junit, md"},
		{"a report of nothing", []string{"-lint", "shipped", "-out", "lint.txt"}, 2, "for what is judged"},
		{"a bad report", []string{"-report", "pdf"}, 2, "want a format and a file"},
		{"two uses", []string{"-generator", "x", "-lint", "y"}, 2, "separate uses"},
		{"plans and a generator", []string{"-generator", "x", house}, 2, "not judged in the same run"},
		{"a selftest of nothing", []string{"-selftest"}, 2, "go with -generator"},
		{"a bad size", []string{"-generator", "true", "-line", "many"}, 2, "want a number of bytes"},
		{"an unknown scenario", []string{"-generator", "true", "-only", "zzz"}, 2, "no scenario has the id"},
		{"help", []string{"-h"}, 0, "-generator"},
	} {
		code, stdout, stderr := audit(t, nil, tc.args...)
		if code != tc.code || !strings.Contains(stdout+stderr, tc.want) {
			t.Errorf("%s: exit %d, want %d and %q\n%s%s", tc.name, code, tc.code, tc.want, stdout, stderr)
		}
	}
}

// The help names the defaults that hold.
func TestHelp_defaults(t *testing.T) {
	_, _, help := audit(t, nil, "-h")
	for _, want := range []string{"(default " + defaultTime.String() + ")", `(default "` + defaultLine + `")`, `(default "` + defaultMemory + `")`, fmt.Sprintf("(default %d)", defaultSeed)} {
		if !strings.Contains(help, want) {
			t.Errorf("the help does not say %s:\n%s", want, help)
		}
	}
}

// ---- corpus

func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "copy")
	for range 2 { // over itself, too
		if code, stdout, stderr := audit(t, nil, "-write", dir); code != 0 || !strings.Contains(stdout, "scenarios") {
			t.Fatalf("exit %d\n%s%s", code, stdout, stderr)
		}
	}
	c, err := corpus.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	stampText, err := os.ReadFile(filepath.Join(dir, stamp))
	if err != nil || !strings.Contains(string(stampText), "corpus "+c.Version+"\n") {
		t.Errorf("%q %v", stampText, err)
	}
	if _, err := corpus.Load(os.DirFS(filepath.Join(dir, "corpus"))); err != nil {
		t.Error(err)
	}
	asks, err := os.ReadFile(filepath.Join(dir, "asks.jsonl"))
	if err != nil || strings.Count(string(asks), "\n") != len(c.Scenarios) {
		t.Errorf("%d asks: %v", strings.Count(string(asks), "\n"), err)
	}
	if code, stdout, stderr := audit(t, nil, "-lint", filepath.Join(dir, "corpus")); code != 0 || !strings.Contains(stdout, "in order") {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
	path := filepath.Join(dir, "corpus", "cases", "liver-most.yaml")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append(data, "  \n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, stdout, _ := audit(t, nil, "-lint", filepath.Join(dir, "corpus")); code != 1 || !strings.Contains(stdout, "blanks at the end") {
		t.Errorf("a spoiled copy: exit %d\n%s", code, stdout)
	}
	other := t.TempDir()
	if err := os.WriteFile(filepath.Join(other, "mine.txt"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := audit(t, nil, "-write", other); code != 2 || !strings.Contains(stderr, "not empty") {
		t.Errorf("a directory of others: exit %d, %s", code, stderr)
	}
}

func TestNewIDs(t *testing.T) {
	code, stdout, _ := audit(t, nil, "-new-id", "3")
	lines := strings.Fields(stdout)
	if code != 0 || len(lines) != 3 || lines[0] == lines[1] {
		t.Errorf("exit %d, %v", code, lines)
	}
	for _, id := range lines {
		if _, err := corpus.ParseID(id); err != nil {
			t.Error(err)
		}
	}
}

// PROTOCOL.md names every outcome, every requirement and the protocol.
func TestProtocolPage(t *testing.T) {
	page, err := os.ReadFile("PROTOCOL.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range outcomes() {
		if !strings.Contains(string(page), "| `"+o[0]+"` | "+o[1]+" |") {
			t.Errorf("the outcome %s is not there as: %s", o[0], o[1])
		}
	}
	for _, r := range corpus.Requirements() {
		if !strings.Contains(string(page), "| `"+r[0]+"` | "+r[1]+" |") {
			t.Errorf("the requirement %s is not there as: %s", r[0], r[1])
		}
	}
	for _, want := range []string{corpus.Protocol, defaultTime.String(), defaultLine[:2], "lacking", "unsafe", "no-figure", "clash"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page does not say %s", want)
		}
	}
	// Its examples are messages that are read.
	for line := range strings.Lines(string(page)) {
		if strings.HasPrefix(line, `{"type":"answer"`) {
			if _, err := corpus.ReadReply([]byte(strings.TrimSpace(line))); err != nil {
				t.Errorf("%v: %s", err, line)
			}
		}
	}
}

// toJSON writes a plan as one line of JSON.
func toJSON(t testing.TB, doc string) string {
	t.Helper()
	plan, err := ration.LoadPlan("plan", strings.NewReader(doc), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	data, err := plan.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
