package plot

import "math"

// film is what the part leaves on a grid of samples: how near the nearest
// surface is, and its tone.
type film struct {
	w, h  int
	near  []float32 // pixels toward the viewer; below all of the part where nothing is
	tone  []uint8   // 0 where nothing is
	spent int       // rows begun and samples tried
	most  int
}

// Tones from 1 to 127 are of the outer side, dark to light, and 128 more of the
// inner side.
const (
	toneSteps = 127
	innerTone = 128
)

func newFilm(w, h, most int) *film {
	f := &film{w: w, h: h, near: make([]float32, w*h), tone: make([]uint8, w*h), most: most}
	for i := range f.near {
		f.near[i] = -math.MaxFloat32
	}
	return f
}

// dot3 is a corner of a triangle on the film.
type dot3 struct{ x, y, z float64 }

// edge runs down from a corner to a lower one.
type edge struct{ y, x, z, dx, dz float64 }

func newEdge(a, b *dot3) edge {
	inv := 1 / (b.y - a.y)
	return edge{a.y, a.x, a.z, (b.x - a.x) * inv, (b.z - a.z) * inv}
}

func (e *edge) at(y float64) (x, z float64) {
	d := y - e.y
	return e.x + d*e.dx, e.z + d*e.dz
}

// cell is the first sample whose middle lies right of (or below) v, which is
// not negative.
func cell(v float64) int { return int(v + 0.5) }

// draw puts a triangle on the film, inside of which all corners must lie. A
// sample belongs to it if its middle does; on a shared edge, to one of two
// triangles, since an edge is always run from its upper end and so has the same
// rounding in both. tone is asked only if a sample is met. It reports whether
// there was work left to do it.
func (f *film) draw(a, b, c *dot3, tone func() uint8) bool {
	top, end := cell(min(a.y, b.y, c.y)), min(cell(max(a.y, b.y, c.y)), f.h)
	if top >= end || cell(min(a.x, b.x, c.x)) >= cell(max(a.x, b.x, c.x)) {
		return true
	}
	if b.y < a.y || b.y == a.y && b.x < a.x {
		a, b = b, a
	}
	if c.y < a.y || c.y == a.y && c.x < a.x {
		a, c = c, a
	}
	if c.y < b.y || c.y == b.y && c.x < b.x {
		b, c = c, b
	}
	t := tone()
	long, short := newEdge(a, c), newEdge(a, b)
	bend := cell(b.y)
	for y := top; y < end; y++ {
		if y == bend || y == top && y > bend {
			short = newEdge(b, c)
		}
		at := float64(y) + 0.5
		x0, z0 := long.at(at)
		x1, z1 := short.at(at)
		if x1 < x0 {
			x0, z0, x1, z1 = x1, z1, x0, z0
		}
		from, to := cell(x0), min(cell(x1), f.w)
		if f.spent += 1 + max(to-from, 0); f.spent > f.most {
			return false
		}
		f.row(y, from, to, x0, z0, (z1-z0)/(x1-x0), t)
	}
	return true
}

// row fills the samples of one row that are nearer than what is there.
func (f *film) row(y, from, to int, x0, z0, slope float64, tone uint8) {
	if from >= to {
		return
	}
	near, tones := f.near[y*f.w+from:y*f.w+to], f.tone[y*f.w+from:y*f.w+to]
	z, step := float32(z0+(float64(from)+0.5-x0)*slope), float32(slope)
	for i := range near {
		if z > near[i] {
			near[i], tones[i] = z, tone
		}
		z += step
	}
}
