package formula

import (
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
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

// Given are values for the inputs of a formula.
type Given struct {
	values []quantity.Range // by input; of a certain value all three are alike
	// Own tells the inputs that were left at the formula's own value, such as
	// "width 100 mm".
	Own []string
}

// Given reads values for the inputs, "width 120 mm, count 4"; the rest take
// their defaults. A value may be a range, "width 95 mm to 105 mm": the result
// is then one as well. Errors name the option inputs: formula_error (no such
// input), missing_option, out_of_range, and those of quantities.
func (p *Program) Given(text string, s quantity.System) (Given, []string, error) {
	g := Given{values: make([]quantity.Range, len(p.inputs))}
	var notes []string
	set := make([]bool, len(p.inputs))
	if len(text) > maxGiven {
		return Given{}, nil, fault.New(fault.FormulaLimit, "the inputs are %d characters long, at most %d are read", len(text), maxGiven).
			In("inputs").Hint("give each input once, such as width 120 mm")
	}
	for _, item := range quantity.SplitList(text) {
		i, value, err := p.input(item)
		if err != nil {
			return Given{}, nil, err
		}
		if set[i] {
			return Given{}, nil, fault.New(fault.FormulaError, "%s is given twice", p.inputs[i].Name).In("inputs").Hint("give it once")
		}
		set[i] = true
		more, err := p.inputs[i].readRange(value, s, &g.values[i])
		if err != nil {
			return Given{}, nil, err
		}
		notes = append(notes, more...)
	}
	for i, in := range p.inputs {
		switch {
		case set[i]:
		case in.given:
			g.values[i] = quantity.Exactly(in.value)
			g.Own = append(g.Own, in.Name+" "+in.typed)
		default:
			return Given{}, nil, fault.New(fault.MissingOption, "%s is missing: %s", in.Name, in.asks()).
				In("inputs").Hint("give it, such as inputs:%q", in.Name+" "+in.example())
		}
	}
	return g, notes, nil
}

// asks is what the input is, in words.
func (in Input) asks() string {
	if in.Label != "" {
		return in.Label
	}
	return in.kind.String()
}

// example is a value that the input takes.
func (in Input) example() string {
	switch {
	case in.given:
		return in.typed
	case in.bounded:
		return in.kind.read(in.low, in.currency, quantity.Metric)
	case in.kind == of(quantity.Length):
		return "100 mm"
	}
	return "4"
}

// input finds the one that an item of the list is for. A formula with a single
// input takes a value without its name.
func (p *Program) input(item string) (i int, value string, err error) {
	for i, in := range p.inputs {
		rest, ok := strings.CutPrefix(item, in.Name)
		if next := strings.TrimLeft(rest, " =:\t"); ok && (next != rest || rest == "") {
			return i, next, nil
		}
	}
	if len(p.inputs) == 1 && (item == "" || !isLetter([]rune(item)[0])) {
		return 0, item, nil
	}
	name, _, _ := strings.Cut(item, " ")
	f := fault.New(fault.FormulaError, "this formula has no input %.40q", name).In("inputs")
	if len(p.inputs) == 0 {
		return 0, "", f.Hint("leave inputs out")
	}
	var all []string
	for _, in := range p.inputs {
		all = append(all, in.Name)
	}
	if like := near(name, all); like != "" {
		return 0, "", f.Hint("did you mean %s?", like)
	}
	return 0, "", f.Hint("it asks for %s", strings.Join(all, ", "))
}

// readRange reads one value, or two with "to" between.
func (in Input) readRange(text string, s quantity.System, to *quantity.Range) (notes []string, err error) {
	low, high, two := strings.Cut(text, " to ")
	if !two {
		v, notes, err := in.read(text, s)
		*to = quantity.Exactly(v)
		return notes, err
	}
	if strings.IndexFunc(low, isLetter) < 0 { // 95 to 105 mm
		if at := strings.IndexFunc(high, isLetter); at >= 0 {
			low += " " + high[at:]
		}
	}
	a, notes, err := in.read(low, s)
	if err != nil {
		return nil, err
	}
	b, more, err := in.read(high, s)
	if err != nil {
		return nil, err
	}
	if a > b {
		return nil, fault.New(fault.OutOfRange, "the range of %s does not go up", in.Name).In("inputs").Hint("type the lower end first")
	}
	*to = quantity.Range{Low: a, Mid: (a + b) / 2, High: b}
	return append(notes, more...), nil
}

// read reads one value in the units of a formula.
func (in Input) read(text string, s quantity.System) (v float64, notes []string, err error) {
	d, known := in.kind.dim()
	if !known {
		return in.readLiteral(text, s)
	}
	w := quantity.Want{Option: in.Name, Dims: []quantity.Dim{d}, Bare: in.unit, System: s, Negative: true, Zero: true,
		Percent: in.unit == quantity.PercentSign}
	if in.bounded {
		w.Min, w.Max = outward(in.low, d), outward(in.high, d)
	}
	q, notes, err := quantity.Parse(text, w)
	if f := fault.As(err); f != nil {
		f.Option = "inputs"
		return 0, nil, f
	}
	return inward(q.Value, d), notes, err
}

// readLiteral reads a price, or another value whose unit has no name of its
// own, as the text of a formula would have it.
func (in Input) readLiteral(text string, s quantity.System) (v float64, notes []string, err error) {
	src := &source{[]rune(text)}
	lit, to, err := literalReader{system: s}.signed(src, src.spaces(0))
	if err == nil && lit.unit == quantity.NoUnit {
		lit = lit.in(in)
	}
	if err != nil || src.spaces(to) != len(src.runes) || lit.kind != in.kind || lit.currency != in.currency {
		return 0, nil, fault.New(fault.BadQuantity, "%s: %.40q is not %s", in.Name, text, in.kind).In("inputs").Hint("such as %s", in.example())
	}
	if !in.holds(lit.value) {
		return 0, nil, fault.New(fault.OutOfRange, "%s: %.40q is outside of its range", in.Name, text).In("inputs").Hint("it is %s", in.Text(s))
	}
	return lit.value, nil, nil
}
