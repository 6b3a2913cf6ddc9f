package formula

import (
	"math"

	"github.com/pourwright/pourwright/internal/quantity"
)

// constant is a value that is always there.
type constant struct {
	kind kind
	help string
	of   func(*Setting) float64 // in the units of a formula
}

// constants are known to every formula. Those of the shop are read when it runs.
var constants = map[string]constant{
	"pi":         {plain, "3.14159…, a circle's circumference by its width", func(*Setting) float64 { return math.Pi }},
	"π":          {plain, "the same as pi", func(*Setting) float64 { return math.Pi }},
	"temp":       {of(quantity.Temp), "the shop's room", func(s *Setting) float64 { return s.Temp }},
	"humidity":   {plain, "the shop's relative humidity, 50 % is 0.5", func(s *Setting) float64 { return s.Humidity }},
	"altitude":   {of(quantity.Length), "the shop's height above the sea", func(s *Setting) float64 { return s.Altitude * 1000 }},
	"scale_step": {of(quantity.Mass), "the smallest step of the shop's scale", func(s *Setting) float64 { return s.ScaleStep }},
}

// same wants values of one sort and gives that sort.
func same(args []kind) (kind, string) {
	for _, k := range args[1:] {
		if k != args[0] {
			return kind{}, "the values are not of one sort: " + args[0].String() + " and " + k.String()
		}
	}
	return args[0], ""
}

// rounded wants a step for a value that has a unit.
func rounded(args []kind) (kind, string) {
	switch {
	case len(args) == 2 && args[0].point && args[1] == degrees:
		return args[0], ""
	case args[0].point:
		return kind{}, "a temperature is rounded to a difference, such as 1 dC"
	case len(args) == 2:
		return same(args)
	case args[0] != plain:
		return kind{}, "what it is rounded to is missing, such as 0.1 g"
	}
	return plain, ""
}

// sized is same for values that begin at zero, which a temperature does not.
func sized(args []kind) (kind, string) {
	if args[0].point {
		return kind{}, "a temperature has no size of its own"
	}
	return same(args)
}

// rooted divides the powers of a unit.
func rooted(n int8) func([]kind) (kind, string) {
	return func(args []kind) (kind, string) {
		d, ok := args[0].dims.root(n)
		if !ok || args[0].point {
			return kind{}, "the root of " + args[0].String() + " has no meaning"
		}
		return kind{dims: d}, ""
	}
}

// unary declares a function of one plain number.
func unary(f func(float64) float64) []form {
	return []form{{params: []param{p("x", quantity.Number)}, gives: plain, run: func(c *call) (any, error) {
		return f(c.num(0)), nil
	}}}
}

// steps declares round, ceil and floor.
func stepping(f func(float64) float64) []form {
	return []form{{params: []param{anything("x"), anything("step")}, least: 1, result: rounded, run: func(c *call) (any, error) {
		if !c.has(1) {
			return f(c.num(0)), nil
		}
		step := c.num(1)
		if !(step > 0) {
			return nil, c.run.wrong("the step must be above zero", "such as round(x, 0.1 g)")
		}
		// A whole number of steps is told from one just beside it: 0.3/0.1 is
		// 2.9999999999999996.
		n := c.num(0) / step
		if whole := math.Round(n); math.Abs(n-whole) < 1e-9*math.Max(1, math.Abs(n)) {
			n = whole
		}
		// Dividing is exact where a step such as 0.1 is not: 132.0 of them.
		if whole := 1 / step; whole > 1 && whole == math.Round(whole) {
			return f(n) / whole, nil
		}
		return f(n) * step, nil
	}}}
}

func pick(better func(a, b float64) float64) []form {
	return []form{{params: []param{anything("a"), {name: "b", any: true, many: true}}, least: 2, result: same, run: func(c *call) (any, error) {
		v := c.num(0)
		for i := 1; i < len(c.args); i++ {
			v = better(v, c.num(i))
		}
		return v, nil
	}}}
}

const inDegrees = math.Pi / 180

