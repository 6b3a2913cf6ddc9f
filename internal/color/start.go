package color

import "math"

// fixedStarts are shares of the load limit, split evenly, that a search also
// starts from: there can be several valleys.
var fixedStarts = [...]float64{0.003, 0.03, 0.20, 0.60}

// gram holds the normal equations of the linear problem behind a search: bands
// in which the mix should have the target's K/S, weighted by how much the eye
// sees of them.
type gram struct {
	products [PaletteMost][PaletteMost]float64
	right    [PaletteMost]float64
}

func newGram(base *Base, palette []*Tint, internal *Spectrum) *gram {
	var g gram
	for i, r := range internal {
		theta := Absorption(r)
		w := (weights[i][0] + weights[i][1] + weights[i][2]) / ((1 + theta) * (1 + theta))
		miss := w * (theta*base.s[i] - base.k[i])
		var row [PaletteMost]float64
		for j, t := range palette {
			row[j] = w * (t.k[i] - theta*t.s[i])
		}
		for j := range palette {
			g.right[j] += row[j] * miss
			for k := range palette {
				g.products[j][k] += row[j] * row[k]
			}
		}
	}
	return &g
}

// nonNegative gives the doses of a set, none below 0, with the least squared
// error, found by solving for one dose after the other (Gauss–Seidel with a
// floor). It is only a start, so a few rounds do.
func (g *gram) nonNegative(set []int) (d [Most]float64) {
	const rounds = 40
	for range rounds {
		for i, a := range set {
			sum := g.right[a]
			for j, b := range set {
				if j != i {
					sum -= g.products[a][b] * d[j]
				}
			}
			if p := g.products[a][a]; p > 0 {
				d[i] = max(0, sum/p)
			}
		}
	}
	return d
}

// starts are the points that a search of the set begins at.
func (f *fit) starts(g *gram, set []int) (out [1 + len(fixedStarts)]point) {
	d := g.nonNegative(set)
	for i := range set {
		out[0][i] = math.Cbrt(max(d[i], DoseFloor))
	}
	for s, share := range fixedStarts {
		for i := range set {
			out[1+s][i] = math.Cbrt(share * f.most / float64(len(set)))
		}
	}
	return out
}
