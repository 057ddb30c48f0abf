package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A module with one fault of each kind; every one must be found, and nothing else.
func TestFindsWhatIsPlanted(t *testing.T) {
	root := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":          "module fitchet.example\n\ngo 1.26\n",
		"low/low.go":      "package low\n\nimport \"fitchet.example/high\"\n\n// Up points up.\nvar Up = high.Top()\n",
		"high/high.go":    "package high\n\n// Top is called.\nfunc Top() int { return 1 }\n\n// Alone is called by nobody.\nfunc Alone() {}\n\n// Elsewhere is called by another module.\nfunc Elsewhere() {}\n\n// T is a type.\ntype T struct{}\n\n// Call is called by nobody.\nfunc (T) Call() {}\n\n// String is asked for by an interface.\nfunc (T) String() string { return \"\" }\n",
		"high/h_test.go":  "package high\n\nvar _ = T{}\n",
		"stray/stray.go":  "package stray\n\nfunc tall() {\n" + strings.Repeat("\tprintln()\n", most) + "}\n\nvar _ = tall\n",
		"low/low_test.go": "package low\n\nvar _ = Up\n",
	} {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	pkgs, err := load(root, "./...")
	if err != nil {
		t.Fatal(err)
	}
	got := arrows(pkgs, map[string]int{"fitchet.example/low": 0, "fitchet.example/high": 1, "fitchet.example/gone": 2})
	got = append(got, unused(pkgs, map[string]bool{"Elsewhere": true}, []string{"high.T.Call", "high.Gone"})...)
	got = append(got, long(pkgs, map[string]int{"high.Top": 90})...)
	want := []string{
		"fitchet.example/low imports fitchet.example/high, which does not stand below it in order.txt",
		"fitchet.example/stray has no place in order.txt",
		"order.txt names fitchet.example/gone, which there is not",
		"high.Alone is exported, and nobody needs it",
		"unneeded.txt names high.Gone, which is needed or gone: the list may only shrink",
		"long.txt gives high.Top 90 lines, and it has 1: the list may only shrink",
		"stray.tall has 82 lines, and may have 80",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
