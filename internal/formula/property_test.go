package formula_test

import (
	"fmt"
	"go/constant"
	"go/token"
	"go/types"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/quantity"
)

// sum draws an expression of plain numbers that Go can read as well.
func sum(t *rapid.T, depth int) string {
	if depth == 0 || rapid.IntRange(0, 4).Draw(t, "leaf") == 0 {
		return strconv.FormatFloat(float64(rapid.IntRange(1, 4000).Draw(t, "n"))/8, 'f', -1, 64)
	}
	a, b := sum(t, depth-1), sum(t, depth-1)
	switch rapid.SampledFrom([]string{"+", "-", "*", "/", "()", "neg"}).Draw(t, "op") {
	case "+":
		return a + " + " + b
	case "-":
		return a + " - " + b
	case "*":
		return a + "*" + b
	case "/":
		return a + " / (" + b + ")"
	case "()":
		return "(" + a + ")"
	}
	return "-(" + a + ")"
}

// exact is the value of a constant expression by Go's own evaluator, which
// reckons with fractions of any size.
func exact(text string) (float64, bool) {
	// A point makes every number a fraction to Go, as it is to a formula.
	text = wholeNumber(text)
	v, err := types.Eval(token.NewFileSet(), nil, token.NoPos, text)
	if err != nil || v.Value == nil {
		return 0, false // a division by zero
	}
	f, _ := constant.Float64Val(constant.ToFloat(v.Value))
	return f, true
}

func wholeNumber(text string) string {
	words := strings.FieldsFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.", r) })
	var b strings.Builder
	for _, w := range words {
		at := strings.Index(text, w)
		b.WriteString(text[:at] + w)
		if !strings.Contains(w, ".") {
			b.WriteString(".0")
		}
		text = text[at+len(w):]
	}
	return b.String() + text
}

// TestAgainstGo: a formula of bare numbers gives what Go's exact evaluator gives
// for the same text.
func TestAgainstGo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := sum(t, 5)
		if len(text) > formula.MaxText {
			t.Skip("too long")
		}
		want, ok := exact(text)
		p, err := formula.Compile(text, quantity.Metric)
		if fault.Is(err, fault.FormulaLimit) {
			t.Skip("too many parts")
		}
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		out, err := p.Run(formula.Setting{})
		if !ok || err != nil {
			return // divided by zero; rounding may make a zero of what is none
		}
		got, _ := out.Values[0].Is.(float64)
		// A difference of nearly equal parts keeps their rounding: compare with
		// what the text moves by when each of its numbers moves by one bit.
		if math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want))+shaken(text, got) {
			t.Fatalf("%q = %v, want %v", text, got, want)
		}
	})
}

// shaken is how far the result moves when the numbers of a text move by a
// trillionth: how badly it is conditioned.
func shaken(text string, is float64) float64 {
	most := 0.0
	for _, by := range []float64{1 + 1e-12, 1 - 1e-12} {
		parts := strings.FieldsFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.", r) })
		var b strings.Builder
		rest := text
		for i, w := range parts {
			at := strings.Index(rest, w)
			b.WriteString(rest[:at])
			v, _ := strconv.ParseFloat(w, 64)
			if i%2 == 0 {
				v *= by
			}
			b.WriteString(strconv.FormatFloat(v, 'f', -1, 64))
			rest = rest[at+len(w):]
		}
		b.WriteString(rest)
		if v, ok := exact(b.String()); ok {
			most = math.Max(most, math.Abs(v-is))
		}
	}
	return 100 * most
}

// some are units of each dimension, as they are typed.
var some = map[quantity.Dim][]string{
	quantity.Mass:     {"g", "kg", "mg", "lb", "oz"},
	quantity.Volume:   {"ml", "cl", "l", "cm3", "cc", "in3", "floz", "fl oz", "cup", "pt", "qt", "gal", "tbsp", "tsp", "imp gal"},
	quantity.Length:   {"mm", "cm", "m", "in", "ft", "um"},
	quantity.Area:     {"mm2", "cm2", "in2", "ft2"},
	quantity.Time:     {"s", "min", "h", "d", "wk", "mo"},
	quantity.Pressure: {"kPa", "bar", "psi", "inHg"},
	quantity.Density:  {"g/ml", "kg/m3", "lb/gal", "SG"},
}

