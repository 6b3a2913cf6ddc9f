package formula

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/pourwright/pourwright/internal/quantity"
)

// literal is a number with its unit, in the units of a formula.
type literal struct {
	value float64
	kind  kind
	unit  quantity.Unit // the last one typed; NoUnit of a bare number
	bare  float64       // the number as typed
	// currency is the code of a price.
	currency string
}

// literalReader reads numbers for a shop: there a gallon is a US or an imperial
// one.
type literalReader struct {
	system quantity.System
	inHead bool // a bracket behind a number opens a range there
}

// read takes the number at a character and the unit behind it, if one is there,
// and gives the place behind. Where fraction is true 1/2 in is half an inch.
func (r literalReader) read(s *source, at int, fraction bool, names []string) (literal, int, error) {
	v, to, err := s.scanNumber(at)
	if err != nil {
		return literal{}, 0, err
	}
	if fraction {
		if lit, end, found, err := r.fraction(s, at, v, to, names); found || err != nil {
			return lit, end, err
		}
	}
	lit, to, err := r.unit(s, at, v, to, names)
	if err != nil || lit.unit == quantity.NoUnit {
		return lit, to, err
	}
	return r.compound(s, lit, at, to, names)
}

// scanNumber reads digits with a decimal point and an exponent.
func (s *source) scanNumber(at int) (v float64, to int, err error) {
	digits := func(i int) int {
		for i < len(s.runes) && isDigit(s.runes[i]) {
			i++
		}
		return i
	}
	to = digits(at)
	if to-at > 1 && s.runes[at] == '0' {
		return 0, 0, s.wrong(at, "%s begins with a zero", s.text(at, to)).
			Hint("the decimal sign is a point, and digits stand together: 1000, or 1.05")
	}
	if to < len(s.runes) && s.runes[to] == '.' {
		to = digits(to + 1)
	}
	if e := to; e < len(s.runes) && (s.runes[e] == 'e' || s.runes[e] == 'E') {
		if e++; e < len(s.runes) && (s.runes[e] == '+' || s.runes[e] == '-') {
			e++
		}
		if end := digits(e); end > e {
			to = end
		}
	}
	v, err = strconv.ParseFloat(string(s.runes[at:to]), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, 0, s.wrong(at, "%s is no number that can be reckoned with", s.text(at, to)).Hint("type a number such as 12, 2.5 or 1e3")
	}
	return v, to, nil
}

// fraction reads 1/2 in and 2 3/8 in: whole numbers tight at the stroke, with a
// unit behind. Without the unit it is a division, and the place is not found.
func (r literalReader) fraction(s *source, at int, v float64, to int, names []string) (lit literal, end int, found bool, err error) {
	whole, over := 0.0, v
	slash := to
	if next := s.spaces(to); next == to+1 && next < len(s.runes) && isDigit(s.runes[next]) {
		n, end, err := s.scanNumber(next)
		if err != nil {
			return literal{}, 0, false, err
		}
		whole, over, slash = v, n, end
	}
	if slash+1 >= len(s.runes) || s.runes[slash] != '/' || !isDigit(s.runes[slash+1]) {
		return literal{}, 0, false, nil
	}
	under, end, err := s.scanNumber(slash + 1)
	if err != nil || under == 0 || over != math.Trunc(over) || under != math.Trunc(under) || whole != math.Trunc(whole) {
		return literal{}, 0, false, err
	}
	lit, end, err = r.unit(s, at, whole+over/under, end, names)
	if err != nil || lit.unit == quantity.NoUnit {
		return literal{}, 0, false, nil // the reader comes by here again
	}
	return lit, end, true, nil
}

// unit reads what stands behind a number.
func (r literalReader) unit(s *source, at int, v float64, to int, names []string) (literal, int, error) {
	lit := literal{value: v, kind: plain, bare: v}
	next := s.spaces(to)
	if next < len(s.runes) && s.runes[next] == '%' {
		if after := s.spaces(next + 1); after < len(s.runes) && startsOperand(s.runes[after]) && !(r.inHead && s.runes[after] == '(') && !r.rangeGoesOn(s, after) {
			return lit, 0, s.wrong(next, "%% is a percentage here and a value follows it").
				Hint("for the rest of a division type mod(7, 3), for 10 %% of x type 10 %% * x")
		}
		lit.value, lit.unit = quantity.PercentSign.Base(v), quantity.PercentSign
		return lit, next + 1, nil
	}
	if next == len(s.runes) || !startsUnit(s.runes[next]) {
		return lit, to, nil
	}
	words := s.unitWords(next)
	if w := words[0].text; operatorWord(w) || w == "to" {
		return lit, to, nil
	}
	if d, ok := differences[strings.ToLower(words[0].text)]; ok {
		lit.value, lit.kind, lit.unit = v/d.Span(1), degrees, d
		return lit, words[0].to, nil
	}
	u, end, ok := r.longest(s, words)
	own, isDerived := derivedUnits[words[0].text]
	switch {
	case isDerived:
		end, lit.kind, lit.unit, lit.value = words[0].to, own.kind, quantity.One, v*own.value
	case ok:
		lit.unit, lit.kind, lit.value = u, of(u.Dim()), inward(u.Base(v), u.Dim())
	case isCurrency(words[0].text):
		end, lit.kind, lit.unit, lit.currency = words[0].to, money, quantity.One, words[0].text
	default:
		return lit, 0, s.wrong(next, "%q is no unit", words[0].text).
			Hint("type a unit such as g, ml, mm, min or C; to multiply type * between, such as %s * %s", s.text(at, to), words[0].text)
	}
	if math.IsInf(lit.value, 0) || math.IsNaN(lit.value) {
		return lit, 0, s.wrong(at, "%s is no amount", s.text(at, end)).Hint("type an amount above zero")
	}
	if err := s.noPower(lit, at, to, end); err != nil {
		return lit, 0, err
	}
	return r.per(s, lit, end, names)
}

