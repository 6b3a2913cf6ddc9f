package mesh

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
)

// Thick is how thick a part is, in the unit of the mesh.
type Thick struct {
	// Thickest is the diameter of the largest sphere inside that was found. It
	// is proven from below: the surface is nowhere nearer to Center than half of
	// it. From above it rests on trials: on all parts tried the true value is
	// less than 0.5 % higher (ThickestBand).
	Thickest float64
	Center   [3]float64
	// Thinnest is the wall that all but one percent of the walls exceed, and
	// Median the middle one. Walls are measured straight through, from points
	// spread evenly over the surface, where the far side faces back within 45°.
	// Zero when the part has no such walls.
	Thinnest, Median float64
	// ThinnestSpread is how far two halves of the points disagree on Thinnest.
	ThinnestSpread float64
	// Walls is the share of the surface that has a facing wall, 0 to 1.
	Walls float64
}

// ThickestBand is the share by which Thickest may be too low.
const ThickestBand = 0.005

// Budgets of Thickness.
const (
	thickPoints = 120_000
	shrinkFirst = 1_000     // chords that are shrunk to find places to climb from
	firstWork   = 2_000_000 // triangles looked at for that
	shrinkWork  = 5_000_000 // and while shrinking altogether
	climbWork   = 5_000_000 // and while climbing
	// climbGain is the share by which a step must enlarge the ball. Less is not
	// worth its proof where, as in a sphere, all of the surface is equally near.
	climbGain   = 1e-4
	climbStarts = 20
	climbTries  = 40
	thinShare   = 0.01
	// nothing, as a share of the part's diagonal, is what no wall is as thin as:
	// faces that lie on one another there are doubled, not a wall. Judgement,
	// no source.
	nothing = 1e-4
	// facing is cos 135°: the far side must oppose within 45°.
	facing = -math.Sqrt2 / 2
)

// Thickness finds the thickest and the thinnest section. rng spreads the points;
// one seed gives one answer. Holes count as closed by flat lids. A mesh without
// a volume, or whose inside cannot be told from its outside, is refused with
// not_watertight. Half a million triangles take about a second on one core.
//
// Method: largest inscribed sphere by shrinking balls from the longest chords
// (as in J. Ma, S. W. Bae, S. Choi, 3D medial axis point approximation using
// nearest neighbors and the normal field, 2012, doi:10.1007/s00371-011-0594-7,
// from memory), then by climbing; thin walls by rays. The share of one percent
// keeps single slivers, which every real file has, from being taken for walls:
// common practice, no source.
func (r *Report) Thickness(rng *rand.Rand, done <-chan struct{}) (Thick, error) {
	if r.Kind == Loose || !r.Orientable {
		return Thick{}, fault.New(fault.NotWatertight, "the mesh has no inside, so its thickness cannot be measured").
			Hint("give the thickest section by hand, such as thickness 12 mm")
	}
	verts, tris, out := r.lidded()
	t, err := newTree(verts, tris, out, done)
	if err != nil {
		return Thick{}, err
	}
	p := &prober{tree: t, rng: rng, done: done, diag: length(r.Size)}
	chords, err := p.chords(t.surfacePoints(thickPoints, rng))
	if err != nil {
		return Thick{}, err
	}
	var found Thick
	p.walls(chords, &found)
	if err := p.thickest(chords, &found); err != nil {
		return Thick{}, err
	}
	if found.Thickest == 0 || windingAll(t, found.Center) < 0.5 {
		return Thick{}, fault.New(fault.NotWatertight, "the inside of the mesh cannot be told from its outside, so its thickness cannot be measured").
			Hint("give the thickest section by hand, such as thickness 12 mm")
	}
	return found, nil
}

// lidded gives the surface with fans over its holes.
func (r *Report) lidded() (verts []point, tris []triangle, out func(int) bool) {
	if len(r.Holes) == 0 {
		return r.mesh.verts, r.tris, r.out
	}
	n := len(r.tris)
	verts, tris = slices.Clone(r.mesh.verts), slices.Clone(r.tris)
	tips := len(verts)
	for _, h := range r.Holes {
		verts = append(verts, h.Center)
	}
	for _, e := range r.rims {
		tris = append(tris, triangle{e.to, e.from, uint32(tips + e.hole)})
	}
	return verts, tris, func(i int) bool { return i < n && r.out(i) }
}

