package cure

import (
	"math"
	"testing"
)

// series is conduction without a reaction in a slab (s = 1), rod (2) or ball
// (3) and between, exact: roots of z J_{s/2}(z) = Bi J_{s/2-1}(z) (Carslaw and
// Jaeger, Conduction of Heat in Solids; Incropera et al. ch. 5).
type series struct{ s, bi float64 }

func (q series) miss(z float64) float64 {
	return z*bessel(q.s/2, z) - q.bi*bessel(q.s/2-1, z)
}

// roots finds the first n by a fine scan and bisection.
func (q series) roots(n int) []float64 {
	var found []float64
	const by = 0.002
	for z := by; len(found) < n && z < 30; z += by {
		a, b := q.miss(z), q.miss(z+by)
		if a*b > 0 {
			continue
		}
		lo, hi := z, z+by
		for range 60 {
			mid := (lo + hi) / 2
			if q.miss(mid)*a > 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		found = append(found, (lo+hi)/2)
	}
	return found
}

// shape is a root's function of x = r/R, 1 at the center.
func (q series) shape(z, x float64) float64 {
	if x == 0 {
		return 1
	}
	v := q.s/2 - 1
	return math.Gamma(q.s/2) * math.Pow(z*x/2, -v) * bessel(v, z*x)
}

// weight is a root's share in an even start: the integral of shape x^(s-1)
// over that of its square, the first in closed form, the second by Simpson's
// rule with x = y², which keeps the integrand smooth at the center.
func (q series) weight(z float64) float64 {
	simpson := func(f func(float64) float64) float64 {
		const n = 400
		sum := f(0) + f(1)
		for i := 1; i < n; i++ {
			sum += f(float64(i)/n) * float64(2+2*(i%2))
		}
		return sum / (3 * n)
	}
	measure := func(y float64) float64 { return 2 * math.Pow(y, 2*q.s-1) }
	top := simpson(func(y float64) float64 { return q.shape(z, y*y) * measure(y) })
	low := simpson(func(y float64) float64 { p := q.shape(z, y*y); return p * p * measure(y) })
	return top / low
}

// at is the share of the first difference that is left at x after a Fourier
// number.
func (q series) at(x, fo float64) float64 {
	sum := 0.0
	for _, z := range q.roots(8) {
		sum += q.weight(z) * q.shape(z, x) * math.Exp(-z*z*fo)
	}
	return sum
}

func refTransientRoot(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct{ Bi, S float64 }](t, c)
	q := series{v.S, v.Bi}
	z := q.roots(1)[0]
	compare(t, c, map[string]any{"zeta1": z, "C1": q.weight(z)})
	// The engine itself: late decay goes with the first root.
	part := stuff{0.2, 1050, 1850}
	const r = 0.0125
	b := body{r: r, s: v.S, part: part, conv: v.Bi * part.k / r, air: 293.15, part0: 353.15}
	got := decayRate(&b) * part.rho * part.cp * r * r / part.k
	if math.Abs(got-z*z) > 0.006*z*z {
		t.Errorf("the engine decays with zeta1² = %.6g, exact %.6g ± 0.6 %%", got, z*z)
	}
}

// inert is a law that does nothing.
var inert = Law{K: 1e-30, E: resinE, B: 3, N: 2, Tb: defaultTemp}

// decayRate is the rate of a late run's approach to the air, 1/s.
func decayRate(b *body) float64 {
	var s solver
	s.start(b, inert, cellsFor(b), 1e-6)
	first := b.part0 - b.air
	for i := 0; i < 20000 && s.temp[0]-b.air > 0.02*first; i++ {
		if s.step() == 0 {
			break
		}
	}
	return -s.fTemp[0] / (s.temp[0] - b.air)
}

func refTransientSeries(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		S   float64
		R   float64 `json:"R_m"`
		K   float64 `json:"k_W_mK"`
		Rho float64 `json:"rho_kg_m3"`
		Cp  float64 `json:"cp_J_kgK"`
		H   float64 `json:"h_W_m2K"`
		T0  float64 `json:"T0_K"`
		Air float64 `json:"T_amb_K"`
		At  float64 `json:"t_s"`
	}](t, c)
	b := body{r: v.R, s: v.S, part: stuff{v.K, v.Rho, v.Cp}, conv: v.H, air: v.Air, part0: v.T0}
	var s solver
	s.start(&b, inert, cellsFor(&b), defaultTol)
	s.run(goal{until: v.At}, nil)
	compare(t, c, map[string]any{
		"T_core_K": valueAt(s.steps, func(p *sample) point { return p.tCore }, v.At),
		"T_face_K": valueAt(s.steps, pickFace, v.At),
	})
	q := series{v.S, v.H * v.R / v.K}
	fo := v.K / (v.Rho * v.Cp) * v.At / (v.R * v.R)
	compare(t, c, map[string]any{"T_core_K": v.Air + (v.T0-v.Air)*q.at(0, fo), "T_face_K": v.Air + (v.T0-v.Air)*q.at(1, fo)})
}

