package corpus_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fitchet.example/ration"
	"fitchet.example/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// TestHouseholdsTravel: every household of the corpus goes through JSON comes
// back byte for byte when nothing has changed and with one line changed when a
// weight has, and loads the same when it is written anew.
func TestHouseholdsTravel(t *testing.T) {
	t.Parallel()
	same := cmp.Options{cmpopts.IgnoreTypes(ration.Place{}), cmpopts.EquateEmpty()}
	files, err := filepath.Glob("../../testdata/corpus/households/*.yaml")
	if err != nil || len(files) < 20 {
		t.Fatal(files, err)
	}
	for _, path := range files {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		h, file, err := ration.OpenHousehold(path, bytes.NewReader(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		write := func() string {
			var b bytes.Buffer
			if lost, err := file.Write(&b, h); err != nil || lost != nil {
				t.Errorf("%s: lost %q, %v", path, lost, err)
			}
			return b.String()
		}
		if write() != string(text) {
			t.Errorf("%s does not come back", path)
		}
		value, err := json.Marshal(*h)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		var back ration.Household
		if err := json.Unmarshal(value, &back); err != nil {
			t.Errorf("%s: %v", path, err)
		} else if diff := cmp.Diff(*h, back, same); diff != "" {
			t.Errorf("%s: %s", path, diff)
		}
		var anew bytes.Buffer
		if err := ration.WriteHousehold(&anew, h); err != nil {
			t.Errorf("%s: %v", path, err)
		} else if again, _, err := ration.LoadHousehold(path, &anew, nil); err != nil || !cmp.Equal(h, again, same) {
			t.Errorf("%s: %v, %s", path, err, cmp.Diff(h, again, same))
		}
		h.Animals[0].Mass += units.Gram
		was, now := strings.Split(string(text), "\n"), strings.Split(write(), "\n")
		changed := 0
		for i := range was {
			if i >= len(now) || was[i] != now[i] {
				changed++
			}
		}
		if changed != 1 || len(was) != len(now) {
			t.Errorf("%s: a gram more changes %d lines", path, changed)
		}
	}
}
