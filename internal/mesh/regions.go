package mesh

import (
	"encoding/binary"
	"math"
	"sync"
)

// How scattered triangles are put in order, and the least file for which that pays.
const (
	regionFrom    = 50_000  // triangles in a file
	regionSize    = 4096    // triangles in a region: what is known of one fits near the processor
	regionSamples = 1 << 14 // triangles looked at to lay out the regions
	cellBits      = 5
	cells         = 1 << cellBits // along each axis
)

// regions is a list of triangles of binary STL by place. Space is cut into a grid
// of cells, and these, along a curve that keeps near ones together, into regions
// with about equal numbers of triangles. A triangle belongs where its first
// corner lies; equal points lie in the same region.
//
// Every later step looks up the corners and neighbors of one triangle after the
// other, and waits for memory unless they were seen lately. Region by region,
// all it asks for is near, and what two workers do in two regions is apart: a file
// of two million scattered triangles takes half the time.
type regions struct {
	grid
	of    *[cells * cells * cells]uint16 // the region of each cell
	count int

	// list holds the triangles by region and in each by number, with flags for
	// the corners that lie elsewhere. Region r is list[start[r]:start[r+1]].
	list, start []uint32
	// guests are the corners in region r of triangles that belong to others:
	// four times the place in list, plus the corner.
	guests, guestStart []uint32
}

// Flags of regions.list, and what is left for the number of the triangle.
const (
	corner1Away  = 1 << 30
	corner2Away  = 1 << 31
	listedNumber = corner1Away - 1
)

// findRegions gives the regions of n records, or nil where the file is in order
// already, as most programs write it, or small. A triangle with a coordinate out
// of bounds is left to the caller: bad is the first, or −1.
func findRegions(body []byte, n, workers int, done <-chan struct{}) (r *regions, bad int, err error) {
	if n < regionFrom || n > listedNumber || isOrdered(body, n) {
		return nil, -1, nil
	}
	r = layOut(body, n)
	homes := make([][3]uint16, n)
	// Two parts whatever the workers; how they are cut changes nothing.
	parts := [2]regionPart{{from: 0, to: n / 2}, {from: n / 2, to: n}}
	for i := range parts {
		p := &parts[i]
		p.own, p.guests = make([]uint32, r.count), make([]uint32, r.count)
	}
	inTwo(workers, func(i int) { parts[i].sort(r, body, homes, done) })
	for i := range parts {
		if parts[i].halted {
			return nil, -1, ErrStopped
		}
		if parts[i].bad >= 0 {
			return nil, parts[i].bad, nil
		}
	}
	r.place(&parts, n)
	inTwo(workers, func(i int) { parts[i].enter(r, homes) })
	return r, -1, nil
}

// inTwo calls f(0) and f(1), side by side if there are two workers.
func inTwo(workers int, f func(i int)) {
	if workers < 2 {
		f(0)
		f(1)
		return
	}
	var wg sync.WaitGroup
	wg.Go(func() { f(1) })
	f(0)
	wg.Wait()
}

// layOut cuts space into regions by a sample of the triangles.
func layOut(body []byte, n int) *regions {
	r := &regions{of: new([cells * cells * cells]uint16)}
	samples := min(n, regionSamples)
	sample := make([][3]float32, samples)
	for i := range sample {
		sample[i] = firstCorner(body, int(int64(i)*int64(n)/int64(samples)))
	}
	lo, hi := emptyBox()
	for _, c := range sample {
		for k, x := range c {
			if x >= -maxCoordinate && x <= maxCoordinate {
				lo[k], hi[k] = min(lo[k], x), max(hi[k], x)
			}
		}
	}
	r.lo = lo
	for k := range r.scale {
		if w := hi[k] - lo[k]; w > 0 {
			r.scale[k] = min(cells/w, 1e9) // so that any coordinate gives an int
		}
	}
	weight := make([]uint16, len(r.of))
	for _, c := range sample {
		weight[r.cell(c[0], c[1], c[2])]++
	}
	size := max(regionSize, n/(math.MaxUint16-1)+1)
	share := max(samples*size/n, 1) // samples in a region
	have := 0
	for i := range weight {
		c := curve(i)
		w := weight[c]
		if have >= share {
			r.count++
			have = 0
		}
		r.of[c] = uint16(r.count)
		have += int(w)
	}
	r.count++
	return r
}

// grid cuts space into cells.
type grid struct{ lo, scale [3]float32 }

