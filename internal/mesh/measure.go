package mesh

import (
	"math"
	"slices"
)

// survey is a measurement under way.
type survey struct {
	m       *Mesh
	done    <-chan struct{}
	workers int
	r       *Report
	c       point   // middle of the box, the reference point of volumes
	far     float64 // the largest coordinate
	diag    float64
	sums    sums
	fabric  *fabric

	oneSided bool // most of the surface has no inside
}

// Measure finds volume, area, size and how well the mesh is closed. workers is
// how many goroutines may run at a time (1 or more); the result does not depend
// on it. It needs 8 to 60 bytes a triangle, few where triangles that touch follow
// each other in the list. The only error is ErrStopped.
func (m *Mesh) Measure(done <-chan struct{}, workers int) (*Report, error) {
	s := &survey{m: m, done: done, workers: workers}
	s.r = &Report{Triangles: len(m.tris), Orientable: true, mesh: m, Warp: m.warp, FileNotes: m.Notes}
	s.r.Lo, s.r.Hi = boundsOf(m.verts, workers)
	s.r.Size = sub(s.r.Hi, s.r.Lo)
	for k := range 3 {
		s.far = max(s.far, math.Abs(s.r.Lo[k]), math.Abs(s.r.Hi[k]))
	}
	s.c, s.diag = middle(s.r.Lo, s.r.Hi), length(s.r.Size)
	for _, step := range []func() error{s.first, s.close, s.face, s.judge} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	s.r.countOpenings()
	s.r.Findings = s.r.findings()
	return s.r, nil
}

// first sums the surface and finds its edges.
func (s *survey) first() error {
	var err error
	if s.sums, err = sumSurface(s.m.verts, s.m.tris, s.c, s.far, s.workers, s.done); err != nil {
		return err
	}
	f, err := weave(s.m.tris, len(s.m.verts), nil, s.m.blocks, true, s.workers, s.done)
	if err != nil {
		return err
	}
	f.ZeroArea = len(s.sums.zeroArea)
	s.fabric = f
	s.r.Stored = f.Topology
	s.r.AsWound, s.r.Area = s.sums.volume+dot(s.c, s.sums.vector)/3, s.sums.area
	return nil
}

// close tries the two harmless ways to close open edges: points a hair apart,
// then triangles without area.
func (s *survey) close() error {
	if s.fabric.OpenEdges > 0 && s.diag > 0 {
		tris, moved, err := s.m.joinNear(nearTolerance*s.diag, s.done)
		if err != nil {
			return err
		}
		if moved > 0 {
			if err := s.retry(tris, nil, moved, 0); err != nil {
				return err
			}
		}
	}
	if s.fabric.OpenEdges > 0 && len(s.sums.zeroArea) > 0 {
		skip := make([]bool, len(s.m.tris))
		for _, i := range s.sums.zeroArea {
			skip[i] = true
		}
		if err := s.retry(s.fabric.tris, skip, s.fabric.merged, len(s.sums.zeroArea)); err != nil {
			return err
		}
	}
	s.r.Topology = s.fabric.Topology
	s.r.Joined, s.r.Dropped = s.fabric.merged, s.fabric.dropped
	return nil
}

// retry keeps another weave of the surface if it has fewer open edges.
func (s *survey) retry(tris []triangle, skip []bool, merged, dropped int) error {
	f, err := weave(tris, len(s.m.verts), skip, s.m.blocks, false, s.workers, s.done)
	if err != nil || f.OpenEdges >= s.fabric.OpenEdges {
		return err
	}
	f.ZeroArea = len(s.sums.zeroArea)
	f.merged, f.dropped = merged, dropped
	s.fabric = f
	return nil
}

