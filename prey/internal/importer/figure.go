package importer

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// figure is a number with where it stands.
type figure struct {
	v      decimal.Decimal
	text   string // as it is to be written
	source string // source key, "" for practice and choice
	at     string // locator, or the arithmetic with its locator
	class  class
}

type class uint8

const (
	published class = iota
	derived
	practice
	choice
)

func (e class) String() string { return [...]string{"published", "derived", "practice", "choice"}[e] }

// ref writes the reference of several figures in the text form of package cite.
// The weakest class stands for all; the locators stand beside their sources.
func ref(labels []string, fs []figure) string {
	worst := published
	var keys []string
	at := make(map[string][]string)
	var loose []string
	for i, f := range fs {
		worst = max(worst, f.class)
		words := f.at
		if labels != nil {
			words = labels[i] + " " + f.text + ": " + f.at
		}
		words = strings.ReplaceAll(words, ";", ",")
		if f.source == "" {
			if !slices.Contains(loose, words) {
				loose = append(loose, words)
			}
			continue
		}
		if !slices.Contains(keys, f.source) {
			keys = append(keys, f.source)
		}
		if !slices.Contains(at[f.source], words) {
			at[f.source] = append(at[f.source], words)
		}
	}
	var places []string
	for _, k := range keys {
		places = append(places, strings.Join(at[k], ", "))
	}
	places = append(places, loose...)
	head := worst.String()
	if len(keys) > 0 && worst != practice {
		head += " " + strings.Join(keys, ", ")
	}
	return head + ": " + strings.Join(places, "; ")
}

// rangeRef is ref for the three ends of a range; a range of one point is not
// labelled.
func rangeRef(r [3]figure) string {
	if r[0].v.Equal(r[1].v) && r[1].v.Equal(r[2].v) {
		return ref(nil, r[:])
	}
	return ref([]string{"low", "typical", "high"}, r[:])
}

func dec(s string) (decimal.Decimal, error) {
	d, err := decimal.NewFromString(s)
	if err != nil {
		return d, fmt.Errorf("%q is not a number", s)
	}
	return d, nil
}

// num is for constants of this package.
func num(v int64, exp int32) decimal.Decimal { return decimal.New(v, exp) }

var hundred = num(100, 0)

// div rounds half up to the places given; the divisor is never zero here
// because it is checked or constant.
func div(a, b decimal.Decimal, places int32) decimal.Decimal {
	if b.IsZero() {
		return decimal.Decimal{}
	}
	return a.DivRound(b, places)
}
