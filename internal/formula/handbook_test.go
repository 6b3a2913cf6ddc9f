package formula_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/quantity"
)

// TestHandbook: the sums of pressure, size, hardness and chemistry, in the units
// of a formula. Values by hand or by the definition beside them; what is behind
// them is checked in its own package.
func TestHandbook(t *testing.T) {
	const psi, inHg, sea = 6.894757293168361, 3.386388640341, 101.325
	hallAir := 101.325 * math.Pow(1-0.0065*120/288.15, 5.25588) // hall lies at 120 m
	for _, c := range []struct {
		text string
		want float64
		unit string
	}{
		{"absolute(60 psi)", 60*psi + hallAir, "kPa"},
		{"absolute(60 psi, 1 atm)", 60*psi + sea, "kPa"},
		{"gauge(absolute(3 bar))", 300, "kPa"},
		{"vacuum_left(29 inHg, 1 atm)", sea - 29*inHg, "kPa"},
		{"vacuum_gauge(0 kPa)", hallAir, "kPa"},
		{"vacuum_gauge(vacuum_left(20 inHg)) / 1 inHg", 20, "1"},
		{"bubble_volume(60 psi, 1 atm)", sea / (60*psi + sea), "1"},
		{"bubble_size(60 psi, 1 atm)^3", sea / (60*psi + sea), "1"},
		{"bubble_under_vacuum(1 mm, 1 kPa, 1 atm)", math.Cbrt(sea), "mm"},
		{"foam_rise(3 %, 5 kPa, 1 atm)", 0.97 + 0.03*sea/5, "1"},
		{"lid_force(100 kPa, 1000 mm)", 100e3 * math.Pi / 4, "N"},
		{"vacuum_lid_force(1 m)", sea * 1e3 * math.Pi / 4, "N"},
		{"vacuum_lid_force(1 m, 50 kPa)", (sea - 50) * 1e3 * math.Pi / 4, "N"},
		{"stored_energy(100 kPa, 10 l)", 100e3 * 0.01 * 2.5, "J"},
		{"100 kPa * 1 m2", 1e5, "N"},
		{"5 kN / 100 mm2", 50000, "kPa"},
		{"5 kN * 1 m", 5000, "J"},
		{"1 kJ / 1 l", 1000, "kPa"},
		{"2 N + 3 N", 5, "N"},
		{"water_boils(20 C)", 0.6112 * math.Exp(17.62*20/263.12), "kPa"}, // Magnus form, WMO-No. 8
		{"water_boils_at(water_boils(33 C))", 33, "degC"},
		{"oversize(10 %)", 1 / 0.9, "1"},
		{"oversize(10 %, 20 %, 50 % - 1 %)", 1 / 0.9 / 0.8 / 0.51, "1"},
		{"cast_size(100 mm, 1 %)", 99, "mm"},
		{"volume_shrink(10 %)", 0.271, "1"},
		{"linear_shrink(0.271)", 0.1, "1"},
		{"density_shrink(1 g/ml, 1.25 g/ml)", 0.2, "1"},
		{"expansion(1 m, 3e-4, 40 dC)", 12, "mm"},
		{"expansion(1 m, 3e-4, 72 dF)", 12, "mm"},
		{"shore_depth(50)", 1.27, "mm"},
		{"shore_a_force(100)", 8.05, "N"},
		{"shore_d_force(100)", 44.45, "N"},
		{"oh_equivalent(561)", 100, "g"},
		{"nco_equivalent(42.02 %)", 100, "g"},
		{"isocyanate_for(100 g, 561, 42.02 %)", 100, "g"},
		{"isocyanate_for(100 g, 561, 42.02 %, 1.05)", 105, "g"},
		{"amine_phr(20 g, 200 g)", 10, "1"},
		{"mg_per_m3(1, 24.45 g)", 1, "1"},
		{"ppm(mg_per_m3(7, 100 g), 100 g)", 7, "1"},
		{"mg_per_m3(1, 100 g, 20 C, 1 atm)", 100 / 24.055, "1"}, // NIOSH Manual of Analytical Methods, appendix A: 24.05 L
		{"gas_from_water(18.015 g, 0 C, 1 atm)", 22414, "mL"},   // a mole of an ideal gas
	} {
		out, err := run(t, c.text, "")
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if got, _ := out.Values[0].Is.(float64); math.Abs(got-c.want) > 2e-5*math.Abs(c.want) || out.Values[0].Unit != c.unit || len(out.Working()) == 0 {
			t.Errorf("%q = %.12g %s, want %.12g %s", c.text, got, out.Values[0].Unit, c.want, c.unit)
		}
	}
}

