package mesh

import (
	"slices"
)

// edgeUses are the uses of the edges of a surface, grouped by edge.
//
// Every triangle uses three edges. The uses are counted into the lower corner
// of their edge; within one corner they are sorted by the higher one. An entry
// holds the higher corner in the upper half, then the triangle's number times
// three plus the place in it, then one bit for the direction.
type edgeUses struct {
	start   []uint32 // where the uses of a corner begin, one longer than corners
	entries []uint64
}

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

// newEdgeUses collects the edges of all triangles but those with a repeated
// corner and those that skip (if not nil) marks. Triangles must number fewer
// than 2^31/3, which Limits see to.
func newEdgeUses(tris []triangle, points int, skip []bool) *edgeUses {
	u := &edgeUses{start: make([]uint32, points+1)}
	count := u.start
	for i := range tris {
		t := &tris[i]
		if repeated(t) || skip != nil && skip[i] {
			continue
		}
		a, b, c := t[0], t[1], t[2]
		count[min(a, b)]++
		count[min(b, c)]++
		count[min(c, a)]++
	}
	sum := uint32(0)
	for i := range count {
		sum += count[i]
		count[i] = sum // the end; filling backward turns it into the start
	}
	u.entries = make([]uint64, sum)
	for i := len(tris) - 1; i >= 0; i-- {
		t := &tris[i]
		if repeated(t) || skip != nil && skip[i] {
			continue
		}
		a, b, c := t[0], t[1], t[2]
		h := uint32(i) * 3
		u.put(a, b, h)
		u.put(b, c, h+1)
		u.put(c, a, h+2)
	}
	return u
}

func (u *edgeUses) put(from, to, half uint32) {
	low, far := from, to
	if from > to {
		low, far = to, from
	}
	at := u.start[low] - 1
	u.start[low] = at
	u.entries[at] = entry(far, half, from > to)
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

// each calls f for every edge with its uses, ordered by corners; it stops early
// when done closes.
func (u *edgeUses) each(done <-chan struct{}, f func(low uint32, uses []uint64)) error {
	for v := range len(u.start) - 1 {
		if v%stopEvery == 0 && stopped(done) {
			return ErrStopped
		}
		e := u.entries[u.start[v]:u.start[v+1]]
		for len(e) > 0 {
			n := 1
			for n < len(e) && entryFar(e[n]) == entryFar(e[0]) {
				n++
			}
			f(uint32(v), e[:n])
			e = e[n:]
		}
	}
	return nil
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
