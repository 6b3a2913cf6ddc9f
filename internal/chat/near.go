package chat

import (
	"math/bits"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Fold makes names comparable: compatibility forms joined, lower case, one
// space between words.
func Fold(s string) string {
	return strings.Join(strings.Fields(strings.ToLower(norm.NFKC.String(s))), " ")
}

// nearMost is how many near names are offered.
const nearMost = 5

// Nearest lists the names that typed may have meant, best first: those it
// begins, those with a word it begins, then those within a few typing slips
// (Damerau–Levenshtein distance: a slip is a letter missing, added, wrong or
// swapped with its neighbor). It gives none when nothing is near.
func Nearest(typed string, names []string) []string {
	t := []rune(Fold(typed))
	if len(t) == 0 || len(t) > 100 {
		return nil
	}
	type scored struct {
		name string
		cost int
	}
	var near []scored
	for _, name := range names {
		if cost, ok := nearness(t, Fold(name)); ok {
			near = append(near, scored{name, cost})
		}
	}
	slices.SortStableFunc(near, func(a, b scored) int { return a.cost - b.cost })
	out := make([]string, 0, nearMost)
	for _, s := range near {
		if len(out) == nearMost {
			break
		}
		if !slices.Contains(out, s.name) {
			out = append(out, s.name)
		}
	}
	return out
}

// Near scores how near a name is to what was typed, lower is nearer, by the
// rules of Nearest.
func Near(typed, name string) (cost int, ok bool) {
	t := []rune(Fold(typed))
	if len(t) == 0 || len(t) > 100 {
		return 0, false
	}
	return nearness(t, Fold(name))
}

// letters is a set of a text's letters, several of which may share a place.
func letters(s string) (set uint64) {
	for _, r := range s {
		set |= 1 << (uint(r) % 64)
	}
	return set
}

// nearness scores a folded name, lower is nearer. A third of the typed letters
// may be slips, one at least.
func nearness(typed []rune, name string) (cost int, ok bool) {
	t := string(typed)
	switch {
	case name == t:
		return 0, true
	case strings.HasPrefix(name, t):
		return 1, true
	}
	for _, w := range strings.Fields(name) {
		if strings.HasPrefix(w, t) {
			return 2, true
		}
	}
	if len(typed) >= 3 && strings.Contains(name, t) {
		return 3, true
	}
	slips := max(1, len(typed)/3)
	if bits.OnesCount64(letters(t)&^letters(name)) > slips {
		return 0, false // each letter that the name lacks is a slip, wherever it stands
	}
	runes := []rune(name)
	row := distances(typed, runes)
	d := row[len(runes)]
	if d > slips && len(typed) >= beginningLeast {
		// A slip in what begins a longer name is near too, one less than in
		// the whole of it: many names begin alike.
		slips = max(1, slips-1)
		for end := len(typed) - 1; end <= min(len(typed)+1, len(runes)); end++ {
			d = min(d, row[end])
		}
		return 11 + d, d <= slips
	}
	return 10 + d, d <= slips
}

// beginningLeast is how many letters must be typed for a slip among them to be
// forgiven in a name's beginning: fewer begin too many names.
const beginningLeast = 5

// distances gives the distance of a to each beginning of b, b[:j] at j, in the
// optimal string alignment form of Damerau and Levenshtein (F. J. Damerau,
// CACM 7:171, 1964, from memory).
func distances(a, b []rune) []int {
	two := make([]int, len(b)+1)
	one := make([]int, len(b)+1)
	now := make([]int, len(b)+1)
	for j := range one {
		one[j] = j
	}
	for i := 1; i <= len(a); i++ {
		now[0] = i
		for j := 1; j <= len(b); j++ {
			miss := 1
			if a[i-1] == b[j-1] {
				miss = 0
			}
			now[j] = min(one[j]+1, now[j-1]+1, one[j-1]+miss)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], two[j-2]+1)
			}
		}
		two, one, now = one, now, two
	}
	return one
}