var arithmetic = []function{
	{name: "min", group: "arithmetic", help: "the least of two to eight values", example: "min(250 ml, 1 cup)", forms: pick(math.Min)},
	{name: "max", group: "arithmetic", help: "the largest of two to eight values", example: "max(2 ml, 4 % * 250 ml)", forms: pick(math.Max)},
	{name: "clamp", group: "arithmetic", help: "a value held between two others", example: "clamp(temp, 18 C, 25 C)",
		forms: []form{{params: []param{anything("x"), anything("low"), anything("high")}, result: same, run: func(c *call) (any, error) {
			if c.num(1) > c.num(2) {
				return nil, c.run.wrong("low is above high", "give the lower end first")
			}
			return math.Min(math.Max(c.num(0), c.num(1)), c.num(2)), nil
		}}}},
	{name: "abs", group: "arithmetic", help: "a value without its sign", example: "abs(10 g - 12 g)",
		forms: []form{{params: []param{anything("x")}, result: sized, run: func(c *call) (any, error) { return math.Abs(c.num(0)), nil }}}},
	{name: "round", group: "arithmetic", help: "the nearest whole number, or whole number of steps", example: "round(131.96 g, 0.1 g)", forms: stepping(math.Round)},
	{name: "ceil", group: "arithmetic", help: "the next whole number up, or whole number of steps", example: "ceil(250 ml / 40 ml)", forms: stepping(math.Ceil)},
	{name: "floor", group: "arithmetic", help: "the next whole number down, or whole number of steps", example: "floor(1.8 kg / 254.2 g)", forms: stepping(math.Floor)},
	{name: "mod", group: "arithmetic", help: "what is left of a division by a whole number of times", example: "mod(17, 5)",
		forms: []form{{params: []param{anything("x"), anything("by")}, result: sized, run: func(c *call) (any, error) {
			if c.num(1) == 0 {
				return nil, c.run.wrong("nothing is left of a division by zero", "give a value other than zero")
			}
			return math.Mod(c.num(0), c.num(1)), nil
		}}}},
	{name: "sqrt", group: "arithmetic", help: "the square root; of an area a length", example: "sqrt(300 cm2)",
		forms: []form{{params: []param{anything("x")}, result: rooted(2), run: func(c *call) (any, error) {
			if c.num(0) < 0 {
				return nil, c.run.wrong("the square root of a value below zero", "give zero or more")
			}
			return math.Sqrt(c.num(0)), nil
		}}}},
	{name: "cbrt", group: "arithmetic", help: "the cube root; of a volume a length", example: "cbrt(1 l)",
		forms: []form{{params: []param{anything("x")}, result: rooted(3), run: func(c *call) (any, error) { return math.Cbrt(c.num(0)), nil }}}},
	{name: "exp", group: "arithmetic", help: "e to that power", example: "exp(-0.5)", forms: unary(math.Exp)},
	{name: "ln", group: "arithmetic", help: "the natural logarithm", example: "ln(2)", forms: logarithm(math.Log)},
	{name: "log10", group: "arithmetic", help: "the logarithm to base 10", example: "log10(1000)", forms: logarithm(math.Log10)},
	{name: "sin", group: "arithmetic", help: "the sine of an angle in degrees", example: "sin(30)", forms: unary(func(x float64) float64 { return math.Sin(x * inDegrees) })},
	{name: "cos", group: "arithmetic", help: "the cosine of an angle in degrees", example: "cos(60)", forms: unary(func(x float64) float64 { return math.Cos(x * inDegrees) })},
	{name: "tan", group: "arithmetic", help: "the tangent of an angle in degrees; the offset of a draft is height * tan(angle)", example: "80 mm * tan(3)", forms: unary(func(x float64) float64 { return math.Tan(x * inDegrees) })},
}

func logarithm(f func(float64) float64) []form {
	return []form{{params: []param{p("x", quantity.Number)}, gives: plain, run: func(c *call) (any, error) {
		if c.num(0) <= 0 {
			return nil, c.run.wrong("the logarithm of a value that is not above zero", "give a value above zero")
		}
		return f(c.num(0)), nil
	}}}
}
