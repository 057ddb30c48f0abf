package cite_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

func shipped(t testing.TB) *cite.Registry {
	t.Helper()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return reg
}

const header = "key,short,authors,title,year,edition,publisher,locator,reach,note\n"

// own is a small registry whose names do not depend on the shipped file.
func own(t testing.TB) *cite.Registry {
	t.Helper()
	reg, err := cite.LoadSources("own.csv", strings.NewReader(header+
		"table-a,Table A,Adder A,A table,2001,,,,full,\n"+
		"table-b,Table B,Badger B,B table,2002,,,,dataset,\n"+
		"echo,Echo 2003,Crow C,What others say,2003,,,,restatement,\n"+
		"bare,,Dipper D,No short name,2004,,,,part,\n"+
		"untitled,,,Nobody's notes,,,,,part,\n"))
	if err != nil {
		t.Fatal(err)
	}
	return reg
}

func TestParseEvidence(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]cite.Evidence{"published": cite.Published, "derived": cite.Derived, "practice": cite.Practice, "choice": cite.Choice} {
		got, err := cite.ParseEvidence(text)
		if got != want || err != nil || got.String() != text || !got.Valid() {
			t.Errorf("ParseEvidence(%q) = %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "Published", "published ", "read", "no evidence", "publ", "choice\n"} {
		if got, err := cite.ParseEvidence(text); !errors.Is(err, cite.ErrSyntax) || got.Valid() {
			t.Errorf("ParseEvidence(%q) = %v, %v", text, got, err)
		}
	}
	_, err := cite.ParseEvidence("memory")
	if !errors.Is(err, cite.ErrMemory) || errors.Is(err, cite.ErrSyntax) {
		t.Errorf("memory: %v", err)
	}
	if want := `evidence "memory": a recalled figure has no evidence: read it in a source (published) or leave it out`; err.Error() != want {
		t.Errorf("memory: %v, want %s", err, want)
	}
	var zero cite.Evidence
	if zero.Valid() || cite.Evidence(5).Valid() || zero.String() != "no evidence" {
		t.Error("a value that is none of the four is valid")
	}
}

func TestParseRef(t *testing.T) {
	t.Parallel()
	pub := func(at string, keys ...string) cite.Ref {
		return cite.Ref{Evidence: cite.Published, Sources: keys, At: at}
	}
	tests := []struct {
		text string
		want cite.Ref
		form string // text form, when it is not the text itself
	}{
		{"published usda-sr28: NDB 05100", pub("NDB 05100", "usda-sr28"), ""},
		{"published fediaf-2018, aafco-2014: table VII-12; p. 6", pub("table VII-12; p. 6", "fediaf-2018", "aafco-2014"), ""},
		{"derived usda-sr28: 36/(100-39)", cite.Ref{Evidence: cite.Derived, Sources: []string{"usda-sr28"}, At: "36/(100-39)"}, ""},
		{"practice", cite.Ref{Evidence: cite.Practice}, ""},
		{"practice: two meals: morning, evening", cite.Ref{Evidence: cite.Practice, At: "two meals: morning, evening"}, ""},
		{"choice: the middle", cite.Ref{Evidence: cite.Choice, At: "the middle"}, ""},
		{"practice [cat]", cite.Ref{Evidence: cite.Practice, Borrowed: "cat"}, ""},
		{"published a: p. 6 [cat]", cite.Ref{Evidence: cite.Published, Sources: []string{"a"}, At: "p. 6", Borrowed: "cat"}, ""},
		{"published a: p. 6 [black-footed ferret]", cite.Ref{Evidence: cite.Published, Sources: []string{"a"}, At: "p. 6", Borrowed: "black-footed ferret"}, ""},
		{"published a: note [3]", pub("note [3]", "a"), ""},
		{"published a: [Cat]", pub("[Cat]", "a"), ""},
		{"published a: x[cat]", pub("x[cat]", "a"), ""},
		{"published a: x [cat] y", pub("x [cat] y", "a"), ""},
		{"published a: x []", pub("x []", "a"), ""},
		{"published a: x [cat ]", pub("x [cat ]", "a"), ""},
		{"published a: x [-cat]", pub("x [-cat]", "a"), ""},
		{"published a", pub("", "a"), ""},
		{"published", pub(""), ""},
		{"published: p. 6", pub("p. 6"), ""},
		{"practice a: x", cite.Ref{Evidence: cite.Practice, Sources: []string{"a"}, At: "x"}, ""},
		{"published a: été, 10 µg", pub("été, 10 µg", "a"), ""},
		{"  published   a ,b:x  ", pub("x", "a", "b"), "published a, b: x"},
	}
	for _, tt := range tests {
		got, err := cite.ParseRef(tt.text)
		if err != nil {
			t.Errorf("ParseRef(%q): %v", tt.text, err)
			continue
		}
		if diff := cmp.Diff(tt.want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("ParseRef(%q) (-want +got)\n%s", tt.text, diff)
		}
		form := tt.form
		if form == "" {
			form = tt.text
		}
		if got.String() != form {
			t.Errorf("String of %q is %q", tt.text, got)
		}
	}
}

func TestParseRef_refused(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("x", 2048)
	keys := make([]string, 17)
	for i := range keys {
		keys[i] = fmt.Sprintf("k%d", i)
	}
	for _, tt := range []struct{ text, want string }{
		{"", "want published, derived, practice or choice"},
		{"[cat]", "want published"},
		{"read usda-sr28: x", "want published"},
		{"PUBLISHED a: x", "want published"},
		{"published a:", "nothing after the colon"},
		{"choice:  ", "nothing after the colon"},
		{"choice: [cat]", "nothing after the colon"},
		{"choice:[cat]", "nothing after the colon"},
		{"published a b: x", `"a b" is not a source key`},
		{"published a,: x", `"" is not a source key`},
		{"published ,a: x", `"" is not a source key`},
		{"published A: x", `"A" is not a source key`},
		{"published a_b: x", `"a_b" is not a source key`},
		{"published -a: x", `"-a" is not a source key`},
		{"published a-: x", `"a-" is not a source key`},
		{"published a--b: x", `"a--b" is not a source key`},
		{"published é: x", `"é" is not a source key`},
		{"published " + strings.Repeat("k", 65) + ": x", "is not a source key"},
		{"published a, b, a: x", "source a is named twice"},
		{"published " + strings.Join(keys, ", ") + ": x", "more than 16 sources"},
		{"published a: " + long, "longer than 2048 bytes"},
		{"published a: x\ny", "U+000A"},
		{"published a: x\ty", "U+0009"},
		{"published a: x\u202ey", "U+202E"},
		{"published a: x\u2028y", "U+2028"},
		{"published a: \xff", "not valid UTF-8"},
		{"published a: \ufffd", "U+FFFD"},
	} {
		got, err := cite.ParseRef(tt.text)
		if !errors.Is(err, cite.ErrSyntax) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("ParseRef(%q): %v, want %s", tt.text, err, tt.want)
		}
		if got.Evidence.Valid() || got.Sources != nil {
			t.Errorf("ParseRef(%q) returned %+v beside the error", tt.text, got)
		}
		if err != nil && (len(err.Error()) > 500 || strings.ContainsAny(err.Error(), "\n\t")) {
			t.Errorf("message of %q: %q", tt.text, err)
		}
	}
	for _, text := range []string{"memory", "memory nrc-2006: table 15-10", "memory: somewhere [cat]"} {
		if _, err := cite.ParseRef(text); !errors.Is(err, cite.ErrMemory) {
			t.Errorf("ParseRef(%q): %v", text, err)
		}
	}
}

