package mesh

import (
	"encoding/binary"
	"math/bits"
)

// secondHalf marks the numbers of the second welder until it is known how many
// points the first has.
const secondHalf = 1 << 31

// weldRegions numbers all corners of a binary STL body whose coordinates are in
// bounds, and fills tris in the order of the regions. As no point lies in two
// regions, each needs but a small table of its own, which stays near the
// processor, and nothing has to be put together afterward. Points are numbered
// region by region, in each by first use. The work is always done in two halves,
// so the numbers do not depend on workers.
func weldRegions(body []byte, r *regions, tris []triangle, workers int, done <-chan struct{}) ([]point, []block, error) {
	middle := 0
	for int(r.start[middle]) < len(tris)/2 {
		middle++
	}
	ranges := [2][2]int{{0, middle}, {middle, r.count}}
	points := len(tris)/2 + len(tris)/16 + 16 // a closed mesh has about half as many as triangles
	verts := make([]point, points)
	cut := int(int64(points) * int64(r.start[middle]) / int64(len(tris)))
	var welders [2]stlWelder
	welders[0].verts, welders[1].verts = verts[:0:cut], verts[cut:cut]
	welders[1].mark = secondHalf
	ends := make([]int, r.count) // points after each region
	var halted [2]bool
	inTwo(workers, func(i int) {
		for c := ranges[i][0]; c < ranges[i][1]; c++ {
			if stopped(done) {
				halted[i] = true
				return
			}
			welders[i].region(body, r, c, tris)
			ends[c] = len(welders[i].verts)
		}
	})
	if halted[0] || halted[1] {
		return nil, nil, ErrStopped
	}
	first := len(welders[0].verts)
	if first <= cut { // it had room; otherwise it has moved elsewhere
		welders[0].verts = verts[:first]
	}
	verts = append(welders[0].verts, welders[1].verts...)
	inTwo(workers, func(i int) {
		half := tris[i*len(tris)/2 : (i+1)*len(tris)/2]
		for t := range half {
			for k, v := range half[t] {
				half[t][k] = v&^secondHalf + v>>31*uint32(first)
			}
		}
	})
	blocks := make([]block, r.count)
	for c := range blocks {
		blocks[c] = block{tris: int(r.start[c+1]), verts: ends[c]}
		if c >= middle {
			blocks[c].verts += first
		}
	}
	return verts, blocks, nil
}

// region numbers the corners that lie in region c: first those of its own
// triangles, then those of others.
func (w *stlWelder) region(body []byte, r *regions, c int, tris []triangle) {
	from, to := int(r.start[c]), int(r.start[c+1])
	guests := r.guests[r.guestStart[c]:r.guestStart[c+1]]
	w.fresh((to-from)*3/2 + len(guests))
	for ; from < to; from += stlBatch / 3 {
		w.resolve(w.gather(body, r.list[from:min(from+stlBatch/3, to)], from), tris)
	}
	for len(guests) > 0 {
		n := min(len(guests), stlBatch)
		for i, g := range guests[:n] {
			at := int(r.list[g>>2]&listedNumber)*stlRecord + 12 + int(g&3)*12
			p := body[at:][:12]
			w.enqueue(i, binary.LittleEndian.Uint32(p), binary.LittleEndian.Uint32(p[4:]), binary.LittleEndian.Uint32(p[8:]), g)
		}
		w.resolve(n, tris)
		guests = guests[n:]
	}
}

// fresh empties the table and makes room for n points without crowding.
func (w *stlWelder) fresh(n int) {
	log := bits.Len(uint(max(n, 8)))
	if size := 1 << log; size <= cap(w.slots) {
		w.slots = w.slots[:size]
		clear(w.slots)
	} else {
		w.slots = make([]stlSlot, size)
	}
	w.shift = uint(64 - log)
	w.before = len(w.verts)
	w.limit = w.before + 1<<log*5/8
}

// gather puts those corners of the listed triangles in the queue that lie in their
// region.
func (w *stlWelder) gather(body []byte, list []uint32, at int) int {
	// First the ends of each record are touched and nothing more: then far more
	// records are on their way from memory at once.
	for _, e := range list {
		r := body[int(e&listedNumber)*stlRecord:][:stlRecord]
		w.touched ^= r[12] ^ r[47]
	}
	raw := w.raw[:len(list)]
	for i, e := range list {
		gather9(&raw[i], body[int(e&listedNumber)*stlRecord+12:])
	}
	n := 0
	for i, e := range list {
		r := &raw[i]
		to := uint32(at+i) << 2
		w.enqueue(n, r[0], r[1], r[2], to)
		n++
		w.enqueue(n, r[3], r[4], r[5], to|1)
		n += int(^e >> 30 & 1)
		w.enqueue(n, r[6], r[7], r[8], to|2)
		n += int(^e >> 31)
	}
	return n
}
