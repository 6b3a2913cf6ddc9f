package commands_test

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

func TestCure(t *testing.T) {
	d := desk(t)
	golden(t, "cure_mold", ask(t, d, "ada", `/cure material:"demo rigid white" mold:"harbor pawn"`))
	golden(t, "cure_runaway", ask(t, d, "ada", `/cure material:"demo casting epoxy" thickness:"40 mm"`))
	golden(t, "cure_slow_rubber", ask(t, d, "ada", `/cure material:"demo tin silicone" thickness:"15 mm" wall:"plaster 20 mm"`))
	golden(t, "cure_cup", ask(t, d, "ada", `/cure material:"demo rigid clear" mass:"400 g"`))
	golden(t, "cure_cold", ask(t, d, "ada", `/cure material:"demo rigid white" thickness:"12 mm" thinnest:"4 mm" temp:"14 C"`))
	golden(t, "cure_working", press(t, d, "ada", ask(t, d, "ada", `/cure material:"demo rigid white" thickness:"12 mm" post:"4 h at 65 C"`), "Show working"))
	golden(t, "cure_inches", func() chat.Answer {
		told(t, d, "bram", "/me set units:us")
		return ask(t, d, "bram", `/cure material:"demo rigid slow white" thickness:"1/2 in" length:"5 in" width:"3 in" temp:"72 F"`)
	}())
}

// times are the facts of the contract that are ranges.
var times = []string{"pot_life", "gel", "demold", "cool", "full_cure", "peak_temp", "peak_at", "thin_demold"}

// Every fact of the contract is there for every demo material, each uncertain
// one with a range that holds it.
func TestCureFacts(t *testing.T) {
	d := desk(t)
	for _, m := range []string{"demo rigid white", "demo rigid slow white", "demo rigid black", "demo rigid clear", "demo flexible amber",
		"demo casting epoxy", "demo tin silicone", "demo addition silicone"} {
		t.Run(m, func(t *testing.T) {
			r := told(t, d, "ada", fmt.Sprintf(`/cure material:%q thickness:"12 mm" thinnest:"4 mm"`, m))
			for _, key := range times {
				f := fact(t, r, key)
				if f.Low == nil || f.High == nil {
					t.Fatalf("%s has no range", key)
				}
				if v := f.Value.(float64); !(*f.Low <= v && v <= *f.High && *f.Low < *f.High) {
					t.Errorf("%s is %v in %v to %v", key, v, *f.Low, *f.High)
				}
				want := "s"
				if key == "peak_temp" {
					want = "degC"
				}
				if f.Unit != want {
					t.Errorf("%s is in %q", key, f.Unit)
				}
			}
			near(t, r, "logs_used", 0, 0)
			if lifts := valued(t, r, "lifts"); lifts < 1 || lifts != math.Trunc(lifts) {
				t.Errorf("lifts %v", lifts)
			}
			if lift := fact(t, r, "max_lift"); !(*lift.Low > 0 && lift.Value.(float64) == *lift.Low && *lift.Low <= *lift.High && *lift.High <= 200) {
				t.Errorf("deepest lift %v mm in %v to %v", lift.Value, *lift.Low, *lift.High)
			}
			if len(r.Images) != 1 || !strings.Contains(r.Images[0].Alt, "demold") || len(r.Images[0].Alt) > 1024 {
				t.Fatalf("images: %d", len(r.Images))
			}
			if _, err := png.Decode(bytes.NewReader(r.Images[0].Data)); err != nil {
				t.Error(err)
			}
		})
	}
}

// The sheet of the bulletin answers the bulletin's own time: 12 min for 6 mm at
// 23 °C (the demo shop's figure), somewhere in the range and near its middle.
// Rigid resins come out in under an hour, thin sections later than thick ones,
// thick ones hotter: common practice, no source.
func TestCurePractice(t *testing.T) {
	d := desk(t)
	at := func(options string) *chat.Reply {
		return told(t, d, "ada", `/cure material:"demo rigid white" temp:"23 C" `+options)
	}
	sheet := at(`thickness:"6 mm"`)
	near(t, sheet, "demold", 720, 90)
	if f := fact(t, sheet, "demold"); *f.Low > 720 || *f.High < 720 || *f.High > 3600 {
		t.Errorf("demold %v to %v s", *f.Low, *f.High)
	}
	cup := at(`mass:"100 g"`)
	near(t, cup, "pot_life", 180, 8)
	thick, thin := at(`thickness:"20 mm"`), at(`thickness:"3 mm"`)
	if valued(t, thin, "demold") < 2*valued(t, thick, "demold") {
		t.Error("3 mm is not much slower than 20 mm")
	}
	if valued(t, thick, "peak_temp") < valued(t, thin, "peak_temp")+20 {
		t.Error("20 mm is not much hotter than 3 mm")
	}
	both := at(`thickness:"20 mm" thinnest:"3 mm"`)
	near(t, both, "thin_demold", valued(t, thin, "demold"), 0.05*valued(t, thin, "demold"))
	if valued(t, both, "demold") < valued(t, both, "thin_demold")-1 {
		t.Error("the part is out before its thinnest section")
	}
}

