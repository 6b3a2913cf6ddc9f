package formula

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

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