// TestHandbookTexts: how results read, and that tests of formulas take the new
// units.
func TestHandbookTexts(t *testing.T) {
	for text, want := range map[string]string{
		"lid_force(60 psi, 230 mm)":        "17.19 kN",
		"shore_d_force(74)":                "32.89 N",
		"stored_energy(60 psi, 10 l)":      "10.34 kJ",
		"vacuum_gauge(3.1 kPa, 1 atm)":     "98.2 kPa (29.01 inHg)",
		"absolute(60 psi, 1 atm)":          "515 kPa",
		"150 mm * oversize(0.4 %, 0.2 %)":  "150.9 mm",
		"1200 mm * oversize(0.4 %, 0.2 %)": "1.21 m",
		"12.3456 mm":                       "12.3 mm",
	} {
		if out, err := run(t, text, ""); err != nil || out.Values[0].Text != want {
			t.Errorf("%s reads %q, %v, want %q", text, out.Values[0].Text, err, want)
		}
	}
	p, err := formula.Compile("input f = 5 kN (1 N to 10 kN): force\nf / (100 mm)^2", quantity.US)
	if err != nil {
		t.Fatal(err)
	}
	for test, code := range map[string]fault.Code{"-> 500 kPa": "", "f 2 kN -> 200 kPa": "", "f 20 kN -> 2000 kPa": fault.OutOfRange, "f 2 kg -> 200 kPa": fault.BadQuantity} {
		if err := p.Try(test, hall(nil)); code == "" && err != nil || code != "" && !fault.Is(err, code) {
			t.Errorf("%s: %v, want %q", test, err, code)
		}
	}
	long, err := formula.Compile("150 mm * oversize(0.4 %, 0.2 %)", quantity.US)
	if err != nil {
		t.Fatal(err)
	}
	if out, err := long.Run(formula.Setting{System: quantity.US}); err != nil || out.Values[0].Text != "5.941 in" {
		t.Errorf("in inches: %+v, %v", out.Values, err)
	}
}

