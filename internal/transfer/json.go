package transfer

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// jsonReader reads the tokens of a file and refuses what is deeper, longer or
// more than a file of ours can be. It never holds more than one row beside
// those that it gives back.
type jsonReader struct {
	dec    *json.Decoder
	data   []byte
	values int
	at     int64 // where lines were counted up to
	lines  int   // line breaks before it
}

func readJSON(text []byte, kind Kind) (File, error) {
	r := &jsonReader{dec: json.NewDecoder(bytes.NewReader(text)), data: text}
	r.dec.UseNumber()
	file := File{Format: JSON}
	if err := r.open('{', "the file is no JSON object"); err != nil {
		return File{}, err
	}
	seen, schema := map[string]bool{}, ""
	for r.dec.More() {
		name, err := r.key(seen)
		if err != nil {
			return File{}, err
		}
		switch {
		case name == "schema":
			if schema, err = r.schema(); err != nil {
				return File{}, err
			}
		case known(name) && (kind == "" || kind == Kind(name)):
			sheet, left, err := r.sheet(Kind(name))
			if err != nil {
				return File{}, err
			}
			file.Sheets, file.Left = append(file.Sheets, sheet), append(file.Left, left...)
		default:
			if err := r.skip(0); err != nil {
				return File{}, err
			}
			file.Left = append(file.Left, left(name, kind))
		}
	}
	if err := r.end(); err != nil {
		return File{}, err
	}
	return file, complete(file, schema, kind)
}

// left says of a member of the file why it is left out.
func left(name string, kind Kind) string {
	if known(name) {
		return fmt.Sprintf("%s: %s alone were asked for", name, kind)
	}
	return shown(name) + " is not one that is known"
}

// complete refuses a file without its schema or without rows to take.
func complete(f File, schema string, kind Kind) error {
	switch {
	case schema == "":
		return fault.New(fault.BadFile, "the file does not say its schema").Hint(`begin it with {"schema": %q, as /data export does`, Schema)
	case len(f.Sheets) == 0 && kind != "":
		return fault.New(fault.BadFile, "the file holds no %s", kind).Hint("ask for kind:all to take what it has")
	case len(f.Sheets) == 0:
		return fault.New(fault.BadFile, "the file holds nothing that can be taken").Hint("it is to hold materials, molds, tints, formulas, pulls or pours, as /data export makes them")
	}
	total := 0
	for _, s := range f.Sheets {
		total += len(s.rows)
	}
	if total > maxRows {
		return tooManyRows()
	}
	return nil
}

func tooManyRows() error {
	return fault.New(fault.FileTooLarge, "the file has more than %d rows", maxRows).Hint("send it in several files")
}

// schema reads what the file says of itself.
func (r *jsonReader) schema() (string, error) {
	token, err := r.token()
	if err != nil {
		return "", err
	}
	said, _ := token.(string)
	if said != Schema {
		return "", fault.New(fault.BadFile, "the file is in the schema %s, and this reads %s", shown(fmt.Sprint(token)), Schema).
			Hint("export it anew from a program of the same age, or send it as CSV")
	}
	return said, nil
}

// sheet reads the rows of one kind.
func (r *jsonReader) sheet(kind Kind) (Sheet, []string, error) {
	if err := r.open('[', fmt.Sprintf("%s is no list", kind)); err != nil {
		return Sheet{}, nil, err
	}
	heads := headsOfKind(kind)
	columns := make(map[string]head, len(heads))
	for _, h := range heads {
		columns[h.name] = h
	}
	s, strange := Sheet{Kind: kind, style: &style{}}, map[string]bool{}
	var left []string
	for r.dec.More() {
		if len(s.rows) == maxRows {
			return Sheet{}, nil, tooManyRows()
		}
		one, unknown, err := r.row(kind, len(s.rows)+1, columns)
		if err != nil {
			return Sheet{}, nil, err
		}
		for i := range one.cells {
			one.cells[i].style = s.style
		}
		s.rows = append(s.rows, one)
		for _, name := range unknown {
			if !strange[name] && len(strange) < maxCells {
				strange[name] = true
				left = append(left, fmt.Sprintf("%s of %s is not one that is known", shown(name), kind))
			}
		}
	}
	_, err := r.token() // the bracket
	return s, left, err
}

// row reads one object of plain values.
func (r *jsonReader) row(kind Kind, number int, columns map[string]head) (one row, unknown []string, err error) {
	if err := r.open('{', fmt.Sprintf("entry %d of %s is no object", number, kind)); err != nil {
		return row{}, nil, err
	}
	one = row{line: r.line(), entry: number, kind: kind}
	seen := map[string]bool{}
	for r.dec.More() {
		name, err := r.key(seen)
		if err != nil {
			return row{}, nil, err
		}
		h, ok := columns[name]
		if !ok {
			unknown = append(unknown, name)
			if err := r.skip(2); err != nil {
				return row{}, nil, err
			}
			continue
		}
		c, given, err := r.cell(h)
		switch {
		case fault.Is(err, fault.OutOfRange):
			one.bad = append(one.bad, err)
		case err != nil:
			return row{}, nil, err
		case given:
			one.cells = append(one.cells, named{name, c})
		}
	}
	_, err = r.token() // the brace
	return one, unknown, err
}

