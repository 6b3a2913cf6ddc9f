package cure

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestStepsAllocateNothing runs whole solves on a used solver.
func TestStepsAllocateNothing(t *testing.T) {
	b, law := standard()
	var s solver
	standardRun(&s, &b, law, defaultTol)
	if n := testing.AllocsPerRun(20, func() { standardRun(&s, &b, law, defaultTol) }); n != 0 {
		t.Errorf("a solve allocates %v times", n)
	}
}

// plain is the standard method without any of ours: classic Runge-Kutta with
// small steps on the same cells.
type plain struct {
	s   *solver
	law Law
}

func (p plain) rates(y []float64) []float64 {
	all, n := p.s.all, p.s.n
	d := make([]float64, len(y))
	for i := range all {
		if i > 0 {
			d[i] += p.s.low[i] * (y[i-1] - y[i])
		}
		if i+1 < all {
			d[i] += p.s.up[i] * (y[i+1] - y[i])
		} else {
			d[i] += p.s.up[i] * (p.s.air - y[i])
		}
		if i < n {
			d[all+i] = p.law.Rate(y[all+i], y[i])
			d[i] += p.s.rise * d[all+i]
		}
	}
	return d
}

func (p plain) step(y []float64, h float64) []float64 {
	along := func(k []float64, h float64) []float64 {
		z := make([]float64, len(y))
		for i := range z {
			z[i] = y[i] + h*k[i]
		}
		return z
	}
	k1 := p.rates(y)
	k2 := p.rates(along(k1, h/2))
	k3 := p.rates(along(k2, h/2))
	k4 := p.rates(along(k3, h))
	for i := range k1 {
		k1[i] = (k1[i] + 2*k2[i] + 2*k3[i] + k4[i]) / 6
	}
	return along(k1, h)
}

func TestSolverAgainstPlainSteps(t *testing.T) {
	for _, s := range []float64{1, 2, 2.4} {
		t.Run(fmt.Sprint("s=", s), func(t *testing.T) {
			b, law := standard()
			b.s = s
			b.walls[1] = layer{plasterStuff, 0.015}
			b.wall0 = 310
			var quick solver
			quick.start(&b, law, cellsFor(&b), 1e-7)
			p := plain{&quick, law}
			y := append(append([]float64{}, quick.temp...), make([]float64, quick.n)...)
			const end, h = 300.0, 0.05
			for range int(end / h) {
				y = p.step(y, h)
			}
			quick.run(goal{until: end}, nil)
			for _, c := range []struct {
				name      string
				got, want float64
				tol       float64
			}{
				{"core temperature", valueAt(quick.steps, func(p *sample) point { return p.tCore }, end), y[0], 0.01},
				{"core conversion", valueAt(quick.steps, pickCore, end), y[quick.all], 1e-4},
				{"face", valueAt(quick.steps, pickFace, end), quick.faceIn*y[quick.n-1] + quick.face*y[quick.n], 0.01},
			} {
				if math.Abs(c.got-c.want) > c.tol {
					t.Errorf("%s = %.7g, plain steps give %.7g ± %g", c.name, c.got, c.want, c.tol)
				}
			}
		})
	}
}

// TestConvergence halves the cells and the tolerance: the scheme is of second
// order in space, so that twice the cells make a quarter of the error.
func TestConvergence(t *testing.T) {
	b, law := standard()
	var s solver
	demold := func(times int, tol float64) float64 {
		runFull(&s, &b, law, 0.9, grid{16 * times, 8 * times, 0}, tol)
		return readings(&s, law, 0.9)["t_demold_s"].(float64)
	}
	exact := demold(32, 1e-7)
	var errs []float64
	for _, times := range []int{1, 2, 4} {
		errs = append(errs, math.Abs(demold(times, 1e-7)/exact-1))
	}
	t.Logf("error with 24, 48, 96 cells: %.2e", errs)
	for i := 1; i < len(errs); i++ {
		if fall := errs[i-1] / errs[i]; fall < 2.5 || fall > 7 {
			t.Errorf("twice the cells: the error falls %.2f times, want about 4 (%.2e)", fall, errs)
		}
	}
	fine := demold(1, 1e-8)
	last := math.Inf(1)
	for _, tol := range []float64{3e-3, 3e-4, 3e-5} {
		err := math.Abs(demold(1, tol)/fine - 1)
		t.Logf("tolerance %.0e: error %.2e", tol, err)
		if err >= last {
			t.Errorf("tolerance %.0e: the error %.2e did not fall from %.2e", tol, err, last)
		}
		last = err
	}
}

// anyBody draws a body and a law that the engine has to cope with.
func anyBody(t *rapid.T) (body, Law) {
	f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	b := body{r: f("r", 0.0005, 0.05), s: f("s", 1, 3), part: stuff{f("k", 0.1, 0.4), f("rho", 800, 1400), f("cp", 1200, 2200)},
		heat: f("heat", 5e3, 400e3), conv: f("h", 3, 30), air: f("air", 280, 320)}
	b.part0, b.wall0 = b.air+f("resin", -8, 8), b.air+f("mold", -8, 25)
	if rapid.Bool().Draw(t, "wall") {
		b.walls[0] = layer{siliconeStuff, f("wall mm", 1, 30) / 1000}
	}
	return b, Law{K: math.Exp(f("ln K", -11, -6)), E: f("E", 34e3, 80e3), B: f("b", 1, 60), N: rapid.IntRange(1, 2).Draw(t, "n"), Tb: defaultTemp}
}