// refs draws references that pass Check against own.
func refs() *rapid.Generator[cite.Ref] {
	return rapid.Custom(func(t *rapid.T) cite.Ref {
		class := rapid.SampledFrom([]cite.Evidence{cite.Published, cite.Derived, cite.Practice, cite.Choice}).Draw(t, "class")
		word := rapid.StringOfN(rapid.RuneFrom([]rune("abXY019.,;:()[]+/-*%é°µ\"'")), 1, 8, -1)
		r := cite.Ref{Evidence: class}
		if class != cite.Practice || rapid.Bool().Draw(t, "says what") {
			r.At = strings.Join(rapid.SliceOfN(word, 1, 4).Draw(t, "at"), " ")
		}
		if class == cite.Published || class == cite.Derived || class == cite.Choice && rapid.Bool().Draw(t, "leans") {
			all := rapid.Permutation([]string{"table-a", "table-b", "echo", "bare"}).Draw(t, "keys")
			r.Sources = all[:rapid.IntRange(1, 4).Draw(t, "n")]
		}
		// Words in brackets at the end of the text are a borrowed animal; a
		// borrowed animal behind them keeps them apart.
		if strings.HasSuffix(r.At, "]") || rapid.Bool().Draw(t, "borrowed") {
			r.Borrowed = rapid.SampledFrom([]string{"cat", "mink", "black-footed ferret"}).Draw(t, "animal")
		}
		return r
	})
}

