package mesh

import (
	"math"
)

// tree is a bounding volume hierarchy: boxes within boxes down to a few
// triangles, for rays and nearest points. Boxes are float32 rounded outward.
type tree struct {
	verts []point
	tris  []triangle // in the order of the leaves
	nodes []treeNode
	work  int // triangles that nearest looked at
}

// treeNode holds n triangles from first on, or (n == 0) two nodes at first and
// first+1.
type treeNode struct {
	lo, hi   [3]float32
	first, n uint32
}

const (
	treeLeaf = 4  // most triangles in a leaf
	treeBins = 16 // places tried for a cut
)

// treeItem is a triangle while the tree is built.
type treeItem struct {
	lo, hi [3]float32
	index  uint32
}

func (it *treeItem) middle(axis int) float32 { return it.lo[axis] + it.hi[axis] }

// newTree builds over the triangles that out does not leave out. Cuts follow the
// binned surface area heuristic (I. Wald, On fast construction of SAH-based
// bounding volume hierarchies, 2007, doi:10.1109/RT.2007.4342588, from memory).
func newTree(verts []point, tris []triangle, out func(int) bool, done <-chan struct{}) (*tree, error) {
	items := make([]treeItem, 0, len(tris))
	for i := range tris {
		if !out(i) {
			items = append(items, newItem(verts, &tris[i], uint32(i)))
		}
	}
	t := &tree{verts: verts, nodes: make([]treeNode, 1, len(items)+1)}
	type job struct{ node, from, to int }
	jobs := []job{{0, 0, len(items)}}
	for steps := 0; len(jobs) > 0; steps++ {
		if steps%1024 == 0 && stopped(done) {
			return nil, ErrStopped
		}
		j := jobs[len(jobs)-1]
		jobs = jobs[:len(jobs)-1]
		part := items[j.from:j.to]
		n := treeNode{first: uint32(j.from), n: uint32(len(part))}
		n.lo, n.hi = itemBounds(part)
		if len(part) > treeLeaf {
			cut := j.from + split(part)
			n.first, n.n = uint32(len(t.nodes)), 0
			t.nodes = append(t.nodes, treeNode{}, treeNode{})
			jobs = append(jobs, job{int(n.first), j.from, cut}, job{int(n.first) + 1, cut, j.to})
		}
		t.nodes[j.node] = n
	}
	t.tris = make([]triangle, len(items))
	for i := range items {
		t.tris[i] = tris[items[i].index]
	}
	return t, nil
}

func newItem(verts []point, t *triangle, index uint32) treeItem {
	a, b, c := &verts[t[0]], &verts[t[1]], &verts[t[2]]
	it := treeItem{index: index}
	for k := range 3 {
		it.lo[k] = below(min(a[k], b[k], c[k]))
		it.hi[k] = above(max(a[k], b[k], c[k]))
	}
	return it
}

func below(x float64) float32 {
	f := float32(x)
	if float64(f) > x {
		f = math.Nextafter32(f, -math.MaxFloat32)
	}
	return f
}

func above(x float64) float32 {
	f := float32(x)
	if float64(f) < x {
		f = math.Nextafter32(f, math.MaxFloat32)
	}
	return f
}

func itemBounds(items []treeItem) (lo, hi [3]float32) {
	lo, hi = emptyBox()
	for i := range items {
		it := &items[i]
		grow(&lo, &hi, it)
	}
	return lo, hi
}

func emptyBox() (lo, hi [3]float32) {
	const far = math.MaxFloat32
	return [3]float32{far, far, far}, [3]float32{-far, -far, -far}
}

func grow(lo, hi *[3]float32, it *treeItem) {
	for k := range 3 {
		if it.lo[k] < lo[k] {
			lo[k] = it.lo[k]
		}
		if it.hi[k] > hi[k] {
			hi[k] = it.hi[k]
		}
	}
}

// split reorders items and gives the length of the first part, never 0 or all.
func split(items []treeItem) int {
	axis, low, width := widest(items)
	if width > 0 && len(items) > 2*treeLeaf {
		if cut := splitBins(items, axis, low, width); cut > 0 {
			return cut
		}
	}
	// few items, or all middles in one place: halves by middle, or as they stand
	if width > 0 {
		pivot := low + width/2
		if cut := partition(items, func(it *treeItem) bool { return it.middle(axis) < pivot }); cut > 0 && cut < len(items) {
			return cut
		}
	}
	return len(items) / 2
}

// widest finds the axis along which the middles spread most.
func widest(items []treeItem) (axis int, low, width float32) {
	lo, hi := emptyBox()
	for i := range items {
		for k := range 3 {
			m := items[i].middle(k)
			lo[k], hi[k] = min(lo[k], m), max(hi[k], m)
		}
	}
	for k := 1; k < 3; k++ {
		if hi[k]-lo[k] > hi[axis]-lo[axis] {
			axis = k
		}
	}
	return axis, lo[axis], hi[axis] - lo[axis]
}

type treeBin struct {
	lo, hi [3]float32
	n      int
}

func (b *treeBin) add(o *treeBin) {
	for k := range 3 {
		b.lo[k], b.hi[k] = min(b.lo[k], o.lo[k]), max(b.hi[k], o.hi[k])
	}
	b.n += o.n
}

// cost is the expected work of a part: its surface times its triangles.
func (b *treeBin) cost() float64 {
	if b.n == 0 {
		return 0
	}
	x, y, z := float64(b.hi[0]-b.lo[0]), float64(b.hi[1]-b.lo[1]), float64(b.hi[2]-b.lo[2])
	return (x*y + y*z + z*x) * float64(b.n)
}

func splitBins(items []treeItem, axis int, low, width float32) int {
	var bins [treeBins]treeBin
	for i := range bins {
		bins[i].lo, bins[i].hi = emptyBox()
	}
	k := treeBins * 0.9999 / width
	if math.IsInf(float64(k), 0) {
		return 0
	}
	bin := func(it *treeItem) int { return int((it.middle(axis) - low) * k) }
	for i := range items {
		b := &bins[bin(&items[i])]
		grow(&b.lo, &b.hi, &items[i])
		b.n++
	}
	var right [treeBins]float64
	sum := bins[treeBins-1]
	for i := treeBins - 1; i > 0; i-- {
		right[i] = sum.cost()
		sum.add(&bins[i-1])
	}
	best, bestCost := 0, math.Inf(1)
	left := bins[0]
	for i := 1; i < treeBins; i++ {
		if c := left.cost() + right[i]; c < bestCost && left.n > 0 && left.n < len(items) {
			best, bestCost = i, c
		}
		left.add(&bins[i])
	}
	if best == 0 {
		return 0
	}
	return partition(items, func(it *treeItem) bool { return bin(it) < best })
}

// partition moves items that are first to the front and counts them.
func partition(items []treeItem, first func(*treeItem) bool) int {
	i, j := 0, len(items)
	for {
		for i < j && first(&items[i]) {
			i++
		}
		for i < j && !first(&items[j-1]) {
			j--
		}
		if i >= j {
			return i
		}
		items[i], items[j-1] = items[j-1], items[i]
	}
}
