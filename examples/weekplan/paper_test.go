package main

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The rules of CommonMark 0.31.2 by which a character is more than itself
// (2.4 backslash escapes, 4.2 headings, 4.3 setext headings, 5.1 quotes, 5.2
// list items, 6.1 code, 6.2 emphasis, 6.3 links, 6.6 HTML) and, for the bar and
// the tilde, those of GitHub's tables and strikethrough.
func TestMarkdownEscapes(t *testing.T) {
	t.Parallel()
	p := &paper{Notes: []noteOut{{N: 1}}}
	for s, want := range map[string]string{
		"plain 1.5 g (0.1 oz), 10 % - really!": "plain 1.5 g (0.1 oz), 10 % - really!",
		"# Foo":                                `\# Foo`,
		"- Foo":                                `\- Foo`,
		"+ Foo":                                `\+ Foo`,
		"===":                                  `\===`,
		"> Foo":                                `\> Foo`,
		"14. The number":                       `14\. The number`,
		"2) two":                               `2\) two`,
		"14 g":                                 "14 g",
		"*not* _em_ `code` ~~gone~~":           "\\*not\\* \\_em\\_ \\`code\\` \\~\\~gone\\~\\~",
		"[link](/url)":                         `\[link\](/url)`,
		"<a> &amp; |":                          `\<a> \&amp; \|`,
		`\`:                                    `\\`,
		"a  \n b":                              `a \\n b`, // no hard break
		"a note [1], no note [2]":              `a note [1], no note \[2\]`,
	} {
		if got := p.md(s); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
}

// Every row of a table in Markdown has the cells of its head.
func TestMarkdownTables(t *testing.T) {
	t.Parallel()
	household := named("a|b", "Fern | 2", `\| Moss`)
	for _, kind := range kinds() {
		bars := -1
		for i, line := range strings.Split(sheetOf(t, household, kind, "md"), "\n") {
			if !strings.HasPrefix(line, "|") {
				bars = -1
				continue
			}
			n := strings.Count(strings.NewReplacer(`\\`, "", `\|`, "").Replace(line), "|")
			if bars < 0 {
				bars = n
			}
			if n != bars {
				t.Errorf("%s, line %d: %d bars, the head has %d: %s", kind, i+1, n, bars, line)
			}
		}
	}
}

func TestStretches(t *testing.T) {
	t.Parallel()
	p := &paper{Notes: []noteOut{{N: 1}, {N: 12}}}
	p.setApart("דובי (2)", "Fern", "פרן")
	if len(p.apart) != 2 {
		t.Errorf("%q stand apart, want those from right to left", p.apart)
	}
	for s, want := range map[string]string{
		"":                              "",
		"plain":                         "{plain}",
		"a [1] b [12] [3] [0]":          "{a }note{[1]}{ b }note{[12]}{ }{[3]}{ [0]}",
		"on 2026-11-30, not 2026-13-40": "{on }date{2026-11-30}{, not }{2026-13-40}",
		"for דובי (2) and פרן now":      "{for }apart{דובי (2)}{ and }apart{פרן}{ now}",
		"other ملجأ القوارض, then Latin": "{other }apart{ملجأ القوارض}{, then Latin}",
		"دو 12 g of דו":                  "apart{دو}{ 12 g of }apart{דו}",
		"Pip (פרן) [1]":                  "{Pip (}apart{פרן}{) }note{[1]}",
	} {
		got, all := "", ""
		for _, x := range p.stretches(s) {
			switch {
			case x.Apart:
				got += "apart"
			case x.Note > 0:
				got += "note"
			case x.Date:
				got += "date"
			}
			got += "{" + x.Text + "}"
			all += x.Text
		}
		if got != want {
			t.Errorf("%q: %s, want %s", s, got, want)
		}
		if all != s {
			t.Errorf("%q became %q", s, all)
		}
	}
}

// Whatever a cell holds, its lines fit its column and nothing is lost.
func TestFoldLines(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.StringOfN(rapid.RuneFrom([]rune("ab cd éW🦦דו\u0301")), 0, 60, -1), 1, 3).Draw(t, "lines")
		width := rapid.IntRange(4, 30).Draw(t, "width")
		out := foldLines(list, width)
		for _, l := range out {
			if wide(l) > width {
				t.Fatalf("%q is %d wide, want at most %d", l, wide(l), width)
			}
		}
		bare := func(s []string) string { return strings.Join(strings.Fields(strings.Join(s, " ")), "") }
		if bare(out) != bare(list) {
			t.Fatalf("%q became %q", list, out)
		}
	})
}

func TestFitColumns(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		want []int
		room int
		got  string
	}{
		{[]int{5, 10}, 20, "[5 10]"},
		{[]int{5, 30}, 20, "[5 15]"},
		{[]int{40, 30}, 20, "[10 10]"},
		{[]int{0, 3}, 20, "[1 3]"},
		{[]int{9, 9, 9}, 10, "[6 6 6]"}, // no narrower than can be read
	} {
		if got := fmt.Sprint(fitColumns(tc.want, tc.room)); got != tc.got {
			t.Errorf("%v in %d: %s, want %s", tc.want, tc.room, got, tc.got)
		}
	}
}

// A number stays with its unit.
func TestHeld(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]string{
		"57 g (2.0 oz) of it": "57\u00a0g (2.0\u00a0oz) of it",
		"2 h, 10 %; 19 °C":    "2\u00a0h, 10\u00a0%; 19\u00a0°C",
		"3 goats, 12 mice":    "3 goats, 12 mice",
	} {
		if got := held(s); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
}

// CSS Syntax 3, 4.3.7: a backslash, up to six hex digits and one blank are one
// character; nothing else in the text may mean anything between quotes.
func TestCSSText(t *testing.T) {
	t.Parallel()
	if got, want := cssText("Door sheet: \"x\"\\é"), `Door sheet\00003a  \000022 x\000022 \00005c \0000e9 `; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// The strip's target fills its middle third; what lies beyond is said.
func TestStrip(t *testing.T) {
	t.Parallel()
	s := &strip{target: [2]float64{1. / 3, 2. / 3}, low: -0.5, mid: 0.5, high: 0.75}
	if s.Start() != "62.7" || s.Stop() != "117.3" || s.Width() != "54.7" || s.Mid() != "90.0" {
		t.Errorf("target from %s to %s, %s wide; planned at %s", s.Start(), s.Stop(), s.Width(), s.Mid())
	}
	if s.Low() != "8.0" || !s.Before() || s.Beyond() || s.Out() {
		t.Errorf("from %s, %v %v %v", s.Low(), s.Before(), s.Beyond(), s.Out())
	}
	s.mid = 1.2
	if !s.Out() {
		t.Error("a planned figure outside the strip is drawn in it")
	}
}