// amount draws a quantity and its value in base units, by package quantity.
func amount(t *rapid.T, d quantity.Dim) (text string, base float64) {
	unit := rapid.SampledFrom(some[d]).Draw(t, "unit")
	n := float64(rapid.IntRange(1, 40000).Draw(t, "n")) / 16
	u, ok := quantity.UnitNamed(unit, quantity.Metric)
	if !ok {
		t.Fatalf("no unit %s", unit)
	}
	return strconv.FormatFloat(n, 'f', -1, 64) + " " + unit, u.Base(n)
}

// TestUnitArithmetic: sums of quantities are the sums of what package quantity
// reads of them, whose factors are held against NIST SP 811 there; products and
// quotients have the units of their parts; other sums are refused.
func TestUnitArithmetic(t *testing.T) {
	dims := []quantity.Dim{quantity.Mass, quantity.Volume, quantity.Length, quantity.Area, quantity.Time, quantity.Pressure, quantity.Density}
	rapid.Check(t, func(t *rapid.T) {
		d, e := rapid.SampledFrom(dims).Draw(t, "d"), rapid.SampledFrom(dims).Draw(t, "e")
		a, x := amount(t, d)
		b, y := amount(t, d)
		c, _ := amount(t, e)
		n := rapid.IntRange(1, 99).Draw(t, "times")
		for _, s := range []struct {
			text string
			want float64
			unit string
		}{
			{a + " + " + b, x + y, quantity.BaseUnit(d)},
			{a + "-" + b, x - y, quantity.BaseUnit(d)},
			{fmt.Sprintf("%d * (%s) / %d", n, a, n), x, quantity.BaseUnit(d)},
			{"(" + a + ") / (" + b + ")", x / y, "1"},
			{"(" + a + ") * (" + c + ") / (" + c + ")", x, quantity.BaseUnit(d)},
			{"max(" + a + ", " + b + ")", math.Max(x, y), quantity.BaseUnit(d)},
			{"let p = " + a + "\nlet q = " + b + "\np > q ? p : q", math.Max(x, y), quantity.BaseUnit(d)},
		} {
			v := value(t, s.text)
			if got, _ := v.Is.(float64); math.Abs(got-s.want) > 1e-9*math.Max(math.Abs(x)+math.Abs(y), math.Abs(s.want)) || v.Unit != s.unit {
				t.Fatalf("%q = %v %s, want %v %s", s.text, got, v.Unit, s.want, s.unit)
			}
		}
		if d != e {
			if _, err := formula.Compile(a+" + "+c, quantity.Metric); !fault.Is(err, fault.FormulaError) {
				t.Fatalf("%s + %s: %v", a, c, err)
			}
		}
	})
}

func value(t *rapid.T, text string) formula.Value {
	p, err := formula.Compile(text, quantity.Metric)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	out, err := p.Run(formula.Setting{})
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return out.Values[0]
}

// TestPlacesSurvive: a refusal names the line and column of the typed text, also
// where quantities before it were taken together.
func TestPlacesSurvive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		lines := rapid.IntRange(0, 4).Draw(t, "lines")
		for i := range lines {
			a, _ := amount(t, quantity.Length)
			fmt.Fprintf(&b, "let name_%d = %s + 1/2 in%s\n", i, a, strings.Repeat(" ", rapid.IntRange(0, 3).Draw(t, "blanks")))
		}
		before, _ := amount(t, quantity.Length)
		head := before + " + 2 3/8 in - "
		b.WriteString(head + "nowhere")
		_, err := formula.Compile(b.String(), quantity.Metric)
		f := fault.As(err)
		want := fmt.Sprintf("line %d, column %d:", lines+1, len(head)+1)
		if f == nil || !strings.HasPrefix(f.Message, want) {
			t.Fatalf("%q: %v, want %s", b.String(), err, want)
		}
	})
}
