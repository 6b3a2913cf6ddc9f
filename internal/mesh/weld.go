package mesh

import (
	"hash/maphash"
	"math"
	"math/bits"
)

// welder numbers points by first use and gives equal points one number.
//
// The table is open addressing over point numbers. Its key is drawn anew per
// process: a file cannot be crafted to collide, and since numbers follow first
// use the outcome does not depend on the key. The mixing is the folded 128-bit
// product known from wyhash.
type welder struct {
	verts []point
	base  uint32 // points before this number belong to earlier parts
	slots []uint32
	shift uint
	limit int // grow when this many points are in the table
}

var weldKey = func() (k [3]uint64) {
	for i := range k {
		var h maphash.Hash
		h.SetSeed(maphash.MakeSeed())
		h.WriteByte(byte(i))
		k[i] = h.Sum64() | 1
	}
	return k
}()

// start begins a part that is expected to have about n points.
func (w *welder) start(n int) {
	w.base = uint32(len(w.verts))
	size := bits.Len(uint(max(n, 8) * 3 / 2))
	w.resize(size)
}

func (w *welder) resize(log int) {
	w.shift = uint(64 - log)
	n := 1 << log
	w.limit = int(w.base) + n*5/8
	if cap(w.slots) >= n {
		w.slots = w.slots[:n]
		clear(w.slots)
	} else {
		w.slots = make([]uint32, n)
	}
	mask := uint32(n - 1)
	for i := int(w.base); i < len(w.verts); i++ {
		v := &w.verts[i]
		s := uint32(hashPoint(v[0], v[1], v[2]) >> w.shift)
		for w.slots[s] != 0 {
			s = (s + 1) & mask
		}
		w.slots[s] = uint32(i) + 1
	}
}

func hashPoint(x, y, z float64) uint64 {
	hi, lo := bits.Mul64(math.Float64bits(x)^weldKey[0], math.Float64bits(y)^weldKey[1])
	hi, lo = bits.Mul64(hi^lo^weldKey[2], math.Float64bits(z)^weldKey[1])
	return hi ^ lo
}

// id is the number of the point; equal points of one part share it, and minus
// zero equals zero.
func (w *welder) id(x, y, z float64) uint32 {
	x, y, z = x+0, y+0, z+0 // minus zero becomes zero
	mask := uint32(len(w.slots) - 1)
	s := uint32(hashPoint(x, y, z) >> w.shift)
	for {
		n := w.slots[s]
		if n == 0 {
			break
		}
		if v := &w.verts[n-1]; v[0] == x && v[1] == y && v[2] == z {
			return n - 1
		}
		s = (s + 1) & mask
	}
	n := uint32(len(w.verts))
	w.verts = append(w.verts, point{x, y, z})
	w.slots[s] = n + 1
	if len(w.verts) > w.limit {
		w.resize(int(64-w.shift) + 1)
	}
	return n
}

// indexed joins equal points of an indexed mesh and adds it as one part. Only
// points that a triangle uses are kept. It leaves src alone.
func (m *Mesh) indexed(w *welder, src []point, tris []triangle) {
	const unseen = math.MaxUint32
	w.start(len(src))
	number := make([]uint32, len(src))
	for i := range number {
		number[i] = unseen
	}
	for _, t := range tris {
		var out triangle
		for k, v := range t {
			if number[v] == unseen {
				p := &src[v]
				number[v] = w.id(p[0], p[1], p[2])
			}
			out[k] = number[v]
		}
		m.tris = append(m.tris, out)
	}
	m.verts = w.verts
	m.parts = append(m.parts, part{len(m.verts), len(m.tris)})
}
