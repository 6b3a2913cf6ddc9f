package chat

// Table says the same things of several, side by side. Each cell that matters
// to a program is a fact of the reply too; transports show the table in place
// of the facts.
type Table struct {
	Things []string   // heads of the columns, two to four
	Rows   []TableRow // the ones that matter first; a chat card shows eight
}

// TableRow is one line of a table.
type TableRow struct {
	Label   string
	Cells   []string // one for each thing, "" where it is not said
	Differs bool     // which transports say in words, not by color alone
}

// Says is the word for whether the things differ in it.
func (r TableRow) Says() string {
	if r.Differs {
		return "differs"
	}
	return "the same"
}

// Cell is what to show of one thing.
func (r TableRow) Cell(i int) string {
	if i >= len(r.Cells) || r.Cells[i] == "" {
		return "not said"
	}
	return r.Cells[i]
}
