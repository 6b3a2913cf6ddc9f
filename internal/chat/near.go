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
	if folded(s) {
		return s
	}
	return strings.Join(strings.Fields(strings.ToLower(norm.NFKC.String(s))), " ")
}

// folded reports that Fold would change nothing, as with most names.
func folded(s string) bool {
	before := byte(' ')
	for i := range len(s) {
		c := s[i]
		if c >= 0x80 || c < ' ' || c >= 'A' && c <= 'Z' || c == ' ' && before == ' ' {
			return false
		}
		before = c
	}
	return s == "" || before != ' '
}

// nearMost is how many near names are offered.
const nearMost = 5

// Nearest lists the names that typed may have meant, best first: those it
// begins, those with a word it begins, then those within a few typing slips
// (Damerau–Levenshtein distance: a slip is a letter missing, added, wrong or
// swapped with its neighbor). It gives none when nothing is near.
func Nearest(typed string, names []string) []string {
	meant := Near(typed)
	type scored struct {
		name string
		cost int
	}
	var near []scored
	for _, name := range names {
		if cost, ok := meant.Cost(name); ok {
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

// Typed is a text to be held against names, by the rules of Nearest. It is not
// safe for concurrent use.
type Typed struct {
	text    string
	runes   []rune
	letters uint64
	name    []rune
	rows    [3][]int
}

// Near makes ready to hold a text against many names. An empty one, or one of
// more than 100 letters, is near none.
func Near(typed string) *Typed {
	t := &Typed{text: Fold(typed)}
	t.runes, t.letters = []rune(t.text), letters(t.text)
	return t
}

// letters is a set of a text's letters, several of which may share a place.
func letters(s string) (set uint64) {
	for _, r := range s {
		set |= 1 << (uint(r) % 64)
	}
	return set
}

// Far reports that a text is near no word of a name, as far as its letters tell
// at a glance. A name that is not far may still not be near.
func (t *Typed) Far(name string) bool {
	return bits.OnesCount64(t.letters&^letters(Fold(name))) > max(1, len(t.runes)/3)
}

// Cost scores a name, lower is nearer. A third of the typed letters may be
// slips, one at least.
func (t *Typed) Cost(name string) (cost int, ok bool) {
	name = Fold(name)
	at := strings.Index(name, t.text)
	switch {
	case len(t.runes) == 0 || len(t.runes) > 100:
		return 0, false
	case name == t.text:
		return 0, true
	case at == 0:
		return 1, true
	case at > 0 && strings.Contains(name, " "+t.text):
		return 2, true
	case at > 0 && len(t.runes) >= 3:
		return 3, true
	}
	slips := max(1, len(t.runes)/3)
	if bits.OnesCount64(t.letters&^letters(name)) > slips {
		return 0, false // each letter that the name lacks is a slip, wherever it stands
	}
	return t.slipped(name, slips)
}

func (t *Typed) slipped(name string, slips int) (cost int, ok bool) {
	t.name = t.name[:0]
	for _, r := range name {
		t.name = append(t.name, r)
	}
	// Of a name that is too long to be meant as a whole its beginning counts.
	part := t.name[:min(len(t.name), len(t.runes)+slips+1)]
	row := t.distances(part, slips)
	if row == nil {
		return 0, false
	}
	d := row[len(part)]
	if len(part) < len(t.name) {
		d = slips + 1
	}
	if d > slips && len(t.runes) >= beginningLeast {
		// A slip in what begins a longer name is near too, one less than in
		// the whole of it: many names begin alike.
		slips = max(1, slips-1)
		for end := len(t.runes) - 1; end <= min(len(t.runes)+1, len(part)); end++ {
			d = min(d, row[end])
		}
		return 11 + d, d <= slips
	}
	return 10 + d, d <= slips
}

// beginningLeast is how many letters must be typed for a slip among them to be
// forgiven in a name's beginning: fewer begin too many names.
const beginningLeast = 5

// distances gives the distance of what was typed to each beginning of b, b[:j]
// at j, in the optimal string alignment form of Damerau and Levenshtein (F. J.
// Damerau, CACM 7:171, 1964, from memory). It is nil where all of them are more
// than most, which shows early: two rows without a smaller one are followed by
// no smaller one. The next call overwrites it.
func (t *Typed) distances(b []rune, most int) []int {
	a := t.runes
	for i := range t.rows {
		t.rows[i] = slices.Grow(t.rows[i][:0], len(b)+1)[:len(b)+1]
	}
	two, one, now := t.rows[0], t.rows[1], t.rows[2]
	for j := range one {
		one[j] = j
	}
	least := 0
	for i := 1; i <= len(a); i++ {
		now[0] = i
		before := least
		least = i
		for j := 1; j <= len(b); j++ {
			miss := 1
			if a[i-1] == b[j-1] {
				miss = 0
			}
			now[j] = min(one[j]+1, now[j-1]+1, one[j-1]+miss)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], two[j-2]+1)
			}
			least = min(least, now[j])
		}
		if before > most && least > most {
			return nil
		}
		two, one, now = one, now, two
	}
	return one
}
