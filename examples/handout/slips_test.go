package main

import (
	"os"
	"testing"

	"fitchet.example/examples/internal/hostile"
	"fitchet.example/examples/internal/slips"
)

// No slip of the pen in a flag or in own foods and rules leaves a part of the
// sheet out without a word.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	read := func(path string) string {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	samples := []slips.Sample{
		{Args: []string{"-format", "json", "-foods", "foods.yaml", "-rules", "rules.yaml"},
			Files: map[string]string{"foods.yaml": read("../weekplan/testdata/mix-foods.yaml"), "rules.yaml": read("../../testdata/corpus/rules/laid-over.yaml")}},
	}
	for _, id := range topicIDs() {
		samples = append(samples, slips.Sample{Args: []string{"-format", "json", "-topics", id}, Flags: []string{"-topics", "-format"}})
	}
	slips.Check(t, samples, run, slips.Gravest)
}

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	hostile.Check(t, run, []string{"-foods", "FILE"}, []string{"-rules", "FILE"})
}
