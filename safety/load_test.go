package safety

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"fitchet.example/units/cite"
)

// files copies the shipped tables into a map that a test may change.
func files(t testing.TB) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	shipped := Files()
	names, err := fs.Glob(shipped, "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(shipped, name)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = &fstest.MapFile{Data: text}
	}
	return out
}

// Each row breaks one file in one way; the message must lead to the place.
func TestLoadRefusesBrokenTables(t *testing.T) {
	t.Parallel()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, file, old, new, says string }{
		{"limit without a source", "limits.yaml", `evidence: "published nyc-8110: table 1"`, "binds2: x", `limits.yaml:`},
		{"limit by practice", "limits.yaml", `"published nyc-8110: table 1"`, `"practice: so they say"`, "a limit must be published"},
		{"limit by our choice", "limits.yaml", `"published nyc-8110: table 1"`, `"choice: six sounds right"`, "a limit must be published"},
		{"limit by memory", "limits.yaml", `"published nyc-8110: table 1"`, `"memory nyc-8110: table 1"`, "a recalled figure has no evidence"},
		{"unknown source", "limits.yaml", "nyc-8110:", "nyc-9999:", "source is not in the registry"},
		{"no locator", "limits.yaml", `"published nyc-8110: table 1"`, `"published nyc-8110"`, "locator"},
		{"bare number", "limits.yaml", "hours: 4 h", "hours: 4", "a unit is missing"},
		{"no time", "limits.yaml", "hours: 4 h", "hours: 0 h", "longer than nothing"},
		{"scales that disagree", "limits.yaml", `"21 °C (70 °F)"`, `"21 °C (72 °F)"`, "quarter of a degree"},
		{"id twice", "limits.yaml", "id: fsis-1h", "id: fsis-2h", "already the id"},
		{"misspelt key", "limits.yaml", "    room-over:", "    rom-over:", `did you mean "room-over"`},
		{"misspelt form", "limits.yaml", "[soup, minced]", "[soup, mincd]", "not a form"},
		{"practice with a source", "practice.csv", "whole prey up to two days,practice", "whole prey up to two days,published fsis-2h: page", "belongs to limits.yaml"},
		{"practice without evidence", "practice.csv", "whole prey up to two days,practice", "whole prey up to two days,", "evidence is missing"},
		{"practice upside down", "practice.csv", "12 h,24 h", "24 h,12 h", "high is below low"},
		{"wrong first line", "practice.csv", "forms,low", "form,low", "the first line must be"},
		{"a field too few", "practice.csv", "minced,8 h,12 h,", "minced,8 h,", "fields, want 5"},
		{"broken quoting", "practice.csv", `"soup with egg`, `"soup" with egg`, "practice.csv:2"},
		{"species twice", "species.csv", "hare,,", "rabbit,,", "already on line"},
		{"hazard of no animal", "hazards.yaml", "classes: [boar]", "classes: [boars]", `did you mean "boar"`},
		{"hazard of no tag", "hazards.yaml", "tags: [shot-lead]", "tags: [shot-led]", `did you mean "shot-lead"`},
		{"hazard for everything", "hazards.yaml", "      - tags: [shot-lead]", "      - wild: true", "would fit every food"},
		{"hazard without evidence", "hazards.yaml", "    evidence:\n      - \"published fda-bones-2017: notice [dog]\"\n", "", "evidence"},
		{"unknown gravity", "hazards.yaml", "gravity: mend", "gravity: mild", "want watch, mend or stop"},
		{"state without notice", "hazards.yaml", "        notice: bird-flu\n        state: clear", "        state: clear", "notice and state go together"},
		{"caution for no situation", "cautions.yaml", "when: [poultry]", "when: [poltry]", `did you mean "poultry"`},
		{"liver of no animal", "liver.csv", "goose,goose", "goos,goose", "not a name in species.csv"},
		{"liver of no number", "liver.csv", "30998", "30998.5", "not a whole number"},
	} {
		fsys := files(t)
		text := string(fsys[c.file].Data)
		if !strings.Contains(text, c.old) {
			t.Errorf("%s: %q is not in %s", c.name, c.old, c.file)
			continue
		}
		fsys[c.file] = &fstest.MapFile{Data: []byte(strings.Replace(text, c.old, c.new, 1))}
		_, err := Load(fsys, reg)
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), c.file) {
			t.Errorf("%s: %v\nwant %q", c.name, err, c.says)
		}
	}
}

func TestLoadReportsEveryFile(t *testing.T) {
	t.Parallel()
	fsys := files(t)
	delete(fsys, "notices.yaml") // read by LoadNotices, because users replace it
	for name := range fsys {
		fsys[name] = &fstest.MapFile{Data: []byte("rubbish")}
	}
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	_, err = Load(fsys, reg)
	for name := range fsys {
		if err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("nothing about %s in %v", name, err)
		}
	}
	if _, err = Load(fstest.MapFS{}, reg); err == nil {
		t.Error("no files, no error")
	}
	if _, err = Load(files(t), nil); err == nil || !strings.Contains(err.Error(), "registry") {
		t.Errorf("no registry: %v", err)
	}
}
