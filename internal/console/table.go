package console

import (
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// columnLeast is the narrowest column that a table is shown in; where the
// screen has no room for that, each row lists its things.
const columnLeast = 12

// table shows things side by side, their columns aligned, and says of each row
// whether they differ.
func (p *page) table(t *chat.Table) {
	width := (p.Width-2)/(len(t.Things)+1) - 2
	if width < columnLeast {
		p.stacked(t)
		return
	}
	cells := append([]string{""}, t.Things...)
	p.cells(bold, width, cells)
	for _, row := range t.Rows {
		cells[0] = row.Label + " (" + row.Says() + ")"
		for i := range t.Things {
			cells[i+1] = row.Cell(i)
		}
		p.cells("", width, cells)
	}
}

// cells is one row of a table; a long cell goes on below.
func (p *page) cells(st style, width int, cells []string) {
	wrapped := make([][]string, len(cells))
	high := 0
	for i, c := range cells {
		wrapped[i] = wrap(oneLine(c), width)
		high = max(high, len(wrapped[i]))
	}
	for n := range high {
		line := " "
		for _, lines := range wrapped {
			text := ""
			if n < len(lines) {
				text = lines[n]
			}
			line += " " + text + strings.Repeat(" ", max(0, width-columns(text))+1)
		}
		p.line(p.paint(st, strings.TrimRight(line, " ")))
	}
}

// stacked shows a table row by row.
func (p *page) stacked(t *chat.Table) {
	for _, row := range t.Rows {
		p.hang("  ", "", row.Label+" ("+row.Says()+")")
		for i, thing := range t.Things {
			p.hang("    "+oneLine(thing)+": ", "", oneLine(row.Cell(i)))
		}
	}
}
