package commands_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// valued is a fact's value as a float.
func valued(t testing.TB, r *chat.Reply, key string) float64 {
	t.Helper()
	switch v := fact(t, r, key).Value.(type) {
	case float64:
		return v
	case int:
		return float64(v)
	}
	t.Fatalf("fact %s is no number", key)
	return 0
}

func near(t testing.TB, r *chat.Reply, key string, want, tol float64) {
	t.Helper()
	if got := valued(t, r, key); math.Abs(got-want) > tol {
		t.Errorf("%s: got %v, want %v ± %v", key, got, want, tol)
	}
}

func TestBatch(t *testing.T) {
	d := desk(t)
	golden(t, "batch_volume", ask(t, d, "bram", `/batch material:"demo rigid white" volume:"250 ml"`))
	golden(t, "batch_working", press(t, d, "bram", ask(t, d, "bram", `/batch material:"demo rigid white" volume:"250 ml"`), "Show working"))
	golden(t, "batch_cups", ask(t, d, "ada", `/batch material:"demo tin silicone" volume:"1 l" cup_size:"400 ml"`))
	golden(t, "batch_mold", ask(t, d, "ada", `/batch material:"demo rigid white" mold:"harbor pawn" count:12`))
	golden(t, "batch_filler", ask(t, d, "ada", `/batch material:"demo rigid clear" volume:"500 ml" filler:"chalk 50 phr" temp:"14 C"`))
	golden(t, "batch_near_name", ask(t, d, "ada", `/batch material:"demo rigid whte" volume:"250 ml"`))
}

// The arithmetic is that of any recipe: 1:1 by volume at 1.10 and 1.02 g/mL is
// 110:102 by weight, and 250 mL with 4 % more weighs 260 × 1.06 g.
func TestBatchNumbers(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/batch material:"demo rigid white" volume:"250 ml"`)
	near(t, r, "mass_a", 143, 0.05)
	near(t, r, "mass_b", 132.6, 0.05)
	near(t, r, "mass_total", 275.6, 0.1)
	near(t, r, "volume_total", 260, 0.2)
	near(t, r, "waste_fraction", 0.04, 1e-12)
	near(t, r, "cups", 1, 0)
	near(t, r, "ratio_error", 0, 1e-3)
	near(t, r, "cost", 275.6/1800*42, 0.02)
	for _, key := range []string{"mass_a", "mass_b"} {
		if f := fact(t, r, key); f.Low == nil || f.High == nil || *f.High-*f.Low < 0.099 || *f.High-*f.Low > 0.101 {
			t.Errorf("%s: bounds %v to %v, want one scale step of 0.1 g", key, f.Low, f.High)
		}
	}
}

func TestBatchMassAddsNothing(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/batch material:"demo casting epoxy" mass:"60 g"`)
	near(t, r, "mass_total", 60, 0.11)
	for _, f := range r.Facts {
		if f.Key == "waste_fraction" {
			t.Error("a mass in the cup is answered with waste")
		}
	}
	near(t, r, "ratio_error", 0, 0.0025)
}

func TestBatchMold(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/batch material:"demo rigid white" mold:"harbor pawn"`)
	near(t, r, "volume_total", 6*6.2+2, 0.4) // 2 mL per cup is more than 4 %
	r = told(t, d, "ada", `/batch material:"demo rigid white" mold:"harbor pawn" count:13`)
	if !strings.Contains(r.Title, "13 parts = 3 fills of 6") || !said(r, "5 cavities", "count:18") {
		t.Errorf("title %q and notes %q do not tell of the last fill", r.Title, r.Notes)
	}
	if r := told(t, d, "ada", `/batch material:"demo rigid white" mold:"dice tray"`); !said(r, "retired", "torn") {
		t.Errorf("notes %q do not say that the mold is retired", r.Notes)
	}
}

func TestBatchFile(t *testing.T) {
	d := desk(t)
	file := chat.File{Name: "box.stl", Data: meshtest.Box([3]float64{}, [3]float64{20, 30, 40}).STL("")}
	inv := calling("ada")
	inv.Line, inv.Files = `/batch material:"demo rigid white" count:4`, map[string]chat.File{"": file}
	ans := d.Do(t.Context(), inv)
	if ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	near(t, ans.Reply, "volume_total", 4*24+3.84, 0.3)
	again := press(t, d, "ada", ans, "Show working")
	if again.Fault != nil || len(again.Reply.Working) == 0 {
		t.Errorf("the working of a file that is gone: %+v", again.Fault)
	}
}

func TestBatchVolumeRatioWithoutDensities(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"plain" family:urethane ratio:"2:1 vol" pot_life:"5 min" density_mixed:1.05`)
	r := told(t, d, "ada", "/batch material:plain volume:300ml")
	near(t, r, "volume_a", 208, 0.5)
	near(t, r, "volume_b", 104, 0.5)
	if !said(r, "density of each part") {
		t.Errorf("notes %q do not say why there are no weights", r.Notes)
	}
	for _, f := range r.Facts {
		if f.Key == "mass_a" {
			t.Error("weights without densities")
		}
	}
}