// Warmer is never slower, and a warm mold helps a thin part.
func TestCureTemperatures(t *testing.T) {
	d := desk(t)
	last := math.Inf(1)
	for _, temp := range []string{"19 C", "21 C", "24 C", "28 C", "35 C"} {
		r := told(t, d, "ada", `/cure material:"demo rigid clear" thickness:"8 mm" temp:"`+temp+`"`)
		if now := valued(t, r, "demold"); now > last {
			t.Errorf("at %s it takes %v s, in the colder room %v s", temp, now, last)
		} else {
			last = now
		}
	}
	cold := told(t, d, "ada", `/cure material:"demo rigid white" thickness:"3 mm"`)
	warm := told(t, d, "ada", `/cure material:"demo rigid white" thickness:"3 mm" mold_temp:"40 C"`)
	if valued(t, warm, "demold") > 0.8*valued(t, cold, "demold") {
		t.Error("a mold of 40 °C hardly helps 3 mm")
	}
}

func TestCureFile(t *testing.T) {
	d := desk(t)
	inv := calling("ada")
	inv.Line = `/cure material:"demo rigid white" unit:mm`
	inv.Files = map[string]chat.File{"": {Name: "box.stl", Data: meshtest.Box([3]float64{}, [3]float64{20, 30, 40}).STL("")}}
	ans := d.Do(t.Context(), inv)
	if ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	if !strings.Contains(ans.Reply.Title, "20 mm") || !said(ans.Reply, "25.4 g", "one cup") {
		t.Errorf("title %q, notes %q", ans.Reply.Title, ans.Reply.Notes)
	}
	if again := press(t, d, "ada", ans, "Show working"); again.Fault != nil || len(again.Reply.Working) == 0 {
		t.Errorf("the working of a file that is gone: %v", again.Fault)
	}
	begun := press(t, d, "ada", ans, "Start this pour")
	if begun.Fault != nil {
		t.Fatal(begun.Fault)
	}
	near(t, begun.Reply, "demold", valued(t, ans.Reply, "demold"), 0.02*valued(t, ans.Reply, "demold"))
	// A thick block: its heat leaves by all sides, so a wide plate of the same
	// thickness gets hotter.
	plate := told(t, d, "ada", `/cure material:"demo rigid white" thickness:"20 mm"`)
	if valued(t, plate, "peak_temp") <= valued(t, ans.Reply, "peak_temp") {
		t.Error("a plate of 20 mm is not hotter than a block of 20 × 30 × 40 mm")
	}
}

// What a file can't be answered for is the file's, not a thickness that nobody
// typed.
func TestCureFileRefusals(t *testing.T) {
	d := desk(t)
	for name, c := range map[string]struct {
		size   [3]float64
		line   string
		code   fault.Code
		option string
	}{
		"far too thick":      {[3]float64{400, 300, 300}, `/cure material:"demo rigid white" unit:mm`, fault.OutOfRange, "file"},
		"sides of its own":   {[3]float64{20, 30, 40}, `/cure material:"demo rigid white" unit:mm length:"9 mm" width:"9 mm"`, fault.TooManyOptions, "length"},
		"thinner than asked": {[3]float64{20, 30, 40}, `/cure material:"demo rigid white" unit:mm thinnest:"30 mm"`, fault.OutOfRange, "thinnest"},
	} {
		inv := calling("ada")
		inv.Line = c.line
		inv.Files = map[string]chat.File{"": {Name: "box.stl", Data: meshtest.Box([3]float64{}, c.size).STL("")}}
		ans := d.Do(t.Context(), inv)
		if ans.Fault == nil || ans.Fault.Code != c.code || ans.Fault.Option != c.option {
			t.Errorf("%s: got %v, want %s in option %q", name, ans.Fault, c.code, c.option)
		}
	}
}

