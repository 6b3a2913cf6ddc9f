package mesh

import (
	"math"
	"math/rand/v2"

	"github.com/pourwright/pourwright/internal/fault"
)

// Pull is how a rigid mold in two halves would come off along one axis.
type Pull struct {
	Axis int // 0 x, 1 y, 2 z
	// Upright1 and Upright3 are the shares of the surface within 1° and 3° of
	// the axis: walls without draft.
	Upright1, Upright3 float64
	// Caught is the share of the surface that a straight pull cannot release: it
	// faces one way and something stands in that way. Rubber forgives a little.
	Caught float64
}

const (
	pullPoints = 20_000
	// level is the least slope along the axis that counts as facing either way.
	// The float32 corners of small facets tilt upright walls by up to as much.
	level = 1e-5
)

// PullAxes judges the three axes and names the best: least caught, then least
// upright within 1°. The shares are good to about 0.005, from the number of
// points; rng spreads them. A mesh without a volume is refused with
// not_watertight.
func (r *Report) PullAxes(rng *rand.Rand, done <-chan struct{}) (axes [3]Pull, best int, err error) {
	if r.Kind == Loose {
		return axes, 0, fault.New(fault.NotWatertight, "the mesh is no solid, so it has no pull direction").
			Hint("close the part in the program that made it, then export it again")
	}
	t, err := newTree(r.mesh.verts, r.tris, r.out, done)
	if err != nil {
		return axes, 0, err
	}
	points := t.surfacePoints(pullPoints, rng)
	for k := range axes {
		axes[k] = t.upright(k)
		if axes[k].Caught, err = t.caught(k, points, length(r.Size), done); err != nil {
			return axes, 0, err
		}
	}
	for k := 1; k < 3; k++ {
		a, b := axes[k], axes[best]
		if a.Caught < b.Caught || a.Caught == b.Caught && a.Upright1 < b.Upright1 {
			best = k
		}
	}
	return axes, best, nil
}

// caught is the share of the points that face one way along axis k and cannot
// see out that way.
func (t *tree) caught(k int, points []surfacePoint, diag float64, done <-chan struct{}) (float64, error) {
	// Lines start a hair off the surface, or they would graze along the walls
	// that stand upright but for rounding.
	lift := 1e-6 * diag
	n := 0
	for i, s := range points {
		if i%1024 == 0 && stopped(done) {
			return 0, ErrStopped
		}
		if math.Abs(s.n[k]) <= level {
			continue
		}
		var d point
		d[k] = math.Copysign(1, s.n[k])
		if _, _, hit := t.ray(along(s.p, s.n, lift), d, 0, s.tri); hit {
			n++
		}
	}
	return float64(n) / float64(max(len(points), 1)), nil
}

// upright sums the area of walls along axis k.
func (t *tree) upright(k int) Pull {
	sin1, sin3 := math.Sin(math.Pi/180), math.Sin(3*math.Pi/180)
	var all, one, three neumaier
	for i := range t.tris {
		v := t.vector(i)
		a := length(v)
		all.add(a)
		if slope := math.Abs(v[k]); slope < sin3*a {
			three.add(a)
			if slope < sin1*a {
				one.add(a)
			}
		}
	}
	return Pull{Axis: k, Upright1: one.value() / all.value(), Upright3: three.value() / all.value()}
}
