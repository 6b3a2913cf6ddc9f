package formula

// near is the candidate that a mistyped word is closest to, "" where none is
// close: one letter changed, missing, too many or swapped, in a long word two.
func near(word string, candidates []string) string {
	best, at := "", 3
	switch n := len([]rune(word)); {
	case n < 3:
		return ""
	case n < 6:
		at = 2
	}
	for _, c := range candidates {
		if d := distance([]rune(word), []rune(c)); d < at {
			best, at = c, d
		}
	}
	return best
}

// distance counts edits, a swap of neighbors as one (optimal string alignment).
func distance(a, b []rune) int {
	row := func() []int { return make([]int, len(b)+1) }
	before, last, now := row(), row(), row()
	for j := range last {
		last[j] = j
	}
	for i := range a {
		now[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			now[j+1] = min(last[j+1]+1, now[j]+1, last[j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				now[j+1] = min(now[j+1], before[j-1]+1)
			}
		}
		before, last, now = last, now, before
	}
	return last[len(b)]
}
