package mesh

import (
	"math"
	"slices"
)

// nearTolerance is how close two points must be to be joined, as a share of the
// diagonal of the bounding box. Files whose points miss each other by a rounding
// of the last printed digit are a hundred times closer than real details are.
const nearTolerance = 1e-6

// joinNear joins points of one part that lie within tolerance of each other:
// each point goes to the first earlier one that is close enough and was not
// itself moved, so no chain of points can creep along. It returns the new
// triangles, which share no memory with the old, and how many points moved.
//
// Points are looked up in a grid of cells four tolerances wide, so that most
// lookups touch one or two cells.
func (m *Mesh) joinNear(tolerance float64, done <-chan struct{}) (tris []triangle, moved int, err error) {
	to := make([]uint32, len(m.verts))
	from := 0
	for _, p := range m.parts {
		n, err := joinNearPart(m.verts, to, from, p.verts, tolerance, done)
		if err != nil {
			return nil, 0, err
		}
		moved += n
		from = p.verts
	}
	if moved == 0 {
		return nil, 0, nil
	}
	tris = slices.Clone(m.tris)
	for i := range tris {
		t := &tris[i]
		t[0], t[1], t[2] = to[t[0]], to[t[1]], to[t[2]]
	}
	return tris, moved, nil
}

const noPoint = math.MaxUint32

func joinNearPart(verts []point, to []uint32, from, end int, tolerance float64, done <-chan struct{}) (moved int, err error) {
	lo, _ := bounds(verts[from:end])
	cell := 4 * tolerance
	log := uint(4)
	for 1<<log < 2*(end-from) {
		log++
	}
	heads := make([]uint32, 1<<log) // first point of a chain of cells that share a slot
	for i := range heads {
		heads[i] = noPoint
	}
	next := make([]uint32, end-from)
	slot := func(c [3]int64) uint64 {
		return hashPoint(float64(c[0]), float64(c[1]), float64(c[2])) >> (64 - log)
	}
	for i := from; i < end; i++ {
		if i%stopEvery == 0 && stopped(done) {
			return 0, ErrStopped
		}
		v := &verts[i]
		var first, last [3]int64
		for k := range 3 {
			first[k] = int64(math.Floor((v[k] - lo[k] - tolerance) / cell))
			last[k] = int64(math.Floor((v[k] - lo[k] + tolerance) / cell))
		}
		best := uint32(noPoint)
		for x := first[0]; x <= last[0]; x++ {
			for y := first[1]; y <= last[1]; y++ {
				for z := first[2]; z <= last[2]; z++ {
					for j := heads[slot([3]int64{x, y, z})]; j != noPoint; j = next[int(j)-from] {
						if j < best && distance(verts[j], *v) <= tolerance {
							best = j
						}
					}
				}
			}
		}
		if best != noPoint {
			to[i] = best
			moved++
			continue
		}
		to[i] = uint32(i)
		var own [3]int64
		for k := range 3 {
			own[k] = int64(math.Floor((v[k] - lo[k]) / cell))
		}
		s := slot(own)
		next[i-from] = heads[s]
		heads[s] = uint32(i)
	}
	return moved, nil
}
