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
		{"hazard of no animal", "hazards.yaml", "classes: [boar]", "classes: [boars]", `did you mean "boar"`},
		{"hazard of no tag", "hazards.yaml", "tags: [shot-lead]", "tags: [shot-led]", `did you mean "shot-lead"`},
		{"hazard for everything", "hazards.yaml", "      - tags: [shot-lead]", "      - wild: true", "would fit every food"},
		{"hazard without evidence", "hazards.yaml", "    evidence:\n      - \"published fda-bones-2017: notice [dog]\"\n", "", "evidence"},
		{"unknown gravity", "hazards.yaml", "gravity: mend", "gravity: mild", "want watch, mend or stop"},
		{"state without notice", "hazards.yaml", "        notice: bird-flu\n        state: clear", "        state: clear", "notice and state go together"},
		{"caution for no situation", "cautions.yaml", "when: [poultry]", "when: [poltry]", `did you mean "poultry"`},
		{"liver of no animal", "liver.csv", "goose,goose", "goos,goose", `did you mean "goose"`},
		{"storage without evidence", "storage.csv", ",published foodsafetygov-chart: chart\nvariety-meats,organs", ",\nvariety-meats,organs", "evidence is missing"},
		{"storage by practice", "storage.csv", "\"published foodkeeper-128: ID 43\"", "practice: a week", "storage figures are published ones"},
		{"half a range", "storage.csv", "ground-goat,,\"goat, ground\",1,2,d", "ground-goat,,\"goat, ground\",,2,d", "do not make a range"},
		{"range upside down", "storage.csv", "ground-goat,,\"goat, ground\",1,2,d", "ground-goat,,\"goat, ground\",2,1,d", "do not make a range"},
		{"no unit of days", "storage.csv", "ground-goat,,\"goat, ground\",1,2,d", "ground-goat,,\"goat, ground\",1,2,", "want d or week"},
		{"analogy to nothing", "analogies.csv", ",giblets,", ",giblet,", "no kind of storage.csv"},
		{"kept as nothing", "keeping.csv", ",lean-fish,", ",leanfish,", "keeping \"leanfish\""},
		{"kept by no kind of food", "keeping.csv", "oil,,,,,,oil,", ",,,,,,oil,", "would fit every food"},
		{"kept nowhere", "keeping.csv", "goose,freezer", "goose,frezer", "want freezer, fridge or cupboard"},
		{"kept by a species nobody knows", "keeping.csv", ",,,,pheasant,", ",,,,phaesant,", "did you mean \"pheasant\""},
		{"kept by a class nobody knows", "keeping.csv", ",,,lagomorph,,,rabbit", ",,,lagomorf,,,rabbit", "did you mean \"lagomorph\""},
		{"analogy of a listed kind", "analogies.csv", "oil,fish-oil", "quail,fish-oil", "has its own row"},
		{"thawing by no method", "thawing.csv", "fridge,1 lb", "oven,1 lb", "want fridge, cold-water or counter"},
		{"a mass without a unit", "thawing.csv", "fridge,1 lb", "fridge,1", "unit"},
		{"freezing by practice", "holds.csv", "published aap-toxo: table", "practice: two weeks", "a freezing figure is a published one"},
		{"freezing without its time", "holds.csv", "48 h,48 h,not-said,kills,advice", ",,not-said,kills,advice", "a kill needs its temperature and time"},
		{"freezing of no agent", "holds.csv", "toxo-aap,toxoplasma", "toxo-aap,toxoplasm", "is not in agents.csv"},
		{"a standing nobody knows", "holds.csv", "kills,advice", "kills,hearsay", "none of advice, former"},
		{"thickness upside down", "holds.csv", ",152,686,30 d", ",686,152,30 d", "to is not more than over"},
		{"what freezing does, misspelt", "agents.csv", "lead shot and bullet fragments,never", "lead shot and bullet fragments,nevr", "want holds, do-not-rely, never or no-figure"},
		{"handling of no topic", "handling.csv", "cover,stash", "cover,lids", "want one of washing"},
		{"bleach too strong", "bleach.csv", "canada,5 mL,750 mL", "canada,100 mL,750 mL", "ten times as much water"},
		{"bleach without a unit", "bleach.csv", "canada,5 mL", "canada,5", "unit"},
		{"vet later for the frail", "vet.csv", "24 h,12 h", "24 h,36 h", "sooner is later than after"},
		{"vet sooner without a reason", "vet.csv", "\"the texts say only sooner, for kits under 6 months, pregnant or overweight; half is ours, and so are nursing, juvenile and ill\"", "", "why_sooner is missing"},
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
