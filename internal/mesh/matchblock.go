package mesh

import (
	"cmp"
	"math/bits"
	"slices"
)

// block judges the edges of one block.
func (s *matchShift) block(b int) {
	tri, triEnd, _, _ := s.m.bounds(b)
	sets := s.m.f.sets
	for i := tri; i < triEnd; i++ {
		sets[i] = uint32(i)
	}
	ups, downs := s.collect(b)
	odd := s.enter(ups)
	matched := s.meet(ups, downs)
	for i := range downs { // in a loop of its own: each join makes the processor guess wrong
		if d := &downs[i]; d.met != 0 {
			s.join(d.met-1, d.tri, tri, triEnd)
		}
	}
	if odd || matched != len(ups) || matched != len(downs) {
		matched = s.judgeOdd(b, ups, downs, tri, triEnd)
	}
	s.m.found[b].Edges += matched
	sets.flatten(tri, triEnd)
}

// join joins two triangles, at once if both are of this block.
func (s *matchShift) join(a, b uint32, tri, triEnd int) {
	if n := uint32(triEnd - tri); a-uint32(tri) < n && b-uint32(tri) < n {
		s.m.f.sets.join(a, b)
	} else {
		s.later = append(s.later, [2]uint32{a, b})
	}
}

// collect lists the uses of a block: those that run up from the lower corner, and
// those that run down to it.
func (s *matchShift) collect(b int) (ups, downs []use) {
	tri, triEnd, vert, vertEnd := s.m.bounds(b)
	away := s.m.away
	away = away[:s.m.awayEnd[b]]
	if b > 0 {
		away = away[s.m.awayEnd[b-1]:]
	}
	n := 3*(triEnd-tri) + len(away)
	if n > len(s.uses) {
		s.uses = make([]use, n+n/8)
	}
	uses := s.uses[:n]
	up, down := 0, n-1 // where the next that runs up goes, and the next that runs down
	width := vertEnd - vert
	put := func(from, to, tri uint32) {
		low := min(from, to)
		if low-vert >= width {
			return
		}
		// without a branch: it would be guessed wrong half of the time
		falls := int((to - from) >> 31)
		uses[up+falls*(down-up)] = use{low: low, high: max(from, to), tri: tri}
		up += 1 - falls
		down -= falls
	}
	for i, t := range s.m.f.tris[tri:triEnd] {
		if repeated(&t) {
			s.repeated++
			continue
		}
		if s.m.f.skip != nil && s.m.f.skip[tri+i] {
			continue
		}
		put(t[0], t[1], uint32(tri+i))
		put(t[1], t[2], uint32(tri+i))
		put(t[2], t[0], uint32(tri+i))
	}
	for _, u := range away {
		from, to := u.low, u.high
		if !runs(&s.m.f.tris[u.tri], from, to) {
			from, to = to, from
		}
		put(from, to, u.tri)
	}
	return uses[:up], uses[down+1:]
}

// enter puts the uses that run up in the table, and tells whether two of one edge
// do.
func (s *matchShift) enter(ups []use) (odd bool) {
	log := bits.Len(uint(3*len(ups)) | 15)
	if n := 1 << log; n <= cap(s.slots) {
		s.slots = s.slots[:n]
		clear(s.slots)
	} else {
		s.slots = make([]uint32, n)
	}
	mask := uint32(len(s.slots) - 1)
	for i := range ups {
		u := &ups[i]
		at := u.slot() & mask
		for s.slots[at] != 0 {
			if e := &ups[s.slots[at]-1]; e.low == u.low && e.high == u.high {
				e.met += 2
				odd = true
				break
			}
			at = (at + 1) & mask
		}
		if s.slots[at] == 0 {
			s.slots[at] = uint32(i) + 1
		}
	}
	return odd
}

// meet looks for the uses that run down in the table, and counts the edges found.
func (s *matchShift) meet(ups, downs []use) (matched int) {
	slots := s.slots
	mask := uint32(len(slots) - 1)
	for i := range downs {
		d := &downs[i]
		for at := d.slot() & mask; slots[at] != 0; at = (at + 1) & mask {
			u := &ups[slots[at]-1]
			if u.low != d.low || u.high != d.high {
				continue
			}
			if u.met == 0 {
				d.met = u.tri + 1
				matched++
			}
			u.met++
			break
		}
	}
	return matched
}

// slot mixes the corners with a key that a file cannot know.
func (u *use) slot() uint32 {
	hi, lo := bits.Mul64((uint64(u.low)<<32|uint64(u.high))^weldKey[0], weldKey[1])
	return uint32(hi ^ lo)
}

// find gives the use in the table that has the edge of u, or nil.
func (s *matchShift) find(ups []use, u *use) *use {
	mask := uint32(len(s.slots) - 1)
	at := u.slot() & mask
	for {
		i := s.slots[at]
		if i == 0 {
			return nil
		}
		if e := &ups[i-1]; e.low == u.low && e.high == u.high {
			return e
		}
		at = (at + 1) & mask
	}
}

// judgeOdd judges the edges that do not have one use each way, and counts those
// that do.
func (s *matchShift) judgeOdd(b int, ups, downs []use, tri, triEnd int) (even int) {
	s.odd = s.odd[:0]
	add := func(u use, runsDown uint32) {
		u.met = runsDown
		s.odd = append(s.odd, u)
	}
	for i := range ups {
		if s.find(ups, &ups[i]).met == 1 {
			even++
		} else {
			add(ups[i], 0)
		}
	}
	for i := range downs {
		if u := s.find(ups, &downs[i]); u == nil || u.met != 1 {
			add(downs[i], 1)
		}
	}
	slices.SortFunc(s.odd, func(a, b use) int {
		return cmp.Or(cmp.Compare(a.low, b.low), cmp.Compare(a.high, b.high), cmp.Compare(a.tri, b.tri))
	})
	for list := s.odd; len(list) > 0; {
		n := 1
		for n < len(list) && list[n].low == list[0].low && list[n].high == list[0].high {
			n++
		}
		s.oddEdge(&s.m.found[b], list[:n], tri, triEnd)
		list = list[n:]
	}
	return even
}

// oddEdge takes an edge with one use, with two that run the same way, or with
// more.
func (s *matchShift) oddEdge(x *blockFound, uses []use, tri, triEnd int) {
	x.Edges++
	balance := 0
	for _, u := range uses {
		balance += 1 - 2*int(u.met)
		s.join(uses[0].tri, u.tri, tri, triEnd)
		switch {
		case len(uses) == 1:
			e := openEdge{u.low, u.high, u.tri}
			if u.met == 1 {
				e.from, e.to = e.to, e.from
			}
			x.open = append(x.open, e)
			x.OpenEdges++
		case len(uses) > 2:
			x.tangled = append(x.tangled, u.tri)
		}
	}
	switch {
	case len(uses) == 2:
		x.Inconsistent++
	case len(uses) > 2:
		x.NonManifold++
		if balance != 0 {
			x.Unbalanced++
		}
	}
}
