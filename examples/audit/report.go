package main

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/corpus"
	"fitchet.example/balance/prose"
	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/page"
)

// runSchema names the form of a report in JSON Lines.
const runSchema = "fitchet.run/1"

// header opens a report.
type header struct {
	What      string // generator or plans
	Corpus    string
	Command   string
	Generator *corpus.Hello
	Seed      *uint64
	Bounds    *bounds
	Workers   int
}

// summary closes a report.
type summary struct {
	Results, Met, Failed, Known int
	Exit                        int
	Notes                       []string
}

// audited is one plan that was judged.
type audited struct {
	n       int
	source  string
	report  *balance.Report
	missed  []*balance.Finding
	open    int
	err     error // it could not be judged
	whole   bool  // the full report is wanted
	outcome string
}

// reporter writes one report of a run. All methods may be called after one has
// failed: the first error is kept and returned by close.
type reporter interface {
	open(header)
	result(*result)
	plan(*audited)
	close(summary) error
	// drop ends the report without a result: a file is left as it was. It says why,
	// and does nothing after close.
	drop(why error) error
}

// out is a buffered output that keeps its first error.
type out struct {
	w   *bufio.Writer
	to  *cli.Output // nil: it could not be opened
	err error
}

func (o *out) Write(b []byte) (int, error) {
	if o.err == nil {
		_, o.err = o.w.Write(b)
	}
	return len(b), nil
}

func (o *out) printf(format string, args ...any) { fmt.Fprintf(o, format, args...) }

func (o *out) finish() error {
	if err := o.w.Flush(); o.err == nil {
		o.err = err
	}
	switch {
	case o.to == nil:
		return o.err
	case o.err != nil:
		return o.to.Abort(o.err)
	}
	return o.to.Commit()
}

func (o *out) drop(why error) error { return o.to.Abort(why) }

func formats() []string { return []string{"text", "json", "junit", "md"} }

// newReporter makes a report of that format. A file that cannot be opened is an
// error of its close, so that the run goes on.
func newReporter(format, path string, stdout io.Writer) (reporter, error) {
	if !slices.Contains(formats(), format) {
		return nil, fmt.Errorf("format %q: want %s", format, strings.Join(formats(), ", "))
	}
	o := &out{w: bufio.NewWriter(io.Discard)}
	if o.to, o.err = cli.Create(path, stdout); o.err == nil {
		o.w = bufio.NewWriterSize(o.to, 32<<10)
	}
	switch format {
	case "text":
		return &textReport{out: o}, nil
	case "json":
		return &jsonReport{out: o}, nil
	case "junit":
		return &junitReport{out: o}, nil
	}
	return &mdReport{out: o}, nil
}

// ---- text

type textReport struct {
	*out
	h header
}

// printf makes all foreign text harmless.
func (t *textReport) printf(format string, args ...any) { page.Put(t.out, format, args...) }

func (t *textReport) open(h header) {
	t.h = h
	if h.What == "generator" && h.Generator != nil {
		t.printf("%s %s", h.Generator.Name, h.Generator.Version)
		if h.Generator.Language != "" {
			t.printf(" (%s)", h.Generator.Language)
		}
		t.printf(", asked by corpus %s\n", h.Corpus)
		if h.Seed != nil {
			t.printf("seed %d\n", *h.Seed)
		}
	}
}

func (t *textReport) result(r *result) {
	mark := r.outcome
	if r.known != "" {
		mark = "known: " + r.outcome
	}
	if r.outcome == outMet {
		return
	}
	t.printf("\n%s  %s  %s\n", r.q.id, mark, r.q.title)
	if r.text != "" {
		t.printf("    %s\n", r.text)
	}
	for _, w := range r.wrong {
		t.printf("    %s: %s\n", w.ID, w.Text)
	}
	if r.known != "" {
		t.printf("    known: %s\n", r.known)
		return
	}
	t.printf("    failing means: %s\n", r.q.failing)
	if r.household != "" {
		t.printf("    household:\n")
		for line := range strings.Lines(r.household) {
			t.printf("      %s\n", strings.TrimSuffix(line, "\n"))
		}
	}
}