// face makes the faces of each patch run one way.
func (s *survey) face() error {
	t, err := s.fabric.orient(s.done)
	if err != nil {
		return err
	}
	s.r.Orientable = t.orientable
	s.oneSided = 2*t.clashed > len(s.m.tris)
	s.r.tris = s.fabric.tris
	s.r.out = s.fabric.out
	if t.count > 0 {
		s.r.Flipped = t.count
		s.r.tris = turn(s.fabric.tris, t.turned)
	}
	if t.count > 0 || s.fabric.merged > 0 {
		zero := s.sums.zeroArea
		if s.sums, err = sumSurface(s.m.verts, s.r.tris, s.c, s.far, s.workers, s.done); err != nil {
			return err
		}
		s.sums.zeroArea = zero
	}
	if s.sums.area > 0 {
		s.r.Defect = length(s.sums.vector) / s.sums.area
	}
	s.r.Turned = t.count
	return nil
}

// judge decides the kind and the volume.
func (s *survey) judge() error {
	r := s.r
	r.Kind = Solid
	r.Volume = s.sums.volume
	var err error
	switch {
	case r.Topology.OpenEdges > 0:
		s.judgeOpen()
		s.outward(r.Volume < 0)
	case r.Topology.Unbalanced > 0 || !r.Orientable:
		r.Kind = About
		s.outward(r.Volume < 0)
		s.band(r.Volume)
	case r.Topology.Shells > 1:
		err = s.judgeShells()
	default:
		s.outward(r.Volume < 0)
	}
	if err != nil {
		return err
	}
	if r.Topology.OpenEdges > 0 && r.Topology.Shells > 1 {
		r.Shells = gather(s.m.verts, s.fabric, r.tris, s.c).shells
	}
	if !(r.Volume > 1e-9*r.Area*s.diag) || s.oneSided {
		r.Kind = Loose // closed but flat, or no inside at all
	}
	if r.Kind == Loose {
		r.Volume, r.Outer = 0, 0
		return nil
	}
	if r.Outer == 0 {
		r.Outer = r.Volume
	}
	r.Hollow = max(r.Outer-r.Volume, 0)
	if r.High == 0 {
		r.Low, r.High = r.Volume, r.Volume
	}
	if r.Topology.NonManifold > 0 && r.Kind == Solid {
		s.judgeTangle()
	}
	r.Low, r.High = max(r.Low-s.m.warp, 0), r.High+s.m.warp
	return nil
}

// outward turns everything when the volume came out negative.
func (s *survey) outward(inside bool) {
	r := s.r
	if !inside {
		return
	}
	r.Volume = -r.Volume
	r.tris = slices.Clone(r.tris)
	for i := range r.rims {
		e := &r.rims[i]
		e.from, e.to = e.to, e.from
	}
	n := 0
	for i := range r.tris {
		t := &r.tris[i]
		t[1], t[2] = t[2], t[1]
		if !r.out(i) {
			n++
		}
	}
	r.Turned = n - r.Turned
}

// looseShare: where the lids over all openings come to this share of the
// surface, there is no body to speak of: a sheet or a heap of faces. A half
// sphere has 0.5, a tetrahedron that lacks a face 0.58. Common practice, no
// source.
const looseShare = 0.9

// judgeOpen closes the holes flat. Cracks have no opening, so the volume holds.
func (s *survey) judgeOpen() {
	r := s.r
	r.Holes, r.rims = s.fabric.findHoles(s.m.verts, r.tris, r.Area)
	volume, lidArea := lids(r.Holes, s.c)
	real := slices.ContainsFunc(r.Holes, func(h Hole) bool { return !h.Crack })
	switch {
	case lidArea >= looseShare*r.Area:
		r.Kind = Loose
	case real || !r.Orientable || r.Topology.Unbalanced > 0:
		r.Kind = About
		r.Volume += volume
		s.band(r.Volume)
	}
}