func refCompositeDecay(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		S    float64
		Part struct {
			K   float64 `json:"k_W_mK"`
			Rho float64 `json:"rho_kg_m3"`
			Cp  float64 `json:"cp_J_kgK"`
			R   float64 `json:"R_m"`
		}
		Wall refWall
		H    float64 `json:"h_W_m2K"`
	}](t, c)
	b := body{r: v.Part.R, s: v.S, part: stuff{v.Part.K, v.Part.Rho, v.Part.Cp}, conv: v.H, air: 293.15, part0: 353.15, wall0: 353.15}
	b.walls[0] = v.Wall.layer()
	compare(t, c, map[string]any{"rate_per_s": decayRate(&b)})
}

// Frank-Kamenetskii's explosion limit. No reactant is used up, E is so large
// that exp(-E/RT) is exact in its linear form, and the face is held at the
// air's temperature.
const (
	fkEnergy = 5e6
	fkTemp   = 296.15
)

// fkRuns reports whether a body of a heat number delta runs away: a rise above
// 10 R T²/E within 200 diffusion times.
func fkRuns(delta, shape float64, g grid) bool {
	part := stuff{0.2, 1050, 1850}
	const r = 0.0125
	unit := gasConstant * fkTemp * fkTemp / fkEnergy
	q := delta * unit * part.k / (r * r) // W/m³
	const heat = 200e3
	b := body{r: r, s: shape, part: part, heat: heat, conv: 1e9, air: fkTemp, part0: fkTemp}
	law := Law{K: q / (part.rho * heat), E: fkEnergy, N: 0, Tb: fkTemp}
	var s solver
	s.start(&b, law, g, 1e-6)
	end := 200 * r * r * part.rho * part.cp / part.k
	for at := 0.0; at < end; {
		h := s.step()
		if h == 0 || s.temp[0] > fkTemp+10*unit {
			return true
		}
		at += h
	}
	return false
}

// fkLimit is the limit of a grid, by bisection on steady states: the largest
// delta for which Newton's method finds one.
func fkLimit(shape float64, g grid) float64 {
	lo, hi := 0.5, 4.0
	for range 18 {
		mid := (lo + hi) / 2
		if fkSteady(mid, shape, g) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// fkSteady steps the scaled problem du/dt = lap u + delta e^u on the engine's
// cells to rest with implicit Euler and growing steps.
func fkSteady(delta, shape float64, g grid) bool {
	b := body{r: 1, s: shape, part: stuff{1, 1, 1}, conv: 1e12}
	var s solver
	s.start(&b, Law{K: 1, N: 0, Tb: 1}, g, 1)
	n := s.n
	u, diag, rhs := make([]float64, n), make([]float64, n), make([]float64, n)
	for range 4000 {
		change := 0.0
		for i := range u {
			diag[i] = s.low[i] + s.up[i] - delta*math.Exp(u[i]) + 2
			rhs[i] = delta*math.Exp(u[i]) - (s.low[i]+s.up[i])*u[i]
			if i > 0 {
				rhs[i] += s.low[i] * u[i-1]
			}
			if i+1 < n {
				rhs[i] += s.up[i] * u[i+1]
			}
		}
		for i := 1; i < n; i++ {
			m := s.low[i] / diag[i-1]
			diag[i] -= m * s.up[i-1]
			rhs[i] += m * rhs[i-1]
		}
		for i := n - 1; i >= 0; i-- {
			if i+1 < n {
				rhs[i] += s.up[i] * rhs[i+1]
			}
			rhs[i] /= diag[i]
			u[i] += rhs[i]
			change = max(change, math.Abs(rhs[i]))
		}
		switch {
		case u[0] > 5 || math.IsNaN(u[0]):
			return false
		case change < 1e-11:
			return true
		}
	}
	return true
}

// fkExact is the limit and the center's rise there, by shooting: u” +
// (s-1)/r u' + e^u = 0 from a center of zero reaches -u0 at the r with
// delta = r² e^u0; the limit is the largest delta.
func fkExact(shape float64) (delta, center float64) {
	const h = 1e-3
	v, dv := 0.0, 0.0
	acc := func(r, v, dv float64) float64 {
		if r == 0 {
			return -math.Exp(v) / shape
		}
		return -math.Exp(v) - (shape-1)/r*dv
	}
	for r := 0.0; r < 5; r += h {
		k1, l1 := dv, acc(r, v, dv)
		k2, l2 := dv+h/2*l1, acc(r+h/2, v+h/2*k1, dv+h/2*l1)
		k3, l3 := dv+h/2*l2, acc(r+h/2, v+h/2*k2, dv+h/2*l2)
		k4, l4 := dv+h*l3, acc(r+h, v+h*k3, dv+h*l3)
		v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		dv += h / 6 * (l1 + 2*l2 + 2*l3 + l4)
		if d := (r + h) * (r + h) * math.Exp(v); d > delta {
			delta, center = d, -v
		}
	}
	return delta, center
}

func refFKCritical(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct{ S float64 }](t, c)
	exact, center := fkExact(v.S)
	g := grid{24, 0, 0}
	compare(t, c, map[string]any{
		"delta_c": exact, "theta0_c": center, "delta_c_24cells": fkLimit(v.S, g),
		"below_097_runs_away": fkRuns(0.97*exact, v.S, g), "above_103_runs_away": fkRuns(1.03*exact, v.S, g),
	})
}
