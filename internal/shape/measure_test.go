package shape_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shape"
	"pgregory.net/rapid"
)

// sizes reads a size text as a member types it.
func sizes(t testing.TB, text string) []shape.Size {
	t.Helper()
	named, _, err := quantity.ParseSize(text, quantity.Want{Option: "size", Dims: []quantity.Dim{quantity.Length}})
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	out := make([]shape.Size, len(named))
	for i, n := range named {
		out[i] = shape.Size{Name: n.Name, MM: n.Value}
	}
	return out
}

// segmentProfile is a sphere of radius r cut at height h above its bottom.
func segmentProfile(n int, r, h float64) [][2]float64 {
	// The flat face lies below, the pole above.
	out := [][2]float64{{0, 0}}
	from := math.Asin(1 - h/r)
	for _, p := range arc(r, r, from, math.Pi/2, n) {
		out = append(out, [2]float64{p[0], p[1] - r*math.Sin(from)})
	}
	return out
}

// segmentFace is what lies in a circle of radius r up to level h.
func segmentFace(n int, r, h float64) [][2]float64 {
	half := math.Acos(1 - h/r)
	return arc(r, r, -math.Pi/2-half, -math.Pi/2+half, n)
}

func rectangle(l, w float64) [][2]float64 { return [][2]float64{{0, 0}, {l, 0}, {l, w}, {0, w}} }