// cell is the number of the cell of a point; what is outside the grid is taken
// into its outermost cells.
func (g *grid) cell(x, y, z float32) uint32 {
	return cellAlong((x-g.lo[0])*g.scale[0])<<(2*cellBits) | cellAlong((y-g.lo[1])*g.scale[1])<<cellBits | cellAlong((z-g.lo[2])*g.scale[2])
}

// cellAlong is the cell along one axis of a place measured in cells.
func cellAlong(x float32) uint32 {
	i := int(x)
	if uint(i) >= cells {
		if i < 0 {
			return 0
		}
		return cells - 1
	}
	return uint32(i)
}

// curve gives the cell at a place of the curve that keeps near cells together.
func curve(at int) (cell int) {
	for b := range cellBits {
		for axis := range 3 {
			cell |= at >> (3*b + axis) & 1 << (axis*cellBits + b)
		}
	}
	return cell
}

// regionPart is one part of the file while it is sorted into regions.
type regionPart struct {
	from, to    int
	own, guests []uint32 // how many; then where the next goes
	bad         int
	halted      bool
}

// sort finds the regions of all corners.
func (p *regionPart) sort(r *regions, body []byte, homes [][3]uint16, done <-chan struct{}) {
	p.bad = -1
	g := r.grid
	for t := p.from; t < p.to; t++ {
		if t%stopEvery == 0 && stopped(done) {
			p.halted = true
			return
		}
		rec := body[t*stlRecord:][:stlRecord]
		worst := uint32(0)
		h := &homes[t]
		for k := range 3 {
			x := binary.LittleEndian.Uint32(rec[12+12*k:])
			y := binary.LittleEndian.Uint32(rec[16+12*k:])
			z := binary.LittleEndian.Uint32(rec[20+12*k:])
			worst = max(worst, x<<1, y<<1, z<<1) // without the sign
			h[k] = r.of[g.cell(math.Float32frombits(x), math.Float32frombits(y), math.Float32frombits(z))]
		}
		if worst > 2*maxCoordinateBits {
			p.bad = t
			return
		}
		p.own[h[0]]++
		if h[1] != h[0] {
			p.guests[h[1]]++
		}
		if h[2] != h[0] {
			p.guests[h[2]]++
		}
	}
}

// place turns counts into places: in each region what is of the first part of the
// file comes first.
func (r *regions) place(parts *[2]regionPart, n int) {
	r.start, r.guestStart = make([]uint32, r.count+1), make([]uint32, r.count+1)
	own, guests := uint32(0), uint32(0)
	for c := range r.count {
		r.start[c], r.guestStart[c] = own, guests
		for i := range parts {
			p := &parts[i]
			own, p.own[c] = own+p.own[c], own
			guests, p.guests[c] = guests+p.guests[c], guests
		}
	}
	r.start[r.count], r.guestStart[r.count] = own, guests
	r.list, r.guests = make([]uint32, n), make([]uint32, guests)
}

// enter puts the triangles of the part in their places.
func (p *regionPart) enter(r *regions, homes [][3]uint16) {
	for t := p.from; t < p.to; t++ {
		h := homes[t]
		at := p.own[h[0]]
		p.own[h[0]]++
		entry := uint32(t)
		if h[1] != h[0] {
			entry |= corner1Away
			r.guests[p.guests[h[1]]] = at<<2 | 1
			p.guests[h[1]]++
		}
		if h[2] != h[0] {
			entry |= corner2Away
			r.guests[p.guests[h[2]]] = at<<2 | 2
			p.guests[h[2]]++
		}
		r.list[at] = entry
	}
}

func firstCorner(body []byte, t int) [3]float32 {
	b := body[t*stlRecord+12:][:12]
	return [3]float32{
		math.Float32frombits(binary.LittleEndian.Uint32(b)),
		math.Float32frombits(binary.LittleEndian.Uint32(b[4:])),
		math.Float32frombits(binary.LittleEndian.Uint32(b[8:])),
	}
}

// isOrdered looks at a few thousand pairs of following triangles: in a file in
// order most lie close together, measured by the extent of the sample.
func isOrdered(body []byte, n int) bool {
	const pairs, near = 2048, 32
	lo, hi := emptyBox()
	var steps [pairs]float32
	for i := range pairs {
		t := i * (n - 1) / pairs
		a, b := firstCorner(body, t), firstCorner(body, t+1)
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], a[k]), max(hi[k], a[k])
			steps[i] = max(steps[i], a[k]-b[k], b[k]-a[k])
		}
	}
	extent := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
	close := 0
	for _, s := range steps {
		if s*near <= extent {
			close++
		}
	}
	return close*2 > pairs
}