func windingAll(t *tree, p point) float64 {
	var sum neumaier
	for i := range t.tris {
		sum.add(solidAngle(t.verts, &t.tris[i], p))
	}
	return sum.value() / (4 * math.Pi)
}

// surfacePoint is a point of triangle tri with its outward normal.
type surfacePoint struct {
	p, n point
	tri  int
}

// surfacePoints spreads n points over the surface, one in each n-th of its area.
// Within a triangle they follow the R2 sequence from a random start, which fills
// it more evenly than chance (M. Roberts, The unreasonable effectiveness of
// quasirandom sequences, 2018, from memory).
func (t *tree) surfacePoints(n int, rng *rand.Rand) []surfacePoint {
	total := 0.0
	areas := make([]float64, len(t.tris))
	for i := range t.tris {
		areas[i] = length(t.vector(i))
		total += areas[i]
	}
	out := make([]surfacePoint, 0, n)
	sum, i := 0.0, 0
	u, v := rng.Float64(), rng.Float64()
	for k := range n {
		at := (float64(k) + rng.Float64()) / float64(n) * total
		u, v = fraction(u+r2[0]), fraction(v+r2[1])
		for i < len(areas)-1 && sum+areas[i] < at {
			sum += areas[i]
			i++
		}
		if areas[i] == 0 {
			continue
		}
		x, y := u, v
		if x+y > 1 {
			x, y = 1-x, 1-y
		}
		tri := &t.tris[i]
		a := t.verts[tri[0]]
		p := along(along(a, sub(t.verts[tri[1]], a), x), sub(t.verts[tri[2]], a), y)
		out = append(out, surfacePoint{p, scale(t.vector(i), 1/areas[i]), i})
	}
	return out
}

// r2 are the steps of the R2 sequence: 1/g and 1/g² with g³ = g + 1.
var r2 = [2]float64{0.7548776662466927, 0.5698402909980532}

func fraction(x float64) float64 { return x - math.Floor(x) }

// vector is twice the area vector of triangle i.
func (t *tree) vector(i int) point {
	tri := &t.tris[i]
	a := t.verts[tri[0]]
	return cross(sub(t.verts[tri[1]], a), sub(t.verts[tri[2]], a))
}

// chord is a line straight through the part from a surface point.
type chord struct {
	surfacePoint
	len  float64
	wall bool // the far side faces back
}

type prober struct {
	tree *tree
	rng  *rand.Rand
	done <-chan struct{}
	diag float64
}

func (p *prober) chords(points []surfacePoint) ([]chord, error) {
	out := make([]chord, 0, len(points))
	for i, s := range points {
		if i%1024 == 0 && stopped(p.done) {
			return nil, ErrStopped
		}
		hit, at, ok := p.tree.ray(s.p, scale(s.n, -1), 0, s.tri)
		if !ok {
			continue
		}
		far := p.tree.vector(hit)
		out = append(out, chord{s, at, dot(far, s.n) <= facing*length(far)})
	}
	return out, nil
}

// walls takes the quantiles of the chords that end at a facing wall.
func (p *prober) walls(chords []chord, out *Thick) {
	var all, odd, even []float64
	for i, c := range chords {
		if !c.wall || c.len < nothing*p.diag {
			continue
		}
		all = append(all, c.len)
		if i%2 == 0 {
			even = append(even, c.len)
		} else {
			odd = append(odd, c.len)
		}
	}
	if len(all) < 100 {
		return
	}
	out.Walls = float64(len(all)) / float64(len(chords))
	out.Thinnest, out.Median = quantile(all, thinShare), quantile(all, 0.5)
	out.ThinnestSpread = math.Abs(quantile(odd, thinShare) - quantile(even, thinShare))
}

// quantile sorts x, which must not be empty.
func quantile(x []float64, share float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	return x[min(int(share*float64(len(x))), len(x)-1)]
}

