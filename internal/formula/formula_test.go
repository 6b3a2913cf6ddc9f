package formula_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// hall is a shop as a run sees it, with a material and a mold that are invented.
func hall(things []formula.Thing) formula.Setting {
	found := make([]formula.Thing, len(things))
	for i, t := range things {
		found[i] = t
		found[i].Material = material.Profile{
			Name: t.Name, Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
			DensityA: 1.10, DensityB: 1.02, Price: 42, Pack: 1800,
		}
		found[i].Mold = formula.MoldFacts{Name: t.Name, Volume: 6.2, Cavities: 6, Pulls: 17, Life: quantity.Range{Low: 30, Mid: 40, High: 60}}
	}
	return formula.Setting{
		Things: found, Temp: 21, Humidity: 0.5, Altitude: 120, ScaleStep: 0.1, Currency: "GBP",
		PotLife: func(_ material.Profile, mass, _ float64) (quantity.Range, error) {
			v := 180 * math.Sqrt(100/mass)
			return quantity.Range{Low: 0.8 * v, Mid: v, High: 1.3 * v}, nil
		},
	}
}

// run compiles and runs a text with values for its inputs.
func run(t *testing.T, text, inputs string) (formula.Result, error) {
	t.Helper()
	p, err := formula.Compile(text, quantity.Metric)
	if err != nil {
		return formula.Result{}, err
	}
	s := hall(p.Things())
	if s.Given, _, err = p.Given(inputs, quantity.Metric); err != nil {
		return formula.Result{}, err
	}
	return p.Run(s)
}

