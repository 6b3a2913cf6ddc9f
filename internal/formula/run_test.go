package formula_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// TestSolids: closed forms of mensuration, written out anew (CRC Standard
// Mathematical Tables, from memory), in mm³ and mm².
func TestSolids(t *testing.T) {
	const pi = math.Pi
	slant := math.Hypot(30, 90)
	for _, c := range []struct {
		text string
		want float64 // mL, of an area mm²
	}{
		{"box(10 cm, 20 cm, 5 cm)", 1000},
		{"box_area(10 mm, 20 mm, 5 mm)", 2 * (200 + 100 + 50)},
		{"cylinder(30 mm, 12 mm)", pi * 225 * 12 / 1000},
		{"cylinder_area(30 mm, 12 mm)", 2*pi*225 + pi*30*12},
		{"tube(60 mm, 50 mm, 100 mm)", pi * (900 - 625) * 100 / 1000},
		{"cone(60 mm, 90 mm)", pi * 900 * 90 / 3 / 1000},
		{"cone_area(60 mm, 90 mm)", pi*900 + pi*30*slant},
		{"frustum(60 mm, 80 mm, 100 mm)", pi * 100 * (900 + 1200 + 1600) / 3 / 1000},
		{"frustum(60 mm, 80 mm, 100 mm, 50 mm)", pi * 50 * (30*30 + 30*35 + 35*35) / 3 / 1000},
		{"sphere(50 mm)", 4 * pi * 25 * 25 * 25 / 3 / 1000},
		{"sphere_area(50 mm)", 4 * pi * 625},
		{"hemisphere(50 mm)", 2 * pi * 25 * 25 * 25 / 3 / 1000},
		{"cap(60 mm, 12 mm)", pi * 12 * (3*900 + 144) / 6 / 1000},
		{"capsule(30 mm, 90 mm)", (4*pi*15*15*15/3 + pi*225*60) / 1000},
		{"half_round(40 mm, 250 mm)", pi * 400 * 250 / 2 / 1000},
		{"lying_cylinder(100 mm, 200 mm, 50 mm)", pi * 2500 * 200 / 2 / 1000},
		{"ellipsoid(60 mm, 40 mm, 30 mm)", 4 * pi * 30 * 20 * 15 / 3 / 1000},
		{"elliptic_cylinder(60 mm, 40 mm, 50 mm)", pi * 30 * 20 * 50 / 1000},
		{"torus(40 mm, 8 mm)", 2 * pi * pi * 40 * 64 / 1000},
		{"torus_area(40 mm, 8 mm)", 4 * pi * pi * 40 * 8},
		{"wedge(60 mm, 30 mm, 100 mm)", 60 * 30 * 100 / 2.0 / 1000},
		{"wedge(60 mm, 30 mm, 100 mm, 40 mm)", 60 * 30 * (2*100 + 40) / 6.0 / 1000},
		{"pyramid(80 mm, 60 mm, 90 mm)", 80 * 60 * 90 / 3.0 / 1000},
		{"hex_prism(40 mm, 10 mm)", math.Sqrt(3) / 2 * 1600 * 10 / 1000},
	} {
		out, err := run(t, c.text, "")
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if got, _ := out.Values[0].Is.(float64); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("%s = %v, want %v", c.text, got, c.want)
		}
	}
}

// TestAir: the dew point of WMO-No. 8's Magnus form and the pressure of the US
// Standard Atmosphere 1976, whose table gives 89.875 kPa at 1000 m, 79.495 at
// 2000 m and 54.020 at 5000 m (from memory).
func TestAir(t *testing.T) {
	for text, want := range map[string]float64{
		"air_pressure(0 m)": 101.325, "air_pressure(1000 m)": 89.875, "air_pressure(2000 m)": 79.495, "air_pressure(5000 m)": 54.020,
		"dew_point(20 C, 100 %)": 20, "dew_point(25 C, 50 %)": 13.85,
		"water_density(20 C)": 0.998207, // Tanaka et al. 2001, table
	} {
		out, err := run(t, text, "")
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got, _ := out.Values[0].Is.(float64); math.Abs(got-want) > 5e-4*want {
			t.Errorf("%s = %v, want %v", text, got, want)
		}
	}
}

