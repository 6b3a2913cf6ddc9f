package mesh

import (
	"math"
	"sync"
	"sync/atomic"
)

// sumBlock is how many triangles are summed at a time. It is fixed so that the
// result does not depend on the number of workers.
const sumBlock = 1 << 13

// sums of a surface about a reference point.
type sums struct {
	volume   float64 // signed, about the reference point
	area     float64
	vector   point // sum of area vectors: 0 for a closed surface
	zeroArea []uint32
}

// neumaier adds with the lost low part kept: A. Neumaier, Rundungsfehleranalyse
// einiger Verfahren zur Summation endlicher Summen, ZAMM 54 (1974),
// doi:10.1002/zamm.19740540106 (from memory). What is lost is found by D. E.
// Knuth's way, The Art of Computer Programming 2, 4.2.2, theorem B (from memory),
// which gives the same number and takes no decision.
type neumaier struct{ sum, lost float64 }

func (n *neumaier) add(x float64) {
	t := n.sum + x
	back := t - n.sum
	n.lost += (n.sum - (t - back)) + (x - back)
	n.sum = t
}

func (n *neumaier) value() float64 { return n.sum + n.lost }

type blockSums struct {
	volume, area, x, y, z neumaier
	zero                  []uint32
}

// sumSurface adds up volume (the divergence theorem: signed tetrahedra to c),
// area and area vectors. Triangles with a repeated corner add exactly nothing
// to either. Triangles with three different corners in a line are listed. far is
// the largest coordinate; it bounds the rounding of differences.
func sumSurface(verts []point, tris []triangle, c point, far float64, workers int, done <-chan struct{}) (sums, error) {
	n := (len(tris) + sumBlock - 1) / sumBlock
	blocks := make([]blockSums, n)
	var at atomic.Int64
	var halt atomic.Bool
	work := func() {
		for {
			b := int(at.Add(1)) - 1
			if b >= n || halt.Load() {
				return
			}
			if stopped(done) {
				halt.Store(true)
				return
			}
			blocks[b].take(verts, tris, b*sumBlock, min((b+1)*sumBlock, len(tris)), c, 1e-30*far*far)
		}
	}
	var wg sync.WaitGroup
	for range max(1, min(workers, n)) - 1 {
		wg.Go(work)
	}
	work()
	wg.Wait()
	if halt.Load() {
		return sums{}, ErrStopped
	}
	var all blockSums
	for i := range blocks {
		b := &blocks[i]
		all.volume.add(b.volume.value())
		all.area.add(b.area.value())
		all.x.add(b.x.value())
		all.y.add(b.y.value())
		all.z.add(b.z.value())
		all.zero = append(all.zero, b.zero...)
	}
	return sums{
		volume: all.volume.value() / 6, area: all.area.value() / 2,
		vector:   scale(point{all.x.value(), all.y.value(), all.z.value()}, 0.5),
		zeroArea: all.zero,
	}, nil
}

func (s *blockSums) take(verts []point, tris []triangle, from, to int, c point, slack float64) {
	var volume, area, x, y, z neumaier // here, not behind a pointer: they change all the time
	for i := from; i < to; i++ {
		t := &tris[i]
		pa, pb, pd := &verts[t[0]], &verts[t[1]], &verts[t[2]]
		ax, ay, az := pa[0]-c[0], pa[1]-c[1], pa[2]-c[2]
		bx, by, bz := pb[0]-pa[0], pb[1]-pa[1], pb[2]-pa[2]
		dx, dy, dz := pd[0]-pa[0], pd[1]-pa[1], pd[2]-pa[2]
		nx, ny, nz := by*dz-bz*dy, bz*dx-bx*dz, bx*dy-by*dx
		volume.add(ax*nx + ay*ny + az*nz)
		nn := nx*nx + ny*ny + nz*nz
		area.add(math.Sqrt(nn))
		x.add(nx)
		y.add(ny)
		z.add(nz)
		bb, dd := bx*bx+by*by+bz*bz, dx*dx+dy*dy+dz*dz
		// |n| = |b||d| sin. Below this it may be rounding only: 1e-12 of the
		// product, and 1e-15 of the coordinates times each side.
		if nn <= 1e-24*bb*dd+slack*(bb+dd) && !repeated(t) && inLine(pa, pb, pd) {
			s.zero = append(s.zero, uint32(i))
		}
	}
	s.volume, s.area, s.x, s.y, s.z = volume, area, x, y, z
}
