package chat

import "slices"

// distances gives the distance of what was typed to each beginning of b, b[:j]
// at j, in the optimal string alignment form of Damerau and Levenshtein (F. J.
// Damerau, CACM 7:171, 1964, from memory). The next call overwrites it.
func (t *Typed) distances(b []rune) []int {
	if len(t.runes) > placesMost {
		return t.tabled(b)
	}
	return t.columns(b)
}

// tabled is distances by the whole table, a typed letter a row.
func (t *Typed) tabled(b []rune) []int {
	a := t.runes
	for i := range t.rows {
		t.rows[i] = slices.Grow(t.rows[i][:0], len(b)+1)[:len(b)+1]
	}
	two, one, now := t.rows[0], t.rows[1], t.rows[2]
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

// places tells where each letter stands in a text of at most placesMost
// letters, a bit for each place.
type places struct {
	ascii [128]uint64
	other map[rune]uint64
}

const placesMost = 64

func placesOf(text []rune) (p places) {
	for i, r := range text {
		if r >= 0 && r < 128 {
			p.ascii[r] |= 1 << i
			continue
		}
		if p.other == nil {
			p.other = map[rune]uint64{}
		}
		p.other[r] |= 1 << i
	}
	return p
}

func (p *places) of(r rune) uint64 {
	if r >= 0 && r < 128 {
		return p.ascii[r]
	}
	return p.other[r]
}

// columns is distances with a whole column of the table in a few words of bits:
// neighbors differ by one at most, so a bit tells where the column rises and
// one where it falls (H. Hyyrö, Nordic Journal of Computing 10:29, 2003, from
// memory).
func (t *Typed) columns(b []rune) []int {
	t.row = append(t.row[:0], len(t.runes))
	if len(t.runes) == 0 {
		for j := range b {
			t.row = append(t.row, j+1)
		}
		return t.row
	}
	var falls, same, before uint64
	rises, last, d := ^uint64(0), uint64(1)<<(len(t.runes)-1), len(t.runes)
	for _, r := range b {
		at := t.places.of(r)
		swapped := (^same & at) << 1 & before
		same = ((at&rises + rises) ^ rises) | at | falls | swapped
		up, down := falls|^(same|rises), same&rises
		switch {
		case up&last != 0:
			d++
		case down&last != 0:
			d--
		}
		t.row = append(t.row, d)
		up, down = up<<1|1, down<<1
		rises, falls = down|^(same|up), up&same
		before = at
	}
	return t.row
}
