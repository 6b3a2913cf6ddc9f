package plot

import (
	"testing"

	"pgregory.net/rapid"
)

// Triangles that share edges leave no gap and paint no sample twice.
func TestFilmCoversEachSampleOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const size = 40
		coord := rapid.Float64Range(0, size)
		m := dot3{coord.Draw(t, "x"), coord.Draw(t, "y"), 0}
		corners := []dot3{{0, 0, 0}, {size, 0, 0}, {size, size, 0}, {0, size, 0}}
		hits := make([]int, size*size)
		for i := range corners {
			f := newFilm(size, size, 1e6)
			a, b, c := m, corners[i], corners[(i+1)%4]
			f.draw(&a, &b, &c, func() uint8 { return 1 })
			for k, tone := range f.tone {
				hits[k] += int(tone)
			}
		}
		for k, n := range hits {
			if n != 1 {
				t.Fatalf("sample %d, %d is painted %d times with the middle at %v", k%size, k/size, n, m)
			}
		}
	})
}

// The nearest triangle is seen, whichever comes first, and a sample's depth is
// that of the triangle's plane.
func TestFilmKeepsTheNearest(t *testing.T) {
	tri := func(z func(x, y float64) float64) [3]dot3 {
		return [3]dot3{{0, 0, z(0, 0)}, {64, 0, z(64, 0)}, {0, 64, z(0, 64)}}
	}
	plane := func(x, y float64) float64 { return 0.5*x - 0.25*y + 3 }
	flat := func(x, y float64) float64 { return 8 }
	for _, flip := range []bool{false, true} {
		f := newFilm(64, 64, 1e6)
		list := []struct {
			t    [3]dot3
			tone uint8
		}{{tri(plane), 10}, {tri(flat), 20}}
		if flip {
			list[0], list[1] = list[1], list[0]
		}
		for _, it := range list {
			f.draw(&it.t[0], &it.t[1], &it.t[2], func() uint8 { return it.tone })
		}
		for y := range 30 {
			for x := range 30 {
				want, tone := plane(float64(x)+0.5, float64(y)+0.5), uint8(10)
				if want < 8 {
					want, tone = 8, 20
				}
				got := float64(f.near[y*64+x])
				if d := got - want; d > 1e-4 || d < -1e-4 {
					t.Fatalf("flip %t: depth at %d, %d is %g, want %g", flip, x, y, got, want)
				}
				if f.tone[y*64+x] != tone && want != 8 {
					t.Fatalf("flip %t: tone at %d, %d is %d, want %d", flip, x, y, f.tone[y*64+x], tone)
				}
			}
		}
	}
}

func TestFilmStopsAtItsLimit(t *testing.T) {
	f := newFilm(100, 100, 20_000)
	a, b, c := dot3{0, 0, 0}, dot3{100, 0, 0}, dot3{0, 100, 0}
	n := 0
	for f.draw(&a, &b, &c, func() uint8 { return 1 }) {
		if n++; n > 10 {
			t.Fatal("the limit is not kept")
		}
	}
	if n != 3 { // 100 rows and 5,000 samples each
		t.Errorf("stopped after %d triangles, want 3", n)
	}
}