func TestRef_roundTrip(t *testing.T) {
	t.Parallel()
	reg := own(t)
	rapid.Check(t, func(t *rapid.T) {
		r := refs().Draw(t, "ref")
		if err := r.Check(reg); err != nil {
			t.Fatal(err)
		}
		back, err := cite.ParseRef(r.String())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(r, back, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%q (-want +got)\n%s", r, diff)
		}
		text, err := json.Marshal(map[string]cite.Ref{"ref": r})
		if err != nil {
			t.Fatal(err)
		}
		var got map[string]cite.Ref
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(r, got["ref"], cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s (-want +got)\n%s", text, diff)
		}
		if w := r.Words(reg); w == "" || strings.Contains(w, "unknown") || strings.Contains(w, "table-a") {
			t.Errorf("words of %q: %q", r, w)
		}
	})
}

func TestMarshal_refused(t *testing.T) {
	t.Parallel()
	if b, err := json.Marshal(cite.Ref{At: "x"}); !errors.Is(err, cite.ErrIncomplete) {
		t.Errorf("a Ref without evidence is written %s, %v", b, err)
	}
	if b, err := json.Marshal(cite.Evidence(0)); !errors.Is(err, cite.ErrSyntax) {
		t.Errorf("no evidence is written %s, %v", b, err)
	}
	keep := cite.Ref{Evidence: cite.Practice, At: "kept"}
	if err := json.Unmarshal([]byte(`"memory: x"`), &keep); !errors.Is(err, cite.ErrMemory) || keep.At != "kept" {
		t.Errorf("%v, %v", keep, err)
	}
	e := cite.Derived
	if err := json.Unmarshal([]byte(`"memory"`), &e); !errors.Is(err, cite.ErrMemory) || e != cite.Derived {
		t.Errorf("%v, %v", e, err)
	}
	if err := json.Unmarshal([]byte(`"choice"`), &e); err != nil || e != cite.Choice {
		t.Errorf("%v, %v", e, err)
	}
}

