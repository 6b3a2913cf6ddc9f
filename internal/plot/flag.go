package plot

import (
	"cmp"
	"image/color"
	"slices"
)

// flag is a mark's name above the panels, to the right of its line or, where
// there is no room, to the left.
type flag struct {
	words string
	mark  Mark
	row   int // 0 is the lowest
	left  bool
}

type flagRows struct {
	list []flag
	rows int
}

// The flags' place: about where the panels lie, known before they are drawn.
const (
	flagsFrom = 74
	flagsTo   = sheetWidth - chartRight
)

// flags gives each mark a row, so that no name and no line up to a name meets
// another name.
func (c Curves) flags() flagRows {
	marks := slices.Clone(c.Marks)
	slices.SortStableFunc(marks, func(a, b Mark) int { return cmp.Compare(b.At.Mid, a.At.Mid) }) // right to left
	f := flagRows{}
	type taken struct{ x0, x1, stem float64 }
	rows := make([][]taken, len(marks)+1)
	for _, m := range marks {
		words := fit(bold(small), m.Label, 260)
		w := width(bold(small), words) + 10
		x := flagsFrom + (flagsTo-flagsFrom)*m.At.Mid/c.span()
		it := flag{words: words, mark: m, left: x+w > sheetWidth-4}
		t := taken{x, x + w, x}
		if it.left {
			t.x0, t.x1 = x-w, x
		}
		free := func(row int) bool {
			for r, in := range rows {
				for _, o := range in {
					names := o.x0 < t.x1 && t.x0 < o.x1
					switch {
					case r == row && names, // both names
						r < row && o.x0 < t.stem && t.stem < o.x1, // its stem, their name
						r > row && t.x0 < o.stem && o.stem < t.x1: // their stem, its name
						return false
					}
				}
			}
			return true
		}
		for it.row < len(rows)-1 && !free(it.row) {
			it.row++
		}
		rows[it.row] = append(rows[it.row], t)
		f.rows = max(f.rows, it.row+1)
		f.list = append(f.list, it)
	}
	return f
}

// markBand shades the range of a mark in a panel.
func (s *sheet) markBand(m Mark, at block, span float64) {
	x0, x1 := at.x0+(at.x1-at.x0)*m.At.Low/span, at.x0+(at.x1-at.x0)*min(m.At.High/span, 1)
	if x1-x0 >= 1 {
		s.panel(color.NRGBA{ink.R, ink.G, ink.B, 0x14}, block{x0, at.y0, x1, at.y1})
	}
}

// flags draws the marks' lines through all panels and their names above.
func (s *sheet) flags(f flagRows, first, last block, span float64) {
	for _, it := range f.list {
		x := first.x0 + (first.x1-first.x0)*it.mark.At.Mid/span
		mid := first.y0 - titleHeight + 6 - float64(it.row)*markRow - markRow/2
		s.line(pen{color: ink, width: 2, dashes: []float64{7, 5}}, spot{x, last.y1}, spot{x, first.y0})
		s.line(pen{color: ink, width: 2}, spot{x, first.y0}, spot{x, mid - 10})
		b := room(bold(small), it.words, spot{x, mid})
		w := b.x1 - b.x0
		if it.left {
			b = b.moved(spot{-w/2 - 6, 0})
		} else {
			b = b.moved(spot{w/2 + 6, 0})
		}
		s.write(bold(small), ink, it.words, b.inside(block{2, 0, sheetWidth - 2, s.h}))
	}
}
