package mesh_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

func cube(at, side float64) meshtest.Mesh {
	return meshtest.Box([3]float64{at, at, at}, [3]float64{at + side, at + side, at + side})
}

// mobius is a band of n quads with a half twist.
func mobius(n int) meshtest.Mesh {
	var m meshtest.Mesh
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		for _, w := range []float64{-5, 5} {
			d := 30 + w*math.Cos(a/2)
			m.Points = append(m.Points, [3]float64{d * math.Cos(a), d * math.Sin(a), w * math.Sin(a/2)})
		}
	}
	for i := range n {
		a, b, c, d := 2*i, 2*i+1, 2*i+2, 2*i+3
		if i == n-1 {
			c, d = 1, 0 // the half twist
		}
		m.Faces = append(m.Faces, [3]int{a, b, d}, [3]int{a, d, c})
	}
	return m
}

func tube(n int) meshtest.Mesh { // a prism without its two ends
	p := meshtest.Prism(n, 10, 40)
	p.Faces = slices.DeleteFunc(p.Faces, func(f [3]int) bool { return f[0] < 2 })
	return p
}

func TestFindings(t *testing.T) {
	bar := meshtest.Box([3]float64{-50, -5, -5}, [3]float64{50, 5, 5})
	cross := meshtest.Join(bar, bar.Map(func(p [3]float64) [3]float64 { return [3]float64{p[1], p[0], p[2]} }).Turned())
	// 100·100·10·2 less the square both bars share
	const crossSum, crossUnion = 2 * 100 * 10 * 10, 2*100*10*10 - 1000
	tests := []struct {
		name      string
		body      meshtest.Mesh
		kind      mesh.Kind
		volume    float64
		low, high float64 // 0: not checked
		rel       float64
		say       string
	}{
		{"box", cube(0, 10), mesh.Solid, 1000, 1000, 1000, 1e-12, ""},
		{"bars that cross without a corner inside", cross, mesh.About, crossSum, crossUnion, crossSum, 2e-3, "run into each other"},
		{"boxes that overlap by an eighth", meshtest.Join(cube(0, 10), cube(5, 10)), mesh.About, 2000, 1875, 2000, 2e-3, "run into each other"},
		{"boxes that share a face", meshtest.Join(cube(0, 10), meshtest.Box([3]float64{10, 0, 0}, [3]float64{20, 10, 10})), mesh.Solid, 2000, 2000, 2000, 1e-12, "three or more faces"},
		{"hollow", meshtest.Join(cube(0, 10), cube(2, 6).Turned()), mesh.Solid, 1000 - 216, 784, 784, 1e-12, "sealed hollow of 0.216 mL"},
		{"hollow, all inside out", meshtest.Join(cube(0, 10), cube(2, 6).Turned()).Turned(), mesh.Solid, 784, 784, 784, 1e-12, "All faces pointed inward"},
		{"same way", meshtest.Join(cube(0, 10), cube(2, 6)), mesh.Solid, 1000, 1000, 1000, 1e-12, "solid or hollow: 1 mL if solid, 0.784 mL if hollow"},
		{"tube open at both ends", tube(48), mesh.About, 48.0 / 2 * 100 * math.Sin(2*math.Pi/48) * 40, 0, 0, 1e-9, "2 holes, the largest about"},
		{"one-sided band", mobius(60), mesh.Loose, 0, 0, 0, 0, "loose faces"},
		{"sheet", meshtest.Mesh{Points: [][3]float64{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}}, Faces: [][3]int{{0, 1, 2}}}, mesh.Loose, 0, 0, 0, 0, "loose faces"},
		{"sheet, both sides", meshtest.Mesh{Points: [][3]float64{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}}, Faces: [][3]int{{0, 1, 2}, {0, 2, 1}}}, mesh.Loose, 0, 0, 0, 0, "loose faces"},
		{"one point three times", meshtest.Mesh{Points: [][3]float64{{1, 1, 1}}, Faces: [][3]int{{0, 0, 0}}}, mesh.Loose, 0, 0, 0, 0, "loose faces"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, r := measure(t, tt.body.OBJ())
			if r.Kind != tt.kind || !near(r.Volume, tt.volume, tt.rel, 0) {
				t.Errorf("%s, volume %.12g, want %s %.12g", r.Kind, r.Volume, tt.kind, tt.volume)
			}
			if tt.high > 0 && (!near(r.Low, tt.low, tt.rel, 0) || !near(r.High, tt.high, tt.rel, 0)) {
				t.Errorf("range %g to %g, want %g to %g", r.Low, r.High, tt.low, tt.high)
			}
			if all := strings.Join(r.Findings, " "); !strings.Contains(all, tt.say) {
				t.Errorf("findings %q do not say %q", all, tt.say)
			}
			if tt.say == "" && len(r.Findings) > 0 {
				t.Errorf("findings %q, want none", r.Findings)
			}
		})
	}
}

