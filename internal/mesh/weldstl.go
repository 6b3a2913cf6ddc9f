package mesh

import (
	"encoding/binary"
	"math"
	"math/bits"
)

// stlWelder numbers the corners of binary STL, like welder does, for the case
// that counts most: millions of corners in no order, where nearly every lookup
// waits for memory.
//
// Two things make it quick. A slot holds the point itself, so a lookup touches
// one cache line. And corners go in batches: the first look at each slot of a
// batch waits for nothing else, so the processor fetches many at a time; only
// new points and collisions take the slow way, and their lines are near by then.
type stlWelder struct {
	verts   []point
	slots   []stlSlot
	shift   uint
	before  int    // points that are not in the table
	limit   int    // grow when there are this many points
	mark    uint32 // a bit that all numbers of this welder carry
	raw     [stlBatch / 3][9]uint32
	queue   [stlBatch]stlCorner
	touched byte
}

// stlSlot is a point as float32 bits and its number plus one; 0 is empty.
type stlSlot struct{ x, y, z, number uint32 }

type stlCorner struct {
	x, y, z uint32
	at      uint32 // its slot
	to      uint32 // its place: four times that of the triangle, plus the corner
}

const stlBatch = 768

func newSTLWelder(points int) *stlWelder {
	w := &stlWelder{verts: make([]point, 0, points+points/16)}
	w.resize(bits.Len(uint(max(points, 8) * 3 / 2)))
	return w
}

func (w *stlWelder) resize(log int) {
	old := w.slots
	w.slots = make([]stlSlot, 1<<log)
	w.shift = uint(64 - log)
	w.limit = w.before + 1<<log*5/8
	mask := uint32(len(w.slots) - 1)
	for _, s := range old {
		if s.number == 0 {
			continue
		}
		at := w.slot(s.x, s.y, s.z)
		for w.slots[at].number != 0 {
			at = (at + 1) & mask
		}
		w.slots[at] = s
	}
}

func (w *stlWelder) slot(x, y, z uint32) uint32 {
	hi, lo := bits.Mul64((uint64(x)|uint64(y)<<32)^weldKey[0], uint64(z)^weldKey[1])
	return uint32((hi ^ lo) >> w.shift)
}

// weldSTL numbers all corners of a binary STL body into tris, in the order of the
// file. Each half has a welder of its own, so that two workers can go at once;
// then the points of the second are looked up in the first. Numbers depend on
// neither workers nor key. A corner out of bounds is left to the caller: bad is
// the number of the triangle, or −1.
func weldSTL(body []byte, tris []triangle, workers int, done <-chan struct{}) (verts []point, bad int, err error) {
	half := len(tris) / 2 / (stlBatch / 3) * (stlBatch / 3)
	points := len(tris)/4 + 8 // a closed mesh has about half as many as triangles
	welders := [2]*stlWelder{newSTLWelder(points), newSTLWelder(points)}
	welders[0].verts = make([]point, 0, 2*points+points/16) // it takes over the rest
	ranges := [2][2]int{{0, half}, {half, len(tris)}}
	var bads [2]int
	var halted [2]bool
	inTwo(workers, func(i int) {
		bads[i], halted[i] = welders[i].run(body, tris, ranges[i][0], ranges[i][1], done)
	})
	switch {
	case halted[0] || halted[1]:
		return nil, -1, ErrStopped
	case bads[0] >= 0:
		return nil, bads[0], nil
	case bads[1] >= 0:
		return nil, bads[1], nil
	}
	to := welders[0].adopt(welders[1])
	for i := half; i < len(tris); i++ {
		t := &tris[i]
		t[0], t[1], t[2] = to[t[0]], to[t[1]], to[t[2]]
	}
	return welders[0].verts, -1, nil
}

// run numbers the corners of a part of the file.
func (w *stlWelder) run(body []byte, tris []triangle, from, to int, done <-chan struct{}) (bad int, halted bool) {
	for t := from; t < to; t += stlBatch / 3 {
		if t%stopEvery < stlBatch/3 && stopped(done) {
			return -1, true
		}
		if b := w.weld(body, tris, t, min(t+stlBatch/3, to)); b >= 0 {
			return b, false
		}
	}
	return -1, false
}

