package commands_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

// At one mile a gauge can't show what it shows at sea level, and who looks the
// word up is told what it shows there: 24.6 inHg at most, by the US Standard
// Atmosphere 1976.
func TestVacuumAtAltitude(t *testing.T) {
	d := desk(t)
	golden(t, "term_vacuum", ask(t, d, "bram", "/term word:vacuum"))
	sea := told(t, d, "bram", "/term word:vacuum")
	told(t, d, "ada", `/shop set altitude:"1609.344 m"`)
	golden(t, "safety_vacuum_mile", ask(t, d, "bram", `/safety step:vacuum`))
	for _, line := range []string{"/term word:vacuum", "/term word:degassing", `/term word:"gauge and absolute"`, "/safety step:vacuum", "/safety step:degas", `/safety step:degas material:"demo tin silicone"`} {
		r := told(t, d, "bram", line)
		most, target, shows := fact(t, r, "gauge_most"), fact(t, r, "vacuum_target"), fact(t, r, "gauge_target")
		if math.Abs(most.Value.(float64)-83.4276) > 1e-3 || !strings.Contains(most.Text, "24.6 inHg") || !said(r, "24.6 inHg", "1609 m") {
			t.Errorf("%s: the most is %+v, notes %q", line, most, r.Notes)
		}
		if target.Value != fact(t, sea, "vacuum_target").Value || math.Abs(shows.Value.(float64)+target.Value.(float64)-most.Value.(float64)) > 1e-9 {
			t.Errorf("%s: target %+v, on the gauge %+v", line, target, shows)
		}
		if !strings.Contains(cautionIDs(r), "vacuum") || len(r.Working) != 4 {
			t.Errorf("%s: cautions %q, %d steps of working", line, cautionIDs(r), len(r.Working))
		}
	}
	told(t, d, "ada", `/shop set temp:-5C`)
	for _, f := range told(t, d, "bram", "/term word:vacuum").Facts {
		if f.Key == "water_boils" {
			t.Errorf("below freezing water boils at %+v", f)
		}
	}
}

func TestPressureAtAltitude(t *testing.T) {
	d := desk(t)
	sea := fact(t, told(t, d, "bram", `/term word:"pressure pot"`), "bubble_size")
	told(t, d, "ada", `/shop set altitude:"5280 ft"`)
	for _, line := range []string{`/term word:"pressure pot"`, "/safety step:pressure", `/safety step:pressure material:"demo rigid white"`} {
		r := told(t, d, "bram", line)
		left := fact(t, r, "bubble_size")
		// Thinner air around makes more of the same gauge reading.
		if left.Low == nil || !(*left.Low < *left.High) || !(left.Value.(float64) < sea.Value.(float64)) || math.Abs(*left.Low-math.Cbrt(0.167824)) > 1e-5 {
			t.Errorf("%s: %+v, at sea level %+v", line, left, sea)
		}
		if !strings.Contains(cautionIDs(r), "pressure") || !said(r, "plate on the pot") {
			t.Errorf("%s: cautions %q, notes %q", line, cautionIDs(r), r.Notes)
		}
	}
	// Other words and steps say nothing of the air.
	for _, line := range []string{"/term word:durometer", "/safety step:sand"} {
		if r := told(t, d, "bram", line); len(r.Facts) != 0 {
			t.Errorf("%s tells %+v", line, r.Facts)
		}
	}
}