func (t *textReport) plan(a *audited) {
	if a.err != nil {
		t.printf("%s: unusable\n", a.source)
		for line := range strings.SplitSeq(a.err.Error(), "\n") {
			t.printf("    %s\n", line)
		}
		return
	}
	if a.whole {
		if err := prose.Write(t, a.report); err != nil && t.err == nil {
			t.err = err
		}
		return
	}
	t.printf("%s: %s, %s, %d days from %s", a.source, a.outcome, a.report.Household, a.report.Days, a.report.Start)
	if a.open > 0 {
		t.printf(", %d open", a.open)
	}
	t.printf("\n")
	for _, f := range a.missed {
		t.printf("    %s: %s%s: %s; limit %s\n", f.Severity, f.Rule.ID, whom(f), f.MeasuredText(), f.LimitText())
	}
}

func whom(f *balance.Finding) string {
	if f.Animal == nil {
		return ""
	}
	return " for " + f.Who()
}

func (t *textReport) close(s summary) error {
	if s.Results != 1 || t.h.What == "generator" {
		what := "plans"
		if t.h.What == "generator" {
			what = "answers"
		}
		t.printf("\n%d %s: %d met, %d failed", s.Results, what, s.Met, s.Failed)
		if s.Known > 0 {
			t.printf(", %d known to fail", s.Known)
		}
		t.printf("\n")
	}
	for _, n := range s.Notes {
		t.printf("note: %s\n", n)
	}
	return t.finish()
}

// ---- JSON Lines

type jsonReport struct{ *out }

func (j *jsonReport) line(v any) {
	b, err := cli.Line(v)
	if err != nil {
		if j.err == nil {
			j.err = err
		}
		return
	}
	_, _ = j.Write(b) // the first error is kept
}

type jsonGenerator struct {
	Name     string `json:"name"`
	Version  string `json:"version"`
	Language string `json:"language,omitempty"`
	Homepage string `json:"homepage,omitempty"`
	Issues   string `json:"issues,omitempty"`
}

type jsonOpen struct {
	Type      string         `json:"type"`
	Schema    string         `json:"schema"`
	Corpus    string         `json:"corpus,omitempty"`
	What      string         `json:"what"`
	Command   string         `json:"command,omitempty"`
	Generator *jsonGenerator `json:"generator,omitempty"`
	Seed      *uint64        `json:"seed,omitempty"`
	Time      string         `json:"time,omitempty"`
	Line      int            `json:"line-limit,omitempty"`
	Memory    string         `json:"memory,omitempty"`
	Workers   int            `json:"workers,omitempty"`
}

type jsonWrong struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

type jsonResult struct {
	Type      string      `json:"type"`
	N         int         `json:"n"`
	ID        string      `json:"id"`
	Title     string      `json:"title"`
	Outcome   string      `json:"outcome"`
	Answer    string      `json:"answer,omitempty"`
	Wrong     []jsonWrong `json:"wrong,omitempty"`
	Text      string      `json:"text,omitempty"`
	Failing   string      `json:"failing,omitempty"`
	Known     string      `json:"known,omitempty"`
	Took      int64       `json:"milliseconds"`
	Household string      `json:"household,omitempty"`
}

type jsonMissed struct {
	Rule     string           `json:"rule"`
	Severity balance.Severity `json:"gravity"`
	Animal   string           `json:"animal,omitempty"`
	Measured string           `json:"measured,omitempty"`
	Limit    string           `json:"limit,omitempty"`
}

type jsonPlan struct {
	Type      string            `json:"type"`
	N         int               `json:"n"`
	Source    string            `json:"source"`
	Household string            `json:"household,omitempty"`
	Start     string            `json:"start,omitempty"`
	Days      int               `json:"days,omitempty"`
	Target    string            `json:"target,omitempty"`
	Outcome   string            `json:"outcome"`
	Missed    []jsonMissed      `json:"missed,omitempty"`
	Open      int               `json:"open,omitempty"`
	Faults    []string          `json:"faults,omitempty"`
	Report    *balance.Printout `json:"report,omitempty"`
}

type jsonClose struct {
	Type    string   `json:"type"`
	Results int      `json:"results"`
	Met     int      `json:"met"`
	Failed  int      `json:"failed"`
	Known   int      `json:"known,omitempty"`
	Exit    int      `json:"exit"`
	Notes   []string `json:"notes,omitempty"`
}

