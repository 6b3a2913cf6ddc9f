package mesh

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

// transform is a 3MF matrix: four rows of three, a point is a row vector on its
// left: x' = x·m[0] + y·m[1] + z·m[2] + m[3] (core specification, 3.3).
type transform [4]point

var identity = transform{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 0, 0}}

func (m *transform) apply(p point) point {
	var q point
	for k := range 3 {
		q[k] = p[0]*m[0][k] + p[1]*m[1][k] + p[2]*m[2][k] + m[3][k]
	}
	return q
}

// then is the transform that applies m first and n after it.
func (m *transform) then(n *transform) transform {
	var out transform
	for r := range 3 {
		for k := range 3 {
			out[r][k] = m[r][0]*n[0][k] + m[r][1]*n[1][k] + m[r][2]*n[2][k]
		}
	}
	out[3] = n.apply(m[3])
	return out
}

// det is the determinant of the turning part: negative for a mirror.
func (m *transform) det() float64 { return det(m[0], m[1], m[2]) }

// flattens reports whether the transform leaves no volume, or next to none.
func (m *transform) flattens() bool {
	d := math.Abs(m.det())
	return !(d > 1e-12*length(m[0])*length(m[1])*length(m[2]))
}

func (p *part3mf) transform(b []byte) (transform, error) {
	if b == nil {
		return identity, nil
	}
	var m transform
	w := words{data: b}
	for i := range 12 {
		x, ok := parseNumber(w.next())
		if !ok || !(math.Abs(x) <= 1e4*maxCoordinate) {
			return m, p.bad("a transform needs twelve numbers")
		}
		m[i/3][i%3] = x
	}
	if w.next() != nil {
		return m, p.bad("a transform needs twelve numbers")
	}
	if m.flattens() {
		return m, p.bad("a transform flattens the part")
	}
	return m, nil
}

// build counts what the build places, and places it if that is allowed.
func (f *model3mf) build() (*Mesh, error) {
	tris, meshes := 0, 0
	for _, it := range f.items {
		o, err := f.counted(it.object, 1)
		if err != nil {
			return nil, err
		}
		tris = min(tris+o.count, math.MaxInt32)
		meshes = min(meshes+o.meshs, math.MaxInt32)
	}
	switch {
	case len(f.items) == 0:
		return nil, bad("nothing is placed in the build of the file")
	case tris == 0 && f.beams:
		return nil, bad("the file holds beams only, no triangles")
	case tris == 0:
		return nil, bad("the build of the file places no triangles of a solid object")
	case meshes > f.lim.Placed:
		return nil, hostile("the build places more than %s meshes", group(f.lim.Placed))
	}
	if err := f.lim.checkTriangles(tris); err != nil {
		return nil, err
	}
	m := &Mesh{Format: ThreeMF, Unit: f.unit, tris: make([]triangle, 0, tris), Placed: meshes}
	if f.beams {
		m.Notes = append(m.Notes, "The file also has beams; they are not counted.")
	}
	mm := f.unit.MM()
	toMM := transform{{mm, 0, 0}, {0, mm, 0}, {0, 0, mm}, {0, 0, 0}}
	var w welder
	for _, it := range f.items {
		at := it.at.then(&toMM)
		if err := f.place(m, &w, it.object, &at); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// counted finds an object and how much it places. Sums stop at 2^31-1, so forty
// levels that double each are counted, not placed.
func (f *model3mf) counted(key objectKey, depth int) (*object3mf, error) {
	o := f.objects[key]
	if o == nil {
		return nil, bad("the file places object %d, which is not there", key.id)
	}
	if o.state == 1 {
		return nil, hostile("object %d contains itself", key.id)
	}
	if depth > f.lim.Depth {
		return nil, hostile("components are nested more than %d deep", f.lim.Depth)
	}
	if o.state == 2 || !o.solid {
		return o, nil
	}
	o.state = 1
	if len(o.tris) > 0 {
		o.count, o.meshs = len(o.tris), 1
	}
	for _, c := range o.comps {
		sub, err := f.counted(c.object, depth+1)
		if err != nil {
			return nil, err
		}
		o.count = min(o.count+sub.count, math.MaxInt32)
		o.meshs = min(o.meshs+sub.meshs, math.MaxInt32)
	}
	o.state = 2
	return o, nil
}

// place adds an object at its place. Components that place nothing are passed
// by, so the work is bounded by the placed meshes times the depth.
func (f *model3mf) place(m *Mesh, w *welder, key objectKey, at *transform) error {
	o := f.objects[key]
	if o.count == 0 {
		return nil
	}
	if stopped(f.done) {
		return ErrStopped
	}
	if at.flattens() {
		return bad("the transforms of object %d together flatten it", key.id)
	}
	if len(o.tris) > 0 {
		if err := o.placeMesh(m, w, key.id, at); err != nil {
			return err
		}
	}
	for i := range o.comps {
		c := &o.comps[i]
		inner := c.at.then(at)
		if err := f.place(m, w, c.object, &inner); err != nil {
			return err
		}
	}
	return nil
}

func (o *object3mf) placeMesh(m *Mesh, w *welder, id int, at *transform) error {
	verts := make([]point, len(o.verts))
	for i, v := range o.verts {
		verts[i] = at.apply(v)
		for _, x := range verts[i] {
			if !(math.Abs(x) <= maxCoordinate) {
				return fault.New(fault.BadFile, "object %d reaches beyond 10 km", id).Hint("check the unit and the transforms of the file")
			}
		}
	}
	tris := o.tris
	if at.det() < 0 { // a mirror turns faces inward: swap two corners
		tris = make([]triangle, len(o.tris))
		for i, t := range o.tris {
			tris[i] = triangle{t[0], t[2], t[1]}
		}
	}
	m.indexed(w, verts, tris)
	return nil
}