func TestBatchRefusals(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`/batch`, fault.MissingOption, "material"},
		{`/batch material:"demo rigid white"`, fault.MissingOption, "volume"},
		{`/batch material:"demo rigid white" volume:"1 l" mass:"1 kg"`, fault.TooManyOptions, "mass"},
		{`/batch material:"demo rigid white" mass:"1 kg" count:3`, fault.TooManyOptions, "count"},
		{`/batch material:"demo rigid white" volume:"1 l" resize:2`, fault.TooManyOptions, "resize"},
		{`/batch material:"demo rigid whte" volume:"1 l"`, fault.UnknownMaterial, "material"},
		{`/batch material:"nothing like it" volume:"1 l"`, fault.UnknownMaterial, "material"},
		{`/batch material:"demo rigid white" mold:"harbour pawn"`, fault.UnknownMold, "mold"},
		{`/batch material:"demo rigid white" volume:"1,000"`, fault.AmbiguousNumber, "volume"},
		{`/batch material:"demo rigid white" volume:"3 kg"`, fault.BadQuantity, "volume"},
		{`/batch material:"demo rigid white" volume:"0 ml"`, fault.OutOfRange, "volume"},
		{`/batch material:"demo rigid white" volume:"-5 ml"`, fault.OutOfRange, "volume"},
		{`/batch material:"demo rigid white" volume:"250 ml" waste:0.1`, fault.AmbiguousNumber, "waste"},
		{`/batch material:"demo rigid white" volume:"250 ml" waste:"900 %"`, fault.OutOfRange, "waste"},
		{`/batch material:"demo rigid white" volume:"250 ml" filler:"unobtainium 5 phr"`, fault.NotFound, "filler"},
		{`/batch material:"demo rigid white" volume:"250 ml" colour:red`, fault.UnknownOption, "colour"},
		{`/batch volume:"250 ml" colour:red`, fault.UnknownOption, "colour"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, "ada", c.line, c.code, c.option) })
	}
}

func TestBatchSaysWhatItTookForGranted(t *testing.T) {
	d := desk(t)
	if r := told(t, d, "ada", `/batch material:"demo rigid white" volume:"30 ml" count:1`); !strings.HasSuffix(r.Title, ", 1 part") {
		t.Errorf("title %q", r.Title)
	}
	// The pot life of a cup rests on the room, also where the bulletin names no
	// coldest one.
	told(t, d, "ada", `/material add name:"bench white" family:urethane ratio:"1:1 vol" density_a:"1.10, 1.02" pot_life:"3 min, 100 g, 23 C"`)
	if r := told(t, d, "ada", `/batch material:"bench white" volume:"30 ml"`); !said(r, "At the shop's 21 °C") {
		t.Errorf("notes %q do not say which room was taken", r.Notes)
	}
	// A and B as weighed are what is mixed.
	r := told(t, d, "ada", `/batch material:"demo casting epoxy" mass:"31 g" scale_step:"5 g"`)
	near(t, r, "volume_total", fact(t, r, "volume_a").Value.(float64)+fact(t, r, "volume_b").Value.(float64), 1e-9)
	// Counts have no unit.
	if f := fact(t, told(t, d, "ada", `/batch material:"demo rigid white" volume:"50 ml" tint:"brick red 0.5%"`), "drops_1"); f.Unit != "1" {
		t.Errorf("drops are in %q", f.Unit)
	}
}

// Between names that are as near as each other only the member can choose.
func TestNearNamesThatTie(t *testing.T) {
	d := desk(t)
	ans := refused(t, d, "ada", `/batch material:"demo rigid" volume:"30 ml"`, fault.UnknownMaterial, "material")
	for _, name := range []string{"demo rigid black", "demo rigid clear", "demo rigid slow white", "demo rigid white"} {
		if !strings.Contains(ans.Fault.HintText(), `"`+name+`"`) {
			t.Errorf("hint %q leaves %s out", ans.Fault.HintText(), name)
		}
	}
	// Where a near name is used, cautions of the wrong family would be shown.
	refused(t, d, "ada", `/safety material:demo`, fault.AmbiguousName, "material")
	if r := told(t, d, "ada", `/safety material:"demo cast"`); !said(r, `"demo cast" was read as "demo casting epoxy".`) {
		t.Errorf("notes %q", r.Notes)
	}
}
