package plot

import (
	"cmp"
	"slices"
)

// flag is a mark's name above the panels: to the right of the line that leads up
// to it or, where there is no room, to the left. A bar below it is the range.
type flag struct {
	words  string
	mark   Mark
	left   bool
	row    int     // 0 is the lowest
	x0, x1 float64 // of the name, about
	b0, b1 float64 // of the bar
	stem   float64
}

type flagRows struct {
	list []flag
	rows int
}

// The flags' place: about where the panels lie, known before they are drawn.
const (
	flagsFrom = 74
	flagsTo   = sheetWidth - chartRight
	mostFlag  = 420
)

// flags gives each mark a row, so that no name, and no line up to a name, meets
// another name. Names to the left go up from left to right and names to the right
// from right to left, which keeps lines off names with the fewest rows.
func (c Curves) flags() flagRows {
	var lefts, rights []flag
	on := func(t float64) float64 { return flagsFrom + (flagsTo-flagsFrom)*min(t/c.span(), 1) }
	for _, m := range c.Marks {
		it := flag{words: fit(bold(small), m.Label, mostFlag), mark: m, stem: on(m.At.Mid), b0: on(m.At.Low), b1: on(m.At.High)}
		if m.At.Mid > c.span() {
			it.words += " →"
		}
		w := width(bold(small), it.words) + 12
		it.x0, it.x1 = it.stem, it.stem+w
		if it.left = it.x1 > sheetWidth-4; it.left {
			it.x0, it.x1 = it.stem-w, it.stem
			lefts = append(lefts, it)
		} else {
			rights = append(rights, it)
		}
	}
	slices.SortStableFunc(lefts, func(a, b flag) int { return cmp.Compare(a.stem, b.stem) })
	slices.SortStableFunc(rights, func(a, b flag) int { return cmp.Compare(b.stem, a.stem) })
	return arranged(append(lefts, rights...))
}

// arranged puts flags into rows, each into the lowest in which it disturbs none
// of those before it. Where that fails in the order given, as with two times
// that nearly coincide below the name of a third, the best order is looked for.
func arranged(list []flag) flagRows {
	best, met := stacked(list)
	if met == 0 {
		return best
	}
	permute(list, 0, func(order []flag) bool {
		if f, n := stacked(order); n < met || n == met && f.rows < best.rows {
			best, met = f, n
		}
		return met > 0
	})
	return best
}

// stacked is arranged for one order, with the number of flags that found no
// row of their own; these go on top.
func stacked(list []flag) (f flagRows, met int) {
	for _, it := range list {
		for it.row <= f.rows && slices.ContainsFunc(f.list, it.disturbs) {
			it.row++
		}
		if it.row > f.rows {
			it.row = f.rows
			met++
		}
		f.list = append(f.list, it)
		f.rows = max(f.rows, it.row+1)
	}
	return f, met
}

// permute calls try with each order of what follows from, until it says no.
func permute(list []flag, from int, try func([]flag) bool) bool {
	if from == len(list) {
		return try(list)
	}
	for i := from; i < len(list); i++ {
		list[from], list[i] = list[i], list[from]
		if !permute(list, from+1, try) {
			return false
		}
		list[from], list[i] = list[i], list[from]
	}
	return true
}

func (a flag) disturbs(b flag) bool {
	switch {
	case a.row == b.row:
		return min(a.x0, a.b0) < max(b.x1, b.b1)+6 && min(b.x0, b.b0) < max(a.x1, a.b1)+6
	case a.row < b.row:
		return a.x0 < b.stem && b.stem < a.x1
	}
	return b.x0 < a.stem && a.stem < b.x1
}

// flags draws the marks' lines in all panels, their ranges and names above.
func (s *sheet) flags(f flagRows, panels []block, span float64) {
	first := panels[0]
	on := func(t float64) float64 { return first.x0 + (first.x1-first.x0)*min(t/span, 1) }
	for _, it := range f.list {
		x, bar := on(it.mark.At.Mid), first.y0-titleHeight-float64(it.row)*markRow
		if it.mark.At.Mid <= span {
			for _, p := range panels {
				s.line(pen{color: ink, width: 2, dashes: []float64{7, 5}}, spot{x, p.y1}, spot{x, p.y0})
			}
			s.line(pen{color: ink, width: 2}, spot{x, first.y0}, spot{x, bar - 29})
		}
		if x0, x1 := on(it.mark.At.Low), on(it.mark.At.High); x1-x0 >= 2 {
			s.line(pen{color: ink, width: 4}, spot{x0, bar}, spot{x1, bar})
			s.line(pen{color: ink, width: 2}, spot{x0, bar - 6}, spot{x0, bar + 6})
			s.line(pen{color: ink, width: 2}, spot{x1, bar - 6}, spot{x1, bar + 6})
		}
		b := room(bold(small), it.words, spot{x, bar - 19})
		w := b.x1 - b.x0
		if it.left {
			b = b.moved(spot{-w/2 - 6, 0})
		} else {
			b = b.moved(spot{w/2 + 6, 0})
		}
		s.write(bold(small), ink, it.words, b.inside(block{2, 0, sheetWidth - 2, s.h}))
	}
}
