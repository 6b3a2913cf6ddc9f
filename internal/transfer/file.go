package transfer

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// File is what was read of a stranger's file.
type File struct {
	Format Format
	Sheets []Sheet
	// Left names what the file holds and nothing here knows.
	Left []string
}

// Sheet is the rows of one kind.
type Sheet struct {
	Kind  Kind
	rows  []row
	style *style
	// columns are those that a table has; nil where each row says for itself
	// what it has, as in JSON.
	columns map[string]bool
}

// row is one row's cells by the name of their column.
type row struct {
	line  int // as the file's program numbers it: the head is 1
	entry int // of a list of JSON, from 1; 0 in a table
	kind  Kind
	spots map[string]int // where a table has its columns
	cells []named
	bad   []error // found while reading
}

// named is a cell with its column.
type named struct {
	name string
	cell
}

// cell finds one by its column.
func (r row) cell(column string) (cell, bool) {
	for _, c := range r.cells {
		if c.name == column {
			return c.cell, true
		}
	}
	return cell{}, false
}

// place says where in the file a column of the row is.
func (r row) place(column string) string {
	if r.entry > 0 {
		return fmt.Sprintf("entry %d of %s (line %d), %s", r.entry, r.kind, r.line, column)
	}
	if column == "" { // the whole of it
		return fmt.Sprintf("line %d", r.line)
	}
	if i, ok := r.spots[column]; ok {
		return fmt.Sprintf("line %d, column %s (%s)", r.line, letters(i), column)
	}
	return fmt.Sprintf("line %d, %s", r.line, column)
}

// Read turns bytes into rows, within limits. kind says what a CSV file holds;
// of a JSON file, which says so itself, it takes that kind alone, or all of
// them where it is empty. Errors: bad_file, file_too_large, hostile_file;
// missing_option for a CSV file without a kind.
func Read(data []byte, kind Kind) (File, error) {
	if len(data) > MaxBytes {
		return File{}, fault.New(fault.FileTooLarge, "the file has %d bytes, and %d MB are read", len(data), MaxBytes>>20).
			Hint("send it in several files")
	}
	text, err := decode(data)
	if err != nil {
		return File{}, err
	}
	trimmed := bytes.TrimSpace(text)
	switch {
	case len(trimmed) == 0:
		return File{}, fault.New(fault.BadFile, "the file is empty").Hint("send one as /data export makes it")
	case trimmed[0] == '{' || trimmed[0] == '[':
		return readJSON(text, kind)
	case kind == "":
		return File{}, fault.New(fault.MissingOption, "a CSV file does not say what it holds").In("kind").
			Hint("say kind:materials, or kind:molds, tints, formulas, pulls or pours")
	}
	return readCSV(text, kind)
}

// decode gives the text in UTF-8 without a mark at its head.
func decode(data []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return nil, fault.New(fault.BadFile, "that is a spreadsheet's own format or another archive").Hint("save it as CSV in UTF-8 and send that")
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		data = data[3:]
	case wide(data) != nil:
		whole, err := wide(data).NewDecoder().Bytes(data)
		if err != nil || len(data)%2 != 0 {
			return nil, fault.New(fault.BadFile, "the file is not whole UTF-16 text").Hint("save it as CSV in UTF-8 and send that").Because(err)
		}
		data = whole
	}
	if at := firstBad(data); at >= 0 {
		return nil, fault.New(fault.BadFile, "the file is no UTF-8 text: line %d holds other bytes", 1+bytes.Count(data[:at], []byte{'\n'})).
			Hint("save it as CSV in UTF-8 and send that")
	}
	return data, nil
}

// Left over columns and kinds are told in this form.
func unknownColumn(place, name string) string {
	if name == "" {
		return fmt.Sprintf("%s has no name", place)
	}
	return fmt.Sprintf("%s, %s, is not one that is known", place, shown(name))
}

// letters is a spreadsheet's name of a column: 0 is A, 26 is AA.
func letters(i int) string {
	name := ""
	for i++; i > 0; i = (i - 1) / 26 {
		name = string(rune('A'+(i-1)%26)) + name
	}
	return name
}

// plainHead folds a head: "Pot life (s)" is pot_life_s.
func plainHead(text string) string {
	folded := strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '/', '.', '\u00a0', '\n', '\t':
			return '_'
		case '(', ')', '[', ']', '°', '\r':
			return -1
		}
		return r
	}, strings.ToLower(strings.TrimSpace(text)))
	for strings.Contains(folded, "__") {
		folded = strings.ReplaceAll(folded, "__", "_")
	}
	return strings.Trim(folded, "_")
}
