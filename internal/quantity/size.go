package quantity

import (
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Named is one measure of a size, such as h 12 mm. Name is in lower case, so
// that R and r, which are told apart, are both r; it is "" where the measures
// were given by order.
type Named struct {
	Name string
	Quantity
}

// maxMeasures bounds a size; no shape has more.
const maxMeasures = 8

// ParseSize reads the measures of a shape: "10 x 20 x 5 cm", "d 30 mm h 12 mm",
// "d=30 h=12", "30 mm wide x 12 mm high", "5' 3\" x 2 ft". Bare measures take
// the one unit that the others have, else that of w; a note says so unless a
// unit closes the size.
//
// Errors are those of Parse for each measure; a bare measure beside two
// different units is ambiguous_unit, and a name that is used twice or could
// belong to either neighbor is bad_quantity.
func ParseSize(text string, w Want) ([]Named, []string, error) {
	sizes, notes, err := w.size(text)
	return sizes, notes, in(err, w.Option)
}

func (w Want) size(text string) ([]Named, []string, error) {
	tokens, err := tokenize(text, listLimit, w)
	if err != nil {
		return nil, nil, err
	}
	parts, err := w.sizeParts(numberedNames(tokens), text)
	if err != nil {
		return nil, nil, err
	}
	notes, err := w.shareUnit(parts, text)
	if err != nil {
		return nil, nil, err
	}
	sizes := make([]Named, 0, len(parts))
	for _, p := range parts {
		q, more, err := w.combine(p.terms, p.text())
		if err != nil {
			return nil, nil, err
		}
		notes = append(notes, more...)
		sizes = append(sizes, Named{Name: p.name, Quantity: q})
	}
	return sizes, notes, nil
}

// numberedNames takes a digit into the name before it, where a measure or an
// equals sign follows: d1 80 mm, d2=60.
func numberedNames(tokens []token) []token {
	var out []token
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.kind == wordToken && i+2 < len(tokens) && tokens[i+1].kind == numberToken && len(tokens[i+1].text) == 1 &&
			(tokens[i+2].kind == numberToken || tokens[i+2].isMark("=:")) {
			t.text += tokens[i+1].text
			i++
		}
		out = append(out, t)
	}
	return out
}

// sizePart is one measure: the terms of a compound and the name beside them,
// in lower case and as typed.
type sizePart struct {
	name, typed string
	terms       []term
}