// adopt adds the points of another welder and tells which number each has here.
func (w *stlWelder) adopt(other *stlWelder) (to []uint32) {
	to = make([]uint32, len(other.verts))
	mask := uint32(len(w.slots) - 1)
	for i := range other.verts {
		v := &other.verts[i]
		x, y, z := math.Float32bits(float32(v[0])), math.Float32bits(float32(v[1])), math.Float32bits(float32(v[2]))
		at := w.slot(x, y, z)
		for {
			s := &w.slots[at]
			if s.number == 0 { // not in the first half; in the second it is there once
				w.verts = append(w.verts, *v)
				to[i] = uint32(len(w.verts)) - 1
				break
			}
			if s.x == x && s.y == y && s.z == z {
				to[i] = s.number - 1
				break
			}
			at = (at + 1) & mask
		}
	}
	return to
}

// weld numbers the corners of at most stlBatch/3 records.
func (w *stlWelder) weld(body []byte, tris []triangle, from, to int) (bad int) {
	n := 0
	worst := uint32(0)
	var r [9]uint32
	for t := from; t < to; t++ {
		gather9(&r, body[t*stlRecord+12:])
		for k := range 3 {
			x, y, z := r[3*k], r[3*k+1], r[3*k+2]
			worst = max(worst, x&^signBit, y&^signBit, z&^signBit)
			w.enqueue(n, x, y, z, uint32(t<<2|k))
			n++
		}
	}
	if worst > maxCoordinateBits {
		return firstBad(body, from, to)
	}
	w.resolve(n, tris)
	return -1
}

// enqueue puts a corner in the queue.
func (w *stlWelder) enqueue(i int, x, y, z, to uint32) {
	x, y, z = plainZero(x), plainZero(y), plainZero(z)
	w.queue[i] = stlCorner{x, y, z, w.slot(x, y, z), to}
}

// gather9 reads the nine coordinates of a record.
func gather9(to *[9]uint32, rec []byte) {
	rec = rec[:36]
	for k := range to {
		to[k] = binary.LittleEndian.Uint32(rec[4*k:])
	}
}

// resolve gives numbers to the first n corners of the queue.
func (w *stlWelder) resolve(n int, tris []triangle) {
	queue := w.queue[:n]
	left := 0
	for i := range queue {
		c := queue[i]
		s := &w.slots[c.at]
		tris[c.to>>2][c.to&3] = s.number - 1
		differs := (s.x ^ c.x) | (s.y ^ c.y) | (s.z ^ c.z)
		if s.number == 0 {
			differs = 1
		}
		// without a branch: it would be guessed wrong at every new point
		queue[left] = c
		left += int((differs | -differs) >> 31)
	}
	for i := range queue[:left] {
		c := &queue[i]
		tris[c.to>>2][c.to&3] = w.number(c)
	}
}

// number looks a corner up the whole way, and adds it if it is new.
func (w *stlWelder) number(c *stlCorner) uint32 {
	if len(w.verts) >= w.limit {
		w.resize(int(64-w.shift) + 1)
	}
	mask := uint32(len(w.slots) - 1)
	at := w.slot(c.x, c.y, c.z)
	for {
		s := &w.slots[at]
		if s.number == 0 {
			w.verts = append(w.verts, point{
				float64(math.Float32frombits(c.x)), float64(math.Float32frombits(c.y)), float64(math.Float32frombits(c.z)),
			})
			*s = stlSlot{c.x, c.y, c.z, uint32(len(w.verts)) | w.mark}
			return s.number - 1
		}
		if s.x == c.x && s.y == c.y && s.z == c.z {
			return s.number - 1
		}
		at = (at + 1) & mask
	}
}

const signBit = 1 << 31

// maxCoordinateBits orders like the number: for positive floats greater bits
// are greater numbers, and infinities and NaN are greater than all.
var maxCoordinateBits = math.Float32bits(maxCoordinate)

// plainZero turns minus zero into zero.
func plainZero(b uint32) uint32 {
	if b == signBit {
		return 0
	}
	return b
}

// firstBad is the first of some records with a coordinate out of bounds.
func firstBad(body []byte, from, to int) int {
	for t := from; t < to; t++ {
		for k := range 9 {
			if binary.LittleEndian.Uint32(body[t*stlRecord+12+4*k:])&^signBit > maxCoordinateBits {
				return t
			}
		}
	}
	return -1
}