// A formula's functions bring their notes and cautions along, and the altitude
// that they read unasked is told.
func TestFormulaHandbook(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/shop set altitude:"1609.344 m"`)
	golden(t, "formula_bubble", ask(t, d, "ada", `/formula run text:"0.5 mm * bubble_size(60 psi)"`))
	for line, want := range map[string]struct{ caution, note string }{
		`"bubble_volume(60 psi)"`:                   {"pressure", "1609 m"},
		`"vacuum_gauge(0 kPa)"`:                     {"vacuum", "1609 m"},
		`"lid_force(60 psi, 230 mm)"`:               {"pressure", "plate"},
		`"isocyanate_for(100 g, 400, 31.5 %)"`:      {"isocyanate", "bulletin rules"},
		`"amine_phr(24.4 g, 190 g)"`:                {"amine", "bulletin rules"},
		`"mg_per_m3(0.02, 250.26 g)"`:               {"isocyanate", "industrial hygienist"},
		`"150 mm * oversize(0.4 %, 0.2 %)"`:         {"", "bulletin's bar"},
		`"shore_d(90)"`:                             {"", "without a conversion"},
		`"cost(batch(250 ml, 'demo rigid white'))"`: {"isocyanate", ""},
		`"lid_force(60 psi, 1 m) + lid_force(1 psi, 1 m) + vacuum_lid_force(1 m)"`: {"pressure vacuum", "plate"},
	} {
		r := told(t, d, "ada", "/formula run text:"+line)
		if cautionIDs(r) != want.caution || want.note != "" && !said(r, want.note) {
			t.Errorf("%s: cautions %q, notes %q, want %q and %q", line, cautionIDs(r), r.Notes, want.caution, want.note)
		}
	}
	// A band is no range of 10 to 90 %, a forecast is.
	if r := told(t, d, "ada", `/formula run text:"degas_cup(250 ml)"`); said(r, "10 to 90 %") || !said(r, "The result is a range. It rests on cup for degassing") {
		t.Errorf("a band: %q", r.Notes)
	}
	if r := told(t, d, "ada", `/formula run text:"18 GBP / mold_life('harbor pawn')"`); !said(r, "10 to 90 %") {
		t.Errorf("a forecast: %q", r.Notes)
	}
	refused(t, d, "ada", `/formula run text:"vacuum_left(29 inHg)"`, fault.FormulaError, "text")
	help := told(t, d, "ada", "/formula help function:lid_force")
	if cautionIDs(help) != "pressure" || !said(help, "plate") {
		t.Errorf("help on lid_force: %q, %q", cautionIDs(help), help.Notes)
	}
	if help := told(t, d, "ada", "/formula help function:bubble_size"); !said(help, "the shop's altitude") {
		t.Errorf("help on bubble_size: %q", help.Notes)
	}
	for _, group := range []string{"pressure and vacuum", "size and hardness", "chemistry"} {
		if r := told(t, d, "ada", `/formula help function:"`+group+`"`); len(r.Steps) < 5 {
			t.Errorf("%s: %q", group, r.Steps)
		}
	}
}

// The master's size goes from a mold that is planned into the formula, and where
// a profile's densities tell how far the rubber shrinks, the cavity is told.
func TestMoldBuildSize(t *testing.T) {
	d := desk(t)
	const build = ` box:"84 x 64 x 47 mm" master:"60 ml" made_of:wax`
	ans := ask(t, d, "ada", `/mold build kind:block material:"demo tin silicone"`+build)
	form := press(t, d, "ada", ans, "How large the master?")
	if form.Form == nil {
		t.Fatalf("no form: %+v", form)
	}
	filled := map[string]string{}
	for _, f := range form.Form.Fields {
		filled[f.Name] = f.Value
	}
	filled["inputs"] = "part 150 mm, rubber 0.4 %, resin 0.2 %"
	sized := send(t, d, "ada", form.Form, filled)
	if sized.Reply == nil {
		t.Fatalf("%q: %v", filled["text"], sized.Fault)
	}
	if f := fact(t, sized.Reply, "result"); math.Abs(f.Value.(float64)-150*1.00602812) > 1e-5 || f.Text != "150.9 mm" {
		t.Errorf("the master measures %+v", f)
	}
	filled["inputs"] = ""
	if asked := send(t, d, "ada", form.Form, filled); asked.Fault == nil || asked.Fault.Code != fault.MissingOption {
		t.Errorf("without shrinkages: %+v, %v, want them asked for", asked.Reply, asked.Fault)
	}
	for _, f := range ans.Reply.Facts {
		if f.Key == "cavity_length" {
			t.Errorf("a profile without a cured density tells %+v", f)
		}
	}
	told(t, d, "ada", `/material add name:"dense once cured" family:"silicone addition" ratio:"1:1 wt" density_a:1.05 density_b:1.05 density_mixed:1.10 pot_life:"30 min"`)
	told(t, d, "ada", `/material add name:"same once cured" family:"silicone addition" ratio:"1:1 wt" density_a:1.10 density_b:1.10 density_mixed:1.10 pot_life:"30 min"`)
	r := told(t, d, "ada", `/mold build kind:block material:"dense once cured"`+build)
	f := fact(t, r, "cavity_length")
	if want := 100 * math.Cbrt(1.05/1.10); math.Abs(*f.Low-want) > 1e-9 || *f.High != 100 || !said(r, "up to 1.54 %", "98.5–100 mm") {
		t.Errorf("cavity of 100 mm: %v to %v, want %v to 100; notes %q", *f.Low, *f.High, want, r.Notes)
	}
	for _, f := range told(t, d, "ada", `/mold build kind:block material:"same once cured"`+build).Facts {
		if f.Key == "cavity_length" {
			t.Errorf("a rubber as dense once cured tells %+v", f)
		}
	}
}

// Where a hardness on scale A meets scale D, a comparison tells the band, and
// elsewhere no figure of the other scale at all.
func TestCompareShoreBands(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"tough amber" family:"urethane rubber" ratio:"1:1 wt" pot_life:"30 min" hardness:"90 A"`)
	r := told(t, d, "ada", `/material compare material:"demo rigid white, tough amber"`)
	if !said(r, "without an exact conversion", "90 A may be 35 to 46 D", "common practice") {
		t.Errorf("90 A beside 74 D: %q", r.Notes)
	}
	r = told(t, d, "ada", `/material compare material:"demo rigid white, demo tin silicone"`)
	if !said(r, "without an exact conversion") || said(r, "may be") {
		t.Errorf("28 A beside 74 D: %q", r.Notes)
	}
}

