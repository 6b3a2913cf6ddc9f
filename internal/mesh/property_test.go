package mesh_test

import (
	"encoding/binary"
	"math"
	"math/big"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// body draws a closed body, or two that stand apart.
func body(t *rapid.T) meshtest.Mesh {
	one := func(at float64, label string) meshtest.Mesh {
		side := rapid.Float64Range(0.5, 50)
		var m meshtest.Mesh
		switch rapid.IntRange(0, 3).Draw(t, label) {
		case 0:
			m = meshtest.Box([3]float64{}, [3]float64{side.Draw(t, "x"), side.Draw(t, "y"), side.Draw(t, "z")})
		case 1:
			m = meshtest.Icosphere([3]float64{50, 50, 50}, side.Draw(t, "r"), rapid.IntRange(0, 2).Draw(t, "splits"))
		case 2:
			m = meshtest.Torus(30, rapid.Float64Range(1, 20).Draw(t, "tube"), rapid.IntRange(3, 20).Draw(t, "n"), rapid.IntRange(3, 12).Draw(t, "m"))
		case 3:
			m = meshtest.Prism(rapid.IntRange(3, 12).Draw(t, "n"), side.Draw(t, "r"), side.Draw(t, "h"))
		}
		return m.Map(func(p [3]float64) [3]float64 { return [3]float64{p[0] + at, p[1], p[2]} })
	}
	if rapid.Bool().Draw(t, "two") {
		return meshtest.Join(one(0, "first"), one(300, "second"))
	}
	return one(0, "body")
}

func measured(t *rapid.T, data []byte) *mesh.Report {
	t.Helper()
	m, err := mesh.Read(data, mesh.ChatLimits(), nil)
	if err != nil {
		t.Fatalf("Read: %v", err)
	}
	r, err := m.Measure(nil, rapid.IntRange(1, 3).Draw(t, "workers"))
	if err != nil {
		t.Fatalf("Measure: %v", err)
	}
	return r
}

// same holds two reports of one body against each other.
func same(t *rapid.T, what string, got, want *mesh.Report, rel float64) {
	t.Helper()
	if !near(got.Volume, want.Volume, rel, 0) || !near(got.Area, want.Area, rel, 0) {
		t.Fatalf("%s: volume %.17g area %.17g, want %.17g %.17g", what, got.Volume, got.Area, want.Volume, want.Area)
	}
	if got.Topology != want.Topology || got.Kind != want.Kind {
		t.Fatalf("%s: %s %+v, want %s %+v", what, got.Kind, got.Topology, want.Kind, want.Topology)
	}
}

func TestVolumeScalesWithTheCube(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := body(t).OBJ()
		k := rapid.Float64Range(0.01, 100).Draw(t, "k")
		want := measured(t, data)
		m, err := mesh.Read(data, mesh.ChatLimits(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := m.Scale(k); err != nil {
			t.Fatal(err)
		}
		got, err := m.Measure(nil, 1)
		if err != nil {
			t.Fatal(err)
		}
		if !near(got.Volume, want.Volume*k*k*k, 1e-11, 0) || !near(got.Area, want.Area*k*k, 1e-11, 0) {
			t.Fatalf("by %g: volume %g area %g, before %g %g", k, got.Volume, got.Area, want.Volume, want.Area)
		}
	})
}

func TestTurningInSpaceChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := body(t)
		angle := rapid.Float64Range(0, 2*math.Pi)
		c1, s1 := math.Cos(angle.Draw(t, "a")), math.Sin(angle.Draw(t, "a2"))
		s1 = math.Copysign(math.Sqrt(1-c1*c1), s1)
		turned := b.Map(func(p [3]float64) [3]float64 {
			x, y := c1*p[0]-s1*p[1], s1*p[0]+c1*p[1]
			return [3]float64{x, c1*y - s1*p[2], s1*y + c1*p[2]}
		})
		same(t, "turned", measured(t, turned.OBJ()), measured(t, b.OBJ()), 1e-11)
	})
}

func TestOrderOfFacesChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := body(t)
		shuffled := meshtest.Mesh{Points: b.Points}
		for _, i := range rapid.Permutation(indexes(len(b.Faces))).Draw(t, "order") {
			f, roll := b.Faces[i], i%3
			shuffled.Faces = append(shuffled.Faces, [3]int{f[roll], f[(roll+1)%3], f[(roll+2)%3]})
		}
		same(t, "shuffled", measured(t, shuffled.STL("")), measured(t, b.STL("")), 1e-11)
	})
}

func indexes(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestInsideOutIsTurnedAndSaid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := body(t)
		got, want := measured(t, b.Turned().OBJ()), measured(t, b.OBJ())
		same(t, "inside out", got, want, 1e-12)
		if got.Turned != len(b.Faces) || !strings.Contains(strings.Join(got.Findings, " "), "All faces pointed inward") {
			t.Fatalf("turned %d of %d: %q", got.Turned, len(b.Faces), got.Findings)
		}
	})
}

func TestSomeFacesTurnedAreTurnedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := body(t)
		want := measured(t, b.OBJ())
		n := rapid.IntRange(1, len(b.Faces)/5).Draw(t, "n")
		broken := meshtest.Mesh{Points: b.Points, Faces: append([][3]int(nil), b.Faces...)}
		for _, i := range rapid.Permutation(indexes(len(b.Faces))).Draw(t, "order")[:n] {
			f := broken.Faces[i]
			broken.Faces[i] = [3]int{f[0], f[2], f[1]}
		}
		got := measured(t, broken.OBJ())
		if !near(got.Volume, want.Volume, 1e-12, 0) || !got.Orientable {
			t.Fatalf("volume %g, want %g", got.Volume, want.Volume)
		}
		if got.Topology.Shells == 1 && got.Turned != n {
			t.Fatalf("%d faces were turned, want %d", got.Turned, n)
		}
	})
}

func TestAllFormatsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// rounded to float32, for that is what binary STL holds
		b := body(t).Map(func(p [3]float64) [3]float64 {
			return [3]float64{float64(float32(p[0])), float64(float32(p[1])), float64(float32(p[2]))}
		})
		want := measured(t, b.STL("part"))
		for name, data := range map[string][]byte{
			"text STL": b.STLText(), "OBJ": b.OBJ(), "text PLY": b.PLYText(), "3MF": b.ThreeMF("millimeter"),
			"little PLY": b.PLY(binary.LittleEndian), "big PLY": b.PLY(binary.BigEndian),
		} {
			same(t, name, measured(t, data), want, 1e-12)
		}
	})
}

func TestOneTriangleRemovedIsOneHole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := body(t)
		want := measured(t, b.OBJ())
		i := rapid.IntRange(0, len(b.Faces)-1).Draw(t, "gone")
		b.Faces = append(append([][3]int(nil), b.Faces[:i]...), b.Faces[i+1:]...)
		got := measured(t, b.OBJ())
		if got.Topology.OpenEdges != 3 || len(got.Holes) != 1 || got.Kind != mesh.About {
			t.Fatalf("%s, %d open edges, holes %+v", got.Kind, got.Topology.OpenEdges, got.Holes)
		}
		if !near(got.Volume, want.Volume, 1e-11, 0) || got.Low > want.Volume || got.High < want.Volume {
			t.Fatalf("volume %g (%g to %g), want %g: a flat lid is what is missing", got.Volume, got.Low, got.High, want.Volume)
		}
	})
}

func TestWorkersChangeNoBit(t *testing.T) {
	data := meshtest.Knob(40_000).STL("")
	var first *mesh.Report
	for _, workers := range []int{1, 2, 5} {
		lim := mesh.ChatLimits()
		lim.Workers = workers
		m, err := mesh.Read(data, lim, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := m.Measure(nil, workers)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = r
		} else if r.Volume != first.Volume || r.Area != first.Area || r.Defect != first.Defect || !reflect.DeepEqual(r.Topology, first.Topology) {
			t.Errorf("%d workers: %v %v, one: %v %v", workers, r.Volume, r.Area, first.Volume, first.Area)
		}
	}
}

// exactVolume adds up in rational numbers.
func exactVolume(b meshtest.Mesh) float64 {
	rat := func(p [3]float64) (out [3]*big.Rat) {
		for k := range out {
			out[k] = new(big.Rat).SetFloat64(p[k])
		}
		return out
	}
	mul := func(x, y, z *big.Rat) *big.Rat { return new(big.Rat).Mul(x, new(big.Rat).Mul(y, z)) }
	sum := new(big.Rat)
	for _, f := range b.Faces {
		p, q, r := rat(b.Points[f[0]]), rat(b.Points[f[1]]), rat(b.Points[f[2]])
		for k := range 3 {
			l, m := (k+1)%3, (k+2)%3
			sum.Add(sum, mul(p[k], q[l], r[m]))
			sum.Sub(sum, mul(p[k], q[m], r[l]))
		}
	}
	v, _ := sum.Quo(sum, big.NewRat(6, 1)).Float64()
	return v
}

func TestVolumeAgainstExactArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := body(t)
		far := rapid.Float64Range(-1e4, 1e4).Draw(t, "far")
		b = b.Map(func(p [3]float64) [3]float64 { return [3]float64{p[0] + far, p[1] - far, p[2] + far} })
		if got, want := measured(t, b.OBJ()).Volume, exactVolume(b); !near(got, want, 1e-12, 0) {
			t.Fatalf("volume %.17g, exactly %.17g", got, want)
		}
	})
}