func TestRef_Check(t *testing.T) {
	t.Parallel()
	reg := own(t)
	a := []string{"table-a"}
	both := []error{cite.ErrIncomplete, cite.ErrUnknownSource}
	inc, unk, syn := []error{cite.ErrIncomplete}, []error{cite.ErrUnknownSource}, []error{cite.ErrSyntax}
	tests := []struct {
		name string
		ref  cite.Ref
		want []error // the kinds, nil when whole
		text []string
	}{
		{"published", cite.Ref{Evidence: cite.Published, Sources: a, At: "p. 6"}, nil, nil},
		{"published, no source", cite.Ref{Evidence: cite.Published, At: "p. 6"}, inc, []string{"needs a source key"}},
		{"published, no locator", cite.Ref{Evidence: cite.Published, Sources: a}, inc, []string{"needs a locator"}},
		{"published, nothing", cite.Ref{Evidence: cite.Published}, inc, []string{"needs a source key", "needs a locator"}},
		{"published, unknown", cite.Ref{Evidence: cite.Published, Sources: []string{"table-a", "table-x"}, At: "p. 6"}, unk, []string{`"table-x"`}},
		{"published, unknown, no locator", cite.Ref{Evidence: cite.Published, Sources: []string{"table-x"}}, both, []string{`"table-x"`, "needs a locator"}},
		{"derived", cite.Ref{Evidence: cite.Derived, Sources: a, At: "1/2"}, nil, nil},
		{"derived, no source", cite.Ref{Evidence: cite.Derived, At: "1/2"}, inc, []string{"source key of its input"}},
		{"derived, no arithmetic", cite.Ref{Evidence: cite.Derived, Sources: a}, inc, []string{"needs its arithmetic"}},
		{"derived, unknown", cite.Ref{Evidence: cite.Derived, Sources: []string{"x"}, At: "1/2"}, unk, []string{`"x"`}},
		{"practice", cite.Ref{Evidence: cite.Practice}, nil, nil},
		{"practice, what", cite.Ref{Evidence: cite.Practice, At: "two meals"}, nil, nil},
		{"practice, source", cite.Ref{Evidence: cite.Practice, Sources: a, At: "two meals"}, inc, []string{"takes no source key"}},
		{"practice, unknown source", cite.Ref{Evidence: cite.Practice, Sources: []string{"x"}}, both, []string{"takes no source key", `"x"`}},
		{"choice", cite.Ref{Evidence: cite.Choice, At: "the middle"}, nil, nil},
		{"choice, leaning", cite.Ref{Evidence: cite.Choice, Sources: a, At: "the middle"}, nil, nil},
		{"choice, no reason", cite.Ref{Evidence: cite.Choice}, inc, []string{"needs its reason"}},
		{"choice, unknown source", cite.Ref{Evidence: cite.Choice, Sources: []string{"x"}, At: "the middle"}, unk, []string{`"x"`}},
		{"none", cite.Ref{Sources: a, At: "p. 6"}, inc, []string{"it has no evidence"}},
		{"none at all", cite.Ref{}, inc, []string{"it has no evidence"}},
		{"not a class", cite.Ref{Evidence: 9, Sources: a, At: "p. 6"}, inc, []string{"it has no evidence"}},
		{"borrowed", cite.Ref{Evidence: cite.Published, Sources: a, At: "p. 6", Borrowed: "cat"}, nil, nil},
		{"animal in capitals", cite.Ref{Evidence: cite.Published, Sources: a, At: "p. 6", Borrowed: "Cat"}, syn, []string{"do not read back"}},
		{"animal in the text", cite.Ref{Evidence: cite.Published, Sources: a, At: "p. 6 [cat]"}, syn, []string{"do not read back"}},
		{"space around the text", cite.Ref{Evidence: cite.Choice, At: " x"}, syn, []string{"do not read back"}},
		{"line break in the text", cite.Ref{Evidence: cite.Choice, At: "x\ny"}, syn, []string{"U+000A"}},
		{"source twice", cite.Ref{Evidence: cite.Published, Sources: []string{"table-a", "table-a"}, At: "x"}, syn, []string{"named twice"}},
	}
	for _, tt := range tests {
		err := tt.ref.Check(reg)
		if (err == nil) != (tt.want == nil) {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		for _, kind := range []error{cite.ErrIncomplete, cite.ErrUnknownSource, cite.ErrSyntax, cite.ErrMemory} {
			if errors.Is(err, kind) != slices.Contains(tt.want, kind) {
				t.Errorf("%s: %v, errors.Is %q is %v", tt.name, err, kind, errors.Is(err, kind))
			}
		}
		for _, part := range tt.text {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s: %v, want %q in it", tt.name, err, part)
			}
		}
	}
	ref := cite.Ref{Evidence: cite.Published, Sources: a, At: "p. 6"}
	for _, reg := range []*cite.Registry{nil, {}} {
		if err := ref.Check(reg); !errors.Is(err, cite.ErrUnknownSource) {
			t.Errorf("empty registry: %v", err)
		}
	}
}

func TestRef_Words(t *testing.T) {
	t.Parallel()
	reg := own(t)
	for _, tt := range []struct{ text, want string }{
		{"published table-a: row 7", "Table A, row 7"},
		{"published table-a, table-b: row 7", "Table A and Table B, row 7"},
		{"published table-a, table-b: row 7; row 9", "Table A, row 7; Table B, row 9"},
		{"published table-a, table-b: row 7; row 8; row 9", "Table A and Table B, row 7; row 8; row 9"},
		{"published table-a, table-b, bare: row 7", "Table A, Table B and Dipper D 2004, row 7"},
		{"published table-a: row 7; row 8", "Table A, row 7; row 8"},
		{"published table-a, table-b: row 7;", "Table A, row 7; Table B"},
		{"published echo: p. 2", "as restated in Echo 2003, p. 2"},
		{"published table-a, echo: row 7; p. 2", "Table A, row 7; as restated in Echo 2003, p. 2"},
		{"published untitled: p. 1", "Nobody's notes, p. 1"},
		{"published table-a", "Table A"},
		{"published: p. 1", "source not named, p. 1"},
		{"published nowhere: p. 1", "nowhere (unknown source), p. 1"},
		{"published table-a: row 7 [cat]", "Table A, row 7 (cat figure)"},
		{"derived table-a: 36/(100-39)", "derived from Table A: 36/(100-39)"},
		{"derived table-a, echo: 1/2 [mink]", "derived from Table A and figures as restated in Echo 2003: 1/2 (mink figure)"},
		{"derived echo: 1/2", "derived from figures as restated in Echo 2003: 1/2"},
		{"derived: 1/2", "derived: 1/2"},
		{"practice", "common practice"},
		{"practice: two meals a day", "common practice: two meals a day"},
		{"practice [cat]", "common practice (cat figure)"},
		{"choice: the middle", "our choice: the middle"},
		{"choice table-b: the middle", "our choice: the middle (see Table B)"},
		{"choice", "our choice"},
	} {
		r, err := cite.ParseRef(tt.text)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Words(reg); got != tt.want {
			t.Errorf("Words of %q: %q, want %q", tt.text, got, tt.want)
		}
	}
	if got := (cite.Ref{}).Words(reg); got != "no evidence given" {
		t.Error(got)
	}
	if got := (cite.Ref{Evidence: cite.Published, Sources: []string{"a"}, At: "x"}).Words(nil); got != "a (unknown source), x" {
		t.Error(got)
	}
}

