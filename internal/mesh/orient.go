package mesh

import "slices"

// parityForest is a union-find whose members also know whether they must be
// turned relative to their root. The low bit of an entry is that parity.
type parityForest []uint32

func newParityForest(n int) parityForest {
	f := make(parityForest, n)
	for i := range f {
		f[i] = uint32(i) << 1
	}
	return f
}

// root gives the root of x and whether x is turned against it. Paths are halved
// on the way.
func (f parityForest) root(x uint32) (root, turned uint32) {
	for {
		e := f[x]
		p := e >> 1
		if p == x {
			return x, turned
		}
		g := f[p]
		if g>>1 == p {
			return p, turned ^ e&1
		}
		f[x] = g ^ e&1 // the grandparent, both parities together
		turned ^= (e ^ g) & 1
		x = g >> 1
	}
}

// join says that a and b agree (turned 0) or oppose (1); it returns false when
// that contradicts what was said before.
func (f parityForest) join(a, b, turned uint32) bool {
	ra, ta := f.root(a)
	rb, tb := f.root(b)
	if ra == rb {
		return ta^tb == turned
	}
	if ra > rb {
		ra, rb = rb, ra
	}
	f[rb] = ra<<1 | ta ^ tb ^ turned
	return true
}

// turning is what it takes to make a surface run one way.
type turning struct {
	turned     []bool // triangles to turn, nil if none
	count      int
	orientable bool
	clashed    int // triangles of patches that cannot agree
}

// orient finds which triangles must be turned so that two triangles of one edge
// run it in opposite ways. Within each patch, that is triangles joined by edges
// of exactly two, the smaller part is turned. Patches that cannot agree, as on a
// Möbius strip, are left as they are.
func (f *fabric) orient(done <-chan struct{}) (turning, error) {
	out := turning{orientable: true}
	if f.Inconsistent == 0 {
		return out, nil
	}
	sets := newParityForest(len(f.tris))
	var clashes []uint32
	err := eachEdge(f.tris, f.points, f.skip, done, func(_ uint32, e []uint64) {
		if len(e) == 2 {
			same := uint32(e[0]^e[1])&1 ^ 1
			if !sets.join(entryTriangle(e[0]), entryTriangle(e[1]), same) {
				clashes = append(clashes, entryTriangle(e[0]))
			}
		}
	})
	if err != nil {
		return out, err
	}
	clash := make(map[uint32]bool)
	for _, t := range clashes {
		r, _ := sets.root(t)
		clash[r] = true
		out.orientable = false
	}
	balance := make([]int32, len(f.tris)) // at each root: as they are, less turned
	for i := range f.tris {
		r, t := sets.root(uint32(i))
		balance[r] += 1 - 2*int32(t)
	}
	out.turned = make([]bool, len(f.tris))
	for i := range f.tris {
		r, t := sets.root(uint32(i))
		if f.out(i) {
			continue
		}
		if clash[r] {
			out.clashed++
			continue
		}
		if balance[r] < 0 {
			t ^= 1
		}
		if t == 1 {
			out.turned[i] = true
			out.count++
		}
	}
	return out, nil
}

// turn swaps two corners of the marked triangles, in a copy.
func turn(tris []triangle, marked []bool) []triangle {
	out := slices.Clone(tris)
	for i, m := range marked {
		if m {
			out[i][1], out[i][2] = out[i][2], out[i][1]
		}
	}
	return out
}
