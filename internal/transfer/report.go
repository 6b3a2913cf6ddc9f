package transfer

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Verdict is what would happen to a row, or did.
type Verdict string

// The verdicts. In the report of an import, Changed rows say in Done what was
// made of them.
const (
	Fresh   Verdict = "new"
	Same    Verdict = "same"
	Changed Verdict = "changed" // there is one of that name, and it says otherwise
	Refused Verdict = "refused"
)

// Entry is a row and what comes of it.
type Entry struct {
	Line     int // as the file's program numbers it
	Name     string
	Verdict  Verdict
	Changes  []Change  // of Changed
	Problems []Problem // of Refused
	Notes    []string
}

// Change is one value that differs from what is kept.
type Change struct{ Column, From, To string }

// Problem is what is wrong with a row: where, what, and what to write.
type Problem struct{ Where, Message, Hint string }

// Part is what comes of the rows of one kind.
type Part struct {
	Kind    Kind
	Entries []Entry
	Done    Done
}

// Done is what an import did; of a look it is zero.
type Done struct{ Added, Replaced, Kept, LeftOut int }

// Report is what comes of a file.
type Report struct {
	Parts []Part
	Left  []string // what the file holds and nothing here knows
}

// Count is how many rows of the part have the verdict.
func (p Part) Count(v Verdict) int {
	n := 0
	for _, e := range p.Entries {
		if e.Verdict == v {
			n++
		}
	}
	return n
}

// Count is how many rows of all parts have the verdict.
func (r Report) Count(v Verdict) int {
	n := 0
	for _, p := range r.Parts {
		n += p.Count(v)
	}
	return n
}

// Rows is how many rows there are in all.
func (r Report) Rows() int {
	n := 0
	for _, p := range r.Parts {
		n += len(p.Entries)
	}
	return n
}

// OnClash is what becomes of a row whose name is taken by something else.
type OnClash string

// What can become of it. The zero value asks.
const (
	Skip    OnClash = "skip"    // what is kept stays as it is
	AddNew  OnClash = "new"     // the row comes in beside it, under a name of its own
	Replace OnClash = "replace" // what is kept becomes what the row says, as a new version
)

// Choice is how to carry an import out.
type Choice struct {
	OnClash OnClash
	SkipBad bool // leave refused rows out; otherwise one of them refuses the file
}

// problem puts an error of a row in its place.
func problem(r row, column string, err error) Problem {
	p := Problem{Where: r.place(column), Message: err.Error(), Hint: "write it as /data export does"}
	if f := fault.As(err); f != nil {
		p.Message = f.Message
		if f.HintText() != "" {
			p.Hint = f.HintText()
		}
	}
	return p
}

// CSV is the report as a table, a row for each thing that is to be said.
func (r Report) CSV() ([]byte, error) {
	var out bytes.Buffer
	out.WriteString("\uFEFF")
	w := csv.NewWriter(&out)
	err := w.Write([]string{"kind", "line", "name", "verdict", "where", "now", "in_the_file", "what_is_wrong", "what_to_write"})
	for _, p := range r.Parts {
		for _, e := range p.Entries {
			for _, rest := range e.details() {
				record := append([]string{string(p.Kind), strconv.Itoa(e.Line), e.Name, string(e.Verdict)}, rest...)
				err = errors.Join(err, w.Write(each(record, guard)))
			}
		}
	}
	w.Flush()
	if err = errors.Join(err, w.Error()); err != nil {
		return nil, fmt.Errorf("write report: %w", err)
	}
	return out.Bytes(), nil
}

// details are what is to be said of a row: at least one line.
func (e Entry) details() [][]string {
	var all [][]string
	for _, c := range e.Changes {
		all = append(all, []string{c.Column, c.From, c.To, "", ""})
	}
	for _, p := range e.Problems {
		all = append(all, []string{p.Where, "", "", p.Message, p.Hint})
	}
	for _, n := range e.Notes {
		all = append(all, []string{"", "", "", n, ""})
	}
	if len(all) == 0 {
		all = append(all, make([]string, 5))
	}
	return all
}

// Text is a row's fate on one line.
func (e Entry) Text() string {
	var said []string
	for _, c := range e.Changes {
		said = append(said, fmt.Sprintf("%s %s → %s", c.Column, c.From, c.To))
	}
	for _, p := range e.Problems {
		said = append(said, fmt.Sprintf("%s: %s; %s", p.Where, p.Message, p.Hint))
	}
	text := string(e.Verdict)
	if len(said) > 0 {
		text += ": " + strings.Join(said, ". ")
	}
	for _, n := range e.Notes {
		text += ". " + n
	}
	return text
}
