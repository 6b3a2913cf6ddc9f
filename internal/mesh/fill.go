package mesh

import (
	"cmp"
	"math"
	"slices"
)

// filling is an estimate of what a surface really fills: the space with a winding
// number above zero, which is what a mold sees where pieces run into each other.
type filling struct {
	filled float64 // that space
	excess float64 // the plain sum of signed volumes less that space
}

// of gives the space filled, for a surface whose plain sum is known exactly. The
// sampling error scales with what was sampled, so the smaller part is taken.
func (f filling) of(sum float64) float64 {
	if math.Abs(f.excess) <= f.filled {
		return sum - f.excess
	}
	return f.filled
}

// estimateFilling passes lines through a regular grid, parallel to the longest
// side of the box, and adds up the winding number along each. ok is false where
// the surface is too tangled for the budget, or done closed.
func estimateFilling(verts []point, tris []triangle, out func(int) bool, done <-chan struct{}) (f filling, ok bool) {
	g, ok := newLineGrid(verts, tris, out)
	if !ok {
		return f, false
	}
	if !g.collect(verts, tris, out, done) {
		return f, false
	}
	var excess, filled neumaier
	lost := 0
	for c := range len(g.start) - 1 {
		if c%stopEvery == 0 && stopped(done) {
			return f, false
		}
		hits := g.hits[g.start[c]:g.start[c+1]]
		slices.SortFunc(hits, func(a, b lineHit) int { return cmp.Compare(a.z, b.z) })
		if over, in, whole := alongLine(hits); whole {
			excess.add(over)
			filled.add(in)
		} else {
			lost++
		}
	}
	lines := len(g.start) - 1
	k := g.du * g.dv * float64(lines) / float64(max(lines-lost, 1))
	return filling{filled.value() * k, excess.value() * k}, lost < lines/20+1
}

// alongLine adds up, along one line, where the winding number is above zero, and
// by how much its sum exceeds that. A line that does not come out of what it went
// into met a seam and is not whole.
func alongLine(hits []lineHit) (over, in float64, whole bool) {
	w := int32(0)
	for i, h := range hits {
		if i > 0 && w != 0 {
			l := h.z - hits[i-1].z
			filled := int32(0)
			if w > 0 {
				filled = 1
				in += l
			}
			over += float64(w-filled) * l
		}
		w += h.step
	}
	return over, in, w == 0
}

// lineHit is where a line meets the surface: step +1 going in, −1 going out.
type lineHit struct {
	z    float64
	step int32
}

type lineGrid struct {
	u, v, w int // axes: u and v across, w along the lines
	u0, v0  float64
	du, dv  float64
	nu, nv  int
	start   []uint32 // hits of a line, one longer than lines
	hits    []lineHit
}

// The budget of the grid: lines, and lines looked at by all triangles together.
const (
	gridLines = 512 * 512
	gridWork  = 15_000_000
	// lineAt is where in its cell a line runs: the middle, but for a little that
	// keeps lines off the seams of parts drawn to whole numbers.
	lineAt = 0.5 + 0.00137*math.Sqrt2
)

func newLineGrid(verts []point, tris []triangle, out func(int) bool) (*lineGrid, bool) {
	lo, hi := bounds(verts)
	size := sub(hi, lo)
	g := &lineGrid{w: 0}
	for k := range 3 {
		if size[k] > size[g.w] {
			g.w = k
		}
	}
	g.u, g.v = (g.w+1)%3, (g.w+2)%3
	su, sv := size[g.u], size[g.v]
	if !(su > 0) || !(sv > 0) {
		return nil, false
	}
	for lines := float64(gridLines); lines >= 1024; lines /= 4 {
		side := math.Sqrt(su * sv / lines)
		g.nu = int(min(max(math.Ceil(su/side), 8), 8192))
		g.nv = int(min(max(math.Ceil(sv/side), 8), 8192))
		g.du, g.dv = su/float64(g.nu), sv/float64(g.nv)
		g.u0, g.v0 = lo[g.u], lo[g.v]
		work := 0
		for i := range tris {
			if !out(i) {
				u1, u2, v1, v2 := g.box(verts, &tris[i])
				work += max(u2-u1+1, 0) * max(v2-v1+1, 0)
				if work > gridWork {
					break
				}
			}
		}
		if work <= gridWork {
			return g, true
		}
	}
	return nil, false
}

