package shape_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shape"
	"pgregory.net/rapid"
)

func measure(t testing.TB, kind shape.Kind, size string) shape.Solid {
	t.Helper()
	s, err := shape.Measure(kind, sizes(t, size))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A shell round a box is slabs on its faces, quarter rounds on its edges and
// the eight corners of a ball; round a ball it is a larger ball less the ball.
func TestShellExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, w, h := rapid.Float64Range(1, 300).Draw(t, "l"), rapid.Float64Range(1, 300).Draw(t, "w"), rapid.Float64Range(1, 300).Draw(t, "h")
		d, wall := rapid.Float64Range(1, 300).Draw(t, "d"), rapid.Float64Range(0.1, 50).Draw(t, "wall")
		box, err := shape.Measure(shape.Box, []shape.Size{{MM: l}, {MM: w}, {MM: h}})
		if err != nil {
			t.Fatal(err)
		}
		want := 2*wall*(l*w+w*h+h*l) + math.Pi*wall*wall/4*4*(l+w+h) + 4*math.Pi*wall*wall*wall/3
		if got := shape.Shell(box.Area, box.Curvature, wall); !near(got, want/1000, 1e-9*want) {
			t.Fatalf("box: %v mL, want %v", got, want/1000)
		}
		ball, err := shape.Measure(shape.Sphere, []shape.Size{{MM: d}})
		if err != nil {
			t.Fatal(err)
		}
		want = math.Pi / 6 * (math.Pow(d+2*wall, 3) - d*d*d)
		if got := shape.Shell(ball.Area, ball.Curvature, wall); !near(got, want/1000, 1e-9*want) {
			t.Fatalf("ball: %v mL, want %v", got, want/1000)
		}
	})
}

func TestCoat(t *testing.T) {
	ball := measure(t, shape.Sphere, "50 mm")
	for _, c := range []struct {
		name    string
		want    shape.CoatWant
		volume  float64
		coats   int
		perCoat float64
		exact   bool
	}{
		{"area alone", shape.CoatWant{Area: 85000, Wall: 8, Coats: 4}, 680, 4, 170, false},
		{"as many coats as it takes", shape.CoatWant{Area: 85000, Wall: 8}, 680, 4, 170, false},
		{"outside of a ball", shape.CoatWant{Area: ball.Area, Curvature: ball.Curvature, Wall: 8, Coats: 4}, 85.08271, 4, 21.27068, true},
		// Inside it the shell is (50³ − 34³)·π/6.
		{"inside of a ball", shape.CoatWant{Area: ball.Area, Curvature: ball.Curvature, Inside: ball.Volume, Wall: 8, Coats: 4, Side: shape.Inner}, 44.871, 4, 11.2178, true},
		{"all of a shell, flat", shape.CoatWant{Area: ball.Area, Curvature: ball.Curvature, Wall: 8, Coats: 4, Side: shape.All}, 62.8319, 4, 15.708, false},
		{"a wall that fills it", shape.CoatWant{Area: ball.Area, Curvature: ball.Curvature, Inside: ball.Volume, Wall: 60, Coats: 30, Side: shape.Inner}, ball.Volume, 30, ball.Volume / 30, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.want.Measure()
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.Volume, c.volume, 1e-3) || got.Coats != c.coats || !near(got.PerCoat, c.perCoat, 1e-3) || got.Exact != c.exact {
				t.Errorf("got %+v, want %v mL in %d coats of %v, exact %v", got, c.volume, c.coats, c.perCoat, c.exact)
			}
			if !near(got.Each*float64(got.Coats), c.want.Wall, 1e-9) || len(got.Steps) < 2 {
				t.Errorf("%d coats of %v mm, %d steps", got.Coats, got.Each, len(got.Steps))
			}
		})
	}
}

// A ball cast hollow: the exact inside shell is never more than the solid.
func TestCoatInsideBall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, wall := rapid.Float64Range(10, 300).Draw(t, "d"), rapid.Float64Range(0.5, 4.9).Draw(t, "wall")
		s, err := shape.Measure(shape.Sphere, []shape.Size{{MM: d}})
		if err != nil {
			t.Fatal(err)
		}
		got, err := shape.CoatWant{Area: s.Area, Curvature: s.Curvature, Inside: s.Volume, Wall: wall, Side: shape.Inner}.Measure()
		if err != nil {
			t.Fatal(err)
		}
		if want := math.Pi / 6 * (d*d*d - math.Pow(d-2*wall, 3)) / 1000; !near(got.Volume, want, 1e-9*want) {
			t.Fatalf("%v mL, want %v", got.Volume, want)
		}
	})
}