// TestRanges: uncertain values make ranges of what is worked out with them, by
// the law of propagation (JCGM 100:2008, 5.1.2), which is exact for sums and
// products of one.
func TestRanges(t *testing.T) {
	for _, c := range []struct {
		text, inputs   string
		low, mid, high float64
	}{
		{`pot_life("a", 100 g)`, "", 144, 180, 234},
		{`pot_life("a", 100 g) / 2 + 10 s`, "", 82, 100, 127},
		{`100 s - pot_life("a", 100 g)`, "", -134, -80, -44}, // turned round
		// two that are typed alike are one, two others are independent: √(36² + 36²)
		{`pot_life("a", 100 g) + pot_life("a", 100 g)`, "", 288, 360, 468},
		{`pot_life("a", 100 g) + pot_life("b", 100 g)`, "", 360 - 36*math.Sqrt2, 360, 360 + 54*math.Sqrt2},
		{`let p = pot_life("a", 100 g); p / p`, "", 1, 1, 1},
		{`90 / mold_life("m")`, "", 1.5, 2.25, 3},
		{"input w = 10 mm\nw * 3", "w 9 mm to 11 mm", 27, 30, 33},
		{"input w = 10 mm\ninput h = 10 mm\nw + h", "w 7 to 13 mm, h 6 mm to 14 mm", 15, 20, 25},
		{"input w = 10 mm\nw * 3", "w 9 mm", 0, 27, 0},
		{"input w = 10 mm\n5 mm", "w 9 mm to 11 mm", 5, 5, 5},
	} {
		out, err := run(t, c.text, c.inputs)
		if err != nil {
			t.Errorf("%q with %q: %v", c.text, c.inputs, err)
			continue
		}
		v := out.Values[0]
		got, _ := v.Is.(float64)
		near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9*math.Max(1, math.Abs(b)) }
		if unsure := c.low != 0 || c.high != 0; v.Unsure != unsure || unsure != (len(out.Rests) > 0) || !near(got, c.mid) || unsure && (!near(v.Low, c.low) || !near(v.High, c.high)) {
			t.Errorf("%q with %q = %v (%v to %v, %v), want %v (%v to %v)", c.text, c.inputs, got, v.Low, v.High, v.Unsure, c.mid, c.low, c.high)
		}
	}
	out, err := run(t, `pot_life("a", 100 g) > 150 s`, "")
	if err != nil || out.Values[0].Is != true || out.Sure {
		t.Errorf("a choice that turns at an end: %+v, %v", out, err)
	}
	_, err = run(t, `sqrt(160 - pot_life("a", 100 g) / 1 s)`, "")
	if !fault.Is(err, fault.FormulaError) {
		t.Errorf("the root of a value below zero: %v", err)
	}
	_, err = run(t, `1 s / sqrt(200 - pot_life("a", 100 g) / 1 s)`, "")
	if f := fault.As(err); f == nil || !strings.Contains(f.Message, "at the high end of the pot life") {
		t.Errorf("a root that fails at an end: %v", err)
	}
}

// TestNational: measures that differ between countries are told as they were
// read.
func TestNational(t *testing.T) {
	for _, c := range []struct {
		text string
		s    quantity.System
		want string
	}{
		{"input a = 1 cup; a + 2 floz + 1 floz + 1 ml", quantity.Metric, "US cup, US fl oz"},
		{"1 gal", quantity.Imperial, "imp gal"}, {"1 us gal", quantity.Imperial, "US gal"}, {"1 imp gal", quantity.US, "imp gal"}, {"1 l + 1 tbsp", quantity.US, ""},
	} {
		p, err := formula.Compile(c.text, c.s)
		if err != nil || strings.Join(p.National(), ", ") != c.want {
			t.Errorf("%s: %q, %v, want %q", c.text, p.National(), err, c.want)
		}
	}
}

