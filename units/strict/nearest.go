package strict

import (
	"math/bits"
	"unicode"
)

// nameLetters is how many letters a name of ours has at most.
const nameLetters = 64

// Nearest returns the known name that is closest to a misspelt one: fewest
// single-letter insertions, deletions, replacements and swaps of neighbours,
// letter case aside and with "_" and " " taken for "-". It reports false when
// even the closest differs in more than a third of its letters. Of equally
// close names it returns the first in alphabetical order.
func Nearest(name string, known []string) (string, bool) {
	var a, b [nameLetters]rune
	from, ok := folded(a[:0], name)
	if !ok {
		return "", false
	}
	best, bestDist := "", -1
	for _, k := range known {
		to, ok := folded(b[:0], k)
		if !ok {
			continue
		}
		most := max(len(from), len(to)) / 3
		if bestDist >= 0 {
			most = min(most, bestDist)
		}
		if d, ok := distance(from, to, most); ok && (bestDist < 0 || d < bestDist || k < best) {
			best, bestDist = k, d
		}
	}
	return best, bestDist >= 0
}

// folded appends the letters of a name as they are compared, and reports false
// for a text that is too long for a name.
func folded(to []rune, s string) ([]rune, bool) {
	if len(s) > 4*nameLetters { // a letter has at most four bytes
		return nil, false
	}
	for _, r := range s {
		if len(to) == nameLetters {
			return nil, false
		}
		if r == '_' || r == ' ' {
			r = '-'
		}
		to = append(to, unicode.ToLower(r))
	}
	return to, true
}

// Distance counts the letters to put in, take out, change or swap with their
// neighbour to turn a into b (optimal string alignment: each pair is swapped at
// most once). It reports false when they are more than most.
func Distance(a, b string, most int) (int, bool) {
	if a == b {
		return 0, most >= 0
	}
	if most < 1 || max(len(a), len(b))-min(len(a), len(b)) > 4*most { // a letter has at most four bytes
		return 0, false
	}
	// A letter that the other has not costs a change: most texts part here.
	if p, q := alphabet(a), alphabet(b); max(bits.OnesCount64(p&^q), bits.OnesCount64(q&^p)) > most {
		return 0, false
	}
	var x, y [nameLetters]rune
	return distance(letters(x[:0], a), letters(y[:0], b), most)
}

// alphabet is the set of letters of a text, each folded to one of 64.
func alphabet(s string) (set uint64) {
	for _, r := range s {
		set |= 1 << (uint32(r) & 63)
	}
	return set
}

func letters(to []rune, s string) []rune {
	for _, r := range s {
		to = append(to, r)
	}
	return to
}

// distance is Distance of letters. It looks only at the cells that may be within
// most of each other, and stops as soon as none of a row is.
func distance(a, b []rune, most int) (int, bool) {
	most = min(most, max(len(a), len(b)))
	if max(len(a), len(b))-min(len(a), len(b)) > most {
		return 0, false
	}
	var room [3][nameLetters + 1]int32
	before, last, row := room[0][:], room[1][:], room[2][:]
	if len(b) > nameLetters {
		before, last, row = make([]int32, len(b)+1), make([]int32, len(b)+1), make([]int32, len(b)+1)
	}
	far := int32(most + 1)
	for j := range int32(min(len(b), most+1) + 1) {
		last[j] = j
	}
	least := int32(0) // of the row before
	for i := 1; i <= len(a); i++ {
		from, to := max(1, i-most), min(len(b), i+most)
		row[from-1] = far
		if from == 1 {
			row[0] = int32(i)
		}
		now := row[from-1]
		for j := from; j <= to; j++ {
			cost := int32(1)
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(row[j-1]+1, last[j-1]+cost)
			if j < i+most { // the cell above lies within the band
				d = min(d, last[j]+1)
			}
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, before[j-2]+1)
			}
			row[j] = d
			now = min(now, d)
		}
		if now >= far && least >= far {
			return 0, false // a swap may come from the row before
		}
		least = now
		before, last, row = last, row, before
	}
	return int(last[len(b)]), last[len(b)] < far
}
