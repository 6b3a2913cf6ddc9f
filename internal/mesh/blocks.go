package mesh

import (
	"sync"
	"sync/atomic"
)

// A block is a run of triangles and a run of points, from the ends of the block
// before up to these. Most of its triangles use points of its own run.
type block struct{ tris, verts int }

// blockSize is how many triangles a block has where the reader made none. Smaller
// ones are nearer to the processor, but a long row of triangles touches others
// along its whole length.
const blockSize = 1 << 14

// findBlocks cuts a surface into blocks: numbers of points follow first use, so
// what is new in a run of triangles is a run too. Any other numbering gives
// blocks as well, if slower ones.
func findBlocks(tris []triangle, points int) []block {
	var list []block
	top := 0
	for from := 0; from < len(tris); from += blockSize {
		to := min(from+blockSize, len(tris))
		high := uint32(0)
		for _, t := range tris[from:to] {
			high = max(high, t[0], t[1], t[2])
		}
		top = max(top, int(high)+1)
		list = append(list, block{to, top})
	}
	if n := len(list); n > 0 {
		list[n-1].verts = points
	}
	return list
}

// use is one use of an edge by a triangle.
type use struct {
	low, high uint32 // its corners
	tri       uint32
	// met tells of a use that runs up, from the lower corner, how often the edge
	// was met running down, or 2 and more if another runs up. Of one that runs
	// down it is the number of the triangle that runs up, plus one, or 0. In the
	// list of odd ones it is 1 for a use that runs down, else 0.
	met uint32
}

// matcher finds the uses of each edge block by block. All uses of an edge go to
// the block that has its lower corner: what a block does fits near the processor,
// and blocks have nothing in common, so workers can share them out.
type matcher struct {
	f      *fabric
	blocks []block
	// away are the uses found in the triangles of other blocks than that which has
	// the lower corner, by that block: awayEnd[b-1] up to awayEnd[b].
	away    []use
	awayEnd []int
	found   []blockFound
	shifts  []matchShift
}

// blockFound is what a block has out of the common: open edges in order of
// corners, and triangles on edges with more than two uses.
type blockFound struct {
	Topology
	open    []openEdge
	tangled []uint32
}

// matchShift is one worker's part of the work.
type matchShift struct {
	m        *matcher
	from, to int      // blocks whose triangles it looks through for others' uses
	mixed    []uint32 // triangles with such
	count    []int    // of their uses for each block; then where the next goes
	repeated int

	uses  []use       // of one block: those that run up from the front, down from the back
	slots []uint32    // places in uses, plus one
	later [][2]uint32 // triangles of different blocks to join
	odd   []use
}

// match judges every edge and joins the triangles that share one.
func (f *fabric) match(blocks []block, workers int, done <-chan struct{}) error {
	m := &matcher{f: f, blocks: blocks, found: make([]blockFound, len(blocks))}
	m.shifts = make([]matchShift, max(1, min(workers, len(blocks))))
	for i := range m.shifts {
		m.shifts[i] = matchShift{
			m: m, from: i * len(blocks) / len(m.shifts), to: (i + 1) * len(blocks) / len(m.shifts),
			count: make([]int, len(blocks)),
		}
	}
	m.each(func(s *matchShift) { s.countAway() })
	at := 0
	m.awayEnd = make([]int, len(blocks))
	for b := range blocks {
		for i := range m.shifts {
			n := m.shifts[i].count[b]
			m.shifts[i].count[b] = at
			at += n
		}
		m.awayEnd[b] = at
	}
	m.away = make([]use, at)
	m.each(func(s *matchShift) { s.listAway() })
	var next atomic.Int64
	var halt atomic.Bool
	m.each(func(s *matchShift) {
		for {
			b := int(next.Add(1)) - 1
			if b >= len(blocks) || halt.Load() {
				return
			}
			if stopped(done) {
				halt.Store(true)
				return
			}
			s.block(b)
		}
	})
	if halt.Load() {
		return ErrStopped
	}
	for i := range m.shifts {
		f.RepeatedCorner += m.shifts[i].repeated
		for _, p := range m.shifts[i].later {
			f.sets.join(p[0], p[1])
		}
	}
	for b := range m.found {
		x := &m.found[b]
		f.Edges += x.Edges
		f.OpenEdges += x.OpenEdges
		f.NonManifold += x.NonManifold
		f.Unbalanced += x.Unbalanced
		f.Inconsistent += x.Inconsistent
		f.open = append(f.open, x.open...)
		f.tangled = append(f.tangled, x.tangled...)
	}
	return nil
}

// each lets all workers do a step and waits for them.
func (m *matcher) each(step func(s *matchShift)) {
	var wg sync.WaitGroup
	for i := range m.shifts[1:] {
		wg.Go(func() { step(&m.shifts[i+1]) })
	}
	step(&m.shifts[0])
	wg.Wait()
}

// bounds gives the first triangle and point of a block, and those after it.
func (m *matcher) bounds(b int) (tri, triEnd int, vert, vertEnd uint32) {
	if b > 0 {
		tri, vert = m.blocks[b-1].tris, uint32(m.blocks[b-1].verts)
	}
	return tri, m.blocks[b].tris, vert, uint32(m.blocks[b].verts)
}

// owner is the block that has a point.
func (m *matcher) owner(v uint32) int {
	lo, hi := 0, len(m.blocks)
	for lo < hi {
		mid := int(uint(lo+hi) >> 1)
		if uint32(m.blocks[mid].verts) <= v {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// countAway finds the triangles with edges whose lower corner is in another block.
func (s *matchShift) countAway() {
	for b := s.from; b < s.to; b++ {
		tri, end, vert, vertEnd := s.m.bounds(b)
		width := vertEnd - vert
		for i, t := range s.m.f.tris[tri:end] {
			if t[0]-vert < width && t[1]-vert < width && t[2]-vert < width || s.m.f.out(tri+i) {
				continue
			}
			s.mixed = append(s.mixed, uint32(tri+i))
			for k := range 3 {
				if low := min(t[k], t[(k+1)%3]); low-vert >= width {
					s.count[s.m.owner(low)]++
				}
			}
		}
	}
}

// listAway puts the uses with such an edge in the places that were counted.
func (s *matchShift) listAway() {
	b := s.from
	_, end, vert, vertEnd := s.m.bounds(b)
	for _, i := range s.mixed {
		for int(i) >= end {
			b++
			_, end, vert, vertEnd = s.m.bounds(b)
		}
		t := &s.m.f.tris[i]
		for k := range 3 {
			from, to := t[k], t[(k+1)%3]
			if low := min(from, to); low-vert >= vertEnd-vert {
				o := s.m.owner(low)
				s.m.away[s.count[o]] = use{low: low, high: max(from, to), tri: i}
				s.count[o]++
			}
		}
	}
}