func TestPointsAHairApartAreJoined(t *testing.T) {
	for name, tt := range map[string]struct {
		off    float64 // of the diagonal
		joined bool
	}{"half the tolerance": {0.5e-6, true}, "four times the tolerance": {4e-6, false}} {
		t.Run(name, func(t *testing.T) {
			b := meshtest.Torus(30, 8, 24, 12)
			// give every face its own corners, each moved by up to off
			rng := rand.New(rand.NewPCG(1, 1))
			diag := 2 * math.Hypot(math.Hypot(38, 38), 8)
			var loose meshtest.Mesh
			for _, f := range b.Faces {
				n := len(loose.Points)
				for _, v := range f {
					p := b.Points[v]
					p[rng.IntN(3)] += (rng.Float64() - 0.5) * tt.off * diag
					loose.Points = append(loose.Points, p)
				}
				loose.Faces = append(loose.Faces, [3]int{n, n + 1, n + 2})
			}
			_, r := measure(t, loose.OBJ())
			if r.Stored.OpenEdges != 3*len(b.Faces) {
				t.Errorf("%d open edges as stored", r.Stored.OpenEdges)
			}
			if closed := r.Topology.OpenEdges == 0; closed != tt.joined {
				t.Errorf("%d open edges after joining %d points", r.Topology.OpenEdges, r.Joined)
			}
		})
	}
}

// TestTooManyShells: 5,001 cubes along a diagonal, each 0.001 further. What each
// adds to the one before is 1 − 0.999³.
func TestTooManyShells(t *testing.T) {
	var list []meshtest.Mesh
	for i := range 5001 {
		list = append(list, cube(float64(i)*0.001, 1))
	}
	_, r := measure(t, meshtest.Join(list...).OBJ())
	want := 1 + 5000*(1-0.999*0.999*0.999)
	if r.Nested || r.Kind != mesh.About || !near(r.Volume, want, 0.1, 0) {
		t.Errorf("%s, nested %v, volume %g, want about %g", r.Kind, r.Nested, r.Volume, want)
	}
}