// TestWeighed: a weight is told as the shop's scale shows it.
func TestWeighed(t *testing.T) {
	for text, want := range map[string]string{"1318.44 g": "1318.4 g", "132 g": "132.0 g", "0.02 g": "0.02 g", "2 kg * 3": "6000.0 g"} {
		if out, err := run(t, text, ""); err != nil || out.Values[0].Text != want {
			t.Errorf("%s is told as %+v, %v, want %s", text, out.Values, err, want)
		}
	}
}

// TestBatchResult: a batch gives its names, each as the scale shows it.
func TestBatchResult(t *testing.T) {
	out, err := run(t, `batch(250 ml, "demo rigid white", 4 %)`, "")
	if err != nil || out.Batch == nil {
		t.Fatalf("%+v, %v", out, err)
	}
	got := map[string]formula.Value{}
	for _, v := range out.Values {
		got[v.Key] = v
	}
	// 260 mL at 1.06 g/mL, half of it A by volume.
	for key, want := range map[string]float64{"mass_a": 143, "mass_b": 132.6, "mass_total": 275.6, "volume_a": 130, "volume_b": 130, "volume_total": 260, "cost": 275.6 * 42 / 1800} {
		if v, _ := got[key].Is.(float64); math.Abs(v-want) > 1e-6*want {
			t.Errorf("%s = %v, want %v", key, v, want)
		}
	}
	if v := got["mass_a"]; v.Text != "143.0 g" || !v.Unsure || math.Abs(v.High-v.Low-0.1) > 1e-9 {
		t.Errorf("mass_a: %+v", v)
	}
}

func TestGiven(t *testing.T) {
	const text = "input width = 100 mm (10 mm to 1 m)\ninput count (1 to 50)\ninput waste = 5 % (0 to 20 %)\ninput price = 5 GBP/kg\ninput room = 21 C (-10 C to 40 C)\nwidth * count"
	p, err := formula.Compile(text, quantity.US)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		inputs string
		want   float64 // mm, or NaN where refused
		code   fault.Code
	}{
		{"count 2", 200, ""},
		{"count 2, width 5 in", 254, ""},
		{"count=2; width: 12 cm", 240, ""},
		{"width 1/2 in, count 10", 127, ""},
		{"width 50, count 2", 100, ""}, // bare numbers are in the unit of the declaration
		{"count 2, waste 10", 200, ""},
		{"count 2, price 6.50", 200, ""},
		{"count 2, price 6.50 GBP/kg, room 70 F", 200, ""},
		{"", math.NaN(), fault.MissingOption},
		{"width 12 cm", math.NaN(), fault.MissingOption},
		{"count 51", math.NaN(), fault.OutOfRange},
		{"count 2, width 2 m", math.NaN(), fault.OutOfRange},
		{"count 2, width 5 g", math.NaN(), fault.BadQuantity},
		{"count 2, widht 5 mm", math.NaN(), fault.FormulaError},
		{"count 2, count 3", math.NaN(), fault.FormulaError},
		{"count 2, depth 3 mm", math.NaN(), fault.FormulaError},
		{"count 2, price 6 EUR/kg", math.NaN(), fault.BadQuantity},
		{"count 2, width 20 cm to 10 cm", math.NaN(), fault.OutOfRange},
		{"count 2, waste 0.5", math.NaN(), fault.AmbiguousNumber},
		{strings.Repeat("count 2, ", 80), math.NaN(), fault.FormulaLimit},
	} {
		s := hall(nil)
		s.Given, _, err = p.Given(c.inputs, quantity.US)
		if math.IsNaN(c.want) {
			if f := fault.As(err); f == nil || f.Code != c.code || f.Option != "inputs" || f.HintText() == "" {
				t.Errorf("%.60q: %v, want %s of option inputs with a hint", c.inputs, err, c.code)
			}
			continue
		}
		out, err2 := p.Run(s)
		if got, _ := value0(out); err != nil || err2 != nil || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%q: %v mm (%v, %v), want %v", c.inputs, got, err, err2, c.want)
		}
	}
	one, err := formula.Compile("input width = 10 mm; width", quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	if g, _, err := one.Given("12 mm", quantity.Metric); err != nil {
		t.Errorf("a single input without its name: %v", err)
	} else if out, _ := one.Run(formula.Setting{Given: g}); out.Values[0].Text != "12 mm" {
		t.Errorf("a single input without its name: %+v", out.Values)
	}
}