// TestHandbookRanges: what is not certain is a range.
func TestHandbookRanges(t *testing.T) {
	for text, want := range map[string][3]float64{
		"degas_cup(100 ml)":                  {300, 400, 500},
		"shore_d(80)":                        {25, 29, 34},
		"length_shrink(1 g/ml, 1.331 g/ml)":  {0, (1 - 1/1.1) / 2, 1 - 1/1.1},
		"100 mm * (1 - length_shrink(1, 2))": {},
		"rubber_stiffness(50) / 1 MPa":       {},
		"rubber_stiffness(50) / (1000 kPa)":  {0.8 * 2.4558, 2.4558, 1.2 * 2.4558},
		"shore_a(29)":                        {80 - 5.0*15/18, 80, 84},
	} {
		out, err := run(t, text, "")
		if want == [3]float64{} {
			if !fault.Is(err, fault.FormulaError) {
				t.Errorf("%s: %+v, %v, want it refused", text, out.Values, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		v := out.Values[0]
		for i, got := range []float64{v.Low, v.Is.(float64), v.High} {
			if math.Abs(got-want[i]) > 1e-4*math.Max(1, want[i]) {
				t.Errorf("%s: %v (%v to %v), want %v", text, v.Is, v.Low, v.High, want)
			}
		}
	}
}

// TestHandbookRefusals: a sum without an honest answer is refused at its place,
// with what to type.
func TestHandbookRefusals(t *testing.T) {
	for text, says := range map[string]string{
		"vacuum_left(29 inHg, 24.6 inHg)":     "24.6 inHg",
		"absolute(60 psi, 5 atm)":             "air_pressure",
		"gauge(50 kPa)":                       "vacuum_gauge",
		"vacuum_gauge(3 bar)":                 "gauge(absolute, air)",
		"bubble_under_vacuum(1 mm, 0 kPa)":    "0.01 kPa",
		"foam_rise(100 %, 5 kPa)":             "below 100 %",
		"degas_cup(0 ml)":                     "above zero",
		"lid_force(60 psi, 0 mm)":             "above zero",
		"vacuum_lid_force(300 mm, 2 bar)":     "no vacuum",
		"stored_energy(60 psi, 0 l)":          "10 l",
		"water_boils(80 C)":                   "0 to 60",
		"water_boils_at(1 bar)":               "kPa",
		"oversize(50 %)":                      "bulletin",
		"oversize(0.3)":                       "",
		"cast_size(0 mm, 1 %)":                "150 mm",
		"linear_shrink(100 %)":                "87 %",
		"length_shrink(1.1 g/ml, 1.05 g/ml)":  "swapped",
		"expansion(200 mm, 7, 30 dC)":         "3e-4",
		"expansion(200 mm, 7e-5, 30 C)":       "a difference",
		"shore_d(50)":                         "other gauge",
		"shore_a(74)":                         "other gauge",
		"shore_depth(101)":                    "74",
		"rubber_stiffness(90)":                "A 80",
		"nco_equivalent(31.5)":                "31.5 %",
		"oh_equivalent(0)":                    "400",
		"isocyanate_for(100 g, 400, 30 %, 9)": "each OH",
		"amine_phr(24.4, 190)":                "amine_phr(24.4 g, 190 g)",
		"mg_per_m3(1, 0 g)":                   "SDS",
		"ppm(1, 100 g, 500 C, 1 atm)":         "100 C",
		"gas_from_water(0.05 g, 500 C)":       "100 C",
		"gas_from_water(0.05 g, 20 C, 9 bar)": "air",
	} {
		out, err := run(t, text, "")
		if says == "" {
			if err != nil {
				t.Errorf("%s: %v", text, err)
			}
			continue
		}
		f := fault.As(err)
		if f == nil || f.Code != fault.FormulaError || !strings.Contains(f.Message, "column") || !strings.Contains(f.Message+" "+f.HintText(), says) {
			t.Errorf("%s: %+v, %v, want it refused with %q", text, out.Values, err, says)
		}
	}
	// Above the troposphere there is no telling what a gauge shows.
	p, err := formula.Compile("absolute(60 psi)", quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Run(formula.Setting{Altitude: 12_000}); !fault.Is(err, fault.FormulaError) {
		t.Errorf("at 12 km: %v", err)
	}
}

// TestCalls: a program tells what it calls, each once, and which of the shop's
// figures a call reads on its own.
func TestCalls(t *testing.T) {
	for text, want := range map[string]struct {
		calls, uses string
	}{
		"bubble_size(60 psi) + bubble_size(40 psi) + sqrt(4)": {"bubble_size sqrt", "altitude"},
		"bubble_size(60 psi, 1 atm)":                          {"bubble_size", ""},
		"gas_from_water(1 g, temp)":                           {"gas_from_water", "altitude temp"},
		"1 + 1":                                               {"", ""},
	} {
		p, err := formula.Compile(text, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		var calls []string
		for _, d := range p.Calls() {
			calls = append(calls, d.Name)
		}
		if got := strings.Join(calls, " "); got != want.calls || strings.Join(p.Uses(), " ") != want.uses {
			t.Errorf("%s calls %q and uses %q, want %q and %q", text, got, p.Uses(), want.calls, want.uses)
		}
	}
}

// TestCareIsKnown: every caution that a function names is one of the product's,
// and what can hurt has one.
func TestCareIsKnown(t *testing.T) {
	groups := map[string]int{}
	for _, d := range formula.Functions() {
		groups[d.Group]++
		if _, ok := caution.Get(caution.ID(d.Caution)); d.Caution != "" && !ok {
			t.Errorf("%s names the caution %q, which is none", d.Name, d.Caution)
		}
		if d.Group == "pressure and vacuum" && d.Caution == "" {
			t.Errorf("%s has no caution", d.Name)
		}
		if d.Note != "" && (!strings.HasSuffix(d.Note, ".") || strings.ToUpper(d.Note[:1]) != d.Note[:1]) {
			t.Errorf("%s: its note is no sentence: %q", d.Name, d.Note)
		}
	}
	if len(groups) > 8 { // a message shows eight facts
		t.Errorf("%d groups of functions: %v", len(groups), slices.Sorted(func(yield func(string) bool) {
			for g := range groups {
				if !yield(g) {
					return
				}
			}
		}))
	}
}
