package transfer

import (
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Document describes the columns of every kind, for people who write such
// files, as tables in Markdown.
func Document() string {
	var b strings.Builder
	for _, k := range Kinds() {
		fmt.Fprintf(&b, "\n**%s**\n\n| column | takes | what it says |\n|---|---|---|\n", k)
		for _, h := range headsOfKind(k) {
			fmt.Fprintf(&b, "| `%s` | %s | %s |\n", h.name, h.takes(), strings.ReplaceAll(h.doc, "|", `\|`))
		}
	}
	return b.String()
}

// takes says what a cell of the column holds.
func (h head) takes() string {
	switch {
	case h.isList:
		return "list of texts"
	case h.base == quantity.NoUnit:
		return "text"
	case h.base.Symbol() != "":
		return "number in " + h.base.Symbol()
	}
	return "number"
}