func (p sizePart) text() string {
	words := []string{p.name}
	for _, t := range p.terms {
		words = append(words, t.text, t.word)
	}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// bare reports a measure that was given no unit.
func (p sizePart) bare() bool { return len(p.terms) == 1 && p.terms[0].word == "" }

// sizeParts cuts the tokens at their separators and each piece into measures:
// one, with its name on either side, or several with their names before them.
// In "30 mm wide 12 mm high" the middle word has two neighbors; it is refused.
func (w Want) sizeParts(tokens []token, text string) ([]sizePart, error) {
	var parts []sizePart
	for _, piece := range w.pieces(tokens) {
		leading := len(piece) > 0 && piece[0].kind == wordToken
		for first := true; first || len(piece) > 0; first = false {
			if !first && !leading {
				return nil, w.sizeRefusal(text)
			}
			var part sizePart
			part.typed, piece = sizeName(piece)
			part.terms, piece = w.sizeTerms(piece)
			if len(part.terms) == 0 {
				return nil, w.sizeRefusal(text)
			}
			if !leading {
				part.typed, piece = sizeName(piece)
			}
			part.name = strings.ToLower(part.typed)
			parts = append(parts, part)
		}
	}
	return parts, w.checkNames(parts, text)
}

// pieces cuts at x, "by", commas and semicolons. An x may touch the unit before
// it, 5cmx20cm; before an equals sign it is a name.
func (w Want) pieces(tokens []token) [][]token {
	pieces := [][]token{nil}
	for i, t := range tokens {
		last := &pieces[len(pieces)-1]
		named := i+1 < len(tokens) && tokens[i+1].isMark("=")
		before, timesAfter := strings.CutSuffix(strings.ToLower(t.text), "x")
		switch {
		case t.isMark(",;"), !named && t.kind == wordToken && (strings.EqualFold(t.text, "x") || strings.EqualFold(t.text, "by")):
			pieces = append(pieces, nil)
			continue
		case timesAfter && t.kind == wordToken:
			if u, known := UnitNamed(before, w.System); known && w.takes(u.Dim()) {
				*last = append(*last, token{kind: wordToken, text: before})
				pieces = append(pieces, nil)
				continue
			}
		}
		*last = append(*last, t)
	}
	return pieces
}

// sizeName takes words and the = or : behind them.
func sizeName(piece []token) (string, []token) {
	n := 0
	var words []string
	for n < len(piece) && piece[n].kind == wordToken {
		words = append(words, piece[n].text)
		n++
	}
	if n > 0 && n < len(piece) && piece[n].isMark("=:") {
		n++
	}
	return strings.Join(words, " "), piece[n:]
}

// sizeTerms takes the numbers of one measure with their units. A word that is
// a unit of another dimension is left for a name: l is length here, not liters.
func (w Want) sizeTerms(piece []token) ([]term, []token) {
	var terms []term
	for len(piece) > 0 && piece[0].kind == numberToken {
		t := term{number: piece[0].num}
		if piece = piece[1:]; len(piece) > 1 && piece[0].isMark("-") && piece[1].kind == wordToken {
			piece = piece[1:]
		}
		for words := leadingWords(piece); len(words) > 0; {
			u, word, used := unitAhead(words, w.System)
			if used > 0 && w.takes(u.Dim()) {
				t.unit, t.word, piece = u, word, piece[used:]
				break
			}
			words = words[:max(used, 1)-1]
		}
		terms = append(terms, t)
	}
	return terms, piece
}

func (w Want) checkNames(parts []sizePart, text string) error {
	if len(parts) > maxMeasures {
		return w.refuse(`"%s" has %d measures, more than any shape`, shown(text), len(parts))
	}
	named := make(map[string]bool)
	for _, p := range parts {
		// R and r are two radii of one shape.
		if p.typed != "" && named[p.typed] {
			return w.refuse(`"%s" gives %s twice`, shown(text), shown(p.typed))
		}
		named[p.typed] = true
	}
	if named[""] && len(named) > 1 {
		return w.sizeRefusal(text)
	}
	return nil
}

func (w Want) sizeRefusal(text string) error {
	return w.refuse(`"%s" is not a size`, shown(text)).
		Hint("type the measures by order, such as 10 x 20 x 5 cm, or each with its name before it, such as d 30 mm h 12 mm")
}

// shareUnit gives the bare measures a unit: the one that the others have, else
// that of the option.
func (w Want) shareUnit(parts []sizePart, text string) ([]string, error) {
	bare, typed := 0, make(map[Unit]bool)
	for _, p := range parts {
		if p.bare() {
			bare++
			continue
		}
		for _, t := range p.terms {
			typed[t.unit] = true
		}
	}
	unit := w.bareUnit()
	switch len(typed) {
	case 0:
	case 1:
		for unit = range typed {
		}
	default:
		if bare > 0 {
			return nil, fault.New(fault.AmbiguousUnit, `%s: "%s" has several units, and a number without one`, w.subject(), shown(text)).
				Hint("type a unit behind every number")
		}
	}
	closed := !parts[len(parts)-1].bare()
	for _, p := range parts {
		if p.bare() {
			p.terms[0].unit, p.terms[0].word = unit, unit.Symbol()
		}
	}
	if bare == 0 || closed {
		return nil, nil
	}
	return []string{fmt.Sprintf("numbers without a unit taken as %s", unit.Symbol())}, nil
}
