package cure

import "math"

// stuff is what heat meets: conductivity W/(m K), density kg/m³, heat
// capacity J/(kg K).
type stuff struct{ k, rho, cp float64 }

// layer is a wall of a thickness in m.
type layer struct {
	stuff
	d float64
}

// Walls and cup; conductivity of silicone measured to ASTM E1530 (0.22 to
// 0.25), the rest handbook values from memory.
var (
	siliconeStuff = stuff{0.23, 1200, 1350}
	urethaneStuff = stuff{0.20, 1080, 1850}
	plasterStuff  = stuff{0.40, 1100, 1050}
	aluminumStuff = stuff{167, 2700, 900}
	plasticStuff  = stuff{0.20, 905, 1900}
)

const (
	cupWall   = 0.001 // m of plastic
	sheetWall = 0.010 // m of silicone about a bulletin's sheet; common practice, no source

	// surface is convection and radiation in W/(m² K). ISO 6946 has surface
	// resistances of 0.13 sideways, 0.10 upward and 0.17 downward, that is
	// 7.7, 10 and 5.9; 9 is judgement, and so is 20 in moving air.
	surface    = 9.0
	surfaceFan = 20.0
)

// body is a section and its surroundings, all SI. A wall of no thickness is
// not there; the second needs the first.
type body struct {
	r     float64 // m, center to face
	s     float64 // shape: area grows as r^(s-1); slab 1, long rod 2, ball 3
	part  stuff
	heat  float64 // J/kg
	walls [2]layer
	conv  float64 // W/(m² K) at the outer face
	air   float64 // K
	part0 float64 // K, resin as poured
	wall0 float64 // K, mold
}

// grid is the number of cells in the part and in each wall.
type grid [3]int

// cellsFor gives 24 cells, shared as the layers need. A hot resin has a sharp
// front: from 300 kJ/kg on, four times as many.
func cellsFor(b *body) grid {
	g := grid{24, 0, 0}
	switch {
	case b.walls[1].d > 0:
		g = grid{13, 7, 4}
	case b.walls[0].d > 0:
		g = grid{16, 8, 0}
	}
	if b.heat >= frontHeat {
		for i := range g {
			g[i] *= 4
		}
	}
	return g
}

// frontHeat is the heat of cure in J/kg from which 24 cells miss the peak by
// 10 to 20 K.
const frontHeat = 300e3

// ShapeFactor is R A/V held to 1 to 3, and as it was: 1 for a wide plate, 2
// for a long rod, 3 for a ball or a cube, judgement between them. Any one
// system of units.
func ShapeFactor(r, area, volume float64) (s, raw float64) {
	raw = r * area / volume
	return min(max(raw, 1), 3), raw
}

// cupRadius is that of a cup as high as wide, in m, for kg and kg/m³. Its
// surface over volume is 3/R, as a ball's.
func cupRadius(mass, rho float64) float64 { return math.Cbrt(mass / (2 * math.Pi * rho)) }

// cup is the body of a full plastic cup, everything at one temperature.
func cup(mass float64, part stuff, heat, conv, t float64) body {
	return body{r: cupRadius(mass, part.rho), s: 3, part: part, heat: heat,
		walls: [2]layer{{plasticStuff, cupWall}}, conv: conv, air: t, part0: t, wall0: t}
}

// sheet is the body of a bulletin's sample of a thickness in m, in silicone.
func sheet(thick float64, part stuff, heat, conv, wallK, t float64) body {
	wall := siliconeStuff
	wall.k *= wallK
	return body{r: thick / 2, s: 1, part: part, heat: heat,
		walls: [2]layer{{wall, sheetWall}}, conv: conv, air: t, part0: t, wall0: t}
}
