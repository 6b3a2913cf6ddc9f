package quantity

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Parse reads one quantity: a number with a unit, a compound such as "1 lb
// 4 oz", or a bare number in the unit that w gives it. Units are case-free but
// for K, and may touch their number. A time of day is no time span, but 1:02:30
// is h:min:s; with one colon it could be either and is refused.
//
// The notes tell the member what was assumed: the unit of a bare number, whose
// ounce or gallon. Errors are faults that name w.Option: bad_quantity (not a
// quantity, wrong dimension), ambiguous_unit, ambiguous_number, out_of_range.
func Parse(text string, w Want) (Quantity, []string, error) {
	tokens, err := tokenize(text, textLimit, w)
	if err != nil {
		return Quantity{}, nil, in(err, w.Option)
	}
	q, notes, err := w.measure(tokens, text)
	if err != nil {
		return Quantity{}, nil, in(err, w.Option)
	}
	return q, notes, nil
}

// in names the option that a refusal is about.
func in(err error, option string) error {
	if f := fault.As(err); f != nil {
		return f.In(option)
	}
	return err
}

func tokenize(text string, limit int, w Want) ([]token, error) {
	if len(text) > limit {
		return nil, w.refuse("the text is %d characters long, more than the %d that are read", len(text), limit)
	}
	tokens, bad := lex(clean(text))
	switch {
	case bad != "":
		return nil, w.refuse(`"%s" is not a number that can be read`, shown(bad))
	case len(tokens) == 0:
		return nil, w.refuse("nothing was typed")
	}
	return tokens, nil
}

// measure reads the tokens of one quantity; text is for messages.
func (w Want) measure(tokens []token, text string) (Quantity, []string, error) {
	if q, found, err := w.clock(tokens, text); found {
		return q, nil, err
	}
	terms, err := w.terms(tokens, text)
	if err != nil {
		return Quantity{}, nil, err
	}
	return w.combine(terms, text)
}

// term is a number and the unit typed after it; a bare one has no word.
type term struct {
	number
	unit Unit
	word string
}

// terms pairs numbers with units. Between the terms of a compound a comma,
// "and", "&" or "+" may stand; a hyphen may tie a unit to its number.
func (w Want) terms(tokens []token, text string) ([]term, error) {
	var terms []term
	if unit, ok := w.leading(tokens); ok {
		return []term{{number: tokens[1].num, unit: unit, word: tokens[0].text}}, nil
	}
	for len(tokens) > 0 {
		if len(terms) > 0 && len(tokens) > 1 && tokens[1].kind == numberToken &&
			(tokens[0].isMark(",&") || strings.EqualFold(tokens[0].text, "and")) {
			tokens = tokens[1:]
		}
		if tokens[0].kind != numberToken {
			return nil, w.unreadable(tokens[0], len(terms), text)
		}
		t := term{number: tokens[0].num}
		if tokens = tokens[1:]; len(tokens) > 1 && tokens[0].isMark("-") && tokens[1].kind == wordToken {
			tokens = tokens[1:]
		}
		words := leadingWords(tokens)
		unit, word, used := unitAhead(words, w.System)
		if used == 0 && len(words) > 0 {
			return nil, w.unknownUnit(words, text)
		}
		t.unit, t.word = unit, word
		terms = append(terms, t)
		tokens = tokens[used:]
	}
	return terms, nil
}

// leading reads "SG 1.10", the one unit that bulletins put before its number.
func (w Want) leading(tokens []token) (Unit, bool) {
	if len(tokens) != 2 || tokens[0].kind != wordToken || tokens[1].kind != numberToken {
		return NoUnit, false
	}
	u, ok := UnitNamed(tokens[0].text, w.System)
	return u, ok && u == SpecificGravity
}

// leadingWords are the tokens that may spell a unit: words, and the slash of
// lb/gal between them.
func leadingWords(tokens []token) []token {
	n := 0
	for n < len(tokens) && (tokens[n].kind == wordToken || tokens[n].isMark("/")) {
		n++
	}
	return tokens[:n]
}

// unitAhead finds the longest unit that words begin with ("fl oz" before
// "fl"), and how many tokens it takes.
func unitAhead(words []token, s System) (u Unit, word string, used int) {
	for used = min(len(words), 5); used > 0; used-- {
		var spelled, read []string
		for _, t := range words[:used] {
			spelled = append(spelled, t.text)
			if strings.EqualFold(t.text, "per") {
				t.text = "/"
			}
			read = append(read, t.text)
		}
		word = strings.ReplaceAll(strings.Join(spelled, " "), " / ", "/")
		key := strings.Join(read, "")
		if u, ok := UnitNamed(key, s); ok {
			return u, word, used
		}
		if degrees[strings.ToLower(key)] {
			return BareUnit(Temp, s), word, used
		}
	}
	return NoUnit, "", 0
}