// cell reads one value; given is false for null and for an empty text.
func (r *jsonReader) cell(h head) (c cell, given bool, err error) {
	token, err := r.token()
	if err != nil {
		return cell{}, false, err
	}
	switch v := token.(type) {
	case nil:
		return cell{}, false, nil
	case json.Number:
		c = cell{text: v.String(), number: true}
	case bool:
		c = cell{text: map[bool]string{true: "yes", false: "no"}[v]}
	case string:
		c = cell{text: v}
	case json.Delim:
		if v != '[' || !h.isList {
			return cell{}, false, fault.New(fault.BadFile, "line %d: %s holds a list or an object where a plain value belongs", r.line(), h.name).
				Hint("write it as /data export does")
		}
		if c.text, err = r.list(h); err != nil {
			return cell{}, false, err
		}
	}
	if len(c.text) > h.most() {
		return cell{}, false, fault.New(fault.OutOfRange, "the text has %d bytes, at most %d fit", len(c.text), h.most()).In(h.name).Hint("shorten it")
	}
	return c, strings.TrimSpace(c.text) != "", nil
}

// list reads texts to the end of their list and joins them as CSV has them.
func (r *jsonReader) list(h head) (string, error) {
	var items []string
	for r.dec.More() {
		token, err := r.token()
		if err != nil {
			return "", err
		}
		text, ok := token.(string)
		if !ok {
			return "", fault.New(fault.BadFile, "line %d: the list %s holds something else than texts", r.line(), h.name).Hint("write it as /data export does")
		}
		if items = append(items, strings.ReplaceAll(text, "\n", " ")); len(items) > maxItems {
			return "", fault.New(fault.HostileFile, "line %d: the list %s has more than %d entries", r.line(), h.name, maxItems).Hint("shorten it")
		}
	}
	_, err := r.token() // the bracket
	return strings.Join(items, "\n"), err
}

// key reads the name of a value and refuses a second of that name: which of
// the two would count is a matter of chance.
func (r *jsonReader) key(seen map[string]bool) (string, error) {
	token, err := r.token()
	if err != nil {
		return "", err
	}
	name, _ := token.(string)
	if len(name) > maxCell || len(seen) >= maxCells {
		return "", fault.New(fault.HostileFile, "line %d: an object has too many names, or one too long", r.line()).Hint("send a file as /data export makes it")
	}
	if seen[name] {
		return "", fault.New(fault.BadFile, "line %d: %s is there twice in one object", r.line(), shown(name)).Hint("keep one of them")
	}
	seen[name] = true
	return name, nil
}

// open wants an opening bracket.
func (r *jsonReader) open(want json.Delim, otherwise string) error {
	token, err := r.token()
	if err != nil {
		return err
	}
	if token != want {
		return fault.New(fault.BadFile, "line %d: %s", r.line(), otherwise).Hint("send a file as /data export makes it")
	}
	return nil
}

// skip passes over a value of any shape, which stands so many levels deep.
func (r *jsonReader) skip(outer int) error {
	for depth, n := 0, 0; ; n++ {
		token, err := r.token()
		if err != nil {
			return err
		}
		switch token {
		case json.Delim('{'), json.Delim('['):
			depth++
		case json.Delim('}'), json.Delim(']'):
			depth--
		}
		switch {
		case depth == 0:
			return nil
		case n > maxSkip:
			return fault.New(fault.HostileFile, "line %d: something of more than %d values is not known here", r.line(), maxSkip).Hint("send a file as /data export makes it")
		case outer+depth > maxDepth:
			return fault.New(fault.HostileFile, "line %d: the file is nested deeper than %d levels", r.line(), maxDepth).Hint("send a file as /data export makes it")
		}
	}
}

// token reads the next one.
func (r *jsonReader) token() (json.Token, error) {
	if r.values++; r.values > maxValues {
		return nil, fault.New(fault.HostileFile, "the file holds more than %d values", maxValues).Hint("send it in several files")
	}
	token, err := r.dec.Token()
	if err == nil {
		return token, nil
	}
	f := fault.New(fault.BadFile, "line %d is not written as JSON", r.line())
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		f = fault.New(fault.BadFile, "the file ends in the middle")
	}
	return nil, f.Hint("send a file as /data export makes it").Because(err)
}

// end wants the closing brace and nothing after it.
func (r *jsonReader) end() error {
	if _, err := r.token(); err != nil {
		return err
	}
	if _, err := r.dec.Token(); err != io.EOF {
		return fault.New(fault.BadFile, "line %d: something follows the end of the file's object", r.line()).Hint("send a file as /data export makes it")
	}
	return nil
}

// line is that of the last token.
func (r *jsonReader) line() int {
	at := min(r.dec.InputOffset(), int64(len(r.data)))
	r.lines += bytes.Count(r.data[r.at:at], []byte{'\n'})
	r.at = at
	return r.lines + 1
}