var solids = []struct {
	name   string
	kind   shape.Kind
	size   string
	as     func(n int) surface // n steps round a circle
	convex bool
}{
	{"box", shape.Box, "10 x 20 x 5 cm", func(n int) surface { return prism(rectangle(100, 200), 50) }, true},
	{"cube", shape.Box, "20 mm", func(n int) surface { return prism(rectangle(20, 20), 20) }, true},
	{"slab with names", shape.Box, "h 4 mm l 100 mm w 60 mm", func(n int) surface { return prism(rectangle(100, 60), 4) }, true},
	{"slab in words", shape.Box, "100 mm long x 60 mm wide x 4 mm thick", func(n int) surface { return prism(rectangle(100, 60), 4) }, true},
	{"cylinder in words", shape.Cylinder, "30 mm wide x 12 mm high", func(n int) surface { return prism(arc(15, 15, 0, 2*math.Pi, n)[:n], 12) }, true},
	{"tube in words", shape.Tube, "outer d 60, inner d 50, h 100 mm", func(n int) surface {
		return lathe([][2]float64{{25, 0}, {30, 0}, {30, 100}, {25, 100}, {25, 0}}, n)
	}, false},
	{"cylinder", shape.Cylinder, "d 30 mm h 12 mm", func(n int) surface { return prism(arc(15, 15, 0, 2*math.Pi, n)[:n], 12) }, true},
	{"rod by radius", shape.Cylinder, "r 4 mm h 120 mm", func(n int) surface { return prism(arc(4, 4, 0, 2*math.Pi, n)[:n], 120) }, true},
	{"tube", shape.Tube, "od 60 mm id 50 mm h 100 mm", func(n int) surface { return lathe([][2]float64{{25, 0}, {30, 0}, {30, 100}, {25, 100}, {25, 0}}, n) }, false},
	{"tube by wall", shape.Tube, "od 60 mm wall 5 mm h 3 mm", func(n int) surface { return lathe([][2]float64{{25, 0}, {30, 0}, {30, 3}, {25, 3}, {25, 0}}, n) }, false},
	{"cone", shape.Cone, "d 60 mm h 90 mm", func(n int) surface { return lathe([][2]float64{{0, 0}, {30, 0}, {0, 90}}, n) }, true},
	{"flat cone", shape.Cone, "120 x 10 mm", func(n int) surface { return lathe([][2]float64{{0, 0}, {60, 0}, {0, 10}}, n) }, true},
	{"frustum", shape.Frustum, "d1 80 mm d2 60 mm h 100 mm", func(n int) surface { return lathe([][2]float64{{0, 0}, {40, 0}, {30, 100}, {0, 100}}, n) }, true},
	{"low frustum", shape.Frustum, "60 x 80 x 20 mm", func(n int) surface { return lathe([][2]float64{{0, 0}, {30, 0}, {40, 20}, {0, 20}}, n) }, true},
	{"pointed frustum", shape.Frustum, "60 x 2 x 80 mm", func(n int) surface { return lathe([][2]float64{{0, 0}, {30, 0}, {1, 80}, {0, 80}}, n) }, true},
	{"cup half full", shape.Frustum, "d1 60 mm d2 80 mm h 100 mm fill 50 mm", func(n int) surface { return lathe([][2]float64{{0, 0}, {30, 0}, {35, 50}, {0, 50}}, n) }, true},
	{"sphere", shape.Sphere, "50 mm", func(n int) surface { return lathe(arc(25, 25, -math.Pi/2, math.Pi/2, n), n) }, true},
	{"hemisphere", shape.Hemisphere, "r 25 mm", func(n int) surface { return lathe(segmentProfile(n, 25, 25), n) }, true},
	{"cap by its base", shape.Cap, "base 60 mm h 12 mm", func(n int) surface { return lathe(segmentProfile(n, (900.0+144)/24, 12), n) }, true},
	{"cap by its sphere", shape.Cap, "r 40 mm h 15 mm", func(n int) surface { return lathe(segmentProfile(n, 40, 15), n) }, true},
	{"most of a sphere", shape.Cap, "r 40 mm h 70 mm", func(n int) surface { return lathe(segmentProfile(n, 40, 70), n) }, true},
	{"capsule", shape.Capsule, "d 30 mm l 90 mm", func(n int) surface {
		return lathe(append(arc(15, 15, -math.Pi/2, 0, n/2), lifted(arc(15, 15, 0, math.Pi/2, n/2), 60)...), n)
	}, true},
	{"half-round", shape.HalfRound, "d 40 mm l 250 mm", func(n int) surface { return prism(arc(20, 20, 0, math.Pi, n), 250) }, true},
	{"trough", shape.LyingCylinder, "d 100 mm l 200 mm fill 30 mm", func(n int) surface { return prism(segmentFace(n, 50, 30), 200) }, true},
	{"trough above the middle", shape.LyingCylinder, "d 100 mm l 60 mm fill 80 mm", func(n int) surface { return prism(segmentFace(n, 50, 80), 60) }, true},
	{"full lying cylinder", shape.LyingCylinder, "d 100 mm l 200 mm", func(n int) surface { return prism(arc(50, 50, 0, 2*math.Pi, n)[:n], 200) }, true},
	{"ellipsoid", shape.Ellipsoid, "60 x 40 x 30 mm", func(n int) surface { return stretched(lathe(arc(1, 1, -math.Pi/2, math.Pi/2, n), n), 30, 20, 15) }, true},
	{"elliptic cylinder", shape.EllipticCylinder, "a 60 mm b 40 mm h 50 mm", func(n int) surface { return prism(arc(30, 20, 0, 2*math.Pi, n)[:n], 50) }, true},
	{"torus", shape.Torus, "R 40 mm r 8 mm", func(n int) surface { return lathe(ringProfile(n, 40, 8), n) }, false},
	{"torus by diameters", shape.Torus, "od 96 mm id 64 mm", func(n int) surface { return lathe(ringProfile(n, 40, 8), n) }, false},
	{"ramp", shape.Wedge, "base 60 mm h 30 mm l 100 mm", func(n int) surface { return prism([][2]float64{{0, 0}, {60, 0}, {0, 30}}, 100) }, true},
	{"thin ramp", shape.Wedge, "60 x 30 x 5 mm", func(n int) surface { return prism([][2]float64{{0, 0}, {60, 0}, {0, 30}}, 5) }, true},
	{"roof", shape.Wedge, "l 80 mm w 50 mm ridge 40 mm h 30 mm", func(n int) surface { return between(40, 25, 20, 0, 30) }, true},
	{"steep roof", shape.Wedge, "l 30 mm w 50 mm ridge 30 mm h 90 mm", func(n int) surface { return between(15, 25, 15, 0, 90) }, true},
	{"pyramid", shape.Pyramid, "l 80 mm w 60 mm h 90 mm", func(n int) surface { return between(40, 30, 0, 0, 90) }, true},
	{"square pyramid frustum", shape.Pyramid, "a 80 mm b 50 mm h 40 mm", func(n int) surface { return between(40, 40, 25, 25, 40) }, true},
	{"pyramid upside down", shape.Pyramid, "a 50 mm b 80 mm h 70 mm", func(n int) surface { return between(25, 25, 40, 40, 70) }, true},
	{"pyramid with a flat top", shape.Pyramid, "l 80 mm w 40 mm h 90 mm top 20 mm", func(n int) surface { return between(40, 20, 10, 5, 90) }, true},
	{"hex prism by flats", shape.HexPrism, "flats 40 mm h 10 mm", func(n int) surface { return prism(arc(40/math.Sqrt(3), 40/math.Sqrt(3), 0, 2*math.Pi, 6)[:6], 10) }, true},
	{"hex prism by side", shape.HexPrism, "side 20 mm h 60 mm", func(n int) surface { return prism(arc(20, 20, 0, 2*math.Pi, 6)[:6], 60) }, true},
	{"hex prism by corners", shape.HexPrism, "corners 40 mm h 60 mm", func(n int) surface { return prism(arc(20, 20, 0, 2*math.Pi, 6)[:6], 60) }, true},
}

