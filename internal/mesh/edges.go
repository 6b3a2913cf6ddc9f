package mesh

import "slices"

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
	var entries []uint64
	for _, b := range e.bands(points, bands) {
		if stopped(done) {
			return ErrStopped
		}
		entries = e.fill(b, entries)
		if err := e.each(b, entries, done, f); err != nil {
			return err
		}
	}
	return nil
}

// each gives out the edges of one filled band.
func (e *edgeUses) each(b band, entries []uint64, done <-chan struct{}, f func(low uint32, uses []uint64)) error {
	for v := b.low; v < b.high; v++ {
		if v%stopEvery == 0 && stopped(done) {
			return ErrStopped
		}
		e.corner(b, entries, v, f)
	}
	return nil
}

type edgeUses struct {
	tris []triangle
	skip []bool
	end  []uint32 // of the entries of each corner; once its band is filled, their start
}

// band is a run of corners, low up to but not with high, and where their
// entries begin and end among all.
type band struct{ low, high, from, to uint32 }

// bands cuts the counted corners into n runs.
func (e *edgeUses) bands(points, n int) []band {
	list := make([]band, n)
	from := uint32(0)
	for i := range list {
		b := band{uint32(points * i / n), uint32(points * (i + 1) / n), from, from}
		if b.high > b.low {
			b.to = e.end[b.high-1]
		}
		list[i], from = b, b.to
	}
	return list
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

// fill collects the uses whose lower corner is in a band, in the given buffer if
// they fit. Filling backward turns the end of each corner's entries into their
// start. It touches nothing of other bands.
func (e *edgeUses) fill(b band, entries []uint64) []uint64 {
	if n := int(b.to - b.from); n > cap(entries) {
		entries = make([]uint64, n, n+n/16)
	} else {
		entries = entries[:n]
	}
	for i := len(e.tris) - 1; i >= 0; i-- {
		if e.out(i) {
			continue
		}
		t := &e.tris[i]
		x, y, z := t[0], t[1], t[2]
		h := uint32(i) * 3
		e.put(&b, entries, x, y, h)
		e.put(&b, entries, y, z, h+1)
		e.put(&b, entries, z, x, h+2)
	}
	return entries
}

func (e *edgeUses) put(b *band, entries []uint64, from, to, half uint32) {
	lower, far := from, to
	if from > to {
		lower, far = to, from
	}
	if lower-b.low >= b.high-b.low { // outside the band
		return
	}
	at := e.end[lower] - 1
	e.end[lower] = at
	entries[at-b.from] = entry(far, half, from > to)
}

// corner sorts the uses of one corner and gives them out edge by edge.
func (e *edgeUses) corner(b band, entries []uint64, v uint32, f func(low uint32, uses []uint64)) {
	end := b.to
	if v+1 < b.high {
		end = e.end[v+1]
	}
	uses := entries[e.end[v]-b.from : end-b.from]
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

// join makes one set of two: M. Rem's way as told by E. W. Dijkstra, A Discipline
// of Programming, chapter 23 (from memory). It climbs from both sides, always on
// the side whose parent has the higher number, and hangs what it leaves behind
// under the lower parent.
func (f forest) join(a, b uint32) {
	for {
		pa, pb := f[a], f[b]
		if pa == pb {
			return
		}
		// without a branch, which would be guessed wrong half of the time
		turn := -((pa - pb) >> 31) & (a ^ b)
		a, b = a^turn, b^turn
		low, high := min(pa, pb), max(pa, pb)
		f[a] = low
		if a == high { // it was a root
			return
		}
		a = high
	}
}

// flatten hangs some members directly under their roots, when all below them have
// been.
func (f forest) flatten(from, to int) {
	for i := from; i < to; i++ { // a parent has a lower number and comes first
		f[i] = f[f[i]]
	}
}