// rangeGoesOn sees the "to" of a range in the head.
func (r literalReader) rangeGoesOn(s *source, at int) bool {
	_, is := s.keyword(at, "to")
	return r.inHead && is
}

// differences are units of a difference of temperatures: 5 dC warmer.
var differences = map[string]quantity.Unit{"dc": quantity.Celsius, "df": quantity.Fahrenheit, "dk": quantity.Kelvin}

// noPower refuses 2 cm^3, which is 2 cm³ to one reader and 8 cm³ to another.
func (s *source) noPower(lit literal, at, number, end int) error {
	if lit.kind != of(quantity.Length) || end+1 >= len(s.runes) || s.runes[end] != '^' || !isDigit(s.runes[end+1]) {
		return nil
	}
	unit := strings.TrimSpace(string(s.runes[number:end]))
	n, p := s.text(at, number), string(s.runes[end+1])
	return s.wrong(end, "%s %s^%s can be read in two ways", n, unit, p).Hint("type %s %s%s, or (%s %s)^%s", n, unit, p, n, unit, p)
}

// per reads a unit of the form g/mm or GBP/kg that has no name of its own. A
// name that was set in the formula is no unit there.
func (r literalReader) per(s *source, lit literal, end int, names []string) (literal, int, error) {
	if end+1 >= len(s.runes) || s.runes[end] != '/' || !startsUnit(s.runes[end+1]) || lit.kind.point {
		return lit, end, nil
	}
	word := s.unitWords(end + 1)[0]
	u, ok := quantity.UnitNamed(word.text, r.system)
	below := of(u.Dim())
	if !ok || below.point || u == quantity.CubicInchPerPound {
		return lit, end, nil
	}
	if slices.Contains(names, word.text) {
		return lit, end, s.wrong(end+1, "%s is a name of yours and a unit as well", word.text).
			Hint("type a space after the stroke to divide by %s, or give it another name", word.text)
	}
	powers, ok := lit.kind.dims.sub(below.dims)
	if !ok {
		return lit, end, nil
	}
	lit.kind = kind{dims: powers}
	lit.value /= inward(u.Base(1), u.Dim())
	return lit, word.to, nil
}

// compound adds smaller units that follow at once: 1 lb 4 oz.
func (r literalReader) compound(s *source, lit literal, at, to int, names []string) (literal, int, error) {
	for {
		next := s.spaces(to)
		if next == len(s.runes) || !isDigit(s.runes[next]) {
			return lit, to, nil
		}
		v, end, err := s.scanNumber(next)
		if err != nil {
			return lit, 0, err
		}
		part, end, err := r.unit(s, next, v, end, names)
		if err != nil {
			return lit, 0, err
		}
		d := part.unit.Dim()
		adds := part.kind == lit.kind && (d == quantity.Mass || d == quantity.Volume || d == quantity.Length || d == quantity.Time) &&
			part.unit.Base(1) < lit.unit.Base(1)
		if !adds {
			return lit, 0, s.wrong(next, "a sign is missing between %s and %s", s.text(at, to), s.text(next, end)).
				Hint("type + - * or / between them")
		}
		lit.value += part.value
		lit.unit = part.unit
		to = end
	}
}

// word is a run of letters and digits.
type word struct {
	text     string
	from, to int
}

// unitWords are the words that may spell a unit from that character on: at most
// four, with one space or a stroke between two of them.
func (s *source) unitWords(at int) []word {
	var words []word
	for len(words) < 4 {
		to := at
		for to < len(s.runes) && isUnitRune(s.runes[to]) {
			to++
		}
		if to == at {
			break
		}
		words = append(words, word{string(s.runes[at:to]), at, to})
		if to+1 >= len(s.runes) || s.runes[to] != ' ' && s.runes[to] != '/' || !startsUnit(s.runes[to+1]) {
			break
		}
		at = to + 1
	}
	return words
}

// longest finds the unit that the most of the words spell: fl oz before fl.
func (r literalReader) longest(s *source, words []word) (u quantity.Unit, to int, ok bool) {
	for _, w := range words {
		if found, known := quantity.UnitNamed(string(s.runes[words[0].from:w.to]), r.system); known {
			u, to, ok = found, w.to, true
		}
	}
	return u, to, ok
}

// isCurrency sees the three capitals of ISO 4217.
func isCurrency(w string) bool {
	return len(w) == 3 && strings.IndexFunc(w, func(r rune) bool { return r < 'A' || r > 'Z' }) < 0
}

// spaces skips blanks within a line.
func (s *source) spaces(at int) int {
	for at < len(s.runes) && s.runes[at] != '\n' && unicode.IsSpace(s.runes[at]) {
		at++
	}
	return at
}

func startsUnit(r rune) bool { return unicode.IsLetter(r) || r == '°' }

func isUnitRune(r rune) bool { return startsUnit(r) || isDigit(r) || r == '²' || r == '³' }

func startsOperand(r rune) bool {
	return unicode.IsLetter(r) || isDigit(r) || r == '(' || r == '.' || quotes[r] != 0
}
