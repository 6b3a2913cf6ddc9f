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
	near, _ := NearestTied(typed, names)
	return near
}

// NearestTied is Nearest, and how many of the first are as near as each other:
// between those only the one who typed can tell.
func NearestTied(typed string, names []string) (out []string, tied int) {
	meant := Near(typed)
	type scored struct {
		name string
		cost int
	}
	var near []scored
	for _, name := range names {
		if cost, ok := meant.Cost(Named(name)); ok {
			near = append(near, scored{name, cost})
		}
	}
	slices.SortStableFunc(near, func(a, b scored) int { return a.cost - b.cost })
	out = make([]string, 0, nearMost)
	for _, s := range near {
		if len(out) == nearMost {
			break
		}
		if !slices.Contains(out, s.name) {
			out = append(out, s.name)
			if s.cost == near[0].cost {
				tied = len(out)
			}
		}
	}
	return out, tied
}

// Typed is a text to be held against names, by the rules of Nearest. It is not
// safe for concurrent use.
type Typed struct {
	text    string
	runes   []rune
	letters uint64
	places  places
	name    []rune
	row     []int
	rows    [3][]int
}

// Near makes ready to hold a text against many names. An empty one, or one of
// more than 100 letters, is near none.
func Near(typed string) *Typed {
	t := &Typed{text: Fold(typed)}
	t.runes, t.letters = []rune(t.text), letters(t.text)
	if len(t.runes) <= placesMost {
		t.places = placesOf(t.runes)
	}
	return t
}

// Name is a name to be held against several texts.
type Name struct {
	text    string
	letters uint64
}

// Named makes a name ready.
func Named(name string) Name {
	name = Fold(name)
	return Name{name, letters(name)}
}

// letters is a set of a text's letters, several of which may share a place.
func letters(s string) (set uint64) {
	for _, r := range s {
		set |= 1 << (uint(r) % 64)
	}
	return set
}

// lacks counts typed letters that the name is known to lack: each is a slip,
// wherever it stands.
func (t *Typed) lacks(name Name) int { return bits.OnesCount64(t.letters &^ name.letters) }

// slips is how many are forgiven: a third of the letters, one at least.
func (t *Typed) slips() int { return max(1, len(t.runes)/3) }

// Far reports that a text is near no word of a name, as far as its letters tell
// at a glance. A name that is not far may still not be near.
func (t *Typed) Far(name Name) bool { return t.lacks(name) > t.slips() }

// Cost scores a name, lower is nearer. A third of the typed letters may be
// slips, one at least.
func (t *Typed) Cost(name Name) (cost int, ok bool) {
	lacks, slips := t.lacks(name), t.slips()
	if len(t.runes) == 0 || len(t.runes) > 100 || lacks > slips {
		return 0, false
	}
	if lacks == 0 {
		if cost, ok := t.within(name.text); ok {
			return cost, true
		}
	}
	return t.slipped(name.text, slips)
}

// within scores a name that holds what was typed, letter for letter.
func (t *Typed) within(name string) (cost int, ok bool) {
	at := strings.Index(name, t.text)
	switch {
	case name == t.text:
		return 0, true
	case at == 0:
		return 1, true
	case at > 0 && strings.Contains(name, " "+t.text):
		return 2, true
	}
	return 3, at > 0 && len(t.runes) >= 3
}

func (t *Typed) slipped(name string, slips int) (cost int, ok bool) {
	// Of a name that is too long to be meant as a whole its beginning counts.
	longer := false
	t.name = t.name[:0]
	for _, r := range name {
		if longer = len(t.name) == len(t.runes)+slips+1; longer {
			break
		}
		t.name = append(t.name, r)
	}
	row := t.distances(t.name)
	d := row[len(t.name)]
	if longer {
		d = slips + 1
	}
	if d > slips && len(t.runes) >= beginningLeast {
		// A slip in what begins a longer name is near too, one less than in
		// the whole of it: many names begin alike.
		slips = max(1, slips-1)
		for end := len(t.runes) - 1; end <= min(len(t.runes)+1, len(t.name)); end++ {
			d = min(d, row[end])
		}
		return 11 + d, d <= slips
	}
	return 10 + d, d <= slips
}

// beginningLeast is how many letters must be typed for a slip among them to be
// forgiven in a name's beginning: fewer begin too many names.
const beginningLeast = 5