type ball struct {
	center point
	r      float64
}

// thickest shrinks balls along chords, then climbs from the best.
//
// The first chords, spread over the whole surface, give places to climb from.
// Each of the rest is asked one quick question: does a ball a little larger than
// the best fit there? Hardly any does, so few are shrunk.
func (p *prober) thickest(chords []chord, out *Thick) error {
	p.rng.Shuffle(len(chords), func(i, j int) { chords[i], chords[j] = chords[j], chords[i] })
	var balls []ball
	best := 0.0
	for i, c := range chords {
		if i%256 == 0 && stopped(p.done) {
			return ErrStopped
		}
		if c.len/2 <= best || p.tree.work > shrinkWork {
			continue
		}
		least := 0.7 * best
		if i >= shrinkFirst || p.tree.work > firstWork {
			least = best
			if _, _, met := p.tree.nearest(along(c.p, c.n, -1.001*best), best, best); met {
				continue
			}
		}
		if b, ok := p.shrink(c, least); ok {
			balls = append(balls, b)
			best = max(best, b.r)
		}
	}
	slices.SortStableFunc(balls, func(a, b ball) int { return cmp.Compare(b.r, a.r) })
	top := ball{}
	p.tree.work = 0
	for _, b := range spread(balls, climbStarts) {
		if stopped(p.done) {
			return ErrStopped
		}
		if b = p.climb(b, top.r); b.r > top.r {
			top = b
		}
	}
	out.Center, out.Thickest = top.center, 2*top.r
	return nil
}

// shrink fits the ball that touches the surface at the start of the chord until
// nothing sticks into it. It gives up once the radius is not above least.
func (p *prober) shrink(c chord, least float64) (ball, bool) {
	r := c.len / 2
	for range 40 {
		x := along(c.p, c.n, -r)
		q, d, ok := p.tree.nearest(x, r*(1-1e-9), 0)
		if !ok {
			return ball{x, r}, true
		}
		pq := sub(c.p, q)
		h := 2 * dot(c.n, pq)
		if h <= 0 {
			return ball{}, false
		}
		next := dot(pq, pq) / h
		if !(next < r) {
			return ball{x, d}, d > least
		}
		if r = next; r <= least {
			return ball{}, false
		}
	}
	return ball{}, false
}

// spread picks up to n balls, best first, that do not sit in one place.
func spread(balls []ball, n int) []ball {
	var out []ball
	for _, b := range balls {
		if len(out) == n {
			break
		}
		if !slices.ContainsFunc(out, func(o ball) bool { return distance(o.center, b.center) < 0.25*o.r }) {
			out = append(out, b)
		}
	}
	return out
}

// climb moves the center of a ball to where the surface is farther away: first
// straight away from the nearest point, then in random directions; longer steps
// after a success, shorter ones after many failures. Steps stay within the ball,
// so the center never leaves the part. It gives up when the steps left cannot
// beat the goal, and when the work is used up.
func (p *prober) climb(b ball, goal float64) ball {
	var q point
	q, b.r, _ = p.tree.nearest(b.center, math.Inf(1), 0)
	step := 0.3 * b.r
	for fails := 0; step > climbGain*b.r && p.tree.work < climbWork; {
		d := scale(sub(b.center, q), 1/b.r)
		if fails%4 != 0 {
			d = p.direction()
		}
		x, least := along(b.center, d, step), b.r*(1+climbGain)
		at, r, ok := p.tree.nearest(x, b.r+step*1.0001, least)
		if ok && r < least {
			if fails++; fails%climbTries == 0 || fails == 1 {
				step *= 0.75
			}
			if b.r+20*step < goal {
				break
			}
			continue
		}
		b, q = ball{x, r}, at
		step = min(step*1.1, 0.5*b.r)
		fails = 0
	}
	return b
}

// direction is uniform on the sphere.
func (p *prober) direction() point {
	z := 2*p.rng.Float64() - 1
	a := 2 * math.Pi * p.rng.Float64()
	s := math.Sqrt(1 - z*z)
	return point{s * math.Cos(a), s * math.Sin(a), z}
}
