package mesh

import (
	"cmp"
	"math"
	"slices"
)

// Shell is a group of triangles that hang together by edges.
type Shell struct {
	Triangles int
	Volume    float64 // signed as the file has it, after mixed faces were turned
	Lo, Hi    point   // its box
	Depth     int     // how many other shells it lies in
	Reversed  bool    // all of it was turned to face outward
	Hollow    bool    // it bounds empty space inside another shell
}

// nest holds the shells while it is found out which lies in which.
type nest struct {
	verts  []point
	tris   []triangle
	shells []Shell
	list   [][]uint32 // triangles of each shell
	parent []int      // the smallest shell around it, or -1

	overlap   bool // some shell is partly inside another
	sameWay   bool // an inner shell faces the same way as its outer one
	skipped   bool // too many shells to sort out
	angles    int  // solid angles looked at
	volume    float64
	outer     float64 // with sealed spaces filled
	ifHollow  float64 // if inner shells that face the same way were hollows
	signedSum float64
}

// The budget for finding out which shell lies in which: solid angles.
const (
	nestPairs  = 50_000
	nestAngles = 30_000_000
	nestPoints = 9 // tested of each shell
)

// gather splits a surface into its shells.
func gather(verts []point, f *fabric, tris []triangle, c point) *nest {
	n := &nest{verts: verts, tris: tris}
	number := make([]int32, len(tris))
	for i := range tris {
		if f.out(i) {
			continue
		}
		if f.sets[i] == uint32(i) {
			number[i] = int32(len(n.shells))
			n.shells = append(n.shells, Shell{})
		} else {
			number[i] = number[f.sets[i]]
		}
		n.shells[number[i]].Triangles++
	}
	all := make([]uint32, 0, len(tris))
	n.list = make([][]uint32, len(n.shells))
	at := 0
	for s := range n.list {
		n.list[s] = all[at : at : at+n.shells[s].Triangles]
		at += n.shells[s].Triangles
	}
	for i := range tris {
		if !f.out(i) {
			s := number[i]
			n.list[s] = append(n.list[s], uint32(i))
		}
	}
	for s := range n.shells {
		n.measure(s, c)
	}
	return n
}

func (n *nest) measure(s int, c point) {
	sh := &n.shells[s]
	var v neumaier
	inf := math.Inf(1)
	sh.Lo, sh.Hi = point{inf, inf, inf}, point{-inf, -inf, -inf}
	for _, i := range n.list[s] {
		t := &n.tris[i]
		a, b, d := n.verts[t[0]], n.verts[t[1]], n.verts[t[2]]
		v.add(det(sub(a, c), sub(b, a), sub(d, a)))
		for k := range 3 {
			sh.Lo[k] = min(sh.Lo[k], a[k], b[k], d[k])
			sh.Hi[k] = max(sh.Hi[k], a[k], b[k], d[k])
		}
	}
	sh.Volume = v.value() / 6
}

// sort finds which shell lies in which and what is filled. All shells must be
// closed.
func (n *nest) sort(done <-chan struct{}) error {
	n.parent = make([]int, len(n.shells))
	order := make([]int, len(n.shells)) // small first
	for s := range order {
		order[s], n.parent[s] = s, -1
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(math.Abs(n.shells[a].Volume), math.Abs(n.shells[b].Volume))
	})
	pairs := 0
	for i, s := range order {
		if stopped(done) {
			return ErrStopped
		}
		for _, o := range order[i+1:] {
			if !n.boxesMeet(s, o) {
				continue
			}
			pairs++
			if pairs > nestPairs || n.angles > nestAngles || len(order) > 5000 {
				n.skipped = true
				return nil
			}
			inside, partly := n.inside(s, o)
			n.overlap = n.overlap || partly
			if inside {
				n.shells[s].Depth++
				if n.parent[s] < 0 {
					n.parent[s] = o
				}
			}
		}
	}
	n.fill(order)
	return nil
}

func (n *nest) boxesMeet(a, b int) bool {
	for k := range 3 {
		if n.shells[a].Hi[k] <= n.shells[b].Lo[k] || n.shells[b].Hi[k] <= n.shells[a].Lo[k] {
			return false
		}
	}
	return true
}

// inside judges points of s against o, and of o against s. Points on the other
// surface say nothing. Partly means that some points are in and some are not, or
// that points of the larger lie in the smaller.
func (n *nest) inside(s, o int) (inside, partly bool) {
	in, out := n.test(s, o)
	back, _ := n.test(o, s)
	return in > 0 && out == 0, in > 0 && out > 0 || back > 0 && in == 0
}

func (n *nest) test(s, o int) (in, out int) {
	list := n.list[s]
	for k := range nestPoints {
		i := list[(2*k+1)*len(list)/(2*nestPoints)]
		t := &n.tris[i]
		a, b, c := n.verts[t[0]], n.verts[t[1]], n.verts[t[2]]
		// a point that is unlikely to lie on a seam of the other shell
		p := add(scale(a, 0.31), add(scale(b, 0.28), scale(c, 0.41)))
		w := 0.0
		if within(p, n.shells[o].Lo, n.shells[o].Hi) {
			n.angles += len(n.list[o])
			w = math.Abs(winding(n.verts, n.tris, n.list[o], p))
		}
		switch {
		case w > 0.9:
			in++
		case w < 0.1:
			out++
		}
	}
	return in, out
}

func within(p, lo, hi point) bool {
	for k := range 3 {
		if p[k] < lo[k] || p[k] > hi[k] {
			return false
		}
	}
	return true
}

// fill turns outermost shells outward with all they hold, then counts as solid
// what has a winding number above zero (3MF core specification, 4.1: positive
// fill rule).
func (n *nest) fill(order []int) {
	wind := make([]int, len(n.shells)) // inside each shell
	var volume, outer, ifHollow, sum neumaier
	for i := len(order) - 1; i >= 0; i-- { // large first: parents before children
		s := order[i]
		sh := &n.shells[s]
		p := n.parent[s]
		around := 0
		if p >= 0 {
			around = wind[p]
			sh.Reversed = n.shells[p].Reversed
		} else {
			sh.Reversed = sh.Volume < 0
		}
		way := 1
		if (sh.Volume < 0) != sh.Reversed {
			way = -1
		}
		wind[s] = around + way
		size := math.Abs(sh.Volume)
		sum.add(size * float64(way))
		switch was, is := around > 0, wind[s] > 0; {
		case is && !was:
			volume.add(size)
		case was && !is:
			volume.add(-size)
			sh.Hollow = true
		case was && is && way > 0:
			n.sameWay = true
		}
		if sh.Depth == 0 {
			outer.add(size)
		}
		if sh.Depth%2 == 0 {
			ifHollow.add(size)
		} else {
			ifHollow.add(-size)
		}
	}
	n.volume, n.outer = volume.value(), outer.value()
	n.ifHollow, n.signedSum = ifHollow.value(), sum.value()
}

// depths gives the depth of each triangle, or nil when all are 0.
func (n *nest) depths() []int32 {
	if !slices.ContainsFunc(n.shells, func(s Shell) bool { return s.Depth > 0 }) {
		return nil
	}
	out := make([]int32, len(n.tris))
	for s, list := range n.list {
		for _, i := range list {
			out[i] = int32(n.shells[s].Depth)
		}
	}
	return out
}
