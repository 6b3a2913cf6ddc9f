package material_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"pgregory.net/rapid"
)

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

func TestRatios(t *testing.T) {
	vol, wt := quantity.Ratio{A: 2, B: 1, By: quantity.ByVolume}, quantity.Ratio{A: 100, B: 90, By: quantity.ByWeight}
	for _, c := range []struct {
		name           string
		p              material.Profile
		weight, volume float64 // B per A; 0 where it cannot be told
	}{
		{"by volume, both densities", material.Profile{Ratio: vol, DensityA: 1.15, DensityB: 0.97}, 0.97 / 2.30, 0.5},
		{"by weight, both densities", material.Profile{Ratio: wt, DensityA: 1.12, DensityB: 1.05}, 0.9, 0.96},
		{"by volume, one density", material.Profile{Ratio: vol, DensityA: 1.15}, 0, 0.5},
		{"by weight, mixed density alone", material.Profile{Ratio: wt, DensityMixed: 1.1}, 0.9, 0},
		{"no basis", material.Profile{Ratio: quantity.Ratio{A: 1, B: 1}, DensityA: 1, DensityB: 1}, 0, 0},
	} {
		w, okW := c.p.ByWeight()
		v, okV := c.p.ByVolume()
		if okW != (c.weight > 0) || okW && !near(w.B/w.A, c.weight, 1e-12) || okW && w.By != quantity.ByWeight {
			t.Errorf("%s: by weight %+v, %v; want %v", c.name, w, okW, c.weight)
		}
		if okV != (c.volume > 0) || okV && !near(v.B/v.A, c.volume, 1e-12) || okV && v.By != quantity.ByVolume {
			t.Errorf("%s: by volume %+v, %v; want %v", c.name, v, okV, c.volume)
		}
	}
}

func TestDensities(t *testing.T) {
	p := material.Profile{Ratio: quantity.Ratio{A: 100, B: 90, By: quantity.ByWeight}, DensityA: 1.12, DensityB: 1.05, DensityMixed: 1.15}
	if d, ok := p.Mixed(); !ok || !near(d.Value, 1.0857143, 1e-7) || d.Stated {
		t.Errorf("the liquid mix comes from A and B: %+v", d)
	}
	if d, ok := p.Cured(); !ok || d.Value != 1.15 || !d.Stated {
		t.Errorf("a cast has the stated density: %+v", d)
	}
	p.DensityB = 0
	if d, ok := p.Mixed(); !ok || d.Value != 1.15 || !d.Stated || d.Basis == "" || d.Step.What == "" {
		t.Errorf("with one part unknown the stated one counts: %+v", d)
	}
	p.DensityMixed = 0
	if _, ok := p.Mixed(); ok {
		t.Error("a density out of nothing")
	}
	if _, ok := p.Cured(); ok {
		t.Error("a cured density out of nothing")
	}
}

// The mix lies between its parts, and both bases give the same density.
func TestMixedBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := material.Profile{
			Ratio:    quantity.Ratio{A: rapid.Float64Range(1, 100).Draw(t, "a"), B: rapid.Float64Range(1, 100).Draw(t, "b"), By: quantity.ByVolume},
			DensityA: rapid.Float64Range(0.5, 3).Draw(t, "rhoA"), DensityB: rapid.Float64Range(0.5, 3).Draw(t, "rhoB"),
		}
		d, _ := p.Mixed()
		if lo, hi := min(p.DensityA, p.DensityB), max(p.DensityA, p.DensityB); d.Value < lo-1e-9 || d.Value > hi+1e-9 {
			t.Fatalf("%v of %v and %v", d.Value, p.DensityA, p.DensityB)
		}
		q := p
		q.Ratio, _ = p.ByWeight()
		e, _ := q.Mixed()
		if !near(d.Value, e.Value, 1e-9) {
			t.Fatalf("by volume %v, by weight %v", d.Value, e.Value)
		}
	})
}

func TestPacks(t *testing.T) {
	r := quantity.Ratio{A: 100, B: 80, By: quantity.ByWeight}
	for _, c := range []struct {
		name     string
		p        material.Profile
		a, b     float64
		perGram  float64
		ok, cost bool
	}{
		{"split by ratio", material.Profile{Ratio: r, Pack: 1800, Price: 90}, 1000, 800, 0.05, true, true},
		{"stated", material.Profile{Ratio: r, PackA: 500, PackB: 400, Price: 90}, 500, 400, 0.1, true, true},
		// 100 g of A are never used: 500 g of A with 400 of B.
		{"more A than goes", material.Profile{Ratio: r, PackA: 600, PackB: 400, Price: 90}, 600, 400, 0.1, true, true},
		{"A and the whole", material.Profile{Ratio: r, Pack: 900, PackA: 500}, 500, 400, 0, true, false},
		{"B and the whole", material.Profile{Ratio: r, Pack: 900, PackB: 400}, 500, 400, 0, true, false},
		{"no pack", material.Profile{Ratio: r, Price: 90}, 0, 0, 0, false, false},
		{"by volume without densities", material.Profile{Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}, Pack: 900, Price: 90}, 0, 0, 0.1, false, true},
	} {
		a, b, ok := c.p.Packs()
		if ok != c.ok || !near(a, c.a, 1e-9) || !near(b, c.b, 1e-9) {
			t.Errorf("%s: A %v, B %v, %v; want A %v, B %v, %v", c.name, a, b, ok, c.a, c.b, c.ok)
		}
		v, ok := c.p.PricePerGram()
		if ok != c.cost || !near(v, c.perGram, 1e-12) {
			t.Errorf("%s: %v a gram, %v; want %v", c.name, v, ok, c.perGram)
		}
	}
}

// Common practice, no source: epoxy and silicones take colorant in A; a
// urethane has to be asked about.
func TestTintSideDefault(t *testing.T) {
	for f, want := range map[material.Family]material.Side{
		material.Epoxy: material.SideA, material.SiliconeAddition: material.SideA, material.SiliconeCondensation: material.SideA,
		material.Urethane: material.NoSide, material.UrethaneRubber: material.NoSide, material.Plaster: material.NoSide,
	} {
		if got, ok := material.TintSideDefault(f); got != want || ok != (want != material.NoSide) {
			t.Errorf("%s: %q, %v; want %q", f, got, ok, want)
		}
	}
}