// The shipped registry: only what was read, each with a name fit to print.
func TestShipped(t *testing.T) {
	t.Parallel()
	reg := shipped(t)
	keys := reg.Keys()
	if !slices.IsSorted(keys) {
		t.Error("keys are not sorted")
	}
	if len(keys) < 169 { // regression (ours): none is ever taken out
		t.Errorf("%d sources", len(keys))
	}
	names := map[string]string{}
	for _, key := range keys {
		s, ok := reg.Source(key)
		if !ok || s.Key != key {
			t.Errorf("%s: %+v", key, s)
		}
		if s.Short == "" || s.Authors == "" || len(s.Short) > 70 || s.Name() != s.Short {
			t.Errorf("%s: short name %q, authors %q", key, s.Short, s.Authors)
		}
		if strings.Contains(s.Short, "(memory") || strings.ContainsAny(s.Short, "\";") {
			t.Errorf("%s: short name %q", key, s.Short)
		}
		if was, ok := names[s.Short]; ok {
			t.Errorf("%s and %s are both called %q", was, key, s.Short)
		}
		names[s.Short] = key
	}
	// Sources that were only recalled stay out.
	for _, key := range []string{"nrc-2006", "nrc-1982", "fediaf-2021", "brown-1997", "bleavins-1981", "practice", "arithmetic", "lab-reference-memory", ""} {
		if _, ok := reg.Source(key); ok {
			t.Errorf("%q is in the registry", key)
		}
	}
	for key, want := range map[string]cite.Source{
		"usda-sr28":  {Short: "USDA SR28", Year: "2015", Reach: "dataset"},
		"aafco-2014": {Short: "AAFCO 2014", Year: "2014", Reach: "part"},
		"sacn5-ch71": {Short: "Small Animal Clinical Nutrition 5, ch. 71", Year: "2010", Reach: "full"},
		"bell-1999":  {Short: "Bell 1999", Year: "1999", Reach: "restatement"},
		"kerr-2014":  {Short: "Kerr and others 2014", Year: "2014", Reach: "abstract"},
	} {
		s, ok := reg.Source(key)
		if got := (cite.Source{Short: s.Short, Year: s.Year, Reach: s.Reach}); !ok || got != want {
			t.Errorf("%s: %+v", key, got)
		}
		if s.Restated() != (want.Reach == "restatement") {
			t.Errorf("%s: Restated is %v", key, s.Restated())
		}
	}
}

