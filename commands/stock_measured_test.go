package commands_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
)

// TestStockTakesWhatIsMeasured: what leaves the jugs is the resin that /batch
// has the hands weigh in, whatever else goes into the cup.
func TestStockTakesWhatIsMeasured(t *testing.T) {
	for _, c := range []struct {
		name, options string
		off           float64 // g: A and B were rounded, what is taken goes by the ratio
	}{
		{"filler", ` filler:"microspheres 20 phr"`, 0.01},
		{"tint", ` tint:"brick red 1%"`, 0.01},
		{"both", ` filler:"microspheres 10 phr" tint:"brick red 1%"`, 0.01},
		{"its own waste", ` waste:30%`, 0.05},
		{"a coarse scale", ` scale_step:"1 g"`, 0.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := desk(t)
			b := ask(t, d, "ada", `/batch material:"demo rigid white" mold:"viaduct arch"`+c.options)
			a, bb := valued(t, b.Reply, "mass_a"), valued(t, b.Reply, "mass_b")
			r := press(t, d, "ada", b, "Start this pour").Reply
			if !said(r, "Taken from stock") {
				t.Errorf("notes %q", r.Notes)
			}
			for jug, want := range map[string]float64{"#1": 610 - a, "#2": 480 - bb} {
				if got := left(t, d, "ada", jug); math.Abs(got-want) > c.off {
					t.Errorf("%s: %g g left, want %g", jug, got, want)
				}
			}
		})
	}
}

// TestStockMixed: what was weighed out is taken, by the ratio by weight, 1.10 to
// 1.02; where nobody knows, that is said.
func TestStockMixed(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/pour start material:"demo rigid white" thickness:"8 mm"`)
	if !said(r, "Nothing was taken from stock: its volume is not said", "/stock use material:") {
		t.Errorf("notes %q", r.Notes)
	}
	grams(t, "A untouched", left(t, d, "ada", "#1"), 610)
	r = told(t, d, "ada", `/pour start material:"demo rigid white" thickness:"8 mm" mixed:"106 g" tint:"soot black 2 drops"`)
	if !said(r, "Taken from stock, as you weighed it out") {
		t.Errorf("notes %q", r.Notes)
	}
	grams(t, "A", left(t, d, "ada", "#1"), 610-106*1.10/2.12)
	grams(t, "B", left(t, d, "ada", "#2"), 480-106*1.02/2.12)
	told(t, d, "ada", "/pour cancel pour:#2")
	grams(t, "A given back", left(t, d, "ada", "#1"), 610)
	told(t, d, "ada", `/pour start material:"demo rigid white" thickness:"4 mm" coats:2 mixed:"53 g"`)
	grams(t, "A of coats", left(t, d, "ada", "#1"), 610-53*1.10/2.12)
	refused(t, d, "ada", `/pour start material:"demo rigid white" thickness:"8 mm" mixed:"2 kg"`, fault.NotEnoughStock, "sure")
	refused(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn" filler:"microspheres"`, fault.BadQuantity, "filler")
	if r = told(t, d, "ada", `/pour start material:"demo rigid slow white" thickness:"8 mm"`); said(r, "stock") {
		t.Errorf("nothing of it is kept: %q", r.Notes)
	}
}

// TestFillerTeachesNothing: what is found at a pour with filler is kept and
// moves no forecast.
func TestFillerTeachesNothing(t *testing.T) {
	d := desk(t)
	used := func() any {
		return fact(t, told(t, d, "ada", `/cure material:"demo rigid white" mold:"viaduct arch"`), "logs_used").Value
	}
	before := used()
	r := told(t, d, "ada", `/pour start material:"demo rigid white" mold:"viaduct arch" filler:"calcium carbonate 30 phr"`)
	if !said(r, "The filler is not in the forecast") {
		t.Errorf("notes %q", r.Notes)
	}
	toldAt(t, d, "ada", 40*time.Minute, "/pour ready")
	if after := used(); after != before {
		t.Errorf("%v pours taught before, %v after", before, after)
	}
	var line string
	for _, a := range ask(t, d, "ada", `/batch material:"demo rigid white" mold:"harbor pawn" count:12 waste:20%`).Reply.Actions {
		if a.Label == "Start this pour" {
			line = a.Line + a.ID
		}
	}
	if line == "" || strings.Contains(line, "mixed") {
		t.Errorf("a batch for two fillings starts %q, where each has a clock", line)
	}
}