// box gives the lines that can meet a triangle, first and last in both ways.
func (g *lineGrid) box(verts []point, t *triangle) (u1, u2, v1, v2 int) {
	a, b, c := &verts[t[0]], &verts[t[1]], &verts[t[2]]
	lowU, highU := min(a[g.u], b[g.u], c[g.u]), max(a[g.u], b[g.u], c[g.u])
	lowV, highV := min(a[g.v], b[g.v], c[g.v]), max(a[g.v], b[g.v], c[g.v])
	u1 = max(int(math.Ceil((lowU-g.u0)/g.du-0.5))-1, 0)
	u2 = min(int(math.Floor((highU-g.u0)/g.du-0.5))+1, g.nu-1)
	v1 = max(int(math.Ceil((lowV-g.v0)/g.dv-0.5))-1, 0)
	v2 = min(int(math.Floor((highV-g.v0)/g.dv-0.5))+1, g.nv-1)
	return u1, u2, v1, v2
}

// collect finds all hits, counted into their lines.
func (g *lineGrid) collect(verts []point, tris []triangle, out func(int) bool, done <-chan struct{}) bool {
	g.start = make([]uint32, g.nu*g.nv+1)
	visit := func(f func(line int, h lineHit)) bool {
		for i := range tris {
			if i%stopEvery == 0 && stopped(done) {
				return false
			}
			if !out(i) {
				g.cast(verts, &tris[i], f)
			}
		}
		return true
	}
	if !visit(func(line int, _ lineHit) { g.start[line]++ }) {
		return false
	}
	sum := uint32(0)
	for i := range g.start {
		sum += g.start[i]
		g.start[i] = sum
	}
	g.hits = make([]lineHit, sum)
	return visit(func(line int, h lineHit) {
		g.start[line]--
		g.hits[g.start[line]] = h
	})
}

// cast gives f every line that meets the triangle. Which side of an edge a line
// passes is computed the same way for both triangles of the edge, so a line
// meets a closed surface an even number of times even when it hits an edge.
func (g *lineGrid) cast(verts []point, t *triangle, f func(line int, h lineHit)) {
	a, b, c := &verts[t[0]], &verts[t[1]], &verts[t[2]]
	bu, bv := b[g.u]-a[g.u], b[g.v]-a[g.v]
	cu, cv := c[g.u]-a[g.u], c[g.v]-a[g.v]
	area := bu*cv - bv*cu // positive: the face looks up along the lines
	if area == 0 {
		return
	}
	step, left := int32(1), false
	if area > 0 {
		step, left = -1, true
	}
	bw, cw := b[g.w]-a[g.w], c[g.w]-a[g.w]
	lowW, highW := min(a[g.w], b[g.w], c[g.w]), max(a[g.w], b[g.w], c[g.w])
	u1, u2, v1, v2 := g.box(verts, t)
	for iu := u1; iu <= u2; iu++ {
		pu := g.u0 + (float64(iu)+lineAt)*g.du
		for iv := v1; iv <= v2; iv++ {
			pv := g.v0 + (float64(iv)+lineAt)*g.dv
			if g.leftOf(verts, t[0], t[1], pu, pv) != left ||
				g.leftOf(verts, t[1], t[2], pu, pv) != left ||
				g.leftOf(verts, t[2], t[0], pu, pv) != left {
				continue
			}
			du, dv := pu-a[g.u], pv-a[g.v]
			z := a[g.w] + ((du*cv-dv*cu)*bw+(bu*dv-bv*du)*cw)/area
			f(iu*g.nv+iv, lineHit{min(max(z, lowW), highW), step})
		}
	}
}

func (g *lineGrid) leftOf(verts []point, from, to uint32, pu, pv float64) bool {
	a, b, swap := from, to, false
	if a > b {
		a, b, swap = b, a, true
	}
	p, q := &verts[a], &verts[b]
	left := (q[g.u]-p[g.u])*(pv-p[g.v])-(q[g.v]-p[g.v])*(pu-p[g.u]) >= 0
	return left != swap
}
