package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

func treeOf(t *testing.T, b meshtest.Mesh) *tree {
	t.Helper()
	m, err := Read(b.OBJ(), ChatLimits(), nil)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := newTree(m.verts, m.tris, func(int) bool { return false }, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// TestTreeAgainstAllTriangles asks the tree and then every triangle in turn.
func TestTreeAgainstAllTriangles(t *testing.T) {
	bodies := map[string]meshtest.Mesh{
		"knob": meshtest.Knob(3000), "box": meshtest.Box([3]float64{-20, -20, -5}, [3]float64{20, 20, 5}),
		"boxes": meshtest.Join(meshtest.Box([3]float64{0, 0, 0}, [3]float64{10, 10, 10}), meshtest.Box([3]float64{2, 2, 2}, [3]float64{8, 8, 8}).Turned()),
		"sheet": {Points: [][3]float64{{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {0, 10, 0}}, Faces: [][3]int{{0, 1, 2}, {0, 2, 3}, {0, 1, 1}}},
	}
	for name, b := range bodies {
		t.Run(name, func(t *testing.T) {
			tr := treeOf(t, b)
			rng := rand.New(rand.NewPCG(7, 8))
			p := prober{rng: rng}
			for range 2000 {
				x := scale(point{rng.Float64() - 0.5, rng.Float64() - 0.5, rng.Float64() - 0.5}, 100)
				wantDist := math.Inf(1)
				for i := range tr.tris {
					c := closestOn(&tr.verts[tr.tris[i][0]], &tr.verts[tr.tris[i][1]], &tr.verts[tr.tris[i][2]], &x)
					wantDist = min(wantDist, distance(c, x))
				}
				if _, got, ok := tr.nearest(x, math.Inf(1), 0); !ok || math.Abs(got-wantDist) > 1e-12*wantDist {
					t.Fatalf("nearest to %v: %g, want %g", x, got, wantDist)
				}
				if _, _, ok := tr.nearest(x, wantDist*(1-1e-9), 0); ok {
					t.Fatalf("something is nearer to %v than the nearest", x)
				}
				d := p.direction()
				wantAt := math.Inf(1)
				for i := range tr.tris {
					if s, met := tr.meet(i, x, d); met && s > 0 {
						wantAt = min(wantAt, s)
					}
				}
				if _, at, ok := tr.ray(x, d, 0, -1); ok != !math.IsInf(wantAt, 1) || ok && at != wantAt {
					t.Fatalf("ray from %v: %g %v, want %g", x, at, ok, wantAt)
				}
			}
		})
	}
}

// TestClosestOnByTrial: no point of a fine grid over the triangle is nearer.
func TestClosestOnByTrial(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	pick := func() point { return point{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()} }
	for range 300 {
		a, b, c, p := pick(), pick(), pick(), scale(pick(), 3)
		got := distance(closestOn(&a, &b, &c, &p), p)
		const n = 60
		best := math.Inf(1)
		for i := range n + 1 {
			for j := range n + 1 - i {
				q := along(along(a, sub(b, a), float64(i)/n), sub(c, a), float64(j)/n)
				best = min(best, distance(q, p))
			}
		}
		if got > best+1e-12 || best > got+0.2 {
			t.Fatalf("distance %g, by trial %g", got, best)
		}
	}
}

// TestInLineIsExact: points built on a line with exact steps, then moved by the
// last bit of one coordinate.
func TestInLineIsExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 1000 {
		a := point{float64(rng.IntN(1e6)), float64(rng.IntN(1e6)), float64(rng.IntN(1e6))}
		d := point{float64(1 + rng.IntN(1e6)), float64(rng.IntN(1e6)), float64(rng.IntN(1e6))}
		b, c := along(a, d, 3), along(a, d, 1024)
		if !inLine(&a, &b, &c) {
			t.Fatalf("%v %v %v are on one line", a, b, c)
		}
		c[1] = math.Nextafter(c[1], math.Inf(1))
		if inLine(&a, &b, &c) {
			t.Fatalf("%v %v %v are not on one line", a, b, c)
		}
	}
}
