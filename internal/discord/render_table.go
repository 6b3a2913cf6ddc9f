package discord

import (
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// table shows things side by side in fields, which stay readable on a narrow
// screen where columns would not: each thing has a number, told above.
func (p *page) table(card *embed, t *chat.Table) {
	var names []string
	for i, name := range t.Things {
		names = append(names, fmt.Sprintf("**%d** %s", i+1, escape(orDash(plain(name)))))
	}
	if card.Description != "" {
		card.Description += "\n" // a title that holds a time stands there
	}
	card.Description += p.take(strings.Join(names, " · "), 600)
	for _, row := range t.Rows[:min(len(t.Rows), shownFacts)] {
		lines := []string{"all: " + escape(orDash(plain(row.Cell(0))))}
		if row.Differs {
			lines = nil
			for i := range t.Things {
				lines = append(lines, fmt.Sprintf("%d · %s", i+1, escape(orDash(plain(row.Cell(i))))))
			}
		}
		name := p.take(escape(plain(row.Label))+", "+row.Says(), factName)
		if value := p.take(strings.Join(lines, "\n"), factValue); name != "" && value != "" {
			card.Fields = append(card.Fields, embedField{Name: name, Value: value, Inline: true})
		}
	}
	p.cut = p.cut || len(t.Rows) > shownFacts
}

// tableText is a table for a text file.
func tableText(t *chat.Table) string {
	var b strings.Builder
	for _, row := range t.Rows {
		fmt.Fprintf(&b, "\n%s, %s:", row.Label, row.Says())
		for i, name := range t.Things {
			fmt.Fprintf(&b, "\n  %s: %s", name, row.Cell(i))
		}
	}
	return b.String()
}
