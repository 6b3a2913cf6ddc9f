package transfer

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// separators are what may stand between fields, the usual one first.
var separators = []rune{',', ';', '\t'}

// readCSV reads the rows of one kind.
func readCSV(text []byte, kind Kind) (File, error) {
	text, hinted := separatorLine(oldBreaks(text))
	sheet := headsOfKind(kind)
	sep := hinted
	if sep == 0 {
		sep = bestSeparator(text, sheet)
	}
	r := csvReader{data: text, line: 1}
	if hinted != 0 {
		r.line, r.before = 2, 1
	}
	r.csv = csv.NewReader(bytes.NewReader(text))
	r.csv.Comma, r.csv.FieldsPerRecord = sep, -1
	names, _, err := r.next()
	if err == io.EOF {
		return File{}, fault.New(fault.BadFile, "the file has no rows").Hint("its first row names the columns")
	}
	if err != nil {
		return File{}, err
	}
	found, left, err := placeHeads(names, sheet)
	if err != nil {
		return File{}, err
	}
	rows, extra, err := r.rows(found, names)
	if err != nil {
		return File{}, err
	}
	style(rows, sep)
	columns := map[string]bool{}
	for _, s := range found {
		columns[s.name] = true
	}
	return File{Format: CSV, Sheets: []Sheet{{Kind: kind, rows: rows, columns: columns}}, Left: append(left, extra...)}, nil
}

// oldBreaks turns the single carriage returns of old spreadsheets into line
// breaks.
func oldBreaks(text []byte) []byte {
	if bytes.IndexByte(text, '\n') < 0 {
		return bytes.ReplaceAll(text, []byte{'\r'}, []byte{'\n'})
	}
	return text
}

// separatorLine takes a first line "sep=;" off, which spreadsheets write.
func separatorLine(text []byte) (rest []byte, sep rune) {
	line, rest, ok := bytes.Cut(text, []byte{'\n'})
	line = bytes.Trim(bytes.TrimRight(line, "\r"), `"`)
	if word, found := bytes.CutPrefix(line, []byte("sep=")); ok && found && len(word) == 1 && strings.ContainsRune(",;\t", rune(word[0])) {
		return rest, rune(word[0])
	}
	return text, 0
}

// bestSeparator is the one that makes most known columns of the first row.
func bestSeparator(text []byte, heads []head) rune {
	best, most := separators[0], 0
	for _, sep := range separators {
		r := csv.NewReader(bytes.NewReader(text))
		r.Comma, r.FieldsPerRecord, r.LazyQuotes = sep, -1, true
		names, err := r.Read()
		if err != nil {
			continue
		}
		n := 0
		for _, name := range names {
			if _, ok := findHead(name, heads); ok {
				n++
			}
		}
		if n > most {
			best, most = sep, n
		}
	}
	return best
}

// spot is a column of the file that is known.
type spot struct {
	head
	unit  quantity.Unit // of bare numbers, where the file's head names another
	needs bool          // the file's head names no unit
}

// findHead finds the column that a head of the file means: by its name, or by
// its stem with another unit, or none.
func findHead(name string, heads []head) (spot, bool) {
	folded := plainHead(name)
	if folded == "" {
		return spot{}, false
	}
	for _, h := range heads {
		if h.name == folded {
			return spot{head: h}, true
		}
	}
	for _, h := range heads {
		if h.stem == folded {
			return spot{head: h, needs: h.name != h.stem}, true
		}
		rest, ok := strings.CutPrefix(folded, h.stem+"_")
		if !ok || h.base == quantity.NoUnit {
			continue
		}
		unit, ok := quantity.UnitNamed(strings.ReplaceAll(rest, "_", "/"), quantity.Metric)
		if ok && unit.Dim() == h.dim && h.dim != quantity.Number {
			return spot{head: h, unit: unit}, true
		}
		if rest == "percent" && h.dim == quantity.Number {
			return spot{head: h, unit: quantity.PercentSign}, true
		}
	}
	return spot{}, false
}

// placeHeads says which column of the file is which. Two that are the same are
// refused, and a file with none of them.
func placeHeads(names []string, heads []head) (map[int]spot, []string, error) {
	if len(names) > maxCells {
		return nil, nil, fault.New(fault.HostileFile, "the file has %d columns, at most %d are read", len(names), maxCells).Hint("keep the columns that /data export makes")
	}
	found, by := map[int]spot{}, map[string]int{}
	var left []string
	for i, name := range names {
		s, ok := findHead(name, heads)
		if !ok {
			if strings.TrimSpace(name) != "" {
				left = append(left, unknownColumn("column "+letters(i), name))
			}
			continue
		}
		if first, twice := by[s.name]; twice {
			return nil, nil, fault.New(fault.BadFile, "columns %s and %s are both %s", letters(first), letters(i), s.name).Hint("keep one of them")
		}
		by[s.name], found[i] = i, s
	}
	if len(found) == 0 {
		return nil, nil, fault.New(fault.BadFile, "the first row names no column that is known: %s", shown(strings.Join(names, " "))).
			Hint("its first row is to say %s …", headNames(heads, 4))
	}
	return found, left, nil
}

