package strict

import "strings"

// Nearest returns the known name that is closest to a misspelt one: fewest
// single-letter insertions, deletions, replacements and swaps of neighbours,
// letter case aside and with "_" and " " taken for "-". It reports false when
// even the closest differs in more than a third of its letters. Of equally
// close names it returns the first in alphabetical order.
func Nearest(name string, known []string) (string, bool) {
	const longest = 64 // no name of ours is longer
	from := fold(name)
	if len(from) > longest {
		return "", false
	}
	best, bestDist := "", -1
	for _, k := range known {
		to := fold(k)
		if len(to) > longest {
			continue
		}
		most := max(len(from), len(to)) / 3
		if bestDist >= 0 {
			most = min(most, bestDist)
		}
		if d := max(len(from)-len(to), len(to)-len(from)); d > most {
			continue
		}
		d := distance(from, to)
		if d <= most && (bestDist < 0 || d < bestDist || k < best) {
			best, bestDist = k, d
		}
	}
	return best, bestDist >= 0
}

func fold(s string) []rune {
	if len(s) > 1024 {
		s = s[:1024]
	}
	return []rune(strings.NewReplacer("_", "-", " ", "-").Replace(strings.ToLower(s)))
}

// distance is the optimal string alignment distance (Damerau-Levenshtein with
// each pair of letters swapped at most once).
func distance(a, b []rune) int {
	before := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