// TestScaledReport: a report read in another unit is the report of the mesh in
// that unit.
func TestScaledReport(t *testing.T) {
	body := meshtest.Join(cube(0, 10), cube(2, 6).Turned())
	m, r := measure(t, body.OBJ())
	if err := m.Scale(25.4); err != nil {
		t.Fatal(err)
	}
	want, err := m.Measure(nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	got := r.Scaled(25.4)
	if !near(got.Volume, want.Volume, 1e-12, 0) || !near(got.Outer, want.Outer, 1e-12, 0) || !near(got.Area, want.Area, 1e-12, 0) ||
		!slices.Equal(got.Findings, want.Findings) {
		t.Errorf("scaled: %g %g %q, want %g %g %q", got.Volume, got.Area, got.Findings, want.Volume, want.Area, want.Findings)
	}
}

// TestCoat holds the layer against bodies whose parallel body has a closed form.
func TestCoat(t *testing.T) {
	box := func(a, b, c, w float64) float64 { // Steiner 1840; each face, edge and corner
		return 2*(a*b+b*c+c*a)*w + math.Pi*(a+b+c)*w*w + 4*math.Pi/3*w*w*w
	}
	tests := []struct {
		name  string
		body  meshtest.Mesh
		wall  float64
		want  float64
		rel   float64
		exact bool
	}{
		{"box", meshtest.Box([3]float64{1, 2, 3}, [3]float64{11, 22, 33}), 2, box(10, 20, 30, 2), 1e-12, true},
		{"sphere", meshtest.Icosphere([3]float64{}, 25, 6), 8, 4 * math.Pi / 3 * (33*33*33 - 25*25*25), 5e-4, true},
		{"cylinder", meshtest.Prism(720, 10, 40), 3, 2*math.Pi*10*(40+10)*3 + math.Pi*(40+math.Pi*10)*9 + 4*math.Pi/3*27, 1e-4, true},
		{"torus, thin wall", meshtest.Torus(30, 8, 400, 200), 2, 2 * math.Pi * math.Pi * 30 * (10*10 - 8*8), 5e-4, false},
		{"hollow box counts its outside", meshtest.Join(cube(0, 10), cube(2, 6).Turned()), 1, box(10, 10, 10, 1), 1e-12, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, r := measure(t, tt.body.OBJ())
			o, err := r.Outside(nil)
			got := o.Coat(tt.wall)
			if err != nil || !near(got, tt.want, tt.rel, 0) || o.Convex != tt.exact {
				t.Errorf("coat = %.9g exact %v (%v), want %.9g exact %v", got, o.Convex, err, tt.want, tt.exact)
			}
			if twice := o.Scaled(2).Coat(2 * tt.wall); !near(twice, 8*got, 1e-12, 0) {
				t.Errorf("a coat twice as large = %.9g, want %.9g", twice, 8*got)
			}
		})
	}
}

func TestBelow(t *testing.T) {
	sphere := meshtest.Icosphere([3]float64{0, 0, 0}, 10, 5)
	hollow := meshtest.Join(cube(0, 10), cube(2, 6).Turned())
	open := cube(0, 10)
	open.Faces = open.Faces[2:] // without its floor: a lid closes it
	tests := []struct {
		name string
		body meshtest.Mesh
		axis int
		at   float64
		want float64
		rel  float64
	}{
		{"sphere, half", sphere, 2, 0, 2 * math.Pi / 3 * 1000, 1e-3},
		{"sphere, cap of 4", sphere, 0, -6, math.Pi * 16 * (30 - 4) / 3, 3e-3}, // πh²(3R−h)/3
		{"box along y", cube(0, 10), 1, 2.5, 250, 1e-12},
		{"box, at its floor", cube(0, 10), 2, 0, 0, 0},
		{"box, over its top", cube(0, 10), 2, 11, 1000, 1e-12},
		{"hollow stays filled", hollow, 2, 5, 500, 1e-12},
		{"open, closed flat", open, 2, 5, 500, 1e-12},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, r := measure(t, tt.body.OBJ())
			if got, err := r.Below(tt.axis, tt.at); err != nil || !near(got, tt.want, tt.rel, 1e-9) {
				t.Errorf("below = %.9g (%v), want %.9g", got, err, tt.want)
			}
		})
	}
}

