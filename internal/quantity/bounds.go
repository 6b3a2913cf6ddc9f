package quantity

import (
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// dimInfo is what the reader knows about a dimension: its name in a sentence,
// an example to type, the widest values that a workshop could mean (beyond
// them a slip is certain; common practice, no source; a min of 0 itself is not
// taken), and the units that a bare number is taken in, by System.
type dimInfo struct {
	name, example string
	min, max      float64
	bare          [3]Unit
	offered       string // units named when a wrong one was typed
}

var dims = [...]dimInfo{
	Number:   {"a number", "12", 0, 1e12, [3]Unit{One, One, One}, "no unit, or %"},
	Mass:     {"a weight", "250 g", 0, 1e7, [3]Unit{Gram, Ounce, Ounce}, "g, kg, mg, lb or oz"},
	Volume:   {"a volume", "250 mL", 0, 1e8, [3]Unit{Milliliter, FluidOunce, ImperialFluidOunce}, "mL, L, cm3, in3, fl oz, cup, pt, qt, gal, tbsp or tsp"},
	Length:   {"a length", "12 mm", 0, 1e7, [3]Unit{Millimeter, Inch, Inch}, "mm, cm, m, in or ft"},
	Area:     {"an area", "300 cm2", 0, 1e10, [3]Unit{SquareCentimeter, SquareInch, SquareInch}, "mm2, cm2, in2 or ft2"},
	Time:     {"a time", "45 min", 0, 3e9, [3]Unit{Minute, Minute, Minute}, "s, min, h, d, wk or mo"},
	Temp:     {"a temperature", "22 C", -100, 600, [3]Unit{Celsius, Fahrenheit, Fahrenheit}, "C, F or K"},
	Pressure: {"a pressure", "400 kPa", 0, 1e5, [3]Unit{Kilopascal, PSI, PSI}, "kPa, bar, psi or inHg"},
	Density:  {"a density", "1.10 g/mL", 1e-3, 25, [3]Unit{GramPerMilliliter, GramPerMilliliter, GramPerMilliliter}, "g/mL, kg/m3, lb/gal, in3/lb or SG"},
	Drops:    {"a count of drops", "3 drops", 0, 1e6, [3]Unit{Drop, Drop, Drop}, "drops"},
}

// Name is the dimension in a sentence, "a weight".
func (d Dim) Name() string { return dims[d].name }

// BareUnit is the unit of a number typed without one, where the option does
// not set its own.
func BareUnit(d Dim, s System) Unit { return dims[d].bare[s] }

// bareUnit is the unit of a bare number under this want.
func (w Want) bareUnit() Unit {
	switch {
	case w.Percent:
		return PercentSign
	case w.Bare != NoUnit:
		return w.Bare
	case len(w.Dims) > 0:
		return BareUnit(w.Dims[0], w.System)
	}
	return One
}

func (w Want) takes(d Dim) bool {
	if len(w.Dims) == 0 {
		return true
	}
	for _, have := range w.Dims {
		if have == d {
			return true
		}
	}
	return false
}

// smallest is the least amount above zero that is read, in base units: no
// scale or gauge in a workshop shows a millionth of a gram or a millimeter.
// Plain numbers and temperatures have no such floor.
const smallest = 1e-6

// span is what values of one dimension must lie in, ends included.
type span struct {
	min, max float64
	zero     bool    // zero itself is accepted
	floor    float64 // least amount on either side of zero
}

// span joins the want's own bounds, which belong to its first dimension, with
// those of the dimension.
func (w Want) span(d Dim) span {
	own := dims[d]
	s := span{min: own.min, max: own.max, floor: smallest}
	signed := d == Temp || w.Negative
	if w.Negative && d != Temp {
		s.min = -own.max
	}
	if d == Temp || d == Number {
		s.floor = 0
	}
	if len(w.Dims) > 0 && w.Dims[0] == d && (w.Min != 0 || w.Max != 0) {
		if w.Min != 0 || signed {
			s.min = w.Min
		}
		if w.Max > s.min {
			s.max = w.Max
		}
	}
	s.zero = (w.Zero || signed) && s.min <= 0 && s.max >= 0
	return s
}

func (s span) holds(v float64) bool {
	if v == 0 {
		return s.zero
	}
	return v >= s.min && v <= s.max && math.Abs(v) >= s.floor
}

// in writes the span as readings in u: "from 1 mm to 500 mm".
func (s span) in(u Unit) string {
	low, high := s.min, s.max
	if u.row().inverse {
		low, high = high, low
	}
	if low == 0 && !s.zero {
		return "above 0 and up to " + TextIn(high, u)
	}
	return "from " + TextIn(low, u) + " to " + TextIn(high, u)
}

// check refuses values outside of the want, telling the accepted range in the
// unit that was typed.
func (w Want) check(q Quantity, text string) error {
	s := w.span(q.Dim)
	if s.holds(q.Value) {
		return nil
	}
	why := "less than is taken here"
	switch {
	case q.Value == 0:
		why = "nothing at all"
	case q.Value < 0 && s.min >= 0:
		why = "below zero"
	case q.Unit.row().inverse: // more in³/lb is less density
		why = "outside of what is taken here"
	case q.Value > s.max:
		why = "more than is taken here"
	}
	return fault.New(fault.OutOfRange, `%s: "%s" is %s`, w.subject(), shown(text), why).
		Hint("type %s %s", w.nameOf(q.Dim), s.in(q.Unit))
}

// nameOf is a dimension in this option's words.
func (w Want) nameOf(d Dim) string {
	if d == Number && w.Percent {
		return "a percentage"
	}
	return dims[d].name
}

// subject names the option at the head of a message.
func (w Want) subject() string {
	if w.Option == "" {
		return "the value"
	}
	return w.Option
}

// refuse makes a bad_quantity whose hint says what the option takes.
func (w Want) refuse(format string, args ...any) *fault.Error {
	return fault.New(fault.BadQuantity, w.subject()+": "+format, args...).Hint("%s", w.asked())
}

// asked says what to type: the dimensions, the range and an example.
func (w Want) asked() string {
	if len(w.Dims) == 0 {
		return "type a number with its unit, such as 250 g"
	}
	var takes []string
	for _, d := range w.Dims {
		u := w.bareUnit()
		if u.Dim() != d {
			u = BareUnit(d, w.System)
		}
		takes = append(takes, w.nameOf(d)+" "+w.span(d).in(u))
	}
	example := dims[w.Dims[0]].example
	if w.Percent {
		example = "10%"
	}
	return "type " + strings.Join(takes, ", or ") + ", such as " + example
}
