package plot

import "gonum.org/v1/plot/font"

// layout keeps texts off one another.
type layout struct {
	limit block // no text leaves it
	taken []block
}

func (l *layout) take(b block) { l.taken = append(l.taken, b) }

// overlaps is how many of the taken blocks a block meets.
func (l *layout) overlaps(b block) int {
	n := 0
	for _, t := range l.taken {
		if b.meets(t) {
			n++
		}
	}
	return n
}

// seat finds room for a text with its middle at the first of the places where
// it meets least, and takes it.
func (l *layout) seat(f font.Font, words string, places ...spot) block {
	var best block
	least := -1
	for _, at := range places {
		b := room(f, words, at).inside(l.limit)
		if n := l.overlaps(b); least < 0 || n < least {
			best, least = b, n
		}
		if least == 0 {
			break
		}
	}
	l.take(best.grown(2))
	return best
}
