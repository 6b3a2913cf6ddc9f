package shape

import (
	"math"
	"testing"
)

// Published: an ellipse of half widths 1 and ½ is 4.84422411027384 long (from
// memory). A flat one is twice its width there and back.
func TestEllipsePerimeter(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{
		{1, 0.5, 4.84422411027384},
		{0.5, 1, 4.84422411027384},
		{3, 3, 6 * math.Pi},
		{1, 1e-9, 4},
	} {
		if got := ellipsePerimeter(c.a, c.b); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("ellipse %v, %v: %v, want %v", c.a, c.b, got, c.want)
		}
	}
}

// Spheroids have a closed area (mensuration tables, from memory): with e² =
// 1 − c²/a², oblate 2πa²(1 + (1−e²)/e·artanh e), prolate 2πa²(1 + c/(a·e)·asin e)
// with a the two equal half widths.
func TestEllipsoidArea(t *testing.T) {
	for _, c := range []struct{ ratio, tolerance float64 }{
		{1.001, 1e-12}, {1.5, 1e-12}, {5, 1e-11}, {20, 1e-9}, {100, 1e-4}, {1000, 1e-3},
	} {
		flat := 1 / c.ratio
		e := math.Sqrt(1 - flat*flat)
		oblate := 2 * math.Pi * (1 + flat*flat/e*math.Atanh(e))
		long := c.ratio
		e = math.Sqrt(1 - 1/(long*long))
		prolate := 2 * math.Pi * (1 + long/e*math.Asin(e))
		for _, g := range []struct {
			name      string
			got, want float64
		}{
			{"oblate", ellipsoidArea(1, 1, flat), oblate}, {"oblate on edge", ellipsoidArea(flat, 1, 1), oblate}, {"oblate across", ellipsoidArea(1, flat, 1), oblate},
			{"prolate", ellipsoidArea(1, 1, long), prolate}, {"prolate lying", ellipsoidArea(long, 1, 1), prolate}, {"prolate across", ellipsoidArea(1, long, 1), prolate},
		} {
			if math.Abs(g.got/g.want-1) > c.tolerance {
				t.Errorf("%s %v:1: %v, want %v (off by %.1e)", g.name, c.ratio, g.got, g.want, g.got/g.want-1)
			}
		}
	}
}

// The points integrate polynomials up to degree 2n−1 exactly.
func TestLegendre(t *testing.T) {
	for _, n := range []int{1, 2, 5, 64} {
		x, w := legendre(n)
		for p := 0; p < 2*n; p += 2 {
			var sum float64
			for i := range x {
				sum += w[i] * math.Pow(x[i], float64(p))
			}
			if want := 2 / float64(p+1); math.Abs(sum-want) > 1e-12 {
				t.Errorf("%d points, power %d: %v, want %v", n, p, sum, want)
			}
		}
	}
}

func BenchmarkEllipsoidArea(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		ellipsoidArea(3, 2, 1)
	}
}