// TestEnergyBalance: without loss to the air the heat that is stored is that
// which was released, on any path of steps.
func TestEnergyBalance(t *testing.T) {
	var s solver
	rapid.Check(t, func(t *rapid.T) {
		b, law := anyBody(t)
		b.conv, b.part0, b.wall0 = 0, b.air, b.air
		s.start(&b, law, cellsFor(&b), defaultTol)
		s.run(goal{least: 0.9}, nil)
		stored, released, mean, _ := balance(&s, &b, b.air)
		if !(math.Abs(stored-released) <= 1e-4*released) || mean < 0.9 {
			t.Fatalf("stored %.7g, released %.7g, mean conversion %.3f", stored, released, mean)
		}
	})
}

// TestRunIsSane: conversions rise and stay below 1, and no temperature leaves
// what air, start and heat allow.
func TestRunIsSane(t *testing.T) {
	var s solver
	rapid.Check(t, func(t *rapid.T) {
		b, law := anyBody(t)
		runFull(&s, &b, law, 0.9, cellsFor(&b), defaultTol)
		// A front warms what reacts last before it does, and no reactant
		// spreads: the adiabatic rise may be passed, in wild draws far. Steps a
		// hundred times finer show the same peaks.
		top := max(b.air, b.part0, b.wall0) + 3*s.rise + 1
		before := 0.0
		for i := range s.steps {
			p := &s.steps[i]
			if p.core.v < before-1e-3 || p.core.v > 1+1e-3 || p.hot.v > top || math.IsNaN(p.tFace.v) {
				t.Fatalf("at %.4g s: conversion %.6g after %.6g, %.5g K (most %.5g)", p.t, p.core.v, before, p.hot.v, top)
			}
			before = p.core.v
		}
		if last := s.steps[len(s.steps)-1]; last.core.v < 0.9 && last.t < longestRun {
			t.Fatalf("ended at %.4g s with a conversion of %.3g in %d steps", last.t, last.core.v, len(s.steps))
		}
	})
}

// demoldOf is the demold time of a plain section at one temperature.
func demoldOf(s *solver, v *variant, thick, shape, temp float64) (demold, peak float64) {
	b := sheet(thick, v.part, v.heat, v.conv, 1, temp)
	b.s = shape
	runFull(s, &b, v.law, 0.9, cellsFor(&b), defaultTol)
	peak, _ = highest(s.steps, pickHot)
	return readings(s, v.law, 0.9)["t_demold_s"].(float64), peak
}

// fitted are the test materials as calibrated at the middle of everything.
func fitted(t testing.TB) map[string]*variant {
	t.Helper()
	out := map[string]*variant{}
	for _, p := range demoProfiles() {
		r, _, err := FromProfile(p)
		if err != nil {
			t.Fatal(err)
		}
		w, v := &bench{r: r}, r.plain()
		if _, ok := w.fit(&v, guessShare); !ok {
			t.Fatal("stopped")
		}
		out[p.Name] = &v
	}
	return out
}

// noise is what one solve may be off by: the step tolerance and, where a front
// runs, the cells.
const noise = 0.02

// TestMonotone holds what physics orders: with resin, mold and room at one
// temperature warmer is never slower; a larger cup never lives longer; a
// thinner sheet never peaks hotter, and, as it loses its heat, is never ready
// sooner. Two exceptions are left out because physics makes them: a mold or a
// resin of its own temperature, and shapes against each other.
func TestMonotone(t *testing.T) {
	all := fitted(t)
	names := []string{"rigid white", "rigid slow", "flexible amber", "casting epoxy", "addition silicone"}
	var s solver
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "material")
		v := all[name]
		thick := rapid.Float64Range(0.001, 0.05).Draw(t, "thickness")
		temp := rapid.Float64Range(283, 308).Draw(t, "temperature")
		shape := rapid.Float64Range(1, 3).Draw(t, "s")
		warmer := rapid.Float64Range(0.5, 8).Draw(t, "warmer")
		times := rapid.Float64Range(1.05, 3).Draw(t, "times")
		cold, _ := demoldOf(&s, v, thick, shape, temp)
		if warm, _ := demoldOf(&s, v, thick, shape, temp+warmer); warm > cold*(1+noise) {
			t.Fatalf("%s: %.4g s at %.1f K, %.4g s %.1f K warmer", name, cold, temp, warm, warmer)
		}
		plate, plateHot := demoldOf(&s, v, thick, 1, temp)
		thicker, hotter := demoldOf(&s, v, thick*times, 1, temp)
		if plateHot > hotter+0.8 {
			t.Fatalf("%s: %.1f K at %.4g m, %.1f K at %.2f times that", name, plateHot, thick, hotter, times)
		}
		if thicker > plate*(1+noise) {
			t.Fatalf("%s: %.4g s at %.4g m, %.4g s at %.2f times that", name, plate, thick, thicker, times)
		}
	})
}

func TestLargerCupNeverLivesLonger(t *testing.T) {
	all := fitted(t)
	for name, v := range all {
		last := math.Inf(1)
		for _, grams := range []float64{5, 20, 100, 300, 1000, 5000} {
			w := &bench{r: Resin{Heat: v.heat}}
			p := place{cup: grams / 1000, air: 294.15, part0: 294.15}
			pot, _ := w.potLife(v, &p)
			if pot > last*1.003 {
				t.Errorf("%s: %v g live %.4g s, less lived %.4g s", name, grams, pot, last)
			}
			last = pot
		}
	}
}
