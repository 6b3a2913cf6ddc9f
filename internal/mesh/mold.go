package mesh

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

// MoldBox is a box around a part and the rubber that fills the rest of it, in
// the unit of the mesh.
type MoldBox struct {
	Inner  [3]float64 // inner sides of the box along x, y, z
	Volume float64    // of the box
	Rubber float64    // Volume − Report.Outer
}

// MoldBox sizes a block mold: side is the margin on the four sides, below and
// above those along z, none negative. Sealed hollows of the part stay inside it.
// A part without a volume is refused with not_watertight; one that fills more
// than its own box has damage or a wrong unit: bad_file.
func (r *Report) MoldBox(side, below, above float64) (MoldBox, error) {
	if err := r.needVolume(); err != nil {
		return MoldBox{}, err
	}
	if !(side >= 0) || !(below >= 0) || !(above >= 0) {
		return MoldBox{}, fault.New(fault.OutOfRange, "the margins of a mold box cannot be negative")
	}
	if own := r.Size[0] * r.Size[1] * r.Size[2]; r.Outer > own*(1+1e-9) {
		return MoldBox{}, bad("the part claims more volume than the box it fits in, so the file is damaged")
	}
	b := MoldBox{Inner: [3]float64{r.Size[0] + 2*side, r.Size[1] + 2*side, r.Size[2] + below + above}}
	b.Volume = b.Inner[0] * b.Inner[1] * b.Inner[2]
	b.Rubber = b.Volume - r.Outer
	return b, nil
}

func (r *Report) needVolume() error {
	if r.Kind == Loose {
		return fault.New(fault.NotWatertight, "the mesh is loose faces and no solid, so it has no volume").
			Hint("close the part in the program that made it, then export it again")
	}
	return nil
}

// Below is how much of the part, sealed hollows filled, lies below the plane
// where coordinate axis (0 to 2) is at; the rest of Outer lies above. For a mold
// in two halves the rubber of each is its box less its share. Meant for closed
// meshes: an open one gives an estimate.
//
// By the divergence theorem with the field (0, 0, z−at) the cut face adds
// nothing, so no cap need be built: the volume is the sum, over the triangles
// clipped to the lower side, of their projected area times their mean height
// over the plane.
func (r *Report) Below(axis int, at float64) (float64, error) {
	if err := r.needVolume(); err != nil {
		return 0, err
	}
	verts, tris, out := r.lidded()
	n := len(r.tris)
	var sum neumaier
	for i := range tris {
		if i >= n || !out(i) && !r.inner(i) {
			sum.add(belowTriangle(verts, &tris[i], axis, at))
		}
	}
	return min(max(sum.value(), 0), r.Outer), nil
}

// inner reports whether a triangle belongs to a shell inside another.
func (r *Report) inner(i int) bool { return r.depths != nil && r.depths[i] > 0 }

func belowTriangle(verts []point, t *triangle, axis int, at float64) float64 {
	var poly [4]point
	n := 0
	for k := range 3 {
		p, q := verts[t[k]], verts[t[(k+1)%3]]
		hp, hq := p[axis]-at, q[axis]-at
		if hp <= 0 {
			poly[n] = p
			n++
		}
		if hp < 0 && hq > 0 || hp > 0 && hq < 0 {
			poly[n] = along(p, sub(q, p), hp/(hp-hq))
			poly[n][axis] = at
			n++
		}
	}
	sum := 0.0
	for k := 2; k < n; k++ {
		a, b, c := poly[0], poly[k-1], poly[k]
		vector := cross(sub(b, a), sub(c, a))[axis] / 2
		sum += vector * ((a[axis] - at) + (b[axis] - at) + (c[axis] - at)) / 3
	}
	return sum
}

// Outside is what a layer on the outside of a part depends on, in the unit of
// the mesh.
type Outside struct {
	Area      float64
	Curvature float64 // half the sum over edges of length times outer angle, creases negative
	Euler     float64 // 2 for one part without holes through it, 0 for a ring
	Convex    bool    // Coat has no error then
}

// Coat is the volume of an even layer of the given wall, 0 or more. It is exact
// for a convex part and elsewhere an estimate that holds while the wall is thin
// beside the hollows and creases of the part.
//
// Steiner's formula: A·w + M·w² + (2π/3)·χ·w³. For a sphere, a box and a cylinder
// it is the textbook volume of the parallel body.
func (o Outside) Coat(wall float64) float64 {
	return max(o.Area*wall+o.Curvature*wall*wall+2*math.Pi/3*o.Euler*wall*wall*wall, 0)
}

// Scaled is the outside of the same part with every length k times as long.
func (o Outside) Scaled(k float64) Outside {
	o.Area *= k * k
	o.Curvature *= k
	return o
}

// Outside measures the outer surface: sealed hollows and shells inside others
// are left out. A part without a volume is refused with not_watertight.
func (r *Report) Outside(done <-chan struct{}) (Outside, error) {
	if err := r.needVolume(); err != nil {
		return Outside{}, err
	}
	return r.curve(done)
}

// flatAngle is the crease, in radians, that counts as flat.
const flatAngle = 1e-6

func (r *Report) curve(done <-chan struct{}) (Outside, error) {
	c := Outside{Convex: r.Watertight() && r.Topology.Shells == 1}
	verts := r.mesh.verts
	skip := make([]bool, len(r.tris))
	used := make([]bool, len(verts))
	var area, m neumaier
	points, faces, edges := 0, 0, 0
	for i := range r.tris {
		if skip[i] = r.out(i) || r.inner(i); skip[i] {
			continue
		}
		faces++
		area.add(length(normal2(verts, &r.tris[i])) / 2)
		for _, v := range r.tris[i] {
			if !used[v] {
				used[v] = true
				points++
			}
		}
	}
	err := eachEdge(r.tris, len(verts), skip, done, func(low uint32, e []uint64) {
		edges++
		if len(e) != 2 {
			return
		}
		edge := sub(verts[entryFar(e[0])], verts[low])
		if entryDown(e[0]) {
			edge = scale(edge, -1)
		}
		l := length(edge)
		n1, n2 := normal2(verts, &r.tris[entryTriangle(e[0])]), normal2(verts, &r.tris[entryTriangle(e[1])])
		if l == 0 || n1 == (point{}) || n2 == (point{}) {
			return
		}
		angle := math.Atan2(dot(cross(n1, n2), edge)/l, dot(n1, n2))
		c.Convex = c.Convex && angle > -flatAngle
		m.add(l * angle)
	})
	c.Area, c.Curvature, c.Euler = area.value(), m.value()/2, float64(points-edges+faces)
	return c, err
}

// normal2 is twice the area vector of a triangle.
func normal2(verts []point, t *triangle) point {
	a := verts[t[0]]
	return cross(sub(verts[t[1]], a), sub(verts[t[2]], a))
}
