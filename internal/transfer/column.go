package transfer

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// value is what a column holds of one row: a text, a number, or several texts.
// The zero value is "not said", an empty cell.
type value struct {
	text   string
	num    float64
	isNum  bool
	isText bool
	list   []string // written as a list in JSON, with semicolons in CSV
}

func textValue(s string) value { return value{text: s, isText: s != ""} }
func numValue(v float64) value { return value{num: v, isNum: true} }
func (v value) said() bool     { return v.isNum || v.isText || len(v.list) > 0 }

// numberText writes all digits of a number, so that it reads back as itself.
func numberText(v float64) string {
	if size := math.Abs(v); v != 0 && (size < 1e-6 || size >= 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func instantText(t time.Time) value {
	if t.IsZero() {
		return value{}
	}
	return textValue(t.UTC().Format(time.RFC3339Nano))
}

// column is one named value of a P, in a fixed unit.
type column[P any] struct {
	name   string // as the file has it, with its unit: "pot_life_s"
	stem   string // without the unit, as a command's option has it: "pot_life"
	doc    string
	dim    quantity.Dim
	base   quantity.Unit // NoUnit for texts
	get    func(p *P) value
	set    func(p *P, c cell) error
	isList bool
}

// head is a column without its type.
type head struct {
	name, stem, doc string
	dim             quantity.Dim
	base            quantity.Unit
	isList          bool
}

func headsOf[P any](columns []column[P]) []head {
	all := make([]head, len(columns))
	for i, c := range columns {
		all[i] = head{c.name, c.stem, c.doc, c.dim, c.base, c.isList}
	}
	return all
}

// most is how many bytes a cell of the column may have.
func (h head) most() int {
	if h.isList {
		return maxList
	}
	return maxCell
}

// suffixes are the units of columns.
var suffixes = map[quantity.Unit]string{
	quantity.Second: "_s", quantity.Gram: "_g", quantity.Milliliter: "_ml", quantity.Millimeter: "_mm",
	quantity.Celsius: "_c", quantity.GramPerMilliliter: "_g_ml",
}

// amount is a column of a quantity that is zero where it is not said.
func amount[P any](stem string, base quantity.Unit, doc string, at func(*P) *float64) column[P] {
	return column[P]{
		name: stem + suffixes[base], stem: stem, doc: doc, dim: base.Dim(), base: base,
		get: func(p *P) value {
			if *at(p) == 0 {
				return value{}
			}
			return numValue(*at(p))
		},
		set: func(p *P, c cell) (err error) { *at(p), err = c.value(stem, base.Dim(), base); return err },
	}
}

// always is amount for what can be zero and is always said.
func (c column[P]) always(at func(*P) *float64) column[P] {
	c.get = func(p *P) value { return numValue(*at(p)) }
	return c
}

// named gives a column another name than its stem and unit.
func (c column[P]) named(name string) column[P] { c.name = name; return c }

// degrees is a column of a temperature that need not be said.
func degrees[P any](stem, doc string, at func(*P) **float64) column[P] {
	return column[P]{
		name: stem + suffixes[quantity.Celsius], stem: stem, doc: doc, dim: quantity.Temp, base: quantity.Celsius,
		get: func(p *P) value {
			if *at(p) == nil {
				return value{}
			}
			return numValue(**at(p))
		},
		set: func(p *P, c cell) error {
			v, err := c.value(stem, quantity.Temp, quantity.Celsius)
			*at(p) = &v
			return err
		},
	}
}

// words is a column of a text of at most so many characters.
func words[P any](name string, most int, paragraphs bool, doc string, at func(*P) *string) column[P] {
	return column[P]{
		name: name, stem: name, doc: doc,
		get: func(p *P) value { return textValue(*at(p)) },
		set: func(p *P, c cell) (err error) { *at(p), err = c.words(most, paragraphs); return err },
	}
}

// parsed is a column of a text with a reader of its own.
func parsed[P any](name, doc string, show func(*P) string, read func(p *P, text string) error) column[P] {
	return column[P]{
		name: name, stem: name, doc: doc,
		get: func(p *P) value { return textValue(show(p)) },
		set: func(p *P, c cell) error {
			text, err := c.words(maxWords, false)
			if err != nil {
				return err
			}
			return read(p, text)
		},
	}
}

// maxWords bounds a text that is read further.
const maxWords = 300

// count is a column of a whole number; said tells whether zero is written.
func count[P any](name string, low, high int, zeroSaid bool, doc string, at func(*P) *int) column[P] {
	return column[P]{
		name: name, stem: name, doc: doc, dim: quantity.Number, base: quantity.One,
		get: func(p *P) value {
			if *at(p) == 0 && !zeroSaid {
				return value{}
			}
			return numValue(float64(*at(p)))
		},
		set: func(p *P, c cell) (err error) { *at(p), err = c.count(low, high); return err },
	}
}

// timeAt is a time as a column reads it.
type timeAt time.Time

// instant is a column of a moment, in UTC.
func instant[P any](name, doc string, at func(*P) *timeAt) column[P] {
	return column[P]{
		name: name, stem: name, doc: doc,
		get: func(p *P) value { return instantText(time.Time(*at(p))) },
		set: func(p *P, c cell) error {
			when, err := c.instant()
			*at(p) = timeAt(when)
			return err
		},
	}
}

// yesNo is a column of a truth; no is written as nothing.
func yesNo[P any](name, doc string, at func(*P) *bool) column[P] {
	return column[P]{
		name: name, stem: name, doc: doc,
		get: func(p *P) value {
			if *at(p) {
				return textValue("yes")
			}
			return value{}
		},
		set: func(p *P, c cell) (err error) { *at(p), err = c.yes(); return err },
	}
}

// list is a column of several texts, each read on its own.
func list[P any](name, doc string, items func(*P) []string, add func(p *P, item string) error) column[P] {
	return column[P]{
		name: name, stem: name, doc: doc, isList: true,
		get: func(p *P) value { return value{list: items(p)} },
		set: func(p *P, c cell) error {
			all := splitLines(c.text)
			if len(all) > maxItems {
				return fault.New(fault.OutOfRange, "the list has %d entries, at most %d fit", len(all), maxItems).Hint("shorten it")
			}
			for _, item := range all {
				if err := add(p, item); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// maxItems bounds the entries of a list.
const maxItems = 200

func splitLines(text string) []string {
	var all []string
	for _, line := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		if line = strings.TrimSpace(line); line != "" {
			all = append(all, line)
		}
	}
	return all
}

// cellOf is a value as a cell that reads back as itself.
func cellOf(v value) cell {
	switch {
	case v.isNum:
		return cell{text: numberText(v.num), number: true}
	case v.list != nil:
		return cell{text: strings.Join(v.list, "\n")}
	}
	return cell{text: v.text}
}

// same compares what a column holds of two.
func (v value) same(w value) bool {
	return v.isNum == w.isNum && v.num == w.num && v.text == w.text && slices.Equal(v.list, w.list)
}

// shown is a value for people.
func (v value) shown() string {
	switch {
	case !v.said():
		return "not said"
	case v.isNum:
		return numberText(v.num)
	case len(v.list) > 0:
		return fault.Echo(strings.Join(v.list, "; "))
	}
	return fault.Echo(strings.ReplaceAll(v.text, "\n", " "))
}
