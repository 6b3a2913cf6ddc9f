package mesh

import "slices"

// Topology counts how the triangles of a mesh hang together. Triangles with a
// repeated corner take no part.
type Topology struct {
	Vertices       int // points in use
	Edges          int
	OpenEdges      int // edges of one triangle
	OpenLoops      int // open edges that hang together count as one
	NonManifold    int // edges of three triangles or more
	Inconsistent   int // edges that two triangles run the same way
	Unbalanced     int // non-manifold edges run more often one way than the other
	RepeatedCorner int // triangles with one corner used twice
	ZeroArea       int // triangles with three different corners in one line
	Duplicates     int // triangles whose three points another triangle has too
	Shells         int // groups of triangles that hang together by edges
}

// fabric is a surface with what is known of how it hangs together.
type fabric struct {
	Topology
	tris   []triangle
	skip   []bool // triangles left out, or nil
	points int
	sets   forest // triangles joined by edges: shells

	open    []openEdge // in order of corners
	tangled []uint32   // triangles on non-manifold edges
	merged  int        // points joined to make it
	dropped int        // zero-area triangles left out to make it
}

type openEdge struct{ from, to, tri uint32 }

// weave finds edges and shells.
func weave(tris []triangle, points int, skip []bool, workers int, done <-chan struct{}) (*fabric, error) {
	f := &fabric{tris: tris, points: points, skip: skip}
	f.sets = newForest(len(tris))
	if err := f.match(workers, done); err != nil {
		return nil, err
	}
	f.countTriangles()
	f.countLoops()
	f.countDuplicates()
	return f, nil
}

// match judges every edge.
func (f *fabric) match(workers int, done <-chan struct{}) error {
	return eachEdge(f.tris, f.points, f.skip, workers, done, func(low uint32, e []uint64) {
		if len(e) != 2 {
			f.oddEdge(low, e)
			return
		}
		f.Edges++ // nearly always
		if (e[0]^e[1])&1 == 0 {
			f.Inconsistent++
		}
		f.sets.join(entryTriangle(e[0]), entryTriangle(e[1]))
	})
}

// oddEdge takes an edge with one use, or with more than two.
func (f *fabric) oddEdge(low uint32, e []uint64) {
	f.Edges++
	if len(e) == 1 {
		f.OpenEdges++
		from, to := entryEnds(low, e[0])
		f.open = append(f.open, openEdge{from, to, entryTriangle(e[0])})
		return
	}
	f.NonManifold++
	balance := 0
	for _, x := range e {
		balance += 1 - 2*int(x&1)
		f.tangled = append(f.tangled, entryTriangle(x))
		f.sets.join(entryTriangle(e[0]), entryTriangle(x))
	}
	if balance != 0 {
		f.Unbalanced++
	}
}

func (f *fabric) out(i int) bool { return repeated(&f.tris[i]) || f.skip != nil && f.skip[i] }

// countTriangles counts shells, repeated corners and points in use. It leaves
// the root of its shell in sets for every triangle.
func (f *fabric) countTriangles() {
	used := make([]bool, f.points)
	for i := range f.tris {
		t := &f.tris[i]
		if repeated(t) {
			f.RepeatedCorner++
			continue
		}
		if f.skip != nil && f.skip[i] {
			continue
		}
		used[t[0]], used[t[1]], used[t[2]] = true, true, true
		if r := f.sets.root(uint32(i)); r == uint32(i) {
			f.Shells++
		} else {
			f.sets[i] = r
		}
	}
	for _, u := range used {
		if u {
			f.Vertices++
		}
	}
}

// countLoops counts the groups of open edges that hang together by points.
func (f *fabric) countLoops() {
	_, f.OpenLoops = f.loops()
}

// loops gives, for each open edge, the number of the group it belongs to.
func (f *fabric) loops() (group []int, n int) {
	if len(f.open) == 0 {
		return nil, 0
	}
	ends := make([]uint32, 0, 2*len(f.open))
	for _, e := range f.open {
		ends = append(ends, e.from, e.to)
	}
	slices.Sort(ends)
	ends = slices.Compact(ends)
	place := func(v uint32) uint32 {
		i, _ := slices.BinarySearch(ends, v)
		return uint32(i)
	}
	sets := newForest(len(ends))
	for _, e := range f.open {
		sets.join(place(e.from), place(e.to))
	}
	number := make([]int, len(ends))
	for i := range ends {
		if sets.root(uint32(i)) == uint32(i) {
			number[i] = n
			n++
		}
	}
	group = make([]int, len(f.open))
	for i, e := range f.open {
		group[i] = number[sets.root(place(e.from))]
	}
	return group, n
}

// countDuplicates looks where duplicates can be: a triangle and its double share
// all three edges, so either one of these is non-manifold, or the two are a
// shell of their own.
func (f *fabric) countDuplicates() {
	suspects := slices.Clone(f.tangled)
	if f.Shells > 1 || f.Edges == 3 {
		size := make([]uint8, len(f.tris))
		for i := range f.tris {
			if !f.out(i) {
				if r := f.sets[i]; size[r] < 3 {
					size[r]++
				}
			}
		}
		for i := range f.tris {
			if !f.out(i) && size[f.sets[i]] == 2 {
				suspects = append(suspects, uint32(i))
			}
		}
	}
	slices.Sort(suspects)
	suspects = slices.Compact(suspects)
	keys := make([]triangle, len(suspects))
	for i, s := range suspects {
		keys[i] = f.tris[s]
		slices.Sort(keys[i][:])
	}
	slices.SortFunc(keys, func(a, b triangle) int { return slices.Compare(a[:], b[:]) })
	for i := 1; i < len(keys); i++ {
		if keys[i] == keys[i-1] {
			f.Duplicates++
		}
	}
}