func lifted(p [][2]float64, by float64) [][2]float64 {
	for i := range p {
		p[i][1] += by
	}
	return p
}

func stretched(s surface, a, b, c float64) surface {
	for i := range s {
		for k := range s[i] {
			s[i][k] = point{a * s[i][k][0], b * s[i][k][1], c * s[i][k][2]}
		}
	}
	return s
}

func ringProfile(n int, big, small float64) [][2]float64 {
	p := arc(small, small, 0, 2*math.Pi, n)
	for i := range p {
		p[i][0] += big
	}
	return p
}

// The formulas against fine surfaces. A circle of n steps is short by 2π²/3n²
// of its area, 1.1e-4 here, and two such curvatures by twice that.
func TestMeasureAgainstSurfaces(t *testing.T) {
	for _, c := range solids {
		t.Run(c.name, func(t *testing.T) {
			got, err := shape.Measure(c.kind, sizes(t, c.size))
			if err != nil {
				t.Fatal(err)
			}
			const rel = 3e-4
			as := c.as(240)
			if v := as.volume() / 1000; math.Abs(got.Volume/v-1) > rel {
				t.Errorf("volume %v mL, the surface holds %v", got.Volume, v)
			}
			if a := as.area(); math.Abs(got.Area/a-1) > rel {
				t.Errorf("area %v mm², the surface has %v", got.Area, a)
			}
			for axis, d := range []point{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
				if !hasSide(got.Box, as.width(d), rel) {
					t.Errorf("box %v has no side like axis %d of the surface, %v", got.Box, axis, as.width(d))
				}
			}
			if got.Kind != c.kind || len(got.Steps) < 2 {
				t.Errorf("kind %q, %d steps of working", got.Kind, len(got.Steps))
			}
		})
	}
}

// hasSide leaves the choice of axes to the solid.
func hasSide(box [3]float64, side, rel float64) bool {
	for _, b := range box {
		if math.Abs(b/side-1) <= rel {
			return true
		}
	}
	return false
}

func TestThickestAgainstSurfaces(t *testing.T) {
	for _, c := range solids {
		if !c.convex {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			got, err := shape.Measure(c.kind, sizes(t, c.size))
			if err != nil {
				t.Fatal(err)
			}
			if want := c.as(48).largestSphere(); math.Abs(got.Thickest/want-1) > 4e-3 {
				t.Errorf("thickest %v mm, the largest sphere is %v", got.Thickest, want)
			}
		})
	}
}

// Walls of a ring: nowhere is more room than half the wall, or half the height.
func TestThickestOfRings(t *testing.T) {
	for _, c := range []struct {
		kind shape.Kind
		size string
		want float64
	}{
		{shape.Tube, "od 60 mm id 50 mm h 100 mm", 5},
		{shape.Tube, "od 60 mm id 50 mm h 3 mm", 3},
		{shape.Torus, "R 40 mm r 8 mm", 16},
		{shape.Torus, "r 8 mm R 40 mm", 16},
		{shape.Torus, "40 x 8 mm", 16},
	} {
		got, err := shape.Measure(c.kind, sizes(t, c.size))
		if err != nil || got.Thickest != c.want {
			t.Errorf("%s %s: %v mm, want %v (%v)", c.kind, c.size, got.Thickest, c.want, err)
		}
	}
}

