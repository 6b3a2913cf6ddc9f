package cure

import (
	"math"
	"testing"
)

// TestAgainstNodes compares with testdata/check.py, which has the same
// equations on the nodes of an even mesh (400 in the part) and leaves time to
// scipy 1.10.1 (solve_ivp, BDF, rtol 1e-8). Demold is where all of the part,
// its face included, is at 0.9.
func TestAgainstNodes(t *testing.T) {
	law := Law{K: 7.32e-4, E: 57e3, B: 3, N: 2, Tb: 296.15}
	resin := stuff{0.2, 1050, 1850}
	silicone10 := [2]layer{{siliconeStuff, 0.010}}
	for _, c := range []struct {
		name              string
		b                 body
		law               Law
		gel, demold, peak float64 // s, s, K by scipy
	}{
		{"plate", body{r: 0.0125, s: 1, part: resin, heat: 200e3, walls: silicone10, conv: 9, air: 296.15, part0: 296.15, wall0: 296.15},
			law, 176.572, 307.597, 398.333},
		{"rod in two walls", body{r: 0.008, s: 2, part: resin, heat: 180e3, walls: [2]layer{{siliconeStuff, 0.006}, {plasterStuff, 0.020}},
			conv: 9, air: 294.15, part0: 294.15, wall0: 294.15}, law, 284.032, 1363.468, 344.314},
		{"ball, bare", body{r: 0.020, s: 3, part: resin, heat: 200e3, conv: 9, air: 296.15, part0: 296.15}, law, 175.404, 205.934, 402.444},
		{"warm mold", body{r: 0.003, s: 1, part: resin, heat: 200e3, walls: silicone10, conv: 9, air: 294.15, part0: 294.15, wall0: 313.15},
			law, 154.183, 270.101, 365.378},
		{"silicone", body{r: 0.010, s: 1, part: stuff{0.23, 1110, 1350}, heat: 10e3, conv: 9, air: 291.15, part0: 291.15},
			Law{K: 6.6e-5, E: 50e3, B: 20, N: 1, Tb: 296.15}, 3284.819, 4843.593, 294.182},
	} {
		t.Run(c.name, func(t *testing.T) {
			var s solver
			check := func(cells, what string, got, want, tol float64) {
				if math.Abs(got-want) > tol {
					t.Errorf("%s: %s = %.6g, scipy gives %.6g ± %.3g", cells, what, got, want, tol)
				}
			}
			past(&s, &c.b, c.law, cellsFor(&c.b), defaultTol)
			got := readings(&s, c.law, 0.9)
			check("24 cells", "gel at the core", got["t_gel_core_s"].(float64), c.gel, 0.01*c.gel)
			check("24 cells", "demold", got["t_demold_s"].(float64), c.demold, 0.02*c.demold)
			check("24 cells", "peak", got["T_peak_K"].(float64), c.peak, 1.2)
			past(&s, &c.b, c.law, fineGrid(&c.b), 1e-6)
			got = readings(&s, c.law, 0.9)
			check("200 cells", "gel at the core", got["t_gel_core_s"].(float64), c.gel, 0.002*c.gel)
			check("200 cells", "demold", got["t_demold_s"].(float64), c.demold, 0.002*c.demold)
			check("200 cells", "peak", got["T_peak_K"].(float64), c.peak, 0.1)
		})
	}
}

// past runs until the part is ready and its peak is behind it.
func past(s *solver, b *body, law Law, g grid, tol float64) {
	s.start(b, law, g, tol)
	s.run(goal{least: 0.925, cold: coolFace}, nil)
}