func (j *jsonReport) open(h header) {
	o := jsonOpen{Type: "open", Schema: runSchema, Corpus: h.Corpus, What: h.What, Command: h.Command, Seed: h.Seed, Workers: h.Workers}
	if g := h.Generator; g != nil {
		o.Generator = &jsonGenerator{g.Name, g.Version, g.Language, g.Homepage, g.Issues}
	}
	if b := h.Bounds; b != nil {
		o.Time, o.Line = b.time.String(), b.line
		if b.memory > 0 {
			o.Memory = bytesText(b.memory)
		}
	}
	j.line(o)
}

func (j *jsonReport) result(r *result) {
	v := jsonResult{Type: "result", N: r.n, ID: r.q.id, Title: r.q.title, Outcome: r.outcome, Answer: r.answer, Text: r.text, Known: r.known, Took: r.took.Milliseconds(), Household: r.household}
	if r.outcome != outMet {
		v.Failing = r.q.failing
	}
	for _, w := range r.wrong {
		v.Wrong = append(v.Wrong, jsonWrong(w))
	}
	j.line(v)
}

func (j *jsonReport) plan(a *audited) {
	v := jsonPlan{Type: "plan", N: a.n, Source: a.source, Outcome: a.outcome, Open: a.open}
	if a.err != nil {
		v.Faults = strings.Split(a.err.Error(), "\n")
		j.line(v)
		return
	}
	v.Household, v.Start, v.Days, v.Target = a.report.Household, a.report.Start.String(), a.report.Days, a.report.Target.ID
	for _, f := range a.missed {
		m := jsonMissed{Rule: f.Rule.ID, Severity: f.Severity, Measured: f.MeasuredText(), Limit: f.LimitText()}
		if f.Animal != nil {
			m.Animal = f.Animal.ID
		}
		v.Missed = append(v.Missed, m)
	}
	if a.whole {
		v.Report = &balance.Printout{Report: a.report}
	}
	j.line(v)
}

func (j *jsonReport) close(s summary) error {
	j.line(jsonClose{"close", s.Results, s.Met, s.Failed, s.Known, s.Exit, s.Notes})
	return j.finish()
}

// ---- JUnit XML

type junitReport struct {
	*out
	suite string
}

type junitCase struct {
	XMLName xml.Name      `xml:"testcase"`
	Class   string        `xml:"classname,attr"`
	Name    string        `xml:"name,attr"`
	Time    string        `xml:"time,attr,omitempty"`
	Failure *junitFailure `xml:"failure"`
	Error   *junitFailure `xml:"error"`
	Skipped *junitSkipped `xml:"skipped"`
}

type junitFailure struct {
	Type    string `xml:"type,attr"`
	Message string `xml:"message,attr"`
	Text    string `xml:",chardata"`
}

type junitSkipped struct {
	Message string `xml:"message,attr"`
}

// open writes no counts: they are known at the end alone, and what is long is
// not kept in memory.
func (x *junitReport) open(h header) {
	x.suite = h.What
	name := "plans"
	if h.Generator != nil {
		name = h.Generator.Name + " " + h.Generator.Version
	}
	x.printf("%s<testsuites>\n<testsuite name=%s>\n", xml.Header, attribute(name))
}

func attribute(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(plainText(s))) // a bytes.Buffer takes everything
	return `"` + b.String() + `"`
}

func (x *junitReport) put(c junitCase) {
	b, err := xml.MarshalIndent(c, " ", " ")
	if err != nil {
		if x.err == nil {
			x.err = err
		}
		return
	}
	x.printf("%s\n", b)
}

// broken reports whether the outcome is about the program and not about a plan.
func broken(outcome string) bool {
	switch outcome {
	case outMet, outMissed, outKnownPasses:
		return false
	}
	return true
}

func (x *junitReport) result(r *result) {
	c := junitCase{Class: "scenario", Name: r.q.id + " " + plainText(r.q.title), Time: fmt.Sprintf("%.3f", r.took.Seconds())}
	var b strings.Builder
	for _, w := range r.wrong {
		fmt.Fprintf(&b, "%s: %s\n", w.ID, plainText(w.Text))
	}
	if r.outcome != outMet {
		fmt.Fprintf(&b, "failing means: %s\n", plainText(r.q.failing))
		if r.household != "" {
			b.WriteString(r.household)
		}
	}
	message := r.text
	if message == "" && len(r.wrong) > 0 {
		message = r.wrong[0].ID + ": " + r.wrong[0].Text
	}
	f := &junitFailure{r.outcome, plainText(message), b.String()}
	switch {
	case r.outcome == outMet:
	case r.known != "":
		c.Skipped = &junitSkipped{"known: " + plainText(r.known)}
	case broken(r.outcome):
		c.Error = f
	default:
		c.Failure = f
	}
	x.put(c)
}

