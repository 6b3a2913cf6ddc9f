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
	heads := headsOfKind(kind)
	sep := hinted
	if sep == 0 {
		sep = bestSeparator(text, heads)
	}
	r := csvReader{data: text, line: 1, kind: kind}
	if hinted != 0 {
		r.line, r.before = 2, 1
	}
	if n, line := widest(text, byte(sep)); n > maxCells {
		return File{}, fault.New(fault.HostileFile, "line %d has %d fields, at most %d are read", line+r.before, n, maxCells).Hint("keep the columns that /data export makes")
	}
	r.csv = csv.NewReader(bytes.NewReader(text))
	r.csv.Comma, r.csv.FieldsPerRecord, r.csv.ReuseRecord = sep, -1, true
	names, _, err := r.next()
	if err == io.EOF {
		return File{}, fault.New(fault.BadFile, "the file has no rows").Hint("its first row names the columns")
	}
	if err != nil {
		return File{}, err
	}
	names = slices.Clone(names)
	found, left, err := placeHeads(names, heads)
	if err != nil {
		return File{}, err
	}
	sheet := Sheet{Kind: kind, style: &style{}, columns: map[string]bool{}}
	r.style, r.spots = sheet.style, map[string]int{}
	for i, s := range found {
		sheet.columns[s.name], r.spots[s.name] = true, i
	}
	var extra []string
	if sheet.rows, extra, err = r.rows(found, names); err != nil {
		return File{}, err
	}
	*sheet.style = styleOf(sheet.rows, sep)
	return File{Format: CSV, Sheets: []Sheet{sheet}, Left: append(left, extra...)}, nil
}

// widest counts the fields of the row that has most, before anything is made
// of them: sixteen million commas are sixteen megabytes, and as many fields
// forty times that. Up to the first error of the file it counts as the reader
// does. line is where that row begins.
func widest(text []byte, sep byte) (most, line int) {
	fields, at, start, quoted := 1, 1, 1, false
	for _, b := range text {
		switch {
		case b == '"':
			quoted = !quoted
		case b == '\n':
			at++
			if !quoted {
				fields, start = 1, at
			}
		case b == sep && !quoted:
			if fields++; fields > most {
				most, line = fields, start
			}
		}
	}
	return most, line
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

// maxHead bounds the first row where it is looked through for its separator.
const maxHead = 16 << 10

// bestSeparator is the one that makes most known columns of the first row.
// Names of columns hold none, so nothing needs to be known of quotation marks.
func bestSeparator(text []byte, heads []head) rune {
	line, _, _ := bytes.Cut(bytes.TrimLeft(text, "\r\n"), []byte{'\n'})
	line = line[:min(len(line), maxHead)]
	best, most := separators[0], 0
	for _, sep := range separators {
		n := 0
		for _, name := range strings.Split(string(line), string(sep)) {
			if _, ok := findHead(strings.Trim(name, "\" \r"), heads); ok {
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

	kind  Kind
	spots map[string]int
	style *style
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
		if one, ok := r.row(record, line, found, names, nameless); ok {
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
func (r *csvReader) row(record []string, line int, found map[int]spot, names []string, nameless map[int]bool) (one row, ok bool) {
	one = row{line: line, kind: r.kind, spots: r.spots}
	wide := false
	for i, text := range record {
		if strings.TrimSpace(text) == "" {
			continue
		}
		ok = true
		s, known := found[i]
		switch {
		case i >= len(names):
			wide = true
		case !known && strings.TrimSpace(names[i]) == "":
			nameless[i] = true
		case !known:
		case len(text) > s.most():
			one.bad = append(one.bad, fault.New(fault.OutOfRange, "the text has %d bytes, at most %d fit", len(text), s.most()).In(s.name).Hint("shorten it"))
		default:
			if one.cells == nil {
				one.cells = make([]named, 0, min(len(record)-i, len(found)))
			}
			one.cells = append(one.cells, named{s.name, cell{text: unguard(strings.Clone(text)), unit: s.unit, needs: s.needs, sized: s.base != quantity.NoUnit, style: r.style}})
		}
	}
	if wide { // 12,5 between commas is two fields, and 12 would be the wrong number
		one.bad = append(one.bad, fault.New(fault.BadFile, "it has more fields than the first row names").
			Hint("decimals want a point, and a text with the sign between fields wants quotation marks around it"))
	}
	return one, ok
}

// styleOf tells how the file writes decimals. Commas are that only between
// semicolons and tabs, and only where nothing in the file says otherwise.
func styleOf(rows []row, sep rune) style {
	var commas, points bool
	for _, r := range rows {
		for _, c := range r.cells {
			if !c.sized {
				continue
			}
			num := leadingNumber(strings.TrimSpace(c.text))
			commas = commas || strings.Contains(num, ",") && decimalComma.MatchString(num)
			points = points || strings.Contains(num, ".") && decimalPoint.MatchString(num)
		}
	}
	return style{points: sep == ',', comma: sep != ',' && commas && !points}
}
