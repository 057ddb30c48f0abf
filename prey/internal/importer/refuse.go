package importer

import (
	"regexp"
	"strings"

	"github.com/shopspring/decimal"
)

// The USDA release gives what is thrown away of a cut as one total and, since
// release 25, as words. The total is not the bone: it lumps skin and fat in
// "meat only" rows, counts a bone twice in some, and has lost it in others. So
// the bone is read from the words, and where the words do not settle it there
// is no share.

var (
	term = regexp.MustCompile(`(?i)^(?:([0-9.]+) ?% )?([a-z ]+?)(?:,? ([0-9.]+) ?%)?$`)
	// what a knife leaves when it bones a cut
	boneWords = map[string]bool{
		"bone": true, "bone and cartilage": true, "bone and connective tissue": true,
		"bone and coonective tissue": true, "bone and conncetive tissue": true, // spelt so in the release
	}
)

// boneShare reads the bone out of a refuse total and its words. It is known
// only when exactly one term is bone, and that term either carries its own
// percentage or is the only term.
func boneShare(total, words string) (decimal.Decimal, bool) {
	none := decimal.Decimal{}
	if words == "" {
		return none, false // 0 without words means "not sampled with bone"
	}
	var share string
	bones := 0
	terms := strings.Split(words, ", ")
	for _, t := range terms {
		m := term.FindStringSubmatch(t)
		if m == nil {
			return none, false
		}
		if boneWords[strings.ToLower(m[2])] {
			bones++
			share = m[1] + m[3]
		} else if strings.Contains(strings.ToLower(m[2]), "bone") {
			return none, false // bone and skin, bone and hard tissue
		}
	}
	if bones != 1 {
		return none, false
	}
	if share == "" {
		if len(terms) > 1 {
			return none, false
		}
		share = total
	}
	d, err := decimal.NewFromString(share)
	if err != nil {
		return none, false
	}
	return d, true
}
