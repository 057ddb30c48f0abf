package safety

import (
	"errors"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func ids(hs []Hazard) []string {
	out := make([]string, len(hs))
	for i, h := range hs {
		out[i] = h.ID + " " + h.Severity.String() + " " + h.Standing.String()
	}
	return out
}

func share(t testing.TB, s string) units.Share {
	t.Helper()
	v, err := units.ParseShare(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

type hazardCase struct {
	source string
	it     Item
	want   []string
}

// Each row of testdata/hazards.csv names the source that makes the hazard; the
// words of the verdict are ours. What no hazard of the file is about stands here.
func TestHazards(t *testing.T) {
	t.Parallel()
	b := book(t)
	var cases []hazardCase
	for _, r := range csvRows(t, "hazards.csv") {
		cases = append(cases, hazardCase{r["source"], itemOf(t, r), split(r["want"])})
	}
	for _, c := range append(cases, []hazardCase{
		{"an animal nobody knows", Item{Species: "jackalope"}, []string{"species-not-known stop open"}},
		{"a misspelt tag is not lost", Item{Species: "rabbit", Tags: []string{"cooked-bones"}}, []string{"tag-not-known stop open"}},
		{"a wild duck by its name", Item{Species: "wild duck"}, []string{"wild-water-bird stop open", "poultry-no-notice watch open"}},
		{"a group for its animals", Item{Species: "mustelids"}, []string{"carnivore-meat stop holds", "mustelid-tissue stop holds"}},
		{"plain bought rabbit", Item{Species: "rabbit"}, nil},
	}...) {
		if got := ids(b.Hazards(c.it, Context{})); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.source, got, c.want)
		}
	}
}

// An id may not vanish or change: testdata/hazard-ids.txt holds all there ever
// were. Every hazard is found in a row of hazards.csv or notices.csv.
func TestHazardIDsArePermanent(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("testdata/hazard-ids.txt")
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Fields(string(text))
	found := make(map[string]bool)
	for _, r := range append(csvRows(t, "hazards.csv"), csvRows(t, "notices.csv")...) {
		for _, w := range split(r["want"]) {
			id, _, _ := strings.Cut(w, " ")
			found[id] = true
		}
	}
	var got []string
	for _, r := range book(t).hazards {
		got = append(got, r.hazard.ID)
		if !found[r.hazard.ID] {
			t.Errorf("%s is found by no row of testdata/hazards.csv or notices.csv", r.hazard.ID)
		}
		h := r.hazard
		if h.Sentence == "" || h.Do == "" || h.Name == "" || len(h.Evidence) == 0 {
			t.Errorf("%s lacks a sentence, what to do, or evidence", h.ID)
		}
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("ids\n got %v\nwant %v", got, want)
	}
}

// A figure made for another animal carries that animal in its evidence or in
// the list of animals it was seen in.
func TestBorrowedFiguresSaySo(t *testing.T) {
	t.Parallel()
	for _, r := range book(t).hazards {
		h := r.hazard
		if h.Amount != "" && len(h.ShownIn) == 0 && !strings.Contains(h.Amount, "(") {
			t.Errorf("%s prints an amount and names no animal", h.ID)
		}
		for _, ref := range h.Evidence {
			if ref.Borrowed != "" && !slices.Contains(h.ShownIn, ref.Borrowed) &&
				!strings.Contains(h.Sentence+h.Do+h.Amount, ref.Borrowed) {
				t.Errorf("%s: a %s figure, and nothing shown says so", h.ID, ref.Borrowed)
			}
		}
	}
}

// Outside check of the unit trap met in print: xylitol thresholds are
// milligrams per kilogram (75 to 100; 500), never grams.
func TestXylitolIsInMilligrams(t *testing.T) {
	t.Parallel()
	hs := book(t).Hazards(Item{Tags: []string{"xylitol"}}, Context{})
	if len(hs) != 1 || !strings.Contains(hs[0].Amount, "75 to 100 mg per kg") || !strings.Contains(hs[0].Amount, "500 mg/kg") {
		t.Errorf("xylitol: %+v", hs)
	}
}

// Outside check: vitamin A of raw livers in USDA SR28, IU per 100 g.
func TestLivers(t *testing.T) {
	t.Parallel()
	b := book(t)
	want := map[string]int{"chicken": 11078, "beef": 16898, "pork": 21650, "lamb": 24612, "turkey": 26901, "goose": 30998,
		"veal": 39056, "duck": 39907, "lamb, New Zealand": 51447, "beef, New Zealand": 94398}
	for _, l := range b.Livers() {
		if l.IU != want[l.Name] {
			t.Errorf("%s: %d IU, want %d", l.Name, l.IU, want[l.Name])
		}
		delete(want, l.Name)
		if _, ok := b.Classes(l.Species); !ok {
			t.Errorf("%s: species %s is not known", l.Name, l.Species)
		}
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
	for _, c := range []struct{ species, says string }{
		{"lamb", "lamb liver 24612 IU vitamin A per 100 g"},
		{"mutton", "lamb, New Zealand liver 51447"},
		{"rabbit", "from 11078 IU per 100 g (chicken) to 94398 (beef, New Zealand)"},
	} {
		hs := b.Hazards(Item{Species: c.species, Part: "liver"}, Context{})
		if len(hs) != 1 || !strings.Contains(hs[0].Amount, c.says) {
			t.Errorf("%s liver: %+v", c.species, hs)
		}
	}
}

const notices = `as-of: 2026-11-20
stale-after: 30
notices:
  - {id: north, kind: bird-flu, region: North Brackenford, state: in-force, confirmed: 2026-11-18, read-in: county page, words: Housing order.}
  - {id: south, kind: bird-flu, region: South Brackenford, state: clear, confirmed: 2026-11-18, read-in: county page, words: None.}
  - {id: old, kind: bird-flu, region: East Brackenford, state: in-force, confirmed: 2026-10-20, read-in: county page, words: Housing order.}
  - {id: old-clear, kind: bird-flu, region: West Brackenford, state: clear, confirmed: 2026-10-20, read-in: county page, words: None.}
  - {id: mince, kind: recall, supplier: Example Meats, lots: [L1, L2], state: in-force, confirmed: 2026-11-19, read-in: letter, words: Salmonella.}
  - {id: all, kind: recall, supplier: Sample Farm, state: in-force, confirmed: 2026-11-19, read-in: letter, words: Metal.}
  - {id: over, kind: recall, supplier: Demo Foods, lots: [Z], state: clear, confirmed: 2026-11-19, read-in: letter, words: Lifted.}
`

func loadNotices(t testing.TB, text string) *Notices {
	t.Helper()
	n, err := LoadNotices("notices.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestNotices(t *testing.T) {
	t.Parallel()
	b, n := book(t), loadNotices(t, notices)
	for _, r := range csvRows(t, "notices.csv") {
		ctx := Context{Notices: n, Region: r["region"]}
		if r["on"] != "" {
			var err error
			if ctx.On, err = units.ParseDate(r["on"]); err != nil {
				t.Fatal(err)
			}
		}
		got, want := b.Hazards(itemOf(t, r), ctx), split(r["want"])
		if !slices.Equal(ids(got), want) {
			t.Errorf("%s: %v, want %v", r["case"], ids(got), want)
			continue
		}
		if len(got) > 0 && !strings.Contains(got[0].Notice, r["says"]) {
			t.Errorf("%s: %q does not say %q", r["case"], got[0].Notice, r["says"])
		}
	}
}

func TestNoticesFileIsStrict(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, text, says string }{
		{"empty", "", "notices.yaml:1:1"},
		{"no as-of", "notices: []\n", "as-of"},
		{"confirmed after the file", strings.Replace(notices, "confirmed: 2026-11-18", "confirmed: 2026-11-21", 1), "after the as-of day"},
		{"no region", strings.Replace(notices, "region: North Brackenford, ", "", 1), "region"},
		{"unknown key", strings.Replace(notices, "read-in: county page", "read-on: x, read-in: y", 1), "read-in"},
		{"unknown state", strings.Replace(notices, "state: clear", "state: unknown", 1), "leave it out"},
		{"unknown kind", strings.Replace(notices, "kind: recall", "kind: recal", 1), "want bird-flu or recall"},
		{"same id twice", strings.Replace(notices, "id: south", "id: north", 1), "already the id"},
		{"region of no list", "regions: [North Brackenford, South Brackenford, East Brackenford]\n" + notices, `region "West Brackenford": no notice names it; did you mean "East Brackenford"?`},
		{"staleness of nothing", strings.Replace(notices, "stale-after: 30", "stale-after: 0", 1), "from 1 to 3650"},
	} {
		_, err := LoadNotices("notices.yaml", strings.NewReader(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "notices.yaml:") {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if n := loadNotices(t, "as-of: 2026-11-20\nnotices: []\n"); n.StaleAfter != DefaultStaleAfter {
		t.Errorf("staleness %d by default", n.StaleAfter)
	}
}

// A region that the notices do not know is told, with the nearest; one that was
// looked up without a notice is known.
func TestCheckRegion(t *testing.T) {
	t.Parallel()
	n := loadNotices(t, notices)
	for _, c := range []struct{ region, says string }{
		{"north brackenford ", ""},
		{"", ""},
		{"North Brackenfrod", `did you mean "North Brackenford"?`},
		{"Xanadu", "there are: East Brackenford, North Brackenford, South Brackenford, West Brackenford"},
		{"everywhere", "no notice names it"},
	} {
		err := n.CheckRegion(c.region)
		if (err == nil) != (c.says == "") || err != nil && (!errors.Is(err, ErrRegion) || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%q: %v, want %q", c.region, err, c.says)
		}
	}
	n.Regions = []string{"Far Brackenford"}
	if err := n.CheckRegion("far brackenford"); err != nil {
		t.Error(err)
	}
	if err := (*Notices)(nil).CheckRegion("anywhere"); err != nil {
		t.Errorf("no notices: %v", err)
	}
}

func TestCheckItem(t *testing.T) {
	t.Parallel()
	errs := book(t).CheckItem(Item{Species: "jackalope", Contains: []string{"hen"}, Tags: []string{"cured", "smokd"}})
	if len(errs) != 2 || !errors.Is(errs[0], prey.ErrTag) || !errors.Is(errs[1], prey.ErrSpecies) || !strings.Contains(errs[0].Error(), `"smoked"`) {
		t.Errorf("%v", errs)
	}
}

// The gravest comes first, whatever the food; and a further tag other than
// those that take a hazard away never lightens the judgement.
func TestHazardOrderAndMonotony(t *testing.T) {
	t.Parallel()
	b := book(t)
	var tags, species []string
	for _, g := range b.Tags() {
		tags = append(tags, g.Name)
	}
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range foods.All() {
		species = append(species, f.Species)
	}
	rapid.Check(t, func(t *rapid.T) {
		it := Item{
			Species: rapid.SampledFrom(species).Draw(t, "species"),
			Tags:    rapid.SliceOfN(rapid.SampledFrom(tags), 0, 3).Draw(t, "tags"),
			Wild:    rapid.Bool().Draw(t, "wild"),
		}
		before := b.Hazards(it, Context{})
		if !slices.IsSortedFunc(before, func(x, y Hazard) int { return int(y.Severity) - int(x.Severity) }) {
			t.Fatalf("not the gravest first: %v", ids(before))
		}
		more := rapid.SampledFrom(tags).Draw(t, "more")
		if more == "cooked" || more == "vitamin-d-rich" || more == "thiaminase" || more == "wild-caught" {
			return
		}
		it.Tags = append(slices.Clone(it.Tags), more)
		after := ids(b.Hazards(it, Context{}))
		for _, id := range ids(before) {
			if !slices.Contains(after, id) {
				t.Fatalf("tag %s takes %s away: %v", more, id, after)
			}
		}
	})
}

// The package comment lists the tags; it must not drift from the file.
func TestDocListsEveryTag(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	_, after, _ := strings.Cut(string(text), "unless cooked is among them:\n//\n")
	listed, _, _ := strings.Cut(after, "//\n// [Book.Tags]")
	got := strings.Fields(strings.ReplaceAll(listed, "//", ""))
	var want []string
	for _, g := range book(t).Tags() {
		want = append(want, g.Name)
	}
	if !slices.Equal(got, want) {
		t.Errorf("doc.go lists\n%v\nthe file has\n%v", got, want)
	}
}

// The list holds every row of the file once, and says of each what Hazards says
// of a food that matches it.
func TestAllHazards(t *testing.T) {
	t.Parallel()
	b := book(t)
	f, err := Files().Open("hazards.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	all := b.AllHazards()
	got := map[string]Hazard{}
	for i, h := range all {
		got[h.ID] = h
		if i > 0 && h.Severity > all[i-1].Severity {
			t.Errorf("%s (%s) stands after %s (%s)", h.ID, h.Severity, all[i-1].ID, all[i-1].Severity)
		}
		if h.Why == "" || h.Notice != "" {
			t.Errorf("%s: why %q, notice %q", h.ID, h.Why, h.Notice)
		}
	}
	rows := regexp.MustCompile(`(?m)^  - id: (\S+)$`).FindAllStringSubmatch(string(text), -1)
	for _, r := range rows {
		if _, ok := got[r[1]]; !ok {
			t.Errorf("%s is in the file and not in the list", r[1])
		}
	}
	if len(rows) != len(all) || len(rows) < 30 {
		t.Errorf("%d rows, %d in the list", len(rows), len(all))
	}
	for _, tag := range b.Tags() {
		for _, h := range b.Hazards(Item{Tags: []string{tag.Name}, Share: units.Whole}, Context{}) {
			h.Why, h.Notice = got[h.ID].Why, ""
			if diff := cmp.Diff(got[h.ID], h); diff != "" {
				t.Errorf("%s of tag %s: %s", h.ID, tag.Name, diff)
			}
		}
	}
	for id, want := range map[string]string{
		"raw-pork":        "class pig, unless tag cooked; or tag raw-pork",
		"wild-water-bird": "class waterfowl, from the wild, bird-flu notice unknown, unless tag cooked; or class waterfowl, from the wild, bird-flu notice in-force, unless tag cooked",
	} {
		if got[id].Why != want {
			t.Errorf("%s: %q, want %q", id, got[id].Why, want)
		}
	}
	for id, want := range map[string]Standing{"poultry-no-notice": StandOpen, "thiaminase-not-known": StandOpen, "recall-lot-not-known": StandOpen, "wild-water-bird": Holds, "poultry-under-notice": Holds, "xylitol": Holds} {
		if got[id].Standing != want {
			t.Errorf("%s: %s, want %s", id, got[id].Standing, want)
		}
	}
	all[0].ShownIn[0], all[0].Evidence[0] = "spoilt", cite.Ref{}
	if again := b.AllHazards()[0]; again.ShownIn[0] == "spoilt" || again.Evidence[0].At == "" {
		t.Errorf("the caller's change reached the book: %v", again)
	}
}