func value0(out formula.Result) (float64, bool) {
	if len(out.Values) == 0 {
		return 0, false
	}
	v, ok := out.Values[0].Is.(float64)
	return v, ok
}

// TestTry: a test holds to the digits that were typed.
func TestTry(t *testing.T) {
	const text = "input width = 100 mm\nbox(width, 50.4 mm, 50 mm)" // 252 mL
	for _, c := range []struct {
		text, test string
		code       fault.Code
	}{
		{text, "-> 252 ml", ""},
		{text, "width 100 mm -> 252 ml", ""},
		{text, "width 200 mm → 504.0 ml", ""},
		{text, "width 200 mm => 0.504 l", ""},
		{text, "-> 15.38 in3", ""},
		{text, "-> 0.252 l", ""},
		{text, "-> 0.25 l", ""}, // 0.245 to 0.255
		{text, "-> 250 ml", fault.FormulaError},
		{text, "-> 252.1 ml", fault.FormulaError},
		{text, "-> 252", fault.FormulaError},
		{text, "-> 252 g", fault.FormulaError},
		{text, "252 ml", fault.FormulaError},
		{text, "width 100 mm ->", fault.FormulaError},
		{text, "depth 100 mm -> 252 ml", fault.FormulaError},
		{text, "width 5 g -> 252 ml", fault.BadQuantity},
		{text, "-> much", fault.FormulaError},
		{"72 F", "-> 22 C", ""},
		{"72 F", "-> 22.22 C", ""},
		{"72 F", "-> 72 F", ""},
		{"72 F", "-> 23 C", fault.FormulaError},
		{"1 < 2", "-> yes", ""},
		{"1 < 2", "-> no", fault.FormulaError},
		{"20 GBP", "-> 20 GBP", ""},
		{"5 mm - 10 mm", "-> -5 mm", ""},
		{`batch(250 ml, "a", 4 %)`, "-> mass_a 143.0 g, mass_b 132.6 g", ""},
		{`batch(250 ml, "a", 4 %)`, "-> mass_a 143.0 g, mass_b 133.6 g", fault.FormulaError},
		{"input x = 0; 1 mm / x", "-> 2 mm", fault.FormulaError},
	} {
		p, err := formula.Compile(c.text, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		err = p.Try(c.test, hall(p.Things()))
		f := fault.As(err)
		switch {
		case c.code == "" && err != nil:
			t.Errorf("%q, %q: %v", c.text, c.test, err)
		case c.code != "" && (f == nil || f.Code != c.code || f.HintText() == ""):
			t.Errorf("%q, %q: got %v, want %s with a hint", c.text, c.test, err, c.code)
		}
	}
}

// TestDeclarations: every function is explained, has an example that works, and
// every constant and every unit offered is read.
func TestDeclarations(t *testing.T) {
	for _, d := range formula.Functions() {
		if d.Help == "" || d.Example == "" || d.Group == "" || len(d.Forms) == 0 || strings.HasSuffix(d.Help, ".") {
			t.Errorf("%s: %+v", d.Name, d)
		}
		if out, err := run(t, d.Example, ""); err != nil || !strings.Contains(d.Example, d.Name+"(") {
			t.Errorf("%s: example %q gives %+v, %v", d.Name, d.Example, out.Values, err)
		} else if d.Unsure != out.Values[0].Unsure && out.Batch == nil {
			t.Errorf("%s: unsure is %v and its example %v", d.Name, d.Unsure, out.Values[0].Unsure)
		}
	}
	for _, d := range formula.Constants() {
		if out, err := run(t, d.Name, ""); err != nil || d.Help == "" {
			t.Errorf("%s: %+v, %v", d.Name, out.Values, err)
		}
	}
	for d := quantity.Mass; d <= quantity.Drops; d++ {
		units := formula.Units(d)
		if len(units) == 0 {
			t.Errorf("%s has no units", d.Name())
		}
		for _, u := range units {
			if out, err := run(t, "3 "+u, ""); err != nil || out.Values[0].Unit != quantity.BaseUnit(d) {
				t.Errorf("3 %s: %+v, %v", u, out.Values, err)
			}
		}
	}
	if _, like, ok := formula.FunctionNamed("batsh"); ok || like != "batch" {
		t.Errorf("batsh is read as %q, %v", like, ok)
	}
}

func TestComplete(t *testing.T) {
	for text, want := range map[string]string{
		"cyl": "cylinder(", "250 ml + cyl": "250 ml + cylinder(", "250 m": "250 mL", "250m": "250mL", "let width = 5 mm; wid": "let width = 5 mm; width",
		"sca": "scale_step", "": "", "1 + ": "", "ünk": "",
	} {
		all := formula.Complete(text)
		found := want == "" && len(all) == 0
		for _, s := range all {
			found = found || s.Text == want && s.Word != ""
		}
		if !found {
			t.Errorf("%q is completed to %+v, want %q among them", text, all, want)
		}
	}
}

// TestCache: programs are kept, a bounded number of them, apart by unit system,
// and may run at the same time.
func TestCache(t *testing.T) {
	c := formula.NewCache()
	first, err := c.Compile("input w = 1 gal; w * 2", quantity.US)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := c.Compile("input w = 1 gal; w * 2", quantity.US); err != nil || again != first {
		t.Errorf("compiled again: %v", err)
	}
	if imperial, err := c.Compile("input w = 1 gal; w * 2", quantity.Imperial); err != nil || imperial == first {
		t.Errorf("the imperial gallon is taken for the US one: %v", err)
	}
	if _, err := c.Compile("1 +", quantity.US); !fault.Is(err, fault.FormulaError) {
		t.Errorf("a wrong one: %v", err)
	}
	var wait sync.WaitGroup
	for i := range 8 {
		wait.Go(func() {
			for n := range 60 {
				p, err := c.Compile(fmt.Sprintf("input w = %d g; w * 2", n), quantity.Metric)
				if err != nil {
					t.Error(err)
					return
				}
				g, _, _ := p.Given(fmt.Sprintf("w %d g", i+1), quantity.Metric)
				out, err := p.Run(formula.Setting{Given: g})
				if v, _ := value0(out); err != nil || v != float64(2*(i+1)) {
					t.Errorf("%v, %v", v, err)
				}
			}
		})
	}
	wait.Wait()
	for n := range 300 {
		if _, err := c.Compile(fmt.Sprintf("%d g", n), quantity.Metric); err != nil {
			t.Fatal(err)
		}
	}
	if again, err := c.Compile("input w = 1 gal; w * 2", quantity.US); err != nil || again == first {
		t.Errorf("the oldest did not give way (%v)", err)
	}
}

// TestFailureOfOurs: what breaks inside of a run is no refusal.
func TestFailureOfOurs(t *testing.T) {
	p, err := formula.Compile(`pot_life("a", 100 g)`, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	s := hall(p.Things())
	broken := errors.New("the model broke")
	s.PotLife = func(material.Profile, float64, float64) (quantity.Range, error) { return quantity.Range{}, broken }
	if _, err := p.Run(s); !errors.Is(err, broken) || fault.As(err) != nil {
		t.Errorf("got %v", err)
	}
	s.PotLife = nil
	if _, err := p.Run(s); !fault.Is(err, fault.FormulaError) {
		t.Errorf("without a model: %v", err)
	}
}