func headNames(heads []head, most int) string {
	var names []string
	for _, h := range heads[:min(len(heads), most)] {
		names = append(names, h.name)
	}
	return strings.Join(names, ", ")
}

// csvReader reads records and counts rows as a spreadsheet does: a line break
// inside quotes makes no new row, an empty line does.
type csvReader struct {
	csv    *csv.Reader
	data   []byte
	line   int   // of the next row, as a spreadsheet numbers it
	seen   int   // lines of the text that are read
	before int   // lines that were taken off
	at     int64 // where the text was counted up to
}

// next gives a record with its row number.
func (r *csvReader) next() ([]string, int, error) {
	record, err := r.csv.Read()
	if err == io.EOF {
		return nil, 0, err
	}
	if err != nil {
		return nil, 0, r.explain(err)
	}
	start, _ := r.csv.FieldPos(0)
	row := r.line + start - 1 - r.seen // after empty lines, which the reader skips
	end := r.csv.InputOffset()
	r.seen += bytes.Count(r.data[r.at:end], []byte{'\n'})
	r.at, r.line = end, row+1
	return record, row, nil
}

// explain puts a broken file in words.
func (r *csvReader) explain(err error) error {
	var p *csv.ParseError
	if !errors.As(err, &p) {
		return fmt.Errorf("read csv: %w", err)
	}
	f := fault.New(fault.BadFile, "line %d is not written as CSV, at its character %d", p.Line+r.before, p.Column).Because(err)
	if errors.Is(p.Err, csv.ErrQuote) || errors.Is(p.Err, csv.ErrBareQuote) {
		f = fault.New(fault.BadFile, "line %d has a quotation mark that does not close, at its character %d", p.Line+r.before, p.Column).Because(err)
	}
	return f.Hint(`put a field with a quotation mark into quotation marks and double the mark, such as "5"" tube", or save the sheet as CSV anew`)
}

// rows reads all that follows the head. Rows of nothing are left out.
func (r *csvReader) rows(found map[int]spot, names []string) (all []row, left []string, err error) {
	nameless := map[int]bool{}
	for {
		record, line, err := r.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, nil, err
		}
		one, ok, err := r.row(record, line, found, names, nameless)
		if err != nil {
			return nil, nil, err
		}
		if ok {
			all = append(all, one)
		}
		if len(all) > maxRows {
			return nil, nil, fault.New(fault.FileTooLarge, "the file has more than %d rows", maxRows).Hint("send it in several files")
		}
	}
	for _, i := range slices.Sorted(maps.Keys(nameless)) {
		left = append(left, unknownColumn("column "+letters(i), ""))
	}
	return all, left, nil
}

// row reads one record; ok is false for one of nothing.
func (r *csvReader) row(record []string, line int, found map[int]spot, names []string, nameless map[int]bool) (row, bool, error) {
	if len(record) > maxCells {
		return row{}, false, fault.New(fault.HostileFile, "line %d has %d fields, at most %d are read", line, len(record), maxCells).Hint("keep the columns that /data export makes")
	}
	one := row{line: line, cells: make(map[string]cell, len(found))}
	at := make(map[string]int, len(found))
	filled := false
	for i, text := range record {
		if strings.TrimSpace(text) == "" {
			continue
		}
		filled = true
		s, known := found[i]
		switch {
		case !known && (i >= len(names) || strings.TrimSpace(names[i]) == ""):
			nameless[i] = true
		case !known:
		case len(text) > s.most():
			one.bad = append(one.bad, fault.New(fault.OutOfRange, "the text has %d bytes, at most %d fit", len(text), s.most()).In(s.name).Hint("shorten it"))
		default:
			one.cells[s.name] = cell{text: unguard(text), unit: s.unit, needs: s.needs, sized: s.base != quantity.NoUnit}
			at[s.name] = i
		}
	}
	for i, s := range found {
		if _, ok := at[s.name]; !ok {
			at[s.name] = i
		}
	}
	one.place = func(column string) string {
		if i, ok := at[column]; ok {
			return fmt.Sprintf("line %d, column %s (%s)", line, letters(i), column)
		}
		return fmt.Sprintf("line %d, %s", line, column)
	}
	return one, filled, nil
}

// style tells how the file writes decimals. Commas are that only between
// semicolons and tabs, and only where nothing in the file says otherwise.
func style(rows []row, sep rune) {
	var commas, points bool
	for _, r := range rows {
		for _, c := range r.cells {
			if !c.sized {
				continue
			}
			num := leadingNumber.FindString(strings.TrimSpace(c.text))
			commas = commas || decimalComma.MatchString(num)
			points = points || decimalPoint.MatchString(num)
		}
	}
	for _, r := range rows {
		for name, c := range r.cells {
			c.points, c.comma = sep == ',', sep != ',' && commas && !points
			r.cells[name] = c
		}
	}
}