// TestResults: the value of each is reckoned by hand or by the definition beside
// it. Factors are those of NIST SP 811, which the tests of package quantity hold
// against published ones.
func TestResults(t *testing.T) {
	const floz, inch, lb, oz = 29.5735295625, 25.4, 453.59237, 28.349523125
	for _, c := range []struct {
		text string
		want float64
		unit string
	}{
		{"1 + 2 * 3", 7, "1"},
		{"(1 + 2) * 3", 9, "1"},
		{"2^3^2", 512, "1"}, // from the right
		{"-2^2", -4, "1"},
		{"2 ** 0 + 1", math.NaN(), ""},
		{"7 %", 0.07, "1"},
		{"7%*100 g", 7, "g"},
		{"1e3 + .5", 1000.5, "1"},
		{"250 ml + 2 floz", 250 + 2*floz, "mL"},
		{"250 ml + 2 fl oz", 250 + 2*floz, "mL"},
		{"1/2 in", inch / 2, "mm"},
		{"2 3/8 in", 2.375 * inch, "mm"},
		{"1/2 * 1 in", inch / 2, "mm"},
		{"5 ft 3 in", 63 * inch, "mm"},
		{"1 lb 4 oz", lb + 4*oz, "g"},
		{"1 h 20 min", 4800, "s"},
		{"5 cm3", 5, "mL"},
		{"(5 cm)^3", 125, "mL"},
		{"10 cm * 10 cm * 10 cm", 1000, "mL"},
		{"300 cm2 * 2 mm", 60, "mL"},
		{"250 ml * 1.1 g/ml", 275, "g"},
		{"27.68 in3/lb", 453.59237 / (27.68 * 16.387064), "g/mL"},
		{"10 g/l", 0.01, "g/mL"},
		{"72 F", 22.2222222222, "degC"},
		{"-40 F", -40, "degC"},
		{"-40 K + 0 dK", -313.15, "degC"}, // an absurd one: the minus is part of the reading
		{"72 F - 20 C", 2.2222222222, "K"},
		{"20 C + 9 dF", 25, "degC"},
		{"(72 F - 20 C) / 1 dC", 2.2222222222, "1"},
		{"60 psi", 413.685437590, "kPa"},
		{"1 kPa * 1 m2 / 1 kg", 1e6, "mm/s2"},
		{"42 GBP / 1.8 kg * 250 g", 42.0 * 250 / 1800, "GBP"},
		{"5 GBP/kg * 2 kg", 10, "GBP"},
		{"10 gal", 37854.11784, "mL"},
		{"sqrt(300 cm2)", math.Sqrt(30000), "mm"},
		{"cbrt(1 l)", 100, "mm"},
		{"min(1 cup, 250 ml, 300 ml)", 236.5882365, "mL"},
		{"max(2 g, 30 mg)", 2, "g"},
		{"round(131.96 g, 0.1 g)", 132, "g"},
		{"round(2.5)", 3, "1"},
		{"ceil(250 ml / 40 ml)", 7, "1"},
		{"ceil(0.3/0.1)", 3, "1"},
		{"floor(1.8 kg / 254.2 g)", 7, "1"},
		{"clamp(temp, 18 C, 20 C)", 20, "degC"},
		{"abs(10 g - 12 g)", 2, "g"},
		{"mod(17, 5)", 2, "1"},
		{"80 mm * tan(45)", 80, "mm"},
		{"exp(ln(5)) + log10(1000)", 8, "1"},
		{"humidity * 2", 1, "1"},
		{"altitude", 120000, "mm"},
		{"scale_step / (2 * 2%)", 2.5, "g"}, // trade R6
		{"2 * π * 5 mm", 10 * math.Pi, "mm"},
		{"3 × 4 ÷ 2 − 1", 5, "1"},
		{"temp < 18 C ? 10 min : 5 min", 300, "s"},
		{"temp > 18 C and not (humidity >= 60%) ? 1 : 2", 1, "1"},
		{"let a = 5 cm; let b = 2 in; a * b * 1 mm", 50 * 2 * inch / 1000, "mL"},
		{"let a = 5 cm\nlet b = a +\n  2 cm\nb", 70, "mm"},
		{"let a = 5 cm\nlet b = a\n  + 2 cm\nb", 70, "mm"},
		{"a = 2; let b = a^2; b", 4, "1"},
		{"let min = 3; min(min, 2)", 2, "1"}, // a name may be that of a function
		{"let total = 12 g", 12, "g"},
		{"3 drops * 0.045 g / 1 drop", 0.135, "g"},
		{"density('demo rigid white')", 1.06, "g/mL"},
		{"250 ml * density(“demo rigid white”)", 265, "g"},
		{`cost(265 g, "demo rigid white")`, 265 * 42 / (1800.0 / (1.10 + 1.02) * 2.12), "GBP"},
		{`mass_total(batch(250 g, "demo rigid white"))`, 250, "g"},
		{`mass_b(batch(100 g, "100:45 wt", 1.15 g/ml, 0.98 g/ml)) / mass_a(batch(100 g, "100:45 wt", 1.15 g/ml, 0.98 g/ml))`, 0.4493, "1"},
		{"weight_ratio(1, 1.10 g/ml, 1.02 g/ml)", 1.02 / 1.10, "1"},
		{"volume_ratio(0.45, 1.15 g/ml, 0.98 g/ml)", 0.45 * 1.15 / 0.98, "1"},
		{"mixed_density(1, 1 g/ml, 2 g/ml)", 2 / 1.5, "g/mL"},
		{`mold_volume("harbor pawn") * mold_cavities("harbor pawn")`, 37.2, "mL"},
	} {
		out, err := run(t, c.text, "")
		if math.IsNaN(c.want) {
			if !fault.Is(err, fault.FormulaError) {
				t.Errorf("%q: got %+v, %v, want it refused", c.text, out.Values, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		got, _ := out.Values[0].Is.(float64)
		if math.Abs(got-c.want) > 1e-9*max(1, math.Abs(c.want)) && !(strings.Contains(c.text, "mass_b") && math.Abs(got-c.want) < 1e-3) || out.Values[0].Unit != c.unit {
			t.Errorf("%q = %.12g %s, want %.12g %s", c.text, got, out.Values[0].Unit, c.want, c.unit)
		}
	}
}

// TestRefusals: each says where, by line and column, and what to type instead.
func TestRefusals(t *testing.T) {
	long := strings.Repeat("1+", 300) + "1"
	for _, c := range []struct {
		text  string
		code  fault.Code
		where string
		says  string // in the message or the hint
	}{
		{"", fault.FormulaError, "line 1, column 1", "nothing to work out"},
		{"250 ml + 2 g", fault.FormulaError, "line 1, column 8", "a volume and a weight"},
		{"let a = 5 mm\na + 3", fault.FormulaError, "line 2, column 3", "no unit"},
		{"250 ml + 8 oz", fault.FormulaError, "column 8", "floz"},
		{"20 C + 5 C", fault.FormulaError, "column 6", "dC"},
		{"20 C * 2", fault.FormulaError, "column 6", "difference"},
		{"-temp", fault.FormulaError, "column 1", "sign"},
		{"5 g ^ 0.5", fault.FormulaError, "column 5", "sqrt"},
		{"2 ^ 1 g", fault.FormulaError, "column 3", "bare number"},
		{"(1 mm)^6 * (1 mm)^6 * 1 mm", fault.FormulaError, "column 21", "nothing any more"},
		{"1 < 2 < 3", fault.FormulaError, "column 5", "a < b and b < c"},
		{"1 g == 1 ml", fault.FormulaError, "column 5", "compared"},
		{"1 ? 2 : 3", fault.FormulaError, "column 1", "condition"},
		{"true ? 1 : 2 g", fault.FormulaError, "column 12", "choice"},
		{"true + 1", fault.FormulaError, "column 6", "can't be worked with"},
		{"1 and 2", fault.FormulaError, "column 3", "yes or no"},
		{"widht", fault.FormulaError, "column 1", "input widht"},
		{"input width = 5 mm\nwidht", fault.FormulaError, "line 2, column 1", "did you mean width?"},
		{"3 * ml", fault.FormulaError, "column 5", "1 ml"},
		{"sqrtt(4)", fault.FormulaError, "column 1", "did you mean sqrt(x)?"},
		{"let a = 2; a(3)", fault.FormulaError, "column 12", "to multiply"},
		{"pow(2, 3)", fault.FormulaError, "column 1", "x ^ 2"},
		{"for i", fault.FormulaError, "column 1", "no loops"},
		{"map(1)", fault.FormulaError, "column 1", "no loops"},
		{"temp + 5", fault.FormulaError, "column 6", "5 dC"},
		{"min", fault.FormulaError, "column 1", "is a function"},
		{"min(1 g, 2 ml)", fault.FormulaError, "column 5", "not of one sort"},
		{"min(1 g)", fault.FormulaError, "column 1", "too few"},
		{"box(1 mm, 2 mm, 3 mm, 4 mm)", fault.FormulaError, "column 1", "too many"},
		{"box(1 mm, 2 g, 3 mm)", fault.FormulaError, "column 11", "a length, and this is a weight"},
		{"sqrt(5 g)", fault.FormulaError, "column 6", "no meaning"},
		{"round(3.7 g)", fault.FormulaError, "column 7", "0.1 g"},
		{`"demo rigid white"`, fault.FormulaError, "column 1", "no value"},
		{`density(5)`, fault.FormulaError, "column 9", "in quotes"},
		{`batch(250 ml, "1:1", 1.1 g/ml, 1 g/ml)`, fault.FormulaError, "column 15", "no ratio"},
		{"5 mm\n6 mm", fault.FormulaError, "line 1, column 1", "let total"},
		{"let a = 1\nlet a = 2\na", fault.FormulaError, "line 2, column 5", "set already"},
		{"let pi = 3", fault.FormulaError, "column 5", "can't be set"},
		{"let a", fault.FormulaError, "column 1", "let sets a name"},
		{"let a =", fault.FormulaError, "column 7", "nothing"},
		{"1 + let a = 2", fault.FormulaError, "column 5", "line of its own"},
		{"1 = 2", fault.FormulaError, "column 3", "=="},
		{"2 width", fault.FormulaError, "column 3", "2 * width"},
		{"2(3)", fault.FormulaError, "column 2", "sign is missing"},
		{"2 g 3 ml", fault.FormulaError, "column 5", "sign is missing"},
		{"(1 + 2", fault.FormulaError, "column 1", "never closed"},
		{"1 + 2)", fault.FormulaError, "column 6", "closes nothing"},
		{"1 +", fault.FormulaError, "column 4", "too early"},
		{"* 2", fault.FormulaError, "column 1", "does not fit"},
		{"2,5 + 1", fault.FormulaError, "column 2", "decimal sign is a point"},
		{"1,000 g", fault.FormulaError, "column 3", "begins with a zero"},
		{"5 cm^3", fault.FormulaError, "column 5", "two ways"},
		{"5\"", fault.FormulaError, "column 2", "in for inches"},
		{"7 % 3", fault.FormulaError, "column 3", "mod(7, 3)"},
		{"1 GBP + 1 EUR", fault.FormulaError, "column 9", "one currency"},
		{"10 EUR", fault.FormulaError, "the formula counts", "GBP"},
		{"1/0", fault.FormulaError, "column 2", "zero"},
		{"let a = 2\n1/(a-2)", fault.FormulaError, "line 2, column 2", "zero"},
		{"(0-8)^0.5", fault.FormulaError, "column 6", "power"},
		{"1e308 * 1e308", fault.FormulaError, "column 1", "too large"},
		{"sqrt(0-1)", fault.FormulaError, "column 1", "below zero"},
		{"ln(0)", fault.FormulaError, "column 1", "logarithm"},
		{"mod(1, 0)", fault.FormulaError, "column 1", "zero"},
		{"round(1, 0)", fault.FormulaError, "column 1", "step"},
		{"clamp(1, 3, 2)", fault.FormulaError, "column 1", "low is above high"},
		{"exp(1000)", fault.FormulaError, "column 1", "no number"},
		{"dew_point(temp, 3)", fault.FormulaError, "column 1", "dew point"},
		{"air_pressure(20000 m)", fault.FormulaError, "column 1", "height"},
		{"water_density(90 C)", fault.FormulaError, "column 1", "90"},
		{"frustum(10 mm, 20 mm, 30 mm, 50 mm)", fault.FormulaError, "column 1", ""},
		{`pot_life("x", 0 g)`, fault.FormulaError, "column 1", "above zero"},
		{"input a = 5 mm (10 mm to 20 mm)\na", fault.FormulaError, "column 17", "outside"},
		{"input a = 5 mm (20 mm to 1 mm)\na", fault.FormulaError, "column 17", "go up"},
		{"input a = 5 mm (1 g to 2 g)\na", fault.FormulaError, "column 24", "same sort"},
		{"input a = 5 mm\ninput a = 6 mm\na", fault.FormulaError, "line 2, column 7", "already"},
		{"let b = 1\ninput a = 5 mm\na", fault.FormulaError, "line 2, column 1", "first lines"},
		{"input pi = 5\npi", fault.FormulaError, "column 7", "can't be set"},
		{"input = 5", fault.FormulaError, "column 7", "no name"},
		{"input a = b\na", fault.FormulaError, "column 11", "number is missing"},
		{"input a = 5 mm what\na", fault.FormulaError, "column 16", "does not fit"},
		{"input a (1 mm)\na", fault.FormulaError, "column 14", "two ends"},
		{"let d = 3\n10 mm/d", fault.FormulaError, "line 2, column 7", "a name of yours and a unit"},
		{long, fault.FormulaLimit, "column", "500 parts"},
		{strings.Repeat("1", 2001), fault.FormulaLimit, "column 2001", "2000"},
		{strings.Repeat("(", 61) + "1" + strings.Repeat(")", 61), fault.FormulaLimit, "column 61", "60 deep"},
		{inputs(21), fault.FormulaLimit, "line 21", "20"},
		{strings.Repeat("a = 1\n", 101), fault.FormulaLimit, "line 101", "100 lines"},
		{"let " + strings.Repeat("a", 41) + " = 1", fault.FormulaLimit, "column 5", "40"},
		{`density("` + strings.Repeat("a", 81) + `")`, fault.FormulaLimit, "column 9", "80"},
		{many(11, `density("m%d")`), fault.FormulaLimit, "column", "materials and molds"},
		{many(11, `mass_a(batch(%d1 g, "a"))`), fault.FormulaLimit, "column", "batch 11"},
		{many(9, `mold_life("m%d")`), fault.FormulaLimit, "column", "uncertain"},
		{many(4, `pot_life("m", %d g)`), fault.FormulaLimit, "column", "pot_life is called"},
	} {
		out, err := run(t, c.text, "")
		f := fault.As(err)
		switch {
		case f == nil:
			t.Errorf("%.60q: got %+v, %v, want %s", c.text, out.Values, err, c.code)
		case f.Code != c.code || f.Option != "text" || !strings.Contains(f.Message, c.where):
			t.Errorf("%.60q: got %v, want %s at %s of option text", c.text, f, c.code, c.where)
		case f.HintText() == "" || !strings.Contains(f.Message+" "+f.HintText(), c.says):
			t.Errorf("%.60q: %q, hint %q, want %q said", c.text, f.Message, f.HintText(), c.says)
		}
	}
}

// inputs declares n of them.
func inputs(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString("input a" + string(rune('a'+i)) + " = 1\n")
	}
	return b.String() + "1"
}

// many adds n calls up, each with its number in it.
func many(n int, call string) string {
	all := make([]string, n)
	for i := range all {
		all[i] = strings.ReplaceAll(call, "%d", string(rune('1'+i%9))+strings.Repeat("1", i/9))
	}
	return strings.Join(all, " + ")
}
