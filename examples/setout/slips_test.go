package main

import (
	"os"
	"testing"

	"fitchet.example/examples/internal/hostile"
	"fitchet.example/examples/internal/slips"
)

// No slip of the pen in a flag or in the notices makes a food look safer.
func TestOneLetterNeverLooksBetter(t *testing.T) {
	shipped, err := os.ReadFile("../../safety/data/notices.yaml")
	if err != nil {
		t.Fatal(err)
	}
	ask := func(species string, more ...string) slips.Sample {
		return slips.Sample{Args: append([]string{"-format", "json", "-form", "whole", "-species", species}, more...),
			Flags: []string{"-form", "-species", "-region", "-format"}}
	}
	samples := []slips.Sample{ask("pork"), ask("wild boar"), ask("mouse", "-wild"), ask("duck", "-wild"), ask("chicken", "-region", "United Kingdom"), ask("herring"), ask("bear")}
	for region, text := range map[string]string{"United States": string(shipped), "North Brackenford": ownNotices} {
		s := ask("chicken", "-region", region, "-notices", "notices.yaml", "-on", "2026-11-25")
		s.Files = map[string]string{"notices.yaml": text}
		samples = append(samples, s)
	}
	slips.Check(t, samples, run, slips.Gravest)
}

// Whatever stands in a flag, or in the name of a file, nothing that acts on a terminal
// comes out, and no line more.
func TestFlagsAreHarmless(t *testing.T) {
	hostile.Check(t, run, []string{"-form", "minced", "-notices", "FILE"})
}
