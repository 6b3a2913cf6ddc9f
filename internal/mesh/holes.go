package mesh

import (
	"cmp"
	"math"
	"slices"
)

// Hole is a group of open edges that hang together.
type Hole struct {
	Edges  int
	Extent float64 // the diagonal of its box
	Center point   // mean of its points
	Crack  bool    // it has no opening: the rim closes on itself

	vector point // area vector of a fan that would close it
}

// rimEdge is an edge of a hole as its triangle runs it.
type rimEdge struct {
	hole     int
	from, to uint32
}

func (r *Report) countOpenings() {
	for _, h := range r.Holes {
		if !h.Crack {
			r.Openings++
			r.Widest = max(r.Widest, h.Extent)
		}
	}
}

// crackShare is the share of the surface below which the area vector of a rim
// counts as none. Rounding of float32 coordinates stays well below it for whole
// meshes; the area of the smallest real hole stays above.
const crackShare = 1e-9

// findHoles measures the rims of a surface whose triangles run one way. area is
// that of the surface. The result is ordered largest first.
func (f *fabric) findHoles(verts []point, tris []triangle, area float64) ([]Hole, []rimEdge) {
	group, n := f.loops()
	type rim struct {
		lo, hi, sum   point
		edges, points int
	}
	seen := make(map[uint32]bool, len(f.open)) // a point belongs to one rim only
	rims := make([]rim, n)
	for i := range rims {
		inf := math.Inf(1)
		rims[i].lo, rims[i].hi = point{inf, inf, inf}, point{-inf, -inf, -inf}
	}
	for i, e := range f.open {
		r := &rims[group[i]]
		r.edges++
		for _, v := range [2]uint32{e.from, e.to} {
			p := verts[v]
			if !seen[v] {
				seen[v] = true
				r.sum = add(r.sum, p)
				r.points++
			}
			for k := range 3 {
				r.lo[k], r.hi[k] = min(r.lo[k], p[k]), max(r.hi[k], p[k])
			}
		}
	}
	holes := make([]Hole, n)
	for i, r := range rims {
		holes[i] = Hole{Edges: r.edges, Extent: distance(r.lo, r.hi), Center: scale(r.sum, 1/float64(r.points))}
	}
	edges := make([]rimEdge, len(f.open))
	for i, e := range f.open {
		h := &holes[group[i]]
		from, to := e.from, e.to
		if !runs(&tris[e.tri], from, to) { // the triangle was turned
			from, to = to, from
		}
		edges[i] = rimEdge{group[i], from, to}
		// the lid's triangle runs the edge the other way
		h.vector = add(h.vector, scale(cross(sub(verts[to], h.Center), sub(verts[from], h.Center)), 0.5))
	}
	for i := range holes {
		holes[i].Crack = length(holes[i].vector) <= crackShare*area
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(holes[b].Extent, holes[a].Extent) })
	sorted, place := make([]Hole, n), make([]int, n)
	for to, from := range order {
		sorted[to], place[from] = holes[from], to
	}
	for i := range edges {
		edges[i].hole = place[edges[i].hole]
	}
	return sorted, edges
}

func runs(t *triangle, from, to uint32) bool {
	return t[0] == from && t[1] == to || t[1] == from && t[2] == to || t[2] == from && t[0] == to
}

// lids gives the volume about c that fans over all holes add, and the sum of the
// sizes of their area vectors. A fan to a point m adds (m−c)·A/3, where A is its
// area vector: seen from m itself it adds nothing.
func lids(holes []Hole, c point) (volume, area float64) {
	var v neumaier
	for i := range holes {
		v.add(dot(sub(holes[i].Center, c), holes[i].vector) / 3)
		area += length(holes[i].vector)
	}
	return v.value(), area
}