// degrees are words that give a temperature and leave out its scale: it is
// then that of the shop.
var degrees = map[string]bool{"°": true, "deg": true, "degs": true, "degree": true, "degrees": true}

// unreadable says what is wrong where a number should stand.
func (w Want) unreadable(t token, terms int, text string) error {
	switch strings.ToLower(t.text) {
	case "nan", "inf", "infinity", "infinite", "∞":
		return w.refuse(`"%s" is not a number to measure with`, shown(text))
	case "-":
		if terms > 0 {
			return w.refuse(`one value is needed, and "%s" is a range`, shown(text))
		}
	case ":":
		return w.refuse(`"%s" looks like a ratio or a time of day`, shown(text))
	case ",", ";":
		return w.refuse(`one value is needed, and "%s" has several`, shown(text))
	}
	if terms == 0 {
		return w.refuse(`"%s" does not begin with a number`, shown(text))
	}
	return w.refuse(`"%s" is not understood from "%s" on`, shown(text), shown(t.text))
}

func (w Want) unknownUnit(words []token, text string) error {
	spelled := make([]string, 0, len(words))
	for _, t := range words {
		spelled = append(spelled, t.text)
	}
	unknown := strings.ReplaceAll(strings.Join(spelled, " "), " / ", "/")
	if unknown == "k" {
		return w.refuse(`"%s": for kelvin type a capital K, for thousands write the number out`, shown(text))
	}
	f := w.refuse(`"%s" in "%s" is not a unit that is known here`, shown(unknown), shown(text))
	if len(w.Dims) > 0 {
		f = f.Hint("%s; units: %s", w.asked(), dims[w.Dims[0]].offered)
	}
	return f
}

// combine adds up the terms of one quantity and checks it against the want.
func (w Want) combine(terms []term, text string) (Quantity, []string, error) {
	notes, err := w.settle(terms, text)
	if err != nil {
		return Quantity{}, nil, err
	}
	last := terms[len(terms)-1].unit
	q := Quantity{Dim: last.Dim(), Unit: last}
	for i, t := range terms {
		if t.ambiguous {
			return Quantity{}, nil, twoNumbers(w.subject(), t.number, t.word)
		}
		if !w.takes(t.unit.Dim()) {
			return Quantity{}, nil, w.wrongDim(t, text)
		}
		if i > 0 {
			if err := w.follows(terms[i-1], t, text); err != nil {
				return Quantity{}, nil, err
			}
		}
		part := t.unit.Base(t.value)
		if i > 0 && terms[0].text[0] == '-' {
			part = -part
		}
		q.Value += part
	}
	if q.Unit == One {
		q.Unit = NoUnit
	}
	return q, notes, w.check(q, text)
}

// follows checks that b may follow a in a compound: the same dimension, from
// the larger unit to the smaller one, and no second sign. Units with an offset
// or a reciprocal do not add up.
func (w Want) follows(a, b term, text string) error {
	ra, rb := a.unit.row(), b.unit.row()
	if ra.dim != rb.dim || ra.scale <= rb.scale || ra.dim == Temp || ra.dim == Density || ra.dim == Number {
		return w.refuse(`"%s" is more than one value`, shown(text))
	}
	if strings.ContainsAny(b.text[:1], "+-") {
		return w.refuse(`a sign stands inside of "%s"`, shown(text))
	}
	return nil
}

func (w Want) wrongDim(t term, text string) error {
	typed := t.unit.Dim()
	f := w.refuse(`"%s" is %s, and %s is wanted`, shown(text), dims[typed].name, w.wanted())
	if t.unit == Meter && w.takes(Time) {
		return f.Hint("for minutes type %s min", t.text)
	}
	return f
}

func (w Want) wanted() string {
	names := make([]string, 0, len(w.Dims))
	for _, d := range w.Dims {
		names = append(names, w.nameOf(d))
	}
	return strings.Join(names, " or ")
}

// twoNumbers refuses 1,000, which is a thousand to some and one to others; the
// hint has both with the unit that was typed.
func twoNumbers(subject string, n number, unit string) error {
	reading := func(v float64) string { return strings.TrimSpace(exact(v) + " " + unit) }
	return fault.New(fault.AmbiguousNumber, `%s: "%s" can be read in two ways`, subject, shown(n.text)).
		Hint("type %s if the comma groups thousands, or %s if it is a decimal comma", reading(n.value), reading(n.small))
}
