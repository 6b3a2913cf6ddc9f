package mesh

import (
	"slices"
)

// An entry is one use of an edge by a triangle. Every triangle uses three edges.
// It holds the higher corner in the upper half, then the triangle's number times
// three plus the place in it, then one bit for the direction.
func entry(far, half uint32, down bool) uint64 {
	e := uint64(far)<<32 | uint64(half)<<1
	if down {
		e |= 1
	}
	return e
}

func entryFar(e uint64) uint32      { return uint32(e >> 32) }
func entryTriangle(e uint64) uint32 { return uint32(e) >> 1 / 3 }
func entryDown(e uint64) bool       { return e&1 != 0 }

// corners gives the ends of the edge in the direction its triangle runs it.
func entryEnds(low uint32, e uint64) (from, to uint32) {
	if entryDown(e) {
		return entryFar(e), low
	}
	return low, entryFar(e)
}

func repeated(t *triangle) bool { return t[0] == t[1] || t[1] == t[2] || t[2] == t[0] }

// edgeBands is how many times a large surface is gone over for its edges: the
// entries of one band of corners are in memory at a time, which saves a third of
// the whole and stays closer to the processor.
const edgeBands = 4

// eachEdge calls f for every edge with its uses, ordered by corners. Triangles
// with a repeated corner and those that skip (if not nil) marks take no part.
// Triangles must number fewer than 2^31/3, which Limits see to.
//
// The uses are counted into the lower corner of their edge; within one corner
// they are sorted by the higher one. So all takes a few passes over memory.
func eachEdge(tris []triangle, points int, skip []bool, done <-chan struct{}, f func(low uint32, uses []uint64)) error {
	e := edgeUses{tris: tris, skip: skip}
	e.count(points)
	bands := 1
	if len(tris) > 100_000 {
		bands = edgeBands
	}
	for b := range bands {
		if stopped(done) {
			return ErrStopped
		}
		low, high := points*b/bands, points*(b+1)/bands
		e.fill(uint32(low), uint32(high))
		for v := low; v < high; v++ {
			if v%stopEvery == 0 && stopped(done) {
				return ErrStopped
			}
			e.corner(uint32(v), f)
		}
	}
	return nil
}

type edgeUses struct {
	tris    []triangle
	skip    []bool
	end     []uint32 // of the entries of each corner; once filled, their start
	entries []uint64 // of the band
	base    uint32   // entries before the band
	last    uint32   // corner behind the band, and
	lastEnd uint32   // where its entries begin
}

func (e *edgeUses) out(i int) bool { return repeated(&e.tris[i]) || e.skip != nil && e.skip[i] }

func (e *edgeUses) count(points int) {
	e.end = make([]uint32, points)
	for i := range e.tris {
		if e.out(i) {
			continue
		}
		t := &e.tris[i]
		a, b, c := t[0], t[1], t[2]
		e.end[min(a, b)]++
		e.end[min(b, c)]++
		e.end[min(c, a)]++
	}
	sum := uint32(0)
	for i := range e.end {
		sum += e.end[i]
		e.end[i] = sum
	}
}

// fill collects the uses whose lower corner is in a band. Filling backward turns
// the end of each corner's entries into their start.
func (e *edgeUses) fill(low, high uint32) {
	e.base = e.lastEnd
	e.last, e.lastEnd = high, e.base
	if high > low {
		e.lastEnd = e.end[high-1]
	}
	if n := int(e.lastEnd - e.base); n > cap(e.entries) {
		e.entries = make([]uint64, n, n+n/16)
	} else {
		e.entries = e.entries[:n]
	}
	for i := len(e.tris) - 1; i >= 0; i-- {
		if e.out(i) {
			continue
		}
		t := &e.tris[i]
		a, b, c := t[0], t[1], t[2]
		h := uint32(i) * 3
		e.put(a, b, h, low, high)
		e.put(b, c, h+1, low, high)
		e.put(c, a, h+2, low, high)
	}
}

func (e *edgeUses) put(from, to, half, low, high uint32) {
	lower, far := from, to
	if from > to {
		lower, far = to, from
	}
	if lower-low >= high-low { // outside the band
		return
	}
	at := e.end[lower] - 1
	e.end[lower] = at
	e.entries[at-e.base] = entry(far, half, from > to)
}

// corner sorts the uses of one corner and gives them out edge by edge.
func (e *edgeUses) corner(v uint32, f func(low uint32, uses []uint64)) {
	end := e.lastEnd
	if v+1 < e.last {
		end = e.end[v+1]
	}
	uses := e.entries[e.end[v]-e.base : end-e.base]
	sortCorner(uses)
	for len(uses) > 0 {
		n := 1
		for n < len(uses) && entryFar(uses[n]) == entryFar(uses[0]) {
			n++
		}
		f(v, uses[:n])
		uses = uses[n:]
	}
}

// sortCorner puts equal edges next to each other. Most corners have about three
// edges of their own with two uses each.
func sortCorner(e []uint64) {
	if len(e) > 24 {
		slices.Sort(e)
		return
	}
	for i := 1; i < len(e); i++ {
		x := e[i]
		j := i
		for ; j > 0 && e[j-1] > x; j-- {
			e[j] = e[j-1]
		}
		e[j] = x
	}
}

// forest is a union-find over triangles or points. The root of a set is its
// lowest member.
type forest []uint32

func newForest(n int) forest {
	f := make(forest, n)
	for i := range f {
		f[i] = uint32(i)
	}
	return f
}

func (f forest) root(x uint32) uint32 {
	for f[x] != x {
		f[x] = f[f[x]]
		x = f[x]
	}
	return x
}

func (f forest) join(a, b uint32) {
	a, b = f.root(a), f.root(b)
	switch {
	case a < b:
		f[b] = a
	case b < a:
		f[a] = b
	}
}
