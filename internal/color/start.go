package color

import "math"

// levels are shares of the load limit that each tint is tried at before a
// search starts: there can be several valleys. A base that light passes is
// filled by a trace of tint, so it is tried at more and lower ones.
func (f *fit) levels() []float64 {
	if f.base.Kind.Opaque() {
		return []float64{0.001, 0.01, 0.10, 0.50}
	}
	return []float64{0.0006, 0.002, 0.01, 0.10, 0.50}
}

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

const (
	keep  = 2    // points of the lattice that a search goes on from
	rough = 1e-2 // share of its cost that a step has to gain while many sets are tried
	fine  = 1e-7 // and once it is worth being exact
)

// starts are the points that a search of the set begins at: the linear answer,
// then the nearest, about, of a lattice with each tint at each of its levels.
func (f *fit) starts(g *gram, set []int) (out [1 + keep]point) {
	for i, d := range g.nonNegative(set) {
		out[0][i] = math.Cbrt(d)
	}
	var costs [1 + keep]float64
	for i := range costs[1:] {
		costs[1+i] = math.Inf(1)
	}
	sketch := f.sketch()
	var index [Most]int
	levels := f.levels()
	for more := true; more; more = count(&index, len(set), len(levels)) {
		var u point
		for i := range set {
			u[i] = math.Cbrt(levels[index[i]] * f.most)
		}
		u = f.within(u)
		cost := Difference(f.target, sketch.look(&u))
		for k := 1; k <= keep; k++ {
			if cost < costs[k] {
				costs[k], cost = cost, costs[k]
				out[k], u = u, out[k]
			}
		}
	}
	return out
}

// count steps through the lattice; false at its end.
func count(index *[Most]int, n, levels int) bool {
	for i := range n {
		if index[i]++; index[i] < levels {
			return true
		}
		index[i] = 0
	}
	return false
}

// roughly is the nearest point of a set to within rough. A set that will not
// come down to reach, a squared ΔE00, is not followed.
func (f *fit) roughly(g *gram, set []int, reach float64) (best descent) {
	for i, start := range f.starts(g, set) {
		d := f.from(start)
		d.finish(rough, reach)
		if i == 0 || d.cost < best.cost {
			best = d
		}
		if best.cost < exact {
			break // nothing is nearer than equal
		}
	}
	return best
}
