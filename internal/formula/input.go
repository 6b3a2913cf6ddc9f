package formula

import (
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Input is a value that a formula asks for, declared at the head of its text:
//
//	input width = 100 mm (10 mm to 1 m): inside of the box
//
// The default, the range and the words behind the colon may each be left out;
// what is then known of the unit is known from the rest.
type Input struct {
	Name, Label string
	kind        kind
	unit        quantity.Unit
	currency    string
	value       float64
	given       bool // there is a default
	low, high   float64
	bounded     bool
	typed       string // the default as typed
	at          int
}

// Default is the value taken where none is given, as typed, or "".
func (in Input) Default() string { return in.typed }

// Text is the input on one line, as declared.
func (in Input) Text(s quantity.System) string {
	text := in.Name
	if in.given {
		text += " = " + in.typed
	} else if in.kind != plain {
		text += ", " + in.kind.String()
	}
	if in.bounded {
		text += " (" + in.kind.read(in.low, in.currency, s) + " to " + in.kind.read(in.high, in.currency, s) + ")"
	}
	if in.Label != "" {
		text += ": " + in.Label
	}
	return text
}

// holds reports whether a value is in the declared range.
func (in Input) holds(v float64) bool { return !in.bounded || v >= in.low && v <= in.high }

// head reads the inputs at the start of a text and gives the place behind them.
func (r literalReader) head(s *source) (inputs []Input, at int, err error) {
	r.inHead = true
	for {
		for at < len(s.runes) && (isBreak(s.runes[at]) || s.spaces(at) > at) {
			at = max(at+1, s.spaces(at))
		}
		after, is := s.keyword(at, "input")
		if !is {
			return inputs, at, nil
		}
		if len(inputs) == maxInputs {
			return nil, 0, s.over(at, "this is input %d, at most %d are taken", maxInputs+1, maxInputs).Hint("set what seldom changes with let")
		}
		in, end, err := r.declared(s, after)
		if err != nil {
			return nil, 0, err
		}
		if i := slices.IndexFunc(inputs, func(o Input) bool { return o.Name == in.Name }); i >= 0 {
			return nil, 0, s.wrong(in.at, "there is an input %s already", in.Name).Hint("give this one another name")
		}
		inputs, at = append(inputs, in), end
	}
}

// keyword sees a word of its own at a character and gives the place behind it.
func (s *source) keyword(at int, w string) (after int, is bool) {
	end := at + len(w)
	if end > len(s.runes) || string(s.runes[at:end]) != w {
		return at, false
	}
	if end < len(s.runes) && (isLetter(s.runes[end]) || isDigit(s.runes[end]) || s.runes[end] == '_') {
		return at, false
	}
	return end, true
}

func isBreak(r rune) bool { return r == '\n' || r == ';' }

// declared reads one input from behind its keyword.
func (r literalReader) declared(s *source, at int) (in Input, end int, err error) {
	at = s.spaces(at)
	in.at, end = at, at
	for end < len(s.runes) && (isLetter(s.runes[end]) || end > at && (isDigit(s.runes[end]) || s.runes[end] == '_')) {
		end++
	}
	in.Name = string(s.runes[at:end])
	if in.Name == "" {
		return in, 0, s.wrong(at, "an input has no name").Hint("such as input width = 100 mm (10 mm to 1 m)")
	}
	if err := s.mayName(at, in.Name); err != nil {
		return in, 0, err
	}
	at = s.spaces(end)
	if at < len(s.runes) && s.runes[at] == '=' {
		from := s.spaces(at + 1)
		lit, to, err := r.signed(s, from)
		if err != nil {
			return in, 0, err
		}
		in.take(lit)
		in.value, in.given, in.typed = lit.value, true, string(s.runes[from:to])
		at = s.spaces(to)
	}
	if at < len(s.runes) && s.runes[at] == '(' {
		if at, err = r.bounds(s, &in, at+1); err != nil {
			return in, 0, err
		}
		at = s.spaces(at)
	}
	if at < len(s.runes) && s.runes[at] == ':' {
		to := at + 1
		for to < len(s.runes) && !isBreak(s.runes[to]) {
			to++
		}
		in.Label = strings.TrimSpace(string(s.runes[at+1 : to]))
		if to-at > maxLabel {
			return in, 0, s.over(at, "the words on this input are %d characters, at most %d are taken", to-at, maxLabel).Hint("shorten them")
		}
		at = to
	}
	if at < len(s.runes) && !isBreak(s.runes[at]) {
		return in, 0, s.wrong(at, "%q does not fit into an input", s.text(at, at+10)).
			Hint("such as input %s = 100 mm (10 mm to 1 m): what it is", in.Name)
	}
	return in, at, nil
}

// take keeps what a literal of an input measures.
func (in *Input) take(lit literal) { in.kind, in.unit, in.currency = lit.kind, lit.unit, lit.currency }

// bounds reads (10 mm to 1 m) from behind its bracket. An end without a unit
// has that of the other, or of the default.
func (r literalReader) bounds(s *source, in *Input, at int) (end int, err error) {
	lowAt := s.spaces(at)
	low, at, err := r.signed(s, lowAt)
	if err != nil {
		return 0, err
	}
	at, is := s.keyword(s.spaces(at), "to")
	if !is {
		return 0, s.wrong(at, "a range of an input has two ends").Hint("such as (10 mm to 1 m)")
	}
	highAt := s.spaces(at)
	high, at, err := r.signed(s, highAt)
	if err != nil {
		return 0, err
	}
	at = s.spaces(at)
	if at >= len(s.runes) || s.runes[at] != ')' {
		return 0, s.wrong(at, "the range of this input is never closed").Hint("close it with )")
	}
	if !in.given {
		in.take(high)
	}
	for _, e := range []struct {
		lit *literal
		at  int
	}{{&high, highAt}, {&low, lowAt}} {
		if e.lit.unit == quantity.NoUnit && in.unit != quantity.NoUnit {
			*e.lit = e.lit.in(*in)
		}
		if e.lit.kind != in.kind {
			return 0, s.wrong(e.at, "the range is %s here and the input %s", e.lit.kind, in.kind).Hint("give both in units of the same sort")
		}
	}
	in.low, in.high, in.bounded = low.value, high.value, true
	switch {
	case in.low >= in.high:
		return 0, s.wrong(lowAt, "the range does not go up").Hint("type the lower end first")
	case in.given && !in.holds(in.value):
		return 0, s.wrong(lowAt, "the default %s is outside of its own range", in.typed).Hint("widen the range or change the default")
	}
	return at + 1, nil
}

// in takes a bare number in the unit of an input.
func (l literal) in(i Input) literal {
	d := i.unit.Dim()
	out := literal{bare: l.bare, kind: i.kind, unit: i.unit, currency: i.currency, value: l.bare}
	if i.kind == of(d) {
		out.value = inward(i.unit.Base(l.bare), d)
	}
	return out
}

// signed reads a number with its unit and a minus before it.
func (r literalReader) signed(s *source, at int) (literal, int, error) {
	minus := at < len(s.runes) && (s.runes[at] == '-' || s.runes[at] == '−')
	if minus {
		at = s.spaces(at + 1)
	}
	if at >= len(s.runes) || !isDigit(s.runes[at]) && s.runes[at] != '.' {
		return literal{}, 0, s.wrong(at, "a number is missing").Hint("type a value with its unit, such as 100 mm")
	}
	lit, to, err := r.read(s, at, true, nil)
	if minus {
		lit = lit.negative()
	}
	return lit, to, err
}

// negative is the literal with a minus before it; -40 F is no negated 40 F.
func (l literal) negative() literal {
	l.bare, l.value = -l.bare, -l.value
	if l.kind.point {
		l.value = l.unit.Base(l.bare)
	}
	return l
}
