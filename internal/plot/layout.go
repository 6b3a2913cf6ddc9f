package plot

import (
	"math"

	"gonum.org/v1/plot/font"
)

// layout keeps texts off one another.
type layout struct {
	limit block   // no text leaves it
	taken []block // texts and signs
	lines []block // lines that a text had better not cross
}

func (l *layout) take(b block) { l.taken = append(l.taken, b) }

func meeting(b block, list []block) int {
	n := 0
	for _, t := range list {
		if b.meets(t) {
			n++
		}
	}
	return n
}

// overlaps is how many of the taken blocks a block meets.
func (l *layout) overlaps(b block) int { return meeting(b, l.taken) }

// Costs of a place for a text, in pixels of a curve that runs through it.
const (
	overText = 1000
	overLine = 25
	offLimit = 60
)

// cheapest takes the place where a text of that width, one line high, costs
// least: cost is called with the block and what the layout counts is added.
func (l *layout) cheapest(w float64, places []spot, cost func(block) float64) block {
	const half = small * 0.65
	var best block
	least := math.Inf(1)
	for _, at := range places {
		b := block{at.x - w/2, at.y - half, at.x + w/2, at.y + half}
		sum := 0.0
		if in := b.inside(l.limit); in != b {
			b, sum = in, offLimit
		}
		sum += overText*float64(meeting(b, l.taken)) + overLine*float64(meeting(b, l.lines)) + cost(b)
		if sum < least {
			best, least = b, sum
		}
	}
	l.take(best)
	return best
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
