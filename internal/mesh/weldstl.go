package mesh

import (
	"encoding/binary"
	"math"
	"math/bits"
	"sync"
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
	verts []point
	slots []stlSlot
	shift uint
	limit int
	side  uint32
	queue [stlBatch + 1]stlCorner
}

// stlSlot is a point as float32 bits and its number plus one; 0 is empty.
type stlSlot struct{ x, y, z, number uint32 }

type stlCorner struct {
	x, y, z uint32
	at      uint32 // its slot
	to      uint32 // its place in the batch
}

const stlBatch = 768

func newSTLWelder(points int, side uint32) *stlWelder {
	w := &stlWelder{side: side, verts: make([]point, 0, points+points/32+64)}
	w.resize(bits.Len(uint(max(points, 8) * 3 / 2)))
	return w
}

func (w *stlWelder) resize(log int) {
	old := w.slots
	w.slots = make([]stlSlot, 1<<log)
	w.shift = uint(64 - log)
	w.limit = 1 << log * 5 / 8
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

// weldSTL numbers all corners of a binary STL body into tris. Points are dealt
// to two welders by their coordinates, so that two workers can go at once; the
// second runs over the halves of the file in the other order, which keeps the
// two from writing side by side. Numbers depend on neither workers nor key.
// A corner out of bounds is left to the caller: bad is its triangle, or −1.
func weldSTL(body []byte, tris []triangle, workers int, done <-chan struct{}) (verts []point, bad int, err error) {
	half := len(tris) / 2 / (stlBatch / 3) * (stlBatch / 3)
	points := len(tris)/4 + 8 // a closed mesh has about half as many as triangles
	sides := [2]*stlWelder{newSTLWelder(points, 0), newSTLWelder(points, 1)}
	order := [2][2][2]int{{{0, half}, {half, len(tris)}}, {{half, len(tris)}, {0, half}}}
	var bads [2]int
	var halted [2]bool
	run := func(side int) {
		bads[side] = -1
		for _, r := range order[side] {
			for t := r[0]; t < r[1]; t += stlBatch / 3 {
				if t%stopEvery == 0 && stopped(done) {
					halted[side] = true
					return
				}
				end := min(t+stlBatch/3, r[1])
				if b := sides[side].weld(body[t*stlRecord:end*stlRecord], tris[t:end]); b >= 0 {
					bads[side] = t + b
					return
				}
			}
		}
	}
	var wg sync.WaitGroup
	if workers > 1 {
		wg.Go(func() { run(1) })
		run(0)
	} else {
		run(0)
		run(1)
	}
	wg.Wait()
	switch {
	case halted[0] || halted[1]:
		return nil, -1, ErrStopped
	case bads[0] >= 0: // side 0 reads in order, so this is the first one
		return nil, bads[0], nil
	}
	first := uint32(len(sides[0].verts))
	for i := range tris {
		t := &tris[i]
		for k := range t {
			if t[k]&otherSide != 0 {
				t[k] = t[k]&^otherSide + first
			}
		}
	}
	return append(sides[0].verts, sides[1].verts...), -1, nil
}

// otherSide marks the numbers of the second welder until the first is done.
const otherSide = 1 << 31

// weld numbers its share of the corners of the records into tris, at most
// stlBatch/3 of them.
func (w *stlWelder) weld(records []byte, tris []triangle) (bad int) {
	n := 0
	worst := uint32(0)
	for t := range tris {
		rec := records[t*stlRecord:][:stlRecord]
		for k := range 3 {
			x := plainZero(binary.LittleEndian.Uint32(rec[12+12*k:]))
			y := plainZero(binary.LittleEndian.Uint32(rec[16+12*k:]))
			z := plainZero(binary.LittleEndian.Uint32(rec[20+12*k:]))
			worst = max(worst, x&^signBit, y&^signBit, z&^signBit)
			w.queue[n] = stlCorner{x, y, z, w.slot(x, y, z), uint32(3*t + k)}
			n += int(sideOf(x, y, z) ^ w.side ^ 1)
		}
	}
	if worst > maxCoordinateBits {
		return firstBad(records, len(tris))
	}
	w.resolve(n, tris)
	return -1
}

// sideOf deals points to the two welders, by a fixed mixture of their bits: it
// need not be hard to foresee, only even for honest files.
func sideOf(x, y, z uint32) uint32 {
	return (x*0x9e3779b1 ^ y*0x85ebca77 ^ z*0xc2b2ae3d) * 0x27d4eb2f >> 31
}

// resolve gives numbers to the first n corners of the queue.
func (w *stlWelder) resolve(n int, tris []triangle) {
	queue := w.queue[:n]
	left := 0
	mark := w.side << 31
	for i := range queue {
		c := queue[i]
		s := &w.slots[c.at]
		tris[c.to/3][c.to%3] = s.number - 1 | mark
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
		tris[c.to/3][c.to%3] = w.number(c) | mark
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
			*s = stlSlot{c.x, c.y, c.z, uint32(len(w.verts))}
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

func firstBad(records []byte, n int) int {
	for t := range n {
		for k := range 9 {
			if binary.LittleEndian.Uint32(records[t*stlRecord+12+4*k:])&^signBit > maxCoordinateBits {
				return t
			}
		}
	}
	return -1
}