func TestCoatNotes(t *testing.T) {
	for name, c := range map[string]struct {
		want  shape.CoatWant
		notes int
	}{
		"thick coats outside":   {shape.CoatWant{Area: 1e4, Wall: 8, Coats: 2}, 2},
		"thin coats outside":    {shape.CoatWant{Area: 1e4, Wall: 3, Coats: 6}, 2},
		"usual coats outside":   {shape.CoatWant{Area: 1e4, Wall: 8, Coats: 4}, 1},
		"usual coats all round": {shape.CoatWant{Area: 1e4, Wall: 8, Coats: 4, Side: shape.All}, 0},
	} {
		if got, err := c.want.Measure(); err != nil || len(got.Notes) != c.notes {
			t.Errorf("%s: %q, %v; want %d notes", name, got.Notes, err, c.notes)
		}
	}
}

func TestCoatRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		want   shape.CoatWant
		option string
	}{
		{"no area", shape.CoatWant{Wall: 8}, "area"},
		{"no number", shape.CoatWant{Area: math.NaN(), Wall: 8}, "area"},
		{"no wall", shape.CoatWant{Area: 100}, "wall"},
		{"a wall of a meter", shape.CoatWant{Area: 100, Wall: 1000}, "wall"},
		{"minus one coat", shape.CoatWant{Area: 100, Wall: 8, Coats: -1}, "coats"},
		{"a thousand coats", shape.CoatWant{Area: 100, Wall: 8, Coats: 1000}, "coats"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.want.Measure()
			wantFault(t, err, fault.OutOfRange, c.option)
		})
	}
	for text, want := range map[string]shape.Side{"": shape.Outer, "Inner": shape.Inner, " all ": shape.All} {
		if got, err := shape.ParseSide(text); err != nil || got != want {
			t.Errorf("ParseSide(%q) = %q, %v", text, got, err)
		}
	}
	_, err := shape.ParseSide("upper")
	wantFault(t, err, fault.NotFound, "side")
}

func TestCoatsFor(t *testing.T) {
	for _, c := range []struct {
		wall, coat float64
		want       int
	}{{8, 2, 4}, {8, 2.5, 4}, {7.5, 2.5, 3}, {0.3, 0.1, 3}, {1, 2.5, 1}} {
		if got := shape.CoatsFor(c.wall, c.coat); got != c.want {
			t.Errorf("CoatsFor(%v, %v) = %d, want %d", c.wall, c.coat, got, c.want)
		}
	}
}

func TestBlock(t *testing.T) {
	ball := measure(t, shape.Sphere, "50 mm")
	got, err := shape.BlockWant{Box: [3]float64{70, 70, 70}, Master: ball.Volume, Size: ball.Box}.Measure()
	if err != nil || !near(got.Rubber, 277.55, 0.01) || !near(got.Wall, 10, 1e-9) || len(got.Notes) != 0 {
		t.Errorf("%+v, %v", got, err)
	}
	// The master is laid the way it fits.
	got, err = shape.BlockWant{Box: [3]float64{40, 120, 60}, Master: 30, Size: [3]float64{100, 20, 40}}.Measure()
	if err != nil || got.Wall != 10 {
		t.Errorf("turned: %+v, %v", got, err)
	}
	got, err = shape.BlockWant{Box: [3]float64{56, 56, 56}, Master: ball.Volume, Size: ball.Box}.Measure()
	if err != nil || !near(got.Wall, 3, 1e-9) || len(got.Notes) != 1 {
		t.Errorf("thin walls: %+v, %v", got, err)
	}
	got, err = shape.BlockWant{Box: [3]float64{70, 70, 70}, Master: 65}.Measure()
	if err != nil || got.Wall >= 0 {
		t.Errorf("a master of unknown size: %+v, %v", got, err)
	}
	if b := shape.BoxRound([3]float64{60, 40, 25}, 12, 12, 10); b != [3]float64{84, 64, 47} {
		t.Errorf("box round a master: %v", b)
	}
}

func TestBlockRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		want   shape.BlockWant
		option string
	}{
		{"no box", shape.BlockWant{Master: 65}, "box"},
		{"no number", shape.BlockWant{Box: [3]float64{math.NaN(), 70, 70}, Master: 65}, "box"},
		{"no master", shape.BlockWant{Box: [3]float64{70, 70, 70}}, "master"},
		{"a master as large as the box", shape.BlockWant{Box: [3]float64{70, 70, 70}, Master: 343}, "box"},
		{"a master longer than the box", shape.BlockWant{Box: [3]float64{70, 70, 70}, Master: 65, Size: [3]float64{80, 10, 10}}, "box"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.want.Measure()
			wantFault(t, err, fault.OutOfRange, c.option)
		})
	}
}