func TestLooseFacesAreRefusedWhereASolidIsNeeded(t *testing.T) {
	_, r := measure(t, meshtest.Mesh{Points: [][3]float64{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}}, Faces: [][3]int{{0, 1, 2}}}.OBJ())
	rng := rand.New(rand.NewPCG(1, 1))
	for name, call := range map[string]func() error{
		"thickness": func() error { _, err := r.Thickness(rng, nil); return err },
		"pull":      func() error { _, _, err := r.PullAxes(rng, nil); return err },
		"box":       func() error { _, err := r.MoldBox(1, 1, 1); return err },
		"below":     func() error { _, err := r.Below(2, 1); return err },
		"coat":      func() error { _, err := r.Outside(nil); return err },
	} {
		if err := call(); !fault.Is(err, fault.NotWatertight) {
			t.Errorf("%s: %v, want not_watertight", name, err)
		}
	}
}

func TestThicknessOfKnownBodies(t *testing.T) {
	open := meshtest.Icosphere([3]float64{}, 20, 4)
	open.Faces = open.Faces[3:]
	tests := []struct {
		name               string
		body               meshtest.Mesh
		thickest, thinnest float64
		rel                float64
	}{
		{"plate", meshtest.Box([3]float64{0, 0, 0}, [3]float64{100, 60, 3}), 3, 3, 0.005},
		{"rod", meshtest.Prism(96, 6, 80), 12, 12, 0.005},
		{"hollow ball", meshtest.Join(meshtest.Icosphere([3]float64{}, 20, 4), meshtest.Icosphere([3]float64{}, 17, 4).Turned()), 3, 3, 0.03},
		{"ball with a hole", open, 40, 40, 0.01},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, r := measure(t, tt.body.OBJ())
			got, err := r.Thickness(rand.New(rand.NewPCG(9, 9)), nil)
			if err != nil || !near(got.Thickest, tt.thickest, tt.rel, 0) || !near(got.Thinnest, tt.thinnest, tt.rel, 0) {
				t.Errorf("%+v (%v), want %g and %g", got, err, tt.thickest, tt.thinnest)
			}
			again, _ := r.Thickness(rand.New(rand.NewPCG(9, 9)), nil)
			if got != again {
				t.Errorf("one seed, two answers: %+v and %+v", got, again)
			}
		})
	}
}

// Where one piece is set a hair into another their faces are doubled: no wall
// is that thin.
func TestTouchingPiecesAreNoThinWall(t *testing.T) {
	m := meshtest.Join(meshtest.Box([3]float64{}, [3]float64{40, 40, 20}), meshtest.Box([3]float64{0, 0, 19.9999999}, [3]float64{40, 40, 30}))
	_, r := measure(t, m.OBJ())
	got, err := r.Thickness(rand.New(rand.NewPCG(9, 9)), nil)
	if err != nil || got.Thinnest < 9.9 {
		t.Errorf("two blocks of 20 and 10 mm, one a hair into the other, have a wall of %v mm: %v", got.Thinnest, err)
	}
}

func TestStopEndsTheWork(t *testing.T) {
	done := make(chan struct{})
	close(done)
	data := meshtest.Knob(20_000)
	for name, file := range map[string][]byte{"STL": data.STL(""), "text STL": data.STLText(), "3MF": data.ThreeMF("inch"), "PLY": data.PLYText()} {
		if _, err := mesh.Read(file, mesh.ChatLimits(), done); err != mesh.ErrStopped && name != "text STL" {
			t.Errorf("%s: Read = %v, want ErrStopped", name, err)
		}
	}
	m, err := mesh.Read(data.STL(""), mesh.ChatLimits(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := m.Measure(done, 2); err != mesh.ErrStopped {
		t.Errorf("Measure = %v, want ErrStopped", err)
	}
	r, err := m.Measure(nil, 2)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Thickness(rand.New(rand.NewPCG(1, 1)), done); err != mesh.ErrStopped {
		t.Errorf("Thickness = %v, want ErrStopped", err)
	}
}

func TestScaleRefuses(t *testing.T) {
	m, _ := measure(t, cube(0, 10).OBJ())
	for _, k := range []float64{0, -1, math.NaN(), math.Inf(1), 1e7} {
		if err := m.Scale(k); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("Scale(%g) = %v", k, err)
		}
	}
}