func TestLoadSources_faults(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("x", 2049)
	for _, tt := range []struct {
		name, text string
		want       []string
	}{
		{"empty", "", []string{"1:1: empty: the first line must be " + strings.TrimSpace(header)}},
		{"other header", "key,title\na,b\n", []string{"1:1: the first line must be " + strings.TrimSpace(header)}},
		{"key twice", header + "a,,,T,,,,,full,\nb,,,T,,,,,full,\na,,,T,,,,,full,\n", []string{"4:1: key a is already defined on line 2"}},
		{"bad key", header + "A_b,,,T,,,,,full,\n", []string{`2:1: key "A_b": want lower-case letters, digits and single hyphens, at most 64`}},
		{"no title", header + "a,,,,,,,,full,\n", []string{"2:5: title is missing"}},
		{"year", header + "a,,,T,98,,,,full,\nb,,,T,1998?,,,,full,\n", []string{`2:7: year "98": want four digits or nothing`, `3:7: year "1998?": want four digits or nothing`}},
		{"reach", header + "a,,,T,,,,,some,\nb,,,T,,,,,,\n", []string{
			`2:11: reach "some": want full, part, abstract, dataset or restatement`, `3:11: reach "": want full, part, abstract, dataset or restatement`}},
		{"reach none", header + "a,,,T,,,,,none,\n", []string{"2:11: reach none: a source of which nothing was read is no source"}},
		{"fields", header + "a,,,T\nb,,,T,,,,,full,,\n", []string{"2:1: 4 fields, want 10", "3:1: 11 fields, want 10"}},
		{"quote", header + "a,,,T,,,,,full,\nb,\"x\"y,,T,,,,,full,\nc,,,,,,,,,\n", []string{`3:5: extraneous or missing " in quoted-field`}},
		{"bare quote", header + "a,x\"y,,T,,,,,full,\n", []string{`2:4: bare " in non-quoted-field`}},
		{"control character", header + "a,\"x\ny\",,T,,,,,full,\n", []string{"2:3: short: holds the character U+000A, which is not allowed"}},
		{"not UTF-8", header + "a,\xff,,T,,,,,full,\n", []string{"2:3: short: not valid UTF-8"}},
		{"space", header + "a,x ,,T,,,,,full,\n", []string{"2:3: short begins or ends with a space"}},
		{"long field", header + "a," + long + ",,T,,,,,full,\n", []string{"2:3: short is longer than 2048 bytes"}},
		{"all at once", header + "A,,,,x,,,,y,\nb,,,T,,,,,full,\nb,,,T,,,,,none,\n", []string{
			`2:1: key "A": want lower-case letters, digits and single hyphens, at most 64`, "2:5: title is missing", `2:6: year "x": want four digits or nothing`,
			`2:11: reach "y": want full, part, abstract, dataset or restatement`, "4:1: key b is already defined on line 3", "4:11: reach none: a source of which nothing was read is no source"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			reg, err := cite.LoadSources("own.csv", strings.NewReader(tt.text))
			var faults strict.Faults
			if !errors.As(err, &faults) || reg != nil {
				t.Fatalf("%v, %v", reg, err)
			}
			var got []string
			for _, f := range faults {
				got = append(got, strings.TrimPrefix(f.Error(), "own.csv:"))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
			if got := strings.Count(err.Error(), "own.csv:"); got != len(tt.want) {
				t.Errorf("%d faults in %q", got, err)
			}
			var one strict.Fault
			if !errors.As(err, &one) || one != faults[0] {
				t.Errorf("errors.As: %v", one)
			}
		})
	}
}

func TestLoadSources(t *testing.T) {
	t.Parallel()
	reg, err := cite.LoadSources("f", strings.NewReader("\ufeff"+strings.ReplaceAll(header, "\n", "\r\n")+"b,,,T,,,,,full,\r\na,S,\"Hare H, Stoat S\",\"T \"\"t\"\"\",1998,2nd,P,p. 3,part,N\r\n"))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"a", "b"}, reg.Keys()); diff != "" {
		t.Error(diff)
	}
	got, _ := reg.Source("a")
	want := cite.Source{Key: "a", Short: "S", Authors: "Hare H, Stoat S", Title: `T "t"`, Year: "1998", Edition: "2nd", Publisher: "P", Locator: "p. 3", Reach: "part", Note: "N"}
	if got != want {
		t.Errorf("%+v", got)
	}
	if reg, err := cite.LoadSources("f", strings.NewReader(header)); err != nil || len(reg.Keys()) != 0 {
		t.Errorf("no records: %v, %v", reg, err)
	}

	broken := errors.New("disk")
	if _, err := cite.LoadSources("f", iotest.ErrReader(broken)); !errors.Is(err, broken) || !strings.HasPrefix(err.Error(), "reading sources f: ") {
		t.Error(err)
	}
	src := strings.NewReader(strings.Repeat("x", 10<<20))
	if _, err := cite.LoadSources("f", src); err == nil || err.Error() != "f:1:1: larger than 1048576 bytes" || src.Len() < 8<<20 {
		t.Errorf("%v, %d left", err, src.Len())
	}
	var faults strict.Faults
	if _, err := cite.LoadSources("f", io.MultiReader(strings.NewReader(header), strings.NewReader(strings.Repeat("a\n", 250)))); !errors.As(err, &faults) || len(faults) != 101 ||
		faults[99].Line != 101 || faults[100].Error() != "f:102:1: and 150 more faults" {
		t.Errorf("%d faults, %v", len(faults), err)
	}
}