// band puts the range of an open mesh: 1 %, or what a lid that bulges might add,
// q·A·diagonal/12, whichever is more. Rough; common practice, no source.
func (s *survey) band(volume float64) {
	v := math.Abs(volume)
	w := max(0.01*v, s.r.Defect*s.r.Area*s.diag/12)
	s.r.Low, s.r.High = max(v-w, 0), v+w
}

// judgeShells sorts closed shells into each other.
func (s *survey) judgeShells() error {
	r := s.r
	n := gather(s.m.verts, s.fabric, r.tris, s.c)
	if err := n.sort(s.done); err != nil {
		return err
	}
	r.Shells = n.shells
	if n.skipped {
		r.Kind = About
		s.outward(r.Volume < 0)
		if f, ok := estimateFilling(s.m.verts, r.tris, r.out, s.done); ok {
			r.Volume = f.of(r.Volume)
		}
		s.band(r.Volume)
		return nil
	}
	r.Nested = true
	s.turnShells(n)
	r.depths = n.depths()
	r.Volume, r.Outer, r.SameWay = n.volume, n.outer, n.sameWay
	if n.sameWay {
		r.IfHollow = n.ifHollow
	}
	if !n.boxesCross() && !n.overlap {
		return nil
	}
	f, ok := estimateFilling(s.m.verts, r.tris, r.out, s.done)
	if stopped(s.done) {
		return ErrStopped
	}
	filled := f.of(n.signedSum)
	if !n.overlap && ok && math.Abs(filled-n.volume) <= overlapShare*n.volume {
		return nil
	}
	if !n.overlap && !ok {
		return nil
	}
	r.Overlap, r.Kind = true, About
	r.Low, r.High = r.Volume, r.Volume
	if ok {
		r.Low = min(filled, r.Volume)
	} else {
		r.Low = n.largest()
	}
	return nil
}

// overlapShare is the excess over the sorted volume from which pieces are said
// to run into each other. The grid of estimateFilling errs by less than half of it.
const overlapShare = 2e-3

func (n *nest) largest() float64 {
	most := 0.0
	for _, s := range n.shells {
		most = max(most, math.Abs(s.Volume))
	}
	return most
}

// boxesCross reports whether the boxes of two shells meet that are not known to
// lie one in the other.
func (n *nest) boxesCross() bool {
	if len(n.shells) > 1000 {
		return true // too many to look at each pair
	}
	for a := range n.shells {
		for b := range a {
			if !n.holds(a, b) && !n.holds(b, a) && n.boxesMeet(a, b) {
				return true
			}
		}
	}
	return false
}

// holds reports whether shell b lies in shell a, at any depth.
func (n *nest) holds(a, b int) bool {
	for p := n.parent[b]; p >= 0; p = n.parent[p] {
		if p == a {
			return true
		}
	}
	return false
}

// turnShells turns the shells that face inward as a whole.
func (s *survey) turnShells(n *nest) {
	r := s.r
	copied := false
	for i, sh := range n.shells {
		if !sh.Reversed {
			continue
		}
		if !copied {
			r.tris, copied = slices.Clone(r.tris), true
		}
		for _, t := range n.list[i] {
			r.tris[t][1], r.tris[t][2] = r.tris[t][2], r.tris[t][1]
		}
	}
	if copied || r.Flipped > 0 {
		r.Turned = 0
		for i, t := range r.tris {
			if !r.out(i) && t != s.fabric.tris[i] {
				r.Turned++
			}
		}
	}
}

// judgeTangle looks whether a closed mesh with non-manifold edges fills less
// than its sum, as parts do that were pushed together.
func (s *survey) judgeTangle() {
	r := s.r
	f, ok := estimateFilling(s.m.verts, r.tris, r.out, s.done)
	filled := f.of(math.Abs(s.sums.volume)) // turning shells as a whole changes its sign at most
	if !ok || r.Nested || r.Volume-filled <= overlapShare*r.Volume {
		return
	}
	r.Overlap, r.Kind = true, About
	r.Low, r.High = max(filled, 0), r.Volume
}
