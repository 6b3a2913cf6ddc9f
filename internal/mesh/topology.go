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

// weave finds edges and shells. Blocks may be nil. If whole, each point is used by
// some triangle.
func weave(tris []triangle, points int, skip []bool, blocks []block, whole bool, workers int, done <-chan struct{}) (*fabric, error) {
	f := &fabric{tris: tris, points: points, skip: skip}
	if blocks == nil {
		blocks = findBlocks(tris, points)
	}
	f.sets = make(forest, len(tris))
	if err := f.match(blocks, workers, done); err != nil {
		return nil, err
	}
	f.countTriangles(whole)
	f.countLoops()
	f.countDuplicates()
	return f, nil
}

func (f *fabric) out(i int) bool { return repeated(&f.tris[i]) || f.skip != nil && f.skip[i] }

// countTriangles counts shells and points in use. It leaves the root of its shell
// in sets for every triangle.
func (f *fabric) countTriangles(whole bool) {
	f.sets.flatten(0, len(f.sets))
	for i, r := range f.sets {
		if r == uint32(i) {
			f.Shells++
		}
	}
	if whole && f.RepeatedCorner == 0 && f.skip == nil {
		f.Vertices = f.points
		return
	}
	used := make([]bool, f.points)
	for i := range f.tris {
		if f.out(i) {
			f.Shells-- // it was counted as one of its own
			continue
		}
		t := &f.tris[i]
		used[t[0]], used[t[1]], used[t[2]] = true, true, true
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
