package balance

import (
	"fitchet.example/balance/internal/figure"
	"fitchet.example/units"
)

// Verdict is what a rule says of a plan.
type Verdict uint8

const (
	// Met: the figure lies within the bounds; reaching one exactly is met.
	Met Verdict = Verdict(figure.Met)
	// Missed: it lies outside.
	Missed Verdict = Verdict(figure.Missed)
	// Open: it cannot be said from what is known.
	Open Verdict = Verdict(figure.Open)
	// NotApplicable: the rule does not concern this plan.
	NotApplicable Verdict = Open + 1
)

var verdictWords = units.Words[Verdict]{What: "verdict", Keys: []string{Met: "met", Missed: "missed", Open: "open", NotApplicable: "not-applicable"}}

// String returns "met", "missed", "open" or "not-applicable".
func (v Verdict) String() string { return verdictWords.Name(v) }

// ParseVerdict reads "met", "missed", "open" or "not-applicable".
func ParseVerdict(s string) (Verdict, error) { return verdictWords.Parse(s) }

// MarshalText writes the word; a value that is no verdict is an error.
func (v Verdict) MarshalText() ([]byte, error) { return verdictWords.Marshal(v) }

// UnmarshalText is [ParseVerdict].
func (v *Verdict) UnmarshalText(text []byte) error { return verdictWords.Unmarshal(v, text) }

// Side says past which bound a figure lies.
type Side int8

const (
	Below   Side = -1
	Neither Side = 0 // past neither, or nothing was held against them: the verdict says which
	Above   Side = 1
)