func TestCureSaysWhatPresses(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		name, line string
		title      string
		first      []string // words of the first note
		any        []string // words of some note
	}{
		{"cold room", `/cure material:"demo rigid white" thickness:"12 mm" temp:"14 C"`, "Too cold for this material", []string{"Too cold", "14 °C", "18 °C", "Warm the room"}, nil},
		{"cold jugs", `/cure material:"demo rigid white" thickness:"12 mm" resin_temp:"12 C"`, "Too cold", []string{"the resin is at 12 °C", "closed jugs"}, []string{"dew point", "gas"}},
		{"cold mold", `/cure material:"demo rigid white" thickness:"12 mm" mold_temp:"11 C"`, "Too cold", []string{"the mold is at 11 °C"}, []string{"mold at 11 °C", "dew point"}},
		{"runaway", `/cure material:"demo casting epoxy" thickness:"40 mm"`, "Too hot to pour like this", []string{"Do not pour it like this"}, []string{"10 mm", "4 lifts"}},
		{"post cure", `/cure material:"demo rigid white" thickness:"6 mm" post:"4 h at 65 C"`, "", nil, []string{"post cure", "kitchen oven"}},
		{"sheet not said", `/cure material:"demo addition silicone" thickness:"12 mm"`, "", nil, []string{"How thick was the sample", "3 mm", "demold_section"}},
		{"damp room", `/cure material:"demo rigid black" thickness:"6 mm" temp:"34 C" mold_temp:"21 C"`, "", nil, []string{"mold at 21 °C", "below the dew point, 22 °C"}},
		{"retired mold", `/cure material:"demo rigid white" mold:"dice tray"`, "", nil, []string{"retired", "torn"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := told(t, d, "ada", c.line)
			if !strings.Contains(r.Title, c.title) {
				t.Errorf("title %q, want %q in it", r.Title, c.title)
			}
			for _, w := range c.first {
				if !strings.Contains(r.Notes[0], w) {
					t.Errorf("the first note %q lacks %q", r.Notes[0], w)
				}
			}
			if !said(r, c.any...) {
				t.Errorf("no note says %q: %q", c.any, r.Notes)
			}
			if last := r.Notes[len(r.Notes)-1]; !strings.Contains(last, "sprue") {
				t.Errorf("the last note is %q", last)
			}
			for _, want := range []string{"exotherm", "hot"} {
				if !cautioned(r, want) {
					t.Errorf("no caution %s", want)
				}
			}
		})
	}
	if r := told(t, d, "ada", `/cure material:"demo rigid white" thickness:"6 mm" post:"4 h at 65 C"`); !cautioned(r, "heat") {
		t.Error("a post cure without the caution on heat")
	}
}

func cautioned(r *chat.Reply, id string) bool {
	for _, c := range r.Cautions {
		if c.ID == id {
			return true
		}
	}
	return false
}

func TestCureRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"gypsum" family:plaster ratio:"100:40 wt" pot_life:"8 min"`)
	told(t, d, "ada", `/material add name:"who knows" family:other ratio:"1:1 vol" pot_life:"8 min"`)
	told(t, d, "ada", `/material add name:"flash" family:urethane ratio:"1:1 vol" pot_life:"10 s"`)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`/cure`, fault.MissingOption, "material"},
		{`/cure material:"demo rigid white"`, fault.MissingOption, "thickness"},
		{`/cure material:"demo rigid white" thickness:0`, fault.OutOfRange, "thickness"},
		{`/cure material:"demo rigid white" thickness:"3 m"`, fault.OutOfRange, "thickness"},
		{`/cure material:"demo rigid white" thickness:"-3 mm"`, fault.OutOfRange, "thickness"},
		{`/cure material:"demo rigid white" thickness:"12 g"`, fault.BadQuantity, "thickness"},
		{`/cure material:"demo rigid white" thickness:"12 mm" temp:"-40 C"`, fault.OutOfRange, "temp"},
		{`/cure material:"demo rigid white" thickness:"12 mm" temp:"-5 C"`, fault.OutOfRange, "temp"},
		{`/cure material:"demo rigid white" thickness:"12 mm" mold_temp:"95 C"`, fault.OutOfRange, "mold_temp"},
		{`/cure material:"demo rigid white" thickness:"12 mm" thinnest:"14 mm"`, fault.OutOfRange, "thinnest"},
		{`/cure material:"demo rigid white" thickness:"12 mm" mass:"100 g"`, fault.TooManyOptions, "mass"},
		{`/cure material:"demo rigid white" thickness:"12 mm" length:"100 mm"`, fault.MissingOption, "width"},
		{`/cure material:"demo rigid white" mold:"harbor pawn" length:"100 mm" width:"9 mm"`, fault.TooManyOptions, "length"},
		{`/cure material:"demo rigid white" mass:"100 g" wall:open`, fault.TooManyOptions, "wall"},
		{`/cure material:"demo rigid white" mass:"90 kg"`, fault.OutOfRange, "mass"},
		{`/cure material:"demo rigid white" thickness:"12 mm" wall:cheese`, fault.NotFound, "wall"},
		{`/cure material:"demo rigid white" thickness:"12 mm" wall:"plaster 3 m"`, fault.OutOfRange, "wall"},
		{`/cure material:"demo rigid white" thickness:"12 mm" wall:"silicone 5 mm, plaster 5 mm, plastic 2 mm"`, fault.TooManyOptions, "wall"},
		{`/cure material:"demo rigid white" thickness:"12 mm" post:"warm it"`, fault.BadQuantity, "post"},
		{`/cure material:"demo rigid white" thickness:"12 mm" post:"4 h"`, fault.BadQuantity, "post"},
		{`/cure material:"demo rigid white" thickness:"12 mm" post:"4 h at 300 C"`, fault.OutOfRange, "post"},
		{`/cure material:"demo rigid whte" thickness:"12 mm"`, fault.UnknownMaterial, "material"},
		{`/cure material:"demo rigid white" mold:"harbour pawn"`, fault.UnknownMold, "mold"},
		{`/cure material:gypsum thickness:"12 mm"`, fault.NotFound, "material"},
		{`/cure material:"who knows" thickness:"12 mm"`, fault.MissingOption, "family"},
		{`/cure material:flash thickness:"12 mm"`, fault.OutOfRange, "pot_life"},
		{`/cure material:"demo rigid white" thickness:"12 mm" thikness:3`, fault.UnknownOption, "thikness"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, "ada", c.line, c.code, c.option) })
	}
}

// Polyester is answered with the bulletin's own times and the model's peak,
// and without a curve that its chemistry does not follow.
func TestCurePolyester(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"laminating" family:polyester ratio:"100:1.5 wt" density_mixed:1.12 pot_life:"15 min" demold:"2 h, 3 mm"`)
	r := told(t, d, "ada", `/cure material:laminating thickness:"8 mm"`)
	near(t, r, "demold", 7200, 0)
	near(t, r, "pot_life", 900, 0)
	if len(r.Images) != 0 || !said(r, "peroxide-cured") {
		t.Errorf("%d images, notes %q", len(r.Images), r.Notes)
	}
	for _, f := range r.Facts {
		if f.Key == "gel" || f.Key == "cool" {
			t.Errorf("a %s that the model can't tell", f.Key)
		}
	}
	if peak := valued(t, r, "peak_temp"); peak < 30 || peak > 190 { // 21 °C and the whole heat of cure, 300/1.9 K
		t.Errorf("a peak of %v °C", peak)
	}
}

// A peak is told once in a title, and what is missing is asked for once.
func TestCureSaysThingsOnce(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"gel coat" family:polyester ratio:"100:2 wt" density_mixed:1.1 pot_life:"12 min, 100 g, 23 C"`)
	told(t, d, "ada", `/material add name:"no time" family:urethane ratio:"1:1 wt" density_mixed:1.05 pot_life:"5 min, 100 g, 23 C"`)
	r := told(t, d, "ada", `/cure material:"gel coat" thickness:"20 mm"`)
	if strings.Count(r.Title, "inside") != 1 || !strings.Contains(r.Title, "no demold time") || said(r, "85 % cured") {
		t.Errorf("%q, notes %q", r.Title, r.Notes)
	}
	r = told(t, d, "ada", `/cure material:"no time" thickness:"5 mm"`)
	if n := strings.Count(strings.Join(r.Notes, " "), "85 % cured"); n != 1 {
		t.Errorf("the guess at the demold time is told %d times: %q", n, r.Notes)
	}
}
