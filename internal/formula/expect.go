package formula

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Try runs the formula on an example that its member gave and holds the result
// against the one that must come out:
//
//	width 100 mm, height 50 mm -> 250 ml
//	volume 250 ml -> mass_a 143 g, mass_b 132.6 g
//
// A figure fits where it agrees to the digits that were typed: 250 ml is met by
// all from 249.5 to 250.5. Errors: formula_error in option test, and those of
// Given and Run.
func (p *Program) Try(test string, s Setting) error {
	left, right, ok := cutArrow(test)
	if !ok {
		return wrongTest("the test gives no result").Hint("type the inputs, an arrow and the result, such as width 100 mm -> 250 ml")
	}
	given, _, err := p.Given(strings.TrimSpace(left), s.System)
	if f := fault.As(err); f != nil {
		f.Option = "test"
	}
	if err != nil {
		return err
	}
	s.Given = given
	out, err := p.Run(s)
	if err != nil {
		return err
	}
	items := quantity.SplitList(right)
	if len(items) == 0 {
		return wrongTest("the test gives no result").Hint("type it behind the arrow, such as -> %s", out.Values[0].Text)
	}
	for _, item := range items {
		if err := out.expects(strings.TrimSpace(item), s.System); err != nil {
			return err
		}
	}
	return nil
}

// cutArrow divides the inputs of a test from its result.
func cutArrow(test string) (left, right string, ok bool) {
	for _, arrow := range []string{"->", "→", "=>"} {
		if left, right, ok = strings.Cut(test, arrow); ok {
			return left, right, true
		}
	}
	return "", "", false
}

// expects holds one item of a test against the results.
func (out Result) expects(item string, s quantity.System) error {
	v := &out.Values[0]
	text := item
	for i, one := range out.Values {
		if rest, named := strings.CutPrefix(item, one.Key+" "); named {
			v, text = &out.Values[i], strings.TrimLeft(rest, "= ")
		}
	}
	if is, isTruth := v.Is.(bool); isTruth {
		if want := strings.EqualFold(text, "yes") || strings.EqualFold(text, "true"); want != is {
			return missed(v, text)
		}
		return nil
	}
	src := &source{[]rune(text)}
	lit, to, err := literalReader{system: s}.signed(src, 0)
	if err != nil || src.spaces(to) != len(src.runes) {
		return wrongTest("%.40q is no result", text).Hint("type a number with its unit, such as -> %s", v.Text)
	}
	if lit.kind != v.kind {
		return wrongTest("the result is %s, and the test wants %s", v.kind, lit.kind).Hint("type it with its unit, such as -> %s", v.Text)
	}
	is, _ := v.Is.(float64)
	if math.Abs(v.kind.inward(is, lit.currency)-lit.value) > lit.slack(src) {
		return missed(v, text)
	}
	return nil
}

func missed(v *Value, want string) error {
	return wrongTest("the formula gives %s for the test's inputs, and the test wants %s", v.told(), want).
		Hint("mend the formula, or the result in the test")
}

// told is a value with enough digits to see what is the matter.
func (v *Value) told() string {
	if is, ok := v.Is.(float64); ok {
		return strings.TrimSpace(fmt.Sprintf("%.6g %s", is, v.Unit))
	}
	return v.Text
}

func wrongTest(format string, args ...any) *fault.Error {
	return fault.New(fault.FormulaError, format, args...).In("test")
}

// slack is half of the last digit that was typed, in the units of a formula; a
// fraction, a compound or an exponent is met within 0.5 %.
func (l literal) slack(s *source) float64 {
	number, rest := string(s.runes), ""
	if at := strings.IndexFunc(number, func(r rune) bool { return !isDigit(r) && !strings.ContainsRune("-−. ", r) }); at >= 0 {
		number, rest = number[:at], number[at:]
	}
	exact := !strings.ContainsFunc(rest, isDigit) || strings.HasSuffix(rest, "2") || strings.HasSuffix(rest, "3")
	if !exact {
		return math.Abs(l.value) * 0.005
	}
	step := 1.0
	if _, decimals, ok := strings.Cut(strings.TrimSpace(number), "."); ok {
		step = math.Pow(10, -float64(len(decimals)))
	}
	each := 1.0
	switch {
	case l.kind.point:
		each = 1 / l.unit.Span(1)
	case l.bare != 0:
		each = math.Abs(l.value / l.bare)
	}
	// a hair more, for a result that lies on the edge
	return step/2*each*(1+1e-9) + 1e-12*math.Abs(l.value)
}