// A shop at the sea and one that nobody asked are told apart, and a form that
// is sent back sets nothing that nobody said.
func TestAltitudeNotSaid(t *testing.T) {
	d := desk(t)
	altitude := func() any { t.Helper(); return fact(t, told(t, d, "ada", "/shop show"), "altitude").Value }
	if r := told(t, d, "bram", "/term word:vacuum"); altitude() != "not set" || !said(r, "Sea level was taken, as the shop does not say") {
		t.Errorf("nobody said: %v, notes %q", altitude(), r.Notes)
	}
	if r := told(t, d, "ada", "/formula run text:air_pressure(altitude)"); !said(r, "sea level was taken, as the shop does not say") && !said(r, "Sea level was taken") {
		t.Errorf("a formula: notes %q", r.Notes)
	}
	inv := calling("ada")
	inv.Line, inv.Forms = "/shop set", true
	ans := d.Do(t.Context(), inv)
	if ans.Form == nil {
		t.Fatalf("no form: %+v", ans)
	}
	for _, f := range ans.Form.Fields {
		if f.Name == "altitude" && f.Value != "" {
			t.Errorf("the form holds altitude %q", f.Value)
		}
	}
	told(t, d, "ada", "/shop set altitude:0")
	if r := told(t, d, "bram", "/term word:vacuum"); altitude() != 0.0 || !said(r, "At sea level, as the shop says") {
		t.Errorf("at the sea: %v, notes %q", altitude(), r.Notes)
	}
	told(t, d, "ada", "/shop set altitude:None")
	if altitude() != "not set" {
		t.Errorf("taken back: %v", altitude())
	}
	refused(t, d, "ada", "/shop set temp:none", fault.BadQuantity, "temp")
}