// For convex bodies the integral of mean curvature is 2π times the mean width
// (Santaló, Integral Geometry, from memory).
func TestCurvatureIsMeanWidth(t *testing.T) {
	checked := 0
	for _, c := range solids {
		got, err := shape.Measure(c.kind, sizes(t, c.size))
		if err != nil {
			t.Fatal(err)
		}
		if got.Curvature == 0 {
			continue
		}
		checked++
		if want := 2 * math.Pi * c.as(48).meanWidth(2000); math.Abs(got.Curvature/want-1) > 2e-3 {
			t.Errorf("%s: M = %v mm, by mean width %v", c.name, got.Curvature, want)
		}
	}
	if checked < 12 {
		t.Errorf("only %d solids have a curvature", checked)
	}
}

func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(solids).Draw(t, "solid")
		k := rapid.Float64Range(0.1, 20).Draw(t, "k")
		named, _, err := quantity.ParseSize(c.size, quantity.Want{Option: "size", Dims: []quantity.Dim{quantity.Length}})
		if err != nil {
			t.Fatal(err)
		}
		var one, more []shape.Size
		for _, n := range named {
			one = append(one, shape.Size{Name: n.Name, MM: n.Value})
			more = append(more, shape.Size{Name: n.Name, MM: k * n.Value})
		}
		a, err := shape.Measure(c.kind, one)
		if err != nil {
			t.Fatal(err)
		}
		b, err := shape.Measure(c.kind, more)
		if err != nil {
			t.Fatal(err)
		}
		for what, pair := range map[string][3]float64{
			"volume":    {a.Volume * k * k * k, b.Volume, 1e-9},
			"area":      {a.Area * k * k, b.Area, 1e-9},
			"thickest":  {a.Thickest * k, b.Thickest, 1e-9},
			"curvature": {a.Curvature * k, b.Curvature, 1e-9},
			"box":       {a.Box[0] * k, b.Box[0], 1e-9},
		} {
			if math.Abs(pair[0]-pair[1]) > pair[2]*pair[0] {
				t.Fatalf("%s: %s times %v is %v, want %v", c.name, what, k, pair[1], pair[0])
			}
		}
	})
}

// What a member is shown as an example has to work as typed, under every name.
func TestExamples(t *testing.T) {
	for _, k := range shape.Kinds() {
		for _, name := range append([]string{string(k.Kind)}, k.Aliases...) {
			kind, err := shape.ParseKind(name)
			if err != nil || kind != k.Kind {
				t.Errorf("ParseKind(%q) = %q, %v; want %q", name, kind, err, k.Kind)
			}
		}
		if got, err := shape.Measure(k.Kind, sizes(t, k.Example)); err != nil || !(got.Volume > 0) || !(got.Area > 0) || !(got.Thickest > 0) {
			t.Errorf("%s %s: %+v, %v", k.Kind, k.Example, got, err)
		}
		if k.Order == "" || k.Help == "" {
			t.Errorf("%s does not say what it takes", k.Kind)
		}
	}
}

func TestMeasureRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		kind shape.Kind
		size []shape.Size
		code fault.Code
	}{
		{"no sizes", shape.Box, nil, fault.MissingOption},
		{"two of three", shape.Box, []shape.Size{{MM: 1}, {MM: 2}}, fault.MissingOption},
		{"four of three", shape.Box, []shape.Size{{MM: 1}, {MM: 2}, {MM: 3}, {MM: 4}}, fault.BadQuantity},
		{"no height", shape.Cylinder, []shape.Size{{Name: "d", MM: 30}}, fault.MissingOption},
		{"a name it does not have", shape.Cylinder, []shape.Size{{Name: "d", MM: 30}, {Name: "h", MM: 10}, {Name: "q", MM: 1}}, fault.BadQuantity},
		{"radius and diameter", shape.Cylinder, []shape.Size{{Name: "d", MM: 30}, {Name: "r", MM: 15}, {Name: "h", MM: 10}}, fault.BadQuantity},
		{"named and not", shape.Cylinder, []shape.Size{{Name: "d", MM: 30}, {MM: 10}}, fault.BadQuantity},
		{"twice the same", shape.Cylinder, []shape.Size{{Name: "d", MM: 30}, {Name: "d", MM: 30}, {Name: "h", MM: 10}}, fault.BadQuantity},
		{"zero", shape.Sphere, []shape.Size{{MM: 0}}, fault.OutOfRange},
		{"negative", shape.Sphere, []shape.Size{{MM: -5}}, fault.OutOfRange},
		{"not a number", shape.Sphere, []shape.Size{{MM: math.NaN()}}, fault.OutOfRange},
		{"endless", shape.Sphere, []shape.Size{{MM: math.Inf(1)}}, fault.OutOfRange},
		{"a tube with a hole as wide as itself", shape.Tube, []shape.Size{{MM: 50}, {MM: 50}, {MM: 10}}, fault.OutOfRange},
		{"a tube thinner than its wall", shape.Tube, []shape.Size{{Name: "od", MM: 50}, {Name: "wall", MM: 25}, {Name: "h", MM: 10}}, fault.OutOfRange},
		{"a cap above its sphere", shape.Cap, []shape.Size{{Name: "r", MM: 10}, {Name: "h", MM: 21}}, fault.OutOfRange},
		{"a capsule shorter than wide", shape.Capsule, []shape.Size{{Name: "d", MM: 30}, {Name: "l", MM: 29}}, fault.OutOfRange},
		{"a level above the cup", shape.Frustum, []shape.Size{{MM: 60}, {MM: 80}, {MM: 100}, {MM: 101}}, fault.OutOfRange},
		{"a level above the cylinder", shape.LyingCylinder, []shape.Size{{MM: 100}, {MM: 200}, {MM: 101}}, fault.OutOfRange},
		{"a torus without its hole", shape.Torus, []shape.Size{{Name: "R", MM: 8}, {Name: "r", MM: 8}}, fault.OutOfRange},
		{"a ring turned round", shape.Torus, []shape.Size{{Name: "od", MM: 60}, {Name: "id", MM: 70}}, fault.OutOfRange},
		{"a ridge past its roof", shape.Wedge, []shape.Size{{Name: "l", MM: 80}, {Name: "w", MM: 50}, {Name: "h", MM: 30}, {Name: "ridge", MM: 81}}, fault.OutOfRange},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := shape.Measure(c.kind, c.size)
			f := fault.As(err)
			if f == nil || f.Code != c.code || f.Option != "size" || f.HintText() == "" {
				t.Errorf("got %v, want %s in size with a hint", err, c.code)
			}
		})
	}
	for _, kind := range []shape.Kind{"", "klein bottle"} {
		if _, err := shape.Measure(kind, nil); !fault.Is(err, fault.NotFound) || fault.As(err).Option != "kind" {
			t.Errorf("kind %q: %v", kind, err)
		}
	}
}

// Whatever sizes come, Measure answers with finite positive numbers or a fault.
func FuzzMeasure(f *testing.F) {
	f.Add(uint8(0), "l", 10.0, "w", 20.0, "h", 30.0)
	f.Add(uint8(13), "R", 40.0, "r", 8.0, "", 0.0)
	f.Add(uint8(4), "", 60.0, "", 80.0, "", 1e5)
	f.Add(uint8(7), "base", 0.01, "h", 1e5, "", 0.0)
	f.Add(uint8(14), "l", 80.0, "ridge", 80.0, "h", 0.01)
	f.Fuzz(func(t *testing.T, kind uint8, n1 string, v1 float64, n2 string, v2 float64, n3 string, v3 float64) {
		kinds := shape.Kinds()
		given := []shape.Size{{Name: n1, MM: v1}, {Name: n2, MM: v2}}
		if v3 != 0 {
			given = append(given, shape.Size{Name: n3, MM: v3})
		}
		got, err := shape.Measure(kinds[int(kind)%len(kinds)].Kind, given)
		if err != nil {
			if fault.As(err) == nil {
				t.Fatalf("%v is no fault", err)
			}
			return
		}
		for what, v := range map[string]float64{"volume": got.Volume, "area": got.Area, "thickest": got.Thickest, "x": got.Box[0], "y": got.Box[1], "z": got.Box[2]} {
			if !(v > 0) || math.IsInf(v, 0) {
				t.Fatalf("%s of %v: %s is %v", got.Kind, given, what, v)
			}
		}
		if most := min(got.Box[0], got.Box[1], got.Box[2]); got.Thickest > most*(1+1e-9) {
			t.Fatalf("%s of %v: a sphere of %v in a box of %v", got.Kind, given, got.Thickest, got.Box)
		}
		if got.Volume*1000 > got.Box[0]*got.Box[1]*got.Box[2]*(1+1e-9) {
			t.Fatalf("%s of %v: %v mL in a box of %v", got.Kind, given, got.Volume, got.Box)
		}
	})
}
