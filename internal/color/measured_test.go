package color_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

// measured is a check of measured.json. What others measured is held against
// the program: gate "must" fails, gate "report" prints both.
type measured struct {
	ID, Kind, Gate, Source string
	Inputs, Expect         json.RawMessage
}

// measuredKinds are those of color and drops; the others are the cure's.
var measuredKinds = map[string]func(*testing.T, measured){
	"error_floor":      measuredFloor,
	"drop_mass":        measuredDrop,
	"drop_mass_tip":    measuredTip,
	"drop_mass_liquid": measuredLiquid,
}

func TestReferenceColorMeasured(t *testing.T) {
	var file struct{ Checks []measured }
	if !readReference(t, "measured.json", &file) {
		t.Skip("no measured.json")
	}
	for _, c := range file.Checks {
		if check, ok := measuredKinds[c.Kind]; ok {
			t.Run(c.ID, func(t *testing.T) { check(t, c) })
		}
	}
}

// measuredFloor prints what was measured beside the floors that rest on it.
func measuredFloor(t *testing.T, c measured) {
	t.Logf("measured: %s (%s)", c.Expect, c.Source)
	for _, q := range color.Qualities() {
		t.Logf("our floor for %s: ΔE00 %v", q, color.Floor(q))
	}
}

// measuredDrop: twenty drops at either end of the standard give that drop, and
// the spread of the standard is what half a drop in ten may be off at most.
func measuredDrop(t *testing.T, c measured) {
	x := into[struct {
		Min   float64 `json:"drop_mg_min"`
		Max   float64 `json:"drop_mg_max"`
		Error float64 `json:"volume_error_max"`
	}](t, c.Expect)
	for _, mg := range []float64{x.Min, (x.Min + x.Max) / 2, x.Max} {
		got, err := color.DropMass(20 * mg / 1000)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "a drop", 1000*got, mg, 1e-9)
	}
	// No usual drop stands in for a weighed one: without it there are no drops.
	w, err := color.Weigh(color.WeighWant{Resin: 200, Side: 100, Doses: []float64{0.005}, Step: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	if w.Tints[0].Drops != 0 {
		t.Errorf("%v drops of a tint whose drop was not weighed", w.Tints[0].Drops)
	}
}

// measuredTip: the drops of all these droppers are believed.
func measuredTip(t *testing.T, c measured) {
	drops := into[struct {
		MG []float64 `json:"drop_mg"`
	}](t, c.Expect).MG
	tips := into[struct {
		MM []float64 `json:"tip_mm"`
	}](t, c.Inputs).MM
	for i, mg := range drops {
		got, err := color.DropMass(20 * mg / 1000)
		t.Logf("tip %v mm: measured %v mg; read from twenty %.1f mg, refusal %v", tips[i], mg, 1000*got, err)
	}
	if !slices.IsSorted(drops) {
		t.Logf("the drops do not grow with the tip: %v", drops)
	}
}

// measuredLiquid: one dropper, two liquids. Dosing the one by the other's drop
// would be off by more than the scale's own 5 %, so a drop is kept per tint.
func measuredLiquid(t *testing.T, c measured) {
	x := into[struct {
		Water    float64 `json:"water_mg"`
		Glycerin float64 `json:"glycerin_mg"`
	}](t, c.Expect)
	right := color.WeighWant{Resin: 1000, Side: 500, Doses: []float64{0.002}, Step: 0.01, Drops: []float64{x.Glycerin / 1000}}
	wrong := right
	wrong.Drops = []float64{x.Water / 1000}
	a, err := color.Weigh(right)
	if err != nil {
		t.Fatal(err)
	}
	b, err := color.Weigh(wrong)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "drops by the wrong drop", b.Tints[0].Drops/a.Tints[0].Drops, x.Glycerin/x.Water, 1e-9)
	if off := 1 - b.Tints[0].Drops/a.Tints[0].Drops; off < 0.05 {
		t.Errorf("a drop of another liquid would do: off by %v", off)
	}
}