func (x *junitReport) plan(a *audited) {
	c := junitCase{Class: "plan", Name: plainText(a.source)}
	switch {
	case a.err != nil:
		faults := strings.Split(a.err.Error(), "\n")
		for i, f := range faults {
			faults[i] = plainText(f)
		}
		c.Error = &junitFailure{"unusable", faults[0], strings.Join(faults, "\n")}
	case len(a.missed) > 0:
		var b strings.Builder
		for _, f := range a.missed {
			fmt.Fprintf(&b, "%s: %s%s: %s; limit %s\n", f.Severity, f.Rule.ID, whom(f), plainText(f.MeasuredText()), f.LimitText())
		}
		c.Failure = &junitFailure{"missed", firstLine(b.String()), b.String()}
	}
	x.put(c)
}

func firstLine(s string) string { s, _, _ = strings.Cut(s, "\n"); return s }

func (x *junitReport) close(s summary) error {
	x.printf("<system-out>%d results, %d met, %d failed, %d known</system-out>\n</testsuite>\n</testsuites>\n", s.Results, s.Met, s.Failed, s.Known)
	return x.finish()
}

// ---- Markdown

type mdReport struct {
	*out
	h header
}

func (m *mdReport) open(h header) {
	m.h = h
	if h.What == "generator" {
		m.printf("# Answers of a plan generator\n\n")
		if g := h.Generator; g != nil {
			m.printf("- generator: %s %s %s\n", md(g.Name), md(g.Version), md(g.Language))
		}
		m.printf("- corpus: %s\n", md(h.Corpus))
		if h.Seed != nil {
			m.printf("- seed: %d\n", *h.Seed)
		}
		m.printf("\n| id | outcome | what is special | what is wrong |\n|---|---|---|---|\n")
		return
	}
	m.printf("# Plans\n\n| plan | outcome | missed |\n|---|---|---|\n")
}

// md keeps foreign text from being read as Markdown.
func md(s string) string {
	return page.Markdown(plainText(s))
}

func (m *mdReport) result(r *result) {
	var wrong []string
	if r.text != "" {
		wrong = append(wrong, md(r.text))
	}
	for _, w := range r.wrong {
		wrong = append(wrong, md(w.ID+": "+w.Text))
	}
	outcome := r.outcome
	if r.known != "" {
		outcome += " (known: " + md(r.known) + ")"
	}
	m.printf("| %s | %s | %s | %s |\n", r.q.id, outcome, md(r.q.title), strings.Join(wrong, "<br>"))
}

func (m *mdReport) plan(a *audited) {
	if a.err != nil {
		m.printf("| %s | unusable | %s |\n", md(a.source), md(a.err.Error()))
		return
	}
	var missed []string
	for _, f := range a.missed {
		missed = append(missed, md(f.Severity.String()+": "+f.Rule.ID+whom(f)+": "+f.MeasuredText()+"; limit "+f.LimitText()))
	}
	m.printf("| %s | %s | %s |\n", md(a.source), a.outcome, strings.Join(missed, "<br>"))
}

func (m *mdReport) close(s summary) error {
	m.printf("\n%d results: %d met, %d failed, %d known to fail.\n", s.Results, s.Met, s.Failed, s.Known)
	for _, n := range s.Notes {
		m.printf("\nNote: %s\n", md(n))
	}
	return m.finish()
}

// many writes several reports of one run.
type many []reporter

func (m many) open(h header) {
	for _, r := range m {
		r.open(h)
	}
}

func (m many) result(res *result) {
	for _, r := range m {
		r.result(res)
	}
}

func (m many) plan(a *audited) {
	for _, r := range m {
		r.plan(a)
	}
}

// close closes all, whatever becomes of any.
func (m many) close(s summary) error {
	var errs []error
	for _, r := range m {
		errs = append(errs, r.close(s))
	}
	return errors.Join(errs...)
}

func (m many) drop(why error) error {
	var errs []error
	for _, r := range m {
		errs = append(errs, r.drop(why))
	}
	return errors.Join(errs...)
}
