package color_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
)

// TestWeighShows: what the scale shows, the dose that it gives, and drops.
func TestWeighShows(t *testing.T) {
	w, err := color.Weigh(color.WeighWant{Resin: 250, Side: 120, Doses: []float64{0.005, 0.0005}, Drops: []float64{0.045, 0.045}, Step: 0.1, Cups: 2})
	if err != nil {
		t.Fatal(err)
	}
	total := 250 / (1 - 0.0055)
	near(t, "total", w.Total, total, 1e-9)
	red, black := w.Tints[0], w.Tints[1]
	near(t, "red per cup", red.PerCup, 0.005*total/2, 1e-9)
	if red.Letdown != 10 || red.Shown != 6.3 || !red.HeavyEnough {
		t.Errorf("red: %+v; 0.63 g is below the 2 g that a 0.1 g scale is trusted with", red)
	}
	near(t, "red dose by the scale", red.Got, 0.63*2/total, 1e-9)
	if black.Letdown != 100 || !black.HeavyEnough || black.FewDrops {
		t.Errorf("black: %+v", black)
	}
	near(t, "what the letdowns bring is taken off", w.SideLeft, 60-red.Carries-black.Carries, 1e-9)
	if !w.Feasible {
		t.Error("50 g of tint side are left over, so it can be done")
	}
}

// TestFewDrops: half a drop in less than ten is more than 5 %.
func TestFewDrops(t *testing.T) {
	for resin, few := range map[float64]bool{85: true, 95: false} {
		w, err := color.Weigh(color.WeighWant{Resin: resin, Side: resin / 2, Doses: []float64{0.005}, Drops: []float64{0.045}, Step: 0.01})
		if err != nil || w.Tints[0].Letdown != 1 || w.Tints[0].FewDrops != few {
			t.Errorf("%v g: %+v, %v", resin, w.Tints[0], err)
		}
	}
}

// TestOwnMass: the tint is not counted as A or B. 3 g into 100 g of B make 103 g
// to pour, and 100 g of it would leave B 2.9 % short.
func TestOwnMass(t *testing.T) {
	w, err := color.Weigh(color.WeighWant{Resin: 200, Side: 100, Doses: []float64{3.0 / 203}, Step: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "to pour", w.SideTinted, 103, 1e-9)
	near(t, "short", w.Short, 100.0/103-1, 1e-12)
	near(t, "share", color.DoseOf(3, 200), 3.0/203, 1e-12)
}

func TestWeighRefuses(t *testing.T) {
	good := color.WeighWant{Resin: 200, Side: 100, Doses: []float64{0.005}, Step: 0.1}
	for _, c := range []struct {
		name   string
		change func(*color.WeighWant)
		option string
	}{
		{"no resin", func(w *color.WeighWant) { w.Resin = 0 }, "mass"},
		{"resin is not a number", func(w *color.WeighWant) { w.Resin = math.NaN() }, "mass"},
		{"side larger than both", func(w *color.WeighWant) { w.Side = 300 }, "mass"},
		{"no scale", func(w *color.WeighWant) { w.Step = 0 }, "scale_step"},
		{"minus two cups", func(w *color.WeighWant) { w.Cups = -2 }, "cups"},
		{"40 %", func(w *color.WeighWant) { w.Doses = []float64{0.4} }, "percent"},
		{"four of 6 %", func(w *color.WeighWant) { w.Doses = []float64{0.06, 0.06, 0.06, 0.06} }, "percent"},
		{"minus", func(w *color.WeighWant) { w.Doses = []float64{-0.01} }, "percent"},
		{"trust of two", func(w *color.WeighWant) { w.Trusted = 2 }, "scale_step"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := good
			c.change(&w)
			_, err := color.Weigh(w)
			wantFault(t, err, fault.OutOfRange, c.option)
		})
	}
}

func TestDropMassRefuses(t *testing.T) {
	for _, g := range []float64{0, -1, 0.01, 50, math.NaN(), math.Inf(1)} {
		_, err := color.DropMass(g)
		wantFault(t, err, fault.OutOfRange, "weight_of_20")
	}
}
