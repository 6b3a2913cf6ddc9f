package mesh

import (
	"encoding/binary"
	"math"
)

// The grid that puts scattered triangles in order, and how few are not worth it.
const (
	orderCells = 64 // along each axis
	orderFrom  = 50_000
)

// stlOrder gives an order of the records in which neighbors in space are mostly
// neighbors in the list: by the grid cell of their first corner, in file order
// within a cell. Every later step looks up the corners and neighbors of one
// triangle after the other, and waits for memory unless they were seen lately:
// for a file of two million scattered triangles this halves the whole work.
//
// It gives nil where the file is in order already, as most programs write it, or
// small, or has a coordinate out of bounds, which the reader is about to find.
func stlOrder(body []byte, n int) []uint32 {
	if n < orderFrom || isOrdered(body, n) {
		return nil
	}
	lo, hi, ok := firstCorners(body, n)
	if !ok {
		return nil
	}
	var k [3]float32
	for i := range k {
		if w := hi[i] - lo[i]; w > 0 {
			k[i] = orderCells * 0.9999 / w
		}
	}
	start := make([]uint32, orderCells*orderCells*orderCells+1)
	cell := func(t int) uint32 {
		c := firstCorner(body, t)
		x, y, z := uint32((c[0]-lo[0])*k[0]), uint32((c[1]-lo[1])*k[1]), uint32((c[2]-lo[2])*k[2])
		return min((x*orderCells+y)*orderCells+z, orderCells*orderCells*orderCells-1)
	}
	for t := range n {
		start[cell(t)+1]++
	}
	for i := 1; i < len(start); i++ {
		start[i] += start[i-1]
	}
	order := make([]uint32, n)
	for t := range n {
		c := cell(t)
		order[start[c]] = uint32(t)
		start[c]++
	}
	return order
}

func firstCorner(body []byte, t int) [3]float32 {
	b := body[t*stlRecord+12:][:12]
	return [3]float32{
		math.Float32frombits(binary.LittleEndian.Uint32(b)),
		math.Float32frombits(binary.LittleEndian.Uint32(b[4:])),
		math.Float32frombits(binary.LittleEndian.Uint32(b[8:])),
	}
}

// firstCorners is the box of all first corners; ok is false if one is out of
// bounds.
func firstCorners(body []byte, n int) (lo, hi [3]float32, ok bool) {
	lo, hi = emptyBox()
	for t := range n {
		c := firstCorner(body, t)
		for i, x := range c {
			if !(x >= -maxCoordinate && x <= maxCoordinate) {
				return lo, hi, false
			}
			lo[i], hi[i] = min(lo[i], x), max(hi[i], x)
		}
	}
	return lo, hi, true
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