func TestRegistry_With(t *testing.T) {
	t.Parallel()
	load := func(keys ...string) *cite.Registry {
		text := header
		for _, k := range keys {
			text += k + ",,," + "T,,,,,full,\n"
		}
		reg, err := cite.LoadSources("f", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return reg
	}
	a, b := load("a", "c"), load("b", "d")
	both, err := a.With(b)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"a", "b", "c", "d"}, both.Keys()); diff != "" {
		t.Error(diff)
	}
	if len(a.Keys()) != 2 || len(b.Keys()) != 2 {
		t.Error("With changed its operands")
	}
	if _, err := both.With(load("d", "e", "a")); err == nil || err.Error() != "adding own sources: already taken: a, d" {
		t.Error(err)
	}
	var none *cite.Registry
	for _, pair := range [][2]*cite.Registry{{a, none}, {none, a}, {a, {}}, {{}, a}} {
		if got, err := pair[0].With(pair[1]); err != nil || !slices.Equal(got.Keys(), []string{"a", "c"}) {
			t.Errorf("%v, %v", got.Keys(), err)
		}
	}
	if got, err := none.With(nil); err != nil || got == nil || len(got.Keys()) != 0 {
		t.Errorf("%v, %v", got, err)
	}
}

// Whatever is read comes back from its text form, and no text panics.
func FuzzParseRef(f *testing.F) {
	for _, s := range []string{"", "practice", "published usda-sr28: NDB 05100 [cat]", "derived a, b: 1/(2-3)", "choice: x [3]", "memory", "published a:", "published a: x [cat] [mink]", "published :[cat]"} {
		f.Add(s)
	}
	reg := own(f)
	f.Fuzz(func(t *testing.T, s string) {
		r, err := cite.ParseRef(s)
		if err != nil {
			if !errors.Is(err, cite.ErrSyntax) && !errors.Is(err, cite.ErrMemory) {
				t.Fatalf("%q: %v", s, err)
			}
			return
		}
		back, err := cite.ParseRef(r.String())
		if err != nil {
			t.Fatalf("%q became %q: %v", s, r, err)
		}
		if diff := cmp.Diff(r, back); diff != "" {
			t.Fatalf("%q became %q\n%s", s, r, diff)
		}
		if err := r.Check(reg); errors.Is(err, cite.ErrSyntax) {
			t.Fatalf("%q was read but its form is refused: %v", s, err)
		}
		if r.Words(reg) == "" {
			t.Fatalf("%q has no words", s)
		}
	})
}

// Whatever the file, each fault has a place in it, or every source is whole.
func FuzzLoadSources(f *testing.F) {
	for _, s := range []string{"", header, header + "a,,,T,,,,,full,\n", header + "a,\"x\ny\",,T,98,,,,none,\nA,b\n", "\ufeff" + header + "\"", "key\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		reg, err := cite.LoadSources("f", strings.NewReader(s))
		if err == nil {
			for _, key := range reg.Keys() {
				src, _ := reg.Source(key)
				ref := cite.Ref{Evidence: cite.Published, Sources: []string{key}, At: "x"}
				if err := ref.Check(reg); err != nil || src.Key != key || src.Title == "" || src.Name() == "" {
					t.Errorf("%+v: %v", src, err)
				}
			}
			return
		}
		var faults strict.Faults
		if !errors.As(err, &faults) || len(faults) == 0 {
			t.Fatalf("%v", err)
		}
		for _, fault := range faults {
			if fault.Line < 1 || fault.Line > strings.Count(s, "\n")+1 || fault.Col < 1 || fault.Msg == "" {
				t.Errorf("%+v", fault)
			}
		}
	})
}

func BenchmarkLoadSources(b *testing.B) {
	text, err := os.ReadFile("sources.csv")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := cite.LoadSources("sources.csv", bytes.NewReader(text)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseRef(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := cite.ParseRef("published fediaf-2018, aafco-2014: table VII-12; p. 6 [cat]"); err != nil {
			b.Fatal(err)
		}
	}
}
